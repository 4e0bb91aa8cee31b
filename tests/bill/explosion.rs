//! Quantities rolled up, settled and open.

use crate::{Project, at, firm};
use modstate::bill::{
    Amount, Bill, BillLine, BillScope, LineChoice, LineItem, LineState, NoBill, Request, against_other_basis, bill,
    compare_totals, differing,
};
use modstate::ids::PartId;
use modstate::prop::Limit;
use modstate::resolve::{Basis, Compared, Limits, Range};
use std::collections::BTreeMap;

const SMALL: &str = include_str!("small.ron");

fn between(least: u64, most: u64) -> Amount {
    Amount::Between(Range { least, most })
}

/// Parts that are made up of nothing further, with the sum of their lines.
fn leaves(line: &BillLine, found: &mut BTreeMap<PartId, u64>) {
    for LineChoice { item, amount, below, .. } in &line.choices {
        if let (LineItem::Part(part), Amount::Exactly(quantity), true) = (item, amount, below.is_empty()) {
            *found.entry(*part).or_default() += quantity;
        }
        for line in below {
            leaves(line, found);
        }
    }
}

fn find<'b>(bill: &'b Bill, project: &Project, path: &[&str]) -> &'b BillLine {
    let mut line = &bill.top;
    for find in path {
        let mut below = line.choices.iter().flat_map(|choice| &choice.below);
        line = below
            .find(|line| line.position.is_some_and(|position| project.model.positions[position].find == *find))
            .expect("there is such a line");
    }
    line
}

#[test]
fn quantities_roll_up_through_an_assembly_that_is_used_three_times() {
    let project = Project::of(SMALL);
    let bill = project.bill("X1", "1950-01-01", BillScope::Airframe).unwrap();
    for (part, quantity) in [("70-100", 1), ("70-110", 3), ("70-111", 12), ("TS-1", 300), ("70-200", 2), ("70-201", 3)]
    {
        assert_eq!(project.amount(&bill, part), Some(Amount::Exactly(quantity)), "{part}");
    }
    for part in ["70-000", "70-112", "70-113", "70-120"] {
        assert_eq!(project.amount(&bill, part), None, "{part}");
    }
    let bill = project.bill("X2", "1950-01-01", BillScope::Airframe).unwrap();
    assert_eq!(project.amount(&bill, "70-112"), Some(Amount::Exactly(12)));
    assert_eq!(project.amount(&bill, "TS-1"), Some(Amount::Exactly(360)));
}

#[test]
fn the_totals_are_the_sums_of_the_leaves_of_the_tree() {
    let small = Project::of(SMALL);
    let demo = Project::demo();
    for (project, serial, date) in
        [(&small, "X1", "1950-01-01"), (&small, "X2", "1950-01-01"), (&demo, "7C537", "1953-09-04")]
    {
        let bill = project.bill(serial, date, BillScope::Airframe).unwrap();
        let mut sums = BTreeMap::new();
        leaves(&bill.top, &mut sums);
        let settled = bill.totals.iter().filter_map(|total| match total.amount {
            Amount::Exactly(quantity) if project.model.parts[total.part].positions.is_empty() => {
                Some((total.part, quantity))
            }
            Amount::Exactly(_) | Amount::Between(_) | Amount::Undecided(_) | Amount::Contradicted => None,
        });
        for (part, quantity) in settled {
            assert_eq!(sums.get(&part), Some(&quantity), "{serial} {}", project.model.parts.name(part));
        }
        assert!(sums.len() > 2);
    }
}

#[test]
fn what_comes_inside_a_bought_assembly_is_not_to_be_made() {
    let project = Project::of(SMALL);
    let bill = project.bill("X1", "1950-01-01", BillScope::Airframe).unwrap();
    let bracket = project.model.parts.id("70-201").unwrap();
    let total = bill.totals.iter().find(|total| total.part == bracket).unwrap();
    assert_eq!((total.amount, total.to_get), (Amount::Exactly(3), Amount::Exactly(1)));
}

#[test]
fn open_lines_tell_their_variants_and_open_totals_their_least_and_most() {
    let project = Project::of(SMALL);
    let bill = project.bill("X3", "1950-01-01", BillScope::Airframe).unwrap();
    // M1 adds a fourth bay, M2 changes the ribs of all, and the two exclude each other.
    for (part, amount) in [
        ("70-110", between(3, 4)),
        ("70-111", between(0, 16)),
        ("70-112", between(0, 12)),
        ("TS-1", between(300, 400)),
        ("70-201", Amount::Exactly(3)),
    ] {
        assert_eq!(project.amount(&bill, part), Some(amount), "{part}");
    }
    let ribs = find(&bill, &project, &["10", "20", "10"]);
    assert_eq!(ribs.state, LineState::Open);
    assert_eq!(ribs.choices.iter().map(|choice| choice.amount).collect::<Vec<_>>(), [between(0, 8), between(0, 8)]);
    let rivets = find(&bill, &project, &["10", "10", "20"]);
    assert_eq!(rivets.state, LineState::Open);
    assert_eq!((rivets.choices.len(), rivets.choices[0].amount), (1, between(100, 120)));
    assert_eq!(rivets.choices[0].ways.iter().map(|way| way.each).collect::<Vec<_>>(), [100, 120]);
    // The spare bay is open, and what is in it is settled wherever it is fitted: M1 excludes M2.
    assert_eq!(find(&bill, &project, &["20"]).state, LineState::Open);
    let spare = find(&bill, &project, &["20", "10"]);
    assert_eq!((spare.state, spare.choices.len()), (LineState::OpenAbove, 1));
    assert_eq!(find(&bill, &project, &["10"]).state, LineState::Settled);
}

#[test]
fn a_variant_that_changes_only_in_quantity_has_one_choice() {
    let project = Project::demo();
    let position = project.model.positions.id("27-1300/34").unwrap();
    for (serial, date, quantity) in
        [("7C537", "1945-01-01", 18), ("7C537", "1953-09-04", 16), ("4T188", "1955-10-31", 16)]
    {
        let bill = project.bill(serial, date, BillScope::Position(position)).unwrap();
        assert_eq!(bill.top.state, LineState::Settled, "{serial} {date}");
        assert_eq!(bill.top.choices[0].amount, Amount::Exactly(quantity), "{serial} {date}");
        assert_eq!(project.amount(&bill, "27-1319"), Some(Amount::Exactly(quantity)));
    }
}

#[test]
fn a_bill_of_one_assembly_counts_it_wherever_it_is_fitted() {
    let project = Project::of(SMALL);
    let bay = project.model.parts.id("70-110").unwrap();
    let bill = project.bill("X3", "1950-01-01", BillScope::Assembly(bay)).unwrap();
    assert_eq!(bill.top.choices[0].amount, between(3, 4));
    assert_eq!(project.amount(&bill, "70-111"), Some(between(0, 16)));
    assert_eq!(project.amount(&bill, "70-110"), None);
    let cover = project.model.parts.id("70-120").unwrap();
    assert_eq!(project.bill("X1", "1950-01-01", BillScope::Assembly(cover)), Err(NoBill::NotFitted));
}

#[test]
fn material_totals_and_mass_are_those_of_the_parts() {
    let project = Project::of(SMALL);
    let bill = project.bill("X3", "1950-01-01", BillScope::Airframe).unwrap();
    let said: Vec<_> = (bill.weights.as_ref().unwrap().materials.iter())
        .map(|total| {
            let thickness = total.thickness.as_ref().map(|thickness| thickness.text.as_str());
            (total.material.as_deref(), thickness, total.pieces, total.mass.micrograms, total.mass.unknown)
        })
        .collect();
    let kg = 1_000_000_000;
    assert_eq!(
        said,
        [
            // 12 ribs, or 16 with the spare bay, or 3 doublers.
            (Some("L3"), Some("18swg"), between(3, 16), between(0, 8 * kg), 1),
            (Some("L3"), Some("16swg"), between(0, 12), between(0, 9_600_000_000), 0),
            (None, None, Amount::Exactly(1), Amount::Exactly(kg / 10), 0),
        ]
    );
    // 2 pumps with what is in them, 1 bracket, and 6, 8 or 9.6 kg of ribs.
    assert_eq!(bill.weights.as_ref().unwrap().mass.micrograms, between(10_100_000_000, 13_700_000_000));
    assert_eq!(bill.weights.as_ref().unwrap().mass.unknown, 2);
}

#[test]
fn the_other_basis_differs_where_a_doubtful_claim_settles_a_line() {
    let project = Project::of(SMALL);
    let mut resolver = project.on("X3", "1950-01-01");
    let one = bill(&mut resolver, firm(BillScope::Airframe)).unwrap();
    let other = against_other_basis(&mut resolver, firm(BillScope::Airframe)).unwrap().unwrap();
    assert_eq!(other.request.basis, Basis::Held);
    assert_eq!(project.amount(&other, "70-111"), Some(Amount::Exactly(16)));
    let finds: Vec<Vec<&str>> = (differing(&one, &other).iter())
        .map(|line| line.path.iter().map(|position| project.model.positions[*position].find.as_str()).collect())
        .collect();
    assert_eq!(
        finds,
        [
            vec!["10", "10", "10"],
            vec!["10", "10", "20"],
            vec!["10", "10", "30"],
            vec!["10", "20", "10"],
            vec!["10", "20", "20"],
            vec!["10", "20", "30"],
            vec!["20"],
        ]
    );
    assert_eq!(differing(&one, &one), []);
    let mut settled = project.on("X1", "1950-01-01");
    assert_eq!(against_other_basis(&mut settled, firm(BillScope::Airframe)), Ok(None));
}

#[test]
fn what_is_too_much_is_said() {
    let chain = |quantity: u32, depth: usize| {
        let level = |level: usize| {
            let above = level - 1;
            let position =
                |find| format!("(find: \"{find}\", quantity: {quantity}, candidates: [(part: \"P{level}\")]),");
            format!(
                "Part(number: \"P{level}\", description: \"P\", source: Made),
                Assembly(part: \"P{above}\", positions: [{}{}]),",
                position(1),
                position(2)
            )
        };
        let levels: String = (1..=depth).map(level).collect();
        Project::of(&format!(
            "[Type(name: \"T\", airframe: \"P0\"), SerialBlock(serials: \"X1..X9\", factory: \"W\"),
            Airframe(serial: \"X1\", built: \"1940-01-01\"), Part(number: \"P0\", description: \"P\", source: Made),
            {levels}]"
        ))
    };
    let project = chain(1_000_000, 3);
    let bill = project.bill("X1", "1950-01-01", BillScope::Airframe).unwrap();
    assert_eq!(project.amount(&bill, "P3"), Some(Amount::Exactly(8_000_000_000_000_000_000)));
    let project = chain(1_500_000, 3);
    let last = project.model.parts.id("P3").unwrap();
    assert_eq!(project.bill("X1", "1950-01-01", BillScope::Airframe), Err(NoBill::TooMany(last)));
    let project = chain(1, 20);
    assert_eq!(project.bill("X1", "1950-01-01", BillScope::Airframe), Err(NoBill::TooLong(modstate::bill::LINES)));
}

#[test]
fn a_sum_beyond_the_limit_is_undecided_and_never_guessed() {
    let project = Project::of(SMALL);
    let limits = Limits { values: 2, nodes: 16, ..Limits::default() };
    let mut resolver = project.resolver("X3", at("1950-01-01"), limits);
    let bill = bill(&mut resolver, Request { ..firm(BillScope::Airframe) }).unwrap();
    assert_eq!(project.amount(&bill, "70-110"), Some(between(3, 4)));
    assert_eq!(project.amount(&bill, "TS-1"), Some(Amount::Undecided(Limit::Nodes(4))));
}

#[test]
fn totals_stay_differ_or_are_undecided() {
    let project = Project::of(SMALL);
    let mut open = project.on("X3", "1950-01-01");
    let firm_bill = bill(&mut open, firm(BillScope::Airframe)).unwrap();
    let held_bill = against_other_basis(&mut open, firm(BillScope::Airframe)).unwrap().unwrap();
    let mut settled = project.on("X1", "1950-01-01");
    let settled_bill = bill(&mut settled, firm(BillScope::Airframe)).unwrap();
    let compared = |a: &Bill, b: &Bill, number: &str| {
        let part = project.model.parts.id(number).unwrap();
        compare_totals(a, b).iter().find(|pair| pair.part == part).map(|pair| pair.compared)
    };
    assert_eq!(compared(&firm_bill, &held_bill, "70-111"), Some(Compared::Undecided));
    assert!(compare_totals(&settled_bill, &settled_bill).iter().all(|pair| pair.compared == Compared::Stays));
    assert_eq!(compared(&settled_bill, &held_bill, "70-111"), Some(Compared::Differs));
    assert_eq!(compared(&held_bill, &settled_bill, "70-111"), Some(Compared::Differs));
}
