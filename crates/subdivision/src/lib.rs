//! Many lots at a time: which there are, whether one has to be planned again, and what they need all
//! together.
//!
//! Knows: manifests, lot names and folders, what a lot's results depend on ([`key`]), the record that
//! lies in each finished folder ([`Record`]), roll-ups, stock over several lots ([`pool`]), the saw's
//! answer ([`accept`]). Never touches: drawings, how a plan is made, threads, the clock, the file
//! system; whoever calls reads and writes.
//!
//! Nothing here depends on the order of the lots: every roll-up goes by lot name ([`natural`]).

pub mod accept;
pub mod columns;
mod index;
mod manifest;
mod names;
mod paths;
pub mod pool;
mod record;
mod rollup;
mod shard;

pub use index::page as index_page;
pub use manifest::{COLUMNS, LayerChoice, Lot, Manifest, read_csv, read_toml};
pub use names::{folder_name, natural, one_folder};
pub use paths::within;
pub use record::{FileSize, Inputs, Lumber, Problem, Record, Status, key, sha256_hex};
pub use rollup::{CUTS, Entry, by_group, tables};
pub use shard::{SHELVES_FROM, Shard, folder_of};

/// A file of a roll-up, ready to be written.
pub type NamedBytes = (&'static str, Vec<u8>);
