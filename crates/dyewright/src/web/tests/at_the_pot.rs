//! Beside the pot, without a browser: the days planned anew, what a record cannot teach, a dye's ladder.

use super::*;

const BLEND: &str = "[costume]\nname = \"Banners\"\n[[piece]]\nid = \"banner\"\ncloth = { polyester = 65, cotton = 35 }\n\
                     blend = \"two baths\"\nweight_g = 100\ntarget = { hex = \"#7a2f3f\" }\n\
                     [[piece]]\nid = \"tights\"\ncloth = { nylon = 85, elastane = 15 }\nweight_g = 40\n\
                     target = { hex = \"#7a2f3f\" }\n";

impl House {
    async fn planned_of(&self, key: &str) {
        while self.get(&format!("/c/{key}/progress")).await.1.contains("\"busy\":true") {
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
    }
}

#[tokio::test]
async fn what_is_left_is_planned_from_another_day_and_taken_back() {
    let house = House::new();
    for day in ["", "tomorrow", "2031-02-30", "2031-05-13\"\nname = \"x"] {
        let form = format!("day={}", day.replace('\n', "%0A").replace('"', "%22"));
        let (status, body) = house.post("/c/small/days/from", &form).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{day}");
        assert!(body.contains("is no day"), "{body}");
    }
    assert_eq!(house.text(), COSTUME);
    let (status, _) = house.post("/c/small/days/from", "day=2031-05-14").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), format!("{COSTUME}\n[calendar]\nstart = \"2031-05-14\"\n"));
    house.planned().await;
    let (_, page) = house.get("/c/small/days").await;
    assert!(page.contains("Take back: what is left is planned from 2031-05-14 on"), "{page}");
    assert_eq!(house.post("/c/small/undo", "").await.0, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), COSTUME);
}

#[tokio::test]
async fn a_record_that_can_teach_nothing_says_so_beside_the_form() {
    let house = House::new();
    std::fs::write(house.folder.path().join("banners.toml"), BLEND)
        .unwrap_or_else(|e| panic!("{e}"));
    house.planned_of("banners").await;
    let nothing = "Of the dyes themselves it teaches nothing";
    for (path, why) in [
        ("banner/bath/0", "colours only one of the fibres"),
        ("banner/bath/1", "this bath goes over another one"),
        ("banner/bath/3", "this bath goes over another one"),
    ] {
        let (status, page) = house.get(&format!("/c/banners/p/{path}")).await;
        assert_eq!(status, StatusCode::OK, "{path}");
        assert!(page.contains(nothing) && page.contains(why), "{path}: {page}");
        assert!(!page.contains("from where the next recipe learns"), "{path}");
    }
    let (_, page) = house.get("/c/banners/p/tights/bath/0").await;
    assert!(!page.contains(nothing), "elastane is not seen: {page}");
    assert!(page.contains("from where the next recipe learns"), "{page}");
}

#[tokio::test]
async fn a_dye_has_a_page_with_its_ladder() {
    let house = House::new();
    let asked = "/shelf/dye?of=starter&id=acid-navy";
    let mut page = house.get(asked).await;
    while page.1.contains("data-progress") {
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        page = house.get(asked).await;
    }
    assert_eq!(page.0, StatusCode::OK);
    assert!(
        page.1.contains("ladder-line expected") && page.1.contains("On white wool"),
        "{}",
        page.1
    );
    // Where no shelf is named, the one that has the dye.
    let shelf = "[[dye]]\nid = \"red\"\nlike = \"acid-scarlet\"\n";
    std::fs::write(house.folder.path().join("shelf.toml"), shelf).unwrap_or_else(|e| panic!("{e}"));
    let mut page = house.get("/shelf/dye?id=red").await;
    while page.1.contains("data-progress") {
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        page = house.get("/shelf/dye?id=red").await;
    }
    assert!(
        page.1.contains("/shelf?of=shelf.toml") && page.1.contains("On white wool"),
        "{}",
        page.1
    );
    for wrong in ["id=blue", "of=starter&id=nothing", "of=..%2F..%2Fsecret.toml&id=acid-navy", ""] {
        let (status, body) = house.get(&format!("/shelf/dye?{wrong}")).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{wrong}: {body}");
    }
}

/// The code of the card that a bath's page is about.
fn card_on(page: &str) -> String {
    let code = page.split("/swatch/").nth(1).and_then(|p| p.split(['/', '"', '?']).next());
    code.unwrap_or_else(|| panic!("no card: {page}")).to_owned()
}

#[tokio::test]
async fn a_bath_that_was_begun_stays_when_the_plan_is_made_anew_and_its_card_is_recorded() {
    let house = House::new();
    house.planned().await;
    let bath = bath_of(&house, "swatch").await;
    let (_, page) = house.get(&bath).await;
    let code = card_on(&page);
    assert_eq!(house.post(&bath, "mark=done&step=1").await.0, StatusCode::SEE_OTHER);
    // Another colour is wanted meanwhile: the plan has another card.
    let other = house.text().replace("#2f6f5a", "#7a2f3f");
    assert_ne!(other, house.text());
    std::fs::write(house.folder.path().join("small.toml"), other).unwrap_or_else(|e| panic!("{e}"));
    house.planned().await;
    let (_, page) = house.get(&bath).await;
    assert_eq!(card_on(&page), code);
    assert!(page.contains("stays with the bath you began"), "{page}");
    let (_, piece) = house.get("/c/small/p/scarf").await;
    assert!(piece.contains(&code) && piece.contains("Begun by a plan before this one"), "{piece}");
    // Recorded at the pot, with nonsense refused, and then read in its own form.
    let record = format!("{bath}/record");
    for wrong in ["minutes=NaN&hottest=40", "minutes=60&hottest=-300", "minutes=1e300&hottest="] {
        let (status, page) = house.post(&record, &format!("day=2031-05-12&{wrong}&note=")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        assert!(page.contains("is not a number from 0 to"), "{page}");
    }
    let right = "day=2031-05-12&minutes=60&hottest=40&note=";
    assert_eq!(house.post(&record, right).await.0, StatusCode::SEE_OTHER);
    house.planned().await;
    let (_, page) = house.get("/c/small/p/scarf").await;
    let form = page.split(&format!("/swatch/{code}\"")).nth(1).unwrap_or_default();
    let form = form.split("</form>").next().unwrap_or_default();
    let field = |input: &str| {
        let (name, rest) = input.split_once('"')?;
        let value = rest.split("value=\"").nth(1).and_then(|v| v.split('"').next());
        Some(format!("{name}={}", value.unwrap_or_default().replace('°', "%C2%B0")))
    };
    let kept = form
        .split("name=\"")
        .skip(1)
        .filter(|input| ["dose-", "note", "day"].iter().any(|name| input.starts_with(name)))
        .filter_map(field)
        .collect::<Vec<_>>()
        .join("&");
    let nothing: Vec<String> = kept
        .split('&')
        .map(|field| match field.split_once('=') {
            Some((name, _)) if name.starts_with("dose-") => format!("{name}=0"),
            _ => field.to_owned(),
        })
        .collect();
    let to = format!("/c/small/p/scarf/swatch/{code}");
    let (status, page) = house.post(&to, &nothing.join("&")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("very dye is said to be left out"), "{page}");
    let read = format!(
        "{kept}&colour=44+-26+6&spread=1&by=photograph&state-dry=on&state-washed_off=on&state-cool=on"
    );
    let (status, page) = house.post(&to, &read).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{read}: {page}");
    // Set aside, the bath is that of the plan as it is.
    assert_eq!(house.post(&format!("{bath}/aside"), "").await.0, StatusCode::SEE_OTHER);
    house.planned().await;
    assert_ne!(card_on(&house.get(&bath).await.1), code);
}
