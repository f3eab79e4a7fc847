//! Houses nobody will build, for tests and the fuzzer.
//!
//! Knows: how to make walls and settings of any bytes, anyhow or as people build ([`house`]), bytes of a seed ([`seeded`]), and a board for every piece ([`boards`]). Never
//! touches: the product, no part of which uses it.

pub mod boards;
pub mod house;
mod rooms;
pub mod seeded;
