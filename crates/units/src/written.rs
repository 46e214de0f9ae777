//! Numbers as a person writes them: rounded once, no trailing zeros.

/// `value` to at most `places` decimals, trailing zeros taken off.
#[must_use]
pub fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') {
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" { "0".to_owned() } else { text.to_owned() }
    } else {
        text
    }
}

/// `value` to `digits` significant digits, as a plain decimal.
#[must_use]
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small exponents")]
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return trimmed(value, 0);
    }
    let magnitude = value.abs().log10().floor() as i32;
    let places = digits as i32 - 1 - magnitude;
    if places >= 0 {
        trimmed(value, places as usize)
    } else {
        let unit = 10f64.powi(-places);
        format!("{:.0}", (value / unit).round() * unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_as_a_person_would() {
        assert_eq!(trimmed(4.100, 2), "4.1");
        assert_eq!(trimmed(-0.001, 2), "0");
        assert_eq!(trimmed(120.0, 0), "120");
        assert_eq!(significant(0.012_345, 2), "0.012");
        assert_eq!(significant(1234.5, 2), "1200");
        assert_eq!(significant(9.99, 3), "9.99");
    }
}
