//! What is placed in one go: a job, or the jars that share a hot bath, cut where it may be cut.

use crate::job::Family;
use crate::windows::Within;

/// A job (or the jars of one bath) as the planner sees it.
#[derive(Debug, Clone)]
pub(crate) struct Unit {
    /// Indices into the ask's jobs.
    pub(crate) members: Vec<usize>,
    pub(crate) blocks: Vec<Block>,
    /// Between one block and the next; one fewer than blocks.
    pub(crate) gaps: Vec<Gap>,
    pub(crate) pot: Option<usize>,
    /// The pot holds clean water with jars in it: it neither dirties the pot nor minds the dirt.
    pub(crate) jars: bool,
    pub(crate) darkness: f64,
    pub(crate) families: Families,
    /// Not before this minute: what it needs has not come.
    pub(crate) release: i32,
    pub(crate) before: Vec<usize>,
    pub(crate) behind: Vec<usize>,
}

/// What may lie between two blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Gap {
    /// At most so many minutes; none: as long as it likes.
    pub(crate) most: Option<i32>,
    /// The goods stay in the pot meanwhile.
    pub(crate) holds_pot: bool,
}

/// Steps that follow each other without a pause.
#[derive(Debug, Clone)]
pub(crate) struct Block {
    pub(crate) steps: Vec<Step>,
    pub(crate) length: i32,
    /// From the first to the last step with goods in the pot, as offsets.
    pub(crate) in_pot: Option<(i32, i32)>,
}

/// One step of a block.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    pub(crate) what: What,
    /// Offset in the block.
    pub(crate) at: i32,
    pub(crate) length: i32,
    pub(crate) hands: Hands,
    pub(crate) burner: bool,
    pub(crate) sink: Option<Families>,
    pub(crate) within: Within,
    /// Drying places it takes.
    pub(crate) drying: usize,
}

/// What a step is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum What {
    Stage(usize),
    /// A rinse of the sink between two stages of one job that must not meet.
    Rinse(Family, Family),
    Drying,
}

/// What a step asks of the people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hands {
    None,
    Near {
        changing: bool,
        burner: bool,
    },
    /// Full, and nothing that is attended goes on beside it.
    Alone,
    /// `eyes`: it takes the eyes as well, and no bath on a burner is looked after beside it.
    Full {
        powder: bool,
        eyes: bool,
    },
}

/// A set of families.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Families(u16);

impl Families {
    pub(crate) fn of(families: &[Family]) -> Self {
        Self(families.iter().fold(0, |set, &family| set | 1 << family as u16))
    }

    pub(crate) const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    pub(crate) const fn order(self) -> u16 {
        self.0
    }

    fn has(self, family: Family) -> bool {
        self.0 & (1 << family as u16) != 0
    }
}

/// The pairs that must never meet.
#[derive(Debug, Clone)]
pub(crate) struct Apart(Vec<(Family, Family)>);

impl Apart {
    pub(crate) fn new(pairs: &[(Family, Family)]) -> Self {
        Self(pairs.to_vec())
    }

    /// The first pair of which one is in `earlier` and the other in `later`.
    pub(crate) fn meets(&self, earlier: Families, later: Families) -> Option<(Family, Family)> {
        self.0.iter().find_map(|&(a, b)| {
            if earlier.has(a) && later.has(b) {
                Some((a, b))
            } else if earlier.has(b) && later.has(a) {
                Some((b, a))
            } else {
                None
            }
        })
    }

    /// Those of `families` that have an enemy.
    pub(crate) fn dangerous(&self, families: Families) -> Families {
        Families(
            self.0
                .iter()
                .fold(0, |set, &(a, b)| set | (families.0 & (1 << a as u16 | 1 << b as u16))),
        )
    }
}

impl Block {
    pub(crate) fn new(mut steps: Vec<Step>, in_pot: &[bool]) -> Self {
        let mut at = 0;
        for step in &mut steps {
            step.at = at;
            at += step.length;
        }
        let first = in_pot.iter().position(|&pot| pot).map(|i| steps[i].at);
        let last = in_pot.iter().rposition(|&pot| pot).map(|i| steps[i].at + steps[i].length);
        Self { steps, length: at, in_pot: first.zip(last) }
    }

    fn mirrored(&self) -> Self {
        let turn = |step: &Step| Step { at: self.length - step.at - step.length, ..*step };
        Self {
            steps: self.steps.iter().rev().map(turn).collect(),
            length: self.length,
            in_pot: self.in_pot.map(|(from, to)| (self.length - to, self.length - from)),
        }
    }
}

impl Unit {
    /// The same unit with time running backwards; it is free from the pivot on.
    pub(crate) fn mirrored(&self) -> Self {
        Self {
            blocks: self.blocks.iter().rev().map(Block::mirrored).collect(),
            gaps: self.gaps.iter().rev().copied().collect(),
            release: 0,
            before: self.behind.clone(),
            behind: self.before.clone(),
            members: self.members.clone(),
            ..*self
        }
    }

    /// The least time from beginning to end.
    pub(crate) fn length(&self) -> i32 {
        self.blocks.iter().map(|block| block.length).sum()
    }
}

/// The units in an order in which each comes after all it waits for.
pub(crate) fn forerunners_first(units: &[Unit]) -> Vec<usize> {
    let mut waiting: Vec<usize> = units.iter().map(|unit| unit.before.len()).collect();
    let mut order: Vec<usize> = (0..units.len()).filter(|&unit| waiting[unit] == 0).collect();
    let mut next = 0;
    while let Some(&unit) = order.get(next) {
        next += 1;
        for &later in &units[unit].behind {
            waiting[later] -= 1;
            if waiting[later] == 0 {
                order.push(later);
            }
        }
    }
    order
}
