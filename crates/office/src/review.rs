//! A job under review: what is read and planned now, and edits of it.

use crate::frame::{self, Frame};
use crate::job::{JobId, Record, State};
use crate::office::{Office, Seen};
use crate::problem::{Answer, Problem, caught};
use crate::shelf::{Now, Read, Texts};
use crate::{locked, results, settings_of, work};
use axum::http::StatusCode;
use limits::Limits;
use overrides::{Form, Overrides};
use pipeline::Drawing;
use settings::Settings;
use std::sync::Arc;
use std::time::Instant;

/// Everything there is to show of a job.
pub(crate) struct Review {
    pub seen: Seen,
    pub read: Arc<Read>,
    pub now: Arc<Now>,
    pub frame: Frame,
}

/// A job's own texts.
pub(crate) fn texts(office: &Office, id: &JobId) -> Answer<Texts> {
    let disk = |e: std::io::Error| Problem::disk("the job's settings and edits", &e);
    Ok(Texts {
        settings: office.folder.settings(id).map_err(disk)?,
        overrides: office.folder.overrides(id).map_err(disk)?,
    })
}

/// The settings in force, their limits held to the server's, and the edits.
pub(crate) fn in_force(texts: &Texts, most: &Limits) -> Answer<(Settings, Overrides)> {
    let bad = |what: &str, refusal: diag::Refusal| {
        let message = format!("The job's {what}: {refusal}");
        Problem::will_not_do(message, "Correct the file, or replace it on the page.")
            .because(&refusal)
    };
    let settings = settings_of(&texts.settings).map_err(|r| bad("settings", r))?;
    let overrides = match texts.overrides.as_str() {
        "" => Overrides::default(),
        text => Overrides::from_toml(text, "overrides").map_err(|r| bad("overrides", r))?,
    };
    let mut settings = overrides.lay_over(settings);
    settings.limits = settings.limits.at_most(most);
    Ok((settings, overrides))
}

/// Plans a drawing that was read.
pub(crate) fn plan(read: &Read, overrides: Overrides) -> Now {
    let begun = Instant::now();
    let planned = match &read.reading {
        Ok(reading) => pipeline::plan_reading(reading.clone(), &overrides),
        Err(refusal) => Err(refusal.clone()),
    };
    Now { overrides, planned, millis: begun.elapsed().as_millis() as u64 }
}

/// Where the page of a job begins: as it was kept, else by its walls, else by its lines.
pub(crate) fn origin(
    office: &Office,
    id: &JobId,
    record: &Record,
    read: &Read,
) -> Answer<[f64; 2]> {
    if let Some(origin) = record.origin {
        return Ok(origin);
    }
    if let Ok(reading) = &read.reading {
        return Ok(frame::origin_of(&reading.model, read.settings.mirror));
    }
    let disk = |e: std::io::Error| Problem::disk("the drawing", &e);
    let bytes = || office.folder.drawing(id);
    let inspected = read.inspection(&record.file, bytes).map_err(disk)?;
    let is_dxf = matches!(inspected, Ok(i) if matches!(i.drawing, Drawing::Dxf(_)));
    if !is_dxf {
        return Ok([0.0, 0.0]);
    }
    let picture = import_dxf::picture(&bytes().map_err(disk)?, read.settings.code_page);
    let bounds = crate::view::drawn_bounds(&picture);
    Ok(bounds.map_or([0.0, 0.0], |b| [b[0].floor(), b[1].floor()]))
}

/// Says no while a job waits or works.
pub(crate) fn not_open(record: &Record) -> Answer<()> {
    if record.state.is_open() {
        let todo = "Wait until it is done, or stop it.";
        return Err(Problem::not_now("This drawing is still being planned.", todo));
    }
    Ok(())
}

/// What is read and planned of a job now.
pub(crate) fn review(office: &Office, seen: Seen) -> Answer<Review> {
    let record = &seen.job.record;
    not_open(record)?;
    let id = &seen.id;
    let texts = texts(office, id)?;
    let (read, now) = match office.shelf.now(id, &texts) {
        Some(found) => found,
        None => {
            let (settings, overrides) = in_force(&texts, &office.config.limits)?;
            let read = read_under(office, id, record, settings)?;
            let now = caught(|| Arc::new(plan(&read, overrides)))
                .map_err(|what| Problem::internal(&what))?;
            office.shelf.keep(id, Arc::clone(&read), Some((texts, Arc::clone(&now))));
            (read, now)
        }
    };
    let frame = frame_of(office, id, record, &read)?;
    Ok(Review { seen, read, now, frame })
}

fn frame_of(office: &Office, id: &JobId, record: &Record, read: &Read) -> Answer<Frame> {
    let origin = origin(office, id, record, read)?;
    if record.origin.is_none() {
        office.update(id, |r| {
            r.origin = Some(origin);
            Ok(())
        })?;
    }
    if read.reading.is_err() {
        // The unit may be known all the same.
        let bytes = || office.folder.drawing(id);
        let known = caught(|| read.inspection(&record.file, bytes).map(|_| ()));
        known
            .map_err(|what| Problem::internal(&what))?
            .map_err(|e| Problem::disk("the drawing", &e))?;
    }
    Ok(Frame::new(read.unit(), read.settings.mirror, origin))
}

fn read_under(
    office: &Office,
    id: &JobId,
    record: &Record,
    settings: Settings,
) -> Answer<Arc<Read>> {
    if let Some(read) = office.shelf.read(id, &settings) {
        return Ok(read);
    }
    let bytes = office.folder.drawing(id).map_err(|e| Problem::disk("the drawing", &e))?;
    caught(|| Arc::new(Read::new(&record.file, &bytes, settings)))
        .map_err(|what| Problem::internal(&what))
}

/// What a job depends on, to be replaced.
pub(crate) enum Edit {
    /// Places in page inches.
    Overrides(Form),
    Settings(String),
}

/// Replaces overrides or settings and plans again. Also whether the drawing was read anew.
pub(crate) fn edit(
    office: &Office,
    id: &JobId,
    edition: u64,
    edit: Edit,
) -> Answer<(Review, bool)> {
    let before = office.get(id)?;
    not_open(&before.job.record)?;
    let turn = Arc::clone(&before.job.turn);
    let _turn = locked(&turn);
    let seen = office.get(id)?;
    let record = &seen.job.record;
    not_open(record)?;
    if record.edition != edition {
        return Err(Problem::older_edition(edition, record.edition));
    }
    let old = texts(office, id)?;
    let (settings, overrides, new) = match edit {
        Edit::Settings(toml) => {
            let new = Texts { settings: toml, overrides: old.overrides.clone() };
            let (settings, overrides) = in_force(&new, &office.config.limits)?;
            (settings, overrides, new)
        }
        Edit::Overrides(mut form) => {
            let (was, _) = in_force(&old, &office.config.limits)?;
            let read = read_under(office, id, record, was)?;
            frame_of(office, id, record, &read)?.form_to_drawing(&mut form);
            let overrides = Overrides::checked(form).map_err(|mistakes| {
                let message = format!("This edit will not do: {}.", mistakes.join("; "));
                Problem::will_not_do(message, "Change the edit named, or take it out.")
            })?;
            let base = settings_of(&old.settings).map_err(|r| {
                Problem::will_not_do(r.to_string(), "Correct the job's settings.").because(&r)
            })?;
            let text = match overrides.is_empty() {
                true => String::new(),
                false => overrides::to_toml(overrides.form()),
            };
            let new = Texts { settings: old.settings.clone(), overrides: text };
            (overrides.lay_over(base), overrides, new)
        }
    };
    let known = office.shelf.read(id, &settings);
    let read_anew = known.is_none();
    let read = match known {
        Some(read) => read,
        None => read_under(office, id, record, settings)?,
    };
    let now =
        caught(|| Arc::new(plan(&read, overrides))).map_err(|what| Problem::internal(&what))?;
    let kept = if new.settings == old.settings {
        office.folder.write_overrides(id, &new.overrides)
    } else {
        office.folder.write_settings(id, &new.settings)
    };
    kept.map_err(|e| Problem::disk("the edit", &e))?;
    let updated = office.update(id, |r| {
        not_open(r)?;
        r.edition += 1;
        work::outcome(r, &now);
        Ok(())
    });
    let seen = match updated {
        Ok(seen) => seen,
        Err(problem) => {
            // Back to how it was: an edit is done whole or not at all.
            let _ = office.folder.write_overrides(id, &old.overrides);
            let _ = office.folder.write_settings(id, &old.settings);
            return Err(problem);
        }
    };
    office.shelf.keep(id, Arc::clone(&read), Some((new, Arc::clone(&now))));
    let frame = frame_of(office, id, &seen.job.record, &read)?;
    Ok((Review { seen, read, now, frame }, read_anew))
}

/// The edition whose results are in the folder: made now, if an edit made the old ones stale.
pub(crate) fn fresh_results(office: &Office, id: &JobId) -> Answer<Seen> {
    let before = office.get(id)?;
    not_open(&before.job.record)?;
    let turn = Arc::clone(&before.job.turn);
    let _turn = locked(&turn);
    let seen = office.get(id)?;
    let record = &seen.job.record;
    if record.state != State::Done {
        let message = "There are no results of this job: it was not planned.";
        return Err(Problem::new(
            StatusCode::CONFLICT,
            "not-now",
            message,
            "Look at its findings first.",
        ));
    }
    let edition = record.edition;
    if record.results == Some(edition) && office.folder.has_results(id, edition) {
        return Ok(seen);
    }
    let texts = texts(office, id)?;
    let review = review(office, seen)?;
    let planned = review.now.planned.as_ref().map_err(|refusal| {
        Problem::will_not_do(refusal.to_string(), "Look at its findings.").because(refusal)
    })?;
    let written =
        caught(|| results::write(office, id, &review.seen.job.record, &texts, &planned.document));
    written.map_err(|what| Problem::internal(&what))??;
    let seen = office.update(id, |r| {
        r.results = Some(edition);
        Ok(())
    })?;
    office.folder.keep_results(id, Some(edition));
    Ok(seen)
}

#[cfg(test)]
mod tests {
    use super::*;
    use limits::Limit;

    /// Whoever can change a job's settings cannot take more of the server than it gives.
    #[test]
    fn a_job_can_lower_the_servers_limits_and_not_raise_them() {
        let server = Limits::default().with(Limit::Walls, 10);
        let settings = "[limits]\nwalls = 1000\nseconds = 5\n".to_owned();
        let texts = Texts { settings, overrides: String::new() };
        let Ok((settings, _)) = in_force(&texts, &server) else { panic!("good settings") };
        let held = |limit| settings.limits.get(limit);
        assert_eq!((held(Limit::Walls), held(Limit::Seconds)), (10, 5));
    }
}
