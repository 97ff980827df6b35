//! Who may ask the page's server for what.
//!
//! - The host must be this server's own name with its port: a stranger's name that leads here
//!   (DNS rebinding) is refused.
//! - A page of another origin is refused, by its `Origin` and by what the browser says of it
//!   (`Sec-Fetch-Site`). A change must name its origin.
//! - Everything but the empty page and its parts needs the key, which is made anew for each start and
//!   stands behind the `#` of the printed address: it is never sent along with a link.
//! - Every answer carries a Content-Security-Policy under which no text becomes a script, a style or
//!   a request to elsewhere.

use axum::http::header::{HOST, ORIGIN};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest as _, Sha256};

use super::error::PageError;

/// The header that holds the key.
pub(super) const KEY_HEADER: &str = "x-plyloom-key";

/// What the page may do: its own scripts, styles and pictures, and talk to its own server.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
                      img-src 'self' blob: data:; connect-src 'self'; base-uri 'none'; \
                      form-action 'none'; frame-ancestors 'none'";

/// What a finished paper (a plan to read and print) may do: be looked at.
pub(super) const PAPER_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; \
                                       img-src data:; base-uri 'none'; form-action 'none'; \
                                       frame-ancestors 'none'";

/// The same for a paper that is no page of markup: browsers show it by means of their own.
pub(super) const SHEET_POLICY: &str = "frame-ancestors 'none'";

/// The headers of every answer.
pub(super) const HEADERS: [(&str, &str); 6] = [
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cache-control", "no-store"),
];

/// Why a request is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(super) enum Refusal {
    /// The host is not this server.
    #[error("this server answers to its own address only")]
    Host,
    /// Another page asks.
    #[error("requests from other pages are refused")]
    Origin,
    /// The key is missing or wrong.
    #[error("the key is missing or wrong: open the address that plyloom printed")]
    Key,
}

/// A random secret.
#[derive(Clone)]
pub(super) struct Key {
    text: String,
    digest: [u8; 32],
}

impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Key")
    }
}

impl Key {
    /// A new one, from the system's source of chance.
    ///
    /// # Errors
    /// When the system has none.
    pub(super) fn new() -> Result<Self, PageError> {
        let mut bytes = [0; 24];
        getrandom::fill(&mut bytes).map_err(|error| PageError::Key(error.to_string()))?;
        let text = URL_SAFE_NO_PAD.encode(bytes);
        let digest = digest(&text);
        Ok(Self { text, digest })
    }

    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Whether a text is the key. Digests are compared, so that the time that this takes reveals
    /// nothing of the key.
    pub(super) fn is(&self, text: &str) -> bool {
        digest(text) == self.digest
    }
}

fn digest(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

/// Checks where a request came from, on the port of this server.
///
/// # Errors
/// When it came from elsewhere.
pub(super) fn check_origin(method: &Method, headers: &HeaderMap, port: u16) -> Result<(), Refusal> {
    let hosts = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let host = single(headers, &HOST).ok_or(Refusal::Host)?;
    if !hosts.iter().any(|h| h == host) {
        return Err(Refusal::Host);
    }
    let reading = [Method::GET, Method::HEAD].contains(method);
    match single(headers, &ORIGIN) {
        Some(origin) if origin == format!("http://{host}") => {}
        None if reading && !headers.contains_key(&ORIGIN) => {}
        _ => return Err(Refusal::Origin),
    }
    let site = HeaderName::from_static("sec-fetch-site");
    match headers.get(&site).map(HeaderValue::as_bytes) {
        None | Some(b"same-origin" | b"none") => Ok(()),
        Some(_) => Err(Refusal::Origin),
    }
}

/// Checks the key in the header.
///
/// # Errors
/// When it is missing or wrong.
pub(super) fn check_key(headers: &HeaderMap, key: &Key) -> Result<(), Refusal> {
    let given = single(headers, &HeaderName::from_static(KEY_HEADER));
    if given.is_some_and(|given| key.is(given)) {
        Ok(())
    } else {
        Err(Refusal::Key)
    }
}

/// The value of a header that is there once.
fn single<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut all = headers.get_all(name).iter();
    match (all.next(), all.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(method: &Method, given: &[(&'static str, &'static str)]) -> Result<(), Refusal> {
        let mut headers = HeaderMap::new();
        for (name, value) in given {
            headers.append(*name, HeaderValue::from_static(value));
        }
        check_origin(method, &headers, 4000)
    }

    #[test]
    fn only_our_own_host_and_origin_pass() {
        let host = ("host", "127.0.0.1:4000");
        let own = ("origin", "http://127.0.0.1:4000");
        assert_eq!(checked(&Method::GET, &[host]), Ok(()));
        assert_eq!(checked(&Method::GET, &[("host", "localhost:4000")]), Ok(()));
        assert_eq!(checked(&Method::POST, &[host, own]), Ok(()));
        for bad in [
            "127.0.0.1",
            "127.0.0.1:4001",
            "evil.example:4000",
            "127.0.0.1:4000.evil.example",
            "[::1]:4000",
        ] {
            assert_eq!(checked(&Method::GET, &[("host", bad)]), Err(Refusal::Host));
        }
        assert_eq!(checked(&Method::GET, &[]), Err(Refusal::Host));
        assert_eq!(checked(&Method::GET, &[host, host]), Err(Refusal::Host));
        assert_eq!(checked(&Method::POST, &[host]), Err(Refusal::Origin));
        for bad in [
            "null",
            "https://127.0.0.1:4000",
            "http://127.0.0.1:4001",
            "http://localhost:4000",
            "http://evil.example",
        ] {
            let headers = [host, ("origin", bad)];
            assert_eq!(checked(&Method::GET, &headers), Err(Refusal::Origin));
        }
        assert_eq!(
            checked(&Method::GET, &[host, own, own]),
            Err(Refusal::Origin)
        );
        let cross = ("sec-fetch-site", "cross-site");
        assert_eq!(checked(&Method::GET, &[host, cross]), Err(Refusal::Origin));
    }

    #[test]
    fn a_key_is_long_and_new_each_time() {
        let (one, other) = (Key::new().unwrap(), Key::new().unwrap());
        assert_eq!(one.text().len(), 32, "24 bytes");
        assert_ne!(one.text(), other.text());
        assert!(one.is(one.text()) && !one.is(other.text()) && !one.is(""));
    }
}
