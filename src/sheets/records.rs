//! Rows as records, and records as text.

use super::kinds::Kind;
use crate::source::raw::{
    Axes, Face, Form, Hand, LeafletChange, Line, LineCutIn, MeasuredHole, Modification, ModificationPart, Part,
    Production, Record, Retrospective, SerialBlock, Source, Survey,
};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The values of a row by column.
pub(super) type Values = BTreeMap<&'static str, Vec<String>>;

/// A value of a row, if it has one.
fn one(values: &Values, name: &str) -> Option<String> {
    values.get(name).and_then(|all| all.first()).cloned()
}
/// A value that the row was checked to have.
fn must(values: &Values, name: &str) -> String {
    one(values, name).unwrap_or_default()
}
fn list(values: &Values, name: &str) -> Vec<String> {
    values.get(name).cloned().unwrap_or_default()
}

/// The record of some rows: of one, unless the kind gathers.
pub(super) fn record(kind: Kind, rows: &[Values]) -> Record {
    let row = &rows[0];
    match kind {
        Kind::Parts => Record::Part(part(row)),
        Kind::Modifications => Record::Modification(modification(rows)),
        Kind::SerialBlocks => Record::SerialBlock(SerialBlock {
            serials: must(row, "serials"),
            factory: must(row, "factory"),
            model: one(row, "model"),
            line: one(row, "first_line").and_then(|first| first.parse().ok()).map(|first| {
                let order = list(row, "order");
                if order.is_empty() { Line::From(first) } else { Line::Order(first, order) }
            }),
            note: one(row, "note"),
        }),
        Kind::HoleSurveys => Record::Survey(survey(row, rows)),
    }
}

fn part(row: &Values) -> Part {
    Part {
        number: must(row, "number"),
        description: must(row, "description"),
        hand: one(row, "hand").map(|hand| if hand == "Port" { Hand::Port } else { Hand::Starboard }),
        opposite_of: one(row, "opposite_of"),
        drawing: one(row, "drawing"),
        sheet: one(row, "sheet"),
        material: one(row, "material"),
        temper: one(row, "temper"),
        thickness: one(row, "thickness"),
        source: match must(row, "source").as_str() {
            "Made" => Source::Made,
            "Bought" => Source::Bought,
            _ => Source::Standard,
        },
        mass: one(row, "mass"),
        tools: Vec::new(),
        flat: None,
        expansion: None,
        note: one(row, "note"),
    }
}

/// Which part of its modification a row of a register speaks of; `None`: of the whole.
pub(super) fn part_of(row: &Values) -> Option<&String> {
    row.get("part").and_then(|part| part.first())
}

/// Whether a row of a register says what the leaflet deletes or introduces.
pub(super) fn is_change(row: &Values) -> bool {
    ["delete", "introduce"].iter().any(|name| row.contains_key(name))
}

/// The row of a register that says the most of a part of its modification, or of the whole: the first that says more
/// than a change.
pub(super) fn head<'r>(rows: &[&'r Values]) -> &'r Values {
    rows.iter().find(|row| row.keys().any(|name| !is_of_change(name))).unwrap_or(&rows[0])
}

/// Whether a column of a register says which part is meant, or what the leaflet changes.
pub(super) fn is_of_change(name: &str) -> bool {
    matches!(name, "number" | "part" | "form" | "position" | "delete" | "introduce")
}

/// The rows that speak of each part of a modification, in the order of their first mention; of the whole under `None`.
pub(super) fn by_part<'r>(rows: impl IntoIterator<Item = &'r Values>) -> Vec<(Option<&'r String>, Vec<&'r Values>)> {
    let mut found: Vec<(Option<&String>, Vec<&Values>)> = Vec::new();
    for row in rows {
        let part = part_of(row);
        match found.iter_mut().find(|(known, _)| *known == part) {
            Some((_, rows)) => rows.push(row),
            None => found.push((part, vec![row])),
        }
    }
    found
}

fn modification(rows: &[Values]) -> Modification {
    let mut groups = by_part(rows);
    let whole = groups.iter().position(|(part, _)| part.is_none()).map(|at| groups.remove(at).1).unwrap_or_default();
    let nothing = Values::new();
    let row = if whole.is_empty() { &nothing } else { head(&whole) };
    Modification {
        number: must(&rows[0], "number"),
        title: must(row, "title"),
        class: one(row, "class"),
        leaflet: one(row, "leaflet"),
        requires: list(row, "requires"),
        excludes: list(row, "excludes"),
        supersedes: list(row, "supersedes"),
        production: production(row),
        retrospective: retrospective(row),
        parts: groups.iter().map(|(part, rows)| modification_part(part.map_or("", String::as_str), rows)).collect(),
        changes: changes(&whole),
        note: one(row, "note"),
    }
}

fn modification_part(part: &str, rows: &[&Values]) -> ModificationPart {
    let row = head(rows);
    ModificationPart {
        part: part.to_owned(),
        title: one(row, "title"),
        requires: list(row, "requires"),
        excludes: list(row, "excludes"),
        supersedes: list(row, "supersedes"),
        production: production(row),
        retrospective: retrospective(row),
        changes: changes(rows),
    }
}

fn production(row: &Values) -> Option<Production> {
    let line = list(row, "line").into_iter().filter_map(|cut_in| {
        let (factory, number) = cut_in.rsplit_once(' ')?;
        Some(LineCutIn { factory: factory.trim().to_owned(), number: number.parse().ok()? })
    });
    let production = Production {
        from: list(row, "cut_in"),
        line: line.collect(),
        ranges: list(row, "ranges"),
        except: list(row, "production_except"),
    };
    let some = !(production.from.is_empty() && production.line.is_empty() && production.ranges.is_empty());
    some.then_some(production)
}

fn retrospective(row: &Values) -> Option<Retrospective> {
    one(row, "leaflet_date").map(|leaflet_date| Retrospective {
        leaflet_date,
        eligible: row.get("eligible").cloned(),
        except: list(row, "retrospective_except"),
    })
}

fn changes(rows: &[&Values]) -> Vec<LeafletChange> {
    let change = |row: &&Values| LeafletChange {
        form: one(row, "form").map(|form| if form == "Production" { Form::Production } else { Form::Retrospective }),
        position: one(row, "position"),
        delete: list(row, "delete"),
        introduce: list(row, "introduce"),
    };
    rows.iter().filter(|row| is_change(row)).map(change).collect()
}

fn survey(row: &Values, rows: &[Values]) -> Survey {
    let hole = |row: &Values| MeasuredHole {
        hole: one(row, "hole"),
        x: must(row, "x"),
        y: must(row, "y"),
        z: one(row, "z"),
        diameter: one(row, "diameter"),
        out_of_square: one(row, "out_of_square"),
        cells: Vec::new(),
    };
    Survey {
        id: must(row, "survey"),
        jig: must(row, "jig"),
        mark: must(row, "mark"),
        date: must(row, "date"),
        instrument: must(row, "instrument"),
        uncertainty: must(row, "uncertainty"),
        diameter_uncertainty: None,
        temperature: one(row, "temperature"),
        face: one(row, "face").map(|face| if face == "Back" { Face::Back } else { Face::Marked }),
        axes: if must(row, "axes") == "Jig" { Axes::Jig } else { Axes::Instrument },
        unit: None,
        holes: rows.iter().map(hole).collect(),
        holes_from: None,
        note: None,
    }
}

/// The fields of a record as they are written, those left out that say nothing; `None` for kinds that no sheet gives.
pub(super) fn fields(record: &Record) -> Option<Vec<(&'static str, String)>> {
    let mut out = Fields(Vec::new());
    match record {
        Record::Part(r) => {
            out.text("number", &r.number).text("description", &r.description).word("source", Some(r.source));
            out.word("hand", r.hand).maybe("opposite_of", r.opposite_of.as_ref()).maybe("drawing", r.drawing.as_ref());
            out.maybe("sheet", r.sheet.as_ref()).maybe("material", r.material.as_ref());
            out.maybe("temper", r.temper.as_ref()).maybe("thickness", r.thickness.as_ref());
            out.maybe("mass", r.mass.as_ref()).maybe("note", r.note.as_ref());
        }
        Record::Modification(r) => {
            out.text("number", &r.number).text("title", &r.title).maybe("class", r.class.as_ref());
            out.maybe("leaflet", r.leaflet.as_ref()).list("requires", &r.requires).list("excludes", &r.excludes);
            out.list("supersedes", &r.supersedes);
            out.forms(r.production.as_ref(), r.retrospective.as_ref());
            out.rows("parts", r.parts.iter().map(of_modification_part));
            out.rows("changes", r.changes.iter().map(of_change));
            out.maybe("note", r.note.as_ref());
        }
        Record::SerialBlock(r) => {
            out.text("serials", &r.serials).text("factory", &r.factory).maybe("model", r.model.as_ref());
            match &r.line {
                Some(Line::From(first)) => out.push("line", format!("From({first})")),
                Some(Line::Order(first, order)) => out.push("line", format!("Order({first}, {})", texts(order))),
                None => {}
            }
            out.maybe("note", r.note.as_ref());
        }
        Record::Survey(r) => {
            out.text("id", &r.id).text("jig", &r.jig).text("mark", &r.mark).text("date", &r.date);
            out.text("instrument", &r.instrument).text("uncertainty", &r.uncertainty);
            out.maybe("temperature", r.temperature.as_ref()).word("face", r.face);
            out.word("axes", (r.axes != Axes::Instrument).then_some(r.axes));
            out.rows("holes", r.holes.iter().map(of_hole));
        }
        Record::Type(_)
        | Record::Drawing(_)
        | Record::Assembly(_)
        | Record::OneOf(_)
        | Record::Frame(_)
        | Record::SkinJoint(_)
        | Record::Plate(_)
        | Record::Airframe(_)
        | Record::Evidence(_)
        | Record::Claim(_)
        | Record::Assumption(_)
        | Record::BuildState(_)
        | Record::Jig(_)
        | Record::MadePart(_)
        | Record::Concession(_)
        | Record::DeviationPermit(_)
        | Record::FormingTool(_)
        | Record::Decision(_) => return None,
    }
    Some(out.0)
}

fn of_modification_part(part: &ModificationPart) -> String {
    let mut inner = Fields(Vec::new());
    inner.text("part", &part.part).maybe("title", part.title.as_ref()).list("requires", &part.requires);
    inner.list("excludes", &part.excludes).list("supersedes", &part.supersedes);
    inner.forms(part.production.as_ref(), part.retrospective.as_ref());
    if !part.changes.is_empty() {
        let changes: Vec<String> = part.changes.iter().map(of_change).collect();
        inner.push("changes", format!("[{}]", changes.join(", ")));
    }
    inner.inline()
}

fn of_change(change: &LeafletChange) -> String {
    let mut inner = Fields(Vec::new());
    inner.word("form", change.form).maybe("position", change.position.as_ref());
    inner.list("delete", &change.delete).list("introduce", &change.introduce);
    inner.inline()
}

fn of_retrospective(retrospective: &Retrospective) -> String {
    let mut inner = Fields(Vec::new());
    inner.text("leaflet_date", &retrospective.leaflet_date);
    if let Some(eligible) = &retrospective.eligible {
        inner.push("eligible", texts(eligible));
    }
    inner.list("except", &retrospective.except);
    inner.inline()
}

fn of_production(production: &Production) -> String {
    let mut inner = Fields(Vec::new());
    inner.list("from", &production.from);
    let cut_ins = production.line.iter();
    let cut_ins = cut_ins.map(|cut| format!("(factory: {}, number: {})", quoted(&cut.factory), cut.number));
    let cut_ins: Vec<String> = cut_ins.collect();
    if !cut_ins.is_empty() {
        inner.push("line", format!("[{}]", cut_ins.join(", ")));
    }
    inner.list("ranges", &production.ranges).list("except", &production.except);
    inner.inline()
}

fn of_hole(hole: &MeasuredHole) -> String {
    let mut inner = Fields(Vec::new());
    inner.maybe("hole", hole.hole.as_ref()).text("x", &hole.x).text("y", &hole.y);
    inner.maybe("z", hole.z.as_ref()).maybe("diameter", hole.diameter.as_ref());
    inner.maybe("out_of_square", hole.out_of_square.as_ref());
    inner.inline()
}

/// Fields with their values as they are written.
struct Fields(Vec<(&'static str, String)>);

impl Fields {
    fn push(&mut self, name: &'static str, written: String) {
        self.0.push((name, written));
    }
    fn text(&mut self, name: &'static str, value: &str) -> &mut Self {
        self.push(name, quoted(value));
        self
    }
    fn maybe(&mut self, name: &'static str, value: Option<&String>) -> &mut Self {
        if let Some(value) = value {
            self.push(name, quoted(value));
        }
        self
    }
    fn word(&mut self, name: &'static str, value: Option<impl std::fmt::Debug>) -> &mut Self {
        if let Some(value) = value {
            self.push(name, format!("{value:?}"));
        }
        self
    }
    fn list(&mut self, name: &'static str, values: &[String]) -> &mut Self {
        if !values.is_empty() {
            self.push(name, texts(values));
        }
        self
    }
    fn forms(&mut self, production: Option<&Production>, retrospective: Option<&Retrospective>) {
        if let Some(production) = production {
            self.push("production", of_production(production));
        }
        if let Some(retrospective) = retrospective {
            self.push("retrospective", of_retrospective(retrospective));
        }
    }
    /// A list with a line for each; nothing where there is none.
    fn rows(&mut self, name: &'static str, rows: impl Iterator<Item = String>) {
        let lines: Vec<String> = rows.map(|row| format!("            {row},\n")).collect();
        if !lines.is_empty() {
            self.push(name, format!("[\n{}        ]", lines.concat()));
        }
    }
    fn inline(&self) -> String {
        let all: Vec<String> = self.0.iter().map(|(name, written)| format!("{name}: {written}")).collect();
        format!("({})", all.join(", "))
    }
}

fn quoted(text: &str) -> String {
    ron::to_string(text).expect("a text can be written")
}

fn texts(values: &[String]) -> String {
    format!("[{}]", values.iter().map(|value| quoted(value)).collect::<Vec<_>>().join(", "))
}

/// The records as a dossier file; `head` is a remark on its first line.
pub(super) fn file(head: &str, records: &[Record]) -> String {
    let head: String = head.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let mut text = format!("// {head}\n[\n");
    for record in records {
        writeln!(text, "    {}(", record.kind()).expect("a text takes every line");
        for (name, written) in fields(record).into_iter().flatten() {
            writeln!(text, "        {name}: {written},").expect("a text takes every line");
        }
        text.push_str("    ),\n");
    }
    text.push_str("]\n");
    text
}
