//! House rules on the data files: every shipped text is read, an unknown key is refused, every
//! fact names a source that is there, and no source is there for nothing.

use std::collections::BTreeSet;

use lore::{DataFault, Lore, Texts};

/// Every value of a key called `source` (or ending in `_source`) in a TOML value.
fn sources_in(value: &toml::Value, found: &mut BTreeSet<String>) {
    match value {
        toml::Value::Table(table) => {
            for (key, inner) in table {
                match inner {
                    toml::Value::String(id) if key == "source" || key.ends_with("_source") => {
                        found.insert(id.clone());
                    }
                    inner => sources_in(inner, found),
                }
            }
        }
        toml::Value::Array(items) => items.iter().for_each(|item| sources_in(item, found)),
        _ => {}
    }
}

#[test]
fn every_shipped_text_is_read() -> Result<(), DataFault> {
    let lore = Lore::try_from_texts(&Texts::shipped())?;
    assert!(lore.materials().len() >= 35, "some 35 materials, not {}", lore.materials().len());
    assert_eq!(Lore::shipped().materials().len(), lore.materials().len());
    Ok(())
}

#[test]
fn a_key_nobody_reads_is_refused() {
    // One unknown key at the top of each file of this half of the room.
    for file in ["materials", "classes", "matrix", "identify", "sources", "regain"] {
        let mut texts = Texts::shipped();
        let text = match file {
            "materials" => &mut texts.materials,
            "classes" => &mut texts.classes,
            "matrix" => &mut texts.matrix,
            "identify" => &mut texts.identify,
            "sources" => &mut texts.sources,
            _ => &mut texts.regain,
        };
        *text = format!("nobody_reads_this = 1\n{text}").into();
        let fault = Lore::try_from_texts(&texts).map(|_| ()).map_err(|e| e.to_string());
        assert!(
            fault.as_ref().is_err_and(|said| said.contains("nobody_reads_this")),
            "{file}: {fault:?}"
        );
    }
    // And one inside a row of the matrix, where rows are open to procedures only.
    let mut texts = Texts::shipped();
    texts.matrix = texts
        .matrix
        .replacen("reactive-cold = \"excellent\"", "reactive-tepid = \"good\"", 1)
        .into();
    assert!(Lore::try_from_texts(&texts).is_err(), "a column that is no procedure was taken");
}

#[test]
fn every_source_is_known_and_every_known_source_is_used() {
    let mut used = BTreeSet::new();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data");
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "toml") && !path.ends_with("sources.toml") {
            let text = std::fs::read_to_string(&path).unwrap();
            let value: toml::Value =
                toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            sources_in(&value, &mut used);
        }
    }
    let known: BTreeSet<String> =
        Lore::shipped().sources().iter().map(|source| source.id.clone()).collect();
    let unknown: Vec<_> = used.difference(&known).collect();
    let idle: Vec<_> = known.difference(&used).collect();
    assert!(unknown.is_empty(), "facts name sources that are not there: {unknown:?}");
    assert!(idle.is_empty(), "sources nobody names: {idle:?}");
}

#[test]
fn a_row_that_names_what_is_not_there_is_refused() {
    type Spoil = fn(&mut Texts);
    let cases: [(Spoil, &str); 3] = [
        (
            |t| {
                t.materials =
                    t.materials.replacen("dyes_as = \"wool\"", "dyes_as = \"wol\"", 1).into()
            },
            "wol",
        ),
        (
            |t| {
                t.regain = t.regain.replacen("material = \"silk\"", "material = \"slik\"", 1).into()
            },
            "slik",
        ),
        (
            |t| t.materials = t.materials.replacen("t_max_c = 98.0", "t_max_c = nan", 1).into(),
            "finite",
        ),
    ];
    for (spoil, word) in cases {
        let mut texts = Texts::shipped();
        spoil(&mut texts);
        let said = Lore::try_from_texts(&texts).map(|_| ()).map_err(|e| e.to_string());
        assert!(said.as_ref().is_err_and(|said| said.contains(word)), "{word}: {said:?}");
    }
}
