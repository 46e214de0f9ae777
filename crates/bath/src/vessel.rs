//! The vessel: the smallest at hand that holds the bath and bears its heat and what is in it.
//!
//! Never more than two thirds full (common practice: room to stir, and against boiling over). A
//! garment is never split over two baths. Where the vessel of the dye bath does not bear the hot soaps, those are
//! done in a pot that does (cut panels in turns if need be: rinsing may be done in turns, dyeing never), in the
//! machine, or cooler and oftener where they are.

use dosing::Shown;
use lore::{Agitation, Lore};
use units::{Celsius, Mass, Volume, trimmed};

use crate::sheet::Vessel;
use crate::{Kind, Order, Refusal, VesselAtHand, machine, no_burner, ways_out};

/// How full at most.
pub(crate) const FULL: f64 = 2.0 / 3.0;
/// How full at least: below this the goods lie in too shallow a bath to be covered, and a jar in hot water
/// serves better (our judgement).
const LEAST: f64 = 0.15;
/// A swatch is lost in anything bigger than this, mL (our judgement).
const SWATCH_POT_ML: f64 = 2500.0;
/// Jars a swatch may be dyed in, mL; the two smallest only where a bigger one would hold too shallow a bath.
const JARS_ML: [f64; 8] = [50.0, 100.0, 250.0, 350.0, 500.0, 750.0, 1000.0, 2000.0];
/// The usual jam jar, mL.
const JAM_JAR_ML: f64 = 250.0;
/// Groups of agents that a vessel must be made to bear.
const HARSH: [&str; 4] = ["acid", "soda", "caustic", "reducer"];

/// Hot soaps and rinses may be done in turns, at most so many. Judgement: more is no evening's work.
const MOST_TURNS: u32 = 4;

/// What a bath asks of its vessel.
pub(crate) struct Needs<'a> {
    /// The whole bath.
    pub(crate) liquor: Volume,
    /// Everything that gets wet, dry.
    pub(crate) dry: Mass,
    /// The hottest the dye bath gets.
    pub(crate) dye_hottest: Celsius,
    /// The hottest of rinses, soaps and fixing.
    pub(crate) finish_hottest: Celsius,
    /// Agents of the dye bath.
    pub(crate) dye_agents: Vec<&'a str>,
    /// Agents of all baths.
    pub(crate) agents: Vec<&'a str>,
    /// How the goods may be moved.
    pub(crate) agitation: Agitation,
}

impl Needs<'_> {
    /// What a vessel must hold to the brim.
    pub(crate) fn brim(&self) -> Volume {
        self.liquor.try_times(1.0 / FULL).unwrap_or(self.liquor)
    }

    /// The hottest of all.
    pub(crate) fn hottest(&self) -> Celsius {
        if self.finish_hottest > self.dye_hottest { self.finish_hottest } else { self.dye_hottest }
    }

    /// Agents of all baths.
    pub(crate) fn all(&self) -> &[&str] {
        &self.agents
    }
}

/// The vessels of a bath.
#[derive(Debug)]
pub(crate) struct Chosen<'a> {
    /// What it is dyed in, in words.
    pub(crate) vessel: Vessel,
    /// The same as the maker told it; none for a jar or the machine.
    pub(crate) at_hand: Option<&'a VesselAtHand<'a>>,
    /// True for the washing machine.
    pub(crate) machine: bool,
    /// Where the hot finishes are done, when the vessel does not bear them.
    pub(crate) finish: Option<Finish<'a>>,
}

/// Where the hot finishes are done.
#[derive(Debug, Clone)]
pub(crate) struct Finish<'a> {
    pub(crate) place: FinishIn<'a>,
    pub(crate) vessel: Vessel,
    /// In how many turns.
    pub(crate) turns: u32,
    /// What the dye vessel bears: steps hotter than this are done here.
    pub(crate) above: Celsius,
}

/// What the hot finishes are done in.
#[derive(Debug, Clone, Copy)]
pub(crate) enum FinishIn<'a> {
    /// A pot of its own, as hot as they should be.
    Pot(&'a VesselAtHand<'a>),
    /// The washing machine, as hot as it washes.
    Machine(Celsius),
    /// The vessel of the dye bath, as hot as it bears.
    Cooler(Celsius),
}

/// Soaps no cooler than this still take loose dye off, more slowly, °C (judgement; makers' sheets of cold reactive
/// dyes ask for more).
const SOAP_LEAST_C: f64 = 50.0;

/// The vessel for this bath: one that bears everything, else one for the dye bath and a pot for the hot
/// finishes, else the washing machine at its own water.
pub(crate) fn chosen<'a>(order: &Order<'a>, needs: &Needs<'_>) -> Result<Chosen<'a>, Refusal> {
    let (lore, brim, hottest) = (order.lore, needs.brim(), needs.hottest());
    let swatch = order.kind == Kind::Swatch;
    let tap = no_burner::hottest(order).filter(|_| !swatch);
    // A jar is heated by the kettle where nothing else heats: its swatch is soaped no hotter than the goods will be.
    if swatch
        && let Some(most) = no_burner::hottest_swatch(order, needs)
        && let Some(jar) = jar(lore, brim, coolest(hottest, most), needs.all(), BY_KETTLE)
    {
        let finish = (needs.finish_hottest > most).then(|| Finish {
            place: FinishIn::Cooler(most),
            vessel: jar.clone(),
            turns: 1,
            above: most,
        });
        return Ok(Chosen { vessel: jar, at_hand: None, machine: false, finish });
    }
    let heated = tap.is_none_or(|tap| needs.hottest() <= tap);
    let smallest = smallest(order, brim, hottest, needs.all()).filter(|_| heated);
    let stands = if order.kitchen.burner { IN_A_POT } else { BY_KETTLE };
    let small = |found: &&VesselAtHand<'_>| needs.liquor / found.holds < LEAST;
    let plain = |vessel, at_hand| Chosen { vessel, at_hand, machine: false, finish: None };
    if let Some(found) = smallest.filter(small)
        && let Some(mut jar) = jar(lore, brim, hottest, needs.all(), stands)
    {
        jar.words = format!("{} (your {} holds the hot water)", jar.words, found.name);
        return Ok(plain(jar, None));
    }
    if let Some(found) = smallest {
        return Ok(plain(filled(found, needs.liquor, ""), Some(found)));
    }
    if swatch && let Some(jar) = jar(lore, brim, hottest, needs.all(), IN_A_POT) {
        return Ok(plain(jar, None));
    }
    if !swatch && needs.finish_hottest > needs.dye_hottest {
        let dyed_in = self::smallest(order, brim, needs.dye_hottest, &needs.dye_agents)
            .filter(|_| tap.is_none_or(|tap| needs.dye_hottest <= tap));
        if let Some((found, max)) = dyed_in.and_then(|v| Some((v, most(lore, v.material)?)))
            && let Some(finish) = finish_of(order, needs, found, max, tap)
        {
            let vessel = filled(found, needs.liquor, " for the dye bath");
            return Ok(Chosen {
                vessel,
                at_hand: Some(found),
                machine: false,
                finish: Some(finish),
            });
        }
    }
    if let Some(machine) = machine::taken(order, needs) {
        let vessel = machine::vessel(machine);
        let hot = needs.finish_hottest > machine.hottest;
        let own = |finish: Finish<'a>| Finish { above: machine.hottest, ..finish };
        let pot =
            finish_pot(order, brim, needs.finish_hottest, needs.all()).filter(|_| tap.is_none());
        let finish = hot.then(|| {
            pot.map_or_else(
                || Finish {
                    place: FinishIn::Machine(machine.hottest),
                    vessel: vessel.clone(),
                    turns: 1,
                    above: machine.hottest,
                },
                own,
            )
        });
        return Ok(Chosen { vessel, at_hand: None, machine: true, finish });
    }
    // Where nothing heats, the vessel needs to bear no more than this kitchen makes of the bath: hot soaps are done as
    // warm as they can be.
    let hottest = match tap {
        Some(tap) if needs.dye_hottest <= tap => coolest(hottest, tap),
        _ => hottest,
    };
    let bears = wanted(lore, hottest, needs.all());
    Err(Refusal::NoVessel {
        liquor: needs.liquor,
        hottest,
        needs: brim,
        ways_out: ways_out::of(order, needs, hottest, bears.clone()),
        bears,
    })
}

/// Where the hot finishes of a bath are done that its own vessel does not bear, the best first: in a pot, in the
/// machine, cooler in the same vessel.
fn finish_of<'a>(
    order: &Order<'a>,
    needs: &Needs<'_>,
    dyed_in: &VesselAtHand<'_>,
    max: Celsius,
    tap: Option<Celsius>,
) -> Option<Finish<'a>> {
    let above = tap.filter(|tap| *tap < max).unwrap_or(max);
    if tap.is_none()
        && let Some(finish) = finish_pot(order, needs.brim(), needs.finish_hottest, needs.all())
    {
        return Some(Finish { above, ..finish });
    }
    let cooler = || Finish {
        place: FinishIn::Cooler(above),
        vessel: filled(dyed_in, needs.liquor, ""),
        turns: 1,
        above,
    };
    let machine = order.kitchen.machine.filter(|_| machine::may_rinse(order, needs));
    let found = match machine {
        Some(machine) if machine.hottest > above => Finish {
            place: FinishIn::Machine(machine.hottest),
            vessel: machine::vessel(machine),
            turns: 1,
            above,
        },
        _ => cooler(),
    };
    let hottest = match found.place {
        FinishIn::Machine(it) | FinishIn::Cooler(it) => it.to_degrees(),
        FinishIn::Pot(_) => f64::INFINITY,
    };
    (hottest >= SOAP_LEAST_C).then_some(found)
}

/// In how many turns at most hot finishes may be done: panels one after the other; a length of cloth or a garment is
/// one piece, and what is soaped in halves comes out in halves.
const fn most_turns(form: lore::GoodsForm) -> u32 {
    match form {
        lore::GoodsForm::CutPanels | lore::GoodsForm::AsTheyCome => MOST_TURNS,
        lore::GoodsForm::Roll | lore::GoodsForm::Sewn | lore::GoodsForm::Worn => 1,
    }
}

/// The smallest vessel at hand that holds and bears it.
fn smallest<'a>(
    order: &Order<'a>,
    brim: Volume,
    hottest: Celsius,
    agents: &[&str],
) -> Option<&'a VesselAtHand<'a>> {
    let swatch = order.kind == Kind::Swatch;
    let fits = |at_hand: &&VesselAtHand<'_>| {
        at_hand.holds.to_millilitres() >= brim.to_millilitres() - 0.5
            && !(swatch && at_hand.holds.to_millilitres() > SWATCH_POT_ML)
            && bears(order.lore, at_hand.material, hottest, agents)
    };
    order.kitchen.vessels.iter().filter(fits).min_by(|a, b| {
        a.holds.to_millilitres().total_cmp(&b.holds.to_millilitres()).then(a.name.cmp(b.name))
    })
}

/// The pot for hot soaps and rinses: the one with the fewest turns, the smallest of those.
fn finish_pot<'a>(
    order: &Order<'a>,
    brim: Volume,
    hottest: Celsius,
    agents: &[&str],
) -> Option<Finish<'a>> {
    let turns = |vessel: &VesselAtHand<'_>| {
        (1..=most_turns(order.comes.form))
            .find(|n| vessel.holds.to_millilitres() * f64::from(*n) >= brim.to_millilitres() - 0.5)
    };
    let borne = order
        .kitchen
        .vessels
        .iter()
        .filter(|vessel| bears(order.lore, vessel.material, hottest, agents))
        .filter_map(|vessel| Some((turns(vessel)?, vessel)));
    let (turns, at_hand) = borne.min_by(|(n, a), (m, b)| {
        let bigger = a.holds.to_millilitres().total_cmp(&b.holds.to_millilitres());
        n.cmp(m).then(bigger).then(a.name.cmp(b.name))
    })?;
    let each = brim.try_times(FULL / f64::from(turns)).unwrap_or(brim);
    let vessel = filled(at_hand, each, " for the hot soaps and rinses");
    Some(Finish { place: FinishIn::Pot(at_hand), vessel, turns, above: hottest })
}

pub(crate) fn filled(found: &VesselAtHand<'_>, liquor: Volume, used: &str) -> Vessel {
    Vessel {
        words: format!(
            "{}{used} ({} L), {} % full; once used for dye, never again for food",
            found.name,
            trimmed(found.holds.to_litres(), 1),
            trimmed(100.0 * (liquor / found.holds), 0)
        ),
        material: found.material.to_owned(),
    }
}

/// The hottest bath a material holds.
fn most(lore: &Lore, material: &str) -> Option<Celsius> {
    lore.vessels().iter().find(|vessel| vessel.id == material)?.max
}

/// In what a jar stands.
const IN_A_POT: &str = "standing on a cloth in a pot of hot water";
const BY_KETTLE: &str =
    "standing in a bucket or bowl of hot water from tap and kettle, topped up as it cools";

fn coolest(a: Celsius, b: Celsius) -> Celsius {
    if b < a { b } else { a }
}

/// A jar in a hot-water bath for the swatch.
fn jar(
    lore: &Lore,
    brim: Volume,
    hottest: Celsius,
    agents: &[&str],
    stands: &str,
) -> Option<Vessel> {
    let liquor_ml = brim.to_millilitres() * FULL;
    let tiny = liquor_ml < LEAST * JAM_JAR_ML;
    let deep = |ml: &f64| *ml >= brim.to_millilitres() && (tiny || *ml >= JAM_JAR_ML);
    let ml = JARS_ML.into_iter().find(deep)?;
    let material = ["glass", "enamel", "stainless"]
        .into_iter()
        .find(|material| bears(lore, material, hottest, agents))?;
    let what = match material {
        "glass" => "a heat-proof glass jar",
        "enamel" => "an unchipped enamel mug",
        _ => "a stainless steel beaker",
    };
    let ml = Shown::try_round(ml, 0).ok()?;
    Some(Vessel {
        words: format!(
            "{what} of {ml} mL {stands}; thermometer in the jar; a lid laid on, never screwed down; used for dye only"
        ),
        material: material.to_owned(),
    })
}

pub(crate) fn bears(lore: &Lore, material: &str, hottest: Celsius, agents: &[&str]) -> bool {
    let Some(row) = lore.vessels().iter().find(|vessel| vessel.id == material) else {
        return false;
    };
    let groups = agents
        .iter()
        .filter_map(|agent| lore.agent(agent).ok())
        .flat_map(|agent| agent.meets_as.iter());
    let mut harsh = groups.filter(|group| HARSH.contains(&group.as_str()));
    row.refused.is_none()
        && row.max.is_some_and(|max| hottest <= max)
        && harsh.all(|group| row.bears.contains(group))
}

/// What the vessel must be made of, in words.
fn wanted(lore: &Lore, hottest: Celsius, agents: &[&str]) -> String {
    let names: Vec<&str> = lore
        .vessels()
        .iter()
        .filter(|vessel| bears(lore, &vessel.id, hottest, agents))
        .map(|vessel| vessel.name.as_str())
        .collect();
    if names.is_empty() {
        "of something that bears it (none is known)".to_owned()
    } else {
        format!("such as a {}", names.join(" or "))
    }
}
