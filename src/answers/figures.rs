//! Where the figures come from that answers take from the tables of the shop.

use crate::quantity::{Config, Length};

/// Where the thickness of gauges comes from, if one of these lengths is a gauge.
pub(crate) fn gauges_words<'a>(config: &Config, written: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let table = config.swg.known().filter(|_| written.into_iter().any(Length::is_gauge))?;
    Some(format!("Gauges (swg): {}.", table.source))
}

/// Where the thickness bands of furnace loads come from.
pub(crate) fn bands_words(config: &Config) -> Option<String> {
    Some(format!("Thickness bands: {}.", config.heat.known()?.source))
}

/// Where the order of the stages of work comes from.
pub(crate) fn stages_words(config: &Config) -> Option<String> {
    Some(format!("Stages of work: {}.", config.stages.known()?.source))
}

/// Where the tolerance zones of these classes come from, if there are any.
pub(crate) fn classes_words(config: &Config, classes: &[&str]) -> Option<String> {
    let table = config.tolerances.known().filter(|_| !classes.is_empty())?;
    Some(format!("Tolerance classes ({}): {}.", classes.join(", "), table.source))
}

/// Where the limits come from from which on figures of a survey are asked about.
pub(crate) fn limits_words(config: &Config) -> Option<String> {
    Some(format!("Limits for surveys: {}.", config.surveys.known()?.source))
}
