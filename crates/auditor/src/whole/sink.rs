//! Rule 18: what must never meet does not go down one sink on one day without a rinse between.
//!
//! The table is H7 of the trade knowledge, by families: where H7 has X the sink is rinsed down as an item
//! of its own; where it has w ("only with full rinse between") the rinsing of the goods, which sends water
//! after the bath, is enough. Acid and soda are "dilute sour ok" there and so they are here. Ammonia and
//! alkali are X for caustic only; the family does not tell caustic from soda, so they are held to w, and to
//! X where a sheet names a caustic.

use crate::Log;
use crate::agents::group_of;
use crate::read::{Add, Sheet};
use crate::whole::Piece;
use crate::whole::clock::{Book, Work};

/// What goes down a sink.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Family {
    Bleach,
    Acid,
    Alkali,
    Reducer,
    Peroxide,
    Ammonia,
    Permanganate,
    Water,
}

/// What two families ask for between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Between {
    Nothing,
    Water,
    Rinse,
}

use Family as F;

impl Family {
    fn of(word: &str) -> Option<Self> {
        Some(match word.strip_prefix("a ").unwrap_or(word) {
            "bleach" => F::Bleach,
            "acid" => F::Acid,
            "alkali" => F::Alkali,
            "reducer" => F::Reducer,
            "peroxide" => F::Peroxide,
            "ammonia" => F::Ammonia,
            "permanganate" => F::Permanganate,
            "water" => F::Water,
            _ => return None,
        })
    }

    const fn words(self) -> &'static str {
        match self {
            F::Bleach => "bleach",
            F::Acid => "acid",
            F::Alkali => "alkali",
            F::Reducer => "a reducer",
            F::Peroxide => "peroxide",
            F::Ammonia => "ammonia",
            F::Permanganate => "permanganate",
            F::Water => "water",
        }
    }

    /// H7, both halves of the table.
    const fn between(self, other: Self) -> Between {
        match (self, other) {
            (F::Bleach, F::Acid | F::Ammonia | F::Peroxide | F::Reducer)
            | (F::Acid | F::Ammonia | F::Peroxide | F::Reducer, F::Bleach)
            | (F::Acid | F::Peroxide | F::Permanganate, F::Reducer)
            | (F::Reducer, F::Acid | F::Peroxide | F::Permanganate)
            | (F::Permanganate, F::Peroxide | F::Ammonia)
            | (F::Peroxide | F::Ammonia, F::Permanganate) => Between::Rinse,
            (F::Bleach | F::Acid, F::Permanganate)
            | (F::Permanganate, F::Bleach | F::Acid)
            | (F::Peroxide, F::Acid | F::Ammonia | F::Alkali)
            | (F::Acid | F::Ammonia | F::Alkali, F::Peroxide)
            | (F::Ammonia, F::Reducer | F::Alkali)
            | (F::Reducer | F::Alkali, F::Ammonia) => Between::Water,
            _ => Between::Nothing,
        }
    }

    /// The family of what goes into a bath: by its own name first, then by what the sheet calls it.
    fn of_add(add: &Add<'_>) -> Option<Self> {
        let id = add.id.to_lowercase();
        let by_group = |group: &str| {
            Some(match group {
                "hypochlorite" => F::Bleach,
                "oxidiser" if id.contains("permanganate") => F::Permanganate,
                "oxidiser" => F::Peroxide,
                "acid" => F::Acid,
                "alkali" => F::Alkali,
                "ammonia" => F::Ammonia,
                _ => return None,
            })
        };
        match group_of(add.id) {
            Some("reducer") => Some(F::Reducer),
            Some(own) => by_group(own),
            // A reducer the auditor does not know by name is fruit sugar: no gas comes of it.
            None => by_group(add.group),
        }
    }
}

/// One use of a sink.
struct Use<'b, 'a> {
    work: &'b Work<'a>,
    families: Vec<Family>,
}

pub(crate) fn check(log: &mut Log<'_>, book: &Book<'_>, pieces: &[Piece<'_>]) {
    let mut uses: Vec<Use<'_, '_>> = Vec::new();
    for work in book.works.iter().filter(|w| !w.sink.is_empty()) {
        let families: Vec<Family> = work.sink.iter().filter_map(|s| Family::of(s)).collect();
        if families.len() != work.sink.len() {
            log.about(
                18,
                work.piece,
                format!(
                    "{}: the auditor does not know all of what goes down the sink ({})",
                    work.when(),
                    work.sink.join(", ")
                ),
            );
        }
        uses.push(Use { work, families });
    }
    uses.sort_by(|a, b| a.work.from.total_cmp(&b.work.from));
    let caustic = |piece: &str| {
        let sheets = pieces.iter().filter(|p| p.id == piece).flat_map(|p| &p.sheets);
        let mut adds = sheets.flat_map(|s| &s.steps).flat_map(|s| &s.adds);
        adds.any(|a| ["hydroxide", "caustic", "lime"].iter().any(|w| a.id.contains(w)))
    };
    let many = book.limit("sinks") != Some(1);
    for (at, later) in uses.iter().enumerate() {
        for earlier in uses[..=at].iter().filter(|e| e.work.day == later.work.day) {
            let itself = std::ptr::eq(earlier, later);
            // Two named sinks are two; without names nothing shows that they are.
            let (one, other) = (earlier.work.sink_no, later.work.sink_no);
            if many && one.is_some() && other.is_some() && one != other {
                continue;
            }
            for &a in &earlier.families {
                for &b in &later.families {
                    let mut asked = a.between(b);
                    let is_caustic = [(a, earlier), (b, later)]
                        .iter()
                        .any(|(f, u)| *f == F::Alkali && caustic(u.work.piece));
                    if asked == Between::Water && is_caustic && (a == F::Ammonia || b == F::Ammonia)
                    {
                        asked = Between::Rinse;
                    }
                    let kept = match asked {
                        Between::Nothing => true,
                        Between::Rinse => !itself && rinsed(book, earlier.work, later.work, many),
                        Between::Water => {
                            !itself
                                && (watered(&uses, earlier, later)
                                    || rinsed(book, earlier.work, later.work, many))
                        }
                    };
                    if !kept {
                        log.about(
                            18,
                            later.work.piece,
                            format!(
                                "{}: {} goes down the sink after {} ({}), and it is not rinsed between{}",
                                later.work.when(),
                                b.words(),
                                a.words(),
                                earlier.work.when(),
                                if many { "; which of the sinks is not said, or it is the same" } else { "" }
                            ),
                        );
                    }
                }
            }
        }
    }
    as_on_the_sheets(log, book, pieces);
}

/// A rinse of the sink after the one and before the other.
fn rinsed(book: &Book<'_>, earlier: &Work<'_>, later: &Work<'_>, many: bool) -> bool {
    book.works.iter().any(|w| {
        let here = !many || w.sink_no.is_some() && w.sink_no == later.sink_no;
        w.job == "rinse" && here && w.from >= earlier.to && w.to <= later.from
    })
}

/// Rinsing water of goods after the one and before the other.
fn watered(uses: &[Use<'_, '_>], earlier: &Use<'_, '_>, later: &Use<'_, '_>) -> bool {
    let between = |u: &&Use<'_, '_>| {
        u.work.from >= earlier.work.from
            && u.work.to <= later.work.from
            && u.work.sink_no == later.work.sink_no
    };
    uses.iter().filter(between).any(|u| u.families.contains(&F::Water))
}

/// What the sheets let off must stand among what the day plan sends down the sink.
fn as_on_the_sheets(log: &mut Log<'_>, book: &Book<'_>, pieces: &[Piece<'_>]) {
    for piece in pieces.iter().filter(|p| !book.has_no_place(p.id)) {
        for kind in ["swatch", "bulk"] {
            let mut works = book.of_piece(piece.id, kind).peekable();
            if works.peek().is_none() {
                continue;
            }
            let said: Vec<Family> =
                works.flat_map(|w| &w.sink).filter_map(|s| Family::of(s)).collect();
            let mut missing: Vec<&'static str> = piece
                .of_kind(kind)
                .flat_map(let_off)
                .filter(|f| !said.contains(f))
                .map(Family::words)
                .collect();
            missing.dedup();
            for family in missing {
                log.about(18, piece.id, format!("the {kind} sheet lets off {family}, and the day plan does not send it down a sink"));
            }
        }
    }
}

/// The families a sheet adds before it is let off, rinsed or soaped for the last time.
fn let_off(sheet: &Sheet<'_>) -> Vec<Family> {
    let off = |act: &str| matches!(act, "drain" | "rinse" | "soap" | "neutralise");
    let Some(last) = sheet.steps.iter().rposition(|s| off(s.act)) else { return Vec::new() };
    sheet.steps[..=last].iter().flat_map(|s| &s.adds).filter_map(Family::of_add).collect()
}
