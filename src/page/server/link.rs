//! One connection: who called, and by which address.

use std::net::{IpAddr, SocketAddr};

/// The two ends of a connection.
#[derive(Debug, Clone, Copy)]
pub struct Link {
    /// The address of this machine that was called.
    pub here: SocketAddr,
    /// The caller's address.
    pub there: SocketAddr,
}

impl Link {
    /// Whether a program of this machine is calling.
    pub fn is_local(&self) -> bool {
        self.ip().is_loopback()
    }

    /// The caller's address, without its port.
    pub fn ip(&self) -> IpAddr {
        self.there.ip().to_canonical()
    }

    /// Whether `host`, as a Host header has it, is this server: by the number that
    /// was called, or by `localhost` on the machine itself. Any other name may be
    /// one that someone on the internet has pointed here.
    pub fn is_here(&self, host: &str) -> bool {
        let ip = self.here.ip().to_canonical();
        let port = self.here.port();
        let names = [SocketAddr::new(ip, port).to_string(), format!("localhost:{port}")];
        let plain = [ip.to_string(), "localhost".to_owned()];
        let allowed = if self.is_local() { 2 } else { 1 };
        let is = |names: &[String; 2]| names[..allowed].iter().any(|name| name.eq_ignore_ascii_case(host));
        is(&names) || (port == 80 && is(&plain))
    }
}
