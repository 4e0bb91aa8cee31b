//! Files that the program writes.
//!
//! Each is written beside its place under another name, whole and down to the disk, and then renamed: whenever a run
//! ends, the old file is there or the new one, and never a part of one. What a run that was cut short leaves behind has
//! a name that begins with a dot, so that no project reads it.

use super::Trouble;
use std::io::{self, Write};
use std::path::Path;
use tempfile::{Builder, NamedTempFile};

/// What becomes of a file that is there already.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Old {
    /// It is replaced.
    Replace,
    /// It is kept, and nothing is written.
    Keep,
}

/// Writes a file, or says why not.
pub(super) fn write(path: &Path, bytes: &[u8], old: Old) -> Result<(), Trouble> {
    written(path, old, |file| file.write_all(bytes)).map_err(|error| {
        let text = error.to_string().to_lowercase();
        Trouble::new(format!("`{}` cannot be written: {}", path.display(), plain(&text)))
            .help("name a file in a folder that is there and that you may write in; nothing was changed")
    })
}

/// Makes the folder that a file is to lie in, where it is missing.
pub(super) fn folder_for(path: &Path) -> Result<(), Trouble> {
    let folder = path.parent().unwrap_or(path);
    std::fs::create_dir_all(folder).map_err(|error| {
        let text = error.to_string().to_lowercase();
        Trouble::new(format!("`{}` cannot be made: {}", folder.display(), plain(&text))).help("name another file")
    })
}

/// Makes a folder and those above it; one that is there already must be empty.
pub(super) fn empty_folder(path: &Path) -> Result<(), Trouble> {
    let trouble = |error: &io::Error| {
        let text = error.to_string().to_lowercase();
        Trouble::new(format!("`{}` cannot be used: {}", path.display(), plain(&text))).help("name another folder")
    };
    std::fs::create_dir_all(path).map_err(|error| trouble(&error))?;
    let entries = path.read_dir().map_err(|error| trouble(&error))?;
    let first = entries.filter_map(Result::ok).map(|entry| entry.file_name().to_string_lossy().into_owned()).min();
    match first {
        None => Ok(()),
        Some(name) => Err(Trouble::new(format!("`{}` is not empty: `{name}` lies in it", path.display()))
            .help("name a folder that is empty or not there yet; nothing was changed")),
    }
}

/// What the system says of an error, without its number and the path.
fn plain(text: &str) -> &str {
    text.split(" (os error").next().unwrap_or_default().split(" at path").next().unwrap_or_default()
}

/// Writes what `fill` gives. Nothing has changed if it fails. A link stays one, and what it leads to is replaced; a pipe or
/// a device is written into.
fn written(path: &Path, old: Old, fill: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    let there = path.canonicalize();
    let path = there.as_deref().unwrap_or(path);
    if old == Old::Replace && path.metadata().is_ok_and(|there| !there.is_file() && !there.is_dir()) {
        return fill(&mut std::fs::OpenOptions::new().write(true).open(path)?);
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = open(folder)?;
    fill(beside.as_file_mut())?;
    beside.as_file().sync_all()?;
    let kept = match old {
        Old::Replace => beside.persist(path),
        Old::Keep => beside.persist_noclobber(path),
    };
    kept.map(drop).map_err(|error| error.error)
}

/// A file beside the place, with the rights that any new file gets.
fn open(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(".writing-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

#[cfg(test)]
mod tests {
    use super::{Old, written};
    use std::fs;
    use std::io::Error;

    /// A folder with a file `old` in it, and the names of all that it holds after something was done to it.
    fn after(act: impl FnOnce(&std::path::Path)) -> Vec<(String, String)> {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("old"), "as it was").expect("a file");
        act(folder.path());
        let entries = fs::read_dir(folder.path()).expect("it is there").map(|entry| entry.expect("an entry").path());
        let name = |path: &std::path::Path| path.file_name().expect("a name").to_string_lossy().into_owned();
        let mut all: Vec<_> = entries.map(|path| (name(&path), fs::read_to_string(&path).expect("text"))).collect();
        all.sort();
        all
    }
    fn file(name: &str, text: &str) -> (String, String) {
        (name.to_owned(), text.to_owned())
    }

    #[test]
    fn a_writer_that_fails_at_any_byte_leaves_the_old_file() {
        for fails_after in 0..20 {
            let left = after(|folder| {
                let result = written(&folder.join("old"), Old::Replace, |file| {
                    file.write_all(&vec![b'x'; fails_after])?;
                    Err(Error::other("the disk is full"))
                });
                assert!(result.is_err());
            });
            assert_eq!(left, [file("old", "as it was")], "after {fails_after} bytes");
        }
    }

    #[test]
    fn a_file_is_replaced_or_kept() {
        let write = |old, name: &'static str| {
            move |folder: &std::path::Path| {
                let result = written(&folder.join(name), old, |file| file.write_all(b"new"));
                assert_eq!(result.is_ok(), old == Old::Replace || name != "old");
            }
        };
        assert_eq!(after(write(Old::Replace, "old")), [file("old", "new")]);
        assert_eq!(after(write(Old::Keep, "old")), [file("old", "as it was")]);
        assert_eq!(after(write(Old::Keep, "other")), [file("old", "as it was"), file("other", "new")]);
    }
}
