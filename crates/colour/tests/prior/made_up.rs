//! Cloth made up for the shipped prior: Kubelka–Munk mixtures of generic absorption bands.
//!
//! K/S = K/S of the undyed cloth + amount × Σ share × absorption; R = s + (1 − s)·(1 + q − √(q² + 2q))
//! with q = K/S. An absorption is a few bands, Gaussian in wavenumber and steeper on the long-wave
//! side, as dye bands are. **All ranges are from memory or judgement**, not data: solution peaks and
//! widths of common chromophores, widened by about 1.4 because on fibre the bands are broader. They
//! were set with the 29 published clothes in `tests/fixtures/` in view and nothing else.

use colour::{BANDS, Bands};

type Range = (f64, f64);

/// One absorption band: where, how wide (full width at half height, cm⁻¹), how high.
struct Band {
    /// Peak in nm, or its distance from the first band's peak.
    at: At,
    width: Range,
    height: Range,
    /// Share of dyes that have it at all.
    present: f64,
}

enum At {
    Nm(Range),
    FromFirst(Range),
}
use At::{FromFirst, Nm};

const fn band(at: At, width: Range, height: Range) -> Band {
    Band { at, width, height, present: 1.0 }
}

const ONE: Range = (1.0, 1.0);

const YELLOW: &[Band] = &[
    band(Nm((395.0, 440.0)), (5900.0, 8100.0), ONE),
    band(FromFirst((-65.0, -45.0)), (7700.0, 9800.0), (0.30, 0.65)),
    Band {
        at: FromFirst((35.0, 50.0)),
        width: (3500.0, 4900.0),
        height: (0.05, 0.25),
        present: 0.4,
    },
];
const ORANGE: &[Band] = &[
    band(Nm((440.0, 497.0)), (4800.0, 6700.0), ONE),
    band(FromFirst((-50.0, -32.0)), (6300.0, 8400.0), (0.40, 0.70)),
    band(Nm((360.0, 395.0)), (9100.0, 9100.0), (0.10, 0.35)),
];
const RED: &[Band] = &[
    band(Nm((500.0, 550.0)), (3200.0, 4600.0), ONE),
    band(FromFirst((-40.0, -26.0)), (4200.0, 7000.0), (0.55, 0.80)),
    band(Nm((375.0, 405.0)), (8400.0, 11200.0), (0.18, 0.38)),
];
const VIOLET: &[Band] = &[
    band(Nm((550.0, 585.0)), (3600.0, 5900.0), ONE),
    band(FromFirst((-40.0, -28.0)), (3600.0, 5600.0), (0.20, 0.75)),
    band(Nm((380.0, 410.0)), (9800.0, 9800.0), (0.12, 0.32)),
];
const BLUE_TWO_PEAKED: &[Band] = &[
    band(Nm((588.0, 612.0)), (3400.0, 4200.0), ONE),
    band(FromFirst((32.0, 46.0)), (2100.0, 2800.0), (0.30, 0.90)),
    band(FromFirst((-48.0, -35.0)), (3500.0, 4600.0), (0.20, 0.55)),
    band(Nm((345.0, 385.0)), (9800.0, 9800.0), (0.12, 0.32)),
];
const BLUE_BROAD: &[Band] = &[
    band(Nm((585.0, 630.0)), (4100.0, 5500.0), ONE),
    band(FromFirst((38.0, 55.0)), (2400.0, 3400.0), (0.10, 0.50)),
    band(Nm((390.0, 415.0)), (9800.0, 11900.0), (0.18, 0.38)),
    band(Nm((460.0, 500.0)), (7000.0, 7000.0), (0.0, 0.20)),
];
const TURQUOISE: &[Band] = &[
    band(Nm((655.0, 680.0)), (1300.0, 2100.0), ONE),
    band(FromFirst((-52.0, -40.0)), (2400.0, 3400.0), (0.65, 0.95)),
    band(Nm((335.0, 355.0)), (7700.0, 7700.0), (0.40, 0.80)),
];
const BROWN: &[Band] = &[
    band(Nm((430.0, 480.0)), (7700.0, 10500.0), ONE),
    band(Nm((530.0, 560.0)), (7000.0, 8400.0), (0.30, 0.70)),
];
const GREY: &[Band] = &[
    band(Nm((555.0, 600.0)), (9100.0, 12600.0), ONE),
    band(Nm((400.0, 430.0)), (10500.0, 10500.0), (0.40, 0.80)),
];
const ANY: [&[Band]; 9] =
    [YELLOW, ORANGE, RED, VIOLET, BLUE_TWO_PEAKED, BLUE_BROAD, TURQUOISE, BROWN, GREY];

/// Splitmix64 (S. Vigna, 2015; public domain), so that everybody makes up the same cloth.
struct Chance(u64);

impl Chance {
    /// 0 up to 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn within(&mut self, (low, high): Range) -> f64 {
        low + (high - low) * self.next()
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[(self.next() * list.len() as f64) as usize]
    }

    fn weighted<T: Copy>(&mut self, list: &[(f64, T)]) -> T {
        let mut left = self.next();
        for &(share, it) in list {
            left -= share;
            if left < 0.0 {
                return it;
            }
        }
        list[list.len() - 1].1
    }
}

/// `count` made-up clothes; the same for the same number.
pub(crate) fn clothes(count: usize, start: u64) -> Vec<Bands> {
    let mut chance = Chance(start);
    (0..count).map(|_| cloth(&mut chance)).collect()
}

fn cloth(chance: &mut Chance) -> Bands {
    let undyed = undyed(chance);
    let dyes: Vec<[f64; BANDS]> = match chance.next() {
        // most shades: a yellow, a red and a blue
        q if q < 0.60 => {
            let yellow = chance.weighted(&[(0.75, YELLOW), (0.25, ORANGE)]);
            let red = chance.weighted(&[(0.75, RED), (0.15, VIOLET), (0.10, ORANGE)]);
            let blue =
                chance.weighted(&[(0.40, BLUE_TWO_PEAKED), (0.55, BLUE_BROAD), (0.05, TURQUOISE)]);
            [yellow, red, blue].map(|kind| absorption(kind, chance)).into()
        }
        q if q < 0.85 => (0..2).map(|_| any(chance)).collect(),
        _ => vec![any(chance)],
    };
    // K/S at the peak from a tint (0.06) to deeper than cloth usually goes (40), even in its logarithm
    let amount = chance.within((0.06_f64.ln(), 40.0_f64.ln())).exp();
    // shares as powers of exponential numbers: one dye mostly leads
    let shares: Vec<f64> = dyes.iter().map(|_| (-(1.0 - chance.next()).ln()).powf(2.5)).collect();
    let total: f64 = shares.iter().sum();
    let surface = chance.within((0.0, 0.015));
    Bands::try_new(std::array::from_fn(|i| {
        let ks = (1.0 - undyed[i]).powi(2) / (2.0 * undyed[i]);
        let dyed: f64 = dyes.iter().zip(&shares).map(|(a, share)| share / total * a[i]).sum();
        let q = ks + amount * dyed;
        surface + (1.0 - surface) / (1.0 + q + (q * (q + 2.0)).sqrt())
    }))
    .unwrap()
}

fn any(chance: &mut Chance) -> [f64; BANDS] {
    let kind = chance.of(&ANY);
    absorption(kind, chance)
}

fn absorption(kind: &[Band], chance: &mut Chance) -> [f64; BANDS] {
    let mut sum = [0.0; BANDS];
    let mut first = 0.0;
    for (n, band) in kind.iter().enumerate() {
        let peak = match band.at {
            Nm(range) => chance.within(range),
            FromFirst(range) => first + chance.within(range),
        };
        if n == 0 {
            first = peak;
        }
        let (width, height) = (chance.within(band.width), chance.within(band.height));
        let steeper = chance.within((0.6, 0.9));
        if chance.next() >= band.present {
            continue;
        }
        for (i, a) in sum.iter_mut().enumerate() {
            let away = (1e7 / nm(i) - 1e7 / peak) / width;
            let away = if away < 0.0 { away / steeper } else { away };
            *a += height * (-4.0 * 2.0_f64.ln() * away * away).exp();
        }
    }
    sum
}

/// White, ecru or wool; half of the clothes fall off below 420 nm (titanium dioxide, brightener).
fn undyed(chance: &mut Chance) -> [f64; BANDS] {
    let (top, dip, reach) = chance.weighted(&[
        (0.60, ((0.84, 0.93), (0.03, 0.14), 60.0)),
        (0.25, ((0.76, 0.86), (0.25, 0.40), 90.0)),
        (0.15, ((0.72, 0.82), (0.32, 0.45), 90.0)),
    ]);
    let (top, dip) = (chance.within(top), chance.within(dip));
    let (fall, width) = (chance.within((0.2, 0.6)), chance.within((10.0, 22.0)));
    let fall = if chance.next() < 0.5 { fall } else { 0.0 };
    std::array::from_fn(|i| {
        let smooth = top - dip * (-(nm(i) - 400.0) / reach).exp();
        smooth * (1.0 - fall * (-((nm(i) - 395.0) / width).powi(2)).exp())
    })
}

fn nm(i: usize) -> f64 {
    Bands::wavelength(i) as f64
}
