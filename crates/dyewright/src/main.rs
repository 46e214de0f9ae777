//! `dyewright`: two doors to the workroom, the command line and the browser. A door reads, calls the workroom, and
//! speaks.

mod cli;
mod opening;
mod web;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run(web::open)
}
