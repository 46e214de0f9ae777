//! How well the depth law predicts real ladders from two of their steps.
//!
//! `cargo run --release -p dyeing --example depth_ladders -- FILE.csv [--splits N]`
//!
//! FILE has columns `ladder`, `step` (palest lowest) and `R400` … `R700`. Of every ladder the middle
//! step (index ⌊n/2⌋) gives the dye's shape and the palest its two constants; both are left out of
//! the figures. Each other step is predicted with its amount free (the one nearest in CIEDE2000,
//! D65/10°). Ladders at even positions (0, 1, 2 … in order of first appearance) fit the law's five
//! global constants; figures are from odd positions. `--splits N` adds N random halvings, both ways
//! each. Nothing fitted here is kept by the program. The last line is JSON.
//!
//! The form of the law (which constants there are) was chosen looking at one whole file of 153
//! textile ladders, so figures from that file flatter it a little; another file judges better.

#![expect(clippy::print_stdout, reason = "an example speaks on standard output")]

use std::process::ExitCode;

use dyeing::depth::{DepthLaw, Fitted, Ladder, ladders_from_csv, quantile};

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match Asked::read(&args).and_then(|asked| run(&asked)) {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("depth_ladders: {why}");
            ExitCode::FAILURE
        }
    }
}

struct Asked {
    file: String,
    splits: u32,
}

impl Asked {
    fn read(args: &[String]) -> Result<Self, String> {
        let (mut file, mut splits) = (None, 0);
        let mut args = args.iter();
        while let Some(arg) = args.next() {
            if arg == "--splits" {
                let count = args.next().ok_or("--splits takes a count, such as --splits 10")?;
                splits = count
                    .parse()
                    .ok()
                    .filter(|n| *n <= 1000)
                    .ok_or(format!("\"{count}\" is no count of splits: give 0 to 1000"))?;
            } else if arg.starts_with("--") {
                return Err(format!("there is no option {arg}: only --splits N"));
            } else if file.replace(arg.clone()).is_some() {
                return Err("more than one file given: give one".to_owned());
            }
        }
        let file = file.ok_or("give a file of ladders: depth_ladders FILE.csv [--splits N]")?;
        Ok(Self { file, splits })
    }
}

/// Everything printed but the last line; returns that.
fn run(asked: &Asked) -> Result<String, String> {
    let text = std::fs::read_to_string(&asked.file)
        .map_err(|e| format!("{} cannot be read: {e}; give a CSV file in UTF-8", asked.file))?;
    let named = ladders_from_csv(&text).map_err(|e| format!("{}: {e}", asked.file))?;
    let mut halves: [Vec<Ladder>; 2] = [Vec::new(), Vec::new()];
    for (position, one) in named.iter().enumerate() {
        if one.steps.len() < 3 {
            let steps = one.steps.len();
            println!(
                "ladder {} has {steps} step(s): nothing is left to predict, skipped",
                one.name
            );
            continue;
        }
        let steps = one.steps.iter().map(|(_, bands)| *bands).collect();
        halves[position % 2].push(Ladder::try_new(steps).map_err(|e| e.to_string())?);
    }
    let [even, odd] = halves;
    if odd.is_empty() || even.is_empty() {
        return Err(format!(
            "{}: {} ladder(s) of three steps or more at even and {} at odd positions: it takes one \
             of each, to fit on and to score on",
            asked.file,
            even.len(),
            odd.len()
        ));
    }
    println!("{} ladders; learnt from: middle step (index n/2) and palest step", named.len());
    println!("fitted on even positions ({}), scored on odd ({})\n", even.len(), odd.len());

    let fitted = fit(&even)?;
    describe(&fitted);
    let all: Vec<Ladder> = even.iter().chain(&odd).cloned().collect();
    println!("\n{:34} {:>5} {:>8} {:>8}", "CIEDE2000 D65/10°, unseen steps", "n", "median", "p90");
    let one_factor = Score::of(DepthLaw::ONE_FACTOR, &odd)?;
    let law = Score::of(fitted.law, &odd)?;
    one_factor.print("one factor, odd");
    Score::of(DepthLaw::SHIPPED, &odd)?.print("law as shipped (unfitted), odd");
    law.print("law fitted on even, odd");
    let other_way = Score::of(fit(&odd)?.law, &even)?;
    Score::of(DepthLaw::ONE_FACTOR, &even)?.print("one factor, even");
    Score::of(DepthLaw::SHIPPED, &even)?.print("law as shipped (unfitted), even");
    other_way.print("law fitted on odd, even");
    Score::of(DepthLaw::ONE_FACTOR, &all)?.print("one factor, all");
    Score::of(DepthLaw::SHIPPED, &all)?.print("law as shipped (unfitted), all");
    law.with(&other_way)?.print("law, each half by the other, all");
    if asked.splits > 0 {
        random_splits(&all, asked.splits)?;
    }
    println!(
        "\ngoal median 1.3: {}; goal p90 3.0: {}",
        against(law.median, 1.3),
        against(law.p90, 3.0)
    );
    Ok(format!(
        "{{\"n\":{},\"median\":{:.4},\"p90\":{:.4},\"one_factor_median\":{:.4},\"one_factor_p90\":{:.4}}}",
        law.distances.len(),
        law.median,
        law.p90,
        one_factor.median,
        one_factor.p90
    ))
}

fn fit(ladders: &[Ladder]) -> Result<Fitted, String> {
    DepthLaw::fit(ladders).map_err(|e| e.to_string())
}

fn describe(fitted: &Fitted) {
    let law = fitted.law;
    println!(
        "five global constants, from {} unseen steps in {} rounds:",
        fitted.steps, fitted.rounds
    );
    println!("  bend  {:+.3}  (0 K/S, 1 absorbance)", law.scale.bend());
    println!("  share {:+.3}  (of the dye's own drift, towards pale)", law.share);
    println!("  tilt  {:+.3}  (long waves lead, towards deep)", law.tilt);
    println!("  bow   {:+.3}  (both ends lead when dark, towards deep)", law.bow);
    println!("  flare {:+.3}  (peaks and tails lead, towards deep)", law.flare);
}

/// ΔE of every unseen step, and the two figures made of them.
struct Score {
    distances: Vec<f64>,
    median: f64,
    p90: f64,
}

impl Score {
    fn of(law: DepthLaw, ladders: &[Ladder]) -> Result<Self, String> {
        let all = ladders.iter().flat_map(|l| law.predictions(l)).map(|p| p.delta_e);
        Self::from(all.collect())
    }

    fn from(distances: Vec<f64>) -> Result<Self, String> {
        let (median, p90) = quantile(&distances, 0.5)
            .zip(quantile(&distances, 0.9))
            .ok_or("there is no step to score: give longer ladders")?;
        Ok(Self { distances, median, p90 })
    }

    fn with(&self, other: &Self) -> Result<Self, String> {
        Self::from(self.distances.iter().chain(&other.distances).copied().collect())
    }

    fn print(&self, what: &str) {
        println!("{what:34} {:>5} {:>8.3} {:>8.3}", self.distances.len(), self.median, self.p90);
    }
}

/// Means over random halvings of all ladders, each half predicted by constants fitted on the other.
fn random_splits(all: &[Ladder], splits: u32) -> Result<(), String> {
    let mut sums = [0.0; 4];
    let mut state = 20_250_101_u64;
    for _ in 0..splits {
        let mut order: Vec<&Ladder> = all.iter().collect();
        for i in (1..order.len()).rev() {
            // Knuth's MMIX generator: enough for a shuffle, and the same on every machine.
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let pick = (state >> 33) % (i as u64 + 1);
            order.swap(i, usize::try_from(pick).unwrap_or(0));
        }
        let (a, b) = order.split_at(order.len() / 2);
        for (learn, judge) in [(a, b), (b, a)] {
            let own = |half: &[&Ladder]| half.iter().map(|l| (*l).clone()).collect::<Vec<Ladder>>();
            let judge = own(judge);
            let law = Score::of(fit(&own(learn))?.law, &judge)?;
            let one = Score::of(DepthLaw::ONE_FACTOR, &judge)?;
            for (sum, figure) in sums.iter_mut().zip([law.median, law.p90, one.median, one.p90]) {
                *sum += figure;
            }
        }
    }
    let [m, p, om, op] = sums.map(|s| s / (2.0 * f64::from(splits)));
    println!(
        "mean over {splits} random halvings, both ways: law {m:.3} / {p:.3}, one factor {om:.3} / {op:.3}"
    );
    Ok(())
}

fn against(measured: f64, goal: f64) -> String {
    if measured <= goal {
        format!("reached ({measured:.2})")
    } else {
        format!("not reached, missed by {:.2}", measured - goal)
    }
}
