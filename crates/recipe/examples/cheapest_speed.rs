//! How long the cheapest set of dyes takes for twenty pieces of five recipes each.
//!
//! `cargo run --release -p recipe --example cheapest_speed [-- --seeds 10]`
//!
//! Two kinds of task for each seed. *Proposed*: twenty pieces of four cloths want colours drawn by the seed,
//! every piece has the recipes that `propose` gives it on the starter shelf (at most five, tolerance 2), dyes
//! come in packs of 10 to 50 g at drawn prices, a quarter of them stand on the shelf. *Drawn*: twenty pieces
//! with five recipes each of one to three dyes drawn out of twenty-four, so that everything hangs together:
//! harder than what proposals are like. Both are reckoned with the usual limit on branches. Progress goes to
//! stderr; the last line is JSON: for each kind median and longest time in seconds, the most branches, and how
//! many of the answers are proven.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]
#![expect(clippy::cast_precision_loss, reason = "small whole numbers")]

#[path = "reach/dice.rs"]
mod dice;

use std::error::Error;
use std::time::Instant;

use colour::{ClothPrior, Lab, Light};
use dice::Dice;
use dosing::{Kit, Pack, Scale, StockRules, Syringe};
use dyeing::{Dye, Ground, HOME, Look, Substrate, starter};
use lore::Procedure;
use recipe::{Candidate, Offered, Question, Sold, Target, USUAL_NODES, Want, cheapest, propose};
use units::{LiquorRatio, Mass, Money, Share, StockStrength, Volume};

const PIECES: usize = 20;
const RECIPES: usize = 5;
const DRAWN_DYES: usize = 24;
const TOLERANCE: f64 = 2.0;

/// Cloths with the baths that suit them at home.
const CLOTHS: [(&str, Procedure); 4] = [
    ("cotton", Procedure::ReactiveCold),
    ("wool", Procedure::AcidMilling),
    ("silk", Procedure::AcidMilling),
    ("polyester", Procedure::Disperse),
];

fn main() -> Result<(), Box<dyn Error>> {
    let mut seeds = 10;
    let mut args = std::env::args().skip(1);
    while let Some(name) = args.next() {
        let value = args.next().ok_or(format!("{name}: give a number"))?;
        match name.as_str() {
            "--seeds" => seeds = value.parse()?,
            _ => return Err(format!("{name}: only --seeds").into()),
        }
    }
    let (mut proposed, mut drawn) = (Tally::default(), Tally::default());
    for seed in 1..=seeds {
        let mut dice = Dice::new(seed);
        let all: Vec<&Dye> = starter().iter().map(|s| &s.dye).collect();
        let keys: Vec<&str> = all.iter().map(|d| d.id.as_str()).collect();
        let sold = priced(&mut dice, &keys)?;
        proposed.time(&proposals(&mut dice)?, &sold)?;
        let keys = &keys[..DRAWN_DYES];
        drawn.time(&random(&mut dice, keys)?, &priced(&mut dice, keys)?)?;
        eprintln!(
            "seed {seed}: proposed {:.4} s, drawn {:.4} s",
            proposed.seconds[proposed.seconds.len() - 1],
            drawn.seconds[drawn.seconds.len() - 1]
        );
    }
    println!("{{\"n\":{seeds},\"proposed\":{},\"drawn\":{}}}", proposed.json(), drawn.json());
    Ok(())
}

fn priced<'a>(dice: &mut Dice, keys: &[&'a str]) -> Result<Vec<Sold<'a>>, Box<dyn Error>> {
    let mut sold = vec![];
    for key in keys {
        let left = if dice.pick(4) == 0 { 5.0 + 30.0 * dice.roll() } else { 0.0 };
        let price = Money::try_amount(2.0 + dice.pick(800) as f64 / 100.0)?;
        let pack = Pack::try_new(Mass::try_grams(10.0 + dice.pick(5) as f64 * 10.0)?, price)?;
        sold.push(Sold { key, left: Mass::try_grams(left)?, pack: Some(pack) });
    }
    Ok(sold)
}

/// What is proposed for twenty pieces.
fn proposals(dice: &mut Dice) -> Result<Vec<Vec<Offered<'static>>>, Box<dyn Error>> {
    let millilitres = Volume::try_millilitres;
    let syringe = Syringe::try_new(millilitres(10.0)?, millilitres(0.2)?)?;
    let kit = Kit::try_new(Some(Scale::JEWELLERY), vec![syringe])?;
    let rules = StockRules::new(StockStrength::try_percent(1.0)?, 7);
    let mut offers = vec![];
    while offers.len() < PIECES {
        let (fibre, way) = CLOTHS[dice.pick(CLOTHS.len())];
        let ground = Ground::assumed(&[(fibre, Share::WHOLE)], Look::White)?;
        let ratio = LiquorRatio::try_litres_per_kilogram(20.0)?;
        let on = Substrate::try_new(&ground, way.classes()[0], ratio)?;
        let dyes: Vec<Candidate<'static>> = starter()
            .iter()
            .map(|s| &s.dye)
            .filter(|d| way.takes(d.class))
            .map(|dye| Candidate { dye, price: None, rules })
            .collect();
        let wanted = Lab::new(
            25.0 + 50.0 * dice.roll(),
            60.0 * dice.roll() - 30.0,
            60.0 * dice.roll() - 30.0,
        );
        let Ok(likely) = ClothPrior::shipped().likely(wanted) else { continue };
        let question = Question {
            on: &on,
            dyes: &dyes,
            target: Target { bands: likely.bands, assumed: true },
            lights: &[Light::D65, Light::A, Light::LedB3],
            goods: Mass::try_grams(100.0 + 800.0 * dice.roll())?,
            kit: &kit,
            tolerance: TOLERANCE,
            most_dyes: 4,
            most_total: None,
            scatter: HOME,
        };
        let answer = propose(&question, 0)?;
        if answer.choices.is_empty() {
            continue;
        }
        let offer = |choice: &recipe::Choice| Offered {
            dyes: choice
                .doses
                .iter()
                .map(|(place, dose)| (dyes[*place].dye.id.as_str(), *dose * question.goods))
                .collect(),
            worst: choice.worst().map_or(0.0, |l| l.difference),
        };
        offers.push(answer.choices.iter().take(RECIPES).map(offer).collect());
    }
    Ok(offers)
}

/// Twenty pieces with recipes drawn at random.
fn random<'a>(dice: &mut Dice, keys: &[&'a str]) -> Result<Vec<Vec<Offered<'a>>>, Box<dyn Error>> {
    let mut offers = vec![];
    for _ in 0..PIECES {
        let mut choices = vec![];
        for _ in 0..RECIPES {
            let mut dyes: Vec<(&str, Mass)> = vec![];
            for _ in 0..=dice.pick(3) {
                let key = keys[dice.pick(keys.len())];
                dyes.push((key, Mass::try_grams(1.0 + 20.0 * dice.roll())?));
            }
            choices.push(Offered { dyes, worst: TOLERANCE * dice.roll() });
        }
        offers.push(choices);
    }
    Ok(offers)
}

#[derive(Default)]
struct Tally {
    seconds: Vec<f64>,
    nodes: u64,
    proven: usize,
}

impl Tally {
    fn time(&mut self, offers: &[Vec<Offered>], sold: &[Sold]) -> Result<(), Box<dyn Error>> {
        let wants: Vec<Want> =
            offers.iter().map(|choices| Want { choices, limit: TOLERANCE }).collect();
        let begun = Instant::now();
        let found = cheapest(&wants, sold, USUAL_NODES)?;
        self.seconds.push(begun.elapsed().as_secs_f64());
        self.nodes = self.nodes.max(found.nodes);
        self.proven += usize::from(found.exact);
        Ok(())
    }

    fn json(&self) -> String {
        let mut sorted = self.seconds.clone();
        sorted.sort_by(f64::total_cmp);
        let median = sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN);
        let longest = sorted.last().copied().unwrap_or(f64::NAN);
        format!(
            "{{\"median_s\":{median:.4},\"longest_s\":{longest:.4},\"most_nodes\":{},\"proven\":{}}}",
            self.nodes, self.proven
        )
    }
}
