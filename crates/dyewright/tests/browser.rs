//! The workroom in a real browser (tests/browser/run.mjs): walks, accessibility, print.
//!
//! Needs Node.js, Debian's Chromium and the packages of tests/browser/package-lock.json; `./check` installs them.
//! Where they are missing the test says that it was skipped.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

#[test]
fn the_walks_of_a_maker_in_a_real_browser() {
    let scripts = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser");
    let there = |program: &str| {
        let found = Command::new(program).arg("--version").stdout(Stdio::null()).status();
        found.is_ok_and(|status| status.success())
    };
    let chromium = std::env::var("CHROMIUM").unwrap_or_else(|_| "/usr/bin/chromium".to_owned());
    let packages = scripts.join("node_modules/playwright-core").exists();
    if !there("node") || !Path::new(&chromium).exists() || !packages {
        println!("skipped: the browser tests need node, chromium and `npm ci` in tests/browser");
        return;
    }
    let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
    let mut room = Command::new(env!("CARGO_BIN_EXE_dyewright"))
        .args(["open", "--no-browser", "--today", "2027-01-20"])
        .arg(folder.path())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("the workroom does not open: {e}"));
    let said = room.stdout.take().unwrap_or_else(|| panic!("it says nothing"));
    let address = BufReader::new(said)
        .lines()
        .map_while(Result::ok)
        .find(|line| line.contains("http://"))
        .unwrap_or_else(|| panic!("it says no address"));
    let mut walks = Command::new("node");
    walks.arg("run.mjs").arg(address.trim()).current_dir(&scripts);
    if let Ok(shots) = std::env::var("DYEWRIGHT_SHOTS") {
        walks.arg(shots);
    }
    let output = walks.output();
    let _ = room.kill();
    let _ = room.wait();
    let output = output.unwrap_or_else(|e| panic!("node does not run: {e}"));
    let told = String::from_utf8_lossy(&output.stdout);
    println!("{told}");
    assert!(output.status.success(), "{told}{}", String::from_utf8_lossy(&output.stderr));
}
