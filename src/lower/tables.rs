//! The shop's own tables, in place of those that come with the program.
//!
//! A table is taken whole or not at all: one that is faulty, given twice or not read is not known, and nothing stands in
//! for it.

use super::ByKind;
use super::say::{Findings, listed, nearest};
use crate::codes::{self, Code};
use crate::finding::{Finding, Place, RecordRef};
use crate::quantity::{
    BendRadii, BendRow, Config, HeatTreatment, Length, Odds, RivetRow, RivetSpacing, RivetTable, RivetTables,
    ShopTable, Sourced, Stages, SurveyLimits,
};
use crate::schema;
use crate::source::Lost;
use indexmap::IndexMap;

/// The tables that come with the program, with the project's own in their place.
pub(super) fn lower(records: &ByKind<'_>, lost: &Lost, base: &Config, out: &mut Findings) -> Config {
    let mut config = base.clone();
    // Lengths in the other tables are read by the gauges.
    config.swg = own(&records.gauges, lost, &config, &base.swg, out, gauges);
    config.tolerances = own(&records.tolerances, lost, &config, &base.tolerances, out, tolerances);
    config.stages = own(&records.stages, lost, &config, &base.stages, out, stages);
    config.heat = own(&records.heat, lost, &config, &base.heat, out, heat);
    config.radii = own(&records.radii, lost, &config, &base.radii, out, radii);
    config.rivets = own(&records.rivets, lost, &config, &base.rivets, out, rivets);
    config.spacing = own(&records.spacing, lost, &config, &base.spacing, out, spacing);
    config.surveys = own(&records.survey_limits, lost, &config, &base.surveys, out, surveys);
    config
}

/// A record that is a table.
trait OwnTable {
    /// The kind of record.
    const KIND: &'static str;
    /// What it is called in a sentence.
    const CALLED: &'static str;
    fn source(&self) -> &str;
}

macro_rules! tables {
    ($($kind:ident $called:literal,)+) => {
        $(impl OwnTable for schema::$kind {
            const KIND: &'static str = stringify!($kind);
            const CALLED: &'static str = $called;
            fn source(&self) -> &str {
                &self.source
            }
        })+
    };
}
tables! {
    WireGauges "wire gauges",
    ToleranceClasses "tolerance classes",
    StagesOfWork "stages of work",
    HeatTreatment "heat-treatment bands",
    BendRadii "bend radii",
    RivetTables "numbers of rivets",
    RivetSpacing "spacings of rivets",
    SurveyLimits "limits for surveys",
}

/// The project's own table of a kind, or that which came before.
fn own<R: OwnTable, T: Clone>(
    records: &[(RecordRef, &R)],
    lost: &Lost,
    config: &Config,
    base: &ShopTable<T>,
    out: &mut Findings,
    lower: fn(&R, RecordRef, &Config, &mut Findings) -> Option<T>,
) -> ShopTable<T> {
    let is_of_table = |at: &RecordRef| records.iter().any(|(record, _)| record == at);
    let is_lost =
        lost.texts.iter().any(|text| text.may_be_table(R::KIND) || text.part_of.as_ref().is_some_and(is_of_table));
    if records.is_empty() && !is_lost {
        return base.clone();
    }
    let mut known = None;
    for (record, raw) in records {
        let before = out.pieces.len();
        if raw.source().trim().is_empty() {
            let message = format!("the shop's own {} say of no source where they come from", R::CALLED);
            let help = "write what they were taken from: manual, page, issue, or who in the shop set them and when";
            fault(out, codes::TABLE_WITHOUT_SOURCE, message, record.field("source"), "empty", help);
        }
        let holds = lower(raw, *record, config, out);
        known = holds.filter(|_| out.pieces.len() == before).map(|holds| (*record, raw.source().to_owned(), holds));
    }
    if let [(first, _), again @ ..] = records {
        for (record, _) in again {
            let message = format!("the shop's own {} are given twice", R::CALLED);
            let finding = Finding::new(codes::TWO_TABLES, message, record.place(), "given again")
                .label(first.place(), "given first here");
            out.add(finding.help(format!("keep one `{}` record{UNUSED}", R::KIND)));
        }
    }
    match known {
        Some((record, source, holds)) if records.len() == 1 && !is_lost => {
            ShopTable::Known(Sourced { source, record: Some(record), holds })
        }
        Some(_) | None => ShopTable::NotRead,
    }
}

/// A finding on a name that a table does not list, with the table beside it if it is the shop's own.
pub(super) fn beside_own(finding: Finding, own: Option<Place>, label: &str) -> Finding {
    own.into_iter().fold(finding, |finding, place| finding.label(place, label))
}

/// What comes of any fault in a table.
const UNUSED: &str = "; until then what rests on the table is not known";

fn fault(out: &mut Findings, code: Code, message: String, place: Place, label: &str, help: &str) {
    out.add(Finding::new(code, message, place, label).help(format!("{help}{UNUSED}")));
}

/// Whether a list of a table has something in it; a finding if it has not.
fn filled<T>(list: &[T], what: &str, place: Place, out: &mut Findings) {
    if list.is_empty() {
        let message = format!("the table has no {what}");
        fault(out, codes::TABLE_EMPTY, message, place, "empty", "write them, or remove the record");
    }
}

/// Names of which each is to stand once.
fn named_once<'a>(noun: &str, names: impl Iterator<Item = (&'a str, Place)>, out: &mut Findings) {
    let mut seen: IndexMap<&str, Place> = IndexMap::new();
    for (name, place) in names {
        if name.trim().is_empty() {
            fault(out, codes::NAME_EMPTY, format!("the {noun} has no name"), place, "empty", "write its name");
        } else if let Some(first) = seen.get(name) {
            let message = format!("the {noun} `{name}` is given twice");
            let finding = Finding::new(codes::NAME_USED_TWICE, message, place, "given again");
            let finding = finding.label(first.clone(), "given first here");
            out.add(finding.help(format!("remove one of the two, or correct its name{UNUSED}")));
        } else {
            seen.insert(name, place);
        }
    }
}

/// A figure that must lie in a range; the range in words.
fn figure(what: &str, value: f64, is_good: bool, wanted: &str, place: Place, out: &mut Findings) -> Option<f64> {
    if value.is_finite() && is_good {
        return Some(value);
    }
    let message = format!("the {what} {value} cannot be meant: it is {wanted}");
    fault(out, codes::FIGURE_OUT_OF_RANGE, message, place, "not so", "check it against the source of the table");
    None
}

/// Lengths of columns or bands, which rise.
fn rising(what: &str, list: &[String], place: &Place, config: &Config, out: &mut Findings) -> Option<Vec<Length>> {
    let each = list.iter().enumerate().map(|(at, text)| out.size(what, text, config, &place.item(at)));
    let found: Vec<Option<Length>> = each.collect();
    for (at, pair) in found.windows(2).enumerate() {
        let [Some(before), Some(after)] = pair else { continue };
        if after.picometres <= before.picometres {
            out_of_order(what, "thicker", [before, after], [place.item(at), place.item(at + 1)], out);
        }
    }
    found.into_iter().collect()
}

fn out_of_order(what: &str, than: &str, [before, after]: [&Length; 2], [first, place]: [Place; 2], out: &mut Findings) {
    let message = format!("the {what} `{}` stands after `{}` and is not {than}", after.text, before.text);
    let finding = Finding::new(codes::OUT_OF_ORDER, message, place, format!("not {than}")).label(first, "than this");
    out.add(finding.help(format!("correct the figure, or put them in order{UNUSED}")));
}

/// Whether a row has as many cells as the table has columns; a finding if it has not.
fn whole(row: &str, cells: usize, columns: usize, list: Place, place: Place, out: &mut Findings) {
    if cells != columns {
        let message = format!("the row `{row}` has {cells} cells, and the table has {columns} columns");
        let finding = Finding::new(codes::ROW_NOT_WHOLE, message, place, format!("{cells} cells"));
        let finding = finding.label(list, format!("{columns} columns"));
        out.add(finding.help(format!("compare the row with the source of the table, cell by cell{UNUSED}")));
    }
}

fn gauges(
    raw: &schema::WireGauges,
    record: RecordRef,
    config: &Config,
    out: &mut Findings,
) -> Option<IndexMap<String, Length>> {
    let list = record.field("sizes");
    filled(&raw.sizes, "gauges", list.clone(), out);
    named_once("gauge", raw.sizes.iter().enumerate().map(|(at, size)| (&*size.0, list.item(at).item(0))), out);
    // A gauge is given in a unit of length, not by another gauge.
    let bare = Config { swg: ShopTable::Known(Sourced::default()), ..config.clone() };
    let sizes = raw.sizes.iter().enumerate();
    let sizes: Vec<Option<Length>> =
        sizes.map(|(at, size)| out.size("thickness", &size.1, &bare, &list.item(at).item(1))).collect();
    for (at, pair) in sizes.windows(2).enumerate() {
        let [Some(before), Some(after)] = pair else { continue };
        if after.picometres >= before.picometres {
            let places = [list.item(at).item(1), list.item(at + 1).item(1)];
            out_of_order("thickness", "thinner", [before, after], places, out);
        }
    }
    raw.sizes.iter().zip(sizes).map(|(size, length)| Some((size.0.clone(), length?))).collect()
}

fn tolerances(
    raw: &schema::ToleranceClasses,
    record: RecordRef,
    config: &Config,
    out: &mut Findings,
) -> Option<IndexMap<String, Length>> {
    let list = record.field("classes");
    filled(&raw.classes, "classes", list.clone(), out);
    let names = raw.classes.iter().enumerate().map(|(at, class)| (&*class.name, list.item(at).field("name")));
    named_once("tolerance class", names, out);
    for (at, class) in raw.classes.iter().enumerate().filter(|(_, class)| is_like_a_length(&class.name)) {
        let message = format!("the name of the tolerance class `{}` begins like a length", class.name);
        let place = list.item(at).field("name");
        let help = "begin the name with a letter: a tolerance that begins like a number is read as a length";
        fault(out, codes::FIGURE_OUT_OF_RANGE, message, place, "reads like a length", help);
    }
    let each = raw.classes.iter().enumerate().map(|(at, class)| {
        let zone = out.size("zone", &class.zone, config, &list.item(at).field("zone"));
        (class.name.clone(), zone)
    });
    let each: Vec<(String, Option<Length>)> = each.collect();
    each.into_iter().map(|(name, zone)| Some((name, zone?))).collect()
}

/// Whether a position tolerance is written as a length, and not as the name of a class: it begins like a number.
pub(super) fn is_like_a_length(text: &str) -> bool {
    text.trim_start().starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c))
}

fn stages(raw: &schema::StagesOfWork, record: RecordRef, _: &Config, out: &mut Findings) -> Option<Stages> {
    let list = record.field("stages");
    filled(&raw.stages, "stages", list.clone(), out);
    let items = |names: &'_ [String], list: &Place| {
        names.iter().cloned().zip((0..).map(|at| list.item(at))).collect::<Vec<_>>()
    };
    named_once("stage", items(&raw.stages, &list).iter().map(|(name, place)| (&**name, place.clone())), out);
    let only_new = items(&raw.only_new, &record.field("only_new"));
    out.named_twice(only_new.iter().map(|(name, place)| (&**name, place.clone())));
    let mut index = |name: &str, place: Place| {
        let found = raw.stages.iter().position(|stage| stage == name);
        if found.is_none() && !raw.stages.is_empty() {
            let names = || raw.stages.iter().map(String::as_str);
            let near = nearest(name, names()).map(|near| format!("write `{near}` if that is meant; "));
            let message = format!("`{name}` is none of the stages that the table lists");
            let finding = Finding::new(codes::STAGE_NOT_LISTED, message, place, "not listed");
            let finding = finding.label(list.clone(), format!("the stages are {}", listed(names(), "and")));
            out.add(finding.help(format!("{}correct it, or add the stage{UNUSED}", near.unwrap_or_default())));
        }
        found
    };
    let only_new: Vec<Option<usize>> = only_new.into_iter().map(|(name, place)| index(&name, place)).collect();
    let treated = index(&raw.treated, record.field("treated"));
    let ready = index(&raw.ready, record.field("ready"));
    if let (Some(treated), Some(ready)) = (treated, ready)
        && ready < treated
    {
        let message = format!("a part is ready at `{}`, before it is heat treated at `{}`", raw.ready, raw.treated);
        let finding = Finding::new(codes::STAGE_NOT_LISTED, message, record.field("ready"), "comes first");
        let finding = finding.label(record.field("treated"), "comes later");
        out.add(finding.help(format!("correct one of the two, or the order of the stages{UNUSED}")));
    }
    let only_new = only_new.into_iter().collect::<Option<Vec<usize>>>()?;
    Some(Stages { names: raw.stages.clone(), only_new, treated: treated?, ready: ready? })
}

fn heat(raw: &schema::HeatTreatment, record: RecordRef, config: &Config, out: &mut Findings) -> Option<HeatTreatment> {
    let list = record.field("materials");
    named_once("material", raw.materials.iter().enumerate().map(|(at, name)| (&**name, list.item(at))), out);
    let bands = rising("thickness", &raw.bands, &record.field("bands"), config, out)?;
    Some(HeatTreatment { materials: raw.materials.clone(), bands })
}

fn radii(raw: &schema::BendRadii, record: RecordRef, config: &Config, out: &mut Findings) -> Option<BendRadii> {
    let (columns, list) = (record.field("thickness"), record.field("radii"));
    filled(&raw.thickness, "columns", columns.clone(), out);
    filled(&raw.radii, "rows", list.clone(), out);
    let thickness = rising("thickness", &raw.thickness, &columns, config, out);
    let names = raw.radii.iter().enumerate().map(|(at, row)| (&*row.material, list.item(at).field("material")));
    named_once("material", names, out);
    let mut rows = Vec::new();
    for (at, row) in raw.radii.iter().enumerate() {
        let place = list.item(at).field("radius");
        whole(&row.material, row.radius.len(), raw.thickness.len(), columns.clone(), place.clone(), out);
        for (cell, schema::RadiusRange(low, high)) in row.radius.iter().enumerate() {
            let place = place.item(cell);
            let low = figure("radius", *low, *low >= 0.0, "nothing or more", place.item(0), out);
            let wanted = "the larger end of its range, which comes second";
            figure("radius", *high, low.is_none_or(|low| low <= *high), wanted, place.item(1), out);
        }
        let radius = row.radius.iter().map(|range| (range.0, range.1)).collect();
        rows.push(BendRow { material: row.material.clone(), detached: row.detached, radius });
    }
    Some(BendRadii { note: raw.note.clone(), thickness: thickness?, rows })
}

fn rivets(raw: &schema::RivetTables, record: RecordRef, config: &Config, out: &mut Findings) -> Option<RivetTables> {
    let (columns, list) = (record.field("thickness"), record.field("tables"));
    filled(&raw.thickness, "columns", columns.clone(), out);
    filled(&raw.tables, "tables", list.clone(), out);
    let thickness = rising("thickness", &raw.thickness, &columns, config, out);
    named_once("table", raw.tables.iter().enumerate().map(|(at, t)| (&*t.table, list.item(at).field("table"))), out);
    let sheets = raw.tables.iter().enumerate().flat_map(|(at, table)| {
        let list = list.item(at).field("sheets");
        table.sheets.iter().enumerate().map(move |(at, name)| (&**name, list.item(at)))
    });
    named_once("sheet", sheets, out);
    let mut tables = Vec::new();
    for (at, table) in raw.tables.iter().enumerate() {
        let list = list.item(at).field("rows");
        filled(&table.rows, "rows", list.clone(), out);
        let diameters =
            table.rows.iter().enumerate().map(|(at, row)| (&*row.diameter, list.item(at).field("diameter")));
        named_once("diameter", diameters, out);
        let mut rows = Vec::new();
        for (at, row) in table.rows.iter().enumerate() {
            let place = list.item(at);
            let diameter = out.size("diameter", &row.diameter, config, &place.field("diameter"));
            let place = place.field("per_inch");
            whole(&row.diameter, row.per_inch.len(), raw.thickness.len(), columns.clone(), place.clone(), out);
            for (cell, number) in row.per_inch.iter().enumerate().filter_map(|(cell, number)| Some((cell, (*number)?)))
            {
                figure("number of rivets", number, number > 0.0, "above nothing", place.item(cell), out);
            }
            rows.extend(diameter.map(|diameter| RivetRow { diameter, per_inch: row.per_inch.clone() }));
        }
        let (name, sheets) = (table.table.clone(), table.sheets.clone());
        tables.push(RivetTable { name, sheets, from_memory: table.from_memory, rows });
    }
    Some(RivetTables { thickness: thickness?, tables })
}

fn spacing(raw: &schema::RivetSpacing, record: RecordRef, _: &Config, out: &mut Findings) -> Option<RivetSpacing> {
    let mut above =
        |what, value: f64, field| figure(what, value, value > 0.0, "above nothing", record.field(field), out);
    let edge = above("edge distance", raw.least_edge, "least_edge");
    let pitch = above("pitch", raw.least_pitch, "least_pitch");
    let rows = above("row spacing", raw.least_row_spacing, "least_row_spacing");
    Some(RivetSpacing { edge: edge?, pitch: pitch?, rows: rows? })
}

fn surveys(raw: &schema::SurveyLimits, record: RecordRef, config: &Config, out: &mut Findings) -> Option<SurveyLimits> {
    let mut length = |text: &str, field| out.size("limit", text, config, &record.field(field)).map(|limit| limit.mm());
    let far_off = length(&raw.far_off, "far_off");
    let out_of_plane = length(&raw.out_of_plane, "out_of_plane");
    let loose = length(&raw.loose, "loose");
    let warmth = out.kelvin(&raw.temperature_not_noted, &record.field("temperature_not_noted"));
    let expansion = out.expansion(Some(&raw.widest_expansion), &record.field("widest_expansion"));
    let odds = Odds { found: raw.odds_found, possible: raw.odds_possible };
    for (what, value, field) in [("odds", odds.found, "odds_found"), ("odds", odds.possible, "odds_possible")] {
        figure(what, f64::from(value), value > 1, "above 1", record.field(field), out);
    }
    if odds.found < odds.possible {
        let message =
            format!("the odds {} for what is found are below {} for what is possible", odds.found, odds.possible);
        let finding = Finding::new(codes::FIGURE_OUT_OF_RANGE, message, record.field("odds_found"), "the lower one");
        let finding = finding.label(record.field("odds_possible"), "the higher one");
        out.add(finding.help(format!("exchange the two, or correct one{UNUSED}")));
    }
    Some(SurveyLimits {
        far_off_mm: far_off?,
        out_of_plane_mm: out_of_plane?,
        warmth_not_noted_k: warmth?,
        widest_expansion: expansion?,
        loose_mm: loose?,
        odds,
    })
}
