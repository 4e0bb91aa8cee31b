//! Conditions: when a variant is fitted, given in the trade's own form.

use crate::ids::ModId;
use crate::quantity::{Serial, SerialSet};
use crate::schema::Form;

/// A condition over a modification state and a serial.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// Embodied, by any form or by the named one.
    Post(ModId, Option<Form>),
    /// Not embodied.
    Pre(ModId),
    /// The serial is one of these.
    Serials(SerialSet),
    /// All of these hold; the empty list always holds.
    All(Vec<Condition>),
    /// At least one of these holds; the empty list never does.
    Any(Vec<Condition>),
    /// Does not hold.
    Not(Box<Condition>),
}

impl Condition {
    /// The condition that always holds.
    pub const ALWAYS: Condition = Condition::All(Vec::new());

    /// Whether the condition holds, given which form of each modification is in.
    pub fn holds(&self, serial: &Serial, form: &impl Fn(ModId) -> Option<Form>) -> bool {
        match self {
            Condition::Post(m, None) => form(*m).is_some(),
            Condition::Post(m, by) => form(*m) == *by,
            Condition::Pre(m) => form(*m).is_none(),
            Condition::Serials(set) => set.contains(serial),
            Condition::All(parts) => parts.iter().all(|part| part.holds(serial, form)),
            Condition::Any(parts) => parts.iter().any(|part| part.holds(serial, form)),
            Condition::Not(part) => !part.holds(serial, form),
        }
    }

    /// Calls `visit` with each modification that the condition names.
    pub fn each_mod(&self, visit: &mut impl FnMut(ModId)) {
        match self {
            Condition::Post(m, _) | Condition::Pre(m) => visit(*m),
            Condition::Serials(_) => {}
            Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| part.each_mod(visit)),
            Condition::Not(part) => part.each_mod(visit),
        }
    }
}
