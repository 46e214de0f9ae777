//! Cases: written and read again they are the same, and what is wrong with one is said in words.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

mod shop;

use std::collections::BTreeMap;
use std::sync::Arc;

use colour::Light;
use dyehouse::{Bolt, Case, FILES, Instrument, Reader, Start, Stratum, World};
use shop::{ratio, reader, recipe, shelf};

fn drawn(world: &str, start: Start, reader: Reader) -> Case {
    Case::try_drawn(World::named(world).unwrap(), 77, shelf(), ratio(), reader, start, 16).unwrap()
}

fn files(case: &Case) -> BTreeMap<&'static str, String> {
    case.try_written().unwrap().into_iter().collect()
}

fn read(files: &BTreeMap<&'static str, String>) -> Result<Case, String> {
    Case::try_read(|name| files.get(name).cloned()).map_err(|e| e.to_string())
}

#[test]
fn written_and_read_again_it_is_the_same_case() {
    let spectral = Reader::try_new(0.4, Instrument::Spectrum, Light::A).unwrap();
    for world in World::all() {
        for (start, reader) in [(Start::Estimates, reader(1.0)), (Start::Ladders, spectral)] {
            let case = drawn(&world.name, start, reader);
            let files = files(&case);
            assert!(files.keys().all(|name| FILES.contains(name)));
            let again = read(&files).unwrap();
            assert_eq!(again.world(), case.world());
            assert_eq!(again.jobs(), case.jobs());
            assert_eq!((again.start(), again.reader()), (case.start(), case.reader()));
            assert_eq!(again.ladders(3).count(), case.ladders(3).count());
            let first = recipe(&[(0, 0.3), (4, 0.6)]);
            for job in case.jobs() {
                let swatch = |case: &Case| {
                    let house = case.try_house(job.house).unwrap();
                    let at = house.begin(job.number, &first).unwrap();
                    let dyed = at.dye(&first, 2).unwrap();
                    at.read(&dyed, case.reader()).lab
                };
                let (one, other) = (swatch(&case), swatch(&again));
                assert!(colour::ciede2000(one, other) < 1e-9, "{} {one} {other}", world.name);
            }
        }
    }
}

#[test]
fn a_case_spreads_its_jobs_over_the_strata_each_in_a_house_of_its_own() {
    let case = drawn("right", Start::Ladders, reader(1.0));
    assert_eq!((case.jobs().len(), case.houses()), (16, 16));
    for (job, stratum) in case.jobs().iter().zip(Stratum::ALL.into_iter().cycle()) {
        assert_eq!(Stratum::of(job.target), stratum);
    }
    assert_eq!(case.ladders(5).count(), 3 * case.shelf().dyes().len());
    let dye = |house: usize| {
        let house = case.try_house(house).unwrap();
        house.truth().dye(Bolt(0), dyehouse::Jar(0)).unwrap().clone()
    };
    assert_ne!(dye(0), dye(1));
    assert!(case.try_house(16).is_err());
    assert!(Arc::strong_count(case.shelf()) >= 1);
}

#[test]
fn draws_given_one_by_one_take_the_place_of_the_seed() {
    let mut files = files(&drawn("right", Start::Estimates, reader(1.0)));
    let dye = shelf().dyes()[4].id.clone();
    let draws = format!(
        "job,swatch,what,which,z\n0,1,dose,{dye},0\n0,1,each,{dye},0\n0,1,common,0,0\n\
         0,0,bias,0,0\n0,0,bias,1,0\n0,0,bias,2,0\n0,1,new,0,0\n0,1,new,1,0\n0,1,new,2,0\n"
    );
    files.insert("draws.csv", draws);
    let case = read(&files).unwrap();
    let (house, first) = (case.try_house(0).unwrap(), recipe(&[(4, 1.0)]));
    let job = house.begin(0, &first).unwrap();
    let dyed = job.dye(&first, 1).unwrap();
    let truth = house.true_lab(&first).unwrap();
    assert!(colour::ciede2000(truth, job.read(&dyed, case.reader()).lab) < 1e-9);
    // The next swatch is left to the seed, but for the bias.
    let next = job.dye(&first, 2).unwrap();
    assert!(colour::ciede2000(truth, job.read(&next, case.reader()).lab) > 1e-3);
    assert_eq!(read(&self::files(&case)).unwrap(), case);
}

#[test]
fn what_is_wrong_with_a_case_is_said() {
    let good = files(&drawn("right", Start::Ladders, reader(1.0)));
    assert!(read(&good).is_ok());
    let dye = shelf().dyes()[0].id.clone();
    for (file, from, to, word) in [
        ("case.toml", "format = 1", "format = 2", "format 2"),
        ("case.toml", "rms_de00 = 1.0", "rms_de00 = -1.0", "between 0 and 20"),
        ("case.toml", "start = ", "begin = ", "begin"),
        ("estimates.toml", "gain = 1.0", "gain = 0.0", "gain of cloth 'cotton'"),
        ("targets.csv", "job,house", "job,home", "job,house,cloth"),
        ("targets.csv", "\n3,3,", "\n3,99,", "line 5: '99'"),
        ("targets.csv", "\n3,3,", "\n2,3,", "job 2 stands there twice"),
        ("targets.csv", "\n3,3,cotton", "\n3,3,felt", "'felt'"),
        ("ladders.csv", "0,cotton,", "0,cotton,un", "no such dye"),
        ("truth.toml", "fixed_pct", "fixed", "fixed"),
        ("truth.toml", dye.as_str(), "nothing-like-it", "nothing-like-it"),
        // With its file and its line, what the number is, and the rule.
        (
            "case.toml",
            "liquor_l_per_kg = 20.0",
            "liquor_l_per_kg = 1e9",
            "case.toml: line 3: a liquor",
        ),
        ("case.toml", "liquor_l_per_kg = 20.0", "liquor_l_per_kg = nan", "case.toml: line 3: "),
        ("case.toml", "\"D65\"", "\"sun\"", "case.toml: line 9: no light"),
        ("case.toml", "\"colour\"", "\"smell\"", "unknown variant `smell`"),
        ("estimates.toml", "ks_per_pct = ", "ks_per_pct = nan #", "estimates.toml: line "),
        ("estimates.toml", "fixed_pct = ", "fixed_pct = -1.0 #", "estimates.toml: line "),
        ("estimates.toml", "fixed_pct = ", "fixed_pct = 0.7 #", "write 75 for three quarters"),
        ("estimates.toml", "most_pct = ", "most_pct = 1e300 #", "must lie between 0 and 400 % owf"),
        ("estimates.toml", "reflectance = [", "reflectance = [79.0, ", "32 values: give 31"),
        ("truth.toml", "fixed_pct = ", "fixed_pct = nan #", "truth.toml: line "),
        ("truth.toml", "saturation_pct = ", "saturation_pct = inf #", "truth.toml: line "),
        ("truth.toml", "seed = 77", "seed = 99999999999999999999", "line 1, column 8"),
        ("truth.toml", "seed = 77", "seed = -1", "line 1, column 8"),
        ("truth.toml", "dose_pct = 1.5", "dose_pct = 500.0", "truth.toml: line "),
        ("targets.csv", "\n3,3,", "\n-3,3,", "line 5: '-3': it must be a whole number"),
        ("targets.csv", "\n3,3,", "\n99999999999999999999,3,", "line 5: '99999999999999999999'"),
        ("targets.csv", "\n3,3,cotton,", "\n3,3,cotton,NaN,0,0\n4,3,cotton,", "line 5: 'NaN'"),
        ("targets.csv", "\n3,3,cotton,", "\n3,3,cotton,50,1e9,0\n9,3,cotton,", "line 5: a* is"),
        ("ladders.csv", "\n0,cotton,", "\n0,cotton,,", "line 2: it has 8 cells"),
    ] {
        let mut bad = good.clone();
        let text = bad.get_mut(file).unwrap();
        assert!(text.contains(from), "{file} has no {from}");
        *text = text.replacen(from, to, 1);
        let speech = read(&bad).unwrap_err();
        assert!(speech.contains(word), "{file}: {speech}");
    }
    for file in ["case.toml", "estimates.toml", "targets.csv", "ladders.csv", "truth.toml"] {
        let mut bad = good.clone();
        bad.remove(file);
        assert!(read(&bad).unwrap_err().contains("is missing"), "{file}");
        bad.insert(file, String::new());
        let speech = read(&bad).unwrap_err();
        assert!(speech.starts_with(file), "{file} empty: {speech}");
    }
}

/// `docs/cases.md` is what somebody who makes a case goes by: it must name every file, key and column.
#[test]
fn the_page_on_cases_names_every_file_key_and_column() {
    let page = include_str!("../../../docs/cases.md");
    let spectral = Reader::try_new(0.4, Instrument::Spectrum, Light::A).unwrap();
    let mut checked = 0;
    for world in World::all() {
        for (name, text) in files(&drawn(&world.name, Start::Ladders, spectral)) {
            assert!(page.contains(&format!("## `{name}`")), "{name} has no section");
            let csv = text
                .lines()
                .next()
                .unwrap_or_default()
                .split(',')
                .filter(|_| name.ends_with("csv"));
            // Of 31 columns of a spectrum the first two and the last are named.
            let columns =
                csv.filter(|c| !c.starts_with('r') || ["r400", "r410", "r700"].contains(c));
            let keys = text.lines().filter_map(|l| Some(l.split_once(" = ")?.0.trim()));
            let keys = keys.filter(|_| name.ends_with("toml"));
            let worlds = include_str!("../data/worlds.toml");
            for key in columns.chain(keys) {
                // What a world may change stands in the file of worlds, which the page names.
                assert!(page.contains(key) || worlds.contains(key), "{name}: '{key}' is not told");
                checked += 1;
            }
        }
    }
    assert!(checked > 100);
}
