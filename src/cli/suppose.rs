//! From what a person supposes to claims for one run.

use super::Trouble;
use super::args::Which;
use super::pick::{self, Book};
use crate::history::{Supposition, suppose};
use crate::ids::AirframeId;
use crate::model::{Form, Model, Statement, Window};
use crate::project::Project;

/// How a supposition is written.
const SHAPES: &str = "write `TM048 by 1951-06`, `TM048 retrospective by 1951-06`, `not TM048 on 1953-09-04`, \
                      `27-1400/10 has 27-1412 on 1952` or `27-1400/10 has nothing on 1952`";

/// Changes the claims of an airframe as the options say.
pub(super) fn apply(project: &Project, model: &mut Model, airframe: AirframeId, which: &Which) -> Result<(), Trouble> {
    let book = Book { model: &project.model, sources: &project.sources };
    let mut suppositions = Vec::new();
    for text in &which.suppose {
        suppositions.push(read(book, text)?);
    }
    suppositions.extend(which.without.iter().cloned().map(Supposition::Without));
    suppose(model, airframe, &suppositions).map_err(|unknown| {
        let names: Vec<String> = model.airframes[airframe].claims.names().map(str::to_owned).collect();
        book.unknown(("claim of the airframe", &["Claim", "Assumption"]), &unknown, names.iter().map(String::as_str))
    })
}

/// What the options suppose, as sentences for the head of an answer.
pub(super) fn told(which: &Which) -> Vec<String> {
    let without = which.without.iter().map(|claim| format!("without the claim {claim}"));
    which.suppose.iter().cloned().chain(without).collect()
}

fn read(book: Book<'_>, text: &str) -> Result<Supposition, Trouble> {
    let odd = || Trouble::new(format!("`{text}` is no supposition")).help(SHAPES);
    let words: Vec<&str> = text.split_whitespace().collect();
    let (says, rest) = match words[..] {
        [position, "has", part, ref rest @ ..] => (seen(book, position, part)?, rest),
        ["not", number, ref rest @ ..] => (Statement::NotEmbodied(one_mod(book, number)?), rest),
        [number, "production", ref rest @ ..] => {
            (Statement::Embodied(one_mod(book, number)?, Some(Form::Production)), rest)
        }
        [number, "retrospective", ref rest @ ..] => {
            (Statement::Embodied(one_mod(book, number)?, Some(Form::Retrospective)), rest)
        }
        [number, ref rest @ ..] => (Statement::Embodied(one_mod(book, number)?, None), rest),
        [] => return Err(odd()),
    };
    let date = match rest {
        ["on", date @ ..] | date => date.join(" "),
    };
    if date.is_empty() {
        return Err(odd());
    }
    let when = Window::parse(&date).map_err(|why| Trouble::new(why.message).help(why.help))?;
    Ok(Supposition::That(says, when))
}

fn one_mod(book: Book<'_>, number: &str) -> Result<crate::ids::ModId, Trouble> {
    match pick::mods(book, number)?[..] {
        [m] => Ok(m),
        _ => Err(Trouble::new(format!("`{number}` has parts, each embodied on its own"))
            .help(format!("name one part, as in `{number}/A`"))),
    }
}

fn seen(book: Book<'_>, position: &str, part: &str) -> Result<Statement, Trouble> {
    let pick::Subject::Position(id) = pick::subject(book, position)? else {
        return Err(Trouble::new(format!("`{position}` is no position")).help(SHAPES));
    };
    if part == "nothing" {
        return Ok(Statement::SeenAt(id, None));
    }
    let model = book.model;
    let candidates = &model.positions[id].candidates;
    let name = |index: usize| model.parts.name(candidates[index].part);
    match (0..candidates.len()).find(|index| name(*index).eq_ignore_ascii_case(part)) {
        Some(index) => Ok(Statement::SeenAt(id, Some(index))),
        None => {
            let kind = format!("candidate at `{position}`");
            Err(book.unknown((&kind, &["Assembly"]), part, (0..candidates.len()).map(name)))
        }
    }
}
