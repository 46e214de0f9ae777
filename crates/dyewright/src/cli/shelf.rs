//! `shelf`: what is on it, what is added to it, what is wrong with its file.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use units::Day;
use workroom::{Addition, PackSeen, ShelfSeen, Trouble, add_to_shelf, check_shelf, list_shelf};

use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, ladder, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// List a shelf; the starter shelf when no file is named
    List(ListWords),
    /// Add a dye or an auxiliary to a shelf file; comments in it stay
    Add(Box<AddWords>),
    /// Check a shelf file: every fault at once, blocked names, dates
    Check(CheckWords),
    /// What one dye adds to a cloth against its amount, with your own swatches of it
    Ladder(ladder::Words),
}

#[derive(Debug, Args)]
struct ListWords {
    /// A shelf file [default: the starter shelf]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Only this class, or family of classes: reactive, acid, disperse, …
    #[arg(long)]
    class: Option<String>,
    /// As on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

#[derive(Debug, Args)]
struct CheckWords {
    /// The shelf file
    file: PathBuf,
    /// As on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

#[derive(Debug, Args)]
struct AddWords {
    /// The shelf file; begun when it is not there yet
    file: PathBuf,
    /// A short name of your own for the dye, or the id of an auxiliary
    id: String,
    /// It is an auxiliary (salt, soda-ash, …), not a dye
    #[arg(long, conflicts_with_all = ["like", "name", "lot", "opened", "liquid_pct"])]
    auxiliary: bool,
    /// The starter dye it is nearest to; `shelf list` shows them
    #[arg(long, value_name = "ID", required_unless_present = "auxiliary")]
    like: Option<String>,
    /// What it is called, by hue
    #[arg(long)]
    name: Option<String>,
    /// How much there is, in grams
    #[arg(long, value_name = "G", allow_hyphen_values = true)]
    grams: Option<f64>,
    /// What one pack holds, in grams
    #[arg(long, value_name = "G", allow_hyphen_values = true)]
    pack_g: Option<f64>,
    /// What one pack costs
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true, requires = "pack_g")]
    pack_price: Option<f64>,
    /// For a liquid: grams of dye in 100 mL
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    liquid_pct: Option<f64>,
    /// The lot on the pack
    #[arg(long)]
    lot: Option<String>,
    /// When it was opened (year-month-day)
    #[arg(long, value_name = "DAY")]
    opened: Option<String>,
}

/// Does what was asked of the shelf.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    match &words.what {
        What::Ladder(words) => ladder::run(words, json),
        What::List(list) => {
            let today = list.today.map_or_else(super::today, Ok)?;
            let seen = list_shelf(list.shelf.as_deref(), list.class.as_deref(), today)?;
            if json {
                say_json(&seen)?;
            } else {
                tell(&seen);
            }
            Ok(Ended::Answered)
        }
        What::Check(check) => {
            let today = check.today.map_or_else(super::today, Ok)?;
            let seen = check_shelf(&check.file, today)?;
            if json {
                say_json(&seen)?;
            } else {
                let (dyes, others) = (seen.dyes.len(), seen.auxiliaries.len());
                say_wrapped(
                    "",
                    0,
                    &format!("{} is sound: {dyes} dyes, {others} auxiliaries.", seen.shelf),
                );
                say_list("To look at", &seen.advice);
            }
            Ok(if seen.advice.is_empty() { Ended::Answered } else { Ended::Undecided })
        }
        What::Add(add) => {
            let added = add_to_shelf(&Addition {
                file: add.file.clone(),
                id: add.id.clone(),
                auxiliary: add.auxiliary,
                like: add.like.clone(),
                name: add.name.clone(),
                grams: add.grams,
                pack_g: add.pack_g,
                pack_price: add.pack_price,
                liquid_pct: add.liquid_pct,
                lot: add.lot.clone(),
                opened: add.opened.clone(),
            })?;
            if json {
                say_json(&added)?;
            } else {
                let begun = if added.begun { " (begun now)" } else { "" };
                say_wrapped(
                    "",
                    0,
                    &format!(
                        "Added {} \"{}\" to {}{begun}; {} dyes are on it.",
                        added.kind, added.id, added.file, added.dyes
                    ),
                );
            }
            Ok(Ended::Answered)
        }
    }
}

fn tell(seen: &ShelfSeen) {
    let name = if seen.shelf == "starter" { "The starter shelf" } else { seen.shelf.as_str() };
    say(&format!("{name}: {} dyes", seen.dyes.len()));
    let mut class = "";
    for dye in &seen.dyes {
        if dye.class != class {
            class = dye.class;
            say("");
            let on = dye
                .look
                .as_ref()
                .map_or_else(String::new, |l| format!("; looks: 1 % on white {}", l.on));
            say_wrapped("", 2, &format!("{} ({class}){on}", dye.class_name));
        }
        let (mark, look) = dye
            .look
            .as_ref()
            .map_or_else(Default::default, |l| (chip(&l.hex), format!("{} {}", l.words, l.hex)));
        let mut about = vec![look];
        about.extend(dye.ci.clone());
        about.push(known(dye));
        about.extend(dye.left_g.map(|g| format!("{g} g left")));
        about.extend(dye.price_per_g.map(|p| format!("{p} per g")));
        about.extend(dye.lot.as_ref().map(|l| format!("lot {l}")));
        about.extend(dye.opened.as_ref().map(|d| format!("opened {d}")));
        about.extend(dye.expires.as_ref().map(|d| format!("good until {d}")));
        if let Some(pack) = &dye.pack {
            about.extend(pack_words(pack));
        }
        about.retain(|a| !a.is_empty());
        say_wrapped(&format!("  {mark}{:<21} ", dye.id), 6, &about.join("; "));
    }
    if !seen.auxiliaries.is_empty() {
        say("");
        say("Auxiliaries");
        for one in &seen.auxiliaries {
            let mut about: Vec<String> = one.left_g.iter().map(|g| format!("{g} g left")).collect();
            about.extend(one.expires.as_ref().map(|d| format!("good until {d}")));
            say_wrapped(&format!("  {:<21} ", one.id), 6, &about.join("; "));
        }
    }
    say_list("To look at", &seen.advice);
}

/// What a dye known only by its pack is.
fn pack_words(pack: &PackSeen) -> Vec<String> {
    let only = pack.only_on.as_ref().map(|on| format!(", on {on}"));
    let mut all =
        vec![format!("{} pack of {} g{}", pack.kind, pack.pack_g, only.unwrap_or_default())];
    if !pack.contains.is_empty() {
        all.push(format!("brings its own {}", pack.contains.join(", ")));
    }
    if pack.may_split {
        all.push("may split".to_owned());
    }
    all
}

/// How a dye is known, and how far to trust it.
fn known(dye: &workroom::DyeSeen) -> String {
    match (&dye.peak_standing, &dye.standing) {
        (Some(peak), Some(rest)) if peak != rest => {
            format!("{}: peak {peak}, the rest {rest}", dye.known)
        }
        (_, Some(rest)) => format!("{}: {rest}", dye.known),
        _ => dye.known.to_owned(),
    }
}
