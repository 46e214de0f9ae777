//! `card`: the colour card to print at home, drawn; and `card read`, its patches read once beside a known chart.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use workroom::{CardDrawn, CardRead, CardReadWanted, CardWanted, Trouble, draw_card, read_card};

use super::speech::{say, say_list, say_wrapped};
use super::{Ended, say_json, today};

/// The words of the command.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct Words {
    #[command(subcommand)]
    command: Option<Command>,
    #[command(flatten)]
    draw: DrawWords,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Read a printed card once, beside a known chart, and write its values
    Read(ReadWords),
}

/// Drawing it.
#[derive(Debug, Args)]
struct DrawWords {
    /// The sheet: a5 or a4
    #[arg(long, default_value = "a5")]
    sheet: String,
    /// A code for this print, to be printed on it [default: today]
    #[arg(long)]
    code: Option<String>,
    /// The folder to write into
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    out: PathBuf,
}

/// Reading it.
#[derive(Debug, Args)]
struct ReadWords {
    /// A photograph of the card beside a known chart
    #[arg(value_name = "PHOTO")]
    photo: PathBuf,
    /// The text file to write the values into
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// The code that stands on the card
    #[arg(long, default_value = "unnamed")]
    code: String,
    /// The light, in words, to be kept with the values
    #[arg(long, value_name = "WORDS")]
    light: Option<String>,
    /// The card's four corners, in pixels [default: it is looked for]
    #[arg(long, value_name = "CORNERS", allow_hyphen_values = true)]
    card_corners: Option<String>,
    /// The known chart's four corners, in pixels [default: it is looked for]
    #[arg(long, value_name = "CORNERS", allow_hyphen_values = true)]
    corners: Option<String>,
    /// The known chart, as CGATS.17 or a table of spectra [default: the classic
    /// chart of 24]
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
    /// Patches in a row of it [default: as the file says]
    #[arg(long, value_name = "NUMBER", requires = "chart")]
    across: Option<usize>,
    /// A photograph of white paper in the same light from the same stand
    #[arg(long, value_name = "PHOTO")]
    white: Option<PathBuf>,
    /// How the picture comes: camera, as it saves pictures, or linear, developed
    /// without a tone curve
    #[arg(long, default_value = "camera")]
    from: String,
}

/// Draws the card, or reads it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    match &words.command {
        Some(Command::Read(words)) => read(words, json),
        None => draw(&words.draw, json),
    }
}

fn draw(words: &DrawWords, json: bool) -> Result<Ended, Trouble> {
    let code = match &words.code {
        Some(code) => code.clone(),
        None => today()?.to_string(),
    };
    let drawn =
        draw_card(&CardWanted { sheet: words.sheet.clone(), code, out: words.out.clone() })?;
    if json {
        say_json(&drawn)?;
    } else {
        tell_drawn(&drawn);
    }
    Ok(Ended::Answered)
}

fn tell_drawn(drawn: &CardDrawn) {
    say_wrapped(
        "",
        0,
        &format!(
            "A card of {} patches, {} in a row, for {} (lying), code {}:",
            drawn.patches, drawn.across, drawn.sheet, drawn.code
        ),
    );
    drawn.written.iter().for_each(|file| say(&format!("  {file}")));
    say_list("What comes next", &drawn.next);
}

fn read(words: &ReadWords, json: bool) -> Result<Ended, Trouble> {
    let read = read_card(&CardReadWanted {
        photo: words.photo.clone(),
        card_corners: words.card_corners.clone(),
        corners: words.corners.clone(),
        chart: words.chart.clone(),
        across: words.across,
        white: words.white.clone(),
        light: words.light.clone(),
        from: words.from.clone(),
        code: words.code.clone(),
        out: words.out.clone(),
        day: today()?.to_string(),
    })?;
    let sound = read.doubts.is_empty();
    if json {
        say_json(&read)?;
    } else {
        tell_read(&read);
    }
    Ok(if sound { Ended::Answered } else { Ended::Undecided })
}

fn tell_read(read: &CardRead) {
    say_wrapped(
        "",
        0,
        &format!(
            "{}: card {}, {} patches read, {} in a row. Nine of ten values of a patch in the middle lie within ΔE00 {:.1} of \
             the truth.",
            read.photograph,
            read.code,
            read.patches.len(),
            read.across,
            read.spread90
        ),
    );
    say_wrapped("", 0, &format!("Written: {}", read.written));
    if let Some(weak) = &read.weak_light {
        say_wrapped(
            "",
            0,
            &format!(
                "Weak light ({}): nine of ten cloths are read to {:.1} in it, and to {:.1} in daylight. Read the card by day.",
                weak.kind, weak.spread90, weak.in_daylight
            ),
        );
    }
    say_list("What is doubtful in the print", &read.doubts);
    say_list("To bear in mind", &read.notes);
    say("");
    say_wrapped("", 0, "From now on it is your chart:");
    say(&format!("  dyewright read PHOTO --chart {} --cloth \"X,Y,W,H\"", read.written));
}
