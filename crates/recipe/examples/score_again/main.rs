//! Writes chosen recipes with what we say of them, to be scored again by someone else.
//!
//! `cargo run --release -p recipe --example score_again -- OUT.json`. Five grounds (two of them
//! blends) × eight typed colours and the 24 chart spectra; every recipe proposed is written with its
//! doses by name, our reflectance, and our Lab and ΔE00 under four lights. `benches/score_again.py`
//! works all of it out afresh: the dyes from the data files, the rest by the reference's own modules.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

use std::error::Error;
use std::fmt::Write;

use colour::{BANDS, Bands, ClothPrior, Lab, Light};
use dosing::{Kit, Scale, StockRules};
use dyeing::{Dye, Ground, HOME, Look, Substrate, starter};
use lore::Procedure;
use recipe::{Candidate, Choice, Question, Target, propose};
use units::{LiquorRatio, Mass, Share, StockStrength};

type Fault = Box<dyn Error>;
type Cloth = (&'static [(&'static str, f64)], Look, Procedure);

const CHART: &str = include_str!("../../tests/fixtures/patch24_spectra_5nm.csv");
const LIGHTS: [(Light, &str); 4] =
    [(Light::D65, "D65"), (Light::A, "A"), (Light::Fl11, "FL11"), (Light::LedB3, "LED-B3")];
const RATIO: f64 = 15.0;

const CLOTHS: [Cloth; 5] = [
    (&[("cotton", 100.0)], Look::White, Procedure::ReactiveCold),
    (&[("cotton", 65.0), ("polyester", 35.0)], Look::Natural, Procedure::ReactiveCold),
    (&[("wool", 100.0)], Look::Natural, Procedure::AcidMilling),
    (&[("wool", 80.0), ("nylon-6", 20.0)], Look::White, Procedure::AcidMilling),
    (&[("polyester", 100.0)], Look::White, Procedure::Disperse),
];

const COLOURS: [[f64; 3]; 8] = [
    [70.0, 8.0, 45.0],
    [45.0, 45.0, 20.0],
    [32.0, -18.0, 8.0],
    [25.0, 6.0, -28.0],
    [85.0, -3.0, 12.0],
    [55.0, 2.0, -2.0],
    [38.0, 22.0, 28.0],
    [18.0, 1.0, -3.0],
];

fn main() -> Result<(), Fault> {
    let out =
        std::env::args().nth(1).ok_or("score_again: name the file to write, such as OUT.json")?;
    let targets = targets()?;
    let mut questions = vec![];
    let mut recipes = 0;
    for cloth in CLOTHS {
        for target in &targets {
            let (json, count) = asked(cloth, *target)?;
            questions.push(json);
            recipes += count;
        }
    }
    std::fs::write(&out, format!("{{\"questions\":[\n{}\n]}}\n", questions.join(",\n")))?;
    println!("{{\"questions\":{},\"recipes\":{recipes}}}", questions.len());
    Ok(())
}

fn targets() -> Result<Vec<Target>, Fault> {
    let mut all = vec![];
    for [l, a, b] in COLOURS {
        let bands = ClothPrior::shipped().likely(Lab::new(l, a, b))?.bands;
        all.push(Target { bands, assumed: true });
    }
    let mut lines = CHART.lines();
    let head: Vec<&str> = lines.next().ok_or("an empty chart")?.split(',').collect();
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        let mut factors = [0.0; BANDS];
        for (band, factor) in factors.iter_mut().enumerate() {
            let name = format!("R{}", Bands::wavelength(band));
            let place = head.iter().position(|h| *h == name).ok_or("a band is missing")?;
            *factor = cells.get(place).ok_or("a short row")?.parse()?;
        }
        all.push(Target { bands: Bands::try_new(factors)?, assumed: false });
    }
    Ok(all)
}

fn asked((fibres, look, way): Cloth, target: Target) -> Result<(String, usize), Fault> {
    let shares: Vec<(&str, Share)> = fibres
        .iter()
        .map(|(name, percent)| Ok((*name, Share::try_percent(*percent)?)))
        .collect::<Result<_, Fault>>()?;
    let ground = Ground::assumed(&shares, look)?;
    let class = way.classes()[0];
    let on = Substrate::try_new(&ground, class, LiquorRatio::try_litres_per_kilogram(RATIO)?)?;
    let dyes: Vec<&Dye> = starter().iter().map(|s| &s.dye).filter(|d| way.takes(d.class)).collect();
    let rules = StockRules::new(StockStrength::try_percent(1.0)?, 7);
    let candidates: Vec<Candidate> =
        dyes.iter().map(|dye| Candidate { dye, price: None, rules }).collect();
    let lights = LIGHTS.map(|l| l.0);
    let kit = Kit::try_new(Some(Scale::JEWELLERY), vec![])?;
    let question = Question {
        on: &on,
        dyes: &candidates,
        target,
        lights: &lights,
        goods: Mass::try_grams(200.0)?,
        kit: &kit,
        tolerance: 2.0,
        most_dyes: 4,
        most_total: None,
        scatter: HOME,
    };
    let answer = propose(&question, 0)?;
    let look = if look == Look::White { "white" } else { "natural" };
    let cloth: Vec<String> =
        fibres.iter().map(|(f, p)| format!("[\"{f}\",{}]", p / 100.0)).collect();
    let choices: Vec<String> =
        answer.choices.iter().map(|choice| written(&dyes, choice)).collect::<Result<_, Fault>>()?;
    let json = format!(
        "{{\"cloth\":[{}],\"look\":\"{look}\",\"class\":\"{}\",\"ratio_l_per_kg\":{RATIO},\
         \"target\":{},\"choices\":[{}]}}",
        cloth.join(","),
        class.id(),
        list(target.bands.values()),
        choices.join(",")
    );
    Ok((json, choices.len()))
}

fn written(dyes: &[&Dye], choice: &Choice) -> Result<String, Fault> {
    let doses: Vec<String> = choice
        .doses
        .iter()
        .map(|(place, dose)| format!("[\"{}\",{}]", dyes[*place].id, dose.to_percent()))
        .collect();
    let mut lights = String::new();
    for under in &choice.lights {
        let name = LIGHTS.iter().find(|l| l.0 == under.light).ok_or("a light nobody asked for")?.1;
        let separator = if lights.is_empty() { "" } else { "," };
        let lab = list(&[under.lab.l, under.lab.a, under.lab.b]);
        let target = list(&[under.target.l, under.target.a, under.target.b]);
        write!(
            lights,
            "{separator}{{\"light\":\"{name}\",\"lab\":{lab},\"target\":{target},\"difference\":{}}}",
            under.difference
        )?;
    }
    let reflectance = list(choice.prediction.bands.values());
    Ok(format!(
        "{{\"doses\":[{}],\"reflectance\":{reflectance},\"lights\":[{lights}]}}",
        doses.join(",")
    ))
}

fn list(values: &[f64]) -> String {
    let values: Vec<String> = values.iter().map(ToString::to_string).collect();
    format!("[{}]", values.join(","))
}
