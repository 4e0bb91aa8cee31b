//! A jig against a state: which plates stay, and what to do about the others.

use super::advice::{AdviceLine, advice_lines};
use super::asked::{Asked, Both, Say, when_words};
use super::layout::{counted, paragraph, table};
use super::{CAUTION, Style};
use crate::check::wording::advice::advice_texts;
use crate::check::wording::joined;
use crate::check::wording::survey::identity_words;
use crate::history::is_in;
use crate::ids::{JigId, PlateId};
use crate::jig::advice::advice;
use crate::jig::examine::{Examined, Examiner, HolesState};
use crate::jig::position::Verdict as HoleVerdict;
use crate::jig::{Rests, Standing, StationVerdict, Verdict, standings, verdicts};
use crate::model::Model;
use crate::resolve::{Basis, Resolver, Truth};
use serde::Serialize;
use std::collections::BTreeSet;

/// A jig against a state.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct JigReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The jig.
    pub jig: String,
    /// The frame that is built on it.
    pub frame: String,
    /// Its stations in walking order.
    pub stations: Vec<JigStation>,
    /// The caution that goes with every verdict.
    pub caution: &'static str,
}

/// One station of a jig; a station that holds several plates comes once for each.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct JigStation {
    /// What the station is called.
    pub station: String,
    /// The mark on the plate there.
    pub mark: Option<String>,
    /// The definition that its record says it was made to.
    pub made_to: Option<String>,
    /// The definitions that the state needs there, or may need.
    pub needed: Vec<NeededPlate>,
    /// `right`, `right variant, holes out`, `right variant, holes undecided`, `wrong variant`, `wrong hand`, `missing`,
    /// `surplus`, `undecided` or `none needed`.
    pub verdict: Both<&'static str>,
    /// `never surveyed`, `changed since its survey` or `surveyed`.
    pub proved: Option<&'static str>,
    /// The definition that the plate counts as, by its holes if they tell, else by its record.
    pub counts_as: Option<String>,
    /// What that rests on: `its record`, `its record and its holes`, `its holes`, `its holes against its record`,
    /// `its record, its holes do not tell` or, where it counts as none, `nothing`.
    pub rests_on: Option<&'static str>,
    /// What the survey that counts found: the last one, if the plate has not been changed since.
    pub measured: Option<MeasuredPlate>,
    /// Whether the plate may stay on both bases. One that was not surveyed may stay, and is unproved.
    pub stays: bool,
    /// What to do; empty if nothing.
    pub remedy: String,
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
    /// `within`, `not decided` or `out`; nothing where the holes are held against no definition.
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
pub(crate) fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Right => "right",
        Verdict::HolesOut => "right variant, holes out",
        Verdict::HolesUndecided => "right variant, holes undecided",
        Verdict::WrongVariant => "wrong variant",
        Verdict::WrongHand => "wrong hand",
        Verdict::Missing => "missing",
        Verdict::Surplus => "surplus",
        Verdict::Undecided => "undecided",
        Verdict::NoneNeeded => "none needed",
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
    let standings = standings(examiner, resolver.history().model, jig);
    let firm = verdicts(resolver, jig, &standings, Basis::Firm);
    let held = verdicts(resolver, jig, &standings, Basis::Held);
    let keys: BTreeSet<(usize, Option<usize>)> =
        firm.iter().chain(&held).map(|verdict| (verdict.station, verdict.mounted)).collect();
    let of = |verdicts: &[StationVerdict], (station, mounted): (usize, Option<usize>)| {
        let found = verdicts.iter().find(|verdict| (verdict.station, verdict.mounted) == (station, mounted));
        let none = StationVerdict { station, mounted, needed: Vec::new(), verdict: Verdict::NoneNeeded };
        found.cloned().unwrap_or(none)
    };
    let pairs = keys.into_iter().map(|key| (of(&firm, key), of(&held, key)));
    let stations = pairs.map(|(firm, held)| station(resolver, jig, &standings, &firm, &held)).collect();
    let model = resolver.history().model;
    let entry = &model.jigs[jig];
    JigReport {
        asked,
        jig: model.jigs.name(jig).to_owned(),
        frame: model.frames.name(entry.frame).to_owned(),
        stations,
        caution: CAUTION,
    }
}

fn station(
    resolver: &mut Resolver<'_>,
    jig: JigId,
    standings: &[Standing],
    firm: &StationVerdict,
    held: &StationVerdict,
) -> JigStation {
    let model = resolver.history().model;
    let entry = &model.jigs[jig];
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
    let remedy = match (firm.verdict, held.verdict) {
        (a, b) if a != b => format!("settle {}", open_mods(resolver, &plates)),
        (Verdict::Undecided, _) => match standing.filter(|standing| standing.is.is_none()) {
            Some(standing) => unknown_remedy(standing, model),
            None => format!("settle {}", open_mods(resolver, &plates)),
        },
        (Verdict::Right | Verdict::NoneNeeded, _) => String::new(),
        (Verdict::HolesOut, _) if standing.is_some_and(|standing| is_worked_on(standing, model)) => {
            format!("{}; survey again", advised(standing, model))
        }
        (Verdict::HolesOut | Verdict::HolesUndecided, _) => advised(standing, model),
        // What a survey says against the record may be another plate's survey.
        (Verdict::WrongVariant, _) if standing.is_some_and(|s| s.rests == Rests::MetalAgainst) => {
            advised(standing, model)
        }
        (Verdict::WrongVariant, _) => format!("make or rework to {}", plate_names(&needed)),
        (Verdict::WrongHand, _) => advised(standing, model),
        (Verdict::Missing, _) => format!("make {}", plate_names(&needed)),
        (Verdict::Surplus, _) => "take it off for this state".to_owned(),
    };
    JigStation {
        station: entry.stations[firm.station].clone(),
        mark: mounted.map(|plate| plate.mark.clone()),
        made_to: mounted.and_then(|plate| plate.made_to).map(|plate| model.plates.name(plate).to_owned()),
        needed,
        verdict: Both { firm: verdict_word(firm.verdict), held: verdict_word(held.verdict) },
        proved: standing.map(|standing| match standing.rests {
            Rests::NotSurveyed => "never surveyed",
            Rests::ChangedSince(_) => "changed since its survey",
            Rests::Agrees
            | Rests::Metal
            | Rests::MetalAgainst
            | Rests::NotTold
            | Rests::OtherHand(_)
            | Rests::Unlike => "surveyed",
        }),
        counts_as: standing.and_then(|standing| standing.is).map(|plate| model.plates.name(plate).to_owned()),
        rests_on: standing.map(|standing| match standing.rests {
            Rests::NotSurveyed | Rests::ChangedSince(_) if standing.is.is_none() => "nothing",
            Rests::NotSurveyed | Rests::ChangedSince(_) => "its record",
            Rests::Agrees => "its record and its holes",
            Rests::Metal => "its holes",
            Rests::MetalAgainst => "its holes against its record",
            Rests::NotTold => "its record, its holes do not tell",
            Rests::OtherHand(_) | Rests::Unlike => "nothing",
        }),
        measured: standing.and_then(|standing| standing.examined.as_ref()).map(|e| measured(e, model)),
        stays: firm.verdict == Verdict::Right && held.verdict == Verdict::Right,
        remedy,
        advice: standing.and_then(|s| s.examined.as_ref()).map_or_else(Vec::new, |e| advice_lines(e, model)),
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
        out: with(Some(HoleVerdict::Fail)),
        not_decided: with(Some(HoleVerdict::NotDecidable)),
        not_measured: with(None),
    }
}

/// What to do about a plate of which neither record nor holes say what it is.
fn unknown_remedy(standing: &Standing, model: &Model) -> String {
    match (&standing.examined, standing.rests) {
        (Some(examined), _) => format!(
            "look at the plate: by survey `{}` its holes are {}",
            model.surveys[examined.survey].id,
            identity_words(&examined.identity, model)
        ),
        (None, Rests::ChangedSince(survey)) => {
            format!("measure its holes again: it was changed after survey `{}`", model.surveys[survey].id)
        }
        (None, _) => "measure its holes: nothing says what it was made to".to_owned(),
    }
}

/// Whether work on the metal of a surveyed plate is advised.
fn is_worked_on(standing: &Standing, model: &Model) -> bool {
    let examined = standing.examined.as_ref();
    examined.is_some_and(|examined| advice(examined, model).iter().any(|advice| advice.action.destroys_work()))
}

/// What to do about the holes of a surveyed plate.
pub(crate) fn advised(standing: Option<&Standing>, model: &Model) -> String {
    let examined = standing.and_then(|standing| standing.examined.as_ref());
    examined.map_or_else(String::new, |examined| joined(&advice_texts(examined, model), "then"))
}

fn plate_names(needed: &[NeededPlate]) -> String {
    needed.iter().map(|need| need.plate.clone()).collect::<Vec<_>>().join(" or ")
}

/// The open modifications on which these plates depend.
fn open_mods(resolver: &mut Resolver<'_>, plates: &BTreeSet<PlateId>) -> String {
    let mods: BTreeSet<_> =
        plates.iter().flat_map(|plate| Resolver::depends_on(&resolver.plate_needed(*plate))).collect();
    let mut names = Vec::new();
    for m in mods {
        let firm = resolver.truth(&is_in(m, None), Basis::Firm);
        if !matches!(firm, Truth::Always | Truth::Never) || firm != resolver.truth(&is_in(m, None), Basis::Held) {
            names.push(format!("`{}`", resolver.history().model.mods.name(m)));
        }
    }
    names.join(", ")
}

impl JigReport {
    /// Whether some plate is certainly wrong: in its variant, its hand or its holes.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        ["wrong variant", "wrong hand", "right variant, holes out"].iter().any(|verdict| self.certainly(verdict))
    }
    fn certainly(&self, verdict: &str) -> bool {
        self.stations.iter().any(|s| !s.verdict.differs() && s.verdict.firm == verdict)
    }
    /// Whether some station is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        let open = ["undecided", "right variant, holes undecided"];
        self.stations.iter().any(|s| s.verdict.differs() || open.contains(&s.verdict.firm))
    }

    /// Whether the jig is built to the state, what is wrong station by station, and which plates stay.
    #[must_use]
    pub(crate) fn summary(&self, width: usize) -> String {
        let mut text = self.verdict_line(width);
        for station in &self.stations {
            if station.stays || station.verdict.firm == "none needed" {
                continue;
            }
            let plate = station.mark.as_deref().map_or("no plate".to_owned(), |mark| format!("plate {mark}"));
            let made_to = station.made_to.as_deref().map_or(String::new(), |made| format!(", made to {made}"));
            let both = if station.verdict.differs() {
                format!("{} ({} if the doubtful claims hold)", station.verdict.firm, station.verdict.held)
            } else {
                station.judged(station.verdict.firm)
            };
            let told = format!("{plate}{made_to}: {both}; {}", station.remedy);
            text.push_str(&paragraph(&format!("  {}: ", station.station), &told, width));
        }
        text.push_str(&self.staying(width));
        text
    }

    fn verdict_line(&self, width: usize) -> String {
        let verdict = if self.is_wrong() {
            "NOT built to this state"
        } else if self.is_undecided() {
            "not decided for this state"
        } else if self.certainly("missing") {
            "not complete for this state"
        } else {
            match self.unproved().len() {
                0 => "built to this state, by the plates' records and by their holes",
                _ => "built to this state, as far as the plates' records say; not proved",
            }
        };
        paragraph(&format!("Jig {}: ", self.jig), &format!("{verdict}."), width)
    }

    /// The marks of the plates that may stay and are not proved by a survey.
    fn unproved(&self) -> Vec<&str> {
        let unproved = self.stations.iter().filter(|s| s.stays && s.measured.is_none());
        unproved.filter_map(|s| s.mark.as_deref()).collect()
    }

    fn staying(&self, width: usize) -> String {
        let stay: Vec<&str> = self.stations.iter().filter(|s| s.stays).filter_map(|s| s.mark.as_deref()).collect();
        let mut text = String::new();
        if !stay.is_empty() {
            let told = format!("{} may stay: {}", counted(stay.len(), "plate", "plates"), stay.join(", "));
            text.push_str(&paragraph("  ", &told, width));
        }
        let unproved = self.unproved();
        if !unproved.is_empty() {
            let told = format!("of these, not surveyed since their last change: {}", unproved.join(", "));
            text.push_str(&paragraph("  ", &told, width));
        }
        let changed = self.stations.iter().filter(|s| s.proved == Some("changed since its survey"));
        let changed: BTreeSet<&str> = changed.filter_map(|s| s.mark.as_deref()).collect();
        if !changed.is_empty() {
            let marks: Vec<&str> = changed.into_iter().collect();
            let told = format!("changed since the last survey and unproved until the next: {}", marks.join(", "));
            text.push_str(&paragraph("  ", &told, width));
        }
        text
    }
}

impl JigStation {
    /// A verdict with what it rests on.
    fn judged(&self, verdict: &str) -> String {
        if ["surplus", "undecided", "missing", "none needed"].contains(&verdict) {
            return verdict.to_owned();
        }
        let beside = match (&self.measured, self.rests_on, self.proved) {
            (None, Some("its record"), Some("changed since its survey")) => "by record, changed since".to_owned(),
            (None, Some("its record"), _) => "by record, not surveyed".to_owned(),
            (Some(measured), Some("its holes against its record"), _) => {
                format!("measured {}, against its record", measured.survey)
            }
            (Some(measured), Some("its record, its holes do not tell"), _) => {
                format!("by record, {} does not tell", measured.survey)
            }
            (Some(measured), ..) => format!("measured {}", measured.survey),
            (None, ..) => return verdict.to_owned(),
        };
        format!("{verdict} ({beside})")
    }
    /// The verdict under the firm claims in few words: what is right and not proved by a survey says so.
    pub(super) fn in_short(&self) -> String {
        match (self.verdict.firm, &self.measured) {
            ("right", None) => "right, unproved".to_owned(),
            ("right", Some(_)) => "right, measured".to_owned(),
            (verdict, _) => verdict.to_owned(),
        }
    }
}

/// The report as text.
#[must_use]
pub fn jig_text(report: &JigReport, style: Style) -> String {
    let mut text = style.head(&format!("Jig {}, for frame {}: {}", report.jig, report.frame, report.asked.line()));
    text.push('\n');
    let mut rows = Vec::new();
    for station in &report.stations {
        let names = |say: &dyn Fn(&NeededPlate) -> Say| {
            let told = station.needed.iter().filter(|need| say(need) != Say::No).map(|need| match say(need) {
                Say::Yes => need.plate.clone(),
                Say::No | Say::Open | Say::Contradicted | Say::Undecided => format!("{}?", need.plate),
            });
            told.collect::<Vec<_>>().join(" ")
        };
        let dash = |text: Option<&str>| text.unwrap_or("-").to_owned();
        let or_dash = |text: String| if text.is_empty() { "-".to_owned() } else { text };
        rows.push(vec![
            station.station.clone(),
            dash(station.mark.as_deref()),
            dash(station.made_to.as_deref()),
            or_dash(names(&|need| need.needed.firm)),
            station.judged(station.verdict.firm),
            station.remedy.clone(),
        ]);
        if station.verdict.differs() {
            rows.push(vec![
                "* with doubtful".to_owned(),
                String::new(),
                String::new(),
                or_dash(names(&|need| need.needed.held)),
                station.judged(station.verdict.held),
                String::new(),
            ]);
        }
    }
    text.push_str(&table(&["Station", "Mark", "Made to", "Needed", "Verdict", "To do"], &rows, style.width));
    text.push('\n');
    let needs: Vec<&NeededPlate> =
        report.stations.iter().flat_map(|s| &s.needed).filter(|need| need.needed.firm == Say::Open).collect();
    for need in needs {
        text.push_str(&paragraph("  ", &format!("{} is needed {}", need.plate, need.when), style.width));
    }
    text.push_str(&report.verdict_line(style.width));
    text.push_str(&report.staying(style.width));
    text.push_str(&report.asked.remarks(style.width));
    text.push('\n');
    text.push_str(&paragraph("", report.caution, style.width));
    text
}
