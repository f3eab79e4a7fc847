"use strict";
// Adds to the page what it can do without: rows and plates light up together, drawings pan and zoom.
// Touches nothing outside the page and keeps nothing.
(() => {
  const light = (id, on) => {
    for (const e of document.querySelectorAll('[data-p="' + id + '"]')) e.classList.toggle("lit", on);
  };
  const pieceOf = (e) => e.target.closest && e.target.closest("[data-p]");
  let held = null; // the piece that was clicked, lit until another is
  let under = null; // the piece under the pointer
  document.addEventListener("pointerover", (e) => {
    const el = pieceOf(e);
    const id = el ? el.dataset.p : null;
    if (id === under) return;
    if (under && under !== held) light(under, false);
    under = id;
    if (id) light(id, true);
  });
  document.addEventListener("click", (e) => {
    const el = pieceOf(e);
    if (!el) return;
    if (held) light(held, false);
    held = held === el.dataset.p ? null : el.dataset.p;
    if (held) light(held, true);
  });

  const button = (text, label, act) => {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = text;
    b.setAttribute("aria-label", label);
    b.addEventListener("click", act);
    return b;
  };
  for (const figure of document.querySelectorAll("figure.plan")) {
    const svg = figure.querySelector("svg[role=img]");
    if (!svg) continue;
    const whole = svg.getAttribute("viewBox").split(" ").map(Number);
    let box = whole.slice();
    const show = () => svg.setAttribute("viewBox", box.join(" "));
    const zoom = (factor, fx, fy) => {
      const w = Math.min(whole[2], Math.max(whole[2] / 40, box[2] * factor));
      const k = w / box[2];
      box = [box[0] + box[2] * (1 - k) * fx, box[1] + box[3] * (1 - k) * fy, w, box[3] * k];
      if (w === whole[2]) box = whole.slice();
      figure.classList.toggle("zoomed", w < whole[2]);
      show();
    };
    const tools = document.createElement("div");
    tools.className = "tools";
    tools.append(
      button("\u2212", "zoom out", () => zoom(1.5, 0.5, 0.5)),
      button("+", "zoom in", () => zoom(1 / 1.5, 0.5, 0.5)),
      button("whole", "show the whole plan", () => zoom(1e9, 0.5, 0.5)),
    );
    figure.querySelector("figcaption").append(tools);
    svg.addEventListener("wheel", (e) => {
      if (!e.ctrlKey && !e.metaKey) return; // plain wheel scrolls the page
      e.preventDefault();
      const r = svg.getBoundingClientRect();
      zoom(e.deltaY > 0 ? 1.2 : 1 / 1.2, (e.clientX - r.left) / r.width, (e.clientY - r.top) / r.height);
    }, { passive: false });
    let from = null;
    svg.addEventListener("pointerdown", (e) => {
      if (box[2] < whole[2] && e.isPrimary) from = [e.clientX, e.clientY, box[0], box[1]];
    });
    svg.addEventListener("pointermove", (e) => {
      if (!from) return;
      const k = box[2] / svg.getBoundingClientRect().width;
      box[0] = from[2] - (e.clientX - from[0]) * k;
      box[1] = from[3] - (e.clientY - from[1]) * k;
      show();
    });
    for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
      svg.addEventListener(end, () => { from = null; });
    }
  }
})();
