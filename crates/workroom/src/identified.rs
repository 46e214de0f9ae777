//! Tell an unknown fibre: what was seen in the tests → odds, and the test to make next.

use lore::{Lore, Makeup, Observation, People, Settled};
use serde::Serialize;

use crate::asked::Asked;
use crate::{Trouble, shown};

/// What the tests say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Identified {
    /// Always "identify".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// What was seen, "flame=melts".
    pub seen: Vec<String>,
    /// Every fibre, likeliest first.
    pub fibres: Vec<FibreLikely>,
    /// True when testing may stop.
    pub settled: bool,
    /// In a sentence.
    pub says: String,
    /// Tests still to make, the next one first.
    pub tests: Vec<TestNext>,
    /// Ways of dyeing that ruin none of the fibres that count.
    pub may_dye: Vec<String>,
}

/// One fibre.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FibreLikely {
    /// Its id in the key.
    pub fibre: String,
    /// Its name.
    pub name: String,
    /// 0 to 1.
    pub odds: f64,
    /// True when it counts: nothing may be done that ruins it.
    pub counts: bool,
}

/// A test to make.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestNext {
    /// Its id.
    pub test: String,
    /// Its name.
    pub name: String,
    /// How.
    #[serde(rename = "do")]
    pub how: String,
    /// What can hurt.
    pub hazard: String,
    /// How to write what was seen: "flame=ignites|curls|melts".
    pub write: Vec<String>,
    /// What it is expected to tell, bits.
    pub bits: f64,
}

/// Weighs what was seen, each "kind=outcome" such as "flame=melts".
pub fn identify_fibre(observations: &[String]) -> Result<Identified, Trouble> {
    let lore = Lore::shipped();
    let mut asked = Asked::default();
    let mut seen = vec![];
    for given in observations {
        let at = asked.typed("", given);
        let Some((kind, word)) = given.split_once('=') else {
            let hint =
                "write what was seen as flame=melts; `dyewright identify` alone lists the tests";
            asked.fault(at, format!("\"{given}\" is not a test with its outcome"), hint);
            continue;
        };
        let made =
            kind.trim().parse().map_err(|e: lore::UnknownName| e.to_string()).and_then(|kind| {
                Observation::try_new(kind, word.trim()).map_err(|e| e.to_string())
            });
        seen.extend(asked.keep(&at, made, "write it as flame=melts"));
    }
    asked.sound()?;
    let odds = lore
        .try_odds(&seen)
        .map_err(|e| Trouble::refused(e.to_string(), "tell each kind of observation once"))?;
    let counted: Vec<String> = odds.counted().map(|f| f.fibre.clone()).collect();
    let settled = lore.settled(&odds);
    let says = match &settled {
        Settled::Sure(fibre) => {
            format!("It is {fibre}, as good as sure. Write cloth = \"{fibre}\".")
        }
        Settled::SameWay(a, b) => {
            format!("It is {a} or {b}, which are dyed the same way: testing may stop.")
        }
        Settled::NotYet if odds.looks_like_a_blend() => {
            "It looks like a blend: no single fibre can be ruled out.".to_owned()
        }
        Settled::NotYet => "Not sure yet.".to_owned(),
    };
    let tests = lore
        .next_tests(&odds)
        .iter()
        .map(|advice| TestNext {
            test: advice.test.id.clone(),
            name: advice.test.name.clone(),
            how: advice.test.how.clone(),
            hazard: advice.test.hazard.clone(),
            write: advice
                .test
                .observes
                .iter()
                .map(|k| format!("{}={}", k.id(), k.outcomes().join("|")))
                .collect(),
            bits: shown::rounded(advice.bits, 2),
        })
        .collect();
    let fibres = odds
        .each()
        .iter()
        .map(|f| FibreLikely {
            fibre: f.fibre.clone(),
            name: f.name.clone(),
            odds: shown::rounded(f.odds, 4),
            counts: counted.contains(&f.fibre),
        })
        .collect();
    let offers = lore.offer(&Makeup::Unknown(odds), &[], People::default());
    Ok(Identified {
        dyewright: "identify",
        version: 1,
        seen: seen.iter().map(|o| format!("{}={}", o.kind().id(), o.outcome())).collect(),
        fibres,
        settled: settled != Settled::NotYet,
        says,
        tests,
        may_dye: offers
            .offered
            .iter()
            .map(|o| lore.procedure_name(o.procedure).to_owned())
            .collect(),
    })
}
