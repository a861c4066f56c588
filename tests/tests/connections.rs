//! The service on real sockets: slow clients, too many of them, TLS, and the way down.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum_server::Handle;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tempfile::TempDir;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::task::JoinHandle;
use tokio_rustls::TlsConnector;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, RootCertStore};
use vetplate::listen::Door;
use vetplate::{AppState, Environment, Failure, ServeConfig, app};

#[path = "support/service.rs"]
mod service;

use service::{PLATE, waiting};

/// No test waits longer for what must come.
const PATIENCE: Duration = Duration::from_mins(1);

struct Running {
    address: SocketAddr,
    handle: Handle<SocketAddr>,
    serving: JoinHandle<Result<(), Failure>>,
}

fn config() -> ServeConfig {
    ServeConfig {
        listen: SocketAddr::from(([127, 0, 0, 1], 0)),
        workers: 1,
        queue: 1,
        ..ServeConfig::default()
    }
}

async fn start_with(config: &ServeConfig, state: AppState) -> Running {
    let door = Door::open(config).await.unwrap();
    let handle = Handle::new();
    Running {
        address: door.address(),
        handle: handle.clone(),
        serving: tokio::spawn(door.serve(app(state), handle)),
    }
}

async fn start(config: &ServeConfig) -> Running {
    start_with(config, AppState::new(config, Environment::system())).await
}

impl Running {
    async fn connect(&self) -> TcpStream {
        TcpStream::connect(self.address).await.unwrap()
    }

    /// All that comes for these bytes until the service closes the connection.
    async fn ask(&self, bytes: &[u8]) -> Vec<u8> {
        let mut stream = self.connect().await;
        // The service may have had enough before all is written.
        let _ = stream.write_all(bytes).await;
        rest(&mut stream).await
    }

    async fn status(&self, path: &str) -> String {
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
        let answer = self.ask(request.as_bytes()).await;
        let text = String::from_utf8_lossy(&answer).into_owned();
        text.split(' ').nth(1).unwrap_or_default().to_owned()
    }

    /// Waits until so many connections are left.
    async fn left(&self, connections: usize) {
        let wait = async {
            while self.handle.connection_count() != connections {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
        };
        tokio::time::timeout(PATIENCE, wait).await.unwrap();
    }
}

/// What still comes until the other side closes.
async fn rest(stream: &mut (impl AsyncRead + Unpin)) -> Vec<u8> {
    let mut bytes = Vec::new();
    let read = stream.read_to_end(&mut bytes);
    // A reset is an end, too.
    let _ = tokio::time::timeout(PATIENCE, read).await.unwrap();
    bytes
}

/// One answer, as far as its headers.
async fn head(stream: &mut (impl AsyncRead + AsyncWrite + Unpin)) -> String {
    let read = async {
        let mut bytes = Vec::new();
        while !bytes.ends_with(b"\r\n\r\n") {
            bytes.push(stream.read_u8().await.unwrap());
        }
        String::from_utf8(bytes).unwrap()
    };
    tokio::time::timeout(PATIENCE, read).await.unwrap()
}

#[tokio::test]
async fn headers_that_do_not_come_are_not_waited_for() {
    let running = start(&ServeConfig {
        header_timeout_s: 1,
        ..config()
    })
    .await;
    for beginning in ["", "G", "GET /healthz HTTP/1.1\r\nHost: loc"] {
        let answer = running.ask(beginning.as_bytes()).await;
        assert!(!answer.starts_with(b"HTTP/1.1 200"), "{beginning}");
    }
    // A connection that idles after an answer goes, too.
    let answer = running
        .ask(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n")
        .await;
    assert!(answer.starts_with(b"HTTP/1.1 200"));
    running.left(0).await;
}

#[tokio::test]
async fn a_body_that_does_not_come_ends_with_the_deadline() {
    let running = start(&ServeConfig {
        request_timeout_s: 1,
        ..config()
    })
    .await;
    let half =
        b"POST /v1/markings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n\
                 Content-Length: 100\r\n\r\n{\"text\": ";
    let answer = String::from_utf8(running.ask(half).await).unwrap();
    assert!(answer.starts_with("HTTP/1.1 503"), "{answer}");
    assert!(answer.contains("\"code\":\"timed-out\""), "{answer}");
    running.left(0).await;
}

#[tokio::test]
async fn connections_over_the_limit_are_closed_and_room_comes_back() {
    let running = start(&ServeConfig {
        max_connections: 2,
        ..config()
    })
    .await;
    let request = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n";
    let mut held = Vec::new();
    for _ in 0..2 {
        let mut stream = running.connect().await;
        stream.write_all(request).await.unwrap();
        assert!(head(&mut stream).await.starts_with("HTTP/1.1 200"));
        held.push(stream);
    }
    assert_eq!(running.ask(request).await, b"");
    held.clear();
    running.left(0).await;
    assert_eq!(running.status("/healthz").await, "200");
}

#[tokio::test]
async fn a_client_that_leaves_its_answers_lying_is_cut() {
    let running = start(&ServeConfig {
        request_timeout_s: 1,
        ..config()
    })
    .await;
    let mut stream = running.connect().await;
    let request = "GET /page.js HTTP/1.1\r\nHost: localhost\r\n\r\n".repeat(2000);
    stream.write_all(request.as_bytes()).await.unwrap();
    // Nothing is read of what would be hundreds of megabytes.
    running.left(0).await;
}

#[tokio::test]
async fn a_request_in_progress_ends_well_when_the_service_stops() {
    let running = start(&config()).await;
    let body = format!("{{\"text\": \"{PLATE}\"}}");
    let mut stream = running.connect().await;
    let request = format!(
        "POST /v1/markings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n\
         Expect: 100-continue\r\nContent-Length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(request.as_bytes()).await.unwrap();
    // The handler has begun to read.
    assert!(head(&mut stream).await.starts_with("HTTP/1.1 100"));
    running.handle.graceful_shutdown(Some(PATIENCE));
    let refused = async {
        while TcpStream::connect(running.address).await.is_ok() {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
    };
    tokio::time::timeout(PATIENCE, refused).await.unwrap();
    stream.write_all(body.as_bytes()).await.unwrap();
    let answer = rest(&mut stream).await;
    assert!(answer.starts_with(b"HTTP/1.1 200"));
    running.serving.await.unwrap().unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_client_that_goes_away_leaves_the_queue() {
    let (reader, is_reached, go) = waiting();
    let state = AppState::new(&config(), Environment::system());
    state.install(Ok(Arc::new(reader)));
    let running = start_with(&config(), state).await;
    assert_eq!(running.status("/readyz").await, "200");
    let photo = std::fs::read(fixture("hostile/pictures/twice.jpg")).unwrap();
    let request = posted(&photo);
    let mut first = running.connect().await;
    first.write_all(&request).await.unwrap();
    tokio::task::spawn_blocking(move || is_reached.recv().unwrap())
        .await
        .unwrap();
    let mut second = running.connect().await;
    second.write_all(&request).await.unwrap();
    let until = async |status: &str| {
        let wait = async {
            while running.status("/readyz").await != status {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
        };
        tokio::time::timeout(PATIENCE, wait).await.unwrap();
    };
    until("503").await;
    // Whoever sends a large photo reads why it was not taken, and is not cut while it sends.
    let large = [photo.as_slice(), &vec![0; 20 << 20]].concat();
    let third = running.ask(&posted(&large)).await;
    let third = String::from_utf8_lossy(&third);
    assert!(third.starts_with("HTTP/1.1 503"), "{third}");
    assert!(third.contains("\r\nretry-after: 5\r\n"), "{third}");
    // Whoever asks first whether to send it is told at once.
    let asks = b"POST /v1/readings HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9000000\r\n\
                 Expect: 100-continue\r\n\r\n";
    let fourth = running.ask(asks).await;
    assert!(fourth.starts_with(b"HTTP/1.1 503"));
    drop(second);
    until("200").await;
    drop(go);
    assert!(rest(&mut first).await.starts_with(b"HTTP/1.1 200"));
}

/// A photo on its way.
fn posted(photo: &[u8]) -> Vec<u8> {
    let head = format!(
        "POST /v1/readings HTTP/1.1\r\nHost: localhost\r\nContent-Length: {}\r\n\
         Connection: close\r\n\r\n",
        photo.len()
    );
    [head.as_bytes(), photo].concat()
}

fn fixture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(name)
}

#[tokio::test]
async fn bare_bytes_bring_nothing_down_and_put_nothing_into_answers() {
    let running = start(&ServeConfig {
        header_timeout_s: 1,
        request_timeout_s: 2,
        ..config()
    })
    .await;
    let mut count = 0;
    for entry in std::fs::read_dir(fixture("hostile/requests")).unwrap() {
        let path = entry.unwrap().path();
        let answer = running.ask(&std::fs::read(&path).unwrap()).await;
        let text = String::from_utf8_lossy(&answer);
        let status = text.split(' ').nth(1).unwrap_or_default();
        assert!(!status.starts_with("500"), "{}: {text}", path.display());
        let headers = text.split("\r\n\r\n").next().unwrap_or_default();
        for line in headers.lines() {
            let name = line.split(':').next().unwrap_or_default();
            assert!(
                !name.to_ascii_lowercase().contains("injected"),
                "{}: {line}",
                path.display()
            );
        }
        assert!(!text.contains("root:"), "{}", path.display());
        count += 1;
    }
    assert!(count >= 40, "{count}");
    assert_eq!(running.status("/healthz").await, "200");
}

/// A certificate for `localhost`, in files, and a client that trusts it.
fn certificate() -> (TempDir, ServeConfig, TlsConnector) {
    let made = rcgen::generate_simple_self_signed(["localhost".to_owned()]).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let (cert, key) = (folder.path().join("c.pem"), folder.path().join("k.pem"));
    std::fs::write(&cert, made.cert.pem()).unwrap();
    std::fs::write(&key, made.signing_key.serialize_pem()).unwrap();
    let mut roots = RootCertStore::empty();
    roots
        .add(CertificateDer::from(made.cert.der().to_vec()))
        .unwrap();
    let mut client = ClientConfig::builder()
        .with_root_certificates(roots)
        .with_no_client_auth();
    client.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
    let config = ServeConfig {
        tls_cert: Some(cert),
        tls_key: Some(key),
        header_timeout_s: 1,
        ..config()
    };
    (folder, config, TlsConnector::from(Arc::new(client)))
}

#[tokio::test]
async fn with_a_certificate_only_encrypted_connections_are_answered() {
    let (_folder, config, connector) = certificate();
    let running = start(&config).await;
    let stream = running.connect().await;
    let name = ServerName::try_from("localhost").unwrap();
    let mut tls = connector.connect(name, stream).await.unwrap();
    let chosen = tls.get_ref().1.alpn_protocol().map(<[u8]>::to_vec);
    assert_eq!(chosen.as_deref(), Some(b"http/1.1".as_slice()));
    let request = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
    tls.write_all(request).await.unwrap();
    assert!(rest(&mut tls).await.starts_with(b"HTTP/1.1 200"));
    let plain = running.ask(request).await;
    assert!(!plain.starts_with(b"HTTP/"), "{plain:?}");
    // Whoever never shakes hands goes.
    let mut silent = running.connect().await;
    assert_eq!(rest(&mut silent).await, b"");
    running.left(0).await;
}

#[tokio::test]
async fn certificates_that_cannot_be_used_are_named() {
    let (folder, config, _connector) = certificate();
    let missing = ServeConfig {
        tls_key: Some(folder.path().join("none.pem")),
        ..config.clone()
    };
    let swapped = ServeConfig {
        tls_cert: config.tls_key.clone(),
        tls_key: config.tls_cert.clone(),
        ..config
    };
    for (config, part) in [(missing, "none.pem: "), (swapped, "belong together")] {
        let error = Door::open(&config).await.err().unwrap().to_string();
        assert!(error.contains(part), "{error}");
    }
}
