//! Server-sent events (WHATWG HTML, "Server-sent events"): what the page is told while it is open.
//!
//! Of every kind of event the latest is kept and sent to whoever connects, so that a client that was away learns all
//! it missed, and no history has to be held. Events go out raw and flushed: the HTTP library's chunked writer holds
//! small pieces back.

use std::collections::{BTreeMap, VecDeque};
use std::io::{self, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// The answer's head. The connection ends with the stream.
const HEAD: &str = "HTTP/1.1 200 OK\r\n\
    Content-Type: text/event-stream\r\n\
    Cache-Control: no-store\r\n\
    X-Content-Type-Options: nosniff\r\n\r\n";

/// Events that may wait for one slow client before it is let go.
const WAITING_EVENTS: usize = 64;

/// How much of it the server bears.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Streams at once; the oldest is dropped for a new one.
    pub streams: usize,
    /// How long a stream lives. Its client connects again.
    pub age: Duration,
    /// After so long without an event a comment is sent, so that neither side takes the other for gone.
    pub silence: Duration,
    /// How long a client waits before it connects again.
    pub retry: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            streams: 16,
            age: Duration::from_secs(600),
            silence: Duration::from_secs(15),
            retry: Duration::from_millis(500),
        }
    }
}

/// Sends every event to every open page.
#[derive(Debug, Default)]
pub struct Hub {
    limits: Limits,
    inner: Mutex<Inner>,
}

#[derive(Debug, Default)]
struct Inner {
    last_id: u64,
    /// Latest event of each kind, as its text.
    latest: BTreeMap<&'static str, (u64, String)>,
    /// Oldest first.
    streams: VecDeque<SyncSender<String>>,
}

impl Hub {
    /// Nobody connected, nothing told.
    pub fn new(limits: Limits) -> Self {
        Hub { limits, inner: Mutex::default() }
    }

    /// Tells everybody. `data` is one line.
    pub fn tell(&self, kind: &'static str, data: &str) {
        let mut inner = self.lock();
        inner.last_id += 1;
        let id = inner.last_id;
        let text = event_text(id, kind, data);
        inner.latest.insert(kind, (id, text.clone()));
        // Who is gone, or reads too slowly, is let go: it learns everything when it connects again.
        inner.streams.retain(|stream| stream.try_send(text.clone()).is_ok());
    }

    /// Takes a client's connection over, on a thread of its own.
    ///
    /// # Errors
    /// The thread cannot be started.
    pub fn join(&self, writer: Box<dyn Write + Send>) -> io::Result<()> {
        let (sender, events) = sync_channel(WAITING_EVENTS);
        let greeting = {
            let mut inner = self.lock();
            while inner.streams.len() >= self.limits.streams {
                inner.streams.pop_front();
            }
            inner.streams.push_back(sender);
            inner.greeting(self.limits.retry)
        };
        let limits = self.limits;
        thread::Builder::new().name("preview events".into()).stack_size(128 * 1024).spawn(move || {
            // A write fails when the page was closed: nothing is left to do.
            let _ = stream_events(writer, &greeting, &events, limits);
        })?;
        Ok(())
    }

    /// Streams held at present.
    pub fn streams(&self) -> usize {
        self.lock().streams.len()
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Inner {
    fn greeting(&self, retry: Duration) -> String {
        let mut latest: Vec<_> = self.latest.values().collect();
        latest.sort();
        let events: String = latest.into_iter().map(|(_, text)| text.as_str()).collect();
        format!("{HEAD}retry: {}\n\n{events}", retry.as_millis())
    }
}

fn event_text(id: u64, kind: &str, data: &str) -> String {
    debug_assert!(!data.contains(['\n', '\r']), "an event's data is one line");
    format!("id: {id}\nevent: {kind}\ndata: {data}\n\n")
}

fn stream_events(
    mut writer: Box<dyn Write + Send>,
    greeting: &str,
    events: &Receiver<String>,
    limits: Limits,
) -> io::Result<()> {
    let until = Instant::now() + limits.age;
    send(&mut writer, greeting)?;
    loop {
        let left = until.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Ok(());
        }
        match events.recv_timeout(left.min(limits.silence)) {
            Ok(text) => send(&mut writer, &text)?,
            Err(RecvTimeoutError::Timeout) => send(&mut writer, ":\n\n")?,
            Err(RecvTimeoutError::Disconnected) => return Ok(()),
        }
    }
}

fn send(writer: &mut dyn Write, text: &str) -> io::Result<()> {
    writer.write_all(text.as_bytes())?;
    writer.flush()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    /// A client whose bytes can be looked at, and that sees when it is let go.
    #[derive(Clone, Default)]
    struct Client(Arc<Mutex<(Vec<u8>, bool)>>);

    impl Write for Client {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.lock().unwrap().0.extend_from_slice(bytes);
            Ok(bytes.len())
        }
        fn flush(&mut self) -> io::Result<()> {
            self.0.lock().unwrap().1 = true;
            Ok(())
        }
    }

    impl Client {
        fn waits_for(&self, wanted: &str) -> String {
            let until = Instant::now() + Duration::from_secs(20);
            loop {
                let text = String::from_utf8(self.0.lock().unwrap().0.clone()).unwrap();
                if text.contains(wanted) {
                    return text;
                }
                assert!(Instant::now() < until, "waited for {wanted:?} in {text:?}");
                thread::sleep(Duration::from_millis(5));
            }
        }
    }

    #[test]
    fn a_new_client_is_told_the_latest_of_each_kind_and_then_what_follows() {
        let hub = Hub::new(Limits::default());
        hub.tell("progress", "1");
        hub.tell("site", "2");
        hub.tell("progress", "3");
        let client = Client::default();
        hub.join(Box::new(client.clone())).unwrap();
        hub.tell("problems", "4");
        let text = client.waits_for("data: 4\n\n");
        let body = text.split_once("\r\n\r\n").unwrap().1;
        assert_eq!(
            body,
            "retry: 500\n\nid: 2\nevent: site\ndata: 2\n\nid: 3\nevent: progress\ndata: 3\n\n\
             id: 4\nevent: problems\ndata: 4\n\n"
        );
        assert!(client.0.lock().unwrap().1, "flushed");
    }

    #[test]
    fn the_oldest_stream_makes_room() {
        let hub = Hub::new(Limits { streams: 2, ..Limits::default() });
        let clients: Vec<Client> = (0..3).map(|_| Client::default()).collect();
        for client in &clients {
            hub.join(Box::new(client.clone())).unwrap();
            client.waits_for("retry");
        }
        hub.tell("site", "now");
        clients[1].waits_for("now");
        clients[2].waits_for("now");
        assert!(!String::from_utf8(clients[0].0.lock().unwrap().0.clone()).unwrap().contains("now"));
        assert_eq!(hub.streams(), 2);
    }

    #[test]
    fn silence_is_broken_by_comments_and_a_stream_ends_of_age() {
        let limits =
            Limits { silence: Duration::from_millis(20), age: Duration::from_millis(200), ..Limits::default() };
        let hub = Hub::new(limits);
        let client = Client::default();
        hub.join(Box::new(client.clone())).unwrap();
        client.waits_for("\n\n:\n\n");
        let until = Instant::now() + Duration::from_secs(20);
        // The thread's end drops its copy of the client.
        while Arc::strong_count(&client.0) > 1 {
            assert!(Instant::now() < until, "the stream outlived its age");
            thread::sleep(Duration::from_millis(5));
        }
        hub.tell("site", "later");
        assert_eq!(hub.streams(), 0);
    }
}
