//! From where a request comes, and how.

use crate::state::AppState;
use axum::extract::{ConnectInfo, Request};
use axum::http::HeaderMap;
use std::net::{IpAddr, SocketAddr};

/// The address of the client; none where the request came over no network. Behind a proxy it is
/// the last that the proxy wrote down: those before it are the client's own words.
pub(crate) fn client_address(state: &AppState, request: &Request) -> Option<IpAddr> {
    let peer = request
        .extensions()
        .get::<ConnectInfo<SocketAddr>>()
        .map(|ConnectInfo(address)| address.ip());
    if !state.access().behind_proxy() {
        return peer;
    }
    let lines = request.headers().get_all("x-forwarded-for");
    let last = lines.iter().next_back().and_then(|v| v.to_str().ok());
    last.and_then(|line| line.rsplit(',').next()?.trim().parse().ok())
        .or(peer)
}

/// Whether the client's connection is encrypted, as far as it is known.
pub(crate) fn is_encrypted(state: &AppState, headers: &HeaderMap) -> bool {
    let forwarded = || {
        let proto = headers.get("x-forwarded-proto");
        proto.is_some_and(|p| p.as_bytes().eq_ignore_ascii_case(b"https"))
    };
    let access = state.access();
    access.has_tls() || (access.behind_proxy() && forwarded())
}

/// Whether a `Host` names this machine alone.
pub(super) fn is_loopback_name(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or_default(),
        None => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    let name = name.trim_end_matches('.');
    name.eq_ignore_ascii_case("localhost")
        || name.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback())
}

#[cfg(test)]
mod tests {
    use super::is_loopback_name;

    #[test]
    fn only_names_of_this_machine_are_loopback() {
        for host in [
            "localhost",
            "localhost:8460",
            "LocalHost",
            "127.0.0.1:8460",
            "127.9.9.9",
            "[::1]:8460",
            "[::1]",
        ] {
            assert!(is_loopback_name(host), "{host}");
        }
        for host in [
            "",
            "corrieburn.example",
            "127.0.0.1.corrieburn.example",
            "192.0.2.1:8460",
            "[2001:db8::1]:80",
            "localhost.corrieburn.example:8460",
        ] {
            assert!(!is_loopback_name(host), "{host}");
        }
    }
}
