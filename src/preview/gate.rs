//! What stands before the HTTP library, because the library leaves it open (looked up in tiny_http 0.12's source):
//!
//! - it gives every connection a thread of its own and two file descriptors, without any limit or time-out;
//! - an `accept` that fails, as it does when descriptors run out, ends its accepting thread for good;
//! - a line of a request's head may be endless, and a body's claimed length is allocated when the request is dropped,
//!   so that one short request with an absurd `Content-Length` ends the process;
//! - several requests sent at once on one connection wait for one another, each holding a worker.
//!
//! The gate therefore accepts connections itself, reads one bounded head and one bounded body from each, and only then
//! hands them on over a second loopback connection, which carries exactly one request. Whoever holds a connection
//! longest without doing anything loses it when room is needed.

use super::head::{Head, find_head_end};
use std::collections::BTreeMap;
use std::io::{self, ErrorKind, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// What one server puts up with.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Connections open at once. With three descriptors more for each answer under way it stays below 256, the usual
    /// limit of the strictest system.
    pub open: usize,
    /// Of these, answers under way.
    pub answering: usize,
    /// Bytes of a request's line and headers.
    pub head_bytes: usize,
    /// Bytes of a request's body.
    pub body_bytes: usize,
    /// From accepting a connection to its whole request.
    pub asking: Duration,
    /// How long a reader may take none of an answer's bytes.
    pub stalled: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            open: 96,
            answering: 32,
            head_bytes: 16 * 1024,
            body_bytes: 64 * 1024,
            asking: Duration::from_secs(10),
            stalled: Duration::from_secs(30),
        }
    }
}

/// Where the HTTP library listens at present.
pub type Behind = Arc<Mutex<SocketAddr>>;

/// Accepts for ever, on a thread of its own for each listener; the limits are those of all together.
///
/// # Errors
/// A thread cannot be started.
pub fn open(listeners: Vec<TcpListener>, behind: Behind, limits: Limits) -> io::Result<()> {
    let gate = Arc::new(Gate { behind, limits, guests: Mutex::default() });
    for listener in listeners {
        let gate = Arc::clone(&gate);
        thread::Builder::new().name("preview gate".into()).spawn(move || gate.accept(&listener))?;
    }
    Ok(())
}

struct Gate {
    behind: Behind,
    limits: Limits,
    guests: Mutex<Guests>,
}

#[derive(Default)]
struct Guests {
    next: u64,
    here: BTreeMap<u64, Guest>,
}

struct Guest {
    stream: Arc<TcpStream>,
    answering: bool,
    last_move: Instant,
}

impl Guests {
    /// Closes the connection that did nothing for longest, of those that are (or are not) being answered.
    fn dismiss_one(&mut self, answering: bool) -> bool {
        let of_kind = self.here.iter().filter(|(_, guest)| guest.answering == answering);
        let Some(number) = of_kind.min_by_key(|(_, guest)| guest.last_move).map(|(number, _)| *number) else {
            return false;
        };
        if let Some(guest) = self.here.remove(&number) {
            // Its own thread wakes with an error and ends.
            let _ = guest.stream.shutdown(Shutdown::Both);
        }
        true
    }
}

impl Gate {
    fn accept(self: &Arc<Self>, listener: &TcpListener) {
        loop {
            match listener.accept() {
                Ok((stream, _)) => self.admit(Arc::new(stream)),
                // Out of descriptors, or a client that left before it was taken in: neither is a reason to stop.
                Err(_) => thread::sleep(Duration::from_millis(20)),
            }
        }
    }

    fn admit(self: &Arc<Self>, stream: Arc<TcpStream>) {
        let number = self.register(&stream);
        let gate = Arc::clone(self);
        let started = thread::Builder::new().name("preview guest".into()).stack_size(128 * 1024).spawn(move || {
            // A connection that breaks off concerns nobody but its client.
            let _ = gate.attend(number, &stream);
            gate.lock().here.remove(&number);
        });
        if started.is_err() {
            self.lock().here.remove(&number);
        }
    }

    fn register(&self, stream: &Arc<TcpStream>) -> u64 {
        let mut guests = self.lock();
        // Who is silent goes before who is being answered.
        while guests.here.len() >= self.limits.open && (guests.dismiss_one(false) || guests.dismiss_one(true)) {}
        let number = guests.next;
        guests.next += 1;
        guests.here.insert(number, Guest { stream: Arc::clone(stream), answering: false, last_move: Instant::now() });
        number
    }

    /// False where the connection was dismissed meanwhile.
    fn begins_answering(&self, number: u64) -> bool {
        let mut guests = self.lock();
        while guests.here.values().filter(|guest| guest.answering).count() >= self.limits.answering
            && guests.dismiss_one(true)
        {}
        match guests.here.get_mut(&number) {
            Some(guest) => {
                guest.answering = true;
                guest.last_move = Instant::now();
                true
            }
            None => false,
        }
    }

    fn moved(&self, number: u64) {
        if let Some(guest) = self.lock().here.get_mut(&number) {
            guest.last_move = Instant::now();
        }
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Guests> {
        self.guests.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn attend(&self, number: u64, stream: &TcpStream) -> io::Result<()> {
        stream.set_nodelay(true)?;
        stream.set_write_timeout(Some(self.limits.stalled))?;
        let request = match read_request(stream, &self.limits) {
            Ok(request) => request,
            Err(Refusal::Broken(error)) => return Err(error),
            Err(Refusal::Answer(status)) => return refuse(stream, status),
        };
        if !self.begins_answering(number) {
            return Ok(());
        }
        let address = *self.behind.lock().unwrap_or_else(PoisonError::into_inner);
        let behind = TcpStream::connect(address)?;
        behind.set_nodelay(true)?;
        (&behind).write_all(&request)?;
        self.pass_on(number, &behind, stream)?;
        stream.shutdown(Shutdown::Write)
    }

    /// Hands the answer to the client as it comes, so that an event is not held back. Its head says that the connection ends
    /// with it: the library does not, and a client would send its next request into nothing.
    fn pass_on(&self, number: u64, mut from: &TcpStream, mut to: &TcpStream) -> io::Result<()> {
        let mut buffer = [0; 32 * 1024];
        let mut in_status_line = true;
        loop {
            match from.read(&mut buffer) {
                Ok(0) => return Ok(()),
                Ok(length) => {
                    let bytes = &buffer[..length];
                    match bytes.iter().position(|&byte| byte == b'\n').filter(|_| in_status_line) {
                        Some(end) => {
                            let (status_line, rest) = bytes.split_at(end + 1);
                            to.write_all(&[status_line, b"Connection: close\r\n", rest].concat())?;
                            in_status_line = false;
                        }
                        None => to.write_all(bytes)?,
                    }
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
            self.moved(number);
        }
    }
}

/// Why a request goes no further.
#[derive(Debug)]
enum Refusal {
    Broken(io::Error),
    Answer(&'static str),
}

impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Self {
        Refusal::Broken(error)
    }
}

/// One whole request, made ready to be handed on.
fn read_request(stream: &TcpStream, limits: &Limits) -> Result<Vec<u8>, Refusal> {
    let until = Instant::now() + limits.asking;
    let mut bytes = Vec::new();
    let head_end = loop {
        let end = find_head_end(&bytes);
        if end.unwrap_or(bytes.len()) > limits.head_bytes {
            return Err(Refusal::Answer("431 Request Header Fields Too Large"));
        }
        if let Some(end) = end {
            break end;
        }
        read_some(stream, until, &mut bytes)?;
    };
    let head = Head::read(&bytes[..head_end]).map_err(Refusal::Answer)?;
    if head.body_bytes > limits.body_bytes {
        return Err(Refusal::Answer("413 Content Too Large"));
    }
    let mut body = bytes.split_off(head_end);
    while body.len() < head.body_bytes {
        read_some(stream, until, &mut body)?;
    }
    // Anything after it would be a second request on the same connection: the answer says that it closes.
    body.truncate(head.body_bytes);
    Ok([head.handed_on, body].concat())
}

fn read_some(mut stream: &TcpStream, until: Instant, into: &mut Vec<u8>) -> io::Result<()> {
    let left = until.saturating_duration_since(Instant::now());
    if left.is_zero() {
        return Err(ErrorKind::TimedOut.into());
    }
    stream.set_read_timeout(Some(left))?;
    let mut buffer = [0; 4096];
    match stream.read(&mut buffer)? {
        0 => Err(ErrorKind::UnexpectedEof.into()),
        length => {
            into.extend_from_slice(&buffer[..length]);
            Ok(())
        }
    }
}

/// Answers without the library, and lets the client read the answer before the connection goes.
fn refuse(mut stream: &TcpStream, status: &str) -> io::Result<()> {
    write!(stream, "HTTP/1.1 {status}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")?;
    stream.shutdown(Shutdown::Write)?;
    // Closing with unread bytes would reset the connection and take the answer with it.
    let until = Instant::now() + Duration::from_millis(500);
    let mut unread = Vec::new();
    while unread.len() < 256 * 1024 && read_some(stream, until, &mut unread).is_ok() {}
    Ok(())
}
