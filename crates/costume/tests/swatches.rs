//! Files of swatches: what is the same for all rows, doses in every way, and faults at their places.

use costume::{
    AmountNoted, Colours, DosedNoted, Faults, Files, Shelf, SwatchNoted, Whose, read_swatches,
    shelf_of_swatches,
};
use lore::Lore;

struct NoFiles;

impl Files for NoFiles {
    fn colours(&self, path: &str) -> Result<Colours, String> {
        Err(format!("there is no file {path}"))
    }
}

const SOUND: &str = "[all]\ncloth = \"wool\"\nspread = 1.5\ndry = true\n\
    [[swatch]]\ncode = \"A\"\nweight_g = 2\ndose = [{ dye = \"acid-navy\", owf_pct = 1 }]\n\
    [[swatch.reading]]\ncolour = { lab = [30.0, 2.0, -18.0] }\n";

fn read(text: &str) -> Result<Vec<SwatchNoted>, Faults> {
    let known = costume::Known::default();
    let noted =
        read_swatches("s.toml", text, Lore::shipped(), &NoFiles, &Shelf::of_starters(), &known)?;
    Ok(noted.swatches)
}

/// One change to the sound file: it must be refused at this line, saying this.
fn check(from: &str, to: &str, line: usize, says: &str) {
    let text = SOUND.replace(from, to);
    assert_ne!(text, SOUND, "{from} is not in the sound file");
    let faults = read(&text).expect_err(to);
    let said: Vec<(usize, String)> =
        faults.list.iter().map(|f| (faults.place(f).0, f.says.clone())).collect();
    assert!(said.iter().any(|(at, text)| *at == line && text.contains(says)), "{to:?}: {said:?}");
    assert!(faults.list.iter().all(|f| !f.hint.is_empty()));
}

#[test]
fn what_holds_for_all_holds_unless_a_row_says_otherwise() {
    let two = format!(
        "{SOUND}[[swatch]]\ncode = \"B\"\ncloth = \"silk\"\nweight_g = 1\nspread = 3\nfriend = \"Bo\"\n\
         dose = [{{ dye = \"acid-navy\", stock_ml = 2.5, stock_pct = 1 }}]\n\
         reading = [{{ colour = {{ lab = [30, 2, -18] }}, dry = false }}]\n"
    );
    let read = read(&two).unwrap();
    let told =
        |i: usize| (read[i].cloth.as_str(), read[i].readings[0].spread, read[i].readings[0].dry);
    assert_eq!(told(0), ("wool", Some(1.5), Some(true)));
    assert_eq!(told(1), ("silk", Some(3.0), Some(false)));
    assert_eq!(read[1].whose, Whose::Friend("Bo".to_owned()));
    assert_eq!(read[1].readings[0].whose, read[1].whose);
    let AmountNoted::Weighed(grams) = read[1].doses[0].amount else { panic!("weighed") };
    assert!((grams.to_grams() - 0.025).abs() < 1e-12);
    assert_eq!(read[1].doses[0].measured.as_deref(), Some("stock solution"));
    assert!(
        matches!(&read[0].doses[0].of, DosedNoted::Dye { id, lot: None, .. } if id == "acid-navy")
    );
}

#[test]
fn faults_are_refused_at_their_places() {
    check("\"wool\"", "\"wol\"", 2, "wol");
    check("\"wool\"", "\"unknown\"", 2, "unknown fibre");
    check("code = \"A\"\n", "", 5, "`code` is missing");
    check("weight_g = 2\n", "", 5, "`weight_g` is missing");
    check("weight_g = 2", "weight_g = 0", 7, "`weight_g` is 0");
    check("weight_g = 2", "weight_g = 2\ncolour = 3", 8, "is not a key");
    check("acid-navy", "acid-nvy", 8, "no dye of the shelf");
    check("owf_pct = 1", "owf_pct = 1, grams = 2", 8, "not 2");
    check(", owf_pct = 1", "", 8, "not 0");
    check("owf_pct = 1", "owf_pct = -1", 8, "-1");
    check("owf_pct = 1", "stock_ml = 1", 8, "without the strength");
    check("dye = \"acid-navy\"", "auxiliary = \"salt\"", 5, "without a dye");
    check("weight_g = 2", "weight_g = 2\nprogramme = \"reactive-cold\"", 9, "does not go into");
    check("weight_g = 2", "weight_g = 2\npiece = \"sash\"", 8, "without its costume");
    check("lab = [30.0,", "lab = [130.0,", 10, "130");
    check("spread = 1.5", "spread = -1", 3, "`spread` is -1");
    check("dry = true", "dry = \"yes\"", 4, "`dry` is a text");
    check("dry = true", "drry = true", 4, "is not a key");
    assert!(read("").is_err() && read("[[swatch").is_err());
    let again = SOUND.split_once("[[swatch]]").map_or("", |(_, row)| row);
    let twice = read(&format!("{SOUND}[[swatch]]{again}")).expect_err("the code stands twice");
    assert!(twice.list[0].says.contains("two swatches bear the code \"A\""), "{twice}");
}

#[test]
fn the_shelf_a_file_names_is_known_before_its_rows_are() {
    assert_eq!(
        shelf_of_swatches("shelf = \"own.toml\"\n[[swatch]]\nhue = 3\n"),
        Some("own.toml".to_owned())
    );
    assert_eq!(shelf_of_swatches(SOUND), None);
}
