//! `read` by other things than a chart: a card of dyed cloths, one white; a cloth against another; dyes that are named. All
//! reflectances are invented.

use std::fmt::Write as _;
use std::path::Path;

use colour::{BANDS, Bands, Weights, ciede2000};
use scenes::{Chance, Layout, Scene, dyed_pair, made_up};

use crate::photographs::{corners, inside, near, photograph, scene};
use crate::street::{answered, code, complained, dyewright, folder, json, put, refused, said};

/// Twelve dyed cloths four in a row, and one more beside them.
fn own_card() -> (Scene, Vec<Bands>) {
    let mut chance = Chance::of(61);
    let own: Vec<Bands> = (0..6).flat_map(|_| dyed_pair(0.9, &mut chance)).collect();
    let mut layout = Layout::careful(&own, 4, vec![made_up(&mut chance).unwrap()]);
    layout.side = [640, 700];
    (layout.scene(&mut chance), own)
}

/// Values as CGATS.17.
fn cgats(own: &[Bands]) -> String {
    let mut text = String::from("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID");
    for band in 0..BANDS {
        write!(text, " NM_{}", Bands::wavelength(band)).unwrap();
    }
    text.push_str("\nEND_DATA_FORMAT\nBEGIN_DATA\n");
    for (n, bands) in own.iter().enumerate() {
        write!(text, "C{n}").unwrap();
        bands.values().iter().for_each(|v| write!(text, " {v:.4}").unwrap());
        text.push('\n');
    }
    text + "END_DATA\n"
}

/// Where each cloth of the card lies, drawn in a little.
fn places(scene: &Scene) -> Vec<String> {
    let patches = scene.laid.patches.clone().unwrap();
    let at = |n: usize| {
        [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
            .map(|[u, v]: [f64; 2]| scene.view.pixel(scene.things[n].corner([0.7 * u, 0.7 * v])))
    };
    patches.map(|n| corners(at(n))).collect()
}

/// The swatches of the card, each with its colour as an instrument read it.
fn swatches(own: &[Bands]) -> String {
    let mut text = String::new();
    for (n, bands) in own.iter().enumerate() {
        let lab = Weights::reference().lab(bands);
        write!(
            text,
            "[[swatch]]\ncode = \"S-{n}\"\ncloth = \"cotton\"\nweight_g = 2\ndose = [{{ dye = \"reactive-blue\", owf_pct = 1 }}]\n\
             [[swatch.reading]]\ncolour = {{ lab = [{:.2}, {:.2}, {:.2}] }}\nspread = 0.4\nby = \"instrument\"\n\n",
            lab.l, lab.a, lab.b
        )
        .unwrap();
    }
    text
}

#[test]
fn cloth_is_read_by_ones_own_dyed_cloths_from_a_file_or_the_workbook() {
    let folder = folder();
    let at = folder.path();
    let (scene, own) = own_card();
    photograph(at, "own.jpg", &scene);
    put(at, "own.txt", cgats(&own));
    let (place, around) = (inside(&scene, 0), corners(scene.chart_corners().unwrap()));
    let words = ["read", "own.jpg", "--cloth", &place];
    let lattice = ["--across", "4", "--corners", &around];
    let rows = answered(at, &[&words[..], &["--card", "own.txt"], &lattice].concat());
    near(&rows["cloths"][0], scene.cloth(0).unwrap());
    assert_eq!((&rows["card"]["cloths"], rows["chart"].is_null()), (&12.into(), true));
    let places = places(&scene);
    let each: Vec<&str> = places.iter().flat_map(|p| ["--at", p.as_str()]).collect();
    let singly = answered(at, &[&words[..], &["--card", "own.txt"], &each].concat());
    near(&singly["cloths"][0], scene.cloth(0).unwrap());

    put(at, "swatches.toml", swatches(&own));
    let output = dyewright(at, &["swatch", "record", "swatches.toml"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let codes: Vec<String> = (0..12).map(|n| format!("S-{n}")).collect();
    let codes = codes.join(",");
    let by_book = [&words[..], &["--swatches", &codes], &lattice].concat();
    let read = answered(at, &by_book);
    near(&read["cloths"][0], scene.cloth(0).unwrap());
    assert!(read["limits"].to_string().contains("known by their colour only"), "{read:#}");
    let text = said(&dyewright(at, &by_book));
    assert!(text.contains("a card of 12 dyed cloths") && !text.contains("Cloth S-"), "{text}");

    // An eye that slipped: the same cloth twice, too few, none at all, unread, unknown.
    let says = |more: &[&str]| {
        let said = refused(at, &[&words[..], more].concat());
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(says(&[&["--swatches", "S-1,S-1"], &lattice[..]].concat()).contains("named twice"));
    assert!(says(&[&["--swatches", "S-1,S-2"], &lattice[..]].concat()).contains("8 at least"));
    assert!(
        says(&[&["--swatches", "S-99"], &lattice[..]].concat())
            .contains("no swatch of the code S-99")
    );
    assert!(says(&["--card", "own.txt"]).contains("where the 12 cloths of the card lie"));
    assert!(
        says(&["--card", "own.txt", "--across", "5", "--corners", &around]).contains("not full")
    );
    assert!(says(&[&["--card", "own.txt"], &each[..8]].concat()).contains("4 places were given"));
    let twice = [&["--card", "own.txt"], &each[..], &["--at", &places[3]]].concat();
    assert!(says(&twice).contains("lies upon"));
    put(
        at,
        "none.txt",
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA\n",
    );
    assert!(says(&[&["--card", "none.txt"], &lattice[..]].concat()).contains("none.txt"));
    put(at, "cut.txt", &cgats(&own)[..900]);
    assert!(says(&[&["--card", "cut.txt"], &lattice[..]].concat()).contains("cut short"));
    put(at, "nan.txt", cgats(&own).replace("C3 0.", "C3 NaN 0."));
    assert!(says(&[&["--card", "nan.txt"], &lattice[..]].concat()).contains("nan.txt"));
    put(at, "minus.txt", cgats(&own).replace("C3 0.", "C3 -0."));
    assert!(says(&[&["--card", "minus.txt"], &lattice[..]].concat()).contains("minus.txt"));
}

/// A cloth and a white beside it.
fn with_white(seed: u64) -> Scene {
    let mut chance = Chance::of(seed);
    let cloths = vec![made_up(&mut chance).unwrap(), Bands::flat(0.95).unwrap()];
    let mut layout = Layout::careful(&crate::photographs::chart(), 6, cloths);
    layout.side = [560, 600];
    let mut scene = layout.scene(&mut chance);
    scene.lit.slope[0] = 0.0;
    scene.lit.near = None;
    scene.lit.corners = 0.0;
    scene.processing.exposure = 0.7;
    scene
}

#[test]
fn one_white_alone_reads_weakly_and_says_so() {
    let folder = folder();
    let at = folder.path();
    let scene = with_white(8);
    photograph(at, "white.jpg", &scene);
    let (place, white) = (inside(&scene, 0), inside(&scene, 1));
    let words = ["read", "white.jpg", "--cloth", &place, "--white-at", &white, "--white-is"];
    let read = answered(at, &[&words[..], &["ptfe"]].concat());
    let seen = [0, 1, 2].map(|k| read["cloths"][0]["lab"][k].as_f64().unwrap());
    let truth = Weights::reference().lab(scene.cloth(0).unwrap());
    let off = ciede2000(truth, colour::Lab::new(seen[0], seen[1], seen[2]));
    let wide = read["cloths"][0]["spread90"].as_f64().unwrap();
    // One in ten is further off than stated, and few by half as much again.
    assert!(off < 1.5 * wide, "{off:.2} off, {wide} stated");
    assert!(read["white_is"].as_str().unwrap().contains("PTFE") && read["chart"].is_null());
    assert!(read["limits"].to_string().contains("several times that of a chart"), "{read:#}");
    assert!(read["limits"].to_string().contains("stronger before they save them"), "{read:#}");
    let typed = answered(at, &[&words[..], &["96 0 1", "--lamp", "daylight"]].concat());
    let told = typed["cloths"][0]["spread90"].as_f64().unwrap();
    assert!(wide > 2.5 && told > 1.5, "{wide} {told}");
    let says = |more: &[&str]| refused(at, &[&words[..6], more].concat());
    assert!(says(&[]).contains("was not said"));
    assert!(says(&["--white-is", "paper"]).contains("no white that is known"));
    assert!(says(&["--white-is", "94 1 -8"]).contains("bluish"));
    assert!(says(&["--white-is", "nan 0 0"]).contains("no white"));
    assert!(says(&["--white-is", "ptfe", "--lamp", "moon"]).contains("no kind of light"));
    let same = ["read", "white.jpg", "--cloth", &place, "--white-at", &place, "--white-is", "ptfe"];
    assert!(refused(at, &same).contains("lies upon"));
    let dark = refused(
        at,
        &[
            "read",
            "white.jpg",
            "--cloth",
            &white,
            "--white-at",
            "9000,9000,50,50",
            "--white-is",
            "ptfe",
        ],
    );
    assert!(dark.contains("not in the picture"), "{dark}");
}

#[test]
fn two_cloths_are_held_against_each_other_with_both_spreads() {
    let folder = folder();
    let at = folder.path();
    let mut chance = Chance::of(17);
    let [one, other] = dyed_pair(0.35, &mut chance);
    let mut layout = Layout::careful(&crate::photographs::chart(), 6, vec![one, other, one]);
    layout.side = [760, 800];
    let scene = layout.scene(&mut chance);
    photograph(at, "pair.jpg", &scene);
    let [a, b, c] = [0, 1, 2].map(|n| inside(&scene, n));
    let words = ["read", "pair.jpg", "--cloth", &b, "--against", &a, "--against", &c];
    let read = answered(at, &words);
    let difference = &read["differences"][0];
    let n = |way: &str, key: &str| difference[way][key].as_f64().unwrap();
    let truth = ciede2000(Weights::reference().lab(&one), Weights::reference().lab(&other));
    let off = (n("same_dyes", "de00") - truth).abs();
    assert!(off <= n("same_dyes", "spread90").max(1.0), "{truth:.2}: {difference:#}");
    assert!(n("same_dyes", "spread90") < n("other_dyes", "spread90"), "{difference:#}");
    let text = said(&dyewright(at, &words));
    assert!(text.contains("if the same dyes are in both") && text.contains("other dyes"), "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let more = [&words[..], &["--against", "5,5,9,9"]].concat();
    assert!(refused(at, &more).contains("third place"));
    assert!(
        refused(at, &["read", "pair.jpg", "--cloth", &b, "--against", &b]).contains("lies upon")
    );
    let away = answered(at, &["read", "pair.jpg", "--cloth", &b, "--against", "9000,9000,40,40"]);
    assert!(away["differences"][0]["refused"].as_str().unwrap().contains("not in the picture"));
}

#[test]
fn a_spectrum_is_given_where_the_dyes_are_named_or_the_swatch_is() {
    let folder = folder();
    let at = folder.path();
    let scene = scene(3, 1);
    photograph(at, "a.jpg", &scene);
    let place = inside(&scene, 0);
    let words = ["read", "a.jpg", "--cloth", &place];
    let named = ["--dyes", "reactive-blue,reactive-golden", "--on", "cotton"];
    let read = answered(at, &[&words[..], &named].concat());
    let with = &read["cloths"][0]["with_dyes"];
    assert_eq!(with["spectrum"].as_array().unwrap().len(), BANDS, "{with:#}");
    assert!(with["spread90"].as_f64().unwrap() > 0.0 && read["cloths"][0]["lab"].is_array());
    swatch(at);
    let by_code = answered(at, &[&words[..], &["--dyes-of", "S-1"]].concat());
    assert_eq!(by_code["cloths"][0]["with_dyes"]["dyes"], serde_json::json!(["reactive-blue"]));
    let says = |more: &[&str]| {
        let said = refused(at, &[&words[..], more].concat());
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(says(&["--dyes", "reactive-blue"]).contains("--on"));
    assert!(
        says(&["--dyes", "reactive-bleu", "--on", "cotton"]).contains("no dye \"reactive-bleu\"")
    );
    assert!(says(&["--dyes", "reactive-blue,reactive-blue", "--on", "cotton"]).contains("twice"));
    assert!(says(&["--dyes", "reactive-blue", "--on", "unknown"]).contains("unknown fibre"));
    assert!(says(&["--dyes-of", "S-9"]).contains("no swatch of the code S-9"));
    let wool = says(&["--dyes", "reactive-blue", "--on", "wooll"]);
    assert!(wool.contains("--on wooll") && !wool.contains("--cloth wooll"), "{wool}");
    assert!(says(&["--across", "6"]).contains("leave --across out"));
    let picture = says(&["--chart", "a.jpg"]);
    assert!(picture.contains("a.jpg is no text"), "{picture}");
    put(at, "odd.txt", "name,R400\nA\u{1b}[2J,x\n");
    assert!(!says(&["--chart", "odd.txt"]).contains('\u{1b}'));
    let unknown = dyewright(at, &[&words[..], &["--white-is", "ptfe", "--json"]].concat());
    assert_eq!(code(&unknown), 2);
    let unknown = json(&unknown);
    assert_eq!(unknown["dyewright"], "refusal");
    assert!(unknown["says"].as_str().unwrap().contains("--white-at"), "{unknown:#}");
}

fn swatch(at: &Path) {
    put(
        at,
        "one.toml",
        "[[swatch]]\ncode = \"S-1\"\ncloth = \"cotton\"\nweight_g = 2\ndose = [{ dye = \"reactive-blue\", owf_pct = 1 }]\n",
    );
    let output = dyewright(at, &["swatch", "record", "one.toml"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
}
