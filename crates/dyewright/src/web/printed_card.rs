//! A card printed at home read once, beside a known chart, in a photograph: where both lie, how its patches read, what is
//! wrong with the print; kept when the maker says so.
//!
//! What is asked stands in the address; keeping asks the same again and writes its answer.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::chip_style;
use workroom::{CardLaid, CardRead, PhotoLaid, Trouble, card_shown, keep_card, read_card_laid};

use super::beside::{Beside, By, Photo, Step, hidden, text_field};
use super::frame::{self, Here, page as framed};
use super::photograph;
use super::picking::Draws;
use super::room::Room;
use super::routes::{In, answered};
use super::shown::shown;
use super::words::{apart, escaped};
use super::works::{self, Seen, as_it_is};

type Fields = BTreeMap<String, String>;

/// What is asked of the photograph.
#[derive(Debug, Clone, Default)]
struct Asked {
    code: String,
    light: String,
    /// The card's corners.
    card: String,
    /// The step of the card's corners was gone to.
    touch: bool,
    beside: Beside,
}

impl Asked {
    fn of(fields: &Fields) -> Self {
        let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
        Self {
            code: field("code"),
            light: field("light"),
            card: field("card"),
            touch: field("step") == "card",
            beside: Beside::of(fields),
        }
    }

    fn own(&self, but: &str) -> Vec<(&'static str, String)> {
        let all = [("code", &self.code), ("light", &self.light), ("card", &self.card)];
        let said = all.into_iter().filter(|(name, value)| !value.is_empty() && *name != but);
        said.map(|(name, value)| (name, value.clone())).collect()
    }

    fn pairs(&self) -> Vec<(&'static str, String)> {
        self.own("").into_iter().chain(self.beside.pairs(&[])).collect()
    }

    fn address(&self, here: &str) -> String {
        let said: Vec<String> =
            self.pairs().iter().map(|(name, value)| format!("{name}={}", escaped(value))).collect();
        if said.is_empty() { here.to_owned() } else { format!("{here}?{}", said.join("&")) }
    }
}

/// Reads the card, or looks how far that is; nothing before its code is said.
fn looked(
    room: &Room,
    photo: &PhotoLaid,
    asked: &Asked,
) -> Result<Option<Seen<CardRead>>, Trouble> {
    if asked.code.is_empty() || asked.touch || asked.beside.step() != Step::Cloth {
        return Ok(None);
    }
    let found = asked.beside.found(room, None)?;
    let files = [&found.chart, &found.paper].into_iter().flatten().map(|path| as_it_is(path));
    let of = format!("card {} {:?} {:?}", photo.number, asked.pairs(), files.collect::<Vec<_>>());
    let laid = CardLaid {
        corners: asked.card.clone(),
        beside: found,
        light: asked.light.clone(),
        code: asked.code.clone(),
    };
    let (one, day) = (photo.clone(), room.today()?.to_string());
    Ok(Some(room.works.look(&of, "reading the card", move |_| read_card_laid(&one, &laid, &day))))
}

/// `/charts/read/{number}`.
pub(super) async fn page(
    State(room): In,
    Path(number): Path<u64>,
    Query(fields): Query<Fields>,
) -> Response {
    answered(room, Here::Book, move |room| whole(room, number, &Asked::of(&fields), None)).await
}

fn whole(
    room: &Room,
    number: u64,
    asked: &Asked,
    why: Option<&Trouble>,
) -> Result<Response, Trouble> {
    let photo = room.tray.numbered(number)?;
    let here = format!("/charts/read/{number}");
    let address = asked.address(&here);
    let (read, lost) = match looked(room, &photo, asked) {
        Ok(read) => (read, None),
        Err(why) => (None, Some(why)),
    };
    let refused = match &read {
        Some(Seen::Refused(why)) => Some(&**why),
        _ => None,
    };
    let why = why.or(lost.as_ref()).or(refused);
    let shown = shown(room, &photo.path, false);
    let body = html! {
        h1 { "Read a printed card" }
        @if let Some(why) = why { (frame::trouble(why)) p { a href="#another" { "Send another photograph" } ", or say more below." } }
        @match &read {
            Some(Seen::Busy(id)) => (works::busy(*id, "Reading the card", &address)),
            Some(Seen::Stopped(id)) => (works::stopped(*id, &address)),
            Some(Seen::Made(read)) => (told(read, &here, asked)),
            Some(Seen::Refused(_)) | None => {}
        }
        section.pictured aria-label="The photograph" {
            @match &shown {
                Seen::Made(shown) => (step(room, &Photo { number, here: &here, size: shown.size }, asked)?),
                Seen::Busy(id) => (works::busy(*id, "Opening the photograph", &address)),
                Seen::Stopped(id) => (works::stopped(*id, &address)),
                Seen::Refused(why) => (frame::trouble(why)),
            }
        }
        details.after id="another" { summary { "Send another photograph" } (photograph::upload("/charts/read", "card-photo")) }
        p { a href="/charts" { "Leave it: nothing is kept" } }
        script type="module" src="/picking.js" {}
    };
    let status = why.map_or(axum::http::StatusCode::OK, frame::status);
    Ok((status, framed("Read a printed card", Here::Book, &body)).into_response())
}

/// What is asked next, on the photograph.
fn step(room: &Room, photo: &Photo<'_>, asked: &Asked) -> Result<Markup, Trouble> {
    if asked.beside.step() == Step::Corners {
        return Ok(asked.beside.corners_form(photo, &asked.own("")));
    }
    if asked.touch {
        return Ok(html! {
            h2 { "Where are the card’s corners?" }
            p { "Touch the outer corners of its four corner patches, one after another around it: begin at the first patch (upper left, as it is printed), go along its row." }
            form.picking method="get" action=(photo.here) {
                (hidden(&asked.own("card"))) (hidden(&asked.beside.pairs(&[])))
                (photo.pointed("card", Draws::Corners("card"), &html! {}))
                (text_field("card", "The card’s four corners, in pixels", &asked.card, "As 100,80 420,90 415,300 95,290; empty: it is looked for."))
                button type="submit" { "Take these corners" }
            }
        });
    }
    let own = asked.beside.by == By::Own;
    Ok(html! {
        h2 { "Which card is it, and in what light?" }
        form.question method="get" action=(photo.here) {
            (hidden(&asked.own("code").into_iter().filter(|(name, _)| *name != "light").collect::<Vec<_>>()))
            (hidden(&asked.beside.pairs(&[])))
            (text_field("code", "The code that stands on it", &asked.code, "Letters, digits and hyphens."))
            (text_field("light", "The light it was taken in", &asked.light, "As: north window, overcast. It is kept with the values."))
            button type="submit" { "Read the card" }
        }
        div.row {
            form method="get" action=(photo.here) { (hidden(&asked.pairs())) input type="hidden" name="step" value="corners"; button.second type="submit" { "The chart is not found: show its corners" } }
            form method="get" action=(photo.here) { (hidden(&asked.pairs())) input type="hidden" name="step" value="card"; button.second type="submit" { "The card is not found: show its corners" } }
        }
        details open[own && asked.beside.step() == Step::Choose] { summary { "The known chart: " (asked.beside.words()) } (asked.beside.choice(photo.here, &asked.own(""), room)?) }
        img.photo-shown src={ "/photo/" (photo.number) "/shown" } alt="The photograph of card and chart" width=(photo.size[0]) height=(photo.size[1]);
    })
}

/// How it reads, and the way to keep it.
fn told(read: &CardRead, here: &str, asked: &Asked) -> Markup {
    html! {
        section aria-labelledby="card-read" {
            h2 id="card-read" tabindex="-1" { "How the card reads" }
            p.verdict { (read.patches.len()) " patches. Nine of ten values of a patch in the middle lie within " (apart(read.spread90)) " (ΔE00) of the truth." }
            @if let Some(weak) = &read.weak_light {
                p { b { "Weak light. " } "Nine of ten cloths are read to " (apart(weak.spread90)) " in it, and to " (apart(weak.in_daylight)) " in daylight: read the card by day." }
            }
            @if !read.doubts.is_empty() { h3 { "What is doubtful" } ul { @for doubt in &read.doubts { li { (doubt) } } } }
            div.mount.card-patches role="img" aria-label={ "The patches as read, " (read.across) " in a row" } style={ "grid-template-columns:repeat(" (read.across) ",1fr)" } {
                @for hex in card_shown(read) { span.chip.given style=[chip_style(&hex)] {} }
            }
            details { summary { "The values" } ul.entries { @for patch in &read.patches {
                @let [l, a, b] = patch.lab;
                li { span { b { (patch.name) } ": L* " (l) ", a* " (a) ", b* " (b) "; within " (apart(patch.spread90)) } }
            } } }
            @for note in &read.notes { p.quiet { (note) } }
            form method="post" action={ (here) "/keep" } {
                (hidden(&asked.pairs()))
                button type="submit" { "Keep its values" }
                p.quiet { "In your folder, as “printed-card-" (read.code) ".txt”; values of an earlier reading of the same code are replaced." }
            }
        }
    }
}

/// `POST /charts/read/{number}/keep`.
pub(super) async fn keep(
    State(room): In,
    Path(number): Path<u64>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Book, move |room| {
        let asked = Asked::of(&fields);
        let photo = room.tray.numbered(number)?;
        let read: Arc<CardRead> = match looked(room, &photo, &asked)? {
            Some(Seen::Made(read)) => read,
            Some(Seen::Refused(why)) => return whole(room, number, &asked, Some(&why)),
            Some(Seen::Busy(_) | Seen::Stopped(_)) | None => {
                let why = Trouble::Refused {
                    says: "the card is not read yet".to_owned(),
                    hint: "wait until its patches are shown, then keep them".to_owned(),
                };
                return whole(room, number, &asked, Some(&why));
            }
        };
        let name = match keep_card(room.folder(), &read, &room.today()?.to_string()) {
            Ok(name) => name,
            Err(why) => return whole(room, number, &asked, Some(&why)),
        };
        room.tray.take_away(number)?;
        Ok(Redirect::to(&format!("/charts?kept={}", escaped(&name))).into_response())
    })
    .await
}
