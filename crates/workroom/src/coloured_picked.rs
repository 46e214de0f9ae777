//! A colour picked off one of a costume's pictures, by a point, a frame or a suggested flat, and made a piece's target;
//! and one picture chosen among several, with the reason.
//!
//! What is written is written by the functions of `colours --into`, and kept so that it can be taken back. Left out:
//! which flats there are, and what a shelf can do, which `colours` answers.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::PoisonError;

use colour::{
    ClothPrior, Lab, Light, Observer, Screen, ScreenColour, Shown, Weights, ciede2000, describe,
};
use costume::read_costume;
use lore::Lore;
use picture::{Picture, Region, Spot};
use plan::Progress;
use units::Day;

use crate::coloured_kept::{freeze, parsed, with_colours};
use crate::coloured_reach::ask_shelf;
use crate::costume_edited::{CHANGING, changed, free_id, mark_of};
use crate::costume_kept::Kept;
use crate::disk::{Folder, at_most, text, write_whole};
use crate::photo_asked::parted;
use crate::pictures_beside::{PictureFound, picture_numbered, pictures_of};
use crate::piece_written::pieces_as_written;
use crate::{
    Change, Coloured, ColoursWanted, FlatSeen, KeepWanted, PieceAsWritten, PieceField, Recording,
    Trouble, colours_of, shown,
};

/// Where a colour is picked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PickPlace {
    /// At a point, from the left and from the top.
    Point([usize; 2]),
    /// In a frame: left, top, width, height.
    Frame([usize; 4]),
    /// A suggested flat, by its number.
    Flat(usize),
}

/// What is picked, and what is asked about it.
#[derive(Debug, Clone)]
pub struct PickWanted {
    /// The costume file.
    pub file: PathBuf,
    /// The picture, by its number.
    pub picture: usize,
    /// Where.
    pub place: PickPlace,
    /// The piece whose cloth, with the costume's shelf, is asked whether it reaches the colour.
    pub piece: Option<String>,
    /// The day it is asked on.
    pub today: Day,
}

/// The flats of a costume's picture, its other pictures held against it.
///
/// # Errors
/// No such picture; one that cannot be read, or has no flat colours.
pub fn suggest_colours(file: &Path, number: usize, today: Day) -> Result<Coloured, Trouble> {
    let all = pictures_of(file)?;
    let first = picture_numbered(file, number)?;
    let others = all.iter().filter(|one| one.number != number);
    let mut wanted = asked_of(&first, today);
    let mut found = colours_of(&wanted, &mut go_on)?;
    found.picture.clone_from(&first.name);
    for other in others {
        // One that cannot be read, or has no flats, is no reason to show none of this one's.
        wanted.pictures = vec![first.path.clone(), other.path.clone()];
        match colours_of(&wanted, &mut go_on) {
            Ok(both) => found.others.extend(both.others.into_iter().map(|mut held| {
                held.picture.clone_from(&other.name);
                held
            })),
            Err(why) => found.notes.push(format!("{} is not held against it: {why}", other.name)),
        }
    }
    Ok(found)
}

fn go_on(_: Progress<'_>) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn asked_of(picture: &PictureFound, today: Day) -> ColoursWanted {
    ColoursWanted {
        pictures: vec![picture.path.clone()],
        region: None,
        cloth: None,
        undyed: None,
        shelf: None,
        today,
    }
}

/// A picked colour: the flats of what was picked, one or (of a frame that holds several) more.
#[derive(Debug, Clone)]
pub struct Picked {
    /// The colours, as `colours` has them; the first is the one meant.
    pub colours: Coloured,
    /// How it was picked, as it is written beside the target.
    pub how: String,
    /// What was asked of the piece's cloth; kept for what is written.
    asked: ColoursWanted,
}

/// Picks a colour, and asks the piece's cloth and the costume's shelf where one is named.
///
/// # Errors
/// No such picture, flat or piece; a place outside of the picture or in what is cut out; a search that was stopped.
pub fn pick_colour(
    wanted: &PickWanted,
    suggested: Option<&Coloured>,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Picked, Trouble> {
    let picture = picture_numbered(&wanted.file, wanted.picture)?;
    let mut asked = asked_of(&picture, wanted.today);
    let (mut colours, how) = match wanted.place {
        PickPlace::Flat(number) => of_flat(&picture, number, suggested)?,
        PickPlace::Point(at) => of_spot(&picture, at, None, suggested)?,
        PickPlace::Frame([x, y, width, height]) => {
            let frame = Region { x, y, width, height };
            of_spot(&picture, [x + width / 2, y + height / 2], Some(frame), suggested)?
        }
    };
    if let Some(id) = &wanted.piece {
        let piece = piece(&wanted.file, id)?;
        asked.cloth = Some(piece.cloth.clone());
        asked.undyed = Some(piece.undyed).filter(|u| !u.is_empty());
        asked.shelf = shelf_of(&wanted.file)?;
        if piece.cloth != "unknown" && !piece.cloth.is_empty() {
            colours.cloth = Some(piece.cloth);
            ask_shelf(&asked, &mut colours.flats, &mut colours.notes, tell)?;
        }
    }
    Ok(Picked { colours, how, asked })
}

fn piece(file: &Path, id: &str) -> Result<PieceAsWritten, Trouble> {
    let all = pieces_as_written(file)?;
    all.into_iter().find(|(own, _)| own == id).map(|(_, piece)| piece).ok_or_else(|| {
        let says = format!("there is no piece \"{id}\" in the costume file");
        Trouble::refused(says, "choose one that is there")
    })
}

fn shelf_of(file: &Path) -> Result<Option<PathBuf>, Trouble> {
    let read = read_costume(
        &file.display().to_string(),
        &text(file)?,
        Lore::shipped(),
        &Folder::of(file),
    )?;
    Ok(read.shelf.map(|written| Folder::of(file).path(&written)))
}

fn of_flat(
    picture: &PictureFound,
    number: usize,
    suggested: Option<&Coloured>,
) -> Result<(Coloured, String), Trouble> {
    let none = || {
        let says = format!("there is no colour number {number} suggested of {}", picture.name);
        Trouble::refused(says, "choose one of those shown, or point at the place")
    };
    let all = suggested.ok_or_else(none)?;
    let flat = all.flats.iter().find(|f| f.number == number).ok_or_else(none)?;
    let mut colours = all.clone();
    colours.flats = vec![flat.clone()];
    let [x, y] = flat.at;
    Ok((colours, format!("as number {number} at {x},{y} of {}", picture.name)))
}

fn of_spot(
    picture: &PictureFound,
    at: [usize; 2],
    frame: Option<Region>,
    suggested: Option<&Coloured>,
) -> Result<(Coloured, String), Trouble> {
    let refused = |e: picture::Refusal| {
        let (says, hint) = parted(&e.into());
        Trouble::refused(format!("{}: {says}", picture.name), hint)
    };
    let held = at_most(&picture.path, picture::LARGEST_FILE)?;
    let read = Picture::try_read(&held).map_err(refused)?;
    let [x, y] = at;
    let spot = match frame {
        None => read.try_point(x, y),
        Some(frame) => read.try_frame(frame),
    };
    let spot = spot.map_err(refused)?;
    let size = [read.width(), read.height()];
    let seen = spot_seen(&spot, at, size, suggested);
    let Region { x: left, y: top, width, height } = spot.region;
    let how = match frame {
        None => format!("at {x},{y} of {}", picture.name),
        Some(_) => {
            format!("from {left},{top} to {},{} of {}", left + width, top + height, picture.name)
        }
    };
    let colours = Coloured {
        dyewright: "colours",
        version: 1,
        picture: picture.name.clone(),
        size,
        region: [left, top, width, height],
        flats: vec![seen],
        left_aside_pct: 0.0,
        cut_out_pct: 0.0,
        others: suggested.map(|s| s.others.clone()).unwrap_or_default(),
        cloth: None,
        shelf: None,
        notes: vec![
            "A screen's colour is no cloth: the cloth meant is the likeliest one that looks so, which is assumed."
                .to_owned(),
        ],
        kept: None,
    };
    Ok((colours, how))
}

/// ΔE00 within which a place is of a suggested flat, or of a shade of it (judgement: what one panel differs by).
const SAME: f64 = 3.0;
/// Difference of L* from the darkest tenth to the lightest from which on a place is shaded (judgement: two steps that
/// an eye tells apart at a glance).
const SHADED: f64 = 6.0;

fn spot_seen(
    spot: &Spot,
    at: [usize; 2],
    size: [usize; 2],
    suggested: Option<&Coloured>,
) -> FlatSeen {
    let white = Weights::of(Light::D65, Observer::Two).white();
    let likely = ClothPrior::shipped().screen_colour_to_cloth(spot.lab.to_xyz(white)).ok();
    let hex = |lab: Lab| Shown::of_lab2(Screen::Srgb, lab).colour.to_hex();
    let [dark, light] = spot.range;
    let mut questions = vec![];
    if light.l - dark.l <= SHADED {
        questions.extend(suggested.and_then(|s| shade_of(spot.lab, s)));
    } else {
        questions.push(format!(
            "It runs from {} to {} here: which is the cloth itself? The middle of it is taken, {}.",
            hex(dark),
            hex(light),
            spot.screen.to_hex()
        ));
    }
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let share =
        100.0 * (spot.region.width * spot.region.height) as f64 / (size[0] * size[1]).max(1) as f64;
    let Region { x, y, width, height } = spot.region;
    FlatSeen {
        number: 1,
        hex: spot.screen.to_hex(),
        lab: shown::lab(spot.lab),
        words: describe(spot.lab),
        share_pct: shown::rounded(share, 1),
        base_pct: shown::rounded(share, 1),
        at,
        bounds: [x, y, width, height],
        shades: vec![],
        range: [hex(dark), hex(light)],
        soft: light.l - dark.l > SHADED,
        ground: false,
        questions,
        cloth_can: likely.is_some(),
        aim: likely.as_ref().map(|l| shown::lab(Weights::reference().lab(&l.bands))),
        reach: None,
        no_reach: None,
        anchored: None,
    }
}

/// The question that is open where a place is a shade of a suggested flat rather than its base.
fn shade_of(lab: Lab, suggested: &Coloured) -> Option<String> {
    let far = |hex: &str| {
        let screen = ScreenColour::from_hex(hex).ok()?;
        Some(ciede2000(lab, screen.to_lab2()))
    };
    let bases = suggested.flats.iter().filter_map(|f| far(&f.hex));
    if bases.fold(f64::MAX, f64::min) <= SAME {
        return None;
    }
    let shades = suggested.flats.iter().flat_map(|flat| flat.shades.iter().map(move |s| (flat, s)));
    let near = shades.filter_map(|(flat, shade)| Some((far(&shade.hex)?, flat, shade)));
    let (off, flat, shade) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
    (off <= SAME).then(|| {
        format!(
            "Here lies a {} of number {} ({}, {}): is the cloth meant to be this, or that?",
            shade.kind,
            flat.number,
            flat.hex,
            flat.words.split(',').next().unwrap_or_default()
        )
    })
}

/// Which piece gets a picked colour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PickFor {
    /// A piece that is there, by its id.
    Piece(String),
    /// A new one.
    New {
        /// What it is called.
        name: String,
        /// Its cloth; empty: unknown.
        cloth: String,
        /// Its dry weight; empty: one that stands in.
        weight: String,
    },
}

/// What is done with a picked colour.
#[derive(Debug, Clone)]
pub struct PickKept {
    /// Who gets it.
    pub to: PickFor,
    /// Whether it is kept as brought to the cloth's white.
    pub on_cloth_white: bool,
    /// Why this picture; where another holds, it is from now on this one.
    pub because: Option<String>,
    /// Whether this picture may take the place of the one that holds.
    pub anew: bool,
    /// The mark of the text that the page was made of.
    pub since: Option<String>,
}

/// Makes a picked colour the target of a piece; says what was done.
///
/// # Errors
/// A page made of an older text; another picture that holds; a field that cannot be read; a text that would be no
/// costume; a disk that refuses. Then nothing is written.
pub fn keep_picked(
    file: &Path,
    picked: &Picked,
    keep: &PickKept,
    recording: &Recording,
) -> Result<String, Trouble> {
    let flat = picked.colours.flats.first().ok_or_else(|| {
        Trouble::refused("no colour was picked", "point at the picture, or take a suggested colour")
    })?;
    if let Some(held) = pictures_of(file)?.into_iter().find(|one| one.holds)
        && held.name != picked.colours.picture
        && !keep.anew
    {
        let why = held.because.map_or_else(String::new, |because| format!(" because: {because}"));
        let says = format!("the costume has its colours from {}{why}", held.name);
        let hint = "to take them from this picture from now on, say so, and why";
        return Err(Trouble::refused(says, hint));
    }
    changing(file, keep.since.as_deref(), recording, |before| {
        let (id, new) = match &keep.to {
            PickFor::Piece(id) => {
                piece(file, id)?;
                (id.clone(), None)
            }
            PickFor::New { name, cloth, weight } => {
                let id = free_id(&parsed("the costume file", before)?, name)?;
                let fields = [
                    (PieceField::Name, name),
                    (PieceField::Cloth, cloth),
                    (PieceField::Weight, weight),
                ];
                let given = fields.into_iter().filter(|(_, given)| !given.trim().is_empty());
                (id, Some(given.map(|(of, given)| (of, given.clone())).collect::<Vec<_>>()))
            }
        };
        let mut wanted = picked.asked.clone();
        if new.is_some() {
            wanted.cloth = None;
            wanted.undyed = None;
        }
        let (after, _) = with_colours(
            &picked.colours,
            &wanted,
            &KeepWanted {
                file: file.to_path_buf(),
                take: vec![format!("{id}={}", flat.number)],
                because: keep.because.clone(),
                over: true,
                anew: keep.anew,
                on_cloth_white: keep.on_cloth_white,
                how: Some(picked.how.clone()),
            },
            Some(before),
        )?;
        let (after, was_new) = match new {
            Some(fields) => {
                (changed(&after, &Change::Piece { id: id.clone(), fields })?.0, " added, its")
            }
            None => (after, ":"),
        };
        Ok((after, format!("{id}{was_new} colour picked {}", picked.how)))
    })
}

/// Chooses the picture whose colours hold, and keeps the reason.
///
/// # Errors
/// No such picture; otherwise as [`keep_picked`].
pub fn choose_picture(
    file: &Path,
    number: usize,
    because: &str,
    since: Option<&str>,
    recording: &Recording,
) -> Result<String, Trouble> {
    changing(file, since, recording, |before| {
        let chosen = picture_numbered(file, number)?;
        let all = pictures_of(file)?;
        let others: Vec<&str> =
            all.iter().filter(|o| o.number != number).map(|o| o.name.as_str()).collect();
        let name = file.display().to_string();
        let there = read_costume(&name, before, Lore::shipped(), &Folder::of(file))?;
        let mut document = parsed(&name, before)?;
        let because = because.split_whitespace().collect::<Vec<_>>().join(" ");
        let keep = KeepWanted {
            because: Some(because).filter(|b| !b.is_empty()),
            anew: true,
            ..KeepWanted::default()
        };
        freeze(&mut document, Some(&there), (&chosen.name, &others), &keep, &name)?;
        Ok((document.to_string(), format!("{} chosen", chosen.name)))
    })
}

/// One change of a costume file: made, read again as a whole, kept so that it can be taken back, written.
fn changing(
    file: &Path,
    since: Option<&str>,
    recording: &Recording,
    make: impl FnOnce(&str) -> Result<(String, String), Trouble>,
) -> Result<String, Trouble> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let before = text(file)?;
    if since.is_some_and(|mark| mark != mark_of(&before)) {
        let says = "the costume file was changed since this page was made";
        return Err(Trouble::refused(says, "look at what it says now; saving again changes it"));
    }
    let (after, what) = make(&before)?;
    if after == before {
        return Ok("nothing was changed".to_owned());
    }
    read_costume(&file.display().to_string(), &after, Lore::shipped(), &Folder::of(file))?;
    Kept::of(file).keep(&before, &after, &what, &recording.at)?;
    write_whole(&[(file, after.as_bytes())])?;
    Ok(what)
}
