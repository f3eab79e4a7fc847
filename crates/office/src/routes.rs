//! The HTTP calls, one function each, in the order of `docs/office-api.md`.

use crate::frame::tidy;
use crate::names;
use crate::office::{Office, Seen, given_name};
use crate::problem::{Answer, Problem, caught};
use crate::results::{described, rank};
use crate::review::{self, Edit, not_open};
use crate::shield::{self, Known};
use crate::view::{self, JobOut};
use crate::{folder, job, locked, page, upload};
use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{DefaultBodyLimit, Path, RawQuery, Request, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post, put};
use futures_util::stream;
use overrides::Form;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::json;
use sheets::Paper;
use std::io::Read;
use std::sync::Arc;
use tokio::sync::Semaphore;
use tower_http::catch_panic::CatchPanicLayer;

/// Bodies other than drawings: the longest overrides are some MB.
const MOST_BODY: usize = 16 << 20;
/// Uploads at once; more are told to come again.
const MOST_UPLOADS: usize = 128;
/// Calls that may read or plan a drawing, at once: this and the workers bound the memory.
const HEAVY: usize = 2;

/// What every call has at hand.
#[derive(Clone)]
pub(crate) struct Desk {
    office: Arc<Office>,
    heavy: Arc<Semaphore>,
    uploads: Arc<Semaphore>,
}

/// All routes.
pub(crate) fn all(office: Arc<Office>, known: Known) -> Router {
    let desk = Desk {
        office,
        heavy: Arc::new(Semaphore::new(HEAVY)),
        uploads: Arc::new(Semaphore::new(MOST_UPLOADS)),
    };
    Router::new()
        .route("/", get(page::index))
        .route("/assets/{name}", get(page::asset))
        .route("/api/about", get(about))
        .route("/api/codes", get(codes))
        .route("/api/jobs", get(list).post(upload).layer(DefaultBodyLimit::disable()))
        .route("/api/jobs/{id}", get(one).patch(rename).delete(delete))
        .route("/api/jobs/{id}/cancel", post(cancel))
        .route("/api/jobs/{id}/again", post(again))
        .route("/api/jobs/{id}/drawing", get(drawing))
        .route("/api/jobs/{id}/reading", get(reading))
        .route("/api/jobs/{id}/plan", get(plan))
        .route("/api/jobs/{id}/picture", get(picture))
        .route("/api/jobs/{id}/overrides", get(overrides_now).put(put_overrides))
        .route("/api/jobs/{id}/overrides.toml", get(overrides_file))
        .route("/api/jobs/{id}/settings", get(settings_now).put(put_settings))
        .route("/api/jobs/{id}/findings/{key}", put(tick))
        .route("/api/jobs/{id}/files", get(files))
        .route("/api/jobs/{id}/files/{name}", get(file))
        .route("/api/jobs/{id}/zip", get(zip))
        .route("/api/jobs/{id}/compare/{old}", get(compare))
        .route("/api/jobs/{id}/compare/{old}/changes.svg", get(changes))
        .layer(DefaultBodyLimit::max(MOST_BODY))
        .layer(CatchPanicLayer::custom(shield::panicked))
        .layer(middleware::from_fn_with_state(known, shield::shield))
        .with_state(desk)
}

/// Runs work that waits for the disk away from the threads that answer; a panic is an answer too.
pub(crate) async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Answer<T> + Send + 'static,
) -> Answer<T> {
    match tokio::task::spawn_blocking(|| caught(work)).await {
        Ok(Ok(answer)) => answer,
        Ok(Err(what)) => Err(Problem::internal(&what)),
        Err(_) => Err(Problem::internal("the work was dropped")),
    }
}

impl Desk {
    /// Quick work on a job.
    async fn quick<T: Send + 'static>(
        self,
        work: impl FnOnce(&Office) -> Answer<T> + Send + 'static,
    ) -> Answer<T> {
        blocking(move || work(&self.office)).await
    }
    /// Work that may read or plan a drawing.
    async fn heavy<T: Send + 'static>(
        self,
        work: impl FnOnce(&Office) -> Answer<T> + Send + 'static,
    ) -> Answer<T> {
        let Ok(_one) = Arc::clone(&self.heavy).acquire_owned().await else {
            return Err(Problem::internal("closing"));
        };
        blocking(move || work(&self.office)).await
    }
}

/// JSON, written once.
fn answer(status: StatusCode, value: &impl Serialize) -> Response {
    match serde_json::to_vec(value) {
        Ok(body) => (status, [(CONTENT_TYPE, "application/json")], body).into_response(),
        Err(e) => Problem::internal(&e.to_string()).into_response(),
    }
}
fn ok(value: &impl Serialize) -> Response {
    answer(StatusCode::OK, value)
}

/// A JSON body of a known shape.
fn body<T: DeserializeOwned>(headers: &HeaderMap, bytes: &[u8]) -> Answer<T> {
    let typed = headers.get(CONTENT_TYPE).and_then(|t| t.to_str().ok()).unwrap_or_default();
    let main = typed.split(';').next().unwrap_or_default().trim();
    if !main.eq_ignore_ascii_case("application/json") {
        let message = "This call wants application/json.";
        return Err(Problem::wrong_type(message, "A program must keep to the API."));
    }
    serde_json::from_slice(bytes).map_err(|e| {
        if e.is_data() {
            let todo = "Load the page again; a program must keep to the API.";
            Problem::will_not_do(format!("The request does not have the right form: {e}."), todo)
        } else {
            Problem::bad_request(format!("The request is not JSON: {e}."))
        }
    })
}

async fn about(State(desk): State<Desk>) -> Response {
    ok(&view::about(&desk.office.config))
}
async fn codes() -> Response {
    ok(&view::codes())
}

async fn list(State(desk): State<Desk>) -> Answer<Response> {
    desk.quick(|office| {
        let (jobs, change) = office.list();
        let jobs: Vec<JobOut> = jobs.iter().map(JobOut::of).collect();
        Ok(ok(&json!({ "jobs": jobs, "change": change })))
    })
    .await
}

async fn upload(
    State(desk): State<Desk>,
    RawQuery(query): RawQuery,
    request: Request,
) -> Answer<Response> {
    let query: upload::Query = serde_urlencoded::from_str(query.as_deref().unwrap_or_default())
        .map_err(|e| Problem::bad_request(format!("The query of the upload: {e}.")))?;
    let Ok(_one) = Arc::clone(&desk.uploads).try_acquire_owned() else {
        let message = format!("{MOST_UPLOADS} drawings are on their way in already.");
        let todo = "Wait a moment and send this one again.";
        return Err(Problem::new(StatusCode::TOO_MANY_REQUESTS, "too-many", message, todo));
    };
    let office = Arc::clone(&desk.office);
    let taken = upload::take(office, query, request).await?;
    desk.quick(move |office| {
        let job = JobOut::of(&office.get(&taken.id)?);
        let status = if taken.already_there { StatusCode::OK } else { StatusCode::CREATED };
        let said = json!({ "job": job, "already_there": taken.already_there, "told": taken.told });
        Ok(answer(status, &said))
    })
    .await
}

async fn one(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.quick(move |office| Ok(ok(&JobOut::of(&office.find(&id)?)))).await
}

/// Names of a job, to be changed.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Names {
    project: Option<String>,
    lot: Option<String>,
    paper: Option<String>,
}

async fn rename(
    State(desk): State<Desk>,
    Path(id): Path<String>,
    headers: HeaderMap,
    bytes: Bytes,
) -> Answer<Response> {
    let new: Names = body(&headers, &bytes)?;
    desk.quick(move |office| {
        let seen = office.find(&id)?;
        if [&new.project, &new.lot].into_iter().flatten().any(|n| n.chars().count() > 200) {
            let message = "A project or lot name has at most 200 characters.";
            return Err(Problem::will_not_do(message, "Give a shorter name."));
        }
        let paper = match &new.paper {
            Some(name) => match Paper::ALL.into_iter().find(|p| p.name() == name) {
                Some(paper) => Some(paper),
                None => {
                    let message = "The paper is letter, a4 or tabloid.";
                    return Err(Problem::will_not_do(message, "Choose one of these."));
                }
            },
            None => None,
        };
        not_open(&seen.job.record)?;
        let turn = Arc::clone(&seen.job.turn);
        let _turn = locked(&turn);
        let seen = office.update(&seen.id, |r| {
            not_open(r)?;
            let before = (r.project.clone(), r.lot.clone(), r.paper.clone());
            if let Some(project) = &new.project {
                r.project = given_name(Some(project)).unwrap_or_default();
            }
            if let Some(lot) = &new.lot {
                r.lot = given_name(Some(lot)).unwrap_or_default();
            }
            if let Some(paper) = paper {
                r.paper = paper.name().to_owned();
            }
            r.edition += u64::from(before != (r.project.clone(), r.lot.clone(), r.paper.clone()));
            Ok(())
        })?;
        Ok(ok(&JobOut::of(&seen)))
    })
    .await
}

async fn delete(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.quick(move |office| {
        let seen = office.find(&id)?;
        if seen.job.record.state == job::State::Working {
            return Err(Problem::not_now("This job is being worked on.", "Stop it first."));
        }
        let _turn = locked(&seen.job.turn);
        office.remove(&seen.id)?;
        Ok(StatusCode::NO_CONTENT.into_response())
    })
    .await
}
async fn cancel(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.quick(move |office| {
        let id = office.find(&id)?.id;
        Ok(ok(&JobOut::of(&office.cancel(&id)?)))
    })
    .await
}
async fn again(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.quick(move |office| {
        let seen = office.find(&id)?;
        not_open(&seen.job.record)?;
        let _turn = locked(&seen.job.turn);
        Ok(ok(&JobOut::of(&office.again(&seen.id)?)))
    })
    .await
}

async fn drawing(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let r = review::review(office, office.find(&id)?)?;
        let bytes = office.folder.drawing(&r.seen.id);
        let bytes = bytes.map_err(|e| Problem::disk("the drawing", &e))?;
        let picture = import_dxf::sniff(&bytes)
            .then(|| import_dxf::picture(&bytes, r.read.settings.code_page));
        Ok(ok(&view::drawing(picture.as_ref(), &r)))
    })
    .await
}
async fn reading(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let r = review::review(office, office.find(&id)?)?;
        let bytes = || office.folder.drawing(&r.seen.id);
        let inspected = r.read.inspection(&r.seen.job.record.file, bytes);
        let inspected = inspected.map_err(|e| Problem::disk("the drawing", &e))?;
        match inspected {
            Ok(inspection) => Ok(ok(&view::reading(&r, inspection))),
            Err(refusal) => {
                let message = "This file cannot be read.";
                Err(Problem::will_not_do(message, "Export the drawing again.").because(refusal))
            }
        }
    })
    .await
}
async fn plan(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let r = review::review(office, office.find(&id)?)?;
        Ok(ok(&view::plan(&office.folder, &r, false)?))
    })
    .await
}
async fn picture(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let r = review::review(office, office.find(&id)?)?;
        let Ok(planned) = &r.now.planned else {
            let todo = "Look at its findings first.";
            return Err(Problem::not_now("There is no plan of this drawing.", todo));
        };
        let d = &planned.document;
        let failed = |e: &dyn std::fmt::Display| Problem::internal(&e.to_string());
        let (pictures, facts) = export::pictures(d).map_err(|e| failed(&e))?;
        let facts: serde_json::Value = serde_json::from_str(&facts).map_err(|e| failed(&e))?;
        let storey = |p: export::Picture| {
            json!({
                "id": plan_model::storey_id_name(wall_model::StoreyId(p.storey as u32)),
                "name": p.name, "view_box": p.view_box, "font_size": p.font_size, "svg": p.svg,
            })
        };
        let storeys: Vec<serde_json::Value> = pictures.into_iter().map(storey).collect();
        let offset = r.frame.plan_offset(d.origin_inches).map(tidy);
        Ok(ok(&json!({ "plan_offset": offset, "storeys": storeys, "facts": facts })))
    })
    .await
}

async fn overrides_now(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let r = review::review(office, office.find(&id)?)?;
        let mut form = r.now.overrides.form().clone();
        r.frame.form_to_page(&mut form);
        Ok(ok(&json!({ "edition": r.seen.job.record.edition, "overrides": form })))
    })
    .await
}

/// A change of the edits.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OverridesPut {
    edition: u64,
    overrides: Form,
}

async fn put_overrides(
    State(desk): State<Desk>,
    Path(id): Path<String>,
    headers: HeaderMap,
    bytes: Bytes,
) -> Answer<Response> {
    let put: OverridesPut = body(&headers, &bytes)?;
    edit(desk, id, put.edition, Edit::Overrides(put.overrides)).await
}

async fn edit(desk: Desk, id: String, edition: u64, edit: Edit) -> Answer<Response> {
    desk.heavy(move |office| {
        let id = office.find(&id)?.id;
        let (r, read_anew) = review::edit(office, &id, edition, edit)?;
        Ok(ok(&view::plan(&office.folder, &r, read_anew)?))
    })
    .await
}

async fn overrides_file(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.quick(move |office| {
        let seen = office.find(&id)?;
        let text = office.folder.overrides(&seen.id);
        let mut text = text.map_err(|e| Problem::disk("the edits", &e))?;
        if text.is_empty() {
            text = overrides::to_toml(&Form::default());
        }
        let name = format!("{}.overrides.toml", seen.job.record.file);
        let headers = [
            (CONTENT_TYPE, "application/toml".to_owned()),
            (CONTENT_DISPOSITION, names::attachment(&name)),
        ];
        Ok((headers, text).into_response())
    })
    .await
}

async fn settings_now(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.quick(move |office| {
        let seen = office.find(&id)?;
        let toml = office.folder.settings(&seen.id);
        let toml = toml.map_err(|e| Problem::disk("the settings", &e))?;
        Ok(ok(&json!({ "edition": seen.job.record.edition, "toml": toml })))
    })
    .await
}

/// A change of the settings.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SettingsPut {
    edition: u64,
    toml: String,
}

async fn put_settings(
    State(desk): State<Desk>,
    Path(id): Path<String>,
    headers: HeaderMap,
    bytes: Bytes,
) -> Answer<Response> {
    let put: SettingsPut = body(&headers, &bytes)?;
    edit(desk, id, put.edition, Edit::Settings(put.toml)).await
}

/// A finding ticked off.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tick {
    looked_at: bool,
}

async fn tick(
    State(desk): State<Desk>,
    Path((id, key)): Path<(String, String)>,
    headers: HeaderMap,
    bytes: Bytes,
) -> Answer<Response> {
    let tick: Tick = body(&headers, &bytes)?;
    desk.quick(move |office| {
        let id = office.find(&id)?.id;
        let hex = key.len() == 16 && key.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        if !hex {
            return Err(Problem::not_found("finding"));
        }
        const MOST: usize = 20_000;
        office.update(&id, |r| {
            if tick.looked_at && r.looked_at.len() < MOST {
                r.looked_at.insert(key);
            } else {
                r.looked_at.remove(&key);
            }
            Ok(())
        })?;
        Ok(ok(&json!({ "looked_at": tick.looked_at })))
    })
    .await
}

fn zip_name(seen: &Seen) -> String {
    format!("{}-plates.zip", names::download(seen.job.record.lot_name()))
}

async fn files(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let seen = review::fresh_results(office, &office.find(&id)?.id)?;
        let edition = seen.job.record.edition;
        let listed = office.folder.list_results(&seen.id, edition);
        let mut listed = listed.map_err(|e| Problem::disk("the results", &e))?;
        listed.retain(|(name, _)| name != folder::ZIP);
        listed.sort_by_key(|(name, _)| rank(name));
        let file = |(name, bytes): (String, u64)| {
            let (what, media_type) = described(&name);
            json!({ "name": name, "what": what, "media_type": media_type, "bytes": bytes })
        };
        let files: Vec<serde_json::Value> = listed.into_iter().map(file).collect();
        Ok(ok(&json!({ "edition": edition, "files": files, "zip": zip_name(&seen) })))
    })
    .await
}

async fn file(
    State(desk): State<Desk>,
    Path((id, name)): Path<(String, String)>,
) -> Answer<Response> {
    desk.heavy(move |office| {
        let seen = review::fresh_results(office, &office.find(&id)?.id)?;
        let opened = office.folder.open_result(&seen.id, seen.job.record.edition, &name);
        match opened.map_err(|e| Problem::disk("the results", &e))? {
            Some(file) if name != folder::ZIP => {
                // Many lots' files end up in one folder of downloads.
                let lot = names::download(seen.job.record.lot_name());
                Ok(download(file, described(&name).1, &format!("{lot} {name}")))
            }
            _ => Err(Problem::not_found("file")),
        }
    })
    .await
}

async fn zip(State(desk): State<Desk>, Path(id): Path<String>) -> Answer<Response> {
    desk.heavy(move |office| {
        let seen = review::fresh_results(office, &office.find(&id)?.id)?;
        let opened = office.folder.open_result(&seen.id, seen.job.record.edition, folder::ZIP);
        let file = opened
            .map_err(|e| Problem::disk("the results", &e))?
            .ok_or_else(|| Problem::not_found("file"))?;
        Ok(download(file, "application/zip", &zip_name(&seen)))
    })
    .await
}

/// A file as a download, read piece by piece.
fn download(file: std::fs::File, media_type: &str, name: &str) -> Response {
    const PIECE: usize = 64 << 10;
    let pieces = stream::unfold(Some(file), |file| async move {
        let mut file = file?;
        let read = tokio::task::spawn_blocking(move || {
            let mut piece = vec![0; PIECE];
            let n = file.read(&mut piece)?;
            piece.truncate(n);
            Ok::<_, std::io::Error>((piece, file))
        });
        match read.await {
            Ok(Ok((piece, _))) if piece.is_empty() => None,
            Ok(Ok((piece, file))) => Some((Ok(Bytes::from(piece)), Some(file))),
            Ok(Err(e)) => Some((Err(e), None)),
            Err(e) => Some((Err(std::io::Error::other(e)), None)),
        }
    });
    let headers =
        [(CONTENT_TYPE, media_type.to_owned()), (CONTENT_DISPOSITION, names::attachment(name))];
    (headers, Body::from_stream(pieces)).into_response()
}

fn compared(office: &Office, id: &str, old: &str) -> Answer<::compare::Comparison> {
    let plan = |id: &str| {
        let seen = review::fresh_results(office, &office.find(id)?.id)?;
        let bytes = office.folder.read_result(&seen.id, seen.job.record.edition, "plan.json");
        bytes.map_err(|e| Problem::disk("the results", &e))
    };
    ::compare::compare(&plan(old)?, &plan(id)?)
        .map_err(|r| Problem::internal("a plan cannot be read").because(&r))
}

async fn compare(
    State(desk): State<Desk>,
    Path((id, old)): Path<(String, String)>,
) -> Answer<Response> {
    desk.heavy(move |office| {
        let found = compared(office, &id, &old)?;
        let failed = |e: serde_json::Error| Problem::internal(&e.to_string());
        let changes: serde_json::Value =
            serde_json::from_str(&::compare::json(&found).map_err(failed)?).map_err(failed)?;
        let text: Vec<String> = ::compare::text(&found).lines().map(str::to_owned).collect();
        Ok(ok(&json!({ "same": found.is_same(), "text": text, "changes": changes })))
    })
    .await
}

async fn changes(
    State(desk): State<Desk>,
    Path((id, old)): Path<(String, String)>,
) -> Answer<Response> {
    desk.heavy(move |office| {
        let drawing = ::compare::svg(&compared(office, &id, &old)?);
        Ok(([(CONTENT_TYPE, "image/svg+xml")], drawing).into_response())
    })
    .await
}
