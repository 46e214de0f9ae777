//! Walks a TOML text and collects every fault instead of stopping at the first.
//!
//! A [`Table`] is asked for its keys one by one; each answer is `None` when the key is absent or
//! faulty, and the fault is noted. Keys nobody asked for are faults too, with the nearest known key
//! as the hint, so that a misspelt key is never silently ignored.

use std::cell::RefCell;
use std::ops::{Range, RangeInclusive};

use serde_spanned::Spanned;
use toml::de::{DeTable, DeValue};

use crate::{Fault, Faults};

/// Most letters of a name: it stands on labels, tiles and in file names.
pub(crate) const MOST_LETTERS: usize = 120;

/// The largest costume or shelf file read: a hundred pieces fit in a tenth of it.
pub const MOST_BYTES: usize = 1_000_000;

/// Collects the faults of one text.
pub(crate) struct Reader {
    faults: RefCell<Vec<Fault>>,
}

/// One table of the text and the keys already asked for.
pub(crate) struct Table<'r, 'i> {
    reader: &'r Reader,
    entries: &'r DeTable<'i>,
    pub(crate) span: Range<usize>,
    asked: RefCell<Vec<&'static str>>,
}

/// A value with its place.
#[derive(Debug, Clone)]
pub(crate) struct At<T> {
    pub(crate) it: T,
    pub(crate) span: Range<usize>,
}

/// Any value: for keys that may be written in several ways.
#[derive(Clone)]
pub(crate) enum Any<'r, 'i> {
    Text(String),
    Number(f64),
    Flag(bool),
    Day(String),
    List(Vec<At<Any<'r, 'i>>>),
    Table(&'r DeTable<'i>),
}

/// Reads a text through `walk`; gives what it made, or all faults at once.
pub(crate) fn read<T>(
    file: &str,
    text: &str,
    walk: impl FnOnce(&Table) -> Option<T>,
) -> Result<T, Faults> {
    let faults = |list| Faults { file: file.to_owned(), text: text.to_owned(), list };
    if text.len() > MOST_BYTES {
        return Err(Faults {
            file: file.to_owned(),
            text: String::new(),
            list: vec![Fault {
                span: 0..0,
                says: format!("this file has {} bytes", text.len()),
                hint: format!("a file of at most {MOST_BYTES} bytes is read; is it the right one?"),
            }],
        });
    }
    let (root, errors) = DeTable::parse_recoverable(text);
    let reader = Reader { faults: RefCell::new(vec![]) };
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        reader.fault(span, error.message().to_owned(), "write it as TOML; see the examples");
    }
    let syntax_sound = reader.faults.borrow().is_empty();
    let made = if syntax_sound {
        let table = reader.table(root.get_ref(), 0..0);
        let made = walk(&table);
        table.finish();
        made
    } else {
        None
    };
    let mut list = reader.faults.into_inner();
    list.sort_by_key(|f| f.span.start);
    // What holds for many rows is faulty once.
    list.dedup();
    match made {
        Some(made) if list.is_empty() => Ok(made),
        _ if list.is_empty() => Err(faults(vec![Fault {
            span: 0..0,
            says: "this file could not be read".to_owned(),
            hint: "compare it with the examples".to_owned(),
        }])),
        _ => Err(faults(list)),
    }
}

impl Reader {
    pub(crate) fn fault(&self, span: Range<usize>, says: String, hint: impl Into<String>) {
        self.faults.borrow_mut().push(Fault { span, says, hint: hint.into() });
    }

    pub(crate) fn table<'r, 'i>(
        &'r self,
        entries: &'r DeTable<'i>,
        span: Range<usize>,
    ) -> Table<'r, 'i> {
        Table { reader: self, entries, span, asked: RefCell::new(vec![]) }
    }
}

impl<'r, 'i> Table<'r, 'i> {
    /// Notes a fault at a place.
    pub(crate) fn fault(
        &self,
        span: Range<usize>,
        says: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.reader.fault(span, says.into(), hint);
    }

    /// A result's error as a fault at a place.
    pub(crate) fn keep<T, E: std::fmt::Display>(
        &self,
        span: &Range<usize>,
        result: Result<T, E>,
        hint: impl Into<String>,
    ) -> Option<T> {
        result.map_err(|e| self.fault(span.clone(), e.to_string(), hint)).ok()
    }

    /// A table inside this one, from a value already in hand.
    pub(crate) fn inner(&self, entries: &'r DeTable<'i>, span: Range<usize>) -> Table<'r, 'i> {
        self.reader.table(entries, span)
    }

    /// Whatever stands under a key.
    pub(crate) fn any(&self, key: &'static str) -> Option<At<Any<'r, 'i>>> {
        self.asked.borrow_mut().push(key);
        let value = self.entries.iter().find(|(k, _)| k.get_ref() == key)?.1;
        Some(any_of(value))
    }

    /// All keys with their values, for tables whose keys are names.
    pub(crate) fn all(&self) -> Vec<(At<String>, At<Any<'r, 'i>>)> {
        self.entries
            .iter()
            .map(|(k, v)| (At { it: k.get_ref().to_string(), span: k.span() }, any_of(v)))
            .collect()
    }

    /// A text.
    pub(crate) fn text(&self, key: &'static str) -> Option<At<String>> {
        let At { it, span } = self.any(key)?;
        match it {
            Any::Text(text) if key == "name" && text.chars().count() > MOST_LETTERS => {
                let says = format!("`name` has {} letters", text.chars().count());
                let hint = format!("a name has at most {MOST_LETTERS}; put the rest into a note");
                self.fault(span, says, hint);
                None
            }
            Any::Text(text) if !text.trim().is_empty() => Some(At { it: text, span }),
            Any::Text(_) => self.wrong(span, key, "an empty text", "write something in the quotes"),
            other => self.wrong(span, key, other.kind(), "write it in quotes"),
        }
    }

    /// A text that must be there.
    pub(crate) fn need_text(&self, key: &'static str, hint: &str) -> Option<At<String>> {
        if !self.entries.iter().any(|(k, _)| k.get_ref() == key) {
            self.asked.borrow_mut().push(key);
            self.fault(self.span.clone(), format!("`{key}` is missing"), hint);
            return None;
        }
        self.text(key)
    }

    /// A finite number.
    pub(crate) fn number(&self, key: &'static str) -> Option<At<f64>> {
        let At { it, span } = self.any(key)?;
        match it {
            Any::Number(n) if n.is_finite() => Some(At { it: n, span }),
            Any::Number(_) => self.wrong(span, key, "not a finite number", "write plain digits"),
            other => self.wrong(span, key, other.kind(), "write a number without quotes"),
        }
    }

    /// A number within limits, both allowed; the hint says what it is and how it is written.
    pub(crate) fn between(
        &self,
        key: &'static str,
        limits: RangeInclusive<f64>,
        hint: &str,
    ) -> Option<At<f64>> {
        let at = self.number(key)?;
        if limits.contains(&at.it) {
            return Some(at);
        }
        let (low, high) = (limits.start(), limits.end());
        self.wrong(at.span, key, &at.it.to_string(), &format!("{hint}; from {low} to {high}"))
    }

    /// A number within limits that must be there.
    pub(crate) fn need_between(
        &self,
        key: &'static str,
        limits: RangeInclusive<f64>,
        hint: &str,
    ) -> Option<At<f64>> {
        if self.any(key).is_none() {
            self.fault(self.span.clone(), format!("`{key}` is missing"), hint);
        }
        self.between(key, limits, hint)
    }

    /// A count: a whole number within limits, both allowed.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole and within the limits, which are counts"
    )]
    pub(crate) fn count(
        &self,
        key: &'static str,
        limits: RangeInclusive<u32>,
        hint: &str,
    ) -> Option<u32> {
        let limits = f64::from(*limits.start())..=f64::from(*limits.end());
        let At { it, span } = self.between(key, limits, hint)?;
        if it.fract() == 0.0 {
            return Some(it as u32);
        }
        self.wrong(span, key, &it.to_string(), &format!("{hint}; a whole number"))
    }

    /// One of several words.
    pub(crate) fn choice<T: Copy>(
        &self,
        key: &'static str,
        all: &[T],
        name: fn(T) -> &'static str,
    ) -> Option<T> {
        let at = self.text(key)?;
        self.one_of(key, &at, all, name)
    }

    /// One of several words, from a text already in hand.
    pub(crate) fn one_of<T: Copy>(
        &self,
        key: &str,
        at: &At<String>,
        all: &[T],
        name: fn(T) -> &'static str,
    ) -> Option<T> {
        let word = at.it.trim().to_lowercase();
        if let Some(found) = all.iter().find(|t| name(**t) == word) {
            return Some(*found);
        }
        let known: Vec<&str> = all.iter().map(|t| name(*t)).collect();
        let hint = match nearest(&word, &known) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("known here: {}", known.join(", ")),
        };
        self.wrong(at.span.clone(), key, &format!("\"{}\"", at.it), &hint)
    }

    /// true or false; `false` when absent.
    pub(crate) fn flag(&self, key: &'static str) -> bool {
        match self.any(key) {
            None => false,
            Some(At { it: Any::Flag(flag), .. }) => flag,
            Some(At { it, span }) => {
                self.wrong(span, key, it.kind(), "write true or false").unwrap_or(false)
            }
        }
    }

    /// A day, as a TOML date or in quotes.
    pub(crate) fn day(&self, key: &'static str) -> Option<At<units::Day>> {
        let At { it, span } = self.any(key)?;
        match it {
            Any::Day(text) | Any::Text(text) => {
                let day = self.keep(&span, text.parse(), "days are written year-month-day")?;
                Some(At { it: day, span })
            }
            other => self.wrong(span, key, other.kind(), "write a day, like 2027-03-20"),
        }
    }

    /// A list; empty when absent.
    pub(crate) fn list(&self, key: &'static str) -> Vec<At<Any<'r, 'i>>> {
        match self.any(key) {
            None => vec![],
            Some(At { it: Any::List(list), .. }) => list,
            Some(At { it, span }) => self
                .wrong(span, key, it.kind(), "write a list in square brackets")
                .unwrap_or_default(),
        }
    }

    /// A list of texts; empty when absent.
    pub(crate) fn texts(&self, key: &'static str) -> Vec<At<String>> {
        self.list(key)
            .into_iter()
            .filter_map(|At { it, span }| match it {
                Any::Text(text) => Some(At { it: text, span }),
                other => self.wrong(span, key, other.kind(), "write each entry in quotes"),
            })
            .collect()
    }

    /// A table under a key.
    pub(crate) fn part(&self, key: &'static str) -> Option<Table<'r, 'i>> {
        let At { it, span } = self.any(key)?;
        match it {
            Any::Table(entries) => Some(self.inner(entries, span)),
            other => self.wrong(span, key, other.kind(), "write it as a table"),
        }
    }

    /// A list of tables under a key (`[[key]]`).
    pub(crate) fn parts(&self, key: &'static str) -> Vec<Table<'r, 'i>> {
        self.list(key)
            .into_iter()
            .filter_map(|At { it, span }| match it {
                Any::Table(entries) => Some(self.inner(entries, span)),
                other => self.wrong(span, key, other.kind(), "begin each with [[…]]"),
            })
            .collect()
    }

    /// Three numbers in brackets.
    pub(crate) fn three(&self, key: &'static str, value: &At<Any<'r, 'i>>) -> Option<[f64; 3]> {
        let hint = "write three numbers, as in lab = [45.0, -12.5, 8.0]";
        let Any::List(list) = &value.it else {
            return self.wrong(value.span.clone(), key, value.it.kind(), hint);
        };
        let numbers: Vec<f64> = list
            .iter()
            .filter_map(|v| match v.it {
                Any::Number(n) => Some(n),
                _ => None,
            })
            .collect();
        match (numbers.as_slice(), list.len()) {
            (&[a, b, c], 3) => Some([a, b, c]),
            _ => self.wrong(value.span.clone(), key, "not three numbers", hint),
        }
    }

    /// Notes every key that nobody asked for.
    pub(crate) fn finish(&self) {
        let mut asked: Vec<&str> = vec![];
        for key in self.asked.borrow().iter() {
            // A key is asked for again where another place decides by it.
            if !asked.contains(key) {
                asked.push(key);
            }
        }
        for (key, _) in self.entries {
            if !asked.contains(&key.get_ref().as_ref()) {
                let hint = match nearest(key.get_ref(), &asked) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("known here: {}", asked.join(", ")),
                };
                self.fault(
                    key.span(),
                    format!("`{}` is not a key of this table", key.get_ref()),
                    hint,
                );
            }
        }
    }

    fn wrong<T>(&self, span: Range<usize>, key: &str, is: &str, hint: &str) -> Option<T> {
        self.fault(span, format!("`{key}` is {is}"), hint);
        None
    }
}

impl Any<'_, '_> {
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Self::Text(_) => "a text",
            Self::Number(_) => "a number",
            Self::Flag(_) => "true or false",
            Self::Day(_) => "a date",
            Self::List(_) => "a list",
            Self::Table(_) => "a table",
        }
    }
}

fn any_of<'r, 'i>(value: &'r Spanned<DeValue<'i>>) -> At<Any<'r, 'i>> {
    let it = match value.get_ref() {
        DeValue::String(text) => Any::Text(text.to_string()),
        DeValue::Integer(n) => {
            let plain = i64::from_str_radix(n.as_str(), n.radix());
            #[expect(clippy::cast_precision_loss, reason = "amounts of a dye room are small")]
            Any::Number(plain.map_or(f64::NAN, |n| n as f64))
        }
        DeValue::Float(n) => Any::Number(n.as_str().replace('_', "").parse().unwrap_or(f64::NAN)),
        DeValue::Boolean(flag) => Any::Flag(*flag),
        DeValue::Datetime(day) => Any::Day(day.to_string()),
        DeValue::Array(list) => Any::List(list.iter().map(any_of).collect()),
        DeValue::Table(table) => Any::Table(table),
    };
    At { it, span: value.span() }
}

/// The known word nearest to a misspelt one, if it is near at all.
pub(crate) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    let word: String = word.chars().take(64).collect();
    let near = known.iter().map(|k| (strsim::osa_distance(&word, k), *k)).min()?;
    (near.0 <= 1 + word.chars().count() / 3).then_some(near.1)
}
