//! How well the flat colours of drawn artwork are read:
//! `cargo run --release --example flat_art -- [--seed 1] [--scenes 200] [--shading hard|soft|none] [--no-lines]
//! [--halved] [--case DIR]`.
//!
//! Pictures made up by the room `scenes` (a mosaic of panels, 8 to 24 flats, lines, two shadow tones, a highlight, JPEG
//! of quality 75), or a folder of pictures and truth made by somebody else (docs/cases.md). A flat is *found* when a
//! flat of the list lies within 3.0 ΔE00 of its base, each counted once; *extra* is what the list holds besides. The
//! last line is JSON.

#![expect(clippy::print_stdout, reason = "an example prints its answer")]

use std::error::Error;

use picture::{Flats, Open, Picture, Region};
use scenes::{Artwork, Chance, Manner, Shading};

mod case;
#[path = "../trial/folder.rs"]
mod folder;
#[path = "../trial/optional.rs"]
mod optional;
#[path = "../trial/pictures.rs"]
mod pictures;
#[path = "../trial/tables.rs"]
mod tables;

/// A flat of the truth.
struct True {
    lab: colour::Lab,
    name: String,
    share: f64,
}

/// What was counted.
#[derive(Default)]
struct Tally {
    scenes: usize,
    refused: usize,
    flats: usize,
    errors: Vec<f64>,
    extra: usize,
    asked: usize,
    placed: usize,
    ms: Vec<f64>,
}

/// ΔE00 within which a flat is found: half of what lies at least between two flats of a drawing, so that none is taken
/// for another. JPEG of quality 75 itself moves a dark flat by up to about 2.5.
const FOUND: f64 = 3.0;
/// The same more strictly, to be told beside it.
const STRICTLY: f64 = 2.0;

fn main() -> Result<(), Box<dyn Error>> {
    let mut tally = Tally::default();
    if let Some(folder) = text("--case") {
        for scene in case::read(&folder)? {
            judge(&scene.name, &scene.picture, scene.region, &scene.flats, None, &mut tally);
        }
    } else {
        made_up(&mut tally)?;
    }
    if tally.flats == 0 {
        return Err("there was no flat to find".into());
    }
    tally.errors.sort_by(f64::total_cmp);
    tally.ms.sort_by(f64::total_cmp);
    #[expect(clippy::cast_precision_loss, reason = "counts")]
    let of = |n: usize, all: usize| n as f64 / all.max(1) as f64;
    let strictly = tally.errors.iter().filter(|e| **e <= STRICTLY).count();
    println!(
        "{}",
        serde_json::json!({
            "scenes": tally.scenes,
            "refused": tally.refused,
            "flats": tally.flats,
            "found": round(of(tally.errors.len(), tally.flats), 4),
            "found_within_2": round(of(strictly, tally.flats), 4),
            "median": round(quantile(&tally.errors, 0.5), 3),
            "p95": round(quantile(&tally.errors, 0.95), 3),
            "placed": round(of(tally.placed, tally.errors.len()), 4),
            "extra_per_scene": round(of(tally.extra, tally.scenes), 2),
            "asked_per_scene": round(of(tally.asked, tally.scenes), 2),
            "ms_median": round(quantile(&tally.ms, 0.5), 1),
        })
    );
    Ok(())
}

fn made_up(tally: &mut Tally) -> Result<(), Box<dyn Error>> {
    let seed: u64 = text("--seed").map_or(Ok(1), |t| t.parse())?;
    let scenes: usize = text("--scenes").map_or(Ok(200), |t| t.parse())?;
    let shading = match text("--shading").as_deref() {
        None | Some("hard") => Shading::Hard,
        Some("soft") => Shading::Soft,
        Some("none") => Shading::None,
        Some(other) => return Err(format!("--shading is hard, soft or none, not {other}").into()),
    };
    let mut chance = Chance::of(seed);
    for i in 0..scenes {
        let mut manner = Manner { shading, ..Manner::usual(&mut chance) };
        if flag("--no-lines") {
            manner.line = 0.0;
        }
        let drawn = Artwork::drawn(&manner, &mut chance);
        let file = drawn.jpeg(75, flag("--halved"))?;
        let truth: Vec<True> = drawn
            .flats
            .iter()
            // Hidden behind others but for a corner: nobody would name it.
            .filter(|f| f.share[1] >= 0.001)
            .map(|f| True { lab: f.lab, name: f.hex.clone(), share: f.share[0] })
            .collect();
        if let Some(folder) = text("--keep") {
            std::fs::create_dir_all(&folder)?;
            std::fs::write(format!("{folder}/{i}.jpg"), &file)?;
        }
        let picture = Picture::try_read(&file)?;
        judge(&format!("scene {i}"), &picture, None, &truth, Some(&drawn), tally);
    }
    Ok(())
}

fn judge(
    name: &str,
    picture: &Picture,
    region: Option<Region>,
    truth: &[True],
    drawn: Option<&scenes::Drawn>,
    tally: &mut Tally,
) {
    tally.scenes += 1;
    tally.flats += truth.len();
    let begun = std::time::Instant::now();
    let flats = match picture.try_flats(region) {
        Ok(flats) => flats,
        Err(why) => {
            tally.refused += 1;
            println!("{name}: {why}");
            return;
        }
    };
    tally.ms.push(begun.elapsed().as_secs_f64() * 1e3);
    let mut left: Vec<usize> = (0..flats.all.len()).collect();
    let mut missed = vec![];
    for one in truth {
        let away = |i: &usize| colour::ciede2000(one.lab, flats.all[*i].lab);
        let best = left.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b)));
        match best.filter(|i| away(i) <= FOUND) {
            Some(i) => {
                tally.errors.push(away(&i));
                left.retain(|k| *k != i);
                let [x, y] = flats.all[i].at;
                let there = drawn.and_then(|d| d.flat_at(x, y).map(|f| &d.flats[f]));
                let there = there.is_some_and(|f| f.hex == one.name);
                tally.placed += usize::from(there || drawn.is_none());
            }
            None => missed.push(format!("{} ({:.2} %)", one.name, 100.0 * one.share)),
        }
    }
    tally.extra += left.len();
    tally.asked += flats.all.iter().map(|f| f.open.len()).sum::<usize>();
    if flag("--tell") && (!missed.is_empty() || !left.is_empty()) {
        println!("{name}: missed {}; besides {}", missed.join(", "), besides(&flats, &left));
    }
}

fn besides(flats: &Flats, left: &[usize]) -> String {
    let one = |i: &usize| {
        let flat = &flats.all[*i];
        let open = flat.open.iter().any(|o| matches!(o, Open::ShadeOf(_)));
        let asks = if open { "?" } else { "" };
        let [x, y] = flat.at;
        format!("{}{asks} {:.2} % at {x},{y}", flat.screen.to_hex(), 100.0 * flat.share)
    };
    left.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn quantile(sorted: &[f64], at: f64) -> f64 {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place in a list"
    )]
    let place = (at * sorted.len().saturating_sub(1) as f64).round() as usize;
    sorted.get(place).copied().unwrap_or(f64::NAN)
}

fn round(v: f64, digits: i32) -> f64 {
    let by = 10_f64.powi(digits);
    (v * by).round() / by
}

fn text(name: &str) -> Option<String> {
    let all: Vec<String> = std::env::args().collect();
    all.iter().position(|a| a == name).and_then(|i| all.get(i + 1).cloned())
}

fn flag(name: &str) -> bool {
    std::env::args().any(|a| a == name)
}
