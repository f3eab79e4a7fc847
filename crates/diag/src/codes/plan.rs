//! Codes about plates: joints, laps, notches, heights, nails.

use super::codes;

codes! {}
