//! "Have I dyed this colour before?" gives just what looking at everything would.

use colour::{Lab, ciede2000};
use workbook::{Book, Condition, Id, Sought, Subject, Swatch, Told, Within};

use crate::common::dice::Dice;
use crate::common::{FINISHED, begun, dose, dye, folder, reading, stamp, swatch};

struct There {
    swatch: Id<Swatch>,
    lab: Lab,
    counts: bool,
}

/// Swatches of random colours: greys, blues and all else; some of two readings, some wet, some undone.
fn filled(book: &mut Book, dice: &mut Dice, many: usize) -> Vec<There> {
    let at = stamp();
    let dye = book.record_dye(&at, &dye("acid-navy")).unwrap();
    let mut there = vec![];
    book.write(|w| {
        for i in 0..many {
            let it = w.record_swatch(&at, &swatch(vec![dose(dye, None, 1.0)]))?;
            for _ in 0..=usize::from(i % 7 == 0) {
                let (chroma, hue) = match i % 3 {
                    0 => (dice.between(0.0, 8.0), dice.between(0.0, 360.0)),
                    1 => (dice.between(10.0, 60.0), dice.between(240.0, 310.0)),
                    _ => (dice.between(0.0, 80.0), dice.between(0.0, 360.0)),
                };
                let hue = f64::to_radians(hue);
                let lab =
                    Lab::new(dice.between(10.0, 95.0), chroma * hue.cos(), chroma * hue.sin());
                let mut read = reading(Subject::Swatch(it), lab);
                let wet = dice.below(9) == 0;
                if wet {
                    read.condition = Condition { dry: Told::No, ..FINISHED };
                }
                let id = w.record_reading(&at, &read)?;
                let undone = dice.below(9) == 0;
                if undone {
                    w.undo(&at, id.entry())?;
                }
                there.push(There { swatch: it, lab, counts: !wet && !undone });
            }
        }
        Ok(())
    })
    .unwrap();
    there
}

#[test]
fn the_index_finds_what_looking_at_everything_finds() {
    let folder = folder();
    let mut book = begun(folder.path());
    let mut dice = Dice::new(4);
    let there = filled(&mut book, &mut dice, 1500);
    let mut found_some = 0;
    for i in 0..200 {
        let to = match i % 2 {
            0 => dice.pick(&there.iter().map(|t| t.lab).collect::<Vec<_>>()),
            _ => Lab::new(
                dice.between(0.0, 100.0),
                dice.between(-70.0, 70.0),
                dice.between(-70.0, 70.0),
            ),
        };
        let within = dice.pick(&[0.5, 2.0, 7.0, 20.0]);
        let most = dice.pick(&[1, 3, 40]);
        let mut all: Vec<(f64, Id<Swatch>)> = vec![];
        for one in there.iter().filter(|t| t.counts) {
            let de00 = ciede2000(to, one.lab);
            match all.iter_mut().find(|(_, swatch)| *swatch == one.swatch) {
                Some(known) => known.0 = known.0.min(de00),
                None => all.push((de00, one.swatch)),
            }
        }
        all.retain(|(de00, _)| *de00 <= within);
        all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        all.truncate(most);
        let found = book.nearest(to, Within::try_de00(within).unwrap(), most).unwrap();
        let told: Vec<_> = found
            .iter()
            .map(|near| {
                let Subject::Swatch(swatch) = near.reading.it.of else { panic!("a swatch") };
                (near.de00, swatch)
            })
            .collect();
        assert_eq!(told, all, "{to} within {within}, {most} at most");
        found_some += usize::from(!told.is_empty());
    }
    assert!(found_some > 120, "{found_some} of 200 questions had an answer");
}

#[test]
fn a_colour_under_another_light_and_an_undyed_piece_are_not_dyed_before() {
    use crate::common::{costume, piece};
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let lab = Lab::new(50.0, 10.0, 10.0);
    let costume = book.record_costume(&at, &costume("The Ferryman")).unwrap();
    let sash = book.record_piece(&at, &piece(costume, "sash")).unwrap();
    book.record_reading(&at, &reading(Subject::Piece(sash), lab)).unwrap();
    let it = book.record_swatch(&at, &swatch(vec![])).unwrap();
    let mut under_a = reading(Subject::Swatch(it), lab);
    let of = |light| colour::Colour { lab, light, observer: colour::Observer::Ten };
    under_a.value = colour::Value::Colour(of(colour::Light::A));
    book.record_reading(&at, &under_a).unwrap();
    let within = Within::try_de00(20.0).unwrap();
    assert_eq!(book.nearest(lab, within, 9).unwrap(), vec![]);
    // Told under daylight as a further light, it is found.
    under_a.also = vec![of(colour::Light::D65)];
    book.record_reading(&at, &under_a).unwrap();
    assert_eq!(book.nearest(lab, within, 9).unwrap().len(), 1);
    assert!(book.check().unwrap().is_clean());
}

#[test]
fn swatches_are_sought_by_colour_dye_fibre_and_class_a_page_at_a_time() {
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let navy = book.record_dye(&at, &dye("acid-navy")).unwrap();
    let red = book.record_dye(&at, &dye("acid-red")).unwrap();
    let mut ids = vec![];
    for i in 0..10_u8 {
        let dyes = if i % 2 == 0 {
            vec![dose(navy, None, 1.0)]
        } else {
            vec![dose(navy, None, 1.0), dose(red, None, 0.5)]
        };
        let mut one = swatch(dyes);
        if i >= 6 {
            one.fibre = "silk".to_owned();
        }
        let id = book.record_swatch(&at, &one).unwrap();
        let lab = Lab::new(40.0 + 2.0 * f64::from(i), 5.0, 5.0);
        book.record_reading(&at, &reading(Subject::Swatch(id), lab)).unwrap();
        ids.push(id);
    }
    book.undo(&at, ids[9].entry()).unwrap_or_else(|_| {
        let readings = book.readings_of(ids[9]).unwrap();
        book.undo(&at, readings[0].id.entry()).unwrap();
        book.undo(&at, ids[9].entry()).unwrap()
    });
    let seek = |sought: &Sought, from: usize, most: usize| {
        let page = book.swatches_sought(sought, from, most).unwrap();
        let found: Vec<_> = page.swatches.iter().map(|(one, _)| one.id).collect();
        (found, page.of)
    };
    let anything = Sought::default();
    assert_eq!(
        seek(&anything, 0, 3),
        (vec![ids[8], ids[7], ids[6]], 9),
        "the newest first, none undone"
    );
    assert_eq!(seek(&anything, 8, 3), (vec![ids[0]], 9));
    assert_eq!(seek(&anything, 80, 3), (vec![], 9));
    let of = |dye: &str, fibre: &str, class: &str| Sought {
        dye: dye.to_owned(),
        fibre: fibre.to_owned(),
        class: class.to_owned(),
        ..Sought::default()
    };
    assert_eq!(seek(&of("acid-red", "", ""), 0, 9), (vec![ids[7], ids[5], ids[3], ids[1]], 4));
    assert_eq!(seek(&of("acid-red", "silk", ""), 0, 9), (vec![ids[7]], 1));
    assert_eq!(seek(&of("", "", "no such class"), 0, 9), (vec![], 0));
    let near = (Lab::new(46.0, 5.0, 5.0), Within::try_de00(3.0).unwrap());
    let blue = Sought { colour: Some(near), ..Sought::default() };
    assert_eq!(seek(&blue, 0, 1).0, vec![ids[3]], "the nearest first");
    let red_near = Sought { colour: Some(near), ..of("acid-red", "", "") };
    assert!(seek(&red_near, 0, 9).0.iter().all(|id| [ids[1], ids[3], ids[5]].contains(id)));
    // As the plain search for a colour has it: the same swatches in the same order, each with its nearest reading.
    book.record_reading(&at, &reading(Subject::Swatch(ids[0]), Lab::new(46.5, 5.0, 5.0))).unwrap();
    let mut wet = reading(Subject::Swatch(ids[1]), Lab::new(46.0, 5.0, 5.0));
    wet.condition.dry = Told::No;
    book.record_reading(&at, &wet).unwrap();
    for within in [1.0, 3.0, 20.0] {
        let within = Within::try_de00(within).unwrap();
        let plain = book.nearest(near.0, within, 99).unwrap();
        let asked = Sought { colour: Some((near.0, within)), ..Sought::default() };
        let page = book.swatches_sought(&asked, 0, 99).unwrap();
        let found: Vec<_> = page.swatches.into_iter().filter_map(|(_, near)| near).collect();
        assert_eq!(found, plain, "{within:?}");
        assert_eq!(page.of, plain.len());
    }
    let can = book.can_be_sought().unwrap();
    assert_eq!((can.dyes["acid-navy"], can.dyes["acid-red"]), (9, 4));
    assert_eq!(can.fibres["silk"], 3);
}
