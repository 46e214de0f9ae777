//! The whole body of trade knowledge as one value: shipped, or read from changed texts.
//!
//! Every look-up of the room is a method on [`Lore`]; the methods stand beside what they look up.

use std::sync::OnceLock;

use crate::blend_way::{self, Ways};
use crate::class_facts::Classes;
use crate::hard_colour::{self, HardAdvice};
use crate::identify_file::Key;
use crate::material_file::Fibres;
use crate::material_numbers::{Regain, try_read_regain};
use crate::matrix_file::Matrix;
use crate::pot::Pot;
use crate::sources::{self, Source};
use crate::{DataFault, Texts};

/// What the trade knows. All look-ups are methods on it.
#[derive(Debug, Clone, Default)]
pub struct Lore {
    // Each part is read by the file that owns it, as `part: Part::try_read(texts)?` in
    // `try_from_texts`. Bath programmes and the rest of the pot room's parts join here as well.
    pub(crate) sources: Vec<Source>,
    pub(crate) fibres: Fibres,
    pub(crate) regain: Vec<Regain>,
    pub(crate) classes: Classes,
    pub(crate) matrix: Matrix,
    pub(crate) key: Key,
    pub(crate) pot: Pot,
    pub(crate) ways: Ways,
    pub(crate) hard_colours: Vec<HardAdvice>,
}

impl Lore {
    /// The knowledge the house ships, read once.
    ///
    /// The shipped texts are read by a test of this room, so the empty fallback is never met; it
    /// answers every look-up with a refusal, which is the safe side.
    #[must_use]
    pub fn shipped() -> &'static Self {
        static SHIPPED: OnceLock<Lore> = OnceLock::new();
        SHIPPED.get_or_init(|| Self::try_from_texts(&Texts::shipped()).unwrap_or_default())
    }

    /// The knowledge in these texts; refuses the first text that cannot be read or that names a
    /// fibre or row that is not there.
    pub fn try_from_texts(texts: &Texts) -> Result<Self, DataFault> {
        let lore = Self {
            sources: sources::try_read(&texts.sources)?,
            fibres: Fibres::try_read(&texts.materials)?,
            regain: try_read_regain(&texts.regain)?,
            classes: Classes::try_read(&texts.classes)?,
            matrix: Matrix::try_read(&texts.matrix)?,
            key: Key::try_read(&texts.identify)?,
            pot: Pot::try_read(texts)?,
            ways: blend_way::try_read(&texts.blend_ways)?,
            hard_colours: hard_colour::try_read(&texts.hard_colours)?,
        };
        lore.check_names()?;
        Ok(lore)
    }

    /// Names that cross from one file to another must be there.
    fn check_names(&self) -> Result<(), DataFault> {
        for material in &self.fibres.materials {
            if !self.matrix.rows.iter().any(|row| row.id == material.dyes_as) {
                let what = format!("'{}' dyes as '{}', no row", material.id, material.dyes_as);
                return Err(DataFault { file: "materials.toml", what });
            }
        }
        let missing = |id: &str| !self.fibres.materials.iter().any(|m| m.id == id);
        let regain = self.regain.iter().map(|row| ("regain.toml", row.material.as_str()));
        let key = self
            .key
            .fibres
            .iter()
            .flat_map(|row| row.materials.iter().map(|id| ("identify.toml", id.as_str())));
        for (file, id) in regain.chain(key) {
            if missing(id) {
                return Err(DataFault { file, what: format!("no material '{id}'") });
            }
        }
        Ok(())
    }
}
