//! Dyes that are said to be in a cloth of a photograph: their absorptions and the undyed cloth, as `picture` takes them.
//!
//! Left out: how much of each there is, which the photograph says.

use colour::Bands;
use costume::ShelfDye;
use lore::{Lore, Makeup};
use picture::Shapes;
use units::Share;

use crate::asked::Asked;
use crate::photo_swatches::dyed_in;
use crate::predicted::{cloth_of, ground};
use crate::{PredictWanted, ReadWanted, Trouble, shelves};

/// The dyes, ready to be looked for.
pub(crate) struct Dyed {
    /// Their ids.
    pub(crate) dyes: Vec<String>,
    /// The undyed cloth in words.
    pub(crate) undyed: String,
    /// What they absorb.
    pub(crate) shapes: Shapes,
}

/// What the request says of dyes; none where it says nothing.
pub(crate) fn dyed(wanted: &ReadWanted) -> Result<Option<Dyed>, Trouble> {
    let (dyes, cloth, undyed) = match &wanted.dyes_of {
        Some(code) => {
            let found = dyed_in(code, wanted.book.as_deref())?;
            let undyed = wanted.undyed.clone().or(found.undyed);
            (found.dyes, wanted.on.clone().unwrap_or(found.cloth), undyed)
        }
        None if wanted.dyes.is_empty() => return Ok(None),
        None => {
            let cloth = wanted.on.clone().ok_or_else(|| {
                let says = "the dyes are named, and the cloth they are on was not said";
                Trouble::refused(says, "name its fibre with --on cotton")
            })?;
            (wanted.dyes.clone(), cloth, wanted.undyed.clone())
        }
    };
    let lore = Lore::shipped();
    let shelf = shelves::of(wanted.shelf.as_deref(), lore)?;
    let mut asked = Asked::default();
    let mut known: Vec<&ShelfDye> = vec![];
    for id in dyes.iter().map(|d| d.trim()).filter(|d| !d.is_empty()) {
        let at = asked.typed("--dyes", id);
        match shelf.dyes.iter().find(|d| d.dye.id == id) {
            None => {
                let says = format!("there is no dye \"{id}\" on this shelf");
                asked.fault(at, says, shelves::near_ids(id, &shelf));
            }
            Some(dye) if known.iter().any(|k| k.dye.id == dye.dye.id) => {
                asked.fault(at, format!("{id} is named twice"), "name each dye once");
            }
            Some(dye) => known.push(dye),
        }
    }
    let about = PredictWanted { cloth, undyed, ..PredictWanted::default() };
    cloth_of(&mut asked, &about, "--on")?;
    let costume = asked.costume(lore)?;
    let hint = "name the fibre with --on cotton";
    let Some(piece) = costume.pieces.first() else {
        return Err(Trouble::refused("no cloth was named", hint));
    };
    let Makeup::Known(portions) = &piece.goods.makeup else {
        return Err(Trouble::refused("what dyes do on cloth of unknown fibre is not known", hint));
    };
    let fibres: Vec<(&str, Share)> =
        portions.iter().map(|p| (p.material.as_str(), p.share)).collect();
    let (ground, undyed) = ground(&piece.ground, &fibres)?;
    let white = Bands::try_new(ground.reflectance()).map_err(|e| {
        Trouble::refused(e.to_string(), "give the undyed cloth with --undyed white")
    })?;
    let shapes = Shapes::try_new(&white, known.iter().map(|d| d.dye.absorbs()).collect());
    let shapes = shapes.map_err(|e| match e {
        picture::Refusal::Unfit { what, rule } => Trouble::refused(what, rule),
        other => Trouble::refused(other.to_string(), "name one to four dyes of the shelf"),
    })?;
    Ok(Some(Dyed { dyes: known.iter().map(|d| d.dye.id.clone()).collect(), undyed, shapes }))
}
