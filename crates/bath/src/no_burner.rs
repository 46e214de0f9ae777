//! A kitchen without a burner: what hot tap water and a kettle can do, and what they cannot.
//!
//! A dye bath is refused when it must be hotter than tap and kettle make it; a swatch's jar is small enough for the
//! kettle alone. Hot soaps go into the machine, or cooler into the tub (`vessel`).

use units::Celsius;

use crate::goods::Goods;
use crate::vessel::Needs;
use crate::{Kind, Order, Refusal, kitchen, machine};

/// The hottest bath of any size that this kitchen makes; none where a burner heats it.
pub(crate) fn hottest(order: &Order<'_>) -> Option<Celsius> {
    order.lore.no_burner().filter(|_| !order.kitchen.burner).map(|row| row.tap)
}

/// The hottest a swatch is treated here: as the goods will be, in the machine or by tap and kettle; none where a
/// burner heats it.
pub(crate) fn hottest_swatch(order: &Order<'_>, needs: &Needs<'_>) -> Option<Celsius> {
    let tap = hottest(order)?;
    let bulk = order.goods + order.comes.spare.unwrap_or(units::Mass::ZERO);
    let machine = order.kitchen.machine.filter(|machine| {
        order.kitchen.methods.contains(&lore::Method::Machine)
            && needs.agitation == lore::Agitation::Stir
            && bulk <= machine.holds
    });
    let most =
        machine.map_or(tap, |machine| if machine.hottest > tap { machine.hottest } else { tap });
    // What the kettle keeps a jar at, where the machine washes hotter than that.
    Some(Celsius::try_degrees(KETTLE_C).ok().filter(|kettle| *kettle < most).unwrap_or(most))
}

/// Refuses a dye bath that wants a burner where there is none and no machine takes it.
pub(crate) fn check(
    order: &Order<'_>,
    goods: &Goods<'_>,
    needs: &Needs<'_>,
) -> Result<(), Refusal> {
    let Some(most) = hottest(order) else { return Ok(()) };
    let kettle = order.kind == Kind::Swatch && needs.dye_hottest.to_degrees() <= KETTLE_C;
    if needs.dye_hottest <= most || kettle || machine::usable(order, needs).is_some() {
        return Ok(());
    }
    Err(Refusal::NoBurner {
        hottest: needs.dye_hottest,
        most,
        others: kitchen::other_methods(&Order { kind: Kind::Bulk, ..order.clone() }, goods),
    })
}

/// What a jar in water from the kettle is kept at for an hour by topping up, °C (judgement).
const KETTLE_C: f64 = 60.0;
