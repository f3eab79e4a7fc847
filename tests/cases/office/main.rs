//! The office, over real sockets on the loopback address.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

mod bad_input;
mod client;
mod flow;
mod security;
