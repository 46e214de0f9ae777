//! A finished costume as pages to keep: the reference picture, and of every piece its cloth, its swatches, the colour as
//! dyed beside the colour wanted, and what was dyed how.

use maud::{Markup, html};

use crate::chip::{Chip, Standing, row};
use crate::record::{RecordChip, RecordDyeing, dyeing};
use crate::{embedded, page};

const STYLE: &str = "
.finished figure img { display: block; max-width: 100%; max-height: 30rem; } .kept { break-inside: avoid-page; }
.kept .place { border: 2px dashed var(--rule); min-height: 5.5rem; padding: .5rem .8rem; margin: .6rem 0; max-width: 46rem; color: var(--quiet); }
.kept .dosed { max-width: 46rem; }
@media print { .finished > .kept + .kept { border-top: 1.5pt solid var(--ink); padding-top: 2mm; margin-top: 3mm; } .kept h2 { font-size: 12pt; margin: 0 0 1mm; }
  .kept .place { min-height: 26mm; margin: 1mm 0; } .finished figure { max-width: 90mm; } .finished figure figcaption { display: block; } .finished figure img { max-height: 110mm; }
  .kept h3 { font-size: 10pt; margin: 1mm 0 .5mm; border: 0; padding: 0; } }
";

/// A finished costume.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Finished {
    /// Its name.
    pub costume: String,
    /// What is said of it.
    pub note: Option<String>,
    /// What stands over its name: of which day, from which workbook.
    pub over: String,
    /// The reference picture: its name, and its bytes as PNG.
    pub picture: Option<(String, Vec<u8>)>,
    /// The pieces, in working order.
    pub pieces: Vec<FinishedPiece>,
}

/// A piece of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FinishedPiece {
    /// Its name.
    pub name: String,
    /// The colours to look at side by side: wanted, and as read.
    pub chips: Vec<RecordChip>,
    /// What and how much: a head and its words.
    pub facts: Vec<(String, String)>,
    /// What was thought of it.
    pub verdicts: Vec<String>,
    /// Its baths and the swatch it was made from.
    pub dyeings: Vec<RecordDyeing>,
    /// How to make it again, in sentences.
    pub again: Vec<String>,
    /// What is not on record.
    pub missing: Vec<String>,
}

/// The pages.
pub(crate) fn finished(of: &Finished) -> Markup {
    let title = format!("{}: finished", of.costume);
    let body = html! {
        header {
            p.over { (of.over) }
            h1 { (of.costume) }
            @if let Some(note) = &of.note { p.note { (note) } }
        }
        main.finished {
            @if let Some((name, png)) = &of.picture {
                section { figure { img src=(embedded::png(png)) alt={ "The reference picture, " (name) }; figcaption { "The reference: " (name) } } }
            }
            @for (at, piece) in of.pieces.iter().enumerate() { (kept(at, piece)) }
        }
        footer { p { "Colours are CIELAB for daylight D65 and the 10° observer; a screen or a printer shows them only nearly. Sew or \
            glue a snip of every cloth in its place: it says more than any figure." } }
    };
    page::with_pictures(&title, STYLE, &body)
}

fn kept(at: usize, piece: &FinishedPiece) -> Markup {
    let id = format!("kept-{}", at + 1);
    let chips: Vec<Chip> = piece
        .chips
        .iter()
        .map(|c| Chip::of(c.head, &c.hex, c.words.clone(), Standing::Given))
        .collect();
    html! {
        section.kept aria-labelledby=(id) {
            h2 id=(id) { (piece.name) }
            @if !chips.is_empty() { (row(&chips)) }
            dl.facts { @for (head, words) in &piece.facts { div { dt { (head) } dd { (words) } } } }
            p.place { "A snip of the dyed cloth, sewn or glued here" }
            @if !piece.verdicts.is_empty() { ul { @for line in &piece.verdicts { li { (line) } } } }
            @for one in &piece.dyeings { (dyeing(one)) }
            @if !piece.again.is_empty() { h3 { "To make it again" } ol { @for line in &piece.again { li { (line) } } } }
            @if !piece.missing.is_empty() { p.absent { (piece.missing.join(" ")) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_never_markup_and_what_is_missing_is_said() {
        let piece = FinishedPiece {
            name: "<b>coat</b>".to_owned(),
            missing: vec!["Nothing of it is on record.".to_owned()],
            ..FinishedPiece::default()
        };
        let of =
            Finished { costume: "A & B".to_owned(), pieces: vec![piece], ..Finished::default() };
        let page = finished(&of).into_string();
        assert!(page.contains("&lt;b&gt;coat&lt;/b&gt;") && page.contains("A &amp; B"), "{page}");
        assert!(page.contains("Nothing of it is on record."), "{page}");
    }
}
