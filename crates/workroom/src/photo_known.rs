//! What a photograph is read by: a chart, a card of the maker's own dyed cloths, or one white; and what their readings share.
//!
//! Files and workbook are opened here and told apart. Left out: what is said of the reading (`photo_read`).

use std::path::Path;

use colour::{Bands, ClothPrior, Lab};
use picture::{
    Asked, Calibration, Chain, ChartKind, ChartText, ClothPlace, ClothSample, ClothSeen,
    FoundChart, KnownPlace, LaidReading, LampKind, PhotoRefusal, Picture, Taken, Told, WeakLight,
    WhiteSpread,
};

use crate::photo_asked::{Words, as_text, own_chart, parted};
use crate::photo_swatches::{OwnCloth, of_swatches};
use crate::{ReadWanted, Trouble};

/// A photograph read, whatever by.
pub(crate) struct Measured {
    /// What is known of camera and lamp.
    pub(crate) calibration: Calibration,
    /// Averages of the cloths, then of the cloth they are held against.
    pub(crate) samples: Vec<Result<ClothSample, PhotoRefusal>>,
    /// Colours, in the same order.
    pub(crate) colours: Vec<Result<ClothSeen, PhotoRefusal>>,
    /// Light under which cloth is read weakly.
    pub(crate) weak: Option<WeakLight>,
    /// What it was read by.
    pub(crate) by: By,
}

/// What it was read by.
pub(crate) enum By {
    /// A chart of squares: where it lies, its patches, those left out, those known by their colour only, and whether their
    /// values were read and not measured.
    Chart { found: FoundChart, patches: usize, lost: usize, assumed: usize, read: bool },
    /// Cloths of known values: all of them, and those left out with the reason.
    Cloths { all: usize, left_out: Vec<(String, String)>, assumed: usize },
    /// One white, in words; whether the kind of light was told; and whether the picture is as a camera saves it.
    White { words: String, told: bool, developed: bool },
}

/// Reads the places by whatever was named.
pub(crate) fn measured(
    wanted: &ReadWanted,
    words: &Words,
    picture: &Picture,
    paper: Option<&Picture>,
) -> Result<Measured, Trouble> {
    let name = wanted.photo.display().to_string();
    let bad = |why: PhotoRefusal| {
        let (says, hint) = parted(&why);
        Trouble::refused(format!("{name}: {says}"), hint)
    };
    let places: Vec<ClothPlace> =
        words.cloths.iter().chain(&words.against).map(|c| ClothPlace::Corners(*c)).collect();
    let prior = ClothPrior::shipped();
    let lamp = wanted.lamp.as_deref().map(lamp_of).transpose()?;
    let told = Told { chain: words.chain, lamp };
    if let Some(white) = words.white {
        let (white, spread, says) =
            white_of(wanted.white_is.as_deref(), ClothPlace::Corners(white))?;
        let read = picture.read_by_white((&white, spread), &places, told, prior);
        let developed = words.chain == Chain::Developed;
        let by = By::White { words: says, told: lamp.is_some(), developed };
        return Ok(Measured::laid(read.map_err(bad)?, by));
    }
    if wanted.across.is_some()
        && wanted.chart.is_none()
        && wanted.card.is_none()
        && wanted.swatches.is_empty()
    {
        return Err(Trouble::refused(
            "how many lie in a row was said, and the classic chart has six",
            "name a chart of your own with --chart FILE, or leave --across out",
        ));
    }
    let own = match (&wanted.card, wanted.swatches.is_empty()) {
        (Some(file), _) => Some(of_file(file)?),
        (None, false) => Some(of_swatches(&wanted.swatches, wanted.book.as_deref())?),
        (None, true) => None,
    };
    if let Some((own, across)) = own {
        let at = places_of(wanted, words, own.len(), wanted.across.or(across))?;
        let known: Vec<KnownPlace> = own
            .iter()
            .zip(at)
            .map(|(own, place)| KnownPlace {
                place,
                reflectance: own.reflectance,
                spread: own.spread,
            })
            .collect();
        let read = picture.read_by_cloths(&known, &places, paper, told, prior);
        let read = read.map_err(bad)?;
        let left_out = own
            .iter()
            .zip(&read.known)
            .filter_map(|(own, seen)| Some((own.name.clone(), parted(seen.as_ref().err()?).0)))
            .collect();
        let assumed = own.iter().filter(|o| o.assumed).count();
        return Ok(Measured::laid(read, By::Cloths { all: own.len(), left_out, assumed }));
    }
    let own = wanted.chart.as_deref().map(|file| own_chart(file, wanted.across)).transpose()?;
    let (chart, assumed) = match &own {
        Some((chart, assumed)) => (chart, *assumed),
        None => (ChartKind::classic(), 0),
    };
    let asked = Asked { chart, corners: words.corners, cloths: &places, paper };
    if words.cloths.is_empty() {
        return Err(which_place(&name, picture, &picture.take(&asked).map_err(bad)?));
    }
    let reading = picture.read_cloths(&asked, told, prior).map_err(bad)?;
    let taken = reading.taken;
    Ok(Measured {
        calibration: reading.calibration,
        samples: taken.cloths,
        colours: reading.cloths,
        weak: reading.weak,
        by: By::Chart {
            found: taken.chart,
            patches: taken.patches.len(),
            lost: taken.patches.iter().filter(|p| Taken::is_lost(p)).count(),
            assumed,
            read: !chart.spreads().is_empty(),
        },
    })
}

impl Measured {
    fn laid(read: LaidReading, by: By) -> Self {
        let LaidReading { calibration, samples, cloths, weak, .. } = read;
        Self { calibration, samples, colours: cloths, weak, by }
    }
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

/// Dyed cloths of known values out of a file, and how many lie in a row where it says so.
fn of_file(file: &Path) -> Result<(Vec<OwnCloth>, Option<usize>), Trouble> {
    let name = file.display().to_string();
    let hint = "the file holds the values of your cloths one after another, as CGATS.17 or a table of spectra";
    let text = ChartText::try_read(&as_text(file, hint)?, &name, ClothPrior::shipped())
        .map_err(|e| Trouble::refused(format!("{name}: {e}"), hint))?;
    let own = text.patches().iter().map(|p| OwnCloth {
        name: p.name.clone(),
        reflectance: p.reflectance,
        spread: p.spread.unwrap_or(0.0),
        assumed: p.assumed,
    });
    Ok((own.collect(), text.across()))
}

/// Where the cloths of a card lie: one place each, or rows within four corners.
fn places_of(
    wanted: &ReadWanted,
    words: &Words,
    many: usize,
    across: Option<usize>,
) -> Result<Vec<ClothPlace>, Trouble> {
    if !wanted.at.is_empty() {
        if words.at.len() != many {
            return Err(Trouble::refused(
                format!("{many} cloths have values, and {} places were given", words.at.len()),
                "give one --at for each, in the order of their values",
            ));
        }
        return Ok(words.at.iter().map(|c| ClothPlace::Corners(*c)).collect());
    }
    let hint = "say where they lie: --at \"120,80,60,60\" once for each, or how many in a row and the four outer corners of \
                them all, --across 4 --corners \"100,80 420,90 415,300 95,290\", the first cloth's corner first and along its row";
    let (Some(across), Some(corners)) = (across, words.corners) else {
        return Err(Trouble::refused(
            format!("where the {many} cloths of the card lie was not said"),
            hint,
        ));
    };
    if across == 0 || !many.is_multiple_of(across) {
        let says = format!("{many} cloths with {across} in a row leave a row that is not full");
        return Err(Trouble::refused(says, hint));
    }
    ClothPlace::lattice(corners, across, many / across)
        .ok_or_else(|| Trouble::refused("the four corners do not go round a card", hint))
}

/// Whites that a home has, as they usually are: word, L*, a*, b*, spreads as a whole and of tint (standard deviations of the
/// logarithm), what it is. All from memory: no white was measured.
const WHITES: [(&str, [f64; 3], f64, f64, &str); 4] = [
    ("ptfe", [98.0, 0.0, 0.8], 0.02, 0.007, "white PTFE, four layers of tape and more or a sheet"),
    (
        "filter",
        [95.0, -0.2, 2.5],
        0.03,
        0.015,
        "white filter paper without brightener, four sheets",
    ),
    ("plaster", [94.5, 0.1, 2.2], 0.035, 0.015, "plaster of Paris, dry and unpainted"),
    (
        "cotton",
        [93.5, -0.1, 3.0],
        0.04,
        0.02,
        "cotton bleached for dyeing, without brightener, folded fourfold",
    ),
];
/// Whites that a form can offer: the word, and what it is.
#[must_use]
pub fn whites_known() -> Vec<(&'static str, &'static str)> {
    WHITES.iter().map(|(word, _, _, _, is)| (*word, *is)).collect()
}

/// A white whose colour was typed or read: as a whole and of tint (judgement: an instrument for homes is off by about ΔE 1).
const TYPED: WhiteSpread = WhiteSpread { whole: 0.02, tint: 0.01 };

/// `--white-is`: a word, or a colour.
fn white_of(
    given: Option<&str>,
    place: ClothPlace,
) -> Result<(KnownPlace, WhiteSpread, String), Trouble> {
    let known: Vec<String> = WHITES.iter().map(|w| format!("{} ({})", w.0, w.4)).collect();
    let hint = format!(
        "write one of {}, or its colour for D65 and 10° as it was measured: --white-is \"96 0 1.5\"",
        known.join(", ")
    );
    let Some(given) = given.map(str::trim) else {
        return Err(Trouble::refused("what the white is was not said", hint));
    };
    let found = WHITES.iter().find(|w| w.0.eq_ignore_ascii_case(given));
    let (lab, spread, words) = match found {
        Some((_, [l, a, b], whole, tint, words)) => (
            Lab::new(*l, *a, *b),
            WhiteSpread { whole: *whole, tint: *tint },
            format!("{words} (as it usually is, not measured)"),
        ),
        None => {
            let lab = colour::read_typed(given).ok().and_then(|r| r.try_lab().ok());
            let lab = lab.ok_or_else(|| {
                Trouble::refused(
                    format!("\"{given}\" is no white that is known here"),
                    hint.clone(),
                )
            })?;
            (lab, TYPED, format!("a white of {lab}"))
        }
    };
    if lab.l < 80.0 || lab.b < -2.0 || lab.a.hypot(lab.b) > 12.0 {
        return Err(Trouble::refused(
            format!(
                "{lab} is no white without brightener: too dark, too strong in colour, or bluish as brightened paper is"
            ),
            hint,
        ));
    }
    let likely = ClothPrior::shipped().likely(lab);
    let reflectance: Bands = likely.map_err(|e| Trouble::refused(e.to_string(), hint))?.bands;
    Ok((KnownPlace { place, reflectance, spread: 0.0 }, spread, words))
}

/// `--lamp`.
fn lamp_of(given: &str) -> Result<LampKind, Trouble> {
    match given.trim() {
        "daylight" => Ok(LampKind::Daylight),
        "led" => Ok(LampKind::WhiteLed),
        "tungsten" => Ok(LampKind::Tungsten),
        "tube" => Ok(LampKind::Tube),
        "three-band" => Ok(LampKind::ThreeBand),
        other => Err(Trouble::refused(
            format!("\"{other}\" is no kind of light that is known here"),
            "write --lamp daylight, led, tungsten, tube or three-band, or leave it out",
        )),
    }
}
