//! Connections: how many, how slow, encrypted or not.
//!
//! Headers that do not come in time, clients that do not take their answer, and connections
//! over the limit are cut; bodies that do not come are cut by the deadline of the request.

mod held;

use crate::config::ServeConfig;
use crate::failure::Failure;
use axum::Router;
use axum_server::Handle;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use held::Counted;
use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;

/// An address that was taken, with what connections may cost.
pub struct Door {
    listener: TcpListener,
    address: SocketAddr,
    tls: Option<RustlsConfig>,
    counted: Counted,
    config: ServeConfig,
}

impl Door {
    /// Takes the address and reads the certificate.
    ///
    /// # Errors
    ///
    /// [`Failure`] where one of them cannot be had.
    pub async fn open(config: &ServeConfig) -> Result<Self, Failure> {
        let tls = match (&config.tls_cert, &config.tls_key) {
            (Some(cert), Some(key)) => Some(certificate(cert, key).await?),
            _ => None,
        };
        let taken = TcpListener::bind(config.listen).and_then(|listener| {
            listener.set_nonblocking(true)?;
            let address = listener.local_addr()?;
            Ok((listener, address))
        });
        let (listener, address) = taken.map_err(|e| {
            Failure::Internal(format!(
                "cannot listen on {}: {e}; choose another address with --listen",
                config.listen
            ))
        })?;
        Ok(Self {
            listener,
            address,
            tls,
            counted: Counted::new(config.max_connections, config.request_timeout()),
            config: config.clone(),
        })
    }

    /// Where it is.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Serves until `handle` says to stop.
    ///
    /// # Errors
    ///
    /// [`Failure::Internal`] where the address is lost.
    pub async fn serve(self, router: Router, handle: Handle<SocketAddr>) -> Result<(), Failure> {
        let fault = |e: std::io::Error| Failure::Internal(e.to_string());
        let service = router.into_make_service_with_connect_info::<SocketAddr>();
        let mut server = axum_server::from_tcp(self.listener)
            .map_err(fault)?
            .handle(handle)
            // One protocol, and one set of limits to know.
            .http1_only();
        server
            .http_builder()
            .http1()
            .header_read_timeout(self.config.header_timeout());
        match self.tls {
            None => server.acceptor(self.counted).serve(service).await,
            Some(tls) => {
                let acceptor = RustlsAcceptor::new(tls)
                    .handshake_timeout(self.config.header_timeout())
                    .acceptor(self.counted);
                server.acceptor(acceptor).serve(service).await
            }
        }
        .map_err(fault)
    }
}

/// Certificate and key for HTTP/1.1.
async fn certificate(cert: &Path, key: &Path) -> Result<RustlsConfig, Failure> {
    for file in [cert, key] {
        std::fs::metadata(file).map_err(|e| Failure::Usage(format!("{}: {e}", file.display())))?;
    }
    let read = RustlsConfig::from_pem_file(cert, key).await.map_err(|e| {
        Failure::Usage(format!(
            "{} and {} are no certificate chain and private key in PEM that belong together: {e}",
            cert.display(),
            key.display()
        ))
    })?;
    let mut config = (*read.get_inner()).clone();
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(RustlsConfig::from_config(Arc::new(config)))
}
