//! Where the points of a frame are by ordinates, and how it leans.

use super::{FrameReport, FrameVariantRow, GirthPoint, rounded};
use crate::geometry::Girth;
use crate::layout::{Page, PageTable};
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
    /// Whether its drawing speaks in ordinates, so that its points are given by them too.
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
pub(super) fn ordinates_page(report: &FrameReport, variant: &FrameVariantRow) -> Page {
    let mut table = PageTable::of(&variant.points)
        .words("Point", |point| point.name.clone())
        .figures("Breadth", |point| format!("{} {:7.2}", point.side(), point.breadth_mm.abs()))
        .unit("mm")
        .figures("Breadth", |point| format!("{} {:7.3}", point.side(), point.breadth_in.abs()))
        .unit("in")
        .figures("Height", |point| format!("{:.2}", point.height_mm))
        .unit("mm")
        .figures("Height", |point| format!("{:.3}", point.height_in))
        .unit("in");
    if report.plane.is_some() {
        table = if report.in_inches() {
            let table = table.figures("In plane", |point| format!("{:.3}", point.along_plane_in)).unit("in");
            table.figures("Station", |point| format!("{:.3}", point.station_in)).unit("in")
        } else {
            let table = table.figures("In plane", |point| format!("{:.2}", point.along_plane_mm)).unit("mm");
            table.figures("Station", |point| format!("{:.2}", point.station_mm)).unit("mm")
        };
    }
    let mut page = Page::default();
    page.table(table);
    page.say("P: to port, S: to starboard of the centre line.");
    page
}
