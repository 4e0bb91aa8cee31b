//! Which drawing issue applies.

use crate::{Project, at};
use modstate::history::condition_expr;
use modstate::model::Condition;
use modstate::resolve::{Basis, IssueView, Limits};

/// A part with these issues, fitted under the condition on an airframe built 1940-06-01 with these claims.
fn issues(issues: &str, when: &str, claims: &str, view: IssueView) -> Vec<String> {
    let text = format!(
        "[
            Type(name: \"T\", airframe: \"P0\"), SerialBlock(serials: \"X1..X9\", factory: \"W\"),
            Part(number: \"P0\", description: \"All\", source: Made),
            Part(number: \"P1\", description: \"One\", drawing: \"P1\", source: Made),
            Drawing(number: \"P1\", title: \"One\", issues: [{issues}]),
            Assembly(part: \"P0\", positions: [(
                find: \"1\", candidates: [(part: \"P1\", when: {when})], nothing_when: Not({when}),
            )]),
            Modification(number: \"M1\", title: \"One\", retrospective: (leaflet_date: \"1942-01-01\")),
            Modification(number: \"M2\", title: \"Two\", retrospective: (leaflet_date: \"1942-01-01\")),
            Airframe(serial: \"X1\", built: \"1940-06-01\"),
            Evidence(airframe: \"X1\", id: \"E\", kind: \"Card\", reference: \"card\", grade: A),
            {claims}
        ]"
    );
    let project = Project::of(&text);
    let mut resolver = project.resolver("X1", at("1950-01-01"), Limits::default());
    let part = project.model.parts.id("P1").expect("it is in the text");
    let position = project.model.positions.id("P0/1").expect("it is in the text");
    let condition: &Condition = &project.model.positions[position].candidates[0].when;
    let fitted = condition_expr(condition, &resolver.history().airframe().serial);
    let found = resolver.issues(part, &fitted, view, Basis::Firm).expect("no limit is met");
    let drawing = &project.model.drawings[project.model.parts[part].drawing.expect("it has one")];
    found
        .into_iter()
        .map(|possible| possible.issue.map_or("none".to_owned(), |issue| drawing.issues[issue].issue.clone()))
        .collect()
}

const PLAIN: &str = "(issue: \"A\", date: \"1938-01-01\"), (issue: \"B\", date: \"1943-01-01\")";
const ALWAYS: &str = "All([])";

fn claim(says: &str, when: &str) -> String {
    let id = says.replace('"', "'");
    format!(
        "Claim(airframe: \"X1\", id: \"{id} {when}\", says: {says}, when: \"{when}\", rests_on: [\"E\"],
            standing: Firm),"
    )
}

#[test]
fn an_issue_without_a_modification_does_not_reach_what_was_built_before_it() {
    assert_eq!(issues(PLAIN, ALWAYS, "", IssueView::AsFitted), ["A"]);
    assert_eq!(issues(PLAIN, ALWAYS, "", IssueView::ToMake), ["B"]);
}

#[test]
fn a_variant_fitted_since_is_to_the_later_issue() {
    let early = claim("Embodied(\"M1\")", "1942-05-01");
    let late = claim("Embodied(\"M1\")", "1944-05-01");
    let vague = claim("Embodied(\"M1\")", "1942-05-01..1944-05-01");
    let same_day = claim("Embodied(\"M1\")", "1943-01-01");
    for (claims, expected) in [(early, vec!["A"]), (late, vec!["B"]), (vague, vec!["A", "B"]), (same_day, vec!["A"])] {
        assert_eq!(issues(PLAIN, "Post(\"M1\")", &claims, IssueView::AsFitted), expected, "{claims}");
        assert_eq!(issues(PLAIN, "Post(\"M1\")", &claims, IssueView::ToMake), ["B"], "{claims}");
    }
}

#[test]
fn an_open_variant_has_the_issues_of_the_histories_that_fit_it() {
    assert_eq!(issues(PLAIN, "Post(\"M1\")", "", IssueView::AsFitted), ["A", "B"]);
    let not_early = claim("NotEmbodied(\"M1\")", "1943-06-01");
    assert_eq!(issues(PLAIN, "Post(\"M1\")", &not_early, IssueView::AsFitted), ["B"]);
    let never = claim("NotEmbodied(\"M1\")", "1950-01-01");
    assert_eq!(issues(PLAIN, "Post(\"M1\")", &never, IssueView::AsFitted), Vec::<String>::new());
}

#[test]
fn a_raised_issue_applies_where_its_modification_is_in() {
    let raised = format!("{PLAIN}, (issue: \"C\", date: \"1943-03-01\", raised_by: \"M2\")");
    let post = claim("Embodied(\"M2\")", "1945-01-01");
    let pre = claim("NotEmbodied(\"M2\")", "1950-01-01");
    for (claims, fitted, to_make) in
        [(post.as_str(), vec!["C"], vec!["C"]), (&pre, vec!["A"], vec!["B"]), ("", vec!["A", "C"], vec!["B", "C"])]
    {
        assert_eq!(issues(&raised, ALWAYS, claims, IssueView::AsFitted), fitted, "{claims}");
        assert_eq!(issues(&raised, ALWAYS, claims, IssueView::ToMake), to_make, "{claims}");
    }
}

#[test]
fn two_days_of_one_history_are_asked_about_together() {
    let three = "(issue: \"A\", date: \"1938-01-01\"), (issue: \"B\", date: \"1943-01-01\"),
        (issue: \"C\", date: \"1943-06-01\")";
    assert_eq!(issues(three, "Post(\"M1\")", "", IssueView::AsFitted), ["A", "B", "C"]);
    // M1 is not known on either day, but it went in on neither of the days between them.
    let out = claim("NotEmbodied(\"M1\")", "1943-01-01") + &claim("Embodied(\"M1\")", "1943-03-01");
    assert_eq!(issues(three, "Post(\"M1\")", &out, IssueView::AsFitted), ["B"]);
    // M2 requires nothing, but is taken out when M1 goes in: one of them is seen on each of the two days.
    let either = claim("SeenPart(\"P0/1\", \"P1\")", "1943-01-01") + &claim("SeenPart(\"P0/1\", \"P1\")", "1943-06-01");
    let any = "Any([Post(\"M1\"), Post(\"M2\")])";
    assert_eq!(issues(three, any, &either, IssueView::AsFitted), ["A"]);
}

#[test]
fn an_issue_dated_to_a_year_is_open_for_what_was_fitted_in_that_year() {
    let by_year = "(issue: \"A\", date: \"1938\"), (issue: \"B\", date: \"1943\")";
    for (when, expected) in [("1942-12-31", vec!["A"]), ("1943-06-01", vec!["A", "B"]), ("1944-01-01", vec!["B"])] {
        let claims = claim("Embodied(\"M1\")", when);
        assert_eq!(issues(by_year, "Post(\"M1\")", &claims, IssueView::AsFitted), expected, "{when}");
    }
}

#[test]
fn no_issue_of_the_register_may_apply() {
    let late = "(issue: \"A\", date: \"1945-01-01\")";
    assert_eq!(issues(late, ALWAYS, "", IssueView::AsFitted), ["none"]);
    assert_eq!(issues(late, ALWAYS, "", IssueView::ToMake), ["A"]);
}
