//! The money as it is told: what is used, what is paid at the shop, what the cheapest would be.

use workroom::Plan;

use crate::cli::speech::{say, say_wrapped};

/// A line each; what the sums leave out is on the page in full.
pub(super) fn tell(plan: &Plan) {
    let shopping = &plan.shopping;
    if shopping.rows.is_empty() {
        return;
    }
    let currency = &plan.costume.currency;
    say("");
    say("The money");
    if shopping.to_pay == 0.0 && shopping.rows.iter().all(|row| row.cost.is_none()) {
        say_wrapped("  ", 2, "No price is known for anything it takes; nothing is added up.");
        return;
    }
    let packs: u32 = shopping.rows.iter().filter_map(|row| row.packs).sum();
    let says = format!(
        "Used: {:.2} {currency}. To pay at the shop: {:.2} {currency} for {}.",
        shopping.total,
        shopping.to_pay,
        match packs {
            0 => "no pack".to_owned(),
            1 => "1 pack".to_owned(),
            n => format!("{n} packs"),
        }
    );
    say_wrapped("  ", 2, &says);
    if let Some(cheapest) = &shopping.cheapest {
        say_wrapped("  ", 2, &cheapest.words);
    }
    if !shopping.left_out.is_empty() {
        let unpriced = shopping.rows.iter().filter(|row| row.cost.is_none()).count();
        let what = match unpriced {
            0 => "some packs".to_owned(),
            1 => "one thing".to_owned(),
            n => format!("{n} things"),
        };
        let says = format!("Left out for want of a price or an amount: {what}, named on the page.");
        say_wrapped("  ", 2, &says);
    }
}
