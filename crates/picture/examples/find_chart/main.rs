//! Whether a chart is found in rendered photographs, and none where there is none: `find_chart -- --seed S`, or on
//! pictures of somebody else: `--case DIR` (docs/cases.md).
//!
//! Scenes: a chart any way round with up to two cloths, paper, clutter, a table; 30 to 95 % of the picture filled; noise,
//! blur, light that falls off, a camera made up, JPEG. Without a chart: clutter, boards, window panes, tiles and swatch
//! cards (half of them four by six), and drawn artwork. Found means that every patch's middle is within a quarter of a
//! patch of its true place; anything else counts as not found. `corner_error_px` is the median, over the charts found, of
//! the largest error of the four corner patches' middles. One line of JSON at the end. `--large 50` times one picture of
//! 50 megapixels instead.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

mod case;
#[path = "../trial/folder.rs"]
mod folder;
#[path = "../trial/pictures.rs"]
mod pictures;
#[path = "../trial/tables.rs"]
mod tables;

use std::{env, fs, process::ExitCode, time::Instant};

use picture::{ChartKind, FoundChart, PhotoRefusal, Picture};
use scenes::{Artwork, Chance, Layout, Manner, NoChart, Scene, made_up};

/// What is asked for.
struct Asked {
    seed: u64,
    upright: usize,
    steep: usize,
    none: usize,
    large: Option<usize>,
    case: Option<String>,
    look: Option<String>,
}

fn main() -> ExitCode {
    let given: Vec<String> = env::args().skip(1).collect();
    let done = asked(&given).and_then(|asked| match &asked.case {
        Some(folder) => case::run(folder),
        None => asked.large.map_or_else(|| run(&asked), |megapixels| large(&asked, megapixels)),
    });
    match done {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(refusal) => {
            eprintln!("find_chart: {refusal}");
            ExitCode::from(2)
        }
    }
}

fn asked(given: &[String]) -> Result<Asked, String> {
    let mut asked =
        Asked { seed: 1, upright: 500, steep: 300, none: 500, large: None, case: None, look: None };
    let mut words = given.iter();
    while let Some(word) = words.next() {
        let value = words.next().ok_or_else(|| format!("{word} wants something after it"))?;
        let number = || value.parse::<usize>().map_err(|_| format!("{word} wants a whole number"));
        match word.as_str() {
            "--seed" => asked.seed = value.parse().map_err(|_| "--seed wants a whole number")?,
            "--scenes" => asked.upright = number()?,
            "--steep" => asked.steep = number()?,
            "--without" => asked.none = number()?,
            "--large" => asked.large = Some(number()?),
            "--case" => asked.case = Some(value.clone()),
            "--look" => asked.look = Some(value.clone()),
            other => return Err(format!("{other:?} is not understood")),
        }
    }
    Ok(asked)
}

/// What came of one scene.
struct Seen {
    found: bool,
    error: Option<f64>,
    likeness: f64,
    why: String,
    seconds: f64,
}

fn run(asked: &Asked) -> Result<String, String> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let upright = many(asked.upright, workers, &|n| with_chart(asked, n, [0.0, 30.0]))?;
    let steep = many(asked.steep, workers, &|n| with_chart(asked, n + 1_000_000, [30.0, 45.0]))?;
    let none = many(asked.none, workers, &|n| without_chart(asked, n + 2_000_000))?;
    for (name, all) in [("tilt to 30°", &upright), ("tilt 30 to 45°", &steep)] {
        for (n, seen) in all.iter().enumerate().filter(|(_, s)| !s.found) {
            println!("{name}, scene {n}: {}", seen.why);
        }
    }
    for (n, seen) in none.iter().enumerate().filter(|(_, s)| s.found) {
        println!("without a chart, picture {n}: {}", seen.why);
    }
    let share =
        |all: &[Seen]| number(all.iter().filter(|s| s.found).count()) / number(all.len().max(1));
    let mut errors: Vec<f64> = upright.iter().filter_map(|s| s.error).collect();
    let mut seconds: Vec<f64> = upright.iter().map(|s| s.seconds).collect();
    Ok(format!(
        "{{\"found\":{:.4},\"tilt30_n\":{},\"tilt45_found\":{:.4},\"tilt45_n\":{},\"false_finds\":{},\"no_chart_n\":{},\"corner_error_px\":{:.2},\"corner_error_p95_px\":{:.2},\"least_likeness\":{:.3},\"median_ms\":{:.0}}}",
        share(&upright),
        upright.len(),
        share(&steep),
        steep.len(),
        none.iter().filter(|s| s.found).count(),
        none.len(),
        quantile(&mut errors, 0.5),
        quantile(&mut errors, 0.95),
        upright.iter().chain(&steep).map(|s| s.likeness).fold(1.0, f64::min),
        1000.0 * quantile(&mut seconds, 0.5),
    ))
}

/// One photograph of so many megapixels: how long it takes to read the file and to find the chart.
fn large(asked: &Asked, megapixels: usize) -> Result<String, String> {
    let mut chance = luck(asked.seed, 3_000_000);
    let chart = ChartKind::classic();
    let mut layout = Layout::careful(
        chart.patches(),
        chart.across(),
        made_up(&mut chance).into_iter().collect(),
    );
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "pixels of a side")]
    let side = (number(megapixels) * 1e6 * 4.0 / 3.0).sqrt() as usize;
    layout.side = [side, side];
    let scene = layout.scene(&mut chance);
    let jpeg = scene.photograph(&mut chance).jpeg().map_err(|e| e.to_string())?;
    let start = Instant::now();
    let picture = Picture::try_read(&jpeg).map_err(|e| e.to_string())?;
    let read = start.elapsed().as_secs_f64();
    let start = Instant::now();
    let found = picture.find_chart(chart).map_err(|e| e.to_string())?;
    let seconds = start.elapsed().as_secs_f64();
    Ok(format!(
        "{{\"width\":{},\"height\":{},\"read_ms\":{:.0},\"find_ms\":{:.0},\"worst_off\":{:.3}}}",
        picture.width(),
        picture.height(),
        1000.0 * read,
        1000.0 * seconds,
        off(&scene, &found).0
    ))
}

/// Every scene has luck of its own, so that they may be made in any order.
fn many(
    count: usize,
    workers: usize,
    one: &(dyn Fn(u64) -> Result<Seen, String> + Sync),
) -> Result<Vec<Seen>, String> {
    let parts = std::thread::scope(|scope| {
        let jobs: Vec<_> = (0..workers)
            .map(|worker| {
                scope.spawn(move || {
                    (worker..count).step_by(workers).map(|n| (n, one(n as u64))).collect::<Vec<_>>()
                })
            })
            .collect();
        jobs.into_iter()
            .map(|job| job.join().map_err(|_| "a scene panicked".to_owned()))
            .collect::<Result<Vec<_>, _>>()
    })?;
    let mut all: Vec<_> = parts.into_iter().flatten().collect();
    all.sort_by_key(|(n, _)| *n);
    all.into_iter().map(|(_, seen)| seen).collect()
}

fn luck(seed: u64, n: u64) -> Chance {
    let mut chance = Chance::of(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ n);
    chance.bits();
    chance
}

fn with_chart(asked: &Asked, n: u64, tilt: [f64; 2]) -> Result<Seen, String> {
    let mut chance = luck(asked.seed, n);
    let chart = ChartKind::classic();
    let cloths = (0..chance.below(3)).filter_map(|_| made_up(&mut chance)).collect();
    let mut layout = Layout::careful(chart.patches(), chart.across(), cloths);
    layout.tilt = tilt;
    layout.fills = [0.3, 0.95];
    layout.clutter = chance.below(20);
    layout.side = [900, 1600];
    let mut scene = layout.scene(&mut chance);
    scene.lit.slope[0] = chance.between(0.0, 0.7);
    scene.processing.blur = chance.between(0.2, 1.8);
    let noise = chance.between(1.0, 3.0);
    scene.processing.noise = scene.processing.noise.map(|v| noise * v);
    let jpeg = scene.photograph(&mut chance).jpeg().map_err(|e| e.to_string())?;
    let picture = Picture::try_read(&jpeg).map_err(|e| e.to_string())?;
    let start = Instant::now();
    let found = picture.find_chart(chart);
    let seconds = start.elapsed().as_secs_f64();
    if let Some(folder) = &asked.look {
        fs::write(format!("{folder}/chart-{n}.png"), overlay(&picture, found.as_ref().ok())?)
            .map_err(|e| format!("{folder}: {e}"))?;
    }
    Ok(match found {
        Ok(found) => {
            let (worst, corner) = off(&scene, &found);
            Seen {
                found: worst < 0.25,
                likeness: found.likeness,
                error: Some(corner),
                why: format!("off by {worst:.2} of a patch"),
                seconds,
            }
        }
        Err(why) => {
            Seen { found: false, likeness: 1.0, error: None, why: why.to_string(), seconds }
        }
    })
}

/// Largest error of a patch's middle in pitches, and of a corner patch's in pixels.
fn off(scene: &Scene, found: &FoundChart) -> (f64, f64) {
    let Some(patches) = scene.laid.patches.clone() else { return (f64::MAX, f64::MAX) };
    let errors: Vec<f64> = patches
        .clone()
        .enumerate()
        .map(|(n, thing)| {
            let (a, b) = (scene.view.pixel(scene.things[thing].middle), found.middle(n));
            (a[0] - b[0]).hypot(a[1] - b[1])
        })
        .collect();
    let worst = errors.iter().copied().fold(0.0, f64::max) / found.pitch();
    let corners = [0, scene.laid.across - 1, patches.len() - scene.laid.across, patches.len() - 1];
    (worst, corners.iter().map(|n| errors[*n]).fold(0.0, f64::max))
}

fn without_chart(asked: &Asked, n: u64) -> Result<Seen, String> {
    let mut chance = luck(asked.seed, n);
    let which = chance.below(NoChart::ALL.len() + 1);
    let bytes = match NoChart::ALL.get(which) {
        Some(kind) => kind.scene(&mut chance).photograph(&mut chance).jpeg(),
        None => Artwork::drawn(&Manner::usual(&mut chance), &mut chance).jpeg(85, false),
    };
    let picture =
        Picture::try_read(&bytes.map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
    let start = Instant::now();
    let found = picture.find_chart(ChartKind::classic());
    let seconds = start.elapsed().as_secs_f64();
    if let Some(folder) = &asked.look {
        fs::write(format!("{folder}/none-{n}.png"), overlay(&picture, found.as_ref().ok())?)
            .map_err(|e| format!("{folder}: {e}"))?;
    }
    // A chart cut off, mirrored or too small was taken for a chart all the same.
    let (found, why) = match found {
        Ok(found) => (true, format!("kind {which}, likeness {:.3}", found.likeness)),
        Err(PhotoRefusal::NoChart | PhotoRefusal::OtherColours { .. }) => (false, String::new()),
        Err(other) => (true, format!("kind {which}: {other}")),
    };
    Ok(Seen { found, likeness: 1.0, error: None, why, seconds })
}

/// The picture with a cross on every patch and a ring about the first, as PNG.
fn overlay(picture: &Picture, found: Option<&FoundChart>) -> Result<Vec<u8>, String> {
    let (width, height) = (picture.width(), picture.height());
    let mut rgb: Vec<u8> = Vec::with_capacity(3 * width * height);
    for y in 0..height {
        for x in 0..width {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to 255"
            )]
            rgb.extend(picture.encoded(x, y).map(|v| (255.0 * v) as u8));
        }
    }
    let mut dot = |x: f64, y: f64, colour: [u8; 3]| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked by the comparison after"
        )]
        let (x, y) = (x as usize, y as usize);
        if x < width && y < height {
            rgb[3 * (y * width + x)..3 * (y * width + x) + 3].copy_from_slice(&colour);
        }
    };
    if let Some(found) = found {
        for n in 0..24 {
            let [x, y] = found.middle(n);
            for k in -4..=4 {
                dot(x + f64::from(k), y, [255, 0, 255]);
                dot(x, y + f64::from(k), [255, 0, 255]);
                if n == 0 {
                    dot(x + f64::from(k), y + 6.0, [255, 255, 0]);
                    dot(x + f64::from(k), y - 6.0, [255, 255, 0]);
                }
            }
        }
        let corners = found.corners();
        for k in 0..4 {
            let (a, b) = (corners[k], corners[(k + 1) % 4]);
            for step in 0..1000 {
                let t = f64::from(step) / 1000.0;
                dot(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), [0, 255, 0]);
            }
        }
    }
    scenes::png_of(width, height, &rgb).map_err(|e| e.to_string())
}

fn quantile(all: &mut [f64], share: f64) -> f64 {
    all.sort_by(f64::total_cmp);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank")]
    let at = (share * number(all.len().saturating_sub(1))) as usize;
    all.get(at).copied().unwrap_or(f64::NAN)
}

#[expect(clippy::cast_precision_loss, reason = "counts of scenes")]
const fn number(n: usize) -> f64 {
    n as f64
}
