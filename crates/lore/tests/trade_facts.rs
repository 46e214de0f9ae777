//! What every dyer tells a beginner. Marked: these are common practice, told alike in many
//! instructions, not figures read in one source; the check is that our matrix does not say else.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use lore::{DyeClass, Group, Lore, Material, Procedure, Verdict};

fn of(group: Group) -> Vec<&'static Material> {
    let all: Vec<_> = Lore::shipped().materials().iter().filter(|m| m.group == group).collect();
    assert!(!all.is_empty(), "no {group}");
    all
}

fn verdict(material: &Material, procedure: Procedure) -> Verdict {
    Lore::shipped().verdict(material, procedure).verdict
}

fn best(material: &Material) -> Verdict {
    Procedure::ALL.iter().map(|p| verdict(material, *p)).max().unwrap()
}

const ALKALINE_REACTIVE: [Procedure; 3] =
    [Procedure::ReactiveCold, Procedure::ReactiveWarm, Procedure::ReactiveHot];

/// Common practice.
#[test]
fn cellulose_takes_reactive_and_union() {
    for fibre in of(Group::Cellulose) {
        for procedure in ALKALINE_REACTIVE {
            assert!(verdict(fibre, procedure) >= Verdict::Good, "{} {procedure}", fibre.id);
        }
        assert!(verdict(fibre, Procedure::Union).dyes(), "{}", fibre.id);
        assert!(!verdict(fibre, Procedure::AcidMilling).dyes(), "acid on {}", fibre.id);
    }
}

/// Common practice.
#[test]
fn reactive_needs_alkali_on_cellulose() {
    for fibre in of(Group::Cellulose) {
        assert_eq!(verdict(fibre, Procedure::ReactiveAcidRoute), Verdict::None, "{}", fibre.id);
    }
    for procedure in ALKALINE_REACTIVE {
        assert!(procedure.is_alkaline());
        // Soda ash baths stand well above pH 9.
        let facts = Lore::shipped().procedure(procedure).unwrap();
        assert!(facts.ph.0.to_value() > 9.0, "{procedure}");
    }
}

/// Common practice.
#[test]
fn protein_takes_acid_best_and_reactive_by_the_acid_route() {
    for fibre in of(Group::Protein) {
        assert_eq!(verdict(fibre, Procedure::AcidMilling), best(fibre), "{}", fibre.id);
    }
    for id in ["wool", "felted-wool", "cashmere", "mohair", "silk", "silk-satin", "tussah"] {
        let fibre = Lore::shipped().material(id).unwrap();
        for (class, expected) in [
            (DyeClass::ReactiveVs, Verdict::Good),
            (DyeClass::ReactiveDct, Verdict::Fair),
            (DyeClass::ReactiveMct, Verdict::Fair),
        ] {
            let found =
                Lore::shipped().verdict_for(fibre, Procedure::ReactiveAcidRoute, class).unwrap();
            assert_eq!(found.verdict, expected, "{id} {class}");
            assert_eq!(found.provenance.standing, lore::Standing::CommonPractice, "{id} {class}");
            let unsure = found.why.contains("swatch first") && found.why.contains("not sure");
            assert_eq!(unsure, expected == Verdict::Fair, "{id} {class}: {}", found.why);
        }
    }
}

/// Common practice.
#[test]
fn union_on_protein_may_be_weak_and_fades() {
    for fibre in of(Group::Protein) {
        let found = Lore::shipped().verdict(fibre, Procedure::Union);
        assert!(found.verdict.dyes() && found.verdict < Verdict::Excellent, "{}", fibre.id);
        assert!(found.why.contains("weak") && found.why.contains("fades"), "{}", found.why);
    }
}

/// Common practice.
#[test]
fn synthetics_other_than_nylon_need_disperse_and_acrylic_basic() {
    let lore = Lore::shipped();
    for id in ["polyester", "acetate", "triacetate", "pla"] {
        let fibre = lore.material(id).unwrap();
        assert_eq!(verdict(fibre, Procedure::Disperse), best(fibre), "{id}");
    }
    let polyester = lore.material("polyester").unwrap();
    let takes: Vec<_> =
        Procedure::ALL.iter().filter(|p| verdict(polyester, **p).dyes()).copied().collect();
    assert_eq!(takes, [Procedure::Disperse], "polyester takes disperse only");
    for id in ["acrylic", "modacrylic"] {
        let fibre = lore.material(id).unwrap();
        assert_eq!(verdict(fibre, Procedure::Basic), best(fibre), "{id}");
    }
    for fibre in of(Group::Polyamide) {
        assert_eq!(verdict(fibre, Procedure::AcidMilling), Verdict::Excellent, "{}", fibre.id);
    }
}

/// Common practice: what no bath colours.
#[test]
fn plastics_take_nothing() {
    for id in ["polypropylene", "polyethylene", "pvc", "pu-leather", "aramid", "faux-fur"] {
        let material = Lore::shipped().material(id).unwrap();
        assert!(best(material) < Verdict::Fair, "{id}");
    }
}
