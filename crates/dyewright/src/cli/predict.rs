//! `predict`: what a recipe gives on a cloth.

use std::path::PathBuf;

use clap::Args;
use workroom::{PredictWanted, Predicted, Trouble, predict_recipe};

use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The cloth: "cotton", or a blend as "65 cotton, 35 polyester"
    #[arg(long)]
    cloth: String,
    /// A dye and its depth in % on weight of fibre, as reactive-blue=0.5; once
    /// for each dye
    #[arg(long = "dye", value_name = "ID=PERCENT", required = true)]
    dyes: Vec<String>,
    /// Litres of liquor per kilogram of goods [default: 20]
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    ratio: Option<f64>,
    /// The undyed cloth: white, natural, or a colour or reading file [default: white]
    #[arg(long, value_name = "COLOUR")]
    undyed: Option<String>,
    /// A shelf file [default: the starter shelf]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
}

/// Predicts and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let found = predict_recipe(&PredictWanted {
        cloth: words.cloth.clone(),
        dyes: words.dyes.clone(),
        ratio: words.ratio,
        undyed: words.undyed.clone(),
        shelf: words.shelf.clone(),
    })?;
    if json {
        say_json(&found)?;
    } else {
        tell(&found);
    }
    Ok(Ended::Answered)
}

fn tell(found: &Predicted) {
    let [l, a, b] = found.lab;
    let shows = if found.screen_shows { "" } else { ", which a screen cannot quite show" };
    say_wrapped(
        &chip(&found.hex),
        5,
        &format!("{}: L* {l}, a* {a}, b* {b} in daylight ({}{shows})", found.words, found.hex),
    );
    say("");
    let about = format!(
        "{}, {}, {}, liquor {}:1",
        found.cloth.given, found.cloth.undyed, found.procedure_name, found.liquor_ratio
    );
    say_wrapped("  on    ", 8, &about);
    for dye in &found.dyes {
        let depth = units::trimmed(dye.owf_pct, 4);
        say_wrapped("  with  ", 8, &format!("{depth} % {} ({}; {})", dye.id, dye.name, dye.known));
    }
    say_wrapped(
        "  sure  ",
        8,
        &format!(
            "nine recipes of ten come within {:.1} of this colour, nine pieces of ten within {:.1} (ΔE00; \
             the dyes are not known better, and no two dyeings are alike)",
            found.spread.recipe90, found.spread.piece90
        ),
    );
    say("");
    say("  light       L*      a*      b*   screen   what it is");
    for light in &found.lights {
        let [l, a, b] = light.lab;
        say(&format!(
            "  {:<8} {l:5.1}  {a:6.1}  {b:6.1}   {}  {}{}",
            light.light,
            light.hex,
            chip(&light.hex),
            light.words
        ));
    }
    say_list("To bear in mind", &found.notes);
}
