//! What a chart teaches of a camera under its lamp: three effective sensitivities, each with what stays unknown of it.
//!
//! A reading is the sum over the bands of sensitivity × lamp × reflectance. Under one lamp the sensitivities are believed
//! Gaussian (`sensors`), so that the readings of patches of known reflectance leave a Gaussian; the lamps are weighed by
//! how likely they make the readings, and so is how rough the readings are. What is left is put into one mean and one
//! covariance. C. E. Rasmussen and C. K. I. Williams, *Gaussian Processes for Machine Learning* (2006), ch. 2 and 5.

use colour::{BANDS, maths};

use super::{
    Chain, Row, Square, Told,
    corrected::{Primaries, corrected},
    dot,
    lamps::{D65, KINDS, Lamp, LampKind, lamps},
    sensors::{Channel, channels},
    solve::Factor,
};

/// How rough a reading is: a part of white, and a part of itself (standard deviations).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rough {
    pub(super) white: f64,
    pub(super) own: f64,
}

/// The roughnesses weighed. From a quiet 16-bit file to a phone's JPEG in poor light (judgement).
const ROUGH: [Rough; 7] = [
    Rough { white: 0.0002, own: 0.001 },
    Rough { white: 0.0005, own: 0.003 },
    Rough { white: 0.001, own: 0.006 },
    Rough { white: 0.003, own: 0.001 },
    Rough { white: 0.003, own: 0.006 },
    Rough { white: 0.006, own: 0.01 },
    Rough { white: 0.012, own: 0.02 },
];

/// How far a channel's scale is free beside the fit to the chart (standard deviation).
const SCALE: f64 = 0.03;

/// The bottom of the scale, of white: some four steps of 8 bits, where noise alone stands.
const BOTTOM: f64 = 0.001_5;
/// How far below it a patch of a chart may have lain, of white (judgement: those far below are left out).
const CUT_OFF: f64 = 0.04;
/// The same of a cloth, red, green and blue, mean and standard deviation, of its brightest channel. A turquoise that ends
/// sharply lies below by 0.4 of it in the red of sRGB; greens and blues lie below by less than 0.1, as of deep reds
/// (worked out with a made-up camera).
const BELOW: [(f64, f64); 3] = [(0.13, 0.18), (0.06, 0.06), (0.05, 0.05)];

/// Where a lamp's power is below this part of its mean, a sensitivity cannot be told from the lamp.
const DARK_LAMP: f64 = 0.01;

/// What is known of the camera under its lamp once the chart is read.
#[derive(Debug, Clone)]
pub(super) struct Response {
    /// The likeliest effective sensitivities.
    pub(super) mean: [Row; 3],
    /// What is unknown of each.
    pub(super) doubt: Box<[Square; 3]>,
    /// Variances of a reading: of white, and as a share of the reading squared.
    pub(super) rough: [f64; 2],
    /// How likely each kind of lamp is.
    pub(super) lamps: [f64; KINDS],
    /// The likeliest channels of the camera itself, where it and its lamp were told apart.
    pub(super) sensor: Option<[Row; 3]>,
    /// Which way of those prepared is the likeliest.
    way: usize,
}

impl Response {
    /// One that was drawn, and is known.
    pub(super) fn drawn(mean: [Row; 3], rough: [f64; 2]) -> Self {
        let doubt = Box::new([[[0.0; BANDS]; BANDS]; 3]);
        Self { mean, doubt, rough, lamps: [0.0; KINDS], sensor: None, way: 0 }
    }
}

/// The chart under every lamp by every kind of development, before it is read.
pub(super) struct Prepared {
    ways: Vec<Way>,
    /// How many lamps; each development has as many ways.
    lamps: usize,
    /// The kind of light, where it is told.
    told: Option<LampKind>,
}

/// One lamp and one development.
struct Way {
    kind: LampKind,
    power: Row,
    channels: [Under; 3],
}

struct Under {
    mean: Row,
    covariance: Box<Square>,
    expected: Vec<f64>,
    pull: Vec<Row>,
    own: Vec<f64>,
}

/// How well one lamp and roughness explain the readings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Case {
    way: usize,
    rough: Rough,
    /// Logarithm of the evidence.
    pub(super) evidence: f64,
}

impl Prepared {
    /// For patches of these reflectances. A file that is not developed holds the sensor's own channels; one that is holds
    /// them as they are, or corrected to the primaries of the file: each as likely as the others.
    pub(super) fn of(patches: &[Row], told: Told) -> Self {
        let lamps = lamps();
        let mut ways: Vec<Way> = lamps
            .iter()
            .map(|lamp| Way::of(lamp, |c| Under::bare(&lamp.power, c, patches)))
            .collect();
        if told.chain == Chain::Developed {
            for primaries in Primaries::ALL {
                ways.extend(lamps.iter().zip(corrected(primaries)).map(|(lamp, channels)| {
                    Way::of(lamp, |c| Under::corrected(&channels[c], patches))
                }));
            }
        }
        Self { ways, lamps: lamps.len(), told: told.lamp }
    }

    /// Every way and roughness, the likeliest first.
    pub(super) fn weigh(&self, seen: &[[f64; 3]], few: Option<&[Case]>) -> Vec<Case> {
        let all: Vec<usize> = match few {
            None => (0..self.ways.len()).filter(|way| self.believed(*way)).collect(),
            Some(cases) => {
                let mut ways: Vec<usize> = cases.iter().map(|c| c.way).collect();
                ways.sort_unstable();
                ways.dedup();
                ways
            }
        };
        let mut cases: Vec<Case> = all
            .iter()
            .flat_map(|&way| ROUGH.map(|rough| (way, rough)))
            .filter_map(|(way, rough)| {
                let evidence = self.ways[way].evidence(seen, rough);
                Some(Case { way, rough, evidence: evidence? })
            })
            .collect();
        cases.sort_by(|a, b| b.evidence.total_cmp(&a.evidence));
        cases
    }

    /// Whether the likeliest camera corrects its colours.
    pub(super) const fn is_corrected(&self, response: &Response) -> bool {
        response.way >= self.lamps
    }

    fn believed(&self, way: usize) -> bool {
        self.told.is_none_or(|kind| self.ways[way].kind == kind)
    }

    /// What the readings leave, over the cases by their weight.
    pub(super) fn learn(&self, seen: &[[f64; 3]], cases: &[Case]) -> Option<Response> {
        let best = cases.first()?.evidence;
        let weighed: Vec<(f64, Case)> = cases
            .iter()
            .map(|case| (maths::exp(case.evidence - best), *case))
            .filter(|(weight, _)| *weight > 1e-3)
            .collect();
        let total: f64 = weighed.iter().map(|w| w.0).sum();
        let mut mean = [[0.0; BANDS]; 3];
        let mut doubt = Box::new([[[0.0; BANDS]; BANDS]; 3]);
        let mut rough = [0.0; 2];
        let mut lamps = [0.0; KINDS];
        let mut sensor = [[0.0; BANDS]; 3];
        let mut each = Vec::with_capacity(weighed.len());
        for (weight, case) in &weighed {
            let weight = weight / total;
            let way = &self.ways[case.way];
            lamps[way.kind.index()] += weight;
            rough[0] += weight * case.rough.white * case.rough.white;
            rough[1] += weight * case.rough.own * case.rough.own;
            let mut means = [[0.0; BANDS]; 3];
            for c in 0..3 {
                let (m, table) = way.channels[c].posterior(&column(seen, c), case.rough)?;
                for i in 0..BANDS {
                    mean[c][i] += weight * m[i];
                    sensor[c][i] += weight * m[i] / way.power[i].max(DARK_LAMP);
                    for k in 0..BANDS {
                        doubt[c][i][k] += weight * table[i][k];
                    }
                }
                means[c] = m;
            }
            each.push((weight, means));
        }
        for (weight, means) in &each {
            for c in 0..3 {
                for i in 0..BANDS {
                    for k in 0..BANDS {
                        doubt[c][i][k] +=
                            weight * (means[c][i] - mean[c][i]) * (means[c][k] - mean[c][k]);
                    }
                }
            }
        }
        let way = cases.first()?.way;
        Some(Response { mean, doubt, rough, lamps, sensor: Some(sensor), way })
    }
}

impl Prepared {
    /// What these patches would have taught in daylight, readings being as rough: of the camera that was told apart from its
    /// lamp, and of a usual one. Nobody says which lamp it is there either: every one that could have made the readings
    /// counts.
    pub(super) fn in_daylight(
        &self,
        patches: &[Row],
        response: &Response,
    ) -> Option<[Response; 2]> {
        let day = &self.ways.get(D65)?.power;
        let own = response.sensor?.map(|row| -> Row { std::array::from_fn(|i| row[i] * day[i]) });
        let first = response.way - response.way % self.lamps;
        let usual = self.ways.get(first + D65)?.channels.each_ref().map(|under| under.mean);
        let [own, usual] =
            [own, usual].map(|under| self.learn_from(&seen_by(&under, patches), response.rough));
        Some([own?, usual?])
    }

    fn learn_from(&self, seen: &[[f64; 3]], rough: [f64; 2]) -> Option<Response> {
        let rough = Rough { white: rough[0].sqrt(), own: rough[1].sqrt() };
        let mut cases: Vec<Case> = (0..self.ways.len())
            .filter_map(|way| {
                let evidence = self.ways[way].evidence(seen, rough);
                Some(Case { way, rough, evidence: evidence? })
            })
            .collect();
        cases.sort_by(|a, b| b.evidence.total_cmp(&a.evidence));
        self.learn(seen, &cases)
    }
}

impl Way {
    fn of(lamp: &Lamp, under: impl Fn(usize) -> Under) -> Self {
        Self { kind: lamp.kind, power: lamp.power, channels: std::array::from_fn(under) }
    }

    fn evidence(&self, seen: &[[f64; 3]], rough: Rough) -> Option<f64> {
        (0..3).map(|c| self.channels[c].evidence(&column(seen, c), rough)).sum()
    }
}

/// Readings of patches. Roughness is a share of white: in each channel they come to what the patches reflect, as those do
/// that a picture gives.
fn seen_by(effective: &[Row; 3], patches: &[Row]) -> Vec<[f64; 3]> {
    let mut seen: Vec<[f64; 3]> =
        patches.iter().map(|p| [0, 1, 2].map(|c: usize| dot(&effective[c], p))).collect();
    let reflected: f64 = patches.iter().map(|p| p.iter().sum::<f64>() / 31.0).sum();
    for c in 0..3 {
        let total: f64 = seen.iter().map(|rgb| rgb[c]).sum();
        seen.iter_mut().for_each(|rgb| rgb[c] *= reflected / total.max(1e-9));
    }
    seen
}

impl Under {
    /// The sensor's own channel under a lamp.
    fn bare(lamp: &Row, channel: usize, patches: &[Row]) -> Self {
        let sensor = &channels()[channel];
        let total = dot(lamp, &sensor.mean);
        let mean: Row = std::array::from_fn(|i| lamp[i] * sensor.mean[i] / total);
        let covariance = Box::new(std::array::from_fn(|i| {
            std::array::from_fn(|k| lamp[i] * lamp[k] * sensor.covariance[i][k] / (total * total))
        }));
        Self::of(mean, covariance, patches)
    }

    /// A channel that the camera corrected.
    fn corrected(channel: &Channel, patches: &[Row]) -> Self {
        Self::of(channel.mean, channel.covariance.clone(), patches)
    }

    fn of(mean: Row, mut covariance: Box<Square>, patches: &[Row]) -> Self {
        for (line, m) in covariance.iter_mut().zip(&mean) {
            for (cell, other) in line.iter_mut().zip(&mean) {
                *cell += SCALE * SCALE * m * other;
            }
        }
        let pull: Vec<Row> = patches
            .iter()
            .map(|patch| std::array::from_fn(|i| dot(patch, &covariance[i])))
            .collect();
        let own = pull.iter().flat_map(|p| patches.iter().map(|q| dot(p, q))).collect();
        let expected = patches.iter().map(|p| dot(p, &mean)).collect();
        Self { mean, covariance, expected, pull, own }
    }

    /// The scale that brings the readings to what is expected, and the readings so scaled, less what is expected.
    fn scaled(&self, seen: &[f64]) -> (f64, Vec<f64>) {
        let square: f64 = self.expected.iter().map(|e| e * e).sum();
        let along: f64 = self.expected.iter().zip(seen).map(|(e, s)| e * s).sum();
        let scale = (along / square).max(1e-9);
        (scale, seen.iter().zip(&self.expected).map(|(s, e)| s / scale - e).collect())
    }

    fn factor(&self, away: &[f64], rough: Rough) -> Option<Factor> {
        let n = self.expected.len();
        let mut table = self.own.clone();
        for i in 0..n {
            let reading = away[i] + self.expected[i];
            table[i * n + i] += rough.white.powi(2) + (rough.own * reading).powi(2) + lost(reading);
        }
        Factor::of(table, n)
    }

    fn evidence(&self, seen: &[f64], rough: Rough) -> Option<f64> {
        let (scale, away) = self.scaled(seen);
        let factor = self.factor(&away, rough)?;
        let half: f64 = factor.forward(&away).iter().map(|z| z * z).sum();
        let n = f64::from(u16::try_from(seen.len()).ok()?);
        Some(-0.5 * half - factor.half_log_determinant() - n * maths::ln(scale))
    }

    fn posterior(&self, seen: &[f64], rough: Rough) -> Option<(Row, Box<Square>)> {
        let (scale, away) = self.scaled(seen);
        let factor = self.factor(&away, rough)?;
        let n = self.expected.len();
        let weights = factor.solve(&away);
        let mean: Row = std::array::from_fn(|i| {
            scale * (self.mean[i] + (0..n).map(|p| self.pull[p][i] * weights[p]).sum::<f64>())
        });
        // half way through the factor: pullᵀ K⁻¹ pull = zᵀ z
        let half: Vec<Vec<f64>> = (0..BANDS)
            .map(|i| factor.forward(&self.pull.iter().map(|p| p[i]).collect::<Vec<f64>>()))
            .collect();
        let table = std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                let told: f64 = half[i].iter().zip(&half[k]).map(|(a, b)| a * b).sum();
                scale * scale * (self.covariance[i][k] - told)
            })
        });
        Some((mean, Box::new(table)))
    }
}

/// What is added to the variance of a patch's reading that stands at the bottom of the scale: a corrected channel may have
/// been cut off there.
fn lost(reading: f64) -> f64 {
    if reading <= BOTTOM { CUT_OFF * CUT_OFF } else { 0.0 }
}

/// A cloth's readings, and what is unknown of them besides, as variances: one at the bottom of the scale is not above it, and
/// lay somewhere below, the further the brighter the others are.
pub(super) fn below(seen: [f64; 3]) -> ([f64; 3], [f64; 3]) {
    let top = seen.into_iter().fold(0.0, f64::max);
    let cut = seen.map(|v| v <= BOTTOM);
    let value = std::array::from_fn(|c| if cut[c] { -BELOW[c].0 * top } else { seen[c] });
    let variance = std::array::from_fn(|c| if cut[c] { (BELOW[c].1 * top).powi(2) } else { 0.0 });
    (value, variance)
}

fn column(seen: &[[f64; 3]], channel: usize) -> Vec<f64> {
    seen.iter().map(|rgb| rgb[channel]).collect()
}
