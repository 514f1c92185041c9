//! What the guard rests on: codes and who was let in, places for connections, and by which names
//! the server is called. What no socket can try in a moment: minutes, many addresses, port 80.

use std::collections::HashSet;
use std::net::{IpAddr, Ipv4Addr};
use std::sync::Arc;
use std::time::{Duration, Instant};

use ribwright::page::access::{Access, Tried};
use ribwright::page::link::Link;
use ribwright::page::places::{Caller, Place, Places};
use tokio::sync::oneshot::error::TryRecvError;

const PHONE: IpAddr = IpAddr::V4(Ipv4Addr::new(192, 0, 2, 20));
const OTHER: IpAddr = IpAddr::V4(Ipv4Addr::new(192, 0, 2, 21));

fn open() -> (Access, String) {
    let access = Access::with_new_code().expect("random bytes");
    let code = access.code().expect("a code");
    (access, code)
}

/// Two to the fifth symbols, ten times.
#[test]
fn a_code_has_fifty_bits_and_no_two_are_alike() {
    let codes: HashSet<String> = (0..200).map(|_| open().1).collect();
    assert!(codes.len() == 200 && codes.iter().all(|c| c.len() == 11 && c.as_bytes()[5] == b'-'));
    // Every one of the 32 symbols turns up in 2000 of them: missing one has a chance of e^-63.
    let seen: HashSet<char> = codes.iter().flat_map(|c| c.chars()).collect();
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

fn wrong(access: &Access, from: IpAddr, now: Instant) -> Tried {
    access.give("AAAAA-AAAAA", from, now).expect("random bytes")
}

#[test]
fn after_five_wrong_codes_even_the_right_one_waits_a_minute() {
    let (access, code) = open();
    let start = Instant::now();
    for k in 0..5 {
        assert_eq!(wrong(&access, PHONE, start + Duration::from_secs(k)), Tried::Wrong);
    }
    let soon = start + Duration::from_secs(59);
    assert_eq!(access.give(&code, PHONE, soon), Ok(Tried::TooMany(Duration::from_secs(1))));
    assert!(matches!(access.give(&code, OTHER, soon), Ok(Tried::Right(_))), "another device need not wait");
    assert!(matches!(access.give(&code, PHONE, start + Duration::from_secs(60)), Ok(Tried::Right(_))));
}

/// A thousand are remembered, the oldest forgotten first: of 65,536 other addresses the last 995
/// leave just the five of one device, one more takes the first of them.
#[test]
fn wrong_codes_fill_no_memory_and_lock_nobody_else_out() {
    let (access, code) = open();
    let now = Instant::now();
    let other = |n: u16| IpAddr::from([198, 18, n.to_be_bytes()[0], n.to_be_bytes()[1]]);
    for n in 0..=u16::MAX {
        assert_eq!(wrong(&access, other(n), now), Tried::Wrong);
    }
    let too_many = |from: IpAddr| matches!(access.give(&code, from, now), Ok(Tried::TooMany(_)));
    (0..5).for_each(|_| assert_eq!(wrong(&access, OTHER, now), Tried::Wrong));
    (0..995).for_each(|n| assert_eq!(wrong(&access, other(n), now), Tried::Wrong));
    assert!(too_many(OTHER));
    wrong(&access, other(995), now);
    assert!(!too_many(OTHER));
    assert!(!access.has_seen(PHONE));
    assert!(matches!(access.give(&code, PHONE, now), Ok(Tried::Right(_))));
    assert!(access.has_seen(PHONE) && !access.has_seen(other(0)));
}

/// 64 devices are remembered.
#[test]
fn old_devices_make_room() {
    let (access, code) = open();
    let give = || match access.give(&code, PHONE, Instant::now()) {
        Ok(Tried::Right(token)) => token,
        other => panic!("{other:?}"),
    };
    let tokens: Vec<String> = (0..=64).map(|_| give()).collect();
    let knows = |k: usize| access.knows(&tokens[k], PHONE);
    assert!(!knows(0) && knows(1) && knows(64));
}

fn ip(n: u8) -> IpAddr {
    IpAddr::from([192, 0, 2, n])
}

fn gone(place: &mut Place) -> bool {
    place.gone.try_recv() == Err(TryRecvError::Closed)
}

#[test]
fn within_an_address_the_oldest_gives_way() {
    let places = Arc::new(Places::default());
    let mut held: Vec<Place> =
        (0..17).map(|_| places.take(Caller::Stranger, ip(1)).expect("a place")).collect();
    assert!(gone(&mut held[0]) && held[1..].iter_mut().all(|place| !gone(place)));
    assert_eq!(places.callers(), 1);
    drop(held);
    assert_eq!(places.callers(), 0, "nothing is remembered of who left");
}

#[test]
fn strangers_leave_places_to_the_known_and_to_the_machine_itself() {
    let places = Arc::new(Places::default());
    let held: Vec<Option<Place>> = (0..200).map(|n| places.take(Caller::Stranger, ip(n))).collect();
    assert_eq!(held.iter().flatten().count(), 128);
    assert!(places.take(Caller::Stranger, ip(201)).is_none());
    assert!(places.take(Caller::Known, ip(201)).is_some());
    assert!(places.take(Caller::Own, IpAddr::from([127, 0, 0, 1])).is_some());
    drop(held);
    assert!(places.take(Caller::Stranger, ip(201)).is_some());
}

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
