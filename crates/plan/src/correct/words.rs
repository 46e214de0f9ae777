//! What a correction says, a sentence each.

use units::LiquorRatio;

use super::Judged;
use crate::document::{Correction, Say};
use crate::seen::sentence;

impl Judged<'_> {
    pub(super) fn words(&self, answer: &Correction) -> Vec<String> {
        let Correction { read_difference, passes, chances, .. } = answer;
        let what = if self.dyed { "It" } else { "The swatch" };
        let believed = answer.held.difference;
        let mut words = vec![format!(
            "{what} reads {read_difference:.1} (CIEDE2000) from the colour wanted; {passes:.1} passes {}. With \
             all swatches taken together the recipe is believed to lie {believed:.1} away, and to be within \
             what passes with a chance of {:.0} %",
            if *passes < self.piece.viewing.limit() {
                "within its set".to_owned()
            } else {
                self.piece.viewing.to_string()
            },
            chances.within_pct
        )];
        let noise = answer.dyeing_scatter;
        let about_noise = format!(
            "two dyeings of one recipe differ by about {:.1} for no reason at all",
            1.4 * noise
        );
        let gain = chances.gain;
        words.extend(self.elsewhere());
        words.push(match answer.say {
            Say::Stop if !self.dyed && self.said.say != recipe::Say::Stop => {
                "There is nothing more to dye for this one".to_owned()
            }
            Say::Stop if self.dyed && self.said.say != recipe::Say::Stop && read_difference <= passes => {
                "Leave it: as read it is within what passes, and it is dyed. What its recipe would come out as another \
                 time does not matter to it"
                    .to_owned()
            }
            Say::Stop if self.dyed && self.said.say == recipe::Say::Improve => format!(
                "Leave it: it is more likely than not within what passes, and adding gains nothing. Only another piece \
                 of cloth would come {gain:.1} nearer, by the plan's recipe"
            ),
            Say::Stop if chances.within_pct >= 95.0 => {
                "Good enough: stop. Nothing that could be corrected would be seen".to_owned()
            }
            Say::Stop => format!(
                "Good enough: stop. The best other recipe would gain {:.1} as expected, and {about_noise}: what \
                 is left is within the noise of reading and dyeing",
                gain.max(0.0)
            ),
            Say::NextSwatch => format!(
                "Dye the next swatch: it should come {gain:.1} nearer, and the chance that it comes out worse is \
                 {:.0} %{}",
                chances.worse_pct,
                if self.next_is_sure() {
                    ". Its recipe is most likely within what passes even without that swatch, which then only makes \
                     sure"
                } else {
                    ""
                }
            ),
            Say::ReadAgain if self.beyond_belief() => {
                "Not settled: read it again before anything is dyed by it, and record that reading beside the first: \
                 until a second one agrees with it, it is kept and moves no recipe"
                    .to_owned()
            }
            Say::ReadAgain => format!(
                "Not settled: another recipe might gain {:.1}, or be worse with a chance of {:.0} %, and \
                 {about_noise}. Read it again on another day, dry and ironed, under the same light as the others; \
                 record that, and ask again",
                gain.max(0.0),
                chances.worse_pct
            ),
            Say::TopUp | Say::FreshBath => {
                let gain = answer.adding.chances.map_or(0.0, |c| c.gain);
                let how = match answer.say {
                    Say::TopUp => "Top up this bath while it stands",
                    _ if self.procedure().is_alkaline() => {
                        "Add dye in a fresh bath: this one had its alkali, and dye given to it now is lost"
                    }
                    _ => {
                        "Add dye in a fresh bath: it is more than this one may be given in additions without \
                         dyeing unevenly"
                    }
                };
                let parts = match answer.say {
                    Say::TopUp => self.additions(),
                    _ => String::new(),
                };
                format!("{how}{parts}. It should come {gain:.1} nearer")
            }
            Say::CannotBeSaved => {
                "Adding cannot save it: dye only darkens and dulls, and no addition brings it to the colour"
                    .to_owned()
            }
        });
        if self.dyed && self.lesson.look_alike {
            words.push(
                "The swatch was of another cloth like the piece's own: weaker evidence of the piece".to_owned(),
            );
        }
        if self.beyond_belief() {
            words.push(format!(
                "The reading of {} is further from what was expected than swatches are: look at it, and at how \
                 it was recorded, before anything is dyed by it. A slip of the pen is put right by recording the right \
                 reading: the last one counts, and what agrees with it",
                self.lesson.code
            ));
        }
        words.extend(self.taught.in_question(self.lesson));
        words.iter().map(|w| sentence(w)).collect()
    }

    /// Whether the plan's next recipe is most likely within what passes before any swatch of it.
    fn next_is_sure(&self) -> bool {
        let goes_by = self.planned.and_then(|found| found.way.goes_by.as_ref());
        goes_by
            .is_some_and(|swatch| swatch.lesson.code == self.lesson.code && swatch.stands.settled)
    }

    /// Where the swatch stands beside the plan: by another way, at another ratio, held against its set.
    fn elsewhere(&self) -> Vec<String> {
        let Some(found) = self.planned else {
            return vec![
                "The plan dyes the piece otherwise: this is judged by the way the swatch was dyed, and the next recipe \
                 here is not the plan's"
                    .to_owned(),
            ];
        };
        let is = found.way.made.bulk.ratio.to_litres_per_kilogram();
        let was = self.lesson.ratio.map(LiquorRatio::to_litres_per_kilogram);
        let other = was.filter(|was| (was - is).abs() > 0.05 * is).map(|was| {
            format!(
                "It was dyed at {}:1, and the bath of the piece is {}:1: what it would be there is foretold",
                units::trimmed(was, 1),
                units::trimmed(is, 1)
            )
        });
        let better = self.better().map(|good| {
            format!(
                "Another swatch of the piece, {}, is good enough, and its bulk goes by that one",
                good.lesson.code
            )
        });
        let sheet = self.not_final().filter(|_| !self.dyed).map(|(why, card)| {
            format!(
                "It does not make the bulk sheet final: {why}. Dye the swatch of card {card} to make it final"
            )
        });
        let set = self.is_for_set().then(|| {
            "The colour wanted is where its set brings it, so that its pieces match: the recipe is the set's"
                .to_owned()
        });
        other.into_iter().chain(set).chain(better).chain(sheet).collect()
    }

    /// How many additions it is given in, by the trade's rule: one of 15 % of the dye in the recipe at most, then ones
    /// of half that.
    fn additions(&self) -> String {
        let share = self.share_added();
        if share <= FIRST_ADDED {
            return String::new();
        }
        let parts = 1.0 + ((share - FIRST_ADDED) / LATER_ADDED).ceil();
        format!(
            ", in {parts:.0} additions: at most {:.0} % of the dye in the recipe first, then half of that at a time, \
             each followed by the time the rules below give it, and looked at before the next",
            100.0 * FIRST_ADDED
        )
    }
}

/// The most of the first addition, as a share of the dye in the recipe (the rule below).
const FIRST_ADDED: f64 = 0.15;
/// Each addition after the first.
const LATER_ADDED: f64 = 0.075;
