//! A job: one visit of a piece to a pot, a sink or a table, as stages that follow each other.

use std::fmt;

use units::{Minutes, Share};

/// One job of the costume.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Its name among the jobs; no other job has it.
    pub id: String,
    /// The piece it is for.
    pub piece: String,
    /// What sort of work it is.
    pub kind: JobKind,
    /// Where the goods are.
    pub place: JobPlace,
    /// What is done, in order; never empty.
    pub stages: Vec<Stage>,
    /// Time on a drying place after the last stage; zero: it does not hang to dry.
    pub drying: Minutes,
    /// Jobs (by id) that must be finished and dry first. That a bulk comes after its piece's
    /// swatches and their judging need not be said here.
    pub after: Vec<String>,
    /// How much the costume needs it.
    pub worth: Worth,
    /// How dark the bath is, 0 white to 1 black (1 − L*/100 of what it dyes).
    pub darkness: Share,
    /// Items (by name) that must have come.
    pub needs: Vec<String>,
    /// What may become of the bath afterwards.
    pub leftover: Leftover,
}

/// What sort of work a job is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JobKind {
    /// A test of what the fibre is.
    Test,
    /// Cleaning or stripping before dye.
    Scour,
    /// A test swatch.
    Swatch,
    /// Judging dry swatches in daylight.
    Judge,
    /// The piece itself in its bath.
    Bulk,
    /// What comes after the dye: fixing, pressing, care.
    Finish,
}

/// Where the goods of a job are while a stage uses the vessel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JobPlace {
    /// In no vessel that is counted.
    Nowhere,
    /// In a pot of its own: index into the kitchen's pots.
    Pot(usize),
    /// In a jar that stands in a pot of hot water with others of the same programme.
    Jar {
        /// Index into the kitchen's pots.
        pot: usize,
        /// Jars of one key share a bath: one programme, stage by stage.
        together: String,
    },
    /// In a pot with the other goods of its load: who makes the loads sees to it that they fit.
    Load {
        /// Index into the kitchen's pots.
        pot: usize,
        /// Jobs of one key lie in one bath: one programme, stage by stage.
        together: String,
    },
}

/// How much the costume needs a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Worth {
    /// Dropped first.
    Could,
    /// Dropped when that is not enough.
    Should,
    /// Never dropped.
    Must,
}

/// What may become of a bath that is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Leftover {
    /// It is thrown away, and nothing is begun in another's.
    Never,
    /// Baths of one key may follow each other from dark to pale.
    Key {
        /// Class, fibre and whatever else must be alike.
        key: String,
        /// The piece is part of a match: its own bath is always fresh.
        matched: bool,
    },
}

/// One stage: something that takes time, with what it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// What is done, in the words of the bath sheet.
    pub name: String,
    /// How long; whole minutes, anything else is rounded up.
    pub minutes: Minutes,
    /// An unattended stage without heat may last as long as this; none: exactly `minutes`.
    pub at_most: Option<Minutes>,
    /// Who must be there.
    pub attention: Attention,
    /// Whether and how it is heated.
    pub heat: Heat,
    /// The temperature is on its way up or down, or something is being added: nobody weighs
    /// powder meanwhile.
    pub changing: bool,
    /// The goods are in the job's vessel.
    pub vessel: bool,
    /// Powder is weighed or raised; takes full hands whatever `attention` says.
    pub powder: bool,
    /// What goes down the sink; empty: the sink is not used.
    pub sink: Vec<Family>,
    /// The work may stop before this stage, overnight or for days.
    pub may_wait: bool,
}

/// Who must be there during a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Attention {
    /// Hands full, and nothing else in the kitchen: no burner lit, no bath looked after beside it.
    Alone,
    /// Hands full.
    All,
    /// In the house, looking often.
    Near,
    /// Nobody; never with heat.
    Away,
}

/// How a stage is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Heat {
    /// Not at all.
    None,
    /// On a burner.
    Burner,
    /// By itself: a machine, a steamer, a microwave oven.
    Own,
}

/// What a stage leaves in the sink, and a bath in its pot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Hypochlorite bleach.
    Hypochlorite,
    /// Acids.
    Acid,
    /// Alkalis.
    Alkali,
    /// Reducers: hydrosulphite, thiourea dioxide, bisulphite.
    Reducer,
    /// Peroxide and perborate.
    Peroxide,
    /// Ammonia, ammonium salts, urea.
    Ammonia,
    /// Permanganate.
    Permanganate,
    /// Water, soap, spent neutral dye.
    Plain,
}

impl Family {
    /// All families.
    pub const ALL: [Self; 8] = [
        Self::Hypochlorite,
        Self::Acid,
        Self::Alkali,
        Self::Reducer,
        Self::Peroxide,
        Self::Ammonia,
        Self::Permanganate,
        Self::Plain,
    ];
}

impl fmt::Display for Family {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Hypochlorite => "bleach",
            Self::Acid => "acid",
            Self::Alkali => "alkali",
            Self::Reducer => "a reducer",
            Self::Peroxide => "peroxide",
            Self::Ammonia => "ammonia",
            Self::Permanganate => "permanganate",
            Self::Plain => "water",
        })
    }
}
