//! Which airframe and which state an answer is about, and what it takes for granted.

use super::Outcome;
use super::answer::mark_text;
use crate::finding::Place;
use crate::history::{History, is_supposed};
use crate::ids::ClaimId;
use crate::layout::Page;
use crate::layout::text::counted;
use crate::model::{Loss, Marks};
use crate::prop::{Expr, Limit};
use crate::resolve::{Basis, Reason, Resolver, Truth, in_cases};
use crate::schema::Standing;
use crate::source::Sources;
use crate::words::{date_text, named};
use serde::Serialize;

/// How the state was picked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Picked {
    /// By its date.
    Date,
    /// By its name.
    Name,
    /// It is the airframe's only named build state.
    Only,
    /// It is the build state that the jig is set for.
    JigSetFor,
    /// It is the build state that this decision of the workshop builds to.
    Decided(u32),
}

/// A modification that a named build state adds or leaves out on purpose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ChosenMod {
    /// Which.
    pub modification: String,
    /// Why.
    pub reason: String,
}

/// A policy that the airframe's dossier takes for granted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Assumed {
    /// Its name.
    pub name: String,
    /// How many claims it stands for; `null` if not known.
    pub claims: Option<usize>,
    /// Why the dossier assumes it.
    pub reason: String,
    /// What was not read and bears on how many claims it stands for.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Which airframe and which state an answer is about.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Asked {
    /// The aircraft type.
    pub type_name: Option<String>,
    /// The airframe's serial.
    pub airframe: String,
    /// The date, at the end of which the state is taken.
    pub date: String,
    /// The named build state.
    pub build_state: Option<String>,
    /// How it was picked.
    pub picked: Picked,
    /// What the build state adds.
    pub adds: Vec<ChosenMod>,
    /// What it leaves out.
    pub leaves_out: Vec<ChosenMod>,
    /// The assumptions of the dossier; they count as doubtful claims.
    pub assumptions: Vec<Assumed>,
    /// What was supposed of the airframe for this run; the answer rests on it.
    pub supposed: Vec<String>,
    /// What would have to fall for what was supposed to hold, where it cannot hold with the rest.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub would_fall: Vec<String>,
    /// Whether the answer may differ with the doubtful claims held.
    pub two_bases: bool,
    /// Whether the firm claims contradict each other or the rules.
    pub contradicted: bool,
    /// Where they do: which claims are left out for what is said if the doubtful claims are accepted too, a sentence for
    /// each contradiction.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<String>,
    /// What was not read and bears on this heading.
    #[serde(skip)]
    pub not_read: Marks,
}

impl Asked {
    /// What a resolver was made ready to answer.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, picked: Picked) -> Asked {
        let history = resolver.history();
        let (model, airframe, target) = (history.model, history.airframe(), resolver.target());
        let choices = |list: &[(crate::ids::ModId, Place, String)]| {
            let one = |(m, _, reason): &(crate::ids::ModId, Place, String)| ChosenMod {
                modification: model.mods.name(*m).to_owned(),
                reason: reason.clone(),
            };
            list.iter().map(one).collect()
        };
        let state = target.build_state.map(|id| &airframe.build_states[id]);
        let assumptions = assumptions(history);
        let of_assumptions = assumptions.iter().flat_map(|assumed| &assumed.not_read).copied();
        let not_read = of_assumptions.chain(history.not_read_of_asking(target.build_state)).collect();
        let left_out = left_out(resolver);
        Asked {
            type_name: model.type_of.as_ref().map(|t| t.name.clone()),
            airframe: airframe.serial.text.clone(),
            date: target.day.to_string(),
            build_state: target.build_state.map(|id| airframe.build_states.name(id).to_owned()),
            picked,
            adds: state.map(|state| choices(&state.add)).unwrap_or_default(),
            leaves_out: state.map(|state| choices(&state.leave_out)).unwrap_or_default(),
            assumptions,
            supposed: Vec::new(),
            would_fall: would_fall(resolver),
            two_bases: resolver.has_two_bases(),
            contradicted: !left_out.is_empty(),
            left_out,
            not_read,
        }
    }

    /// One line for the head of an answer: whose state, and how it was picked.
    #[must_use]
    pub(crate) fn line(&self) -> String {
        let name = self.build_state.as_deref().unwrap_or_default();
        let (airframe, date) = (&self.airframe, date_text(&self.date));
        match self.picked {
            Picked::Date => format!("{airframe} as at {date}, the date asked for"),
            Picked::Name => format!("{airframe} as at {date}, build state \"{name}\""),
            Picked::Only => format!("{airframe} as at {date}, its only build state \"{name}\""),
            Picked::JigSetFor => format!("{airframe} as at {date}, build state \"{name}\", which the jig is set for"),
            Picked::Decided(number) => {
                format!("{airframe} as at {date}, build state \"{name}\", which decision {number} builds to")
            }
        }
    }

    /// The same without what the build state chooses and what the dossier assumes, for an answer in a document that says these
    /// once, in its heading. What is supposed or contradicted stays with every answer.
    #[must_use]
    pub(crate) fn bare(&self) -> Asked {
        Asked { adds: Vec::new(), leaves_out: Vec::new(), assumptions: Vec::new(), ..self.clone() }
    }

    /// What the answer takes for granted, and what the build state chooses; empty if nothing.
    #[must_use]
    pub(crate) fn remarks(&self) -> Page {
        let mut page = Page::default();
        for (verb, list) in [("adds", &self.adds), ("leaves out", &self.leaves_out)] {
            for choice in list {
                let sentence = format!("{verb} {}: {}", choice.modification, choice.reason);
                page.item("The build state ", sentence);
            }
        }
        for supposed in &self.supposed {
            let sentence = format!("{supposed}. The answer rests on this supposition, not on a record.");
            page.item("Supposed for this run: ", sentence);
        }
        for sentence in &self.would_fall {
            page.item("Supposed against the records: ", sentence);
        }
        for assumed in &self.assumptions {
            let claims = assumed.claims.map_or_else(
                || format!("how many doubtful claims is not known: {}", mark_text(&assumed.not_read)),
                |claims| counted(claims, "doubtful claim", "doubtful claims"),
            );
            let sentence = format!("{} ({claims}): {}", assumed.name, assumed.reason);
            page.item("Assumed, ", sentence);
        }
        if self.contradicted {
            let sentence = "the firm records of this airframe contradict each other or the rules; what does not touch the \
                        contradiction is answered all the same. Run modstate check.";
            page.item("Careful: ", sentence);
        }
        for sentence in &self.left_out {
            page.item("If the doubtful claims are accepted too: ", sentence);
        }
        page
    }
}

/// The assumptions of the dossier that stand as doubtful claims.
fn assumptions(history: &History<'_>) -> Vec<Assumed> {
    let losses = &history.model.losses;
    // A modification that is not in the model is none that the assumption counts.
    let is_mod = |loss: &Loss| loss.whole && loss.may_be("Modification");
    let counted = |loss: &Loss| loss.may_be("Claim") || is_mod(loss) || !loss.touches.mods.is_empty();
    let lost = losses.marks(|loss| loss.concerns(history.id) && counted(loss));
    let mut found: Vec<(Assumed, usize)> = Vec::new();
    for (_, full, claim) in history.airframe().claims.iter() {
        let Some(reason) = claim.assumed.as_ref().filter(|_| claim.standing == Standing::Doubtful) else {
            continue;
        };
        // One that stands for every modification without a record is named with each of them.
        let (name, is_policy) = full.split_once(' ').map_or((full, false), |(name, _)| (name, true));
        let not_read = if is_policy { lost.clone() } else { Marks::new() };
        match found.iter_mut().find(|(known, _)| known.name == name) {
            Some((_, count)) => *count += 1,
            None => {
                found.push((Assumed { name: name.to_owned(), claims: None, reason: reason.clone(), not_read }, 1));
            }
        }
    }
    let known = found.into_iter();
    known.map(|(one, count)| Assumed { claims: one.not_read.is_empty().then_some(count), ..one }).collect()
}

/// For each contradiction of the firm claims, which claims are left out where the doubtful ones are accepted too.
fn left_out(resolver: &Resolver<'_>) -> Vec<String> {
    let claims = &resolver.history().airframe().claims;
    let one = |repairs: Result<Vec<Vec<ClaimId>>, Limit>| match repairs {
        Err(limit) => format!("which claims to leave out is undecided: {limit}."),
        Ok(ways) if ways.is_empty() => {
            "the rules contradict each other, and no claim can be left out for it.".to_owned()
        }
        Ok(ways) => {
            let way = |way: &Vec<ClaimId>| named(way.iter().map(|claim| claims.name(*claim)), "and");
            let sentences: Vec<String> = ways.iter().map(way).collect();
            let open = if ways.len() > 1 { "; what differs between these is open" } else { "" };
            format!("answered without {}{open}.", sentences.join(", or without "))
        }
    };
    resolver.left_out().into_iter().map(one).collect()
}

/// For each supposition that cannot hold with the rest, which claims would have to fall.
fn would_fall(resolver: &Resolver<'_>) -> Vec<String> {
    let claims = &resolver.history().airframe().claims;
    let supposed = |claim: &ClaimId| is_supposed(&claims[*claim]);
    if !claims.ids().any(|claim| supposed(&claim)) {
        return Vec::new();
    }
    let names = |ids: &[ClaimId], join| named(ids.iter().map(|claim| claims.name(*claim)), join);
    let mut sentences = Vec::new();
    for contradiction in resolver.contradictions() {
        let of_set = |set: &Vec<Reason>| -> Vec<ClaimId> {
            set.iter()
                .filter_map(|reason| if let Reason::Claim(claim) = reason { Some(*claim) } else { None })
                .collect()
        };
        let against = contradiction.sets.iter().map(of_set).filter(|set| set.iter().any(supposed));
        let repairs = contradiction.repairs.as_ref().ok().into_iter().flatten();
        let ways: Vec<&Vec<ClaimId>> = repairs.filter(|repair| !repair.iter().any(supposed)).collect();
        for set in against {
            let (these, others): (Vec<ClaimId>, Vec<ClaimId>) = set.into_iter().partition(supposed);
            let ways = ways.iter().filter(|way| way.iter().any(|claim| others.contains(claim)));
            let ways: Vec<String> = ways.map(|way| names(way, "and")).collect();
            let what = names(&these, "and");
            sentences.push(if others.is_empty() && these.len() > 1 {
                format!("{what} cannot hold together: the rules speak against it, whatever the dossier claims.")
            } else if others.is_empty() {
                format!("{what} cannot hold: the rules alone speak against it, and no claim can make room for it.")
            } else if ways.is_empty() {
                let others = names(&others, "or");
                format!("{what} cannot hold with the claims of the dossier: at least {others} would have to fall.")
            } else {
                format!("{what} holds only without {}.", ways.join(", or without "))
            });
        }
    }
    sentences
}

/// On which claims an answer rests, as the end of a sentence.
pub(crate) fn basis_words(doubtful_too: bool) -> &'static str {
    if doubtful_too { "if the doubtful claims are accepted too" } else { "on the firm claims only" }
}

/// What a star in an answer means; it stands below it.
pub(crate) const STAR: &str = "* = if doubtful claims are accepted";

/// The same thing on both bases.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Both<T> {
    /// Under the firm claims alone.
    pub firm: T,
    /// With the doubtful claims held as well.
    pub held: T,
}

impl<T> From<[T; 2]> for Both<T> {
    fn from([firm, held]: [T; 2]) -> Both<T> {
        Both { firm, held }
    }
}

impl<T: PartialEq> Both<T> {
    /// Asks on both bases.
    pub(crate) fn ask(mut ask: impl FnMut(Basis) -> T) -> Both<T> {
        Both { firm: ask(Basis::Firm), held: ask(Basis::Held) }
    }
    /// Whether the doubtful claims make a difference.
    pub(crate) fn differs(&self) -> bool {
        self.firm != self.held
    }
    /// A word for each, the second behind a star and only where it differs; [`STAR`] says what that means.
    pub(crate) fn words(&self, word: impl Fn(&T) -> String) -> String {
        let firm = word(&self.firm);
        if self.differs() { format!("{firm} (* {})", word(&self.held)) } else { firm }
    }
}

/// What the histories say of something.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Say {
    /// True in every history.
    Yes,
    /// True in none.
    No,
    /// True in some.
    #[default]
    Open,
    /// There is no history: the records contradict each other.
    Contradicted,
    /// A limit was met before it was decided.
    Undecided,
    /// It rests on something that was not read.
    NotRead,
}

impl From<Truth> for Say {
    fn from(truth: Truth) -> Say {
        match truth {
            Truth::Always => Say::Yes,
            Truth::Never => Say::No,
            Truth::Open => Say::Open,
            Truth::NoHistory => Say::Contradicted,
            Truth::Undecided(Limit::NotRead) => Say::NotRead,
            Truth::Undecided(Limit::Nodes(_) | Limit::Repairs(_) | Limit::Conflicts(_)) => Say::Undecided,
        }
    }
}

impl Say {
    /// Whether it is decided.
    #[must_use]
    pub fn is_settled(self) -> bool {
        matches!(self, Say::Yes | Say::No)
    }
    /// What an answer comes to that says this.
    #[must_use]
    pub fn outcome(self) -> Outcome {
        match self {
            Say::Yes | Say::No => Outcome::Settled,
            Say::Open | Say::Undecided | Say::NotRead => Outcome::Undecided,
            Say::Contradicted => Outcome::StopsWork,
        }
    }
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Say::Yes => "yes",
            Say::No => "no",
            Say::Open => "open",
            Say::Contradicted => "contradicted",
            Say::Undecided => "undecided",
            Say::NotRead => "not read",
        }
    }
}

/// What is so on both bases comes to; undecided too if the doubtful claims make the difference.
pub(crate) fn outcome_of_both(firm: Say, held: Say) -> Outcome {
    let outcome = firm.outcome().max(held.outcome());
    if firm == held { outcome } else { outcome.max(Outcome::Undecided) }
}

/// Where something is written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct At {
    /// The file, below the project folder.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
}

impl At {
    pub(crate) fn of(place: &Place, sources: &Sources) -> At {
        let (file, span) = sources.span(place);
        let (line, _) = sources.line_column(file, span.start);
        At { file: sources.file(file).path.to_string_lossy().into_owned(), line }
    }
}

impl std::fmt::Display for At {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.file, self.line)
    }
}

/// When something is so, in the words of the trade.
pub(crate) fn when_words(expr: &Expr, resolver: &Resolver<'_>) -> String {
    let plain = in_cases(expr);
    crate::words::expr_text(plain.as_ref().unwrap_or(expr), resolver.history().model)
}
