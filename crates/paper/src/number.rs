//! Numbers as printed: the digits of the document and no others; odds and colour differences alone are
//! rounded. Names for ids.

use plan::document::Plan;

/// The shortest digits that read back as the same number; a true minus sign; never "−0".
pub(crate) fn number(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = format!("{}", value.abs());
    if value < 0.0 { format!("\u{2212}{digits}") } else { digits }
}

/// Number and unit, which no line break parts.
pub(crate) fn with(value: f64, unit: &str) -> String {
    format!("{}\u{a0}{unit}", number(value))
}

/// A colour difference, CIEDE2000: one decimal, for nobody sees a hundredth.
pub(crate) fn apart(value: f64) -> String {
    format!("{value:.1}")
}

/// A depth, % on weight of fibre, in three digits: no household doses finer.
pub(crate) fn depth(owf_pct: f64, unit: &str) -> String {
    format!("{}\u{a0}{unit}", units::significant(owf_pct, 3))
}

/// Water as it is run in: whole millilitres, litres from one litre on.
pub(crate) fn water(ml: f64) -> String {
    match ml {
        ml if ml < 1000.0 => with(ml.round(), "mL"),
        ml if ml < 10_000.0 => format!("{:.2}\u{a0}L", ml / 1000.0),
        ml => format!("{:.1}\u{a0}L", ml / 1000.0),
    }
}

/// A share of one in per cent, by moving the point in its digits: 0.29 is "29 %", not 28.999….
pub(crate) fn percent(share: f64) -> String {
    let digits = number(share);
    let (whole, part) = digits.split_once('.').unwrap_or((&digits, ""));
    let padded = format!("{part:0<2}");
    let (up, rest) = padded.split_at(2);
    let head = format!("{whole}{up}");
    let (sign, head) =
        head.strip_prefix('\u{2212}').map_or(("", head.as_str()), |h| ("\u{2212}", h));
    let head = head.trim_start_matches('0');
    let head = if head.is_empty() { "0" } else { head };
    let point = if rest.is_empty() { "" } else { "." };
    format!("{sign}{head}{point}{rest}\u{a0}%")
}

/// Odds in whole per cent: they are judged, not measured, and a finer digit would promise too much.
pub(crate) fn whole_percent(odds: f64) -> String {
    if odds > 0.0 && odds < 0.005 {
        return "under 1\u{a0}%".to_owned();
    }
    with((odds * 100.0).round(), "%")
}

/// An id of the house's tables as words: "felted-wool" is "felted wool".
pub(crate) fn words(id: &str) -> String {
    id.replace(['-', '_'], " ")
}

/// L*, a*, b* in one line.
pub(crate) fn lab(lab: [f64; 3]) -> String {
    let [l, a, b] = lab.map(number);
    format!("L*\u{a0}{l}, a*\u{a0}{a}, b*\u{a0}{b}")
}

/// Money as printed: two decimals, more only where the document has them (the price of a gram).
pub(crate) fn money(value: f64, currency: &str) -> String {
    format!("{}\u{a0}{currency}", hundredths(value))
}

/// The digits of an amount of money, two decimals at the least.
pub(crate) fn hundredths(value: f64) -> String {
    let digits = number(value);
    let (whole, part) = digits.split_once('.').unwrap_or((&digits, ""));
    format!("{whole}.{part:0<2}")
}

/// Names of pieces and fixed pieces; an id nobody has stays as it is.
pub(crate) fn names(plan: &Plan, ids: &[String]) -> String {
    ids.iter().map(|id| name(plan, id)).collect::<Vec<_>>().join(", ")
}

/// The name of a piece or fixed piece.
pub(crate) fn name<'a>(plan: &'a Plan, id: &'a str) -> &'a str {
    let pieces = plan.pieces.iter().map(|p| (&p.id, &p.name));
    let fixed = plan.fixed.iter().map(|f| (&f.id, &f.name));
    pieces.chain(fixed).find(|(has, _)| *has == id).map_or(id, |(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_has_two_decimals_and_the_price_of_a_gram_all_of_its_own() {
        for (value, printed) in [(7.1, "7.10"), (18.0, "18.00"), (0.0, "0.00"), (0.0125, "0.0125")]
        {
            assert_eq!(money(value, "EUR"), format!("{printed}\u{a0}EUR"));
        }
    }

    #[test]
    fn digits_are_the_documents() {
        for (value, printed) in [
            (0.1 + 0.2, "0.30000000000000004"),
            (12.0, "12"),
            (0.05, "0.05"),
            (-7.5, "\u{2212}7.5"),
            (-0.0, "0"),
            (15600.0, "15600"),
        ] {
            assert_eq!(number(value), printed);
        }
    }

    #[test]
    fn no_finer_than_it_is_seen_or_measured() {
        for (ml, printed) in
            [(183.4, "183\u{a0}mL"), (1520.0, "1.52\u{a0}L"), (27_403.0, "27.4\u{a0}L")]
        {
            assert_eq!(water(ml), printed);
        }
        assert_eq!((apart(0.18), apart(10.22)), ("0.2".to_owned(), "10.2".to_owned()));
        assert!(depth(3.3049, "%").starts_with("3.3"), "{}", depth(3.3049, "%"));
    }

    #[test]
    fn what_is_printed_reads_back() {
        for k in 0..5000 {
            let value = f64::from(k) * 0.037 - 20.0;
            assert_eq!(number(value).replace('\u{2212}', "-").parse::<f64>().unwrap(), value);
        }
    }

    #[test]
    fn percent_moves_the_point_only() {
        for (share, printed) in
            [(0.29, "29"), (1.0, "100"), (0.025, "2.5"), (0.07, "7"), (0.5, "50"), (0.0, "0")]
        {
            assert_eq!(percent(share), format!("{printed}\u{a0}%"));
        }
    }

    #[test]
    fn differences_have_one_decimal() {
        for (value, printed) in [(0.0, "0.0"), (0.04, "0.0"), (1.26, "1.3"), (10.0, "10.0")] {
            assert_eq!(apart(value), printed);
        }
    }

    #[test]
    fn odds_are_whole() {
        for (odds, printed) in [
            (0.4132, "41"),
            (0.297, "30"),
            (0.0001, "under 1"),
            (0.005, "1"),
            (0.0, "0"),
            (1.0, "100"),
        ] {
            assert_eq!(whole_percent(odds), format!("{printed}\u{a0}%"));
        }
    }
}
