//! Listening, and ending.

use std::future::Future;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, SocketAddrV4, TcpListener, UdpSocket};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpStream;
use tokio::sync::{mpsc, watch};
use tokio::time::timeout;

use super::access::Access;
use super::link::Link;
use super::patient::Patient;
use super::places::{Caller, Place, Places};
use super::{Served, app};
use crate::job::Problems;
use crate::page::{Folder, Memory};

/// The time within which a request's head must have arrived; the next one's, too.
const HEAD_TIME: Duration = Duration::from_secs(10);
/// The time within which an answer must have been taken.
const WRITE_TIME: Duration = Duration::from_secs(10);
/// The time that requests under way have to end when the server stops.
const LAST_TIME: Duration = Duration::from_secs(2);
/// After a connection that could not be taken.
const PAUSE: Duration = Duration::from_millis(50);
/// Bytes of a request's head.
const HEAD: usize = 16 << 10;
/// The port, unless another one is asked for.
const PORT: u16 = 7171;

/// What to serve, and to whom.
#[derive(Debug, Clone)]
pub struct Settings {
    /// A joint's folder, or a bowl's.
    pub folder: PathBuf,
    /// The port; 0: any that is free; `None`: the usual one if it is free, else any.
    pub port: Option<u16>,
    /// Whether other devices may come in, with a code.
    pub lan: bool,
}

/// Why no page is served.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// The folder can't be read as it stands.
    #[error(transparent)]
    Folder(#[from] Problems),
    /// The port is taken, or may not be used.
    #[error("port {port} can't be used ({source}). Next: give another one, such as --port 7172.")]
    Port {
        /// The port.
        port: u16,
        /// What the system said.
        source: io::Error,
    },
    /// The system gives no random numbers, so no code can be made.
    #[error("this system gives no random numbers for a code ({0}). Next: leave --lan out.")]
    Random(getrandom::Error),
    /// The system refused something else.
    #[error("the page can't be served: {0}")]
    Io(#[from] io::Error),
}

/// How other devices come in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lan {
    /// The address to open there; `None` if this machine has none that others reach.
    pub address: Option<String>,
    /// The code to give.
    pub code: String,
    /// The address with the code behind it, for a QR code.
    pub invitation: Option<String>,
}

/// A page that is about to be served.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    here: SocketAddr,
    served: Arc<Served>,
}

impl Server {
    /// Reads the folder and takes the port.
    ///
    /// # Errors
    ///
    /// [`OpenError`]
    pub fn open(settings: &Settings) -> Result<Server, OpenError> {
        let folder = Folder::of(&settings.folder)?;
        let access = match settings.lan {
            true => Access::with_new_code().map_err(OpenError::Random)?,
            false => Access::closed(),
        };
        let ip = if settings.lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
        let listener = listen(ip, settings.port)?;
        listener.set_nonblocking(true)?;
        let here = listener.local_addr()?;
        Ok(Server { listener, here, served: Arc::new(Served { folder, memory: Memory::default(), access }) })
    }

    /// The address to open on this machine.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.here.port())
    }

    /// How other devices come in, if they may.
    pub fn lan(&self) -> Option<Lan> {
        let code = self.served.access.code()?;
        let address = outward().map(|ip| format!("http://{ip}:{}/", self.here.port()));
        // Behind a # it stays in the browser until its page sends it.
        let invitation = address.as_ref().map(|address| format!("{address}code#{code}"));
        Some(Lan { address, code, invitation })
    }

    /// Serves until the program is told to stop (Ctrl-C, or the system ends it).
    ///
    /// # Errors
    ///
    /// Those of the system.
    pub fn run(self) -> io::Result<()> {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
        let done = runtime.block_on(self.serve(told_to_stop()));
        runtime.shutdown_timeout(LAST_TIME);
        done
    }

    async fn serve(self, stop: impl Future<Output = io::Result<()>>) -> io::Result<()> {
        let listener = tokio::net::TcpListener::from_std(self.listener)?;
        let app = app(&self.served);
        let places = Arc::new(Places::default());
        let (ending, ended) = watch::channel(false);
        // Every connection holds one end; the other hears when the last has gone.
        let (alive, mut last) = mpsc::channel::<()>(1);
        tokio::pin!(stop);
        loop {
            let accepted = tokio::select! {
                told = &mut stop => break told?,
                accepted = listener.accept() => accepted,
            };
            let Ok((stream, there)) = accepted else {
                // Out of file handles, say: others are about to be freed.
                tokio::time::sleep(PAUSE).await;
                continue;
            };
            let Ok(here) = stream.local_addr() else { continue };
            let link = Link { here, there };
            let caller = self.served.caller(&link);
            let Some(place) = places.take(caller, link.ip()) else { continue };
            let connection = connection(stream, link, app.clone(), ended.clone());
            let alive = alive.clone();
            tokio::spawn(async move {
                in_place(place, caller, connection).await;
                drop(alive);
            });
        }
        let _ = ending.send(true);
        drop(alive);
        // Whoever does not end in time is cut off.
        let _ = timeout(LAST_TIME, last.recv()).await;
        Ok(())
    }
}

fn listen(ip: Ipv4Addr, port: Option<u16>) -> Result<TcpListener, OpenError> {
    let bind = |port| TcpListener::bind(SocketAddrV4::new(ip, port));
    let wanted = port.unwrap_or(PORT);
    match (bind(wanted), port) {
        (Ok(listener), _) => Ok(listener),
        (Err(_), None) => Ok(bind(0)?),
        (Err(source), Some(port)) => Err(OpenError::Port { port, source }),
    }
}

/// The address by which this machine would call others. No packet is sent: a
/// datagram socket only looks up the way to an address, here one that is reserved
/// for documentation (RFC 5737).
fn outward() -> Option<std::net::IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    socket.local_addr().ok().map(|here| here.ip()).filter(|ip| !ip.is_loopback() && !ip.is_unspecified())
}

async fn told_to_stop() -> io::Result<()> {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut end = signal(SignalKind::terminate())?;
        tokio::select! {
            told = tokio::signal::ctrl_c() => told,
            _ = end.recv() => Ok(()),
        }
    }
    #[cfg(not(unix))]
    tokio::signal::ctrl_c().await
}

/// A connection for as long as it may live and need not give way.
async fn in_place(mut place: Place, caller: Caller, connection: impl Future<Output = ()>) {
    tokio::select! {
        _ = timeout(caller.lifetime(), connection) => {}
        _ = &mut place.gone => {}
    }
}

/// One connection from its first request to its last.
async fn connection(stream: TcpStream, link: Link, app: Router, mut ended: watch::Receiver<bool>) {
    let app = TowerToHyperService::new(app);
    let service = service_fn(move |mut request: hyper::Request<hyper::body::Incoming>| {
        request.extensions_mut().insert(link);
        app.call(request)
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD_TIME).max_buf_size(HEAD);
    let stream = TokioIo::new(Patient::new(stream, WRITE_TIME));
    let connection = http.serve_connection(stream, service);
    tokio::pin!(connection);
    tokio::select! {
        _ = connection.as_mut() => return,
        _ = ended.wait_for(|ended| *ended) => {}
    }
    connection.as_mut().graceful_shutdown();
    let _ = connection.as_mut().await;
}
