//! The values of one record with the bytes that they cover: finds a place by its field path, or a value by a byte.

use super::lexer::{Lexer, TokenKind};
use crate::finding::PlaceStep;
use std::ops::Range;
use std::sync::Arc;

/// A value within a record.
#[derive(Debug)]
pub(super) struct ValueNode {
    /// The field name before it; empty if it has none.
    pub(super) name: Range<usize>,
    /// The whole value, from the word before its bracket to the bracket that closes it.
    pub(super) span: Range<usize>,
    /// The word before its bracket (all of a plain value); empty if it has none.
    pub(super) head: Range<usize>,
    /// Its bracket, if it has one.
    pub(super) bracket: Option<char>,
    /// The value that holds it, by index.
    pub(super) parent: Option<usize>,
}

/// The values of one record, the record itself first and each before those that it holds.
///
/// Invariant: spans lie inside the text on character boundaries, and a value lies inside its parent.
#[derive(Debug)]
pub(super) struct Tree<'a> {
    pub(super) text: &'a str,
    pub(super) nodes: Arc<Vec<ValueNode>>,
}

impl<'a> Tree<'a> {
    /// Reads the values in the span of one record. Never fails: what is missing is missing.
    pub(super) fn read(text: &'a str, record: Range<usize>) -> Self {
        let mut nodes: Vec<ValueNode> = Vec::new();
        let mut parent: Option<usize> = None;
        // The value that a bracket or a colon may still follow.
        let mut pending: Option<usize> = None;
        let mut name = record.start..record.start;
        let plain =
            |span: Range<usize>, name, parent| ValueNode { name, head: span.clone(), span, bracket: None, parent };
        for token in Lexer::new(text, record.clone()) {
            let none = token.span.start..token.span.start;
            match token.kind {
                TokenKind::Open(open) => {
                    let at = pending.unwrap_or_else(|| {
                        nodes.push(plain(none.clone(), std::mem::replace(&mut name, none), parent));
                        nodes.len() - 1
                    });
                    nodes[at].bracket = Some(open);
                    nodes[at].span.end = token.span.end;
                    parent = Some(at);
                    pending = None;
                }
                TokenKind::Close(_) => {
                    if let Some(at) = parent {
                        nodes[at].span.end = token.span.end;
                        parent = nodes[at].parent;
                    }
                    (pending, name) = (None, none);
                }
                TokenKind::Comma => (pending, name) = (None, none),
                TokenKind::Colon => {
                    if let (Some(_), Some(node)) = (pending.take(), nodes.last()) {
                        name = node.span.clone();
                        nodes.pop();
                    }
                }
                TokenKind::Word | TokenKind::Text | TokenKind::OpenText | TokenKind::OpenComment => {
                    nodes.push(plain(token.span, std::mem::replace(&mut name, none), parent));
                    pending = Some(nodes.len() - 1);
                }
            }
        }
        while let Some(at) = parent {
            nodes[at].span.end = record.end;
            parent = nodes[at].parent;
        }
        if nodes.is_empty() {
            nodes.push(plain(record.clone(), record.start..record.start, None));
        }
        Tree { text, nodes: Arc::new(nodes) }
    }

    /// The bytes of a place in this record; of as much of its path as the record holds.
    ///
    /// A field that is left out gives the name of the value that should hold it.
    pub(super) fn resolve(&self, path: &[PlaceStep]) -> Range<usize> {
        let Some(first) = path.first() else { return self.label(0) };
        let mut at = 0;
        let mut step = first;
        for next in path.iter().skip(1).map(Some).chain([None]) {
            let found = match step {
                PlaceStep::Field(field) => self.field(at, field),
                PlaceStep::Item(index) => self.item(at, *index),
            };
            let Some(found) = found else { return self.name(at) };
            at = found;
            match next {
                Some(next) => step = next,
                None => break,
            }
        }
        self.nodes[at].span.clone()
    }

    /// The deepest value that covers a byte, the record itself if none does.
    pub(super) fn covering(&self, byte: usize) -> usize {
        let covers = |node: &ValueNode| node.span.contains(&byte) || node.name.contains(&byte);
        self.nodes.iter().rposition(covers).unwrap_or(0)
    }

    /// The deepest value whose brackets a byte stands between, the record itself if none.
    pub(super) fn around(&self, byte: usize) -> usize {
        let covers = |node: &ValueNode| node.bracket.is_some() && node.head.end < byte && byte < node.span.end;
        self.nodes.iter().rposition(covers).unwrap_or(0)
    }

    /// The words of a span.
    pub(super) fn words(&self, span: &Range<usize>) -> &'a str {
        self.text.get(span.clone()).expect("spans of a tree lie on character boundaries")
    }

    /// The values inside a value, in order.
    pub(super) fn inside(&self, at: usize) -> impl Iterator<Item = usize> {
        (at + 1..self.nodes.len()).filter(move |child| self.nodes[*child].parent == Some(at))
    }

    /// The short span that names a value: what stands before its bracket and, for a record, its first field.
    fn label(&self, at: usize) -> Range<usize> {
        let node = &self.nodes[at];
        let bracket = node.head.end..node.span.end;
        let first = self.inside(at).next().map(|first| node.span.start..self.nodes[first].span.end);
        let one_line = first.filter(|span| !self.words(span).contains('\n'));
        one_line
            .unwrap_or_else(|| if node.head.is_empty() { bracket.start..bracket.start + 1 } else { node.head.clone() })
    }

    /// The span that stands for a value in which something is left out.
    pub(super) fn name(&self, at: usize) -> Range<usize> {
        let node = &self.nodes[at];
        if !node.head.is_empty() {
            node.head.clone()
        } else if !node.name.is_empty() {
            node.name.clone()
        } else {
            self.label(at)
        }
    }

    /// The value itself, past any `Some(…)` round it.
    fn unwrapped(&self, mut at: usize) -> usize {
        while self.words(&self.nodes[at].head) == "Some" {
            let mut inside = self.inside(at);
            match (inside.next(), inside.next()) {
                (Some(only), None) if self.nodes[only].name.is_empty() => at = only,
                _ => break,
            }
        }
        at
    }

    fn field(&self, at: usize, field: &str) -> Option<usize> {
        self.inside(self.unwrapped(at)).find(|child| self.words(&self.nodes[*child].name) == field)
    }

    /// An item of a list or an argument; a word round nothing but a list (`All([…])`) gives the items of the list.
    fn item(&self, at: usize, index: usize) -> Option<usize> {
        let at = self.unwrapped(at);
        let mut inside = self.inside(at);
        let list = match (inside.next(), inside.next()) {
            (Some(only), None) if self.nodes[at].bracket == Some('(') && self.is_bare_list(only) => only,
            _ => at,
        };
        self.inside(list).nth(index)
    }

    fn is_bare_list(&self, at: usize) -> bool {
        self.nodes[at].bracket == Some('[') && self.nodes[at].name.is_empty()
    }
}
