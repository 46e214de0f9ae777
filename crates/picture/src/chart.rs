//! A photographed chart of known reflectances, and what it says of a cloth in the same light.
//!
//! Readings are averages of a patch in linear device colour, with the white paper's reading at the same place where there
//! is one. Four things are solved together: the light's slope over the frame (from the paper; else from where the patches
//! stand), the camera's tone curve, its sensitivities under the lamp, and then the cloth's likeliest reflectance. What is
//! believed of cloth comes as an argument; what is believed of sensors and lamps is made up (`chart/sensors.rs`,
//! `chart/lamps.rs`). Only the relation of cloth to chart counts, never the exposure.
//!
//! Left out: finding the chart in the picture; fluorescence; more than one kind of light in the frame.

mod beside;
mod card;
mod cloth;
mod corrected;
mod dyed;
mod home;
mod kernel;
mod lamps;
mod pair;
mod plain;
mod response;
mod search;
mod sensors;
mod slope;
mod solve;
mod text;
mod tone;
mod weak;
mod white;

use colour::{BANDS, Bands, ClothPrior, Lab};

use self::{
    beside::Beside,
    card::{Card, Known, MANY, apart, lab_of, mean, nine_of_ten},
    cloth::{Belief, guess, radius, root_mean_square},
    plain::Plain,
    search::{Evened, Reading, Search, misfit},
};
use crate::{Refusal, pixels::CLIPPED};

pub use self::{
    dyed::Shapes,
    home::HomeCard,
    lamps::LampKind,
    pair::{ClothDifference, Kin},
    text::{ChartText, ChartTextRefusal, TextPatch},
    weak::{WeakKind, WeakLight},
    white::WhiteSpread,
};

pub(crate) type Row = [f64; BANDS];
pub(crate) type Square = [[f64; BANDS]; BANDS];

/// One average of a patch or a cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Linear device colour: red, green, blue; 0 to 1.
    pub rgb: [f64; 3],
    /// The same of white paper at the same place, photographed in the same way.
    pub paper: Option<[f64; 3]>,
    /// Where it stands, in shares of the frame's longer side from its middle.
    pub place: Option<[f64; 2]>,
}

/// One patch of a chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// What it reflects.
    pub reflectance: Bands,
    /// How it was seen.
    pub seen: Seen,
}

/// What the picture's numbers went through on the way from the sensor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chain {
    /// Nothing: they are linear.
    Linear,
    /// A camera's own development, with a tone curve that nobody states.
    Developed,
}

/// What the maker tells of how a picture was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// What its numbers went through.
    pub chain: Chain,
    /// The kind of light, where it is told: the others are then not believed.
    pub lamp: Option<LampKind>,
}

impl From<Chain> for Told {
    fn from(chain: Chain) -> Self {
        Self { chain, lamp: None }
    }
}

/// A camera under its light, as a chart showed it.
#[derive(Debug, Clone)]
pub struct Calibration {
    way: Way,
    prior: ClothPrior,
    beside: Beside,
}

/// How cloths are read, by what the patches could teach.
#[derive(Debug, Clone)]
enum Way {
    /// The likeliest cloth under the likeliest cameras and lamps.
    Sensor { readings: Vec<Reading>, belief: Belief, light: Option<WeakLight> },
    /// As a card of many known cloths reads it.
    Card { evened: Evened, card: Card },
    /// By a plain correction: the camera is like none that is believed in. With what nine of ten patches left out miss.
    Plain { evened: Evened, plain: Plain, within90: f64 },
}

/// The colour of a cloth as a photograph shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct ClothSeen {
    /// Lab, D65/10°.
    pub lab: Lab,
    /// Covariance of L*, a*, b*.
    pub covariance: [[f64; 3]; 3],
    /// Nine of ten truths lie within this ΔE00.
    pub within90: f64,
    /// The likeliest reflectance: assumed, never measured.
    pub assumed: Bands,
}

impl ClothSeen {
    /// How far it may be off, root mean square ΔE00: what a file of swatches calls its spread.
    #[must_use]
    pub fn rms(&self) -> f64 {
        root_mean_square([self.lab.l, self.lab.a, self.lab.b], &self.covariance)
    }
}

/// What is believed of the patches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    /// Measured spectra; a large card teaches by its own patches.
    Own,
    /// Spectra near enough to be believed.
    Spectra,
    /// Colours alone.
    Colours,
}

/// From this root mean square ΔE00 of the values on, and from so many patches on, spectra that were guessed from colours
/// lead further astray than they help: with made-up printers whose cards were read by the chart (1.9 off in the mean), a plain
/// correction missed cloths by less than the likeliest camera did, in daylight and LED alike.
const ROUGH_VALUES: f64 = 0.8;
const PLAINLY: usize = 20;

/// Fewest patches a calibration is learnt from; with fewer the lamp stays open (judgement).
const FEWEST: usize = 8;
/// The most patches that count; of a larger card every second or third is taken.
const MOST: usize = 48;
/// What `ClothPrior::log_odds` leaves of its own spread is what a colour does not tell; before the colour is known it is
/// more. With made-up cameras and the 11 textiles of CIE 224 at hand, 2, 2½ and 3 held 89, 93 and 95 % in daylight, and 83,
/// 86 and 90 % under a halophosphate tube (FL2): the least that holds nine of ten in both is taken. With a JPEG, 2 held 86 %
/// of the CIE textiles and 92 % of 18 published clothes in daylight, 83 and 93 % under the tube.
const BEFORE: f64 = 3.0;
/// Standard normal deviate below which 90 % lie.
const NINE_OF_TEN: f64 = 1.281_551_6;

impl Calibration {
    /// Learns from the patches of a chart. Clipped patches are left out.
    ///
    /// # Errors
    /// [`Refusal::Unfit`] when fewer than eight patches are left, or when no camera and lamp can have made the readings (another chart,
    /// patches in another order).
    pub fn try_learn(
        patches: &[Patch],
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<Self, Refusal> {
        Self::learnt(patches, told.into(), prior, By::Own)
    }

    /// The same from patches whose values were read and not measured: a colour each, with its root mean square ΔE00. Their
    /// spectra are only the likeliest of the colours: where there are enough patches and their values are rough, a plain
    /// correction to the colours is learnt, which believes no spectrum. What the values are off is part of every spread.
    ///
    /// # Errors
    /// As [`Self::try_learn`]; and where a spread is no number or negative.
    pub fn try_learn_read(
        patches: &[Patch],
        spreads: &[f64],
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<Self, Refusal> {
        if spreads.len() != patches.len() || !spreads.iter().all(|s| s.is_finite() && *s >= 0.0) {
            return Err(Refusal::Unfit {
                what: "a patch's spread is missing, no number or negative".to_owned(),
                rule: "give each patch the root mean square ΔE00 of its value".to_owned(),
            });
        }
        let rough = mean(spreads.iter().copied()) > ROUGH_VALUES && patches.len() >= PLAINLY;
        let by = if rough { By::Colours } else { By::Spectra };
        let mut it = Self::learnt(patches, told.into(), prior, by)?;
        let labs = patches.iter().map(|p| colour::Weights::reference().lab(&p.reflectance));
        it.beside = Beside(labs.zip(spreads.iter().copied()).collect());
        Ok(it)
    }

    fn learnt(patches: &[Patch], told: Told, prior: &ClothPrior, by: By) -> Result<Self, Refusal> {
        let sound: Vec<Patch> = patches.iter().copied().filter(|p| usable(&p.seen)).collect();
        if sound.len() < FEWEST {
            return Err(Refusal::Unfit {
                what: format!(
                    "{} of the chart's {} patches can be used, the others are too bright, too dark or missing",
                    sound.len(),
                    patches.len()
                ),
                rule: format!(
                    "at least {FEWEST} are needed: photograph again with less exposure and the whole chart in the frame"
                ),
            });
        }
        let every = sound.len().div_ceil(MOST);
        let taken: Vec<Patch> = sound.iter().copied().step_by(every).collect();
        let factors: Vec<Row> = taken.iter().map(|p| *p.reflectance.values()).collect();
        let search = Search::of(&taken, &factors, told);
        let readings = search.readings().unwrap_or_default();
        let fits = misfit(&readings, &taken) <= MISFIT;
        let prior = prior.clone();
        let many = by == By::Own && sound.len() >= MANY;
        if fits && !many && by != By::Colours {
            let belief = belief(&prior);
            let light = search.light(&readings, &belief);
            return Ok(Self {
                way: Way::Sensor { readings, belief, light },
                prior,
                beside: Beside::default(),
            });
        }
        // the camera may be like none that is believed in: its tone and the light's slope are then not believed either
        let evened = match readings.first() {
            Some(best) if fits => best.evened(),
            _ => Evened::PLAIN,
        };
        let known: Vec<Known> =
            sound.iter().map(|p| (evened.of(&p.seen), *p.reflectance.values())).collect();
        if many {
            let card = Card::learn(&known, &belief(&prior))
                .filter(|card| card.missed <= MISSED)
                .ok_or_else(another_chart)?;
            return Ok(Self { way: Way::Card { evened, card }, prior, beside: Beside::default() });
        }
        let errors = left_out(&known).ok_or_else(another_chart)?;
        if mean(errors.iter().copied()) > MISSED {
            return Err(another_chart());
        }
        let plain = Plain::fit(&known).ok_or_else(another_chart)?;
        Ok(Self {
            way: Way::Plain { evened, plain, within90: nine_of_ten(&errors) },
            prior,
            beside: Beside::default(),
        })
    }

    /// From one stated white without brightener, and nothing else: the camera stays open, and its lamp too where its kind is
    /// not told, and so the spread is wide (`chart/white.rs`).
    ///
    /// # Errors
    /// [`Refusal::Unfit`] when the white is clipped or dark, or reflects less than half of the light.
    pub fn try_white(
        white: &Patch,
        spread: WhiteSpread,
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<Self, Refusal> {
        let factors = *white.reflectance.values();
        // undyed cloth and titanium white fall off below 420 nm: the whole counts, not each band
        if !usable(&white.seen) || mean(factors.iter().copied()) < 0.5 {
            return Err(Refusal::Unfit {
                what: "the white is too bright or too dark in the photograph, or is no white".to_owned(),
                rule: "photograph again with less exposure, and give a white that reflects at least half of the light, without brightener".to_owned(),
            });
        }
        let readings = white::readings(white, spread, told.into());
        let prior = prior.clone();
        let mut belief = belief(&prior);
        // the draws are the whole belief about camera and lamp, so that of cloth is taken as it is
        for cell in belief.covariance.iter_mut().flatten() {
            *cell /= BEFORE;
        }
        Ok(Self {
            way: Way::Sensor { readings, belief, light: None },
            prior,
            beside: Beside::default(),
        })
    }

    /// Whether the light is one under which cloth is read weakly, and by how much; only where a chart showed the lamp.
    #[must_use]
    pub fn weak_light(&self) -> Option<WeakLight> {
        self.beside_daylight().filter(WeakLight::is_weak)
    }

    /// How well cloth is read in this light beside daylight, weak or not; only where a chart showed the lamp.
    #[must_use]
    pub const fn beside_daylight(&self) -> Option<WeakLight> {
        match self.way {
            Way::Sensor { light, .. } => light,
            Way::Card { .. } | Way::Plain { .. } => None,
        }
    }

    /// The colour of a cloth in the same frame.
    ///
    /// # Errors
    /// [`Refusal::Unfit`] when it is clipped or black.
    pub fn try_cloth(&self, seen: &Seen) -> Result<ClothSeen, Refusal> {
        if !usable(seen) {
            return Err(too_bright_or_dark());
        }
        let own = match &self.way {
            Way::Sensor { readings, belief, .. } => likeliest(seen, readings, belief),
            Way::Card { evened, card } => {
                let it = card.sees(evened.of(seen)).ok_or_else(unsolved)?;
                self.round(it.lab, it.within90)
            }
            Way::Plain { evened, plain, within90 } => {
                self.round(plain.lab(evened.of(seen)), *within90)
            }
        };
        Ok(self.beside.widen(own?, !matches!(self.way, Way::Sensor { .. })))
    }

    /// A colour of which only the radius is known: the covariance is that of a ball in about ΔE00.
    fn round(&self, lab: [f64; 3], within90: f64) -> Result<ClothSeen, Refusal> {
        let chroma = lab[1].hypot(lab[2]);
        // CIEDE2000 counts chroma down by 1 + 0.045 C; about so for both of a* and b*
        let along = (1.0 + 0.045 * chroma) * (1.0 + 0.015 * chroma);
        let ball = [[1.0, 0.0, 0.0], [0.0, along, 0.0], [0.0, 0.0, along]];
        let one = radius(lab, &ball, NINE_OF_TEN).max(1e-9);
        let covariance = ball.map(|row| row.map(|cell| cell * (within90 / one) * (within90 / one)));
        let lab = Lab::new(lab[0], lab[1], lab[2]);
        let assumed = self.prior.likely(lab).map_err(|_| unsolved())?.bands;
        Ok(ClothSeen { lab, covariance, within90, assumed })
    }
}

/// The likeliest cloth over the ways a frame may have come about.
fn likeliest(seen: &Seen, readings: &[Reading], belief: &Belief) -> Result<ClothSeen, Refusal> {
    let mut lab = [0.0; 3];
    let mut reflectance = [0.0; BANDS];
    let mut each = Vec::with_capacity(readings.len());
    for reading in readings {
        let guess = guess(reading.of(seen), &reading.response, belief).ok_or_else(unsolved)?;
        for (sum, part) in lab.iter_mut().zip(guess.lab) {
            *sum += reading.weight * part;
        }
        for (sum, part) in reflectance.iter_mut().zip(guess.reflectance) {
            *sum += reading.weight * part;
        }
        each.push((reading.weight, guess));
    }
    let covariance = std::array::from_fn(|j| {
        std::array::from_fn(|k| {
            each.iter()
                .map(|(weight, g)| {
                    weight * (g.covariance[j][k] + (g.lab[j] - lab[j]) * (g.lab[k] - lab[k]))
                })
                .sum()
        })
    });
    let assumed = Bands::try_new(reflectance).map_err(|_| unsolved())?;
    Ok(ClothSeen {
        lab: Lab::new(lab[0], lab[1], lab[2]),
        covariance,
        within90: radius(lab, &covariance, NINE_OF_TEN),
        assumed,
    })
}

/// What is believed of cloth before its colour is known.
fn belief(prior: &ClothPrior) -> Belief {
    let (mean, doubt) = prior.log_odds();
    Belief { mean: *mean, covariance: Box::new(doubt.map(|row| row.map(|cell| BEFORE * cell))) }
}

/// ΔE00 of each patch, read by a plain correction that was not taught it.
fn left_out(known: &[Known]) -> Option<Vec<f64>> {
    (0..known.len())
        .map(|n| {
            let rest: Vec<Known> =
                known.iter().enumerate().filter(|(k, _)| *k != n).map(|(_, k)| *k).collect();
            let (rgb, factors) = &known[n];
            Some(apart(Plain::fit(&rest)?.lab(*rgb), lab_of(factors)))
        })
        .collect()
}

/// More than this of white left unexplained means another chart. A guess from the roughest reading admitted (0.012 of white
/// and 0.02 of itself); not yet tried on shuffled or wrong charts.
const MISFIT: f64 = 0.03;

/// A patch left out may be missed by this much on average (ΔE00); beyond it is another chart. Judgement: good charts are
/// missed by 1 to 3, shuffled ones by more than 20.
const MISSED: f64 = 6.0;

/// Neither clipped nor black nor no number at all; the paper not either.
fn usable(seen: &Seen) -> bool {
    let within = |v: f64| v.is_finite() && v < f64::from(CLIPPED);
    seen.rgb.iter().all(|v| within(*v))
        && seen.rgb.iter().any(|v| *v > 0.0)
        && seen.paper.is_none_or(|p| p.iter().all(|v| within(*v) && *v > 0.01))
        && seen.place.is_none_or(|p| p.iter().all(|v| v.is_finite()))
}

fn too_bright_or_dark() -> Refusal {
    Refusal::Unfit {
        what: "the cloth is too bright or too dark in the photograph to be read".to_owned(),
        rule: "photograph again with another exposure, so that neither white paper nor the cloth is at the end of the scale".to_owned(),
    }
}

fn another_chart() -> Refusal {
    Refusal::Unfit {
        what: "no camera and no lamp can have seen these patches so".to_owned(),
        rule: "check that the chart is the one named, the right way up, evenly lit and without glare, and photograph again".to_owned(),
    }
}

fn unsolved() -> Refusal {
    Refusal::Unfit {
        what: "the cloth's reading fits no cloth".to_owned(),
        rule: "photograph again; when it stays so, the cloth may glow under this lamp".to_owned(),
    }
}

pub(crate) fn dot(a: &Row, b: &Row) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
