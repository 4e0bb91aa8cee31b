//! The order of the rooms, names that mean one thing, who may print, and what lies at the top of the repository.

use petgraph::algo::tarjan_scc;
use petgraph::graphmap::DiGraphMap;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use syn::visit::Visit;

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
    "book",
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

/// A source file: its room, where it lies, its text without comments and unit tests, and the same taken apart.
struct Source {
    room: String,
    path: PathBuf,
    code: String,
    /// The modules that lead to it, its own last: `["jig", "examine", "heights"]`.
    module: Vec<String>,
    parsed: syn::File,
}

fn sources() -> Vec<Source> {
    let src = root().join("src");
    let files = rust_files(&src).into_iter().map(|path| {
        let below = path.strip_prefix(&src).expect("the file lies below src").with_extension("");
        let mut module: Vec<String> = below.iter().map(|part| part.to_string_lossy().into_owned()).collect();
        if module.last().is_some_and(|last| last == "mod") {
            module.pop();
        }
        let text = fs::read_to_string(&path).expect("a source file is text");
        let parsed = syn::parse_file(&text).expect("a source file is Rust");
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        let lines = code.lines().map(|line| line.split("//").next().unwrap_or_default());
        let code = lines.collect::<Vec<_>>().join("\n");
        Source { room: module[0].clone(), path, code, module, parsed }
    });
    files.collect()
}

/// Gathers the paths that a file names: those of its `use` groups, however nested, and those in its code.
#[derive(Default)]
struct Paths {
    found: Vec<Vec<String>>,
}

impl Paths {
    fn of(file: &syn::File) -> Vec<Vec<String>> {
        let mut paths = Paths::default();
        paths.visit_file(file);
        paths.found
    }
    fn add_tree(&mut self, before: &[String], tree: &syn::UseTree) {
        let with = |ident: &syn::Ident| [before, &[ident.to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.add_tree(&with(&path.ident), &path.tree),
            syn::UseTree::Name(name) => self.found.push(with(&name.ident)),
            syn::UseTree::Rename(rename) => self.found.push(with(&rename.ident)),
            syn::UseTree::Glob(_) => self.found.push(before.to_vec()),
            syn::UseTree::Group(group) => group.items.iter().for_each(|tree| self.add_tree(before, tree)),
        }
    }
}

impl<'ast> Visit<'ast> for Paths {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if !item.attrs.iter().any(|attribute| attribute.path().is_ident("cfg")) {
            syn::visit::visit_item_mod(self, item);
        }
    }
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.add_tree(&[], &item.tree);
    }
    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.found.push(path.segments.iter().map(|segment| segment.ident.to_string()).collect());
        syn::visit::visit_path(self, path);
    }
    /// What stands in a macro is read as a row of words.
    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        let words = item.tokens.to_string().replace(" :: ", "::");
        let rooted = words.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':'));
        let paths = rooted.filter(|word| word.starts_with("crate::"));
        self.found.extend(paths.map(|path| path.split("::").map(str::to_owned).collect()));
    }
}

/// The rooms that a file names by `crate::room`.
fn named(file: &syn::File) -> BTreeSet<String> {
    let paths = Paths::of(file).into_iter().filter(|path| path[0] == "crate");
    paths.filter_map(|path| path.get(1).cloned()).collect()
}

/// The module that a path of a file leads into, as far as the modules are there.
fn reached(module: &[String], path: &[String], modules: &BTreeSet<Vec<String>>) -> Option<Vec<String>> {
    let ups = path.iter().take_while(|part| *part == "super").count();
    let whole: Vec<String> = match path[0].as_str() {
        "crate" => path[1..].to_vec(),
        "super" => [module.get(..module.len().checked_sub(ups)?)?, &path[ups..]].concat(),
        "self" => [module, &path[1..]].concat(),
        _ => [module, path].concat(),
    };
    (1..=whole.len()).rev().map(|end| whole[..end].to_vec()).find(|path| modules.contains(path))
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
    for Source { room, path, parsed, .. } in sources() {
        seen.insert(room.clone());
        let faults = named(&parsed).into_iter().filter_map(|other| forbidden(&room, &other));
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
    let code = "use crate::{ids::Id, a::{b::{C, D}, e}, answers};\nfn f() { crate::cli::main(); g!(crate::jig::X); }";
    let named = named(&syn::parse_file(code).unwrap());
    assert_eq!(named, ["a", "answers", "cli", "ids", "jig"].map(str::to_owned).into());
}

/// Which modules that lie side by side use each other, directly.
fn neighbours(sources: &[Source]) -> BTreeMap<Vec<String>, BTreeSet<Vec<String>>> {
    let modules: BTreeSet<Vec<String>> = sources.iter().map(|source| source.module.clone()).collect();
    let mut found: BTreeMap<Vec<String>, BTreeSet<Vec<String>>> = BTreeMap::new();
    for source in sources {
        for path in Paths::of(&source.parsed) {
            let Some(other) = reached(&source.module, &path, &modules) else { continue };
            let same = source.module.iter().zip(&other).take_while(|(a, b)| a == b).count();
            if same >= 1 && same < source.module.len() && same < other.len() {
                let at = |module: &[String]| module[..=same].to_vec();
                found.entry(at(&source.module)).or_default().insert(at(&other));
            }
        }
    }
    found
}

/// The groups of modules that reach each other.
fn circles(arrows: &BTreeMap<Vec<String>, BTreeSet<Vec<String>>>) -> Vec<Vec<String>> {
    let mut graph: DiGraphMap<_, ()> = DiGraphMap::new();
    for (from, to) in arrows.iter().flat_map(|(from, all)| all.iter().map(move |to| (from, to))) {
        graph.add_edge(from, to, ());
    }
    let circles = tarjan_scc(&graph).into_iter().filter(|circle| circle.len() > 1);
    circles.map(|circle| circle.into_iter().map(|module| module.join("::")).collect()).collect()
}

#[test]
fn no_modules_within_a_room_use_each_other_in_a_circle() {
    assert_eq!(circles(&neighbours(&sources())), Vec::<Vec<String>>::new());
    let [a, b, c] = ["a", "b", "c"].map(|name| vec!["room".to_owned(), name.to_owned()]);
    let round = [(a.clone(), [b.clone()].into()), (b, [c.clone()].into()), (c, [a].into())];
    assert_eq!(circles(&round.into())[0].len(), 3, "this test can fail");
}

/// What a file defines: its types (structs, enums, traits and aliases), and its functions with a parameter that is a tuple
/// without a name.
#[derive(Default)]
struct Defined {
    types: Vec<String>,
    with_tuples: Vec<String>,
}

impl Defined {
    fn of(file: &syn::File) -> Defined {
        let mut defined = Defined::default();
        defined.visit_file(file);
        defined
    }
    fn take(&mut self, function: &syn::Signature) {
        let is_tuple = |mut of: &syn::Type| {
            while let syn::Type::Reference(reference) = of {
                of = &reference.elem;
            }
            matches!(of, syn::Type::Tuple(tuple) if tuple.elems.len() > 1)
        };
        let typed =
            function.inputs.iter().any(|input| matches!(input, syn::FnArg::Typed(typed) if is_tuple(&typed.ty)));
        if typed {
            self.with_tuples.push(function.ident.to_string());
        }
    }
}

impl<'ast> Visit<'ast> for Defined {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if !item.attrs.iter().any(|attribute| attribute.path().is_ident("cfg")) {
            syn::visit::visit_item_mod(self, item);
        }
    }
    fn visit_item_struct(&mut self, item: &'ast syn::ItemStruct) {
        self.types.push(item.ident.to_string());
    }
    fn visit_item_enum(&mut self, item: &'ast syn::ItemEnum) {
        self.types.push(item.ident.to_string());
    }
    fn visit_item_trait(&mut self, item: &'ast syn::ItemTrait) {
        self.types.push(item.ident.to_string());
        syn::visit::visit_item_trait(self, item);
    }
    fn visit_item_type(&mut self, item: &'ast syn::ItemType) {
        self.types.push(item.ident.to_string());
    }
    fn visit_signature(&mut self, function: &'ast syn::Signature) {
        self.take(function);
    }
    /// The shapes of records are structs and enums within a macro.
    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        let words: Vec<String> = item.tokens.clone().into_iter().map(|token| token.to_string()).collect();
        let named = words.windows(2).filter(|pair| pair[0] == "struct" || pair[0] == "enum");
        self.types.extend(named.map(|pair| pair[1].clone()));
    }
}

/// Where types are defined, by their names.
type Homes = BTreeMap<String, Vec<String>>;

/// The names that several types have, unless it is that of a record as it is written and of what is made of it.
fn shared(homes: &Homes) -> Vec<&str> {
    let stages = |rooms: &[String]| {
        let made = rooms.iter().filter(|room| *room != "schema").collect::<Vec<_>>();
        rooms.len() == 2 && matches!(made[..], [made] if ["quantity", "geometry", "model"].contains(&made.as_str()))
    };
    homes.iter().filter(|(_, rooms)| rooms.len() > 1 && !stages(rooms)).map(|(name, _)| name.as_str()).collect()
}

#[test]
fn a_name_of_a_type_means_one_thing() {
    let mut homes = Homes::new();
    for Source { room, parsed, .. } in sources() {
        for name in Defined::of(&parsed).types {
            homes.entry(name).or_default().push(room.clone());
        }
    }
    assert!(homes.len() > 400 && homes["Part"] == ["model", "schema"], "the types are found: {}", homes.len());
    let shared = shared(&homes);
    let lines = shared.iter().map(|name| format!("`{name}` is defined in {}", homes[*name].join(", ")));
    assert!(shared.is_empty(), "give each its own name:\n{}", lines.collect::<Vec<_>>().join("\n"));
}

#[test]
fn parameters_have_names() {
    let of = |source: &Source| {
        let found = Defined::of(&source.parsed).with_tuples;
        found.into_iter().map(|name| format!("{}: `{name}`", source.path.display())).collect::<Vec<_>>()
    };
    let found: Vec<String> = sources().iter().flat_map(of).collect();
    assert!(found.is_empty(), "name the parameters of\n{}", found.join("\n"));
}

#[test]
fn the_tests_of_names_can_fail() {
    let code = "pub(crate) struct Part<'a>(&'a u8); shape! { pub struct Hole { a: u8 } } trait Verb { fn f(&self, (a, b): (u8, u8)); } \
                fn g(pair: &(u8, u8)) {} fn h(one: u8) {}";
    let defined = Defined::of(&syn::parse_file(code).unwrap());
    assert_eq!((defined.types, defined.with_tuples), (to_owned(&["Part", "Hole", "Verb"]), to_owned(&["f", "g"])));
    let twice = |rooms: &[&str]| Homes::from([("Part".to_owned(), to_owned(rooms))]);
    assert_eq!(shared(&twice(&["cli", "model"])), ["Part"]);
    assert_eq!(shared(&twice(&["schema", "schema"])), ["Part"]);
    assert_eq!(shared(&twice(&["cli", "model", "schema"])), ["Part"]);
    assert!(shared(&twice(&["model", "schema"])).is_empty());
}

fn to_owned(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

/// The functions of a text that is laid out by rustfmt, each with how many lines it takes.
fn functions(text: &str) -> Vec<(&str, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let length = |at: usize| {
        let (line, rest) = (lines[at], lines[at..].iter());
        let indent = line.chars().take_while(|c| *c == ' ').count();
        let is_end = |line: &&str| line.trim_start_matches(' ') == "}" && line.len() == indent + 1;
        let name = line.trim().split("fn ").nth(1).filter(|_| !line.trim_start().starts_with("//"))?;
        let name = name.split(|c: char| !(c.is_alphanumeric() || c == '_')).next()?;
        let lines = rest.clone().position(is_end).filter(|_| !line.ends_with(';'))?;
        Some((name, lines + 1))
    };
    (0..lines.len()).filter_map(length).collect()
}

/// Past 60 lines a function may hold a second idea, past 500 a file a second file. How many do must not grow.
#[test]
#[expect(clippy::print_stdout, reason = "the figures are read with --nocapture")]
fn the_house_in_figures() {
    const LONG_FUNCTIONS: usize = 24;
    const LONG_FILES: usize = 11;
    let mut rooms: BTreeMap<String, usize> = BTreeMap::new();
    let (mut files, mut long) = (Vec::new(), Vec::new());
    for Source { room, path, .. } in sources() {
        let text = fs::read_to_string(&path).expect("a source file is text");
        let count = text.lines().count();
        *rooms.entry(room).or_default() += count;
        files.extend((count > 500).then(|| format!("{count} {}", path.display())));
        let functions = functions(&text).into_iter().filter(|(_, lines)| *lines > 60);
        long.extend(functions.map(|(name, lines)| format!("{lines} {}: {name}", path.display())));
    }
    for (room, count) in &rooms {
        println!("{count:6} {room}");
    }
    println!("{:6} lines in all", rooms.values().sum::<usize>());
    println!("{} files over 500 lines:\n{}", files.len(), files.join("\n"));
    println!("{} functions over 60 lines:\n{}", long.len(), long.join("\n"));
    assert!(files.len() <= LONG_FILES && long.len() <= LONG_FUNCTIONS, "split what grew");
    let code = "impl A {\n    fn a(\n        b: u8,\n    ) {\n        if b {\n        }\n    }\n}\nfn c() {\n}\n";
    assert_eq!(functions(code), [("a", 6), ("c", 2)], "lines are counted");
}

#[test]
fn only_the_command_line_knows_of_streams_clock_and_environment() {
    let only_cli =
        ["println!", "eprintln!", "print!(", "std::env", "std::io::std", "SystemTime", "Instant::now", "Zoned::now"];
    for Source { room, path, code, .. } in sources() {
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
        let (subject, number) = entry.code.split_once('-').expect("a code is a word and a number");
        assert!(subject.bytes().all(|byte| byte.is_ascii_lowercase()), "{}", entry.code);
        assert!(number.len() == 3 && number.parse::<u16>().is_ok(), "{}", entry.code);
        for text in [entry.title, entry.meaning, entry.example, entry.remedy] {
            assert!(!text.trim().is_empty(), "{} leaves something out", entry.code);
        }
        assert!(entry.meaning.ends_with('.') && entry.remedy.ends_with('.'), "{} wants whole sentences", entry.code);
    }
}
