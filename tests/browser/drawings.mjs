// Drawings for the browser tests, written as DXF (R12, inches): Autodesk DXF reference, group codes of
// LINE and TEXT. Demo data, our own invention.

const tag = (code, value) => `${code}\n${value}\n`;

export const dxf = (entities) =>
  tag(0, "SECTION") + tag(2, "HEADER") + tag(9, "$ACADVER") + tag(1, "AC1015") + tag(9, "$INSUNITS") + tag(70, 1) +
  tag(0, "ENDSEC") + tag(0, "SECTION") + tag(2, "ENTITIES") + entities.join("") + tag(0, "ENDSEC") + tag(0, "EOF");

let handle = 0x100;
export const line = (layer, x1, y1, x2, y2) =>
  tag(0, "LINE") + tag(5, (handle++).toString(16).toUpperCase()) + tag(8, layer) +
  tag(10, x1) + tag(20, y1) + tag(30, 0) + tag(11, x2) + tag(21, y2) + tag(31, 0);

export const text = (layer, x, y, height, words) =>
  tag(0, "TEXT") + tag(5, (handle++).toString(16).toUpperCase()) + tag(8, layer) +
  tag(10, x) + tag(20, y) + tag(30, 0) + tag(40, height) + tag(1, words);

const OUTSIDE = "A-WALL-EXTR-2X6";
const INSIDE = "A-WALL-INTR-2X4";

// A rectangle of rooms, `across` by `deep` of them, each 12 by 10 ft where nothing else is said.
export const rooms = (across, deep, [w, d] = [144, 120], outside = OUTSIDE, inside = INSIDE) => {
  const out = [];
  for (let j = 0; j <= deep; j++) {
    out.push(line(j === 0 || j === deep ? outside : inside, 0, j * d, across * w, j * d));
  }
  for (let i = 0; i <= across; i++) {
    for (let j = 0; j < deep; j++) {
      out.push(line(i === 0 || i === across ? outside : inside, i * w, j * d, i * w, (j + 1) * d));
    }
  }
  return dxf(out);
};

export const BAD_NAME = `<img src=x onerror="window.hit=1">'"\u{1f3da}\u202e\u05d1\u05d9\u05ea`;

// A small house whose layers are named by somebody who means harm, and one wall far too short.
export const hostile = () => {
  const outside = `A-WALL-EXTR-2X6 ${BAD_NAME} ${"very long ".repeat(40)}`;
  const inside = `A-WALL-INTR-2X4 </script><script>window.hit=1</script>`;
  return dxf([
    line(outside, 0, 0, 288, 0), line(outside, 288, 0, 288, 192), line(outside, 288, 192, 0, 192), line(outside, 0, 192, 0, 0),
    line(inside, 144, 0, 144, 192),
    line(inside, 144, 96, 150, 96),
    line(`A-FURN ${BAD_NAME}`, 20, 20, 60, 60),
    text(`A-ANNO ${BAD_NAME}`, 40, -60, 12, `FIRST FLOOR PLAN ${BAD_NAME}`),
  ]);
};

// Two plans side by side on a sheet, each with its title: two storeys.
export const storeys = () => {
  const plan = (x, title) => [
    line(OUTSIDE, x, 0, x + 288, 0), line(OUTSIDE, x + 288, 0, x + 288, 192), line(OUTSIDE, x + 288, 192, x, 192),
    line(OUTSIDE, x, 192, x, 0), line(INSIDE, x + 144, 0, x + 144, 192),
    text("A-ANNO-TEXT", x + 60, -60, 12, title),
  ];
  return dxf([...plan(0, "FIRST FLOOR PLAN"), ...plan(800, "SECOND FLOOR PLAN")]);
};
