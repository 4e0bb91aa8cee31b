//! A plate as a drawing for the machine shop: DXF at 1:1, in the jig's datum axes, seen on the marked face.
//!
//! Invariant: what is cut stands by itself on the layers `HOLES` (circles and nothing else) and `OUTLINE`, at its
//! nominal place, exact to a `f64`. The unit is the one that the plate's holes are written in, inches or millimetres;
//! the drawing carries it in its header and in words.

mod drawing;
mod labels;

use crate::answers::form::{stamp_text, treatment_word};
use crate::ids::PlateId;
use crate::layout::CAUTION;
use crate::model::{Hole, Marks, Model, Plate};
use crate::quantity::Length;
use crate::words::length_text;
use crate::words::survey::Unit;
use drawing::{DxfDrawing, DxfPoint, Justification, Layer};
use labels::{Extent, Labels};
use textwrap::Options;

/// A plate in the unit of its drawing.
struct DrawnPlate<'m> {
    plate: &'m Plate,
    unit: Unit,
    /// How far its holes and its edge reach.
    extent: Extent,
    /// The height of words, and of what stands beside a hole.
    words: f64,
    names: f64,
}

/// A plate as DXF: its holes, its edge where that is recorded, its datums, a table of the holes, what must be known of
/// it, and a square to check the scale by. `printed` is the day of printing. `None`: it has no holes.
///
/// Words, table and square stand beside the plate, on the side away from the jig's origin, which may lie far off.
#[must_use]
pub fn plate_template(model: &Model, plate: PlateId, printed: &str) -> Option<String> {
    let drawn = DrawnPlate::new(&model.plates[plate])?;
    let mut drawing = DxfDrawing::new(drawn.unit == Unit::Inches);
    let mut labels = Labels::default();
    drawn.metal(&mut drawing, &mut labels);
    drawn.datums(&mut drawing, &mut labels);
    drawn.name_holes(&mut drawing, &mut labels);
    let near = labels.near(drawn.extent);
    let gap = 4.0 * drawn.words;
    let beside = |drawing: &mut DxfDrawing, left: f64| {
        let wide = drawn.title(drawing, model, plate, printed, (left, near.high.1));
        wide + gap + drawn.table(drawing, (left + wide + gap, near.high.1))
    };
    // Left of a plate that has the origin to its right; how wide all is, shows where it is drawn.
    let left = if drawn.extent.high.0 < 0.0 {
        near.low.0 - gap - beside(&mut DxfDrawing::new(drawn.unit == Unit::Inches), 0.0)
    } else {
        near.high.0 + gap
    };
    beside(&mut drawing, left);
    Some(drawing.finish())
}

/// What was not read of what the drawing of a plate shows: of its definition, of the parts that it locates.
#[must_use]
pub fn not_read_of_template(model: &Model, plate: PlateId) -> Marks {
    let mut marks = model.losses.of_plate(plate);
    marks.extend(model.plates[plate].locates.iter().flat_map(|part| model.losses.of_part(*part)));
    marks
}

impl<'m> DrawnPlate<'m> {
    fn new(plate: &'m Plate) -> Option<DrawnPlate<'m>> {
        let mut drawn = DrawnPlate { plate, unit: Unit::of(plate), extent: Extent::default(), words: 0.0, names: 0.0 };
        let at: Vec<DxfPoint> = plate.holes.iter().map(|hole| drawn.place(hole)).collect();
        let first = *at.first()?;
        let mut extent = Extent { low: first, high: first };
        for (hole, at) in plate.holes.iter().zip(&at) {
            extent = extent.with(Extent::round(*at, drawn.size(&hole.diameter) / 2.0));
        }
        for (at, _) in drawn.edge() {
            extent = extent.with(Extent::round(at, 0.0));
        }
        let millimetre = drawn.of_mm(1.0);
        let longest = (extent.high.0 - extent.low.0).max(extent.high.1 - extent.low.1);
        let apart = |a: &DxfPoint, b: &DxfPoint| (a.0 - b.0).hypot(a.1 - b.1);
        let pairs = at.iter().enumerate().flat_map(|(n, a)| at[n + 1..].iter().map(move |b| apart(a, b)));
        let nearest = pairs.fold(f64::INFINITY, f64::min);
        drawn.words = (longest / 110.0).clamp(3.0 * millimetre, 7.0 * millimetre);
        drawn.names = (nearest / 4.0).clamp(2.5 * millimetre, drawn.words);
        drawn.extent = extent;
        Some(drawn)
    }

    fn size(&self, length: &Length) -> f64 {
        if self.unit == Unit::Inches { length.inches() } else { length.mm() }
    }
    fn of_mm(&self, mm: f64) -> f64 {
        if self.unit == Unit::Inches { mm / 25.4 } else { mm }
    }
    fn place(&self, hole: &Hole) -> DxfPoint {
        (self.size(&hole.at[0]), self.size(&hole.at[1]))
    }
    fn radius(&self, hole: &Hole) -> f64 {
        self.size(&hole.diameter) / 2.0
    }
    fn unit_name(&self) -> &'static str {
        if self.unit == Unit::Inches { "in" } else { "mm" }
    }
    /// A number as machinists read it: tenths of a thou, or thousandths of a millimetre.
    fn number(&self, value: f64) -> String {
        let text = if self.unit == Unit::Inches { format!("{value:.4}") } else { format!("{value:.3}") };
        if text.trim_start_matches('-').trim_matches(['0', '.']).is_empty() { text.replace('-', "") } else { text }
    }
    /// The vertices of the edge with their bulges; none where it is not recorded.
    fn edge(&self) -> Vec<(DxfPoint, f64)> {
        let vertices = self.plate.outline.iter().flat_map(crate::geometry::Outline::vertices);
        vertices.map(|vertex| ((self.of_mm(vertex.at.0), self.of_mm(vertex.at.1)), vertex.bulge)).collect()
    }

    fn metal(&self, drawing: &mut DxfDrawing, labels: &mut Labels) {
        for hole in &self.plate.holes {
            let (at, radius) = (self.place(hole), self.radius(hole));
            drawing.circle(Layer::Holes, at, radius);
            let arm = radius / 2.0;
            drawing.line(Layer::Centres, (at.0 - arm, at.1), (at.0 + arm, at.1));
            drawing.line(Layer::Centres, (at.0, at.1 - arm), (at.0, at.1 + arm));
            labels.keep_off(Extent::round(at, radius + self.names / 4.0));
        }
        let edge = self.edge();
        if !edge.is_empty() {
            drawing.closed(Layer::Outline, &edge);
            let next = edge.iter().cycle().skip(1);
            for ((start, _), (end, _)) in edge.iter().zip(next) {
                labels.keep_off_line(*start, *end);
            }
        }
    }

    /// The jig's own datums: the origin with its axes, and the dowels with the line between the first two.
    fn datums(&self, drawing: &mut DxfDrawing, labels: &mut Labels) {
        let (arm, tick) = (4.0 * self.words, 0.6 * self.words);
        for (tip, sides) in [
            ((arm, 0.0), [(arm - tick, tick / 2.0), (arm - tick, -tick / 2.0)]),
            ((0.0, arm), [(tick / 2.0, arm - tick), (-tick / 2.0, arm - tick)]),
        ] {
            let tail = (-tip.0 / 4.0, -tip.1 / 4.0);
            drawing.line(Layer::Datums, tail, tip);
            labels.keep_off_line(tail, tip);
            for side in sides {
                drawing.line(Layer::Datums, tip, side);
            }
        }
        for (tip, name) in [((arm, 0.0), "x"), ((0.0, arm), "y")] {
            labels.put(drawing, tip, 0.0, self.words, name);
        }
        labels.put(drawing, (0.0, 0.0), 0.0, self.words, "0: origin of the jig's datum axes");
        let datums: Vec<&Hole> = self.plate.holes.iter().filter(|hole| hole.datum).collect();
        for hole in &datums {
            let (at, half) = (self.place(hole), self.radius(hole) + 0.5 * self.names);
            let corners = [(-half, -half), (half, -half), (half, half), (-half, half)];
            let corners = corners.map(|(x, y)| ((at.0 + x, at.1 + y), 0.0));
            drawing.closed(Layer::Datums, &corners);
            labels.keep_off(Extent::round(at, half));
        }
        if let [first, second, ..] = datums[..] {
            let (start, end) = (self.place(first), self.place(second));
            drawing.line(Layer::Datums, start, end);
            labels.keep_off_line(start, end);
            let apart = (end.0 - start.0).hypot(end.1 - start.1);
            let words = format!("{} to {}: {} {}", first.name, second.name, self.number(apart), self.unit_name());
            let middle = (f64::midpoint(start.0, end.0), f64::midpoint(start.1, end.1));
            labels.put(drawing, middle, 0.0, self.words, &words);
        }
    }

    fn name_holes(&self, drawing: &mut DxfDrawing, labels: &mut Labels) {
        for hole in &self.plate.holes {
            let datum = if hole.datum { " datum" } else { "" };
            let treatment = hole.treatment.map_or(String::new(), |treatment| format!(" {}", treatment_word(treatment)));
            let diameter = self.number(self.size(&hole.diameter));
            let words = format!("{} dia {diameter}{treatment}{datum}", hole.name);
            labels.put(drawing, self.place(hole), self.radius(hole), self.names, &words);
        }
    }

    /// What must be known of the plate, and the square; gives how wide it is.
    fn title(
        &self,
        drawing: &mut DxfDrawing,
        model: &Model,
        plate: PlateId,
        printed: &str,
        (left, top): DxfPoint,
    ) -> f64 {
        let issue = self.plate.issue.as_ref().map_or(String::new(), |issue| format!(" ISSUE {issue}"));
        let head = format!("PLATE {}{issue}", model.plates.name(plate));
        let mut at = top - 2.0 * self.words;
        drawing.text((left, at), 2.0 * self.words, Justification::Left, &head);
        let mut wide = labels::width(&head, 2.0 * self.words);
        for paragraph in self.paragraphs(model, plate, printed) {
            at -= 0.6 * self.words;
            for line in textwrap::wrap(&paragraph, Options::new(62).break_words(false)) {
                at -= 1.7 * self.words;
                drawing.text((left, at), self.words, Justification::Left, &line);
                wide = wide.max(labels::width(&line, self.words));
            }
        }
        let (side, _) = self.square();
        let low = at - 2.5 * self.words - side;
        let corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)];
        drawing.closed(Layer::Check, &corners.map(|(x, y)| ((left + x, low + y), 0.0)));
        wide.max(side)
    }

    /// The side of the checking square, and what it is called.
    fn square(&self) -> (f64, &'static str) {
        match (self.unit, self.extent.longest() < self.of_mm(200.0)) {
            (Unit::Inches, true) => (2.0, "two inches"),
            (Unit::Inches, false) => (4.0, "four inches"),
            (Unit::Millimetres, true) => (50.0, "fifty millimetres"),
            (Unit::Millimetres, false) => (100.0, "one hundred millimetres"),
        }
    }

    fn paragraphs(&self, model: &Model, id: PlateId, printed: &str) -> Vec<String> {
        let plate = self.plate;
        let recorded = |text: Option<String>| text.unwrap_or_else(|| "not recorded".to_owned());
        let located = plate.locates.iter().map(|part| {
            let description = &model.parts[*part].description;
            format!("{} ({description})", model.parts.name(*part))
        });
        let units = if self.unit == Unit::Inches { "INCHES" } else { "MILLIMETRES" };
        let (side, words) = self.square();
        let unit = self.unit_name();
        let mut sentences: Vec<String> = plate.title.iter().cloned().collect();
        sentences.push(format!("Drawing: {}, issue: {}", model.plates.name(id), recorded(plate.issue.clone())));
        sentences.push(format!("Jig station: {}", plate.jig_station));
        let thickness = plate.thickness.as_ref().map(|thickness| length_text(&thickness.text));
        sentences.push(format!("Material: {}. Thickness: {}.", recorded(plate.material.clone()), recorded(thickness)));
        sentences.push(format!("Stamp on the marked face: {}", stamp_text(model, id)));
        if plate.holes.iter().all(|hole| hole.treatment.is_none()) {
            sentences.push("Holes: drill, ream or bush is not recorded.".to_owned());
        }
        sentences.push(format!("Locates: {}", located.collect::<Vec<_>>().join("; ")));
        sentences.push(format!("Units: {units}. Scale 1:1."));
        sentences.push(
            "SEEN ON THE MARKED FACE, the one that carries the plate's marks. Not mirrored; do not mirror: the other hand is \
             another plate."
                .to_owned(),
        );
        sentences.push("Axes: the datum axes of the jig. Holes in a square are the jig's own datums.".to_owned());
        if plate.outline.is_none() {
            sentences.push("No edge is recorded for this plate: layer OUTLINE is empty.".to_owned());
        }
        if plate.holes.iter().any(|hole| hole.at[2].picometres != 0) {
            sentences.push("Holes stand at different heights: z is in the table, and the drawing is flat.".to_owned());
        }
        sentences.push(CAUTION.to_owned());
        sentences.push(format!("Printed: {printed}"));
        sentences.push(format!(
            "CHECKING SQUARE below: {side} {unit} ({words}) each side, {} {unit} from corner to corner. If it measures \
             otherwise, the scale is wrong: do not cut.",
            self.number(side * 2.0_f64.sqrt())
        ));
        sentences
    }

    /// The holes as a table, its upper left corner given; gives how wide it is.
    fn table(&self, drawing: &mut DxfDrawing, (left, top): DxfPoint) -> f64 {
        let unit = self.unit_name();
        let deep = self.plate.holes.iter().any(|hole| hole.at[2].picometres != 0);
        let mut rows = vec![vec!["Hole".to_owned(), format!("x {unit}"), format!("y {unit}")]];
        let treated = self.plate.holes.iter().any(|hole| hole.treatment.is_some());
        let behind = [format!("dia {unit}"), format!("tolerance dia {unit}"), String::new()];
        rows[0].extend(deep.then(|| format!("z {unit}")).into_iter().chain(behind));
        rows[0].extend(treated.then(|| "made by".to_owned()));
        let figures_end = if deep { 6 } else { 5 };
        for hole in &self.plate.holes {
            let axes = hole.at.iter().take(if deep { 3 } else { 2 });
            let mut row = vec![hole.name.clone()];
            row.extend(axes.chain([&hole.diameter, &hole.tolerance]).map(|length| self.number(self.size(length))));
            row.push(if hole.datum { "datum".to_owned() } else { String::new() });
            if treated {
                row.push(hole.treatment.map_or("not recorded", treatment_word).to_owned());
            }
            rows.push(row);
        }
        let mut x = left;
        for column in 0..rows[0].len() {
            let cells: Vec<&String> = rows.iter().map(|row| &row[column]).collect();
            let wide = cells.iter().map(|cell| labels::width(cell, self.words)).fold(0.0, f64::max);
            let mut y = top;
            for (row, cell) in cells.into_iter().enumerate() {
                y -= if row == 1 { 2.3 * self.words } else { 1.7 * self.words };
                // Figures stand flush right, so that their points stand below each other.
                let figures = (1..figures_end).contains(&column);
                let (anchor, inset) = if figures { (Justification::Right, wide) } else { (Justification::Left, 0.0) };
                if !cell.is_empty() {
                    drawing.text((x + inset, y), self.words, anchor, cell);
                }
            }
            x += wide + 2.0 * self.words;
        }
        let rule = top - 2.4 * self.words;
        drawing.line(Layer::Text, (left, rule), (x - 2.0 * self.words, rule));
        x - 2.0 * self.words - left
    }
}
