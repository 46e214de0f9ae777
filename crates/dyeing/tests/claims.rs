//! In simulation: how often the 90 % radius of a pack's claim holds the truth, when the pack is a mixture
//! of two or three dyes of one class, diluted, and its claim is off by as much as we say claims are.
//!
//! The truths are mixtures of starter dyes, each drawn from what is believed of it; the claim is the
//! mixture's colour at the depth claimed, with an error of [`CLAIM`] in each of L*, a*, b*. Asked at a
//! quarter, a half, once and twice the depth claimed, and once where every part of the mixture goes on
//! by a factor of its own (1 σ 25 %: another liquor, another cloth). This tests the arithmetic of the
//! spread against what we assume, not whether packs in shops keep what they claim.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]
#![expect(clippy::cast_precision_loss, reason = "counts of a few thousand")]

use std::collections::BTreeMap;

use colour::{BANDS, Lab, Weights, ciede2000, maths};
use dyeing::{
    CLAIM, Claim, Dosed, Dye, Ground, HOME, Knowledge, Look, Prediction, Refusal, Substrate,
    absorbed, claimed, predict, starter,
};
use lore::{DyeClass, Procedure};
use units::{LiquorRatio, OnFibre, Share};

const HONEST: std::ops::RangeInclusive<f64> = 0.87..=0.93;
const PACKS: usize = 350;

/// On which cloth, of which dyes the mixture is, and the class the pack says.
const SHELVES: [(&str, Procedure, DyeClass); 5] = [
    ("cotton", Procedure::ReactiveCold, DyeClass::ReactiveDct),
    ("wool", Procedure::AcidMilling, DyeClass::AcidMilling),
    ("polyester", Procedure::Disperse, DyeClass::Disperse),
    ("viscose", Procedure::Direct, DyeClass::Direct),
    // What an all-purpose pack gives to cotton is its direct half.
    ("cotton", Procedure::Direct, DyeClass::Union),
];

#[test]
fn nine_in_ten_mixtures_lie_within_the_radius_of_their_claim() {
    let mut dice = Dice(23);
    let mut strata: BTreeMap<&str, Tally> = BTreeMap::new();
    let mut by_cloth: BTreeMap<String, Tally> = BTreeMap::new();
    let mut radii: Vec<f64> = vec![];
    for (material, way, class) in SHELVES {
        let on = cloth(material, class);
        let dyes: Vec<&Dye> =
            starter().iter().map(|s| &s.dye).filter(|d| way.takes(d.class)).collect();
        for _ in 0..PACKS {
            let pack = Pack::drawn(&dyes, &mut dice);
            let off = [0; 3].map(|_| CLAIM * dice.normal());
            let lab = pack.colour(&on, 1.0, [1.0; 3]);
            let shown = Lab::new((lab.l + off[0]).clamp(3.0, 97.0), lab.a + off[1], lab.b + off[2]);
            let claim = Claim { on: &on, owf: pack.owf, colour: shown, may_split: true };
            // A claim that no cloth can keep is refused; that is an answer too.
            let Ok(dye) = claimed("p", "pack", &claim) else {
                strata.entry("refused").or_default().count(true);
                continue;
            };
            let lean = [0; 3].map(|_| maths::exp(maths::ln(1.25) * dice.normal()));
            for (name, times, lean) in [
                ("a quarter of the depth", 0.25, [1.0; 3]),
                ("half the depth", 0.5, [1.0; 3]),
                ("the depth claimed", 1.0, [1.0; 3]),
                ("the depth claimed, split", 1.0, lean),
                ("twice the depth", 2.0, [1.0; 3]),
            ] {
                let said = says(&on, &dye, pack.owf, times);
                let truth = pack.colour(&on, times, lean);
                let held = ciede2000(said.lab, truth) <= said.recipe.within_90();
                strata.entry(name).or_default().count(held);
                by_cloth.entry(format!("{class} on {material}")).or_default().count(held);
                radii.push(said.recipe.within_90());
            }
        }
    }
    let refused = strata.remove("refused").unwrap_or_default().of;
    let mut all = Tally::default();
    let each = || strata.iter().map(|(n, t)| ((*n).to_owned(), *t)).chain(by_cloth.clone());
    for (name, tally) in each() {
        println!("in simulation, {name}: {:.1} % of {}", 100.0 * tally.share(), tally.of);
    }
    for tally in strata.values() {
        all.of += tally.of;
        all.held += tally.held;
    }
    radii.sort_by(f64::total_cmp);
    println!(
        "all: {:.1} % of {}; radius {:.1} in the median, {:.1} to {:.1} (5th to 95th percentile); \
         {refused} of {} claims refused",
        100.0 * all.share(),
        all.of,
        radii[radii.len() / 2],
        radii[radii.len() / 20],
        radii[radii.len() * 19 / 20],
        PACKS * SHELVES.len()
    );
    for (name, tally) in each() {
        assert!((0.85..=0.95).contains(&tally.share()), "{name} {tally:?}");
    }
    assert!(HONEST.contains(&all.share()), "{all:?}");
    assert!(refused * 50 <= PACKS * SHELVES.len(), "{refused} claims refused");
}

/// A pack's spread is wide, and wider still for what may split.
#[test]
fn a_claim_is_believed_only_so_far() {
    let on = cloth("cotton", DyeClass::ReactiveDct);
    for dye in starter().iter().map(|s| &s.dye).filter(|d| d.class == DyeClass::ReactiveDct) {
        let owf = OnFibre::try_percent(2.0).unwrap();
        let estimate = says(&on, dye, owf, 1.0);
        let claim = |may_split| Claim { on: &on, owf, colour: estimate.lab, may_split };
        let single = says(&on, &claimed("p", "pack", &claim(false)).unwrap(), owf, 1.0);
        let mixed = says(&on, &claimed("p", "pack", &claim(true)).unwrap(), owf, 1.0);
        assert!(single.recipe.within_90() > 3.0, "{}", dye.id);
        assert!(mixed.recipe.within_90() > single.recipe.within_90(), "{}", dye.id);
        let back = ciede2000(mixed.lab, estimate.lab);
        assert!(back < 1.0, "{}: the claim comes back {back} off", dye.id);
    }
}

#[test]
fn a_claim_gives_back_its_colour_or_is_refused_in_words() {
    let on = cloth("cotton", DyeClass::Union);
    let owf = OnFibre::try_percent(4.0).unwrap();
    let try_lab = |l, a, b| -> Result<Dye, Refusal> {
        let claim = Claim { on: &on, owf, colour: Lab::new(l, a, b), may_split: true };
        claimed("p", "pack", &claim)
    };
    for (l, a, b) in [
        (22.0, 0.5, -1.0),
        (35.0, 45.0, 18.0),
        (28.0, 10.0, -35.0),
        (80.0, 2.0, 70.0),
        (45.0, -35.0, 12.0),
        (40.0, 14.0, 22.0),
        (85.0, 12.0, 3.0),
    ] {
        let dye = try_lab(l, a, b).unwrap();
        assert_eq!(dye.knowledge, Knowledge::PackClaim);
        assert!((dye.most.to_percent() - 8.0).abs() < 1e-9);
        let off = ciede2000(says(&on, &dye, owf, 1.0).lab, Lab::new(l, a, b));
        assert!(off < 1.0, "{l} {a} {b}: {off}");
    }
    let white = try_lab(96.0, 0.0, 2.0).unwrap_err().to_string();
    assert!(white.contains("as light as the undyed cloth"), "{white}");
    let glaring = try_lab(60.0, -125.0, 120.0).unwrap_err().to_string();
    assert!(glaring.contains("cannot come from a dye"), "{glaring}");
}

/// A mixture: each part with its share of the dye in the pack, and the depth of the product claimed.
struct Pack {
    parts: Vec<(Dye, f64)>,
    owf: OnFibre,
    /// Share of the product that is dye.
    dye: f64,
}

impl Pack {
    fn drawn(dyes: &[&Dye], dice: &mut Dice) -> Self {
        let count = 2 + dice.pick(2);
        let mut places: Vec<usize> = vec![];
        while places.len() < count {
            let place = dice.pick(dyes.len());
            if !places.contains(&place) {
                places.push(place);
            }
        }
        let weights: Vec<f64> =
            places.iter().map(|_| 0.05 - maths::ln(1.0 - dice.roll())).collect();
        let total: f64 = weights.iter().sum();
        let parts = places
            .iter()
            .zip(weights)
            .map(|(&place, weight)| {
                let deviates: Vec<f64> = (0..dyes[place].doubts()).map(|_| dice.normal()).collect();
                (dyes[place].drawn(&deviates), weight / total)
            })
            .collect();
        // A pack is sold for a medium to deep shade: 0.5 to 3 % of dye, which is 30 to 100 % of it.
        let depth = 0.5 * maths::exp(dice.roll() * maths::ln(6.0));
        let dye = 0.3 + 0.7 * dice.roll();
        Self { parts, owf: OnFibre::try_percent(depth / dye).unwrap(), dye }
    }

    /// Its colour at so many times the depth claimed, each part leaning by a factor.
    fn colour(&self, on: &Substrate, times: f64, lean: [f64; 3]) -> Lab {
        let mut sum = [0.0; BANDS];
        for ((dye, share), lean) in self.parts.iter().zip(lean) {
            let pct = self.owf.to_percent() * times * self.dye * share;
            let dosed = Dosed { dye, dose: OnFibre::try_percent(pct).unwrap(), scatter: 0.0 };
            for (s, a) in sum.iter_mut().zip(absorbed(on, &[dosed])) {
                *s += lean * a;
            }
        }
        Weights::reference().lab_of(&on.dyed(&sum))
    }
}

fn says(on: &Substrate, dye: &Dye, owf: OnFibre, times: f64) -> Prediction {
    let dose = OnFibre::try_percent(owf.to_percent() * times).unwrap();
    predict(on, &[Dosed { dye, dose, scatter: 0.0 }], HOME).unwrap()
}

fn cloth(material: &str, class: DyeClass) -> Substrate {
    let ground = Ground::assumed(&[(material, Share::WHOLE)], Look::White).unwrap();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    Substrate::try_new(&ground, class, ratio).unwrap()
}

/// How many of how many.
#[derive(Debug, Clone, Copy, Default)]
struct Tally {
    of: usize,
    held: usize,
}

impl Tally {
    fn count(&mut self, held: bool) {
        self.of += 1;
        self.held += usize::from(held);
    }

    fn share(&self) -> f64 {
        self.held as f64 / self.of as f64
    }
}

/// `SplitMix64` (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Box and Muller's transform.
    fn normal(&mut self) -> f64 {
        let far = (-2.0 * maths::ln(1.0 - self.roll())).sqrt();
        far * maths::cos(std::f64::consts::TAU * self.roll())
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below `of`")]
    fn pick(&mut self, of: usize) -> usize {
        (self.roll() * of as f64) as usize
    }
}
