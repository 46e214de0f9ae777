//! How well a cloth's spectrum is guessed from its colour alone.
//!
//!     cargo run --release -p colour --example spectrum_from_colour -- FILE
//!     cargo run --release -p colour --example spectrum_from_colour -- FILE OTHER
//!
//! FILE is a comma-separated table with columns R400, R410 … R700 (others are passed over). Given
//! one file, its even rows (counted from 0 after the header) are learnt from and its odd rows
//! judged; given two, the first is learnt from and every row of the second judged. Input is Lab
//! D65/10°, met exactly; judged by ΔE00, 10°, under A and FL11 (ASTM E2022 weights, 31 bands). Three
//! results are printed: learnt from the file, the shipped prior, the least-slope rule. The last line
//! is the first of them as JSON.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

use std::{env, fs, process::ExitCode, time::Instant};

use colour::{BANDS, Bands, ClothPrior, Lab, Light, Observer, Weights, ciede2000};

/// Faults of a file that are listed before the rest is only counted.
const LISTED: usize = 8;

fn main() -> ExitCode {
    let files: Vec<String> = env::args().skip(1).collect();
    match run(&files) {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(refusal) => {
            eprintln!("spectrum_from_colour: {refusal}");
            ExitCode::from(2)
        }
    }
}

fn run(files: &[String]) -> Result<String, String> {
    let (learnt, judged) = match files {
        [one] => {
            let all = read(one)?;
            let half = |odd: usize| -> Vec<Bands> {
                all.iter().enumerate().filter(|(n, _)| n % 2 == odd).map(|(_, b)| *b).collect()
            };
            println!(
                "{one}: {} rows; learnt from the even ones, judged on the odd ones",
                all.len()
            );
            (half(0), half(1))
        }
        [one, other] => {
            let (learnt, judged) = (read(one)?, read(other)?);
            println!(
                "learnt from {one} ({} rows), judged on {other} ({} rows)",
                learnt.len(),
                judged.len()
            );
            (learnt, judged)
        }
        _ => {
            return Err("give one file (even rows learnt, odd rows judged) or two (the first \
                        learnt, the second judged), each with columns R400 to R700"
                .to_owned());
        }
    };
    let from = files.first().map_or("", String::as_str);
    let prior = ClothPrior::learn(&learnt).map_err(|refusal| format!("{from}: {refusal}"))?;
    let fitted = judge("learnt", &prior, &judged)?;
    judge("shipped prior", ClothPrior::shipped(), &judged)?;
    judge("least slope", ClothPrior::smooth(), &judged)?;
    Ok(fitted)
}

/// Judges a prior on clothes, prints the result in words and hands it back as JSON.
fn judge(name: &str, prior: &ClothPrior, clothes: &[Bands]) -> Result<String, String> {
    let start = Instant::now();
    let reference = Weights::reference();
    let lights = [Light::A, Light::Fl11].map(|light| Weights::of(light, Observer::Ten));
    let mut errors = [Vec::new(), Vec::new()];
    let mut stated = [0.0; 2];
    let (mut refused, mut exact) = (0_usize, 0.0_f64);
    for cloth in clothes {
        let lab = reference.lab(cloth);
        let Ok(likely) = prior.likely(lab) else {
            refused += 1;
            continue;
        };
        exact = exact.max(farthest(lab, reference.lab(&likely.bands)));
        for (n, weights) in lights.into_iter().enumerate() {
            errors[n].push(ciede2000(weights.lab(cloth), weights.lab(&likely.bands)));
            stated[n] += likely.expected_difference(weights).powi(2);
        }
    }
    let n = errors[0].len();
    if n == 0 {
        return Err("no row could be judged: the colours of all of them were refused".to_owned());
    }
    let rms = |sum: f64| (sum / f64::from(u32::try_from(n).unwrap_or(u32::MAX))).sqrt();
    let met = errors.each_ref().map(|e| rms(e.iter().map(|d| d * d).sum()));
    let [(am, ap), (fm, fp)] = errors.map(|mut e| (share(&mut e, 0.5), share(&mut e, 0.9)));
    println!(
        "{name}: A median {am:.3}, p90 {ap:.3}; FL11 median {fm:.3}, p90 {fp:.3}; n {n}, refused \
         {refused}; D65/10 met within {exact:.1e}; rms stated {:.2} / {:.2}, found {:.2} / {:.2}; \
         {:.2} s",
        rms(stated[0]),
        rms(stated[1]),
        met[0],
        met[1],
        start.elapsed().as_secs_f64()
    );
    Ok(format!(
        "{{\"a_median\":{am:.4},\"fl11_median\":{fm:.4},\"a_p90\":{ap:.4},\"fl11_p90\":{fp:.4},\
         \"n\":{n}}}"
    ))
}

fn farthest(one: Lab, other: Lab) -> f64 {
    [one.l - other.l, one.a - other.a, one.b - other.b]
        .into_iter()
        .map(f64::abs)
        .fold(0.0, f64::max)
}

/// The value below which this share of the values lies, linear between neighbours.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place in a list, at least 0 and below its length"
)]
fn share(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let place = share * (values.len() - 1) as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(values.len() - 1);
    values[below] + (place - place.floor()) * (values[above] - values[below])
}

/// The spectra of a file, or all that is wrong with it.
fn read(path: &str) -> Result<Vec<Bands>, String> {
    let bytes = fs::read(path).map_err(|e| format!("{path}: cannot be read ({e})"))?;
    let text = String::from_utf8(bytes).map_err(|_| {
        format!("{path}: is not a text file; give a comma-separated table with R400 to R700")
    })?;
    let text = text.trim_start_matches('\u{feff}');
    let mut lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let Some((_, header)) = lines.next() else {
        return Err(format!("{path}: is empty; give a table with columns R400 to R700"));
    };
    let columns = columns(header).map_err(|missing| {
        format!("{path}, line 1: no column {missing}; the header must name R400, R410 … R700")
    })?;
    let mut clothes = Vec::new();
    let mut faults = Vec::new();
    for (n, line) in lines {
        match row(line, &columns) {
            Ok(bands) => clothes.push(bands),
            Err(fault) => faults.push(format!("line {}: {fault}", n + 1)),
        }
    }
    if !faults.is_empty() {
        let more = faults.len().saturating_sub(LISTED);
        faults.truncate(LISTED);
        if more > 0 {
            faults.push(format!("and {more} more"));
        }
        return Err(format!("{path}: {}", faults.join("\n  ")));
    }
    if clothes.is_empty() {
        return Err(format!("{path}: has a header but no rows; nothing to learn from or to judge"));
    }
    Ok(clothes)
}

/// Where each band stands in the header, or the first band that does not.
fn columns(header: &str) -> Result<[usize; BANDS], String> {
    let names: Vec<&str> = header.split(',').map(cell).collect();
    let mut places = [0; BANDS];
    for (i, place) in places.iter_mut().enumerate() {
        let name = format!("R{}", Bands::wavelength(i));
        *place = names.iter().position(|n| n.eq_ignore_ascii_case(&name)).ok_or(name)?;
    }
    Ok(places)
}

fn row(line: &str, columns: &[usize; BANDS]) -> Result<Bands, String> {
    let cells: Vec<&str> = line.split(',').map(cell).collect();
    let mut factors = [0.0; BANDS];
    for (i, (factor, &place)) in factors.iter_mut().zip(columns).enumerate() {
        let nm = Bands::wavelength(i);
        let text = cells.get(place).ok_or_else(|| {
            format!("ends before R{nm}: {} cells, the header has more", cells.len())
        })?;
        *factor = text
            .parse()
            .map_err(|_| format!("R{nm} is \"{text}\": it must be a number, such as 0.4312"))?;
    }
    Bands::try_new(factors).map_err(|refusal| refusal.to_string())
}

fn cell(text: &str) -> &str {
    text.trim().trim_matches('"').trim()
}
