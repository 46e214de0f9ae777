//! Two readings against each other: every difference under every light that can be had, the grade,
//! whether the match holds from light to light, and a plain sentence.
//!
//! The first reading is what the sentence is about, the second what it is held against (the
//! standard). Words for size (0.5, 1, 2, 4) and the verdicts of `viewing` are judgement.

use crate::{
    Colour, Condition, Difference, Grade, Lab, Light, Metamerism, Observer, Place, Reading,
    Refusal, Spread, Value, Verdict, Viewing, describe,
};

/// What `compare` finds.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The first reading's colour in the reference light.
    pub first: Colour,
    /// The second reading's colour there; the standard.
    pub second: Colour,
    /// The reference light first (D65/10° where it can be had), then every other light once, when
    /// both readings have spectra.
    pub differences: Vec<Difference>,
    /// The worst of each place's lights, when both readings have spectra.
    pub places: Vec<(Place, Difference)>,
    /// The special index for every other light, when both readings have spectra without a zero.
    pub metamerism: Vec<Metamerism>,
    /// Grey-scale grade of the change from the second to the first, A02 by ΔE*ab.
    pub grade_a02: Grade,
    /// The same by instrument formula, A05.
    pub grade_a05: Grade,
    /// The plain verdict on ΔE00 in the reference light.
    pub verdict: Verdict,
    /// The plain sentence.
    pub sentence: String,
    /// What to bear in mind: assumptions, wet cloth, spreads larger than the difference.
    pub notes: Vec<String>,
}

impl Comparison {
    /// The difference in the reference light.
    #[must_use]
    pub fn in_reference(&self) -> Option<&Difference> {
        self.differences.first()
    }

    /// Whether the pair passes at this distance in the reference light, with its figures.
    #[must_use]
    pub fn seen(&self, viewing: Viewing) -> String {
        self.differences.first().map(|d| viewing.verdict(d.de00)).unwrap_or_default()
    }
}

/// Compares `first` with the standard `second`. Two colours without spectra must have light and
/// observer in common, else they are refused.
pub fn compare(first: &Reading, second: &Reading) -> Result<Comparison, Refusal> {
    let (light, observer) = reference(first, second);
    let one = first.try_colour(light, observer)?;
    let two = second.try_colour(light, observer)?;
    let main = two.try_difference(&one)?;
    let mut differences = vec![main];
    let (mut places, mut metamerism) = (Vec::new(), Vec::new());
    if let (Value::Spectrum(a), Value::Spectrum(b)) = (&first.value, &second.value) {
        let under = |light| -> Result<Difference, Refusal> {
            let one = Colour { lab: a.lab(light, observer), light, observer };
            Colour { lab: b.lab(light, observer), light, observer }.try_difference(&one)
        };
        for other in every_light().filter(|l| *l != light) {
            differences.push(under(other)?);
        }
        for place in Place::ALL {
            let here = differences.iter().filter(|d| place.lights().contains(&d.light));
            if let Some(worst) = here.max_by(|x, y| x.de00.total_cmp(&y.de00)) {
                places.push((place, *worst));
            }
        }
        // a reading with a zero in it has no bands; the differences above stand all the same
        if let (Ok(a), Ok(b)) = (a.try_to_bands(), b.try_to_bands()) {
            for test in every_light().filter(|l| *l != light) {
                metamerism.push(Metamerism::of(&b, &a, light, test, observer));
            }
        }
    }
    let grade_a02 = Grade::change_a02(main.de_ab);
    let verdict = Verdict::of(main.de00);
    let names = (first.called("the first"), second.called("the second"));
    Ok(Comparison {
        first: one,
        second: two,
        grade_a02,
        grade_a05: Grade::change_a05(two.lab, one.lab),
        verdict,
        sentence: sentence(names, one.lab, two.lab, &main, grade_a02, verdict, &metamerism),
        notes: notes(first, second, &main),
        differences,
        places,
        metamerism,
    })
}

/// Every light of every place, once, in the order of `Place::ALL`.
fn every_light() -> impl Iterator<Item = Light> {
    let all = Place::ALL.into_iter().flat_map(|p| p.lights().iter().copied());
    let mut seen = Vec::new();
    all.filter(move |l| {
        let new = !seen.contains(l);
        seen.push(*l);
        new
    })
}

/// The light and observer both can be seen under: a bare colour's own, else D65/10°.
fn reference(first: &Reading, second: &Reading) -> (Light, Observer) {
    match (&first.value, &second.value) {
        (Value::Colour(c), _) | (_, Value::Colour(c)) => (c.light, c.observer),
        _ => (Light::D65, Observer::Ten),
    }
}

fn sentence(
    (first, second): (&str, &str),
    one: Lab,
    two: Lab,
    d: &Difference,
    grade: Grade,
    verdict: Verdict,
    metamerism: &[Metamerism],
) -> String {
    let mut text = match size(d.de00) {
        None => format!("No difference between {first} and {second} can be seen"),
        Some(size) => {
            let ways = ways(one, two, d.de00);
            format!("{} is {size}{} than {second}", capital(first), joined(&ways))
        }
    };
    text.push_str(&format!(
        " ({} against {}; ΔE00 {:.1}); grade {grade}; {}",
        describe(one),
        describe(two),
        d.de00,
        verdict.words()
    ));
    let worst = metamerism.iter().max_by(|x, y| x.de00.total_cmp(&y.de00));
    if let Some(m) = worst.filter(|m| m.de00 > 0.5) {
        text.push_str(&format!(
            "; under {} ({}) it shifts by {:.1}",
            m.test,
            m.test.words(),
            m.de00
        ));
    }
    text.push('.');
    text
}

/// How much, before the comparatives; nothing when nobody would see it.
fn size(de00: f64) -> Option<&'static str> {
    match de00 {
        d if d < 0.5 => None,
        d if d < 1.0 => Some("barely "),
        d if d < 2.0 => Some("a little "),
        d if d < 4.0 => Some("clearly "),
        _ => Some("much "),
    }
}

/// In which ways `one` differs from `two`: those that make up at least a third of the whole, the
/// largest first.
fn ways(one: Lab, two: Lab, de00: f64) -> Vec<&'static str> {
    // each way alone, on the scale of ΔE00: move only that coordinate
    let alone = |moved: Lab| crate::ciede2000(two, moved);
    let mut found: Vec<(f64, &'static str)> = Vec::new();
    let word = |v: f64, up, down| if v >= 0.0 { up } else { down };
    found.push((alone(Lab { l: one.l, ..two }), word(one.l - two.l, "lighter", "darker")));
    let (c1, c2) = (one.chroma(), two.chroma());
    if c1.min(c2) > 20.0 {
        let grown = Lab { a: two.a * c1 / c2, b: two.b * c1 / c2, ..two };
        found.push((alone(grown), word(c1 - c2, "stronger", "duller")));
        let turned = Lab { a: one.a * c2 / c1, b: one.b * c2 / c1, ..two };
        let (da, db) = (turned.a - two.a, turned.b - two.b);
        let way = if da.abs() > db.abs() {
            word(da, "redder", "greener")
        } else {
            word(db, "yellower", "bluer")
        };
        found.push((alone(turned), way));
    } else {
        found.push((alone(Lab { a: one.a, ..two }), word(one.a - two.a, "redder", "greener")));
        found.push((alone(Lab { b: one.b, ..two }), word(one.b - two.b, "yellower", "bluer")));
    }
    found.retain(|(part, _)| *part >= de00 / 3.0);
    found.sort_by(|x, y| y.0.total_cmp(&x.0));
    found.into_iter().map(|(_, way)| way).collect()
}

fn joined(ways: &[&str]) -> String {
    match ways {
        [] => "different".to_owned(),
        [only] => (*only).to_owned(),
        [start @ .., last] => format!("{} and {last}", start.join(", ")),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn notes(first: &Reading, second: &Reading, d: &Difference) -> Vec<String> {
    let mut notes = Vec::new();
    for (reading, which) in [(first, "the first"), (second, "the second")] {
        let name = reading.called(which);
        notes.extend(reading.notes.iter().map(|n| format!("{}: {n}", capital(name))));
        if !reading.condition.can_be_judged() {
            notes.push(format!(
                "{} was read {}: wet cloth is darker and stronger; read it again dry before \
                 judging a match.",
                capital(name),
                reading.condition.name()
            ));
        }
    }
    let known = |c: Condition| c != Condition::Unknown;
    if first.condition != second.condition && known(first.condition) && known(second.condition) {
        notes.push(format!(
            "The two were read in different states ({} and {}).",
            first.condition.name(),
            second.condition.name()
        ));
    }
    if let (Spread::Rms(a), Spread::Rms(b)) = (first.spread, second.spread) {
        let both = (a * a + b * b).sqrt();
        if d.de00 < both {
            notes.push(format!(
                "The difference ({:.1}) is within the readings' own spread ({both:.1}): it may be \
                 nothing.",
                d.de00
            ));
        }
    }
    if d.light != Light::D65 || d.observer != Observer::Ten {
        notes.push(format!("Compared under {} for the {} observer.", d.light, d.observer));
    }
    if !matches!((&first.value, &second.value), (Value::Spectrum(_), Value::Spectrum(_))) {
        notes.push(
            "At least one is a colour without a spectrum: how the pair looks under other lights is \
             not known."
                .to_owned(),
        );
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Origin, ScreenColour, Spectrum};

    fn typed(l: f64, a: f64, b: f64, name: &str) -> Reading {
        let colour = Colour::d65_10(Lab::new(l, a, b));
        let mut reading = Reading::of_colour(colour, Origin::Typed);
        reading.name = Some(name.to_owned());
        reading
    }

    fn check(one: (f64, f64, f64), two: (f64, f64, f64), begins: &str, grade: &str) {
        let (one, two) = (typed(one.0, one.1, one.2, "sash"), typed(two.0, two.1, two.2, "coat"));
        let c = compare(&one, &two).unwrap();
        assert!(c.sentence.starts_with(begins), "{}", c.sentence);
        assert_eq!(c.grade_a02.name(), grade, "{}", c.sentence);
    }

    #[test]
    fn sentences_a_dyer_would_say() {
        check((50.0, 0.0, 0.0), (50.0, 0.0, 0.0), "No difference between sash and coat", "5");
        check((51.2, 0.0, 0.0), (50.0, 0.0, 0.0), "Sash is a little lighter than coat", "4-5");
        check((42.0, 40.0, 20.0), (50.0, 40.0, 20.0), "Sash is much darker than coat", "2");
        check((50.0, 30.0, 0.0), (50.0, 38.0, 0.0), "Sash is clearly duller than coat", "2");
        check((45.0, 2.0, -36.0), (45.0, -3.0, -36.0), "Sash is clearly redder than coat", "2-3");
        check((50.7, -1.0, 0.0), (50.0, 0.0, 0.0), "Sash is a little greener and lighter", "4-5");
    }

    #[test]
    fn spectra_are_compared_under_every_light_and_at_every_place() {
        let reading = |at: f64| {
            let s = |nm: f64| 0.05 + 0.5 / (1.0 + (-(nm - at) / 15.0).exp());
            let values = (0..31).map(|i| s(400.0 + 10.0 * f64::from(i))).collect();
            Reading::of_spectrum(Spectrum::try_new(400.0, 10.0, values).unwrap(), Origin::Invented)
        };
        let c = compare(&reading(590.0), &reading(596.0)).unwrap();
        assert_eq!(c.differences[0].light, Light::D65);
        assert_eq!(c.differences.len(), 9, "nine different lights stand for the six places");
        assert_eq!(c.metamerism.len(), 8);
        assert_eq!(c.places.len(), 6);
        for (place, worst) in &c.places {
            for d in &c.differences {
                assert!(!place.lights().contains(&d.light) || d.de00 <= worst.de00);
            }
        }
        let same = compare(&reading(590.0), &reading(590.0)).unwrap();
        assert!(same.differences.iter().all(|d| d.de00 == 0.0));
        assert_eq!(same.verdict, Verdict::Match);
    }

    #[test]
    fn a_screen_and_a_cloth_colour_do_not_compare_but_a_spectrum_obliges() {
        let screen = Reading::of_screen(ScreenColour::from_hex("#808080").unwrap());
        assert!(matches!(
            compare(&screen, &typed(50.0, 0.0, 0.0, "coat")),
            Err(Refusal::Unlike { .. })
        ));
        let cloth = Spectrum::try_new(400.0, 10.0, vec![0.215; 31]).unwrap();
        let c = compare(&screen, &Reading::of_spectrum(cloth, Origin::Invented)).unwrap();
        assert_eq!(
            (c.differences[0].light, c.differences[0].observer),
            (Light::D65, Observer::Two)
        );
        assert!(c.in_reference().unwrap().de00 < 0.5, "sRGB #808080 is about 21.6 % grey");
        assert!(c.notes.iter().any(|n| n.contains("other lights")));
    }

    #[test]
    fn wet_cloth_and_noise_are_pointed_out() {
        let mut one = typed(50.4, 0.0, 0.0, "swatch");
        let mut two = typed(50.0, 0.0, 0.0, "coat");
        one.condition = Condition::Wet;
        one.spread = Spread::Rms(1.0);
        two.spread = Spread::Rms(0.5);
        let notes = compare(&one, &two).unwrap().notes.join(" ");
        assert!(notes.contains("read it again dry") && notes.contains("may be nothing"), "{notes}");
    }
}
