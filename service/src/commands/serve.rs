//! `vetplate serve`: the HTTP service.

use super::import::{kept_copies, register_failed};
use crate::config::ServeConfig;
use crate::desk::Desk;
use crate::environment::Environment;
use crate::failure::Failure;
use crate::logging;
use crate::pipeline::PhotoReader;
use crate::register::{Folder, Originals, SqliteRegister};
use crate::router::app;
use crate::site::Site;
use crate::state::AppState;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::watch;

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
    let desk = desk(config, &environment)?;
    logging::start(config.log_format)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|e| Failure::Internal(e.to_string()))?;
    let result = runtime.block_on(run(config, environment, (site, desk), reader));
    // A photo that is still being read must not hold the program back.
    runtime.shutdown_timeout(Duration::from_millis(100));
    result
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
fn desk(config: &ServeConfig, environment: &Environment) -> Result<Option<Desk>, Failure> {
    let Some(path) = &config.register else {
        return Ok(None);
    };
    let register =
        SqliteRegister::open(path, false, environment.clone()).map_err(register_failed)?;
    // Photos that are sent lie nowhere else, so that a register behind a service keeps copies.
    let copies = kept_copies(&register).map_err(register_failed)?;
    let originals = Arc::new(Folder::new(copies, environment.clone())) as Arc<dyn Originals>;
    Desk::new(Arc::new(register), Some(originals))
        .with_imports(path, config.import_from.clone())
        .map(Some)
        .map_err(register_failed)
}

async fn run(
    config: &ServeConfig,
    environment: Environment,
    (site, desk): (Site, Option<Desk>),
    reader: impl FnOnce() -> Result<Arc<dyn PhotoReader>, Failure> + Send + 'static,
) -> Result<(), Failure> {
    let listener = TcpListener::bind(config.listen).await.map_err(|e| {
        Failure::Internal(format!(
            "cannot listen on {}: {e}; choose another address with --listen",
            config.listen
        ))
    })?;
    let address = listener
        .local_addr()
        .map_err(|e| Failure::Internal(e.to_string()))?;
    tracing::info!(%address, "listening");
    let state = AppState::new(config, environment);
    state.install_site(site);
    if let Some(desk) = desk {
        state.attach(desk);
    }
    let loading = state.clone();
    tokio::task::spawn_blocking(move || {
        loading.install(reader().map_err(|e| e.to_string()));
        if loading.reader().is_ok() {
            tracing::info!("ready");
        }
    });
    let (stop, stopped) = watch::channel(());
    let ending = state.clone();
    let serving = axum::serve(listener, app(state.clone())).with_graceful_shutdown(async move {
        asked_to_stop().await;
        tracing::info!("stopping");
        drop(stop);
        ending.end();
    });
    let late = too_late(stopped, config.shutdown_timeout());
    let served = tokio::select! {
        result = async { serving.await } => result.map_err(|e| Failure::Internal(e.to_string())),
        () = late => {
            tracing::warn!("requests in progress were cut off");
            Ok(())
        }
    };
    state.ended(config.shutdown_timeout()).await;
    served
}

/// Ends some time after `stopped` lost its sender.
async fn too_late(mut stopped: watch::Receiver<()>, after: Duration) {
    while stopped.changed().await.is_ok() {}
    tokio::time::sleep(after).await;
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
