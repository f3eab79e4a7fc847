//! The STEP physical file (ISO 10303-21) as text: where each entity is, what its parameters are.
//!
//! Knows: statements, ids, parameters, string escapes, the header; damage and how to go on after
//! it. Never touches: what an IFC class means.
//!
//! One scan finds every `#id=` and the classes asked for; nothing is decoded until someone asks for
//! an entity by its id, and decoding borrows from the file's bytes.

pub mod header;
mod index;
mod lex;
pub mod param;
pub mod plain;
mod scan;
pub mod text;

pub use lex::next_entity;
pub use param::{Param, Params, Record};
pub use scan::{Scan, scan};
