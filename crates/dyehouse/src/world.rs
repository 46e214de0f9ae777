//! Worlds by name: the words of the simulation, and what one world changes.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use crate::Refusal;
use crate::refusal::within;

/// One world.
#[derive(Debug, Clone, PartialEq)]
pub struct World {
    /// Its name.
    pub name: String,
    /// What is changed, in words.
    pub changed: String,
    /// How far hidden dyes lie from what is published.
    pub truth: Spreads,
    /// How alike two dyeings come out.
    pub scatter: Scatter,
    /// How several dyes look together.
    pub mixing: Mixing,
    /// Share in which one dye's depth counts against the sites of another; 0 to 1.
    pub competition: f64,
    /// Degrees of freedom of Student's t for all scatter; none: normal.
    pub tail_degrees: Option<u32>,
    /// The salt may be forgotten.
    pub salt_forgotten: Option<Salt>,
    /// Another lot is opened on the way.
    pub new_lot: Option<Lot>,
    /// Some swatches are read too early.
    pub unsoaped: Option<Unsoaped>,
    /// A jar of the first recipe holds another dye.
    pub mislabelled: Option<Mislabelled>,
    /// A dye of the first recipe glows.
    pub fluorescent: Option<Fluorescent>,
}

/// How far a hidden dye lies from its estimate, 1 standard deviation.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Spreads {
    /// Strength, log-normal: times or divided by this.
    pub strength_factor: f64,
    /// Saturation, log-normal.
    pub saturation_factor: f64,
    /// All bands together, nm.
    pub peak_nm: f64,
    /// Width of all bands together, %.
    pub width_pct: f64,
    /// Height of each further band, %.
    pub further_height_pct: f64,
    /// Own shift of each further band, nm.
    pub further_nm: f64,
    /// Correlation of one dye's deviations on two fibres; 0 to 1.
    pub fibres_alike: f64,
}

/// How alike two dyeings of one recipe come out, relative, 1 standard deviation, %.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Scatter {
    /// Each dose as measured out.
    pub dose_pct: f64,
    /// What is fixed of all dyes together.
    pub fixation_common_pct: f64,
    /// What is fixed of each dye.
    pub fixation_each_pct: f64,
}

/// How several dyes look together.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize, Serialize)]
#[serde(tag = "law", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Mixing {
    /// K/S add up.
    #[default]
    Sum,
    /// (Σ qᵖ)^(1/p) of what each dye adds alone.
    PowerSum {
        /// p; 1 is the sum.
        exponent: f64,
    },
}

/// The salt is forgotten, and nobody says so.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Salt {
    /// In so many dyeings of a hundred.
    pub chance_pct: f64,
    /// Factor on all dye fixed.
    pub fixed_factor: f64,
}

/// A new lot of every dye.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Lot {
    /// From this swatch of a job on.
    pub from_swatch: u32,
    /// Strength, log-normal: times or divided by this.
    pub strength_factor: f64,
    /// All bands, nm.
    pub peak_nm: f64,
}

/// Swatches read before they were washed off.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Unsoaped {
    /// So many of a hundred.
    pub chance_pct: f64,
    /// Share of the unfixed dye still on the cloth, %.
    pub left_pct: f64,
    /// Whether the reading says so.
    pub stated: bool,
}

/// A jar that holds another dye of the shelf.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Mislabelled {
    /// The main bands of label and contents lie at least so far apart, nm.
    pub peaks_apart_nm: f64,
}

/// A dye that glows.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Fluorescent {
    /// Share of the light absorbed by it that it sends out, %.
    pub yield_pct: f64,
    /// How far above its main band, nm.
    pub shift_nm: f64,
    /// Full width at half height of the emission, cm⁻¹.
    pub width_cm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    truth: Spreads,
    scatter: Scatter,
    world: Vec<Row>,
}

/// One world as written; what is not written is as in the words of the file.
#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    name: String,
    changed: String,
    truth: Option<Spreads>,
    scatter: Option<SomeScatter>,
    mixing: Option<Mixing>,
    competition: Option<f64>,
    tail_degrees: Option<u32>,
    salt_forgotten: Option<Salt>,
    new_lot: Option<Lot>,
    unsoaped: Option<Unsoaped>,
    mislabelled: Option<Mislabelled>,
    fluorescent: Option<Fluorescent>,
}

#[derive(Debug, Clone, Copy, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct SomeScatter {
    dose_pct: Option<f64>,
    fixation_common_pct: Option<f64>,
    fixation_each_pct: Option<f64>,
}

impl World {
    /// The world of this name.
    pub fn named(name: &str) -> Result<&'static Self, Refusal> {
        let known = || Self::all().iter().map(|w| w.name.as_str()).collect::<Vec<_>>().join(", ");
        Self::all()
            .iter()
            .find(|w| w.name == name)
            .ok_or_else(|| Refusal::NoWorld { given: name.to_owned(), known: known() })
    }

    /// Every world of the house, `right` first. Empty only if the embedded file could not be read,
    /// which a test excludes.
    #[must_use]
    pub fn all() -> &'static [Self] {
        static ALL: OnceLock<Vec<World>> = OnceLock::new();
        ALL.get_or_init(|| Self::from_toml(include_str!("../data/worlds.toml")).unwrap_or_default())
    }

    /// Worlds from a text; unknown keys and numbers without sense are refused.
    pub fn from_toml(text: &str) -> Result<Vec<Self>, Refusal> {
        let file: File = toml::from_str(text).map_err(|e| Refusal::file("worlds.toml", e))?;
        file.world.into_iter().map(|row| row.into_world(file.truth, file.scatter)).collect()
    }

    fn admit(self) -> Result<Self, Refusal> {
        let what = |which: &str| format!("{which} of world '{}'", self.name);
        let (t, s) = (&self.truth, &self.scatter);
        let factor = "a factor must lie between 1 and 10";
        let percent = "it must lie between 0 and 100 %";
        within(|| what("the strength factor"), t.strength_factor, 1.0..=10.0, factor)?;
        within(|| what("the saturation factor"), t.saturation_factor, 1.0..=10.0, factor)?;
        for nm in [t.peak_nm, t.further_nm, self.new_lot.map_or(0.0, |l| l.peak_nm)] {
            within(|| what("a shift"), nm, 0.0..=50.0, "it must lie between 0 and 50 nm")?;
        }
        let lot = self.new_lot.map_or(1.0, |l| l.strength_factor);
        within(|| what("the strength factor of a lot"), lot, 1.0..=10.0, factor)?;
        let of_salt =
            self.salt_forgotten.map_or([0.0, 0.0], |s| [s.chance_pct, 100.0 * s.fixed_factor]);
        let of_soap = self.unsoaped.map_or([0.0, 0.0], |u| [u.chance_pct, u.left_pct]);
        let own =
            [t.width_pct, t.further_height_pct, 100.0 * t.fibres_alike, 100.0 * self.competition];
        let scattered = [s.dose_pct, s.fixation_common_pct, s.fixation_each_pct];
        let glow =
            self.fluorescent.map_or([0.0; 3], |f| [f.yield_pct, f.shift_nm, f.width_cm / 100.0]);
        for p in [own.as_slice(), &scattered, &of_salt, &of_soap, &glow].concat() {
            within(|| what("a percentage or share"), p, 0.0..=100.0, percent)?;
        }
        if let Mixing::PowerSum { exponent } = self.mixing {
            within(|| what("the exponent"), exponent, 0.2..=5.0, "it must lie between 0.2 and 5")?;
        }
        if let Some(fluorescent) = self.fluorescent {
            let rule = "it must lie between 100 and 10 000 cm⁻¹";
            within(|| what("the width of emission"), fluorescent.width_cm, 100.0..=10_000.0, rule)?;
        }
        if let Some(degrees) = self.tail_degrees {
            let rule = "it must be 3 to 1000, for the variance to exist";
            within(|| what("the degrees of freedom"), f64::from(degrees), 3.0..=1000.0, rule)?;
        }
        if let Some(jar) = self.mislabelled {
            let rule = "it must lie between 0 and 300 nm";
            within(|| what("the distance of peaks"), jar.peaks_apart_nm, 0.0..=300.0, rule)?;
        }
        Ok(self)
    }
}

impl Row {
    pub(crate) fn into_world(self, truth: Spreads, scatter: Scatter) -> Result<World, Refusal> {
        let own = self.scatter;
        let or = |own: Option<f64>, words: f64| own.unwrap_or(words);
        World {
            name: self.name,
            changed: self.changed,
            truth: self.truth.unwrap_or(truth),
            scatter: Scatter {
                dose_pct: or(own.and_then(|s| s.dose_pct), scatter.dose_pct),
                fixation_common_pct: or(
                    own.and_then(|s| s.fixation_common_pct),
                    scatter.fixation_common_pct,
                ),
                fixation_each_pct: or(
                    own.and_then(|s| s.fixation_each_pct),
                    scatter.fixation_each_pct,
                ),
            },
            mixing: self.mixing.unwrap_or_default(),
            competition: self.competition.unwrap_or(0.0),
            tail_degrees: self.tail_degrees,
            salt_forgotten: self.salt_forgotten,
            new_lot: self.new_lot,
            unsoaped: self.unsoaped,
            mislabelled: self.mislabelled,
            fluorescent: self.fluorescent,
        }
        .admit()
    }

    pub(crate) fn of(world: &World) -> Self {
        let scatter = world.scatter;
        Self {
            name: world.name.clone(),
            changed: world.changed.clone(),
            truth: Some(world.truth),
            scatter: Some(SomeScatter {
                dose_pct: Some(scatter.dose_pct),
                fixation_common_pct: Some(scatter.fixation_common_pct),
                fixation_each_pct: Some(scatter.fixation_each_pct),
            }),
            mixing: Some(world.mixing),
            competition: Some(world.competition),
            tail_degrees: world.tail_degrees,
            salt_forgotten: world.salt_forgotten,
            new_lot: world.new_lot,
            unsoaped: world.unsoaped,
            mislabelled: world.mislabelled,
            fluorescent: world.fluorescent,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_world_is_read_and_says_what_it_changes() {
        let worlds = World::from_toml(include_str!("../data/worlds.toml")).unwrap();
        assert_eq!(worlds.len(), World::all().len());
        let right = World::named("right").unwrap();
        for world in &worlds[1..] {
            let alike =
                World { name: right.name.clone(), changed: right.changed.clone(), ..world.clone() };
            assert!(alike != *right, "{} changes nothing", world.name);
            assert!(world.changed.len() > 20, "{} does not say what it changes", world.name);
        }
    }

    #[test]
    fn what_makes_no_world_is_refused() {
        let good = include_str!("../data/worlds.toml");
        for (from, to, word) in [
            ("competition = 1.0", "competiton = 1.0", "competiton"),
            ("competition = 1.0", "competition = -1.0", "between 0 and 100"),
            ("strength_factor = 1.4", "strength_factor = 0.9", "between 1 and 10"),
            ("tail_degrees = 3", "tail_degrees = 2", "3 to 1000"),
            ("law = \"power-sum\"", "law = \"filter\"", "filter"),
            ("exponent = 1.25", "exponent = nan", "between 0.2 and 5"),
        ] {
            assert!(good.contains(from));
            let speech = World::from_toml(&good.replace(from, to)).unwrap_err().to_string();
            assert!(speech.contains(word), "{speech}");
        }
        let speech = World::named("wrong").unwrap_err().to_string();
        assert!(speech.contains("'wrong'") && speech.contains("competition"), "{speech}");
    }
}
