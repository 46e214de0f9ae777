//! Values of the room checked against the printed sources they are from, to the printed digit.
//! Each check names its source; nothing here is the room's own output.

use lore::{DyeClass, Lore};

fn measured(id: &str) -> (f64, f64) {
    let row = Lore::shipped().measured(id).unwrap_or_else(|| panic!("no {id}"));
    assert_eq!(row.standing, lore::Standing::Published, "{id}");
    (row.low, row.high)
}

fn regain(material: &str, basis: &str) -> Option<f64> {
    let lore = Lore::shipped();
    let material = lore.material(material).ok()?;
    let row = lore.regain(material).find(|row| row.basis == basis)?;
    assert_eq!(row.provenance.standing, lore::Standing::Published, "{}", material.id);
    Some((row.share.to_percent() * 1e6).round() / 1e6)
}

#[test]
fn regain_of_astm_d1909() {
    // ASTM D1909-13 as printed in Bioresources and Bioprocessing 7 (2020), Table 10.
    for (fibre, percent) in
        [("cotton", 8.5), ("flax", 12.0), ("hemp", 12.0), ("silk", 11.0), ("wool", 13.6)]
    {
        assert_eq!(regain(fibre, "ASTM D1909"), Some(percent), "{fibre}");
    }
}

#[test]
fn agreed_allowances_of_the_eu() {
    // Worked example of EU quantitative fibre analysis: carded wool, polyamide, cotton.
    assert_eq!(regain("wool", "EU agreed allowance, carded"), Some(17.0));
    assert_eq!(regain("nylon", "EU agreed allowance, staple"), Some(6.25));
    assert_eq!(regain("cotton", "EU agreed allowance"), Some(8.5));
}

#[test]
fn shrinkage_temperatures_of_leather() {
    // Conservation Science: Heritage Materials, RSC 2006, p. 95.
    assert_eq!(measured("ts-chrome"), (100.0, 120.0));
    assert_eq!(measured("ts-veg-condensed"), (80.0, 85.0));
    assert_eq!(measured("ts-veg-hydrolysable"), (75.0, 80.0));
    assert_eq!(measured("ts-alum-tawed"), (55.0, 60.0));
    assert_eq!(measured("ts-chamois"), (53.0, 56.0));
}

#[test]
fn leather_stays_25_degrees_below_its_shrinkage_temperature() {
    // The published Ts less the house rule of 25 °C is never below the cap we print.
    for (material, ts) in
        [("leather-chrome", "ts-chrome"), ("leather-veg-tan", "ts-veg-hydrolysable")]
    {
        let cap = Lore::shipped().material(material).unwrap().t_max.to_degrees();
        assert!(cap <= measured(ts).0 - 25.0, "{material}: {cap}");
    }
}

#[test]
fn rate_doubling() {
    // Basic Principles of Textile Coloration, 2001, p. 394: nylon per 10 °C, polyester per 5 °C.
    assert_eq!(measured("rate-doubling-nylon"), (10.0, 10.0));
    assert_eq!(measured("rate-doubling-polyester"), (5.0, 5.0));
    // The same, p. 327: dry-heat dyeing of polyester at 190–220 °C for 1–2 min.
    assert_eq!(measured("dry-heat-polyester-c"), (190.0, 220.0));
    assert_eq!(measured("dry-heat-polyester-min"), (1.0, 2.0));
}

#[test]
fn fixation_by_class() {
    // US EPA, Best Management Practices for Pollution Prevention in the Textile Industry, 1995,
    // table of typical fixation (pairing restored from the known order of the table).
    for (classes, low, high) in [
        (&[DyeClass::AcidLevelling, DyeClass::AcidMilling][..], 80.0, 93.0),
        (&[DyeClass::Basic], 97.0, 98.0),
        (&[DyeClass::Direct], 70.0, 95.0),
        (&[DyeClass::Disperse], 80.0, 92.0),
        (&[DyeClass::ReactiveDct, DyeClass::ReactiveMct, DyeClass::ReactiveVs], 60.0, 90.0),
        (&[DyeClass::Sulfur], 60.0, 70.0),
        (&[DyeClass::Vat], 80.0, 95.0),
    ] {
        for class in classes {
            let facts = Lore::shipped().class(*class).unwrap();
            let (from, to, provenance) = facts.published.as_ref().unwrap();
            let percent = |share: &units::Share| (share.to_percent() * 1e6).round() / 1e6;
            assert_eq!((percent(from), percent(to)), (low, high), "{class}");
            assert_eq!(provenance.source, "epa-1995");
        }
    }
}

#[test]
fn pla_bears_what_the_paper_says() {
    // Indian Journal of Fibre and Textile Research 38 (2013) 22.
    assert_eq!(measured("pla-safe-c"), (110.0, 110.0));
    assert_eq!(measured("pla-safe-ph"), (4.5, 5.0));
    assert_eq!(measured("pla-safe-min"), (30.0, 30.0));
    assert_eq!(measured("pla-burst-loss-120"), (11.4, 11.4));
    // The home cap stays well below.
    assert!(Lore::shipped().material("pla").unwrap().t_max.to_degrees() <= 90.0);
}

#[test]
fn melting_points_of_the_acetates() {
    // Journal of the Forensic Science Society 31 (1991) 457–461.
    assert_eq!(measured("mp-diacetate"), (241.0, 249.0));
    assert_eq!(measured("mp-triacetate"), (300.0, 300.0));
}

#[test]
fn wool_scour() {
    // The Dyeing of Woollen Fabrics, 1902, p. 22: 100 °F, never above 120 °F.
    let fahrenheit = |c: f64| units::Celsius::try_degrees(c).unwrap().to_fahrenheit();
    assert!((fahrenheit(measured("wool-scour-usual").0) - 100.0).abs() < 0.1);
    assert!((fahrenheit(measured("wool-scour-cap").0) - 120.0).abs() < 0.1);
}
