//! A card printed at home, read once by a known chart in the same photograph, and its values written as a text file.
//!
//! The file is CGATS.17: colours for D65 and the 10° observer, and how far each may be off, so that whoever reads cloth by
//! the card hands that on. Left out: spectra, which a photograph of a print does not tell.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use colour::ClothPrior;
use picture::{Asked, CardFault, CardReading, ChartKind, HomeCard, PhotoRefusal};
use serde::Serialize;

use crate::disk::{Mark, can_write_into, only_over_ours, write_whole};
use crate::photo_asked::{Words, four_corners, numbers, open, own_chart, parted};
use crate::photo_read::{WeakSeen, weak_seen};
use crate::shown::{lab, rounded};
use crate::{ReadWanted, Trouble};

/// What is asked.
#[derive(Debug, Clone)]
pub struct CardReadWanted {
    /// The photograph of card and chart.
    pub photo: PathBuf,
    /// The card's four corners; none: it is looked for.
    pub card_corners: Option<String>,
    /// The known chart's four corners; none: it is looked for.
    pub corners: Option<String>,
    /// A text file with the known chart's patches; none: the classic chart of 24.
    pub chart: Option<PathBuf>,
    /// Patches in a row of it.
    pub across: Option<usize>,
    /// A photograph of white paper from the same stand.
    pub white: Option<PathBuf>,
    /// The light, in words.
    pub light: Option<String>,
    /// "camera" or "linear".
    pub from: String,
    /// The code on the card.
    pub code: String,
    /// The file to write.
    pub out: PathBuf,
    /// The day.
    pub day: String,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CardRead {
    /// Always "card-read".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The photograph.
    pub photograph: String,
    /// The code.
    pub code: String,
    /// The file written.
    pub written: String,
    /// In a row.
    pub across: usize,
    /// The patches, row after row.
    pub patches: Vec<PatchRead>,
    /// Nine of ten of the values lie within this ΔE00 of the truth, the middle patch's.
    pub spread90: f64,
    /// The light, as it was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub light: Option<String>,
    /// Light under which it is read weakly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weak_light: Option<WeakSeen>,
    /// What is wrong with the print.
    pub doubts: Vec<String>,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

/// One patch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatchRead {
    /// Its name: row by letter, place in it by number.
    pub name: String,
    /// L*, a*, b* for D65 and the 10° observer.
    pub lab: [f64; 3],
    /// Nine of ten such values lie within this ΔE00 of the truth.
    pub spread90: f64,
    /// The same as root mean square.
    pub spread_rms: f64,
}

/// What a file of ours begins with.
pub(crate) const HEAD: &str = "CGATS.17\nORIGINATOR \"dyewright\"\n";

/// Reads the card and writes its values.
pub fn read_card(wanted: &CardReadWanted) -> Result<CardRead, Trouble> {
    can_write_into(wanted.out.parent().unwrap_or_else(|| Path::new("")))?;
    only_over_ours(&wanted.out, Mark::Begins(HEAD))?;
    let mut answer = look_at_card(wanted)?;
    answer.written = wanted.out.display().to_string();
    write_whole(&[(&wanted.out, text(&wanted.day, &answer).as_bytes())])?;
    Ok(answer)
}

/// Reads the card, and writes nothing.
pub(crate) fn look_at_card(wanted: &CardReadWanted) -> Result<CardRead, Trouble> {
    let words = Words::of(&ReadWanted {
        photo: wanted.photo.clone(),
        corners: wanted.corners.clone(),
        from: wanted.from.clone(),
        ..ReadWanted::default()
    })?;
    let card_corners = wanted.card_corners.as_deref().map(|given| {
        numbers(given).as_deref().and_then(four_corners).ok_or_else(|| {
            Trouble::refused(
                format!("--card-corners \"{given}\" is not four corners"),
                "write the outer corners of the card's corner patches one after another around it, in pixels",
            )
        })
    });
    let card_corners = card_corners.transpose()?;
    let own = wanted.chart.as_deref().map(|file| own_chart(file, wanted.across)).transpose()?;
    let chart = own.as_ref().map_or_else(|| ChartKind::classic(), |(chart, _)| chart);
    let picture = open(&wanted.photo)?;
    let paper = wanted.white.as_deref().map(open).transpose()?;
    let asked = Asked { chart, corners: words.corners, cloths: &[], paper: paper.as_ref() };
    let name = wanted.photo.display().to_string();
    let bad = |why: PhotoRefusal| {
        let (says, hint) = parted(&why);
        Trouble::refused(format!("{name}: {says}"), hint)
    };
    let read = picture.read_card(&asked, card_corners, words.chain, ClothPrior::shipped());
    let read = read.map_err(bad)?;
    if read.faults.iter().any(CardFault::is_fatal) {
        let says: Vec<String> = read.faults.iter().filter(|f| f.is_fatal()).map(fault).collect();
        return Err(Trouble::refused(
            format!("{name}: the card is no use as a chart. {}", says.join(" ")),
            "print it anew: colour inks full, best quality, the whole card on one sheet; or take another printer",
        ));
    }
    Ok(told(wanted, name, &read))
}

fn told(wanted: &CardReadWanted, photograph: String, read: &CardReading) -> CardRead {
    let patches: Vec<PatchRead> = read
        .patches
        .iter()
        .enumerate()
        .map(|(n, seen)| PatchRead {
            name: HomeCard::name(n),
            lab: lab(seen.lab),
            spread90: rounded(seen.within90, 1).max(0.1),
            spread_rms: rounded(seen.rms(), 1).max(0.1),
        })
        .collect();
    let mut spreads: Vec<f64> = patches.iter().map(|p| p.spread90).collect();
    spreads.sort_by(f64::total_cmp);
    let mut notes = vec![
        "The values are colours for daylight and 10°, read in one light. Inks and dyes part in other lights: what this adds is \
         in the spread only as far as the light of a reading is like the light the card was read in."
            .to_owned(),
        "Most paper is brightened, and a photograph cannot tell for certain: read the card and cloth by it in the same kind of \
         light, away from strong sun and ultraviolet."
            .to_owned(),
        "Every print is another card: this file is for this one sheet, and for as long as it has not faded.".to_owned(),
    ];
    if wanted.light.is_none() {
        notes.push(
            "The light was not said; --light \"north window, overcast\" keeps it in the file."
                .to_owned(),
        );
    }
    CardRead {
        dyewright: "card-read",
        version: 1,
        photograph,
        code: wanted.code.clone(),
        written: String::new(),
        across: HomeCard::across(),
        spread90: spreads.get(spreads.len() / 2).copied().unwrap_or_default(),
        patches,
        light: wanted.light.clone(),
        weak_light: read.weak.map(weak_seen),
        doubts: read.faults.iter().map(fault).collect(),
        notes,
    }
}

fn fault(it: &CardFault) -> String {
    match it {
        CardFault::Alike(one, other, apart) => format!(
            "Patches {one} and {other} are almost alike (ΔE00 {apart:.1}): is an ink out, or was it a draft? They help little."
        ),
        CardFault::Range(high, low) => format!(
            "From the lightest patch to the darkest there is little: L* {high:.0} to {low:.0}."
        ),
        CardFault::Dull(chroma) => {
            format!("The strongest colour is dull (chroma {chroma:.0}): was it printed in grey?")
        }
        CardFault::Brightened(b) => format!(
            "The paper is bluish (b* {b:.1}), as brightened paper is: pale patches change with the ultraviolet in the light. Take \
             paper without brightener if you can; else photograph cloth in the same light in which this was read."
        ),
    }
}

/// The file.
pub(crate) fn text(day: &str, read: &CardRead) -> String {
    let tidy = |text: &str| -> String {
        let sound = |c: char| if c == '"' || c.is_control() { '\'' } else { c };
        text.chars().map(sound).take(120).collect()
    };
    let light = read.light.as_deref().unwrap_or("not said");
    let weak = read.weak_light.as_ref().map_or_else(String::new, |w| {
        format!(
            "# Read in weak light ({}): nine of ten cloths to {} there, {} in daylight.\n",
            w.kind, w.spread90, w.in_daylight
        )
    });
    let mut out = format!(
        "{HEAD}DESCRIPTOR \"printed colour card {}\"\nCREATED \"{}\"\n# Read from a photograph with a known chart ({}), not \
         measured.\n# Light it was read in: {}\n{weak}",
        tidy(&read.code),
        tidy(day),
        tidy(&read.photograph),
        tidy(light),
    );
    for doubt in &read.doubts {
        let _ = writeln!(out, "# {}", tidy(doubt));
    }
    let _ = write!(
        out,
        "# STDEV_DE: root mean square CIEDE2000 of the value; SPREAD90: nine of ten lie within it.\n\
         KEYWORD \"PATCHES_ACROSS\"\nPATCHES_ACROSS {}\nKEYWORD \"SPREAD90\"\n\
         WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION \"OBSERVER, 10 degree\"\n\
         NUMBER_OF_FIELDS 6\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B STDEV_DE SPREAD90\nEND_DATA_FORMAT\n\
         NUMBER_OF_SETS {}\nBEGIN_DATA\n",
        read.across,
        read.patches.len()
    );
    for p in &read.patches {
        let [l, a, b] = p.lab;
        let _ =
            writeln!(out, "{} {l:.1} {a:.1} {b:.1} {:.1} {:.1}", p.name, p.spread_rms, p.spread90);
    }
    out.push_str("END_DATA\n");
    out
}
