//! How the look of one dye changes with its depth, learnt from one or two dyed pieces.
//!
//! The one-factor rule says: twice the dye, twice K/S in every band. On real ladders it drifts, and
//! the drift has an order, which [`DepthLaw`] states in five constants for all dyes:
//!
//! 1. *Scale.* What adds up over the amount is neither K/S nor absorbance but a mean of the two
//!    (`scale`); K/S is one end of it.
//! 2. *Paler than the piece known.* A dye's own drift, two numbers read off a paler piece, is
//!    carried over in part (`share`).
//! 3. *Deeper than the piece known.* A paler piece tells nothing of it; all dyes together lean
//!    towards long waves; in dark shades both ends of the spectrum gain on the middle, in light ones
//!    they lose; peaks and tails gain on the bands between (`tilt`, `bow`, `flare`).
//!
//! Every exponent is kept above zero, so more fixed dye never reflects more in any band.
//! [`DepthLaw::SHIPPED`] is what the program carries: the form with constants set beforehand, none
//! fitted. [`DepthLaw::fit`] fits them to ladders at hand; figures fitted so belong to those
//! ladders' like and are not built in.
//!
//! Left out: mixtures (the substrate's business), fluorescence, the weight of dye behind an amount.
//! Sources: P. Kubelka, F. Munk, "Ein Beitrag zur Optik der Farbanstriche" (1931) for K/S; the
//! form of the law is our own finding on real ladders (`examples/depth_ladders.rs` measures it).

mod exhaustion;
mod file;
mod fit;
mod kubelka;
mod ladder;
mod law;
mod refusal;
mod scale;
mod score;

pub use exhaustion::{langmuir_exhaustion, linear_exhaustion};
pub use file::{NamedLadder, ladders_from_csv};
pub use fit::Fitted;
pub use kubelka::{ks, ks_inv};
pub use ladder::Ladder;
pub use law::{DepthLaw, DyeShape};
pub use refusal::Refusal;
pub use scale::Scale;
pub use score::{Prediction, quantile};
