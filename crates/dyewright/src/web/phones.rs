//! Who has come in from the house network: codes given out once, phones that ask, phones that were allowed.
//!
//! Nothing listens on the network until the maker opens this door, and then a phone has to bring the code that the
//! screen shows, and to be allowed on that screen. Closing the door forgets them all.

use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::oneshot;
use workroom::Trouble;

/// How long a code may be used.
const CODE_LIVES: Duration = Duration::from_secs(5 * 60);

/// Wrong codes after which the code given out no longer counts.
const MOST_WRONG: u32 = 5;

/// Letters of a code: none that is taken for another.
const LETTERS: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

/// Letters of a code: 40 bits.
const CODE_LENGTH: usize = 8;

/// Phones that may wait or be in at once.
const MOST_PHONES: usize = 12;

/// A phone that asked to come in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Phone {
    /// Its number on the screen.
    pub(super) number: usize,
    /// What its browser calls itself, shortened.
    pub(super) calls_itself: String,
    /// Whether it was allowed.
    pub(super) allowed: bool,
    token: String,
}

/// The door to the house network.
#[derive(Default)]
pub(super) struct Phones {
    inside: Mutex<Inside>,
}

#[derive(Default)]
struct Inside {
    open: Option<Open>,
    code: Option<Code>,
    phones: Vec<Phone>,
    next: usize,
}

struct Open {
    address: SocketAddr,
    /// Dropping it closes the door.
    _shut: oneshot::Sender<()>,
}

struct Code {
    letters: String,
    given: Instant,
    wrong: u32,
}

/// What became of a phone's wish to come in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Asked {
    /// It waits; this token is how it is known from now on.
    Waits(String),
    /// The code is wrong, used, or too old.
    Wrong,
    /// Too many wait already.
    Full,
}

impl Phones {
    /// The address on the house network, when the door is open.
    pub(super) fn address(&self) -> Option<SocketAddr> {
        self.inside().open.as_ref().map(|open| open.address)
    }

    /// Notes that the door is open; dropping what is kept closes it.
    pub(super) fn opened(&self, address: SocketAddr, shut: oneshot::Sender<()>) {
        self.inside().open = Some(Open { address, _shut: shut });
    }

    /// Closes the door and forgets every phone.
    pub(super) fn close(&self) {
        *self.inside() = Inside::default();
    }

    /// The code to show: the one given out while it lives, else a new one.
    pub(super) fn code(&self) -> Result<String, Trouble> {
        let mut inside = self.inside();
        if let Some(code) = &inside.code
            && code.lives()
        {
            return Ok(code.letters.clone());
        }
        let letters = letters(CODE_LENGTH)?;
        let code = Code { letters: letters.clone(), given: Instant::now(), wrong: 0 };
        inside.code = Some(code);
        Ok(letters)
    }

    /// A phone brings a code.
    pub(super) fn ask(&self, code: &str, calls_itself: &str) -> Result<Asked, Trouble> {
        let given: String =
            code.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_uppercase();
        let token = letters(32)?;
        let mut inside = self.inside();
        let Some(known) = inside.code.as_mut().filter(|code| code.lives()) else {
            return Ok(Asked::Wrong);
        };
        if known.letters != given {
            known.wrong += 1;
            return Ok(Asked::Wrong);
        }
        if inside.phones.len() >= MOST_PHONES {
            return Ok(Asked::Full);
        }
        inside.code = None;
        inside.next += 1;
        let number = inside.next;
        let calls_itself: String =
            calls_itself.chars().filter(|c| !c.is_control()).take(90).collect();
        inside.phones.push(Phone { number, calls_itself, allowed: false, token: token.clone() });
        Ok(Asked::Waits(token))
    }

    /// Whether the phone of this token waits (`Some(false)`) or is in (`Some(true)`).
    pub(super) fn known(&self, token: &str) -> Option<bool> {
        self.inside().phones.iter().find(|phone| phone.token == token).map(|phone| phone.allowed)
    }

    /// Those that wait or are in.
    pub(super) fn all(&self) -> Vec<Phone> {
        self.inside().phones.clone()
    }

    /// Lets a phone in.
    pub(super) fn allow(&self, number: usize) {
        for phone in self.inside().phones.iter_mut().filter(|phone| phone.number == number) {
            phone.allowed = true;
        }
    }

    /// Sends a phone away.
    pub(super) fn refuse(&self, number: usize) {
        self.inside().phones.retain(|phone| phone.number != number);
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Code {
    fn lives(&self) -> bool {
        self.given.elapsed() < CODE_LIVES && self.wrong < MOST_WRONG
    }
}

fn letters(length: usize) -> Result<String, Trouble> {
    let mut bytes = vec![0_u8; length];
    getrandom::fill(&mut bytes).map_err(|e| Trouble::Broken {
        doing: "asking for chance from",
        path: "this machine".into(),
        why: e.to_string(),
    })?;
    Ok(bytes.iter().map(|byte| char::from(LETTERS[usize::from(byte % 32)])).collect())
}

/// This machine's own address on the house network: the one it would send from. Nothing is sent to find it: naming a
/// peer of a datagram socket only looks at the routes (192.0.2.1 is kept for documentation, RFC 5737).
pub(super) fn house_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    socket.connect("192.0.2.1:9").ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_loopback() && !address.is_unspecified()).then_some(address)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phone_needs_the_code_and_to_be_allowed_and_a_code_counts_once() -> Result<(), Trouble> {
        let phones = Phones::default();
        assert_eq!(phones.ask("ANYTHING", "x")?, Asked::Wrong, "no code was given out");
        let code = phones.code()?;
        assert_eq!(phones.code()?, code, "the same while it lives");
        assert_eq!(phones.ask("WRONG", "x")?, Asked::Wrong);
        let typed = format!(" {} ", code.to_lowercase());
        let Asked::Waits(token) = phones.ask(&typed, "a phone\n")? else { panic!("not taken") };
        assert_eq!(phones.ask(&code, "another")?, Asked::Wrong, "a code counts once");
        assert_eq!(phones.known(&token), Some(false));
        assert_eq!(phones.known("nobody"), None);
        let number = phones.all()[0].number;
        phones.allow(number);
        assert_eq!(phones.known(&token), Some(true));
        phones.refuse(number);
        assert_eq!(phones.known(&token), None);
        Ok(())
    }

    #[test]
    fn guessing_ends_the_code_and_closing_forgets_everybody() -> Result<(), Trouble> {
        let phones = Phones::default();
        let code = phones.code()?;
        for _ in 0..MOST_WRONG {
            assert_eq!(phones.ask("GUESSING", "x")?, Asked::Wrong);
        }
        assert_eq!(phones.ask(&code, "x")?, Asked::Wrong);
        let Asked::Waits(token) = phones.ask(&phones.code()?, "x")? else { panic!("not taken") };
        phones.close();
        assert_eq!(phones.known(&token), None);
        Ok(())
    }
}
