//! A colour in plain words: "deep green, L* 32".
//!
//! Hue sectors in `h_ab` and lightness steps are our judgement after common English use; they name a
//! chip for a person and decide nothing.

use crate::Lab;

/// A colour in words with its lightness: "deep green, L* 32".
#[must_use]
pub fn describe(lab: Lab) -> String {
    format!("{}, L* {:.0}", name(lab), lab.l.clamp(0.0, 100.0))
}

/// The words alone: "deep green", "pale greyish pink", "near black".
#[must_use]
pub fn name(lab: Lab) -> String {
    let polar = lab.to_lch();
    if polar.c < 4.0 || (lab.l < 14.0 && polar.c < 8.0) {
        return neutral(lab.l).to_owned();
    }
    let (noun, drab) = noun(lab.l, polar.c, polar.h);
    let mut words: Vec<&str> = Vec::new();
    words.extend(depth(lab.l, polar.c, noun));
    words.extend(strength(polar.c, drab));
    words.push(noun);
    words.join(" ")
}

fn neutral(l: f64) -> &'static str {
    match l {
        l if l < 14.0 => "black",
        l if l < 24.0 => "near black",
        l if l < 45.0 => "dark grey",
        l if l < 65.0 => "grey",
        l if l < 82.0 => "light grey",
        l if l < 93.0 => "off white",
        _ => "white",
    }
}

/// The noun of a hue, and whether the noun itself already says that the colour is subdued.
fn noun(l: f64, c: f64, h: f64) -> (&'static str, bool) {
    match h {
        h if (15.0..40.0).contains(&h) && l > 68.0 => ("pink", false),
        h if (15.0..40.0).contains(&h) && l < 34.0 && c < 28.0 => ("maroon", true),
        h if (15.0..40.0).contains(&h) => ("red", false),
        h if (40.0..82.0).contains(&h) && (l < 52.0 || c < 25.0) && c < 48.0 => {
            if l > 72.0 {
                ("beige", true)
            } else {
                ("brown", true)
            }
        }
        h if (40.0..56.0).contains(&h) => ("orange-red", false),
        h if (56.0..74.0).contains(&h) => ("orange", false),
        h if (74.0..82.0).contains(&h) => ("golden yellow", false),
        h if (82.0..115.0).contains(&h) && l < 55.0 => ("olive", true),
        h if (82.0..104.0).contains(&h) && c < 25.0 && l > 72.0 => ("cream", true),
        h if (82.0..104.0).contains(&h) => ("yellow", false),
        h if (104.0..128.0).contains(&h) => ("yellow-green", false),
        h if (128.0..172.0).contains(&h) => ("green", false),
        h if (172.0..200.0).contains(&h) => ("blue-green", false),
        h if (200.0..238.0).contains(&h) => ("turquoise", false),
        h if (238.0..285.0).contains(&h) && l < 22.0 => ("navy", true),
        h if (238.0..285.0).contains(&h) => ("blue", false),
        h if (285.0..306.0).contains(&h) => ("violet-blue", false),
        h if (306.0..322.0).contains(&h) => ("violet", false),
        h if (322.0..340.0).contains(&h) => ("purple", false),
        _ if l > 68.0 => ("pink", false),
        _ if l < 34.0 => ("wine red", true),
        _ => ("magenta red", false),
    }
}

fn depth(l: f64, c: f64, noun: &str) -> Option<&'static str> {
    if matches!(noun, "navy" | "maroon" | "cream" | "wine red") {
        return None;
    }
    match l {
        l if l < 18.0 => Some("very dark"),
        l if l < 38.0 => Some(if c >= 20.0 { "deep" } else { "dark" }),
        l if l < 68.0 => None,
        l if l < 82.0 => (!matches!(noun, "pink" | "yellow" | "beige")).then_some("light"),
        _ => (!matches!(noun, "yellow" | "golden yellow") || c < 45.0).then_some("pale"),
    }
}

fn strength(c: f64, drab: bool) -> Option<&'static str> {
    match c {
        _ if drab => None,
        c if c < 12.0 => Some("greyish"),
        c if c < 20.0 => Some("dull"),
        c if c > 58.0 => Some("bright"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_a_person_would_call_so() {
        for (lab, words) in [
            ((32.0, -28.0, 12.0), "deep green, L* 32"),
            ((2.0, 0.0, 0.0), "black, L* 2"),
            ((98.0, 0.5, 1.0), "white, L* 98"),
            ((54.0, 0.0, 2.0), "grey, L* 54"),
            ((53.2, 80.1, 67.2), "bright red, L* 53"),
            ((88.0, 3.0, 80.0), "bright yellow, L* 88"),
            ((35.0, 15.0, 25.0), "deep brown, L* 35"),
            ((18.0, 5.0, -25.0), "navy, L* 18"),
            ((80.0, 20.0, 4.0), "pink, L* 80"),
            ((60.0, -30.0, -10.0), "blue-green, L* 60"),
            ((45.0, 2.0, -40.0), "blue, L* 45"),
        ] {
            assert_eq!(describe(Lab::new(lab.0, lab.1, lab.2)), words);
        }
    }

    #[test]
    fn every_colour_has_words() {
        for l in 0..=20 {
            for a in -12..=12 {
                for b in -12..=12 {
                    let lab =
                        Lab::new(5.0 * f64::from(l), 10.0 * f64::from(a), 10.0 * f64::from(b));
                    let words = describe(lab);
                    assert!(words.len() > 8 && !words.contains("  "), "{words}");
                }
            }
        }
    }
}
