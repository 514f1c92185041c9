//! One connection: who called, and by which address.

use std::net::{IpAddr, SocketAddr};

/// The two ends of a connection.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn link(here: &str, there: &str) -> Link {
        Link { here: here.parse().expect("an address"), there: there.parse().expect("an address") }
    }

    #[test]
    fn only_the_number_called_and_localhost_are_this_server() {
        let own = link("127.0.0.1:7171", "127.0.0.1:50000");
        for host in ["127.0.0.1:7171", "localhost:7171", "LOCALHOST:7171"] {
            assert!(own.is_here(host), "{host}");
        }
        let foreign = [
            "",
            "127.0.0.1",
            "127.0.0.1:80",
            "localhost",
            "127.0.0.2:7171",
            "rebound.example:7171",
            "127.0.0.1:7171.rebound.example",
            "localhost:7171@rebound.example",
            "[::1]:7171",
            " 127.0.0.1:7171",
        ];
        for host in foreign {
            assert!(!own.is_here(host), "{host}");
        }
    }

    #[test]
    fn another_device_calls_by_the_number_alone() {
        let other = link("192.0.2.7:7171", "192.0.2.20:50000");
        assert!(other.is_here("192.0.2.7:7171") && !other.is_here("localhost:7171"));
        assert!(!other.is_here("127.0.0.1:7171"));
    }

    #[test]
    fn without_a_port_it_is_port_80() {
        assert!(link("127.0.0.1:80", "127.0.0.1:50000").is_here("localhost"));
    }
}
