//! Reading drawings and settings, with a plain word about what went wrong.

use diag::codes::{edits, input, output};
use diag::{Code, Finding, Refusal};
use limits::{Limit, Limits};
use overrides::Overrides;
use pipeline::{Source, TextFile};
use settings::{OnHandBoard, Settings, parse};
use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// A drawing that can be read.
pub enum Drawing {
    /// All of it is in memory.
    Held(Vec<u8>),
    /// It is read piece by piece.
    File(Box<Opened>),
}

/// A large text file.
pub struct Opened {
    text: TextFile,
    path: PathBuf,
    /// Size, and when it was changed last.
    was: (u64, Option<SystemTime>),
}

/// Drawings smaller than this are read whole.
const LARGE: u64 = 4 << 20;

impl Drawing {
    /// The drawing at a path, held in memory but where it is large and a text DXF.
    pub fn open(path: &Path, limits: &Limits) -> Result<Drawing, Refusal> {
        let refuse = |e| Refusal::because(unreadable(path, &e));
        let meta = std::fs::metadata(path).map_err(refuse)?;
        if meta.is_file() && meta.len() >= LARGE {
            limits.check_file(meta.len()).map_err(|refusal| over(path, refusal))?;
            let file = File::open(path).map_err(refuse)?;
            if let Some(text) = TextFile::of(file).map_err(refuse)? {
                let was = (meta.len(), meta.modified().ok());
                return Ok(Drawing::File(Box::new(Opened { text, path: path.to_owned(), was })));
            }
        }
        drawing(path, limits).map(Drawing::Held)
    }

    /// Where its bytes are.
    pub fn source(&self) -> Source<'_> {
        match self {
            Drawing::Held(bytes) => bytes.into(),
            Drawing::File(opened) => (&opened.text).into(),
        }
    }

    /// What was read piece by piece must be one drawing, not the beginning of one and the end of another.
    pub fn check_unchanged(&self) -> Result<(), Refusal> {
        let Drawing::File(opened) = self else { return Ok(()) };
        let now = std::fs::metadata(&opened.path).map(|m| (m.len(), m.modified().ok()));
        match now {
            Ok(now) if now == opened.was => Ok(()),
            _ => {
                let what = "was changed while it was read; nothing was written";
                Err(Refusal::because(finding(output::DRAWING_CHANGED, &opened.path, what)))
            }
        }
    }
}

/// The bytes of a drawing. Files over the limits are refused before they are read: the whole file is held in
/// memory. What only shows its size on reading, such as a device, is read no further than the limit.
pub fn drawing(path: &Path, limits: &Limits) -> Result<Vec<u8>, Refusal> {
    let refuse = |e| Refusal::because(unreadable(path, &e));
    let fits = |bytes| limits.check_file(bytes).map_err(|refusal| over(path, refusal));
    let meta = std::fs::metadata(path).map_err(refuse)?;
    if meta.is_dir() {
        return Err(Refusal::because(finding(
            input::FILE_UNREADABLE,
            path,
            "is a folder; give a file; for a folder of drawings, use batch",
        )));
    }
    fits(meta.len())?;
    let most = limits.bytes(Limit::FileMb).min(limits.most_text());
    let mut bytes = Vec::with_capacity(usize::try_from(meta.len()).unwrap_or(0));
    let file = File::open(path).map_err(refuse)?;
    file.take(most.saturating_add(1)).read_to_end(&mut bytes).map_err(refuse)?;
    fits(bytes.len() as u64)?;
    Ok(bytes)
}

/// Which file went over a limit.
fn over(path: &Path, mut refusal: Refusal) -> Refusal {
    for f in &mut refusal.findings {
        f.message = format!("{}: {}", path.display(), f.message);
        f.subject = name(path);
    }
    refusal
}

/// Settings from a file, or the defaults.
pub fn settings(path: Option<&Path>) -> Result<Settings, Refusal> {
    let Some(path) = path else { return Ok(Settings::default()) };
    parse::from_toml(&text(path, input::SETTINGS_BAD)?, &name(path))
}

/// The text of a file; `code` is that of one which is no text.
pub fn text(path: &Path, code: Code) -> Result<String, Refusal> {
    String::from_utf8(bytes(path)?).map_err(|_| {
        let what = "is not UTF-8 text; save it again as UTF-8";
        Refusal::because(finding(code, path, what))
    })
}

/// A reviewer's edits.
pub fn overrides(path: &Path) -> Result<Overrides, Refusal> {
    Overrides::from_toml(&text(path, edits::BAD)?, &name(path))
}

/// Where edits of a drawing are kept beside it.
pub fn overrides_beside(drawing: &Path) -> std::path::PathBuf {
    let mut name = drawing.file_name().unwrap_or_default().to_owned();
    name.push(".overrides.toml");
    drawing.with_file_name(name)
}

/// The list of boards on hand.
pub fn on_hand(path: &Path) -> Result<Vec<OnHandBoard>, Refusal> {
    settings::on_hand::from_csv(&bytes(path)?, &name(path))
}

/// The bytes of a plan or a list, as large as a drawing may be when nobody says otherwise.
pub fn bytes(path: &Path) -> Result<Vec<u8>, Refusal> {
    drawing(path, &Limits::default())
}

/// A file's name alone, for messages and outputs: paths differ from machine to machine.
pub fn name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A file's name without its last ending.
pub fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A finding about a path that could not be read.
pub fn unreadable(path: &Path, e: &io::Error) -> Finding {
    finding(input::FILE_UNREADABLE, path, &format!("could not be read: {}", why(e)))
}

fn finding(code: Code, path: &Path, what: &str) -> Finding {
    Finding::new(code, format!("{} {what}.", path.display())).about(name(path))
}

/// The reason of an operating-system error in plain words, the same on every system.
pub fn why(e: &io::Error) -> String {
    match e.kind() {
        ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => "permission denied".to_owned(),
        ErrorKind::IsADirectory => "it is a folder".to_owned(),
        ErrorKind::NotADirectory => "part of the path is a file, not a folder".to_owned(),
        ErrorKind::AlreadyExists => "it exists already".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::QuotaExceeded => "your share of the disk is used up".to_owned(),
        ErrorKind::FileTooLarge => "files this large are not allowed here (ulimit -f)".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        ErrorKind::ResourceBusy => "another program holds it open".to_owned(),
        ErrorKind::InvalidFilename => "the name is not allowed here".to_owned(),
        _ => e.to_string(),
    }
}
