//! What must match: pieces, and fixed things, that are judged against each other.

use std::ops::Range;

use colour::{Place, Viewing};

use crate::piece::{places, viewing};
use crate::reader::{Any, At, Table, nearest};

/// A set whose members must match each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// What the maker calls it.
    pub name: String,
    /// Ids of pieces and fixed things, in the order of the file.
    pub members: Vec<String>,
    /// Where they must match; none: wherever any of its pieces is seen.
    pub places: Option<Vec<Place>>,
    /// From how near they are compared; none: as each of its pieces is judged.
    pub viewing: Option<Viewing>,
}

/// A `[[match]]` as read, with the places of what it names.
pub(crate) struct Named {
    set: Match,
    name: Range<usize>,
    members: Vec<At<String>>,
}

/// Reads one `[[match]]`; what it names is looked up by [`known`].
pub(crate) fn matched(table: &Table) -> Option<Named> {
    let name = table.need_text("name", "what you call the set, such as \"the reds\"");
    let listed = table.any("pieces");
    let members = table.texts("pieces");
    let hint = "name two or more by id, as in pieces = [\"coat\", \"wig\"]";
    match &listed {
        None => table.fault(table.span.clone(), "`pieces` is missing", hint),
        Some(At { it: Any::List(list), span }) if list.len() < 2 => {
            let says = format!("a match of {}", if list.is_empty() { "nothing" } else { "one" });
            table.fault(span.clone(), says, hint);
        }
        Some(_) => {}
    }
    let places = Some(places(table)).filter(|p| !p.is_empty());
    let viewing = viewing(table);
    table.finish();
    let name = name?;
    let ids = members.iter().map(|m| m.it.clone()).collect();
    let set = Match { name: name.it, members: ids, places, viewing };
    Some(Named { set, name: name.span, members })
}

/// The matches whose members are known; notes those that are not, and what cannot be matched.
pub(crate) fn known(root: &Table, sets: Vec<Named>, pieces: &[&str], fixed: &[&str]) -> Vec<Match> {
    let all: Vec<&str> = pieces.iter().chain(fixed).copied().collect();
    let mut names: Vec<String> = vec![];
    let mut taken: Vec<(String, String)> = vec![];
    for one in &sets {
        let set = one.set.name.as_str();
        if names.iter().any(|n| n == set) {
            let says = format!("two matches are called \"{set}\"");
            root.fault(one.name.clone(), says, "give each match its own name");
        }
        names.push(set.to_owned());
        for (i, At { it: id, span }) in one.members.iter().enumerate() {
            let wrong = |says: String, hint: String| root.fault(span.clone(), says, hint);
            let earlier = taken.iter().find(|(piece, _)| piece == id);
            if one.members[..i].iter().any(|m| m.it == *id) {
                wrong(format!("\"{id}\" stands twice in one match"), "name each once".to_owned());
            } else if !all.contains(&id.as_str()) {
                let hint = match nearest(id, &all) {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => "a match names pieces and fixed things by id".to_owned(),
                };
                wrong(format!("there is no piece or fixed thing \"{id}\""), hint);
            } else if let Some((_, other)) = earlier {
                let says = format!("\"{id}\" is in the match \"{other}\" already");
                wrong(says, "a piece has one colour: put all that match it into one".to_owned());
            } else if pieces.contains(&id.as_str()) {
                taken.push((id.clone(), set.to_owned()));
            }
        }
        let still = |m: &At<String>| fixed.contains(&m.it.as_str());
        if one.members.len() > 1 && one.members.iter().all(still) {
            let says = format!("nothing in the match \"{set}\" is dyed");
            root.fault(one.name.clone(), says, "a match needs at least one piece");
        }
    }
    sets.into_iter().map(|one| one.set).collect()
}
