// Which piece is looked at. Knows: that a plate of the plan, its mark and its row are one piece, and
// keeps them lit together; who wants to know of a change asks to be told.

const Pieces = (() => {
  const shapes = new Map();
  const rows = new Map();
  const halos = []; // by drawing: an outline above everything else, for each way of being looked at
  let held = null; // chosen, lit until another is
  let under = null; // under the pointer or in focus
  const listeners = [];

  const index = () => {
    for (const path of document.querySelectorAll(".stage .plates [data-p]")) shapes.set(Number(path.dataset.p), path);
    for (const row of document.querySelectorAll("tr[data-p]")) rows.set(Number(row.dataset.p), row);
    for (const svg of document.querySelectorAll("svg.plan")) {
      const halo = { svg };
      for (const way of ["under", "held"]) {
        halo[way] = document.createElementNS("http://www.w3.org/2000/svg", "path");
        halo[way].setAttribute("class", `halo ${way}`);
        svg.querySelector(".world").append(halo[way]);
      }
      halos.push(halo);
    }
  };

  const light = (id, way, on) => {
    if (id === null) return;
    rows.get(id)?.classList.toggle(way, on);
    const shape = shapes.get(id);
    const halo = shape && halos.find((h) => h.svg === shape.ownerSVGElement);
    if (!halo) return;
    if (on) halo[way].setAttribute("d", shape.getAttribute("d"));
    else halo[way].removeAttribute("d");
  };

  // `from` says where the choice was made: "plan", "row", "search", "key".
  const hold = (id, from) => {
    if (id !== null && !rows.has(id)) return;
    light(held, "held", false);
    held = id;
    light(held, "held", true);
    for (const told of listeners) told({ held, under, from });
  };
  const pointAt = (id) => {
    if (id === under) return;
    light(under, "under", false);
    under = id;
    light(under, "under", true);
    for (const told of listeners) told({ held, under, from: "pointer" });
  };
  // The piece after or before the held one, in the order of the table.
  const step = (by) => {
    const order = [...rows.keys()];
    if (order.length === 0) return;
    const at = order.indexOf(held);
    const next = at < 0 ? (by > 0 ? 0 : order.length - 1) : (at + by + order.length) % order.length;
    hold(order[next], "key");
  };

  return {
    index, hold, pointAt, step,
    held: () => held,
    shape: (id) => shapes.get(id),
    row: (id) => rows.get(id),
    markOf: (id) => rows.get(id)?.querySelector("th bdi").textContent ?? "",
    onChange: (told) => listeners.push(told),
    ids: () => rows.keys(),
  };
})();
