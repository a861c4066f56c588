//! Who may do what.
//!
//! [`PERMISSIONS`] is the one list of routes with what each asks for; `guard` stands before
//! every route, and a route that is not in the list is open to nobody. Where the register has
//! accounts, whoever acts is known by a session cookie or a token, and the name that is kept
//! with a decision is that of the account. Without accounts the service is for the people at
//! its machine: it listens on loopback alone, and the client says who acts.

mod acting;
mod address;
mod cookie;
mod guard;
mod key;
mod openapi;
mod origin;
mod password;
mod permissions;
mod state;
mod throttle;

pub(crate) use acting::Acting;
pub(crate) use address::{client_address, is_encrypted};
pub(crate) use cookie::{end_cookie, session_cookie, session_of};
pub(crate) use guard::{guard, identify};
pub(crate) use key::digest;
pub use key::{Key, new_key};
pub(crate) use openapi::describe;
pub use password::{PasswordError, hash_password};
pub(crate) use password::{verify_nobody, verify_password};
pub use permissions::{Need, PERMISSIONS, Permission};
pub(crate) use state::AccessState;
pub(crate) use throttle::Throttle;

use crate::register::Role;

/// The words by which a client hears what it may do, and the least role of each.
pub(crate) const RIGHTS: [(&str, Role); 4] = [
    ("read", Role::Reader),
    ("inspect", Role::Inspector),
    ("review", Role::Reviewer),
    ("administer", Role::Administrator),
];
