//! A row as a line of JSON: `{"table": …, "row": {…}}`, its cells in the order of the columns, numbers in
//! their shortest exact writing, so that the same row is the same line on every machine.

use rusqlite::Row;
use rusqlite::types::ValueRef;
use serde_json::{Map, Number, Value, json};

use crate::Refusal;

/// Whether cells that hold nothing are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Nulls {
    Written,
    /// So that a column that a later form adds, and that holds nothing, changes no line.
    LeftOut,
}

/// The line of a row, with its end.
pub(crate) fn of(
    row: &Row<'_>,
    table: &str,
    columns: &[String],
    nulls: Nulls,
) -> Result<String, Refusal> {
    let mut cells = Map::new();
    for (i, column) in columns.iter().enumerate() {
        let damaged = |what: &str| Refusal::damaged(format!("{table}, {column}: {what}"));
        let cell = match row.get_ref(i)? {
            ValueRef::Null if nulls == Nulls::LeftOut => continue,
            ValueRef::Null => Value::Null,
            ValueRef::Integer(n) => n.into(),
            ValueRef::Real(x) => Number::from_f64(x)
                .map(Value::Number)
                .ok_or_else(|| damaged("not a finite number"))?,
            ValueRef::Text(_) => Value::String(row.get(i).map_err(|_| damaged("not a text"))?),
            ValueRef::Blob(_) => return Err(damaged("bytes where none can be")),
        };
        cells.insert(column.clone(), cell);
    }
    Ok(format!("{}\n", json!({ "table": table, "row": cells })))
}
