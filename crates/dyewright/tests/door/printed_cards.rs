//! `card`: the card to print at home, drawn; and the whole way from its sheet through an invented printer to a reading of
//! cloth by it.

use std::fs;
use std::path::Path;

use colour::Bands;
use scenes::{Chance, Layout, Printer, with_print};

use crate::photographs::{chart, corners, inside, near, photograph};
use crate::street::{answered, code, complained, dyewright, folder, names, put, refused, said};

/// The colours asked of the printer, as the drawing has them: after the sheet, the grey and the black.
fn asked(svg: &str) -> Vec<[u8; 3]> {
    let fills = svg.lines().filter(|l| l.starts_with("<rect x")).skip(2).take(48);
    fills
        .map(|line| {
            let hex = line.split("fill=\"#").nth(1).unwrap();
            [0, 2, 4].map(|k| u8::from_str_radix(&hex[k..k + 2], 16).unwrap())
        })
        .collect()
}

/// Draws the card and prints it on an invented printer.
fn printed(at: &Path, chance: &mut Chance) -> Vec<Bands> {
    answered(at, &["card", "--code", "home-1"]);
    let svg = fs::read_to_string(at.join("colour-card-home-1-a5.svg")).unwrap();
    let printer = Printer::drawn(chance);
    asked(&svg).into_iter().map(|rgb| printer.prints(rgb)).collect()
}

/// The chart with a printed card beside it, and the printed card with a cloth, by one camera; gives where the cloth lies.
pub(crate) fn two(at: &Path) -> String {
    let mut chance = Chance::of(41);
    let prints = printed(at, &mut chance);
    let mut layout = Layout::careful(&chart(), 6, vec![]);
    layout.side = [1400, 1400];
    layout.clutter = 1;
    let scene = with_print(layout.scene(&mut chance), &prints, 8, &mut chance);
    photograph(at, "card.jpg", &scene);
    let cloth = scenes::made_up(&mut Chance::of(12)).unwrap();
    let mut layout = Layout::careful(&prints, 8, vec![cloth]);
    layout.side = [900, 900];
    let mut later = layout.scene(&mut chance);
    later.eye = scene.eye.clone();
    photograph(at, "cloth-by-card.jpg", &later);
    inside(&later, 0)
}

#[test]
fn it_is_drawn_for_both_sheets_and_only_over_its_own_files() {
    let folder = folder();
    let at = folder.path();
    for sheet in ["a5", "A4"] {
        let drawn = answered(at, &["card", "--sheet", sheet, "--code", "matt-1"]);
        assert_eq!((&drawn["patches"], &drawn["across"]), (&48.into(), &8.into()));
    }
    let all = ["a4.pdf", "a4.svg", "a5.pdf", "a5.svg"].map(|e| format!("colour-card-matt-1-{e}"));
    assert_eq!(names(at), all);
    let svg = fs::read_to_string(at.join("colour-card-matt-1-a4.svg")).unwrap();
    assert!(svg.contains("width=\"297mm\"") && svg.contains("Code matt-1"), "{svg}");
    assert_eq!(asked(&svg).len(), 48);
    let text = said(&dyewright(at, &["card"]));
    assert!(text.lines().all(|l| l.chars().count() <= 80) && text.contains("100 %"), "{text}");
    put(at, "colour-card-x-a5.svg", "somebody's drawing");
    let says = refused(at, &["card", "--code", "x"]);
    let flat = says.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("not written by dyewright"), "{says}");
    for (words, with) in [
        (&["card", "--sheet", "a3"][..], "no sheet"),
        (&["card", "--code", "my card"], "sixteen letters"),
        (&["card", "--code", ""], "sixteen letters"),
        (&["card", "--out", "nowhere"], "there is no folder nowhere"),
    ] {
        assert!(refused(at, words).contains(with), "{words:?}");
    }
}

#[test]
fn a_print_is_read_once_and_then_reads_cloth() {
    let folder = folder();
    let at = folder.path();
    let place = two(at);
    let words = ["card", "read", "card.jpg", "--out", "mine.txt", "--code", "home-1"];
    let read = answered(at, &[&words[..], &["--light", "north \"window\""]].concat());
    assert_eq!(read["patches"].as_array().unwrap().len(), 48);
    assert!(read["spread90"].as_f64().unwrap() > 0.5, "{read:#}");
    let file = fs::read_to_string(at.join("mine.txt")).unwrap();
    assert!(file.starts_with("CGATS.17\n") && file.contains("PATCHES_ACROSS 8"), "{file}");
    assert!(file.contains("north 'window'") && file.contains("STDEV_DE SPREAD90"), "{file}");
    let by_card = ["read", "cloth-by-card.jpg", "--chart", "mine.txt", "--cloth", &place];
    let seen = answered(at, &by_card);
    near(&seen["cloths"][0], &scenes::made_up(&mut Chance::of(12)).unwrap());
    assert_eq!(seen["chart"]["patches"], 48);
    // What the values are off is handed on: the cloth cannot be surer than the card.
    let least = read["patches"].as_array().unwrap().iter().map(|p| p["spread90"].as_f64().unwrap());
    let least = least.fold(f64::MAX, f64::min);
    assert!(seen["cloths"][0]["spread90"].as_f64().unwrap() >= least, "{seen:#}");
    assert!(seen["limits"].to_string().contains("not measured"), "{seen:#}");
    let text = said(&dyewright(at, &words));
    assert!(text.lines().all(|l| l.chars().count() <= 80) && text.contains("--chart"), "{text}");

    // A file that is not ours stays; a photograph without card, or without chart, says which is missing.
    put(at, "other.txt", "notes");
    let other = ["card", "read", "card.jpg", "--out", "other.txt"];
    assert!(refused(at, &other).contains("not written by dyewright"));
    let none = refused(at, &["card", "read", "cloth-by-card.jpg", "--out", "new.txt"]);
    assert!(none.contains("chart"), "{none}");
    let alone = [&other[..4], &["new.txt", "--card-corners", "1,2 3,4"]].concat();
    assert!(refused(at, &alone).contains("--card-corners"));
    put(at, "cut.txt", &file[..file.len() - 60]);
    let cut = ["read", "cloth-by-card.jpg", "--chart", "cut.txt", "--cloth", &place];
    assert!(refused(at, &cut).contains("cut"));
    put(at, "minus.txt", file.replacen("\nA1 ", "\nA1 -", 1));
    let minus = ["read", "cloth-by-card.jpg", "--chart", "minus.txt", "--cloth", &place];
    assert!(refused(at, &minus).contains("minus.txt"));
}

#[test]
fn a_photograph_with_the_chart_alone_has_no_card() {
    let folder = folder();
    let at = folder.path();
    let scene = crate::photographs::scene(3, 1);
    photograph(at, "a.jpg", &scene);
    let says = refused(at, &["card", "read", "a.jpg", "--out", "mine.txt"]);
    assert!(says.contains("printed card"), "{says}");
    let around = corners(scene.chart_corners().unwrap());
    let output =
        dyewright(at, &["card", "read", "a.jpg", "--out", "mine.txt", "--card-corners", &around]);
    assert_eq!(code(&output), 2, "{}", complained(&output));
}
