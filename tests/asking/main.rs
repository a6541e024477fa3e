//! What is asked after a failure, answered from a list: which questions come, what is suggested, and which record it makes.

#![cfg(test)]

mod faults;
mod script;
mod works;
