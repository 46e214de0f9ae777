//! `dyewright`: the door. It reads the command line, calls the workroom, and speaks.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
