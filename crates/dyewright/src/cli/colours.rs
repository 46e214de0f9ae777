//! `colours`: the flat colours of reference artwork, and what cloth and shelf can do about each.

use std::path::PathBuf;

use clap::Args;
use units::Day;
use workroom::{
    Coloured, ColoursWanted, FlatSeen, KeepWanted, PairSeen, Trouble, colours_of, colours_sheet,
    keep_colours,
};

use super::progress::Teller;
use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// Pictures of one character (JPEG, PNG, WebP, TIFF), best first: the colours
    /// of the first are taken, the others are held against it
    #[arg(required = true, value_name = "PICTURE")]
    pictures: Vec<PathBuf>,
    /// A part of the first picture: left, top, width and height in pixels
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true)]
    region: Option<String>,
    /// Ask whether this cloth reaches the colours: "cotton", "65 cotton, 35 polyester"
    #[arg(long)]
    cloth: Option<String>,
    /// The undyed cloth: white, natural, or a colour or reading file [default: white]
    #[arg(long, value_name = "COLOUR", requires = "cloth")]
    undyed: Option<String>,
    /// A shelf file [default: the starter shelf]
    #[arg(long, value_name = "FILE", requires = "cloth")]
    shelf: Option<PathBuf>,
    /// Write a page with the picture and its colours beside it
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,
    /// Put colours into this costume file as pieces; begun when it is not there
    #[arg(long, value_name = "FILE")]
    into: Option<PathBuf>,
    /// Which of them: numbers, or pieces with their numbers, "coat=2,sash=5"
    /// [default: all but the ground]
    #[arg(long, value_delimiter = ',', value_name = "NUMBERS", requires = "into")]
    take: Vec<String>,
    /// Why this picture and no other, to be kept in the costume file
    #[arg(long, value_name = "REASON", requires = "into")]
    because: Option<String>,
    /// A piece that is there gets the colour as its new target
    #[arg(long, requires = "into")]
    over: bool,
    /// Choose another picture, or another reason, than the costume file has
    #[arg(long, requires = "into")]
    anew: bool,
    /// Keep the colours as they are beside the cloth's white
    #[arg(long, requires_all = ["into", "cloth"])]
    on_cloth_white: bool,
    /// Ask as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

/// Reads and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let wanted = ColoursWanted {
        pictures: words.pictures.clone(),
        region: words.region.clone(),
        cloth: words.cloth.clone(),
        undyed: words.undyed.clone(),
        shelf: words.shelf.clone(),
        today: words.today.map_or_else(super::today, Ok)?,
    };
    let teller = Teller::of_one();
    let found = colours_of(&wanted, &mut |progress| teller.tell(progress));
    teller.finish();
    let mut found = found?;
    if let Some(file) = &words.sheet {
        colours_sheet(&found, &wanted, file)?;
    }
    if let Some(file) = &words.into {
        let keep = KeepWanted {
            file: file.clone(),
            take: words.take.clone(),
            because: words.because.clone(),
            over: words.over,
            anew: words.anew,
            on_cloth_white: words.on_cloth_white,
            how: None,
        };
        found.kept = Some(keep_colours(&found, &wanted, &keep)?);
    }
    if json {
        say_json(&found)?;
    } else {
        tell(&found, words);
    }
    let open = found.flats.iter().any(|f| !f.questions.is_empty());
    Ok(if open { Ended::Undecided } else { Ended::Answered })
}

fn tell(found: &Coloured, words: &Words) {
    let [width, height] = found.size;
    let pieces = found.flats.iter().filter(|f| !f.ground).count();
    let mut count = if pieces == 1 { "one colour".to_owned() } else { format!("{pieces} colours") };
    if pieces < found.flats.len() {
        count += ", and the ground";
    }
    say_wrapped("", 0, &format!("{}, {width} × {height} pixels: {count}.", found.picture));
    say("");
    say(" no.  hex         L*     a*     b*   share  at         in words");
    for flat in &found.flats {
        line(flat);
    }
    let open = found
        .flats
        .iter()
        .flat_map(|f| f.questions.iter().map(|q| format!("number {} ({}): {q}", f.number, f.hex)));
    say_list("Two readings are open", &open.collect::<Vec<_>>());
    say_list("Light and shadow on them", &steps(found));
    let shaded = found.flats.iter().filter(|f| f.soft).map(|f| {
        let [dark, light] = &f.range;
        format!("number {}: from {dark} to {light}; most likely {} itself", f.number, f.hex)
    });
    say_list("Shaded softly", &shaded.collect::<Vec<_>>());
    let able = found.flats.iter().filter(|f| !f.ground).filter_map(|f| {
        let says = f.says(found.cloth.as_deref());
        (!says.is_empty()).then(|| format!("number {} ({}): {}", f.number, f.hex, says.join(" ")))
    });
    say_list("What cloth can do", &able.collect::<Vec<_>>());
    for other in &found.others {
        let pair = |p: &PairSeen| {
            format!(
                "number {}: {} here, {} there, {:.1} apart (ΔE00)",
                p.number, p.here, p.hex, p.apart
            )
        };
        let mut lines: Vec<String> = other.pairs.iter().map(pair).collect();
        lines.extend(other.alone());
        say_list(&format!("Held against {}", other.picture), &lines);
    }
    say_list("To bear in mind", &found.notes);
    if let Some(kept) = &found.kept {
        let pieces = kept.pieces.iter().map(|p| match &p.before {
            Some(before) => format!("{}: number {}, in place of {before}", p.id, p.number),
            None => format!("{}: number {}", p.id, p.number),
        });
        let head = if kept.begun { "Begun" } else { "Added to" };
        say_list(&format!("{head}: {}", kept.file), &pieces.collect::<Vec<_>>());
    }
    if let Some(file) = &words.sheet {
        say("");
        say(&format!("The page: {}", file.display()));
    }
}

/// Shades that stand in steps, of each flat; what is shaded softly is told by its range.
fn steps(found: &Coloured) -> Vec<String> {
    let stepped = |f: &&FlatSeen| !f.soft && !f.shades.is_empty();
    let of = |f: &FlatSeen| {
        let shades = f.shades.iter().filter(|s| s.share_pct >= LEAST_TOLD).take(MOST_TOLD);
        let each: Vec<String> =
            shades.map(|s| format!("{} {} ({:.1} %)", s.kind, s.hex, s.share_pct)).collect();
        (!each.is_empty()).then(|| format!("number {} ({}): {}", f.number, f.hex, each.join(", ")))
    };
    found.flats.iter().filter(stepped).filter_map(of).collect()
}

/// Smaller shades are in the JSON only, percent; and so are more than this of one flat.
const LEAST_TOLD: f64 = 0.1;
const MOST_TOLD: usize = 4;

fn line(flat: &FlatSeen) {
    let [l, a, b] = flat.lab;
    let [x, y] = flat.at;
    let ground = if flat.ground { " (ground?)" } else { "" };
    let words = flat.words.split(',').next().unwrap_or_default();
    say(&format!(
        "{:>4}  {}{}  {l:5.1} {a:6.1} {b:6.1} {:5.1} %  {:<9}  {words}{ground}",
        flat.number,
        chip(&flat.hex),
        flat.hex,
        flat.share_pct,
        format!("{x},{y}"),
    ));
}
