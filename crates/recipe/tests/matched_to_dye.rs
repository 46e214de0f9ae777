//! Matched sets as a plan asks for them: pieces that match alone keep their recipes, others get no further from
//! them than it is worth.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

#[path = "common/case.rs"]
mod case;
mod common;

use case::{ALIKE, Case, LIGHTS, after, cotton, polyester, wool};
use common::typed;
use recipe::{Choice, Matched, Terms};

/// Pieces that are well inside what passes alone keep their recipes; where they are not, the set is solved.
#[test]
fn pieces_well_inside_alone_keep_their_recipes() {
    let black = typed(17.0, 0.3, -0.6);
    let case = Case::of(vec![(cotton(), black), (wool(), black), (polyester(), black)]);
    let alone: Vec<Choice> = case.alone().into_iter().flatten().collect();
    let apart = case.solve(&[], 100.0).before.unwrap().difference;
    let well_inside = case.solve_by(&[], &Terms::to_dye(&LIGHTS, 2.02 * apart, 0.0));
    assert!(well_inside.as_alone && well_inside.holds);
    assert_eq!(well_inside.pieces, alone);
    assert_eq!(well_inside.before, well_inside.after);
    let not = case.solve_by(&[], &Terms::to_dye(&LIGHTS, 1.9 * apart, 0.0));
    assert!(!not.as_alone && after(&not) < apart - 0.1, "{apart} {}", after(&not));
}

/// To dye, a set need not be nearer than is seen: within what is as good, recipes get plainer, and nearer to
/// what each piece has alone.
#[test]
fn sets_to_dye_are_plainer_and_as_good() {
    const SCATTER: f64 = 1.4;
    let (mut dyes, mut strange) = ((0, 0), (0, 0));
    for (l, a, b) in [(42.0, 18.0, 12.0), (35.0, 5.0, -20.0), (60.0, -14.0, 25.0)] {
        let target = typed(l, a, b);
        let case = Case::of(vec![(cotton(), target), (wool(), target), (polyester(), target)]);
        let alone: Vec<Choice> = case.alone().into_iter().flatten().collect();
        let nearest = case.solve(&[], 1.5);
        let to_dye = case.solve_by(&[], &Terms::to_dye(&LIGHTS, 1.5, SCATTER));
        // What counts as as good: a tenth more, or within half of what passes and half the scatter.
        let limit = f64::max(after(&nearest) + 0.1, f64::min(0.75, 0.5 * SCATTER));
        assert!(after(&to_dye) <= limit + ALIKE, "{} {limit}", after(&to_dye));
        let count = |found: &Matched| found.pieces.iter().map(|p| p.doses.len()).sum::<usize>();
        let new = |found: &Matched| {
            let own = |p: &Choice, place: usize| p.doses.iter().any(|d| d.0 == place);
            let pieces = found.pieces.iter().zip(&alone);
            pieces.map(|(p, a)| p.doses.iter().filter(|d| !own(a, d.0)).count()).sum::<usize>()
        };
        println!(
            "{:.2} alone; nearest {:.2} with {} dyes, {} of them new; to dye {:.2} with {}, {} new",
            nearest.before.unwrap().difference,
            after(&nearest),
            count(&nearest),
            new(&nearest),
            after(&to_dye),
            count(&to_dye),
            new(&to_dye)
        );
        dyes = (dyes.0 + count(&nearest), dyes.1 + count(&to_dye));
        strange = (strange.0 + new(&nearest), strange.1 + new(&to_dye));
    }
    // Nearer to what the pieces have alone, and not at the price of more dyes.
    assert!(strange.1 < strange.0, "{strange:?}");
    assert!(dyes.1 + strange.1 < dyes.0 + strange.0, "{dyes:?} {strange:?}");
}
