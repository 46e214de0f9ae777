//! What must match, and the colours brought to cloth together, as they are told.

use workroom::Plan;
use workroom::document::SetSeen;

use super::name;
use crate::cli::speech::{say, say_wrapped};

/// Mends told of one set; the page has them all.
const MOST_MENDS: usize = 2;

/// Each set with its verdict; then one line about the colours together.
pub(super) fn tell(plan: &Plan) {
    if !plan.sets.is_empty() {
        say("");
        say("What must match");
    }
    for set in &plan.sets {
        one(plan, set);
    }
    if let Some(together) = &plan.together {
        say("");
        say("The colours together");
        say_wrapped("  ", 2, &together.verdict);
    }
}

fn one(plan: &Plan, set: &SetSeen) {
    say_wrapped("  ", 6, &set.verdict);
    if set.holds {
        return;
    }
    if let Some(worst) = set.pairs.first() {
        let says = format!(
            "Worst pair: {} and {}, {:.1} in {} (passes at {:.1}; each alone: {:.1})",
            name(plan, &worst.a),
            name(plan, &worst.b),
            worst.worst,
            worst.light,
            set.passes,
            worst.alone
        );
        say_wrapped("      ", 6, &says);
    }
    if let (Some(breaks), Some(without)) = (&set.breaks, set.largest_without) {
        let says = format!("Without {} the largest is {without:.1}.", name(plan, breaks));
        say_wrapped("      ", 6, &says);
    }
    for mend in set.mend.iter().take(MOST_MENDS) {
        say_wrapped("      Mend: ", 12, mend);
    }
}
