//! `read`: the colours of cloths in a photograph with a colour chart, a card of one's own dyed cloths, or one white.

use std::path::PathBuf;

use clap::Args;
use workroom::{ApartRead, ClothRead, DifferenceRead, PhotoRead, ReadWanted, Trouble, read_photo};

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
    /// The place of a cloth that the others are held against, once, or twice with
    /// the others between (A-B-A): says how each differs, if the dyes are the
    /// same and if they are others
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true)]
    against: Vec<String>,
    /// The chart's four corners, in pixels, "x,y x,y x,y x,y" [default: it is
    /// looked for]
    #[arg(long, value_name = "CORNERS", allow_hyphen_values = true)]
    corners: Option<String>,
    /// A chart of one's own: its patches row after row, as CGATS.17 or a table of
    /// spectra; a card printed at home, once read [default: the classic chart of 24]
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
    /// Patches or cloths in a row [default: as the file says]
    #[arg(long, value_name = "NUMBER")]
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
    /// Values of your own dyed cloths that lie in the picture in place of a chart,
    /// as CGATS.17 or a table of spectra; eight at least
    #[arg(long, value_name = "FILE", conflicts_with_all = ["chart", "swatches", "white_at"], help_heading = "Read by a card of your own dyed cloths")]
    card: Option<PathBuf>,
    /// The same out of the workbook: codes of swatches, in their order
    #[arg(long, value_name = "CODE,CODE", value_delimiter = ',', conflicts_with_all = ["chart", "white_at"], help_heading = "Read by a card of your own dyed cloths")]
    swatches: Vec<String>,
    /// The place of each of these cloths, in their order [default: in rows,
    /// --across in each, within --corners]
    #[arg(
        long,
        value_name = "X,Y,W,H",
        allow_hyphen_values = true,
        help_heading = "Read by a card of your own dyed cloths"
    )]
    at: Vec<String>,
    /// The place of a white without brightener, in place of a chart
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true, conflicts_with_all = ["chart", "white", "corners"], help_heading = "Read by one white alone (weak)")]
    white_at: Option<String>,
    /// What it is: ptfe, filter, plaster, cotton, or its L* a* b* as measured
    #[arg(
        long,
        value_name = "WHITE",
        requires = "white_at",
        allow_hyphen_values = true,
        help_heading = "Read by one white alone (weak)"
    )]
    white_is: Option<String>,
    /// The kind of light: daylight, led, tungsten, tube, three-band
    #[arg(long, value_name = "KIND")]
    lamp: Option<String>,
    /// Dyes of the shelf that are in the cloths, one to four
    #[arg(
        long,
        value_name = "DYE,DYE",
        value_delimiter = ',',
        help_heading = "The spectrum, where the dyes are known"
    )]
    dyes: Vec<String>,
    /// The dyes of this swatch of the workbook
    #[arg(
        long,
        value_name = "CODE",
        conflicts_with = "dyes",
        help_heading = "The spectrum, where the dyes are known"
    )]
    dyes_of: Option<String>,
    /// The cloth they are on: a fibre, or a blend
    #[arg(long, value_name = "CLOTH", help_heading = "The spectrum, where the dyes are known")]
    on: Option<String>,
    /// The undyed cloth: white, natural, or its L* a* b* [default: white]
    #[arg(
        long,
        value_name = "COLOUR",
        allow_hyphen_values = true,
        help_heading = "The spectrum, where the dyes are known"
    )]
    undyed: Option<String>,
    /// A shelf file [default: the starter shelf]
    #[arg(long, value_name = "FILE", help_heading = "The spectrum, where the dyes are known")]
    shelf: Option<PathBuf>,
    /// The workbook for codes [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
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
        against: words.against.clone(),
        card: words.card.clone(),
        swatches: words.swatches.clone(),
        at: words.at.clone(),
        white_at: words.white_at.clone(),
        white_is: words.white_is.clone(),
        lamp: words.lamp.clone(),
        dyes: words.dyes.clone(),
        dyes_of: words.dyes_of.clone(),
        on: words.on.clone(),
        undyed: words.undyed.clone(),
        shelf: words.shelf.clone(),
        book: words.book.clone(),
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
    let by = match (&read.chart, &read.card, &read.white_is) {
        (Some(chart), _, _) => format!(
            "a chart of {} patches, {:.0} pixels from patch to patch",
            chart.patches, chart.pitch
        ),
        (None, Some(card), _) => {
            format!(
                "a card of {} dyed cloths, {} used",
                card.cloths,
                card.cloths - card.left_out.len()
            )
        }
        (None, None, white) => format!("one white: {}", white.as_deref().unwrap_or_default()),
    };
    say_wrapped("", 0, &format!("{}, {width} × {height} pixels: {by}.", read.photograph));
    for cloth in &read.cloths {
        say("");
        tell_cloth(cloth);
    }
    for difference in &read.differences {
        say("");
        tell_difference(difference);
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
    let several = read.cloths.len() > 1;
    for (number, colour) in read.cloths.iter().filter_map(|c| Some((c.number, c.colour.as_ref()?)))
    {
        say("");
        // Each belongs under the swatch of its own.
        if several {
            say(&format!("  # cloth {number}"));
        }
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
    if let Some(dyed) = &cloth.with_dyes {
        let [l, a, b] = dyed.lab;
        say_wrapped("  ", 2, &format!("With {} on {}:", dyed.dyes.join(", "), dyed.undyed));
        say(&format!("  L* {l:.1}  a* {a:.1}  b* {b:.1}  within ΔE00 {:.1}", dyed.spread90));
        say_wrapped("  ", 2, "Its spectrum is in the JSON (--json).");
    }
    if let (Some(why), Some(help)) = (&cloth.refused, &cloth.help) {
        say_wrapped("  ", 2, &format!("With these dyes: not read. {why}."));
        say_wrapped("  help: ", 8, help);
    }
}

fn tell_difference(it: &DifferenceRead) {
    let (Some(same), Some(other)) = (&it.same_dyes, &it.other_dyes) else {
        let why = it.refused.as_deref().unwrap_or_default();
        say_wrapped("", 2, &format!("Cloth {} against the other: not read. {why}.", it.cloth));
        say_wrapped("  help: ", 8, it.help.as_deref().unwrap_or_default());
        return;
    };
    say(&format!("Cloth {} against the other:", it.cloth));
    let tell = |if_so: &str, it: &ApartRead| {
        let [l, a, b] = it.by;
        say_wrapped(
            "  ",
            4,
            &format!("{if_so}: ΔE00 {:.1}, within {:.1}: {}", it.de00, it.spread90, it.words),
        );
        say(&format!("    L* {l:+.1}  a* {a:+.1}  b* {b:+.1}"));
    };
    tell("if the same dyes are in both", same);
    tell("if they are other dyes, or another fibre", other);
}
