//! A picture with its flat colours beside it: numbered where they stand, chips edge to edge on the grey mount.
//!
//! What is said of each colour comes from whoever read it ([`ColourBeside`]); here it is only laid out.

use maud::{Markup, html};

use crate::chip::style;
use crate::number::{apart, lab, with};
use crate::table::table;
use crate::{embedded, page};

/// The sheet's own style.
const STYLE: &str = ".art { display: grid; grid-template-columns: minmax(0, 1fr); gap: 1rem; align-items: start; }
.art svg { display: block; width: 100%; height: auto; max-height: 85vh; }
.art .picture, .strip { background: var(--mount); padding: clamp(.6rem, 2vw, 1.25rem); }
.strip { list-style: none; margin: 0; max-width: none; color: #000; }
.strip li { display: grid; grid-template-columns: 40% minmax(0, 1fr); margin: 0; }
.strip .chip { height: auto; min-height: 3.2rem; margin: 0; }
.strip .says { padding: .3rem 0 .3rem .7rem; align-self: center; line-height: 1.3; }
.dot { fill: #fff; stroke: #000; } .dot-number { text-anchor: middle; dominant-baseline: central; font-weight: 700; fill: #000; }
.both { display: flex; width: 9rem; } .both .chip { height: 2.6rem; } .mount.both { padding: .4rem; margin: 0; }
.flats td:nth-child(5) li { margin: 0; }
@media (min-width: 52rem) { .art { grid-template-columns: minmax(0, 3fr) minmax(16rem, 2fr); } }
@media print { .art { grid-template-columns: minmax(0, 1fr) 78mm; gap: 4mm; } .art svg { max-height: 150mm; }
  .strip li { break-inside: avoid; } .strip .chip { min-height: 9mm; } .strip .says { padding: .5mm 0 .5mm 2mm; font-size: 8.5pt; }
  .art .picture, .strip, .both { print-color-adjust: exact; -webkit-print-color-adjust: exact; padding: 2mm; }
  .both .chip { height: 6mm; } .flats td:nth-child(5) { width: 46%; } }
";

/// A picture and what was read off it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PictureBeside {
    /// What it is called.
    pub name: String,
    /// Pixels across and down.
    pub size: [usize; 2],
    /// It as a PNG file, small enough for a page; of the same shape.
    pub png: Vec<u8>,
    /// Largest first.
    pub colours: Vec<ColourBeside>,
    /// Other pictures of the same character.
    pub others: Vec<OtherBeside>,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

/// A colour of the picture.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ColourBeside {
    /// Its number.
    pub number: usize,
    /// For a screen, "#" and six hexadecimal digits.
    pub hex: String,
    /// In words.
    pub words: String,
    /// L*, a*, b* for D65 and the 2° observer.
    pub lab: [f64; 3],
    /// Share of the picture, percent.
    pub share_pct: f64,
    /// A pixel inside of it.
    pub at: [usize; 2],
    /// Its shades, for a screen, darkest first.
    pub shades: Vec<String>,
    /// Whether it is likely the ground.
    pub is_ground: bool,
    /// What is to be said of it, in sentences: what is open, what cloth can do.
    pub says: Vec<String>,
}

/// Another picture, held against it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OtherBeside {
    /// What it is called.
    pub name: String,
    /// Colours of both: the number here, for a screen here and there, and ΔE00 between them.
    pub pairs: Vec<(usize, String, String, f64)>,
    /// What only one of them has, in sentences.
    pub alone: Vec<String>,
}

/// The page.
pub(crate) fn colours(of: &PictureBeside) -> Markup {
    let title = format!("{}: its colours", of.name);
    let body = html! {
        header {
            p.over { "The colours of a picture, largest first" }
            h1 { (of.name) }
        }
        main.colours {
            section {
                div.art {
                    div.picture { (picture(of)) }
                    ol.strip { @for one in &of.colours { (chip(one)) } }
                }
            }
            section {
                h2 { "Each colour" }
                (each(of))
            }
            @for other in &of.others { section { (held(other)) } }
            @if !of.notes.is_empty() {
                section { h2 { "To bear in mind" } ul { @for note in &of.notes { li { (note) } } } }
            }
        }
        footer { p { "Numbers are CIELAB for daylight D65 and the 2° observer, as a screen shows a picture; a printer \
            shows them only nearly. Judge a dyed swatch in daylight, not beside the screen." } }
    };
    page::with_pictures(&title, STYLE, &body)
}

/// The picture, with each colour's number where it stands.
fn picture(of: &PictureBeside) -> Markup {
    let [width, height] = of.size.map(|side| side.max(1));
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let radius = (width.max(height) as f64 / 55.0).max(2.0);
    let about = format!("{}, with the numbers of its colours", of.name);
    html! {
        svg viewBox={ "0 0 " (width) " " (height) } role="img" aria-label=(about) {
            image href=(embedded::png(&of.png)) width=(width) height=(height) {}
            @for one in &of.colours {
                @let [x, y] = one.at;
                circle.dot cx=(x) cy=(y) r=(radius) stroke-width=(radius / 8.0) {}
                text.dot-number x=(x) y=(y) style={ "font-size:" (radius * 1.15) "px" } { (one.number) }
            }
        }
    }
}

fn chip(of: &ColourBeside) -> Markup {
    html! {
        li {
            span.chip role="img" aria-label={ "number " (of.number) ": " (of.words) } style=[style(&of.hex)] {}
            span.says { b { (of.number) } " " (of.words) br; (of.hex) @if of.is_ground { ", likely the ground" } }
        }
    }
}

fn each(of: &PictureBeside) -> Markup {
    let heads = ["Colour", "L* a* b*", "Share", "Shades", "To know"];
    let rows: Vec<Vec<Markup>> = of.colours.iter().map(row).collect();
    table("flats", "Every colour with its shades, and what is to be decided", &heads, &rows)
}

fn row(of: &ColourBeside) -> Vec<Markup> {
    vec![
        html! { (of.number) ", " (of.words) },
        html! { (lab(of.lab)) br; span.quiet { (of.hex) } },
        html! { (with(of.share_pct, "%")) },
        html! {
            @if of.shades.is_empty() { span.absent { "none" } } @else {
                div.mount.both { @for hex in &of.shades { span.chip role="img" aria-label=(hex) style=[style(hex)] {} } }
                span.quiet { (of.shades.join(", ")) }
            }
        },
        html! {
            @if of.says.is_empty() { span.absent { "nothing is open" } } @else {
                ul { @for line in &of.says { li { (line) } } }
            }
        },
    ]
}

fn held(of: &OtherBeside) -> Markup {
    let heads = ["Colour", "Here and there", "Apart (ΔE00)"];
    let one = |(number, here, there, away): &(usize, String, String, f64)| {
        vec![
            html! { (number) },
            html! {
                div.mount.both {
                    span.chip role="img" aria-label={ "here " (here) } style=[style(here)] {}
                    span.chip role="img" aria-label={ "there " (there) } style=[style(there)] {}
                }
                span.quiet { (here) ", " (there) }
            },
            html! { (apart(*away)) },
        ]
    };
    let rows: Vec<Vec<Markup>> = of.pairs.iter().map(one).collect();
    html! {
        h2 { "Held against " (of.name) }
        @if rows.is_empty() { p { "No colour of one is near to a colour of the other." } } @else {
            (table("held", "Colours of both pictures, each pair side by side", &heads, &rows))
        }
        @if !of.alone.is_empty() { ul { @for line in &of.alone { li { (line) } } } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sheet_asks_for_nothing_outside_and_says_every_colour() {
        let one = ColourBeside {
            number: 1,
            hex: "#2f6f5a".to_owned(),
            words: "deep green, L* 42".to_owned(),
            lab: [42.3, -27.1, 7.0],
            share_pct: 12.5,
            at: [40, 30],
            shades: vec!["#1e4c40".to_owned(), "red;x:y".to_owned()],
            is_ground: false,
            says: vec!["<b>open</b>".to_owned()],
        };
        let page = colours(&PictureBeside {
            name: "sheet <1>.png".to_owned(),
            size: [100, 80],
            png: vec![1, 2, 3],
            colours: vec![one],
            others: vec![OtherBeside {
                name: "other.png".to_owned(),
                pairs: vec![(1, "#2f6f5a".to_owned(), "#30705c".to_owned(), 0.52)],
                alone: vec!["#aa0000 is only there".to_owned()],
            }],
            notes: vec!["a note".to_owned()],
        })
        .into_string();
        for held in [
            "sheet &lt;1&gt;.png: its colours</title>",
            "img-src data:",
            "data:image/png;base64,AQID",
            "background-color:#1e4c40",
            "deep green, L* 42",
            "&lt;b&gt;open",
            "0.5",
            "only there",
            "a note",
        ] {
            assert!(page.contains(held), "{held}\n{page}");
        }
        assert!(!page.contains("style=\"red") && !page.contains("<script"), "{page}");
    }
}
