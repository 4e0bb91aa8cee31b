//! Draws the slips, asks, and counts.

use crate::ask::{Opened, Said, hush};
use crate::judge::{About, Answers, judge};
use crate::project::random::Random;
use crate::projects::{Sound, all};
use crate::questions::{Question, Questions};
use crate::reach::Reach;
use crate::slip::{KINDS, Kind, Slip, draw};
use crate::tables::{Example, Tables};
use crate::text::Record;
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};
use std::path::Path;
use std::sync::{Arc, Mutex};

/// How much is done, from the environment.
struct Effort {
    /// One slip in so many is made.
    one_in: usize,
    /// Every record is lost whole, and every verb is asked of every slip.
    full: bool,
    /// Which draw of slips and questions.
    seed: u64,
}

impl Effort {
    fn of_environment() -> Effort {
        let said = std::env::var("MODSTATE_SLIPS").unwrap_or_default();
        let thin = if cfg!(debug_assertions) { 40 } else { 1 };
        let seed = std::env::var("MODSTATE_SLIPS_SEED").ok().and_then(|said| said.parse().ok()).unwrap_or(13);
        Effort { one_in: said.parse().unwrap_or(thin).max(1), full: said == "full", seed }
    }
}

/// How many slips a run makes at the least.
pub(crate) fn least_slips() -> usize {
    3_000 / Effort::of_environment().one_in
}

/// A sound project with its questions and the answers that were asked for so far.
struct Ground {
    sound: Sound,
    opened: Opened,
    questions: Questions,
    answers: Mutex<HashMap<Vec<String>, Arc<Answers>>>,
    stops: usize,
}

impl Ground {
    fn new(sound: Sound) -> Ground {
        let opened = Opened::new(&sound.files);
        let questions = Questions::of(&sound);
        let stops = stops(&opened.ask(&["check", "--format", "json"]));
        Ground { sound, opened, questions, answers: Mutex::new(HashMap::new()), stops: stops.unwrap_or(0) }
    }

    fn answer(&self, question: &Question) -> Arc<Answers> {
        let known = self.answers.lock().expect("no thread died").get(&question.args).cloned();
        known.unwrap_or_else(|| {
            let answers = Arc::new(Answers::of(&self.opened, question));
            self.answers.lock().expect("no thread died").insert(question.args.clone(), answers.clone());
            answers
        })
    }
}

/// Runs the harness.
pub(crate) fn run() -> Tables {
    hush();
    let effort = Effort::of_environment();
    let threads = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("two threads");
    let mut tables = Tables::default();
    for sound in all() {
        let ground = Ground::new(sound);
        let slips = slips(&ground.sound, &effort);
        let part = threads.install(|| {
            let each = slips.par_iter().enumerate().map(|(seed, slip)| one(&ground, slip, seed, &effort));
            each.collect::<Vec<Tables>>()
        });
        for each in &part {
            tables.add(each);
        }
    }
    tables
}

/// The slips of a project: of each kind so many, and each record lost whole.
fn slips(sound: &Sound, effort: &Effort) -> Vec<Slip> {
    let by_kind = by_kind(sound);
    let seed =
        sound.name.bytes().fold(effort.seed, |sum: u64, byte| sum.wrapping_mul(31).wrapping_add(u64::from(byte)));
    let mut random = Random::new(seed);
    let mut found = Vec::new();
    for (kind, _) in KINDS.iter().filter(|(kind, _)| *kind != Kind::RecordUnreadable) {
        let wanted = if sound.name == "demo-airframe" { 16 } else { 8 };
        let drawn = (0..wanted * 5).filter_map(|_| {
            let list = &by_kind[random.below(by_kind.len())];
            let (dossier, record) = list[random.below(list.len())];
            draw(&mut random, *kind, (&sound.dossiers, dossier), record, &sound.defined)
        });
        found.extend(drawn.take(wanted));
    }
    for list in by_kind {
        let most = if effort.full { usize::MAX } else { 2 };
        for (dossier, record) in list.into_iter().take(most) {
            let place = (&*sound.dossiers, dossier);
            found.extend(draw(&mut random, Kind::RecordUnreadable, place, record, &sound.defined));
        }
    }
    let count = found.len().div_ceil(effort.one_in);
    random.choose(found.len(), count).into_iter().map(|at| found[at].clone()).collect()
}

/// The records of a project by kind, each with its dossier.
fn by_kind(sound: &Sound) -> Vec<Vec<(usize, &Record)>> {
    let mut kinds: BTreeMap<&str, Vec<(usize, &Record)>> = BTreeMap::new();
    for (i, dossier) in sound.dossiers.iter().enumerate() {
        for record in &dossier.records {
            kinds.entry(&record.kind).or_default().push((i, record));
        }
    }
    kinds.into_values().collect()
}

/// Makes one slip, asks and counts.
fn one(ground: &Ground, slip: &Slip, seed: usize, effort: &Effort) -> Tables {
    let mut tables = Tables::default();
    let dossier = &ground.sound.dossiers[slip.dossier];
    let mut files = ground.sound.files.clone();
    for (path, text) in &mut files {
        if path.as_path() == Path::new(&dossier.path) {
            *text = slip.text(dossier);
        }
    }
    let opened = Opened::new(&files);
    let more = stops(&opened.ask(&["check", "--format", "json"])).is_none_or(|stops| stops > ground.stops);
    let more = more && !leaves_another(ground, slip, &opened);
    tables.slip(slip.kind, more);
    if !more {
        return tables;
    }
    let about = About::new(&ground.sound, slip);
    let mut random = Random::new(effort.seed.wrapping_mul(7919).wrapping_add(u64::try_from(seed).unwrap_or(0)));
    let verbs = match &*ground.sound.name {
        _ if effort.full => usize::MAX,
        "demo-airframe" => 4,
        _ => 5,
    };
    for question in ground.questions.draw(&mut random, slip, verbs) {
        let sound = ground.answer(question);
        if !sound.answered() {
            continue;
        }
        let judged = judge(question, &about, &sound, &Answers::of(&opened, question));
        let mut reach = Reach::default();
        reach.count((&ground.sound, slip), question, &judged);
        tables.answer(slip.kind, question.verb, &judged, &reach);
        for fault in judged.faults.iter().take(1) {
            let example = Example::new((&ground.sound, slip), question, fault);
            tables.unsafe_answer((question.verb, slip.record.kind.clone(), slip.kind, fault.why), example);
        }
    }
    tables
}

/// Whether a slip leaves a project that is well-formed and in which every name is that of something, only another one: a
/// reference to another existing name, an item or a field that is gone or there twice. What it says may be wrong, but
/// nothing of it was lost.
fn leaves_another(ground: &Ground, slip: &Slip, opened: &Opened) -> bool {
    if slip.kind == Kind::ReferenceMisspelt {
        return ground.sound.defined.contains(&slip.by) || is_range(&slip.by);
    }
    if slip.kind == Kind::DateGarbled {
        return is_date(slip.by.trim_matches('"'));
    }
    if !matches!(slip.kind, Kind::LineLost | Kind::LineTwice) {
        return false;
    }
    let dossier = &ground.sound.dossiers[slip.dossier];
    let formed = ron::from_str::<ron::Value>(&slip.text(dossier)).is_ok();
    formed && !opened.ask(&["check"]).out.contains(" R1")
}

/// Whether a text is a range of serials of one series, as `QD101..QD196`.
fn is_range(text: &str) -> bool {
    let bare = |serial: &str| serial.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    text.split_once("..").is_some_and(|(from, to)| bare(from) == bare(to) && from.len() <= to.len())
}

/// Whether a text is a date, one of the 28 days that every month has.
fn is_date(text: &str) -> bool {
    let of: Vec<usize> = text.split('-').filter_map(|piece| piece.parse().ok()).collect();
    text.len() == 10 && matches!(of[..], [1000..=9999, 1..=12, 1..=28])
}

/// How many findings stop work, if `check` came to an end.
fn stops(said: &Said) -> Option<usize> {
    let findings: serde_json::Value = serde_json::from_str(&said.out).ok()?;
    Some(findings.as_array()?.iter().filter(|finding| finding["severity"] == "stop").count())
}
