//! Shows what is offered for a makeup: `cargo run -p lore --example offer -- cotton 65 polyester 35`.
//! With no words, or with `flame melts smell sweet`, the fibre is unknown.
#![expect(clippy::print_stdout, reason = "an example speaks")]

use lore::{Lore, Makeup, Observation, Offers, Part, People};
use units::Share;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match told(&words) {
        Ok((makeup, offers)) => show(&makeup, &offers),
        Err(refusal) => println!("{refusal}"),
    }
}

fn told(words: &[String]) -> Result<(Makeup, Offers), String> {
    let lore = Lore::shipped();
    let (parts, words): (Vec<&String>, Vec<&String>) =
        words.iter().partition(|word| word.starts_with('+'));
    let parts: Vec<&Part> = parts
        .iter()
        .map(|word| lore.part(word.trim_start_matches('+')).map_err(|e| e.to_string()))
        .collect::<Result<_, _>>()?;
    let pairs: Vec<(&str, &str)> = words
        .chunks(2)
        .map(|pair| (pair[0].as_str(), pair.get(1).map_or("100", |w| w.as_str())))
        .collect();
    let is_seen = pairs.first().is_none_or(|(kind, _)| kind.parse::<lore::Kind>().is_ok());
    let makeup = if is_seen {
        let seen: Vec<Observation> = pairs
            .iter()
            .map(|(kind, word)| Observation::try_new(kind.parse()?, word))
            .collect::<Result<_, _>>()
            .map_err(|e: lore::UnknownName| e.to_string())?;
        Makeup::Unknown(lore.try_odds(&seen).map_err(|e| e.to_string())?)
    } else {
        let shares: Vec<(&str, Share)> = pairs
            .iter()
            .map(|(name, percent)| {
                let percent: f64 =
                    percent.parse().map_err(|_| format!("'{percent}' is not a percentage"))?;
                Ok((*name, Share::try_percent(percent).map_err(|e| e.to_string())?))
            })
            .collect::<Result<_, String>>()?;
        lore.try_makeup(&shares).map_err(|e| e.to_string())?
    };
    let offers = lore.offer(&makeup, &parts, People::default());
    Ok((makeup, offers))
}

fn show(makeup: &Makeup, offers: &Offers) {
    if let Makeup::Unknown(odds) = makeup {
        for fibre in odds.counted() {
            println!("counts {:5.1} % {}", fibre.odds * 100.0, fibre.name);
        }
    }
    if let Some(limits) = &offers.limits {
        let t = &limits.t_max;
        println!(
            "at most {} °C ({}: {}); movement {} ({})",
            t.it.to_degrees(),
            t.by,
            t.why,
            limits.agitation.it,
            limits.agitation.by
        );
    }
    for offer in &offers.offered {
        println!(
            "OFFER {} {} on {:.0} %: {}",
            offer.procedure,
            offer.verdict,
            offer.takes.to_percent(),
            offer.why
        );
        for class in &offer.classes {
            println!("        {} {}: {}", class.class, class.verdict, class.why);
        }
    }
    for refused in &offers.refused {
        println!(
            "no    {} [{}] {:?}: {}",
            refused.procedure,
            refused.reason.map_or("-", |r| r.id()),
            refused.stop,
            refused.why_not
        );
    }
    for pair in &offers.two_baths {
        println!("two   {}", pair.says);
    }
    for test in &offers.tests {
        println!(
            "test  {} ({:.2} bit): {} — {}",
            test.test.name, test.bits, test.test.how, test.test.hazard
        );
    }
    for note in &offers.notes {
        println!("note  {note}");
    }
}
