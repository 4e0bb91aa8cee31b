//! The dependency graph of a type: what requires, excludes, supersedes, selects, contains, splices and locates what.
//!
//! The graph holds no state of any airframe. It answers questions of reach: which loops there are, in which order
//! assemblies explode, what serves in the place of what, and which modifications can touch a subject.

mod fitted;

pub(crate) use fitted::fitted_in;

use crate::finding::Place;
use crate::ids::{FrameId, Id, ModId, PartId, PlateId, PositionId};
use crate::model::Model;
use petgraph::Direction;
use petgraph::algo::{tarjan_scc, toposort};
use petgraph::graph::{DiGraph, EdgeIndex, NodeIndex};
use petgraph::visit::{EdgeFiltered, EdgeRef};
use std::collections::{BTreeSet, VecDeque};
use std::sync::OnceLock;

/// What a node stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Node {
    /// A modification.
    Mod(ModId),
    /// A part number.
    Part(PartId),
    /// A position.
    Position(PositionId),
    /// A splice point (an index) of a frame.
    Splice(FrameId, usize),
    /// A jig-plate definition.
    Plate(PlateId),
}

/// How one node bears on another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bond {
    /// A modification requires another; which of its `requires` list.
    Requires(usize),
    /// A modification excludes another.
    Excludes,
    /// A modification supersedes another.
    Supersedes,
    /// A position's variants, or an opening of a frame, depend on a modification.
    DependsOn,
    /// An assembly has a position.
    Has,
    /// A position has a candidate (which of its list).
    Takes(usize),
    /// A segment part ends at a splice point.
    EndsAt,
    /// A splice point is joined by a part.
    JoinedBy,
    /// A plate locates a part.
    Locates,
}

/// A loop of requirements or of containment, shown edge by edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loop {
    /// Each step: who, and where it says that it needs or contains the next one; the last leads back to the first.
    pub steps: Vec<(Node, Place)>,
}

/// A rule that binds modifications to each other on any one day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DayRule {
    /// The first requires one of the others; which of its `requires` list.
    Requires(ModId, usize),
    /// The first says that it excludes the second.
    Excludes(ModId, ModId),
    /// A one-of group (an index).
    OneOf(usize),
}

/// The dependency graph of one model.
#[derive(Debug)]
pub struct Graph {
    bonds: DiGraph<Node, Bond>,
    mods: Vec<NodeIndex>,
    parts: Vec<NodeIndex>,
    positions: Vec<NodeIndex>,
    plates: Vec<NodeIndex>,
    serving: Vec<Vec<ModId>>,
    day_rules: Vec<(DayRule, Vec<ModId>)>,
    day_rules_of: Vec<Vec<usize>>,
    order: OnceLock<Option<Vec<PartId>>>,
}

impl Graph {
    /// The graph of a model.
    #[must_use]
    pub fn new(model: &Model) -> Graph {
        let mut graph = DiGraph::new();
        let mods: Vec<_> = model.mods.ids().map(|id| graph.add_node(Node::Mod(id))).collect();
        let parts: Vec<_> = model.parts.ids().map(|id| graph.add_node(Node::Part(id))).collect();
        let positions: Vec<_> = model.positions.ids().map(|id| graph.add_node(Node::Position(id))).collect();
        let plates: Vec<_> = model.plates.ids().map(|id| graph.add_node(Node::Plate(id))).collect();
        let mut built = Graph {
            bonds: graph,
            mods,
            parts,
            positions,
            plates,
            serving: Vec::new(),
            day_rules: Vec::new(),
            day_rules_of: Vec::new(),
            order: OnceLock::new(),
        };
        built.bond_mods(model);
        built.bond_structure(model);
        built.bond_frames_and_plates(model);
        built.serving = model.mods.ids().map(|id| built.superseding(id)).collect();
        built.bind(model);
        built
    }

    fn bind(&mut self, model: &Model) {
        for (id, _, modification) in model.mods.iter() {
            for (which, (required, _)) in modification.requires.iter().enumerate() {
                let mods = std::iter::once(id).chain(self.serving[required.index()].iter().copied()).collect();
                self.day_rules.push((DayRule::Requires(id, which), mods));
            }
            for (other, _) in &modification.excludes {
                self.day_rules.push((DayRule::Excludes(id, *other), vec![id, *other]));
            }
        }
        for (index, group) in model.one_ofs.iter().enumerate() {
            self.day_rules.push((DayRule::OneOf(index), group.members.clone()));
        }
        self.day_rules_of = vec![Vec::new(); model.mods.len()];
        for (index, (_, mods)) in self.day_rules.iter().enumerate() {
            for m in mods {
                self.day_rules_of[m.index()].push(index);
            }
        }
    }

    /// Every rule that binds modifications to each other, with the modifications it binds: for a requirement the one that
    /// requires and then all that can meet it.
    #[must_use]
    pub fn day_rules(&self) -> &[(DayRule, Vec<ModId>)] {
        &self.day_rules
    }

    /// The rules (indices of [`day_rules`](Graph::day_rules)) that bind a modification.
    #[must_use]
    pub fn day_rules_of(&self, id: ModId) -> &[usize] {
        &self.day_rules_of[id.index()]
    }

    fn bond_mods(&mut self, model: &Model) {
        for (id, _, modification) in model.mods.iter() {
            let from = self.mods[id.index()];
            for (which, (to, _)) in modification.requires.iter().enumerate() {
                self.bonds.add_edge(from, self.mods[to.index()], Bond::Requires(which));
            }
            for (to, _) in &modification.excludes {
                self.bonds.add_edge(from, self.mods[to.index()], Bond::Excludes);
            }
            for (to, _) in &modification.supersedes {
                self.bonds.add_edge(from, self.mods[to.index()], Bond::Supersedes);
            }
        }
    }

    fn bond_structure(&mut self, model: &Model) {
        for (id, _, position) in model.positions.iter() {
            let at = self.positions[id.index()];
            self.bonds.add_edge(self.parts[position.assembly.index()], at, Bond::Has);
            let mut named = BTreeSet::new();
            for (which, candidate) in position.candidates.iter().enumerate() {
                self.bonds.add_edge(at, self.parts[candidate.part.index()], Bond::Takes(which));
                candidate.when.each_mod(&mut |m| {
                    named.insert(m);
                });
            }
            if let Some(condition) = &position.nothing_when {
                condition.each_mod(&mut |m| {
                    named.insert(m);
                });
            }
            for m in named {
                self.bonds.add_edge(at, self.mods[m.index()], Bond::DependsOn);
            }
        }
    }

    fn bond_frames_and_plates(&mut self, model: &Model) {
        for (id, _, frame) in model.frames.iter() {
            let points: Vec<_> =
                (0..frame.splice_points.len()).map(|point| self.bonds.add_node(Node::Splice(id, point))).collect();
            for segment in &frame.segments {
                for end in [segment.from, segment.to] {
                    self.bonds.add_edge(points[end], self.parts[segment.part.index()], Bond::EndsAt);
                }
            }
            for (point, node) in frame.splice_points.iter().zip(&points) {
                for part in &point.joined_by {
                    self.bonds.add_edge(*node, self.parts[part.index()], Bond::JoinedBy);
                }
            }
        }
        for (id, _, plate) in model.plates.iter() {
            for part in &plate.locates {
                self.bonds.add_edge(self.plates[id.index()], self.parts[part.index()], Bond::Locates);
            }
        }
    }

    /// The modification itself and all that supersede it, directly or through others: any of them meets a
    /// requirement of it. The modification comes first, the others in table order.
    #[must_use]
    pub fn serving_for(&self, id: ModId) -> &[ModId] {
        &self.serving[id.index()]
    }

    fn superseding(&self, id: ModId) -> Vec<ModId> {
        let mut found = BTreeSet::new();
        let mut open = vec![self.mods[id.index()]];
        while let Some(node) = open.pop() {
            for edge in self.bonds.edges_directed(node, Direction::Incoming) {
                if let (Bond::Supersedes, Node::Mod(m)) = (edge.weight(), self.bonds[edge.source()])
                    && m != id
                    && found.insert(m)
                {
                    open.push(edge.source());
                }
            }
        }
        std::iter::once(id).chain(found).collect()
    }

    /// The positions at which a part is a candidate, with which of their candidates it is, in table order.
    #[must_use]
    pub fn places_of(&self, part: PartId) -> Vec<(PositionId, usize)> {
        let mut places: Vec<_> = self
            .bonds
            .edges_directed(self.parts[part.index()], Direction::Incoming)
            .filter_map(|edge| match (edge.weight(), self.bonds[edge.source()]) {
                (Bond::Takes(which), Node::Position(position)) => Some((position, *which)),
                _ => None,
            })
            .collect();
        places.sort_unstable();
        places
    }

    /// The plate definitions that locate a part, in table order.
    #[must_use]
    pub fn plates_for(&self, part: PartId) -> Vec<PlateId> {
        let mut plates: Vec<_> = self
            .bonds
            .edges_directed(self.parts[part.index()], Direction::Incoming)
            .filter_map(|edge| match (edge.weight(), self.bonds[edge.source()]) {
                (Bond::Locates, Node::Plate(plate)) => Some(plate),
                _ => None,
            })
            .collect();
        plates.sort_unstable();
        plates
    }

    /// The positions whose variant depends on a modification, in table order.
    #[must_use]
    pub fn positions_touched_by(&self, id: ModId) -> Vec<PositionId> {
        let mut positions: Vec<_> = self
            .bonds
            .edges_directed(self.mods[id.index()], Direction::Incoming)
            .filter_map(|edge| match (edge.weight(), self.bonds[edge.source()]) {
                (Bond::DependsOn, Node::Position(position)) => Some(position),
                _ => None,
            })
            .collect();
        positions.sort_unstable();
        positions
    }

    /// All positions of an assembly and of the assemblies that may be fitted in it, in table order.
    #[must_use]
    pub fn positions_below(&self, assembly: PartId) -> BTreeSet<PositionId> {
        let inside = |edge: &Bond| matches!(edge, Bond::Has | Bond::Takes(_));
        let structure = EdgeFiltered::from_fn(&self.bonds, |edge| inside(edge.weight()));
        let mut walk = petgraph::visit::Dfs::new(&structure, self.parts[assembly.index()]);
        let mut found = BTreeSet::new();
        while let Some(node) = walk.next(&structure) {
            if let Node::Position(position) = self.bonds[node] {
                found.insert(position);
            }
        }
        found
    }

    /// Every assembly and part before what it contains; `None` if a part contains itself, which
    /// [`loops`](Graph::loops) shows.
    #[must_use]
    pub fn explosion_order(&self) -> Option<&[PartId]> {
        self.order.get_or_init(|| self.sorted_parts()).as_deref()
    }

    /// Whether some part contains itself, directly or through others.
    #[must_use]
    pub fn contains_itself(&self) -> bool {
        self.explosion_order().is_none()
    }

    fn sorted_parts(&self) -> Option<Vec<PartId>> {
        let structure = EdgeFiltered::from_fn(&self.bonds, |edge| matches!(edge.weight(), Bond::Has | Bond::Takes(_)));
        let order = toposort(&structure, None).ok()?;
        let part = |node: NodeIndex| match self.bonds[node] {
            Node::Part(part) => Some(part),
            Node::Mod(_) | Node::Position(_) | Node::Splice(..) | Node::Plate(_) => None,
        };
        Some(order.into_iter().filter_map(part).collect())
    }

    /// Every loop of requirements and every loop of containment: one, the shortest, for each component of them.
    #[must_use]
    pub fn loops(&self, model: &Model) -> Vec<Loop> {
        let requires = |bond: &Bond| matches!(bond, Bond::Requires(_));
        let contains = |bond: &Bond| matches!(bond, Bond::Has | Bond::Takes(_));
        let mut loops = self.loops_along(model, &requires);
        loops.extend(self.loops_along(model, &contains));
        loops
    }

    fn loops_along(&self, model: &Model, along: &dyn Fn(&Bond) -> bool) -> Vec<Loop> {
        let followed = EdgeFiltered::from_fn(&self.bonds, |edge| along(edge.weight()));
        let mut components: Vec<Vec<NodeIndex>> = tarjan_scc(&followed);
        for component in &mut components {
            component.sort_unstable();
        }
        components.sort_unstable();
        components.iter().filter_map(|component| self.shortest_loop(model, component, along)).collect()
    }

    /// The shortest loop inside a strongly connected component, starting at its first node in table order.
    fn shortest_loop(&self, model: &Model, component: &[NodeIndex], along: &dyn Fn(&Bond) -> bool) -> Option<Loop> {
        let mut best: Option<Vec<EdgeIndex>> = None;
        for &start in component {
            let mut from: std::collections::BTreeMap<NodeIndex, EdgeIndex> = std::collections::BTreeMap::new();
            let mut open = VecDeque::from([start]);
            while let Some(node) = open.pop_front() {
                let mut edges: Vec<_> = self.bonds.edges(node).filter(|edge| along(edge.weight())).collect();
                edges.sort_by_key(|edge| (edge.target(), *edge.weight()));
                for edge in edges {
                    if component.binary_search(&edge.target()).is_ok() && !from.contains_key(&edge.target()) {
                        from.insert(edge.target(), edge.id());
                        open.push_back(edge.target());
                    }
                }
            }
            let Some(&last) = from.get(&start) else { continue };
            let mut edges = vec![last];
            let mut at = self.bonds.edge_endpoints(last)?.0;
            while at != start {
                let edge = from[&at];
                edges.push(edge);
                at = self.bonds.edge_endpoints(edge)?.0;
            }
            edges.reverse();
            if best.as_ref().is_none_or(|so_far| edges.len() < so_far.len()) {
                best = Some(edges);
            }
        }
        let steps = best?.into_iter().filter_map(|edge| {
            let node = self.bonds[self.bonds.edge_endpoints(edge)?.0];
            Some((node, Graph::place_of(model, node, self.bonds[edge])))
        });
        Some(Loop { steps: steps.collect() })
    }

    fn place_of(model: &Model, node: Node, bond: Bond) -> Place {
        match (node, bond) {
            (Node::Mod(id), Bond::Requires(which)) => model.mods[id].requires[which].1.clone(),
            (Node::Mod(id), _) => model.mods[id].place.clone(),
            (Node::Position(id), Bond::Takes(which)) => model.positions[id].place.field("candidates").item(which),
            (Node::Position(id), _) => model.positions[id].place.clone(),
            (Node::Part(id), _) => model.parts[id].place.clone(),
            (Node::Splice(id, point), _) => model.frames[id].splice_points[point].place.clone(),
            (Node::Plate(id), _) => model.plates[id].record.place(),
        }
    }
}
