//! What a chart's own values add to a reading's spread, where they were read and not measured: a card printed at home, dyed
//! cloths read by photograph.
//!
//! Values read in one photograph are off together: the camera and the light that read them leaned one way for one region of
//! colour. So the spread of the patches nearest to the cloth in colour counts whole, as one error that the chart does not show,
//! and is never divided by the number of patches. Where the reading's own spread comes from patches left out, these values'
//! errors are in it already, and the larger of the two stands. For the difference of two cloths it is the less, the nearer
//! they are.

use colour::{Lab, ciede2000};

use super::{ClothDifference, ClothSeen};

/// The patches' colours and how far each may be off, root mean square ΔE00.
#[derive(Debug, Clone, Default)]
pub(super) struct Beside(pub(super) Vec<(Lab, f64)>);

/// How fast a patch counts less with its distance from the cloth, ΔE00 (judgement: a camera's errors change over about so
/// much).
const NEAR: f64 = 10.0;

impl Beside {
    /// Root mean square ΔE00 of the values near a colour; none where every value is known.
    fn at(&self, lab: Lab) -> Option<f64> {
        let (mut sum, mut weights) = (0.0, 0.0);
        for (there, rms) in &self.0 {
            let far = ciede2000(lab, *there) / NEAR;
            let weight = 1.0 / (1.0 + far * far * far * far);
            sum += weight * rms * rms;
            weights += weight;
        }
        (sum > 0.0).then(|| (sum / weights).sqrt())
    }

    /// The reading with what the values add; `counted` where its own spread was learnt against these values.
    pub(super) fn widen(&self, seen: ClothSeen, counted: bool) -> ClothSeen {
        let Some(more) = self.at(seen.lab) else { return seen };
        let both = wider(more, seen.rms());
        let by = if counted { (both - 1.0).max(1.0) } else { both };
        ClothSeen {
            covariance: seen.covariance.map(|row| row.map(|cell| cell * by)),
            within90: seen.within90 * by.sqrt(),
            ..seen
        }
    }

    /// The difference with what the values add: an error that two colours share leaves with it.
    pub(super) fn widen_difference(&self, seen: ClothDifference) -> ClothDifference {
        let Some(more) = self.at(seen.first) else { return seen };
        let second = Lab::new(
            seen.first.l + seen.by[0],
            seen.first.a + seen.by[1],
            seen.first.b + seen.by[2],
        );
        let far = (ciede2000(seen.first, second) / NEAR).min(1.0);
        // Nine of ten lie within about one and a half times the root mean square.
        let by = wider(more * far, seen.within90 / 1.5);
        ClothDifference {
            covariance: seen.covariance.map(|row| row.map(|cell| cell * by)),
            within90: seen.within90 * by.sqrt(),
            ..seen
        }
    }
}

/// By how much a variance grows.
fn wider(more: f64, own: f64) -> f64 {
    let own = own.max(0.05);
    1.0 + (more / own) * (more / own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_near_by_count_and_known_ones_add_nothing() {
        let at = |l: f64, a: f64| Lab::new(l, a, 0.0);
        assert_eq!(Beside::default().at(at(50.0, 0.0)), None);
        assert_eq!(Beside(vec![(at(50.0, 0.0), 0.0)]).at(at(50.0, 0.0)), None);
        let card = Beside(vec![(at(50.0, 0.0), 3.0), (at(50.0, 60.0), 1.0)]);
        let (near, far) = (card.at(at(50.0, 2.0)).unwrap(), card.at(at(50.0, 58.0)).unwrap());
        assert!(near > 2.8 && far < 1.2, "{near} {far}");
    }
}
