//! `read`: the colours of cloths in a photograph with a colour chart.

use std::path::PathBuf;

use clap::Args;
use workroom::{ClothRead, PhotoRead, ReadWanted, Trouble, read_photo};

use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// A photograph of the cloth beside a colour chart (JPEG, PNG, WebP, TIFF)
    #[arg(value_name = "PHOTO")]
    photo: PathBuf,
    /// A place that is all cloth, in pixels: left, top, width and height, or four
    /// corners; once for each cloth
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true)]
    cloth: Vec<String>,
    /// The chart's four corners, in pixels, "x,y x,y x,y x,y" [default: it is
    /// looked for]
    #[arg(long, value_name = "CORNERS", allow_hyphen_values = true)]
    corners: Option<String>,
    /// A chart of one's own: its patches row after row, as CGATS.17 or a table of
    /// spectra [default: the classic chart of 24]
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
    /// Patches in a row of that chart
    #[arg(long, value_name = "NUMBER", requires = "chart")]
    across: Option<usize>,
    /// A photograph of white paper in the same light from the same stand
    #[arg(long, value_name = "PHOTO")]
    white: Option<PathBuf>,
    /// The light, in words, to be recorded with the reading
    #[arg(long, value_name = "WORDS")]
    light: Option<String>,
    /// How the picture comes: camera, as it saves pictures, or linear, developed
    /// without a tone curve
    #[arg(long, default_value = "camera")]
    from: String,
}

/// Reads and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let read = read_photo(&ReadWanted {
        photo: words.photo.clone(),
        cloths: words.cloth.clone(),
        corners: words.corners.clone(),
        chart: words.chart.clone(),
        across: words.across,
        white: words.white.clone(),
        light: words.light.clone(),
        from: words.from.clone(),
    })?;
    if json {
        say_json(&read)?;
    } else {
        tell(&read);
    }
    let all = read.cloths.iter().all(|c| c.colour.is_some());
    Ok(if all { Ended::Answered } else { Ended::Undecided })
}

fn tell(read: &PhotoRead) {
    let [width, height] = read.size;
    let chart = &read.chart;
    say_wrapped(
        "",
        0,
        &format!(
            "{}, {width} × {height} pixels: a chart of {} patches, {:.0} pixels from patch to patch.",
            read.photograph, chart.patches, chart.pitch
        ),
    );
    for cloth in &read.cloths {
        say("");
        tell_cloth(cloth);
    }
    say_list("What limits it", &read.limits);
    say_list("To be answered", &[read.question.to_owned()]);
    say_list("To bear in mind", &read.notes);
    say("");
    say_wrapped(
        "",
        0,
        "To record it, put this under the [[swatch]] in your file of swatches, with dry, washed_off and cool as they were \
         (docs/costume-file.md):",
    );
    for colour in read.cloths.iter().filter_map(|c| c.colour.as_ref()) {
        say("");
        colour.record.lines().for_each(|line| say(&format!("  {line}")));
    }
}

fn tell_cloth(cloth: &ClothRead) {
    let [[left, top], _, [right, bottom], _] = cloth.place;
    let at = format!("Cloth {}, from {left:.0},{top:.0} to {right:.0},{bottom:.0}", cloth.number);
    let Some(colour) = &cloth.colour else {
        let why = cloth.refused.as_deref().unwrap_or_default();
        let help = cloth.help.as_deref().unwrap_or_default();
        say_wrapped("", 2, &format!("{at}: not read. {why}."));
        say_wrapped("  help: ", 8, help);
        return;
    };
    say_wrapped("", 2, &format!("{at}: {}{} {}", chip(&colour.hex), colour.hex, colour.words));
    let [l, a, b] = colour.lab;
    say(&format!("  L* {l:.1}  a* {a:.1}  b* {b:.1}  D65/10°"));
    say_wrapped(
        "  ",
        2,
        &format!("Nine of ten such readings lie within ΔE00 {:.1} of the truth.", colour.spread90),
    );
}
