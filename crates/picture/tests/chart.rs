//! A chart in the frame: exposure, faults of the chart, cards of several sizes, weak light, differences. The numbers here are
//! made up by a simple camera of ours: curves of no real sensor.

#![expect(clippy::unwrap_used, reason = "a test may fail")]

use colour::{BANDS, Bands, ClothPrior, Lab, Light, Weights, ciede2000};
use picture::{Calibration, Chain, Kin, Patch, Seen, Shapes, WeakKind, WhiteSpread};

/// Three bells under a light; a perfect white gives 1.
struct Camera([[f64; BANDS]; 3]);

impl Camera {
    fn under(light: Light) -> Self {
        let power = light.power();
        Self([(600.0, 38.0), (538.0, 40.0), (457.0, 30.0)].map(|(peak, width)| {
            let mut row = [0.0; BANDS];
            for (i, cell) in row.iter_mut().enumerate() {
                let at = 400.0 + 10.0 * f64::from(u8::try_from(i).unwrap());
                *cell = power[i] * (-0.5 * ((at - peak) / width).powi(2_i32)).exp();
            }
            let total: f64 = row.iter().sum();
            row.map(|v| v / total)
        }))
    }

    fn sees(&self, bands: &Bands, light: f64) -> [f64; 3] {
        self.0.map(|row| light * row.iter().zip(bands.values()).map(|(s, r)| s * r).sum::<f64>())
    }
}

fn seen(rgb: [f64; 3]) -> Seen {
    Seen { rgb, paper: None, place: None }
}

/// sRGB, 8 bit, and back: the average of sixteen pixels whose own noise is spread over one step.
fn eight_bit(v: f64) -> f64 {
    let e = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
    let back = |n: i32| {
        let e = (e * 255.0 + f64::from(n) / 16.0).floor() / 255.0;
        if e <= 0.040_45 { e / 12.92 } else { ((e + 0.055) / 1.055).powf(2.4) }
    };
    (0..16).map(back).sum::<f64>() / 16.0
}

fn chart() -> Vec<Bands> {
    include_str!("../data/chart24.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let all: Vec<f64> = line.split(',').skip(2).map(|v| v.parse().unwrap()).collect();
            Bands::try_new(all.try_into().unwrap()).unwrap()
        })
        .collect()
}

fn patches(camera: &Camera, light: f64, store: impl Fn(f64) -> f64) -> Vec<Patch> {
    chart()
        .iter()
        .map(|b| Patch { reflectance: *b, seen: seen(camera.sees(b, light).map(&store)) })
        .collect()
}

fn learn(patches: &[Patch]) -> Calibration {
    Calibration::try_learn(patches, Chain::Linear, ClothPrior::shipped()).unwrap()
}

/// A dozen cloths: slow waves of reflectance.
fn cloths() -> Vec<Bands> {
    (0..12)
        .map(|n| {
            let turn = f64::from(n);
            let factors = std::array::from_fn(|i| {
                let at = f64::from(u8::try_from(i).unwrap()) / 30.0;
                0.32 + 0.22 * (3.1 * at + 0.9 * turn).sin()
            });
            Bands::try_new(factors).unwrap()
        })
        .collect()
}

#[test]
fn a_chart_reads_cloth_well() {
    let camera = Camera::under(Light::D65);
    let calibration = learn(&patches(&camera, 0.8, |v| v));
    for cloth in cloths() {
        let read = calibration.try_cloth(&seen(camera.sees(&cloth, 0.8))).unwrap();
        let off = ciede2000(read.lab, Weights::reference().lab(&cloth));
        assert!(off < 2.0, "{off}");
        assert!(read.within90 > 0.2 && read.within90 < 6.0, "{}", read.within90);
    }
}

#[test]
fn exposure_does_not_count() {
    let camera = Camera::under(Light::D65);
    // the average of sixteen pixels whose own noise is spread over one step of the sixteen bits
    let sixteen = |v: f64| {
        (0..16).map(|n| (v * 65535.0 + f64::from(n) / 16.0).floor() / 65535.0 / 16.0).sum::<f64>()
    };
    let base = learn(&patches(&camera, 0.24, sixteen));
    for stops in [-2.0_f64, -1.0, 1.0, 2.0] {
        let light = 0.24 * stops.exp2();
        let other = learn(&patches(&camera, light, sixteen));
        for cloth in cloths() {
            let a = base.try_cloth(&seen(camera.sees(&cloth, 0.24).map(sixteen))).unwrap();
            let b = other.try_cloth(&seen(camera.sees(&cloth, light).map(sixteen))).unwrap();
            let off = ciede2000(a.lab, b.lab);
            assert!(off <= 0.05, "{stops} stops: {off}");
        }
    }
    // 8 bit, one stop less
    let base = learn(&patches(&camera, 0.8, eight_bit));
    let darker = learn(&patches(&camera, 0.4, eight_bit));
    for cloth in cloths() {
        let a = base.try_cloth(&seen(camera.sees(&cloth, 0.8).map(eight_bit))).unwrap();
        let b = darker.try_cloth(&seen(camera.sees(&cloth, 0.4).map(eight_bit))).unwrap();
        let off = ciede2000(a.lab, b.lab);
        assert!(off <= 0.5, "8 bit: {off}");
    }
}

#[test]
fn clipped_black_and_no_numbers_are_refused() {
    let camera = Camera::under(Light::D65);
    let calibration = learn(&patches(&camera, 0.8, |v| v));
    for bad in [[1.0, 0.5, 0.5], [0.0, 0.0, 0.0], [f64::NAN, 0.5, 0.5], [0.3, 0.996, 0.2]] {
        let speech = calibration.try_cloth(&seen(bad)).unwrap_err().to_string();
        assert!(speech.contains("photograph again"), "{speech}");
        assert!(calibration.try_difference(&[seen(bad)], &seen([0.3; 3]), Kin::SameDyes).is_err());
    }
    let over = patches(&camera, 6.0, |v| v.min(1.0));
    let speech = Calibration::try_learn(&over, Chain::Linear, ClothPrior::shipped())
        .unwrap_err()
        .to_string();
    assert!(speech.contains("less exposure"), "{speech}");
}

#[test]
fn shuffled_patches_and_another_chart_are_refused() {
    let camera = Camera::under(Light::D65);
    let right = patches(&camera, 0.8, |v| v);
    for by in [1, 6, 11] {
        let mut shuffled = right.clone();
        for (n, patch) in shuffled.iter_mut().enumerate() {
            patch.seen = right[(n + by) % right.len()].seen;
        }
        let speech = Calibration::try_learn(&shuffled, Chain::Linear, ClothPrior::shipped())
            .unwrap_err()
            .to_string();
        assert!(speech.contains("check that the chart"), "{speech}");
    }
}

#[test]
fn small_cards_and_white_alone_say_how_much_less_they_know() {
    let camera = Camera::under(Light::D65);
    let all = patches(&camera, 0.8, |v| v);
    let whole = learn(&all);
    let ten: Vec<Patch> = all.iter().copied().step_by(2).take(10).collect();
    let ten = learn(&ten);
    let white = Bands::flat(0.9).unwrap();
    let alone = Calibration::try_white(
        &Patch { reflectance: white, seen: seen(camera.sees(&white, 0.8)) },
        WhiteSpread { whole: 0.02, tint: 0.01 },
        Chain::Linear,
        ClothPrior::shipped(),
    )
    .unwrap();
    let mean = |c: &Calibration| {
        let (mut off, mut stated) = (0.0, 0.0);
        for cloth in cloths() {
            let read = c.try_cloth(&seen(camera.sees(&cloth, 0.8))).unwrap();
            off += ciede2000(read.lab, Weights::reference().lab(&cloth)) / 12.0;
            stated += read.within90 / 12.0;
        }
        (off, stated)
    };
    let (whole, ten, alone) = (mean(&whole), mean(&ten), mean(&alone));
    assert!(whole.1 < ten.1 && ten.1 < alone.1, "{whole:?} {ten:?} {alone:?}");
    assert!(whole.0 < 1.5 && ten.0 < 2.5 && alone.0 < 8.0, "{whole:?} {ten:?} {alone:?}");
    let few = &all[..5];
    assert!(Calibration::try_learn(few, Chain::Linear, ClothPrior::shipped()).is_err());
}

#[test]
fn weak_light_is_told_with_how_much() {
    let day = learn(&patches(&Camera::under(Light::D65), 0.8, |v| v));
    assert_eq!(day.weak_light(), None);
    let led = learn(&patches(&Camera::under(Light::LedB3), 0.8, |v| v));
    assert_eq!(led.weak_light(), None);
    for (light, kind) in [(Light::A, WeakKind::Warm), (Light::Fl11, WeakKind::ThreeBand)] {
        let weak = learn(&patches(&Camera::under(light), 0.8, |v| v)).weak_light().unwrap();
        assert_eq!(weak.kind, kind);
        assert!(weak.within90 > weak.in_daylight, "{weak:?}");
        let speech = weak.to_string();
        assert!(speech.contains("daylight"), "{speech}");
    }
}

#[test]
fn the_same_dyes_are_told_apart_far_better_than_others() {
    let camera = Camera::under(Light::D65);
    let calibration = learn(&patches(&camera, 0.8, |v| v));
    let all = cloths();
    for cloth in &all {
        let paler = Bands::try_new(cloth.values().map(|r| 0.97 * r + 0.02)).unwrap();
        let [a, b] = [cloth, &paler].map(|c| seen(camera.sees(c, 0.8)));
        let same = calibration.try_difference(&[a], &b, Kin::SameDyes).unwrap();
        let other = calibration.try_difference(&[a], &b, Kin::OtherDyes).unwrap();
        assert!(same.within90 < other.within90, "{} {}", same.within90, other.within90);
        let [from, to] = [cloth, &paler].map(|c| Weights::reference().lab(c));
        let told = Lab::new(from.l + same.by[0], from.a + same.by[1], from.b + same.by[2]);
        let off = ciede2000(to, told);
        assert!(off < 0.35, "{off}");
    }
}

#[test]
fn known_dyes_tell_more_of_the_spectrum() {
    let camera = Camera::under(Light::D65);
    let calibration = learn(&patches(&camera, 0.8, |v| v));
    let bell = |peak: f64, width: f64| -> [f64; BANDS] {
        std::array::from_fn(|i| {
            let at = 400.0 + 10.0 * f64::from(u8::try_from(i).unwrap());
            (-0.5 * ((at - peak) / width).powi(2_i32)).exp()
        })
    };
    let undyed = Bands::flat(0.85).unwrap();
    let dyes = [bell(435.0, 30.0), bell(540.0, 22.0), bell(620.0, 35.0)];
    let shapes = Shapes::try_new(&undyed, dyes.to_vec()).unwrap();
    let (mut blind, mut told) = (0.0, 0.0);
    for amounts in
        [[2.0, 0.1, 0.05], [0.1, 3.0, 0.1], [0.3, 0.5, 4.0], [1.0, 1.0, 0.2], [0.2, 0.2, 0.2]]
    {
        let factors = std::array::from_fn(|i| {
            let ks = 0.15_f64.powi(2) / 1.7
                + dyes
                    .iter()
                    .zip(amounts)
                    .map(|(d, a): (&[f64; BANDS], f64)| d[i] * a)
                    .sum::<f64>();
            1.0 / (1.0 + ks + (ks * (ks + 2.0)).sqrt())
        });
        let cloth = Bands::try_new(factors).unwrap();
        let seen = seen(camera.sees(&cloth, 0.8));
        let off = |assumed: &Bands| {
            let square: f64 = assumed
                .values()
                .iter()
                .zip(factors)
                .map(|(a, b): (&f64, f64)| (a - b).powi(2_i32))
                .sum();
            (square / 31.0).sqrt()
        };
        let without = calibration.try_cloth(&seen).unwrap();
        let with = calibration.try_dyed(&seen, &shapes).unwrap();
        blind += off(&without.assumed);
        told += off(&with.assumed);
        assert!(with.within90 < without.within90, "{} {}", with.within90, without.within90);
        assert!(ciede2000(with.lab, Weights::reference().lab(&cloth)) < 0.5);
    }
    assert!(told < 0.4 * blind, "{told} {blind}");
}

/// A camera with its channels in another order: like none that is believed in.
fn turned(camera: &Camera, bands: &Bands) -> Seen {
    let [r, g, b] = camera.sees(bands, 0.8);
    seen([b, r, g])
}

#[test]
fn a_camera_like_none_believed_in_is_read_by_a_plain_correction() {
    let camera = Camera::under(Light::D65);
    for many in [24, 12] {
        let card: Vec<Patch> = chart()
            .iter()
            .rev()
            .take(many)
            .map(|b| Patch { reflectance: *b, seen: turned(&camera, b) })
            .collect();
        let calibration = learn(&card);
        assert_eq!(calibration.weak_light(), None);
        for cloth in cloths() {
            let read = calibration.try_cloth(&turned(&camera, &cloth)).unwrap();
            let off = ciede2000(read.lab, Weights::reference().lab(&cloth));
            assert!(off < 6.0 && read.within90 > 0.5 && read.within90 < 12.0, "{many}: {off}");
        }
        let shapes = Shapes::try_new(&Bands::flat(0.8).unwrap(), vec![[1.0; BANDS]]).unwrap();
        let speech =
            calibration.try_dyed(&turned(&camera, &cloths()[0]), &shapes).unwrap_err().to_string();
        assert!(speech.contains("dyes cannot be used"), "{speech}");
    }
}

#[test]
fn a_card_of_many_cloths_reads_its_own_kind() {
    let camera = Camera::under(Light::D65);
    let wave = |n: u8| -> Bands {
        let turn = f64::from(n);
        let factors = std::array::from_fn(|i| {
            let at = f64::from(u8::try_from(i).unwrap()) / 30.0;
            0.32 + 0.22 * ((2.5 + (turn * 0.37).sin()) * at + 0.9 * turn).sin()
        });
        Bands::try_new(factors).unwrap()
    };
    let card: Vec<Patch> =
        (0..60).map(|n| Patch { reflectance: wave(n), seen: turned(&camera, &wave(n)) }).collect();
    let calibration = learn(&card);
    for n in 60..80 {
        let read = calibration.try_cloth(&turned(&camera, &wave(n))).unwrap();
        let off = ciede2000(read.lab, Weights::reference().lab(&wave(n)));
        assert!(off < 1.0, "{off}");
    }
}

/// A camera that brings its colours to sRGB by a 3 × 3 of its own, as telephones do.
fn corrected(light: Light) -> scenes::Camera {
    let mut chance = scenes::Chance::of(5);
    let sensor = scenes::sensitivities(&mut chance);
    scenes::Camera::corrected(light, &sensor, &chart(), &mut chance)
}

fn saved(camera: &scenes::Camera, cloth: &Bands) -> Seen {
    seen(camera.sees(cloth).map(|v| eight_bit((0.8 * v).max(0.0))))
}

#[test]
fn a_camera_that_corrects_its_colours_is_read_as_well_as_one_that_does_not() {
    for (light, weak) in [(Light::D65, false), (Light::Fl11, true)] {
        let camera = corrected(light);
        let patches: Vec<Patch> =
            chart().iter().map(|b| Patch { reflectance: *b, seen: saved(&camera, b) }).collect();
        let it = Calibration::try_learn(&patches, Chain::Developed, ClothPrior::shipped()).unwrap();
        assert_eq!(it.weak_light().is_some(), weak, "{light}");
        let (mut off, mut stated) = (0.0, 0.0);
        for cloth in cloths() {
            let read = it.try_cloth(&saved(&camera, &cloth)).unwrap();
            off += ciede2000(read.lab, Weights::reference().lab(&cloth)) / 12.0;
            stated += read.within90 / 12.0;
        }
        let (most, widest) = if weak { (2.5, 7.0) } else { (1.3, 3.2) };
        assert!(off < most && stated < widest, "{light}: {off} off, {stated} stated");
    }
}

#[test]
fn a_colour_that_the_file_cuts_off_is_read_with_a_wider_spread() {
    let camera = corrected(Light::D65);
    let patches: Vec<Patch> =
        chart().iter().map(|b| Patch { reflectance: *b, seen: saved(&camera, b) }).collect();
    let it = Calibration::try_learn(&patches, Chain::Developed, ClothPrior::shipped()).unwrap();
    // a turquoise whose edge stands at 550 nm: its red lies below nothing in sRGB
    let turquoise = Bands::try_new(std::array::from_fn(|i| {
        let at = 10.0 * f64::from(u8::try_from(i).unwrap()) - 150.0;
        0.03 + 0.52 / (1.0 + (at / 15.0).exp())
    }))
    .unwrap();
    assert!(camera.sees(&turquoise)[0] < 0.0);
    let strong = it.try_cloth(&saved(&camera, &turquoise)).unwrap();
    let usual = cloths()
        .iter()
        .map(|cloth| it.try_cloth(&saved(&camera, cloth)).unwrap().within90 / 12.0)
        .sum::<f64>();
    let off = ciede2000(strong.lab, Weights::reference().lab(&turquoise));
    assert!(off < strong.within90, "{off} off, {} stated", strong.within90);
    assert!(strong.within90 > 1.4 * usual, "{} {usual}", strong.within90);
}
