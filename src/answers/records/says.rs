//! Conditions and statements, with names in place of ids.

use crate::model::{Condition, Model, Statement};
use crate::quantity::serial::SerialSet;
use crate::schema::Form;
use serde::Serialize;

/// A condition. In JSON an object with one field, the name of what it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Embodied, by any form (`null`) or by the named one.
    Post(String, Option<&'static str>),
    /// Not embodied.
    Pre(String),
    /// The serial is one of these.
    Serials(SerialSet),
    /// All of these hold; the empty list always holds.
    All(Vec<When>),
    /// At least one of these holds; the empty list never does.
    Any(Vec<When>),
    /// Does not hold.
    Not(Box<When>),
}

/// What a claim says. In JSON an object with one field, the name of what it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Says {
    /// Embodied, by any form (`null`) or by the named one.
    Embodied(String, Option<&'static str>),
    /// Not embodied.
    NotEmbodied(String),
    /// Taken out.
    Removed(String),
    /// This part (`null`: nothing) was seen fitted at the position.
    SeenAt(String, Option<String>),
    /// A splice was seen at this point of the frame (`true`), or seen to be absent (`false`).
    SeenSplice(String, String, bool),
    /// The hole pattern of this plate definition was seen in the metal.
    SeenPattern(String),
}

impl When {
    pub(super) fn of(model: &Model, condition: &Condition) -> When {
        let name = |m| model.mods.name(m).to_owned();
        let list = |parts: &[Condition]| parts.iter().map(|part| When::of(model, part)).collect();
        match condition {
            Condition::Post(m, form) => When::Post(name(*m), form.map(form_name)),
            Condition::Pre(m) => When::Pre(name(*m)),
            Condition::Serials(set) => When::Serials(set.clone()),
            Condition::All(parts) => When::All(list(parts)),
            Condition::Any(parts) => When::Any(list(parts)),
            Condition::Not(part) => When::Not(Box::new(When::of(model, part))),
        }
    }
}

impl Says {
    pub(super) fn of(model: &Model, says: &Statement) -> Says {
        let name = |m| model.mods.name(m).to_owned();
        match says {
            Statement::Embodied(m, form) => Says::Embodied(name(*m), form.map(form_name)),
            Statement::NotEmbodied(m) => Says::NotEmbodied(name(*m)),
            Statement::Removed(m) => Says::Removed(name(*m)),
            Statement::SeenAt(position, which) => {
                let part = which.map(|index| model.positions[*position].candidates[index].part);
                let part = part.map(|part| model.parts.name(part).to_owned());
                Says::SeenAt(model.positions.name(*position).to_owned(), part)
            }
            Statement::SeenSplice(frame, point, there) => {
                let point = model.frames[*frame].splice_points[*point].name.clone();
                Says::SeenSplice(model.frames.name(*frame).to_owned(), point, *there)
            }
            Statement::SeenPattern(plate) => Says::SeenPattern(model.plates.name(*plate).to_owned()),
        }
    }
}

/// The word for a form.
fn form_name(form: Form) -> &'static str {
    match form {
        Form::Production => "production",
        Form::Retrospective => "retrospective",
    }
}
