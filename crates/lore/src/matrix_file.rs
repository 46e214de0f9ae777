//! Reads `matrix.toml`: reasons, rows and blends; refuses a row that leaves a procedure out.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::Celsius;

use crate::blend::BlendNote;
use crate::fault::{held, read};
use crate::matrix::{Cell, Reason, Row, Verdict};
use crate::{DataFault, DyeClass, Procedure, Provenance, Standing};

const FILE: &str = "matrix.toml";

/// Everything `matrix.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Matrix {
    pub(crate) reasons: Vec<(Reason, String)>,
    pub(crate) rows: Vec<Row>,
    pub(crate) blends: Vec<BlendNote>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MatrixFile {
    reason: Vec<ReasonRow>,
    row: Vec<MatrixRow>,
    blend: Vec<BlendRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ReasonRow {
    code: Reason,
    says: String,
}

/// A row; what is not id, name or provenance must be the id of a procedure.
#[derive(Deserialize)]
struct MatrixRow {
    id: String,
    name: String,
    source: String,
    standing: Standing,
    #[serde(flatten)]
    cells: BTreeMap<Procedure, CellRow>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum CellRow {
    Plain(Verdict),
    Full(Box<FullCell>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FullCell {
    verdict: Verdict,
    reason: Option<Reason>,
    note: Option<String>,
    from_c: Option<f64>,
    #[serde(default)]
    by_class: BTreeMap<DyeClass, ClassCell>,
    source: Option<String>,
    standing: Option<Standing>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassCell {
    verdict: Verdict,
    reason: Option<Reason>,
    note: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BlendRow {
    of: [String; 2],
    one_bath: Option<String>,
    two_bath: Option<String>,
    risk: String,
    source: String,
    standing: Standing,
}

impl Matrix {
    pub(crate) fn try_read(text: &str) -> Result<Self, DataFault> {
        let file: MatrixFile = read(FILE, text)?;
        for reason in Reason::ALL {
            if !file.reason.iter().any(|row| row.code == *reason) {
                return Err(fault(format!("reason {reason} has no sentence")));
            }
        }
        Ok(Self {
            reasons: file.reason.into_iter().map(|row| (row.code, row.says)).collect(),
            rows: file.row.into_iter().map(try_row).collect::<Result<_, _>>()?,
            blends: file
                .blend
                .into_iter()
                .map(|row| BlendNote {
                    of: row.of,
                    one_bath: row.one_bath,
                    two_bath: row.two_bath,
                    risk: row.risk,
                    provenance: Provenance { source: row.source, standing: row.standing },
                })
                .collect(),
        })
    }
}

fn try_row(row: MatrixRow) -> Result<Row, DataFault> {
    let whole = Provenance { source: row.source, standing: row.standing };
    for procedure in Procedure::ALL {
        if !row.cells.contains_key(procedure) {
            return Err(fault(format!("'{}' ({}) says nothing of {procedure}", row.id, row.name)));
        }
    }
    let mut cells = Vec::new();
    for (procedure, cell) in row.cells {
        let full = match cell {
            CellRow::Plain(verdict) => FullCell::plain(verdict),
            CellRow::Full(full) => *full,
        };
        let provenance = Provenance {
            source: full.source.unwrap_or_else(|| whole.source.clone()),
            standing: full.standing.unwrap_or(whole.standing),
        };
        for (class, own) in full.by_class {
            if !procedure.takes(class) {
                return Err(fault(format!("'{}': {procedure} does not take {class}", row.id)));
            }
            cells.push(Cell {
                procedure,
                class: Some(class),
                verdict: own.verdict,
                reason: own.reason,
                note: own.note,
                works_from: None,
                provenance: provenance.clone(),
            });
        }
        let works_from = match full.from_c {
            Some(degrees) => Some(held(FILE, &row.id, Celsius::try_degrees(degrees))?),
            None => None,
        };
        cells.push(Cell {
            procedure,
            class: None,
            verdict: full.verdict,
            reason: full.reason,
            note: full.note,
            works_from,
            provenance,
        });
    }
    Ok(Row { id: row.id, cells })
}

impl FullCell {
    const fn plain(verdict: Verdict) -> Self {
        Self {
            verdict,
            reason: None,
            note: None,
            from_c: None,
            by_class: BTreeMap::new(),
            source: None,
            standing: None,
        }
    }
}

const fn fault(what: String) -> DataFault {
    DataFault { file: FILE, what }
}
