// Mouse, touch and keys on a plan. Knows: which movement of a hand means which movement of the camera.

import type { Camera } from "./camera";

const STEP = 60; // pixels, for an arrow key
const CLICK_REACH = 5; // pixels a pointer may move and still have clicked
const WHEEL_REST = 300; // milliseconds; a wheel already turning over the page goes on scrolling it

// Whether the last press of a pointer was a drag, so that its click selects nothing.
let dragged = false;
export const wasDragged = (): boolean => dragged;

export const listenToGestures = (camera: Camera): void => {
  const { svg } = camera;
  const pointers = new Map<number, { x: number; y: number }>();
  let travelled = 0;

  const middle = () => {
    const [a = { x: 0, y: 0 }, b = a] = pointers.values();
    return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.hypot(a.x - b.x, a.y - b.y) };
  };

  svg.addEventListener("pointerdown", (e) => {
    if (e.pointerType === "mouse" && e.button !== 0 && e.button !== 1) return;
    pointers.set(e.pointerId, { x: e.clientX, y: e.clientY });
    if (pointers.size === 1) {
      travelled = 0;
      dragged = false;
    }
  });
  svg.addEventListener("pointermove", (e) => {
    if (!pointers.has(e.pointerId)) return;
    const before = middle();
    pointers.set(e.pointerId, { x: e.clientX, y: e.clientY });
    const after = middle();
    const [dx, dy] = [after.x - before.x, after.y - before.y];
    travelled += Math.hypot(dx, dy) + Math.abs(after.apart - before.apart);
    if (travelled < CLICK_REACH) return;
    if (!dragged) {
      dragged = true;
      svg.setPointerCapture(e.pointerId);
      svg.classList.add("moving");
    }
    if (pointers.size > 1 && before.apart > 0) {
      camera.zoom(after.apart / before.apart, camera.at(after.x, after.y));
    }
    camera.pan(dx, dy);
  });
  const lift = (e: PointerEvent) => {
    pointers.delete(e.pointerId);
    if (pointers.size === 0) svg.classList.remove("moving");
  };
  for (const name of ["pointerup", "pointercancel", "lostpointercapture"] as const) svg.addEventListener(name, lift);
  svg.addEventListener("pointerleave", (e) => {
    if (!svg.hasPointerCapture(e.pointerId)) lift(e);
  });
  // Two fingers are ours even where one still scrolls the page.
  for (const name of ["touchstart", "touchmove"] as const) {
    svg.addEventListener(name, (e) => {
      if (e.touches.length > 1 && e.cancelable) e.preventDefault();
    }, { passive: false });
  }

  svg.addEventListener("wheel", (e) => {
    const scrollsPage = e.timeStamp - pageScrolledAt < WHEEL_REST;
    const passesOn = camera.isWhole && e.deltaY > 0 && !e.ctrlKey;
    if (scrollsPage || passesOn) return;
    e.preventDefault();
    const pixels = e.deltaY * (e.deltaMode === 1 ? 16 : e.deltaMode === 2 ? 400 : 1);
    const factor = Math.exp(-Math.max(-200, Math.min(200, pixels)) * (e.ctrlKey ? 0.01 : 0.002));
    camera.zoom(factor, camera.at(e.clientX, e.clientY));
  }, { passive: false });

  svg.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const act = (
      {
        "+": () => camera.zoom(1.4),
        "=": () => camera.zoom(1.4),
        "-": () => camera.zoom(1 / 1.4),
        0: () => camera.whole(),
        ArrowLeft: () => camera.pan(STEP, 0),
        ArrowRight: () => camera.pan(-STEP, 0),
        ArrowUp: () => camera.pan(0, STEP),
        ArrowDown: () => camera.pan(0, -STEP),
      } as Record<string, () => void>
    )[e.key];
    if (!act) return;
    e.preventDefault();
    act();
  });
};

let pageScrolledAt = -WHEEL_REST;
document.addEventListener("scroll", (e) => {
  if (e.target === document) pageScrolledAt = e.timeStamp;
}, { passive: true });
