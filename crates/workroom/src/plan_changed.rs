//! What a change of the files did to a plan, in sentences: the old plan against the new.

use plan::document::{PiecePlan, Plan};
use units::significant;

/// ΔE00 below which a colour expected is called the same.
const SAME: f64 = 0.05;

/// Money below which a sum is called the same.
const SAME_SUM: f64 = 0.005;

/// What differs between two plans of one costume: pieces, verdicts, recipes, colours, the date, the money.
#[must_use]
pub fn said_change(before: &Plan, after: &Plan) -> Vec<String> {
    let mut said = vec![];
    let in_plan = |plan: &'_ Plan, id: &str| plan.pieces.iter().position(|p| p.id == id);
    for gone in before.pieces.iter().filter(|p| in_plan(after, &p.id).is_none()) {
        said.push(format!("{} is no longer in it.", gone.name));
    }
    for now in &after.pieces {
        match in_plan(before, &now.id) {
            None => said.push(format!("{} is new: {}", now.name, now.why)),
            Some(at) => said.extend(piece(&before.pieces[at], now)),
        }
    }
    for set in &after.sets {
        let was = before.sets.iter().find(|old| old.name == set.name);
        if was.is_some_and(|was| was.holds != set.holds) {
            said.push(format!("{}: {}", set.name, set.verdict));
        }
    }
    let verdict = |plan: &Plan| plan.days.as_ref().map(|days| days.verdict.clone());
    if let Some(days) = verdict(after)
        && verdict(before).as_ref() != Some(&days)
    {
        said.push(days);
    }
    let (was, now) = (before.shopping.to_pay, after.shopping.to_pay);
    if (was - now).abs() > SAME_SUM {
        let currency = &after.costume.currency;
        said.push(format!("To pay: {now:.2} {currency} instead of {was:.2} {currency}."));
    }
    said
}

fn piece(was: &PiecePlan, now: &PiecePlan) -> Option<String> {
    let name = &now.name;
    if was.outcome != now.outcome {
        return Some(format!("{name}: {}", now.why));
    }
    let class = |p: &PiecePlan| p.class.as_ref().map(|c| c.name.clone());
    if let Some(class) = class(now).filter(|c| Some(c) != class(was).as_ref()) {
        return Some(format!("{name} is now dyed with {class}."));
    }
    let (Some(old), Some(new)) = (was.recipes.first(), now.recipes.first()) else {
        return (was.target != now.target).then(|| format!("{name} has another colour wanted."));
    };
    let dyes = |r: &plan::document::RecipeSeen| {
        r.dyes.iter().map(|d| (d.name.clone(), d.owf_pct)).collect::<Vec<_>>()
    };
    let (dyes_were, dyes_are) = (dyes(old), dyes(new));
    if dyes_were != dyes_are {
        let said: Vec<String> =
            dyes_are.iter().map(|(dye, pct)| format!("{dye} {} %", significant(*pct, 3))).collect();
        let off = |r: &plan::document::RecipeSeen| format!("{:.1}", r.difference);
        return Some(format!(
            "{name}: the recipe is now {}; {} from the colour wanted, before it was {}.",
            said.join(", "),
            off(new),
            off(old)
        ));
    }
    if (old.difference - new.difference).abs() > SAME {
        return Some(format!(
            "{name}: the same recipe is now {:.1} from the colour wanted, before it was {:.1}.",
            new.difference, old.difference
        ));
    }
    let weight = |p: &PiecePlan| p.goods.dry_g;
    ((weight(was) - weight(now)).abs() > 0.0)
        .then(|| format!("{name} weighs {} g now: its doses follow.", weight(now)))
}
