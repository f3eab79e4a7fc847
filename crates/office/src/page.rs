//! The page's files, embedded when the program is built.

use axum::extract::Path;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use include_dir::{Dir, include_dir};

static ASSETS: Dir = include_dir!("$CARGO_MANIFEST_DIR/assets");

/// `index.html`.
pub(crate) async fn index() -> Response {
    file("index.html")
}

/// A file of `/assets/`, looked up by name among those embedded.
pub(crate) async fn asset(Path(name): Path<String>) -> Response {
    file(&name)
}

fn file(name: &str) -> Response {
    match ASSETS.get_file(name) {
        Some(file) => ([(CONTENT_TYPE, media_type(name))], file.contents()).into_response(),
        None => (StatusCode::NOT_FOUND, "There is no such page here.\n").into_response(),
    }
}

fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The policy forbids inline scripts and styles, so a page that had them would be broken.
    #[test]
    fn the_page_has_nothing_inline() {
        let page = ASSETS.get_file("index.html").and_then(|f| f.contents_utf8()).unwrap();
        assert!(!page.contains("style="), "a style attribute");
        assert!(!page.contains("<style"), "a style element");
        let tags = page.split('<').skip(1).filter_map(|t| t.split('>').next());
        let mut attributes = tags.flat_map(str::split_whitespace).skip(1);
        let event = attributes.find(|a| a.starts_with("on") && a.contains('='));
        assert_eq!(event, None, "an event attribute");
        for script in page.match_indices("<script") {
            let tag = page[script.0..].split('>').next().unwrap();
            assert!(tag.contains("src=\"/assets/"), "{tag}");
        }
        assert!(!page.contains("=\"http"), "something from elsewhere");
    }
}
