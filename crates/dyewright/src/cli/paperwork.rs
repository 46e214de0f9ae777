//! `completions` and `man`: what a shell and a manual reader need.

use std::io;
use std::path::{Path, PathBuf};

use clap::{Args, CommandFactory as _};
use clap_complete::Shell;
use workroom::Trouble;

use super::speech::say;
use super::{Ended, Line};

/// The words of `completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionWords {
    /// The shell
    shell: Shell,
}

/// The words of `man`.
#[derive(Debug, Args)]
pub(crate) struct ManWords {
    /// Write a page for every command into this folder
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
}

/// Writes completions to standard output.
pub(crate) fn completions(words: &CompletionWords) -> Result<Ended, Trouble> {
    let mut held = vec![];
    clap_complete::generate(words.shell, &mut Line::command(), "dyewright", &mut held);
    say(String::from_utf8_lossy(&held).trim_end());
    Ok(Ended::Answered)
}

/// Writes the manual page to standard output, or all pages into a folder.
pub(crate) fn man(words: &ManWords) -> Result<Ended, Trouble> {
    match &words.out {
        None => {
            let mut page = vec![];
            let rendered = clap_mangen::Man::new(Line::command()).render(&mut page);
            rendered.map_err(|e| broken(Path::new("standard output"), &e))?;
            say(String::from_utf8_lossy(&page).trim_end());
        }
        Some(folder) => {
            std::fs::create_dir_all(folder).map_err(|e| broken(folder, &e))?;
            clap_mangen::generate_to(Line::command(), folder).map_err(|e| broken(folder, &e))?;
            say(&format!("Manual pages written into {}", folder.display()));
        }
    }
    Ok(Ended::Answered)
}

fn broken(path: &Path, why: &io::Error) -> Trouble {
    Trouble::Broken { doing: "writing", path: path.to_path_buf(), why: why.to_string() }
}
