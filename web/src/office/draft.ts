// Drawing a missing wall: two points, by pointer or by keys, pulled to what is near. Knows the window
// and what may pull; what becomes of the two points is for others.

import type { Place } from "../viewer/camera";
import { drawn } from "../viewer/dom";
import { wasDragged } from "../viewer/gestures";
import { apart, type Caught, type Snapper } from "./snap";
import type { Stage } from "./stage";
import { shortLength } from "./words";

const REACH = 14; // pixels from which a point is pulled
const STEP = 12; // inches an arrow key moves the cross; one with Shift
const SHORTEST = 6; // inches; less is a slip of the hand

export class Draft {
  private readonly stage: Stage;
  private readonly snapper: Snapper;
  private readonly metric: () => boolean;
  private start: Place | null = null;
  private cross: Place | null = null;
  private caught: Caught | null = null;
  private ends: Place[] = [];
  private end = -1;
  on = false;
  onWall = (_start: Place, _end: Place): void => {};
  onTold = (_words: string): void => {};
  onLeave = (): void => {};

  constructor(stage: Stage, snapper: Snapper, metric: () => boolean) {
    [this.stage, this.snapper, this.metric] = [stage, snapper, metric];
    const { root } = stage;
    root.addEventListener("pointermove", (e) => {
      if (this.on) this.moveTo(stage.placeAt(e.clientX, e.clientY));
    });
    root.addEventListener("pointerleave", () => this.on && this.show(null));
    // Before the plan's own keys: here the arrows move the cross.
    root.addEventListener("keydown", (e) => this.on && this.key(e), { capture: true });
  }

  turn(on: boolean): void {
    this.on = on;
    this.stage.svg.classList.toggle("drafting", on);
    [this.start, this.cross, this.end] = [null, null, -1];
    this.ends = on ? this.snapper.ends() : [];
    this.show(null);
    if (on) this.onTold("Click where the wall begins, on its middle line.");
  }

  click(e: MouseEvent): void {
    if (wasDragged()) return;
    this.moveTo(this.stage.placeAt(e.clientX, e.clientY));
    this.put();
  }

  private moveTo(p: Place): void {
    this.cross = p;
    this.caught = this.snapper.pull(p, REACH * this.stage.camera.pixel, this.start);
    this.show(this.caught?.at ?? p);
  }

  private put(): void {
    const at = this.caught?.at ?? this.cross;
    if (!at) return;
    if (!this.start) {
      this.start = at;
      this.onTold("Click where it ends. Esc begins again.");
      return this.show(at);
    }
    if (apart(this.start, at) < SHORTEST) return this.onTold("Too short for a wall: 6 in at least. Click where it ends.");
    const start = this.start;
    this.start = null;
    this.show(null);
    this.onTold("Click where the next wall begins, or press Esc to stop drawing.");
    this.onWall(start, at);
    this.ends = this.snapper.ends();
  }

  private key(e: KeyboardEvent): void {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === "Escape") {
      e.preventDefault();
      e.stopPropagation();
      if (!this.start) return this.onLeave();
      this.start = null;
      this.onTold("Click where the wall begins, on its middle line.");
      return this.show(this.cross);
    }
    const step = e.shiftKey ? 1 : STEP;
    const by = ({ ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] } as
      Record<string, [number, number]>)[e.key];
    if (by) {
      const [x, y] = this.cross ?? this.middle();
      this.cross = [x + by[0], y + by[1]];
      this.caught = e.shiftKey ? null : this.snapper.pull(this.cross, STEP * 0.4, this.start);
      this.say(this.caught?.at ?? this.cross);
    } else if (e.key.toLowerCase() === "e" && this.ends.length > 0) {
      this.end = (this.end + (e.shiftKey ? -1 : 1) + this.ends.length) % this.ends.length;
      const at = this.ends[this.end];
      if (!at) return;
      this.cross = at;
      this.caught = { at, to: "end of a wall" };
      this.say(at);
    } else if (e.key === "Enter" || e.key === " ") {
      this.put();
    } else return;
    e.preventDefault();
    e.stopPropagation();
  }

  private middle(): Place {
    const box = this.stage.root.getBoundingClientRect();
    return this.stage.placeAt(box.left + box.width / 2, box.top + box.height / 2);
  }

  private say(at: Place): void {
    this.show(at);
    this.stage.camera.show({ x: at[0], y: -at[1], width: 1, height: 1 });
    const long = this.start ? `, ${shortLength(apart(this.start, at), this.metric())} long` : "";
    this.onTold(`Cross at ${shortLength(at[0], this.metric())} across, ${shortLength(at[1], this.metric())} up${
      this.caught ? `, ${this.caught.to}` : ""}${long}. Enter puts a point.`);
  }

  // The line so far, the point it is pulled to, its length and to what it is pulled.
  private show(at: Place | null): void {
    if (!at) return this.stage.draft(...(this.start ? [this.dot(this.start)] : []));
    const { pixel } = this.stage.camera; // of one size on the screen, however near the plan is
    const size = pixel * 13;
    const [x, y] = [at[0], -at[1]];
    const shapes: SVGElement[] = [
      drawn("path", { class: this.caught ? "cross caught" : "cross", d: `M${x - size} ${y}H${x + size}M${x} ${y - size}V${y + size}` }),
    ];
    let words = this.caught?.to ?? "";
    if (this.start) {
      shapes.unshift(drawn("path", { class: "rubber", d: `M${this.start[0]} ${-this.start[1]}L${x} ${y}` }), this.dot(this.start));
      words = `${shortLength(apart(this.start, at), this.metric())}${words ? `, ${words}` : ""}`;
    }
    if (words) {
      const text = drawn("text", { transform: `translate(${x} ${y - pixel * 24})`, "font-size": pixel * 14 });
      text.textContent = words;
      shapes.push(text);
    }
    this.stage.draft(...shapes);
  }
  private dot([x, y]: Place): SVGElement {
    return drawn("path", { class: "dot", d: `M${x} ${-y}h0` });
  }
}
