//! Branch and bound over recipes: one choice a piece, dyes bought by the pack.
//!
//! The bound of a branch is the packs that are sure to be bought (by the pieces settled, and by the
//! least that the others take of each dye in any case), plus a share of packs not yet sure: each pack
//! that may have to be opened is shared evenly among the open pieces that could use it, and every open
//! piece pays at least the shares of its cheapest recipe. No completion can cost less: whichever pieces
//! open a pack, their shares of it are no more than the pack.

use units::{Mass, Money};

use super::{LEEWAY, NotReckoned, Sold, Want};

/// What a choice of recipes costs, compared in this order: dyes to buy of unknown price, hundredths of the known
/// ones, and the sum of differences (thousandths of ΔE00).
pub(super) type Cost = (u32, u64, u64);

/// A recipe as the search sees it.
#[derive(Debug, Clone)]
pub(super) struct Recipe {
    /// Its place among the choices of its want.
    pub(super) place: usize,
    /// Its dyes, each once.
    dyes: Vec<Part>,
    /// Its difference, thousandths of ΔE00.
    off: u64,
}

/// A dye in a recipe.
#[derive(Debug, Clone, Copy)]
struct Part {
    /// Its place among those sold.
    dye: usize,
    grams: f64,
    /// Grams beyond what its piece takes of it by any recipe.
    beyond: f64,
}

/// The whole task.
pub(super) struct Job<'s, 'a> {
    sold: &'s [Sold<'a>],
    pub(super) pieces: Vec<Vec<Recipe>>,
}

/// The best found.
pub(super) struct Solved {
    pub(super) places: Vec<usize>,
    pub(super) exact: bool,
    pub(super) nodes: u64,
}

impl<'s, 'a> Job<'s, 'a> {
    /// Reads wants: what is within each limit, or near the best of a piece out of reach.
    pub(super) fn of(wants: &[Want], sold: &'s [Sold<'a>]) -> Result<Self, NotReckoned> {
        for (at, dye) in sold.iter().enumerate() {
            if sold[..at].iter().any(|other| other.key == dye.key) {
                return Err(NotReckoned::Twice { key: dye.key.to_owned() });
            }
        }
        let pieces = wants.iter().enumerate().map(|(piece, want)| read(piece, want, sold));
        Ok(Self { sold, pieces: pieces.collect::<Result<_, _>>()? })
    }

    /// Settles every group of pieces that share a dye which may have to be bought.
    pub(super) fn solve(&self, most_nodes: u64) -> Solved {
        let mut places = vec![0; self.pieces.len()];
        let (mut exact, mut nodes) = (true, 0);
        let groups = self.groups();
        let count = groups.len() as u64;
        for group in groups {
            // What an easy group does not need is left to none: the answer must not hang on the order.
            let mut search = Search::new(self, group, (most_nodes / count).max(1));
            search.greedy();
            search.branch(0);
            exact &= !search.stopped;
            nodes += search.nodes;
            for (piece, recipe) in search.group.iter().zip(&search.best.1) {
                places[*piece] = self.pieces[*piece][*recipe].place;
            }
        }
        Solved { places, exact, nodes }
    }

    /// Whether there is so much of a dye that all of the pieces together cannot use it up.
    fn plenty(&self, dye: usize) -> bool {
        let most = |piece: &Vec<Recipe>| piece.iter().map(|r| grams(r, dye)).fold(0.0, f64::max);
        short(self.pieces.iter().map(most).sum(), self.sold[dye].left).is_none()
    }

    fn groups(&self) -> Vec<Vec<usize>> {
        let scarce: Vec<bool> = (0..self.sold.len()).map(|dye| !self.plenty(dye)).collect();
        let mut group: Vec<usize> = (0..self.pieces.len()).collect();
        let mut user = vec![None; self.sold.len()];
        for piece in 0..self.pieces.len() {
            for &Part { dye, .. } in self.pieces[piece].iter().flat_map(|r| &r.dyes) {
                if !scarce[dye] {
                    continue;
                }
                match user[dye] {
                    None => user[dye] = Some(piece),
                    Some(other) => {
                        let (from, to) = (group[piece], group[other]);
                        group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
                    }
                }
            }
        }
        let mut groups: Vec<Vec<usize>> = vec![];
        for at in 0..self.pieces.len() {
            let members: Vec<usize> = (0..group.len()).filter(|p| group[*p] == at).collect();
            if !members.is_empty() {
                groups.push(members);
            }
        }
        groups
    }

    /// What buying so many grams of a dye costs.
    fn packs(&self, dye: usize, takes: f64) -> (u32, u64) {
        let Some(short) = short(takes, self.sold[dye].left) else { return (0, 0) };
        match (self.sold[dye].pack, Mass::try_grams(short)) {
            (Some(pack), Ok(short)) => {
                (0, times(pack.price(), pack.packs_for(short)).to_hundredths())
            }
            _ => (1, 0),
        }
    }
}

fn read(piece: usize, want: &Want, sold: &[Sold]) -> Result<Vec<Recipe>, NotReckoned> {
    let number = |what, given: f64| {
        let rule = "give a ΔE00 from 0 to 1000";
        let ok = (0.0..=1000.0).contains(&given);
        if ok { Ok(()) } else { Err(NotReckoned::Number { what, piece, given, rule }) }
    };
    number("the limit", want.limit)?;
    let mut recipes = vec![];
    for (place, choice) in want.choices.iter().enumerate() {
        number("the difference of a recipe", choice.worst)?;
        let mut dyes: Vec<Part> = vec![];
        for (key, mass) in &choice.dyes {
            let Some(dye) = sold.iter().position(|s| s.key == *key) else {
                return Err(NotReckoned::UnknownDye { piece, key: (*key).to_owned() });
            };
            if mass.to_grams() == 0.0 {
                continue;
            }
            match dyes.iter_mut().find(|d| d.dye == dye) {
                Some(known) => known.grams += mass.to_grams(),
                None => dyes.push(Part { dye, grams: mass.to_grams(), beyond: 0.0 }),
            }
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1e6")]
        let off = (choice.worst * 1000.0).round() as u64;
        recipes.push(Recipe { place, dyes, off });
    }
    let best = want.choices.iter().map(|c| c.worst).fold(f64::INFINITY, f64::min);
    let limit = if best <= want.limit { want.limit } else { best + LEEWAY };
    recipes.retain(|r| want.choices[r.place].worst <= limit);
    let least = recipes.clone();
    for part in recipes.iter_mut().flat_map(|r| &mut r.dyes) {
        let least = least.iter().map(|r| grams(r, part.dye)).fold(f64::INFINITY, f64::min);
        part.beyond = part.grams - least;
    }
    if recipes.is_empty() { Err(NotReckoned::NoChoice { piece }) } else { Ok(recipes) }
}

fn grams(recipe: &Recipe, dye: usize) -> f64 {
    recipe.dyes.iter().find(|d| d.dye == dye).map_or(0.0, |d| d.grams)
}

/// What is missing of a dye; none when the shelf has it. A milligram of a millionth is rounding.
pub(super) fn short(takes: f64, left: Mass) -> Option<f64> {
    let short = takes - left.to_grams();
    (short > 1e-9 * takes.max(1.0)).then_some(short)
}

/// Several packs' price.
pub(super) fn times(price: Money, packs: u32) -> Money {
    let hundredths = price.to_hundredths().saturating_mul(u64::from(packs));
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53 for what anybody buys")]
    let amount = hundredths as f64 / 100.0;
    // More than a thousand millions is as good as that.
    Money::try_amount(amount.min(1e9)).unwrap_or_default()
}

struct Search<'j, 's, 'a> {
    job: &'j Job<'s, 'a>,
    /// Pieces of the group, the ones with fewest recipes first.
    group: Vec<usize>,
    /// Least grams that the pieces from a depth on take of each dye in any case.
    least: Vec<Vec<f64>>,
    /// How many pieces from a depth on could use each dye.
    users: Vec<Vec<u32>>,
    /// Sum of the least differences from a depth on.
    off: Vec<u64>,
    dyes: Vec<usize>,
    takes: Vec<f64>,
    chosen: Vec<usize>,
    spent: u64,
    best: (Cost, Vec<usize>),
    nodes: u64,
    most: u64,
    stopped: bool,
}

impl<'j, 's, 'a> Search<'j, 's, 'a> {
    fn new(job: &'j Job<'s, 'a>, mut group: Vec<usize>, most: u64) -> Self {
        group.sort_by_key(|p| job.pieces[*p].len());
        let sold = job.sold.len();
        let (mut least, mut users) = (vec![vec![0.0; sold]], vec![vec![0; sold]]);
        let mut off = vec![0];
        let mut dyes: Vec<usize> = vec![];
        for (at, piece) in group.iter().rev().enumerate() {
            let recipes = &job.pieces[*piece];
            let (mut less, mut more) = (least[at].clone(), users[at].clone());
            for dye in 0..sold {
                less[dye] += recipes.iter().map(|r| grams(r, dye)).fold(f64::INFINITY, f64::min);
                more[dye] += u32::from(recipes.iter().any(|r| grams(r, dye) > 0.0));
            }
            dyes.extend(recipes.iter().flat_map(|r| r.dyes.iter().map(|d| d.dye)));
            off.push(off[at] + recipes.iter().map(|r| r.off).min().unwrap_or(0));
            least.push(less);
            users.push(more);
        }
        least.reverse();
        users.reverse();
        off.reverse();
        dyes.sort_unstable();
        dyes.dedup();
        let takes = vec![0.0; sold];
        let best = ((u32::MAX, u64::MAX, u64::MAX), vec![0; group.len()]);
        let chosen = vec![];
        Self {
            job,
            group,
            least,
            users,
            off,
            dyes,
            takes,
            chosen,
            spent: 0,
            best,
            nodes: 0,
            most,
            stopped: false,
        }
    }

    /// A first answer: each piece in turn takes what costs least then, and again while that changes anything.
    fn greedy(&mut self) {
        let mut chosen: Vec<usize> = vec![0; self.group.len()];
        let mut takes = vec![0.0; self.job.sold.len()];
        let cost = |takes: &[f64]| self.job.cost(&self.dyes, takes);
        let add = |takes: &mut [f64], at: usize, recipe: usize, sign: f64| {
            for part in &self.job.pieces[self.group[at]][recipe].dyes {
                takes[part.dye] += sign * part.grams;
            }
        };
        for round in 0..GREEDY_ROUNDS {
            let before = chosen.clone();
            for (at, now) in chosen.iter_mut().enumerate() {
                if round > 0 {
                    add(&mut takes, at, *now, -1.0);
                }
                let each = |recipe: usize| {
                    let mut with = takes.clone();
                    add(&mut with, at, recipe, 1.0);
                    let (unknown, hundredths) = cost(&with);
                    (unknown, hundredths, self.job.pieces[self.group[at]][recipe].off)
                };
                let recipes = 0..self.job.pieces[self.group[at]].len();
                *now = recipes.min_by_key(|r| each(*r)).unwrap_or(0);
                add(&mut takes, at, *now, 1.0);
            }
            if round > 0 && chosen == before {
                break;
            }
        }
        let (unknown, hundredths) = cost(&self.summed(&chosen));
        let off = chosen.iter().enumerate().map(|(at, r)| self.job.pieces[self.group[at]][*r].off);
        // One more than it is: the same cost found by branching is then the earlier choice.
        self.best = ((unknown, hundredths, off.sum::<u64>() + 1), chosen);
    }

    /// Grams of each dye for a whole choice, always added in the same order.
    fn summed(&self, chosen: &[usize]) -> Vec<f64> {
        let mut takes = vec![0.0; self.job.sold.len()];
        for (piece, recipe) in self.group.iter().zip(chosen) {
            for part in &self.job.pieces[*piece][*recipe].dyes {
                takes[part.dye] += part.grams;
            }
        }
        takes
    }

    fn branch(&mut self, depth: usize) {
        if self.nodes >= self.most {
            self.stopped = true;
            return;
        }
        self.nodes += 1;
        if depth == self.group.len() {
            let (unknown, hundredths) = self.job.cost(&self.dyes, &self.takes);
            let cost = (unknown, hundredths, self.spent);
            if cost < self.best.0 {
                self.best = (cost, self.chosen.clone());
            }
            return;
        }
        let piece = self.group[depth];
        let mut branches: Vec<(Cost, usize)> = vec![];
        for recipe in 0..self.job.pieces[piece].len() {
            let was = self.take(piece, recipe);
            branches.push((self.bound(depth + 1), recipe));
            self.put_back(piece, recipe, &was);
        }
        branches.sort_unstable();
        for (bound, recipe) in branches {
            if bound >= self.best.0 {
                break;
            }
            let was = self.take(piece, recipe);
            self.chosen.push(recipe);
            self.branch(depth + 1);
            self.chosen.pop();
            self.put_back(piece, recipe, &was);
        }
    }

    /// Takes a recipe; hands back what was taken of its dyes before, so that putting back leaves no dust.
    fn take(&mut self, piece: usize, recipe: usize) -> Vec<f64> {
        let recipe = &self.job.pieces[piece][recipe];
        self.spent += recipe.off;
        let was = recipe.dyes.iter().map(|part| self.takes[part.dye]).collect();
        recipe.dyes.iter().for_each(|part| self.takes[part.dye] += part.grams);
        was
    }

    fn put_back(&mut self, piece: usize, recipe: usize, was: &[f64]) {
        let recipe = &self.job.pieces[piece][recipe];
        self.spent -= recipe.off;
        recipe.dyes.iter().zip(was).for_each(|(part, was)| self.takes[part.dye] = *was);
    }

    /// No completion from a depth on costs less.
    fn bound(&self, depth: usize) -> Cost {
        let sold = self.job.sold.len();
        let (mut unknown, mut hundredths) = (0, 0);
        // What the next pack of a dye not yet sure to be bought would add for each piece that may use it.
        let mut share = vec![0.0; sold];
        let mut strange = vec![false; sold];
        let (mut sure, mut packs) = (vec![0.0; sold], vec![(0, 0); sold]);
        for &dye in &self.dyes {
            sure[dye] = self.takes[dye] + self.least[depth][dye];
            packs[dye] = self.job.packs(dye, sure[dye]);
            let (u, h) = packs[dye];
            unknown += u;
            hundredths += h;
            let users = self.users[depth][dye];
            match self.job.sold[dye].pack {
                Some(pack) if users > 0 => {
                    #[expect(clippy::cast_precision_loss, reason = "a price in hundredths")]
                    let price = pack.price().to_hundredths() as f64;
                    share[dye] = price / f64::from(users);
                }
                None if u == 0 => strange[dye] = true,
                _ => {}
            }
        }
        let (mut more, mut worst_strange) = (0.0, 0);
        for piece in &self.group[depth..] {
            let pays = |r: &Recipe| -> (u32, f64) {
                let (mut unknowns, mut pays) = (0, 0.0);
                for &Part { dye, beyond, .. } in &r.dyes {
                    // Only what this piece alone would push beyond the sure packs opens another.
                    if beyond > 0.0 && self.job.packs(dye, sure[dye] + beyond) > packs[dye] {
                        unknowns += u32::from(strange[dye]);
                        pays += share[dye];
                    }
                }
                (unknowns, pays)
            };
            let recipes = &self.job.pieces[*piece];
            worst_strange = worst_strange.max(recipes.iter().map(|r| pays(r).0).min().unwrap_or(0));
            more += recipes.iter().map(|r| pays(r).1).fold(f64::INFINITY, f64::min);
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a sum of prices"
        )]
        let more = (more - 1e-6).max(0.0).ceil() as u64;
        (unknown + worst_strange, hundredths + more, self.spent + self.off[depth])
    }
}

/// Rounds of the first answer.
const GREEDY_ROUNDS: usize = 8;

impl Job<'_, '_> {
    /// What so much of each of these dyes costs to buy.
    fn cost(&self, dyes: &[usize], takes: &[f64]) -> (u32, u64) {
        dyes.iter().fold((0, 0), |(unknown, hundredths), dye| {
            let (u, h) = self.packs(*dye, takes[*dye]);
            (unknown + u, hundredths + h)
        })
    }
}
