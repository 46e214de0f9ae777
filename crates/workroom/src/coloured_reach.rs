//! Whether a shelf on a cloth reaches the colours of a picture: as they are, and with the picture's white brought to
//! the cloth's white. A costume of one piece for each colour is planned, so that the answer is the plan's own.

use std::ops::ControlFlow;

use colour::{ClothPrior, Lab, Screen, Shown, Weights, Xyz};
use lore::Lore;
use plan::document::PiecePlan;
use plan::{Progress, Request};

use crate::asked::{Asked, cloth};
use crate::coloured::{Anchored, ColoursWanted, FlatSeen};
use crate::predicted::undyed_line;
use crate::{Trouble, shelves, shown};

/// Most colours asked at once: the largest; each is a whole search.
pub(crate) const MOST_ASKED: usize = 24;

/// Asks for every flat that is no ground and that a cloth can show.
pub(crate) fn ask_shelf(
    wanted: &ColoursWanted,
    flats: &mut [FlatSeen],
    notes: &mut Vec<String>,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<(), Trouble> {
    let mut asked: Vec<usize> =
        (0..flats.len()).filter(|i| flats[*i].cloth_can && !flats[*i].ground).collect();
    if asked.len() > MOST_ASKED {
        notes.push(format!("Only the {MOST_ASKED} largest colours were asked of the shelf."));
        asked.truncate(MOST_ASKED);
    }
    if asked.is_empty() {
        return Ok(());
    }
    let as_drawn: Vec<String> =
        asked.iter().map(|i| format!("{{ hex = \"{}\" }}", flats[*i].hex)).collect();
    let pieces = planned(wanted, &as_drawn, tell)?;
    let mut white = None;
    for (at, piece) in asked.iter().zip(pieces) {
        white = white.or_else(|| piece.cloth.as_ref().map(|c| c.lab));
        if piece.reach.is_none() {
            flats[*at].no_reach = Some(piece.why);
        }
        flats[*at].reach = piece.reach;
    }
    let Some([l, a, b]) = white else { return Ok(()) };
    let white = Lab::new(l, a, b);
    let anchored: Vec<(usize, Lab)> = asked
        .iter()
        .filter_map(|i| {
            let [l, a, b] = flats[*i].aim?;
            Some((*i, on_white(Lab::new(l, a, b), white)))
        })
        .collect();
    let targets: Vec<String> = anchored
        .iter()
        .map(|(_, lab)| {
            let [l, a, b] = shown::lab(*lab);
            format!("{{ lab = [{l:.1}, {a:.1}, {b:.1}] }}")
        })
        .collect();
    let pieces = planned(wanted, &targets, tell)?;
    for ((at, lab), piece) in anchored.into_iter().zip(pieces) {
        let hex = ClothPrior::shipped().likely(lab).map_or_else(
            |_| Shown::of_lab2(Screen::Srgb, lab).colour.to_hex(),
            |likely| shown::on_screen(&likely.bands).0,
        );
        flats[at].anchored = Some(Anchored { lab: shown::lab(lab), hex, reach: piece.reach });
    }
    notes.push(
        "Beside the cloth's white: a colour keeps its share of the white, the undyed cloth standing in for the screen's \
         white. --on-cloth-white keeps the colours so."
            .to_owned(),
    );
    Ok(())
}

/// The same share of the cloth's white as a colour has of a perfect white, in XYZ.
fn on_white(colour: Lab, white: Lab) -> Lab {
    let perfect = Weights::reference().white();
    let (c, w) = (colour.to_xyz(perfect), white.to_xyz(perfect));
    let by = |c: f64, w: f64, p: f64| c * w / p;
    Xyz { x: by(c.x, w.x, perfect.x), y: by(c.y, w.y, perfect.y), z: by(c.z, w.z, perfect.z) }
        .to_lab(perfect)
}

fn planned(
    wanted: &ColoursWanted,
    targets: &[String],
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Vec<PiecePlan>, Trouble> {
    let lore = Lore::shipped();
    let shelf = shelves::of(wanted.shelf.as_deref(), lore)?;
    let mut asked = Asked::default();
    asked.line("[costume]\nname = \"colours of a picture\"\n[kitchen]\nscale_g = 0.1");
    // Pots that never are the reason why not: reach is asked, not a bath.
    asked.line("syringes_ml = [1, 10, 500]\n[[kitchen.vessel]]\nname = \"jar\"\nlitres = 1.0");
    asked.line(
        "of = \"glass\"\n[[kitchen.vessel]]\nname = \"pot\"\nlitres = 400.0\nof = \"stainless\"",
    );
    for (i, target) in targets.iter().enumerate() {
        asked.line(&format!("[[piece]]\nid = \"flat-{}\"\nweight_g = 100.0", i + 1));
        asked.line(&format!("target = {target}"));
        let given = wanted.cloth.as_deref().unwrap_or_default();
        asked.argument("--cloth", given, cloth(given), "cloth = \"cotton\"");
        if let Some(given) = &wanted.undyed {
            asked.argument("--undyed", given, undyed_line(given), "");
        }
    }
    let costume = asked.costume(lore).map_err(once)?;
    let request = Request {
        lore,
        costume: &costume,
        shelf: &shelf,
        taught: None,
        today: wanted.today,
        threads: 0,
    };
    Ok(plan::plan(&request, tell)?.pieces)
}

/// Cloth and ground were typed once, and are told once, however many colours were asked of them.
fn once(mut trouble: Trouble) -> Trouble {
    if let Trouble::Faults(faults) = &mut trouble {
        let mut told: Vec<String> = vec![];
        faults.list.retain(|fault| {
            let new = !told.contains(&fault.says);
            told.push(fault.says.clone());
            new
        });
    }
    trouble
}
