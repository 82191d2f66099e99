//! Where the pages are served, under which names, and by what TLS: read before anything listens.
//!
//! Beyond this machine there are no pages without TLS.

use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rustls::ServerConfig;
use sponson_link::Identity;
use sponson_link::tls;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::settings::{Places, Settings};

/// Longest name of a host, as text: 255 bytes on the wire (RFC 1035, section 2.3.4) are one for the
/// length of the first label and one for the end more than its letters and dots.
const NAME_BYTES_MAX: usize = 253;

/// Why the pages are not served as was asked.
#[derive(Debug, thiserror::Error)]
pub enum AtError {
    /// No address.
    #[error("--pages is {said}; give ADDRESS:PORT, for example {usual}, or none")]
    Address {
        /// What was given.
        said: String,
        /// The usual address.
        usual: SocketAddr,
    },
    /// Beyond this machine a name is needed.
    #[error(
        "--pages is {address}, which can be reached from elsewhere: set pages_name = \"NAME\" in settings.toml, the name or address by which browsers come, or serve at {usual}"
    )]
    NoName {
        /// What was given.
        address: SocketAddr,
        /// The usual address.
        usual: SocketAddr,
    },
    /// A name that cannot be one.
    #[error(
        "pages_name is {0}; give a host name or an address, without a port: letters, digits, '-' and \
         '.', at most {NAME_BYTES_MAX}"
    )]
    Name(String),
    /// One of two files.
    #[error("settings.toml has {there} and no {missing}: set both, or neither")]
    OneFile {
        /// The setting that is there.
        there: &'static str,
        /// The one that is not.
        missing: &'static str,
    },
    /// A file that cannot be read.
    #[error("{what} {} cannot be read: {source}; check the name", file.display())]
    File {
        /// The setting.
        what: &'static str,
        /// The file.
        file: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A certificate that is none.
    #[error("pages_certificate, pages_key: {0}")]
    Tls(#[from] tls::TlsError),
    /// The address cannot be listened at.
    #[error("cannot listen at {address}: {source}; choose another with --pages")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// Why.
        source: std::io::Error,
    },
}

impl AtError {
    /// The number that the program ends with.
    #[must_use]
    pub const fn exit(&self) -> Exit {
        match self {
            Self::Listen { .. } => Exit::Network,
            Self::File { .. } | Self::Tls(_) => Exit::Refused,
            Self::Address { .. } | Self::NoName { .. } | Self::Name(_) | Self::OneFile { .. } => {
                Exit::WrongUse
            }
        }
    }
}

/// Where the pages are to be served, as the settings and the command line say.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// The address to listen at.
    pub address: SocketAddr,
    name: Option<String>,
    files: Option<(PathBuf, PathBuf)>,
}

/// Who can reach the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// This machine alone: reading needs no sign-in.
    Machine,
    /// Whoever is on the network: nothing is readable without a session.
    Network,
}

/// Where the pages are served.
#[derive(Clone, Debug)]
pub struct At {
    /// Who can reach them.
    pub reach: Reach,
    /// Names in a `Host` header, lower case, without ports.
    names: Vec<String>,
    /// For example `http://127.0.0.1:7342`.
    pub url: String,
    /// The port that is listened at: no other program of this machine has it meanwhile.
    pub port: u16,
    /// Whether connections are encrypted.
    pub encrypted: bool,
}

/// TLS of the pages, when there is any.
pub struct Encryption {
    /// Its settings.
    pub config: Arc<ServerConfig>,
    /// SHA-256 of the certificate that was made here; none for one that was given.
    pub fingerprint: Option<String>,
}

impl std::fmt::Debug for Encryption {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Encryption({:?})", self.fingerprint)
    }
}

impl Wanted {
    /// Reads what was asked, else `usual`; none when no pages are wanted.
    ///
    /// # Errors
    /// When it cannot be, or would be readable from elsewhere without TLS.
    pub fn of(
        said: Option<&str>,
        settings: &Settings,
        places: &Places,
        usual: SocketAddr,
    ) -> Result<Option<Self>, AtError> {
        let address = match said.or(settings.pages.as_deref()).map(str::trim) {
            None => usual,
            Some("none") => return Ok(None),
            Some(text) => text.parse().map_err(|_| AtError::Address {
                said: clean(text),
                usual,
            })?,
        };
        let name = settings.pages_name.as_deref().map(host_name).transpose()?;
        if !address.ip().is_loopback() && address.ip().is_unspecified() && name.is_none() {
            return Err(AtError::NoName { address, usual });
        }
        let files = match (&settings.pages_certificate, &settings.pages_key) {
            (None, None) => None,
            (Some(certificate), Some(key)) => {
                Some((places.beside(certificate), places.beside(key)))
            }
            (Some(_), None) => return Err(one_file("pages_certificate", "pages_key")),
            (None, Some(_)) => return Err(one_file("pages_key", "pages_certificate")),
        };
        Ok(Some(Self {
            address,
            name,
            files,
        }))
    }

    /// This machine alone; port 0 is any that is free.
    #[must_use]
    pub fn here(port: u16) -> Self {
        Self {
            address: SocketAddr::from(([127, 0, 0, 1], port)),
            name: None,
            files: None,
        }
    }

    /// The address of the pages as a browser writes it, once they are served here.
    #[must_use]
    pub fn url_when_served(&self) -> String {
        let ip = self.address.ip();
        let encrypted = self.files.is_some() || !ip.is_loopback();
        self.url(ip, self.address.port(), encrypted)
    }

    fn url(&self, ip: IpAddr, port: u16, encrypted: bool) -> String {
        let scheme = if encrypted { "https" } else { "http" };
        let host = self.name.clone().unwrap_or_else(|| bracketed(ip));
        format!("{scheme}://{host}:{port}")
    }

    /// What it is once it listens at `bound`; files are read, or a certificate is made.
    ///
    /// # Errors
    /// When a file cannot be read or is no certificate or key.
    pub fn settle(
        &self,
        bound: SocketAddr,
        identity: &Identity,
    ) -> Result<(At, Option<Encryption>), AtError> {
        let reach = if bound.ip().is_loopback() {
            Reach::Machine
        } else {
            Reach::Network
        };
        let names = self.names(bound.ip());
        let encryption = self.encryption(reach, &names, identity)?;
        let encrypted = encryption.is_some();
        let at = At {
            reach,
            names,
            url: self.url(bound.ip(), bound.port(), encrypted),
            port: bound.port(),
            encrypted,
        };
        Ok((at, encryption))
    }

    fn names(&self, ip: IpAddr) -> Vec<String> {
        let mut names: Vec<String> = self.name.iter().cloned().collect();
        if ip.is_loopback() {
            names.push("localhost".to_owned());
        }
        if !ip.is_unspecified() {
            names.push(bracketed(ip));
        }
        names
    }

    fn encryption(
        &self,
        reach: Reach,
        names: &[String],
        identity: &Identity,
    ) -> Result<Option<Encryption>, AtError> {
        if let Some((certificate, key)) = &self.files {
            let certificate = read("pages_certificate", certificate)?;
            let key = read("pages_key", key)?;
            return Ok(Some(Encryption {
                config: tls::pages::given(&certificate, &key)?,
                fingerprint: None,
            }));
        }
        if reach == Reach::Machine {
            return Ok(None);
        }
        let plain = |name: &String| name.trim_matches(['[', ']']).to_owned();
        let names: Vec<String> = names.iter().map(plain).collect();
        let (config, print) = tls::pages::made(identity, &names)?;
        Ok(Some(Encryption {
            config,
            fingerprint: Some(pairs(&print.to_string())),
        }))
    }
}

impl At {
    /// Whether a `Host` header names us; its port is for the origin to be compared with.
    #[must_use]
    pub fn is_named(&self, host: &str) -> bool {
        let name = match host.rsplit_once(':') {
            Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
            Some(_) | None => host,
        };
        let mut names = self.names.iter();
        names.any(|known| known.eq_ignore_ascii_case(name))
    }

    /// Whether an `Origin` is that of the page that a `Host` names.
    #[must_use]
    pub fn is_origin(&self, origin: &str, host: &str) -> bool {
        let scheme = if self.encrypted { "https" } else { "http" };
        origin
            .strip_prefix(scheme)
            .and_then(|rest| rest.strip_prefix("://"))
            .is_some_and(|it| it.eq_ignore_ascii_case(host))
    }
}

/// A host name as a browser sends it.
fn host_name(text: &str) -> Result<String, AtError> {
    let name = text.trim().to_lowercase();
    if let Ok(ip) = name.parse::<IpAddr>() {
        return Ok(bracketed(ip));
    }
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
    if name.is_empty() || name.len() > NAME_BYTES_MAX || !name.chars().all(plain) {
        return Err(AtError::Name(clean(text)));
    }
    Ok(name)
}

fn bracketed(ip: IpAddr) -> String {
    match ip {
        IpAddr::V4(four) => four.to_string(),
        IpAddr::V6(six) => format!("[{six}]"),
    }
}

const fn one_file(there: &'static str, missing: &'static str) -> AtError {
    AtError::OneFile { there, missing }
}

fn read(what: &'static str, file: &Path) -> Result<Vec<u8>, AtError> {
    std::fs::read(file).map_err(|source| AtError::File {
        what,
        file: file.to_owned(),
        source,
    })
}

/// `AB:CD:...`, as browsers show a fingerprint.
fn pairs(digits: &str) -> String {
    let digits = digits.to_uppercase();
    let mut shown = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && index % 2 == 0 {
            shown.push(':');
        }
        shown.push(digit);
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places() -> Places {
        Places::of("sponson-county", Some(Path::new("county"))).expect("a folder was given")
    }

    fn usual() -> SocketAddr {
        SocketAddr::from(([127, 0, 0, 1], 7342))
    }

    fn settings(name: Option<&str>) -> Settings {
        Settings {
            pages_name: name.map(str::to_owned),
            ..Settings::default()
        }
    }

    #[test]
    fn what_would_be_open_to_the_network_is_refused() {
        for (said, name, refused) in [
            ("127.0.0.1:0", None, ""),
            ("[::1]:0", None, ""),
            ("0.0.0.0:7342", None, "set pages_name"),
            ("[::]:7342", None, "set pages_name"),
            ("0.0.0.0:7342", Some("county.example"), ""),
            ("192.0.2.7:7342", None, ""),
            (
                "0.0.0.0:7342",
                Some("county.example:7342"),
                "without a port",
            ),
            ("7342", None, "ADDRESS:PORT"),
            ("localhost:7342", None, "ADDRESS:PORT"),
        ] {
            let wanted = Wanted::of(Some(said), &settings(name), &places(), usual());
            match wanted {
                Ok(wanted) => assert!(refused.is_empty() && wanted.is_some(), "{said}"),
                Err(error) => {
                    let error = error.to_string();
                    assert!(!refused.is_empty() && error.contains(refused), "{error}");
                }
            }
        }
        let none = Wanted::of(Some("none"), &settings(None), &places(), usual());
        assert!(none.expect("no pages").is_none());
    }

    #[test]
    fn the_name_of_a_host_has_253_letters() {
        for (length, taken) in [(253, true), (254, false)] {
            let label = format!("{}.", "n".repeat(59));
            let name = format!("{}{}", label.repeat(4), "n".repeat(length - 240));
            let wanted = Wanted::of(None, &settings(Some(&name)), &places(), usual());
            let refused = wanted.err().map(|error| error.to_string());
            let said = format!(
                "pages_name is {name}; give a host name or an address, without a port: letters, \
                 digits, '-' and '.', at most 253"
            );
            assert_eq!(refused, (!taken).then_some(said));
        }
    }

    #[test]
    fn beyond_this_machine_there_is_tls() {
        let identity = Identity::draw(&sponson_link::Entropy::system()).expect("keys");
        for (bound, encrypted, url) in [
            ("127.0.0.1:7342", false, "http://127.0.0.1:7342"),
            ("[::1]:7342", false, "http://[::1]:7342"),
            ("192.0.2.7:7342", true, "https://192.0.2.7:7342"),
        ] {
            let bound: SocketAddr = bound.parse().expect("an address");
            let said = bound.to_string();
            let wanted = Wanted::of(Some(&said), &settings(None), &places(), usual());
            let wanted = wanted.expect("can be").expect("pages");
            let (at, encryption) = wanted.settle(bound, &identity).expect("settles");
            assert_eq!((at.encrypted, at.url.as_str()), (encrypted, url));
            assert_eq!(encryption.is_some(), encrypted);
            assert_eq!(at.reach == Reach::Network, encrypted);
        }
    }

    #[test]
    fn hosts_and_origins_are_compared() {
        let at = At {
            reach: Reach::Machine,
            names: vec!["localhost".to_owned(), "[::1]".to_owned()],
            url: String::new(),
            port: 7342,
            encrypted: false,
        };
        for (host, named) in [
            ("localhost", true),
            ("LOCALHOST:7342", true),
            ("[::1]:7342", true),
            ("[::1]", true),
            ("evil.example", false),
            ("localhost.evil.example:7342", false),
            ("", false),
            ("localhost:x", false),
        ] {
            assert_eq!(at.is_named(host), named, "{host}");
        }
        for (origin, same) in [
            ("http://localhost:7342", true),
            ("https://localhost:7342", false),
            ("http://localhost:7343", false),
            ("null", false),
        ] {
            assert_eq!(at.is_origin(origin, "localhost:7342"), same, "{origin}");
        }
    }
}
