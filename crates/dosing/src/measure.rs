//! What volumes are measured with: syringes and jugs with marks, level spoons, drops.
//!
//! Spoons and drops measure liquids only (a stock, a bought liquid): powder packs itself by grind and
//! damp, so no dye powder is ever dosed by spoon. Both are far less sure than a syringe, and their
//! spreads say so; they are taken where the kit has nothing better.

use units::Volume;

use crate::kit::together;
use crate::{DosingRefusal, Shown, Syringe};

/// Most sorts of spoons in a kit.
const MOST_SPOONS: usize = 4;

/// Anything a volume of liquid is measured with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// A syringe, or a jug with marks.
    Marked(Syringe),
    /// Level spoons of one or more sizes.
    Spoons(Spoons),
    /// Drops.
    Drops,
}

/// A set of measuring spoons: every larger one is a whole number of the smallest, so that whole
/// spoonfuls make up the volume in steps of the smallest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spoons {
    /// In thousandths of a millilitre, smallest first; 0 where there is none.
    sizes: [u64; MOST_SPOONS],
}

/// A drop, thousandths of a millilitre: twenty to the millilitre (the pharmacist's drop of water,
/// common practice).
const DROP: u64 = 50;
/// How far the drops of one dropper may be off, one standard deviation: its bore, the slant it is
/// held at and the liquid decide (common practice says "about"; 15 % is our estimate).
const OF_DROPS: f64 = 0.15;
/// Fewer drops cannot be rounded within a tenth; more are miscounted (ours).
const DROPS: std::ops::RangeInclusive<u64> = 5..=40;
/// How far the spoons of one household may be off, one standard deviation (our estimate): spoons
/// sold by one size differ, and "level" of a liquid is a brim with or without a bulge.
const OF_SPOONS: f64 = 0.08;
/// What each spoonful adds of its own (our estimate).
const OF_A_SPOONFUL: f64 = 0.10;
/// More spoonfuls than this are miscounted (ours).
const MOST_SPOONFULS: u64 = 10;
/// Whole spoonfuls must come this near to what is wanted (ours; as near as five marks of a syringe).
const SPOONS_WITHIN: f64 = 0.1;

impl Spoons {
    /// The sets that can be made of these spoons, one for each spoon as the smallest of its set.
    /// Refuses a spoon that is not from 0.5 to 50 mL in whole thousandths, the same one twice, and
    /// more than four.
    pub(crate) fn sets_of(spoons: &[Volume]) -> Result<Vec<Self>, DosingRefusal> {
        let mut sizes = Vec::new();
        for &given in spoons {
            let size = thousandths(given).filter(|size| (500..=50_000).contains(size));
            let size = size.ok_or(DosingRefusal::Spoon { given })?;
            if sizes.contains(&size) {
                return Err(DosingRefusal::SpoonTwice { given });
            }
            sizes.push(size);
        }
        if sizes.len() > MOST_SPOONS {
            return Err(DosingRefusal::Spoons { count: sizes.len(), most: MOST_SPOONS });
        }
        sizes.sort_unstable();
        Ok((0..sizes.len()).map(|from| Self::from_smallest(&sizes[from..])).collect())
    }

    fn from_smallest(sizes: &[u64]) -> Self {
        let mut set = [0; MOST_SPOONS];
        let fitting = sizes.iter().filter(|size| size.is_multiple_of(sizes[0]));
        for (place, size) in set.iter_mut().zip(fitting) {
            *place = *size;
        }
        Self { sizes: set }
    }

    /// How many of each spoon make up this volume, the largest spoon first.
    fn spoonfuls(self, volume: u64) -> impl Iterator<Item = (u64, u64)> {
        let mut rest = volume;
        self.sizes.into_iter().rev().filter(|size| *size > 0).filter_map(move |size| {
            let count = rest / size;
            rest %= size;
            (count > 0).then_some((count, size))
        })
    }

    fn count(self, volume: u64) -> u64 {
        self.spoonfuls(volume).map(|(count, _)| count).sum()
    }
}

impl Measure {
    /// The volume nearest to what is wanted that it can measure, half away from zero.
    #[must_use]
    pub fn shows(self, volume: Volume) -> Shown {
        match self {
            Self::Marked(syringe) => syringe.shows(volume),
            _ => Shown::from_units(self.nearest(volume) * self.step(), 3).trimmed(),
        }
    }

    /// Whether it measures this volume: syringes as [`Syringe::suits`]; spoons when at most ten whole
    /// spoonfuls come within a tenth of it; drops from five to forty.
    #[must_use]
    pub fn suits(self, volume: Volume) -> bool {
        let steps = self.nearest(volume);
        match self {
            Self::Marked(syringe) => Volume::try_millilitres(syringe.shows(volume).value())
                .is_ok_and(|shown| syringe.suits(shown)),
            Self::Spoons(spoons) => {
                let shown = steps.saturating_mul(self.step());
                let off = (millilitres(shown) / volume.to_millilitres() - 1.0).abs();
                (1..=MOST_SPOONFULS).contains(&spoons.count(shown)) && off <= SPOONS_WITHIN + 1e-9
            }
            Self::Drops => DROPS.contains(&steps),
        }
    }

    /// How many fills, spoonfuls or drops the nearest measurable volume takes.
    #[must_use]
    pub fn fills(self, volume: Volume) -> u32 {
        match self {
            Self::Marked(syringe) => syringe.fills(volume),
            Self::Spoons(spoons) => {
                small(spoons.count(self.nearest(volume).saturating_mul(self.step())))
            }
            Self::Drops => small(self.nearest(volume)),
        }
    }

    /// Scatter of a measured volume, one standard deviation, as a share of it.
    #[must_use]
    pub fn relative_scatter(self, volume: Volume) -> f64 {
        match self {
            Self::Marked(syringe) => syringe.relative_scatter(volume),
            Self::Spoons(_) => {
                together(OF_SPOONS, OF_A_SPOONFUL / f64::from(self.fills(volume).max(1)).sqrt())
            }
            Self::Drops => OF_DROPS,
        }
    }

    /// The volume of one step: from mark to mark, the smallest spoon, one drop.
    #[must_use]
    pub fn mark(self) -> Volume {
        Volume::try_millilitres(self.mark_ml()).unwrap_or(Volume::ZERO)
    }

    /// A measured volume in words: "with the 10 mL syringe", "in 2 fills of the 10 mL syringe",
    /// "as 2 level spoons of 15 mL and 1 of 5 mL", "as 12 drops".
    #[must_use]
    pub fn words(self, volume: Volume) -> String {
        match self {
            Self::Marked(syringe) => match syringe.fills(volume) {
                1 => format!("with the {}", syringe.words()),
                n => format!("in {n} fills of the {}", syringe.words()),
            },
            Self::Spoons(spoons) => {
                let shown = self.nearest(volume).saturating_mul(self.step());
                let mut words = String::from("as ");
                for (i, (count, size)) in spoons.spoonfuls(shown).enumerate() {
                    let noun = match (i, count) {
                        (0, 1) => " level spoon of",
                        (0, _) => " level spoons of",
                        _ => " of",
                    };
                    let and = if i == 0 { "" } else { " and " };
                    let size = Shown::from_units(size, 3).trimmed();
                    words += &format!("{and}{count}{noun} {size} mL");
                }
                words
            }
            Self::Drops => format!("as {} drops", self.nearest(volume)),
        }
    }

    /// True for measures whose spread must be said aloud.
    pub(crate) const fn rough(self) -> bool {
        matches!(self, Self::Spoons(_) | Self::Drops)
    }

    pub(crate) fn mark_ml(self) -> f64 {
        match self {
            Self::Marked(syringe) => syringe.mark_ml(),
            _ => millilitres(self.step()),
        }
    }

    /// In thousandths of a millilitre.
    const fn step(self) -> u64 {
        match self {
            Self::Marked(_) => 1,
            Self::Spoons(spoons) => spoons.sizes[0],
            Self::Drops => DROP,
        }
    }

    /// Whole steps nearest to a volume.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "not negative, and a volume is at most 1e9 thousandths"
    )]
    fn nearest(self, volume: Volume) -> u64 {
        (volume.to_millilitres() / millilitres(self.step()) * (1.0 + 1e-13)).round() as u64
    }
}

impl From<Syringe> for Measure {
    fn from(syringe: Syringe) -> Self {
        Self::Marked(syringe)
    }
}

/// Whole thousandths of a millilitre.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "checked: whole, and a volume is at most 1e9 thousandths"
)]
pub(crate) fn thousandths(volume: Volume) -> Option<u64> {
    let exact = volume.to_millilitres() * 1000.0;
    let near = exact.round();
    ((exact - near).abs() < 1e-6 && near >= 1.0).then_some(near as u64)
}

#[expect(clippy::cast_precision_loss, reason = "at most 1e9")]
fn millilitres(thousandths: u64) -> f64 {
    thousandths as f64 / 1000.0
}

fn small(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    type Checked = Result<(), Box<dyn std::error::Error>>;

    fn ml(given: f64) -> Result<Volume, units::NotAQuantity> {
        Volume::try_millilitres(given)
    }

    fn sets(sizes: &[f64]) -> Result<Vec<Spoons>, Box<dyn std::error::Error>> {
        let sizes: Vec<Volume> = sizes.iter().map(|s| ml(*s)).collect::<Result<_, _>>()?;
        Ok(Spoons::sets_of(&sizes)?)
    }

    #[test]
    fn whole_spoonfuls_make_up_a_volume() -> Checked {
        let all = Measure::Spoons(sets(&[15.0, 2.5, 5.0])?[0]);
        for (want, shown, words) in [
            (27.3, "27.5", "as 1 level spoon of 15 mL and 2 of 5 mL and 1 of 2.5 mL"),
            (15.0, "15", "as 1 level spoon of 15 mL"),
            (31.0, "30", "as 2 level spoons of 15 mL"),
        ] {
            assert!(all.suits(ml(want)?), "{want}");
            assert_eq!(all.shows(ml(want)?).to_string(), shown);
            assert_eq!(all.words(ml(want)?), words);
        }
        // A quarter off, and more spoonfuls than anybody counts.
        assert!(!all.suits(ml(2.0)?) && !all.suits(ml(200.0)?));
        // A spoon that is no whole number of the smallest stands in a set of its own.
        assert_eq!(sets(&[1.0, 2.5, 5.0])?[0].sizes, [1000, 5000, 0, 0]);
        assert_eq!(sets(&[1.0, 2.5, 5.0])?[1].sizes, [2500, 5000, 0, 0]);
        Ok(())
    }

    #[test]
    fn spoons_and_drops_are_less_sure_than_a_syringe() -> Checked {
        let syringe = Measure::from(Syringe::try_new(ml(10.0)?, ml(0.2)?)?);
        let spoon = Measure::Spoons(sets(&[5.0])?[0]);
        let at = |it: Measure, volume: f64| ml(volume).map(|v| it.relative_scatter(v));
        assert!(at(spoon, 5.0)? > 4.0 * at(syringe, 5.0)?);
        assert!(at(spoon, 5.0)? > at(spoon, 20.0)?);
        assert!((at(Measure::Drops, 1.0)? - 0.15).abs() < 1e-12);
        assert_eq!(Measure::Drops.words(ml(0.61)?), "as 12 drops");
        assert!(!Measure::Drops.suits(ml(0.2)?) && !Measure::Drops.suits(ml(2.1)?));
        Ok(())
    }

    #[test]
    fn spoons_that_are_none_are_refused() -> Checked {
        for bad in [[0.2, 5.0], [5.0, 250.0], [5.0, 5.0]] {
            assert!(sets(&bad).is_err(), "{bad:?}");
        }
        assert!(sets(&[1.0, 2.0, 3.0, 4.0, 5.0]).is_err());
        Ok(())
    }
}
