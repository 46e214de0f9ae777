//! Another recipe instead of a dropped piece: where only a parcel is too late, and one of the piece's other recipes
//! takes none of what has to come. Whether the shelf holds enough for it is found by planning again.

use days::{Ask, Date, Timetable, WhyDropped};

use crate::document::{PiecePlan, RecipeSeen, Shopping};
use crate::seen::sentence;

/// What is said of one piece.
pub(super) struct Offer {
    /// Id of the piece.
    pub(super) piece: String,
    /// What comes too late, and what to dye it with instead.
    pub(super) words: String,
}

/// The pieces that need not be dropped for a parcel, in the order they would have been.
pub(super) fn offers(
    ask: &Ask,
    found: &Timetable,
    pieces: &[PiecePlan],
    shopping: &Shopping,
) -> Vec<Offer> {
    let Date::Missed { rescue } = &found.date else { return vec![] };
    let late = rescue.drop.iter().filter_map(|dropped| match &dropped.why {
        WhyDropped::DeliveryTooLate(items) => Some((&dropped.piece, items)),
        _ => None,
    });
    late.filter_map(|(id, items)| {
        let piece = pieces.iter().find(|piece| piece.id == *id)?;
        // Auxiliaries go with the class, not with the recipe; in a set one recipe answers for the other.
        let dyes = items.iter().all(|item| piece.recipes.iter().any(|recipe| takes(recipe, item)));
        let recipe = piece
            .recipes
            .iter()
            .filter(|recipe| !recipe.chosen)
            .find(|recipe| ask.items.iter().all(|item| !takes(recipe, &item.name)))
            .filter(|_| dyes && piece.special.set.is_none())?;
        let names = |ids: &[String]| {
            let name = |id: &String| {
                let row = shopping.rows.iter().find(|row| row.item == *id);
                row.map_or_else(|| id.clone(), |row| row.name.clone())
            };
            ids.iter().map(name).collect::<Vec<_>>().join("; ")
        };
        let of: Vec<&str> = recipe.dyes.iter().map(|dye| dye.name.as_str()).collect();
        let words = format!(
            "Before {} is dropped: only what its recipe has to wait for comes too late ({}). Its recipe of {} \
             ({} from the target in daylight) waits for nothing: take the late dye out of the shelf file and plan \
             again",
            piece.name,
            names(items),
            of.join(" + "),
            recipe.difference
        );
        Some(Offer { piece: id.clone(), words: sentence(&words) })
    })
    .collect()
}

fn takes(recipe: &RecipeSeen, item: &str) -> bool {
    recipe.dyes.iter().any(|dye| dye.id == item)
}
