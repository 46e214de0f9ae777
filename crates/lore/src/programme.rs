//! Bath programmes for one cloth and one depth: steps with temperatures, ramps, times and additions.
//!
//! A programme is chosen by procedure and goods, scaled to the depth, and held to what every material
//! in the cloth bears. It is refused when it would have to run cooler than the class works, or with
//! alkali that one of the materials does not bear; it is never silently dyed cold. Left out: grams and
//! clock times (`bath`), which class to take (the matrix). Rows and sources in `programmes.toml`.

use units::{Celsius, Minutes, OnFibre, Ph, Ramp, Share};

use crate::auxiliary::{AgentGroup, Dose};
use crate::material::{Agitation, AlkaliRule, Material};
use crate::programme_depth::{Band, Depth};
use crate::programme_file::{AlkaliUse, Kind, Row, StepKind, StepRow};
use crate::{Lore, Procedure, Provenance, UnknownName};

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
    #[error("{title} works from {needs} °C and the {by} bears {bears} °C at most: take another class or leave the piece")]
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
    #[error("{title} takes alkali ({how}) and the {by} bears it '{bears}': take a class without alkali")]
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

    /// Whether any of its baths holds an agent of this group.
    #[must_use]
    pub fn holds(&self, group: AgentGroup) -> bool {
        self.doses.iter().any(|dose| dose.group == group)
    }
}

/// The strictest of what the goods bear, and who sets it.
struct Bears<'a> {
    goods: Vec<&'a Material>,
    top: Celsius,
    top_by: String,
    heat: Option<Ramp>,
    slow_above: Option<(Celsius, Ramp)>,
    cool: Option<Ramp>,
    top_minutes: Option<Minutes>,
    agitation: Agitation,
    alkali: (AlkaliRule, String),
}

/// From this temperature the time at the top is held to what the goods bear, °C. Judgement: the
/// caps speak of baths near the boil (wool, hair, hot elastane), not of a lukewarm tub.
const HOT_C: f64 = 80.0;
/// Hold times for a medium shade are multiplied by this for tint and pale. Common practice.
const PALE_TIMES: f64 = 0.7;
/// And by this for deep and black. Common practice.
const DEEP_TIMES: f64 = 1.3;

impl Lore {
    /// The programme for a procedure on goods at a depth, finishes included.
    pub fn programme(&self, ask: &ProgrammeAsk<'_>) -> Result<Programme, NoProgramme> {
        let lead = ask.goods.first().ok_or(NoProgramme::NoGoods)?;
        let bears = self.try_bears(ask.goods, &ask.caps)?;
        let row = self
            .row_for(Kind::Dyeing(ask.procedure), ask.goods)
            .ok_or_else(|| NoProgramme::NoHomeBath {
                procedure: ask.procedure.id().to_owned(),
                goods: (*lead).to_owned(),
            })?;
        bears.admit(row)?;
        let depth = self.depth(ask.procedure, ask.goods, ask.amount);
        Ok(self.build(row, depth, &bears))
    }

    /// The scour for goods: their own, or the gentlest that every material in them bears.
    pub fn scour(&self, goods: &[&str], caps: &Caps) -> Result<Programme, NoProgramme> {
        let lead = goods.first().ok_or(NoProgramme::NoGoods)?;
        let bears = self.try_bears(goods, caps)?;
        let own = self.row_for(Kind::Scour, goods);
        let gentle = ["scour-delicate-synthetic", "scour-wool", "scour-skins"]
            .into_iter()
            .filter_map(|id| self.pot.programmes.iter().find(|row| row.id == id));
        let felts = bears.agitation == Agitation::None;
        own.into_iter()
            .chain(gentle)
            .find(|row| bears.admit(row).is_ok() && (!felts || row.id != "scour-delicate-synthetic"))
            .map(|row| self.build(row, None, &bears))
            .ok_or_else(|| NoProgramme::NoHomeBath {
                procedure: "scour".to_owned(),
                goods: (*lead).to_owned(),
            })
    }

    /// The row of a kind for goods: one that wants a companion present goes before a plain one.
    fn row_for(&self, kind: Kind, goods: &[&str]) -> Option<&Row> {
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

    fn try_bears(&self, goods: &[&str], caps: &Caps) -> Result<Bears<'_>, NoProgramme> {
        let goods: Vec<&Material> =
            goods.iter().map(|id| self.material(id)).collect::<Result<_, _>>()?;
        let lead = goods.first().copied().ok_or(NoProgramme::NoGoods)?;
        let mut it = Bears {
            top: lead.t_max,
            top_by: lead.name.clone(),
            heat: caps.heat,
            slow_above: None,
            cool: caps.cool,
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

    fn build(&self, row: &Row, depth: Option<Depth>, bears: &Bears<'_>) -> Programme {
        let (band, place) = depth.as_ref().map_or((Band::Medium, 0.5), Depth::spot);
        let mut steps = Vec::new();
        let mut doses = Vec::new();
        let finishes = row
            .then
            .iter()
            .filter_map(|id| self.pot.programmes.iter().find(|finish| finish.id == *id));
        for bath in std::iter::once(row).chain(finishes) {
            let fills = |agent: &str| {
                let adds = |step: &&StepRow| step.what.as_deref() == Some(agent);
                bath.steps.iter().filter(adds).map(|step| step.times).max().unwrap_or(1)
            };
            let of_bath = self.try_doses(&bath.id, band, place, fills).unwrap_or_default();
            let of_bath: Vec<Dose> =
                of_bath.into_iter().map(|dose| self.held_to_goods(dose, row, bears)).collect();
            steps.extend(self.steps_of(bath, band, bears, &of_bath, bath.id != row.id));
            doses.extend(of_bath);
        }
        let top = coolest(row.top, bears.top);
        Programme {
            id: row.id.clone(),
            title: row.title.clone(),
            steps,
            doses,
            ph: row.ph,
            alkali: row.alkali,
            no_top_up_after_alkali: row.no_top_up_after_alkali,
            careful: row.careful,
            works_from: row.works_from,
            top,
            notes: row.notes.clone(),
            advice: advice(row, depth.as_ref(), top, bears),
            depth,
            provenance: row.provenance.clone(),
        }
    }

    /// Soda ash never above what the goods' alkali rule allows, whatever the dose table says.
    fn held_to_goods(&self, mut dose: Dose, row: &Row, bears: &Bears<'_>) -> Dose {
        let limit = self.alkali_limit(bears.alkali.0).and_then(|limit| limit.max_dose);
        if let (AgentGroup::Alkali, crate::Per::PerLitre(amount), Some(most)) =
            (dose.group, dose.per, limit)
            && row.alkali == AlkaliUse::ColdWeakShort
            && amount > most
        {
            dose.per = crate::Per::PerLitre(most);
        }
        dose
    }

    /// The steps of one bath, scaled to the depth and held to what the goods bear.
    fn steps_of(
        &self,
        row: &Row,
        band: Band,
        bears: &Bears<'_>,
        doses: &[Dose],
        finishing: bool,
    ) -> Vec<Step> {
        let top = coolest(row.top, bears.top);
        let hold = held_minutes(row, band, top, bears);
        let mut at = row.steps.iter().find_map(|step| step.to).map(|to| coolest(to, top));
        let mut out = Vec::new();
        for step in unrolled(row, band) {
            let dosed = |agent: &str| agent == "dye" || doses.iter().any(|d| d.agent == agent);
            let adds = step.portion.zip(step.what.as_deref());
            if adds.is_some_and(|(_, agent)| !dosed(agent)) && step.kind == StepKind::Add {
                continue;
            }
            let to = step.to.map(|to| coolest(to, top)).or(at);
            let (ramp, minutes) = match step.ramp.zip(at).zip(to) {
                Some(((ramp, from), to)) => {
                    let rising = to > from;
                    if (step.kind == StepKind::Heat) != rising || to == from {
                        continue;
                    }
                    let ramp = bears.ramp(ramp, row.ramp_most, to, rising);
                    (Some(ramp), ramp.time_between(from, to))
                }
                None if step.by_depth => (None, minutes_of(hold(step.minutes))),
                None => (None, minutes_of(step.minutes * f64::from(step.times))),
            };
            let no_bath = matches!(step.kind, StepKind::Drain | StepKind::Dry | StepKind::Judge)
                || (step.kind == StepKind::Prepare && step.to.is_none());
            let fresh = matches!(step.kind, StepKind::Rinse | StepKind::Soap | StepKind::Neutralise)
                || step.kind == StepKind::Enter;
            let temperature = at.zip(to).filter(|_| !no_bath);
            let temperature = temperature.map(|(from, to)| if fresh { (to, to) } else { (from, to) });
            out.push(Step {
                kind: step.kind,
                bath: row.id.clone(),
                finishing,
                temperature,
                ramp,
                minutes,
                stretch: step.stretch,
                adds: adds.map(|(portion, agent)| self.addition(agent, portion)),
                ph: step.ph.map(|ph| within(ph, row.ph)),
                agitation: step.agitation.max(bears.agitation),
                until: step.until.clone(),
                text: spoken(step, temperature, ramp),
                look_for: step.look_for.clone(),
            });
            at = to;
        }
        out
    }

    fn addition(&self, agent: &str, portion: Share) -> Addition {
        let group = self.agent(agent).map_or(AgentGroup::Dye, |agent| agent.group);
        Addition { agent: agent.to_owned(), group, portion, dissolved: true }
    }
}

impl Bears<'_> {
    /// Refuses a row that the goods do not bear.
    fn admit(&self, row: &Row) -> Result<(), NoProgramme> {
        if self.top < row.works_from {
            return Err(NoProgramme::TooHot {
                title: row.title.clone(),
                needs: row.works_from.to_degrees(),
                bears: self.top.to_degrees(),
                by: self.top_by.clone(),
            });
        }
        let most = match self.alkali.0 {
            AlkaliRule::Yes => AlkaliUse::Hot,
            AlkaliRule::Cold => AlkaliUse::Cold,
            AlkaliRule::ColdWeakShort => AlkaliUse::ColdWeakShort,
            AlkaliRule::Never => AlkaliUse::None,
        };
        // The gentle indigo vat, at most pH 9.5 and 50 °C, is excepted on the goods it was made for.
        let excepted = row.alkali == AlkaliUse::MildVat
            && self.goods.iter().all(|m| row.goods.contains(&m.dyes_as) || m.alkali < AlkaliRule::Never);
        if row.alkali > most && !excepted {
            return Err(NoProgramme::Alkali {
                title: row.title.clone(),
                how: row.alkali,
                by: self.alkali.1.clone(),
                bears: self.alkali.0,
            });
        }
        Ok(())
    }

    fn ramp(&self, asked: Ramp, most: Ramp, to: Celsius, rising: bool) -> Ramp {
        let own = if rising { self.heat } else { self.cool };
        let slow = self.slow_above.filter(|(above, _)| rising && to > *above).map(|(_, ramp)| ramp);
        [Some(most).filter(|_| rising), own, slow]
            .into_iter()
            .flatten()
            .fold(asked, |a, b| if b < a { b } else { a })
    }
}

fn slower(a: Option<Ramp>, b: Option<Ramp>) -> Option<Ramp> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if a < b { a } else { b }),
        (a, b) => a.or(b),
    }
}

fn coolest(a: Celsius, b: Celsius) -> Celsius {
    if b < a { b } else { a }
}

/// A row's minutes are held by `Minutes` when the file is read; scaled ones stay in its range.
fn minutes_of(minutes: f64) -> Minutes {
    Minutes::try_minutes(minutes).unwrap_or(Minutes::ZERO)
}

/// The rule for `by_depth` holds: scaled to the depth, then cut so that all time within 2 °C of the top
/// stays within what the row and, in a hot bath, the goods allow.
fn held_minutes(row: &Row, band: Band, top: Celsius, bears: &Bears<'_>) -> impl Fn(f64) -> f64 {
    let times = match band {
        Band::Tint | Band::Pale => PALE_TIMES,
        Band::Medium => 1.0,
        Band::Deep | Band::Black => DEEP_TIMES,
    };
    let hot = top.to_degrees() >= HOT_C;
    let goods_most = bears.top_minutes.filter(|_| hot).map_or(f64::INFINITY, Minutes::to_minutes);
    let most = row.top_minutes_most.min(goods_most);
    let mut at = top;
    let mut fixed = 0.0;
    for step in &row.steps {
        at = step.to.map_or(at, |to| coolest(to, top));
        let near_top = top.to_degrees() - at.to_degrees() < 2.0;
        if near_top && !step.by_depth && matches!(step.kind, StepKind::Hold | StepKind::Add) {
            fixed += step.minutes;
        }
    }
    move |minutes| (minutes * times).round().min((most - fixed).max(0.0))
}

/// The steps in order, with the dips of a vat repeated as the depth asks.
fn unrolled(row: &Row, band: Band) -> Vec<&StepRow> {
    let times = row.dips.map_or(1, |[pale, medium, deep, black]| match band {
        Band::Tint | Band::Pale => pale,
        Band::Medium => medium,
        Band::Deep => deep,
        Band::Black => black,
    });
    let first = row.steps.iter().position(|step| step.each_dip).unwrap_or(row.steps.len());
    let (before, rest) = row.steps.split_at(first);
    let (dip, after): (Vec<&StepRow>, Vec<&StepRow>) = rest.iter().partition(|step| step.each_dip);
    let dips = (0..times).flat_map(|_| dip.iter().copied());
    before.iter().chain(dips).chain(after.iter().copied()).collect()
}

/// A step's pH held to the row's (rows that borrow another's steps may be narrower).
fn within(step: (Ph, Ph), row: Option<(Ph, Ph)>) -> (Ph, Ph) {
    let Some((low, high)) = row else { return step };
    let from = if low > step.0 && low <= step.1 { low } else { step.0 };
    let to = if high < step.1 && high >= from { high } else { step.1 };
    (from, to)
}

fn spoken(step: &StepRow, temperature: Option<(Celsius, Celsius)>, ramp: Option<Ramp>) -> String {
    let to = temperature.map_or_else(String::new, |(_, to)| units::trimmed(to.to_degrees(), 1));
    let rate = ramp.map_or_else(String::new, |r| units::trimmed(r.to_degrees_per_minute(), 2));
    step.say.replace("{to}", &to).replace("{rate}", &rate)
}

fn advice(row: &Row, depth: Option<&Depth>, top: Celsius, bears: &Bears<'_>) -> Vec<String> {
    let mut said = Vec::new();
    if top < row.top {
        said.push(format!(
            "The bath stops at {} °C instead of {} °C because of the {}: expect a paler, slower dyeing.",
            units::trimmed(top.to_degrees(), 1),
            units::trimmed(row.top.to_degrees(), 1),
            bears.top_by
        ));
    }
    if let Some(depth) = depth {
        if depth.beyond {
            said.push(format!(
                "More dye than this class takes up: little goes on above {} % owf.",
                units::trimmed(depth.cap.to_percent(), 2)
            ));
        }
        if depth.band > row.depth_most {
            said.push(format!(
                "This is a {} shade and the bath is good for {} at the deepest.",
                depth.band, row.depth_most
            ));
        }
    }
    said
}

#[cfg(test)]
#[path = "programme_tests.rs"]
mod tests;
