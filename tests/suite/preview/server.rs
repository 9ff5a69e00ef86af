//! The server over bare sockets: who is answered, what cannot stop it, and how soon events arrive.

use super::house::{Stream, connect, get, send, serve, site, wait_for};
use enfilade::preview::desk::Desk;
use enfilade::preview::{gate, server};
use enfilade::problem::{Problem, Problems};
use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::{Duration, Instant};

const TILE: &str = "/stations/hall-1/first-light.jpg";

/// A server with a site.
fn standing(limits: gate::Limits) -> (u16, Desk) {
    let (port, shown) = serve(limits);
    let mut desk = Desk::new(Arc::clone(&shown));
    desk.take(Ok((site("hall", "{}"), Problems::new())));
    (port, desk)
}

#[test]
fn a_site_is_served_with_the_live_part_in_its_page() {
    let (port, _desk) = standing(gate::Limits::default());
    let page = get(port, "/");
    let text = String::from_utf8(page.body).unwrap();
    assert_eq!(page.status, 200);
    assert!(text.contains("<script type=\"module\" src=\"preview/live.js?page="), "{text}");
    assert!(page.head.contains("Content-Type: text/html; charset=utf-8"), "{}", page.head);
    assert!(page.head.contains("Cache-Control: no-store"), "{}", page.head);
    let tile = get(port, TILE);
    assert_eq!((tile.status, tile.body.len()), (200, 500_000));
    assert!(tile.head.contains("Content-Length: 500000"), "{}", tile.head);
    for file in ["/preview/live.js", "/preview/live.css"] {
        assert_eq!(get(port, file).status, 200, "{file}");
    }
}

#[test]
fn head_sends_the_same_head_and_no_body() {
    let (port, _desk) = standing(gate::Limits::default());
    let answer = send(port, format!("HEAD {TILE} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n").as_bytes());
    assert_eq!((answer.status, answer.body.len()), (200, 0));
    assert!(answer.head.contains("Content-Length: 500000"), "{}", answer.head);
    let tag = answer.head.lines().find_map(|line| line.strip_prefix("ETag: ")).unwrap();
    let request = format!("GET {TILE} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nIf-None-Match: {tag}\r\n\r\n");
    let again = send(port, request.as_bytes());
    assert_eq!((again.status, again.body.len()), (304, 0));
}

#[test]
fn other_hosts_origins_methods_and_paths_outside_are_refused() {
    let (port, _desk) = standing(gate::Limits::default());
    for (first, headers, status) in [
        ("GET / HTTP/1.1", "Host: example.org\r\n".to_owned(), 403),
        ("GET / HTTP/1.1", String::new(), 403),
        ("GET / HTTP/1.1", format!("Host: example.org:{port}\r\n"), 403),
        ("GET / HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\nHost: example.org\r\n"), 403),
        ("GET / HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\nOrigin: http://example.org\r\n"), 403),
        ("GET /preview/events HTTP/1.1", "Host: example.org\r\n".to_owned(), 403),
        ("POST / HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\nContent-Length: 2\r\n\r\nhi"), 405),
        ("GET /../Cargo.toml HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\n"), 404),
        ("GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\n"), 404),
        ("GET //etc/passwd HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\n"), 404),
        ("GET /..%5c..%5cCargo.toml HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\n"), 404),
        ("GET /index.html%00 HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\n"), 404),
        ("GET http://example.org/ HTTP/1.1", format!("Host: 127.0.0.1:{port}\r\n"), 404),
    ] {
        let answer = send(port, format!("{first}\r\n{headers}\r\n").as_bytes());
        assert_eq!(answer.status, status, "{first} {headers:?}");
    }
}

#[test]
fn requests_without_measure_are_refused_and_end_nothing() {
    let (port, _desk) = standing(gate::Limits::default());
    let with =
        |headers: &str| send(port, format!("POST / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{headers}\r\n").as_bytes());
    // The HTTP library would set this much memory aside, and the process would end.
    assert_eq!(with("Content-Length: 18446744073709551615\r\n").status, 413);
    assert_eq!(with("Content-Length: 99999999999999\r\n").status, 413);
    assert_eq!(with("Transfer-Encoding: chunked\r\n").status, 411);
    assert_eq!(with(&format!("X: {}\r\n", "x".repeat(20_000))).status, 431);
    assert_eq!(with("Content-Length: 2\r\nContent-Length: 200\r\n").status, 400);
    assert_eq!(get(port, "/").status, 200);
}

#[test]
fn hundreds_of_idle_and_slow_connections_do_not_stop_it() {
    let (port, _desk) = standing(gate::Limits::default());
    let ask = format!("GET {TILE} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n");
    let held: Vec<TcpStream> = (0..320)
        .map(|number| {
            let mut stream = connect(port);
            // Silent ones, half requests, and whole ones whose answer is never read. A write may come too late: the
            // server may have closed the connection to make room.
            let _ = match number % 4 {
                0 | 1 => Ok(()),
                2 => stream.write_all(&ask.as_bytes()[..20]),
                _ => stream.write_all(ask.as_bytes()),
            };
            stream
        })
        .collect();
    for _ in 0..20 {
        let begun = Instant::now();
        assert_eq!(get(port, "/walk.json").status, 200);
        assert_eq!(get(port, TILE).body.len(), 500_000);
        assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
    }
    drop(held);
}

#[test]
fn whoever_is_silent_longest_makes_room() {
    let (port, _desk) = standing(gate::Limits { open: 3, ..gate::Limits::default() });
    let mut silent: Vec<TcpStream> = (0..3).map(|_| connect(port)).collect();
    // Connections are taken in one after the other: once this is answered, the first had to go.
    assert_eq!(get(port, "/").status, 200);
    assert_eq!(silent[0].read(&mut [0]).unwrap_or(0), 0);
    let request = format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n");
    silent[2].write_all(request.as_bytes()).unwrap();
    let mut answer = String::new();
    silent[2].read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 200 OK"), "{answer}");
}

#[test]
fn answers_that_nobody_reads_make_room_for_others() {
    let (port, _desk) = standing(gate::Limits { answering: 2, ..gate::Limits::default() });
    let unread: Vec<Stream> = (0..2).map(|_| Stream::open(port)).collect();
    for _ in 0..5 {
        assert_eq!(get(port, "/").status, 200);
    }
    drop(unread);
}

#[test]
fn a_request_that_never_ends_loses_its_connection() {
    let limits = gate::Limits { asking: Duration::from_millis(200), ..gate::Limits::default() };
    let (port, _desk) = standing(limits);
    let mut stream = connect(port);
    stream.write_all(b"GET / HTTP/1.1\r\n").unwrap();
    let mut rest = Vec::new();
    // An orderly end or a reset; a client that waited for its own time-out would see neither.
    match stream.read_to_end(&mut rest) {
        Ok(_) => assert_eq!(rest, b""),
        Err(error) => assert_eq!(error.kind(), std::io::ErrorKind::ConnectionReset),
    }
}

#[test]
fn an_event_arrives_within_a_second() {
    let (port, mut desk) = standing(gate::Limits::default());
    let mut stream = Stream::open(port);
    stream.wait_for("site", "walk");
    // The quickest of several: a busy machine may hold up one.
    let quickest = (0..5)
        .map(|number| {
            let begun = Instant::now();
            desk.take(Err(Problem::error(format!("wrong {number}"), "").into()));
            stream.wait_for("problems", &format!("wrong {number}"));
            begun.elapsed()
        })
        .min()
        .unwrap();
    assert!(quickest < Duration::from_secs(1), "{quickest:?}");
}

#[test]
fn a_page_that_connects_late_learns_what_it_missed() {
    let (port, mut desk) = standing(gate::Limits::default());
    let mut early = Stream::open(port);
    let first = early.wait_for("site", "walk");
    drop(early);
    desk.take(Ok((site("hall", "{\"title\":\"Mill\"}"), Problems::new())));
    desk.take(Err(Problem::error("wrong", "").into()));
    let mut late = Stream::open(port);
    let second = late.wait_for("site", "walk");
    late.wait_for("problems", "wrong");
    assert_ne!(first, second);
    // The same page: it need not be loaded again.
    let page = |data: &str| serde_json::from_str::<serde_json::Value>(data).unwrap()["page"].clone();
    assert_eq!(page(&first), page(&second));
}

#[test]
fn the_oldest_streams_make_room_for_new_ones() {
    let (port, mut desk) = standing(gate::Limits::default());
    let mut streams: Vec<Stream> = (0..20).map(|_| Stream::open(port)).collect();
    desk.take(Err(Problem::error("wrong", "").into()));
    for stream in &mut streams[4..] {
        stream.wait_for("problems", "wrong");
    }
    for stream in &mut streams[..4] {
        while let Some(line) = stream.line() {
            assert!(!line.contains("wrong"), "{line}");
        }
    }
    assert_eq!(get(port, "/").status, 200);
}

#[test]
fn a_port_in_use_is_a_plain_problem_and_without_a_wish_another_is_taken() {
    let taken = server::bind(None).unwrap();
    let port = taken.local_addr().unwrap().port();
    assert!(taken.local_addr().unwrap().ip().is_loopback());
    let problems = server::bind(Some(port)).unwrap_err();
    let problem = problems.iter().next().unwrap();
    assert_eq!(problem.what, format!("port {port} is in use by another program"));
    assert_eq!(problem.instead, "give another number with --port, or leave --port out and a free one is taken");
    let other = server::bind(None).unwrap().local_addr().unwrap().port();
    assert_ne!(other, port);
}

#[test]
fn streams_that_were_closed_are_forgotten() {
    let (port, shown) = serve(gate::Limits::default());
    for _ in 0..5 {
        drop(Stream::open(port));
    }
    wait_for("closed streams to be forgotten", || {
        shown.hub.tell("progress", "{}");
        shown.hub.streams() == 0
    });
}
