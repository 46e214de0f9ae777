//! House rules on the pot room's files: a key nobody reads is refused at the top and inside a row, a
//! spoilt row is refused by name, and what the sheets need by fixed id is there.

use lore::{Lore, Texts};

type Pick = fn(&mut Texts) -> &mut std::borrow::Cow<'static, str>;

const FILES: [(&str, Pick); 12] = [
    ("programmes", |t| &mut t.programmes),
    ("depths", |t| &mut t.depths),
    ("auxiliaries", |t| &mut t.auxiliaries),
    ("measures", |t| &mut t.measures),
    ("hazards", |t| &mut t.hazards),
    ("never_together", |t| &mut t.never_together),
    ("care", |t| &mut t.care),
    ("fastness", |t| &mut t.fastness),
    ("prepare", |t| &mut t.prepare),
    ("failures", |t| &mut t.failures),
    ("mishaps", |t| &mut t.mishaps),
    ("waiting", |t| &mut t.waiting),
];

fn fault(texts: &Texts) -> Option<String> {
    Lore::try_from_texts(texts).err().map(|fault| fault.to_string())
}

#[test]
fn a_key_nobody_reads_is_refused() {
    for (file, pick) in FILES {
        let mut texts = Texts::shipped();
        let text = pick(&mut texts);
        *text = format!("nobody_reads_this = 1\n{text}").into();
        let said = fault(&texts);
        assert!(said.as_ref().is_some_and(|s| s.contains("nobody_reads_this")), "{file}: {said:?}");
    }
}

#[test]
fn a_key_nobody_reads_inside_a_row_is_refused() {
    for (file, pick) in FILES {
        let shipped = Texts::shipped();
        let mut copy = shipped.clone();
        let text = pick(&mut copy).to_string();
        let heads: Vec<&str> = text.lines().filter(|line| line.starts_with('[')).collect();
        let mut kinds: Vec<&str> = heads.clone();
        kinds.sort_unstable();
        kinds.dedup();
        for head in kinds {
            let mut texts = shipped.clone();
            let spoilt = text.replacen(head, &format!("{head}\nnobody_reads_this = 1"), 1);
            *pick(&mut texts) = spoilt.into();
            let said = fault(&texts);
            let named = said.as_ref().is_some_and(|s| s.contains("nobody_reads_this"));
            assert!(named, "{file} {head}: {said:?}");
        }
    }
    // Steps and pairs are written in line.
    for (pick, from) in [
        (FILES[0].1, "{ do = \"enter\","),
        (FILES[5].1, "{ a = \"acid\","),
        (FILES[5].1, "{ id = \"acid\","),
    ] {
        let mut texts = Texts::shipped();
        let spoilt = pick(&mut texts).replacen(from, &format!("{from} nobody_reads_this = 1,"), 1);
        *pick(&mut texts) = spoilt.into();
        assert!(fault(&texts).is_some_and(|s| s.contains("nobody_reads_this")), "{from}");
    }
}

#[test]
fn a_spoilt_row_is_refused() {
    let cases: [(Pick, &str, &str, &str); 9] = [
        (FILES[0].1, "top_c = 35", "top_c = nan", "finite"),
        (FILES[0].1, "then = [\"soap-off\"]", "then = [\"soap-of\"]", "soap-of"),
        (FILES[0].1, "procedure = \"reactive-cold\"", "procedure = \"reactive-tepid\"", "tepid"),
        (FILES[0].1, "portion_percent = 25, ", "", "portion_percent"),
        (FILES[1].1, "pale_percent_owf = [0.1, 0.5]", "pale_percent_owf = [0.2, 0.5]", "meet"),
        (FILES[2].1, "agent = \"salt\"", "agent = \"sald\"", "sald"),
        (FILES[3].1, "ml_per_gram = 25.0", "ml_per_gram = -25.0", "-25"),
        (FILES[5].1, "b = \"hypochlorite\"", "b = \"hypo\"", "hypo"),
        (FILES[7].1, "rub_wet_grade = \"3\"", "rub_wet_grade = \"7\"", "7"),
    ];
    for (pick, from, to, word) in cases {
        let mut texts = Texts::shipped();
        let before = pick(&mut texts).to_string();
        let after = before.replacen(from, to, 1);
        assert_ne!(before, after, "nothing to spoil: {from}");
        *pick(&mut texts) = after.into();
        let said = fault(&texts);
        assert!(said.as_ref().is_some_and(|s| s.contains(word)), "{from}: {said:?}");
    }
}

#[test]
fn alkali_on_silk_may_not_grow_longer_in_the_file() {
    // The row allows itself 45 minutes in alkali; a hold of 50 is refused when the file is read.
    let mut texts = Texts::shipped();
    let spoilt = texts.programmes.replacen(
        "do = \"hold\", minutes = 35, agitation = \"gentle\"",
        "do = \"hold\", minutes = 50, agitation = \"gentle\"",
        1,
    );
    assert_ne!(spoilt, texts.programmes, "nothing to spoil");
    texts.programmes = spoilt.into();
    assert!(fault(&texts).is_some_and(|said| said.contains("minutes in alkali")));
}

#[test]
fn what_sheets_need_by_fixed_id_is_there() {
    let lore = Lore::shipped();
    for id in [
        "reactive-powder-mask",
        "dye-powder-mask",
        "dye-only-vessels",
        "gloves-eyes",
        "follow-the-makers-sheet",
        "hot-bath-burns",
        "soda-eyes",
        "acid-to-water",
        "reducer-dithionite",
        "reducer-fruit-sugar",
        "bleach-never-mixed",
        "no-epsom-or-rock-salt",
        "no-top-up-after-alkali",
        "cold-rinse-before-hot-soap",
        "acrylic-cannot-be-levelled",
        "flame-not-certified",
        "rub-and-sweat-check",
        "waste-to-sewer",
    ] {
        assert!(lore.caution(id).is_some(), "no caution '{id}'");
    }
    for id in ["asthma", "pregnancy", "children", "pets"] {
        assert!(lore.people_rules().iter().any(|rule| rule.id == id), "no rule about {id}");
    }
}
