//! Reading a cloth: what an eye of glass makes of it, with its bias and its scatter.
//!
//! A reader of scatter s is off by s in the root mean square of ΔE00; half of the variance is one bias
//! per job and light, half is new at each reading.

use colour::{BANDS, Bands, Lab, Light, Weights};
use nalgebra::{Matrix3, Vector3};

use crate::Refusal;
use crate::deviates::{Deviates, Drawn, What};
use crate::metric::moved;
use crate::refusal::within;

/// What the reader gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Instrument {
    /// One colour: a camera, a colour reader.
    Colour,
    /// A reflectance spectrum.
    Spectrum,
}

/// One way of reading cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reader {
    scatter: f64,
    instrument: Instrument,
    light: Light,
}

/// Whether the cloth had been washed off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    /// Washed off and dry: it can be judged.
    WashedOff,
    /// Dry, with loose dye still on it.
    Unsoaped,
}

/// What was read of one cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The colour, D65/10°.
    pub lab: Lab,
    /// The spectrum, where the reader gives one; its colour is `lab`.
    pub spectrum: Option<Bands>,
    /// The reader's stated scatter, rms ΔE00.
    pub scatter: f64,
    /// What the reading says of the cloth's finish.
    pub finish: Finish,
    /// The light of the session, which the bias belongs to.
    pub light: Light,
}

/// Which reading: of a swatch of a job, for the first or a further time.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Session {
    pub(crate) job: u64,
    pub(crate) swatch: u32,
    pub(crate) again: u32,
}

impl Reader {
    /// A reader of this scatter, rms ΔE00; 0 to 20.
    pub fn try_new(scatter: f64, instrument: Instrument, light: Light) -> Result<Self, Refusal> {
        let rule = "it must lie between 0 and 20";
        within(|| "the scatter of a reader".to_owned(), scatter, 0.0..=20.0, rule)?;
        Ok(Self { scatter, instrument, light })
    }

    /// Its scatter, rms ΔE00.
    #[must_use]
    pub const fn scatter(&self) -> f64 {
        self.scatter
    }

    /// What it gives.
    #[must_use]
    pub const fn instrument(&self) -> Instrument {
        self.instrument
    }

    /// The light it reads under.
    #[must_use]
    pub const fn light(&self) -> Light {
        self.light
    }

    pub(crate) fn read(
        &self,
        cloth: &[f64; BANDS],
        finish: Finish,
        session: Session,
        luck: &Deviates,
        tail: Option<u32>,
    ) -> Reading {
        let Session { job, swatch, again } = session;
        let place = Light::ALL.iter().position(|l| *l == self.light).unwrap_or(0) as u64;
        let turn = place + 100 * u64::from(again);
        let bias = luck.three(Drawn { what: What::Bias, job, swatch: 0, which: 0 }, place, tail);
        let new = luck.three(Drawn { what: What::New, job, swatch, which: 0 }, turn, tail);
        // s² = 3 axes × (bias + new) × share each, so one axis has s²/6 of either.
        let each = self.scatter / 6f64.sqrt();
        let away = std::array::from_fn(|i| each * (bias[i] + new[i]));
        let true_lab = Weights::reference().lab_of(cloth);
        let lab = moved(true_lab, away);
        let spectrum = match self.instrument {
            Instrument::Colour => None,
            Instrument::Spectrum => Bands::try_new(bent(cloth, lab)).ok(),
        };
        let lab = spectrum.map_or(lab, |s| Weights::reference().lab(&s));
        Reading { lab, spectrum, scatter: self.scatter, finish, light: self.light }
    }
}

/// The spectrum bent smoothly (by a factor with level, slope and bow) until it has this colour.
fn bent(cloth: &[f64; BANDS], wanted: Lab) -> [f64; BANDS] {
    let wanted = vector(wanted);
    let at = |c: Vector3<f64>| -> [f64; BANDS] {
        std::array::from_fn(|i| {
            #[expect(clippy::cast_precision_loss, reason = "31 bands")]
            let t = (i as f64 - 15.0) / 15.0;
            let bend = c.x + c.y * t + c.z * (t * t - 1.0 / 3.0);
            (cloth[i] * colour::maths::exp(bend)).clamp(1e-5, Bands::CEILING)
        })
    };
    let lab = |c: Vector3<f64>| vector(Weights::reference().lab_of(&at(c)));
    let mut c = Vector3::zeros();
    for _ in 0..8 {
        let now = lab(c);
        let left = wanted - now;
        if left.norm() < 1e-9 {
            break;
        }
        let slope = |k: usize| {
            let mut to = c;
            to[k] += 1e-5;
            (lab(to) - now) / 1e-5
        };
        let slopes = Matrix3::from_columns(&[slope(0), slope(1), slope(2)]);
        let Some(inverse) = slopes.try_inverse() else { break };
        let step = inverse * left;
        c += step * (0.5 / step.amax().max(0.5));
    }
    at(c)
}

fn vector(lab: Lab) -> Vector3<f64> {
    Vector3::new(lab.l, lab.a, lab.b)
}
