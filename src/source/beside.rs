//! Files of a project folder that are no dossiers: measured holes, scans, photographs.

use super::{Contents, read_bytes};
use std::path::{Component, Path, PathBuf};

/// Where such files are found, by their path below the project folder.
pub(super) trait OtherFiles {
    /// What stands in one.
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, String>;
    /// Whether it is there, as a file.
    fn is_there(&self, path: &Path) -> bool;
}

/// A project folder on disk.
pub(super) struct Disk<'a>(pub(super) &'a Path);

impl OtherFiles for Disk<'_> {
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, String> {
        read_bytes(&self.0.join(path))
    }
    fn is_there(&self, path: &Path) -> bool {
        self.0.join(path).is_file()
    }
}

/// Files from memory.
pub(super) struct Memory<'a>(pub(super) &'a [Contents]);

impl OtherFiles for Memory<'_> {
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, String> {
        let file = self.0.iter().find(|(other, _)| other == path);
        file.map_or_else(|| Err("no such file or directory".to_owned()), |(_, bytes)| bytes.clone())
    }
    fn is_there(&self, path: &Path) -> bool {
        self.0.iter().any(|(other, _)| other == path)
    }
}

/// The path below the project folder, if that is where it leads.
pub(super) fn below(name: &str) -> Option<PathBuf> {
    let path = Path::new(name);
    let plain = |part: Component<'_>| match part {
        Component::Normal(part) => Some(PathBuf::from(part)),
        Component::CurDir => Some(PathBuf::new()),
        Component::Prefix(_) | Component::RootDir | Component::ParentDir => None,
    };
    let parts: Option<Vec<PathBuf>> = path.components().map(plain).collect();
    let path: PathBuf = parts?.iter().filter(|part| !part.as_os_str().is_empty()).collect();
    (!path.as_os_str().is_empty()).then_some(path)
}
