//! Advice on splices: rivets and laps against published figures, joints in line. It never stops work.

use super::complete::Complete;
use crate::codes::{self, Code};
use crate::finding::{Finding, Place};
use crate::graph::Graph;
use crate::metal::{PublishedRivets, lap_needed, published_rivets, rivets_needed};
use crate::model::{Frame, Model, Rivets, Segment};
use crate::proof::catalogue::{Catalogue, Witness};
use crate::proof::splices::{InLine, Meeting, OtherJoint, in_line, meetings};
use crate::quantity::length::mm_and_inches;
use crate::quantity::{Length, RivetSpacing, RivetTables, Sourced};
use crate::schema::{Reduced, RivetKind};
use crate::words::witness_text;

/// What every advice ends with.
const ADVICE: &str = "this is advice: approved data overrules it";

pub(super) fn check(
    catalogue: &mut Catalogue<'_>,
    model: &Model,
    graph: &Graph,
    complete: &Complete<'_>,
) -> Vec<Finding> {
    // Where a table of the shop is not known, nothing is said that rests on it.
    let (tables, spacing) = (model.config.rivets.known(), model.config.spacing.known());
    let mut findings = Vec::new();
    let meetings = meetings(catalogue, model, graph);
    let mut unpublished: Vec<(Place, String)> = Vec::new();
    for (id, name, frame) in model.frames.iter().filter(|(id, ..)| complete.frame(*id)) {
        for (point, entry) in frame.splice_points.iter().enumerate() {
            let here: Vec<&Meeting> = meetings.iter().filter(|m| (m.frame, m.point) == (id, point)).collect();
            for rivets in &entry.rivets {
                let splice = Splice { model, name, frame, point, rivets };
                if let Some(spacing) = spacing {
                    findings.extend(splice.too_near(spacing));
                    findings.extend(splice.lap(spacing, &here));
                }
                if let Some(tables) = tables {
                    findings.extend(splice.number(&here, tables, &mut unpublished));
                }
            }
        }
    }
    findings.extend(tables.and_then(|tables| not_published(tables, unpublished)));
    let lines = in_line(catalogue, model, graph, model.config.settings.in_line_degrees);
    let judged = lines.iter().filter(|line| {
        let other = match line.with {
            OtherJoint::Skin(_) => true,
            OtherJoint::Splice(frame, _) => complete.frame(frame),
        };
        other && complete.frame(line.frame)
    });
    findings.extend(judged.map(|line| line_worded(model, line)));
    findings
}

/// A group of rivets of a splice.
struct Splice<'m> {
    model: &'m Model,
    name: &'m str,
    frame: &'m Frame,
    point: usize,
    rivets: &'m Rivets,
}

impl Splice<'_> {
    /// The splice and its frame by name, with what the group is in.
    fn called(&self) -> String {
        let of = self.rivets.of.as_ref().map(|of| format!(" ({of})")).unwrap_or_default();
        format!("the splice `{}` of frame `{}`{of}", self.frame.splice_points[self.point].name, self.name)
    }
    fn segments(&self, meeting: &Meeting) -> [&Segment; 2] {
        [&self.frame.segments[meeting.ending], &self.frame.segments[meeting.starting]]
    }
    fn part(&self, segment: &Segment) -> &str {
        self.model.parts.name(segment.part)
    }
    fn seen_on(&self, witness: &Witness) -> String {
        format!("so it is on {}", witness_text(witness, self.model))
    }

    /// Edge distance, pitch and row spacing below the published least.
    fn too_near(&self, spacing: &Sourced<RivetSpacing>) -> Vec<Finding> {
        let diameter = self.rivets.diameter.mm();
        let mut found = Vec::new();
        let mut below = |what: &str, length: &Option<Length>, least: f64, rule: String, field: &'static str| {
            let Some(length) = length.as_ref().filter(|length| length.mm() < least - SAME_MM) else { return };
            let message = format!(
                "{what} `{}` at {} is below the published least of {}",
                length.text,
                self.called(),
                mm_and_inches(least)
            );
            let place = self.rivets.place.field(field);
            let label = format!("less than {rule}");
            found.push(
                Finding::new(codes::RIVETS_TOO_NEAR, message, place, label)
                    .because(format!("the least is {rule} ({}), {}; {ADVICE}", spacing.source, mm_and_inches(least)))
                    .help("check it against the drawing; where the original structure is known, repeat its spacing"),
            );
        };
        let times = |times: f64| format!("{times} diameters of the rivet");
        below("the edge distance", &self.rivets.edge, spacing.edge * diameter, times(spacing.edge), "edge");
        below("the pitch", &self.rivets.pitch, spacing.pitch * diameter, times(spacing.pitch), "pitch");
        if let Some(pitch) = &self.rivets.pitch {
            let rule = format!("{:.0} per cent of the pitch", 100.0 * spacing.rows);
            below("the row spacing", &self.rivets.row_spacing, spacing.rows * pitch.mm(), rule, "row_spacing");
        }
        found
    }

    /// A lap that does not hold its rows; of several, the one that is shortest.
    fn lap(&self, least: &Sourced<RivetSpacing>, meetings: &[&Meeting]) -> Option<Finding> {
        let rivets = self.rivets;
        let diameter = rivets.diameter.mm();
        let edge = rivets.edge.as_ref().map_or(least.edge * diameter, Length::mm);
        let pitch = rivets.pitch.as_ref().map_or(least.pitch * diameter, Length::mm);
        let spacing = rivets.row_spacing.as_ref().map_or(least.rows * pitch, Length::mm);
        let need = lap_needed(rivets.rows, spacing, edge);
        let laps = meetings.iter().filter_map(|meeting| {
            let [ending, starting] = self.segments(meeting);
            let laps = [&ending.lap_to, &starting.lap_from].map(|lap| lap.as_ref().map_or(0.0, Length::mm));
            // Two that do not lap are joined otherwise, and then nothing is known of the lap.
            let lap: f64 = laps.iter().sum();
            (lap > 0.0).then_some((lap, *meeting))
        });
        let (lap, meeting) = laps.min_by(|(a, _), (b, _)| a.total_cmp(b)).filter(|(lap, _)| *lap < need - SAME_MM)?;
        let [ending, starting] = self.segments(meeting);
        let rows = if rivets.rows == 1 { "one row".to_owned() } else { format!("{} rows", rivets.rows) };
        let message = format!(
            "`{}` and `{}` lap by {} at {}, and {rows} of rivets need {}",
            self.part(ending),
            self.part(starting),
            mm_and_inches(lap),
            self.called(),
            mm_and_inches(need)
        );
        let edges = if rivets.edge.is_some() { "" } else { ", counted at the published least," };
        let mut sum = format!("an edge distance of {}{edges} at either side", mm_and_inches(edge));
        if rivets.rows > 1 {
            let counted = if rivets.row_spacing.is_some() { "" } else { ", counted at the published least" };
            sum.extend([", and ", &mm_and_inches(spacing), " from row to row", counted]);
        }
        let counted = rivets.edge.is_none() || (rivets.rows > 1 && rivets.row_spacing.is_none());
        let from = if counted { format!(" ({})", least.source) } else { String::new() };
        let finding = Finding::new(codes::LAP_TOO_SHORT, message, rivets.place.field("rows"), rows)
            .label(ending.place.field("lap_to"), format!("`{}` laps", self.part(ending)))
            .label(starting.place.field("lap_from"), format!("`{}` laps", self.part(starting)))
            .because(format!("the rows need {sum}{from}; {ADVICE}"))
            .because(self.seen_on(&meeting.witness));
        Some(finding.help("check the laps and the rivets against the drawing"))
    }

    /// Fewer rivets than a published table asks for; of several thicknesses, the one that asks for most.
    fn number(
        &self,
        meetings: &[&Meeting],
        tables: &Sourced<RivetTables>,
        unpublished: &mut Vec<(Place, String)>,
    ) -> Option<Finding> {
        let rivets = self.rivets;
        let (sheet, across, number) = (rivets.sheet.as_ref()?, rivets.across.as_ref()?, rivets.in_all()?);
        let share = match rivets.reduced {
            Some(Reduced::IntermediateFrame) => 0.60,
            Some(Reduced::SingleLap) => 0.75,
            Some(Reduced::Stringer) => 0.80,
            None => 1.0,
        };
        let mut most: Option<(u32, u32, &Length, PublishedRivets<'_>, &Meeting)> = None;
        for &meeting in meetings {
            let thickness = self.segments(meeting).into_iter().map(|s| self.model.parts[s.part].thickness.as_ref());
            let thickness: Option<Vec<&Length>> = thickness.collect();
            // Of the two sheets the thinner one gives way first.
            let thinner = thickness.and_then(|both| both.into_iter().min_by_key(|length| length.picometres));
            let Some(thinner) = thinner else { continue };
            let published = match rivets.kind {
                RivetKind::AdProtruding => published_rivets(tables, sheet, &rivets.diameter, thinner),
                RivetKind::Other(_) => None,
            };
            let Some(published) = published else {
                let (field, kind) = match &rivets.kind {
                    RivetKind::AdProtruding => ("sheet", String::new()),
                    RivetKind::Other(kind) => ("kind", format!("{kind} ")),
                };
                let place = rivets.place.field(field);
                let sentence = format!("{kind}rivets of `{}` in `{}` of `{sheet}`", rivets.diameter.text, thinner.text);
                if !unpublished.iter().any(|(other, _)| *other == place) {
                    unpublished.push((place, sentence));
                }
                continue;
            };
            let (whole, need) = rivets_needed(published.per_inch, across.inches(), share);
            if most.is_none_or(|(_, other, ..)| need > other) {
                most = Some((whole, need, thinner, published, meeting));
            }
        }
        let (whole, need, thinner, published, meeting) = most.filter(|(_, need, ..)| number < *need)?;
        let message = format!("{} has {number} rivets, and {need} are asked for by a published table", self.called());
        let column = if thinner.picometres == published.column.picometres {
            String::new()
        } else {
            format!(" (read at `{}`, the next column)", published.column.text)
        };
        let memory = if published.from_memory { ", for this sheet from memory: check against the source" } else { "" };
        let reduced = match rivets.reduced {
            Some(Reduced::IntermediateFrame) => format!("; 60 per cent for an intermediate frame, {need}"),
            Some(Reduced::SingleLap) => format!("; 75 per cent for a single lap, {need}"),
            Some(Reduced::Stringer) => format!("; 80 per cent for a stringer, {need}"),
            None => String::new(),
        };
        let counted = format!(
            "`{}` of `{sheet}` in `{}`{column} with `{}` rivets: {} to the inch ({}, {}{memory}), {whole}{reduced}; each \
             rounded up; {ADVICE}",
            across.text, thinner.text, rivets.diameter.text, published.per_inch, tables.source, published.table
        );
        let [ending, starting] = self.segments(meeting);
        let thin = [ending, starting].into_iter().find(|segment| {
            self.model.parts[segment.part].thickness.as_ref().is_some_and(|t| t.picometres == thinner.picometres)
        })?;
        let finding = Finding::new(codes::RIVETS_TOO_FEW, message, rivets.place.field("number"), "so many")
            .label(
                self.model.parts[thin.part].place.field("thickness"),
                format!("`{}`, the thinner of the two", self.part(thin)),
            )
            .because(counted)
            .because(self.seen_on(&meeting.witness));
        Some(finding.help("count the rivets on the drawing; check the sheet and the width that they join"))
    }
}

/// A length short of another by less than this, in millimetres, is as long: far below what anybody measures.
const SAME_MM: f64 = 1e-6;

/// One remark for the whole type on rivets of which no number is published.
fn not_published(tables: &RivetTables, groups: Vec<(Place, String)>) -> Option<Finding> {
    let sheets: Vec<String> =
        tables.tables.iter().flat_map(|table| &table.sheets).map(|sheet| format!("`{sheet}`")).collect();
    let mut groups = groups.into_iter();
    let (place, first) = groups.next()?;
    let message = format!("no published number is held for {first}, so the number of these rivets is not checked");
    let finding = Finding::new(codes::RIVETS_NOT_PUBLISHED, message, place, "not checked");
    let finding =
        groups.fold(finding, |finding, (place, sentence)| finding.label(place, format!("nor for {sentence}")));
    let help = format!(
        "take the number from the drawing; where a published table is meant, name its sheet: {}",
        sheets.join(", ")
    );
    Some(finding.help(help))
}

fn line_worded(model: &Model, line: &InLine) -> Finding {
    let frame = &model.frames[line.frame];
    let point = &frame.splice_points[line.point];
    let called = format!("the splice `{}` of frame `{}`", point.name, model.frames.name(line.frame));
    let apart = if line.apart_deg < 0.05 {
        "at the same clock angle".to_owned()
    } else {
        format!("{:.1} degrees of clock angle apart", line.apart_deg)
    };
    let code: Code = codes::SPLICE_IN_LINE;
    let place = point.place.field("at");
    let finding = match line.with {
        OtherJoint::Skin(index) => {
            let joint = &model.skin_joints[index];
            let message = format!("{called} is in line with the skin joint `{}`", joint.name);
            Finding::new(code, message, place, "spliced here").label(joint.record.field("clock"), apart)
        }
        OtherJoint::Splice(next, other) => {
            let other = &model.frames[next].splice_points[other];
            let message = format!(
                "{called} is in line with the splice `{}` of the next frame aft, `{}`",
                other.name,
                model.frames.name(next)
            );
            Finding::new(code, message, place, "spliced here").label(other.place.field("at"), apart)
        }
    };
    finding
        .because("joints are kept apart: common practice, no source")
        .because(format!("so it is on {}", witness_text(&line.witness, model)))
        .help("look at the drawing: if the joints are in line there too, leave them")
}
