//! How well cloth is read when the card holds cloths of its own kind: the responses of a real camera.
//!
//!     cargo run --release --example camera_bands -- FILE [--bands RED,GREEN,BLUE] | --case DIR
//!
//! FILE has columns set, index, R400 … R700 and one for each band; bands cam12, cam08 and cam04 stand for red, green and
//! blue. Of each set the even indices are the card and the odd ones the cloths that are read. `--case DIR` reads
//! `DIR/samples.csv` with the bands called r, g and b.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "an example speaks to the person who runs it"
)]

#[path = "../trial/bands.rs"]
mod bands;
#[path = "../trial/figures.rs"]
mod figures;
#[path = "../trial/folder.rs"]
mod folder;
#[path = "../trial/root_polynomial.rs"]
mod root_polynomial;
#[path = "../trial/tables.rs"]
mod tables;

use std::{env, process::ExitCode};

use colour::{Bands, ClothPrior, Weights, ciede2000};
use picture::{Calibration, Chain, Patch, Seen};

use figures::Figures;
use root_polynomial::RootPolynomial;
use tables::Table;

fn main() -> ExitCode {
    let given: Vec<String> = env::args().skip(1).collect();
    match asked(&given).and_then(|asked| run(&asked)) {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(refusal) => {
            eprintln!("camera_bands: {refusal}");
            ExitCode::from(2)
        }
    }
}

/// What is asked for.
struct Asked {
    file: String,
    bands: [String; 3],
    case: bool,
}

fn asked(given: &[String]) -> Result<Asked, String> {
    let mut file = None;
    let mut case = false;
    let mut bands = ["cam12", "cam08", "cam04"].map(str::to_owned);
    let mut words = given.iter();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--bands" => {
                let value = words.next().ok_or("--bands wants RED,GREEN,BLUE after it")?;
                let names: Vec<String> = value.split(',').map(str::to_owned).collect();
                bands = names.try_into().map_err(|_| format!("{value:?} is not three bands"))?;
            }
            "--case" => {
                let folder = words.next().ok_or("--case wants a folder after it")?;
                file = Some(format!("{folder}/samples.csv"));
                bands = ["r", "g", "b"].map(str::to_owned);
                case = true;
            }
            other if other.starts_with("--") => return Err(format!("{other:?} is not understood")),
            other => file = Some(other.to_owned()),
        }
    }
    Ok(Asked { file: file.ok_or("give a FILE, or --case DIR")?, bands, case })
}

struct Sample {
    reflectance: Bands,
    rgb: [f64; 3],
}

fn run(Asked { file, bands, case }: &Asked) -> Result<String, String> {
    let table = if *case {
        Table::of_case(file, &["set", "index", "R", "r", "g", "b"])?
    } else {
        Table::read(file)?
    };
    let mut sets: Vec<(String, Vec<Sample>, Vec<Sample>)> = Vec::new();
    for row in 0..table.len() {
        let name = table.text(row, "set")?;
        let index = table.text(row, "index")?;
        let index: u32 = index
            .parse()
            .map_err(|_| format!("{}, index: {index:?} is no whole number", table.at(row)))?;
        let mut rgb = [0.0; 3];
        for (value, band) in rgb.iter_mut().zip(bands) {
            *value = table.number(row, band)?;
        }
        let sample = Sample { reflectance: table.bands(row)?, rgb };
        let at = sets.iter().position(|(known, _, _)| known == name).unwrap_or_else(|| {
            sets.push((name.to_owned(), Vec::new(), Vec::new()));
            sets.len() - 1
        });
        let (_, even, odd) = &mut sets[at];
        if index.is_multiple_of(2) { even.push(sample) } else { odd.push(sample) }
    }
    if sets.is_empty() {
        return Err(format!("{file}: no samples in it"));
    }
    let mut parts = Vec::with_capacity(sets.len());
    for (name, card, cloths) in &sets {
        let figures = judge(card, cloths).map_err(|e| format!("{file}, set {name}: {e}"))?;
        println!("{name}: {}", figures.line());
        parts.push(format!("\"{name}\":{}", figures.json()));
    }
    Ok(format!("{{{}}}", parts.join(",")))
}

fn judge(card: &[Sample], cloths: &[Sample]) -> Result<Figures, String> {
    if cloths.is_empty() {
        return Err("no cloth with an odd index to be read".to_owned());
    }
    // responses are shares of white; a frame in which white stands at eight tenths
    let seen = |s: &Sample| Seen { rgb: s.rgb.map(|v| 0.8 * v), paper: None, place: None };
    let patches: Vec<Patch> =
        card.iter().map(|s| Patch { reflectance: s.reflectance, seen: seen(s) }).collect();
    let known: Vec<(Bands, [f64; 3])> = card.iter().map(|s| (s.reflectance, s.rgb)).collect();
    let root = RootPolynomial::fit(&known);
    let calibration = Calibration::try_learn(&patches, Chain::Linear, ClothPrior::shipped())
        .map_err(|refusal| refusal.to_string())?;
    let mut figures = Figures::default();
    figures.frame(&calibration);
    for cloth in cloths {
        let truth = Weights::reference().lab(&cloth.reflectance);
        let Ok(ours) = calibration.try_cloth(&seen(cloth)) else {
            figures.refused += 1;
            continue;
        };
        figures.add(
            ciede2000(truth, ours.lab),
            ours.within90,
            ciede2000(truth, root.lab(cloth.rgb)),
        );
    }
    Ok(figures)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(folder: &str) -> Result<String, String> {
        run(&asked(&["--case".to_owned(), folder.to_owned()])?)
    }

    #[test]
    fn a_case_made_elsewhere_is_judged() {
        let json: serde_json::Value =
            serde_json::from_str(&case("tests/cases/bands").unwrap()).unwrap();
        let set = &json["s0"];
        assert_eq!(set["n"], 30, "{json}");
        assert!(set["mean"].as_f64().unwrap() < 1.2, "{json}");
    }

    #[test]
    fn a_bad_row_is_named() {
        let why = case("tests/cases/broken").unwrap_err();
        assert_eq!(
            why,
            "tests/cases/broken/samples.csv: column \"red\" is not known here; known are set, index, R, r, g, b"
        );
    }
}
