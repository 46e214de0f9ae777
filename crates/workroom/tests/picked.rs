//! A colour picked off a picture: by a point, a frame, a suggested flat; written with where, and taken back; and one
//! picture that holds among several.

use std::ops::ControlFlow;

use workroom::{
    Change, PickFor, PickKept, PickPlace, PickWanted, PieceField, Progress, Recording, Trouble,
    change_costume, choose_picture, keep_picked, last_change, lay_picture, pick_colour,
    pictures_of, suggest_colours, take_back_change,
};

fn go_on(_: Progress<'_>) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

const TEXT: &str = "# mine\n[costume]\nname = \"A\"\n[[piece]]\nid = \"coat\"\ncloth = \"wool\"\nweight_g = 100\n\
                    target = { hex = \"#1f4b4f\" } # by eye\n";

fn done<T>(it: Result<T, Trouble>) -> T {
    it.unwrap_or_else(|e| panic!("{e}"))
}

/// Two panels, and a band of steps from dark to light.
fn drawing() -> Vec<u8> {
    let mut rgb = vec![];
    for y in 0..120_usize {
        for x in 0..160_usize {
            let grey = u8::try_from(40 + x).unwrap_or(255);
            rgb.extend(match (y < 90, x < 80) {
                (true, true) => [0x7a, 0x2f, 0x3f],
                (true, false) => [0x2f, 0x6f, 0x5a],
                (false, _) => [grey; 3],
            });
        }
    }
    scenes::png_of(160, 120, &rgb).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn a_colour_is_picked_three_ways_written_with_where_and_taken_back() -> std::io::Result<()> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("c.toml");
    std::fs::write(&file, TEXT)?;
    let today = units::Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}"));
    let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
    done(lay_picture(&file, &drawing()));
    let flats = done(suggest_colours(&file, 1, today));
    let pick = |place, piece: Option<&str>| {
        let piece = piece.map(str::to_owned);
        let wanted = PickWanted { file: file.clone(), picture: 1, place, piece, today };
        pick_colour(&wanted, Some(&flats), &mut go_on)
    };
    let point = done(pick(PickPlace::Point([20, 20]), None));
    assert_eq!(point.colours.flats[0].hex, "#7a2f3f");
    assert_eq!(point.colours.flats[0].questions, [""; 0]);
    let frame = done(pick(PickPlace::Frame([10, 92, 140, 20]), None));
    assert!(frame.colours.flats[0].questions[0].contains("It runs from"), "{frame:?}");
    let green = flats.flats.iter().find(|f| f.hex == "#2f6f5a").map_or(0, |f| f.number);
    let flat = done(pick(PickPlace::Flat(green), Some("coat")));
    assert!(flat.colours.flats[0].reach.is_some(), "{:?}", flat.colours.flats[0]);
    assert!(
        pick(PickPlace::Flat(99), None).is_err() && pick(PickPlace::Point([160, 3]), None).is_err()
    );
    assert!(pick(PickPlace::Frame([0, 0, usize::MAX, 3]), None).is_err());

    let keep = |to| PickKept { to, on_cloth_white: false, because: None, anew: false, since: None };
    let coat = || keep(PickFor::Piece("coat".to_owned()));
    done(keep_picked(&file, &flat, &coat(), &recording));
    let now = std::fs::read_to_string(&file)?;
    let held = format!("\"#2f6f5a\" }} # picked as number {green} at ");
    assert!(now.starts_with("# mine") && now.contains(&held), "{now}");
    assert!(now.contains("[reference]\npicture = \"c.picture-1.png\""), "{now}");
    let new = PickFor::New {
        name: "Left glove".to_owned(),
        cloth: "silk".to_owned(),
        weight: "40 g".to_owned(),
    };
    done(keep_picked(&file, &point, &keep(new), &recording));
    let now = std::fs::read_to_string(&file)?;
    for held in [
        "# picked at 20,20 of c.picture-1.png: ",
        "id = \"left-glove\"",
        "cloth = \"silk\"",
        "weight_g = 40",
    ] {
        assert!(now.contains(held), "{held}\n{now}");
    }
    let told = done(last_change(&file)).map(|c| c.what).unwrap_or_default();
    assert_eq!(told, "left-glove added, its colour picked at 20,20 of c.picture-1.png");
    done(take_back_change(&file, None, &recording));
    done(take_back_change(&file, None, &recording));
    assert_eq!(std::fs::read_to_string(&file)?, TEXT);
    let stale = PickKept { since: Some("0".to_owned()), ..coat() };
    assert!(keep_picked(&file, &flat, &stale, &recording).is_err());

    // What is typed later no longer says where the old colour was picked.
    done(keep_picked(&file, &flat, &coat(), &recording));
    let typed = Change::Piece {
        id: "coat".to_owned(),
        fields: vec![(PieceField::Target, "#101010".to_owned())],
    };
    done(change_costume(&file, &typed, None, &recording));
    assert!(!std::fs::read_to_string(&file)?.contains("picked"));
    Ok(())
}

#[test]
fn one_picture_holds_and_another_only_with_a_word() -> std::io::Result<()> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("c.toml");
    std::fs::write(&file, TEXT)?;
    let today = units::Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}"));
    let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
    done(lay_picture(&file, &drawing()));
    let grey = scenes::png_of(40, 40, &[90; 4800]).unwrap_or_else(|e| panic!("{e}"));
    done(lay_picture(&file, &grey));
    let said = done(choose_picture(&file, 1, " the  artist's\nown ", None, &recording));
    assert_eq!(said, "c.picture-1.png chosen");
    let all = done(pictures_of(&file));
    assert_eq!((all[0].holds, all[0].because.as_deref()), (true, Some("the artist's own")));
    assert!(std::fs::read_to_string(&file)?.contains("over = [\"c.picture-2.png\"]"));
    let wanted = PickWanted {
        file: file.clone(),
        picture: 2,
        place: PickPlace::Point([5, 5]),
        piece: None,
        today,
    };
    let other = done(pick_colour(&wanted, None, &mut go_on));
    let mut keep = PickKept {
        to: PickFor::Piece("coat".to_owned()),
        on_cloth_white: false,
        because: None,
        anew: false,
        since: None,
    };
    assert!(keep_picked(&file, &other, &keep, &recording).is_err(), "another picture holds");
    keep.anew = true;
    keep.because = Some("a better scan".to_owned());
    done(keep_picked(&file, &other, &keep, &recording));
    let all = done(pictures_of(&file));
    assert_eq!(
        (all[0].name.as_str(), all[0].because.as_deref()),
        ("c.picture-2.png", Some("a better scan"))
    );
    Ok(())
}
