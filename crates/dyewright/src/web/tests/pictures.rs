//! Pictures and photographs sent to the workroom: what is taken, what is refused in words, and how they are sent back.

use axum::body::Body;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, Method, StatusCode};

use super::{HOST, House};

/// The drawing of the worked example, invented: grey at its upper left.
pub(super) fn png() -> Vec<u8> {
    include_bytes!("../../../../../examples/lantern-warden/reference.png").to_vec()
}

/// Sends a file as a browser's form does, under a name that leads elsewhere.
async fn send(house: &House, path: &str, file: &[u8]) -> (StatusCode, HeaderMap, String) {
    send_with(house, path, &[], file).await
}

/// The same with fields beside it.
pub(super) async fn send_with(
    house: &House,
    path: &str,
    fields: &[(&str, &str)],
    file: &[u8],
) -> (StatusCode, HeaderMap, String) {
    let mut body = vec![];
    for (name, value) in fields {
        let head = format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n");
        body.extend_from_slice(format!("{head}{value}\r\n").as_bytes());
    }
    body.extend_from_slice(
        b"--edge\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"../../evil.html\"\r\n\
          Content-Type: text/html\r\n\r\n",
    );
    body.extend_from_slice(file);
    body.extend_from_slice(b"\r\n--edge--\r\n");
    let request = house
        .request(Method::POST, path)
        .header("origin", format!("http://{HOST}"))
        .header("content-type", "multipart/form-data; boundary=edge")
        .body(Body::from(body));
    house.sent(request.unwrap_or_else(|e| panic!("{e}"))).await
}

/// Asks until no work is going on.
pub(super) async fn settled(house: &House, path: &str) -> (StatusCode, String) {
    loop {
        let (status, page) = house.get(path).await;
        if !page.contains("data-progress=\"/works/") {
            return (status, page);
        }
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
}

pub(super) fn names(house: &House) -> Vec<String> {
    let entries = std::fs::read_dir(house.folder.path()).unwrap_or_else(|e| panic!("{e}"));
    let mut names: Vec<String> = entries
        .filter_map(Result::ok)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[tokio::test]
async fn a_picture_is_laid_under_our_own_name_and_sent_back_as_a_picture_only() {
    let house = House::new();
    let (status, page) = house.get("/c/small/picture").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("multipart/form-data") && page.contains("There is none yet"), "{page}");
    let (status, headers, _) = send(&house, "/c/small/picture", &png()).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_eq!(headers.get("location").map(|v| v.as_bytes()), Some(&b"/c/small/picture/1"[..]));
    assert_eq!(names(&house), ["small.picture-1.png", "small.toml"]);
    settled(&house, "/c/small/picture/1").await;
    let request = house.request(Method::GET, "/c/small/picture/1/shown").body(Body::empty());
    let (status, headers, body) = house.sent(request.unwrap_or_else(|e| panic!("{e}"))).await;
    assert_eq!(status, StatusCode::OK);
    let header = |name: &str| headers.get(name).and_then(|v| v.to_str().ok());
    assert_eq!(header(CONTENT_TYPE.as_str()), Some("image/png"));
    assert_eq!(header("x-content-type-options"), Some("nosniff"));
    assert!(header("content-security-policy").is_some_and(|p| p.contains("default-src 'none'")));
    assert!(body.contains("PNG") && !body.contains("evil"));
}

#[tokio::test]
async fn what_is_no_picture_or_too_much_is_refused_in_words_and_nothing_is_kept() {
    let house = House::new();
    let html = b"<!DOCTYPE html><script>alert(1)</script>";
    let huge = vec![0_u8; workroom::LARGEST_UPLOAD + 1];
    let half = png();
    for (file, with) in [
        (&html[..], "a drawing or a page, in text"),
        (&[], "no picture was chosen"),
        (&half[..half.len() / 2], "damaged"),
        (&huge, "larger than 64 MB"),
    ] {
        let (status, _, page) = send(&house, "/c/small/picture", file).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{with}");
        let page = page.to_lowercase();
        assert!(
            page.contains(with.to_lowercase().as_str()) && page.contains("role=\"alert\""),
            "{with}: {page}"
        );
        assert!(!page.contains("<script>alert"), "{page}");
    }
    assert_eq!(names(&house), ["small.toml"]);
    let request = house
        .request(Method::POST, "/c/small/picture")
        .header("content-type", "multipart/form-data; boundary=edge")
        .body(Body::empty());
    let (status, _, _) = house.sent(request.unwrap_or_else(|e| panic!("{e}"))).await;
    assert_eq!(status, StatusCode::FORBIDDEN, "a form of another site");
}

#[tokio::test]
async fn a_colour_picked_becomes_the_target_with_where_and_a_stale_page_changes_nothing() {
    let house = House::new();
    send(&house, "/c/small/picture", &png()).await;
    let at = "/c/small/picture/1?x=20&y=30";
    let (status, page) = settled(&house, at).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("#8f8f8f, picked at 20,30 of small.picture-1.png"), "{page}");
    let mark = super::mark_on(&page).to_owned();
    let before = house.text();
    for bad in ["x=20&y=30&to=", "x=20&y=30&to=nobody", "x=2000&y=30&to=scarf", "to=scarf"] {
        let (status, page) =
            house.post("/c/small/picture/1/take", &format!("{bad}&since={mark}")).await;
        assert!(status.is_client_error() && page.contains("role=\"alert\""), "{bad}: {status}");
    }
    let stale = house.post("/c/small/picture/1/take", "x=20&y=30&to=scarf&since=0").await;
    assert_eq!(stale.0, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(house.text(), before);
    let form = format!("x=20&y=30&to=scarf&because=the+only+one&since={mark}");
    assert_eq!(house.post("/c/small/picture/1/take", &form).await.0, StatusCode::SEE_OTHER);
    let now = house.text();
    assert!(now.contains("\"#8f8f8f\" } # picked at 20,30 of small.picture-1.png"), "{now}");
    assert!(now.contains("because = \"the only one\""), "{now}");
    assert_eq!(house.post("/c/small/undo", "").await.0, StatusCode::SEE_OTHER);
    assert_eq!(house.text(), before);
}

#[tokio::test]
async fn no_picture_and_no_photograph_is_found_by_a_path() {
    let house = House::new();
    send(&house, "/c/small/picture", &png()).await;
    for path in [
        "/c/small/picture/2",
        "/c/small/picture/0/shown",
        "/c/small/picture/..%2F..%2Fetc%2Fpasswd/shown",
        "/c/nobody/picture",
        "/photo/1/shown",
        "/photo/..%2Fsmall.toml/shown",
        "/book/old/7",
        "/c/small/p/scarf/swatch/NO-CARD/photo/1",
    ] {
        let (status, body) = house.get(path).await;
        assert!(status.is_client_error(), "{path}: {status}");
        assert!(!body.contains("root:") && !body.contains("panicked"), "{path}: {body}");
    }
}

#[tokio::test]
async fn a_photograph_without_a_chart_is_refused_with_what_to_do_and_nothing_is_recorded() {
    let house = House::new();
    house.planned().await;
    let (status, headers, _) = send(&house, "/c/small/p/scarf/swatch/ANY/photo", &png()).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let to = headers.get("location").and_then(|v| v.to_str().ok()).unwrap_or_default().to_owned();
    let number = to.rsplit('/').next().unwrap_or_default();
    let (status, page) = settled(&house, &format!("/book/old/{number}")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    assert!(page.contains("chart") && !page.contains("dyewright-photographs"), "{page}");
    let form = "code=a&note=b&cloth=cotton&weight=2&dye-0=&colour=small.toml";
    let (status, page) = house.post(&format!("/book/old/{number}"), form).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"b\""), "{page}");
    assert_eq!(names(&house), ["small.toml"]);
}
