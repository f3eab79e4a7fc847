//! Settings from TOML.
