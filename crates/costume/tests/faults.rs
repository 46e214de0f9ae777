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
    check("a test", &"x".repeat(4000), 2, "4000 letters");
    check("id = \"a\"", &format!("id = \"a\"\nname = \"{}\"", "é".repeat(121)), 6, "121 letters");
    check("2027-03-20", "2027-03-20\nonly = \"acid\"", 4, "a text");
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

/// One reading for whatever file is named.
struct OneReading;

impl Files for OneReading {
    fn colours(&self, _: &str) -> Result<Colours, String> {
        let lab = colour::Lab::new(50.0, 0.0, 0.0);
        Ok(vec![("1".to_owned(), costume::AsGiven::Colour(lab))])
    }
}

/// The first fenced file under a heading.
fn fenced(page: &'static str, head: &str) -> &'static str {
    let under = page.split_once(head).and_then(|(_, text)| text.split_once("```toml\n"));
    let text = under.and_then(|(_, text)| text.split_once("```"));
    text.unwrap_or_else(|| panic!("no file under {head}")).0
}

/// How a file is read, to its faults.
type Reads = fn(&str) -> Option<Faults>;

/// The files of docs/costume-file.md, and how each is read.
fn in_full() -> Vec<(&'static str, Reads)> {
    let page = include_str!("../../../docs/costume-file.md");
    let under = |head: &str| fenced(page, head);
    vec![
        (under("## A costume file in full"), |text| {
            read_costume("c.toml", text, Lore::shipped(), &OneReading).err()
        }),
        (under("## A shelf file in full"), |text| {
            read_shelf("s.toml", text, Lore::shipped(), &OneReading).err()
        }),
        (under("## A file of swatches in full"), |text| {
            let page = include_str!("../../../docs/costume-file.md");
            let shelf = fenced(page, "## A shelf file in full");
            let shelf = read_shelf("s.toml", shelf, Lore::shipped(), &OneReading)
                .unwrap_or_else(|faults| panic!("{faults:?}"));
            costume::read_swatches(
                "w.toml",
                text,
                Lore::shipped(),
                &OneReading,
                &shelf,
                &costume::Known::default(),
            )
            .err()
        }),
    ]
}

/// A faulty value is one fault: no sound key beside it is called unknown for it.
#[test]
fn a_faulty_value_makes_no_other_key_unknown() {
    for (text, read) in in_full() {
        assert!(read(text).is_none(), "{:?}", read(text));
        let lines: Vec<&str> = text.lines().collect();
        for (i, line) in lines.iter().enumerate() {
            let Some((key, value)) = line.split_once(" = ") else { continue };
            let plain = key.chars().all(|c| c.is_ascii_lowercase() || c == '_');
            if !plain || value.trim_end().ends_with('[') {
                continue;
            }
            for wrong in ["\"\"", "[[1]]", "{ wrong = 1 }", "nan", "{ lab = [1] }"] {
                let broken = format!("{key} = {wrong}");
                let all: Vec<&str> = lines
                    .iter()
                    .enumerate()
                    .map(|(k, l)| if k == i { &*broken } else { *l })
                    .collect();
                let Some(faults) = read(&all.join("\n")) else { continue };
                for fault in &faults.list {
                    let says = &fault.says;
                    let false_one = says.contains("is not a key")
                        && !says.contains("`wrong`")
                        && !says.contains("`lab`");
                    assert!(!false_one, "{broken}: {says}");
                }
            }
        }
    }
}

/// What is known in a place is told once each.
#[test]
fn what_is_known_is_listed_once() {
    let text = SOUND.replace("weight_g", "quite_another_thing = 1\nweight_g");
    let faults = read(&text).unwrap_err();
    let hint = &faults.list.iter().find(|f| f.says.contains("quite_another")).unwrap().hint;
    let known = hint.strip_prefix("known here: ").unwrap_or_else(|| panic!("{hint}"));
    let all: Vec<&str> = known.split(", ").collect();
    let once: std::collections::BTreeSet<&str> = all.iter().copied().collect();
    assert_eq!(all.len(), once.len(), "{hint}");
}
