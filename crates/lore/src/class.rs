//! Dye classes: what a dye *is*. How it is put on cloth is a [`crate::Procedure`].

use crate::named::named;

named! {
    /// What a dye is, by how it holds to the fibre.
    pub enum DyeClass, "dye class" {
        /// Reactive, dichlorotriazine: the cold-bucket type.
        ReactiveDct = "reactive-dct",
        /// Reactive, monochlorotriazine (and bis-): the 80 °C type.
        ReactiveMct = "reactive-mct",
        /// Reactive, vinyl sulfone: the 40–60 °C type.
        ReactiveVs = "reactive-vs",
        /// Acid, levelling: strong acid, boils level, modest wash fastness.
        AcidLevelling = "acid-levelling",
        /// Acid, milling and super-milling: weak acid, goes on level or not at all.
        AcidMilling = "acid-milling",
        /// Acid, premetallised 1:2: near neutral, fast and a little dull.
        Premetallised = "premetallised",
        /// Direct: cellulose with salt, no bond.
        Direct = "direct",
        /// Union: direct and levelling acid dyes mixed with salt, sold for all goods.
        Union = "union",
        /// Disperse: for polyester, acetate, nylon and other hydrophobic fibres.
        Disperse = "disperse",
        /// Basic (cationic): for acrylic.
        Basic = "basic",
        /// Vat, other than indigo.
        Vat = "vat",
        /// Indigo.
        Indigo = "indigo",
        /// Sulfur.
        Sulfur = "sulfur",
        /// Mordant and natural dyes.
        Mordant = "mordant",
    }
}

impl DyeClass {
    /// True for the three reactive types, whose powder is a respiratory sensitiser.
    #[must_use]
    pub const fn is_reactive(self) -> bool {
        matches!(self, Self::ReactiveDct | Self::ReactiveMct | Self::ReactiveVs)
    }
}
