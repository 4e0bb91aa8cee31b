//! What is asked of the shop floor: the rack, the list of work, tools, drawings, decisions, flat patterns.

use super::args::{Format, Other, Which};
use super::question::{Part, Question, basis_of, no_bill, resolver_of, value};
use super::{Answer, Trouble, pick};
use crate::bill::{Request, Scope, bill};
use crate::ids::PartId;
use crate::model::{Config, Marks};
use crate::report::{
    FlatReport, Verdicts, decisions_report, decisions_text, drawings_report, drawings_text, flat_report, flat_text,
    not_read_of_flat, rack_report, rack_text, todo_report, todo_text, tools_report, tools_text,
};
use crate::resolve::{IssueView, Limits};
use crate::shop::todo;
use std::collections::BTreeSet;

impl Question<'_> {
    pub(super) fn rack(&self, serial: Option<&str>, which: &Which) -> Result<Answer, Trouble> {
        let (mut resolver, asked) = self.resolver(serial.or(which.airframe.as_deref()), which)?;
        let report =
            rack_report(&mut resolver, asked, &Config::built_in()).map_err(|why| no_bill(&why, self.book()))?;
        let part = Part::of(&report, |style| rack_text(&report, style));
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn todo(&self, serial: Option<&str>, which: &Which, of: Option<&str>) -> Result<Answer, Trouble> {
        let config = Config::built_in();
        let scope = self.bill_scope(of)?;
        let (mut resolver, asked) = self.resolver(serial.or(which.airframe.as_deref()), which)?;
        let list = todo(&mut resolver, &config, scope, Limits::default()).map_err(|why| no_bill(&why, self.book()))?;
        let report = todo_report(&resolver, asked, (&list, of.map(str::to_owned)), &config);
        let part = Part::of(&report, |style| todo_text(&report, style));
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn tools(&self, serial: Option<&str>, which: &Which, other: &Other) -> Result<Answer, Trouble> {
        let model = self.model();
        let (mut resolver, asked) = self.resolver(serial.or(which.airframe.as_deref()), which)?;
        let asked_for = other.airframe.is_some() || other.on.is_some() || other.build.is_some();
        let mut second = None;
        if asked_for {
            let named = other.airframe.as_deref().unwrap_or(&asked.airframe);
            let airframe = pick::airframe(self.book(), Some(named))?;
            let picks = Which { on: other.on.clone(), build: other.build.clone(), ..Which::default() };
            let (target, picked) = pick::target(self.book(), airframe, &picks)?;
            second = Some(resolver_of(model, self.graph, airframe, target, picked)?);
        }
        let then = second.as_mut().map(|(resolver, asked)| (resolver, asked.clone()));
        let report = tools_report(&mut resolver, asked, then);
        let part = Part::of(&report, |style| tools_text(&report, style));
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn drawings(
        &self,
        serial: Option<&str>,
        which: &Which,
        missing: bool,
        doubtful: bool,
    ) -> Result<Answer, Trouble> {
        let (mut resolver, asked) = self.resolver(serial.or(which.airframe.as_deref()), which)?;
        let request =
            Request { scope: Scope::Airframe, basis: basis_of(doubtful), issues: IssueView::ToMake, weights: false };
        let made = bill(&mut resolver, request).map_err(|why| no_bill(&why, self.book()))?;
        let report = drawings_report(&resolver, asked, &made);
        let part = Part::of(&report, |style| drawings_text(&report, missing, style));
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn decisions(&self, serial: Option<&str>) -> Result<Answer, Trouble> {
        let airframe = pick::airframe(self.book(), serial)?;
        let report = decisions_report(self.model(), self.graph, airframe);
        let part = Part::of(&report, |style| decisions_text(&report, style));
        Ok(self.told(&[airframe], BTreeSet::new(), &[part]))
    }

    pub(super) fn flat(&self, part: &str, with: Option<&str>) -> Result<Answer, Trouble> {
        let report = self.flat_of(part)?;
        let other = with.map(|part| self.flat_of(part)).transpose()?;
        let marks: Marks = other.iter().chain([&report]).flat_map(Verdicts::not_read).collect();
        let outcome = other.iter().chain([&report]).map(Verdicts::outcome).max().unwrap_or_default();
        // As text the two stand side by side; as JSON each is an object.
        let parts: Vec<Part<'_>> = match self.format {
            Format::Json => [Some(&report), other.as_ref()]
                .into_iter()
                .flatten()
                .map(|of| Part::of(of, |_| String::new()))
                .collect(),
            Format::Text | Format::Csv | Format::Xlsx => {
                let text = |style| flat_text(&report, other.as_ref(), style);
                vec![Part::made((outcome, marks), text, || value(&report))]
            }
        };
        Ok(self.told(&[], BTreeSet::new(), &parts))
    }

    fn flat_of(&self, text: &str) -> Result<FlatReport, Trouble> {
        let model = self.model();
        let part: PartId = pick::part(self.book(), text)?;
        let unread = not_read_of_flat(model, part);
        if !unread.is_empty() {
            let message = format!("`{}` is not laid flat, because not all of it is known", model.parts.name(part));
            return Err(self.book().not_read(&message, &unread));
        }
        flat_report(model, &Config::built_in(), part).ok_or_else(|| {
            Trouble::new(format!("the dossier gives `{}` no bends", model.parts.name(part)))
                .help("give the part's thickness and `flat`: its legs, its bends and their radii, from the drawing")
        })
    }
}
