//! The record of a piece written as a page.

use std::path::{Path, PathBuf};

use paper::{FinishedPiece, Record, RecordChip, RecordDose, RecordDyeing};

use crate::book_again::way;
use crate::book_record::PieceSeen;
use crate::book_seen::{BathSeen, DosedSeen, ReadSeen, SwatchSeen, hex_of};
use crate::disk::{Mark, can_write_into, only_over_ours, write_whole};
use crate::{Trouble, record_of_piece};

/// By what a page of ours is told.
const MARK: Mark = Mark::Holds(": record of a piece</title>");

/// Writes the record of a piece as a page; over an earlier one of ours, never over anything else.
pub fn print_record(
    book: Option<&Path>,
    piece: &str,
    costume: Option<&str>,
    to: &Path,
    today: units::Day,
) -> Result<(PieceSeen, PathBuf), Trouble> {
    let seen = record_of_piece(book, piece, costume)?;
    only_over_ours(to, MARK)?;
    can_write_into(to.parent().unwrap_or_else(|| Path::new("")))?;
    let page = paper::record_page(&printed(&seen, &today.to_string()));
    write_whole(&[(to, page.as_bytes())])?;
    Ok((seen, to.to_path_buf()))
}

fn printed(seen: &PieceSeen, today: &str) -> Record {
    let mut facts = vec![("Cloth".to_owned(), seen.goods.clone())];
    let mut fact = |head: &str, words: Option<String>| {
        facts.push((head.to_owned(), words.unwrap_or_else(|| "not recorded".to_owned())));
    };
    fact("Dry weight", seen.dry_g.map(|g| format!("{g}\u{a0}g")));
    fact("Wanted", seen.target.map(figures));
    fact("Dyes", (!seen.dyes.is_empty()).then(|| seen.dyes.join("; ")));
    let dyeings = seen.swatches.iter().map(of_swatch).chain(seen.baths.iter().map(of_bath));
    Record {
        costume: seen.costume.clone(),
        piece: seen.piece.clone(),
        over: format!("The record of a piece, printed {today} from {}", file_name(&seen.book)),
        chips: chips(seen),
        facts,
        again: seen.again.clone(),
        dyeings: dyeings.collect(),
        readings: seen.readings.iter().map(said).collect(),
        verdicts: seen.verdicts.clone(),
        assumed: seen.assumed.clone(),
        missing: seen.missing.clone(),
    }
}

/// The record of a piece as a page, not written anywhere.
pub(crate) fn page_of(seen: &PieceSeen, today: &str) -> String {
    paper::record_page(&printed(seen, today))
}

/// A piece as it is kept with its finished costume: the bath it came out of last, else the swatch it is made from.
pub(crate) fn kept(seen: &PieceSeen) -> FinishedPiece {
    let mut facts = vec![("Cloth".to_owned(), seen.goods.clone())];
    facts.extend(seen.dry_g.map(|g| ("Dry weight".to_owned(), format!("{g}\u{a0}g"))));
    if !seen.dyes.is_empty() {
        facts.push(("Dyes".to_owned(), seen.dyes.join("; ")));
    }
    let from = seen.from.as_ref().map(|from| from.entry);
    let swatch = seen.swatches.iter().find(|s| Some(s.entry) == from);
    let dyeings: Vec<RecordDyeing> = match seen.baths.is_empty() {
        true => swatch.or(seen.swatches.last()).map(of_swatch).into_iter().collect(),
        false => seen.baths.iter().map(of_bath).collect(),
    };
    let mut missing = vec![];
    if seen.baths.is_empty() {
        missing.push("No bath of the whole piece is on record.".to_owned());
    }
    FinishedPiece {
        name: seen.piece.clone(),
        chips: chips(seen),
        facts,
        verdicts: seen.verdicts.clone(),
        dyeings,
        again: seen.again.clone(),
        missing,
    }
}

/// A workbook's own name: where it lay on this machine is nobody's business on paper.
fn file_name(book: &str) -> String {
    Path::new(book)
        .file_name()
        .map_or_else(|| book.to_owned(), |n| n.to_string_lossy().into_owned())
}

/// What was wanted, the swatch of the recipe (of a piece dyed whole the nearest, else the last), the piece out of its
/// last bath, as it is.
fn chips(seen: &PieceSeen) -> Vec<RecordChip> {
    let mut chips = vec![];
    if let Some(lab) = seen.target
        && let Some(hex) = hex_of(lab_of(lab))
    {
        chips.push(RecordChip { head: "Wanted", hex, words: figures(lab) });
    }
    let shown = |r: &&ReadSeen| r.finished && r.hex.is_some();
    let last = |readings: &[ReadSeen]| readings.iter().rfind(shown).cloned();
    let of_swatches = || seen.swatches.iter().flat_map(|s| &s.readings).filter(shown);
    let chosen = seen.from.as_ref().and_then(|from| {
        let head = match from.what {
            "approved swatch" => "Approved swatch",
            "nearest swatch" => "Nearest swatch",
            "last swatch" => "Last swatch",
            _ => return None,
        };
        let it = seen.swatches.iter().find(|s| s.entry == from.entry)?;
        Some((head, it.readings.iter().rfind(shown)))
    });
    let (head, swatch) = match seen.target.map(lab_of) {
        _ if chosen.is_some() => chosen.unwrap_or_default(),
        None => ("Last swatch", of_swatches().next_back()),
        Some(wanted) => {
            let off = |r: &ReadSeen| colour::ciede2000(wanted, lab_of(r.lab));
            ("Nearest swatch", of_swatches().min_by(|a, b| off(a).total_cmp(&off(b))))
        }
    };
    let bath = seen.baths.iter().rev().find_map(|b| last(&b.readings));
    for (head, read) in
        [(head, swatch.cloned()), ("As dyed", bath), ("As it is", last(&seen.readings))]
    {
        if let Some(read) = read
            && let Some(hex) = read.hex
        {
            chips.push(RecordChip { head, hex, words: figures(read.lab) });
        }
    }
    chips
}

fn lab_of([l, a, b]: [f64; 3]) -> colour::Lab {
    colour::Lab::new(l, a, b)
}

fn figures([l, a, b]: [f64; 3]) -> String {
    format!("L*\u{a0}{l}, a*\u{a0}{a}, b*\u{a0}{b}").replace('-', "\u{2212}")
}

fn of_swatch(it: &SwatchSeen) -> RecordDyeing {
    let mut about = vec![it.cloth.clone()];
    about.extend(it.undyed.clone());
    if it.look_alike {
        about.push("a look-alike cloth".to_owned());
    }
    about.push(weight(it.goods_g, it.liquor_ratio));
    about.push(way(it.programme.as_deref(), &it.class));
    about.extend(it.day.as_ref().map(|day| format!("dyed {day}")));
    about.extend(it.over.map(|over| format!("dyed over the swatch of entry {over}")));
    if it.whose != "own" {
        about.push(it.whose.clone());
    }
    about.push(recorded(it.entry, &it.at, &it.who));
    let name = it.code.clone().unwrap_or_else(|| format!("of entry {}", it.entry));
    RecordDyeing {
        head: format!("Swatch {name}"),
        about,
        doses: it.doses.iter().map(dose).collect(),
        readings: it.readings.iter().map(said).collect(),
        note: it.note.clone(),
    }
}

fn of_bath(it: &BathSeen) -> RecordDyeing {
    RecordDyeing {
        head: format!("Bath of {}: {}", it.day, it.purpose),
        about: [
            Some(weight(it.goods_g, it.liquor_ratio)),
            Some(way(it.programme.as_deref(), &it.class)),
            it.undyed.clone(),
            it.minutes.map(|m| format!("{m}\u{a0}min")),
            it.hottest_c.map(|t| format!("{t}\u{a0}°C at the hottest")),
            it.from_swatch.as_ref().map(|s| format!("by swatch {s}")),
            Some(recorded(it.entry, &it.at, &it.who)),
        ]
        .into_iter()
        .flatten()
        .collect(),
        doses: it.doses.iter().map(dose).collect(),
        readings: it.readings.iter().map(said).collect(),
        note: it.note.clone(),
    }
}

fn weight(grams: f64, ratio: Option<f64>) -> String {
    let ratio = ratio.map_or_else(|| "ratio not noted".to_owned(), |r| format!("at {r}:1"));
    format!("{grams}\u{a0}g {ratio}")
}

fn recorded(entry: i64, at: &str, who: &str) -> String {
    format!("recorded {} by {who}, entry {entry}", at.split('T').next().unwrap_or(at))
}

fn dose(it: &DosedSeen) -> RecordDose {
    let off = it.scatter_pct.map(|s| format!("± {s}\u{a0}%"));
    let measured: Vec<String> = it.measured.clone().into_iter().chain(off).collect();
    RecordDose {
        of: it.of.clone(),
        lot: it.lot.clone(),
        amount: it.amount.clone(),
        depth: it.owf_pct.map(|owf| format!("{owf}\u{a0}% owf")),
        measured: (!measured.is_empty()).then(|| measured.join(", ")),
    }
}

/// A reading in one sentence.
fn said(it: &ReadSeen) -> String {
    let mut about =
        vec![format!("{} under {}, {} observer", figures(it.lab), it.under, it.observer)];
    about.extend(it.words.clone());
    about.push(it.spread.map_or_else(|| "spread not known".to_owned(), |s| format!("± {s}")));
    about.extend(it.condition.iter().cloned());
    if !it.finished {
        about.push("not finished: nothing is learnt from it".to_owned());
    }
    about.extend(it.day.as_ref().map(|day| format!("read {day}")));
    about.push(format!("by {}", it.by));
    about.extend(it.reader.clone());
    about.extend(it.light.clone());
    about.extend(it.note.clone());
    about.push(recorded(it.entry, &it.at, &it.who));
    about.join("; ")
}
