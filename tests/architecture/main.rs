//! The order of the rooms, names that mean one thing, who may print, and what lies at the top of the repository.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms in the order in which arrows may point: a room uses rooms that come before it, and the common ones.
const ROOMS: &[&str] = &[
    "schema",
    "source",
    "quantity",
    "geometry",
    "model",
    "lower",
    "sheets",
    "metal",
    "prop",
    "graph",
    "history",
    "proof",
    "resolve",
    "metrology",
    "jig",
    "bill",
    "shop",
    "words",
    "check",
    "project",
    "layout",
    "answers",
    "drawing",
    "cli",
];
/// What every room may use.
const COMMON: &[&str] = &["ids", "finding", "codes"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder of the repository") {
        let path = entry.expect("an entry of the folder").path();
        if path.is_dir() {
            found.extend(rust_files(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The room of a file, and its text without comments and without its unit tests.
fn rooms() -> Vec<(String, PathBuf, String)> {
    let src = root().join("src");
    let files = rust_files(&src).into_iter().map(|path| {
        let below = path.strip_prefix(&src).expect("the file lies below src");
        let first = below.iter().next().expect("a path has a first part");
        let room = first.to_string_lossy().trim_end_matches(".rs").to_owned();
        let text = fs::read_to_string(&path).expect("a source file is text");
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        let lines = code.lines().map(|line| line.split("//").next().unwrap_or_default());
        let code = lines.collect::<Vec<_>>().join("\n");
        (room, path, code)
    });
    files.collect()
}

/// The rooms that a text names by `crate::room`.
fn named(code: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for rest in code.split("crate::").skip(1) {
        let group = rest.strip_prefix('{').and_then(|group| group.split('}').next());
        let paths = group.map_or_else(|| vec![rest], |group| group.split(',').collect());
        for path in paths {
            let name: String = path.trim().chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
            if !name.is_empty() {
                found.insert(name);
            }
        }
    }
    found
}

/// Why a file of a room may not name another; `None` if it may.
fn forbidden(room: &str, other: &str) -> Option<String> {
    if room == other || COMMON.contains(&other) && !COMMON.contains(&room) || matches!(room, "lib" | "main") {
        return None;
    }
    let place = |name: &str| ROOMS.iter().position(|room| *room == name);
    match (place(room), place(other)) {
        (Some(at), Some(of)) if of < at => None,
        (None, None) if COMMON.contains(&room) && COMMON.contains(&other) => None,
        _ => Some(format!("`{room}` may not use `{other}`")),
    }
}

#[test]
fn arrows_point_one_way() {
    let mut wrong = Vec::new();
    let mut seen = BTreeSet::new();
    for (room, path, code) in rooms() {
        seen.insert(room.clone());
        let faults = named(&code).into_iter().filter_map(|other| forbidden(&room, &other));
        wrong.extend(faults.map(|why| format!("{}: {why}", path.display())));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let known: BTreeSet<String> =
        ROOMS.iter().chain(COMMON).chain(&["lib", "main"]).map(|room| (*room).to_owned()).collect();
    assert_eq!(seen, known, "every file belongs to a room of the order, and every room is there");
}

#[test]
fn the_arrow_test_can_fail() {
    assert!(forbidden("model", "resolve").is_some());
    assert!(forbidden("resolve", "check").is_some());
    assert!(forbidden("finding", "model").is_some());
    assert!(forbidden("check", "resolve").is_none());
    let code = "use crate::{ids::Id, report};\nlet x = crate::cli::main();";
    assert_eq!(named(code), ["cli", "ids", "report"].map(str::to_owned).into());
}

/// The types that a text defines: structs, enums, traits and aliases, not what a trait leaves to its implementations.
fn types(code: &str) -> Vec<&str> {
    let defined = code.lines().filter_map(|line| {
        let mut words = line.split_whitespace().skip_while(|word| word.starts_with("pub") || word.ends_with(')'));
        let what = words.next()?;
        let alias = what == "type" && !line.starts_with(' ');
        let name = words.next().filter(|_| alias || ["struct", "enum", "trait"].contains(&what))?;
        name.split(|c: char| !c.is_ascii_alphanumeric()).next().filter(|name| !name.is_empty())
    });
    defined.collect()
}

/// Where types are defined, by their names.
type Homes<'a> = BTreeMap<&'a str, Vec<&'a str>>;

/// The types that have a name between them, unless it is that of a record as it is written and of what is made of it.
fn shared<'a>(homes: &'a Homes<'a>) -> Vec<&'a str> {
    let stages = |rooms: &[&str]| match rooms {
        ["schema", made] | [made, "schema"] => ["quantity", "geometry", "model"].contains(made),
        _ => false,
    };
    homes.iter().filter(|(_, rooms)| rooms.len() > 1 && !stages(rooms)).map(|(name, _)| *name).collect()
}

/// The pieces of a list between its commas, brackets taken whole.
fn pieces(list: &str) -> Vec<String> {
    let (mut found, mut depth, mut before) = (vec![String::new()], 0, ' ');
    for c in list.chars() {
        depth += match c {
            '(' | '[' | '{' | '<' => 1,
            ')' | ']' | '}' => -1,
            '>' if before != '-' && before != '=' => -1,
            _ => 0,
        };
        before = c;
        match found.last_mut() {
            Some(piece) if c != ',' || depth > 0 => piece.push(c),
            _ => found.push(String::new()),
        }
    }
    found.retain(|piece| !piece.trim().is_empty());
    found
}

/// What stands in the first round brackets of a text.
fn in_brackets(text: &str) -> &str {
    let mut depth = 0;
    let end = text.find(|c| {
        depth += match c {
            '(' => 1,
            ')' => -1,
            _ => 0,
        };
        c == ')' && depth == 0
    });
    let inside = text.find('(').and_then(|start| text.get(start + 1..end?));
    inside.unwrap_or_default()
}

/// The functions of a text with a parameter that is a tuple without a name.
fn with_tuples(code: &str) -> Vec<&str> {
    let mut found = Vec::new();
    for rest in code.split("fn ").skip(1) {
        let name = rest.split(|c: char| !c.is_ascii_alphanumeric() && c != '_').next().unwrap_or_default();
        let mut rest = rest.strip_prefix(name).unwrap_or_default();
        if let Some(generic) = rest.strip_prefix('<') {
            // The parameters come behind the bracket that closes; an arrow closes none.
            let (mut depth, mut before) = (1, ' ');
            let end = generic.find(|c| {
                depth += i32::from(c == '<') - i32::from(c == '>' && before != '-');
                before = c;
                depth == 0
            });
            rest = end.and_then(|end| generic.get(end + 1..)).unwrap_or_default();
        }
        if name.is_empty() || !rest.starts_with('(') {
            continue;
        }
        let is_tuple = |parameter: &String| {
            let kind = parameter.rsplit_once("): ").or_else(|| parameter.split_once(": ")).map_or("", |(_, kind)| kind);
            let kind = kind.trim_start_matches('&').trim_start_matches("mut ");
            kind.starts_with('(') && pieces(in_brackets(kind)).len() > 1
        };
        if pieces(in_brackets(rest)).iter().any(is_tuple) {
            found.push(name);
        }
    }
    found
}

#[test]
fn a_name_of_a_type_means_one_thing() {
    let rooms = rooms();
    let mut homes = Homes::new();
    for (room, _, code) in &rooms {
        for name in types(code) {
            homes.entry(name).or_default().push(room);
        }
    }
    assert!(homes.len() > 400, "the types are found: {}", homes.len());
    let shared = shared(&homes);
    let lines = shared.iter().map(|name| format!("`{name}` is defined in {}", homes[name].join(", ")));
    assert!(shared.is_empty(), "give each its own name:\n{}", lines.collect::<Vec<_>>().join("\n"));
}

#[test]
fn the_test_of_names_can_fail() {
    let code = "pub(in crate::cli) struct Part<'a> {\npub enum Kind {\n    type Item = u8;\ntype Row = (u8, u8);\ntrait Verb {";
    assert_eq!(types(code), ["Part", "Kind", "Row", "Verb"]);
    let twice = |rooms: &[&'static str]| Homes::from([("Part", rooms.to_vec()), ("Kind", vec!["source"])]);
    assert_eq!(shared(&twice(&["cli", "model"])), ["Part"]);
    assert_eq!(shared(&twice(&["schema", "schema"])), ["Part"]);
    assert_eq!(shared(&twice(&["cli", "model", "schema"])), ["Part"]);
    assert!(shared(&twice(&["model", "schema"])).is_empty());
}

#[test]
fn parameters_have_names() {
    let rooms = rooms();
    let found = rooms
        .iter()
        .flat_map(|(_, path, code)| with_tuples(code).into_iter().map(|name| format!("{}: `{name}`", path.display())));
    let found: Vec<String> = found.collect();
    assert!(found.is_empty(), "these take a tuple: give each piece a name, or all a struct\n{}", found.join("\n"));
}

#[test]
fn the_test_of_parameters_can_fail() {
    let code = "fn one(&self, (a, b): (u8, u8)) {}\nfn two<F: Fn(u8) -> u8>(\n    of: F,\n    pair: &(u8, u8),\n) {}
        fn three(pair: Point, (x, y): Point, with: impl Fn(u8, u8) -> (u8, u8), list: &[(u8, u8)], none: ()) -> (u8, u8) {}";
    assert_eq!(with_tuples(code), ["one", "two"]);
}

#[test]
fn only_the_command_line_knows_of_streams_clock_and_environment() {
    let only_cli =
        ["println!", "eprintln!", "print!(", "std::env", "std::io::std", "SystemTime", "Instant::now", "Zoned::now"];
    for (room, path, code) in rooms() {
        for word in only_cli {
            let allowed = room == "cli" || !code.contains(word);
            assert!(allowed, "{}: `{word}` belongs to the command line", path.display());
        }
        let touches = code.contains("std::fs") || code.contains("read_dir");
        let may = room == "source" || path.ends_with("cli/writing.rs");
        assert!(!touches || may, "{}: files are read in `source` and written in `cli::writing`", path.display());
    }
}

#[test]
fn the_top_of_the_repository_holds_only_what_belongs_there() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "configs",
        "tests",
        "demo-airframe",
        "target",
    ];
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(name.starts_with('.') || allowed.contains(&name.as_str()), "`{name}` does not belong at the top");
    }
}

#[test]
fn developers_map_names_every_room_and_dependency() {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    for room in ROOMS.iter().chain(COMMON) {
        assert!(text.contains(&format!("`{room}`")), "DEVELOPERS.md says nothing of `{room}`");
    }
    let cargo = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let mut section = "";
    for line in cargo.lines() {
        if line.starts_with('[') {
            section = line;
        } else if section.contains("dependencies")
            && let Some((name, _)) = line.split_once(" = ")
        {
            assert!(text.contains(&format!("`{name}`")), "DEVELOPERS.md does not say why `{name}` is there");
        }
    }
}

#[test]
fn every_code_is_listed_once_and_in_order() {
    let codes: Vec<&str> = modstate::codes::all().map(|code| code.entry().code).collect();
    let unique: BTreeSet<&&str> = codes.iter().collect();
    assert_eq!(unique.len(), codes.len(), "each code is given once");
    for code in modstate::codes::all() {
        let entry = code.entry();
        let (letter, number) = entry.code.split_at(1);
        assert!("RDCTS".contains(letter) && number.len() == 3 && number.parse::<u16>().is_ok(), "{}", entry.code);
        for text in [entry.title, entry.meaning, entry.example, entry.remedy] {
            assert!(!text.trim().is_empty(), "{} leaves something out", entry.code);
        }
        assert!(entry.meaning.ends_with('.') && entry.remedy.ends_with('.'), "{} wants whole sentences", entry.code);
    }
}
