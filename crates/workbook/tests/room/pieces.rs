//! The record of a piece holds all that is needed to make it again, and nothing of its neighbours.

use colour::Lab;
use units::{Day, Mass};
use workbook::{Aim, Bath, Call, Happened, InBath, Kind, Purpose, Subject, Target, Verdict};

use crate::common::{begun, costume, dose, dye, folder, lot, piece, reading, stamp, swatch};

#[test]
fn a_piece_can_be_made_again_from_its_record() {
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let lab = Lab::new(40.0, 5.0, -20.0);
    let day = Day::try_ymd(2031, 5, 10).unwrap();
    let ferryman = book.record_costume(&at, &costume("The Ferryman")).unwrap();
    let sash = book.record_piece(&at, &piece(ferryman, "sash")).unwrap();
    let hat = book.record_piece(&at, &piece(ferryman, "hat")).unwrap();
    let navy = book.record_dye(&at, &dye("acid-navy")).unwrap();
    let red = book.record_dye(&at, &dye("acid-red")).unwrap();
    let old = book.record_lot(&at, &lot(navy, "A17")).unwrap();
    let new = book.record_lot(&at, &lot(navy, "B02")).unwrap();

    let first = book.record_swatch(&at, &swatch(vec![dose(navy, Some(old), 1.0)])).unwrap();
    let mut over = swatch(vec![dose(navy, Some(new), 0.2)]);
    over.over = Some(first);
    let over = book.record_swatch(&at, &over).unwrap();
    let mut other = swatch(vec![dose(red, None, 1.0)]);
    other.piece = Some(hat);
    let others = book.record_swatch(&at, &other).unwrap();
    book.record_reading(&at, &reading(Subject::Swatch(first), lab)).unwrap();
    book.record_reading(&at, &reading(Subject::Swatch(over), lab)).unwrap();

    let bath = Bath {
        purpose: Purpose::Dye,
        after: None,
        from_swatch: Some(over),
        pieces: vec![
            InBath { piece: sash, dry: Mass::try_grams(120.0).unwrap() },
            InBath { piece: hat, dry: Mass::try_grams(40.0).unwrap() },
        ],
        fibre: None,
        undyed: workbook::Undyed::Unsaid,
        day,
        liquor: None,
        class: "acid-milling".to_owned(),
        procedure: Some("acid-milling".to_owned()),
        time: None,
        hottest: None,
        doses: vec![dose(navy, Some(new), 1.2)],
        sheet: None,
        note: None,
    };
    let bath = book.record_bath(&at, &bath).unwrap();
    let of = |piece| Subject::Dyed { bath, piece };
    let today = book.record_reading(&at, &reading(of(sash), lab)).unwrap();
    book.record_reading(&at, &reading(of(hat), lab)).unwrap();
    book.record_target(&at, &Target { piece: sash, aim: Aim::Reading(today), note: None }).unwrap();
    let verdict = Verdict {
        piece: sash,
        swatch: None,
        bath: Some(bath),
        reading: Some(today),
        call: Call::Accepted,
        day,
        note: None,
    };
    let verdict = book.record_verdict(&at, &verdict).unwrap();

    let record = book.record_of(sash).unwrap();
    assert_eq!(record.costume.it.name, "The Ferryman");
    let swatches: Vec<_> = record.swatches.iter().map(|(s, r)| (s.id, r.len())).collect();
    assert_eq!(swatches, [(first, 1), (over, 1)], "the one repeated, and what it was dyed over");
    assert_eq!(record.baths.len(), 1);
    assert_eq!(record.baths[0].1.len(), 1, "its own reading, not the hat's");
    let dyes: Vec<_> = record.dyes.iter().map(|d| d.id).collect();
    let lots: Vec<_> = record.lots.iter().map(|l| l.id).collect();
    assert_eq!((dyes, lots), (vec![navy], vec![old, new]));
    assert_eq!(record.verdicts.len(), 1);
    assert_eq!(book.target_of(sash).unwrap().unwrap().it.aim, Aim::Reading(today));

    // The hat's record has the bath and its own swatch.
    let hats = book.record_of(hat).unwrap();
    assert!(hats.swatches.iter().any(|(s, _)| s.id == others) && hats.verdicts.is_empty());

    // What is undone leaves the record, and stays in the history.
    book.undo(&at, verdict.entry()).unwrap();
    assert!(book.record_of(sash).unwrap().verdicts.is_empty());
    let history = book.history(sash).unwrap();
    let said: Vec<Happened> = history.iter().map(|e| e.what).collect();
    assert_eq!(said.last(), Some(&Happened::Undid(verdict.entry())));
    assert!(said.contains(&Happened::Recorded(Kind::Verdict)));
    assert!(history.iter().all(|e| e.entry != others.entry()), "nothing of the hat's");

    // What teaches: every swatch that stands, and each piece of the bath, with the lot it was dosed from.
    let evidence = book.evidence().unwrap();
    let lots: Vec<_> =
        evidence.iter().map(|e| e.dyes[0].2.as_ref().map(|l| l.it.mark.clone())).collect();
    let of = |mark: &str| Some(mark.to_owned());
    assert_eq!(lots, [of("A17"), of("B02"), None, of("B02"), of("B02")]);
    assert_eq!(evidence.iter().map(|e| e.readings.len()).collect::<Vec<_>>(), [1, 1, 0, 1, 1]);
    assert_eq!(evidence[3].of, Subject::Dyed { bath, piece: sash });
    // Both pieces took of the same bath: its doses are reckoned on the weight of both.
    assert!((evidence[3].swatch.goods.to_grams() - 160.0).abs() < 1e-9);
}
