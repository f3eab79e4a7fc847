//! What a wall's body tells beside its line: where it ends, where it is broken, what holes it has.

mod common;

use common::{Model, has};
use diag::{Finding, Outcome};
use wall_model::{OpeningKind, Wall, WallModel};

const X: [f64; 3] = [1.0, 0.0, 0.0];
const Y: [f64; 3] = [0.0, 1.0, 0.0];
const ZERO: [f64; 3] = [0.0; 3];
const TOP: f64 = 97.125;

fn said<'f>(findings: &'f [Finding], code: &str) -> &'f str {
    findings.iter().find(|f| f.code.name() == code).map_or("", |f| f.message.as_str())
}
fn lengths(out: &Outcome<WallModel>) -> Vec<f64> {
    let mut all: Vec<f64> = out.value.walls.iter().map(|w| w.length().to_inches()).collect();
    all.sort_by(f64::total_cmp);
    all
}
fn openings(w: &Wall) -> Vec<(OpeningKind, f64, f64)> {
    w.openings.iter().map(|o| (o.kind, o.from.to_inches(), o.to.to_inches())).collect()
}
/// Adds a wall of an axis (or none) and a body's items.
fn wall(
    m: &mut Model,
    guid: &str,
    placement: u64,
    axis: Option<f64>,
    kind: &str,
    items: &[u64],
) -> u64 {
    let mut reps = Vec::new();
    if let Some(to) = axis {
        let line = m.polyline(&[[0.0, 0.0], [to, 0.0]]);
        reps.push(m.axis(line));
    }
    let ids: Vec<String> = items.iter().map(|i| format!("#{i}")).collect();
    reps.push(m.add(&format!("IFCSHAPEREPRESENTATION($,'Body','{kind}',({}))", ids.join(","))));
    let shape = m.shape(&reps);
    m.product("IFCWALL", guid, placement, Some(shape), "$,$")
}
/// A solid 3.5 thick from 0 to 120 without what lies beyond an upright plane at 80.
fn cut_at_80(m: &mut Model) -> u64 {
    let solid = m.solid([0.0, -1.75, 0.0], [120.0, 1.75, TOP]);
    let (p, n, x) = (m.point(&[80.0, 0.0, 0.0]), m.direction(&X), m.direction(&Y));
    let at = m.add(&format!("IFCAXIS2PLACEMENT3D(#{p},#{n},#{x})"));
    let plane = m.add(&format!("IFCPLANE(#{at})"));
    let half = m.add(&format!("IFCHALFSPACESOLID(#{plane},.F.)"));
    m.add(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},#{half})"))
}
/// An elevation swept through a thickness of 3.5.
fn through_the_wall(m: &mut Model, profile: u64) -> u64 {
    let (p, z, x) = (m.point(&[0.0, 1.75, 0.0]), m.direction(&[0.0, -1.0, 0.0]), m.direction(&X));
    let at = m.add(&format!("IFCAXIS2PLACEMENT3D(#{p},#{z},#{x})"));
    m.add(&format!("IFCEXTRUDEDAREASOLID(#{profile},#{at},#3,3.5)"))
}

#[test]
fn a_body_that_ends_before_its_axis_is_believed() {
    let mut m = Model::inches();
    let solid = m.solid([0.0, -1.75, 0.0], [100.0, 1.75, TOP]);
    wall(&mut m, "w1", 19, Some(130.0), "SweptSolid", &[solid]);
    let out = m.read();
    assert_eq!(lengths(&out), [100.0]);
    let words = said(&out.findings, "ifc-axis-long");
    assert!(words.contains("2'-6\" beyond its body at the end"), "{words}");
    // Up to half its own thickness is no matter.
    let mut m = Model::inches();
    let solid = m.solid([0.0, -1.75, 0.0], [100.0, 1.75, TOP]);
    wall(&mut m, "w1", 19, Some(101.75), "SweptSolid", &[solid]);
    let out = m.read();
    assert_eq!((lengths(&out), out.findings.len()), (vec![101.75], 0));
    // A free end of a body that runs on.
    let mut m = Model::inches();
    let solid = m.solid([-6.0, -1.75, 0.0], [100.0, 1.75, TOP]);
    wall(&mut m, "w1", 19, Some(100.0), "SweptSolid", &[solid]);
    let out = m.read();
    assert_eq!(lengths(&out), [106.0]);
    assert!(said(&out.findings, "ifc-axis-short").contains("6\" beyond its axis at the start"));
}

/// A wall as long as the way to the sun, straight along x, beside one whose end is in question: it is not walked along cell by cell.
#[test]
fn a_wall_without_end_takes_no_time() {
    let mut m = Model::inches();
    m.wall("endless", [0.0, 0.0, 0.0], X, 6e12, 3.5);
    let up = m.placed([0.0, 50.0, 0.0], X);
    let solid = m.solid([0.0, -1.75, 0.0], [100.0, 1.75, TOP]);
    wall(&mut m, "w1", up, Some(130.0), "SweptSolid", &[solid]);
    let out = m.read();
    assert_eq!(lengths(&out), [100.0]);
    assert!(has(&out.findings, "ifc-axis-long"));
}

#[test]
fn an_upright_clip_takes_the_end_off() {
    for axis in [Some(120.0), None] {
        let mut m = Model::inches();
        let body = cut_at_80(&mut m);
        wall(&mut m, "w1", 19, axis, "Clipping", &[body]);
        let out = m.read();
        assert_eq!(lengths(&out), [80.0], "{axis:?}");
        assert_eq!(has(&out.findings, "ifc-axis-long"), axis.is_some());
        assert!(!has(&out.findings, "ifc-top-not-level"));
    }
}

/// A partition's axis runs to the middle of the thick wall it meets, its body to that wall's face; a thick wall's
/// body runs to the far face of the corner.
#[test]
fn joints_with_a_neighbour_explain_an_axis() {
    let mut m = Model::inches();
    m.wall("thick", [0.0, 0.0, 0.0], X, 240.0, 9.25);
    let up = m.placed([120.0, 0.0, 0.0], Y);
    let solid = m.solid([4.625, -1.75, 0.0], [100.0, 1.75, TOP]);
    wall(&mut m, "partition", up, Some(100.0), "SweptSolid", &[solid]);
    let corner = m.placed([240.0, 0.0, 0.0], Y);
    let solid = m.solid([-4.625, -1.75, 0.0], [60.0, 1.75, TOP]);
    wall(&mut m, "corner", corner, Some(60.0), "SweptSolid", &[solid]);
    let out = m.read();
    assert_eq!(lengths(&out), [60.0, 100.0, 240.0]);
    assert!(!has(&out.findings, "ifc-axis-long") && !has(&out.findings, "ifc-axis-short"));
    // The same on another floor explains nothing.
    let mut m = Model::inches();
    m.wall("thick", [0.0, 0.0, 120.0], X, 240.0, 9.25);
    let up = m.placed([120.0, 0.0, 0.0], Y);
    let solid = m.solid([4.625, -1.75, 0.0], [100.0, 1.75, TOP]);
    wall(&mut m, "partition", up, Some(100.0), "SweptSolid", &[solid]);
    let out = m.read();
    assert_eq!(lengths(&out), [95.375, 240.0]);
    assert!(has(&out.findings, "ifc-axis-long"));
}

/// An elevation swept through the thickness: a doorway as a notch, a window as a hole.
#[test]
fn openings_of_an_elevation_profile() {
    for axis in [Some(200.0), None] {
        let mut m = Model::inches();
        let outline = m.polyline(&[
            [0.0, 0.0],
            [20.0, 0.0],
            [20.0, 80.0],
            [56.0, 80.0],
            [56.0, 0.0],
            [200.0, 0.0],
            [200.0, TOP],
            [0.0, TOP],
            [0.0, 0.0],
        ]);
        let hole = m.polyline(&[
            [100.0, 36.0],
            [136.0, 36.0],
            [136.0, 80.0],
            [100.0, 80.0],
            [100.0, 36.0],
        ]);
        let profile =
            m.add(&format!("IFCARBITRARYPROFILEDEFWITHVOIDS(.AREA.,$,#{outline},(#{hole}))"));
        let solid = through_the_wall(&mut m, profile);
        wall(&mut m, "w1", 19, axis, "SweptSolid", &[solid]);
        let out = m.read();
        let w = &out.value.walls[0];
        let (passage, window) = (OpeningKind::Opening, OpeningKind::Window);
        let forth = [(passage, 20.0, 56.0), (window, 100.0, 136.0)];
        let back = [(window, 64.0, 100.0), (passage, 144.0, 180.0)];
        let got = openings(w);
        assert!(got == forth || got == back, "{got:?}");
        let words = said(&out.findings, "ifc-opening-in-body");
        assert!(
            words.contains("1'-8\" to 4'-8\"") || words.contains("12'-0\" to 15'-0\""),
            "{words}"
        );
        assert!(!has(&out.findings, "ifc-top-not-level"));
    }
}

/// Boxes of triangles.
fn mesh(m: &mut Model, boxes: &[[f64; 6]]) -> u64 {
    let (mut points, mut faces) = (Vec::new(), Vec::new());
    for b in boxes {
        let first = points.len();
        for z in [b[2], b[5]] {
            for (x, y) in [(b[0], b[1]), (b[3], b[1]), (b[3], b[4]), (b[0], b[4])] {
                points.push(format!("({x:?},{y:?},{z:?})"));
            }
        }
        for q in
            [[0, 3, 2, 1], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]]
        {
            let [a, b, c, d] = q.map(|n| first + n + 1);
            faces.push(format!("({a},{b},{c}),({a},{c},{d})"));
        }
    }
    let list = m.add(&format!("IFCCARTESIANPOINTLIST3D(({}))", points.join(",")));
    m.add(&format!("IFCTRIANGULATEDFACESET(#{list},$,.T.,({}),$)", faces.join(",")))
}

#[test]
fn openings_of_a_mesh_and_of_solids() {
    let pieces = [
        [0.0, -1.75, 0.0, 20.0, 1.75, TOP],
        [20.0, -1.75, 80.0, 56.0, 1.75, TOP],
        [56.0, -1.75, 0.0, 100.0, 1.75, TOP],
        [100.0, -1.75, 0.0, 136.0, 1.75, 36.0],
        [100.0, -1.75, 80.0, 136.0, 1.75, TOP],
        [136.0, -1.75, 0.0, 200.0, 1.75, TOP],
    ];
    for solids in [true, false] {
        let mut m = Model::inches();
        let items: Vec<u64> = if solids {
            let solid = |b: &[f64; 6]| m.solid([b[0], b[1], b[2]], [b[3], b[4], b[5]]);
            pieces.iter().map(solid).collect()
        } else {
            vec![mesh(&mut m, &pieces)]
        };
        let w = wall(&mut m, "w1", 19, Some(200.0), "Body", &items);
        let out = m.read();
        let want = [(OpeningKind::Opening, 20.0, 56.0), (OpeningKind::Window, 100.0, 136.0)];
        assert_eq!(openings(&out.value.walls[0]), want, "{solids}");
        assert!(has(&out.findings, "ifc-opening-in-body"));
        // Told by an opening element and filled by a door, it is that.
        let door = m.opening("hole", w, [20.0, -5.0, 0.0], [56.0, 5.0, 80.0]);
        m.fill("IFCDOOR", "D", door);
        let out = m.read();
        let want = [(OpeningKind::Door, 20.0, 56.0), (OpeningKind::Window, 100.0, 136.0)];
        assert_eq!(openings(&out.value.walls[0]), want, "{solids}");
    }
}

#[test]
fn a_broken_body_is_two_walls() {
    for axis in [Some(120.0), None] {
        let mut m = Model::inches();
        let a = m.solid([0.0, -1.75, 0.0], [40.0, 1.75, TOP]);
        let b = m.solid([76.0, -1.75, 0.0], [120.0, 1.75, TOP]);
        wall(&mut m, "w1", 19, axis, "SweptSolid", &[a, b]);
        let out = m.read();
        assert_eq!(lengths(&out), [40.0, 44.0], "{axis:?}");
        let words = said(&out.findings, "ifc-wall-broken");
        let (forth, back) = ("from 3'-4\" to 6'-4\"", "from 3'-8\" to 6'-8\"");
        assert!(words.contains(forth) || words.contains(back), "{words}");
    }
}

#[test]
fn voids_up_through_the_plates() {
    let cut = |voids: &[([f64; 3], [f64; 3])]| {
        let mut m = Model::inches();
        let w = m.wall("w1", ZERO, X, 240.0, 3.5);
        for (n, (low, high)) in voids.iter().enumerate() {
            m.opening(&format!("v{n}"), w, *low, *high);
        }
        m.read()
    };
    // From floor to top and beyond: nothing is left for a plate to lie on.
    for top in [TOP, 120.0] {
        let out = cut(&[
            ([100.0, -5.0, 0.0], [136.0, 5.0, top]),
            ([20.0, -5.0, 0.0], [56.0, 5.0, 80.0]),
            ([180.0, -5.0, 36.0], [216.0, 5.0, 80.0]),
        ]);
        assert_eq!(lengths(&out), [100.0, 104.0]);
        assert!(said(&out.findings, "ifc-wall-broken").contains("from 8'-4\" to 11'-4\""));
        let all: Vec<_> = out.value.walls.iter().flat_map(openings).collect();
        let want = [(OpeningKind::Opening, 20.0, 56.0), (OpeningKind::Window, 44.0, 80.0)];
        assert_eq!(all, want);
    }
    // Of a void over the whole wall nothing would be left: an error, and the wall as it was.
    let out = cut(&[([-1.0, -5.0, 0.0], [241.0, 5.0, TOP])]);
    assert_eq!(lengths(&out), [240.0]);
    assert!(has(&out.findings, "ifc-void-in-plates") && !has(&out.findings, "ifc-wall-broken"));
    // A beam pocket is no window, but an error that names the plates.
    let out = cut(&[([100.0, -5.0, 85.0], [104.0, 5.0, 115.0])]);
    assert_eq!((lengths(&out), openings(&out.value.walls[0]).len()), (vec![240.0], 0));
    let f = out.findings.iter().find(|f| f.code.name() == "ifc-void-in-plates").unwrap();
    assert!(f.message.contains("lower and upper top plates"), "{f}");
    assert_eq!(f.severity, diag::Severity::Error);
    // A door up to the upper plate.
    let out = cut(&[([100.0, -5.0, 0.0], [136.0, 5.0, 95.625])]);
    assert_eq!(openings(&out.value.walls[0]), [(OpeningKind::Opening, 100.0, 136.0)]);
    assert!(said(&out.findings, "ifc-void-in-plates").contains("lower top plate,"));
    // Just under both there is nothing to say.
    let out = cut(&[([100.0, -5.0, 0.0], [136.0, 5.0, 94.125])]);
    assert!(out.findings.is_empty(), "{:?}", out.findings);
}

#[test]
fn recesses_and_small_holes_are_no_windows() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 240.0, 3.5);
    m.opening("half", w, [50.0, 0.0, 40.0], [80.0, 3.0, 60.0]);
    m.opening("duct", w, [200.0, -5.0, 80.0], [210.0, 5.0, 86.0]);
    let niche = m.opening("niche", w, [100.0, -1.5, 40.0], [130.0, 5.0, 60.0]);
    let line = m.lines.iter_mut().find(|l| l.starts_with(&format!("#{niche}="))).unwrap();
    *line = line.replace(".OPENING.", ".RECESS.");
    m.opening("slit", w, [150.0, -5.0, 30.0], [160.0, 5.0, 80.0]);
    let out = m.read();
    assert_eq!(openings(&out.value.walls[0]), [(OpeningKind::Window, 150.0, 160.0)]);
    for (code, entity) in
        [("ifc-opening-shallow", vec!["half", "niche"]), ("ifc-opening-small", vec!["duct"])]
    {
        let f = out.findings.iter().find(|f| f.code.name() == code).unwrap();
        let of: Vec<&str> = f.source.iter().map(|s| s.entity.as_str()).collect();
        assert_eq!((of, f.severity), (entity, diag::Severity::Note));
    }
}

/// One opening element with two solids that lie apart is two openings, of an extrusion each or of one mesh.
#[test]
fn solids_of_one_opening_that_lie_apart_are_openings_each() {
    let boxes = [[40.0, -5.0, 30.0, 76.0, 5.0, 80.0], [150.0, -5.0, 30.0, 180.0, 5.0, 80.0]];
    for swept in [true, false] {
        let mut m = Model::inches();
        let w = {
            let solid = m.solid([0.0, -1.75, 0.0], [240.0, 1.75, TOP]);
            wall(&mut m, "w1", 19, Some(240.0), "Body", &[solid])
        };
        let items = if swept {
            boxes.map(|b| m.solid([b[0], b[1], b[2]], [b[3], b[4], b[5]])).to_vec()
        } else {
            vec![mesh(&mut m, &boxes)]
        };
        let list: Vec<String> = items.iter().map(|i| format!("#{i}")).collect();
        let body =
            m.add(&format!("IFCSHAPEREPRESENTATION($,'Body','SweptSolid',({}))", list.join(",")));
        let shape = m.shape(&[body]);
        let at = m.placed([0.0; 3], [1.0, 0.0, 0.0]);
        let opening =
            m.add(&format!("IFCOPENINGELEMENT('o',$,'two',$,$,#{at},#{shape},$,.OPENING.)"));
        m.add(&format!("IFCRELVOIDSELEMENT('v',$,$,$,#{w},#{opening})"));
        let out = m.read();
        let want = [(OpeningKind::Window, 40.0, 76.0), (OpeningKind::Window, 150.0, 180.0)];
        assert_eq!(openings(&out.value.walls[0]), want, "{swept}");
        assert!(out.findings.is_empty(), "{:?}", out.findings);
    }
}

/// A gable under two slopes, its window under the ridge: the plates break at the ridge, the window does not end there.
#[test]
fn an_opening_under_a_ridge_lies_in_both_slopes() {
    let gable = |low: [f64; 3], high: [f64; 3], slot: Option<[f64; 2]>| {
        let mut m = Model::inches();
        let ridge = [120.0, 157.0];
        let outline = [[0.0, 0.0], [240.0, 0.0], [240.0, 97.0], ridge, [0.0, 97.0], [0.0, 0.0]];
        let outline = m.polyline(&outline);
        let profile = m.add(&format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#{outline})"));
        let mut solid = through_the_wall(&mut m, profile);
        let mut kind = "SweptSolid";
        if let Some([from, to]) = slot {
            let gone = m.solid([from, -5.0, -1.0], [to, 5.0, 200.0]);
            solid = m.add(&format!("IFCBOOLEANRESULT(.DIFFERENCE.,#{solid},#{gone})"));
            kind = "CSG";
        }
        let w = wall(&mut m, "w1", 19, Some(240.0), kind, &[solid]);
        m.opening("v", w, low, high);
        m.read()
    };
    let all = |out: &Outcome<WallModel>| -> Vec<Vec<_>> {
        out.value.walls.iter().map(openings).collect()
    };
    let window = OpeningKind::Window;
    let out = gable([100.0, -5.0, 36.0], [150.0, 5.0, 84.0], None);
    assert_eq!(lengths(&out), [120.0, 120.0]);
    assert_eq!(all(&out), [vec![(window, 100.0, 120.0)], vec![(window, 0.0, 30.0)]]);
    assert!(!has(&out.findings, "ifc-opening-shape") && !has(&out.findings, "ifc-void-in-plates"));
    // Its far jamb stands where the other slope is lower than its head.
    let out = gable([100.0, -5.0, 36.0], [200.0, 5.0, 125.0], None);
    let words = said(&out.findings, "ifc-void-in-plates");
    assert!(words.contains("from 8'-4\" to 16'-8\""), "{words}");
    // What reaches beyond the wall is cut short there.
    let out = gable([200.0, -5.0, 36.0], [250.0, 5.0, 84.0], None);
    assert_eq!(all(&out), [vec![], vec![(window, 80.0, 120.0)]]);
    assert!(said(&out.findings, "ifc-opening-shape").contains("10\" past the end"));
    // The same in a wall that is broken elsewhere.
    let out = gable([100.0, -5.0, 36.0], [150.0, 5.0, 84.0], Some([40.0, 60.0]));
    assert_eq!(lengths(&out), [40.0, 60.0, 120.0]);
    assert_eq!(all(&out), [vec![], vec![(window, 40.0, 60.0)], vec![(window, 0.0, 30.0)]]);
    assert!(!has(&out.findings, "ifc-opening-shape"));
}

/// A wall over a lower roof, on steps, and one cut off level from below.
#[test]
fn a_foot_that_is_not_level_is_told() {
    let foot = |outline: &[[f64; 2]]| {
        let mut m = Model::inches();
        let outline = m.polyline(outline);
        let profile = m.add(&format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#{outline})"));
        let solid = through_the_wall(&mut m, profile);
        wall(&mut m, "w1", 19, Some(240.0), "SweptSolid", &[solid]);
        let out = m.read();
        let told = said(&out.findings, "ifc-foot-not-level").to_owned();
        (out.value.walls[0].base.to_inches(), told)
    };
    let (base, told) = foot(&[[0.0, 0.0], [240.0, 60.0], [240.0, TOP], [0.0, TOP], [0.0, 0.0]]);
    assert_eq!(base, 0.0);
    assert!(told.contains("foot from 0\" to 5'-0\""), "{told}");
    let step = [200.0, 8.0];
    let stepped =
        [[0.0, 0.0], [200.0, 0.0], step, [240.0, 8.0], [240.0, TOP], [0.0, TOP], [0.0, 0.0]];
    let (base, told) = foot(&stepped);
    assert_eq!(base, 0.0);
    assert!(told.contains("foot from 0\" to 8\""), "{told}");
    // A doorway, a notch for a pipe and what is off by a hair are no steps.
    let plain = [
        [0.0, 0.0],
        [40.0, 0.0],
        [40.0, 80.0],
        [76.0, 80.0],
        [76.0, 0.25],
        [150.0, 0.25],
        [150.0, 6.0],
        [160.0, 6.0],
        [160.0, 0.0],
        [240.0, 0.0],
        [240.0, TOP],
        [0.0, TOP],
        [0.0, 0.0],
    ];
    assert_eq!(foot(&plain), (0.0, String::new()));
    // Level all along, but higher than its solid: no doorway as long as the wall.
    let mut m = Model::inches();
    let solid = m.solid([0.0, -1.75, 0.0], [240.0, 1.75, TOP]);
    let gone = m.solid([-1.0, -9.0, -1.0], [241.0, 9.0, 60.0]);
    let cut = m.add(&format!("IFCBOOLEANRESULT(.DIFFERENCE.,#{solid},#{gone})"));
    wall(&mut m, "w1", 19, Some(240.0), "CSG", &[cut]);
    let out = m.read();
    assert_eq!(out.value.walls[0].base.to_inches(), 60.0);
    assert!(openings(&out.value.walls[0]).is_empty());
    assert_eq!(said(&out.findings, "ifc-foot-not-level"), "");
    // Cut off at a slant across the wall: planned at the lower face.
    let mut m = Model::inches();
    let solid = m.solid([0.0, -1.75, 0.0], [240.0, 1.75, TOP]);
    let (p, n) = (m.point(&[0.0, 0.0, 20.0]), m.direction(&[0.0, 1.0, 1.0]));
    let at = m.add(&format!("IFCAXIS2PLACEMENT3D(#{p},#{n},$)"));
    let plane = m.add(&format!("IFCPLANE(#{at})"));
    let half = m.add(&format!("IFCHALFSPACESOLID(#{plane},.T.)"));
    let cut = m.add(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},#{half})"));
    wall(&mut m, "w1", 19, Some(240.0), "Clipping", &[cut]);
    let out = m.read();
    let base = out.value.walls[0].base.to_inches();
    assert!((base - 18.3).abs() < 0.1, "{base}");
    let told = said(&out.findings, "ifc-foot-not-level");
    assert!(told.contains("foot from 1'-6 1/4\" to 1'-8\""), "{told}");
}
