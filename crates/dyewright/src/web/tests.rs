//! The doors of the workroom, knocked at without a browser: who is let in, what every answer carries, what bad input
//! gets.

mod at_the_desk;
mod at_the_pot;
mod charts;
mod mending;
mod pictures;

use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, StatusCode};
use tower::ServiceExt as _;

use super::room::Room;
use super::routes::routes;
use crate::opening::Opening;

const PORT: u16 = 7000;
const HOST: &str = "127.0.0.1:7000";

const COSTUME: &str = "[costume]\nname = \"Small\"\n[[piece]]\nid = \"scarf\"\nname = \"Scarf\"\ncloth = \"cotton\"\n\
                       weight_g = 100\ntarget = { hex = \"#2f6f5a\" }\n";

struct House {
    folder: tempfile::TempDir,
    router: Router,
    key: String,
}

impl House {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
        std::fs::write(folder.path().join("small.toml"), COSTUME).unwrap_or_else(|e| panic!("{e}"));
        let opening = Opening {
            place: folder.path().to_path_buf(),
            port: PORT,
            browser: false,
            book: None,
            today: units::Day::try_ymd(2031, 5, 12).ok(),
        };
        let room = Room::of(&opening, PORT).unwrap_or_else(|e| panic!("{e}"));
        let key = room.key().to_owned();
        Self { folder, router: routes(Arc::new(room)), key }
    }

    async fn sent(&self, request: Request<Body>) -> (StatusCode, axum::http::HeaderMap, String) {
        let answer = self.router.clone().oneshot(request).await.unwrap_or_else(|e| panic!("{e}"));
        let (status, headers) = (answer.status(), answer.headers().clone());
        let body = to_bytes(answer.into_body(), 8 << 20).await.unwrap_or_else(|e| panic!("{e}"));
        (status, headers, String::from_utf8_lossy(&body).into_owned())
    }

    async fn get(&self, path: &str) -> (StatusCode, String) {
        let request = self.request(Method::GET, path).body(Body::empty());
        let (status, _, body) = self.sent(request.unwrap_or_else(|e| panic!("{e}"))).await;
        (status, body)
    }

    /// Waits until the plan of the costume is made: until then its pages only say how far it is.
    async fn planned(&self) {
        while self.get("/c/small/progress").await.1.contains("\"busy\":true") {
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
    }

    async fn post(&self, path: &str, form: &str) -> (StatusCode, String) {
        let request = self
            .request(Method::POST, path)
            .header("origin", format!("http://{HOST}"))
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(form.to_owned()));
        let (status, _, body) = self.sent(request.unwrap_or_else(|e| panic!("{e}"))).await;
        (status, body)
    }

    fn request(&self, method: Method, path: &str) -> axum::http::request::Builder {
        let builder = Request::builder().method(method).uri(path).header("host", HOST);
        builder.header("cookie", format!("dyewright-key={}", self.key))
    }

    fn text(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("small.toml")).unwrap_or_default()
    }
}

#[tokio::test]
async fn only_this_machine_by_its_own_name_and_with_the_key_is_let_in() {
    let house = House::new();
    let ask = |host: &str, cookie: Option<String>| {
        let mut builder = Request::builder().uri("/").header("host", host);
        if let Some(cookie) = cookie {
            builder = builder.header("cookie", cookie);
        }
        builder.body(Body::empty()).unwrap_or_else(|e| panic!("{e}"))
    };
    let good = format!("other=1; dyewright-key={}", house.key);
    for (host, cookie, wanted) in [
        (HOST, Some(good.clone()), StatusCode::OK),
        ("localhost:7000", Some(good.clone()), StatusCode::OK),
        (HOST, None, StatusCode::FORBIDDEN),
        (HOST, Some("dyewright-key=0".to_owned()), StatusCode::FORBIDDEN),
        ("evil.example:7000", Some(good.clone()), StatusCode::MISDIRECTED_REQUEST),
        ("127.0.0.1:7001", Some(good.clone()), StatusCode::MISDIRECTED_REQUEST),
        ("127.0.0.1", Some(good.clone()), StatusCode::MISDIRECTED_REQUEST),
        ("127.0.0.1:7000:7000", Some(good), StatusCode::MISDIRECTED_REQUEST),
    ] {
        let (status, headers, _) = house.sent(ask(host, cookie.clone())).await;
        assert_eq!(status, wanted, "{host} {cookie:?}");
        let policy = headers.get("content-security-policy").and_then(|v| v.to_str().ok());
        assert!(policy.is_some_and(|p| p.contains("default-src 'none'")), "{host}: {policy:?}");
    }
}

#[tokio::test]
async fn the_key_in_the_address_becomes_a_cookie_and_leaves_the_address() {
    let house = House::new();
    let ask = |key: &str| {
        let path = format!("/shelf?key={key}");
        let request = Request::builder().uri(path).header("host", HOST).body(Body::empty());
        request.unwrap_or_else(|e| panic!("{e}"))
    };
    let (status, headers, _) = house.sent(ask(&house.key)).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_eq!(headers.get("location").map(|v| v.as_bytes()), Some(&b"/shelf"[..]));
    let cookie = headers.get("set-cookie").and_then(|v| v.to_str().ok()).unwrap_or_default();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    assert_eq!(house.sent(ask("wrong")).await.0, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_form_of_another_site_changes_nothing() {
    let house = House::new();
    for origin in [None, Some("http://evil.example"), Some("null"), Some("https://127.0.0.1:7000")]
    {
        let mut builder = house.request(Method::POST, "/c/small/p/scarf/drop");
        if let Some(origin) = origin {
            builder = builder.header("origin", origin);
        }
        let request = builder.body(Body::empty()).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(house.sent(request).await.0, StatusCode::FORBIDDEN, "{origin:?}");
    }
    assert_eq!(house.text(), COSTUME);
}

#[tokio::test]
async fn no_path_is_made_of_a_name() {
    let house = House::new();
    house.planned().await;
    for path in [
        "/c/..%2F..%2Fetc%2Fpasswd",
        "/c/small/p/..%2F..%2Fx",
        "/c/small/p/scarf/bath/99",
        "/c/nobody",
        "/shelf?of=..%2F..%2Fsecret.toml",
        "/c/small/print/..%2Fplan",
        "/nowhere",
    ] {
        let (status, body) = house.get(path).await;
        assert!(
            status == StatusCode::NOT_FOUND
                || status == StatusCode::OK && path.starts_with("/shelf"),
            "{path}: {status}"
        );
        assert!(!body.contains("panicked") && !body.contains("root:"), "{path}: {body}");
    }
    let (status, body) = house.get("/answer?cloth=cotton&colour=..%2Fsmall.toml").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(body.contains("names a file"), "{body}");
}

#[tokio::test]
async fn what_cannot_be_keeps_what_was_typed_and_the_file() {
    let house = House::new();
    let (status, body) =
        house.post("/c/small/p/scarf", "name=Scarf&cloth=cotton&weight=-3+g&target=reddish").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(body.contains("value=\"reddish\"") && body.contains("value=\"-3 g\""), "{body}");
    assert!(body.contains("role=\"alert\""), "{body}");
    assert_eq!(house.text(), COSTUME);
    let (status, body) = house.post("/c/small/file", "text=%5Bcostume%5D%0Aname+%3D").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(body.contains("Line 2") && body.contains("name ="), "{body}");
    assert_eq!(house.text(), COSTUME);
    let huge = format!("text={}", "x".repeat(5 << 20));
    assert_eq!(house.post("/c/small/file", &huge).await.0, StatusCode::PAYLOAD_TOO_LARGE);
    let (status, _) = house.post("/c/small/p/scarf", "name=Scarf&cloth=cotton&weight=120+g").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), COSTUME.replace("weight_g = 100", "weight_g = 120.0"));
    assert_eq!(house.post("/c/small/undo", "").await.0, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), COSTUME);
}

#[tokio::test]
async fn the_question_becomes_a_costume_in_the_folder_and_never_over_one() {
    let house = House::new();
    let form = "cloth=silk&colour=%237a2f3f&weight=40+g&name=../../Small";
    let (status, _) = house.post("/begin", form).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "small.toml is there");
    assert_eq!(house.text(), COSTUME);
    let (status, _) = house.post("/begin", &form.replace("Small", "Sail")).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let made = std::fs::read_to_string(house.folder.path().join("sail.toml")).unwrap_or_default();
    assert!(made.contains("silk") && made.contains("#7a2f3f"), "{made}");
    assert!(!Path::new("Sail.toml").exists());
}

/// What a page sends as `since`, read off the page.
fn mark_on(page: &str) -> &str {
    let (_, after) = page.split_once("name=\"since\" value=\"").unwrap_or_else(|| panic!("{page}"));
    after.split('"').next().unwrap_or_default()
}

#[tokio::test]
async fn a_page_made_before_another_change_does_not_take_that_change_back() {
    let house = House::new();
    house.planned().await;
    let (_, page) = house.get("/c/small/file").await;
    let mark = mark_on(&page).to_owned();
    let changed = COSTUME.replace("cotton", "silk");
    std::fs::write(house.folder.path().join("small.toml"), &changed)
        .unwrap_or_else(|e| panic!("{e}"));
    for (path, form) in [
        ("/c/small/file", "text=%5Bcostume%5D"),
        ("/c/small/p/scarf", "name=Scarf&cloth=cotton&weight=100+g&target=%237a2f3f"),
        ("/c/small", "name=Other&note=&day="),
    ] {
        let (status, page) = house.post(path, &format!("{form}&since={mark}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        assert!(page.contains("changed since this page was made"), "{path}: {page}");
        assert_eq!(house.text(), changed, "{path}");
        // What was typed stands there, and saving it knowingly is possible: the page has the mark of now.
        assert_ne!(mark_on(&page), mark, "{path}");
    }
    let (_, page) = house.post("/c/small", &format!("name=Other&note=&day=&since={mark}")).await;
    let again = format!("name=Other&note=&day=&since={}", mark_on(&page));
    assert_eq!(house.post("/c/small", &again).await.0, StatusCode::SEE_OTHER);
    assert!(house.text().contains("Other") && house.text().contains("silk"));
}

#[tokio::test]
async fn a_head_that_cannot_be_keeps_what_was_typed() {
    let house = House::new();
    let (status, page) = house.post("/c/small", "name=Grand&note=mine&day=tomorrow").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"Grand\"") && page.contains("value=\"mine\""), "{page}");
    assert_eq!(house.text(), COSTUME);
}

#[tokio::test]
async fn the_swatch_book_shows_the_workbook_beside_a_costume_in_a_folder_of_its_own() {
    let house = House::new();
    let under = house.folder.path().join("other");
    std::fs::create_dir(&under).unwrap_or_else(|e| panic!("{e}"));
    std::fs::write(under.join("costume.toml"), COSTUME).unwrap_or_else(|e| panic!("{e}"));
    let (_, page) = house.get("/book").await;
    assert!(page.contains("There is no workbook"), "{page}");
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden");
    let wanted = workroom::SwatchesWanted {
        file: example.join("swatches.toml"),
        book: Some(under.join(workroom::WORKBOOK)),
        shelf: None,
        recording: workroom::Recording {
            who: "me".to_owned(),
            at: "2031-05-12T10:00:00Z".to_owned(),
        },
    };
    workroom::record_swatches(&wanted).unwrap_or_else(|e| panic!("{e}"));
    let (status, page) = house.get("/book").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("W-1") && page.contains("Take back"), "{page}");
    let (status, _) = house.post("/book/undo", "of=..%2Fsecret.sqlite&entry=1").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
}

/// The place of the first bath of this kind among the small costume's.
async fn bath_of(house: &House, kind: &str) -> String {
    let (_, page) = house.get("/c/small/p/scarf").await;
    let tiles: Vec<&str> = page.split("/c/small/p/scarf/bath/").skip(1).collect();
    let named = format!(">The {kind} bath");
    let at =
        tiles.iter().find(|tile| tile.contains(&named)).and_then(|tile| tile.split('"').next());
    format!("/c/small/p/scarf/bath/{}", at.unwrap_or_else(|| panic!("no {kind} bath: {page}")))
}

#[tokio::test]
async fn what_was_really_done_is_ticked_recorded_read_and_judged_and_taken_back() {
    let house = House::new();
    house.planned().await;
    let bath = bath_of(&house, "bulk").await;
    let (_, page) = house.get(&bath).await;
    let of = page.split("name=\"of\" value=\"").nth(1).and_then(|p| p.split('"').next());
    let of = of.unwrap_or_else(|| panic!("{page}")).to_owned();
    // A wrong amount keeps what was typed, and nothing is ticked.
    let (status, page) = house.post(&bath, &format!("mark=in&of={of}&amount=3+spoons")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"3 spoons\"") && page.contains("role=\"alert\""), "{page}");
    assert!(house.get(&bath).await.1.contains("0 of "), "nothing was ticked");
    let (status, _) = house.post(&bath, &format!("mark=in&of={of}&amount=3,5")).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = house.get(&bath).await;
    assert!(page.contains("3,5") && page.contains("1 of "), "{page}");
    let record = format!("{bath}/record");
    let wrong = "day=2031-05-12&minutes=long&hottest=40&weight-scarf=100&purpose=dye&note=mine";
    let (status, page) = house.post(&record, wrong).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"long\"") && page.contains("value=\"mine\""), "{page}");
    let right = wrong.replace("long", "61");
    assert_eq!(house.post(&record, &right).await.0, StatusCode::SEE_OTHER);
    house.planned().await;
    let (_, page) = house.get("/c/small/p/scarf").await;
    assert!(page.contains("Dyed whole") && page.contains("61\u{a0}min"), "{page}");
    let (status, page) = house.post("/c/small/p/scarf/dyed", "colour=green&day=2031-05-13").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"green\""), "{page}");
    let reading = "colour=44+-26+6&day=2031-05-13&spread=1.0&by=photograph&reader=&light=\
                   &state-washed_off=on&state-dry=on&state-cool=on&state-ironed=on";
    assert_eq!(house.post("/c/small/p/scarf/dyed", reading).await.0, StatusCode::SEE_OTHER);
    house.planned().await;
    let (_, page) = house.get("/c/small/p/scarf").await;
    assert!(page.contains("What the dyed piece says"), "{page}");
    assert!(page.contains("its own dyeing of 2031-05-12"), "{page}");
    // Back again: first the reading, then the dyeing, from the bath's own page.
    let entry = page.split("name=\"entry\" value=\"").nth(1).and_then(|p| p.split('"').next());
    let undo = format!("entry={}", entry.unwrap_or_default());
    assert_eq!(house.post("/c/small/p/scarf/dyed/undo", &undo).await.0, StatusCode::SEE_OTHER);
    assert_eq!(house.post(&format!("{bath}/unrecord"), "").await.0, StatusCode::SEE_OTHER);
    house.planned().await;
    let (_, page) = house.get("/c/small/p/scarf").await;
    assert!(!page.contains("Dyed whole"), "{page}");
}

#[tokio::test]
async fn late_is_said_moved_as_far_as_it_bears_and_taken_back() {
    let house = House::new();
    house.planned().await;
    let bath = bath_of(&house, "bulk").await;
    let (status, page) = house.post(&format!("{bath}/late"), "minutes_more=10").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "it has not begun");
    assert!(page.contains("step is running that could be late"), "{page}");
    assert_eq!(house.post(&bath, "mark=start&step=1").await.0, StatusCode::SEE_OTHER);
    let (_, before) = house.get(&bath).await;
    assert!(before.contains("you are here") && before.contains("this may wait"), "{before}");
    for bad in ["soon", "0", "-5", "99999999"] {
        let (status, page) =
            house.post(&format!("{bath}/late"), &format!("minutes_more={bad}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
        assert!(page.contains(&format!("value=\"{bad}\"")), "{bad}: {page}");
    }
    assert_eq!(
        house.post(&format!("{bath}/late"), "minutes_more=90").await.0,
        StatusCode::SEE_OTHER
    );
    let (_, page) = house.get(&bath).await;
    assert!(page.contains("1\u{a0}h 30\u{a0}min behind the sheet’s clock"), "{page}");
    assert_eq!(house.post(&format!("{bath}/late"), "undo=yes").await.0, StatusCode::SEE_OTHER);
    let (_, page) = house.get(&bath).await;
    assert!(!page.contains("behind the sheet’s clock") && !page.contains("You said"), "{page}");
    let (status, file) = house.get(&format!("{bath}/alarms")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(file.contains("BEGIN:VALARM") && file.contains("TRIGGER:PT0S"), "{file}");
}

#[tokio::test]
async fn what_went_wrong_is_told_everywhere_and_at_the_pot_with_people_first() {
    let house = House::new();
    let (status, page) = house.get("/wrong").await;
    assert_eq!(status, StatusCode::OK);
    let at = |page: &str, id: &str| page.find(&format!("id=\"wrong-{id}\"")).unwrap_or(usize::MAX);
    assert!(at(&page, "eye") < at(&page, "boiled-over"), "{page}");
    assert!(page.contains("(reactive baths with soda)"), "{page}");
    house.planned().await;
    let bath = bath_of(&house, "bulk").await;
    assert_eq!(house.post(&bath, "mark=start&step=1").await.0, StatusCode::SEE_OTHER);
    let (_, page) = house.get("/wrong").await;
    assert!(page.contains(&format!("href=\"{bath}/wrong\"")), "the pot that is on: {page}");
    let (status, page) = house.get(&format!("{bath}/wrong?step=3")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(at(&page, "forgot-soda") < usize::MAX && at(&page, "too-hot-wool") == usize::MAX);
    assert!(
        page.contains("What it means for the plan") && page.contains("once more takes"),
        "{page}"
    );
    let (_, page) = house.get("/shelf").await;
    assert!(page.contains("href=\"/wrong\""), "from every page: {page}");
}

#[tokio::test]
async fn a_pot_of_today_says_what_it_does_to_the_rest_of_the_day() {
    let house = House::new();
    // Nothing to scour first: its swatch is the first thing today.
    let text = COSTUME.replace("weight_g", "scoured = true\nweight_g");
    std::fs::write(house.folder.path().join("small.toml"), text).unwrap_or_else(|e| panic!("{e}"));
    house.planned().await;
    let bath = bath_of(&house, "swatch").await;
    let (_, page) = house.get(&bath).await;
    assert!(page.contains("The rest of the day"), "{page}");
    assert!(page.contains("The day plan has this bath from"), "{page}");
    assert_eq!(house.post(&bath, "mark=start&step=1").await.0, StatusCode::SEE_OTHER);
    assert_eq!(
        house.post(&format!("{bath}/late"), "minutes_more=1440").await.0,
        StatusCode::SEE_OTHER
    );
    let (_, page) = house.get(&bath).await;
    assert!(
        page.contains("behind the day plan") && page.contains("This bath itself ends"),
        "{page}"
    );
    let (_, page) = house.get("/c/small/days").await;
    assert!(page.contains("As it goes today"), "{page}");
}

#[tokio::test]
async fn a_costume_of_a_question_keeps_to_the_dyes_that_were_ticked_and_gives_its_form_again() {
    let house = House::new();
    let form = "cloth=cotton&colour=%237a2f3f&weight=40+g&have-direct=on";
    let (status, page) = house.post("/begin", &format!("{form}&name=Small&piece=Cuff")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "small.toml is there");
    assert!(page.contains("another name") && page.contains("value=\"Cuff\""), "{page}");
    assert!(page.contains("name=\"have-direct\""), "{page}");
    let long = "x".repeat(4000);
    for (name, piece) in [(long.as_str(), "cuff"), ("Grand", long.as_str())] {
        let (status, page) =
            house.post("/begin", &format!("{form}&name={name}&piece={piece}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(page.contains("4000 letters") && page.contains("at most 120"), "{page}");
    }
    assert!(
        !house.folder.path().join("grand.toml").exists(),
        "nothing is left of what was refused"
    );
    let (status, _) = house.post("/begin", &format!("{form}&name=Grand&piece=Cuff")).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let made = std::fs::read_to_string(house.folder.path().join("grand.toml")).unwrap_or_default();
    assert!(made.contains("only = [\"direct\"]"), "{made}");
    while house.get("/c/grand/progress").await.1.contains("\"busy\":true") {
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    let (_, page) = house.get("/c/grand").await;
    assert!(page.contains("the starter shelf, only direct"), "{page}");
    let (_, page) = house.get("/c/grand/p/piece").await;
    assert!(
        page.contains("name=\"dose-direct-") && !page.contains("name=\"dose-reactive-"),
        "{page}"
    );
    let (status, _) = house.post("/c/grand/shelf", "shelf=&have-reactive=on").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let made = std::fs::read_to_string(house.folder.path().join("grand.toml")).unwrap_or_default();
    assert!(made.contains("only = [\"reactive\"]"), "{made}");
    // A name that a forged form sends is too long for the file too.
    let (status, page) = house.post("/c/small", &format!("name={long}&note=&day=")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("“What it is called” has 4000 letters"), "{page}");
    assert!(!page.contains("Line "), "a form has no lines: {page}");
    assert_eq!(house.text(), COSTUME);
}

#[tokio::test]
async fn advice_is_overruled_and_heeded_again_by_ticks() {
    let house = House::new();
    house.planned().await;
    let (_, page) = house.get("/c/small/p/scarf").await;
    let (_, after) = page.split_once("name=\"overrule-").unwrap_or_else(|| panic!("{page}"));
    let id = after.split('"').next().unwrap_or_default().to_owned();
    let form = format!("advice=yes&overrule-{id}=on");
    assert_eq!(house.post("/c/small/p/scarf", &form).await.0, StatusCode::SEE_OTHER);
    assert!(house.text().contains(&format!("overrule = [\"{id}\"]")), "{}", house.text());
    assert_eq!(house.post("/c/small/p/scarf", "advice=yes").await.0, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), COSTUME);
}
