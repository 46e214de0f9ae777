//! A colour as a person types it: "52.1 -8 14.5", "L* 52 a* -8 b* 14.5", "#2f6f5a".

use crate::{Colour, Lab, Light, Observer, Origin, Reading, ScreenColour, text};

use super::TextRefusal;

/// A typed colour: three numbers L* a* b* (D65/10° unless a light and observer follow, as in
/// "52 -8 14 A 10°"), or a hex colour, which is a screen's (sRGB, D65/2°).
pub fn read_typed(given: &str) -> Result<Reading, TextRefusal> {
    let shown = given.trim();
    if given.len() > 200 {
        let rule = "a typed colour is short: L* a* b*, or # and six digits";
        return Err(TextRefusal::new(1, 1, shown, rule));
    }
    if shown.starts_with('#') || looks_like_hex(shown) {
        return ScreenColour::from_hex(shown)
            .map(Reading::of_screen)
            .map_err(|why| TextRefusal::refused(1, 1, shown, &why));
    }
    let mut numbers: Vec<(usize, &str, f64)> = Vec::new();
    let mut light = Light::D65;
    let mut observer = Observer::Ten;
    for (column, word) in words(given) {
        if matches!(word.to_lowercase().as_str(), "l" | "l*" | "a*" | "b" | "b*" | "lab" | "cielab")
        {
            continue;
        }
        if numbers.len() < 3 {
            if word.eq_ignore_ascii_case("a") {
                continue;
            }
            let Some(value) = text::number(word) else {
                let rule = "three numbers L* a* b* are wanted, as in 52.1 -8 14.5, or a hex colour";
                return Err(TextRefusal::new(1, column, word, rule));
            };
            numbers.push((column, word, value));
        } else if word.ends_with('°') || word == "2" || word == "10" {
            observer = Observer::from_name(word)
                .map_err(|why| TextRefusal::refused(1, column, word, &why))?;
        } else {
            light = Light::from_name(word)
                .map_err(|why| TextRefusal::refused(1, column, word, &why))?;
        }
    }
    let [(at, _, l), (_, _, a), (_, _, b)] = numbers.as_slice() else {
        let rule = "three numbers L* a* b* are wanted, as in 52.1 -8 14.5, or a hex colour";
        return Err(TextRefusal::new(1, 1, shown, rule));
    };
    let lab =
        Lab::try_typed(*l, *a, *b).map_err(|why| TextRefusal::refused(1, *at, shown, &why))?;
    Ok(Reading::of_colour(Colour { lab, light, observer }, Origin::Typed))
}

/// Six bare hex digits with a letter among them; "525252" would be a number.
fn looks_like_hex(text: &str) -> bool {
    text.len() == 6
        && text.chars().all(|c| c.is_ascii_hexdigit())
        && text.chars().any(|c| c.is_ascii_alphabetic())
}

/// Words with their column in characters, split at spaces, commas followed by space, semicolons,
/// slashes, equals signs and brackets.
fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let parts = |c: char| c.is_whitespace() || matches!(c, ';' | '/' | '=' | '(' | ')' | '[' | ']');
    text.split(parts)
        .map(|word| word.trim_end_matches(','))
        .flat_map(split_commas)
        .filter(|word| !word.is_empty())
        .map(|word| {
            let before = word.as_ptr() as usize - text.as_ptr() as usize;
            (text[..before].chars().count() + 1, word)
        })
}

/// "52.1,-8,14.5" is three words; "52,1" one number with a decimal comma.
fn split_commas(word: &str) -> Vec<&str> {
    if word.matches(',').count() > 1 || word.contains('.') {
        word.split(',').collect()
    } else {
        vec![word]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Value;

    fn check(given: &str, lab: (f64, f64, f64), light: Light, observer: Observer) {
        let reading = read_typed(given).unwrap();
        let lab = Lab::new(lab.0, lab.1, lab.2);
        assert_eq!(reading.value, Value::Colour(Colour { lab, light, observer }), "{given}");
    }

    #[test]
    fn colours_as_people_type_them() {
        let lab = (52.1, -8.0, 14.5);
        for given in [
            "52.1 -8 14.5",
            " 52.1, -8, 14.5 ",
            "52.1,-8,14.5",
            "52,1 -8 14,5",
            "L* 52.1 a* -8 b* 14.5",
            "lab(52.1 -8 14.5)",
            "L=52.1; a=-8; b=14.5",
            "52.1 -8 14.5 D65/10°",
        ] {
            check(given, lab, Light::D65, Observer::Ten);
        }
        check("52.1 -8 14.5 A 2°", lab, Light::A, Observer::Two);
        check("52.1 -8 14.5 FL11 10", lab, Light::Fl11, Observer::Ten);
        let hex = read_typed("#2f6f5a").unwrap();
        assert!(matches!(hex.origin, Origin::Screen(_)));
        assert!(read_typed("2f6f5a").is_ok());
    }

    #[test]
    fn a_bad_colour_is_pointed_at() {
        for (given, column, word) in [
            ("52 green 3", 4, "three numbers"),
            ("52 -8", 1, "three numbers"),
            ("130 -8 14", 1, "between 0"),
            ("nan 0 0", 1, "three numbers"),
            ("52 -8 14 D66", 10, "did you mean D65"),
            ("#12", 1, "six digits"),
            ("", 1, "three numbers"),
        ] {
            let fault = read_typed(given).unwrap_err();
            assert_eq!(fault.column, column, "{fault}");
            assert!(fault.to_string().contains(word), "{fault}");
        }
        assert!(read_typed(&"9".repeat(300)).is_err());
    }
}
