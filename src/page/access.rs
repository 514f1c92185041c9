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
pub(super) struct Access {
    code: Option<String>,
    admitted: Mutex<VecDeque<[u8; 16]>>,
    /// Addresses of devices that were let in; the one seen last stands last.
    known: Mutex<VecDeque<IpAddr>>,
    wrong: Mutex<VecDeque<(IpAddr, Instant)>>,
}

/// What came of giving a code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Tried {
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

#[cfg(test)]
mod tests {
    use super::*;

    const PHONE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 20));
    const OTHER: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 21));

    fn open() -> (Access, String) {
        let access = Access::with_new_code().expect("random bytes");
        let code = access.code().expect("a code");
        (access, code)
    }

    #[test]
    fn a_code_has_fifty_bits_and_no_two_are_alike() {
        assert!(SYMBOLS.iter().collect::<std::collections::HashSet<_>>().len() == 32);
        let codes: std::collections::HashSet<String> = (0..200).map(|_| open().1).collect();
        assert!(codes.len() == 200 && codes.iter().all(|c| c.len() == LENGTH + 1));
        // Every symbol turns up in 2000 of them: missing one has a chance of e^-63.
        let seen: std::collections::HashSet<char> = codes.iter().flat_map(|c| c.chars()).collect();
        assert_eq!(seen.len(), 33);
    }

    #[test]
    fn the_right_code_lets_in_however_it_is_written() {
        let (access, code) = open();
        let now = Instant::now();
        for given in [code.clone(), code.to_lowercase(), code.replace('-', ""), format!(" {code} ")] {
            let Ok(Tried::Right(token)) = access.give(&given, PHONE, now) else { panic!("{given}") };
            assert!(access.knows(&token, PHONE));
        }
    }

    #[test]
    fn what_is_almost_right_is_wrong() {
        let (access, code) = open();
        for given in [&code[..code.len() - 1], "", &format!("{code}A"), &code[1..]] {
            assert_eq!(access.give(given, PHONE, Instant::now()), Ok(Tried::Wrong), "{given}");
            assert!(!access.knows(given, PHONE));
        }
        assert!(!Access::closed().knows("00000000000000000000000000000000", PHONE));
        assert_eq!(Access::closed().give("", PHONE, Instant::now()), Ok(Tried::Wrong));
    }

    #[test]
    fn after_five_wrong_codes_even_the_right_one_waits_a_minute() {
        let (access, code) = open();
        let start = Instant::now();
        for k in 0..5 {
            assert_eq!(access.give("AAAAA-AAAAA", PHONE, start + Duration::from_secs(k)), Ok(Tried::Wrong));
        }
        let soon = start + Duration::from_secs(59);
        assert_eq!(access.give(&code, PHONE, soon), Ok(Tried::TooMany(Duration::from_secs(1))));
        assert!(
            matches!(access.give(&code, OTHER, soon), Ok(Tried::Right(_))),
            "another device need not wait"
        );
        assert!(matches!(access.give(&code, PHONE, start + WHILE), Ok(Tried::Right(_))));
    }

    #[test]
    fn wrong_codes_fill_no_memory_and_lock_nobody_else_out() {
        let (access, code) = open();
        let now = Instant::now();
        for n in 0..=u16::MAX {
            let [a, b] = n.to_be_bytes();
            let _ = access.give("AAAAA-AAAAA", IpAddr::from([198, 18, a, b]), now);
        }
        assert_eq!(held(&access.wrong).len(), WRONG_IN_ALL);
        assert!(!access.has_seen(PHONE));
        assert!(matches!(access.give(&code, PHONE, now), Ok(Tried::Right(_))));
        assert!(access.has_seen(PHONE) && !access.has_seen(OTHER));
    }

    #[test]
    fn old_devices_make_room() {
        let (access, code) = open();
        let give = || match access.give(&code, PHONE, Instant::now()) {
            Ok(Tried::Right(token)) => token,
            other => panic!("{other:?}"),
        };
        let tokens: Vec<String> = (0..=DEVICES).map(|_| give()).collect();
        let knows = |k: usize| access.knows(&tokens[k], PHONE);
        assert!(!knows(0) && knows(1) && knows(DEVICES));
    }
}
