//! Whether a TIFF file is a camera's raw file in TIFF's clothes: then its first picture is only a thumbnail, or not
//! developed.
//!
//! Source: TIFF 6.0 (1992), section 2; tag 254 `NewSubfileType`, bit 0: reduced resolution; DNG's tag 50706. Left out:
//! all other tags.

const NEW_SUBFILE_TYPE: u16 = 254;
const DNG_VERSION: u16 = 50706;

/// Whether the first directory says so.
pub(crate) fn is_raw(bytes: &[u8]) -> bool {
    bytes.get(8..10) == Some(b"CR") || first_directory(bytes).unwrap_or(false)
}

fn first_directory(bytes: &[u8]) -> Option<bool> {
    let little = bytes.get(..2)? == b"II";
    let two = |at: usize| {
        let b = bytes.get(at..at + 2)?.try_into().ok()?;
        Some(if little { u16::from_le_bytes(b) } else { u16::from_be_bytes(b) })
    };
    let four = |at: usize| {
        let b = bytes.get(at..at + 4)?.try_into().ok()?;
        Some(if little { u32::from_le_bytes(b) } else { u32::from_be_bytes(b) })
    };
    let at = usize::try_from(four(4)?).ok()?;
    for entry in 0..usize::from(two(at)?) {
        let here = at + 2 + 12 * entry;
        match two(here)? {
            DNG_VERSION => return Some(true),
            // A LONG; a SHORT stands in the first two of its four bytes.
            NEW_SUBFILE_TYPE => {
                let value =
                    if two(here + 2)? == 3 { u32::from(two(here + 8)?) } else { four(here + 8)? };
                return Some(value & 1 == 1);
            }
            _ => {}
        }
    }
    Some(false)
}
