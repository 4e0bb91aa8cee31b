//! Dates, against today, against what must have come before, and against what they show.

use crate::check::CheckScope;
use crate::codes;
use crate::finding::{Finding, Place};
use crate::model::{Airframe, Claim, Model};
use crate::quantity::{Day, Window};

pub(super) fn check(model: &Model, scope: CheckScope<'_>) -> Vec<Finding> {
    let mut findings = plates(model);
    findings.extend(parts(model));
    for (_, serial, airframe) in model.airframes.iter().filter(|(id, ..)| scope.takes_in(*id)) {
        findings.extend(evidence(serial, airframe));
        findings.extend(twice(serial, airframe));
    }
    findings
}

/// Whatever was done, seen or written after today.
pub(crate) fn ahead(model: &Model, today: Day) -> Vec<Finding> {
    let mut dated: Vec<(String, &Window, Place)> = Vec::new();
    for survey in &model.surveys {
        dated.push((format!("survey `{}`", survey.id), &survey.date, survey.record.field("date")));
    }
    for (_, jig, entry) in model.jigs.iter() {
        for plate in &entry.mounted {
            let what = format!("plate `{}` of jig `{jig}`", plate.mark);
            let made = plate.made.iter().map(|date| (date, "made"));
            let reworked = plate.reworked.iter().map(|date| (date, "reworked"));
            dated.extend(made.chain(reworked).map(|(date, field)| (what.clone(), date, plate.place.field(field))));
        }
    }
    for part in &model.made_parts {
        let what = format!("part `{}`", model.parts.name(part.part));
        dated.extend(part.made.iter().map(|date| (what.clone(), date, part.record.field("made"))));
    }
    for permit in &model.deviations {
        dated.push((format!("`{}`", permit.reference), &permit.date, permit.record.field("date")));
    }
    for (_, serial, airframe) in model.airframes.iter() {
        dated.push((format!("airframe `{serial}`"), &airframe.built, airframe.record.field("built")));
        let delivered = airframe.delivered.iter();
        dated.extend(delivered.map(|date| (format!("airframe `{serial}`"), date, airframe.record.field("delivered"))));
        for (_, id, item) in airframe.evidence.iter() {
            let what = format!("evidence `{id}` of `{serial}`");
            dated.extend(item.date.iter().map(|date| (what.clone(), date, item.record.field("date"))));
        }
        for (_, id, claim) in airframe.claims.iter().filter(|(_, _, claim)| claim.assumed.is_none()) {
            dated.push((format!("claim `{id}` of `{serial}`"), &claim.when, claim.record.field("when")));
        }
    }
    let late = dated.into_iter().filter(|(_, date, _)| date.start.is_some_and(|start| start > today));
    let decided = model.decisions.iter().filter(|decision| decision.date > today);
    let decided = decided.map(|of| (format!("decision {}", of.number), of.date.to_string(), of.record.field("date")));
    let late = late.map(|(what, date, place)| (what, date.text.clone(), place)).chain(decided);
    late.map(|(what, date, place)| {
        let message = format!("{what} is dated {date}, which has not come yet: is the year right?");
        Finding::new(codes::DATE_AHEAD, message, place, "after today")
            .help("compare the date with the paper; if it is right, set the clock of the computer")
    })
    .collect()
}

fn too_early(message: String, place: Place, other: Place, what: &str) -> Finding {
    Finding::new(codes::DATE_TOO_EARLY, message, place, "too early?")
        .label(other, what)
        .help("compare both dates with the papers, and correct the one that is wrong")
}

/// Plates measured or reworked before they were made.
fn plates(model: &Model) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (_, jig, entry) in model.jigs.iter() {
        for plate in &entry.mounted {
            if let (Some(made), Some(reworked)) = (&plate.made, &plate.reworked)
                && reworked.is_before(made)
            {
                let message = format!(
                    "plate `{}` of jig `{jig}` is dated as reworked {} and as made {}: which is wrong?",
                    plate.mark, reworked.text, made.text
                );
                findings.push(too_early(message, plate.place.field("reworked"), plate.place.field("made"), "made"));
            }
        }
    }
    for survey in &model.surveys {
        let jig = model.jigs.name(survey.jig);
        let plate = &model.jigs[survey.jig].mounted[survey.mounted];
        if let Some(made) = plate.made.as_ref().filter(|made| survey.date.is_before(made)) {
            let message = format!(
                "survey `{}` of plate `{}` of jig `{jig}` is dated {}, and the plate was made {}: which is wrong?",
                survey.id, plate.mark, survey.date.text, made.text
            );
            findings.push(too_early(message, survey.record.field("date"), plate.place.field("made"), "made"));
        }
    }
    findings
}

/// Parts made before their drawing issue or their permit, and concessions for what was not made yet.
fn parts(model: &Model) -> Vec<Finding> {
    let mut findings = Vec::new();
    for part in &model.made_parts {
        let Some(made) = &part.made else { continue };
        let number = model.parts.name(part.part);
        let place = part.record.field("made");
        let drawing = model.parts[part.part].drawing.map(|id| &model.drawings[id]);
        if let (Some(drawing), Some(index)) = (drawing, part.issue)
            && let Some(issue) = drawing.issues.get(index).filter(|issue| made.is_before(&issue.date))
        {
            let message = format!(
                "part `{number}` was made {} to issue `{}`, which is of {}: which is wrong?",
                made.text, issue.issue, issue.date.text
            );
            let there = drawing.record.field("issues").item(index).field("date");
            findings.push(too_early(message, place.clone(), there, "the issue"));
        }
        let named = model.deviations.iter().filter(|permit| part.under.contains(&permit.reference));
        for permit in named.filter(|permit| permit.part == part.part) {
            let there = permit.record.field("date");
            if permit.permit && made.is_before(&permit.date) {
                let message = format!(
                    "part `{number}` was made {} under permit `{}`, which was given {}: which is wrong?",
                    made.text, permit.reference, permit.date.text
                );
                findings.push(too_early(message, place.clone(), there, "the permit"));
            } else if !permit.permit && permit.date.is_before(made) {
                let message = format!(
                    "concession `{}` is of {}, and part `{number}` that it is for was made {}: which is wrong?",
                    permit.reference, permit.date.text, made.text
                );
                findings.push(too_early(message, there, place.clone(), "made"));
            }
        }
    }
    findings
}

/// Claims that speak of a time after everything that they rest on.
fn evidence(serial: &str, airframe: &Airframe) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (_, id, claim) in airframe.claims.iter() {
        let Some(start) = claim.when.start else { continue };
        let items = || claim.rests_on.iter().map(|item| &airframe.evidence[*item]);
        let ends: Option<Vec<Day>> = items().map(|item| item.date.as_ref()?.end).collect();
        let Some(last) = ends.and_then(|ends| ends.into_iter().max()).filter(|last| *last < start) else { continue };
        let message = format!(
            "claim `{id}` of `{serial}` speaks of {}, and all that it rests on is of {last} or earlier: which date is wrong?",
            claim.when.text
        );
        let mut finding = Finding::new(codes::EVIDENCE_TOO_OLD, message, claim.record.field("when"), "the claim");
        for item in items() {
            finding = finding.label(item.record.field("date"), "the evidence");
        }
        findings.push(
            finding
                .help("compare both dates with the papers, and correct the one that is wrong, or name other evidence"),
        );
    }
    findings
}

/// Claims that say the same of the same time.
fn twice(serial: &str, airframe: &Airframe) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut seen: Vec<(&str, &Claim)> = Vec::new();
    for (_, id, claim) in airframe.claims.iter().filter(|(_, _, claim)| claim.assumed.is_none()) {
        let same = |other: &Claim| {
            let when = (other.when.start, other.when.end) == (claim.when.start, claim.when.end);
            when && other.says == claim.says
        };
        if let Some((first, other)) = seen.iter().find(|(_, other)| same(other)) {
            let message = format!(
                "claims `{first}` and `{id}` of `{serial}` say the same of {}: is that meant?",
                claim.when.text
            );
            findings.push(
                Finding::new(codes::CLAIM_TWICE, message, claim.record.field("says"), "again")
                    .label(other.record.field("says"), "said here already")
                    .help(format!(
                        "remove `{id}` and let `{first}` rest on the evidence of both, or correct the one that was meant otherwise"
                    )),
            );
        } else {
            seen.push((id, claim));
        }
    }
    findings
}
