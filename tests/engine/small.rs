//! Small random types with one airframe each, from a seed.

use modstate::finding::{FileId, Place, RecordRef};
use modstate::ids::{AirframeId, Id, ModId, PartId, PositionId, Table};
use modstate::model::{
    Airframe, Candidate, Claim, Condition, Model, Modification, OneOf, Part, Position, Production, Retrospective,
    Statement, TypeOf, Unrecorded,
};
use modstate::quantity::{Day, Serial, SerialRange, SerialSet, Window};
use modstate::schema::{Form, Grade, Source, Standing};

/// A small deterministic source of numbers (xorshift64*).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }
    /// A number below `n`.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        usize::try_from((self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) % n as u64).unwrap()
    }
    /// True once in `n` times.
    pub(crate) fn once_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }
    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }
}

fn place() -> Place {
    record().place()
}

pub(crate) fn record() -> RecordRef {
    RecordRef { file: FileId(0), index: 0 }
}

pub(crate) fn serials(dice: &mut Dice) -> SerialSet {
    let from = dice.below(9) as u32 + 1;
    let to = from + dice.below(9) as u32;
    SerialSet(vec![SerialRange {
        prefix: "X".into(),
        from: Some((from, String::new())),
        to: Some((to, String::new())),
    }])
}

/// A day in the middle of the days that the reference walks.
fn day(dice: &mut Dice) -> Day {
    Day(8 + i32::try_from(dice.below(14)).unwrap())
}

pub(crate) fn window(dice: &mut Dice) -> Window {
    let a = day(dice);
    let b = Day(a.0 + i32::try_from(dice.below(6)).unwrap());
    let (start, end) = match dice.below(8) {
        0 => (None, Some(b)),
        1 => (Some(a), None),
        2 | 3 => (Some(a), Some(b)),
        _ => (Some(a), Some(a)),
    };
    Window { start, end, text: String::new() }
}

/// A date that is often known only as a window.
pub(crate) fn date(dice: &mut Dice) -> Window {
    if dice.once_in(2) { on(day(dice)) } else { window(dice) }
}

/// The date of a one-of group, which is closed at its end.
pub(crate) fn group_date(dice: &mut Dice) -> Window {
    let drawn = date(dice);
    if drawn.end.is_some() { drawn } else { Window { start: None, end: drawn.start, text: String::new() } }
}

pub(crate) fn on(day: Day) -> Window {
    Window { start: Some(day), end: Some(day), text: String::new() }
}

/// A type of `mods` modifications with one airframe and `claims` claims.
pub(crate) fn model(dice: &mut Dice, mods: usize, claims: usize) -> (Model, AirframeId) {
    let mut model = Model::default();
    for index in 0..mods {
        let modification = modification(dice, index, mods);
        model.mods.insert(&format!("M{index}"), modification).unwrap();
    }
    if dice.once_in(3) && mods > 2 {
        let first = dice.below(mods - 1);
        model.one_ofs.push(OneOf {
            record: record(),
            name: "group".into(),
            members: vec![ModId::from_index(first), ModId::from_index(first + 1)],
            introduced: on(day(dice)),
            exactly: dice.once_in(2),
        });
    }
    for index in 0..6 {
        let part = Part {
            place: record().place(),
            description: String::new(),
            hand: None,
            opposite: None,
            drawing: None,
            material: None,
            temper: None,
            thickness: None,
            source: Some(Source::Made),
            mass: None,
            expansion: None,
            positions: Vec::new(),
            assembly: None,
            tools: Vec::new(),
            flat: None,
        };
        model.parts.insert(&format!("P{index}"), part).unwrap();
    }
    for index in 0..=dice.below(3) {
        let position = position(dice, mods);
        model.positions.insert(&format!("P0/{index}"), position).unwrap();
    }
    let built = Day(9 + i32::try_from(dice.below(4)).unwrap());
    let built = if dice.once_in(4) {
        Window {
            start: Some(built),
            end: Some(Day(built.0 + i32::try_from(dice.below(3)).unwrap())),
            text: String::new(),
        }
    } else {
        on(built)
    };
    let mut airframe = Airframe {
        record: record(),
        serial: Serial { prefix: "X".into(), number: 5, suffix: String::new(), text: "X5".into() },
        block: 0,
        built,
        delivered: None,
        evidence: Table::default(),
        claims: Table::default(),
        unrecorded: Vec::new(),
        build_states: Table::default(),
    };
    for index in 0..claims {
        let claim = claim(dice, &model, mods);
        airframe.claims.insert(&format!("C{index}"), claim).unwrap();
    }
    let id = model.airframes.insert("X5", airframe).unwrap();
    (model, id)
}

/// Makes more of a small type: leaflets and introductions of which only a window is known, groups of three, and an
/// assumption among the claims.
pub(crate) fn widen(dice: &mut Dice, model: &mut Model, airframe: AirframeId) {
    let mods: Vec<ModId> = model.mods.ids().collect();
    for m in &mods {
        if let Some(form) = &mut model.mods.get_mut(*m).retrospective {
            form.leaflet_date = date(dice);
        }
    }
    for group in &mut model.one_ofs {
        group.introduced = group_date(dice);
    }
    for index in 0..mods.len() / 3 {
        if dice.once_in(2) {
            let mut members = mods.clone();
            while members.len() > 3 {
                members.remove(dice.below(members.len()));
            }
            let (name, introduced, exactly) = (format!("group of three {index}"), group_date(dice), dice.once_in(4));
            model.one_ofs.push(OneOf { record: record(), name, members, introduced, exactly });
        }
    }
    if dice.once_in(6) {
        let assumption = assumption(window(dice));
        model.airframes.get_mut(airframe).unrecorded.push(assumption);
        assume(model, airframe, &[]);
    }
}

/// The record of the assumption; all others of a small type are one.
const ASSUMPTION: RecordRef = RecordRef { file: FileId(0), index: 1 };

/// That what no claim speaks of was not embodied as of a date.
pub(crate) fn assumption(when: Window) -> Unrecorded {
    Unrecorded { name: "A1".into(), record: ASSUMPTION, when, reason: String::new() }
}

/// Adds the claims that the assumptions of an airframe stand for, but for those of these names.
pub(crate) fn assume(model: &mut Model, airframe: AirframeId, without: &[&str]) {
    let open = unrecorded(model, airframe);
    let names: Vec<String> = open.iter().map(|m| format!("A1 {}", model.mods.name(*m))).collect();
    let held = model.airframes.get_mut(airframe);
    for assumption in held.unrecorded.clone() {
        for (m, name) in open.iter().zip(&names).filter(|(_, name)| !without.contains(&name.as_str())) {
            let (record, when, assumed) = (ASSUMPTION, assumption.when.clone(), Some(String::new()));
            let (says, rests_on, grade) = (Statement::NotEmbodied(*m), Vec::new(), None);
            let claim = Claim {
                record,
                says,
                when,
                rests_on,
                standing: Standing::Doubtful,
                read_on: Vec::new(),
                grade,
                assumed,
            };
            held.claims.insert(name, claim).unwrap();
        }
    }
}

/// The modifications that could have been embodied afterwards, were not on the line, and of which no claim says anything.
pub(crate) fn unrecorded(model: &Model, airframe: AirframeId) -> Vec<ModId> {
    let airframe = &model.airframes[airframe];
    let recorded = |m: ModId| {
        airframe.claims.iter().filter(|(_, _, claim)| claim.assumed.is_none()).any(|(_, _, claim)| match &claim.says {
            Statement::Embodied(of, _) | Statement::NotEmbodied(of) | Statement::Removed(of) => *of == m,
            Statement::SeenAt(..) | Statement::SeenSplice(..) | Statement::SeenPattern(_) => false,
        })
    };
    let open = model.mods.iter().filter(|(m, _, modification)| {
        let covered = modification.production.as_ref().is_some_and(|form| form.covers.contains(&airframe.serial));
        let offered = modification
            .retrospective
            .as_ref()
            .is_some_and(|form| form.eligible.as_ref().is_none_or(|eligible| eligible.contains(&airframe.serial)));
        offered && !covered && !recorded(*m)
    });
    open.map(|(m, ..)| m).collect()
}

/// Moves some positions of a small type into an assembly that is a candidate of its first position; some of their
/// candidates become one part in two quantities.
pub(crate) fn nest_some(dice: &mut Dice, model: &mut Model) {
    let first = PositionId::from_index(0);
    let airframe = model.positions[first].assembly;
    model.type_of = Some(TypeOf { record: record(), name: String::new(), maker: None, airframe, datum: None });
    let assembly = model.positions[first].candidates[0].part;
    let others: Vec<PositionId> = model.positions.ids().skip(1).collect();
    for position in others {
        let (inside, same) = (dice.once_in(2), dice.once_in(4));
        let position = model.positions.get_mut(position);
        if inside {
            position.assembly = assembly;
        }
        if let (true, [one, other]) = (same, &mut position.candidates[..]) {
            (other.part, other.quantity) = (one.part, 2);
        }
    }
}

pub(crate) fn modification(dice: &mut Dice, index: usize, mods: usize) -> Modification {
    let mut others = |odds: usize| -> Vec<(ModId, Place)> {
        if dice.once_in(odds) && mods > 1 {
            let other = (index + 1 + dice.below(mods - 1)) % mods;
            vec![(ModId::from_index(other), place())]
        } else {
            Vec::new()
        }
    };
    let requires = others(2);
    let excludes = others(5);
    let supersedes = others(5);
    Modification {
        place: place(),
        title: String::new(),
        class: None,
        leaflet: None,
        requires,
        excludes,
        supersedes,
        production: dice.once_in(3).then(|| Production { place: place(), covers: serials(dice) }),
        retrospective: (!dice.once_in(4)).then(|| Retrospective {
            place: place(),
            leaflet_date: on(day(dice)),
            eligible: dice.once_in(3).then(|| serials(dice)),
        }),
        changes: Vec::new(),
    }
}

pub(crate) fn condition(dice: &mut Dice, mods: usize, depth: usize) -> Condition {
    let m = ModId::from_index(dice.below(mods));
    match dice.below(if depth == 0 { 5 } else { 8 }) {
        0 | 1 => Condition::Post(m, None),
        2 => Condition::Post(m, Some(dice.pick(&[Form::Production, Form::Retrospective]))),
        3 | 4 => Condition::Pre(m),
        5 => Condition::All((0..2).map(|_| condition(dice, mods, depth - 1)).collect()),
        6 => Condition::Any((0..2).map(|_| condition(dice, mods, depth - 1)).collect()),
        _ => Condition::Not(Box::new(condition(dice, mods, depth - 1))),
    }
}

pub(crate) fn position(dice: &mut Dice, mods: usize) -> Position {
    let first = condition(dice, mods, 2);
    let second = if dice.once_in(4) { condition(dice, mods, 1) } else { Condition::Not(Box::new(first.clone())) };
    let candidate = |part: usize, when| Candidate { part: PartId::from_index(part), when, quantity: 1 };
    let a = dice.below(5);
    let mut candidates = vec![candidate(a, first)];
    let nothing_when = if dice.once_in(3) {
        Some(second)
    } else {
        candidates.push(candidate((a + 1) % 6, second));
        None
    };
    Position {
        place: place(),
        assembly: PartId::from_index(5),
        find: String::new(),
        name: None,
        quantity: 1,
        station: None,
        candidates,
        nothing_when,
    }
}

pub(crate) fn claim(dice: &mut Dice, model: &Model, mods: usize) -> Claim {
    let m = ModId::from_index(dice.below(mods));
    let says = match dice.below(9) {
        0..=2 => Statement::Embodied(m, None),
        3 => Statement::Embodied(m, Some(dice.pick(&[Form::Production, Form::Retrospective, Form::Retrospective]))),
        4 => Statement::NotEmbodied(m),
        5 | 6 => Statement::Removed(m),
        _ => {
            let position = PositionId::from_index(dice.below(model.positions.len()));
            let held = &model.positions[position];
            let nothing = held.nothing_when.is_some() && dice.once_in(3);
            Statement::SeenAt(position, (!nothing).then(|| dice.below(held.candidates.len())))
        }
    };
    let doubtful = dice.once_in(3);
    Claim {
        record: record(),
        says,
        when: window(dice),
        rests_on: Vec::new(),
        read_on: Vec::new(),
        standing: if doubtful { Standing::Doubtful } else { Standing::Firm },
        grade: dice.pick(&[Some(Grade::A), Some(Grade::B), Some(Grade::C), Some(Grade::D), None]),
        assumed: None,
    }
}
