//! What goes into a bath: groups the auditor knows, agents it recognises by a word in their id,
//! and what rule 4 refuses outright. Sources: trade.md H1, H7, M1, M4; lists of amines from memory.

/// The groups of docs/json.md. Anything else is not known.
pub(crate) const GROUPS: &[&str] = &[
    "dye",
    "salt",
    "alkali",
    "acid",
    "leveller",
    "sequestrant",
    "detergent",
    "dispersant",
    "fixative",
    "reducer",
    "oxidiser",
    "hypochlorite",
    "ammonia",
    "mordant",
    "softener",
    "thickener",
];

/// A word in an id, and the group the auditor holds it to whatever the sheet calls it. Order
/// matters: the first word that fits decides.
const KNOWN: &[(&str, &str)] = &[
    ("hypochlorite", "hypochlorite"),
    ("chlorine-bleach", "hypochlorite"),
    ("dithionite", "reducer"),
    ("hydrosulfite", "reducer"),
    ("thiourea-dioxide", "reducer"),
    ("bisulfite", "reducer"),
    ("metabisulfite", "reducer"),
    ("thiosulfate", "reducer"),
    ("peroxide", "oxidiser"),
    ("perborate", "oxidiser"),
    ("percarbonate", "oxidiser"),
    ("permanganate", "oxidiser"),
    ("bicarbonate", "alkali"),
    ("soda-ash", "alkali"),
    ("washing-soda", "alkali"),
    ("carbonate", "alkali"),
    ("hydroxide", "alkali"),
    ("caustic", "alkali"),
    ("lime", "alkali"),
    ("ammonium-sulfate", "ammonia"),
    ("ammonium-sulphate", "ammonia"),
    ("ammonium-acetate", "ammonia"),
    ("ammonium", "ammonia"),
    ("ammonia", "ammonia"),
    ("urea", "ammonia"),
    ("vinegar", "acid"),
    ("citric", "acid"),
    ("acetic", "acid"),
    ("formic", "acid"),
    ("sulfuric", "acid"),
    ("oxalic", "acid"),
    ("tartaric", "acid"),
];

/// The group an agent belongs to by its own name, when the auditor recognises it.
pub(crate) fn group_of(id: &str) -> Option<&'static str> {
    let id = id.to_lowercase().replace([' ', '_'], "-");
    KNOWN.iter().find(|(word, _)| id.contains(word)).map(|(_, group)| *group)
}

/// Whether a sheet may print this group for an agent of that own group: an ammonium salt serves as
/// an acid donor and may be called `acid` (the rules still see its ammonia). The other readings of
/// one agent are refused.
pub(crate) fn may_be_called(own: &str, called: &str) -> bool {
    own == called || (own == "ammonia" && called == "acid")
}

/// Words that rule 4 refuses in the id or name of anything on the sheet (H1, M4): whole words,
/// because `tin` stands inside `tint`.
const REFUSED: &[&str] = &[
    "dichromate",
    "bichromate",
    "chromate",
    "chrome-mordant",
    "tin",
    "stannous",
    "stannic",
    "sulfide",
    "sulphide",
    "chlorobenzene",
    "dichlorobenzene",
    "trichlorobenzene",
    "carrier",
    "biphenyl",
    "salicylate",
    "benzoate",
    "benzidine",
    "tolidine",
    "dianisidine",
];

/// C.I. Generic Names rule 4 refuses. H1 names Direct Black 38, Direct Blue 6 and Direct Brown 95
/// (NIOSH bulletin 24, 1978); the rest, made from benzidine, o-tolidine or o-dianisidine, is from
/// memory of the published lists. Written lower case, without "C.I.".
const REFUSED_CI: &[&str] = &[
    // benzidine
    "acid red 85",
    "direct black 4",
    "direct black 38",
    "direct blue 2",
    "direct blue 6",
    "direct brown 1",
    "direct brown 2",
    "direct brown 6",
    "direct brown 25",
    "direct brown 27",
    "direct brown 31",
    "direct brown 33",
    "direct brown 51",
    "direct brown 59",
    "direct brown 74",
    "direct brown 79",
    "direct brown 95",
    "direct brown 101",
    "direct brown 154",
    "direct green 1",
    "direct green 6",
    "direct green 8",
    "direct orange 1",
    "direct orange 8",
    "direct red 1",
    "direct red 10",
    "direct red 13",
    "direct red 17",
    "direct red 28",
    "direct red 37",
    "direct red 44",
    "direct violet 1",
    "direct violet 22",
    // o-tolidine
    "acid red 114",
    "direct blue 14",
    "direct blue 25",
    "direct blue 53",
    "direct red 2",
    "direct red 39",
    // o-dianisidine
    "direct blue 1",
    "direct blue 8",
    "direct blue 15",
    "direct blue 22",
    "direct blue 76",
    "direct blue 98",
    "direct blue 151",
    "direct blue 218",
];

/// Disperse dyes that H1 blocks by C.I. name because they sensitise skin.
const BLOCKED_CI: &[&str] = &[
    "disperse blue 1",
    "disperse blue 35",
    "disperse blue 106",
    "disperse blue 124",
    "disperse orange 1",
    "disperse orange 3",
    "disperse orange 37",
    "disperse orange 76",
    "disperse orange 37/76",
    "disperse red 1",
    "disperse yellow 3",
];

/// Words that mean a pack nobody can vouch for.
const UNVOUCHED: &[&str] = &["unknown", "old pack", "unlabelled", "unlabeled", "unmarked"];

/// Why rule 4 refuses something by its id or name, if it does.
pub(crate) fn refused(name: &str) -> Option<String> {
    let plain = plain(name);
    let padded = format!("-{plain}-");
    REFUSED
        .iter()
        .find(|w| padded.contains(&format!("-{w}-")))
        .map(|w| format!("'{name}' ({w}) is never used at home"))
}

/// Why rule 4 refuses a dye by its C.I. Generic Name or by what its pack says, if it does.
pub(crate) fn refused_dye(text: &str) -> Option<String> {
    let spaced = format!(" {} ", plain(text).replace('-', " "));
    let has = |ci: &&&str| spaced.contains(&format!(" {} ", plain(ci).replace('-', " ")));
    if let Some(ci) = REFUSED_CI.iter().find(has) {
        return Some(format!("'{text}': {ci} is made from a carcinogenic amine"));
    }
    if let Some(ci) = BLOCKED_CI.iter().find(has) {
        return Some(format!("'{text}': {ci} is a known skin sensitiser"));
    }
    let low = text.to_lowercase();
    let word = UNVOUCHED.iter().find(|w| low.contains(**w))?;
    Some(format!("'{text}': a pack that is {word} cannot be vouched for"))
}

/// Lower case, every run of other signs one dash.
fn plain(text: &str) -> String {
    let low = text.to_lowercase();
    low.split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agents_are_known_by_their_names() {
        let cases = [
            ("soda-ash", Some("alkali")),
            ("Sodium dithionite", Some("reducer")),
            ("sodium_hypochlorite", Some("hypochlorite")),
            ("white-vinegar", Some("acid")),
            ("ammonium-sulfate", Some("ammonia")),
            ("glauber-salt", None),
        ];
        for (id, group) in cases {
            assert_eq!(group_of(id), group, "{id}");
        }
    }

    #[test]
    fn refusals_take_whole_names_only() {
        for name in
            ["potassium dichromate", "tin(II) chloride", "sodium-sulfide", "disperse carrier"]
        {
            assert!(refused(name).is_some(), "{name}");
        }
        for name in ["tint base", "sodium sulfate", "chromaticity", "setting agent"] {
            assert!(refused(name).is_none(), "{name}");
        }
        for ci in
            ["C.I. Direct Black 38", "CI Direct Blue 6", "direct_brown_95", "an unknown old pack"]
        {
            assert!(refused_dye(ci).is_some(), "{ci}");
        }
        for ci in
            ["C.I. Direct Blue 71", "C.I. Direct Red 23", "C.I. Direct Blue 86", "Disperse Red 60"]
        {
            assert!(refused_dye(ci).is_none(), "{ci}");
        }
    }
}
