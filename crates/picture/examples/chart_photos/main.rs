//! How well a cloth's colour is read from a photograph with a 24-patch chart, by a camera nobody measured.
//!
//!     cargo run --release --example chart_photos -- --cameras FILE --reflectances FILE --light NAME --seed S
//!         [--reflectances FILE]… [--chart FILE] [--chain linear|jpeg|phone] [--cloths N] [--noise-of-white]
//!         [--card chart|ten|white|home] [--told] [--other-camera] [--made-up N]
//!
//!     … --example chart_photos -- --case DIR
//!
//! Cameras come from a table with columns camera, nm, r, g, b; cloths from tables with columns R400 … R700. The program is
//! not told the camera nor the light. `linear`: each average is read with a noise of 0.3 % of itself (`--noise-of-white`:
//! of a perfect white instead), in 16 bit. `jpeg`: a frame with the chart and twelve cloths and one of white paper are
//! rendered, sRGB with an S of 0.15, gains ± 3 %, light that falls off by 30 %, 0.3 % noise of full scale in each pixel,
//! 8 bit, JPEG quality 90; each frame with luck of its own. `phone`: the same by a camera that corrects its colours by a 3 × 3
//! of its own (`scenes`, correction.rs), a new one for each frame. The rival reads the same averages with the same paper.
//! `--card ten`: only ten of the patches are known, `white`: only the white one, and with `--told` the kind
//! of the light; the rival always has all. `home`: a card of a made-up printer's, read once in D65 by the chart, and the
//! cloths read by it in the light named, by the same camera or by the next; linear only, and the rival has the same values.
//! `--made-up N` takes so many cameras made up instead of a table of them.
//! `--case DIR` reads photographs, or readings, and truth made by somebody else (docs/cases.md).

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

#[path = "../trial/bands.rs"]
mod bands;
#[path = "../trial/cameras.rs"]
mod cameras;
#[path = "../trial/case.rs"]
mod case;
#[path = "../trial/figures.rs"]
mod figures;
#[path = "../trial/folder.rs"]
mod folder;
mod frames;
mod home;
#[path = "../trial/optional.rs"]
mod optional;
#[path = "../trial/pictures.rs"]
mod pictures;
#[path = "../trial/root_polynomial.rs"]
mod root_polynomial;
#[path = "../trial/tables.rs"]
mod tables;

use std::{env, process::ExitCode};

use colour::{Bands, ClothPrior, Lab, Light, Weights, ciede2000};
use picture::{Calibration, Chain, LampKind, Patch, Seen, Told, WhiteSpread};
use scenes::{Camera, Chance, sensitivities};

use cameras::{cameras, spectra};
use figures::Figures;
use root_polynomial::RootPolynomial;

/// What is asked for.
struct Asked {
    cameras: String,
    made_up: usize,
    reflectances: Vec<String>,
    chart: String,
    light: Light,
    seed: u64,
    chain: Through,
    cloths: usize,
    of_white: bool,
    card: Card,
    told: bool,
    other: bool,
    case: Option<String>,
}

/// What the picture's numbers go through.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Through {
    Linear,
    Jpeg,
    Phone,
}

/// How much of the chart the program is told.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Card {
    Chart,
    Ten,
    White,
    Home,
}

/// Where the white patch stands on the chart.
const WHITE: usize = 18;

fn main() -> ExitCode {
    let given: Vec<String> = env::args().skip(1).collect();
    match asked(&given).and_then(|asked| match &asked.case {
        Some(folder) => judge_case(folder),
        None => run(&asked),
    }) {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(refusal) => {
            eprintln!("chart_photos: {refusal}");
            ExitCode::from(2)
        }
    }
}

fn asked(given: &[String]) -> Result<Asked, String> {
    let mut asked = Asked {
        cameras: String::new(),
        made_up: 0,
        reflectances: Vec::new(),
        chart: "../shared/data/ship/patch24_spectra_5nm.csv".to_owned(),
        light: Light::D65,
        seed: 1,
        chain: Through::Linear,
        cloths: 96,
        of_white: false,
        card: Card::Chart,
        told: false,
        other: false,
        case: None,
    };
    let mut words = given.iter();
    while let Some(word) = words.next() {
        let mut value =
            || words.next().cloned().ok_or_else(|| format!("{word} wants something after it"));
        match word.as_str() {
            "--cameras" => asked.cameras = value()?,
            "--made-up" => {
                asked.made_up = value()?.parse().map_err(|_| "--made-up wants a whole number")?;
            }
            "--reflectances" => asked.reflectances.push(value()?),
            "--chart" => asked.chart = value()?,
            "--light" => {
                asked.light = Light::from_name(&value()?).map_err(|e| e.to_string())?;
            }
            "--seed" => {
                asked.seed = value()?.parse().map_err(|_| "--seed wants a whole number")?;
            }
            "--cloths" => {
                asked.cloths = value()?.parse().map_err(|_| "--cloths wants a whole number")?;
            }
            "--chain" => {
                asked.chain = match value()?.as_str() {
                    "linear" => Through::Linear,
                    "jpeg" => Through::Jpeg,
                    "phone" => Through::Phone,
                    other => {
                        return Err(format!("--chain is linear, jpeg or phone, not {other:?}"));
                    }
                }
            }
            "--card" => {
                asked.card = match value()?.as_str() {
                    "chart" => Card::Chart,
                    "ten" => Card::Ten,
                    "white" => Card::White,
                    "home" => Card::Home,
                    other => {
                        return Err(format!("--card is chart, ten, white or home, not {other:?}"));
                    }
                }
            }
            "--case" => asked.case = Some(value()?),
            "--told" => asked.told = true,
            "--other-camera" => asked.other = true,
            "--noise-of-white" => asked.of_white = true,
            other => return Err(format!("{other:?} is not understood")),
        }
    }
    if asked.case.is_none()
        && (asked.cameras.is_empty() == (asked.made_up == 0) || asked.reflectances.is_empty())
    {
        return Err(
            "give --cameras FILE or --made-up N, and --reflectances FILE; or --case DIR".to_owned()
        );
    }
    Ok(asked)
}

fn run(asked: &Asked) -> Result<String, String> {
    let chart = spectra(&asked.chart)?;
    let mut chance = Chance::of(asked.seed);
    let cloths = cloths(asked, &mut chance)?;
    let mut all = Figures::default();
    let sensors: Vec<_> = if asked.made_up > 0 {
        (0..asked.made_up).map(|n| (format!("made up {n}"), sensitivities(&mut chance))).collect()
    } else {
        cameras(&asked.cameras)?.into_iter().collect()
    };
    if asked.card == Card::Home {
        return home::run(asked, &sensors, [&chart, &cloths], &mut chance);
    }
    for (name, sensitivities) in sensors {
        let camera = Camera::under(asked.light, &sensitivities);
        let figures = if asked.chain != Through::Linear {
            let mut figures = Figures::default();
            for few in cloths.chunks(frames::CLOTHS) {
                let camera = match asked.chain {
                    Through::Phone => {
                        Camera::corrected(asked.light, &sensitivities, &chart, &mut chance)
                    }
                    _ => camera.clone(),
                };
                let (patches, seen) = frames::photograph(&camera, &chart, few, &mut chance)?;
                judge(
                    &patches,
                    &labs(few),
                    &seen,
                    (asked.card, told(asked)),
                    Chain::Developed,
                    &mut figures,
                )?;
            }
            figures
        } else {
            let mut figures = Figures::default();
            let (patches, seen) = averages(&camera, &chart, &cloths, asked.of_white, &mut chance);
            judge(
                &patches,
                &labs(&cloths),
                &seen,
                (asked.card, told(asked)),
                Chain::Linear,
                &mut figures,
            )?;
            figures
        };
        println!("{name}: {}", figures.line());
        all += &figures;
    }
    println!("all: {}", all.line());
    Ok(all.json())
}

fn judge_case(folder: &str) -> Result<String, String> {
    let mut all = Figures::default();
    for frame in case::frames(folder)? {
        let (seen, truths): (Vec<Seen>, Vec<Lab>) =
            frame.cloths.iter().map(|c| (c.seen, c.truth)).unzip();
        let mut figures = Figures::default();
        judge(&frame.patches, &truths, &seen, (Card::Chart, None), frame.chain, &mut figures)
            .map_err(|e| format!("{}: {e}", frame.at))?;
        println!("{}: {}", frame.name, figures.line());
        all += &figures;
    }
    println!("all: {}", all.line());
    Ok(all.json())
}

/// So many cloths, shared out among the files; all of a file that has fewer than its share.
fn cloths(asked: &Asked, chance: &mut Chance) -> Result<Vec<Bands>, String> {
    let mut files = Vec::new();
    for file in &asked.reflectances {
        files.push(spectra(file)?);
    }
    files.sort_by_key(Vec::len);
    let mut cloths = Vec::new();
    let mut left = files.len();
    for mut file in files {
        let share = (asked.cloths - cloths.len().min(asked.cloths)).div_ceil(left.max(1));
        left -= 1;
        for _ in 0..share.min(file.len()) {
            cloths.push(file.swap_remove(chance.below(file.len())));
        }
    }
    Ok(cloths)
}

fn averages(
    camera: &Camera,
    chart: &[Bands],
    cloths: &[Bands],
    of_white: bool,
    chance: &mut Chance,
) -> (Vec<Patch>, Vec<Seen>) {
    let mut seen = |cloth: &Bands| {
        let rgb = camera.sees(cloth).map(|v| {
            let noise = 0.003 * chance.normal() * if of_white { 1.0 } else { v };
            let stored = (0.8 * (v + noise)).clamp(0.0, 1.0);
            (stored * 65535.0).round() / 65535.0
        });
        Seen { rgb, paper: None, place: None }
    };
    let patches =
        chart.iter().map(|bands| Patch { reflectance: *bands, seen: seen(bands) }).collect();
    (patches, cloths.iter().map(seen).collect())
}

/// The kind of the light, where the program is told it.
fn told(asked: &Asked) -> Option<LampKind> {
    let kind = match asked.light {
        Light::A => LampKind::Tungsten,
        Light::Fl2 => LampKind::Tube,
        Light::Fl11 => LampKind::ThreeBand,
        Light::LedB3 | Light::LedB1 => LampKind::WhiteLed,
        _ => LampKind::Daylight,
    };
    asked.told.then_some(kind)
}

fn labs(cloths: &[Bands]) -> Vec<Lab> {
    cloths.iter().map(|cloth| Weights::reference().lab(cloth)).collect()
}

fn judge(
    patches: &[Patch],
    truths: &[Lab],
    seen: &[Seen],
    (card, lamp): (Card, Option<LampKind>),
    chain: Chain,
    figures: &mut Figures,
) -> Result<(), String> {
    let flat = |seen: &Seen| -> [f64; 3] {
        let paper = seen.paper.unwrap_or([1.0; 3]);
        std::array::from_fn(|c| seen.rgb[c] / paper[c])
    };
    let known: Vec<(Bands, [f64; 3])> =
        patches.iter().map(|p| (p.reflectance, flat(&p.seen))).collect();
    let root = RootPolynomial::fit(&known);
    let prior = ClothPrior::shipped();
    let calibration = match card {
        Card::Chart | Card::Home => Calibration::try_learn(patches, chain, prior),
        Card::Ten => {
            let ten: Vec<Patch> = patches.iter().copied().step_by(2).take(10).collect();
            Calibration::try_learn(&ten, chain, prior)
        }
        Card::White => {
            let white =
                patches.get(WHITE).ok_or("this chart has no white as its nineteenth patch")?;
            let spread = WhiteSpread { whole: 0.0, tint: 0.0 };
            Calibration::try_white(white, spread, Told { chain, lamp }, prior)
        }
    }
    .map_err(|refusal| refusal.to_string())?;
    figures.frame(&calibration);
    for (truth, seen) in truths.iter().zip(seen) {
        let Ok(ours) = calibration.try_cloth(seen) else {
            figures.refused += 1;
            continue;
        };
        figures.add(
            ciede2000(*truth, ours.lab),
            ours.within90,
            ciede2000(*truth, root.lab(flat(seen))),
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cases_made_elsewhere_are_judged() {
        for folder in ["readings", "photographs"] {
            let json: serde_json::Value =
                serde_json::from_str(&judge_case(&format!("tests/cases/{folder}")).unwrap())
                    .unwrap();
            assert_eq!(json["n"], 3, "{folder}: {json}");
            assert!(json["mean"].as_f64().unwrap() < 1.5, "{folder}: {json}");
        }
    }

    #[test]
    fn a_bad_row_is_named() {
        let why = judge_case("tests/cases/broken").unwrap_err();
        assert_eq!(
            why,
            "tests/cases/broken/cells.csv, line 4: its frame is not in tests/cases/broken/frames.csv"
        );
    }
}
