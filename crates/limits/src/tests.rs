use super::*;

#[test]
fn names_lead_back_and_defaults_are_allowed() {
    for l in Limit::ALL {
        assert_eq!(Limit::from_name(l.name()), Some(l));
        let (least, most) = l.range();
        assert!((least..=most).contains(&l.default()), "{l}");
        assert_eq!(Limits::default().get(l), l.default());
        assert_eq!(Limits::default().with(l, most).get(l), most);
        assert!(Limits::default().set(l, most + 1).is_err());
    }
    assert_eq!(Limits::default().changed().count(), 0);
    let one = Limits::default().with(Limit::Walls, 7);
    assert_eq!(one.changed().collect::<Vec<_>>(), [(Limit::Walls, 7)]);
}

#[test]
fn texts_of_the_command_line() {
    assert_eq!(from_text("walls=7"), Ok((Limit::Walls, 7)));
    assert_eq!(from_text(" seconds = 0 "), Ok((Limit::Seconds, 0)));
    for (text, part) in [
        ("walls", "NAME=VALUE"),
        ("wals=3", "file_mb, unpacked_mb"),
        ("walls=0", "from 1 to"),
        ("walls=1.5", "whole number"),
        ("walls=-1", "whole number"),
        ("nesting=65", "from 1 to 64"),
        ("walls=99999999999999999999", "whole number"),
    ] {
        let e = from_text(text).unwrap_err();
        assert!(e.contains(part), "{text}: {e}");
    }
}

#[test]
fn a_stop_says_what_which_limit_and_how_to_raise_it() {
    let limits = Limits::default().with(Limit::FileMb, 1);
    let e = limits.check_file((1 << 20) + 1).unwrap_err();
    let message = &e.findings[0].message;
    assert_eq!(
        message,
        "The file has 1048577 bytes; the limit file_mb is 1. Raise it with --limit file_mb=N, or \
         file_mb = N under [limits] in the settings file."
    );
    assert!(limits.check_file(1 << 20).is_ok());
    let most = Limits::default().with(Limit::FileMb, u64::MAX);
    let e = most.check_file(u64::MAX).unwrap_err();
    assert!(e.findings[0].message.ends_with("It cannot be raised."), "{e}");
}

#[test]
fn memory_is_refused_before_it_is_taken() {
    let limits = Limits::default().with(Limit::MemoryMb, 128);
    assert!(limits.check_file(10 << 20).is_ok());
    let e = limits.check_file(11 << 20).unwrap_err();
    assert!(e.findings[0].message.contains("memory_mb is 128"), "{e}");
    assert!(limits.check_walls(500, 0).is_ok());
    assert!(limits.check_walls(10_000, 0).is_err());
    let e = Limits::default().with(Limit::Walls, 9).check_walls(10, 0).unwrap_err();
    assert!(e.findings[0].message.starts_with("The drawing has 10 walls"), "{e}");
}

#[test]
fn a_server_holds_what_a_job_asks_for() {
    let server = Limits::default().with(Limit::Walls, 100);
    let job = Limits::default().with(Limit::Walls, 1000).with(Limit::Seconds, 5);
    let held = job.at_most(&server);
    assert_eq!((held.get(Limit::Walls), held.get(Limit::Seconds)), (100, 5));
}

#[test]
fn a_watch_that_is_over_stays_over() {
    let watch = Watch::ending_after(2);
    assert!(!watch.is_over() && watch.border(Stage::Reading).is_ok());
    let e = watch.border(Stage::Planning).unwrap_err();
    assert!(e.findings[0].message.starts_with("Time was up while planning the plates"), "{e}");
    assert!(watch.is_over());
    assert!(!Watch::endless().is_over());
    assert!(Watch::start(&Limits::default().with(Limit::Seconds, 0)).is_over());
}
