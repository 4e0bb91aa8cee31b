//! How wide letters are, so that words stay in their boxes whatever face is at hand.
//!
//! The advance widths of `DejaVu Sans` 2.37 and `DejaVu Sans Bold` 2.37 (their `hmtx` tables), in thousandths of the size: of the
//! faces in common use the widest. In Liberation Sans, which is as wide as Arial, the same words are narrower.

/// The widths of the characters from the space to the tilde.
const PLAIN: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863,
    748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635,
    615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636,
    337, 636, 838,
];
const BOLD: [u16; 95] = [
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696,
    696, 696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995,
    837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675, 716, 593, 716,
    678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712,
    365, 712, 838,
];
/// What any other character counts as: the widest of those that sheets use (a cross, an ellipsis).
const OTHER: u16 = 1000;

/// The width of a text in thousandths of its size.
pub(super) fn thousandths(text: &str, bold: bool) -> f64 {
    let table = if bold { &BOLD } else { &PLAIN };
    let one = |c: char| {
        let index = u32::from(c).checked_sub(32).and_then(|at| usize::try_from(at).ok());
        index.and_then(|at| table.get(at)).copied().unwrap_or(OTHER)
    };
    text.chars().map(|c| f64::from(one(c))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_face() {
        assert!((thousandths("M", false) - 863.0).abs() < 1e-9);
        assert!((thousandths("i~", true) - (343.0 + 838.0)).abs() < 1e-9);
        assert!((thousandths("\u{d7}", false) - 1000.0).abs() < 1e-9);
    }
}
