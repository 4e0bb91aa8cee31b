//! The drawing register, parts, and the structure of assemblies with the conditions of what is fitted.

use super::mods::{Catalogue, Change, Form, thing};
use super::random::Random;
use super::serials::{Line, Range, Serial};
use super::{FIRST_BUILT, Spec, chance, pick, within};

/// When a candidate is fitted.
#[derive(Clone, Debug)]
pub(crate) enum Condition {
    Post(usize),
    By(usize, Form),
    Pre(usize),
    Serials(Vec<Range>),
    All(Vec<Condition>),
    Any(Vec<Condition>),
    Not(Box<Condition>),
}

impl Condition {
    /// Whether it holds on an airframe with these modifications in.
    pub(crate) fn holds(&self, serial: Serial, state: &impl Fn(usize) -> Option<Form>) -> bool {
        match self {
            Condition::Post(m) => state(*m).is_some(),
            Condition::By(m, form) => state(*m) == Some(*form),
            Condition::Pre(m) => state(*m).is_none(),
            Condition::Serials(ranges) => ranges.iter().any(|range| range.contains(serial)),
            Condition::All(parts) => parts.iter().all(|part| part.holds(serial, state)),
            Condition::Any(parts) => parts.iter().any(|part| part.holds(serial, state)),
            Condition::Not(part) => !part.holds(serial, state),
        }
    }
    fn literals<'c>(&'c self, all: &mut Vec<&'c Condition>) {
        match self {
            Condition::Post(_) | Condition::By(..) | Condition::Pre(_) => all.push(self),
            Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| part.literals(all)),
            Condition::Serials(_) | Condition::Not(_) => {}
        }
    }
}

pub(crate) struct Candidate {
    pub part: usize,
    pub when: Option<Condition>,
}

pub(crate) struct Position {
    pub find: String,
    pub name: Option<String>,
    pub quantity: u32,
    pub station: Option<String>,
    pub candidates: Vec<Candidate>,
    pub nothing_when: Option<Condition>,
}

pub(crate) struct Assembly {
    pub part: usize,
    pub positions: Vec<Position>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Source {
    Made,
    Bought,
    Standard,
}

pub(crate) struct Part {
    pub number: String,
    pub description: String,
    pub hand: Option<&'static str>,
    pub opposite_of: Option<usize>,
    pub material: Option<(&'static str, &'static str, &'static str)>,
    pub source: Source,
    pub mass: Option<String>,
    pub drawing: Option<Drawing>,
}

/// A drawing, by the number of its part.
pub(crate) struct Drawing {
    /// When each issue came out and which modification raised it; lettered from A.
    pub issues: Vec<(i32, Option<usize>)>,
    /// How many of them the workshop holds, where somebody has looked.
    pub held: Option<usize>,
}

/// Parts and assemblies; the first part is the whole airframe.
pub(crate) struct Structure {
    pub parts: Vec<Part>,
    pub assemblies: Vec<Assembly>,
    fasteners: Vec<usize>,
    positions: usize,
}

const MATERIALS: &[(&str, &str, &str)] = &[
    ("Alloy sheet QA 7", "half hard", "18swg"),
    ("Alloy sheet QA 7", "half hard", "20swg"),
    ("Alloy sheet QA 9", "aged", "0.048in"),
    ("Alloy sheet QA 9", "aged", "22swg"),
    ("Steel sheet QS 2", "normalised", "1.2mm"),
    ("Steel sheet QS 2", "normalised", "1/16in"),
    ("Birch ply QP 1", "as made", "4mm"),
];

impl Structure {
    pub(crate) fn new() -> Structure {
        let mut structure =
            Structure { parts: Vec::new(), assemblies: Vec::new(), fasteners: Vec::new(), positions: 0 };
        structure.add("Airframe, complete".to_owned(), Source::Made);
        structure
    }

    /// A new part number.
    pub(crate) fn add(&mut self, description: String, source: Source) -> usize {
        let id = self.parts.len();
        let number = match source {
            Source::Standard => format!("QS{:03}-{:02}", 100 + id / 100, id % 100),
            Source::Made | Source::Bought => format!("61-{:06}", 10 * id),
        };
        let part = Part {
            number,
            description,
            hand: None,
            opposite_of: None,
            material: None,
            source,
            mass: None,
            drawing: None,
        };
        self.parts.push(part);
        id
    }

    /// A made part with its drawing, whose later issues the given modifications raised.
    pub(crate) fn drawn(&mut self, random: &mut Random, description: String, raised_by: &[usize]) -> usize {
        let id = self.add(description, Source::Made);
        let mut day = within(random, FIRST_BUILT - 500, FIRST_BUILT + 200);
        let mut issues = vec![(day, None)];
        for raiser in raised_by.iter().copied().map(Some).chain([None]) {
            if chance(random, 30) {
                day += within(random, 20, 900);
                issues.push((day, raiser));
            }
        }
        let held = chance(random, 50).then_some(issues.len());
        self.parts[id].material = Some(*pick(random, MATERIALS));
        self.parts[id].mass = chance(random, 60).then(|| format!("{:.3}lb", random.between(0.05, 9.0)));
        self.parts[id].drawing = Some(Drawing { issues, held });
        id
    }

    /// A new assembly of these positions.
    pub(crate) fn assemble(&mut self, part: usize, positions: Vec<Position>) {
        self.positions += positions.len();
        self.assemblies.push(Assembly { part, positions });
    }

    /// The name of a position.
    pub(crate) fn position(&self, assembly: &Assembly, position: &Position) -> String {
        format!("{}/{}", self.parts[assembly.part].number, position.find)
    }
}

impl Position {
    /// A position where one part is always fitted.
    pub(crate) fn always(find: usize, part: usize, quantity: u32) -> Position {
        Position::of(find, vec![Candidate { part, when: None }]).times(quantity)
    }
    /// A position with these candidates.
    pub(crate) fn of(find: usize, candidates: Vec<Candidate>) -> Position {
        let (name, station, nothing_when) = (None, None, None);
        Position { find: format!("{find:02}"), name, quantity: 1, station, candidates, nothing_when }
    }
    pub(crate) fn times(mut self, quantity: u32) -> Position {
        self.quantity = quantity;
        self
    }
    pub(crate) fn nothing(mut self, when: Condition) -> Position {
        self.nothing_when = Some(when);
        self
    }
    pub(crate) fn called(mut self, name: &str) -> Position {
        self.name = Some(name.to_owned());
        self
    }
}

/// Fills the structure up to the numbers of positions and parts that are wanted.
pub(crate) fn fill(random: &mut Random, spec: &Spec, line: &Line, catalogue: &Catalogue, structure: &mut Structure) {
    let plain = if spec.parts < spec.positions * 3 / 2 { 25 } else { 10 };
    for _ in 0..(spec.parts / 100).max(3) {
        let fastener = structure.add(
            format!("{}, {}BA", pick(random, &["Bolt", "Rivet", "Nut", "Washer"]), random.below(9)),
            Source::Standard,
        );
        structure.fasteners.push(fastener);
    }
    // The frames that are there already are hung into the first section.
    let frames: Vec<usize> = structure.assemblies.iter().map(|assembly| assembly.part).collect();
    let mut open = std::collections::VecDeque::from([0]);
    let mut filling = Filling { spec, line, catalogue, plain };
    while structure.positions < spec.positions {
        let Some(part) = open.pop_front() else { break };
        let mut positions = Vec::new();
        if part == 0 {
            positions.extend(frames.iter().enumerate().map(|(nth, frame)| Position::always(10 + nth, *frame, 1)));
        }
        let here = 6 + random.below(9);
        let mut find = 100;
        for nth in 0..here {
            let left = spec.positions.saturating_sub(structure.positions + positions.len());
            if left == 0 {
                break;
            }
            find += 2 * (1 + random.below(3));
            let nested = open.len() * 10 < left && (part == 0 || chance(random, 25) || (nth == 0 && open.is_empty()));
            if nested {
                positions.push(filling.nested(random, structure, find, &mut open));
            } else if left >= 2 && chance(random, 8) {
                positions.extend(handed(random, structure, find));
            } else {
                let left = filling.candidates(random, structure, left);
                positions.push(filling.leaf(random, structure, find, left));
            }
        }
        structure.assemble(part, positions);
    }
    // Assemblies whose positions nobody entered stay parts; what is left of the parts was never fitted.
    while structure.parts.len() < spec.parts {
        let spare = format!("{}, spare", thing(random));
        structure.add(spare, Source::Bought);
    }
}

struct Filling<'a> {
    spec: &'a Spec,
    line: &'a Line,
    catalogue: &'a Catalogue,
    /// Of a hundred positions, how many hold a fastener.
    plain: usize,
}

impl Filling<'_> {
    /// How many candidates the next position gets, so that parts and positions run out together.
    fn candidates(&self, random: &mut Random, structure: &Structure, positions_left: usize) -> usize {
        let parts_left = self.spec.parts.saturating_sub(structure.parts.len());
        if parts_left == 0 || chance(random, self.plain) {
            return 0;
        }
        // Half of the positions hold one part; the others as many as brings parts and positions out even.
        if chance(random, 50) {
            return 1;
        }
        let wanted = 200 * parts_left * 100 / (positions_left * (100 - self.plain));
        let wanted = wanted.saturating_sub(100);
        (wanted / 100 + usize::from(random.below(100) < wanted % 100)).clamp(1, 4)
    }

    /// A position with an assembly, of which there may be two variants.
    fn nested(
        &mut self,
        random: &mut Random,
        structure: &mut Structure,
        find: usize,
        open: &mut std::collections::VecDeque<usize>,
    ) -> Position {
        let description = format!("{}, assembly", thing(random));
        let station = format!("{:.2}in", random.between(0.0, 480.0));
        let m = random.below(self.catalogue.mods.len());
        let first = structure.drawn(random, description.clone(), &[m]);
        open.push_back(first);
        let mut position = if chance(random, 25) {
            let second = structure.drawn(random, format!("{description}, modified"), &[]);
            open.push_back(second);
            let when = [(first, Condition::Pre(m)), (second, Condition::Post(m))];
            Position::of(find, when.map(|(part, when)| Candidate { part, when: Some(when) }).into())
        } else {
            Position::always(find, first, 1)
        };
        position.station = Some(station);
        position.called(&description)
    }

    /// A position with so many new parts as candidates; none is a fastener that is always there.
    fn leaf(&mut self, random: &mut Random, structure: &mut Structure, find: usize, candidates: usize) -> Position {
        if candidates == 0 {
            let fastener = *pick(random, &structure.fasteners);
            return Position::always(find, fastener, 2 + u32::try_from(random.below(30)).expect("few"));
        }
        let (conditions, nothing, raisers) = self.conditions(random, candidates);
        let description = thing(random);
        let parts: Vec<Candidate> = conditions
            .into_iter()
            .map(|when| {
                let part = if chance(random, 60) {
                    structure.drawn(random, description.clone(), &raisers)
                } else {
                    let source = if chance(random, 60) { Source::Made } else { Source::Bought };
                    structure.add(description.clone(), source)
                };
                Candidate { part, when }
            })
            .collect();
        let position = Position { nothing_when: nothing, ..Position::of(find, parts) };
        if chance(random, 30) { position.called(&description) } else { position }
    }

    /// The conditions of so many candidates, of which exactly one holds in every state, and each in some; with when
    /// nothing is fitted, and the modifications that they name.
    fn conditions(
        &self,
        random: &mut Random,
        candidates: usize,
    ) -> (Vec<Option<Condition>>, Option<Condition>, Vec<usize>) {
        let catalogue = self.catalogue;
        let cluster = pick(random, &catalogue.clusters);
        let a = *pick(random, cluster);
        let (both, exactly) = (catalogue.mods[a].has_both_forms(), catalogue.is_exactly_one_of(a));
        let fits =
            |b: usize, with: &[usize]| with.iter().all(|a| !catalogue.needs(*a, b) && catalogue.go_together(*a, b));
        let second = *pick(random, cluster);
        let second = (!exactly && fits(second, &[a])).then_some(second);
        let third = *pick(random, cluster);
        let third = second.filter(|b| fits(third, &[a, *b])).map(|_| third);
        let [pre, post] = [Condition::Pre(a), Condition::Post(a)];
        let by = |form| Condition::By(a, form);
        let all = |parts: &[Condition]| Condition::All(parts.to_vec());
        let some = |whens: Vec<Condition>| whens.into_iter().map(Some).collect::<Vec<_>>();
        let named: Vec<usize> = [Some(a), second, third].into_iter().flatten().collect();
        match (candidates, second, third) {
            (1, ..) if chance(random, 60) => (vec![None], None, Vec::new()),
            (1, ..) if chance(random, 60) => (some(vec![post]), Some(pre), vec![a]),
            (1, ..) => (some(vec![pre]), Some(post), vec![a]),
            (2, ..) if chance(random, 4) => {
                let block = self.line.blocks[random.below(4)].range;
                let inside = Condition::Serials(vec![block]);
                (some(vec![inside.clone(), Condition::Not(Box::new(inside))]), None, Vec::new())
            }
            (2, Some(b), _) if chance(random, 30) => {
                let either = Condition::Any(vec![post, Condition::Post(b)]);
                (some(vec![all(&[pre, Condition::Pre(b)]), either]), None, vec![a, b])
            }
            (4, Some(b), Some(c)) if chance(random, 70) => {
                let chain = vec![
                    pre,
                    all(&[post.clone(), Condition::Pre(b)]),
                    all(&[post.clone(), Condition::Post(b), Condition::Pre(c)]),
                    all(&[post, Condition::Post(b), Condition::Post(c)]),
                ];
                (some(chain), None, named)
            }
            (3 | 4, Some(b), _) => {
                let last = all(&[post.clone(), Condition::Post(b)]);
                let middle = all(&[post, Condition::Pre(b)]);
                (some(vec![pre, middle, last]), None, vec![a, b])
            }
            (3 | 4, None, _) if both => (some(vec![pre, by(Form::Production), by(Form::Retrospective)]), None, vec![a]),
            _ => (some(vec![pre, post]), None, vec![a]),
        }
    }
}

/// A handed pair, each on its side.
fn handed(random: &mut Random, structure: &mut Structure, find: usize) -> [Position; 2] {
    let description = thing(random);
    let port = structure.drawn(random, format!("{description}, port"), &[]);
    let starboard = structure.add(format!("{description}, starboard"), Source::Made);
    structure.parts[port].hand = Some("Port");
    structure.parts[starboard].opposite_of = Some(port);
    [Position::always(find, port, 1), Position::always(find + 1, starboard, 1)]
}

/// Enters what some leaflets say of positions, as it follows from the structure.
pub(crate) fn leaflet_lists(random: &mut Random, structure: &Structure, catalogue: &mut Catalogue) {
    for assembly in &structure.assemblies {
        for position in &assembly.positions {
            let mut all = Vec::new();
            for candidate in &position.candidates {
                let mut literals = Vec::new();
                candidate.when.iter().for_each(|when| when.literals(&mut literals));
                all.push((candidate.part, literals));
            }
            let mut named: Vec<usize> = Vec::new();
            for (_, literals) in &all {
                for literal in literals {
                    if let Condition::Post(m) | Condition::By(m, _) = literal
                        && !named.contains(m)
                    {
                        named.push(*m);
                    }
                }
            }
            for m in named {
                if chance(random, 60) {
                    let name = structure.position(assembly, position);
                    let changes = changes(structure, &name, m, &all);
                    catalogue.mods[m].changes.extend(changes);
                }
            }
        }
    }
}

/// What a modification deletes and introduces at a position, for each form apart where they differ.
fn changes(structure: &Structure, position: &str, m: usize, all: &[(usize, Vec<&Condition>)]) -> Vec<Change> {
    let parts = |wanted: &dyn Fn(&Condition) -> bool| -> Vec<String> {
        let found = all.iter().filter(|(_, literals)| literals.iter().any(|literal| wanted(literal)));
        found.map(|(part, _)| structure.parts[*part].number.clone()).collect()
    };
    let delete = parts(&|literal| matches!(literal, Condition::Pre(other) if *other == m));
    let change = |form, introduce| Change { form, position: position.to_owned(), delete: delete.clone(), introduce };
    let by = |form| parts(&|literal| matches!(literal, Condition::By(other, f) if (*other, *f) == (m, form)));
    let plain = parts(&|literal| matches!(literal, Condition::Post(other) if *other == m));
    let forms = [Form::Production, Form::Retrospective];
    let mut changes: Vec<Change> = forms
        .into_iter()
        .filter_map(|form| Some((form, by(form))).filter(|(_, parts)| !parts.is_empty()))
        .map(|(form, parts)| change(Some(form), parts))
        .collect();
    if changes.is_empty() {
        changes.push(change(None, plain));
    }
    changes
}
