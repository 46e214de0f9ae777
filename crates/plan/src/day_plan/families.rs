//! Families of agents that must not meet in one sink, from the trade's table.

use days::Family;
use lore::{Lore, Together};

/// The pairs of families that the trade never lets meet.
pub(super) fn never_together(lore: &Lore) -> Vec<(Family, Family)> {
    let mut pairs = vec![];
    for (i, a) in Family::ALL.into_iter().enumerate() {
        for b in Family::ALL.into_iter().skip(i + 1) {
            let (Some(x), Some(y)) = (group(a), group(b)) else { continue };
            if matches!(lore.together(x, y), Ok(Together::Never(_))) {
                pairs.push((a, b));
            }
        }
    }
    pairs
}

/// The group of the trade's table that stands for a family.
const fn group(family: Family) -> Option<&'static str> {
    Some(match family {
        Family::Hypochlorite => "hypochlorite",
        Family::Acid => "acid",
        Family::Alkali => "soda",
        Family::Reducer => "reducer",
        Family::Peroxide => "peroxide",
        Family::Ammonia => "ammonia",
        Family::Permanganate => "permanganate",
        Family::Plain => return None,
    })
}

/// The family of an agent, by the groups it meets others as.
pub(super) fn family(lore: &Lore, agent: &str) -> Family {
    let Ok(agent) = lore.agent(agent) else { return Family::Plain };
    let is = |groups: &[&str]| agent.meets_as.iter().any(|g| groups.contains(&g.as_str()));
    let families = [
        (Family::Hypochlorite, &["hypochlorite"][..]),
        (Family::Reducer, &["reducer"]),
        (Family::Permanganate, &["permanganate"]),
        (Family::Peroxide, &["peroxide"]),
        (Family::Ammonia, &["ammonia"]),
        (Family::Acid, &["acid"]),
        (Family::Alkali, &["soda", "caustic"]),
    ];
    families.into_iter().find(|(_, groups)| is(groups)).map_or(Family::Plain, |f| f.0)
}
