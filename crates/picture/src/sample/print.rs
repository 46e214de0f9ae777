//! A card printed at home, read once: its patches by a known chart in the same photograph.
//!
//! The card is found by what was asked of the printer, and judged for clipping, blur and gleam as a chart is; its colours are
//! not judged, since nobody knows them. Whether it is a good print (`CardFault`) is seen from the colours read. Left out:
//! writing them down.

use colour::{ClothPrior, ciede2000};

use crate::faults::crept;
use crate::{
    Asked, ClothSeen, FoundChart, HomeCard, PhotoRefusal, Picture, Sample, Taken, Told, WeakLight,
};

/// A card read.
#[derive(Debug, Clone)]
pub struct CardReading {
    /// The known chart.
    pub taken: Taken,
    /// Where the card lies.
    pub card: FoundChart,
    /// Its patches, row after row.
    pub patches: Vec<ClothSeen>,
    /// Whether the light is one under which it is read weakly, and by how much.
    pub weak: Option<WeakLight>,
    /// What is wrong with the print.
    pub faults: Vec<CardFault>,
}

/// What is wrong with a print, or doubtful in it.
#[derive(Debug, Clone, PartialEq)]
pub enum CardFault {
    /// Patches that should differ and do not: an ink is out, or the print is a draft. Names of two and how far apart.
    Alike(String, String, f64),
    /// Lightest and darkest patch, L*: little between them.
    Range(f64, f64),
    /// The strongest colour's chroma: grey ink only, or nearly.
    Dull(f64),
    /// The paper is bluer than white paper without brightener is: its b*.
    Brightened(f64),
}

/// Inks are unlike cloth: what the belief about cloth states of a patch is drawn out by this. So drawn out, 90.5 % of the
/// patches of made-up printers were held in daylight by 24 made-up cameras.
const INK: f64 = 1.4;

/// Patches nearer than this are alike (a draft's scatter; judgement). As asked for, none are nearer than 3.5.
const ALIKE: f64 = 1.2;
/// Least distance in L* from the darkest patch to the lightest; a fair print on matt paper has 60 and more (from memory).
const RANGE: f64 = 50.0;
/// Least chroma of the strongest colour; a fair print on matt paper has 50 and more (from memory).
const CHROMA: f64 = 30.0;
/// Paper without brightener is yellowish, or white at most; brightened office paper has b* −3 to −15 in daylight (from
/// memory). The limit leaves room for what a photograph is off.
const BLUISH: f64 = -2.5;

impl CardFault {
    /// Whether the card is of no use.
    #[must_use]
    pub const fn is_fatal(&self) -> bool {
        matches!(self, Self::Range(..) | Self::Dull(_))
    }
}

impl Picture {
    /// Reads a card printed at home by the chart that `asked` names. `corners` are the card's, where it is not to be looked
    /// for.
    ///
    /// # Errors
    /// All that [`Self::take`] refuses of the chart; no card; a card that is clipped, blurred or gleams; a patch that cannot
    /// be read.
    pub fn read_card(
        &self,
        asked: &Asked<'_>,
        corners: Option<[[f64; 2]; 4]>,
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<CardReading, PhotoRefusal> {
        let taken = self.take(asked)?;
        let calibration = taken.calibration(asked, told, prior)?;
        let kind = HomeCard::to_be_found().ok_or(PhotoRefusal::NoCard)?;
        let found = match corners {
            Some(corners) => self.chart_at(&kind, corners),
            None => self.find_chart(&kind),
        };
        let card = found.map_err(|why| match why {
            PhotoRefusal::NoChart | PhotoRefusal::OtherColours { .. } => PhotoRefusal::NoCard,
            other => PhotoRefusal::OnCard(other.to_string()),
        })?;
        let many = kind.patches().len();
        let mut samples = self.sample_patches(&card, many);
        let clipped = samples.iter().filter(|s| s.clipped > 0.2).count();
        if clipped > 0 {
            return Err(PhotoRefusal::OnCard(
                PhotoRefusal::Clipped { patches: clipped }.to_string(),
            ));
        }
        if crept(self, &card, &kind).is_none_or(|v| v > crate::faults::MOST_CREPT) {
            return Err(PhotoRefusal::OnCard(PhotoRefusal::Blurred.to_string()));
        }
        let white = samples.iter().map(|s| s.rgb[1]).fold(0.0, f64::max);
        let leans = |s: &Sample| {
            s.lean / s.rgb.iter().copied().fold(0.03 * white, f64::max) > crate::faults::MOST_LEAN
        };
        if samples.iter().any(leans) {
            return Err(PhotoRefusal::OnCard(PhotoRefusal::Glare.to_string()));
        }
        if let Some(paper) = asked.paper {
            for (patch, white) in samples.iter_mut().zip(paper.sample_patches(&card, many)) {
                patch.paper = Some(white.rgb);
            }
        }
        let read: Result<Vec<ClothSeen>, crate::Refusal> =
            samples.iter().map(|s| calibration.try_cloth(&s.seen())).collect();
        let patches: Vec<ClothSeen> = read?.into_iter().map(of_ink).collect();
        let faults = faults(&patches);
        Ok(CardReading { taken, card, patches, weak: calibration.weak_light(), faults })
    }
}

/// A patch's spread, which was worked out by what is believed of cloth.
fn of_ink(seen: ClothSeen) -> ClothSeen {
    ClothSeen {
        covariance: seen.covariance.map(|row| row.map(|cell| cell * INK * INK)),
        within90: seen.within90 * INK,
        ..seen
    }
}

/// What the colours say of the print.
fn faults(patches: &[ClothSeen]) -> Vec<CardFault> {
    let mut faults = vec![];
    let light = |seen: &&ClothSeen| seen.lab.l;
    let (low, high) = (
        patches.iter().map(|p| light(&p)).fold(f64::MAX, f64::min),
        patches.iter().map(|p| light(&p)).fold(f64::MIN, f64::max),
    );
    if high - low < RANGE {
        faults.push(CardFault::Range(high, low));
    }
    let chroma = patches.iter().map(|p| p.lab.a.hypot(p.lab.b)).fold(0.0, f64::max);
    if chroma < CHROMA {
        faults.push(CardFault::Dull(chroma));
    }
    for (n, one) in patches.iter().enumerate() {
        for (m, other) in patches.iter().enumerate().skip(n + 1) {
            let apart = ciede2000(one.lab, other.lab);
            if apart < ALIKE {
                faults.push(CardFault::Alike(HomeCard::name(n), HomeCard::name(m), apart));
            }
        }
    }
    let paper = HomeCard::asked().iter().position(|rgb| *rgb == [255; 3]);
    if let Some(paper) = paper.and_then(|n| patches.get(n))
        && paper.lab.b < BLUISH
    {
        faults.push(CardFault::Brightened(paper.lab.b));
    }
    faults
}
