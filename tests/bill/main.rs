//! The bill of parts: explosion, totals, drawing issues, and how it is shown. All data in these tests are invented.

mod explosion;
mod issues;
#[path = "../oracles/python.rs"]
mod python;
mod read_back;
mod shown;
mod workbook;

use modstate::bill::{Bill, BillScope, NoBill, Request, bill};
use modstate::graph::Graph;
use modstate::layout::Style;
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::{Config, Day, Window};
use modstate::resolve::{Basis, IssueView, Limits, Resolver, Target};
use modstate::source::read_texts;
use std::path::Path;

const PLAIN: Style = Style { width: 80, colour: false, unicode: true };

/// A project folder in memory or on disk, checked; it must be without faults.
struct Project {
    model: Model,
    graph: Graph,
}

impl Project {
    fn of(text: &str) -> Project {
        let reading = read_texts(vec![("all.ron".into(), text.to_owned())]);
        assert_eq!(reading.findings, vec![]);
        let (model, findings) = lower(&reading.records, &reading.lost, &Config::built_in());
        assert_eq!(findings, vec![]);
        Project { graph: Graph::new(&model), model }
    }

    fn demo() -> Project {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-airframe");
        let reading = modstate::source::read_project(&root).expect("the demo is there");
        let (model, _) = lower(&reading.records, &reading.lost, &Config::built_in());
        Project { graph: Graph::new(&model), model }
    }

    fn resolver(&self, serial: &str, target: Target, limits: Limits) -> Resolver<'_> {
        let airframe = self.model.airframes.id(serial).expect("the airframe has a dossier");
        Resolver::new(&self.model, &self.graph, airframe, target, limits).expect("it was built by then")
    }

    fn on(&self, serial: &str, date: &str) -> Resolver<'_> {
        self.resolver(serial, at(date), Limits::default())
    }

    fn bill(&self, serial: &str, date: &str, scope: BillScope) -> Result<Bill, NoBill> {
        bill(&mut self.on(serial, date), firm(scope))
    }

    fn amount(&self, bill: &Bill, part: &str) -> Option<modstate::bill::Amount> {
        let part = self.model.parts.id(part).expect("the part is in the dossier");
        bill.totals.iter().find(|total| total.part == part).map(|total| total.amount)
    }
}

fn firm(scope: BillScope) -> Request {
    Request { scope, basis: Basis::Firm, issues: IssueView::ToMake, weights: true }
}

fn day(date: &str) -> Day {
    Window::parse(date).ok().and_then(|window| window.day()).expect("a whole day")
}

fn at(date: &str) -> Target {
    Target { day: day(date), build_state: None }
}
