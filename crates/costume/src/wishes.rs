//! What a maker wants of a piece besides its colour: what it is worth, how a blend may come out, what it
//! is seen over.

use units::Share;

use crate::reader::{At, Table};
use crate::target::given;
use crate::{Files, Given};

/// Ids of the advice a plan may give, for `overrule`: what would hurt people or ruin cloth has none.
pub const ADVICE: [&str; 22] = [
    "out-of-reach",
    "spread",
    "metamerism",
    "heather",
    "fair-class",
    "careful",
    "low-ratio",
    "paler",
    "brightened",
    "swatch-ratio",
    "swatch-day",
    "no-swatch",
    "ground-assumed",
    "starter-shelf",
    "programme",
    "goods",
    "two-baths",
    "no-surface",
    "target-assumed",
    "day-past",
    "day-near",
    "no-bath",
];

/// How much a piece matters when there is not time or money for all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Worth {
    /// Without it there is no costume.
    Must,
    /// The usual.
    #[default]
    Should,
    /// Dropped first.
    Could,
}

impl Worth {
    /// All of them, what is dropped last first.
    pub const ALL: [Self; 3] = [Self::Must, Self::Should, Self::Could];

    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Must => "must",
            Self::Should => "should",
            Self::Could => "could",
        }
    }
}

/// How a blend of fibres may be dyed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BlendWish {
    /// All fibres in one bath.
    OneBath,
    /// A bath for each fibre, one after the other.
    TwoBaths,
    /// One fibre is left: a mixture of two colours, seen from near.
    Heather,
}

impl BlendWish {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::OneBath, Self::TwoBaths, Self::Heather];

    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OneBath => "one bath",
            Self::TwoBaths => "two baths",
            Self::Heather => "heather",
        }
    }
}

/// What a sheer piece is seen over.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// How much of the light meets its yarn; the rest goes to the backing.
    pub cover: Share,
    /// The colour behind it.
    pub backing: Given,
}

/// Reads `over`.
pub(crate) fn over(table: &Table, files: &dyn Files) -> Option<Over> {
    let part = table.part("over")?;
    let hint = "how much of the light meets the yarn, per cent";
    let cover = part.need_between("cover_pct", 1.0..=99.0, hint);
    let backing = given(&part, files);
    Some(Over { cover: Share::try_percent(cover?.it).ok()?, backing: backing? })
}

/// Most people who dye the same piece.
const MOST_PEOPLE: usize = 12;

/// Reads `dyed_by`: nobody, or two to twelve people of different names.
pub(crate) fn dyed_by(table: &Table) -> Vec<String> {
    let Some(At { span, .. }) = table.any("dyed_by") else { return vec![] };
    let hint = "write two to twelve names, or leave it out when you dye it yourself";
    let mut names: Vec<String> = vec![];
    let listed = table.texts("dyed_by");
    for At { it, span } in &listed {
        let name = it.trim();
        if name.is_empty() {
            table.fault(span.clone(), "`dyed_by` holds an empty name", hint);
        } else if names.iter().any(|n| n.to_lowercase() == name.to_lowercase()) {
            let hint = "tell them apart, as in \"Bo L.\" and \"Bo M.\"";
            table.fault(span.clone(), format!("`dyed_by` names \"{name}\" twice"), hint);
        } else {
            names.push(name.to_owned());
        }
    }
    if !(2..=MOST_PEOPLE).contains(&listed.len()) {
        table.fault(span, format!("`dyed_by` names {} people", listed.len()), hint);
    }
    names
}
