//! The places a costume is seen in, each as the lights that stand for it.
//!
//! Several lights at one place mean: judge by the worst. The choice of lights is common practice
//! (CIE 015:2018 tables; store lighting is known to vary widely), not a survey of halls.

use std::fmt;

use crate::{Light, Refusal, refusal::nearest};

/// Where a colour is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// Outdoors, the reference of the trade.
    Daylight,
    /// Shops and offices: tri-band tube, cool white tube, neutral LED.
    Shop,
    /// Halls: neutral and cool LED, tri-band tube.
    Hall,
    /// A lamp at home: warm LED or warm tri-band.
    Home,
    /// A stage lit by tungsten lamps.
    Stage,
    /// A photographer's flash.
    Flash,
}

impl Place {
    /// Every place.
    pub const ALL: [Self; 6] =
        [Self::Daylight, Self::Shop, Self::Hall, Self::Home, Self::Stage, Self::Flash];

    /// The lights of the place; the worst of them counts.
    #[must_use]
    pub const fn lights(self) -> &'static [Light] {
        match self {
            Self::Daylight => &[Light::D65],
            Self::Shop => &[Light::Fl11, Light::Fl2, Light::LedB3],
            Self::Hall => &[Light::LedB3, Light::LedB4, Light::Fl11],
            Self::Home => &[Light::LedB1, Light::Fl12],
            Self::Stage => &[Light::A],
            Self::Flash => &[Light::D55],
        }
    }

    /// The name as it is written in files and on sheets.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Daylight => "daylight",
            Self::Shop => "shop",
            Self::Hall => "hall lamps",
            Self::Home => "home bulb",
            Self::Stage => "stage tungsten",
            Self::Flash => "flash",
        }
    }

    /// The place of this name; the first word alone will do ("hall", "Stage").
    pub fn from_name(given: &str) -> Result<Self, Refusal> {
        let wanted = given.trim().to_lowercase().replace(['-', '_'], " ");
        let fits = |p: &Self| p.name() == wanted || p.name().split(' ').next() == Some(&wanted);
        Self::ALL.into_iter().find(fits).ok_or_else(|| Refusal::UnknownName {
            what: "place",
            given: given.to_owned(),
            near: nearest(&wanted, Self::ALL.iter().map(|p| p.name())),
        })
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_reads_back() {
        for place in Place::ALL {
            assert_eq!(Place::from_name(place.name()), Ok(place));
            assert!(!place.lights().is_empty());
        }
        assert_eq!(Place::from_name("Hall"), Ok(Place::Hall));
        assert!(Place::from_name("garden").unwrap_err().to_string().contains("garden"));
    }
}
