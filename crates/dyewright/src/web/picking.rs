//! A place pointed at on a picture: by pointer, by drawn frame, by arrow keys, by typed numbers, or (without scripts)
//! by a picture that is itself a button. The numbers are the truth; everything else fills them.

use std::collections::BTreeMap;

use maud::{Markup, html};
use paper::chip_style;
use workroom::{Coloured, FlatSeen, PickPlace, PickSeen, Trouble};

/// What an address or a form asks about a place.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Asked {
    /// Left, top, width, height, as typed.
    numbers: [String; 4],
    /// A suggested colour.
    flat: String,
    /// The piece whose cloth is asked.
    piece: String,
    /// Where a picture without scripts was touched, how wide it stood there, and how wide it is.
    touched: Option<[f64; 4]>,
}

/// Width at which a picture stands as a button where there are no scripts, CSS pixels: it fits the narrowest screen.
const AS_BUTTON: usize = 300;

/// The names of the numbers in forms, and what they are called.
const NUMBERS: [(&str, &str); 4] = [
    ("x", "From the left"),
    ("y", "From the top"),
    ("w", "Width of a frame"),
    ("h", "Height of a frame"),
];

impl Asked {
    /// What stands in an address or a form.
    pub(super) fn of(fields: &BTreeMap<String, String>) -> Self {
        let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
        let number =
            |name: &str| fields.get(name)?.trim().parse::<f64>().ok().filter(|n| n.is_finite());
        let touched =
            || Some([number("at.x")?, number("at.y")?, number("as_wide")?, number("wide")?]);
        Self {
            numbers: NUMBERS.map(|(name, _)| field(name)),
            flat: field("flat"),
            piece: field("piece"),
            touched: touched(),
        }
    }

    /// The place asked about; nothing where none is.
    pub(super) fn place(&self) -> Result<Option<PickPlace>, Trouble> {
        if let Some([x, y, as_wide, wide]) = self.touched {
            let whole = |n: f64| {
                let n = (n * wide / as_wide.max(1.0)).floor().clamp(0.0, 1e6);
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped"
                )]
                let n = n as usize;
                n
            };
            return Ok(Some(PickPlace::Point([whole(x), whole(y)])));
        }
        if !self.flat.is_empty() {
            return Ok(Some(PickPlace::Flat(whole_number(&self.flat, "number of a colour")?)));
        }
        let [x, y, w, h] = &self.numbers;
        if self.numbers.iter().all(String::is_empty) {
            return Ok(None);
        }
        let (x, y) =
            (whole_number(x, "distance from the left")?, whole_number(y, "distance from the top")?);
        if w.is_empty() && h.is_empty() {
            return Ok(Some(PickPlace::Point([x, y])));
        }
        Ok(Some(PickPlace::Frame([x, y, whole_number(w, "width")?, whole_number(h, "height")?])))
    }

    /// The piece whose cloth is asked.
    pub(super) fn piece(&self) -> Option<String> {
        Some(self.piece.clone()).filter(|p| !p.is_empty())
    }

    /// The fields that lead here again; with `piece` those of the piece too.
    pub(super) fn fields(&self, piece: bool) -> Vec<(&'static str, String)> {
        let mut all = match self.place() {
            Ok(Some(PickPlace::Flat(number))) => vec![("flat", number.to_string())],
            Ok(Some(PickPlace::Point([x, y]))) => vec![("x", x.to_string()), ("y", y.to_string())],
            Ok(Some(PickPlace::Frame(all))) => {
                NUMBERS.iter().zip(all).map(|((name, _), n)| (*name, n.to_string())).collect()
            }
            Ok(None) | Err(_) => vec![],
        };
        if piece && !self.piece.is_empty() {
            all.push(("piece", self.piece.clone()));
        }
        all
    }

    /// The address that leads here again.
    pub(super) fn address(&self, here: &str) -> String {
        let pairs: Vec<String> = self
            .fields(true)
            .iter()
            .map(|(name, value)| format!("{name}={}", super::words::escaped(value)))
            .collect();
        if pairs.is_empty() { here.to_owned() } else { format!("{here}?{}", pairs.join("&")) }
    }
}

fn whole_number(given: &str, what: &str) -> Result<usize, Trouble> {
    given.parse().map_err(|_| Trouble::Refused {
        says: match given.is_empty() {
            true => format!("the {what} was not given"),
            false => format!("\"{given}\" is no {what} in pixels"),
        },
        hint: "write whole numbers, from the picture's upper left; or point at the picture"
            .to_owned(),
    })
}

/// Where a piece's colour was picked: its name on the picture.
fn pick_mark(pick: &PickSeen, size: [usize; 2]) -> Markup {
    html! { span.spot.pick aria-hidden="true" style=(place_style(pick.at, size)) { (pick.name) } }
}

/// A place as a style: in hundredths of the picture, however large it stands.
fn place_style(at: [usize; 2], size: [usize; 2]) -> String {
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let [left, top] = [0, 1].map(|k| 100.0 * at[k] as f64 / size[k].max(1) as f64);
    format!("left:{left:.2}%;top:{top:.2}%")
}

/// The picture to point at, with its fields.
pub(super) fn form(
    here: &str,
    size: [usize; 2],
    asked: &Asked,
    flats: Option<&Coloured>,
    picks: &[PickSeen],
) -> Markup {
    let [width, height] = size;
    let image = format!("{here}/shown");
    html! {
        form.picking method="get" action=(here) {
            (pointed(&image, "The reference picture", size, "pick", Draws::AtOnce, flats, &html! { @for pick in picks { (pick_mark(pick, size)) } }))
            (numbers(asked, size))
            button type="submit" { "Take the colour there" }
        }
        noscript {
            form method="get" action=(here) {
                p { "Without scripts: touch the place on this picture, or write the numbers above." }
                input type="hidden" name="as_wide" value=(AS_BUTTON);
                input type="hidden" name="wide" value=(width);
                input.as-button type="image" name="at" src=(image) alt="The picture: touch the place whose colour you want" width=(AS_BUTTON) height=(AS_BUTTON * height / width.max(1));
            }
        }
    }
}

/// What is drawn on a picture, and the fields it fills.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Draws {
    /// A point that sends the form, or a frame.
    AtOnce,
    /// A frame: left, top, width, height.
    Frame([&'static str; 4]),
    /// Four points, one after another.
    Corners(&'static str),
    /// Four points, or one frame after another, as the form's choice says.
    CornersOrFrames(&'static str, &'static str),
}

impl Draws {
    /// Names of the fields that take a frame.
    fn names(self) -> Option<String> {
        match self {
            Self::AtOnce => Some(NUMBERS.map(|(name, _)| name).join(" ")),
            Self::Frame(names) => Some(names.join(" ")),
            Self::Corners(_) | Self::CornersOrFrames(..) => None,
        }
    }

    const fn points(self) -> Option<&'static str> {
        match self {
            Self::Corners(field) | Self::CornersOrFrames(field, _) => Some(field),
            Self::AtOnce | Self::Frame(_) => None,
        }
    }

    const fn frames(self) -> Option<&'static str> {
        match self {
            Self::CornersOrFrames(_, field) => Some(field),
            Self::AtOnce | Self::Frame(_) | Self::Corners(_) => None,
        }
    }

    /// How it is done, for whoever points and for whoever does not.
    const fn how(self) -> &'static str {
        match self {
            Self::AtOnce => {
                "Touch a point, or draw a frame. By keyboard: arrows move the crosshair (with Shift by one pixel), Space begins and \
                 ends a frame, Enter takes it."
            }
            Self::Frame(_) => {
                "Draw a frame on it. By keyboard: arrows move the crosshair (with Shift by one pixel), Space begins and ends a frame, \
                 Enter takes it."
            }
            Self::Corners(_) => {
                "Touch the four corners. By keyboard: arrows move the crosshair (with Shift by one pixel), Space takes a corner, Escape \
                 begins anew, Enter goes on."
            }
            Self::CornersOrFrames(..) => {
                "Touch the four corners, or draw a frame in each cloth. By keyboard: arrows move the crosshair (with Shift by one pixel), \
                 Space takes a corner, or begins and ends a frame; Escape takes the last back, Enter goes on."
            }
        }
    }
}

/// A picture on which a place is pointed at.
pub(super) fn pointed(
    image: &str,
    alt: &str,
    [width, height]: [usize; 2],
    fills: &str,
    draws: Draws,
    flats: Option<&Coloured>,
    more: &Markup,
) -> Markup {
    html! {
        div.point-at data-fills=(fills) data-width=(width) data-height=(height) data-at-once=[(draws == Draws::AtOnce).then_some("yes")]
            data-names=[draws.names()] data-points=[draws.points()] data-frames=[draws.frames()] {
            img src=(image) alt=(alt) width=(width) height=(height);
            @if let Some(found) = flats { @for flat in &found.flats { (mark(flat, [width, height])) } }
            (more)
        }
        p.how.needs-script id={ (fills) "-how" } hidden { (draws.how()) }
        p.how.needs-script id={ (fills) "-says" } role="status" hidden {}
    }
}

/// Where a suggested colour lies: its number on the picture.
fn mark(flat: &FlatSeen, size: [usize; 2]) -> Markup {
    html! { span.spot aria-hidden="true" style=(place_style(flat.at, size)) { (flat.number) } }
}

/// The numbers of a place.
fn numbers(asked: &Asked, [width, height]: [usize; 2]) -> Markup {
    let shown: BTreeMap<&str, String> = asked.fields(false).into_iter().collect();
    html! {
        fieldset {
            legend { "The place, in pixels from the upper left" }
            div.four { @for ((name, label), (typed, most)) in NUMBERS.iter().zip(asked.numbers.iter().zip([width, height, width, height])) {
                div.field {
                    label for={ "pick-" (name) } { (label) }
                    input id={ "pick-" (name) } name=(name) inputmode="numeric" autocomplete="off" value=(shown.get(name).unwrap_or(typed)) aria-describedby="pick-size";
                    @if *name == "x" { p.how id="pick-size" { "The picture is " (most) " across, " (height) " down." } }
                }
            } }
            p.how { "Width and height left empty: the colour at the point." }
        }
    }
}

/// One suggested colour, to be taken.
pub(super) fn suggestion(flat: &FlatSeen, here: &str, asked: &Asked) -> Markup {
    let name = flat.words.as_str();
    let [x, y] = flat.at;
    let now = asked.flat == flat.number.to_string();
    html! {
        li.tile {
            h3 { (flat.number) ": " (name.split(',').next().unwrap_or(name)) @if flat.ground { " (the ground?)" } }
            (chip(&[("As drawn", &flat.hex, name)]))
            p { (name) ", " (flat.hex) }
            p.quiet { (flat.share_pct) "\u{a0}% of the picture, at " (x) "," (y)
                @if !flat.shades.is_empty() { ", with its shades" } }
            @if flat.soft || !flat.shades.is_empty() {
                (chip(&[("Darkest", &flat.range[0], "its darkest"), ("Itself", &flat.hex, "itself"), ("Lightest", &flat.range[1], "its lightest")]))
            }
            @for question in &flat.questions { p { b { "Open: " } (question) } }
            @if !flat.cloth_can { p { "No cloth without glow can be so light and so strong a colour." } }
            form method="get" action=(here) {
                input type="hidden" name="flat" value=(flat.number);
                @if let Some(piece) = asked.piece() { input type="hidden" name="piece" value=(piece); }
                button.second type="submit" { @if now { "Taken: look at it above" } @else { "Take it" } span.unseen { ", number " (flat.number) } }
            }
        }
    }
}

/// Colours edge to edge on grey, each with its name for whoever does not see it.
pub(super) fn chip(all: &[(&str, &str, &str)]) -> Markup {
    html! {
        div.mount.small { div.chips { @for (head, hex, words) in all { @if let Some(style) = chip_style(hex) {
            span.chip.given role="img" aria-label={ (head) ": " (words) ", " (hex) } style=(style) {}
        } } } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(of: &[(&str, &str)]) -> Asked {
        Asked::of(&of.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect())
    }

    #[test]
    fn a_place_is_a_point_a_frame_a_colour_or_a_touch_and_nonsense_is_refused() {
        for (of, place) in [
            (&[][..], None),
            (&[("x", "3"), ("y", " 4")], Some(PickPlace::Point([3, 4]))),
            (
                &[("x", "3"), ("y", "4"), ("w", "5"), ("h", "6")],
                Some(PickPlace::Frame([3, 4, 5, 6])),
            ),
            (&[("flat", "2")], Some(PickPlace::Flat(2))),
            (
                &[("at.x", "150"), ("at.y", "75"), ("as_wide", "300"), ("wide", "600")],
                Some(PickPlace::Point([300, 150])),
            ),
            (
                &[("at.x", "1e300"), ("at.y", "-5"), ("as_wide", "0"), ("wide", "600")],
                Some(PickPlace::Point([1_000_000, 0])),
            ),
        ] {
            assert_eq!(asked(of).place().ok(), Some(place), "{of:?}");
        }
        for of in [
            &[("x", "3")][..],
            &[("x", "-1"), ("y", "2")],
            &[("x", "1"), ("y", "2"), ("w", "9")],
            &[("flat", "two")],
        ] {
            assert!(asked(of).place().is_err(), "{of:?}");
        }
        let here = asked(&[
            ("at.x", "150"),
            ("at.y", "75"),
            ("as_wide", "300"),
            ("wide", "600"),
            ("piece", "a b"),
        ]);
        assert_eq!(here.address("/p"), "/p?x=300&y=150&piece=a%20b");
    }
}
