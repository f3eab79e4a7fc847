// Puts the parts together: what a click, a key or a look in one of plan, table and findings means for
// the others. Adds to the page what it can do without; touches nothing outside it and keeps nothing.

import { Camera } from "../viewer/camera";
import { need, targetOf } from "../viewer/dom";
import { listenToGestures, wasDragged } from "../viewer/gestures";
import * as Card from "./card";
import * as Finder from "./finder";
import * as Layers from "./layers";
import * as Pieces from "./pieces";

const startReport = () => {
  const stage = document.querySelector<HTMLElement>(".stage");
  if (!stage || !stage.querySelector("svg.plan")) return;
  document.documentElement.classList.add("scripted");
  const panel = need<HTMLElement>(document, ".panel");
  const tools = need<HTMLElement>(document, ".tools");
  const spoken = need<HTMLElement>(stage, ".spoken");
  const plans = new Map<string | undefined, SVGSVGElement>(); // storey to svg
  const cameras = new Map<Element, Camera>(); // svg to camera
  for (const svg of stage.querySelectorAll<SVGSVGElement>("svg.plan")) {
    const camera = new Camera(svg);
    plans.set(svg.dataset.storey, svg);
    cameras.set(svg, camera);
    camera.onPaint = () => clearCard(Pieces.shape(Pieces.held()));
    listenToGestures(camera);
  }
  Pieces.index();
  Card.find(stage);
  Layers.listen(stage);

  // The card keeps off what it tells of.
  const clearCard = (part: Element | undefined) => {
    if (!part) return;
    const seen = part.getBoundingClientRect();
    Card.keepClear(seen.left + seen.width / 2, seen.top + seen.height / 2);
  };
  let shown: SVGSVGElement | null = null;
  const turnTo = (svg: SVGSVGElement) => {
    shown = svg;
    for (const other of plans.values()) other.classList.toggle("away", other !== svg);
    const box = tools.querySelector<HTMLInputElement>(`.storeys input[value="${svg.dataset.storey}"]`);
    if (box) box.checked = true;
  };
  const checked = tools.querySelector<HTMLInputElement>(".storeys input:checked");
  const first = plans.get(checked?.value) ?? [...plans.values()][0];
  if (first) turnTo(first);
  tools.querySelector(".storeys")?.addEventListener("change", (e) => {
    const svg = plans.get((e.target as HTMLInputElement).value);
    if (svg) turnTo(svg);
  });
  const lookAt = (part: SVGGraphicsElement) => {
    const svg = part.ownerSVGElement;
    if (!svg) return;
    turnTo(svg);
    // The size of the window is told a frame after a storey is turned to.
    requestAnimationFrame(() => {
      cameras.get(svg)?.show(part.getBBox());
      clearCard(part);
    });
  };
  const bringStage = () => stage.scrollIntoView({ block: "nearest" });
  // The table beside the plan follows; one below it, on a narrow screen, would carry the page away.
  const bringRow = (row: Element | undefined) => {
    if (!row || panel.scrollHeight <= panel.clientHeight + 1) return;
    // Rows out of sight are laid out by an estimate, which comes true a frame or two after they come into
    // view: so again for as long as that takes.
    const center = (tries: number) => {
      const [its, panels] = [row.getBoundingClientRect(), panel.getBoundingClientRect()];
      const off = its.top - panels.top - (panels.height - its.height) / 2;
      if (Math.abs(off) > 1) panel.scrollTop += off;
      if (tries > 0) requestAnimationFrame(() => center(tries - 1));
    };
    center(6);
  };

  let pins: number[] | null = null; // findings shown in the card, if no piece is
  Pieces.onChange(({ held, under, from }) => {
    if (from !== "pointer") pins = null;
    const id = under ?? held;
    if (id !== null) Card.piece(id, id === held);
    else if (pins) Card.findings(pins, true);
    else Card.hide();
    if (from === "pointer") return;
    spoken.textContent = held === null ? "Nothing selected" : Card.spoken(held);
    if (held === null) return;
    if (from !== "row") bringRow(Pieces.row(held));
    const shape = Pieces.shape(held);
    if (from !== "plan" && shape) lookAt(shape);
  });
  const letGo = () => {
    pins = null;
    Pieces.hold(null, "key");
  };

  const flash = (item: Element | null) => {
    for (const old of document.querySelectorAll("li.held")) old.classList.remove("held");
    item?.classList.add("held");
  };
  const showFindings = (numbers: number[], pin: Element) => {
    Pieces.hold(null, "pin");
    pins = numbers;
    Card.findings(numbers, true);
    const item = document.getElementById(`f${numbers[0]}`);
    flash(item);
    if (item) bringRow(item);
    for (const old of stage.querySelectorAll(".pin.held")) old.classList.remove("held");
    pin.classList.add("held");
    spoken.textContent = item?.querySelector("bdi")?.textContent ?? "";
  };
  const numbersOf = (pin: SVGElement) => (pin.dataset.f ?? "").split(" ").map(Number);
  const pinOf = (number: number) => [...stage.querySelectorAll<SVGElement>(".pin")].find((p) => numbersOf(p).includes(number));
  const reasonOf = (path: SVGElement) =>
    (path.dataset.l && panel.querySelector(`tr[data-l="${path.dataset.l}"] bdi`)?.textContent) || "";

  const idOf = (target: Element | null) => {
    const part = target?.closest<HTMLElement | SVGElement>("[data-p]");
    return part ? Number(part.dataset.p) : null;
  };

  stage.addEventListener("pointerover", (e) => {
    if (e.pointerType === "touch" || stage.querySelector("svg.moving")) return;
    const target = targetOf(e);
    if (!target) return;
    if (target.closest(".card")) return Pieces.pointAt(null); // a jump from a plate: closing would leave its card
    Card.keepClear(e.clientX, e.clientY);
    const id = idOf(target);
    Pieces.pointAt(id);
    if (id !== null) return;
    const pin = target.closest<SVGElement>(".pin");
    const wall = target.closest<SVGElement>("[data-w]");
    const line = target.closest<SVGElement>(".drawn path");
    const held = Pieces.held();
    if (pin) Card.findings(numbersOf(pin), false);
    else if (wall && held === null && !pins) Card.wall(Number(wall.dataset.w));
    else if (line && held === null && !pins) Card.linework(line.dataset.layer ?? "", reasonOf(line));
    else if (held !== null) Card.piece(held, true);
    else if (pins) Card.findings(pins, true);
    else Card.hide();
  });
  stage.addEventListener("pointerleave", () => Pieces.pointAt(null));
  stage.addEventListener("click", (e) => {
    const target = targetOf(e);
    if (!target) return;
    if (target.closest(".card")) {
      if (target.closest(".close")) {
        letGo();
        shown?.focus({ preventScroll: true });
      }
      return;
    }
    const pin = target.closest<SVGElement>(".pin");
    if (pin) e.preventDefault();
    if (wasDragged()) return;
    if (pin) return showFindings(numbersOf(pin), pin);
    const id = idOf(target);
    if (id === null) return letGo();
    Card.keepClear(e.clientX, e.clientY);
    Pieces.hold(id === Pieces.held() ? null : id, "plan");
  });
  stage.addEventListener("keydown", (e) => {
    if (e.key === "Escape") return letGo();
    if (!targetOf(e)?.matches("svg.plan") || e.ctrlKey || e.metaKey || e.altKey) return;
    const key = e.key.toLowerCase();
    if (key === "n" || key === "p") Pieces.step(key === "n" ? 1 : -1);
    else if (e.key === "Enter" && Pieces.held() !== null) {
      Pieces.row(Pieces.held() ?? 0)?.querySelector("a")?.focus();
    } else return;
    e.preventDefault();
  });

  panel.addEventListener("pointerover", (e) => {
    if (e.pointerType !== "touch") Pieces.pointAt(idOf(targetOf(e)));
  });
  panel.addEventListener("pointerleave", () => Pieces.pointAt(null));
  panel.addEventListener("focusin", (e) => Pieces.pointAt(idOf(targetOf(e))));
  panel.addEventListener("focusout", () => Pieces.pointAt(null));
  panel.addEventListener("keydown", (e) => {
    if (e.key === "Escape") letGo();
  });
  // Links to a piece, wherever they stand.
  document.addEventListener("click", (e) => {
    const link = targetOf(e)?.closest<HTMLAnchorElement>("a.to-piece");
    if (!link) return;
    e.preventDefault();
    Pieces.hold(Number(link.hash.slice(2)), "link");
  });
  panel.addEventListener("click", (e) => {
    const target = targetOf(e);
    const link = target?.closest("a");
    if (link?.matches(".to-piece")) return;
    if (link?.matches(".go")) {
      const pin = pinOf(Number(link.dataset.f));
      if (!pin) return;
      e.preventDefault();
      Layers.set("pins", true);
      showFindings([Number(link.dataset.f)], pin);
      lookAt(need(pin, ".spot"));
      return bringStage();
    }
    const id = idOf(target);
    if (id !== null) {
      if (link) {
        e.preventDefault();
        bringStage();
      }
      if (getSelection()?.isCollapsed === false) return; // somebody copies a length
      return Pieces.hold(id === Pieces.held() && !link ? null : id, "row");
    }
    const reason = target?.closest<HTMLTableRowElement>("tr[data-l]");
    if (!reason) return;
    if (link) {
      e.preventDefault();
      bringStage();
    }
    showReason(reason);
  });
  const showReason = (row: HTMLTableRowElement) => {
    const off = row.classList.contains("held");
    for (const old of document.querySelectorAll("tr[data-l].held, .drawn .held")) old.classList.remove("held");
    if (off) return;
    const paths = stage.querySelectorAll(`.drawn [data-l="${row.dataset.l}"]`);
    if (paths.length === 0) return;
    row.classList.add("held");
    paths.forEach((p) => p.classList.add("held"));
    Layers.set("drawn", true);
  };

  tools.addEventListener("click", (e) => {
    const camera = shown && cameras.get(shown);
    if (!camera) return;
    const act: Record<string, () => void> = {
      in: () => camera.zoom(1.5), out: () => camera.zoom(1 / 1.5), whole: () => camera.whole(),
    };
    act[targetOf(e)?.closest<HTMLElement>("[data-zoom]")?.dataset.zoom ?? ""]?.();
  });
  Finder.listen(tools, (id) => Pieces.hold(id, "search"));

  // A link from elsewhere to a piece or a finding of this page.
  const byAddress = () => {
    const [, kind, number] = /^#([Pf])(\d+)$/.exec(location.hash) ?? [];
    if (kind === "P") Pieces.hold(Number(number), "link");
    if (kind === "f") flash(document.getElementById(`f${number}`));
  };
  addEventListener("hashchange", byAddress);
  byAddress();
};
startReport();
