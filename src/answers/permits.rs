//! Concessions and deviation permits on the lines that they touch.

use crate::layout::{AnchorKind, Page};
use crate::model::Model;
use crate::shop::lapsed;
use crate::words::{date_text, permission_word, serials_text};
use serde::Serialize;
use std::collections::BTreeSet;

/// A concession or a deviation permit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Permission {
    /// Its reference.
    pub reference: String,
    /// `concession` or `deviation permit`.
    #[serde(serialize_with = "crate::layout::json::hyphened")]
    pub kind: &'static str,
    /// The part.
    pub part: String,
    /// The position; `null`: wherever the part is fitted.
    pub position: Option<String>,
    /// What deviates.
    pub deviation: String,
    /// Who allowed it.
    pub allowed_by: String,
    /// When.
    pub date: String,
    /// How many; `null`: no limit.
    pub quantity: Option<u32>,
    /// For which serials, in words; `null`: not limited.
    pub scope: Option<String>,
    /// Until when.
    pub expires: Option<String>,
    /// Whether that day has passed by the shop's own records.
    pub run_out: bool,
}

/// Some permissions (indices), in table order.
pub(crate) fn permissions(model: &Model, which: impl IntoIterator<Item = usize>) -> Vec<Permission> {
    let which: BTreeSet<usize> = which.into_iter().collect();
    let one = |index: usize| {
        let entry = &model.deviations[index];
        Permission {
            reference: entry.reference.clone(),
            kind: permission_word(entry.permit),
            part: model.parts.name(entry.part).to_owned(),
            position: entry.position.map(|position| model.positions.name(position).to_owned()),
            deviation: entry.deviation.clone(),
            allowed_by: entry.allowed_by.clone(),
            date: entry.date.text.clone(),
            quantity: entry.quantity,
            scope: entry.scope.as_ref().map(serials_text),
            expires: entry.expires.as_ref().map(|until| until.text.clone()),
            run_out: lapsed(model, entry),
        }
    };
    which.into_iter().map(one).collect()
}

/// References, an expired one marked.
pub(crate) fn references(permissions: &[Permission]) -> String {
    let one = |permission: &Permission| {
        let mark = if permission.run_out { " (expired)" } else { "" };
        format!("{}{mark}", permission.reference)
    };
    permissions.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// What each of some permissions says, a paragraph each, every one once.
pub(crate) fn permissions_page<'a>(permissions: impl IntoIterator<Item = &'a Permission>) -> Page {
    let mut unique: Vec<&Permission> = Vec::new();
    for permission in permissions {
        if !unique.contains(&permission) {
            unique.push(permission);
        }
    }
    unique
        .sort_by(|a, b| crate::quantity::order::natural(&a.reference, &b.reference).then_with(|| a.part.cmp(&b.part)));
    let mut page = Page::default();
    for permission in unique {
        let mut words = vec![permission.kind.to_owned(), format!("for {}", permission.part)];
        words.extend(permission.position.as_ref().map(|position| format!("at {position}")));
        let mut text = words.join(" ");
        text.extend(permission.quantity.map(|quantity| format!(", {quantity} off")));
        text.extend(permission.scope.as_ref().map(|scope| format!(", for {scope}")));
        text.extend(["; allowed by ", &permission.allowed_by, ", ", &date_text(&permission.date)]);
        text.extend(permission.expires.as_ref().map(|until| format!(", until {}", date_text(until))));
        if permission.run_out {
            text.push_str(", expired: no further parts may be made under it");
        }
        text.extend([". ", &permission.deviation]);
        page.anchor(AnchorKind::Permission, &permission.reference);
        page.item(format!("{}: ", permission.reference), text);
    }
    page
}
