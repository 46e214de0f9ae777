//! `read` from outside: cloth in rendered photographs read with its spread, taken on into a workbook; and what is refused.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use colour::{BANDS, Bands, Lab, Weights, ciede2000};
use scenes::{Chance, Eye, Lamp, Layout, NoChart, PhotoFault, Scene, Texture, made_up, png_of};

use crate::street::{
    answered, code, complained, dyewright, folder, json, put, refused, said, workspace,
};

/// The published reflectances of the classic chart, as they ship.
pub(crate) fn chart() -> Vec<Bands> {
    let text = fs::read_to_string(workspace().join("crates/picture/data/chart24.csv")).unwrap();
    let row = |line: &str| {
        let values: Vec<f64> = line.split(',').skip(2).map(|v| v.parse().unwrap()).collect();
        Bands::try_new(<[f64; BANDS]>::try_from(values).unwrap()).unwrap()
    };
    text.lines().skip(1).map(row).collect()
}

/// A chart and cloths of invented reflectances, photographed with care.
pub(crate) fn scene(seed: u64, cloths: usize) -> Scene {
    let mut chance = Chance::of(seed);
    let cloths = (0..cloths).map(|_| made_up(&mut chance).unwrap()).collect();
    let mut layout = Layout::careful(&chart(), 6, cloths);
    layout.side = [640, 700];
    layout.scene(&mut chance)
}

pub(crate) fn photograph(folder: &Path, name: &str, scene: &Scene) {
    let photo = scene.photograph(&mut Chance::of(9));
    let png = Path::new(name).extension().is_some_and(|e| e == "png");
    put(folder, name, if png { photo.png().unwrap() } else { photo.jpeg().unwrap() });
}

/// An upright rectangle well inside of a cloth, as it is typed.
pub(crate) fn inside(scene: &Scene, cloth: usize) -> String {
    let corners = scene.cloth_corners(cloth, 1.0).unwrap();
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    let to_edge = |n: usize| {
        let (a, b) = (corners[n], corners[(n + 1) % 4]);
        let along = [b[0] - a[0], b[1] - a[1]];
        let cross = along[0] * (middle[1] - a[1]) - along[1] * (middle[0] - a[0]);
        cross.abs() / along[0].hypot(along[1])
    };
    let half = 0.6 * (0..4).map(to_edge).fold(f64::MAX, f64::min);
    format!("{:.0},{:.0},{:.0},{:.0}", middle[0] - half, middle[1] - half, 2.0 * half, 2.0 * half)
}

/// The whole of a cloth but its rim, by its corners.
pub(crate) fn corners(given: [[f64; 2]; 4]) -> String {
    given.map(|[x, y]| format!("{x:.1},{y:.1}")).join(" ")
}

fn lab(seen: &serde_json::Value) -> Lab {
    let [l, a, b] = [0, 1, 2].map(|k| seen["lab"][k].as_f64().unwrap());
    Lab::new(l, a, b)
}

/// Nearer to the truth than it says, or than 3.
pub(crate) fn near(seen: &serde_json::Value, truth: &Bands) {
    let off = ciede2000(Weights::reference().lab(truth), lab(seen));
    let within = seen["spread90"].as_f64().unwrap();
    assert!(off <= within.max(3.0), "{off:.2} off, {within} stated: {seen:#}");
    assert!(within > 0.2 && within < 12.0, "{seen:#}");
}

#[test]
fn cloth_is_read_with_its_spread_in_jpeg_and_png() {
    let folder = folder();
    let at = folder.path();
    for (seed, name) in [(3, "a.jpg"), (4, "b.png"), (11, "c.jpg")] {
        let scene = scene(seed, 1);
        photograph(at, name, &scene);
        let answer = answered(at, &["read", name, "--cloth", &inside(&scene, 0)]);
        assert_eq!((&answer["dyewright"], &answer["photograph"]), (&"read".into(), &name.into()));
        near(&answer["cloths"][0], scene.cloth(0).unwrap());
        assert!(answer["question"].as_str().unwrap().contains("dry"), "{answer:#}");
        assert_eq!(answer["chart"]["patches"], 24);
        let text = said(&dyewright(at, &["read", name, "--cloth", &inside(&scene, 0)]));
        assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
        for has in ["D65/10°", "Nine of ten", "cloth dry", "[[swatch.reading]]", "L*"] {
            assert!(text.contains(has), "{has}: {text}");
        }
    }
}

#[test]
fn two_cloths_by_corners_with_white_paper_and_the_charts_corners() {
    let folder = folder();
    let at = folder.path();
    let mut scene = scene(4, 2);
    scene.lit.slope = [0.3, 0.5];
    scene.processing.exposure = 0.6;
    photograph(at, "two.jpg", &scene);
    photograph(at, "white.jpg", &scene.of_paper(Bands::flat(0.88).unwrap()));
    let places = [0, 1].map(|n| corners(scene.cloth_corners(n, 0.8).unwrap()));
    let around = corners(scene.chart_corners().unwrap());
    let words = ["read", "two.jpg", "--cloth", &places[0], "--cloth", &places[1]];
    let more = ["--white", "white.jpg", "--corners", &around, "--from", "camera"];
    let answer = answered(at, &[&words[..], &more].concat());
    for n in 0..2 {
        near(&answer["cloths"][n], scene.cloth(n).unwrap());
    }
    assert_eq!(answer["white"], "white.jpg");
    photograph(at, "small.png", &self::scene(5, 0));
    let says = refused(at, &[&words[..], &["--white", "small.png"]].concat());
    assert!(says.contains("another size"), "{says}");
}

#[test]
fn a_reading_flows_into_the_workbook() {
    let folder = folder();
    let at = folder.path();
    let scene = scene(3, 1);
    photograph(at, "My \"cloth\".jpg", &scene);
    let words = ["read", "My \"cloth\".jpg", "--cloth", &inside(&scene, 0)];
    let answer = answered(at, &[&words[..], &["--light", "north window"]].concat());
    let seen = &answer["cloths"][0];
    let record = seen["record"].as_str().unwrap();
    let swatch = "[[swatch]]\ncode = \"S-1\"\ncloth = \"cotton\"\nweight_g = 2\n\
                  dose = [{ dye = \"reactive-blue\", owf_pct = 1 }]\n\n";
    put(at, "swatches.toml", format!("{swatch}{record}"));
    let output = dyewright(at, &["swatch", "record", "swatches.toml"]);
    assert_eq!(code(&output), 0, "{}\n{record}", complained(&output));
    let list = answered(at, &["swatch", "list"]);
    let kept = &list["swatches"][0]["readings"][0];
    assert_eq!(kept["by"], "photograph", "{kept:#}");
    assert_eq!((&kept["lab"], &kept["spread"]), (&seen["lab"], &seen["spread_rms"]), "{kept:#}");
}

#[test]
fn a_chart_of_ones_own_is_read_from_a_file() {
    let folder = folder();
    let at = folder.path();
    let scene = scene(3, 1);
    photograph(at, "a.jpg", &scene);
    let mut text = String::from("CGATS.17\nNUMBER_OF_FIELDS 32\nBEGIN_DATA_FORMAT\nSAMPLE_ID");
    for band in 0..BANDS {
        write!(text, " NM_{}", Bands::wavelength(band)).unwrap();
    }
    text.push_str("\nEND_DATA_FORMAT\nNUMBER_OF_SETS 24\nBEGIN_DATA\n");
    for (n, bands) in chart().iter().enumerate() {
        write!(text, "P{n}").unwrap();
        bands.values().iter().for_each(|v| write!(text, " {v:.4}").unwrap());
        text.push('\n');
    }
    text.push_str("END_DATA\n");
    put(at, "mine.txt", text);
    let place = inside(&scene, 0);
    let plain = answered(at, &["read", "a.jpg", "--cloth", &place]);
    let own = ["read", "a.jpg", "--cloth", &place, "--chart", "mine.txt", "--across"];
    assert_eq!(answered(at, &[&own[..], &["6"]].concat())["cloths"], plain["cloths"]);
    assert!(refused(at, &[&own[..], &["5"]].concat()).contains("full rows"));
    assert!(refused(at, &own[..6]).contains("--across"));
}

/// The same scene under a lamp that leaves blues dark.
fn warm(mut scene: Scene) -> Scene {
    let (main, other) = (Lamp::Glowing(2500.0), Lamp::Glowing(6500.0));
    scene.eye = Eye::drawn(main, other, &mut Chance::of(21));
    scene
}

/// Photographs of cloth, of white paper from the same stand, and of the cloth under a warm lamp; gives where it lies.
pub(crate) fn three(folder: &Path) -> String {
    let scene = scene(3, 1);
    photograph(folder, "cloth.jpg", &scene);
    photograph(folder, "white.jpg", &scene.of_paper(Bands::flat(0.88).unwrap()));
    let place = inside(&scene, 0);
    photograph(folder, "warm.jpg", &warm(scene));
    place
}

#[test]
fn a_warm_lamp_is_told_as_weak_and_by_how_much() {
    let folder = folder();
    let at = folder.path();
    let scene = warm(scene(3, 1));
    photograph(at, "warm.jpg", &scene);
    let words = ["read", "warm.jpg", "--cloth", &inside(&scene, 0)];
    let answer = answered(at, &words);
    near(&answer["cloths"][0], scene.cloth(0).unwrap());
    let weak = &answer["weak_light"];
    let [here, day] = ["spread90", "in_daylight"].map(|k| weak[k].as_f64().unwrap());
    assert!(here > 1.4 * day && day > 0.0, "{weak:#}");
    let text = said(&dyewright(at, &words));
    assert!(text.contains("tungsten") && text.contains("window"), "{text}");
}

#[test]
fn the_kind_of_lamp_may_be_told_with_a_chart_too() {
    let folder = folder();
    let at = folder.path();
    let scene = scene(3, 1);
    photograph(at, "a.jpg", &scene);
    let place = inside(&scene, 0);
    let told = |lamp: &str| answered(at, &["read", "a.jpg", "--cloth", &place, "--lamp", lamp]);
    let daylight = told("daylight");
    near(&daylight["cloths"][0], scene.cloth(0).unwrap());
    assert_ne!(daylight["cloths"][0]["lab"], told("three-band")["cloths"][0]["lab"]);
    let says = refused(at, &["read", "a.jpg", "--cloth", &place, "--lamp", "moon"]);
    assert!(says.contains("no kind of light"), "{says}");
}

#[test]
fn bad_photographs_and_words_are_refused_with_what_to_do() {
    let folder = folder();
    let at = folder.path();
    let sound = scene(4, 1);
    photograph(at, "a.jpg", &sound);
    photograph(at, "none.jpg", &NoChart::ALL[0].scene(&mut Chance::of(1)));
    photograph(at, "clipped.jpg", &PhotoFault::Clipped.upon(&sound, 0.8, &mut Chance::of(5)));
    photograph(at, "cut.jpg", &PhotoFault::Cut.upon(&sound, 0.2, &mut Chance::of(5)));
    put(at, "text.jpg", "this is no picture");
    put(at, "empty.jpg", "");
    put(at, "tiny.png", png_of(8, 8, &[90; 192]).unwrap());
    put(at, "chart.txt", "no chart");
    let place = inside(&sound, 0);
    let check = |words: &[&str], with: &[&str]| {
        let says = refused(at, &[&["read"], words].concat());
        let flat = says.split_whitespace().collect::<Vec<_>>().join(" ");
        for with in with {
            assert!(flat.contains(with), "{words:?}: {with} is not in {flat}");
        }
        assert!(flat.contains("help: "), "{words:?}: {flat}");
    };
    check(&["none.jpg", "--cloth", &place], &["none.jpg", "colour", "chart"]);
    check(&["clipped.jpg", "--cloth", &place], &["top of the scale", "less exposure"]);
    check(&["cut.jpg", "--cloth", &place], &["cut off", "photograph again"]);
    check(&["text.jpg", "--cloth", &place], &["no picture", "JPEG"]);
    check(&["empty.jpg", "--cloth", &place], &["empty"]);
    check(&["missing.jpg", "--cloth", &place], &["there is no file missing.jpg"]);
    check(&["tiny.png", "--cloth", &place], &["tiny.png"]);
    check(&["a.jpg"], &["where the cloth lies", "--cloth", "the chart lies from"]);
    check(&["none.jpg"], &["chart"]);
    check(&["a.jpg", "--cloth", "1,2,3"], &["1,2,3", "--cloth"]);
    check(&["a.jpg", "--cloth", "1,2,0,9"], &["1,2,0,9", "--cloth"]);
    check(&["a.jpg", "--cloth", "nan,2,9,9", "--from", "film"], &["nan", "film", "linear"]);
    check(&["a.jpg", "--cloth", &place, "--corners", "1,2 3,4"], &["1,2 3,4", "--corners"]);
    check(&["a.jpg", "--cloth", &place, "--corners", "0,0 9,9 9,0 0,9"], &["four corners"]);
    check(&["a.jpg", "--cloth", "9000,9000,50,50"], &["not in the picture"]);
    check(&["a.jpg", "--cloth", &place, "--white", "text.jpg"], &["text.jpg", "no picture"]);
    check(&["a.jpg", "--cloth", &place, "--chart", "chart.txt", "--across", "6"], &["chart.txt"]);
    let output = dyewright(at, &["read", "clipped.jpg", "--cloth", &place, "--json"]);
    assert_eq!((code(&output), json(&output)["kind"].as_str()), (2, Some("refused")));
    assert_eq!(complained(&output), "");
}

#[test]
fn a_place_on_the_chart_and_a_grey_picture_are_called_so() {
    let folder = folder();
    let at = folder.path();
    let scene = scene(4, 1);
    photograph(at, "a.jpg", &scene);
    let [a, _, c, _] = scene.chart_corners().unwrap();
    let middle = [0, 1].map(|k| 0.5 * (a[k] + c[k]) - 30.0);
    let on = format!("{:.0},{:.0},60,60", middle[0], middle[1]);
    assert!(refused(at, &["read", "a.jpg", "--cloth", &on]).contains("lies on the chart"));
    let photo = scene.photograph(&mut Chance::of(9));
    let grey: Vec<u8> = photo.rgb.chunks_exact(3).flat_map(|p| [p[1]; 3]).collect();
    put(at, "grey.png", png_of(photo.width, photo.height, &grey).unwrap());
    let place = inside(&scene, 0);
    assert!(refused(at, &["read", "grey.png", "--cloth", &place]).contains("is grey"));
}

#[test]
fn an_edge_of_shadow_between_chart_and_cloth_is_asked_about() {
    let folder = folder();
    let at = folder.path();
    let mut chance = Chance::of(2);
    let mut layout = Layout::careful(&chart(), 6, vec![made_up(&mut chance).unwrap()]);
    (layout.side, layout.away, layout.clutter) = ([900, 900], [0.9, 0.9], 0);
    let sound = layout.scene(&mut chance);
    let mut shadow = PhotoFault::ShadowBetween.upon(&sound, 0.4, &mut Chance::of(5));
    shadow.things[0].texture = Texture::Smooth;
    photograph(at, "sound.jpg", &sound);
    photograph(at, "shadow.jpg", &shadow);
    let place = inside(&sound, 0);
    let read = |name: &str| answered(at, &["read", name, "--cloth", &place]);
    let (plain, asked) = (read("sound.jpg"), read("shadow.jpg"));
    assert!(plain["cloths"][0]["edge_between_pct"].is_null(), "{plain:#}");
    let by = asked["cloths"][0]["edge_between_pct"].as_f64().unwrap().abs();
    assert!((12.0..45.0).contains(&by), "{asked:#}");
    assert!(asked["limits"][0].as_str().unwrap().contains("edge of a shadow?"), "{asked:#}");
    let text = said(&dyewright(at, &["read", "shadow.jpg", "--cloth", &place]));
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("Between the chart and cloth 1 the ground turns"), "{text}");
}

#[test]
fn a_cloth_that_cannot_be_read_does_not_keep_the_others_back() {
    let folder = folder();
    let at = folder.path();
    let scene = scene(4, 1);
    photograph(at, "a.jpg", &scene);
    let place = inside(&scene, 0);
    let words = ["read", "a.jpg", "--cloth", "9000,9000,50,50", "--cloth", &place];
    let answer = answered(at, &words);
    assert!(answer["cloths"][0]["refused"].as_str().unwrap().contains("not in the picture"));
    assert!(answer["cloths"][0]["help"].is_string() && answer["cloths"][0]["lab"].is_null());
    near(&answer["cloths"][1], scene.cloth(0).unwrap());
    assert_eq!(code(&dyewright(at, &[&words[..], &["--strict"]].concat())), 1);
    assert!(said(&dyewright(at, &words)).contains("not read"));
}
