//! The finished sheet: quantities already rounded to what is printed.

use dosing::Shown;
use lore::{AgentGroup, Agitation, DyeClass, Per, Procedure, StepKind};
use units::{Celsius, LiquorRatio, Mass, Minutes, Money, Ph, PricePerGram, Ramp, Share, Volume};

use crate::Kind;

/// One bath, ready to be printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Swatch or bulk.
    pub kind: Kind,
    /// The way of dyeing.
    pub procedure: Procedure,
    /// The programme's title.
    pub title: String,
    /// Ids of the parts in this bath; none in a swatch, which is cut from the cloth.
    pub parts: Vec<String>,
    /// Pieces that lie in this bath together, in the order given; empty when it is for one.
    pub pieces: Vec<Piece>,
    /// Weight of everything that goes into this bath and gets wet.
    pub dry: Mass,
    /// What of it takes the dye: depths are reckoned on this.
    pub takes: Mass,
    /// Both, line by line: the printed lines add up to them.
    pub weights: Vec<Weighed>,
    /// Litres per kilogram of what takes the dye, the same for swatch and bulk; of everything where all of it
    /// takes the dye.
    pub ratio: LiquorRatio,
    /// The whole bath, mL.
    pub liquor_ml: Shown,
    /// Water to run in before stocks and solutions are added, mL.
    pub water_ml: Shown,
    /// What it is dyed in.
    pub vessel: Vessel,
    /// Cautions, the gravest first, each once.
    pub cautions: Vec<Caution>,
    /// The dyes and how each is dosed.
    pub dyes: Vec<Dye>,
    /// Stock solutions to make first, one batch for each dye that needs one.
    pub stocks: Vec<Stock>,
    /// Everything else that goes in.
    pub auxiliaries: Vec<Auxiliary>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// All of it together.
    pub total: Minutes,
    /// After this no dye may be added.
    pub no_top_up_after: Option<&'static str>,
    /// How to judge it; the lights are the plan's.
    pub judge: String,
    /// True when the sheet rinses until clear, so that care may promise something about washing.
    pub fastness_claimed: bool,
    /// Sentences about what will stay undyed; they are among the cautions too.
    pub will_not_dye: Vec<String>,
    /// What to know of this bath.
    pub notes: Vec<String>,
}

/// One piece of a shared bath.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What the caller calls it.
    pub id: String,
    /// What of this bath's weight it is, spare cloth included.
    pub dry: Mass,
}

/// One line of what the goods weigh.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weighed {
    /// What it is.
    pub it: WhatWeighs,
    /// In words.
    pub name: String,
    /// Its weight, to a tenth of a gram.
    pub grams: Shown,
    /// What of it counts as taking the dye.
    pub takes: Shown,
}

/// What weighs in a bath.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhatWeighs {
    /// The cloth itself.
    Cloth,
    /// A part, by its id.
    Part(String),
    /// A lining sewn in.
    Lining,
    /// Spare cloth, thread and a patch.
    Spare,
}

/// A vessel, and how full.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vessel {
    /// What it is, in words.
    pub words: String,
    /// Its material: `stainless`, `enamel`, `plastic`, `glass`.
    pub material: String,
}

/// A caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Its fixed id.
    pub id: String,
    /// What it is called, in two or three words.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// A dye on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Dye {
    /// Shelf id.
    pub id: String,
    /// Its hue in words.
    pub name: String,
    /// Its class.
    pub class: DyeClass,
    /// Colour Index Generic Name.
    pub ci: Option<String>,
    /// `powder` or `liquid`.
    pub form: &'static str,
    /// Depth as really dosed, % owf, to four digits.
    pub owf_pct: Shown,
    /// How it is dosed: the whole answer of the dosing room.
    pub dose: dosing::Dose,
    /// Grams of dye as printed.
    pub grams: Shown,
    /// Strength of its stock or bought liquid, % w/v, where one is measured.
    pub stock_pct: Option<Shown>,
    /// Millilitres of it.
    pub stock_ml: Option<Shown>,
    /// Price per gram.
    pub price: Option<PricePerGram>,
    /// Grams × price.
    pub cost: Option<Money>,
}

/// A stock solution to make.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Shelf id of its dye.
    pub dye: String,
    /// Strength, % w/v.
    pub strength_pct: Shown,
    /// Dye in it, g.
    pub grams: Shown,
    /// Made up to, mL.
    pub make_ml: Shown,
    /// Used in this bath, mL.
    pub used_ml: Shown,
    /// Left over, mL.
    pub leftover_ml: Shown,
    /// Days it keeps, cool and dark; none: it is made anew every time.
    pub keeps_days: u32,
    /// How to make it, what is left and how long it keeps.
    pub words: String,
}

/// An auxiliary on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Auxiliary {
    /// The agent's id.
    pub id: String,
    /// Its name, with what it is for when it goes into more than one bath.
    pub name: String,
    /// What it does.
    pub group: AgentGroup,
    /// The bath it goes into: id of a programme or finish.
    pub bath: String,
    /// Mass as printed, all fills together.
    pub grams: Shown,
    /// What the amount goes by; the wanted figure, before rounding to the measure.
    pub per: Per,
    /// How it is measured out.
    pub how: Measured,
    /// How to measure it out, in words.
    pub words: String,
    /// In household measures, where that is allowed.
    pub household: Option<String>,
    /// What the household measure takes for granted.
    pub declared: Option<String>,
    /// The bath works without it, less surely.
    pub optional: bool,
}

/// How an auxiliary is measured out.
#[derive(Debug, Clone, PartialEq)]
pub enum Measured {
    /// On the scale.
    Weighed,
    /// Poured as vinegar.
    Vinegar {
        /// How much, mL.
        ml: Shown,
        /// How strong, % w/v.
        strength_pct: Shown,
    },
    /// As a solution made up for it.
    Solution {
        /// How much, mL.
        ml: Shown,
        /// How strong, % w/v.
        strength_pct: Shown,
    },
    /// By level spoons, for want of a scale.
    Spooned,
}

impl Measured {
    /// The liquid it brings into the bath.
    #[must_use]
    pub fn volume(&self) -> Volume {
        match self {
            Self::Vinegar { ml, .. } | Self::Solution { ml, .. } => {
                Volume::try_millilitres(ml.value()).unwrap_or(Volume::ZERO)
            }
            Self::Weighed | Self::Spooned => Volume::ZERO,
        }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// 1, 2, 3 …
    pub n: usize,
    /// Minutes from the start.
    pub at: Minutes,
    /// The same as a clock: "1:05".
    pub clock: String,
    /// What kind of step.
    pub kind: StepKind,
    /// After the dye bath.
    pub finishing: bool,
    /// What to do.
    pub text: String,
    /// Bath temperature before; the room's for drying and judging.
    pub from: Celsius,
    /// Bath temperature after.
    pub to: Celsius,
    /// Heating or cooling rate.
    pub ramp: Option<Ramp>,
    /// How long, whole minutes.
    pub minutes: Minutes,
    /// pH aimed at.
    pub ph: Option<Ph>,
    /// What goes in.
    pub adds: Vec<Add>,
    /// The vessel it is done in, where not the sheet's.
    pub vessel: Option<Vessel>,
    /// How the goods may be moved.
    pub agitation: Agitation,
    /// How much longer it may take; absent: keep to the clock.
    pub stretch: Option<Minutes>,
    /// What ends it, where not the clock.
    pub until: Option<String>,
    /// What shows that it goes right.
    pub look_for: Option<String>,
}

/// What a step adds.
#[derive(Debug, Clone, PartialEq)]
pub struct Add {
    /// `dye` or an agent's id.
    pub id: String,
    /// Its group.
    pub group: AgentGroup,
    /// How much now.
    pub grams: Shown,
    /// Share of the whole dose of that bath.
    pub portion: Share,
    /// Dissolved or diluted first: always.
    pub dissolved: bool,
    /// The amount as it is measured: "150 mL vinegar of 5 %", "12.5 g".
    pub words: String,
}
