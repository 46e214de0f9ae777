//! Words of a command line as a costume text, so that file and command line share one parser.
//!
//! Each argument becomes one line of TOML; a fault found there is pointed at in the argument as it was
//! typed. Left out: what the arguments are for.

use std::ops::Range;

use costume::{Costume, Fault, Faults, Known, Noted, Shelf, read_costume, read_swatches};
use lore::Lore;

use crate::Trouble;
use crate::disk::Folder;

/// Name of the "file" that faults of arguments stand in.
pub(crate) const COMMAND_LINE: &str = "command line";

/// Arguments gathered into a costume text.
#[derive(Debug, Default)]
pub(crate) struct Asked {
    /// The costume text.
    text: String,
    /// The arguments as typed, one a line.
    typed: String,
    /// Where in `text` an argument went, and where its value stands in `typed`.
    places: Vec<(Range<usize>, Range<usize>)>,
    /// Faults found before the text was read.
    faults: Vec<Fault>,
}

impl Asked {
    /// Writes a line of the costume text that no argument asked for.
    pub(crate) fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    /// Writes what an argument asks for; `Err` holds what is wrong with it and what to do, and
    /// `instead` then stands in so that the other arguments are still looked at.
    pub(crate) fn argument(
        &mut self,
        name: &str,
        given: &str,
        line: Result<String, (String, String)>,
        instead: &str,
    ) {
        let at = self.typed(name, given);
        let line = line.unwrap_or_else(|(says, hint)| {
            self.faults.push(Fault { span: at.clone(), says, hint });
            instead.to_owned()
        });
        let start = self.text.len();
        self.line(&line);
        self.places.push((start..self.text.len(), at));
    }

    /// Notes an argument that is not part of the costume text; gives the place of its value.
    pub(crate) fn typed(&mut self, name: &str, given: &str) -> Range<usize> {
        self.typed.push_str(name);
        if !name.is_empty() {
            self.typed.push(' ');
        }
        let start = self.typed.len();
        self.typed.push_str(given);
        let at = start..self.typed.len();
        self.typed.push('\n');
        at
    }

    /// Notes a fault of an argument at its place.
    pub(crate) fn fault(
        &mut self,
        at: Range<usize>,
        says: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.faults.push(Fault { span: at, says: says.into(), hint: hint.into() });
    }

    /// A result's error as a fault of an argument.
    pub(crate) fn keep<T, E: std::fmt::Display>(
        &mut self,
        at: &Range<usize>,
        result: Result<T, E>,
        hint: &str,
    ) -> Option<T> {
        result.map_err(|e| self.fault(at.clone(), e.to_string(), hint)).ok()
    }

    /// Reads the text as a costume; gives the faults of all arguments at once.
    pub(crate) fn costume(&mut self, lore: &Lore) -> Result<Costume, Trouble> {
        let folder = Folder::here();
        match read_costume(COMMAND_LINE, &self.text, lore, &folder) {
            Ok(costume) => self.sound().map(|()| costume),
            Err(found) => {
                for fault in found.list {
                    let at = self.place_of(&fault.span);
                    self.faults.push(Fault { span: at, ..fault });
                }
                self.sound().and(Err(Trouble::refused("this could not be read", "see --help")))
            }
        }
    }

    /// Reads the text as a file of swatches; gives the faults of all arguments at once.
    pub(crate) fn swatches(
        &mut self,
        lore: &Lore,
        shelf: &Shelf,
        known: &Known,
    ) -> Result<Noted, Trouble> {
        let folder = Folder::here();
        match read_swatches(COMMAND_LINE, &self.text, lore, &folder, shelf, known) {
            Ok(noted) => self.sound().map(|()| noted),
            Err(found) => {
                for fault in found.list {
                    let at = self.place_of(&fault.span);
                    self.faults.push(Fault { span: at, ..fault });
                }
                self.sound().and(Err(Trouble::refused("this could not be read", "see --help")))
            }
        }
    }

    /// The arguments as typed.
    pub(crate) fn typed_text(&self) -> String {
        self.typed.trim_end().to_owned()
    }

    /// Nothing when no argument has a fault.
    pub(crate) fn sound(&mut self) -> Result<(), Trouble> {
        if self.faults.is_empty() {
            return Ok(());
        }
        let mut list = std::mem::take(&mut self.faults);
        list.sort_by_key(|f| f.span.start);
        list.dedup();
        let text = self.typed.trim_end().to_owned();
        Err(Faults { file: COMMAND_LINE.to_owned(), text, list }.into())
    }

    fn place_of(&self, span: &Range<usize>) -> Range<usize> {
        let inside = |p: &&(Range<usize>, Range<usize>)| p.0.contains(&span.start);
        self.places.iter().find(inside).map_or(0..0, |p| p.1.clone())
    }
}

/// A text as TOML writes it.
pub(crate) fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

/// `--cloth`: a fibre, "unknown", or a blend such as "65 cotton, 35 polyester".
pub(crate) fn cloth(given: &str) -> Result<String, (String, String)> {
    let parts: Vec<&str> = given.split([',', '+', ';']).map(str::trim).collect();
    let has_number = given.chars().any(|c| c.is_ascii_digit()) && given.contains([' ', '=', '%']);
    if parts.len() == 1 && !has_number {
        return Ok(format!("cloth = {}", quoted(given.trim())));
    }
    let mut fibres = vec![];
    for part in &parts {
        let words: Vec<&str> = part
            .split(|c: char| c.is_whitespace() || "=:%".contains(c))
            .filter(|w| !w.is_empty())
            .collect();
        let (number, rest): (Vec<&str>, Vec<&str>) =
            words.iter().copied().partition(|w| w.parse::<f64>().is_ok_and(|_| !w.contains("nan")));
        // A fibre's own name may hold a number, as in "nylon 66": the share is then the first or last.
        let (share, name) = match (number.as_slice(), words.first().zip(words.last())) {
            ([one], _) => (*one, rest.join(" ")),
            ([_, ..], Some((first, _))) if first.parse::<f64>().is_ok() => {
                (*first, words[1..].join(" "))
            }
            ([_, ..], Some((_, last))) => (*last, words[..words.len() - 1].join(" ")),
            _ => ("", rest.join(" ")),
        };
        if share.is_empty() || name.is_empty() {
            return Err((
                format!("\"{part}\" is not a fibre with its percentage"),
                "write a blend as \"65 cotton, 35 polyester\", one fibre as \"cotton\"".to_owned(),
            ));
        }
        fibres.push(format!("{} = {}", quoted(&name), toml_number(share)));
    }
    Ok(format!("cloth = {{ {} }}", fibres.join(", ")))
}

/// `--weight`: "250g", "0.3 kg", "8 oz", "1.5 lb"; a bare number is grams.
pub(crate) fn weight(given: &str) -> Result<String, (String, String)> {
    let tidy = given.trim().to_lowercase();
    let hint = "write it as 250g, 0.3kg, 8oz or 1.5lb";
    let units = [("kg", "weight_kg"), ("oz", "weight_oz"), ("lb", "weight_lb"), ("g", "weight_g")];
    let (number, key) = units
        .iter()
        .find_map(|(unit, key)| tidy.strip_suffix(unit).map(|n| (n.trim(), *key)))
        .unwrap_or((tidy.as_str(), "weight_g"));
    match number.parse::<f64>() {
        Ok(n) if n > 0.0 || n.is_nan() => Ok(format!("{key} = {}", toml_number(number))),
        Ok(_) => Err((format!("\"{given}\" is not a weight goods can have"), hint.to_owned())),
        Err(_) => Err((format!("\"{given}\" is not a weight"), hint.to_owned())),
    }
}

/// A number as TOML writes it: with a digit before and after the point.
pub(crate) fn toml_number(given: &str) -> String {
    given
        .parse::<f64>()
        .map_or_else(|_| "nan".to_owned(), |n| toml_edit::Value::from(n).to_string())
}

/// A colour: "#2f6f5a", "L a b", or a reading file, with its sample after a colon where it holds
/// several.
pub(crate) fn colour(key: &str, given: &str) -> Result<String, (String, String)> {
    if let Some((file, sample)) = file_and_sample(given) {
        let sample = sample.map_or_else(String::new, |s| format!(", sample = {}", quoted(s)));
        return Ok(format!("{key} = {{ file = {}{sample} }}", quoted(file)));
    }
    let hint = "write it as \"#2f6f5a\", as \"45 -12.5 8\" (L* a* b*), or name a reading file";
    let reading = colour::read_typed(given).map_err(|e| (e.rule, hint.to_owned()))?;
    if let colour::Origin::Screen(screen) = &reading.origin {
        return Ok(format!("{key} = {{ hex = {} }}", quoted(&screen.to_hex())));
    }
    let lab = reading.try_lab().map_err(|_| {
        let says = format!("\"{given}\" is a colour under another light or for another observer");
        (says, "a target is given for D65 and the 10° observer".to_owned())
    })?;
    let n = |v: f64| toml_edit::Value::from(v).to_string();
    Ok(format!("{key} = {{ lab = [{}, {}, {}] }}", n(lab.l), n(lab.a), n(lab.b)))
}

/// The file, and the sample after a colon, when what was given names a file.
pub(crate) fn file_and_sample(given: &str) -> Option<(&str, Option<&str>)> {
    let is_file = |path: &str| std::path::Path::new(path).exists();
    if is_file(given) {
        return Some((given, None));
    }
    if let Some((file, sample)) = given.rsplit_once(':')
        && is_file(file)
    {
        return Some((file, Some(sample)));
    }
    // Something that ends like a file is meant to be one, and is missing.
    let ending = [".csv", ".txt", ".cgats", ".tsv", ".ti3"];
    let bare = given.rsplit_once(':').map_or(given, |(file, _)| file);
    let named = |p: &str| ending.iter().any(|e| p.to_lowercase().ends_with(e));
    if named(given) {
        return Some((given, None));
    }
    named(bare).then(|| (bare, given.rsplit_once(':').map(|(_, s)| s)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cloth_weight_and_colour_become_lines_of_a_costume_file() {
        assert_eq!(cloth("cotton").unwrap(), "cloth = \"cotton\"");
        assert_eq!(
            cloth("65 cotton, 35% polyester").unwrap(),
            "cloth = { \"cotton\" = 65.0, \"polyester\" = 35.0 }"
        );
        assert_eq!(cloth("cotton=100").unwrap(), "cloth = { \"cotton\" = 100.0 }");
        assert_eq!(
            cloth("80 nylon 66, 20 elastane").unwrap(),
            "cloth = { \"nylon 66\" = 80.0, \"elastane\" = 20.0 }"
        );
        assert!(cloth("cotton, polyester").is_err());
        assert_eq!(weight("250g").unwrap(), "weight_g = 250.0");
        assert_eq!(weight("1.5 LB").unwrap(), "weight_lb = 1.5");
        assert!(weight("-3g").is_err() && weight("heavy").is_err() && weight("0").is_err());
        assert_eq!(colour("target", "#2F6F5A").unwrap(), "target = { hex = \"#2f6f5a\" }");
        assert_eq!(
            colour("target", "45 -12.5 8").unwrap(),
            "target = { lab = [45.0, -12.5, 8.0] }"
        );
        assert!(colour("target", "130 0 0").is_err());
    }

    #[test]
    fn a_fault_is_pointed_at_in_the_argument_as_typed() {
        let mut asked = Asked::default();
        asked.line("[costume]\nname = \"x\"\n[[piece]]\nid = \"x\"\nweight_g = 10.0");
        asked.argument("--cloth", "cotten", cloth("cotten"), "");
        asked.argument(
            "--colour",
            "130 0 0",
            colour("target", "130 0 0"),
            "target = { hex = \"#888\" }",
        );
        let Err(Trouble::Faults(faults)) = asked.costume(Lore::shipped()) else {
            panic!("taken");
        };
        assert_eq!(faults.list.len(), 2, "{faults}");
        assert_eq!(&faults.text[faults.list[0].span.clone()], "cotten");
        assert_eq!(&faults.text[faults.list[1].span.clone()], "130 0 0");
        assert!(faults.list[0].says.contains("cotton"), "{faults}");
    }
}
