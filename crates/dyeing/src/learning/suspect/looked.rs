//! What a job should look like under one supposition, and how that moves with all that is settled.
//!
//! Where nothing glows, slopes go through the reflectance band by band, so that a colour is reckoned once a
//! light. A glow takes light at one end and sends it out at another: there every slope is a difference of two colours.

use colour::{BANDS, Bands, Weights, maths};
use nalgebra::{DMatrix, DVector, Vector3};

use super::{BESIDE, CROWDING, Case, GLOW_WIDTH, Read, Sums, Suspect};
use crate::sight::{Look, Looks, STEP};

/// 4 ln 2: from a full width at half height to a Gaussian.
const FOUR_LN_2: f64 = 2.772_588_722_239_781;

/// What is on one cloth: of each dye how much is fixed, and by how much what all share moves it; what absorbs.
struct OnCloth {
    fixed: Vec<f64>,
    alike: Vec<f64>,
    absorbed: [f64; BANDS],
}

impl Case<'_> {
    pub(super) fn sums(&self, at: &DVector<f64>) -> Sums {
        let looks: Vec<Looks> = self
            .dyes
            .iter()
            .zip(&self.starts)
            .map(|(dye, from)| Looks::with(dye, at.rows(*from, dye.belief.len()).into_owned()))
            .collect();
        let believed: Vec<&Look> = looks.iter().map(|l| &l.believed).collect();
        let aside = at.rows(self.beside, at.len() - self.beside).into_owned();
        let here = self.colours(at, &believed, &aside, None);
        let mut slopes = DMatrix::zeros(here.len(), at.len());
        let yields = if self.glows.is_some() {
            self.differences(at, &looks, &aside, &here, &mut slopes)
        } else {
            self.band_by_band(&looks, &aside, &mut slopes)
        };
        let seen = self.readings.iter().flat_map(|r| &r.seen);
        let seen: Vec<f64> = seen.flat_map(|(_, lab, _)| [lab.l, lab.a, lab.b]).collect();
        Sums { off: DVector::from_vec(seen) - here, slopes, alone: self.alone(&yields) }
    }

    /// How much each dye shows in these dyeings: squared Lab steps of the logarithm of what is fixed of it.
    pub(super) fn shows(&self) -> Vec<f64> {
        let looks: Vec<Looks> = self
            .dyes
            .iter()
            .zip(&self.starts)
            .map(|(dye, from)| {
                Looks::with(dye, self.mean.rows(*from, dye.belief.len()).into_owned())
            })
            .collect();
        let aside = self.mean.rows(self.beside, self.mean.len() - self.beside).into_owned();
        let rows = self.readings.iter().map(|r| 3 * r.seen.len()).sum();
        let mut slopes = DMatrix::zeros(rows, self.mean.len());
        let yields = self.band_by_band(&looks, &aside, &mut slopes);
        yields.iter().map(DVector::norm_squared).collect()
    }

    /// Fills in the slopes; gives those in the logarithm of what is fixed of each dye.
    fn band_by_band(
        &self,
        looks: &[Looks],
        aside: &DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Vec<DVector<f64>> {
        let believed: Vec<&Look> = looks.iter().map(|l| &l.believed).collect();
        let mut yields = vec![DVector::zeros(slopes.nrows()); looks.len()];
        let mut from = 0;
        for (n, reading) in self.readings.iter().enumerate() {
            let on = &reading.dyeing.on;
            let cloth = self.on_cloth(n, reading, &believed, aside, None);
            let seen: [(f64, f64); BANDS] = std::array::from_fn(|k| on.seen(k, cloth.absorbed[k]));
            let several = reading.several();
            for (l, (weights, _, unit)) in reading.seen.iter().enumerate() {
                let pull = pull(weights, &seen);
                let through = |moved: &dyn Fn(usize) -> f64| {
                    let mut sum = Vector3::zeros();
                    for (k, p) in pull.iter().enumerate() {
                        sum += p * moved(k);
                    }
                    sum
                };
                let mut add = |column: usize, slope: &Vector3<f64>| {
                    let mut part = slopes.fixed_view_mut::<3, 1>(from, column);
                    part += slope;
                };
                for (i, looks) in looks.iter().enumerate() {
                    let (Some((dose, _)), look) = (reading.doses[i], &looks.believed) else {
                        continue;
                    };
                    let fixed = cloth.fixed[i];
                    let plain = on.fixed_with(self.dyes[i], look.saturates_at, dose);
                    let times = if plain > 0.0 { fixed / plain } else { 0.0 };
                    for (k, to) in looks.stepped.iter().enumerate() {
                        let then = times * on.fixed_with(self.dyes[i], to.saturates_at, dose);
                        let moved = |b: usize| to.absorbs[b] * then - look.absorbs[b] * fixed;
                        add(self.starts[i] + k, &(through(&moved) / STEP));
                    }
                    let slope = through(&|b| look.absorbs[b] * fixed);
                    yields[i].fixed_rows_mut::<3>(from).copy_from(&slope);
                    if several {
                        add(self.beside + self.bias, &(slope * cloth.alike[i]));
                        add(self.beside + self.bias + 1 + i, &(slope * BESIDE.1));
                    }
                    if self.fault == Some(Suspect::Short { dyeing: n }) {
                        add(self.beside + aside.len() - 1, &slope);
                    }
                }
                let each = reading.dyeing.glimpse.bias / 3f64.sqrt();
                for axis in 0..3 {
                    add(self.beside + 3 * l + axis, &(unit.column(axis) * each));
                }
                from += 3;
            }
        }
        yields
    }

    /// The same by differences of colours.
    fn differences(
        &self,
        at: &DVector<f64>,
        looks: &[Looks],
        aside: &DVector<f64>,
        here: &DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Vec<DVector<f64>> {
        let believed: Vec<&Look> = looks.iter().map(|l| &l.believed).collect();
        let mut fill = |k: usize, moved: DVector<f64>| {
            slopes.set_column(k, &((moved - here) / STEP));
        };
        for (i, looks) in looks.iter().enumerate() {
            for (k, look) in looks.stepped.iter().enumerate() {
                let mut moved = believed.clone();
                moved[i] = look;
                let mut to = at.clone();
                to[self.starts[i] + k] += STEP;
                fill(self.starts[i] + k, self.colours(&to, &moved, aside, None));
            }
        }
        for k in 0..aside.len() {
            let mut moved = aside.clone();
            moved[k] += STEP;
            fill(self.beside + k, self.colours(at, &believed, &moved, None));
        }
        let more = |i| (self.colours(at, &believed, aside, Some(i)) - here) / STEP;
        (0..looks.len()).map(more).collect()
    }

    /// Covariance of what is each dyeing's alone: its reading, its doses, its dyeing.
    fn alone(&self, yields: &[DVector<f64>]) -> DMatrix<f64> {
        let rows: usize = self.readings.iter().map(|r| 3 * r.seen.len()).sum();
        let mut alone = DMatrix::identity(rows, rows) * 1e-6;
        let mut from = 0;
        for reading in self.readings {
            let rows = 3 * reading.seen.len();
            let each = reading.dyeing.glimpse.spread / 3f64.sqrt();
            for (l, (_, _, unit)) in reading.seen.iter().enumerate() {
                let mut block = alone.view_mut((from + 3 * l, from + 3 * l), (3, 3));
                block += unit * unit.transpose() * (each * each);
            }
            let scatter = reading.dyeing.scatter;
            let mut common = DVector::zeros(rows);
            let mut block = alone.view_mut((from, from), (rows, rows));
            for (i, dose) in reading.doses.iter().enumerate() {
                let Some((_, dosing)) = dose else { continue };
                let slope = yields[i].rows(from, rows).into_owned();
                let own = scatter.each * scatter.each + dosing * dosing;
                block += &slope * slope.transpose() * own;
                common += slope;
            }
            block += &common * common.transpose() * (scatter.common * scatter.common);
            from += rows;
        }
        alone
    }

    /// What is on the cloth of this dyeing; `more` has a little more of one dye fixed.
    fn on_cloth(
        &self,
        n: usize,
        reading: &Read,
        looks: &[&Look],
        aside: &DVector<f64>,
        more: Option<usize>,
    ) -> OnCloth {
        let of = |(look, dose): (&&Look, &Option<(f64, f64)>)| {
            dose.map_or(0.0, |d| d.0 / look.saturates_at)
        };
        let depths: Vec<f64> = looks.iter().zip(&reading.doses).map(of).collect();
        let depth: f64 = depths.iter().sum();
        let several = reading.several();
        let with = self.company.yields(&depths);
        let mut cloth = OnCloth { fixed: vec![], alike: vec![], absorbed: [0.0; BANDS] };
        for (i, look) in looks.iter().enumerate() {
            let alike = BESIDE.0 + CROWDING * (depth - depths[i]) / (1.0 + depth);
            let mut ln = if more == Some(i) { STEP } else { 0.0 };
            if several {
                ln += with[i].log + alike * aside[self.bias] + BESIDE.1 * aside[self.bias + 1 + i];
            }
            if self.fault == Some(Suspect::Short { dyeing: n }) {
                ln += aside[aside.len() - 1];
            }
            let dose = reading.doses[i].map_or(0.0, |d| d.0);
            let plain = reading.dyeing.on.fixed_with(self.dyes[i], look.saturates_at, dose);
            let fixed = plain * maths::exp(ln);
            for (all, own) in cloth.absorbed.iter_mut().zip(look.absorbs) {
                *all += own * fixed;
            }
            cloth.fixed.push(fixed);
            cloth.alike.push(alike);
        }
        cloth
    }

    /// The colours of all dyeings as read, light by light.
    fn colours(
        &self,
        at: &DVector<f64>,
        looks: &[&Look],
        aside: &DVector<f64>,
        more: Option<usize>,
    ) -> DVector<f64> {
        let mut all: Vec<f64> = vec![];
        for (n, reading) in self.readings.iter().enumerate() {
            let on = &reading.dyeing.on;
            let cloth = self.on_cloth(n, reading, looks, aside, more);
            let mut seen = on.dyed(&cloth.absorbed);
            if let Some(i) = self.glows.filter(|i| reading.doses[*i].is_some()) {
                let own = looks[i].absorbs.map(|a| a * cloth.fixed[i]);
                let peak = self.dyes[i].absorption.bands().first().map_or(550.0, |b| b.peak_nm);
                let centre = peak + at[self.starts[i] + 2] + aside[aside.len() - 1];
                let sent = sent_out(on, &own, &cloth.absorbed, centre);
                let part = aside[aside.len() - 2].clamp(0.0, 1.0);
                seen = std::array::from_fn(|k| seen[k] + part * sent[k]);
            }
            for (l, (weights, _, unit)) in reading.seen.iter().enumerate() {
                let lab = weights.lab_of(&seen);
                let each = reading.dyeing.glimpse.bias / 3f64.sqrt();
                let off = unit * aside.fixed_rows::<3>(3 * l) * each;
                all.extend([lab.l + off[0], lab.a + off[1], lab.b + off[2]]);
            }
        }
        DVector::from_vec(all)
    }
}

/// Slope of Lab in what each band absorbs, from its reflectance and the slope of that (CIE 15:2004, 8.2.1).
fn pull(weights: &Weights, seen: &[(f64, f64); BANDS]) -> [Vector3<f64>; BANDS] {
    let lab = weights.lab_of(&seen.map(|s| s.0));
    let fy = (lab.l + 16.0) / 116.0;
    let f = [fy + lab.a / 500.0, fy, fy - lab.b / 200.0];
    let steep = f.map(|f| if f > 6.0 / 29.0 { 1.0 / (3.0 * f * f) } else { 841.0 / 108.0 });
    let (white, rows) = (weights.white(), weights.rows());
    let white = [white.x, white.y, white.z];
    std::array::from_fn(|i| {
        let [x, y, z] = std::array::from_fn(|c| steep[c] * rows[c][i] * seen[i].1 / white[c]);
        Vector3::new(116.0 * y, 500.0 * (x - y), 200.0 * (y - z))
    })
}

/// What a dye with this part of all that is absorbed sends out, band by band, were it all the light it takes: a
/// bell around `centre` (nm), dimmed on its way out as the dyed cloth is dimmer than the undyed.
fn sent_out(
    on: &crate::Substrate,
    own: &[f64; BANDS],
    all: &[f64; BANDS],
    centre: f64,
) -> [f64; BANDS] {
    let mut taken = 0.0;
    let mut out = [0.0; BANDS];
    let (dyed, undyed) = (on.dyed(all), on.undyed());
    for (share, ks, gain) in on.sides() {
        for k in 0..BANDS {
            let q = ks[k] + gain * all[k];
            let lit = 1.0 - 1.0 / (1.0 + q + (q * (q + 2.0)).sqrt());
            taken += share * lit * (gain * own[k] / q.max(1e-12)).min(1.0);
        }
    }
    let bell = |nm: f64| {
        let away = (1e7 / nm - 1e7 / centre) / GLOW_WIDTH;
        maths::exp(-FOUR_LN_2 * away * away)
    };
    // Over 300 to 900 nm: what falls outside the visible is lost.
    let whole: f64 = (30..=90).map(|ten| bell(10.0 * f64::from(ten))).sum();
    for (k, one) in out.iter_mut().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
        let nm = Bands::wavelength(k) as f64;
        *one = taken * bell(nm) / whole.max(1e-12) * dyed[k] / undyed[k].max(1e-6);
    }
    out
}
