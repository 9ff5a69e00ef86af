//! The server on loopback: from sockets to [`reply`](super::reply) and back.

use super::events::Hub;
use super::gate::{self, Behind};
use super::looking::Looking;
use super::page;
use super::reply::{Asked, Body, Own, Reply, reply};
use super::shelf::{self, Shelf};
use crate::problem::{Problem, Problems};
use std::io::{self, Cursor, ErrorKind};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::thread;
use std::time::Duration;
use tiny_http::{Header, Request, Response, StatusCode};

/// The port that is tried first, and no more than a number: from memory, no registered service has it.
pub const FIRST_PORT: u16 = 8317;
/// How many further ports are tried after it.
const FURTHER_PORTS: u16 = 30;

/// So long a request waits at most for the first site.
const FIRST_WAIT_MS: u32 = 250;

/// What the server shows: the site that stands, and whom to tell.
#[derive(Debug, Default)]
pub struct Shown {
    /// The last good site.
    pub shelf: RwLock<Option<Arc<Shelf>>>,
    /// Open pages.
    pub hub: Hub,
    /// What they show.
    pub looking: Looking,
}

impl Shown {
    /// The last good site.
    pub fn standing(&self) -> Option<Arc<Shelf>> {
        self.shelf.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The same; just after the start it is waited for, which takes less time than a page that is loaded twice.
    fn standing_soon(&self) -> Option<Arc<Shelf>> {
        for _ in 0..FIRST_WAIT_MS {
            if let Some(standing) = self.standing() {
                return Some(standing);
            }
            thread::sleep(Duration::from_millis(1));
        }
        None
    }
}

/// Takes a port on 127.0.0.1: the one that is asked for, or else the first free one from [`FIRST_PORT`] on.
///
/// # Errors
/// The port that was asked for cannot be had, or none can.
pub fn bind(port: Option<u16>) -> Result<TcpListener, Problems> {
    let on = |port: u16| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    if let Some(port) = port {
        return on(port).map_err(|error| port_problem(port, &error).into());
    }
    (FIRST_PORT..=FIRST_PORT + FURTHER_PORTS)
        .chain([0])
        .find_map(|port| on(port).ok())
        .ok_or_else(|| Problem::error("no port is free on 127.0.0.1", "close a program that serves pages").into())
}

fn port_problem(port: u16, error: &io::Error) -> Problem {
    match error.kind() {
        ErrorKind::AddrInUse => Problem::error(
            format!("port {port} is in use by another program"),
            "give another number with --port, or leave --port out and a free one is taken",
        ),
        ErrorKind::PermissionDenied => Problem::error(
            format!("port {port} may not be opened by this user"),
            "give a number from 1024 to 65535 with --port, or leave --port out",
        ),
        _ => Problem::error(format!("port {port} cannot be opened: {error}"), "leave --port out"),
    }
}

/// Opens the same port to the network that this computer is on.
///
/// # Errors
/// It is on no network, or the port cannot be had there.
pub fn bind_to_network(port: u16) -> Result<(TcpListener, Ipv4Addr), Problems> {
    let on_no_network = |_| Problem::error("this computer is on no network", "leave out --lan, or connect it first");
    let address = address_on_network().map_err(on_no_network)?;
    let listener = TcpListener::bind((address, port)).map_err(|error| port_problem(port, &error))?;
    Ok((listener, address))
}

/// The address from which this computer would speak to others. Nothing is sent to find it out: the destination is one that documents may use
/// and nobody has (RFC 5737).
fn address_on_network() -> io::Result<Ipv4Addr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0))?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
    match socket.local_addr()?.ip() {
        IpAddr::V4(address) if !address.is_loopback() && !address.is_unspecified() => Ok(address),
        _ => Err(ErrorKind::AddrNotAvailable.into()),
    }
}

/// Answers requests on other threads from now on, as long as the process lives. With a second listener, on the network's address, others may look.
///
/// # Errors
/// The system gives no socket or no thread.
pub fn serve(
    listener: TcpListener,
    network: Option<(TcpListener, Ipv4Addr)>,
    shown: Arc<Shown>,
    limits: gate::Limits,
) -> io::Result<()> {
    let own = Own { port: listener.local_addr()?.port(), network: network.as_ref().map(|(_, address)| *address) };
    let (server, address) = behind_the_gate()?;
    let behind: Behind = Arc::new(Mutex::new(address));
    let listeners = std::iter::once(listener).chain(network.map(|(listener, _)| listener)).collect();
    gate::open(listeners, Arc::clone(&behind), limits)?;
    thread::Builder::new().name("preview server".into()).spawn(move || answer_all(server, &behind, own, &shown))?;
    Ok(())
}

fn behind_the_gate() -> io::Result<(tiny_http::Server, SocketAddr)> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    let address = listener.local_addr()?;
    let server = tiny_http::Server::from_listener(listener, None).map_err(io::Error::other)?;
    Ok((server, address))
}

fn answer_all(mut server: tiny_http::Server, behind: &Behind, own: Own, shown: &Arc<Shown>) {
    loop {
        match server.recv() {
            Ok(request) => answer_apart(request, own, shown),
            // Its accepting thread has ended, as it does when the process runs out of descriptors: another is set up.
            Err(_) => {
                while let Ok(Some(request)) = server.try_recv() {
                    answer_apart(request, own, shown);
                }
                thread::sleep(Duration::from_millis(50));
                if let Ok((another, address)) = behind_the_gate() {
                    server = another;
                    *behind.lock().unwrap_or_else(PoisonError::into_inner) = address;
                }
            }
        }
    }
}

/// Every answer has a thread, so that a client that reads slowly holds up nobody; the gate bounds how many there are.
fn answer_apart(request: Request, own: Own, shown: &Arc<Shown>) {
    let shown = Arc::clone(shown);
    // Without a thread the request is dropped, which answers it with 500.
    let _ = thread::Builder::new().name("preview answer".into()).spawn(move || answer(request, own, &shown));
}

fn answer(request: Request, own: Own, shown: &Shown) {
    let header = |name: &'static str| {
        request.headers().iter().find(|header| header.field.equiv(name)).map(|header| header.value.as_str())
    };
    let hosts = request.headers().iter().filter(|header| header.field.equiv("Host")).count();
    let asked = Asked {
        method: request.method().as_str(),
        target: request.url(),
        host: header("Host").filter(|_| hosts == 1),
        origin: header("Origin"),
        if_none_match: header("If-None-Match"),
    };
    if asked.target.starts_with("/stations/") {
        shown.looking.wants_a_picture();
    }
    let is_page = asked.method == "GET" && matches!(asked.target.split(['?', '#']).next(), Some("/" | "/index.html"));
    let standing = if is_page { shown.standing_soon() } else { shown.standing() };
    let reply = reply(&asked, own, standing.as_deref(), &shelf::read);
    if let (204, Some(name)) = (reply.status, page::looked_at(asked.method, asked.target)) {
        shown.looking.is_at(name);
    }
    // A client that has left takes no answer, and the next one is none the worse for it.
    let _ = match reply.body {
        Body::Bytes(ref bytes) => send(request, &reply, Arc::clone(bytes)),
        Body::Events => shown.hub.join(request.into_writer()),
    };
}

fn send(request: Request, reply: &Reply, bytes: Arc<[u8]>) -> io::Result<()> {
    let headers = reply
        .headers
        .iter()
        // Every name and value is ASCII of this program's own making.
        .filter_map(|(name, value)| Header::from_bytes(name.as_bytes(), value.as_bytes()).ok())
        .collect();
    let length = bytes.len();
    // Never in chunks: the length is known.
    let response = Response::new(StatusCode(reply.status), headers, Cursor::new(bytes), Some(length), None)
        .with_chunked_threshold(usize::MAX);
    request.respond(response)
}
