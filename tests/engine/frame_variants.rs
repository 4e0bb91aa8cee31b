//! The variants of a frame against every state that the rules allow.

use crate::small::Dice;
use modstate::graph::Graph;
use modstate::ids::Id;
use modstate::lower::lower;
use modstate::quantity::{Config, Day};
use modstate::resolve::{Limits, Resolver, Target};
use modstate::source::read_texts;
use std::collections::BTreeSet;

const MODS: usize = 4;
const SEGMENTS: usize = 5;

/// A frame of some segments, each fitted after some modifications and before others, and rules between modifications.
struct Case {
    /// `(a, b)`: never both.
    excludes: Vec<(usize, usize)>,
    /// `(a, b)`: the first only with the second.
    requires: Vec<(usize, usize)>,
    /// Of each segment: what is to be in, and what is not.
    segments: Vec<(BTreeSet<usize>, BTreeSet<usize>)>,
}

impl Case {
    fn new(seed: u64) -> Case {
        let mut dice = Dice::new(seed);
        let pairs = (0..MODS).flat_map(|a| (a + 1..MODS).map(move |b| (a, b)));
        let (mut excludes, mut requires) = (Vec::new(), Vec::new());
        for pair in pairs {
            match dice.below(5) {
                0 => excludes.push(pair),
                1 => requires.push(pair),
                _ => {}
            }
        }
        let mut segments = Vec::new();
        for _ in 0..SEGMENTS {
            let (mut after, mut before) = (BTreeSet::new(), BTreeSet::new());
            for m in 0..MODS {
                match dice.below(4) {
                    0 => _ = after.insert(m),
                    1 => _ = before.insert(m),
                    _ => {}
                }
            }
            segments.push((after, before));
        }
        Case { excludes, requires, segments }
    }

    fn dossier(&self) -> String {
        let number = |m: &usize| format!("\"M{m}\"");
        let of = |pairs: &[(usize, usize)], m: usize| -> String {
            pairs.iter().filter(|(a, _)| *a == m).map(|(_, b)| number(b) + ",").collect()
        };
        let mods = (0..MODS).map(|m| {
            format!(
                "Modification(number: \"M{m}\", title: \"t\", excludes: [{}], requires: [{}],
                   retrospective: (leaflet_date: \"1946-01-01\")),",
                of(&self.excludes, m),
                of(&self.requires, m)
            )
        });
        let parts = (0..SEGMENTS).map(|n| format!("Part(number: \"S{n}\", description: \"d\", source: Made),"));
        let positions = self.segments.iter().enumerate().map(|(n, (after, before))| {
            let posts = after.iter().map(|m| format!("Post(\"M{m}\"),"));
            let pres = before.iter().map(|m| format!("Pre(\"M{m}\"),"));
            let when: String = posts.chain(pres).collect();
            format!(
                "(find: \"{n}\", candidates: [(part: \"S{n}\", when: All([{when}]))], nothing_when: Not(All([{when}]))),"
            )
        });
        let points = (0..SEGMENTS)
            .map(|n| format!("(name: \"P{n}\", at: Angle(\"{}deg\")),", 60 * n))
            .collect::<Vec<_>>()
            .concat();
        let segments = (0..SEGMENTS)
            .map(|n| format!("(part: \"S{n}\", from: \"P{n}\", to: \"P{}\"),", (n + 1) % SEGMENTS))
            .collect::<Vec<_>>()
            .concat();
        format!(
            "[Type(name: \"T\", airframe: \"TOP\"), Part(number: \"TOP\", description: \"d\", source: Made), {} {}
            SerialBlock(serials: \"1..9\", factory: \"F\"), Airframe(serial: \"1\", built: \"1945-01-01\"),
            Assembly(part: \"TOP\", positions: [{}]),
            Frame(name: \"F\", assembly: \"TOP\", station: \"1in\", girth: Circle(radius: \"30in\"),
                splice_points: [{points}], segments: [{segments}])]",
            parts.collect::<String>(),
            mods.collect::<String>(),
            positions.collect::<String>()
        )
    }

    /// The segments fitted in every state that the rules allow.
    fn expected(&self) -> BTreeSet<Vec<usize>> {
        let states = (0..1_u32 << MODS).map(|state| (0..MODS).filter(|m| state >> m & 1 == 1).collect::<BTreeSet<_>>());
        let lawful = states.filter(|state| {
            self.excludes.iter().all(|(a, b)| !(state.contains(a) && state.contains(b)))
                && self.requires.iter().all(|(a, b)| !state.contains(a) || state.contains(b))
        });
        let fitted = lawful.map(|state| {
            let here = |n: &usize| self.segments[*n].0.is_subset(&state) && self.segments[*n].1.is_disjoint(&state);
            (0..SEGMENTS).filter(here).collect()
        });
        fitted.collect()
    }
}

#[test]
fn rings_are_those_that_the_rules_allow() {
    let mut forbidden = 0;
    for seed in 0..200 {
        let case = Case::new(seed);
        let reading = read_texts(vec![("type.ron".into(), case.dossier())]);
        assert!(reading.findings.is_empty(), "{:?}", reading.findings);
        let (model, findings) = lower(&reading.records, &reading.lost, &Config::built_in());
        assert!(findings.is_empty(), "seed {seed}: {findings:?}");
        let graph = Graph::new(&model);
        let target = Target { day: Day(0), build_state: None };
        let resolver = Resolver::new(&model, &graph, Id::from_index(0), target, Limits::default()).unwrap();
        let variants = resolver.frame_variants(Id::from_index(0)).unwrap();
        let found: BTreeSet<Vec<usize>> = variants.iter().map(|variant| variant.segments.clone()).collect();
        assert_eq!(found.len(), variants.len(), "seed {seed}: no variant is listed twice");
        assert_eq!(found, case.expected(), "seed {seed}");
        let without_rules = Case { excludes: Vec::new(), requires: Vec::new(), ..case };
        forbidden += usize::from(without_rules.expected() != found);
    }
    assert!(forbidden > 50, "the rules rule out variants: {forbidden}");
}
