//! Screens: sRGB and Display P3 in and out, always D65/2°, and whether a screen can show a colour.
//!
//! Sources: IEC 61966-2-1 (sRGB) and the CSS Color 4 sample code for both spaces, whose rational
//! matrices are used as printed there (from memory; a test derives them anew from the primaries).
//! The screen's white is taken as the D65/2° white of the program's own table, so that a perfect
//! white is #ffffff exactly. Left out: what cloth a screen colour most likely is (see `prior`).

use crate::{Bands, Lab, Lch, Light, Observer, Refusal, Weights, Xyz, ciede2000, maths};

/// A kind of screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Screen {
    /// sRGB, the common denominator.
    Srgb,
    /// Display P3, the wide screens of phones.
    DisplayP3,
}

/// A colour as a screen's encoded red, green, blue, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenColour {
    screen: Screen,
    rgb: [f64; 3],
}

/// A cloth's colour as a screen can show it, and whether it really can.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The nearest colour of the same lightness and hue that the screen has.
    pub colour: ScreenColour,
    /// Whether the screen has the colour itself.
    pub inside: bool,
    /// ΔE00 (2°) from the true colour to the one shown; 0 when inside.
    pub away: f64,
}

impl ScreenColour {
    /// Encoded red, green and blue from 0 to 1.
    pub fn try_new(screen: Screen, rgb: [f64; 3]) -> Result<Self, Refusal> {
        for (what, given) in ["red", "green", "blue"].into_iter().zip(rgb) {
            if !given.is_finite() {
                return Err(Refusal::NotFinite { what: what.to_owned(), given });
            }
            if !(0.0..=1.0).contains(&given) {
                return Err(Refusal::OutOfRange {
                    what: what.to_owned(),
                    given,
                    rule: "it must lie between 0 and 1; divide 8-bit values by 255".to_owned(),
                });
            }
        }
        Ok(Self { screen, rgb })
    }

    /// sRGB from "#2f6f5a", "2f6f5a" or "#2f6".
    pub fn from_hex(given: &str) -> Result<Self, Refusal> {
        let refuse = || Refusal::Hex { given: given.chars().take(40).collect() };
        let text = given.trim();
        let digits = text.strip_prefix('#').unwrap_or(text);
        let values: Option<Vec<u32>> = digits.chars().map(|c| c.to_digit(16)).collect();
        let bytes: [u32; 3] = match values.ok_or_else(refuse)?.as_slice() {
            [r, g, b] => [r * 17, g * 17, b * 17],
            [r1, r0, g1, g0, b1, b0] => [r1 * 16 + r0, g1 * 16 + g0, b1 * 16 + b0],
            _ => return Err(refuse()),
        };
        Ok(Self { screen: Screen::Srgb, rgb: bytes.map(|b| f64::from(b) / 255.0) })
    }

    /// The nearest 8-bit hex, "#2f6f5a".
    #[must_use]
    pub fn to_hex(&self) -> String {
        let [r, g, b] = self.to_bytes();
        format!("#{r:02x}{g:02x}{b:02x}")
    }

    /// The nearest 8-bit red, green, blue.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "rounded and clamped to 0–255 just before"
    )]
    pub fn to_bytes(&self) -> [u8; 3] {
        self.rgb.map(|c| (c * 255.0).round().clamp(0.0, 255.0) as u8)
    }

    /// The screen it is encoded for.
    #[must_use]
    pub const fn screen(&self) -> Screen {
        self.screen
    }

    /// Encoded red, green, blue, 0 to 1.
    #[must_use]
    pub const fn rgb(&self) -> [f64; 3] {
        self.rgb
    }

    /// XYZ for the 2° observer, Y of the screen's white = 100.
    #[must_use]
    pub fn to_xyz2(&self) -> Xyz {
        let [x, y, z] = times(self.screen.xyz_of_rgb(), self.rgb.map(decoded));
        let white = white2();
        Xyz { x: x / WHITE[0] * white.x, y: y * white.y, z: z / WHITE[2] * white.z }
    }

    /// Lab D65/2°.
    #[must_use]
    pub fn to_lab2(&self) -> Lab {
        self.to_xyz2().to_lab(white2())
    }
}

impl Shown {
    /// A cloth on a screen, integrated under D65 for the 2° observer.
    #[must_use]
    pub fn of_bands(screen: Screen, bands: &Bands) -> Self {
        Self::of_lab2(screen, Weights::of(Light::D65, Observer::Two).lab(bands))
    }

    /// A Lab D65/2° on a screen: itself, or the same lightness and hue with less chroma.
    #[must_use]
    pub fn of_lab2(screen: Screen, lab: Lab) -> Self {
        let rgb = encoded_rgb(screen, lab);
        if inside(rgb) {
            return Self { colour: clipped(screen, rgb), inside: true, away: 0.0 };
        }
        let lab = Lab { l: lab.l.clamp(0.0, 100.0), ..lab };
        let full = lab.to_lch();
        let at = |c: f64| encoded_rgb(screen, Lch { c, ..full }.to_lab());
        let (mut low, mut high) = (0.0, full.c);
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if inside(at(middle)) { low = middle } else { high = middle }
        }
        let colour = clipped(screen, at(low));
        Self { colour, inside: false, away: ciede2000(lab, colour.to_lab2()) }
    }

    /// What has to be said beside the chip, if anything.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        (!self.inside).then(|| {
            format!("a screen cannot show this colour; the chip is {:.1} away from it", self.away)
        })
    }
}

impl Screen {
    const fn xyz_of_rgb(self) -> [[f64; 3]; 3] {
        match self {
            Self::Srgb => [
                [506_752.0 / 1_228_815.0, 87_881.0 / 245_763.0, 12_673.0 / 70_218.0],
                [87_098.0 / 409_605.0, 175_762.0 / 245_763.0, 12_673.0 / 175_545.0],
                [7_918.0 / 409_605.0, 87_881.0 / 737_289.0, 1_001_167.0 / 1_053_270.0],
            ],
            Self::DisplayP3 => [
                [608_311.0 / 1_250_200.0, 189_793.0 / 714_400.0, 198_249.0 / 1_000_160.0],
                [35_783.0 / 156_275.0, 247_089.0 / 357_200.0, 198_249.0 / 2_500_400.0],
                [0.0, 32_229.0 / 714_400.0, 5_220_557.0 / 5_000_800.0],
            ],
        }
    }

    const fn rgb_of_xyz(self) -> [[f64; 3]; 3] {
        match self {
            Self::Srgb => [
                [12_831.0 / 3_959.0, -329.0 / 214.0, -1_974.0 / 3_959.0],
                [-851_781.0 / 878_810.0, 1_648_619.0 / 878_810.0, 36_519.0 / 878_810.0],
                [705.0 / 12_673.0, -2_585.0 / 12_673.0, 705.0 / 667.0],
            ],
            Self::DisplayP3 => [
                [446_124.0 / 178_915.0, -333_277.0 / 357_830.0, -72_051.0 / 178_915.0],
                [-14_852.0 / 17_905.0, 63_121.0 / 35_810.0, 423.0 / 17_905.0],
                [11_844.0 / 330_415.0, -50_337.0 / 660_830.0, 316_169.0 / 330_415.0],
            ],
        }
    }
}

/// XYZ of the screens' white, chromaticity 0.3127, 0.3290 (IEC 61966-2-1), Y = 1.
const WHITE: [f64; 3] = [0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290];

fn white2() -> Xyz {
    Weights::of(Light::D65, Observer::Two).white()
}

fn times(m: [[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// Encoded red, green, blue of a Lab D65/2°, outside 0–1 when the screen lacks it.
fn encoded_rgb(screen: Screen, lab: Lab) -> [f64; 3] {
    let white = white2();
    let xyz = lab.to_xyz(white);
    let relative = [xyz.x / white.x * WHITE[0], xyz.y / white.y, xyz.z / white.z * WHITE[2]];
    times(screen.rgb_of_xyz(), relative).map(encoded)
}

/// Inside when no channel leaves 0–1 by more than half an 8-bit step.
fn inside(rgb: [f64; 3]) -> bool {
    const HALF_STEP: f64 = 0.5 / 255.0;
    rgb.iter().all(|c| (-HALF_STEP..=1.0 + HALF_STEP).contains(c))
}

fn clipped(screen: Screen, rgb: [f64; 3]) -> ScreenColour {
    ScreenColour { screen, rgb: rgb.map(|c| c.clamp(0.0, 1.0)) }
}

/// The sRGB curve (Display P3 has the same), encoded → linear.
fn decoded(c: f64) -> f64 {
    if c <= 0.040_45 { c / 12.92 } else { maths::pow((c + 0.055) / 1.055, 2.4) }
}

/// Linear → encoded, odd about 0 so that what is outside stays outside.
fn encoded(c: f64) -> f64 {
    let size = c.abs();
    let curve = if size <= 0.003_130_8 {
        12.92 * size
    } else {
        1.055 * maths::pow(size, 1.0 / 2.4) - 0.055
    };
    if c < 0.0 { -curve } else { curve }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The matrices derived anew from the primaries' chromaticities (IEC 61966-2-1; SMPTE EG 432-1).
    #[test]
    fn matrices_follow_from_the_primaries() {
        for (screen, primaries) in [
            (Screen::Srgb, [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]]),
            (Screen::DisplayP3, [[0.68, 0.32], [0.265, 0.69], [0.15, 0.06]]),
        ] {
            let forth = screen.xyz_of_rgb();
            for (k, [x, y]) in primaries.into_iter().enumerate() {
                let sum: f64 = forth.iter().map(|row| row[k]).sum();
                assert!((forth[0][k] / sum - x).abs() < 1e-12, "{screen:?}");
                assert!((forth[1][k] / sum - y).abs() < 1e-12);
            }
            for (got, want) in times(forth, [1.0; 3]).iter().zip(WHITE) {
                assert!((got - want).abs() < 1e-12);
            }
            for k in 0..3 {
                let mut unit = [0.0; 3];
                unit[k] = 1.0;
                let back = times(screen.rgb_of_xyz(), times(forth, unit));
                assert!(back.iter().zip(unit).all(|(g, w)| (g - w).abs() < 1e-12));
            }
        }
    }

    /// sRGB #ff0000 is L* 53.24, a* 80.09, b* 67.20 (D65/2°; commonly printed to two decimals; our
    /// white differs from 0.3127, 0.3290 in the fourth place).
    #[test]
    fn pure_red_is_where_everyone_has_it() {
        let lab = ScreenColour::from_hex("#ff0000").unwrap().to_lab2();
        assert!(ciede2000(lab, Lab::new(53.24, 80.09, 67.20)) < 0.02, "{lab:?}");
    }

    #[test]
    fn every_hex_comes_back() {
        for step in 0..4096u32 {
            let (r, g, b) = ((step >> 8) & 15, (step >> 4) & 15, step & 15);
            let hex = format!("#{:02x}{:02x}{:02x}", r * 17, g * 17, b * 17);
            let colour = ScreenColour::from_hex(&hex).unwrap();
            let shown = Shown::of_lab2(Screen::Srgb, colour.to_lab2());
            assert!(shown.inside && shown.colour.to_hex() == hex, "{hex} {shown:?}");
            assert!(Shown::of_lab2(Screen::DisplayP3, colour.to_lab2()).inside);
        }
        let white = Shown::of_bands(Screen::Srgb, &Bands::WHITE);
        assert_eq!(white.colour.to_hex(), "#ffffff");
        assert_eq!(ScreenColour::from_hex("2f6").unwrap().to_hex(), "#22ff66");
    }

    #[test]
    fn what_a_screen_cannot_show_is_said() {
        let turquoise = Lab::new(55.0, -60.0, -25.0);
        let shown = Shown::of_lab2(Screen::Srgb, turquoise);
        assert!(!shown.inside && shown.away > 1.0, "{shown:?}");
        assert!(shown.words().unwrap().contains("cannot show"));
        let kept = shown.colour.to_lab2();
        assert!((kept.l - 55.0).abs() < 0.6, "lightness is kept: {kept:?}");
        assert!(Shown::of_lab2(Screen::Srgb, Lab::new(50.0, 5.0, 5.0)).words().is_none());
    }

    #[test]
    fn bad_hex_is_refused() {
        for bad in ["", "#", "#12345", "#gggggg", "ünïcöd", "#1234567", "💥"] {
            let speech = ScreenColour::from_hex(bad).unwrap_err().to_string();
            assert!(speech.contains("six digits"), "{speech}");
        }
        assert!(ScreenColour::try_new(Screen::DisplayP3, [1.2, 0.0, 0.0]).is_err());
    }
}
