//! The desk's doors: the shelf written, swatches looked for, work stopped, pages to print.

use axum::http::StatusCode;

use super::{House, mark_on};

const SHELF: &str = "# mine\n[[dye]]\nid = \"red\" # the good one\nlike = \"acid-scarlet\"\nname = \"Red\"\ngrams = 20\n";

fn with_shelf() -> House {
    let house = House::new();
    std::fs::write(house.folder.path().join("shelf.toml"), SHELF).unwrap_or_else(|e| panic!("{e}"));
    house
}

fn shelf_of(house: &House) -> String {
    std::fs::read_to_string(house.folder.path().join("shelf.toml")).unwrap_or_default()
}

#[tokio::test]
async fn a_shelf_is_changed_with_its_comments_kept_and_never_over_another_change() {
    let house = with_shelf();
    let (_, page) = house.get("/shelf").await;
    let since = mark_on(&page).to_owned();
    let form = "do=change&kind=dye&id=red&of=shelf.toml&name=Red&like=acid-scarlet&lot=7";
    let (status, page) = house.post("/shelf", &format!("{form}&grams=lots&since={since}")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"lots\"") && page.contains("value=\"7\""), "{page}");
    assert!(page.contains("role=\"alert\""), "{page}");
    assert_eq!(shelf_of(&house), SHELF);
    let (status, _) = house.post("/shelf", &format!("{form}&grams=12.5&since={since}")).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let now = shelf_of(&house);
    assert!(now.starts_with("# mine") && now.contains("# the good one"), "{now}");
    assert!(now.contains("grams = 12.5") && now.contains("lot = \"7\""), "{now}");
    let (status, page) = house.post("/shelf", &format!("{form}&grams=9&since={since}")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "the page was made before that change");
    assert!(page.contains("since this page was made") && page.contains("value=\"9\""), "{page}");
    assert_eq!(shelf_of(&house), now);
    let stale = format!("of=shelf.toml&since={since}");
    assert_eq!(house.post("/shelf/undo", &stale).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(house.post("/shelf/undo", "of=shelf.toml").await.0, StatusCode::SEE_OTHER);
    assert_eq!(shelf_of(&house), SHELF);
}

#[tokio::test]
async fn a_shelf_is_begun_in_the_folder_and_no_path_comes_out_of_its_name() {
    let house = House::new();
    for of in ["..%2Fshelf.toml", "small.toml", "nowhere.toml"] {
        let form = format!("do=new&kind=dye&name=Red&like=acid-scarlet&of={of}");
        assert_eq!(house.post("/shelf", &form).await.0, StatusCode::NOT_FOUND, "{of}");
        assert_eq!(
            house.get(&format!("/shelf/file?of={of}")).await.0,
            StatusCode::NOT_FOUND,
            "{of}"
        );
    }
    let bad = "do=new&kind=dye&of=&name=Red&like=acid-scarlt&grams=10";
    let (status, page) = house.post("/shelf", bad).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"Red\"") && page.contains("acid-scarlt"), "{page}");
    assert!(!house.folder.path().join("shelf.toml").exists());
    let (status, _) = house.post("/shelf", &bad.replace("scarlt", "scarlet")).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert!(shelf_of(&house).contains("like = \"acid-scarlet\""), "{}", shelf_of(&house));
    let (status, _) = house.post("/shelf", &bad.replace("scarlt", "scarlet")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "the file is there already");
}

#[tokio::test]
async fn a_fault_in_the_shelfs_text_is_told_at_its_line() {
    let house = with_shelf();
    let (status, page) =
        house.post("/shelf/file", "of=shelf.toml&text=%5B%5Bdye%5D%5D%0Aid+%3D").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("Line 2") && page.contains("id ="), "{page}");
    assert_eq!(shelf_of(&house), SHELF);
}

#[tokio::test]
async fn a_question_is_answered_once_it_is_thought_through_and_kept() {
    let house = House::new();
    let ask = "/answer?cloth=cotton&colour=%232f6f5a&weight=250+g";
    let (status, mut page) = house.get(ask).await;
    assert_eq!(status, StatusCode::OK);
    while page.contains("data-progress") {
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        page = house.get(ask).await.1;
    }
    assert!(page.contains("Yes, this can be done"), "{page}");
    assert!(house.get(ask).await.1.contains("Yes, this can be done"));
}

#[tokio::test]
async fn what_can_be_printed_is_and_what_is_not_there_is_said() {
    let house = House::new();
    house.planned().await;
    for what in
        ["plan", "sheets", "sheets-scarf", "cards", "shopping-list", "finished", "hand-out-scarf"]
    {
        let (status, page) = house.get(&format!("/c/small/print/{what}")).await;
        assert_eq!(status, StatusCode::OK, "{what}");
        assert!(page.starts_with("<!DOCTYPE html>") && !page.contains("<script"), "{what}");
    }
    for what in ["sheets-hat", "record-hat", "nothing", "hand-out-..%2F"] {
        assert_eq!(
            house.get(&format!("/c/small/print/{what}")).await.0,
            StatusCode::NOT_FOUND,
            "{what}"
        );
    }
    let (status, page) = house.get("/c/small/print/record-scarf").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("no workbook yet"), "{page}");
    let (_, page) = house.get("/c/small/print/finished").await;
    assert!(page.contains("Nothing of it is on record in the workbook."), "{page}");
}

#[tokio::test]
async fn a_word_that_is_no_colour_finds_nothing_and_is_shown_again() {
    let house = House::new();
    let example =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden");
    let wanted = workroom::SwatchesWanted {
        file: example.join("swatches.toml"),
        book: Some(house.folder.path().join(workroom::WORKBOOK)),
        shelf: None,
        recording: workroom::Recording {
            who: "me".to_owned(),
            at: "2031-05-12T10:00:00Z".to_owned(),
        },
    };
    workroom::record_swatches(&wanted).unwrap_or_else(|e| panic!("{e}"));
    let (status, page) = house.get("/book?colour=reddish&within=5").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("role=\"alert\"") && page.contains("value=\"reddish\""), "{page}");
    assert!(page.contains("W-1"), "the book is shown all the same");
    let (_, page) = house.get("/book?colour=..%2Fsmall.toml").await;
    assert!(page.contains("names a file"), "{page}");
    let (_, page) = house.get("/book?dye=acid-navy&fibre=felted-wool").await;
    assert!(page.contains("Yes: ") && !page.contains("reactive-lemon: "), "{page}");
    let (status, page) = house.get("/book?page=99999999999999999999&within=NaN&dye=%22%27--").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("No such swatch"), "{page}");
}

#[tokio::test]
async fn the_question_and_a_costume_are_dyed_with_the_makers_own_shelf_without_a_file_touched_by_hand()
 {
    let house = House::new();
    let begun = "do=new&kind=dye&of=&name=Brick&like=reactive-scarlet&grams=10";
    let (status, page) = house.post("/shelf", begun).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let (_, page) = house.get("/").await;
    assert!(page.contains("value=\"shelf.toml\" selected"), "{page}");
    let ask = "cloth=cotton&colour=%238a2f2f&weight=250+g&shelf=shelf.toml";
    let answer = loop {
        let (status, page) = house.get(&format!("/answer?{ask}")).await;
        assert_eq!(status, StatusCode::OK, "{page}");
        if !page.contains("data-progress") {
            break page;
        }
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    };
    assert!(answer.contains("Brick") && !answer.contains("the starter shelf, whose"), "{answer}");
    let (status, _) = house.post("/begin", &format!("{ask}&name=Own&piece=Hood")).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let file = house.folder.path().join("own.toml");
    let text = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(text.contains("shelf = \"shelf.toml\"") && text.contains("name = \"Hood\""), "{text}");

    for (shelf, wanted) in
        [("..%2Fshelf.toml", StatusCode::NOT_FOUND), ("shelf.toml", StatusCode::SEE_OTHER)]
    {
        assert_eq!(
            house.post("/c/small/shelf", &format!("shelf={shelf}")).await.0,
            wanted,
            "{shelf}"
        );
    }
    let small =
        || std::fs::read_to_string(house.folder.path().join("small.toml")).unwrap_or_default();
    assert!(small().contains("shelf = \"shelf.toml\""), "{}", small());
    assert_eq!(
        house.post("/c/small/shelf", "shelf=&since=stale").await.0,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(house.post("/c/small/shelf", "shelf=").await.0, StatusCode::SEE_OTHER);
    assert!(!small().contains("shelf ="), "{}", small());
}

#[tokio::test]
async fn what_no_page_of_ours_sends_is_refused_on_a_page_in_plain_words() {
    let house = House::new();
    house.planned().await;
    for path in ["/c/small/p/scarf/bath/x", "/c/small/picture/-1", "/works/99999999999999999999"] {
        let (status, page) = house.get(path).await;
        assert!(status.is_client_error(), "{path}: {status}");
        assert!(page.contains("role=\"alert\"") && !page.contains("u64"), "{path}: {page}");
    }
    let much = format!("of=shelf.toml&text={}", "x".repeat(5 << 20));
    let (status, page) = house.post("/shelf/file", &much).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(page.contains("too large to be read"), "{}", page.len());
}

#[tokio::test]
async fn a_price_without_its_pack_is_told_by_the_fields_of_the_form() {
    let house = with_shelf();
    let form =
        "do=change&kind=dye&id=red&of=shelf.toml&name=Red&like=acid-scarlet&grams=20&pack_price=5";
    let (status, page) = house.post("/shelf", form).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("What a pack holds, g”: 20") && !page.contains("Line "), "{page}");
    assert_eq!(shelf_of(&house), SHELF);
}
