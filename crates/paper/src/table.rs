//! Tables: a caption, column heads with scope, the first cell of a row as its head.
//!
//! On a narrow screen the rows become blocks; the roles written out keep them a table for a screen
//! reader, and each cell carries its column's head as a label.

use maud::{Markup, html};

/// One table; `kind` is its class in the style sheet. Five columns and more are "wide".
pub(crate) fn table(kind: &str, caption: &str, heads: &[&str], rows: &[Vec<Markup>]) -> Markup {
    html! {
        table class={ "rows " (kind) @if heads.len() > 4 { " wide" } } role="table" {
            caption { (caption) }
            thead role="rowgroup" {
                tr role="row" {
                    @for head in heads { th scope="col" role="columnheader" { (head) } }
                }
            }
            tbody role="rowgroup" {
                @for row in rows {
                    tr role="row" {
                        @for (at, cell) in row.iter().enumerate() {
                            @let head = heads.get(at).copied().unwrap_or_default();
                            @if at == 0 {
                                th scope="row" role="rowheader" data-head=(head) { div { (cell) } }
                            } @else {
                                td role="cell" data-head=(head) { div { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A cell of plain words.
pub(crate) fn say(words: impl AsRef<str>) -> Markup {
    html! { (words.as_ref()) }
}

/// A cell of words, or of what stands for their absence.
pub(crate) fn say_or(words: Option<String>, absent: &str) -> Markup {
    match words {
        Some(words) => html! { (words) },
        None => html! { span.absent { (absent) } },
    }
}
