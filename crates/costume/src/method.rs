//! Ways of dyeing at hand: pot, tub, washing machine and the rest, and what the machine can do.

use lore::Method;
use units::{Celsius, Mass, Volume};

use crate::reader::{Any, Table};

/// What a washing machine takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Dry goods it holds.
    pub holds: Mass,
    /// Water it lets in for a wash.
    pub water: Volume,
    /// Its hottest wash.
    pub hottest: Celsius,
}

/// Reads `methods` and `[kitchen.machine]`; nothing said is pot and tub, and the machine if it is told.
pub(crate) fn methods(table: &Table) -> (Vec<Method>, Option<Machine>) {
    let told = table.part("machine");
    let machine = told.as_ref().and_then(machine);
    let Some(list) = table.any("methods") else {
        let mut usual = vec![Method::Pot, Method::Tub];
        if told.is_some() {
            usual.push(Method::Machine);
        }
        return (usual, machine);
    };
    let mut named = vec![];
    for at in table.texts("methods") {
        let Some(method) = table.one_of("methods", &at, Method::ALL, Method::id) else {
            continue;
        };
        if named.contains(&method) {
            table.fault(at.span, format!("`methods` names \"{}\" twice", at.it), "name each once");
        } else {
            named.push(method);
        }
    }
    if matches!(&list.it, Any::List(entries) if entries.is_empty()) {
        let hint = "leave it out for pot and tub, or name what is at hand";
        table.fault(list.span.clone(), "`methods` is empty", hint);
    }
    match (&told, named.contains(&Method::Machine)) {
        (Some(told), false) => {
            let hint = "add \"machine\" to methods, or take [kitchen.machine] out";
            table.fault(told.span.clone(), "a machine that is not among the `methods`", hint);
        }
        (None, true) => {
            let hint = "write [kitchen.machine] with holds_kg, litres and hottest_c";
            table.fault(list.span, "`methods` names a machine that is not described", hint);
        }
        _ => {}
    }
    named.sort_unstable();
    (named, machine)
}

/// Reads `[kitchen.machine]`. The limits are those of washing machines for a home, taken widely.
fn machine(table: &Table) -> Option<Machine> {
    let holds = table.need_between("holds_kg", 0.5..=25.0, "the dry wash it takes, kg");
    let water =
        table.need_between("litres", 3.0..=200.0, "the water it lets in for a wash, litres");
    let hottest = table.need_between("hottest_c", 20.0..=95.0, "its hottest wash, °C");
    table.finish();
    Some(Machine {
        holds: Mass::try_grams(holds?.it * 1000.0).ok()?,
        water: Volume::try_litres(water?.it).ok()?,
        hottest: Celsius::try_degrees(hottest?.it).ok()?,
    })
}
