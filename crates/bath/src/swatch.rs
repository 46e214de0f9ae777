//! How big the swatch is, and where its cloth is from: a finished piece is never cut for it.
//!
//! Common practice: 10 g of the same cloth, less when there is little of it; for goods that are sewn, worn or single
//! pieces of nature an offcut or a cloth like them, as little as this kit still doses. Where the maker says how much,
//! from half a gram on, so much: or the next larger that this kit doses as well, and the sheet says so.

use lore::GoodsForm;
use units::Mass;

use crate::sheet::Sheet;
use crate::{Comes, Kind, Order};

/// The usual swatch, g (common practice).
const USUAL_G: f64 = 10.0;
/// The swatch of small goods, g, and what counts as small, g (our judgement).
const SMALL_G: f64 = 5.0;
const SMALL_GOODS_G: f64 = 60.0;
/// No more of the cloth than this goes into a swatch (our judgement).
const MOST_OF_GOODS: f64 = 0.1;
/// No more of the spare cloth than this: a patch must be left (our judgement).
const MOST_OF_SPARE: f64 = 0.5;
/// Below this no swatch is opaque by itself, g: 50 × 50 mm in four layers at 200 g/m² is 2 g.
const LEAST_G: f64 = 2.0;
/// What is tried above a weight that was asked for and cannot be dosed well, g (our judgement).
const STEPS_G: [f64; 4] = [1.0, LEAST_G, SMALL_G, USUAL_G];
/// What is tried for goods that are never cut, the least first, g (our judgement).
const UNCUT_G: [f64; 2] = [LEAST_G, SMALL_G];
/// How far a dose of so small a swatch may lie from the recipe, and how far it may scatter: a trace of 10 g scatters
/// as much (our judgement).
const DOSED_WITHIN: f64 = 0.05;
const SCATTERS_WITHIN: f64 = 0.1;

/// Where the cloth of a swatch is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SwatchFrom {
    /// The goods: cloth from the roll, or what the panels were cut from.
    Goods,
    /// The spare cloth that is scoured and dyed along with the goods.
    Spare,
    /// An offcut, or a cloth like it: the goods are never cut.
    Like,
}

impl SwatchFrom {
    /// Where it is from for goods that come so.
    #[must_use]
    pub fn of(comes: &Comes<'_>) -> Self {
        let spare = comes.spare.unwrap_or(Mass::ZERO).to_grams();
        match comes.form {
            GoodsForm::Roll | GoodsForm::CutPanels => Self::Goods,
            _ if spare * MOST_OF_SPARE >= LEAST_G => Self::Spare,
            GoodsForm::AsTheyCome | GoodsForm::Sewn | GoodsForm::Worn => Self::Like,
        }
    }

    /// In a few words, for the weight on the sheet.
    #[must_use]
    pub const fn in_short(self) -> &'static str {
        match self {
            Self::Goods => "a snip of the same cloth",
            Self::Spare => "a snip of its spare cloth",
            Self::Like => "an offcut or a cloth like it, never cut from the piece",
        }
    }
}

/// The weight of the swatch for goods whose cloth weighs this: 10 g, 5 g for goods below 60 g, at most a tenth
/// of the goods in whole grams or half of the spare cloth it is cut from, at least 2 g; more where more was asked for.
#[must_use]
pub fn swatch_weight(cloth: Mass, comes: &Comes<'_>) -> Mass {
    let goods = cloth.to_grams();
    let asked = comes.swatch_weighs.unwrap_or(Mass::ZERO);
    let usual = if goods < SMALL_GOODS_G { SMALL_G } else { USUAL_G };
    let spare = comes.spare.filter(|_| SwatchFrom::of(comes) == SwatchFrom::Spare);
    let most = spare.map_or(goods * MOST_OF_GOODS, |spare| spare.to_grams() * MOST_OF_SPARE);
    let grams = usual.min((most + 1e-9).floor()).max(LEAST_G);
    // What was asked for and is more is the maker's own cloth to give.
    Mass::try_grams(grams.max(asked.to_grams())).unwrap_or(Mass::ZERO)
}

/// The weights to try before the usual one: those asked for, else the small ones for goods that are never cut.
pub(crate) fn smaller(order: &Order<'_>, usual: Mass) -> impl Iterator<Item = Mass> {
    let uncut = SwatchFrom::of(&order.comes) == SwatchFrom::Like;
    let tried: Vec<f64> = match (order.kind, order.comes.swatch_weighs) {
        (Kind::Bulk, _) => vec![],
        (Kind::Swatch, Some(asked)) => {
            let asked = asked.to_grams();
            std::iter::once(asked).chain(STEPS_G.into_iter().filter(|g| *g > asked)).collect()
        }
        (Kind::Swatch, None) if uncut => UNCUT_G.to_vec(),
        (Kind::Swatch, None) => vec![],
    };
    tried
        .into_iter()
        .filter(move |grams| *grams < usual.to_grams())
        .filter_map(|grams| Mass::try_grams(grams).ok())
}

/// What is to be said where the swatch is another weight than was asked for, or so little that it lets light through.
pub(crate) fn said_of_weight(comes: &Comes<'_>, dry: Mass) -> Vec<String> {
    let grams = |mass: Mass| units::trimmed(mass.to_grams(), 1);
    let mut said = vec![];
    if let Some(asked) = comes.swatch_weighs.filter(|asked| *asked != dry) {
        said.push(format!(
            "You asked for a swatch of {} g. With this scale and these syringes {} g is the least that doses the same \
             recipe as surely; a finer scale, or a 1 mL syringe for a weaker stock, would bring it down.",
            grams(asked),
            grams(dry)
        ));
    }
    if dry.to_grams() < LEAST_G {
        said.push(
            "So little cloth is one layer or two, and light goes through it: judge and read it lying on undyed cloth of \
             its own kind, and the piece in the same way."
                .to_owned(),
        );
    }
    said
}

/// Whether the smaller sheet doses the same things, near enough to teach as much.
pub(crate) fn as_good(order: &Order<'_>, small: &Sheet, usual: &Sheet) -> bool {
    let ids = |sheet: &Sheet| -> Vec<String> {
        sheet.auxiliaries.iter().map(|aux| aux.id.clone()).collect()
    };
    let near = |dye: &crate::Dye| {
        let wanted = order.dyes.iter().find(|wanted| wanted.id == dye.id);
        wanted.is_some_and(|wanted| {
            let off = dye.owf_pct.value() / wanted.owf.to_percent() - 1.0;
            off.abs() <= DOSED_WITHIN && dye.dose.relative_scatter() <= SCATTERS_WITHIN
        })
    };
    ids(small) == ids(usual) && small.dyes.len() == usual.dyes.len() && small.dyes.iter().all(near)
}

/// What the swatch sheet says of its cloth.
pub(crate) fn cloth(comes: &Comes<'_>, dry: Mass) -> String {
    let grams = units::trimmed(dry.to_grams(), 1);
    // A hem bears a snip of some square centimetres, not more.
    let hem = if dry.to_grams() <= LEAST_G {
        " where there is one, a snip of seam allowance or hem that is never seen;"
    } else {
        ""
    };
    let like = "else a cloth as like it as can be had (fibre, weave, weight, undyed): it is weaker evidence, so \
                enter the piece with an eye on it, and note it as such (look_alike). With none of these, sign that there is no \
                swatch (waived_by in the costume file) and build the colour up, as the bulk sheet says";
    match (SwatchFrom::of(comes), comes.form) {
        (SwatchFrom::Goods, GoodsForm::CutPanels) => format!(
            "The swatch: {grams} g of an offcut of the panels, scoured along with them; no panel is cut for it."
        ),
        (SwatchFrom::Goods, _) => {
            format!(
                "The swatch: {grams} g of the cloth, or of an offcut of it, scoured along with the goods."
            )
        }
        (SwatchFrom::Spare, _) => format!(
            "The swatch: {grams} g of the spare cloth that is scoured along with the goods; the piece itself is never \
             cut for it."
        ),
        (SwatchFrom::Like, GoodsForm::AsTheyCome) => format!(
            "The swatch: {grams} g, never cut from goods that are needed. Take one more of the same lot, or an edge or \
             a lock that is left over; {like}."
        ),
        (SwatchFrom::Like, _) => format!(
            "The swatch: {grams} g, never cut out of the piece. Take an offcut of the very same cloth;{hem} {like}."
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(it: f64) -> Mass {
        Mass::try_grams(it).unwrap_or(Mass::ZERO)
    }

    #[test]
    fn a_swatch_is_ten_grams_or_a_tenth() {
        for (goods, want) in
            [(800.0, 10.0), (100.0, 10.0), (70.0, 7.0), (59.0, 5.0), (35.0, 3.0), (8.0, 2.0)]
        {
            assert_eq!(swatch_weight(grams(goods), &Comes::default()), grams(want), "{goods} g");
        }
    }

    #[test]
    fn a_swatch_that_is_asked_for_is_never_less_than_that() {
        let of = |asked: f64| Comes { swatch_weighs: Some(grams(asked)), ..Comes::default() };
        assert_eq!(swatch_weight(grams(35.0), &of(10.0)), grams(10.0), "the maker's own cloth");
        assert_eq!(swatch_weight(grams(800.0), &of(0.5)), grams(10.0), "and less is tried before");
        assert!(said_of_weight(&of(2.0), grams(2.0)).is_empty());
        assert!(said_of_weight(&of(0.5), grams(2.0))[0].contains("asked for a swatch of 0.5 g"));
        assert!(said_of_weight(&of(0.5), grams(0.5))[0].contains("undyed cloth"));
    }

    #[test]
    fn a_finished_piece_is_never_cut() {
        for form in [GoodsForm::Sewn, GoodsForm::Worn, GoodsForm::AsTheyCome] {
            let bare = Comes { form, ..Comes::default() };
            assert_eq!(SwatchFrom::of(&bare), SwatchFrom::Like, "{form}");
            assert!(cloth(&bare, grams(2.0)).contains("never cut"), "{form}");
            let spare = Comes { spare: Some(grams(12.0)), ..bare };
            assert_eq!(SwatchFrom::of(&spare), SwatchFrom::Spare, "{form}");
            assert_eq!(swatch_weight(grams(900.0), &spare), grams(6.0), "{form}");
        }
        let sewn = Comes { form: GoodsForm::Sewn, ..Comes::default() };
        assert!(cloth(&sewn, grams(2.0)).contains("seam allowance"));
        assert!(!cloth(&sewn, grams(5.0)).contains("seam allowance"), "a hem bears no 5 g");
    }
}
