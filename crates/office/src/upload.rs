//! A drawing on its way in: streamed to disk, never held in memory, hashed on the way.
//!
//! Whatever ends an upload early (a closed tab, a limit, a full disk), its half file goes with it.

use crate::office::{Office, Taken, Upload, given_name};
use crate::problem::{Answer, Problem};
use crate::{names, routes};
use axum::body::Body;
use axum::extract::Request;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE, EXPECT};
use diag::Refusal;
use futures_util::StreamExt;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::io::AsyncWriteExt;

/// What is looked at to tell what a file is.
const HEAD: u64 = 1 << 20;
/// How much more than the limit is listened to, so that the answer can be heard: a browser that is still
/// sending hears nothing.
const LISTENED_TO: u64 = 4 << 30;

/// The query of an upload.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Query {
    name: String,
    project: Option<String>,
    lot: Option<String>,
    revision_of: Option<String>,
    #[serde(default)]
    again: bool,
}

/// A half file, removed unless it was kept.
struct Partial(PathBuf);

impl Drop for Partial {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}

/// Takes a drawing in.
pub(crate) async fn take(office: Arc<Office>, query: Query, request: Request) -> Answer<Taken> {
    checked_names(&query)?;
    let (parts, body) = request.into_parts();
    let header = |name| parts.headers.get(name).and_then(|v| v.to_str().ok());
    let typed = header(CONTENT_TYPE).unwrap_or_default();
    if !typed
        .split(';')
        .next()
        .unwrap_or("")
        .trim()
        .eq_ignore_ascii_case("application/octet-stream")
    {
        let message = "A drawing is sent as application/octet-stream.";
        return Err(Problem::wrong_type(
            message,
            "Send the file's bytes as the body, one file a request.",
        ));
    }
    let revision_of = match &query.revision_of {
        Some(old) => Some(office.find(old)?.id),
        None => None,
    };
    let announced: Option<u64> = header(CONTENT_LENGTH).and_then(|l| l.parse().ok());
    let asks_first = header(EXPECT).is_some();
    let limit = office.config.upload_bytes;
    let partial = Partial(office.next_incoming());
    if announced.is_some_and(|n| n > limit) {
        if !asks_first {
            let _ = tokio::time::timeout(office.config.upload_time, listen(body)).await;
        }
        return Err(too_large(announced, limit));
    }
    let streamed = stream(body, &partial.0, limit);
    let (bytes, sha256) = match tokio::time::timeout(office.config.upload_time, streamed).await {
        Ok(done) => done?,
        Err(_) => {
            let seconds = office.config.upload_time.as_secs();
            let message = format!(
                "The drawing had not arrived after {seconds} seconds; what had come was dropped."
            );
            let todo = "Try again; on a slow line, put the file on this machine first.";
            return Err(Problem::new(StatusCode::REQUEST_TIMEOUT, "too-slow", message, todo));
        }
    };
    routes::blocking(move || {
        let file = names::file_name(&query.name);
        sniff(&partial.0, &file, bytes)?;
        let (project, lot) =
            (given_name(query.project.as_deref()), given_name(query.lot.as_deref()));
        let upload = Upload {
            path: partial.0.clone(),
            file,
            project,
            lot,
            revision_of,
            again: query.again,
            bytes,
            sha256,
        };
        office.take_in(&upload)
    })
    .await
}

fn checked_names(q: &Query) -> Answer<()> {
    let texts = [Some(&q.name), q.project.as_ref(), q.lot.as_ref()];
    if q.name.is_empty() || texts.into_iter().flatten().any(|t| t.chars().count() > 1000) {
        let message =
            "The name of the drawing is missing, or a name is longer than 1000 characters.";
        return Err(Problem::will_not_do(message, "Give the file a name."));
    }
    Ok(())
}

fn too_large(announced: Option<u64>, limit: u64) -> Problem {
    let megabytes = |n: u64| format!("{} MB", n.div_ceil(1 << 20));
    let size = announced.map_or(String::new(), |n| format!(" of {}", megabytes(n)));
    let message = format!(
        "This file{size} is larger than the largest drawing taken here, {}. Nothing was kept.",
        megabytes(limit)
    );
    let todo = "Purge the drawing and explode nothing into it, or save only the floor plans; the command line takes up to 2 GiB, and serve's own limit is --upload-limit.";
    Problem::new(StatusCode::PAYLOAD_TOO_LARGE, "too-large", message, todo)
}

/// Reads a body to its end and keeps nothing of it.
async fn listen(body: Body) {
    let mut stream = body.into_data_stream();
    let mut heard = 0_u64;
    while let Some(Ok(chunk)) = stream.next().await {
        heard += chunk.len() as u64;
        if heard > LISTENED_TO {
            return;
        }
    }
}

/// Writes a body to a file; its size and SHA-256.
async fn stream(body: Body, path: &Path, limit: u64) -> Answer<(u64, String)> {
    let disk = |e: std::io::Error| Problem::disk("the drawing", &e);
    let mut file = tokio::fs::File::create(path).await.map_err(disk)?;
    let (mut size, mut hash) = (0_u64, Sha256::new());
    let mut body = body.into_data_stream();
    while let Some(chunk) = body.next().await {
        let chunk = chunk.map_err(|_| {
            Problem::bad_request("The upload broke off; what had come was dropped.")
        })?;
        size += chunk.len() as u64;
        if size > limit {
            drop(file);
            let _ = std::fs::remove_file(path);
            while let Some(Ok(_)) = body.next().await {}
            return Err(too_large(None, limit));
        }
        hash.update(&chunk);
        file.write_all(&chunk).await.map_err(disk)?;
    }
    file.flush().await.map_err(disk)?;
    // On disk before it is said to be kept.
    file.sync_all().await.map_err(disk)?;
    let hash = hash.finalize().iter().map(|b| format!("{b:02x}")).collect();
    Ok((size, hash))
}

/// Refuses what is no drawing, and says what it is.
fn sniff(path: &Path, file_name: &str, size: u64) -> Answer<()> {
    let disk = |e: std::io::Error| Problem::disk("the drawing", &e);
    let mut head = Vec::new();
    let file = std::fs::File::open(path).map_err(disk)?;
    file.take(HEAD).read_to_end(&mut head).map_err(disk)?;
    let mut told = pipeline::format_of(&head, file_name);
    if told.is_err() && size > HEAD {
        // An archive's list stands at its end.
        told = pipeline::format_of(&std::fs::read(path).map_err(disk)?, file_name);
    }
    told.map(|_| ()).map_err(|refusal: Refusal| {
        let first = refusal.findings.first();
        let message = first.map_or_else(|| "This is no drawing.".to_owned(), |f| f.message.clone());
        let todo = first.map_or("Save the drawing as DXF or IFC.", |f| f.code.info().remedy);
        Problem::wrong_type(message, todo).because(&refusal)
    })
}
