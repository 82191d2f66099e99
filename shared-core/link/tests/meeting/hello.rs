//! The handshake with whoever calls: TLS 1.3 alone, HTTP/2 alone, a key that is held, nothing that
//! outlives the connection.

use std::sync::Arc;
use std::time::Duration;

use rcgen::{CertificateParams, KeyPair, PKCS_ECDSA_P384_SHA384, PKCS_ED25519, PKCS_RSA_SHA256};
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::client::{ClientSessionMemoryCache, Resumption};
use rustls::crypto::{CryptoProvider, ring};
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, ServerName, UnixTime};
use rustls::{ClientConfig, DigitallySignedStruct, Error, SignatureScheme};
use sponson_link::identity::TLS_KEY_FILE;
use sponson_link::refusal;
use sponson_link::stubs::service::county_client::CountyClient;
use sponson_link::tls::{self, Learnt, Trusted};
use sponson_proto::service::v1::GetLimitsRequest;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio_rustls::{TlsAcceptor, TlsConnector};

use crate::raw::{PREFACE, Raw, tcp};
use crate::world::{County, Station, device, limited};

/// Takes any server: what is tried here is what the server takes.
#[derive(Debug)]
struct Anybody(Arc<CryptoProvider>);

impl ServerCertVerifier for Anybody {
    fn verify_server_cert(
        &self,
        _end_entity: &CertificateDer<'_>,
        _intermediates: &[CertificateDer<'_>],
        _server_name: &ServerName<'_>,
        _ocsp_response: &[u8],
        _now: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        Ok(ServerCertVerified::assertion())
    }

    fn verify_tls12_signature(
        &self,
        _message: &[u8],
        _cert: &CertificateDer<'_>,
        _dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Ok(HandshakeSignatureValid::assertion())
    }

    fn verify_tls13_signature(
        &self,
        _message: &[u8],
        _cert: &CertificateDer<'_>,
        _dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Ok(HandshakeSignatureValid::assertion())
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.0.signature_verification_algorithms.supported_schemes()
    }
}

/// What a stranger shows: certificates, and the key that signs.
type Shown = (Vec<CertificateDer<'static>>, PrivateKeyDer<'static>);

/// A stranger's settings: TLS 1.2 too unless told otherwise, any server, HTTP/2 by its name.
fn stranger(
    versions: &[&'static rustls::SupportedProtocolVersion],
    shown: Option<Shown>,
) -> ClientConfig {
    let provider = Arc::new(ring::default_provider());
    let builder = ClientConfig::builder_with_provider(Arc::clone(&provider))
        .with_protocol_versions(versions)
        .expect("versions")
        .dangerous()
        .with_custom_certificate_verifier(Arc::new(Anybody(provider)));
    let mut config = match shown {
        None => builder.with_no_client_auth(),
        // What is no certificate, or none of this key, is refused by its sender already.
        Some((chain, key)) => {
            let signing = ring::sign::any_supported_type(&key).expect("a key");
            let certified = rustls::sign::CertifiedKey::new(chain, Arc::new(Stubborn(signing)));
            builder.with_client_cert_resolver(Arc::new(Always(Arc::new(certified))))
        }
    };
    config.alpn_protocols = vec![b"h2".to_vec()];
    config
}

/// Shows the same, whatever is asked for.
#[derive(Debug)]
struct Always(Arc<rustls::sign::CertifiedKey>);

impl rustls::client::ResolvesClientCert for Always {
    fn resolve(
        &self,
        _hints: &[&[u8]],
        _schemes: &[SignatureScheme],
    ) -> Option<Arc<rustls::sign::CertifiedKey>> {
        Some(Arc::clone(&self.0))
    }

    fn has_certs(&self) -> bool {
        true
    }
}

/// Signs as its key can, whatever the server asks for.
#[derive(Debug)]
struct Stubborn(Arc<dyn rustls::sign::SigningKey>);

impl rustls::sign::SigningKey for Stubborn {
    fn choose_scheme(&self, _offered: &[SignatureScheme]) -> Option<Box<dyn rustls::sign::Signer>> {
        let every = ring::default_provider().signature_verification_algorithms;
        self.0.choose_scheme(&every.supported_schemes())
    }

    fn algorithm(&self) -> rustls::SignatureAlgorithm {
        self.0.algorithm()
    }
}

/// Made for this test; no device ever had it.
const RSA_2048: &str = include_str!("rsa-2048-of-nobody.pem");

const TLS_13: &[&rustls::SupportedProtocolVersion] = &[&rustls::version::TLS13];
const TLS_12: &[&rustls::SupportedProtocolVersion] = &[&rustls::version::TLS12];

/// Whether a connection came about: the server says so by its first frame, since a client of TLS 1.3
/// has ended its own handshake before the server looked at its certificate.
async fn is_taken(county: &County, config: ClientConfig) -> bool {
    let Ok(mut raw) = Raw::connect(&county.address, Arc::new(config)).await else {
        return false;
    };
    raw.begin(&[]).await.is_ok() && raw.next().await.is_some()
}

#[tokio::test]
async fn tls_1_3_is_spoken_and_nothing_older() {
    limited(async {
        let county = County::found(1).await;
        assert!(is_taken(&county, stranger(TLS_13, None)).await);
        // RFC 8446 section 4.2.1, and BCP 195 (RFC 9325) section 3.1.1 for why there is no fallback.
        assert!(!is_taken(&county, stranger(TLS_12, None)).await);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn http_2_is_spoken_and_nothing_else() {
    limited(async {
        let county = County::found(2).await;
        // RFC 7301 section 3.2: no protocol in common is a fatal alert.
        for (names, wanted) in [
            (vec!["h2"], true),
            (vec!["http/1.1", "h2"], true),
            (vec!["http/1.1"], false),
            (vec!["h3", "spdy/3"], false),
        ] {
            let mut config = stranger(TLS_13, None);
            config.alpn_protocols = names.iter().map(|name| name.as_bytes().to_vec()).collect();
            assert_eq!(is_taken(&county, config).await, wanted, "{names:?}");
        }
        county.stop().await;
    })
    .await;
}

fn made(key: &KeyPair, params: CertificateParams) -> CertificateDer<'static> {
    params
        .self_signed(key)
        .expect("a certificate")
        .der()
        .clone()
}

fn named() -> CertificateParams {
    CertificateParams::new(vec!["stranger.example".to_owned()]).expect("a name")
}

fn private(key: &KeyPair) -> PrivateKeyDer<'static> {
    PrivateKeyDer::try_from(key.serialize_der()).expect("a key")
}

/// Certificates as strangers show them, and whether a connection comes about: a key that is held is
/// taken, whatever its certificate says of dates and names (the registry says who may do what).
fn certificates(station: &Station) -> Vec<(&'static str, Shown, bool)> {
    let key = KeyPair::generate().expect("a key");
    let of = |chain, key: &KeyPair| (chain, private(key));
    let mut expired = named();
    expired.not_before = rcgen::date_time_ymd(1971, 1, 1);
    expired.not_after = rcgen::date_time_ymd(1972, 1, 1);
    let mut not_yet = named();
    not_yet.not_before = rcgen::date_time_ymd(4000, 1, 1);
    let huge = |bytes: usize| {
        let mut params = named();
        let extension = rcgen::CustomExtension::from_oid_content(
            &[1, 3, 6, 1, 4, 1, 99_999, 1],
            vec![7; bytes],
        );
        params.custom_extensions.push(extension);
        params
    };
    let plain = made(&key, named());
    let stolen = station.identity.certificate().clone();
    let hundred = vec![plain.clone(); 100];
    let other = |algorithm| KeyPair::generate_for(algorithm).expect("a key");
    let (p384, ed25519) = (other(&PKCS_ECDSA_P384_SHA384), other(&PKCS_ED25519));
    let rsa = KeyPair::from_pem_and_sign_algo(RSA_2048, &PKCS_RSA_SHA256).expect("a key");
    let mut cut = plain.to_vec();
    cut.truncate(cut.len() / 2);
    vec![
        ("plain", of(vec![plain.clone()], &key), true),
        ("expired", of(vec![made(&key, expired)], &key), true),
        ("not valid yet", of(vec![made(&key, not_yet)], &key), true),
        ("P-384", of(vec![made(&p384, named())], &p384), true),
        ("Ed25519", of(vec![made(&ed25519, named())], &ed25519), true),
        // Of any length that its sender likes: none is taken, though it is held. Longer ones, and ones
        // that nobody could hold: `tls/verify/tests.rs`.
        ("RSA 2048", of(vec![made(&rsa, named())], &rsa), false),
        ("of 40 KiB", of(vec![made(&key, huge(40_000))], &key), true),
        ("a chain of 100", of(hundred, &key), true),
        // A handshake message has at most 64 KiB in rustls.
        ("of 80 KiB", of(vec![made(&key, huge(80_000))], &key), false),
        (
            "of a station, its key not held",
            of(vec![stolen], &key),
            false,
        ),
        (
            "of another key",
            of(vec![made(&p384, named())], &key),
            false,
        ),
        ("cut in half", of(vec![cut.into()], &key), false),
        ("no certificate", of(vec![vec![0; 100].into()], &key), false),
        ("without a byte", of(vec![Vec::new().into()], &key), false),
    ]
}

#[tokio::test]
async fn a_key_that_is_not_held_is_not_taken_and_one_that_is_says_nothing_more() {
    limited(async {
        let county = County::found(3).await;
        let north = Station::join(&county, "North", 10).await;
        for (what, shown, wanted) in certificates(&north) {
            let config = stranger(TLS_13, Some(shown));
            assert_eq!(is_taken(&county, config.clone()).await, wanted, "{what}");
            if wanted {
                let channel = tls::channel(&county.address, Arc::new(config)).await;
                let mut client = CountyClient::new(channel.expect("open"));
                let refused = client.get_limits(GetLimitsRequest {}).await;
                let refused = refused.expect_err("not admitted");
                let reason = refusal::reason(&refused);
                assert_eq!(reason.as_deref(), Some("KEY_NOT_ADMITTED"), "{what}");
            }
        }
        north.sync(&county).await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_device_whose_key_ended_comes_in_by_no_older_session() {
    limited(async {
        let county = County::found(4).await;
        let north = Station::join(&county, "North", 10).await;
        let pem = std::fs::read(north.folder.path().join(TLS_KEY_FILE)).expect("its key");
        let key = (
            vec![north.identity.certificate().clone()],
            PrivateKeyDer::from_pem_slice(&pem).expect("a key"),
        );
        let mut config = stranger(TLS_13, Some(key));
        // It keeps every session that it is given, and would send early.
        config.resumption = Resumption::store(Arc::new(ClientSessionMemoryCache::new(64)));
        config.enable_early_data = true;
        let config = Arc::new(config);
        let limits = async || {
            let channel = tls::channel(&county.address, Arc::clone(&config)).await;
            let mut client = CountyClient::new(channel.expect("open"));
            client.get_limits(GetLimitsRequest {}).await
        };
        limits().await.expect("admitted");
        limits().await.expect("admitted, perhaps by a session");
        county.end_key(&north.identity).await;
        let refused = limits().await.expect_err("ended");
        assert_eq!(refusal::reason(&refused).as_deref(), Some("KEY_ENDED"));
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn what_is_no_handshake_is_ended_at_once_and_others_are_served() {
    limited(async {
        let county = County::found(5).await;
        let oversized = [&[0x16, 3, 1, 0xff, 0xff][..], &[1; 70_000]].concat();
        let nested = [0x16, 3, 1, 0, 4, 1, 0xff, 0xff, 0xff].to_vec();
        // SSL 3.0 and 2.0 hellos begin like this (RFC 6101 appendix E).
        let old = [0x80, 0x2e, 1, 0, 2, 0, 0x15, 0, 0, 0, 16].to_vec();
        let alerts = [0x15, 3, 3, 0, 2, 1, 0].repeat(10_000);
        let empty = [0x16, 3, 3, 0, 0].repeat(10_000);
        for (what, bytes) in [
            ("HTTP/2 without TLS", PREFACE.to_vec()),
            ("HTTP/1.1", b"GET / HTTP/1.1\r\nHost: x\r\n\r\n".to_vec()),
            ("a record that is too long", oversized),
            ("SSL 2.0", old),
            ("alerts", alerts),
            ("empty records", empty),
            (
                "noise",
                (0..10_000_u32).flat_map(u32::to_le_bytes).collect(),
            ),
        ] {
            let mut tcp = tcp("127.0.0.1", &county.address).await.expect("open");
            // The other side may end it before all is sent.
            let _ = tcp.write_all(&bytes).await;
            let mut rest = Vec::new();
            let ended = tokio::time::timeout(Duration::from_secs(5), tcp.read_to_end(&mut rest));
            assert!(ended.await.is_ok(), "{what}");
        }
        // A length that never comes is for the limit of time.
        let mut waiting = tcp("127.0.0.1", &county.address).await.expect("open");
        waiting.write_all(&nested).await.expect("sent");
        Station::join(&county, "North", 10).await;
        let known = device(10);
        let config = tls::client(&known, Trusted::Learn(Learnt::default())).expect("tls");
        assert!(is_taken(&county, Arc::unwrap_or_clone(config)).await);
        county.stop().await;
    })
    .await;
}

/// Whether the pages' listener shakes hands with this stranger, and what is then spoken.
async fn pages_take(config: ClientConfig) -> Option<Option<Vec<u8>>> {
    let identity = device(30);
    let (pages, _) = tls::pages::made(&identity, &["county.example".to_owned()]).expect("made");
    let (ours, theirs) = tokio::io::duplex(64 * 1024);
    let accepted = tokio::spawn(TlsAcceptor::from(pages).accept(ours));
    let name = ServerName::try_from("county.example").expect("a name");
    let shaken = TlsConnector::from(Arc::new(config))
        .connect(name, theirs)
        .await;
    let accepted = accepted.await.expect("no panic").ok()?;
    shaken.ok()?;
    let (_, session) = accepted.get_ref();
    Some(session.alpn_protocol().map(<[u8]>::to_vec))
}

#[tokio::test]
async fn the_pages_speak_tls_1_3_and_http_1_1_alone() {
    limited(async {
        let speaking = |versions, names: &[&str]| {
            let mut config = stranger(versions, None);
            config.alpn_protocols = names.iter().map(|name| name.as_bytes().to_vec()).collect();
            config
        };
        let http_1 = Some(Some(b"http/1.1".to_vec()));
        assert_eq!(
            pages_take(speaking(TLS_13, &["h2", "http/1.1"])).await,
            http_1
        );
        assert_eq!(pages_take(speaking(TLS_13, &[])).await, Some(None));
        assert_eq!(pages_take(speaking(TLS_13, &["h2"])).await, None);
        assert_eq!(pages_take(speaking(TLS_12, &["http/1.1"])).await, None);
    })
    .await;
}
