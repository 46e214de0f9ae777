//! Optical brightener in undyed cloth: what a pale shade on it looks like with and without
//! ultraviolet light.
//!
//! An *assumption*, not a measurement: nobody has read the cloth in hand with and without
//! ultraviolet. The brightener is a stilbene's (takes most at 360 nm, gives at 440 nm, `colour::Glow`)
//! and as strong as makes bleached cotton a CIE whiteness of about 110, where shop whites lie (common
//! practice: 90 to 140, some 60 to 80 without); half to double that strength is taken to hold 90 % of
//! cloths, and [`Shift`] carries both ends.
//!
//! Dye over it quenches part of it. Light that is reflected goes in and comes out through the dye;
//! the exciting light only goes in and the glow only comes out, so a glow is dimmed by the square
//! root of what the dye leaves of the reflectance at 400 nm (for the way in; the model grid knows no
//! ultraviolet) times the square root of what it leaves at the glow's own band (for the way out).
//! Our own assumption. Left out: quenching by contact, fading of the brightener in light.

use colour::{BANDS, Bands, Glow, GlowBand, Lab, Light, Observer, Weights, Xyz, ciede2000};

/// The brightener of a cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brightener {
    strength: f64,
    doubt: f64,
}

/// How a brightener moves a colour under one light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// The light.
    pub light: Light,
    /// As it looks, with the glow.
    pub with: Lab,
    /// As the same dyeing would look on cloth without brightener.
    pub without: Lab,
    /// ΔE00 between the two.
    pub de00: f64,
    /// The same with the weakest brightener that is likely.
    pub least: f64,
    /// The same with the strongest that is likely.
    pub most: f64,
}

const STILBENE: Glow = Glow {
    takes: GlowBand { peak_nm: 360.0, width_cm: 4000.0 },
    gives: GlowBand { peak_nm: 440.0, width_cm: 3000.0 },
};

/// Rise of the total radiance factor at 440 nm in daylight (judgement; see the head of the file).
const USUAL: f64 = 0.18;
/// The strength may be this many times smaller or larger (judgement).
const UNKNOWN: f64 = 2.0;
/// The same when the cloth itself was read: what lamp the instrument had is not known (judgement).
const READ: f64 = 1.3;
/// A rise below this in a reading is no brightener: defaults of undyed cloth are no surer.
const NOTHING: f64 = 0.03;

impl Brightener {
    /// The brightener of white cloth that glows under a UV lamp and was not read.
    pub const ASSUMED: Self = Self { strength: USUAL, doubt: UNKNOWN };

    /// Splits a reading of undyed cloth that holds its glow into the brightener and the cloth without
    /// it. `like` is how such cloth looks without brightener; the excess in the blue over its shape,
    /// brought to the reading at 520 to 560 nm, is the glow. None when there is no excess.
    ///
    /// The reading is taken to be made with a daylight lamp, ultraviolet included.
    #[must_use]
    pub fn in_reading(read: &Bands, like: &Bands) -> Option<(Self, Bands)> {
        let (seen, plain) = (read.values(), like.values());
        let sum = |of: &[f64; BANDS]| of[12..=16].iter().sum::<f64>();
        let scale = sum(seen) / sum(plain);
        let rise = STILBENE.in_daylight();
        // Least squares over 420 to 480 nm, where the glow stands.
        let (mut above, mut below) = (0.0, 0.0);
        for i in 2..=8 {
            above += rise[i] * (seen[i] - scale * plain[i]);
            below += rise[i] * rise[i];
        }
        let strength = above / below;
        if strength < NOTHING {
            return None;
        }
        let cloth = std::array::from_fn(|i| (seen[i] - strength * rise[i]).max(0.2 * seen[i]));
        Some((Self { strength, doubt: READ }, Bands::try_new(cloth).ok()?))
    }

    /// Rise of the total radiance factor at the glow's peak in daylight, undyed.
    #[must_use]
    pub const fn strength(&self) -> f64 {
        self.strength
    }

    /// Lab of a dyeing on brightened cloth. `undyed` and `dyed` are reflectance without the glow.
    #[must_use]
    pub fn seen(
        &self,
        undyed: &[f64; BANDS],
        dyed: &[f64; BANDS],
        light: Light,
        observer: Observer,
    ) -> Lab {
        let escapes = escapes(undyed, dyed);
        let glow = STILBENE.xyz(self.strength, light, observer, &escapes);
        let weights = Weights::of(light, observer);
        let plain = weights.xyz_of(dyed);
        Xyz { x: plain.x + glow.x, y: plain.y + glow.y, z: plain.z + glow.z }
            .to_lab(weights.white())
    }

    /// How the brightener moves a dyeing under one light, for the 10° observer.
    #[must_use]
    pub fn shift(&self, undyed: &[f64; BANDS], dyed: &[f64; BANDS], light: Light) -> Shift {
        let without = Weights::of(light, Observer::Ten).lab_of(dyed);
        let under = |times: f64| {
            let one = Self { strength: self.strength * times, ..*self };
            one.seen(undyed, dyed, light, Observer::Ten)
        };
        let with = under(1.0);
        let apart = |times: f64| ciede2000(without, under(times));
        Shift {
            light,
            with,
            without,
            de00: ciede2000(without, with),
            least: apart(1.0 / self.doubt),
            most: apart(self.doubt),
        }
    }

    /// The sentence for a maker: how a dyeing looks under a light with ultraviolet against one
    /// without.
    #[must_use]
    pub fn words(&self, with_uv: &Shift, without_uv: &Shift) -> String {
        if with_uv.most < 0.5 {
            return format!(
                "the dye hides the brightener: it moves the colour by less than ΔE00 {:.1} in {}",
                with_uv.most.max(0.1),
                with_uv.light.words()
            );
        }
        let known = if self.doubt < UNKNOWN { "from the reading" } else { "assumed, not measured" };
        format!(
            "brightened cloth: in {} it looks bluer by ΔE00 {:.1} ({:.1} to {:.1}; {known}) than \
             under a lamp without ultraviolet such as {}, where the brightener does {:.1}",
            with_uv.light.words(),
            with_uv.de00,
            with_uv.least,
            with_uv.most,
            without_uv.light.words(),
            without_uv.de00
        )
    }
}

impl Shift {
    /// What the brightener adds to the spread of a prediction under this light, 1 σ in ΔE00: the
    /// range from least to most holds 90 % (judgement), which is 2 × 1.645 σ wide.
    #[must_use]
    pub fn widens(&self) -> f64 {
        (self.most - self.least).max(0.0) / 3.29
    }

    /// Whether the glow makes it bluer here, and not only another colour.
    #[must_use]
    pub fn is_bluer(&self) -> bool {
        self.with.b < self.without.b
    }
}

/// Share of the glow that leaves the cloth, band by band.
fn escapes(undyed: &[f64; BANDS], dyed: &[f64; BANDS]) -> [f64; BANDS] {
    let left = |i: usize| (dyed[i] / undyed[i]).clamp(0.0, 1.0);
    let way_in = left(0);
    std::array::from_fn(|i| (way_in * left(i)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Ground, Look};
    use units::Share;

    fn white() -> [f64; BANDS] {
        Ground::assumed(&[("cotton", Share::WHOLE)], Look::White).unwrap().reflectance()
    }

    /// An ivory: a trace of yellow dye takes the blue down.
    fn ivory() -> [f64; BANDS] {
        let white = white();
        std::array::from_fn(|i| if i < 10 { white[i] * 0.82 } else { white[i] })
    }

    /// CIE whiteness, CIE 015: W = Y + 800 (xn − x) + 1700 (yn − y), D65/10°, xn 0.3138, yn 0.3310.
    fn whiteness(xyz: Xyz) -> f64 {
        let sum = xyz.x + xyz.y + xyz.z;
        xyz.y + 800.0 * (0.3138 - xyz.x / sum) + 1700.0 * (0.3310 - xyz.y / sum)
    }

    #[test]
    fn the_assumed_strength_makes_the_whiteness_of_shop_whites() {
        let weights = Weights::reference();
        let plain = weights.xyz_of(&white());
        let of = |strength: f64| {
            let b = Brightener { strength, doubt: UNKNOWN };
            let lab = b.seen(&white(), &white(), Light::D65, Observer::Ten);
            whiteness(lab.to_xyz(weights.white()))
        };
        println!(
            "whiteness: none {:.0}, half {:.0}, usual {:.0}, double {:.0}",
            whiteness(plain),
            of(USUAL / 2.0),
            of(USUAL),
            of(USUAL * 2.0)
        );
        assert!((60.0..=80.0).contains(&whiteness(plain)), "{}", whiteness(plain));
        assert!((95.0..=125.0).contains(&of(USUAL)), "{}", of(USUAL));
        assert!((75.0..=100.0).contains(&of(USUAL / 2.0)), "{}", of(USUAL / 2.0));
    }

    #[test]
    fn it_is_bluer_in_daylight_and_not_under_led() {
        for cloth in [white(), ivory()] {
            let day = Brightener::ASSUMED.shift(&white(), &cloth, Light::D65);
            let hall = Brightener::ASSUMED.shift(&white(), &cloth, Light::LedB3);
            println!("{}", Brightener::ASSUMED.words(&day, &hall));
            assert!(day.is_bluer() && day.de00 > 2.0 && hall.de00 < 0.5, "{day:?} {hall:?}");
            assert!(day.least < day.de00 && day.de00 < day.most && day.widens() > hall.widens());
        }
    }

    #[test]
    fn more_dye_leaves_less_glow_and_a_deep_shade_next_to_none() {
        let mut before = f64::INFINITY;
        for left in [1.0, 0.8, 0.5, 0.2, 0.05] {
            let dyed = white().map(|r| r * left);
            let glow = |l: Light| {
                let b = Brightener::ASSUMED;
                let w = Weights::of(l, Observer::Ten);
                let seen = b.seen(&white(), &dyed, l, Observer::Ten).to_xyz(w.white());
                seen.z - w.xyz_of(&dyed).z
            };
            let now = glow(Light::D65);
            assert!(now > 0.0 && now < before, "{left}: {now} {before}");
            before = now;
        }
        let black = [0.02; BANDS];
        let left = escapes(&white(), &black);
        assert!(left.iter().all(|share| *share < 0.03), "{left:?}");
        let shift = |dyed| Brightener::ASSUMED.shift(&white(), dyed, Light::D65).de00;
        assert!(shift(&black) < 0.5 * shift(&white()));
    }

    #[test]
    fn a_reading_gives_back_the_brightener_that_was_put_in() {
        let like = Bands::try_new(white()).unwrap();
        assert_eq!(Brightener::in_reading(&like, &like), None);
        for strength in [0.1, 0.2, 0.35] {
            let rise = STILBENE.in_daylight();
            let cloth = white().map(|r| 0.97 * r);
            let read =
                Bands::try_new(std::array::from_fn(|i| cloth[i] + strength * rise[i])).unwrap();
            let (found, left) = Brightener::in_reading(&read, &like).unwrap();
            assert!((found.strength() / strength - 1.0).abs() < 0.05, "{found:?} {strength}");
            let apart = left.values().iter().zip(cloth).map(|(a, b)| (a - b).abs());
            assert!(apart.fold(0.0, f64::max) < 0.02);
        }
    }
}
