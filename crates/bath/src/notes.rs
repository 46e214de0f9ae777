//! What to know of a bath before it is begun: water, measuring, pH. What harms is in `caution`.

use lore::{AgentGroup, DyeClass, Programme};
use units::{significant, trimmed};

use crate::sheet::{Auxiliary, Dye};
use crate::{Kind, Order, dye};

/// pH below which a bath is an acid one.
const NEUTRAL: f64 = 7.0;

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
            "Keep the jar in the hot-water bath at the temperatures below; for stirring, move the swatch \
             as the goods would be moved. The same water and the same dyes as for the bulk."
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
    let slow = |note: &&String| turquoise || !note.contains("phthalocyanine");
    said.extend(programme.notes.iter().filter(fits).filter(slow).cloned());
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
    let Some((low, high)) = programme.ph.filter(|(_, high)| high.to_value() < NEUTRAL) else {
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
    let strength = order.kitchen.vinegar.to_fraction();
    let vinegar = auxiliaries.iter().filter(of_bath).any(|aux| aux.id == "acetic-acid");
    let eaten =
        order.kitchen.hardness.filter(|_| vinegar).and_then(|it| order.lore.acid_eaten_by(it));
    if let Some(eaten) = eaten.filter(|_| strength > 0.0) {
        let ml = (eaten * liquor).to_grams() / strength;
        if ml >= 1.0 {
            said.push(format!(
                "This water may use up to {} mL of your vinegar before the pH moves (its hardness taken as \
                 alkalinity): have it ready and check with paper.",
                significant(ml, 2)
            ));
        }
    }
    said
}
