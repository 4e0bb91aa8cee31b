//! Reading the project folder: files, records, and where everything is written.
//!
//! A project folder holds a file `type.ron` or a folder `type`, the dossier of the aircraft type; every `*.ron` file
//! below it belongs to the project, in whatever folders the workshop likes, and so does each CSV file that a survey names
//! for its holes. `ron` is the one authority for what a file says. Spans are worked out only for files that a finding points into.

mod beside;
mod documents;
mod holes;
mod layout;
mod lexer;
mod lost;
mod near;
mod refusal;
mod salvage;
mod tree;
mod wording;

use crate::codes;
use crate::finding::{FileId, Finding, Place, RecordRef};
use crate::schema::Record;
use beside::{Disk, Memory, OtherFiles};
use layout::FileLayout;
pub(crate) use lost::SLIP;
pub use lost::{Lost, LostText, Mentions, may_be_slip};
use rayon::prelude::*;
use std::fmt;
use std::io::Read;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use tree::{Tree, ValueNode};

/// A file of the project.
///
/// Invariant: `text` is what the file holds, less a byte-order mark; what is not UTF-8 is replaced by U+FFFD, and a
/// file that could not be read is empty.
#[derive(Debug)]
pub struct SourceFile {
    /// The path below the project folder, with `/` between its parts.
    pub path: PathBuf,
    /// What it holds.
    pub text: String,
    /// Whether `ron` accepted it as a whole.
    accepted: bool,
    layout: OnceLock<FileLayout>,
    line_starts: OnceLock<Vec<usize>>,
    /// The record in which a place was last looked for, and its values: many places of one are mostly asked together.
    last_read: Mutex<Option<LastRead>>,
}

/// A record of a file (its index) and its values.
type LastRead = (u32, Arc<Vec<ValueNode>>);

/// All files of the project: the dossiers sorted by path, then the files that surveys name for their holes, sorted by
/// path too; a [`FileId`] is an index into them.
#[derive(Debug)]
pub struct Sources {
    /// The project folder; empty for texts from memory.
    pub root: PathBuf,
    files: Vec<SourceFile>,
}

/// What was read from a project.
#[derive(Debug)]
pub struct Reading {
    /// The files.
    pub sources: Sources,
    /// Every record that could be read, in the order of files and of records within them.
    pub records: Vec<(RecordRef, Record)>,
    /// What could not be read.
    pub findings: Vec<Finding>,
    /// What is known of the records that could not be read.
    pub lost: Lost,
}

/// Why nothing could be read.
#[derive(Debug)]
pub enum ReadError {
    /// Neither the folder nor any above it holds a type dossier.
    NoProject(PathBuf),
    /// The folder itself cannot be read.
    Folder(PathBuf, std::io::Error),
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ReadError::NoProject(from) => write!(
                f,
                "no project folder at `{}` or above it: a project folder holds a file `type.ron` or a folder `type`",
                from.display()
            ),
            ReadError::Folder(folder, error) => write!(f, "the folder `{}` cannot be read: {error}", folder.display()),
        }
    }
}

impl std::error::Error for ReadError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ReadError::NoProject(_) => None,
            ReadError::Folder(_, error) => Some(error),
        }
    }
}

/// The project folder of a folder: the nearest one, from it upwards, that holds a file `type.ron` or a folder `type`
/// with a `.ron` file in it. A folder that is itself called `type` is the type dossier of the folder above it.
///
/// # Errors
/// If there is none, or if `from` does not exist.
pub fn find_project(from: &Path) -> Result<PathBuf, ReadError> {
    let start = from.canonicalize().map_err(|error| ReadError::Folder(from.to_owned(), error))?;
    let holds_type = |folder: &&Path| {
        let dossier = folder.join("type").read_dir().into_iter().flatten().flatten();
        let is_type = folder.file_name().is_some_and(|name| name == "type");
        (folder.join("type.ron").is_file() && !is_type)
            || dossier.map(|entry| entry.path()).any(|path| is_dossier(&path))
    };
    start.ancestors().find(holds_type).map(Path::to_owned).ok_or_else(|| ReadError::NoProject(from.to_owned()))
}

/// Reads every `*.ron` file below a folder, in the order of their paths; folders and files whose names begin with a dot
/// are left out, and links to folders are not followed.
///
/// # Errors
/// If the folder itself cannot be read. A file or folder below it that cannot be read is a finding.
pub fn read_project(root: &Path) -> Result<Reading, ReadError> {
    let mut found = Vec::new();
    root.read_dir().map_err(|error| ReadError::Folder(root.to_owned(), error))?;
    walk(root, Path::new(""), &mut found);
    let contents = found.into_par_iter().map(|(path, trouble)| {
        let bytes = trouble.map_or_else(|| read_bytes(&root.join(&path)), Err);
        (path, bytes)
    });
    Ok(read(root.to_owned(), contents.collect(), &Disk(root)))
}

/// The largest file that is read. The dossiers of a whole type come to a tenth of it.
const LARGEST: u64 = 128 << 20;

/// The bytes of a plain file, which need not belong to a project. A pipe or a device could be waited for without an end, and
/// is not opened.
///
/// # Errors
/// What the system says, without its number; that it is no plain file, or too large.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, String> {
    let about = std::fs::metadata(path).map_err(|error| plain(&error))?;
    if !about.is_file() {
        let what = if about.is_dir() { "a folder" } else { "a pipe or a device" };
        return Err(format!("it is {what}, and no file"));
    }
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(|error| plain(&error))?;
    file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|error| plain(&error))?;
    if u64::try_from(bytes.len()).is_ok_and(|read| read > LARGEST) {
        return Err(format!("it is larger than {} MB", LARGEST >> 20));
    }
    Ok(bytes)
}

/// Reads files from memory, as if they lay in a project folder.
#[must_use]
pub fn read_texts(files: Vec<(PathBuf, String)>) -> Reading {
    let contents = files.into_iter().map(|(path, text)| (path, Ok(text.into_bytes())));
    let (dossiers, others): (Vec<Contents>, Vec<Contents>) = contents.partition(|(path, _)| is_dossier(path));
    read(PathBuf::new(), dossiers, &Memory(&others))
}

/// The records of a sound file of this number; `None` if it is not sound.
///
/// It is read in the thread that asks, because other threads may be waiting for what comes of it.
pub(crate) fn read_sound(file: u32, text: &str) -> Option<Vec<(RecordRef, Record)>> {
    let records: Vec<Record> = salvage::options().from_str(text).ok()?;
    let references = (0..).map(|index| RecordRef { file: FileId(file), index });
    Some(references.zip(records).collect())
}

impl Sources {
    /// The file.
    #[must_use]
    pub fn file(&self, id: FileId) -> &SourceFile {
        &self.files[id.0 as usize]
    }
    /// All files.
    #[must_use]
    pub fn files(&self) -> &[SourceFile] {
        &self.files
    }
    /// Adds a text that is no dossier, so that findings can point into it.
    ///
    /// # Panics
    /// If there are 2^32 files.
    pub fn add(&mut self, path: PathBuf, text: String) -> FileId {
        let id = FileId(u32::try_from(self.files.len()).expect("a project holds fewer than 2^32 files"));
        self.files.push(SourceFile::other(path, text));
        id
    }
    /// The bytes of a place: of as much of it as the text holds. They lie inside the text, on character boundaries.
    #[must_use]
    pub fn span(&self, place: &Place) -> (FileId, Range<usize>) {
        let id = place.file();
        let file = self.file(id);
        let span = match place {
            Place::Bytes(_, start, end) => *start..*end,
            Place::Record(record, path) => match file.layout().records.get(record.index as usize) {
                Some(span) => file.tree(record.index, span).resolve(path),
                None => 0..0,
            },
        };
        let start = file.text.floor_char_boundary(span.start);
        (id, start..file.text.floor_char_boundary(span.end).max(start))
    }
    /// The bytes of a place, or of the whole record if the place is one.
    #[must_use]
    pub fn extent(&self, place: &Place) -> (FileId, Range<usize>) {
        let whole = match place {
            Place::Record(record, path) if path.is_empty() => {
                self.file(record.file).layout().records.get(record.index as usize).cloned()
            }
            Place::Record(..) | Place::Bytes(..) => None,
        };
        whole.map_or_else(|| self.span(place), |span| (place.file(), span))
    }
    /// The line and the column of a byte, both from 1; columns count characters.
    #[must_use]
    pub fn line_column(&self, file: FileId, byte: usize) -> (usize, usize) {
        let file = self.file(file);
        let starts = file.line_starts();
        let line = starts.partition_point(|start| *start <= byte).max(1);
        let before = file.text.get(starts[line - 1]..byte).unwrap_or_default();
        (line, before.chars().count() + 1)
    }
}

impl SourceFile {
    /// The byte at which each line begins; the first is 0.
    #[must_use]
    pub fn line_starts(&self) -> &[usize] {
        self.line_starts
            .get_or_init(|| std::iter::once(0).chain(self.text.match_indices('\n').map(|(at, _)| at + 1)).collect())
    }
    /// How many records the file's list holds, readable or not.
    #[must_use]
    pub fn record_count(&self) -> usize {
        self.layout().records.len()
    }
    fn new(path: PathBuf, text: String, accepted: bool) -> SourceFile {
        let (layout, line_starts, last_read) = (OnceLock::new(), OnceLock::new(), Mutex::default());
        SourceFile { path, text, accepted, layout, line_starts, last_read }
    }
    /// A file that holds no records.
    fn other(path: PathBuf, text: String) -> SourceFile {
        let file = SourceFile::new(path, text, true);
        file.layout.set(FileLayout::default()).expect("the layout of a new file is not set yet");
        file
    }
    /// The values of a record of this index, which covers the span.
    fn tree(&self, record: u32, span: &Range<usize>) -> Tree<'_> {
        let mut last = self.last_read.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, nodes)) = last.as_ref().filter(|(of, _)| *of == record) {
            return Tree { text: &self.text, nodes: nodes.clone() };
        }
        let tree = Tree::read(&self.text, span.clone());
        *last = Some((record, tree.nodes.clone()));
        tree
    }
    fn layout(&self) -> &FileLayout {
        self.layout.get_or_init(|| layout::split(&self.text, self.accepted))
    }
}

/// Lists dossier files below a folder, each with what hinders its reading.
fn walk(root: &Path, below: &Path, found: &mut Vec<(PathBuf, Option<String>)>) {
    let entries = match root.join(below).read_dir() {
        Ok(entries) => entries,
        Err(error) => return found.push((below.to_owned(), Some(plain(&error)))),
    };
    for entry in entries {
        let entry = match entry {
            Ok(entry) => entry,
            Err(error) => {
                found.push((below.to_owned(), Some(plain(&error))));
                continue;
            }
        };
        let name = entry.file_name();
        let path = below.join(&name);
        if name.to_string_lossy().starts_with('.') {
            continue;
        }
        if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            walk(root, &path, found);
        } else if is_dossier(&path) && !root.join(&path).is_dir() {
            found.push((path, None));
        }
    }
}

/// What the system says of an error, without its number.
fn plain(error: &std::io::Error) -> String {
    let text = error.to_string();
    text.split(" (os error").next().unwrap_or_default().to_lowercase()
}

fn is_dossier(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension == "ron")
        && path.file_name().is_some_and(|name| !name.to_string_lossy().starts_with('.'))
}

type Contents = (PathBuf, Result<Vec<u8>, String>);

fn read(root: PathBuf, contents: Vec<Contents>, beside: &dyn OtherFiles) -> Reading {
    let mut contents: Vec<Contents> = contents
        .into_iter()
        .map(|(path, bytes)| {
            (path.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/").into(), bytes)
        })
        .collect();
    contents.sort_by(|(a, _), (b, _)| a.as_os_str().cmp(b.as_os_str()));
    let numbered = contents.into_par_iter().enumerate().map(|(index, file)| {
        let id = FileId(u32::try_from(index).expect("a project holds fewer than 2^32 files"));
        read_file(id, file)
    });
    let read: Vec<_> = numbered.collect();
    let sources = Sources { root, files: Vec::new() };
    let mut reading = Reading { sources, records: Vec::new(), findings: Vec::new(), lost: Lost::default() };
    for (file, salvaged) in read {
        reading.sources.files.push(file);
        reading.records.extend(salvaged.records);
        reading.findings.extend(salvaged.findings);
        reading.lost.texts.extend(salvaged.lost.texts);
    }
    let known = reading.sources.files.len();
    let files = holes::fill(&mut reading.records, known, beside, &mut reading.findings);
    documents::look_for(&reading.records, beside, &mut reading.findings);
    reading.sources.files.extend(files);
    reading
}

/// What was read of one file.
#[derive(Default)]
struct Salvaged {
    records: Vec<(RecordRef, Record)>,
    findings: Vec<Finding>,
    lost: Lost,
}

fn read_file(id: FileId, (path, bytes): Contents) -> (SourceFile, Salvaged) {
    let name = path.to_string_lossy().into_owned();
    let file = |text, accepted| SourceFile::new(path, text, accepted);
    let bytes = match bytes {
        Ok(bytes) => bytes,
        Err(trouble) => {
            let message = format!("the file `{name}` cannot be opened: {trouble}");
            let finding = Finding::new(codes::UNREADABLE, message, Place::Bytes(id, 0, 0), "nothing of it was read")
                .help("Correct its permissions or its link, or move it out of the project folder.");
            let lost = Lost { texts: vec![LostText::of_file(id, "")] };
            return (file(String::new(), true), Salvaged { findings: vec![finding], lost, ..Salvaged::default() });
        }
    };
    let text = match decode(id, &name, bytes) {
        (text, None) => text,
        (text, Some(finding)) => {
            let lost = Lost { texts: vec![LostText::of_file(id, &text)] };
            return (file(text, false), Salvaged { findings: vec![finding], lost, ..Salvaged::default() });
        }
    };
    let error = match salvage::options().from_str::<Vec<Record>>(&text) {
        Ok(records) => {
            let references = (0..).map(|index| RecordRef { file: id, index });
            let records = references.zip(records).collect();
            return (file(text, true), Salvaged { records, ..Salvaged::default() });
        }
        Err(error) => error,
    };
    if lexer::Lexer::new(&text, 0..text.len()).next().is_none() {
        return (file(text, true), Salvaged::default());
    }
    let layout = layout::split(&text, false);
    let salvaged = salvage::salvage(id, &text, &layout, &error);
    let file = file(text, false);
    file.layout.set(layout).expect("the layout of a new file is not set yet");
    (file, salvaged)
}

/// The text of a file less its byte-order mark; a finding where it is not UTF-8.
fn decode(id: FileId, name: &str, bytes: Vec<u8>) -> (String, Option<Finding>) {
    match String::from_utf8(bytes) {
        Ok(text) => (text.strip_prefix('\u{FEFF}').map(str::to_owned).unwrap_or(text), None),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
            let message = format!("the file `{name}` is not UTF-8 text");
            let place = Place::Bytes(id, at, at + '\u{FFFD}'.len_utf8());
            let finding = Finding::new(codes::NOT_UTF8, message, place, "this cannot be read as a character")
                .help("Save the file again as UTF-8.");
            (text, Some(finding))
        }
    }
}
