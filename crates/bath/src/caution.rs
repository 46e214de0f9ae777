//! Cautions: who must not be near, what must be said first, and what will stay undyed.

use lore::{AgentGroup, CautionAsk, CautionKind, DyeClass, PeopleRule};
use units::{Celsius, Mass, Volume, trimmed};

use crate::goods::Goods;
use crate::sheet::{Auxiliary, Caution, Dye};
use crate::{Kind, NotNear, Order, Refusal};

/// The caution of a pot too heavy to lift.
const HEAVY: &str = "heavier-than-you-lift";

/// Refuses a bath that somebody near must not meet, or with something in it that they must not. Every reason is
/// told, whoever it is for: one of them put right would leave the others.
pub(crate) fn check_near(
    order: &Order<'_>,
    agents: &[(&str, AgentGroup)],
    hottest: Celsius,
) -> Result<(), Refusal> {
    let powder = |dye: &&crate::DyeWanted<'_>| {
        matches!(dye.form, dosing::Form::Powder) && dye.owf.to_percent() > 0.0
    };
    let mut reasons: Vec<NotNear> = vec![];
    for rule in rules(order) {
        let mut kept = |what: String, instead: String| {
            let (who, rule) = (who(&rule.id), rule.text.clone());
            reasons.push(NotNear { what, who, rule, instead });
        };
        let mut powders = order.dyes.iter().filter(powder);
        if let Some(dye) = powders.find(|dye| rule.forbids_powder(dye.class)) {
            let class = order.lore.class_name(dye.class);
            let instead = format!(
                "take the dye as a liquid of this class ({class}), or let somebody else weigh it and make \
                 the stocks in another room with the door shut"
            );
            kept(format!("dye powder ('{}')", dye.name), instead);
        }
        if agents.iter().any(|(id, group)| rule.forbids_reducer(id, *group)) {
            kept("reducing agent".to_owned(), "take a class that needs none".to_owned());
        }
        if rule.forbids_heat(hottest) {
            let degrees = trimmed(hottest.to_degrees(), 0);
            kept(
                format!("bath of {degrees} °C, rinses and soaps included,"),
                "dye it when they are out of the home".to_owned(),
            );
        }
    }
    if reasons.is_empty() { Ok(()) } else { Err(Refusal::Near(reasons)) }
}

/// Everything the sheet must say first, each once.
pub(crate) fn said(
    order: &Order<'_>,
    goods: &Goods<'_>,
    dyes: &[Dye],
    auxiliaries: &[Auxiliary],
    hottest: Celsius,
    stays: &[String],
    heavy: Option<&str>,
) -> Vec<Caution> {
    let classes: Vec<DyeClass> = dyes.iter().map(|dye| dye.class).collect();
    let agents: Vec<&str> = auxiliaries.iter().map(|aux| aux.id.as_str()).collect();
    let ids = goods.all_ids();
    let ask = CautionAsk {
        procedure: Some(order.procedure),
        classes: &classes,
        powder: dyes.iter().any(|dye| dye.form == "powder"),
        agents: &agents,
        goods: &ids,
        top: Some(hottest),
    };
    let mut said: Vec<Caution> = Vec::new();
    let mut push = |id: &str, name: &str, text: &str| {
        if said.iter().all(|caution| caution.id != id) {
            let [id, name, text] = [id, name, text].map(str::to_owned);
            said.push(Caution { id, name, text });
        }
    };
    let called = order.lore.cautions(&ask);
    let of = |kind: CautionKind| called.iter().filter(move |caution| caution.kind == kind);
    for caution in of(CautionKind::Harm) {
        push(&caution.id, &caution.name, &with_words(caution.words.as_deref(), &caution.text));
    }
    if let Some((heavy, row)) = heavy.zip(order.lore.caution(HEAVY)) {
        push(HEAVY, &row.name, &format!("{heavy} {}", with_words(row.words.as_deref(), &row.text)));
    }
    for rule in rules(order) {
        push(&format!("people-{}", rule.id), near(&rule.id), &rule.text);
    }
    for caution in of(CautionKind::Ruin) {
        push(&caution.id, &caution.name, &caution.text);
    }
    if !stays.is_empty() {
        push("stays-undyed", "What stays undyed", &stays.join(" "));
    }
    if order.kind == Kind::Bulk {
        for caution in of(CautionKind::Wear) {
            push(&caution.id, &caution.name, &with_words(caution.words.as_deref(), &caution.text));
        }
    }
    said
}

/// What is said of a vessel that weighs more than the maker lifts: its water and the goods in it. Nothing when the
/// maker did not say, and nothing of the pot's own weight, which nobody told.
pub(crate) fn heavy(order: &Order<'_>, name: &str, liquor: Volume, dry: Mass) -> Option<String> {
    let lifts = order.kitchen.lifts?;
    // A litre of bath weighs a kilogram, near enough for a back.
    let full = liquor.to_litres() + dry.to_grams() / 1000.0;
    (full > lifts.to_grams() / 1000.0).then(|| {
        format!(
            "Full, the {name} holds about {} kg of bath and goods, the pot itself not counted, and you lift {} kg.",
            trimmed(full, 1),
            trimmed(lifts.to_grams() / 1000.0, 1)
        )
    })
}

fn with_words(words: Option<&str>, text: &str) -> String {
    words.map_or_else(|| text.to_owned(), |words| format!("{text} ({words})"))
}

fn rules<'a>(order: &Order<'a>) -> impl Iterator<Item = &'a PeopleRule> {
    let all = order.lore.people_rules();
    order.near.ids().filter_map(move |id| all.iter().find(|rule| rule.id == id))
}

/// What the caution for somebody near the pots is called.
fn near(id: &str) -> &'static str {
    match id {
        "asthma" => "Asthma near",
        "pregnancy" => "Pregnancy near",
        "children" => "Children near",
        "pets" => "Pets near",
        _ => "Somebody near",
    }
}

fn who(id: &str) -> &'static str {
    match id {
        "asthma" => "someone with asthma",
        "pregnancy" => "someone pregnant or breast-feeding",
        "children" => "children",
        _ => "somebody",
    }
}
