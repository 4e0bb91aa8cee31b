//! What a sheet may be taken in as, and the columns that each kind has.

/// What a sheet is taken in as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum IntakeKind {
    /// A parts list: a `Part` for each row.
    Parts,
    /// A modification register: a `Modification` for all rows that give its number, with further rows for its named parts
    /// and for what its leaflet deletes and introduces.
    Modifications,
    /// Blocks of serials: a `SerialBlock` for each row.
    SerialBlocks,
    /// Measured holes, one for each row: a `Survey` for all rows that name it.
    HoleSurveys,
}

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sort {
    /// A number or name of something: a text that a spreadsheet must not have touched.
    Name,
    /// Names with semicolons between them.
    Names,
    /// Free text.
    Text,
    /// One of some words.
    Word(&'static [&'static str]),
    /// A length with its unit.
    Length,
    /// A measured coordinate or diameter: a length, in one unit down the column.
    Figure,
    /// A mass with its unit.
    Mass,
    /// A temperature in degrees Celsius.
    Temperature,
    /// A date or a window.
    Date,
    /// A whole number.
    Count,
    /// Serials and ranges of serials with semicolons between them.
    Serials,
    /// Cut-ins on factories' lines, as `Works 111; Other Works 20`.
    Lines,
}

/// A column that a sheet may have.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field {
    /// What it is called; a heading may be that.
    pub name: &'static str,
    /// Other headings that mean it.
    pub headings: &'static [&'static str],
    pub sort: Sort,
    /// Whether a record needs it.
    pub needed: bool,
    /// The field of the record that it goes into.
    pub into: &'static str,
}

const fn field(name: &'static str, headings: &'static [&'static str], sort: Sort) -> Field {
    Field { name, headings, sort, needed: false, into: name }
}
const fn needed(name: &'static str, headings: &'static [&'static str], sort: Sort) -> Field {
    Field { needed: true, ..field(name, headings, sort) }
}
const fn into(into: &'static str, field: Field) -> Field {
    Field { into, ..field }
}

const PARTS: &[Field] = &[
    needed("number", &["part number", "part no", "part"], Sort::Name),
    needed("description", &["title", "name"], Sort::Text),
    needed("source", &["made or bought"], Sort::Word(&["Made", "Bought", "Standard"])),
    field("hand", &[], Sort::Word(&["Port", "Starboard"])),
    field("opposite_of", &["opposite hand of"], Sort::Name),
    field("drawing", &["drawing number", "drawing no"], Sort::Name),
    field("sheet", &[], Sort::Name),
    field("material", &["material specification"], Sort::Name),
    field("temper", &["condition"], Sort::Text),
    field("thickness", &["gauge"], Sort::Length),
    field("finish", &["protective finish", "surface finish"], Sort::Text),
    field("mass", &["weight"], Sort::Mass),
    field("note", &["notes", "remarks"], Sort::Text),
];
const MODIFICATIONS: &[Field] = &[
    needed("number", &["modification", "modification number", "mod no", "mod"], Sort::Name),
    needed("title", &["description"], Sort::Text),
    into("parts", field("part", &["modification part", "mod part"], Sort::Name)),
    field("class", &[], Sort::Name),
    field("leaflet", &[], Sort::Name),
    field("requires", &[], Sort::Names),
    field("excludes", &[], Sort::Names),
    field("supersedes", &[], Sort::Names),
    into("production", field("cut_in", &["cut in serial"], Sort::Serials)),
    into("production", field("line", &["cut in line number"], Sort::Lines)),
    into("production", field("ranges", &["production serials"], Sort::Serials)),
    into("production", field("production_except", &[], Sort::Serials)),
    into("retrospective", field("leaflet_date", &[], Sort::Date)),
    into("retrospective", field("eligible", &["eligible serials"], Sort::Serials)),
    into("retrospective", field("retrospective_except", &[], Sort::Serials)),
    into("changes", field("form", &[], Sort::Word(&["Production", "Retrospective"]))),
    into("changes", field("position", &[], Sort::Name)),
    into("changes", field("delete", &["deletes", "parts deleted"], Sort::Names)),
    into("changes", field("introduce", &["introduces", "parts introduced"], Sort::Names)),
    field("note", &["notes", "remarks"], Sort::Text),
];
const SERIAL_BLOCKS: &[Field] = &[
    needed("serials", &["serial block", "block"], Sort::Name),
    needed("factory", &["works"], Sort::Text),
    field("model", &["mark"], Sort::Name),
    into("line", field("first_line", &["first line number"], Sort::Count)),
    into("line", field("order", &["line order"], Sort::Serials)),
    field("note", &["notes", "remarks"], Sort::Text),
];
const HOLE_SURVEYS: &[Field] = &[
    into("id", needed("survey", &[], Sort::Name)),
    needed("jig", &[], Sort::Name),
    needed("mark", &["plate"], Sort::Name),
    needed("date", &["measured"], Sort::Date),
    needed("instrument", &[], Sort::Text),
    needed("uncertainty", &[], Sort::Length),
    field("temperature", &[], Sort::Temperature),
    field("measured_by", &["measured by", "who measured"], Sort::Text),
    field("face", &[], Sort::Word(&["Marked", "Back"])),
    field("axes", &[], Sort::Word(&["Instrument", "Jig"])),
    into("holes", field("hole", &["id"], Sort::Name)),
    into("holes", needed("x", &[], Sort::Figure)),
    into("holes", needed("y", &[], Sort::Figure)),
    into("holes", field("z", &[], Sort::Figure)),
    into("holes", field("diameter", &["dia"], Sort::Figure)),
    into("holes", field("out_of_square", &["out of square"], Sort::Figure)),
    into("note", field(READING, &[], Sort::Word(&[OF_HOLE, "before", "after"]))),
    field("note", &["notes", "remarks"], Sort::Text),
];

/// The column of a survey form that tells the holes from the readings that check the set-up, before them and after.
pub(crate) const READING: &str = "reading";
/// What it says of a hole.
pub(crate) const OF_HOLE: &str = "hole";
/// The column of a survey form that numbers its plates: what is filled in once goes for all rows of one number.
pub(crate) const PLATE_NO: &str = "plate no";
/// Columns that a survey form shows to whoever fills it in, and that say nothing of the survey.
const SHOWN: [&str; 13] = [
    "record",
    PLATE_NO,
    "station",
    "plate drawing",
    "nominal x",
    "nominal y",
    "nominal z",
    "nominal diameter",
    "tolerance",
    "uncertainty needed",
    "uncertainty at most",
    "in tolerance up to",
    "out of tolerance from",
];

impl Field {
    /// Whether it goes into a plain field of the record, not into something within it.
    pub(super) fn is_of_record(&self) -> bool {
        let within = ["line", "parts", "production", "retrospective", "changes", "holes"];
        !within.contains(&self.into) && self.name != READING
    }
}

impl IntakeKind {
    /// The kind of record that its rows become.
    pub(super) fn record(self) -> &'static str {
        match self {
            IntakeKind::Parts => "Part",
            IntakeKind::Modifications => "Modification",
            IntakeKind::SerialBlocks => "SerialBlock",
            IntakeKind::HoleSurveys => "Survey",
        }
    }
    pub(super) fn fields(self) -> &'static [Field] {
        match self {
            IntakeKind::Parts => PARTS,
            IntakeKind::Modifications => MODIFICATIONS,
            IntakeKind::SerialBlocks => SERIAL_BLOCKS,
            IntakeKind::HoleSurveys => HOLE_SURVEYS,
        }
    }
    /// Whether a heading (without its unit) is of a column that the program's own forms show and do not ask for.
    pub(super) fn only_shows(self, heading: &str) -> bool {
        self == IntakeKind::HoleSurveys && SHOWN.contains(&heading)
    }
    /// Whether several rows may make one record.
    pub(super) fn gathers(self) -> bool {
        matches!(self, IntakeKind::Modifications | IntakeKind::HoleSurveys)
    }
    /// The column by which a record is known.
    pub(super) fn key(self) -> &'static str {
        self.fields()[0].name
    }
    /// What a sheet of this kind is called.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            IntakeKind::Parts => "parts list",
            IntakeKind::Modifications => "modification register",
            IntakeKind::SerialBlocks => "serial blocks",
            IntakeKind::HoleSurveys => "hole survey",
        }
    }
}

/// A column of the sheet that is taken in.
pub(super) struct SheetColumn {
    pub(super) at: u32,
    pub(super) field: &'static Field,
    pub(super) unit: Option<String>,
}

/// A heading without its unit, and the unit.
pub(super) fn heading_of(text: &str) -> (String, Option<String>) {
    let (name, unit) = match text.trim().strip_suffix(')').and_then(|text| text.rsplit_once('(')) {
        Some((name, unit)) => (name, Some(unit.trim().to_owned())),
        None => (text, None),
    };
    let plain: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    (plain.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase(), unit)
}
