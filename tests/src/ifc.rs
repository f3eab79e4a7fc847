//! Writes a house as an IFC4 STEP file in millimetres.
//!
//! Walls have an Axis (the framing centreline), a swept body and a material layer set with finishes;
//! openings void their walls and doors and windows fill them; each wall's representation is on a
//! presentation layer named as in the DXF.

use crate::house::{House, Kind, Ticks, Wall};
use std::collections::BTreeMap;
use std::fmt::Write;

/// 1/16 in is 1.5875 mm exactly.
const MM_PER_TICK: f64 = 1.5875;

struct Step {
    out: String,
    next: u32,
}

impl Step {
    fn add(&mut self, body: impl AsRef<str>) -> u32 {
        let id = self.next;
        self.next += 1;
        // Writing to a String cannot fail.
        let _ = writeln!(self.out, "#{id}={};", body.as_ref());
        id
    }
    fn point2(&mut self, p: (f64, f64)) -> u32 {
        self.add(format!("IFCCARTESIANPOINT(({},{}))", real(p.0), real(p.1)))
    }
    fn point3(&mut self, p: (f64, f64, f64)) -> u32 {
        let text = format!("IFCCARTESIANPOINT(({},{},{}))", real(p.0), real(p.1), real(p.2));
        self.add(text)
    }
    /// A placement under `parent`, its x along `dir`.
    fn placement(&mut self, parent: Option<u32>, at: (f64, f64, f64), dir: (f64, f64)) -> u32 {
        let point = self.point3(at);
        let z = self.add("IFCDIRECTION((0.,0.,1.))");
        let x = self.add(format!("IFCDIRECTION(({},{},0.))", real(dir.0), real(dir.1)));
        let axes = self.add(format!("IFCAXIS2PLACEMENT3D(#{point},#{z},#{x})"));
        let parent = parent.map_or("$".to_owned(), |p| format!("#{p}"));
        self.add(format!("IFCLOCALPLACEMENT({parent},#{axes})"))
    }
    /// An upright box: rectangle with its middle at (x, y), extruded by `height`.
    fn upright_box(
        &mut self,
        context: u32,
        middle: (f64, f64),
        size: (f64, f64),
        height: f64,
    ) -> u32 {
        let point = self.point2(middle);
        let position = self.add(format!("IFCAXIS2PLACEMENT2D(#{point},$)"));
        let profile = self.add(format!(
            "IFCRECTANGLEPROFILEDEF(.AREA.,$,#{position},{},{})",
            real(size.0),
            real(size.1)
        ));
        let origin = self.point3((0.0, 0.0, 0.0));
        let base = self.add(format!("IFCAXIS2PLACEMENT3D(#{origin},$,$)"));
        let up = self.add("IFCDIRECTION((0.,0.,1.))");
        let solid =
            self.add(format!("IFCEXTRUDEDAREASOLID(#{profile},#{base},#{up},{})", real(height)));
        self.add(format!("IFCSHAPEREPRESENTATION(#{context},'Body','SweptSolid',(#{solid}))"))
    }
}

/// A STEP real: always with a point.
fn real(x: f64) -> String {
    let x = if x == 0.0 { 0.0 } else { x };
    let text = format!("{x}");
    if text.contains('.') { text } else { format!("{text}.") }
}

fn list(ids: &[u32]) -> String {
    ids.iter().map(|i| format!("#{i}")).collect::<Vec<_>>().join(",")
}

/// A GlobalId made of a name: 128 bits in the 22 characters the standard asks for. The same name
/// always gives the same id.
pub fn global_id(name: &str) -> String {
    const DIGITS: &[u8; 64] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_$";
    // FNV-1a, 128 bit.
    let mut hash: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    for b in name.bytes() {
        hash = (hash ^ u128::from(b)).wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013b);
    }
    (0..22).rev().map(|i| DIGITS[(hash >> (6 * i)) as usize & 63] as char).collect()
}

const SHEATHING_MM: f64 = 11.1125; // 7/16 in
const GYPSUM_MM: f64 = 12.7; // 1/2 in

/// Layers of a wall from right to left of its axis, and how far the first face lies from the axis.
fn build_up(w: &Wall) -> (Vec<(&'static str, f64)>, f64) {
    let stud = w.stud_width() as f64 * MM_PER_TICK;
    let (right, right_mm) =
        if w.exterior { ("Sheathing", SHEATHING_MM) } else { ("Gypsum board", GYPSUM_MM) };
    let framing = if w.section == "2x6" { "Stud framing 2x6" } else { "Stud framing 2x4" };
    (
        vec![(right, right_mm), (framing, stud), ("Gypsum board", GYPSUM_MM)],
        -(stud / 2.0 + right_mm),
    )
}

/// The house as IFC4 text.
pub fn write(house: &House) -> String {
    let mut s = Step { out: String::new(), next: 1 };
    let units = units(&mut s);
    let origin = s.point3((0.0, 0.0, 0.0));
    let world = s.add(format!("IFCAXIS2PLACEMENT3D(#{origin},$,$)"));
    let model = s.add(format!("IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#{world},$)"));
    let sub = |s: &mut Step, name: &str, view: &str| {
        s.add(format!(
            "IFCGEOMETRICREPRESENTATIONSUBCONTEXT('{name}','Model',*,*,*,*,#{model},$,.{view}.,$)"
        ))
    };
    let axis = sub(&mut s, "Axis", "GRAPH_VIEW");
    let body = sub(&mut s, "Body", "MODEL_VIEW");
    let project = s.add(format!(
        "IFCPROJECT('{}',$,'{}',$,$,$,$,(#{model}),#{units})",
        global_id("project"),
        house.title
    ));
    let site_place = s.placement(None, (0.0, 0.0, 0.0), (1.0, 0.0));
    let site = s.add(format!(
        "IFCSITE('{}',$,'No real lot',$,$,#{site_place},$,$,.ELEMENT.,$,$,$,$,$)",
        global_id("site")
    ));
    let building_place = s.placement(Some(site_place), (0.0, 0.0, 0.0), (1.0, 0.0));
    let building = s.add(format!(
        "IFCBUILDING('{}',$,'House',$,$,#{building_place},$,$,.ELEMENT.,$,$,$)",
        global_id("building")
    ));
    let storey_place = s.placement(Some(building_place), (0.0, 0.0, 0.0), (1.0, 0.0));
    let storey = s.add(format!(
        "IFCBUILDINGSTOREY('{}',$,'Ground floor',$,$,#{storey_place},$,$,.ELEMENT.,0.)",
        global_id("storey")
    ));
    for (whole, part, name) in [
        (project, site, "site of"),
        (site, building, "building of"),
        (building, storey, "storey of"),
    ] {
        s.add(format!("IFCRELAGGREGATES('{}',$,$,$,#{whole},(#{part}))", global_id(name)));
    }
    let mut book = Book::default();
    for w in &house.walls {
        wall(&mut s, w, storey_place, (axis, body), &mut book);
    }
    book.write(&mut s, storey);
    format!(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('ViewDefinition [ReferenceView_V1.2]','{}'),'2;1');\nFILE_NAME('','',(''),(''),'platewright test drawings','platewright test drawings','');\nFILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n",
        house.title, s.out
    )
}

fn units(s: &mut Step) -> u32 {
    let length = s.add("IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)");
    let area = s.add("IFCSIUNIT(*,.AREAUNIT.,$,.SQUARE_METRE.)");
    let volume = s.add("IFCSIUNIT(*,.VOLUMEUNIT.,$,.CUBIC_METRE.)");
    let angle = s.add("IFCSIUNIT(*,.PLANEANGLEUNIT.,$,.RADIAN.)");
    s.add(format!("IFCUNITASSIGNMENT(({}))", list(&[length, area, volume, angle])))
}

/// What is said once about many walls, gathered while they are written.
#[derive(Default)]
struct Book {
    elements: Vec<u32>,
    by_layer: BTreeMap<&'static str, Vec<u32>>,
    /// An example of each type, and the walls of that type.
    by_type: BTreeMap<&'static str, (Wall, Vec<u32>)>,
    by_flags: BTreeMap<(bool, bool), Vec<u32>>,
}

impl Book {
    fn write(self, s: &mut Step, storey: u32) {
        if !self.elements.is_empty() {
            s.add(format!(
                "IFCRELCONTAINEDINSPATIALSTRUCTURE('{}',$,$,$,({}),#{storey})",
                global_id("contained"),
                list(&self.elements)
            ));
        }
        for (layer, items) in &self.by_layer {
            s.add(format!("IFCPRESENTATIONLAYERASSIGNMENT('{layer}',$,({}),$)", list(items)));
        }
        for (name, (example, walls)) in &self.by_type {
            let kind = s.add(format!(
                "IFCWALLTYPE('{}',$,'{name}',$,$,$,$,$,$,.STANDARD.)",
                global_id(&format!("type {name}"))
            ));
            s.add(format!(
                "IFCRELDEFINESBYTYPE('{}',$,$,$,({}),#{kind})",
                global_id(&format!("typed {name}")),
                list(walls)
            ));
            let (layers, offset) = build_up(example);
            let layers: Vec<u32> = layers
                .into_iter()
                .map(|(material, thickness)| {
                    let material = s.add(format!("IFCMATERIAL('{material}',$,$)"));
                    s.add(format!("IFCMATERIALLAYER(#{material},{},$,$,$,$,$)", real(thickness)))
                })
                .collect();
            let set = s.add(format!("IFCMATERIALLAYERSET(({}),'{name}',$)", list(&layers)));
            let usage = s.add(format!(
                "IFCMATERIALLAYERSETUSAGE(#{set},.AXIS2.,.POSITIVE.,{},$)",
                real(offset)
            ));
            for (what, related, material) in
                [("set", vec![kind], set), ("usage", walls.clone(), usage)]
            {
                s.add(format!(
                    "IFCRELASSOCIATESMATERIAL('{}',$,$,$,({}),#{material})",
                    global_id(&format!("material {what} {name}")),
                    list(&related)
                ));
            }
        }
        for ((exterior, bearing), walls) in &self.by_flags {
            let flag = |b: &bool| if *b { ".T." } else { ".F." };
            let values = [("IsExternal", exterior), ("LoadBearing", bearing)].map(|(name, b)| {
                s.add(format!("IFCPROPERTYSINGLEVALUE('{name}',$,IFCBOOLEAN({}),$)", flag(b)))
            });
            let name = format!("flags {exterior} {bearing}");
            let set = s.add(format!(
                "IFCPROPERTYSET('{}',$,'Pset_WallCommon',$,({}))",
                global_id(&name),
                list(&values)
            ));
            s.add(format!(
                "IFCRELDEFINESBYPROPERTIES('{}',$,$,$,({}),#{set})",
                global_id(&format!("{name} of")),
                list(walls)
            ));
        }
    }
}

fn mm(t: Ticks) -> f64 {
    // Four decimals hold every multiple of 1.5875 exactly; this takes the binary noise off.
    (t as f64 * MM_PER_TICK * 1e4).round() / 1e4
}

fn wall(s: &mut Step, w: &Wall, storey: u32, (axis, body): (u32, u32), book: &mut Book) {
    let (dx, dy) = (mm(w.to.0 - w.from.0), mm(w.to.1 - w.from.1));
    let length = if dx == 0.0 || dy == 0.0 { dx.abs() + dy.abs() } else { dx.hypot(dy) };
    let dir = (dx / length, dy / length);
    let place = s.placement(Some(storey), (mm(w.from.0), mm(w.from.1), 0.0), dir);
    let (a, b) = (s.point2((0.0, 0.0)), s.point2((length, 0.0)));
    let line = s.add(format!("IFCPOLYLINE((#{a},#{b}))"));
    let axis = s.add(format!("IFCSHAPEREPRESENTATION(#{axis},'Axis','Curve2D',(#{line}))"));
    let (layers, offset) = build_up(w);
    let thickness: f64 = layers.iter().map(|l| l.1).sum();
    let solid = s.upright_box(
        body,
        (length / 2.0, offset + thickness / 2.0),
        (length, thickness),
        mm(w.top),
    );
    let shape = s.add(format!("IFCPRODUCTDEFINITIONSHAPE($,$,(#{axis},#{solid}))"));
    let id = s.add(format!(
        "IFCWALL('{}',$,'{}',$,$,#{place},#{shape},$,.STANDARD.)",
        global_id(&w.key),
        w.key
    ));
    book.elements.push(id);
    book.by_layer.entry(w.layer).or_default().extend([axis, solid]);
    let name = type_name(w);
    book.by_type.entry(name).or_insert_with(|| (w.clone(), Vec::new())).1.push(id);
    book.by_flags.entry((w.exterior, w.bearing)).or_default().push(id);
    for (i, o) in w.openings.iter().enumerate() {
        let station = |p: (Ticks, Ticks)| {
            let (dx, dy) = (mm(p.0 - w.from.0), mm(p.1 - w.from.1));
            if dx == 0.0 || dy == 0.0 { dx.abs() + dy.abs() } else { dx.hypot(dy) }
        };
        let key = format!("{} opening {i}", w.key);
        let (from, to) = (station(o.from), station(o.to));
        opening(s, &key, id, place, body, (from, to, thickness + 50.0), o.kind, book);
    }
}

fn type_name(w: &Wall) -> &'static str {
    match (w.exterior, w.section) {
        (true, _) => "Exterior 2x6",
        (false, "2x6") => "Plumbing wall 2x6",
        (false, _) => "Partition 2x4",
    }
}

#[expect(clippy::too_many_arguments, reason = "one call, each argument plain")]
fn opening(
    s: &mut Step,
    key: &str,
    wall: u32,
    wall_place: u32,
    body: u32,
    (from, to, depth): (f64, f64, f64),
    kind: Kind,
    book: &mut Book,
) {
    // A door of 82-1/2 in, a window of 48 in on a sill at 36 in.
    let (sill, height) =
        if kind == Kind::Door { (0.0, 2095.5) } else { (mm(36 * 16), mm(48 * 16)) };
    let width = to - from;
    let place = s.placement(Some(wall_place), (from, 0.0, sill), (1.0, 0.0));
    let solid = s.upright_box(body, (width / 2.0, 0.0), (width, depth), height);
    let shape = s.add(format!("IFCPRODUCTDEFINITIONSHAPE($,$,(#{solid}))"));
    let hole = s.add(format!(
        "IFCOPENINGELEMENT('{}',$,'{key}',$,$,#{place},#{shape},$,.OPENING.)",
        global_id(key)
    ));
    s.add(format!(
        "IFCRELVOIDSELEMENT('{}',$,$,$,#{wall},#{hole})",
        global_id(&format!("{key} voids"))
    ));
    let leaf_place = s.placement(Some(place), (0.0, 0.0, 0.0), (1.0, 0.0));
    let (class, word) =
        if kind == Kind::Door { ("IFCDOOR", "door") } else { ("IFCWINDOW", "window") };
    let leaf = s.add(format!(
        "{class}('{}',$,'{key} {word}',$,$,#{leaf_place},$,$,{},{},$,$,$)",
        global_id(&format!("{key} {word}")),
        real(height),
        real(width)
    ));
    s.add(format!(
        "IFCRELFILLSELEMENT('{}',$,$,$,#{hole},#{leaf})",
        global_id(&format!("{key} fills"))
    ));
    book.elements.push(leaf);
}
