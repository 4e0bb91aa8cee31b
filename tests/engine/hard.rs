//! Dossiers of a few kilobytes that are hard: each is answered, or ends with the limit said for that row or finding
//! alone. What bounds the work is conflicts and nodes, never time, so that the outcome is the same on every machine.

use crate::small::Dice;
use modstate::bill::{Amount, Bill, BillScope, NoBill, Request, bill};
use modstate::check::CheckScope;
use modstate::graph::Graph;
use modstate::ids::PositionId;
use modstate::project::Project;
use modstate::prop::Limit;
use modstate::quantity::Window;
use modstate::resolve::{Basis, IssueView, Limits, Range, Resolver, Target, Truth};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A dossier of one type and one airframe, as text; the whole airframe is part `TOP`.
struct Dossier(String);

impl Dossier {
    fn new() -> Dossier {
        Dossier(
            "Type(name: \"T\", airframe: \"TOP\"), SerialBlock(serials: \"X1..X9\", factory: \"F\"),
             Airframe(serial: \"X1\", built: \"1940-01-01\"),
             Evidence(airframe: \"X1\", id: \"E\", kind: \"card\", reference: \"card\", grade: B),"
                .to_owned(),
        )
        .part("TOP")
    }

    fn with(mut self, record: &str) -> Dossier {
        writeln!(self.0, "{record},").unwrap();
        self
    }

    fn part(self, number: &str) -> Dossier {
        self.with(&format!("Part(number: \"{number}\", description: \"d\", source: Made)"))
    }

    /// A modification that may be embodied from 1941 on, with further fields.
    fn modification(self, number: &str, fields: &str) -> Dossier {
        self.with(&format!(
            "Modification(number: \"{number}\", title: \"t\", {fields} retrospective: (leaflet_date: \"1941-01-01\"))"
        ))
    }

    /// So many modifications `M0`, `M1` and so on; of each those that it names in a field.
    fn modifications(self, count: usize, field: &str, others: impl Fn(usize) -> Vec<usize>) -> Dossier {
        (0..count).fold(self, |dossier, m| {
            let names: Vec<String> = others(m).into_iter().map(|other| format!("\"M{other}\"")).collect();
            let fields = if names.is_empty() { String::new() } else { format!("{field}: [{}],", names.join(", ")) };
            dossier.modification(&format!("M{m}"), &fields)
        })
    }

    fn one_of(self, name: &str, members: &[String], exactly: bool) -> Dossier {
        let members = members.join("\", \"");
        self.with(&format!(
            "OneOf(name: \"{name}\", modifications: [\"{members}\"], introduced: \"1942-01-01\", exactly: {exactly})"
        ))
    }

    fn claim(self, id: usize, says: &str, when: &str) -> Dossier {
        self.with(&format!(
            "Claim(airframe: \"X1\", id: \"C{id}\", says: {says}, when: \"{when}\", rests_on: [\"E\"], standing: Firm)"
        ))
    }

    fn assembly(self, part: &str, positions: &[String]) -> Dossier {
        self.with(&format!("Assembly(part: \"{part}\", positions: [{}])", positions.join(", ")))
    }

    fn project(self) -> Project {
        let project = Project::from_texts(vec![("all.ron".into(), format!("[{}]", self.0))]);
        assert_eq!(project.findings, vec![]);
        project
    }
}

/// A position that has so many of a part where a modification is in, and nothing elsewhere.
fn optional(find: usize, quantity: u64, part: &str, m: usize) -> String {
    format!(
        "(find: \"{find}\", quantity: {quantity}, candidates: [(part: \"{part}\", when: Post(\"M{m}\"))],
          nothing_when: Pre(\"M{m}\"))"
    )
}

fn resolver<'p>(project: &'p Project, graph: &'p Graph) -> Resolver<'p> {
    let airframe = project.model.airframes.ids().next().unwrap();
    let day = Window::parse("1950-01-01").ok().and_then(|window| window.day()).unwrap();
    Resolver::new(&project.model, graph, airframe, Target { day, build_state: None }, Limits::default()).unwrap()
}

/// How every modification stands.
fn standing(project: &Project) -> Vec<Truth> {
    let graph = Graph::new(&project.model);
    let mut resolver = resolver(project, &graph);
    project.model.mods.ids().map(|m| resolver.modification(m, Basis::Firm).embodied).collect()
}

fn bill_of(project: &Project) -> Result<Bill, NoBill> {
    let graph = Graph::new(&project.model);
    let request = Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::ToMake, weights: false };
    bill(&mut resolver(project, &graph), request)
}

fn amount(project: &Project, bill: &Bill, part: &str) -> Amount {
    let part = project.model.parts.id(part).unwrap();
    bill.totals.iter().find(|total| total.part == part).unwrap().amount
}

/// The codes of the findings, each once.
fn codes(project: &Project) -> Vec<String> {
    let graph = Graph::new(&project.model);
    let findings = project.check(&graph, CheckScope::Whole);
    let codes: BTreeSet<String> = findings.iter().map(|finding| finding.code.to_string()).collect();
    codes.into_iter().collect()
}

fn between(least: u64, most: u64) -> Amount {
    Amount::Between(Range { least, most })
}

/// A set of clauses with three modifications each, as conditions; with this many for each modification about half of
/// such sets can be met, and which of them is hard to tell.
fn clauses(dice: &mut Dice, mods: usize) -> String {
    let clauses = (0..mods * 43 / 10).map(|_| {
        let word = |dice: &mut Dice| if dice.once_in(2) { "Post" } else { "Pre" };
        let parts: Vec<String> = (0..3).map(|_| format!("{}(\"M{}\")", word(dice), dice.below(mods))).collect();
        format!("Any([{}])", parts.join(", "))
    });
    format!("All([{}])", clauses.collect::<Vec<_>>().join(", "))
}

/// "An odd number of these is in", by halves.
fn odd(mods: &[usize]) -> String {
    if let [m] = mods {
        return format!("Post(\"M{m}\")");
    }
    let (a, b) = mods.split_at(mods.len() / 2);
    let (a, b) = (odd(a), odd(b));
    format!("Any([All([{a}, Not({b})]), All([Not({a}), {b}])])")
}

/// Two hundred parts in one component, in six different quantities, each of whose modifications excludes the next.
#[test]
fn two_hundred_open_parts_in_one_component_are_summed_exactly() {
    let quantity = |m: usize| 1 + (m as u64 * 7) % 6;
    let dossier = Dossier::new()
        .part("P")
        .modifications(200, "excludes", |m| if m < 199 { vec![m + 1] } else { vec![] })
        .assembly("TOP", &(0..200).map(|m| optional(m, quantity(m), "P", m)).collect::<Vec<_>>());
    let project = dossier.project();
    // The heaviest choice without neighbours, by the usual recurrence.
    let (mut without, mut with) = (0, 0);
    for m in 0..200 {
        (without, with) = (with.max(without), without + quantity(m));
    }
    assert_eq!(amount(&project, &bill_of(&project).unwrap(), "P"), between(0, with.max(without)));
}

#[test]
fn a_hundred_modifications_of_which_each_excludes_three() {
    let positions: Vec<String> = (0..100).map(|m| optional(m, 1, "P", m)).collect();
    let next = |m: usize| (m + 1..(m + 4).min(100)).collect();
    let project = Dossier::new().part("P").modifications(100, "excludes", next).assembly("TOP", &positions).project();
    // Every fourth of them can be in together, and no more.
    assert_eq!(amount(&project, &bill_of(&project).unwrap(), "P"), between(0, 25));
    let dice = std::cell::RefCell::new(Dice::new(3));
    let any = |m: usize| (0..3).map(|_| (m + 1 + dice.borrow_mut().below(99)) % 100).collect::<BTreeSet<_>>();
    let project = Dossier::new()
        .part("P")
        .part("Q")
        .modifications(100, "excludes", |m| any(m).into_iter().collect())
        .assembly("TOP", &[positions, vec![optional(100, 3, "Q", 0)]].concat())
        .project();
    let bill = bill_of(&project).unwrap();
    assert!(
        matches!(amount(&project, &bill, "P"), Amount::Undecided(Limit::Nodes(_))),
        "{:?}",
        amount(&project, &bill, "P")
    );
    assert_eq!(amount(&project, &bill, "Q"), between(0, 3));
}

#[test]
fn thirty_levels_of_conditional_assemblies_cost_what_their_edges_cost() {
    let mut dossier = Dossier::new().modifications(30, "", |_| vec![]);
    for level in 0..30 {
        let around = if level == 0 { "TOP".to_owned() } else { format!("A{}", level - 1) };
        let inner = format!("A{level}");
        dossier = dossier.part(&inner).assembly(&around, &[optional(10, 2, &inner, level)]);
    }
    let project = dossier.project();
    let bill = bill_of(&project).unwrap();
    assert_eq!(amount(&project, &bill, "A29"), between(0, 1 << 30));
    assert_eq!(amount(&project, &bill, "A0"), between(0, 2));
}

/// Each assembly is fitted twice in the one around it, once in any case and once where a modification is in.
#[test]
fn assemblies_that_double_at_each_level() {
    let doubling = |levels: usize| {
        let mut dossier = Dossier::new().modifications(levels, "", |_| vec![]);
        for level in 0..levels {
            let around = if level == 0 { "TOP".to_owned() } else { format!("A{}", level - 1) };
            let inner = format!("A{level}");
            let always = format!("(find: \"1\", candidates: [(part: \"{inner}\")])");
            dossier = dossier.part(&inner).assembly(&around, &[always, optional(2, 1, &inner, level)]);
        }
        dossier.project()
    };
    let project = doubling(11);
    assert_eq!(amount(&project, &bill_of(&project).unwrap(), "A10"), between(1, 1 << 11));
}

#[test]
fn a_group_of_four_hundred_and_three_hundred_that_exclude_each_other() {
    let members: Vec<String> = (0..400).map(|m| format!("M{m}")).collect();
    let project = Dossier::new().modifications(400, "", |_| vec![]).one_of("ring", &members, true).project();
    assert_eq!(standing(&project), vec![Truth::Open; 400]);
    let project = Dossier::new().modifications(300, "excludes", |m| (m + 1..300).collect()).project();
    assert_eq!(standing(&project), vec![Truth::Open; 300]);
}

/// Nine groups of which exactly one has to be in, eight of which at most one may be, and all the same modifications.
#[test]
fn nine_into_eight() {
    let name = |pigeon: usize, hole: usize| format!("P{pigeon}H{hole}");
    let mut dossier = Dossier::new();
    for pigeon in 0..9 {
        for hole in 0..8 {
            dossier = dossier.modification(&name(pigeon, hole), "");
        }
    }
    for pigeon in 0..9 {
        let members: Vec<String> = (0..8).map(|hole| name(pigeon, hole)).collect();
        dossier = dossier.one_of(&format!("pigeon {pigeon}"), &members, true);
    }
    for hole in 0..8 {
        let members: Vec<String> = (0..9).map(|pigeon| name(pigeon, hole)).collect();
        dossier = dossier.one_of(&format!("hole {hole}"), &members, false);
    }
    let project = dossier.project();
    assert_eq!(standing(&project), vec![Truth::NoHistory; 72]);
    // claim-209: rules that this serial cannot keep.
    assert_eq!(codes(&project), ["claim-209"]);
}

#[test]
fn two_parities_of_twenty_four() {
    let (up, mixed): (Vec<usize>, Vec<usize>) = ((0..24).collect(), (0..24).map(|m| (m * 7) % 24).collect());
    let position = format!(
        "(find: \"1\", candidates: [(part: \"P\", when: {}), (part: \"Q\", when: Not({}))])",
        odd(&up),
        odd(&mixed)
    );
    let project =
        Dossier::new().part("P").part("Q").modifications(24, "", |_| vec![]).assembly("TOP", &[position]).project();
    assert_eq!(codes(&project), Vec::<String>::new());
}

/// A condition that takes too many steps is not proved, and says so; the position beside it is proved.
#[test]
fn a_condition_that_is_too_hard_is_not_proved_and_says_so() {
    let when = clauses(&mut Dice::new(1), 300);
    let hard = format!("(find: \"1\", candidates: [(part: \"P\", when: {when})], nothing_when: Not({when}))");
    let gap = "(find: \"2\", candidates: [(part: \"P\", when: Post(\"M0\"))])".to_owned();
    let project = Dossier::new().part("P").modifications(300, "", |_| vec![]).assembly("TOP", &[hard, gap]).project();
    // type-103: a gap; type-110: not proved.
    assert_eq!(codes(&project), ["type-103", "type-110"]);
}

/// A claim that rests on such a condition leaves open what it binds together, and nothing else.
#[test]
fn a_claim_that_is_too_hard_to_judge_leaves_the_rest_answered() {
    let when = clauses(&mut Dice::new(1), 300);
    let hard = format!("(find: \"1\", candidates: [(part: \"P\", when: {when})], nothing_when: Not({when}))");
    let dossier = Dossier::new().part("P").modifications(301, "", |_| vec![]).assembly("TOP", &[hard]);
    let project = dossier.claim(1, "SeenPart(\"TOP/1\", \"P\")", "1949-01-01").project();
    let standing = standing(&project);
    assert!(standing[..300].iter().all(|truth| matches!(truth, Truth::Undecided(Limit::Conflicts(_)))));
    assert_eq!(standing[300], Truth::Open);
    assert_eq!(codes(&project), ["claim-215", "type-110"]);
}

#[test]
fn thirty_seen_claims_and_three_hundred_on_one_group() {
    let positions: Vec<String> = (0..30).map(|m| optional(m, 1, "P", m)).collect();
    let mut dossier =
        Dossier::new().part("P").modifications(30, "requires", |m| if m > 0 { vec![m - 1] } else { vec![] });
    dossier = dossier.assembly("TOP", &positions);
    for m in 0..30 {
        dossier = dossier.claim(m, &format!("SeenPart(\"TOP/{m}\", \"P\")"), &format!("1943..19{}", 44 + m % 6));
    }
    assert_eq!(standing(&dossier.project()), vec![Truth::Always; 30]);
    let members: Vec<String> = (0..60).map(|m| format!("M{m}")).collect();
    let mut dossier = Dossier::new().modifications(60, "", |_| vec![]).one_of("ring", &members, false);
    for claim in 0..300 {
        let when = format!("19{}-0{}-1{}", 43 + claim % 5, 1 + claim % 9, claim % 10);
        dossier = dossier.claim(claim, &format!("NotEmbodied(\"M{}\")", claim % 59), &when);
    }
    assert_eq!(codes(&dossier.project()), Vec::<String>::new());
}

#[test]
fn a_chain_of_five_thousand_requirements() {
    let project =
        Dossier::new().modifications(5000, "requires", |m| if m > 0 { vec![m - 1] } else { vec![] }).project();
    assert_eq!(standing(&project), vec![Truth::Open; 5000]);
}

/// Nearly every one of the requirements follows from the others (type-108).
#[test]
fn six_hundred_modifications_that_require_all_before() {
    let count = if cfg!(debug_assertions) { 150 } else { 600 };
    let project = Dossier::new().modifications(count, "requires", |m| (0..m).collect()).project();
    assert_eq!(codes(&project), ["type-108"]);
}

#[test]
fn two_thousand_open_positions_are_asked_about() {
    let positions: Vec<String> = (0..2000).map(|m| optional(m, 1, "P", m)).collect();
    let project = Dossier::new().part("P").modifications(2000, "", |_| vec![]).assembly("TOP", &positions).project();
    let graph = Graph::new(&project.model);
    let scope: BTreeSet<PositionId> = project.model.positions.ids().collect();
    let questions = resolver(&project, &graph).questions(&scope, &BTreeSet::new(), Basis::Firm).unwrap();
    // Each modification can be looked up, or its position looked at, which tells the same.
    assert_eq!((questions.open, questions.ranked.len()), (2000, 2000));
    assert!(questions.ranked.iter().all(|question| question.also.len() == 1));
}

fn chain_of_assemblies(count: usize) -> Project {
    let mut dossier = Dossier::new();
    for level in 0..count {
        let around = if level == 0 { "TOP".to_owned() } else { format!("A{}", level - 1) };
        let inner = format!("A{level}");
        let position = format!("(find: \"1\", candidates: [(part: \"{inner}\")])");
        dossier = dossier.part(&inner).assembly(&around, &[position]);
    }
    dossier.project()
}

#[test]
fn assemblies_too_deep_inside_each_other_end_with_the_limit() {
    let project = chain_of_assemblies(150);
    assert_eq!(amount(&project, &bill_of(&project).unwrap(), "A149"), Amount::Exactly(1));
    for count in [2_000, 50_000] {
        assert_eq!(bill_of(&chain_of_assemblies(count)), Err(NoBill::TooDeep(200)));
    }
}
