//! What lies beside the cloth in a photograph: a bought chart, one's own, dyed cloths, or a white; asked for step by step.
//!
//! Everything said stands in the address, so that a reload finds it again. Files and photographs are named by what was
//! found and by number, and only compared. Left out: the place of the cloth itself, and what is read.

use std::collections::BTreeMap;
use std::path::Path;

use maud::{Markup, html};
use workroom::{ChartSeen, PhotoBeside, Trouble, ValuesFound, values_in, whites_known};

use super::picking::{self, Draws};
use super::room::Room;

type Fields = BTreeMap<String, String>;

/// The kinds of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum By {
    /// The classic chart of 24.
    #[default]
    Chart,
    /// A chart of the maker's own, or a card printed at home.
    Own,
    /// Dyed cloths of known colour.
    Cloths,
    /// One white.
    White,
}

const KINDS: [(By, &str, &str); 4] = [
    (By::Chart, "chart", "A bought chart of 24 patches, six in a row"),
    (By::Own, "own", "A chart of my own, or a card printed at home"),
    (By::Cloths, "cloths", "My own dyed cloths, eight or more whose colours are known"),
    (By::White, "white", "Only a white that I know: weak"),
];

const LAMPS: [(&str, &str); 6] = [
    ("", "not known (a chart tells it; beside a white the reading is wider)"),
    ("daylight", "daylight"),
    ("led", "a white LED lamp"),
    ("tungsten", "a filament or halogen lamp"),
    ("tube", "an old fluorescent tube"),
    ("three-band", "an energy-saving lamp or three-band tube"),
];

/// The word for a white whose colour was measured.
const MEASURED: &str = "measured";

/// The numbers of the white's place.
const WHITE: [&str; 4] = ["wx", "wy", "ww", "wh"];

/// What lies beside the cloth, as it was asked.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Beside {
    pub(super) by: By,
    /// The file of values, by the name it was found under.
    values: String,
    across: String,
    pub(super) corners: String,
    codes: String,
    at: String,
    white: [String; 4],
    white_is: String,
    white_lab: String,
    lamp: String,
    /// The number of a photograph of white paper.
    paper: String,
    linear: bool,
    /// The step gone back to.
    step: String,
}

/// What is asked next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// Which chart.
    Choose,
    /// Where the chart's corners are.
    Corners,
    /// Which cloths, and where they lie.
    Cloths,
    /// Where the white is, and what.
    White,
    /// Where the cloth is: all else is said.
    Cloth,
}

impl Beside {
    pub(super) fn of(fields: &Fields) -> Self {
        let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
        let by = KINDS.iter().find(|(_, word, _)| *word == field("by"));
        Self {
            by: by.map_or(By::Chart, |(by, ..)| *by),
            values: field("values"),
            across: field("across"),
            corners: field("corners"),
            codes: field("codes"),
            at: field("at"),
            white: WHITE.map(field),
            white_is: field("white_is"),
            white_lab: field("white_lab"),
            lamp: field("lamp"),
            paper: field("paper"),
            linear: field("from") == "linear",
            step: field("step"),
        }
    }

    /// What stands in an address or a form to lead here again, but for the fields a form has itself.
    pub(super) fn pairs(&self, but: &[&str]) -> Vec<(&'static str, String)> {
        let word = KINDS.iter().find(|(by, ..)| *by == self.by).map_or("", |(_, word, _)| word);
        let by = if self.by == By::Chart { "" } else { word };
        let mut all = vec![
            ("by", by.to_owned()),
            ("values", self.values.clone()),
            ("across", self.across.clone()),
            ("corners", self.corners.clone()),
            ("codes", self.codes.clone()),
            ("at", self.at.clone()),
            ("white_is", self.white_is.clone()),
            ("white_lab", self.white_lab.clone()),
            ("lamp", self.lamp.clone()),
            ("paper", self.paper.clone()),
            ("from", if self.linear { "linear" } else { "" }.to_owned()),
        ];
        all.extend(WHITE.into_iter().zip(self.white.iter().cloned()));
        all.retain(|(name, value)| !value.is_empty() && !but.contains(name));
        all
    }

    /// The same with a photograph of white paper.
    pub(super) fn with_paper(self, number: u64) -> Self {
        Self { paper: number.to_string(), ..self }
    }

    pub(super) fn has_paper(&self) -> bool {
        !self.paper.is_empty()
    }

    fn white_at(&self) -> String {
        if self.white.iter().all(String::is_empty) { String::new() } else { self.white.join(",") }
    }

    /// What is asked next.
    pub(super) fn step(&self) -> Step {
        let cloths_said = !self.values.is_empty() || !self.codes.is_empty();
        match self.by {
            By::Own if self.values.is_empty() => Step::Choose,
            By::Chart | By::Own if self.step == "corners" => Step::Corners,
            By::Cloths
                if self.step == "cloths"
                    || !cloths_said
                    || (self.corners.is_empty() && self.at.is_empty()) =>
            {
                Step::Cloths
            }
            By::White
                if self.step == "white"
                    || self.white_at().is_empty()
                    || self.white_is.is_empty() =>
            {
                Step::White
            }
            _ => Step::Cloth,
        }
    }

    /// Files and photographs found by what was said.
    pub(super) fn found(&self, room: &Room, book: Option<&Path>) -> Result<PhotoBeside, Trouble> {
        let values = match self.by {
            By::Own | By::Cloths if !self.values.is_empty() => {
                Some(values_called(room, &self.values)?)
            }
            _ => None,
        };
        let path = values.map(|one| one.path);
        let cloths = self.by == By::Cloths;
        let paper = match self.paper.parse() {
            Ok(number) => Some(room.tray.numbered(number)?.path),
            Err(_) => None,
        };
        let only = |when: bool, given: &str| if when { given.to_owned() } else { String::new() };
        let white = self.by == By::White;
        let codes = self.codes.split([',', ' ']).map(str::trim).filter(|code| !code.is_empty());
        let places = self.at.lines().map(str::trim).filter(|place| !place.is_empty());
        let is = if self.white_is == MEASURED { &self.white_lab } else { &self.white_is };
        Ok(PhotoBeside {
            chart: path.clone().filter(|_| !cloths),
            across: only(self.by == By::Own || cloths, &self.across),
            corners: only(!white, &self.corners),
            swatches: if cloths && path.is_none() {
                codes.map(str::to_owned).collect()
            } else {
                vec![]
            },
            cloths: path.filter(|_| cloths),
            at: if cloths { places.map(str::to_owned).collect() } else { vec![] },
            white_at: only(white, &self.white_at()),
            white_is: only(white, is),
            lamp: self.lamp.clone(),
            paper: paper.filter(|_| !white),
            linear: self.linear,
            book: book.filter(|_| cloths).map(Path::to_path_buf),
        })
    }

    /// In a few words, for whoever looks whether it is right.
    pub(super) fn words(&self) -> String {
        match self.by {
            By::Chart => "a bought chart of 24 patches".to_owned(),
            By::Own if self.values.is_empty() => "a chart of your own".to_owned(),
            By::Own => format!("the chart in {}", self.values),
            By::Cloths => "your own dyed cloths".to_owned(),
            By::White => "one white".to_owned(),
        }
    }

    /// The form that says what lies there; `more` stays in the address.
    pub(super) fn choice(
        &self,
        here: &str,
        more: &[(&str, String)],
        room: &Room,
    ) -> Result<Markup, Trouble> {
        let found = values_in(room.folder())?;
        Ok(html! {
            form.question method="get" action=(here) {
                (hidden(more))
                @if !self.paper.is_empty() { input type="hidden" name="paper" value=(self.paper); }
                fieldset {
                    legend { "What lies beside the cloth" }
                    @for (by, word, words) in KINDS {
                        label.check { input type="radio" name="by" value=(word) checked[by == self.by]; span { (words) } }
                    }
                }
                @if !found.is_empty() { (values_field(&found, &self.values, "The chart, where it is your own", "own-values")) }
                div.field {
                    label for="from" { "How the picture comes" }
                    select id="from" name="from" {
                        option value="" { "as a camera or phone saves it (usual)" }
                        option value="linear" selected[self.linear] { "developed without a tone curve" }
                    }
                }
                button type="submit" { "Go on with this" }
            }
            p { a href="/charts" { "Charts and cards of your own" } ": take in the values of a chart, or print a card and read it once." }
        })
    }

    /// The picture to touch the chart's corners on.
    pub(super) fn corners_form(&self, photo: &Photo<'_>, more: &[(&str, String)]) -> Markup {
        html! {
            h2 { "Where are the chart’s corners?" }
            p { "Touch the outer corners of its four corner patches, one after another around it: begin at the first patch, go along its row." }
            form.picking method="get" action=(photo.here) {
                (hidden(more)) (hidden(&self.pairs(&["corners", "across"])))
                (photo.pointed("corners", Draws::Corners("corners"), &html! {}))
                (text_field("corners", "The four corners, in pixels", &self.corners, "As 100,80 420,90 415,300 95,290; empty: the chart is looked for."))
                @if self.by == By::Own { (text_field("across", "Patches in a row", &self.across, "Where the file does not say it.")) }
                button type="submit" { "Take these corners" }
            }
        }
    }

    /// Which cloths, and where.
    pub(super) fn cloths_form(
        &self,
        photo: &Photo<'_>,
        more: &[(&str, String)],
        room: &Room,
    ) -> Result<Markup, Trouble> {
        let found = values_in(room.folder())?;
        Ok(html! {
            h2 { "Which cloths, and where do they lie?" }
            form.picking method="get" action=(photo.here) {
                (hidden(more)) (hidden(&self.pairs(&["values", "codes", "across", "corners", "at"])))
                div.question {
                    @if !found.is_empty() { (values_field(&found, &self.values, "The file with their colours", "cloth-values")) }
                    (text_field("codes", "Or their codes in the swatch book", &self.codes, "In the order in which they lie, as S-1, S-2, S-3; eight at least, each read before."))
                }
                fieldset {
                    legend { "How they lie" }
                    label.check { input type="radio" name="laid" value="rows" checked[self.at.is_empty()]; span { "in rows: I touch the four outer corners of them all, the first cloth’s first, then along its row" } }
                    label.check { input type="radio" name="laid" value="singly" checked[!self.at.is_empty()]; span { "anyhow: I draw a frame in each, in their order" } }
                }
                (photo.pointed("cloths", Draws::CornersOrFrames("corners", "at"), &html! {}))
                div.question {
                    (text_field("across", "Cloths in a row", &self.across, "Where they lie in rows."))
                    (text_field("corners", "The four outer corners, in pixels", &self.corners, "As 100,80 420,90 415,300 95,290."))
                    div.field {
                        label for="at" { "The place of each, one in a line" }
                        textarea.few id="at" name="at" rows="4" aria-describedby="at-how" { (self.at) }
                        p.how id="at-how" { "Left, top, width, height, as 120,80,60,60; only where they lie in no rows." }
                    }
                }
                button type="submit" { "Go on to the cloth" }
            }
        })
    }

    /// Where the white is, and what white it is.
    pub(super) fn white_form(&self, photo: &Photo<'_>, more: &[(&str, String)]) -> Markup {
        let labels = ["From the left", "From the top", "Width", "Height"];
        html! {
            h2 { "Where is the white, and what is it?" }
            p { "Draw a frame on it. It must be without brightener (printing paper, shirts and bed linen are not), dry, thick enough that nothing shines through, and lie against the cloth." }
            form.picking method="get" action=(photo.here) {
                (hidden(more)) (hidden(&self.pairs(&["wx", "wy", "ww", "wh", "white_is", "white_lab", "lamp"])))
                (photo.pointed("white", Draws::Frame(WHITE), &html! {}))
                fieldset {
                    legend { "The white, in pixels from the upper left" }
                    div.four { @for ((name, label), typed) in WHITE.iter().zip(labels).zip(&self.white) {
                        div.field { label for={ "white-" (name) } { (label) }
                            input id={ "white-" (name) } name=(name) value=(typed) required inputmode="decimal" autocomplete="off"; }
                    } }
                }
                div.question {
                    div.field {
                        label for="white_is" { "What white it is" }
                        select id="white_is" name="white_is" required aria-describedby="white-is-how" {
                            option value="" { "choose one" }
                            @for (word, is) in whites_known() { option value=(word) selected[word == self.white_is] { (is) } }
                            option value=(MEASURED) selected[self.white_is == MEASURED] { "one whose colour was measured" }
                        }
                        p.how id="white-is-how" { "Taken as such a white usually is; a measured one is surer." }
                    }
                    (text_field("white_lab", "Its colour, where it was measured", &self.white_lab, "L* a* b* for daylight, as 96 0 1.5."))
                    (self.lamp_field())
                }
                button type="submit" { "Go on to the cloth" }
            }
        }
    }

    /// The kind of light.
    pub(super) fn lamp_field(&self) -> Markup {
        html! {
            div.field {
                label for="lamp" { "The kind of light" }
                select id="lamp" name="lamp" { @for (word, words) in LAMPS { option value=(word) selected[word == self.lamp] { (words) } } }
            }
        }
    }

    /// What was pointed out already, as marks on the picture: the chart found, the corners touched, the white.
    pub(super) fn marks(&self, chart: Option<&ChartSeen>, [width, height]: [usize; 2]) -> Markup {
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let (wide, high) = (width.max(1) as f64, height.max(1) as f64);
        let mut marks: Vec<([f64; 2], &str)> = vec![];
        if let Some(chart) = chart {
            marks.extend(chart.place.iter().map(|p| (*p, "+")));
        }
        let white: Vec<f64> = self.white.iter().filter_map(|n| n.parse().ok()).collect();
        if let (By::White, &[x, y, w, h]) = (self.by, &white[..]) {
            marks.push(([x + w / 2.0, y + h / 2.0], "white"));
        }
        html! {
            @for ([x, y], word) in marks {
                span.spot.corner aria-hidden="true" style={ "left:" (format!("{:.2}", 100.0 * x / wide)) "%;top:" (format!("{:.2}", 100.0 * y / high)) "%" } { (word) }
            }
        }
    }
}

/// A photograph on a page.
pub(super) struct Photo<'a> {
    /// Its number in the tray.
    pub(super) number: u64,
    /// The page.
    pub(super) here: &'a str,
    /// Pixels across and down.
    pub(super) size: [usize; 2],
}

impl Photo<'_> {
    /// The photograph to point at.
    pub(super) fn pointed(&self, fills: &str, draws: Draws, more: &Markup) -> Markup {
        let image = format!("/photo/{}/shown", self.number);
        picking::pointed(
            &image,
            "The photograph that was sent",
            self.size,
            fills,
            draws,
            None,
            more,
        )
    }
}

/// The file of values of this name, compared with those found.
pub(super) fn values_called(room: &Room, name: &str) -> Result<ValuesFound, Trouble> {
    values_in(room.folder())?.into_iter().find(|one| one.file == name).ok_or_else(|| {
        Trouble::Refused {
            says: format!("there is no file of values \"{name}\" in this folder"),
            hint: "choose one of those that are offered".to_owned(),
        }
    })
}

fn values_field(found: &[ValuesFound], now: &str, label: &str, id: &str) -> Markup {
    html! {
        div.field {
            label for=(id) { (label) }
            select id=(id) name="values" {
                option value="" { "none of these" }
                @for one in found { option value=(one.file) selected[one.file == now] {
                    (one.file) " (" (one.patches) @if one.printed { " patches, printed at home" } @else { " values" } ")" } }
            }
        }
    }
}

pub(super) fn text_field(name: &str, label: &str, value: &str, hint: &str) -> Markup {
    html! {
        div.field {
            label for=(name) { (label) }
            input id=(name) name=(name) value=(value) autocomplete="off" aria-describedby={ (name) "-how" };
            p.how id={ (name) "-how" } { (hint) }
        }
    }
}

/// What a form sends along unseen.
pub(super) fn hidden(pairs: &[(&str, String)]) -> Markup {
    html! { @for (name, value) in pairs { input type="hidden" name=(name) value=(value); } }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beside(of: &[(&str, &str)]) -> Beside {
        Beside::of(&of.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect())
    }

    #[test]
    fn each_kind_asks_what_it_needs_before_the_cloth() {
        for (of, step) in [
            (&[][..], Step::Cloth),
            (&[("by", "nonsense")], Step::Cloth),
            (&[("step", "corners")], Step::Corners),
            (&[("by", "own")], Step::Choose),
            (&[("by", "own"), ("values", "a.txt")], Step::Cloth),
            (&[("by", "cloths")], Step::Cloths),
            (&[("by", "cloths"), ("codes", "A B")], Step::Cloths),
            (&[("by", "cloths"), ("codes", "A B"), ("corners", "1,2")], Step::Cloth),
            (&[("by", "cloths"), ("values", "a.txt"), ("at", "1,2,3,4")], Step::Cloth),
            (&[("by", "white")], Step::White),
            (&[("by", "white"), ("wx", "1")], Step::White),
            (&[("by", "white"), ("wx", "1"), ("white_is", "ptfe")], Step::Cloth),
        ] {
            assert_eq!(beside(of).step(), step, "{of:?}");
        }
    }

    #[test]
    fn what_was_said_comes_back_out_of_its_own_address() {
        let all = [
            ("by", "white"),
            ("wx", "1"),
            ("wy", "2"),
            ("ww", "3"),
            ("wh", "4"),
            ("white_is", "ptfe"),
            ("lamp", "led"),
            ("from", "linear"),
        ];
        let it = beside(&all);
        let fields: Fields = it.pairs(&[]).into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
        assert_eq!(Beside::of(&fields), it);
        assert!(!it.pairs(&["lamp"]).iter().any(|(name, _)| *name == "lamp"));
    }
}
