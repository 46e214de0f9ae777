//! The data files as text: what the house ships, and the same with one text changed, so that a
//! test may loosen one rule and see that somebody notices.

use std::borrow::Cow;

macro_rules! texts {
    ($($(#[$doc:meta])* $field:ident = $file:literal),+ $(,)?) => {
        /// The text of every data file of this room.
        #[derive(Debug, Clone)]
        pub struct Texts {
            $($(#[$doc])* pub $field: Cow<'static, str>),+
        }

        impl Texts {
            /// The texts the house ships.
            #[must_use]
            pub const fn shipped() -> Self {
                Self { $($field: Cow::Borrowed(include_str!(concat!("../data/", $file)))),+ }
            }

            /// Every text with the name of its file.
            pub fn each(&self) -> impl Iterator<Item = (&'static str, &str)> {
                [$(($file, self.$field.as_ref())),+].into_iter()
            }
        }
    };
}

texts! {
    /// Fibres, made-up materials, trims, and the hard numbers behind their limits.
    materials = "materials.toml",
    /// Dye classes and procedures.
    classes = "classes.toml",
    /// Fibre × procedure verdicts, and blends.
    matrix = "matrix.toml",
    /// Likelihoods and tests for unknown fibres.
    identify = "identify.toml",
    /// Full citations.
    sources = "sources.toml",
    /// Moisture regain and commercial allowances.
    regain = "regain.toml",
    /// Bath programmes.
    programmes = "programmes.toml",
    /// Depth bands and fixation.
    depths = "depths.toml",
    /// Auxiliaries by depth.
    auxiliaries = "auxiliaries.toml",
    /// Household measures.
    measures = "measures.toml",
    /// Hazards and protective gear.
    hazards = "hazards.toml",
    /// What must never meet.
    never_together = "never_together.toml",
    /// Care wording.
    care = "care.toml",
    /// Fastness to expect.
    fastness = "fastness.toml",
    /// Preparation, stripping and correction.
    prepare = "prepare.toml",
    /// What goes wrong, and what then.
    failures = "failures.toml",
    /// What to do at once when it went wrong.
    mishaps = "mishaps.toml",
    /// What may wait, and what must not.
    waiting = "waiting.toml",
    /// As what goods come.
    forms = "forms.toml",
    /// Baths that are left over.
    leftover = "leftover.toml",
    /// Steamer, cold wrap, microwave, washing machine.
    methods = "methods.toml",
    /// Ways with a blend: which bath comes first.
    blend_ways = "blend_ways.toml",
    /// Black, ivory, brightened cloth, skin, sheers.
    hard_colours = "hard_colours.toml",
    /// Pile, shine, sheers.
    surfaces = "surfaces.toml",
}
