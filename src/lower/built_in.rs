//! The tables and limits that come with the program, from `configs/`.

use super::say::Findings;
use super::{ByKind, tables};
use crate::finding::RecordRef;
use crate::quantity::{Config, SurveyLimits};
use crate::schema::Record;
use crate::source::{Lost, read_sound};
use std::sync::LazyLock;

/// The files of `configs/` that hold tables of the shop, written as a project would write them.
const TABLES: [&str; 7] = [
    include_str!("../../configs/gauges.ron"),
    include_str!("../../configs/tolerances.ron"),
    include_str!("../../configs/stages.ron"),
    include_str!("../../configs/heat-treatment.ron"),
    include_str!("../../configs/bend-radii.ron"),
    include_str!("../../configs/rivets.ron"),
    include_str!("../../configs/surveys.ron"),
];

/// Read once: they are the same for every project.
static BUILT_IN: LazyLock<Config> = LazyLock::new(|| {
    const VALID: &str = "the files in configs/ are part of the program and tested";
    let none = Config {
        settings: ron::from_str(include_str!("../../configs/settings.ron")).expect(VALID),
        ..Config::default()
    };
    let records = (0..).zip(TABLES).flat_map(|(at, text)| read_sound(at, text).expect(VALID));
    let records: Vec<(RecordRef, Record)> = records.collect();
    let mut config = tables::lower(&ByKind::sort(&records), &Lost::default(), &none, &mut Findings::default());
    config.forget_records();
    config
});

impl Config {
    /// The tables and limits that come with the program.
    ///
    /// ```
    /// let config = modstate::quantity::Config::built_in();
    /// assert_eq!(config.swg.known().unwrap()["18"].picometres, 1_219_200_000); // 0.048 in
    /// ```
    ///
    /// # Panics
    /// Never: the files are part of the program, and a test reads them.
    #[must_use]
    pub fn built_in() -> Config {
        BUILT_IN.clone()
    }
    /// The limits for surveys. Where the project's own were not read, those of the program: every survey is marked then.
    #[must_use]
    pub fn survey_limits(&self) -> SurveyLimits {
        let limits = |config: &Config| config.surveys.known().map(|table| table.holds);
        limits(self).or_else(|| limits(&BUILT_IN)).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauge_table_is_whole_and_falls() {
        let config = Config::built_in();
        let swg = config.swg.known().unwrap();
        assert_eq!(swg.len(), 57, "7/0 to 2/0, then 0 to 50");
        let values: Vec<i64> = swg.values().map(|length| length.picometres).collect();
        assert!(values.is_sorted_by(|a, b| a > b), "each gauge is thinner than the one before");
        assert_eq!(swg["7/0"].picometres, 12_700_000_000);
        assert_eq!(swg["50"].picometres, 25_400_000);
    }

    /// That bands and columns rise and rows are whole is asked of every table when it is taken in.
    #[test]
    fn every_table_that_comes_with_the_program_is_sound() {
        let config = Config::built_in();
        assert_eq!(config.swg.known().unwrap().record, None, "it is no record of a project");
        assert_eq!(config.tolerances.known().unwrap().len(), 4);
        assert_eq!(config.heat.known().unwrap().bands.len(), 3);
        assert_eq!(config.radii.known().unwrap().rows.len(), 13);
        let stages = config.stages.known().unwrap();
        assert!(stages.treated < stages.ready);
        for row in config.rivets.known().unwrap().tables.iter().flat_map(|table| &table.rows) {
            let printed: Vec<f64> = row.per_inch.iter().copied().flatten().collect();
            assert!(printed.is_sorted(), "thicker sheet never asks for fewer: {}", row.diameter.text);
        }
        assert!(config.spacing.known().is_some() && config.surveys.known().is_some());
    }
}
