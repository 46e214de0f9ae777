//! How well the difference of two cloths in one frame is read, with the same dyes in both and with others.
//!
//!     cargo run --release --example cloth_difference -- [--cameras FILE] [--reflectances FILE] [--light NAME]
//!         [--seed S] [--pairs N] [--noise reading|pixel] | --case DIR
//!
//! Same dyes: two cloths of three invented dyes each, the second with each amount 15 % off (standard deviation), laid
//! A-B-A; and, beside it, the first laid once only. Other dyes: a cloth of FILE and the one nearest to it in colour, A-B-A.
//! A 24-patch chart is in the frame, the light falls off by 3 % over it, nobody photographs white paper; linear 16 bit.
//! `pixel`: noise of 0.3 % of white in each of the 400 pixels of a patch or cloth; `reading`: each average is off by
//! 0.3 % of itself, as if 400 pixels shared one error. A difference is off by the ΔE00 between the true second cloth and
//! the true first one moved by the difference read.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "an example speaks to the person who runs it"
)]

#[path = "../trial/bands.rs"]
mod bands;
#[path = "../trial/cameras.rs"]
mod cameras;
#[path = "../trial/case.rs"]
mod case;
#[path = "../trial/folder.rs"]
mod folder;
#[path = "../trial/optional.rs"]
mod optional;
#[path = "../trial/pictures.rs"]
mod pictures;
#[path = "../trial/tables.rs"]
mod tables;
mod tally;

use std::{env, process::ExitCode};

use colour::{Bands, ClothPrior, Lab, Light, Weights, ciede2000};
use picture::{Calibration, Chain, ClothDifference, Kin, Patch, Seen};
use scenes::{Camera, Chance, dyed_pair};

use cameras::{cameras, spectra};
use tally::Tally;

struct Asked {
    cameras: String,
    reflectances: String,
    chart: String,
    light: Light,
    seed: u64,
    pairs: usize,
    each_pixel: bool,
    case: Option<String>,
}

/// How far each amount of the second cloth is off (standard deviation of its logarithm).
const OFF: f64 = 0.15;
/// Change of the light over the frame.
const GRADIENT: f64 = 0.03;
/// Noise, a share of white or of the reading.
const NOISE: f64 = 0.003;
/// Pixels of a patch or cloth.
const PIXELS: f64 = 400.0;

fn main() -> ExitCode {
    let given: Vec<String> = env::args().skip(1).collect();
    let done = asked(&given).and_then(|asked| match &asked.case {
        Some(folder) => judge_case(folder),
        None => run(&asked),
    });
    match done {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(refusal) => {
            eprintln!("cloth_difference: {refusal}");
            ExitCode::from(2)
        }
    }
}

fn asked(given: &[String]) -> Result<Asked, String> {
    let data = "../shared/data";
    let mut asked = Asked {
        cameras: format!("{data}/verify/camera_sensitivities.csv"),
        reflectances: format!("{data}/verify/textile_shadebook_block.csv"),
        chart: format!("{data}/ship/patch24_spectra_5nm.csv"),
        light: Light::D65,
        seed: 1,
        pairs: 40,
        each_pixel: false,
        case: None,
    };
    let mut words = given.iter();
    while let Some(word) = words.next() {
        let mut value =
            || words.next().cloned().ok_or_else(|| format!("{word} wants something after it"));
        match word.as_str() {
            "--cameras" => asked.cameras = value()?,
            "--reflectances" => asked.reflectances = value()?,
            "--chart" => asked.chart = value()?,
            "--case" => asked.case = Some(value()?),
            "--light" => asked.light = Light::from_name(&value()?).map_err(|e| e.to_string())?,
            "--seed" => asked.seed = value()?.parse().map_err(|_| "--seed wants a whole number")?,
            "--pairs" => {
                asked.pairs = value()?.parse().map_err(|_| "--pairs wants a whole number")?;
            }
            "--noise" => {
                asked.each_pixel = match value()?.as_str() {
                    "pixel" => true,
                    "reading" => false,
                    other => return Err(format!("--noise is pixel or reading, not {other:?}")),
                }
            }
            other => return Err(format!("{other:?} is not understood")),
        }
    }
    Ok(asked)
}

fn run(asked: &Asked) -> Result<String, String> {
    let chart = spectra(&asked.chart)?;
    let cloths = spectra(&asked.reflectances)?;
    if cloths.len() < 2 {
        return Err(format!("{}: at least two cloths are needed", asked.reflectances));
    }
    let mut chance = Chance::of(asked.seed);
    let (mut same, mut once, mut other) = (Tally::default(), Tally::default(), Tally::default());
    for (name, sensitivities) in cameras(&asked.cameras)? {
        let camera = Camera::under(asked.light, &sensitivities);
        let mut frame = Frame {
            camera,
            towards: chance.between(0.0, std::f64::consts::TAU),
            asked,
            chance: &mut chance,
        };
        let patches: Vec<Patch> = chart
            .iter()
            .enumerate()
            .map(|(n, bands)| Patch { reflectance: *bands, seen: frame.sees(bands, cell(n)) })
            .collect();
        let calibration = Calibration::try_learn(&patches, Chain::Linear, ClothPrior::shipped())
            .map_err(|e| format!("{name}: {e}"))?;
        let mut figures = (Tally::default(), Tally::default(), Tally::default());
        for _ in 0..asked.pairs {
            let dyed = dyed_pair(OFF, frame.chance);
            let [a, b, again] = frame.aba(&dyed);
            figures.0.add(judge(&calibration, &[a, again], &b, &dyed, Kin::SameDyes)?);
            figures.1.add(judge(&calibration, &[a], &b, &dyed, Kin::SameDyes)?);
            let pick = frame.chance.below(cloths.len());
            let pair = [cloths[pick], nearest(&cloths, pick)];
            let [a, b, again] = frame.aba(&pair);
            figures.2.add(judge(&calibration, &[a, again], &b, &pair, Kin::OtherDyes)?);
        }
        println!("{name}: same {}; other {}", figures.0.line(), figures.2.line());
        same += &figures.0;
        once += &figures.1;
        other += &figures.2;
    }
    println!("same dyes, A-B-A: {}", same.line());
    println!("same dyes, A-B: {}", once.line());
    println!("other dyes, A-B-A: {}", other.line());
    Ok(format!(
        "{{\"same\":{},\"same_once\":{},\"other\":{}}}",
        same.json(),
        once.json(),
        other.json()
    ))
}

fn judge_case(folder: &str) -> Result<String, String> {
    let pairs = tables::Table::of_case(
        &format!("{folder}/pairs.csv"),
        &["frame", "first", "again", "second", "kin"],
    )?;
    let frames = case::frames(folder)?;
    for row in 0..pairs.len() {
        let frame = pairs.text(row, "frame")?;
        if !frames.iter().any(|f| f.name == frame) {
            return Err(format!("{}: no frame {frame:?} in frames.csv", pairs.at(row)));
        }
    }
    let (mut same, mut other) = (Tally::default(), Tally::default());
    for frame in frames {
        let calibration =
            Calibration::try_learn(&frame.patches, frame.chain, ClothPrior::shipped())
                .map_err(|e| format!("{}: {e}", frame.at))?;
        for row in 0..pairs.len() {
            if pairs.text(row, "frame")? != frame.name {
                continue;
            }
            let find = |column: &str| -> Result<&case::CaseCloth, String> {
                let name = pairs.text(row, column)?;
                frame.cloths.iter().find(|c| c.name == name).ok_or_else(|| {
                    format!("{}: no cloth {name:?} in frame {}", pairs.at(row), frame.name)
                })
            };
            let (a, b) = (find("first")?, find("second")?);
            let mut first = vec![a.seen];
            if pairs.text(row, "again").is_ok_and(|name| !name.is_empty()) {
                first.push(find("again")?.seen);
            }
            let (kin, tally) = match pairs.text(row, "kin")? {
                "same" => (Kin::SameDyes, &mut same),
                "other" => (Kin::OtherDyes, &mut other),
                word => {
                    return Err(format!("{}: kin is same or other, not {word:?}", pairs.at(row)));
                }
            };
            let read = calibration
                .try_difference(&first, &b.seen, kin)
                .map_err(|e| format!("{}: {e}", pairs.at(row)))?;
            tally.add((off(&read, a.truth, b.truth), read.within90));
        }
    }
    println!("same dyes: {}", same.line());
    println!("other dyes: {}", other.line());
    Ok(format!("{{\"same\":{},\"other\":{}}}", same.json(), other.json()))
}

/// A frame of six by six cells.
struct Frame<'a> {
    camera: Camera,
    towards: f64,
    asked: &'a Asked,
    chance: &'a mut Chance,
}

impl Frame<'_> {
    fn sees(&mut self, cloth: &Bands, place: [f64; 2]) -> Seen {
        let (dx, dy) = (self.towards.cos(), self.towards.sin());
        let along = (dx * place[0] + dy * place[1]) / (dx.abs() + dy.abs());
        let light = 0.8 * (1.0 + GRADIENT * along);
        let rgb = self.camera.sees(cloth).map(|v| {
            let noise = self.chance.normal()
                * if self.asked.each_pixel { NOISE / PIXELS.sqrt() } else { NOISE * v };
            ((light * (v + noise)).clamp(0.0, 1.0) * 65535.0).round() / 65535.0
        });
        Seen { rgb, paper: None, place: Some(place) }
    }

    /// Three cells in a row below the chart.
    fn aba(&mut self, pair: &[Bands; 2]) -> [Seen; 3] {
        let start = 24 + 6 * self.chance.below(2) + self.chance.below(4);
        [0, 1, 2].map(|n: usize| self.sees(&pair[n % 2], cell(start + n)))
    }
}

/// Where a cell's middle lies, the frame being 1 across.
#[expect(clippy::cast_precision_loss, reason = "cells of a frame")]
fn cell(n: usize) -> [f64; 2] {
    [((n % 6) as f64 + 0.5) / 6.0 - 0.5, ((n / 6) as f64 + 0.5) / 6.0 - 0.5]
}

fn judge(
    calibration: &Calibration,
    first: &[Seen],
    second: &Seen,
    pair: &[Bands; 2],
    kin: Kin,
) -> Result<(f64, f64), String> {
    let read = calibration.try_difference(first, second, kin).map_err(|e| e.to_string())?;
    let [a, b] = [0, 1].map(|n: usize| Weights::reference().lab(&pair[n]));
    Ok((off(&read, a, b), read.within90))
}

/// ΔE00 between the second cloth and the first one moved by what was read.
fn off(read: &ClothDifference, a: Lab, b: Lab) -> f64 {
    ciede2000(b, Lab::new(a.l + read.by[0], a.a + read.by[1], a.b + read.by[2]))
}

fn nearest(cloths: &[Bands], pick: usize) -> Bands {
    let lab = |n: usize| Weights::reference().lab(&cloths[n]);
    let here = lab(pick);
    let mut best = (f64::INFINITY, cloths[(pick + 1) % cloths.len()]);
    for (n, cloth) in cloths.iter().enumerate() {
        let far = ciede2000(here, lab(n));
        if n != pick && far > 0.0 && far < best.0 {
            best = (far, *cloth);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_case_made_elsewhere_is_judged() {
        let json: serde_json::Value =
            serde_json::from_str(&judge_case("tests/cases/pairs").unwrap()).unwrap();
        assert_eq!([&json["same"]["n"], &json["other"]["n"]], [1, 2], "{json}");
        assert!(json["same"]["mean"].as_f64().unwrap() < 1.0, "{json}");
        assert!(json["other"]["mean"].as_f64().unwrap() < 2.0, "{json}");
    }

    #[test]
    fn a_bad_row_is_named() {
        let why = judge_case("tests/cases/broken").unwrap_err();
        assert_eq!(
            why,
            "tests/cases/broken/pairs.csv: column \"third\" is not known here; known are frame, first, again, second, kin"
        );
    }
}
