//! The sound projects.

use crate::ask::{files_below, starter};
use crate::project::{Spec, project};
use crate::text::{Dossier, defined};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A sound project, as text and cut into words.
pub(crate) struct Sound {
    pub name: String,
    pub files: Vec<(PathBuf, String)>,
    /// The files that are dossiers.
    pub dossiers: Vec<Dossier>,
    pub defined: BTreeSet<String>,
}

impl Sound {
    fn new(name: String, files: Vec<(PathBuf, String)>) -> Sound {
        let is_dossier = |path: &Path| path.extension().is_some_and(|extension| extension == "ron");
        let dossiers: Vec<Dossier> = files
            .iter()
            .filter(|(path, _)| is_dossier(path))
            .map(|(path, text)| Dossier::new(path.to_string_lossy().into_owned(), text.clone()))
            .collect();
        let defined = defined(&dossiers);
        Sound { name, files, dossiers, defined }
    }
}

/// Files of the program's own tables, of kinds of which the demo has none: a project may hold them as they are.
const TABLES: [&str; 6] = ["bend-radii", "gauges", "rivets", "stages", "surveys", "tolerances"];

/// The demo with a table of its own of every kind.
fn with_tables(top: &Path, demo: &[(PathBuf, String)]) -> Sound {
    let table = |name: &str| {
        let file = format!("{name}.ron");
        let text = fs::read_to_string(top.join("configs").join(&file)).expect("the table is there");
        (Path::new("shop").join("tables").join(file), text)
    };
    let mut files: Vec<(PathBuf, String)> = demo.iter().cloned().chain(TABLES.map(table)).collect();
    files.sort();
    Sound::new("demo with tables".to_owned(), files)
}

/// The demo, with its own table and with all, the starter and twenty made-up projects.
pub(crate) fn all() -> Vec<Sound> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let demo = files_below(&top.join("demo-airframe"));
    let tables = with_tables(top, &demo);
    let mut all =
        vec![Sound::new("demo-airframe".to_owned(), demo), tables, Sound::new("starter".to_owned(), starter())];
    let spec = Spec {
        modifications: 30,
        retrospective: 70,
        largest_cluster: 8,
        positions: 50,
        parts: 100,
        frames: 1,
        jigs: 1,
        airframes: 3,
        unrecorded: 2,
        by_window: 1,
    };
    all.extend((1..=20).map(|seed| Sound::new(format!("made up {seed}"), project(&spec, seed))));
    all
}
