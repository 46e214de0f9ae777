//! Read: the colours of cloths in a photograph with a chart, a card of dyed cloths or a white, each with its spread, what
//! limits it, and how to record it; how they differ from one of them; the spectrum of one whose dyes are named.
//!
//! What can be trusted is decided in `picture`; here answers are put together and rounded. Left out: finding the cloths,
//! which the maker does; writing into a workbook, which `swatch record` does.

use std::path::PathBuf;

use colour::describe;
use picture::{
    ASK_DRY, Calibration, ClothSample, ClothSeen, FoundChart, PhotoRefusal, WeakKind, WeakLight,
};
use serde::Serialize;

use crate::Trouble;
use crate::asked::quoted;
use crate::photo_asked::{Words, open, parted};
use crate::photo_differ::{DifferenceRead, differences};
use crate::photo_dyes::{Dyed, dyed};
use crate::photo_known::{By, Measured, measured};
use crate::shown::{lab, on_screen, rounded};

/// What is asked.
#[derive(Debug, Clone, Default)]
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
    /// Places of the cloth that the others are held against: one, or two on both sides of them.
    pub against: Vec<String>,
    /// A text file with the values of the maker's own dyed cloths that lie in the picture in place of a chart.
    pub card: Option<PathBuf>,
    /// The same out of the workbook: codes of swatches.
    pub swatches: Vec<String>,
    /// Where those cloths lie, each by itself; none: in rows, `across` in each, within `corners`.
    pub at: Vec<String>,
    /// The place of a white without brightener in place of a chart.
    pub white_at: Option<String>,
    /// What white it is: a word, or its colour.
    pub white_is: Option<String>,
    /// The kind of light, where only a white is known.
    pub lamp: Option<String>,
    /// Dyes that are in the cloths, by their ids.
    pub dyes: Vec<String>,
    /// The same: those of this swatch of the workbook.
    pub dyes_of: Option<String>,
    /// The cloth they are on.
    pub on: Option<String>,
    /// How it looked undyed.
    pub undyed: Option<String>,
    /// The shelf the dyes stand on.
    pub shelf: Option<PathBuf>,
    /// The workbook; none: the one in the folder.
    pub book: Option<PathBuf>,
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
    /// Where the chart lies; none where it was read by a card of dyed cloths or a white.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chart: Option<ChartSeen>,
    /// The card of dyed cloths it was read by.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub card: Option<CardUsed>,
    /// The white it was read by, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub white_is: Option<String>,
    /// In the order they were asked for.
    pub cloths: Vec<ClothRead>,
    /// How each differs from the cloth it is held against; empty where none was named.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub differences: Vec<DifferenceRead>,
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

/// Dyed cloths of known values that a photograph was read by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CardUsed {
    /// How many there are.
    pub cloths: usize,
    /// Names of those left out, each with the reason.
    pub left_out: Vec<String>,
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
    /// The same with the dyes that are said to be in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with_dyes: Option<DyedRead>,
    /// Where the edge of a shadow may lie between the chart and it: how much more light lies beyond it, percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge_between_pct: Option<f64>,
    /// Why it is not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// What to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
}

/// The colour and spectrum of a cloth whose dyes are named.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DyedRead {
    /// The dyes, by their ids.
    pub dyes: Vec<String>,
    /// The undyed cloth, in words.
    pub undyed: String,
    /// L*, a*, b* for D65 and the 10° observer.
    pub lab: [f64; 3],
    /// Nine of ten such readings lie within this ΔE00 of the truth, if these dyes are in it.
    pub spread90: f64,
    /// Reflectance from 400 to 700 nm by 10 nm.
    pub spectrum: Vec<f64>,
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
    let dyed = dyed(wanted)?;
    let picture = open(&wanted.photo)?;
    let paper = wanted.white.as_deref().map(open).transpose()?;
    let name = wanted.photo.display().to_string();
    let read = measured(wanted, &words, &picture, paper.as_ref())?;
    let many = words.cloths.len();
    if many == 0 {
        return Err(Trouble::refused(
            format!("{name}: where the cloth lies was not said"),
            "give a place that is all cloth: left, top, width and height in pixels, --cloth \"120,80,200,150\"",
        ));
    }
    let cloths: Vec<ClothRead> = read
        .colours
        .iter()
        .zip(&read.samples)
        .zip(&words.cloths)
        .enumerate()
        .map(|(n, ((seen, sample), place))| {
            let seen = (seen, sample, dyed.as_ref());
            cloth(n + 1, *place, seen, wanted, &read.calibration)
        })
        .collect();
    if cloths.iter().all(|c| c.colour.is_none()) {
        return Err(none_read(&name, &cloths));
    }
    let (own, against) = read.samples.split_at(many.min(read.samples.len()));
    Ok(PhotoRead {
        dyewright: "read",
        version: 1,
        photograph: name,
        size: [picture.width(), picture.height()],
        chart: match &read.by {
            By::Chart { found, patches, .. } => Some(chart_seen(found, *patches)),
            By::Cloths { .. } | By::White { .. } => None,
        },
        card: match &read.by {
            By::Cloths { all, left_out, .. } => Some(CardUsed {
                cloths: *all,
                left_out: left_out.iter().map(|(name, why)| format!("{name}: {why}")).collect(),
            }),
            By::Chart { .. } | By::White { .. } => None,
        },
        white_is: match &read.by {
            By::White { words, .. } => Some(words.clone()),
            By::Chart { .. } | By::Cloths { .. } => None,
        },
        cloths,
        differences: differences(&read.calibration, own, against),
        white: wanted.white.as_ref().map(|p| p.display().to_string()),
        light: wanted.light.clone(),
        weak_light: read.weak.map(weak_seen),
        limits: [edges(&read, many), limits(&read, paper.is_some())].concat(),
        question: ASK_DRY,
        notes: notes(&read.by, dyed.is_some()),
    })
}

fn notes(by: &By, dyes: bool) -> Vec<String> {
    let ages = match by {
        By::Chart { .. } => "the chart: a chart that has faded or is soiled reads",
        By::Cloths { .. } => "the card: cloths that have faded or are soiled read",
        By::White { .. } => "the white: one that has yellowed, is soiled or shines through reads",
    };
    let mut notes = vec![
        format!("The colour is for daylight (D65) and the 10° observer, reckoned from {ages} wrongly without a sign of it."),
        "A cloth that glows under this light (optical brightener, fluorescent dye) is not read rightly.".to_owned(),
    ];
    if dyes {
        notes.push(
            "The spectrum holds only if the dyes named, and no others, are in the cloth; what is recorded is the reading \
             without them, so that dyes do not teach themselves."
                .to_owned(),
        );
    }
    notes
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

type OneSeen<'a> =
    (&'a Result<ClothSeen, PhotoRefusal>, &'a Result<ClothSample, PhotoRefusal>, Option<&'a Dyed>);

fn cloth(
    number: usize,
    place: [[f64; 2]; 4],
    (seen, sample, dyed): OneSeen<'_>,
    wanted: &ReadWanted,
    calibration: &Calibration,
) -> ClothRead {
    let place = place.map(|p| p.map(|v| rounded(v, 0)));
    let not = |(says, help): (String, String)| (Some(says), Some(help));
    let edge_between_pct = sample.as_ref().ok().and_then(edge_pct);
    match seen {
        Ok(seen) => {
            let with = match (dyed, sample) {
                (Some(dyed), Ok(sample)) => {
                    Some(calibration.try_dyed(&sample.sample.seen(), &dyed.shapes))
                }
                _ => None,
            };
            let (with_dyes, why) = match (with, dyed) {
                (Some(Ok(found)), Some(dyed)) => (Some(dyed_read(&found, dyed)), None),
                (Some(Err(why)), _) => (None, Some(why)),
                _ => (None, None),
            };
            let (refused, help) = why.map_or((None, None), |why| not(parted(&why.into())));
            let colour = Some(colour_read(seen, wanted));
            ClothRead { number, place, colour, with_dyes, edge_between_pct, refused, help }
        }
        Err(why) => {
            let (refused, help) = not(parted(why));
            let (colour, with_dyes) = (None, None);
            ClothRead { number, place, colour, with_dyes, edge_between_pct, refused, help }
        }
    }
}

/// How much more light lies beyond an edge that was seen before a cloth, percent.
fn edge_pct(sample: &ClothSample) -> Option<f64> {
    Some(rounded(100.0 * (colour::maths::exp(sample.edge_between?) - 1.0), 0))
}

/// What is asked about such an edge: no picture tells a shadow on a table from a sheet of paper of the table's colour.
fn edges(read: &Measured, own: usize) -> Vec<String> {
    let asked = |(n, sample): (usize, &Result<ClothSample, PhotoRefusal>)| {
        let pct = edge_pct(sample.as_ref().ok()?)?;
        let which = if n < own {
            format!("cloth {}", n + 1)
        } else {
            "the cloth it is held against".to_owned()
        };
        let (how, too) = if pct < 0.0 { ("darker", "dark") } else { ("lighter", "light") };
        Some(format!(
            "Between the chart and {which} the ground turns {:.0} % {how} along a line and keeps its colour: is that the edge \
             of a shadow? Then {which} is read too {too} by about as much; lay chart and cloth in one light and photograph \
             again. If it is the edge of a paper or of the table, nothing is wrong.",
            pct.abs()
        ))
    };
    read.samples.iter().enumerate().filter_map(asked).collect()
}

fn dyed_read(seen: &ClothSeen, dyed: &Dyed) -> DyedRead {
    DyedRead {
        dyes: dyed.dyes.clone(),
        undyed: dyed.undyed.clone(),
        lab: lab(seen.lab),
        spread90: rounded(seen.within90, 1).max(0.1),
        spectrum: seen.assumed.values().iter().map(|r| rounded(*r, 4)).collect(),
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

pub(crate) fn chart_seen(found: &FoundChart, patches: usize) -> ChartSeen {
    ChartSeen {
        patches,
        place: found.corners().map(|p| p.map(|v| rounded(v, 0))),
        pitch: rounded(found.pitch(), 0),
    }
}

pub(crate) fn weak_seen(weak: WeakLight) -> WeakSeen {
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
fn limits(read: &Measured, paper: bool) -> Vec<String> {
    let mut limits = vec![];
    if let Some(weak) = &read.weak {
        limits.push(format!("Weak light: {weak}."));
    }
    match &read.by {
        By::Chart { patches, lost, assumed, read, .. } => {
            if *lost > 0 {
                let were = if *lost == 1 { ["is", "was"] } else { ["are", "were"] };
                limits.push(format!(
                    "{lost} of the chart's {patches} patches {} too dark or too bright and {} left out.",
                    were[0], were[1]
                ));
            }
            if *assumed > 0 {
                limits.push(format!(
                    "{assumed} of the chart's {patches} patches are known by their colour only; their spectra are the \
                     likeliest ones, which is assumed."
                ));
            }
            if *read {
                limits.push(
                    "The chart's values were read from a photograph and not measured: how far they may be off is part of the \
                     spread stated."
                        .to_owned(),
                );
            }
        }
        By::Cloths { all, left_out, assumed } => {
            for (name, why) in left_out {
                limits.push(format!("Cloth {name} of the card was left out: {why}."));
            }
            if *assumed > 0 {
                limits.push(format!(
                    "{assumed} of the card's {all} cloths are known by their colour only; their spectra are the likeliest \
                     ones, which is assumed."
                ));
            }
        }
        By::White { told, developed, .. } => {
            limits.push(
                "One white says neither which camera this is nor how it sees colours: the spread is several times that of a \
                 chart. How the light falls off towards the cloth is not known either; lay the white against it."
                    .to_owned(),
            );
            if *developed {
                limits.push(
                    "Most cameras and telephones make colours stronger before they save them, by a correction that one \
                     white does not show: the spread reckons with it."
                        .to_owned(),
                );
            }
            if !told {
                limits.push(
                    "The kind of light was not told, and is reckoned with anything from daylight to a tube; --lamp daylight \
                     makes the spread smaller where it was daylight."
                        .to_owned(),
                );
            }
            return limits;
        }
    }
    let cut_off = read.samples.iter().flatten().filter(|s| s.is_cut_off()).count();
    if cut_off > 0 {
        limits.push(format!(
            "{} so strong in colour that a channel of the picture stands at nothing: what lies below it is not known, and the \
             spread reckons with it.",
            if cut_off == 1 { "A cloth is".to_owned() } else { format!("{cut_off} cloths are") }
        ));
    }
    if !paper {
        let by = if matches!(read.by, By::Chart { .. }) { "chart" } else { "card" };
        limits.push(format!(
            "How the light falls off towards the cloth is reckoned from the {by} alone; a photograph of white paper from \
             the same stand (--white) shows it."
        ));
    }
    limits
}
