//! What keeps other sites away from the office, and the page within its bounds.
//!
//! A site that points its own name at this machine (DNS rebinding) sends that name as `Host`; a page of
//! another site says so in `Sec-Fetch-Site` or `Origin`, which browsers set and scripts cannot. Programs
//! on this machine send neither, and are let in: they can read the folder anyway.

use crate::problem::Problem;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HOST, HeaderName, ORIGIN,
    REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::IpAddr;

/// What pages of this server may do: nothing from elsewhere, nothing inline.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
     font-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'none'";

/// Which names this server goes by.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Known {
    /// Only the loopback address is listened on.
    pub loopback_only: bool,
    pub port: u16,
}

/// Refuses strangers, sets the headers, and puts what a library refused into the API's own words.
pub(crate) async fn shield(State(known): State<Known>, request: Request, next: Next) -> Response {
    let api = request.uri().path().starts_with("/api");
    let mut response = match refusal(known, request.headers(), api) {
        Some(problem) => problem.into_response(),
        None => next.run(request).await,
    };
    let status = response.status();
    let foreign = response.headers().get(CONTENT_TYPE).is_none_or(|t| t != "application/json");
    if (status.is_client_error() || status.is_server_error()) && api && foreign {
        let kept = response.headers().get(axum::http::header::ALLOW).cloned();
        response = Problem::of_status(status).into_response();
        if let Some(allow) = kept {
            response.headers_mut().insert(axum::http::header::ALLOW, allow);
        }
    }
    protect(response.headers_mut(), api);
    response
}

fn refusal(known: Known, headers: &HeaderMap, api: bool) -> Option<Problem> {
    let strange = |code, message: String| {
        let todo = "Open the address that platewright serve printed, in a tab of its own.";
        Some(Problem::new(StatusCode::FORBIDDEN, code, message, todo))
    };
    let mut hosts = headers.get_all(HOST).iter();
    let host = match (hosts.next().and_then(|h| h.to_str().ok()), hosts.next()) {
        (Some(host), None) if is_ours(known, host) => host,
        (Some(host), None) => {
            let shown: String = host.chars().take(80).flat_map(char::escape_debug).collect();
            return strange("wrong-host", format!("This server does not go by the name {shown}."));
        }
        _ => return strange("wrong-host", "The request does not say which host it is for.".into()),
    };
    let from_elsewhere = |what: &str| {
        strange(
            "cross-origin",
            format!("Another site sent this request ({what}); it was not done."),
        )
    };
    if let Some(site) = headers.get("sec-fetch-site") {
        // `none`: the address was typed or opened from outside the browser.
        let own = site == "same-origin" || site == "none";
        if api && !own {
            return from_elsewhere("by Sec-Fetch-Site");
        }
    }
    if let Some(origin) = headers.get(ORIGIN) {
        let own = origin.to_str().is_ok_and(|o| o.eq_ignore_ascii_case(&format!("http://{host}")));
        if !own {
            return from_elsewhere("by Origin");
        }
    }
    None
}

/// Whether a `Host` is this server: its port, and a number or the loopback name. Names that resolve to this
/// machine are other people's to choose.
fn is_ours(known: Known, host: &str) -> bool {
    let Some((name, port)) = host.rsplit_once(':') else { return false };
    if port.parse() != Ok(known.port) || !port.bytes().all(|b| b.is_ascii_digit()) {
        return false;
    }
    if name.eq_ignore_ascii_case("localhost") {
        return true;
    }
    let bare = name.strip_prefix('[').and_then(|n| n.strip_suffix(']')).unwrap_or(name);
    match bare.parse::<IpAddr>() {
        Ok(ip) => !known.loopback_only || ip.is_loopback(),
        Err(_) => false,
    }
}

fn protect(headers: &mut HeaderMap, api: bool) {
    let fixed: [(HeaderName, &str); 6] = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (X_FRAME_OPTIONS, "DENY"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // Drawings are nobody else's business, also not a cache's; the page's files change with the program.
    let cache = if api { "no-store" } else { "no-cache" };
    headers.insert(CACHE_CONTROL, HeaderValue::from_static(cache));
}

/// An answer for a panic in a handler.
pub(crate) fn panicked(payload: Box<dyn std::any::Any + Send>) -> axum::http::Response<Body> {
    let text = payload.downcast_ref::<&str>().map(|s| (*s).to_owned());
    let text = text.or_else(|| payload.downcast_ref::<String>().cloned());
    Problem::internal(text.as_deref().unwrap_or("no words")).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: Known = Known { loopback_only: true, port: 4711 };

    #[test]
    fn hosts() {
        for ours in
            ["127.0.0.1:4711", "localhost:4711", "LocalHost:4711", "[::1]:4711", "127.9.9.9:4711"]
        {
            assert!(is_ours(HERE, ours), "{ours}");
        }
        for foreign in [
            "evil.example:4711",
            "localhost",
            "localhost:80",
            "localhost.evil.example:4711",
            "192.168.1.5:4711",
            "0.0.0.0:4711",
            "127.0.0.1:+4711",
            "127.0.0.1:4711@evil",
            "",
            ":4711",
        ] {
            assert!(!is_ours(HERE, foreign), "{foreign}");
        }
        let open = Known { loopback_only: false, ..HERE };
        assert!(is_ours(open, "192.168.1.5:4711") && !is_ours(open, "evil.example:4711"));
    }
}
