//! Small projects that were once answered wrongly, each by one slip or one record that cannot be read.

use modstate::check::CheckScope;
use modstate::graph::Graph;
use modstate::history::{Supposition, suppose};
use modstate::ids::{Id, ModId};
use modstate::model::{Model, Statement};
use modstate::project::Project;
use modstate::prop::Limit;
use modstate::quantity::{Day, Window};
use modstate::resolve::{Basis, Fitted, Limits, Reason, Resolver, Rule, Target, Truth};

/// 1970-02-01.
const TARGET: Day = Day(31);
const NOT_READ: Truth = Truth::Undecided(Limit::NotRead);

/// A type of one position, with two modifications and one airframe; these are its records but for claims.
const TYPE: &str = r#"Type(name: "T", airframe: "65-6600"),"#;
const BLOCK: &str = r#"SerialBlock(serials: "X1..X30", factory: "F"),"#;
const PARTS: &str = r#"Part(number: "10-1100", description: "d", source: Made),
    Part(number: "21-2200", description: "d", source: Made),
    Part(number: "65-6600", description: "d", source: Made),"#;
const ASSEMBLY: &str = r#"Assembly(part: "65-6600", positions: [(find: "10", candidates: [
    (part: "10-1100", when: Post("CD202")), (part: "21-2200", when: Pre("CD202"))])]),"#;
const ON_THE_LINE: &str = r#"Modification(number: "AB101", title: "t", production: (ranges: ["X1..X30"])),"#;
const AFTERWARDS: &str = r#"Modification(number: "CD202", title: "t", retrospective: (leaflet_date: "1969-01-01")),"#;
const EVIDENCE: &str = r#"Evidence(airframe: "X5", id: "E0", kind: "card", reference: "r", grade: A),"#;

fn project(of_type: &[&str], of_airframe: &[&str]) -> Project {
    let file = |records: &[&str]| format!("[{}]", records.join("\n"));
    Project::from_texts(vec![("type.ron".into(), file(of_type)), ("airframes/X5.ron".into(), file(of_airframe))])
}

fn built(when: &str) -> String {
    format!("Airframe(serial: \"X5\", built: \"{when}\"),")
}

fn claim(id: &str, says: &str, when: &str, standing: &str) -> String {
    let claim = format!("Claim(airframe: \"X5\", id: \"{id}\", says: {says}, when: \"{when}\", ");
    claim + &format!("rests_on: [\"E0\"], standing: {standing}),")
}

fn asked<'m>(model: &'m Model, graph: &'m Graph) -> Resolver<'m> {
    let airframe = model.airframes.id("X5").unwrap();
    Resolver::new(model, graph, airframe, Target { day: TARGET, build_state: None }, Limits::default()).unwrap()
}

/// Whether a modification is in, on both bases.
fn embodied(project: &Project, name: &str) -> [Truth; 2] {
    let graph = Graph::new(&project.model);
    let mut resolver = asked(&project.model, &graph);
    let m = project.model.mods.id(name).unwrap();
    [Basis::Firm, Basis::Held].map(|basis| resolver.modification(m, basis).embodied)
}

/// What is said of a position under the firm claims; nothing at all, if it is not in the model and something was lost of
/// the assembly.
fn outcomes(project: &Project, assembly: &str, find: &str) -> Vec<(Option<Fitted>, Truth)> {
    let graph = Graph::new(&project.model);
    let mut resolver = asked(&project.model, &graph);
    let Some(position) = project.model.positions.id(&format!("{assembly}/{find}")) else {
        let assembly = project.model.parts.id(assembly).unwrap();
        assert!(
            !resolver.history().not_read_inside(assembly).is_empty(),
            "the assembly is whole, but has no such place"
        );
        return Vec::new();
    };
    resolver.outcomes(position, Basis::Firm).into_iter().map(|outcome| (outcome.fitted, outcome.truth)).collect()
}

/// The build date is open, and a claim rules out its first day. Two forms of the line that a group forbids together from
/// the third day on could both be taken out in time, were it not that what is in stays in: that belongs to the reason.
#[test]
fn a_reason_that_leans_on_the_build_date_says_what_stays_in() {
    let other = r#"Modification(number: "GH404", title: "t", production: (ranges: ["X1..X30"])),"#;
    let group = r#"OneOf(name: "g", modifications: ["AB101", "GH404"], introduced: "1970-01-12"),"#;
    let not_on_first = claim("C0", "NotEmbodied(\"AB101\")", "1970-01-10", "Firm");
    let project = project(
        &[TYPE, BLOCK, PARTS, ON_THE_LINE, other, group],
        &[&built("1970-01-10..1970-01-12"), EVIDENCE, &not_on_first],
    );
    let graph = Graph::new(&project.model);
    let resolver = asked(&project.model, &graph);
    let sets: Vec<Vec<Reason>> = resolver.contradictions().into_iter().flat_map(|found| found.sets).collect();
    assert!(!sets.is_empty(), "the group is broken");
    for set in sets {
        let stays = [0, 1].map(|m| set.contains(&Reason::Rule(Rule::Stays(ModId::from_index(m)))));
        assert!(stays.contains(&true), "{set:?} alone can hold");
    }
}

/// No modification is left in the model.
#[test]
fn where_every_modification_is_lost_something_is_lost() {
    let lost = AFTERWARDS.replace("number:", "numbr:");
    let project = project(&[TYPE, BLOCK, PARTS, ASSEMBLY, &lost], &[&built("1970-01-10")]);
    let told = outcomes(&project, "65-6600", "10");
    assert!(told.iter().all(|(fitted, truth)| fitted.is_none() || *truth == NOT_READ), "{told:?}");
}

/// Both candidates of the position hang on the lost modification; that is no gap.
#[test]
fn a_position_that_lost_every_candidate_has_no_gap() {
    let lost = AFTERWARDS.replace("number:", "numbr:");
    let project = project(&[TYPE, BLOCK, PARTS, ASSEMBLY, ON_THE_LINE, &lost], &[&built("1970-01-10")]);
    let told = outcomes(&project, "65-6600", "10");
    assert!(told.contains(&(Some(Fitted::Gap), NOT_READ)), "{told:?}");
}

/// The first claim says that the airframe was built after the first day; so the second, which is doubtful, cannot hold.
#[test]
fn a_lost_claim_may_say_when_the_airframe_was_built() {
    let first = claim("C0", "NotEmbodied(\"AB101\")", "1970-01-10", "Firm");
    let second = claim("C1", "SeenPart(\"65-6600/10\", \"10-1100\")", "1970-01-10", "Doubtful");
    let of_type = [TYPE, BLOCK, PARTS, ASSEMBLY, ON_THE_LINE, AFTERWARDS];
    let built = built("1970-01-10..1970-01-12");
    let sound = project(&of_type, &[&built, EVIDENCE, &first, &second]);
    assert_eq!(embodied(&sound, "CD202"), [Truth::Open, Truth::Open]);
    let lost = first.replace("id:", "id");
    let slipped = project(&of_type, &[&built, EVIDENCE, &lost, &second]);
    assert_eq!(embodied(&slipped, "CD202"), [NOT_READ, NOT_READ]);
}

/// Nothing in the record tells what it is called, so it may be about anything.
#[test]
fn a_record_in_which_nothing_can_be_made_out_may_say_anything() {
    for blot in ["", "?????", "\u{FFFD}\u{FFFD}\u{FFFD}"] {
        let lost = format!("Assembly({blot}),");
        let project = project(&[TYPE, BLOCK, PARTS, &lost, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10")]);
        assert_eq!(outcomes(&project, "65-6600", "10"), []);
        let lost = format!("Modification({blot}),");
        let project = self::project(&[TYPE, BLOCK, PARTS, ON_THE_LINE, AFTERWARDS, &lost], &[&built("1970-01-10")]);
        assert_eq!(embodied(&project, "CD202"), [NOT_READ, NOT_READ], "`{blot}`");
    }
    // In the dossier of one airframe too, where it holds no claim that can be read.
    let project =
        project(&[TYPE, BLOCK, PARTS, ASSEMBLY, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10"), "?????(?????),"]);
    assert_eq!(embodied(&project, "CD202"), [NOT_READ, NOT_READ]);
}

/// It may be the record of the type, which says of what everything else is a part.
#[test]
fn a_record_without_a_head_may_be_of_a_kind_that_is_not_in_the_file() {
    let project = project(&["?????(?????),", BLOCK, PARTS, ASSEMBLY, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10")]);
    let told = outcomes(&project, "65-6600", "10");
    assert!(told.iter().all(|(_, truth)| *truth == NOT_READ), "{told:?}");
}

/// The condition that cannot be made out may be about any modification, and so may the claim that something was seen
/// there.
#[test]
fn what_was_seen_at_a_lost_position_may_hang_on_anything() {
    let lost = ASSEMBLY.replace("Post(\"CD202\")", "?????").replace("Pre(\"CD202\")", "Pre(\"AB101\")");
    let seen = claim("C0", "SeenPart(\"65-6600/10\", \"10-1100\")", "1970-01-20", "Firm");
    let project =
        project(&[TYPE, BLOCK, PARTS, &lost, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10"), EVIDENCE, &seen]);
    assert_eq!(embodied(&project, "CD202"), [NOT_READ, NOT_READ]);
}

/// One of the modifications that decide on the candidate that was seen is lost, and with it the candidate; so is the claim.
#[test]
fn what_was_seen_of_a_lost_candidate_may_hang_on_what_its_condition_names() {
    let assembly = ASSEMBLY.replace("Post(\"CD202\")", "All([Post(\"CD202\"), Post(\"GH404\")])");
    let seen = claim("C0", "SeenPart(\"65-6600/10\", \"10-1100\")", "1970-01-20", "Firm");
    let lost = r#"Modification(numbr: "GH404", title: "t", retrospective: (leaflet_date: "1969-01-01")),"#;
    let of_airframe = [built("1970-01-10"), EVIDENCE.to_owned(), seen];
    let of_airframe: Vec<&str> = of_airframe.iter().map(String::as_str).collect();
    let sound = lost.replace("numbr", "number");
    let sound = project(&[TYPE, BLOCK, PARTS, &assembly, AFTERWARDS, &sound], &of_airframe);
    assert_eq!(embodied(&sound, "CD202"), [Truth::Always, Truth::Always]);
    let slipped = project(&[TYPE, BLOCK, PARTS, &assembly, AFTERWARDS, lost], &of_airframe);
    assert_eq!(embodied(&slipped, "CD202"), [NOT_READ, NOT_READ]);
}

/// With the lost claim the records agree: it takes out what requires the other. Without it, the second removal breaks
/// the requirement; and the claim of the embodiment that follows on that would be blamed.
#[test]
fn records_that_a_lost_claim_may_reconcile_are_not_said_to_contradict_each_other() {
    let requiring =
        r#"Modification(number: "AB101", title: "t", requires: ["GH404"], production: (ranges: ["X1..X30"])),"#;
    let required = r#"Modification(number: "GH404", title: "t", production: (ranges: ["X1..X30"]),
        retrospective: (leaflet_date: "1969-01-01")),"#;
    let lost = claim("C0", "Removed(\"AB101\")", "1970-01-14", "Firm");
    let removed = claim("C1", "Removed(\"GH404\")", "1970-01-14", "Firm");
    let again = claim("C2", "Embodied(\"GH404\", Retrospective)", "1970-01-19..1970-01-24", "Firm");
    for (first, agrees) in [(lost.clone(), true), (lost.replace("id:", "id"), false)] {
        let project = project(
            &[TYPE, BLOCK, PARTS, requiring, required],
            &[&built("1970-01-10"), EVIDENCE, &first, &removed, &again],
        );
        let graph = Graph::new(&project.model);
        assert_eq!(asked(&project.model, &graph).is_consistent(Basis::Firm), agrees);
        let found = project.check_taken_in(&project.model, &graph, CheckScope::Whole);
        let told: Vec<&str> = found.iter().map(|finding| finding.message.as_str()).collect();
        assert_eq!(told, [""; 0]);
    }
}

/// A claim of an airframe that nobody knows, about a position of an assembly that could not be read.
#[test]
fn a_claim_about_what_is_lost_may_hang_on_what_that_names() {
    let lost = ASSEMBLY.replace("find:", "find");
    let seen = claim("C0", "SeenPart(\"65-6600/10\", \"10-1100\")", "1970-01-20", "Firm").replace("X5", "Y????");
    let project =
        project(&[TYPE, BLOCK, PARTS, &lost, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10"), EVIDENCE, &seen]);
    assert_eq!(embodied(&project, "CD202"), [NOT_READ, NOT_READ]);
}

/// On a British keyboard a quote is the capital of 2.
#[test]
fn a_name_with_another_character_in_the_place_of_its_quote_is_that_name() {
    let lost = ASSEMBLY.replacen("\"65-6600\"", "265-6600\"", 1);
    let project = project(&[TYPE, BLOCK, PARTS, &lost, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10")]);
    assert_eq!(outcomes(&project, "65-6600", "10"), []);
    let lost = ASSEMBLY.replacen("\"65-6600\"", "\"65-66002", 1);
    let project = self::project(&[TYPE, BLOCK, PARTS, &lost, ON_THE_LINE, AFTERWARDS], &[&built("1970-01-10")]);
    assert_eq!(outcomes(&project, "65-6600", "10"), []);
}

/// The lost one makes states of its own.
#[test]
fn states_are_not_counted_where_a_modification_is_lost() {
    let lost = r#"Modification(numbr: "GH404", title: "t", retrospective: (leaflet_date: "1969-01-01")),"#;
    let project = project(&[TYPE, BLOCK, PARTS, ASSEMBLY, ON_THE_LINE, AFTERWARDS, lost], &[&built("1970-01-10")]);
    let graph = Graph::new(&project.model);
    let counted = asked(&project.model, &graph).count_all(Basis::Firm);
    assert_eq!(counted, Err(Limit::NotRead));
}

/// With the claim withdrawn nothing is recorded of the modification, with another supposed there is; what is assumed of
/// unrecorded ones follows, as it would if the dossier were edited.
#[test]
fn what_is_supposed_is_recorded_and_what_is_withdrawn_is_not() {
    let recorded = claim("C0", "Embodied(\"CD202\")", "by 1970-01-20", "Firm");
    let assumption =
        r#"Assumption(airframe: "X5", id: "A1", assumes: UnrecordedNotEmbodied, when: "1970-02-01", reason: "r"),"#;
    let other = r#"Modification(number: "GH404", title: "t", retrospective: (leaflet_date: "1969-01-01")),"#;
    let of_type = [TYPE, BLOCK, PARTS, ASSEMBLY, ON_THE_LINE, AFTERWARDS, other];
    let supposing = |claims: &[&str], suppositions: &[Supposition]| {
        let mut project = project(&of_type, &[&[built("1970-01-10").as_str(), EVIDENCE, assumption], claims].concat());
        let airframe = project.model.airframes.id("X5").unwrap();
        suppose(&mut project.model, airframe, suppositions).unwrap();
        ["CD202", "GH404"].map(|name| embodied(&project, name))
    };
    let [always, never, open] = [Truth::Always, Truth::Never, Truth::Open];
    assert_eq!(supposing(&[&recorded], &[]), [[always, always], [open, never]]);
    let without = supposing(&[&recorded], &[Supposition::Without("C0".into())]);
    assert_eq!(without, supposing(&[], &[]));
    assert_eq!(without, [[open, never], [open, never]]);
    let by = Window::parse("by 1970-03-01").unwrap();
    let m = ModId::from_index(2);
    let that = supposing(&[&recorded], &[Supposition::That(Statement::Embodied(m, None), by)]);
    let written = claim("C1", "Embodied(\"GH404\")", "by 1970-03-01", "Firm");
    assert_eq!(that, supposing(&[&recorded, &written], &[]));
    assert_eq!(that, [[always, always], [open, open]]);
}
