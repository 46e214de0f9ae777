//! What was read or is wanted, as cells: a spectrum, or Lab under a light for an observer.
//!
//! Factors stand as a list of numbers in their shortest exact writing, so that any program can read
//! them and none changes them.

use colour::{Colour, Lab, Light, Observer, Spectrum, Value as Shade};
use rusqlite::types::Value;
use serde_json::json;

use crate::Refusal;
use crate::record::Fields;

/// The rules of `colour`, for what may have been put together without them.
pub(crate) fn check(it: &Shade) -> Result<(), Refusal> {
    if let Shade::Colour(c) = it {
        Lab::try_typed(c.lab.l, c.lab.a, c.lab.b)?;
    }
    Ok(())
}

/// Cells in the order start, step, factors, l, a, b, light, observer.
pub(crate) fn cells(it: Option<&Shade>) -> Vec<Value> {
    match it {
        None => vec![Value::Null; 8],
        Some(Shade::Spectrum(s)) => {
            let mut cells = vec![s.start().into(), s.step().into(), list(s.values()).into()];
            cells.extend([const { Value::Null }; 5]);
            cells
        }
        Some(Shade::Colour(c)) => {
            let mut cells = vec![Value::Null; 3];
            cells.extend([c.lab.l, c.lab.a, c.lab.b].map(Value::Real));
            cells.push(c.light.name().to_owned().into());
            cells.push(c.observer.name().to_owned().into());
            cells
        }
    }
}

pub(crate) fn read(row: &Fields<'_>) -> Result<Shade, Refusal> {
    if let Some(text) = row.maybe_text("factors")? {
        let factors = numbers(&text)?;
        let spectrum = Spectrum::try_new(row.get("start_nm")?, row.get("step_nm")?, factors)?;
        return Ok(Shade::Spectrum(spectrum));
    }
    let lab = Lab::try_typed(row.get("l")?, row.get("a")?, row.get("b")?)?;
    let light = Light::from_name(&row.text("light")?)?;
    let observer = Observer::from_name(&row.text("observer")?)?;
    Ok(Shade::Colour(Colour { lab, light, observer }))
}

/// Lab D65/10°, when it can be known: of the value, or of one of the further lights.
pub(crate) fn lab(it: &Shade, also: &[Colour]) -> Option<Lab> {
    let first = match it {
        Shade::Spectrum(s) => return Some(s.lab(Light::D65, Observer::Ten)),
        Shade::Colour(c) => std::iter::once(c),
    };
    let found = first.chain(also).find(|c| c.light == Light::D65 && c.observer == Observer::Ten)?;
    Some(found.lab)
}

/// Numbers as a JSON list.
pub(crate) fn list(numbers: &[f64]) -> String {
    serde_json::Value::from(numbers.to_vec()).to_string()
}

/// Numbers from a JSON list.
pub(crate) fn numbers(text: &str) -> Result<Vec<f64>, Refusal> {
    serde_json::from_str(text).map_err(|e| Refusal::damaged(format!("a list of numbers: {e}")))
}

/// As one cell, where a shade is one of several things a column can hold.
pub(crate) fn to_json(it: &Shade) -> serde_json::Value {
    match it {
        Shade::Spectrum(s) => {
            json!({ "start_nm": s.start(), "step_nm": s.step(), "factors": s.values() })
        }
        Shade::Colour(c) => {
            let lab = [c.lab.l, c.lab.a, c.lab.b];
            json!({ "lab": lab, "light": c.light.name(), "observer": c.observer.name() })
        }
    }
}

/// Back from such a cell.
pub(crate) fn from_json(it: &serde_json::Value) -> Result<Shade, Refusal> {
    let wrong = || Refusal::damaged(format!("a colour that is none: {it}"));
    let numbers = |key: &str| -> Result<Vec<f64>, Refusal> {
        let list = it[key].as_array().ok_or_else(wrong)?;
        list.iter().map(|n| n.as_f64().ok_or_else(wrong)).collect()
    };
    if it["factors"].is_array() {
        let (start, step) = (it["start_nm"].as_f64(), it["step_nm"].as_f64());
        let (Some(start), Some(step)) = (start, step) else { return Err(wrong()) };
        return Ok(Shade::Spectrum(Spectrum::try_new(start, step, numbers("factors")?)?));
    }
    let &[l, a, b] = numbers("lab")?.as_slice() else { return Err(wrong()) };
    let word = |key: &str| it[key].as_str().ok_or_else(wrong);
    let light = Light::from_name(word("light")?)?;
    let observer = Observer::from_name(word("observer")?)?;
    Ok(Shade::Colour(Colour { lab: Lab::try_typed(l, a, b)?, light, observer }))
}
