// The data block of the page. Knows: its form, and what follows from it for a piece: what it lies on,
// what is marked and nailed where, which entities of the drawing it came from. See `html/facts.rs`.

const Facts = (() => {
  let read = null;
  const all = () => (read ??= JSON.parse(document.getElementById("facts").textContent));

  // `15.25 16*2` is 15.25, 31.25, 47.25.
  const stations = (text) => {
    const out = [];
    let at = 0;
    for (const step of text.split(" ")) {
      const [by, times = "1"] = step.split("*");
      for (let i = Number(times); i > 0; i--) out.push((at += Number(by)));
    }
    return out;
  };
  const kinds = (text) =>
    text === "" ? [] : text.split("|").map((part) => {
      const colon = part.indexOf(":");
      return [part.slice(0, colon), stations(part.slice(colon + 1))];
    });

  const piece = (id) => {
    const found = all().pieces[id - 1];
    if (!found) return null;
    const [run, layer, from, to, marks, nails, walls] = found;
    return {
      id, run, layer, from, to, walls,
      marks: () => kinds(marks),
      nails: () => kinds(nails).map(([key, at]) => {
        const [name, count] = key.split("x").map(Number);
        return { name: all().nails[name], count, at };
      }),
    };
  };

  // Pieces of the same run in another layer that lie over or under a stretch of it, and those it is
  // tied to. `below` is whether they are looked for under the piece.
  const touching = (id, below) => {
    const me = piece(id);
    const layer = below ? "lower" : "upper";
    const ids = new Set();
    all().pieces.forEach(([run, itsLayer, from, to], i) => {
      if (run === me.run && itsLayer === layer && from < me.to - 0.01 && to > me.from + 0.01) ids.add(i + 1);
    });
    for (const [kind, [over, ...under]] of all().ties) {
      if (kind !== "lap" && kind !== "notch") continue;
      if (below && over === id) under.forEach((u) => ids.add(u));
      if (!below && under.includes(id)) ids.add(over);
    }
    return [...ids].sort((a, b) => a - b);
  };

  const run = (number) => {
    const [x, y, dx, dy, half, storey] = all().runs[number - 1];
    return { storey, half, at: (station, offset) => [x + dx * station + dy * offset, y + dy * station - dx * offset] };
  };
  const wall = (number) => {
    const [itsRun, words, source] = all().walls[number - 1];
    return { run: itsRun, words, source };
  };
  return {
    piece, touching, run, wall,
    pieceCount: () => all().pieces.length,
    wallCount: () => all().walls.length,
    pieceIds: () => all().pieces.map((_, i) => i + 1),
  };
})();
