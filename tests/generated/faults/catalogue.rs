//! Faults of the type as a whole.

use super::Fault;
use super::folder::{Folder, MARK, Spot};
use modstate::ids::{ModId, PositionId};
use modstate::model::{Condition, Statement};

/// A requirement (who, of what) of modifications without parts that meets a test.
fn bond(f: &mut Folder<'_>, meets: impl Fn(&Folder<'_>, ModId, ModId) -> bool) -> Option<(ModId, ModId)> {
    let mut bonds = Vec::new();
    for (id, _, m) in f.model().mods.iter() {
        let to = m.requires.iter().map(|(other, _)| *other);
        bonds.extend(to.filter(|other| meets(f, id, *other)).map(|other| (id, other)));
    }
    bonds.retain(|(a, b)| f.of_mod(*a).is_some() && f.of_mod(*b).is_some());
    f.one(bonds)
}

/// A position of an assembly that is no frame's, whose record is written over several lines, and that meets a test.
fn position(
    f: &mut Folder<'_>,
    meets: impl Fn(&modstate::model::Position) -> bool,
) -> Option<(PositionId, Spot, String)> {
    let model = f.model();
    let mut all = Vec::new();
    for (id, _, position) in model.positions.iter() {
        let of_frame = model.frames.iter().any(|(_, _, frame)| frame.assembly == position.assembly);
        let seen = model.airframes.iter().any(|(_, _, airframe)| {
            airframe.claims.iter().any(|(_, _, claim)| matches!(claim.says, Statement::SeenAt(at, _) if at == id))
        });
        if !of_frame && !seen && meets(position) {
            let record = model.parts[position.assembly].assembly?;
            all.push((id, Spot::from(record), format!("find: \"{}\"", position.find)));
        }
    }
    f.one(all)
}

/// A fastener, which is a candidate in many places.
fn fastener(f: &mut Folder<'_>) -> Option<String> {
    let fasteners: Vec<String> =
        f.model().parts.names().filter(|number| number.starts_with("QS")).map(str::to_owned).collect();
    f.one(fasteners)
}

/// The lines of a position, from its find number to its end.
fn lines_of(f: &Folder<'_>, spot: Spot, find: &str) -> Option<String> {
    let text = f.text(spot);
    let start = text.find(find)?;
    let rest = text.get(start..)?;
    Some(rest.split("            ),\n").next()?.to_owned())
}

fn frame(f: &mut Folder<'_>, shape: &str) -> Option<Spot> {
    f.find("Frame", &format!("girth: {shape}"))
}

/// The part numbers of the segments of a frame, in order.
fn segments(f: &Folder<'_>, frame: Spot) -> Vec<String> {
    let text = f.text(frame);
    let segments = text.split("segments: [").nth(1).unwrap_or_default();
    let segments = segments.split("        ],\n").next().unwrap_or_default();
    segments.lines().filter_map(|line| line.split('"').nth(1)).map(str::to_owned).collect()
}

/// What joins at a splice point.
fn joint(f: &Folder<'_>, frame: Spot, splice: &str) -> Option<String> {
    let line = f.text(frame).lines().find(|line| line.contains(&format!("name: \"{splice}\", at")))?;
    Some(line.split("joined_by: [\"").nth(1)?.split('"').next()?.to_owned())
}

/// Gives the rivets of a splice that segments meet at in every state; what is pointed at is on one line.
fn rivets(f: &mut Folder<'_>, fields: &str) -> Option<()> {
    let frame = frame(f, "Circle")?;
    let splice = "(name: \"S1\", at: Angle(\"45deg\"),";
    let group = format!("rivets: [(diameter: \"1/8in\", kind: AdProtruding, {fields})],");
    f.swap(frame, splice, &format!("{splice} {group}{MARK}\n               "));
    Some(())
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("type-101", "two that require each other", |f| {
        let (a, b) =
            bond(f, |f, _, b| f.model().mods[b].production.is_none() && f.model().mods[b].requires.is_empty())?;
        let spot = f.of_mod(b)?;
        let (first, name) = (f.of_mod(a)?, f.name(a));
        f.mark(first, "requires: ");
        f.below(spot, "class: ", &format!("        requires: [\"{name}\"],{MARK}"));
        let bound = f.bound_to(a);
        for airframe in f.model().airframes.ids() {
            f.forget(airframe, &bound);
        }
        Some(())
    })
    .with(&["type-109"]),
    Fault::new("type-102", "an assembly that contains itself", |f| {
        let nested = f.model().positions.iter().filter_map(|(_, _, position)| {
            let inner = f.model().parts[position.candidates.first()?.part].assembly?;
            Some((position.assembly, position.candidates[0].part, Spot::from(inner)))
        });
        let nested: Vec<_> = nested.collect();
        let (outer, inner, spot) = f.one(nested)?;
        let (number, inner) = (f.number(outer), f.number(inner));
        f.below(
            spot,
            "positions: [",
            &format!("            (find: \"97\", candidates: [(part: \"{number}\")]),{MARK}"),
        );
        let record = Spot::from(f.model().parts[outer].assembly?);
        f.mark(record, &format!("(part: \"{inner}\""));
        Some(())
    }),
    Fault::new("type-103", "no candidate where nothing used to be fitted", |f| {
        let (_, spot, find) = position(f, |position| position.nothing_when.is_some())?;
        let text = lines_of(f, spot, &find)?;
        let line = text.lines().find(|line| line.contains("nothing_when"))?;
        let without = text.replace(&format!("{line}\n"), "");
        f.swap(spot, &text, &without);
        f.mark(spot, &find);
        Some(())
    }),
    Fault::new("type-104", "a second candidate for one state", |f| {
        let (id, spot, find) = position(f, |position| {
            position.candidates.len() == 2 && matches!(position.candidates[1].when, Condition::Post(..))
        })?;
        let Condition::Post(m, _) = f.model().positions[id].candidates[1].when else { return None };
        let (name, part) = (f.name(m), fastener(f)?);
        let text = lines_of(f, spot, &find)?;
        let end = "                ],\n";
        let line = format!("                    (part: \"{part}\", when: Post(\"{name}\")),{MARK}\n{end}");
        f.swap(spot, &text, &text.replacen(end, &line, 1));
        Some(())
    }),
    Fault::new("type-105", "a modification that requires what excludes each other", |f| {
        let mods = f.model().mods.iter();
        let pairs: Vec<_> = mods.flat_map(|(id, _, m)| m.excludes.iter().map(move |(other, _)| (id, *other))).collect();
        let alone = |m: &ModId| f.clean.graph.serving_for(*m).len() == 1;
        let pairs: Vec<_> = pairs.into_iter().filter(|(a, b)| alone(a) && alone(b)).collect();
        let (a, b) = f.one(pairs)?;
        let beside = f.find("Modification", "")?;
        let (a, b) = (f.name(a), f.name(b));
        f.add(beside, &format!("    Modification(\n        number: \"QM9001\", title: \"Step moved\",{MARK}\n        requires: [\"{a}\", \"{b}\"],\n        retrospective: (leaflet_date: \"1945-06-11\"),\n    ),\n"));
        Some(())
    }),
    Fault::new("type-106", "a candidate both before and after one modification", |f| {
        let (id, spot, find) = position(f, |position| matches!(position.candidates[0].when, Condition::Pre(_)))?;
        let Condition::Pre(m) = f.model().positions[id].candidates[0].when else { return None };
        let (name, part) = (f.name(m), fastener(f)?);
        let text = lines_of(f, spot, &find)?;
        let end = "                ],\n";
        let when = format!("All([Pre(\"{name}\"), Post(\"{name}\")])");
        let line = format!("                    (part: \"{part}\", when: {when}),{MARK}\n{end}");
        f.swap(spot, &text, &text.replacen(end, &line, 1));
        Some(())
    }),
    Fault::new("type-107", "a plate for a part that no state calls for", |f| {
        let (id, spot, find) = position(f, |position| matches!(position.candidates[0].when, Condition::Pre(_)))?;
        let Condition::Pre(m) = f.model().positions[id].candidates[0].when else { return None };
        let name = f.name(m);
        let text = lines_of(f, spot, &find)?;
        let end = "                ],\n";
        let when = format!("All([Pre(\"{name}\"), Post(\"{name}\")])");
        let line = format!("                    (part: \"61-900000\", when: {when}),\n{end}");
        f.swap(spot, &text, &text.replacen(end, &line, 1));
        let (part, plate) = (f.find("Part", "")?, f.find("Plate", "")?);
        f.add(part, "    Part(\n        number: \"61-900000\", description: \"Bracket\", source: Made,\n    ),\n");
        let station = "number: \"J90-01\", jig_station: \"1\"";
        f.add(plate, &format!("    Plate(\n        {station},\n        locates: [\"61-900000\"],{MARK}\n    ),\n"));
        Some(())
    }),
    Fault::new("type-108", "what is required at two removes required once more", |f| {
        let (a, b) =
            bond(f, |f, _, b| f.clean.graph.serving_for(b).len() == 1 && !f.model().mods[b].requires.is_empty())?;
        let spot = f.of_mod(a)?;
        let again = f.name(f.model().mods[b].requires[0].0);
        f.swap(spot, "requires: [", &format!("requires: [\"{again}\", "));
        f.mark(spot, "requires: ");
        Some(())
    }),
    Fault::new("type-109", "the part number of another place in a leaflet list", |f| {
        let lists: Vec<ModId> =
            f.model().mods.ids().filter(|m| f.of_mod(*m).is_some() && !f.model().mods[*m].changes.is_empty()).collect();
        let m = f.one(lists)?;
        let (spot, change) = (f.of_mod(m)?, &f.model().mods[m].changes[0]);
        let there = &f.model().positions[change.position?];
        let part = *change.introduce.first()?;
        let elsewhere = f.model().positions.ids().filter(|id| Some(*id) != change.position);
        let others: Vec<_> = elsewhere.map(|id| f.model().positions[id].candidates[0].part).collect();
        let other = f.one(others)?;
        if there.candidates.iter().any(|candidate| candidate.part == other) {
            return None;
        }
        let (old, new) = (f.number(part), f.number(other));
        let old = format!("introduce: [\"{old}\"");
        f.swap(spot, &old, &format!("introduce: [\"{new}\"{MARK}"));
        Some(())
    }),
    Fault::new("type-201", "a segment that begins past the end of its neighbour", |f| {
        let frame = frame(f, "Ellipse")?;
        f.swap(frame, "from: \"S2\", to: \"S3\"", &format!("from: \"S6\",{MARK} to: \"S3\""));
        Some(())
    })
    .with(&["type-204", "claim-201", "claim-207", "claim-208"]),
    Fault::new("type-201", "an open path that its segments do not cover to its end", |f| {
        let beam = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(beam, "at: Girth(\"2600.000mm\")", "at: Girth(\"2500.000mm\")");
        f.mark(beam, "to: \"E2\"");
        f.mark(beam, "girth: ");
        Some(())
    }),
    Fault::new("type-201", "an open path that its segments do not cover from its start", |f| {
        let beam = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(beam, "at: Girth(\"0.000mm\")", "at: Girth(\"5.000mm\")");
        f.mark(beam, "from: \"E1\"");
        f.mark(beam, "girth: ");
        Some(())
    }),
    Fault::new("type-202", "a segment that runs on into its neighbour", |f| {
        let frame = frame(f, "Circle")?;
        f.swap(frame, "from: \"S1\", to: \"S2\"", &format!("from: \"S1\",{MARK} to: \"S3\""));
        Some(())
    }),
    Fault::new("type-203", "an opening bridged by a part of another state", |f| {
        let frame = frame(f, "Circle")?;
        let other = joint(f, frame, "S5")?;
        let bridge = f.text(frame).split("bridged_by: [\"").nth(1)?.split('"').next()?.to_owned();
        f.swap(frame, &format!("bridged_by: [\"{bridge}\""), &format!("bridged_by: [{MARK}\"{other}\""));
        Some(())
    }),
    Fault::new("type-204", "a splice joined by a part of another state", |f| {
        let frame = frame(f, "Ellipse")?;
        let (old, new) = (joint(f, frame, "S1")?, joint(f, frame, "S5")?);
        f.swap(frame, &format!("joined_by: [\"{old}\""), &format!("joined_by: [{MARK}\"{new}\""));
        Some(())
    }),
    Fault::new("type-205", "a segment whose part is for the other side", |f| {
        let frame = frame(f, "")?;
        let numbers = segments(f, frame);
        let one_side = numbers.iter().find(|number| {
            let part = f.model().parts.id(number).map(|id| &f.model().parts[id]);
            part.is_some_and(|part| part.hand.is_some() && part.opposite.is_none())
        })?;
        let one_side = one_side.clone();
        let part = f.find("Part", &format!("number: \"{one_side}\""))?;
        let (old, new) = if f.text(part).contains("Port,") { ("Port,", "Starboard,") } else { ("Starboard,", "Port,") };
        let made = f.model().made_parts.iter().any(|made| f.number(made.part) == one_side && made.hand.is_some());
        f.swap(part, old, new);
        f.mark(frame, &format!("(part: \"{one_side}\""));
        (!made).then_some(())
    }),
    Fault::new("type-205", "a part for one side that reaches further on the other", |f| {
        let beam = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(beam, "at: Girth(\"700.000mm\")", "at: Girth(\"800.000mm\")");
        f.swap(beam, "at: Girth(\"1300.000mm\")", "at: Girth(\"1880.000mm\")");
        f.mark(beam, "from: \"S1\", to: \"S2\"");
        Some(())
    }),
    Fault::new("type-206", "a frame with segments for one state only", |f| {
        let beam = frame(f, "Polyline(points: [(\"-600mm\"")?;
        let assembly = f.text(beam).split("assembly: \"").nth(1)?.split('"').next()?.to_owned();
        let half = segments(f, beam).get(2)?.clone();
        f.add(beam, &format!("    Frame(\n        name: \"F90\",{MARK} assembly: \"{assembly}\", station: \"9in\",\n        girth: Polyline(points: [(\"-600mm\", \"300mm\"), (\"-600mm\", \"-400mm\")], closed: false),\n        splice_points: [(name: \"E1\", at: Girth(\"0mm\")), (name: \"E2\", at: Girth(\"700mm\"))],\n        segments: [(part: \"{half}\", from: \"E1\", to: \"E2\")],\n    ),\n"));
        Some(())
    }),
    Fault::new("type-207", "the ends of a segment exchanged on an open path", |f| {
        let frame = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(frame, "from: \"E1\", to: \"S1\"", &format!("from: \"S1\",{MARK} to: \"E1\""));
        Some(())
    }),
    Fault::new("type-208", "a lap longer than the neighbour", |f| {
        let frame = frame(f, "Circle")?;
        f.swap(
            frame,
            "from: \"S4\", to: \"S1\", lap_from: \"0.75in\"",
            &format!("from: \"S4\", to: \"S1\",{MARK} lap_from: \"60in\""),
        );
        Some(())
    }),
    Fault::new("type-209", "an opening without its bridge piece", |f| {
        let frame = frame(f, "Circle")?;
        let bridge = f.text(frame).split("bridged_by: [\"").nth(1)?.split('"').next()?.to_owned();
        f.swap(frame, &format!(", bridged_by: [\"{bridge}\"]),"), &format!("),{MARK}"));
        Some(())
    }),
    Fault::new("type-210", "halves that nothing joins", |f| {
        let beam = frame(f, "Polyline(points: [(\"-600mm\"")?;
        let joint = joint(f, beam, "S2")?;
        f.swap(beam, &format!(", joined_by: [\"{joint}\"]),"), &format!("),{MARK}"));
        let both = "lap_from: \"0.75in\", lap_to: \"0.75in\"";
        f.swap(beam, &format!("to: \"S2\", {both}"), "to: \"S2\", lap_from: \"0.75in\"");
        f.swap(beam, &format!("from: \"S2\", to: \"S3\", {both}"), "from: \"S2\", to: \"S3\", lap_to: \"0.75in\"");
        Some(())
    }),
    Fault::new("type-211", "a port side that does not lie opposite the starboard side", |f| {
        let frame = frame(f, "Circle")?;
        f.swap(frame, "at: Angle(\"225deg\")", "at: Angle(\"226deg\")");
        f.mark(frame, "from: \"S1\", to: \"S2\"");
        f.mark(frame, "from: \"S3\", to: \"S4\"");
        Some(())
    }),
    Fault::new("type-221", "more rows of rivets than a lap holds", |f| rivets(f, "rows: 9")),
    Fault::new("type-222", "rivets nearer to the edge than two diameters", |f| rivets(f, "edge: \"0.2in\"")),
    Fault::new("type-223", "a splice with one rivet", |f| {
        rivets(f, "number: InAll(1), across: \"9in\", sheet: \"2017\"")
    }),
    Fault::new("type-224", "rivets in a sheet that no table is for", |f| {
        rivets(f, "number: InAll(1), across: \"9in\", sheet: \"X9\"")
    }),
    Fault::new("type-225", "a joint of the skin at the clock angle of a splice", |f| {
        let frame = frame(f, "Circle")?;
        f.mark(frame, "(name: \"S1\", at: Angle(\"45deg\")");
        let joint =
            "    SkinJoint(\n        name: \"seam\", from: \"-999in\", to: \"999in\",\n        clock: \"45deg\",";
        f.add(frame, &format!("{joint}{MARK}\n    ),\n"));
        Some(())
    }),
];
