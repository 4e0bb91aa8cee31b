//! The rework list of a jig: from how it stands to the state wanted, in an order that disturbs the least.

use super::advice::advice_lines;
use super::answer::mark_text;
use super::asked::Asked;
use super::jig::{JigStand, jig_stand};
use super::{Outcome, Verdicts};
use crate::ids::{JigId, PlateId};
use crate::jig::examine::Examiner;
use crate::jig::rework::{Conversion, Rework, Spare, Task, Touched, rework};
use crate::jig::{PlateStanding, Rests, not_read_of_jigs, standings, verdicts};
use crate::layout::Page;
use crate::model::{Marks, Model};
use crate::resolve::{Basis, Resolver};
use crate::words::named;
use crate::words::survey::{hole_names, mend_words};
use serde::Serialize;

/// The rework list of a jig.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReworkReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The jig.
    pub jig: String,
    /// The frame that is built on it.
    pub frame: String,
    /// The marks of the plates that stay as they are.
    pub keep: Vec<String>,
    /// What is done, in order.
    pub steps: Vec<ReworkStep>,
    /// What waits until something is settled.
    pub wait: Vec<ReworkWait>,
    /// What is surveyed afterwards; each is unproved until then.
    pub survey_afterwards: Vec<String>,
    /// What the jig comes to as it stands.
    #[serde(skip)]
    pub standing: Outcome,
    /// What was not read and bears on the stations of the jig.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What is done in a step; the order is the one in which it is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReworkKind {
    /// A plate is measured.
    Measure,
    /// A plate is made.
    Make,
    /// A plate is mended in place.
    Mend,
    /// A plate is put on, after the one there was taken off.
    Exchange,
    /// A plate is taken off.
    TakeOff,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReworkStep {
    /// What is done.
    pub kind: ReworkKind,
    /// The station.
    pub station: String,
    /// The mark of the plate that is worked on or comes off.
    pub mark: Option<String>,
    /// The definition that is wanted.
    pub plate: Option<String>,
    /// What is done, in words.
    pub text: String,
}

/// A station at which nothing is done yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReworkWait {
    /// The station.
    pub station: String,
    /// The mark of the plate there.
    pub mark: Option<String>,
    /// What has to be done first; empty where something was not read.
    pub until: String,
    /// What was not read and bears on what is to be done.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// The rework list of a jig for the state of a resolver.
#[must_use]
pub fn rework_report(resolver: &mut Resolver<'_>, asked: Asked, jig: JigId, examiner: &Examiner<'_>) -> ReworkReport {
    let model = resolver.history().model;
    let (standings, work) = work_on(resolver, jig, examiner);
    let judged = jig_stand(resolver, jig, examiner);
    let words = Words { model, jig, standings: &standings };
    ReworkReport {
        asked,
        jig: judged.jig.clone(),
        frame: judged.frame.clone(),
        keep: work.keep.iter().map(|plate| words.mark(*plate).to_owned()).collect(),
        steps: work.tasks.iter().map(|task| words.step(task)).collect(),
        wait: words.waits(&work, &judged),
        survey_afterwards: work.survey.iter().map(|touched| words.touched(*touched)).collect(),
        standing: judged.outcome(),
        not_read: judged.not_read_on_it(),
    }
}

/// How the plates of a jig stand, and the work that it needs for the state of a resolver.
pub(super) fn work_on(
    resolver: &mut Resolver<'_>,
    jig: JigId,
    examiner: &Examiner<'_>,
) -> (Vec<PlateStanding>, Rework) {
    let model = resolver.history().model;
    let standings = standings(examiner, model, jig);
    let firm = verdicts(resolver, jig, &standings, Basis::Firm);
    let held = verdicts(resolver, jig, &standings, Basis::Held);
    let spare = spare(resolver, jig, examiner);
    let work = rework(model, jig, &standings, &firm, &held, spare);
    (standings, work)
}

/// What the other jigs of the same frame may spare in this state.
fn spare(resolver: &mut Resolver<'_>, jig: JigId, examiner: &Examiner<'_>) -> Spare {
    let model = resolver.history().model;
    let frame = model.jigs[jig].frame;
    let mut spare = Spare::default();
    let others = model.jigs.iter().filter(|(id, _, other)| *id != jig && other.frame == frame);
    for (other, ..) in others {
        let standings = standings(examiner, model, other);
        let stations = verdicts(resolver, other, &standings, Basis::Firm);
        spare.add(model, other, &standings, &stations);
    }
    let jigs = not_read_of_jigs(model, Some(frame));
    if !jigs.is_empty() {
        spare.not_read.push((None, jigs));
    }
    spare
}

struct Words<'a> {
    model: &'a Model,
    jig: JigId,
    standings: &'a [PlateStanding],
}

impl Words<'_> {
    fn mark(&self, plate: usize) -> &str {
        &self.model.jigs[self.jig].mounted[plate].mark
    }
    fn station_of(&self, plate: usize) -> &str {
        self.station(self.model.jigs[self.jig].mounted[plate].station)
    }
    fn station(&self, station: usize) -> &str {
        &self.model.jigs[self.jig].stations[station]
    }
    fn number(&self, plate: PlateId) -> &str {
        self.model.plates.name(plate)
    }

    fn step(&self, task: &Task) -> ReworkStep {
        let (kind, station, mark, plate, text) = match task {
            Task::Measure { plate } => {
                (ReworkKind::Measure, self.station_of(*plate), Some(*plate), None, self.measure(*plate))
            }
            Task::Make { station, to, from } => {
                let from = from.as_ref().map(|from| self.conversion(from, *to)).unwrap_or_default();
                (ReworkKind::Make, self.station(*station), None, Some(*to), format!("{}{from}", self.number(*to)))
            }
            Task::Mend { plate, mend } => {
                let definition = self.standings[*plate].examined.as_ref().and_then(|examined| examined.against);
                let text = definition.map(|definition| mend_words(mend, &self.model.plates[definition]));
                (ReworkKind::Mend, self.station_of(*plate), Some(*plate), definition, text.unwrap_or_default())
            }
            Task::Exchange { station, off, to, stands } => {
                (ReworkKind::Exchange, self.station(*station), *off, Some(*to), self.exchange(*off, *to, *stands))
            }
            Task::TakeOff { plate } => {
                let text = "not needed for this state: remove and store".to_owned();
                (ReworkKind::TakeOff, self.station_of(*plate), Some(*plate), None, text)
            }
        };
        ReworkStep {
            kind,
            station: station.to_owned(),
            mark: mark.map(|mark| self.mark(mark).to_owned()),
            plate: plate.map(|plate| self.number(plate).to_owned()),
            text,
        }
    }

    fn measure(&self, plate: usize) -> String {
        let standing = &self.standings[plate];
        match (standing.rests, &standing.examined) {
            (Rests::ChangedSince(survey), _) => {
                format!("measure it: it was changed after survey {}", self.model.surveys[survey].id)
            }
            (_, None) => "measure it: it was never surveyed".to_owned(),
            (_, Some(examined)) => {
                let sentence = super::jig::advised(&advice_lines(examined, self.model));
                let survey = &self.model.surveys[examined.survey].id;
                if sentence.is_empty() {
                    format!("measure it again: survey {survey} does not decide")
                } else {
                    sentence
                }
            }
        }
    }

    fn conversion(&self, from: &Conversion, to: PlateId) -> String {
        let (old, new) = (&self.model.plates[from.is], &self.model.plates[to]);
        if !from.cut.is_empty() {
            return format!(
                "; making it from {} would cut {} into plugged holes",
                self.mark(from.plate),
                hole_names(new, from.cut.iter().copied())
            );
        }
        let shares = old.holes.len() - from.plug.len();
        if shares == 0 {
            return String::new();
        }
        format!(
            "; or make it of {}, which shares {shares} holes with it: plug {}, drill {}",
            self.mark(from.plate),
            hole_names(old, from.plug.iter().copied()),
            hole_names(new, from.drill.iter().copied())
        )
    }

    fn exchange(&self, off: Option<usize>, to: PlateId, stands: Option<(JigId, usize)>) -> String {
        let off = off.map(|plate| format!("remove {}, then ", self.mark(plate))).unwrap_or_default();
        let on = match stands {
            Some((jig, plate)) => {
                let entry = &self.model.jigs[jig];
                let plate = &entry.mounted[plate];
                let station = &entry.stations[plate.station];
                let jig = self.model.jigs.name(jig);
                format!("fit {}, which is {} and is on {station} of jig {jig}", plate.mark, self.number(to))
            }
            None => format!("fit the new {}", self.number(to)),
        };
        format!("{off}{on}")
    }

    fn touched(&self, touched: Touched) -> String {
        match touched {
            Touched::New(station, plate) => format!("{} on {}", self.number(plate), self.station(station)),
            Touched::Mended(station, plate) => format!("{} on {}", self.mark(plate), self.station(station)),
        }
    }

    fn waits(&self, work: &Rework, judged: &JigStand) -> Vec<ReworkWait> {
        let wait = work.waiting().map(|((station, plate), not_read)| {
            let station = self.station(station);
            let mark = plate.map(|plate| self.mark(plate));
            let found = judged.stations.iter().find(|of| of.station == station && of.mark.as_deref() == mark);
            let found = found.filter(|_| not_read.is_empty());
            ReworkWait {
                station: station.to_owned(),
                mark: mark.map(str::to_owned),
                until: found.map(|of| of.remedy.clone()).unwrap_or_default(),
                not_read: not_read.clone(),
            }
        });
        wait.collect()
    }
}

/// What stands above the steps of a kind, with why they come there.
fn phase(kind: ReworkKind) -> &'static str {
    match kind {
        ReworkKind::Measure => "Measure first: it moves nothing, and may change this list.",
        ReworkKind::Make => "Make at the bench, while the jig stands whole.",
        ReworkKind::Mend => "Correct in place before removing a neighbour; whole members first, then single holes.",
        ReworkKind::Exchange => "Change plates one station at a time; refit before starting the next.",
        ReworkKind::TakeOff => "Remove last.",
    }
}

/// The report as text.
#[must_use]
pub fn rework_page(report: &ReworkReport) -> Page {
    let head = format!("Rework of jig {}, for frame {}: {}", report.jig, report.frame, report.asked.line());
    let mut page = Page::titled(head);
    let marks = report.not_read_on_it();
    let unread = |lead: &str| if marks.is_empty() { String::new() } else { format!("{lead}{}", mark_text(&marks)) };
    if !report.keep.is_empty() {
        let keep = named(report.keep.iter().map(String::as_str), "and");
        page.gap();
        let others = unread("; whether others are right: ");
        page.say(format!("Leave as they are: {keep}{others}."));
    }
    if !marks.is_empty() {
        page.gap();
        let sentence = unread("This list is not whole, and its order may change: ");
        page.say(format!("{sentence}."));
    } else if report.steps.is_empty() {
        page.gap();
        page.say("Nothing is to be done.");
    }
    let mut kind = None;
    for (index, step) in report.steps.iter().enumerate() {
        if kind != Some(step.kind) {
            kind = Some(step.kind);
            page.gap();
            page.say(phase(step.kind));
        }
        let mark = step.mark.as_deref().map_or(String::new(), |mark| format!(", {mark}"));
        let mark = if step.kind == ReworkKind::Exchange { String::new() } else { mark };
        page.item(format!("{:3}. ", index + 1), format!("{}{mark}: {}.", step.station, step.text));
    }
    if !report.survey_afterwards.is_empty() {
        page.gap();
        let sentence = format!(
            "Survey afterwards, once, when all of that is done: {}{}. Until then each is not verified by measurement.",
            report.survey_afterwards.join("; "),
            unread("; others: ")
        );
        page.say(sentence);
    }
    if !report.wait.is_empty() {
        page.gap();
        page.say("Not to be touched yet:");
        for wait in &report.wait {
            let mark = wait.mark.as_deref().map_or(String::new(), |mark| format!(", {mark}"));
            let until = if wait.not_read.is_empty() { wait.until.clone() } else { mark_text(&wait.not_read) };
            page.item("  - ", format!("{}{mark}: {until}", wait.station));
        }
    }
    page.append(report.asked.remarks());
    page.gap();
    page.say("The order disturbs the least; it is common practice and has no source.");
    page
}

impl Verdicts for ReworkReport {
    fn outcome(&self) -> Outcome {
        self.standing.max(Outcome::of(false, !self.wait.is_empty()))
    }
    fn not_read(&self) -> Marks {
        self.asked.not_read.iter().copied().chain(self.not_read_on_it()).collect()
    }
}

impl ReworkReport {
    /// What was not read and bears on what is done.
    fn not_read_on_it(&self) -> Marks {
        let waits = self.wait.iter().flat_map(|wait| &wait.not_read);
        self.not_read.iter().chain(waits).copied().collect()
    }
}
