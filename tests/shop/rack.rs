//! Parts, tools, permissions and decisions against states of a small type. All data in these tests are invented.

use modstate::bill::{BillScope, Request, bill};
use modstate::graph::Graph;
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::{Config, Window};
use modstate::resolve::{Basis, IssueView, Limits, PossibleIssue, Resolver, Target};
use modstate::shop::{
    Agreement, BookStanding, Donor, PermitFaultKind, RackVerdict, ToolVerdict, agreement, book, building_to, crowded,
    drawings, last_day, marking, permit_faults, rack, todo, tools,
};
use modstate::source::read_texts;

/// A strut in three variants, a bracket twice, a pair of plates of which one is fitted, and a donor.
const SMALL: &str = r#"
    Type(name: "Tern", airframe: "1-00"),
    SerialBlock(serials: "TA1..TA20", factory: "Wick"),
    Drawing(number: "1-10", title: "Strut", issues: [
        (issue: "A", date: "1930"), (issue: "B", date: "1931", raised_by: "M2", interchangeable: false),
        (issue: "C", date: "1932", interchangeable: true), (issue: "D", date: "1933", raised_by: "M3"),
    ], held: ["A", "B"]),
    Drawing(number: "1-20", title: "Bracket", issues: [(issue: "A", date: "1929")]),
    Part(number: "1-00", description: "Airframe", source: Made),
    Part(number: "1-10", description: "Strut", drawing: "1-10", material: "L3", thickness: "18swg", source: Made, tools: [FormBlock]),
    Part(number: "1-11", description: "Strut, stiff", material: "L3", thickness: "10swg", source: Made, tools: [FormBlock, DrillTemplate]),
    Part(number: "1-20", description: "Bracket", drawing: "1-20", source: Made),
    Part(number: "1-30", description: "Plate", hand: Port, source: Made),
    Part(number: "1-31", description: "Plate", opposite_of: "1-30", source: Made),
    Part(number: "1-40", description: "Tray", source: Made),
    Assembly(part: "1-00", positions: [
        (find: "10", candidates: [(part: "1-10", when: Pre("M1")), (part: "1-11", when: Post("M1"))]),
        (find: "20", quantity: 2, candidates: [(part: "1-20")]),
        (find: "30", candidates: [(part: "1-31")]),
        (find: "31", candidates: [(part: "1-30", when: Post("M1"))], nothing_when: Pre("M1")),
        (find: "40", candidates: [(part: "1-40", when: Post("M1"))], nothing_when: Pre("M1")),
    ]),
    Modification(number: "M1", title: "Stiff strut", retrospective: (leaflet_date: "1932-01-01")),
    Modification(number: "M2", title: "Thicker lug", retrospective: (leaflet_date: "1931-01-01")),
    Modification(number: "M3", title: "Longer lug", retrospective: (leaflet_date: "1933-01-01")),
    Airframe(serial: "TA1", built: "1930-05-01"),
    Airframe(serial: "TA2", built: "1930-06-01"),
    Evidence(airframe: "TA1", id: "E1", kind: "log", reference: "1", grade: A),
    Evidence(airframe: "TA2", id: "E1", kind: "log", reference: "2", grade: A),
    Claim(airframe: "TA1", id: "C1", says: NotEmbodied("M1"), when: "1935-01-01", rests_on: ["E1"], standing: Firm),
    Claim(airframe: "TA1", id: "C2", says: Embodied("M2", Retrospective), when: "1931-05", rests_on: ["E1"], standing: Firm),
    Claim(airframe: "TA1", id: "C3", says: NotEmbodied("M3"), when: "1935-01-01", rests_on: ["E1"], standing: Firm),
    Claim(airframe: "TA2", id: "C1", says: Embodied("M1", Retrospective), when: "1932-05", rests_on: ["E1"], standing: Firm),
    BuildState(airframe: "TA1", name: "last", date: "1935-01-01"),
"#;

struct Project {
    model: Model,
    graph: Graph,
}

fn project(more: &str) -> Project {
    let reading = read_texts(vec![("all.ron".into(), format!("[{SMALL}{more}]"))]);
    assert_eq!(reading.findings, vec![]);
    let (model, findings) = lower(&reading.records, &reading.lost, &Config::built_in());
    assert_eq!(findings, vec![]);
    Project { graph: Graph::new(&model), model }
}

impl Project {
    fn resolver(&self, serial: &str, date: &str) -> Resolver<'_> {
        let airframe = self.model.airframes.id(serial).expect("the airframe has a dossier");
        let day = Window::parse(date).expect("a date").day().expect("a day");
        let target = Target { day, build_state: None };
        Resolver::new(&self.model, &self.graph, airframe, target, Limits::default()).expect("it was built by then")
    }

    /// Each record's verdict and how many are taken, in the order of the rack.
    fn fits(&self, serial: &str, date: &str) -> Vec<(String, RackVerdict, u64)> {
        let mut resolver = self.resolver(serial, date);
        let request =
            Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::ToMake, weights: false };
        let bill = bill(&mut resolver, request).expect("there is a bill");
        let lines = rack(&mut resolver, &bill, Limits::default());
        let said = lines.iter().map(|line| {
            let marks = self.model.made_parts[line.made].marks.clone().unwrap_or_default();
            (marks, line.fit, line.taken)
        });
        let mut said: Vec<_> = said.collect();
        said.sort_by(|a, b| a.0.cmp(&b.0));
        said
    }

    fn fit(&self, serial: &str, date: &str) -> (RackVerdict, u64) {
        let fits = self.fits(serial, date);
        assert_eq!(fits.len(), 1);
        (fits[0].1, fits[0].2)
    }
}

const AT: (&str, &str) = ("TA1", "1935-01-01");

#[test]
fn variants_hands_and_places() {
    let fit = |record: &str| project(record).fit(AT.0, AT.1);
    assert_eq!(fit(r#"MadePart(part: "1-20", issue: "A", quantity: 1)"#), (RackVerdict::Fits, 1));
    assert_eq!(fit(r#"MadePart(part: "1-11", quantity: 1)"#), (RackVerdict::WrongVariant, 0));
    assert_eq!(fit(r#"MadePart(part: "1-30", quantity: 1)"#), (RackVerdict::WrongHand, 0));
    assert_eq!(fit(r#"MadePart(part: "1-31", quantity: 1, hand: Starboard)"#), (RackVerdict::Fits, 1));
    assert_eq!(fit(r#"MadePart(part: "1-40", quantity: 1)"#), (RackVerdict::Surplus, 0));
    assert_eq!(fit(r#"MadePart(part: "1-20", issue: "A", quantity: 1, made_for: "TA2")"#), (RackVerdict::Elsewhere, 0));
    // Nothing is recorded of M1 on TA2 before 1932-05-31 that settles it.
    let open = project(r#"MadePart(part: "1-11", quantity: 1)"#);
    assert_eq!(open.fit("TA2", "1932-05-10"), (RackVerdict::Undecided, 0));
    assert_eq!(open.fit("TA2", "1932-05-31"), (RackVerdict::Fits, 1));
}

#[test]
fn issues_that_serve_and_issues_that_do_not() {
    let fit = |issue: &str| project(&format!(r#"MadePart(part: "1-10", {issue} quantity: 1)"#)).fit(AT.0, AT.1).0;
    // M2 is in and M3 is not: of the issues A to D, C applies to what is made now.
    assert_eq!(fit(r#"issue: "C","#), RackVerdict::Fits);
    assert_eq!(fit(r#"issue: "B","#), RackVerdict::Fits, "interchangeable with C");
    assert_eq!(fit(r#"issue: "A","#), RackVerdict::OldIssue, "M2 superseded it, and it is not interchangeable");
    assert_eq!(fit(r#"issue: "D","#), RackVerdict::Undecided, "the register does not say");
    assert_eq!(fit(""), RackVerdict::Undecided, "nothing says to which issue");
}

#[test]
fn agreement_over_several_issues() {
    let model = project("").model;
    let drawing = model.drawings.id("1-10");
    let needed = |issues: &[usize]| -> Result<Vec<PossibleIssue>, _> {
        Ok(issues.iter().map(|issue| PossibleIssue { issue: Some(*issue), interchangeable: None }).collect())
    };
    assert_eq!(agreement(&model, drawing, Some(1), &needed(&[1, 2])), Agreement::Interchangeable);
    assert_eq!(agreement(&model, drawing, Some(0), &needed(&[0, 1])), Agreement::Open);
    assert_eq!(agreement(&model, drawing, Some(0), &needed(&[1, 2])), Agreement::NotInterchangeable);
    assert_eq!(agreement(&model, drawing, Some(2), &needed(&[3])), Agreement::NotSaid);
    assert_eq!(agreement(&model, drawing, None, &needed(&[3])), Agreement::NotRecorded);
    assert_eq!(agreement(&model, None, None, &needed(&[])), Agreement::Same);
}

#[test]
fn what_is_over_is_surplus_and_the_best_comes_first() {
    let project = project(
        r#"MadePart(part: "1-20", issue: "A", quantity: 1, marks: "a", stage: "blank cut"),
        MadePart(part: "1-20", issue: "A", quantity: 1, marks: "b", stage: "finished"),
        MadePart(part: "1-20", issue: "A", quantity: 2, marks: "c", stage: "blank cut", made_for: "TA1")"#,
    );
    let said = project.fits(AT.0, AT.1);
    let fits: Vec<(RackVerdict, u64)> = said.iter().map(|(_, fit, taken)| (*fit, *taken)).collect();
    assert_eq!(
        fits,
        [(RackVerdict::Surplus, 0), (RackVerdict::Surplus, 0), (RackVerdict::Fits, 2)],
        "those meant for it come first"
    );
    assert_eq!(project.fits("TA2", "1935-01-01")[1].1, RackVerdict::Fits, "then the further stage");
}

#[test]
fn a_reclaimed_part_is_what_its_donor_had() {
    let judge = |record: &str| {
        let project = project(record);
        let made = &project.model.made_parts[0];
        let from = made.reclaimed.as_ref().expect("it was reclaimed");
        modstate::shop::donor(&project.model, &project.graph, made, from, Basis::Firm, Limits::default())
    };
    let had = judge(r#"MadePart(part: "1-11", quantity: 1, reclaimed_from: "TA2", taken_from: "1-00/10")"#);
    assert_eq!(had, Donor::Had(vec![]));
    let never = r#"MadePart(part: "1-10", issue: "A", quantity: 1, reclaimed_from: "TA2", taken_from: "1-00/10")"#;
    assert_eq!(judge(never), Donor::HadNot);
    assert_eq!(project(never).fit(AT.0, AT.1).0, RackVerdict::Undecided, "it may not be what its number says");
    let then = r#"MadePart(part: "1-10", issue: "A", quantity: 1, reclaimed_from: "TA2", taken: "1932-05-10")"#;
    assert_eq!(judge(then), Donor::Open);
    assert_eq!(judge(r#"MadePart(part: "1-20", quantity: 1, reclaimed_from: "TA7")"#), Donor::NotKnown);
    let bracket = r#"MadePart(part: "1-20", quantity: 1, reclaimed_from: "TA2")"#;
    assert_eq!(project(bracket).fit(AT.0, AT.1), (RackVerdict::Fits, 1), "the donor's issue is the only one there is");
}

#[test]
fn no_airframe_gives_more_pieces_than_it_has_room_for() {
    let found = |records: &str| {
        let project = project(records);
        let said = crowded(&project.model, &project.graph).into_iter().map(|crowd| {
            let marks = crowd.made.iter().map(|made| project.model.made_parts[*made].marks.clone().unwrap_or_default());
            (marks.collect::<Vec<_>>().concat(), crowd.pieces, crowd.room)
        });
        said.collect::<Vec<_>>()
    };
    let one = r#"MadePart(part: "1-11", quantity: 1, marks: "a", reclaimed_from: "TA2", taken_from: "1-00/10")"#;
    let other = r#"MadePart(part: "1-11", quantity: 1, marks: "b", reclaimed_from: "TA2", taken_from: "1-00/10")"#;
    let anywhere = r#"MadePart(part: "1-11", quantity: 1, marks: "c", reclaimed_from: "TA2")"#;
    let elsewhere = r#"MadePart(part: "1-11", quantity: 1, marks: "d", reclaimed_from: "TA1", taken_from: "1-00/10")"#;
    assert_eq!(found(&[one, elsewhere].join(", ")), []);
    assert_eq!(found(&[one, elsewhere, other].join(", ")), [("ab".to_owned(), 2, 1)]);
    assert_eq!(found(&[one, anywhere].join(", ")), [("ac".to_owned(), 2, 1)]);
}

#[test]
fn tools_are_judged_as_plates_are() {
    let judge = |records: &str, serial: &str| -> Vec<ToolVerdict> {
        let project = project(records);
        let mut resolver = project.resolver(serial, AT.1);
        tools(&mut resolver, Basis::Firm).iter().map(|line| line.verdict).collect()
    };
    let block =
        |part: &str, issue: &str| format!(r#"FormingTool(mark: "B1", kind: FormBlock, made_to: ["{part}"], {issue})"#);
    assert_eq!(judge("", "TA1"), [ToolVerdict::Missing], "a block for 1-10; none of 1-11's is asked for");
    assert_eq!(judge(&block("1-10", r#"issue: "C""#), "TA1"), [ToolVerdict::Right]);
    assert_eq!(judge(&block("1-10", r#"issue: "A""#), "TA1"), [ToolVerdict::OldIssue]);
    assert_eq!(judge(&block("1-11", ""), "TA1"), [ToolVerdict::WrongVariant, ToolVerdict::Missing]);
    assert_eq!(judge(&block("1-40", ""), "TA1"), [ToolVerdict::Surplus, ToolVerdict::Missing]);
    let unknown = r#"FormingTool(mark: "B1", kind: FormBlock)"#;
    assert_eq!(judge(unknown, "TA1"), [ToolVerdict::Undecided, ToolVerdict::Missing]);
    assert_eq!(judge("", "TA2"), [ToolVerdict::Missing, ToolVerdict::Missing], "a block and a template for 1-11");
}

#[test]
fn a_tool_for_parts_of_two_drawings_is_held_to_each() {
    for parts in [r#""1-10", "1-20""#, r#""1-20", "1-10""#] {
        let block = format!(r#"FormingTool(mark: "B1", kind: FormBlock, made_to: [{parts}], issue: "A")"#);
        let project = project(&block);
        let mut resolver = project.resolver("TA1", AT.1);
        let line = &tools(&mut resolver, Basis::Firm)[0];
        assert_eq!(line.verdict, ToolVerdict::OldIssue, "{parts}: issue C of the strut applies, and A does not serve");
        assert_eq!(line.drawing, project.model.drawings.id("1-10"), "{parts}");
    }
}

#[test]
fn parts_made_under_a_permission_for_another_airframe_do_not_fit() {
    let concession = r#"Concession(reference: "C1", part: "1-20", deviation: "Edge distance.", allowed_by: "An engineer",
        date: "1999-01-01", scope: ["TA2"]),
        MadePart(part: "1-20", issue: "A", quantity: 1, under: ["C1"])"#;
    assert_eq!(project(concession).fit(AT.0, AT.1), (RackVerdict::Undecided, 0));
}

#[test]
fn what_is_settled_is_made_and_what_is_open_waits() {
    let project = project(r#"MadePart(part: "1-20", issue: "A", quantity: 1, marks: "a", stage: "blank cut")"#);
    let list = |date: &str| {
        let mut resolver = project.resolver("TA2", date);
        let list = todo(&mut resolver, BillScope::Airframe, Limits::default()).expect("there is a bill");
        let names = |jobs: &[modstate::shop::Job]| -> Vec<(String, u64, u64)> {
            let one = |job: &modstate::shop::Job| (project.model.parts.name(job.part).to_owned(), job.left, job.more);
            let mut said: Vec<_> = jobs.iter().map(one).collect();
            said.sort();
            said
        };
        (names(&list.now), names(&list.waiting), list.batches.len(), list.unfinished.len())
    };
    let named = |list: &[(&str, u64, u64)]| -> Vec<(String, u64, u64)> {
        list.iter().map(|(name, left, more)| ((*name).to_owned(), *left, *more)).collect()
    };
    let (now, waiting, batches, unfinished) = list("1932-05-10");
    assert_eq!(now, named(&[("1-20", 1, 0), ("1-31", 1, 0)]), "the same whether M1 is in or not");
    assert_eq!(waiting, named(&[("1-10", 0, 1), ("1-11", 0, 1), ("1-30", 0, 1), ("1-40", 0, 1)]));
    assert_eq!((batches, unfinished), (0, 1));
    let (now, waiting, batches, _) = list("1932-05-31");
    assert_eq!(now, named(&[("1-11", 1, 0), ("1-20", 1, 0), ("1-30", 1, 0), ("1-31", 1, 0), ("1-40", 1, 0)]));
    assert_eq!((waiting, batches), (vec![], 1), "L3 of 10 swg makes one batch");
}

#[test]
fn drawings_that_are_held_and_lacking() {
    let project = project("");
    let mut resolver = project.resolver(AT.0, AT.1);
    let request = Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::ToMake, weights: false };
    let bill = bill(&mut resolver, request).expect("there is a bill");
    let held: Vec<_> = drawings(&project.model, &bill).into_iter().map(|line| line.held).collect();
    assert_eq!(held, [modstate::shop::Held::OtherIssue, modstate::shop::Held::NotRecorded]);
}

#[test]
fn permissions_cover_what_they_say_and_no_more() {
    let faults = |permit: &str, made: &str| -> Vec<PermitFaultKind> {
        let text = format!(
            r#"DeviationPermit(reference: "P1", part: "1-20", deviation: "x", allowed_by: "y", date: "2020-01-01", {permit}),
            MadePart(part: "1-20", issue: "A", quantity: 2, under: ["P1"], {made}),
            MadePart(part: "1-40", quantity: 1)"#
        );
        permit_faults(&project(&text).model).iter().map(|fault| fault.kind).collect()
    };
    assert_eq!(faults("", ""), []);
    assert_eq!(faults("quantity: 2", ""), []);
    assert_eq!(faults("quantity: 1", ""), [PermitFaultKind::TooMany]);
    assert_eq!(faults(r#"scope: ["TA1"]"#, r#"made_for: "TA2""#), [PermitFaultKind::OtherAirframe]);
    assert_eq!(faults(r#"expires: "2021-06-30""#, r#"made: "2021-06-30""#), []);
    assert_eq!(faults(r#"expires: "2021-06-30""#, r#"made: "2021""#), [PermitFaultKind::Expired], "it may have been");
    let other = r#"Concession(reference: "P1", part: "1-40", deviation: "x", allowed_by: "y", date: "2020-01-01"),
        MadePart(part: "1-20", issue: "A", quantity: 1, under: ["P1"])"#;
    let kinds: Vec<_> = permit_faults(&project(other).model).iter().map(|fault| fault.kind).collect();
    assert_eq!(kinds, [PermitFaultKind::OtherPart]);
}

#[test]
fn a_permission_for_one_position_covers_no_part_for_another() {
    let text = r#"Assembly(part: "1-40", positions: [(find: "10", candidates: [(part: "1-20")])]),
        Concession(reference: "P1", part: "1-20", position: "1-40/10", deviation: "x", allowed_by: "y", date: "2020-01-01"),
        MadePart(part: "1-20", issue: "A", quantity: 1, under: ["P1"])"#;
    let project = project(text);
    assert_eq!(
        project.fits("TA1", "1935-01-01")[0].1,
        RackVerdict::Undecided,
        "the tray is not fitted, so it is for no place"
    );
    assert_eq!(project.fits("TA2", "1935-01-01")[0].1, RackVerdict::Fits);
}

#[test]
fn decisions_against_the_evidence() {
    let decision = |number: u32, decides: &str| {
        format!(
            r#"Decision(number: {number}, airframe: "TA1", date: "2020-01-0{number}", by: "x", decides: {decides}, because: "y")"#
        )
    };
    let texts = [
        decision(1, r#"BuildTo("last")"#),
        decision(2, r#"NotEmbodied("M1")"#),
        decision(3, r#"Embodied("M3")"#),
        decision(4, "Withdraw(2)"),
        decision(5, r#"Fits("1-00/10", "1-11")"#),
    ];
    let project = project(&texts.join(","));
    let airframe = project.model.airframes.id("TA1").expect("it has a dossier");
    let stood = book(&project.model, &project.graph, airframe, Limits::default());
    let standings: Vec<BookStanding> = stood.into_iter().map(|entry| entry.standing).collect();
    let never = modstate::resolve::Truth::Never;
    assert_eq!(
        standings,
        [
            BookStanding::Stands,
            BookStanding::Withdrawn(4),
            BookStanding::Against(never, never),
            BookStanding::Withdrawal,
            BookStanding::Against(never, never),
        ]
    );
    assert_eq!(building_to(&project.model, airframe).and_then(|(_, by)| by), Some(0));
    assert_eq!(last_day(&project.model).map(|day| day.to_string()).as_deref(), Some("2020-01-05"));
}

#[test]
fn new_parts_are_marked_as_new() {
    let project = project(
        r#"MadePart(part: "1-31", quantity: 1, made: "2021-06", marks: "a"),
        MadePart(part: "1-10", issue: "C", quantity: 1, reclaimed_from: "TA2")"#,
    );
    let mark = |number: &str| {
        let made = project.model.made_parts.iter().find(|made| project.model.parts.name(made.part) == number);
        let made = made.expect("it is on the rack");
        marking(&project.model, made.part, made.issue, Some(made), "TA1")
    };
    assert_eq!(mark("1-31"), "1-31 S TA1 NEW 2021");
    assert_eq!(mark("1-10"), "1-10 ISS C TA1 EX TA2");
    let strut = project.model.parts.id("1-11").expect("it is a part");
    assert_eq!(marking(&project.model, strut, None, None, "TA1"), "1-11 TA1 NEW");
}
