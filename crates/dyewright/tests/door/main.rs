//! The door from outside: the built program is run with words and files, and what it says, writes and
//! ends with is looked at. Three sorts of test: *speech* (snapshots of refusals and help), *walk* (a
//! command from words to answer) and *documents* (docs/ held against what the program does).

#![expect(clippy::unwrap_used, reason = "a helper of a test fails its test")]

mod answers;
mod books;
mod cards;
mod colours;
mod documents;
mod dyed;
mod files;
mod learning;
mod photographs;
mod printed_cards;
mod read_by;
mod records;
mod refusals;
mod stopped;
mod street;
mod whole;
