//! The workroom in a real browser (tests/browser/run.mjs): walks, accessibility, print.
//!
//! Needs Node.js, Debian's Chromium and the packages of tests/browser/package-lock.json; `./check` installs them.
//! Where they are missing the test says that it was skipped.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use colour::{BANDS, Bands, ClothPrior, Lab};
use scenes::{Chance, Layout, Printer, Scene, dyed_pair, made_up, png_of, with_print};

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
    let own = by_own_cloths(&put);
    let white = by_white(&put);
    let card = by_a_printed_card(into, &put);
    put("places.json", format!("{{{own}, {white}, {card}}}").as_bytes());
}

/// Twelve dyed cloths four in a row with one more beside them, and their values as a text; where they lie.
fn by_own_cloths(put: &dyn Fn(&str, &[u8])) -> String {
    let mut chance = Chance::of(61);
    let own: Vec<Bands> = (0..6).flat_map(|_| dyed_pair(0.9, &mut chance)).collect();
    let unknown = made_up(&mut chance).unwrap_or_else(|| panic!("no reflectance"));
    let mut layout = Layout::careful(&own, 4, vec![unknown]);
    layout.side = [640, 700];
    let scene = layout.scene(&mut chance);
    put("own.jpg", &photographed(&scene));
    let mut text = String::from("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID");
    let all = (0..BANDS).map(|band| format!(" NM_{}", Bands::wavelength(band)));
    text.extend(all);
    text.push_str("\nEND_DATA_FORMAT\nBEGIN_DATA\n");
    for (n, bands) in own.iter().enumerate() {
        let values: Vec<String> = bands.values().iter().map(|v| format!("{v:.4}")).collect();
        text.push_str(&format!("C{n} {}\n", values.join(" ")));
    }
    put("own.txt", (text + "END_DATA\n").as_bytes());
    let around = scene.chart_corners().unwrap_or_else(|| panic!("no card in the scene"));
    format!("\"ownCloth\": {}, \"ownCorners\": {}", place(&scene, 0), four(around))
}

/// A cloth and a white beside it, evenly lit; where both lie.
fn by_white(put: &dyn Fn(&str, &[u8])) -> String {
    let mut chance = Chance::of(8);
    let cloth = made_up(&mut chance).unwrap_or_else(|| panic!("no reflectance"));
    let white = Bands::flat(0.95).unwrap_or_else(|e| panic!("{e}"));
    let mut layout = Layout::careful(&chart(), 6, vec![cloth, white]);
    layout.side = [560, 600];
    let mut scene = layout.scene(&mut chance);
    scene.lit.slope[0] = 0.0;
    scene.lit.near = None;
    scene.lit.corners = 0.0;
    scene.processing.exposure = 0.7;
    put("white.jpg", &photographed(&scene));
    format!("\"whiteCloth\": {}, \"white\": {}", place(&scene, 0), place(&scene, 1))
}

/// The card as an invented printer prints it, beside the chart; then a cloth beside the card alone, and where it lies.
fn by_a_printed_card(into: &Path, put: &dyn Fn(&str, &[u8])) -> String {
    let drawn = Command::new(env!("CARGO_BIN_EXE_dyewright"))
        .args(["card", "--code", "home-1"])
        .current_dir(into)
        .output();
    drawn.unwrap_or_else(|e| panic!("the card is not drawn: {e}"));
    let svg = std::fs::read_to_string(into.join("colour-card-home-1-a5.svg"));
    let svg = svg.unwrap_or_else(|e| panic!("{e}"));
    let mut chance = Chance::of(41);
    let printer = Printer::drawn(&mut chance);
    // After the sheet, the grey and the black come the patches.
    let fills = svg.lines().filter(|line| line.starts_with("<rect x")).skip(2).take(48);
    let asked = fills.filter_map(|line| line.split("fill=\"#").nth(1));
    let channel = |hex: &str, k: usize| u8::from_str_radix(&hex[k..k + 2], 16).unwrap_or(0);
    let prints: Vec<Bands> =
        asked.map(|hex| printer.prints([0, 2, 4].map(|k| channel(hex, k)))).collect();
    let mut layout = Layout::careful(&chart(), 6, vec![]);
    layout.side = [1400, 1400];
    layout.clutter = 1;
    let scene = with_print(layout.scene(&mut chance), &prints, 8, &mut chance);
    put("card.jpg", &photographed(&scene));
    let cloth = made_up(&mut Chance::of(12)).unwrap_or_else(|| panic!("no reflectance"));
    let mut layout = Layout::careful(&prints, 8, vec![cloth]);
    layout.side = [900, 900];
    let mut later = layout.scene(&mut chance);
    later.eye = scene.eye.clone();
    put("cloth-by-card.jpg", &photographed(&later));
    format!("\"byCard\": {}", place(&later, 0))
}

fn photographed(scene: &Scene) -> Vec<u8> {
    scene.photograph(&mut Chance::of(9)).jpeg().unwrap_or_else(|e| panic!("{e}"))
}

/// An upright rectangle well inside of a cloth: left, top, width, height.
fn place(scene: &Scene, cloth: usize) -> String {
    let corners = scene.cloth_corners(cloth, 1.0).unwrap_or_else(|| panic!("no such cloth"));
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    let to_edge = |n: usize| {
        let (a, b) = (corners[n], corners[(n + 1) % 4]);
        let along = [b[0] - a[0], b[1] - a[1]];
        let cross = along[0] * (middle[1] - a[1]) - along[1] * (middle[0] - a[0]);
        cross.abs() / along[0].hypot(along[1])
    };
    let half = 0.6 * (0..4).map(to_edge).fold(f64::MAX, f64::min);
    let [x, y] = middle;
    format!("[{:.0}, {:.0}, {:.0}, {:.0}]", x - half, y - half, 2.0 * half, 2.0 * half)
}

fn four(corners: [[f64; 2]; 4]) -> String {
    format!("[{}]", corners.map(|[x, y]| format!("[{x:.1}, {y:.1}]")).join(", "))
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
