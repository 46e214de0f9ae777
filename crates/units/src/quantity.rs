//! The one gate every quantity passes: finite, and inside the range of its kind.

use std::fmt;

/// A number that cannot be the quantity it was meant to be: what, as given, and the rule.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} cannot be {given} {unit}: {rule}")]
pub struct NotAQuantity {
    /// The kind of quantity, as a noun: "a mass".
    pub what: &'static str,
    /// The number as it came.
    pub given: f64,
    /// The unit it was read in.
    pub unit: &'static str,
    /// What would be right, in words.
    pub rule: String,
}

pub(crate) struct Kind {
    pub(crate) what: &'static str,
    pub(crate) unit: &'static str,
    pub(crate) low: f64,
    pub(crate) high: f64,
}

impl Kind {
    pub(crate) fn admit(&self, given: f64) -> Result<f64, NotAQuantity> {
        let rule = if !given.is_finite() {
            "it must be a finite number".to_owned()
        } else if given < self.low || given > self.high {
            format!(
                "it must lie between {} and {} {}",
                Plain(self.low),
                Plain(self.high),
                self.unit
            )
        } else {
            return Ok(given);
        };
        Err(NotAQuantity { what: self.what, given, unit: self.unit, rule })
    }
}

struct Plain(f64);

impl fmt::Display for Plain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// Defines one quantity: its inner unit, its range, and a constructor and reader for the unit.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $what:literal, $unit:literal, $low:expr, $high:expr,
     $make:ident, $read:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            const KIND: $crate::quantity::Kind =
                $crate::quantity::Kind { what: $what, unit: $unit, low: $low, high: $high };

            #[doc = concat!("From a number in ", $unit, "; refuses what is not finite or outside the range of the type.")]
            pub fn $make(given: f64) -> Result<Self, $crate::NotAQuantity> {
                Self::KIND.admit(given).map(Self)
            }

            #[doc = concat!("The number in ", $unit, ".")]
            #[must_use]
            pub const fn $read(self) -> f64 {
                self.0
            }
        }
    };
}

/// Adds sums and plain scaling to a quantity that has a natural zero.
macro_rules! additive {
    ($name:ident) => {
        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0.0);

            /// This quantity times a plain factor; a factor that is negative or not finite gives
            /// a refusal, as does a product outside the range.
            pub fn try_times(self, factor: f64) -> Result<Self, $crate::NotAQuantity> {
                Self::KIND.admit(self.0 * factor).map(Self)
            }

            /// What is left when `other` is taken away, never less than nothing.
            #[must_use]
            pub fn less(self, other: Self) -> Self {
                Self((self.0 - other.0).max(0.0))
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self((self.0 + other.0).min(Self::KIND.high))
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self::ZERO, |a, b| a + b)
            }
        }

        impl std::ops::Div for $name {
            type Output = f64;
            /// How many times `other` fits: a plain number.
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}

pub(crate) use {additive, quantity};
