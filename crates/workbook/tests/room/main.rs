//! The room from outside: *laws* (nothing lost, nothing changed, nothing missed), *speech* (what is
//! refused, and in which words), and *walks* (a program killed, a piece made again).

#![expect(clippy::unwrap_used, reason = "a helper of a test fails its test")]

mod append_only;
mod common;
mod damage;
mod forms;
mod killed;
mod nearest;
mod pieces;
mod refusals;
mod round_trip;
