//! Writing a file whole or not at all.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

/// Writes a file: into a temporary file beside it, which then takes its name. A failure leaves what stood there.
///
/// # Errors
/// The fault of the file system; the temporary file is taken away.
pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = path.file_name().ok_or_else(|| io::Error::from(io::ErrorKind::IsADirectory))?;
    let mut beside = OsString::from(".");
    beside.push(name);
    beside.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(beside);
    let written = File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    written.and_then(|()| fs::rename(&beside, path)).inspect_err(|_| {
        // It may never have come to be; the first fault is the one to tell.
        drop(fs::remove_file(&beside));
    })
}
