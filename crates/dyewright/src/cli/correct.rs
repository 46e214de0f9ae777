//! `correct`: something was dyed and read; stop, add, or dye the next swatch.

use std::path::PathBuf;

use clap::Args;
use units::Day;
use workroom::document::{OtherwiseSeen, Say, ShotDye, ShotSeen, SwatchToDye};
use workroom::{CorrectWanted, Corrected, Trouble, correct_piece};

use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The costume file
    file: PathBuf,
    /// A piece by its id, or a swatch by its code
    #[arg(value_name = "PIECE")]
    of: String,
    /// Judge the piece by this swatch [default: of its own the one that reads
    /// nearest to the colour wanted]
    #[arg(long, value_name = "CODE")]
    swatch: Option<String>,
    /// The piece itself came out so, and not only a cutting
    #[arg(long)]
    dyed: bool,
    /// The workbook, which is only read [default: workbook.sqlite beside the
    /// costume file]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Use this shelf file instead of the one the costume names
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Ask as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

/// Judges and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let found = correct_piece(&CorrectWanted {
        file: words.file.clone(),
        of: words.of.clone(),
        swatch: words.swatch.clone(),
        dyed: words.dyed,
        shelf: words.shelf.clone(),
        book: words.book.clone(),
        today: words.today.map_or_else(super::today, Ok)?,
    })?;
    if json {
        say_json(&found)?;
    } else {
        tell(&found);
    }
    Ok(match found.it.say {
        Say::ReadAgain | Say::CannotBeSaved => Ended::Undecided,
        Say::Stop | Say::NextSwatch | Say::TopUp | Say::FreshBath => Ended::Answered,
    })
}

fn tell(found: &Corrected) {
    let it = &found.it;
    say_wrapped("", 2, &format!("{}, by {}: {}", it.name, found.by, called(it.say)));
    say("");
    say_wrapped(
        &chip(&it.target.hex),
        5,
        &format!("Wanted: {} ({})", it.target.words, it.target.from),
    );
    say_wrapped(&chip(&it.read.hex), 5, &format!("Read: {}", it.read.words));
    say("");
    for words in &it.words {
        say_wrapped("", 0, words);
    }
    shot("What was dyed, as believed now", &it.held);
    let next = it
        .next
        .as_ref()
        .filter(|_| matches!(it.say, Say::NextSwatch | Say::ReadAgain | Say::CannotBeSaved));
    if let Some(next) = next {
        let title = match it.say {
            Say::NextSwatch => "The next swatch",
            Say::CannotBeSaved => "For another piece of cloth",
            _ => "The other recipe",
        };
        shot(title, next);
    }
    if let Some(swatch) = &it.next_swatch {
        card(swatch);
    }
    if it.say != Say::Stop {
        adding(found);
    }
    for one in &it.otherwise {
        otherwise(one);
    }
    say_list("About the files", &found.notes);
}

/// The next swatch as its card has it.
fn card(swatch: &SwatchToDye) {
    say("");
    say(&format!("For its card, {}", swatch.code));
    let cloth = format!(
        "{} g of dry cloth; {}:1, {} mL in all: {} mL of water first",
        swatch.cloth_g, swatch.liquor_ratio, swatch.liquor_ml, swatch.water_ml
    );
    say_wrapped("  ", 4, &cloth);
    for dye in &swatch.dyes {
        let amount = match (dye.stock_ml, dye.stock_pct) {
            (Some(ml), Some(pct)) => format!("{ml} mL of {pct} %"),
            _ => format!("{} g", dye.grams),
        };
        let depth = units::significant(dye.owf_pct, 3);
        say_wrapped("  ", 4, &format!("{amount} {} ({depth} % owf)", dye.name));
    }
    for one in &swatch.auxiliaries {
        say_wrapped("  ", 4, &format!("{} g {}", one.grams, one.name));
    }
    for stock in &swatch.stocks {
        say_wrapped("  - ", 4, &stock.words);
    }
    say_wrapped("  ", 4, "Step by step it stands on the piece's swatch sheet in the plan.");
}

const fn called(what: Say) -> &'static str {
    match what {
        Say::Stop => "good enough, stop",
        Say::NextSwatch => "dye the next swatch",
        Say::ReadAgain => "not settled, read it again",
        Say::TopUp => "top up this bath",
        Say::FreshBath => "add dye, in a fresh bath",
        Say::CannotBeSaved => "adding cannot save it",
    }
}

fn shot(title: &str, shot: &ShotSeen) {
    say("");
    say(title);
    doses(&shot.dyes);
    say_wrapped(
        &chip(&shot.colour.hex),
        5,
        &format!(
            "Expected: {}, {:.1} from the colour wanted, sure to {:.1}",
            shot.colour.words, shot.difference, shot.recipe_spread90
        ),
    );
}

fn doses(dyes: &[ShotDye]) {
    for dye in dyes {
        let depth = format!("{} %", units::significant(dye.owf_pct, 3));
        let lot = if dye.other_lot { ", of another lot than the shelf's" } else { "" };
        say_wrapped(
            &format!("  {:<21} {depth:>9}  ", dye.id),
            6,
            &format!("{} g for the piece ({}{lot})", dye.grams, dye.name),
        );
    }
}

fn adding(found: &Corrected) {
    let (it, adding) = (&found.it, &found.it.adding);
    if adding.add.is_empty() {
        if it.say != Say::CannotBeSaved {
            say("");
            say_wrapped("", 0, "Adding dye to what is dyed would not bring it to the colour.");
        }
        return;
    }
    say("");
    say(match (adding.in_this_bath, it.dyed) {
        (true, true) => "Add to this bath, while it stands",
        (true, false) => "A bath that stands so and is not rinsed yet can be topped up with",
        (false, true) => "Add in a fresh bath of the same kind",
        (false, false) => "Or on what is dyed already, in a fresh bath of the same kind",
    });
    doses(&adding.add);
    if let (Some(difference), Some(chances)) = (adding.difference, adding.chances) {
        say_wrapped(
            "  ",
            2,
            &format!(
                "That should come to {difference:.1} from the colour wanted, {:.1} nearer; the chance that it comes \
                 out worse is {:.0} %.",
                chances.gain, chances.worse_pct
            ),
        );
    }
    for rule in &adding.rules {
        say_wrapped("  - ", 4, rule);
    }
}

fn otherwise(one: &OtherwiseSeen) {
    say("");
    say_wrapped("", 2, &format!("{}: {}", capital(one.way), one.words));
    for caution in &one.cautions {
        say_wrapped("  ! ", 4, caution);
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
