//! Liquor ratio, temperature, heating rate, time and pH.

use crate::quantity::{additive, quantity};

quantity! {
    /// Litres of liquor per kilogram of goods ("20:1" is 20); 0.5 to 1000.
    LiquorRatio, "a liquor ratio", "L/kg", 0.5, 1000.0, try_litres_per_kilogram, to_litres_per_kilogram
}
quantity! {
    /// A temperature of bath or room; −20 to 250 °C.
    Celsius, "a temperature", "°C", -20.0, 250.0, try_degrees, to_degrees
}
quantity! {
    /// A heating or cooling rate, always positive; 0.01 to 50 °C/min.
    Ramp, "a rate", "°C/min", 0.01, 50.0, try_degrees_per_minute, to_degrees_per_minute
}
quantity! {
    /// A length of time; 0 to 100 000 min.
    Minutes, "a time", "min", 0.0, 100_000.0, try_minutes, to_minutes
}
quantity! {
    /// pH of a bath; 0 to 14.
    Ph, "a pH", "(pH)", 0.0, 14.0, try_value, to_value
}
additive!(Minutes);

impl Celsius {
    /// The same temperature in degrees Fahrenheit, for kitchen thermometers.
    #[must_use]
    pub fn to_fahrenheit(self) -> f64 {
        self.to_degrees() * 1.8 + 32.0
    }
}

impl Ramp {
    /// How long the way between two temperatures takes at this rate, up or down.
    #[must_use]
    pub fn time_between(self, from: Celsius, to: Celsius) -> Minutes {
        Minutes(((to.to_degrees() - from.to_degrees()).abs() / self.0).min(Minutes::KIND.high))
    }
}
