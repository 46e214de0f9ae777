//! The K/S peak on fibre after the whole chain against published peaks in solution.
//!
//! Source: `fixtures/dye_solution_peaks.csv` (its note beside it): absorption maxima of 41 dyes. The
//! starter's peaks were written from memory, as its file says, and not taken from this table. A peak
//! on fibre may lie up to 25 nm from the one in solution (the bound our brief sets; aggregation and
//! the fibre shift it). Three starter dyes bear a C.I. name of the table; for the others the hue of
//! the name is held against the range of that hue's rows.

#![expect(clippy::unwrap_used, reason = "a missing number of the fixture must fail the test")]

use colour::Bands;
use dyeing::depth::ks;
use dyeing::{Dosed, Dye, Ground, HOME, Look, Substrate, predict, starter};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre, Share};

/// Largest distance of the two peaks, nm.
const APART_NM: f64 = 25.0;

#[test]
fn the_peak_on_fibre_is_near_the_published_peak_in_solution() {
    let table = published();
    assert_eq!(table.len(), 41);
    let mut compared = 0;
    for starter in starter() {
        let Some(ci) = starter.dye.ci.as_deref() else { continue };
        let name = ci.trim_start_matches("C.I. ");
        let Some((_, solution)) = table.iter().find(|(given, _)| given == name) else { continue };
        assert_eq!(starter.peak_standing, "from memory");
        let fibre = peak(&starter.dye);
        println!("{ci}: {fibre:.0} nm on fibre, {solution:.0} nm in solution");
        assert!((fibre - solution).abs() <= APART_NM, "{ci}: {fibre} and {solution}");
        compared += 1;
    }
    assert_eq!(compared, 3);
}

/// A hue counts when the table has three rows of it: yellow, orange, red, violet, blue.
#[test]
fn a_name_of_a_hue_peaks_where_that_hue_peaks() {
    let table = published();
    let mut compared = 0;
    for starter in starter() {
        let Some(ci) = starter.dye.ci.as_deref() else { continue };
        let hue = ci.split(' ').rev().nth(1).unwrap();
        let rows: Vec<f64> = table
            .iter()
            .filter(|(name, _)| name.split(' ').any(|word| word == hue))
            .map(|(_, peak)| *peak)
            .collect();
        if rows.len() < 3 {
            println!("{ci}: the table has {} rows of {hue}, not compared", rows.len());
            continue;
        }
        let least = rows.iter().copied().fold(f64::INFINITY, f64::min) - APART_NM;
        let most = rows.iter().copied().fold(0.0, f64::max) + APART_NM;
        let fibre = peak(&starter.dye);
        assert!((least..=most).contains(&fibre), "{ci}: {fibre:.0} not in {least:.0}–{most:.0}");
        compared += 1;
    }
    println!("{compared} named starter dyes peak where their hue peaks");
    assert!(compared >= 30);
}

/// The longer the waves a dye takes out, the further round its hue: yellow, orange, red, violet, blue
/// (common knowledge of the trade, read off the table's own rows too).
#[test]
fn hues_come_in_the_order_of_their_peaks() {
    let middle = |hue: &str| {
        let mut peaks: Vec<f64> = starter()
            .iter()
            .filter(|s| s.dye.ci.as_deref().is_some_and(|ci| ci.contains(hue)))
            .map(|s| peak(&s.dye))
            .collect();
        peaks.sort_by(f64::total_cmp);
        peaks[peaks.len() / 2]
    };
    let order = ["Yellow", "Orange", "Red", "Violet", "Blue"].map(middle);
    println!("median peaks of yellow, orange, red, violet, blue: {order:.0?} nm");
    assert!(order.is_sorted_by(|a, b| a < b), "{order:?}");
}

/// K/S of the predicted reflectance at 1 % owf on the class's reference cloth, less that of the
/// cloth: where it is greatest, by a parabola through the greatest band and its neighbours.
fn peak(dye: &Dye) -> f64 {
    let material = match dye.class {
        DyeClass::AcidLevelling | DyeClass::AcidMilling | DyeClass::Premetallised => "wool",
        DyeClass::Disperse => "polyester",
        DyeClass::Basic => "acrylic",
        _ => "cotton",
    };
    let ground = Ground::assumed(&[(material, Share::WHOLE)], Look::White).unwrap();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    let on = Substrate::try_new(&ground, dye.class, ratio).unwrap();
    let dose = OnFibre::try_percent(1.0).unwrap();
    let said = predict(&on, &[Dosed { dye, dose, scatter: 0.0 }], HOME).unwrap();
    let undyed = on.undyed();
    let gained: Vec<f64> =
        said.bands.values().iter().zip(undyed).map(|(r, r0)| ks(*r) - ks(r0)).collect();
    let top = (0..gained.len()).max_by(|a, b| gained[*a].total_cmp(&gained[*b])).unwrap();
    #[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
    let at = Bands::wavelength(top) as f64;
    if top == 0 || top + 1 == gained.len() {
        return at;
    }
    let (a, b, c) = (gained[top - 1], gained[top], gained[top + 1]);
    at + 10.0 * 0.5 * (a - c) / (a - 2.0 * b + c)
}

/// C.I. Generic Name (without the letters C.I.) and peak, nm, of every row.
fn published() -> Vec<(String, f64)> {
    include_str!("fixtures/dye_solution_peaks.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let cells = cells(line);
            (cells[1].clone(), cells[4].parse().unwrap())
        })
        .collect()
}

/// The cells of a CSV line; quoted ones may hold commas.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for sign in line.chars() {
        match sign {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().unwrap().push(other),
        }
    }
    cells
}
