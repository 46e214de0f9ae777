//! Procedures: ways of dyeing, each one column of the fibre matrix.

use crate::DyeClass;
use crate::named::named;

named! {
    /// A way of dyeing: which bath, how hot, with what acid or alkali.
    pub enum Procedure, "procedure" {
        /// Reactive (dichlorotriazine) with salt and soda ash at up to 40 °C.
        ReactiveCold = "reactive-cold",
        /// Reactive (vinyl sulfone) with salt and soda ash at 40–60 °C.
        ReactiveWarm = "reactive-warm",
        /// Reactive (monochlorotriazine) with salt and soda ash at 80 °C.
        ReactiveHot = "reactive-hot",
        /// Reactive dyes of any type on wool and silk from weak acid, pH 4.5–5.5, without alkali.
        ReactiveAcidRoute = "reactive-acid-route",
        /// Direct, with salt, 60–95 °C.
        Direct = "direct",
        /// Union, with salt or a little acid, 60–95 °C.
        Union = "union",
        /// Acid levelling, pH 2.5–3.5.
        AcidLevelling = "acid-levelling",
        /// Acid milling, super-milling and premetallised, pH 4.5–7.
        AcidMilling = "acid-milling",
        /// Disperse from an open pot.
        Disperse = "disperse",
        /// Basic on acrylic, slow heating.
        Basic = "basic",
        /// Vat with caustic and reducer.
        Vat = "vat",
        /// Indigo vat, in dips.
        Indigo = "indigo",
        /// Sulfur with sulfide.
        Sulfur = "sulfur",
        /// Alum mordant and natural dye.
        AlumNatural = "alum-natural",
    }
}

impl Procedure {
    /// The dye classes that go into this bath, the usual one first.
    #[must_use]
    pub const fn classes(self) -> &'static [DyeClass] {
        match self {
            Self::ReactiveCold => &[DyeClass::ReactiveDct],
            Self::ReactiveWarm => &[DyeClass::ReactiveVs],
            Self::ReactiveHot => &[DyeClass::ReactiveMct],
            Self::ReactiveAcidRoute => {
                &[DyeClass::ReactiveVs, DyeClass::ReactiveDct, DyeClass::ReactiveMct]
            }
            Self::Direct => &[DyeClass::Direct],
            Self::Union => &[DyeClass::Union],
            Self::AcidLevelling => &[DyeClass::AcidLevelling],
            Self::AcidMilling => &[DyeClass::AcidMilling, DyeClass::Premetallised],
            Self::Disperse => &[DyeClass::Disperse],
            Self::Basic => &[DyeClass::Basic],
            Self::Vat => &[DyeClass::Vat],
            Self::Indigo => &[DyeClass::Indigo],
            Self::Sulfur => &[DyeClass::Sulfur],
            Self::AlumNatural => &[DyeClass::Mordant],
        }
    }

    /// Whether a dye of this class goes into this bath.
    #[must_use]
    pub fn takes(self, class: DyeClass) -> bool {
        self.classes().contains(&class)
    }

    /// True when carbonate or hydroxide is added or the bath stands above pH 9 (the gentle indigo
    /// vat of wool and silk, at most pH 9.5 and 50 °C, is excepted by the matrix itself).
    #[must_use]
    pub const fn is_alkaline(self) -> bool {
        matches!(
            self,
            Self::ReactiveCold
                | Self::ReactiveWarm
                | Self::ReactiveHot
                | Self::Vat
                | Self::Indigo
                | Self::Sulfur
        )
    }
}
