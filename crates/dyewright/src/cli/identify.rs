//! `identify`: what was seen in tests of an unknown fibre → odds and the next test.

use clap::Args;
use workroom::{Identified, Trouble, identify_fibre};

use super::speech::{say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// What was seen, as flame=melts residue=pale-bead; nothing: where to begin
    #[arg(value_name = "TEST=OUTCOME")]
    seen: Vec<String>,
    #[command(flatten)]
    told: Told,
}

/// The same, one option for each kind of observation.
#[derive(Debug, Args)]
#[command(next_help_heading = "What was seen")]
struct Told {
    /// As the flame comes near: ignites, curls, melts
    #[arg(long, value_name = "OUTCOME")]
    flame: Option<String>,
    /// With the flame taken away: burns-on, glows, goes-out
    #[arg(long, value_name = "OUTCOME")]
    after: Option<String>,
    /// The smoke: paper, hair, vinegar, celery, sweet, acrid, wax, acid-smoke, other
    #[arg(long, value_name = "OUTCOME")]
    smell: Option<String>,
    /// What is left: ash, crushable, tan-bead, black-bead, irregular, pale-bead, char
    #[arg(long, value_name = "OUTCOME")]
    residue: Option<String>,
    /// A snip in household bleach: dissolves, stays, partly
    #[arg(long, value_name = "OUTCOME")]
    bleach: Option<String>,
    /// A snip in acetone: dissolves, softens, stays, partly
    #[arg(long, value_name = "OUTCOME")]
    acetone: Option<String>,
    /// A drop of water on scoured cloth: sinks, beads
    #[arg(long, value_name = "OUTCOME")]
    water: Option<String>,
    /// A wetted, squeezed snip under water: floats, sinks
    #[arg(long, value_name = "OUTCOME")]
    float: Option<String>,
}

impl Told {
    /// As they are written without options: "flame=melts".
    fn pairs(&self) -> Vec<String> {
        [
            ("flame", &self.flame),
            ("after", &self.after),
            ("smell", &self.smell),
            ("residue", &self.residue),
            ("bleach", &self.bleach),
            ("acetone", &self.acetone),
            ("water", &self.water),
            ("float", &self.float),
        ]
        .into_iter()
        .filter_map(|(kind, outcome)| outcome.as_ref().map(|o| format!("{kind}={o}")))
        .collect()
    }
}

/// Weighs and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let found = identify_fibre(&[words.seen.clone(), words.told.pairs()].concat())?;
    if json {
        say_json(&found)?;
    } else {
        tell(&found);
    }
    Ok(if found.settled { Ended::Answered } else { Ended::Undecided })
}

fn tell(found: &Identified) {
    say_wrapped("", 0, &found.says);
    say("");
    for fibre in found.fibres.iter().filter(|f| f.odds >= 0.005) {
        let counts = if fibre.counts { "counts" } else { "" };
        let line = format!("  {:5.1} %  {:<34} {counts}", fibre.odds * 100.0, fibre.name);
        say(line.trim_end());
    }
    for (i, test) in found.tests.iter().enumerate() {
        say("");
        let when = if i == 0 { "Next" } else { "Then" };
        say(&format!("{when}: {}", test.name));
        say_wrapped("  ", 2, &test.how);
        say_wrapped("  Beware: ", 4, &test.hazard);
        for kind in &test.write {
            let (kind, outcomes) = kind.split_once('=').unwrap_or((kind, ""));
            say_wrapped(&format!("  --{kind}: "), 4, &outcomes.replace('|', ", "));
        }
    }
    if found.may_dye.is_empty() {
        say("");
        say_wrapped(
            "",
            0,
            "No bath yet: every way of dyeing would ruin or miss a fibre it may be.",
        );
    } else {
        say_list("May be dyed by", &found.may_dye);
    }
}
