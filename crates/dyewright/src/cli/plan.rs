//! `plan FILE`: from a costume file to bath sheets, days and a shopping list.

mod days;
mod money;
mod pieces;
mod sets;

use std::path::PathBuf;

use clap::Args;
use units::Day;
use workroom::document::PiecePlan;
use workroom::{Outcome, Plan, PlanWanted, Planned, Trouble, plan_costume};

use super::progress::Teller;
use super::speech::{say, say_list, say_wrapped};
use super::{Ended, say_json, stopping};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The costume file
    file: PathBuf,
    /// Write the plan into this folder instead of beside the costume file
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Also write the recipe of this piece (its id) as one sheet for somebody
    /// without the program; may be given again
    #[arg(long, value_name = "PIECE")]
    hand_out: Vec<String>,
    /// Use this shelf file instead of the one the costume names
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Rest the recipes on the swatches of this workbook, which is only read
    /// [default: workbook.sqlite beside the costume file, if there is one]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Plan as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

/// Plans, writes, and says what came of it. With JSON, files are written only where `--out` asks.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let write = !json || words.out.is_some();
    if !write && !words.hand_out.is_empty() {
        return Err(Trouble::Refused {
            says: "--hand-out writes a file, and with --json nothing is written".to_owned(),
            hint: "name the folder to write into with --out".to_owned(),
        });
    }
    let wanted = PlanWanted {
        file: words.file.clone(),
        shelf: words.shelf.clone(),
        book: words.book.clone(),
        out: words.out.clone(),
        today: words.today.map_or_else(super::today, Ok)?,
        hand_out: words.hand_out.clone(),
        stamp: super::stamp(words.today)?,
        write,
    };
    stopping::listen();
    let teller = Teller::of_many();
    let planned = plan_costume(&wanted, &mut |progress| teller.tell(progress));
    stopping::written();
    teller.finish();
    let planned = planned?;
    if json {
        say_json(&planned.plan)?;
    } else {
        tell(&planned);
    }
    Ok(if undecided(&planned.plan) { Ended::Undecided } else { Ended::Answered })
}

/// Whether something is to be decided before dyeing: a piece without a bath or out of reach, a set that
/// does not hold, work that finds no day or a date that is missed.
fn undecided(plan: &Plan) -> bool {
    let open =
        |p: &PiecePlan| p.outcome == Outcome::NoBath || p.reach.as_ref().is_some_and(|r| !r.within);
    let late = plan.days.as_ref().is_some_and(|d| !d.fits || !d.no_place.is_empty());
    plan.pieces.iter().any(open) || plan.sets.iter().any(|set| !set.holds) || late
}

fn tell(planned: &Planned) {
    let plan = &planned.plan;
    say("");
    say_wrapped("", 2, &plan.costume.name);
    if let Some(note) = &plan.costume.note {
        say_wrapped("", 0, note);
    }
    say("");
    pieces::tell(plan);
    sets::tell(plan);
    days::tell(plan);
    money::tell(plan);
    list("What needs your attention first", &plan.attention);
    list("What to do next", &plan.next);
    say_list("About the files", &planned.notes);
    say("");
    say("Written:");
    for path in &planned.written {
        say(&format!("  {}", path.display()));
    }
    if let Some(page) = planned.written.first() {
        say_wrapped("", 0, &format!("Open {} in a browser; it prints well.", page.display()));
    }
}

fn list(title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    say("");
    say(title);
    for (i, line) in lines.iter().enumerate() {
        say_wrapped(&format!("{:3}. ", i + 1), 5, line);
    }
}

/// What a piece or a fixed piece is called; the id where nobody has it.
fn name<'a>(plan: &'a Plan, id: &'a str) -> &'a str {
    let dyed = plan.pieces.iter().map(|p| (&p.id, &p.name));
    let mut all = dyed.chain(plan.fixed.iter().map(|f| (&f.id, &f.name)));
    all.find(|(one, _)| *one == id).map_or(id, |(_, name)| name)
}

/// Names in a row: "coat, sash".
fn names(plan: &Plan, ids: &[String]) -> String {
    let all: Vec<&str> = ids.iter().map(|id| name(plan, id)).collect();
    all.join(", ")
}
