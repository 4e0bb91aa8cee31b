//! Reasons in words.

use super::{Project, demo_texts, project};
use modstate::history::is_in;
use modstate::resolve::{Basis, Limits, Resolver, Target, Truth};
use modstate::words;
use std::fmt::Write as _;

/// The reason for each modification in a named build state, in short and as a chain.
fn reasons(project: &Project, serial: &str, state: &str, names: &[&str]) -> String {
    let model = &project.model;
    let airframe = model.airframes.id(serial).expect("the demo has the airframe");
    let states = &model.airframes[airframe].build_states;
    let state = states.id(state).expect("the demo has the build state");
    let target = Target { day: states[state].date, build_state: Some(state) };
    let mut resolver =
        Resolver::new(model, &project.graph, airframe, target, Limits::default()).expect("it was built by then");
    let mut text = String::new();
    for name in names {
        let m = model.mods.id(name).expect("the demo has the modification");
        let answer = resolver.modification(m, Basis::Held);
        let short = words::short_reason(&resolver, m, &answer, Basis::Held);
        let since = answer.since.map_or_else(String::new, |since| format!(" {}", words::since_text(since)));
        writeln!(text, "{name}: {}{since} | {short}", words::truth_word(answer.embodied)).expect("a string");
        let expr = if answer.embodied == Truth::Never { !is_in(m, None) } else { is_in(m, None) };
        for grounds in resolver.why(&expr, Basis::Held) {
            for step in words::chain(&grounds.reasons, resolver.history(), target) {
                writeln!(text, "  {} [{}]", step.text, step.label).expect("a string");
                for (_, also) in step.also {
                    writeln!(text, "      {also}").expect("a string");
                }
            }
        }
    }
    text
}

#[test]
fn each_kind_of_reason_reads_as_a_sentence() {
    let project = project(demo_texts());
    let said = [
        reasons(&project, "7C537", "as last flown", &["TM003", "TM004", "TM033", "TM046", "TM059", "TM063", "TM112"]),
        reasons(&project, "7C537", "rebuild", &["TM110"]),
        reasons(&project, "4T214", "as found", &["TM048", "TM052", "TM061", "TM066", "TM118", "TM055", "TM003"]),
        reasons(&project, "4T188", "as delivered", &["TM015", "TM126", "TM057", "TM108", "TM063"]),
    ];
    insta::assert_snapshot!(said.concat());
}
