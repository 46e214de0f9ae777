//! The worked example put into a folder of its own, for a maker who wants to see one first.

use std::path::Path;

use crate::Trouble;
use crate::disk::{broken, write_whole};

/// The files of the example, as they stand in the repository; all of it is invented.
const FILES: &[(&str, &[u8])] = &[
    ("costume.toml", include_bytes!("../../../examples/lantern-warden/costume.toml")),
    ("shelf.toml", include_bytes!("../../../examples/lantern-warden/shelf.toml")),
    ("swatches.toml", include_bytes!("../../../examples/lantern-warden/swatches.toml")),
    ("reference.svg", include_bytes!("../../../examples/lantern-warden/reference.svg")),
    ("reference.png", include_bytes!("../../../examples/lantern-warden/reference.png")),
    ("readings/ember.csv", include_bytes!("../../../examples/lantern-warden/readings/ember.csv")),
];

/// Writes the worked example into a new folder; never over anything.
///
/// # Errors
/// Something stands at that place; the disk refuses.
pub fn begin_example(folder: &Path) -> Result<(), Trouble> {
    if folder.symlink_metadata().is_ok() {
        let says = format!("{} is there already", folder.display());
        return Err(Trouble::refused(says, "move it away, or open it as it is"));
    }
    for under in [folder.to_path_buf(), folder.join("readings")] {
        std::fs::create_dir_all(&under).map_err(|e| broken("making the folder", &under, &e))?;
    }
    for (name, bytes) in FILES {
        write_whole(&[(&folder.join(name), bytes)])?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::costumes_in;

    #[test]
    fn the_example_is_a_costume_that_opens_and_is_never_written_over() -> std::io::Result<()> {
        let house = tempfile::tempdir()?;
        let place = house.path().join("lantern-warden");
        begin_example(&place).unwrap_or_else(|e| panic!("{e}"));
        let found = costumes_in(house.path()).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(found.len(), 1, "{found:?}");
        crate::opened::Opened::of(&found[0].path, None).unwrap_or_else(|e| panic!("{e}"));
        assert!(begin_example(&place).is_err());
        Ok(())
    }
}
