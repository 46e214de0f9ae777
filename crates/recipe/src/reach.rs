//! Whether a shelf can bring a cloth to a colour, and if not, how near, what limits it, what helps.
//!
//! The nearest reachable colour is the best of every set of up to four dyes in the reference light
//! alone. What limits it is found by asking again with that limit lifted: a white cloth, doses
//! without a ceiling, ideal dyes.

use colour::{BANDS, Bands, Lab, Light, Weights, ciede2000};
use units::OnFibre;

use crate::cap::{divided, held, lighter};
use crate::engine::{self, Combo, Palette, Settings, Way};
use crate::setting::{aim, doses, palette};
use crate::{Question, Refusal};

/// A gap up to this (ΔE00) counts as reached: half of what passes edge to edge.
pub const REACHED: f64 = 0.5;

/// The verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// True when the target can be met in the reference light.
    pub within: bool,
    /// ΔE00 between the target and the nearest reachable colour.
    pub gap: f64,
    /// The nearest reachable colour.
    pub nearest: Lab,
    /// The doses that give it.
    pub doses: Vec<(usize, OnFibre)>,
    /// What limits it, the strongest first; empty when the target is reached.
    pub limits: Vec<Limit>,
}

/// Something that keeps the target out of reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// What it is.
    pub what: Cause,
    /// The gap that would be left without it; for [`Cause::NoSurface`], what is left on white cloth
    /// with ideal dyes at any depth.
    pub gap_without: f64,
}

/// What can keep a target out of reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The cloth is too dark or too coloured; dye only takes light away.
    Cloth,
    /// No set of these dyes has the hue at that brightness.
    Dyes,
    /// The dyes do not go deep enough.
    Depth,
    /// No surface without fluorescence or shine can show it.
    NoSurface,
}

impl Reach {
    /// A recipe of the same question that turns out nearer than the nearest colour that was found takes its
    /// place: nothing proposed is ever nearer than what is said to be the nearest.
    pub(crate) fn or_nearer(&mut self, gap: f64, lab: Lab, doses: &[(usize, OnFibre)]) {
        if gap >= self.gap {
            return;
        }
        self.gap = gap;
        self.nearest = lab;
        self.doses = doses.to_vec();
        self.within = gap <= REACHED;
        if self.within {
            self.limits.clear();
        }
        for limit in &mut self.limits {
            limit.gap_without = limit.gap_without.min(gap);
        }
    }
}

impl Cause {
    /// What limits, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cloth => {
                "the cloth: undyed it is already darker or more coloured than the target allows"
            }
            Self::Dyes => "the dyes: no set of them comes to this hue and strength together",
            Self::Depth => "depth: the dyes cannot be fixed deep enough on this cloth",
            Self::NoSurface => "no dyed cloth can be so bright and so strong at once",
        }
    }

    /// What would help, with its risk.
    #[must_use]
    pub const fn helps(self) -> &'static str {
        match self {
            Self::Cloth => {
                "a whiter cloth of the same fibre, or lightening this one first (strips weaken cloth; swatch it)"
            }
            Self::Dyes => {
                "another dye, clearer or nearer to this hue (swatch it before it is trusted)"
            }
            Self::Depth => {
                "a fibre or a class that takes deeper, or a second dyeing once the first is rinsed (swatch it: more wear)"
            }
            Self::NoSurface => {
                "accept the nearest colour, or use paint or light where the piece must glow"
            }
        }
    }
}

/// Looks how near the shelf can bring the cloth to the target.
pub fn reach(question: &Question, threads: usize) -> Result<Reach, Refusal> {
    let shelf = palette(question);
    let best = nearest(question, &shelf, threads)?;
    let undyed = question.on.undyed();
    let light = Weights::reference();
    let target = light.lab(&question.target.bands);
    let bare = ciede2000(target, light.lab_of(&undyed));
    let (gap, lab, combo) = match best {
        Some((gap, lab, combo)) if gap <= bare => (gap, lab, Some(combo)),
        _ => (bare, light.lab_of(&undyed), None),
    };
    let within = gap <= REACHED;
    let limits =
        if within { vec![] } else { limits(question, &shelf, gap, combo.as_ref(), threads)? };
    let doses = combo.map_or_else(Vec::new, |c| doses(question, &c));
    Ok(Reach { within, gap, nearest: lab, doses, limits })
}

/// The best of every set. Where the climb does not arrive, every set is solved from its own start as
/// well, and the best of both from several: far from the target the difference has more than one
/// hollow (a colour of the wrong hue may end as near as one of the right hue).
fn nearest(
    question: &Question,
    shelf: &Palette,
    threads: usize,
) -> Result<Option<(f64, Lab, Combo)>, Refusal> {
    let goal = aim(&question.target, &[Light::D65]);
    let broken = |e: engine::Unsearchable| Refusal::Engine(e.to_string());
    let settings = Settings { keep: FINISHED, finish: FINISHED, ..Settings::default() };
    let found = engine::search(shelf, &goal, engine::MOST_DYES, &settings, threads);
    let mut combos = found.map_err(broken)?.combos;
    if combos.first().is_some_and(|c| c.rms > REACHED) {
        let afresh = Settings { way: Way::Afresh, ..settings.clone() };
        let found = engine::search(shelf, &goal, engine::MOST_DYES, &afresh, threads);
        combos.extend(found.map_err(broken)?.combos);
        for at in 0..combos.len() {
            let combo = combos[at];
            let set: Vec<usize> =
                combo.dyes[..usize::from(combo.n)].iter().map(|d| usize::from(*d)).collect();
            combos.push(engine::solve_one(shelf, &goal, &set, &settings, STARTS).map_err(broken)?);
        }
    }
    if question.most_total.is_some() {
        for (dyes, lighter) in lighter(question, shelf) {
            let found = engine::search(&lighter, &goal, dyes, &settings, threads);
            combos.extend(found.map_err(broken)?.combos);
        }
        for combo in &mut combos {
            *combo = held(question, (shelf, &goal), *combo)?;
        }
        combos.sort_by(|a, b| a.rms.total_cmp(&b.rms));
        if combos.first().is_some_and(|c| c.rms > REACHED) {
            for combo in combos.iter_mut().take(DIVIDED) {
                *combo = divided(question, (shelf, &goal), *combo)?;
            }
        }
    }
    let Some(first) = combos.into_iter().min_by(|a, b| a.rms.total_cmp(&b.rms)) else {
        return Ok(None);
    };
    let recipe: Vec<(usize, f64)> =
        (0..usize::from(first.n)).map(|i| (usize::from(first.dyes[i]), first.x[i])).collect();
    let lab = Weights::reference().lab_of(&engine::reflectance(shelf, &recipe));
    Ok(Some((first.rms, lab, first)))
}

/// How many of the best sets are finished, and from how many starts each is tried again when the
/// target was not reached (`examples/reach` against dense sampling: none of 1,260 verdicts wrong).
const FINISHED: usize = 24;
const STARTS: usize = 8;
/// How many of the best sets have the limit on all dye together divided anew among their dyes.
const DIVIDED: usize = 12;

/// Asks again with each limit lifted; a limit that frees a quarter of the gap is named.
fn limits(
    question: &Question,
    shelf: &Palette,
    gap: f64,
    combo: Option<&Combo>,
    threads: usize,
) -> Result<Vec<Limit>, Refusal> {
    let mut limits = vec![];
    let mut try_without =
        |what: Cause, asked: &Question, lifted: &Palette| -> Result<(), Refusal> {
            let gap_without = nearest(asked, lifted, threads)?.map_or(gap, |n| n.0);
            if gap_without < 0.75 * gap {
                limits.push(Limit { what, gap_without });
            }
            Ok(())
        };
    try_without(Cause::Cloth, question, &on_white(shelf))?;
    let at_most = combo.is_some_and(|c| {
        let most =
            (0..usize::from(c.n)).any(|i| c.x[i] >= 0.98 * shelf.most[usize::from(c.dyes[i])]);
        let total: f64 = doses(question, c).iter().map(|d| d.1.to_percent()).sum();
        most || question.most_total.is_some_and(|cap| total >= 0.97 * cap.to_percent())
    });
    let uncapped = Question { most_total: None, ..question.clone() };
    if at_most {
        let mut deeper = shelf.clone();
        deeper.most.iter_mut().for_each(|m| *m *= 4.0);
        try_without(Cause::Depth, &uncapped, &deeper)?;
    }
    try_without(Cause::Dyes, &uncapped, &with_ideal_dyes(shelf))?;
    let mut ideal = with_ideal_dyes(&on_white(shelf));
    ideal.most.iter_mut().for_each(|m| *m *= 4.0);
    let gap_without = nearest(&uncapped, &ideal, threads)?.map_or(gap, |n| n.0);
    if gap_without > NO_SURFACE {
        limits.push(Limit { what: Cause::NoSurface, gap_without });
    } else if limits.is_empty() {
        // Only all together free the gap: clearer dyes are what a maker can get.
        limits.push(Limit { what: Cause::Dyes, gap_without });
    }
    limits.sort_by(|a, b| a.gap_without.total_cmp(&b.gap_without));
    Ok(limits)
}

/// What white cloth and ideal dyes at any depth leave open beyond this (ΔE00) is the fault of neither:
/// a little more than our few ideal dyes may miss of what real surfaces show (judgement).
const NO_SURFACE: f64 = 2.0;

/// The same shelf on a cloth of reflectance 0.95.
fn on_white(shelf: &Palette) -> Palette {
    const WHITE_KS: [f64; BANDS] = [0.05 * 0.05 / (2.0 * 0.95); BANDS];
    let mut white = shelf.clone();
    match &mut white.law {
        engine::Law::Sides(sides) => sides.iter_mut().for_each(|side| side.cloth_ks = WHITE_KS),
        _ => white.cloth_ks = WHITE_KS,
    }
    white
}

/// The same shelf with clear dyes added at every part of the spectrum.
fn with_ideal_dyes(shelf: &Palette) -> Palette {
    let mut ideal = shelf.clone();
    for peak in (400..=680).step_by(40) {
        let clear = std::array::from_fn(|i| {
            #[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
            let away = (Bands::wavelength(i) as f64 - f64::from(peak)) / 28.0;
            12.0 * colour::maths::exp(-away * away)
        });
        ideal.shapes.push(clear);
        ideal.most.push(4.0);
    }
    ideal
}
