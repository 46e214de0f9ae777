//! How a record goes into its table and comes out again: one trait for all kinds.
//!
//! What comes out passes the same rules as what goes in, so that a row changed by another program is
//! told as damage and never taken for a record.

use rusqlite::types::{FromSql, Value};
use rusqlite::{Connection, OptionalExtension, Params, Row, params, params_from_iter};
use units::Day;

use crate::{Entry, Id, Kind, Refusal, Stamp, seal, undo};

/// A record with its number, who recorded it and when, and whether it is undone.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded<T> {
    /// The number.
    pub id: Id<T>,
    /// Who and when.
    pub stamp: Stamp,
    /// Whether an undoing of it stands.
    pub undone: bool,
    /// What was recorded.
    pub it: T,
}

/// A kind of record that has a table.
pub(crate) trait Stored: Sized {
    const KIND: Kind;
    /// Its columns but for the entry, in the order of `cells`.
    const COLUMNS: &'static [&'static str];

    /// The rules it must keep by itself.
    fn check(&self) -> Result<(), Refusal>;

    /// The rules it must keep beside what is recorded already.
    fn check_beside(&self, _: &Connection) -> Result<(), Refusal> {
        Ok(())
    }

    /// The records it rests on.
    fn rests_on(&self) -> Vec<(Kind, Entry)>;

    fn cells(&self) -> Vec<Value>;

    /// What it keeps in further tables.
    fn insert_parts(&self, _: &Connection, _: Entry) -> Result<(), Refusal> {
        Ok(())
    }

    fn read(row: &Fields<'_>, book: &Connection) -> Result<Self, Refusal>;
}

/// Records one thing: an entry of the journal and its row. To be called inside a transaction.
pub(crate) fn insert<T: Stored>(
    book: &Connection,
    stamp: &Stamp,
    it: &T,
) -> Result<Id<T>, Refusal> {
    it.check()?;
    for (kind, on) in it.rests_on() {
        if undo::kind_of(book, on)? != Some(kind) {
            return Err(Refusal::Unknown { what: kind.word(), given: on.to_string() });
        }
        if undo::undoing_of(book, on)?.is_some_and(|u| u.undone) {
            return Err(Refusal::RestsOnUndone { on });
        }
    }
    it.check_beside(book)?;
    let entry = append(book, T::KIND, stamp)?;
    let cells = it.cells();
    let holes: String = (0..cells.len()).map(|i| format!(", ?{}", i + 2)).collect();
    let sql = format!(
        "INSERT INTO {} (entry, {}) VALUES (?1{holes})",
        T::KIND.word(),
        T::COLUMNS.join(", ")
    );
    let all = std::iter::once(Value::Integer(entry.number())).chain(cells);
    book.prepare_cached(&sql)?.execute(params_from_iter(all))?;
    it.insert_parts(book, entry)?;
    seal::seal(book, entry)?;
    Ok(Id::of(entry))
}

/// The next entry of the journal.
pub(crate) fn append(book: &Connection, kind: Kind, stamp: &Stamp) -> Result<Entry, Refusal> {
    crate::words::name("the name of who records", &stamp.who)?;
    book.prepare_cached("INSERT INTO journal (kind, at, who) VALUES (?1, ?2, ?3)")?
        .execute(params![kind.word(), stamp.at.to_string(), stamp.who])?;
    Ok(Entry::numbered(book.last_insert_rowid()))
}

/// The record of this number.
pub(crate) fn fetch<T: Stored>(book: &Connection, id: Id<T>) -> Result<Recorded<T>, Refusal> {
    let found = select(book, "WHERE r.entry = ?1", [id.entry().number()])?;
    let unknown = || Refusal::Unknown { what: T::KIND.word(), given: id.to_string() };
    found.into_iter().next().ok_or_else(unknown)
}

/// Records in the order they were made, chosen by the end of an SQL question about the table `r`.
pub(crate) fn select<T: Stored>(
    book: &Connection,
    which: &str,
    given: impl Params,
) -> Result<Vec<Recorded<T>>, Refusal> {
    let sql = format!(
        "SELECT r.*, j.at AS entry_at, j.who AS entry_who, coalesce((SELECT u.undone FROM undo u \
         WHERE u.about = r.entry ORDER BY u.entry DESC LIMIT 1), 0) AS entry_undone \
         FROM {} r JOIN journal j ON j.entry = r.entry {which}",
        T::KIND.word()
    );
    let mut question = book.prepare_cached(&sql)?;
    let mut rows = question.query(given)?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        found.push(recorded(row, book)?);
    }
    Ok(found)
}

fn recorded<T: Stored>(row: &Row<'_>, book: &Connection) -> Result<Recorded<T>, Refusal> {
    let number: i64 = row.get("entry")?;
    let place = format!("{} {number}", T::KIND.word());
    let fields = Fields { row, entry: Entry::numbered(number), place: &place };
    let damaged = |why: Refusal| match why {
        Refusal::Damaged { .. } => why,
        other => Refusal::damaged(format!("{place}: {other}")),
    };
    let at = fields.text("entry_at")?.parse().map_err(damaged)?;
    let stamp = Stamp::try_new(at, &fields.text("entry_who")?).map_err(damaged)?;
    let it = T::read(&fields, book).map_err(damaged)?;
    it.check().map_err(damaged)?;
    let undone = fields.get::<i64>("entry_undone")? != 0;
    Ok(Recorded { id: Id::of(fields.entry), stamp, undone, it })
}

/// Records in the order they were made, some hundred at a time, so that a workbook of any size can be
/// read; an entry made meanwhile is seen at the end.
pub(crate) struct Records<'b, T> {
    book: &'b Connection,
    after: i64,
    page: std::vec::IntoIter<Recorded<T>>,
    ended: bool,
}

/// Records read at one go.
const PAGE: i64 = 500;

impl<'b, T: Stored> Records<'b, T> {
    pub(crate) fn of(book: &'b Connection) -> Self {
        Self { book, after: 0, page: Vec::new().into_iter(), ended: false }
    }
}

impl<T: Stored> Iterator for Records<'_, T> {
    type Item = Result<Recorded<T>, Refusal>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.page.len() == 0 && !self.ended {
            let which = "WHERE r.entry > ?1 ORDER BY r.entry LIMIT ?2";
            match select(self.book, which, [self.after, PAGE]) {
                Ok(page) => {
                    self.ended = page.is_empty();
                    self.after =
                        page.last().map_or(self.after, |r: &Recorded<T>| r.id.entry().number());
                    self.page = page.into_iter();
                }
                Err(refusal) => {
                    self.ended = true;
                    return Some(Err(refusal));
                }
            }
        }
        self.page.next().map(Ok)
    }
}

/// The first standing record with this text in a column.
pub(crate) fn standing_with(
    book: &Connection,
    kind: Kind,
    column: &str,
    text: &str,
    within: Option<(&str, Entry)>,
) -> Result<Option<Entry>, Refusal> {
    let scope = within.map_or(String::new(), |(column, _)| format!("AND r.{column} = ?2"));
    let sql = format!(
        "SELECT r.entry FROM {} r WHERE r.{column} = ?1 {scope} AND coalesce((SELECT u.undone \
         FROM undo u WHERE u.about = r.entry ORDER BY u.entry DESC LIMIT 1), 0) = 0 \
         ORDER BY r.entry LIMIT 1",
        kind.word()
    );
    let mut question = book.prepare_cached(&sql)?;
    let found: Option<i64> = match within {
        None => question.query_row([text], |r| r.get(0)).optional()?,
        Some((_, e)) => question.query_row(params![text, e.number()], |r| r.get(0)).optional()?,
    };
    Ok(found.map(Entry::numbered))
}

/// Refuses a text that a standing record of the kind bears already.
pub(crate) fn free(
    book: &Connection,
    kind: Kind,
    column: &str,
    text: &str,
    within: Option<(&str, Entry)>,
) -> Result<(), Refusal> {
    match standing_with(book, kind, column, text, within)? {
        None => Ok(()),
        Some(entry) => Err(Refusal::Taken { what: kind.word(), given: text.to_owned(), entry }),
    }
}

/// The cells of one row by name; a cell of the wrong kind is damage.
pub(crate) struct Fields<'a> {
    pub(crate) row: &'a Row<'a>,
    pub(crate) entry: Entry,
    pub(crate) place: &'a str,
}

impl Fields<'_> {
    pub(crate) fn get<V: FromSql>(&self, column: &str) -> Result<V, Refusal> {
        let why = |e| Refusal::damaged(format!("{}, {column}: {e}", self.place));
        self.row.get(column).map_err(why)
    }

    pub(crate) fn text(&self, column: &str) -> Result<String, Refusal> {
        self.get(column)
    }

    pub(crate) fn maybe_text(&self, column: &str) -> Result<Option<String>, Refusal> {
        self.get(column)
    }

    pub(crate) fn id<T>(&self, column: &str) -> Result<Id<T>, Refusal> {
        Ok(Id::of(Entry::numbered(self.get(column)?)))
    }

    pub(crate) fn maybe_id<T>(&self, column: &str) -> Result<Option<Id<T>>, Refusal> {
        Ok(self.get::<Option<i64>>(column)?.map(|n| Id::of(Entry::numbered(n))))
    }

    pub(crate) fn day(&self, column: &str) -> Result<Day, Refusal> {
        Ok(self.text(column)?.parse()?)
    }

    pub(crate) fn maybe_day(&self, column: &str) -> Result<Option<Day>, Refusal> {
        Ok(self.maybe_text(column)?.map(|t| t.parse()).transpose()?)
    }

    pub(crate) fn word<W>(
        &self,
        column: &str,
        from: impl Fn(&str) -> Result<W, Refusal>,
    ) -> Result<W, Refusal> {
        from(&self.text(column)?)
    }

    /// A quantity, by the constructor that admits it.
    pub(crate) fn quantity<Q>(
        &self,
        column: &str,
        admit: impl Fn(f64) -> Result<Q, units::NotAQuantity>,
    ) -> Result<Q, Refusal> {
        Ok(admit(self.get(column)?)?)
    }

    pub(crate) fn maybe_quantity<Q>(
        &self,
        column: &str,
        admit: impl Fn(f64) -> Result<Q, units::NotAQuantity>,
    ) -> Result<Option<Q>, Refusal> {
        Ok(self.get::<Option<f64>>(column)?.map(admit).transpose()?)
    }
}

/// The number of a record as a cell.
pub(crate) fn number<T>(id: Id<T>) -> Value {
    Value::Integer(id.entry().number())
}

/// The number of a record, or none.
pub(crate) fn maybe_number<T>(id: Option<Id<T>>) -> Value {
    id.map_or(Value::Null, number)
}

/// A reference, for `rests_on`, when there is one.
pub(crate) fn reference<T: Stored>(id: Option<Id<T>>) -> Option<(Kind, Entry)> {
    id.map(|id| (T::KIND, id.entry()))
}
