//! The committed fixtures are what their generator writes.

use platewright_tests::fixtures;

#[test]
fn committed_fixtures_are_up_to_date() {
    for (path, want) in fixtures::all() {
        let got = std::fs::read(fixtures::folder().join(path));
        let got = got.unwrap_or_else(|e| panic!("fixtures/{path}: {e}"));
        assert!(
            got == want,
            "fixtures/{path} differs from its generator; run write-fixtures and look at the change"
        );
    }
}

#[test]
fn every_fixture_is_generated_and_listed() {
    let readme = std::fs::read_to_string(fixtures::folder().join("README.md")).unwrap();
    let known: Vec<&str> = fixtures::all().iter().map(|(p, _)| *p).collect();
    for folder in ["demo", "guide", "dxf", "ifc"] {
        for entry in std::fs::read_dir(fixtures::folder().join(folder)).unwrap() {
            let name = entry.unwrap().file_name().to_string_lossy().into_owned();
            let path = format!("{folder}/{name}");
            assert!(
                path == "demo/demo.toml"
                    || path == "guide/lots.csv"
                    || known.contains(&path.as_str()),
                "{path}"
            );
            assert!(readme.contains(&name), "fixtures/README.md does not list {path}");
        }
    }
}
