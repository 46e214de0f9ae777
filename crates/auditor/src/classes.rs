//! Which way of dyeing takes on which fibre: the auditor's own copy of the matrix (trade.md C,
//! common practice), with rule 7 put first where the two differ (hot alkaline reactive on silk; indigo
//! on whatever bears no alkali but is neither wool nor silk). A cell between two verdicts takes the
//! lower.

use crate::materials::Family;

/// What becomes of a fibre in a bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Takes {
    /// The bath ruins it.
    Ruined,
    /// It stays as it is.
    Not,
    /// It is stained only.
    Stained,
    /// It dyes, fairly or better.
    Dyes,
}

/// The columns, in the order of the rows' signs.
const PROCEDURES: [&str; 14] = [
    "reactive-cold",
    "reactive-warm",
    "reactive-hot",
    "reactive-acid-route",
    "direct",
    "union",
    "acid-levelling",
    "acid-milling",
    "disperse",
    "basic",
    "vat",
    "indigo",
    "sulfur",
    "alum-natural",
];

/// The rows: `D` dyes (fair or better), `s` stains, `-` nothing, `X` ruined.
const fn row(family: Family) -> &'static [u8; 14] {
    match family {
        //                            cold warm hot acid dir uni lev mil dis bas vat ind sul alum
        Family::Cotton => b"DDD-DD--ssDDDD",
        Family::Linen => b"DDD-DD--ssDDDD",
        Family::Viscose => b"DDD-DD-sssDDDD",
        Family::Lyocell => b"DDD-DD-sssDDDD",
        Family::Wool => b"XXXDDDDDsDXDXD",
        Family::Silk => b"DXXDDDDDsDXDXD",
        Family::Feather => b"XXX-sDDD-DXXXD",
        Family::Hide => b"XXX-DsDD-DXXXD",
        Family::Nylon => b"sssDsDDDDsDs-D",
        Family::Polyester => b"--------D-s---",
        Family::CationicPolyester => b"--------DD----",
        Family::Acrylic => b"-------sDD----",
        Family::Modacrylic => b"-------DDD----",
        Family::Acetate => b"XXX--s-sDDXXX-",
        Family::Triacetate => b"-XX-----DsX-X-",
        Family::Elastane => b"ssssssDDDs----",
        Family::Inert => b"--------s-----",
        Family::Aramid => b"--------------",
        Family::Pla => b"XXX-----D-XXX-",
    }
}

/// What a procedure does to a fibre; `None` for a procedure the auditor does not know.
pub(crate) fn takes(procedure: &str, family: Family) -> Option<Takes> {
    let column = PROCEDURES.iter().position(|p| *p == procedure)?;
    Some(match row(family)[column] {
        b'D' => Takes::Dyes,
        b's' => Takes::Stained,
        b'-' => Takes::Not,
        _ => Takes::Ruined,
    })
}

/// Whether a dye class belongs into a procedure; `None` for a procedure the auditor does not know.
pub(crate) fn belongs(class: &str, procedure: &str) -> Option<bool> {
    let classes: &[&str] = match procedure {
        "reactive-cold" | "reactive-warm" => &["reactive-dct", "reactive-vs"],
        "reactive-hot" => &["reactive-mct"],
        "reactive-acid-route" => &["reactive-dct", "reactive-vs", "reactive-mct"],
        "acid-levelling" => &["acid-levelling"],
        "acid-milling" => &["acid-milling", "premetallised"],
        "alum-natural" => &["mordant"],
        "direct" => &["direct"],
        "union" => &["union"],
        "disperse" => &["disperse"],
        "basic" => &["basic"],
        "vat" => &["vat"],
        "indigo" => &["indigo"],
        "sulfur" => &["sulfur"],
        _ => return None,
    };
    Some(classes.contains(&class))
}

/// True for the reactive dyes with salt and alkali, of which rule 12 speaks.
pub(crate) fn is_alkaline_reactive(procedure: &str) -> bool {
    matches!(procedure, "reactive-cold" | "reactive-warm" | "reactive-hot")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_matrix_says_what_the_rules_say() {
        // trade.md M7, M11 and the "common practice" list.
        let cases = [
            ("reactive-cold", Family::Cotton, Takes::Dyes),
            ("reactive-cold", Family::Wool, Takes::Ruined),
            ("reactive-hot", Family::Silk, Takes::Ruined),
            ("reactive-cold", Family::Silk, Takes::Dyes),
            ("reactive-acid-route", Family::Silk, Takes::Dyes),
            ("reactive-cold", Family::Polyester, Takes::Not),
            ("direct", Family::Polyester, Takes::Not),
            ("disperse", Family::Polyester, Takes::Dyes),
            ("basic", Family::Acrylic, Takes::Dyes),
            ("acid-milling", Family::Nylon, Takes::Dyes),
            ("vat", Family::Acetate, Takes::Ruined),
            ("alum-natural", Family::Wool, Takes::Dyes),
            ("sulfur", Family::Pla, Takes::Ruined),
        ];
        for (procedure, family, want) in cases {
            assert_eq!(takes(procedure, family), Some(want), "{procedure} on {family:?}");
        }
        assert_eq!(takes("boil-it", Family::Cotton), None);
    }
}
