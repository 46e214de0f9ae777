//! Writes a sheet: gates first, then amounts, steps, vessel and cautions.

use dosing::{Shown, water_to_add};
use lore::{
    AgentGroup, AlkaliUse, Dose, NoProgramme, Per, Programme, ProgrammeAsk, StepKind, Stop,
    Together,
};
use units::{Celsius, Mass, Minutes, OnFibre, Ph, Volume};

use crate::auxiliary::{MeasuredOut, Wanted, try_measured};
use crate::goods::Goods;
use crate::sheet::{Auxiliary, Dye, Sheet, Step};
use crate::vessel::Needs;
use crate::weights::Weights;
use crate::{
    Kind, Order, Refusal, brought, caution, dye, kitchen, made_up, no_burner, notes, step, swatch,
    vessel, weights,
};

/// The agent that softens hard water.
const SOFTENER: &str = "sequestrant-edta";
/// The one for dyes whose metal that agent would take.
const PHOSPHATE: &str = "sequestrant-phosphate";
/// It falls apart in hot baths; a hot one is taken to begin here, °C. Judgement.
const PHOSPHATE_MOST_C: f64 = 60.0;

/// The bath sheet of an order, or why there is none.
///
/// Ruin of goods and harm to people are refused here; what only costs quality is among the notes.
pub fn sheet(order: &Order<'_>) -> Result<Sheet, Refusal> {
    let usual = written(order, None)?;
    let small = swatch::smaller(order, usual.dry).find_map(|snip| {
        written(order, Some(snip)).ok().filter(|small| swatch::as_good(order, small, &usual))
    });
    Ok(small.unwrap_or(usual))
}

/// The sheet; of a swatch of this weight where one is given.
fn written(order: &Order<'_>, snip: Option<Mass>) -> Result<Sheet, Refusal> {
    check_dyes(order)?;
    let goods = Goods::try_of(order)?;
    check_offered(order, &goods)?;
    let programme = programme(order, &goods).map_err(|no| goods.in_its_own_name(no))?;
    let weights = weights::reckoned(order, &goods, snip)?;
    let liquor = weights.liquor()?;
    let mut wanted = wanted(&programme, weights.takes, liquor);
    let softener = softener(order, &programme, liquor);
    wanted.extend(softener);
    let agents: Vec<(&str, AgentGroup)> =
        wanted.iter().map(|it| (it.id.as_str(), it.group)).collect();
    check_home(order, &agents)?;
    caution::check_near(order, &agents, programme.hottest())?;
    let dyes = dye::dosed(order, weights.takes).map_err(|no| {
        // A finer scale would not help where the kitchen has no place for the bath: that is said first.
        match at_hand(order, &goods, &programme, &weights, liquor, &wanted) {
            Err(first @ (Refusal::NoVessel { .. } | Refusal::NoBurner { .. })) => first,
            Ok(()) | Err(_) => no,
        }
    })?;
    let brought = brought::taken_off(order, &dyes, &mut wanted);
    let (measured, left_out) = measured(order, &wanted, liquor)?;
    let mut steps = steps(&programme, &dyes, &measured);
    let auxiliaries: Vec<Auxiliary> = measured.into_iter().map(|out| out.it).collect();
    let needs = needs(&goods, &programme, &weights, liquor, &steps, &auxiliaries);
    no_burner::check(order, &goods, &needs)?;
    let chosen = vessel::chosen(order, &needs)?;
    let mut kitchen = kitchen::fitted(order, &chosen, &needs, &mut steps);
    let hottest = self::hottest(&steps, hottest_dyeing(&steps, programme.top));
    let total = step::on_the_clock(&mut steps);
    let stays = goods.stays(order.procedure, order.kind == Kind::Bulk);
    let heavy = kitchen.heavy.take();
    let cautions =
        caution::said(order, &goods, &dyes, &auxiliaries, hottest, &stays, heavy.as_deref());
    let judge = order.lore.sheet_rule("judge").map(|rule| rule.text.clone()).unwrap_or_default();
    let mut notes = weights::said(&weights);
    if order.kind == Kind::Swatch {
        notes.insert(0, swatch::cloth(&order.comes, weights.dry));
        notes.splice(1..1, swatch::said_of_weight(&order.comes, weights.dry));
    }
    notes.extend(brought);
    notes.extend(brought::may_split(order));
    notes.extend(notes::notes(order, &programme, &dyes, &auxiliaries, liquor, &left_out));
    notes.extend(made_up::notes(order, &goods, hottest));
    notes.extend(kitchen.notes);
    notes.extend(kitchen::other_methods(order, &goods));
    let notes = notes.into_iter().map(|note| goods.in_its_own_words(note)).collect();
    Ok(Sheet {
        kind: order.kind,
        procedure: order.procedure,
        title: programme.title.clone(),
        parts: match order.kind {
            Kind::Swatch => Vec::new(),
            Kind::Bulk => goods.parts.iter().map(|part| part.id.clone()).collect(),
        },
        pieces: Vec::new(),
        dry: weights.dry,
        takes: weights.takes,
        ratio: weights.ratio,
        weights: weights.lines,
        liquor_ml: Shown::try_round(liquor.to_millilitres(), 0)?,
        water_ml: water(liquor, &dyes, &auxiliaries, &programme.id)?,
        vessel: chosen.vessel,
        cautions,
        stocks: dye::stocks(order, &dyes),
        notes,
        no_top_up_after: programme.no_top_up_after_alkali.then_some("alkali"),
        judge,
        fastness_claimed: order.kind == Kind::Bulk && rinsed_clear(&steps),
        will_not_dye: stays,
        dyes,
        auxiliaries,
        steps,
        total,
    })
}

/// Whether this kitchen has the heat and the vessel for a bath whose dyes are not dosed yet.
fn at_hand(
    order: &Order<'_>,
    goods: &Goods<'_>,
    programme: &Programme,
    weights: &Weights,
    liquor: Volume,
    wanted: &[Wanted],
) -> Result<(), Refusal> {
    let (measured, _) = measured(order, wanted, liquor)?;
    let steps = steps(programme, &[], &measured);
    let auxiliaries: Vec<Auxiliary> = measured.into_iter().map(|out| out.it).collect();
    let needs = needs(goods, programme, weights, liquor, &steps, &auxiliaries);
    no_burner::check(order, goods, &needs)?;
    vessel::chosen(order, &needs).map(|_| ())
}

/// What the bath asks of its vessels.
fn needs<'a>(
    goods: &Goods<'_>,
    programme: &Programme,
    weights: &Weights,
    liquor: Volume,
    steps: &[Step],
    auxiliaries: &'a [Auxiliary],
) -> Needs<'a> {
    let of = |finishing: bool| {
        let those = steps.iter().filter(|step| step.finishing == finishing).cloned();
        those.collect::<Vec<Step>>()
    };
    let dye_hottest = hottest(&of(false), programme.top);
    let in_bath = auxiliaries.iter().filter(|aux| aux.bath == programme.id);
    Needs {
        liquor,
        dry: weights.dry,
        dye_hottest,
        finish_hottest: hottest(&of(true), dye_hottest),
        dye_agents: in_bath.map(|aux| aux.id.as_str()).collect(),
        agents: auxiliaries.iter().map(|aux| aux.id.as_str()).collect(),
        agitation: goods
            .limits
            .as_ref()
            .map_or(lore::Agitation::None, |limits| limits.agitation.it),
    }
}

/// The dyes belong into this bath, and into a home.
fn check_dyes(order: &Order<'_>) -> Result<(), Refusal> {
    if order.dyes.iter().all(|dye| dye.owf.to_percent() <= 0.0) {
        return Err(Refusal::NoDyes);
    }
    for (i, dye) in order.dyes.iter().enumerate() {
        if order.dyes[..i].iter().any(|other| other.id == dye.id) {
            return Err(Refusal::DyeTwice(dye.id.to_owned()));
        }
        if !order.procedure.takes(dye.class) {
            return Err(Refusal::WrongClass {
                dye: dye.name.to_owned(),
                class: order.lore.class_name(dye.class).to_owned(),
                procedure: order.lore.procedure_name(order.procedure).to_owned(),
            });
        }
        for word in [Some(dye.id), Some(dye.name), dye.ci].into_iter().flatten() {
            let blocked = order.lore.blocked_dye(word).map(|row| row.text.clone());
            let refused = order.lore.refused(word).map(|row| row.why.clone());
            if let Some(why) = blocked.or(refused) {
                return Err(Refusal::NeverAtHome { what: word.to_owned(), why });
            }
        }
    }
    Ok(())
}

/// Nothing goes in that lore keeps out of home baths.
fn check_home(order: &Order<'_>, agents: &[(&str, AgentGroup)]) -> Result<(), Refusal> {
    for (id, _) in agents {
        let agent = order.lore.agent(id)?;
        if !agent.home {
            let why = agent.note.clone().unwrap_or_else(|| "it is not for a home bath".to_owned());
            return Err(Refusal::NeverAtHome { what: agent.name.clone(), why });
        }
    }
    Ok(())
}

/// The trade offers this way of dyeing for these goods.
fn check_offered(order: &Order<'_>, goods: &Goods<'_>) -> Result<(), Refusal> {
    let people = lore::People {
        asthma: order.near.asthma,
        pregnancy: order.near.pregnancy,
        children: order.near.children,
    };
    let offers = order.lore.offer(order.makeup, &goods.parts, people);
    // Who is near is asked of the bath as it really is, in `caution`.
    let half = order.comes.one_of_two;
    let stops = |stop: Stop| stop != Stop::People && !(half && stop == Stop::DoesNotDye);
    let refused = offers
        .refused
        .iter()
        .find(|refused| refused.procedure == order.procedure && stops(refused.stop));
    match refused {
        None => check_lining(order, people),
        Some(refused) => Err(Refusal::NotForGoods {
            procedure: order.lore.procedure_name(order.procedure).to_owned(),
            why: refused.why_not.clone(),
        }),
    }
}

/// A lining need not dye, but the bath must not ruin it.
fn check_lining(order: &Order<'_>, people: lore::People) -> Result<(), Refusal> {
    let Some(lining) = order.comes.lining else { return Ok(()) };
    let ruins = |stop| matches!(stop, Stop::Ruins | Stop::Alkali | Stop::Heat);
    let offers = order.lore.offer(lining.makeup, &[], people);
    match offers.refused.iter().find(|it| it.procedure == order.procedure && ruins(it.stop)) {
        None => Ok(()),
        Some(refused) => Err(Refusal::NotForGoods {
            procedure: order.lore.procedure_name(order.procedure).to_owned(),
            why: format!(
                "the lining does not bear it: {} Take the lining out, or another way",
                refused.why_not
            ),
        }),
    }
}

/// The programme, cooler when something in the bath bears alkali only in a cold bath, its pH within what everything
/// in it bears.
fn programme(order: &Order<'_>, goods: &Goods<'_>) -> Result<Programme, NoProgramme> {
    let mut it = by_heat(order, goods)?;
    if it.top.to_degrees() >= PH_HOT_C {
        for window in goods.companions_ph(order.procedure) {
            it.ph = it.ph.map(|own| narrowed(own, window));
            for step in it.steps.iter_mut().filter(|step| !step.finishing) {
                step.ph = step.ph.map(|own| narrowed(own, window));
            }
        }
    }
    if order.comes.one_of_two && order.procedure == lore::Procedure::Disperse {
        until_white(&mut it);
    }
    Ok(it)
}

/// From this temperature the hot windows of pH hold, °C (lore's own words for them).
const PH_HOT_C: f64 = 60.0;

/// What both bear; the bath's own where they have nothing in common.
fn narrowed(own: (Ph, Ph), other: (Ph, Ph)) -> (Ph, Ph) {
    let from = if other.0 > own.0 { other.0 } else { own.0 };
    let to = if other.1 < own.1 { other.1 } else { own.1 };
    if from <= to { (from, to) } else { own }
}

/// Before the second bath of a blend no loose disperse dye is left: it would dull the colour of the other fibre.
fn until_white(programme: &mut Programme) {
    let soap = |step: &&mut lore::Step| step.finishing && step.kind == StepKind::Soap;
    if let Some(step) = programme.steps.iter_mut().filter(soap).last() {
        step.until =
            Some("a white rag pressed on the wet cloth stays white, the rinse clear".to_owned());
        step.text.push_str(
            " Again in fresh soap water as often as it takes, before the second bath: loose disperse dye on the other \
             fibre dulls its colour and bleeds.",
        );
    }
}

fn by_heat(order: &Order<'_>, goods: &Goods<'_>) -> Result<Programme, NoProgramme> {
    let amount: OnFibre = order.dyes.iter().map(|dye| dye.owf).sum();
    let ids = goods.ids();
    let (procedure, goods_ids) = (order.procedure, ids.as_slice());
    let mut ask = ProgrammeAsk { procedure, goods: goods_ids, amount, caps: goods.caps() };
    let usual = order.lore.programme(&ask)?;
    match goods.alkali_cap(procedure).filter(|cap| *cap < usual.top) {
        Some(cap) if usual.alkali != AlkaliUse::None => {
            ask.caps.top = Some(cap);
            order.lore.programme(&ask)
        }
        _ if much_phthalocyanine(order, amount) => order.lore.programme_for_phthalocyanine(&ask),
        _ => Ok(usual),
    }
}

/// From this share of all dye on the bath is made for a phthalocyanine. Judgement: beside a lemon a twentieth of the
/// dye is half of the hue.
const MUCH: f64 = 0.05;

fn much_phthalocyanine(order: &Order<'_>, amount: OnFibre) -> bool {
    let of_kind = order.dyes.iter().filter(|dye| dye.phthalocyanine);
    let theirs: OnFibre = of_kind.map(|dye| dye.owf).sum();
    theirs.to_percent() > 0.0 && theirs.to_percent() >= MUCH * amount.to_percent()
}

/// The doses that some step adds.
pub(crate) fn wanted(programme: &Programme, dry: Mass, liquor: Volume) -> Vec<Wanted> {
    let added = |dose: &&Dose| {
        programme.steps.iter().any(|step| {
            step.bath == dose.bath && step.adds.as_ref().is_some_and(|add| add.agent == dose.agent)
        })
    };
    let several =
        |dose: &Dose| programme.doses.iter().filter(|d| d.agent == dose.agent).count() > 1;
    programme
        .doses
        .iter()
        .filter(added)
        .map(|dose| Wanted {
            id: dose.agent.clone(),
            name: match several(dose) && dose.bath != programme.id {
                true => format!("{}, for the finish", dose.name),
                false => dose.name.clone(),
            },
            group: dose.group,
            bath: dose.bath.clone(),
            per: dose.per,
            mass: dose.mass(dry, liquor),
            optional: dose.optional,
        })
        .collect()
}

/// What hard water asks for, where nothing in the bath forbids it.
fn softener(order: &Order<'_>, programme: &Programme, liquor: Volume) -> Option<Wanted> {
    let lore = order.lore;
    let classes: Vec<_> = order.dyes.iter().map(|dye| dye.class).collect();
    let hardness = order.kitchen.hardness?;
    // A chelant pulls the copper out of a phthalocyanine; the phosphate falls apart hot and in acid.
    let (id, amount) = if order.dyes.iter().any(|dye| dye.phthalocyanine) {
        let acid = programme.ph.is_some_and(|(low, _)| low.to_value() < 7.0);
        if acid || programme.top.to_degrees() > PHOSPHATE_MOST_C {
            return None;
        }
        (PHOSPHATE, lore.phosphate_for(hardness)?)
    } else {
        (SOFTENER, lore.softener_for(hardness)?)
    };
    let agent = lore.agent(id).ok()?;
    let meets = |dose: &Dose| {
        dose.bath != programme.id
            || !matches!(lore.together(id, &dose.agent), Ok(Together::Never(_)) | Err(_))
    };
    (lore.may_soften(order.procedure, &classes) && programme.doses.iter().all(meets)).then(|| {
        Wanted {
            id: agent.id.clone(),
            name: agent.name.clone(),
            group: agent.group,
            bath: programme.id.clone(),
            per: Per::PerLitre(amount),
            mass: amount * liquor,
            optional: true,
        }
    })
}

/// Every auxiliary measured out, and the names of those that could not be and are left out.
fn measured(
    order: &Order<'_>,
    wanted: &[Wanted],
    liquor: Volume,
) -> Result<(Vec<MeasuredOut>, Vec<String>), Refusal> {
    let mut out = Vec::new();
    let mut left_out = Vec::new();
    for it in wanted {
        match try_measured(order, it, liquor)? {
            Some(measured) => out.push(measured),
            None => left_out.push(it.name.clone()),
        }
    }
    Ok((out, left_out))
}

fn steps(programme: &Programme, dyes: &[Dye], measured: &[MeasuredOut]) -> Vec<Step> {
    let mut steps = step::written(programme, dyes, measured);
    if let Some(softener) =
        measured.iter().find(|out| [SOFTENER, PHOSPHATE].contains(&out.it.id.as_str()))
    {
        soften(&mut steps, softener);
    }
    steps
}

/// The softener goes into the water before goods or dye.
fn soften(steps: &mut Vec<Step>, softener: &MeasuredOut) {
    let Some(i) = steps.iter().position(|step| step.kind != StepKind::Prepare) else { return };
    let lots = softener.shared(&[1.0]);
    let adds = lots
        .into_iter()
        .map(|(grams, words)| crate::Add {
            id: softener.it.id.clone(),
            group: softener.it.group,
            grams,
            portion: units::Share::WHOLE,
            dissolved: true,
            words,
        })
        .collect();
    let next = steps[i].clone();
    steps.insert(
        i,
        Step {
            kind: StepKind::Add,
            text: "Stir the water softener, dissolved, into the water before the goods go in."
                .into(),
            to: next.from,
            ramp: None,
            minutes: Minutes::try_minutes(2.0).unwrap_or(next.minutes),
            ph: None,
            adds,
            stretch: Minutes::try_minutes(10.0).ok(),
            until: None,
            look_for: None,
            ..next
        },
    );
}

/// The hottest the vessel gets.
pub(crate) fn hottest(steps: &[Step], at_least: Celsius) -> Celsius {
    steps
        .iter()
        .filter(|step| !matches!(step.kind, StepKind::Dry | StepKind::Judge))
        .flat_map(|step| [step.from, step.to])
        .fold(at_least, |a, b| if b > a { b } else { a })
}

/// The hottest of the dye bath itself.
fn hottest_dyeing(steps: &[Step], at_least: Celsius) -> Celsius {
    let dyeing: Vec<Step> = steps.iter().filter(|step| !step.finishing).cloned().collect();
    hottest(&dyeing, at_least)
}

/// Water to run in: the bath less what stocks, vinegar and solutions of the dye bath bring.
fn water(
    liquor: Volume,
    dyes: &[Dye],
    auxiliaries: &[Auxiliary],
    bath: &str,
) -> Result<Shown, Refusal> {
    let mut brought: Vec<Volume> = dyes.iter().map(|dye| dye.dose.volume()).collect();
    brought.extend(auxiliaries.iter().filter(|aux| aux.bath == bath).map(|aux| aux.how.volume()));
    let water = water_to_add(liquor, &brought)?.to_millilitres();
    Ok(Shown::try_round(water, 1)?.trimmed())
}

/// Rinsed or soaped until clear: before that nothing is promised about washing.
fn rinsed_clear(steps: &[Step]) -> bool {
    let clear = |step: &Step| step.until.as_deref().is_some_and(|until| until.contains("clear"));
    steps.iter().any(|step| step.finishing && clear(step))
        && steps.iter().any(|step| step.kind == StepKind::Soap)
}
