//! Writes the invented plan of the tests as a page to standard output, to be looked at.

#![expect(clippy::print_stdout, reason = "the page is its output")]

#[path = "../tests/fixture/mod.rs"]
mod fixture;

fn main() {
    println!("{}", paper::html(&fixture::plan()));
}
