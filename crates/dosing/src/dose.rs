//! A dose: what to do, in shown digits; what it really is; how sure; in words.

use units::{Mass, Money, PricePerGram, Volume};

use crate::choice::{Choice, Draw, LEAST_ML};
use crate::pack::cost;
use crate::{DosingRefusal, Form, Kit, Made, Measure, Shown, StockBatch, StockRules, Syringe};

/// What is said of less than a millilitre.
const TRACE: &str = "That is less than 1 mL: draw it without air, and rinse the syringe out into the bath. Surer: \
                     make 10 mL of it up to 100 mL with water, stir, and measure ten times as many mL of that.";

/// What to do for one wanted amount of dye, and what that really doses.
#[derive(Debug, Clone, PartialEq)]
pub struct Dose {
    how: How,
    grams: Option<Shown>,
    step: Mass,
    relative_scatter: f64,
    words: String,
}

/// How a dose is done.
#[derive(Debug, Clone, PartialEq)]
pub enum How {
    /// Weigh the powder.
    Weigh {
        /// What the display must show.
        grams: Shown,
    },
    /// Measure a stock solution.
    Stock {
        /// Its strength, % w/v.
        strength_pct: Shown,
        /// How much of it, mL.
        volume_ml: Shown,
        /// In how many fills of the measure.
        fills: u32,
        /// With what; `None` when all of it is poured.
        measure: Option<Measure>,
        /// How to make it, with what is left of this batch after this one dose.
        make: StockBatch,
    },
    /// Measure the bought liquid as it is.
    Volume {
        /// Its strength, % w/v.
        strength_pct: Shown,
        /// How much of it, mL.
        volume_ml: Shown,
        /// In how many fills of the measure.
        fills: u32,
        /// With what; `None` when whole bottles are emptied.
        measure: Option<Measure>,
    },
    /// This kit cannot dose it.
    Cannot {
        /// Why not.
        reason: String,
        /// What would help.
        help: String,
    },
}

/// What to do with this kit for `want` of a dye: weigh it, measure a stock, or why not. Amounts
/// are rounded once, to what the scale or the measure shows. The rule of choice is told in
/// `choice.rs`.
#[must_use]
pub fn dose(want: Mass, form: Form, kit: &Kit, rules: &StockRules) -> Dose {
    match Choice::of(want, form, kit, rules) {
        Choice::Nothing => Dose {
            how: How::Weigh { grams: Shown::ZERO },
            grams: Some(Shown::ZERO),
            step: Mass::ZERO,
            relative_scatter: 0.0,
            words: "None is needed.".into(),
        },
        Choice::Weigh { scale, scatter } => {
            let grams = scale.shows(want);
            let words = if scatter > 0.0201 {
                format!(
                    "Weigh {grams} g; on this scale that may be {} % off, and nothing in the kit does better.",
                    units::significant(scatter * 100.0, 2)
                )
            } else {
                format!("Weigh {grams} g.")
            };
            Dose {
                how: How::Weigh { grams },
                grams: Some(grams),
                step: scale.step(),
                relative_scatter: scatter,
                words,
            }
        }
        Choice::Draw(draw) => drawn(draw, rules),
        Choice::Cannot => {
            let (reason, help) = why_not(want, form, kit, rules);
            Dose {
                words: format!("This cannot be dosed: {reason}; {help}."),
                how: How::Cannot { reason, help },
                grams: None,
                step: Mass::ZERO,
                relative_scatter: f64::INFINITY,
            }
        }
    }
}

impl How {
    /// The one word for it: `weigh`, `stock`, `volume` or `cannot`.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Weigh { .. } => "weigh",
            Self::Stock { .. } => "stock",
            Self::Volume { .. } => "volume",
            Self::Cannot { .. } => "cannot",
        }
    }
}

impl Dose {
    /// How it is done.
    #[must_use]
    pub const fn how(&self) -> &How {
        &self.how
    }

    /// Grams of dye as printed; for a stock exactly mL × % ÷ 100. `None` when it cannot be dosed.
    #[must_use]
    pub const fn grams(&self) -> Option<Shown> {
        self.grams
    }

    /// What is really dosed after rounding. `None` when it cannot be dosed.
    #[must_use]
    pub fn real(&self) -> Option<Mass> {
        self.grams.and_then(|grams| Mass::try_grams(grams.value()).ok())
    }

    /// The mass of one step of the scale, or in one mark of the measure: the real dose lies within
    /// half of it of what was wanted (whole packs: within half a pack).
    #[must_use]
    pub const fn step(&self) -> Mass {
        self.step
    }

    /// Scatter, one standard deviation as a share of the wanted amount, about the real dose;
    /// infinite when it cannot be dosed.
    #[must_use]
    pub const fn relative_scatter(&self) -> f64 {
        self.relative_scatter
    }

    /// The volume of stock or liquid it brings into the bath; nothing for powder.
    #[must_use]
    pub fn volume(&self) -> Volume {
        match &self.how {
            How::Stock { volume_ml, .. } | How::Volume { volume_ml, .. } => {
                Volume::try_millilitres(volume_ml.value()).unwrap_or(Volume::ZERO)
            }
            How::Weigh { .. } | How::Cannot { .. } => Volume::ZERO,
        }
    }

    /// The amount alone, for a table: "3.46 g", "5.0 mL of 1 % stock".
    #[must_use]
    pub fn amount(&self) -> String {
        match &self.how {
            How::Weigh { grams } => format!("{grams} g"),
            How::Stock { strength_pct, volume_ml, .. } => {
                format!("{volume_ml} mL of {strength_pct} % stock")
            }
            How::Volume { volume_ml, .. } => format!("{volume_ml} mL"),
            How::Cannot { .. } => "cannot be dosed".to_owned(),
        }
    }

    /// What must be said of a dose of less than a millilitre of a stock or liquid; nothing of any other.
    #[must_use]
    pub fn trace(&self) -> Option<&'static str> {
        let ml = self.volume().to_millilitres();
        let measured = matches!(
            self.how,
            How::Stock { measure: Some(Measure::Marked(_)), .. }
                | How::Volume { measure: Some(Measure::Marked(_)), .. }
        );
        (measured && ml < LEAST_ML).then_some(TRACE)
    }

    /// What to do, in sentences.
    #[must_use]
    pub fn words(&self) -> &str {
        &self.words
    }

    /// What the shown grams cost, to the nearest hundredth, half away from zero; nothing when it
    /// cannot be dosed.
    pub fn try_cost(&self, price: PricePerGram) -> Result<Money, DosingRefusal> {
        self.grams.map_or(Ok(Money::ZERO), |grams| cost(price, grams))
    }
}

fn drawn(draw: Draw, rules: &StockRules) -> Dose {
    let Draw { strength_pct, volume_ml, fills, measure, batch, bottles, scatter } = draw;
    let grams = volume_ml.grams_at(strength_pct);
    let step = measure.map_or(rules.pack.unwrap_or(Mass::ZERO), |measure| {
        Mass::try_grams(measure.mark_ml() * strength_pct.value() / 100.0).unwrap_or(Mass::ZERO)
    });
    let liquid = if batch.is_some() { "of it" } else { "of the liquid" };
    let taken = match measure {
        Some(measure) => {
            let volume = Volume::try_millilitres(volume_ml.value()).unwrap_or(Volume::ZERO);
            format!("Measure {volume_ml} mL {liquid} {}", measure.words(volume))
        }
        None if batch.is_some() => format!("Use all {volume_ml} mL"),
        None if bottles == 1 => format!("Empty one whole bottle into the bath: {volume_ml} mL"),
        None => format!("Empty {bottles} whole bottles into the bath: {volume_ml} mL"),
    };
    let mut rough = rough(measure, batch.as_ref(), scatter, bottles);
    if let Some(Measure::Marked(_)) = measure
        && volume_ml.value() < LEAST_ML
    {
        rough.push(' ');
        rough.push_str(TRACE);
    }
    let (how, words) = match batch {
        Some(make) => (
            How::Stock { strength_pct, volume_ml, fills, measure, make },
            format!(
                "{} {taken} ({grams} g of dye).{}{rough}",
                make.words(),
                left_over(&make, rules.keeps_days)
            ),
        ),
        None => (
            How::Volume { strength_pct, volume_ml, fills, measure },
            format!("{taken} ({grams} g of dye).{rough}"),
        ),
    };
    Dose { how, grams: Some(grams), step, relative_scatter: scatter, words }
}

/// How unsure a dose is that no weighing and no syringe stands behind, and why.
fn rough(
    measure: Option<Measure>,
    batch: Option<&StockBatch>,
    scatter: f64,
    bottles: u32,
) -> String {
    let why = match measure {
        Some(Measure::Spoons(_)) => "spoons of one name differ, and so does what is called level",
        Some(Measure::Drops) => "drops differ by the dropper and how it is held",
        _ if bottles > 0 => "bottles are filled unevenly",
        _ if batch.is_some_and(|batch| matches!(batch.made(), Made::WholePacks { .. })) => {
            "packs are filled unevenly"
        }
        _ => return String::new(),
    };
    let from = match measure {
        Some(measure) if measure.rough() => "This dose",
        _ if bottles > 0 => "A dose by the bottle",
        _ => "A dose from whole packs",
    };
    format!(" {from} may be {} % off: {why}.", units::significant(scatter * 100.0, 2))
}

fn left_over(make: &StockBatch, keeps_days: u32) -> String {
    let mut words = String::new();
    if make.leftover_ml() != Shown::ZERO {
        words += &format!(" {} mL is left", make.leftover_ml());
        words += &match keeps_days {
            0 => "; it does not keep past today.".to_owned(),
            1 => "; it keeps 1 day.".to_owned(),
            n => format!("; it keeps {n} days."),
        };
    }
    words
}

fn why_not(want: Mass, form: Form, kit: &Kit, rules: &StockRules) -> (String, String) {
    let grams = units::significant(want.to_grams(), 2);
    let powder = form == Form::Powder;
    if powder && kit.scale().is_none() && rules.pack.is_none() {
        return (
            format!("{grams} g of powder cannot be weighed without a scale"),
            "get a scale that shows 0.01 g, or enter what a whole pack holds, so that it can be \
             made up in half a litre and dosed by volume"
                .into(),
        );
    }
    let named = match (powder, kit.scale()) {
        (true, Some(scale)) => {
            format!(
                "{grams} g is too little for a scale that shows {} g",
                scale.shows(scale.step())
            )
        }
        (true, None) => format!("{grams} g cannot be weighed without a scale"),
        (false, _) => format!("{grams} g of a liquid dye is dosed by volume"),
    };
    let (Some(finest), Some(largest)) = (kit.syringes().first(), kit.syringes().last()) else {
        let nor = match kit.measures().next() {
            Some(_) => "and neither whole level spoons nor drops come within a tenth of it",
            None => "and there is no syringe or measuring jug",
        };
        return (format!("{named}, {nor}"), "get a 10 mL syringe with marks of 0.2 mL".into());
    };
    let strength = match form {
        Form::Powder => rules.strongest.to_percent().min(2.0),
        Form::Liquid(strength) => strength.to_percent(),
    };
    let most =
        largest.capacity().to_millilitres() * f64::from(Syringe::MOST_FILLS) * strength / 100.0;
    if want.to_grams() > most {
        return (
            format!(
                "{named}, and its stock would take more than {} fills of the {}",
                Syringe::MOST_FILLS,
                largest.words()
            ),
            "get a measuring jug of half a litre with marks".into(),
        );
    }
    if want.to_grams() < Syringe::LEAST_MARKS * finest.mark_ml() * strength / 100.0 {
        return (
            format!(
                "{named}, and its stock would be less than five marks of the {}",
                finest.words()
            ),
            "dye a larger swatch, or get a 1 mL syringe with marks of 0.01 mL".into(),
        );
    }
    (
        format!("{named}, and no stock solution of this dye can be weighed out on it within 2 %"),
        "get a scale that shows 0.01 g".into(),
    )
}
