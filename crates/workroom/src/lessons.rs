//! What the workbook's swatches teach a plan: each record as a dyeing the learning takes, or the reason why it
//! teaches nothing.
//!
//! Nothing is guessed: a swatch over another colour, of several fibres of which not all take the dye, of a dye that is not
//! on the shelf or of another class there, is passed over and counted. What is unsaid widens the spread instead: the undyed
//! cloth, the liquor ratio, by what a dose was measured. A lot that is not the shelf's is another lot of that
//! dye; a friend's and an old note's dyes are always other lots, so that what their scale and water do to all
//! of them alike is not taken for the shelf's dye.

use std::collections::BTreeMap;

use colour::{BANDS, Bands, ClothPrior, Lab, Light, Observer, Value, Weights};
use costume::Shelf;
use dyeing::{Dyeing, Ground, HOME, InBath, Look, REFERENCE_RATIO, Scatter, Substrate};
use lore::{DyeClass, Lore, Procedure};
use plan::{Lesson, NotTaught, Taught, ToLearn, fibre_of};
use units::{LiquorRatio, OnFibre, Share};
use workbook::{Amount, Dose, Evidence, Hand, Swatch, Undyed};

use crate::Trouble;
use crate::blend_taught::{Portion, portions, teaching};
use crate::lesson_read::{Jobs, read};
use crate::on_record::on_record;
use crate::remembered::Remembered;

/// The deepest dose of one dye that is learnt from, % owf: as in what is foretold (`predicted`).
const DEEPEST: f64 = 20.0;

/// What a friend's bath and an old note's scatter by beside one's own, as relative scatter (judgement:
/// another pot, other water, heat and time nobody noted).
const FRIENDS: Scatter = Scatter { common: 0.12, each: 0.08 };
const OLD_NOTES: Scatter = Scatter { common: 0.2, each: 0.12 };
/// What another cloth like the piece's own takes more or less than that (judgement).
const LOOK_ALIKE: Scatter = Scatter { common: 0.1, each: 0.05 };
/// What the fibres of a blend share the dye among them otherwise than the trade's table says (judgement: viscose takes up to
/// half as much again as cotton or linen, from lot to lot).
const BLEND: Scatter = Scatter { common: 0.1, each: 0.05 };
/// What a bath of unknown liquor ratio may yield more or less than at 20:1: from 10:1 to 40:1 a dye of middling
/// substantivity gives a fifth more or less (from the linear isotherm, `dyeing`).
const UNKNOWN_RATIO: Scatter = Scatter { common: 0.15, each: 0.0 };

/// What a reading is off by beside itself where nobody said what the cloth was before, rms ΔE00 (judgement:
/// white and natural cloth differ by several units undyed, by about this under a middling shade).
const UNSAID_CLOTH: f64 = 1.5;
/// The same for another cloth like the piece's own (judgement).
const ANOTHER_CLOTH: f64 = 1.0;

/// Learns from what was remembered.
pub(crate) fn taught(
    remembered: &Remembered,
    shelf: &Shelf,
    lore: &Lore,
) -> Result<Taught, Trouble> {
    let mut stock = Stock { shelf, lots: vec![], of: BTreeMap::new() };
    let mut jobs = Jobs::default();
    let mut to_learn = vec![];
    let mut passed_over = vec![];
    for one in &remembered.evidence {
        match lesson(one, remembered, &mut stock, &mut jobs, lore) {
            Ok(lesson) => to_learn.push(lesson),
            Err(why) => passed_over.push((why, remembered.code(one))),
        }
    }
    Taught::try_of(shelf, &stock.lots, to_learn, passed_over)
        .map(|taught| taught.with_record(on_record(remembered)))
        .map_err(|e| Trouble::refused(e.to_string(), "look at the workbook with book check"))
}

/// The swatches of one dye alone that can be learnt from, in the order of the record: what is known of each, and how it was
/// dyed and read. With how many swatches of mixes hold it.
pub(crate) fn of_one_dye(
    remembered: &Remembered,
    shelf: &Shelf,
    lore: &Lore,
    dye: &str,
) -> (Vec<ToLearn>, usize) {
    let mut stock = Stock { shelf, lots: vec![], of: BTreeMap::new() };
    let mut jobs = Jobs::default();
    let named = |one: &&Evidence| one.dyes.iter().any(|(_, of, _)| of.it.name == dye);
    let (alone, mixes): (Vec<&Evidence>, Vec<&Evidence>) = remembered
        .evidence
        .iter()
        .filter(named)
        .partition(|one| one.dyes.iter().all(|(_, of, _)| of.it.name == dye));
    let mut lesson = |one: &&Evidence| lesson(one, remembered, &mut stock, &mut jobs, lore).ok();
    let alone = alone.iter().filter_map(&mut lesson).collect();
    (alone, mixes.iter().filter_map(lesson).count())
}

/// The stock: the shelf's dyes, then every other lot that was dyed with.
struct Stock<'a> {
    shelf: &'a Shelf,
    /// Places on the shelf of what the further places are lots of.
    lots: Vec<usize>,
    of: BTreeMap<(usize, String), usize>,
}

impl Stock<'_> {
    /// Where a dye stands: on the shelf, or as another lot.
    fn place(&mut self, on_shelf: usize, hand: &Hand, lot: Option<&str>) -> usize {
        let mark = match (hand, lot) {
            (Hand::Own, None) => return on_shelf,
            (Hand::Own, Some(mark)) => {
                if self.shelf.dyes[on_shelf].lot.as_deref() == Some(mark) {
                    return on_shelf;
                }
                format!("own {mark}")
            }
            (Hand::Friend(name), lot) => format!("friend {name} {}", lot.unwrap_or("")),
            (Hand::OldNote(note), lot) => format!("note {note} {}", lot.unwrap_or("")),
        };
        let next = self.shelf.dyes.len() + self.lots.len();
        *self.of.entry((on_shelf, mark)).or_insert_with(|| {
            self.lots.push(on_shelf);
            next
        })
    }
}

fn lesson(
    one: &Evidence,
    remembered: &Remembered,
    stock: &mut Stock,
    jobs: &mut Jobs,
    lore: &Lore,
) -> Result<ToLearn, NotTaught> {
    let swatch = &one.swatch;
    if one.over {
        return Err(NotTaught::Over);
    }
    let mut read = read(&one.readings, jobs)?;
    let class: DyeClass = swatch.class.parse().map_err(|_| NotTaught::OtherClass)?;
    let procedure: Option<Procedure> = swatch.procedure.as_ref().and_then(|word| word.parse().ok());
    // Of a blend that takes the dye as a whole it counts for the fibre there is most of, as a plan reckons it.
    let portions = if swatch.fibre.contains(',') {
        let told = portions(&swatch.cloth, lore).ok_or(NotTaught::SeveralFibres)?;
        teaching(&told, class, procedure, lore)?
    } else {
        vec![(swatch.fibre.clone(), Share::WHOLE)]
    };
    let main = portions.first().map_or(swatch.fibre.as_str(), |(id, _)| id.as_str());
    let material = lore.material(main).map_err(|_| NotTaught::UnknownFibre)?;
    let fibre = fibre_of(lore, &material.id);
    let takes = |p: &Procedure| {
        lore.verdict_for(material, *p, class).is_ok_and(|found| found.verdict.dyes())
    };
    if !procedure.map_or_else(|| Procedure::ALL.iter().any(takes), |p| takes(&p)) {
        return Err(NotTaught::TakesNone);
    }
    let on = substrate(swatch, &portions, class)?;
    let bath = bath(one, stock, (lore, &fibre, &material.id), class)?;
    let widened = widened(swatch, portions.len() > 1);
    let mut square = read.glimpse.spread.powi(2);
    square += if swatch.undyed == Undyed::Unsaid { UNSAID_CLOTH * UNSAID_CLOTH } else { 0.0 };
    square += if swatch.look_alike { ANOTHER_CLOTH * ANOTHER_CLOTH } else { 0.0 };
    read.glimpse.spread = square.sqrt();
    // Where nobody noted the day it was dyed, the day its first reading was recorded.
    let first = one.readings.first().map(|r| r.stamp.at.day());
    let head = Lesson {
        code: remembered.code(one),
        piece: swatch.piece.and_then(|id| remembered.pieces.get(&id).cloned()),
        own: swatch.hand == Hand::Own,
        look_alike: swatch.look_alike,
        fibre: fibre.clone(),
        material: material.id.clone(),
        undyed: (swatch.undyed != Undyed::Unsaid).then(|| undyed_lab(&on)),
        day: swatch.day.or(first).ok_or(NotTaught::Unread)?,
        class,
        procedure,
        ratio: swatch.liquor,
        doses: bath.iter().map(|b| (b.dye, b.dose)).collect(),
        job: read.job,
        read: read.lab,
        confirmed: read.confirmed,
        surprise: None,
    };
    let dyeing = Dyeing { on, fibre, job: read.job, bath, scatter: widened, glimpse: read.glimpse };
    Ok(ToLearn { head, dyeing })
}

/// The cloth of a swatch, ready for its class at the ratio it was dyed at.
fn substrate(
    swatch: &Swatch,
    portions: &[Portion],
    class: DyeClass,
) -> Result<Substrate, NotTaught> {
    let all: f64 = portions.iter().map(|(_, share)| share.to_fraction()).sum();
    // What is not seen of the cloth is left out of it.
    let share = |share: &Share| Share::try_fraction((share.to_fraction() / all).min(1.0));
    let seen: Vec<(&str, Share)> = portions
        .iter()
        .map(|(id, of)| Ok((id.as_str(), share(of)?)))
        .collect::<Result<_, units::NotAQuantity>>()
        .map_err(|_| NotTaught::SeveralFibres)?;
    let ground = match &swatch.undyed {
        Undyed::Unsaid | Undyed::White => Ground::assumed(&seen, Look::White),
        Undyed::Natural => Ground::assumed(&seen, Look::Natural),
        Undyed::Read(value) => Ok(Ground::read(&seen, &bands(value).ok_or(NotTaught::NoColour)?)),
    };
    let ground = ground.map_err(|_| NotTaught::UnknownFibre)?;
    let usual = LiquorRatio::try_litres_per_kilogram(REFERENCE_RATIO);
    let ratio = swatch.liquor.map_or(usual, Ok).map_err(|_| NotTaught::UnknownDose)?;
    Substrate::try_new(&ground, class, ratio).map_err(|_| NotTaught::TakesNone)
}

/// What the cloth looked like before it was dyed, in daylight.
fn undyed_lab(on: &Substrate) -> Lab {
    Weights::reference().lab_of(&on.dyed(&[0.0; BANDS]))
}

/// The reflectance of an undyed cloth: as read, else of the likeliest cloth of that colour.
fn bands(value: &Value) -> Option<Bands> {
    let prior = ClothPrior::shipped();
    match value {
        Value::Spectrum(spectrum) => spectrum.try_to_bands().ok(),
        Value::Colour(c) if c.light != Light::D65 => None,
        Value::Colour(c) => {
            let likely = match c.observer {
                Observer::Ten => prior.likely(c.lab),
                Observer::Two => {
                    let white = Weights::of(Light::D65, Observer::Two).white();
                    prior.screen_colour_to_cloth(c.lab.to_xyz(white))
                }
            };
            likely.ok().map(|l| l.bands)
        }
    }
}

/// What went into the bath of the dyes, each once.
fn bath(
    one: &Evidence,
    stock: &mut Stock,
    (lore, fibre, material): (&Lore, &str, &str),
    class: DyeClass,
) -> Result<Vec<InBath>, NotTaught> {
    let swatch = &one.swatch;
    let mut bath: Vec<InBath> = vec![];
    for (place, dye, lot) in &one.dyes {
        let dose = &swatch.doses[*place];
        let on_shelf = on_shelf(stock.shelf, &dye.it.name, (lore, fibre, material))?;
        let is = stock.shelf.dyes[on_shelf].dye.class;
        if dye.it.class != is.id() {
            return Err(NotTaught::OtherClass);
        }
        let one_bath = |p: Procedure| p.takes(is) && p.takes(class);
        if is != class && !one_bath(Procedure::AcidMilling) {
            return Err(NotTaught::UnlikeClasses);
        }
        let owf = on_fibre(dose, swatch).ok_or(NotTaught::UnknownDose)?;
        if owf.to_percent() <= 0.0 {
            continue;
        }
        let at = stock.place(on_shelf, &swatch.hand, lot.as_ref().map(|l| l.it.mark.as_str()));
        let scatter = dose_scatter(dose, &swatch.hand);
        match bath.iter_mut().find(|b| b.dye == at) {
            None => bath.push(InBath { dye: at, dose: owf, scatter }),
            Some(there) => {
                // Two goes of one dye: what each is off by adds as squares.
                let (a, b) = (there.dose.to_percent(), owf.to_percent());
                there.scatter = (a * there.scatter).hypot(b * scatter) / (a + b);
                there.dose = OnFibre::try_percent(a + b).map_err(|_| NotTaught::UnknownDose)?;
            }
        }
    }
    if bath.iter().any(|b| b.dose.to_percent() > DEEPEST) {
        return Err(NotTaught::TooDeep);
    }
    if bath.is_empty() { Err(NotTaught::UnknownDose) } else { Ok(bath) }
}

/// Where a dye of the workbook stands on the shelf; of a pack that tells fibres apart, for this fibre.
fn on_shelf(
    shelf: &Shelf,
    name: &str,
    (lore, fibre, material): (&Lore, &str, &str),
) -> Result<usize, NotTaught> {
    let rank = |only: Option<&str>| match only {
        Some(only) if only == material => Some(0),
        Some(only) if fibre_of(lore, only) == fibre => Some(1),
        None => Some(2),
        Some(_) => None,
    };
    let named = shelf.dyes.iter().enumerate().filter(|(_, d)| d.dye.id == name);
    let fits = named.filter_map(|(i, d)| Some((rank(d.only_on.as_deref())?, i)));
    fits.min().map(|(_, place)| place).ok_or(NotTaught::NotOnShelf)
}

/// A dose on weight of fibre; of dye told by the litre, from the liquor.
fn on_fibre(dose: &Dose, swatch: &Swatch) -> Option<OnFibre> {
    match (dose.amount, swatch.liquor) {
        (Amount::PerLitre(strength), Some(ratio)) => {
            // g/L times L/kg is g/kg; a tenth of that is % of the weight.
            let per_kg = strength.to_grams_per_litre() * ratio.to_litres_per_kilogram();
            OnFibre::try_percent(per_kg / 10.0).ok()
        }
        (amount, _) => amount.on_fibre(swatch.goods),
    }
}

/// How far a dose may be off: as told, else by what it was measured (judgement, after `dosing`'s own figures
/// for spoons, drops and stock solutions).
fn dose_scatter(dose: &Dose, hand: &Hand) -> f64 {
    if let Some(told) = dose.scatter {
        return told.to_fraction();
    }
    let by = dose.measured.as_deref().unwrap_or("").to_lowercase();
    let has = |words: &[&str]| words.iter().any(|w| by.contains(w));
    if has(&["spoon", "pinch"]) {
        0.2
    } else if has(&["drop"]) {
        0.15
    } else if has(&["stock", "syringe", "pipette"]) {
        0.04
    } else if *hand == Hand::Own {
        0.06
    } else {
        0.12
    }
}

/// How alike two such dyeings come out.
fn widened(swatch: &Swatch, blend: bool) -> Scatter {
    let mut all = vec![HOME];
    if blend {
        all.push(BLEND);
    }
    match swatch.hand {
        Hand::Own => {}
        Hand::Friend(_) => all.push(FRIENDS),
        Hand::OldNote(_) => all.push(OLD_NOTES),
    }
    if swatch.look_alike {
        all.push(LOOK_ALIKE);
    }
    if swatch.liquor.is_none() {
        all.push(UNKNOWN_RATIO);
    }
    let root = |of: &dyn Fn(&Scatter) -> f64| all.iter().map(|s| of(s).powi(2)).sum::<f64>().sqrt();
    Scatter { common: root(&|s| s.common), each: root(&|s| s.each) }
}

#[cfg(test)]
mod tests {
    use dyeing::Setting;
    use plan::NEW_JOB;

    use super::*;
    use crate::{Recording, SwatchesWanted, record_swatches};

    /// What a file of swatches teaches of the starter shelf.
    fn taught_by(text: &str) -> Taught {
        let folder = tempfile::tempdir().unwrap();
        let (file, book) = (folder.path().join("s.toml"), folder.path().join("b.sqlite"));
        std::fs::write(&file, text).unwrap();
        let at = "2031-03-02T10:00:00Z".to_owned();
        let recording = Recording { who: "a test".to_owned(), at };
        record_swatches(&SwatchesWanted { file, book: Some(book.clone()), shelf: None, recording })
            .unwrap();
        let shelf = Shelf::of_starters();
        let remembered = Remembered::read(&book).unwrap();
        taught(&remembered, &shelf, Lore::shipped()).unwrap()
    }

    /// A swatch of 1 % of a navy on cotton, with what is told beside.
    fn swatch(code: &str, more: &str, dose: &str, reading: &str) -> String {
        format!(
            "[[swatch]]\ncode = \"{code}\"\ncloth = \"cotton\"\nweight_g = 2\n{more}\n\
             dose = [{{ dye = \"reactive-navy\", {dose} }}]\n\
             reading = [{{ colour = {{ lab = [38.0, -3.0, -22.0] }}, spread = 1, {reading} }}]\n"
        )
    }

    const PLAIN: &str = "undyed = \"white\"\nliquor_ratio = 20";
    const DRY: &str = "washed_off = true, dry = true";

    /// How unsure 1 % of the navy on cotton still is, rms ΔE00.
    fn doubt(taught: &Taught) -> f64 {
        let place = Shelf::of_starters().dyes.iter().position(|d| d.dye.id == "reactive-navy");
        let ground = Ground::assumed(&[("cotton", Share::WHOLE)], Look::White).unwrap();
        let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
        let on = Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio).unwrap();
        let dose = OnFibre::try_percent(1.0).unwrap();
        let bath = [InBath { dye: place.unwrap(), dose, scatter: 0.0 }];
        let setting = Setting { on: &on, fibre: "cotton", job: NEW_JOB };
        taught.experience().foretell(&setting, &[&bath], HOME).unwrap().recipe(0).rms()
    }

    /// The less is told, and the further it is from one's own pot and cloth, the less it teaches.
    #[test]
    fn what_is_unsaid_and_what_is_anothers_teaches_less() {
        let one = |more: &str, reading: &str| {
            doubt(&taught_by(&swatch("A", more, "owf_pct = 1, scatter_pct = 2", reading)))
        };
        let own = one(PLAIN, DRY);
        let doubts = [
            ("unsaid cloth", one("liquor_ratio = 20", DRY)),
            ("unsaid ratio", one("undyed = \"white\"", DRY)),
            ("unsaid state", one(PLAIN, "by = \"photograph\"")),
            ("another cloth", one(&format!("{PLAIN}\nlook_alike = true"), DRY)),
            ("a friend's", one(&format!("{PLAIN}\nfriend = \"Ada\""), DRY)),
            ("an old note's", one(&format!("{PLAIN}\nold_note = \"page 3\""), DRY)),
        ];
        for (what, doubt) in doubts {
            assert!(doubt > own * 1.02, "{what}: {doubt} beside {own}");
        }
        assert!(doubts[5].1 > doubts[4].1, "an old note teaches less than a friend");
        let unread = doubt(&taught_by(&swatch("A", PLAIN, "owf_pct = 1", "dry = false")));
        assert!(unread > doubts[5].1, "{unread}");
    }

    /// Own dye of no told lot is the shelf's; a named lot, a friend's and an old note's are lots of their own,
    /// and each hand has jobs of its own.
    #[test]
    fn lots_and_hands_are_kept_apart() {
        let all = [
            swatch("A", PLAIN, "owf_pct = 1", &format!("{DRY}, job = \"Sunday\"")),
            swatch("B", PLAIN, "owf_pct = 1, lot = \"N-8\"", &format!("{DRY}, job = \"Sunday\"")),
            swatch(
                "C",
                &format!("{PLAIN}\nfriend = \"Ada\""),
                "owf_pct = 1",
                &format!("{DRY}, job = \"Sunday\""),
            ),
            swatch("D", PLAIN, "owf_pct = 1, lot = \"N-8\"", DRY),
        ];
        let taught = taught_by(&all.concat());
        let shelf = Shelf::of_starters().dyes.len();
        let of = |code: &str| taught.lessons().iter().find(|l| l.code == code).unwrap();
        assert!(of("A").doses[0].0 < shelf);
        assert_eq!((of("B").doses[0].0, of("D").doses[0].0), (shelf, shelf));
        assert_eq!(of("C").doses[0].0, shelf + 1);
        assert_eq!(of("A").job, of("B").job);
        assert!(of("C").job != of("A").job && of("D").job != of("A").job);
        assert!(of("A").own && !of("C").own);
    }

    /// Of a blend that takes the dye as a whole a swatch counts for the fibre there is most of, weaker than on that fibre
    /// alone; where a part stays as it is, it teaches nothing.
    #[test]
    fn a_blend_teaches_of_the_fibre_there_is_most_of() {
        let of = |cloth: &str| {
            let one = swatch("A", PLAIN, "owf_pct = 1, scatter_pct = 2", DRY);
            taught_by(&one.replace("cloth = \"cotton\"", &format!("cloth = {cloth}")))
        };
        let plain = doubt(&of("\"cotton\""));
        let blend = of("{ linen = 40, cotton = 60 }");
        assert_eq!(blend.lessons()[0].fibre, "cotton");
        assert!(doubt(&blend) > plain, "{} {plain}", doubt(&blend));
        assert!(doubt(&blend) < 0.8 * doubt(&of("\"wool\"")), "it teaches of cotton");
        let stretch = of("{ cotton = 95, elastane = 5 }");
        assert!((doubt(&stretch) - plain).abs() < 1e-9, "elastane is not seen");
        let part = of("{ cotton = 50, polyester = 50 }");
        assert!(part.lessons().is_empty());
        assert_eq!(part.passed_over()[0].why, plan::NotTaught::SeveralFibres);
    }

    /// Doses are as really dosed: by weight, by stock solution, by the litre of liquor, in two goes.
    #[test]
    fn doses_come_to_weight_of_fibre() {
        let of = |dose: &str| {
            let taught = taught_by(&swatch("A", PLAIN, dose, DRY));
            taught.lessons()[0].doses[0].1.to_percent()
        };
        assert!((of("grams = 0.03") - 1.5).abs() < 1e-9);
        assert!((of("stock_ml = 3, stock_pct = 1") - 1.5).abs() < 1e-9);
        assert!((of("g_per_l = 0.5") - 1.0).abs() < 1e-9);
        let two = of("owf_pct = 1 }, { dye = \"reactive-navy\", owf_pct = 0.25");
        assert!((two - 1.25).abs() < 1e-9);
    }
}
