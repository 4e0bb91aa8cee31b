//! Two JSON answers, row by row.

use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// What comparing came to.
#[derive(Clone, Debug, Default)]
pub(crate) struct Compared {
    /// Rows that are marked, or missing from an answer that says that something was not read.
    pub marked: usize,
    pub faults: Vec<Fault>,
}

/// A difference that the slipped answer does not own up to.
#[derive(Clone, Debug)]
pub(crate) struct Fault {
    pub why: &'static str,
    pub row: String,
    pub sound: String,
    pub slipped: String,
}

/// Words that settle something; a marked row may not bring one up.
const SETTLING: [&str; 8] =
    ["right", "embodied", "not embodied", "settled", "matches", "wrong variant", "surplus", "not-needed"];
/// Fields that tell a row from its neighbours.
const TELLING: [&str; 22] = [
    "number",
    "name",
    "id",
    "serial",
    "airframe",
    "assembly",
    "position",
    "find",
    "part",
    "station",
    "mark",
    "plate",
    "jig",
    "survey",
    "hole",
    "kind",
    "file",
    "reference",
    "question",
    "modification",
    "material",
    "thickness",
];

#[derive(Clone)]
struct Place {
    path: String,
    in_row: bool,
    marked: bool,
    owned_up: bool,
}

/// Compares two answers to the same question.
pub(crate) fn compare(sound: &Value, slipped: &Value) -> Compared {
    let mut compared = Compared::default();
    let place = Place { path: String::new(), in_row: false, marked: false, owned_up: owns_up(slipped) };
    if let (Value::Array(a), Value::Array(b)) = (sound, slipped) {
        let left = paired(a, b, |one, other| {
            let place = Place { path: key(one), owned_up: says_not_read(other), ..place.clone() };
            walk(&mut compared, one, other, &place);
        });
        rest(&mut compared, left, &place);
    } else {
        walk(&mut compared, sound, slipped, &place);
    }
    compared
}

/// Whether an answer or a row says that something was not read.
pub(crate) fn says_not_read(value: &Value) -> bool {
    value.get("not_read").and_then(Value::as_array).is_some_and(|list| !list.is_empty())
}

/// Whether an answer, or any of a list of answers, says that something was not read.
pub(crate) fn owns_up(value: &Value) -> bool {
    says_not_read(value) || value.as_array().is_some_and(|list| list.iter().any(says_not_read))
}

/// How many rows a value holds: objects that stand in a list.
pub(crate) fn rows_in(value: &Value) -> usize {
    match value {
        Value::Array(list) => list.iter().map(|one| usize::from(one.is_object()) + rows_in(one)).sum(),
        Value::Object(fields) => fields.iter().filter(|(name, _)| *name != "not_read").map(|(_, v)| rows_in(v)).sum(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => 0,
    }
}

fn walk(compared: &mut Compared, sound: &Value, slipped: &Value, place: &Place) {
    match (sound, slipped) {
        (Value::Object(a), Value::Object(b)) => fields(compared, a, b, place),
        (Value::Array(a), Value::Array(b)) => list(compared, a, b, place),
        (a, b) if a == b => {}
        (a, b) => changed(compared, a, b, place),
    }
}

fn fields(compared: &mut Compared, a: &Map<String, Value>, b: &Map<String, Value>, place: &Place) {
    let names: BTreeSet<&String> = a.keys().chain(b.keys()).filter(|name| *name != "not_read").collect();
    // A form's fingerprint is a check code of the rest of it, which is compared. Two sheets of the book list or count what was
    // found, and so tell of the slip itself.
    let tells_of_slip = ["Cover", "Findings"].map(Value::from);
    let derived = place.path.is_empty() || b.get("sheet").is_some_and(|sheet| tells_of_slip.contains(sheet));
    for name in names.into_iter().filter(|name| !(derived && *name == "fingerprint")) {
        let below = Place { path: format!("{}.{name}", place.path), ..place.clone() };
        walk(compared, a.get(name).unwrap_or(&Value::Null), b.get(name).unwrap_or(&Value::Null), &below);
    }
}

fn list(compared: &mut Compared, a: &[Value], b: &[Value], place: &Place) {
    let left = paired(a, b, |one, other| {
        let marked = place.marked || says_not_read(other);
        if marked {
            compared.marked += 1;
        }
        let path = format!("{}[{}]", place.path, key(one));
        walk(compared, one, other, &Place { path, in_row: true, marked, ..place.clone() });
    });
    rest(compared, left, place);
}

/// Pairs the rows of two lists: first the equal ones, then those of the same key; gives what is left of both.
fn paired<'a>(
    a: &'a [Value],
    b: &'a [Value],
    mut pair: impl FnMut(&'a Value, &'a Value),
) -> (Vec<&'a Value>, Vec<&'a Value>) {
    let (mut left, mut right) = (Vec::new(), b.iter().collect::<Vec<_>>());
    for one in a {
        match right.iter().position(|other| *other == one) {
            Some(at) => drop(right.remove(at)),
            None => left.push(one),
        }
    }
    left.retain(|one| {
        let same = one.is_object().then(|| key(one));
        match right.iter().position(|other| other.is_object() && Some(key(other)) == same) {
            Some(at) => {
                pair(one, right.remove(at));
                false
            }
            None => true,
        }
    });
    (left, right)
}

/// Rows that only one of the answers has.
fn rest(compared: &mut Compared, (missing, added): (Vec<&Value>, Vec<&Value>), place: &Place) {
    for one in missing {
        let is_row = one.is_object();
        if is_row {
            compared.marked += 1 + rows_in(one);
        }
        if !(place.marked || place.owned_up && (is_row || !place.in_row)) {
            compared.fault("a row is missing, and nothing is said of it", place, &key(one), (one, &Value::Null));
        }
    }
    for one in added {
        let excused = place.marked || says_not_read(one) || !one.is_object() && !place.in_row && place.owned_up;
        if !excused {
            compared.fault(
                "a row that the sound answer has not, without a mark",
                place,
                &key(one),
                (&Value::Null, one),
            );
        }
    }
}

fn changed(compared: &mut Compared, sound: &Value, slipped: &Value, place: &Place) {
    let settles = slipped.as_str().is_some_and(|word| SETTLING.contains(&word));
    if place.marked && settles {
        compared.fault("a marked row settles what the sound one does not", place, "", (sound, slipped));
    } else if !place.marked && (place.in_row || !place.owned_up) {
        compared.fault("changed without a mark", place, "", (sound, slipped));
    } else if place.path.ends_with(".contradicted") && slipped == &Value::Bool(true) {
        compared.fault("says that the records contradict each other", place, "", (sound, slipped));
    }
}

impl Compared {
    fn fault(&mut self, why: &'static str, place: &Place, key: &str, (sound, slipped): (&Value, &Value)) {
        let row = if key.is_empty() { place.path.clone() } else { format!("{}[{key}]", place.path) };
        self.faults.push(Fault { why, row, sound: sound.to_string(), slipped: slipped.to_string() });
    }
}

fn key(row: &Value) -> String {
    let Some(fields) = row.as_object() else { return row.to_string() };
    let said = TELLING.iter().filter_map(|name| fields.get(*name)).filter(|value| value.is_string() || value.is_u64());
    said.map(|value| value.as_str().map_or_else(|| value.to_string(), str::to_owned)).collect::<Vec<_>>().join(" ")
}
