//! The sound projects.

use crate::ask::{files_below, starter};
use crate::project::{Spec, project};
use crate::text::{Dossier, defined};
use std::collections::BTreeSet;
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

/// The demo, the starter and twenty made-up projects.
pub(crate) fn all() -> Vec<Sound> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-airframe");
    let mut all =
        vec![Sound::new("demo-airframe".to_owned(), files_below(&demo)), Sound::new("starter".to_owned(), starter())];
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
