//! One true history for each airframe, and the dossier that people made of some of it.

use super::frames::Frame;
use super::mods::{Catalogue, Form};
use super::random::Random;
use super::serials::{Line, Serial};
use super::structure::{Condition, Position, Structure};
use super::{FIRST_GROUNDED, Spec, chance, date, month, pick, within, year};

/// A claim's statement, as it is written.
pub(crate) enum Says {
    Embodied(usize, Option<Form>),
    NotEmbodied(usize),
    Removed(usize),
    Other(String),
}

pub(crate) struct Claim {
    pub says: Says,
    pub when: String,
    pub rests_on: Vec<usize>,
    pub firm: bool,
}

pub(crate) struct Evidence {
    pub kind: &'static str,
    pub reference: String,
    pub date: Option<String>,
    pub kept: &'static str,
    pub grade: char,
}

pub(crate) struct BuildState {
    pub name: &'static str,
    pub day: i32,
    pub add: Option<usize>,
    pub leave_out: Option<usize>,
}

pub(crate) struct Airframe {
    pub serial: Serial,
    pub built: String,
    pub delivered: i32,
    pub last: i32,
    pub evidence: Vec<Evidence>,
    pub claims: Vec<Claim>,
    /// Whether its dossier assumes that what nobody recorded was not embodied; true of it then.
    pub assumes: bool,
    pub states: Vec<BuildState>,
    /// Indices of the plates, for a jig that is set for its last build state: those that this state needs.
    pub plates: Option<Vec<usize>>,
}

/// When a modification was in.
#[derive(Clone, Copy)]
struct Stay {
    form: Form,
    from: i32,
    /// The day on which it was taken out.
    to: Option<i32>,
}

/// What happened to one airframe.
struct Life<'a> {
    catalogue: &'a Catalogue,
    serial: Serial,
    built: i32,
    last: i32,
    stays: Vec<Option<Stay>>,
}

pub(crate) fn airframes(
    random: &mut Random,
    spec: &Spec,
    line: &Line,
    catalogue: &Catalogue,
    (structure, frames): (&Structure, &[Frame]),
) -> Vec<Airframe> {
    let all = (line.built[0] + line.built[1]) as usize;
    let mut chosen = random.choose(all, spec.airframes);
    // A jig's airframe is an early one as often as a late one.
    for at in (1..chosen.len()).rev() {
        chosen.swap(at, random.below(at + 1));
    }
    let modded: Vec<(String, &Position)> = structure
        .assemblies
        .iter()
        .flat_map(|assembly| assembly.positions.iter().map(move |position| (assembly, position)))
        .filter(|(_, position)| position.nothing_when.is_some() || position.candidates.len() > 1)
        .map(|(assembly, position)| (structure.position(assembly, position), position))
        .collect();
    let mut airframes = Vec::new();
    for (nth, place) in chosen.into_iter().enumerate() {
        let place = u32::try_from(place).expect("a short line");
        let serial = if place < line.built[0] { line.at(0, place + 1) } else { line.at(1, place - line.built[0] + 1) };
        let frame = frames.get(nth).filter(|_| nth < spec.jigs);
        let of_jig = frame.map_or(Vec::new(), |frame| frame.mods.clone());
        let assumes = nth % 8 == 3;
        let mut history = Life { catalogue, serial, built: line.built_on(serial), last: 0, stays: Vec::new() };
        history.last = within(random, FIRST_GROUNDED.max(history.built + 400), FIRST_GROUNDED + 3_000);
        history.live(random, &of_jig);
        let said = Told { structure, modded: &modded, frames, of_jig: &of_jig, assumes };
        let mut airframe = said.dossier(random, spec, &history);
        airframe.plates = frame.map(|frame| history.plates(frame));
        airframes.push(airframe);
    }
    airframes
}

impl Life<'_> {
    /// Lives through the years, one modification after another, each after what it requires.
    fn live(&mut self, random: &mut Random, keep: &[usize]) {
        let mods = &self.catalogue.mods;
        let rate = 20 + random.below(50);
        for (id, m) in mods.iter().enumerate() {
            let covered = m.covers(self.serial).then_some(Stay { form: Form::Production, from: self.built, to: None });
            self.stays.push(covered);
            let (None, Some(form)) = (covered, m.afterwards(self.serial)) else { continue };
            let apart = self.catalogue.conflicts(id).iter();
            let free = !apart.into_iter().any(|other| self.will_be_in(*other));
            let ready = m.requires.iter().map(|required| self.stays[*required].map(|stay| stay.from));
            let ready = ready.into_iter().try_fold(form.leaflet + 31, |so_far, next| Some(so_far.max(next?)));
            let Some(first) = ready.map(|day| day.max(self.built + 30)) else { continue };
            if free && first < self.last && chance(random, rate) {
                let from = within(random, first, self.last);
                self.stays[id] = Some(Stay { form: Form::Retrospective, from, to: None });
            }
        }
        for group in &self.catalogue.groups {
            if group.exactly {
                self.exchange(random, &group.members);
            }
        }
        for id in 0..mods.len() {
            let alone = !self.catalogue.is_required(id) && !self.catalogue.is_exactly_one_of(id) && !keep.contains(&id);
            if alone
                && let Some(stay) = self.stays[id]
                && stay.from + 60 < self.last
                && chance(random, 3)
            {
                self.stays[id] = Some(Stay { to: Some(within(random, stay.from + 31, self.last)), ..stay });
            }
        }
    }

    /// Whether the airframe has or had it, or was built with it.
    fn will_be_in(&self, m: usize) -> bool {
        self.stays.get(m).map_or_else(|| self.catalogue.mods[m].covers(self.serial), Option::is_some)
    }

    /// Takes out the first of a group of which exactly one is in, and puts in the second on the same day.
    fn exchange(&mut self, random: &mut Random, members: &[usize]) {
        let (out, into) = (members[0], members[1]);
        let Some(form) = self.catalogue.mods[into].afterwards(self.serial) else { return };
        let first = (form.leaflet + 1).max(self.built + 60);
        let Some(stay) = self.stays[out].filter(|_| first < self.last && chance(random, 50)) else { return };
        let day = within(random, first, self.last);
        self.stays[out] = Some(Stay { to: Some(day), ..stay });
        self.stays[into] = Some(Stay { form: Form::Retrospective, from: day, to: None });
    }

    /// By which form a modification is in at the end of a day.
    fn state(&self, m: usize, day: i32) -> Option<Form> {
        let stay = self.stays[m]?;
        (stay.from <= day && stay.to.is_none_or(|to| day < to)).then_some(stay.form)
    }

    fn holds(&self, when: &Condition, day: i32) -> bool {
        when.holds(self.serial, &|m| self.state(m, day))
    }

    fn plates(&self, frame: &Frame) -> Vec<usize> {
        let needed = |at: &usize| frame.plates[*at].when.as_ref().is_none_or(|when| self.holds(when, self.last));
        (0..frame.plates.len()).filter(needed).collect()
    }

    /// One that was certainly not in and could be added alone, and one that was certainly in and could be left out.
    fn choices(&self, keep: &[usize]) -> (Option<usize>, Option<usize>) {
        let free = |id: &usize| {
            self.catalogue.conflicts(*id).is_empty() && !self.catalogue.is_required(*id) && !keep.contains(id)
        };
        let mods = &self.catalogue.mods;
        let add = |id: &usize| {
            self.stays[*id].is_none() && mods[*id].requires.is_empty() && mods[*id].afterwards(self.serial).is_some()
        };
        let leave_out = |id: &usize| {
            mods[*id].supersedes.is_empty()
                && self.stays[*id].is_some_and(|s| s.form == Form::Production && s.to.is_none())
        };
        let ids = || (0..mods.len()).filter(free);
        (ids().find(add), ids().find(leave_out))
    }
}

/// What went into a dossier.
struct Told<'a> {
    structure: &'a Structure,
    modded: &'a [(String, &'a Position)],
    frames: &'a [Frame],
    of_jig: &'a [usize],
    assumes: bool,
}

impl Told<'_> {
    fn dossier(&self, random: &mut Random, spec: &Spec, life: &Life<'_>) -> Airframe {
        let built = match random.below(3) {
            0 => month(life.built),
            _ => date(life.built),
        };
        let delivered = life.built + within(random, 32, 60);
        let (add, leave_out) = if self.of_jig.is_empty() { (None, None) } else { life.choices(self.of_jig) };
        let mut claims = self.of_modifications(random, spec, life, (add, &built));
        self.of_metal(random, life, delivered, &mut claims);
        let evidence = evidence(random, claims.len(), life);
        for claim in &mut claims {
            let many = 1 + usize::from(chance(random, 25));
            claim.rests_on = random.choose(evidence.len(), many);
        }
        let state = |name, day| BuildState { name, day, add: None, leave_out: None };
        let mut states = vec![state("as delivered", delivered), state("as last flown", life.last)];
        if !self.of_jig.is_empty() {
            states.push(BuildState { add, leave_out, ..state("rebuild", life.last) });
        }
        let (serial, last, assumes) = (life.serial, life.last, self.assumes);
        Airframe { serial, built, delivered, last, evidence, claims, assumes, states, plates: None }
    }

    /// Claims about modifications; of some nothing is said, unless something hangs on it.
    fn of_modifications(
        &self,
        random: &mut Random,
        spec: &Spec,
        life: &Life<'_>,
        (add, built): (Option<usize>, &str),
    ) -> Vec<Claim> {
        let mods = &life.catalogue.mods;
        let must = |m: usize| {
            self.of_jig.contains(&m)
                || add == Some(m)
                || life.catalogue.is_exactly_one_of(m)
                || (self.assumes && life.stays[m].is_some())
        };
        let open: Vec<usize> = (0..mods.len())
            .filter(|m| !mods[*m].covers(life.serial) && mods[*m].afterwards(life.serial).is_some() && !must(*m))
            .collect();
        let mut unrecorded = vec![false; mods.len()];
        for at in random.choose(open.len(), spec.unrecorded.min(open.len())) {
            unrecorded[open[at]] = true;
        }
        let mut claims = Vec::new();
        let mut by_window = spec.by_window;
        for (id, m) in mods.iter().enumerate() {
            let firm = must(id) || chance(random, 85);
            let mut claim = |says, when: String, firm| claims.push(Claim { says, when, rests_on: Vec::new(), firm });
            match life.stays[id] {
                None if unrecorded[id] || m.covers(life.serial) || m.afterwards(life.serial).is_none() => {}
                None => {
                    let early = !must(id) && chance(random, 20);
                    let day = if early { within(random, life.built + 40, life.last) } else { life.last };
                    claim(Says::NotEmbodied(id), date(day), firm);
                }
                Some(stay) => {
                    let exchanged = life.catalogue.is_exactly_one_of(id);
                    if stay.form == Form::Production {
                        if chance(random, 4) {
                            claim(Says::Embodied(id, Some(stay.form)), built.to_owned(), true);
                        }
                    } else if !unrecorded[id] {
                        let wide = !must(id) && by_window > 0 && chance(random, 60);
                        by_window -= usize::from(wide);
                        let by = chance(random, 80).then_some(stay.form);
                        let when = if exchanged || must(id) { date(stay.from) } else { when(random, stay.from, wide) };
                        // A window that reaches the day of a removal would say that it was in at the end of that day.
                        let soon_out = stay.to.is_some_and(|to| to <= stay.from + LONGEST);
                        let when = if soon_out { date(stay.from) } else { when };
                        claim(Says::Embodied(id, by), when, firm);
                    }
                    if let Some(to) = stay.to {
                        claim(Says::Removed(id), date(to), true);
                    }
                }
            }
        }
        claims
    }

    /// Claims about what was seen on relics and photographs.
    fn of_metal(&self, random: &mut Random, life: &Life<'_>, delivered: i32, claims: &mut Vec<Claim>) {
        let many = (self.modded.len() / 40).clamp(1, 6);
        for at in random.choose(self.modded.len(), many) {
            let (name, position) = &self.modded[at];
            let day = within(random, delivered, life.last);
            let fitted = |c: &&super::structure::Candidate| c.when.as_ref().is_none_or(|when| life.holds(when, day));
            let says = match position.candidates.iter().find(fitted) {
                Some(found) => format!("SeenPart(\"{name}\", \"{}\")", self.structure.parts[found.part].number),
                None => format!("SeenNothing(\"{name}\")"),
            };
            claims.push(seen(random, says, day));
        }
        for frame in self.frames.iter().filter(|_| chance(random, 30)).collect::<Vec<_>>() {
            let day = within(random, delivered, life.last);
            let needed = |plate: &&super::frames::Plate| plate.when.as_ref().is_none_or(|when| life.holds(when, day));
            let fitted: Vec<usize> =
                frame.plates.iter().filter(needed).flat_map(|plate| plate.locates.clone()).collect();
            let splice = pick(random, &frame.splices);
            let ends = |segment: &&super::frames::Segment| segment.from == splice.name || segment.to == splice.name;
            // Only parts that some plate locates are known here; legs always are.
            let used = frame.segments.iter().filter(ends).any(|segment| fitted.contains(&segment.part));
            let located = |part: usize| frame.plates.iter().any(|plate| plate.locates.contains(&part));
            if frame.segments.iter().filter(ends).all(|segment| located(segment.part)) {
                let verb = if used { "SeenSplice" } else { "SeenNoSplice" };
                claims.push(seen(random, format!("{verb}(\"{}\", \"{}\")", frame.name, splice.name), day));
            }
            if chance(random, 50)
                && let Some(plate) = frame.plates.iter().find(needed)
            {
                claims.push(seen(random, format!("SeenPattern(\"{}\")", plate.number), day));
            }
        }
    }
}

fn seen(random: &mut Random, says: String, day: i32) -> Claim {
    let firm = chance(random, 80);
    Claim { says: Says::Other(says), when: date(day), rests_on: Vec::new(), firm }
}

/// No window of [`when`] ends more than so many days after the day itself.
const LONGEST: i32 = 500;

/// How the day of an embodiment was recorded.
fn when(random: &mut Random, day: i32, wide: bool) -> String {
    match (wide, random.below(4)) {
        (false, 0) => month(day),
        (false, _) => date(day),
        (true, 0) => format!("by {}", year(day)),
        (true, 1) => year(day),
        (true, 2) => format!("{}..{}", date(day - within(random, 0, 300)), date(day + within(random, 0, 300))),
        (true, _) => format!("by {}", date(day + within(random, 0, LONGEST))),
    }
}

const KINDS: &[(&str, char, &str)] = &[
    ("Relic", 'A', "Workshop, bay 2"),
    ("Depot folder", 'A', "Workshop, file box 4"),
    ("Record card", 'B', "County archive, box 17"),
    ("Photograph", 'B', "Lent by the owner"),
    ("Copy of a log book", 'C', "Workshop, file box 5"),
    ("Blurred photograph", 'C', "Sent by post"),
    ("Recollection", 'D', "Note in the workshop diary"),
];

fn evidence(random: &mut Random, claims: usize, life: &Life<'_>) -> Vec<Evidence> {
    let many = 3 + claims / 12;
    let item = |nth: usize, random: &mut Random| {
        let (kind, grade, kept) = *pick(random, KINDS);
        // Whatever a claim speaks of, its evidence was there to show it.
        let day = within(random, life.last, life.last + 3_000);
        let date = match random.below(4) {
            0 => None,
            1 => Some(year(day)),
            2 => Some(month(day)),
            _ => Some(date(day)),
        };
        let reference = format!("{kind} {} of {}", nth + 1, life.serial.text());
        Evidence { kind, reference, date, kept, grade }
    };
    (0..many).map(|nth| item(nth, random)).collect()
}
