//! The forms a workbook's file has had, and the way from each to the next: numbered, forward only.
//!
//! The number stands in the file's header (`user_version`). The whole way is one transaction, and a
//! copy of the file as it was is kept beside it first. A file of a later form is refused.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::{Refusal, nearest, seal};

/// One step.
struct Migration {
    /// What is said in SQL.
    sql: &'static str,
    /// What must be computed.
    then: fn(&Connection) -> Result<(), Refusal>,
}

/// Every step; the form after step n is n, from 1. A step that has been released is never changed.
const STEPS: [Migration; 4] = [
    Migration { sql: include_str!("../migrations/0001_records.sql"), then: |_| Ok(()) },
    Migration {
        sql: include_str!("../migrations/0002_colour_index.sql"),
        then: nearest::index_everything,
    },
    Migration { sql: include_str!("../migrations/0003_seals.sql"), then: seal::everything },
    Migration { sql: include_str!("../migrations/0004_dyed_whole.sql"), then: |_| Ok(()) },
];

/// The form this program writes.
pub(crate) const CURRENT: i64 = 4;

/// "DyWb": what tells a workbook from other SQLite files (`application_id` in the header).
pub(crate) const APPLICATION: i64 = 0x4479_5762;

/// The form of a file.
pub(crate) fn form(book: &Connection) -> Result<i64, Refusal> {
    Ok(book.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

/// Brings a file from its form to another, later one, in one transaction. Form 0 is an empty file.
pub(crate) fn migrate(book: &mut Connection, to: i64) -> Result<(), Refusal> {
    let step = book.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have been quicker.
    let from = form(&step)?;
    apply(&step, from, to)?;
    step.commit()?;
    Ok(())
}

fn apply(book: &Transaction<'_>, from: i64, to: i64) -> Result<(), Refusal> {
    for (number, step) in (1_i64..).zip(&STEPS) {
        if from < number && number <= to {
            book.execute_batch(step.sql)?;
            (step.then)(book)?;
        }
    }
    if from < to {
        book.pragma_update(None, "application_id", APPLICATION)?;
        book.pragma_update(None, "user_version", to)?;
    }
    Ok(())
}

/// Copies the file as it is to a name beside it that is free, and says which.
pub(crate) fn copy_beside(book: &Connection, path: &Path) -> Result<PathBuf, Refusal> {
    let form = form(book)?;
    let free = (1..).map(|n| beside(path, form, n)).find(|p| !p.exists());
    let copy = free.unwrap_or_else(|| beside(path, form, 0));
    let name = copy.to_str().ok_or_else(|| Refusal::System {
        path: copy.clone(),
        why: "its name is not Unicode".to_owned(),
    })?;
    book.execute("VACUUM INTO ?1", [name])?;
    Ok(copy)
}

fn beside(path: &Path, form: i64, n: u32) -> PathBuf {
    let mut name = OsString::from(path.as_os_str());
    name.push(if n == 1 { format!(".form{form}") } else { format!(".form{form}-{n}") });
    PathBuf::from(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_current_form_is_the_last_step_and_steps_are_taken_one_by_one() {
        assert_eq!(usize::try_from(CURRENT).unwrap(), STEPS.len());
        let mut at_once = Connection::open_in_memory().unwrap();
        migrate(&mut at_once, CURRENT).unwrap();
        let mut stepwise = Connection::open_in_memory().unwrap();
        for to in 1..=CURRENT {
            migrate(&mut stepwise, to).unwrap();
            assert_eq!(form(&stepwise), Ok(to));
        }
        let schema = |book: &Connection| -> Vec<String> {
            let sql = "SELECT coalesce(sql, name) FROM sqlite_schema ORDER BY rowid";
            let mut question = book.prepare(sql).unwrap();
            question.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect()
        };
        assert_eq!(schema(&at_once), schema(&stepwise));
        // No step is taken twice, and there is none back.
        migrate(&mut stepwise, 1).unwrap();
        assert_eq!(form(&stepwise), Ok(CURRENT));
    }
}
