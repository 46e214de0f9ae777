//! The state a cloth was in when it was read. Each fact is yes, no, or not said: never assumed.

use crate::Refusal;
use crate::record::Fields;
use crate::words::words;

words! {
    /// Whether something was so.
    Told, "answer", {
        /// Nobody said.
        Unsaid = "not said",
        /// It was.
        Yes = "yes",
        /// It was not.
        No = "no",
    }
}

words! {
    /// How the nap lay.
    Nap, "lie of a nap", {
        /// Nobody said.
        Unsaid = "not said",
        /// The cloth has none.
        None = "none",
        /// Read with the nap.
        With = "with",
        /// Read against the nap.
        Against = "against",
        /// Read both ways and averaged.
        Both = "both ways",
    }
}

words! {
    /// What lay behind the cloth.
    Backing, "backing", {
        /// Nobody said.
        Unsaid = "not said",
        /// The same cloth, folded until nothing shone through.
        Itself = "itself",
        /// White.
        White = "white",
        /// Grey.
        Grey = "grey",
        /// Black.
        Black = "black",
        /// Nothing.
        Open = "open",
    }
}

/// The state of a cloth when it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Condition {
    /// Loose dye washed off as the procedure asks: soaped, where it asks for that.
    pub washed_off: Told,
    /// Dry.
    pub dry: Told,
    /// Cooled down.
    pub cool: Told,
    /// Ironed.
    pub ironed: Told,
    /// The nap.
    pub nap: Nap,
    /// The backing.
    pub backing: Backing,
}

impl Condition {
    /// Nothing was said.
    pub const UNSAID: Self = Self {
        washed_off: Told::Unsaid,
        dry: Told::Unsaid,
        cool: Told::Unsaid,
        ironed: Told::Unsaid,
        nap: Nap::Unsaid,
        backing: Backing::Unsaid,
    };

    /// Whether it is told that the cloth was not finished: wet, warm, or with loose dye in it (not
    /// washed off, not soaped). Such a reading is kept, and is not the colour of what was dyed.
    #[must_use]
    pub const fn is_unfinished(self) -> bool {
        matches!(self.dry, Told::No)
            || matches!(self.cool, Told::No)
            || matches!(self.washed_off, Told::No)
    }

    pub(crate) fn cells(self) -> [&'static str; 6] {
        [
            self.washed_off.word(),
            self.dry.word(),
            self.cool.word(),
            self.ironed.word(),
            self.nap.word(),
            self.backing.word(),
        ]
    }

    pub(crate) fn read(row: &Fields<'_>) -> Result<Self, Refusal> {
        Ok(Self {
            washed_off: row.word("washed_off", Told::from_word)?,
            dry: row.word("dry", Told::from_word)?,
            cool: row.word("cool", Told::from_word)?,
            ironed: row.word("ironed", Told::from_word)?,
            nap: row.word("nap", Nap::from_word)?,
            backing: row.word("backing", Backing::from_word)?,
        })
    }
}

impl From<colour::Condition> for Condition {
    /// What the one word of a reading from a file tells.
    fn from(told: colour::Condition) -> Self {
        use colour::Condition as Word;
        let unsaid = Self::UNSAID;
        match told {
            Word::Unknown => unsaid,
            Word::Wet | Word::Damp => Self { dry: Told::No, ..unsaid },
            Word::Dry | Word::Conditioned => Self { dry: Told::Yes, ..unsaid },
            Word::Washed => Self { washed_off: Told::Yes, ..unsaid },
            Word::Ironed => Self { dry: Told::Yes, ironed: Told::Yes, ..unsaid },
        }
    }
}
