// Where one plan is looked at from. Knows: the part of the drawing that is shown, and how pixels and
// inches of the page go together. Never touches what is drawn.
//
// The drawing is painted half as large again as its window. A movement first shifts and stretches what
// is painted, which costs the same for ten plates and ten thousand; it is painted anew when the hand
// rests, or when the movement would uncover what is not painted yet.

import { need } from "./dom";

const LETTERS_READ_FROM = 5.5; // pixels; below it labels are put away (class `far`)
const OVER = 1.5; // how much larger than the window; the stylesheet has it too
const REST = 140; // milliseconds without movement, then the drawing is painted anew
const STRETCH = 2.2; // as far as a painting may be blown up in between

// A place p of the page is seen at k p + (x, y), inches.
interface Sight {
  k: number;
  x: number;
  y: number;
}

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

export type Place = readonly [x: number, y: number];

export class Camera {
  readonly svg: SVGSVGElement;
  private readonly stage: HTMLElement;
  private readonly world: SVGGElement;
  private left = 0;
  private top = 0;
  private width = 1;
  private height = 1;
  private middle: Place = [0.5, 0.5];
  private letter = 1;
  private now: Sight = { k: 1, x: 0, y: 0 };
  private painted: Sight | null = null; // the same, as of the last painting
  private most = 1;
  private wide = 0; // pixels of the window, as last told
  private high = 0;
  private waiting = false;
  private rest = 0;
  onPaint = (): void => {};

  constructor(svg: SVGSVGElement) {
    this.svg = svg;
    if (!svg.parentElement) throw new Error("a plan stands in its stage");
    this.stage = svg.parentElement;
    this.world = need(svg, ".world");
    this.frame();
    new ResizeObserver(() => {
      const [wide, high] = [this.stage.clientWidth, this.stage.clientHeight];
      if (wide === 0 || high === 0 || svg.clientWidth === 0) return;
      [this.wide, this.high] = [wide, high];
      this.paint();
    }).observe(svg);
  }

  // Takes the drawing's frame and letters from the picture; again when they have changed.
  frame(): void {
    const [left = 0, top = 0, width = 1, height = 1] = (this.svg.getAttribute("viewBox") ?? "").split(" ").map(Number);
    [this.left, this.top, this.width, this.height] = [left, top, width, height];
    this.middle = [left + width / 2, top + height / 2];
    this.letter = Number(this.svg.getAttribute("font-size"));
    this.most = Math.max(12, width / 60); // five feet fill the window
    this.now = { k: 1, x: 0, y: 0 };
    if (this.wide > 0) this.paint();
  }

  // Inches of the page in a pixel, at magnification 1.
  get inch(): number {
    return Math.max(this.width / (this.wide || 1), this.height / (this.high || 1));
  }

  // Inches of the page at a place of the screen.
  at(clientX: number, clientY: number): Place {
    const box = this.stage.getBoundingClientRect();
    const [mx, my] = this.middle;
    return [
      mx + (clientX - box.left - box.width / 2) * this.inch,
      my + (clientY - box.top - box.height / 2) * this.inch,
    ];
  }

  // What of the drawing is seen at a place of the screen.
  seen(clientX: number, clientY: number): Place {
    const [px, py] = this.at(clientX, clientY);
    return [(px - this.now.x) / this.now.k, (py - this.now.y) / this.now.k];
  }

  // Inches of the drawing in a pixel, as it is magnified now.
  get pixel(): number {
    return this.inch / this.now.k;
  }

  get isWhole(): boolean {
    return this.now.k === 1;
  }

  // Magnifies about a place of the page; about the middle if none is given.
  zoom(factor: number, [px, py]: Place = this.middle): void {
    const { k, x, y } = this.now;
    const next = Math.min(this.most, Math.max(1, k * factor));
    const by = next / k;
    this.move({ k: next, x: px - (px - x) * by, y: py - (py - y) * by });
  }

  // Moves by pixels.
  pan(dx: number, dy: number): void {
    const { k, x, y } = this.now;
    this.move({ k, x: x + dx * this.inch, y: y + dy * this.inch });
  }

  whole(): void {
    this.move({ k: 1, x: 0, y: 0 });
  }

  // Brings a box of the drawing into the middle, large enough to be read; stays where it is if the box
  // is well in view already.
  show(box: Box): void {
    const { k, x, y } = this.now;
    const inch = this.inch;
    const [mx, my] = this.middle;
    const [reachX, reachY] = [(this.wide * inch) / 2, (this.high * inch) / 2];
    const within = (from: number, size: number, moved: number, middle: number, reach: number) =>
      Math.abs(k * from + moved - middle) < reach * 0.9 && Math.abs(k * (from + size) + moved - middle) < reach * 0.9;
    const inView = within(box.x, box.width, x, mx, reachX) && within(box.y, box.height, y, my, reachY);
    if (inView && (this.letter * k) / inch >= LETTERS_READ_FROM * 1.6) return;
    const size = Math.max(box.width, box.height, this.letter * 20);
    const fits = (Math.min(reachX, reachY) * 2) / size / 1.6;
    const reads = (LETTERS_READ_FROM * 2 * inch) / this.letter;
    const next = Math.min(this.most, Math.max(1, Math.min(fits, Math.max(reads, k))));
    const [cx, cy] = [box.x + box.width / 2, box.y + box.height / 2];
    this.move({ k: next, x: mx - cx * next, y: my - cy * next });
  }

  // The drawing never leaves the window altogether; at magnification 1 it is whole.
  private move({ k, x, y }: Sight): void {
    if (k <= 1.0001) {
      this.now = { k: 1, x: 0, y: 0 };
    } else {
      const held = (moved: number, start: number, size: number) => {
        const middle = start + size / 2;
        return Math.min(middle - start * k, Math.max(middle - (start + size) * k, moved));
      };
      this.now = { k, x: held(x, this.left, this.width), y: held(y, this.top, this.height) };
    }
    clearTimeout(this.rest);
    this.rest = window.setTimeout(() => this.paint(), REST);
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.shift();
    });
  }

  // Shows what is painted where it belongs by now; paints if that is not enough.
  private shift(): void {
    const [now, then] = [this.now, this.painted];
    if (!then) return this.paint();
    const [mx, my] = this.middle;
    const by = now.k / then.k;
    const dx = (now.x - mx - by * (then.x - mx)) / this.inch;
    const dy = (now.y - my - by * (then.y - my)) / this.inch;
    const covers = (moved: number, size: number) => Math.abs(moved) + size / 2 <= (size * OVER * by) / 2 + 1;
    if (by > STRETCH || !covers(dx, this.wide) || !covers(dy, this.high)) return this.paint();
    this.svg.style.transform = `translate(${dx}px, ${dy}px) scale(${by})`;
  }

  private paint(): void {
    clearTimeout(this.rest);
    const { k, x, y } = this.now;
    const [mx, my] = this.middle;
    this.svg.style.transform = "";
    if (this.painted !== this.now) {
      // Page to painting, which shrinks by OVER what the larger element enlarges.
      this.world.setAttribute(
        "transform",
        `matrix(${k / OVER} 0 0 ${k / OVER} ${mx + (x - mx) / OVER} ${my + (y - my) / OVER})`,
      );
    }
    this.painted = this.now;
    this.svg.classList.toggle("far", (this.letter * k) / this.inch < LETTERS_READ_FROM);
    this.svg.classList.toggle("zoomed", !this.isWhole);
    this.onPaint();
  }
}
