//! What may be wrong with the jars of a job, asked in words: a dye that glows, another dye under the label, a dyeing
//! that came out short.
//!
//! The odds are `dyeing`'s, of all swatches of the job as read against what was believed before it. About one honest job
//! in twenty is asked about, too (in simulation): so the sentence asks and says how to see, and changes no verdict.
//! Left out: friends' swatches and old notes, whose scale and water are in question anyway.

use dyeing::{Doubt, Dyeing, Suspect};

use crate::taught::{Lesson, Taught};

/// From here on odds are not told to the unit.
const MANY: f64 = 100.0;

impl Taught {
    /// What the swatches of this one's job speak for, where they do.
    #[must_use]
    pub fn in_question(&self, lesson: &Lesson) -> Option<String> {
        let (doubt, codes) = self.doubt_of(lesson)?;
        let name = |place: usize| {
            self.experience().stock().get(place).map_or("a dye", |one| one.dye.name.as_str())
        };
        let read = match codes.as_slice() {
            [one] => format!("Swatch {one} reads"),
            several => format!("Swatches {} together read", several.join(", ")),
        };
        let times = |odds: f64| match odds {
            many if many >= MANY => "more than a hundred times".to_owned(),
            few => format!("{:.0} times", few.max(2.0)),
        };
        Some(match doubt.likeliest {
            Suspect::Glows { dye } => format!(
                "{read} as if {} glowed (fluoresced: it sends out light of its own), which explains them {} better \
                 than honest dyes do. Hold a swatch under a blue or ultraviolet lamp in the dark, and read it again in \
                 another light. If it glows, no recipe here reckons with that: judge by eye in the light the piece \
                 will be seen in, or take another dye",
                name(dye),
                times(doubt.glows)
            ),
            Suspect::Holds { dye, other } => format!(
                "{read} as if the jar of {} held {}, which explains them {} better than honest dyes do. Look at the \
                 label and at what was weighed, and dye a snip with that jar alone",
                name(dye),
                name(other),
                times(doubt.holds)
            ),
            Suspect::Short { dyeing } => format!(
                "Swatch {} reads as if only half of its dye had taken, which explains the readings {} better than \
                 honest dyeings do. Was the salt, the alkali or the acid forgotten, or the time cut short? If so, dye \
                 it again and record that",
                codes.get(dyeing).map_or("of this job", String::as_str),
                times(doubt.short)
            ),
        })
    }

    /// The odds, where they ask, and the codes of the swatches they are of.
    fn doubt_of(&self, lesson: &Lesson) -> Option<(Doubt, Vec<String>)> {
        let job = self.job(lesson.job).filter(|_| lesson.own)?;
        let before = &job.before;
        let same = |(_, dyeing): &&(String, Dyeing)| dyeing.fibre == lesson.fibre;
        let (codes, dyeings): (Vec<String>, Vec<Dyeing>) =
            job.read.iter().filter(same).cloned().unzip();
        // What may stand in a wrong jar: the shelf's own dyes of the class.
        let stock = before.stock().iter().enumerate();
        let others: Vec<usize> = stock
            .filter(|(_, one)| one.lot_of.is_none() && one.dye.class == lesson.class)
            .map(|(place, _)| place)
            .collect();
        let doubt = before.doubt(&dyeings, &others).ok()?;
        doubt.asks().then_some((doubt, codes))
    }
}
