//! The book as one HTML file.

use super::{BookCovers, BookOf, BookPiece, BookSection, BookSheet, KeptBook};
use crate::answers::{NotRead, foot, mark_text, uses_terms};
use crate::layout::html::linked;
use crate::layout::{Anchor, AnchorKind, Anchors, CAUTION, Page, PageTable};
use crate::model::Marks;
use crate::words::date_text;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write as _;

const STYLE: &str = include_str!("book.css");
const SCRIPT: &str = include_str!("book.js");

/// The whole document.
pub(super) fn document(of: BookOf<'_>, sections: &[BookSection], not_read: &Marks, kept: &KeptBook) -> String {
    let lost = NotRead::list(not_read, &of.model.losses, &of.project.sources);
    let style = format!("{STYLE}{}", sheets(of, sections, &kept.sheets, !lost.is_empty()));
    // Written twice: a name links only to what the first writing has placed.
    let mut anchors = Anchors::of(names(of));
    drop(body(of, sections, &lost, &mut anchors));
    let body = body(of, sections, &lost, &mut anchors.again());
    let policy = format!(
        "default-src 'none'; style-src {}; script-src {}; base-uri 'none'; form-action 'none'",
        hash(&style),
        hash(SCRIPT)
    );
    let title = format!("{}: {}", called(of), of.asked.line());
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { (title) }
                style { (PreEscaped(&style)) }
            }
            body.pack[matches!(of.covers, BookCovers::Subject(..))] {
                (body)
                (PreEscaped(kept.element()))
                script { (PreEscaped(SCRIPT)) }
            }
        }
    };
    page.into_string()
}

/// What the document is.
fn called(of: BookOf<'_>) -> String {
    match of.covers {
        BookCovers::Airframe => "Build book".to_owned(),
        BookCovers::Subject(_, name) => format!("Inspector's pack, {name}"),
    }
}

/// The source of a style sheet or a script that a policy allows: this one alone.
fn hash(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

fn body(of: BookOf<'_>, sections: &[BookSection], lost: &[NotRead], anchors: &mut Anchors) -> Markup {
    let shown: Vec<Markup> = sections.iter().map(|section| show(section, of, anchors)).collect();
    let first = cover(of, sections, lost, anchors);
    html! {
        a.skip href="#cover" { "Skip to the book" }
        nav aria-label="Sheets" {
            p.book { (called(of)) " " b { (of.asked.airframe) } }
            div.search role="search" {
                label for="search" { "Search this book" }
                input #search type="search" autocomplete="off" spellcheck="false";
                p #found role="status" {}
            }
            ol {
                li { a href="#cover" { "Cover" } }
                @for section in sections { li { a href={ "#" (section.id) } { (section.name) } } }
            }
        }
        main {
            (first)
            @for section in shown { (section) }
        }
    }
}

/// The first sheet: of what the book is, what it takes for granted, what was not read, and what each section comes to.
fn cover(of: BookOf<'_>, sections: &[BookSection], lost: &[NotRead], anchors: &mut Anchors) -> Markup {
    let asked = of.asked;
    let state = asked.build_state.as_deref().map_or("none named".to_owned(), |name| format!("\u{201c}{name}\u{201d}"));
    let cells = [
        ("Airframe", asked.airframe.clone()),
        ("Type", asked.type_name.clone().unwrap_or_else(|| "not known".to_owned())),
        ("Build state", state),
        ("As at", date_text(&asked.date)),
        ("Printed", date_text(of.printed)),
    ];
    let glance: PageTable = PageTable::of(sections)
        .words("Sheet", |section| section.name.to_owned())
        .words("Comes to", |section| {
            let lost = &section.not_read;
            if lost.is_empty() { section.glance.clone() } else { format!("{}; {}", section.glance, mark_text(lost)) }
        })
        .into();
    let mut page = Page::default();
    page.say(format!("{}.", asked.line()));
    page.append(asked.remarks());
    if matches!(of.covers, BookCovers::Airframe) {
        page.heading("At a glance");
        page.table(glance);
    }
    page.append(foot(true, &[]));
    html! {
        section #cover.sheet aria-label="Cover" {
            h1 { (called(of)) }
            dl.block {
                @for (name, text) in cells { div { dt { (name) } dd { (text) } } }
            }
            @if !lost.is_empty() {
                div.lost {
                    h2 { "Not all was read" }
                    p { "What follows was not read, so it is not known here. Correct these lines and make the book again." }
                    ol { @for one in lost { li value=(one.number.0) { (one.what) " " span.at { (one.at) } } } }
                }
            }
            (page.finished().html(1, anchors))
        }
    }
}

fn show(section: &BookSection, of: BookOf<'_>, anchors: &mut Anchors) -> Markup {
    let lost = NotRead::list(&section.not_read, &of.model.losses, &of.project.sources);
    let pages = section.pieces.iter().filter_map(|piece| match piece {
        BookPiece::Page(page) | BookPiece::Fold { page, .. } => Some(page),
        BookPiece::Figure { .. } | BookPiece::Dates(_) => None,
    });
    // A pack says on its first sheet what its words mean.
    let terms = matches!(of.covers, BookCovers::Airframe) && pages.into_iter().any(uses_terms);
    let pieces: Vec<Markup> = section.pieces.iter().map(|piece| show_piece(piece, anchors)).collect();
    let end = foot(terms, &lost).finished().html(3, anchors);
    html! {
        section.sheet.screen[section.on_screen()] id=(section.id) aria-labelledby={ (section.id) "-name" } {
            h2 id={ (section.id) "-name" } {
                (section.name)
                @if !lost.is_empty() { " " span.mark { "not all was read" } }
            }
            @for piece in pieces { (piece) }
            footer { (end) }
        }
    }
}

fn show_piece(piece: &BookPiece, anchors: &mut Anchors) -> Markup {
    match piece {
        BookPiece::Page(page) => html! { div.part { (page.clone().plain().html(3, anchors)) } },
        BookPiece::Figure { title, svg } => html! {
            figure {
                div.pan tabindex="0" role="group" aria-label={ "Drawing: " (title) } {
                    div.drawing role="img" aria-label=(title) { (PreEscaped(svg)) }
                }
                figcaption { (linked(title, anchors)) }
            }
        },
        BookPiece::Dates(view) => view.html(anchors),
        BookPiece::Fold { about, summary, page } => {
            let id = anchors.place(about);
            html! {
                details id=[id] open { summary { (summary) } (page.clone().plain().html(4, anchors)) }
            }
        }
    }
}

/// What names in the text may mean. A name that also stands for a hole, a point of a frame or the mark of a plate is left out.
fn names(of: BookOf<'_>) -> Vec<Anchor> {
    let model = of.model;
    let airframe = model.airframes.id(&of.asked.airframe).map(|id| &model.airframes[id]);
    let mut found: Vec<(AnchorKind, &str)> = Vec::new();
    found.extend(model.mods.names().map(|name| (AnchorKind::Modification, name)));
    found.extend(model.frames.names().map(|name| (AnchorKind::Frame, name)));
    found.extend(model.jigs.names().map(|name| (AnchorKind::Jig, name)));
    found.extend(model.plates.names().map(|name| (AnchorKind::Plate, name)));
    found.extend(model.parts.names().map(|name| (AnchorKind::Part, name)));
    found.extend(model.surveys.iter().map(|survey| (AnchorKind::Survey, survey.id.as_str())));
    found.extend(
        airframe.iter().flat_map(|airframe| airframe.evidence.names()).map(|name| (AnchorKind::Evidence, name)),
    );
    found.extend(airframe.iter().flat_map(|airframe| airframe.claims.names()).map(|name| (AnchorKind::Claim, name)));
    let points =
        model.frames.iter().flat_map(|(_, _, frame)| frame.splice_points.iter().map(|point| point.name.as_str()));
    let holes = model.plates.iter().flat_map(|(_, _, plate)| plate.holes.iter().map(|hole| hole.name.as_str()));
    let marks = model.jigs.iter().flat_map(|(_, _, jig)| jig.mounted.iter().map(|plate| plate.mark.as_str()));
    let others: BTreeSet<&str> = points.chain(holes).chain(marks).collect();
    let named = found.into_iter().filter(|(_, name)| !others.contains(name));
    named.map(|(kind, name)| Anchor { kind, name: name.to_owned() }).collect()
}

/// What stands at the head and the foot of each printed sheet.
fn sheets(of: BookOf<'_>, sections: &[BookSection], prints: &[BookSheet], lost: bool) -> String {
    let asked = of.asked;
    let type_name = asked.type_name.as_deref().map(|name| format!(", {name}")).unwrap_or_default();
    let state = asked
        .build_state
        .as_deref()
        .map_or("no named build state".to_owned(), |name| format!("build state \"{name}\""));
    let warned = if lost { "NOT ALL WAS READ, see sheet 1. " } else { "" };
    let supposed = if asked.supposed.is_empty() { "" } else { "RESTS ON A SUPPOSITION, see sheet 1. " };
    let left = css_text(&format!("{}{type_name}", asked.airframe));
    let right = css_text(&format!(
        "{warned}{supposed}{state} as at {}, printed {}",
        date_text(&asked.date),
        date_text(of.printed)
    ));
    let caution = css_text(CAUTION);
    let mut style = format!(
        "@page{{@top-left{{content:\"{left}\"}}@top-right{{content:\"{right}\"}}@bottom-left{{content:\"{caution}\"}}{}}}\n",
        number(&prints[0])
    );
    if let BookCovers::Subject(_, name) = of.covers {
        // A pack runs on from section to section.
        let name = css_text(&format!("Inspector's pack, {name}"));
        writeln!(style, "@page{{@top-center{{content:\"{name}\"}}}}").expect("a text takes every line");
        return style;
    }
    let printed = sections.iter().filter(|section| !section.on_screen());
    for (section, sheet) in printed.zip(&prints[1..]) {
        let (id, name, number) = (section.id, css_text(section.name), number(sheet));
        writeln!(style, "@page {id}{{@top-center{{content:\"{name}\"}}{number}}}\n#{id}{{page:{id}}}")
            .expect("a text takes every line");
    }
    style
}

/// The number of a page, with the fingerprint of its sheet below it.
fn number(sheet: &BookSheet) -> String {
    let code = sheet.fingerprint.as_ref();
    let code = code.map_or("no fingerprint".to_owned(), |code| format!("fingerprint {code}"));
    let code = css_text(&code);
    format!("@bottom-right{{content:\"Sheet \" counter(page) \" of \" counter(pages) \"\\a {code}\"}}")
}

/// A text as it stands between quotation marks in a style sheet: whatever is no letter, digit or blank by its number, which
/// ends with a blank of its own.
fn css_text(text: &str) -> String {
    let mut out = String::new();
    for c in crate::layout::excerpt::clean(text).chars() {
        if c.is_ascii_alphanumeric() || c == ' ' {
            out.push(c);
        } else {
            write!(out, "\\{:x} ", u32::from(c)).expect("a text takes every line");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_ends_its_quotation_or_the_style_sheet() {
        assert_eq!(css_text("a\"b</style>"), "a\\22 b\\3c \\2f style\\3e ");
    }

    #[test]
    fn a_hash_is_that_of_the_standard() {
        // FIPS 180-4, the example of one block: "abc".
        assert_eq!(hash("abc"), "'sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0='");
    }
}
