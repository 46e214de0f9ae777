//! Who is near the pots: what is allowed at them depends on it.

use crate::reader::Table;

/// People and animals near the pots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct People {
    /// Somebody with asthma or a known allergy to dyes.
    pub asthma: bool,
    /// Somebody pregnant or breast-feeding.
    pub pregnancy: bool,
    /// Children.
    pub children: bool,
    /// Pets, birds above all.
    pub pets: bool,
}

/// Reads `[people]`; an absent table says nobody of these.
pub(crate) fn people(table: Option<&Table>) -> People {
    let Some(table) = table else { return People::default() };
    let people = People {
        asthma: table.flag("asthma"),
        pregnancy: table.flag("pregnancy"),
        children: table.flag("children"),
        pets: table.flag("pets"),
    };
    table.finish();
    people
}
