//! A certificate authority of a company, made for the test, and servers that show certificates of it.

use rcgen::{BasicConstraints, CertificateParams, DistinguishedName, DnType, IsCa, Issuer, KeyPair};
use rustls::pki_types::{PrivateKeyDer, PrivatePkcs8KeyDer};
use rustls::{ServerConfig, ServerConnection, StreamOwned};
use std::net::TcpStream;
use std::sync::Arc;

/// An encrypted connection, seen from the server.
pub type Encrypted = StreamOwned<ServerConnection, TcpStream>;

/// The authority.
pub struct Authority {
    issuer: Issuer<'static, KeyPair>,
    /// Its own certificate as a company hands it out.
    pub pem: String,
}

impl Authority {
    pub fn new(name: &str) -> Self {
        let mut params = CertificateParams::default();
        params.distinguished_name = DistinguishedName::new();
        params.distinguished_name.push(DnType::CommonName, name);
        params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        let key = KeyPair::generate().unwrap();
        let pem = params.self_signed(&key).unwrap().pem();
        Self { issuer: Issuer::new(params, key), pem }
    }

    /// A server with a certificate for this host.
    pub fn server_for(&self, host: &str) -> Arc<ServerConfig> {
        let key = KeyPair::generate().unwrap();
        let params = CertificateParams::new(vec![host.to_owned()]).unwrap();
        let certificate = params.signed_by(&key, &self.issuer).unwrap();
        let key = PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(key.serialize_der()));
        let provider = Arc::new(rustls::crypto::aws_lc_rs::default_provider());
        let config = ServerConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_no_client_auth()
            .with_single_cert(vec![certificate.der().clone()], key)
            .unwrap();
        Arc::new(config)
    }
}

/// The server's end of a connection that the other side encrypts.
pub fn encrypted(stream: TcpStream, config: &Arc<ServerConfig>) -> Encrypted {
    StreamOwned::new(ServerConnection::new(Arc::clone(config)).unwrap(), stream)
}
