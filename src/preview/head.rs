//! The head of a request, read just far enough to know that it is one request with a bounded body.

/// Where a request's head ends: just behind its empty line.
pub fn find_head_end(bytes: &[u8]) -> Option<usize> {
    bytes.windows(4).position(|window| window == b"\r\n\r\n").map(|start| start + 4)
}

/// A request's head as it is handed on: one request a connection, no upgrade, nothing to wait for.
#[derive(Debug, PartialEq, Eq)]
pub struct Head {
    /// As the HTTP library gets it.
    pub handed_on: Vec<u8>,
    /// How long its body says it is.
    pub body_bytes: usize,
}

impl Head {
    /// Reads the head, `\r\n\r\n` included. An error is the status line to answer with.
    ///
    /// A length said twice, or said together with a transfer coding, is refused: RFC 9112, section 6.3.
    pub fn read(bytes: &[u8]) -> Result<Head, &'static str> {
        const BAD: &str = "400 Bad Request";
        let text = std::str::from_utf8(bytes).map_err(|_| BAD)?;
        let mut lines = text.trim_end_matches("\r\n").split("\r\n");
        let mut handed_on = format!("{}\r\n", lines.next().unwrap_or_default());
        let mut body_bytes = None;
        for line in lines {
            let (name, value) = line.split_once(':').ok_or(BAD)?;
            match name.to_ascii_lowercase().as_str() {
                "connection" | "expect" | "upgrade" | "keep-alive" => continue,
                "transfer-encoding" => return Err("411 Length Required"),
                "content-length" => {
                    let length = value.trim();
                    if body_bytes.is_some() || length.is_empty() || !length.bytes().all(|byte| byte.is_ascii_digit()) {
                        return Err(BAD);
                    }
                    // What no `usize` holds is too large for any limit.
                    body_bytes = Some(length.parse().unwrap_or(usize::MAX));
                }
                _ => {}
            }
            handed_on += line;
            handed_on += "\r\n";
        }
        handed_on += "Connection: close\r\n\r\n";
        Ok(Head { handed_on: handed_on.into_bytes(), body_bytes: body_bytes.unwrap_or(0) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(text: &str) -> Result<Head, &'static str> {
        Head::read(text.as_bytes())
    }

    #[test]
    fn one_request_a_connection_is_handed_on() {
        let read = head("GET / HTTP/1.1\r\nHost: a\r\nConnection: keep-alive, Upgrade\r\nUpgrade: x\r\n\r\n").unwrap();
        assert_eq!(read.handed_on, b"GET / HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n");
        assert_eq!(read.body_bytes, 0);
    }

    #[test]
    fn lengths_that_two_readers_could_read_differently_are_refused() {
        let with = |line: &str| head(&format!("POST / HTTP/1.1\r\n{line}\r\n\r\n"));
        assert_eq!(with("Content-Length: 12").unwrap().body_bytes, 12);
        assert_eq!(with("content-length: 99999999999999999999999").unwrap().body_bytes, usize::MAX);
        for bad in
            ["Content-Length: -1", "Content-Length: +1", "Content-Length:", "Content-Length: 1\r\nContent-Length: 1"]
        {
            assert_eq!(with(bad), Err("400 Bad Request"), "{bad}");
        }
        assert_eq!(with("Transfer-Encoding: chunked"), Err("411 Length Required"));
        assert_eq!(with("no colon"), Err("400 Bad Request"));
    }

    #[test]
    fn the_head_ends_at_the_first_empty_line() {
        assert_eq!(find_head_end(b"GET / HTTP/1.1\r\n\r\nrest\r\n\r\n"), Some(18));
        assert_eq!(find_head_end(b"GET / HTTP/1.1\r\n"), None);
    }
}
