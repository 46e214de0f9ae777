//! `compare A B`: how far apart two readings are, under every light that can be had.

use clap::Args;
use workroom::{Compared, Trouble, compare_readings};

use super::speech::{say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The reading looked at: "#2f6f5a", "45 -12.5 8" (L* a* b*), or a file; a
    /// sample of a file stands after a colon, swatches.csv:coat
    #[arg(allow_hyphen_values = true, value_name = "READING")]
    first: String,
    /// What it is held against, the standard: written the same ways
    #[arg(allow_hyphen_values = true, value_name = "STANDARD")]
    second: String,
    /// From how near: touching, beside, "close up" or stage
    #[arg(long, value_name = "DISTANCE")]
    seen_from: Option<String>,
}

/// Compares and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let found = compare_readings(&words.first, &words.second, words.seen_from.as_deref())?;
    if json {
        say_json(&found)?;
    } else {
        tell(&found);
    }
    Ok(if found.passes { Ended::Answered } else { Ended::Undecided })
}

fn tell(found: &Compared) {
    say_wrapped("", 0, &found.sentence);
    say("");
    for (name, one) in [("first", &found.first), ("standard", &found.second)] {
        let [l, a, b] = one.lab;
        let at = format!("{}/{}", one.light, one.observer);
        say(&format!("  {name:<9} L* {l:5.1}  a* {a:6.1}  b* {b:6.1}  {at}  {}", one.words));
    }
    if let Some(d) = found.differences.first() {
        say_wrapped(
            "  ",
            2,
            &format!(
                "It {}. Lightness {:+.2}, chroma {:+.2}, hue {:+.2}.",
                found.seen, d.dl, d.dc, d.dh
            ),
        );
    }
    say("");
    say("  light      ΔE00   2:1:1   ΔE*ab  CMC 2:1  CMC 1:1  what it is");
    for d in &found.differences {
        say(&format!(
            "  {:<8} {:6.2} {:7.2} {:7.2} {:8.2} {:8.2}  {}",
            d.light,
            d.de00,
            d.de00_textile,
            d.de_ab,
            d.cmc_2_1,
            d.cmc_1_1,
            short(d.words)
        ));
    }
    say_wrapped(
        "  ",
        2,
        &format!(
            "Grey-scale grade of the change: {} (ISO 105-A02 by ΔE*ab), {} (A05).",
            found.grade_a02, found.grade_a05
        ),
    );
    if !found.places.is_empty() {
        say("");
        say("  place            worst light   ΔE00");
        for p in &found.places {
            let does = if p.passes { "passes" } else { "does not pass" };
            say(&format!(
                "  {:<16} {:<12} {:6.2}  {does} {}",
                p.place, p.light, p.de00, found.seen_from
            ));
        }
    }
    let moved: Vec<String> =
        found.metamerism.iter().filter(|m| m.index > 0.5).map(|m| m.words.clone()).collect();
    say_list("Change of light (special index of metamerism)", &moved);
    say_list("To bear in mind", &found.notes);
}

/// What a light is, short enough for the table.
fn short(words: &str) -> &str {
    words.split(',').next().unwrap_or(words)
}
