//! How many real colours the starter shelves reach: white cotton by the cold reactive dyes, white wool
//! by the acid (milling and premetallised) dyes, with at most three dyes, in daylight.
//!
//! `cargo run --release --example shelf_reach -- [SHADE_BOOK.csv]`. The textiles and chart colours
//! are the shipped ones; the shade book (every ninth row from row 0) is read when its path is
//! given. The starter dyes are estimates: the counts say what such a shelf could do, not what any
//! dyeing did. The last line is JSON.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

use std::error::Error;

use colour::{Bands, Weights};
use dyeing::{Ground, Look, Substrate, starter};
use lore::{DyeClass, Procedure};
use recipe::engine::{self, Aim, Law, LightAim, Palette, Settings};
use units::{LiquorRatio, Share};

const TEXTILES: &str = include_str!("../../colour/tests/fixtures/cie224_textile21_5nm.csv");
const CLOTHES: &str = include_str!("../../colour/tests/fixtures/vrhel_clothing_10nm.csv");
const CHART: &str = include_str!("../tests/fixtures/patch24_spectra_5nm.csv");

fn main() -> Result<(), Box<dyn Error>> {
    let mut sets = vec![
        ("textiles_11", spectra(TEXTILES)?),
        ("clothes_18", spectra(CLOTHES)?),
        ("chart_24", spectra(CHART)?),
    ];
    if let Some(path) = std::env::args().nth(1) {
        let text = std::fs::read_to_string(&path).map_err(|e| format!("{path}: {e}"))?;
        let all = spectra(&text)?;
        sets.push(("shade_book", all.into_iter().step_by(9).take(200).collect()));
    } else {
        println!("no shade book given: its rows are skipped");
    }
    let shelves = [
        ("cotton", shelf("cotton", Procedure::ReactiveCold, DyeClass::ReactiveDct)?),
        ("wool", shelf("wool", Procedure::AcidMilling, DyeClass::AcidMilling)?),
    ];
    let mut json = vec![];
    for (cloth, palette) in &shelves {
        for (name, colours) in &sets {
            let gaps: Vec<f64> =
                colours.iter().map(|c| gap(palette, c)).collect::<Result<_, _>>()?;
            let within = |limit: f64| gaps.iter().filter(|g| **g <= limit).count();
            println!(
                "{cloth:6} {name:12} {:4} colours: {:4} within 1, {:4} within 2",
                gaps.len(),
                within(1.0),
                within(2.0)
            );
            json.push(format!(
                "\"{cloth}_{name}\":{{\"n\":{},\"within1\":{},\"within2\":{}}}",
                gaps.len(),
                within(1.0),
                within(2.0)
            ));
        }
    }
    println!("{{{}}}", json.join(","));
    Ok(())
}

fn shelf(material: &str, way: Procedure, class: DyeClass) -> Result<Palette, Box<dyn Error>> {
    let ground = Ground::assumed(&[(material, Share::WHOLE)], Look::White)?;
    let on = Substrate::try_new(&ground, class, LiquorRatio::try_litres_per_kilogram(20.0)?)?;
    let dyes: Vec<_> = starter().iter().map(|s| &s.dye).filter(|d| way.takes(d.class)).collect();
    let (cloth_ks, gain) = on.plain().ok_or("one fibre")?;
    Ok(Palette {
        cloth_ks,
        surface: 0.0,
        shapes: dyes.iter().map(|d| d.absorbs().map(|a| a * gain)).collect(),
        most: dyes.iter().map(|d| on.most_fixed(d)).collect(),
        law: Law::Plain,
    })
}

fn gap(palette: &Palette, target: &Bands) -> Result<f64, Box<dyn Error>> {
    let weights = Weights::reference();
    let (white, lab) = (weights.white(), weights.lab(target));
    let aim = Aim {
        lights: vec![LightAim {
            weights: *weights.rows(),
            white: [white.x, white.y, white.z],
            lab: [lab.l, lab.a, lab.b],
            share: 1.0,
        }],
        start: *target.values(),
    };
    let found = engine::search(palette, &aim, 3, &Settings::default(), 0)?;
    Ok(found.combos.first().map_or(f64::INFINITY, |c| c.rms))
}

/// Every row of a CSV with columns R400 … R700, on any step that has the tens.
fn spectra(text: &str) -> Result<Vec<Bands>, Box<dyn Error>> {
    let mut lines = text.lines();
    let head: Vec<&str> = lines.next().ok_or("an empty file")?.split(',').collect();
    let places: Vec<usize> = (400..=700)
        .step_by(10)
        .map(|nm| {
            head.iter().position(|h| *h == format!("R{nm}")).ok_or(format!("no column R{nm}"))
        })
        .collect::<Result<_, _>>()?;
    lines
        .filter(|l| !l.is_empty())
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let mut r = [0.0; 31];
            for (r, place) in r.iter_mut().zip(&places) {
                *r = cells.get(*place).ok_or("a short row")?.trim().parse::<f64>()?;
            }
            Ok(Bands::try_new(r)?)
        })
        .collect()
}
