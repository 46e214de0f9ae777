//! Quantities of the dye room, one type each: mass, volume, share on fibre, liquor ratio,
//! temperature, time, money, cloth weight and days.
//!
//! A quantity holds one number in one unit, is made by a constructor that names the unit, and
//! refuses NaN, infinities and values outside its range in words. Only arithmetic that means
//! something is offered: `OnFibre * Mass = Mass`. Left out: colour, and every fact of the trade.

mod amounts;
mod cloth;
mod day;
mod money;
mod quantity;
mod rates;
mod written;

pub use amounts::{Mass, OnFibre, PerLitre, Share, StockStrength, Volume};
pub use cloth::{ArealMass, Length};
pub use day::{Day, NotADay, Weekday};
pub use money::{Money, PricePerGram};
pub use quantity::NotAQuantity;
pub use rates::{Celsius, LiquorRatio, Minutes, Ph, Ramp};
pub use written::{significant, trimmed};
