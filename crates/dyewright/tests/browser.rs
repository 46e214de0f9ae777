//! The workroom in a real browser (tests/browser/run.mjs): walks, accessibility, print.
//!
//! Needs Node.js, Debian's Chromium and the packages of tests/browser/package-lock.json; `./check` installs them.
//! Where they are missing the test says that it was skipped.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use colour::{BANDS, Bands, ClothPrior, Lab};
use scenes::{Chance, Layout, png_of};

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
    let pictures = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
    invented(pictures.path());
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
    walks.arg("run.mjs").arg(address.trim()).arg(pictures.path()).current_dir(&scripts);
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

/// Invented pictures for the walks: a drawing of panels, another scan of it, a photograph of a cloth beside a chart with
/// a note of where the cloth lies, and files that are no pictures.
fn invented(into: &Path) {
    let put = |name: &str, bytes: &[u8]| {
        std::fs::write(into.join(name), bytes).unwrap_or_else(|e| panic!("{name}: {e}"));
    };
    put("drawing.png", &drawing([[0x7a, 0x2f, 0x3f], [0x2f, 0x6f, 0x5a], [0xd9, 0xa0, 0x3c]]));
    put("scan.png", &drawing([[0x86, 0x38, 0x44], [0x35, 0x78, 0x66], [0xe0, 0xae, 0x50]]));
    put("no-picture.png", b"this is no picture");
    // What the silk of the example may read when its first swatch came out a little dull.
    let likely = ClothPrior::shipped().likely(Lab::new(58.0, 14.0, 46.0));
    let cloth = likely.unwrap_or_else(|e| panic!("{e}")).bands;
    let mut layout = Layout::careful(&chart(), 6, vec![cloth]);
    layout.side = [640, 700];
    let scene = layout.scene(&mut Chance::of(3));
    let photo = scene.photograph(&mut Chance::of(9)).jpeg().unwrap_or_else(|e| panic!("{e}"));
    put("photo.jpg", &photo);
    put("broken-off.jpg", &photo[..photo.len() / 2]);
    let corners = scene.cloth_corners(0, 0.5).unwrap_or_else(|| panic!("no cloth in the scene"));
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    put("photo.json", format!("{{\"middle\": [{:.0}, {:.0}]}}", middle[0], middle[1]).as_bytes());
}

/// Three panels side by side on grey.
fn drawing(panels: [[u8; 3]; 3]) -> Vec<u8> {
    let (width, height) = (480_usize, 320_usize);
    let mut rgb = vec![];
    for y in 0..height {
        for x in 0..width {
            let on_panel = (40..280).contains(&y) && (40..440).contains(&x);
            let panel = panels[((x.saturating_sub(40)) * 3 / 400).min(2)];
            rgb.extend(if on_panel { panel } else { [0x90; 3] });
        }
    }
    png_of(width, height, &rgb).unwrap_or_else(|e| panic!("{e}"))
}

/// The published reflectances of the classic chart, as they ship.
fn chart() -> Vec<Bands> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../picture/data/chart24.csv");
    let text = std::fs::read_to_string(file).unwrap_or_else(|e| panic!("{e}"));
    let row = |line: &str| {
        let values: Vec<f64> = line.split(',').skip(2).filter_map(|v| v.parse().ok()).collect();
        let bands = <[f64; BANDS]>::try_from(values).unwrap_or_else(|_| panic!("{line}"));
        Bands::try_new(bands).unwrap_or_else(|e| panic!("{e}"))
    };
    text.lines().skip(1).map(row).collect()
}
