//! The house rules, each as one test that prints file and line of what breaks it; and, for each
//! check, something bad that it must catch.

use tidy::files::{Text, all, rooms};
use tidy::{Found, floors, rules, sources};

/// Fails with every find on its own line.
fn check(rule: &str, found: Vec<Found>) {
    let list: String = found.iter().map(|f| format!("\n  {f}")).collect();
    assert!(found.is_empty(), "{rule}:{list}");
}

fn text<'a>(files: &'a [Text], path: &str) -> &'a Text {
    let found = files.iter().find(|f| f.path == path);
    found.unwrap_or_else(|| panic!("{path} is missing"))
}

/// A file that is not there, for feeding a check something bad.
fn made_up(path: &str, text: &str) -> Text {
    Text { path: path.to_owned(), text: text.to_owned() }
}

/// The check must find something, and in the line given.
fn caught(what: &str, found: &[Found], line: usize) {
    assert!(
        found.iter().any(|f| f.line == line),
        "{what} was not caught in line {line}: {found:?}"
    );
}

const SMALL_MAP: &str = "\
| room | may use | what lives here | never |
| --- | --- | --- | --- |
| `units` | – | x | y |
| `colour` | units | x | y |
| `paper` | units | x | y |
";

#[test]
fn the_layer_table_names_every_room_in_floor_order() {
    let files = all();
    check(
        "layer table",
        floors::check_table(&text(&files, "ARCHITECTURE.md").text, &rooms(&files)),
    );
    let house = ["units", "colour", "paper"].map(str::to_owned);
    check("a sound table", floors::check_table(SMALL_MAP, &house));
    let upside_down = SMALL_MAP.replace("| `units` | –", "| `units` | colour");
    caught("a room below", &floors::check_table(&upside_down, &house), 3);
    let more = ["units", "colour", "paper", "attic"].map(str::to_owned);
    caught("a room not in the table", &floors::check_table(SMALL_MAP, &more), 0);
}

#[test]
fn manifests_keep_to_the_layer_table() {
    let files = all();
    let house = rooms(&files);
    let table = floors::table(&text(&files, "ARCHITECTURE.md").text);
    let manifests = house.iter().map(|r| text(&files, &format!("crates/{r}/Cargo.toml")));
    let found = manifests.flat_map(|m| floors::check_manifest(&table, &house, &m.path, &m.text));
    check("manifests against the layer table", found.collect());

    let small = floors::table(SMALL_MAP);
    let manifest = |body: &str| {
        let text = format!("[package]\nname = \"paper\"\n{body}");
        floors::check_manifest(&small, &house, "x", &text)
    };
    caught("a plain dependency", &manifest("[dependencies]\ncolour.workspace = true\n"), 4);
    caught(
        "a renamed one",
        &manifest("[dependencies]\nc = { package = \"colour\", path = \"c\" }\n"),
        0,
    );
    caught(
        "for one machine only",
        &manifest("[target.'cfg(unix)'.dependencies]\ncolour = { path = \"c\" }\n"),
        4,
    );
    caught("for tests", &manifest("[dev-dependencies]\ncolour.workspace = true\n"), 4);
    check("the auditor in tests", manifest("[dev-dependencies]\nauditor.workspace = true\n"));
    let other = floors::check_manifest(&small, &house, "x", "[package]\nname = \"attic\"\n");
    caught("a room not in the table", &other, 0);
}

#[test]
fn paths_in_the_sources_keep_to_the_layer_table() {
    let files = all();
    let table = floors::table(&text(&files, "ARCHITECTURE.md").text);
    let found = files.iter().flat_map(|f| floors::check_paths(&table, &files, f));
    check("paths against the layer table", found.collect());

    let small = floors::table(SMALL_MAP);
    let paths = |code: &str| {
        let file = made_up("crates/paper/src/page.rs", code);
        floors::check_paths(&small, std::slice::from_ref(&file), &file)
    };
    caught("a use", &paths("//! x\nuse colour::Lab;\n"), 2);
    caught("a path", &paths("fn f() {\n    let x = colour::Lab::new();\n}\n"), 2);
    check(
        "its own floor",
        paths("use units::Mass;\n// colour::Lab is a comment\nuse crate::colour::Chip;\n"),
    );
    check("a module of that name", paths("mod colour;\nfn f() { colour::chip(); }\n"));
}

#[test]
fn the_doors_do_not_know_each_other() {
    let found = all().iter().flat_map(floors::check_doors).collect();
    check("doors", found);
    let web = made_up("crates/dyewright/src/web/page.rs", "use crate::cli::args;\n");
    caught("the web using the command line", &floors::check_doors(&web), 1);
    let cli = made_up("crates/dyewright/src/cli/plan.rs", "\nuse super::web;\n");
    caught("the command line using the web", &floors::check_doors(&cli), 2);
}

#[test]
fn every_source_is_known_and_named() {
    let files = all();
    let register = text(&files, "crates/lore/data/sources.toml");
    let data: Vec<&Text> = files
        .iter()
        .filter(|f| f.path.starts_with("crates/lore/data/") && f.path.ends_with(".toml"))
        .filter(|f| f.path != register.path)
        .collect();
    assert!(data.len() > 3, "the data files of lore were not found");
    check("sources", sources::check(register, &data));

    let register = made_up("s", "[[source]]\nid = \"a\"\n[[source]]\nid = \"b\"\n");
    let fact = made_up("d", "[[row]]\nsource = \"a\"\ncell = { source = \"c\" }\n");
    let found = sources::check(&register, &[&fact]);
    caught("an unknown source", &found, 3);
    caught("a source nobody names", &found, 4);
}

#[test]
fn no_file_holds_what_no_file_may() {
    let files = all();
    let each = |rule: fn(&Text) -> Vec<Found>| files.iter().flat_map(rule).collect::<Vec<_>>();
    check("paths of one machine", each(rules::machine_paths));
    check("unwanted words", each(rules::unwanted_words));
    check("registries", each(rules::registries));

    let path = ["x = \"", "/ho", "me/somebody/x\""].concat();
    caught("a path", &rules::machine_paths(&made_up("f", &format!("\n{path}"))), 2);
    check(
        "no path",
        rules::machine_paths(&made_up(
            "f",
            &["see ..", "work", "home", "x and https://x.org/home/y"].join("/"),
        )),
    );
    let words = ["see the Seed", " Document"].concat();
    caught("words", &rules::unwanted_words(&made_up("f", &words)), 1);
    let lock = "[[package]]\nsource = \"registry+https://mirror.example/index\"\n";
    caught("a registry", &rules::registries(&made_up("Cargo.lock", lock)), 2);
}

#[test]
fn pure_rooms_touch_nothing() {
    let files = all();
    let table = floors::table(&text(&files, "ARCHITECTURE.md").text);
    // From the top of the house down to `paper`, and the auditor.
    let last = table.iter().position(|r| r.name == "paper").map_or(table.len(), |i| i + 1);
    let mut pure: Vec<String> = table[..last].iter().map(|r| r.name.clone()).collect();
    pure.push("auditor".to_owned());
    assert!(pure.iter().any(|r| r == "plan"), "`plan` must be among the pure rooms: {pure:?}");
    check("pure rooms", files.iter().flat_map(|f| rules::impure(f, &pure)).collect());

    let bad = |code: &str| rules::impure(&made_up("crates/colour/src/x.rs", code), &pure);
    caught("the disk", &bad("use std::fs;\n"), 1);
    caught(
        "the clock",
        &bad("\nlet t = std::time::Instant::now();\nlet now = Instant::now();\n"),
        3,
    );
    caught("chance", &bad("let x = rand::random();\n"), 1);
    check("no chance in an operand", bad("let x = operand::of(y); // rand::random\n"));
}

#[test]
fn only_the_door_speaks() {
    check("speech", all().iter().flat_map(rules::speech).collect());
    let bad = made_up("crates/plan/src/x.rs", "fn f() {\n    println!(\"x\");\n}\n");
    caught("println", &rules::speech(&bad), 2);
    check(
        "tests may",
        rules::speech(&made_up("crates/plan/src/x.rs", "#[cfg(test)]\nmod tests { println!() }\n")),
    );
}

#[test]
fn no_source_is_too_long() {
    check("long sources", all().iter().flat_map(rules::too_long).collect());
    let long = made_up("crates/plan/src/x.rs", &"x\n".repeat(rules::LONGEST + 1));
    caught("501 lines", &rules::too_long(&long), rules::LONGEST + 1);
}

#[test]
fn the_pages_of_the_house_are_there() {
    let files = all();
    let mut found = Vec::new();
    for page in ["README.md", "ARCHITECTURE.md", "CHANGELOG.md", "docs/measured.md", "docs/json.md"]
    {
        match files.iter().find(|f| f.path == page) {
            None => found.push(Found::at(page, 0, "is missing")),
            Some(f) if f.text.trim().len() < 100 => found.push(Found::at(page, 1, "says nothing")),
            Some(_) => {}
        }
    }
    // The two commands a newcomer needs: see it work, and check that it holds.
    if let Some(readme) = files.iter().find(|f| f.path == "README.md") {
        for command in ["cargo run --release -- plan ", "./check"] {
            if !readme.text.contains(command) {
                found.push(Found::at(
                    "README.md",
                    0,
                    format!("does not give the command `{command}`"),
                ));
            }
        }
    }
    check("pages", found);
}

#[test]
fn shipped_measurements_name_their_source() {
    check("measurements", rules::without_source(&all()));
    let lone = [made_up("crates/colour/data/lamp.csv", "1,2\n")];
    caught("no note", &rules::without_source(&lone), 0);
}

#[test]
fn examples_named_in_measured_exist() {
    let files = all();
    if let Some(page) = files.iter().find(|f| f.path == "docs/measured.md") {
        check("examples", rules::missing_examples(page, &files));
    }
    let page = made_up("docs/measured.md", "x\n`cargo run --release --example no_such_thing`\n");
    caught("an example that is not there", &rules::missing_examples(&page, &files), 2);
}
