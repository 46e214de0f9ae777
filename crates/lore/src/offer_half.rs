//! One of the two baths of a blend: a procedure that colours a fibre of it, however small its share.
//!
//! What an offer refuses because too little of the cloth takes the dye is right as one of two baths;
//! everything else that stops an offer stops this too.

use units::Share;

use crate::offer_gates::Gates;
use crate::{ClassOffer, DyeClass, Lore, Makeup, Offer, Part, People, Procedure, Stop, Verdict};

impl Lore {
    /// A procedure as one of the two baths of a blend with these parts, near these people; none when it
    /// takes on no fibre of it, or must not be used.
    #[must_use]
    pub fn offer_half(
        &self,
        makeup: &Makeup,
        parts: &[&Part],
        people: People,
        procedure: Procedure,
    ) -> Option<Offer> {
        let gates = Gates::of(self, makeup, parts);
        let Makeup::Known(portions) = makeup else { return None };
        if gates.pass(procedure, people).is_err_and(|refused| refused.stop != Stop::DoesNotDye) {
            return None;
        }
        let best = |class: Option<DyeClass>| -> (Verdict, f64) {
            let found = self.blend_verdict(portions, procedure, class);
            let dyed = found.each.iter().filter(|(_, finding)| finding.verdict.dyes());
            dyed.fold((Verdict::None, 0.0), |(verdict, share), (portion, finding)| {
                (verdict.max(finding.verdict), share + portion.share.to_fraction())
            })
        };
        let (verdict, share) = best(None);
        let facts = self.procedure(procedure)?;
        let works_from = self.blend_verdict(portions, procedure, None).works_from?;
        let limits = gates.limits.as_ref()?;
        let programme = gates.programme(procedure, limits).ok()?;
        let stopped = works_from > limits.t_max.it
            || gates.kept_from(procedure, &programme, people).is_some();
        if stopped || !verdict.dyes() {
            return None;
        }
        let why = format!(
            "one of two baths: it colours {} % of the cloth",
            units::trimmed(100.0 * share, 0)
        );
        let mut classes: Vec<ClassOffer> = procedure
            .classes()
            .iter()
            .map(|class| ClassOffer {
                class: *class,
                verdict: best(Some(*class)).0,
                why: why.clone(),
            })
            .filter(|class| class.verdict.dyes())
            .collect();
        classes.sort_by_key(|class| std::cmp::Reverse(class.verdict));
        let powder_kept =
            |rule: &crate::PeopleRule| procedure.classes().iter().all(|c| rule.forbids_powder(*c));
        Some(Offer {
            procedure,
            classes,
            verdict,
            reason: None,
            why,
            takes: Share::try_fraction(share.clamp(0.0, 1.0)).unwrap_or(Share::WHOLE),
            works_from,
            home: facts.home,
            home_why: facts.home_why.clone(),
            liquid_only: self.rules_for(people).any(powder_kept),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn offered(pairs: &[(&str, f64)], procedure: Procedure) -> Option<Offer> {
        let list: Vec<(&str, Share)> =
            pairs.iter().map(|(m, p)| (*m, Share::try_percent(*p).unwrap())).collect();
        let lore = Lore::shipped();
        let makeup = lore.try_makeup(&list).unwrap();
        lore.offer_half(&makeup, &[], People::default(), procedure)
    }

    #[test]
    fn a_small_share_is_coloured_by_its_own_bath_and_harm_stays_refused() {
        let blend = [("polyester", 65.0), ("cotton", 35.0)];
        let half = offered(&blend, Procedure::ReactiveCold).unwrap();
        assert!(half.verdict.dyes() && !half.classes.is_empty());
        assert!((half.takes.to_fraction() - 0.35).abs() < 1e-9, "{half:?}");
        assert!(half.why.contains("35 %"), "{}", half.why);
        assert!(offered(&blend, Procedure::AcidMilling).is_none(), "takes on neither");
        // Hot alkali ruins wool, whatever it does for the cotton.
        let woolly = [("wool", 65.0), ("cotton", 35.0)];
        assert!(offered(&woolly, Procedure::ReactiveHot).is_none());
    }
}
