//! Stopped in the middle: nothing half written is left, and what was there is as it was.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::street::{SOUND, code, complained, dyewright, folder, names, put};

/// A costume of a hundred pieces, each of its own colour, so that there is time to stop.
fn a_hundred_pieces() -> String {
    let mut text = String::from("[costume]\nname = \"A hundred ferrymen\"\n");
    for i in 0..100 {
        let (l, a, b) = (25 + i % 45, (i * 7) % 40 - 20, (i * 13) % 50 - 25);
        write!(
            text,
            "\n[[piece]]\nid = \"p{i}\"\ncloth = \"cotton\"\nweight_g = {}\ntarget = {{ lab = [{l}.0, \
             {a}.0, {b}.0] }}\n",
            100 + i
        )
        .unwrap();
    }
    text
}

fn started(folder: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_dyewright"))
        .current_dir(folder)
        .args(["plan", "costume.toml", "--today", "2027-01-10"])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn signal(child: &Child, which: &str) {
    let sent = Command::new("kill").arg(which).arg(child.id().to_string()).status().unwrap();
    assert!(sent.success());
}

/// What stands in a folder: names and bytes.
fn standing(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    names(folder).into_iter().map(|n| (n.clone(), fs::read(folder.join(n)).unwrap())).collect()
}

#[cfg(unix)]
#[test]
fn stopped_while_planning_everything_stays_as_it_was() {
    for (which, ends) in [("-INT", Some(130)), ("-TERM", None), ("-KILL", None)] {
        let folder = folder();
        put(folder.path(), "costume.toml", SOUND);
        assert_eq!(code(&dyewright(folder.path(), &["plan", "costume.toml"])), 0);
        put(folder.path(), "costume.toml", a_hundred_pieces());
        let before = standing(folder.path());
        let mut child = started(folder.path());
        let mut heard = BufReader::new(child.stderr.take().unwrap()).lines();
        let searching = heard.by_ref().map_while(Result::ok).any(|l| l.contains("searching"));
        assert!(searching, "it is in the middle of its work");
        signal(&child, which);
        let rest: Vec<String> = heard.map_while(Result::ok).collect();
        assert_eq!(child.wait().unwrap().code(), ends, "{which}");
        assert_eq!(rest.iter().any(|l| l.contains("nothing was written")), ends.is_some());
        assert_eq!(standing(folder.path()), before, "{which}");
    }
}

/// Killed at moments before, in and after the writing: every file at its place is whole, and the next run
/// leaves nothing beside them.
#[cfg(unix)]
#[test]
fn killed_around_the_writing_every_file_is_whole() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    let start = Instant::now();
    assert!(started(folder.path()).wait().unwrap().success());
    let whole = start.elapsed();
    let stand = standing(folder.path());
    for n in 0..24 {
        let mut child = started(folder.path());
        sleep(whole.mul_f64(0.5 + f64::from(n) / 40.0));
        // It may have ended by itself by now.
        let _ = child.kill();
        child.wait().unwrap();
        let mut now = standing(folder.path());
        now.retain(|name, _| !name.starts_with(".dyewright-"));
        assert!(now == stand, "kill {n}: a file is not what a whole run writes");
    }
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--today", "2027-01-10"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    assert_eq!(names(folder.path()), stand.keys().cloned().collect::<Vec<_>>());
}

/// Long after the signal a planner that did not hear it would have written.
#[cfg(unix)]
#[test]
fn a_stop_is_heard_at_once() {
    let folder = folder();
    put(folder.path(), "costume.toml", a_hundred_pieces());
    let mut child = started(folder.path());
    let mut heard = BufReader::new(child.stderr.take().unwrap()).lines();
    assert!(heard.by_ref().map_while(Result::ok).any(|l| l.contains("searching")));
    let start = Instant::now();
    signal(&child, "-INT");
    child.wait().unwrap();
    let took: Duration = start.elapsed();
    assert!(took < Duration::from_secs(2), "{took:?}");
}
