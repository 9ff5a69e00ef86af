//! What the preview adds to a page, and the page that stands while there is no walkthrough yet.
//!
//! The published site holds none of this: it is laid into the page as it is served.

use super::shelf::Stamps;

/// Everything of the preview's own is served under this folder, which no site uses.
pub const FOLDER: &str = "preview/";
/// Where the events come from.
pub const EVENTS: &str = "preview/events";

/// The preview's own files: path, and content.
const FILES: [(&str, &str); 2] =
    [("preview/live.js", include_str!("page/live.js")), ("preview/live.css", include_str!("page/live.css"))];

const WAITING: &str = include_str!("page/waiting.html");

/// Where a page says which station it shows.
const LOOKING: &str = "/preview/looking?at=";

/// The station that a page says it shows, as it says it.
pub fn looked_at<'a>(method: &str, target: &'a str) -> Option<&'a str> {
    target.strip_prefix(LOOKING).filter(|_| method == "POST")
}

/// One of the preview's own files.
pub fn file(name: &str) -> Option<&'static str> {
    FILES.iter().find(|(path, _)| *path == name).map(|(_, text)| *text)
}

/// The page that stands until there is a walkthrough: shows progress and problems, and loads itself again then.
pub fn waiting() -> Vec<u8> {
    with_live_part(WAITING.as_bytes(), "index.html", &Stamps::default())
}

/// Adds the live part to a page: before the end of its head, or, since HTML lets that tag be left out, at its end.
/// `name` is the page's path in the site, which the links are relative to.
pub fn with_live_part(page: &[u8], name: &str, stamps: &Stamps) -> Vec<u8> {
    let up = "../".repeat(name.matches('/').count());
    // The stamps are hexadecimal digits: nothing in them needs escaping. The script reads them from its own address.
    let part = format!(
        "<link rel=\"stylesheet\" href=\"{up}preview/live.css\">\n\
         <script type=\"module\" src=\"{up}preview/live.js?page={}&amp;walk={}\"></script>\n",
        stamps.page, stamps.walk
    );
    let at = find_ignoring_case(page, b"</head").unwrap_or(page.len());
    [&page[..at], part.as_bytes(), &page[at..]].concat()
}

fn find_ignoring_case(text: &[u8], wanted: &[u8]) -> Option<usize> {
    text.windows(wanted.len()).position(|window| window.eq_ignore_ascii_case(wanted))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamps() -> Stamps {
        Stamps { page: "12".into(), walk: "ab".into() }
    }

    #[test]
    fn the_live_part_stands_at_the_end_of_the_head() {
        let page = with_live_part(b"<HEAD><title>x</title></HEAD ><body>", "index.html", &stamps());
        let page = String::from_utf8(page).unwrap();
        assert_eq!(
            page,
            "<HEAD><title>x</title><link rel=\"stylesheet\" href=\"preview/live.css\">\n\
             <script type=\"module\" src=\"preview/live.js?page=12&amp;walk=ab\"></script>\n</HEAD ><body>"
        );
    }

    #[test]
    fn a_page_in_a_folder_finds_it_and_a_page_without_a_head_gets_it_at_its_end() {
        let page = String::from_utf8(with_live_part(b"<p>x", "rooms/hall.html", &stamps())).unwrap();
        assert!(page.starts_with("<p>x<link rel=\"stylesheet\" href=\"../preview/live.css\">"), "{page}");
    }

    #[test]
    fn the_waiting_page_runs_the_live_part() {
        let page = String::from_utf8(waiting()).unwrap();
        assert!(page.contains("preview/live.js?page=&amp;walk=\""));
        assert!(page.contains("script-src 'self'"));
    }
}
