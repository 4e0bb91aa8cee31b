//! A jig against a state: which plates stay, and what to do about the others.

use super::advice::{AdviceLine, advice_lines, sentences};
use super::answer::mark_text;
use super::asked::{Asked, Both, STAR, Say, when_words};
use crate::history::is_in;
use crate::ids::{JigId, PlateId};
use crate::jig::examine::Examiner;
use crate::jig::found::{Examined, HolesState};
use crate::jig::{JigVerdict, PlateStanding, Rests, StationVerdict, not_read_of_stand, standings, verdicts};
use crate::layout::text::counted;
use crate::layout::{AnchorKind, Page, PageTable, RowWeight};
use crate::metrology::position::LimitVerdict;
use crate::model::{Marks, Model};
use crate::resolve::{Basis, Resolver, Truth};
use crate::words::survey::identity_words;
use crate::words::{find_out_words, joined};
use serde::Serialize;
use std::collections::BTreeSet;

/// The answer about a jig against a state.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JigReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The jig.
    #[serde(flatten)]
    pub stand: JigStand,
}

/// How a jig stands against a state.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JigStand {
    /// The jig.
    pub jig: String,
    /// The frame that is built on it.
    pub frame: String,
    /// Its stations in walking order.
    pub stations: Vec<JigStation>,
    /// What was not read and bears on which stations the jig has.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What proves a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlateProof {
    /// Nothing: it was never surveyed.
    NeverSurveyed,
    /// Nothing: it was changed since its survey, or may have been.
    ChangedSinceItsSurvey,
    /// A survey that counts.
    Surveyed,
}

/// What the definition rests on that a plate counts as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RestsOn {
    /// Its record.
    ItsRecord,
    /// Its record and its holes.
    ItsRecordAndItsHoles,
    /// Its holes: it has no record.
    ItsHoles,
    /// Its holes, against its record.
    ItsHolesAgainstItsRecord,
    /// Its record: its holes do not tell.
    ItsRecordItsHolesDoNotTell,
    /// It counts as none.
    Nothing,
}

/// What a plate is in one look: its sign on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sign {
    Measured,
    Unproved,
    Wrong,
    Missing,
    Open,
}

/// One station of a jig; a station that holds several plates comes once for each.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JigStation {
    /// What the station is called.
    pub station: String,
    /// The mark on the plate there.
    pub mark: Option<String>,
    /// The definition that its record says it was made to.
    pub made_to: Option<String>,
    /// The definitions that the state needs there, or may need.
    pub needed: Vec<NeededPlate>,
    /// What is to be said of it; where something that it rests on was not read, nothing else is.
    pub verdict: Both<JigVerdict>,
    /// What proves the plate there.
    pub proved: Option<PlateProof>,
    /// The definition that the plate counts as, by its holes if they tell, else by its record.
    pub counts_as: Option<String>,
    /// What that rests on.
    pub rests_on: Option<RestsOn>,
    /// What the survey that counts found: the last one, if the plate has not been changed since.
    pub measured: Option<MeasuredPlate>,
    /// Whether the plate may stay on both bases. One that was not surveyed may stay, and is unproved.
    pub stays: bool,
    /// What to do; empty if nothing.
    pub remedy: String,
    /// What was not read and bears on this row.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
    /// What to do about the plate's holes, for other programs; what costs nothing first. Empty without a survey that
    /// counts.
    pub advice: Vec<AdviceLine>,
}

/// What the survey of a plate found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MeasuredPlate {
    /// The survey.
    pub survey: String,
    /// Its date, as written.
    pub date: String,
    /// What its holes are, in words.
    pub holes_are: String,
    /// `within`, `not decided` or `out`; nothing where the holes are compared with no definition.
    pub state: Option<&'static str>,
    /// Holes proved out.
    pub out: Vec<String>,
    /// Holes that the instrument does not decide.
    pub not_decided: Vec<String>,
    /// Holes of the definition that were not measured.
    pub not_measured: Vec<String>,
}

/// A plate definition that a station needs or may need.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NeededPlate {
    /// The plate number.
    pub plate: String,
    /// Whether it is needed.
    pub needed: Both<Say>,
    /// When it is needed, in words.
    pub when: String,
}

/// The word for a verdict.
#[must_use]
pub(crate) fn verdict_word(verdict: JigVerdict) -> &'static str {
    match verdict {
        JigVerdict::Right => "right",
        JigVerdict::HolesOut => "right variant, holes out of tolerance",
        JigVerdict::HolesUndecided => "right variant, holes cannot be decided with this instrument",
        JigVerdict::WrongVariant => "wrong variant",
        JigVerdict::WrongHand => "wrong hand",
        JigVerdict::Missing => "missing",
        JigVerdict::Surplus => "not needed",
        JigVerdict::Undecided => "undecided",
        JigVerdict::NoneNeeded => "none needed",
        JigVerdict::NotRead => "not read",
    }
}

/// The word for the holes of a plate taken together.
pub(crate) fn state_word(state: HolesState) -> &'static str {
    match state {
        HolesState::Within => "within",
        HolesState::NotDecided => "not decided",
        HolesState::Out => "out",
    }
}

/// A jig against the state of a resolver.
#[must_use]
pub fn jig_report(resolver: &mut Resolver<'_>, asked: Asked, jig: JigId, examiner: &Examiner<'_>) -> JigReport {
    JigReport { asked, stand: jig_stand(resolver, jig, examiner) }
}

/// How a jig stands against the state of a resolver.
pub(crate) fn jig_stand(resolver: &mut Resolver<'_>, jig: JigId, examiner: &Examiner<'_>) -> JigStand {
    let standings = standings(examiner, resolver.history().model, jig);
    let firm = verdicts(resolver, jig, &standings, Basis::Firm);
    let held = verdicts(resolver, jig, &standings, Basis::Held);
    let keys: BTreeSet<(usize, Option<usize>)> =
        firm.iter().chain(&held).map(|verdict| (verdict.station, verdict.mounted)).collect();
    let of = |verdicts: &[StationVerdict], (station, mounted): (usize, Option<usize>)| {
        let found = verdicts.iter().find(|verdict| (verdict.station, verdict.mounted) == (station, mounted));
        let (needed, not_read) = (Vec::new(), Marks::new());
        let none = StationVerdict { station, mounted, needed, verdict: JigVerdict::NoneNeeded, not_read };
        found.cloned().unwrap_or(none)
    };
    let pairs = keys.into_iter().map(|key| (of(&firm, key), of(&held, key)));
    let stations = pairs.map(|(firm, held)| station(resolver, jig, &standings, &firm, &held)).collect();
    let model = resolver.history().model;
    let entry = &model.jigs[jig];
    let not_read = not_read_of_stand(model, jig);
    JigStand {
        jig: model.jigs.name(jig).to_owned(),
        frame: model.frames.name(entry.frame).to_owned(),
        stations,
        not_read,
    }
}

/// A station of which something was not read.
fn unread(station: &str, mark: Option<&str>, not_read: Marks) -> JigStation {
    JigStation {
        station: station.to_owned(),
        mark: mark.map(str::to_owned),
        made_to: None,
        needed: Vec::new(),
        verdict: Both { firm: JigVerdict::NotRead, held: JigVerdict::NotRead },
        proved: None,
        counts_as: None,
        rests_on: None,
        measured: None,
        stays: false,
        remedy: String::new(),
        not_read,
        advice: Vec::new(),
    }
}

fn station(
    resolver: &mut Resolver<'_>,
    jig: JigId,
    standings: &[PlateStanding],
    firm: &StationVerdict,
    held: &StationVerdict,
) -> JigStation {
    let model = resolver.history().model;
    let entry = &model.jigs[jig];
    let not_read: Marks = firm.not_read.union(&held.not_read).copied().collect();
    if !not_read.is_empty() {
        let mark = firm.mounted.map(|index| entry.mounted[index].mark.as_str());
        return unread(&entry.stations[firm.station], mark, not_read);
    }
    let plates: BTreeSet<PlateId> = firm.needed.iter().chain(&held.needed).map(|(plate, _)| *plate).collect();
    let say = |of: &StationVerdict, plate: PlateId| {
        of.needed.iter().find(|(other, _)| *other == plate).map_or(Say::No, |(_, truth)| Say::from(*truth))
    };
    let needed = plates.iter().map(|plate| NeededPlate {
        plate: model.plates.name(*plate).to_owned(),
        needed: Both { firm: say(firm, *plate), held: say(held, *plate) },
        when: when_words(&resolver.plate_needed(*plate), resolver),
    });
    let needed: Vec<NeededPlate> = needed.collect();
    let mounted = firm.mounted.map(|index| &entry.mounted[index]);
    let standing = firm.mounted.map(|index| &standings[index]);
    let examined = standing.and_then(|standing| standing.examined.as_ref());
    let advice = examined.map_or_else(Vec::new, |examined| advice_lines(examined, model));
    let remedy = match (firm.verdict, held.verdict) {
        (a, b) if a != b => open_mods(resolver, &plates),
        (JigVerdict::Undecided, _) => match standing.filter(|standing| standing.is.is_none()) {
            Some(standing) => unknown_remedy(standing, model),
            None => open_mods(resolver, &plates),
        },
        (JigVerdict::Right | JigVerdict::NoneNeeded | JigVerdict::NotRead, _) => String::new(),
        (JigVerdict::HolesOut, _) if advice.iter().any(|line| line.destroys_work) => {
            format!("{}; survey again", advised(&advice))
        }
        (JigVerdict::HolesOut | JigVerdict::HolesUndecided | JigVerdict::WrongHand, _) => advised(&advice),
        // What a survey says against the record may be another plate's survey.
        (JigVerdict::WrongVariant, _) if standing.is_some_and(|s| s.rests == Rests::MetalAgainst) => advised(&advice),
        (JigVerdict::WrongVariant, _) if standing.is_some_and(|s| proof_of(s.rests) != PlateProof::Surveyed) => {
            format!("measure its holes first; if it is as recorded, make or rework to {}", plate_names(&needed))
        }
        (JigVerdict::WrongVariant, _) => format!("make or rework to {}", plate_names(&needed)),
        (JigVerdict::Missing, _) => format!("make {}", plate_names(&needed)),
        (JigVerdict::Surplus, _) => "remove and store".to_owned(),
    };
    JigStation {
        station: entry.stations[firm.station].clone(),
        mark: mounted.map(|plate| plate.mark.clone()),
        made_to: mounted.and_then(|plate| plate.made_to).map(|plate| model.plates.name(plate).to_owned()),
        needed,
        verdict: Both { firm: firm.verdict, held: held.verdict },
        proved: standing.map(|standing| proof_of(standing.rests)),
        counts_as: standing.and_then(|standing| standing.is).map(|plate| model.plates.name(plate).to_owned()),
        rests_on: standing.map(rests_on),
        measured: examined.map(|examined| measured(examined, model)),
        stays: firm.verdict == JigVerdict::Right && held.verdict == JigVerdict::Right,
        remedy,
        not_read,
        advice,
    }
}

fn proof_of(rests: Rests) -> PlateProof {
    match rests {
        Rests::NotSurveyed => PlateProof::NeverSurveyed,
        Rests::ChangedSince(_) => PlateProof::ChangedSinceItsSurvey,
        Rests::Agrees
        | Rests::Metal
        | Rests::MetalAgainst
        | Rests::NotDistinguished
        | Rests::OtherHand(_)
        | Rests::Unlike => PlateProof::Surveyed,
    }
}

fn rests_on(standing: &PlateStanding) -> RestsOn {
    match standing.rests {
        Rests::NotSurveyed | Rests::ChangedSince(_) if standing.is.is_none() => RestsOn::Nothing,
        Rests::NotSurveyed | Rests::ChangedSince(_) => RestsOn::ItsRecord,
        Rests::Agrees => RestsOn::ItsRecordAndItsHoles,
        Rests::Metal => RestsOn::ItsHoles,
        Rests::MetalAgainst => RestsOn::ItsHolesAgainstItsRecord,
        Rests::NotDistinguished => RestsOn::ItsRecordItsHolesDoNotTell,
        Rests::OtherHand(_) | Rests::Unlike => RestsOn::Nothing,
    }
}

fn measured(examined: &Examined, model: &Model) -> MeasuredPlate {
    let survey = &model.surveys[examined.survey];
    let with = |verdict| {
        let holes = examined.with(verdict);
        let name = |hole: usize| examined.against.map(|plate| model.plates[plate].holes[hole].name.clone());
        holes.filter_map(name).collect()
    };
    MeasuredPlate {
        survey: survey.id.clone(),
        date: survey.date.text.clone(),
        holes_are: identity_words(&examined.identity, model),
        state: examined.state().map(state_word),
        out: with(Some(LimitVerdict::Fail)),
        not_decided: with(Some(LimitVerdict::NotDecidable)),
        not_measured: with(None),
    }
}

/// What to do about a plate of which neither record nor holes say what it is.
fn unknown_remedy(standing: &PlateStanding, model: &Model) -> String {
    match (&standing.examined, standing.rests) {
        (Some(examined), _) => format!(
            "look at the plate: by survey {} its holes are {}",
            model.surveys[examined.survey].id,
            identity_words(&examined.identity, model)
        ),
        (None, Rests::ChangedSince(survey)) => {
            format!("measure its holes again: it was changed after survey {}", model.surveys[survey].id)
        }
        (None, _) => "measure its holes: nothing says what it was made to".to_owned(),
    }
}

/// What to do about the holes of a surveyed plate.
pub(crate) fn advised(advice: &[AdviceLine]) -> String {
    joined(&sentences(advice).map(str::to_owned).collect::<Vec<_>>(), "then")
}

fn plate_names(needed: &[NeededPlate]) -> String {
    needed.iter().map(|need| need.plate.clone()).collect::<Vec<_>>().join(" or ")
}

/// What to find out: the open modifications on which these plates depend.
fn open_mods(resolver: &mut Resolver<'_>, plates: &BTreeSet<PlateId>) -> String {
    let mods: BTreeSet<_> =
        plates.iter().flat_map(|plate| Resolver::depends_on(&resolver.plate_needed(*plate))).collect();
    let mut open = Vec::new();
    for m in mods {
        let firm = resolver.truth(&is_in(m, None), Basis::Firm);
        if !matches!(firm, Truth::Always | Truth::Never) || firm != resolver.truth(&is_in(m, None), Basis::Held) {
            open.push(resolver.history().model.mods.name(m));
        }
    }
    find_out_words(open, "what is needed")
}

impl JigStand {
    /// Whether some plate is certainly wrong: in its variant, its hand or its holes.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        [JigVerdict::WrongVariant, JigVerdict::WrongHand, JigVerdict::HolesOut]
            .iter()
            .any(|verdict| self.certainly(*verdict))
    }
    fn certainly(&self, verdict: JigVerdict) -> bool {
        self.stations.iter().any(|s| !s.verdict.differs() && s.verdict.firm == verdict)
    }
    /// Whether some station is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.stations.iter().any(JigStation::is_undecided)
    }
    /// What it comes to.
    pub(crate) fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    /// What was not read and bears on its stations.
    pub(crate) fn not_read_on_it(&self) -> Marks {
        let rows = self.stations.iter().flat_map(|station| &station.not_read);
        self.not_read.iter().chain(rows).copied().collect()
    }
    /// What was not read and bears on it, as its summary lines say it; empty if everything was.
    fn unknown(&self, lead: &str) -> String {
        let marks = self.not_read_on_it();
        if marks.is_empty() { String::new() } else { format!("{lead}{}", mark_text(&marks)) }
    }

    /// Whether the jig is built to the state, what is wrong station by station, and which plates stay.
    #[must_use]
    pub(crate) fn summary(&self) -> Page {
        let mut page = self.verdict_lines();
        for station in &self.stations {
            if station.stays || station.verdict.firm == JigVerdict::NoneNeeded {
                continue;
            }
            let plate = station.mark.as_deref().map_or("no plate".to_owned(), |mark| format!("plate {mark}"));
            let made_to = station.made_to.as_deref().map_or(String::new(), |made| format!(", made to {made}"));
            let both = if station.verdict.differs() {
                let [firm, held] = [station.verdict.firm, station.verdict.held].map(verdict_word);
                format!("{firm} ({held} if doubtful claims are accepted)")
            } else {
                station.judged(station.verdict.firm)
            };
            let remedy = if station.not_read.is_empty() { format!("; {}", station.remedy) } else { String::new() };
            let sentence = format!("{plate}{made_to}: {both}{remedy}");
            page.item(format!("  {}: ", station.station), sentence);
        }
        page.append(self.staying());
        page
    }

    pub(crate) fn verdict_lines(&self) -> Page {
        let unread = self.unknown("");
        let verdict = if self.is_wrong() {
            "NOT built to this state"
        } else if !unread.is_empty() {
            "not known for this state"
        } else if self.is_undecided() {
            "not decided for this state"
        } else if self.certainly(JigVerdict::Missing) {
            "not complete for this state"
        } else {
            match self.unproved().len() {
                0 => "built to this state, by the plates' records and by their holes",
                _ => "built to this state, as far as the plates' records say; not verified by measurement",
            }
        };
        let unread = if unread.is_empty() { unread } else { format!("; {unread}") };
        let mut page = Page::default();
        page.item(format!("Jig {}: ", self.jig), format!("{verdict}{unread}."));
        page
    }

    /// The marks of the plates that may stay and are not proved by a survey.
    fn unproved(&self) -> Vec<&str> {
        let unproved = self.stations.iter().filter(|s| s.stays && s.measured.is_none());
        unproved.filter_map(|s| s.mark.as_deref()).collect()
    }

    fn staying(&self) -> Page {
        let stay: Vec<&str> = self.stations.iter().filter(|s| s.stays).filter_map(|s| s.mark.as_deref()).collect();
        let mut page = Page::default();
        if !stay.is_empty() {
            let others = self.unknown("; whether others are right: ");
            let sentence =
                format!("leave as they are, {}: {}{others}", counted(stay.len(), "plate", "plates"), stay.join(", "));
            page.item("  ", sentence);
        }
        let unproved = self.unproved();
        if !unproved.is_empty() {
            let others = self.unknown("; of the others: ");
            let sentence =
                format!("of these, not verified by measurement (record only): {}{others}", unproved.join(", "));
            page.item("  ", sentence);
        }
        let changed = self.stations.iter().filter(|s| s.proved == Some(PlateProof::ChangedSinceItsSurvey));
        let changed: BTreeSet<&str> = changed.filter_map(|s| s.mark.as_deref()).collect();
        if !changed.is_empty() {
            let marks: Vec<&str> = changed.into_iter().collect();
            let others = self.unknown("; of the others: ");
            let sentence = format!(
                "changed since the last survey, not verified by measurement until the next: {}{others}",
                marks.join(", ")
            );
            page.item("  ", sentence);
        }
        page
    }
}

impl JigStation {
    /// Whether it is left undecided.
    pub(crate) fn is_undecided(&self) -> bool {
        self.verdict.differs() || matches!(self.verdict.firm, JigVerdict::Undecided | JigVerdict::HolesUndecided)
    }
    /// A verdict with what it rests on.
    fn judged(&self, verdict: JigVerdict) -> String {
        let word = verdict_word(verdict).to_owned();
        match verdict {
            JigVerdict::Surplus | JigVerdict::Undecided | JigVerdict::Missing | JigVerdict::NoneNeeded => return word,
            JigVerdict::NotRead => return mark_text(&self.not_read),
            JigVerdict::Right
            | JigVerdict::HolesOut
            | JigVerdict::HolesUndecided
            | JigVerdict::WrongVariant
            | JigVerdict::WrongHand => {}
        }
        let beside = match (&self.measured, self.rests_on, self.proved) {
            (None, Some(RestsOn::ItsRecord), Some(PlateProof::ChangedSinceItsSurvey)) => {
                "by record, changed since".to_owned()
            }
            (None, Some(RestsOn::ItsRecord), _) => "by record, not surveyed".to_owned(),
            (Some(measured), Some(RestsOn::ItsHolesAgainstItsRecord), _) => {
                format!("measured {}, against its record", measured.survey)
            }
            (Some(measured), Some(RestsOn::ItsRecordItsHolesDoNotTell), _) => {
                format!("by record, {} does not show which", measured.survey)
            }
            (Some(measured), ..) => format!("measured {}", measured.survey),
            (None, ..) => return word,
        };
        format!("{word} ({beside})")
    }
    /// The verdict under the firm claims in few words: what is right and not proved by a survey says so.
    pub(crate) fn in_short(&self) -> String {
        match (self.verdict.firm, &self.measured) {
            (JigVerdict::Right, None) => "right, record only".to_owned(),
            (JigVerdict::Right, Some(_)) => "right, measured".to_owned(),
            (JigVerdict::NotRead, _) => mark_text(&self.not_read),
            (verdict, _) => verdict_word(verdict).to_owned(),
        }
    }
    /// The verdict on both bases in few words.
    pub(crate) fn in_short_on_both(&self) -> String {
        let firm = self.in_short();
        if self.verdict.differs() {
            format!("{firm}; {} if doubtful claims are accepted", verdict_word(self.verdict.held))
        } else {
            firm
        }
    }
    /// The sign of the verdict under the firm claims.
    /// What its rows come to.
    fn weight(&self) -> RowWeight {
        match self.sign() {
            _ if !self.not_read.is_empty() => RowWeight::NotRead,
            Sign::Wrong | Sign::Missing => RowWeight::Wrong,
            _ if self.is_undecided() => RowWeight::Open,
            Sign::Measured | Sign::Unproved | Sign::Open => RowWeight::Sound,
        }
    }
    pub(crate) fn sign(&self) -> Sign {
        match (self.verdict.firm, &self.measured) {
            (JigVerdict::Right, Some(_)) => Sign::Measured,
            (JigVerdict::Right, None) => Sign::Unproved,
            (JigVerdict::WrongVariant | JigVerdict::WrongHand | JigVerdict::HolesOut, _) => Sign::Wrong,
            (JigVerdict::Missing, _) => Sign::Missing,
            (
                JigVerdict::HolesUndecided
                | JigVerdict::Surplus
                | JigVerdict::Undecided
                | JigVerdict::NoneNeeded
                | JigVerdict::NotRead,
                _,
            ) => Sign::Open,
        }
    }
}

/// The report as text.
#[must_use]
pub fn jig_page(report: &JigReport) -> Page {
    let stand = &report.stand;
    let mut page = Page::default();
    page.anchor(AnchorKind::Jig, &stand.jig);
    page.append(Page::titled(format!("Jig {}, for frame {}: {}", stand.jig, stand.frame, report.asked.line())));
    page.gap();
    let (mut rows, mut weights) = (Vec::new(), Vec::new());
    for station in &report.stand.stations {
        let names = |say: &dyn Fn(&NeededPlate) -> Say| {
            let words = station.needed.iter().filter(|need| say(need) != Say::No).map(|need| match say(need) {
                Say::Yes => need.plate.clone(),
                Say::No | Say::Open | Say::Contradicted | Say::Undecided | Say::NotRead => format!("{}?", need.plate),
            });
            words.collect::<Vec<_>>().join(" ")
        };
        let dash = |text: Option<&str>| text.unwrap_or("-").to_owned();
        let or_dash = |text: String| if text.is_empty() { "-".to_owned() } else { text };
        rows.push([
            station.station.clone(),
            dash(station.mark.as_deref()),
            dash(station.made_to.as_deref()),
            or_dash(names(&|need| need.needed.firm)),
            station.judged(station.verdict.firm),
            if station.not_read.is_empty() { station.remedy.clone() } else { "-".to_owned() },
        ]);
        weights.push(station.weight());
        if station.verdict.differs() {
            rows.push([
                "*".to_owned(),
                String::new(),
                String::new(),
                or_dash(names(&|need| need.needed.held)),
                station.judged(station.verdict.held),
                String::new(),
            ]);
            weights.push(station.weight());
        }
    }
    let table = PageTable::made(["Station", "Mark", "Made to", "Needed", "Verdict", "To do"], rows);
    page.table(table.weighed(weights).about(AnchorKind::Plate, 3));
    page.gap();
    let needs: Vec<&NeededPlate> =
        report.stand.stations.iter().flat_map(|s| &s.needed).filter(|need| need.needed.firm == Say::Open).collect();
    for need in needs {
        page.item("  ", format!("{} is needed {}", need.plate, need.when));
    }
    if report.stand.stations.iter().any(|station| station.verdict.differs()) {
        page.say(STAR);
    }
    page.append(stand.verdict_lines());
    page.append(stand.staying());
    if stand.stations.iter().any(|station| !station.stays && !station.remedy.is_empty()) {
        page.item("  the order of work: ", format!("modstate rework {}", stand.jig));
    }
    page.append(report.asked.remarks());
    page.gap();
    page
}

impl super::Verdicts for JigReport {
    fn outcome(&self) -> super::Outcome {
        self.stand.outcome()
    }
    fn not_read(&self) -> Marks {
        self.asked.not_read.iter().copied().chain(self.stand.not_read_on_it()).collect()
    }
}
