//! What can be done with a blend: one bath that takes on every fibre, two baths in the right order, or
//! one bath that leaves a heather; each with why and what can go wrong.
//!
//! The ways are found through the gates of `offer`, so that none ruins a fibre or a part, and none is
//! missing that passes them; which of two baths comes first, and what stands between them, are rows of
//! `blend_ways.toml`. Elastane that other fibres cover is not counted as a fibre to be coloured. Left
//! out: natural dyes on a mordant, whose colour is not predicted; how each way looks, which is worked
//! out in `dyeing`.

use std::cmp::Reverse;

use serde::Deserialize;
use units::Share;

use crate::fault::read;
use crate::named::named;
use crate::offer::{People, Stop};
use crate::offer_gates::Gates;
use crate::{DataFault, Lore, Makeup, Part, Portion, Procedure, Provenance, Standing, Verdict};

named! {
    /// What is done with a blend.
    pub enum BlendKind, "way with a blend" {
        /// One bath that takes on every fibre.
        OneBath = "one bath",
        /// Two baths, one after the other.
        TwoBaths = "two baths",
        /// One bath that leaves a fibre as it is.
        Heather = "heather",
    }
}

/// One way with a blend.
#[derive(Debug, Clone, PartialEq)]
pub struct BlendWay {
    /// What kind of way it is.
    pub kind: BlendKind,
    /// The bath that comes first, or the only one.
    pub first: Procedure,
    /// The bath that comes second.
    pub second: Option<Procedure>,
    /// What must be done between the two.
    pub between: Option<String>,
    /// Fibre by fibre, the largest first: what colours it.
    pub fibres: Vec<WayFibre>,
    /// The share of the fibres to be coloured that is coloured.
    pub colours: Share,
    /// Why this way, or why in this order.
    pub why: String,
    /// What can go wrong.
    pub risk: String,
    /// Where that is from.
    pub provenance: Provenance,
}

/// One fibre on one way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WayFibre {
    /// The material.
    pub material: String,
    /// The bath that colours it best; none when it stays as it is.
    pub by: Option<Procedure>,
    /// What that bath does on it.
    pub verdict: Verdict,
}

/// Every way with a blend, and why the others are not there.
#[derive(Debug, Clone, PartialEq)]
pub struct BlendWays {
    /// The ways, the best of each kind first, kinds in their order.
    pub ways: Vec<BlendWay>,
    /// Kinds that this blend does not have, with the reason.
    pub missing: Vec<(BlendKind, String)>,
}

/// A bath as part of a way, and what it does on each fibre to be coloured.
type Half = (Procedure, Vec<Verdict>);

/// How many ways of one kind are told.
const TOLD: usize = 2;
/// A blend counts as coloured all over from this share on, as in an offer (house judgement).
const WHOLE_FROM: f64 = 0.9;
/// Other fibres cover elastane from this share on (house judgement, as the look of cloth has it).
const COVERS: f64 = 0.6;

/// What `blend_ways.toml` holds.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Ways {
    rest: Option<Told>,
    order: Vec<Order>,
    one_bath: Option<Other>,
    heather: Option<Other>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Order {
    first: Vec<Procedure>,
    second: Vec<Procedure>,
    told: Told,
}

/// What is said of two baths in their order.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Told {
    between: String,
    why: String,
    risk: String,
    source: String,
    standing: Standing,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Other {
    why: String,
    risk: String,
    source: String,
    standing: Standing,
}

/// Reads `blend_ways.toml`; refuses a file without its three tables, and a bath that comes before itself.
pub(crate) fn try_read(text: &str) -> Result<Ways, DataFault> {
    const FILE: &str = "blend_ways.toml";
    let ways: Ways = read(FILE, text)?;
    let fault = |what: &str| Err(DataFault { file: FILE, what: what.to_owned() });
    if ways.rest.is_none() || ways.one_bath.is_none() || ways.heather.is_none() {
        return fault("'rest', 'one_bath' and 'heather' must all be there");
    }
    for order in &ways.order {
        if order.first.iter().any(|p| order.second.contains(p)) {
            return fault("a procedure that comes before itself");
        }
    }
    Ok(ways)
}

impl Lore {
    /// What can be done with a blend with these parts, near these people; none for a single fibre and
    /// for a fibre that is not known.
    #[must_use]
    pub fn blend_ways(
        &self,
        makeup: &Makeup,
        parts: &[&Part],
        people: People,
    ) -> Option<BlendWays> {
        let Makeup::Known(portions) = makeup else { return None };
        let seen = to_colour(portions);
        if seen.len() < 2 {
            return None;
        }
        let halves = self.halves(portions, &seen, &Gates::of(self, makeup, parts), people);
        let mut ways = self.one_baths(portions, &seen, &halves);
        let best = ways.iter().filter_map(|w| w.fibres.iter().map(|f| f.verdict).min()).max();
        let pairs = self.two_baths(&seen, &halves, best);
        let beaten = pairs.is_none();
        ways.extend(pairs.unwrap_or_default());
        ways.extend(self.heathers(&seen, &halves));
        let missing = BlendKind::ALL
            .iter()
            .filter(|kind| ways.iter().all(|way| way.kind != **kind))
            .map(|kind| (*kind, why_missing(*kind, &halves, beaten)))
            .collect();
        Some(BlendWays { ways, missing })
    }

    /// The way that is this one bath, whether or not a better one of its kind comes before it in
    /// [`Lore::blend_ways`]; none where the gates do not let it pass.
    #[must_use]
    pub fn blend_way_of(
        &self,
        makeup: &Makeup,
        parts: &[&Part],
        people: People,
        procedure: Procedure,
    ) -> Option<BlendWay> {
        let Makeup::Known(portions) = makeup else { return None };
        let seen = to_colour(portions);
        let halves = self.halves(portions, &seen, &Gates::of(self, makeup, parts), people);
        let half = halves.iter().find(|(p, _)| *p == procedure)?;
        let all = half.1.iter().all(|v| v.dyes());
        let kind = if all { BlendKind::OneBath } else { BlendKind::Heather };
        self.single(kind, &seen, half, &[])
    }

    /// Every bath that may be part of a way.
    fn halves(
        &self,
        portions: &[Portion],
        seen: &[&Portion],
        gates: &Gates,
        people: People,
    ) -> Vec<Half> {
        let may = |procedure: Procedure| {
            gates.pass(procedure, people).err().is_none_or(|stop| stop.stop != Stop::People)
        };
        Procedure::ALL
            .iter()
            .filter(|procedure| **procedure != Procedure::AlumNatural && may(**procedure))
            .filter_map(|procedure| {
                let all = gates.verdicts_as_half(portions, *procedure)?;
                let kept = portions.iter().zip(all).filter(|(p, _)| seen.contains(p));
                Some((*procedure, kept.map(|(_, verdict)| verdict).collect()))
            })
            .collect()
    }

    fn one_baths(&self, portions: &[Portion], seen: &[&Portion], halves: &[Half]) -> Vec<BlendWay> {
        let mut all: Vec<&Half> =
            halves.iter().filter(|(_, v)| v.iter().all(|v| v.dyes())).collect();
        all.sort_by_key(|half| self.rank(seen, half));
        let notes = self.blend_notes(portions);
        let risks: Vec<&str> =
            notes.iter().filter(|n| n.one_bath.is_some()).map(|n| n.risk.as_str()).collect();
        let way = |half: &&Half| self.single(BlendKind::OneBath, seen, half, &risks);
        all.iter().take(TOLD).filter_map(way).collect()
    }

    fn heathers(&self, seen: &[&Portion], halves: &[Half]) -> Vec<BlendWay> {
        let mut some: Vec<&Half> = halves.iter().filter(|(_, v)| splits(v)).collect();
        // Of a union pack half would be lost where one kind of fibre takes it.
        some.retain(|(p, v)| {
            *p != Procedure::Union && share_coloured(seen, v) <= WHOLE_FROM + 1e-9
        });
        some.sort_by_key(|half| self.rank(seen, half));
        // Another class that colours the same fibres is the same heather.
        let mut told: Vec<Vec<bool>> = Vec::new();
        some.retain(|(_, v)| {
            let takes: Vec<bool> = v.iter().map(|v| v.dyes()).collect();
            let new = !told.contains(&takes);
            told.push(takes);
            new
        });
        let way = |half: &&Half| self.single(BlendKind::Heather, seen, half, &[]);
        some.iter().take(TOLD).filter_map(way).collect()
    }

    /// Pairs that colour all of it, each bath better than the other on some fibre; none (and not an
    /// empty list) when there are such pairs but one bath does as well on the fibre it does worst on.
    fn two_baths(
        &self,
        seen: &[&Portion],
        halves: &[Half],
        one_bath: Option<Verdict>,
    ) -> Option<Vec<BlendWay>> {
        // A union pack is a mixture for one bath: half of it would be lost in each of two.
        let open: Vec<&Half> = halves.iter().filter(|(p, _)| *p != Procedure::Union).collect();
        let mut pairs = Vec::new();
        let mut any = false;
        for (i, a) in open.iter().enumerate() {
            for b in &open[i + 1..] {
                let needed =
                    |x: &[Verdict], y: &[Verdict]| x.iter().zip(y).any(|(x, y)| x > y && x.dyes());
                let best: Vec<Verdict> = a.1.iter().zip(&b.1).map(|(a, b)| *a.max(b)).collect();
                let whole = share_coloured(seen, &best) >= WHOLE_FROM - 1e-9;
                if !(whole && needed(&a.1, &b.1) && needed(&b.1, &a.1)) {
                    continue;
                }
                any = true;
                let worst = best.iter().filter(|v| v.dyes()).min().copied();
                if worst > one_bath {
                    let (x, y) = (self.rank(seen, a), self.rank(seen, b));
                    pairs.push(((Reverse(worst), quality(seen, &best), x.2 + y.2), *a, *b));
                }
            }
        }
        pairs.sort_by_key(|(key, ..)| *key);
        let ways = pairs.into_iter().take(TOLD).map(|(_, a, b)| self.pair(seen, a, b));
        let ways: Vec<BlendWay> = ways.collect();
        (!any || !ways.is_empty()).then_some(ways)
    }

    /// How early a bath is told: by the fibre it does worst on, by all of them, by the order of
    /// preference of the largest fibre.
    fn rank(
        &self,
        seen: &[&Portion],
        half: &Half,
    ) -> (Reverse<Option<Verdict>>, Reverse<i64>, usize) {
        let (procedure, verdicts) = half;
        let worst = verdicts.iter().filter(|v| v.dyes()).min().copied();
        let place = seen
            .first()
            .and_then(|portion| self.material(&portion.material).ok())
            .and_then(|m| m.best_first.iter().position(|best| best == procedure))
            .unwrap_or(Procedure::ALL.len());
        (Reverse(worst), quality(seen, verdicts), place)
    }

    /// Two procedures in the order in which they go on one cloth.
    #[must_use]
    pub fn bath_order(&self, a: Procedure, b: Procedure) -> (Procedure, Procedure) {
        let rule = |x: Procedure, y: Procedure| {
            self.ways.order.iter().position(|o| o.first.contains(&x) && o.second.contains(&y))
        };
        match (rule(a, b), rule(b, a)) {
            (Some(ab), Some(ba)) if ba < ab => (b, a),
            (None, Some(_)) => (b, a),
            (None, None) => {
                // The hotter first; at equal heat the one for the synthetic fibre, which is slower.
                let top = |p| {
                    let usual = self.procedure(p).map_or(0.0, |row| row.usual.to_degrees());
                    (usual, matches!(p, Procedure::Disperse | Procedure::Basic))
                };
                if top(b) > top(a) { (b, a) } else { (a, b) }
            }
            _ => (a, b),
        }
    }

    /// A way of one bath.
    fn single(
        &self,
        kind: BlendKind,
        seen: &[&Portion],
        half: &Half,
        risks: &[&str],
    ) -> Option<BlendWay> {
        let (procedure, verdicts) = half;
        let other = match kind {
            BlendKind::Heather => self.ways.heather.as_ref(),
            _ => self.ways.one_bath.as_ref(),
        }?;
        let fibres = fibres(seen, &[half]);
        let stays: Vec<String> =
            fibres.iter().filter(|f| f.by.is_none()).map(|f| self.called(&f.material)).collect();
        let why = if stays.is_empty() {
            other.why.clone()
        } else {
            format!("{}: the {} stays as it is", other.why, stays.join(" and the "))
        };
        let mut risk: Vec<&str> = vec![&other.risk];
        risk.extend(risks);
        let mut risk = risk.join("; ");
        risk.push_str(&self.weak_points(&fibres));
        Some(BlendWay {
            kind,
            first: *procedure,
            second: None,
            between: None,
            colours: share(share_coloured(seen, verdicts)),
            fibres,
            why,
            risk,
            provenance: Provenance { source: other.source.clone(), standing: other.standing },
        })
    }

    /// Why a fibre takes no better than fairly, fibre by fibre, to follow a risk.
    fn weak_points(&self, fibres: &[WayFibre]) -> String {
        let weak = fibres.iter().filter(|f| f.verdict == Verdict::Fair);
        weak.filter_map(|f| {
            let why = self.verdict(self.material(&f.material).ok()?, f.by?).why;
            Some(format!("; on the {}: {why}", self.called(&f.material)))
        })
        .collect()
    }

    fn called(&self, material: &str) -> String {
        self.material(material).map_or(material.to_owned(), |m| m.name.clone())
    }

    /// A way of two baths, put in order.
    fn pair(&self, seen: &[&Portion], a: &Half, b: &Half) -> BlendWay {
        let (first, second) = self.bath_order(a.0, b.0);
        let mut orders = self.ways.order.iter();
        let rule = orders.find(|o| o.first.contains(&first) && o.second.contains(&second));
        let told = rule.map(|o| &o.told).or(self.ways.rest.as_ref());
        let fibres = fibres(seen, &if first == a.0 { [a, b] } else { [b, a] });
        let best: Vec<Verdict> = fibres.iter().map(|f| f.verdict).collect();
        let mut risk = told.map_or(String::new(), |t| t.risk.clone());
        risk.push_str(&self.weak_points(&fibres));
        BlendWay {
            kind: BlendKind::TwoBaths,
            first,
            second: Some(second),
            between: told.map(|t| t.between.clone()),
            colours: share(share_coloured(seen, &best)),
            fibres,
            why: told.map_or(String::new(), |t| t.why.clone()),
            risk,
            provenance: told.map_or_else(
                // Only the empty fallback of `Lore` has no rows, and it has no pairs either.
                || Provenance {
                    source: "house-judgement".to_owned(),
                    standing: Standing::Judgement,
                },
                |t| Provenance { source: t.source.clone(), standing: t.standing },
            ),
        }
    }
}

/// The fibres that are to be coloured: all, without elastane that the others cover.
fn to_colour(portions: &[Portion]) -> Vec<&Portion> {
    let core = |p: &&Portion| p.material == "elastane";
    let others: f64 = portions.iter().filter(|p| !core(p)).map(|p| p.share.to_fraction()).sum();
    portions.iter().filter(|p| others < COVERS || !core(p)).collect()
}

/// The share, of the fibres to be coloured, that these verdicts colour.
fn share_coloured(seen: &[&Portion], verdicts: &[Verdict]) -> f64 {
    let all: f64 = seen.iter().map(|p| p.share.to_fraction()).sum();
    let coloured = seen.iter().zip(verdicts).filter(|(_, verdict)| verdict.dyes());
    coloured.map(|(p, _)| p.share.to_fraction()).sum::<f64>() / all
}

fn share(of: f64) -> Share {
    Share::try_fraction(of.clamp(0.0, 1.0)).unwrap_or(Share::WHOLE)
}

/// Fibre by fibre, the bath that does best on it; the first of two that do alike.
fn fibres(seen: &[&Portion], baths: &[&Half]) -> Vec<WayFibre> {
    seen.iter()
        .enumerate()
        .map(|(i, portion)| {
            let on = |half: &&Half| (half.0, half.1.get(i).copied().unwrap_or(Verdict::None));
            let best = baths.iter().rev().map(on).max_by_key(|(_, verdict)| *verdict);
            let (by, verdict) = best.map_or((None, Verdict::None), |(p, v)| (Some(p), v));
            let by = by.filter(|_| verdict.dyes());
            WayFibre { material: portion.material.clone(), by, verdict }
        })
        .collect()
}

/// The verdicts weighed by share, best first, as a whole number of thousandths so that it sorts.
fn quality(seen: &[&Portion], verdicts: &[Verdict]) -> Reverse<i64> {
    let step = |v: &Verdict| Verdict::ALL.iter().take_while(|it| it < &v).map(|_| 1.0).sum::<f64>();
    let sum: f64 = seen.iter().zip(verdicts).map(|(p, v)| p.share.to_fraction() * step(v)).sum();
    #[expect(clippy::cast_possible_truncation, reason = "at most 5000")]
    Reverse((sum * 1000.0).round() as i64)
}

fn splits(verdicts: &[Verdict]) -> bool {
    verdicts.iter().any(|v| v.dyes()) && verdicts.iter().any(|v| !v.dyes())
}

fn why_missing(kind: BlendKind, halves: &[Half], beaten: bool) -> String {
    let why = match kind {
        BlendKind::OneBath => "no bath that every fibre bears takes on all of them",
        BlendKind::TwoBaths if beaten => {
            "one bath does as well on the fibre it does worst on as any two baths"
        }
        BlendKind::TwoBaths if !halves.iter().any(|(_, v)| splits(v)) => {
            "every bath that takes on one of the fibres takes on the others as well: a second bath \
             would deepen them all"
        }
        BlendKind::TwoBaths => {
            "no two baths that every fibre bears colour all of them between them"
        }
        BlendKind::Heather => {
            "no bath colours one of the fibres and leaves another as it is; where one goes deeper \
             than the other, one bath is the heather"
        }
    };
    why.to_owned()
}
