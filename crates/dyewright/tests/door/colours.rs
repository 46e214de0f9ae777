//! `colours` from outside: the colours of a picture, its page, and a costume file that gets them; and what is refused.

use std::fs;
use std::path::Path;

use scenes::{Artwork, Chance, Manner, Shading};

use crate::street::{
    answered, code, complained, dyewright, folder, json, names, put, refused, said, workspace,
};

fn example() -> String {
    workspace().join("examples/lantern-warden/reference.png").display().to_string()
}

/// An invented picture of few flats.
fn drawn(folder: &Path, name: &str, seed: u64) {
    let shading = Shading::Hard;
    let manner = Manner { width: 420, height: 360, flats: 5, shading, line: 3.0, clutter: false };
    let picture = Artwork::drawn(&manner, &mut Chance::of(seed));
    put(folder, name, picture.jpeg(90, false).unwrap());
}

#[test]
fn the_example_has_the_colours_that_it_was_drawn_with() {
    let folder = folder();
    let answer = answered(folder.path(), &["colours", &example()]);
    let flats = answer["flats"].as_array().unwrap();
    let hexes: Vec<&str> = flats.iter().filter_map(|f| f["hex"].as_str()).collect();
    // As in reference.svg: ground, coat, banner, tights, sash, boots, lantern.
    for drawn in ["#8f8f8f", "#1f4b4f", "#3f8aa0", "#a8432f", "#d9962b", "#3b2f29", "#a8ff3e"] {
        assert!(hexes.contains(&drawn), "{drawn} is not in {hexes:?}");
    }
    assert_eq!((&flats[0]["ground"], &flats[0]["hex"]), (&true.into(), &"#8f8f8f".into()));
    let text = said(&dyewright(folder.path(), &["colours", &example()]));
    assert!(text.lines().all(|l| l.chars().count() <= 80 || l.contains('/')), "{text}");
    assert!(text.contains("#1f4b4f") && text.contains("ground?"), "{text}");
    let pieces = flats.iter().filter(|f| f["ground"] == false).count();
    assert!(text.contains(&format!("{pieces} colours, and the ground.")), "{text}");
    let stepped = |f: &&serde_json::Value| {
        f["soft"] == false
            && f["shades"].as_array().unwrap().iter().any(|s| s["share_pct"].as_f64() > Some(1.0))
    };
    for flat in flats.iter().filter(stepped) {
        let shade = flat["shades"][0]["hex"].as_str().unwrap();
        assert!(text.contains(shade), "the shade {shade} is not in {text}");
    }
    assert!(names(folder.path()).is_empty(), "nothing is written unasked");
}

#[test]
fn cloth_and_shelf_are_asked_and_a_page_is_written() {
    let folder = folder();
    let at = folder.path();
    let words = [
        "colours",
        &example(),
        "--region",
        "540,120,160,260",
        "--cloth",
        "cotton",
        "--sheet",
        "p.html",
    ];
    let words = [&words[..], &["--today", "2027-01-10"]].concat();
    let answer = answered(at, &words);
    let flats = answer["flats"].as_array().unwrap();
    let teal = flats.iter().find(|f| f["hex"] == "#3f8aa0").unwrap();
    assert!(teal["reach"]["gap"].is_number(), "{teal:#}");
    assert!(teal["anchored"]["lab"].is_array() && teal["aim"].is_array(), "{teal:#}");
    // Beside a cloth that is darker than white, a colour is darker.
    assert!(teal["anchored"]["lab"][0].as_f64() < teal["aim"][0].as_f64(), "{teal:#}");
    let page = fs::read_to_string(at.join("p.html")).unwrap();
    assert!(page.contains(": its colours</title>") && page.contains("data:image/png;base64,"));
    assert!(page.contains("background-color:#3f8aa0") && page.contains("On cotton"));
    // A page of ours is written over, anything else is not.
    assert_eq!(code(&dyewright(at, &words)), 0);
    put(at, "p.html", "<p>mine</p>");
    let words: Vec<&str> = words.to_vec();
    assert!(refused(at, &words).contains("not written by dyewright"));
    assert_eq!(fs::read_to_string(at.join("p.html")).unwrap(), "<p>mine</p>");
}

#[test]
fn colours_go_into_a_costume_file_and_nothing_is_overwritten_untold() {
    let folder = folder();
    let at = folder.path();
    drawn(at, "one.jpg", 3);
    drawn(at, "two.jpg", 4);
    let base = ["colours", "one.jpg", "two.jpg", "--into", "mine.toml"];
    let first =
        [&base[..], &["--take", "coat=2,3", "--cloth", "cotton", "--today", "2027-01-10"]].concat();
    let answer = answered(at, &[&first[..], &["--because", "the artist's own"]].concat());
    assert_eq!(answer["kept"]["begun"], true);
    assert_eq!(answer["kept"]["pieces"][0]["id"], "coat");
    assert_eq!(answer["others"][0]["picture"], "two.jpg");
    let text = fs::read_to_string(at.join("mine.toml")).unwrap();
    let hex = answer["flats"][1]["hex"].as_str().unwrap();
    for held in [
        "[reference]",
        "picture = \"one.jpg\"",
        "the artist's own",
        "over = [\"two.jpg\"]",
        hex,
        "id = \"colour-3\"",
    ] {
        assert!(text.contains(held), "{held}\n{text}");
    }
    assert_eq!(code(&dyewright(at, &["plan", "mine.toml", "--today", "2027-01-10"])), 0);

    // Another picture is refused, and a piece that is there; the file is as it was.
    let other = ["colours", "two.jpg", "--into", "mine.toml"];
    let says = refused(at, &other);
    assert!(says.contains("one.jpg") && says.contains("--anew"), "{says}");
    let again = ["colours", "one.jpg", "--into", "mine.toml", "--take", "coat=3"];
    assert!(refused(at, &again).contains("--over"));
    assert_eq!(fs::read_to_string(at.join("mine.toml")).unwrap(), text);

    // Told so, the piece gets its new target, the maker's own lines stay, and the old target is said.
    put(at, "mine.toml", format!("# My own line.\n{text}"));
    let answer = answered(at, &[&again[..], &["--over"]].concat());
    let before = answer["kept"]["pieces"][0]["before"].as_str().unwrap();
    assert!(before.contains(hex), "{before}");
    let now = fs::read_to_string(at.join("mine.toml")).unwrap();
    assert!(now.starts_with("# My own line.\n") && now.contains("the artist's own"), "{now}");
    let answer = answered(at, &[&other[..], &["--anew", "--because", "a better scan"]].concat());
    assert_eq!(answer["kept"]["begun"], false);
    let now = fs::read_to_string(at.join("mine.toml")).unwrap();
    assert!(now.contains("a better scan") && !now.contains("the artist's own"), "{now}");
}

#[test]
fn what_cannot_be_read_is_refused_in_words() {
    let folder = folder();
    let at = folder.path();
    drawn(at, "one.jpg", 3);
    let whole = fs::read(at.join("one.jpg")).unwrap();
    put(at, "cut.jpg", &whole[..whole.len() / 3]);
    put(at, "text.png", "this is no picture");
    put(at, "empty.png", "");
    put(at, "faulty.toml", "[costume]\n");
    fs::create_dir(at.join("folder")).unwrap();
    let check = |words: &[&str], with: &str| {
        let says = refused(at, &[&["colours"], words].concat());
        assert!(says.contains(with), "{words:?}: {says}");
    };
    check(&["none.jpg"], "there is no file");
    check(&["folder"], "folder");
    check(&["empty.png"], "empty");
    check(&["text.png"], "no picture");
    check(&["cut.jpg"], "damaged");
    check(&["one.jpg", "--sheet", "nowhere/p.html"], "there is no folder nowhere");
    check(&["one.jpg", "--into", "nowhere/a.toml"], "there is no folder nowhere");
    check(&["one.jpg", "--region", "a,b"], "four whole numbers");
    check(&["one.jpg", "--region", "-1,0,50,20"], "four whole numbers");
    check(&["one.jpg", "--cloth", "cotten"], "1 fault in");
    check(&["one.jpg", "--region", "0,0,5000,20"], "reaches out");
    check(&["one.jpg", "--region", "0,0,2,2"], "too little");
    check(&["one.jpg", "--cloth", "coton"], "cotton");
    check(&["one.jpg", "--take", "1"], "--into");
    check(&["one.jpg", "--into", "a.toml", "--take", "99"], "numbers 1 to");
    check(&["one.jpg", "--into", "a.toml", "--take", "coat=1,coat=2"], "one number");
    check(&["one.jpg", "--into", "faulty.toml"], "name");
    check(&["one.jpg", "--into", "a.toml", "--on-cloth-white"], "--cloth");
    check(&["one.jpg", "none.jpg"], "there is no file");
    let output = dyewright(at, &["colours", "cut.jpg", "--json"]);
    assert_eq!((code(&output), json(&output)["kind"].as_str()), (2, Some("refused")));
    assert_eq!(complained(&output), "");
}
