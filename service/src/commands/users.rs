//! `vetplate users`: who may use the service.

use super::Streams;
use super::import::register_failed;
use crate::access::{PasswordError, hash_password, new_key};
use crate::cli::{AddUserArgs, TokenArgs, UsersArgs, UsersCommand};
use crate::environment::Environment;
use crate::failure::{Ending, Failure};
use crate::register::{KeyKind, KeyRecord, NewKey, People, SqliteRegister};
use jiff::SignedDuration;
use serde_json::json;
use std::io::Read;

/// Asks somebody for a password; `None` where there is no terminal.
pub type Secret<'a> = dyn FnMut(&str) -> std::io::Result<Option<String>> + 'a;

/// Longest line that is taken for a password, bytes.
const MAX_LINE: u64 = 4096;

/// Makes, lists, changes and removes accounts.
///
/// # Errors
///
/// [`Failure`] where the register cannot be used, or the answer cannot be written.
pub fn users(
    args: &UsersArgs,
    environment: &Environment,
    secret: &mut Secret<'_>,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let create = matches!(args.command, UsersCommand::Add(_));
    let register = SqliteRegister::open(&args.register, create, environment.clone())
        .map_err(register_failed)?;
    let who = &args.by;
    match &args.command {
        UsersCommand::Add(add_args) => add(add_args, who, &register, secret, streams)?,
        UsersCommand::List { json } => list(*json, &register, streams)?,
        UsersCommand::Role(args) => {
            let (name, role) = (&args.name, args.role);
            register
                .set_role(name, role, who)
                .map_err(register_failed)?;
            writeln!(streams.output, "{name} has the role {role} now.")?;
        }
        UsersCommand::Password(args) => {
            let name = &args.name;
            // Before anybody types a password for nothing.
            register.keys(name).map_err(register_failed)?;
            let hash = hashed(name, secret, streams)?;
            register
                .set_password(name, &hash, who)
                .map_err(register_failed)?;
            writeln!(
                streams.output,
                "{name} has a new password; its sessions ended."
            )?;
        }
        UsersCommand::Token(args) => token(args, who, environment, &register, streams)?,
        UsersCommand::Remove(args) => {
            let name = &args.name;
            if let Some(token) = args.token {
                register
                    .remove_key(name, token, who)
                    .map_err(register_failed)?;
                writeln!(streams.output, "Token {token} of {name} is good no more.")?;
            } else {
                register
                    .remove_account(name, who)
                    .map_err(register_failed)?;
                writeln!(
                    streams.output,
                    "{name} is removed, with sessions and tokens."
                )?;
                warn_of_none_left(&register, streams)?;
            }
        }
    }
    streams.output.flush()?;
    Ok(Ending::Answered)
}

fn warn_of_none_left(register: &SqliteRegister, streams: &mut Streams<'_>) -> Result<(), Failure> {
    if !register.has_accounts().map_err(register_failed)? {
        writeln!(
            streams.messages,
            "vetplate: no account is left: started again, the service is open to everyone at its \
             machine, and listens nowhere else"
        )?;
    }
    Ok(())
}

fn add(
    args: &AddUserArgs,
    who: &str,
    register: &SqliteRegister,
    secret: &mut Secret<'_>,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    let password = if args.no_password {
        None
    } else {
        Some(hashed(&args.name, secret, streams)?)
    };
    let account = register
        .add_account(&args.name, args.role, password.as_deref(), who)
        .map_err(register_failed)?;
    writeln!(
        streams.output,
        "{} is {} now.",
        account.name,
        article(account.role.name())
    )?;
    Ok(())
}

fn article(role: &str) -> String {
    let vowel = role.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {role}", if vowel { "an" } else { "a" })
}

/// The hash of a password from the terminal, typed twice, or of the first line of input.
fn hashed(
    name: &str,
    secret: &mut Secret<'_>,
    streams: &mut Streams<'_>,
) -> Result<String, Failure> {
    let password = match secret(&format!("Password of {name}: "))? {
        Some(typed) => {
            let again = secret("Once more: ")?;
            if again.as_deref() != Some(&typed) {
                return Err(Failure::Usage(
                    "the two passwords differ; nothing was changed".to_owned(),
                ));
            }
            typed
        }
        None => first_line(streams.input)?,
    };
    hash_password(name, &password).map_err(|error| match error {
        PasswordError::Failed(_) => Failure::Internal(error.to_string()),
        _ => Failure::Usage(format!("{error}; nothing was changed")),
    })
}

fn first_line(input: &mut dyn Read) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    input.take(MAX_LINE).read_to_end(&mut bytes)?;
    let text = String::from_utf8(bytes)
        .map_err(|_| Failure::Usage("the password is not UTF-8 text".to_owned()))?;
    Ok(text.lines().next().unwrap_or_default().to_owned())
}

fn token(
    args: &TokenArgs,
    who: &str,
    environment: &Environment,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    let key = new_key().map_err(|e| Failure::Internal(e.to_string()))?;
    let hours = i64::from(args.days) * 24;
    let kept = NewKey {
        kind: KeyKind::Token,
        label: args.label.clone(),
        role: args.role,
        sha256: key.sha256,
        expires_at: (args.days > 0)
            .then(|| environment.clock() + SignedDuration::from_hours(hours)),
    };
    let id = register
        .add_key(&args.name, &kept, who)
        .map_err(register_failed)?;
    writeln!(
        streams.messages,
        "Token {id} of {}; it is shown this once:",
        args.name
    )?;
    writeln!(streams.output, "{}", key.secret)?;
    Ok(())
}

fn list(json: bool, register: &SqliteRegister, streams: &mut Streams<'_>) -> Result<(), Failure> {
    let mut entries = Vec::new();
    for account in register.accounts().map_err(register_failed)? {
        let keys = register.keys(&account.name).map_err(register_failed)?;
        let (tokens, sessions): (Vec<_>, Vec<_>) =
            keys.into_iter().partition(|key| key.kind == KeyKind::Token);
        if json {
            entries.push(json!({
                "name": account.name,
                "role": account.role,
                "password": account.password,
                "created_at": account.created_at,
                "sessions": sessions.len(),
                "tokens": tokens,
            }));
            continue;
        }
        let sign_in = if account.password {
            ""
        } else {
            "  no password"
        };
        writeln!(
            streams.output,
            "{}  {}{sign_in}",
            account.name, account.role
        )?;
        for token in &tokens {
            writeln!(streams.output, "    {}", token_line(token))?;
        }
    }
    if json {
        writeln!(streams.output, "{}", json!({ "accounts": entries }))?;
    }
    Ok(())
}

fn token_line(token: &KeyRecord) -> String {
    let day = |at: jiff::Timestamp| at.strftime("%F").to_string();
    let role = token.role.map(|role| format!(", as {role}"));
    let until = token
        .expires_at
        .map_or_else(|| "for good".to_owned(), |at| format!("until {}", day(at)));
    let used = token.used_at.map_or_else(
        || "never used".to_owned(),
        |at| format!("last used {}", day(at)),
    );
    format!(
        "token {}: {}{}, {until}, {used}",
        token.id,
        token.label,
        role.unwrap_or_default()
    )
}
