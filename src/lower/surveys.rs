//! Surveys of mounted plates.

use super::Context;
use super::names::Listed;
use super::say::Findings;
use super::shop::marks;
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::JigId;
use crate::model::{MeasuredHole, Model, Survey};
use crate::quantity::Length;
use crate::{codes, schema};

/// The surveys in the natural order of their names.
pub(super) fn lower(cx: &Context, model: &Model, out: &mut Findings) -> Vec<Survey> {
    let items = cx.records.surveys.iter().map(|(at, raw)| (raw.id.clone(), at.field("id"), (*at, *raw)));
    let names = Listed::collect("survey", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, items, out);
    names.iter().filter_map(|(_, _, (record, raw))| survey(cx, model, *record, raw, out)).collect()
}

fn survey(cx: &Context, model: &Model, record: RecordRef, raw: &schema::Survey, out: &mut Findings) -> Option<Survey> {
    let plate = mounted_plate(
        cx,
        model,
        &WrittenName { text: &raw.jig, at: record.field("jig") },
        &WrittenName { text: &raw.mark, at: record.field("mark") },
        out,
    );
    let date = out.window(&raw.date, &record.field("date"));
    let uncertainty = out.size("uncertainty", &raw.uncertainty, cx.config, &record.field("uncertainty"));
    let of_diameter = raw
        .diameter_uncertainty
        .as_ref()
        .map(|text| out.size("uncertainty of a diameter", text, cx.config, &record.field("diameter_uncertainty")));
    let temperature = raw.temperature.as_ref().and_then(|text| temperature(text, &record.field("temperature"), out));
    if let Some(unit) = &raw.unit {
        let sample = Length::parse(&format!("1{unit}"), cx.config);
        out.read(sample, &record.field("unit"))?;
    }
    if raw.holes.is_empty() {
        // A file that could not be read has its finding already.
        if raw.holes_from.is_some() {
            out.leave_out(record.place());
        } else {
            let message = format!("the survey `{}` has no holes", raw.id);
            let finding = Finding::new(codes::NO_HOLES_MEASURED, message, record.field("holes"), "no holes");
            out.add(finding.help("enter the measured holes, or name their CSV file in `holes_from`"));
        }
        return None;
    }
    let holes = measured(cx, record, raw, out);
    let ((jig, mounted), uncertainty) = (plate?, uncertainty?);
    Some(Survey {
        record,
        id: raw.id.clone(),
        jig,
        mounted,
        date: date?,
        instrument: raw.instrument.clone(),
        measured_by: raw.measured_by.clone(),
        diameter_uncertainty: of_diameter.unwrap_or_else(|| Some(uncertainty.clone()))?,
        uncertainty,
        temperature,
        face: raw.face,
        axes: raw.axes,
        holes,
    })
}

/// A name as it is written, and where.
pub(super) struct WrittenName<'a> {
    pub(super) text: &'a str,
    pub(super) at: Place,
}

/// The plate with this mark on the jig of this name.
pub(super) fn mounted_plate(
    cx: &Context,
    model: &Model,
    jig: &WrittenName<'_>,
    mark: &WrittenName<'_>,
    out: &mut Findings,
) -> Option<(JigId, usize)> {
    let at = cx.names.jigs.find(jig.text, &jig.at, out)?;
    let (_, (record, raw)) = cx.names.jigs.get(at);
    // The faults in the jig's own marks have their findings already.
    marks(*record, raw, &mut Findings::default()).beside(cx.lost, &["Jig"]).find(mark.text, &mark.at, out)?;
    let id = out.taken(model.jigs.id(jig.text), &jig.at)?;
    let mounted = model.jigs[id].mounted.iter().position(|plate| plate.mark == mark.text);
    let mounted = out.taken(mounted, &mark.at)?;
    Some((id, mounted))
}

fn measured(cx: &Context, record: RecordRef, raw: &schema::Survey, out: &mut Findings) -> Vec<MeasuredHole> {
    let item = |index| record.field("holes").item(index);
    let named = raw.holes.iter().enumerate();
    let named = named.filter_map(|(index, hole)| Some((hole.hole.clone()?, hole.place("hole", &item(index)), index)));
    let unique = Listed::collect("hole", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, named, out);
    let unit = raw.unit.as_deref();
    let mut holes = Vec::new();
    for (index, hole) in raw.holes.iter().enumerate() {
        let place = |field| hole.place(field, &item(index));
        let mut length = |text: &str, field| out.length(&with_unit(text, unit), cx.config, &place(field));
        let (x, y) = (length(&hole.x, "x"), length(&hole.y, "y"));
        let z = hole.z.as_ref().map_or(Some(Length::zero()), |text| length(text, "z"));
        let diameter = hole.diameter.as_ref().map(|text| with_unit(text, unit));
        let diameter = diameter.and_then(|text| out.size("diameter", &text, cx.config, &place("diameter")));
        let square = hole.out_of_square.as_ref().map(|text| with_unit(text, unit));
        let out_of_square = square.and_then(|text| out.length(&text, cx.config, &place("out_of_square")));
        let named = hole.hole.as_ref();
        let kept = named.is_none_or(|name| unique.index(name).is_some_and(|at| unique.get(at).1 == index));
        if let (Some(x), Some(y), Some(z), true) = (x, y, z, kept) {
            let place = if hole.cells.is_empty() { item(index) } else { place("x") };
            holes.push(MeasuredHole { place, name: hole.hole.clone(), at: [x, y, z], diameter, out_of_square });
        }
    }
    holes
}

/// A figure with the survey's unit behind it, if it has none of its own.
fn with_unit(text: &str, unit: Option<&str>) -> String {
    let bare = text.trim().ends_with(|c: char| c.is_ascii_digit() || c == '.');
    match unit {
        Some(unit) if bare => format!("{}{unit}", text.trim()),
        Some(_) | None => text.to_owned(),
    }
}

/// Degrees Celsius between what frost and sun make of a workshop.
fn temperature(text: &str, place: &Place, out: &mut Findings) -> Option<f64> {
    let number = text.trim().strip_suffix('C').and_then(|number| number.trim_end().parse::<f64>().ok());
    let found = number.filter(|degrees| (-40.0..=60.0).contains(degrees));
    if found.is_none() {
        let message = format!("`{text}` is not a temperature from -40 to 60 degrees Celsius");
        let meant = as_fahrenheit(text).map(|(degrees, c)| format!("; {degrees} degrees Fahrenheit are `{c:.1}C`"));
        let help = format!("write degrees Celsius, as in `18.5C`{}", meant.unwrap_or_default());
        out.add(Finding::new(codes::UNREADABLE_TEMPERATURE, message, place.clone(), "not a temperature").help(help));
    }
    found
}

/// What a text is in degrees Celsius that can only be meant in Fahrenheit.
fn as_fahrenheit(text: &str) -> Option<(f64, f64)> {
    let degrees: f64 = text.trim().trim_end_matches(['C', 'F']).trim_end().parse().ok()?;
    let celsius = (degrees - 32.0) / 1.8;
    (0.0..=60.0).contains(&celsius).then_some((degrees, celsius))
}
