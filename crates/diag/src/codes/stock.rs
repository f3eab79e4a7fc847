//! Codes about boards.

use super::codes;

codes! {}
