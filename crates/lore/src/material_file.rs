//! Reads `materials.toml`: the private twins of the material types, and the way from one to the
//! other, where every number passes the gate of its unit.

use serde::Deserialize;
use units::{Celsius, Minutes, NotAQuantity, PerLitre, Ph, Ramp, Share};

use crate::fault::{held, read};
use crate::material::{
    Agitation, AlkaliLimit, AlkaliRule, Group, Material, MaterialNote, Part, Treatment,
};
use crate::material_numbers::Measured;
use crate::{DataFault, Procedure, Provenance, Standing};

const FILE: &str = "materials.toml";

/// Everything `materials.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Fibres {
    pub(crate) materials: Vec<Material>,
    pub(crate) parts: Vec<Part>,
    pub(crate) notes: Vec<MaterialNote>,
    pub(crate) alkali: Vec<AlkaliLimit>,
    pub(crate) measured: Vec<Measured>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialsFile {
    alkali: Vec<AlkaliRow>,
    material: Vec<MaterialRow>,
    part: Vec<PartRow>,
    note: Vec<NoteRow>,
    measured: Vec<Measured>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AlkaliRow {
    id: AlkaliRule,
    max_g_per_l: Option<f64>,
    max_c: f64,
    max_min: Option<f64>,
    says: String,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialRow {
    id: String,
    name: String,
    aliases: Vec<String>,
    group: Group,
    dyes_as: String,
    best_first: Vec<Procedure>,
    t_max_c: f64,
    t_max_unknown_c: Option<f64>,
    t_max_why: String,
    ph_hot_low: f64,
    ph_hot_high: f64,
    max_at_top_min: Option<f64>,
    heat_c_per_min: Option<f64>,
    slow_above_c: Option<f64>,
    slow_c_per_min: Option<f64>,
    cool_c_per_min: Option<f64>,
    cool_to_c: Option<f64>,
    alkali: AlkaliRule,
    hypochlorite: Treatment,
    peroxide: Treatment,
    reducing: Treatment,
    agitation: Agitation,
    handling: String,
    shrink_low_percent: Option<f64>,
    shrink_high_percent: Option<f64>,
    felts_percent: Option<f64>,
    shrinks: String,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartRow {
    id: String,
    name: String,
    aliases: Vec<String>,
    material: Option<String>,
    t_max_c: Option<f64>,
    alkali: Option<AlkaliRule>,
    says: String,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NoteRow {
    materials: Vec<String>,
    says: String,
    source: String,
    standing: Standing,
}

impl Fibres {
    pub(crate) fn try_read(text: &str) -> Result<Self, DataFault> {
        let file: MaterialsFile = read(FILE, text)?;
        let fibres = Self {
            materials: file.material.into_iter().map(try_material).collect::<Result<_, _>>()?,
            parts: file.part.into_iter().map(try_part).collect::<Result<_, _>>()?,
            notes: file.note.into_iter().map(note).collect(),
            alkali: file.alkali.into_iter().map(try_alkali).collect::<Result<_, _>>()?,
            measured: file.measured,
        };
        fibres.check_names()?;
        Ok(fibres)
    }

    /// Every material a part or a note names must be there.
    fn check_names(&self) -> Result<(), DataFault> {
        let known = |id: &String| self.materials.iter().any(|m| m.id == *id);
        let named = self
            .parts
            .iter()
            .filter_map(|p| p.material.as_ref())
            .chain(self.notes.iter().flat_map(|n| &n.materials))
            .chain(self.measured.iter().flat_map(|m| &m.materials));
        for id in named {
            if !known(id) {
                return Err(DataFault { file: FILE, what: format!("no material '{id}'") });
            }
        }
        Ok(())
    }
}

fn try_material(row: MaterialRow) -> Result<Material, DataFault> {
    let id = row.id;
    let t_max = held(FILE, &id, Celsius::try_degrees(row.t_max_c))?;
    let shrink = match (row.shrink_low_percent, row.shrink_high_percent) {
        (Some(low), Some(high)) => Some((
            held(FILE, &id, Share::try_percent(low))?,
            held(FILE, &id, Share::try_percent(high))?,
        )),
        _ => None,
    };
    let slow_above = match (row.slow_above_c, row.slow_c_per_min) {
        (Some(above), Some(rate)) => Some((
            held(FILE, &id, Celsius::try_degrees(above))?,
            held(FILE, &id, Ramp::try_degrees_per_minute(rate))?,
        )),
        _ => None,
    };
    Ok(Material {
        name: row.name,
        aliases: row.aliases,
        group: row.group,
        dyes_as: row.dyes_as,
        best_first: row.best_first,
        t_max,
        t_max_unknown: maybe(&id, row.t_max_unknown_c, Celsius::try_degrees)?.unwrap_or(t_max),
        t_max_why: row.t_max_why,
        ph_hot: (
            held(FILE, &id, Ph::try_value(row.ph_hot_low))?,
            held(FILE, &id, Ph::try_value(row.ph_hot_high))?,
        ),
        max_at_top: maybe(&id, row.max_at_top_min, Minutes::try_minutes)?,
        heat: maybe(&id, row.heat_c_per_min, Ramp::try_degrees_per_minute)?,
        slow_above,
        cool: maybe(&id, row.cool_c_per_min, Ramp::try_degrees_per_minute)?,
        cool_to: maybe(&id, row.cool_to_c, Celsius::try_degrees)?,
        alkali: row.alkali,
        hypochlorite: row.hypochlorite,
        peroxide: row.peroxide,
        reducing: row.reducing,
        agitation: row.agitation,
        handling: row.handling,
        shrink,
        felts: maybe(&id, row.felts_percent, Share::try_percent)?,
        shrinks: row.shrinks,
        provenance: Provenance { source: row.source, standing: row.standing },
        id,
    })
}

fn try_part(row: PartRow) -> Result<Part, DataFault> {
    Ok(Part {
        t_max: maybe(&row.id, row.t_max_c, Celsius::try_degrees)?,
        id: row.id,
        name: row.name,
        aliases: row.aliases,
        material: row.material,
        alkali: row.alkali,
        says: row.says,
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

fn note(row: NoteRow) -> MaterialNote {
    MaterialNote {
        materials: row.materials,
        says: row.says,
        provenance: Provenance { source: row.source, standing: row.standing },
    }
}

fn try_alkali(row: AlkaliRow) -> Result<AlkaliLimit, DataFault> {
    let id = row.id.id();
    Ok(AlkaliLimit {
        rule: row.id,
        max_dose: maybe(id, row.max_g_per_l, PerLitre::try_grams_per_litre)?,
        max_temperature: held(FILE, id, Celsius::try_degrees(row.max_c))?,
        max_time: maybe(id, row.max_min, Minutes::try_minutes)?,
        says: row.says,
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

fn maybe<T>(
    row: &str,
    given: Option<f64>,
    make: impl Fn(f64) -> Result<T, NotAQuantity>,
) -> Result<Option<T>, DataFault> {
    given.map(|value| held(FILE, row, make(value))).transpose()
}
