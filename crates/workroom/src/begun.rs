//! A question begun as a costume file: the words of `propose`, written down to be planned.

use std::path::Path;

use costume::read_costume;
use lore::Lore;

use crate::asked::{cloth, colour, quoted, toml_number, weight};
use crate::disk::{Folder, write_whole};
use crate::predicted::undyed_line;
use crate::{ProposeWanted, Trouble};

/// Writes a question as a costume file of one piece; never over a file that is there.
pub fn begin_costume(wanted: &ProposeWanted, file: &Path) -> Result<(), Trouble> {
    let shown = file.display();
    if file.symlink_metadata().is_ok() {
        let hint = "name a new file, or copy the piece into it by hand";
        return Err(Trouble::refused(format!("{shown} is there already"), hint));
    }
    let text = costume_text(wanted);
    let folder = Folder::of(file);
    let read = read_costume(&shown.to_string(), &text, Lore::shipped(), &folder);
    let shelf_found =
        wanted.shelf.as_ref().is_none_or(|s| folder.path(&s.to_string_lossy()).exists());
    if read.is_err() || !shelf_found {
        let says = format!("{shown} stands in another folder than the files it would name");
        return Err(Trouble::refused(says, "write it into the folder you are in"));
    }
    write_whole(&[(file, text.as_bytes())])
}

/// A sound question as a costume file; words that could not be read are left out.
pub(crate) fn costume_text(wanted: &ProposeWanted) -> String {
    let mut text = String::from(
        "# Begun by `dyewright propose`. docs/costume-file.md tells every key.\n\n[costume]\n\
         name = \"one question\"\n",
    );
    let mut line = |line: &str| {
        text.push_str(line);
        text.push('\n');
    };
    if let Some(shelf) = &wanted.shelf {
        line(&format!("shelf = {}", quoted(&shelf.to_string_lossy())));
    }
    if !wanted.have.is_empty() {
        let words: Vec<String> = wanted.have.iter().map(|word| quoted(word.trim())).collect();
        line(&format!("only = [{}]", words.join(", ")));
    }
    if wanted.scale_g.is_some() || wanted.pot_l.is_some() {
        let step = wanted.scale_g.unwrap_or(USUAL_SCALE_G).to_string();
        line("\n[kitchen]");
        line(&format!("scale_g = {}", toml_number(&step)));
        line("syringes_ml = [1, 10, 500]");
    }
    if let Some(litres) = wanted.pot_l {
        line("\n[[kitchen.vessel]]\nname = \"jar\"\nlitres = 1\nof = \"glass\"");
        line("\n[[kitchen.vessel]]\nname = \"pot\"\nof = \"stainless\"");
        line(&format!("litres = {}", toml_number(&litres.to_string())));
    }
    line("\n[[piece]]\nid = \"piece\"");
    let given = [
        Some(cloth(&wanted.cloth)),
        Some(wanted.weight.as_ref().map_or_else(|| Ok("weight_g = 100".to_owned()), |w| weight(w))),
        wanted.undyed.as_ref().map(|u| undyed_line(u)),
        Some(colour("target", &wanted.colour)),
        wanted.seen_from.as_ref().map(|s| Ok(format!("seen_from = {}", quoted(s)))),
    ];
    given.into_iter().flatten().flatten().for_each(|l| line(&l));
    if !wanted.lights.is_empty() {
        let places: Vec<String> = wanted.lights.iter().map(|l| quoted(l.trim())).collect();
        line(&format!("lights = [{}]", places.join(", ")));
    }
    line(MORE_OF_A_PIECE);
    if wanted.scale_g.is_none() && wanted.pot_l.is_none() {
        line(THE_KITCHEN);
    }
    line(THE_WHOLE);
    text
}

/// Scale when only a pot is told of, g: the common kitchen's.
const USUAL_SCALE_G: f64 = 0.1;

/// What else a piece may tell; without its `# ` each line is read.
const MORE_OF_A_PIECE: &str = "\
# More to tell of a piece, where it is so: take the # away.
# form = \"cut panels\"            # or roll, sewn, worn
# spare_g = 12                   # spare cloth, thread and a patch, for the repair
# shrinkage_allowed = true
# brightened = false             # an optical brightener in the undyed cloth
# worth = \"must\"                 # or should, could: what is dropped first
# dyed_by = [\"Ada\", \"Bo\"]        # the same piece dyed by several people";

/// The kitchen, asked once.
const THE_KITCHEN: &str = "
# [kitchen]
# scale_g = 0.1
# syringes_ml = [1, 10, 500]
# spoons_ml = [2.5, 5, 15]
# burners = 2
# hands = 1
# sinks = 1
# lifts_kg = 10
# drying = 6
# methods = [\"pot\", \"tub\"]";

/// What belongs to the whole of a costume.
const THE_WHOLE: &str = "
# [calendar]                     # when there is time to dye
# weekdays = [\"saturday\", \"sunday\"]
# from = \"10:00\"
# hours = 6
# delivery_days = 5

# [[fixed]]                      # read and never dyed: a wig, shoes, bought cloth
# id = \"wig\"
# colour = { hex = \"#2f6f5a\" }

# [[match]]                      # what must match
# name = \"what shows together\"
# pieces = [\"piece\", \"wig\"]";

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// Every line offered as a comment is read once its mark is taken away.
    #[test]
    fn what_is_offered_as_comments_is_read() -> Result<(), costume::Faults> {
        for scale_g in [None, Some(0.01)] {
            let wanted = ProposeWanted {
                book: None,
                cloth: "cotton".to_owned(),
                colour: "#2f6f5a".to_owned(),
                weight: None,
                undyed: None,
                have: vec![],
                shelf: None,
                seen_from: None,
                lights: vec![],
                scale_g,
                pot_l: None,
                today: units::Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}")),
            };
            let text = costume_text(&wanted);
            let bare: Vec<&str> = text
                .lines()
                .filter_map(|line| match line.strip_prefix("# ") {
                    Some(prose) if !prose.contains('=') && !prose.starts_with('[') => None,
                    Some(key) => Some(key),
                    None => Some(line),
                })
                .collect();
            let bare = bare.join("\n");
            let read = read_costume("c.toml", &bare, Lore::shipped(), &Folder::here())?;
            let piece = &read.pieces[0];
            assert_eq!((piece.dyed_by.len(), piece.shrinkage_allowed), (2, true));
            assert_eq!((read.fixed.len(), read.matches.len()), (1, 1));
            let days: BTreeSet<bool> = read.calendar.weekdays.into_iter().collect();
            assert_eq!(days.len(), 2, "some days are free and some are not");
        }
        Ok(())
    }
}
