//! The cases: which rule, what is loosened in which text, and the bath that shows it.

use lore::{Kind as Seen, Procedure};

/// A change in one text: which file, what stands there, what stands there instead.
pub(crate) type Edit = (&'static str, &'static str, &'static str);

pub(crate) struct Case {
    pub(crate) rule: u8,
    pub(crate) says: &'static str,
    pub(crate) edits: &'static [Edit],
    pub(crate) bath: Bath,
}

/// The bath that shows it.
#[derive(Clone, Copy)]
pub(crate) enum Bath {
    Of(&'static [(&'static str, f64)], Procedure, f64),
    With(&'static str, Procedure, &'static str),
    Unknown(&'static [(Seen, &'static str)], Procedure),
    Asthma(Procedure),
    Child(Procedure),
    Dye(Procedure, &'static str),
    Tub(Procedure),
}

use self::Bath::{Asthma, Child, Dye, Of, Tub, Unknown, With};
use lore::Procedure as P;

const COTTON: &[(&str, f64)] = &[("cotton", 1.0)];
const WOOL: &[(&str, f64)] = &[("wool", 1.0)];
const SILK: &[(&str, f64)] = &[("silk", 1.0)];
const ACRYLIC: &[(&str, f64)] = &[("acrylic", 1.0)];
const COTTON_WOOL: &[(&str, f64)] = &[("cotton", 0.6), ("wool", 0.4)];
const COTTON_POLYESTER: &[(&str, f64)] = &[("cotton", 0.65), ("polyester", 0.35)];

pub(crate) const CASES: &[Case] = &[
    Case {
        rule: 1,
        says: "the soap is a chlorine bleach",
        edits: &[(
            "auxiliaries.toml",
            "no brightener, no bleach)\"\ngroup = \"detergent\"",
            "with bleach)\"\ngroup = \"hypochlorite\"",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 2,
        says: "the mask is not asked for",
        edits: &[(
            "hazards.toml",
            "classes = [\"reactive-dct\", \"reactive-mct\", \"reactive-vs\"]",
            "classes = []",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 2,
        says: "the powder is not pasted wet",
        edits: &[(
            "hazards.toml",
            "Wear a fitted P100 or FFP3 mask and gloves, paste the powder wet, no fan, wipe up with a damp cloth. Asthmatics",
            "Wear a fitted P100 or FFP3 mask and gloves. Asthmatics",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 2,
        says: "asthma and reactive powder",
        edits: &[(
            "hazards.toml",
            "forbids = [\"reactive-powder\", \"powder\", \"reducer\"]\ntext = \"Asthma",
            "forbids = []\ntext = \"Asthma",
        )],
        bath: Asthma(P::ReactiveCold),
    },
    Case {
        rule: 2,
        says: "children and reactive powder",
        edits: &[(
            "hazards.toml",
            "forbids = [\"reactive-powder\", \"powder\", \"reducer\", \"bleach\", \"hot-bath\"]",
            "forbids = []",
        )],
        bath: Child(P::ReactiveCold),
    },
    Case {
        rule: 3,
        says: "dye pots may go back to the kitchen",
        edits: &[(
            "hazards.toml",
            "id = \"dye-only-vessels\"\nname = \"Vessels for dye only\"\nkind = \"harm\"\nalways = true",
            "id = \"dye-only-vessels\"\nname = \"Vessels for dye only\"\nkind = \"harm\"",
        )],
        bath: Of(WOOL, P::AcidMilling, 1.0),
    },
    Case {
        rule: 3,
        says: "the caution no longer says never",
        edits: &[(
            "hazards.toml",
            "once used for dye, never again for food. Mark them DYE ONLY. No food in the room.",
            "mark those used for dye.",
        )],
        bath: Of(WOOL, P::AcidMilling, 1.0),
    },
    Case {
        rule: 4,
        says: "a benzidine dye is let through",
        edits: &[("hazards.toml", "\"Direct Black 38\", ", "")],
        bath: Dye(P::Direct, "C.I. Direct Black 38"),
    },
    Case {
        rule: 4,
        says: "a sensitising disperse dye is let through",
        edits: &[("hazards.toml", "\"Disperse Blue 106\", ", "")],
        bath: Dye(P::Disperse, "C.I. Disperse Blue 106"),
    },
    Case {
        rule: 5,
        says: "dithionite without its caution",
        edits: &[
            ("hazards.toml", "agents = [\"sodium-dithionite\"]", "agents = []"),
            ("auxiliaries.toml", "cautions = [\"reducer-dithionite\"]", "cautions = []"),
        ],
        bath: Of(WOOL, P::Indigo, 1.0),
    },
    Case {
        rule: 5,
        says: "the dithionite vat may be capped",
        edits: &[(
            "hazards.toml",
            "Window open. Never cap or seal the vat. Never with acid, bleach, peroxide",
            "Window open. Never with acid, bleach, peroxide",
        )],
        bath: Of(WOOL, P::Indigo, 1.0),
    },
    Case {
        rule: 5,
        says: "children and a dithionite vat",
        edits: &[(
            "hazards.toml",
            "forbids = [\"reactive-powder\", \"powder\", \"reducer\", \"bleach\", \"hot-bath\"]",
            "forbids = []",
        )],
        bath: Child(P::Indigo),
    },
    Case {
        rule: 6,
        says: "a possible viscose is never cupro",
        edits: &[(
            "materials.toml",
            "t_max_c = 90.0\nt_max_why = \"very weak when wet\"",
            "t_max_c = 98.0\nt_max_why = \"very weak when wet\"",
        )],
        bath: Unknown(&[(Seen::Smell, "paper"), (Seen::Residue, "ash")], P::Direct),
    },
    Case {
        rule: 6,
        says: "less than nine tenths of the odds will do",
        edits: &[("identify.toml", "offer_from = 0.90", "offer_from = 0.05")],
        bath: Unknown(&[(Seen::Bleach, "stays"), (Seen::Smell, "hair")], P::Direct),
    },
    Case {
        rule: 7,
        says: "strong alkali on silk: dose and limit",
        edits: &[
            ("materials.toml", "max_g_per_l = 4.0", "max_g_per_l = 12.0"),
            (
                "auxiliaries.toml",
                "medium_g_per_litre = [3.0, 4.0]",
                "medium_g_per_litre = [12.0, 12.0]",
            ),
        ],
        bath: Of(SILK, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 7,
        says: "long alkali on silk",
        edits: &[
            (
                "programmes.toml",
                "alkali_minutes_most = 45\nph_from = 10\nph_to = 11.2\nthen = [\"acid-rinse-silk\", \"soap-off-silk\"]\nno_top_up_after = \"alkali\"\ndepth_most = \"deep\"",
                "ph_from = 10\nph_to = 11.2\nthen = [\"acid-rinse-silk\", \"soap-off-silk\"]\nno_top_up_after = \"alkali\"\ndepth_most = \"deep\"",
            ),
            ("programmes.toml", "alkali_minutes_most = 45", "alkali_minutes_most = 450"),
            (
                "programmes.toml",
                "minutes = 35, agitation = \"gentle\", may_stretch_min = 0, say = \"Hold cool",
                "minutes = 75, agitation = \"gentle\", may_stretch_min = 0, say = \"Hold cool",
            ),
        ],
        bath: Of(SILK, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 6,
        says: "a possible wool or silk is never hair nor satin",
        edits: &[
            (
                "materials.toml",
                "t_max_c = 85.0\nt_max_why = \"mats and dulls\"",
                "t_max_c = 98.0\nt_max_why = \"mats and dulls\"",
            ),
            (
                "materials.toml",
                "t_max_c = 85.0\nt_max_why = \"satin",
                "t_max_c = 98.0\nt_max_why = \"satin",
            ),
        ],
        bath: Unknown(&[(Seen::Smell, "hair"), (Seen::Bleach, "dissolves")], P::AcidMilling),
    },
    Case {
        rule: 7,
        says: "reactive by the acid route near neutral: row and steps",
        edits: &[
            (
                "programmes.toml",
                "ph_from = 4.5, ph_to = 5.5, agitation = \"gentle\"",
                "ph_from = 6.5, ph_to = 7, agitation = \"gentle\"",
            ),
            (
                "programmes.toml",
                "ph_from = 4.5\nph_to = 5.5\nthen = [\"soap-silk-mild\"]",
                "ph_from = 6.5\nph_to = 7\nthen = [\"soap-silk-mild\"]",
            ),
        ],
        bath: Of(SILK, P::ReactiveAcidRoute, 1.5),
    },
    Case {
        rule: 7,
        says: "alkali on wool: matrix, limit and programme",
        edits: &[
            (
                "matrix.toml",
                "reactive-cold = { verdict = \"ruins\", reason = \"R4\"",
                "reactive-cold = { verdict = \"good\", reason = \"R4\"",
            ),
            (
                "materials.toml",
                "cool_to_c = 50.0\nalkali = \"never\"",
                "cool_to_c = 50.0\nalkali = \"yes\"",
            ),
            (
                "programmes.toml",
                "goods = [\"cotton\", \"linen\", \"viscose\", \"lyocell\"]\ntitle = \"Cold reactive on cellulose, in the tub\"",
                "goods = [\"wool\"]\ntitle = \"Cold reactive on cellulose, in the tub\"",
            ),
        ],
        bath: Of(WOOL, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 8,
        says: "glue bears the boil",
        edits: &[(
            "materials.toml",
            "aliases = [\"glued\", \"hot-glue\"]\nt_max_c = 60.0",
            "aliases = [\"glued\", \"hot-glue\"]\nt_max_c = 100.0",
        )],
        bath: With("cotton", P::Direct, "glue"),
    },
    Case {
        rule: 8,
        says: "feathers bear 98 °C",
        edits: &[(
            "materials.toml",
            "t_max_c = 80.0\nt_max_why = \"start at 60 °C; the shaft and glue suffer above\"",
            "t_max_c = 98.0\nt_max_why = \"start at 60 °C; the shaft and glue suffer above\"",
        )],
        bath: Of(&[("feathers", 1.0)], P::Union, 3.0),
    },
    Case {
        rule: 8,
        says: "a plastic tub for a hot bath",
        edits: &[("hazards.toml", "max_c = 60.0\nbears", "max_c = 100.0\nbears")],
        bath: Tub(P::Direct),
    },
    Case {
        rule: 9,
        says: "wool heated as fast as cotton",
        edits: &[(
            "materials.toml",
            "heat_c_per_min = 1.0\ncool_c_per_min = 1.0\ncool_to_c = 50.0\nalkali = \"never\"\nhypochlorite = { verdict = \"never\", how = \"dissolves it\" }",
            "heat_c_per_min = 5.0\ncool_c_per_min = 1.0\ncool_to_c = 50.0\nalkali = \"never\"\nhypochlorite = { verdict = \"never\", how = \"dissolves it\" }",
        )],
        bath: Of(COTTON_WOOL, P::AlumNatural, 1.5),
    },
    Case {
        rule: 9,
        says: "wool longer at the top: limit and programme",
        edits: &[
            ("materials.toml", "max_at_top_min = 60.0", "max_at_top_min = 200.0"),
            ("programmes.toml", "top_minutes_most = 60", "top_minutes_most = 200"),
            ("programmes.toml", "minutes = 45, by_depth = true", "minutes = 90, by_depth = true"),
        ],
        bath: Of(WOOL, P::AcidLevelling, 2.5),
    },
    Case {
        rule: 9,
        says: "wool may be stirred: limit and programme",
        edits: &[
            (
                "materials.toml",
                "agitation = \"none\"\nhandling = \"felts by wet",
                "agitation = \"stir\"\nhandling = \"felts by wet",
            ),
            ("programmes.toml", "agitation = \"none\"", "agitation = \"stir\""),
        ],
        bath: Of(WOOL, P::AcidMilling, 1.5),
    },
    Case {
        rule: 9,
        says: "wool lifted out hot: limit and programme",
        edits: &[
            ("materials.toml", "cool_to_c = 50.0", "cool_to_c = 90.0"),
            ("programmes.toml", "{ do = \"cool\", to_c = 50,", "{ do = \"cool\", to_c = 75,"),
        ],
        bath: Of(WOOL, P::AcidMilling, 1.5),
    },
    Case {
        rule: 9,
        says: "wool rinsed cold at once: limit and programme",
        edits: &[
            (
                "materials.toml",
                "agitation = \"none\"\nhandling = \"felts by wet",
                "agitation = \"gentle\"\nhandling = \"felts by wet",
            ),
            ("programmes.toml", "{ do = \"rinse\", to_c = 40,", "{ do = \"rinse\", to_c = 15,"),
        ],
        bath: Of(WOOL, P::AcidMilling, 1.5),
    },
    Case {
        rule: 10,
        says: "acrylic heated fast above 75 °C",
        edits: &[("materials.toml", "slow_c_per_min = 0.3", "slow_c_per_min = 3.0")],
        bath: Of(ACRYLIC, P::Disperse, 0.3),
    },
    Case {
        rule: 10,
        says: "nobody says that acrylic cannot be levelled",
        edits: &[(
            "hazards.toml",
            "goods = [\"acrylic\", \"modacrylic\"]",
            "goods = [\"modacrylic\"]",
        )],
        bath: Of(ACRYLIC, P::Basic, 1.0),
    },
    Case {
        rule: 11,
        says: "polyester is said to take reactive dye",
        edits: &[(
            "matrix.toml",
            "id = \"polyester\"\nname = \"polyester\"\nsource = \"synthetic-polymer-1979\"\nstanding = \"from memory\"\nreactive-cold = { verdict = \"none\", reason = \"R2\" }",
            "id = \"polyester\"\nname = \"polyester\"\nsource = \"synthetic-polymer-1979\"\nstanding = \"from memory\"\nreactive-cold = \"good\"",
        )],
        bath: Of(COTTON_POLYESTER, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 12,
        says: "nobody says that no dye goes in after the soda",
        edits: &[(
            "hazards.toml",
            "id = \"no-top-up-after-alkali\"\nname = \"No top-up after alkali\"\nkind = \"ruin\"\nprocedures = [\"reactive-cold\", \"reactive-warm\", \"reactive-hot\"]",
            "id = \"no-top-up-after-alkali\"\nname = \"No top-up after alkali\"\nkind = \"ruin\"\nprocedures = []",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 12,
        says: "the first rinse is hot",
        edits: &[(
            "programmes.toml",
            "{ do = \"rinse\", to_c = 20, minutes = 5, times = 2, agitation = \"gentle\", may_stretch_min = 10, say = \"Rinse cold, twice, to take out salt and alkali before any heat.\" }",
            "{ do = \"rinse\", to_c = 70, minutes = 5, times = 2, agitation = \"gentle\", may_stretch_min = 10, say = \"Rinse hot.\" }",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 12,
        says: "the soda goes in before the salt",
        edits: &[(
            "programmes.toml",
            "{ do = \"add\", what = \"salt\", portion_percent = 50, minutes = 15",
            "{ do = \"add\", what = \"soda-ash\", portion_percent = 1, minutes = 15",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 12,
        says: "a lot of the salt is forgotten",
        edits: &[(
            "programmes.toml",
            "what = \"salt\", portion_percent = 25",
            "what = \"salt\", portion_percent = 15",
        )],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 12,
        says: "the sheet is silent on topping up",
        edits: &[("programmes.toml", "no_top_up_after = \"alkali\"", "")],
        bath: Of(COTTON, P::ReactiveCold, 1.5),
    },
    Case {
        rule: 13,
        says: "a vat dyeing is judged unsoaped",
        edits: &[(
            "programmes.toml",
            "{ do = \"soap\", what = \"detergent-neutral\", portion_percent = 100, to_c = 60",
            "{ do = \"rinse\", to_c = 60",
        )],
        bath: Of(COTTON, P::Indigo, 1.0),
    },
    Case {
        rule: 13,
        says: "judged before it is dry",
        edits: &[(
            "programmes.toml",
            "{ do = \"dry\", minutes = 0, may_stretch_min = 1440, say = \"Dry on a line",
            "{ do = \"rinse\", minutes = 0, may_stretch_min = 1440, say = \"Dry on a line",
        )],
        bath: Of(COTTON, P::Direct, 1.5),
    },
    Case {
        rule: 13,
        says: "judged wet",
        edits: &[(
            "prepare.toml",
            "Judge only when dry, cool and conditioned (two hours after drying), under at least two lights, edge to edge on grey, same grain.",
            "Judge under at least two lights.",
        )],
        bath: Of(COTTON, P::Direct, 1.5),
    },
    Case {
        rule: 15,
        says: "flame protection is passed over",
        edits: &[(
            "hazards.toml",
            "id = \"flame-not-certified\"\nname = \"Flame\"\nkind = \"wear\"\nalways = true",
            "id = \"flame-not-certified\"\nname = \"Flame\"\nkind = \"wear\"",
        )],
        bath: Of(COTTON, P::Direct, 1.5),
    },
    Case {
        rule: 15,
        says: "nobody checks rub and sweat",
        edits: &[(
            "hazards.toml",
            "id = \"rub-and-sweat-check\"\nname = \"Rub and sweat\"\nkind = \"wear\"\nalways = true",
            "id = \"rub-and-sweat-check\"\nname = \"Rub and sweat\"\nkind = \"wear\"",
        )],
        bath: Of(COTTON, P::Direct, 1.5),
    },
];
