//! What the maker weighs, measures and dyes with.

use dosing::{Kit, Scale, Syringe};
use lore::Method;
use units::{Mass, Minutes, Share, Volume};

use crate::Machine;
use crate::method::methods;
use crate::reader::{Any, At, Table};

/// The kitchen: measures, vessels and water.
#[derive(Debug, Clone, PartialEq)]
pub struct Kitchen {
    /// Scale, syringes and spoons.
    pub kit: Kit,
    /// Measuring spoons, smallest first: for volumes of liquid, never for powder dye.
    pub spoons: Vec<Volume>,
    /// Vessels for dye only, smallest first.
    pub vessels: Vec<Vessel>,
    /// Hardness of the water, mg/L as calcium carbonate, when known.
    pub hardness_mg_per_l: Option<f64>,
    /// Alkalinity of the water, mg/L as calcium carbonate, when known.
    pub alkalinity_mg_per_l: Option<f64>,
    /// Strength of the vinegar at hand (acetic acid, w/v).
    pub vinegar: Share,
    /// Burners that can heat at once.
    pub burners: usize,
    /// People at the pots.
    pub hands: usize,
    /// Sinks to rinse in.
    pub sinks: usize,
    /// What one person can lift and pour, when known.
    pub lifts: Option<Mass>,
    /// Pieces that can hang to dry at once.
    pub drying: usize,
    /// Ways of dyeing at hand, each once, in the order of [`Method::ALL`].
    pub methods: Vec<Method>,
    /// The washing machine; there exactly when the methods say so.
    pub machine: Option<Machine>,
}

/// One vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    /// What it is called.
    pub name: String,
    /// How much it holds to the brim.
    pub holds: Volume,
    /// What it is made of.
    pub material: VesselMaterial,
    /// From cold to 60 °C, two thirds full, when known.
    pub to_60: Option<Minutes>,
}

/// What a vessel is made of; metals that react with the bath are refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VesselMaterial {
    /// Stainless steel.
    Stainless,
    /// Enamel without chips.
    Enamel,
    /// Plastic, for baths up to 60 °C.
    Plastic,
    /// Glass.
    Glass,
}

impl VesselMaterial {
    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stainless => "stainless",
            Self::Enamel => "enamel",
            Self::Plastic => "plastic",
            Self::Glass => "glass",
        }
    }
}

impl Vessel {
    /// Liquor it can take with goods in it: two thirds (a usual caution against boiling over).
    #[must_use]
    pub fn liquor(&self) -> Volume {
        self.holds.try_times(2.0 / 3.0).unwrap_or(self.holds)
    }
}

/// Most burners, people, sinks or places to dry; a dye house has more.
const MOST_OF_A_KIND: u32 = 20;

/// Vinegar when the file says nothing: 5 % (labels run from 4 to 8 % by country).
const USUAL_VINEGAR_PCT: f64 = 5.0;

/// Reads `[kitchen]`; an absent table is the common kitchen: a 0.1 g scale, a 10 mL and a 1 mL
/// syringe, one pot of 12 L and one bucket of 10 L.
pub(crate) fn kitchen(table: Option<&Table>) -> Option<Kitchen> {
    let Some(table) = table else { return common() };
    let scale = match table.number("scale_g") {
        Some(At { it, span }) => {
            let hint = "write the smallest step it shows, such as 0.1";
            let step = table.keep(&span, Mass::try_grams(it), hint);
            step.and_then(|s| table.keep(&span, Scale::try_step(s), hint))
        }
        None => None,
    };
    let syringes = syringes(table);
    let spoons = spoons(table);
    let dropper = table.flag("dropper");
    let usual = common()?;
    let vessels: Vec<Vessel> = table.parts("vessel").iter().filter_map(vessel).collect();
    let hardness = table.number("water_hardness_mg_per_l").and_then(|h| {
        if (0.0..=1000.0).contains(&h.it) {
            Some(h.it)
        } else {
            let hint = "it is on the water company's report: 0 to 1000 mg/L as calcium carbonate";
            table.fault(h.span, format!("a hardness of {} mg/L", h.it), hint);
            None
        }
    });
    let vinegar =
        table.number("vinegar_pct").map_or(Share::try_percent(USUAL_VINEGAR_PCT).ok(), |v| {
            let hint = "it is on the label: table vinegar has 4 to 8 %";
            if (3.0..=10.0).contains(&v.it) {
                return Share::try_percent(v.it).ok();
            }
            let says = format!("vinegar of {} %", v.it);
            table.fault(
                v.span,
                says,
                format!("{hint}; above 10 % is a corrosive grade, not for this"),
            );
            None
        });
    let alkalinity = table.between(
        "alkalinity_mg_per_l",
        0.0..=1000.0,
        "it is on the water company's report, mg/L as calcium carbonate",
    );
    let few = 1..=MOST_OF_A_KIND;
    // None is a kitchen too: it dyes cold.
    let burners =
        table.count("burners", 0..=MOST_OF_A_KIND, "how many can heat at once; 0 for none");
    let hands = table.count("hands", few.clone(), "people at the pots");
    let sinks = table.count("sinks", few.clone(), "sinks to rinse in");
    let drying = table.count("drying", few, "pieces that can hang to dry at once");
    let lifts = table
        .between("lifts_kg", 1.0..=100.0, "what you can lift and pour alone, kg")
        .and_then(|kg| Mass::try_grams(kg.it * 1000.0).ok());
    let (methods, machine) = methods(table);
    table.finish();
    if scale.is_none() && syringes.is_empty() && spoons.is_empty() {
        // A measure that is written and faulty has its own fault already.
        let written = |key| match table.any(key) {
            Some(At { it: Any::List(list), .. }) => !list.is_empty(),
            other => other.is_some(),
        };
        if !["scale_g", "syringes_ml", "spoons_ml"].into_iter().any(written) {
            let hint = "write scale_g = 0.1, or without a scale syringes_ml = [10, 500]: a whole pack \
                        is then dissolved and measured by volume";
            table.fault(table.span.clone(), "there is nothing to measure with", hint);
        }
        return None;
    }
    let kit = table.keep(&table.span, Kit::try_new(scale, syringes), "list each once")?;
    let span = table.any("spoons_ml").map_or(table.span.clone(), |s| s.span);
    let kit = table.keep(&span, kit.with_spoons(&spoons), "up to four, of 0.5 to 50 mL")?;
    let kit = if dropper { kit.with_drops() } else { kit };
    let mut vessels = if vessels.is_empty() { usual.vessels } else { vessels };
    vessels.sort_by(|a, b| a.holds.to_millilitres().total_cmp(&b.holds.to_millilitres()));
    Some(Kitchen {
        kit,
        spoons,
        vessels,
        hardness_mg_per_l: hardness,
        alkalinity_mg_per_l: alkalinity.map(|a| a.it),
        vinegar: vinegar?,
        burners: burners.map_or(usual.burners, |n| n as usize),
        hands: hands.map_or(usual.hands, |n| n as usize),
        sinks: sinks.map_or(usual.sinks, |n| n as usize),
        lifts,
        drying: drying.map_or(usual.drying, |n| n as usize),
        methods,
        machine,
    })
}

fn syringes(table: &Table) -> Vec<Syringe> {
    let hint = "write their sizes in mL, as in syringes_ml = [1, 10, 50]";
    table
        .list("syringes_ml")
        .into_iter()
        .filter_map(|entry| {
            let Any::Number(size) = entry.it else {
                table.fault(entry.span, format!("a syringe is {}", entry.it.kind()), hint);
                return None;
            };
            let size = table.keep(&entry.span, Volume::try_millilitres(size), hint)?;
            table.keep(&entry.span, syringe(size), hint)
        })
        .collect()
}

/// Reads `spoons_ml`, smallest first.
fn spoons(table: &Table) -> Vec<Volume> {
    let hint = "write what they hold in mL, from 0.5 to 50, as in spoons_ml = [2.5, 5, 15]";
    let mut spoons: Vec<Volume> = vec![];
    for At { it, span } in table.list("spoons_ml") {
        let says = match it {
            Any::Number(size) if (0.5..=50.0).contains(&size) => {
                let Some(size) = table.keep(&span, Volume::try_millilitres(size), hint) else {
                    continue;
                };
                if !spoons.contains(&size) {
                    spoons.push(size);
                    continue;
                }
                format!("a spoon of {} mL is listed twice", size.to_millilitres())
            }
            Any::Number(size) => format!("a spoon of {size} mL"),
            other => format!("a spoon is {}", other.kind()),
        };
        table.fault(span, says, hint);
    }
    spoons.sort_by(|a, b| a.to_millilitres().total_cmp(&b.to_millilitres()));
    spoons
}

/// A syringe or jug of this size with the marks such a one usually has: a fiftieth of it, rounded
/// down to 1, 2 or 5 × 10ⁿ mL (common practice of makers of syringes and jugs).
fn syringe(size: Volume) -> Result<Syringe, String> {
    let fine = size.to_millilitres() / 50.0;
    let mark = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .rfind(|m| *m <= fine * 1.0001)
        .ok_or_else(|| format!("a syringe of {} mL has no marks", size.to_millilitres()))?;
    let mark = Volume::try_millilitres(mark).map_err(|e| e.to_string())?;
    Syringe::try_new(size, mark).map_err(|e| e.to_string())
}

fn vessel(table: &Table) -> Option<Vessel> {
    let name = table.need_text("name", "what you call it, such as \"big pot\"");
    let holds = table.number("litres");
    let of = table.need_text("of", "stainless, enamel, plastic or glass");
    if holds.is_none() {
        table.fault(table.span.clone(), "`litres` is missing", "how much it holds to the brim");
    }
    let to_60 = table
        .between("to_60_min", 1.0..=600.0, "minutes from cold to 60 °C, two thirds full")
        .and_then(|m| Minutes::try_minutes(m.it).ok());
    table.finish();
    let holds = holds?;
    let litres = table.keep(&holds.span, Volume::try_litres(holds.it), "in litres")?;
    let of = of?;
    let material = match of.it.as_str() {
        "stainless" => VesselMaterial::Stainless,
        "enamel" => VesselMaterial::Enamel,
        "plastic" => VesselMaterial::Plastic,
        "glass" => VesselMaterial::Glass,
        other => {
            let says = format!("a dye vessel of {other}");
            let hint = "aluminium, copper, iron and galvanised metal react with the bath: use \
                        stainless, enamel, plastic (to 60 °C) or glass";
            table.fault(of.span, says, hint);
            return None;
        }
    };
    Some(Vessel { name: name?.it, holds: litres, material, to_60 })
}

fn common() -> Option<Kitchen> {
    let vessel = |name: &str, litres, material| {
        let holds = Volume::try_litres(litres).ok()?;
        Some(Vessel { name: name.to_owned(), holds, material, to_60: None })
    };
    let scale = Scale::try_step(Mass::try_grams(0.1).ok()?).ok()?;
    let ml = |ml| syringe(Volume::try_millilitres(ml).ok()?).ok();
    Some(Kitchen {
        kit: Kit::try_new(Some(scale), vec![ml(1.0)?, ml(10.0)?, ml(500.0)?]).ok()?,
        vessels: vec![
            vessel("jar", 1.0, VesselMaterial::Glass)?,
            vessel("bucket", 10.0, VesselMaterial::Plastic)?,
            vessel("pot", 12.0, VesselMaterial::Stainless)?,
        ],
        hardness_mg_per_l: None,
        vinegar: Share::try_percent(USUAL_VINEGAR_PCT).ok()?,
        spoons: vec![],
        alkalinity_mg_per_l: None,
        burners: 2,
        hands: 1,
        sinks: 1,
        lifts: None,
        drying: 6,
        methods: vec![Method::Pot, Method::Tub],
        machine: None,
    })
}
