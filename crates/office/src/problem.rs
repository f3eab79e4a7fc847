//! What a client is told when a request is not done.

use crate::view::FindingOut;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use diag::Refusal;
use serde::Serialize;
use std::io::{self, ErrorKind};

/// A refusal with its status, as the API words it.
#[derive(Clone, Debug)]
pub(crate) struct Problem {
    pub status: StatusCode,
    pub body: Body,
}

/// The shape of the API.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Body {
    pub code: &'static str,
    pub message: String,
    pub what_to_do: String,
    pub findings: Vec<FindingOut>,
}

/// A request that was done, or why not.
pub(crate) type Answer<T> = Result<T, Problem>;

impl Problem {
    pub fn new(
        status: StatusCode,
        code: &'static str,
        message: impl Into<String>,
        what_to_do: impl Into<String>,
    ) -> Problem {
        let (message, what_to_do) = (message.into(), what_to_do.into());
        Problem { status, body: Body { code, message, what_to_do, findings: Vec::new() } }
    }
    pub fn not_found(what: &str) -> Problem {
        let message = format!("There is no such {what} here.");
        Problem::new(StatusCode::NOT_FOUND, "not-found", message, "Go back to the list of jobs.")
    }
    pub fn bad_request(what: impl Into<String>) -> Problem {
        let todo = "Load the page again; a program of your own must keep to the API.";
        Problem::new(StatusCode::BAD_REQUEST, "bad-request", what, todo)
    }
    pub fn will_not_do(message: impl Into<String>, what_to_do: &str) -> Problem {
        Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "will-not-do", message, what_to_do)
    }
    pub fn not_now(message: impl Into<String>, what_to_do: &str) -> Problem {
        Problem::new(StatusCode::CONFLICT, "not-now", message, what_to_do)
    }
    pub fn older_edition(asked: u64, now: u64) -> Problem {
        let message = format!(
            "This change was made on edition {asked} of the plan, and it is at edition {now} by now."
        );
        let todo =
            "Get the plan again, look, and make the change anew; perhaps it is open in two tabs.";
        Problem::new(StatusCode::CONFLICT, "older-edition", message, todo)
    }
    pub fn wrong_type(message: impl Into<String>, what_to_do: &str) -> Problem {
        Problem::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, "wrong-type", message, what_to_do)
    }
    pub fn internal(what: &str) -> Problem {
        let message = format!("We are sorry: this failed, and it is our mistake ({what}).");
        let todo =
            "Nothing was changed. Try again; if it fails again, keep the drawing and report it.";
        Problem::new(StatusCode::INTERNAL_SERVER_ERROR, "internal-error", message, todo)
    }
    /// A file that could not be read or written.
    pub fn disk(what: &str, e: &io::Error) -> Problem {
        let full = matches!(e.kind(), ErrorKind::StorageFull | ErrorKind::QuotaExceeded);
        if full {
            let message =
                format!("The disk is full: {what} could not be kept. Nothing was changed.");
            let todo = "Make room on the disk (old jobs may be deleted), then try again.";
            return Problem::new(StatusCode::INSUFFICIENT_STORAGE, "disk-full", message, todo);
        }
        let message = format!("{what} could not be read or written: {e}. Nothing was changed.");
        let todo = "Check the folder of the jobs and its permissions, then try again.";
        Problem::new(StatusCode::INTERNAL_SERVER_ERROR, "internal-error", message, todo)
    }
    /// With reasons in detail.
    pub fn because(mut self, refusal: &Refusal) -> Problem {
        self.body.findings = refusal.findings.iter().map(FindingOut::without_place).collect();
        self
    }
    /// What stands for a status that some library answered with.
    pub fn of_status(status: StatusCode) -> Problem {
        let mut problem = match status {
            StatusCode::NOT_FOUND => Problem::not_found("page or call"),
            StatusCode::METHOD_NOT_ALLOWED => Problem::new(
                status,
                "wrong-method",
                "This call does not know that method.",
                "A program must keep to the API.",
            ),
            StatusCode::PAYLOAD_TOO_LARGE => Problem::new(
                status,
                "too-large",
                "The request is larger than such a request may be.",
                "Send less at once.",
            ),
            s if s.is_server_error() => Problem::internal("no words"),
            _ => Problem::bad_request("The request cannot be understood."),
        };
        problem.status = status;
        problem
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let body = serde_json::to_vec(&self.body).unwrap_or_default();
        (self.status, [(CONTENT_TYPE, "application/json")], body).into_response()
    }
}

/// Runs work that may panic; a panic is said like any other failure.
pub(crate) fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work)).map_err(|payload| {
        let text = payload.downcast_ref::<&str>().map(|s| (*s).to_owned());
        text.or_else(|| payload.downcast_ref::<String>().cloned())
            .unwrap_or_else(|| "no words".to_owned())
    })
}
