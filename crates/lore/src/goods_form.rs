//! As what goods come (roll, cut panels, hides and feathers as they come, sewn, worn before) and what each asks of the bath.
//!
//! Rows in `forms.toml`. Left out: what the parts weigh (`bath`), how much each fibre shrinks (`material`).

use serde::Deserialize;

use crate::fault::read;
use crate::material::Group;
use crate::named::named;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

named! {
    /// As what the goods come.
    pub enum GoodsForm, "form of goods" {
        /// Cloth from the roll, not cut yet.
        Roll = "roll",
        /// Panels cut to a pattern, not sewn yet.
        CutPanels = "cut panels",
        /// Feathers, hides, fur, loose hair: neither cloth nor made up.
        AsTheyCome = "as they come",
        /// Sewn, not worn yet.
        Sewn = "sewn",
        /// Worn before.
        Worn = "worn",
    }
}

impl Default for GoodsForm {
    /// Cloth from the roll.
    fn default() -> Self {
        Self::Roll
    }
}

impl GoodsForm {
    /// Made up: it can no longer be cut to size after it has shrunk.
    #[must_use]
    pub const fn is_made_up(self) -> bool {
        matches!(self, Self::Sewn | Self::Worn)
    }

    /// Whether goods of both forms may lie in one bath for one colour: cloth with panels, sewn with sewn,
    /// worn with worn.
    #[must_use]
    pub const fn goes_with(self, other: Self) -> bool {
        matches!(
            (self, other),
            (Self::Roll | Self::CutPanels, Self::Roll | Self::CutPanels)
                | (Self::AsTheyCome, Self::AsTheyCome)
                | (Self::Sewn, Self::Sewn)
                | (Self::Worn, Self::Worn)
        )
    }
}

/// What a form asks.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FormNote {
    /// The form.
    pub form: GoodsForm,
    /// What to do or to expect.
    pub says: String,
    unless_part: Option<String>,
    #[serde(default)]
    not_in: Vec<Procedure>,
    #[serde(default)]
    not_on: Vec<String>,
    source: String,
    standing: Standing,
}

impl FormNote {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    form: Vec<FormNote>,
}

/// Reads `forms.toml`; every form has a row.
pub(crate) fn try_read(text: &str) -> Result<Vec<FormNote>, DataFault> {
    const FILE: &str = "forms.toml";
    let rows = read::<File>(FILE, text)?.form;
    match GoodsForm::ALL.iter().find(|form| rows.iter().all(|row| row.form != **form)) {
        Some(form) => Err(DataFault { file: FILE, what: format!("nothing about '{form}'") }),
        None => Ok(rows),
    }
}

impl Lore {
    /// As what goods come when nobody says: made up where a lining or parts are in them, feathers, hides and hair as
    /// they come, everything else from the roll.
    #[must_use]
    pub fn usual_form(&self, goods: &[&str], with_parts: bool) -> GoodsForm {
        let whole = |id: &&str| {
            self.material(id).is_ok_and(|m| {
                m.group == Group::Skin || ["feathers", "hair"].contains(&m.dyes_as.as_str())
            })
        };
        match (with_parts, goods.iter().any(whole)) {
            (true, _) => GoodsForm::Sewn,
            (false, true) => GoodsForm::AsTheyCome,
            (false, false) => GoodsForm::Roll,
        }
    }

    /// What goods of this form and of these materials (ids) ask of a bath, with these parts (ids) sewn on.
    #[must_use]
    pub fn form_notes(
        &self,
        form: GoodsForm,
        procedure: Procedure,
        goods: &[&str],
        parts: &[&str],
    ) -> Vec<&FormNote> {
        let listed = |part: &String| parts.contains(&part.as_str());
        self.pot
            .forms
            .iter()
            .filter(|row| row.form == form && !row.not_in.contains(&procedure))
            .filter(|row| !goods.iter().any(|id| self.dyes_like(&row.not_on, id)))
            .filter(|row| !row.unless_part.as_ref().is_some_and(listed))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(form: GoodsForm, procedure: Procedure, parts: &[&str]) -> String {
        let notes = Lore::shipped().form_notes(form, procedure, &["cotton"], parts);
        notes.iter().map(|note| note.says.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn every_form_says_its_own() {
        for (form, word) in [
            (GoodsForm::Roll, "cut after"),
            (GoodsForm::CutPanels, "all panels of one garment go into one bath"),
            (GoodsForm::Sewn, "unpicked"),
            (GoodsForm::Worn, "scour first"),
            (GoodsForm::Worn, "deodorant"),
        ] {
            assert!(said(form, Procedure::Direct, &[]).contains(word), "{form}: {word}");
        }
    }

    #[test]
    fn what_is_no_cloth_comes_as_it_comes_and_does_not_fray() {
        let lore = Lore::shipped();
        for (goods, parts, want) in [
            ("cotton", false, GoodsForm::Roll),
            ("cotton", true, GoodsForm::Sewn),
            ("feathers", false, GoodsForm::AsTheyCome),
            ("leather-veg-tan", false, GoodsForm::AsTheyCome),
            ("fur", false, GoodsForm::AsTheyCome),
        ] {
            assert_eq!(lore.usual_form(&[goods], parts), want, "{goods}");
        }
        let of = |goods: &str| {
            let notes =
                lore.form_notes(GoodsForm::CutPanels, Procedure::AcidMilling, &[goods], &[]);
            notes.iter().map(|note| note.says.clone()).collect::<String>()
        };
        assert!(of("wool").contains("fray") && !of("leather-veg-tan").contains("fray"));
        assert!(!said(GoodsForm::AsTheyCome, Procedure::AcidMilling, &[]).contains("roll"));
    }

    #[test]
    fn thread_is_told_once_and_not_where_it_dyes() {
        assert!(said(GoodsForm::Sewn, Procedure::ReactiveCold, &[]).contains("thread"));
        let listed = said(GoodsForm::Sewn, Procedure::ReactiveCold, &["polyester-thread"]);
        assert!(!listed.contains("thread"), "{listed}");
        assert!(!said(GoodsForm::Worn, Procedure::Disperse, &[]).contains("thread"));
    }

    #[test]
    fn a_form_nobody_wrote_about_is_a_fault() {
        let text = include_str!("../data/forms.toml").replace("form = \"worn\"", "form = \"sewn\"");
        assert!(try_read(&text).is_err_and(|fault| fault.what.contains("worn")));
    }

    #[test]
    fn forms_go_with_their_like() {
        for a in GoodsForm::ALL {
            for b in GoodsForm::ALL {
                assert_eq!(a.goes_with(*b), b.goes_with(*a), "{a} and {b}");
                assert!(!(a.goes_with(*b) && a.is_made_up() != b.is_made_up()), "{a} and {b}");
            }
            assert!(a.goes_with(*a));
        }
    }
}
