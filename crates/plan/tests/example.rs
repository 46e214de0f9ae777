//! The worked example, planned and audited: every sheet keeps the fifteen rules, every amount adds up.

mod common;

use common::{Check, example};

#[test]
fn the_example_keeps_every_rule() -> Check {
    let plan = serde_json::to_value(example()?)?;
    let broken = auditor::audit(&plan).map_err(|e| e.why)?;
    let said: Vec<String> = broken.iter().map(ToString::to_string).collect();
    assert!(broken.is_empty(), "{}", said.join("\n"));
    Ok(())
}

#[test]
fn the_example_says_what_it_must() -> Check {
    let plan = example()?;
    let piece = |id: &str| plan.pieces.iter().find(|p| p.id == id).ok_or(format!("no {id}"));
    let procedure = |id: &str| piece(id).map(|p| p.class.as_ref().map(|c| c.procedure.clone()));
    assert_eq!(procedure("coat")?.as_deref(), Some("acid-milling"));
    assert_eq!(procedure("sash")?.as_deref(), Some("acid-milling"));
    assert_eq!(procedure("shirt")?.as_deref(), Some("reactive-cold"));
    assert_eq!(procedure("banner")?.as_deref(), Some("disperse"));
    assert_eq!(procedure("tights")?.as_deref(), Some("acid-milling"));
    assert!(piece("braid")?.sheets.is_empty() && !piece("braid")?.tests.is_empty());
    assert!(piece("glow")?.reach.as_ref().is_some_and(|r| !r.within && !r.limits.is_empty()));
    for piece in plan.pieces.iter().filter(|p| !p.sheets.is_empty()) {
        let lines: Vec<_> = piece.sheets.iter().map(|s| s.first_line.as_deref()).collect();
        let (swatches, bulks) = lines.split_at(lines.len() / 2);
        assert!(swatches.iter().all(Option::is_none), "{}", piece.id);
        let provisional = |line: &Option<&str>| *line == Some("provisional: dye the swatch first");
        assert!(!bulks.is_empty() && bulks.iter().all(provisional), "{}", piece.id);
    }
    Ok(())
}
