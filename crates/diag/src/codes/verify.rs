//! Codes the verifier raises when a plan breaks the contract.

use super::codes;

codes! {}
