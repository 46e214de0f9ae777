//! Costume and shelf files: every fault comes back, at its place, with what to do; none panics.

use costume::{Colours, Costume, Faults, Files, read_costume, read_shelf};
use lore::Lore;
use proptest::prelude::*;

struct NoFiles;

impl Files for NoFiles {
    fn colours(&self, path: &str) -> Result<Colours, String> {
        Err(format!("there is no file {path}"))
    }
}

const SOUND: &str = "[costume]\nname = \"a test\"\nday = 2027-03-20\n[[piece]]\nid = \"a\"\n\
    cloth = \"cotton\"\nweight_g = 120\ntarget = { lab = [50.0, 10.0, 20.0] }\n";

fn read(text: &str) -> Result<Costume, Faults> {
    read_costume("c.toml", text, Lore::shipped(), &NoFiles)
}

/// One change to the sound file: it must be refused at this line, saying this.
fn check(from: &str, to: &str, line: usize, says: &str) {
    let text = SOUND.replace(from, to);
    assert_ne!(text, SOUND, "{from} is not in the sound file");
    match read(&text) {
        Ok(_) => panic!("{to:?} was accepted"),
        Err(faults) => {
            let said: Vec<(usize, String)> =
                faults.list.iter().map(|f| (faults.place(f).0, f.says.clone())).collect();
            let found = said.iter().any(|(at, text)| *at == line && text.contains(says));
            assert!(found, "{to:?}: {said:?}");
            assert!(faults.list.iter().all(|f| !f.hint.is_empty()));
        }
    }
}

#[test]
fn a_sound_file_is_read() -> Result<(), Faults> {
    let costume = read(SOUND)?;
    assert_eq!((costume.pieces.len(), costume.pieces[0].id.as_str()), (1, "a"));
    Ok(())
}

#[test]
fn each_fault_is_refused_at_its_place() {
    check("\"cotton\"", "\"coton\"", 6, "did you mean cotton");
    check("\"cotton\"", "{ cotton = 60, polyester = 30 }", 6, "90 %");
    check("\"cotton\"", "{ cotton = 60, cotten = 40 }", 6, "cotten");
    check("= 120", "= -120", 7, "-120");
    check("= 120", "= nan", 7, "finite");
    check("= 120", "= \"heavy\"", 7, "a text");
    check("= 120", "= 120\nweight_oz = 4", 8, "again");
    check("= 120", "= 120\nlength_m = 2\nwidth_cm = 90\ncloth_g_per_m2 = 200", 4, "twice");
    check("weight_g = 120\n", "", 4, "missing");
    check("lab = [50.0,", "lab = [150.0,", 7 + 1, "150");
    check("[50.0, 10.0, 20.0]", "[50.0, 10.0]", 8, "three numbers");
    check("lab = [50.0, 10.0, 20.0]", "hex = \"#12\"", 8, "hex");
    check("lab = [50.0, 10.0, 20.0]", "file = \"x.csv\"", 8, "x.csv");
    check("weight_g", "weigth_g", 7, "weigth_g");
    check("2027-03-20", "\"20 March\"", 3, "20 March");
    check("name = \"a test\"\n", "", 1, "name");
    check("[[piece]]", "[[peice]]", 4, "peice");
    check("= 120", "= 120\nprocedure = \"boil\"", 8, "boil");
    check("= 120", "= 120\nparts = [\"wheels\"]", 8, "wheels");
    check("= 120", "= 120\ntests = { flame = \"melts\" }", 8, "unknown");
    check("= 120", "= 120\nliquor_ratio = 0", 8, "0");
    check("= 120", "= 120\noverrule = [\"spraed\"]", 8, "spraed");
    check("= 120", "= 120\nswatch = { recorded = 2027-01-01 }", 8, "half written");
    check("[[piece]]", "[kitchen]\nscale_g = 0.3\n[[piece]]", 5, "0.3");
    check("[[piece]]", "[kitchen]\nvinegar_pct = 80\n[[piece]]", 5, "80");
    check("= 120", "= 120 120", 7, "");
}

#[test]
fn all_faults_come_at_once() {
    let text = SOUND.replace("cotton", "coton").replace("= 120", "= -1").replace("50.0", "500.0");
    let count = read(&text).map_or_else(|faults| faults.list.len(), |_| 0);
    assert_eq!(count, 3);
}

#[test]
fn two_pieces_of_one_name_and_two_dyes_of_one_name_are_refused() {
    let (head, piece) = SOUND.split_at(SOUND.find("[[piece]]").unwrap_or(0));
    assert!(read(&format!("{head}{piece}{piece}")).is_err());
    let dye = "[[dye]]\nid = \"r\"\nlike = \"reactive-lemon\"\n";
    let shelf = |text: &str| read_shelf("s.toml", text, Lore::shipped(), &NoFiles);
    assert!(shelf(dye).is_ok());
    assert!(shelf(&format!("{dye}{dye}")).is_err());
    assert!(shelf("[[dye]]\nid = \"r\"\nlike = \"reactive-lemn\"\n").is_err());
    assert!(shelf("[[dye]]\nid = \"r\"\nlike = \"acid-navy\"\ngrams = -3\n").is_err());
    let swatch = "[[dye.swatch]]\nowf_pct = 1\non = \"wool\"\nlab = [95.0, 60.0, 60.0]\n";
    assert!(shelf(&format!("[[dye]]\nid = \"r\"\nlike = \"acid-navy\"\n{swatch}")).is_err());
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,200}") {
        let _ = read(&text);
        let _ = read(&format!("{SOUND}{text}"));
    }

    #[test]
    fn no_broken_file_makes_it_panic(at in 0..SOUND.len(), length in 1..20usize) {
        if SOUND.is_char_boundary(at) && SOUND.is_char_boundary((at + length).min(SOUND.len())) {
            let _ = read(&format!("{}{}", &SOUND[..at], &SOUND[(at + length).min(SOUND.len())..]));
        }
    }
}
