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
    /// From where on the figures of a survey are asked about.
    pub surveys: SurveyLimits,
    /// The stages of work on a part, in order.
    pub stages: Stages,
    /// What is heat treated in the shop.
    pub heat: HeatTreatment,
    /// Published minimum bend radii.
    pub radii: BendRadii,
    /// Published numbers of rivets.
    pub rivets: RivetTables,
}

/// The stages of work on a part.
#[derive(Clone, Debug)]
pub struct Stages {
    /// Their names, in order.
    pub names: Vec<String>,
    /// Those that a part taken from another airframe does not go through (indices).
    pub only_new: Vec<usize>,
    /// The stage from which on a part is heat treated (an index).
    pub treated: usize,
    /// The stage from which on a part is ready to fit (an index).
    pub ready: usize,
}

impl Stages {
    /// The stage (an index) that comes after one; `None` after the last.
    #[must_use]
    pub fn next(&self, stage: usize, reclaimed: bool) -> Option<usize> {
        (stage + 1..self.names.len()).find(|next| !reclaimed || !self.only_new.contains(next))
    }
}

/// What is heat treated in the shop.
#[derive(Clone, Debug)]
pub struct HeatTreatment {
    /// Material specifications.
    pub materials: Vec<String>,
    /// The thickest sheet of each band, from thin to thick.
    pub bands: Vec<Length>,
}

/// Minimum bend radii, as multiples of the thickness.
#[derive(Clone, Debug)]
pub struct BendRadii {
    /// Where they were published.
    pub source: String,
    /// The thickness of each column, rising.
    pub thickness: Vec<Length>,
    /// The rows, each with a cell for each column.
    pub rows: Vec<BendRow>,
}

/// A row of the minimum bend radii.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BendRow {
    /// The alloy and temper (`2024-O`).
    pub material: String,
    /// Whether the row's label was detached in the copy that was read.
    #[serde(default)]
    pub detached: bool,
    /// The ends of each printed range.
    pub radius: Vec<(f64, f64)>,
}

/// Numbers of rivets for splices, AD with protruding heads.
#[derive(Clone, Debug)]
pub struct RivetTables {
    /// Where they were published.
    pub source: String,
    /// The thickness of each column, rising; of the thinner of the sheets that are joined.
    pub thickness: Vec<Length>,
    /// The tables.
    pub tables: Vec<RivetTable>,
}

/// A table of numbers of rivets.
#[derive(Clone, Debug)]
pub struct RivetTable {
    /// What it is called (`table 4-10`).
    pub name: String,
    /// The alloys and tempers that it is for.
    pub sheets: Vec<String>,
    /// Whether what it is for is told from memory.
    pub from_memory: bool,
    /// A row for each diameter.
    pub rows: Vec<RivetRow>,
}

/// A row of a table of numbers of rivets.
#[derive(Clone, Debug)]
pub struct RivetRow {
    /// The diameter of the rivet.
    pub diameter: Length,
    /// Rivets for each inch of width; a cell for each column, `None` where nothing is printed.
    pub per_inch: Vec<Option<f64>>,
}

/// Limits that stop a slip of the pen from being taken at its word.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The largest number of serials in one block.
    pub serials_in_block: u32,
    /// Joints at one station whose clock angles differ by no more than this, in degrees, are called in line.
    pub in_line_degrees: f64,
}

/// From where on the figures of a survey are asked about.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyLimits {
    /// How far a hole, a member or a plate may be found off before its figures are asked about whatever else fits, in
    /// millimetres.
    pub far_off_mm: f64,
    /// How far out of its plane a hole of a plate may be found, beyond the instrument's uncertainty, before its height is
    /// asked about, in millimetres.
    pub out_of_plane_mm: f64,
    /// How far from 20 degrees Celsius the metal may have been where nobody noted it, in kelvin.
    pub warmth_not_noted_k: f64,
    /// The coefficient of expansion of a jig for which none is given, per kelvin.
    pub widest_expansion: f64,
    /// How far a hole may lie off, beyond its zone and the instrument's uncertainty, and still be taken for a hole of a
    /// plate that is drilled badly, in millimetres.
    pub loose_mm: f64,
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenStages {
    stages: Vec<String>,
    only_new: Vec<String>,
    treated: String,
    ready: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenHeat {
    materials: Vec<String>,
    bands: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRadii {
    source: String,
    thickness: Vec<String>,
    rows: Vec<BendRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRivets {
    source: String,
    thickness: Vec<String>,
    tables: Vec<WrittenRivetTable>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRivetTable {
    table: String,
    sheets: Vec<String>,
    #[serde(default)]
    from_memory: bool,
    rows: Vec<(String, Vec<Option<f64>>)>,
}

impl WrittenRivets {
    fn read(self, length: impl Fn(&str) -> Length) -> RivetTables {
        let tables = self.tables.into_iter().map(|table| RivetTable {
            name: table.table,
            sheets: table.sheets,
            from_memory: table.from_memory,
            rows: (table.rows.into_iter())
                .map(|(diameter, per_inch)| RivetRow { diameter: length(&diameter), per_inch })
                .collect(),
        });
        RivetTables {
            source: self.source,
            thickness: self.thickness.iter().map(|text| length(text)).collect(),
            tables: tables.collect(),
        }
    }
}

impl Config {
    /// The tables and limits that come with the program.
    ///
    /// ```
    /// let config = modstate::quantity::Config::built_in();
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
        let surveys = ron::from_str(include_str!("../../configs/surveys.ron")).expect(VALID);
        let WrittenStages { stages, only_new, treated, ready } =
            ron::from_str(include_str!("../../configs/stages.ron")).expect(VALID);
        let heat: WrittenHeat = ron::from_str(include_str!("../../configs/heat-treatment.ron")).expect(VALID);
        let radii: WrittenRadii = ron::from_str(include_str!("../../configs/bend-radii.ron")).expect(VALID);
        let rivets: WrittenRivets = ron::from_str(include_str!("../../configs/rivets.ron")).expect(VALID);
        let stage = |name: &String| stages.iter().position(|stage| stage == name).expect(VALID);
        let (treated, ready) = (stage(&treated), stage(&ready));
        let only_new = only_new.iter().map(stage).collect();
        let mut config = Config {
            swg: IndexMap::new(),
            tolerances: IndexMap::new(),
            settings,
            surveys,
            stages: Stages { names: stages, only_new, treated, ready },
            heat: HeatTreatment { materials: heat.materials, bands: Vec::new() },
            radii: BendRadii { source: radii.source, thickness: Vec::new(), rows: radii.rows },
            rivets: RivetTables { source: String::new(), thickness: Vec::new(), tables: Vec::new() },
        };
        for (gauge, inches) in gauges.swg {
            let length = Length::parse(&format!("{inches}in"), &config).expect(VALID);
            config.swg.insert(gauge, length);
        }
        for class in classes {
            let zone = Length::parse(&class.zone, &config).expect(VALID);
            config.tolerances.insert(class.name, zone);
        }
        let lengths = |texts: &[String], config: &Config| -> Vec<Length> {
            texts.iter().map(|text| Length::parse(text, config).expect(VALID)).collect()
        };
        config.heat.bands = lengths(&heat.bands, &config);
        config.radii.thickness = lengths(&radii.thickness, &config);
        config.rivets = rivets.read(|text| Length::parse(text, &config).expect(VALID));
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
    fn bands_and_columns_rise_and_every_row_is_whole() {
        let config = Config::built_in();
        let rises = |lengths: &[Length]| lengths.is_sorted_by(|a, b| a.picometres < b.picometres);
        assert!(rises(&config.heat.bands) && rises(&config.radii.thickness));
        for row in &config.radii.rows {
            assert_eq!(row.radius.len(), config.radii.thickness.len(), "{}", row.material);
            assert!(row.radius.iter().all(|(low, high)| 0.0 <= *low && low <= high), "{}", row.material);
        }
        assert!(config.stages.treated < config.stages.ready);
        assert!(rises(&config.rivets.thickness));
        for row in config.rivets.tables.iter().flat_map(|table| &table.rows) {
            assert_eq!(row.per_inch.len(), config.rivets.thickness.len(), "{}", row.diameter.text);
            let printed: Vec<f64> = row.per_inch.iter().copied().flatten().collect();
            assert!(printed.is_sorted(), "thicker sheet never asks for fewer: {}", row.diameter.text);
        }
    }

    #[test]
    fn tolerance_zones_are_positive() {
        assert!(Config::built_in().tolerances.values().all(|zone| zone.picometres > 0));
    }
}
