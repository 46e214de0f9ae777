//! Sets of pieces matched together against each piece matched alone.
//!
//! `cargo run --release -p recipe --example matched_sets -- --seed S [--sets 200] [--threads 0]
//! [--terms nearest]`
//!
//! Each set is drawn by the seed: two to four pieces of as many different fibres and two or three dye
//! classes, a cloth white or natural, 100 to 900 g each, a jewellery scale and a 10 mL syringe, under four lights (daylight, tungsten, an LED lamp,
//! a tri-band tube). The target is what three dyes of the first piece would give on it, as a spectrum
//! or (every other set) as a colour alone; all pieces have it, with a tolerance of 2. The dyes are the
//! starter shelf's, by class: estimates, so the figures say what such a shelf could do and not what any
//! dyeing did. *Alone* is the first recipe that `propose` gives. `left_tolerance` counts pieces that are
//! within their tolerance alone and not in the set, under each of the four lights on its own: stricter than
//! daylight, which is among them. Progress goes to stderr; the last line is JSON, in which `ratio` is
//! joint ÷ alone of the largest ΔE00 between two pieces over the lights.
//!
//! `--terms nearest`, the usual, asks for the smallest largest difference there is: it measures the solver.
//! `--terms to-dye` asks as a plan does, where pieces well inside what passes keep their own recipes and
//! plainer recipes count for more than what two dyeings hide. `new_dyes` counts dyes in recipes of the set
//! that the piece does not have alone, `kept` the sets whose pieces keep their recipes.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

use std::error::Error;
use std::time::Instant;

use colour::{Bands, ClothPrior, Light, Weights};
use dosing::{Kit, Scale, StockRules, Syringe};
use dyeing::{Dosed, Dye, Ground, HOME, Look, Spread, Substrate, absorbed, starter};
use lore::Procedure;
use recipe::{Candidate, Choice, Go, Member, Question, Target, Terms, matched, propose};
use units::{LiquorRatio, Mass, OnFibre, Share, StockStrength, Volume};

const LIGHTS: [Light; 4] = [Light::D65, Light::A, Light::LedB3, Light::Fl11];
const TOLERANCE: f64 = 2.0;
/// What passes between panels of one garment.
const PASSES: f64 = 1.0;

/// Fibres with the baths that suit them at home.
const WAYS: [(&str, Procedure); 11] = [
    ("cotton", Procedure::ReactiveCold),
    ("viscose", Procedure::ReactiveCold),
    ("linen", Procedure::ReactiveCold),
    ("cotton", Procedure::Direct),
    ("wool", Procedure::AcidMilling),
    ("silk", Procedure::AcidMilling),
    ("nylon-6", Procedure::AcidMilling),
    ("felted-wool", Procedure::AcidLevelling),
    ("polyester", Procedure::Disperse),
    ("acetate", Procedure::Disperse),
    ("acrylic", Procedure::Basic),
];

fn main() -> Result<(), Box<dyn Error>> {
    let (mut seed, mut sets, mut threads, mut as_dyed) = (1u64, 200usize, 0usize, false);
    let mut args = std::env::args().skip(1);
    while let Some(name) = args.next() {
        let value = args.next().ok_or(format!("{name}: give a number"))?;
        match name.as_str() {
            "--seed" => seed = value.parse()?,
            "--sets" => sets = value.parse()?,
            "--threads" => threads = value.parse()?,
            "--terms" => as_dyed = terms_named(&value)?,
            _ => return Err(format!("{name}: one of --seed, --sets, --threads, --terms").into()),
        }
    }
    let mut dice = Dice(seed);
    let mut tally = Tally::default();
    for at in 0..sets {
        let set = Drawn::roll(&mut dice, at % 2 == 1)?;
        let begun = Instant::now();
        set.solve(threads, as_dyed, &mut tally)?;
        let took = begun.elapsed().as_secs_f64();
        eprintln!("{} of {sets} sets: {} pieces, {took:.1} s", at + 1, set.pieces.len());
    }
    println!("{}", tally.json(seed));
    Ok(())
}

/// Whether sets are asked for as a plan does.
fn terms_named(name: &str) -> Result<bool, String> {
    match name {
        "nearest" => Ok(false),
        "to-dye" => Ok(true),
        _ => Err(format!("--terms {name}: nearest or to-dye")),
    }
}

struct Drawn {
    pieces: Vec<Drawnpiece>,
    target: Target,
    kit: Kit,
}

struct Drawnpiece {
    way: Procedure,
    on: Substrate,
    goods: Mass,
}

impl Drawn {
    fn roll(dice: &mut Dice, colour_only: bool) -> Result<Self, Box<dyn Error>> {
        let millilitres = Volume::try_millilitres;
        let syringe = Syringe::try_new(millilitres(10.0)?, millilitres(0.2)?)?;
        let kit = Kit::try_new(Some(Scale::JEWELLERY), vec![syringe])?;
        loop {
            let pieces = 2 + dice.pick(3);
            let mut ways: Vec<(&str, Procedure)> = vec![];
            while ways.len() < pieces {
                let way = WAYS[dice.pick(WAYS.len())];
                if ways.iter().all(|w| w.0 != way.0) {
                    ways.push(way);
                }
            }
            let mut classes: Vec<Procedure> = ways.iter().map(|w| w.1).collect();
            classes.sort_unstable();
            classes.dedup();
            if !(2..=3).contains(&classes.len()) {
                continue;
            }
            let pieces: Vec<Drawnpiece> = ways
                .into_iter()
                .map(|way| Drawnpiece::roll(dice, way))
                .collect::<Result<_, _>>()?;
            let first = &pieces[0];
            let dyes = first.dyes();
            let mut recipe = vec![];
            for _ in 0..3 {
                let dye = dyes[dice.pick(dyes.len())];
                let dose = OnFibre::try_percent(0.02 * 60f64.powf(dice.roll()))?;
                recipe.push(Dosed { dye, dose, scatter: 0.0 });
            }
            let read = Bands::try_new(first.on.dyed(&absorbed(&first.on, &recipe)))?;
            let target = if colour_only {
                let lab = Weights::reference().lab(&read);
                let Ok(likely) = ClothPrior::shipped().likely(lab) else { continue };
                Target { bands: likely.bands, assumed: true }
            } else {
                Target { bands: read, assumed: false }
            };
            return Ok(Self { pieces, target, kit });
        }
    }

    fn solve(
        &self,
        threads: usize,
        as_dyed: bool,
        tally: &mut Tally,
    ) -> Result<(), Box<dyn Error>> {
        let rules = StockRules::new(StockStrength::try_percent(1.0)?, 7);
        let shelves: Vec<Vec<Candidate>> = self
            .pieces
            .iter()
            .map(|p| {
                p.dyes().into_iter().map(|dye| Candidate { dye, price: None, rules }).collect()
            })
            .collect();
        let questions: Vec<Question> = self
            .pieces
            .iter()
            .zip(&shelves)
            .map(|(piece, dyes)| Question {
                on: &piece.on,
                dyes,
                target: self.target,
                lights: &LIGHTS,
                goods: piece.goods,
                kit: &self.kit,
                tolerance: TOLERANCE,
                most_dyes: 4,
                most_total: None,
                scatter: HOME,
            })
            .collect();
        let begun = Instant::now();
        let alone: Vec<Option<Choice>> = questions
            .iter()
            .map(|q| Ok(propose(q, threads)?.choices.into_iter().next()))
            .collect::<Result<_, recipe::Refusal>>()?;
        tally.alone_s += begun.elapsed().as_secs_f64();
        let members: Vec<Member> = questions
            .iter()
            .zip(&alone)
            .map(|(question, alone)| Member { question, alone: alone.as_ref() })
            .collect();
        let begun = Instant::now();
        let terms = if as_dyed {
            Terms::to_dye(&LIGHTS, PASSES, least_scatter(&alone))
        } else {
            Terms::nearest(&LIGHTS, PASSES)
        };
        let found = matched(&members, &[], &terms, threads, &mut |_| Go::On)?;
        let took = begun.elapsed().as_secs_f64();
        tally.joint_s += took;
        tally.slowest_s = tally.slowest_s.max(took);
        let (Some(before), Some(after)) = (found.before, found.after) else { return Ok(()) };
        tally.sets.push((before.difference, after.difference));
        tally.pieces += members.len();
        tally.kept += usize::from(found.as_alone);
        for (alone, joint) in alone.iter().zip(&found.pieces) {
            let Some(alone) = alone else { continue };
            let daylight = (alone.difference() <= TOLERANCE, joint.difference() <= TOLERANCE);
            let left = alone
                .lights
                .iter()
                .zip(&joint.lights)
                .any(|(a, j)| a.difference <= TOLERANCE && j.difference > TOLERANCE);
            tally.left += usize::from(left);
            tally.left_daylight += usize::from(daylight == (true, false));
            tally.dyes.0 += alone.doses.len();
            tally.dyes.1 += joint.doses.len();
            let own = |place: usize| alone.doses.iter().any(|d| d.0 == place);
            tally.new_dyes += joint.doses.iter().filter(|d| !own(d.0)).count();
        }
        Ok(())
    }
}

/// The least that two dyeings of any two pieces scatter by, in daylight, as a plan reckons it.
fn least_scatter(alone: &[Option<Choice>]) -> f64 {
    let of = |c: &Choice| c.prediction.piece.of_dyeing(&c.prediction.recipe);
    let scatter: Vec<Spread> = alone.iter().flatten().map(of).collect();
    let pairs = scatter.iter().enumerate();
    let apart = pairs.flat_map(|(i, a)| scatter[i + 1..].iter().map(move |b| a.apart_rms(b)));
    let least = apart.fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}

impl Drawnpiece {
    fn roll(
        dice: &mut Dice,
        (fibre, way): (&'static str, Procedure),
    ) -> Result<Self, Box<dyn Error>> {
        let look = if dice.pick(3) == 0 { Look::Natural } else { Look::White };
        let ground = Ground::assumed(&[(fibre, Share::WHOLE)], look)?;
        let ratio = LiquorRatio::try_litres_per_kilogram(20.0)?;
        let on = Substrate::try_new(&ground, way.classes()[0], ratio)?;
        let goods = Mass::try_grams(100.0 + 800.0 * dice.roll())?;
        Ok(Self { way, on, goods })
    }

    fn dyes(&self) -> Vec<&'static Dye> {
        starter().iter().map(|s| &s.dye).filter(|d| self.way.takes(d.class)).collect()
    }
}

#[derive(Default)]
struct Tally {
    /// Largest ΔE00 between pieces, alone and together.
    sets: Vec<(f64, f64)>,
    pieces: usize,
    left: usize,
    left_daylight: usize,
    /// Dyes in the recipes, alone and together.
    dyes: (usize, usize),
    new_dyes: usize,
    kept: usize,
    alone_s: f64,
    joint_s: f64,
    slowest_s: f64,
}

impl Tally {
    fn json(&self, seed: u64) -> String {
        let mut ratios: Vec<f64> = self
            .sets
            .iter()
            .map(|(before, after)| if *before > 0.0 { after / before } else { 1.0 })
            .collect();
        ratios.sort_by(f64::total_cmp);
        let median = |of: fn(&(f64, f64)) -> f64| {
            let mut all: Vec<f64> = self.sets.iter().map(of).collect();
            all.sort_by(f64::total_cmp);
            quantile(&all, 0.5)
        };
        #[expect(clippy::cast_precision_loss, reason = "a few hundred sets")]
        let share = |of: fn(&(f64, f64)) -> f64, limit: f64| {
            self.sets.iter().filter(|s| of(s) <= limit).count() as f64 / self.sets.len() as f64
        };
        #[expect(clippy::cast_precision_loss, reason = "a few hundred sets")]
        let each = |sum: f64| sum / self.sets.len() as f64;
        let before = |s: &(f64, f64)| s.0;
        let after = |s: &(f64, f64)| s.1;
        format!(
            "{{\"n\":{},\"median_ratio\":{:.4},\"left_tolerance\":{},\"seed\":{seed},\
             \"left_tolerance_daylight\":{},\"pieces\":{},\"p90_ratio\":{:.4},\"worst_ratio\":{:.4},\
             \"median_alone\":{:.3},\"median_joint\":{:.3},\
             \"within_1_alone\":{:.3},\"within_1_joint\":{:.3},\
             \"within_1_5_alone\":{:.3},\"within_1_5_joint\":{:.3},\
             \"dyes_alone\":{},\"dyes_joint\":{},\"new_dyes\":{},\"kept\":{},\
             \"alone_s_each\":{:.3},\"joint_s_each\":{:.3},\"joint_s_slowest\":{:.3}}}",
            self.sets.len(),
            quantile(&ratios, 0.5),
            self.left,
            self.left_daylight,
            self.pieces,
            quantile(&ratios, 0.9),
            quantile(&ratios, 1.0),
            median(before),
            median(after),
            share(before, 1.0),
            share(after, 1.0),
            share(before, 1.5),
            share(after, 1.5),
            self.dyes.0,
            self.dyes.1,
            self.new_dyes,
            self.kept,
            each(self.alone_s),
            each(self.joint_s),
            self.slowest_s,
        )
    }
}

/// The value below which a share of sorted numbers lies; the mean of the middle two at a half of an
/// even count.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    #[expect(clippy::cast_precision_loss, reason = "a few hundred sets")]
    let at = share * last as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the row")]
    let (low, part) = (at as usize, at.fract());
    sorted[low] * (1.0 - part) + sorted[(low + 1).min(last)] * part
}

/// `SplitMix64` (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014; the
/// constants from memory).
struct Dice(u64);

impl Dice {
    #[expect(clippy::cast_precision_loss, reason = "53 bits are kept")]
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a roll is from 0 to below 1"
    )]
    fn pick(&mut self, of: usize) -> usize {
        (self.roll() * of as f64) as usize
    }
}
