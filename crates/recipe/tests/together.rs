//! Colours brought to cloth together: never fewer relations kept than alone, nothing moved for nothing,
//! what is said can be dyed, order is nothing, refusals.

mod common;
#[path = "../examples/brought_together/costumes.rs"]
mod costumes;
#[path = "../examples/reach/dice.rs"]
#[allow(dead_code, reason = "costumes use its part")]
mod dice;

use colour::{Lab, Weights, ciede2000};
use common::{Bench, typed};
use dice::Dice;
use dyeing::absorbed;
use recipe::{Compared, FURTHEST, NotTogether, Question, Target, Together, Wish, together};

fn lab(target: &Target) -> Lab {
    Weights::reference().lab(&target.bands)
}

/// Everything that must hold of any answer.
fn check(wishes: &[Wish], found: &Together) {
    assert_eq!(found.pieces.len(), wishes.len());
    assert!(found.kept_together() >= found.kept_alone(), "{found:?}");
    let light = Weights::reference();
    for (wish, piece) in wishes.iter().zip(&found.pieces) {
        let target = lab(&wish.question.target);
        assert!((ciede2000(target, piece.reached) - piece.from_target).abs() < 1e-9);
        assert!((ciede2000(piece.aim, piece.reached) - piece.gap).abs() < 1e-9);
        assert!(piece.from_target <= piece.from_target_alone + FURTHEST + 1e-9);
        if piece.moved {
            // The doses give the colour.
            let recipe: Vec<_> = piece
                .doses
                .iter()
                .map(|(place, dose)| dyeing::Dosed {
                    dye: wish.question.dyes[*place].dye,
                    dose: *dose,
                    scatter: 0.0,
                })
                .collect();
            let on = wish.question.on;
            let gives = light.lab_of(&on.dyed(&absorbed(on, &recipe)));
            assert!(ciede2000(gives, piece.reached) < 0.05, "{gives} {}", piece.reached);
        } else {
            assert_eq!((piece.aim, piece.reached), (target, wish.alone));
        }
    }
    for r in &found.relations {
        let at =
            |i: usize| (lab(&wishes[i].question.target), wishes[i].alone, found.pieces[i].reached);
        let (a, b) = (at(r.first), at(r.second));
        assert!((r.which.size(a.0, b.0) - r.wanted).abs() < 1e-9);
        assert!((r.which.size(a.1, b.1) - r.alone).abs() < 1e-9);
        assert!((r.which.size(a.2, b.2) - r.together).abs() < 1e-9);
    }
    if found.kept_alone() == found.relations.len() {
        assert!(found.pieces.iter().all(|p| !p.moved));
    }
}

/// Seeded costumes: never worse than alone; of those in which alone loses something, at least half keep
/// more together (the example over many more costumes prints the share).
#[test]
fn never_fewer_than_alone_and_mostly_more() {
    let cloths = costumes::cloths();
    let mut dice = Dice::new(3);
    let (mut losing, mut bettered) = (0, 0);
    for _ in 0..12 {
        let size = 3 + dice.pick(3);
        let pieces = costumes::costume(&mut dice, size, cloths.len());
        costumes::wished(&cloths, &pieces, |wishes| {
            let found = together(wishes, None, 0).unwrap();
            check(wishes, &found);
            losing += usize::from(found.kept_alone() < found.relations.len());
            bettered += usize::from(found.kept_together() > found.kept_alone());
        });
    }
    println!("{losing} lose something alone, {bettered} keep more together");
    assert!(losing >= 4 && 2 * bettered >= losing, "{losing} {bettered}");
}

/// A hood that cannot go so deep beside a coat that can: the coat gives way, and the hood is darker again.
#[test]
fn the_hood_stays_darker_than_the_coat() {
    let mut pale = Bench::cotton();
    pale.dyes.retain(|d| d.id == "reactive-navy");
    let coat = Bench::cotton();
    let (few, all) = (pale.candidates(), coat.candidates());
    let deepest = {
        let most = pale.on.most_fixed(pale.dyes[0]);
        let dyed = pale.on.dyed(&pale.dyes[0].absorbs().map(|a| a * most));
        Weights::reference().lab_of(&dyed)
    };
    // Wanted: both deeper than the navy goes, the hood by five less than the coat.
    let hue = |l: f64| typed(l, 0.7 * deepest.a, 0.7 * deepest.b);
    let (hood, coat_target) = (hue(deepest.l - 8.0), hue(deepest.l - 3.0));
    let questions = [pale.ask(&few, hood), coat.ask(&all, coat_target)];
    let wishes = questions
        .each_ref()
        .map(|question| Wish { question, alone: recipe::reach(question, 0).unwrap().nearest });
    let found = together(&wishes, None, 0).unwrap();
    check(&wishes, &found);
    let darker = found.relations.iter().find(|r| r.which == Compared::Darker).unwrap();
    assert_eq!((darker.first, darker.second), (0, 1));
    assert!(!darker.kept_alone() && darker.kept_together(), "{found:?}");
    assert!(found.pieces[1].moved && found.pieces[1].reached.l > lab(&coat_target).l);
    // Not neighbours: nothing to keep, nothing moves.
    let apart = together(&wishes, Some(&[]), 0).unwrap();
    assert!(apart.relations.is_empty() && apart.pieces.iter().all(|p| !p.moved));
}

#[test]
fn what_is_in_reach_and_what_is_alone_stay() {
    let bench = Bench::cotton();
    let candidates = bench.candidates();
    let questions: Vec<Question> =
        [typed(70.0, 8.0, 45.0), typed(55.0, 2.0, -2.0), typed(38.0, 22.0, 28.0)]
            .iter()
            .map(|t| bench.ask(&candidates, *t))
            .collect();
    let near = |question| Wish { question, alone: lab(&question.target) };
    let wishes: Vec<Wish> = questions.iter().map(near).collect();
    let found = together(&wishes, None, 1).unwrap();
    check(&wishes, &found);
    assert!(!found.relations.is_empty() && found.pieces.iter().all(|p| !p.moved));
    // One piece out of reach: its nearest colour, whatever that is.
    let lone = Wish { question: &questions[0], alone: Lab::new(60.0, 5.0, 30.0) };
    let one = together(&[lone], None, 1).unwrap();
    assert!(one.relations.is_empty() && !one.pieces[0].moved);
    assert_eq!(one.pieces[0].reached, lone.alone);
}

#[test]
fn order_and_threads_change_nothing() {
    let cloths = costumes::cloths();
    let pieces = costumes::costume(&mut Dice::new(9), 5, cloths.len());
    costumes::wished(&cloths, &pieces, |wishes| {
        let found = together(wishes, None, 1).unwrap();
        assert_eq!(found, together(wishes, None, 2).unwrap());
        let turned: Vec<Wish> = wishes.iter().rev().copied().collect();
        let mut back = together(&turned, Some(&all_pairs(5)), 1).unwrap();
        back.pieces.reverse();
        assert_eq!(found.pieces, back.pieces);
        assert_eq!(found.kept_together(), back.kept_together());
        // A pair named twice, or the other way round, is one pair.
        let twice: Vec<(usize, usize)> =
            all_pairs(5).into_iter().flat_map(|(a, b)| [(b, a), (a, b)]).collect();
        assert_eq!(found, together(wishes, Some(&twice), 1).unwrap());
    });
}

fn all_pairs(count: usize) -> Vec<(usize, usize)> {
    (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))).collect()
}

#[test]
fn refusals_say_what_to_do() {
    let bench = Bench::cotton();
    let candidates = bench.candidates();
    let question = bench.ask(&candidates, typed(50.0, 0.0, 0.0));
    let wish = Wish { question: &question, alone: Lab::new(50.0, 0.0, 0.0) };
    let said = |wishes: &[Wish], pairs: &[(usize, usize)]| {
        together(wishes, Some(pairs), 1).unwrap_err().to_string()
    };
    let nowhere = Wish { alone: Lab::new(f64::NAN, 0.0, 0.0), ..wish };
    let loose = Question { tolerance: 0.0, ..question.clone() };
    let bare = Question { dyes: &[], ..question.clone() };
    for (speech, word) in [
        (said(&[], &[]), "at least one"),
        (said(&[wish, wish], &[(0, 2)]), "pieces 0 and 2"),
        (said(&[wish, wish], &[(1, 1)]), "two different"),
        (said(&[nowhere], &[]), "nearest colour of piece 0"),
        (said(&[Wish { question: &loose, ..wish }], &[]), "tolerance"),
        (said(&[Wish { question: &bare, ..wish }], &[]), "dye on the shelf"),
    ] {
        assert!(speech.contains(word), "{speech}");
    }
    assert!(matches!(together(&[], None, 1), Err(NotTogether::NoPieces)));
}
