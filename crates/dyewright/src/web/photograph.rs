//! A swatch read from a photograph: sent (from the laptop, or on the spot from the phone beside the pot), the place of
//! the cloth shown, read, and only then, when the maker says so, recorded.
//!
//! What is asked of the photograph stands in the address, so that a reload finds the same reading. Left out: what can be
//! trusted in a photograph, and what a reading then does to the recipe.

use std::collections::BTreeMap;
use std::path::Path as FilePath;
use std::sync::Arc;

use axum::extract::{Multipart, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use colour::{Lab, ciede2000};
use maud::{Markup, html};
use workroom::document::{ColourSeen, PiecePlan, Plan, Sheet};
use workroom::{
    ChartSeen, ColourRead, PhotoLaid, PhotoRead, PictureShown, Trouble, chart_in, read_laid,
};

use super::beside::{Beside, By, Photo, Step, hidden};
use super::frame::{self, Here, page as framed};
use super::opened::Opened;
use super::picking::{Draws, chip};
use super::room::Room;
use super::routes::{In, answered};
use super::shown::{shown, shown_bytes};
use super::swatch;
use super::upload::Sent;
use super::words::{apart, escaped, sentence};
use super::works::{self, Seen, as_it_is};

type Fields = BTreeMap<String, String>;

/// What is asked of a photograph.
#[derive(Debug, Clone, Default)]
pub(super) struct Asked {
    /// Left, top, width, height of the cloth, as typed.
    place: [String; 4],
    /// The light, in words.
    pub(super) light: String,
    /// What lies beside the cloth.
    pub(super) beside: Beside,
}

/// The names of the numbers of a place in a form.
const PLACE: [&str; 4] = ["x", "y", "w", "h"];

impl Asked {
    pub(super) fn of(fields: &Fields) -> Self {
        let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
        Self { place: PLACE.map(field), light: field("light"), beside: Beside::of(fields) }
    }

    /// The cloth as `read` takes it; nothing where no place was given.
    fn cloth(&self) -> Option<String> {
        self.place.iter().any(|n| !n.is_empty()).then(|| self.place.join(","))
    }

    /// The place of the cloth and the light, as an address has them.
    fn own(&self) -> Vec<(&'static str, String)> {
        let pairs = PLACE.into_iter().zip(self.place.iter().cloned());
        pairs
            .chain([("light", self.light.clone())])
            .filter(|(_, value)| !value.is_empty())
            .collect()
    }

    fn address(&self, here: &str) -> String {
        let pairs = self.own().into_iter().chain(self.beside.pairs(&[]));
        let said: Vec<String> =
            pairs.map(|(name, value)| format!("{name}={}", escaped(&value))).collect();
        if said.is_empty() { here.to_owned() } else { format!("{here}?{}", said.join("&")) }
    }
}

/// What is known of a photograph by now.
pub(super) struct Looked {
    shown: Seen<PictureShown>,
    /// The chart, where it is read by one.
    chart: Option<Seen<ChartSeen>>,
    read: Option<Seen<PhotoRead>>,
    /// Why what lies beside the cloth is not there.
    lost: Option<Trouble>,
}

impl Looked {
    /// Looks at a photograph: whether it is sound, and what the cloth in it reads. Codes are those of this workbook.
    pub(super) fn at(
        room: &Room,
        photo: &PhotoLaid,
        asked: &Asked,
        book: Option<&FilePath>,
    ) -> Self {
        let shown = shown(room, &photo.path, false);
        let step = asked.beside.step();
        let (found, lost) = match asked.beside.found(room, book) {
            Ok(found) => (found, None),
            Err(why) => return Self { shown, chart: None, read: None, lost: Some(why) },
        };
        let number = photo.number;
        // A file of values that was written anew is another.
        let files = [&found.chart, &found.cloths, &found.paper];
        let files: Vec<String> = files.into_iter().flatten().map(|path| as_it_is(path)).collect();
        let beside = format!("{:?} {files:?}", asked.beside.pairs(&[]));
        let by_chart = matches!(asked.beside.by, By::Chart | By::Own) && step != Step::Choose;
        let chart = by_chart.then(|| {
            let (one, found) = (photo.clone(), found.clone());
            let of = format!("chart {number} {beside}");
            room.works.look(&of, "looking for the chart", move |_| chart_in(&one, &found))
        });
        let ready = step == Step::Cloth && matches!(chart, None | Some(Seen::Made(_)));
        let read = asked.cloth().filter(|_| ready).map(|cloth| {
            let of = format!("read {number} {cloth} {} {beside}", asked.light);
            let (one, light) = (photo.clone(), asked.light.clone());
            room.works
                .look(&of, "reading the cloth", move |_| read_laid(&one, &found, &cloth, &light))
        });
        Self { shown, chart, read, lost }
    }

    /// The colour read, when it was.
    pub(super) fn colour(&self) -> Option<(Arc<PhotoRead>, ColourRead)> {
        let Some(Seen::Made(read)) = &self.read else { return None };
        let colour = read.cloths.iter().find_map(|cloth| cloth.colour.clone())?;
        Some((Arc::clone(read), colour))
    }

    /// Why there is none.
    fn trouble(&self) -> Option<&Trouble> {
        match (&self.lost, &self.chart, &self.read) {
            (Some(why), ..) => Some(why),
            (_, Some(Seen::Refused(why)), _) | (_, _, Some(Seen::Refused(why))) => Some(why),
            _ => None,
        }
    }

    pub(super) fn status(&self) -> axum::http::StatusCode {
        self.trouble().map_or(axum::http::StatusCode::OK, frame::status)
    }

    /// The photograph to point at, what is wrong with it, and the ways to say more.
    pub(super) fn part(
        &self,
        room: &Room,
        number: u64,
        here: &str,
        asked: &Asked,
    ) -> Result<Markup, Trouble> {
        let address = asked.address(here);
        let choose = self.lost.is_some() || asked.beside.step() == Step::Choose;
        let no_chart = matches!(self.chart, Some(Seen::Refused(_)));
        Ok(html! {
            @if let Some(why) = self.trouble() { (frame::trouble(why)) p { a href="#another" { "Send another photograph" } ", or say more below." } }
            @if choose {
                section { h2 { "What lies beside the cloth?" } (asked.beside.choice(here, &asked.own(), room)?) }
            } @else {
                section.pictured aria-label="The photograph" {
                    @match &self.shown {
                        Seen::Made(shown) => (self.step(room, &Photo { number, here, size: shown.size }, asked)?),
                        Seen::Busy(id) => (works::busy(*id, "Opening the photograph", &address)),
                        Seen::Stopped(id) => (works::stopped(*id, &address)),
                        Seen::Refused(why) => (frame::trouble(why)),
                    }
                    @match &self.chart {
                        Some(Seen::Busy(id)) => (works::busy(*id, "Looking for the chart", &address)),
                        Some(Seen::Stopped(id)) => (works::stopped(*id, &address)),
                        Some(Seen::Made(_) | Seen::Refused(_)) | None => {}
                    }
                }
            }
            @match &self.read {
                Some(Seen::Busy(id)) => (works::busy(*id, "Reading the cloth", &address)),
                Some(Seen::Stopped(id)) => (works::stopped(*id, &address)),
                Some(Seen::Made(_) | Seen::Refused(_)) | None => {}
            }
            @if !choose {
                details.after id="beside" open[no_chart] {
                    summary { "Beside the cloth: " (asked.beside.words()) }
                    (asked.beside.choice(here, &asked.own(), room)?)
                }
                @if asked.beside.by != By::White { (paper_form(number, here, asked)) }
            }
        })
    }

    /// What is asked next, on the photograph.
    fn step(&self, room: &Room, photo: &Photo<'_>, asked: &Asked) -> Result<Markup, Trouble> {
        let beside = &asked.beside;
        let unfound = matches!(self.chart, Some(Seen::Refused(_)));
        Ok(match beside.step() {
            Step::White => beside.white_form(photo, &asked.own()),
            Step::Cloths => beside.cloths_form(photo, &asked.own(), room)?,
            Step::Corners => beside.corners_form(photo, &asked.own()),
            Step::Cloth if unfound => beside.corners_form(photo, &asked.own()),
            Step::Choose | Step::Cloth => self.place_form(photo, asked),
        })
    }

    /// The photograph with the fields of the cloth's place on it.
    fn place_form(&self, photo: &Photo<'_>, asked: &Asked) -> Markup {
        let labels = ["From the left", "From the top", "Width", "Height"];
        let chart = match &self.chart {
            Some(Seen::Made(chart)) => Some(&**chart),
            _ => None,
        };
        let back = match asked.beside.by {
            By::Chart | By::Own => ("corners", "The chart’s corners are not where the marks are"),
            By::Cloths => ("cloths", "Say anew where the known cloths lie"),
            By::White => ("white", "Say anew where the white is, and what it is"),
        };
        html! {
            h2 { "Where is the cloth?" }
            @if let Some(chart) = chart {
                p { "The chart was found (" (chart.patches) " patches); its corners are marked. Now draw a frame that is all cloth, without edges and folds." }
            } @else if self.chart.is_none() {
                p { "It is read by " (asked.beside.words()) ". Now draw a frame that is all cloth, without edges and folds." }
            }
            form.picking method="get" action={ (photo.here) "#reading" } {
                (hidden(&asked.beside.pairs(&["lamp"])))
                (photo.pointed("place", Draws::Frame(PLACE), &asked.beside.marks(chart, photo.size)))
                fieldset {
                    legend { "The cloth, in pixels from the upper left" }
                    div.four { @for ((name, label), typed) in PLACE.iter().zip(labels).zip(&asked.place) {
                        div.field { label for={ "place-" (name) } { (label) }
                            input id={ "place-" (name) } name=(name) value=(typed) required inputmode="decimal" autocomplete="off"; }
                    } }
                    p.how { "The photograph is " (photo.size[0]) " across and " (photo.size[1]) " down." }
                }
                div.field {
                    label for="light" { "The light it was taken in" }
                    input id="light" name="light" value=(asked.light) autocomplete="off" aria-describedby="light-how";
                    p.how id="light-how" { "As: north window, overcast. It is recorded with the reading." }
                }
                (asked.beside.lamp_field())
                button type="submit" { "Read the cloth there" }
            }
            form method="get" action=(photo.here) {
                (hidden(&asked.own())) (hidden(&asked.beside.pairs(&[])))
                input type="hidden" name="step" value=(back.0);
                button.second type="submit" { (back.1) }
            }
        }
    }
}

/// The form that sends a photograph of white paper, to the same address as the photograph itself.
fn paper_form(number: u64, here: &str, asked: &Asked) -> Markup {
    let to = here.rsplit_once('/').map_or(here, |(to, _)| to);
    html! {
        details.after {
            summary { @if asked.beside.has_paper() { "White paper from the same stand: sent" } @else { "For the best reading: white paper from the same stand" } }
            form.question method="post" action=(to) enctype="multipart/form-data" {
                (hidden(&asked.own())) (hidden(&asked.beside.pairs(&["paper"])))
                input type="hidden" name="of" value=(number);
                div.field {
                    label for="paper-sent" { "A photograph of white paper" }
                    input id="paper-sent" name="picture" type="file" required accept="image/*" capture="environment" aria-describedby="paper-sent-how";
                    p.how id="paper-sent-how" { "White paper without brightener laid over all of it, nothing else changed: same stand, same light, same size. It shows how the light falls off." }
                }
                button type="submit" { "Send the white paper" }
            }
        }
    }
}

/// The reading, beside the colour wanted where there is one.
pub(super) fn reading(
    read: &PhotoRead,
    colour: &ColourRead,
    target: Option<&ColourSeen>,
) -> Markup {
    let [l, a, b] = colour.lab;
    let off = target.map(|target| {
        let [tl, ta, tb] = target.lab;
        ciede2000(Lab::new(tl, ta, tb), Lab::new(l, a, b))
    });
    html! {
        section aria-labelledby="reading" {
            h2 id="reading" tabindex="-1" { "How it reads" }
            div.large {
                @match target {
                    Some(target) => (chip(&[("Target", &target.hex, &target.words), ("As read", &colour.hex, &colour.words)])),
                    None => (chip(&[("As read", &colour.hex, &colour.words)])),
                }
            }
            p.verdict { (sentence(&colour.words)) }
            p { "L* " (l) ", a* " (a) ", b* " (b) " in daylight. Nine of ten such readings lie within " b { (apart(colour.spread90)) } " (ΔE00) of the truth." }
            @if let Some(off) = off {
                p { "It reads " b { (apart(off)) } " from the colour wanted"
                    @if off <= colour.spread90 { ", which is no more than the reading itself may be off." } @else { "." } }
            }
            @if !read.limits.is_empty() {
                h3 { "What limits it" }
                ul { @for limit in &read.limits { li { (limit) } } }
            }
            p { b { (read.question) } }
            @for note in &read.notes { p.quiet { (note) } }
        }
    }
}

/// The way from a card or a bath to its photograph: the form that sends one.
pub(super) fn way(key: &str, id: &str, code: &str) -> Markup {
    upload(&format!("/c/{key}/p/{id}/swatch/{code}/photo"), &format!("photo-{code}"))
}

pub(super) fn upload(to: &str, field: &str) -> Markup {
    html! {
        form.question method="post" action=(to) enctype="multipart/form-data" {
            div.field {
                label for=(field) { "Read it from a photograph" }
                input id=(field) name="picture" type="file" required accept="image/*" capture="environment" aria-describedby={ (field) "-how" };
                p.how id={ (field) "-how" } { "Dry and cool, beside a colour chart (or what you have in its place), both flat in one kind of light, the camera straight above, \
                    no flash. JPEG, PNG, WebP or TIFF, at most 64 MB. Nothing is recorded by sending it." }
            }
            button type="submit" { "Send the photograph" }
        }
    }
}

/// What a form for a photograph sent, laid into the tray: the address that it is looked at under, beneath `base`. White
/// paper leads back to the photograph that it belongs to.
pub(super) async fn laid(room: &Room, form: Multipart, base: &str) -> Result<String, Trouble> {
    let mut sent = match room.uploads.acquire().await {
        Ok(_one) => Sent::read(form).await?,
        Err(_) => Sent::default(),
    };
    let bytes = sent.taken()?;
    let number = room.tray.lay(bytes, &room.recording().at)?.number;
    let of = sent.fields.get("of").and_then(|of| of.parse::<u64>().ok());
    let Some(of) = of else { return Ok(format!("{base}/{number}")) };
    let asked = Asked::of(&sent.fields);
    let asked = Asked { beside: asked.beside.with_paper(number), ..asked };
    Ok(asked.address(&format!("{base}/{of}")))
}

type Card = (String, String, String);

/// `/c/{costume}/p/{piece}/swatch/{code}/photo`.
pub(super) async fn ask(State(room): In, Path(card): Path<Card>) -> Response {
    answered(room, Here::Costume, move |room| asking(room, &card, None)).await
}

fn asking(room: &Room, (key, id, code): &Card, why: Option<&Trouble>) -> Result<Response, Trouble> {
    let costume = room.costume(key)?;
    let body = html! {
        (super::opened::ways(key, &costume.name, "/p"))
        h1 { "Swatch " (code) " from a photograph" }
        @if let Some(why) = why { (frame::trouble(why)) }
        (way(key, id, code))
        p { a href={ "/c/" (key) "/p/" (id) } { "Leave it" } }
    };
    let status = why.map_or(axum::http::StatusCode::OK, frame::status);
    Ok((status, framed("The swatch from a photograph", Here::Costume, &body)).into_response())
}

/// `POST /c/{costume}/p/{piece}/swatch/{code}/photo`.
pub(super) async fn send(State(room): In, Path(card): Path<Card>, form: Multipart) -> Response {
    let (key, id, code) = &card;
    let laid = laid(&room, form, &format!("/c/{key}/p/{id}/swatch/{code}/photo")).await;
    answered(room, Here::Costume, move |room| match &laid {
        Ok(to) => Ok(Redirect::to(to).into_response()),
        Err(why) => asking(room, &card, Some(why)),
    })
    .await
}

/// `/c/{costume}/p/{piece}/swatch/{code}/photo/{number}`.
pub(super) async fn page(
    State(room): In,
    Path((key, id, code, number)): Path<(String, String, String, u64)>,
    Query(fields): Query<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let photo = room.tray.numbered(number)?;
        let asked = Asked::of(&fields);
        let opened = Opened::with_card(room, &key, &code)?;
        let looked = Looked::at(room, &photo, &asked, Some(&opened.book(room)));
        let here = format!("/c/{key}/p/{id}/swatch/{code}/photo/{number}");
        let mut response = opened.page_by_itself("The swatch from a photograph", "/p", |plan| {
            let (piece, sheet) = carded(plan, &id, &code)?;
            Ok(html! {
                h1 { (piece.name) ": swatch " (code) " from a photograph" }
                (looked.part(room, number, &here, &asked)?)
                @if let Some((read, colour)) = looked.colour() {
                    (reading(&read, &colour, Some(&piece.target)))
                    (recording(room, &opened, &key, (piece, sheet), &photo, (&colour, &asked.light)))
                }
                details.after id="another" { summary { "Send another photograph" } (way(&key, &id, &code)) }
                p { a href={ "/c/" (key) "/p/" (id) } { "Leave it: nothing is recorded" } }
                script type="module" src="/picking.js" {}
            })
        })?;
        if response.status() == axum::http::StatusCode::OK {
            *response.status_mut() = looked.status();
        }
        Ok(response)
    })
    .await
}

/// The card of a code, with its piece.
pub(super) fn carded<'p>(
    plan: &'p Plan,
    id: &str,
    code: &str,
) -> Result<(&'p PiecePlan, &'p Sheet), Trouble> {
    let piece = plan.pieces.iter().find(|piece| piece.id == id);
    let sheet = piece.and_then(|p| p.sheets.iter().find(|s| s.code.as_deref() == Some(code)));
    piece.zip(sheet).ok_or_else(|| Trouble::Refused {
        says: format!("there is no card {code} in the plan as it is now"),
        hint: "look at the piece again: its recipe may have changed since".to_owned(),
    })
}

/// The card with the reading filled in; sent, it is recorded.
fn recording(
    room: &Room,
    opened: &Opened,
    key: &str,
    (piece, sheet): (&PiecePlan, &Sheet),
    photo: &PhotoLaid,
    (colour, light): (&ColourRead, &str),
) -> Markup {
    let today = opened.look.plan().map(|plan| plan.costume.today.clone()).unwrap_or_default();
    let mut typed = swatch::filled(room, opened, sheet, &today);
    let [l, a, b] = colour.lab;
    typed.colour = format!("{l} {a} {b}");
    typed.spread = colour.spread_rms.to_string();
    "photograph".clone_into(&mut typed.by);
    light.clone_into(&mut typed.light);
    typed.job.clone_from(&photo.job);
    html! {
        section aria-labelledby="record" {
            h2 id="record" { "Record it" }
            p { "The reading is filled in. Look at what was really dosed and at the state of the cloth, then record it: the recipe learns from it." }
            (swatch::form(key, &piece.id, sheet, &typed, Some((photo.number, photo.bytes))))
        }
    }
}

/// `/photo/{number}/shown`.
pub(super) async fn image(State(room): In, Path(number): Path<u64>) -> Response {
    answered(room, Here::Start, move |room| {
        shown_bytes(room, &room.tray.numbered(number)?.path, false)
    })
    .await
}
