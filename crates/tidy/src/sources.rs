//! Sources of the trade's facts: every one that is named is known, every one that is known is named.

use std::collections::BTreeSet;

use crate::Found;
use crate::files::Text;

/// Checks the data files of one room against its `sources.toml`.
#[must_use]
pub fn check(register: &Text, data: &[&Text]) -> Vec<Found> {
    let mut found = Vec::new();
    let known = match register.text.parse::<toml::Table>() {
        Ok(table) => keys(&table),
        Err(e) => return vec![Found::at(&register.path, 0, format!("cannot be read: {e}"))],
    };
    if known.is_empty() {
        found.push(Found::at(&register.path, 0, "names no source"));
    }
    let mut used = BTreeSet::new();
    for file in data {
        match file.text.parse::<toml::Table>() {
            Ok(table) => named(&toml::Value::Table(table), &mut |source| {
                if !known.contains(source) {
                    let line = line_of(&file.text, source);
                    found.push(Found::at(&file.path, line, format!("unknown source '{source}'")));
                }
                used.insert(source.to_owned());
            }),
            Err(e) => found.push(Found::at(&file.path, 0, format!("cannot be read: {e}"))),
        }
    }
    for key in known.difference(&used) {
        let line = line_of(&register.text, key);
        found.push(Found::at(&register.path, line, format!("no fact names the source '{key}'")));
    }
    found
}

/// The keys of a register: the ids of its `[[source]]` rows.
fn keys(table: &toml::Table) -> BTreeSet<String> {
    let rows = table.get("source").and_then(toml::Value::as_array);
    rows.into_iter()
        .flatten()
        .filter_map(|row| row.get("id")?.as_str())
        .map(str::to_owned)
        .collect()
}

/// Calls `see` with every value of a key `source` (one text or a list), however deep, and of keys
/// that end in `_source`.
fn named(value: &toml::Value, see: &mut impl FnMut(&str)) {
    match value {
        toml::Value::Table(table) => {
            for (key, value) in table {
                let is_source = key == "source" || key == "sources" || key.ends_with("_source");
                match value {
                    toml::Value::String(s) if is_source => see(s),
                    toml::Value::Array(list)
                        if is_source && list.iter().all(toml::Value::is_str) =>
                    {
                        list.iter().filter_map(toml::Value::as_str).for_each(&mut *see);
                    }
                    _ => named(value, see),
                }
            }
        }
        toml::Value::Array(list) => list.iter().for_each(|v| named(v, see)),
        _ => {}
    }
}

fn line_of(text: &str, source: &str) -> usize {
    let quoted = format!("\"{source}\"");
    text.lines().position(|l| l.contains(&quoted)).map_or(0, |i| i + 1)
}
