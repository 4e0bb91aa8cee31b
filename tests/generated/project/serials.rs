//! Two factories, each with a block whose line order is not its serial order and a later one whose is.

use super::{FIRST_BUILT, LAST_BUILT, Spec, share};

/// The factories.
pub(crate) const FACTORIES: [&str; 2] = ["Quillhaven", "Marrowby"];
const PREFIXES: [&str; 2] = ["QD", "MX"];

/// A serial with its place on its factory's line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Serial {
    pub factory: usize,
    pub number: u32,
    pub line: u32,
}

impl Serial {
    pub(crate) fn text(self) -> String {
        format!("{}{}", PREFIXES[self.factory], self.number)
    }
}

/// Serials of one factory from the first number to the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Range {
    pub factory: usize,
    pub first: u32,
    pub last: u32,
}

impl Range {
    pub(crate) fn text(self) -> String {
        let prefix = PREFIXES[self.factory];
        format!("{prefix}{}..{prefix}{}", self.first, self.last)
    }
    pub(crate) fn contains(self, serial: Serial) -> bool {
        self.factory == serial.factory && (self.first..=self.last).contains(&serial.number)
    }
}

/// A serial block.
pub(crate) struct Block {
    pub range: Range,
    /// The line number of its first airframe.
    pub first_line: u32,
    /// The order in which its serials left the line, where that is not their own.
    pub order: Option<Vec<Range>>,
}

/// The production lines.
pub(crate) struct Line {
    pub blocks: Vec<Block>,
    /// How many each factory built.
    pub built: [u32; 2],
}

impl Line {
    pub(crate) fn new(spec: &Spec) -> Line {
        let many = u32::try_from(spec.airframes).expect("a fleet is small");
        let built = [240 + many * 7 / 10, 160 + many / 2];
        let mut blocks = Vec::new();
        for (factory, built) in built.into_iter().enumerate() {
            let quarter = built / 10;
            let early = 4 * quarter;
            let chunk = |nth: u32| Range { factory, first: 101 + nth * quarter, last: 100 + (nth + 1) * quarter };
            blocks.push(Block {
                range: Range { factory, first: 101, last: 100 + early },
                first_line: 1,
                order: Some([0, 2, 1, 3].map(chunk).to_vec()),
            });
            let first = (early / 100 + 3) * 100 + 1;
            let range = Range { factory, first, last: first + built - early - 1 };
            blocks.push(Block { range, first_line: early + 1, order: None });
        }
        Line { blocks, built }
    }

    /// The airframe at a place on a factory's line.
    pub(crate) fn at(&self, factory: usize, line: u32) -> Serial {
        let mut of_factory = self.blocks.iter().filter(|block| block.range.factory == factory);
        let block = of_factory.rfind(|block| block.first_line <= line).expect("line numbers start at 1");
        let mut ahead = line - block.first_line;
        let whole = [block.range];
        for run in block.order.as_deref().unwrap_or(&whole) {
            let length = run.last - run.first + 1;
            if ahead < length {
                return Serial { factory, number: run.first + ahead, line };
            }
            ahead -= length;
        }
        unreachable!("the line number is one of the factory's")
    }

    /// A line number at a share of a factory's line.
    pub(crate) fn place(&self, factory: usize, part: f64) -> u32 {
        share(self.built[factory], part)
    }

    /// An airframe that every modification is open to, by one of its forms.
    pub(crate) fn open_to_all(&self) -> Serial {
        self.at(0, self.place(0, 0.85))
    }

    /// The block in which line order is serial order.
    pub(crate) fn late_block(&self, factory: usize) -> &Block {
        &self.blocks[2 * factory + 1]
    }

    /// When the airframe left the line.
    pub(crate) fn built_on(&self, serial: Serial) -> i32 {
        let (line, all) = (i64::from(serial.line), i64::from(self.built[serial.factory]));
        let span = i64::from(LAST_BUILT - FIRST_BUILT) - 40;
        FIRST_BUILT + i32::try_from(span * line / all).expect("inside the years of production")
    }
}
