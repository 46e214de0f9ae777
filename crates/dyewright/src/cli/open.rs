//! `open`: the workroom in the browser.

use std::path::PathBuf;

use clap::Args;
use units::Day;

use crate::opening::Opening;

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// A costume file, or a folder with costume files [default: this folder]
    place: Option<PathBuf>,
    /// The port it listens on, on this machine only [default: any that is free]
    #[arg(long, value_name = "PORT")]
    port: Option<u16>,
    /// Say the address and start no browser
    #[arg(long)]
    no_browser: bool,
    /// Rest the recipes on this workbook [default: workbook.sqlite beside each
    /// costume file]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Plan as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

impl Words {
    /// The same for the door that is opened.
    pub(crate) fn opening(&self) -> Opening {
        Opening {
            place: self.place.clone().unwrap_or_else(|| PathBuf::from(".")),
            port: self.port.unwrap_or(0),
            browser: !self.no_browser,
            book: self.book.clone(),
            today: self.today,
        }
    }
}
