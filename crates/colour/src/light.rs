//! The lights and the two observers a colour can be seen under.
//!
//! The tables themselves are in `tables`; where each light is met is in `place`. Names as printed
//! in CIE 015:2018 (Colorimetry, 4th edition), tables 5, 9.1 and 12.

use std::fmt;

use crate::{BANDS, Refusal, refusal::nearest, tables::tables};

/// A CIE illuminant whose relative spectral power is tabulated in `data/cie_illuminants_5nm.csv`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the variants are the printed names of the illuminants")]
pub enum Light {
    A,
    C,
    D50,
    D55,
    D65,
    D75,
    Fl2,
    Fl7,
    Fl11,
    Fl12,
    LedB1,
    LedB2,
    LedB3,
    LedB4,
    LedB5,
    LedBh1,
    LedRgb1,
    LedV1,
    LedV2,
}

/// The CIE standard observers: 2° for what is small or on a screen, 10° for cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Observer {
    /// CIE 1931, 2°.
    Two,
    /// CIE 1964, 10°.
    Ten,
}

impl Light {
    /// Every light, in the column order of the data file.
    pub const ALL: [Self; 19] = [
        Self::A,
        Self::C,
        Self::D50,
        Self::D55,
        Self::D65,
        Self::D75,
        Self::Fl2,
        Self::Fl7,
        Self::Fl11,
        Self::Fl12,
        Self::LedB1,
        Self::LedB2,
        Self::LedB3,
        Self::LedB4,
        Self::LedB5,
        Self::LedBh1,
        Self::LedRgb1,
        Self::LedV1,
        Self::LedV2,
    ];

    /// The name as CIE prints it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::C => "C",
            Self::D50 => "D50",
            Self::D55 => "D55",
            Self::D65 => "D65",
            Self::D75 => "D75",
            Self::Fl2 => "FL2",
            Self::Fl7 => "FL7",
            Self::Fl11 => "FL11",
            Self::Fl12 => "FL12",
            Self::LedB1 => "LED-B1",
            Self::LedB2 => "LED-B2",
            Self::LedB3 => "LED-B3",
            Self::LedB4 => "LED-B4",
            Self::LedB5 => "LED-B5",
            Self::LedBh1 => "LED-BH1",
            Self::LedRgb1 => "LED-RGB1",
            Self::LedV1 => "LED-V1",
            Self::LedV2 => "LED-V2",
        }
    }

    /// What the light is, for a person.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::A => "tungsten lamp",
            Self::C => "old average daylight",
            Self::D50 => "warm daylight",
            Self::D55 => "sunlight with sky",
            Self::D65 => "daylight",
            Self::D75 => "north-sky daylight",
            Self::Fl2 => "cool white fluorescent tube",
            Self::Fl7 => "daylight fluorescent tube",
            Self::Fl11 => "tri-band fluorescent tube, 4000 K",
            Self::Fl12 => "tri-band fluorescent tube, 3000 K",
            Self::LedB1 => "warm white LED, 2700 K",
            Self::LedB2 => "warm white LED, 3000 K",
            Self::LedB3 => "neutral white LED, 4100 K",
            Self::LedB4 => "cool white LED, 5100 K",
            Self::LedB5 => "cold white LED, 6600 K",
            Self::LedBh1 => "white LED with added red",
            Self::LedRgb1 => "red-green-blue LED",
            Self::LedV1 => "warm white violet-pumped LED",
            Self::LedV2 => "neutral white violet-pumped LED",
        }
    }

    /// The light of this name. Case, spaces, hyphens and a missing L or LED are forgiven:
    /// "fl11", "F11", "led b3" and "B3" are all understood.
    pub fn from_name(given: &str) -> Result<Self, Refusal> {
        let plain = |s: &str| -> String {
            s.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase()).collect()
        };
        let wanted = plain(given);
        let fits = |light: &Self| {
            let own = plain(light.name());
            own == wanted
                || own.strip_prefix("LED").is_some_and(|rest| rest == wanted)
                || own.strip_prefix("FL").is_some_and(|rest| wanted == format!("F{rest}"))
        };
        Self::ALL.into_iter().find(fits).ok_or_else(|| Refusal::UnknownName {
            what: "light",
            given: given.to_owned(),
            near: nearest(given, Self::ALL.iter().map(|l| l.name())),
        })
    }

    /// Relative spectral power on the model grid, 400 to 700 nm by 10 nm, as tabulated. For what sees otherwise than the
    /// two observers (a camera); a colour comes from `Weights`.
    #[must_use]
    pub fn power(self) -> [f64; BANDS] {
        let by_five = tables().light_by_five(self);
        std::array::from_fn(|i| by_five[4 + 2 * i])
    }

    pub(crate) const fn index(self) -> usize {
        self as usize
    }
}

impl fmt::Display for Light {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Observer {
    /// Both observers.
    pub const ALL: [Self; 2] = [Self::Two, Self::Ten];

    /// "2°" or "10°".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Two => "2°",
            Self::Ten => "10°",
        }
    }

    /// The observer written as "2", "10", "2°", "10 deg" and the like.
    pub fn from_name(given: &str) -> Result<Self, Refusal> {
        let digits: String = given.chars().filter(char::is_ascii_digit).collect();
        match digits.as_str() {
            "2" | "1931" => Ok(Self::Two),
            "10" | "1964" => Ok(Self::Ten),
            _ => Err(Refusal::UnknownName {
                what: "observer",
                given: given.to_owned(),
                near: "2° or 10°".to_owned(),
            }),
        }
    }
}

impl fmt::Display for Observer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_reads_back() {
        for light in Light::ALL {
            assert_eq!(Light::from_name(light.name()), Ok(light));
            assert_eq!(Light::ALL[light.index()], light);
        }
        for observer in Observer::ALL {
            assert_eq!(Observer::from_name(observer.name()), Ok(observer));
        }
        assert_eq!(Light::from_name("f11"), Ok(Light::Fl11));
        assert_eq!(Light::from_name("led b3"), Ok(Light::LedB3));
    }

    #[test]
    fn powers_stand_on_the_model_grid() {
        let a = Light::A.power();
        // CIE 015:2018 table 5: A at 400, 560 and 700 nm.
        assert!(
            (a[0] - 14.708).abs() < 1e-3
                && (a[16] - 100.0).abs() < 1e-9
                && (a[30] - 198.261).abs() < 1e-2,
            "{a:?}"
        );
    }

    #[test]
    fn an_unknown_light_is_refused_with_a_near_one() {
        let speech = Light::from_name("D95").unwrap_err().to_string();
        assert!(speech.contains("D95") && speech.contains("D55"), "{speech}");
    }
}
