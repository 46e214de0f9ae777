//! `plan FILE`: from a costume file to bath sheets.

use std::path::PathBuf;

use clap::Args;
use units::Day;
use workroom::document::PiecePlan;
use workroom::{Outcome, Plan, PlanWanted, Planned, Trouble, plan_costume};

use super::progress::Teller;
use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The costume file
    file: PathBuf,
    /// Write the plan into this folder instead of beside the costume file
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Use this shelf file instead of the one the costume names
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Plan as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

/// Plans, writes, and says what came of it. With JSON, files are written only where `--out` asks.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let wanted = PlanWanted {
        file: words.file.clone(),
        shelf: words.shelf.clone(),
        out: words.out.clone(),
        today: words.today.map_or_else(super::today, Ok)?,
        write: !json || words.out.is_some(),
    };
    let teller = Teller::of_many();
    let planned = plan_costume(&wanted, &mut |progress| teller.tell(progress));
    teller.finish();
    let planned = planned?;
    if json {
        say_json(&planned.plan)?;
    } else {
        tell(&planned);
    }
    let open =
        |p: &PiecePlan| p.outcome == Outcome::NoBath || p.reach.as_ref().is_some_and(|r| !r.within);
    let undecided = planned.plan.pieces.iter().any(open);
    Ok(if undecided { Ended::Undecided } else { Ended::Answered })
}

fn tell(planned: &Planned) {
    let plan = &planned.plan;
    say("");
    say(&plan.costume.name);
    if let Some(note) = &plan.costume.note {
        say_wrapped("", 0, note);
    }
    say("");
    pieces(plan);
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

/// One line or two for each piece.
fn pieces(plan: &Plan) {
    for piece in &plan.pieces {
        let way = match (&piece.class, piece.outcome) {
            (Some(class), Outcome::Bath) => class.name.clone(),
            (_, Outcome::Leave) => "leave as it is".to_owned(),
            _ => "no bath yet".to_owned(),
        };
        let first = format!("  {}", chip(&piece.target.hex));
        say_wrapped(&first, 6, &format!("{}: {}, {way}", piece.name, piece.target.words));
        if let Some(recipe) = piece.recipes.first() {
            let dyes: Vec<String> = recipe
                .dyes
                .iter()
                .map(|d| format!("{} {} %", d.id, units::significant(d.owf_pct, 3)))
                .collect();
            say_wrapped("      ", 6, &dyes.join(" + "));
        }
        if let Some(expected) = &piece.expected {
            say_wrapped("      ", 6, &expected.verdict);
        }
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
