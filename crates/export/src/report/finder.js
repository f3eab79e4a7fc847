// Finds pieces by what people call them: mark, piece, wall, run, entity of the drawing. Knows: the
// names; shows at most a dozen, the best first.

const Finder = (() => {
  const SHOWN = 12;
  let names = null;

  const read = () => (names ??= [...Pieces.ids()].map((id) => {
    const fact = Facts.piece(id);
    const entities = fact.walls.flatMap((w) => Facts.wall(w).source.map(([entity]) => entity));
    const own = [Pieces.markOf(id), `P${id}`];
    return { id, fact, own: own.map(plain), all: [...fact.walls.map((w) => `W${w}`), `R${fact.run}`, ...entities].map(plain) };
  }));
  const plain = (text) => text.trim().toLowerCase();

  // How well a piece answers: 0 best, null not at all.
  const rank = (name, wanted) => {
    if (name.own.includes(wanted)) return 0;
    if (name.all.includes(wanted)) return 1;
    if (name.own.some((n) => n.startsWith(wanted))) return 2;
    if (name.own.some((n) => n.includes(wanted))) return 3;
    return null;
  };
  const find = (words) => {
    const wanted = plain(words);
    if (wanted === "") return [];
    return read()
      .map((name) => ({ name, rank: rank(name, wanted) }))
      .filter((hit) => hit.rank !== null)
      .sort((a, b) => a.rank - b.rank || a.name.id - b.name.id)
      .map((hit) => hit.name);
  };

  const listen = (tools, choose) => {
    const [input, said, list] = [tools.querySelector("#find"), tools.querySelector("#found"), tools.querySelector(".hits")];
    let hits = [];
    const clear = () => {
      list.hidden = true;
      list.replaceChildren();
    };
    const show = () => {
      hits = find(input.value);
      const more = hits.length - SHOWN;
      said.textContent = input.value.trim() === "" ? ""
        : hits.length === 0 ? "Nothing by that name"
        : `${hits.length} found${more > 0 ? `, the first ${SHOWN} listed` : ""}`;
      list.replaceChildren(...hits.slice(0, SHOWN).map(({ id, fact }) => {
        const button = document.createElement("button");
        button.type = "button";
        button.dataset.id = id;
        const mark = document.createElement("bdi");
        mark.textContent = Pieces.markOf(id);
        const walls = fact.walls.map((w) => `W${w}`).join(" ");
        button.append(mark, ` P${id}, ${fact.layer}, R${fact.run} ${walls}`);
        const item = document.createElement("li");
        item.append(button);
        return item;
      }));
      list.hidden = hits.length === 0;
    };
    input.addEventListener("input", show);
    input.addEventListener("keydown", (e) => {
      if (e.key === "Enter" && hits.length > 0) {
        choose(hits[0].id);
        clear();
      } else if (e.key === "ArrowDown" && !list.hidden) {
        e.preventDefault();
        list.querySelector("button").focus();
      } else if (e.key === "Escape") {
        clear();
      }
    });
    list.addEventListener("keydown", (e) => {
      const item = e.target.closest("li");
      if (e.key === "ArrowDown") {
        e.preventDefault();
        item.nextElementSibling?.firstChild.focus();
      } else if (e.key === "ArrowUp") {
        e.preventDefault();
        (item.previousElementSibling?.firstChild ?? input).focus();
      } else if (e.key === "Escape") {
        clear();
        input.focus();
      }
    });
    list.addEventListener("click", (e) => {
      const button = e.target.closest("button");
      if (!button) return;
      choose(Number(button.dataset.id));
      clear();
      input.focus();
    });
    document.addEventListener("pointerdown", (e) => {
      if (!tools.querySelector(".find").contains(e.target)) clear();
    });
  };
  return { listen };
})();
