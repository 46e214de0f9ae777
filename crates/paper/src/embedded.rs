//! A picture inside a page: its bytes as a `data:` address (RFC 2397, RFC 4648 section 4).

/// A PNG file as an address.
pub(crate) fn png(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 4 / 3 + 32);
    text.push_str("data:image/png;base64,");
    for three in bytes.chunks(3) {
        let at = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for place in 0..4_usize {
            let known = place <= three.len();
            let six = (bits >> (18 - 6 * place)) & 63;
            text.push(if known { digit(six) } else { '=' });
        }
    }
    text
}

fn digit(six: u32) -> char {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    char::from(DIGITS[(six & 63) as usize])
}

#[cfg(test)]
mod tests {
    use super::png;

    /// The published vectors, RFC 4648 section 10.
    #[test]
    fn published_vectors() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(png(plain.as_bytes()), format!("data:image/png;base64,{coded}"));
        }
    }
}
