//! What was asked for on the command line.

use std::path::PathBuf;

use dyehouse::Start;

use crate::strategy::Fault;

/// What to run.
pub(crate) struct Wish {
    pub(crate) from: Source,
    /// Truths a stratum for the coverage figures; none: those of the jobs themselves.
    pub(crate) coverage: Option<usize>,
    /// The strategies to run; none: all.
    pub(crate) only: Option<Vec<String>>,
}

/// Where the dyes come from.
pub(crate) enum Source {
    /// Drawn here.
    Seed(Drawn),
    /// Made by somebody else.
    Folder(PathBuf),
}

/// A case to draw.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    pub(crate) world: String,
    pub(crate) reading: f64,
    pub(crate) start: Start,
    pub(crate) targets: usize,
    pub(crate) seed: u64,
    /// Where the case is written.
    pub(crate) keep: Option<PathBuf>,
}

/// The most targets of one run: more would take hours and a case of a gigabyte.
const MOST_TARGETS: usize = 100_000;

/// The largest seed that a case can keep (a whole number of TOML).
const MOST_SEED: u64 = i64::MAX.unsigned_abs();
/// The worst reader there is in the dyehouse, rms ΔE00.
const MOST_READING: f64 = 20.0;

/// How it is called.
pub(crate) const USAGE: &str = "\
virtual_dyehouse --world NAME --reading S --start estimates|ladders --targets N --seed S
                 [--coverage N] [--only NAME,NAME] [--keep DIR]
virtual_dyehouse --case DIR [--only NAME,NAME]";

impl Drawn {
    /// Its name, for a folder.
    pub(crate) fn name(&self) -> String {
        let start = if self.start == Start::Ladders { "ladders" } else { "estimates" };
        format!("{}-{start}-{}-{}x{}", self.world, self.reading, self.seed, self.targets)
    }
}

/// Reads the arguments; every word that is not known is refused.
pub(crate) fn read(arguments: impl Iterator<Item = String>) -> Result<Wish, Fault> {
    let mut drawn = Drawn {
        world: "right".to_owned(),
        reading: 1.0,
        start: Start::Estimates,
        targets: 1000,
        seed: 1,
        keep: None,
    };
    let (mut folder, mut coverage, mut only, mut of_seed) = (None, None, None, false);
    let mut arguments = arguments;
    while let Some(word) = arguments.next() {
        let Some(value) = arguments.next() else {
            return Err(format!("{word}: a value is missing\n{USAGE}").into());
        };
        let wrong = |rule: &str| refused(&word, &value, rule);
        of_seed |= !matches!(word.as_str(), "--case" | "--only");
        match word.as_str() {
            "--world" => drawn.world = value,
            "--reading" => {
                let read = value.parse().ok().filter(|r| (0.0..=MOST_READING).contains(r));
                drawn.reading =
                    read.ok_or_else(|| wrong("give a ΔE00 from 0 to 20, such as 1.0"))?;
            }
            "--start" => {
                drawn.start = match value.as_str() {
                    "estimates" => Start::Estimates,
                    "ladders" => Start::Ladders,
                    _ => return Err(wrong("write estimates or ladders")),
                }
            }
            "--targets" => {
                drawn.targets = counted(&value, MOST_TARGETS)
                    .ok_or_else(|| wrong("give a number from 1 to 100000"))?;
            }
            "--seed" => {
                drawn.seed =
                    value.parse().ok().filter(|seed| *seed <= MOST_SEED).ok_or_else(|| {
                        wrong("give a whole number from 0 to 9223372036854775807")
                    })?;
            }
            "--keep" => drawn.keep = Some(PathBuf::from(value)),
            "--coverage" => {
                let truths = counted(&value, MOST_TARGETS / 8);
                let rule = "give the truths a stratum, 1 to 12500";
                coverage = Some(truths.ok_or_else(|| wrong(rule))?);
            }
            "--only" => only = Some(value.split(',').map(str::to_owned).collect()),
            "--case" => folder = Some(PathBuf::from(value)),
            _ => return Err(refused(&word, &value, "this is not known")),
        }
    }
    let from = match folder {
        Some(_) if of_seed => {
            return Err(format!("--case stands alone: the folder says the rest\n{USAGE}").into());
        }
        Some(folder) => Source::Folder(folder),
        None => Source::Seed(drawn),
    };
    Ok(Wish { from, coverage, only })
}

fn counted(value: &str, most: usize) -> Option<usize> {
    value.parse().ok().filter(|n| (1..=most).contains(n))
}

fn refused(word: &str, value: &str, rule: &str) -> Fault {
    format!("{word} {value}: {rule}\n{USAGE}").into()
}
