//! Tables and limits that come with the program, from `configs/`.

use super::Length;
use indexmap::IndexMap;
use serde::Deserialize;

/// The tables and limits of `configs/`.
///
/// Invariant: every value in them has been read exactly.
#[derive(Clone, Debug)]
pub struct Config {
    /// Standard wire gauges by name (`18`, `7/0`).
    pub swg: IndexMap<String, Length>,
    /// Diameters of position tolerance zones by class name.
    pub tolerances: IndexMap<String, Length>,
    /// Limits.
    pub settings: Settings,
}

/// Limits that stop a slip of the pen from being taken at its word.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The largest number of serials in one block.
    pub serials_in_block: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Gauges {
    swg: Vec<(String, String)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ToleranceClass {
    name: String,
    zone: String,
}

impl Config {
    /// The tables and limits that come with the program.
    ///
    /// ```
    /// let config = modstate::model::Config::built_in();
    /// assert_eq!(config.swg["18"].picometres, 1_219_200_000); // 0.048 in
    /// ```
    ///
    /// # Panics
    /// Never: the files are part of the program, and a test reads them.
    #[must_use]
    pub fn built_in() -> Config {
        const VALID: &str = "the files in configs/ are part of the program and tested";
        let gauges: Gauges = ron::from_str(include_str!("../../configs/gauges.ron")).expect(VALID);
        let classes: Vec<ToleranceClass> = ron::from_str(include_str!("../../configs/tolerances.ron")).expect(VALID);
        let settings = ron::from_str(include_str!("../../configs/settings.ron")).expect(VALID);
        let mut config = Config { swg: IndexMap::new(), tolerances: IndexMap::new(), settings };
        for (gauge, inches) in gauges.swg {
            let length = Length::parse(&format!("{inches}in"), &config).expect(VALID);
            config.swg.insert(gauge, length);
        }
        for class in classes {
            let zone = Length::parse(&class.zone, &config).expect(VALID);
            config.tolerances.insert(class.name, zone);
        }
        config
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauge_table_is_whole_and_falls() {
        let config = Config::built_in();
        assert_eq!(config.swg.len(), 57, "7/0 to 2/0, then 0 to 50");
        let values: Vec<i64> = config.swg.values().map(|length| length.picometres).collect();
        assert!(values.is_sorted_by(|a, b| a > b), "each gauge is thinner than the one before");
        assert_eq!(config.swg["7/0"].picometres, 12_700_000_000);
        assert_eq!(config.swg["50"].picometres, 25_400_000);
    }

    #[test]
    fn tolerance_zones_are_positive() {
        assert!(Config::built_in().tolerances.values().all(|zone| zone.picometres > 0));
    }
}
