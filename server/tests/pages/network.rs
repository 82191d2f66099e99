//! Beyond the county's own machine: encrypted, and nothing readable without a session.

use std::sync::Arc;

use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::{ClientConfig, DigitallySignedStruct, SignatureScheme};
use sponson_client::settings::Settings;
use sponson_server::pages::routes::{Gate, Route};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;

use crate::world::{Caller, Reply, World, exchange};

/// Takes any certificate: who the server is is not what is tried here.
#[derive(Debug)]
struct Any;

impl ServerCertVerifier for Any {
    fn verify_server_cert(
        &self,
        _: &CertificateDer<'_>,
        _: &[CertificateDer<'_>],
        _: &ServerName<'_>,
        _: &[u8],
        _: UnixTime,
    ) -> Result<ServerCertVerified, rustls::Error> {
        Ok(ServerCertVerified::assertion())
    }

    fn verify_tls12_signature(
        &self,
        _: &[u8],
        _: &CertificateDer<'_>,
        _: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, rustls::Error> {
        Ok(HandshakeSignatureValid::assertion())
    }

    fn verify_tls13_signature(
        &self,
        _: &[u8],
        _: &CertificateDer<'_>,
        _: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, rustls::Error> {
        Ok(HandshakeSignatureValid::assertion())
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        vec![SignatureScheme::ECDSA_NISTP256_SHA256]
    }
}

/// A county that the network can reach as county.example.
async fn on_the_network() -> (World, Caller) {
    let mut world = World::founded().await;
    let file = world.path("county").join("settings.toml");
    let mut settings = Settings::read(&file).expect("settings");
    settings.pages_name = Some("county.example".to_owned());
    settings.write(&file).expect("writes");
    world.serve("0.0.0.0:0").await;
    let mut caller = world.caller();
    caller.host = format!("county.example:{}", caller.address.port());
    (world, caller)
}

/// Shakes hands with pages, whoever they are.
pub(crate) async fn shake_hands(tcp: TcpStream) -> TlsStream<TcpStream> {
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_protocol_versions(&[&rustls::version::TLS13])
        .expect("TLS 1.3")
        .dangerous()
        .with_custom_certificate_verifier(Arc::new(Any))
        .with_no_client_auth();
    let name = ServerName::try_from("county.example").expect("a name");
    let tls = TlsConnector::from(Arc::new(config))
        .connect(name, tcp)
        .await;
    tls.expect("a handshake")
}

async fn send(
    caller: &Caller,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> Reply {
    let tcp = TcpStream::connect(caller.address).await.expect("listens");
    let request = caller.request(method, path, headers, body);
    exchange(shake_hands(tcp).await, request.as_bytes()).await
}

async fn post(caller: &Caller, path: &str, form: &str) -> Reply {
    let origin = format!("https://{}", caller.host);
    let headers = [
        ("Content-Type", "application/x-www-form-urlencoded"),
        ("Origin", origin.as_str()),
    ];
    send(caller, "POST", path, &headers, form).await
}

#[tokio::test]
async fn nothing_is_readable_without_a_session() {
    let (world, caller) = on_the_network().await;
    let said = world.said().join("\n");
    assert!(said.contains("pages at https://county.example:"), "{said}");
    assert!(said.contains("their certificate, SHA-256: "), "{said}");
    let known = "0".repeat(32);
    for route in Route::ALL {
        let path = route.path();
        let path = path
            .replace("{id}", &known)
            .replace("{code}", &known)
            .replace("{list}", "who.csv");
        let open = route.gate() == Gate::Open;
        let mut replies = vec![send(&caller, "GET", &path, &[], "").await];
        if route.takes_forms() {
            replies.push(post(&caller, &path, "token=x&incident=A&light=day").await);
        }
        for reply in replies {
            let refused = reply.status == 401;
            assert_eq!(refused, !open, "{route:?}: {}", reply.status);
            assert!(!reply.text.contains("Boat 3"), "{route:?}");
        }
    }
    for path in ["/nothing", "/nothing/at/all", "/who.csv?mission=flood"] {
        let reply = send(&caller, "GET", path, &[], "").await;
        assert_eq!(reply.status, 401, "{path}");
    }
}

#[tokio::test]
async fn whoever_signed_in_reads_and_the_cookie_goes_nowhere_else() {
    let (world, mut caller) = on_the_network().await;
    let link = world.link("M17", "coordinator").await;
    let entered = post(&caller, &link, "").await;
    assert_eq!(entered.status, 303, "{}", entered.text);
    let cookie = entered.header("set-cookie").to_owned();
    assert!(
        cookie.starts_with(&format!("__Host-{}=", caller.session_cookie())),
        "{cookie}"
    );
    for said in ["Secure", "HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(said), "{cookie}");
    }
    caller.keep_cookie(&entered);
    let page = send(&caller, "GET", "/", &[], "").await;
    assert_eq!(page.status, 200);
    assert!(page.text.contains("Boat 3"));
    caller.host = format!("127.0.0.1:{}", caller.address.port());
    let other = send(&caller, "GET", "/", &[], "").await;
    assert_eq!(other.status, 421, "an address is no name of it");
}

#[tokio::test]
async fn nothing_is_said_without_encryption() {
    let (_world, caller) = on_the_network().await;
    let stream = TcpStream::connect(caller.address).await.expect("listens");
    let request = caller.request("GET", "/", &[], "");
    let mut stream = stream;
    tokio::io::AsyncWriteExt::write_all(&mut stream, request.as_bytes())
        .await
        .expect("sends");
    let mut reply = Vec::new();
    // Cut or closed: either is an end.
    let _ = tokio::io::AsyncReadExt::read_to_end(&mut stream, &mut reply).await;
    let text = String::from_utf8_lossy(&reply);
    assert!(!text.contains("HTTP") && !text.contains("Boat"), "{text}");
}
