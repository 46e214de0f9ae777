//! One workshop at work on some pieces: swatch by swatch as the rota says, until it says stop.

use std::sync::LazyLock;

use colour::{Light, ciede2000};
use dyehouse::{House, Jar, Job, Part, Reader, Recipe};
use dyeing::{Dyeing, Experience, Glimpse, InBath, Scatter, Seen, Setting, Stocked};
use recipe::{Aimed, Rota, Waiting, rota};
use units::OnFibre;

use crate::strategy::{Doses, Fault, Told};

/// Dyeing scatter and dosing scatter of the words of the simulation.
const SCATTER: Scatter = Scatter { common: 0.03, each: 0.03 };
pub(crate) const DOSING: f64 = 0.015;
/// The most swatches of one piece.
const MOST_SWATCHES: usize = 4;
/// The fibres by cloth of the house.
const FIBRES: [&str; 2] = ["cotton", "viscose"];

static LIGHTS: LazyLock<Vec<Light>> = LazyLock::new(|| vec![Light::D65]);

/// What one way came to.
#[derive(Default, Clone, Copy)]
pub(crate) struct Came {
    pub(crate) swatches: u32,
    pub(crate) within: u32,
    pub(crate) pieces: u32,
    /// Pieces by how many swatches they had themselves.
    pub(crate) by_swatches: [u32; MOST_SWATCHES + 1],
}

impl Came {
    /// Both together.
    pub(crate) fn and(self, other: Self) -> Self {
        Self {
            swatches: self.swatches + other.swatches,
            within: self.within + other.within,
            pieces: self.pieces + other.pieces,
            by_swatches: std::array::from_fn(|k| self.by_swatches[k] + other.by_swatches[k]),
        }
    }
}

/// One piece on the table.
struct Piece<'a> {
    told: &'a Told<'a>,
    number: u64,
    job: Option<Job<'a>>,
    swatches: Vec<Doses>,
}

/// Swatches these pieces as the rota says, and judges the recipes they stand by in the end.
pub(crate) fn dyed(house: &House, pieces: &[(u64, &Told)], reader: &Reader) -> Result<Came, Fault> {
    let Some((_, first)) = pieces.first() else { return Ok(Came::default()) };
    let stock = first.published.iter().map(|dye| Stocked { dye: dye.clone(), lot_of: None });
    let mut known = Experience::try_new(stock.collect())?;
    for (_, told) in pieces {
        known.also_on(FIBRES[told.bolt.0])?;
    }
    let dyes: Vec<usize> = (0..first.published.len()).collect();
    let mut table: Vec<Piece> = pieces
        .iter()
        .map(|&(number, told)| Piece { told, number, job: None, swatches: vec![] })
        .collect();
    let rota = loop {
        let rota = ask(&table, &known, &dyes, reader)?;
        let Some(turn) = rota.turns.first() else { break rota };
        let piece = &mut table[turn.piece];
        let recipe = recipe(piece.told, &turn.swatch.doses);
        let job = match &mut piece.job {
            Some(job) => job,
            none => none.insert(house.begin(piece.number, &recipe)?),
        };
        piece.swatches.push(turn.swatch.doses.clone());
        let dyed = job.dye(&recipe, u32::try_from(piece.swatches.len())?)?;
        let reading = job.read(&dyed, reader);
        let bath = |&(dye, dose): &(usize, OnFibre)| InBath { dye, dose, scatter: DOSING };
        // Half of the variance of the reader is one bias of the job.
        let half = reading.scatter * 0.5f64.sqrt();
        known.learn(vec![Dyeing {
            on: piece.told.on.clone(),
            fibre: FIBRES[piece.told.bolt.0].to_owned(),
            job: piece.number,
            bath: turn.swatch.doses.iter().map(bath).collect(),
            scatter: SCATTER,
            glimpse: Glimpse { seen: Seen::Colour(reading.lab), bias: half, spread: half },
        }])?;
    };
    let mut came = Came::default();
    for (piece, stands) in table.iter().zip(&rota.stands) {
        let truth = house.true_lab(&recipe(piece.told, &stands.dye_by.doses))?;
        came.within += u32::from(ciede2000(truth, piece.told.lab) <= piece.told.tolerance);
        came.pieces += 1;
        came.swatches += u32::try_from(piece.swatches.len())?;
        came.by_swatches[piece.swatches.len()] += 1;
    }
    Ok(came)
}

fn ask(
    table: &[Piece],
    known: &Experience,
    dyes: &[usize],
    reader: &Reader,
) -> Result<Rota, Fault> {
    let waiting = table.iter().map(|piece| Waiting {
        aimed: Aimed {
            experience: known,
            setting: Setting {
                on: piece.told.on,
                fibre: FIBRES[piece.told.bolt.0],
                job: piece.number,
            },
            dyes,
            target: piece.told.target,
            lights: &LIGHTS,
            most_dyes: 4,
            most_total: None,
            dosing: DOSING,
            scatter: SCATTER,
            tolerance: piece.told.tolerance,
        },
        held: piece.swatches.last().map(Vec::as_slice),
        first: None,
        stands: None,
        may_swatch: piece.swatches.len() < MOST_SWATCHES,
    });
    Ok(rota(&waiting.collect::<Vec<_>>(), reader.scatter())?)
}

fn recipe(told: &Told, doses: &Doses) -> Recipe {
    let part = |&(place, dose): &(usize, OnFibre)| Part { jar: Jar(place), dose };
    Recipe { bolt: told.bolt, parts: doses.iter().map(part).collect(), ratio: told.ratio }
}
