//! A photograph of the tray read by what lies beside the cloth: a chart, one's own cloths, a white; in the words of a form.
//!
//! The same request as `read`, and the same refusals, said without the words of the command line. Left out: what is read.

use std::path::{Path, PathBuf};

use picture::{Asked, ChartKind};

use crate::photo_asked::{Words, open, own_chart, parted};
use crate::photo_read::chart_seen;
use crate::{ChartSeen, PhotoLaid, PhotoRead, ReadWanted, Trouble, read_photo};

/// What lies beside the cloth in a photograph, each word as typed; nothing said: the classic chart of 24, looked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PhotoBeside {
    /// A text file with the patches of a chart, or of a card printed at home.
    pub chart: Option<PathBuf>,
    /// How many patches or cloths lie in a row, where the file does not say.
    pub across: String,
    /// Four corners of the chart, or of the rows of cloths.
    pub corners: String,
    /// A text file with the values of one's own dyed cloths.
    pub cloths: Option<PathBuf>,
    /// The same out of the workbook: codes of swatches.
    pub swatches: Vec<String>,
    /// The place of each of these cloths, where they lie in no rows.
    pub at: Vec<String>,
    /// The place of a white.
    pub white_at: String,
    /// What white it is: a word, or its colour.
    pub white_is: String,
    /// The kind of light, beside a white.
    pub lamp: String,
    /// A photograph of white paper in the same light from the same stand.
    pub paper: Option<PathBuf>,
    /// True where the picture was developed without a tone curve.
    pub linear: bool,
    /// The workbook that the codes are of.
    pub book: Option<PathBuf>,
}

impl PhotoBeside {
    /// The request.
    fn wanted(
        &self,
        photo: &PhotoLaid,
        cloths: Vec<String>,
        light: &str,
    ) -> Result<ReadWanted, Trouble> {
        let said = |given: &str| Some(given.trim().to_owned()).filter(|g| !g.is_empty());
        Ok(ReadWanted {
            photo: photo.path.clone(),
            cloths,
            corners: said(&self.corners),
            chart: self.chart.clone(),
            across: self.in_a_row()?,
            white: self.paper.clone(),
            light: said(light),
            from: if self.linear { "linear" } else { "camera" }.to_owned(),
            card: self.cloths.clone(),
            swatches: self.swatches.clone(),
            at: self.at.clone(),
            white_at: said(&self.white_at),
            white_is: said(&self.white_is),
            lamp: said(&self.lamp),
            book: self.book.clone(),
            ..ReadWanted::default()
        })
    }

    pub(crate) fn in_a_row(&self) -> Result<Option<usize>, Trouble> {
        let given = self.across.trim();
        if given.is_empty() {
            return Ok(None);
        }
        given.parse().ok().filter(|n| *n > 0).map(Some).ok_or_else(|| {
            let says = format!("\"{given}\" is no number of patches in a row");
            Trouble::refused(says, "count them along the upper edge, and write the number")
        })
    }

    /// A refusal with files called as their maker calls them, and without the words of the command line.
    pub(crate) fn plainly<T>(
        &self,
        of: Result<T, Trouble>,
        photo: &PhotoLaid,
    ) -> Result<T, Trouble> {
        of.map_err(|why| match why {
            Trouble::Refused { says, hint } => {
                let own = photo.path.display().to_string();
                let says = says.replace(&format!("{own}, "), "").replace(&format!("{own}: "), "");
                let mut says = says.replace(&own, "the photograph");
                for path in [&self.chart, &self.cloths, &self.book].into_iter().flatten() {
                    let name = path.file_name().unwrap_or_default().to_string_lossy();
                    says = says.replace(&path.display().to_string(), &name);
                }
                let plain = in_plain_words(&hint);
                let hint = if plain.is_empty() { what_to_do(&says).to_owned() } else { plain };
                Trouble::Refused { says, hint }
            }
            // Their words are those of the command line.
            Trouble::Faults(faults) => {
                if faults.list.iter().any(|fault| fault.says.starts_with("this place lies upon")) {
                    return Trouble::refused(
                        "one place lies upon another",
                        "draw each of them where only its own cloth or white is",
                    );
                }
                Trouble::refused(
                    "where the cloth, or what lies beside it, was not told in numbers of this photograph",
                    "draw on it, or write pixels from its upper left",
                )
            }
            other @ Trouble::Broken { .. } => other,
        })
    }
}

/// What to do where only the command line's words said it.
fn what_to_do(says: &str) -> &'static str {
    const KNOWN: [(&str, &str); 5] = [
        ("in a row", "say how many lie in a row"),
        ("white", "choose what the white is, or write its colour as it was measured"),
        ("swatch", "look into the swatch book for the codes"),
        ("places were given", "draw one place for each cloth, in the order of their values"),
        ("cloths of the card lie", "touch the four outer corners of them all, or draw each cloth"),
    ];
    let known = KNOWN.iter().find(|(word, _)| says.contains(word));
    known.map_or("photograph it again", |(_, hint)| hint)
}

/// What is said without the words of the command line: a bracket that names one goes, else the part that does.
pub(crate) fn in_plain_words(said: &str) -> String {
    let mut plain = said.to_owned();
    while let Some(from) = plain.find(" (--") {
        let Some(to) = plain[from..].find(')') else { break };
        plain.replace_range(from..=from + to, "");
    }
    let parts = plain.split("; ").filter(|part| !part.contains("--"));
    parts.collect::<Vec<_>>().join("; ")
}

/// Where the chart lies in a photograph: so that one without is refused before a place is asked for.
///
/// # Errors
/// No chart, or a photograph that cannot be trusted, with what to do.
pub fn chart_in(photo: &PhotoLaid, beside: &PhotoBeside) -> Result<ChartSeen, Trouble> {
    let looked = || {
        let words = Words::of(&beside.wanted(photo, vec![], "")?)?;
        let own = match &beside.chart {
            Some(file) => Some(own_chart(file, beside.in_a_row()?)?.0),
            None => None,
        };
        let chart = own.as_ref().unwrap_or_else(|| ChartKind::classic());
        let picture = open(&photo.path)?;
        let asked = Asked { chart, corners: words.corners, cloths: &[], paper: None };
        let taken = picture.take(&asked).map_err(|e| {
            let (says, hint) = parted(&e);
            Trouble::refused(says, hint)
        })?;
        Ok(chart_seen(&taken.chart, chart.patches().len()))
    };
    beside.plainly(looked(), photo)
}

/// Reads a cloth in a photograph that lies in the tray: its place as `read` takes it.
///
/// # Errors
/// As [`read_photo`].
pub fn read_laid(
    photo: &PhotoLaid,
    beside: &PhotoBeside,
    cloth: &str,
    light: &str,
) -> Result<PhotoRead, Trouble> {
    let read =
        beside.wanted(photo, vec![cloth.to_owned()], light).and_then(|wanted| read_photo(&wanted));
    let mut read = beside.plainly(read, photo)?;
    read.photograph.clone_from(&photo.job);
    for said in read.limits.iter_mut().chain(&mut read.notes) {
        *said = in_plain_words(said);
    }
    read.notes.retain(|note| !note.is_empty());
    read.limits.retain(|limit| !limit.is_empty());
    Ok(read)
}

/// Whether a file can be read as the values that a form says it has, before a photograph is read by it.
///
/// # Errors
/// What is wrong with its text.
pub(crate) fn values_sound(file: &Path) -> Result<(usize, Option<usize>), Trouble> {
    crate::photo_asked::values(file).map(|text| (text.patches().len(), text.across()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_of_the_command_line_is_said() {
        for (said, plain) in [
            ("white paper (--white) shows it", "white paper shows it"),
            ("photograph again; or write --card FILE", "photograph again"),
            ("give --cloth", ""),
            ("as it is", "as it is"),
        ] {
            assert_eq!(in_plain_words(said), plain);
        }
    }

    #[test]
    fn what_lies_beside_is_refused_with_a_way_out_that_a_form_has() {
        let tray = crate::PhotoTray::try_new().unwrap_or_else(|e| panic!("{e}"));
        let png = scenes::png_of(40, 30, &[90; 3600]).unwrap_or_else(|e| panic!("{e}"));
        let photo = tray.lay(&png, "2031-05-12T10:00:00Z").unwrap_or_else(|e| panic!("{e}"));
        let beside = PhotoBeside::default;
        let white = PhotoBeside { white_at: "1,1,5,5".to_owned(), ..beside() };
        for (beside, with, hint) in [
            (PhotoBeside { across: "six".to_owned(), ..beside() }, "\"six\"", "count them"),
            (white.clone(), "what the white is", "choose what"),
            (PhotoBeside { white_is: "snow".to_owned(), ..white.clone() }, "snow", "choose what"),
            (
                PhotoBeside {
                    white_is: "ptfe".to_owned(),
                    white_at: "12,12,5,5".to_owned(),
                    ..beside()
                },
                "lies upon another",
                "draw each",
            ),
        ] {
            let said = read_laid(&photo, &beside, "10,10,8,8", "")
                .map_or_else(|e| e.to_string(), |r| format!("{r:?}"));
            assert!(said.contains(with) && said.contains(hint) && !said.contains("--"), "{said}");
        }
    }
}
