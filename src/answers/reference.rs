//! The reference of the records, from the one definition of each: as text, as Markdown and as JSON.

use super::book::entry_page;
use crate::codes;
use crate::finding::{Place, RecordRef};
use crate::layout::{Page, PageTable, severity_word};
use crate::schema::{KINDS, MadeOf, PlainValue, RecordKind, RecordShape, ShapeField, ShapeWord, Takes, VALUES, What};
use crate::source::{Reading, read_texts};
use serde_json::{Value as Json, json};

/// A sound project with a record of every kind, the most telling one of each first.
const EXAMPLES: &str = include_str!("../../configs/examples.ron");

/// What the reference has a page on.
#[derive(Clone, Copy, Debug)]
pub enum Topic {
    /// A kind of record.
    Kind(&'static RecordKind),
    /// A shape within records.
    Shape(&'static RecordShape),
    /// A kind of plain value.
    Value(&'static PlainValue),
}

impl Topic {
    /// Everything that there is a page on.
    pub fn all() -> impl Iterator<Item = Topic> {
        let kinds = KINDS.iter().map(Topic::Kind);
        kinds.chain(all_shapes().into_iter().map(Topic::Shape)).chain(VALUES.iter().copied().map(Topic::Value))
    }
    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Topic::Kind(kind) => kind.name,
            Topic::Shape(shape) => shape.name,
            Topic::Value(value) => value.name,
        }
    }
    /// Its page.
    #[must_use]
    pub fn page(self) -> Page {
        let mut page = Page::titled(self.name());
        let shapes = match self {
            Topic::Kind(kind) => {
                page.append(of_kind(kind));
                shapes_in(&[(kind.shape)()])
            }
            Topic::Shape(shape) => {
                page.append(of_shape(shape));
                shapes_in(&[shape])
            }
            Topic::Value(value) => {
                page.gap();
                page.say(said(value.doc));
                page.gap();
                page.say(format!("For instance {}.", value.examples.join(", ")));
                return page;
            }
        };
        for shape in shapes.iter().skip(1) {
            page.heading(shape.name);
            page.append(of_shape(shape));
        }
        let values: Vec<&PlainValue> = VALUES.iter().copied().filter(|value| takes_value(&shapes, value)).collect();
        if !values.is_empty() {
            page.heading("How values are written");
            page.append(of_values(&values));
        }
        if let Topic::Kind(kind) = self {
            page.gap();
            page.example(example(kind));
        }
        page
    }
}

/// What docs say, in one line.
fn said(doc: &[&str]) -> String {
    doc.iter().map(|line| line.trim()).collect::<Vec<_>>().join(" ").trim().to_owned()
}

fn of_kind(kind: &RecordKind) -> Page {
    let shape = (kind.shape)();
    let where_to = format!(
        "Known by its `{}`. It may stand in any `.ron` file of the project; a good place is `{}`.",
        kind.named_by, kind.file
    );
    // The first paragraph of the shape says no more than the kind does.
    let more = shape.doc.split(|line| line.is_empty()).skip(1).map(said);
    let mut page = Page::default();
    for sentence in [said(kind.doc)].into_iter().chain(more).chain([where_to]) {
        page.gap();
        page.say(sentence);
    }
    page.append(table_of(shape));
    page
}

fn of_shape(shape: &RecordShape) -> Page {
    let mut page = Page::default();
    page.gap();
    page.say(said(shape.doc));
    page.append(table_of(shape));
    page
}

fn table_of(shape: &RecordShape) -> Page {
    let table: PageTable = match &shape.made_of {
        MadeOf::Fields(fields) => PageTable::of(*fields)
            .words("Field", |field| field.name.to_owned())
            .words("Takes", |field| takes(&field.takes))
            .words("Needed", |field| if field.takes.may_be_left_out { "no" } else { "yes" }.to_owned())
            .words("Meaning", |field| said(field.doc))
            .into(),
        MadeOf::Words(words) => {
            let mut table = PageTable::of(*words).words("Word", |word| spelled(word).0);
            if words.iter().any(|word| !spelled(word).1.is_empty()) {
                table = table.words("Takes", |word| spelled(word).1);
            }
            let meaning = |word: &ShapeWord| {
                let docs = word.fields.iter().map(|field| format!(" `{}`: {}", field.name, said(field.doc)));
                said(word.doc) + &docs.collect::<String>()
            };
            table.words("Meaning", meaning).into()
        }
    };
    let mut page = Page::default();
    page.gap();
    page.table(table);
    page
}

fn of_values(values: &[&PlainValue]) -> Page {
    let mut page = Page::default();
    page.gap();
    page.table(
        PageTable::of(values.iter().copied())
            .words("Value", |value| value.name.to_owned())
            .words("How it is written", |value| said(value.doc))
            .words("For instance", |value| value.examples.join(" ")),
    );
    page
}

/// The values in the brackets of a word, each with what it is.
fn behind(word: &ShapeWord) -> Vec<(&'static str, Takes)> {
    match word.values {
        [(_, Takes { what: What::Each(all), .. })] => all.to_vec(),
        values => values.iter().copied().chain(word.fields.iter().map(|field| (field.name, field.takes))).collect(),
    }
}

/// A word as it is written, and what stands in its brackets.
fn spelled(word: &ShapeWord) -> (String, String) {
    let all = behind(word);
    if all.is_empty() {
        return (word.name.to_owned(), String::new());
    }
    let written = |(name, of): &(&str, Takes)| match (word.fields.is_empty(), of.is_list) {
        (true, false) => (*name).to_owned(),
        (true, true) => format!("[{name}, …]"),
        (false, false) => format!("{name}: …"),
        (false, true) => format!("{name}: […]"),
    };
    let names: Vec<String> = all.iter().map(written).collect();
    (format!("{}({})", word.name, names.join(", ")), each(&all))
}

fn each(all: &[(&str, Takes)]) -> String {
    let one = |(name, of): &(&str, Takes)| {
        format!("{name}: {}{}", takes(of), if of.may_be_left_out { " (may be left out)" } else { "" })
    };
    all.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What a field takes, in words.
fn takes(of: &Takes) -> String {
    let one = match of.what {
        What::Value(value) => value.name.to_owned(),
        What::NameOf(name) => {
            let by = KINDS.iter().find(|kind| kind.name == name).map_or("name", |kind| kind.named_by);
            let article = if name.starts_with(['A', 'E']) { "an" } else { "a" };
            format!("{by} of {article} {name}")
        }
        What::Shape(shape) => shape().name.to_owned(),
        What::Each(all) => format!("({})", each(all)),
    };
    if of.is_list { format!("list: {one}") } else { one }
}

/// What the fields and words of a shape take.
fn taken(shape: &RecordShape) -> Vec<Takes> {
    let mut all: Vec<Takes> = match &shape.made_of {
        MadeOf::Fields(fields) => fields.iter().map(|field| field.takes).collect(),
        MadeOf::Words(words) => words.iter().flat_map(behind).map(|(_, takes)| takes).collect(),
    };
    let inner = all.iter().filter_map(|takes| if let What::Each(inner) = takes.what { Some(inner) } else { None });
    let inner: Vec<Takes> = inner.flatten().map(|(_, takes)| *takes).collect();
    all.extend(inner);
    all
}

/// These shapes and those within them, each once.
fn shapes_in(of: &[&'static RecordShape]) -> Vec<&'static RecordShape> {
    let mut found = of.to_vec();
    let mut next = 0;
    while let Some(shape) = found.get(next).copied() {
        for takes in taken(shape) {
            if let What::Shape(inner) = takes.what
                && !found.iter().any(|known| known.name == inner().name)
            {
                found.push(inner());
            }
        }
        next += 1;
    }
    found
}

/// The shapes that are no record themselves, in the order of the records that they stand in.
fn all_shapes() -> Vec<&'static RecordShape> {
    let records: Vec<&'static RecordShape> = KINDS.iter().map(|kind| (kind.shape)()).collect();
    shapes_in(&records).into_iter().filter(|shape| !records.iter().any(|record| record.name == shape.name)).collect()
}

fn takes_value(shapes: &[&RecordShape], value: &PlainValue) -> bool {
    let is = |takes: Takes| matches!(takes.what, What::Value(of) if of.name == value.name);
    shapes.iter().flat_map(|shape| taken(shape)).any(is)
}

/// The project of the examples.
fn examples() -> Reading {
    read_texts(vec![("type/type.ron".into(), EXAMPLES.to_owned())])
}

/// The first record of a kind among the examples, as it is written.
fn example(kind: &RecordKind) -> String {
    let reading = examples();
    let first = reading.records.iter().find(|(_, record)| record.kind() == kind.name);
    let (at, _): &(RecordRef, _) = first.expect("a test holds that the examples have a record of each kind");
    let (file, span) = reading.sources.extent(&Place::Record(*at, Vec::new()));
    let text = reading.sources.file(file).text.get(span).unwrap_or_default();
    text.replace("\n    ", "\n")
}

/// The kinds of record, a line each.
#[must_use]
pub fn kinds_page() -> Page {
    let mut page = Page::default();
    page.table(
        PageTable::of(KINDS).words("Record", |kind| kind.name.to_owned()).words("What it is", |kind| said(kind.doc)),
    );
    page
}

/// All kinds of record and all codes, a line each.
#[must_use]
pub fn book_page() -> Page {
    let mut page = kinds_page();
    page.gap();
    let rows = codes::all().map(|code| {
        let entry = code.entry();
        [entry.code, severity_word(entry.severity), entry.title].map(str::to_owned)
    });
    page.table(PageTable::made(["Code", "Severity", "Finding"], rows));
    page.gap();
    page.say("`modstate explain RECORD` or `modstate explain CODE` tells more of one.");
    page
}

/// A page as an object: `name`, `what`; of a record `file`, `named_by` and `example`; `fields` or `words`, each with `name`,
/// `meaning` and what it takes; of a value `examples`.
#[must_use]
pub fn topic_json(topic: Topic) -> Json {
    let of_shape = |shape: &RecordShape| match &shape.made_of {
        MadeOf::Fields(fields) => ("fields", fields.iter().map(field_json).collect::<Json>()),
        MadeOf::Words(words) => ("words", words.iter().map(word_json).collect::<Json>()),
    };
    match topic {
        Topic::Kind(kind) => {
            let (_, fields) = of_shape((kind.shape)());
            json!({
                "name": kind.name, "what": said(kind.doc), "file": kind.file, "named_by": kind.named_by,
                "fields": fields, "example": example(kind),
            })
        }
        Topic::Shape(shape) => {
            let (name, all) = of_shape(shape);
            json!({ "name": shape.name, "what": said(shape.doc), name: all })
        }
        Topic::Value(value) => json!({ "name": value.name, "what": said(value.doc), "examples": value.examples }),
    }
}

fn field_json(field: &ShapeField) -> Json {
    let mut object = takes_json(field.name, &field.takes);
    object["meaning"] = json!(said(field.doc));
    object
}

fn word_json(word: &ShapeWord) -> Json {
    let values: Vec<Json> = match word.fields {
        [] => behind(word).iter().map(|(name, takes)| takes_json(name, takes)).collect(),
        _ => Vec::new(),
    };
    let fields: Vec<Json> = word.fields.iter().map(field_json).collect();
    json!({ "name": word.name, "meaning": said(word.doc), "values": values, "fields": fields })
}

fn takes_json(name: &str, of: &Takes) -> Json {
    let one = Takes { is_list: false, ..*of };
    json!({ "name": name, "takes": takes(&one), "is_list": of.is_list, "may_be_left_out": of.may_be_left_out })
}

/// The whole reference as one Markdown file.
#[must_use]
pub fn reference_markdown() -> String {
    let mut text = String::from(
        "# Reference\n\nWhat a dossier may hold, and what `modstate check` may find in it. A file of a project is a list of \
         records in square brackets; what stands behind two slashes is a remark. `list: Hole` is any number of those in square \
         brackets; what has fields of its own stands in round brackets. `modstate explain --markdown` prints this page, `modstate explain Claim` the part on one record. The examples are invented and make one small project \
         together.\n\n## Records\n",
    );
    for kind in KINDS {
        let mut page = Page::titled(kind.name);
        page.append(of_kind(kind));
        page.example(example(kind));
        text.push_str(&page.plain().markdown(3));
    }
    text.push_str("\n## Within records\n");
    for shape in all_shapes() {
        let mut page = Page::titled(shape.name);
        page.append(of_shape(shape));
        text.push_str(&page.plain().markdown(3));
    }
    let mut values = Page::titled("How values are written");
    values.append(of_values(VALUES));
    text.push_str(&values.plain().markdown(2));
    text.push_str("\n## Findings\n");
    for code in codes::all() {
        text.push_str(&entry_page(code).plain().markdown(3));
    }
    text
}
