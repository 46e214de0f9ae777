//! Sheets as the auditor sees them: a lenient reading of the JSON, in which what is missing stays
//! missing (`None`) for the rules to complain about. Nothing here judges.

use serde_json::Value;
use units::{Celsius, Minutes};

/// One bath sheet.
pub(crate) struct Sheet<'a> {
    pub(crate) raw: &'a Value,
    pub(crate) kind: &'a str,
    pub(crate) procedure: &'a str,
    pub(crate) goods: Goods<'a>,
    pub(crate) dyes: Vec<Dye<'a>>,
    pub(crate) auxiliaries: Vec<&'a Value>,
    pub(crate) cautions: Vec<(&'a str, String)>,
    pub(crate) steps: Vec<Step<'a>>,
    pub(crate) liquor_litres: Option<f64>,
}

impl<'a> Sheet<'a> {
    pub(crate) fn of(raw: &'a Value) -> Self {
        let cautions = list(raw, "cautions")
            .map(|c| (text(c, "id").unwrap_or_default(), low(text(c, "text"))))
            .collect();
        let steps = list(raw, "steps").enumerate().map(|(i, s)| Step::of(i, s)).collect();
        Self {
            raw,
            kind: text(raw, "kind").unwrap_or("(sheet without kind)"),
            procedure: text(raw, "procedure").unwrap_or_default(),
            goods: Goods::of(raw.get("goods").unwrap_or(&Value::Null)),
            dyes: list(raw, "dyes").map(Dye::of).collect(),
            auxiliaries: list(raw, "auxiliaries").collect(),
            cautions,
            steps,
            liquor_litres: number(raw, "liquor_ml").filter(|ml| *ml > 0.0).map(|ml| ml / 1000.0),
        }
    }

    /// The steps up to and with the first drain: the dyebath itself.
    pub(crate) fn bath(&self) -> &[Step<'a>] {
        let end = self.steps.iter().position(|s| s.act == "drain");
        end.map_or(&self.steps[..], |i| &self.steps[..=i])
    }

    /// True when any step adds something of this group.
    pub(crate) fn adds_group(&self, group: &str) -> bool {
        self.steps.iter().flat_map(|s| &s.adds).any(|a| a.is(group))
    }
}

/// The goods of a bath.
pub(crate) struct Goods<'a> {
    pub(crate) material: Option<&'a str>,
    pub(crate) known: Option<bool>,
    /// Material id and share (known goods) or odds (unknown goods).
    pub(crate) fibres: Vec<(&'a str, Option<f64>)>,
    pub(crate) parts: Vec<&'a str>,
    /// Materials of a lining sewn in.
    pub(crate) lining: Vec<&'a str>,
}

impl<'a> Goods<'a> {
    pub(crate) fn of(raw: &'a Value) -> Self {
        let known = raw.get("known").and_then(Value::as_bool);
        let (key, figure) =
            if known == Some(true) { ("fibres", "share") } else { ("possible", "odds") };
        Self {
            material: text(raw, "material"),
            known,
            fibres: list(raw, key)
                .map(|f| (text(f, "fibre").unwrap_or_default(), number(f, figure)))
                .collect(),
            lining: list(raw, "lining_fibres").filter_map(|f| text(f, "fibre")).collect(),
            parts: list(raw, "parts").map(|p| p.as_str().unwrap_or_default()).collect(),
        }
    }

    /// True only when the sheet says so: a missing word counts as unknown.
    pub(crate) fn is_known(&self) -> bool {
        self.known == Some(true)
    }

    /// Which rule a limit of a fibre comes under: its own for known goods, rule 6 for unknown.
    pub(crate) fn rule(&self, own: u8) -> u8 {
        if self.is_known() { own } else { 6 }
    }
}

/// One dye of a sheet.
pub(crate) struct Dye<'a> {
    pub(crate) id: &'a str,
    pub(crate) name: &'a str,
    pub(crate) class: &'a str,
    pub(crate) ci: &'a str,
    pub(crate) form: &'a str,
    pub(crate) owf_pct: Option<f64>,
}

impl<'a> Dye<'a> {
    fn of(raw: &'a Value) -> Self {
        let word = |key| text(raw, key).unwrap_or_default();
        Self {
            id: word("id"),
            name: word("name"),
            class: word("class"),
            ci: word("ci"),
            form: word("form"),
            owf_pct: number(raw, "owf_pct"),
        }
    }
}

/// One step.
pub(crate) struct Step<'a> {
    pub(crate) n: u32,
    pub(crate) act: &'a str,
    pub(crate) text: String,
    pub(crate) from: Option<f64>,
    pub(crate) to: Option<f64>,
    pub(crate) rate: Option<f64>,
    pub(crate) minutes: Option<f64>,
    pub(crate) stretch: f64,
    pub(crate) ph: Option<f64>,
    pub(crate) adds: Vec<Add<'a>>,
    pub(crate) agitation: Option<&'a str>,
    /// What its own vessel is made of, where it has one: the sheet's otherwise.
    pub(crate) vessel: Option<&'a str>,
    pub(crate) until: String,
    /// Keys that are there but cannot be what they claim.
    pub(crate) nonsense: Vec<&'static str>,
}

impl<'a> Step<'a> {
    pub(crate) fn of(index: usize, raw: &'a Value) -> Self {
        let place = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let n = raw.get("n").and_then(Value::as_u64).and_then(|n| u32::try_from(n).ok());
        let mut nonsense = Vec::new();
        let mut take = |key: &'static str, sane: fn(f64) -> bool| {
            let found = number(raw, key);
            if raw.get(key).is_some() && !found.is_some_and(sane) {
                nonsense.push(key);
                return None;
            }
            found
        };
        let celsius = |t| Celsius::try_degrees(t).is_ok();
        let minutes = |t| Minutes::try_minutes(t).is_ok();
        Self {
            n: n.unwrap_or(place),
            act: text(raw, "do").unwrap_or_default(),
            text: low(text(raw, "text")),
            from: take("from_c", celsius),
            to: take("to_c", celsius),
            rate: take("rate_c_per_min", |r| r > 0.0),
            minutes: take("minutes", minutes),
            stretch: take("stretch_min", minutes).unwrap_or(0.0),
            ph: take("ph", |p| (0.0..=14.0).contains(&p)),
            adds: list(raw, "adds").map(Add::of).collect(),
            agitation: text(raw, "agitation"),
            vessel: raw.get("vessel").map(|vessel| text(vessel, "material").unwrap_or_default()),
            until: low(text(raw, "until")),
            nonsense,
        }
    }

    /// The hottest the bath gets in this step.
    pub(crate) fn hottest(&self) -> Option<f64> {
        match (self.from, self.to) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        }
    }

    pub(crate) fn starts(&self) -> Option<f64> {
        self.from.or(self.to)
    }

    pub(crate) fn ends(&self) -> Option<f64> {
        self.to.or(self.from)
    }

    /// The fastest the temperature moves, °C per minute: what is written, or what the figures
    /// give, whichever is more. `None` when neither can be known.
    pub(crate) fn fastest(&self) -> Option<f64> {
        let worked = match (self.from, self.to, self.minutes) {
            (Some(a), Some(b), Some(m)) if m > 0.0 => Some((b - a).abs() / m),
            _ => None,
        };
        match (self.rate, worked) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        }
    }

    /// The longest the maker may take over it.
    pub(crate) fn longest(&self) -> Option<f64> {
        self.minutes.map(|m| m + self.stretch)
    }
}

/// Something that goes into the bath.
pub(crate) struct Add<'a> {
    pub(crate) id: &'a str,
    pub(crate) group: &'a str,
    pub(crate) grams: Option<f64>,
    pub(crate) portion: Option<f64>,
    pub(crate) dissolved: Option<bool>,
}

impl<'a> Add<'a> {
    fn of(raw: &'a Value) -> Self {
        Self {
            id: text(raw, "id").unwrap_or_default(),
            group: text(raw, "group").unwrap_or_default(),
            grams: number(raw, "grams"),
            portion: number(raw, "portion"),
            dissolved: raw.get("dissolved").and_then(Value::as_bool),
        }
    }

    /// True when it is of the group, by what the sheet says or by what the auditor knows of the id.
    pub(crate) fn is(&self, group: &str) -> bool {
        self.group == group || crate::agents::group_of(self.id) == Some(group)
    }
}

/// A text under a key.
pub(crate) fn text<'a>(raw: &'a Value, key: &str) -> Option<&'a str> {
    raw.get(key).and_then(Value::as_str)
}

/// A finite number under a key.
pub(crate) fn number(raw: &Value, key: &str) -> Option<f64> {
    raw.get(key).and_then(Value::as_f64).filter(|x| x.is_finite())
}

/// The members of a list under a key; none when there is no list.
pub(crate) fn list<'a>(raw: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> {
    raw.get(key).and_then(Value::as_array).into_iter().flatten()
}

fn low(text: Option<&str>) -> String {
    text.unwrap_or_default().to_lowercase()
}
