//! A costume file spoiled outside of the workroom: told first, at its line, with the way to mend it; what was made before
//! is not passed off as what stands.

use axum::http::StatusCode;

use super::{COSTUME, House, mark_on};

fn spoil(house: &House, text: &str) {
    std::fs::write(house.folder.path().join("small.toml"), text).unwrap_or_else(|e| panic!("{e}"));
}

#[tokio::test]
async fn a_file_spoiled_by_hand_is_told_first_and_the_old_plan_is_called_the_old_plan() {
    let house = House::new();
    house.planned().await;
    let form = "name=Scarf&cloth=cotton&weight=120+g";
    assert_eq!(house.post("/c/small/p/scarf", form).await.0, StatusCode::SEE_OTHER);
    house.planned().await;
    let saved = house.text();
    let spoiled = saved.replace("\"cotton\"", "\"cottn\"");
    spoil(&house, &spoiled);
    house.planned().await;
    for path in ["/c/small", "/c/small/p/scarf", "/c/small/days"] {
        let (_, page) = house.get(path).await;
        let at =
            |words: &str| page.find(words).unwrap_or_else(|| panic!("{path}, {words}: {page}"));
        let fault = at("“small.toml” has a fault");
        assert!(fault < at("Line 6: ") && fault < at("cottn"), "{path}");
        assert!(at("Mend the text of") < at("the last plan that could be made"), "{path}");
        assert!(at("the last plan that could be made") < at("<h1"), "{path}");
        assert!(
            !page.contains("Take back") && !page.contains("Nothing was changed"),
            "{path}: {page}"
        );
    }
    let (_, page) = house.get("/c/small/file").await;
    assert!(
        page.contains("Line 6: ") && page.contains("cottn"),
        "its text comes with its faults: {page}"
    );
    // The way back brings what was saved here, and keeps what was written by hand.
    let (_, page) = house.get("/c/small").await;
    assert!(page.contains("Put back the text of "), "{page}");
    let undo = format!("since={}", mark_on(&page));
    assert_eq!(house.post("/c/small/undo", &undo).await.0, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), saved);
    let kept = std::fs::read_to_string(house.folder.path().join(".small.toml.kept"));
    assert!(kept.unwrap_or_default().contains("cottn"));
}

#[tokio::test]
async fn a_file_that_never_had_a_plan_is_a_page_with_a_heading_and_the_fault() {
    let house = House::new();
    spoil(&house, &COSTUME.replace("weight_g = 100", "weight_g = "));
    house.planned().await;
    let (status, page) = house.get("/c/small").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("<h1") && page.contains("Line 7: "), "{page}");
    assert!(!page.contains("the last plan that could be made"), "{page}");
    assert!(!page.contains("Put back"), "nothing was ever saved here: {page}");
}

#[tokio::test]
async fn a_fault_of_the_shelf_leads_to_the_text_of_the_shelf() {
    let house = House::new();
    spoil(&house, &COSTUME.replace("name = \"Small\"", "name = \"Small\"\nshelf = \"mine.toml\""));
    let shelf = "[[dye]]\nid = \"red\"\nlike = \"acid-scarlt\"\n";
    std::fs::write(house.folder.path().join("mine.toml"), shelf).unwrap_or_else(|e| panic!("{e}"));
    house.planned().await;
    let (_, page) = house.get("/c/small").await;
    assert!(page.contains("“mine.toml” has a fault") && page.contains("acid-scarlt"), "{page}");
    assert!(page.contains("href=\"/shelf/file?of=mine.toml\""), "{page}");
    assert_eq!(house.get("/shelf/file?of=mine.toml").await.0, StatusCode::OK);
}

#[tokio::test]
async fn a_sound_change_by_hand_is_told_and_not_offered_as_one_of_the_workroom() {
    let house = House::new();
    let form = "name=Scarf&cloth=cotton&weight=120+g";
    assert_eq!(house.post("/c/small/p/scarf", form).await.0, StatusCode::SEE_OTHER);
    spoil(&house, &house.text().replace("120", "130"));
    house.planned().await;
    let (_, page) = house.get("/c/small").await;
    assert!(page.contains("changed outside of this workroom"), "{page}");
    assert!(!page.contains("Take back"), "{page}");
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words}: {page}"));
    assert!(at("<h1") < at("changed outside"), "what can be put back stands under the title");
}
