//! One dyeing as the sums need it: what it is off by, and how that hangs on every strand.

use colour::{BANDS, Lab, Weights, maths};
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};

use super::company::{Company, InCompany, MIXED};
use super::{Dyeing, Experience, colours};
use crate::predict::{add, vector};
use crate::sight::{Looks, STEP};
use crate::spread::slopes_of_difference;
use crate::{Refusal, Substrate};

/// A dyeing with what of it never changes.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    pub(super) dyeing: Dyeing,
    pub(super) fibre: usize,
    /// Light by light: the weights, what was seen, and the Lab step of one ΔE00 along each axis.
    pub(super) seen: Vec<(&'static Weights, Lab, Matrix3<f64>)>,
}

impl Kept {
    pub(super) fn holds(&self, dye: usize) -> bool {
        self.dyeing.bath.iter().any(|b| b.dye == dye)
    }
}

/// A recipe looked at: its colour, light by light, and how it moves.
pub(super) struct Slopes {
    /// The colours, three numbers a light.
    pub(super) at: DVector<f64>,
    /// By dye of the bath: the dye, and the slope in each of its deviations.
    pub(super) by_dye: Vec<(usize, DMatrix<f64>)>,
    /// By dye of the bath: how its yield moves the colour.
    pub(super) by_yield: Vec<Yield>,
}

/// How the yield of one dye moves a colour.
#[derive(Debug, Clone)]
pub(super) struct Yield {
    pub(super) dye: usize,
    /// The slope in the logarithm of what is fixed of it.
    pub(super) slope: DVector<f64>,
    /// How it does in company.
    pub(super) with: InCompany,
}

impl Slopes {
    /// The slopes in the ties of the bath, in the order of `ties_of`; none where a dye is alone.
    pub(super) fn by_tie(&self) -> Vec<DVector<f64>> {
        if self.by_yield.len() < 2 {
            return vec![];
        }
        let rows = self.at.len();
        let sum = |times: &dyn Fn(&Yield) -> f64| {
            self.by_yield.iter().fold(DVector::zeros(rows), |sum, y| sum + &y.slope * times(y))
        };
        let own = self.by_yield.iter().map(|y| &y.slope * MIXED.1);
        [sum(&|y| y.with.sites), sum(&|_| MIXED.0)].into_iter().chain(own).collect()
    }
}

impl Experience {
    /// Takes a dyeing in, checked; learns nothing yet.
    pub(super) fn keep(&mut self, dyeing: Dyeing) -> Result<(), Refusal> {
        if dyeing.bath.is_empty() {
            return Err(Refusal::NothingDyed);
        }
        let glimpse = &dyeing.glimpse;
        for spread in [glimpse.bias, glimpse.spread] {
            if !(spread.is_finite() && (0.0..=100.0).contains(&spread)) {
                return Err(Refusal::NoSpread { given: spread });
            }
        }
        for one in &dyeing.bath {
            if one.dye >= self.stock.len() {
                return Err(Refusal::NotInStock { place: one.dye, stock: self.stock.len() });
            }
        }
        let fibre = self.fibre(&dyeing.fibre);
        for strand in self.strands.clone() {
            self.add_strands(strand.dye, fibre);
        }
        for one in &dyeing.bath {
            self.add_strands(one.dye, fibre);
        }
        let seen = colours(&glimpse.seen)
            .into_iter()
            .map(|(weights, lab)| (weights, lab, one_unit(lab)))
            .collect();
        self.dyeings.push(Kept { dyeing, fibre, seen });
        Ok(())
    }

    fn fibre(&mut self, name: &str) -> usize {
        self.fibres.iter().position(|f| f == name).unwrap_or_else(|| {
            self.fibres.push(name.to_owned());
            self.fibres.len() - 1
        })
    }

    /// The looks of every strand with these deviations.
    pub(super) fn looks_at(&self, mean: &DVector<f64>) -> Vec<Looks> {
        let of = |s: &super::Strand| {
            Looks::with(&self.stock[s.dye].dye, mean.rows(s.at, s.len).into_owned())
        };
        self.strands.iter().map(of).collect()
    }
}

/// Lab steps of one ΔE00 along each axis: the symmetric root of the inverse metric.
pub(super) fn one_unit(lab: Lab) -> Matrix3<f64> {
    let slopes = slopes_of_difference(lab);
    let eigen = (slopes.transpose() * slopes).symmetric_eigen();
    let roots = eigen.eigenvalues.map(|v| 1.0 / v.max(1e-6).sqrt());
    eigen.eigenvectors * Matrix3::from_diagonal(&roots) * eigen.eigenvectors.transpose()
}

/// One dye of a recipe with its looks: place in the stock, dose (% owf), and the logarithm of what its job
/// adds to its yield.
pub(super) struct Part<'a> {
    pub(super) dye: usize,
    pub(super) of: &'a crate::Dye,
    pub(super) looks: &'a Looks,
    pub(super) dose_pct: f64,
    pub(super) beside: f64,
}

impl Part<'_> {
    /// Its dose in units of the depth at which half of its yield is lost.
    pub(super) fn depth(&self) -> f64 {
        self.dose_pct / self.looks.believed.saturates_at
    }

    fn fixed(&self, on: &Substrate, saturates_at: f64, with: &InCompany) -> f64 {
        let factor = maths::exp(with.log + self.beside);
        factor * on.fixed_with(self.of, saturates_at, self.dose_pct)
    }
}

/// The yield of each dye of a bath in its company.
pub(super) fn in_company(parts: &[Part], company: &Company) -> Vec<InCompany> {
    let depths: Vec<f64> = parts.iter().map(Part::depth).collect();
    company.yields(&depths)
}

fn absorbed(on: &Substrate, parts: &[Part], with: &[InCompany]) -> [f64; BANDS] {
    let mut all = [0.0; BANDS];
    for (part, with) in parts.iter().zip(with) {
        let look = &part.looks.believed;
        add(&mut all, &look.absorbs, part.fixed(on, look.saturates_at, with));
    }
    all
}

/// The colour alone.
pub(super) fn colour_of(
    on: &Substrate,
    parts: &[Part],
    company: &Company,
    lights: &[&'static Weights],
) -> DVector<f64> {
    let all = absorbed(on, parts, &in_company(parts, company));
    DVector::from_iterator(
        3 * lights.len(),
        lights.iter().flat_map(|l| {
            let at = vector(on.lab_of(&all, l));
            [at[0], at[1], at[2]]
        }),
    )
}

/// The colour and how it moves. Slopes go through the reflectance band by band, so that the colour is
/// reckoned once a light.
pub(super) fn slopes(
    on: &Substrate,
    parts: &[Part],
    company: &Company,
    lights: &[&'static Weights],
) -> Slopes {
    let with = in_company(parts, company);
    let all = absorbed(on, parts, &with);
    let rows = 3 * lights.len();
    let seen: [(f64, f64); BANDS] = std::array::from_fn(|i| on.seen(i, all[i]));
    let mut at = DVector::zeros(rows);
    // Lab slopes in the absorbed sum of each band, light by light.
    let mut pulls: Vec<[Vector3<f64>; BANDS]> = vec![];
    for (l, light) in lights.iter().enumerate() {
        let lab = light.lab_of(&seen.map(|s| s.0));
        at.rows_mut(3 * l, 3).copy_from(&vector(lab));
        pulls.push(pull(light, &seen, lab));
    }
    let through = |moved: &[f64; BANDS]| {
        DVector::from_iterator(
            rows,
            pulls.iter().flat_map(|pull| {
                let mut sum = Vector3::zeros();
                for (p, m) in pull.iter().zip(moved) {
                    sum += p * *m;
                }
                [sum[0], sum[1], sum[2]]
            }),
        )
    };
    let mut by_dye = vec![];
    let mut by_yield = vec![];
    let depths: Vec<f64> = parts.iter().map(Part::depth).collect();
    for (p, part) in parts.iter().enumerate() {
        let believed = &part.looks.believed;
        let fixed = part.fixed(on, believed.saturates_at, &with[p]);
        let mut own = DMatrix::zeros(rows, part.looks.stepped.len());
        for (k, look) in part.looks.stepped.iter().enumerate() {
            let elsewhere = (look.saturates_at - believed.saturates_at).abs() > 0.0;
            let moved: [f64; BANDS] = if elsewhere && parts.len() > 1 {
                // Another saturation leaves the others other room.
                let mut depths = depths.clone();
                depths[p] = part.dose_pct / look.saturates_at;
                let mut moved = all.map(|a| -a / STEP);
                for (q, (other, with)) in parts.iter().zip(company.yields(&depths)).enumerate() {
                    let look = if q == p { look } else { &other.looks.believed };
                    let fixed = other.fixed(on, look.saturates_at, &with);
                    add(&mut moved, &look.absorbs, fixed / STEP);
                }
                moved
            } else {
                let stepped = part.fixed(on, look.saturates_at, &with[p]);
                std::array::from_fn(|i| {
                    (look.absorbs[i] * stepped - believed.absorbs[i] * fixed) / STEP
                })
            };
            own.set_column(k, &through(&moved));
        }
        by_dye.push((part.dye, own));
        let slope = through(&believed.absorbs.map(|a| a * fixed));
        by_yield.push(Yield { dye: part.dye, slope, with: with[p] });
    }
    Slopes { at, by_dye, by_yield }
}

/// Slope of Lab in what each band absorbs.
fn pull(light: &Weights, seen: &[(f64, f64); BANDS], lab: Lab) -> [Vector3<f64>; BANDS] {
    // CIE 15:2004, 8.2.1, backwards: f from Lab, and the slope of f in the ratio to white.
    let fy = (lab.l + 16.0) / 116.0;
    let f = [fy + lab.a / 500.0, fy, fy - lab.b / 200.0];
    let steep = f.map(|f| if f > 6.0 / 29.0 { 1.0 / (3.0 * f * f) } else { 841.0 / 108.0 });
    let white = light.white();
    let white = [white.x, white.y, white.z];
    let rows = light.rows();
    std::array::from_fn(|i| {
        let [x, y, z] = std::array::from_fn(|c| steep[c] * rows[c][i] * seen[i].1 / white[c]);
        Vector3::new(116.0 * y, 500.0 * (x - y), 200.0 * (y - z))
    })
}
