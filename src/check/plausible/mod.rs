//! What is well formed and can hardly be meant. Each is a question with what may have been meant: nothing is decided, and
//! what is written is taken as it is.

mod dates;
mod figure;
mod holes;
mod path;
mod sizes;
mod stations;

use super::CheckScope;
use crate::finding::Finding;
use crate::model::Model;
pub(crate) use dates::ahead;

/// The questions that do not need to know what day it is.
pub(super) fn check(model: &Model, scope: CheckScope<'_>) -> Vec<Finding> {
    let mut findings = holes::check(model);
    findings.extend(stations::check(model));
    findings.extend(dates::check(model, scope));
    findings
}
