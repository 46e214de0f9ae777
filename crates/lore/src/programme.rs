//! Bath programmes for one cloth and one depth: steps with temperatures, ramps, times and additions.
//!
//! A programme is chosen by procedure and goods, scaled to the depth, and held to what every material
//! in the cloth bears. It is refused when it would have to run cooler than the class works, or with
//! alkali that one of the materials does not bear; it is never silently dyed cold. Left out: grams and
//! clock times (`bath`), which class to take (the matrix). Rows and sources in `programmes.toml`.

use units::{Celsius, Minutes, OnFibre, Ph, Ramp, Share};

use crate::auxiliary::{AgentGroup, Dose};
use crate::material::{Agitation, AlkaliRule, Material};
use crate::programme_build::{Bears, coolest, slower};
use crate::programme_depth::Depth;
use crate::programme_file::{AlkaliUse, Kind, Row, StepKind};
use crate::{Limits, Lore, Procedure, Provenance, UnknownName};

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct ProgrammeAsk<'a> {
    /// The way of dyeing.
    pub procedure: Procedure,
    /// Material ids: the fibre that leads the dyeing first, then every other fibre that gets wet.
    pub goods: &'a [&'a str],
    /// All dye together.
    pub amount: OnFibre,
    /// Limits beyond those of the goods: glued trims, fibres that are only possible.
    pub caps: Caps,
}

/// Limits a programme must keep beyond those of its goods.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Caps {
    /// Hottest bath.
    pub top: Option<Celsius>,
    /// Fastest heating.
    pub heat: Option<Ramp>,
    /// Fastest cooling.
    pub cool: Option<Ramp>,
    /// Longest time at the top of a hot bath (80 °C and above).
    pub top_minutes: Option<Minutes>,
    /// How much alkali is borne.
    pub alkali: Option<AlkaliRule>,
    /// How much movement is borne.
    pub agitation: Option<Agitation>,
}

impl From<&Limits> for Caps {
    /// The caps of a whole piece, parts and possible fibres included.
    fn from(limits: &Limits) -> Self {
        Self {
            top: Some(limits.t_max.it),
            heat: limits.heat.as_ref().map(|bound| bound.it),
            cool: limits.cool.as_ref().map(|bound| bound.it),
            top_minutes: limits.max_at_top.as_ref().map(|bound| bound.it),
            alkali: Some(limits.alkali.it),
            agitation: Some(limits.agitation.it),
        }
    }
}

/// Why there is no programme.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoProgramme {
    /// A material that is not known.
    #[error(transparent)]
    UnknownMaterial(#[from] UnknownName),
    /// No goods were named.
    #[error("no goods were named: say which fibre the bath is for")]
    NoGoods,
    /// The trade has no home bath for the pair.
    #[error("there is no home bath for {procedure} on {goods}: take another way of dyeing")]
    NoHomeBath {
        /// The procedure, or "scour".
        procedure: String,
        /// The fibre that leads.
        goods: String,
    },
    /// The class works only hotter than the goods bear.
    #[error(
        "{title} works from {needs} °C and the {by} bears {bears} °C at most: take another class or leave the piece"
    )]
    TooHot {
        /// The programme.
        title: String,
        /// Lowest temperature at which it is worth it, °C.
        needs: f64,
        /// What the goods bear, °C.
        bears: f64,
        /// Which of them is the strictest.
        by: String,
    },
    /// Alkali that one of the goods does not bear.
    #[error(
        "{title} takes alkali ({how}) and the {by} bears it '{bears}': take a class without alkali"
    )]
    Alkali {
        /// The programme.
        title: String,
        /// How the alkali goes in.
        how: AlkaliUse,
        /// The material that does not bear it.
        by: String,
        /// What it bears.
        bears: AlkaliRule,
    },
}

/// A programme for one cloth and depth.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// Id of its row.
    pub id: String,
    /// What it is, in words.
    pub title: String,
    /// The depth it was made for; none for a scour.
    pub depth: Option<Depth>,
    /// The steps, finishes after them.
    pub steps: Vec<Step>,
    /// What goes into its baths besides dye.
    pub doses: Vec<Dose>,
    /// pH of the dye bath.
    pub ph: Option<(Ph, Ph)>,
    /// How alkali is used.
    pub alkali: AlkaliUse,
    /// Once alkali is in, no dye may be added.
    pub no_top_up_after_alkali: bool,
    /// Careful work: offered only when asked for.
    pub careful: bool,
    /// Coolest top temperature at which the class still works on these goods.
    pub works_from: Celsius,
    /// Hottest the dye bath gets.
    pub top: Celsius,
    /// What to know.
    pub notes: Vec<String>,
    /// What stands against it, that the maker may overrule.
    pub advice: Vec<String>,
    /// Where the row is from.
    pub provenance: Provenance,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it does.
    pub kind: StepKind,
    /// The bath it belongs to: the programme's id or a finish's.
    pub bath: String,
    /// After the dye bath: rinses, soaps, drying, judging.
    pub finishing: bool,
    /// Bath temperature before and after; none where there is no bath.
    pub temperature: Option<(Celsius, Celsius)>,
    /// Heating or cooling rate.
    pub ramp: Option<Ramp>,
    /// How long it takes.
    pub minutes: Minutes,
    /// How much longer it may take without harm; zero: keep to the clock.
    pub stretch: Minutes,
    /// What is added.
    pub adds: Option<Addition>,
    /// pH to aim at after it.
    pub ph: Option<(Ph, Ph)>,
    /// How the goods may be moved.
    pub agitation: Agitation,
    /// What ends it, where not the clock.
    pub until: Option<String>,
    /// What to do.
    pub text: String,
    /// What shows that it goes right.
    pub look_for: Option<String>,
}

/// What a step adds.
#[derive(Debug, Clone, PartialEq)]
pub struct Addition {
    /// `dye` or an agent's id.
    pub agent: String,
    /// Its group.
    pub group: AgentGroup,
    /// Share of the whole dose.
    pub portion: Share,
    /// Dissolved or diluted first: always true, and said.
    pub dissolved: bool,
}

impl Programme {
    /// All steps together; a step ended by its look is counted at its usual time.
    #[must_use]
    pub fn total_minutes(&self) -> Minutes {
        self.steps.iter().map(|step| step.minutes).sum()
    }

    /// The dye bath alone, without the finishes.
    #[must_use]
    pub fn bath_minutes(&self) -> Minutes {
        self.steps.iter().filter(|step| !step.finishing).map(|step| step.minutes).sum()
    }

    /// The hottest bath of all, finishes included: what cautions and vessels go by.
    #[must_use]
    pub fn hottest(&self) -> Celsius {
        let ends = self.steps.iter().filter_map(|step| step.temperature);
        ends.fold(self.top, |top, (from, to)| [from, to].into_iter().fold(top, hotter))
    }

    /// Whether any of its baths holds an agent of this group.
    #[must_use]
    pub fn holds(&self, group: AgentGroup) -> bool {
        self.doses.iter().any(|dose| dose.group == group)
    }
}

impl Lore {
    /// The programme for a procedure on goods at a depth, finishes included.
    pub fn programme(&self, ask: &ProgrammeAsk<'_>) -> Result<Programme, NoProgramme> {
        let lead = ask.goods.first().ok_or(NoProgramme::NoGoods)?;
        let bears = self.try_bears(ask.goods, &ask.caps)?;
        let row = self.row_for(Kind::Dyeing(ask.procedure), ask.goods).ok_or_else(|| {
            NoProgramme::NoHomeBath {
                procedure: ask.procedure.id().to_owned(),
                goods: (*lead).to_owned(),
            }
        })?;
        bears.admit(row)?;
        let depth = self.depth(ask.procedure, ask.goods, ask.amount);
        Ok(self.build(row, depth, &bears))
    }

    /// The programme for a recipe with much copper phthalocyanine in it: where the cold bath on
    /// cellulose may be warmer, at 45 °C, half an hour longer and with a quarter more salt (from
    /// memory: 40 to 50 °C, more salt and longer); elsewhere the usual one.
    pub fn programme_for_phthalocyanine(
        &self,
        ask: &ProgrammeAsk<'_>,
    ) -> Result<Programme, NoProgramme> {
        const WARM_C: f64 = 45.0;
        const LONGER_MIN: f64 = 30.0;
        const SALT_TIMES: f64 = 1.25;
        let usual = self.programme(ask)?;
        let bears = self.try_bears(ask.goods, &ask.caps)?;
        let row = self.row_for(Kind::Dyeing(ask.procedure), ask.goods);
        let row = row.filter(|row| row.id == "reactive-cold-cellulose");
        let warm = Celsius::try_degrees(WARM_C).ok();
        let (Some(row), Some(warm)) = (row, warm.filter(|warm| bears.top >= *warm)) else {
            return Ok(not_warm(usual));
        };
        if bears.alkali.0 != AlkaliRule::Yes {
            return Ok(not_warm(usual));
        }
        let mut row = row.clone();
        row.top = warm;
        row.top_minutes_most += LONGER_MIN;
        for step in &mut row.steps {
            if step.kind == StepKind::Heat {
                step.to = Some(warm);
            }
        }
        let mut it = self.build(&row, usual.depth, &bears);
        for step in it.steps.iter_mut().filter(|s| s.kind == StepKind::Hold && !s.finishing) {
            let longer = step.minutes.to_minutes() + LONGER_MIN;
            step.minutes = Minutes::try_minutes(longer).unwrap_or(step.minutes);
        }
        for dose in it.doses.iter_mut().filter(|dose| dose.agent == "salt") {
            if let crate::Per::PerLitre(amount) = dose.per {
                let more =
                    units::PerLitre::try_grams_per_litre(amount.to_grams_per_litre() * SALT_TIMES);
                dose.per = crate::Per::PerLitre(more.unwrap_or(amount));
            }
        }
        Ok(it)
    }

    /// The row of a kind for goods: one that wants a companion present goes before a plain one.
    pub(crate) fn row_for(&self, kind: Kind, goods: &[&str]) -> Option<&Row> {
        let lead = goods.first()?;
        let exact = |row: &&Row| row.goods.iter().any(|it| it == lead);
        let rows: Vec<&Row> = self
            .pot
            .programmes
            .iter()
            .filter(|row| row.kind == kind && self.dyes_like(&row.goods, lead))
            .collect();
        let with = rows.iter().copied().filter(|row| {
            !row.with_goods.is_empty()
                && goods[1..].iter().any(|other| self.dyes_like(&row.with_goods, other))
        });
        let plain = rows.iter().copied().filter(|row| row.with_goods.is_empty());
        let named = plain.clone().find(exact);
        with.chain(named).chain(plain).next()
    }

    pub(crate) fn try_bears(&self, goods: &[&str], caps: &Caps) -> Result<Bears<'_>, NoProgramme> {
        let goods: Vec<&Material> =
            goods.iter().map(|id| self.material(id)).collect::<Result<_, _>>()?;
        let lead = goods.first().copied().ok_or(NoProgramme::NoGoods)?;
        let mut it = Bears {
            top: lead.t_max,
            top_by: lead.name.clone(),
            heat: caps.heat,
            slow_above: None,
            cool: caps.cool,
            cool_to: None,
            top_minutes: caps.top_minutes,
            agitation: caps.agitation.unwrap_or(Agitation::Stir),
            alkali: (lead.alkali, lead.name.clone()),
            goods: Vec::new(),
        };
        for material in &goods {
            if material.t_max < it.top {
                (it.top, it.top_by) = (material.t_max, material.name.clone());
            }
            it.heat = slower(it.heat, material.heat);
            it.cool = slower(it.cool, material.cool);
            it.slow_above = it.slow_above.or(material.slow_above);
            it.cool_to = match (it.cool_to, material.cool_to) {
                (Some(a), Some(b)) => Some(coolest(a, b)),
                (a, b) => a.or(b),
            };
            it.top_minutes = match (it.top_minutes, material.max_at_top) {
                (Some(a), Some(b)) => Some(if a < b { a } else { b }),
                (a, b) => a.or(b),
            };
            it.agitation = it.agitation.max(material.agitation);
            if material.alkali > it.alkali.0 {
                it.alkali = (material.alkali, material.name.clone());
            }
        }
        if let Some(top) = caps.top.filter(|top| *top < it.top) {
            (it.top, it.top_by) = (top, "piece as made up".to_owned());
        }
        if let Some(rule) = caps.alkali.filter(|rule| *rule > it.alkali.0) {
            it.alkali = (rule, "piece as made up".to_owned());
        }
        it.goods = goods;
        Ok(it)
    }
}

/// Where a cold bath cannot be warmer for a phthalocyanine, that is said, with what would do better.
fn not_warm(mut usual: Programme) -> Programme {
    const WARM_C: f64 = 40.0;
    if usual.alkali != AlkaliUse::None && usual.top.to_degrees() < WARM_C {
        usual.advice.push(format!(
            "This turquoise wants 40 to 50 °C and these goods bear no more than {} °C with soda: it comes out weaker \
             than its share. A swatch tells how much; an acid turquoise (silk, wool, nylon) takes fully.",
            units::trimmed(usual.top.to_degrees(), 0)
        ));
    }
    usual
}

fn hotter(a: Celsius, b: Celsius) -> Celsius {
    if b > a { b } else { a }
}

#[cfg(test)]
#[path = "programme_tests.rs"]
mod tests;
