//! Who records, and is killed: swatches from a seed, each acknowledged when the workbook says it is on
//! the disk; and who looks afterwards. Shared with the test of the same thing.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use colour::{Colour, Lab, Spread, Value};
use units::{LiquorRatio, Mass, OnFibre, Share};
use workbook::{
    Amount, Book, Condition, Dose, Dosed, Hand, Means, Reading, ShelfDye, Stamp, Subject, Swatch,
    Undyed,
};

/// Swatches recorded when nobody kills.
pub(crate) const SWATCHES: u64 = 200;

/// What one round came to.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Round {
    /// Swatches acknowledged before the end.
    pub(crate) acknowledged: u64,
    /// Of them, not in the workbook as recorded.
    pub(crate) lost: u64,
    /// 1 when a write was cut in its middle and had to be taken back (a journal lay beside the file).
    pub(crate) cut: u64,
    /// 1 when the workbook did not open.
    pub(crate) unopened: u64,
    /// 1 when a check found something.
    pub(crate) unclean: u64,
}

/// A number from a seed (SplitMix64's mixing).
pub(crate) fn mixed(seed: u64) -> u64 {
    let z = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

fn between(seed: u64, low: f64, high: f64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "53 bits are what a double holds")]
    let share = (mixed(seed) >> 11) as f64 / (1_u64 << 53) as f64;
    low + (high - low) * share
}

type Failed = Box<dyn std::error::Error>;

fn swatch(seed: u64, i: u64, dye: workbook::Id<ShelfDye>) -> Result<Swatch, Failed> {
    let at = seed ^ mixed(i);
    Ok(Swatch {
        piece: None,
        over: None,
        code: Some(format!("K-{i}")),
        day: None,
        cloth: "wool".to_owned(),
        fibre: "wool".to_owned(),
        undyed: Undyed::Natural,
        look_alike: false,
        goods: Mass::try_grams(between(at, 0.5, 10.0))?,
        liquor: Some(LiquorRatio::try_litres_per_kilogram(30.0)?),
        class: "acid-milling".to_owned(),
        procedure: None,
        doses: vec![Dose {
            of: Dosed::Dye { dye, lot: None },
            amount: Amount::OnFibre(OnFibre::try_percent(between(at + 1, 0.01, 4.0))?),
            scatter: Some(Share::try_percent(2.0)?),
            measured: Some("stock solution by syringe".to_owned()),
        }],
        hand: Hand::Own,
        note: None,
    })
}

fn reading(seed: u64, i: u64, of: Subject) -> Reading {
    let at = seed ^ mixed(i ^ 0xabcd);
    let lab = Lab::new(
        between(at, 10.0, 90.0),
        between(at + 1, -40.0, 40.0),
        between(at + 2, -40.0, 40.0),
    );
    Reading {
        of,
        value: Value::Colour(Colour::d65_10(lab)),
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
    }
}

/// Records swatches, each with its reading in one step, and acknowledges each on standard output.
pub(crate) fn record(path: &Path, seed: u64) -> Result<(), Failed> {
    let mut book = Book::open(path)?;
    let stamp = Stamp::try_new("2031-05-10T09:30:00Z".parse()?, "Ada")?;
    let dye = book.dye_named("acid-navy")?.ok_or("no dye in the workbook")?;
    let mut out = std::io::stdout();
    for i in 0..SWATCHES {
        let it = swatch(seed, i, dye)?;
        let read = |id| reading(seed, i, Subject::Swatch(id));
        book.write(|w| {
            let id = w.record_swatch(&stamp, &it)?;
            w.record_reading(&stamp, &read(id))
        })?;
        writeln!(out, "ack {i}")?;
        out.flush()?;
    }
    Ok(())
}

/// One round: begins a workbook, lets `recorder` record into it, kills it at a random point, and looks.
pub(crate) fn round(
    path: &Path,
    seed: u64,
    recorder: impl FnOnce() -> std::io::Result<Child>,
) -> Result<Round, Failed> {
    let mut book = Book::create(path)?;
    let stamp = Stamp::try_new("2031-05-10T09:30:00Z".parse()?, "Ada")?;
    let class = "acid-milling".to_owned();
    let it = ShelfDye { name: "acid-navy".to_owned(), class, generic_name: None, note: None };
    let dye = book.record_dye(&stamp, &it)?;
    drop(book);

    // After so many are acknowledged, and then a while into the next: anywhere in a write or between.
    let after = mixed(seed) % SWATCHES;
    let mut child = recorder()?;
    let mut lines = BufReader::new(child.stdout.take().ok_or("no pipe")?).lines();
    let mut acknowledged = 0;
    let acks = |line: &str| line.trim_start_matches("test ").contains("ack ");
    let mut last = Instant::now();
    let mut took = Duration::from_millis(5);
    while acknowledged < after {
        let Some(line) = lines.next() else { break };
        if acks(&line?) {
            acknowledged += 1;
            took = last.elapsed();
            last = Instant::now();
        }
    }
    std::thread::sleep(took.mul_f64(between(seed + 1, 0.0, 1.5)));
    child.kill()?;
    // What was acknowledged before the blow is in the pipe still.
    for line in lines {
        acknowledged += u64::from(acks(&line?));
    }
    child.wait()?;

    let mut found = Round { acknowledged, ..Round::default() };
    let journal = format!("{}-journal", path.display());
    found.cut = u64::from(std::fs::metadata(journal).is_ok_and(|j| j.len() > 0));
    let Ok(book) = Book::open(path) else {
        found.unopened = 1;
        found.lost = acknowledged;
        return Ok(found);
    };
    found.unclean = u64::from(!book.check()?.is_clean());
    let evidence = book.evidence()?;
    for i in 0..acknowledged {
        let wanted = swatch(seed, i, dye)?;
        let there = usize::try_from(i).ok().and_then(|i| evidence.get(i));
        let same = there.is_some_and(|e| {
            e.swatch == wanted
                && e.readings.len() == 1
                && e.readings[0].it == reading(seed, i, e.of)
        });
        found.lost += u64::from(!same);
    }
    // At most the one that was being recorded may be there beyond those acknowledged.
    let there = evidence.len() as u64;
    if there > acknowledged + 1 {
        return Err(format!("{there} swatches are there, {acknowledged} were acknowledged").into());
    }
    Ok(found)
}

/// How a recorder is started: with its output to be read.
pub(crate) fn piped(command: &mut std::process::Command) -> std::io::Result<Child> {
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn()
}
