//! Seeded costumes: pieces of several fibres with colours that not every one of them can show.

use colour::{ClothPrior, Lch};
use dyeing::Look;
use lore::Procedure;
use recipe::{Question, Target, Wish, reach};

use crate::common::{Bench, typed};
use crate::dice::Dice;

/// Cloths a costume is made of: most of them are not white, and some shelves are short, so that
/// targets fall out of reach.
pub(crate) fn cloths() -> Vec<Bench> {
    let mut cloths = vec![
        Bench::cotton(),
        Bench::of(&[("linen", 100.0)], Look::Natural, Procedure::Direct),
        Bench::of(&[("wool", 100.0)], Look::Natural, Procedure::AcidMilling),
        Bench::of(&[("polyester", 100.0)], Look::White, Procedure::Disperse),
        Bench::of(&[("silk", 100.0)], Look::Natural, Procedure::ReactiveCold),
    ];
    for (cloth, dyes) in cloths.iter_mut().zip([9, 5, 6, 4, 3]) {
        let keep = cloth.dyes.len().div_ceil(dyes).max(1);
        let all = std::mem::take(&mut cloth.dyes);
        cloth.dyes = all.into_iter().step_by(keep).collect();
    }
    cloths
}

/// One piece of a costume: its cloth (a place among the cloths) and its target.
pub(crate) type Piece = (usize, Target);

/// A character's colours: two hues and a neutral at several depths.
pub(crate) fn costume(dice: &mut Dice, pieces: usize, cloths: usize) -> Vec<Piece> {
    let hue = 360.0 * dice.roll();
    let hues = [hue, hue + 40.0 + 120.0 * dice.roll()];
    let mut one = || {
        let dull = dice.pick(4) == 0;
        let c = if dull { 5.0 * dice.roll() } else { 12.0 + 50.0 * dice.roll() };
        let l = 12.0 + 78.0 * dice.roll();
        let h = (hues[dice.pick(2)] + 30.0 * (dice.roll() - 0.5)) % 360.0;
        let mut lch = Lch { l, c: c * (1.0 - (l - 50.0).abs() / 90.0), h };
        // No cloth is so strong so near black or white: as strong as one is.
        while ClothPrior::shipped().likely(lch.to_lab()).is_err() {
            lch.c *= 0.8;
        }
        let lab = lch.to_lab();
        (dice.pick(cloths), typed(lab.l, lab.a, lab.b))
    };
    (0..pieces).map(|_| one()).collect()
}

/// The questions of a costume put together, and answered by `answer` from its wishes.
pub(crate) fn wished<T>(
    cloths: &[Bench],
    pieces: &[Piece],
    answer: impl FnOnce(&[Wish]) -> T,
) -> T {
    let candidates: Vec<_> = cloths.iter().map(Bench::candidates).collect();
    let questions: Vec<Question> = pieces
        .iter()
        .map(|(cloth, target)| cloths[*cloth].ask(&candidates[*cloth], *target))
        .collect();
    let wishes: Vec<Wish> = questions
        .iter()
        .map(|question| Wish {
            question,
            alone: reach(question, 0).map_or(colour::Lab::new(f64::NAN, 0.0, 0.0), |r| r.nearest),
        })
        .collect();
    answer(&wishes)
}
