//! From a jig as it stands to the state wanted: what is done to it, in which order, and what is surveyed afterwards.
//!
//! The order disturbs the least, and this is the argument for it (common practice, no source):
//! 1. *Measure* what is unproved. It moves nothing, and may change the list.
//! 2. *Make* at the bench what is missing, while the jig stands whole: it is the reference until the last moment.
//! 3. *Mend* plates in place, before any neighbour comes off that holds the base in line; on one plate what moves many
//!    holes before what moves few, because a hole redrilled before its member is moved moves with it.
//! 4. *Exchange* plates one station at a time, the next only when the one before is full again: never more than one
//!    gap in the jig. Plates that are only taken off go last of these: their places stay empty.
//! 5. *Survey* every plate that was touched, once, at the end: each is unproved until then.

use super::advice::{Action, advice};
use super::mend::Mend;
use super::unread::not_read_of_mounted;
use super::verdict::{JigVerdict, StationVerdict};
use crate::ids::{JigId, PlateId};
use crate::jig::found::{PlateStanding, nominal};
use crate::model::{Marks, Model, Plate};
use crate::resolve::Truth;
use std::collections::BTreeMap;

/// The work on a jig.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rework {
    /// Plates (indices of the jig's) that stay as they are.
    pub keep: Vec<usize>,
    /// What is done, in order.
    pub tasks: Vec<Task>,
    /// Stations (indices) at which nothing is done before something is settled, with the plate there.
    pub wait: Vec<(usize, Option<usize>)>,
    /// Stations of which it is not known what is to be done, because something was not read, with the plate there.
    pub not_read: BTreeMap<(usize, Option<usize>), Marks>,
    /// Plates and stations to survey afterwards, in the order of the stations.
    pub survey: Vec<Touched>,
}

impl Rework {
    /// The stations at which nothing is done yet, each with the plate there, and with what was not read and bears on it; where
    /// that is nothing, something has to be settled first.
    pub fn waiting(&self) -> impl Iterator<Item = ((usize, Option<usize>), &Marks)> {
        static NOTHING: Marks = Marks::new();
        let unsettled = self.wait.iter().map(|at| (*at, &NOTHING));
        unsettled.chain(self.not_read.iter().map(|(at, marks)| (*at, marks)))
    }
}

/// What is surveyed afterwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Touched {
    /// The new plate on this station (an index).
    New(usize, PlateId),
    /// The plate (an index) that stands on this station (an index).
    Mended(usize, usize),
}

/// One piece of work. Plates are indices of the jig's, stations too.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Measure a plate that stays: it is unproved, or its last survey leaves holes undecided.
    Measure {
        /// The plate.
        plate: usize,
    },
    /// Make a plate at the bench.
    Make {
        /// For this station.
        station: usize,
        /// To this definition.
        to: PlateId,
        /// The plate on that station from which it can be made as well, and how.
        from: Option<Conversion>,
    },
    /// Work on a plate that stays.
    Mend {
        /// The plate.
        plate: usize,
        /// What is done.
        mend: Mend,
    },
    /// Put a plate on a station, after the one that stands there was taken off.
    Exchange {
        /// The station.
        station: usize,
        /// The plate that comes off.
        off: Option<usize>,
        /// The definition of the one that goes on.
        to: PlateId,
        /// Where a plate of that definition stands that is not wanted there.
        stands: Option<(JigId, usize)>,
    },
    /// Take a plate off that the state does not need.
    TakeOff {
        /// The plate.
        plate: usize,
    },
}

/// How a plate of one definition becomes one of another; holes are indices of their definitions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conversion {
    /// The plate.
    pub plate: usize,
    /// What it is.
    pub is: PlateId,
    /// Its holes that are plugged.
    pub plug: Vec<usize>,
    /// Holes of the new definition that are drilled.
    pub drill: Vec<usize>,
    /// Those of them that cut into a plugged hole: then a new plate is the better one.
    pub cut: Vec<usize>,
}

/// What stands on jigs of the frame and may be had for another station.
#[derive(Clone, Debug, Default)]
pub struct Spare {
    /// Plates that are not wanted where they stand, with what they are.
    pub plates: Vec<(JigId, usize, PlateId)>,
    /// Plates of which that is not known, because something was not read, with what they are, where that is known.
    pub not_read: Vec<(Option<PlateId>, Marks)>,
}

impl Spare {
    /// Adds what the stations of a jig may spare.
    pub fn add(&mut self, model: &Model, jig: JigId, standings: &[PlateStanding], stations: &[StationVerdict]) {
        for (of, plate) in stations.iter().filter_map(|of| Some((of, of.mounted?))) {
            let is = standings[plate].is;
            match of.verdict {
                JigVerdict::Surplus | JigVerdict::WrongVariant => {
                    self.plates.extend(is.map(|is| (jig, plate, is)));
                }
                JigVerdict::NotRead => {
                    let known = not_read_of_mounted(model, jig, plate, &standings[plate]).is_empty();
                    if !known || is.is_some() {
                        self.not_read.push((is.filter(|_| known), of.not_read.clone()));
                    }
                }
                JigVerdict::Right
                | JigVerdict::HolesOut
                | JigVerdict::HolesUndecided
                | JigVerdict::WrongHand
                | JigVerdict::Missing
                | JigVerdict::Undecided
                | JigVerdict::NoneNeeded => {}
            }
        }
    }
    /// What may bear on whether there is a spare plate of a definition.
    fn not_read_of(&self, plate: PlateId) -> Marks {
        let may_be = self.not_read.iter().filter(|(is, _)| is.is_none_or(|is| is == plate));
        may_be.flat_map(|(_, marks)| marks).copied().collect()
    }
}

/// The work that a jig needs, from its stations on both bases; `spare` is what the other jigs may spare.
#[must_use]
pub fn rework(
    model: &Model,
    jig: JigId,
    standings: &[PlateStanding],
    firm: &[StationVerdict],
    held: &[StationVerdict],
    mut spare: Spare,
) -> Rework {
    spare.add(model, jig, standings, firm);
    let mut work = ReworkDraft { model, standings, spare, all: Rework::default(), phases: Default::default() };
    for of in firm {
        let same = held.iter().any(|held| {
            (held.station, held.mounted, held.verdict) == (of.station, of.mounted, of.verdict)
                && held.needed.len() == of.needed.len()
        });
        work.add(of, same);
    }
    for of in held.iter().filter(|of| !firm.iter().any(|f| (f.station, f.mounted) == (of.station, of.mounted))) {
        work.all.wait.push((of.station, of.mounted));
    }
    if work.resets_jig() {
        let mounted = &model.jigs[jig].mounted;
        work.all.survey.extend(work.all.keep.iter().map(|plate| Touched::Mended(mounted[*plate].station, *plate)));
    }
    work.all.tasks = work.phases.concat();
    work.all.survey.sort_unstable();
    work.all.survey.dedup();
    work.all.wait.sort_unstable();
    work.all
}

struct ReworkDraft<'a> {
    model: &'a Model,
    standings: &'a [PlateStanding],
    spare: Spare,
    all: Rework,
    /// Measure, make, mend, exchange, take off.
    phases: [Vec<Task>; 5],
}

impl ReworkDraft<'_> {
    fn add(&mut self, of: &StationVerdict, same: bool) {
        if !of.not_read.is_empty() {
            self.all.not_read.insert((of.station, of.mounted), of.not_read.clone());
            return;
        }
        if !same {
            self.all.wait.push((of.station, of.mounted));
            return;
        }
        match (of.verdict, of.mounted) {
            (JigVerdict::NoneNeeded, _)
            | (JigVerdict::Right | JigVerdict::HolesOut | JigVerdict::HolesUndecided, None) => {}
            (JigVerdict::Right, Some(plate)) => {
                self.all.keep.push(plate);
                if !self.standings[plate].is_surveyed() {
                    self.phases[0].push(Task::Measure { plate });
                }
            }
            (JigVerdict::HolesUndecided, Some(plate)) => {
                self.all.keep.push(plate);
                self.phases[0].push(Task::Measure { plate });
            }
            (JigVerdict::HolesOut, Some(plate)) => self.mend(of.station, plate),
            (JigVerdict::Surplus, Some(plate)) => self.phases[4].push(Task::TakeOff { plate }),
            (JigVerdict::Missing | JigVerdict::WrongVariant | JigVerdict::WrongHand, _) => self.exchange(of),
            (JigVerdict::Undecided, Some(plate)) if self.standings[plate].is.is_none() => {
                self.phases[0].push(Task::Measure { plate });
                self.all.wait.push((of.station, of.mounted));
            }
            (JigVerdict::Surplus | JigVerdict::Undecided | JigVerdict::NotRead, _) => {
                self.all.wait.push((of.station, of.mounted));
            }
        }
    }

    fn mend(&mut self, station: usize, plate: usize) {
        let Some(examined) = self.standings[plate].examined.as_ref() else { return };
        for advice in advice(examined, self.model) {
            match (advice.action, advice.work) {
                (_, Some(Mend::MeasureAgain(_) | Mend::CheckReading(_))) => {
                    self.phases[0].push(Task::Measure { plate });
                }
                // Said once, before all else that is done to plates: it moves them all.
                (_, Some(Mend::ResetJig(_))) if self.resets_jig() => {}
                (_, Some(mend @ Mend::ResetJig(_))) => self.phases[2].insert(0, Task::Mend { plate, mend }),
                (_, Some(mend)) => self.phases[2].push(Task::Mend { plate, mend }),
                (Action::None, None) => {}
                (_, None) => self.phases[0].push(Task::Measure { plate }),
            }
        }
        self.phases[0].dedup();
        self.all.survey.push(Touched::Mended(station, plate));
    }

    fn resets_jig(&self) -> bool {
        self.phases[2].iter().any(|task| matches!(task, Task::Mend { mend: Mend::ResetJig(_), .. }))
    }

    fn exchange(&mut self, of: &StationVerdict) {
        let wanted: Vec<PlateId> =
            of.needed.iter().filter(|(_, truth)| *truth == Truth::Always).map(|(plate, _)| *plate).collect();
        // A station that may need one of several waits.
        let [to] = wanted[..] else {
            self.all.wait.push((of.station, of.mounted));
            return;
        };
        let not_read = self.spare.not_read_of(to);
        if !not_read.is_empty() {
            self.all.not_read.insert((of.station, of.mounted), not_read);
            return;
        }
        // A survey that speaks against record or hand may be a slip: look first, and make nothing on it.
        let slip = |plate: usize| {
            let examined = self.standings[plate].examined.as_ref();
            examined.is_some_and(|examined| examined.slips.iter().any(|slip| slip.in_doubt))
        };
        if let Some(plate) = of.mounted.filter(|plate| of.verdict == JigVerdict::WrongHand || slip(*plate)) {
            self.phases[0].push(Task::Measure { plate });
            self.all.wait.push((of.station, of.mounted));
            return;
        }
        let spare = &mut self.spare.plates;
        let stands = spare.iter().position(|(_, _, is)| *is == to).map(|at| spare.remove(at));
        if stands.is_none() {
            let from = of.mounted.filter(|_| of.verdict == JigVerdict::WrongVariant).and_then(|plate| {
                let is = self.standings[plate].is?;
                Some(convert(plate, is, &self.model.plates[is], &self.model.plates[to]))
            });
            self.phases[1].push(Task::Make { station: of.station, to, from });
        }
        let stands = stands.map(|(jig, plate, _)| (jig, plate));
        self.phases[3].push(Task::Exchange { station: of.station, off: of.mounted, to, stands });
        self.all.survey.push(Touched::New(of.station, to));
    }
}

/// Which holes are plugged and which drilled to make one definition of another. Two holes are one where each lies in
/// the other's zone and they are of one size.
fn convert(plate: usize, is: PlateId, from: &Plate, to: &Plate) -> Conversion {
    let apart = |a: usize, b: usize| (nominal(&from.holes[a]) - nominal(&to.holes[b])).norm();
    let same = |a: usize, b: usize| {
        let (old, new) = (&from.holes[a], &to.holes[b]);
        apart(a, b) <= old.tolerance.mm().min(new.tolerance.mm()) / 2.0
            && old.diameter.picometres == new.diameter.picometres
    };
    let (old, new) = (0..from.holes.len(), 0..to.holes.len());
    let plug: Vec<usize> = old.clone().filter(|a| !new.clone().any(|b| same(*a, b))).collect();
    let drill: Vec<usize> = new.filter(|b| !old.clone().any(|a| same(a, *b))).collect();
    let cuts = |b: &usize| {
        let reach = |a: usize| f64::midpoint(from.holes[a].diameter.mm(), to.holes[*b].diameter.mm());
        plug.iter().any(|a| apart(*a, *b) < reach(*a))
    };
    let cut = drill.iter().copied().filter(cuts).collect();
    Conversion { plate, is, plug, drill, cut }
}
