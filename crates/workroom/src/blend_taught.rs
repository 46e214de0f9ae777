//! What a dyeing of a blend can teach of its dyes, and what to say where it can teach nothing.
//!
//! A reading is of the whole cloth. Where all that is seen of it took the dye, it counts for the fibre there is most of, as
//! the plan reckons such a cloth, and weaker. Where a part stays as it is, or two baths went over each other, nobody can
//! tell from one colour what each fibre took: that is kept and teaches nothing. Elastane is the core of the yarn and not
//! seen (as in `dyeing`'s ground).

use lore::{DyeClass, Lore, Procedure};
use plan::NotTaught;
use plan::document::{PiecePlan, Sheet};
use units::Share;

/// The fibre that is not seen in a blend.
const COVERED: &str = "elastane";

/// From this share on the others cover it (judgement, as in `dyeing`'s ground).
const MOST_COVERS: f64 = 0.6;

/// A fibre by its material's id, and its share.
pub(crate) type Portion = (String, Share);

/// The fibres of a cloth in a costume file's words: "55 % viscose, 45 % linen". None where one of them is not known, or
/// its share is not told.
pub(crate) fn portions(words: &str, lore: &Lore) -> Option<Vec<Portion>> {
    let each = words.split(',').map(|part| {
        let (share, name) = part.split_once('%')?;
        let share = Share::try_percent(share.trim().parse().ok()?).ok()?;
        Some((lore.material(name.trim()).ok()?.id.clone(), share))
    });
    each.collect()
}

/// Those that are seen, the largest share first, when a dyeing of them can teach; else why not.
pub(crate) fn teaching(
    portions: &[Portion],
    class: DyeClass,
    procedure: Option<Procedure>,
    lore: &Lore,
) -> Result<Vec<Portion>, NotTaught> {
    let seen = |(id, _): &&Portion| id != COVERED;
    let covers: f64 = portions.iter().filter(seen).map(|(_, share)| share.to_fraction()).sum();
    let mut all: Vec<Portion> = match covers >= MOST_COVERS {
        true => portions.iter().filter(seen).cloned().collect(),
        false => portions.to_vec(),
    };
    let takes = |(id, _): &Portion| {
        let by = |procedure: Procedure| {
            let material = lore.material(id).ok()?;
            Some(lore.verdict_for(material, procedure, class).ok()?.verdict.dyes())
        };
        match procedure {
            Some(told) => by(told) == Some(true),
            None => Procedure::ALL.iter().any(|any| by(*any) == Some(true)),
        }
    };
    if all.len() > 1 && !all.iter().all(takes) {
        return Err(NotTaught::SeveralFibres);
    }
    all.sort_by(|a, b| b.1.to_fraction().total_cmp(&a.1.to_fraction()));
    Ok(all)
}

/// Why the record of this bath will teach nothing of its dyes, and what would; none where it can teach.
#[must_use]
pub fn teaches_nothing(piece: &PiecePlan, sheet: &Sheet) -> Option<String> {
    let same = piece.sheets.iter().filter(|other| other.kind == sheet.kind);
    let (mut before, mut after) = (0, 0);
    let mut found = false;
    for other in same {
        found |= std::ptr::eq(other, sheet);
        if !found {
            before += 1;
        } else if !std::ptr::eq(other, sheet) {
            after += 1;
        }
    }
    let snip = "dye a snip of one fibre alone with its dyes, and record that as a swatch";
    if before > 0 {
        return Some(format!(
            "It is kept, with the piece’s record and to be repeated next year. Of the dyes themselves it teaches nothing: this bath \
             goes over another one, and one colour cannot tell what each of the two left on its fibre. To learn of them, {snip}."
        ));
    }
    let lore = Lore::shipped();
    let portions: Option<Vec<Portion>> = sheet
        .goods
        .fibres
        .iter()
        .map(|f| Some((f.fibre.clone(), Share::try_fraction(f.share).ok()?)))
        .collect();
    let class = piece.class.as_ref().and_then(|class| class.dye_class.parse().ok());
    let refused = match (portions, class) {
        (Some(portions), Some(class)) if portions.len() > 1 => {
            teaching(&portions, class, sheet.procedure.parse().ok(), lore).is_err()
        }
        _ => false,
    };
    match (refused || after > 0, after > 0) {
        (false, _) => None,
        (true, true) => Some(format!(
            "It is kept, with the piece’s record and to be repeated next year. Of the dyes themselves it teaches nothing: this bath \
             colours only one of the fibres, and the reading is of the whole cloth, at the end under the second bath too. To learn of \
             them, {snip}."
        )),
        (true, false) => Some(format!(
            "It is kept, with the piece’s record and to be repeated next year. Of the dyes themselves it teaches nothing: a part of \
             this cloth stays as it is, and the reading is of the whole. To learn of them, {snip}."
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(
        words: &str,
        class: DyeClass,
        procedure: Option<Procedure>,
    ) -> Result<Vec<String>, NotTaught> {
        let lore = Lore::shipped();
        let portions = portions(words, lore).unwrap_or_else(|| panic!("{words}"));
        let all = teaching(&portions, class, procedure, lore)?;
        Ok(all.into_iter().map(|(id, _)| id).collect())
    }

    #[test]
    fn a_blend_teaches_where_all_that_is_seen_takes_the_dye() {
        let reactive = DyeClass::ReactiveDct;
        let cold = Some(Procedure::ReactiveCold);
        assert_eq!(
            seen("45 % linen, 55 % viscose", reactive, cold).unwrap(),
            ["viscose", "linen"],
            "the largest share first"
        );
        assert_eq!(
            seen("82 % nylon, 18 % elastane", DyeClass::AcidMilling, None).unwrap(),
            ["nylon-6"],
            "elastane is not seen"
        );
        let part = seen("65 % polyester, 35 % cotton", reactive, cold);
        assert_eq!(part.unwrap_err(), NotTaught::SeveralFibres);
        let half = seen("50 % nylon, 50 % elastane", reactive, cold);
        assert!(half.is_err(), "so much elastane is seen");
        assert!(portions("wool and silk", Lore::shipped()).is_none());
        assert!(portions("60 % moonsilk, 40 % wool", Lore::shipped()).is_none());
    }
}
