//! Charts and cards of the maker's own in the browser: taken in, printed, chosen beside a photograph; nothing by a path.

use std::fmt::Write as _;

use axum::http::StatusCode;

use super::House;
use super::pictures::{names, png, send_with, settled};

/// A chart of twelve greys, invented.
fn cgats() -> String {
    let mut text = String::from(
        "CGATS.17\nKEYWORD \"PATCHES_ACROSS\"\nPATCHES_ACROSS 4\nWEIGHTING_FUNCTION \"ILLUMINANT, D65\"\n\
         WEIGHTING_FUNCTION \"OBSERVER, 10 degree\"\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n\
         BEGIN_DATA\n",
    );
    for n in 0..12 {
        writeln!(text, "P{n} {} 2 2", 20 + 6 * n).unwrap_or_default();
    }
    text + "END_DATA\n"
}

#[tokio::test]
async fn a_chart_is_taken_in_under_our_own_name_refused_with_what_was_typed_and_offered() {
    let house = House::new();
    for (called, text, with) in [
        ("My chart", "milk, bread", "role=\"alert\""),
        ("", cgats().as_str(), "no name"),
        ("My chart", "", "o file was chosen"),
    ] {
        let fields = [("called", called)];
        let (status, _, page) = send_with(&house, "/charts", &fields, text.as_bytes()).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{with}");
        assert!(page.contains(with) && page.contains(&format!("value=\"{called}\"")), "{page}");
        assert!(!page.contains("dyewright-values"), "{page}");
    }
    assert_eq!(names(&house), ["small.toml"]);
    let fields = [("called", "../../My chart")];
    let (status, headers, _) = send_with(&house, "/charts", &fields, cgats().as_bytes()).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let to = headers.get("location").and_then(|v| v.to_str().ok()).unwrap_or_default();
    assert_eq!(to, "/charts?kept=my-chart.txt");
    assert_eq!(names(&house), ["my-chart.txt", "small.toml"]);
    let (_, page) = house.get(to).await;
    assert!(page.contains("Kept: “my-chart.txt”") && page.contains("4 in a row"), "{page}");
}

#[tokio::test]
async fn the_card_to_print_is_a_file_and_a_code_that_cannot_stand_on_it_is_refused() {
    let house = House::new();
    let (status, pdf) = house.get("/charts/card?sheet=a5&code=matt-1&as=pdf").await;
    assert_eq!(status, StatusCode::OK);
    assert!(pdf.starts_with("%PDF"), "{}", &pdf[..20]);
    let (_, svg) = house.get("/charts/card?sheet=a4&code=matt-1&as=svg").await;
    assert!(svg.contains("Code matt-1"), "{svg}");
    for bad in ["sheet=a5&code=my+card", "sheet=a3&code=x", "code=..%2Fx&sheet=a5"] {
        let (status, page) = house.get(&format!("/charts/card?{bad}&as=pdf")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
        assert!(page.contains("role=\"alert\""), "{page}");
    }
    assert_eq!(names(&house), ["small.toml"], "nothing was written");
}

#[tokio::test]
async fn what_lies_beside_the_cloth_is_asked_step_by_step_and_no_file_is_found_by_a_path() {
    let house = House::new();
    let fields = [("called", "mine")];
    send_with(&house, "/charts", &fields, cgats().as_bytes()).await;
    let (_, headers, _) = send_with(&house, "/book/old", &[], &png()).await;
    let photo = headers.get("location").and_then(|v| v.to_str().ok()).unwrap_or_default();
    let page = async |query: &str| settled(&house, &format!("{photo}?{query}")).await;
    for (query, with) in [
        ("by=own", "name=\"values\""),
        ("by=cloths", "Which cloths, and where do they lie?"),
        ("by=cloths&values=mine.txt", "data-points=\"corners\" data-frames=\"at\""),
        ("by=cloths&values=mine.txt&corners=1,1+9,1+9,9+1,9&across=4", "Where is the cloth?"),
        ("by=white", "Where is the white, and what is it?"),
        ("by=white&wx=1&wy=1&ww=9&wh=9&white_is=ptfe&lamp=led", "Where is the cloth?"),
        ("step=corners", "Where are the chart’s corners?"),
    ] {
        let (_, page) = page(query).await;
        assert!(page.contains(with), "{query}: {page}");
        assert!(!page.contains("dyewright-photographs") && !page.contains("--"), "{query}: {page}");
    }
    let (status, told) = page("by=own&values=mine.txt").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "a drawing holds no chart");
    assert!(told.contains("Where are the chart’s corners?"), "{told}");
    for bad in [
        "by=own&values=..%2Fsmall.toml",
        "by=cloths&values=%2Fetc%2Fpasswd&at=1,1,5,5",
        "by=own&values=small.toml",
    ] {
        let (status, told) = page(bad).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{bad}");
        assert!(
            told.contains("Choose one of those that are offered") && !told.contains("root:"),
            "{told}"
        );
    }
    let (status, told) =
        page("by=cloths&codes=S-1,S-2&across=2&corners=1,1+9,1+9,9+1,9&x=20&y=20&w=9&h=9").await;
    assert!(status.is_client_error() && told.contains("role=\"alert\""), "{told}");
    let (_, told) = page("by=white&wx=10&wy=10&ww=9&wh=9&white_is=ptfe&x=12&y=12&w=9&h=9").await;
    assert!(told.contains("One place lies upon another"), "{told}");
    // White paper is a photograph of its own, and leads back to the first.
    let number = photo.rsplit('/').next().unwrap_or_default();
    let fields = [("of", number), ("light", "north window"), ("by", "own"), ("lamp", "led")];
    let (status, headers, _) = send_with(&house, "/book/old", &fields, &png()).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let to = headers.get("location").and_then(|v| v.to_str().ok()).unwrap_or_default();
    assert!(
        to.starts_with(&format!("{photo}?light=north%20window&by=own&lamp=led&paper=")),
        "{to}"
    );
}

#[tokio::test]
async fn a_printed_card_is_asked_for_its_code_and_nothing_is_kept_before_it_is_read() {
    let house = House::new();
    let (status, headers, _) = send_with(&house, "/charts/read", &[], &png()).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let to = headers.get("location").and_then(|v| v.to_str().ok()).unwrap_or_default();
    let (status, page) = settled(&house, to).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("The code that stands on it"), "{page}");
    let (status, page) = settled(&house, &format!("{to}?code=matt-1&light=north+window")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "a drawing holds no card");
    assert!(page.contains("role=\"alert\"") && page.contains("value=\"matt-1\""), "{page}");
    let (status, page) = house.post(&format!("{to}/keep"), "code=").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("not read yet"), "{page}");
    let (status, page) = settled(&house, &format!("{to}?code=..%2Fx")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("sixteen letters"), "{page}");
    assert_eq!(names(&house), ["small.toml"]);
}

#[tokio::test]
async fn a_piece_that_was_not_dyed_whole_is_not_read_as_one() {
    let house = House::new();
    house.planned().await;
    let (_, headers, _) = send_with(&house, "/c/small/p/scarf/dyed/photo", &[], &png()).await;
    let to = headers.get("location").and_then(|v| v.to_str().ok()).unwrap_or_default();
    let (status, page) = settled(&house, to).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("Scarf was not dyed whole yet"), "{page}");
}
