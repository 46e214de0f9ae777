//! Packs on a shelf: what one becomes, and which are refused, at their place and in words.

use costume::{Colours, Faults, Files, PackKind, Shelf, read_shelf};
use dosing::Form;
use dyeing::Knowledge;
use lore::{DyeClass, Lore};

struct NoFiles;

impl Files for NoFiles {
    fn colours(&self, path: &str) -> Result<Colours, String> {
        Err(format!("there is no file {path}"))
    }
}

const ROSE: &str = "[[pack]]\nid = \"rose\"\nname = \"old rose\"\nkind = \"all-purpose\"\n\
    pack_g = 10\ncolours_g = 250\n\
    on = [{ fibre = \"cotton\", hex = \"#a04a5a\" }, { fibre = \"nylon\", lab = [40.0, 45.0, 10.0] }]\n\
    contains = [\"salt\"]\nlabelled = true\nbought = 2026-03-01\npacks = 2\npack_price = 4.50\nlot = \"A1\"\n";

fn read(text: &str) -> Result<Shelf, Faults> {
    read_shelf("s.toml", text, Lore::shipped(), &NoFiles)
}

/// One change to the sound pack: it must be refused, saying this.
fn check(from: &str, to: &str, says: &str) {
    let text = ROSE.replace(from, to);
    assert_ne!(text, ROSE, "{from} is not in the sound pack");
    match read(&text) {
        Ok(_) => panic!("{to:?} was accepted"),
        Err(faults) => {
            let said: Vec<&str> = faults.list.iter().map(|f| f.says.as_str()).collect();
            assert!(said.iter().any(|text| text.contains(says)), "{to:?}: {said:?}");
            assert!(faults.list.iter().all(|f| !f.hint.is_empty() && !f.span.is_empty()));
        }
    }
}

#[test]
fn a_pack_is_a_dye_for_each_fibre_it_claims() -> Result<(), Faults> {
    let shelf = read(ROSE)?;
    assert_eq!(shelf.dyes.len(), 2);
    for (one, fibre) in shelf.dyes.iter().zip(["cotton", "nylon-6"]) {
        assert_eq!((one.dye.id.as_str(), one.dye.class), ("rose", DyeClass::Union));
        assert_eq!(one.only_on.as_deref(), Some(fibre));
        assert_eq!(one.dye.knowledge, Knowledge::PackClaim);
        // Twice 10 g on 250 g: nothing deeper than twice the claim.
        assert!((one.dye.most.to_percent() - 8.0).abs() < 1e-9);
        assert!(one.left.is_some_and(|left| (left.to_grams() - 20.0).abs() < 1e-9));
        let facts = one.pack.as_ref().filter(|p| p.kind == PackKind::AllPurpose && p.may_split);
        let brought = facts.and_then(|p| p.contains.first()).map(|c| (c.agent.as_str(), c.grams));
        assert_eq!(brought, Some(("salt", None)));
        assert!(one.sold_in.is_some() && one.lot.as_deref() == Some("A1"));
    }
    assert_ne!(shelf.dyes[0].dye.absorbs(), shelf.dyes[1].dye.absorbs());
    Ok(())
}

#[test]
fn a_premixed_pack_holds_for_its_class_and_a_liquid_has_a_nominal_strength() -> Result<(), Faults> {
    let text = "[[pack]]\nid = \"moss\"\nname = \"moss\"\nkind = \"premixed\"\nclass = \"reactive-dct\"\n\
        form = \"liquid\"\npack_ml = 60\ncolours_g = 200\non = [{ fibre = \"cotton\", hex = \"#5a6a3a\" }]\n\
        labelled = true\nsheet = true\ncontains = [{ agent = \"soda-ash\", grams = 50 }]\n";
    let shelf = read(text)?;
    let moss = &shelf.dyes[0];
    assert_eq!((moss.only_on.as_deref(), moss.dye.class), (None, DyeClass::ReactiveDct));
    assert!(matches!(moss.dye.form, Form::Liquid(pct) if (pct.to_percent() - 10.0).abs() < 1e-9));
    let facts = moss.pack.as_ref().filter(|p| (p.holds.to_grams() - 6.0).abs() < 1e-9);
    let grams = facts.and_then(|p| p.contains[0].grams).map(units::Mass::to_grams);
    assert_eq!(grams, Some(50.0));
    // A dye named by its own sheet is one dye and no mixture.
    let named = text.replace("labelled", "ci = \"C.I. Reactive Green 19\"\nlabelled");
    assert!(read(&named)?.dyes[0].pack.as_ref().is_some_and(|p| !p.may_split));
    Ok(())
}

#[test]
fn what_nobody_can_name_is_refused() {
    check("labelled = true\n", "", "does not say what it is");
    check("labelled = true", "labelled = false\nsheet = true", "does not say what it is");
    check("bought = 2026-03-01\n", "", "how old this pack is");
    check("2026-03-01", "1984-03-01", "before 1990");
    assert!(read(&ROSE.replace("2026-03-01", "1984-03-01\nsheet = true")).is_ok());
    check("name = \"old rose\"", "name = \"rose\"\nci = \"C.I. Direct Red 28\"", "not for a home");
    check("\"old rose\"", "\"Direct Blue 6\"", "not for a home");
}

#[test]
fn each_fault_of_a_pack_is_told() {
    check("\"all-purpose\"", "\"all purpose\"", "no kind of pack");
    check("\"all-purpose\"", "\"premixed\"", "`class` is missing");
    check("\"all-purpose\"", "\"all-purpose\"\nclass = \"direct\"", "union class");
    check("pack_g = 10", "pack_ml = 10", "no millilitres");
    check("pack_g = 10\n", "", "`pack_g` is missing");
    check("colours_g = 250\n", "", "`colours_g` is missing");
    check("= 250", "= 0", "nothing");
    check("\"cotton\"", "\"coton\"", "coton");
    check("\"cotton\"", "\"polyester\"", "no fibre of this cloth takes");
    check("\"nylon\"", "\"cotton\"", "two colours");
    check("#a04a5a", "#f6f5f0", "undyed cloth");
    check("[\"salt\"]", "[\"slat\"]", "slat");
    check("[\"salt\"]", "[\"salt\", \"salt\"]", "twice");
    check("packs = 2", "packs = -1", "-10");
    check("pack_g", "pack_gg", "pack_gg");
    // All of them at once.
    let text =
        ROSE.replace("= 250", "= 0").replace("labelled = true\n", "").replace("salt", "slat");
    assert_eq!(read(&text).map_or_else(|faults| faults.list.len(), |_| 0), 3);
}

#[test]
fn a_new_pack_is_a_new_lot() -> Result<(), Faults> {
    let again = |lot: &str| format!("{ROSE}{}", ROSE.replace("lot = \"A1\"\n", lot));
    for lot in ["lot = \"A1\"\n", ""] {
        let faults = read(&again(lot)).err();
        let says = faults.as_ref().and_then(|f| f.list.first()).map_or("", |f| f.says.as_str());
        assert!(says.contains("lots do not tell them apart"), "{lot}: {says}");
    }
    let shelf = read(&again("lot = \"B2\"\n"))?;
    let ids: Vec<&str> = shelf.dyes.iter().map(|d| d.dye.id.as_str()).collect();
    assert_eq!(ids, ["rose-a1", "rose-a1", "rose-b2", "rose-b2"]);
    assert_eq!(shelf.dyes[3].dye.name, "old rose, lot B2");
    let dye = "[[dye]]\nid = \"rose\"\nlike = \"reactive-lemon\"\n";
    assert!(read(&format!("{dye}{ROSE}")).is_err());
    Ok(())
}
