//! How long "have I dyed this colour before?" takes among many swatches.
//!
//!     cargo run --release --example book_speed -- --swatches 100000 --questions 1000
//!
//! Invented swatches with the colours cloth has, more near grey than far; questions are colours of
//! the same kind. Each question is asked as the command asks it: up to 12 things within ΔE00 5.

use std::time::Instant;

use colour::{Colour, Lab, Spread, Value};
use units::{LiquorRatio, Mass, OnFibre};
use workbook::{
    Amount, Book, Condition, Dose, Dosed, Hand, Means, Reading, ShelfDye, Stamp, Subject, Swatch,
    Undyed, Within,
};

struct Dice(u64);

impl Dice {
    /// SplitMix64.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        #[expect(clippy::cast_precision_loss, reason = "53 bits are what a double holds")]
        let share = ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64;
        low + (high - low) * share
    }

    /// Chroma as the root of an even number: dense near grey, as cloth is.
    fn lab(&mut self) -> Lab {
        let chroma = 75.0 * self.between(0.0, 1.0).powf(1.3);
        let hue = self.between(0.0, std::f64::consts::TAU);
        Lab::new(self.between(12.0, 92.0), chroma * hue.cos(), chroma * hue.sin())
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let after = |word: &str, otherwise: u64| -> Result<u64, std::num::ParseIntError> {
        let at = words.iter().position(|w| w == word);
        at.and_then(|at| words.get(at + 1)).map_or(Ok(otherwise), |w| w.parse())
    };
    let (swatches, questions) = (after("--swatches", 100_000)?, after("--questions", 1000)?);
    let mut dice = Dice(after("--seed", 1)?);
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("book.sqlite");
    let recorded = Instant::now();
    fill(&path, swatches, &mut dice)?;
    let recorded = recorded.elapsed().as_secs_f64();

    let opened = Instant::now();
    let book = Book::open_to_read(&path)?;
    let opened = opened.elapsed().as_secs_f64() * 1e3;
    let (within, mut times, mut found) = (Within::try_de00(5.0)?, vec![], 0);
    let mut cpu_times = vec![];
    for _ in 0..questions {
        let to = dice.lab();
        let (asked, cpu) = (Instant::now(), cpu_ms());
        found += book.nearest(to, within, 12)?.len();
        times.push(asked.elapsed().as_secs_f64() * 1e3);
        cpu_times.extend(cpu.zip(cpu_ms()).map(|(before, after)| after - before));
    }
    let first = times[0];
    times.sort_by(f64::total_cmp);
    cpu_times.sort_by(f64::total_cmp);
    let at = |share: usize| times[(times.len() - 1) * share / 100];
    let cpu_at = |share: usize| {
        let place = cpu_times.len().saturating_sub(1) * share / 100;
        cpu_times.get(place).map_or_else(|| "null".to_owned(), |ms| format!("{ms:.2}"))
    };
    let checked = Instant::now();
    let clean = book.check()?.is_clean();
    let checked = checked.elapsed().as_secs_f64();
    let bytes = std::fs::metadata(&path)?.len();
    #[expect(clippy::print_stdout, reason = "an example")]
    {
        println!(
            "{{\"swatches\":{swatches},\"questions\":{questions},\"found\":{found},\"open_ms\":{opened:.2},\"first_ms\":{first:.2},\"median_ms\":{:.2},\"p99_ms\":{:.2},\"worst_ms\":{:.2},\"median_cpu_ms\":{},\"p99_cpu_ms\":{},\"worst_cpu_ms\":{},\"record_all_s\":{recorded:.1},\"check_s\":{checked:.1},\"clean\":{clean},\"bytes\":{bytes}}}",
            at(50),
            at(99),
            at(100),
            cpu_at(50),
            cpu_at(99),
            cpu_at(100)
        );
    }
    Ok(())
}

/// CPU time of this program so far, where the system tells it (Linux): other work beside it does not
/// count.
fn cpu_ms() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/schedstat").ok()?;
    let nanoseconds: f64 = text.split_whitespace().next()?.parse().ok()?;
    Some(nanoseconds / 1e6)
}

fn fill(
    path: &std::path::Path,
    many: u64,
    dice: &mut Dice,
) -> Result<(), Box<dyn std::error::Error>> {
    let mut book = Book::create(path)?;
    let stamp = Stamp::try_new("2031-05-10T09:30:00Z".parse()?, "Ada")?;
    let class = "acid-milling".to_owned();
    let it = ShelfDye { name: "acid-navy".to_owned(), class, generic_name: None, note: None };
    let dye = book.record_dye(&stamp, &it)?;
    let swatch = Swatch {
        piece: None,
        over: None,
        code: None,
        day: None,
        cloth: "wool".to_owned(),
        fibre: "wool".to_owned(),
        undyed: Undyed::Natural,
        look_alike: false,
        goods: Mass::try_grams(2.0)?,
        liquor: Some(LiquorRatio::try_litres_per_kilogram(30.0)?),
        class: "acid-milling".to_owned(),
        procedure: None,
        doses: vec![Dose {
            of: Dosed::Dye { dye, lot: None },
            amount: Amount::OnFibre(OnFibre::try_percent(1.0)?),
            scatter: None,
            measured: None,
        }],
        hand: Hand::Own,
        note: None,
    };
    let mut left = many;
    while left > 0 {
        let some = left.min(5000);
        book.write(|w| {
            for _ in 0..some {
                let id = w.record_swatch(&stamp, &swatch)?;
                let reading = Reading {
                    of: Subject::Swatch(id),
                    value: Value::Colour(Colour::d65_10(dice.lab())),
                    also: vec![],
                    spread: Spread::Rms(1.0),
                    condition: Condition::UNSAID,
                    day: None,
                    job: None,
                    lamp: None,
                    means: Means::Invented,
                    device: None,
                    photograph: None,
                    hand: Hand::Own,
                    note: None,
                };
                w.record_reading(&stamp, &reading)?;
            }
            Ok(())
        })?;
        left -= some;
    }
    Ok(())
}
