//! Swatches, baths and readings of a workbook as they are shown.

use colour::{ClothPrior, Lab, Light, Observer, Spread, Value, describe};
use serde::Serialize;
use workbook::{
    Amount, Bath, Book, Condition, Dose, Dosed, Hand, Reading, Recorded, Refusal, Subject, Swatch,
    Told, Undyed,
};

use crate::shown;

/// A swatch with its readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchSeen {
    /// Its entry in the journal.
    pub entry: i64,
    /// When it was recorded, in universal time.
    pub at: String,
    /// Who recorded it.
    pub who: String,
    /// The code on its card.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    /// The day it was dyed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<String>,
    /// The piece it was dyed for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece: Option<String>,
    /// The entry of the swatch it was dyed over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over: Option<i64>,
    /// The cloth.
    pub cloth: String,
    /// white, natural, or as it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub undyed: Option<String>,
    /// Another cloth like the piece's own.
    pub look_alike: bool,
    /// Dry weight, g.
    pub goods_g: f64,
    /// Litres per kilogram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub liquor_ratio: Option<f64>,
    /// Class of its dyes.
    pub class: String,
    /// Way of dyeing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub programme: Option<String>,
    /// What was dosed.
    pub doses: Vec<DosedSeen>,
    /// own, a friend's, an old note's.
    pub whose: String,
    /// Its readings.
    pub readings: Vec<ReadSeen>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A bath a piece was in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BathSeen {
    /// Its entry in the journal.
    pub entry: i64,
    /// When it was recorded, in universal time.
    pub at: String,
    /// Who recorded it.
    pub who: String,
    /// What for.
    pub purpose: &'static str,
    /// The code of the swatch whose recipe it repeats.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_swatch: Option<String>,
    /// The day.
    pub day: String,
    /// Dry weight of all that was in it, g.
    pub goods_g: f64,
    /// Litres per kilogram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub liquor_ratio: Option<f64>,
    /// Class of its dyes.
    pub class: String,
    /// Way of dyeing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub programme: Option<String>,
    /// white, natural, or as it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub undyed: Option<String>,
    /// How long the goods were in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// How hot it was at the hottest, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hottest_c: Option<f64>,
    /// What was dosed.
    pub doses: Vec<DosedSeen>,
    /// Readings of the piece out of it.
    pub readings: Vec<ReadSeen>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A dose as really dosed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DosedSeen {
    /// The dye, or the auxiliary.
    pub of: String,
    /// True of a dye.
    #[serde(skip)]
    pub(crate) dye: bool,
    /// Its lot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// In the way it was dosed: "1.2 % owf", "0.24 g".
    pub amount: String,
    /// On weight of fibre, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub owf_pct: Option<f64>,
    /// One standard deviation, % of the amount.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scatter_pct: Option<f64>,
    /// By what it was measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<String>,
}

/// A reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadSeen {
    /// Its entry in the journal.
    pub entry: i64,
    /// When it was recorded, in universal time.
    pub at: String,
    /// Who recorded it.
    pub who: String,
    /// Lab, under `light` for `observer`.
    pub lab: [f64; 3],
    /// The light it holds for.
    pub under: &'static str,
    /// The observer it holds for.
    pub observer: &'static str,
    /// True when a spectrum was read.
    pub spectrum: bool,
    /// The colour in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// The colour on a screen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hex: Option<String>,
    /// How far it may be off, rms ΔE00.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
    /// False when it is told that the cloth was wet, warm or not washed off: kept, and never taught from.
    pub finished: bool,
    /// The state of the cloth, as far as told.
    pub condition: Vec<String>,
    /// The day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<String>,
    /// Readings taken at one go.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// The light it was taken in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub light: Option<String>,
    /// The means.
    pub by: &'static str,
    /// Whose eye, which camera.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reader: Option<String>,
    /// own, a friend's, an old note's.
    pub whose: String,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A swatch with its readings that stand.
pub(crate) fn swatch(book: &Book, it: &Recorded<Swatch>) -> Result<SwatchSeen, Refusal> {
    let readings = book.readings_of(it.id)?;
    let of = it.it.piece.map(|id| book.piece(id)).transpose()?;
    let it_is = &it.it;
    Ok(SwatchSeen {
        entry: it.id.entry().number(),
        at: it.stamp.at.to_string(),
        who: it.stamp.who.clone(),
        code: it_is.code.clone(),
        day: it_is.day.map(|d| d.to_string()),
        piece: of.map(|p| p.it.name),
        over: it_is.over.map(|o| o.entry().number()),
        cloth: it_is.cloth.clone(),
        undyed: undyed(&it_is.undyed),
        look_alike: it_is.look_alike,
        goods_g: shown::rounded(it_is.goods.to_grams(), 2),
        liquor_ratio: it_is.liquor.map(|l| shown::rounded(l.to_litres_per_kilogram(), 1)),
        class: it_is.class.clone(),
        programme: it_is.procedure.clone(),
        doses: doses(book, &it_is.doses, Some(it_is.goods))?,
        whose: whose(&it_is.hand),
        readings: readings.iter().map(reading).collect(),
        note: it_is.note.clone(),
    })
}

/// What a cloth was before, in words.
fn undyed(it: &Undyed) -> Option<String> {
    match it {
        Undyed::Unsaid => None,
        Undyed::White => Some("white".to_owned()),
        Undyed::Natural => Some("natural".to_owned()),
        Undyed::Read(value) => {
            let (lab, light, _) = seen(value);
            Some(format!("read: L* {}, a* {}, b* {} ({light})", lab[0], lab[1], lab[2]))
        }
    }
}

/// A bath with the readings given.
pub(crate) fn bath(
    book: &Book,
    it: &Recorded<Bath>,
    readings: &[Recorded<Reading>],
) -> Result<BathSeen, Refusal> {
    let grams: f64 = it.it.pieces.iter().map(|p| p.dry.to_grams()).sum();
    let goods = units::Mass::try_grams(grams)?;
    let from = it.it.from_swatch.map(|id| book.swatch(id)).transpose()?;
    Ok(BathSeen {
        entry: it.id.entry().number(),
        at: it.stamp.at.to_string(),
        who: it.stamp.who.clone(),
        purpose: it.it.purpose.word(),
        from_swatch: from.map(|s| s.it.code.unwrap_or_else(|| format!("entry {}", s.id))),
        day: it.it.day.to_string(),
        goods_g: shown::rounded(grams, 1),
        liquor_ratio: it.it.liquor.map(|l| shown::rounded(l.to_litres_per_kilogram(), 1)),
        class: it.it.class.clone(),
        programme: it.it.procedure.clone(),
        undyed: undyed(&it.it.undyed),
        minutes: it.it.time.map(|t| shown::rounded(t.to_minutes(), 1)),
        hottest_c: it.it.hottest.map(|t| shown::rounded(t.to_degrees(), 1)),
        doses: doses(book, &it.it.doses, Some(goods))?,
        readings: readings.iter().map(reading).collect(),
        note: it.it.note.clone(),
    })
}

fn doses(
    book: &Book,
    doses: &[Dose],
    goods: Option<units::Mass>,
) -> Result<Vec<DosedSeen>, Refusal> {
    let one = |dose: &Dose| {
        let (of, lot, dye) = match &dose.of {
            Dosed::Dye { dye, lot } => {
                let lot = lot.map(|lot| book.lot(lot)).transpose()?.map(|l| l.it.mark);
                (book.dye(*dye)?.it.name, lot, true)
            }
            Dosed::Auxiliary(name) => (name.clone(), None, false),
        };
        let owf = goods.filter(|_| dye).and_then(|goods| dose.amount.on_fibre(goods));
        Ok(DosedSeen {
            of,
            dye,
            lot,
            amount: match dose.amount {
                Amount::Weighed(mass) => format!("{} g", units::significant(mass.to_grams(), 4)),
                Amount::Poured(v) => format!("{} mL", units::significant(v.to_millilitres(), 4)),
                Amount::OnFibre(o) => format!("{} % owf", units::significant(o.to_percent(), 4)),
                Amount::PerLitre(p) => {
                    format!("{} g/L", units::significant(p.to_grams_per_litre(), 4))
                }
            },
            owf_pct: owf.map(|o| shown::rounded(o.to_percent(), 4)),
            scatter_pct: dose.scatter.map(|s| shown::rounded(s.to_percent(), 1)),
            measured: dose.measured.clone(),
        })
    };
    doses.iter().map(one).collect()
}

/// A reading as shown: daylight and the 10° observer where they are known.
pub(crate) fn reading(it: &Recorded<Reading>) -> ReadSeen {
    let (mut lab, mut under, mut observer) = seen(&it.it.value);
    let further = it.it.also.iter().find(|c| c.light == Light::D65 && c.observer == Observer::Ten);
    if let Some(daylight) = further {
        (lab, under, observer) = (shown::lab(daylight.lab), "D65", Observer::Ten.name());
    }
    let of_daylight = under == Light::D65.name();
    let typed = Lab::new(lab[0], lab[1], lab[2]);
    let spread = match it.it.spread {
        Spread::Unknown => None,
        Spread::Rms(rms) => Some(rms),
        // The length of the difference, as CIELAB counts it.
        Spread::Covariance(c) => Some((c[0][0] + c[1][1] + c[2][2]).sqrt()),
    };
    ReadSeen {
        entry: it.id.entry().number(),
        at: it.stamp.at.to_string(),
        who: it.stamp.who.clone(),
        lab,
        under,
        observer,
        spectrum: matches!(it.it.value, Value::Spectrum(_)),
        words: of_daylight.then(|| describe(typed)),
        hex: of_daylight.then(|| hex(&it.it.value, typed)).flatten(),
        spread: spread.map(|s| shown::rounded(s, 2)),
        finished: !it.it.condition.is_unfinished(),
        condition: condition(it.it.condition),
        day: it.it.day.map(|d| d.to_string()),
        job: it.it.job.clone(),
        light: it.it.lamp.clone(),
        by: it.it.means.word(),
        reader: it.it.device.clone(),
        whose: whose(&it.it.hand),
        note: it.it.note.clone(),
    }
}

/// As a screen shows it: of its own spectrum, else of the likeliest cloth of that colour.
fn hex(value: &Value, lab: Lab) -> Option<String> {
    match value {
        Value::Spectrum(s) => Some(shown::on_screen(&s.try_to_bands().ok()?).0),
        Value::Colour(_) => hex_of(lab),
    }
}

/// The likeliest cloth of a colour of daylight as a screen shows it.
pub(crate) fn hex_of(lab: Lab) -> Option<String> {
    let bands = ClothPrior::shipped().likely(lab).ok()?.bands;
    Some(shown::on_screen(&bands).0)
}

/// What a reading is of, in words.
pub(crate) fn subject(book: &Book, of: Subject) -> Result<String, Refusal> {
    Ok(match of {
        Subject::Swatch(id) => {
            let it = book.swatch(id)?.it;
            it.code.map_or_else(|| format!("swatch {id}"), |code| format!("swatch {code}"))
        }
        Subject::Dyed { piece, .. } | Subject::Piece(piece) => book.piece(piece)?.it.name,
    })
}

fn seen(value: &Value) -> ([f64; 3], &'static str, &'static str) {
    match value {
        Value::Spectrum(s) => {
            (shown::lab(s.lab(Light::D65, Observer::Ten)), Light::D65.name(), Observer::Ten.name())
        }
        Value::Colour(c) => (shown::lab(c.lab), c.light.name(), c.observer.name()),
    }
}

fn condition(it: Condition) -> Vec<String> {
    let mut said = vec![];
    for (told, yes, no) in [
        (it.washed_off, "washed off", "not washed off"),
        (it.dry, "dry", "wet"),
        (it.cool, "cool", "warm"),
        (it.ironed, "ironed", "not ironed"),
    ] {
        match told {
            Told::Unsaid => {}
            Told::Yes => said.push(yes.to_owned()),
            Told::No => said.push(no.to_owned()),
        }
    }
    if it.nap != workbook::Nap::Unsaid {
        said.push(format!("nap: {}", it.nap.word()));
    }
    if it.backing != workbook::Backing::Unsaid {
        said.push(format!("behind it: {}", it.backing.word()));
    }
    said
}

fn whose(hand: &Hand) -> String {
    match hand {
        Hand::Own => "own".to_owned(),
        Hand::Friend(name) => format!("a friend's: {name}"),
        Hand::OldNote(place) => format!("an old note: {place}"),
    }
}

/// The colour for daylight and the 10° observer, of the value or of the further lights.
pub(crate) fn of_daylight(value: &Value, also: &[colour::Colour]) -> Option<[f64; 3]> {
    let at = |c: &&colour::Colour| c.light == Light::D65 && c.observer == Observer::Ten;
    match value {
        Value::Spectrum(s) => Some(shown::lab(s.lab(Light::D65, Observer::Ten))),
        Value::Colour(c) => std::iter::once(c).chain(also).find(at).map(|c| shown::lab(c.lab)),
    }
}

/// The same, a screen's colour (D65, 2°) as the cloth that most likely looks so; true where it was a screen's.
pub(crate) fn of_daylight_or_screen(
    value: &Value,
    also: &[colour::Colour],
) -> Option<([f64; 3], bool)> {
    if let Some(lab) = of_daylight(value, also) {
        return Some((lab, false));
    }
    let Value::Colour(c) = value else { return None };
    if c.light != Light::D65 || c.observer != Observer::Two {
        return None;
    }
    let screen = colour::Shown::of_lab2(colour::Screen::Srgb, c.lab).colour;
    let likely = ClothPrior::shipped().screen_colour_to_cloth(screen.to_xyz2()).ok()?;
    Some((shown::lab(colour::Weights::reference().lab(&likely.bands)), true))
}
