//! Numbers as they are printed: rounded here, once, so that text and JSON show the same digits.

use colour::{Bands, Lab, Light, Observer, Screen, Shown, Weights};

/// A number rounded to so many decimals.
pub(crate) fn rounded(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    // + 0.0 turns a rounded −0 into 0
    (value * scale).round() / scale + 0.0
}

/// Lab to one decimal.
pub(crate) fn lab(lab: Lab) -> [f64; 3] {
    [rounded(lab.l, 1), rounded(lab.a, 1), rounded(lab.b, 1)]
}

/// A cloth as a screen shows it in daylight, and whether the screen can.
pub(crate) fn on_screen(bands: &Bands) -> (String, bool) {
    let shown = Shown::of_bands(Screen::Srgb, bands);
    (shown.colour.to_hex(), shown.inside)
}

/// A cloth under a light as a screen shows it, that light's white seen as white.
pub(crate) fn on_screen_under(bands: &Bands, light: Light) -> String {
    let lab = Weights::of(light, Observer::Two).lab(bands);
    Shown::of_lab2(Screen::Srgb, lab).colour.to_hex()
}
