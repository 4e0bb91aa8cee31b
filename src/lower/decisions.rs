//! The decision book.

use super::Context;
use super::claims::{seen_nothing, seen_part};
use super::conditions::modification_by_form;
use super::say::Findings;
use super::shop::set_for;
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::BuildStateId;
use crate::model::{BookEntry, Decided, Decision, Model, Statement};
use crate::quantity::{Day, check_code};
use crate::{codes, schema};
use indexmap::IndexMap;

pub(super) fn lower(cx: &Context, model: &Model, out: &mut Findings) -> (Vec<Decision>, Vec<BookEntry>) {
    let mut book: Vec<(RecordRef, &schema::Decision)> = Vec::new();
    let mut first: IndexMap<u32, RecordRef> = IndexMap::new();
    for (record, raw) in &cx.records.decisions {
        if let Some(earlier) = first.get(&raw.number) {
            let message = format!("the decision {} is given twice", raw.number);
            out.add(
                Finding::new(codes::NAME_USED_TWICE, message, record.field("number"), "given again")
                    .label(earlier.field("number"), "given first here, and kept")
                    .help("number a new decision after the last one; a decision is never written over"),
            );
            continue;
        }
        first.insert(raw.number, *record);
        book.push((*record, raw));
    }
    book.sort_by_key(|(record, raw)| (raw.number, *record));
    // A decision that could not be read may bear any number that is missing.
    let short = cx.lost.may_be("Decision");
    if !short {
        numbered(&book, out);
    }
    let days: Vec<Option<Day>> = book.iter().map(|(record, raw)| day(*record, raw, out)).collect();
    in_order(&book, &days, out);
    withdrawals(&book, short, out);
    let seals = seals(&book, short, out);
    let (mut decisions, mut entries) = (Vec::new(), Vec::new());
    for (((record, raw), date), seal) in book.into_iter().zip(days).zip(seals) {
        entries.push(BookEntry { record, number: raw.number, seal });
        let decided = decided(cx, model, record, raw, out);
        if let (Some((airframe, state, decides)), Some(date)) = (decided, date) {
            let (number, by, because) = (raw.number, raw.by.clone(), raw.because.clone());
            decisions.push(Decision { record, number, airframe, date, by, decides, state, because });
        }
    }
    (decisions, entries)
}

/// Numbers that are missing: a decision was taken out of the book, or numbered past the next.
fn numbered(book: &[(RecordRef, &schema::Decision)], out: &mut Findings) {
    let mut next = 1;
    for (index, (record, raw)) in book.iter().enumerate() {
        if raw.number != next {
            let message = format!("decision {next} is missing from the book: the next one is {}", raw.number);
            let mut finding =
                Finding::new(codes::DECISIONS_NUMBERED, message, record.field("number"), format!("not {next}"));
            if let Some((before, _)) = index.checked_sub(1).map(|before| &book[before]) {
                finding = finding.label(before.field("number"), "the one before");
            }
            out.tell(finding.help("put back the decision that was taken out, or give this one the next number"));
        }
        next = raw.number.saturating_add(1);
    }
}

fn day(record: RecordRef, raw: &schema::Decision, out: &mut Findings) -> Option<Day> {
    let place = record.field("date");
    let window = out.window(&raw.date, &place)?;
    let day = window.day();
    if day.is_none() {
        let message = format!("decision {} is dated `{}`, which is not one day", raw.number, raw.date);
        out.add(
            Finding::new(codes::DECISION_DAY, message, place, "not one day")
                .help("give the day on which it was taken, as in `2021-04-19`"),
        );
    }
    day
}

fn in_order(book: &[(RecordRef, &schema::Decision)], days: &[Option<Day>], out: &mut Findings) {
    for (index, pair) in book.windows(2).enumerate() {
        let [(before, earlier), (record, later)] = pair else { continue };
        if let (Some(first), Some(second)) = (days[index], days[index + 1])
            && second < first
        {
            let message = format!(
                "decision {} is dated `{}`, before decision {} of `{}`",
                later.number, later.date, earlier.number, earlier.date
            );
            out.tell(
                Finding::new(codes::DECISIONS_BACKWARDS, message, record.field("date"), "earlier")
                    .label(before.field("date"), "than the one before it in the book")
                    .help("correct the date; a decision is entered behind those taken before it"),
            );
        }
    }
}

/// The seal of each decision, and what is found where an entry names another than that of the one before it.
///
/// Where the book is `short` of a decision that could not be read, a seal is not compared that may rest on it.
fn seals(book: &[(RecordRef, &schema::Decision)], short: bool, out: &mut Findings) -> Vec<String> {
    let mut seals: Vec<String> = Vec::new();
    // The last entry that named what it follows: what stands before it was looked at there.
    let mut looked_at = 0;
    // Whether the seal of the entry before is known: it was taken from what stands in the book alone.
    let mut sure = true;
    for (index, (record, raw)) in book.iter().enumerate() {
        let before = index.checked_sub(1).map(|at| (&book[at], seals[at].as_str()));
        if let Some(follows) = &raw.follows {
            let says =
                |message: String| Finding::new(codes::DECISION_CHANGED, message, record.field("follows"), "named");
            match before {
                _ if short && !sure => {}
                None if short && raw.number != 1 => {}
                None => out.tell(
                    says(format!("decision {} is the first of the book and follows none", raw.number))
                        .help("leave `follows` out"),
                ),
                // A number that is missing between them is reported already.
                Some(((_, earlier), seal)) if earlier.number + 1 == raw.number && follows != seal => {
                    let changed = match index - looked_at {
                        0 | 1 => format!("decision {} was", earlier.number),
                        _ => format!("one of the decisions {} to {} was", book[looked_at].1.number, earlier.number),
                    };
                    let message = format!(
                        "decision {} follows decision {} by the check code `{follows}`, which is now `{seal}`: {changed} \
                         changed since, unless the check code is mistyped",
                        raw.number, earlier.number
                    );
                    let mut finding = Finding::new(
                        codes::DECISION_CHANGED,
                        message,
                        book[index - 1].0.field("number"),
                        format!("its check code is now `{seal}`"),
                    );
                    finding = finding.label(record.field("follows"), "another check code");
                    out.tell(finding.help(format!(
                        "put back what stood there, and decide anew in a further entry; a mistyped check code is to be `{seal}`"
                    )));
                }
                Some(_) => {}
            }
            looked_at = index;
        }
        let follows_on = before.map_or(raw.number == 1, |((_, earlier), _)| sure && earlier.number + 1 == raw.number);
        sure = raw.follows.is_some() || follows_on;
        seals.push(seal(raw, before.map_or("", |(_, seal)| seal)));
    }
    seals
}

/// The seal of a decision: the check code of its fields in the order of the record. Of what it follows the text stands in it, as it was written, so
/// that a changed entry shows in the next one and in no other.
///
/// A check sum and no signature: whoever seals the whole book anew leaves no trace but in the history of the folder.
fn seal(raw: &schema::Decision, before: &str) -> String {
    let form = |form: Option<schema::Form>| form.map_or(String::new(), |form| format!("{form:?}"));
    let (kind, of, by) = match &raw.decides {
        schema::Decided::BuildTo(state) => ("BuildTo", state.clone(), String::new()),
        schema::Decided::Embodied(post) => ("Embodied", post.modification.clone(), form(post.by)),
        schema::Decided::NotEmbodied(modification) => ("NotEmbodied", modification.clone(), String::new()),
        schema::Decided::Fits(position, part) => ("Fits", position.clone(), part.clone()),
        schema::Decided::FitsNothing(position) => ("FitsNothing", position.clone(), String::new()),
        schema::Decided::Withdraw(number) => ("Withdraw", number.to_string(), String::new()),
    };
    let number = raw.number.to_string();
    let state = raw.state.as_deref().unwrap_or_default();
    let follows = raw.follows.as_deref().unwrap_or(before);
    check_code([&*number, &raw.airframe, &raw.date, &raw.by, kind, &of, &by, state, &raw.because, follows])
}

/// Each withdrawal names an earlier decision of the same airframe that still stands and is none itself.
fn withdrawals(book: &[(RecordRef, &schema::Decision)], short: bool, out: &mut Findings) {
    let mut withdrawn: IndexMap<u32, RecordRef> = IndexMap::new();
    for (record, raw) in book {
        let schema::Decided::Withdraw(number) = raw.decides else { continue };
        let place = record.field("decides").item(0);
        let earlier = book.iter().find(|(_, other)| other.number == number && other.number < raw.number);
        let says = |why: &str| {
            let message = format!("decision {} withdraws decision {number}, {why}", raw.number);
            Finding::new(codes::WITHDRAWS_NOTHING, message, place.clone(), "withdraws this one")
                .help("name the decision that no longer stands")
        };
        match earlier {
            None if short && number < raw.number && !book.iter().any(|(_, other)| other.number == number) => {}
            None => out.add(says("which does not stand before it in the book")),
            Some((at, other)) if other.airframe != raw.airframe => {
                out.add(says("which is of another airframe").label(at.field("airframe"), "of this airframe"));
            }
            Some((at, other)) if matches!(other.decides, schema::Decided::Withdraw(_)) => {
                out.add(says("which is a withdrawal itself: decide again instead").label(at.place(), "a withdrawal"));
            }
            Some(_) => {
                if let Some(first) = withdrawn.insert(number, *record) {
                    out.add(says("which was withdrawn already").label(first.field("decides"), "withdrawn here"));
                }
            }
        }
    }
}

type Lowered = (crate::ids::AirframeId, Option<BuildStateId>, Decided);

fn decided(
    cx: &Context,
    model: &Model,
    record: RecordRef,
    raw: &schema::Decision,
    out: &mut Findings,
) -> Option<Lowered> {
    cx.names.airframes.find(&raw.airframe, &record.field("airframe"), out)?;
    let place = record.field("decides");
    let state_of = |name: &str, place: &Place, out: &mut Findings| {
        let to = schema::SetFor { airframe: raw.airframe.clone(), build_state: name.to_owned() };
        set_for(cx, model, &to, place, out).map(|(_, state)| state)
    };
    let state = raw.state.as_ref().map(|name| state_of(name, &record.field("state"), out));
    let decides = match &raw.decides {
        schema::Decided::BuildTo(name) => state_of(name, &place.item(0), out).map(Decided::BuildTo),
        schema::Decided::Embodied(post) => {
            modification_by_form(cx, post, &place, out).map(|(m, form)| Decided::Embodied(m, form))
        }
        schema::Decided::NotEmbodied(name) => {
            cx.names.modification(name, &place.item(0), out).map(Decided::NotEmbodied)
        }
        schema::Decided::Fits(position, part) => {
            fitted(seen_part(cx, model, position, part, "to be fitted", &place, out).as_ref())
        }
        schema::Decided::FitsNothing(position) => {
            fitted(seen_nothing(cx, model, position, "to be", &place, out).as_ref())
        }
        schema::Decided::Withdraw(number) => Some(Decided::Withdraw(*number)),
    };
    let airframe = model.airframes.id(&raw.airframe)?;
    match state {
        Some(None) => None,
        Some(Some(state)) => Some((airframe, Some(state), decides?)),
        None => Some((airframe, None, decides?)),
    }
}

fn fitted(seen: Option<&Statement>) -> Option<Decided> {
    let Some(Statement::SeenAt(position, candidate)) = seen else { return None };
    Some(Decided::Fits(*position, *candidate))
}
