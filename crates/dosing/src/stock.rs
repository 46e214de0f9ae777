//! Making a stock solution: how much goes into how much, how sure its strength is, what is left.

use units::{Mass, StockStrength, Volume};

use crate::kit::together;
use crate::{Form, Kit, Scale, Shown, Syringe};

/// A stock solution to make: grams × 100 ÷ mL = strength, exact in the printed digits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockBatch {
    pub(crate) strength_pct: Shown,
    pub(crate) grams: Shown,
    pub(crate) volume_ml: Shown,
    pub(crate) leftover_ml: Shown,
    pub(crate) relative_scatter: f64,
    pub(crate) made: Made,
}

/// What a stock is made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Made {
    /// Powder weighed on the scale.
    Weighed,
    /// Whole packs emptied into the measure, for want of a scale.
    WholePacks {
        /// How many packs.
        packs: u32,
    },
    /// A bought liquid, diluted.
    Diluted {
        /// How much of it goes in.
        liquid_ml: Shown,
        /// What it is measured with.
        measure: Syringe,
    },
}

/// A stock that cannot be made with this kit, and what would help.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{reason}: {help}")]
pub struct CannotMake {
    /// Why not.
    pub reason: String,
    /// What would help.
    pub help: String,
}

/// The smallest usual batch of this strength that holds `needed` and whose powder this scale
/// weighs within 2 %: 100, 200, 250, 500 mL, 1, 2, 5 or 10 L. A batch larger than needed is
/// proposed when a smaller one cannot be weighed; the leftover says what that costs.
pub fn make_stock(
    strength: StockStrength,
    needed: Volume,
    kit: &Kit,
) -> Result<StockBatch, CannotMake> {
    let percent = percent_shown(strength);
    let Some(scale) = kit.scale() else {
        return Err(CannotMake {
            reason: format!("a {percent} % stock cannot be weighed out without a scale"),
            help: "make a whole pack up in half a litre, or get a scale that shows 0.01 g".into(),
        });
    };
    weighed(percent, needed.to_millilitres(), scale, &BATCHES_ML)
        .map(|batch| batch.for_need(needed))
        .ok_or_else(|| not_weighable(percent, needed, scale))
}

impl StockBatch {
    /// Strength, % w/v, as printed.
    #[must_use]
    pub const fn strength_pct(&self) -> Shown {
        self.strength_pct
    }

    /// Grams of dye in the batch: to be weighed, or held by the packs or the bought liquid.
    #[must_use]
    pub const fn grams(&self) -> Shown {
        self.grams
    }

    /// Millilitres it is made up to.
    #[must_use]
    pub const fn volume_ml(&self) -> Shown {
        self.volume_ml
    }

    /// Millilitres left when what is needed has been taken out.
    #[must_use]
    pub const fn leftover_ml(&self) -> Shown {
        self.leftover_ml
    }

    /// Scatter of its strength, one standard deviation, as a share.
    #[must_use]
    pub const fn relative_scatter(&self) -> f64 {
        self.relative_scatter
    }

    /// What it is made from.
    #[must_use]
    pub const fn made(&self) -> Made {
        self.made
    }

    /// How to make it, as a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { strength_pct, grams, volume_ml, .. } = self;
        match self.made {
            Made::Weighed => format!(
                "For the {strength_pct} % stock weigh {grams} g, dissolve it in a little warm water \
                 and make up to {volume_ml} mL."
            ),
            Made::WholePacks { packs } => format!(
                "Dissolve {} ({grams} g) in warm water and make up to {volume_ml} mL (a {strength_pct} % \
                 stock).",
                if packs == 1 {
                    "one whole pack".to_owned()
                } else {
                    format!("{packs} whole packs")
                }
            ),
            Made::Diluted { liquid_ml, measure } => format!(
                "For the {strength_pct} % stock measure {liquid_ml} mL of the liquid with the {} and \
                 make up with water to {volume_ml} mL.",
                measure.words()
            ),
        }
    }

    pub(crate) fn for_need(mut self, needed: Volume) -> Self {
        let left = self.volume_ml.value() - needed.to_millilitres();
        self.leftover_ml = Shown::try_round(left.max(0.0), 3).unwrap_or(Shown::ZERO).trimmed();
        self
    }
}

/// Usual batches a home makes; the first five are those [`crate::dose`] proposes for one dose.
const BATCHES_ML: [u32; 8] = [100, 200, 250, 500, 1000, 2000, 5000, 10_000];
/// How much of a bought liquid goes into a dilution.
const DILUTED_FROM_ML: [u32; 5] = [10, 20, 25, 50, 100];
/// A dilution this sure is sure enough (our judgement).
const DILUTED_WITHIN: f64 = 0.03;
/// Strengths of stock solutions the trade uses for dyeing (common practice: tint 0.1 %, normal
/// 1 %; the others halve the steps), strongest first, in tenths of a per cent.
const STRENGTHS_TENTHS_PCT: [u64; 4] = [20, 10, 5, 1];
/// What dissolving and filling to the mark cost, one standard deviation (our estimate): no stock
/// is counted surer than this, however fine the scale.
const MAKING_UP: f64 = 0.01;
/// The most a weighing for a stock may scatter.
const WEIGHED_WITHIN: f64 = 0.02;
/// Contents of a small pack against its label, one standard deviation: half the 9 % by which a
/// 5 to 50 g pack may fall short (EU directive 76/211/EEC, annex I, from memory).
pub(crate) const PACK_CONTENTS: f64 = 0.045;
/// Making up in a half-litre vessel by its mark, one standard deviation (our estimate).
const PACK_MAKING_UP: f64 = 0.02;

/// The strengths a dose may choose from, strongest first.
pub(crate) fn strengths(strongest: StockStrength) -> impl Iterator<Item = Shown> {
    let limit = strongest.to_percent() * (1.0 + 1e-9);
    STRENGTHS_TENTHS_PCT
        .into_iter()
        .map(|tenths| Shown::from_units(tenths, 1).trimmed())
        .filter(move |percent| percent.value() <= limit)
}

/// The smallest batch of up to a litre for one dose.
pub(crate) fn weighed_for_dose(percent: Shown, needed_ml: f64, scale: Scale) -> Option<StockBatch> {
    weighed(percent, needed_ml, scale, &BATCHES_ML[..5])
}

/// Whole packs, each made up to half a litre, or to more where that would be too strong to
/// stay dissolved or to measure from.
pub(crate) fn from_packs(
    pack: Mass,
    strongest: StockStrength,
) -> impl Iterator<Item = (Shown, u32)> {
    let limit = strongest.to_percent() * (1.0 + 1e-9);
    [500u32, 1000, 2000, 5000].into_iter().filter_map(move |ml| {
        let percent = Shown::try_round(pack.to_grams() * 100.0 / f64::from(ml), 3).ok()?.trimmed();
        (percent.value() > 0.0 && percent.value() <= limit).then_some((percent, ml))
    })
}

pub(crate) fn pack_batch(percent: Shown, each_ml: u32, packs: u32) -> StockBatch {
    let volume_ml = Shown::from_units(u64::from(each_ml) * u64::from(packs), 0);
    StockBatch {
        strength_pct: percent,
        grams: volume_ml.grams_at(percent),
        volume_ml,
        leftover_ml: Shown::ZERO,
        relative_scatter: together(PACK_CONTENTS, PACK_MAKING_UP),
        made: Made::WholePacks { packs },
    }
}

/// A bought liquid diluted one to ten: the smallest batch whose liquid is measured within 3 %,
/// or else the surest.
pub(crate) fn diluted(liquid: Shown, measure: Syringe, needed_ml: f64) -> Option<StockBatch> {
    let batches = || {
        DILUTED_FROM_ML.into_iter().filter_map(|part| one_to_ten(part, liquid, measure, needed_ml))
    };
    batches()
        .find(|batch| batch.relative_scatter <= DILUTED_WITHIN)
        .or_else(|| batches().min_by(|a, b| a.relative_scatter.total_cmp(&b.relative_scatter)))
}

fn one_to_ten(part: u32, liquid: Shown, measure: Syringe, needed_ml: f64) -> Option<StockBatch> {
    let drawn = Volume::try_millilitres(f64::from(part)).ok()?;
    let liquid_ml = measure.shows(drawn);
    let exact = liquid_ml.trimmed() == Shown::from_units(u64::from(part), 0);
    if !exact || f64::from(part) * 10.0 < needed_ml || !measure.suits(drawn) {
        return None;
    }
    let volume_ml = Shown::from_units(u64::from(part) * 10, 0);
    let strength_pct = liquid.a_tenth();
    Some(StockBatch {
        strength_pct,
        grams: volume_ml.grams_at(strength_pct),
        volume_ml,
        leftover_ml: Shown::ZERO,
        relative_scatter: together(measure.relative_scatter(drawn), MAKING_UP),
        made: Made::Diluted { liquid_ml, measure },
    })
}

pub(crate) fn percent_shown(strength: StockStrength) -> Shown {
    Shown::try_round(strength.to_percent(), 4).unwrap_or(Shown::ZERO).trimmed()
}

fn weighed(percent: Shown, needed_ml: f64, scale: Scale, batches: &[u32]) -> Option<StockBatch> {
    batches.iter().filter(|&&ml| f64::from(ml) >= needed_ml - 1e-9).find_map(|&ml| {
        let volume_ml = Shown::from_units(u64::from(ml), 0);
        let grams = volume_ml.grams_at(percent);
        let scatter = scale.step_grams() / grams.value();
        (scatter <= WEIGHED_WITHIN + 1e-12 && scale.can_show(grams)).then(|| StockBatch {
            strength_pct: percent,
            grams: Mass::try_grams(grams.value()).map_or(grams, |mass| scale.shows(mass)),
            volume_ml,
            leftover_ml: Shown::ZERO,
            relative_scatter: scatter.max(MAKING_UP),
            made: Made::Weighed,
        })
    })
}

fn not_weighable(percent: Shown, needed: Volume, scale: Scale) -> CannotMake {
    let step = scale.shows(scale.step());
    let most = BATCHES_ML[BATCHES_ML.len() - 1];
    if needed.to_millilitres() > f64::from(most) {
        return CannotMake {
            reason: format!(
                "{} mL of {percent} % stock is more than a home makes at once",
                units::trimmed(needed.to_millilitres(), 0)
            ),
            help: "use a stronger stock, or weigh the dye directly".into(),
        };
    }
    let stronger = STRENGTHS_TENTHS_PCT
        .into_iter()
        .rev()
        .map(|tenths| Shown::from_units(tenths, 1).trimmed())
        .filter(|p| p.value() > percent.value())
        .find(|p| weighed_for_dose(*p, 0.0, scale).is_some());
    CannotMake {
        reason: format!(
            "no batch of {percent} % stock up to {most} mL has an amount of dye that a {step} g \
             scale shows within 2 %"
        ),
        help: match stronger {
            Some(p) => format!("make a {p} % stock, or use a scale with a finer step"),
            None => "use a scale with a finer step".into(),
        },
    }
}

impl Form {
    /// The strength of a bought liquid as printed.
    pub(crate) fn liquid_pct(self) -> Option<Shown> {
        match self {
            Self::Powder => None,
            Self::Liquid(strength) => Some(percent_shown(strength)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DosingRefusal;

    type Checked = Result<(), Box<dyn std::error::Error>>;

    fn kit(scale: Scale) -> Result<Kit, DosingRefusal> {
        Kit::try_new(Some(scale), Vec::new())
    }

    #[test]
    fn ten_grams_to_the_litre_is_one_per_cent() -> Checked {
        // Definition of a 1 % w/v stock: 10.0 g made up to 1.000 L.
        let one = StockStrength::try_percent(1.0)?;
        let batch = make_stock(one, Volume::try_millilitres(900.0)?, &kit(Scale::KITCHEN)?)?;
        assert_eq!(
            (
                batch.grams().to_string(),
                batch.volume_ml().to_string(),
                batch.leftover_ml().to_string()
            ),
            ("10.0".into(), "1000".into(), "100".into())
        );
        assert_eq!(
            batch.words(),
            "For the 1 % stock weigh 10.0 g, dissolve it in a little warm water and make up to 1000 mL."
        );
        Ok(())
    }

    #[test]
    fn a_batch_grows_until_the_scale_can_weigh_it() -> Checked {
        let (one, some) = (StockStrength::try_percent(1.0)?, Volume::try_millilitres(12.5)?);
        let fine = make_stock(one, some, &kit(Scale::JEWELLERY)?)?;
        assert_eq!(
            (fine.grams().to_string(), fine.volume_ml().to_string()),
            ("1.00".into(), "100".into())
        );
        assert_eq!(fine.leftover_ml().to_string(), "87.5");
        let coarse = make_stock(one, some, &kit(Scale::KITCHEN)?)?;
        assert_eq!(
            (coarse.grams().to_string(), coarse.volume_ml().to_string()),
            ("5.0".into(), "500".into())
        );
        assert!(coarse.relative_scatter() > fine.relative_scatter());
        Ok(())
    }

    #[test]
    fn what_cannot_be_made_says_what_would_help() -> Checked {
        let (tint, some) = (StockStrength::try_percent(0.1)?, Volume::try_millilitres(10.0)?);
        let said = make_stock(tint, some, &kit(Scale::PLAIN)?).map_err(|e| e.to_string());
        assert_eq!(
            said.err().as_deref(),
            Some(
                "no batch of 0.1 % stock up to 10000 mL has an amount of dye that a 1 g scale shows \
                 within 2 %: use a scale with a finer step"
            )
        );
        let half = Scale::try_step(Mass::try_grams(0.2)?)?;
        let said = make_stock(StockStrength::try_percent(0.05)?, some, &kit(half)?);
        assert_eq!(
            said.map_err(|e| e.help).err().as_deref(),
            Some("make a 1 % stock, or use a scale with a finer step")
        );
        assert!(make_stock(tint, some, &Kit::try_new(None, Vec::new())?).is_err());
        Ok(())
    }
}
