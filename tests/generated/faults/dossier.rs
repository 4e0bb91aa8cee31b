//! Faults in the records of the type, taken one by one.

use super::Fault;
use super::folder::{Folder, MARK, Spot};
use modstate::ids::ModId;

/// The record of a modification without parts that meets a test.
fn some_mod(f: &mut Folder<'_>, meets: impl Fn(&Folder<'_>, ModId) -> bool) -> Option<(ModId, Spot)> {
    let all = f.model().mods.ids().filter(|m| f.of_mod(*m).is_some() && meets(f, *m)).collect::<Vec<_>>();
    let m = f.one(all)?;
    Some((m, f.of_mod(m)?))
}

/// A modification open after delivery to some serials only, none of whose claims hang on that.
fn eligible(f: &mut Folder<'_>, text: &str) -> Option<()> {
    let (_, spot) = some_mod(f, |f, m| f.model().mods[m].retrospective.as_ref().is_some_and(|r| r.eligible.is_some()))?;
    f.swap(spot, "eligible: [", &format!("eligible: [{text}, "));
    f.mark(spot, "eligible: [");
    Some(())
}

/// A new serial block beside the others.
fn block(f: &mut Folder<'_>, serials: &str, more: &str) -> Option<()> {
    let beside = f.find("SerialBlock", "")?;
    f.add(
        beside,
        &format!("    SerialBlock(\n        serials: \"{serials}\", factory: \"Marrowby\",{MARK}\n{more}    ),\n"),
    );
    Some(())
}

/// A new modification that is open to all after delivery.
fn leaflet(f: &mut Folder<'_>, number: &str, fields: &str) -> Option<()> {
    let beside = f.find("Modification", "")?;
    let text = format!(
        "    Modification(\n        number: \"{number}\", title: \"Step moved\", leaflet: \"Leaflet 9\",\n{fields}        \
         retrospective: (leaflet_date: \"1945-06-11\"),\n    ),\n"
    );
    f.add(beside, &text);
    Some(())
}

/// A frame of some shape.
fn frame(f: &mut Folder<'_>, shape: &str) -> Option<Spot> {
    f.find("Frame", &format!("girth: {shape}"))
}

/// The part of a handed pair that says on which side it is, and the other.
fn pair(f: &mut Folder<'_>) -> Option<(Spot, Spot)> {
    let pairs = f.model().parts.iter().filter_map(|(_, _, part)| {
        let other = &f.model().parts[part.opposite?];
        Some((Spot::of(&part.place)?, Spot::of(&other.place)?))
    });
    let pairs: Vec<_> =
        pairs.filter(|(a, b)| f.text(*a).contains("hand: ") && f.text(*b).contains("opposite_of")).collect();
    f.one(pairs)
}

/// A drawing that no made part is of.
fn quiet_drawing(f: &mut Folder<'_>, holds: &str) -> Option<Spot> {
    let drawings = f
        .model()
        .drawings
        .iter()
        .filter(|(_, number, _)| !f.model().made_parts.iter().any(|made| f.number(made.part) == *number));
    let spots: Vec<Spot> = drawings.map(|(_, _, drawing)| Spot::from(drawing.record)).collect();
    let spots: Vec<Spot> = spots.into_iter().filter(|spot| f.text(*spot).contains(holds)).collect();
    f.one(spots)
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("record-101", "a thickness without a unit", |f| {
        let part = f.find("Part", "thickness: \"18swg\"")?;
        f.swap(part, "18swg", "18");
        f.mark(part, "thickness");
        Some(())
    }),
    Fault::new("record-101", "a lap in a unit that nobody uses", |f| {
        let frame = f.find("Frame", "lap_from: \"0.75in\"")?;
        f.swap(frame, "lap_from: \"0.75in\"", "lap_from: \"0.75inch\"");
        f.mark(frame, "0.75inch\"");
        Some(())
    }),
    Fault::new("record-102", "a coordinate of a third of an inch", |f| {
        let survey = f.find("Survey", "hole: \"L2\", x: \"")?;
        f.swap(survey, "hole: \"L2\", x: \"", "hole: \"L2\", x: \"1/3in\", z: \"");
        f.mark(survey, "1/3in");
        Some(())
    }),
    Fault::new("record-103", "a mass without a unit", |f| {
        let part = f.find("Part", "lb\",")?;
        f.swap(part, "lb\",", "\",");
        f.mark(part, "mass");
        Some(())
    }),
    Fault::new("record-104", "a claim on 30 February", |f| {
        let claim = f.find("Claim", "says: NotEmbodied")?;
        f.swap(claim, "when: \"", "when: \"1951-02-30\", note: \"");
        f.mark(claim, "1951-02-30");
        Some(())
    }),
    Fault::new("record-105", "a window with its ends exchanged", |f| {
        let item = f.find("Evidence", " date: \"")?;
        f.swap(item, " date: \"", " date: \"1952-06..1951-03\", note: \"");
        f.mark(item, "1952-06..1951-03");
        Some(())
    }),
    Fault::new("record-106", "a range of serials in words", |f| eligible(f, "\"QD150 to QD160\"")),
    Fault::new("record-107", "a range from one series to another", |f| eligible(f, "\"QD150..MX190\"")),
    Fault::new("record-108", "a range with its ends exchanged", |f| eligible(f, "\"QD160..QD150\"")),
    Fault::new("record-109", "a clock angle past the full turn", |f| {
        let frame = frame(f, "Ellipse")?;
        f.swap(frame, "Angle(\"135deg\")", "Angle(\"410deg\")");
        f.mark(frame, "410deg");
        Some(())
    }),
    Fault::new("record-110", "a hole of no diameter", |f| {
        let plate = f.find("Plate", "diameter: \"3.3mm\"")?;
        f.swap(plate, "diameter: \"3.3mm\"", "diameter: \"0mm\"");
        f.mark(plate, "\"0mm\"");
        Some(())
    }),
    Fault::new("record-110", "a negative lap", |f| {
        let frame = f.find("Frame", "lap_to: \"0.75in\"")?;
        f.swap(frame, "lap_to: \"0.75in\"", "lap_to: \"-0.75in\"");
        f.mark(frame, "-0.75in");
        Some(())
    }),
    Fault::new("record-120", "a part entered twice", |f| {
        let part = f.find("Part", "source: Bought")?;
        let copy = f.text(part).replace("number: ", &format!("number: {MARK}"));
        f.mark(part, "number: ");
        f.add(part, &copy);
        Some(())
    }),
    Fault::new("record-120", "a find number used twice", |f| {
        let assembly = f.find("Assembly", "find: \"10\"")?;
        f.mark(assembly, "find: \"10\"");
        let fitted = f.text(assembly).split("part: \"").nth(2)?.split('"').next()?.to_owned();
        let again = format!("            (find: \"10\", candidates: [(part: \"{fitted}\")]),{MARK}");
        f.swap(assembly, "        ],\n    ),\n", &format!("{again}\n        ],\n    ),\n"));
        Some(())
    }),
    Fault::new("record-121", "a part without its number", |f| {
        let beside = f.find("Part", "")?;
        let text = format!("    Part(\n        number: \"\", description: \"Bracket\", source: Made,{MARK}\n    ),\n");
        f.add(beside, &text);
        Some(())
    }),
    Fault::new("record-122", "a wrong digit in the number of a candidate", |f| {
        let assembly = f.find("Assembly", "                    (part: \"61-")?;
        f.swap(assembly, "                    (part: \"61-0", "                    (part: \"61-7");
        f.mark(assembly, "(part: \"61-7");
        Some(())
    }),
    Fault::new("record-123", "a modification required that is none", |f| {
        let (_, spot) = some_mod(f, |f, m| !f.model().mods[m].requires.is_empty())?;
        f.swap(spot, "requires: [", "requires: [\"QM9999\", ");
        f.mark(spot, "requires: [");
        Some(())
    }),
    Fault::new("record-124", "a drawing that is not in the register", |f| {
        let part = f.find("Part", "drawing: \"61-")?;
        f.swap(part, "drawing: \"61-", "drawing: \"62-");
        f.mark(part, "drawing: ");
        Some(())
    }),
    Fault::new("record-125", "a part seen at a position that is none", |f| {
        let airframe = f.plain_airframes().first().copied()?;
        f.claim(airframe, "SeenNothing(\"61-000000/999\")", "1950-03-04", "Firm");
        Some(())
    }),
    Fault::new("record-126", "a jig for a frame that is none", |f| {
        let jig = f.find("Jig", "")?;
        f.swap(jig, "frame: \"F", "frame: \"F9");
        f.mark(jig, "frame: ");
        Some(())
    }),
    Fault::new("record-127", "a segment to a splice point that is none", |f| {
        let frame = frame(f, "")?;
        f.swap(frame, "to: \"S1\"", "to: \"S11\"");
        f.mark(frame, "to: \"S11\"");
        Some(())
    }),
    Fault::new("record-128", "a plate made to a definition that is none", |f| {
        let jig = f.find("Jig", "made_to: \"J")?;
        f.swap(jig, "made_to: \"J", "made_to: \"K");
        f.mark(jig, "made_to: \"K");
        Some(())
    }),
    Fault::new("record-129", "the name of a factory misspelt", |f| {
        let m = f.find("Modification", "factory: \"Marrowby\"")?;
        f.swap(m, "factory: \"Marrowby\"", "factory: \"Marroby\"");
        f.mark(m, "Marroby");
        Some(())
    }),
    Fault::new("record-130", "an issue held that the drawing does not have", |f| {
        let drawing = f.find("Drawing", "held: [\"A\"")?;
        f.swap(drawing, "held: [\"A\"", "held: [\"A\", \"K\"");
        f.mark(drawing, "held: ");
        Some(())
    }),
    Fault::new("record-131", "a tolerance class that is none", |f| {
        let plate = f.find("Plate", "tolerance: \"0.25mm\"")?;
        f.swap(plate, "tolerance: \"0.25mm\"", "tolerance: \"tight\"");
        f.mark(plate, "tight");
        Some(())
    }),
    Fault::new("record-132", "a modification with parts named as a whole", |f| {
        let whole = f.model().mods_with_parts.keys().next()?.clone();
        let spot = f.find("Modification", &format!("number: \"{whole}\""))?;
        f.mark(spot, "number: ");
        leaflet(f, "QM9001", &format!("        requires: [\"{whole}\"],{MARK}\n"))
    }),
    Fault::new("record-140", "the type not described", |f| {
        let of_type = f.find("Type", "")?;
        f.remove(of_type);
        let first = f.all("Airframe")[0];
        f.mark(first, "Airframe(");
        Some(())
    }),
    Fault::new("record-141", "two types described", |f| {
        let of_type = f.find("Type", "")?;
        let copy = f.text(of_type).replace("Type(", &format!("Type({MARK}"));
        f.mark(of_type, "Type(");
        f.add(of_type, &copy);
        Some(())
    }),
    Fault::new("record-150", "a block that begins inside another", |f| {
        let (of, serials) = {
            let block = f.model().blocks.last()?;
            let (first, last) = (block.last.number - 2, block.last.number + 20);
            (Spot::from(block.record), format!("{0}{first}..{0}{last}", block.last.prefix))
        };
        f.mark(of, "serials: ");
        block(f, &serials, "")
    }),
    Fault::new("record-151", "a serial of no block", |f| eligible(f, "\"QD9999\"")),
    Fault::new("record-152", "a run of the line order written twice", |f| {
        let block = f.find("SerialBlock", "line: Order(1, [")?;
        let run = f.text(block).split("Order(1, [").nth(1)?.split(',').next()?.to_owned();
        f.swap(block, "Order(1, [", &format!("Order(1, [{run}, "));
        f.mark(block, "line: ");
        Some(())
    }),
    Fault::new("record-153", "a cut-in past the end of the line", |f| {
        let m = f.find("Modification", "factory: \"Quillhaven\", number: ")?;
        f.swap(m, "factory: \"Quillhaven\", number: ", "factory: \"Quillhaven\", number: 9");
        f.swap(m, "number: 9", "number: 9000");
        f.mark(m, "number: 9000");
        Some(())
    }),
    Fault::new("record-154", "a block that begins the line numbers again", |f| {
        let spots = f.model().blocks.iter().filter(|block| block.factory == "Marrowby");
        let first = spots.map(|block| Spot::from(block.record)).collect::<Vec<_>>();
        let of = *first.iter().find(|spot| f.text(**spot).contains("Order"))?;
        f.mark(of, "line: ");
        let beside = f.find("SerialBlock", "")?;
        let line = format!("        line: From(1),{MARK}\n");
        f.add(
            beside,
            &format!("    SerialBlock(\n        serials: \"MX991..MX995\", factory: \"Marrowby\",\n{line}    ),\n"),
        );
        Some(())
    }),
    Fault::new("record-155", "a block without its last serial", |f| block(f, "MX901..", "")),
    Fault::new("record-156", "a serial with a leading zero too many", |f| eligible(f, "\"QD0101\"")),
    Fault::new("record-157", "a range past the end of the block", |f| {
        let last = f.model().blocks.iter().filter(|block| block.first.prefix == "QD").map(|b| b.last.number).max()?;
        eligible(f, &format!("\"QD{}..QD{}\"", last - 3, last + 40))
    }),
    Fault::new("record-158", "a block with a few digits too many", |f| block(f, "MX1000..MX99999999", "")),
    Fault::new("record-160", "a part that is its own opposite hand", |f| {
        let part = f.find("Part", "source: Bought")?;
        let number = f.text(part).split('"').nth(1)?.to_owned();
        f.below(part, "number: ", &format!("        opposite_of: \"{number}\",{MARK}"));
        Some(())
    }),
    Fault::new("record-161", "the hand of a pair left out", |f| {
        let (says, other) = pair(f)?;
        f.swap_line(says, "hand: ", "");
        f.mark(other, "opposite_of");
        Some(())
    }),
    Fault::new("record-162", "both of a pair on one side", |f| {
        let (says, other) = pair(f)?;
        let hand = if f.text(says).contains("hand: Port") { "Port" } else { "Starboard" };
        f.mark(says, "hand: ");
        f.below(other, "number: ", &format!("        hand: {hand},{MARK}"));
        Some(())
    })
    .with(&["type-205"]),
    Fault::new("record-163", "a part with two opposite hands", |f| {
        let (says, other) = pair(f)?;
        let number = f.text(says).split('"').nth(1)?.to_owned();
        let third = f.find("Part", "source: Bought")?;
        let (first, second) = if third.precedes(other) { (third, other) } else { (other, third) };
        f.below(third, "number: ", &format!("        opposite_of: \"{number}\","));
        f.mark(first, "opposite_of");
        f.mark(second, "opposite_of");
        Some(())
    }),
    Fault::new("record-164", "a sheet of no drawing", |f| {
        let part = f.find("Part", "source: Bought")?;
        f.below(part, "number: ", &format!("        sheet: \"2\",{MARK}"));
        Some(())
    }),
    Fault::new("record-170", "an assembly described twice", |f| {
        let assembly = f.find("Assembly", "")?;
        let copy = f.text(assembly).replacen("        part: ", &format!("        part: {MARK}"), 1);
        f.mark(assembly, "        part: ");
        f.add(assembly, &copy);
        Some(())
    }),
    Fault::new("record-171", "a quantity of zero", |f| {
        let made = f.find("MadePart", "")?;
        f.swap(made, "quantity: ", "quantity: 0, note: \"");
        f.swap(made, ", marks", "\", marks");
        f.mark(made, "quantity: 0");
        Some(())
    }),
    Fault::new("record-172", "a position without candidates", |f| {
        let assembly = f.find("Assembly", "part: \"61-000000\"")?;
        let line = format!("            (find: \"98\", candidates: []),{MARK}");
        f.below(assembly, "positions: [", &line);
        Some(())
    }),
    Fault::new("record-180", "a modification without a form", |f| {
        let beside = f.find("Modification", "")?;
        f.add(
            beside,
            &format!("    Modification({MARK}\n        number: \"QM9001\", title: \"Step moved\",\n    ),\n"),
        );
        Some(())
    }),
    Fault::new("record-181", "a modification that supersedes itself", |f| {
        leaflet(f, "QM9001", &format!("        supersedes: [\"QM9001\"],{MARK}\n"))
    }),
    Fault::new("record-182", "a modification both required and excluded", |f| {
        let (m, _) = some_mod(f, |_, _| true)?;
        let name = f.name(m);
        let fields = format!("        requires: [\"{name}\"],{MARK}\n        excludes: [\"{name}\"],{MARK}\n");
        leaflet(f, "QM9001", &fields)
    }),
    Fault::new("record-183", "a group of one", |f| {
        let (m, spot) = some_mod(f, |_, _| true)?;
        let name = f.name(m);
        let text = format!(
            "    OneOf(\n        name: \"Anchor\",\n        modifications: [\"{name}\"],{MARK}\n        introduced: \"1940\",\n    ),\n"
        );
        f.add(spot, &text);
        Some(())
    }),
    Fault::new("record-184", "a requirement named twice", |f| {
        let (m, spot) = some_mod(f, |f, m| !f.model().mods[m].requires.is_empty())?;
        let required = f.name(f.model().mods[m].requires[0].0);
        f.swap(spot, "requires: [", &format!("requires: [\"{required}\", "));
        f.mark(spot, "requires: ");
        Some(())
    }),
    Fault::new("record-185", "an exception that was not covered", |f| {
        let (_, spot) = some_mod(f, |f, m| {
            f.of_mod(m).is_some_and(|spot| {
                f.text(spot).contains(")]),") && !f.text(spot).contains("line: [(factory: \"Quillhaven\", number: 1)")
            })
        })?;
        f.swap(spot, ")]),", ")], except: [\"QD101\"]),");
        f.mark(spot, "except: ");
        Some(())
    }),
    Fault::new("record-186", "a production form for no serial", |f| {
        leaflet(f, "QM9001", &format!("        production: (),{MARK}\n"))
    }),
    Fault::new("record-187", "a condition by a form that there is not", |f| {
        let (m, _) = some_mod(f, |f, m| f.model().mods[m].production.is_none())?;
        let name = f.name(m);
        let assembly = f.find("Assembly", "part: \"61-000000\"")?;
        let fastener = f.model().parts.names().find(|number| number.starts_with("QS"))?;
        let line = format!(
            "            (find: \"98\", candidates: [(part: \"{fastener}\", when: Post(\"{name}\", Production))]),{MARK}"
        );
        f.below(assembly, "positions: [", &line);
        Some(())
    }),
    Fault::new("record-188", "a leaflet entry without parts", |f| {
        let (m, spot) = some_mod(f, |f, m| !f.model().mods[m].changes.is_empty())?;
        let position = f.model().mods[m].changes[0].position?;
        let position = f.model().positions.name(position);
        f.below(spot, "changes: [", &format!("            (position: \"{position}\"),{MARK}"));
        Some(())
    }),
    Fault::new("record-189", "a group without a last day for its coming in", |f| {
        let (m, spot) = some_mod(f, |_, _| true)?;
        let other = f.model().mods.ids().find(|other| *other != m)?;
        let (name, other) = (f.name(m), f.name(other));
        let text = format!(
            "    OneOf(\n        name: \"Anchor\",\n        modifications: [\"{name}\", \"{other}\"],\n        introduced: \"not before 1940\",{MARK}\n    ),\n"
        );
        f.add(spot, &text);
        Some(())
    }),
    Fault::new("record-190", "a drawing without issues", |f| {
        let drawing = quiet_drawing(f, "")?;
        let text = f.text(drawing).to_owned();
        let issues = text.split("issues: [").nth(1)?.split("        ],\n").next()?;
        f.swap(drawing, &format!("issues: [{issues}        ],\n"), &format!("issues: [],{MARK}\n"));
        if text.contains("held: ") {
            f.swap_line(drawing, "held: ", "");
        }
        Some(())
    }),
    Fault::new("record-191", "issues in the wrong order", |f| {
        let drawing = quiet_drawing(f, "issue: \"B\"")?;
        f.mark(drawing, "issue: \"A\"");
        f.swap(drawing, "issue: \"B\", date: \"19", "issue: \"B\", date: \"18");
        f.mark(drawing, "issue: \"B\"");
        Some(())
    }),
    Fault::new("record-200", "a point of the path written twice", |f| {
        let frame = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(frame, "(\"-600mm\", \"300mm\")", "(\"-600mm\", \"300mm\"), (\"-600mm\", \"300mm\")");
        f.mark(frame, "girth: ");
        Some(())
    }),
    Fault::new("record-201", "an angle at which the path is not", |f| {
        let frame = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(frame, "at: Girth(\"1300.000mm\")", "at: Angle(\"0deg\")");
        f.mark(frame, "0deg");
        Some(())
    }),
    Fault::new("record-202", "a splice point past the end of the path", |f| {
        let frame = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(frame, "at: Girth(\"1900.000mm\")", "at: Girth(\"1900.000in\")");
        f.mark(frame, "1900.000in");
        Some(())
    }),
    Fault::new("record-203", "a splice point that nothing uses", |f| {
        let frame = frame(f, "Circle")?;
        f.below(frame, "splice_points: [", &format!("            (name: \"S9\", at: Angle(\"90deg\")),{MARK}"));
        Some(())
    }),
    Fault::new("record-204", "a segment from a splice point to itself", |f| {
        let frame = frame(f, "Ellipse")?;
        f.swap(frame, "from: \"S2\", to: \"S3\"", &format!("from: \"S2\",{MARK} to: \"S2\""));
        Some(())
    }),
    Fault::new("record-205", "a segment that the frame never has", |f| {
        let frame = frame(f, "Circle")?;
        let fastener = f
            .model()
            .parts
            .iter()
            .find(|(id, number, _)| number.starts_with("QS") && !f.clean.graph.places_of(*id).is_empty())?;
        let line = format!("            (part: \"{}\", from: \"S1\", to: \"S2\"),{MARK}", fastener.1);
        f.below(frame, "segments: [", &line);
        Some(())
    }),
    Fault::new("record-206", "a corner radius at the end of a path", |f| {
        let frame = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(frame, "(\"-600mm\", \"300mm\")", "(\"-600mm\", \"300mm\", \"40mm\")");
        f.mark(frame, "girth: ");
        Some(())
    }),
    Fault::new("record-207", "a splice point by the height of a level side", |f| {
        let frame = frame(f, "Polyline(points: [(\"-600mm\"")?;
        f.swap(frame, "at: Girth(\"1300.000mm\")", "at: Height(\"-400mm\", Starboard)");
        f.mark(frame, "at: Height(");
        Some(())
    }),
    Fault::new("record-208", "a canted frame that does not lean", |f| {
        let frame = frame(f, "Circle")?;
        let plane = "plane: Canted(lean: Upright, station_at: \"0mm\", ordinates: InPlane),";
        f.swap(frame, "girth: Circle", &format!("{plane}{MARK}\n        girth: Circle"));
        Some(())
    }),
    Fault::new("record-209", "one side of an open path, away from the centre line", |f| {
        let frame = frame(f, "Ellipse")?;
        let line = f.text(frame).lines().find(|line| line.contains("girth: "))?.to_owned();
        let rows = "[Waterline(\"40mm\", \"300mm\"), Waterline(\"0mm\", \"320mm\")]";
        let table =
            format!("        girth: Offsets(given: OneSide, joined: Straight, closed: false, rows: {rows}),{MARK}");
        f.swap(frame, &line, &table);
        Some(())
    }),
    Fault::new("record-214", "rivets in no row", |f| {
        let frame = frame(f, "Circle")?;
        let rivets = "rivets: [(diameter: \"1/8in\", kind: AdProtruding, rows: 0)]";
        let point = format!("            (name: \"S9\", at: Angle(\"90deg\"), {rivets}),{MARK}");
        f.below(frame, "splice_points: [", &point);
        Some(())
    }),
    Fault::new("record-210", "a plate that locates nothing", |f| {
        let beside = f.find("Plate", "")?;
        let text = format!(
            "    Plate(\n        number: \"J90-01\", jig_station: \"1 crown\",\n        locates: [],{MARK}\n    ),\n"
        );
        f.add(beside, &text);
        Some(())
    }),
    Fault::new("record-211", "a plate for a part that is fitted nowhere", |f| {
        let plate = f.find("Plate", "locates: [")?;
        let part = f.find("Part", "")?;
        f.add(part, "    Part(\n        number: \"61-900000\", description: \"Bracket\", source: Made,\n    ),\n");
        f.swap(plate, "locates: [", "locates: [\"61-900000\", ");
        f.mark(plate, "locates: [");
        Some(())
    }),
    Fault::new("record-212", "corners of a plate's edge out of order", |f| {
        let plate = f.find("Plate", "locates: [")?;
        let corners = [(-900, -900), (900, 900), (900, -900), (-900, 900)];
        let corners = corners.map(|(x, y)| format!("(x: \"{x}mm\", y: \"{y}mm\")")).join(", ");
        f.below(plate, "locates: [", &format!("        outline: [{corners}],{MARK}"));
        Some(())
    }),
    Fault::new("record-213", "a plate's edge that its holes lie outside of", |f| {
        let plate = f.find("Plate", "locates: [")?;
        let corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)];
        let corners = corners.map(|(x, y)| format!("(x: \"{x}mm\", y: \"{y}mm\", radius: \"0.1mm\")")).join(", ");
        f.below(plate, "locates: [", &format!("        outline: [{corners}],{MARK}"));
        Some(())
    }),
    Fault::new("record-215", "a position tolerance without its decimal point", |f| {
        let plate = f.find("Plate", "diameter: \"3.3mm\", tolerance: \"0.25mm\"")?;
        f.swap(plate, "tolerance: \"0.25mm\"", "tolerance: \"25mm\"");
        f.mark(plate, "tolerance: \"25mm\"");
        Some(())
    }),
    Fault::new("record-216", "a position tolerance two places out", |f| {
        let plate = f.find("Plate", "diameter: \"3.3mm\", tolerance: \"0.25mm\"")?;
        f.swap(plate, "tolerance: \"0.25mm\"", "tolerance: \"0.0025mm\"");
        f.mark(plate, "tolerance: \"0.0025mm\"");
        Some(())
    }),
    Fault::new("type-302", "a tolerance with the decimal point moved", |f| {
        let plate = f.find("Plate", "diameter: \"3.3mm\", tolerance: \"0.25mm\"")?;
        f.swap(plate, "tolerance: \"0.25mm\"", "tolerance: \"2.5mm\"");
        f.mark(plate, "tolerance: \"2.5mm\"");
        Some(())
    }),
];
