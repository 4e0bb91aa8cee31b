//! A bill as JSON.

use super::words;
use crate::answers::permits::{Permission, permissions};
use crate::bill::{
    Amount, Bill, BillLine, BillScope, LineChoice, LineItem, LineState, MassTotal, MaterialTotal, Total,
};
use crate::ids::{DrawingId, PartId};
use crate::model::{Marks, Model};
use crate::prop::Limit;
use crate::resolve::{Basis, IssueView, PossibleIssue};
use crate::words::condition_text;
use serde_json::{Value, json};

/// A bill for other programs: the whole of it, whichever way it is shown.
///
/// The shape is stable. An object of
/// - `airframe` (its serial), `date`, `build_state` (a name or `null`), `basis` (`"firm"` or `"held"`), `issues`
///   (`"as fitted"` or `"to make"`), `scope` (`{"kind": "airframe" | "assembly" | "frame" | "position", "name"}`),
/// - `tree`: one line. A line is `find` and `position` (its name; both `null` at the top), `state` (`"settled"`,
///   `"open"`, `"open above"`: only its assembly is open, `"overlap"`, `"gap"` or `"undecided"`), `limit` (a sentence,
///   if undecided) and `choices`; a choice is `kind` (`"part"`, `"nothing"` or `"gap"`), `part` and `description`
///   (`null` without a part), `ways` (each `each`: how many for each assembly, and `when`: a list of conditions of
///   which any selects it), `quantity`, `issues`, `deviations` and `below`, the lines of what it is made up of,
/// - `totals`: a list of `part`, `description`, `source` (`"made"`, `"bought"` or `"standard"`), `quantity`, `to_get`
///   (without those inside bought assemblies), `issues` and `deviations`,
/// - `materials`: a list of `material`, `thickness` (as written, or `null`), `parts` (their numbers), `pieces` and
///   `mass`; and `mass`, of all parts: `micrograms` and `parts_without_mass`.
///
/// `other_issues` are those of the other view (to make to, or as fitted), `null` if they are the same. What rests on
/// something that was not read has a list `not_read` of its numbers, and `null` where it says nothing; a line then has
/// the state `"not-read"`, and a choice may be of the kind `"not-read"`. A line that contradictory records touch has the
/// state `"contradicted"`.
///
/// A quantity is `{"least", "most"}`, equal if it is settled, or `{"undecided": sentence}`. `issues` is a list of
/// `{"issue": name or null (none of the register), "interchangeable": with the one before, true, false or null}` or
/// `{"undecided": sentence}`. A deviation is `reference`, `permit` (true or false), `quantity`, `date`, `expires`,
/// `deviation`, `allowed_by`, `position` and `scope` (`null`: not limited).
#[must_use]
pub fn bill_json(bill: &Bill, model: &Model) -> Value {
    let airframe = &model.airframes[bill.airframe];
    let shape = BillJson { model };
    let weights = bill.weights.as_ref();
    json!({
        "airframe": airframe.serial.text,
        "date": bill.target.day,
        "build_state": bill.target.build_state.map(|state| airframe.build_states.name(state)),
        "basis": match bill.request.basis {
            Basis::Firm => "firm",
            Basis::Held => "held",
        },
        "issues": match bill.request.issues {
            IssueView::AsFitted => "as fitted",
            IssueView::ToMake => "to make",
        },
        "scope": scope(bill.request.scope, model),
        "tree": shape.line(&bill.top),
        "totals": bill.totals.iter().map(|total| shape.total(total)).collect::<Vec<_>>(),
        "materials": weights.map(|of| of.materials.iter().map(|total| shape.material(total)).collect::<Vec<_>>()),
        "mass": weights.map(|of| marked(mass(&of.mass), &of.not_read)),
    })
}

fn scope(scope: BillScope, model: &Model) -> Value {
    match scope {
        BillScope::Airframe => json!({"kind": "airframe", "name": null}),
        BillScope::Assembly(part) => json!({"kind": "assembly", "name": model.parts.name(part)}),
        BillScope::Frame(frame) => json!({"kind": "frame", "name": model.frames.name(frame)}),
        BillScope::Position(position) => json!({"kind": "position", "name": model.positions.name(position)}),
    }
}

fn quantity(amount: &Amount) -> Value {
    match amount {
        Amount::Exactly(quantity) => json!({"least": quantity, "most": quantity}),
        Amount::Between(range) => json!({"least": range.least, "most": range.most}),
        Amount::Undecided(Limit::NotRead) => Value::Null,
        Amount::Contradicted => json!({"undecided": "the records contradict each other"}),
        Amount::Undecided(limit) => json!({"undecided": limit.to_string()}),
    }
}

/// An object with the numbers of what was not read and bears on it, if there are any.
fn marked(mut json: Value, marks: &Marks) -> Value {
    if !marks.is_empty() {
        json["not_read"] = json!(marks);
    }
    json
}

fn mass(mass: &MassTotal) -> Value {
    let known = mass.micrograms != Amount::Undecided(Limit::NotRead);
    json!({"micrograms": quantity(&mass.micrograms), "parts_without_mass": known.then_some(mass.unknown)})
}

type Issues = Result<Vec<PossibleIssue>, Limit>;

struct BillJson<'a> {
    model: &'a Model,
}

impl BillJson<'_> {
    fn line(&self, line: &BillLine) -> Value {
        let position = line.position.map(|position| &self.model.positions[position]);
        let limit = match line.state {
            LineState::Undecided(limit) => Some(limit.to_string()),
            LineState::Settled
            | LineState::OpenAbove
            | LineState::Open
            | LineState::Overlap
            | LineState::Gap
            | LineState::Contradicted
            | LineState::NotRead => None,
        };
        let mut json = json!({
            "find": position.map(|position| &position.find),
            "position": position.and_then(|position| position.name.as_ref()),
            "state": words::state_word(line.state),
            "limit": limit,
            "choices": line.choices.iter().map(|choice| self.choice(choice)).collect::<Vec<_>>(),
        });
        let lost: Marks = line.choices.iter().flat_map(|choice| choice.not_read.iter().copied()).collect();
        if !lost.is_empty() {
            json["not_read"] = json!(lost);
        }
        json
    }

    fn choice(&self, choice: &LineChoice) -> Value {
        let (kind, part) = match choice.item {
            LineItem::Part(part) => ("part", Some(part)),
            LineItem::Nothing => ("nothing", None),
            LineItem::Gap => ("gap", None),
            LineItem::NotRead => ("not-read", None),
        };
        let known = part.filter(|_| choice.not_read.is_empty());
        let ways = choice.ways.iter().map(|way| {
            let when = way.conditions.iter().map(|condition| condition_text(condition, self.model));
            json!({"each": way.each, "when": when.collect::<Vec<_>>()})
        });
        let json = json!({
            "kind": kind,
            "part": part.map(|part| self.model.parts.name(part)),
            "description": known.map(|part| &self.model.parts[part].description),
            "ways": ways.collect::<Vec<_>>(),
            "quantity": quantity(&choice.amount),
            "issues": self.issues(&choice.issues, part.and_then(|part| self.model.parts[part].drawing)),
            "other_issues": self.other_issues(&choice.issues, &choice.other_issues, part),
            "deviations": self.deviations(&choice.deviations),
            "below": choice.below.iter().map(|line| self.line(line)).collect::<Vec<_>>(),
        });
        marked(json, &choice.not_read)
    }

    fn issues(&self, issues: &Result<Vec<PossibleIssue>, Limit>, drawing: Option<DrawingId>) -> Value {
        let name = |issue: usize| drawing.map(|drawing| &self.model.drawings[drawing].issues[issue].issue);
        match issues {
            Err(Limit::NotRead) => Value::Null,
            Err(limit) => json!({"undecided": limit.to_string()}),
            Ok(issues) => (issues.iter())
                .map(|possible| {
                    json!({"issue": possible.issue.and_then(name), "interchangeable": possible.interchangeable})
                })
                .collect(),
        }
    }

    /// The issues of the other view, where they are others.
    fn other_issues(&self, issues: &Issues, other: &Issues, part: Option<PartId>) -> Value {
        let drawing = part.and_then(|part| self.model.parts[part].drawing);
        if issues == other { Value::Null } else { self.issues(other, drawing) }
    }

    fn deviations(&self, deviations: &[usize]) -> Value {
        let one = |permission: &Permission| {
            json!({
                "reference": permission.reference,
                "permit": permission.kind == "deviation permit",
                "quantity": permission.quantity,
                "date": permission.date,
                "expires": permission.expires,
                "deviation": permission.deviation,
                "allowed_by": permission.allowed_by,
                "position": permission.position,
                "scope": permission.scope,
            })
        };
        permissions(self.model, deviations.iter().copied()).iter().map(one).collect()
    }

    fn total(&self, total: &Total) -> Value {
        let part = &self.model.parts[total.part];
        let known = Some(part).filter(|_| total.not_read.is_empty());
        let json = json!({
            "part": self.model.parts.name(total.part),
            "description": known.map(|part| &part.description),
            "source": known.map(|part| words::source_word(part.source)),
            "quantity": quantity(&total.amount),
            "to_get": quantity(&total.to_get),
            "issues": self.issues(&total.issues, part.drawing),
            "other_issues": self.other_issues(&total.issues, &total.other_issues, Some(total.part)),
            "deviations": self.deviations(&total.deviations),
        });
        marked(json, &total.not_read)
    }

    fn material(&self, total: &MaterialTotal) -> Value {
        let json = json!({
            "material": total.material,
            "thickness": total.thickness.as_ref().map(|thickness| &thickness.text),
            "parts": total.parts.iter().map(|part| self.model.parts.name(*part)).collect::<Vec<_>>(),
            "pieces": quantity(&total.pieces),
            "mass": mass(&total.mass),
        });
        marked(json, &total.not_read)
    }
}
