//! The rules auditor: reads a finished plan as JSON (docs/json.md) and names every rule it breaks.
//!
//! Rules 1 to 15 are those of the trade knowledge (M) and speak of a piece and its sheets. The rules from
//! 16 on speak of the plan as a whole:
//!
//! 16. Hands, burners, pots, sinks and drying places are never used twice over; work that needs hands or
//!     heat keeps to the working day; no powder is weighed while anything needs attention.
//! 17. Nothing hot or changing is left alone, and nothing is heated overnight.
//! 18. What must never meet does not go down one sink on one day without a rinse between.
//! 19. A swatch is dyed, dried and judged in daylight before its piece; nothing happens before today.
//! 20. Nothing is done with what has not come.
//! 21. No piece is split over two baths, and only like cloth shares one.
//! 22. Weights, depths and volumes reckon up to the printed digit.
//! 23. What a kit brings with it is not dosed a second time.
//! 24. A set says of itself what its pairs say; nothing that must match is offered a leftover bath.
//! 25. The money adds up, packs cover what is short, nothing expired is counted on.
//! 26. What is dyed was scoured first, as every fibre in it bears, and is dry again when it is dyed.
//! 27. A bulk bath takes of its swatch's stock only what is left, and only while it keeps; no reactive dye
//!     with alkali in its powder is made into a stock.
//!
//! It knows no other room but `units`. Its limits are written out here a second time, by hand, so
//! that a limit loosened where the sheets are made is still kept where they are checked. What it
//! does not recognise it reports; nothing passes because it was not understood. It does not judge
//! quality or colour, nor whether something is worth its money.
//!
//! Source of every limit: the project's trade knowledge (trade.md): A1 fibres, B programmes,
//! C matrix, D3 key, F arithmetic, H safety, I viewing, M the fifteen rules. Those figures are common practice or from
//! memory there, and so they are here.

mod agents;
mod classes;
mod materials;
mod read;
mod rules;
mod whole;
mod words;

use std::fmt;

use serde_json::Value;

use crate::read::{Goods, Sheet};

/// One rule broken, where, and in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// Which of the rules, 1 to 26.
    pub rule: u8,
    /// Id of the piece, empty when the plan as a whole is meant.
    pub piece: String,
    /// `swatch`, `bulk`, or empty when the piece as a whole is meant.
    pub sheet: String,
    /// Number of the step, where one step is meant.
    pub step: Option<u32>,
    /// What is wrong, as a sentence.
    pub says: String,
}

impl fmt::Display for Broken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "rule {}", self.rule)?;
        for (what, name) in [("piece", &self.piece), ("sheet", &self.sheet)] {
            if !name.is_empty() {
                write!(f, ", {what} {name}")?;
            }
        }
        if let Some(n) = self.step {
            write!(f, ", step {n}")?;
        }
        write!(f, ": {}", self.says)
    }
}

/// The version of the document that the auditor reads.
const VERSION: u64 = 2;

/// A JSON value that is not a plan at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("this is not a plan the auditor can read: {why}; give it what `plan --json` wrote")]
pub struct Unreadable {
    /// What was missing or of the wrong kind.
    pub why: String,
}

/// Every rule broken anywhere in a plan; an empty list is a plan that keeps them all.
///
/// Refuses only what has no plan's shape. A fault inside a piece, sheet or step is a broken rule.
pub fn audit(plan: &Value) -> Result<Vec<Broken>, Unreadable> {
    let unreadable = |why: &str| Unreadable { why: why.to_owned() };
    if plan.get("dyewright").and_then(Value::as_str) != Some("plan") {
        return Err(unreadable("the key `dyewright` does not say `plan`"));
    }
    if plan.get("version").and_then(Value::as_u64) != Some(VERSION) {
        return Err(unreadable(&format!("the auditor reads version {VERSION}")));
    }
    let pieces = plan
        .get("pieces")
        .and_then(Value::as_array)
        .ok_or_else(|| unreadable("`pieces` is not a list"))?;
    let people = plan.get("people").unwrap_or(&Value::Null);
    let today = plan.pointer("/costume/today").and_then(Value::as_str);
    let mut broken: Vec<Broken> =
        pieces.iter().flat_map(|piece| audit_piece(piece, people, today)).collect();
    let mut log = Log::new("", "");
    whole::plan(&mut log, plan);
    broken.append(&mut log.broken);
    Ok(broken)
}

/// Every rule broken by one piece of a plan: its sheets one by one, and what only shows when they
/// are read together (the swatch before the bulk, the label, what will not dye).
///
/// `today` is the plan's day; a waiver signed later than that does not count.
#[must_use]
pub fn audit_piece(piece: &Value, people: &Value, today: Option<&str>) -> Vec<Broken> {
    let id = piece.get("id").and_then(Value::as_str).unwrap_or("(piece without id)");
    let none = Vec::new();
    let sheets = piece.get("sheets").and_then(Value::as_array).unwrap_or(&none);
    let said = said_in(piece);
    let mut broken: Vec<Broken> =
        sheets.iter().flat_map(|sheet| audit_sheet(id, sheet, people, &said)).collect();
    let views: Vec<Sheet<'_>> = sheets.iter().map(Sheet::of).collect();
    let goods = piece.get("goods").map(Goods::of);
    let mut log = Log::new(id, "");
    rules::piece(&mut log, piece, goods.as_ref(), &views, today);
    broken.append(&mut log.broken);
    broken
}

/// Every rule broken by one sheet on its own. `said` are the sentences the piece prints elsewhere
/// (its advice), where a sheet may have said what will not dye.
#[must_use]
pub fn audit_sheet(piece: &str, sheet: &Value, people: &Value, said: &[String]) -> Vec<Broken> {
    let view = Sheet::of(sheet);
    let mut log = Log::new(piece, view.kind);
    rules::sheet(&mut log, &view, people, said);
    log.broken
}

/// The sentences a piece prints outside its sheets: its advice.
fn said_in(piece: &Value) -> Vec<String> {
    let advice = piece.get("advice").and_then(Value::as_array);
    advice
        .into_iter()
        .flatten()
        .filter_map(|a| a.get("text").and_then(Value::as_str))
        .map(str::to_owned)
        .collect()
}

/// Collects what is broken on one sheet (or piece).
struct Log<'a> {
    piece: &'a str,
    sheet: &'a str,
    broken: Vec<Broken>,
}

impl<'a> Log<'a> {
    const fn new(piece: &'a str, sheet: &'a str) -> Self {
        Self { piece, sheet, broken: Vec::new() }
    }

    fn sheet(&mut self, rule: u8, says: impl Into<String>) {
        self.push(rule, None, says.into());
    }

    fn step(&mut self, rule: u8, n: u32, says: impl Into<String>) {
        self.push(rule, Some(n), says.into());
    }

    /// Where the log is of the whole plan: what is broken about one of its pieces.
    fn about(&mut self, rule: u8, piece: &str, says: impl Into<String>) {
        let sheet = self.sheet.to_owned();
        self.add(Broken { rule, piece: piece.to_owned(), sheet, step: None, says: says.into() });
    }

    fn push(&mut self, rule: u8, step: Option<u32>, says: String) {
        let (piece, sheet) = (self.piece.to_owned(), self.sheet.to_owned());
        self.add(Broken { rule, piece, sheet, step, says });
    }

    fn add(&mut self, one: Broken) {
        if !self.broken.contains(&one) {
            self.broken.push(one);
        }
    }
}
