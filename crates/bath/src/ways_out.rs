//! What can be done when no vessel takes a bath. Never: the garment split over two baths.

use lore::{People, Procedure};
use units::{Celsius, LiquorRatio, Volume, trimmed};

use crate::vessel::{FULL, Needs, bears};
use crate::{Order, VesselAtHand};

/// The lowest ratio offered, L/kg: below it home goods crowd and come out cloudy (our judgement; pots are worked at
/// 20 to 40, tubs at 20 to 30).
pub const LEAST_RATIO: f64 = 10.0;
/// The cold bath of another class, °C.
const COLD_BATH_C: f64 = 40.0;

/// One way out of a bath that fits no vessel.
#[derive(Debug, Clone, PartialEq)]
pub enum WayOut {
    /// Get or borrow a bigger vessel.
    BiggerVessel {
        /// What it must hold to the brim.
        to_brim: Volume,
        /// Of what it may be, in words.
        of: String,
    },
    /// Lower the liquor ratio, and swatch at that ratio.
    LowerRatio {
        /// The ratio that fits.
        ratio: LiquorRatio,
        /// The vessel it fits.
        vessel: String,
    },
    /// Dye it another way, in a vessel without heat.
    AnotherClass {
        /// The way.
        procedure: Procedure,
        /// The vessel.
        vessel: String,
    },
    /// The washing machine, at the ratio its own water makes.
    Machine {
        /// That ratio.
        ratio: LiquorRatio,
    },
    /// Make a design line of it: parts dyed apart that are meant to differ.
    DesignLine,
}

impl std::fmt::Display for WayOut {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let to_one = |ratio: &LiquorRatio| trimmed(ratio.to_litres_per_kilogram(), 1);
        match self {
            Self::BiggerVessel { to_brim, of } => {
                write!(
                    f,
                    "get a bigger vessel, {} L to the brim, {of}",
                    trimmed(to_brim.to_litres(), 1)
                )
            }
            Self::LowerRatio { ratio, vessel } => write!(
                f,
                "lower the liquor ratio to {0}:1, which the {vessel} takes, and swatch at that ratio (write \
                 liquor_ratio = {0} at the piece)",
                to_one(ratio)
            ),
            Self::AnotherClass { procedure, vessel } => {
                let way = procedure.id().replace('-', " ");
                write!(f, "dye it another way ({way}) in the {vessel}")
            }
            Self::Machine { ratio } => write!(
                f,
                "dye it in the washing machine, whose own water makes {0}:1, and swatch at that ratio (write \
                 liquor_ratio = {0} at the piece)",
                trimmed(ratio.to_litres_per_kilogram(), 2)
            ),
            Self::DesignLine => f.write_str(
                "or design a line into it: sleeves, yoke or facings dyed apart and meant to differ",
            ),
        }
    }
}

/// The ways out of an order whose bath fits nothing.
pub(crate) fn of(
    order: &Order<'_>,
    needs: &Needs<'_>,
    hottest: Celsius,
    of_what: String,
) -> Vec<WayOut> {
    let mut ways = vec![WayOut::BiggerVessel { to_brim: needs.brim(), of: of_what }];
    ways.extend(lower_ratio(order, needs, hottest));
    ways.extend(cold_tub(order, needs));
    ways.extend(machine(order, needs));
    ways.push(WayOut::DesignLine);
    ways
}

fn lower_ratio(order: &Order<'_>, needs: &Needs<'_>, hottest: Celsius) -> Option<WayOut> {
    let holds_most = |a: &&VesselAtHand<'_>, b: &&VesselAtHand<'_>| {
        a.holds.to_millilitres().total_cmp(&b.holds.to_millilitres())
    };
    let biggest = order
        .kitchen
        .vessels
        .iter()
        .filter(|vessel| bears(order.lore, vessel.material, hottest, needs.all()))
        .max_by(holds_most)?;
    let fits = FULL * biggest.holds.to_millilitres() / needs.dry.to_grams();
    let ratio = (fits * 10.0).floor() / 10.0;
    let usual = order.ratio.to_litres_per_kilogram();
    (ratio >= LEAST_RATIO && ratio < usual).then_some(())?;
    let ratio = LiquorRatio::try_litres_per_kilogram(ratio).ok()?;
    Some(WayOut::LowerRatio { ratio, vessel: biggest.name.to_owned() })
}

fn cold_tub(order: &Order<'_>, needs: &Needs<'_>) -> Option<WayOut> {
    let procedure = Procedure::ReactiveCold;
    let cold = Celsius::try_degrees(COLD_BATH_C).ok()?;
    if order.procedure == procedure {
        return None;
    }
    let parts: Vec<_> = order.parts.iter().filter_map(|id| order.lore.part(id).ok()).collect();
    let near = People {
        asthma: order.near.asthma,
        pregnancy: order.near.pregnancy,
        children: order.near.children,
    };
    let offers = order.lore.offer(order.makeup, &parts, near);
    let offered = offers.offered.iter().any(|offer| offer.procedure == procedure);
    let agents = ["salt", "soda-ash"];
    let tub = order.kitchen.vessels.iter().find(|vessel| {
        vessel.holds.to_millilitres() >= needs.brim().to_millilitres() - 0.5
            && bears(order.lore, vessel.material, cold, &agents)
    })?;
    // Its hot soaps are done where they can be, at the least cooler in the same tub.
    offered.then(|| WayOut::AnotherClass { procedure, vessel: tub.name.to_owned() })
}

fn machine(order: &Order<'_>, needs: &Needs<'_>) -> Option<WayOut> {
    let machine = crate::machine::usable(order, needs)?;
    let ratio = machine.water.to_millilitres() / needs.dry.to_grams();
    let ratio = LiquorRatio::try_litres_per_kilogram((ratio * 100.0).round() / 100.0).ok()?;
    Some(WayOut::Machine { ratio })
}
