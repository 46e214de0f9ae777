//! The ladder of one dye: what it adds to a cloth against its amount, as the maker's own swatches of it show, with the line
//! of the model through them and how far that may be off.
//!
//! Swatches of the shelf's file and of the workbook alike, of this dye alone; mixes count in the line and cannot be drawn.
//! Where no spectrum was read a swatch is as deep as the dye must be to come nearest to its colour. One dyed at another liquor ratio, or on a cloth dyed alike, is brought to the drawn one by what the model says that does.
//! Left out: which rungs to dye next (`swatches_planned`).

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use colour::{Bands, Lab, Weights, ciede2000};
use costume::{Rung, ShelfDye};
use dyeing::{Dye, Ground, Knowledge, Look, REFERENCE_RATIO, Seen, Substrate, depth_read, depths};
use lore::Lore;
use plan::{NEW_JOB, Taught, ToLearn, fibre_of};
use serde::Serialize;
use units::{LiquorRatio, OnFibre, Share};

use crate::book_seen::hex_of;
use crate::lessons::of_one_dye;
use crate::remembered::Remembered;
use crate::shelves::{cloth_for, near_ids, of};
use crate::{Trouble, shown};

/// A dye's ladders.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DyeLadder {
    /// Always "dye-ladder".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// Its id on the shelf.
    pub id: String,
    /// Its hue in words.
    pub name: String,
    /// Its class in words.
    pub class_name: String,
    /// How it is known before any swatch of the workbook.
    pub known: &'static str,
    /// One ladder for every fibre it was dyed on; where it was on none, the one it is best on.
    pub on: Vec<LadderOn>,
    /// Swatches of mixes that it was part of: they count in the lines.
    pub mixes: usize,
}

/// The ladder on one fibre.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LadderOn {
    /// The cloth, in words.
    pub cloth: String,
    /// The wavelength it is drawn for: where the dye absorbs most, nm.
    pub nm: u32,
    /// The line, from the palest dose: % owf, what it adds to K/S, and what it adds at least and at most nine times in ten.
    pub line: Vec<[f64; 4]>,
    /// The swatches, the palest first.
    pub rungs: Vec<RungSeen>,
    /// True where the line rests on the maker's own swatches on this fibre.
    pub own: bool,
    /// What the drawing shows, in words.
    pub words: Vec<String>,
}

/// A swatch of the dye alone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RungSeen {
    /// What it is called: the code on its card, or where it stands.
    pub of: String,
    /// % owf, as really dosed.
    pub owf_pct: f64,
    /// What it adds to K/S.
    pub adds: f64,
    /// Its colour in words.
    pub words: String,
    /// For a screen.
    pub hex: String,
    /// True where a spectrum was read; else it is as deep as this dye must be to come nearest to the colour.
    pub by_spectrum: bool,
    /// True for the maker's own; a friend's and an old note's are others'.
    pub own: bool,
    /// True where it was dyed at another ratio, or on another cloth that dyes alike, and brought to this one.
    pub brought: bool,
}

/// Places of the line.
const PLACES: u32 = 24;

/// A line from nothing known is drawn to this depth at least, % owf.
const DRAWN_TO: f64 = 4.0;

/// Draws the ladders of a dye of a shelf file, else of the starter shelf, with what a workbook has of it.
///
/// # Errors
/// A dye that is not on the shelf; files that cannot be read.
pub fn ladder_of_dye(
    shelf: Option<&Path>,
    book: Option<&Path>,
    id: &str,
) -> Result<DyeLadder, Trouble> {
    let lore = Lore::shipped();
    let shelf = of(shelf, lore)?;
    let place = shelf.dyes.iter().position(|one| one.dye.id == id).ok_or_else(|| {
        Trouble::refused(format!("there is no dye \"{id}\" on this shelf"), near_ids(id, &shelf))
    })?;
    let remembered = match book {
        Some(book) => Remembered::read(book)?,
        None => Remembered::default(),
    };
    let (alone, mixes) = of_one_dye(&remembered, &shelf, lore, id);
    let taught = match alone.is_empty() && mixes == 0 {
        true => None,
        false => remembered.taught(&shelf, lore)?,
    };
    let one = &shelf.dyes[place];
    let mut by_fibre: BTreeMap<String, Vec<Given<'_>>> = BTreeMap::new();
    for rung in &one.rungs {
        by_fibre.entry(fibre_of(lore, &rung.material)).or_default().push(Given::Shelf(rung));
    }
    for swatch in &alone {
        by_fibre.entry(swatch.head.fibre.clone()).or_default().push(Given::Book(swatch));
    }
    if by_fibre.is_empty()
        && let Some(cloth) = cloth_for(one, lore)
    {
        by_fibre.insert(fibre_of(lore, &cloth), vec![]);
    }
    let on = by_fibre
        .iter()
        .filter_map(|(fibre, given)| on_fibre(one, place, fibre, given, taught.as_ref()))
        .collect();
    Ok(DyeLadder {
        dyewright: "dye-ladder",
        version: 1,
        id: one.dye.id.clone(),
        name: one.dye.name.clone(),
        class_name: lore.class_name(one.dye.class).to_owned(),
        known: one.dye.knowledge.words(),
        on,
        mixes,
    })
}

/// A swatch of the dye, from the shelf's file or from the workbook.
enum Given<'a> {
    Shelf(&'a Rung),
    Book(&'a ToLearn),
}

impl Given<'_> {
    fn on(&self) -> &Substrate {
        match self {
            Self::Shelf(rung) => &rung.on,
            Self::Book(it) => &it.dyeing.on,
        }
    }

    fn dose(&self) -> Option<OnFibre> {
        match self {
            Self::Shelf(rung) => Some(rung.dose),
            Self::Book(it) => {
                let all = it.head.doses.iter().map(|(_, dose)| dose.to_percent()).sum();
                OnFibre::try_percent(all).ok()
            }
        }
    }

    fn lab(&self) -> Lab {
        match self {
            Self::Shelf(rung) => rung.lab,
            Self::Book(it) => it.head.read,
        }
    }

    fn spectrum(&self) -> Option<Bands> {
        match self {
            Self::Shelf(rung) => rung.bands,
            Self::Book(it) => match it.dyeing.glimpse.seen {
                Seen::Spectrum(bands) => Some(bands),
                Seen::Colour(_) => None,
            },
        }
    }
}

fn on_fibre(
    one: &ShelfDye,
    place: usize,
    fibre: &str,
    given: &[Given<'_>],
    taught: Option<&Taught>,
) -> Option<LadderOn> {
    let known = taught.and_then(|taught| believed(taught, fibre, place));
    let dye = known.as_ref().unwrap_or(&one.dye);
    let drawn = white(fibre, dye)?;
    let mut rungs: Vec<RungSeen> =
        given.iter().filter_map(|given| rung(given, dye, &drawn)).collect();
    rungs.sort_by(|a, b| a.owf_pct.total_cmp(&b.owf_pct).then(a.of.cmp(&b.of)));
    let deepest = rungs.iter().map(|r| r.owf_pct).fold(0.0, f64::max);
    let most = (1.15 * deepest).max(DRAWN_TO.min(dye.most.to_percent()));
    let doses: Vec<OnFibre> = (0..=PLACES)
        .filter_map(|n| OnFibre::try_percent(most * f64::from(n) / f64::from(PLACES)).ok())
        .collect();
    let line: Vec<[f64; 4]> = depths(&drawn, dye, &doses)
        .into_iter()
        .map(|at| [at.dose.to_percent(), at.adds, at.least, at.most].map(|n| shown::rounded(n, 3)))
        .collect();
    let swatched = matches!(dye.knowledge, Knowledge::Swatches | Knowledge::Ladder);
    let own = swatched || rungs.iter().any(|r| r.own);
    let words = words(dye, &drawn, &rungs, own);
    Some(LadderOn {
        cloth: format!("white {}", fibre.replace('-', " ")),
        nm: u32::try_from(Bands::wavelength(dye.main_band())).unwrap_or(0),
        line,
        rungs,
        own,
        words,
    })
}

/// The dye as all swatches taught it on a fibre.
fn believed(taught: &Taught, fibre: &str, place: usize) -> Option<Dye> {
    let mut there = taught.experience().clone();
    there.also_on(fibre).ok()?;
    Arc::new(there).dyes(fibre, NEW_JOB).into_iter().nth(place)
}

/// The cloth that is drawn: white, of this fibre, at 20:1.
fn white(fibre: &str, dye: &Dye) -> Option<Substrate> {
    let ground = Ground::assumed(&[(fibre, Share::WHOLE)], Look::White).ok()?;
    let ratio = LiquorRatio::try_litres_per_kilogram(REFERENCE_RATIO).ok()?;
    Substrate::try_new(&ground, dye.class, ratio).ok()
}

fn rung(given: &Given<'_>, dye: &Dye, drawn: &Substrate) -> Option<RungSeen> {
    let (lab, spectrum, dose) = (given.lab(), given.spectrum(), given.dose()?);
    let bands = match spectrum {
        Some(bands) => bands,
        None => as_deep(given.on(), dye, lab)?,
    };
    let hex = match spectrum {
        Some(bands) => shown::on_screen(&bands).0,
        None => hex_of(lab)?,
    };
    let of_line = |on: &Substrate| depths(on, dye, &[dose]).first().map(|at| at.adds);
    let (here, there) = (of_line(drawn)?, of_line(given.on())?);
    let factor = if there > 0.0 { here / there } else { 1.0 };
    let (of, own) = match given {
        Given::Shelf(_) => ("the shelf file".to_owned(), true),
        Given::Book(it) => (it.head.code.clone(), it.head.own),
    };
    Some(RungSeen {
        of,
        owf_pct: shown::rounded(dose.to_percent(), 3),
        adds: shown::rounded(depth_read(given.on(), dye, &bands) * factor, 2),
        words: colour::describe(lab),
        hex,
        by_spectrum: spectrum.is_some(),
        own,
        brought: (factor - 1.0).abs() > 0.01,
    })
}

/// The cloth with as much of this dye on it as comes nearest to a colour. The likeliest cloth of that colour would be
/// another one: it knows nothing of the dye, and at one wavelength that shows.
fn as_deep(on: &Substrate, dye: &Dye, lab: Lab) -> Option<Bands> {
    const STEPS: u32 = 60;
    let absorbs = dye.absorbs();
    let strongest = absorbs[dye.main_band()];
    // From a breath of colour to deeper than any cloth, in K/S at the main band.
    let (palest, deepest): (f64, f64) = (1e-3, 100.0);
    let cloth = |adds: f64| on.dyed(&absorbs.map(|a| a / strongest * adds));
    let off = |adds: f64| ciede2000(lab, Weights::reference().lab_of(&cloth(adds)));
    let at = |share: f64| palest * (deepest / palest).powf(share);
    let nearest = |from: f64, to: f64| {
        let place = |n: u32| from + (to - from) * f64::from(n) / f64::from(STEPS);
        (0..=STEPS).map(place).min_by(|a, b| off(at(*a)).total_cmp(&off(at(*b))))
    };
    let near = nearest(0.0, 1.0)?;
    let step = 1.0 / f64::from(STEPS);
    let share = nearest((near - step).max(0.0), (near + step).min(1.0))?;
    Bands::try_new(cloth(at(share))).ok()
}

/// What the drawing shows.
fn words(dye: &Dye, drawn: &Substrate, rungs: &[RungSeen], own: bool) -> Vec<String> {
    let mut said = vec![];
    let at = |percent: f64| {
        let dose = OnFibre::try_percent(percent).ok()?;
        depths(drawn, dye, &[dose]).into_iter().next()
    };
    match (rungs.len(), own) {
        (0, false) => said.push(
            "No swatch of this dye alone is recorded here: the line is what its hue and its class let expect."
                .to_owned(),
        ),
        (0, true) => said.push("The line rests on swatches of mixes; of this dye alone there is none.".to_owned()),
        (1, _) => said.push("One swatch of it alone; a second one, paler or deeper, would show how it bends.".to_owned()),
        (many, _) => said.push(format!("{many} swatches of it alone.")),
    }
    if let (Some(one), Some(two)) = (at(1.0), at(2.0)) {
        let times = two.adds / one.adds;
        let bends = if times > 1.9 { "hardly bends" } else { "bends" };
        said.push(format!(
            "The line {bends}: 2 % adds {} times what 1 % adds.",
            units::trimmed(shown::rounded(times, 1), 1)
        ));
        let wide = (one.most / one.least).sqrt();
        said.push(match wide {
            wide if wide < 1.995 => format!(
                "Nine times in ten 1 % adds what the line says, give or take {} %.",
                shown::rounded((wide - 1.0) * 100.0, 0)
            ),
            wide => format!(
                "Nine times in ten 1 % adds between 1/{0} and {0} times what the line says.",
                shown::rounded(wide, 1)
            ),
        });
    }
    let outside: Vec<String> = rungs
        .iter()
        .enumerate()
        .filter(|(_, r)| at(r.owf_pct).is_some_and(|at| r.adds < at.least || r.adds > at.most))
        .map(|(n, _)| (n + 1).to_string())
        .collect();
    if rungs.len() > 1 && outside.is_empty() {
        said.push("All of them lie within the band.".to_owned());
    } else if !outside.is_empty() {
        said.push(format!(
            "Outside the band: {} of {} (number {}). The band is of the line; one dyeing and its reading scatter beside it.",
            outside.len(),
            rungs.len(),
            outside.join(", ")
        ));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Recording, SwatchesWanted, record_swatches};

    const SHELF: &str = "[[dye]]\nid = \"gold\"\nlike = \"reactive-golden\"\n\
        [[dye.swatch]]\nowf_pct = 0.5\non = \"cotton\"\nlab = [77.0, 17.0, 60.0]\n\
        [[dye.swatch]]\nowf_pct = 2.0\non = \"cotton\"\nlab = [70.0, 29.0, 77.0]\n\
        [[dye]]\nid = \"navy\"\nlike = \"reactive-navy\"\n";

    fn swatch(code: &str, more: &str, dose: &str, lab: &str) -> String {
        format!(
            "[[swatch]]\ncode = \"{code}\"\ncloth = \"cotton\"\nundyed = \"white\"\nweight_g = 2\n{more}\n\
             dose = [{dose}]\nreading = [{{ colour = {{ lab = {lab} }}, spread = 1, washed_off = true, dry = true }}]\n"
        )
    }

    /// A shelf and a workbook with three swatches of the navy alone, one of them at another ratio and a friend's, and one of
    /// a mix.
    fn there() -> (tempfile::TempDir, std::path::PathBuf, std::path::PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::fs::write(at("shelf.toml"), SHELF).unwrap();
        let navy = |pct: f64| format!("{{ dye = \"navy\", owf_pct = {pct} }}");
        let all = [
            swatch("P-2", "liquor_ratio = 20", &navy(2.0), "[28.0, -1.0, -21.0]"),
            swatch("P-1", "liquor_ratio = 20", &navy(0.5), "[48.0, -4.0, -21.0]"),
            swatch("F-1", "liquor_ratio = 40\nfriend = \"Ada\"", &navy(1.0), "[40.0, -3.0, -22.0]"),
            swatch(
                "M-1",
                "liquor_ratio = 20",
                &format!("{}, {{ dye = \"gold\", owf_pct = 0.5 }}", navy(0.5)),
                "[43.0, -12.0, -2.0]",
            ),
        ];
        std::fs::write(at("s.toml"), format!("shelf = \"shelf.toml\"\n{}", all.concat())).unwrap();
        let (shelf, book) = (at("shelf.toml"), at("b.sqlite"));
        record_swatches(&SwatchesWanted {
            file: at("s.toml"),
            book: Some(book.clone()),
            shelf: Some(shelf.clone()),
            recording: Recording {
                who: "a test".to_owned(),
                at: "2031-03-02T10:00:00Z".to_owned(),
            },
        })
        .unwrap_or_else(|e| panic!("{e}"));
        (folder, shelf, book)
    }

    #[test]
    fn rungs_of_the_shelf_and_of_the_workbook_stand_on_the_line_they_taught() {
        let (_folder, shelf, book) = there();
        let gold = ladder_of_dye(Some(&shelf), None, "gold").unwrap();
        let [on] = gold.on.as_slice() else { panic!("{gold:?}") };
        assert_eq!((on.rungs.len(), on.own, gold.mixes), (2, true, 0));
        assert!(on.rungs.iter().all(|r| r.own && !r.by_spectrum && !r.brought), "{:?}", on.rungs);
        let navy = ladder_of_dye(Some(&shelf), Some(&book), "navy").unwrap();
        let [on] = navy.on.as_slice() else { panic!("{navy:?}") };
        let codes: Vec<&str> = on.rungs.iter().map(|r| r.of.as_str()).collect();
        assert_eq!(codes, ["P-1", "F-1", "P-2"], "the palest first");
        assert_eq!(navy.mixes, 1);
        assert!(on.rungs[1].brought && !on.rungs[1].own && on.rungs[0].own);
        assert!(on.rungs[0].adds < on.rungs[1].adds && on.rungs[1].adds < on.rungs[2].adds);
        for rung in [&on.rungs[0], &on.rungs[2]] {
            let near = on
                .line
                .iter()
                .min_by(|a, b| (a[0] - rung.owf_pct).abs().total_cmp(&(b[0] - rung.owf_pct).abs()));
            let [_, _, least, most] = near.copied().unwrap();
            assert!(rung.adds > 0.7 * least && rung.adds < 1.4 * most, "{rung:?} {near:?}");
        }
        assert!(on.line.windows(2).all(|w| w[0][1] < w[1][1]), "more dye adds more");
    }

    /// Swatches narrow the band; without one the line is an estimate and says so.
    #[test]
    fn without_a_swatch_it_is_an_estimate() {
        let (_folder, shelf, book) = there();
        let wide = |ladder: &DyeLadder| {
            let [_, _, least, most] = ladder.on[0].line[8];
            most / least
        };
        let before = ladder_of_dye(Some(&shelf), None, "navy").unwrap();
        let after = ladder_of_dye(Some(&shelf), Some(&book), "navy").unwrap();
        assert!(!before.on[0].own && after.on[0].own);
        assert!(before.on[0].words[0].starts_with("No swatch"), "{:?}", before.on[0].words);
        assert!(wide(&after) < 0.8 * wide(&before), "{} {}", wide(&after), wide(&before));
        let starter = ladder_of_dye(None, None, "acid-navy").unwrap();
        assert_eq!(starter.on[0].cloth, "white wool");
        assert!(ladder_of_dye(None, None, "acid-nav").unwrap_err().to_string().contains("no dye"));
    }
}
