//! How deep a bath may be asked to dye: the class's own cap, and the deepest band its programme is good
//! for on these goods, whichever is less.

use units::OnFibre;

use crate::programme_file::Kind;
use crate::{Lore, Procedure};

impl Lore {
    /// The most dye, all of a recipe together, that a procedure is good for on goods (the first
    /// leads); none where nothing is known of it.
    #[must_use]
    pub fn deepest(&self, procedure: Procedure, goods: &[&str]) -> Option<OnFibre> {
        let row = self.depth_row(procedure, goods)?;
        let programme = self.row_for(Kind::Dyeing(procedure), goods);
        let good_for = programme.and_then(|p| {
            let bands = row.bands();
            bands.iter().rfind(|(band, _)| *band <= p.depth_most).map(|(_, [_, high])| *high)
        });
        let cap = row.cap_percent_owf();
        OnFibre::try_percent(good_for.map_or(cap, |high| high.min(cap))).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_open_pot_of_polyester_is_no_place_for_black() {
        let lore = Lore::shipped();
        let most = |p, m: &str| lore.deepest(p, &[m]).map_or(0.0, OnFibre::to_percent);
        // Trade practice: open-pot disperse is pale to medium, cold reactive goes to black.
        assert!(most(Procedure::Disperse, "polyester") < 3.0);
        assert!(most(Procedure::ReactiveCold, "cotton") >= 8.0);
    }
}
