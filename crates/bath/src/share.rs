//! Which pieces may lie in one bath, and the sheet of such a bath.
//!
//! Like cloth only, for a match: the same fibres, the same undyed cloth, the same form, the same recipe at the
//! same depth and ratio. No garment is ever split over two baths; a shared bath is the other way round.

use dosing::Shown;
use units::{Mass, trimmed};

use crate::sheet::Piece;
use crate::write::sheet;
use crate::{Comes, Lining, Order, Refusal, Sheet};

/// Depths within this of one another are one recipe, % owf.
const SAME_DEPTH_PCT: f64 = 1e-9;

/// A piece that might share a bath.
#[derive(Debug, Clone, Copy)]
pub struct Sharing<'a> {
    /// What the piece is called.
    pub piece: &'a str,
    /// What names its undyed cloth: pieces of one bolt (or one reading of the ground) have the same word.
    pub cloth: &'a str,
    /// The bath it would have alone.
    pub order: &'a Order<'a>,
}

/// Why two pieces may not share a bath.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotShared {
    /// Nothing to share.
    #[error("no piece was named: a bath needs at least one")]
    Nobody,
    /// Other fibres, or another makeup of them.
    #[error(
        "'{0}' and '{1}' are unlike cloth: each fibre takes its own share of one bath, so that neither comes \
         out right; give each its own bath"
    )]
    UnlikeFibres(String, String),
    /// The same fibres, another cloth.
    #[error(
        "'{0}' and '{1}' are of two cloths: another weave or another white comes out another colour; give each its \
         own bath, or measure that both undyed cloths are one"
    )]
    UnlikeCloth(String, String),
    /// One is cloth and the other made up, or one was worn.
    #[error(
        "'{0}' is {form_a} and '{1}' is {form_b}: they take the dye unevenly against each other; give each \
         its own bath",
        form_a = .2,
        form_b = .3
    )]
    UnlikeForm(String, String, lore::GoodsForm, lore::GoodsForm),
    /// Linings of other fibres.
    #[error(
        "'{0}' and '{1}' have unlike linings: they share the dye otherwise; give each its own bath"
    )]
    UnlikeLining(String, String),
    /// Another way of dyeing.
    #[error("'{0}' and '{1}' are dyed two ways: one bath is one way of dyeing")]
    UnlikeWay(String, String),
    /// Another recipe, ratio or kind of sheet.
    #[error(
        "'{0}' and '{1}' have two recipes: one bath has one recipe, at one depth and one liquor ratio"
    )]
    UnlikeRecipe(String, String),
}

/// Whether two pieces may lie in one bath. The strictest limits of both would hold for it.
pub fn may_share(a: &Sharing<'_>, b: &Sharing<'_>) -> Result<(), NotShared> {
    let names = || (a.piece.to_owned(), b.piece.to_owned());
    let stop = |it: fn(String, String) -> NotShared| {
        let (one, other) = names();
        Err(it(one, other))
    };
    if a.order.makeup != b.order.makeup || a.order.made_up != b.order.made_up {
        return stop(NotShared::UnlikeFibres);
    }
    if a.cloth != b.cloth {
        return stop(NotShared::UnlikeCloth);
    }
    let forms = (a.order.comes.form, b.order.comes.form);
    if !forms.0.goes_with(forms.1) {
        let (one, other) = names();
        return Err(NotShared::UnlikeForm(one, other, forms.0, forms.1));
    }
    if let (Some(one), Some(other)) = (a.order.comes.lining, b.order.comes.lining)
        && one.makeup != other.makeup
    {
        return stop(NotShared::UnlikeLining);
    }
    if a.order.procedure != b.order.procedure {
        return stop(NotShared::UnlikeWay);
    }
    if !same_recipe(a.order, b.order) || !same_recipe(b.order, a.order) {
        return stop(NotShared::UnlikeRecipe);
    }
    Ok(())
}

fn same_recipe(a: &Order<'_>, b: &Order<'_>) -> bool {
    let dosed = |order: &Order<'_>, id: &str| -> f64 {
        let of = order.dyes.iter().filter(|dye| dye.id == id);
        of.map(|dye| dye.owf.to_percent()).sum()
    };
    let same = |id: &str| (dosed(a, id) - dosed(b, id)).abs() <= SAME_DEPTH_PCT;
    a.kind == b.kind && a.ratio == b.ratio && a.dyes.iter().all(|dye| same(dye.id))
}

/// The sheet of a bath that several pieces share; refused unless every two of them may. The pieces are
/// listed on it.
pub fn shared_sheet(pieces: &[Sharing<'_>]) -> Result<Sheet, Refusal> {
    let first = pieces.first().ok_or(NotShared::Nobody)?;
    for (i, one) in pieces.iter().enumerate() {
        for other in &pieces[i + 1..] {
            may_share(one, other)?;
        }
    }
    let mut parts: Vec<&str> = Vec::new();
    let mut parts_weigh: Vec<(&str, Mass)> = Vec::new();
    let mut lining: Option<Lining<'_>> = None;
    let (mut goods, mut spare) = (Mass::ZERO, Mass::ZERO);
    let mut listed = Vec::new();
    for piece in pieces {
        let comes = &piece.order.comes;
        for part in
            piece.order.parts.iter().filter(|part| !parts.contains(part)).collect::<Vec<_>>()
        {
            parts.push(part);
        }
        parts_weigh.extend(comes.parts_weigh);
        lining = match (lining, comes.lining) {
            (Some(a), Some(b)) => Some(Lining { dry: a.dry + b.dry, ..a }),
            (a, b) => a.or(b),
        };
        let own = tenth(piece.order.goods)?;
        let extra = tenth(comes.spare.unwrap_or(Mass::ZERO))?;
        (goods, spare) = (goods + own, spare + extra);
        listed.push(Piece { id: piece.piece.to_owned(), dry: own + extra });
    }
    let comes = Comes {
        parts_weigh: &parts_weigh,
        lining,
        spare: Some(spare).filter(|spare| spare.to_grams() > 0.0),
        swatch_weighs: first.order.comes.swatch_weighs,
        shrinkage_allowed: pieces.iter().all(|piece| piece.order.comes.shrinkage_allowed),
        one_of_two: first.order.comes.one_of_two,
        form: most_made_up(pieces),
    };
    let order = Order { parts: &parts, goods: tenth(goods)?, comes, ..first.order.clone() };
    let mut shared = sheet(&order)?;
    if listed.len() > 1 {
        let names: Vec<String> = listed
            .iter()
            .map(|piece| format!("{} ({} g)", piece.id, trimmed(piece.dry.to_grams(), 1)))
            .collect();
        shared.notes.insert(
            0,
            format!(
                "This bath is for {} pieces together: {}. All of them go in at once and come out at once.",
                listed.len(),
                names.join(", ")
            ),
        );
    }
    shared.pieces = listed;
    Ok(shared)
}

/// Cut panels where any piece is cut; like forms otherwise.
fn most_made_up(pieces: &[Sharing<'_>]) -> lore::GoodsForm {
    pieces.iter().map(|piece| piece.order.comes.form).max().unwrap_or_default()
}

fn tenth(mass: Mass) -> Result<Mass, Refusal> {
    Ok(Mass::try_grams(Shown::try_round(mass.to_grams(), 1)?.value())?)
}
