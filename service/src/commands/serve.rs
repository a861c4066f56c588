//! `vetplate serve`: the HTTP service.

use super::Streams;
use super::import::{kept_copies, register_failed};
use crate::config::ServeConfig;
use crate::desk::Desk;
use crate::environment::Environment;
use crate::failure::{Ending, Failure};
use crate::listen::Door;
use crate::logging;
use crate::measures;
use crate::pipeline::PhotoReader;
use crate::register::{Folder, Originals, People, SqliteRegister, Store};
use crate::router::app;
use crate::site::Site;
use crate::state::AppState;
use axum_server::Handle;
use std::sync::Arc;
use std::time::Duration;

/// Threads for questions to the register and for hashing passwords, beside the readers of photos.
const BLOCKING: usize = 32;
/// Without a photo for so long, the models let go of what the next one can make again.
const IDLE: Duration = Duration::from_mins(1);
/// Who gives the register the list of certificates that the service is started with.
const KEPT_BY: &str = "vetplate serve";

/// Serves until SIGTERM or ctrl-c, then lets requests in progress end.
///
/// `reader` is called on a thread of its own while the service already answers
/// `/healthz`; `/readyz` tells when it is done.
///
/// # Errors
///
/// [`Failure::Internal`] where the address cannot be had.
pub fn serve(
    config: &ServeConfig,
    environment: Environment,
    reader: impl FnOnce() -> Result<Arc<dyn PhotoReader>, Failure> + Send + 'static,
) -> Result<(), Failure> {
    let site = site(config)?;
    let register = open_register(config, &environment)?;
    logging::start(config.log_format)?;
    let site = match &register {
        Some(register) => with_certificates(site, register)?,
        None => site,
    };
    let state = state(config, environment, site, register)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        // Each has a stack; questions to the register are short and wait for one another.
        .max_blocking_threads(config.worker_count() + BLOCKING)
        .build()
        .map_err(|e| Failure::Internal(e.to_string()))?;
    let result = runtime.block_on(run(config, state, reader));
    // A photo that is still being read must not hold the program back.
    runtime.shutdown_timeout(Duration::from_millis(100));
    result
}

/// Prints the settings.
///
/// # Errors
///
/// [`Failure`] where they cannot be written.
pub fn config(config: &ServeConfig, streams: &mut Streams<'_>) -> Result<Ending, Failure> {
    let text = config
        .to_toml()
        .map_err(|e| Failure::Usage(format!("the settings cannot be printed: {e}")))?;
    streams.output.write_all(text.as_bytes())?;
    streams.output.flush()?;
    Ok(Ending::Answered)
}

/// The site, every location of it checked before the first request comes.
fn site(config: &ServeConfig) -> Result<Site, Failure> {
    let site = Site::open(config.site.as_deref(), config.certificates.as_deref())
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let faults: Vec<String> = site
        .locations()
        .iter()
        .flat_map(|location| site.faults(location))
        .map(|fault| fault.to_string())
        .collect();
    if faults.is_empty() {
        Ok(site)
    } else {
        Err(Failure::Usage(faults.join("\n")))
    }
}

/// The register, where one is named.
fn open_register(
    config: &ServeConfig,
    environment: &Environment,
) -> Result<Option<Arc<SqliteRegister>>, Failure> {
    let Some(path) = &config.register else {
        return Ok(None);
    };
    let register =
        SqliteRegister::open(path, false, environment.clone()).map_err(register_failed)?;
    Ok(Some(Arc::new(register)))
}

/// Keeps the site's list of certificates in the register; a site without one has that of the register.
fn with_certificates(site: Site, register: &SqliteRegister) -> Result<Site, Failure> {
    if let Some(file) = site.certificates() {
        let is_new = register.keep_certificates(file, KEPT_BY);
        if is_new.map_err(register_failed)? {
            tracing::info!(file = file.name, "{}", super::certificates::kept(file));
        }
        return Ok(site);
    }
    let kept = register.certificates().map_err(register_failed)?;
    Ok(site.or_certificates(kept))
}

/// What requests share, and who may send them.
fn state(
    config: &ServeConfig,
    environment: Environment,
    site: Site,
    register: Option<Arc<SqliteRegister>>,
) -> Result<AppState, Failure> {
    let has_accounts = match &register {
        Some(register) => register.has_accounts().map_err(register_failed)?,
        None => false,
    };
    let is_local = config.listen.ip().is_loopback() && !config.behind_proxy;
    if !is_local && !has_accounts {
        return Err(Failure::Usage(no_accounts(config)));
    }
    let is_encrypted = config.tls_cert.is_some() || config.behind_proxy;
    if !is_local && !is_encrypted {
        tracing::warn!(
            "passwords and photos cross the network unencrypted; give --tls-cert and --tls-key, \
             or put a proxy before the service and give --behind-proxy"
        );
    }
    // Before the first reading, or it is not counted.
    measures::begin();
    let state = AppState::new(config, environment.clone());
    if !is_local {
        state.close();
    }
    state.install_site(site);
    if let Some(register) = register {
        // Photos that are sent lie nowhere else, so that a register behind a service keeps copies.
        let copies = kept_copies(&register).map_err(register_failed)?;
        let originals = Arc::new(Folder::new(copies, environment)) as Arc<dyn Originals>;
        let path = register.path().to_owned();
        state.admit(register.clone());
        let desk = Desk::new(register, Some(originals))
            .with_imports(&path, config.import_from.clone())
            .map_err(register_failed)?;
        state.attach(desk);
    }
    Ok(state)
}

/// Why the service does not start, and the way out.
fn no_accounts(config: &ServeConfig) -> String {
    let reached = if config.behind_proxy {
        "through a proxy".to_owned()
    } else {
        format!("on {}", config.listen)
    };
    let (register, add) = match &config.register {
        Some(path) => (path.display().to_string(), ""),
        None => ("FILE".to_owned(), " and start with --register FILE"),
    };
    format!(
        "the service would be open to everyone who reaches it {reached}: make an account with \
         `vetplate users add NAME --role administrator --register {register}`{add}, or listen on \
         127.0.0.1"
    )
}

async fn run(
    config: &ServeConfig,
    state: AppState,
    reader: impl FnOnce() -> Result<Arc<dyn PhotoReader>, Failure> + Send + 'static,
) -> Result<(), Failure> {
    let door = Door::open(config).await?;
    tracing::info!(address = %door.address(), tls = config.tls_cert.is_some(), "listening");
    let loading = state.clone();
    tokio::task::spawn_blocking(move || {
        loading.install(reader().map_err(|e| e.to_string()));
        if loading.reader().is_ok() {
            tracing::info!("ready");
        }
    });
    tokio::spawn(tidy_measures());
    tokio::spawn(rest_when_idle(state.clone()));
    let handle = Handle::new();
    let stopping = handle.clone();
    let patience = config.shutdown_timeout();
    let ending = state.clone();
    tokio::spawn(async move {
        asked_to_stop().await;
        tracing::info!("stopping");
        ending.end();
        // No new connections; what is in progress may end.
        stopping.graceful_shutdown(Some(patience));
    });
    let served = door.serve(app(state.clone()), handle.clone()).await;
    state.ended(patience).await;
    served?;
    if handle.connection_count() > 0 {
        tracing::warn!("requests in progress were cut off");
    }
    Ok(())
}

/// Sums up what was measured, so that it does not pile up where nobody asks for it.
async fn tidy_measures() {
    let Some(handle) = measures::begin() else {
        tracing::warn!("nothing is measured");
        return;
    };
    let mut often = tokio::time::interval(Duration::from_secs(5));
    loop {
        often.tick().await;
        handle.run_upkeep();
    }
}

/// Gives memory back where no photo has come for a while.
async fn rest_when_idle(state: AppState) {
    let mut often = tokio::time::interval(Duration::from_secs(10));
    loop {
        often.tick().await;
        if let Ok(reader) = state.reader() {
            // Waits for a plan that is just being made.
            let rested = tokio::task::spawn_blocking(move || reader.rest(IDLE)).await;
            if let Err(fault) = rested {
                tracing::error!(%fault, "memory could not be given back");
            }
        }
    }
}

async fn asked_to_stop() {
    let interrupt = async {
        // Without a handler the signal ends the program, which is what was asked for.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! {
        () = interrupt => {}
        () = terminate => {}
    }
}
