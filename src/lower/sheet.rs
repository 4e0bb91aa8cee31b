//! Bends and flanges.

use super::Context;
use super::say::Findings;
use crate::finding::{Finding, Place, RecordRef};
use crate::model::{Bend, Curve, CurvedFlange, Flat, Run};
use crate::quantity::Length;
use crate::{codes, schema};

/// The bends and flanges of a part; `None` if there are none, or if they cannot be laid out.
pub(super) fn flat(cx: &Context, record: RecordRef, raw: &schema::Part, out: &mut Findings) -> Option<Flat> {
    let flat = raw.flat.as_ref()?;
    let place = record.field("flat");
    let mut sound = true;
    let mut unsound = |message: String, place: Place, label: &str, help: &str| {
        out.add(Finding::new(codes::FLAT_UNSOUND, message, place, label).help(help));
        sound = false;
    };
    let number = &raw.number;
    if raw.thickness.is_none() {
        let message = format!("`{number}` has bends, but its thickness is not given");
        unsound(message, place.clone(), "bent from what?", "give the `thickness` of the part");
    }
    if flat.legs.len() != flat.bends.len() + 1 {
        let message = format!(
            "`{number}` has {} legs and {} bends, where a section has one bend fewer than legs",
            flat.legs.len(),
            flat.bends.len()
        );
        unsound(message, place.field("bends"), "one fewer than legs", "give each leg and the bend between each two");
    }
    let lengths = |texts: &[String], place: &Place, out: &mut Findings| -> Vec<Option<Length>> {
        let each = texts.iter().enumerate();
        each.map(|(i, text)| out.size("leg", text, cx.config, &place.item(i))).collect()
    };
    let legs: Option<Vec<Length>> = lengths(&flat.legs, &place.field("legs"), out).into_iter().collect();
    let bends: Vec<Option<Bend>> = flat
        .bends
        .iter()
        .enumerate()
        .map(|(index, bend)| {
            let place = place.field("bends").item(index);
            let angle = angle(&bend.angle, &place.field("angle"), out);
            let radius = out.length(&bend.radius, cx.config, &place.field("radius"));
            Some(Bend { angle: angle?, radius: radius?, place })
        })
        .collect();
    let trim = flat.trim.as_ref().map(|text| out.size("trim allowance", text, cx.config, &place.field("trim")));
    let flanges: Vec<Option<CurvedFlange>> = flat
        .flanges
        .iter()
        .enumerate()
        .map(|(index, flange)| curved(cx, flange, place.field("flanges").item(index), out))
        .collect();
    let bends: Option<Vec<Bend>> = bends.into_iter().collect();
    let flanges: Option<Vec<CurvedFlange>> = flanges.into_iter().collect();
    let (None | Some(Some(_)), true) = (&trim, sound) else { return None };
    Some(Flat {
        place,
        bent_in: flat.bent_in.clone(),
        legs: legs?,
        bends: bends?,
        trim: trim.flatten(),
        flanges: flanges?,
    })
}

fn curved(cx: &Context, raw: &schema::CurvedFlange, place: Place, out: &mut Findings) -> Option<CurvedFlange> {
    let width = out.size("width", &raw.width, cx.config, &place.field("width"));
    let angle = raw.angle.as_ref().map_or(Some(90.0), |text| self::angle(text, &place.field("angle"), out));
    if raw.runs.is_empty() {
        let message = format!("the flange `{}` has no runs", raw.name);
        out.add(
            Finding::new(codes::FLAT_UNSOUND, message, place.field("runs"), "no runs")
                .help("give each run along its length, with its curve"),
        );
        return None;
    }
    let mut runs = Vec::new();
    for (index, run) in raw.runs.iter().enumerate() {
        let place = place.field("runs").item(index);
        let length = out.size("length", &run.length, cx.config, &place.field("length"));
        let argument = place.field("curve").item(0);
        let curve = match &run.curve {
            schema::Curve::Straight => Some(Curve::Straight),
            schema::Curve::Stretch(radius) => out.size("radius", radius, cx.config, &argument).map(Curve::Stretch),
            schema::Curve::Shrink(radius) => out.size("radius", radius, cx.config, &argument).map(Curve::Shrink),
        };
        if let (Some(Curve::Stretch(radius)), Some(width)) = (&curve, &width)
            && radius.picometres <= width.picometres
        {
            let message = format!(
                "the flange `{}`, {} wide, does not fit inside a bend line of radius {}",
                raw.name, width.text, radius.text
            );
            out.add(
                Finding::new(codes::FLAT_UNSOUND, message, argument, "too tight")
                    .label(place.clone(), "this run")
                    .help("check the radius of the bend line and the width of the flange against the drawing"),
            );
            return None;
        }
        runs.push(Run { length: length?, curve: curve? });
    }
    Some(CurvedFlange { name: raw.name.clone(), width: width?, angle: angle?, runs, place })
}

/// A bend angle: over 0 and under 180 degrees.
fn angle(text: &str, place: &Place, out: &mut Findings) -> Option<f64> {
    let number = text.trim().strip_suffix("deg").and_then(|number| number.trim_end().parse::<f64>().ok());
    let found = number.filter(|degrees| *degrees > 0.0 && *degrees < 180.0);
    if found.is_none() {
        let message = format!("`{text}` is not a bend angle over `0deg` and under `180deg`");
        out.add(
            Finding::new(codes::FLAT_UNSOUND, message, place.clone(), "not a bend angle")
                .help("write how far the sheet is bent from flat, as in `90deg`"),
        );
    }
    found
}
