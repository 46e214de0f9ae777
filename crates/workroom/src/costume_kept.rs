//! The states a costume file or a shelf file had, kept beside it: what a change replaced can be brought back.
//!
//! One line of JSON a state, only ever added to. Taking a change back adds a line too, and can itself be taken
//! back: nothing a maker typed is lost by undoing.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::PoisonError;

use costume::read_costume;
use lore::Lore;
use serde::{Deserialize, Serialize};

use crate::costume_edited::{CHANGING, mark_of};
use crate::disk::{Folder, broken, text, write_whole};
use crate::{Recording, Trouble};

/// Most bytes read of what is kept; a costume file of a hundred pieces changed a hundred times is smaller.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// What a state is called that no door made.
const BY_HAND: &str = "changed by hand";

/// One state.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct State {
    /// When it came about.
    at: String,
    /// What was done.
    what: String,
    /// The state it came from: its line, from 0.
    from: Option<usize>,
    /// Where a change was taken back: the line whose text this is again.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    again: Option<usize>,
    /// The whole text.
    text: String,
}

/// What is kept of one costume file.
pub(crate) struct Kept {
    path: PathBuf,
}

/// A change that can be taken back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastChange {
    /// What was done.
    pub what: String,
    /// When, in universal time.
    pub at: String,
    /// True where the file was changed elsewhere since: what is offered then is the text as this left it.
    pub by_hand: bool,
}

impl Kept {
    /// Beside this file.
    pub(crate) fn of(file: &Path) -> Self {
        let name = file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        Self { path: file.with_file_name(format!(".{name}.kept")) }
    }

    /// Keeps a change: first the state before it, where that is not the last one kept.
    pub(crate) fn keep(
        &self,
        before: &str,
        after: &str,
        what: &str,
        at: &str,
    ) -> Result<(), Trouble> {
        let mut states = self.states()?;
        let state = |what: &str, text: &str, from| State {
            at: at.to_owned(),
            what: what.to_owned(),
            from,
            again: None,
            text: text.to_owned(),
        };
        let mut new = vec![];
        if states.last().is_none_or(|last| last.text != before) {
            let from = states.len().checked_sub(1);
            let by_hand = if from.is_some() { BY_HAND } else { "as it was" };
            let one = state(by_hand, before, from);
            states.push(one.clone());
            new.push(one);
        }
        new.push(state(what, after, states.len().checked_sub(1)));
        self.add(&new)
    }

    fn states(&self) -> Result<Vec<State>, Trouble> {
        let file = match std::fs::File::open(&self.path) {
            Ok(file) => file,
            Err(e) if e.kind() == ErrorKind::NotFound => return Ok(vec![]),
            Err(e) => return Err(broken("reading", &self.path, &e)),
        };
        let mut bytes = vec![];
        file.take(MOST_BYTES)
            .read_to_end(&mut bytes)
            .map_err(|e| broken("reading", &self.path, &e))?;
        let lines = bytes.split(|b| *b == b'\n').filter(|line| !line.is_empty());
        // A line half written when the machine went down is no state; those before it stand.
        Ok(lines.map_while(|line| serde_json::from_slice(line).ok()).collect())
    }

    fn add(&self, states: &[State]) -> Result<(), Trouble> {
        let fail = |e: &std::io::Error| broken("writing", &self.path, e);
        let mut lines = String::new();
        for state in states {
            let line = serde_json::to_string(state).map_err(|e| fail(&e.into()))?;
            lines.push_str(&line);
            lines.push('\n');
        }
        let mut open = OpenOptions::new();
        let mut file = open.append(true).create(true).open(&self.path).map_err(|e| fail(&e))?;
        file.write_all(lines.as_bytes()).and_then(|()| file.sync_all()).map_err(|e| fail(&e))
    }
}

/// The line whose text is to come back when the last state is taken back.
fn back_to(states: &[State], now: &str) -> Option<(usize, usize)> {
    let last = states.len().checked_sub(1)?;
    let stands = states.get(states[last].again.unwrap_or(last))?;
    if stands.text != now {
        // Changed by hand since: taking back brings the last state kept.
        return Some((last, states[last].again.unwrap_or(last)));
    }
    Some((last, stands.from?))
}

/// What would be taken back next; nothing where nothing is kept.
///
/// # Errors
/// A disk that refuses.
pub fn last_change(file: &Path) -> Result<Option<LastChange>, Trouble> {
    let states = Kept::of(file).states()?;
    let now = text(file)?;
    let Some((last, to)) = back_to(&states, &now) else { return Ok(None) };
    let stands = &states[states[last].again.unwrap_or(last)];
    let by_hand = stands.text != now || stands.what == BY_HAND;
    let told = if by_hand { &states[to] } else { stands };
    Ok(Some(LastChange { what: told.what.clone(), at: told.at.clone(), by_hand }))
}

/// Takes the last change of a costume file back; says what was taken back. `since` is the mark of the text that it was
/// asked of: a button pressed twice, or on a page that is old, must not take back another change than it names.
///
/// # Errors
/// A text that no longer stands; nothing to take back; a text that is no costume any more; a disk that refuses.
pub fn take_back_change(
    file: &Path,
    since: Option<&str>,
    recording: &Recording,
) -> Result<String, Trouble> {
    take_back(file, since, recording, &|name, text| {
        read_costume(name, text, Lore::shipped(), &Folder::of(file))?;
        Ok(())
    })
}

/// Takes the last change of a file back, where the text before it still is what such a file must be.
pub(crate) fn take_back(
    file: &Path,
    since: Option<&str>,
    recording: &Recording,
    sound: &dyn Fn(&str, &str) -> Result<(), Trouble>,
) -> Result<String, Trouble> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let kept = Kept::of(file);
    let now = text(file)?;
    if since.is_some_and(|mark| mark != mark_of(&now)) {
        let says = "the file was changed since this page was made, or this was taken back already";
        return Err(Trouble::refused(says, "look at what can be taken back now"));
    }
    let undone = last_change(file)?;
    let mut states = kept.states()?;
    let (Some((last, to)), Some(undone)) = (back_to(&states, &now), undone) else {
        return Err(Trouble::refused(
            "there is no change to take back",
            "changes made here can be taken back, those made elsewhere cannot",
        ));
    };
    let again = states[to].text.clone();
    let name = file.display().to_string();
    sound(&name, &again)?;
    let mut new = vec![];
    let what = if undone.by_hand { BY_HAND.to_owned() } else { undone.what };
    if states[states[last].again.unwrap_or(last)].text != now {
        new.push(State {
            at: recording.at.clone(),
            what: what.clone(),
            from: Some(last),
            again: None,
            text: now,
        });
        states.extend(new.iter().cloned());
    }
    new.push(State {
        at: recording.at.clone(),
        what: format!("taken back: {what}"),
        from: Some(states.len() - 1),
        again: Some(to),
        text: again.clone(),
    });
    kept.add(&new)?;
    write_whole(&[(file, again.as_bytes())])?;
    Ok(what)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Change, PieceField, change_costume, costume_mark};

    const TEXT: &str = "[costume]\nname = \"A\"\n[[piece]]\nid = \"coat\"\ncloth = \"wool\"\nweight_g = 100\n\
                        target = { hex = \"#1f4b4f\" }\n";

    #[test]
    fn changes_are_taken_back_one_by_one_and_a_change_by_hand_is_not_lost() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("costume.toml");
        std::fs::write(&file, TEXT)?;
        let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
        let to = |hex: &str| Change::Piece {
            id: "coat".to_owned(),
            fields: vec![(PieceField::Target, hex.to_owned())],
        };
        let now = || std::fs::read_to_string(&file);
        let target = |hex: &str| TEXT.replace("#1f4b4f", hex);
        let done = |r: Result<String, Trouble>| r.unwrap_or_else(|e| panic!("{e}"));
        assert!(take_back_change(&file, None, &recording).is_err());
        done(change_costume(&file, &to("#111111"), None, &recording));
        done(change_costume(&file, &to("#222222"), None, &recording));
        let made_of = mark_of(&done(text(&file)));
        done(take_back_change(&file, Some(&made_of), &recording));
        let twice = take_back_change(&file, Some(&made_of), &recording);
        assert!(twice.is_err(), "a button pressed twice takes one change back");
        assert_eq!(now()?, target("#111111"));
        done(take_back_change(&file, None, &recording));
        assert_eq!(now()?, TEXT);
        assert!(take_back_change(&file, None, &recording).is_err(), "nothing is left to take back");
        done(change_costume(&file, &to("#333333"), None, &recording));
        std::fs::write(&file, target("#444444"))?;
        let seen = last_change(&file).unwrap_or_else(|e| panic!("{e}"));
        let seen = seen.unwrap_or_else(|| panic!("nothing is offered"));
        assert!(seen.by_hand && seen.what == "coat: target changed", "{seen:?}");
        assert_eq!(done(take_back_change(&file, None, &recording)), "changed by hand");
        assert_eq!(now()?, target("#333333"));
        let kept = std::fs::read_to_string(folder.path().join(".costume.toml.kept"))?;
        assert!(kept.contains("#444444"), "what was written by hand is kept");
        Ok(())
    }

    #[test]
    fn a_page_made_of_another_text_changes_nothing() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("costume.toml");
        std::fs::write(&file, TEXT)?;
        let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
        let mark = costume_mark(&file).unwrap_or_else(|e| panic!("{e}"));
        let name = |name: &str| Change::Head {
            name: name.to_owned(),
            note: String::new(),
            day: String::new(),
        };
        let done = change_costume(&file, &name("B\n[[piece]]"), Some(&mark), &recording);
        assert!(done.is_ok(), "{done:?}");
        let now = std::fs::read_to_string(&file)?;
        assert!(now.contains("name = \"B [[piece]]\""), "{now}");
        let stale = change_costume(&file, &name("C"), Some(&mark), &recording);
        assert!(stale.is_err_and(|e| e.to_string().contains("since this page was made")));
        assert_eq!(std::fs::read_to_string(&file)?, now);
        Ok(())
    }

    #[test]
    fn a_fault_leaves_the_file_and_what_is_kept_untouched() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("costume.toml");
        std::fs::write(&file, TEXT)?;
        let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
        let bad = Change::Text(TEXT.replace("wool", "woool"));
        assert!(matches!(change_costume(&file, &bad, None, &recording), Err(Trouble::Faults(_))));
        assert_eq!(std::fs::read_to_string(&file)?, TEXT);
        assert!(!folder.path().join(".costume.toml.kept").exists());
        Ok(())
    }
}
