// One drawing at work: the plan and its tools on the left, on the right what is chosen, found and made.
// Puts stage, panels and keys together; the panels know their subject, this knows what one means for
// the others.

import type { Place } from "../viewer/camera";
import { element, isolated, plural } from "../viewer/dom";
import { wasDragged } from "../viewer/gestures";
import { button, check, choice, classed, link, trouble } from "./controls";
import { ComparePanel } from "./compare-panel";
import { Draft } from "./draft";
import { addWall } from "./edits";
import { FilesPanel } from "./files-panel";
import { FindingsPanel } from "./findings-panel";
import type { About, AddedEdit, Wall } from "./kinds";
import { LayersPanel, UNITS } from "./layers-panel";
import { legend } from "./legend";
import { boxOf, hasSheet, onPicture } from "./picture";
import { Snapper } from "./snap";
import { mainStorey, Stage, storeys, SWITCHES } from "./stage";
import { Tabs } from "./tabs";
import { keyOf, WallsPanel } from "./walls-panel";
import { length, percent, shortLength } from "./words";
import type { Work } from "./work";

const LONG_WAIT = 300; // milliseconds after which a wait is spoken of
const METRIC = ["mm", "cm", "m"];

export const desk = (work: Work, about: About, say: (words: string) => void, onRevision: (files: File[]) => void): HTMLElement => {
  const root = classed("office-desk", element("div"));
  const metric = () => METRIC.includes(work.reading.units?.name ?? work.plan.frame.unit ?? "");
  const sections = about.sections.map((s) => [s.name, `${s.name}, ${shortLength(s.width_in, s.name.length > 4)} wide`] as const);
  const stage = new Stage(work);
  const snapper = new Snapper();
  const draft = new Draft(stage, snapper, metric);
  const layers = new LayersPanel(work, sections);
  const walls = new WallsPanel(work, sections, metric);
  const findings = new FindingsPanel(work, metric);
  const files = new FilesPanel(work, about.papers.map((p) => [p, p === "a4" ? "A4" : p] as const));
  const compare = new ComparePanel(work);
  compare.onRevision = onRevision;

  const tabs = new Tabs("Work on the drawing", [
    ["layers", "Layers", layers.root], ["walls", "Walls", walls.root], ["findings", "Findings", findings.root],
    ["files", "Files", files.root], ["revisions", "Revisions", compare.root],
  ]);
  tabs.onTurn = (name) => {
    if (name === "files") void files.load();
    if (name === "revisions") void compare.load();
    if (name !== "walls" && draft.on) turnDraft(false);
  };

  // Head: what it is, in which unit, how it stands.
  const verdict = classed("verdict", element("p"));
  const units = classed("source", element("p"));
  const figures = classed("figures-line", element("p"));
  const head = classed("desk-head", element("header", null,
    element("p", null, link("← All drawings", "#/")),
    element("h1", null, isolated(work.job.file)), units, verdict, figures));

  // Tools.
  const undo = button("Undo", () => work.undo());
  const redo = button("Redo", () => work.redo());
  const draw = button("Draw a wall", () => turnDraft(!draft.on));
  draw.setAttribute("aria-pressed", "false");
  const zoom = classed("zoom", element("div", null,
    button("−", () => stage.camera.zoom(1 / 1.5)), button("+", () => stage.camera.zoom(1.5)), button("Whole", () => stage.camera.whole())));
  zoom.setAttribute("role", "group");
  zoom.setAttribute("aria-label", "Zoom");
  zoom.children[0]?.setAttribute("aria-label", "Zoom out");
  zoom.children[1]?.setAttribute("aria-label", "Zoom in");
  const edits = classed("edits", element("div", null, draw, undo, redo));
  edits.setAttribute("role", "group");
  edits.setAttribute("aria-label", "Edit");
  const shown = classed("layers", element("fieldset", null, element("legend", "Show"),
    ...SWITCHES.map(([key, words, on]) => {
      const box = check(words, on, (now) => stage.show(key, now));
      (box.firstElementChild as HTMLInputElement).value = key;
      return box;
    })));
  const storeyBox = classed("storeys", element("div"));
  const tools = classed("tools", element("div", null, edits, storeyBox, zoom, shown));
  const status = classed("status", element("p"));
  status.setAttribute("role", "status");
  stage.root.append(status);
  stage.svg.setAttribute("aria-label", `Plan of ${work.job.file}`);
  stage.svg.setAttribute("aria-describedby", "keys");
  const viewer = classed("viewer", element("div", null, tools, stage.root, legend()));
  const panel = classed("panel", element("div", null, tabs.root));
  root.append(head, classed("caution", element("p",
    "An aid, not a design: local code, the stamped drawings and the building official decide. Brace walls until they are tied; never walk on plates; keep guards on saws.")),
    classed("desk", element("div", null, viewer, panel)));

  const told = (words: string) => {
    status.textContent = words;
    status.classList.remove("bad");
  };
  let hadStoreys = work.plan.storeys.length;
  const fillStoreys = () => {
    const { plan } = work;
    const sheet = hasSheet(plan, work.drawing);
    const choices = [...plan.storeys.map((s) => [s.id, s.name] as const), ...(sheet ? [["", "whole sheet"] as const] : [])];
    const isFirst = hadStoreys === 0 && plan.storeys.length > 0; // there was no plan before
    if (isFirst || !choices.some(([id]) => id === (stage.storey ?? ""))) stage.turnTo(mainStorey(plan));
    hadStoreys = plan.storeys.length;
    const now = JSON.stringify([choices, stage.storey]);
    if (storeyBox.dataset.now === now) return;
    storeyBox.dataset.now = now;
    storeyBox.replaceChildren(...(choices.length > 1 ? [choice("Storey", choices, stage.storey ?? "", (id) => {
      stage.turnTo(id === "" ? null : id);
      storeyBox.dataset.now = JSON.stringify([choices, stage.storey]);
      stage.light("held", walls.chosen);
      snapper.takeWalls(work.plan, stage.storey);
    })] : []));
  };
  const fillHead = () => {
    const { plan, reading } = work;
    const { error, warning, note } = plan.tally;
    const unit = reading.units === null ? "The unit of the drawing is not known: choose it under Layers."
      : `Read in ${UNITS[reading.units.name] ?? reading.units.name}; Layers tells how that was decided.`;
    units.textContent = `${(reading.format ?? "").toUpperCase()} ${reading.version}. ${unit}`.trim();
    verdict.className = `verdict ${error > 0 || !plan.planned ? "error" : warning > 0 ? "warning" : "good"}`;
    verdict.textContent = !plan.planned ? "There is no plan. See Findings for the reasons."
      : error > 0 ? `Planned, with ${plural(error, "error")} to settle first.`
      : warning > 0 ? `Planned. ${plural(warning, "warning")} to look at.` : "Planned; nothing is doubtful.";
    const doubtful = plan.walls.filter((w) => w.state === "planned" && w.confidence < 0.75).length;
    figures.textContent = [
      plural(plan.walls.filter((w) => w.state === "planned").length, "wall"), doubtful > 0 ? `${doubtful} worth a look` : "",
      plural(plan.junctions.length, "junction"), plural(plan.pieces.length, "piece"), plural(note, "note"),
      plan.ledger.entities_read === 0 ? "" : `${plan.ledger.used} of ${plan.ledger.entities_read} entities used (${percent(plan.ledger.used / Math.max(1, plan.ledger.entities_read))})`,
    ].filter((t) => t !== "").join(" · ");
    tabs.count("findings", plan.findings.filter((f) => !f.looked_at).length);
    undo.disabled = work.canUndo === null;
    redo.disabled = work.canRedo === null;
    undo.title = work.canUndo === null ? "" : `Undo: ${work.canUndo}`;
    redo.title = work.canRedo === null ? "" : `Redo: ${work.canRedo}`;
  };

  // The choice of walls lives by what points at them: their ids are good for one edition only.
  const choose = (chosen: Wall[], turn = true) => {
    walls.chosen = chosen;
    walls.draw();
    stage.light("held", chosen);
    if (turn && chosen.length > 0) tabs.turn("walls");
    const [one] = chosen;
    told(one === undefined ? "" : chosen.length > 1 ? plural(chosen.length, "wall") + " chosen"
      : `${length(Math.hypot(one.end[0] - one.start[0], one.end[1] - one.start[1]), metric())}, ${one.section}, ${one.exterior ? "exterior" : "interior"}`);
  };
  const chooseAndShow = (chosen: Wall[]) => {
    choose(chosen);
    const [first] = chosen;
    if (first) stage.bring(boxOf(chosen), first.storey);
  };
  const turnDraft = (on: boolean) => {
    if (on) {
      snapper.takeWalls(work.plan, stage.storey);
      choose([], false);
    }
    walls.drafting = on;
    draw.setAttribute("aria-pressed", String(on));
    draft.turn(on);
    if (on) tabs.turn("walls");
    else told("");
    walls.draw();
    if (on) stage.svg.focus({ preventScroll: true });
  };
  walls.onChoose = chooseAndShow;
  walls.onLook = (list) => stage.light("under", list);
  walls.onDraft = turnDraft;
  walls.onShowPlace = (miss) => {
    const wall = work.plan.walls.find((w) => w.id === miss.wall);
    const [x, y] = onPicture(miss.from);
    stage.bring({ x, y, width: 1, height: 1 }, wall?.storey ?? null);
  };
  layers.onLook = (layer) => stage.lightLayer(layer);
  findings.onAccept = (misses) => walls.accept(misses);
  findings.onWalls = chooseAndShow;
  findings.onTicked = fillHead;
  findings.onShow = (index, bring) => {
    const finding = work.plan.findings[index];
    stage.lightFinding(index);
    if (!finding) return;
    const its = work.plan.walls.filter((w) => finding.walls.includes(w.id));
    stage.light("under", its);
    if (!bring || !finding.at) return;
    const [x, y] = onPicture(finding.at);
    stage.bring({ x: x - 12, y: y - 12, width: 24, height: 24 }, storeys(work.plan)(finding));
  };
  draft.onTold = told;
  draft.onLeave = () => turnDraft(false);
  draft.onWall = (start: Place, end: Place) => {
    const { section, exterior, bearing, top } = walls.draftWall;
    const storey = work.plan.storeys.length > 1 ? (work.plan.storeys.find((s) => s.id === stage.storey)?.name ?? null) : null;
    const round = ([x, y]: Place): [number, number] => [Math.round(x * 1024) / 1024, Math.round(y * 1024) / 1024];
    const added: AddedEdit = { storey, start: round(start), end: round(end), section, exterior, bearing, top };
    work.edit("wall drawn", (o) => addWall(o, added));
  };

  stage.root.addEventListener("pointermove", (e) => {
    if (draft.on || e.pointerType === "touch" || stage.svg.classList.contains("moving")) return;
    const found = stage.pick(e);
    stage.light("under", found && "wall" in found ? [found.wall] : []);
  });
  stage.root.addEventListener("pointerleave", () => stage.light("under", []));
  stage.root.addEventListener("click", (e) => {
    if (draft.on) return draft.click(e);
    if (wasDragged()) return;
    const found = stage.pick(e);
    if (!found) return choose([], false);
    if ("wall" in found) {
      const { wall } = found;
      const others = walls.chosen.filter((w) => w !== wall);
      return choose(!e.shiftKey ? [wall] : others.length < walls.chosen.length ? others : [...others, wall]);
    }
    if ("findings" in found) {
      const [first] = found.findings;
      tabs.turn("findings");
      if (first !== undefined) findings.show(first, false);
    } else if ("offer" in found) {
      const miss = work.plan.near_misses[found.offer];
      if (miss) walls.accept([miss]);
    } else {
      choose([], false);
      told(`Line of the drawing, on layer ${found.layer}`);
    }
  });
  const stepWall = (by: number) => {
    const list = work.plan.walls.filter((w) => stage.storey === null || w.storey === stage.storey);
    const at = walls.chosen[0] ? list.indexOf(walls.chosen[0]) : by > 0 ? -1 : 0;
    const next = list[(at + by + list.length) % list.length];
    if (next) chooseAndShow([next]);
  };
  stage.svg.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || draft.on) return;
    const act = ({
      n: () => findings.step(1), p: () => findings.step(-1), w: () => stepWall(e.shiftKey ? -1 : 1), d: () => turnDraft(true),
      delete: () => walls.remove(), backspace: () => walls.remove(), escape: () => choose([], false),
    } as Record<string, () => void>)[e.key.toLowerCase()];
    if (!act) return;
    e.preventDefault();
    if (e.key.toLowerCase() === "n" || e.key.toLowerCase() === "p") tabs.turn("findings");
    act();
  });
  root.addEventListener("keydown", (e) => {
    if (!(e.ctrlKey || e.metaKey) || e.altKey || (e.target instanceof HTMLInputElement && e.target.type === "text")) return;
    const key = e.key.toLowerCase();
    if (key === "z") (e.shiftKey ? work.redo() : work.undo());
    else if (key === "y") work.redo();
    else return;
    e.preventDefault();
  });

  let waiting = 0;
  work.onBusy = (busy) => {
    root.setAttribute("aria-busy", String(busy));
    clearTimeout(waiting);
    if (busy) waiting = window.setTimeout(() => told("Planning again…"), LONG_WAIT);
  };
  work.onPlan = () => {
    const keys = new Set(walls.chosen.map(keyOf));
    walls.chosen = work.plan.walls.filter((w) => keys.has(keyOf(w)));
    fillStoreys();
    stage.drawPlan();
    stage.light("held", walls.chosen);
    stage.light("under", []);
    snapper.takeWalls(work.plan, stage.storey);
    walls.draw();
    findings.follow();
    stage.lightFinding(findings.at);
    fillHead();
    if (files.isShown) {
      files.draw();
      if (tabs.now === "files") void files.load();
    }
  };
  work.onReading = () => {
    layers.draw();
    stage.drawLines();
    fillHead();
  };
  work.onDrawing = () => {
    snapper.takeDrawing(work.drawing);
    stage.turnTo(stage.storey);
  };
  work.onDone = (words, millis) => {
    clearTimeout(waiting);
    told(`${words[0]?.toUpperCase() ?? ""}${words.slice(1)}. Planned again in ${Math.round(millis)} ms.`);
    say(status.textContent ?? "");
  };
  work.onTrouble = (e) => {
    clearTimeout(waiting);
    status.replaceChildren(trouble(e));
    status.classList.add("bad");
  };

  snapper.takeDrawing(work.drawing);
  snapper.takeWalls(work.plan, stage.storey);
  fillStoreys();
  fillHead();
  tabs.turn(!work.plan.planned || work.reading.units === null ? "layers" : work.plan.tally.error > 0 ? "findings" : "layers");
  return root;
};
