//! Who may come in from another device: whoever gave the code.

use std::collections::VecDeque;
use std::net::IpAddr;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use subtle::ConstantTimeEq;

/// Letters and digits that can't be taken for each other: 32, so 5 bits each.
const SYMBOLS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
/// Symbols of a code: 50 bits.
const LENGTH: usize = 10;
/// Wrong codes that are heard from one address within [`WHILE`].
const WRONG: usize = 5;
/// Wrong codes that are remembered in all. Where many addresses give more, the oldest are
/// forgotten: at a thousand guesses a second, 50 bits last for thousands of years.
const WRONG_IN_ALL: usize = 1000;
/// The time over which wrong codes are counted.
const WHILE: Duration = Duration::from_secs(60);
/// Devices that are remembered; the oldest is forgotten first.
const DEVICES: usize = 64;

/// Which other devices come in; closed, none does.
#[derive(Debug)]
pub struct Access {
    code: Option<String>,
    admitted: Mutex<VecDeque<[u8; 16]>>,
    /// Addresses of devices that were let in; the one seen last stands last.
    known: Mutex<VecDeque<IpAddr>>,
    wrong: Mutex<VecDeque<(IpAddr, Instant)>>,
}

/// What came of giving a code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tried {
    /// It was right: the token that this device shows from now on.
    Right(String),
    /// It was wrong.
    Wrong,
    /// Too many from this address were wrong of late, so this one was not looked at.
    TooMany(Duration),
}

impl Access {
    /// No other device comes in.
    pub fn closed() -> Self {
        let (admitted, known, wrong) = Default::default();
        Access { code: None, admitted, known, wrong }
    }

    /// Whoever gives a code comes in; the code is drawn anew by the system's
    /// random source.
    ///
    /// # Errors
    ///
    /// Where the system has no random numbers.
    pub fn with_new_code() -> Result<Self, getrandom::Error> {
        let mut random = [0; LENGTH];
        getrandom::fill(&mut random)?;
        // 256 is a multiple of 32, so every symbol is equally likely.
        let code = random.iter().map(|b| char::from(SYMBOLS[usize::from(b % 32)])).collect();
        Ok(Access { code: Some(code), ..Access::closed() })
    }

    /// The code as it is shown: in two halves.
    pub fn code(&self) -> Option<String> {
        let code = self.code.as_deref()?;
        Some(format!("{}-{}", &code[..LENGTH / 2], &code[LENGTH / 2..]))
    }

    /// Whether a device at `from` that shows `token` gave the code before.
    pub fn knows(&self, token: &str, from: IpAddr) -> bool {
        let Some(token) = bytes_of(token) else {
            return false;
        };
        // Every one is compared, so that the time tells nothing.
        let found = held(&self.admitted)
            .iter()
            .fold(subtle::Choice::from(0), |found, known| found | known.ct_eq(&token));
        let found: bool = found.into();
        if found {
            self.remember(from);
        }
        found
    }

    /// Whether a device was let in from this address.
    pub fn has_seen(&self, ip: IpAddr) -> bool {
        held(&self.known).contains(&ip)
    }

    fn remember(&self, ip: IpAddr) {
        let mut known = held(&self.known);
        known.retain(|other| *other != ip);
        known.push_back(ip);
        if known.len() > DEVICES {
            known.pop_front();
        }
    }

    /// A device at `from` gives a code at the time `now`.
    ///
    /// # Errors
    ///
    /// Where the system has no random numbers for its token.
    pub fn give(&self, code: &str, from: IpAddr, now: Instant) -> Result<Tried, getrandom::Error> {
        let mut wrong = held(&self.wrong);
        wrong.retain(|(_, then)| now.duration_since(*then) < WHILE);
        let own: Vec<Instant> = wrong.iter().filter(|(ip, _)| *ip == from).map(|(_, then)| *then).collect();
        if let Some(first) = own.first().filter(|_| own.len() >= WRONG) {
            return Ok(Tried::TooMany(WHILE.saturating_sub(now.duration_since(*first))));
        }
        if !self.is_right(code) {
            wrong.push_back((from, now));
            if wrong.len() > WRONG_IN_ALL {
                wrong.pop_front();
            }
            return Ok(Tried::Wrong);
        }
        drop(wrong);
        self.remember(from);
        self.admit().map(Tried::Right)
    }

    fn is_right(&self, given: &str) -> bool {
        let given: String = given.chars().filter(char::is_ascii_alphanumeric).collect();
        let given = given.to_ascii_uppercase();
        self.code.as_deref().is_some_and(|code| code.as_bytes().ct_eq(given.as_bytes()).into())
    }

    fn admit(&self) -> Result<String, getrandom::Error> {
        let mut token = [0; 16];
        getrandom::fill(&mut token)?;
        let mut admitted = held(&self.admitted);
        admitted.push_back(token);
        if admitted.len() > DEVICES {
            admitted.pop_front();
        }
        Ok(token.iter().map(|b| format!("{b:02x}")).collect())
    }
}

fn bytes_of(token: &str) -> Option<[u8; 16]> {
    let plain = token.len() == 32 && token.bytes().all(|b| b.is_ascii_hexdigit());
    let number = u128::from_str_radix(token, 16).ok().filter(|_| plain)?;
    Some(number.to_be_bytes())
}

/// The lock, whatever became of who held it: nothing in here can be left half done.
fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}
