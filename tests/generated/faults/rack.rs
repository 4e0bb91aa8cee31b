//! Faults of parts made, forming tools, permissions, sheet metal and decisions.

use super::Fault;
use super::folder::{Folder, MARK, Spot};
use super::shop::value;
use modstate::ids::{AirframeId, BuildStateId, ModId, PartId};
use modstate::model::Part;
use modstate::resolve::{Basis, Limits, Resolver, Target, Truth};

/// What the shop builds with a jig.
struct Wanted<'a> {
    jig: Spot,
    airframe: AirframeId,
    state: BuildStateId,
    serial: String,
    resolver: Resolver<'a>,
    /// Of the parts that plates of the jig's frame locate, those fitted in all histories, and those fitted in none.
    fitted: Vec<PartId>,
    not: Vec<PartId>,
}

fn wanted<'a>(f: &mut Folder<'a>) -> Option<Wanted<'a>> {
    let (model, graph) = (f.model(), &f.clean.graph);
    let ids: Vec<_> = model.jigs.ids().collect();
    let id = f.one(ids)?;
    let (airframe, state) = model.jigs[id].build_state()?;
    let day = model.airframes[airframe].build_states[state].date;
    let target = Target { day, build_state: Some(state) };
    let mut resolver = Resolver::new(model, graph, airframe, target, Limits::default()).ok()?;
    let of_frame = format!("{}-", model.jigs.name(id));
    let plates = model.plates.iter().filter(|(_, number, _)| number.starts_with(&of_frame));
    let (mut fitted, mut not) = (Vec::new(), Vec::new());
    for part in plates.flat_map(|(_, _, plate)| plate.locates.iter().copied()) {
        let when = resolver.fitted(part);
        match resolver.truth(&when, Basis::Firm) {
            Truth::Always => fitted.push(part),
            Truth::Never => not.push(part),
            Truth::Open | Truth::NoHistory | Truth::Undecided(_) => {}
        }
    }
    let serial = model.airframes.name(airframe).to_owned();
    let jig = f.find("Jig", &format!("airframe: \"{serial}\""))?;
    Some(Wanted { jig, airframe, state, serial, resolver, fitted, not })
}

impl Wanted<'_> {
    /// A part that is fitted in none of the histories, though its place is always filled; or, if asked, is not.
    fn not_fitted(&mut self, f: &mut Folder<'_>, filled: bool) -> Option<PartId> {
        let mut found = Vec::new();
        for part in &self.not {
            let places = self.resolver.history().graph.places_of(*part).clone();
            let always = places.iter().all(|(position, _)| {
                let outcomes = self.resolver.variants(*position);
                outcomes.into_iter().any(|(fitted, when)| {
                    let is_part = matches!(fitted, modstate::resolve::Fitted::Part(..));
                    is_part && self.resolver.truth(&when, Basis::Firm) == Truth::Always
                })
            });
            let opposite = f.model().parts[*part].opposite.is_some();
            if always == filled && !opposite {
                found.push(*part);
            }
        }
        f.one(found)
    }

    /// Enters a part made for the airframe; every line of it is marked that holds the text.
    fn made(&self, f: &mut Folder<'_>, part: PartId, fields: &str) {
        let (number, serial) = (f.number(part), &self.serial);
        let text = format!(
            "    MadePart(\n        part: \"{number}\", quantity: 1, made_for: \"{serial}\",{MARK}\n        {fields}\n    ),\n"
        );
        f.add(self.jig, &text);
    }

    /// Modifications that are open in the state with no claim to say so, on both bases.
    fn open(&mut self) -> Vec<ModId> {
        let mods: Vec<ModId> = self.resolver.history().model.mods.ids().collect();
        let mut open = |m: ModId, basis| self.resolver.modification(m, basis).embodied == Truth::Open;
        mods.into_iter().filter(|m| open(*m, Basis::Firm) && open(*m, Basis::Held)).collect()
    }

    /// Enters one more decision; its line is marked.
    fn decision(&self, f: &mut Folder<'_>, (number, date): (u32, &str), decides: &str) {
        let serial = &self.serial;
        let text = format!(
            "    Decision(\n        number: {number}, airframe: \"{serial}\", date: \"{date}\", by: \"L. Ashgrove\", decides: {decides},{MARK}\n        because: \"So it was said.\",\n    ),\n"
        );
        f.add(self.jig, &text);
    }
}

/// The number and the day of a decision that may come next.
fn next(f: &Folder<'_>) -> (u32, &'static str) {
    (f.model().decisions.last().map_or(0, |last| last.number) + 1, "2024-02-05")
}

/// A made part or forming tool of the jig's airframe whose drawing has several issues: it, and the drawing.
fn of_issues(f: &mut Folder<'_>, kind: &str) -> Option<(Spot, Spot)> {
    let text = if kind == "MadePart" { "made_for: " } else { "set_for: " };
    let all: Vec<Spot> = f.all(kind).into_iter().filter(|spot| f.text(*spot).contains(text)).collect();
    let mut found = Vec::new();
    for spot in all {
        let number = value(&f.text(spot).replace("made_to: [", "part: "), "part")?;
        let drawing = f.find("Drawing", &format!("number: \"{number}\""))?;
        if f.text(drawing).contains("issue: \"B\"") {
            found.push((spot, drawing));
        }
    }
    f.one(found)
}

/// Writes the first issue in the place of the one that applies; the register says whether it serves.
fn to_issue_a(f: &mut Folder<'_>, kind: &str, serves: bool) -> Option<()> {
    let (spot, drawing) = of_issues(f, kind)?;
    let lines: Vec<String> =
        f.text(drawing).lines().filter(|line| line.contains("(issue: ")).map(str::to_owned).collect();
    for (nth, line) in lines.iter().enumerate().skip(1) {
        let mark = if nth + 1 == lines.len() { MARK.to_string() } else { String::new() };
        let bare = line.replace(", interchangeable: true", "").replace("),", "");
        f.swap(drawing, line, &format!("{bare}, interchangeable: {serves}),{mark}"));
    }
    let issue = value(f.text(spot), "issue")?;
    f.swap(spot, &format!("issue: \"{issue}\""), "issue: \"A\"");
    f.mark(spot, "issue: \"A\"");
    Some(())
}

/// Takes out the issue of a made part or a forming tool.
fn no_issue(f: &mut Folder<'_>, kind: &str, marked: &str) -> Option<()> {
    let (spot, _) = of_issues(f, kind)?;
    let issue = value(f.text(spot), "issue")?;
    f.swap(spot, &format!(" issue: \"{issue}\","), "");
    f.mark(spot, marked);
    Some(())
}

/// Enters a form block for the state of a jig; its line of parts is marked.
fn block(f: &mut Folder<'_>, wanted: &Wanted<'_>, part: PartId) {
    let (number, serial) = (f.number(part), &wanted.serial);
    let text = format!(
        "    FormingTool(\n        mark: \"B99\", kind: FormBlock,\n        made_to: [\"{number}\"],{MARK}\n        set_for: (airframe: \"{serial}\", build_state: \"rebuild\"),\n    ),\n"
    );
    f.add(wanted.jig, &text);
}

/// Enters a permission for a part, and parts made under it.
fn permitted(f: &mut Folder<'_>, (part, other): (PartId, PartId), (permit, made): (&str, &str)) -> Option<()> {
    let beside = f.find("MadePart", "")?;
    let [part, other] = [part, other].map(|part| f.number(part));
    f.add(
        beside,
        &format!(
            "    DeviationPermit(\n        reference: \"DP 99\", deviation: \"Two holes opened out.\", allowed_by: \"L. Ashgrove\",\n        date: \"2018-03-01\", part: \"{part}\",\n        {permit}\n    ),\n"
        ),
    );
    f.add(
        beside,
        &format!(
            "    MadePart(\n        part: \"{other}\",\n        under: [\"DP 99\"],{MARK}\n        {made}\n    ),\n"
        ),
    );
    Some(())
}

/// A part that meets a test.
fn part(f: &mut Folder<'_>, meets: impl Fn(&Part) -> bool) -> Option<PartId> {
    let parts: Vec<PartId> = f.model().parts.iter().filter(|(_, _, p)| meets(p)).map(|(id, ..)| id).collect();
    f.one(parts)
}

/// Writes bends into the record of a made part of sheet.
fn bent(f: &mut Folder<'_>, flat: &str) -> Option<()> {
    let part = part(f, |part| part.drawing.is_some() && part.thickness.is_some())?;
    let record = f.find("Part", &format!("number: \"{}\",", f.number(part)))?;
    f.below(record, "thickness: ", flat);
    Some(())
}

/// A modification that is open on the airframe of a jig and bound to nothing, with what it is built to.
fn open_mod<'a>(f: &mut Folder<'a>) -> Option<(Wanted<'a>, ModId)> {
    let mut wanted = wanted(f)?;
    let open = wanted.open();
    let alone: Vec<ModId> = open.into_iter().filter(|m| f.bound_to(*m).len() == 1).collect();
    Some((wanted, f.one(alone)?))
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("part-401", "a stage of work misspelt", |f| {
        let made = f.find("MadePart", "stage: \"finished\"")?;
        f.swap(made, "stage: \"finished\"", "stage: \"finishde\"");
        f.mark(made, "finishde");
        Some(())
    }),
    Fault::new("part-402", "a part made under a permission that nobody gave", |f| {
        let made = f.find("MadePart", "")?;
        f.below(made, "part: ", &format!("        under: [\"DP 999\"],{MARK}"));
        Some(())
    }),
    Fault::new("part-411", "a part made of the variant that the airframe did not have", |f| {
        let mut wanted = wanted(f)?;
        let part = wanted.not_fitted(f, true)?;
        wanted.made(f, part, "stage: \"formed\",");
        Some(())
    }),
    Fault::new("part-412", "a part made for the side that has none of it", |f| {
        let wanted = wanted(f)?;
        let single = |part: &PartId| f.model().parts[*part].opposite.is_none() && f.model().parts[*part].hand.is_some();
        let single: Vec<PartId> = wanted.fitted.iter().copied().filter(single).collect();
        let (part, serial) = (f.one(single)?, &wanted.serial);
        let beside = f.find("Part", "number: ")?;
        let other = format!("{}-9", f.number(part));
        f.add(beside, &format!("    Part(\n        number: \"{other}\", description: \"Spare\", source: Made,\n        opposite_of: \"{}\",\n    ),\n", f.number(part)));
        f.add(
            wanted.jig,
            &format!("    MadePart(\n        part: \"{other}\", quantity: 1, made_for: \"{serial}\",{MARK}\n    ),\n"),
        );
        Some(())
    }),
    Fault::new("part-413", "a made part to an issue that does not serve", |f| to_issue_a(f, "MadePart", false)),
    Fault::new("part-414", "a made part to an older issue that serves", |f| to_issue_a(f, "MadePart", true)),
    Fault::new("part-415", "a part made that no position takes", |f| {
        let wanted = wanted(f)?;
        let graph = &f.clean.graph;
        let spare: Vec<PartId> =
            f.model().parts.ids().filter(|part| graph.places_of(*part).is_empty()).skip(1).collect();
        let part = f.one(spare)?;
        wanted.made(f, part, "stage: \"formed\",");
        Some(())
    }),
    Fault::new("part-416", "a made part of an unknown issue", |f| no_issue(f, "MadePart", "part: ")),
    Fault::new("part-417", "a part taken from an airframe that did not have it", |f| {
        let mut wanted = wanted(f)?;
        let part = wanted.not_fitted(f, true)?;
        let (number, serial) = (f.number(part), &wanted.serial);
        let text = format!(
            "    MadePart(\n        part: \"{number}\", quantity: 1,\n        reclaimed_from: \"{serial}\",{MARK}\n    ),\n"
        );
        f.add(wanted.jig, &text);
        Some(())
    }),
    Fault::new("part-418", "unlike parts in one heat-treatment batch", |f| {
        let first = part(f, |part| part.material.is_some() && part.drawing.is_some())?;
        let material = f.model().parts[first].material.clone();
        let second = part(f, |part| part.material.is_some() && part.material != material)?;
        let beside = f.find("MadePart", "")?;
        for part in [first, second] {
            let number = f.number(part);
            f.add(
                beside,
                &format!(
                    "    MadePart(\n        part: \"{number}\", quantity: 1,\n        batch: \"HT 1\",{MARK}\n    ),\n"
                ),
            );
        }
        Some(())
    }),
    Fault::new("part-431", "a part formed on a block for other parts", |f| {
        let block =
            f.one(f.model().tools.iter().map(|tool| (tool.mark.clone(), tool.made_to.clone())).collect::<Vec<_>>())?;
        let other = part(f, |_| true).filter(|part| !block.1.contains(part))?;
        let (beside, number) = (f.find("MadePart", "")?, f.number(other));
        let formed = format!("formed_on: [Tool(\"{}\", \"2012-05-04\")],{MARK}", block.0);
        f.add(beside, &format!("    MadePart(\n        part: \"{number}\", quantity: 1,\n        {formed}\n    ),\n"));
        Some(())
    }),
    Fault::new("part-433", "a stage that nobody inspected", |f| {
        let other = part(f, |_| true)?;
        let (beside, number) = (f.find("MadePart", "")?, f.number(other));
        let work = format!("work: [(stage: \"formed\", by: \"L. Ashgrove\", date: \"2012-05-04\")],{MARK}");
        f.add(beside, &format!("    MadePart(\n        part: \"{number}\", quantity: 1,\n        {work}\n    ),\n"));
        Some(())
    }),
    Fault::new("tool-421", "a form block for another variant", |f| {
        let mut wanted = wanted(f)?;
        let part = wanted.not_fitted(f, true)?;
        block(f, &wanted, part);
        Some(())
    }),
    Fault::new("tool-422", "a form block to an issue that does not serve", |f| to_issue_a(f, "FormingTool", false)),
    Fault::new("tool-423", "a form block that nobody made", |f| {
        let wanted = wanted(f)?;
        let tools = &f.model().tools;
        let without = wanted.fitted.iter().filter(|part| !tools.iter().any(|tool| tool.made_to.contains(part)));
        let without: Vec<PartId> = without.copied().filter(|part| f.model().parts[*part].drawing.is_some()).collect();
        let part = f.one(without)?;
        let record = f.find("Part", &format!("number: \"{}\",", f.number(part)))?;
        f.below(record, "number: ", &format!("        tools: [FormBlock],{MARK}"));
        let state = f.find("BuildState", &format!("airframe: \"{}\", name: \"rebuild\"", wanted.serial))?;
        f.mark(state, "BuildState(");
        Some(())
    }),
    Fault::new("tool-424", "a form block for a part of another frame's variant", |f| {
        let mut wanted = wanted(f)?;
        let part = wanted.not_fitted(f, false)?;
        block(f, &wanted, part);
        Some(())
    }),
    Fault::new("tool-425", "a form block of an unknown issue", |f| no_issue(f, "FormingTool", "made_to: ")),
    Fault::new("permit-431", "a part made after its permit had expired", |f| {
        let part = part(f, |part| part.drawing.is_some())?;
        let expires = format!("expires: \"2019-03-01\",{MARK}");
        permitted(f, (part, part), (&expires, &format!("quantity: 1, made: \"2020-06-11\",{MARK}")))
    }),
    Fault::new("permit-432", "a part made under the permit of another", |f| {
        let first = part(f, |part| part.drawing.is_some())?;
        let second = part(f, |part| part.drawing.is_some())?;
        (first != second).then_some(())?;
        permitted(f, (first, second), ("", "quantity: 1, made: \"2019-06-11\","))
    }),
    Fault::new("permit-433", "more parts made than the permit allows", |f| {
        let part = part(f, |part| part.drawing.is_some())?;
        permitted(f, (part, part), (&format!("quantity: 2,{MARK}"), "quantity: 3, made: \"2019-06-11\","))
    }),
    Fault::new("permit-434", "a permit that ran out before its parts were made", |f| {
        let part = part(f, |part| part.drawing.is_some())?;
        let beside = f.find("MadePart", "")?;
        let number = f.number(part);
        f.add(beside, &format!("    DeviationPermit(\n        reference: \"DP 99\", part: \"{number}\", deviation: \"Two holes opened out.\",\n        allowed_by: \"L. Ashgrove\", date: \"2010-03-01\", quantity: 2,\n        expires: \"2010-09-01\",{MARK}\n    ),\n"));
        Some(())
    }),
    Fault::new("drawing-441", "a drawing issue of which there is no copy", |f| {
        let wanted = wanted(f)?;
        let drawn: Vec<PartId> =
            wanted.fitted.iter().copied().filter(|part| f.model().parts[*part].drawing.is_some()).collect();
        let part = f.one(drawn)?;
        let drawing = f.find("Drawing", &format!("number: \"{}\"", f.number(part)))?;
        if f.text(drawing).contains("held: ") {
            f.swap_line(drawing, "held: ", "");
        }
        f.below(drawing, "number: ", &format!("        held: [],{MARK}"));
        let state = f.find("BuildState", &format!("airframe: \"{}\", name: \"rebuild\"", wanted.serial))?;
        f.mark(state, "BuildState(");
        Some(())
    }),
    Fault::new("part-451", "a leg left out of a section", |f| {
        bent(
            f,
            &format!(
                "        flat: (legs: [\"1in\", \"2in\"],\n            bends: [(angle: \"90deg\", radius: \"0.16in\"), (angle: \"90deg\", radius: \"0.16in\")],{MARK}\n        ),"
            ),
        )
    }),
    Fault::new("part-452", "a bend tighter than is published for its temper", |f| {
        bent(
            f,
            &format!(
                "        flat: (legs: [\"1in\", \"2in\"], bent_in: \"7075-T6\",{MARK}\n            bends: [(angle: \"90deg\", radius: \"0.01in\")],{MARK}\n        ),"
            ),
        )
    }),
    Fault::new("decision-501", "a decision taken out of the book", |f| {
        let wanted = wanted(f)?;
        let (number, date) = next(f);
        wanted.decision(f, (number + 1, date), "BuildTo(\"rebuild\")");
        Some(())
    }),
    Fault::new("decision-502", "a decision dated before the one before it", |f| {
        let wanted = wanted(f)?;
        let (number, _) = next(f);
        wanted.decision(f, (number, "1999-02-05"), "BuildTo(\"rebuild\")");
        Some(())
    }),
    Fault::new("decision-503", "a decision withdrawn that was never taken", |f| {
        let wanted = wanted(f)?;
        let (number, date) = next(f);
        wanted.decision(f, (number, date), &format!("Withdraw({})", number + 3));
        Some(())
    }),
    Fault::new("decision-504", "a decision of which only the year is known", |f| {
        let wanted = wanted(f)?;
        let (number, _) = next(f);
        wanted.decision(f, (number, "2024"), "BuildTo(\"rebuild\")");
        Some(())
    }),
    Fault::new("decision-505", "a decision that the claims contradict", |f| {
        let mut wanted = wanted(f)?;
        let part = wanted.not_fitted(f, true)?;
        let (position, _) = *f.clean.graph.places_of(part).first()?;
        let decides = format!("Fits(\"{}\", \"{}\")", f.model().positions.name(position), f.number(part));
        let at = next(f);
        wanted.decision(f, at, &decides);
        Some(())
    }),
    Fault::new("decision-506", "a decision that a doubtful claim contradicts", |f| {
        let (wanted, m) = open_mod(f)?;
        let day = f.model().airframes[wanted.airframe].build_states[wanted.state].date.to_string();
        let says = format!("NotEmbodied(\"{}\")", f.name(m));
        f.claim(wanted.airframe, &says, &day, "Doubtful");
        let (at, decides) = (next(f), format!("Embodied(\"{}\")", f.name(m)));
        wanted.decision(f, at, &decides);
        Some(())
    }),
    Fault::new("decision-507", "a decision that nothing settles", |f| {
        let (wanted, m) = open_mod(f)?;
        let (at, decides) = (next(f), format!("NotEmbodied(\"{}\")", f.name(m)));
        wanted.decision(f, at, &decides);
        Some(())
    }),
    Fault::new("decision-508", "two states decided for one airframe", |f| {
        let wanted = wanted(f)?;
        let first = f.find("Decision", &format!("airframe: \"{}\"", wanted.serial))?;
        f.mark(first, "decides: ");
        let at = next(f);
        wanted.decision(f, at, "BuildTo(\"as last flown\")");
        Some(())
    }),
    Fault::new("decision-509", "a decision sealed upon another than the one before it", |f| {
        let wanted = wanted(f)?;
        let at = next(f);
        wanted.decision(f, at, "BuildTo(\"rebuild\"), follows: \"00c0ffee\"");
        Some(())
    }),
];
