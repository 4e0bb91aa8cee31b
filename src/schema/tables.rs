//! Tables of the shop, as they are written. Those that come with the program, in `configs/`, are written the same way.

use super::shapes::shape;
use super::values::{Decimal, Expansion, GaugeSize, Kelvin, Length, Name, Number, PerInch, RadiusRange, Text, YesNo};

shape! {
    /// The wire gauges that lengths in `swg` are read by.
    pub struct WireGauges {
        /// Where the figures come from.
        pub source: Text,
        /// Each gauge with its thickness: from thick to thin.
        pub sizes: Vec<GaugeSize>,
    }
}

shape! {
    /// Named classes for the position tolerance of a hole.
    pub struct ToleranceClasses {
        /// Where the figures come from.
        pub source: Text,
        /// The classes.
        pub classes: Vec<ToleranceClass>,
    }
}

shape! {
    /// A class of position tolerance.
    pub struct ToleranceClass {
        /// Its name.
        pub name: Name,
        /// The diameter of the round zone in which a hole's axis must lie.
        pub zone: Length,
    }
}

shape! {
    /// The stages of work on a part, in order.
    pub struct StagesOfWork {
        /// Where they come from.
        pub source: Text,
        /// Their names, in order.
        pub stages: Vec<Name>,
        /// Those that a part taken from another airframe does not go through.
        #[serde(default)]
        pub only_new: Vec<Name>,
        /// The stage from which on a part is heat treated.
        pub treated: Name,
        /// The stage from which on a part is ready to fit.
        pub ready: Name,
    }
}

shape! {
    /// What is heat treated in the shop, and which thicknesses may share a load.
    pub struct HeatTreatment {
        /// Where the bands come from.
        pub source: Text,
        /// The material specifications that are heat treated, as parts give them.
        pub materials: Vec<Name>,
        /// The thickest sheet of each band, from thin to thick; what is thicker than the last makes a band of its own.
        pub bands: Vec<Length>,
    }
}

shape! {
    /// Minimum bend radii, as multiples of the thickness, for bends of 90 degrees.
    pub struct BendRadii {
        /// Where the figures come from.
        pub source: Text,
        /// What a reader should know of all of them; answers that use one say it too.
        pub note: Option<Text>,
        /// The thickness of each column, from thin to thick.
        pub thickness: Vec<Length>,
        /// A row for each alloy and temper.
        pub radii: Vec<BendRow>,
    }
}

shape! {
    /// Minimum bend radii of one alloy and temper.
    pub struct BendRow {
        /// The alloy and temper, as `bent_in` of a part names it.
        pub material: Name,
        /// Whether the label of the row was detached in the copy that was read, so that it was assigned by its order.
        #[serde(default)]
        pub detached: YesNo,
        /// For each column the two ends of its range; where one figure is given, that figure twice.
        pub radius: Vec<RadiusRange>,
    }
}

shape! {
    /// Numbers of AD rivets with protruding heads for splices, for each inch of the width of sheet that is joined.
    pub struct RivetTables {
        /// Where the figures come from.
        pub source: Text,
        /// The thickness of each column, from thin to thick: that of the thinner of the sheets that are joined.
        pub thickness: Vec<Length>,
        /// The tables.
        pub tables: Vec<RivetTable>,
    }
}

shape! {
    /// Numbers of rivets for some alloys and tempers.
    pub struct RivetTable {
        /// What it is called, as its source calls it.
        pub table: Name,
        /// The alloys and tempers that it is for, as `sheet` of a splice's rivets names them.
        pub sheets: Vec<Name>,
        /// Whether what it is for is from memory; findings that use it say so.
        #[serde(default)]
        pub from_memory: YesNo,
        /// A row for each diameter.
        pub rows: Vec<RivetRow>,
    }
}

shape! {
    /// Numbers of rivets of one diameter.
    pub struct RivetRow {
        /// The diameter of the rivet.
        pub diameter: Length,
        /// For each column the number of rivets for each inch of width.
        pub per_inch: Vec<PerInch>,
    }
}

shape! {
    /// The least spacings of the rivets of a splice.
    pub struct RivetSpacing {
        /// Where the figures come from.
        pub source: Text,
        /// The least edge distance, in diameters of the rivet.
        pub least_edge: Decimal,
        /// The least pitch in a row, in diameters of the rivet.
        pub least_pitch: Decimal,
        /// The least distance from row to row, as a share of the pitch.
        pub least_row_spacing: Decimal,
    }
}

shape! {
    /// From where on the figures of a survey are asked about, and an error counts as found.
    pub struct SurveyLimits {
        /// Where the figures come from.
        pub source: Text,
        /// A hole, a member or a plate that is found further off than this is a question of its figures, whatever else fits.
        pub far_off: Length,
        /// A hole that lies further out of the plane of its plate than this, beyond the instrument's uncertainty, is one too.
        pub out_of_plane: Length,
        /// How far from 20 degrees Celsius the metal may have been where nobody noted it.
        pub temperature_not_noted: Kelvin,
        /// The coefficient of expansion of a jig for which none is given.
        pub widest_expansion: Expansion,
        /// How far a hole may lie off, beyond its zone and the instrument's uncertainty, and still be taken for a hole of a
        /// plate that is drilled badly. Only asked where no plate matches within zones; holes then tell two plates apart only
        /// if these lie further apart than twice this.
        pub loose: Length,
        /// The odds, to 1, from which on an error of a member or a plate counts as found.
        pub odds_found: Number,
        /// The odds, to 1, from which on it counts as possible.
        pub odds_possible: Number,
    }
}
