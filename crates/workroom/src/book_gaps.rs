//! What is not known of a piece's making, and what was taken for granted: said, and never left to be guessed.

use crate::book_record::PieceSeen;
use crate::book_seen::{DosedSeen, ReadSeen, SwatchSeen};

/// What is not known for making a piece again.
pub(crate) fn missing(seen: &PieceSeen) -> Vec<String> {
    let (swatches, baths) = (&seen.swatches, &seen.baths);
    let mut said = vec![];
    if baths.is_empty() && swatches.is_empty() {
        said.push(
            "No swatch and no bath of it is recorded: it cannot be made again from here."
                .to_owned(),
        );
    } else if baths.is_empty() {
        said.push("No bath of it is recorded: only its swatches tell how.".to_owned());
    }
    if seen.target.is_none() {
        said.push("The colour that was wanted is not recorded.".to_owned());
    }
    if seen.dry_g.is_none() {
        said.push("What it weighs dry is not recorded.".to_owned());
    }
    if seen.readings.is_empty() && baths.iter().all(|b| b.readings.is_empty()) {
        said.push("How the piece itself came out was never read.".to_owned());
    }
    if seen.verdicts.is_empty() {
        said.push("What was thought of it is not recorded.".to_owned());
    }
    let named = swatches
        .iter()
        .map(|s| (format!("swatch {}", name(s)), &s.doses, s.liquor_ratio, &s.programme));
    let baths =
        baths.iter().map(|b| (format!("bath {}", b.entry), &b.doses, b.liquor_ratio, &b.programme));
    for (name, doses, ratio, programme) in named.chain(baths) {
        if ratio.is_none() {
            said.push(format!("The liquor ratio of {name} was not noted."));
        }
        if programme.is_none() {
            said.push(format!("The programme of {name} was not noted."));
        }
        let dyes = || doses.iter().filter(|d| d.dye);
        let without = |no: &dyn Fn(&&DosedSeen) -> bool| -> Vec<&str> {
            dyes().filter(|d| no(d)).map(|d| d.of.as_str()).collect()
        };
        let no_lot = without(&|d| d.lot.is_none());
        if !no_lot.is_empty() {
            said.push(format!("The lot of {} in {name} was not noted.", no_lot.join(", ")));
        }
        if doses.iter().all(|d| d.dye) {
            said.push(format!("What went into {name} besides dye was not noted."));
        }
    }
    said
}

/// What was taken for granted.
pub(crate) fn assumed(seen: &PieceSeen) -> Vec<String> {
    let mut said = vec![];
    said.extend(looks(seen));
    for one in &seen.swatches {
        let name = name(one);
        if one.look_alike {
            said.push(format!(
                "Swatch {name} was dyed on another cloth like the piece's own: weaker evidence."
            ));
        }
        if one.whose != "own" {
            said.push(format!("Swatch {name} is {}: another's scale, water and eye.", one.whose));
        }
        for read in &one.readings {
            said.extend(of_reading(read, &format!("swatch {name}")));
        }
    }
    for bath in &seen.baths {
        let of = format!("the piece out of bath {}", bath.entry);
        said.extend(bath.readings.iter().filter_map(|read| of_reading(read, &of)));
    }
    said.extend(seen.readings.iter().filter_map(|read| of_reading(read, "the piece as it is")));
    said
}

/// What the cloth was before, where it was not read: each look once, with the swatches it is of.
fn looks(seen: &PieceSeen) -> Vec<String> {
    let of = |look: Option<&str>| -> Option<String> {
        let all = seen.swatches.iter().filter(|s| s.undyed.as_deref() == look).map(name);
        let all: Vec<String> = all.collect();
        let word = if all.len() == 1 { "swatch" } else { "swatches" };
        (!all.is_empty()).then(|| format!("{word} {}", all.join(", ")))
    };
    let known = ["white", "natural"].into_iter().filter_map(|look| {
        let of = of(Some(look))?;
        Some(format!("The cloth of {of} was {look} before, by its look; it was not read."))
    });
    let unsaid = of(None).map(|of| format!("What the cloth of {of} was before is not said."));
    known.chain(unsaid).collect()
}

/// What a reading leaves to be believed.
fn of_reading(read: &ReadSeen, of: &str) -> Option<String> {
    let mut left = vec![];
    if !read.finished {
        left.push("is of cloth that was not finished (wet, warm or not washed off)".to_owned());
    }
    let told = |words: [&str; 2]| read.condition.iter().any(|c| words.contains(&c.as_str()));
    let untold: Vec<&str> = [
        (["washed off", "not washed off"], "washed off"),
        (["dry", "wet"], "dry"),
        (["cool", "warm"], "cool"),
    ]
    .into_iter()
    .filter_map(|(words, what)| (!told(words)).then_some(what))
    .collect();
    if !untold.is_empty() {
        left.push(format!("does not say whether it was {}", untold.join(", ")));
    }
    if read.spread.is_none() {
        left.push("does not say how far it may be off".to_owned());
    }
    (!left.is_empty())
        .then(|| format!("The reading of {of} (entry {}) {}.", read.entry, left.join("; ")))
}

fn name(swatch: &SwatchSeen) -> String {
    swatch.code.clone().unwrap_or_else(|| swatch.entry.to_string())
}
