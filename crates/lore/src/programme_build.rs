//! Making a programme: a row scaled to the depth and held to what the goods bear.
//!
//! Which row, and when there is none, is in `programme`.

use std::borrow::Cow;

use units::{Celsius, Minutes, Ph, Ramp, Share};

use crate::Lore;
use crate::auxiliary::{AgentGroup, Dose, Per};
use crate::material::{Agitation, AlkaliRule, Material};
use crate::programme::{Addition, NoProgramme, Programme, Step};
use crate::programme_depth::{Band, Depth};
use crate::programme_file::{AlkaliUse, Row, StepKind, StepRow};

/// The strictest of what the goods bear, and who sets it.
pub(crate) struct Bears<'a> {
    pub(crate) goods: Vec<&'a Material>,
    pub(crate) top: Celsius,
    pub(crate) top_by: String,
    pub(crate) heat: Option<Ramp>,
    pub(crate) slow_above: Option<(Celsius, Ramp)>,
    pub(crate) cool: Option<Ramp>,
    pub(crate) cool_to: Option<Celsius>,
    pub(crate) top_minutes: Option<Minutes>,
    pub(crate) agitation: Agitation,
    pub(crate) alkali: (AlkaliRule, String),
}

/// From this temperature the time at the top is held to what the goods bear, °C. Judgement: the
/// caps speak of baths near the boil (wool, hair, hot elastane), not of a lukewarm tub.
const HOT_C: f64 = 80.0;
/// The hottest rinse or soap for goods that felt, °C. Judgement: wool scours at about 38 °C and never
/// above 49 °C (the scouring row of the programmes).
const LUKEWARM_C: f64 = 45.0;
/// What a step says for goods that bear no movement, in place of what it says for others.
const UNMOVED: [(&str, &str); 10] = [
    (
        "and work them until the bath has reached every fold",
        "and press them under until the bath has reached every fold; no rubbing",
    ),
    ("return the goods and keep them moving", "return the goods and press them under; no rubbing"),
    (
        "Keep the goods moving and under the surface",
        "Press the goods under the surface now and then; no rubbing",
    ),
    ("Keep the goods moving", "Press the goods under now and then; no rubbing"),
    ("moving steadily", "pressing the goods under now and then; no rubbing"),
    (
        "Turn the goods every few minutes; keep them under the surface",
        "Press the goods under now and then, turning them over once or twice; no rubbing",
    ),
    ("Dry flat or on a line", "Dry flat"),
    ("Dry on a line", "Dry flat"),
    (", stirring hard", "; do not stir the goods"),
    (
        "Stir hard for the first 15 minutes, then every 5 minutes",
        "Press the goods under every 5 minutes; no rubbing",
    ),
];
/// Hold times for a medium shade are multiplied by this for tint and pale. Common practice.
const PALE_TIMES: f64 = 0.7;
/// And by this for deep and black. Common practice.
const DEEP_TIMES: f64 = 1.3;

impl Lore {
    pub(crate) fn build(&self, row: &Row, depth: Option<Depth>, bears: &Bears<'_>) -> Programme {
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
            let before = steps.iter().rev().find_map(|step: &Step| step.temperature);
            let before = before.map(|(_, to)| to);
            steps.extend(self.steps_of(bath, band, bears, &of_bath, before));
            doses.extend(of_bath);
        }
        let top = coolest(row.top, bears.top);
        Programme {
            id: row.id.clone(),
            title: row.title.clone(),
            steps,
            doses,
            ph: window(row, band),
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
        if let (AgentGroup::Alkali, Per::PerLitre(amount), Some(most)) =
            (dose.group, dose.per, limit)
            && row.alkali == AlkaliUse::ColdWeakShort
            && amount > most
        {
            dose.per = Per::PerLitre(most);
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
        mut before: Option<Celsius>,
    ) -> Vec<Step> {
        // Only a finish has a bath before it.
        let finishing = before.is_some();
        let top = coolest(row.top, bears.top);
        let at_top = TopTime::new(row, band, top, bears);
        let mut at = row.steps.iter().find_map(|step| step.to).map(|to| coolest(to, top));
        let mut out = Vec::new();
        for step in unrolled(row, band) {
            let dosed = |agent: &str| agent == "dye" || doses.iter().any(|d| d.agent == agent);
            let adds = step.portion.zip(step.what.as_deref());
            if adds.is_some_and(|(_, agent)| !dosed(agent)) && step.kind == StepKind::Add {
                continue;
            }
            let fresh = matches!(
                step.kind,
                StepKind::Enter | StepKind::Rinse | StepKind::Soap | StepKind::Neutralise
            );
            let to = step.to.map(|to| coolest(to, top)).or(at);
            let to = match step.kind {
                StepKind::Cool => to.map(|to| bears.cool_to.map_or(to, |most| coolest(to, most))),
                _ if finishing && fresh => to.map(|to| bears.without_shock(before.or(at), to)),
                _ => to,
            };
            let shifted = finishing && fresh && to != step.to.map(|to| coolest(to, top));
            let (ramp, minutes) = match step.ramp.zip(at).zip(to) {
                Some(((ramp, from), to)) => {
                    let rising = to > from;
                    if (step.kind == StepKind::Heat) != rising || to == from {
                        continue;
                    }
                    let ramp = bears.ramp(ramp, row.ramp_most, to, rising);
                    (Some(ramp), ramp.time_between(from, to))
                }
                None if step.by_depth => (None, at_top.of(&step).0),
                None => (None, minutes_of(step.minutes * f64::from(step.times))),
            };
            let no_bath = matches!(step.kind, StepKind::Drain | StepKind::Dry | StepKind::Judge)
                || (step.kind == StepKind::Prepare && step.to.is_none());
            let fresh =
                matches!(step.kind, StepKind::Rinse | StepKind::Soap | StepKind::Neutralise)
                    || step.kind == StepKind::Enter;
            let temperature = at.zip(to).filter(|_| !no_bath);
            let temperature =
                temperature.map(|(from, to)| if fresh { (to, to) } else { (from, to) });
            out.push(Step {
                kind: step.kind,
                bath: row.id.clone(),
                finishing,
                temperature,
                ramp,
                minutes,
                stretch: if step.by_depth { at_top.of(&step).1 } else { step.stretch },
                adds: adds.map(|(portion, agent)| self.addition(agent, portion)),
                ph: step.ph.map(|ph| within(ph, window(row, band))),
                agitation: step.agitation.max(bears.agitation),
                until: step.until.clone(),
                text: spoken(&step, temperature, ramp, shifted, bears.agitation),
                look_for: step.look_for.clone(),
            });
            at = to;
            before = at;
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
    pub(crate) fn admit(&self, row: &Row) -> Result<(), NoProgramme> {
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
            && self
                .goods
                .iter()
                .all(|m| row.goods.contains(&m.dyes_as) || m.alkali < AlkaliRule::Never);
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

    /// Goods that felt go from bath to bath in steps of at most 15 °C (common practice: 10 °C down),
    /// at most lukewarm as soon as the steps allow, and never up again; goods that must be heated
    /// slowly go into no bath hotter than the one they come from.
    fn without_shock(&self, from: Option<Celsius>, to: Celsius) -> Celsius {
        const STEP_C: f64 = 15.0;
        let felts = self.agitation == Agitation::None;
        if let Some(from) = from.filter(|from| (felts || self.slow_above.is_some()) && to > *from) {
            return if felts { self.without_shock(Some(from), from) } else { from };
        }
        let Some(from) = from.filter(|_| felts) else { return to };
        let from = from.to_degrees();
        let held = to.to_degrees().min(LUKEWARM_C).clamp(from - STEP_C, from);
        Celsius::try_degrees(held).unwrap_or(to)
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

pub(crate) fn slower(a: Option<Ramp>, b: Option<Ramp>) -> Option<Ramp> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if a < b { a } else { b }),
        (a, b) => a.or(b),
    }
}

pub(crate) fn coolest(a: Celsius, b: Celsius) -> Celsius {
    if b < a { b } else { a }
}

/// A row's minutes are held by `Minutes` when the file is read; scaled ones stay in its range.
fn minutes_of(minutes: f64) -> Minutes {
    Minutes::try_minutes(minutes).unwrap_or(Minutes::ZERO)
}

/// How long `by_depth` holds last: scaled to the depth, then cut so that all time within 2 °C of the
/// top stays within what the row allows and, in a hot bath, within what the goods bear, counting how far
/// the steps may stretch.
struct TopTime {
    times: f64,
    row_left: f64,
    goods_left: f64,
}

impl TopTime {
    fn new(row: &Row, band: Band, top: Celsius, bears: &Bears<'_>) -> Self {
        let times = match band {
            Band::Tint | Band::Pale => PALE_TIMES,
            Band::Medium => 1.0,
            Band::Deep | Band::Black => DEEP_TIMES,
        };
        let hot = top.to_degrees() >= HOT_C;
        let most = bears.top_minutes.filter(|_| hot).map_or(f64::INFINITY, Minutes::to_minutes);
        let mut left = Self { times, row_left: row.top_minutes_most, goods_left: most };
        let mut at = top;
        for step in &row.steps {
            at = step.to.map_or(at, |to| coolest(to, top));
            let near_top = top.to_degrees() - at.to_degrees() < 2.0;
            if near_top && !step.by_depth && matches!(step.kind, StepKind::Hold | StepKind::Add) {
                left.row_left -= step.minutes;
                left.goods_left -= step.minutes + step.stretch.to_minutes();
            }
        }
        left
    }

    /// Minutes of a hold, and how far it may stretch.
    fn of(&self, step: &StepRow) -> (Minutes, Minutes) {
        let most = self.row_left.min(self.goods_left).max(0.0);
        let minutes = (step.minutes * self.times).round().min(most);
        let stretch = step.stretch.to_minutes().min((self.goods_left - minutes).max(0.0));
        (minutes_of(minutes), minutes_of(stretch))
    }
}

/// The steps in order, with the dips of a vat repeated as the depth asks, and
/// every fill of a repeated soap a step of its own, so that its amount is that of one bath.
fn unrolled(row: &Row, band: Band) -> Vec<Cow<'_, StepRow>> {
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
    before.iter().chain(dips).chain(after.iter().copied()).flat_map(fills).collect()
}

/// One step for each fill that takes its own lot; a plain rinse stays one step.
fn fills(step: &StepRow) -> Vec<Cow<'_, StepRow>> {
    let Some(portion) = step.portion.filter(|_| step.times > 1) else {
        return vec![Cow::Borrowed(step)];
    };
    let of = step.times;
    let share = Share::try_fraction(portion.to_fraction() / f64::from(of)).unwrap_or(portion);
    let fill = |k: u8| {
        let last = k == of;
        Cow::Owned(StepRow {
            portion: Some(share),
            times: 1,
            say: format!("{} Bath {k} of {of}, in fresh water.", step.say),
            look_for: step.look_for.clone().filter(|_| last),
            ..step.clone()
        })
    };
    (1..=of).map(fill).collect()
}

/// How far to either side of what a depth aims at its pH may lie. Judgement: what pH paper tells apart.
const AIM_WITHIN: f64 = 0.5;

/// The pH of a row's bath at this depth: the paler, the less acid, where the row says so.
fn window(row: &Row, band: Band) -> Option<(Ph, Ph)> {
    let (low, high) = row.ph?;
    let Some([pale, medium, deep]) = row.ph_by_depth else { return Some((low, high)) };
    let aim = match band {
        Band::Tint | Band::Pale => pale,
        Band::Medium => medium,
        Band::Deep | Band::Black => deep,
    };
    let held = |ph: f64| Ph::try_value(ph.clamp(low.to_value(), high.to_value())).ok();
    Some((held(aim.to_value() - AIM_WITHIN)?, held(aim.to_value() + AIM_WITHIN)?))
}

/// A step's pH held to the row's (rows that borrow another's steps may be narrower).
fn within(step: (Ph, Ph), row: Option<(Ph, Ph)>) -> (Ph, Ph) {
    let Some((low, high)) = row else { return step };
    let from = if low > step.0 && low <= step.1 { low } else { step.0 };
    let to = if high < step.1 && high >= from { high } else { step.1 };
    (from, to)
}

fn spoken(
    step: &StepRow,
    temperature: Option<(Celsius, Celsius)>,
    ramp: Option<Ramp>,
    shifted: bool,
    agitation: Agitation,
) -> String {
    let to = temperature.map_or_else(String::new, |(_, to)| units::trimmed(to.to_degrees(), 1));
    let rate = ramp.map_or_else(String::new, |r| units::trimmed(r.to_degrees_per_minute(), 2));
    let mut text = step.say.replace("{to}", &to).replace("{rate}", &rate);
    if agitation == Agitation::None {
        for (moved, unmoved) in UNMOVED {
            text = text.replace(moved, unmoved);
        }
        if matches!(step.kind, StepKind::Rinse | StepKind::Soap) && !text.contains("rub") {
            text.push_str(" Press, do not rub; no running tap on the goods.");
        }
    }
    if shifted {
        format!("{text} Here in water of {to} °C: these goods bear no heat shock.")
    } else {
        text
    }
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
            let shade = match depth.band {
                Band::Black => "shade of as much dye as a navy or a black".to_owned(),
                band => format!("{band} shade"),
            };
            said.push(format!(
                "This is a {shade}, and the bath is good for {} at the deepest.",
                row.depth_most
            ));
        }
    }
    said
}
