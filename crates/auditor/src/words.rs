//! What cautions must say: the id a caution carries and the words without which it is empty.
//! Rules 2, 3, 5, 10, 12, 13, 15 of trade.md M; the words are the trade's, the ids are agreed with
//! the room that writes the sheets.

use crate::Log;
use crate::read::Sheet;

/// A caution that must be on a sheet.
pub(crate) struct Wanted {
    pub(crate) rule: u8,
    /// The caution's id; a trailing `-` means any id that begins so.
    pub(crate) id: &'static str,
    /// Each group must be met by at least one of its words, lower case.
    pub(crate) words: &'static [&'static [&'static str]],
}

const NO: &[&str] = &["never", " not ", "not ", "no ", "do not", "don't"];

/// Rule 2: powder of reactive dyes.
pub(crate) const POWDER: Wanted = Wanted {
    rule: 2,
    id: "reactive-powder-mask",
    words: &[&["mask", "respirator"], &["glove"], &["wet", "paste", "damp", "under water"]],
};
/// Rule 3: vessels.
pub(crate) const VESSELS: Wanted =
    Wanted { rule: 3, id: "dye-only-vessels", words: &[&["food", "cook", "kitchen"], NO] };
/// Rule 5: dithionite and its like (H1, H7).
pub(crate) const REDUCER: Wanted = Wanted {
    rule: 5,
    id: "reducer-",
    words: &[
        &["dry"],
        &["small", "little"],
        &["into much water", "into plenty of water", "into water", "to much water", "to the water"],
        &["slowly", "little by little", "bit by bit"],
        &["vent", "window", "outdoor", "open air", "fresh air"],
        &["cap", "clos", "seal", "lid"],
        &["acid"],
        &["bleach", "oxidis", "peroxide"],
        &["heat"],
    ],
};
/// Rule 5: bisulfite and thiosulfate, which make sulfur dioxide with acid (H7).
pub(crate) const SULFITE: Wanted = Wanted {
    rule: 5,
    id: "reducer-",
    words: &[&["acid", "vinegar"], &["vent", "window", "outdoor", "open air", "fresh air"], NO],
};
/// Rule 5: a fruit-sugar vat works on and must not be closed (H7).
pub(crate) const SUGAR_VAT: Wanted =
    Wanted { rule: 5, id: "reducer-", words: &[&["cap", "clos", "seal", "lid"], NO] };
/// Rule 1: chlorine bleach (H1, H7).
pub(crate) const BLEACH: Wanted =
    Wanted { rule: 1, id: "bleach-", words: &[&["acid", "vinegar"], &["ammoni"], &["rinse"], NO] };
/// Rule 10: acrylic.
pub(crate) const ACRYLIC: Wanted = Wanted {
    rule: 10,
    id: "acrylic-cannot-be-levelled",
    words: &[&["level"], &["cannot", "can not", "never", "no "]],
};
/// Rule 12: no more dye once alkali is in.
pub(crate) const NO_TOP_UP: Wanted =
    Wanted { rule: 12, id: "no-top-up-after-alkali", words: &[&["alkali", "soda"], &["dye"], NO] };
/// Rule 15: flame protection.
pub(crate) const FLAME: Wanted = Wanted {
    rule: 15,
    id: "flame-not-certified",
    words: &[&["flame", "fire"], &["certif", "flameproof", "flame-proof", "fireproof"], NO],
};
/// Rule 15: before it is worn.
pub(crate) const RUB: Wanted =
    Wanted { rule: 15, id: "rub-and-sweat-check", words: &[&["rub"], &["sweat", "perspir"]] };

/// Complains when the caution is missing or no longer says what it must.
pub(crate) fn require(log: &mut Log<'_>, sheet: &Sheet<'_>, wanted: &Wanted) {
    let fits = |id: &str| {
        if wanted.id.ends_with('-') { id.starts_with(wanted.id) } else { id == wanted.id }
    };
    let mut found = sheet.cautions.iter().filter(|(id, _)| fits(id)).peekable();
    if found.peek().is_none() {
        log.sheet(wanted.rule, format!("the caution '{}' is missing", wanted.id));
        return;
    }
    // Several cautions may share one beginning; together they must say it all.
    let text = found.map(|(_, text)| text.as_str()).collect::<Vec<_>>().join(" ");
    for group in wanted.words {
        if !says(&text, group) {
            log.sheet(
                wanted.rule,
                format!("the caution '{}' does not say '{}'", wanted.id, group[0].trim()),
            );
        }
    }
}

/// True when the text holds one of the words.
pub(crate) fn says(text: &str, any: &[&str]) -> bool {
    any.iter().any(|w| text.contains(w))
}
