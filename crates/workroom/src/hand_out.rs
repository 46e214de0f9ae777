//! A recipe handed out: which piece, what its file is called, and why some pieces have no sheet.

use costume::Costume;
use plan::document::{Outcome, Plan};

use crate::Trouble;

/// A piece whose recipe is handed out.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct HandOut {
    /// Its id.
    pub(crate) id: String,
    /// Its id as part of a file's name.
    pub(crate) file_name: String,
}

impl HandOut {
    /// The pieces asked for, each once, in the order they were asked for.
    ///
    /// # Errors
    /// All ids at once that are no piece of the costume, with near ones and the list of pieces.
    pub(crate) fn all(asked: &[String], costume: &Costume) -> Result<Vec<Self>, Trouble> {
        let ids: Vec<&str> = costume.pieces.iter().map(|p| p.id.as_str()).collect();
        let mut found: Vec<Self> = vec![];
        let mut unknown = vec![];
        for id in asked {
            let Some(at) = ids.iter().position(|i| i == id) else {
                unknown.push(no_piece(id, costume));
                continue;
            };
            if !found.iter().any(|one| one.id == *id) {
                found.push(Self { id: id.clone(), file_name: file_name(&ids, at) });
            }
        }
        if unknown.is_empty() {
            return Ok(found);
        }
        Err(Trouble::refused(unknown.join("\n"), format!("the pieces are {}", ids.join(", "))))
    }

    /// The recipe as a page.
    ///
    /// # Errors
    /// A piece without a bath of its own, and why.
    pub(crate) fn sheet(&self, plan: &Plan) -> Result<String, Trouble> {
        if let Some(sheet) = paper::recipe_sheet(plan, &self.id) {
            return Ok(sheet);
        }
        let none = |says: &str, hint: String| {
            let says = format!(
                "--hand-out \"{}\": {}; nothing was written",
                self.id,
                says.trim_end_matches('.')
            );
            Err(Trouble::refused(says, hint))
        };
        let Some(piece) = plan.pieces.iter().find(|p| p.id == self.id) else {
            return none("the plan has no such piece", "leave it out".to_owned());
        };
        match (piece.outcome, &piece.special.shares_with) {
            (Outcome::SharesBath, Some(other)) => none(
                &format!("it lies in the bath of \"{other}\" and has no sheet of its own"),
                format!("hand out the bath itself: --hand-out \"{other}\""),
            ),
            (Outcome::Leave, _) => none(
                "it stays as it is, so there is no recipe to hand out",
                "leave it out".to_owned(),
            ),
            _ => none(
                &format!("it has no bath yet, so there is no recipe to hand out. {}", piece.why),
                "leave it out, plan, and see what its page asks for first".to_owned(),
            ),
        }
    }
}

/// Why an id is none of a piece that is dyed.
fn no_piece(id: &str, costume: &Costume) -> String {
    if costume.fixed.iter().any(|f| f.id == id) {
        return format!(
            "--hand-out \"{id}\": it is fixed: its colour is read and it is never dyed"
        );
    }
    let far = |other: &str| strsim::levenshtein(&id.to_lowercase(), &other.to_lowercase());
    let near = costume
        .pieces
        .iter()
        .filter(|p| far(&p.id) <= 1 + id.chars().count() / 3 || p.name == id)
        .min_by_key(|p| if p.name == id { 0 } else { far(&p.id) });
    let near = near.map_or_else(String::new, |p| format!("; did you mean {}?", p.id));
    format!("--hand-out \"{id}\": no piece has that id{near}")
}

/// Letters of an id kept in a file's name.
const MOST_LETTERS: usize = 40;

/// An id as part of a file's name: letters, digits, `-` and `_` stay, every other run of characters
/// becomes one `-`, and forty of them are enough.
///
/// What was changed by that, or is the same as another's where capitals do not count (as on many disks),
/// gets `~` and the piece's place in the costume file: the name is safe everywhere and is no other piece's.
fn file_name(ids: &[&str], at: usize) -> String {
    let plain = plain(ids[at]);
    let same = |other: &&str| self::plain(other).to_lowercase() == plain.to_lowercase();
    if plain == ids[at] && ids.iter().filter(|id| same(id)).count() == 1 {
        return plain;
    }
    format!("{plain}~{}", at + 1)
}

fn plain(id: &str) -> String {
    let mut out = String::new();
    for letter in id.chars() {
        if letter.is_alphanumeric() || letter == '_' {
            out.push(letter);
        } else if letter == '-' || !out.ends_with('-') {
            out.push('-');
        }
    }
    let kept: String = out.chars().take(MOST_LETTERS).collect();
    kept
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn a_file_name_is_safe_and_no_other_pieces() {
        let long = "a".repeat(300);
        let ids = [
            "coat",
            "flame-sash",
            "a/b",
            "a-b",
            "a b",
            "../../etc/passwd",
            "Schärpe",
            "Coat",
            "",
            "con.",
            "\u{0}x",
            long.as_str(),
            "日本",
            "a~4",
            "-",
        ];
        let names: Vec<String> = (0..ids.len()).map(|at| file_name(&ids, at)).collect();
        assert_eq!(names[0], "coat~1", "a disk may take coat and Coat for one");
        assert_eq!(names[1], "flame-sash");
        assert_eq!(names[2], "a-b~3");
        assert_eq!(names[6], "Schärpe");
        let apart: BTreeSet<String> = names.iter().map(|n| n.to_lowercase()).collect();
        assert_eq!(apart.len(), ids.len(), "{names:?}");
        for name in &names {
            assert!(name.len() <= 4 * (MOST_LETTERS + 1) + 3, "{name}");
            assert!(name.chars().all(|c| c.is_alphanumeric() || "-_~".contains(c)), "{name}");
        }
    }
}
