//! The whole pipeline, from a drawing's bytes to its results, in one test binary.

mod bad_input;
mod batch;
mod corpus;
mod demo;
mod fixtures;
mod judge;
mod order;
mod rectangle;
mod tools;
