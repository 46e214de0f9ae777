//! A picked colour: how it looks, what is open about it, whether a piece's cloth can be it, and who gets it; and what
//! the costume's other pictures say.

use std::collections::BTreeMap;
use std::path::Path;

use maud::{Markup, html};
use workroom::{
    Coloured, FlatSeen, PickFor, Picked, PictureFound, Trouble, cloths_known, pieces_as_written,
};

use super::picking::{Asked, chip};
use super::words::{apart, sentence};

/// What was typed into the form that makes a colour a target.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Typed {
    to: String,
    name: String,
    cloth: String,
    weight: String,
    pub(super) because: String,
    pub(super) anew: bool,
    pub(super) on_cloth_white: bool,
}

/// What stands in the list of pieces for one that is not there yet; no id is so written.
const NEW: &str = "+new";

impl Typed {
    pub(super) fn of(fields: &BTreeMap<String, String>) -> Self {
        let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
        Self {
            to: field("to"),
            name: field("name"),
            cloth: field("cloth"),
            weight: field("weight"),
            because: field("because"),
            anew: fields.contains_key("anew"),
            on_cloth_white: field("as") == "on-cloth-white",
        }
    }

    /// Who gets the colour.
    pub(super) fn to(&self) -> Result<PickFor, Trouble> {
        match self.to.as_str() {
            "" => Err(Trouble::Refused {
                says: "no piece was chosen".to_owned(),
                hint: "choose the piece that shall have this colour, or a new one".to_owned(),
            }),
            NEW => Ok(PickFor::New {
                name: self.name.clone(),
                cloth: self.cloth.clone(),
                weight: self.weight.clone(),
            }),
            id => Ok(PickFor::Piece(id.to_owned())),
        }
    }
}

/// The trouble of work that was done once, for each page that asks again.
pub(super) fn said_again(why: &Trouble) -> Trouble {
    match why {
        Trouble::Refused { says, hint } => {
            Trouble::Refused { says: says.clone(), hint: hint.clone() }
        }
        other => Trouble::Refused { says: other.to_string(), hint: "mend that first".to_owned() },
    }
}

/// The picked colour and what can be done with it.
#[expect(clippy::too_many_arguments, reason = "what a page knows of the place it stands at")]
pub(super) fn part(
    key: &str,
    here: &str,
    file: &Path,
    picked: &Picked,
    asked: &Asked,
    mark: &str,
    this: &PictureFound,
    all: &[PictureFound],
    typed: &Typed,
) -> Result<Markup, Trouble> {
    let Some(flat) = picked.colours.flats.first() else { return Ok(html! {}) };
    let pieces = pieces_as_written(file)?;
    let holds = all.iter().find(|one| one.holds);
    let hidden = |piece: bool| html! { @for (name, value) in asked.fields(piece) { input type="hidden" name=(name) value=(value); } };
    let chosen =
        if typed.to.is_empty() { asked.piece().unwrap_or_default() } else { typed.to.clone() };
    Ok(html! {
        section aria-labelledby="picked" {
            h2 id="picked" tabindex="-1" { "The colour picked" }
            (large(flat))
            p.verdict { (sentence(&flat.words)) }
            p { (flat.hex) ", picked " (picked.how) "." }
            @for question in &flat.questions { p { b { "Two readings are open. " } (question) " Point again where it is meant, or take it so." } }
            h3 { "Can cloth be this colour?" }
            @if flat.cloth_can { p { "Cloth can. Whether yours can, with the dyes you have, is asked for a piece." } }
            @else { p { b { "No cloth without glow can be so light and so strong a colour." } " The nearest there is will be aimed at." } }
            @if let Some(cloth) = &picked.colours.cloth { @for line in flat.says(Some(cloth)) { p { b { (sentence(&line)) } } } }
            @else if asked.piece().is_some() { p { "Its cloth is not known yet, so nothing can be said. Say what it is on the piece’s page." } }
            form.row method="get" action=(here) {
                (hidden(false))
                div.field { label for="ask-piece" { "Ask the cloth of" }
                    select id="ask-piece" name="piece" required { @for (id, piece) in &pieces {
                        option value=(id) selected[asked.piece().as_ref() == Some(id)] { (piece.name) ", " (piece.cloth) }
                    } } }
                button.second type="submit" { "Can it be reached?" }
            }
            h3 { "Who gets it" }
            form.question method="post" action={ (here) "/take" } {
                input type="hidden" name="since" value=(mark);
                (hidden(true))
                div.field {
                    label for="to" { "The piece" }
                    select id="to" name="to" required {
                        option value="" selected[chosen.is_empty()] { "Choose it" }
                        @for (id, piece) in &pieces { option value=(id) selected[*id == chosen] { (piece.name) } }
                        option value=(NEW) selected[chosen == NEW] { "A new piece" }
                    }
                }
                @if let Some(anchored) = &flat.anchored {
                    fieldset {
                        legend { "As what" }
                        label.check { input type="radio" name="as" value="drawn" checked[!typed.on_cloth_white]; span { "As drawn, " (flat.hex) } }
                        label.check { input type="radio" name="as" value="on-cloth-white" checked[typed.on_cloth_white];
                            span { "As it is beside this cloth’s white, " (anchored.hex) } }
                        (chip(&[("As drawn", &flat.hex, "as drawn"), ("Beside the cloth’s white", &anchored.hex, "beside the cloth’s white")]))
                    }
                }
                details open[chosen == NEW] {
                    summary { "If it is a new piece" }
                    div.question {
                        div.field { label for="new-name" { "What it is" } input id="new-name" name="name" value=(typed.name) autocomplete="off"; }
                        div.field { label for="new-cloth" { "The cloth" } input id="new-cloth" name="cloth" value=(typed.cloth) list="cloths" autocomplete="off" aria-describedby="new-cloth-how";
                            p.how id="new-cloth-how" { "Left empty: unknown." }
                            datalist id="cloths" { @for name in cloths_known() { option value=(name) {} } } }
                        div.field { label for="new-weight" { "Its weight, dry" } input id="new-weight" name="weight" value=(typed.weight) autocomplete="off" aria-describedby="new-weight-how";
                            p.how id="new-weight-how" { "As 250 g. Left empty: 100 g stand in until it is weighed." } }
                    }
                }
                @match holds {
                    Some(held) if held.number != this.number => {
                        div.field {
                            label for="because" { "Why from now on this picture and not " (held.name) }
                            input id="because" name="because" value=(typed.because) maxlength="200" autocomplete="off";
                        }
                        label.check { input type="checkbox" name="anew" checked[typed.anew]; span { "From now on this picture’s colours hold" } }
                    }
                    Some(_) => {}
                    None => div.field {
                        label for="because" { "Why this picture (kept in the costume’s file)" }
                        input id="because" name="because" value=(typed.because) maxlength="200" autocomplete="off";
                    }
                }
                button type="submit" { "Make it the piece’s colour" }
            }
            p { a href={ "/c/" (key) } { "Leave it: back to the costume" } }
        }
    })
}

/// The colour large, between the darkest and the lightest of its place where they differ.
fn large(flat: &FlatSeen) -> Markup {
    let runs = flat.soft || !flat.shades.is_empty();
    let it = ("Picked", flat.hex.as_str(), flat.words.as_str());
    html! {
        div.large {
            @if runs { (chip(&[("Darkest there", &flat.range[0], "the darkest"), it, ("Lightest there", &flat.range[1], "the lightest")])) }
            @else { (chip(&[it])) }
        }
        @if runs { p.quiet { "From its darkest, " (flat.range[0]) ", to its lightest, " (flat.range[1]) "." } }
    }
}

/// Where the other pictures disagree.
pub(super) fn others(found: &Coloured) -> Markup {
    html! {
        @if !found.others.is_empty() {
            section aria-labelledby="others" {
                h2 id="others" { "Held against the other pictures" }
                @for other in &found.others {
                    h3 { (other.picture) }
                    @if other.pairs.is_empty() { p { "No colour of the two is alike." } }
                    ul.tiles { @for pair in &other.pairs {
                        li.tile { (chip(&[("Here", &pair.here, "here"), ("There", &pair.hex, "there")]))
                            p { "Number " (pair.number) ": " b { (apart(pair.apart)) } " apart, "
                                @if pair.apart > APART { "which is seen" } @else { "which is hardly seen" } } }
                    } }
                    @for line in other.alone() { p.quiet { (line) } }
                }
            }
        }
    }
}

/// ΔE00 from which on two patches side by side are told apart at a glance (common practice: 2 to 3).
const APART: f64 = 2.5;
