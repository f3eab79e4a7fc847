//! A large IFC model of our own making, for measuring: a town of rectangular wood-frame houses in
//! millimetres. The same size gives the same bytes.
//!
//! What a wall carries is in proportion to what exporters write: placement, axis, swept body, layers,
//! an opening here and there, properties by the dozen, and a faceted fitting beside it.

use std::fmt::Write;

/// The size in MB asked for by `PLATEWRIGHT_BENCH_IFC_MB`, 8 where it is not set.
pub fn size_mb() -> usize {
    let set = std::env::var("PLATEWRIGHT_BENCH_IFC_MB").ok();
    set.and_then(|t| t.parse().ok()).filter(|n| *n > 0).unwrap_or(8)
}

/// A model of about that many million bytes.
pub fn town(mb: usize) -> String {
    let mut t = Town { text: String::with_capacity(mb * 1_000_000 + 8192), next: 100, walls: 0 };
    t.text.push_str(FRAME);
    let mut house = 0;
    while t.text.len() < mb * 1_000_000 {
        t.house(house);
        house += 1;
    }
    t.text.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
    t.text
}

const FRAME: &str = "ISO-10303-21;
HEADER;
FILE_DESCRIPTION(('ViewDefinition [CoordinationView]'),'2;1');
FILE_NAME('town.ifc','2026-01-01T00:00:00',(''),(''),'generator','generator','');
FILE_SCHEMA(('IFC2X3'));
ENDSEC;
DATA;
#1= IFCPERSON($,'','nobody',$,$,$,$,$);
#2= IFCORGANIZATION($,'nobody','',$,$);
#3= IFCPERSONANDORGANIZATION(#1,#2,$);
#4= IFCAPPLICATION(#2,'1','generator','generator');
#5= IFCOWNERHISTORY(#3,#4,$,.NOCHANGE.,$,$,$,1767225600);
#6= IFCCARTESIANPOINT((0.,0.,0.));
#7= IFCDIRECTION((1.,0.,0.));
#8= IFCDIRECTION((0.,1.,0.));
#9= IFCDIRECTION((0.,0.,1.));
#10= IFCDIRECTION((-1.,0.,0.));
#11= IFCDIRECTION((0.,-1.,0.));
#12= IFCAXIS2PLACEMENT3D(#6,$,$);
#13= IFCCARTESIANPOINT((0.,0.));
#14= IFCAXIS2PLACEMENT2D(#13,$);
#15= IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);
#16= IFCUNITASSIGNMENT((#15));
#17= IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#12,$);
#18= IFCPROJECT('0000000000000000000001',#5,'Town',$,$,$,$,(#17),#16);
#19= IFCLOCALPLACEMENT($,#12);
#20= IFCBUILDINGSTOREY('0000000000000000000002',#5,'Ground floor',$,$,#19,$,$,.ELEMENT.,0.);
#21= IFCMATERIAL('Gypsum board');
#22= IFCMATERIAL('2x6 wood studs');
#23= IFCMATERIALLAYER(#21,15.9,$);
#24= IFCMATERIALLAYER(#22,139.7,$);
#25= IFCMATERIALLAYERSET((#23,#24,#23),'Wall 2x6');
#26= IFCMATERIALLAYERSETUSAGE(#25,.AXIS2.,.NEGATIVE.,85.75);
";

struct Town {
    text: String,
    next: u64,
    walls: u64,
}

impl Town {
    fn add(&mut self, body: std::fmt::Arguments<'_>) -> u64 {
        self.next += 1;
        // Writing to a String cannot fail.
        let _ = writeln!(self.text, "#{}= {body};", self.next);
        self.next
    }

    /// A GlobalId made of a kind and a number.
    fn guid(kind: char, n: u64) -> String {
        format!("{kind}{n:021}")
    }

    fn house(&mut self, n: u32) {
        let (x, y) = (f64::from(n % 40) * 21_337.25, f64::from(n / 40) * 17_211.5);
        let (w, d) = (9_753.6 + f64::from(n % 7) * 304.8, 7_315.2 + f64::from(n % 5) * 304.8);
        let origin = self.add(format_args!("IFCCARTESIANPOINT(({x:?},{y:?},0.))"));
        let at = self.add(format_args!("IFCAXIS2PLACEMENT3D(#{origin},$,$)"));
        let house = self.add(format_args!("IFCLOCALPLACEMENT(#19,#{at})"));
        let sides = [((0.0, 0.0), 7, w), ((w, 0.0), 8, d), ((w, d), 10, w), ((0.0, d), 11, d)];
        let mut walls = Vec::new();
        for (corner, direction, length) in sides {
            walls.push(self.wall(house, corner, direction, length));
        }
        for part in 1..3 {
            walls.push(self.wall(house, (w * f64::from(part) / 3.0, 0.0), 8, d));
        }
        let list: Vec<String> = walls.iter().map(|w| format!("#{w}")).collect();
        let list = list.join(",");
        let rel = Town::guid('c', u64::from(n));
        self.add(format_args!("IFCRELCONTAINEDINSPATIALSTRUCTURE('{rel}',#5,$,$,({list}),#20)"));
        self.add(format_args!("IFCRELASSOCIATESMATERIAL('m{rel}',#5,$,$,({list}),#26)"));
    }

    fn wall(&mut self, house: u64, corner: (f64, f64), direction: u32, length: f64) -> u64 {
        self.walls += 1;
        let n = self.walls;
        let p = self.add(format_args!("IFCCARTESIANPOINT(({:?},{:?},0.))", corner.0, corner.1));
        let a = self.add(format_args!("IFCAXIS2PLACEMENT3D(#{p},#9,#{direction})"));
        let placement = self.add(format_args!("IFCLOCALPLACEMENT(#{house},#{a})"));
        let end = self.add(format_args!("IFCCARTESIANPOINT(({length:?},0.))"));
        let line = self.add(format_args!("IFCPOLYLINE((#13,#{end}))"));
        let axis = self.add(format_args!("IFCSHAPEREPRESENTATION(#17,'Axis','Curve2D',(#{line}))"));
        let middle = self.add(format_args!("IFCCARTESIANPOINT(({:?},0.))", length / 2.0));
        let at = self.add(format_args!("IFCAXIS2PLACEMENT2D(#{middle},$)"));
        let profile = self.add(format_args!(
            "IFCRECTANGLEPROFILEDEF(.AREA.,$,#{at},{length:?},171.49999999999997)"
        ));
        let solid = self.add(format_args!("IFCEXTRUDEDAREASOLID(#{profile},#12,#9,2466.975)"));
        let body =
            self.add(format_args!("IFCSHAPEREPRESENTATION(#17,'Body','SweptSolid',(#{solid}))"));
        let shape = self.add(format_args!("IFCPRODUCTDEFINITIONSHAPE($,$,(#{axis},#{body}))"));
        let guid = Town::guid('w', n);
        let wall = self.add(format_args!(
            "IFCWALLSTANDARDCASE('{guid}',#5,'Basic Wall:Wall 2x6:{n}',$,'Basic Wall:Wall 2x6:318',#{placement},#{shape},'{n}')"
        ));
        if n.is_multiple_of(2) {
            self.opening(wall, placement, length, n);
        }
        self.properties(wall, n);
        self.fitting(placement, n);
        wall
    }

    fn opening(&mut self, wall: u64, placement: u64, length: f64, n: u64) {
        let p = self.add(format_args!("IFCCARTESIANPOINT(({:?},0.,0.))", length / 2.0));
        let a = self.add(format_args!("IFCAXIS2PLACEMENT3D(#{p},$,$)"));
        let at = self.add(format_args!("IFCLOCALPLACEMENT(#{placement},#{a})"));
        let profile = self.add(format_args!("IFCRECTANGLEPROFILEDEF(.AREA.,$,#14,914.4,200.)"));
        let solid = self.add(format_args!("IFCEXTRUDEDAREASOLID(#{profile},#12,#9,2032.)"));
        let body =
            self.add(format_args!("IFCSHAPEREPRESENTATION(#17,'Body','SweptSolid',(#{solid}))"));
        let shape = self.add(format_args!("IFCPRODUCTDEFINITIONSHAPE($,$,(#{body}))"));
        let guid = Town::guid('o', n);
        let opening =
            self.add(format_args!("IFCOPENINGELEMENT('{guid}',#5,'Opening',$,$,#{at},#{shape},$)"));
        self.add(format_args!("IFCRELVOIDSELEMENT('v{guid}',#5,$,$,#{wall},#{opening})"));
    }

    fn properties(&mut self, wall: u64, n: u64) {
        for set in 0..3 {
            let mut ids = Vec::new();
            for row in 0..7 {
                let value = f64::from(row) * 12.5 + 0.25;
                ids.push(format!(
                    "#{}",
                    self.add(format_args!(
                        "IFCPROPERTYSINGLEVALUE('Property {set}.{row}',$,IFCLENGTHMEASURE({value:?}),$)"
                    ))
                ));
            }
            let guid = Town::guid('p', n * 3 + set);
            let list = ids.join(",");
            let set = self.add(format_args!("IFCPROPERTYSET('{guid}',#5,'PSet {set}',$,({list}))"));
            self.add(format_args!("IFCRELDEFINESBYPROPERTIES('r{guid}',#5,$,$,(#{wall}),#{set})"));
        }
    }

    /// A small box with faces, as exporters write furniture and fittings.
    fn fitting(&mut self, placement: u64, n: u64) {
        let corner = |i: u32| (i & 1, i >> 1 & 1, i >> 2 & 1);
        let points: Vec<u64> = (0..8)
            .map(|i| {
                let (x, y, z) = corner(i);
                self.add(format_args!(
                    "IFCCARTESIANPOINT(({:?},{:?},{:?}))",
                    f64::from(x) * 203.2,
                    f64::from(y) * 76.2 + 90.0,
                    f64::from(z) * 50.8 + 1200.0
                ))
            })
            .collect();
        let faces =
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let mut ids = Vec::new();
        for face in faces {
            let list: Vec<String> = face.iter().map(|i| format!("#{}", points[*i])).collect();
            let polygon = self.add(format_args!("IFCPOLYLOOP(({}))", list.join(",")));
            let bound = self.add(format_args!("IFCFACEOUTERBOUND(#{polygon},.T.)"));
            ids.push(format!("#{}", self.add(format_args!("IFCFACE((#{bound}))"))));
        }
        let shell = self.add(format_args!("IFCCLOSEDSHELL(({}))", ids.join(",")));
        let brep = self.add(format_args!("IFCFACETEDBREP(#{shell})"));
        let body = self.add(format_args!("IFCSHAPEREPRESENTATION(#17,'Body','Brep',(#{brep}))"));
        let shape = self.add(format_args!("IFCPRODUCTDEFINITIONSHAPE($,$,(#{body}))"));
        let guid = Town::guid('f', n);
        self.add(format_args!(
            "IFCFLOWTERMINAL('{guid}',#5,'Fitting',$,$,#{placement},#{shape},'{n}')"
        ));
    }
}
