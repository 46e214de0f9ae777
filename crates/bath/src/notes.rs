//! What to know of a bath before it is begun: water, measuring, pH. What harms is in `caution`.

use lore::{AgentGroup, AlkaliUse, DyeClass, Programme};
use units::{significant, trimmed};

use crate::sheet::{Auxiliary, Dye};
use crate::{Kind, Order, dye};

/// pH below which a bath is an acid one.
const NEUTRAL: f64 = 7.0;

/// Citric acid (anhydrous) of as many acid groups as a gram of acetic acid, g (calculated).
const CITRIC_FOR_ACETIC: f64 = 1.07;

/// From here a cold bath is warm enough for a phthalocyanine, °C (lore's note on it).
const WARM_C: f64 = 40.0;

/// The notes of a sheet.
pub(crate) fn notes(
    order: &Order<'_>,
    programme: &Programme,
    dyes: &[Dye],
    auxiliaries: &[Auxiliary],
    liquor: units::Volume,
    left_out: &[String],
) -> Vec<String> {
    let mut said = vec![
        "Wet the goods out, let them drip and weigh them wet: run in that much less water, 100 mL less \
         for each 100 g they weigh more than dry (1 L for 1 kg)."
            .to_owned(),
    ];
    if let Some(ml) = dye::brought(dyes) {
        said.push(format!(
            "The dye stocks bring {ml} mL into the bath: that is already taken off the water."
        ));
    }
    if order.kind == Kind::Swatch {
        said.push(
            "Keep the jar in the hot-water bath at the temperatures below, which are those in the jar: it stays some \
             degrees below the water round it. For stirring, move the swatch as the goods would be moved. The same \
             water and the same dyes as for the bulk."
                .to_owned(),
        );
    }
    for name in left_out {
        said.push(format!("The {name} is left out: this kit cannot measure so little of it, and the bath works without."));
    }
    said.extend(acid(order, programme, auxiliaries, liquor));
    let premetallised = order.dyes.iter().any(|dye| dye.class == DyeClass::Premetallised);
    let fits = |note: &&String| premetallised || !note.starts_with("Premetallised dyes:");
    let turquoise = order.dyes.iter().any(|dye| dye.phthalocyanine);
    // What a turquoise needs is in the programme, or said below: the note would only contradict it.
    let slow = |note: &&String| !note.contains("phthalocyanine");
    said.extend(programme.notes.iter().filter(fits).filter(slow).cloned());
    if turquoise && programme.alkali == AlkaliUse::Cold {
        said.push(match programme.top.to_degrees() < WARM_C {
            true => "The trace of turquoise would rather be warmer (40 to 50 °C): at so little of it the bath stays as \
                     the other dyes want it, and the swatch shows what it gives."
                .to_owned(),
            false => format!(
                "This bath is kept at {} °C, longer and with a quarter more salt, for the turquoise (a phthalocyanine): \
                 cooler it goes on and fixes only in part.",
                trimmed(programme.top.to_degrees(), 0)
            ),
        });
    }
    if turquoise {
        said.push(
            "No EDTA in this bath: it pulls the copper out of the turquoise. Hard water is softened \
             with phosphate where the bath is cool enough and not acid, else left as it is."
                .to_owned(),
        );
    }
    said.extend(programme.advice.iter().cloned());
    said
}

/// How the pH of an acid bath is met, and what hard water takes of the acid.
fn acid(
    order: &Order<'_>,
    programme: &Programme,
    auxiliaries: &[Auxiliary],
    liquor: units::Volume,
) -> Vec<String> {
    let Some((low, high)) = programme.ph.filter(|(low, _)| low.to_value() < NEUTRAL) else {
        return Vec::new();
    };
    let of_bath = |aux: &&Auxiliary| aux.bath == programme.id && aux.group == AgentGroup::Acid;
    if !auxiliaries.iter().any(|aux| of_bath(&aux)) {
        return Vec::new();
    }
    let mut said = vec![format!(
        "Check the bath with pH paper, aiming at pH {} to {}. Too high: a little more of the acid, diluted, \
         with the goods lifted. Too low: leave out the rest of the acid.",
        trimmed(low.to_value(), 1),
        trimmed(high.to_value(), 1)
    )];
    said.extend(eaten(order, auxiliaries, &programme.id, liquor));
    said
}

/// How a sheet's note on the water names the acid, where that is vinegar.
pub const VINEGAR_EATEN: &str = "mL of your vinegar";

/// What the water takes of the acid before the pH moves: by its alkalinity, else at most by its hardness.
fn eaten(
    order: &Order<'_>,
    auxiliaries: &[Auxiliary],
    bath: &str,
    liquor: units::Volume,
) -> Option<String> {
    let known = order.kitchen.alkalinity;
    let eaten = order.lore.acid_eaten_by(known.or(order.kitchen.hardness)?)?;
    let acetic = (eaten * liquor).to_grams();
    let used = |id: &str| auxiliaries.iter().any(|aux| aux.bath == bath && aux.id == id);
    let strength = order.kitchen.vinegar.to_fraction();
    let (figure, what) = if used("acetic-acid") && strength > 0.0 {
        (acetic / strength, VINEGAR_EATEN)
    } else if used("citric-acid") {
        (acetic * CITRIC_FOR_ACETIC, "g of citric acid")
    } else {
        return None;
    };
    let least = if what.starts_with("mL") { 1.0 } else { 0.1 };
    let figure = Some(figure).filter(|it| *it >= least).map(|it| significant(it, 2))?;
    Some(if known.is_some() {
        format!(
            "This water is alkaline: it uses up about {figure} {what} before the pH moves, on top of what stands \
             here. Add it little by little, and check with paper."
        )
    } else {
        format!(
            "This water may use up to {figure} {what} before the pH moves (its hardness taken as \
             alkalinity): have it ready and check with paper."
        )
    })
}
