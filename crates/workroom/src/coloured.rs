//! Colours: the flat colours of reference artwork, and what cloth and a shelf can do about each.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use colour::{ClothPrior, Lab, Light, Observer, Screen, Shown, Weights, describe, name};
use picture::{Flat, Flats, Open, Picture, Region, ShadeKind, paired};
use plan::Progress;
use plan::document::ReachSeen;
use serde::Serialize;
use units::Day;

use crate::coloured_kept::ColoursKept;
use crate::coloured_reach::ask_shelf;
use crate::disk::at_most;
use crate::{Trouble, shown};

/// What is asked.
#[derive(Debug, Clone)]
pub struct ColoursWanted {
    /// Pictures of one character, best first: the maker's own order. The first is the one whose colours hold, and the
    /// others are held against it.
    pub pictures: Vec<PathBuf>,
    /// A part of the first picture, "x,y,width,height" in pixels.
    pub region: Option<String>,
    /// The cloth whose reach is asked; none: not asked.
    pub cloth: Option<String>,
    /// That cloth undyed; none: white.
    pub undyed: Option<String>,
    /// A shelf file; none: the starter shelf.
    pub shelf: Option<PathBuf>,
    /// The day it is asked on.
    pub today: Day,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Coloured {
    /// Always "colours".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The picture whose colours hold.
    pub picture: String,
    /// Pixels across and down.
    pub size: [usize; 2],
    /// Left, top, width, height of what was looked at.
    pub region: [usize; 4],
    /// Largest first.
    pub flats: Vec<FlatSeen>,
    /// Share of lines, edges and small things, percent.
    pub left_aside_pct: f64,
    /// Share that is cut out, percent.
    pub cut_out_pct: f64,
    /// The other pictures, held against the first.
    pub others: Vec<OtherPicture>,
    /// What the reach was asked of, in words; none where it was not asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloth: Option<String>,
    /// "starter" or the shelf file, where the reach was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shelf: Option<String>,
    /// What to bear in mind.
    pub notes: Vec<String>,
    /// What was written into a costume file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kept: Option<ColoursKept>,
}

/// A flat.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlatSeen {
    /// Its number, from 1.
    pub number: usize,
    /// As a screen shows it.
    pub hex: String,
    /// L*, a*, b* for D65 and the 2° observer.
    pub lab: [f64; 3],
    /// In words.
    pub words: String,
    /// Share with its shades, percent.
    pub share_pct: f64,
    /// Share of the base alone, percent.
    pub base_pct: f64,
    /// A pixel well inside of it.
    pub at: [usize; 2],
    /// Left, top, width, height.
    pub bounds: [usize; 4],
    /// Its shades, largest first.
    pub shades: Vec<ShadeSeen>,
    /// From its darkest shade to its lightest, as a screen shows them; both the base where there are none.
    pub range: [String; 2],
    /// Whether the shading runs softly.
    pub soft: bool,
    /// Whether it is likely the ground and no piece.
    pub ground: bool,
    /// Questions left open, in words.
    pub questions: Vec<String>,
    /// Whether any cloth can show it, by the likeliest cloth of the colour.
    pub cloth_can: bool,
    /// That cloth's L*, a*, b* for D65 and the 10° observer: what a dyer aims at; assumed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aim: Option<[f64; 3]>,
    /// Whether this shelf on this cloth reaches it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<ReachSeen>,
    /// Why there is no reach, where it was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_reach: Option<String>,
    /// With the picture's white brought to the cloth's white.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub anchored: Option<Anchored>,
}

/// A shade.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShadeSeen {
    /// "shadow" or "highlight".
    pub kind: &'static str,
    /// As a screen shows it.
    pub hex: String,
    /// Share, percent.
    pub share_pct: f64,
}

/// A flat with the picture's white brought to the cloth's white.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Anchored {
    /// L*, a*, b* for D65 and the 10° observer.
    pub lab: [f64; 3],
    /// As a screen shows it.
    pub hex: String,
    /// Whether this shelf on this cloth reaches it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<ReachSeen>,
}

/// Another picture, held against the first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OtherPicture {
    /// The picture.
    pub picture: String,
    /// Flats of both.
    pub pairs: Vec<PairSeen>,
    /// Numbers of flats of the first picture without a like.
    pub only_first: Vec<usize>,
    /// Flats of the other without a like.
    pub only_other: Vec<String>,
}

/// A pair.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairSeen {
    /// The first picture's flat.
    pub number: usize,
    /// It as a screen shows it.
    pub here: String,
    /// The other's as a screen shows it.
    pub hex: String,
    /// ΔE00 between them.
    pub apart: f64,
}

/// Reads the flats of pictures, and asks cloth and shelf.
pub fn colours_of(
    wanted: &ColoursWanted,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Coloured, Trouble> {
    let Some(first) = wanted.pictures.first() else {
        return Err(Trouble::refused("no picture was named", "name one: colours sheet.png"));
    };
    let region = wanted.region.as_deref().map(region).transpose()?;
    let picture = open(first)?;
    let refused = |path: &Path, e: &picture::Refusal| {
        told(path, e, "a part of the picture is looked at with --region X,Y,W,H")
    };
    let flats = picture.try_flats(region).map_err(|e| refused(first, &e))?;
    let mut others = vec![];
    for path in &wanted.pictures[1..] {
        let of = open(path)?.try_flats(None).map_err(|e| refused(path, &e))?;
        others.push(other(path, &flats, &of));
    }
    let mut seen: Vec<FlatSeen> =
        flats.all.iter().enumerate().map(|(i, f)| flat_seen(i, f, &flats)).collect();
    let mut notes = vec![];
    if wanted.cloth.is_some() {
        ask_shelf(wanted, &mut seen, &mut notes, tell)?;
    }
    if flats.all.iter().any(|f| f.is_ground) {
        notes.push(
            "What is most of the picture's edge is taken for the ground, and for no piece."
                .to_owned(),
        );
    }
    notes.push(
        "A screen's colour is no cloth: the cloth meant is the likeliest one that looks so, which is assumed."
            .to_owned(),
    );
    let Region { x, y, width, height } = flats.region;
    Ok(Coloured {
        dyewright: "colours",
        version: 1,
        picture: first.display().to_string(),
        size: [picture.width(), picture.height()],
        region: [x, y, width, height],
        flats: seen,
        left_aside_pct: percent(flats.left_aside),
        cut_out_pct: percent(flats.cut_out),
        others,
        cloth: wanted.cloth.clone(),
        shelf: wanted.cloth.as_ref().map(|_| {
            wanted.shelf.as_ref().map_or_else(|| "starter".to_owned(), |p| p.display().to_string())
        }),
        notes,
        kept: None,
    })
}

/// What is wrong, and what to do: most refusals of `picture` have both, with a colon between.
fn told(path: &Path, why: &picture::Refusal, hint: &str) -> Trouble {
    let whole = why.to_string();
    let (says, help) = whole.rsplit_once(": ").unwrap_or((&whole, hint));
    Trouble::refused(format!("{}: {says}", path.display()), help)
}

fn open(path: &Path) -> Result<Picture, Trouble> {
    let bytes = at_most(path, picture::LARGEST_FILE)?;
    Picture::try_read(&bytes)
        .map_err(|e| told(path, &e, "a JPEG, PNG, WebP or TIFF of drawn artwork is wanted"))
}

fn region(given: &str) -> Result<Region, Trouble> {
    let numbers: Result<Vec<usize>, _> = given.split(',').map(|n| n.trim().parse()).collect();
    match numbers.as_deref() {
        Ok([x, y, width, height]) => Ok(Region { x: *x, y: *y, width: *width, height: *height }),
        _ => Err(Trouble::refused(
            format!("--region {given} is not four whole numbers with commas between"),
            "write left, top, width and height in pixels: --region 120,80,400,300",
        )),
    }
}

fn other(path: &Path, first: &Flats, of: &Flats) -> OtherPicture {
    let both = paired(first, of);
    let hex = |i: usize| of.all[i].screen.to_hex();
    OtherPicture {
        picture: path.display().to_string(),
        pairs: both
            .pairs
            .iter()
            .map(|p| PairSeen {
                number: p.first + 1,
                here: first.all[p.first].screen.to_hex(),
                hex: hex(p.other),
                apart: shown::rounded(p.apart, 1),
            })
            .collect(),
        only_first: both.only_first.iter().map(|i| i + 1).collect(),
        only_other: both.only_other.iter().map(|i| hex(*i)).collect(),
    }
}

fn flat_seen(place: usize, flat: &Flat, all: &Flats) -> FlatSeen {
    let white = Weights::of(Light::D65, Observer::Two).white();
    let likely = ClothPrior::shipped().screen_colour_to_cloth(flat.lab.to_xyz(white)).ok();
    let aim = likely.as_ref().map(|l| shown::lab(Weights::reference().lab(&l.bands)));
    let hex = |lab: Lab| Shown::of_lab2(Screen::Srgb, lab).colour.to_hex();
    let question = |open: &Open| match open {
        Open::ShadeOf(of) => {
            let whole = &all.all[*of];
            format!(
                "A colour of its own, or a shade of number {} ({}, {})?",
                of + 1,
                whole.screen.to_hex(),
                name(whole.lab)
            )
        }
        Open::BaseMayBe(lab) => format!(
            "The shading leaves open which is the colour itself: {} here, or {} ({})?",
            flat.screen.to_hex(),
            hex(*lab),
            name(*lab)
        ),
    };
    let [left, top, right, bottom] = flat.bounds;
    FlatSeen {
        number: place + 1,
        hex: flat.screen.to_hex(),
        lab: shown::lab(flat.lab),
        words: describe(flat.lab),
        share_pct: percent(flat.share),
        base_pct: percent(flat.base_share),
        at: flat.at,
        bounds: [left, top, right - left, bottom - top],
        shades: flat
            .shades
            .iter()
            .map(|s| ShadeSeen {
                kind: match s.kind {
                    ShadeKind::Shadow => "shadow",
                    ShadeKind::Highlight => "highlight",
                },
                hex: hex(s.lab),
                share_pct: percent(s.share),
            })
            .collect(),
        range: flat.range().map(hex),
        soft: flat.is_soft,
        ground: flat.is_ground,
        questions: flat.open.iter().map(question).collect(),
        cloth_can: likely.is_some(),
        aim,
        reach: None,
        no_reach: None,
        anchored: None,
    }
}

impl FlatSeen {
    /// What cloth, and this shelf on this cloth, can do about it, in sentences.
    #[must_use]
    pub fn says(&self, cloth: Option<&str>) -> Vec<String> {
        let mut says = vec![];
        if !self.cloth_can {
            says.push("No cloth without glow can be so light and so strong a colour.".to_owned());
        }
        let Some(cloth) = cloth else { return says };
        let reached = |reach: &ReachSeen| match reach.within {
            true => "this shelf reaches it".to_owned(),
            false => {
                format!("{:.1} (ΔE00) away is the nearest, {}", reach.gap, reach.nearest.words)
            }
        };
        match (&self.reach, &self.no_reach) {
            (Some(reach), _) => says.push(format!("On {cloth}: {}.", reached(reach))),
            (None, Some(why)) => says.push(format!("On {cloth}: {why}")),
            (None, None) => {}
        }
        if let Some(Anchored { lab: [l, a, b], hex, reach }) = &self.anchored {
            let of = reach.as_ref().map_or_else(String::new, |r| format!("; {}", reached(r)));
            says.push(format!("Beside this cloth's white: L* {l}, a* {a}, b* {b}, {hex}{of}."));
        }
        says
    }
}

impl OtherPicture {
    /// What only one of the two pictures has, in sentences.
    #[must_use]
    pub fn alone(&self) -> Vec<String> {
        let here = self.only_first.iter().map(|n| format!("Number {n} is only here."));
        here.chain(self.only_other.iter().map(|hex| format!("{hex} is only there."))).collect()
    }
}

fn percent(share: f64) -> f64 {
    shown::rounded(100.0 * share, 1)
}
