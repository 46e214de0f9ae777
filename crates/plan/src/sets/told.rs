//! What came of a set, written down: members, pairs, verdict, what would mend it.

use colour::{Lab, Light, Screen, Shown, Viewing, Weights, ciede2000};
use costume::Match;
use recipe::{InSet, Matched, Mend};

use super::pairs::pairs;
use super::{Look, Standing};
use crate::document::{ColourSeen, SetMember, SetSeen};
use crate::seen::{of_bands, of_lab, print, sentence};

/// Everything told of a set.
pub(super) fn told(
    set: &Match,
    viewing: Viewing,
    lights: &[Light],
    standing: &[Standing],
    answer: Option<&Matched>,
    undosed: &[String],
    id_of: &dyn Fn(InSet) -> Option<String>,
) -> SetSeen {
    let pairs = pairs(lights, standing);
    let most = |of: fn(&crate::document::PairSeen) -> f64| pairs.iter().map(of).fold(0.0, f64::max);
    let figures = Figures {
        alone: most(|p| p.alone),
        together: most(|p| p.worst),
        within90: most(|p| p.within90),
        first90: most(|p| p.first90),
        passes: viewing.limit(),
        as_alone: answer.is_some_and(|a| a.as_alone),
        none: pairs.is_empty(),
    };
    let holds = figures.together <= figures.passes;
    let broken = answer.and_then(|a| a.breaks.as_ref()).filter(|_| !holds);
    let name = |id: &str| {
        standing.iter().find(|s| s.id == id).map_or_else(|| id.to_owned(), |s| s.name.clone())
    };
    let breaks = broken.and_then(|b| id_of(b.which));
    let breaker = breaks.as_deref().map(&name);
    let mend = broken
        .map(|b| b.mends.iter().map(|m| mend(m, breaker.as_deref().unwrap_or("it"))).collect())
        .unwrap_or_default();
    let members = standing.iter().map(member).collect();
    let common = answer.map(|a| a.common);
    let common = common.or_else(|| standing.iter().find_map(|s| Some(s.together.as_ref()?.bands)));
    let common = common.map_or_else(
        || of_lab(Lab::new(50.0, 0.0, 0.0), "no colour yet"),
        |c| of_bands(&c, "where the set meets", true),
    );
    SetSeen {
        name: set.name.clone(),
        passes: print(figures.passes, 1),
        viewing: viewing.to_string(),
        lights: lights.iter().map(|l| l.name().to_owned()).collect(),
        verdict: verdict(set, viewing, &figures, standing, breaker.as_deref(), undosed),
        largest_alone: figures.alone,
        largest: figures.together,
        within90: figures.within90,
        first90: figures.first90,
        as_alone: figures.as_alone,
        holds,
        common,
        breaks,
        largest_without: broken.map(|b| print(b.largest_without, 2)),
        mend,
        members,
        pairs,
    }
}

fn member(s: &Standing) -> SetMember {
    let hexes = |look: &Look| look.labs.iter().map(|lab| hex(*lab)).collect();
    SetMember {
        id: s.id.clone(),
        name: s.name.clone(),
        kind: s.kind,
        alone: s.alone.as_ref().map(|look| look.seen("matched alone")),
        together: s.together.as_ref().map(|look| look.seen("matched together")),
        from_target: s
            .target
            .zip(s.together.as_ref())
            .map(|(target, look)| print(ciede2000(target, look.day), 2)),
        hexes: s.together.as_ref().map_or_else(Vec::new, hexes),
    }
}

impl Look {
    /// As shown; the chip of a look without a glow is that of its reflectance.
    fn seen(&self, from: &str) -> ColourSeen {
        let plain = Weights::reference().lab(&self.bands);
        if plain == self.day { of_bands(&self.bands, from, true) } else { of_lab(self.day, from) }
    }
}

fn hex(lab: Lab) -> String {
    Shown::of_lab2(Screen::Srgb, lab).colour.to_hex()
}

/// The figures of a set, as printed.
struct Figures {
    /// Largest difference with each piece matched alone, and matched together.
    alone: f64,
    together: f64,
    /// Nine of ten pairs of dyeings within this, and before any swatch has shown what the dyes do.
    within90: f64,
    first90: f64,
    passes: f64,
    /// Whether every piece keeps the recipe it has alone.
    as_alone: bool,
    /// Whether nothing stands beside anything.
    none: bool,
}

fn verdict(
    set: &Match,
    viewing: Viewing,
    figures: &Figures,
    standing: &[Standing],
    breaker: Option<&str>,
    undosed: &[String],
) -> String {
    let mut words = if figures.none {
        format!(
            "the set \"{}\": fewer than two of its pieces have a colour yet, so nothing can be matched",
            set.name
        )
    } else {
        expected(set, viewing, figures)
    };
    if !figures.none && standing.iter().any(|s| s.assumed) {
        words = format!(
            "{words}. What is fixed and was not read as a spectrum has an assumed look under lamps"
        );
    }
    let glowing: Vec<&str> = standing.iter().filter(|s| s.glows).map(|s| s.name.as_str()).collect();
    if !figures.none && !glowing.is_empty() {
        words = format!(
            "{words}. The glow of the optical brightener in {} is in these figures, and no recipe takes it \
             away: cloth without it would match better",
            glowing.join(", ")
        );
    }
    if let Some(breaker) = breaker {
        words = format!("{words}. {breaker} breaks it");
    }
    let left_out: Vec<&str> =
        standing.iter().filter(|s| s.kind == "undecided").map(|s| s.name.as_str()).collect();
    if !left_out.is_empty() {
        words = format!("{words}. Left out for now: {}", left_out.join(", "));
    }
    if !undosed.is_empty() {
        words = format!(
            "{words}. The set's recipe cannot be measured out for {}: it keeps its own",
            undosed.join(", ")
        );
    }
    sentence(&words)
}

/// What to expect of a set, and how sure it is: the recipes are promised, never the pieces.
fn expected(set: &Match, viewing: Viewing, figures: &Figures) -> String {
    let Figures { alone, together, within90, first90, passes, .. } = *figures;
    let does = match (together <= passes, within90 <= passes) {
        (true, true) => "should hold",
        (true, false) => "should hold, though not every dyeing of it will",
        (false, _) => "does not hold",
    };
    let mut words = format!(
        "the set \"{}\" {does}: between the two of its pieces that differ most, in the worst of its \
         lights, expect {together:.1}; up to {passes:.1} passes {viewing}",
        set.name
    );
    if within90 > together {
        words = format!(
            "{words}. Dyeings scatter: nine times in ten it is below {within90:.1} once swatches have \
             shown what the dyes do"
        );
        if first90 > within90 + NOTICED {
            words = format!("{words}, and below {first90:.1} before, dyed from estimates");
        }
        words.push_str(". Look at the swatches side by side before the pieces");
    }
    let own = if figures.as_alone {
        "Each matched alone they are as near as is worth dyeing, and keep their own recipes"
            .to_owned()
    } else {
        format!("Each matched alone it would be {alone:.1}")
    };
    format!("{words}. {own}")
}

/// A spread that is wider by less than this says nothing more (a digit of what is printed, and a little).
const NOTICED: f64 = 0.2;

/// What would mend a set, in words.
fn mend(mend: &Mend, breaker: &str) -> String {
    sentence(&match mend {
        Mend::Lift(limit) => format!(
            "{breaker}: {}. {} Then {:.1} would be left in daylight",
            limit.what.words(),
            sentence(limit.what.helps()),
            limit.gap_without
        ),
        Mend::AnotherClass => format!(
            "{breaker}: another class of dye; these meet the others in daylight and part from them under \
             a lamp, or have not this hue or depth"
        ),
        Mend::GiveWay { largest, off_target } => format!(
            "let {breaker} leave its own colour by {off_target:.1} and come to the others: the set is \
             then within {largest:.1}"
        ),
        Mend::Anchor { largest, off_target } => format!(
            "leave {breaker} as it is and bring the others to it: the set is then within {largest:.1}, \
             the others up to {off_target:.1} from their own colours"
        ),
        Mend::LeaveOut { largest } => {
            format!("take {breaker} out of the set: the others are within {largest:.1}")
        }
    })
}
