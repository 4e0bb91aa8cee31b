//! Lengths, read exactly.

/// A length with the text as written.
///
/// Invariant: `picometres` is the exact value of the text: 1/64 in is 396 875 000 pm, 0.001 mm is 1 000 000 pm. A text
/// whose value is no whole number of picometres is refused when it is read.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Length {
    /// The value.
    pub picometres: i64,
    /// As written.
    pub text: String,
}

impl Length {
    /// The value in millimetres, to the nearest `f64`.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "the nearest f64 is what is asked for")]
    pub fn mm(&self) -> f64 {
        self.picometres as f64 / 1e9
    }
    /// The value in inches, to the nearest `f64`.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "the nearest f64 is what is asked for")]
    pub fn inches(&self) -> f64 {
        self.picometres as f64 / 25.4e9
    }
}
