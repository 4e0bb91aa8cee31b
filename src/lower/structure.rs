//! The drawing register, parts and positions.

use super::names::{PositionName, drawing_name};
use super::say::{Findings, listed};
use super::{Context, conditions};
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{DrawingId, PartId, Table};
use crate::model::{Candidate, Drawing, Issue, Model, Part, Position};
use crate::quantity::{Length, Mass};
use crate::schema::Hand;
use crate::{codes, schema};
use indexmap::IndexMap;

pub(super) fn drawings(cx: &Context, out: &mut Findings) -> Table<DrawingId, Drawing> {
    let mut table = Table::default();
    for (name, _, (record, raw)) in cx.names.drawings.iter() {
        let issues = issues(cx, *record, raw, out);
        if raw.issues.is_empty() {
            let message = format!("the drawing `{name}` has no issue");
            out.add(
                Finding::new(codes::NO_ISSUES, message, record.field("issues"), "no issue")
                    .help("add its issues from the title block"),
            );
        }
        if issues.is_empty() {
            continue;
        }
        let held = raw.held.as_ref().map(|held| self::held(*record, name, raw, &issues, held, out));
        let (number, sheet, title) = (raw.number.clone(), raw.sheet.clone(), raw.title.clone());
        let drawing = Drawing { record: *record, number, sheet, title, issues, held };
        table.insert(name, drawing).expect("listed names are unique");
    }
    table
}

fn issues(cx: &Context, record: RecordRef, raw: &schema::Drawing, out: &mut Findings) -> Vec<Issue> {
    let mut issues: Vec<Issue> = Vec::new();
    let mut written: IndexMap<&str, Place> = IndexMap::new();
    for (index, issue) in raw.issues.iter().enumerate() {
        let place = record.field("issues").item(index);
        if let Some(first) = written.get(issue.issue.as_str()) {
            let message = format!("the issue `{}` of `{}` is given twice", issue.issue, raw.number);
            out.add(
                Finding::new(codes::NAME_USED_TWICE, message, place.field("issue"), "given again")
                    .label(first.clone(), "given first here, and kept")
                    .help("remove one of the two, or correct its letter"),
            );
            continue;
        }
        written.insert(&issue.issue, place.field("issue"));
        let raised = issue.raised_by.as_ref();
        let raised_by = raised.map(|name| cx.names.modification(name, &place.field("raised_by"), out));
        let date = out.window(&issue.date, &place.field("date"));
        let (Some(date), None | Some(Some(_))) = (date, raised_by) else { continue };
        if let Some(before) = issues.last()
            && let (Some(earlier), Some(later)) = (before.date.start, date.end)
            && later < earlier
        {
            let message = format!(
                "issue `{}` of `{}` is dated `{}`, before issue `{}` of `{}`, which stands above it",
                issue.issue, raw.number, date.text, before.issue, before.date.text
            );
            let mut finding = Finding::new(codes::ISSUES_BACKWARDS, message, place.field("date"), "earlier");
            let above = raw.issues.iter().position(|other| other.issue == before.issue);
            if let Some(above) = above {
                finding = finding.label(record.field("issues").item(above).field("date"), "than this");
            }
            out.add(finding.help("correct the date, or list the issues in the order of issue"));
        }
        let (issue, interchangeable) = (issue.issue.clone(), issue.interchangeable);
        issues.push(Issue { issue, date, raised_by: raised_by.flatten(), interchangeable });
    }
    issues
}

fn held(
    record: RecordRef,
    name: &str,
    raw: &schema::Drawing,
    issues: &[Issue],
    held: &[String],
    out: &mut Findings,
) -> Vec<usize> {
    let mut indices = Vec::new();
    for (index, wanted) in held.iter().enumerate() {
        match issues.iter().position(|issue| issue.issue == *wanted) {
            Some(found) => indices.push(found),
            None if raw.issues.iter().any(|issue| issue.issue == *wanted) => {
                out.leave_out(record.field("held").item(index));
            }
            None => out.add(unknown_issue(name, wanted, record.field("held").item(index), record, issues)),
        }
    }
    indices
}

/// An issue that a drawing does not have.
pub(super) fn unknown_issue(name: &str, wanted: &str, place: Place, record: RecordRef, issues: &[Issue]) -> Finding {
    let there = listed(issues.iter().map(|issue| issue.issue.as_str()), "and");
    Finding::new(codes::UNKNOWN_ISSUE, format!("the drawing `{name}` has no issue `{wanted}`"), place, "no such issue")
        .label(record.field("issues"), format!("its issues are {there}"))
        .help("correct the issue, or add it to the drawing's record")
}

pub(super) fn parts(cx: &Context, drawings: &Table<DrawingId, Drawing>, out: &mut Findings) -> Table<PartId, Part> {
    let mut table = Table::default();
    for (number, place, read) in cx.names.parts.iter() {
        let assembly = cx.names.assemblies.index(number).map(|at| cx.names.assemblies.get(at).1.0);
        let Some((record, raw)) = read else {
            table.insert(number, Part::lost(place.clone(), assembly)).expect("listed names are unique");
            continue;
        };
        let thickness = raw.thickness.as_ref();
        let part = Part {
            place: record.place(),
            description: raw.description.clone(),
            hand: raw.hand,
            opposite: None,
            drawing: drawing(cx, *record, raw, drawings, out),
            material: raw.material.clone(),
            temper: raw.temper.clone(),
            thickness: thickness.and_then(|text| out.size("thickness", text, cx.config, &record.field("thickness"))),
            finish: raw.finish.clone(),
            source: Some(raw.source),
            mass: raw.mass.as_ref().and_then(|text| out.read(Mass::parse(text), &record.field("mass"))),
            tools: raw.tools.clone(),
            flat: super::sheet::flat(cx, *record, raw, out),
            expansion: out.expansion(raw.expansion.as_ref(), &record.field("expansion")),
            positions: Vec::new(),
            assembly,
        };
        table.insert(number, part).expect("listed names are unique");
    }
    hands(cx, &mut table, out);
    table
}

fn drawing(
    cx: &Context,
    record: RecordRef,
    raw: &schema::Part,
    drawings: &Table<DrawingId, Drawing>,
    out: &mut Findings,
) -> Option<DrawingId> {
    let Some(number) = &raw.drawing else {
        if let Some(sheet) = &raw.sheet {
            let message = format!("`{}` names sheet `{sheet}`, but not of which drawing", raw.number);
            out.add(
                Finding::new(codes::SHEET_WITHOUT_DRAWING, message, record.field("sheet"), "of which drawing?")
                    .help("name the drawing as well"),
            );
        }
        return None;
    };
    let name = drawing_name(number, raw.sheet.as_deref());
    if let Some(id) = drawings.id(&name) {
        return Some(id);
    }
    let of_number = cx.names.drawings.iter().filter(|(_, _, (_, other))| other.number == *number);
    let sheets: Vec<(&str, &Place)> = of_number.map(|(name, place, _)| (name, place)).collect();
    if let ([(_, one), ..], None, None) = (&sheets[..], cx.names.drawings.index(&name), &raw.sheet) {
        let sheets = sheets.iter().map(|(name, _)| *name);
        let message = format!("the register has `{number}` by sheets, and `{}` does not say which", raw.number);
        out.add(
            Finding::new(codes::UNKNOWN_DRAWING, message, record.field("drawing"), "which sheet?")
                .label((*one).clone(), "one of its sheets")
                .help(format!("add `sheet`; the register has {}", listed(sheets, "and"))),
        );
        return None;
    }
    // One that is there has no issue that could be read.
    if cx.names.drawings.find(&name, &record.field("drawing"), out).is_some() {
        out.leave_out(record.field("drawing"));
    }
    None
}

/// Sets opposites on both sides, and the hand that follows from the other's.
fn hands(cx: &Context, table: &mut Table<PartId, Part>, out: &mut Findings) {
    let mut recorded: IndexMap<PartId, (PartId, Place)> = IndexMap::new();
    let mut pairs = Vec::new();
    for (number, _, read) in cx.names.parts.iter() {
        let Some((record, raw)) = read else { continue };
        let Some(other) = &raw.opposite_of else { continue };
        let place = record.field("opposite_of");
        let Some(b) = cx.names.part(other, &place, out) else { continue };
        // Of a lost one the hand is not known, nor what follows from it.
        if table[b].source.is_none() {
            out.leave_out_for(other, place);
            continue;
        }
        let a = table.id(number).expect("every listed part is in the table");
        if a == b {
            let message = format!("`{number}` is recorded as its own opposite hand");
            let finding = Finding::new(codes::OWN_OPPOSITE, message, place, "the part itself");
            out.add(finding.help("name the other part of the pair"));
            continue;
        }
        let taken = [(a, b), (b, a)].into_iter().find_map(|(part, with)| {
            recorded.get(&part).filter(|(before, _)| *before != with).map(|(before, at)| (part, *before, with, at))
        });
        if let Some((part, before, with, at)) = taken {
            let message = format!(
                "`{}` is recorded as the opposite hand of `{}` and of `{}`",
                table.name(part),
                table.name(before),
                table.name(with)
            );
            out.add(
                Finding::new(codes::TWO_OPPOSITES, message, place, "one pair")
                    .label(at.clone(), "the other pair")
                    .help("correct one of the two `opposite_of`"),
            );
        } else if !recorded.contains_key(&a) {
            recorded.insert(a, (b, place.clone()));
            recorded.insert(b, (a, place.clone()));
            pairs.push((a, b, place));
        }
    }
    for (a, b, place) in pairs {
        let hands = (table[a].hand, table[b].hand);
        let (hand_a, hand_b) = match hands {
            (None, None) => {
                out.add(no_hand(table, a, b, place));
                continue;
            }
            (Some(one), Some(other)) if one == other => {
                out.add(one_side(table, a, b, one));
                continue;
            }
            (Some(one), Some(other)) => (one, other),
            (Some(one), None) => (one, other_hand(one)),
            (None, Some(other)) => (other_hand(other), other),
        };
        for (part, hand, opposite) in [(a, hand_a, b), (b, hand_b, a)] {
            let part = table.get_mut(part);
            part.hand = Some(hand);
            part.opposite = Some(opposite);
        }
    }
}

fn other_hand(hand: Hand) -> Hand {
    match hand {
        Hand::Port => Hand::Starboard,
        Hand::Starboard => Hand::Port,
    }
}

fn no_hand(table: &Table<PartId, Part>, a: PartId, b: PartId, place: Place) -> Finding {
    let (one, other) = (table.name(a), table.name(b));
    let message = format!("`{one}` and `{other}` are opposite hands, but neither says for which side it is");
    Finding::new(codes::PAIR_WITHOUT_HAND, message, place, "the pair is recorded here")
        .label(table[b].place.field("hand"), format!("no `hand` in `{other}`"))
        .help("give `hand: Port` or `hand: Starboard` to one of the two, from its drawing")
}

fn one_side(table: &Table<PartId, Part>, a: PartId, b: PartId, hand: Hand) -> Finding {
    let side = match hand {
        Hand::Port => "port",
        Hand::Starboard => "starboard",
    };
    let (one, other) = (table.name(a), table.name(b));
    let message = format!("`{one}` and `{other}` are opposite hands, but both are said to be for {side}");
    Finding::new(codes::OPPOSITE_HANDS_SWAPPED, message, table[a].place.field("hand"), format!("{side} here"))
        .label(table[b].place.field("hand"), format!("{side} here too"))
        .help("correct one of the hands from its drawing")
}

/// Fills the table of positions, and each assembly's list of them in the order written.
pub(super) fn positions(cx: &Context, model: &mut Model, out: &mut Findings) {
    for (name, _, found) in cx.names.positions.iter() {
        if let Some(position) = position(cx, name, found, out) {
            model.positions.insert(name, position).expect("listed names are unique");
        }
    }
    for (part, _, (record, assembly)) in cx.names.assemblies.iter() {
        let Some(part_id) = model.parts.id(part) else { continue };
        for (index, raw) in assembly.positions.iter().enumerate() {
            let position = model.positions.id(&format!("{part}/{}", raw.find));
            // The second of two positions of one name is not in the table.
            let place = record.field("positions").item(index);
            let position = position.filter(|position| model.positions[*position].place == place);
            model.parts.get_mut(part_id).positions.extend(position);
        }
    }
}

fn position(cx: &Context, name: &str, found: &PositionName, out: &mut Findings) -> Option<Position> {
    let PositionName { assembly, place, raw } = found;
    let quantity = quantity(raw.quantity, name, &place.field("quantity"), out);
    let station: Option<Length> =
        raw.station.as_ref().and_then(|text| out.length(text, cx.config, &place.field("station")));
    let nothing_when =
        raw.nothing_when.as_ref().and_then(|when| conditions::lower(cx, when, &place.field("nothing_when"), out));
    if raw.candidates.is_empty() {
        let message = format!("nothing can be fitted at `{name}`: it lists no candidates");
        out.add(
            Finding::new(codes::NOTHING_TO_FIT, message, place.field("candidates"), "no candidates")
                .help("list the parts that may be fitted there, or remove the position"),
        );
    }
    let quantity = quantity.filter(|_| !raw.candidates.is_empty());
    let mut candidates = Vec::new();
    for (index, candidate) in raw.candidates.iter().enumerate() {
        let place = place.field("candidates").item(index);
        let part = cx.names.part(&candidate.part, &place.field("part"), out);
        let when = conditions::optional(cx, candidate.when.as_ref(), &place.field("when"), out);
        let own = match candidate.quantity {
            Some(_) => self::quantity(candidate.quantity, &candidate.part, &place.field("quantity"), out),
            None => quantity,
        };
        if let (Some(part), Some(when), Some(quantity)) = (part, when, own) {
            candidates.push(Candidate { part, when, quantity });
        }
    }
    Some(Position {
        place: place.clone(),
        assembly: *assembly,
        find: raw.find.clone(),
        name: raw.name.clone(),
        quantity: quantity?,
        station,
        candidates,
        nothing_when,
    })
}

/// A quantity, 1 where it is left out.
pub(super) fn quantity(written: Option<u32>, of: &str, place: &Place, out: &mut Findings) -> Option<u32> {
    if written == Some(0) {
        out.add(
            Finding::new(codes::QUANTITY_ZERO, format!("the quantity of `{of}` is 0"), place.clone(), "none at all")
                .help("give the quantity; what is not there is not entered, and a position that may be empty has `nothing_when`"),
        );
        return None;
    }
    Some(written.unwrap_or(1))
}
