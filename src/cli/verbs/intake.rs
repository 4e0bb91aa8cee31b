//! `intake`: taking in a sheet, as a dry run or into a new dossier file.

use super::Verb;
use crate::answers::{NewDossier, intake_page, intake_report};
use crate::cli::args::{Format, SheetKind};
use crate::cli::desk::Desk;
use crate::cli::writing::{Old, folder_for, write};
use crate::cli::{Answer, Around, Trouble, json, outcome_of};
use crate::sheets::{GivenSheet, IntakeKind, Mapping, take};
use crate::source::read_bytes;
use std::path::{Component, Path, PathBuf};

/// Imports a sheet: shows row by row what would be written, and with `--write` writes it into a new dossier file
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct IntakeVerb {
    /// A workbook (`.xlsx`) or a CSV file
    file: PathBuf,
    /// What the sheet is
    #[arg(long = "as", value_name = "KIND")]
    kind: SheetKind,
    /// A mapping file: which columns are meant, their units, constants
    #[arg(long, value_name = "FILE")]
    mapping: Option<PathBuf>,
    /// Which sheet of a workbook that has several
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// The new dossier file, below the project folder (default: named after the sheet)
    #[arg(long, value_name = "FILE")]
    into: Option<PathBuf>,
    /// Write the file (default: a dry run)
    #[arg(long)]
    write: bool,
}

impl Verb for IntakeVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let around = desk.around;
        let mut project = desk.open()?;
        let kind = match self.kind {
            SheetKind::Parts => IntakeKind::Parts,
            SheetKind::Modifications => IntakeKind::Modifications,
            SheetKind::Serials => IntakeKind::SerialBlocks,
            SheetKind::Holes => IntakeKind::HoleSurveys,
        };
        let mapping = match &self.mapping {
            None => Mapping::default(),
            Some(path) => {
                let text = String::from_utf8(bytes_of(around, path)?);
                let text = text.map_err(|_| Trouble::new(format!("`{}` is not UTF-8 text", path.display())))?;
                let help = format!("correct `{}`", path.display());
                Mapping::read(&text, kind).map_err(|why| Trouble::new(why).help(help))?
            }
        };
        let bytes = bytes_of(around, &self.file)?;
        let into = match &self.into {
            Some(path) => below(path)?,
            None => unused(&project.sources.root, &self.file, kind),
        };
        let sheet =
            GivenSheet { path: &self.file, bytes: &bytes, name: self.sheet.as_deref(), kind, mapping: &mapping };
        let progress = |done, of| around.progress(done, of);
        let taken = take(&sheet, &project.model.config, &project.records, &mut project.sources, &progress);
        let text = if taken.records.is_empty() { String::new() } else { taken.text(&sheet) };
        let written = self.write && !taken.records.is_empty();
        if written {
            let path = project.sources.root.join(&into);
            folder_for(&path)?;
            write(&path, text.as_bytes(), Old::Keep)?;
        }
        let into = (!taken.records.is_empty()).then(|| into.to_string_lossy().into_owned());
        let file = self.file.display().to_string();
        let report = intake_report(file, kind, &taken, NewDossier { into, text, written }, &project.sources);
        let out = match desk.format {
            Format::Json => json(&report),
            Format::Text | Format::Csv | Format::Xlsx => {
                let page = intake_page(&report, &taken, &project.sources, desk.style);
                page.plain().text(desk.style)
            }
        };
        Ok(Answer { out, code: outcome_of(&taken.findings).exit_code(), ..Answer::default() })
    }
}

fn bytes_of(around: &Around, path: &Path) -> Result<Vec<u8>, Trouble> {
    read_bytes(&around.folder.join(path)).map_err(|why| {
        Trouble::new(format!("`{}` cannot be opened: {why}", path.display())).help("check its name and your rights")
    })
}

/// A path below the project folder that the project reads.
fn below(path: &Path) -> Result<PathBuf, Trouble> {
    let plain = path.components().all(|part| match part {
        Component::Normal(part) => !part.to_string_lossy().starts_with('.'),
        Component::Prefix(_) | Component::RootDir | Component::CurDir | Component::ParentDir => false,
    });
    if plain && path.extension().is_some_and(|extension| extension == "ron") {
        return Ok(path.to_owned());
    }
    let message = format!("`{}` is no place for a dossier file", path.display());
    Err(Trouble::new(message).help("name a `.ron` file below the project folder, as in `type/parts-from-list.ron`"))
}

/// A file name that is not taken, after the sheet's own.
fn unused(root: &Path, file: &Path, kind: IntakeKind) -> PathBuf {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    let stem = match stem.trim_start_matches('.') {
        "" => "sheet",
        stem => stem,
    };
    let folder = match kind {
        IntakeKind::Parts | IntakeKind::Modifications | IntakeKind::SerialBlocks => "type",
        IntakeKind::HoleSurveys => "shop",
    };
    let named = |nth: u32| match nth {
        1 => Path::new(folder).join(format!("{stem}-taken-in.ron")),
        _ => Path::new(folder).join(format!("{stem}-taken-in-{nth}.ron")),
    };
    (1..=u32::MAX).map(named).find(|path| !root.join(path).exists()).expect("a folder holds fewer files")
}
