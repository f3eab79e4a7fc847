//! Small DXF texts for tests.

/// A DXF text being written.
#[derive(Clone, Default)]
pub(crate) struct Dxf {
    version: String,
    header: String,
    layers: String,
    blocks: String,
    entities: String,
    next_handle: u32,
}

impl Dxf {
    /// A release 2000 file in this `$INSUNITS`; none when `None`.
    pub fn new(insunits: Option<i64>) -> Dxf {
        let mut d = Dxf { version: "AC1015".into(), next_handle: 0x100, ..Dxf::default() };
        if let Some(u) = insunits {
            d.header = format!("  9\n$INSUNITS\n 70\n{u}\n");
        }
        d
    }
    /// In inches.
    pub fn inches() -> Dxf {
        Dxf::new(Some(1))
    }
    /// Another release.
    pub fn version(mut self, v: &str) -> Dxf {
        self.version = v.into();
        self
    }
    /// A header variable with one value.
    pub fn header(mut self, name: &str, code: i32, value: &str) -> Dxf {
        self.header += &format!("  9\n{name}\n {code}\n{value}\n");
        self
    }
    /// A row of the layer table.
    pub fn layer(mut self, name: &str, color: i32, flags: i32) -> Dxf {
        self.layers += &format!("  0\nLAYER\n  2\n{name}\n 70\n{flags}\n 62\n{color}\n");
        self
    }
    /// Raw rows in the layer table.
    pub fn raw_layer(mut self, text: &str) -> Dxf {
        self.layers += text;
        self
    }
    /// A block with entities made by `tags`.
    pub fn block(mut self, name: &str, base: [f64; 2], entities: &str) -> Dxf {
        self.blocks += &format!(
            "  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n0\n 10\n{}\n 20\n{}\n{entities}  0\nENDBLK\n",
            base[0], base[1]
        );
        self
    }
    /// Raw text in BLOCKS.
    pub fn raw_block(mut self, text: &str) -> Dxf {
        self.blocks += text;
        self
    }
    /// Entities as text.
    pub fn raw(mut self, entities: &str) -> Dxf {
        self.entities += entities;
        self
    }
    /// An entity with the next handle, on a layer.
    pub fn entity(mut self, kind: &str, layer: &str, tags: &[(i32, f64)]) -> Dxf {
        let handle = format!("{:X}", self.next_handle);
        self.next_handle += 1;
        self.entities += &entity(kind, &handle, layer, tags);
        self
    }
    /// A LINE.
    pub fn line(self, layer: &str, a: [f64; 2], b: [f64; 2]) -> Dxf {
        self.entity("LINE", layer, &[(10, a[0]), (20, a[1]), (11, b[0]), (21, b[1])])
    }
    /// An LWPOLYLINE.
    pub fn polyline(self, layer: &str, points: &[[f64; 2]], closed: bool) -> Dxf {
        let mut tags = vec![(90, points.len() as f64), (70, f64::from(u8::from(closed)))];
        tags.extend(points.iter().flat_map(|p| [(10, p[0]), (20, p[1])]));
        self.entity("LWPOLYLINE", layer, &tags)
    }
    /// An INSERT with further tags.
    pub fn insert(mut self, layer: &str, block: &str, at: [f64; 2], tags: &[(i32, f64)]) -> Dxf {
        let handle = format!("{:X}", self.next_handle);
        self.next_handle += 1;
        self.entities += &insert(&handle, layer, block, at, tags);
        self
    }
    /// A 40 by 30 ft house of four lines on A-WALL.
    pub fn house(self) -> Dxf {
        self.line("A-WALL", [0.0, 0.0], [480.0, 0.0])
            .line("A-WALL", [480.0, 0.0], [480.0, 360.0])
            .line("A-WALL", [480.0, 360.0], [0.0, 360.0])
            .line("A-WALL", [0.0, 360.0], [0.0, 0.0])
    }
    /// The whole file.
    pub fn text(&self) -> String {
        format!(
            "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\n{}\n{}  0\nENDSEC\n\
             \x20 0\nSECTION\n  2\nTABLES\n  0\nTABLE\n  2\nLAYER\n{}  0\nENDTAB\n  0\nENDSEC\n\
             \x20 0\nSECTION\n  2\nBLOCKS\n{}  0\nENDSEC\n\
             \x20 0\nSECTION\n  2\nENTITIES\n{}  0\nENDSEC\n  0\nEOF\n",
            self.version, self.header, self.layers, self.blocks, self.entities
        )
    }
}

/// Degree and knots of a SPLINE of one quadratic piece; its three points come after them.
pub(crate) const QUADRATIC: [(i32, f64); 7] =
    [(71, 2.0), (40, 0.0), (40, 0.0), (40, 0.0), (40, 1.0), (40, 1.0), (40, 1.0)];

/// An entity as text.
pub(crate) fn entity(kind: &str, handle: &str, layer: &str, tags: &[(i32, f64)]) -> String {
    let mut out = format!("  0\n{kind}\n  5\n{handle}\n  8\n{layer}\n");
    for (code, v) in tags {
        out += &match code {
            60..=99 | 170..=179 => format!(" {code}\n{}\n", *v as i64),
            _ => format!(" {code}\n{v:?}\n"),
        };
    }
    out
}

/// A LINE as text.
pub(crate) fn line(handle: &str, layer: &str, a: [f64; 2], b: [f64; 2]) -> String {
    entity("LINE", handle, layer, &[(10, a[0]), (20, a[1]), (11, b[0]), (21, b[1])])
}

/// An INSERT as text.
pub(crate) fn insert(
    handle: &str,
    layer: &str,
    block: &str,
    at: [f64; 2],
    tags: &[(i32, f64)],
) -> String {
    let mut out = entity("INSERT", handle, layer, &[(10, at[0]), (20, at[1])]);
    out += &format!("  2\n{block}\n");
    for (code, v) in tags {
        out += &match code {
            70 | 71 => format!(" {code}\n{}\n", *v as i64),
            _ => format!(" {code}\n{v:?}\n"),
        };
    }
    out
}
