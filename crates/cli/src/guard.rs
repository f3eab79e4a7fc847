//! Turns a panic into a finding: whatever happens, the user gets a sentence and not a backtrace.

use diag::{Finding, Refusal, codes::output};
use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook};

thread_local! {
    /// Where the last panic of this thread came from: `file:line`, for the report.
    static PLACE: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Keeps the standard panic message off the user's screen; its place is kept for `caught`.
/// Called once, by the program's `main`.
pub fn quiet_panics() {
    set_hook(Box::new(|info| {
        let place = info.location().map(|l| format!("{}:{}", l.file(), l.line()));
        PLACE.with(|p| *p.borrow_mut() = place.unwrap_or_default());
    }));
}

/// Runs `work`; a panic in it becomes an `internal-error` refusal that names the file.
pub fn caught<T>(file_name: &str, work: impl FnOnce() -> T) -> Result<T, Refusal> {
    // The values a panic may have left half-changed are all dropped with the refused drawing.
    catch_unwind(AssertUnwindSafe(work)).map_err(|payload| {
        let what = payload
            .downcast_ref::<&str>()
            .map(|s| (*s).to_owned())
            .or_else(|| payload.downcast_ref::<String>().cloned())
            .unwrap_or_else(|| "no words".to_owned());
        let place = PLACE.with(|p| std::mem::take(&mut *p.borrow_mut()));
        let at = if place.is_empty() { String::new() } else { format!(" at {place}") };
        Refusal::because(
            Finding::new(
                output::INTERNAL,
                format!("We are sorry: platewright failed on {file_name}, and it is our mistake. Technical note for the report: \"{what}\"{at}, version {}.", env!("CARGO_PKG_VERSION")),
            )
            .about(file_name),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_finding() {
        let r = caught("lot-14.dxf", || -> u8 { panic!("index {}", 7) }).unwrap_err();
        assert_eq!(r.findings[0].code, output::INTERNAL);
        assert!(r.findings[0].message.contains("lot-14.dxf"));
        assert!(r.findings[0].message.contains("index 7"));
        assert_eq!(caught("x", || 5).unwrap(), 5);
    }
}
