//! The readings of one swatch as one glimpse: which of them teach, how far they may be off, and what of that
//! they share with the other readings of their job.
//!
//! Wet, warm or unwashed cloth never teaches. Several finished readings of one cutting are one dyeing, so those that
//! agree with the last are weighed together and teach once; one that lies too far from it is taken for a slip. Further lights of a reading are left out: the learning takes daylight
//! or a whole spectrum.

use std::collections::BTreeMap;

use colour::{
    BANDS, Bands, ClothPrior, Lab, Light, Observer, Spread, Value, Weights, ciede2000,
    ciede2000_residuals,
};
use dyeing::{Glimpse, Seen};
use plan::NotTaught;
use workbook::{Backing, Hand, Means, Reading, Recorded, Told};

/// What bias can hang on: readings alike in all of this were taken at one go.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Job {
    hand: (u8, String),
    name: Name,
    lamp: Option<String>,
    device: Option<String>,
}

/// The job as told, else the day, else nothing that another reading could share.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Name {
    Told(String),
    Day(String),
    Alone(i64),
}

/// Jobs met so far, by number.
#[derive(Debug, Default)]
pub(crate) struct Jobs(BTreeMap<Job, u64>);

impl Jobs {
    fn of(&mut self, reading: &Recorded<Reading>) -> u64 {
        let it = &reading.it;
        let name = match (&it.job, it.day) {
            (Some(job), _) => Name::Told(job.clone()),
            (None, Some(day)) => Name::Day(day.to_string()),
            (None, None) => Name::Alone(reading.id.entry().number()),
        };
        let hand = match &it.hand {
            Hand::Own => (0, String::new()),
            Hand::Friend(name) => (1, name.clone()),
            Hand::OldNote(place) => (2, place.clone()),
        };
        let job = Job { hand, name, lamp: it.lamp.clone(), device: it.device.clone() };
        let next = u64::try_from(self.0.len()).unwrap_or(u64::MAX);
        *self.0.entry(job).or_insert(next)
    }
}

/// A swatch as read.
#[derive(Debug, Clone)]
pub(crate) struct Read {
    pub(crate) glimpse: Glimpse,
    /// The colour in daylight.
    pub(crate) lab: Lab,
    pub(crate) job: u64,
    /// Whether two readings or more agree.
    pub(crate) confirmed: bool,
}

/// What an unsaid "dry" or "washed off" may hide, what a backing that shows through may do, rms ΔE00 each
/// (judgement).
const UNSAID: f64 = 1.0;
const SHOWS_THROUGH: f64 = 1.0;

/// What a friend's or an old note's reading is off by beside what is told of it, rms ΔE00: another eye,
/// another camera, another idea of dry (judgement).
const ANOTHERS: f64 = 1.0;

/// The least a reading is taken to be off by, rms ΔE00: two readings of one cloth by one instrument
/// (judgement).
const LEAST: f64 = 0.2;

/// One reading ready to be weighed.
struct One {
    job: u64,
    lab: Lab,
    bands: Option<Bands>,
    bias: f64,
    spread: f64,
}

/// The finished readings of a swatch, as one.
pub(crate) fn read(readings: &[Recorded<Reading>], jobs: &mut Jobs) -> Result<Read, NotTaught> {
    if readings.is_empty() {
        return Err(NotTaught::Unread);
    }
    let finished = readings.iter().filter(|r| !r.it.condition.is_unfinished());
    let finished: Vec<&Recorded<Reading>> = finished.collect();
    if finished.is_empty() {
        return Err(NotTaught::Unfinished);
    }
    let all: Vec<One> = finished.iter().filter_map(|one| taken(one, jobs)).collect();
    together(&agreeing(all)).ok_or(NotTaught::NoColour)
}

/// Two readings of one cloth whose spreads are as told lie further apart than this many of both together once in a
/// thousand times (chi-square 16.27 with three degrees of freedom, standard tables: the root of a third of it).
const APART: f64 = 2.33;

/// The last reading and those that agree with it: whoever reads a cutting again puts right what was read before, and one
/// slip of the pen shall not pull the mean of all.
fn agreeing(mut all: Vec<One>) -> Vec<One> {
    let Some(last) = all.last() else { return all };
    let whole = |one: &One| one.bias.hypot(one.spread);
    let (lab, spread) = (last.lab, whole(last));
    all.retain(|one| ciede2000(one.lab, lab) <= APART * spread.hypot(whole(one)));
    all
}

fn taken(reading: &Recorded<Reading>, jobs: &mut Jobs) -> Option<One> {
    let it = &reading.it;
    let (lab, bands) = daylight(it)?;
    let mut square = told_spread(it, lab).max(LEAST).powi(2);
    for told in [it.condition.dry, it.condition.washed_off] {
        square += if told == Told::Unsaid { UNSAID * UNSAID } else { 0.0 };
    }
    if matches!(
        it.condition.backing,
        Backing::White | Backing::Grey | Backing::Black | Backing::Open
    ) {
        square += SHOWS_THROUGH * SHOWS_THROUGH;
    }
    if it.hand != Hand::Own {
        square += ANOTHERS * ANOTHERS;
    }
    let share = bias_share(it.means);
    let job = jobs.of(reading);
    let (bias, spread) = ((square * share).sqrt(), (square * (1.0 - share)).sqrt());
    Some(One { job, lab, bands, bias, spread })
}

/// Daylight and the 10° observer, and the spectrum where one was read.
fn daylight(it: &Reading) -> Option<(Lab, Option<Bands>)> {
    let reference = Weights::reference();
    match &it.value {
        Value::Spectrum(spectrum) => {
            let bands = spectrum.try_to_bands().ok()?;
            Some((reference.lab(&bands), Some(bands)))
        }
        Value::Colour(colour) => {
            let ten = |c: &&colour::Colour| c.light == Light::D65 && c.observer == Observer::Ten;
            let of_ten = [colour].into_iter().chain(&it.also).find(ten);
            if let Some(found) = of_ten {
                return Some((found.lab, None));
            }
            if colour.light != Light::D65 {
                return None;
            }
            // A screen's colour: as the likeliest cloth of it looks to the wider observer.
            let white = Weights::of(Light::D65, Observer::Two).white();
            let cloth = ClothPrior::shipped().screen_colour_to_cloth(colour.lab.to_xyz(white));
            cloth.ok().map(|likely| (reference.lab(&likely.bands), None))
        }
    }
}

/// How far a reading may be off, rms ΔE00: as told, else what its means usually come to.
fn told_spread(it: &Reading, lab: Lab) -> f64 {
    match it.spread {
        Spread::Rms(rms) => rms,
        Spread::Covariance(of_lab) => rms(&of_lab, lab),
        Spread::Unknown => usual(it.means),
    }
}

/// What is off when nobody said, rms ΔE00 (judgement; a telephone and some care comes to about 1, a hasty
/// picture to 3, an eye beside something known to as much).
const fn usual(means: Means) -> f64 {
    match means {
        Means::Instrument => 0.6,
        Means::File => 1.5,
        Means::Typed | Means::Invented => 2.0,
        Means::Photograph => 2.5,
        Means::Eye => 3.0,
    }
}

/// What of a reading's variance all readings of its job share: half, as with a camera; an instrument is
/// set against its own white each time, an eye leans one way all day (judgement).
const fn bias_share(means: Means) -> f64 {
    match means {
        Means::Instrument => 0.25,
        Means::Eye => 0.7,
        Means::Photograph | Means::File | Means::Typed | Means::Invented => 0.5,
    }
}

/// Root mean square ΔE00 of a covariance of L*, a*, b*.
fn rms(of_lab: &[[f64; 3]; 3], lab: Lab) -> f64 {
    const STEP: f64 = 0.05;
    let moved = |k: usize, by: f64| {
        let mut at = [lab.l, lab.a, lab.b];
        at[k] += by;
        ciede2000_residuals(lab, Lab::new(at[0], at[1], at[2]))
    };
    let slopes: [[f64; 3]; 3] = std::array::from_fn(|k| {
        let (up, down) = (moved(k, STEP), moved(k, -STEP));
        std::array::from_fn(|m| (up[m] - down[m]) / (2.0 * STEP))
    });
    let along = |m: usize| {
        let steps = slopes.map(|of_axis| of_axis[m]);
        let row = |(i, row): (usize, &[f64; 3])| {
            row.iter().zip(steps).map(|(c, step)| steps[i] * c * step).sum::<f64>()
        };
        of_lab.iter().enumerate().map(row).sum::<f64>()
    };
    let square: f64 = (0..3).map(along).sum();
    square.max(0.0).sqrt()
}

/// Readings of one cutting weighed together, in the job that counts most. What other jobs are off by
/// alike is this swatch's alone there.
fn together(all: &[One]) -> Option<Read> {
    let weight = |one: &One| 1.0 / one.bias.mul_add(one.bias, one.spread * one.spread);
    let whole: f64 = all.iter().map(weight).sum();
    let share = |one: &One| weight(one) / whole;
    let mut jobs: BTreeMap<u64, f64> = BTreeMap::new();
    for one in all {
        *jobs.entry(one.job).or_default() += share(one);
    }
    let (&job, _) = jobs.iter().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(a.0)))?;
    let mean = |of: &dyn Fn(&One) -> f64| all.iter().map(|one| share(one) * of(one)).sum::<f64>();
    let lab = Lab::new(mean(&|o| o.lab.l), mean(&|o| o.lab.a), mean(&|o| o.lab.b));
    let (mut shared, mut alone) = (0.0, 0.0);
    for one in all {
        alone += (share(one) * one.spread).powi(2);
        if one.job == job {
            shared += share(one) * one.bias;
        } else {
            alone += (share(one) * one.bias).powi(2);
        }
    }
    let bands: Option<Vec<Bands>> = all.iter().map(|one| one.bands).collect();
    let spectrum = bands.and_then(|bands| {
        let factors: [f64; BANDS] = std::array::from_fn(|i| {
            all.iter().zip(&bands).map(|(one, b)| share(one) * b.values()[i]).sum()
        });
        Bands::try_new(factors).ok()
    });
    let seen = spectrum.map_or(Seen::Colour(lab), Seen::Spectrum);
    let glimpse = Glimpse { seen, bias: shared, spread: alone.sqrt() };
    Some(Read { glimpse, lab, job, confirmed: all.len() > 1 })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(job: u64, l: f64, bias: f64, spread: f64) -> One {
        One { job, lab: Lab::new(l, 0.0, 0.0), bands: None, bias, spread }
    }

    /// Of two readings of one job the bias stays whole, and what is each reading's own halves as a square.
    #[test]
    fn readings_of_one_job_share_their_bias() {
        let read = together(&[one(3, 50.0, 0.7, 0.7), one(3, 52.0, 0.7, 0.7)]).unwrap();
        assert_eq!(read.job, 3);
        assert!((read.lab.l - 51.0).abs() < 1e-9);
        assert!((read.glimpse.bias - 0.7).abs() < 1e-9);
        assert!((read.glimpse.spread - 0.7 / 2f64.sqrt()).abs() < 1e-9);
    }

    /// Of two jobs the surer reading counts most, and the other's bias is nobody else's here.
    #[test]
    fn readings_of_two_jobs_stand_in_the_surer_one() {
        let read = together(&[one(1, 50.0, 2.0, 2.0), one(2, 60.0, 0.5, 0.5)]).unwrap();
        assert_eq!(read.job, 2);
        assert!(read.lab.l > 58.0 && read.lab.l < 60.0, "{}", read.lab.l);
        let whole = read.glimpse.bias.hypot(read.glimpse.spread);
        assert!(whole < 0.5f64.hypot(0.5), "two readings are surer than one: {whole}");
        assert!(together(&[]).is_none());
    }

    /// The last reading counts with those that agree with it; one far from it is set aside, whichever was the slip.
    #[test]
    fn a_reading_that_does_not_agree_with_the_last_is_set_aside() {
        let count = |readings: &[f64]| {
            let all: Vec<One> = readings.iter().map(|l| one(1, *l, 0.7, 0.7)).collect();
            let read = together(&agreeing(all)).unwrap();
            (read.lab.l, read.confirmed)
        };
        assert_eq!(count(&[25.0, 52.0]), (52.0, false));
        assert_eq!(count(&[52.0, 25.0]), (25.0, false));
        let (l, confirmed) = count(&[52.0, 25.0, 52.5]);
        assert!(confirmed && (l - 52.25).abs() < 1e-9, "{l}");
        assert!(count(&[50.0, 51.0]).1);
    }

    /// A covariance of one unit each way is as far off as the difference formula says of such steps.
    #[test]
    fn a_covariance_comes_to_one_figure() {
        let lab = Lab::new(50.0, 0.0, 0.0);
        let of_l = [[4.0, 0.0, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]];
        let two = colour::ciede2000(lab, Lab::new(52.0, 0.0, 0.0));
        assert!((rms(&of_l, lab) - two).abs() < 0.05, "{} {two}", rms(&of_l, lab));
    }
}
