//! What may be judged although something was not read: what rests on a loss is passed over in silence, because the
//! loss has its finding, and what is wrong besides is only known once it is mended.

use crate::finding::{Place, PlaceStep};
use crate::graph::Graph;
use crate::history::History;
use crate::ids::{AirframeId, FrameId, Id, JigId, ModId, PartId, PlateId, PositionId};
use crate::model::{Loss, Model, Statement};
use crate::resolve::Resolver;
use std::collections::BTreeSet;

/// Asks the losses of a model.
#[derive(Debug)]
pub(super) struct Complete<'m> {
    model: &'m Model,
    graph: &'m Graph,
    /// For each modification whether no loss bears on it or on what is bound to it by any chain of rules, as far as
    /// the type goes.
    bound: Vec<bool>,
}

/// What is mounted on a jig, as far as it was read.
#[derive(Debug, Default)]
pub(super) struct Mounts {
    /// Whether all of the jig but its list of plates is known.
    pub known: bool,
    /// Whether the model has all its plates.
    pub all: bool,
    /// Those of which something was lost, or a survey of which was.
    pub unread: BTreeSet<usize>,
    /// Those on stations for which a lost plate definition may be.
    pub unlike: BTreeSet<usize>,
}

impl<'m> Complete<'m> {
    pub(super) fn of(model: &'m Model, graph: &'m Graph) -> Complete<'m> {
        let mut complete = Complete { model, graph, bound: vec![true; model.mods.len()] };
        let touched = |m: &ModId| complete.of_type().any(|loss| loss.touches.mods.has(*m));
        let mut open: Vec<ModId> = model.mods.ids().filter(touched).collect();
        let mut seen: BTreeSet<ModId> = open.iter().copied().collect();
        while let Some(next) = open.pop() {
            complete.bound[next.index()] = false;
            for rule in graph.day_rules_of(next) {
                let (_, bound) = &graph.day_rules()[*rule];
                open.extend(bound.iter().copied().filter(|other| seen.insert(*other)));
            }
        }
        complete
    }

    /// The losses that are not of the dossier of one airframe.
    fn of_type(&self) -> impl Iterator<Item = &'m Loss> + use<'m> {
        let model = self.model;
        model.losses.iter().map(|(_, loss)| loss).filter(|loss| loss.touches.airframes.is_none())
    }

    /// Whether it is known when each of these modifications can be in.
    pub(super) fn mods(&self, mods: impl IntoIterator<Item = ModId>) -> bool {
        mods.into_iter().all(|m| self.bound[m.index()])
    }

    /// Whether the position has the candidates that its record gives.
    pub(super) fn candidates(&self, id: PositionId) -> bool {
        !self.of_type().any(|loss| loss.touches.positions.has(id))
    }

    /// Whether it is known what is fitted at the position in each state, and which states there are.
    pub(super) fn position(&self, id: PositionId) -> bool {
        let position = &self.model.positions[id];
        let mut mods = BTreeSet::new();
        for condition in position.candidates.iter().map(|candidate| &candidate.when).chain(&position.nothing_when) {
            condition.each_mod(&mut |m| {
                mods.insert(m);
            });
        }
        self.candidates(id) && self.mods(mods)
    }

    /// Whether every assembly came into the model with all its positions, each whole.
    pub(super) fn structure(&self) -> bool {
        self.of_type().all(|loss| {
            let touches = &loss.touches;
            touches.positions.is_empty() && touches.below.is_empty() && touches.placed.is_empty()
        })
    }

    /// Whether every place for a part is known, with what decides on it there.
    pub(super) fn placed(&self, part: PartId) -> bool {
        let places = self.graph.places_of(part);
        !self.of_type().any(|loss| loss.touches.placed.has(part))
            && places.iter().all(|(position, _)| self.position(*position))
    }

    /// Whether the frame's own record is known, and every position in the frame.
    pub(super) fn inside(&self, id: FrameId) -> bool {
        let frame = &self.model.frames[id];
        let inside = self.graph.positions_below(frame.assembly);
        let assemblies = inside.iter().flat_map(|at| {
            let position = &self.model.positions[*at];
            position.candidates.iter().map(|candidate| candidate.part).chain([position.assembly])
        });
        let assemblies: BTreeSet<PartId> = assemblies.chain([frame.assembly]).collect();
        self.model.losses.of_frame(id).is_empty()
            && !self.of_type().any(|loss| assemblies.iter().any(|part| loss.touches.below.has(*part)))
    }

    /// Whether that is so, and all is known of what the positions in it hold.
    pub(super) fn frame(&self, id: FrameId) -> bool {
        let frame = &self.model.frames[id];
        let inside = self.graph.positions_below(frame.assembly);
        let segments = frame.segments.iter().map(|segment| segment.part);
        let bridges = frame.openings.iter().flat_map(|opening| opening.bridged_by.iter().copied());
        let joints = frame.splice_points.iter().flat_map(|point| point.joined_by.iter().copied());
        let mut mods = BTreeSet::new();
        for opening in &frame.openings {
            opening.when.each_mod(&mut |m| {
                mods.insert(m);
            });
        }
        self.inside(id)
            && inside.iter().all(|position| self.position(*position))
            && segments.chain(bridges).chain(joints).all(|part| self.placed(part))
            && self.mods(mods)
    }

    pub(super) fn plate(&self, id: PlateId) -> bool {
        self.model.losses.of_plate(id).is_empty() && self.model.plates[id].locates.iter().all(|part| self.placed(*part))
    }

    /// Whether a record of one of these kinds was lost that may be about something of this name.
    pub(super) fn lost(&self, kinds: &[&str], name: &str) -> bool {
        self.model
            .losses
            .iter()
            .any(|(_, loss)| loss.whole && kinds.iter().any(|kind| loss.may_be(kind)) && loss.mentions.may_mean(name))
    }

    /// Whether a record of one of these kinds was lost.
    pub(super) fn any_lost(&self, kinds: &[&str]) -> bool {
        self.model.losses.iter().any(|(_, loss)| loss.whole && kinds.iter().any(|kind| loss.may_be(kind)))
    }

    /// What is known of the plates on a jig.
    pub(super) fn mounts(&self, id: JigId) -> Mounts {
        let jig = &self.model.jigs[id];
        let mut mounts = Mounts { known: true, all: true, ..Mounts::default() };
        for (_, loss) in self.model.losses.iter().filter(|(_, loss)| loss.touches.jigs.has(id)) {
            let places = jig.mounted.iter().map(|plate| &plate.place);
            let inside: Vec<usize> =
                places.enumerate().filter(|(_, place)| is_within(&loss.place, place)).map(|(at, _)| at).collect();
            if loss.kinds.iter().eq(["Survey"].iter()) {
                let marks = jig.mounted.iter().enumerate();
                let named: Vec<usize> =
                    marks.filter(|(_, plate)| loss.mentions.name(&plate.mark)).map(|(at, _)| at).collect();
                let all = 0..jig.mounted.len();
                if named.is_empty() { mounts.unread.extend(all) } else { mounts.unread.extend(named) }
            } else if !inside.is_empty() {
                mounts.unread.extend(inside);
            } else if is_within(&loss.place, &jig.record.field("mounted")) {
                mounts.all = false;
            } else {
                mounts.known = false;
                // What it is set for has no bearing on its holes.
                let hidden = if is_within(&loss.place, &jig.record.field("set_for")) { 0 } else { jig.mounted.len() };
                mounts.unread.extend(0..hidden);
            }
        }
        for (id, _, plate) in self.model.plates.iter().filter(|(id, ..)| !self.model.losses.of_plate(*id).is_empty()) {
            mounts.unlike.extend(jig.stations.iter().position(|station| *station == plate.jig_station));
            let made = jig.mounted.iter().filter(|mounted| mounted.made_to == Some(id));
            mounts.unlike.extend(made.map(|mounted| mounted.station));
        }
        for (_, loss) in self.model.losses.iter().filter(|(_, loss)| loss.whole && loss.may_be("Plate")) {
            let named = |station: &String| loss.mentions.name(station);
            let anywhere = !self.model.jigs.iter().any(|(_, _, jig)| jig.stations.iter().any(named));
            let stations = jig.stations.iter().enumerate();
            mounts.unlike.extend(stations.filter(|(_, station)| anywhere || named(station)).map(|(at, _)| at));
        }
        mounts
    }
}

/// Whether a place lies in another or is the same.
fn is_within(place: &Place, around: &Place) -> bool {
    match (place, around) {
        (Place::Record(at, path), Place::Record(other, outer)) => {
            at == other && path.starts_with(outer as &[PlaceStep])
        }
        _ => false,
    }
}

/// Whether it is known where a part is fitted in a state, and to which issue.
pub(super) fn part(resolver: &Resolver<'_>, part: PartId) -> bool {
    let (history, fitted) = (resolver.history(), resolver.fitted(part));
    history.not_read_of_fitting(part).is_empty()
        && history.reach.expr(&fitted).is_empty()
        && history.not_read_of_issue(part, &fitted).is_empty()
}

/// Whether nothing was lost on which the bill of an airframe may rest, or the issues that it calls for.
pub(super) fn bill(history: &History<'_>) -> bool {
    concerning(history.model, history.id).all(|loss| {
        let touches = &loss.touches;
        touches.mods.is_empty()
            && touches.positions.is_empty()
            && touches.below.is_empty()
            && touches.placed.is_empty()
            && touches.seen.is_empty()
            && touches.frames.is_empty()
            && touches.plates.is_empty()
            && touches.parts.is_empty()
            && touches.drawings.is_empty()
    })
}

/// Whether nothing that was lost can have said something else of these modifications, whatever is bound to them.
pub(super) fn nothing_lost(history: &History<'_>, mods: impl IntoIterator<Item = ModId>) -> bool {
    mods.into_iter().all(|m| !concerning(history.model, history.id).any(|loss| loss.touches.mods.has(m)))
}

/// Whether nothing that a claim says was seen leans on what was lost.
pub(super) fn seen(history: &History<'_>, says: &Statement) -> bool {
    let model = history.model;
    let located = |part: PartId| {
        let places = history.graph.places_of(part);
        history.lost_places_of(part).is_empty()
            && places.iter().all(|(position, _)| history.lost_of_position(*position).is_empty())
    };
    match says {
        Statement::Embodied(..) | Statement::NotEmbodied(_) | Statement::Removed(_) => true,
        Statement::SeenAt(position, _) => history.lost_of_position(*position).is_empty(),
        Statement::SeenSplice(frame, ..) => {
            model.losses.of_frame(*frame).is_empty()
                && model.frames[*frame].segments.iter().all(|segment| located(segment.part))
        }
        Statement::SeenPattern(plate) => {
            model.losses.of_plate(*plate).is_empty() && model.plates[*plate].locates.iter().all(|part| located(*part))
        }
    }
}

fn concerning(model: &Model, airframe: AirframeId) -> impl Iterator<Item = &Loss> {
    model.losses.iter().map(|(_, loss)| loss).filter(move |loss| loss.concerns(airframe))
}
