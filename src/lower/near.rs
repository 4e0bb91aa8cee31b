//! Names near to one that nothing bears, found without looking at them all.

use std::collections::BTreeMap;

/// Names in lower case, letter by letter: what begins alike is looked at once.
#[derive(Clone, Debug, Default)]
pub(super) struct NameTree {
    nodes: Vec<TreeNode>,
}

#[derive(Clone, Debug, Default)]
struct TreeNode {
    next: BTreeMap<char, usize>,
    /// The names that end here, by their place in the list.
    ends: Vec<usize>,
}

impl NameTree {
    pub(super) fn of<'a>(names: impl IntoIterator<Item = &'a str>) -> NameTree {
        let mut nodes = vec![TreeNode::default()];
        for (index, name) in names.into_iter().enumerate() {
            let mut at = 0;
            for letter in name.to_lowercase().chars() {
                let fresh = nodes.len();
                let next = *nodes[at].next.entry(letter).or_insert(fresh);
                if next == fresh {
                    nodes.push(TreeNode::default());
                }
                at = next;
            }
            nodes[at].ends.push(index);
        }
        NameTree { nodes }
    }

    /// The names within so many slips, with how many: a letter too many, too few or another one, or two neighbouring ones
    /// exchanged. The nearest first, then in the order of the list.
    pub(super) fn within(&self, name: &str, slips: usize) -> Vec<(usize, usize)> {
        let name: Vec<char> = name.to_lowercase().chars().collect();
        let mut found = Vec::new();
        if !self.nodes.is_empty() {
            let first: Vec<usize> = (0..=name.len()).collect();
            self.walk(0, &name, slips, &TreeRows { own: first, before: None }, &mut found);
        }
        found.sort_unstable();
        found
    }

    /// The names that may be meant by one that nothing bears: the nearest, and those nearly as near. Not more than four: a longer
    /// list helps nobody.
    pub(super) fn nearest(&self, name: &str) -> Vec<usize> {
        let trimmed = name.trim();
        // What one slip explains is looked for first: that is quick, and mostly it.
        let mut within = self.within(trimmed, 1);
        if within.is_empty() {
            within = self.within(trimmed, (trimmed.chars().count() / 3).max(1));
        }
        let Some((least, _)) = within.first().copied() else { return Vec::new() };
        // What one slip explains is nearer by far than what takes two.
        let most = if least <= 1 { least } else { least + 1 };
        within.into_iter().filter(|(slips, _)| *slips <= most).take(4).map(|(_, index)| index).collect()
    }

    fn walk(&self, at: usize, name: &[char], slips: usize, rows: &TreeRows, found: &mut Vec<(usize, usize)>) {
        let node = &self.nodes[at];
        let distance = rows.own.last().copied().unwrap_or_default();
        if distance <= slips {
            found.extend(node.ends.iter().map(|index| (distance, *index)));
        }
        // An exchange of two letters reaches back over two rows.
        let least = |row: &[usize]| row.iter().copied().min().unwrap_or_default();
        let before = rows.before.as_ref().map_or(usize::MAX, |(row, _)| least(row).saturating_add(1));
        if least(&rows.own).min(before) > slips {
            return;
        }
        for (letter, next) in &node.next {
            let own = rows.after(name, *letter);
            self.walk(*next, name, slips, &TreeRows { own, before: Some((rows.own.clone(), *letter)) }, found);
        }
    }
}

/// How many slips lie between the letters so far and each beginning of the name; and the same one letter earlier, with the
/// letter that came then.
struct TreeRows {
    own: Vec<usize>,
    before: Option<(Vec<usize>, char)>,
}

impl TreeRows {
    fn after(&self, name: &[char], letter: char) -> Vec<usize> {
        let mut row = vec![self.own[0] + 1];
        for (at, wanted) in name.iter().enumerate() {
            let another = self.own[at] + usize::from(*wanted != letter);
            let mut least = another.min(self.own[at + 1] + 1).min(row[at] + 1);
            if let (Some((before, last)), Some(earlier)) = (&self.before, at.checked_sub(1))
                && *wanted == *last
                && name[earlier] == letter
            {
                least = least.min(before[earlier] + 1);
            }
            row.push(least);
        }
        row
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_finds_what_looking_at_all_would_find() {
        let names: Vec<String> = (0..2_000_u32).map(|n| format!("{}-{:05}", 20 + n % 7, n * 7_919 % 100_003)).collect();
        let tree = NameTree::of(names.iter().map(String::as_str));
        for (wanted, slips) in [("21-07919", 1), ("21-70919", 2), ("2-107919", 2), ("XQ00123", 2), ("26-0", 3), ("", 2)]
        {
            let found = tree.within(wanted, slips);
            let of_all = |(index, name): (usize, &String)| (strsim::osa_distance(wanted, name), index);
            let mut all: Vec<_> =
                names.iter().enumerate().map(of_all).filter(|(distance, _)| *distance <= slips).collect();
            all.sort_unstable();
            assert_eq!(found, all, "{wanted}");
        }
    }
}
