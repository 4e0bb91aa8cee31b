//! Codes of the dossiers, taken one by one.

use super::codes;

codes! {}
