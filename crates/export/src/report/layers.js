// What of the drawing is shown. Knows: the switches, and how studs and nails are drawn the first time
// somebody asks for them.

const Layers = (() => {
  const SVG = "http://www.w3.org/2000/svg";
  const STUD = 1.5; // inches; dressed thickness of two-by lumber laid under a plate
  let stage = null;
  const drawn = new Set();
  const n = (value) => Math.round(value * 100) / 100;

  const stroke = (points, closed) =>
    points.map(([x, y], i) => `${i ? "L" : "M"}${n(x)} ${n(y)}`).join("") + (closed ? "z" : "");

  // A stud by its footprint: crossed; a king has one diagonal, a trimmer none. The rest are lines
  // across the plate, a wall that meets it with a longer one; an anchor bolt is a ring.
  const pencil = (kind, at, half) => {
    const box = (s) => [at(s - STUD / 2, -half), at(s + STUD / 2, -half), at(s + STUD / 2, half), at(s - STUD / 2, half)];
    return {
      stud: (s) => {
        const [a, b, c, d] = box(s);
        return stroke([a, b, c, d], true) + stroke([a, c]) + stroke([b, d]);
      },
      corner: (s) => {
        const [a, b, c, d] = box(s);
        return stroke([a, b, c, d], true) + stroke([a, c]) + stroke([b, d]) + stroke([at(s, -half), at(s, half)]);
      },
      king: (s) => {
        const [a, b, c, d] = box(s);
        return stroke([a, b, c, d], true) + stroke([a, c]);
      },
      trimmer: (s) => stroke(box(s), true),
      tee: (s) => stroke([at(s, -half * 1.35), at(s, half * 1.35)]),
      opening: (s) => stroke([at(s, -half), at(s, half)]),
      anchor: (s) => stroke([0, 1, 2, 3, 4, 5, 6, 7].map((i) =>
        at(s + 0.8 * Math.cos((i * Math.PI) / 4), 0.8 * Math.sin((i * Math.PI) / 4))), true),
    }[kind];
  };

  const studsOf = (fact, run) => {
    const at = (s, o) => run.at(fact.from + s, o);
    return fact.marks().map(([kind, stations]) => {
      const draw = pencil(kind, at, run.half);
      return draw ? stations.map(draw).join("") : "";
    }).join("");
  };
  const nailsOf = (fact, run) =>
    fact.nails().map(({ count, at }) => at.map((s) => {
      let d = "";
      for (let i = 0; i < count; i++) {
        const [x, y] = run.at(fact.from + s, run.half * (2 * (i + 0.5) / count - 1));
        d += `M${n(x)} ${n(y)}h0`;
      }
      return d;
    }).join("")).join("");

  const draw = (what) => {
    if (drawn.has(what)) return;
    drawn.add(what);
    const paths = new Map();
    for (const id of Facts.pieceIds()) {
      const fact = Facts.piece(id);
      const run = Facts.run(fact.run);
      const key = `${run.storey} ${fact.layer}`;
      paths.set(key, (paths.get(key) ?? "") + (what === "studs" ? studsOf : nailsOf)(fact, run));
    }
    for (const [key, d] of paths) {
      const [storey, layer] = key.split(" ");
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("class", layer);
      path.setAttribute("d", d);
      document.getElementById(`s${storey}-${what}`)?.append(path);
    }
  };

  const set = (key, on) => {
    if (on && (key === "studs" || key === "nails")) draw(key);
    stage.classList.toggle(`no-${key}`, !on);
    document.body.classList.toggle(`with-${key}`, on);
    const box = document.querySelector(`.layers input[value="${key}"]`);
    if (box) box.checked = on;
  };

  const listen = (theStage) => {
    stage = theStage;
    for (const box of document.querySelectorAll(".layers input")) {
      set(box.value, box.checked); // a browser may have kept what was checked before
      box.addEventListener("change", () => set(box.value, box.checked));
    }
  };
  return { listen, set };
})();
