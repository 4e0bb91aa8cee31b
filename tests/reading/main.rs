//! Reading the project folder, and showing what could not be read.

mod constructs;
mod folders;
mod holes;
mod mutation;
mod places;
mod recovery;
mod refusals;
mod sheets;
mod shown;

use modstate::layout::{Style, render_findings};
use modstate::source::{Reading, read_texts};

/// A sample of every construct that a record can hold. Invented, like all data in these tests.
const SAMPLE: &str = include_str!("sample.ron");

const PLAIN: Style = Style { width: 80, colour: false, unicode: true };

/// Reads files from memory.
fn read(files: &[(&str, &str)]) -> Reading {
    read_texts(files.iter().map(|(path, text)| ((*path).into(), (*text).to_owned())).collect())
}

/// All findings of one file, as they are shown.
fn shown(text: &str) -> String {
    let reading = read(&[("parts.ron", text)]);
    render_findings(&reading.findings, &reading.sources, PLAIN)
}
