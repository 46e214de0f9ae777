//! A reading: what was measured or told about one cloth, with its spread, condition and origin.
//!
//! The value keeps its own form: a spectrum on its own grid, or Lab bound to light and observer.
//! What had to be assumed on the way in stands in `notes` and must be shown. Left out: the most
//! likely spectrum of a colour alone (see `prior`).

use crate::{Bands, Colour, Lab, Light, Observer, Refusal, ScreenColour, Spectrum};

/// One reading of one cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What the source calls it, if anything.
    pub name: Option<String>,
    /// What was read.
    pub value: Value,
    /// How far it may be off.
    pub spread: Spread,
    /// The state of the cloth when it was read.
    pub condition: Condition,
    /// Where the reading comes from.
    pub origin: Origin,
    /// What was assumed in taking it in, in whole sentences.
    pub notes: Vec<String>,
}

/// What was read.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A reflectance spectrum: holds under every light.
    Spectrum(Spectrum),
    /// One colour, under one light, for one observer.
    Colour(Colour),
}

/// How far a reading may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Nobody knows.
    Unknown,
    /// The rms ΔE00 of the reading from the truth.
    Rms(f64),
    /// Covariance of L*, a*, b*.
    Covariance([[f64; 3]; 3]),
}

/// The state of the cloth when it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "the variants are the trade's own words")]
pub enum Condition {
    Unknown,
    Wet,
    Damp,
    Dry,
    Washed,
    Ironed,
    Conditioned,
}

/// Where a reading comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// Nobody knows.
    Unknown,
    /// Typed by a person.
    Typed,
    /// A colour picked from a screen or picture.
    Screen(ScreenColour),
    /// A file of this name.
    File(String),
    /// An instrument, as the file names it.
    Instrument(String),
    /// A photograph of this name.
    Photograph(String),
    /// The program's own prediction.
    Predicted,
    /// Made up for a demonstration.
    Invented,
}

impl Reading {
    /// A spectrum, with nothing else known.
    #[must_use]
    pub fn of_spectrum(spectrum: Spectrum, origin: Origin) -> Self {
        Self::of(Value::Spectrum(spectrum), origin)
    }

    /// A colour, with nothing else known.
    #[must_use]
    pub fn of_colour(colour: Colour, origin: Origin) -> Self {
        Self::of(Value::Colour(colour), origin)
    }

    /// A screen colour as Lab D65/2°.
    #[must_use]
    pub fn of_screen(screen: ScreenColour) -> Self {
        Self::of_colour(Colour::d65_2(screen.to_lab2()), Origin::Screen(screen))
    }

    fn of(value: Value, origin: Origin) -> Self {
        Self {
            name: None,
            value,
            spread: Spread::Unknown,
            condition: Condition::Unknown,
            origin,
            notes: Vec::new(),
        }
    }

    /// The colour under a light for an observer; refused when only one other is known.
    pub fn try_colour(&self, light: Light, observer: Observer) -> Result<Colour, Refusal> {
        match &self.value {
            Value::Spectrum(s) => Ok(Colour { lab: s.lab(light, observer), light, observer }),
            Value::Colour(c) if c.light == light && c.observer == observer => Ok(*c),
            Value::Colour(c) => Err(Refusal::Unlike {
                left_light: c.light,
                left_observer: c.observer,
                right_light: light,
                right_observer: observer,
            }),
        }
    }

    /// Lab in the trade's reference, D65/10°.
    pub fn try_lab(&self) -> Result<Lab, Refusal> {
        self.try_colour(Light::D65, Observer::Ten).map(|c| c.lab)
    }

    /// The spectrum on the model grid, when there is one.
    pub fn try_bands(&self) -> Option<Result<Bands, Refusal>> {
        match &self.value {
            Value::Spectrum(s) => Some(s.try_to_bands()),
            Value::Colour(_) => None,
        }
    }

    /// The name, or what stands for it in a sentence.
    #[must_use]
    pub fn called<'a>(&'a self, otherwise: &'a str) -> &'a str {
        self.name.as_deref().unwrap_or(otherwise)
    }
}

impl Spread {
    /// A stated rms ΔE00; finite and not negative.
    pub fn try_rms(given: f64) -> Result<Self, Refusal> {
        let what = || "the spread of a reading".to_owned();
        if !given.is_finite() {
            return Err(Refusal::NotFinite { what: what(), given });
        }
        if !(0.0..=20.0).contains(&given) {
            return Err(Refusal::OutOfRange {
                what: what(),
                given,
                rule: "it is an rms colour difference and must lie between 0 and 20; write \
                       \"unknown\" when nobody knows"
                    .to_owned(),
            });
        }
        Ok(Self::Rms(given))
    }
}

impl Condition {
    /// Every condition.
    pub const ALL: [Self; 7] = [
        Self::Unknown,
        Self::Wet,
        Self::Damp,
        Self::Dry,
        Self::Washed,
        Self::Ironed,
        Self::Conditioned,
    ];

    /// The word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Wet => "wet",
            Self::Damp => "damp",
            Self::Dry => "dry",
            Self::Washed => "washed",
            Self::Ironed => "ironed",
            Self::Conditioned => "conditioned",
        }
    }

    /// The condition of this name.
    pub fn from_name(given: &str) -> Result<Self, Refusal> {
        let wanted = given.trim().to_lowercase();
        Self::ALL.into_iter().find(|c| c.name() == wanted).ok_or_else(|| Refusal::UnknownName {
            what: "condition",
            given: given.to_owned(),
            near: crate::refusal::nearest(&wanted, Self::ALL.iter().map(|c| c.name())),
        })
    }

    /// Whether a match may be judged on it: never on wet or damp cloth, which is darker.
    #[must_use]
    pub const fn can_be_judged(self) -> bool {
        !matches!(self, Self::Wet | Self::Damp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colour_alone_is_known_under_its_own_light_only() {
        let reading =
            Reading::of_colour(Colour::d65_10(Lab::new(40.0, 10.0, -20.0)), Origin::Typed);
        assert_eq!(reading.try_lab(), Ok(Lab::new(40.0, 10.0, -20.0)));
        assert!(reading.try_colour(Light::A, Observer::Ten).is_err());
        assert!(reading.try_bands().is_none());
        let screen = Reading::of_screen(ScreenColour::from_hex("#336699").unwrap());
        assert!(screen.try_lab().is_err(), "a screen's 2° colour is not a cloth's 10° colour");
    }

    #[test]
    fn conditions_read_back_and_wet_cloth_is_not_judged() {
        for c in Condition::ALL {
            assert_eq!(Condition::from_name(c.name()), Ok(c));
        }
        assert!(Condition::from_name("dyr").unwrap_err().to_string().contains("dry"));
        assert!(!Condition::Wet.can_be_judged() && Condition::Unknown.can_be_judged());
        assert!(Spread::try_rms(f64::NAN).is_err() && Spread::try_rms(-1.0).is_err());
    }
}
