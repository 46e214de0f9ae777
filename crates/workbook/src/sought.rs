//! Swatches looked for in a workbook of thousands: by colour, dye, fibre and class, a page of them at a time.
//!
//! A colour is looked for as in [`Book::nearest`], but all that are near are counted; without one the newest come first.
//! Left out: readings of pieces.

use std::collections::{BTreeMap, BTreeSet};

use colour::Lab;
use rusqlite::types::Value;
use rusqlite::{Row, params_from_iter};

use crate::nearest::swatches_near;
use crate::record::fetch;
use crate::{Book, Entry, Id, Kind, Near, Reading, Recorded, Refusal, Swatch, Within};

/// What is looked for; `None` and the empty word let everything through.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sought {
    /// A colour (Lab, D65/10°) and how far from it.
    pub colour: Option<(Lab, Within)>,
    /// A dye that was dosed, by its name.
    pub dye: String,
    /// The fibre of the cloth, as the workbook names it.
    pub fibre: String,
    /// The class of the dyes.
    pub class: String,
}

/// A page of what was found.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundPage {
    /// Swatches of this page; where a colour was asked for, each with its nearest reading, nearest first.
    pub swatches: Vec<(Recorded<Swatch>, Option<Near>)>,
    /// How many there are on all pages.
    pub of: usize,
}

/// What can be asked for, and how many swatches each would find.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CanBeSought {
    /// Dyes.
    pub dyes: BTreeMap<String, usize>,
    /// Fibres.
    pub fibres: BTreeMap<String, usize>,
    /// Classes.
    pub classes: BTreeMap<String, usize>,
}

/// Swatches that stand.
const STANDING: &str = "coalesce((SELECT u.undone FROM undo u WHERE u.about = s.entry ORDER BY u.entry DESC LIMIT 1), 0) = 0";

impl Book {
    /// The swatches that stand and are sought, `most` of them from the `from`th on (from 0).
    pub fn swatches_sought(
        &self,
        sought: &Sought,
        from: usize,
        most: usize,
    ) -> Result<FoundPage, Refusal> {
        let Some((lab, within)) = sought.colour else {
            let all = self.entries_sought(sought)?;
            let page = all.iter().skip(from).take(most);
            let swatches: Result<Vec<_>, Refusal> =
                page.map(|entry| Ok((self.swatch(Id::of(*entry))?, None))).collect();
            return Ok(FoundPage { swatches: swatches?, of: all.len() });
        };
        let all = sought.narrows().then(|| self.entries_sought(sought)).transpose()?;
        let wanted: Option<BTreeSet<Entry>> = all.map(|all| all.into_iter().collect());
        let mut found = swatches_near(&self.book, lab, within)?;
        found.retain(|(_, id, _)| wanted.as_ref().is_none_or(|w| w.contains(&id.entry())));
        let page = found.iter().skip(from).take(most);
        let swatches: Result<Vec<_>, Refusal> = page
            .map(|&(de00, id, reading)| {
                let reading = fetch::<Reading>(&self.book, reading)?;
                Ok((self.swatch(id)?, Some(Near { de00, reading })))
            })
            .collect();
        Ok(FoundPage { swatches: swatches?, of: found.len() })
    }

    /// Entries of the swatches that stand and are of this dye, fibre and class; the newest first.
    fn entries_sought(&self, sought: &Sought) -> Result<Vec<Entry>, Refusal> {
        let mut which = vec![STANDING];
        let mut given: Vec<Value> = vec![];
        for (word, condition) in [
            (&sought.fibre, "s.fibre = ?"),
            (&sought.class, "s.class = ?"),
            (
                &sought.dye,
                "EXISTS (SELECT 1 FROM dose x JOIN dye d ON d.entry = x.dye WHERE x.entry = s.entry AND d.name = ?)",
            ),
        ] {
            if !word.is_empty() {
                which.push(condition);
                given.push(word.clone().into());
            }
        }
        let sql = format!(
            "SELECT s.entry FROM swatch s WHERE {} ORDER BY s.entry DESC",
            which.join(" AND ")
        );
        let mut question = self.book.prepare_cached(&sql)?;
        let number = |row: &Row<'_>| row.get::<_, i64>(0);
        let found = question.query_map(params_from_iter(given), number)?;
        found.map(|entry| Ok(Entry::numbered(entry?))).collect()
    }

    /// The dyes, fibres and classes of the swatches that stand.
    pub fn can_be_sought(&self) -> Result<CanBeSought, Refusal> {
        let counted = |sql: String| -> Result<BTreeMap<String, usize>, Refusal> {
            let mut question = self.book.prepare_cached(&sql)?;
            let pair = |row: &Row<'_>| Ok((row.get::<_, String>(0)?, row.get::<_, i64>(1)?));
            let found = question.query_map([], pair)?;
            found
                .map(|one| {
                    let (word, many) = one?;
                    Ok((word, usize::try_from(many).unwrap_or(0)))
                })
                .collect()
        };
        let of = |column: &str| {
            counted(format!(
                "SELECT s.{column}, count(*) FROM swatch s WHERE {STANDING} GROUP BY 1"
            ))
        };
        Ok(CanBeSought {
            dyes: counted(format!(
                "SELECT d.name, count(DISTINCT s.entry) FROM swatch s JOIN dose x ON x.entry = s.entry \
                 JOIN dye d ON d.entry = x.dye WHERE {STANDING} GROUP BY 1"
            ))?,
            fibres: of("fibre")?,
            classes: of("class")?,
        })
    }

    /// What kind of record an entry is; none where there is no such entry.
    pub fn kind_of(&self, entry: Entry) -> Result<Option<Kind>, Refusal> {
        crate::undo::kind_of(&self.book, entry)
    }
}

impl Sought {
    fn narrows(&self) -> bool {
        [&self.dye, &self.fibre, &self.class].iter().any(|word| !word.is_empty())
    }
}
