//! The modification state of an airframe, modification by modification.

use super::asked::{Asked, Both, STAR, Say, basis_words};
use super::mark_text;
use crate::ids::ModId;
use crate::layout::text::counted;
use crate::layout::{Page, PageTable, RowWeight};
use crate::model::Marks;
use crate::prop::Limit;
use crate::resolve::{Basis, ModAnswer, Resolver, Truth};
use crate::schema::Form;
use crate::words::{form_word, left_out_against, short_reason, since_text};
use serde::Serialize;

/// The modification state of an airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StateReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The modifications shown, in the order of their numbers.
    pub modifications: Vec<ModLine>,
    /// How many modifications the type has.
    pub of: usize,
    /// How many distinct modification states the histories reach, over all modifications: a count, never a likelihood.
    /// A decimal number as text; `null` if counting met a limit.
    pub distinct_states: Both<Option<String>>,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// How a modification stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ModStatus {
    /// In, in every history.
    Embodied,
    /// In none.
    #[serde(rename = "not embodied")]
    NotEmbodied,
    /// In some.
    Open,
    /// The records contradict each other.
    Contradicted,
    /// A limit was met.
    Undecided,
    /// It rests on something that was not read.
    NotRead,
}

impl ModStatus {
    fn of(truth: Truth) -> ModStatus {
        match truth {
            Truth::Always => ModStatus::Embodied,
            Truth::Never => ModStatus::NotEmbodied,
            Truth::Open => ModStatus::Open,
            Truth::NoHistory => ModStatus::Contradicted,
            Truth::Undecided(Limit::NotRead) => ModStatus::NotRead,
            Truth::Undecided(Limit::Nodes(_) | Limit::Repairs(_) | Limit::Conflicts(_)) => ModStatus::Undecided,
        }
    }
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ModStatus::Embodied => "embodied",
            ModStatus::NotEmbodied => "not embodied",
            ModStatus::Open => "open",
            ModStatus::Contradicted => "contradicted",
            ModStatus::Undecided => "undecided",
            ModStatus::NotRead => "not read",
        }
    }
}

/// One modification.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ModLine {
    /// Its number.
    pub number: String,
    /// What it does.
    pub title: String,
    /// How it stands.
    pub standing: Both<ModStatus>,
    /// `production` or `retrospective` where it is embodied by that form in every history.
    pub form: Both<Option<&'static str>>,
    /// Since when it is in: the first and the last possible day.
    pub since: Both<Option<(String, String)>>,
    /// Why, in a few words.
    pub reason: Both<String>,
    /// What speaks of it and is left out if the doubtful claims are accepted too, because other claims contradict it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
    since_words: Both<String>,
}

/// Which modifications are shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StateFilter {
    /// Only those that are not settled alike on both bases.
    pub open: bool,
    /// Only these; empty: all.
    pub mods: Vec<ModId>,
}

impl ModLine {
    /// The line of a modification.
    pub(crate) fn of(resolver: &mut Resolver<'_>, m: ModId) -> ModLine {
        let mut not_read = resolver.history().reach.modification(m);
        not_read.extend(resolver.not_read_of_evidence(m));
        let firm = resolver.modification(m, Basis::Firm);
        let held = resolver.modification(m, Basis::Held);
        let reason = |answer, basis| {
            if not_read.is_empty() { short_reason(resolver, m, answer, basis) } else { String::new() }
        };
        let reason = Both { firm: reason(&firm, Basis::Firm), held: reason(&held, Basis::Held) };
        let model = resolver.history().model;
        let both = |of: &dyn Fn(&ModAnswer) -> Option<(String, String)>| Both { firm: of(&firm), held: of(&held) };
        let words = |answer: &ModAnswer| answer.since.map(since_text).unwrap_or_default();
        ModLine {
            number: model.mods.name(m).to_owned(),
            title: model.mods[m].title.clone(),
            standing: Both { firm: ModStatus::of(firm.embodied), held: ModStatus::of(held.embodied) },
            form: Both { firm: form_of(&firm), held: form_of(&held) },
            since: both(&|answer| answer.since.map(|since| (since.not_before.to_string(), since.by.to_string()))),
            reason,
            left_out: if not_read.is_empty() { left_out_against(resolver, m) } else { Vec::new() },
            not_read,
            since_words: Both { firm: words(&firm), held: words(&held) },
        }
    }

    /// Whether it is embodied or not embodied, alike on both bases.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        !self.standing.differs() && matches!(self.standing.firm, ModStatus::Embodied | ModStatus::NotEmbodied)
    }
    /// Whether the records contradict each other about it.
    #[must_use]
    pub fn is_contradicted(&self) -> bool {
        self.standing.firm == ModStatus::Contradicted
    }

    /// What its rows come to.
    pub(crate) fn weight(&self) -> RowWeight {
        if !self.not_read.is_empty() {
            RowWeight::NotRead
        } else if self.is_contradicted() {
            RowWeight::Wrong
        } else if self.is_settled() {
            RowWeight::Sound
        } else {
            RowWeight::Open
        }
    }

    fn differs(&self) -> bool {
        self.standing.differs() || self.form.differs() || self.since.differs()
    }

    fn rows(&self) -> Vec<[String; 5]> {
        let row = |number: &str, standing: &str, form: Option<&str>, since: &str, reason: &str| {
            let form = form.unwrap_or_default();
            [number, standing, form, since, reason].map(str::to_owned)
        };
        let (standing, form, since, reason) = (&self.standing, &self.form, &self.since_words, &self.reason);
        let mark = (!self.not_read.is_empty()).then(|| mark_text(&self.not_read));
        if let (ModStatus::NotRead, Some(mark)) = (standing.firm, &mark) {
            return vec![row(&self.number, mark, None, "", "")];
        }
        // How it stands may be known where what the evidence is was not read.
        let why = |reason: &String| mark.clone().unwrap_or_else(|| reason.clone());
        let against = |reason: &String| match &self.left_out[..] {
            [] => why(reason),
            left_out => why(&format!("{reason}; contradicts it and is left out: {}", left_out.join(", "))),
        };
        let firm_why = if self.differs() { why(&reason.firm) } else { against(&reason.firm) };
        let mut rows = vec![row(&self.number, standing.firm.word(), form.firm, &since.firm, &firm_why)];
        if self.differs() {
            rows.push(row("*", standing.held.word(), form.held, &since.held, &against(&reason.held)));
        }
        rows
    }
}

fn form_of(answer: &ModAnswer) -> Option<&'static str> {
    match (answer.by_production, answer.by_retrospective) {
        (Truth::Always, _) => Some(form_word(Form::Production)),
        (_, Truth::Always) => Some(form_word(Form::Retrospective)),
        _ => None,
    }
}

/// The modification state that a resolver answers for.
#[must_use]
pub fn state_report(resolver: &mut Resolver<'_>, asked: Asked, filter: &StateFilter) -> StateReport {
    let all: Vec<ModId> = resolver.history().model.mods.ids().collect();
    let mut modifications = Vec::new();
    for m in all.iter().filter(|m| filter.mods.is_empty() || filter.mods.contains(m)) {
        let line = ModLine::of(resolver, *m);
        if !filter.open || !line.is_settled() {
            modifications.push(line);
        }
    }
    let distinct_states = Both::ask(|basis| resolver.count_all(basis).ok().map(|count| count.to_string()));
    let losses = &resolver.history().model.losses;
    let mut not_read = losses.marks(|loss| loss.whole && loss.may_be("Modification"));
    not_read.extend(&asked.not_read);
    StateReport { asked, modifications, of: all.len(), distinct_states, not_read }
}

impl StateReport {
    /// What the shown modifications come to: contradicted before open.
    #[must_use]
    pub fn standing(&self) -> Say {
        if self.modifications.iter().any(ModLine::is_contradicted) {
            Say::Contradicted
        } else if self.modifications.iter().any(|line| line.standing.firm == ModStatus::NotRead) {
            Say::NotRead
        } else if self.modifications.iter().all(ModLine::is_settled) {
            Say::Yes
        } else {
            Say::Open
        }
    }
}

/// The report as text.
#[must_use]
pub fn state_page(report: &StateReport) -> Page {
    let mut page = Page::titled(format!("Modification state of {}", report.asked.line()));
    page.gap();
    if report.modifications.is_empty() {
        page.say("No modification to show.");
    } else {
        let rows = report.modifications.iter().flat_map(ModLine::rows);
        let weights = report.modifications.iter().flat_map(|line| vec![line.weight(); line.rows().len()]);
        let table = PageTable::made(["Mod", "Status", "Embodied by", "Since", "Why"], rows);
        page.table(table.weighed(weights.collect()));
    }
    page.gap();
    if report.modifications.iter().any(ModLine::differs) {
        page.say(STAR);
    }
    let count = |wanted: &str| report.modifications.iter().filter(|m| m.standing.firm.word() == wanted).count();
    let sentences: Vec<String> = ["embodied", "not embodied", "open", "contradicted", "undecided", "not read"]
        .iter()
        .map(|word| (count(word), *word))
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    let shown = counted(report.modifications.len(), "modification", "modifications");
    let sentence = match sentences.join(", ") {
        none if none.is_empty() => String::new(),
        sentence => format!("{shown} of {} shown, {}: {sentence}.", report.of, basis_words(false)),
    };
    if report.not_read.is_empty() {
        page.say(sentence);
        page.say(states_text(&report.distinct_states));
    } else {
        let lost = mark_text(&report.not_read);
        let sentence = format!("{sentence} How many modification states fit the records is not known: {lost}.");
        page.say(sentence.trim_start());
    }
    page.append(report.asked.remarks());
    page
}

fn states_text(states: &Both<Option<String>>) -> String {
    let words = |count: &Option<String>| match count.as_deref() {
        Some("0") => "no modification state".to_owned(),
        Some("1") => "1 modification state".to_owned(),
        Some(count) => format!("{count} distinct modification states"),
        None => "more modification states than can be counted".to_owned(),
    };
    let count = if states.differs() {
        let (firm, held) = (words(&states.firm), words(&states.held));
        if states.firm.as_deref() == Some("0") {
            format!(
                "{firm} fits the firm claims, which contradict each other; {held} once the fewest claims are dropped"
            )
        } else {
            format!("{firm} fit the firm claims, {held} if the doubtful ones are accepted too")
        }
    } else {
        format!("{} fit the records", words(&states.firm))
    };
    format!("Over all modifications, {count} (a count, not a likelihood).")
}

impl super::Verdicts for StateReport {
    fn outcome(&self) -> super::Outcome {
        self.standing().outcome()
    }
    fn not_read(&self) -> Marks {
        let rows = self.modifications.iter().flat_map(|line| &line.not_read);
        rows.chain(&self.not_read).copied().collect()
    }
}
