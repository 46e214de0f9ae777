//! The reach verdict against dense sampling.
//!
//! `cargo run --release -p recipe --example reach -- --seed S [--targets N]`. Random targets over Lab
//! (inside what a shelf reaches, at its edge, far outside), on white and natural cloths of one fibre
//! and of two, with the starter shelf's classes. For each the verdict of [`recipe::reach`] is compared
//! with a minimum found another way, without the engine: a cloud of plain forward predictions over
//! all sets of up to four dyes (amounts on a square grid, sets of four spread by a low-discrepancy
//! sequence), then a search without derivatives from the best sets of the cloud. What the verdict's
//! own doses give is worked out afresh by the plain model: that is "ours", not what the engine says.
//!
//! Ends with one line of JSON: `n`, `right` (share of verdicts that agree at 0.5 ΔE00), and
//! `nearest_gap_p99` (how much further off ours is than the dense minimum, 99th percentile).

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

mod dense;
mod dice;

use std::error::Error;

use colour::{BANDS, Bands, ClothPrior, Lab, Light, Weights, ciede2000, maths};
use dense::Cloud;
use dice::Dice;
use dosing::{Kit, Scale, StockRules};
use dyeing::{Dye, Ground, HOME, Look, Substrate, starter};
use lore::{DyeClass, Procedure};
use recipe::{Candidate, Question, REACHED, Target, reach};
use units::{LiquorRatio, Mass, Share, StockStrength};

type Fault = Box<dyn Error>;

/// Fibres with their percentages, how light, the bath, and the class the ground is made ready for.
type Setting = (&'static [(&'static str, f64)], Look, Procedure, DyeClass);

const SETTINGS: [Setting; 14] = [
    (&[("cotton", 100.0)], Look::White, Procedure::ReactiveCold, DyeClass::ReactiveDct),
    (&[("cotton", 100.0)], Look::Natural, Procedure::ReactiveCold, DyeClass::ReactiveDct),
    (&[("wool", 100.0)], Look::White, Procedure::AcidMilling, DyeClass::AcidMilling),
    (&[("wool", 100.0)], Look::Natural, Procedure::AcidMilling, DyeClass::AcidMilling),
    (&[("polyester", 100.0)], Look::White, Procedure::Disperse, DyeClass::Disperse),
    (&[("polyester", 100.0)], Look::Natural, Procedure::Disperse, DyeClass::Disperse),
    (
        &[("cotton", 65.0), ("polyester", 35.0)],
        Look::White,
        Procedure::ReactiveCold,
        DyeClass::ReactiveDct,
    ),
    (
        &[("cotton", 90.0), ("polyester", 10.0)],
        Look::Natural,
        Procedure::ReactiveCold,
        DyeClass::ReactiveDct,
    ),
    (
        &[("wool", 80.0), ("nylon-6", 20.0)],
        Look::White,
        Procedure::AcidMilling,
        DyeClass::AcidMilling,
    ),
    (
        &[("polyester", 95.0), ("elastane", 5.0)],
        Look::White,
        Procedure::Disperse,
        DyeClass::Disperse,
    ),
    (&[("viscose", 100.0)], Look::White, Procedure::Direct, DyeClass::Direct),
    (&[("linen", 100.0)], Look::Natural, Procedure::Direct, DyeClass::Direct),
    (&[("silk", 100.0)], Look::White, Procedure::AcidLevelling, DyeClass::AcidLevelling),
    (&[("acrylic", 100.0)], Look::White, Procedure::Basic, DyeClass::Basic),
];

fn main() -> Result<(), Fault> {
    let seed = number("--seed", 1)?;
    let wanted = usize::try_from(number("--targets", 420)?)?;
    let mut dice = Dice::new(seed);
    let kit = Kit::try_new(Some(Scale::JEWELLERY), vec![])?;
    let mut tally = Tally::default();
    for (place, setting) in SETTINGS.iter().enumerate() {
        let share = (wanted + SETTINGS.len() - 1 - place) / SETTINGS.len();
        let before = tally.gaps.len();
        asked(setting, share, &mut dice, &kit, &mut tally)?;
        println!(
            "{:?} {:?} {}: {share} targets, worst gap {:.4}",
            setting.0,
            setting.1,
            setting.2,
            tally.gaps[before..].iter().copied().fold(0.0, f64::max)
        );
    }
    tally.says();
    Ok(())
}

fn asked(
    (fibres, look, way, class): &Setting,
    targets: usize,
    dice: &mut Dice,
    kit: &Kit,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let fibres: Vec<(&str, Share)> = fibres
        .iter()
        .map(|(name, percent)| Ok((*name, Share::try_percent(*percent)?)))
        .collect::<Result<_, Fault>>()?;
    let ground = Ground::assumed(&fibres, *look)?;
    let on = Substrate::try_new(&ground, *class, LiquorRatio::try_litres_per_kilogram(20.0)?)?;
    let dyes: Vec<&Dye> = starter().iter().map(|s| &s.dye).filter(|d| way.takes(d.class)).collect();
    let rules = StockRules::new(StockStrength::try_percent(1.0)?, 7);
    let candidates: Vec<Candidate> =
        dyes.iter().map(|dye| Candidate { dye, price: None, rules }).collect();
    let cloud = Cloud::over(&on, &dyes);
    for _ in 0..targets {
        let bands = target(&on, &dyes, dice);
        let question = Question {
            on: &on,
            dyes: &candidates,
            target: Target { bands, assumed: true },
            lights: &[Light::D65],
            goods: Mass::try_grams(200.0)?,
            kit,
            tolerance: 2.0,
            most_dyes: 3,
            most_total: None,
            scatter: HOME,
        };
        let wanted = Weights::reference().lab(&bands);
        let verdict = reach(&question, 0)?;
        let ours = shown(&on, &dyes, &verdict.doses, wanted);
        let (dense, recipe) = cloud.nearest(wanted);
        tally.add(verdict.within, ours, dense);
        if (ours - dense).abs() > 0.02 || (ours - verdict.gap).abs() > 1e-3 {
            println!(
                "  target {:.1} {:.1} {:.1}: verdict {:.4}, its doses give {ours:.4}, dense {dense:.4}; {:?} against {recipe:?}",
                wanted.l,
                wanted.a,
                wanted.b,
                verdict.gap,
                verdict.doses.iter().map(|d| (d.0, d.1.to_percent())).collect::<Vec<_>>()
            );
        }
    }
    Ok(())
}

/// A colour some cloth could have, by the likeliest spectrum the program itself would use for it; one
/// no cloth can have is refused by the colour room and drawn again.
fn target(on: &Substrate, dyes: &[&Dye], dice: &mut Dice) -> Bands {
    loop {
        if let Ok(likely) = ClothPrior::shipped().likely(colour(on, dyes, dice)) {
            return likely.bands;
        }
    }
}

/// Seven in ten are colours of random recipes, most of them moved by up to 15; the rest lie anywhere.
fn colour(on: &Substrate, dyes: &[&Dye], dice: &mut Dice) -> Lab {
    let turn = std::f64::consts::TAU * dice.roll();
    let (sine, cosine) = (maths::sin(turn), maths::cos(turn));
    if dice.roll() < 0.3 {
        let chroma = 90.0 * dice.roll().sqrt();
        return Lab::new(8.0 + 86.0 * dice.roll(), chroma * cosine, chroma * sine);
    }
    let mut sum = [0.0; BANDS];
    for _ in 0..3 {
        let dye = dyes[dice.pick(dyes.len())];
        let amount = dice.roll();
        let fixed = on.most_fixed(dye) * amount * amount * amount;
        for (s, a) in sum.iter_mut().zip(dye.absorbs()) {
            *s += a * fixed;
        }
    }
    let near = Weights::reference().lab_of(&on.dyed(&sum));
    let far = if dice.roll() < 0.3 { 0.0 } else { 15.0 * dice.roll() };
    let up = 2.0 * dice.roll() - 1.0;
    let flat = (1.0 - up * up).sqrt();
    Lab::new(
        (near.l + far * up).clamp(3.0, 97.0),
        near.a + far * flat * cosine,
        near.b + far * flat * sine,
    )
}

/// What the doses of a verdict give, by the plain model.
fn shown(on: &Substrate, dyes: &[&Dye], doses: &[(usize, units::OnFibre)], wanted: Lab) -> f64 {
    let mut sum = [0.0; BANDS];
    for (place, dose) in doses {
        let fixed = on.fixed(dyes[*place], *dose);
        for (s, a) in sum.iter_mut().zip(dyes[*place].absorbs()) {
            *s += a * fixed;
        }
    }
    ciede2000(wanted, Weights::reference().lab_of(&on.dyed(&sum)))
}

#[derive(Default)]
struct Tally {
    right: usize,
    reached: usize,
    gaps: Vec<f64>,
    beaten: usize,
}

impl Tally {
    fn add(&mut self, within: bool, ours: f64, dense: f64) {
        self.right += usize::from(within == (dense <= REACHED));
        self.reached += usize::from(within);
        self.beaten += usize::from(ours < dense - 0.02);
        self.gaps.push((ours - dense).max(0.0));
    }

    #[expect(clippy::cast_precision_loss, reason = "a few thousand targets")]
    fn says(&self) {
        let n = self.gaps.len();
        let mut gaps = self.gaps.clone();
        gaps.sort_by(f64::total_cmp);
        let p99 = gaps.get((n * 99).div_ceil(100).saturating_sub(1)).copied().unwrap_or(f64::NAN);
        println!(
            "{} of {n} reached; the verdict beat the dense minimum by more than 0.02 on {}",
            self.reached, self.beaten
        );
        println!(
            "{{\"n\":{n},\"right\":{:.4},\"nearest_gap_p99\":{p99:.4}}}",
            self.right as f64 / n as f64
        );
    }
}

fn number(flag: &str, otherwise: u64) -> Result<u64, Fault> {
    let mut arguments = std::env::args().skip_while(|a| a != flag);
    match (arguments.next(), arguments.next()) {
        (None, _) => Ok(otherwise),
        (Some(_), Some(value)) => {
            value.parse().map_err(|_| format!("{flag} {value}: give a whole number").into())
        }
        (Some(_), None) => Err(format!("{flag}: give a whole number after it").into()),
    }
}
