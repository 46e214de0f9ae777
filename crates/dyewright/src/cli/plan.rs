//! `plan FILE`: from a costume file to bath sheets.

use std::io::{self, IsTerminal as _, Write as _};
use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use units::Day;
use workroom::{Outcome, Plan, PlanWanted, Planned, Progress, Trouble, plan_costume};

use super::speech::{say, say_wrapped};

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
    /// Write the plan as JSON to standard output, and no files
    #[arg(long)]
    json: bool,
}

/// Plans, writes, and says what came of it.
pub(crate) fn run(words: &Words) -> Result<(), Trouble> {
    let wanted = PlanWanted {
        file: words.file.clone(),
        shelf: words.shelf.clone(),
        out: words.out.clone(),
        today: words.today.map_or_else(super::today, Ok)?,
        write: !words.json,
    };
    let teller = Teller::new();
    let planned = plan_costume(&wanted, &mut |progress| teller.tell(progress));
    teller.finish();
    let planned = planned?;
    if words.json {
        say(&super::json_of(&planned.plan)?);
    } else {
        tell(&planned);
    }
    Ok(())
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
        say_wrapped("  ", 6, &format!("{}: {}, {way}", piece.name, piece.target.words));
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

/// Shows progress: a bar on a terminal, plain lines elsewhere, on standard error.
struct Teller {
    bar: Option<ProgressBar>,
}

impl Teller {
    fn new() -> Self {
        let bar = io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::new(0);
            if let Ok(style) = ProgressStyle::with_template("{pos}/{len} {msg}") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(Duration::from_millis(200));
            bar
        });
        Self { bar }
    }

    fn tell(&self, progress: Progress<'_>) {
        let line = format!("{}: {}", progress.piece, progress.doing);
        match &self.bar {
            Some(bar) => {
                bar.set_length(progress.of as u64);
                bar.set_position(progress.done as u64);
                bar.set_message(line);
            }
            None => {
                let _ = writeln!(io::stderr(), "{}/{} {line}", progress.done + 1, progress.of);
            }
        }
    }

    fn finish(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
