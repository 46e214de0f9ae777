//! Prints the plan of a costume file as JSON, without a door: for looking at the document while
//! working on this room. `cargo run -p plan --example plan_json -- COSTUME.toml [SHELF.toml]`

#![expect(clippy::print_stdout, reason = "an example prints its answer")]

use std::error::Error;
use std::path::Path;

#[path = "../tests/common/mod.rs"]
mod common;

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args().nth(1).ok_or("name a costume file")?;
    let folder = Path::new(&file).parent().unwrap_or(Path::new(".")).to_path_buf();
    let text = std::fs::read_to_string(&file)?;
    let files = common::Folder(folder.clone());
    let lore = lore::Lore::shipped();
    let costume = costume::read_costume(&file, &text, lore, &files)?;
    let shelf = match &costume.shelf {
        Some(name) => {
            let text = std::fs::read_to_string(folder.join(name))?;
            costume::read_shelf(name, &text, lore, &files)?
        }
        None => costume::Shelf::of_starters(),
    };
    println!("{}", serde_json::to_string_pretty(&common::planned(&costume, &shelf)?)?);
    Ok(())
}
