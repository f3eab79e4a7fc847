//! Codes about IFC files.

use super::codes;

codes! {}
