//! Everything the pot needs to know, read together: programmes, doses, measures, hazards, care.
//!
//! One value so that [`crate::Lore`] holds one field for it. No facts here.

use crate::{DataFault, Texts};
use crate::{
    auxiliary, care, failure, fastness, goods_form, hazard, leftover, measure, method, mishap,
    never_together, prepare, programme_depth, programme_file, surface, waiting,
};

/// The pot room's parts.
#[derive(Debug, Clone, Default)]
pub(crate) struct Pot {
    pub(crate) programmes: Vec<programme_file::Row>,
    pub(crate) depths: Vec<programme_depth::Row>,
    pub(crate) auxiliaries: auxiliary::Auxiliaries,
    pub(crate) measures: measure::Measures,
    pub(crate) hazards: hazard::Hazards,
    pub(crate) never_together: never_together::NeverTogether,
    pub(crate) care: care::CareWords,
    pub(crate) fastness: Vec<fastness::Fastness>,
    pub(crate) prepare: prepare::Preparation,
    pub(crate) failures: Vec<failure::Failure>,
    pub(crate) forms: Vec<goods_form::FormNote>,
    pub(crate) leftovers: Vec<leftover::Leftover>,
    pub(crate) methods: method::Methods,
    pub(crate) mishaps: Vec<mishap::Mishap>,
    pub(crate) waiting: Vec<waiting::Waiting>,
    pub(crate) surfaces: Vec<surface::SurfaceNote>,
}

impl Pot {
    /// Reads every text of the pot room; refuses the first that cannot be read.
    pub(crate) fn try_read(texts: &Texts) -> Result<Self, DataFault> {
        Ok(Self {
            programmes: programme_file::try_read(&texts.programmes)?,
            depths: programme_depth::try_read(&texts.depths)?,
            auxiliaries: auxiliary::try_read(&texts.auxiliaries)?,
            measures: measure::try_read(&texts.measures)?,
            hazards: hazard::try_read(&texts.hazards)?,
            never_together: never_together::try_read(&texts.never_together)?,
            care: care::try_read(&texts.care)?,
            fastness: fastness::try_read(&texts.fastness)?,
            prepare: prepare::try_read(&texts.prepare)?,
            failures: failure::try_read(&texts.failures)?,
            forms: goods_form::try_read(&texts.forms)?,
            leftovers: leftover::try_read(&texts.leftover)?,
            methods: method::try_read(&texts.methods)?,
            mishaps: mishap::try_read(&texts.mishaps)?,
            waiting: waiting::try_read(&texts.waiting)?,
            surfaces: surface::try_read(&texts.surfaces)?,
        })
    }
}
