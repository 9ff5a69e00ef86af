//! A tour in a temporary folder, a preview that keeps up with it, and clients that talk to it over bare sockets.

use enfilade::preview::classify::Kind;
use enfilade::preview::making::{News, Outcome};
use enfilade::preview::server::Shown;
use enfilade::preview::watch::Timing;
use enfilade::preview::{Preview, Voice, gate, server};
use enfilade::problem::{Problem, Problems};
use enfilade::site::{Content, Site};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Longer than any machine needs; reached only by a test that fails.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// Events alone have to do: the look that would find what they miss comes too late for any test.
pub fn by_events() -> Timing {
    Timing { look: 10 * PATIENCE, ..Timing::default() }
}

/// Waits for a condition.
pub fn wait_for(what: &str, mut condition: impl FnMut() -> bool) {
    let until = Instant::now() + PATIENCE;
    while !condition() {
        assert!(Instant::now() < until, "waited in vain: {what}");
        std::thread::sleep(Duration::from_millis(10));
    }
}

/// A server with nothing behind it yet.
pub fn serve(limits: gate::Limits) -> (u16, Arc<Shown>) {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let port = listener.local_addr().unwrap().port();
    let shown = Arc::new(Shown::default());
    server::serve(listener, None, Arc::clone(&shown), limits).unwrap();
    (port, shown)
}

/// A site with a page, a `walk.json` and one lasting file.
pub fn site(page: &str, walk: &str) -> Site {
    let bytes = |text: &str| Content::Bytes(Arc::from(text.as_bytes()));
    let mut site = Site::default();
    site.lasting.insert("stations/hall-1/first-light.jpg".into(), bytes(&"light".repeat(100_000)));
    site.changing.push(("walk.json".into(), bytes(walk)));
    site.changing.push(("index.html".into(), bytes(&format!("<html><head></head><body>{page}"))));
    site
}

/// An answer, read to its end.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

pub fn connect(port: u16) -> TcpStream {
    let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    stream.set_write_timeout(Some(PATIENCE)).unwrap();
    stream
}

/// Sends these bytes and reads the answer.
pub fn send(port: u16, request: &[u8]) -> Answer {
    let mut stream = connect(port);
    stream.write_all(request).unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or_else(|| panic!("no head: {bytes:?}"));
    let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
    // RFC 9112, section 9.6: a connection that ends with its answer says so.
    assert_eq!(head.matches("Connection: close").count(), 1, "{head}");
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    Answer { status, head, body: bytes[end + 4..].to_vec() }
}

pub fn get(port: u16, path: &str) -> Answer {
    send(port, format!("GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n").as_bytes())
}

/// An open page's stream of events.
pub struct Stream(BufReader<TcpStream>);

impl Stream {
    pub fn open(port: u16) -> Stream {
        let mut stream = connect(port);
        write!(stream, "GET /preview/events HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n").unwrap();
        let mut stream = Stream(BufReader::new(stream));
        assert_eq!(stream.line().as_deref(), Some("HTTP/1.1 200 OK"));
        while stream.line().unwrap() != "retry: 500" {}
        stream
    }

    /// `None` at the end of the stream.
    pub fn line(&mut self) -> Option<String> {
        let mut line = String::new();
        // A stream that was reset has ended as well.
        let length = self.0.read_line(&mut line).unwrap_or(0);
        (length > 0).then(|| line.trim_end().to_owned())
    }

    /// Reads until an event of this kind holds this text, and returns its data.
    pub fn wait_for(&mut self, kind: &str, text: &str) -> String {
        let until = Instant::now() + PATIENCE;
        let mut last_kind = String::new();
        loop {
            assert!(Instant::now() < until, "waited in vain for {kind} with {text:?}");
            let line = self.line().expect("the stream goes on");
            if let Some(kind) = line.strip_prefix("event: ") {
                last_kind = kind.to_owned();
            } else if let Some(data) = line.strip_prefix("data: ")
                && last_kind == kind
                && data.contains(text)
            {
                return data.to_owned();
            }
        }
    }
}

/// What a preview said and did.
#[derive(Default)]
pub struct Record {
    pub said: Mutex<Vec<String>>,
    pub shown: Mutex<Vec<Problems>>,
    /// The walkthrough's text of every making, or what was wrong.
    pub makings: Mutex<Vec<String>>,
    /// Makings that have begun.
    pub begun: AtomicUsize,
}

/// A preview of a tour in a temporary folder.
pub struct House {
    temporary: tempfile::TempDir,
    pub port: u16,
    pub record: Arc<Record>,
    ended: Arc<AtomicBool>,
    preview: Option<JoinHandle<()>>,
}

impl House {
    /// Two shots, and one outside the tour's folder.
    pub fn new() -> House {
        House::with(by_events())
    }

    pub fn with(timing: Timing) -> House {
        let temporary = tempfile::tempdir().unwrap();
        let folder = temporary.path().join("tour");
        for (path, text) in [
            ("tour.yaml", "Larkmere Mill\nshots/hall.jpg\nplans/ground.svg\n../card/barn.jpg\n"),
            ("shots/hall.jpg", "hall"),
            ("plans/ground.svg", "plan"),
            ("../card/barn.jpg", "barn"),
        ] {
            let path = folder.join(path);
            // `card/..` has to exist before a path can go through it.
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        }
        let (port, shown) = serve(gate::Limits::default());
        let record = Arc::new(Record::default());
        let ended = Arc::new(AtomicBool::new(false));
        let preview = {
            let (record, ended) = (Arc::clone(&record), Arc::clone(&ended));
            // Watches from before the first test's first change.
            let mut preview = Preview::new(&folder, shown, timing);
            std::thread::spawn(move || {
                let voice = Voice {
                    say: &|line| record.said.lock().unwrap().push(line.to_owned()),
                    show: &|problems| record.shown.lock().unwrap().push(problems.clone()),
                    quiet: false,
                };
                let mut make = |news: &(dyn Fn(News) + Sync)| make(&folder, &record, news);
                preview.keep_up(&mut make, &voice, &|| ended.load(Ordering::Relaxed));
            })
        };
        House { temporary, port, record, ended, preview: Some(preview) }
    }

    /// The same, and the first walkthrough stands.
    pub fn standing() -> House {
        House::standing_with(by_events())
    }

    pub fn standing_with(timing: Timing) -> House {
        let house = House::with(timing);
        house.waits_for_walk("Larkmere Mill|hall|plan|barn");
        house
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.temporary.path().join("tour").join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    /// Saves as one step, so that nothing in between can be read.
    pub fn replace(&self, name: &str, text: &str) {
        let beside = self.path(".beside");
        std::fs::write(&beside, text).unwrap();
        std::fs::rename(&beside, self.path(name)).unwrap();
    }

    /// The description with another title.
    pub fn titled(&self, title: &str) -> String {
        format!("{title}\nshots/hall.jpg\nplans/ground.svg\n../card/barn.jpg\n")
    }

    pub fn waits_for_walk(&self, text: &str) {
        wait_for(&format!("walk {text:?}"), || get(self.port, "/walk.json").body == text.as_bytes());
    }

    pub fn makings(&self) -> Vec<String> {
        self.record.makings.lock().unwrap().clone()
    }
}

impl Drop for House {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Relaxed);
        // An event wakes it sooner than its next look. Without the folder the join below tells what happened.
        let _ = std::fs::write(self.path("tour.yaml"), "ended");
        if let Some(preview) = self.preview.take() {
            let joined = preview.join();
            if !std::thread::panicking() {
                joined.unwrap();
            }
        }
    }
}

/// The stand-in: a title, then a file a line. “broken” in the title is an error, “slow” goes on until it
/// is written anew, and “faulty” finds a fault of the program.
fn make(folder: &Path, record: &Record, news: &(dyn Fn(News) + Sync)) -> Outcome {
    record.begun.fetch_add(1, Ordering::SeqCst);
    let made = make_text(folder, news);
    if made.as_ref().is_ok_and(|text| text.contains("slow")) {
        let read = std::fs::read(folder.join("tour.yaml")).unwrap();
        wait_for("the next description", || std::fs::read(folder.join("tour.yaml")).unwrap() != read);
    }
    assert!(!made.as_ref().is_ok_and(|text| text.contains("faulty")), "a fault, as the test wants it");
    let note = made.as_ref().map_or_else(|problems| format!("{:?}", problems.iter().next()), Clone::clone);
    record.makings.lock().unwrap().push(note);
    let page = std::fs::read_to_string(folder.join("templates/page.html")).unwrap_or_default();
    made.map(|text| (site(&page, &text), Problems::new()))
}

fn make_text(folder: &Path, news: &(dyn Fn(News) + Sync)) -> Result<String, Problems> {
    let description = folder.join("tour.yaml");
    let read = |path: &Path| -> Result<String, Problems> {
        std::fs::read_to_string(path)
            .map_err(|error| Problem::error(error.to_string(), "put it back").about(path).into())
    };
    let text = read(&description)?;
    let mut lines = text.lines();
    let title = lines.next().unwrap_or_default();
    if title.is_empty() || title.contains("broken") {
        return Err(Problem::error(format!("“{title}” is no title"), "write a title").into());
    }
    let files: Vec<PathBuf> = lines.map(|line| folder.join(line)).collect();
    if let Some(missing) = files.iter().find(|file| !file.is_file()) {
        return Err(Problem::error("a shot is missing", "put it back").about(missing).into());
    }
    let shots = files.iter().map(|file| (file.clone(), Kind::Shot));
    news(News::MadeOf(shots.chain([(description, Kind::Description)]).collect()));
    let mut parts = vec![title.to_owned()];
    for file in &files {
        parts.push(read(file)?);
    }
    Ok(parts.join("|"))
}
