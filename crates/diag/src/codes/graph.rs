//! Codes about the wall graph: snapping, junctions, cleaning.

use super::codes;

codes! {}
