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
}

/// Weighs and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let found = identify_fibre(&words.seen)?;
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
        if !test.write.is_empty() {
            say_wrapped("  Write: ", 4, &test.write.join("  "));
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
