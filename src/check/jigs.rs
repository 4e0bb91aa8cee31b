//! The jigs against the build states that they are set for.

use super::complete::Complete;
use super::{CheckScope, surveys};
use crate::codes;
use crate::finding::{Finding, Place};
use crate::graph::Graph;
use crate::ids::{JigId, ModId, PlateId};
use crate::jig::examine::Examiner;
use crate::jig::{JigVerdict, PlateStanding, Rests, StationVerdict, definitions_at, standings, verdicts};
use crate::model::{Jig, Model};
use crate::prop::Expr;
use crate::resolve::{Basis, Limits, Resolver, Target, Truth};
use crate::words::{chain, expr_text, find_out_words, joined, listed};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn check(
    model: &Model,
    graph: &Graph,
    complete: &Complete<'_>,
    scope: CheckScope<'_>,
    limits: Limits,
    examiner: &Examiner<'_>,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (id, name, jig) in model.jigs.iter() {
        let set_for = jig.build_state();
        if set_for.is_some_and(|(airframe, _)| !scope.takes_in(airframe)) {
            continue;
        }
        let standings = standings(examiner, model, id);
        let mounts = complete.mounts(id);
        surveys::check(model, examiner, id, &standings, &mounts, &mut findings);
        if mounts.known && complete.inside(jig.frame) {
            lacking_stations(model, graph, id, complete, &mut findings);
        }
        // Without a whole airframe nothing would be fitted, and no plate needed.
        if !mounts.known || !complete.inside(jig.frame) || model.type_of.is_none() {
            continue;
        }
        let Some((airframe, state)) = set_for else {
            if jig.set_for.is_some() {
                continue;
            }
            let message = format!("the jig `{name}` is set for no build state, so its plates are not judged");
            findings.push(
                Finding::new(codes::JIG_FOR_NO_STATE, message, jig.record.field("name"), "set for nothing")
                    .help("add `set_for` with the airframe and the build state"),
            );
            continue;
        };
        let target = Target { day: model.airframes[airframe].build_states[state].date, build_state: Some(state) };
        if let Ok(mut resolver) = Resolver::new(model, graph, airframe, target, limits) {
            let firm = verdicts(&mut resolver, id, &standings, Basis::Firm);
            let mut held = verdicts(&mut resolver, id, &standings, Basis::Held);
            held.retain(|of| !mounts.unlike.contains(&of.station) && is_known(&resolver, id, of));
            // A plate that could not be read may stand on a station that seems to lack one.
            held.retain(|of| mounts.all || of.verdict != JigVerdict::Missing);
            held.retain(|of| of.mounted.is_none_or(|index| !mounts.unread.contains(&index)));
            JudgedJig { model, id, jig, name, resolver, standings, firm, held }.findings(&mut findings);
        }
    }
    findings
}

/// Whether it is known when each plate that may belong on a station is needed.
fn is_known(resolver: &Resolver<'_>, jig: JigId, of: &StationVerdict) -> bool {
    let history = resolver.history();
    definitions_at(history.model, history.graph, jig, of.station)
        .into_iter()
        .all(|plate| history.not_read_of_plate(plate).is_empty())
}

/// Plate definitions for the jig's frame that name a station which no jig of that frame has.
fn lacking_stations(model: &Model, graph: &Graph, id: JigId, complete: &Complete<'_>, findings: &mut Vec<Finding>) {
    let jig = &model.jigs[id];
    let of_frame: Vec<(JigId, &Jig)> =
        model.jigs.iter().filter(|(_, _, other)| other.frame == jig.frame).map(|(id, _, jig)| (id, jig)).collect();
    if of_frame.first().is_none_or(|(first, _)| *first != id) {
        return;
    }
    let elsewhere: BTreeSet<&str> =
        model.jigs.iter().flat_map(|(_, _, jig)| jig.stations.iter().map(String::as_str)).collect();
    let inside = graph.positions_below(model.frames[jig.frame].assembly);
    for (_, number, plate) in model.plates.iter() {
        let of_this_frame =
            plate.locates.iter().any(|part| graph.places_of(*part).iter().any(|(at, _)| inside.contains(at)));
        let station = plate.jig_station.as_str();
        if of_this_frame && !elsewhere.contains(station) && !complete.lost(&["Jig"], station) {
            let name = model.jigs.name(id);
            let message =
                format!("the plate `{number}` is for station `{}`, which jig `{name}` lacks", plate.jig_station);
            findings.push(
                Finding::new(
                    codes::PLATE_WITHOUT_STATION,
                    message,
                    plate.record.field("jig_station"),
                    "no such station",
                )
                .label(jig.record.field("stations"), "the jig's stations")
                .help("correct the station, in the plate or in the jig"),
            );
        }
    }
}

/// A jig with the verdicts on both bases, station by station.
struct JudgedJig<'m> {
    model: &'m Model,
    id: JigId,
    jig: &'m Jig,
    name: &'m str,
    resolver: Resolver<'m>,
    standings: Vec<PlateStanding>,
    firm: Vec<StationVerdict>,
    held: Vec<StationVerdict>,
}

impl JudgedJig<'_> {
    fn findings(mut self, findings: &mut Vec<Finding>) {
        let mut undecided: BTreeMap<(bool, BTreeSet<ModId>), Vec<StationVerdict>> = BTreeMap::new();
        for held in self.held.clone() {
            let firm = self.firm.iter().find(|firm| (firm.station, firm.mounted) == (held.station, held.mounted));
            let same = firm.is_some_and(|firm| firm.verdict == held.verdict);
            match held.verdict {
                // What is wrong with holes and hands was said of the surveys.
                JigVerdict::Right
                | JigVerdict::NoneNeeded
                | JigVerdict::HolesOut
                | JigVerdict::HolesUndecided
                | JigVerdict::WrongHand
                    if same => {}
                JigVerdict::NotRead => {}
                JigVerdict::WrongVariant if same => findings.push(self.wrong(&held)),
                JigVerdict::Missing if same => findings.push(self.missing(&held)),
                JigVerdict::Surplus if same => findings.push(self.surplus(&held)),
                JigVerdict::Undecided if same && self.is_unknown(&held) => findings.extend(self.unknown(&held)),
                JigVerdict::Right
                | JigVerdict::HolesOut
                | JigVerdict::HolesUndecided
                | JigVerdict::WrongHand
                | JigVerdict::NoneNeeded
                | JigVerdict::WrongVariant
                | JigVerdict::Missing
                | JigVerdict::Surplus
                | JigVerdict::Undecided => {
                    let firm = firm.cloned();
                    let none = |(_, truth): &(PlateId, Truth)| *truth == Truth::NoHistory;
                    let contradicted = firm.as_ref().is_some_and(|firm| firm.needed.iter().any(none));
                    let mods = self.open_mods(&held, firm.as_ref());
                    undecided.entry((contradicted, mods)).or_default().push(held);
                }
            }
        }
        let undecided = undecided.iter();
        findings
            .extend(undecided.map(|((contradicted, mods), stations)| self.undecided(*contradicted, mods, stations)));
    }

    fn state(&self) -> String {
        let Some((airframe, state)) = self.jig.build_state() else { return String::new() };
        let airframe = &self.model.airframes[airframe];
        format!("`{}` of `{}`", airframe.build_states.name(state), airframe.serial.text)
    }

    fn station(&self, of: &StationVerdict) -> &str {
        &self.jig.stations[of.station]
    }

    fn is_unknown(&self, of: &StationVerdict) -> bool {
        of.mounted.is_some_and(|index| self.standings[index].is.is_none())
    }

    fn needed(&self, of: &StationVerdict, last: &str) -> String {
        listed(of.needed.iter().map(|(plate, _)| self.model.plates.name(*plate)), last)
    }

    /// The modifications that decide what is needed at a station and are open under the firm claims.
    fn open_mods(&mut self, held: &StationVerdict, firm: Option<&StationVerdict>) -> BTreeSet<ModId> {
        let needed = held.needed.iter().chain(firm.iter().flat_map(|firm| &firm.needed));
        let whens: Vec<Expr> = needed.map(|(plate, _)| self.resolver.plate_needed(*plate)).collect();
        let mods: BTreeSet<ModId> = whens.iter().flat_map(Resolver::depends_on).collect();
        let open = |m: &ModId| {
            let answer = self.resolver.modification(*m, Basis::Firm);
            [answer.by_production, answer.by_retrospective]
                .iter()
                .any(|truth| !matches!(truth, Truth::Always | Truth::Never))
        };
        mods.into_iter().filter(open).collect()
    }

    fn wrong(&self, of: &StationVerdict) -> Finding {
        let index = of.mounted.unwrap_or_default();
        let (plate, standing) = (&self.jig.mounted[index], &self.standings[index]);
        let is = standing.is.map_or("", |is| self.model.plates.name(is));
        let needed = self.needed(of, "or");
        let survey = standing.examined.as_ref().map(|examined| &self.model.surveys[examined.survey]);
        let sentence = match (survey, standing.rests) {
            (Some(_), Rests::Metal | Rests::MetalAgainst) => format!("is `{is}` by its holes"),
            (_, _) => format!("is made to `{is}`"),
        };
        let message = format!(
            "the plate `{}` on station `{}` of jig `{}` {sentence}, and {} needs {needed}",
            plate.mark,
            self.station(of),
            self.name,
            self.state()
        );
        let mut finding = match (survey, standing.rests) {
            (Some(survey), Rests::Metal | Rests::MetalAgainst) => {
                Finding::new(codes::PLATE_WRONG_VARIANT, message, plate.place.field("mark"), "this plate")
                    .label(survey.record.field("id"), format!("by this survey it is `{is}`"))
            }
            (_, _) => Finding::new(codes::PLATE_WRONG_VARIANT, message, plate.place.field("made_to"), "made to this"),
        };
        finding = self.with_reason(finding, of);
        let right: Vec<&str> = self.stays();
        let stay = match right.as_slice() {
            [] => String::new(),
            [only] => format!("; `{only}` may stay"),
            several => format!("; {} may stay", listed(several.iter().copied(), "and")),
        };
        finding.help(format!(
            "take `{}` off before metal is formed on it, and make or rework a plate to {needed}{stay}",
            plate.mark
        ))
    }

    /// The marks of the plates that are right on both bases.
    fn stays(&self) -> Vec<&str> {
        let right = |of: &&StationVerdict| {
            of.verdict == JigVerdict::Right
                && self.firm.iter().any(|firm| firm.mounted == of.mounted && firm.verdict == JigVerdict::Right)
        };
        let plates = self.held.iter().filter(right).filter_map(|of| of.mounted);
        plates.map(|index| self.jig.mounted[index].mark.as_str()).collect()
    }

    /// Labels what is needed and says why.
    fn with_reason(&self, mut finding: Finding, of: &StationVerdict) -> Finding {
        for (plate, _) in &of.needed {
            let parts =
                listed(self.model.plates[*plate].locates.iter().map(|part| self.model.parts.name(*part)), "and");
            let label = format!("`{}` locates {parts}", self.model.plates.name(*plate));
            finding = finding.label(self.model.plates[*plate].record.field("locates"), label);
        }
        self.because(finding, of)
    }

    /// Says why what is certainly needed at a station is, with the doubtful claims held.
    fn because(&self, mut finding: Finding, of: &StationVerdict) -> Finding {
        for (plate, _) in of.needed.iter().filter(|(_, truth)| *truth == Truth::Always) {
            let when = self.resolver.plate_needed(*plate);
            if let Some(grounds) = self.resolver.why(&when, Basis::Held).first() {
                for step in chain(&grounds.reasons, self.resolver.history(), self.resolver.target()) {
                    finding = finding.because(step.text);
                }
            }
            let plate = self.model.plates.name(*plate);
            finding = finding.because(format!("`{plate}` is needed {}", expr_text(&when, self.model)));
        }
        finding
    }

    fn missing(&self, of: &StationVerdict) -> Finding {
        let needed = self.needed(of, "or");
        let message = format!(
            "station `{}` of jig `{}` has no plate, and {} needs {needed}",
            self.station(of),
            self.name,
            self.state()
        );
        let place = self.jig.record.field("stations").item(of.station);
        let finding = Finding::new(codes::PLATE_MISSING, message, place, "nothing mounted here");
        self.with_reason(finding, of).help(format!("make a plate to {needed}, or enter it as mounted"))
    }

    fn surplus(&self, of: &StationVerdict) -> Finding {
        let plate = &self.jig.mounted[of.mounted.unwrap_or_default()];
        let message = format!(
            "the plate `{}` is on station `{}` of jig `{}`, where {} needs none",
            plate.mark,
            self.station(of),
            self.name,
            self.state()
        );
        let definitions = definitions_at(self.model, self.resolver.history().graph, self.id, of.station);
        let finding = Finding::new(codes::PLATE_SURPLUS, message, plate.place.clone(), "not needed");
        let finding = match plate.made_to {
            Some(made_to) if definitions.contains(&made_to) => self.label_plate(finding, made_to),
            Some(_) | None => finding,
        };
        finding.help(format!("not needed for this state: remove `{}` and store it", plate.mark))
    }

    fn label_plate(&self, finding: Finding, plate: PlateId) -> Finding {
        let text = format!("needed only {}", expr_text(&self.resolver.plate_needed(plate), self.model));
        finding.label(self.model.plates[plate].record.field("locates"), text)
    }

    /// A plate that neither record nor holes name; one whose holes were measured has its finding with its survey.
    fn unknown(&self, of: &StationVerdict) -> Option<Finding> {
        let index = of.mounted.unwrap_or_default();
        let (plate, standing) = (&self.jig.mounted[index], &self.standings[index]);
        let needed = self.needed(of, "or");
        let message = format!(
            "nothing says what the plate `{}` on station `{}` of jig `{}` was made to; {} needs {needed}",
            plate.mark,
            self.station(of),
            self.name,
            self.state()
        );
        let help = format!("survey `{}`: its holes may tell whether it is {needed}", plate.mark);
        let finding = Finding::new(codes::PLATE_UNDECIDED, message, plate.place.field("mark"), "made to nothing known")
            .help(help);
        match standing.rests {
            Rests::NotSurveyed => Some(finding),
            Rests::ChangedSince(survey) => {
                Some(finding.label(self.model.surveys[survey].record.field("date"), "changed after this survey"))
            }
            Rests::Agrees
            | Rests::Metal
            | Rests::MetalAgainst
            | Rests::NotDistinguished
            | Rests::OtherHand(_)
            | Rests::Unlike => None,
        }
    }

    fn undecided(&self, contradicted: bool, mods: &BTreeSet<ModId>, stations: &[StationVerdict]) -> Finding {
        let names = listed(mods.iter().map(|m| self.model.mods.name(*m)), "and");
        let places = stations.iter().map(|of| self.mark(of));
        let places: Vec<_> = places.collect();
        let what = match stations {
            [only] => format!("station `{}`", self.station(only)),
            several => {
                let stations: Vec<String> = several.iter().map(|of| format!("`{}`", self.station(of))).collect();
                format!("stations {}", joined(&stations, "and"))
            }
        };
        let doubtful = stations.iter().any(|of| of.verdict != JigVerdict::Undecided);
        let open = match (contradicted, doubtful) {
            (true, _) => "cannot be known while firm claims contradict each other",
            (false, true) => "rests on doubtful claims",
            (false, false) => "is open",
        };
        let message =
            format!("what {} needs on {what} of jig `{}` {open}: it depends on {names}", self.state(), self.name);
        let (place, label) = places[0].clone();
        let mut finding = Finding::new(codes::PLATE_UNDECIDED, message, place, label);
        for (place, label) in &places[1..] {
            finding = finding.label(place.clone(), label.clone());
        }
        for of in stations.iter().filter(|of| !contradicted && of.verdict != JigVerdict::Undecided).take(1) {
            finding = self.because(finding, of);
        }
        let find_out = find_out_words(mods.iter().map(|m| self.model.mods.name(*m)), "what is needed");
        finding.help(format!("before metal is formed on these plates, {find_out}"))
    }

    /// The plate of a station with when it is right, or the empty station with what it may need.
    fn mark(&self, of: &StationVerdict) -> (Place, String) {
        if let Some(index) = of.mounted {
            let (plate, is) = (&self.jig.mounted[index], self.standings[index].is);
            let when = is.map(|is| expr_text(&self.resolver.plate_needed(is), self.model));
            let label = when.map_or_else(|| "not known".to_owned(), |when| format!("right only {when}"));
            return (plate.place.field(if plate.made_to.is_some() { "made_to" } else { "mark" }), label);
        }
        let place = self.jig.record.field("stations").item(of.station);
        (place, format!("may need {}", self.needed(of, "or")))
    }
}
