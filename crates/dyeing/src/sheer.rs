//! A sheer seen over a backing: a mesh over skin, a chiffon over its lining.
//!
//! Light that meets the yarn sees cloth of the yarn's own reflectance R; the rest, 1 − c, goes
//! through the gaps to the backing, and what the backing throws back goes out through the gaps or
//! meets the yarn from behind and is thrown back once more. Summed over all bounces that is the
//! formula of two layers, R₁ + T₁² Rb / (1 − R₁ Rb), with R₁ = cR and T₁ = 1 − c: G. G. Stokes (1862)
//! and P. Kubelka, "New contributions to the optics of intensely light-scattering materials, part
//! II", *J. Opt. Soc. Am.* 44 (1954) 330 (from memory). That the yarn lets nothing through and that
//! the gaps are the same seen from everywhere are assumptions of our own: a silk chiffon lets some
//! light through its yarn, so take its cover smaller than its holes suggest, or read a swatch of it on
//! white and on the backing.

use colour::{BANDS, Bands, Weights, ciede2000};
use units::Share;

/// A sheer's cover and what is behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    cover: f64,
    backing: Bands,
}

/// What a sheer's cloth must be for it to show a colour over its backing.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The cloth itself, as it would be read in several layers.
    pub cloth: Bands,
    /// What it shows over the backing.
    pub shows: Bands,
    /// ΔE00 between that and the colour asked for, D65/10°; above 0 only where the backing shows
    /// through too much.
    pub left: f64,
    /// Which way the backing stands in the way, when it does.
    pub through: Option<Through>,
}

/// Which way a backing stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Through {
    /// The backing alone already shows more light than the colour asked for.
    BackingTooLight,
    /// Even the undyed cloth over this backing shows less light than the colour asked for.
    BackingTooDark,
}

/// A sheer that cannot show what is asked over its backing.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheerRefusal {
    /// The backing shows through too brightly.
    #[error(
        "the backing is lighter than this sheer can hide: with {cover} % cover at least {through} % of \
         the backing's light comes through, and the colour would be {left} off (ΔE00); use a darker \
         backing, a closer cloth or two layers, or dye the backing"
    )]
    BackingTooLight {
        /// Cover in per cent.
        cover: String,
        /// Least share of the backing's light that comes through, per cent.
        through: String,
        /// ΔE00 left.
        left: String,
    },
    /// The backing keeps too much light.
    #[error(
        "the backing is darker than this sheer can lift: with {cover} % cover even the undyed cloth \
         leaves the colour {left} off (ΔE00); use a lighter backing, a closer cloth or two layers"
    )]
    BackingTooDark {
        /// Cover in per cent.
        cover: String,
        /// ΔE00 left.
        left: String,
    },
    /// Nothing of the cloth is seen.
    #[error(
        "a cover of 0 % shows the backing alone: give the share of the light that meets the yarn"
    )]
    NoCover,
}

/// The darkest a band of dyed cloth gets (judgement on real dark ladders: 1.5 to 2 %).
const DARKEST: f64 = 0.015;

impl Over {
    /// A sheer of this cover (share of the light that meets the yarn) over this backing.
    #[must_use]
    pub fn new(cover: Share, backing: Bands) -> Self {
        Self { cover: cover.to_fraction(), backing }
    }

    /// Share of the backing's light that comes through whatever the cloth: both ways through a gap.
    #[must_use]
    pub fn shows_through(&self) -> f64 {
        let gap = 1.0 - self.cover;
        gap * gap
    }

    /// The cover, a share.
    #[must_use]
    pub const fn cover(&self) -> f64 {
        self.cover
    }

    /// What is behind.
    #[must_use]
    pub const fn backing(&self) -> &Bands {
        &self.backing
    }

    /// The same cloth stretched by a share of its length, as tights are on a leg: the same yarn over
    /// more skin, cover ÷ (1 + stretch). That the yarn gets no thinner and the other way does not
    /// shrink is an assumption of our own; stretch on the body is best seen on a swatch.
    #[must_use]
    pub fn stretched(&self, by: Share) -> Self {
        Self { cover: self.cover / (1.0 + by.to_fraction()), backing: self.backing }
    }

    /// What a cloth of this reflectance shows over the backing, band by band.
    #[must_use]
    pub fn seen(&self, cloth: &[f64; BANDS]) -> [f64; BANDS] {
        std::array::from_fn(|i| self.band(i, self.cover * cloth[i]))
    }

    /// The same for a checked reflectance.
    #[must_use]
    pub fn shown(&self, cloth: &Bands) -> Bands {
        // Between cloth and backing, both checked, so always possible; the cloth stands in for what
        // cannot happen.
        Bands::try_new(self.seen(cloth.values())).unwrap_or(*cloth)
    }

    /// What the cloth must be for it to show `target` over the backing, band by band, no lighter
    /// than `undyed` (dye only takes light away) and no darker than cloth gets.
    #[must_use]
    pub fn wanted(&self, target: &Bands, undyed: &[f64; BANDS]) -> Wanted {
        let mut short = 0.0;
        let cloth: [f64; BANDS] = std::array::from_fn(|i| {
            let lightest = undyed[i].max(DARKEST);
            let (aim, low, high) = (
                target.values()[i],
                self.band(i, self.cover * DARKEST),
                self.band(i, self.cover * lightest),
            );
            if self.cover <= 0.0 {
                return lightest;
            }
            if aim < low || aim > high {
                short += aim - aim.clamp(low, high);
            }
            (self.met(i, aim) / self.cover).clamp(DARKEST, lightest)
        });
        let cloth = Bands::try_new(cloth).unwrap_or(*target);
        let shows = self.shown(&cloth);
        let light = Weights::reference();
        let left = ciede2000(light.lab(target), light.lab(&shows));
        let through = (left > 1e-9 && short != 0.0).then_some(if short < 0.0 {
            Through::BackingTooLight
        } else {
            Through::BackingTooDark
        });
        Wanted { cloth, shows, left, through }
    }

    /// The same, refused when the colour shown would be more than `within` (ΔE00, D65/10°) off.
    pub fn try_wanted(
        &self,
        target: &Bands,
        undyed: &[f64; BANDS],
        within: f64,
    ) -> Result<Wanted, SheerRefusal> {
        if self.cover <= 0.0 {
            return Err(SheerRefusal::NoCover);
        }
        let wanted = self.wanted(target, undyed);
        let percent = |share: f64| units::trimmed(share * 100.0, 0);
        let left = units::trimmed(wanted.left, 1);
        let cover = percent(self.cover);
        match wanted.through {
            Some(Through::BackingTooLight) if wanted.left > within => {
                let through = percent(self.shows_through());
                Err(SheerRefusal::BackingTooLight { cover, through, left })
            }
            Some(Through::BackingTooDark) if wanted.left > within => {
                Err(SheerRefusal::BackingTooDark { cover, left })
            }
            _ => Ok(wanted),
        }
    }

    /// One band: x = cR is what the yarn throws back.
    fn band(&self, i: usize, x: f64) -> f64 {
        let through = self.shows_through();
        if through <= 0.0 {
            return x;
        }
        let behind = self.backing.values()[i];
        x + through * behind / (1.0 - x.min(1.0) * behind.min(1.0))
    }

    /// The x that shows `aim` in band i: the root of Rb x² − (1 + aim Rb) x + (aim − T² Rb) that lies
    /// below 1, in the form that does not cancel. Negative where the backing alone shows more.
    fn met(&self, i: usize, aim: f64) -> f64 {
        let behind = self.backing.values()[i];
        let once = behind.min(1.0);
        let (b, c) = (1.0 + aim * once, aim - self.shows_through() * behind);
        let root = (b * b - 4.0 * once * c).max(0.0).sqrt();
        2.0 * c / (b + root)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn over(cover: f64, backing: f64) -> Over {
        Over::new(Share::try_fraction(cover).unwrap(), Bands::flat(backing).unwrap())
    }

    fn at(cover: f64, cloth: f64, backing: f64) -> f64 {
        over(cover, backing).seen(&[cloth; BANDS])[0]
    }

    #[test]
    fn limits_full_cover_is_the_cloth_and_none_is_the_backing() {
        for (cloth, backing) in [(0.02, 0.9), (0.5, 0.3), (0.88, 0.05), (1.0, 1.0)] {
            assert!((at(1.0, cloth, backing) - cloth).abs() < 1e-15);
            assert!((at(0.0, cloth, backing) - backing).abs() < 1e-15);
        }
    }

    #[test]
    fn nothing_is_made_of_nothing_and_white_on_white_is_white() {
        for step in 0..=20 {
            let cover = f64::from(step) / 20.0;
            assert!((at(cover, 1.0, 1.0) - 1.0).abs() < 1e-12, "all thrown back is all seen");
            for cloth in [0.02, 0.2, 0.6, 0.95] {
                for backing in [0.03, 0.3, 0.9] {
                    let seen = at(cover, cloth, backing);
                    assert!(seen > 0.0 && seen <= 1.0);
                    // Light lost in the gaps is lost: never above the lighter of the two.
                    assert!(seen <= cloth.max(backing) + 1e-12, "{cover} {cloth} {backing}");
                }
            }
        }
    }

    #[test]
    fn lighter_cloth_or_backing_is_never_darker_and_it_agrees_with_counting_bounces() {
        for cover in [0.1, 0.45, 0.8, 0.99] {
            for pair in [0.02, 0.1, 0.3, 0.6, 0.9].windows(2) {
                assert!(at(cover, pair[0], 0.4) < at(cover, pair[1], 0.4));
                assert!(at(cover, 0.4, pair[0]) <= at(cover, 0.4, pair[1]));
            }
            // The series itself: yarn, then backing through the gaps after 0, 1, 2 … bounces.
            let (cloth, backing): (f64, f64) = (0.7, 0.8);
            let gap = 1.0 - cover;
            let (mut sum, mut going) = (cover * cloth, gap * backing);
            for _ in 0..200 {
                sum += going * gap;
                going *= cover * cloth * backing;
            }
            assert!((sum - at(cover, cloth, backing)).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_wanted_shows_what_was_asked() {
        let undyed = [0.88; BANDS];
        for cover in [0.3, 0.45, 0.8, 1.0] {
            for cloth in [0.03, 0.2, 0.7] {
                let over = over(cover, 0.35);
                let target = over.shown(&Bands::flat(cloth).unwrap());
                let wanted = over.try_wanted(&target, &undyed, 0.1).unwrap();
                assert!(wanted.left < 1e-6 && wanted.through.is_none(), "{wanted:?}");
                assert!((wanted.cloth.values()[9] - cloth).abs() < 1e-9, "{cover} {cloth}");
            }
        }
    }

    #[test]
    fn a_backing_that_shows_too_much_is_said_so() {
        let undyed = [0.88; BANDS];
        let black = Bands::flat(0.03).unwrap();
        let said = over(0.45, 0.8).try_wanted(&black, &undyed, 2.0).unwrap_err().to_string();
        assert!(
            said.contains("lighter than this sheer can hide") && said.contains("30 %"),
            "{said}"
        );
        let white = Bands::flat(0.8).unwrap();
        let said = over(0.45, 0.05).try_wanted(&white, &undyed, 2.0).unwrap_err().to_string();
        assert!(said.contains("darker than this sheer can lift"), "{said}");
        let said = over(0.0, 0.5).try_wanted(&white, &undyed, 2.0).unwrap_err().to_string();
        assert!(said.contains("0 %"), "{said}");
        // Within the tolerance the nearest stands.
        assert!(over(0.95, 0.05).try_wanted(&white, &undyed, 5.0).is_ok());
    }

    #[test]
    fn a_brightened_backing_does_not_break_it() {
        let over = over(0.9, 1.3);
        let seen = over.seen(&[1.0; BANDS])[0];
        assert!(seen.is_finite() && seen > 0.9, "{seen}");
        let target = over.shown(&Bands::flat(0.5).unwrap());
        let wanted = over.wanted(&target, &[0.9; BANDS]);
        assert!((wanted.cloth.values()[0] - 0.5).abs() < 1e-9);
    }

    #[test]
    fn dark_tights_on_a_lighter_leg_lighten_as_they_stretch() {
        let light = Weights::reference();
        let tights = over(0.95, 0.35);
        let l = |stretch: f64| {
            let worn = tights.stretched(Share::try_fraction(stretch).unwrap());
            light.lab_of(&worn.seen(&[0.03; BANDS])).l
        };
        let (third, half) = (l(0.3) - l(0.0), l(0.5) - l(0.0));
        // The trade says 5 to 10 L* lighter at 30 to 50 % stretch on dark goods (judgement, as is the
        // leg here): the model gives 6 and 11.
        assert!((4.0..8.0).contains(&third) && (8.0..13.0).contains(&half), "{third} {half}");
    }
}
