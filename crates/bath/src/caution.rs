//! Cautions: who must not be near, what must be said first, and what will stay undyed.

use lore::{AgentGroup, CautionAsk, CautionKind, DyeClass, PeopleRule};
use units::Celsius;

use crate::goods::Goods;
use crate::sheet::{Auxiliary, Caution, Dye};
use crate::{Kind, Order, Refusal};

/// Sugars that reduce an indigo vat: no rule about people speaks of them.
const MILD_REDUCERS: [&str; 1] = ["fructose"];

/// Refuses a bath with something in it that somebody near must not meet.
pub(crate) fn check_near(order: &Order<'_>, agents: &[(&str, AgentGroup)]) -> Result<(), Refusal> {
    let powder = |dye: &&crate::DyeWanted<'_>| matches!(dye.form, dosing::Form::Powder);
    let reactive = order.dyes.iter().filter(powder).any(|dye| dye.class.is_reactive());
    let reducer = agents
        .iter()
        .any(|(id, group)| *group == AgentGroup::Reducer && !MILD_REDUCERS.contains(id));
    for rule in rules(order) {
        let forbids = |word: &str| rule.forbids.iter().any(|it| it == word);
        let refuse = |what: &'static str, instead: &str| Refusal::Near {
            what,
            who: who(&rule.id),
            rule: rule.text.clone(),
            instead: instead.to_owned(),
        };
        if reactive && forbids("reactive-powder") {
            return Err(refuse(
                "reactive dye powder",
                "Take the dye as a liquid, or a class that is not reactive, or have somebody else \
                 prepare and dye it in another place and say so in the costume file.",
            ));
        }
        if reducer && forbids("reducer") {
            return Err(refuse(
                "reducing agent",
                "Take a class that needs none, or have somebody else do it in another place and say \
                 so in the costume file.",
            ));
        }
    }
    Ok(())
}

/// Everything the sheet must say first, each once.
pub(crate) fn said(
    order: &Order<'_>,
    goods: &Goods<'_>,
    dyes: &[Dye],
    auxiliaries: &[Auxiliary],
    hottest: Celsius,
    stays: &[String],
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
    let mut push = |id: &str, text: &str| {
        if said.iter().all(|caution| caution.id != id) {
            said.push(Caution { id: id.to_owned(), text: text.to_owned() });
        }
    };
    let called = order.lore.cautions(&ask);
    let of = |kind: CautionKind| called.iter().filter(move |caution| caution.kind == kind);
    for caution in of(CautionKind::Harm) {
        push(&caution.id, &with_words(caution.words.as_deref(), &caution.text));
    }
    for rule in rules(order) {
        push(&format!("people-{}", rule.id), &rule.text);
    }
    for caution in of(CautionKind::Ruin) {
        push(&caution.id, &caution.text);
    }
    if !stays.is_empty() {
        push("stays-undyed", &stays.join(" "));
    }
    if order.kind == Kind::Bulk {
        for caution in of(CautionKind::Wear) {
            push(&caution.id, &with_words(caution.words.as_deref(), &caution.text));
        }
    }
    said
}

fn with_words(words: Option<&str>, text: &str) -> String {
    words.map_or_else(|| text.to_owned(), |words| format!("{text} ({words})"))
}

fn rules<'a>(order: &Order<'a>) -> impl Iterator<Item = &'a PeopleRule> {
    let all = order.lore.people_rules();
    order.near.ids().filter_map(move |id| all.iter().find(|rule| rule.id == id))
}

fn who(id: &str) -> &'static str {
    match id {
        "asthma" => "someone with asthma",
        "pregnancy" => "someone pregnant or breast-feeding",
        "children" => "children",
        _ => "somebody",
    }
}
