// Prints how long frames take while the plan of a large floor is moved and zoomed. A measurement, not a
// test: node frames.mjs REPORT.html
import { launch } from "./browser.mjs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const FRAMES = 120;

// Runs in the page: one event a frame, the time between frames noted.
const measure = async ({ kind, frames }) => {
  const svg = document.querySelector(".stage svg.plan:not(.away)");
  const box = svg.getBoundingClientRect();
  const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
  const frame = () => new Promise(requestAnimationFrame);
  const send = (type, more) => svg.dispatchEvent(new (type === "wheel" ? WheelEvent : PointerEvent)(type, {
    bubbles: true, cancelable: true, clientX: x, clientY: y, pointerId: 1, isPrimary: true, ...more }));
  svg.setPointerCapture = () => {}; // a made-up pointer cannot be captured
  const times = [];
  if (kind === "pan") send("pointerdown", {});
  let last = await frame();
  for (let i = 0; i < frames; i++) {
    if (kind === "zoom") send("wheel", { deltaY: i % 60 < 30 ? -15 : 15 });
    else send("pointermove", { clientX: x + 80 * Math.sin(i / 9), clientY: y + 60 * Math.cos(i / 9) });
    const now = await frame();
    times.push(now - last);
    last = now;
  }
  if (kind === "pan") send("pointerup", {});
  return times;
};

const print = (what, times) => {
  const sorted = [...times].sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))].toFixed(1);
  console.log(`${what.padEnd(34)} median ${at(0.5)} ms, 95 of 100 within ${at(0.95)} ms, longest ${at(1)} ms`);
};

const browser = await launch();
const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
const file = pathToFileURL(resolve(process.argv[2] ?? "report.html")).href;
await page.goto(file);
const load = await page.evaluate(() => {
  const [nav] = performance.getEntriesByType("navigation");
  return { parsed: nav.domContentLoadedEventEnd, pieces: document.querySelectorAll("tr[data-p]").length };
});
console.log(`${load.pieces} pieces, parsed and scripted in ${load.parsed.toFixed(0)} ms`);
await page.evaluate(() => document.querySelector("#plans").scrollIntoView({ behavior: "instant" }));
await page.waitForTimeout(500);
for (const [name, layers] of [["as opened", []], ["with studs and nails", ["studs", "nails"]]]) {
  for (const key of layers) await page.locator(`.layers input[value=${key}]`).check();
  await page.locator("[data-zoom=whole]").click();
  for (const kind of ["pan", "zoom"]) {
    if (kind === "pan") await page.locator("[data-zoom=in]").click();
    await page.waitForTimeout(200);
    print(`${kind}, ${name}`, await page.evaluate(measure, { kind, frames: FRAMES }));
  }
  await page.locator("[data-zoom=whole]").click();
  for (let i = 0; i < 4; i++) await page.locator("[data-zoom=in]").click();
  await page.waitForTimeout(200);
  print(`pan near, ${name}`, await page.evaluate(measure, { kind: "pan", frames: FRAMES }));
}
await browser.close();
