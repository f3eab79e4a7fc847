//! Codes about writing results.

use super::codes;

codes! {}
