//! What kind of file the bytes are, and the STEP text inside.

use crate::step::{Record, header, next_entity};
use diag::codes::{ifc, input};
use diag::{Code, Finding, Refusal};
use limits::{Limit, Limits};
use std::borrow::Cow;
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// Most bytes unpacked for each byte packed, beyond [`SMALL`]. Models pack five to thirty times.
const RATIO: u64 = 200;

/// Archives may always unpack to this much.
const SMALL: u64 = 64 << 20;

/// How far into the file its kind is looked for.
const REACH: usize = 1 << 16;

/// How many entities tell what a file of another schema holds.
const SAMPLE: usize = 100;

const ZIP: &[u8] = b"PK\x03\x04";

/// What the first bytes are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Step,
    Zip,
    Xml,
    Json,
    Other,
}

fn kind(bytes: &[u8]) -> Kind {
    let head = &bytes[..bytes.len().min(REACH)];
    let has = |word: &[u8]| memchr::memmem::find(head, word).is_some();
    let text = head.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(head).trim_ascii_start();
    if header::is_step(bytes) {
        Kind::Step
    } else if bytes.starts_with(ZIP) {
        Kind::Zip
    } else if text.starts_with(b"<")
        && (has(b"ifcXML") || has(b"IfcProject") || has(b"buildingsmart"))
    {
        Kind::Xml
    } else if text.starts_with(b"{") && (has(b"ifcx") || has(b"bsi::ifc")) {
        Kind::Json
    } else {
        Kind::Other
    }
}

/// Whether the schema or the data is IFC. What calls itself another schema and holds IFC entities is read, and
/// told.
fn is_ifc(bytes: &[u8]) -> bool {
    header::read(bytes).schema.starts_with("IFC") || holds_ifc(&bytes[..bytes.len().min(REACH)])
}

/// Whether one of the first entities is of an IFC class.
fn holds_ifc(head: &[u8]) -> bool {
    let mut at = 0;
    for _ in 0..SAMPLE {
        let Some(found) = next_entity(head, at) else { return false };
        let entity = Record::read(head, found);
        if entity.is_some_and(|r| r.class.get(..3).is_some_and(|c| c.eq_ignore_ascii_case(b"IFC")))
        {
            return true;
        }
        at = found + 1;
    }
    false
}

/// Whether this is an IFC file of any encoding: STEP, zipped, and also XML and JSON, which
/// [`crate::read`] refuses by name, as it does STEP of another schema.
pub fn sniff(bytes: &[u8]) -> bool {
    match kind(bytes) {
        Kind::Step => true,
        Kind::Zip => match ZipArchive::new(Cursor::new(bytes)) {
            Ok(archive) => archive.file_names().any(|n| model(n).is_some()),
            // Damaged, but the first entry's name stands at the front.
            Err(_) => {
                let head = bytes[..bytes.len().min(512)].to_ascii_lowercase();
                memchr::memmem::find(&head, b".ifc").is_some()
            }
        },
        Kind::Xml | Kind::Json => true,
        Kind::Other => false,
    }
}

/// The STEP text of an IFC file.
pub fn step_text<'a>(bytes: &'a [u8], limits: &Limits) -> Result<Cow<'a, [u8]>, Refusal> {
    let refuse = |code: Code, what: String| Err(Refusal::because(Finding::new(code, what)));
    if bytes.is_empty() {
        return refuse(input::FILE_EMPTY, "The file has no bytes.".to_owned());
    }
    let text = match kind(bytes) {
        Kind::Step => Cow::Borrowed(bytes),
        Kind::Zip => Cow::Owned(unpack(bytes, limits)?),
        Kind::Xml => return refuse(ifc::ENCODING_UNSUPPORTED, "This is ifcXML.".to_owned()),
        Kind::Json => {
            return refuse(ifc::ENCODING_UNSUPPORTED, "This is IFC 5 JSON (.ifcx).".to_owned());
        }
        Kind::Other => {
            return refuse(
                input::FILE_FOREIGN,
                "The file does not start as a STEP file does.".to_owned(),
            );
        }
    };
    if !is_ifc(&text) {
        let schema = header::read(&text).schema;
        let what = match schema.as_str() {
            "" => "It is a STEP file without a schema and without IFC entities.".to_owned(),
            other => format!("It is a STEP file of schema {other}, and holds no IFC entities."),
        };
        return refuse(input::FILE_FOREIGN, what);
    }
    // Offsets are kept in 32 bits.
    if u32::try_from(text.len()).is_err() {
        return refuse(
            input::LIMIT,
            format!("The model is {} bytes; 4 GiB is the limit.", text.len()),
        );
    }
    Ok(text)
}

/// The class of model a name in an archive ends with: `ifc`, `ifcxml`, `ifcx`.
fn model(name: &str) -> Option<&'static str> {
    if name.starts_with("__MACOSX/") {
        return None;
    }
    let name = name.to_ascii_lowercase();
    ["ifc", "ifcxml", "ifcx"].into_iter().find(|e| name.ends_with(&format!(".{e}")))
}

fn unpack(bytes: &[u8], limits: &Limits) -> Result<Vec<u8>, Refusal> {
    let refuse = |what: String| Refusal::because(Finding::new(ifc::ZIP_BAD, what));
    let mut archive = ZipArchive::new(Cursor::new(bytes))
        .map_err(|e| refuse(format!("The archive is damaged or cut short ({e}).")))?;
    let mut models: Vec<String> =
        archive.file_names().filter(|n| model(n) == Some("ifc")).map(str::to_owned).collect();
    models.sort();
    let [name] = models.as_slice() else {
        if models.is_empty() && archive.file_names().any(|n| model(n).is_some()) {
            let what = "The archive holds ifcXML or IFC 5 JSON.".to_owned();
            return Err(Refusal::because(Finding::new(ifc::ENCODING_UNSUPPORTED, what)));
        }
        return Err(refuse(match models.len() {
            0 => "The archive holds no .ifc file.".to_owned(),
            n => format!("The archive holds {n} models: {}.", models.join(", ")),
        }));
    };
    let (most, by_size) = (limits.bytes(Limit::UnpackedMb), bytes.len() as u64 * RATIO);
    let (memory, ratio) = (limits.most_text(), SMALL.max(by_size));
    let limit = most.min(memory).min(ratio);
    let entry =
        archive.by_name(name).map_err(|e| refuse(format!("{name} cannot be opened: {e}.")))?;
    let mut text = Vec::new();
    let read = entry.take(limit + 1).read_to_end(&mut text);
    read.map_err(|e| refuse(format!("The archive is damaged: {name} cannot be unpacked ({e}).")))?;
    if text.len() as u64 <= limit {
        return Ok(text);
    }
    let what = format!("{name} unpacks to more than {limit} bytes");
    let refusal = |limit| Refusal::because(limits.reached(limit, &what));
    Err(match limit {
        _ if limit == ratio => refuse(format!("{what}, far more than a model of its packed size.")),
        _ if limit == most => refusal(Limit::UnpackedMb),
        _ => refusal(Limit::MemoryMb),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;
    use zip::ZipWriter;
    use zip::write::SimpleFileOptions;

    const STEP: &[u8] =
        b"ISO-10303-21;HEADER;FILE_SCHEMA(('IFC4'));ENDSEC;DATA;ENDSEC;END-ISO-10303-21;";

    fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut w = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in files {
            w.start_file(*name, SimpleFileOptions::default()).unwrap();
            w.write_all(text).unwrap();
        }
        w.finish().unwrap().into_inner()
    }
    fn code(bytes: &[u8]) -> &'static str {
        step_text(bytes, &Limits::default()).err().map_or("ok", |r| r.findings[0].code.name())
    }

    #[test]
    fn kinds_are_told_by_content() {
        assert!(sniff(STEP) && code(STEP) == "ok");
        let other = b"ISO-10303-21;HEADER;FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));ENDSEC;DATA;ENDSEC;";
        assert!(sniff(other) && code(other) == "file-foreign");
        // Another name for the schema, IFC entities all the same.
        for start in ["#1=IFCWALL(", "#1/* */= /* */ ifcwall (", "#1=X();\n#2= IFCWALL("] {
            let text = format!(
                "ISO-10303-21;HEADER;FILE_SCHEMA(('FOO'));ENDSEC;DATA;\n{start}'a',$);\nENDSEC;"
            );
            assert_eq!(code(text.as_bytes()), "ok", "{text}");
        }
        let xml = b"<?xml version=\"1.0\"?><ifc:ifcXML>";
        assert!(sniff(xml) && code(xml) == "ifc-encoding-unsupported");
        let json = b" {\"header\":{\"version\":\"ifcx_alpha\"}}";
        assert!(sniff(json) && code(json) == "ifc-encoding-unsupported");
        for foreign in [b"0\nSECTION\n".as_slice(), b"<html>", b"PK\x03\x04", b"{}"] {
            assert!(!sniff(foreign));
            assert_ne!(code(foreign), "ok");
        }
        assert_eq!(code(b""), "file-empty");
    }

    #[test]
    fn archives() {
        let good = zipped(&[("readme.txt", b"x"), ("a/Model.IFC", STEP), ("__MACOSX/a.ifc", b"")]);
        assert!(sniff(&good) && step_text(&good, &Limits::default()).unwrap().as_ref() == STEP);
        assert_eq!(code(&zipped(&[("a.ifc", STEP), ("b.ifc", STEP)])), "ifc-zip-bad");
        assert_eq!(code(&zipped(&[("a.txt", STEP)])), "ifc-zip-bad");
        assert_eq!(code(&zipped(&[("a.ifcxml", b"<x>")])), "ifc-encoding-unsupported");
        assert_eq!(code(&good[..good.len() / 2]), "ifc-zip-bad");
        // Cut short it is still told for what it is, however its model's name is written.
        let loud = zipped(&[("a/MODEL.IFC", STEP)]);
        let cut = &loud[..loud.len() / 2];
        assert!(sniff(cut));
        let refusal = step_text(cut, &Limits::default()).unwrap_err();
        assert!(refusal.to_string().contains("damaged or cut short"), "{refusal}");
    }

    #[test]
    fn bombs_are_refused() {
        let mut big = STEP.to_vec();
        big.resize((SMALL + 10) as usize, b' ');
        let bomb = zipped(&[("a.ifc", &big)]);
        assert_eq!(code(&bomb), "ifc-zip-bad");
        let limits = Limits::default().with(Limit::UnpackedMb, 1);
        let refusal = step_text(&bomb, &limits).unwrap_err();
        assert_eq!(refusal.findings[0].code, input::LIMIT);
        assert!(refusal.findings[0].message.contains("a.ifc unpacks to more than 1048576 bytes"));
    }
}
