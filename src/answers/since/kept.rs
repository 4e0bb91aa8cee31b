//! The answers about an airframe in one state, each in a few words, and a check code of each record: what two copies of a
//! project are compared by, and what a build book keeps of the project that it was made from.

use super::NOT_READ;
use crate::answers::Verdicts;
use crate::answers::asked::{Asked, At, Both};
use crate::answers::bill_trouble_words;
use crate::answers::differ::{
    any_of, mod_words, needed_words, not_read_of_rows, part_name, position_name, total_lost, total_words, used_words,
};
use crate::answers::jig::jig_report;
use crate::answers::rack::{fit_word, rack_report};
use crate::bill::{Bill, BillScope, NoBill, Request, Total, bill};
use crate::finding::RecordRef;
use crate::ids::PartId;
use crate::jig::examine::Examiner;
use crate::jig::not_read_of_jigs;
use crate::layout::text::counted;
use crate::model::Marks;
use crate::quantity::check_code;
use crate::resolve::{Basis, Fitted, IssueView, Resolver};
use crate::schema::{KINDS, Record};
use crate::source::Sources;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The answers about an airframe in one state, and the records that were there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptAnswers {
    /// The airframe.
    pub airframe: String,
    /// The date of the state.
    pub date: String,
    /// Its name.
    pub build_state: Option<String>,
    /// Whether all was read that may bear on the airframe.
    pub all_read: bool,
    /// The answers.
    pub answers: Vec<KeptAnswer>,
    /// The records, but for those of other airframes.
    pub records: Vec<KeptRecord>,
}

/// An answer in a few words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptAnswer {
    /// Of what kind.
    pub kind: AnswerKind,
    /// What it is about.
    pub name: String,
    /// What is answered, on both bases.
    pub says: String,
    /// What was not read and bears on it.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What an answer is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AnswerKind {
    /// A modification.
    Modification,
    /// A position.
    Position,
    /// A part on the bill.
    Bill,
    /// A splice point.
    Splice,
    /// A jig plate.
    Plate,
    /// A jig.
    Jig,
    /// A part on the rack.
    Rack,
}

/// A record, by its name and a check code of what it says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptRecord {
    /// Its kind, as it is written.
    pub kind: String,
    /// Its name.
    pub name: String,
    /// A check code of what it says, whatever the layout of its lines.
    pub code: String,
    /// Where it is written.
    #[serde(skip)]
    pub at: Option<At>,
}

impl KeptRecord {
    /// Of a record.
    pub(super) fn of(at: RecordRef, record: &Record, sources: &Sources) -> KeptRecord {
        let fields = serde_json::to_value(record).expect("a record holds nothing that JSON cannot");
        let named_by = KINDS.iter().find(|kind| kind.name == record.kind()).map_or("", |kind| kind.named_by);
        let name = &fields[record.kind()][named_by];
        let name = name.as_str().map_or_else(|| name.to_string(), str::to_owned);
        let (kind, code) = (record.kind().to_owned(), check_code([&*fields.to_string()]));
        KeptRecord { kind, name, code, at: Some(At::of(&at.place(), sources)) }
    }
    /// Its kind and its name.
    pub(super) fn called(&self) -> String {
        format!("{} {}", self.kind, self.name)
    }
}

impl KeptAnswers {
    /// The answers by their kind and name; of several of one name, one after the other.
    pub(super) fn by_name(&self) -> IndexMap<(AnswerKind, String), KeptAnswer> {
        let mut found: IndexMap<(AnswerKind, String), KeptAnswer> = IndexMap::new();
        for answer in &self.answers {
            let key = (answer.kind, answer.name.clone());
            match found.get_mut(&key) {
                None => drop(found.insert(key, answer.clone())),
                Some(known) => {
                    known.not_read.extend(&answer.not_read);
                    known.says = if known.not_read.is_empty() {
                        format!("{}; {}", known.says, answer.says)
                    } else {
                        NOT_READ.to_owned()
                    };
                }
            }
        }
        found
    }
}

/// The records of a project that may bear on an airframe: its own, those of the type and those of the shop.
pub(super) fn records_for<'r>(
    records: &'r [(RecordRef, Record)],
    airframe: &str,
) -> impl Iterator<Item = &'r (RecordRef, Record)> {
    records.iter().filter(move |(_, record)| record.airframe().is_none_or(|of| of == airframe))
}

/// The answers about the airframe and the state of a resolver, and what was not read and bears on which there are.
#[must_use]
pub fn kept_answers(
    resolver: &mut Resolver<'_>,
    asked: &Asked,
    examiner: &Examiner<'_>,
    records: &[(RecordRef, Record)],
    sources: &Sources,
) -> (KeptAnswers, Marks) {
    let mut keeping = Keeping { bases: if asked.two_bases { BOTH } else { &BOTH[..1] }, answers: Vec::new() };
    keeping.of_state(resolver);
    keeping.of_bill(resolver);
    keeping.of_jigs(resolver, asked, examiner);
    let mut short = not_read_of_rows(resolver.history());
    short.extend(not_read_of_jigs(resolver.history().model, None));
    short.extend(keeping.of_rack(resolver, asked));
    let history = resolver.history();
    let all_read = history.model.losses.iter().all(|(_, loss)| !loss.concerns(history.id));
    let kept = records_for(records, &asked.airframe).map(|(at, record)| KeptRecord::of(*at, record, sources));
    let kept = KeptAnswers {
        airframe: asked.airframe.clone(),
        date: asked.date.clone(),
        build_state: asked.build_state.clone(),
        all_read,
        answers: keeping.answers,
        records: kept.collect(),
    };
    (kept, short)
}

const BOTH: &[Basis] = &[Basis::Firm, Basis::Held];

/// Gathers answers.
struct Keeping {
    bases: &'static [Basis],
    answers: Vec<KeptAnswer>,
}

impl Keeping {
    /// An answer in words on each basis, unless something was not read that bears on it.
    fn add(&mut self, kind: AnswerKind, name: String, not_read: Marks, mut words: impl FnMut(Basis) -> String) {
        let says = if not_read.is_empty() {
            let firm = words(Basis::Firm);
            let held = if self.bases.len() > 1 { words(Basis::Held) } else { firm.clone() };
            Both { firm, held }
        } else {
            Both { firm: NOT_READ.to_owned(), held: NOT_READ.to_owned() }
        };
        self.answers.push(KeptAnswer { kind, name, says: says.words(String::clone), not_read });
    }

    fn of_state(&mut self, resolver: &mut Resolver<'_>) {
        let model = resolver.history().model;
        for m in model.mods.ids() {
            let lost = resolver.history().reach.modification(m);
            self.add(AnswerKind::Modification, model.mods.name(m).to_owned(), lost, |basis| {
                mod_words(&resolver.modification(m, basis))
            });
        }
        for position in model.positions.ids() {
            let lost = resolver.history().not_read_at(position);
            self.add(AnswerKind::Position, position_name(model, position), lost, |basis| {
                let outcomes = resolver.outcomes(position, basis);
                let fitted: Vec<Option<Fitted>> = outcomes.iter().map(|outcome| outcome.fitted).collect();
                any_of(resolver, &fitted)
            });
        }
        for (frame, frame_name, entry) in model.frames.iter() {
            for (index, point) in entry.splice_points.iter().enumerate() {
                let lost = resolver.history().not_read_of_frame(frame);
                self.add(AnswerKind::Splice, format!("{frame_name} {}", point.name), lost, |basis| {
                    let used = resolver.splice_used(frame, index);
                    used_words(resolver.truth(&used, basis))
                });
            }
        }
        for plate in model.plates.ids() {
            let lost = resolver.history().not_read_of_plate(plate);
            self.add(AnswerKind::Plate, model.plates.name(plate).to_owned(), lost, |basis| {
                let needed = resolver.plate_needed(plate);
                needed_words(resolver.truth(&needed, basis))
            });
        }
    }

    fn of_bill(&mut self, resolver: &mut Resolver<'_>) {
        let model = resolver.history().model;
        let bills = self.bases.iter().map(|basis| {
            let (scope, issues) = (BillScope::Airframe, IssueView::AsFitted);
            bill(resolver, Request { scope, basis: *basis, issues, weights: false })
        });
        let bills: Result<Vec<_>, _> = bills.collect();
        let bills = match bills {
            Ok(bills) => bills,
            Err(why) => {
                let lost = if let NoBill::NotRead(marks) = &why { marks.clone() } else { Marks::new() };
                let words = format!("no bill: {}", bill_trouble_words(&why, model));
                return self.add(AnswerKind::Bill, "whole bill".to_owned(), lost, |_| words.clone());
            }
        };
        let by_part = |bill: &'_ Bill| -> BTreeMap<PartId, Total> {
            bill.totals.iter().map(|total| (total.part, total.clone())).collect()
        };
        let bills: Vec<BTreeMap<PartId, Total>> = bills.iter().map(by_part).collect();
        for part in model.parts.ids() {
            let totals: Vec<Option<&Total>> = bills.iter().map(|bill| bill.get(&part)).collect();
            if totals.iter().all(Option::is_none) {
                continue;
            }
            let mut lost = total_lost(resolver.history(), part);
            lost.extend(totals.iter().flatten().flat_map(|total| &total.not_read));
            self.add(AnswerKind::Bill, part_name(model, part), lost, |basis| {
                let total = totals[usize::from(basis == Basis::Held)];
                total.map_or_else(|| "none".to_owned(), |total| total_words(total, model))
            });
        }
    }

    /// The jigs that are not set for another airframe.
    fn of_jigs(&mut self, resolver: &mut Resolver<'_>, asked: &Asked, examiner: &Examiner<'_>) {
        let (model, airframe) = (resolver.history().model, resolver.history().id);
        for (jig, name, entry) in model.jigs.iter() {
            if entry.set_for.as_ref().is_some_and(|set| set.airframe.is_another(airframe)) {
                continue;
            }
            let report = jig_report(resolver, asked.bare(), jig, examiner);
            let verdict = report.stand.verdict_lines().sentences().join(" ");
            let said = verdict.strip_prefix(&format!("Jig {name}: ")).unwrap_or(&verdict).to_owned();
            self.add(AnswerKind::Jig, name.to_owned(), report.not_read(), |_| said.clone());
        }
    }

    /// The parts on the rack; gives what was not read and bears on which there are.
    fn of_rack(&mut self, resolver: &mut Resolver<'_>, asked: &Asked) -> Marks {
        let Ok(report) = rack_report(resolver, asked.bare()) else { return Marks::new() };
        for row in &report.parts {
            let marks = row.marks.as_deref().map(|marks| format!(" marked {marks}")).unwrap_or_default();
            let pieces = counted(row.quantity as usize, "piece", "pieces");
            let stage = row.stage.as_deref().map(|stage| format!(", {stage}")).unwrap_or_default();
            self.add(AnswerKind::Rack, format!("{}{marks}", row.part), row.not_read.clone(), |basis| {
                let verdict = if basis == Basis::Firm { row.verdict.firm } else { row.verdict.held };
                format!("{pieces}{stage}: {}", fit_word(verdict))
            });
        }
        report.not_read
    }
}
