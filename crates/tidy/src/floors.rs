//! The floors: the table of ARCHITECTURE.md against every manifest and every path in the sources.

use crate::Found;
use crate::files::{Text, code_lines, room_of_source, word_starts};

/// Rooms that only tests use; dev-dependencies on them are free.
pub const FOR_TESTS: [&str; 4] = ["auditor", "tidy", "dyehouse", "scenes"];

/// The virtual dyehouse and the picture renderer have a truth of their own: never these.
const OWN_TRUTH: [(&str, [&str; 3]); 2] =
    [("dyehouse", ["dyeing", "recipe", "picture"]), ("scenes", ["dyeing", "recipe", "picture"])];

/// One row of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Room {
    /// The room's name.
    pub name: String,
    /// The rooms it may use.
    pub may_use: Vec<String>,
    /// Line of the row.
    pub line: usize,
}

/// Reads the layer table: rows after the header `| room | may use | … |`, floor by floor.
#[must_use]
pub fn table(map: &str) -> Vec<Room> {
    let mut rooms = Vec::new();
    let mut inside = false;
    for (i, line) in map.lines().enumerate() {
        let cells: Vec<&str> = line.trim().trim_matches('|').split('|').map(str::trim).collect();
        if cells.first() == Some(&"room") && cells.get(1) == Some(&"may use") {
            inside = true;
        } else if inside && !line.trim_start().starts_with('|') {
            inside = false;
        } else if inside && !cells[0].starts_with("---") {
            let may = cells.get(1).copied().unwrap_or_default();
            let may_use = may
                .split(',')
                .map(|r| r.trim().trim_matches('`').to_owned())
                .filter(|r| !r.is_empty() && r != "–" && r != "-")
                .collect();
            rooms.push(Room { name: cells[0].trim_matches('`').to_owned(), may_use, line: i + 1 });
        }
    }
    rooms
}

/// Checks the table by itself: every room of the house is in it, it names no other, and a room uses
/// only rooms above it.
#[must_use]
pub fn check_table(map: &str, house: &[String]) -> Vec<Found> {
    let table = table(map);
    let file = "ARCHITECTURE.md";
    let mut found = Vec::new();
    for room in house.iter().filter(|r| table.iter().all(|row| row.name != **r)) {
        found.push(Found::at(file, 0, format!("the room `{room}` is not in the layer table")));
    }
    for (i, row) in table.iter().enumerate() {
        if !house.contains(&row.name) {
            found.push(Found::at(file, row.line, format!("there is no room `{}`", row.name)));
        }
        for used in &row.may_use {
            if !table[..i].iter().any(|above| above.name == *used) {
                let what = format!("`{}` may use `{used}`, which is not a room above it", row.name);
                found.push(Found::at(file, row.line, what));
            }
        }
    }
    found
}

/// Checks one manifest against the table.
#[must_use]
pub fn check_manifest(table: &[Room], house: &[String], path: &str, text: &str) -> Vec<Found> {
    let mut found = Vec::new();
    let Ok(manifest) = text.parse::<toml::Table>() else {
        return vec![Found::at(path, 0, "not a manifest that can be read")];
    };
    let own = manifest.get("package").and_then(|p| p.get("name")).and_then(toml::Value::as_str);
    let Some(room) = own.and_then(|name| table.iter().find(|r| r.name == name)) else {
        let name = own.unwrap_or("(no name)");
        return vec![Found::at(path, 0, format!("the room `{name}` is not in the layer table"))];
    };
    for (section, used) in dependencies(&manifest) {
        if !house.contains(&used) {
            continue;
        }
        let line =
            text.lines().position(|l| l.trim_start().starts_with(&used)).map_or(0, |i| i + 1);
        let dev = section == "dev-dependencies";
        let free = dev && FOR_TESTS.contains(&used.as_str());
        if !free && !room.may_use.contains(&used) {
            let what = format!("[{section}] `{}` may not use `{used}`", room.name);
            found.push(Found::at(path, line, what));
        }
        let truth = OWN_TRUTH.iter().find(|(name, _)| *name == room.name);
        if truth.is_some_and(|(_, never)| never.contains(&used.as_str())) {
            let what = format!("`{}` has a truth of its own: never `{used}`", room.name);
            found.push(Found::at(path, line, what));
        }
    }
    found
}

/// Every dependency of a manifest by its package name, with the section it stands in.
fn dependencies(manifest: &toml::Table) -> Vec<(&'static str, String)> {
    let mut all = Vec::new();
    let targets = manifest.get("target").and_then(toml::Value::as_table);
    let tables = targets.into_iter().flat_map(|t| t.values()).filter_map(toml::Value::as_table);
    for table in std::iter::once(manifest).chain(tables) {
        for section in ["dependencies", "build-dependencies", "dev-dependencies"] {
            let list = table.get(section).and_then(toml::Value::as_table);
            for (key, value) in list.into_iter().flatten() {
                let package = value.get("package").and_then(toml::Value::as_str);
                all.push((section, package.unwrap_or(key).to_owned()));
            }
        }
    }
    all
}

/// Checks the paths of one source file: `room::…` only for rooms that it may use. A module of its own
/// that bears a room's name is told apart by its `mod` line somewhere in the same room.
#[must_use]
pub fn check_paths(table: &[Room], files: &[Text], file: &Text) -> Vec<Found> {
    let Some(own) = room_of_source(&file.path) else { return Vec::new() };
    let Some(room) = table.iter().find(|r| r.name == own) else { return Vec::new() };
    let has_module = |name: &str| {
        files.iter().filter(|f| room_of_source(&f.path) == Some(own)).any(|f| {
            code_lines(&f.text).any(|(_, l)| {
                let l = l.trim().trim_start_matches("pub(crate) ").trim_start_matches("pub ");
                l.strip_prefix("mod ")
                    .is_some_and(|rest| rest.trim_start().trim_end_matches([';', '{', ' ']) == name)
            })
        })
    };
    let mut found = Vec::new();
    for other in table.iter().filter(|r| r.name != own && !room.may_use.contains(&r.name)) {
        let path = format!("{}::", other.name);
        for (line, code) in code_lines(&file.text) {
            let quoted = code.trim_start().starts_with('"');
            if !quoted && word_starts(code, &path).next().is_some() && !has_module(&other.name) {
                let what = format!("`{own}` may not use `{}`", other.name);
                found.push(Found::at(&file.path, line, what));
            }
        }
    }
    found
}

/// The two doors, `cli` and `web`, never import each other.
#[must_use]
pub fn check_doors(file: &Text) -> Vec<Found> {
    let Some(inside) = file.path.strip_prefix("crates/dyewright/src/") else { return Vec::new() };
    let other = if inside.starts_with("cli/") || inside == "cli.rs" {
        "web"
    } else if inside.starts_with("web/") || inside == "web.rs" {
        "cli"
    } else {
        return Vec::new();
    };
    let paths = [format!("crate::{other}"), format!("super::{other}"), format!("{other}::")];
    code_lines(&file.text)
        .filter(|(_, code)| paths.iter().any(|p| word_starts(code, p).next().is_some()))
        .map(|(line, _)| {
            Found::at(&file.path, line, format!("a door uses the other door, `{other}`"))
        })
        .collect()
}
