//! Where the points of a frame are by ordinates, and how it leans.

use super::{FrameReport, FrameVariant, GirthPoint, rounded};
use crate::geometry::Girth;
use crate::layout::text::table;
use crate::quantity::length::mm_and_inches;
use crate::schema::Ordinates;
use crate::words::length_text;
use serde::Serialize;

/// The plane of a frame that leans, or its two planes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FramePlane {
    /// In words.
    pub words: String,
    /// The upright height, in millimetres, at which the frame is at its station; if it is cranked, that of the knuckle.
    pub level_mm: f64,
    /// How far the plane leans above that height, in degrees; positive if its upper edge lies aft.
    pub above_deg: f64,
    /// How far it leans below.
    pub below_deg: f64,
    /// The view in which the dossier gives the path: `own-plane` or `body-plan`.
    pub ordinates: &'static str,
}

impl FramePlane {
    pub(super) fn of(girth: &Girth) -> Option<FramePlane> {
        let planes = girth.planes();
        if planes.is_upright() {
            return None;
        }
        let lean = |degrees: f64| {
            let edge = if degrees > 0.0 { "aft" } else { "forward" };
            if degrees.abs() > 0.0 {
                format!("leans {:.2} deg, upper edge {edge}", degrees.abs())
            } else {
                "is upright".into()
            }
        };
        let (above, below) = planes.leans_deg();
        let level = mm_and_inches(planes.level_mm());
        let words = if planes.is_cranked() {
            format!(
                "Cranked at a height of {level}, where it is at its station: above that it {}; below it {}.",
                lean(above),
                lean(below)
            )
        } else {
            format!("Canted: it {}; at a height of {level} it is at its station.", lean(above))
        };
        let ordinates = match girth.view() {
            Ordinates::InPlane => "own-plane",
            Ordinates::BodyPlan => "body-plan",
        };
        let degrees = |angle| rounded(angle, 1e6);
        let (above_deg, below_deg) = (degrees(above), degrees(below));
        Some(FramePlane { words, level_mm: rounded(planes.level_mm(), 1e3), above_deg, below_deg, ordinates })
    }
}

impl FrameReport {
    /// Whether its drawing speaks in ordinates, so that its points are told by them too.
    pub(crate) fn shows_ordinates(&self) -> bool {
        self.by_ordinates || self.plane.is_some()
    }
    /// Whether its station is given in inches.
    pub(crate) fn in_inches(&self) -> bool {
        self.station.trim_end().ends_with("in")
    }
    /// The station at a point: that of the frame as written, unless it leans.
    pub(crate) fn station_at(&self, point: &GirthPoint) -> String {
        match (&self.plane, self.in_inches()) {
            (None, _) => length_text(&self.station),
            (Some(_), true) => format!("{:.3} in", point.station_in),
            (Some(_), false) => format!("{:.2} mm", point.station_mm),
        }
    }
}

impl GirthPoint {
    /// The letter of its side; a dash on the centre line.
    pub(crate) fn side(&self) -> char {
        if self.breadth_mm.abs() < 0.001 {
            '-'
        } else if self.breadth_mm > 0.0 {
            'S'
        } else {
            'P'
        }
    }
}

/// Where the points are by ordinates; of a frame that leans, with the station there.
pub(super) fn ordinates_text(report: &FrameReport, variant: &FrameVariant, width: usize) -> String {
    let mut heads = vec!["Point", "Breadth mm", "Breadth in", "Height mm", "Height in"];
    let inches = report.in_inches();
    if report.plane.is_some() {
        heads.extend(if inches { ["In plane in", "Station in"] } else { ["In plane mm", "Station mm"] });
    }
    let rows = variant.points.iter().map(|point| {
        let side = point.side();
        let mut row = vec![
            point.name.clone(),
            format!("{side} {:7.2}", point.breadth_mm.abs()),
            format!("{side} {:7.3}", point.breadth_in.abs()),
            format!("{:9.2}", point.height_mm),
            format!("{:9.3}", point.height_in),
        ];
        if report.plane.is_some() {
            row.extend(if inches {
                [format!("{:11.3}", point.along_plane_in), format!("{:10.3}", point.station_in)]
            } else {
                [format!("{:11.2}", point.along_plane_mm), format!("{:10.2}", point.station_mm)]
            });
        }
        row
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let mut text = table(&heads, &rows, width);
    text.push_str("P: to port, S: to starboard of the centre line.\n");
    text
}
