//! What is asked after a failure, answered from a list: which questions come, what is suggested, and which record it makes.

#![cfg(test)]

mod corrections;
mod faults;
mod script;
mod works;
