//! Names for ids: what a page says of dyes, of what else went in, and of pieces, where the workbook holds the words of files.
//!
//! The command line shows ids, since they are what is typed there. Left out: ids that nobody has named.

use std::collections::BTreeMap;

use lore::Lore;
use plan::document::Plan;

use crate::PieceSeen;
use crate::book_seen::DosedSeen;
use crate::cloths::starters_known;

/// What ids are called.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Names(BTreeMap<String, String>);

impl Names {
    /// The names of a plan's pieces and of everything it doses; then of starter dyes and of what a bath may take.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        let agents = Lore::shipped().agents().iter().map(|one| (one.id.clone(), one.name.clone()));
        let starters = starters_known().into_iter().map(|(id, name, _)| (id, name));
        let mut names: BTreeMap<String, String> = starters.chain(agents).collect();
        for piece in &plan.pieces {
            for sheet in &piece.sheets {
                names.extend(sheet.dyes.iter().map(|dye| (dye.id.clone(), dye.name.clone())));
                let others = sheet.auxiliaries.iter();
                names.extend(others.map(|one| (one.id.clone(), one.name.clone())));
            }
            names.insert(piece.id.clone(), piece.name.clone());
        }
        Self(names)
    }

    /// What an id is called.
    #[must_use]
    pub fn called(&self, id: &str) -> String {
        self.0.get(id).cloned().unwrap_or_else(|| id.to_owned())
    }

    /// The same where an id stands in a sentence; one that is an ordinary word too is left as it is.
    #[must_use]
    pub fn in_words(&self, said: &str) -> String {
        let part = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
        let mut out = String::with_capacity(said.len());
        let mut word = String::new();
        let end = |word: &mut String, out: &mut String| {
            let named = self.0.get(word.as_str()).filter(|_| word.contains('-'));
            out.push_str(named.unwrap_or(word));
            word.clear();
        };
        for c in said.chars() {
            if part(c) {
                word.push(c);
            } else {
                end(&mut word, &mut out);
                out.push(c);
            }
        }
        end(&mut word, &mut out);
        out
    }

    /// The record of a piece with names for ids.
    pub(crate) fn put_into(&self, seen: &mut PieceSeen) {
        seen.piece = self.called(&seen.piece);
        let doses = |doses: &mut Vec<DosedSeen>| {
            for dose in doses {
                dose.of = self.called(&dose.of);
            }
        };
        seen.swatches.iter_mut().for_each(|swatch| doses(&mut swatch.doses));
        seen.baths.iter_mut().for_each(|bath| doses(&mut bath.doses));
        let sentences = [&mut seen.dyes, &mut seen.again, &mut seen.assumed, &mut seen.missing];
        for said in sentences.into_iter().flatten() {
            *said = self.in_words(said);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_named_whole_and_an_ordinary_word_stays() {
        let pairs = [("acid-navy", "navy"), ("acid-navy-2", "my navy"), ("salt", "cooking salt")];
        let names = Names(pairs.map(|(id, name)| (id.to_owned(), name.to_owned())).into());
        assert_eq!(names.called("salt"), "cooking salt");
        assert_eq!(names.called("x"), "x");
        assert_eq!(
            names.in_words("0.2 g of acid-navy, lot 3; acid-navy-2 (salt)"),
            "0.2 g of navy, lot 3; my navy (salt)"
        );
    }
}
