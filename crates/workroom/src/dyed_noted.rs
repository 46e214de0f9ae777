//! A piece dyed whole, told in the words of a command line: written as a `[[bath]]` of a file of swatches and recorded
//! as one, so that both ways say the same.
//!
//! What the words leave out is taken from the workbook: the cloth from the piece, the recipe from the swatch that was
//! repeated.

use std::path::{Path, PathBuf};

use costume::{Faults, Known, Meant, code_meant};
use lore::Lore;
use units::{Day, Mass};
use workbook::{Amount, Book, Dosed, Refusal, Swatch, Undyed};

use crate::Trouble;
use crate::asked::{Asked, COMMAND_LINE, cloth, colour, quoted, toml_number, weight};
use crate::book_seen::of_daylight_or_screen;
use crate::books::{Recording, place, to_read, trouble};
use crate::cloth_told::Cloths;
use crate::known_here::known_here;
use crate::opened::shelf_for;
use crate::predicted::undyed_line;
use crate::swatches_recorded::{SwatchesRecorded, record_noted};

/// A piece dyed whole, as typed.
#[derive(Debug, Clone)]
pub struct DyedWanted {
    /// The workbook; none: the usual one in this folder.
    pub book: Option<PathBuf>,
    /// The shelf the dyes stand on; none: the starter shelf.
    pub shelf: Option<PathBuf>,
    /// The piece.
    pub piece: String,
    /// Its costume; none: the one the workbook has it in.
    pub costume: Option<String>,
    /// That the piece is meant to stand in no costume file.
    pub outside: bool,
    /// Its dry weight.
    pub weight: String,
    /// Its cloth; none: as the workbook has it.
    pub cloth: Option<String>,
    /// What it was before.
    pub undyed: Option<String>,
    /// The swatch whose recipe it repeats.
    pub by_swatch: Option<String>,
    /// dye, top up, overdye.
    pub purpose: Option<String>,
    /// Litres of liquor per kilogram.
    pub ratio: Option<f64>,
    /// The way of dyeing, by its id.
    pub programme: Option<String>,
    /// What was dosed: `acid-navy=1.2%`, `acid-navy:N-7=7.5g`, `salt=50g/l`.
    pub doses: Vec<String>,
    /// How long it was in the bath.
    pub minutes: Option<f64>,
    /// How hot it was at the hottest, °C.
    pub hottest_c: Option<f64>,
    /// How it came out.
    pub came_out: Option<String>,
    /// How far that reading may be off, rms ΔE00.
    pub spread: Option<f64>,
    /// The state it was read in, word by word.
    pub state: Vec<String>,
    /// By what means it was read.
    pub by: Option<String>,
    /// Whose eye, which camera or instrument.
    pub reader: Option<String>,
    /// The light it was read in.
    pub light: Option<String>,
    /// Anything else.
    pub note: Option<String>,
    /// The day it was dyed.
    pub day: Day,
    /// Who and when.
    pub recording: Recording,
}

/// Records a piece dyed whole.
pub fn note_dyed(wanted: &DyedWanted) -> Result<SwatchesRecorded, Trouble> {
    let path = place(wanted.book.as_deref());
    let known = known_here(&path, Path::new(COMMAND_LINE))?;
    let there = There::of(wanted, &path, &known)?;
    let shelf = shelf_for(wanted.shelf.as_deref(), None, &crate::disk::Folder::here())?;
    let mut asked = Asked::default();
    head(wanted, &there, &mut asked);
    recipe(wanted, &there, &mut asked);
    came_out(wanted, &mut asked)?;
    let noted = asked.swatches(Lore::shipped(), &shelf, &known)?;
    let said = asked.typed_text();
    let refused = |list| Faults { file: COMMAND_LINE.to_owned(), text: said.clone(), list };
    let cloths = Cloths::beside(&path, Path::new(COMMAND_LINE));
    record_noted(&path, (&noted, &cloths), &wanted.recording, &|list| {
        // What the workbook contradicts is pointed at in no one word.
        let at_all = |f: costume::Fault| costume::Fault { span: 0..0, ..f };
        refused(list.into_iter().map(at_all).collect())
    })
}

/// What the workbook has to what was typed.
#[derive(Default)]
struct There {
    costume: Option<String>,
    goods: Option<String>,
    swatch: Option<(Swatch, Vec<String>)>,
}

impl There {
    fn of(wanted: &DyedWanted, path: &Path, known: &Known) -> Result<Self, Trouble> {
        let mut there = Self { costume: wanted.costume.clone(), ..Self::default() };
        if there.costume.is_none() {
            let has = |c: &&costume::CostumeKnown| c.pieces.contains(&wanted.piece);
            let mut names: Vec<&str> =
                known.costumes.iter().filter(has).map(|c| c.name.as_str()).collect();
            names.dedup();
            there.costume = match names[..] {
                [one] => Some(one.to_owned()),
                [] => {
                    let says =
                        format!("no costume that is known here has a piece \"{}\"", wanted.piece);
                    let hint = "look at its name, or say whose it is with --costume";
                    return Err(Trouble::refused(says, hint));
                }
                _ => {
                    let says =
                        format!("there is a \"{}\" in {} costumes", wanted.piece, names.len());
                    let hint = format!("name one with --costume: {}", names.join(", "));
                    return Err(Trouble::refused(says, hint));
                }
            };
        }
        let cloths = Cloths::beside(path, Path::new(COMMAND_LINE));
        there.goods = there
            .costume
            .as_ref()
            .and_then(|costume| Some(cloths.of(costume, &wanted.piece)?.to_owned()));
        let is_there = std::fs::metadata(path).is_ok_and(|m| m.len() > 0);
        if is_there {
            let book = to_read(path)?;
            there.read(wanted, &book, known).map_err(|e| trouble(&e, path))?;
        }
        if let (Some(code), None) = (&wanted.by_swatch, &there.swatch) {
            let says = format!("there is no swatch \"{code}\" in the workbook");
            let hint = "`dyewright swatch list` shows them; or tell the recipe with --dose";
            return Err(Trouble::refused(says, hint));
        }
        Ok(there)
    }

    fn read(&mut self, wanted: &DyedWanted, book: &Book, known: &Known) -> Result<(), Refusal> {
        if self.goods.is_none()
            && let Some(costume) = &self.costume
            && let Some(costume) = book.costume_named(costume)?
            && let Some(piece) = book.piece_named(costume, &wanted.piece)?
        {
            self.goods = Some(book.piece(piece)?.it.goods);
        }
        let Some(code) = &wanted.by_swatch else { return Ok(()) };
        let code = match code_meant(code, &known.codes) {
            Meant::This(code) => code,
            _ => code.as_str(),
        };
        let Some(id) = book.swatch_coded(code)? else { return Ok(()) };
        let swatch = book.swatch(id)?.it;
        let named = |dose: &workbook::Dose| match &dose.of {
            Dosed::Auxiliary(id) => Ok(format!("auxiliary = {}", quoted(id))),
            Dosed::Dye { dye, lot } => {
                let lot = lot.map(|lot| book.lot(lot)).transpose()?;
                let lot =
                    lot.map_or_else(String::new, |l| format!(", lot = {}", quoted(&l.it.mark)));
                Ok(format!("dye = {}{lot}", quoted(&book.dye(*dye)?.it.name)))
            }
        };
        let of = swatch.doses.iter().map(named).collect::<Result<_, Refusal>>()?;
        self.swatch = Some((swatch, of));
        Ok(())
    }
}

/// A line that is what was typed.
fn told(key: &str, given: &str) -> Result<String, (String, String)> {
    Ok(format!("{key} = {}", quoted(given)))
}

/// A number as a line.
fn number(asked: &mut Asked, name: &str, key: &str, given: Option<f64>) {
    if let Some(n) = given {
        let shown = n.to_string();
        asked.argument(name, &shown, Ok(format!("{key} = {}", toml_number(&shown))), "");
    }
}

/// A text as a line.
fn text(asked: &mut Asked, name: &str, key: &str, given: Option<&String>) {
    if let Some(given) = given {
        asked.argument(name, given, told(key, given), "");
    }
}

fn head(wanted: &DyedWanted, there: &There, asked: &mut Asked) {
    asked.line("[[bath]]");
    asked.argument("", &wanted.piece, told("piece", &wanted.piece), "");
    match (&wanted.costume, &there.costume) {
        (Some(costume), _) => asked.argument("--costume", costume, told("costume", costume), ""),
        (None, Some(costume)) => asked.line(&format!("costume = {}", quoted(costume))),
        (None, None) => {}
    }
    if wanted.outside {
        asked.line("outside = true");
    }
    asked.line(&format!("day = {}", wanted.day));
    asked.argument("--weight", &wanted.weight, grams_line(&wanted.weight), "weight_g = 100.0");
    let swatch = there.swatch.as_ref().map(|(swatch, _)| swatch);
    let known = there.goods.as_deref().or_else(|| swatch.map(|s| s.cloth.as_str()));
    match (&wanted.cloth, known) {
        (Some(given), _) => asked.argument("--cloth", given, cloth(given), "cloth = \"cotton\""),
        (None, Some(known)) => asked.line(&cloth(known).unwrap_or_default()),
        (None, None) => {}
    }
    match (&wanted.undyed, swatch.map(|s| &s.undyed)) {
        (Some(given), _) => {
            asked.argument("--undyed", given, undyed_line(given), "undyed = \"white\"");
        }
        (None, Some(Undyed::White)) => asked.line("undyed = \"white\""),
        (None, Some(Undyed::Natural)) => asked.line("undyed = \"natural\""),
        (None, Some(Undyed::Read(value))) => {
            if let Some((lab, _)) = of_daylight_or_screen(value, &[]) {
                let lab = lab.map(|v| toml_number(&v.to_string())).join(", ");
                asked.line(&format!("undyed = {{ lab = [{lab}] }}"));
            }
        }
        (None, Some(Undyed::Unsaid) | None) => {}
    }
    text(asked, "--note", "note", wanted.note.as_ref());
}

fn recipe(wanted: &DyedWanted, there: &There, asked: &mut Asked) {
    text(asked, "--purpose", "purpose", wanted.purpose.as_ref());
    text(asked, "--by-swatch", "from_swatch", wanted.by_swatch.as_ref());
    number(asked, "--minutes", "minutes", wanted.minutes);
    number(asked, "--hottest", "hottest_c", wanted.hottest_c);
    let swatch = there.swatch.as_ref();
    match (wanted.ratio, swatch.and_then(|(s, _)| s.liquor)) {
        (Some(_), _) => number(asked, "--ratio", "liquor_ratio", wanted.ratio),
        (None, Some(ratio)) => {
            let ratio = ratio.to_litres_per_kilogram().to_string();
            asked.line(&format!("liquor_ratio = {}", toml_number(&ratio)));
        }
        (None, None) => {}
    }
    match (&wanted.programme, swatch.and_then(|(s, _)| s.procedure.as_ref())) {
        (Some(_), _) => text(asked, "--programme", "programme", wanted.programme.as_ref()),
        (None, Some(programme)) => asked.line(&format!("programme = {}", quoted(programme))),
        (None, None) => {}
    }
    if wanted.doses.is_empty() && swatch.is_none() {
        return;
    }
    asked.line("dose = [");
    if wanted.doses.is_empty() {
        let dry = grams(&wanted.weight);
        for line in swatch.iter().flat_map(|(swatch, of)| as_swatch(swatch, of, dry)) {
            asked.line(&line);
        }
    }
    for given in &wanted.doses {
        asked.argument("--dose", given, dose(given), "");
    }
    asked.line("]");
}

/// The doses of a swatch for another weight of cloth.
fn as_swatch(swatch: &Swatch, of: &[String], dry: Option<Mass>) -> Vec<String> {
    let times = dry.map_or(1.0, |dry| dry / swatch.goods);
    let one = |(dose, of): (&workbook::Dose, &String)| {
        let n = |v: f64| toml_number(&v.to_string());
        let amount = match dose.amount {
            Amount::OnFibre(owf) => format!("owf_pct = {}", n(owf.to_percent())),
            Amount::Weighed(mass) => format!("grams = {}", n(mass.to_grams() * times)),
            Amount::Poured(volume) => format!("ml = {}", n(volume.to_millilitres() * times)),
            Amount::PerLitre(per) => format!("g_per_l = {}", n(per.to_grams_per_litre())),
        };
        format!("{{ {of}, {amount} }},")
    };
    swatch.doses.iter().zip(of).map(one).collect()
}

fn came_out(wanted: &DyedWanted, asked: &mut Asked) -> Result<(), Trouble> {
    let Some(given) = &wanted.came_out else {
        let of_reading = wanted.spread.is_some()
            || !wanted.state.is_empty()
            || [&wanted.by, &wanted.reader, &wanted.light].iter().any(|w| w.is_some());
        return match of_reading {
            true => Err(Trouble::refused(
                "--spread, --state, --by, --reader and --light are of a reading, and none is given",
                "give the reading with --came-out",
            )),
            false => Ok(()),
        };
    };
    asked.line("[[bath.reading]]");
    let line = colour("colour", given);
    asked.argument("--came-out", given, line, "colour = { lab = [50.0, 0.0, 0.0] }");
    number(asked, "--spread", "spread", wanted.spread);
    for word in &wanted.state {
        let states = crate::book_noted::STATES;
        let keys = ["washed_off", "dry", "cool", "ironed"];
        let found = keys.iter().zip(states).find(|(_, (yes, no))| word == yes || word == no);
        let line =
            found.map(|(key, (yes, _))| format!("{key} = {}", word == yes)).ok_or_else(|| {
                let known = states.map(|(yes, no)| format!("{yes} or {no}")).join(", ");
                (format!("\"{word}\" is no state of cloth"), format!("write {known}"))
            });
        asked.argument("--state", word, line, "");
    }
    text(asked, "--by", "by", wanted.by.as_ref());
    text(asked, "--reader", "reader", wanted.reader.as_ref());
    text(asked, "--light", "light", wanted.light.as_ref());
    Ok(())
}

/// A weight in grams as a line.
fn grams_line(given: &str) -> Result<String, (String, String)> {
    weight(given)?;
    let grams = grams(given).map_or(f64::NAN, Mass::to_grams);
    Ok(format!("weight_g = {}", toml_number(&grams.to_string())))
}

fn grams(given: &str) -> Option<Mass> {
    let line = weight(given).ok()?;
    let (key, number) = line.split_once(" = ")?;
    let number: f64 = number.parse().ok()?;
    match key {
        "weight_kg" => Mass::try_grams(number * 1000.0),
        "weight_oz" => Mass::try_ounces(number),
        "weight_lb" => Mass::try_pounds(number),
        _ => Mass::try_grams(number),
    }
    .ok()
}

/// `--dose`: `acid-navy=1.2%`, `acid-navy=7.5g`, `acid-navy=12ml@1%`, `salt=50g/l`, `vinegar=20ml`; a dye's lot after a
/// colon.
fn dose(given: &str) -> Result<String, (String, String)> {
    let hint = "write it as acid-navy=1.2%, acid-navy=7.5g, acid-navy=12ml@1% (of a 1 % stock), salt=50g/l; its lot \
                after a colon, as in acid-navy:N-7=1.2%";
    let bad = || (format!("\"{given}\" is no dose"), hint.to_owned());
    let (of, amount) = given.rsplit_once('=').ok_or_else(bad)?;
    let (of, lot) = of.split_once(':').map_or((of, None), |(of, lot)| (of, Some(lot)));
    let amount = amount.replace(' ', "").to_lowercase();
    let n = |number: &str| -> Result<String, (String, String)> {
        let n: f64 = number.parse().map_err(|_| bad())?;
        if n.is_finite() && n >= 0.0 { Ok(toml_number(number)) } else { Err(bad()) }
    };
    let amount = if let Some((ml, pct)) = amount.split_once("ml@") {
        format!("stock_ml = {}, stock_pct = {}", n(ml)?, n(pct.trim_end_matches('%'))?)
    } else if let Some(owf) = amount.strip_suffix('%') {
        format!("owf_pct = {}", n(owf)?)
    } else if let Some(per) = amount.strip_suffix("g/l") {
        format!("g_per_l = {}", n(per)?)
    } else if let Some(ml) = amount.strip_suffix("ml") {
        format!("ml = {}", n(ml)?)
    } else if let Some(grams) = amount.strip_suffix('g') {
        format!("grams = {}", n(grams)?)
    } else {
        return Err(bad());
    };
    let of = of.trim();
    let kind = if Lore::shipped().agent(of).is_ok() { "auxiliary" } else { "dye" };
    let lot = lot.map_or_else(String::new, |lot| format!(", lot = {}", quoted(lot.trim())));
    Ok(format!("{{ {kind} = {}{lot}, {amount} }},", quoted(of)))
}
