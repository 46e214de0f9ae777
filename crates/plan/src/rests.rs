//! What recipes rest on, written down: of each piece, and of the whole workbook.

use recipe::Say;

use crate::Request;
use crate::document::{self, AskedAbout, GoesBySeen, PassedOverSeen, RestsOn, WorkbookSeen};
use crate::goes_by::GoesBy;
use crate::piece::Found;
use crate::seen::{print, sentence};
use crate::taught::{Doubted, Lesson, Taught};
use crate::way::Way;

/// What the workbook taught.
pub(crate) fn workbook(taught: &Taught) -> WorkbookSeen {
    let passed_over = taught
        .passed_over()
        .iter()
        .map(|p| PassedOverSeen { why: p.why.words().to_owned(), swatches: p.codes.clone() });
    let asked = taught.doubted().into_iter().map(|one| AskedAbout {
        off: print(one.off, 1),
        words: question(&one),
        held_out: one.held_out,
        swatches: one.codes,
    });
    WorkbookSeen {
        taught: taught.lessons().len(),
        passed_over: passed_over.collect(),
        asked: asked.collect(),
    }
}

/// A reading that cannot well be believed, as a question to whoever dyed it.
fn question(one: &Doubted) -> String {
    let off = print(one.off, 1);
    match one.codes.as_slice() {
        [only] if !one.held_out => format!(
            "Swatch {only} was read more than once, and still lies {off:.1} away from what was expected of it, further \
             than swatches do. Was it dyed as recorded: the dye and its lot, the amount, salt, acid or soda, the heat? \
             Record what was otherwise (book undo, then swatch record)."
        ),
        [only] => format!(
            "Swatch {only} reads {off:.1} away from what was expected of it, further than swatches do. Was it \
             dyed as recorded (the dye and its lot, the amount, salt, acid or soda, the heat), and is the reading \
             of that cloth, dry? Until that is settled it moves no recipe. Read it again and record that reading of the \
             same swatch (swatch record): when the two agree it counts. If something was otherwise, record that (book \
             undo, then swatch record)."
        ),
        many => format!(
            "Swatches {} were read at one go and are, taken together, further from what was expected than \
             swatches are (up to {off:.1}). Was the light or the camera set otherwise that time?",
            many.join(", ")
        ),
    }
}

/// What a piece's recipe rests on; none where no workbook was read.
pub(crate) fn of_piece(request: &Request, piece: &str, found: &Found) -> Option<RestsOn> {
    let taught = request.taught?;
    let costume = &request.costume.name;
    let own = taught.own_of(costume, piece);
    let ways: Vec<&Way> = [&found.way].into_iter().chain(&found.second).collect();
    let is_own = |l: &&Lesson| own.iter().any(|o| std::ptr::eq(*o, *l));
    let others: Vec<&Lesson> = taught.lessons().iter().filter(|l| !is_own(l)).collect();
    let holds = |l: &Lesson, way: &Way| {
        let stock = taught.experience().stock();
        let shelf = |dye: usize| stock.get(dye).and_then(|s| s.lot_of).unwrap_or(dye);
        let places = way.choice().doses.iter().map(|d| way.asked.dyes[d.0]);
        places.into_iter().any(|place| l.doses.iter().any(|(dye, _)| shelf(*dye) == place))
    };
    let here = |l: &Lesson, way: &Way| way.asked.fibre.as_deref() == Some(l.fibre.as_str());
    let on_it = |l: &Lesson| ways.iter().any(|way| holds(l, way) && here(l, way));
    let of_its_dyes = others.iter().filter(|l| on_it(l)).count();
    let elsewhere = |l: &Lesson| !on_it(l) && ways.iter().any(|way| holds(l, way));
    let on_other_fibres = others.iter().filter(|l| elsewhere(l)).count();
    let mut words = words(own.len(), of_its_dyes, on_other_fibres);
    if let Some(said) = found.way.goes_by.as_ref().and_then(goes_by) {
        words.push(' ');
        words.push_str(&sentence(&said));
    }
    let goes_by = found.way.goes_by.as_ref().map(|swatch| GoesBySeen {
        swatch: swatch.lesson.code.clone(),
        say: match swatch.said.say {
            Say::Stop => document::Say::Stop,
            Say::Improve => document::Say::NextSwatch,
            Say::Unsettled => document::Say::ReadAgain,
        },
    });
    Some(RestsOn { own: own.len(), of_its_dyes, on_other_fibres, goes_by, words })
}

/// What a piece's swatch says of its recipe.
pub(crate) fn goes_by(swatch: &GoesBy) -> Option<String> {
    let code = &swatch.lesson.code;
    match (&swatch.vouches, &swatch.but) {
        (Some(_), _) => Some(format!("swatch {code} is good enough: this is its recipe as dosed")),
        (None, Some(but)) => Some(format!(
            "swatch {code} is good enough, but it does not make the bulk sheet final: {but}"
        )),
        (None, None) => match swatch.said.say {
            Say::Stop => None,
            Say::Improve => Some(format!("after swatch {code} this is the next recipe to swatch")),
            Say::Unsettled => Some(format!(
                "swatch {code} leaves it open whether this recipe is better: read it again (correct says more)"
            )),
        },
    }
}

fn words(own: usize, of_its_dyes: usize, on_other_fibres: usize) -> String {
    let swatches = |n: usize| if n == 1 { "1 swatch".to_owned() } else { format!("{n} swatches") };
    let mut said = vec![];
    if own > 0 {
        said.push(format!("{} of its own", swatches(own)));
    }
    if of_its_dyes > 0 {
        let more = if own > 0 { "more with" } else { "with" };
        said.push(format!("{} {more} its dyes on its fibre", swatches(of_its_dyes)));
    }
    if on_other_fibres > 0 {
        said.push(format!("{} with its dyes on other fibres", swatches(on_other_fibres)));
    }
    if said.is_empty() {
        return "Rests on estimates only: no swatch has its dyes.".to_owned();
    }
    sentence(&format!("rests on {}", said.join(", ")))
}
