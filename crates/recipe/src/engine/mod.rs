//! The numerical search: every set of up to four dyes, each with its best amounts.
//!
//! For every set of 1 to k dyes of a palette the engine minimises F(x) = Σ share·ΔE00² over the
//! lights, within 0 ≤ xᵢ ≤ mostᵢ, x being *fixed* dye (so saturation stays outside). It works on plain
//! arrays of 31 bands, 400–700 nm by 10; units, names and the ranking of what is found belong to the
//! rooms around it.
//!
//! Two ways ([`Way`]) lead to the same answers. *Afresh* solves every set from its own start, as a
//! brute force would. *Climb* takes sizes in turn and starts each set at the best of its subsets; a
//! set whose extra dye would only make that worse is settled without being solved, because its best
//! is the subset's. Choosing is done four sets abreast in f32; the best are then finished in f64.
//! The same bits come out on every machine and for any number of threads.
//!
//! Left out: cost, weighability, confidence, and everything else that is not ΔE00. Never here: a
//! clock, randomness, the disk.

mod check;
mod difference;
mod fit;
mod lane;
mod law;
mod level;
mod sets;
mod solve;
mod start;
mod view;

pub use check::Unsearchable;
pub use difference::difference;
pub(crate) use difference::sloped;
pub use law::{Law, Side};
pub use solve::{labs, reflectance, search, solve_one};

/// Bands from 400 nm to 700 nm by 10 nm.
pub const BANDS: usize = 31;

/// The most dyes in one set.
pub const MOST_DYES: usize = 4;

/// A cloth and the dyes that may go on it.
#[derive(Clone, Debug)]
pub struct Palette {
    /// K/S of the undyed cloth, inside the surface, each band above 0.
    pub cloth_ks: [f64; BANDS],
    /// Flat reflection of the surface, 0 to below 1.
    pub surface: f64,
    /// K/S per unit of fixed dye, one row a dye.
    pub shapes: Vec<[f64; BANDS]>,
    /// The most fixed dye of each, in the unit of `shapes`.
    pub most: Vec<f64>,
    /// How depth shows.
    pub law: Law,
}

/// What to match, and under which lights.
#[derive(Clone, Debug)]
pub struct Aim {
    /// The lights; their shares weigh ΔE00² (1/n each for a plain mean).
    pub lights: Vec<LightAim>,
    /// A reflectance near the target, for the start values only.
    pub start: [f64; BANDS],
}

/// One light and the colour wanted under it.
#[derive(Clone, Debug)]
pub struct LightAim {
    /// X, Y and Z weights (ASTM E308), Y of the perfect white being 100.
    pub weights: [[f64; BANDS]; 3],
    /// X, Y, Z of the perfect white.
    pub white: [f64; 3],
    /// L*, a*, b* wanted.
    pub lab: [f64; 3],
    /// Weight of this light's ΔE00².
    pub share: f64,
}

/// Where each set starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Every set from its own start: brute force.
    Afresh,
    /// Every set from the best of its subsets, unsolved where the extra dye cannot help from there.
    Climb,
}

/// How hard to search and what to return.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The way to go.
    pub way: Way,
    /// The most steps per set.
    pub steps: u32,
    /// A set has settled when a step gains less than this in rms ΔE00.
    pub gain: f64,
    /// Sets that start further away than this are given up: with [`Way::Afresh`] the rms ΔE00 at
    /// the start, with [`Way::Climb`] that of the best subset of a set of four. `None` gives up none.
    pub too_far: Option<f64>,
    /// How many of the best sets to return.
    pub keep: usize,
    /// How many of those, best first, to finish in f64.
    pub finish: usize,
    /// Whether to list sets in which a dye ends at nothing (the set without it is listed anyway).
    pub list_idle: bool,
    /// Sizes that would bring the sets tried above this are not begun.
    pub most_sets: usize,
}

impl Default for Settings {
    /// Climb; 40 steps, gain 1e-4; the best 200, all finished; 20 million sets.
    fn default() -> Self {
        Self {
            way: Way::Climb,
            steps: 40,
            gain: 1e-4,
            too_far: None,
            keep: 200,
            finish: 200,
            list_idle: false,
            most_sets: 20_000_000,
        }
    }
}

/// A set of dyes with its best amounts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combo {
    /// Places in the palette, ascending; the first `n` count.
    pub dyes: [u16; MOST_DYES],
    /// How many dyes.
    pub n: u8,
    /// Whether the amounts were finished in f64; otherwise `rms` is good to about 0.001.
    pub finished: bool,
    /// Fixed dye of each.
    pub x: [f64; MOST_DYES],
    /// √F: the root of the share-weighted mean square ΔE00.
    pub rms: f64,
}

/// Why the search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyStopped {
    /// Every set of every size asked for was answered.
    EverySet,
    /// `size` was not begun: it has `sets` sets, more than the settings allow.
    TooManySets {
        /// The size that was not begun.
        size: usize,
        /// How many sets it has.
        sets: usize,
    },
}

/// What a search found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The best sets, best first; equal ones by size, then by dyes.
    pub combos: Vec<Combo>,
    /// Sets answered.
    pub tried: usize,
    /// Of these: settled by their subset without being solved.
    pub idle: usize,
    /// Of these: given up as too far.
    pub too_far: usize,
    /// Of these: out of steps before they settled (their amounts are the best seen).
    pub unsettled: usize,
    /// Why it ended.
    pub stopped: WhyStopped,
}
