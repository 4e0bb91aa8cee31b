//! What is asked of the shop floor: the rack, the list of work, tools, drawings, decisions, flat patterns.

use super::args::{Format, Other, Which};
use super::question::{Part, Question, basis_of, no_bill, resolver_of, value};
use super::{Answer, Trouble, json, pick, suppose};
use crate::bill::{Request, Scope, bill};
use crate::ids::PartId;
use crate::model::Config;
use crate::report::{
    Asked, FlatReport, Picked, decisions_report, decisions_text, drawings_report, drawings_text, flat_report,
    flat_text, rack_report, rack_text, todo_report, todo_text, tools_report, tools_text,
};
use crate::resolve::{IssueView, Limits, Resolver, Target};
use crate::shop::{building_to, todo};
use std::collections::BTreeSet;

/// The exit code of verdicts.
fn code(wrong: bool, undecided: bool) -> u8 {
    match (wrong, undecided) {
        (true, _) => 1,
        (false, true) => 3,
        (false, false) => 0,
    }
}

impl<'a> Question<'a> {
    /// An airframe in the state asked for; in the one that the workshop decided to build to, where none is.
    fn built(&self, serial: Option<&str>, which: &Which) -> Result<(Resolver<'a>, Asked), Trouble> {
        let model = self.model();
        let airframe = pick::airframe(model, serial.or(which.airframe.as_deref()))?;
        let decided = building_to(model, airframe).and_then(|(state, by)| Some((state, by?)));
        let (target, picked) = match decided {
            Some((state, by)) if which.on.is_none() && which.build.is_none() => {
                let day = model.airframes[airframe].build_states[state].date;
                let target = Target { day, build_state: Some(state) };
                (target, Picked::Decided(model.decisions[by].number))
            }
            _ => pick::target(model, airframe, which)?,
        };
        let (resolver, mut asked) = self.resolver_for(airframe, target, picked)?;
        asked.supposed = suppose::told(which);
        Ok((resolver, asked))
    }

    pub(super) fn rack(&self, serial: Option<&str>, which: &Which) -> Result<Answer, Trouble> {
        let (mut resolver, asked) = self.built(serial, which)?;
        let report =
            rack_report(&mut resolver, asked, &Config::built_in()).map_err(|why| no_bill(why, self.model()))?;
        let code = code(report.is_wrong(), report.is_undecided());
        let part = Part { text: rack_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn todo(&self, serial: Option<&str>, which: &Which, of: Option<&str>) -> Result<Answer, Trouble> {
        let config = Config::built_in();
        let scope = self.bill_scope(of)?;
        let (mut resolver, asked) = self.built(serial, which)?;
        let list = todo(&mut resolver, &config, scope, Limits::default()).map_err(|why| no_bill(why, self.model()))?;
        let report = todo_report(&resolver, asked, (&list, of.map(str::to_owned)), &config);
        let code = code(false, report.is_undecided());
        let part = Part { text: todo_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn tools(&self, serial: Option<&str>, which: &Which, other: &Other) -> Result<Answer, Trouble> {
        let model = self.model();
        let (mut resolver, asked) = self.built(serial, which)?;
        let asked_for = other.airframe.is_some() || other.on.is_some() || other.build.is_some();
        let mut second = None;
        if asked_for {
            let named = other.airframe.as_deref().unwrap_or(&asked.airframe);
            let airframe = pick::airframe(model, Some(named))?;
            let picks = Which { on: other.on.clone(), build: other.build.clone(), ..Which::default() };
            let (target, picked) = pick::target(model, airframe, &picks)?;
            second = Some(resolver_of(model, self.graph, airframe, target, picked)?);
        }
        let then = second.as_mut().map(|(resolver, asked)| (resolver, asked.clone()));
        let report = tools_report(&mut resolver, asked, then);
        let code = code(report.is_wrong(), report.is_undecided());
        let part = Part { text: tools_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn drawings(
        &self,
        serial: Option<&str>,
        which: &Which,
        missing: bool,
        doubtful: bool,
    ) -> Result<Answer, Trouble> {
        let (mut resolver, asked) = self.built(serial, which)?;
        let request =
            Request { scope: Scope::Airframe, basis: basis_of(doubtful), issues: IssueView::ToMake, weights: false };
        let made = bill(&mut resolver, request).map_err(|why| no_bill(why, self.model()))?;
        let report = drawings_report(&resolver, asked, &made);
        let code = code(false, report.is_undecided());
        let part = Part { text: drawings_text(&report, missing, self.style), json: value(&report), code };
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    pub(super) fn decisions(&self, serial: Option<&str>) -> Result<Answer, Trouble> {
        let airframe = pick::airframe(self.model(), serial)?;
        let report = decisions_report(self.model(), self.graph, airframe);
        let code = code(report.is_wrong(), report.is_undecided());
        let part = Part { text: decisions_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&[airframe], BTreeSet::new(), &[part]))
    }

    pub(super) fn flat(&self, part: &str, with: Option<&str>) -> Result<Answer, Trouble> {
        let report = self.flat_of(part)?;
        let other = with.map(|part| self.flat_of(part)).transpose()?;
        let out = match (self.format, &other) {
            (Format::Json, None) => json(&value(&report)),
            (Format::Json, Some(other)) => json(&[value(&report), value(other)]),
            (Format::Text | Format::Csv | Format::Xlsx, other) => flat_text(&report, other.as_ref(), self.style),
        };
        Ok(Answer { out, ..Answer::default() })
    }

    fn flat_of(&self, text: &str) -> Result<FlatReport, Trouble> {
        let model = self.model();
        let part: PartId = pick::part(model, text)?;
        flat_report(model, &Config::built_in(), part).ok_or_else(|| {
            Trouble::new(format!("the dossier gives `{}` no bends", model.parts.name(part)))
                .help("give the part's thickness and `flat`: its legs, its bends and their radii, from the drawing")
        })
    }
}
