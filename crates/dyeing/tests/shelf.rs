//! The starter shelf and the uptake table against the trade's own tables.

use dyeing::depth::linear_exhaustion;
use dyeing::{Ground, Look, Substrate, exhaustion, starter};
use lore::{DyeClass, Lore, Procedure};
use units::{LiquorRatio, Share};

fn count(classes: &[DyeClass]) -> usize {
    starter().iter().filter(|s| classes.contains(&s.dye.class)).count()
}

/// About 14 reactive, 14 acid, 10 disperse, 10 direct, 6 basic.
#[test]
fn the_shelf_has_enough_of_each_class() {
    use DyeClass as C;
    assert!(count(&[C::ReactiveDct, C::ReactiveMct, C::ReactiveVs]) >= 14);
    assert!(count(&[C::AcidLevelling, C::AcidMilling, C::Premetallised]) >= 14);
    assert!(count(&[C::Disperse]) >= 10);
    assert!(count(&[C::Direct]) >= 10);
    assert!(count(&[C::Basic]) >= 6);
}

/// Ids and C.I. names are not given twice; every row says how far it is to be trusted.
#[test]
fn no_row_is_another_and_each_shows_its_standing() {
    let shelf = starter();
    for (place, one) in shelf.iter().enumerate() {
        for other in &shelf[..place] {
            assert_ne!(one.dye.id, other.dye.id);
            assert!(one.dye.ci.is_none() || one.dye.ci != other.dye.ci, "{:?}", one.dye.ci);
        }
        for standing in [&one.standing, &one.peak_standing] {
            assert!(["from memory", "judgement"].contains(&standing.as_str()), "{standing}");
        }
        // A peak can be remembered only of a dye that has a name.
        assert!(one.peak_standing == "judgement" || one.dye.ci.is_some(), "{}", one.dye.id);
    }
}

/// Dyes the hazards' data block (by C.I. Generic Name) are on no shelf of ours.
#[test]
fn no_starter_dye_is_blocked() {
    let lore = Lore::shipped();
    for starter in starter() {
        let ci = starter.dye.ci.as_deref().unwrap_or(&starter.dye.name);
        assert!(lore.blocked_dye(ci).is_none(), "{ci} is blocked");
    }
    // The check would see one: the first blocked name is found when asked for.
    assert!(lore.blocked_dye("C.I. Disperse Blue 106").is_some());
}

/// Wherever the matrix says fair or better, a cloth can be made ready for the class: the offer never
/// leads to a class this room knows nothing of.
#[test]
fn whatever_the_matrix_offers_can_be_predicted() {
    let lore = Lore::shipped();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    let (mut pairs, mut missing) = (0, vec![]);
    for material in lore.materials() {
        for procedure in Procedure::ALL {
            for &class in procedure.classes() {
                let known = starter().iter().any(|s| s.dye.class == class);
                let found = lore.verdict_for(material, *procedure, class).unwrap();
                if !known || !found.verdict.dyes() {
                    continue;
                }
                pairs += 1;
                for look in [Look::White, Look::Natural] {
                    let ready = Ground::assumed(&[(&material.id, Share::WHOLE)], look)
                        .and_then(|ground| Substrate::try_new(&ground, class, ratio));
                    if let Err(why) = ready {
                        missing.push(format!("{} with {class} ({procedure}): {why}", material.id));
                    }
                }
            }
        }
    }
    missing.dedup();
    assert!(missing.is_empty(), "{} of {pairs}:\n{}", missing.len(), missing.join("\n"));
    assert!(pairs > 60, "{pairs}");
}

/// E = K / (K + L) by the room's two doors.
#[test]
fn exhaustion_is_one_law() {
    for k in [10.0, 50.0, 400.0] {
        for l in [5.0, 20.0, 40.0] {
            let ratio = LiquorRatio::try_litres_per_kilogram(l).unwrap();
            let other = linear_exhaustion(k, ratio).unwrap().to_fraction();
            assert!((exhaustion(k, ratio) - other).abs() < 1e-12);
        }
    }
}
