//! The whole pipeline, from a drawing's bytes to its results, in one test binary.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

mod accept;
mod bad_input;
mod batch;
mod chord;
mod concrete;
mod corners;
mod corpus;
mod curved;
mod demo;
mod double;
mod extras;
mod faults;
mod feed;
mod fixtures;
mod guide;
mod inspect;
mod judge;
mod limits;
mod order;
mod raked;
mod rectangle;
mod refit;
mod stock;
mod subdivision;
mod tools;
