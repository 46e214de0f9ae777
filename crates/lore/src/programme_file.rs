//! Reads `programmes.toml`: the rows as written, with every number past the gate of its unit.
//!
//! What a row becomes for one cloth and depth is in `programme`.

use serde::Deserialize;
use units::{Celsius, Minutes, Ph, Ramp, Share};

use crate::fault::{held, read};
use crate::material::Agitation;
use crate::named::named;
use crate::programme_depth::Band;
use crate::{DataFault, Provenance, Standing};

named! {
    /// What a step does: the words of the sheets' JSON.
    pub enum StepKind, "step" {
        /// Made ready before or beside the bath.
        Prepare = "prepare",
        /// Goods go in.
        Enter = "enter",
        /// Something is added.
        Add = "add",
        /// Heating.
        Heat = "heat",
        /// Held at temperature.
        Hold = "hold",
        /// Cooling in the bath.
        Cool = "cool",
        /// Goods come out.
        Drain = "drain",
        /// Rinsing in fresh water.
        Rinse = "rinse",
        /// Soaping in fresh water.
        Soap = "soap",
        /// A short fresh bath: sour or fixative.
        Neutralise = "neutralise",
        /// Drying.
        Dry = "dry",
        /// Judging.
        Judge = "judge",
    }
}

named! {
    /// Whether carbonate or hydroxide goes in, and how; later is harsher.
    pub enum AlkaliUse, "use of alkali" {
        /// None.
        None = "none",
        /// The gentle vat of wool and silk: at most pH 9.5 and 50 °C.
        MildVat = "mild vat",
        /// Soda ash cold, weak and short, as silk bears it.
        ColdWeakShort = "cold, weak and short",
        /// At most 40 °C.
        Cold = "cold",
        /// 40 to 60 °C.
        Warm = "warm",
        /// Hotter.
        Hot = "hot",
    }
}

/// What a row is about: a procedure of the matrix, a scour, or a finish that follows others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Dyeing(crate::Procedure),
    Scour,
    Finish,
}

/// One programme as written.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub(crate) id: String,
    pub(crate) kind: Kind,
    pub(crate) goods: Vec<String>,
    pub(crate) with_goods: Vec<String>,
    pub(crate) title: String,
    pub(crate) alkali: AlkaliUse,
    pub(crate) works_from: Celsius,
    pub(crate) top: Celsius,
    pub(crate) ramp_most: Ramp,
    pub(crate) top_minutes_most: f64,
    pub(crate) ph: Option<(Ph, Ph)>,
    /// What is aimed at within it for pale, medium and deep shades.
    pub(crate) ph_by_depth: Option<[Ph; 3]>,
    pub(crate) then: Vec<String>,
    pub(crate) no_top_up_after_alkali: bool,
    pub(crate) depth_most: Band,
    pub(crate) careful: bool,
    pub(crate) dips: Option<[u32; 4]>,
    pub(crate) notes: Vec<String>,
    pub(crate) steps: Vec<StepRow>,
    pub(crate) provenance: Provenance,
}

/// One step as written.
#[derive(Debug, Clone)]
pub(crate) struct StepRow {
    pub(crate) kind: StepKind,
    pub(crate) what: Option<String>,
    pub(crate) portion: Option<Share>,
    pub(crate) to: Option<Celsius>,
    pub(crate) ramp: Option<Ramp>,
    pub(crate) minutes: f64,
    pub(crate) by_depth: bool,
    pub(crate) times: u8,
    pub(crate) ph: Option<(Ph, Ph)>,
    pub(crate) agitation: Agitation,
    pub(crate) stretch: Minutes,
    pub(crate) each_dip: bool,
    pub(crate) until: Option<String>,
    pub(crate) say: String,
    pub(crate) look_for: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    programme: Vec<Written>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    id: String,
    procedure: Option<String>,
    goods: Vec<String>,
    #[serde(default)]
    with_goods: Vec<String>,
    same_steps_as: Option<String>,
    title: String,
    alkali: AlkaliUse,
    works_from_c: f64,
    top_c: f64,
    ramp_most_c_per_min: f64,
    top_minutes_most: f64,
    alkali_minutes_most: Option<f64>,
    ph_from: Option<f64>,
    ph_to: Option<f64>,
    ph_pale: Option<f64>,
    ph_medium: Option<f64>,
    ph_deep: Option<f64>,
    #[serde(default)]
    then: Vec<String>,
    no_top_up_after: Option<String>,
    depth_most: Band,
    #[serde(default)]
    careful: bool,
    dips_pale: Option<u32>,
    dips_medium: Option<u32>,
    dips_deep: Option<u32>,
    dips_black: Option<u32>,
    #[serde(default)]
    notes: Vec<String>,
    #[serde(default)]
    steps: Vec<WrittenStep>,
    source: String,
    standing: Standing,
}

#[derive(Deserialize, Clone)]
#[serde(deny_unknown_fields)]
struct WrittenStep {
    r#do: StepKind,
    what: Option<String>,
    portion_percent: Option<f64>,
    to_c: Option<f64>,
    ramp_c_per_min: Option<f64>,
    #[serde(default)]
    minutes: f64,
    #[serde(default)]
    by_depth: bool,
    #[serde(default = "once")]
    times: u8,
    ph_from: Option<f64>,
    ph_to: Option<f64>,
    #[serde(default = "still")]
    agitation: Agitation,
    #[serde(default)]
    may_stretch_min: f64,
    #[serde(default)]
    each_dip: bool,
    until: Option<String>,
    say: String,
    look_for: Option<String>,
}

const FILE: &str = "programmes.toml";

const fn once() -> u8 {
    1
}

const fn still() -> Agitation {
    Agitation::None
}

/// Reads `programmes.toml`. A row has steps of its own or another row's, and every name it uses must
/// be there.
pub(crate) fn try_read(text: &str) -> Result<Vec<Row>, DataFault> {
    let written = read::<File>(FILE, text)?.programme;
    let known: Vec<&str> = written.iter().map(|row| row.id.as_str()).collect();
    for (i, row) in written.iter().enumerate() {
        let mut names = row.then.iter().chain(row.same_steps_as.iter());
        if let Some(missing) = names.find(|name| !known.contains(&name.as_str())) {
            return Err(fault(&row.id, &format!("no programme '{missing}'")));
        }
        if known[..i].contains(&row.id.as_str()) {
            return Err(fault(&row.id, "the id stands twice"));
        }
    }
    written.iter().map(|row| try_row(row, &written)).collect()
}

fn fault(row: &str, what: &str) -> DataFault {
    DataFault { file: FILE, what: format!("'{row}': {what}") }
}

fn try_row(row: &Written, all: &[Written]) -> Result<Row, DataFault> {
    let id = row.id.as_str();
    let kind = match row.procedure.as_deref() {
        None => Kind::Finish,
        Some("scour") => Kind::Scour,
        Some(word) => {
            Kind::Dyeing(word.parse().map_err(|e: crate::UnknownName| fault(id, &e.to_string()))?)
        }
    };
    let steps = match &row.same_steps_as {
        Some(other) if row.steps.is_empty() => {
            all.iter().find(|it| it.id == *other).map_or(&row.steps, |it| &it.steps)
        }
        Some(_) => return Err(fault(id, "give steps or same_steps_as, not both")),
        None => &row.steps,
    };
    if steps.is_empty() {
        return Err(fault(id, "no steps"));
    }
    if row.no_top_up_after.as_deref().is_some_and(|after| after != "alkali") {
        return Err(fault(id, "no_top_up_after can only be alkali"));
    }
    let dips = match (row.dips_pale, row.dips_medium, row.dips_deep, row.dips_black) {
        (Some(pale), Some(medium), Some(deep), Some(black)) => Some([pale, medium, deep, black]),
        (None, None, None, None) => None,
        _ => return Err(fault(id, "give dips for pale, medium, deep and black, or none")),
    };
    let built = Row {
        id: row.id.clone(),
        kind,
        goods: row.goods.clone(),
        with_goods: row.with_goods.clone(),
        title: row.title.clone(),
        alkali: row.alkali,
        works_from: held(FILE, id, Celsius::try_degrees(row.works_from_c))?,
        top: held(FILE, id, Celsius::try_degrees(row.top_c))?,
        ramp_most: held(FILE, id, Ramp::try_degrees_per_minute(row.ramp_most_c_per_min))?,
        top_minutes_most: held(FILE, id, Minutes::try_minutes(row.top_minutes_most))?.to_minutes(),
        ph: try_ph(id, row.ph_from, row.ph_to)?,
        ph_by_depth: try_ph_by_depth(id, row)?,
        then: row.then.clone(),
        no_top_up_after_alkali: row.no_top_up_after.is_some(),
        depth_most: row.depth_most,
        careful: row.careful,
        dips,
        notes: row.notes.clone(),
        steps: steps.iter().map(|step| try_step(id, step)).collect::<Result<_, _>>()?,
        provenance: Provenance { source: row.source.clone(), standing: row.standing },
    };
    check_alkali_time(&built, row.alkali_minutes_most)?;
    Ok(built)
}

/// Minutes from the first alkali to the drain, against what the row allows itself.
fn check_alkali_time(row: &Row, most: Option<f64>) -> Result<(), DataFault> {
    let Some(most) = most else { return Ok(()) };
    let is_alkali = |step: &&StepRow| step.what.as_deref() == Some("soda-ash");
    let minutes: f64 =
        row.steps.iter().skip_while(|step| !is_alkali(step)).map(|s| s.minutes).sum();
    let longest = most + 2.0; // the drain itself
    if minutes > longest {
        return Err(fault(&row.id, &format!("{minutes} minutes in alkali, at most {most}")));
    }
    Ok(())
}

fn try_step(id: &str, step: &WrittenStep) -> Result<StepRow, DataFault> {
    let needs_ramp = matches!(step.r#do, StepKind::Heat | StepKind::Cool);
    if needs_ramp != step.ramp_c_per_min.is_some() || (needs_ramp && step.to_c.is_none()) {
        return Err(fault(id, "heat and cool, and only they, take to_c and ramp_c_per_min"));
    }
    if step.portion_percent.is_some() && step.what.is_none() {
        return Err(fault(id, "a portion of what?"));
    }
    if step.r#do == StepKind::Add && step.portion_percent.is_none() {
        return Err(fault(id, "an addition needs portion_percent"));
    }
    Ok(StepRow {
        kind: step.r#do,
        what: step.what.clone(),
        portion: step
            .portion_percent
            .map(|percent| held(FILE, id, Share::try_percent(percent)))
            .transpose()?,
        to: step.to_c.map(|c| held(FILE, id, Celsius::try_degrees(c))).transpose()?,
        ramp: step
            .ramp_c_per_min
            .map(|r| held(FILE, id, Ramp::try_degrees_per_minute(r)))
            .transpose()?,
        minutes: held(FILE, id, Minutes::try_minutes(step.minutes))?.to_minutes(),
        by_depth: step.by_depth,
        times: step.times.max(1),
        ph: try_ph(id, step.ph_from, step.ph_to)?,
        agitation: step.agitation,
        stretch: held(FILE, id, Minutes::try_minutes(step.may_stretch_min))?,
        each_dip: step.each_dip,
        until: step.until.clone(),
        say: step.say.clone(),
        look_for: step.look_for.clone(),
    })
}

/// What pale, medium and deep shades aim at: all three or none, the paler the less acid, within the row's own pH.
fn try_ph_by_depth(id: &str, row: &Written) -> Result<Option<[Ph; 3]>, DataFault> {
    match (row.ph_pale, row.ph_medium, row.ph_deep) {
        (None, None, None) => Ok(None),
        (Some(pale), Some(medium), Some(deep)) => {
            let within =
                |ph: f64| row.ph_from.zip(row.ph_to).is_some_and(|(a, b)| a <= ph && ph <= b);
            if pale < medium || medium < deep || ![pale, medium, deep].into_iter().all(within) {
                return Err(fault(
                    id,
                    "ph_pale to ph_deep fall, and stay within ph_from and ph_to",
                ));
            }
            let held = |ph| held(FILE, id, Ph::try_value(ph));
            Ok(Some([held(pale)?, held(medium)?, held(deep)?]))
        }
        _ => Err(fault(id, "give ph_pale, ph_medium and ph_deep, or none")),
    }
}

fn try_ph(id: &str, from: Option<f64>, to: Option<f64>) -> Result<Option<(Ph, Ph)>, DataFault> {
    match (from, to) {
        (None, None) => Ok(None),
        (Some(from), Some(to)) if from <= to => {
            Ok(Some((held(FILE, id, Ph::try_value(from))?, held(FILE, id, Ph::try_value(to))?)))
        }
        _ => Err(fault(id, "give ph_from and a ph_to that is no lower")),
    }
}
