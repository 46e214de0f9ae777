//! Reads `identify.toml`: priors, likelihoods and tests; fills what a row leaves unsaid.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::Minutes;

use crate::fault::read;
use crate::identify::{IdTest, Kind, Observation};
use crate::{DataFault, Provenance, Standing};

const FILE: &str = "identify.toml";

/// Everything `identify.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Key {
    pub(crate) smell_power: f64,
    pub(crate) counts_from: f64,
    pub(crate) offer_from: f64,
    pub(crate) sure_from: f64,
    pub(crate) tests: Vec<IdTest>,
    pub(crate) fibres: Vec<KeyFibre>,
    pub(crate) provenance: Option<Provenance>,
}

/// One fibre of the key.
#[derive(Debug, Clone)]
pub(crate) struct KeyFibre {
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) materials: Vec<String>,
    /// Prior odds, scaled so that all fibres make one.
    pub(crate) prior: f64,
    /// For each kind of observation, the likelihood of each of its outcomes, in order.
    likelihood: Vec<Vec<f64>>,
}

impl KeyFibre {
    /// How likely this fibre gives this outcome; a partly dissolved snip tells of a blend, not of
    /// one fibre, so it weighs nothing here.
    pub(crate) fn gives(&self, observation: Observation) -> f64 {
        let (kind, outcome) = observation.place();
        let table = self.likelihood.get(kind as usize);
        table.and_then(|outcomes| outcomes.get(outcome)).copied().unwrap_or(1.0)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KeyFile {
    floor: f64,
    smell_power: f64,
    counts_from: f64,
    offer_from: f64,
    sure_from: f64,
    source: String,
    standing: Standing,
    test: Vec<TestRow>,
    fibre: Vec<FibreRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TestRow {
    id: String,
    stage: f64,
    name: String,
    #[serde(rename = "do")]
    how: String,
    hazard: String,
    observes: Vec<Kind>,
    minutes: f64,
    leaves: Option<String>,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FibreRow {
    id: String,
    name: String,
    materials: Vec<String>,
    prior: f64,
    flame: BTreeMap<String, f64>,
    after: BTreeMap<String, f64>,
    smell: BTreeMap<String, f64>,
    residue: BTreeMap<String, f64>,
    bleach: BTreeMap<String, f64>,
    acetone: BTreeMap<String, f64>,
    water: BTreeMap<String, f64>,
    float: BTreeMap<String, f64>,
}

impl Key {
    pub(crate) fn try_read(text: &str) -> Result<Self, DataFault> {
        let file: KeyFile = read(FILE, text)?;
        for (what, share) in [
            ("floor", file.floor),
            ("smell_power", file.smell_power),
            ("counts_from", file.counts_from),
            ("offer_from", file.offer_from),
            ("sure_from", file.sure_from),
        ] {
            if !(share.is_finite() && (0.0..=1.0).contains(&share)) {
                return Err(fault(format!("{what} must lie between 0 and 1")));
            }
        }
        let total: f64 = file.fibre.iter().map(|row| row.prior).sum();
        if !(total.is_finite() && total > 0.0) || file.fibre.iter().any(|row| row.prior <= 0.0) {
            return Err(fault("every prior must be above 0".to_owned()));
        }
        Ok(Self {
            smell_power: file.smell_power,
            counts_from: file.counts_from,
            offer_from: file.offer_from,
            sure_from: file.sure_from,
            tests: file.test.into_iter().map(try_test).collect::<Result<_, _>>()?,
            fibres: file
                .fibre
                .into_iter()
                .map(|row| try_fibre(row, total, file.floor))
                .collect::<Result<_, _>>()?,
            provenance: Some(Provenance { source: file.source, standing: file.standing }),
        })
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked 1 to 9")]
fn try_test(row: TestRow) -> Result<IdTest, DataFault> {
    if !(1.0..=9.0).contains(&row.stage) {
        return Err(fault(format!("'{}': stage must lie between 1 and 9", row.id)));
    }
    let minutes = Minutes::try_minutes(row.minutes)
        .map_err(|why| fault(format!("'{}': minutes: {why}", row.id)))?;
    Ok(IdTest {
        id: row.id,
        stage: row.stage as u8,
        name: row.name,
        how: row.how,
        hazard: row.hazard,
        observes: row.observes,
        minutes,
        leaves: row.leaves,
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

fn try_fibre(row: FibreRow, total: f64, floor: f64) -> Result<KeyFibre, DataFault> {
    let said = [
        (Kind::Flame, &row.flame),
        (Kind::After, &row.after),
        (Kind::Smell, &row.smell),
        (Kind::Residue, &row.residue),
        (Kind::Bleach, &row.bleach),
        (Kind::Acetone, &row.acetone),
        (Kind::Water, &row.water),
        (Kind::Float, &row.float),
    ];
    let likelihood = said
        .into_iter()
        .map(|(kind, table)| try_table(&row.id, kind, table, floor))
        .collect::<Result<_, _>>()?;
    Ok(KeyFibre {
        id: row.id,
        name: row.name,
        materials: row.materials,
        prior: row.prior / total,
        likelihood,
    })
}

/// Likelihoods of every outcome of one kind: what is said, the rest shared evenly among what is
/// not said, nothing below the floor, and all of it scaled to one.
fn try_table(
    row: &str,
    kind: Kind,
    said: &BTreeMap<String, f64>,
    floor: f64,
) -> Result<Vec<f64>, DataFault> {
    let outcomes = kind.outcomes();
    for (word, share) in said {
        if !outcomes.contains(&word.as_str()) {
            return Err(fault(format!("'{row}': {kind} has no outcome '{word}'")));
        }
        if !(share.is_finite() && (0.0..=1.0).contains(share)) {
            return Err(fault(format!("'{row}': {kind} {word} must lie between 0 and 1")));
        }
    }
    let left = 1.0 - said.values().sum::<f64>();
    if left < -1e-9 {
        return Err(fault(format!("'{row}': {kind} adds up to more than 1")));
    }
    #[expect(clippy::cast_precision_loss, reason = "at most nine outcomes")]
    let each = left.max(0.0) / (outcomes.len() - said.len()).max(1) as f64;
    let raw: Vec<f64> =
        outcomes.iter().map(|word| said.get(*word).copied().unwrap_or(each).max(floor)).collect();
    let sum: f64 = raw.iter().sum();
    Ok(raw.into_iter().map(|share| share / sum).collect())
}

const fn fault(what: String) -> DataFault {
    DataFault { file: FILE, what }
}
