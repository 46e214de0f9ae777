//! What a workbook remembers, for a plan: read and never written.
//!
//! A workbook that was named must be there and readable. One that only lies beside the costume file is
//! used where it can be, and where it cannot the plan goes on and says so.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use costume::Shelf;
use lore::Lore;
use plan::Taught;
use workbook::{Book, Evidence, Hand, Id, Piece, Refusal, Subject};

use crate::Trouble;
use crate::books::{WORKBOOK, trouble};
use crate::lessons;

/// What there is to learn from.
#[derive(Debug, Clone, Default)]
pub(crate) struct Remembered {
    /// The workbook that was read.
    pub(crate) book: Option<PathBuf>,
    /// Its swatches that stand, with dyes, lots and readings.
    pub(crate) evidence: Vec<Evidence>,
    /// Costume and piece by their entry.
    pub(crate) pieces: BTreeMap<Id<Piece>, (String, String)>,
    /// Why one beside the file was not used.
    pub(crate) passed_over: Option<String>,
}

impl Remembered {
    /// From the workbook named, else from one beside the costume file, else nothing.
    pub(crate) fn of(file: &Path, named: Option<&Path>) -> Result<Self, Trouble> {
        if let Some(path) = named {
            return Self::read(path);
        }
        let beside = file.with_file_name(WORKBOOK);
        if beside.symlink_metadata().is_err() {
            return Ok(Self::default());
        }
        Ok(Self::read(&beside).unwrap_or_else(|why| {
            let said = format!("{} was not used: {why}.", beside.display());
            Self { passed_over: Some(said), ..Self::default() }
        }))
    }

    /// From this workbook.
    pub(crate) fn read(path: &Path) -> Result<Self, Trouble> {
        let read = Book::open_to_read(path)
            .and_then(|book| Ok((book.evidence()?, pieces(&book)?)))
            .map_err(|e| trouble(&e, path))?;
        let (evidence, pieces) = read;
        Ok(Self { book: Some(path.to_path_buf()), evidence, pieces, passed_over: None })
    }

    /// What a piece of evidence is called: the code on a swatch's card, else its entry; a piece dyed whole by its name
    /// and day.
    pub(crate) fn code(&self, one: &Evidence) -> String {
        match one.of {
            Subject::Swatch(id) => one.swatch.code.clone().unwrap_or_else(|| format!("entry {id}")),
            Subject::Dyed { piece, .. } | Subject::Piece(piece) => {
                let name = self.pieces.get(&piece).map_or("piece", |(_, name)| name.as_str());
                let day = one.swatch.day.map_or_else(String::new, |d| format!(" {d}"));
                format!("{name} dyed{day}")
            }
        }
    }

    /// Every code a swatch or a piece dyed whole can be named by.
    pub(crate) fn codes(&self, taught: &Taught) -> Vec<String> {
        let mut codes: Vec<String> = self.evidence.iter().map(|e| self.code(e)).collect();
        codes.extend(taught.lessons().iter().map(|l| l.code.clone()));
        codes.sort_unstable();
        codes.dedup();
        codes
    }

    /// The last bath of a piece dyed whole that has this code.
    pub(crate) fn whole(&self, code: &str) -> Option<&Evidence> {
        self.all_whole().rfind(|e| self.code(e) == code)
    }

    /// The code of the last bath, of the maker's own, that a piece was dyed whole in.
    pub(crate) fn last_whole(&self, costume: &str, piece: &str) -> Option<String> {
        let of = |e: &&Evidence| {
            let named = e.swatch.piece.and_then(|id| self.pieces.get(&id));
            e.swatch.hand == Hand::Own && named.is_some_and(|(c, p)| c == costume && p == piece)
        };
        self.all_whole().rfind(of).map(|e| self.code(e))
    }

    fn all_whole(&self) -> impl DoubleEndedIterator<Item = &Evidence> {
        self.evidence.iter().filter(|e| !matches!(e.of, Subject::Swatch(_)))
    }

    /// What its swatches teach of a shelf; none where no workbook was read.
    pub(crate) fn taught(&self, shelf: &Shelf, lore: &Lore) -> Result<Option<Taught>, Trouble> {
        self.book.as_ref().map(|_| lessons::taught(self, shelf, lore)).transpose()
    }

    /// What has to be said of it.
    pub(crate) fn notes(&self, taught: Option<&Taught>) -> Vec<String> {
        let mut notes: Vec<String> = self.passed_over.iter().cloned().collect();
        let (Some(book), Some(taught)) = (&self.book, taught) else { return notes };
        let swatch = |e: &&Evidence| matches!(e.of, Subject::Swatch(_));
        let all = self.evidence.iter().filter(swatch).count();
        let whole = match self.evidence.len() - all {
            0 => String::new(),
            1 => " and 1 piece dyed whole".to_owned(),
            n => format!(" and {n} pieces dyed whole"),
        };
        let one = self.evidence.len() == 1;
        let (swatches, stand) =
            (if all == 1 { "swatch" } else { "swatches" }, if one { "stands" } else { "stand" });
        let mut said = format!(
            "The workbook {} was read, and is as it was: {all} {swatches}{whole} {stand} in it, and {} of them teach.",
            book.display(),
            taught.lessons().len()
        );
        if !taught.held_out().is_empty() {
            let codes: Vec<&str> = taught.held_out().iter().map(|l| l.code.as_str()).collect();
            let _ = write!(
                said,
                " Asked about, and without a say until a second reading agrees: {}.",
                few(&codes)
            );
        }
        for passed in taught.passed_over() {
            let _ = write!(
                said,
                " Passed over: {}, because {}.",
                few(&passed.codes.iter().map(String::as_str).collect::<Vec<_>>()),
                passed.why.words()
            );
        }
        notes.push(said);
        notes.extend(self.unfinished_note());
        notes
    }

    /// How many readings of unfinished cloth are kept beside finished ones.
    fn unfinished_note(&self) -> Option<String> {
        let readings = self.evidence.iter().flat_map(|e| &e.readings);
        let unfinished = readings.filter(|r| r.it.condition.is_unfinished()).count();
        (unfinished > 0).then(|| {
            let these = match unfinished {
                1 => "1 reading of wet, warm or unwashed cloth is".to_owned(),
                n => format!("{n} readings of wet, warm or unwashed cloth are"),
            };
            format!("{these} kept in it and taught nothing.")
        })
    }
}

/// Codes as they are named in a sentence: of hundreds the first few.
fn few(codes: &[&str]) -> String {
    const MOST: usize = 24;
    match codes.len() {
        many if many > MOST => format!("{} and {} more", codes[..MOST].join(", "), many - MOST),
        _ => codes.join(", "),
    }
}

/// The pieces by their entry, each with the costume it is of.
fn pieces(book: &Book) -> Result<BTreeMap<Id<Piece>, (String, String)>, Refusal> {
    let mut costumes = BTreeMap::new();
    for costume in book.costumes() {
        let costume = costume?;
        costumes.insert(costume.id, costume.it.name);
    }
    let mut named = BTreeMap::new();
    for piece in book.pieces() {
        let piece = piece?;
        if let Some(costume) = costumes.get(&piece.it.costume) {
            named.insert(piece.id, (costume.clone(), piece.it.name));
        }
    }
    Ok(named)
}
