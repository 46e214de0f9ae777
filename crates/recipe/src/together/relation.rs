//! Who is darker, who is warmer, who is louder, and which pieces are of one colour.
//!
//! What the eye keeps of a costume when no colour is exact. A relation counts when the targets show
//! it by a visible step, and is kept while the cloths still show half of that step the same way; the
//! steps are judgements of ours, written here so that they can be argued with.
//!
//! | relation | measured by | counts from | kept from |
//! | --- | --- | --- | --- |
//! | darker | L* of the other less its own | 3 | 1.5 |
//! | louder | chroma C*ab less the other's | 4 | 2 |
//! | warmer | angle to the warm pole less the other's, as an arc at the mean chroma of both | 4 | 2 |
//! | alike | ΔE00 | at most 1 | at most 1.5 |
//!
//! The warm pole is at a hue angle of 60° (orange). An angle means less the duller the colour, so the
//! difference of the two angles is taken as an arc (radians × geometric mean of both chromas): greys
//! are neither warm nor cold. The limits for alike are those of panels of one garment (1.0) and of trim
//! beside the main cloth (1.5).

use colour::{Lab, ciede2000};

/// Hue angle of the warm pole, degrees.
pub const WARM_POLE: f64 = 60.0;

/// What one piece is to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Compared {
    /// The first is darker.
    Darker,
    /// The first is warmer.
    Warmer,
    /// The first is louder: of higher chroma.
    Louder,
    /// Both are of one colour.
    Alike,
}

impl Compared {
    /// Every relation.
    pub const ALL: [Self; 4] = [Self::Darker, Self::Warmer, Self::Louder, Self::Alike];

    /// What the first piece is to the second, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Darker => "darker than",
            Self::Warmer => "warmer than",
            Self::Louder => "louder than",
            Self::Alike => "the same colour as",
        }
    }

    /// How big it must be in the targets to count; for [`Compared::Alike`] the most it may be.
    #[must_use]
    pub const fn step(self) -> f64 {
        match self {
            Self::Darker => 3.0,
            Self::Warmer | Self::Louder => 4.0,
            Self::Alike => 1.0,
        }
    }

    /// How much of it two colours show, the first against the second: L*, C*ab, arc or ΔE00.
    #[must_use]
    pub fn size(self, first: Lab, second: Lab) -> f64 {
        match self {
            Self::Darker => second.l - first.l,
            Self::Louder => first.chroma() - second.chroma(),
            Self::Warmer => {
                let mean = (first.chroma() * second.chroma()).sqrt();
                mean * (from_pole(second) - from_pole(first)).to_radians()
            }
            Self::Alike => ciede2000(first, second),
        }
    }

    /// Whether so much of it still tells the first from the second (or, of [`Compared::Alike`], does not).
    #[must_use]
    pub fn kept(self, size: f64) -> bool {
        match self {
            Self::Alike => size <= 1.5,
            _ => size >= self.step() / 2.0,
        }
    }

    /// How much is missing from a full step; 0 when none is.
    pub(super) fn missing(self, size: f64) -> f64 {
        match self {
            Self::Alike => (size - self.step()).max(0.0),
            _ => (self.step() - size).max(0.0),
        }
    }

    fn counts(self, size: f64) -> bool {
        match self {
            Self::Alike => size <= self.step(),
            _ => size >= self.step(),
        }
    }
}

/// Degrees between a colour's hue and the warm pole, 0 to 180.
fn from_pole(lab: Lab) -> f64 {
    let away = (lab.to_lch().h - WARM_POLE).abs();
    if away > 180.0 { 360.0 - away } else { away }
}

/// A relation of the targets, and what becomes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relation {
    /// The piece that is darker, warmer or louder: its place among the wishes.
    pub first: usize,
    /// The piece that it is compared with.
    pub second: usize,
    /// What it is to it.
    pub which: Compared,
    /// How big in the targets: L*, C*ab, arc or ΔE00 as in [`Compared::size`].
    pub wanted: f64,
    /// How big when each piece goes to its own nearest colour.
    pub alone: f64,
    /// How big when brought to cloth together.
    pub together: f64,
}

impl Relation {
    /// Whether it is kept when each piece goes its own way.
    #[must_use]
    pub fn kept_alone(&self) -> bool {
        self.which.kept(self.alone)
    }

    /// Whether it is kept together.
    #[must_use]
    pub fn kept_together(&self) -> bool {
        self.which.kept(self.together)
    }
}

/// The relations that targets show between neighbours (pairs of places, each once), with what they are alone.
pub(super) fn relations(
    targets: &[Lab],
    alone: &[Lab],
    neighbours: &[(usize, usize)],
) -> Vec<Relation> {
    let mut found = vec![];
    for &(a, b) in neighbours {
        for which in Compared::ALL {
            for (first, second) in [(a, b), (b, a)] {
                let wanted = which.size(targets[first], targets[second]);
                if !which.counts(wanted) || (which == Compared::Alike && first > second) {
                    continue;
                }
                let alone = which.size(alone[first], alone[second]);
                found.push(Relation { first, second, which, wanted, alone, together: alone });
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_by_hand() {
        let (orange, red) = (Lab::new(60.0, 20.0, 34.641), Lab::new(45.0, 40.0, 0.0));
        let check = |which: Compared, first, second, size: f64| {
            let found = which.size(first, second);
            assert!((found - size).abs() < 1e-3, "{which:?} {found} {size}");
        };
        check(Compared::Darker, red, orange, 15.0);
        check(Compared::Louder, red, orange, 0.0);
        // 60° from the pole, both of chroma 40: an arc of 40 × π/3.
        check(Compared::Warmer, orange, red, 41.8879);
        check(Compared::Warmer, red, orange, -41.8879);
        // Blue is at 280°, 140° away; magenta at 350°, 70° away.
        let at = |h: f64| colour::Lch { l: 50.0, c: 30.0, h }.to_lab();
        check(Compared::Warmer, at(350.0), at(280.0), 30.0 * 70f64.to_radians());
        // A grey is neither warm nor cold.
        check(Compared::Warmer, orange, Lab::new(50.0, 0.0, 0.0), 0.0);
    }

    #[test]
    fn only_a_visible_step_counts() {
        let targets =
            [Lab::new(50.0, 0.0, 0.0), Lab::new(52.9, 0.0, 0.0), Lab::new(53.0, 0.0, 0.0)];
        let all = relations(&targets, &targets, &[(0, 1), (0, 2), (1, 2)]);
        let said: Vec<_> = all.iter().map(|r| (r.first, r.second, r.which)).collect();
        assert_eq!(said, [(0, 2, Compared::Darker), (1, 2, Compared::Alike)]);
        assert!(all.iter().all(|r| r.kept_alone() && r.kept_together()));
        assert!(
            !Compared::Darker.kept(1.4) && Compared::Darker.kept(1.5) && !Compared::Alike.kept(1.6)
        );
    }
}
