//! The button that takes the last change of a file back, and what it says of a file that was changed elsewhere.

use maud::{Markup, html};
use workroom::LastChange;

/// The form: where it goes, what it sends besides the mark of the text, and what would be taken back.
pub(super) fn form(to: &str, sent: &[(&str, &str)], mark: &str, last: &LastChange) -> Markup {
    let day = last.at.split('T').next().unwrap_or_default();
    html! {
        form.undo method="post" action=(to) {
            @for (name, value) in sent { input type="hidden" name=(name) value=(value); }
            input type="hidden" name="since" value=(mark);
            @if last.by_hand {
                p { "The file was changed outside of this workroom. That can be kept; or the text comes back as it was saved here last, on "
                    (day) ". What stands in it now is put aside in a hidden file beside it." }
                button.second type="submit" { "Put back the text of " (day) }
            } @else {
                button.second type="submit" {
                    @match last.what.strip_prefix("taken back: ") {
                        Some(what) => { "Bring back: " (what) }
                        None => { "Take back: " (last.what) }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_by_hand_is_never_said_to_be_taken_back() {
        let last = |by_hand| LastChange {
            what: "coat: target changed".to_owned(),
            at: "2031-05-12T10:00:00Z".to_owned(),
            by_hand,
        };
        let said = |by_hand| form("/c/a/undo", &[("of", "x")], "m", &last(by_hand)).into_string();
        assert!(said(false).contains("Take back: coat: target changed"));
        let again = LastChange { what: "taken back: coat taken out".to_owned(), ..last(false) };
        let again = form("/c/a/undo", &[], "m", &again).into_string();
        assert!(again.contains("Bring back: coat taken out"), "{again}");
        let by_hand = said(true);
        assert!(
            !by_hand.contains("Take back") && by_hand.contains("Put back the text of 2031-05-12")
        );
        assert!(by_hand.contains("name=\"of\" value=\"x\""));
    }
}
