//! Whatever is offered on a single material has a programme that keeps the material's limits.

use lore::{Caps, Lore, People, ProgrammeAsk};
use units::{OnFibre, Share};

#[test]
fn every_offer_has_a_programme() -> Result<(), Box<dyn std::error::Error>> {
    let lore = Lore::shipped();
    let mut without = Vec::new();
    for material in lore.materials() {
        let makeup = lore.try_makeup(&[(material.id.as_str(), Share::WHOLE)])?;
        let offers = lore.offer(&makeup, &[], People::default());
        for offer in &offers.offered {
            let ask = ProgrammeAsk {
                procedure: offer.procedure,
                goods: &[material.id.as_str()],
                amount: OnFibre::try_percent(1.0)?,
                caps: offers.limits.as_ref().map(Caps::from).unwrap_or_default(),
            };
            match lore.programme(&ask) {
                Ok(programme) => {
                    assert!(programme.top <= material.t_max, "{} {}", material.id, offer.procedure);
                }
                Err(why) => without.push(format!("{} {}: {why}", material.id, offer.procedure)),
            }
        }
    }
    assert!(without.is_empty(), "offered without a bath:\n{}", without.join("\n"));
    Ok(())
}
