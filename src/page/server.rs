//! The server: one thread, on this machine alone, until it is told to end.

use std::future::Future;
use std::net::{Ipv4Addr, SocketAddrV4};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::serve::ListenerExt;
use tokio::net::TcpListener;
use tokio::runtime::Builder;
use tokio::sync::watch;

use super::guard::{Guard, token};
use super::routes::routes;
use super::store::Store;
use super::trouble::Trouble;
use super::watch::keep_watch;
use super::workers::Workers;

/// What is served, and how.
pub struct Serve<Ready: FnOnce(&Address)> {
    /// The sketch.
    pub store: Store,
    /// Port on 127.0.0.1; 0 takes any that is free.
    pub port: u16,
    /// Told the address of the page once it answers.
    pub ready: Ready,
}

/// The address of the page.
#[derive(Debug)]
pub struct Address {
    /// With the token, for the person's eyes.
    pub told: String,
    /// To hand to a browser: good once, for a short while. What a program is started with, every user of a machine can list.
    pub once: String,
}

/// What every request shares.
#[derive(Debug)]
pub struct Shared {
    store: Mutex<Store>,
    /// Moves with the store's revision, for those who wait for a change.
    pub revision: watch::Sender<u64>,
    /// The child processes.
    pub workers: Workers,
}

impl Shared {
    /// Works with the store; who waits is woken if that changed its revision.
    ///
    /// A store whose last user panicked is used on: it writes files whole and reads them anew before each save.
    pub fn with_store<T>(&self, work: impl FnOnce(&mut Store) -> T) -> T {
        let mut store = self.lock();
        let done = work(&mut store);
        let revision = store.revision();
        self.revision.send_if_modified(|known| {
            let is_new = *known != revision;
            *known = revision;
            is_new
        });
        done
    }

    fn lock(&self) -> MutexGuard<'_, Store> {
        self.store.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The service as [`serve`] has it, without a socket and without child processes, for tests that give arbitrary requests to it.
/// It answers under `127.0.0.1` to who carries `token`.
#[doc(hidden)]
pub fn router(store: Store, token: &str) -> axum::Router {
    let shared = Arc::new(Shared {
        revision: watch::Sender::new(store.revision()),
        store: Mutex::new(store),
        workers: Workers::alone(),
    });
    routes(shared, Arc::new(Guard::new(80, token.to_owned())))
}

/// Serves the drawing board until the program is asked to end (Ctrl-C), then closes the journal.
///
/// # Errors
///
/// The port is taken, or the system refuses; in words.
pub fn serve<Ready: FnOnce(&Address)>(serve: Serve<Ready>) -> Result<(), Trouble> {
    let no_start = |error: std::io::Error| {
        Trouble::bare(format!("the drawing board cannot be started: {error}"))
    };
    let runtime = Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(no_start)?;
    let Serve { store, port, ready } = serve;
    let shared = Arc::new(Shared {
        revision: watch::Sender::new(store.revision()),
        store: Mutex::new(store),
        workers: Workers::new(),
    });
    let served = runtime.block_on(async {
        // Heeded from before the address is told.
        let ended = asked_to_end().map_err(no_start)?;
        let listener = TcpListener::bind(SocketAddrV4::new(Ipv4Addr::LOCALHOST, port))
            .await
            .map_err(|error| {
                Trouble::new(
                    format!("port {port} cannot be used: {error}"),
                    "leave `--port` out to take any that is free",
                )
            })?;
        let port = listener.local_addr().map_err(no_start)?.port();
        let token = token()?;
        let told = format!("http://127.0.0.1:{port}/#{token}");
        let guard = Arc::new(Guard::new(port, token));
        let once = format!("http://127.0.0.1:{port}/#{}", guard.key_for_once()?);
        let app = routes(Arc::clone(&shared), guard);
        // Answers are small and wanted at once; where this is refused they are only later.
        let listener = listener.tap_io(|stream| {
            let _ = stream.set_nodelay(true);
        });
        ready(&Address { told, once });
        tokio::select! {
            () = ended => Ok(()),
            () = keep_watch(&shared) => Ok(()),
            served = async { axum::serve(listener, app).await } => served.map_err(no_start),
        }
    });
    // Requests still open go with the runtime; a save at work is finished first.
    let closed = shared.with_store(Store::close);
    drop(runtime);
    served.and(closed)
}

#[cfg(unix)]
fn asked_to_end() -> std::io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    let mut hangup = signal(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hangup.recv() => {}
        }
    })
}

#[cfg(not(unix))]
fn asked_to_end() -> std::io::Result<impl Future<Output = ()>> {
    Ok(async {
        if tokio::signal::ctrl_c().await.is_err() {
            // Without a signal to wait for, the program ends with its terminal.
            std::future::pending::<()>().await;
        }
    })
}
