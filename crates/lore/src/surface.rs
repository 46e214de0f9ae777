//! Surfaces that have no one colour: pile, shine, and cloth one sees through; told by the maker's words and the material.
//!
//! Rows in `surfaces.toml`. Left out: what colour a sheer shows over its backing (`dyeing`).

use serde::Deserialize;

use crate::fault::read;
use crate::named::named;
use crate::{DataFault, Lore, Provenance, Standing};

named! {
    /// A surface that no flat chip can show.
    pub enum Surface, "surface" {
        /// Velvet, plush, fur: hair that stands.
        Pile = "pile",
        /// Cloth that shines one way.
        Satin = "satin",
        /// Cloth one sees through.
        Sheer = "sheer",
    }
}

/// What is to be known of a surface.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurfaceNote {
    /// The surface.
    pub surface: Surface,
    /// How it looks, and how to judge it.
    pub says: String,
    words: Vec<String>,
    materials: Vec<String>,
    source: String,
    standing: Standing,
}

impl SurfaceNote {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    surface: Vec<SurfaceNote>,
}

/// Reads `surfaces.toml`; every surface has a row.
pub(crate) fn try_read(text: &str) -> Result<Vec<SurfaceNote>, DataFault> {
    const FILE: &str = "surfaces.toml";
    let rows = read::<File>(FILE, text)?.surface;
    match Surface::ALL.iter().find(|one| rows.iter().all(|row| row.surface != **one)) {
        Some(one) => Err(DataFault { file: FILE, what: format!("nothing about '{one}'") }),
        None => Ok(rows),
    }
}

impl Lore {
    /// The surface of a cloth by the maker's words for it and its materials (ids); none for plain cloth, or where nobody
    /// says. `over` is true of a cloth that is known to be a sheer.
    #[must_use]
    pub fn surface_of(&self, cloth: &str, materials: &[&str], over: bool) -> Option<&SurfaceNote> {
        let letters: String =
            cloth.to_lowercase().chars().map(|c| if c.is_alphabetic() { c } else { ' ' }).collect();
        let said = format!(" {} ", letters.split_whitespace().collect::<Vec<_>>().join(" "));
        let told = |row: &&SurfaceNote| {
            (over && row.surface == Surface::Sheer)
                || row.words.iter().any(|word| said.contains(&format!(" {word} ")))
                || row.materials.iter().any(|id| materials.contains(&id.as_str()))
        };
        self.pot.surfaces.iter().find(told)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_surface_is_told_by_words_and_material() {
        let lore = Lore::shipped();
        let of = |cloth: &str, material: &str, over: bool| {
            lore.surface_of(cloth, &[material], over).map(|row| row.surface)
        };
        assert_eq!(of("cotton velvet", "cotton", false), Some(Surface::Pile));
        assert_eq!(of("faux fur", "faux-fur", false), Some(Surface::Pile));
        assert_eq!(of("charmeuse", "silk-satin", false), Some(Surface::Satin));
        assert_eq!(of("polyester-satin", "polyester", false), Some(Surface::Satin));
        assert_eq!(of("silk", "silk", true), Some(Surface::Sheer));
        assert_eq!(of("cotton", "cotton", false), None);
        assert_eq!(of("bayonet cloth", "cotton", false), None, "a word in another is none");
    }

    #[test]
    fn every_material_named_is_known_and_a_surface_nobody_wrote_about_is_a_fault() {
        for id in Lore::shipped().pot.surfaces.iter().flat_map(|row| &row.materials) {
            assert!(Lore::shipped().material(id).is_ok(), "{id}");
        }
        let text = include_str!("../data/surfaces.toml");
        let less = text.replace("surface = \"satin\"", "surface = \"pile\"");
        assert!(try_read(&less).is_err_and(|fault| fault.what.contains("satin")));
    }
}
