//! A program killed while it records loses nothing it has acknowledged (the whole: example `kill_book`).

#[path = "../../examples/kill_book/recorder.rs"]
mod recorder;

use std::path::Path;
use std::process::Command;

use crate::common::folder;

const PLACE: &str = "DYEWRIGHT_TEST_RECORD";

/// Not a test by itself: the program that is killed.
#[test]
#[ignore = "started by the test below"]
fn records_until_it_is_killed() {
    let Ok(place) = std::env::var(PLACE) else { return };
    let (seed, path) = place.split_once(' ').unwrap();
    recorder::record(Path::new(path), seed.parse().unwrap()).unwrap();
}

#[test]
fn nothing_acknowledged_is_lost_when_the_program_is_killed() {
    let program = std::env::current_exe().unwrap();
    let mut acknowledged = 0;
    for i in 0..12 {
        let folder = folder();
        let path = folder.path().join("book.sqlite");
        let seed = recorder::mixed(i);
        let found = recorder::round(&path, seed, || {
            let mut command = Command::new(&program);
            command.args([
                "--exact",
                "killed::records_until_it_is_killed",
                "--ignored",
                "--nocapture",
            ]);
            recorder::piped(command.env(PLACE, format!("{seed} {}", path.display())))
        })
        .unwrap();
        assert_eq!((found.lost, found.unopened, found.unclean), (0, 0, 0), "round {i}: {found:?}");
        acknowledged += found.acknowledged;
    }
    assert!(acknowledged > 200, "they were killed before they had recorded: {acknowledged}");
}
