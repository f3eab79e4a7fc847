//! Paths written in a manifest, kept inside one folder.

use std::path::{Component, Path, PathBuf};

/// The file a manifest names, below `root`. Paths are relative to `root`; an absolute one must lie in it.
/// Both slashes part folders, so that a manifest written on one system is read on another. Links are
/// not followed here: what lies in the folder is its owner's business.
///
/// # Errors
/// When it leads out of `root`.
pub fn within(root: &Path, text: &str) -> Result<PathBuf, String> {
    let shown = || text.chars().take(80).flat_map(char::escape_debug).collect::<String>();
    if text.chars().any(char::is_control) {
        return Err(format!("path '{}' has a control character in it", shown()));
    }
    let text_here = text.replace('\\', "/");
    let outside = || {
        format!(
            "path '{}' leads out of the folder the drawings lie in; move the file there, or name that folder with --drawings",
            shown()
        )
    };
    let path = Path::new(&text_here);
    let drive = matches!(text_here.as_bytes(), [letter, b':', ..] if letter.is_ascii_alphabetic());
    let below = if path.is_absolute() || drive || text_here.starts_with('/') {
        let root = std::path::absolute(root).ok().and_then(|r| clean(&r));
        let path = clean(path);
        let below = root.zip(path).and_then(|(r, p)| p.strip_prefix(r).ok().map(Path::to_owned));
        below.ok_or_else(outside)?
    } else {
        clean(path).ok_or_else(outside)?
    };
    if below.as_os_str().is_empty() { Err(outside()) } else { Ok(root.join(below)) }
}

/// Without `.` and `..`; nothing when it climbs above its start.
fn clean(path: &Path) -> Option<PathBuf> {
    let mut out = PathBuf::new();
    let mut depth = 0usize;
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                depth = depth.checked_sub(1)?;
                out.pop();
            }
            Component::Normal(name) => {
                depth += 1;
                out.push(name);
            }
            Component::Prefix(_) | Component::RootDir => out.push(part.as_os_str()),
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stays_inside() {
        let root = Path::new("plans");
        for (text, path) in [
            ("a.dxf", "plans/a.dxf"),
            ("./x/../a.dxf", "plans/a.dxf"),
            ("x\\y.ifc", "plans/x/y.ifc"),
        ] {
            assert_eq!(within(root, text).unwrap(), Path::new(path));
        }
        let inside = std::path::absolute(root).unwrap().join("b.dxf");
        assert_eq!(within(root, inside.to_str().unwrap()).unwrap(), Path::new("plans/b.dxf"));
        for text in [
            "../a.dxf",
            "x/../../a.dxf",
            "..\\a.dxf",
            "/etc/passwd",
            "C:\\a.dxf",
            "\\\\host\\a",
            ".",
            "x/..",
        ] {
            let why = within(root, text).unwrap_err();
            assert!(why.contains("--drawings"), "{text}: {why}");
        }
        assert!(within(root, "a\nb").unwrap_err().contains("control"));
    }
}
