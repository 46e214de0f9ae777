//! The washing machine as a vessel: cold and warm reactive baths on goods that bear its drum.
//!
//! Its water is its own: a bath is dyed in it only when the order's ratio is the one that water makes, so
//! that the swatch was dyed at it too.

use lore::{Agitation, Method, Procedure};
use units::{Volume, trimmed};

use crate::sheet::Vessel;
use crate::vessel::Needs;
use crate::{Kind, Machine, Order};

/// A ratio within this of the machine's is the machine's.
const SAME: f64 = 0.02;
/// The ways of dyeing it is used for.
const FOR: [Procedure; 2] = [Procedure::ReactiveCold, Procedure::ReactiveWarm];

/// The machine, when it may take these goods for the dye bath at whatever water it has.
pub(crate) fn usable(order: &Order<'_>, needs: &Needs<'_>) -> Option<Machine> {
    let machine = order.kitchen.machine?;
    let fits = order.kind == Kind::Bulk
        && order.kitchen.methods.contains(&Method::Machine)
        && FOR.contains(&order.procedure)
        && needs.agitation == Agitation::Stir
        && needs.dry <= machine.holds
        && needs.dye_hottest <= machine.hottest
        && machine.water > Volume::ZERO;
    fits.then_some(machine)
}

/// The machine, when this bath is the one its own water makes.
pub(crate) fn taken(order: &Order<'_>, needs: &Needs<'_>) -> Option<Machine> {
    usable(order, needs).filter(|machine| ((needs.liquor / machine.water) - 1.0).abs() <= SAME)
}

/// Whether goods that are dyed elsewhere may be scoured and rinsed in it.
pub(crate) fn may_rinse(order: &Order<'_>, needs: &Needs<'_>) -> bool {
    let holds = |machine: Machine| needs.dry <= machine.holds;
    order.kind == Kind::Bulk
        && order.kitchen.methods.contains(&Method::Machine)
        && order.kitchen.machine.is_some_and(holds)
        && needs.agitation == Agitation::Stir
}

/// How a sheet names it: its words begin so.
pub const MACHINE: &str = "washing machine";

/// In words.
pub(crate) fn vessel(machine: Machine) -> Vessel {
    Vessel {
        words: format!(
            "{MACHINE}, {} L of its own water, at most {} kg dry; cleaned before anything else is washed in it",
            trimmed(machine.water.to_litres(), 1),
            trimmed(machine.holds.to_grams() / 1000.0, 1)
        ),
        // The drum; its plastic tub behind it is made for hotter washes than it is let do here.
        material: "stainless".to_owned(),
    }
}
