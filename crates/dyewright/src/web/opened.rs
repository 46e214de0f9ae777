//! A costume opened for a page: its plan as far as there is one, what is being made, what is wrong with its files, and
//! what can be taken back.
//!
//! A fault in the files stands first and says that what follows is of the text before it. Left out: what each page shows.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use workroom::{BathClock, CostumeFound, Plan, Trouble, bath_clocks, costume_mark, last_change};

use super::bath;
use super::desk::{At, Look, Made};
use super::frame::{self, Here, page as framed};
use super::moment;
use super::room::Room;
use super::taking_back;
use super::words::{escaped, sentence};

/// A costume and its desk, as a page needs both.
pub(super) struct Opened {
    pub(super) costume: CostumeFound,
    pub(super) look: Look,
}

/// After so long a bath that was begun is no pot on the fire, ms.
const A_DAY_MS: i64 = 24 * 3_600_000;

/// Whether the bath at this place of a plan was begun, and not long ago, or something of it was weighed.
fn runs(clocks: &BTreeMap<String, BathClock>, made: &Made, (id, at): &(String, usize)) -> bool {
    bath::found(&made.plan, id, *at)
        .ok()
        .and_then(|(piece, sheet)| clocks.get(&bath::name_of(piece, sheet)))
        .is_some_and(|clock| match clock.begun {
            Some(begun) => moment::now_ms() - begun < A_DAY_MS,
            None => !clock.really.is_empty(),
        })
}

impl Opened {
    /// Opens a costume by its key and looks at its desk.
    pub(super) fn of(room: &Room, key: &str) -> Result<Self, Trouble> {
        let costume = room.costume(key)?;
        let look = room.desks.look(&costume, room.book(), room.today()?, &room.stamp()?);
        Ok(Self { costume, look })
    }

    /// The same at a pot: a bath that was begun stays as it was begun, whatever was planned since, until it is set aside.
    pub(super) fn at_pot(room: &Room, (key, id, at): &bath::Place) -> Result<Self, Trouble> {
        let mut opened = Self::of(room, key)?;
        let place = (id.clone(), *at);
        let Some(held) = room.desks.held(key, &place) else { return Ok(opened) };
        if runs(&bath_clocks(&opened.costume.path)?, &held, &place) {
            opened.look.made = Some(held);
        } else {
            room.desks.hold(key, place, None);
        }
        Ok(opened)
    }

    /// The same with the plan that has this card: the last one, or one before it, whose cards may be printed and whose
    /// swatches dyed.
    pub(super) fn with_card(room: &Room, key: &str, code: &str) -> Result<Self, Trouble> {
        let mut opened = Self::of(room, key)?;
        let has = |made: &&Arc<Made>| {
            let mut sheets = made.plan.pieces.iter().flat_map(|piece| &piece.sheets);
            sheets.any(|sheet| sheet.code.as_deref() == Some(code))
        };
        let found = opened.look.made.iter().chain(opened.look.earlier.iter().rev()).find(has);
        if let Some(found) = found.cloned() {
            opened.look.made = Some(found);
        }
        Ok(opened)
    }

    /// Its workbook: the one that was named for the room, else the one beside its file.
    pub(super) fn book(&self, room: &Room) -> PathBuf {
        let beside = || self.costume.path.with_file_name(workroom::WORKBOOK);
        room.book().map_or_else(beside, Path::to_path_buf)
    }

    /// A page of it: what is being made and what is wrong; the body, when there is a plan; what changed, at its foot.
    pub(super) fn page(
        &self,
        title: &str,
        at: &str,
        body: impl FnOnce(&Plan) -> Result<Markup, Trouble>,
    ) -> Result<Response, Trouble> {
        self.page_with(title, at, false, |plan, news| Ok(html! { (body(plan)?) (news) }))
    }

    /// The same of a page beside a photograph: nothing there is taken back of the costume's file.
    pub(super) fn page_by_itself(
        &self,
        title: &str,
        at: &str,
        body: impl FnOnce(&Plan) -> Result<Markup, Trouble>,
    ) -> Result<Response, Trouble> {
        self.page_with(title, at, false, |plan, _| body(plan))
    }

    /// The same, where the page itself says in which place it has what changed.
    pub(super) fn page_told(
        &self,
        title: &str,
        at: &str,
        body: impl FnOnce(&Plan, &Markup) -> Result<Markup, Trouble>,
    ) -> Result<Response, Trouble> {
        self.page_with(title, at, true, body)
    }

    fn page_with(
        &self,
        title: &str,
        at: &str,
        open: bool,
        body: impl FnOnce(&Plan, &Markup) -> Result<Markup, Trouble>,
    ) -> Result<Response, Trouble> {
        let plan = self.look.plan();
        let news = self.news(open)?;
        let inner = plan.map(|plan| body(plan, &news)).transpose()?;
        let name = plan.map_or(self.costume.name.as_str(), |plan| plan.costume.name.as_str());
        let body = html! {
            (ways(&self.costume.key, name, at))
            @if inner.is_none() { h1 { (name) } }
            (self.state()?)
            @if let Some(inner) = inner { (inner) }
        };
        let whole = format!("{title} – {name}");
        let status = if plan.is_none() && self.look.trouble.is_some() {
            StatusCode::UNPROCESSABLE_ENTITY
        } else {
            StatusCode::OK
        };
        Ok((status, framed(&whole, Here::Costume, &body)).into_response())
    }

    /// What is being made, and what is wrong with the files.
    fn state(&self) -> Result<Markup, Trouble> {
        let key = &self.costume.key;
        let look = &self.look;
        Ok(html! {
            div.state aria-live="polite" {
                @if let Some(at) = &look.busy { (busy(key, at, look.made.is_some())) }
                @if look.stopped {
                    div.busy { p { "Planning was stopped." @if look.made.is_some() { " What stands below is the plan before that." } }
                        form method="post" action={ "/c/" (key) "/anew" } { button.second type="submit" { "Plan it" } } }
                }
                @if let Some(why) = &look.trouble { (self.fault(why)?) }
            }
        })
    }

    /// Why there is no plan of the files as they are: what, where, what to do; then what stands below in its place.
    fn fault(&self, why: &Trouble) -> Result<Markup, Trouble> {
        let key = &self.costume.key;
        let last = last_change(&self.costume.path)?.filter(|last| last.by_hand);
        let (file, mend) = match why {
            Trouble::Faults(faults) if Path::new(&faults.file) != self.costume.path => {
                let name = self.beside(Path::new(&faults.file));
                let to = format!("/shelf/file?of={}", escaped(&name));
                (name, to)
            }
            _ => (self.costume.file.clone(), format!("/c/{key}/file")),
        };
        Ok(html! {
            div.trouble role="alert" id="trouble" tabindex="-1" {
                @match why {
                    Trouble::Faults(faults) => {
                        h2 { "“" (file) "” has a fault, and no plan can be made of it" }
                        (frame::faults(faults))
                    }
                    Trouble::Refused { says, hint } => {
                        h2 { "No plan can be made of the files as they are" }
                        p { (sentence(says)) " " span.do { (sentence(hint)) } }
                    }
                    Trouble::Broken { doing, why, .. } => {
                        h2 { "No plan can be made: something here is broken" }
                        p { "While " (doing) ": " (why) ". Mend this, then load the page again." }
                    }
                }
                p.ways-on { a href=(mend) { "Mend the text of “" (file) "”" } }
                @if let Some(last) = &last { (taking_back::form(&format!("/c/{key}/undo"), &[], &costume_mark(&self.costume.path)?, last)) }
            }
            @if self.look.made.is_some() {
                p.before-fault { b { "From here on: the last plan that could be made." } " It is of the text before the fault; nothing that was \
                    written since is in it." }
            }
        })
    }

    /// A file in this costume's folder, as the pages of the shelf call it.
    fn beside(&self, path: &Path) -> String {
        let folder = self.costume.path.parent().unwrap_or(Path::new(""));
        let name = path.strip_prefix(folder).unwrap_or(path).to_string_lossy();
        match self.costume.file.rsplit_once('/') {
            Some((under, _)) => format!("{under}/{name}"),
            None => name.into_owned(),
        }
    }

    /// What changed, and what can be taken back; nothing while a fault stands, which has its own way back.
    fn news(&self, open: bool) -> Result<Markup, Trouble> {
        let look = &self.look;
        if look.trouble.is_some() {
            return Ok(html! {});
        }
        let last = last_change(&self.costume.path)?;
        let changed = look.busy.is_none() && !look.changed.is_empty();
        Ok(html! {
            @if changed || last.is_some() {
                div.state.news {
                    @if changed {
                        details.changed open[open] {
                            summary { "What the last change did" }
                            ul { @for line in look.changed.iter().take(MOST_CHANGES) { li { (line) } } }
                            @if look.changed.len() > MOST_CHANGES { p { "… and " (look.changed.len() - MOST_CHANGES) " more." } }
                        }
                    }
                    @if let Some(last) = &last {
                        (taking_back::form(&format!("/c/{}/undo", self.costume.key), &[], &costume_mark(&self.costume.path)?, last))
                    }
                }
            }
        })
    }
}

/// Changes told at once.
const MOST_CHANGES: usize = 8;

fn busy(key: &str, at: &At, has_plan: bool) -> Markup {
    let of = at.of.max(1);
    html! {
        div.busy data-progress={ "/c/" (key) "/progress" } {
            p { label for="how-far" { "Planning" } ": "
                span data-doing { @if at.doing.is_empty() { "reading the files" } @else { (at.doing) } }
                @if has_plan { ". Until it is done, the plan before the change stands below." } }
            progress id="how-far" max=(of) value=(at.done) { (at.done) " of " (of) }
            form method="post" action={ "/c/" (key) "/stop" } { button.second type="submit" { "Stop" } }
            noscript { p { "Load this page again to see how far it is." } }
        }
    }
}

/// The pages of one costume: a row of them where there is room, else folded under the name of the page that is open.
pub(super) fn ways(key: &str, name: &str, at: &str) -> Markup {
    let ways = [
        ("", "Costume"),
        ("/picture", "Picture"),
        ("/match", "What must match"),
        ("/swatches", "Swatches"),
        ("/days", "Days"),
        ("/shopping", "Shopping"),
        ("/print", "Print"),
        ("/file", "Its file"),
    ];
    let here = ways.iter().find(|(to, _)| *to == at).map_or("A piece", |(_, word)| word);
    let links = html! {
        ul { @for (to, word) in ways {
            li { a href={ "/c/" (key) (to) } aria-current=[(to == at).then_some("page")] { (word) } }
        } }
    };
    html! {
        nav.ways.of-costume aria-label=(name) {
            div.in-a-row { (links) }
            details.folded { summary { b { (here) } " – all pages of this costume" } (links) }
        }
    }
}
