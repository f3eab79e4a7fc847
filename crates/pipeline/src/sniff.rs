//! What a file is, by its first bytes. The name does not matter: half of the unreadable drawings
//! people send are another format with the right ending.

use diag::{Code, Finding, Refusal, codes::input};
use wall_model::Format;

/// Which reader takes the file, or the reason why none does.
pub fn format_of(bytes: &[u8], file_name: &str) -> Result<Format, Refusal> {
    let refuse = |code: Code, what: String| {
        Err(Refusal::because(Finding::new(code, format!("{file_name} {what}")).about(file_name)))
    };
    if bytes.is_empty() {
        return refuse(input::FILE_EMPTY, "has no bytes in it.".to_owned());
    }
    if bytes.iter().all(|b| b.is_ascii_whitespace() || *b == 0) {
        return refuse(
            input::FILE_EMPTY,
            format!("holds {} bytes, all of them blank.", bytes.len()),
        );
    }
    if let Some(what) = foreign(bytes) {
        return refuse(input::FILE_FOREIGN, what);
    }
    if import_ifc::sniff(bytes) {
        return Ok(Format::Ifc);
    }
    if import_dxf::sniff(bytes) {
        return Ok(Format::Dxf);
    }
    if bytes.starts_with(b"PK") && !ends_as_zip(bytes) {
        return refuse(
            input::FILE_FOREIGN,
            "is a ZIP archive that is damaged or cut short: the list of its files, which stands at its end, is not there. Fetch or pack it again."
                .to_owned(),
        );
    }
    if bytes.starts_with(b"PK") {
        return refuse(
            input::FILE_FOREIGN,
            "is a ZIP archive with no IFC file in it. Unpack it, or pack one .ifc file as .ifczip."
                .to_owned(),
        );
    }
    let head: Vec<String> = bytes.iter().take(8).map(|b| format!("{b:02x}")).collect();
    refuse(
        input::FILE_FOREIGN,
        format!(
            "is neither DXF nor IFC: it begins with the bytes {}, and neither a DXF section nor an ISO-10303-21 header was found.",
            head.join(" ")
        ),
    )
}

/// Whether a ZIP archive's list of files is closed as it must be: a record of 22 bytes and a comment of at most
/// 65535 end it (ZIP appnote 4.3.16).
fn ends_as_zip(bytes: &[u8]) -> bool {
    let tail = &bytes[bytes.len().saturating_sub(22 + 65535)..];
    tail.windows(4).any(|w| w == b"PK\x05\x06")
}

/// A sentence about a format that is known not to be ours, without its subject.
fn foreign(bytes: &[u8]) -> Option<String> {
    if let Some(release) = dwg_release(bytes) {
        return Some(format!(
            "is a DWG drawing ({release}), not DXF. In the drawing program choose Save As > DXF (2000 or later), or export IFC."
        ));
    }
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
    let head = &text[..text.len().min(2048)].to_ascii_lowercase();
    let has = |needle: &[u8]| head.windows(needle.len()).any(|w| w == needle);
    const MAGIC: [(&[u8], &str); 14] = [
        (
            b"version https://git-lfs.github.com/spec/",
            "is a Git LFS pointer: the drawing itself was not downloaded. Run 'git lfs pull' where it was cloned.",
        ),
        (
            b"%PDF",
            "is a PDF document. Ask its author for the DXF or IFC file: a PDF has no true scale.",
        ),
        (b"\x89PNG", "is a PNG picture. Ask its author for the DXF or IFC file."),
        (b"\xff\xd8\xff", "is a JPEG picture. Ask its author for the DXF or IFC file."),
        (b"GIF8", "is a GIF picture. Ask its author for the DXF or IFC file."),
        (b"II*\0", "is a TIFF picture. Ask its author for the DXF or IFC file."),
        (b"MM\0*", "is a TIFF picture. Ask its author for the DXF or IFC file."),
        (
            b"\xd0\xcf\x11\xe0",
            "is an OLE compound file (an old office document or a CAD program's own project file). Export it as DXF or IFC.",
        ),
        (b"(DWF", "is a DWF plot file. Ask its author for the DXF or IFC file."),
        (b"\x1f\x8b", "is gzip-compressed. Unpack it first."),
        (b"7z\xbc\xaf\x27\x1c", "is a 7z archive. Unpack it first."),
        (b"Rar!", "is a RAR archive. Unpack it first."),
        (b"\xff\xfe", "is UTF-16 text. Save it again as ASCII or UTF-8."),
        (b"\xfe\xff", "is UTF-16 text. Save it again as ASCII or UTF-8."),
    ];
    if let Some((_, what)) = MAGIC.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Some((*what).to_owned());
    }
    if head.starts_with(b"<!doctype html") || head.starts_with(b"<html") {
        return Some("is a web page (HTML), probably an error or log-in page saved in place of the drawing. Download it again.".to_owned());
    }
    if (head.starts_with(b"<") || head.starts_with(b"{")) && import_ifc::sniff(bytes) {
        // ifcXML and IFC 5 are refused by their reader.
        return None;
    }
    if head.starts_with(b"<") {
        return Some(
            if has(b"<svg") {
                "is an SVG picture. Ask its author for the DXF or IFC file."
            } else {
                "is an XML document. Export the drawing as DXF or IFC (STEP)."
            }
            .to_owned(),
        );
    }
    if head.starts_with(b"{") {
        return Some("is a JSON document. Export the drawing as DXF or IFC (STEP).".to_owned());
    }
    None
}

/// The AutoCAD release behind a DWG version code: `AC10` and two digits at the very start. A DXF
/// never starts so; its first line is a group code.
fn dwg_release(bytes: &[u8]) -> Option<String> {
    let code = std::str::from_utf8(bytes.get(..6)?).ok()?;
    let digits = code.strip_prefix("AC")?;
    if !digits.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return None;
    }
    let release = match code {
        "AC1032" => "AutoCAD 2018",
        "AC1027" => "AutoCAD 2013",
        "AC1024" => "AutoCAD 2010",
        "AC1021" => "AutoCAD 2007",
        "AC1018" => "AutoCAD 2004",
        "AC1015" => "AutoCAD 2000",
        "AC1014" => "AutoCAD R14",
        "AC1012" => "AutoCAD R13",
        "AC1009" => "AutoCAD R11 or R12",
        "AC1006" => "AutoCAD R10",
        _ => return Some(format!("version code {code}")),
    };
    Some(format!("{release} format, {code}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(bytes: &[u8]) -> String {
        let r = format_of(bytes, "lot-14.dxf").unwrap_err();
        assert_eq!(r.findings.len(), 1);
        assert!(r.findings[0].message.starts_with("lot-14.dxf "));
        r.to_string()
    }

    #[test]
    fn names_what_it_is_not() {
        for (bytes, part) in [
            (&b""[..], "no bytes"),
            (b" \r\n\0", "blank"),
            (b"AC1032\0\0\0", "DWG drawing (AutoCAD 2018 format, AC1032)"),
            (b"AC1015\0\0\0", "AutoCAD 2000"),
            (b"AC1099\0\0\0", "version code AC1099"),
            (b"%PDF-1.7\n%", "PDF"),
            (b"version https://git-lfs.github.com/spec/v1\noid sha256:00\n", "Git LFS"),
            (b"\x89PNG\r\n\x1a\n", "PNG"),
            (b"PK\x05\x06\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0", "ZIP archive with no IFC"),
            (b"PK\x03\x04\x14\0\0\0\x08\0 a.txt and no more", "damaged or cut short"),
            (b"<!DOCTYPE html><html>", "web page"),
            (b"<?xml version=\"1.0\"?><gml>", "XML document"),
            (b"\xff\xfe0\0\r\0\n\0", "UTF-16"),
            (b"{\"a\":1}", "JSON"),
            (b"dear all, please find", "64 65 61 72"),
        ] {
            let message = refusal(bytes);
            assert!(message.contains(part), "{message}");
        }
    }

    #[test]
    fn encodings_of_ifc_are_refused_by_name() {
        for (bytes, part) in [
            (&b"\xef\xbb\xbf<?xml version=\"1.0\"?><ifcXML xmlns=\"x\">"[..], "This is ifcXML."),
            (b"{\"header\":{\"ifcxVersion\":\"ifcx_alpha\"}}", "This is IFC 5 JSON (.ifcx)."),
            (
                b"ISO-10303-21;HEADER;FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));ENDSEC;DATA;ENDSEC;",
                "STEP file of schema AUTOMOTIVE_DESIGN, and holds no IFC entities",
            ),
        ] {
            let settings = settings::Settings::default();
            let job =
                crate::Job { file_name: "lot-14.ifc", bytes: bytes.into(), settings: &settings };
            let r = crate::plan(job).unwrap_err();
            assert!(r.findings[0].message.starts_with("lot-14.ifc: "), "{r}");
            assert!(r.to_string().contains(part), "{r}");
        }
    }

    #[test]
    fn never_panics_on_short_heads() {
        for n in 0..8 {
            for b in [b"AC1032\0\0", b"PK\x03\x04\0\0\0\0", b"\xef\xbb\xbf\xef\xbb\xbf\0\0"] {
                let _ = format_of(&b[..n], "x");
            }
        }
    }
}
