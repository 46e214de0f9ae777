//! Chips: colours on the grey mount, edge to edge where they are compared, never without their words.

use maud::{Markup, html};
use plan::document::ColourSeen;

use crate::number::lab;

/// What a chip's colour rests on; it shows in the chip's foot and in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// As the maker gave or read it: a plain foot.
    Given,
    /// Reckoned: a dashed foot.
    Estimate,
}

impl Standing {
    const fn class(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Estimate => "estimate",
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Given => "as given",
            Self::Estimate => "estimate",
        }
    }
}

/// One chip of a row: its colour, the head over it, its words.
#[derive(Debug, Clone)]
pub(crate) struct Chip {
    hex: String,
    head: &'static str,
    words: String,
    figures: String,
    standing: Standing,
    beyond_screen: bool,
    surface: Option<&'static str>,
}

/// Surfaces that are drawn, by the names of their styles.
const SURFACES: &[&str] = &["pile", "satin", "sheer"];

/// What is said where a screen falls short.
const BEYOND: &str = "a screen cannot show this colour; the chip is the nearest it can";

impl Chip {
    /// A colour of the document.
    pub(crate) fn seen(head: &'static str, colour: &ColourSeen, standing: Standing) -> Self {
        Self {
            hex: colour.hex.clone(),
            head,
            words: colour.words.clone(),
            figures: lab(colour.lab),
            standing,
            beyond_screen: !colour.screen_shows,
            surface: None,
        }
    }

    /// A colour for the screen; its words are for listeners, the page has them in a table.
    pub(crate) fn of(head: &'static str, hex: &str, words: String, standing: Standing) -> Self {
        Self {
            hex: hex.to_owned(),
            head,
            words,
            figures: String::new(),
            standing,
            beyond_screen: false,
            surface: None,
        }
    }

    /// The same, its lower part drawn as a surface that is not flat; a word that is no surface draws nothing.
    pub(crate) fn drawn_as(mut self, surface: Option<&str>) -> Self {
        self.surface = SURFACES.iter().find(|known| Some(**known) == surface).copied();
        self
    }

    /// All a listener is told: head, words, standing, and the screen's limit.
    fn spoken(&self) -> String {
        let beyond = if self.beyond_screen { format!("; {BEYOND}") } else { String::new() };
        let drawn =
            self.surface.map_or_else(String::new, |s| format!("; its lower part is drawn as {s}"));
        format!("{}, {}: {}{beyond}{drawn}", self.head, self.standing.word(), self.words)
    }

    fn swatch(&self) -> Markup {
        html! {
            span class={ "chip " (self.standing.class()) @if let Some(surface) = self.surface { " " (surface) } } role="img" aria-label=(self.spoken())
                style=[style(&self.hex)] {}
        }
    }
}

/// Chips side by side, touching, on the mount, each with its head and words beneath.
pub(crate) fn row(chips: &[Chip]) -> Markup {
    html! {
        div.mount {
            div.chips { @for chip in chips { (chip.swatch()) } }
            ul.under aria-hidden="true" {
                @for chip in chips {
                    li {
                        b { (chip.head) } " "
                        span class=(chip.standing.class()) { (chip.standing.word()) }
                        br; (chip.words)
                        @if chip.beyond_screen { br; (BEYOND) "." }
                    }
                }
            }
        }
    }
}

/// Chips and, touching them, the same cloth from near: stripes as wide as each fibre's share.
pub(crate) fn heather(chips: &[Chip], fibres: &[(&str, f64)], near: &str) -> Markup {
    html! {
        div.mount {
            div.chips {
                @for chip in chips { (chip.swatch()) }
                span.chip.estimate.stripes role="img" aria-label={ "From near, estimate: " (near) }
                    style=[stripes(fibres)] {}
            }
            ul.under aria-hidden="true" {
                @for chip in chips {
                    li { b { (chip.head) } " " span class=(chip.standing.class()) { (chip.standing.word()) } br; (chip.words) }
                }
                li { b { "From near" } " " span.estimate { "estimate" } br; (near) }
            }
        }
    }
}

/// A pattern of upright stripes, 6 px wide together; only of colours for the screen.
fn stripes(fibres: &[(&str, f64)]) -> Option<String> {
    let whole: f64 = fibres.iter().map(|(_, share)| share).sum();
    let mut at = 0.0;
    let mut stops = vec![];
    for (hex, share) in fibres {
        style(hex)?;
        let next = at + 6.0 * share / whole.max(1e-9);
        stops.push(format!("{hex} {at:.2}px {next:.2}px"));
        at = next;
    }
    fibres.first()?;
    Some(format!("background-image:repeating-linear-gradient(90deg,{})", stops.join(",")))
}

/// Chips at full size without words beneath, where the words stand over a whole group.
pub(crate) fn bare(chips: &[Chip]) -> Markup {
    html! { div.mount { div.chips { @for chip in chips { (chip.swatch()) } } } }
}

/// Small chips side by side without words beneath: for tables, whose cells hold the words.
pub(crate) fn pair(chips: &[Chip]) -> Markup {
    html! { div.mount.small { div.chips { @for chip in chips { (chip.swatch()) } } } }
}

/// The expected colour over the edges of what the piece might look like, all touching.
pub(crate) fn fan(middle: &Chip, edges: &[Chip]) -> Markup {
    html! {
        div.mount.fan {
            div.chips { (middle.swatch()) }
            div.chips { @for edge in edges { (edge.swatch()) } }
            p.under aria-hidden="true" {
                "Above: " (middle.words) " (" span.estimate { "estimate" } "). Below, the edges: "
                @for (at, edge) in edges.iter().enumerate() {
                    @if at > 0 { "; " }
                    b { (edge.head) } " " (edge.words) span.screen-only { " (" (edge.figures) ")" }
                }
                "."
            }
        }
    }
}

/// A style only for what is a colour for the screen: "#" and six hexadecimal digits.
#[must_use]
pub fn style(hex: &str) -> Option<String> {
    let digits = hex.strip_prefix('#')?;
    let sound = digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit());
    sound.then(|| format!("background-color:{hex}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_but_a_colour_gets_into_a_style() {
        assert_eq!(style("#1f4b4f").as_deref(), Some("background-color:#1f4b4f"));
        for bad in ["red", "#fff", "#12345g", "#123456;x:y", "", "#1234567"] {
            assert_eq!(style(bad), None, "{bad}");
        }
    }

    #[test]
    fn stripes_are_a_whole_gradient_in_the_shares_of_the_fibres() {
        let said = stripes(&[("#204348", 55.0), ("#284f54", 45.0)]);
        assert_eq!(
            said.as_deref(),
            Some(
                "background-image:repeating-linear-gradient(90deg,#204348 0.00px 3.30px,#284f54 3.30px 6.00px)"
            )
        );
        assert_eq!(stripes(&[("red", 1.0)]), None);
        assert_eq!(stripes(&[]), None);
    }

    #[test]
    fn a_surface_is_drawn_and_said_and_nothing_else_gets_into_a_class() {
        let chip = Chip::of("Target", "#1f4b4f", "deep green".to_owned(), Standing::Given);
        let page = pair(&[chip.clone().drawn_as(Some("pile"))]).into_string();
        assert!(
            page.contains("class=\"chip given pile\"") && page.contains("drawn as pile"),
            "{page}"
        );
        let page = pair(&[chip.drawn_as(Some("\" onload"))]).into_string();
        assert!(page.contains("class=\"chip given\""), "{page}");
    }

    #[test]
    fn a_chip_speaks_its_words() {
        let chip = Chip::of("Target", "#1f4b4f", "deep green, L* 32".to_owned(), Standing::Given);
        let page = pair(&[chip]).into_string();
        assert!(page.contains("aria-label=\"Target, as given: deep green, L* 32\""), "{page}");
    }
}
