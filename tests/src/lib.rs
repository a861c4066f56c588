//! What the tests and the accuracy harness of the whole program share.

pub mod accuracy;
