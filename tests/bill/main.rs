//! The bill of parts: explosion, totals, issues, and how it is shown.
