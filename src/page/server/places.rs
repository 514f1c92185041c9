//! How many connections each address may hold at once, so that nobody shuts others
//! out by holding many.
//!
//! ## Why three kinds of callers?
//!
//! Whoever has not given the code needs a page and its files, a few connections for
//! some seconds. The machine itself and devices that were let in have places of
//! their own, which strangers can't take. Within one address the oldest connection
//! gives way to a new one: a browser's are short, idle ones are not.

use std::collections::{HashMap, VecDeque};
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::oneshot;

/// Who calls, as far as its address tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Caller {
    /// A program of this machine.
    Own,
    /// A device that was let in from this address.
    Known,
    /// Anyone else.
    Stranger,
}

impl Caller {
    /// Connections at once: of one address, and of all such callers together.
    fn most(self) -> (usize, usize) {
        match self {
            Caller::Own => (256, 256),
            Caller::Known => (32, 128),
            Caller::Stranger => (16, 128),
        }
    }

    /// The longest that one connection may live.
    pub fn lifetime(self) -> Duration {
        Duration::from_secs(if self == Caller::Stranger { 60 } else { 600 })
    }
}

type Key = (Caller, IpAddr);

/// A connection that holds a place; it ends when its other end is dropped.
type Holder = (u64, oneshot::Sender<()>);

/// The places of a server.
#[derive(Debug, Default)]
pub struct Places {
    taken: Mutex<Taken>,
}

#[derive(Debug, Default)]
struct Taken {
    /// The oldest first.
    holders: HashMap<Key, VecDeque<Holder>>,
    next: u64,
}

/// A place that is taken until this is dropped.
#[derive(Debug)]
pub struct Place {
    places: Arc<Places>,
    key: Key,
    number: u64,
    /// Resolves when this connection has to give way.
    pub gone: oneshot::Receiver<()>,
}

impl Places {
    /// A place for a connection; `None` if all for such callers are taken by others.
    pub fn take(self: &Arc<Self>, caller: Caller, ip: IpAddr) -> Option<Place> {
        let (each, together) = caller.most();
        let key = (caller, ip);
        let mut taken = self.taken();
        let such = taken.holders.iter().filter(|((of, _), _)| *of == caller);
        let full = such.map(|(_, holders)| holders.len()).sum::<usize>() >= together;
        let number = taken.next;
        taken.next += 1;
        let own = taken.holders.entry(key).or_default();
        if own.len() >= each || (full && !own.is_empty()) {
            own.pop_front();
        } else if full {
            taken.holders.remove(&key);
            return None;
        }
        let (holds, gone) = oneshot::channel();
        own.push_back((number, holds));
        Some(Place { places: Arc::clone(self), key, number, gone })
    }

    /// How many callers hold a place now; nothing is remembered of who left.
    pub fn callers(&self) -> usize {
        self.taken().holders.len()
    }

    /// Whatever became of who held the lock: nothing in here can be left half done.
    fn taken(&self) -> MutexGuard<'_, Taken> {
        self.taken.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self.places.taken();
        let Some(own) = taken.holders.get_mut(&self.key) else { return };
        own.retain(|(number, _)| *number != self.number);
        if own.is_empty() {
            taken.holders.remove(&self.key);
        }
    }
}
