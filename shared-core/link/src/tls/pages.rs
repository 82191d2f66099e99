//! TLS of the county's pages, for browsers: a certificate that somebody gives, or one of our own
//! made from the county's TLS key.
//!
//! A browser shows no key that we could look up, so nothing is learned of the caller here: who may
//! read is for the pages to say.

use std::sync::Arc;

use rcgen::{CertificateParams, DistinguishedName, DnType, KeyPair, PKCS_ECDSA_P256_SHA256};
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use sha2::{Digest as _, Sha256};
use sponson_log::ids::Digest;

use super::TlsError;
use crate::identity::Identity;

const HTTP_1: &[u8] = b"http/1.1";

/// Settings of the pages' server with a certificate and a key as PEM files hold them: the
/// certificate of the server first, then those that vouch for it.
///
/// # Errors
/// When either is none, or the key does not belong to the certificate.
pub fn given(certificate: &[u8], key: &[u8]) -> Result<Arc<ServerConfig>, TlsError> {
    let chain: Result<Vec<CertificateDer<'static>>, _> =
        CertificateDer::pem_slice_iter(certificate).collect();
    let chain = chain.map_err(|error| TlsError(format!("the certificate: {error}")))?;
    if chain.is_empty() {
        return Err(TlsError("the file holds no certificate".to_owned()));
    }
    let key = PrivateKeyDer::from_pem_slice(key)
        .map_err(|error| TlsError(format!("the private key: {error}")))?;
    config(chain, key)
}

/// Settings of the pages' server with a certificate for these names or addresses, made from the
/// county's TLS key and signed by it; and its SHA-256, by which a browser's user can tell it.
///
/// # Errors
/// When a name is none, or no certificate can be made.
pub fn made(
    identity: &Identity,
    names: &[String],
) -> Result<(Arc<ServerConfig>, Digest), TlsError> {
    let refused = |error: rcgen::Error| TlsError(error.to_string());
    let private = identity.tls_private();
    let pair = KeyPair::from_der_and_sign_algo(&private, &PKCS_ECDSA_P256_SHA256);
    let pair = pair.map_err(refused)?;
    let mut params = CertificateParams::new(names.to_vec()).map_err(refused)?;
    params.not_before = rcgen::date_time_ymd(1970, 1, 1);
    params.not_after = rcgen::date_time_ymd(9999, 12, 31);
    params.distinguished_name = DistinguishedName::new();
    let common = "county pages".to_owned();
    params.distinguished_name.push(DnType::CommonName, common);
    let certificate = params.self_signed(&pair).map_err(refused)?.der().clone();
    let print = Digest::from_bytes(Sha256::digest(&certificate).into());
    Ok((config(vec![certificate], private)?, print))
}

fn config(
    chain: Vec<CertificateDer<'static>>,
    key: PrivateKeyDer<'static>,
) -> Result<Arc<ServerConfig>, TlsError> {
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_protocol_versions(&[&rustls::version::TLS13])?
        .with_no_client_auth()
        .with_single_cert(chain, key)?;
    config.alpn_protocols = vec![HTTP_1.to_vec()];
    // Early data could be sent again by whoever listened.
    config.max_early_data_size = 0;
    Ok(Arc::new(config))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::seeded;

    #[test]
    fn what_is_no_certificate_or_no_key_of_it_is_refused() {
        let identity = Identity::draw(&seeded(1)).expect("keys");
        let pem = identity.certificate_pem();
        let key = rcgen::KeyPair::generate().expect("a key").serialize_pem();
        for (certificate, key, said) in [
            ("", key.as_str(), "no certificate"),
            (&pem, "", "private key"),
            (&pem, &key, "TLS cannot be set up"),
        ] {
            let error = given(certificate.as_bytes(), key.as_bytes()).expect_err("refused");
            assert!(error.to_string().contains(said), "{error}");
        }
    }

    #[test]
    fn a_certificate_of_our_own_is_the_same_again() {
        let identity = Identity::draw(&seeded(1)).expect("keys");
        let names = ["county.example".to_owned(), "192.0.2.7".to_owned()];
        let (config, _) = made(&identity, &names).expect("made");
        assert_eq!(config.alpn_protocols, [HTTP_1.to_vec()]);
        assert!(made(&identity, &["not a name".to_owned() + "\u{e4}"]).is_err());
    }
}
