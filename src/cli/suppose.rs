//! From what a person supposes to claims for one run.

use super::Trouble;
use super::args::Which;
use super::pick::{self, Book};
use crate::history::{Supposition, suppose};
use crate::ids::AirframeId;
use crate::model::{Model, Statement};
use crate::project::Project;
use crate::quantity::Window;
use crate::schema::Form;

/// How a supposition is written.
const SHAPES: &str = "write `TM048 by 1951-06`, `TM048 retrospective by 1951-06`, `not TM048 on 1953-09-04`, \
                      `TM048 removed on 1952-03`, `27-1400/10 has 27-1412 on 1952`, `27-1400/10 has nothing on 1952`, \
                      `F14 has splice S3 on 1952`, `F14 has no splice S3 on 1952` or `pattern J14-04 on 1952`";

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
        book.unknown("claim of the airframe", &["Claim", "Assumption"], &unknown, names.iter().map(String::as_str))
    })
}

/// What the options suppose, as sentences for the head of an answer.
pub(super) fn supposed_words(which: &Which) -> Vec<String> {
    let without = which.without.iter().map(|claim| format!("without the claim {claim}"));
    which.suppose.iter().cloned().chain(without).collect()
}

fn read(book: Book<'_>, text: &str) -> Result<Supposition, Trouble> {
    let odd = || Trouble::new(format!("`{text}` is no supposition")).help(SHAPES);
    let words: Vec<&str> = text.split_whitespace().collect();
    let (what, when) = dated(&words).ok_or_else(odd)?;
    let when = when?;
    let says = match what {
        ["not", number @ ..] => Statement::NotEmbodied(one_mod(book, &number.join(" "))?),
        ["pattern", plate @ ..] => Statement::SeenPattern(pick::plate(book, &plate.join(" "))?),
        [number @ .., "removed"] => Statement::Removed(one_mod(book, &number.join(" "))?),
        [number @ .., "production"] => Statement::Embodied(one_mod(book, &number.join(" "))?, Some(Form::Production)),
        [number @ .., "retrospective"] => {
            Statement::Embodied(one_mod(book, &number.join(" "))?, Some(Form::Retrospective))
        }
        words => match words.iter().position(|word| *word == "has") {
            Some(at) => {
                let place = words[..at].join(" ");
                match &words[at + 1..] {
                    ["no", "splice", name @ ..] => splice(book, &place, &name.join(" "), false)?,
                    ["splice", name @ ..] => splice(book, &place, &name.join(" "), true)?,
                    part => seen(book, &place, &part.join(" "))?,
                }
            }
            None => Statement::Embodied(one_mod(book, &words.join(" "))?, None),
        },
    };
    Ok(Supposition::That(says, when))
}

/// What is supposed and when, if anything is; the date is the longest ending that is one.
fn dated<'w>(words: &'w [&'w str]) -> Option<(&'w [&'w str], Result<Window, Trouble>)> {
    let date = |at: usize| {
        let rest = &words[at..];
        let rest = if rest.len() > 1 { rest.strip_prefix(&["on"]).unwrap_or(rest) } else { rest };
        Window::parse(&rest.join(" "))
    };
    if let Some((at, when)) = (1..words.len()).find_map(|at| Some((at, date(at).ok()?))) {
        return Some((&words[..at], Ok(when)));
    }
    let at = words.iter().rposition(|word| ["on", "by"].contains(word)).unwrap_or(1);
    let when = (1..words.len()).contains(&at).then(|| date(at))?;
    Some((&words[..at], when.map_err(|why| Trouble::new(why.message).help(why.help))))
}

/// A splice of a frame that was seen, or seen to be absent.
fn splice(book: Book<'_>, frame: &str, name: &str, there: bool) -> Result<Statement, Trouble> {
    let pick::Subject::Frame(id) = pick::subject(book, frame)? else {
        return Err(Trouble::new(format!("`{frame}` is no frame")).help(SHAPES));
    };
    let names = || book.model.frames[id].splice_points.iter().map(|point| point.name.as_str());
    match names().position(|known| known.eq_ignore_ascii_case(name)) {
        Some(index) => Ok(Statement::SeenSplice(id, index, there)),
        None => Err(book.unknown(&format!("splice of frame `{frame}`"), &["Frame"], name, names())),
    }
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
    if let Some(index) = (0..candidates.len()).find(|index| name(*index).eq_ignore_ascii_case(part)) {
        Ok(Statement::SeenAt(id, Some(index)))
    } else {
        let kind = format!("candidate at `{position}`");
        Err(book.unknown(&kind, &["Assembly"], part, (0..candidates.len()).map(name)))
    }
}
