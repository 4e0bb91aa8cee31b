//! Which records changed which answer: found by trying, with the same engine as every other answer.
//!
//! Each record that changed is changed alone in the older copy; an answer that then is what it is now is made by that record
//! alone. Of the other answers each changed record is put back alone in the project of now; an answer that then is
//! not what it is now needs that record.

use super::kept::{KeptRecord, kept_answers, records_for};
use super::{AnswerKind, KeptAnswers, RecordChange, SinceReasons, SinceReport, SinceWhy};
use crate::answers::asked::{Asked, Picked};
use crate::graph::Graph;
use crate::jig::examine::Examiner;
use crate::project::Project;
use crate::resolve::{Limits, Resolver, Target};
use crate::schema::Record;
use indexmap::IndexMap;
use rayon::prelude::*;
use std::path::PathBuf;

/// How many changed records are tried at most; each costs up to two projects read and answered.
const TRIED: usize = 48;

/// The records of a project that bear on an airframe, as they are written, by what they are called.
type Texts = IndexMap<String, Vec<String>>;

/// A project as texts, to be taken apart and put together again.
struct Written {
    texts: Texts,
    /// The other files, such as measured holes.
    files: Vec<(PathBuf, String)>,
}

impl Written {
    /// A project, its files that hold no records under a folder of this name.
    fn of(project: &Project, airframe: &str, folder: &str) -> Written {
        let sources = &project.sources;
        let mut texts = Texts::new();
        for (at, record) in records_for(&project.records, airframe) {
            let (file, span) = sources.extent(&at.place());
            let mut text = sources.file(file).text.get(span).unwrap_or_default().to_owned();
            if let Record::Survey(survey) = record
                && let Some(path) = &survey.holes_from
            {
                text = text.replace(&format!("{path:?}"), &format!("{:?}", format!("{folder}/{path}")));
            }
            texts.entry(KeptRecord::of(*at, record, sources).called()).or_default().push(text);
        }
        let is_other = |path: &PathBuf| path.extension().is_none_or(|end| !end.eq_ignore_ascii_case("ron"));
        let others = sources.files().iter().filter(|file| is_other(&file.path));
        let files = others.map(|file| (PathBuf::from(folder).join(&file.path), file.text.clone()));
        Written { texts, files: files.collect() }
    }

    /// The project with the records of one name as they stand in another.
    fn with(&self, called: &str, other: &Written) -> Project {
        let own = self.texts.iter().filter(|(name, _)| *name != called).flat_map(|(_, texts)| texts);
        let texts: Vec<&str> = own.chain(other.texts.get(called).into_iter().flatten()).map(String::as_str).collect();
        let mut files = vec![(PathBuf::from("type/all.ron"), format!("[\n{}\n]", texts.join(",\n")))];
        files.extend(self.files.iter().chain(&other.files).cloned());
        Project::from_texts(files)
    }
}

/// The answers by kind and name.
type Said = IndexMap<(AnswerKind, String), String>;

/// What a project answers about the airframe and state of other answers; nothing where it does not know them.
fn said(project: &Project, of: &KeptAnswers) -> Option<Said> {
    let model = &project.model;
    let airframe = model.airframes.id(&of.airframe)?;
    let states = &model.airframes[airframe].build_states;
    let target = match &of.build_state {
        Some(name) => {
            let state = states.id(name)?;
            Target { day: states[state].date, build_state: Some(state) }
        }
        None => Target { day: crate::quantity::Window::parse(&of.date).ok()?.day()?, build_state: None },
    };
    let graph = Graph::new(model);
    let mut resolver = Resolver::new(model, &graph, airframe, target, Limits::default()).ok()?;
    let asked = Asked::of(&resolver, Picked::Date);
    let examiner = Examiner::new(model);
    let (kept, _) = kept_answers(&mut resolver, &asked, &examiner, &[], &project.sources);
    Some(kept.by_name().into_iter().map(|(key, answer)| (key, answer.says)).collect())
}

/// Says of each changed answer which records changed it.
pub fn say_why(report: &mut SinceReport, of: &KeptAnswers, before: &Project, now: &Project) {
    if report.reasons == SinceReasons::NotRead {
        return;
    }
    if report.records.len() > TRIED {
        report.reasons = SinceReasons::TooMany;
        return;
    }
    report.reasons = SinceReasons::Tried;
    let (old, new) = (Written::of(before, &of.airframe, "older"), Written::of(now, &of.airframe, "now"));
    let called: Vec<&str> = report.records.iter().map(|record| record.record.as_str()).collect();
    let tried = |from: &Written, to: &Written| -> Vec<Option<Said>> {
        called.par_iter().map(|called| said(&from.with(called, to), of)).collect()
    };
    let forward = tried(&old, &new);
    let is_now = |tried: &Option<Said>, key: &(AnswerKind, String), now: Option<&String>| {
        tried.as_ref().is_some_and(|said| said.get(key) == now)
    };
    let mut back = None;
    for answer in report.answers.iter_mut().filter(|answer| !answer.not_known) {
        let key = (answer.kind, answer.name.clone());
        let those = |tried: &[Option<Said>], holds: bool| -> Vec<String> {
            let found =
                tried.iter().zip(&called).filter(|(tried, _)| is_now(tried, &key, answer.now.as_ref()) == holds);
            found.map(|(_, called)| (*called).to_owned()).collect()
        };
        let alone = those(&forward, true);
        answer.why = Some(if alone.is_empty() {
            match those(back.get_or_insert_with(|| tried(&new, &old)), false) {
                needed if needed.is_empty() => SinceWhy::SeveralWays,
                needed => SinceWhy::Together(needed),
            }
        } else {
            SinceWhy::Alone(alone)
        });
    }
}

impl RecordChange {
    /// The word for it.
    pub(super) fn word(self) -> &'static str {
        match self {
            RecordChange::Changed => "changed",
            RecordChange::New => "new",
            RecordChange::Gone => "gone",
        }
    }
}
