//! What counts as black, under every light it must stay black in.
//!
//! Blacks are mixtures, or dyes with a tail in the red: under tungsten, LED or flash they turn red,
//! brown or green, and three fibres dyed with three classes each turn their own way. Limits are a
//! judgement: lightness by which cloth reads as black beside black cloth, and a cast that is seen.
//! Left out: pile, texture and rubbing, which change a black as much as dye does.

use colour::{Bands, Lab, Light, Observer, Weights};

/// A black is no lighter than this under any light, L* (judgement).
pub const BLACKEST_LIGHTNESS: f64 = 20.0;
/// A black has no more chroma than this under any light, C*ab (judgement).
pub const BLACKEST_CAST: f64 = 3.0;

/// Plain cloth reflects at least this much whatever the dye (judgement on real dark ladders, whose
/// blacks end at 1.5 to 2 %); a model may say less.
const CLOTH_REFLECTS: f64 = 0.015;
/// A target this dark and this grey asks for black (judgement).
const MEANT: (f64, f64) = (24.0, 6.0);

/// How black a cloth is over several lights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Black {
    /// L* under the light where it is lightest.
    pub lightness: f64,
    /// That light.
    pub lightest_under: Light,
    /// C*ab under the light where its cast is strongest.
    pub cast: f64,
    /// That light.
    pub cast_under: Light,
    /// The cast there as a word; none when there is no cast to speak of.
    pub hue: Option<&'static str>,
    /// Whether it is black everywhere.
    pub verdict: Blackness,
}

/// The verdict on a black.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blackness {
    /// Black under every light asked.
    Holds,
    /// Neutral, but too light: a dark grey.
    TooLight,
    /// Dark enough, but coloured under at least one light.
    Coloured,
    /// Too light and coloured.
    NotBlack,
}

impl Black {
    /// Looks at a cloth under daylight and these lights, for the 10° observer.
    #[must_use]
    pub fn of(cloth: &Bands, lights: &[Light]) -> Self {
        // Real cloth reflects a little whatever the model says: that much is the least everywhere.
        let seen = cloth.values().map(|r| r.max(CLOTH_REFLECTS));
        let under = |light| Weights::of(light, Observer::Ten).lab_of(&seen);
        let day = under(Light::D65);
        let mut black = Self {
            lightness: day.l,
            lightest_under: Light::D65,
            cast: day.chroma(),
            cast_under: Light::D65,
            hue: hue(day),
            verdict: Blackness::Holds,
        };
        for &light in lights {
            let lab = under(light);
            if lab.l > black.lightness {
                (black.lightness, black.lightest_under) = (lab.l, light);
            }
            if lab.chroma() > black.cast {
                (black.cast, black.cast_under, black.hue) = (lab.chroma(), light, hue(lab));
            }
        }
        black.verdict = match (black.lightness > BLACKEST_LIGHTNESS, black.cast > BLACKEST_CAST) {
            (false, false) => Blackness::Holds,
            (true, false) => Blackness::TooLight,
            (false, true) => Blackness::Coloured,
            (true, true) => Blackness::NotBlack,
        };
        black
    }

    /// Whether a target in daylight asks for a black.
    #[must_use]
    pub fn is_meant(target: Lab) -> bool {
        target.l <= MEANT.0 && target.chroma() <= MEANT.1
    }

    /// One sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let light = format!(
            "L* {:.0} under {} where {BLACKEST_LIGHTNESS:.0} is the most",
            self.lightness,
            self.lightest_under.words()
        );
        let cast = format!(
            "{} under {} (C* {:.1}, {BLACKEST_CAST:.0} is the most)",
            self.hue.unwrap_or("neutral"),
            self.cast_under.words(),
            self.cast
        );
        match self.verdict {
            Blackness::Holds => format!(
                "stays black under every light asked: at most L* {:.0} and C* {:.1}",
                self.lightness, self.cast
            ),
            Blackness::TooLight => format!("a dark grey, not a black: {light}"),
            Blackness::Coloured => format!("dark enough, but turns {cast}"),
            Blackness::NotBlack => format!("no black: {light}; and {cast}"),
        }
    }
}

/// The word for a cast; sectors of `h_ab` are a judgement.
fn hue(lab: Lab) -> Option<&'static str> {
    let polar = lab.to_lch();
    (polar.c >= 1.0).then_some(match polar.h {
        h if h < 40.0 => "red",
        h if h < 85.0 => "brown",
        h if h < 125.0 => "olive",
        h if h < 200.0 => "green",
        h if h < 300.0 => "blue",
        h if h < 340.0 => "violet",
        _ => "red",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::{BANDS, Place};

    fn every_light() -> Vec<Light> {
        Place::ALL.iter().flat_map(|p| p.lights().iter().copied()).collect()
    }

    fn of(shape: impl Fn(usize) -> f64) -> Black {
        Black::of(&Bands::try_new(std::array::from_fn(shape)).unwrap(), &every_light())
    }

    #[test]
    fn a_flat_two_percent_is_black_and_a_flat_four_percent_is_dark_grey() {
        let black = of(|_| 0.02);
        assert_eq!((black.verdict, black.hue), (Blackness::Holds, None), "{}", black.words());
        // CIE 1976 lightness of Y = 2: 116 (0.02)^(1/3) − 16 = 15.49.
        assert!((black.lightness - 15.487).abs() < 0.01, "{}", black.lightness);
        let grey = of(|_| 0.04);
        assert_eq!(grey.verdict, Blackness::TooLight, "{}", grey.words());
        assert!(grey.words().contains("dark grey"));
    }

    #[test]
    fn a_red_tail_is_red_under_tungsten() {
        // Flat but for a tail from 660 nm: hardly seen in daylight, seen under tungsten.
        let tail = of(|i| if i >= 25 { 0.07 } else { 0.018 });
        assert_eq!(tail.cast_under, Light::A, "{}", tail.words());
        assert_eq!(tail.hue, Some("red"), "{}", tail.words());
        assert_eq!(tail.verdict, Blackness::Coloured, "{}", tail.words());
        let day = Black::of(
            &Bands::try_new(std::array::from_fn(|i| if i >= 25 { 0.07 } else { 0.018 })).unwrap(),
            &[],
        );
        assert!(day.cast < tail.cast, "more lights never find less of a cast");
    }

    #[test]
    fn no_model_promises_blacker_than_cloth() {
        let black = of(|_| 1e-4);
        assert!(black.lightness > 12.0, "{}", black.words());
        assert_eq!(black.verdict, Blackness::Holds);
    }

    #[test]
    fn casts_have_the_words_of_their_hues() {
        for (a, b, word) in [
            (4.0, 1.0, "red"),
            (3.0, 4.0, "brown"),
            (-1.0, 4.0, "olive"),
            (-4.0, 1.0, "green"),
            (0.0, -4.0, "blue"),
            (4.0, -4.0, "violet"),
            (4.0, -0.5, "red"),
        ] {
            assert_eq!(hue(Lab::new(15.0, a, b)), Some(word), "{a} {b}");
        }
        assert_eq!(hue(Lab::new(15.0, 0.5, 0.5)), None);
        assert!(Black::is_meant(Lab::new(15.0, 0.0, -3.0)));
        assert!(!Black::is_meant(Lab::new(18.0, 5.0, -25.0)), "a navy is no black");
        assert_eq!(BANDS, 31);
    }
}
