//! The card that a maker prints at home: which colours it asks of the printer, and how they lie.
//!
//! Eight across and six down, 48 patches: a lattice of three steps of each of red, green and blue, eight greys from paper to
//! black, and sixteen colours between, darker and duller, where cloths are. A printer's inks make most of the colours that
//! cloths have, and every patch must differ from the next by more than a tired print blurs; with more of them on a sheet of
//! A5 a patch would be under 15 mm, and a telephone that sees cloth and card together would have too few pixels of it.
//! Neighbours are far apart in colour, so that each patch has edges and the whole can lie one way round only; the gaps are
//! black, since only patches brighter than their gap show whether the picture is sharp.
//!
//! No print is known by what was asked for: papers, inks and settings differ. What is asked for is enough to *find* the card;
//! its colours are read once, in a photograph with a chart of known patches, and kept as a text (`CardReading`). The 48 are
//! then used for a plain correction that believes no spectrum, since a print's spectra are only the likeliest of its colours:
//! such a correction has six unknowns a channel, and the more patches there are, the less one bad one weighs. The way of a
//! card of many cloths (`card`, from 40 patches on) was tried with them and read no better: inks are no dyes.
//! Left out: glossy paper, which mirrors; fluorescence, which no colour shows.

use colour::{Bands, ClothPrior, Light, Observer, Screen, ScreenColour, Weights, Xyz};

use crate::ChartKind;

/// Patches across and down.
const ACROSS: usize = 8;
const DOWN: usize = 6;

/// What is asked of the printer: sRGB, row after row. The order was sought by exchanging patches, so that neighbours differ
/// and light and dark lean to no side.
const ASKED: [[u8; 3]; ACROSS * DOWN] = [
    [130, 235, 235],
    [60, 110, 60],
    [230, 230, 230],
    [235, 30, 30],
    [110, 140, 180],
    [70, 80, 30],
    [200, 190, 140],
    [60, 60, 150],
    [180, 140, 110],
    [235, 30, 235],
    [130, 130, 30],
    [30, 235, 130],
    [60, 60, 60],
    [180, 235, 190],
    [130, 30, 235],
    [235, 130, 130],
    [30, 130, 30],
    [130, 130, 130],
    [30, 80, 85],
    [255, 255, 255],
    [140, 170, 120],
    [30, 235, 235],
    [90, 30, 60],
    [130, 235, 30],
    [120, 90, 130],
    [130, 30, 30],
    [130, 130, 235],
    [235, 180, 90],
    [130, 30, 130],
    [235, 130, 235],
    [235, 235, 30],
    [90, 60, 30],
    [235, 235, 130],
    [235, 130, 30],
    [30, 235, 30],
    [95, 95, 95],
    [20, 20, 20],
    [30, 30, 130],
    [200, 200, 200],
    [30, 130, 130],
    [150, 60, 60],
    [165, 165, 165],
    [30, 130, 235],
    [190, 190, 240],
    [30, 30, 235],
    [130, 235, 130],
    [235, 30, 130],
    [235, 180, 180],
];

/// A print's black and white in linear light, and how much of a colour it keeps, for finding the card (judgement: matt paper
/// and inks of three and four colours; the search allows for the rest).
const BLACK: f64 = 0.05;
const PAPER: f64 = 0.85;
const KEPT: f64 = 0.75;

/// The card that is printed at home.
#[derive(Debug, Clone, Copy)]
pub struct HomeCard;

impl HomeCard {
    /// Patches across.
    #[must_use]
    pub const fn across() -> usize {
        ACROSS
    }

    /// What is asked of the printer for each patch, row after row: sRGB.
    #[must_use]
    pub const fn asked() -> &'static [[u8; 3]] {
        &ASKED
    }

    /// A patch's name: its row by letter, its place in it by number.
    #[must_use]
    pub fn name(patch: usize) -> String {
        let row = char::from(b'A' + u8::try_from(patch / ACROSS % 26).unwrap_or(0));
        format!("{row}{}", patch % ACROSS + 1)
    }

    /// About what a print of it reflects, to find it by; a test holds that there is one.
    #[must_use]
    pub fn to_be_found() -> Option<ChartKind> {
        let prior = ClothPrior::shipped();
        let white = Weights::of(Light::D65, Observer::Two).white();
        let mut patches: Vec<Bands> = Vec::with_capacity(ASKED.len());
        for rgb in ASKED {
            let screen = ScreenColour::try_new(Screen::Srgb, rgb.map(|v| f64::from(v) / 255.0));
            let xyz = screen.ok()?.to_xyz2();
            // towards the grey of the same light, and between the print's black and its paper
            let dull = |v: f64, white: f64| {
                let grey = xyz.y / 100.0 * white;
                let kept = KEPT * v + (1.0 - KEPT) * grey;
                BLACK * white + (PAPER - BLACK) * kept
            };
            let xyz =
                Xyz { x: dull(xyz.x, white.x), y: dull(xyz.y, white.y), z: dull(xyz.z, white.z) };
            patches.push(prior.screen_colour_to_cloth(xyz).ok()?.bands);
        }
        ChartKind::try_new(ACROSS, patches).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_patch_is_a_colour_of_its_own_and_can_be_looked_for() {
        let kind = HomeCard::to_be_found().unwrap();
        assert_eq!((kind.across(), kind.down()), (ACROSS, DOWN));
        let labs: Vec<_> = kind.patches().iter().map(|b| Weights::reference().lab(b)).collect();
        for (n, a) in labs.iter().enumerate() {
            for (m, b) in labs.iter().enumerate().skip(n + 1) {
                let apart = colour::ciede2000(*a, *b);
                let beside = m == n + ACROSS || (m == n + 1 && m % ACROSS != 0);
                assert!(apart > if beside { 9.0 } else { 3.5 }, "{n} {m}: {apart:.1}");
            }
        }
        assert_eq!((HomeCard::name(0), HomeCard::name(47)), ("A1".to_owned(), "F8".to_owned()));
    }
}
