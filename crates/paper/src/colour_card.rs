//! The colour card to print at home, as SVG and as PDF: patches in a black lattice, dull grey round them, which way up, a bar
//! to measure, its code, and lines for what it was printed on.
//!
//! Patches are squares of 15½ mm on A5 and 22½ mm on A4, gaps between them 2½ and 3½ mm: a telephone that sees card and
//! cloth together still has forty pixels and more of each, and a blunt print does not run across a gap. The grey strip keeps
//! what lies around from colouring the rim, and gives the camera something to set its exposure by. Everything is drawn once,
//! in millimetres from the sheet's upper left, and written twice. Left out: which colours the patches are, which comes as an
//! argument; profiles of printers.

mod pdf;
mod svg;

use thiserror::Error;

/// A card to be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColourCard {
    across: usize,
    patches: Vec<[u8; 3]>,
    code: String,
    sheet: CardSheet,
}

/// The sheet it is drawn on, lying.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CardSheet {
    /// 210 × 148 mm.
    A5,
    /// 297 × 210 mm.
    A4,
}

/// Why a card cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NotACard {
    /// Rows that are not full, or none.
    #[error("{patches} patches with {across} in a row leave a row that is not full")]
    Rows {
        /// Patches.
        patches: usize,
        /// In a row.
        across: usize,
    },
    /// A code that cannot be printed in either file.
    #[error("the code \"{0}\" is not one to sixteen letters, digits and hyphens")]
    Code(String),
}

/// Something drawn: millimetres from the upper left, y downwards.
enum Mark {
    /// Left, top, width, height.
    Plate([f64; 4], [u8; 3]),
    /// Corners.
    Shape(Vec<[f64; 2]>, [u8; 3]),
    /// Left end of the base line, size, bold, colour, words.
    Words([f64; 2], f64, bool, [u8; 3], String),
}

const BLACK: [u8; 3] = [0; 3];
const DULL: [u8; 3] = [128; 3];
const INK: [u8; 3] = [40; 3];
const LIGHT: [u8; 3] = [235; 3];
/// Longest code.
const CODE: usize = 16;

/// Lengths of a sheet, mm.
struct Lengths {
    sheet: [f64; 2],
    margin: f64,
    pitch: f64,
    gap: f64,
    strip: f64,
    /// Letters.
    size: f64,
    /// Letters in a line of the column beside the card.
    line: usize,
}

impl CardSheet {
    const fn lengths(self) -> Lengths {
        match self {
            Self::A5 => Lengths {
                sheet: [210.0, 148.0],
                margin: 8.0,
                pitch: 18.0,
                gap: 2.5,
                strip: 6.0,
                size: 2.7,
                line: 22,
            },
            Self::A4 => Lengths {
                sheet: [297.0, 210.0],
                margin: 11.0,
                pitch: 26.0,
                gap: 3.5,
                strip: 8.0,
                size: 3.4,
                line: 25,
            },
        }
    }

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A5 => "A5",
            Self::A4 => "A4",
        }
    }
}

impl ColourCard {
    /// Of patches row after row, so many across, each as sRGB; and the code that is printed on it.
    ///
    /// # Errors
    /// [`NotACard`].
    pub fn try_new(
        across: usize,
        patches: &[[u8; 3]],
        code: &str,
        sheet: CardSheet,
    ) -> Result<Self, NotACard> {
        if across == 0 || patches.is_empty() || !patches.len().is_multiple_of(across) {
            return Err(NotACard::Rows { patches: patches.len(), across });
        }
        let sound = |c: char| c.is_ascii_alphanumeric() || c == '-';
        if code.is_empty() || code.len() > CODE || !code.chars().all(sound) {
            return Err(NotACard::Code(code.chars().take(40).collect()));
        }
        Ok(Self { across, patches: patches.to_vec(), code: code.to_owned(), sheet })
    }

    /// As an SVG of the sheet's own size.
    #[must_use]
    pub fn svg(&self) -> String {
        svg::svg(self.sheet.lengths().sheet, &self.title(), &self.marks())
    }

    /// As a PDF of one page.
    #[must_use]
    pub fn pdf(&self) -> Vec<u8> {
        pdf::pdf(self.sheet.lengths().sheet, &self.title(), &self.marks())
    }

    fn title(&self) -> String {
        format!("Dyewright colour card {}", self.code)
    }

    fn marks(&self) -> Vec<Mark> {
        let it = self.sheet.lengths();
        let down = self.patches.len() / self.across;
        let lattice = [count(self.across) * it.pitch, count(down) * it.pitch];
        let (left, top) = (it.margin + it.strip, it.margin + it.strip);
        let frame = [lattice[0] + it.gap, lattice[1] + it.gap];
        let mut marks = vec![
            Mark::Plate(
                [it.margin, it.margin, frame[0] + 2.0 * it.strip, frame[1] + 2.0 * it.strip],
                DULL,
            ),
            Mark::Plate([left, top, frame[0], frame[1]], BLACK),
        ];
        let side = it.pitch - it.gap;
        for (n, rgb) in self.patches.iter().enumerate() {
            let (x, y) = (count(n % self.across), count(n / self.across));
            let at = [left + it.gap + x * it.pitch, top + it.gap + y * it.pitch];
            marks.push(Mark::Plate([at[0], at[1], side, side], *rgb));
        }
        for n in 0..self.across {
            let x = left + it.gap + count(n) * it.pitch + 0.5 * side - 0.3 * it.size;
            let at = [x, top - 0.5 * (it.strip - it.size)];
            marks.push(Mark::Words(at, it.size, false, LIGHT, (n + 1).to_string()));
        }
        for n in 0..down {
            let y = top + it.gap + count(n) * it.pitch + 0.5 * side + 0.35 * it.size;
            let at = [it.margin + 0.5 * it.strip - 0.35 * it.size, y];
            let letter = char::from(b'A' + u8::try_from(n % 26).unwrap_or(0));
            marks.push(Mark::Words(at, it.size, false, LIGHT, letter.to_string()));
        }
        let under = it.margin + frame[1] + 2.0 * it.strip;
        let beside = it.margin + frame[0] + 2.0 * it.strip + 1.5 * it.size;
        bar(&it, under, &mut marks);
        self.column(&it, beside, &mut marks);
        marks
    }

    /// What stands beside the patches.
    fn column(&self, it: &Lengths, left: f64, marks: &mut Vec<Mark>) {
        let size = it.size;
        let mut y = it.margin + size;
        marks.push(Mark::Shape(
            vec![[left, y], [left + 1.2 * size, y - size], [left + 2.4 * size, y]],
            INK,
        ));
        marks.push(Mark::Words([left + 3.2 * size, y], size, true, INK, "this way up".to_owned()));
        let mut say = |text: &str, bold: bool, before: f64| {
            y += before * size;
            for line in wrapped(text, it.line) {
                y += 1.3 * size;
                marks.push(Mark::Words([left, y], size, bold, INK, line));
            }
        };
        say("Dyewright", true, 0.8);
        say("colour card", true, 0.0);
        say(&format!("Code {}", self.code), false, 0.4);
        for line in ["Printer", "Paper", "Printed on", "Read on"] {
            say(line, false, 1.2);
            say("______________", false, -0.5);
        }
        for text in [
            "Print at 100 %, best quality, no colour correction.",
            "Matt paper without brightener, if you can get it.",
            "Let it dry for a day.",
            "Read it once, by day, beside a known chart: dyewright card read",
            "Keep it flat, dry and dark. Read it anew twice a year.",
        ] {
            say(text, false, 0.7);
        }
    }
}

/// The bar to be measured.
fn bar(it: &Lengths, under: f64, marks: &mut Vec<Mark>) {
    let (top, high) = (under + 1.2 * it.size, 0.8 * it.size);
    for n in 0..10 {
        let rgb = if n % 2 == 0 { INK } else { LIGHT };
        marks.push(Mark::Plate([it.margin + 10.0 * f64::from(n), top, 10.0, high], rgb));
    }
    let words = "100 mm: measure it. If it is not, the sheet was printed at another size.";
    let at = [it.margin, top + high + 1.3 * it.size];
    marks.push(Mark::Words(at, it.size, false, INK, words.to_owned()));
}

/// Lines of at most so many letters.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let here = lines.last().map_or(0, String::len);
        if here > 0 && here + 1 + word.len() > most {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

#[expect(clippy::cast_precision_loss, reason = "patches of a card")]
const fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(sheet: CardSheet) -> ColourCard {
        let patches: Vec<[u8; 3]> = (0..48).map(|n| [5 * n, 200, 255 - 5 * n]).collect();
        ColourCard::try_new(8, &patches, "2031-05-10", sheet).unwrap()
    }

    #[test]
    fn nothing_is_drawn_outside_of_the_sheet_and_words_lie_on_no_patch() {
        for sheet in [CardSheet::A5, CardSheet::A4] {
            let [wide, high] = sheet.lengths().sheet;
            let inside =
                |x: f64, y: f64| (4.9..=wide - 4.9).contains(&x) && (4.9..=high - 4.9).contains(&y);
            for mark in card(sheet).marks() {
                match mark {
                    Mark::Plate([x, y, w, h], _) => {
                        assert!(inside(x, y) && inside(x + w, y + h), "{x} {y} {w} {h}");
                    }
                    Mark::Shape(corners, _) => assert!(corners.iter().all(|p| inside(p[0], p[1]))),
                    Mark::Words([x, y], size, _, _, words) => {
                        // Letters of this face are half as wide as high, a few wider.
                        let end = x + 0.56 * size * count(words.len());
                        assert!(inside(x, y) && inside(end, y), "{sheet:?} {words}: {end} {y}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_pdf_says_where_its_parts_stand() {
        let pdf = card(CardSheet::A5).pdf();
        let text = String::from_utf8_lossy(&pdf).into_owned();
        assert!(text.starts_with("%PDF-1.4") && text.ends_with("%%EOF\n"));
        let start: usize =
            text.rsplit("startxref\n").next().unwrap().lines().next().unwrap().parse().unwrap();
        assert!(text[start..].starts_with("xref\n0 "));
        let rows: Vec<&str> =
            text[start..].lines().skip(3).take_while(|l| l.ends_with("n ")).collect();
        assert_eq!(rows.len(), 7);
        for (n, row) in rows.iter().enumerate() {
            let at: usize = row[..10].parse().unwrap();
            assert!(text[at..].starts_with(&format!("{} 0 obj", n + 1)), "{row}");
        }
        let long: usize =
            text.split("/Length ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        let stream = text.split("stream\n").nth(1).unwrap().strip_suffix("\nend").unwrap();
        assert_eq!(stream.len(), long);
    }

    #[test]
    fn both_files_hold_every_patch_and_the_code() {
        for sheet in [CardSheet::A5, CardSheet::A4] {
            let card = card(sheet);
            let (svg, pdf) = (card.svg(), String::from_utf8(card.pdf()).unwrap());
            assert!(svg.contains("2031-05-10") && pdf.contains("2031-05-10"));
            for rgb in &card.patches {
                let [r, g, b] = rgb;
                assert!(svg.contains(&format!("#{r:02x}{g:02x}{b:02x}")));
                assert!(pdf.contains(&pdf::colour(*rgb)));
            }
        }
        let bad = |across: usize, many: usize, code: &str| {
            ColourCard::try_new(across, &vec![[0; 3]; many], code, CardSheet::A5).unwrap_err()
        };
        assert!(bad(8, 47, "a").to_string().contains("not full"));
        for code in ["", "a b", "(x)", "12345678901234567", "ä"] {
            assert!(bad(8, 48, code).to_string().contains("sixteen"), "{code}");
        }
    }
}
