//! Codes of the catalogue of the type as a whole.

use super::codes;

codes! {}
