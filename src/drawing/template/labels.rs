//! Words beside holes, placed so that they lie over nothing.

use super::drawing::{DxfDrawing, DxfPoint, Justification, Layer};

/// A rectangle: its lower left and its upper right corner.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Extent {
    pub(super) low: DxfPoint,
    pub(super) high: DxfPoint,
}

impl Extent {
    /// The square round a place.
    pub(super) fn round(at: DxfPoint, half: f64) -> Extent {
        Extent { low: (at.0 - half, at.1 - half), high: (at.0 + half, at.1 + half) }
    }
    /// What holds both.
    pub(super) fn with(self, other: Extent) -> Extent {
        Extent {
            low: (self.low.0.min(other.low.0), self.low.1.min(other.low.1)),
            high: (self.high.0.max(other.high.0), self.high.1.max(other.high.1)),
        }
    }
    /// The longer of its two sides.
    pub(super) fn longest(self) -> f64 {
        (self.high.0 - self.low.0).max(self.high.1 - self.low.1)
    }
    fn meets(self, other: Extent) -> bool {
        self.low.0 < other.high.0 && other.low.0 < self.high.0 && self.low.1 < other.high.1 && other.low.1 < self.high.1
    }
    /// Whether a straight line has a piece inside.
    fn is_crossed(self, (start, end): Stroke) -> bool {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, end, low, high) in
            [(start.0, end.0, self.low.0, self.high.0), (start.1, end.1, self.low.1, self.high.1)]
        {
            let way = end - start;
            if way == 0.0 {
                if start <= low || start >= high {
                    return false;
                }
                continue;
            }
            let (a, b) = ((low - start) / way, (high - start) / way);
            from = from.max(a.min(b));
            to = to.min(a.max(b));
        }
        from < to
    }
}

/// A straight line from one place to another.
type Stroke = (DxfPoint, DxfPoint);

/// Whether two straight lines cross.
fn cross(a: Stroke, b: Stroke) -> bool {
    let side = |(start, end): Stroke, at: DxfPoint| {
        (end.0 - start.0) * (at.1 - start.1) - (end.1 - start.1) * (at.0 - start.0)
    };
    side(a, b.0) * side(a, b.1) < 0.0 && side(b, a.0) * side(b, a.1) < 0.0
}

/// How wide a text is, generously: fonts differ from shop to shop.
pub(super) fn width(text: &str, height: f64) -> f64 {
    0.95 * height * f64::from(u32::try_from(text.chars().count()).unwrap_or(u32::MAX))
}

/// What is drawn already.
#[derive(Default)]
pub(super) struct Labels {
    taken: Vec<Extent>,
    lines: Vec<Stroke>,
}

impl Labels {
    pub(super) fn keep_off(&mut self, extent: Extent) {
        self.taken.push(extent);
    }
    pub(super) fn keep_off_line(&mut self, start: DxfPoint, end: DxfPoint) {
        self.lines.push((start, end));
    }

    /// How far the plate reaches with the words round it; what stands far off, as the jig's origin may, is left aside.
    pub(super) fn near(&self, plate: Extent) -> Extent {
        let reach = plate.longest() / 4.0;
        let round = Extent {
            low: (plate.low.0 - reach, plate.low.1 - reach),
            high: (plate.high.0 + reach, plate.high.1 + reach),
        };
        self.taken.iter().copied().filter(|extent| extent.meets(round)).fold(plate, Extent::with)
    }

    /// Puts words as near to a circle, given by its centre and radius, as they lie over nothing, with a line to it where
    /// that is not near.
    pub(super) fn put(&mut self, drawing: &mut DxfDrawing, centre: DxfPoint, radius: f64, height: f64, words: &str) {
        let (wide, pad) = (width(words, height), 0.3 * height);
        let mut best = None;
        // First without a line of the drawing between the words and the circle, then with some.
        'found: for (over_lines, ring) in
            [false, true].into_iter().flat_map(|over| (1..=60_u32).map(move |r| (over, r)))
        {
            let reach = radius + height * (0.2 + 0.8 * f64::from(ring));
            for eighth in [1.0, 3.0, 7.0, 5.0, 0.0, 4.0, 2.0, 6.0, 0.5, 3.5, 7.5, 4.5, 1.5, 2.5, 6.5, 5.5] {
                let (sin, cos) = (eighth * std::f64::consts::FRAC_PI_4).sin_cos();
                let near = (centre.0 + reach * cos, centre.1 + reach * sin);
                let (anchor, left) = match cos {
                    cos if cos > 0.01 => (Justification::Left, near.0),
                    cos if cos < -0.01 => (Justification::Right, near.0 - wide),
                    _ => (Justification::Middle, near.0 - wide / 2.0),
                };
                let low = near.1 - height * (1.0 - sin) / 2.0;
                let extent = Extent { low: (left - pad, low - pad), high: (left + wide + pad, low + height + pad) };
                let leader = (ring > 1).then(|| {
                    let start = (centre.0 + radius * cos, centre.1 + radius * sin);
                    (start, (near.0 - pad * cos, near.1 - pad * sin))
                });
                let is_free = self.is_free(extent, leader, over_lines);
                if best.is_none() || is_free {
                    best = Some((extent, leader, (near.0, low), anchor));
                }
                if is_free {
                    break 'found;
                }
            }
        }
        let Some((extent, leader, at, anchor)) = best else { return };
        if let Some((start, end)) = leader {
            drawing.line(Layer::Text, start, end);
            self.lines.push((start, end));
        }
        self.taken.push(extent);
        drawing.text(at, height, anchor, words);
    }

    fn is_free(&self, extent: Extent, leader: Option<Stroke>, over_lines: bool) -> bool {
        let clear = !self.taken.iter().any(|taken| taken.meets(extent));
        let uncrossed = !self.lines.iter().any(|line| extent.is_crossed(*line));
        let own = |taken: &Extent, start: DxfPoint| {
            taken.low.0 <= start.0 && start.0 <= taken.high.0 && taken.low.1 <= start.1 && start.1 <= taken.high.1
        };
        clear
            && uncrossed
            && leader.is_none_or(|line| {
                !self.taken.iter().any(|taken| !own(taken, line.0) && taken.is_crossed(line))
                    && (over_lines || !self.lines.iter().any(|other| cross(line, *other)))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_lie_over_nothing() {
        let mut labels = Labels::default();
        let mut drawing = DxfDrawing::new(false);
        let centres: Vec<DxfPoint> = (0..12_u8).map(|n| (f64::from(n % 4) * 9.0, f64::from(n / 4) * 9.0)).collect();
        for centre in &centres {
            labels.keep_off(Extent::round(*centre, 2.0));
        }
        labels.keep_off_line((-20.0, -20.0), (40.0, 40.0));
        for centre in &centres {
            labels.put(&mut drawing, *centre, 2.0, 2.5, "L1 dia 3.300");
        }
        assert_eq!(labels.taken.len(), 24);
        for (n, a) in labels.taken.iter().enumerate() {
            assert!(labels.taken[n + 1..].iter().all(|b| !a.meets(*b)), "{a:?}");
        }
        assert!(labels.taken[12..].iter().all(|words| !words.is_crossed(labels.lines[0])));
    }
}
