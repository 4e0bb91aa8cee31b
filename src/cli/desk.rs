//! What a verb is given to work with: how the answer is written, and the project, opened when it is first asked for.

use super::args::{Common, Format, Which};
use super::pick::{self, Book};
use super::question::AirframeQuestion;
use super::{Answer, Around, Trouble, suppose};
use crate::graph::Graph;
use crate::layout::Style;
use crate::model::Model;
use crate::project::Project;
use crate::source::find_project;
use clap::Command;
use std::cell::OnceCell;
use std::path::{Path, PathBuf};

/// The desk of one run.
pub(super) struct Desk<'a> {
    pub(super) around: &'a Around,
    pub(super) format: Format,
    pub(super) style: Style,
    /// The project folder that was named.
    pub(super) named: Option<&'a Path>,
    /// A project that was open before.
    opened: Option<&'a Project>,
    /// The project that this run opened, with its graph.
    own: OnceCell<Project>,
    graph: OnceCell<Graph>,
    /// The command line as it is described.
    pub(super) described: fn() -> Command,
}

impl<'a> Desk<'a> {
    pub(super) fn new(
        common: &'a Common,
        around: &'a Around,
        style: Style,
        opened: Option<&'a Project>,
        described: fn() -> Command,
    ) -> Desk<'a> {
        let (named, format) = (common.project.as_deref(), common.format);
        Desk { around, format, style, named, opened, own: OnceCell::new(), graph: OnceCell::new(), described }
    }

    /// The project that is open, or else the one that the command line means.
    pub(super) fn project(&self) -> Result<&Project, Trouble> {
        if let Some(project) = self.opened.or_else(|| self.own.get()) {
            return Ok(project);
        }
        let project = self.open()?;
        Ok(self.own.get_or_init(|| project))
    }

    /// The project that the command line means, to be changed.
    pub(super) fn open(&self) -> Result<Project, Trouble> {
        Ok(Project::open(&folder(self.named, &self.around.folder)?)?)
    }

    /// Puts a question to the project.
    pub(super) fn question(&self) -> Result<AirframeQuestion<'_>, Trouble> {
        let project = self.project()?;
        let graph = self.graph.get_or_init(|| Graph::new(&project.model));
        Ok(self.about(project, &project.model, graph))
    }

    /// Puts a question to the project with what is supposed of an airframe for this run.
    pub(super) fn supposing(
        &self,
        serial: Option<&str>,
        which: &Which,
        answer: impl FnOnce(&AirframeQuestion<'_>) -> Result<Answer, Trouble>,
    ) -> Result<Answer, Trouble> {
        if which.suppose.is_empty() && which.without.is_empty() {
            return answer(&self.question()?);
        }
        let project = self.project()?;
        let book = Book { model: &project.model, sources: &project.sources };
        let mut model = project.model.clone();
        suppose::apply(project, &mut model, pick::airframe(book, serial)?, which)?;
        answer(&self.about(project, &model, &Graph::new(&model)))
    }

    fn about<'q>(&'q self, project: &'q Project, model: &'q Model, graph: &'q Graph) -> AirframeQuestion<'q> {
        AirframeQuestion { project, model, graph, format: self.format, style: self.style, around: self.around }
    }
}

/// The project folder: the given one, or the nearest from the current one upwards.
pub(super) fn folder(given: Option<&Path>, here: &Path) -> Result<PathBuf, Trouble> {
    let Some(folder) = given else { return Ok(find_project(here)?) };
    let folder = here.join(folder);
    let found = find_project(&folder)?;
    let meant = folder.canonicalize().map_err(|error| Trouble::new(error.to_string()))?;
    if found != meant {
        let message = format!("`{}` is no project folder", folder.display());
        return Err(
            Trouble::new(message).help(format!("name the folder that holds `type`: `--project {}`", found.display()))
        );
    }
    Ok(found)
}
