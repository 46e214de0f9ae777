//! Read: the colours of cloths in a photograph with a chart, each with its spread, what limits it, and how to record it.
//!
//! What can be trusted is decided in `picture`; here files are opened, words become places, and answers are rounded. Left
//! out: finding the cloths, which the maker does; writing into a workbook, which `swatch record` does.

use std::path::PathBuf;

use colour::{ClothPrior, describe};
use picture::{
    ASK_DRY, ChartKind, ClothPlace, ClothSeen, FoundChart, PhotoReading, PhotoRefusal, Picture,
    Taken, WeakKind, WeakLight,
};
use serde::Serialize;

use crate::Trouble;
use crate::asked::quoted;
use crate::photo_asked::{Words, open, own_chart, parted};
use crate::shown::{lab, on_screen, rounded};

/// What is asked.
#[derive(Debug, Clone)]
pub struct ReadWanted {
    /// The photograph.
    pub photo: PathBuf,
    /// Where cloths lie in it, in pixels: "left,top,width,height", or four corners.
    pub cloths: Vec<String>,
    /// The chart's four corners; none: it is looked for.
    pub corners: Option<String>,
    /// A text file with the chart's patches, row after row; none: the classic chart of 24.
    pub chart: Option<PathBuf>,
    /// Patches in a row of that chart.
    pub across: Option<usize>,
    /// A photograph of white paper in the same light from the same stand.
    pub white: Option<PathBuf>,
    /// The light, in words, to be recorded.
    pub light: Option<String>,
    /// What the numbers went through: "camera" or "linear".
    pub from: String,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotoRead {
    /// Always "read".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The photograph.
    pub photograph: String,
    /// Pixels across and down.
    pub size: [usize; 2],
    /// Where the chart lies.
    pub chart: ChartSeen,
    /// In the order they were asked for.
    pub cloths: Vec<ClothRead>,
    /// The photograph of white paper.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub white: Option<String>,
    /// The light, as it was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub light: Option<String>,
    /// Light under which cloth is read weakly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weak_light: Option<WeakSeen>,
    /// What limits the readings, in sentences.
    pub limits: Vec<String>,
    /// What is asked whatever the picture shows.
    pub question: &'static str,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

/// Where the chart lies.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChartSeen {
    /// Patches.
    pub patches: usize,
    /// Its corners in pixels, from the first patch on along its row and around.
    pub place: [[f64; 2]; 4],
    /// Pixels from one patch to the next, where it is least.
    pub pitch: f64,
}

/// Light under which cloth is read weakly.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeakSeen {
    /// "three-band" or "warm".
    pub kind: &'static str,
    /// Nine of ten cloths are read to this ΔE00 here.
    pub spread90: f64,
    /// The same in daylight.
    pub in_daylight: f64,
}

/// One cloth: its colour, or why it is not read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClothRead {
    /// Its number, from 1.
    pub number: usize,
    /// Four corners in pixels.
    pub place: [[f64; 2]; 4],
    /// Its colour.
    #[serde(flatten)]
    pub colour: Option<ColourRead>,
    /// Why it is not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// What to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
}

/// The colour of a cloth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColourRead {
    /// L*, a*, b* for D65 and the 10° observer.
    pub lab: [f64; 3],
    /// In words.
    pub words: String,
    /// As a screen shows it, by the likeliest cloth.
    pub hex: String,
    /// Nine of ten such readings lie within this ΔE00 of the truth.
    pub spread90: f64,
    /// The same as root mean square ΔE00, as a file of swatches has it.
    pub spread_rms: f64,
    /// The reading as it stands in a file of swatches, under its `[[swatch]]`.
    pub record: String,
}

/// Reads cloths in a photograph.
pub fn read_photo(wanted: &ReadWanted) -> Result<PhotoRead, Trouble> {
    let words = Words::of(wanted)?;
    let own = wanted.chart.as_deref().map(|file| own_chart(file, wanted.across)).transpose()?;
    let (chart, assumed) = match &own {
        Some((chart, assumed)) => (chart, *assumed),
        None => (ChartKind::classic(), 0),
    };
    let picture = open(&wanted.photo)?;
    let paper = wanted.white.as_deref().map(open).transpose()?;
    let places: Vec<ClothPlace> = words.cloths.iter().map(|c| ClothPlace::Corners(*c)).collect();
    let asked =
        picture::Asked { chart, corners: words.corners, cloths: &places, paper: paper.as_ref() };
    let name = wanted.photo.display().to_string();
    let bad = |why: PhotoRefusal| {
        let (says, hint) = parted(&why);
        Trouble::refused(format!("{name}: {says}"), hint)
    };
    if places.is_empty() {
        return Err(which_place(&name, &picture, &picture.take(&asked).map_err(bad)?));
    }
    let reading = picture.read_cloths(&asked, words.chain, ClothPrior::shipped()).map_err(bad)?;
    let cloths: Vec<ClothRead> = reading
        .cloths
        .iter()
        .zip(&words.cloths)
        .enumerate()
        .map(|(n, (seen, place))| cloth(n + 1, *place, seen, wanted))
        .collect();
    if cloths.iter().all(|c| c.colour.is_none()) {
        return Err(none_read(&name, &cloths));
    }
    Ok(PhotoRead {
        dyewright: "read",
        version: 1,
        photograph: name,
        size: [picture.width(), picture.height()],
        chart: chart_seen(&reading.taken.chart, chart.patches().len()),
        cloths,
        white: wanted.white.as_ref().map(|p| p.display().to_string()),
        light: wanted.light.clone(),
        weak_light: reading.weak.map(weak_seen),
        limits: limits(&reading, assumed, paper.is_some()),
        question: ASK_DRY,
        notes: vec![
            "The colour is for daylight (D65) and the 10° observer, reckoned from the chart: a chart that has faded or is \
             soiled reads wrongly without a sign of it."
                .to_owned(),
            "A cloth that glows under this light (optical brightener, fluorescent dye) is not read rightly.".to_owned(),
        ],
    })
}

/// The photograph is sound, and the maker is asked where the cloth lies.
fn which_place(name: &str, picture: &Picture, taken: &Taken) -> Trouble {
    let corners = taken.chart.corners();
    let end =
        |k: usize, of: fn(f64, f64) -> f64, from: f64| corners.iter().map(|c| c[k]).fold(from, of);
    let [l, t] = [0, 1].map(|k| end(k, f64::min, f64::MAX));
    let [r, b] = [0, 1].map(|k| end(k, f64::max, f64::MIN));
    Trouble::refused(
        format!(
            "{name} is sound ({} × {} pixels, the chart lies from {l:.0},{t:.0} to {r:.0},{b:.0}), but where the cloth lies \
             was not said",
            picture.width(),
            picture.height()
        ),
        "give a place that is all cloth, without edges and folds: left, top, width and height in pixels from the picture's \
         upper left, --cloth \"120,80,200,150\"; one --cloth for each",
    )
}

/// No cloth could be read.
fn none_read(name: &str, cloths: &[ClothRead]) -> Trouble {
    let says: Vec<String> = cloths
        .iter()
        .filter_map(|c| Some(format!("{name}, cloth {}: {}", c.number, c.refused.as_ref()?)))
        .collect();
    let mut help: Vec<&str> = cloths.iter().filter_map(|c| c.help.as_deref()).collect();
    help.dedup();
    Trouble::refused(says.join("\n"), help.join("; "))
}

fn cloth(
    number: usize,
    place: [[f64; 2]; 4],
    seen: &Result<ClothSeen, PhotoRefusal>,
    wanted: &ReadWanted,
) -> ClothRead {
    let place = place.map(|p| p.map(|v| rounded(v, 0)));
    match seen {
        Ok(seen) => ClothRead {
            number,
            place,
            colour: Some(colour_read(seen, wanted)),
            refused: None,
            help: None,
        },
        Err(why) => {
            let (says, help) = parted(why);
            ClothRead { number, place, colour: None, refused: Some(says), help: Some(help) }
        }
    }
}

fn colour_read(seen: &ClothSeen, wanted: &ReadWanted) -> ColourRead {
    let shown = lab(seen.lab);
    // Never none: what is printed as 0.0 would be taken for certain.
    let spread = |v: f64| rounded(v, 1).max(0.1);
    let spread_rms = spread(seen.rms());
    let [l, a, b] = shown;
    // Cloths of one photograph share what bias there is: they are of one job.
    let job = wanted.photo.file_name().unwrap_or_default().to_string_lossy();
    let light = wanted.light.as_ref().map(|l| format!("light = {}\n", quoted(l).trim()));
    let record = format!(
        "[[swatch.reading]]\ncolour = {{ lab = [{l:.1}, {a:.1}, {b:.1}] }}\nspread = {spread_rms:.1}\n\
         by = \"photograph\"\njob = {}\n{}",
        quoted(&job).trim(),
        light.unwrap_or_default()
    );
    ColourRead {
        lab: shown,
        words: describe(seen.lab),
        hex: on_screen(&seen.assumed).0,
        spread90: spread(seen.within90),
        spread_rms,
        record,
    }
}

fn chart_seen(found: &FoundChart, patches: usize) -> ChartSeen {
    ChartSeen {
        patches,
        place: found.corners().map(|p| p.map(|v| rounded(v, 0))),
        pitch: rounded(found.pitch(), 0),
    }
}

fn weak_seen(weak: WeakLight) -> WeakSeen {
    WeakSeen {
        kind: match weak.kind {
            WeakKind::ThreeBand => "three-band",
            WeakKind::Warm => "warm",
        },
        spread90: rounded(weak.within90, 1),
        in_daylight: rounded(weak.in_daylight, 1),
    }
}

/// What limits the readings.
fn limits(reading: &PhotoReading, assumed: usize, paper: bool) -> Vec<String> {
    let mut limits = vec![];
    if let Some(weak) = &reading.weak {
        limits.push(format!("Weak light: {weak}."));
    }
    let all = reading.taken.patches.len();
    let lost = reading.taken.patches.iter().filter(|p| Taken::is_lost(p)).count();
    if lost > 0 {
        limits.push(format!(
            "{lost} of the chart's {all} patches are too dark or too bright and were left out."
        ));
    }
    if assumed > 0 {
        limits.push(format!(
            "{assumed} of the chart's {all} patches are known by their colour only; their spectra are the likeliest ones, \
             which is assumed."
        ));
    }
    if !paper {
        limits.push(
            "How the light falls off towards the cloth is reckoned from the chart alone; a photograph of white paper from \
             the same stand (--white) shows it."
                .to_owned(),
        );
    }
    limits
}
