//! The gates a procedure must pass before it is offered, one after another.

use units::{Celsius, Share, trimmed};

use crate::offer::{ClassOffer, Offer, People, Refused, Stop};
use crate::{
    AlkaliRule, Bound, Caps, DyeClass, Finding, Home, Limits, Lore, Makeup, Material, NoProgramme,
    Odds, Part, PeopleRule, Portion, Procedure, Programme, ProgrammeAsk, Reason, TwoBaths, Verdict,
};

/// A medium shade, % owf, at which a programme is asked for.
const MEDIUM_PERCENT: f64 = 1.0;

/// A piece at the gates.
pub(crate) struct Gates<'a> {
    lore: &'a Lore,
    makeup: &'a Makeup,
    parts: &'a [&'a Part],
    pub(crate) limits: Option<Limits>,
}

/// What a procedure does to the piece as a whole, before the gates of alkali and heat.
struct Whole {
    verdict: Verdict,
    reason: Option<Reason>,
    why: String,
    takes: f64,
    works_from: Option<Celsius>,
}

type Answer = Result<Offer, Box<Refused>>;

impl<'a> Gates<'a> {
    pub(crate) fn of(lore: &'a Lore, makeup: &'a Makeup, parts: &'a [&'a Part]) -> Self {
        Self { lore, makeup, parts, limits: lore.limits(makeup, parts) }
    }

    /// The offer of this procedure, or the first gate that stops it.
    pub(crate) fn pass(&self, procedure: Procedure, people: People) -> Answer {
        let whole = self.whole(procedure, None);
        let stop = |stop: Stop, reason: Option<Reason>, why_not: String| {
            Box::new(Refused { procedure, verdict: whole.verdict, reason, stop, why_not })
        };
        let facts = self.lore.procedure(procedure);
        let (home, home_why) = facts
            .map_or((Home::No, "nothing is known of it"), |row| (row.home, row.home_why.as_str()));
        if home == Home::No {
            return Err(stop(Stop::NotAtHome, None, format!("not at home: {home_why}")));
        }
        if let Some((name, finding)) = self.first_ruined(procedure) {
            let why_not = format!("ruins the {name}: {}", finding.why);
            return Err(stop(Stop::Ruins, finding.reason, why_not));
        }
        if let Some(why_not) = self.alkali_stop(procedure) {
            return Err(stop(Stop::Alkali, Some(Reason::Alkali), why_not));
        }
        if let Makeup::Unknown(odds) = self.makeup
            && let Some(why_not) = self.unsure(odds, &whole)
        {
            return Err(stop(Stop::NotSure, None, why_not));
        }
        if !whole.verdict.dyes() {
            return Err(stop(Stop::DoesNotDye, whole.reason, whole.why.clone()));
        }
        let works_from = whole.works_from.or_else(|| facts.map(|row| row.works_from));
        let (Some(works_from), Some(limits)) = (works_from, &self.limits) else {
            return Err(stop(Stop::NotSure, None, "nothing is known of its limits".to_owned()));
        };
        if works_from > limits.t_max.it {
            let why_not = too_hot(works_from, &limits.t_max);
            return Err(stop(Stop::Heat, Some(Reason::HeatLimit), why_not));
        }
        let programme = match self.programme(procedure, limits) {
            Ok(programme) => programme,
            Err(why_not) => return Err(stop(Stop::NoBath, None, why_not.to_string())),
        };
        if let Some(why_not) = self.kept_from(procedure, &programme, people) {
            return Err(stop(Stop::People, None, why_not));
        }
        Ok(Offer {
            procedure,
            classes: self.classes(procedure),
            verdict: whole.verdict,
            reason: whole.reason,
            why: whole.why,
            takes: Share::try_fraction(whole.takes.clamp(0.0, 1.0)).unwrap_or(Share::WHOLE),
            works_from,
            home,
            home_why: home_why.to_owned(),
            liquid_only: self
                .lore
                .rules_for(people)
                .any(|rule| procedure.classes().iter().all(|class| rule.forbids_powder(*class))),
        })
    }

    /// Two baths that between them colour nearly all of a blend, each better than the other on
    /// some fibre; the hotter first. At most three pairs, the best first.
    pub(crate) fn two_baths(&self, portions: &[Portion]) -> Vec<TwoBaths> {
        let open: Vec<(Procedure, Vec<Verdict>)> = Procedure::ALL
            .iter()
            .filter(|procedure| **procedure != Procedure::AlumNatural)
            .filter_map(|procedure| {
                Some((*procedure, self.verdicts_as_half(portions, *procedure)?))
            })
            .collect();
        let mut pairs: Vec<(Verdict, TwoBaths)> = Vec::new();
        for (i, (a, on_a)) in open.iter().enumerate() {
            for (b, on_b) in &open[i + 1..] {
                let best: Vec<Verdict> = on_a.iter().zip(on_b).map(|(a, b)| *a.max(b)).collect();
                let covered: f64 = portions
                    .iter()
                    .zip(&best)
                    .filter(|(_, verdict)| verdict.dyes())
                    .map(|(portion, _)| portion.share.to_fraction())
                    .sum();
                let both_needed = on_a.iter().zip(on_b).any(|(a, b)| a > b && a.dyes())
                    && on_a.iter().zip(on_b).any(|(a, b)| b > a && b.dyes());
                let worst = best.into_iter().filter(|verdict| verdict.dyes()).min();
                if let (true, true, Some(worst)) = (covered >= 0.9, both_needed, worst) {
                    pairs.push((worst, self.in_order(*a, *b)));
                }
            }
        }
        pairs.sort_by_key(|(worst, _)| std::cmp::Reverse(*worst));
        pairs.into_iter().map(|(_, pair)| pair).take(3).collect()
    }

    /// What a procedure does on each fibre as one of two baths; none when a gate that guards cloth
    /// or people stops it. That it does not dye enough on its own is no stop here.
    pub(crate) fn verdicts_as_half(
        &self,
        portions: &[Portion],
        procedure: Procedure,
    ) -> Option<Vec<Verdict>> {
        let stopped = self.pass(procedure, People::default()).err();
        if stopped.is_some_and(|refused| refused.stop != Stop::DoesNotDye) {
            return None;
        }
        let found = self.lore.blend_verdict(portions, procedure, None);
        let (works_from, limits) = (found.works_from?, self.limits.as_ref()?);
        (works_from <= limits.t_max.it && self.programme(procedure, limits).is_ok())
            .then(|| found.each.iter().map(|(_, finding)| finding.verdict).collect())
    }

    /// What must be said before dyeing.
    pub(crate) fn notes(&self, portions: &[Portion]) -> Vec<String> {
        let mut notes: Vec<String> = Vec::new();
        for blend in self.lore.blend_notes(portions) {
            let ways = [
                blend.one_bath.as_ref().map(|way| format!("one bath: {way}")),
                blend.two_bath.as_ref().map(|way| format!("two baths: {way}")),
            ];
            let ways: Vec<String> = ways.into_iter().flatten().collect();
            notes.push(format!("{}; risk: {}", ways.join("; "), blend.risk));
        }
        for material in self.known_materials() {
            notes.extend(
                self.lore.notes_on(material).map(|n| format!("{}: {}", material.name, n.says)),
            );
        }
        notes.extend(self.parts.iter().map(|part| format!("{}: {}", part.name, part.says)));
        notes
    }

    fn known_materials(&self) -> Vec<&'a Material> {
        match self.makeup {
            Makeup::Known(_) => self.lore.materials_of(self.makeup),
            Makeup::Unknown(_) => Vec::new(),
        }
    }

    /// The two in the order in which they go on one cloth.
    fn in_order(&self, a: Procedure, b: Procedure) -> TwoBaths {
        let (first, second) = self.lore.bath_order(a, b);
        let name = |p| self.lore.procedure_name(p);
        let says = format!("{} first, rinse well, then {}", name(first), name(second));
        TwoBaths { first, second, says }
    }

    fn classes(&self, procedure: Procedure) -> Vec<ClassOffer> {
        let mut classes: Vec<ClassOffer> = procedure
            .classes()
            .iter()
            .map(|class| {
                let whole = self.whole(procedure, Some(*class));
                ClassOffer { class: *class, verdict: whole.verdict, why: whole.why }
            })
            .filter(|class| class.verdict.dyes())
            .collect();
        classes.sort_by_key(|class| std::cmp::Reverse(class.verdict));
        classes
    }

    fn whole(&self, procedure: Procedure, class: Option<DyeClass>) -> Whole {
        match self.makeup {
            Makeup::Known(portions) => {
                let found = self.lore.blend_verdict(portions, procedure, class);
                let reason = found
                    .each
                    .iter()
                    .filter(|(_, f)| f.verdict <= found.verdict)
                    .find_map(|(_, f)| f.reason);
                Whole {
                    verdict: found.verdict,
                    reason,
                    why: found.says,
                    takes: found.takes.to_fraction(),
                    works_from: found.works_from,
                }
            }
            Makeup::Unknown(odds) => self.whole_of_odds(odds, procedure, class),
        }
    }

    /// An unknown fibre as a whole: the odds of the fibres it dyes as the share it takes on, and
    /// the worst verdict among those of them that count.
    fn whole_of_odds(&self, odds: &Odds, procedure: Procedure, class: Option<DyeClass>) -> Whole {
        let counted: Vec<&str> = odds.counted().map(|fibre| fibre.fibre.as_str()).collect();
        let mut takes = 0.0;
        let mut worst: Option<Finding> = None;
        let mut works_from: Option<Celsius> = None;
        for fibre in odds.each() {
            let Some(found) = self.worst(&fibre.materials, procedure, class) else { continue };
            if !found.verdict.dyes() {
                continue;
            }
            takes += fibre.odds;
            if !counted.contains(&fibre.fibre.as_str()) {
                continue;
            }
            if works_from.is_none_or(|from| found.works_from > from) {
                works_from = Some(found.works_from);
            }
            if worst.as_ref().is_none_or(|worst| found.verdict < worst.verdict) {
                worst = Some(found);
            }
        }
        let mut why = format!("dyes fibres that hold {} % of the odds", trimmed(takes * 100.0, 0));
        if let Some(worst) = &worst {
            why = format!("{why}; {}", worst.why);
        }
        Whole {
            verdict: worst.as_ref().map_or(Verdict::None, |worst| worst.verdict),
            reason: worst.and_then(|worst| worst.reason),
            why,
            takes,
            works_from,
        }
    }

    fn worst(
        &self,
        materials: &[String],
        procedure: Procedure,
        class: Option<DyeClass>,
    ) -> Option<Finding> {
        materials
            .iter()
            .filter_map(|id| {
                let material = self.lore.material(id).ok()?;
                match class {
                    Some(class) => self.lore.verdict_for(material, procedure, class).ok(),
                    None => Some(self.lore.verdict(material, procedure)),
                }
            })
            .min_by_key(|finding| finding.verdict)
    }

    fn unsure(&self, odds: &Odds, whole: &Whole) -> Option<String> {
        if odds.looks_like_a_blend() {
            return Some(
                "the snip dissolved only partly, so it is a blend of unknown fibres".into(),
            );
        }
        let needed = self.lore.key.offer_from;
        (whole.takes < needed - 1e-9).then(|| {
            format!(
                "the fibre is not known well enough: it dyes fibres that hold {} % of the odds, and {} % is needed",
                trimmed(whole.takes * 100.0, 0),
                trimmed(needed * 100.0, 0)
            )
        })
    }

    /// The programme for this piece, or why there is none. It is asked at a medium depth; depth
    /// moves times and doses, not whether there is a bath.
    pub(crate) fn programme(
        &self,
        procedure: Procedure,
        limits: &Limits,
    ) -> Result<Programme, NoProgramme> {
        let ids: Vec<&str> = match self.makeup {
            Makeup::Known(portions) => portions.iter().map(|p| p.material.as_str()).collect(),
            Makeup::Unknown(odds) => {
                odds.counted().flat_map(|f| f.materials.iter().map(String::as_str)).collect()
            }
        };
        let dyes = |id: &&str| {
            self.lore.material(id).is_ok_and(|m| self.lore.verdict(m, procedure).verdict.dyes())
        };
        let (mut goods, others): (Vec<&str>, Vec<&str>) = ids.into_iter().partition(dyes);
        goods.extend(others);
        let amount = units::OnFibre::try_percent(MEDIUM_PERCENT).unwrap_or(units::OnFibre::ZERO);
        let ask = ProgrammeAsk { procedure, goods: &goods, amount, caps: Caps::from(limits) };
        self.lore.programme(&ask)
    }

    /// Why this bath is not made with these people near, if it is not: its heat or its reducer. Whoever else
    /// its dye powder would harm is told too, in the order of the rules, the gravest first: one reason put
    /// right would leave the others.
    pub(crate) fn kept_from(
        &self,
        procedure: Procedure,
        programme: &Programme,
        people: People,
    ) -> Option<String> {
        let hottest = programme.hottest();
        let reducer = |rule: &PeopleRule| {
            let mut doses = programme.doses.iter();
            doses.find(|dose| rule.forbids_reducer(&dose.agent, dose.group)).map(|d| d.name.clone())
        };
        let classes = procedure.classes();
        let mut stopped = false;
        let mut ids: Vec<&str> = vec![];
        let (mut said, mut told): (Vec<String>, Vec<String>) = (vec![], vec![]);
        for rule in self.lore.rules_for(people) {
            let mut what: Vec<String> = vec![];
            if classes.iter().all(|class| rule.forbids_powder(*class)) {
                what.push("its dye may not be there as powder".to_owned());
            }
            let before = what.len();
            what.extend(reducer(rule).map(|name| format!("it takes {name}")));
            if rule.forbids_heat(hottest) {
                let degrees = trimmed(hottest.to_degrees(), 0);
                what.push(format!("it gets {degrees} °C hot, rinses and soaps included"));
            }
            stopped |= what.len() > before;
            if !what.is_empty() {
                // What was said for somebody else is not said again, only who it is for.
                what.retain(|one| !told.contains(one));
                let why = if what.is_empty() {
                    String::new()
                } else {
                    format!("{}. ", what.join(", and "))
                };
                said.push(format!("{why}{}", rule.text));
                told.append(&mut what);
                ids.push(&rule.id);
            }
        }
        stopped.then(|| {
            let flags = ids.iter().map(|id| format!("'{id}'")).collect::<Vec<_>>().join(" and ");
            let away = if ids.len() == 1 { "that person stays" } else { "all of them stay" };
            format!(
                "{} Set {flags} to false in the costume file only if {away} away until it is done and put \
                 away.",
                said.join(" Besides, ")
            )
        })
    }

    /// The first material or part that this bath ruins, by name, with its finding.
    fn first_ruined(&self, procedure: Procedure) -> Option<(String, Finding)> {
        let of_parts = self.parts.iter().filter_map(|part| {
            let material = self.lore.material(part.material.as_deref()?).ok()?;
            Some((part.name.clone(), material))
        });
        self.lore
            .materials_of(self.makeup)
            .into_iter()
            .map(|material| (material.name.clone(), material))
            .chain(of_parts)
            .map(|(name, material)| (name, self.lore.verdict(material, procedure)))
            .find(|(_, finding)| finding.verdict == Verdict::Ruins)
    }

    /// Why the alkali of this bath is too much for something in it, if it is. The gentle indigo
    /// vat is granted by the matrix to the fibres it names, so on those it is not asked again.
    fn alkali_stop(&self, procedure: Procedure) -> Option<String> {
        if !procedure.is_alkaline() {
            return None;
        }
        let from = self.lore.works_from(procedure)?;
        let forbids = |rule: AlkaliRule| match rule {
            AlkaliRule::Yes => false,
            AlkaliRule::Cold | AlkaliRule::ColdWeakShort => {
                let cap = self.lore.alkali_limit(rule).map(|limit| limit.max_temperature);
                // A bath that only starts at the cap is on its way past it.
                cap.is_none_or(|cap| from >= cap)
            }
            AlkaliRule::Never => true,
        };
        let says = |name: &str, rule: AlkaliRule| match self.lore.alkali_limit(rule) {
            Some(limit) => format!("the {name} bears {}", limit.says),
            None => format!("the {name} bears no alkali"),
        };
        let granted = |material: &Material| {
            procedure == Procedure::Indigo && self.lore.verdict(material, procedure).verdict.dyes()
        };
        let part_materials =
            self.parts.iter().filter_map(|part| self.lore.material(part.material.as_deref()?).ok());
        self.lore
            .materials_of(self.makeup)
            .into_iter()
            .chain(part_materials)
            .find(|material| forbids(material.alkali) && !granted(material))
            .map(|material| says(&material.name, material.alkali))
            .or_else(|| {
                self.parts.iter().find_map(|part| {
                    let rule = part.alkali.filter(|rule| forbids(*rule))?;
                    Some(says(&part.name, rule))
                })
            })
    }
}

fn too_hot(works_from: Celsius, cap: &Bound<Celsius>) -> String {
    format!(
        "it needs at least {} °C and the {} bears {} °C: {}",
        trimmed(works_from.to_degrees(), 0),
        cap.by,
        trimmed(cap.it.to_degrees(), 0),
        cap.why
    )
}
