//! Codes of the shop.

use super::codes;

codes! {}
