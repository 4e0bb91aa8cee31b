//! Diameters and tolerances of a plate's holes, against each other.

use super::figure::{factor_between, unit_of};
use crate::codes;
use crate::finding::Finding;
use crate::ids::PlateId;
use crate::model::{Hole, Model};
use crate::quantity::{Config, Length};
use crate::schema::Treatment;

/// One question a hole: the diameter, or else the tolerance.
pub(super) fn check(model: &Model, id: PlateId) -> Vec<Finding> {
    let holes = &model.plates[id].holes;
    let ask = |(index, hole)| {
        let others =
            || holes.iter().enumerate().filter(move |(at, other)| *at != index && letters(other) == letters(hole));
        let others: Vec<&Hole> = others().map(|(_, other)| other).collect();
        unlike(model, id, hole, &others, "diameter", |hole| &hole.diameter)
            .or_else(|| within_hole(model, id, hole))
            .or_else(|| unlike(model, id, hole, &others, "tolerance", |hole| &hole.tolerance))
    };
    holes.iter().enumerate().filter_map(ask).collect()
}

/// What the names of holes of one kind begin with.
fn letters(hole: &Hole) -> &str {
    hole.name.trim_end_matches(|c: char| c.is_ascii_digit())
}

/// A figure that the holes of this kind share but for this one, which is ten or 25.4 times as large or small.
fn unlike(
    model: &Model,
    id: PlateId,
    hole: &Hole,
    others: &[&Hole],
    field: &'static str,
    of: fn(&Hole) -> &Length,
) -> Option<Finding> {
    let (own, common) = (of(hole), of(others.first()?));
    let agreed = others.len() >= 3 && others.iter().all(|other| of(other).picometres == common.picometres);
    let by_class = field == "tolerance" && hole.class.is_some();
    factor_between(own.mm(), common.mm()).filter(|_| agreed && !by_class)?;
    let message = format!(
        "hole `{}` of plate drawing `{}` has the {field} `{}`, the others like it `{}`: was that meant?",
        hole.name,
        model.plates.name(id),
        own.text,
        common.text
    );
    Some(
        Finding::new(codes::FIGURES_FIT_OTHERWISE, message, hole.place.field(field), "unlike the others")
            .label(others.first()?.place.field(field), "as on the others")
            .help(format!("compare it with the drawing; write `{}` if that is meant", common.text)),
    )
}

/// A question if the position tolerance of a hole is larger than the hole, or next to nothing beside it.
fn within_hole(model: &Model, id: PlateId, hole: &Hole) -> Option<Finding> {
    let (diameter, tolerance) = (&hole.diameter, &hole.tolerance);
    // Dowel holes and reamed ones are made far nearer than others.
    let fine = hole.datum || hole.treatment == Some(Treatment::Ream);
    let least = if fine { 1_000 } else { 100 };
    let above = tolerance.picometres > diameter.picometres;
    // The zone of a class is the shop's own, and stands in another place.
    let below = hole.class.is_none() && tolerance.picometres < diameter.picometres / least;
    if !above && !below {
        return None;
    }
    let written = hole.class.as_ref().map_or_else(String::new, |class| format!("`{class}`, "));
    let meant = meant_tolerance(hole, &model.plates[id].holes, least, &model.config);
    let ask = meant.as_ref().map_or_else(|| "is that meant?".to_owned(), |meant| format!("was `{meant}` meant?"));
    let message = format!(
        "hole `{}` of plate drawing `{}`: a tolerance of {written}`{}` on a hole of `{}`: {ask}",
        hole.name,
        model.plates.name(id),
        tolerance.text,
        diameter.text
    );
    let (code, label, help) = if above {
        let help = "check both against the drawing: they may be exchanged, or a decimal point may be out";
        (codes::TOLERANCE_ABOVE_HOLE, "larger than the hole", help)
    } else {
        let help = "check both against the drawing: a decimal point or the unit may be out";
        (codes::TOLERANCE_BELOW_HOLE, "next to nothing", help)
    };
    let write = meant.map(|meant| format!("; write `{meant}` if that is meant")).unwrap_or_default();
    let finding = Finding::new(code, message, hole.place.field("tolerance"), label)
        .label(hole.place.field("diameter"), "the hole")
        .help(format!("{help}{write}"));
    let own = model.config.tolerances.known().and_then(|table| table.record).filter(|_| hole.class.is_some());
    Some(match own {
        Some(record) => finding.label(record.field("classes"), "the shop's own classes"),
        None => finding,
    })
}

/// The tolerance that may have been meant: that of the plate's other holes of this size, where they agree; else the same
/// figure in another unit, if it suits the hole.
fn meant_tolerance(hole: &Hole, holes: &[Hole], least: i64, config: &Config) -> Option<String> {
    let suits =
        |picometres: i64| picometres * 2 <= hole.diameter.picometres && picometres >= hole.diameter.picometres / least;
    let like = |other: &&Hole| other.name != hole.name && other.diameter.picometres == hole.diameter.picometres;
    let mut others = holes.iter().filter(like).map(|other| &other.tolerance);
    if let Some(first) = others.next().filter(|first| suits(first.picometres))
        && others.all(|other| other.picometres == first.picometres)
    {
        return Some(first.text.clone());
    }
    let unit = unit_of(&hole.tolerance);
    let number = hole.tolerance.text.trim().strip_suffix(unit)?.trim_end();
    let units = match unit {
        "in" => ["thou", "mm"],
        "mm" => ["um", "thou"],
        "thou" => ["um", "in"],
        "um" => ["mm", "thou"],
        _ => return None,
    };
    let in_unit = units.into_iter().map(|other| format!("{number}{other}"));
    in_unit.into_iter().find(|text| Length::parse(text, config).is_ok_and(|length| suits(length.picometres)))
}
