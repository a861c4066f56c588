//! The command line of accounts.

use crate::register::{KeyId, Role};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `vetplate users`
///
/// Passwords are asked for on the terminal, or read as the first line of standard input; they
/// are never arguments, which other programs can see.
#[derive(Debug, Args)]
pub struct UsersArgs {
    /// File of the register, which holds the accounts.
    #[arg(
        long,
        value_name = "FILE",
        global = true,
        env = "VETPLATE_REGISTER",
        default_value = "register.vetplate"
    )]
    pub register: PathBuf,
    /// Who does it, for the accounts' history.
    #[arg(
        long,
        global = true,
        env = "USER",
        value_name = "NAME",
        default_value = "unknown"
    )]
    pub by: String,
    /// What to do.
    #[command(subcommand)]
    pub command: UsersCommand,
}

/// What to do with accounts.
#[derive(Debug, Subcommand)]
pub enum UsersCommand {
    /// Make an account; the register is made where there is none.
    Add(AddUserArgs),
    /// List accounts with their tokens.
    List {
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Give an account another role.
    Role(RoleArgs),
    /// Give an account another password; its sessions end.
    Password(PasswordArgs),
    /// Make a token for a program; it is shown once.
    Token(TokenArgs),
    /// Remove an account, or one of its tokens; what they did stays in the history.
    Remove(RemoveUserArgs),
}

/// `vetplate users add`
#[derive(Debug, Args)]
pub struct AddUserArgs {
    /// Name, as it is to stand in the history.
    #[arg(value_name = "NAME", value_parser = name)]
    pub name: String,
    /// reader (looks), inspector (brings in photos and records inspections), reviewer (decides
    /// what plates say) or administrator (locations and bulk imports); each may all that those
    /// before may.
    #[arg(long, value_name = "ROLE", value_parser = role)]
    pub role: Role,
    /// For programs alone: no password, so that nobody can sign in.
    #[arg(long)]
    pub no_password: bool,
}

/// `vetplate users role`
#[derive(Debug, Args)]
pub struct RoleArgs {
    /// Name of the account.
    #[arg(value_name = "NAME")]
    pub name: String,
    /// Its new role.
    #[arg(value_name = "ROLE", value_parser = role)]
    pub role: Role,
}

/// `vetplate users password`
#[derive(Debug, Args)]
pub struct PasswordArgs {
    /// Name of the account.
    #[arg(value_name = "NAME")]
    pub name: String,
}

/// `vetplate users token`
#[derive(Debug, Args)]
pub struct TokenArgs {
    /// Name of the account that the program acts for.
    #[arg(value_name = "NAME")]
    pub name: String,
    /// What the token is for, such as 'tablet of the still house'.
    #[arg(long, value_name = "TEXT", value_parser = name)]
    pub label: String,
    /// Less than the account may; without it, as much.
    #[arg(long, value_name = "ROLE", value_parser = role)]
    pub role: Option<Role>,
    /// After how many days it runs out; 0 for never.
    #[arg(long, value_name = "DAYS", default_value_t = 365, value_parser = clap::value_parser!(u16).range(0..=3650))]
    pub days: u16,
}

/// `vetplate users remove`
#[derive(Debug, Args)]
pub struct RemoveUserArgs {
    /// Name of the account.
    #[arg(value_name = "NAME")]
    pub name: String,
    /// Only this token, by the number that `list` shows.
    #[arg(long, value_name = "NUMBER")]
    pub token: Option<KeyId>,
}

fn role(text: &str) -> Result<Role, String> {
    Role::from_name(text)
        .ok_or_else(|| "it is reader, inspector, reviewer or administrator".to_owned())
}

fn name(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > 200 || text.chars().any(char::is_control) {
        return Err("give 1 to 200 characters on one line".to_owned());
    }
    Ok(text.to_owned())
}
