//! The strictest limits of everything that goes into one bath, and who sets each of them.

use units::{Celsius, Minutes, Ph, Ramp};

use crate::{Agitation, AlkaliRule, Lore, Makeup, Material, Part, Permission, Treatment};

/// A limit and what sets it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound<T> {
    /// The limit.
    pub it: T,
    /// The material or part that sets it, by name.
    pub by: String,
    /// Why, or within what.
    pub why: String,
}

/// The limits a bath must keep for everything in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Highest temperature.
    pub t_max: Bound<Celsius>,
    /// Lowest pH of a bath at 60 °C and above.
    pub ph_hot_low: Bound<Ph>,
    /// Highest pH of a bath at 60 °C and above. Where the matrix finds a procedure good on a
    /// fibre, the matrix wins over the fibre's window.
    pub ph_hot_high: Bound<Ph>,
    /// Longest time at the top.
    pub max_at_top: Option<Bound<Minutes>>,
    /// Fastest heating.
    pub heat: Option<Bound<Ramp>>,
    /// Above this temperature, heating is slower still.
    pub slow_above: Option<Bound<(Celsius, Ramp)>>,
    /// Fastest cooling.
    pub cool: Option<Bound<Ramp>>,
    /// Cool in the bath to this before rinsing.
    pub cool_to: Option<Bound<Celsius>>,
    /// How much alkali.
    pub alkali: Bound<AlkaliRule>,
    /// Hypochlorite.
    pub hypochlorite: Bound<Permission>,
    /// Peroxide.
    pub peroxide: Bound<Permission>,
    /// Reducing strip.
    pub reducing: Bound<Permission>,
    /// Movement.
    pub agitation: Bound<Agitation>,
    /// Every handling sentence, once.
    pub handling: Vec<String>,
}

impl Lore {
    /// The strictest limits of a makeup and its parts. An unknown fibre counts with every material
    /// of every fibre that counts, at the cap for old or unknown goods.
    ///
    /// None only when the makeup names no material this lore knows.
    #[must_use]
    pub fn limits(&self, makeup: &Makeup, parts: &[&Part]) -> Option<Limits> {
        let unknown = matches!(makeup, Makeup::Unknown(_));
        let mut all: Vec<Limits> =
            self.materials_of(makeup).into_iter().map(|m| of_material(m, unknown)).collect();
        for part in parts {
            let own = part.material.as_deref().and_then(|id| self.material(id).ok());
            all.extend(own.map(|m| of_material(m, false)));
        }
        let mut limits = all.into_iter().reduce(Limits::stricter)?;
        for part in parts {
            limits.add_part(part);
        }
        Some(limits)
    }
}

impl Limits {
    /// The window of pH for hot baths; none when the parts of the piece leave no common one.
    #[must_use]
    pub fn ph_hot(&self) -> Option<(Ph, Ph)> {
        (self.ph_hot_low.it <= self.ph_hot_high.it)
            .then_some((self.ph_hot_low.it, self.ph_hot_high.it))
    }

    /// The stricter of two sets of limits in everything: cloth and its lining in one bath.
    #[must_use]
    pub fn stricter(self, other: Self) -> Self {
        let mut handling = self.handling;
        for words in other.handling {
            if !handling.contains(&words) {
                handling.push(words);
            }
        }
        Self {
            t_max: lower(self.t_max, other.t_max),
            ph_hot_low: higher(self.ph_hot_low, other.ph_hot_low),
            ph_hot_high: lower(self.ph_hot_high, other.ph_hot_high),
            max_at_top: both(self.max_at_top, other.max_at_top, lower),
            heat: both(self.heat, other.heat, lower),
            slow_above: both(self.slow_above, other.slow_above, slower),
            cool: both(self.cool, other.cool, lower),
            cool_to: both(self.cool_to, other.cool_to, lower),
            alkali: higher(self.alkali, other.alkali),
            hypochlorite: higher(self.hypochlorite, other.hypochlorite),
            peroxide: higher(self.peroxide, other.peroxide),
            reducing: higher(self.reducing, other.reducing),
            agitation: higher(self.agitation, other.agitation),
            handling,
        }
    }

    fn add_part(&mut self, part: &Part) {
        let by = |it| Bound { it, by: part.name.clone(), why: part.says.clone() };
        if let Some(cap) = part.t_max.filter(|cap| *cap < self.t_max.it) {
            self.t_max = by(cap);
        }
        if let Some(rule) = part.alkali.filter(|rule| *rule > self.alkali.it) {
            self.alkali = Bound { it: rule, by: part.name.clone(), why: part.says.clone() };
        }
        if !self.handling.contains(&part.says) {
            self.handling.push(part.says.clone());
        }
    }
}

fn of_material(material: &Material, unknown: bool) -> Limits {
    let named = || material.name.clone();
    let treatment = |t: &Treatment| Bound { it: t.verdict, by: named(), why: t.how.clone() };
    Limits {
        t_max: Bound {
            it: if unknown { material.t_max_unknown } else { material.t_max },
            by: named(),
            why: material.t_max_why.clone(),
        },
        ph_hot_low: handled(material, material.ph_hot.0),
        ph_hot_high: handled(material, material.ph_hot.1),
        max_at_top: material.max_at_top.map(|it| handled(material, it)),
        heat: material.heat.map(|it| handled(material, it)),
        slow_above: material.slow_above.map(|it| handled(material, it)),
        cool: material.cool.map(|it| handled(material, it)),
        cool_to: material.cool_to.map(|it| handled(material, it)),
        alkali: handled(material, material.alkali),
        hypochlorite: treatment(&material.hypochlorite),
        peroxide: treatment(&material.peroxide),
        reducing: treatment(&material.reducing),
        agitation: handled(material, material.agitation),
        handling: vec![format!("{}: {}", material.name, material.handling)],
    }
}

fn handled<T>(material: &Material, it: T) -> Bound<T> {
    Bound { it, by: material.name.clone(), why: material.handling.clone() }
}

fn lower<T: PartialOrd>(a: Bound<T>, b: Bound<T>) -> Bound<T> {
    if b.it < a.it { b } else { a }
}

fn higher<T: PartialOrd>(a: Bound<T>, b: Bound<T>) -> Bound<T> {
    if b.it > a.it { b } else { a }
}

/// The slower of two slow stretches, begun at the lower of their temperatures.
fn slower(a: Bound<(Celsius, Ramp)>, b: Bound<(Celsius, Ramp)>) -> Bound<(Celsius, Ramp)> {
    let from = if b.it.0 < a.it.0 { b.it.0 } else { a.it.0 };
    let mut kept = if b.it.1 < a.it.1 { b } else { a };
    kept.it.0 = from;
    kept
}

fn both<T>(
    a: Option<Bound<T>>,
    b: Option<Bound<T>>,
    pick: impl Fn(Bound<T>, Bound<T>) -> Bound<T>,
) -> Option<Bound<T>> {
    match (a, b) {
        (Some(a), Some(b)) => Some(pick(a, b)),
        (a, b) => a.or(b),
    }
}
