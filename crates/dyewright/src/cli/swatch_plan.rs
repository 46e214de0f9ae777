//! `swatch plan`: which swatches to dye, in which order, and when to stop.

use std::path::PathBuf;

use clap::Args;
use units::Day;
use workroom::document::{LadderSeen, ShotDye, SwatchTurn};
use workroom::{SwatchPlanWanted, SwatchesPlanned, Trouble, plan_swatches};

use super::progress::Teller;
use super::speech::{say, say_list, say_wrapped};
use super::{Ended, say_json, stopping};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The costume file
    file: PathBuf,
    /// The workbook, which is only read [default: workbook.sqlite beside the
    /// costume file, if there is one]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Use this shelf file instead of the one the costume names
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// What a reading may be off by, as ΔE00: about 0.3 for an instrument, 1 for
    /// a photograph with care, 2 by eye
    #[arg(long, value_name = "DIFFERENCE", default_value_t = 1.0)]
    read: f64,
    /// Also think out a ladder of this dye (its id): the depths that tell most
    #[arg(long, value_name = "DYE")]
    ladder: Option<String>,
    /// Rungs of that ladder, 2 to 4
    #[arg(long, value_name = "COUNT", default_value_t = 3, requires = "ladder")]
    rungs: usize,
    /// Ask as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

/// Thinks the swatches through and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let wanted = SwatchPlanWanted {
        file: words.file.clone(),
        shelf: words.shelf.clone(),
        book: words.book.clone(),
        read: words.read,
        ladder: words.ladder.clone(),
        rungs: words.rungs,
        today: words.today.map_or_else(super::today, Ok)?,
    };
    stopping::listen();
    let teller = Teller::of_many();
    let found = plan_swatches(&wanted, &mut |progress| teller.tell(progress));
    stopping::written();
    teller.finish();
    let found = found?;
    if json {
        say_json(&found)?;
    } else {
        tell(&found);
    }
    let open = found.it.pieces.iter().any(|piece| !piece.settled) && found.it.turns.is_empty();
    Ok(if open { Ended::Undecided } else { Ended::Answered })
}

fn tell(found: &SwatchesPlanned) {
    let it = &found.it;
    say(&found.costume);
    say("");
    for words in &it.words {
        say_wrapped("", 0, words);
    }
    if !it.to_read.is_empty() {
        say("");
        say("Dyed and not read yet");
        for one in &it.to_read {
            say_wrapped("  ", 6, &format!("{}: {}", one.name, one.words));
        }
    }
    if !it.turns.is_empty() {
        say("");
        say("The swatches, the most telling first");
        // Second and third swatches of a piece hang on what its first is read to: they are counted.
        let again = |at: usize| it.turns[..at].iter().any(|t| t.piece == it.turns[at].piece);
        let (later, first): (Vec<usize>, Vec<usize>) =
            (0..it.turns.len()).partition(|at| again(*at));
        first.iter().enumerate().for_each(|(n, at)| turn(n + 1, &it.turns[*at]));
        if !later.is_empty() {
            let many = format!(
                "and up to {} more of these pieces, as what is read asks for them",
                later.len()
            );
            say_wrapped("      ", 6, &many);
        }
    }
    if !it.pieces.is_empty() {
        say("");
        say("How the pieces stand");
        for piece in &it.pieces {
            say_wrapped("  ", 6, &format!("{}: {}", piece.name, piece.words));
        }
    }
    it.ladders.iter().for_each(ladder);
    if !it.left_out.is_empty() {
        say("");
        say("Not in it");
        for one in &it.left_out {
            say_wrapped("  ", 6, &format!("{}: {}", one.name, one.why));
        }
    }
    say_list("About the files", &found.notes);
}

fn turn(n: usize, turn: &SwatchTurn) {
    let card = turn.code.as_ref().map_or_else(String::new, |code| format!(", card {code}"));
    say_wrapped(
        &format!("  {n:>2}. "),
        6,
        &format!("{}{card}: {}", turn.name, doses(&turn.bath.dyes)),
    );
    say_wrapped("      ", 6, &turn.words);
}

fn doses(dyes: &[ShotDye]) -> String {
    let each =
        dyes.iter().map(|dye| format!("{} {} %", dye.id, units::significant(dye.owf_pct, 3)));
    each.collect::<Vec<_>>().join(" + ")
}

fn ladder(ladder: &LadderSeen) {
    say("");
    say(&format!("A ladder of {}", ladder.dye));
    for (n, rung) in ladder.rungs.iter().enumerate() {
        let depth = units::significant(rung.owf_pct, 3);
        let line = format!("{depth} % on {}; after it {:.1} is in doubt", rung.fibre, rung.after);
        say_wrapped(&format!("  {:>2}. ", n + 1), 6, &line);
    }
    say_wrapped("  ", 2, &ladder.words);
}
