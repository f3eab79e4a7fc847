//! An invented house through wall graph, planner and verifier: they must agree.
#![no_main]

use libfuzzer_sys::fuzz_target;
use platewright_fuzz::house::House;
use platewright_fuzz::judge;

fuzz_target!(|house: House| judge::house(&house));
