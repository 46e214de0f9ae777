//! What a difference means in words, at the distance it will be seen from.
//!
//! Limits of a viewing: common practice (panels of one garment 1.0, trim beside the main cloth 1.5,
//! close up 2, stage 3; ΔE00 1:1:1). The plain verdicts (1, 2, 3.5) are a judgement for home work,
//! not a standard: two people's own matches of one colour scatter about as much.

use std::fmt;

use crate::{Refusal, refusal::nearest};

/// From how near two cloths will be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Viewing {
    /// Edge to edge: panels of one garment.
    Touching,
    /// Beside each other: trim on its main cloth.
    Beside,
    /// An arm's length away, in photographs.
    CloseUp,
    /// Across a hall or on a stage.
    Stage,
}

/// The plain verdict on a difference, whatever the distance (judgement).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Verdict {
    /// ΔE00 up to 1.
    Match,
    /// Up to 2.
    UnlessSideBySide,
    /// Up to 3.5.
    SameOnStage,
    /// Beyond.
    Correct,
}

impl Viewing {
    /// Every viewing, nearest first.
    pub const ALL: [Self; 4] = [Self::Touching, Self::Beside, Self::CloseUp, Self::Stage];

    /// The largest ΔE00 (1:1:1) that passes.
    #[must_use]
    pub const fn limit(self) -> f64 {
        match self {
            Self::Touching => 1.0,
            Self::Beside => 1.5,
            Self::CloseUp => 2.0,
            Self::Stage => 3.0,
        }
    }

    /// Whether a difference passes at this distance.
    #[must_use]
    pub fn passes(self, de00: f64) -> bool {
        de00 <= self.limit()
    }

    /// The verdict at this distance with its figures: "passes close up (1.4 of 2.0)".
    #[must_use]
    pub fn verdict(self, de00: f64) -> String {
        let does = if self.passes(de00) { "passes" } else { "does not pass" };
        format!("{does} {} ({de00:.1} of {:.1})", self.name(), self.limit())
    }

    /// The name as it is written in files and on sheets.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Touching => "edge to edge",
            Self::Beside => "side by side",
            Self::CloseUp => "close up",
            Self::Stage => "on stage",
        }
    }

    /// The viewing of this name; "touching", "beside", "close" and "stage" will do as well.
    pub fn from_name(given: &str) -> Result<Self, Refusal> {
        let wanted = given.trim().to_lowercase().replace(['-', '_'], " ");
        match wanted.as_str() {
            "touching" | "edge to edge" => Ok(Self::Touching),
            "beside" | "side by side" => Ok(Self::Beside),
            "close" | "close up" | "closeup" => Ok(Self::CloseUp),
            "stage" | "on stage" => Ok(Self::Stage),
            _ => Err(Refusal::UnknownName {
                what: "viewing",
                given: given.to_owned(),
                near: nearest(&wanted, ["touching", "beside", "close up", "stage"].into_iter()),
            }),
        }
    }
}

impl Verdict {
    /// The verdict on a difference.
    #[must_use]
    pub fn of(de00: f64) -> Self {
        match de00 {
            d if d <= 1.0 => Self::Match,
            d if d <= 2.0 => Self::UnlessSideBySide,
            d if d <= 3.5 => Self::SameOnStage,
            _ => Self::Correct,
        }
    }

    /// In words, to follow "the two …" or to stand alone.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Match => "passes as a match",
            Self::UnlessSideBySide => "passes as a match unless side by side",
            Self::SameOnStage => "reads as the same on stage",
            Self::Correct => "wants correcting",
        }
    }
}

impl fmt::Display for Viewing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back_and_limits_rise_with_distance() {
        for viewing in Viewing::ALL {
            assert_eq!(Viewing::from_name(viewing.name()), Ok(viewing));
        }
        assert!(Viewing::ALL.windows(2).all(|w| w[0].limit() < w[1].limit()));
        assert!(Viewing::from_name("across").unwrap_err().to_string().contains("across"));
        assert_eq!(Viewing::CloseUp.verdict(1.42), "passes close up (1.4 of 2.0)");
        assert!(!Viewing::Touching.passes(f64::NAN), "what is not a number never passes");
    }

    #[test]
    fn verdicts_at_their_limits() {
        for (de, verdict) in [
            (1.0, Verdict::Match),
            (1.01, Verdict::UnlessSideBySide),
            (3.5, Verdict::SameOnStage),
            (3.51, Verdict::Correct),
            (f64::NAN, Verdict::Correct),
        ] {
            assert_eq!(Verdict::of(de), verdict);
        }
    }
}
