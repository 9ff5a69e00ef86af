//! From a request to its answer, without a socket: who may ask, what is there, and what may be kept.

use super::page;
use super::shelf::Shelf;
use crate::site::Content;
use crate::store::ContentHash;
use std::io;
use std::net::Ipv4Addr;
use std::sync::Arc;

/// What of a request the answer depends on.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// As written: methods are case-sensitive.
    pub method: &'a str,
    /// Path and query, as sent.
    pub target: &'a str,
    /// The `Host` header.
    pub host: Option<&'a str>,
    /// The `Origin` header.
    pub origin: Option<&'a str>,
    /// The `If-None-Match` header.
    pub if_none_match: Option<&'a str>,
}

/// What follows the head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Body {
    /// These bytes (left out for `HEAD`).
    Bytes(Arc<[u8]>),
    /// The stream of events.
    Events,
}

/// An answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reply {
    /// HTTP status code.
    pub status: u16,
    /// In the order in which they are sent.
    pub headers: Vec<(&'static str, String)>,
    /// What follows.
    pub body: Body,
}

/// Pages and `walk.json` change under their names.
const NOT_KEPT: &str = "no-store";
/// As the published site's host is told to say.
const KEPT: &str = "private, max-age=31536000, immutable";
/// Named by its content, but read from a file that the photographer may have saved again since: asked for each time.
const ASKED_AGAIN: &str = "no-cache";

/// Where the server can be reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Own {
    /// On every address.
    pub port: u16,
    /// This computer's address on its network, if it is opened to that. From there one may only look.
    pub network: Option<Ipv4Addr>,
}

/// Answers a request to the server. `read` gives a content's bytes.
pub fn reply(
    asked: &Asked<'_>,
    own: Own,
    standing: Option<&Shelf>,
    read: &dyn Fn(&Content) -> io::Result<Arc<[u8]>>,
) -> Reply {
    let from_here = is_own_host(asked.host, own.port);
    let is_own = |host: Option<&str>| is_own_host(host, own.port) || own.is_networks(host);
    let is_own_origin = |origin: &str| origin.strip_prefix("http://").is_some_and(|host| is_own(Some(host)));
    if !is_own(asked.host) || !asked.origin.is_none_or(is_own_origin) {
        return plain(403, "This address is not the preview's own. Open the one that stands in the terminal.");
    }
    if page::looked_at(asked.method, asked.target).is_some() && asked.origin.is_some() && from_here {
        return Reply { status: 204, headers: common(NOT_KEPT), body: Body::Bytes(Arc::from([])) };
    }
    if asked.method != "GET" && asked.method != "HEAD" {
        let mut reply = plain(405, "The preview can only be read.");
        reply.headers.push(("Allow", "GET, HEAD".into()));
        return reply;
    }
    let Some(name) = site_path(asked.target) else { return not_found() };
    if name == page::EVENTS && asked.method == "GET" {
        return Reply { status: 200, headers: Vec::new(), body: Body::Events };
    }
    if let Some(text) = page::file(&name) {
        return found(&name, NOT_KEPT, Arc::from(text.as_bytes()));
    }
    if name == "favicon.ico" && standing.is_none_or(|shelf| shelf.get(&name).is_none()) {
        // Browsers ask for it unasked, and would call its absence an error in the console.
        return Reply { status: 204, headers: common(NOT_KEPT), body: Body::Bytes(Arc::from([])) };
    }
    let Some(standing) = standing else {
        return if name == "index.html" { found(&name, NOT_KEPT, page::waiting().into()) } else { not_found() };
    };
    match standing.get(&name) {
        Some(item) if item.lasting => lasting(&name, &item.content, asked.if_none_match, read),
        Some(item) => read(&item.content).map_or_else(|_| not_found(), |bytes| found(&name, NOT_KEPT, bytes)),
        None => not_found(),
    }
}

fn lasting(
    name: &str,
    content: &Content,
    if_none_match: Option<&str>,
    read: &dyn Fn(&Content) -> io::Result<Arc<[u8]>>,
) -> Reply {
    // A name that follows from its content says as much as the content; a file may have changed behind its name.
    let (keep, tag, bytes) = match content {
        Content::File(_) => match read(content) {
            Ok(bytes) => (ASKED_AGAIN, ContentHash::of(&bytes), Some(bytes)),
            Err(_) => return not_found(),
        },
        Content::Bytes(_) | Content::Packed(..) => (KEPT, ContentHash::of(name.as_bytes()), None),
    };
    let tag = format!("\"{}\"", tag.short());
    let mut reply = if if_none_match.is_some_and(|sent| names_tag(sent, &tag)) {
        Reply { status: 304, headers: common(keep), body: Body::Bytes(Arc::from([])) }
    } else {
        // The pack goes with the store, which may be deleted at any time: until the next making it is then missing.
        match bytes.map_or_else(|| read(content), Ok) {
            Ok(bytes) => found(name, keep, bytes),
            Err(_) => return not_found(),
        }
    };
    reply.headers.push(("ETag", tag));
    reply
}

/// Weak comparison, as RFC 9110, section 13.1.2, asks for.
fn names_tag(if_none_match: &str, tag: &str) -> bool {
    if_none_match.split(',').map(str::trim).any(|one| one == "*" || one.strip_prefix("W/").unwrap_or(one) == tag)
}

fn found(name: &str, keep: &str, bytes: Arc<[u8]>) -> Reply {
    let mut headers = common(keep);
    headers.push(("Content-Type", media_type(name).into()));
    Reply { status: 200, headers, body: Body::Bytes(bytes) }
}

fn not_found() -> Reply {
    plain(404, "There is nothing at this address.")
}

/// A short answer in words.
fn plain(status: u16, text: &str) -> Reply {
    let mut headers = common(NOT_KEPT);
    headers.push(("Content-Type", "text/plain; charset=utf-8".into()));
    Reply { status, headers, body: Body::Bytes(Arc::from(format!("{text}\n").as_bytes())) }
}

fn common(keep: &str) -> Vec<(&'static str, String)> {
    vec![
        ("X-Content-Type-Options", "nosniff".into()),
        // Another site's page may not show these pictures either, which needs no `Origin`.
        ("Cross-Origin-Resource-Policy", "same-origin".into()),
        ("Cache-Control", keep.into()),
    ]
}

/// Whether a `Host` header names this server on its loopback address. Any other name is somebody else's page that had
/// its own name lead here, to read what the photographer has not published.
fn is_own_host(host: Option<&str>, port: u16) -> bool {
    let Some(host) = host else { return false };
    let name = match host.strip_suffix(&format!(":{port}")) {
        Some(name) => name,
        // The port may be left out where it is the scheme's own.
        None if port == 80 => host,
        None => return false,
    };
    name == "127.0.0.1" || name == "[::1]" || name.eq_ignore_ascii_case("localhost")
}

impl Own {
    /// Whether a `Host` header names the address that is opened to the network.
    fn is_networks(self, host: Option<&str>) -> bool {
        let Some(address) = self.network else { return false };
        host.is_some_and(|host| host == format!("{address}:{}", self.port))
    }
}

/// The site's name for what is asked for: query left out, percent-encoding undone once, a folder standing for its
/// page. `None` for what no site can hold.
fn site_path(target: &str) -> Option<String> {
    let path = target.split(['?', '#']).next()?;
    let path = percent_decoded(path.strip_prefix('/')?)?;
    let strange = |part: &str| part == "." || part == ".." || part.contains(['\\', '\0', ':']);
    if path.starts_with('/') || path.split('/').any(strange) {
        return None;
    }
    Some(if path.is_empty() || path.ends_with('/') { path + "index.html" } else { path })
}

fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(if byte == b'%' { hex_digit(rest.next()?)? << 4 | hex_digit(rest.next()?)? } else { byte });
    }
    String::from_utf8(bytes).ok()
}

fn hex_digit(byte: u8) -> Option<u8> {
    char::from(byte).to_digit(16).and_then(|digit| u8::try_from(digit).ok())
}

/// By the name's ending. JavaScript as RFC 9239 has it, WebP as RFC 9649.
fn media_type(name: &str) -> &'static str {
    match name.rsplit_once('.').map_or("", |(_, ending)| ending).to_ascii_lowercase().as_str() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" => "application/json",
        "jpg" | "jpeg" => "image/jpeg",
        "png" => "image/png",
        "webp" => "image/webp",
        "avif" => "image/avif",
        "svg" => "image/svg+xml",
        "txt" => "text/plain; charset=utf-8",
        "webmanifest" => "application/manifest+json",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::super::shelf::{self, tests::site};
    use super::*;

    const OWN: Own = Own { port: 8317, network: None };

    fn shelf() -> Shelf {
        let mut site = site("<p>hall</p>", "{}", "1");
        let bytes = Content::Bytes(Arc::from(*b"tile"));
        site.lasting.insert("stations/hall-1/16/px-r0-c0.jpg".into(), bytes.clone());
        site.lasting.insert("plans/erdgeschoß 1.svg".into(), Content::File("/plan.svg".into()));
        site.changing.push(("rooms/index.html".into(), bytes));
        Shelf::new(site, None, false).unwrap().0
    }

    fn get(target: &str) -> Asked<'_> {
        Asked { method: "GET", target, host: Some("127.0.0.1:8317"), origin: None, if_none_match: None }
    }

    fn answer(asked: &Asked<'_>) -> Reply {
        let plan = |content: &Content| match content {
            Content::File(_) => Ok(Arc::from(*b"<svg/>")),
            other => shelf::read(other),
        };
        reply(asked, OWN, Some(&shelf()), &plan)
    }

    fn header<'a>(reply: &'a Reply, name: &str) -> Option<&'a str> {
        reply.headers.iter().find(|(field, _)| *field == name).map(|(_, value)| value.as_str())
    }

    fn text(reply: &Reply) -> &str {
        let Body::Bytes(bytes) = &reply.body else { panic!("no bytes") };
        std::str::from_utf8(bytes).unwrap()
    }

    #[test]
    fn the_network_may_look_where_it_is_let_in_and_do_no_more() {
        let open = Own { network: Some(Ipv4Addr::new(192, 0, 2, 7)), ..OWN };
        let at = |own, host| reply(&Asked { host: Some(host), ..get("/") }, own, Some(&shelf()), &shelf::read).status;
        assert_eq!(at(open, "192.0.2.7:8317"), 200);
        assert_eq!(at(open, "127.0.0.1:8317"), 200);
        for (own, host) in
            [(OWN, "192.0.2.7:8317"), (open, "192.0.2.7"), (open, "192.0.2.8:8317"), (open, "mill.example:8317")]
        {
            assert_eq!(at(own, host), 403, "{host}");
        }
        let looking = |host: &'static str, origin: &'static str| {
            let asked =
                Asked { method: "POST", host: Some(host), origin: Some(origin), ..get("/preview/looking?at=hall") };
            reply(&asked, open, None, &shelf::read).status
        };
        assert_eq!(looking("127.0.0.1:8317", "http://127.0.0.1:8317"), 204);
        assert_eq!(looking("192.0.2.7:8317", "http://192.0.2.7:8317"), 405);
        assert_eq!(looking("127.0.0.1:8317", "http://elsewhere.example"), 403);
    }

    #[test]
    fn pages_and_files_are_found_under_their_names() {
        for (target, media, keep) in [
            ("/", "text/html; charset=utf-8", NOT_KEPT),
            ("/index.html?x=1", "text/html; charset=utf-8", NOT_KEPT),
            ("/rooms/", "text/html; charset=utf-8", NOT_KEPT),
            ("/walk.json?0123", "application/json", NOT_KEPT),
            ("/preview/live.js?page=1", "text/javascript; charset=utf-8", NOT_KEPT),
            ("/preview/live.css", "text/css; charset=utf-8", NOT_KEPT),
            ("/viewer-1/enfilade.css", "text/css; charset=utf-8", KEPT),
            ("/stations/hall-1/16/px-r0-c0.jpg", "image/jpeg", KEPT),
            ("/stations/hall%2d1/16/px%2Dr0-c0.jpg", "image/jpeg", KEPT),
            ("/plans/erdgescho%C3%9F%201.svg", "image/svg+xml", ASKED_AGAIN),
        ] {
            let reply = answer(&get(target));
            assert_eq!(reply.status, 200, "{target}");
            assert_eq!(header(&reply, "Content-Type"), Some(media), "{target}");
            assert_eq!(header(&reply, "Cache-Control"), Some(keep), "{target}");
            assert_eq!(header(&reply, "X-Content-Type-Options"), Some("nosniff"), "{target}");
            assert_eq!(header(&reply, "Cross-Origin-Resource-Policy"), Some("same-origin"), "{target}");
        }
        assert!(text(&answer(&get("/"))).contains("preview/live.js?page="));
        assert_eq!(text(&answer(&get("/walk.json"))), "{}");
        assert_eq!(answer(&get("/preview/events")).body, Body::Events);
    }

    #[test]
    fn nothing_outside_the_site_can_be_asked_for() {
        for target in [
            "/../Cargo.toml",
            "/%2e%2e/Cargo.toml",
            "/%2e%2e%2fCargo.toml",
            "/stations/../index.html",
            "/stations/..%2findex.html",
            "/./index.html",
            "//etc/passwd",
            "/%2fetc/passwd",
            "/etc/passwd",
            "/..\\Cargo.toml",
            "/%5c%5cserver%5cshare",
            "/C:/Windows/win.ini",
            "/C%3A/Windows/win.ini",
            "/index.html%00.jpg",
            "/index.html%",
            "/index.html%2",
            "/%ff",
            "/%+1",
            "/%252e%252e/Cargo.toml",
            "/Index.html",
            "/preview/",
            "/preview/page/live.js",
            "http://127.0.0.1:8317/",
            "*",
            "",
        ] {
            assert_eq!(answer(&get(target)).status, 404, "{target}");
        }
    }

    #[test]
    fn only_the_servers_own_names_are_answered() {
        for host in ["127.0.0.1:8317", "localhost:8317", "LOCALHOST:8317", "[::1]:8317"] {
            assert_eq!(answer(&Asked { host: Some(host), ..get("/") }).status, 200, "{host}");
        }
        for host in [
            "127.0.0.1",
            "127.0.0.1:80",
            "example.org:8317",
            "example.org",
            "localhost.example.org:8317",
            "127.0.0.1.example.org:8317",
            "127.0.0.1:8317:8317",
            "evil@127.0.0.1:8317",
            "0.0.0.0:8317",
            "",
        ] {
            assert_eq!(answer(&Asked { host: Some(host), ..get("/") }).status, 403, "{host}");
        }
        assert_eq!(answer(&Asked { host: None, ..get("/") }).status, 403);
        let from = |origin| answer(&Asked { origin: Some(origin), ..get("/walk.json") }).status;
        assert_eq!(from("http://localhost:8317"), 200);
        for origin in ["null", "http://example.org", "https://127.0.0.1:8317", "http://127.0.0.1:8318"] {
            assert_eq!(from(origin), 403, "{origin}");
        }
    }

    #[test]
    fn other_methods_are_told_which_are_allowed() {
        for method in ["POST", "PUT", "DELETE", "OPTIONS", "TRACE", "get"] {
            let reply = answer(&Asked { method, ..get("/") });
            assert_eq!((reply.status, header(&reply, "Allow")), (405, Some("GET, HEAD")), "{method}");
        }
        assert_eq!(answer(&Asked { method: "HEAD", ..get("/") }).status, 200);
        assert_eq!(answer(&Asked { method: "HEAD", ..get("/preview/events") }).status, 404);
    }

    #[test]
    fn what_the_browser_already_has_is_not_sent_again() {
        for target in ["/stations/hall-1/16/px-r0-c0.jpg", "/plans/erdgescho%C3%9F%201.svg"] {
            let first = answer(&get(target));
            let tag = header(&first, "ETag").unwrap().to_owned();
            for sent in [tag.clone(), format!("W/{tag}"), format!("\"x\", {tag}"), "*".into()] {
                let again = answer(&Asked { if_none_match: Some(&sent), ..get(target) });
                assert_eq!(
                    (again.status, text(&again), header(&again, "ETag")),
                    (304, "", Some(tag.as_str())),
                    "{sent}"
                );
            }
            assert_eq!(answer(&Asked { if_none_match: Some("\"x\""), ..get(target) }).status, 200);
        }
        assert_eq!(header(&answer(&get("/walk.json")), "ETag"), None);
    }

    #[test]
    fn before_there_is_a_walkthrough_a_page_says_so() {
        let ask = |target| reply(&get(target), OWN, None, &shelf::read);
        assert_eq!(ask("/").status, 200);
        assert!(text(&ask("/")).contains("preview/live.js"));
        assert_eq!(ask("/preview/live.js").status, 200);
        assert_eq!(ask("/walk.json").status, 404);
        assert_eq!(ask("/favicon.ico").status, 204);
    }

    #[test]
    fn a_store_deleted_meanwhile_is_not_found_rather_than_broken() {
        let gone = |_: &Content| Err(io::Error::from(io::ErrorKind::NotFound));
        let asked = get("/stations/hall-1/16/px-r0-c0.jpg");
        assert_eq!(reply(&asked, OWN, Some(&shelf()), &gone).status, 404);
    }
}
