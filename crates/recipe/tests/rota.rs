//! The fewest swatches for pieces that share dyes, in simulation: dyes drawn around the starter shelf's
//! estimates.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

#[path = "common/workshop.rs"]
mod workshop;

use colour::{Lab, ciede2000};
use dyeing::Experience;
use recipe::{Rota, Waiting, rota};
use units::OnFibre;
use workshop::{House, house};

type Doses = Vec<(usize, OnFibre)>;

const TARGETS: [[f64; 3]; 4] =
    [[40.0, 30.0, 10.0], [42.0, 20.0, 18.0], [30.0, 0.0, -25.0], [50.0, 25.0, 5.0]];
const READ: f64 = 0.7;

fn lab(target: usize) -> Lab {
    let [l, a, b] = TARGETS[target];
    Lab::new(l, a, b)
}

/// The rota of these pieces, each with the swatches it has had.
fn asked(
    house: &House,
    known: &Experience,
    pieces: &[usize],
    had: &[Vec<Doses>],
    most: usize,
) -> Rota {
    let all: Vec<usize> = (0..house.dyes.len()).collect();
    let waiting = pieces.iter().zip(had).map(|(&piece, had)| Waiting {
        aimed: house.aimed(known, piece as u64, &all, lab(piece)),
        held: had.last().map(Vec::as_slice),
        first: None,
        stands: None,
        may_swatch: had.len() < most,
    });
    rota(&waiting.collect::<Vec<_>>(), READ).unwrap()
}

/// Goes by the rota to its end: what is known then, the swatches dyed, and how far off each piece then is.
fn gone_by(house: &House, pieces: &[usize]) -> (Experience, usize, Vec<f64>) {
    let mut known = house.known();
    let mut had: Vec<Vec<Doses>> = vec![vec![]; pieces.len()];
    loop {
        let rota = asked(house, &known, pieces, &had, 4);
        let Some(turn) = rota.turns.first() else {
            let off = |(stands, &piece): (&recipe::Stands, &usize)| {
                ciede2000(lab(piece), house.looks(&stands.dye_by.doses))
            };
            let off = rota.stands.iter().zip(pieces).map(off).collect();
            return (known, had.iter().map(Vec::len).sum(), off);
        };
        had[turn.piece].push(turn.swatch.doses.clone());
        known.learn(vec![house.dyed(pieces[turn.piece] as u64, &turn.swatch.doses)]).unwrap();
    }
}

#[test]
fn pieces_that_share_dyes_need_fewer_swatches_than_each_by_itself() {
    let house = house(0.8);
    let (_, together, off) = gone_by(&house, &[0, 1, 2, 3]);
    let alone: usize = (0..4).map(|piece| gone_by(&house, &[piece]).1).sum();
    assert!(together < alone, "{together} together, {alone} alone");
    assert!(off.iter().all(|off| *off <= 2.0), "{off:?}");
}

#[test]
fn a_turn_says_what_it_would_settle_and_takes_doubt_from_others_too() {
    let house = house(0.8);
    let rota = asked(&house, &house.known(), &[0, 1, 2, 3], &vec![vec![]; 4], 4);
    assert!(rota.stands.iter().all(|s| !s.settled));
    let first = &rota.turns[0];
    assert_eq!(first.doubts.len(), 4);
    for (piece, before, after) in &first.doubts {
        assert!(after <= before, "{piece}: {before} to {after}");
        // The swatch says most of its own piece.
        assert!(*piece != first.piece || *after < 0.6 * before, "{before} to {after}");
    }
    let others = first.doubts.iter().filter(|d| d.0 != first.piece);
    assert!(others.clone().any(|d| d.2 < 0.9 * d.1), "{:?}", first.doubts);
    // All turns together are forecast to settle every piece, each once.
    let mut settled: Vec<usize> = rota.turns.iter().flat_map(|t| t.settles.clone()).collect();
    settled.sort_unstable();
    assert_eq!(settled, [0, 1, 2, 3]);
}

#[test]
fn where_all_is_known_or_no_cloth_is_left_there_is_no_turn() {
    let house = house(0.8);
    // Pieces that cannot be swatched still have a recipe, and are told to be unsettled.
    let none = asked(&house, &house.known(), &[0, 2], &vec![vec![]; 2], 0);
    assert!(none.turns.is_empty());
    assert!(none.stands.iter().all(|s| !s.settled && !s.dye_by.doses.is_empty()));
    // The piece that can be swatched is, for the other one too.
    let all: Vec<usize> = (0..house.dyes.len()).collect();
    let known = house.known();
    let piece = |piece: usize, may_swatch: bool| Waiting {
        aimed: house.aimed(&known, piece as u64, &all, lab(piece)),
        held: None,
        first: None,
        stands: None,
        may_swatch,
    };
    let told = rota(&[piece(0, false), piece(1, true)], READ).unwrap();
    assert!(!told.turns.is_empty() && told.turns.iter().all(|t| t.piece == 1));
    assert!(rota(&[], READ).unwrap().turns.is_empty());
    // A colour that was brought to cloth often before needs no swatch in another piece.
    let (mut known, ..) = gone_by(&house, &[0]);
    for job in 50..56 {
        let told = recipe::shots(&house.aimed(&known, job, &all, lab(0)), 1).unwrap().remove(0);
        known.learn(vec![house.dyed(job, &told.doses)]).unwrap();
    }
    let again = Waiting {
        aimed: house.aimed(&known, 99, &all, lab(0)),
        held: None,
        first: None,
        stands: None,
        may_swatch: true,
    };
    let told = rota(&[again], READ).unwrap();
    assert!(told.stands[0].settled && told.turns.is_empty(), "{:?}", told.stands[0].dye_by.recipe);
}

#[test]
fn the_same_question_has_the_same_rota() {
    let house = house(0.5);
    let ask = || asked(&house, &house.known(), &[0, 1, 2], &vec![vec![]; 3], 4);
    assert_eq!(ask(), ask());
}
