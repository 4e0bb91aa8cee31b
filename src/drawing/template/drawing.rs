//! DXF, an open format for drawings: layers, lines, circles, words.

use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Text};
use dxf::enums::{AcadVersion, DrawingUnits, HorizontalTextJustification, Units};
use dxf::{Color, LwPolylineVertex, Point};

/// A place in the unit of the drawing.
pub(super) type DxfPoint = (f64, f64);

/// Which end of its words stands at a place.
#[derive(Clone, Copy)]
pub(super) enum Justification {
    Left,
    Middle,
    Right,
}

/// A layer.
#[derive(Clone, Copy)]
pub(super) enum Layer {
    /// The circles of the holes, and nothing else.
    Holes,
    /// A cross at the centre of each.
    Centres,
    /// The edge of the plate.
    Outline,
    /// The jig's datums.
    Datums,
    /// Words, and lines to what they are about.
    Text,
    /// The square to check the scale by.
    Check,
}

impl Layer {
    const ALL: [Layer; 6] = [Layer::Holes, Layer::Centres, Layer::Outline, Layer::Datums, Layer::Text, Layer::Check];

    /// Its name, and the number of its colour in the format.
    fn named(self) -> (&'static str, u8) {
        match self {
            Layer::Holes => ("HOLES", 7),
            Layer::Centres => ("CENTRES", 8),
            Layer::Outline => ("OUTLINE", 5),
            Layer::Datums => ("DATUMS", 1),
            Layer::Text => ("TEXT", 3),
            Layer::Check => ("CHECK", 6),
        }
    }
}

/// Dates and marks of a drawing that is not of any day: the file of a plate has the same bytes whenever it is written.
const OF_NO_DAY: &str = "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n\
    9\n$TDCREATE\n 40\n2451545.0\n  9\n$TDUCREATE\n 40\n2451545.0\n\
    9\n$TDUPDATE\n 40\n2451545.0\n  9\n$TDUUPDATE\n 40\n2451545.0\n\
    9\n$FINGERPRINTGUID\n  2\n{00000000-0000-0000-0000-000000000000}\n\
    9\n$VERSIONGUID\n  2\n{00000000-0000-0000-0000-000000000000}\n  0\nENDSEC\n  0\nEOF\n";

/// A drawing that grows.
pub(super) struct DxfDrawing {
    dxf: dxf::Drawing,
}

impl DxfDrawing {
    pub(super) fn new(inches: bool) -> DxfDrawing {
        let mut dxf = dxf::Drawing::load(&mut OF_NO_DAY.as_bytes()).expect("the constant is a drawing");
        dxf.header.version = AcadVersion::R2000;
        let (units, system) =
            if inches { (Units::Inches, DrawingUnits::English) } else { (Units::Millimeters, DrawingUnits::Metric) };
        dxf.header.default_drawing_units = units;
        dxf.header.drawing_units = system;
        for (name, colour) in Layer::ALL.map(Layer::named) {
            let color = Color::from_index(colour);
            dxf.add_layer(dxf::tables::Layer { name: name.to_owned(), color, ..Default::default() });
        }
        DxfDrawing { dxf }
    }

    fn add(&mut self, layer: Layer, specific: EntityType) {
        let mut entity = Entity::new(specific);
        layer.named().0.clone_into(&mut entity.common.layer);
        self.dxf.add_entity(entity);
    }
    pub(super) fn circle(&mut self, layer: Layer, at: DxfPoint, radius: f64) {
        self.add(layer, EntityType::Circle(Circle::new(point(at), radius)));
    }
    pub(super) fn line(&mut self, layer: Layer, start: DxfPoint, end: DxfPoint) {
        self.add(layer, EntityType::Line(Line::new(point(start), point(end))));
    }
    /// A closed line through vertices, each with the bulge of what leads to the next.
    pub(super) fn closed(&mut self, layer: Layer, vertices: &[(DxfPoint, f64)]) {
        let vertices = vertices.iter().map(|((x, y), bulge)| LwPolylineVertex {
            x: *x,
            y: *y,
            bulge: *bulge,
            ..LwPolylineVertex::default()
        });
        let mut path = LwPolyline { vertices: vertices.collect(), ..LwPolyline::default() };
        path.set_is_closed(true);
        self.add(layer, EntityType::LwPolyline(path));
    }
    /// Words on a base line through a place.
    pub(super) fn text(&mut self, at: DxfPoint, height: f64, anchor: Justification, words: &str) {
        let text = Text {
            location: point(at),
            second_alignment_point: point(at),
            horizontal_text_justification: match anchor {
                Justification::Left => HorizontalTextJustification::Left,
                Justification::Middle => HorizontalTextJustification::Center,
                Justification::Right => HorizontalTextJustification::Right,
            },
            text_height: height,
            value: words.to_owned(),
            ..Text::default()
        };
        self.add(Layer::Text, EntityType::Text(text));
    }

    /// The file.
    pub(super) fn finish(mut self) -> String {
        self.dxf.normalize();
        let mut bytes = Vec::new();
        self.dxf.save(&mut bytes).expect("writing to memory does not fail");
        String::from_utf8(bytes).expect("a drawing is text")
    }
}

fn point((x, y): DxfPoint) -> Point {
    Point::new(x, y, 0.0)
}
