//! What the chosen recipe should give: under each light, its spread, the verdict, the reflectance.

use maud::{Markup, html};
use plan::document::{Expected, LightSeen};

use crate::chip::{Chip, Standing, bare, fan};
use crate::curve;
use crate::number::{apart, lab};
use crate::table::table;

/// Everything about the expected colour; `id` is the piece's.
pub(crate) fn expected(id: &str, expected: &Expected) -> Markup {
    let middle = Chip::seen("Expected", &expected.colour, Standing::Estimate);
    let edges: Vec<Chip> = expected
        .edges
        .iter()
        .map(|e| Chip::seen(leaning(expected.colour.lab, e.lab), e, Standing::Estimate))
        .collect();
    html! {
        p.verdict { b { (expected.verdict) } " Judged for: " (expected.viewing) "." }
        dl.facts {
            div { dt { "Expected" } dd { (lab(expected.colour.lab)) ", " (expected.colour.from) } }
            div.screen-only { dt { "Spread of the recipe" } dd {
                "9 in 10 within " (apart(expected.recipe_spread90)) " of the expected colour" } }
            div.screen-only { dt { "Spread of the dyed piece" } dd {
                "9 in 10 within " (apart(expected.piece_spread90)) ", with weighing and dyeing added" } }
        }
        h4 { "Under each light" }
        p.screen-only { "Target on the left, " span.given { "as given" } "; expected on the right, " span.estimate { "estimate" } ". Each light's white is taken as white; the number is the difference." }
        div.lights { @for light in &expected.lights { (under(light)) } }
        div.screen-only { (figures(&expected.lights)) }
        @if !expected.places.is_empty() {
            ul.places { @for seen in &expected.places { li {
                b { (seen.place) } ": " (apart(seen.difference))
                @if seen.lights.len() > 1 {
                    ", the worst of " (seen.lights.join(", ")) " (" (seen.worst) ")"
                }
            } } }
        }
        @if !expected.metamerism.is_empty() {
            ul.screen-only { @for line in &expected.metamerism { li { (line) } } }
        }
        div.two {
            @if !edges.is_empty() {
                div {
                    h4 { "What it might look like" }
                    p { "The piece may come out anywhere between these." }
                    (fan(&middle, &edges))
                }
            }
            @if !expected.spectrum.is_empty() {
                div.screen-only {
                    h4 { "Reflectance" }
                    (curve::reflectance(id, &expected.spectrum))
                }
            }
        }
    }
}

/// Which way an edge leans from the middle: the way in which it is furthest from it.
fn leaning(middle: [f64; 3], edge: [f64; 3]) -> &'static str {
    const WAYS: [[&str; 2]; 3] =
        [["Darker", "Lighter"], ["Greener", "Redder"], ["Bluer", "Yellower"]];
    let off = [0, 1, 2].map(|i| edge[i] - middle[i]);
    let far = |i: &usize| off[*i].abs();
    let at = (0..3).max_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(0);
    WAYS[at][usize::from(off[at] > 0.0)]
}

fn under(light: &LightSeen) -> Markup {
    html! {
        div.light {
            p { b { (light.light) } span.screen-only { ": " (light.words) ". Difference" } " " b { (apart(light.difference)) }
                @if let Some(glow) = light.glow { ", glow " (apart(glow)) } }
            (bare(&[
                Chip::of("Target", &light.target_hex, lab(light.target_lab), Standing::Given),
                Chip::of("Expected", &light.hex, lab(light.lab), Standing::Estimate),
            ]))
        }
    }
}

fn figures(lights: &[LightSeen]) -> Markup {
    let rows: Vec<Vec<Markup>> = lights
        .iter()
        .map(|light| {
            vec![
                html! { (light.light) },
                html! { (lab(light.target_lab)) },
                html! { span.estimate { (lab(light.lab)) } },
                html! { (apart(light.difference)) },
            ]
        })
        .collect();
    let heads = ["Light", "Target", "Expected (estimate)", "Difference"];
    table("figures", "The same in figures, CIELAB", &heads, &rows)
}

#[cfg(test)]
mod tests {
    use super::leaning;

    #[test]
    fn an_edge_is_named_by_the_way_it_leans() {
        let middle = [50.0, 0.0, 0.0];
        for (edge, wanted) in [
            ([55.0, 1.0, -2.0], "Lighter"),
            ([45.0, 1.0, -2.0], "Darker"),
            ([51.0, 4.0, -2.0], "Redder"),
            ([51.0, -4.0, -2.0], "Greener"),
            ([51.0, 1.0, -5.0], "Bluer"),
            ([51.0, 1.0, 5.0], "Yellower"),
        ] {
            assert_eq!(leaning(middle, edge), wanted);
        }
    }
}
