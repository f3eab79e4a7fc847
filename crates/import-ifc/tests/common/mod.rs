//! Small models written as STEP text.
#![allow(dead_code, reason = "each test binary uses its own part of this")]

use diag::{Finding, Outcome, Refusal};
use settings::Settings;
use wall_model::{Wall, WallModel};

/// A model under construction. Ids below 100 are the frame: unit, project, one storey at 0.
pub struct Model {
    pub schema: String,
    pub lines: Vec<String>,
    next: u64,
}

impl Model {
    /// In inches, with one storey `#20` "Level 1" whose placement is `#19`.
    pub fn inches() -> Model {
        Model::in_unit(
            "#10=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);
#11=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(25.4),#10);
#12=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'INCH',#11);",
        )
    }
    pub fn millimetres() -> Model {
        Model::in_unit("#12=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);")
    }
    /// `unit` defines `#12`.
    pub fn in_unit(unit: &str) -> Model {
        let frame = "#1=IFCCARTESIANPOINT((0.,0.,0.));
#2=IFCDIRECTION((1.,0.,0.));
#3=IFCDIRECTION((0.,0.,1.));
#4=IFCAXIS2PLACEMENT3D(#1,$,$);
#13=IFCUNITASSIGNMENT((#12));
#14=IFCPROJECT('proj',$,'P',$,$,$,$,(),#13);
#15=IFCAPPLICATION($,'1.0','Test Writer','TW');
#19=IFCLOCALPLACEMENT($,#4);
#20=IFCBUILDINGSTOREY('storey1',$,'Level 1',$,$,#19,$,$,.ELEMENT.,0.);";
        let lines = unit.lines().chain(frame.lines()).map(str::to_owned).collect();
        Model { schema: "IFC4".to_owned(), lines, next: 100 }
    }
    /// Adds an entity, gives its id.
    pub fn add(&mut self, body: &str) -> u64 {
        self.next += 1;
        self.lines.push(format!("#{}={body};", self.next));
        self.next
    }
    pub fn point(&mut self, p: &[f64]) -> u64 {
        let text: Vec<String> = p.iter().map(|v| format!("{v:?}")).collect();
        self.add(&format!("IFCCARTESIANPOINT(({}))", text.join(",")))
    }
    pub fn direction(&mut self, p: &[f64]) -> u64 {
        let text: Vec<String> = p.iter().map(|v| format!("{v:?}")).collect();
        self.add(&format!("IFCDIRECTION(({}))", text.join(",")))
    }
    /// A local placement at `at` with its x along `x`, on the storey.
    pub fn placed(&mut self, at: [f64; 3], x: [f64; 3]) -> u64 {
        let (p, d) = (self.point(&at), self.direction(&x));
        let a = self.add(&format!("IFCAXIS2PLACEMENT3D(#{p},#3,#{d})"));
        self.add(&format!("IFCLOCALPLACEMENT(#19,#{a})"))
    }
    pub fn polyline(&mut self, points: &[[f64; 2]]) -> u64 {
        let ids: Vec<String> = points.iter().map(|p| format!("#{}", self.point(p))).collect();
        self.add(&format!("IFCPOLYLINE(({}))", ids.join(",")))
    }
    /// An Axis representation of that curve.
    pub fn axis(&mut self, curve: u64) -> u64 {
        self.add(&format!("IFCSHAPEREPRESENTATION($,'Axis','Curve2D',(#{curve}))"))
    }
    /// An upright box: least and greatest corner in the object's own coordinates.
    pub fn solid(&mut self, low: [f64; 3], high: [f64; 3]) -> u64 {
        let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
        let c = self.point(&middle);
        let c = self.add(&format!("IFCAXIS2PLACEMENT2D(#{c},$)"));
        let (x, y) = (high[0] - low[0], high[1] - low[1]);
        let profile = self.add(&format!("IFCRECTANGLEPROFILEDEF(.AREA.,$,#{c},{x:?},{y:?})"));
        let foot = self.point(&[0.0, 0.0, low[2]]);
        let foot = self.add(&format!("IFCAXIS2PLACEMENT3D(#{foot},$,$)"));
        self.add(&format!("IFCEXTRUDEDAREASOLID(#{profile},#{foot},#3,{:?})", high[2] - low[2]))
    }
    pub fn body(&mut self, kind: &str, item: u64) -> u64 {
        self.add(&format!("IFCSHAPEREPRESENTATION($,'Body','{kind}',(#{item}))"))
    }
    pub fn shape(&mut self, representations: &[u64]) -> u64 {
        let ids: Vec<String> = representations.iter().map(|r| format!("#{r}")).collect();
        self.add(&format!("IFCPRODUCTDEFINITIONSHAPE($,$,({}))", ids.join(",")))
    }
    /// A product with its containment in the storey.
    pub fn product(
        &mut self,
        class: &str,
        guid: &str,
        placement: u64,
        shape: Option<u64>,
        tail: &str,
    ) -> u64 {
        let shape = shape.map_or("$".to_owned(), |s| format!("#{s}"));
        let id = self
            .add(&format!("{class}('{guid}',$,'{guid} name',$,$,#{placement},{shape},$,{tail})"));
        self.add(&format!("IFCRELCONTAINEDINSPATIALSTRUCTURE('in{guid}',$,$,$,(#{id}),#20)"));
        id
    }
    /// A wall along local x from 0 to `length`, its body about the axis, 97.125 high.
    pub fn wall(
        &mut self,
        guid: &str,
        at: [f64; 3],
        x: [f64; 3],
        length: f64,
        thickness: f64,
    ) -> u64 {
        let placement = self.placed(at, x);
        let line = self.polyline(&[[0.0, 0.0], [length, 0.0]]);
        let axis = self.axis(line);
        let half = thickness / 2.0;
        let solid = self.solid([0.0, -half, 0.0], [length, half, 97.125]);
        let body = self.body("SweptSolid", solid);
        let shape = self.shape(&[axis, body]);
        self.product("IFCWALLSTANDARDCASE", guid, placement, Some(shape), "$")
    }
    /// Layers by material and thickness; the set's id.
    pub fn layers(&mut self, name: &str, rows: &[(&str, f64)]) -> u64 {
        let mut ids = Vec::new();
        for (material, thickness) in rows {
            let m = self.add(&format!("IFCMATERIAL('{material}')"));
            ids.push(format!("#{}", self.add(&format!("IFCMATERIALLAYER(#{m},{thickness:?},$)"))));
        }
        self.add(&format!("IFCMATERIALLAYERSET(({}),'{name}')", ids.join(",")))
    }
    /// A wall about its axis with layers from its right face to its left, as thick as these together.
    pub fn layered(
        &mut self,
        guid: &str,
        at: [f64; 3],
        x: [f64; 3],
        length: f64,
        rows: &[(&str, f64)],
    ) -> u64 {
        let total: f64 = rows.iter().map(|r| r.1).sum();
        let wall = self.wall(guid, at, x, length, total);
        let set = self.layers(guid, rows);
        let usage = self.usage(set, "POSITIVE", -total / 2.0);
        self.made_of(wall, usage);
        wall
    }
    pub fn usage(&mut self, set: u64, sense: &str, offset: f64) -> u64 {
        self.add(&format!("IFCMATERIALLAYERSETUSAGE(#{set},.AXIS2.,.{sense}.,{offset:?})"))
    }
    pub fn made_of(&mut self, object: u64, material: u64) {
        self.add(&format!("IFCRELASSOCIATESMATERIAL('mat{object}',$,$,$,(#{object}),#{material})"));
    }
    /// An opening in a wall: a box in the opening's own coordinates, placed on the storey.
    pub fn opening(&mut self, guid: &str, wall: u64, low: [f64; 3], high: [f64; 3]) -> u64 {
        let placement = self.placed([0.0; 3], [1.0, 0.0, 0.0]);
        let solid = self.solid(low, high);
        let body = self.body("SweptSolid", solid);
        let shape = self.shape(&[body]);
        let id = self.add(&format!(
            "IFCOPENINGELEMENT('{guid}',$,'{guid} name',$,$,#{placement},#{shape},$,.OPENING.)"
        ));
        self.add(&format!("IFCRELVOIDSELEMENT('v{guid}',$,$,$,#{wall},#{id})"));
        id
    }
    pub fn fill(&mut self, class: &str, guid: &str, opening: u64) -> u64 {
        let placement = self.placed([0.0; 3], [1.0, 0.0, 0.0]);
        let id = self.product(class, guid, placement, None, "80.,36.,$,$,$");
        self.add(&format!("IFCRELFILLSELEMENT('f{guid}',$,$,$,#{opening},#{id})"));
        id
    }
    pub fn text(&self) -> String {
        format!(
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('n','t',(''),(''),'pre','sys','');\nFILE_SCHEMA(('{}'));\nENDSEC;\nDATA;\n{}\nENDSEC;\nEND-ISO-10303-21;\n",
            self.schema,
            self.lines.join("\n")
        )
    }
    pub fn read_with(&self, settings: &Settings) -> Result<Outcome<WallModel>, Refusal> {
        import_ifc::read(self.text().as_bytes(), settings)
    }
    pub fn read(&self) -> Outcome<WallModel> {
        self.read_with(&Settings::default()).unwrap_or_else(|r| panic!("refused: {r}"))
    }
    /// The one wall of the model.
    pub fn only(&self) -> Wall {
        let out = self.read();
        assert_eq!(out.value.walls.len(), 1, "{:?}", out.findings);
        out.value.walls[0].clone()
    }
}

pub fn has(findings: &[Finding], code: &str) -> bool {
    findings.iter().any(|f| f.code.name() == code)
}
