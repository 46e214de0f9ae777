//! What this room refuses, in words.

use dosing::{DosingRefusal, Shown};
use lore::{NoProgramme, UnknownName};
use units::{Celsius, NotAQuantity, Volume, trimmed};

use crate::{NotShared, WayOut};

/// A bath that is not written down: the culprit, the rule, what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// No dye, or none of any amount.
    #[error("the recipe holds no dye: a bath needs at least one dye of more than 0 % owf")]
    NoDyes,
    /// A dye named twice.
    #[error("'{0}' stands twice in the recipe: give each dye one amount")]
    DyeTwice(String),
    /// A dye whose class does not go into this bath.
    #[error(
        "'{dye}' is of class {class}, which a {procedure} bath does not take: choose another dye or another way of dyeing"
    )]
    WrongClass {
        /// The dye.
        dye: String,
        /// Its class.
        class: String,
        /// The way of dyeing.
        procedure: String,
    },
    /// A dye or agent nobody uses at home.
    #[error("'{what}' is refused: {why}; choose another dye or another way of dyeing")]
    NeverAtHome {
        /// What.
        what: String,
        /// Why.
        why: String,
    },
    /// The trade does not offer this way for these goods.
    #[error("{procedure} is not for these goods: {why}")]
    NotForGoods {
        /// The way of dyeing.
        procedure: String,
        /// Why not.
        why: String,
    },
    /// A word that is not known.
    #[error(transparent)]
    Unknown(#[from] UnknownName),
    /// No programme for the goods.
    #[error(transparent)]
    NoProgramme(#[from] NoProgramme),
    /// Somebody near must not meet what is in this bath: every reason, in the order of the trade's rules about
    /// people, the gravest first.
    #[error("{}", not_near(.0))]
    Near(Vec<NotNear>),
    /// A dye that cannot be measured out.
    #[error("{amount} g of '{dye}' cannot be dosed: {reason}; {help}")]
    CannotDose {
        /// The dye.
        dye: String,
        /// How much, g.
        amount: String,
        /// Why not.
        reason: String,
        /// What would help.
        help: String,
    },
    /// A reactive dye with alkali in its powder, of which a stock or a part of a pack would be spent before it dyes.
    #[error(
        "'{dye}' has {agent} in its powder: once dissolved it reacts with the water within hours, so that no stock of it \
         keeps, no swatch can be dyed from a part of a pack, and no salt goes in before the alkali; dissolve whole packs \
         at once and dye with all of it as the pack's own leaflet says, for as much cloth as that colours, or get the \
         dye without {agent}; where it lies in a sachet of its own, write own_sachet = true at it under `contains`"
    )]
    HoldsAlkali {
        /// The dye.
        dye: String,
        /// The alkali in its powder.
        agent: String,
    },
    /// An auxiliary that cannot be measured out.
    #[error("{amount} g of {what} cannot be measured: {reason}; {help}")]
    CannotMeasure {
        /// The agent.
        what: String,
        /// How much, g.
        amount: String,
        /// Why not.
        reason: String,
        /// What would help.
        help: String,
    },
    /// A bath that wants a burner where there is none.
    #[error(
        "the bath must be kept at {} °C and there is no burner (tap and kettle make {} °C at most){}",
        trimmed(hottest.to_degrees(), 0), trimmed(most.to_degrees(), 0),
        others.iter().map(|it| format!(". {it}")).collect::<String>()
    )]
    NoBurner {
        /// What the bath needs.
        hottest: Celsius,
        /// What this kitchen makes.
        most: Celsius,
        /// Other methods at hand, in words.
        others: Vec<String>,
    },
    /// No vessel at hand holds the bath.
    #[error(
        "no vessel at hand takes {} L at {} °C, two thirds full: {}. A garment is never split over two baths",
        trimmed(liquor.to_litres(), 1), trimmed(hottest.to_degrees(), 0),
        ways_out.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    )]
    NoVessel {
        /// The bath.
        liquor: Volume,
        /// Its hottest step.
        hottest: Celsius,
        /// What the vessel must hold to the brim.
        needs: Volume,
        /// What it must be made of.
        bears: String,
        /// What can be done, the best for the colour first.
        ways_out: Vec<WayOut>,
    },
    /// Parts and lining that weigh as much as the whole.
    #[error(
        "parts and lining weigh {parts} g of a piece of {whole} g: nothing is left for the cloth; weigh again, \
         and give what is in the weight of the piece only"
    )]
    PartsOutweigh {
        /// The weight of the piece.
        whole: Shown,
        /// What its parts and lining weigh.
        parts: Shown,
    },
    /// Pieces that may not share a bath.
    #[error(transparent)]
    NotShared(#[from] NotShared),
    /// Vinegar that is none, or is dangerous.
    #[error("vinegar of {0} % is not used: table vinegar has 3 to 10 %; read the label")]
    Vinegar(String),
    /// An amount that cannot be.
    #[error(transparent)]
    Dosing(#[from] DosingRefusal),
    /// A quantity that cannot be.
    #[error(transparent)]
    Quantity(#[from] NotAQuantity),
}

/// One reason why a bath is not made with somebody near.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotNear {
    /// What must not be there.
    pub what: String,
    /// Who is near.
    pub who: &'static str,
    /// The trade's rule.
    pub rule: String,
    /// What to do instead.
    pub instead: String,
}

/// Every reason, then what to do about all of them, each once.
fn not_near(reasons: &[NotNear]) -> String {
    let mut insteads: Vec<&str> = vec![];
    for reason in reasons {
        if !insteads.contains(&reason.instead.as_str()) {
            insteads.push(&reason.instead);
        }
    }
    let each = reasons.iter().map(|r| format!("no {} with {} near: {}", r.what, r.who, r.rule));
    let each: Vec<String> = each.collect();
    let one = reasons.iter().all(|r| r.who == reasons[0].who);
    let away = match one {
        true => "set that flag to false in the costume file only if that person stays away",
        false => "set those flags to false in the costume file only if all of them stay away",
    };
    format!(
        "{} What to do: {}; {away} until all is done and put away.",
        each.join(" Also "),
        insteads.join("; ")
    )
}
