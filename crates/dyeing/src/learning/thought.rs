//! A recipe thought of somewhere: its colour as believed, and what that colour hangs on.

use std::sync::Arc;

use colour::Weights;
use nalgebra::{DMatrix, Matrix3};

use super::company::{Company, InCompany, Tie};
use super::gather::{Part, Slopes, in_company, slopes};
use super::{Experience, Foretold, InBath, Setting};
use crate::predict::{REPEAT, vector};
use crate::sight::Looks;
use crate::{Dye, Refusal, Scatter};

/// A recipe and where it is thought of.
#[derive(Debug, Clone, Copy)]
pub struct Thought<'a> {
    /// The cloth, its fibre and the job.
    pub setting: Setting<'a>,
    /// The recipe.
    pub bath: &'a [InBath],
    /// How alike two dyeings of it come out.
    pub scatter: Scatter,
}

/// Something not learnt of at all, on a fibre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Stranger<'a> {
    Dye(usize, &'a str),
    Tie(Tie, &'a str),
}

/// Where a number that a colour hangs on stands.
#[derive(Debug, Clone, Copy)]
pub(super) enum Hangs<'a> {
    Known(usize),
    Stranger(Stranger<'a>),
}

/// A recipe looked at.
pub(super) struct Seen<'a> {
    pub(super) slopes: Slopes,
    pub(super) hangs: Vec<(Hangs<'a>, DMatrix<f64>)>,
}

impl Experience {
    /// Factor on what is fixed of each dye of a bath because of its company, as believed now in this job.
    ///
    /// # Errors
    /// A recipe with a dye that is not in stock.
    pub fn yields(&self, setting: &Setting, bath: &[InBath]) -> Result<Vec<f64>, Refusal> {
        let looks = self.looks_of(setting, bath)?;
        let (parts, with) = self.in_job(setting, bath, &looks);
        let all = parts.iter().zip(&with).map(|(p, w)| colour::maths::exp(w.log + p.beside));
        Ok(all.collect())
    }

    fn looks_of(&self, setting: &Setting, bath: &[InBath]) -> Result<Vec<Arc<Looks>>, Refusal> {
        let one = |one: &InBath| {
            let Some(stocked) = self.stock.get(one.dye) else {
                return Err(Refusal::NotInStock { place: one.dye, stock: self.stock.len() });
            };
            let strand = self.place_of(setting.fibre).and_then(|fibre| {
                self.strands.iter().position(|s| s.dye == one.dye && s.fibre == fibre)
            });
            let kept = strand.and_then(|s| self.looks.get(s)).cloned();
            Ok(kept.unwrap_or_else(|| stocked.dye.sight.of(&stocked.dye)))
        };
        bath.iter().map(one).collect()
    }

    fn in_job<'a>(
        &'a self,
        setting: &Setting,
        bath: &[InBath],
        looks: &'a [Arc<Looks>],
    ) -> (Vec<Part<'a>>, Vec<InCompany>) {
        let part = |(one, looks): (&InBath, &'a Arc<Looks>)| Part {
            dye: one.dye,
            of: &self.stock[one.dye].dye,
            looks,
            dose_pct: one.dose.to_percent(),
            beside: 0.0,
        };
        let mut parts: Vec<Part> = bath.iter().zip(looks).map(part).collect();
        let ties = self.ties_of(bath.iter().map(|b| b.dye));
        let with =
            in_company(&parts, &self.company(&self.mean, &ties, self.place_of(setting.fibre)));
        if let Some(job) = self.jobs.get(&setting.job).filter(|_| bath.len() > 1) {
            for (part, with) in parts.iter_mut().zip(&with) {
                part.beside = job.adds(part.dye, with);
            }
        }
        (parts, with)
    }

    pub(super) fn look<'a>(
        &self,
        setting: &Setting<'a>,
        bath: &[InBath],
    ) -> Result<Seen<'a>, Refusal> {
        let looks = self.looks_of(setting, bath)?;
        let (parts, _) = self.in_job(setting, bath, &looks);
        let fibre = self.place_of(setting.fibre);
        let ties = self.ties_of(bath.iter().map(|b| b.dye));
        let company = self.company(&self.mean, &ties, fibre);
        Ok(self.seen_by(setting, &parts, &company, Weights::reference()))
    }

    /// Foretells one recipe of dyes that were handed out as believed in this setting, with what they do in the
    /// job, under any one light.
    pub(super) fn foretell_of(
        &self,
        thought: &Thought,
        dyes: &[&Dye],
        light: &'static Weights,
    ) -> Foretold {
        let looks: Vec<_> = dyes.iter().map(|dye| dye.looks()).collect();
        let parts: Vec<Part> = thought
            .bath
            .iter()
            .zip(dyes.iter().zip(&looks))
            .map(|(one, (of, looks))| {
                let dose_pct = one.dose.to_percent();
                Part { dye: one.dye, of, looks, dose_pct, beside: 0.0 }
            })
            .collect();
        // Their strength has what they do in company in it already.
        let seen = self.seen_by(&thought.setting, &parts, &Company::default(), light);
        self.all_told(std::slice::from_ref(thought), &[seen])
    }

    fn seen_by<'a>(
        &self,
        setting: &Setting<'a>,
        parts: &[Part],
        company: &Company,
        light: &'static Weights,
    ) -> Seen<'a> {
        let fibre = self.place_of(setting.fibre);
        let ties = self.ties_of(parts.iter().map(|p| p.dye));
        let slopes = slopes(setting.on, parts, company, &[light]);
        let mut hangs = vec![];
        for (dye, slope) in &slopes.by_dye {
            let strand = self.strand(*dye, setting.fibre);
            let stranger = Hangs::Stranger(Stranger::Dye(*dye, setting.fibre));
            hangs.push((strand.map_or(stranger, |s| Hangs::Known(s.at)), slope.clone()));
        }
        for (tie, slope) in ties.into_iter().zip(slopes.by_tie()) {
            let at = fibre.and_then(|f| self.tie(tie, f));
            let stranger = Hangs::Stranger(Stranger::Tie(tie, setting.fibre));
            let slope = DMatrix::from_column_slice(slope.len(), 1, slope.as_slice());
            hangs.push((at.map_or(stranger, Hangs::Known), slope));
        }
        Seen { slopes, hangs }
    }
}

impl Seen<'_> {
    /// Covariance that dosing and dyeing add to a piece.
    pub(super) fn scatter(&self, recipe: &[InBath], scatter: Scatter) -> Matrix3<f64> {
        let mut all = Matrix3::identity() * (REPEAT * REPEAT);
        let mut common = vector(colour::Lab::new(0.0, 0.0, 0.0));
        for (part, one) in self.slopes.by_yield.iter().zip(recipe) {
            let slope = part.slope.fixed_rows::<3>(0).into_owned();
            let own = scatter.each * scatter.each + one.scatter * one.scatter;
            all += slope * slope.transpose() * own;
            common += slope;
        }
        all + common * common.transpose() * (scatter.common * scatter.common)
    }
}
