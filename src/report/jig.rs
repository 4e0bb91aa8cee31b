//! A jig against a state: which plates stay, and what to do about the others.

use super::asked::{Asked, Both, Say, when_words};
use super::layout::{counted, paragraph, table};
use super::{CAUTION, Style};
use crate::history::is_in;
use crate::ids::{JigId, PlateId};
use crate::jig::{Proved, StationVerdict, Verdict, proved, verdicts};
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
    /// `right`, `wrong variant`, `missing`, `surplus`, `undecided` or `none needed`.
    pub verdict: Both<&'static str>,
    /// `never surveyed`, `changed since its survey` or `surveyed`; what the surveys found is not told here.
    pub proved: Option<&'static str>,
    /// Whether the plate may stay on both bases.
    pub stays: bool,
    /// What to do; empty if nothing.
    pub remedy: String,
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
        Verdict::WrongVariant => "wrong variant",
        Verdict::Missing => "missing",
        Verdict::Surplus => "surplus",
        Verdict::Undecided => "undecided",
        Verdict::NoneNeeded => "none needed",
    }
}

/// A jig against the state of a resolver.
#[must_use]
pub fn jig_report(resolver: &mut Resolver<'_>, asked: Asked, jig: JigId) -> JigReport {
    let firm = verdicts(resolver, jig, Basis::Firm);
    let held = verdicts(resolver, jig, Basis::Held);
    let keys: BTreeSet<(usize, Option<usize>)> =
        firm.iter().chain(&held).map(|verdict| (verdict.station, verdict.mounted)).collect();
    let of = |verdicts: &[StationVerdict], (station, mounted): (usize, Option<usize>)| {
        let found = verdicts.iter().find(|verdict| (verdict.station, verdict.mounted) == (station, mounted));
        let none = StationVerdict { station, mounted, needed: Vec::new(), verdict: Verdict::NoneNeeded };
        found.cloned().unwrap_or(none)
    };
    let pairs = keys.into_iter().map(|key| (of(&firm, key), of(&held, key)));
    let stations = pairs.map(|(firm, held)| station(resolver, jig, &firm, &held)).collect();
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

fn station(resolver: &mut Resolver<'_>, jig: JigId, firm: &StationVerdict, held: &StationVerdict) -> JigStation {
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
    let unknown = mounted.is_some_and(|plate| plate.made_to.is_none());
    let remedy = match (firm.verdict, held.verdict) {
        (a, b) if a != b => format!("settle {}", open_mods(resolver, &plates)),
        (Verdict::Undecided, _) if unknown => "measure its holes: nothing says what it was made to".to_owned(),
        (Verdict::Undecided, _) => format!("settle {}", open_mods(resolver, &plates)),
        (Verdict::Right | Verdict::NoneNeeded, _) => String::new(),
        (Verdict::WrongVariant, _) => format!("make or rework to {}", plate_names(&needed)),
        (Verdict::Missing, _) => format!("make {}", plate_names(&needed)),
        (Verdict::Surplus, _) => "take it off for this state".to_owned(),
    };
    JigStation {
        station: entry.stations[firm.station].clone(),
        mark: mounted.map(|plate| plate.mark.clone()),
        made_to: mounted.and_then(|plate| plate.made_to).map(|plate| model.plates.name(plate).to_owned()),
        needed,
        verdict: Both { firm: verdict_word(firm.verdict), held: verdict_word(held.verdict) },
        proved: firm.mounted.map(|index| match proved(model, jig, index) {
            Proved::Never => "never surveyed",
            Proved::ChangedSince(_) => "changed since its survey",
            Proved::Surveyed(_) => "surveyed",
        }),
        stays: firm.verdict == Verdict::Right && held.verdict == Verdict::Right,
        remedy,
    }
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
    /// Whether some plate is certainly of the wrong variant.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        self.certainly("wrong variant")
    }
    fn certainly(&self, verdict: &str) -> bool {
        self.stations.iter().any(|s| !s.verdict.differs() && s.verdict.firm == verdict)
    }
    /// Whether some station is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.stations.iter().any(|s| s.verdict.differs() || s.verdict.firm == "undecided")
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
                station.verdict.firm.to_owned()
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
            "built to this state, as far as the plates' records say"
        };
        paragraph(&format!("Jig {}: ", self.jig), &format!("{verdict}."), width)
    }

    fn staying(&self, width: usize) -> String {
        let stay: Vec<&str> = self.stations.iter().filter(|s| s.stays).filter_map(|s| s.mark.as_deref()).collect();
        let mut text = String::new();
        if !stay.is_empty() {
            let told = format!("{} may stay: {}", counted(stay.len(), "plate", "plates"), stay.join(", "));
            text.push_str(&paragraph("  ", &told, width));
        }
        let unproved: Vec<&str> = (self.stations.iter())
            .filter(|s| s.stays && s.proved != Some("surveyed"))
            .filter_map(|s| s.mark.as_deref())
            .collect();
        if !unproved.is_empty() {
            let told = format!("of these, not surveyed since their last change: {}", unproved.join(", "));
            text.push_str(&paragraph("  ", &told, width));
        }
        text
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
            station.verdict.firm.to_owned(),
            station.remedy.clone(),
        ]);
        if station.verdict.differs() {
            rows.push(vec![
                "* with doubtful".to_owned(),
                String::new(),
                String::new(),
                or_dash(names(&|need| need.needed.held)),
                station.verdict.held.to_owned(),
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
