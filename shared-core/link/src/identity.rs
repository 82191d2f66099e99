//! The identity of a device: the key that signs its log, and the key of its TLS connections.
//!
//! Two keys, because programs that read the county's answers speak TLS with P-256 keys and never
//! sign events. The certificate says nothing but the key: it is self-signed, runs from 1970 to
//! 9999, and whoever meets it looks the key up in the registry. Ended keys end there, not by date.

use std::fs;
use std::path::{Path, PathBuf};

use p256::pkcs8::EncodePrivateKey as _;
use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, KeyPair, PKCS_ECDSA_P256_SHA256};
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};
use sponson_log::ids::{Digest, Key};
use sponson_log::sign::DeviceKey;
use zeroize::Zeroizing;

use crate::clock::Entropy;
use crate::restoring::next_key_file;
use crate::tls;

mod files;

use files::{file_error, make_folder, name_secret, read_secret, sync_folder, write_secret};

/// Name in every certificate; it proves nothing, but a TLS library wants one.
pub const TLS_NAME: &str = "sponson";

/// Seed of the log key, 32 bytes.
pub const LOG_KEY_FILE: &str = "log.key";
/// The same while it is written; gone once it is whole.
pub const LOG_KEY_MAKING_FILE: &str = "log.key.making";
/// Private key of the TLS connections, PKCS#8 as PEM.
pub const TLS_KEY_FILE: &str = "tls.key";
/// Its certificate, PEM.
pub const TLS_CERTIFICATE_FILE: &str = "tls.crt";

/// The keys of a device.
pub struct Identity {
    log_key: DeviceKey,
    tls_private: PrivateKeyDer<'static>,
    certificate: CertificateDer<'static>,
    tls_key: Digest,
}

impl std::fmt::Debug for Identity {
    /// Shows the public halves only.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Identity({}, tls {})", self.log_key.key(), self.tls_key)
    }
}

impl Clone for Identity {
    fn clone(&self) -> Self {
        Self {
            log_key: self.log_key.clone(),
            tls_private: self.tls_private.clone_key(),
            certificate: self.certificate.clone(),
            tls_key: self.tls_key,
        }
    }
}

/// Why a device has no identity.
#[derive(Debug, thiserror::Error)]
pub enum IdentityError {
    /// A file could not be read or written.
    #[error("{what} {path}: {source}")]
    File {
        /// What was tried.
        what: &'static str,
        /// The file.
        path: PathBuf,
        /// The system's words.
        source: std::io::Error,
    },
    /// The folder holds no keys.
    #[error("folder {0} holds no device's keys: join or found a county first")]
    NoKeys(PathBuf),
    /// The folder holds keys already.
    #[error("folder {0} holds a device's keys already: use them, or choose another folder")]
    Exists(PathBuf),
    /// A file that is not what it should be.
    #[error("{path} is not {wanted}: bring it back from a backup, or join again with a new code")]
    NotAKey {
        /// The file.
        path: PathBuf,
        /// What it should hold.
        wanted: &'static str,
    },
    /// A key file that other users of the machine can read.
    #[error(
        "{path} can be read by others (mode {mode:03o}): chmod 600 it; if they may have copied it, tell the lead"
    )]
    Open {
        /// The file.
        path: PathBuf,
        /// Its mode.
        mode: u32,
    },
    /// The key made no certificate.
    #[error("no certificate could be made: {0}")]
    Certificate(String),
}

impl Identity {
    /// Makes new keys from random bytes; writes nothing.
    ///
    /// # Errors
    /// When no certificate can be made.
    pub fn draw(entropy: &Entropy) -> Result<Self, IdentityError> {
        let seed = Zeroizing::new(entropy.draw::<32>());
        let pkcs8 = draw_tls_key(entropy)?;
        let private = PrivatePkcs8KeyDer::from(pkcs8.to_vec());
        let certificate = certify(&key_pair(&private)?)?;
        Self::of(*seed, private.into(), certificate)
    }

    /// Makes new keys and writes them to a folder.
    ///
    /// # Errors
    /// When the folder holds keys already or cannot be written.
    pub fn create(folder: &Path, entropy: &Entropy) -> Result<Self, IdentityError> {
        let seed_path = folder.join(LOG_KEY_FILE);
        if seed_path.exists() {
            return Err(IdentityError::Exists(folder.to_owned()));
        }
        make_folder(folder)?;
        let seed = Zeroizing::new(entropy.draw::<32>());
        let pkcs8 = draw_tls_key(entropy)?;
        let private = PrivatePkcs8KeyDer::from(pkcs8.to_vec());
        let pair = key_pair(&private)?;
        let certificate = certify(&pair)?;
        let pem = Zeroizing::new(pair.serialize_pem());
        write_secret(&folder.join(TLS_KEY_FILE), pem.as_bytes())?;
        let public = certificate_pem(&certificate);
        write_secret(&folder.join(TLS_CERTIFICATE_FILE), public.as_bytes())?;
        // The seed last: its presence says that the others are there.
        name_secret(
            &folder.join(LOG_KEY_MAKING_FILE),
            &seed_path,
            seed.as_slice(),
        )?;
        sync_folder(folder)?;
        Self::of(*seed, private.into(), certificate)
    }

    /// Reads the keys of a folder.
    ///
    /// # Errors
    /// When there are none, others can read them, or they are damaged.
    pub fn load(folder: &Path) -> Result<Self, IdentityError> {
        let seed_path = folder.join(LOG_KEY_FILE);
        if !seed_path.exists() {
            return Err(IdentityError::NoKeys(folder.to_owned()));
        }
        let bytes = Zeroizing::new(read_secret(&seed_path)?);
        let seed: [u8; 32] = bytes
            .as_slice()
            .try_into()
            .map_err(|_| IdentityError::NotAKey {
                path: seed_path,
                wanted: "a seed of 32 bytes",
            })?;
        let key_path = folder.join(TLS_KEY_FILE);
        let key_pem = Zeroizing::new(read_secret(&key_path)?);
        let private =
            PrivateKeyDer::from_pem_slice(&key_pem).map_err(|_| IdentityError::NotAKey {
                path: key_path,
                wanted: "a private key in PEM form",
            })?;
        let path = folder.join(TLS_CERTIFICATE_FILE);
        let pem = fs::read(&path).map_err(|source| file_error("cannot read", &path, source))?;
        let certificate =
            CertificateDer::from_pem_slice(&pem).map_err(|_| IdentityError::NotAKey {
                path,
                wanted: "a certificate in PEM form",
            })?;
        Self::of(seed, private, certificate)
    }

    /// Writes the keys of a device that come from a backup to a folder that holds none; the seed of
    /// the log key last.
    ///
    /// # Errors
    /// When there are keys already, the folder cannot be written, or they are no keys.
    pub fn bring_back(
        folder: &Path,
        seed: &[u8; 32],
        tls_key_pem: &[u8],
        certificate_pem: &[u8],
    ) -> Result<Self, IdentityError> {
        let seed_path = folder.join(LOG_KEY_FILE);
        if seed_path.exists() {
            return Err(IdentityError::Exists(folder.to_owned()));
        }
        make_folder(folder)?;
        write_secret(&folder.join(TLS_KEY_FILE), tls_key_pem)?;
        write_secret(&folder.join(TLS_CERTIFICATE_FILE), certificate_pem)?;
        name_secret(&folder.join(LOG_KEY_MAKING_FILE), &seed_path, seed)?;
        sync_folder(folder)?;
        Self::load(folder)
    }

    /// Writes the seed of the next log key beside the one in use.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn write_next(folder: &Path, seed: &[u8; 32]) -> Result<(), IdentityError> {
        let path = next_key_file(folder);
        if path.exists() {
            // Of a renewal that was cut before the store took the key: it signed nothing.
            fs::remove_file(&path).map_err(|source| file_error("cannot remove", &path, source))?;
        }
        write_secret(&path, seed)?;
        sync_folder(folder)
    }

    /// Puts the next log key in the place of the one in use, when the store belongs to it already:
    /// a renewal that was cut after the store took the key. Says whether it did.
    ///
    /// # Errors
    /// When a file cannot be read or moved.
    pub fn take_next(folder: &Path, store_key: &Key) -> Result<bool, IdentityError> {
        let path = next_key_file(folder);
        if !path.exists() {
            return Ok(false);
        }
        let seed = Zeroizing::new(read_secret(&path)?);
        let seed: Option<[u8; 32]> = seed.as_slice().try_into().ok();
        if seed.is_none_or(|seed| DeviceKey::from_seed(seed).key() != *store_key) {
            return Ok(false);
        }
        let to = folder.join(LOG_KEY_FILE);
        fs::rename(&path, &to).map_err(|source| file_error("cannot move to", &to, source))?;
        sync_folder(folder)?;
        Ok(true)
    }

    /// Reads the keys of a folder, or makes them when there are none: joining again after a lost
    /// reply uses the same keys.
    ///
    /// # Errors
    /// As [`Identity::load`] and [`Identity::create`].
    pub fn load_or_create(folder: &Path, entropy: &Entropy) -> Result<Self, IdentityError> {
        if folder.join(LOG_KEY_FILE).exists() {
            return Self::load(folder);
        }
        // Keys of an attempt that was cut before the seed was written belong to nobody.
        for name in [TLS_KEY_FILE, TLS_CERTIFICATE_FILE] {
            let path = folder.join(name);
            if path.exists() {
                fs::remove_file(&path)
                    .map_err(|source| file_error("cannot remove", &path, source))?;
            }
        }
        Self::create(folder, entropy)
    }

    fn of(
        seed: [u8; 32],
        tls_private: PrivateKeyDer<'static>,
        certificate: CertificateDer<'static>,
    ) -> Result<Self, IdentityError> {
        let tls_key = tls::key_of(&certificate)
            .ok_or_else(|| IdentityError::Certificate("it cannot be read back".to_owned()))?;
        Ok(Self {
            log_key: DeviceKey::from_seed(seed),
            tls_private,
            certificate,
            tls_key,
        })
    }

    /// The key that signs the device's log.
    #[must_use]
    pub const fn log_key(&self) -> &DeviceKey {
        &self.log_key
    }

    /// SHA-256 of the SubjectPublicKeyInfo of its TLS key.
    #[must_use]
    pub const fn tls_key(&self) -> Digest {
        self.tls_key
    }

    /// Its certificate.
    #[must_use]
    pub const fn certificate(&self) -> &CertificateDer<'static> {
        &self.certificate
    }

    /// Its certificate as PEM, for programs that pin it.
    #[must_use]
    pub fn certificate_pem(&self) -> String {
        certificate_pem(&self.certificate)
    }

    pub(crate) fn tls_private(&self) -> PrivateKeyDer<'static> {
        self.tls_private.clone_key()
    }
}

/// A P-256 key in PKCS#8 form. A draw outside the group's order (chance 2^-32) is drawn again.
fn draw_tls_key(entropy: &Entropy) -> Result<Zeroizing<Vec<u8>>, IdentityError> {
    loop {
        let drawn = Zeroizing::new(entropy.draw::<32>());
        if let Ok(secret) = p256::SecretKey::from_slice(drawn.as_slice()) {
            let document = secret
                .to_pkcs8_der()
                .map_err(|error| IdentityError::Certificate(error.to_string()))?;
            return Ok(Zeroizing::new(document.as_bytes().to_vec()));
        }
    }
}

fn key_pair(private: &PrivatePkcs8KeyDer<'_>) -> Result<KeyPair, IdentityError> {
    KeyPair::from_pkcs8_der_and_sign_algo(private, &PKCS_ECDSA_P256_SHA256)
        .map_err(|error| IdentityError::Certificate(error.to_string()))
}

/// Signs the certificate. It is its own authority, so that any TLS library can take it as its one
/// root.
fn certify(pair: &KeyPair) -> Result<CertificateDer<'static>, IdentityError> {
    let refused = |error: rcgen::Error| IdentityError::Certificate(error.to_string());
    let mut params = CertificateParams::new([TLS_NAME.to_owned()]).map_err(refused)?;
    params.not_before = rcgen::date_time_ymd(1970, 1, 1);
    params.not_after = rcgen::date_time_ymd(9999, 12, 31);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.distinguished_name = rcgen::DistinguishedName::new();
    params
        .distinguished_name
        .push(DnType::CommonName, TLS_NAME.to_owned());
    let certificate = params.self_signed(pair).map_err(refused)?;
    Ok(certificate.der().clone())
}

fn certificate_pem(certificate: &CertificateDer<'_>) -> String {
    let encoded = data_encoding::BASE64.encode(certificate);
    let mut pem = String::from("-----BEGIN CERTIFICATE-----\n");
    // 64 characters a line (RFC 7468, section 2); base64 is ASCII, so any cut is a boundary.
    for line in encoded.as_bytes().chunks(64) {
        pem.extend(line.iter().map(|byte| char::from(*byte)));
        pem.push('\n');
    }
    pem.push_str("-----END CERTIFICATE-----\n");
    pem
}

#[cfg(test)]
mod tests {
    use std::os::unix::fs::PermissionsExt as _;

    use super::*;
    use crate::trial::seeded;

    #[test]
    fn the_same_bytes_make_the_same_keys() {
        let one = Identity::draw(&seeded(7)).expect("keys");
        let two = Identity::draw(&seeded(7)).expect("keys");
        let other = Identity::draw(&seeded(8)).expect("keys");
        assert_eq!(one.log_key().key(), two.log_key().key());
        assert_eq!(one.tls_key(), two.tls_key());
        assert_ne!(one.tls_key(), other.tls_key());
    }

    #[test]
    fn what_is_written_is_read_back_and_nobody_else_may_read_it() {
        let folder = tempfile::tempdir().expect("folder");
        let made = Identity::create(folder.path(), &seeded(1)).expect("keys");
        let read = Identity::load(folder.path()).expect("read back");
        assert_eq!(made.log_key().key(), read.log_key().key());
        assert_eq!(made.tls_key(), read.tls_key());
        assert_eq!(made.certificate(), read.certificate());
        for name in [LOG_KEY_FILE, TLS_KEY_FILE] {
            let meta = fs::metadata(folder.path().join(name)).expect("file");
            assert_eq!(meta.permissions().mode() & 0o777, 0o600, "{name}");
        }
        let again = Identity::create(folder.path(), &seeded(2));
        assert!(matches!(again, Err(IdentityError::Exists(_))));
    }

    /// Cut while the seed was written: it has no name yet, and the next attempt makes new keys.
    #[test]
    fn a_seed_that_was_cut_short_has_no_name() {
        let folder = tempfile::tempdir().expect("folder");
        let beside = folder.path().join(LOG_KEY_MAKING_FILE);
        fs::write(&beside, b"half").expect("file");
        fs::write(folder.path().join(TLS_KEY_FILE), b"half").expect("file");
        let none = Identity::load(folder.path());
        assert!(matches!(none, Err(IdentityError::NoKeys(_))));
        let made = Identity::load_or_create(folder.path(), &seeded(1)).expect("keys");
        let read = Identity::load(folder.path()).expect("read back");
        assert_eq!(made.log_key().key(), read.log_key().key());
        assert!(!beside.exists());
    }

    #[test]
    fn keys_that_are_not_there_or_damaged_are_told() {
        let folder = tempfile::tempdir().expect("folder");
        let none = Identity::load(folder.path());
        assert!(matches!(none, Err(IdentityError::NoKeys(_))));
        Identity::create(folder.path(), &seeded(1)).expect("keys");
        for name in [TLS_CERTIFICATE_FILE, TLS_KEY_FILE, LOG_KEY_FILE] {
            fs::write(folder.path().join(name), b"x").expect("file");
            let read = Identity::load(folder.path());
            let told = matches!(&read, Err(IdentityError::NotAKey { path, .. })
                if path.ends_with(name));
            assert!(told, "{name}: {read:?}");
        }
    }

    #[test]
    fn keys_that_others_can_read_or_change_are_refused() {
        let folder = tempfile::tempdir().expect("folder");
        Identity::create(folder.path(), &seeded(1)).expect("keys");
        let with_mode = |name: &str, mode: u32| {
            let path = folder.path().join(name);
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).expect("mode");
            Identity::load(folder.path())
        };
        for name in [LOG_KEY_FILE, TLS_KEY_FILE] {
            for open in [0o640, 0o620, 0o610, 0o604, 0o602, 0o601, 0o644, 0o666] {
                let read = with_mode(name, open);
                let refused = matches!(&read, Err(IdentityError::Open { mode, path })
                    if *mode == open && path.ends_with(name));
                assert!(refused, "{name} {open:o}: {read:?}");
            }
            for closed in [0o400, 0o600] {
                with_mode(name, closed).expect("for this user only");
            }
        }
    }

    #[test]
    fn the_folder_of_new_keys_is_for_this_user_only() {
        let above = tempfile::tempdir().expect("folder");
        let folder = above.path().join("device");
        Identity::create(&folder, &seeded(1)).expect("keys");
        let mode = fs::metadata(folder).expect("there").permissions().mode();
        assert_eq!(mode & 0o777, 0o700);
    }

    #[test]
    fn keys_of_a_cut_attempt_are_made_again() {
        let folder = tempfile::tempdir().expect("folder");
        fs::write(folder.path().join(TLS_KEY_FILE), b"half").expect("file");
        let made = Identity::load_or_create(folder.path(), &seeded(1)).expect("keys");
        let read = Identity::load_or_create(folder.path(), &seeded(2)).expect("keys");
        assert_eq!(made.tls_key(), read.tls_key());
    }
}
