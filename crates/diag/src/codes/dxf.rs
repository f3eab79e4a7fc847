//! Codes about DXF files.

use super::codes;

codes! {}
