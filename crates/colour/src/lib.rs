//! Room `colour`: what a colour is, under which light, for which observer, and how far two are
//! apart.
//!
//! It never knows a dye, and never looks at a clock. Lab is D65/10° unless a screen is meant
//! (D65/2°). Every transcendental function goes through `maths`, so that the same recipe comes out
//! on every machine. Left out: chromatic adaptation, colour appearance, fluorescence
//! other than a brightener's (`glow`).

mod bands;
mod ciede2000;
mod cmc;
mod colour;
mod compare;
mod five;
mod glow;
mod grade;
mod lab;
mod light;
pub mod maths;
mod metamerism;
mod place;
mod prior;
mod reading;
mod refusal;
mod screen;
mod spectrum;
mod tables;
mod text;
mod viewing;
mod weights;
mod words;

pub use bands::{BANDS, Bands};
pub use ciede2000::{ciede2000, ciede2000_residuals, ciede2000_textile};
pub use cmc::{cmc, delta_e_ab, delta_l_c_h};
pub use colour::{Colour, Difference};
pub use compare::{Comparison, compare};
pub use five::{FIVE_NM_VALUES, lab_by_5nm_sums, xyz_by_5nm_sums};
pub use glow::{Glow, GlowBand};
pub use grade::{Grade, grey_scale_rating, staining_rating};
pub use lab::{Lab, Lch, Xyz};
pub use light::{Light, Observer};
pub use metamerism::Metamerism;
pub use place::Place;
pub use prior::{ClothPrior, Likely};
pub use reading::{Condition, Origin, Reading, Spread, Value};
pub use refusal::Refusal;
pub use screen::{Screen, ScreenColour, Shown};
pub use spectrum::Spectrum;
pub use text::{LARGEST_FILE, MOST_READINGS, TextRefusal, read_file, read_typed};
pub use viewing::{Verdict, Viewing};
pub use weights::Weights;
pub use words::{describe, name};
