//! Codes of what is claimed of an airframe.

use super::codes;

codes! {}
