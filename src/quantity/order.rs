//! The order in which names are listed.

use std::cmp::Ordering;

/// Orders names as people do: runs of digits by their number, so that `M2` comes before `M10`.
///
/// Invariant: a total order that agrees with equality of texts.
///
/// ```
/// let mut names = ["M10", "M2", "M02"];
/// names.sort_by(|a, b| modstate::quantity::order::natural(a, b));
/// assert_eq!(names, ["M02", "M2", "M10"]);
/// ```
#[must_use]
pub fn natural(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.chars().peekable(), b.chars().peekable());
    loop {
        match (left.peek().copied(), right.peek().copied()) {
            (None, None) => return a.cmp(b),
            (Some(l), Some(r)) if l.is_ascii_digit() && r.is_ascii_digit() => {
                let (l, r) = (digits(&mut left), digits(&mut right));
                let order = l.len().cmp(&r.len()).then_with(|| l.cmp(&r));
                if order.is_ne() {
                    return order;
                }
            }
            (l, r) if l == r => {
                left.next();
                right.next();
            }
            (l, r) => return l.cmp(&r),
        }
    }
}

/// Takes a run of digits without its leading zeros.
fn digits(text: &mut std::iter::Peekable<std::str::Chars<'_>>) -> String {
    let mut run = String::new();
    while let Some(digit) = text.next_if(char::is_ascii_digit) {
        if digit != '0' || !run.is_empty() {
            run.push(digit);
        }
    }
    run
}
