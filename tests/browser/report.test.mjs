// What a person does with the report, done by a browser: mouse, touch, keys, paper, and a judge of
// accessibility (axe-core). Run by ./run.sh.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { hasChromium, launch } from "./browser.mjs";

const REPORTS = resolve(process.env.REPORTS ?? "../../out/browser");
const skip = hasChromium() ? false : "no Chromium";
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let browser;
before(async () => {
  if (!skip) browser = await launch();
});
after(async () => browser?.close());

// A page with a report; whatever goes wrong in it fails the test that asked for it.
const open = async (t, name, { width = 1280, height = 900, ...more } = {}) => {
  const context = await browser.newContext({ viewport: { width, height }, ...more });
  const page = await context.newPage();
  const trouble = [];
  page.on("pageerror", (e) => trouble.push(e.message));
  page.on("console", (m) => m.type() === "error" && trouble.push(m.text()));
  page.on("request", (r) => r.url().startsWith("file:") || trouble.push(`asked for ${r.url()}`));
  page.on("dialog", (d) => {
    trouble.push(`dialog ${d.message()}`);
    d.dismiss();
  });
  t.after(async () => {
    await context.close();
    assert.deepEqual(trouble, []);
  });
  await page.goto(pathToFileURL(join(REPORTS, name, "report.html")).href);
  await page.locator("#plans").evaluate((e) => e.scrollIntoView({ behavior: "instant" }));
  await page.waitForTimeout(250);
  return page;
};
const middleOf = async (locator) => {
  const box = await locator.boundingBox();
  return [box.x + box.width / 2, box.y + box.height / 2];
};
const heldRow = (page) => page.locator("tr.held");
const inView = (page, selector) =>
  page.locator(selector).first().evaluate((e) => {
    const [a, b] = [e.getBoundingClientRect(), e.closest(".panel, .stage")?.getBoundingClientRect()];
    const box = b ?? { top: 0, left: 0, bottom: innerHeight, right: innerWidth };
    return a.bottom > box.top && a.top < box.bottom && a.right > box.left && a.left < box.right;
  });
const matrix = (page) => page.locator("svg.plan:not(.away) .world").getAttribute("transform");

test("a plate in the plan brings its card and its row", { skip }, async (t) => {
  const page = await open(t, "demo");
  const plate = page.locator(".lower.plates [data-p]").first();
  await page.locator(".layers input[value=upper]").uncheck();
  const id = await plate.getAttribute("data-p");
  const [x, y] = await middleOf(plate);
  await page.mouse.move(x, y);
  assert.equal(await page.locator("tr.under").getAttribute("data-p"), id, "a look lights the row");
  assert.ok(await page.locator(".card").isVisible(), "and shows the card");
  await page.mouse.click(x, y);
  assert.equal(await heldRow(page).getAttribute("data-p"), id);
  await page.waitForTimeout(150);
  assert.ok(await inView(page, "tr.held"), "the row was scrolled to");
  const card = await page.locator(".card").innerText();
  for (const word of ["Plate", "Length", "Ends", "Check", "Nails", "Stands on", "Board", "Drawn as"]) {
    assert.ok(card.includes(word), `${word} in ${card}`);
  }
  const row = await heldRow(page).innerText();
  assert.ok(row.includes(await page.locator(".card h3 bdi").innerText()));
  assert.equal(await page.locator(".halo.held[d]").count(), 1, "its outline is above the plan");
  // The pointer jumps from the plate to the card: what it left is not shown again, not for one frame.
  await page.mouse.move(...(await middleOf(page.locator(".card .close"))));
  const closed = await page.locator(".card").evaluate((e) => {
    e.querySelector(".close").click();
    return e.hidden;
  });
  assert.ok(closed, "the card is gone at once");
  await page.waitForTimeout(150);
  assert.equal(await heldRow(page).count(), 0);
  assert.ok(await page.locator(".card").isHidden());
});

test("a row brings its plate into view, from any storey or layer", { skip }, async (t) => {
  const page = await open(t, "rooms");
  const before = await matrix(page);
  const row = page.locator("tr[data-p='1200']");
  await row.locator("a").click();
  await page.waitForTimeout(400);
  assert.equal(await heldRow(page).getAttribute("data-p"), "1200");
  assert.notEqual(await matrix(page), before, "the plan went there");
  assert.ok(await inView(page, ".halo.held"));
  const shape = await page.locator(".plates [data-p='1200']").getAttribute("d");
  assert.equal(await page.locator(".halo.held").getAttribute("d"), shape);
});

test("the card is true to plan.json", { skip }, async (t) => {
  const page = await open(t, "demo");
  const plan = JSON.parse(readFileSync(join(REPORTS, "demo/plan.json"), "utf8"));
  for (const [i, piece] of plan.pieces.entries()) {
    await page.evaluate((id) => document.querySelector(`tr[data-p="${id}"] a`).click(), i + 1);
    const card = (await page.locator(".card").innerText()).replaceAll("\u00a0", " ");
    assert.ok(card.startsWith(piece.mark), piece.mark);
    assert.ok(card.includes(piece.length_text), `${piece.mark} ${piece.length_text}: ${card}`);
    const nails = piece.nails.reduce((sum, n) => sum + n.count, 0);
    const told = [...card.matchAll(/^(\d+): \d+ in \d+ place/gm)].reduce((sum, m) => sum + Number(m[1]), 0);
    assert.equal(told, nails, `nails of ${piece.mark}: ${card}`);
    const studs = piece.marks.filter((m) => m.kind === "stud").length;
    if (studs > 0) assert.ok(card.includes(`${studs} stud`), `${studs} studs of ${piece.mark}: ${card}`);
    // What an upper plate stands on: lower plates of its run that share stations with it, at least.
    if (piece.layer === "upper") assert.match(card, /Stands on\n?\s*L/, piece.mark);
  }
});

test("switches show and hide layers; studs and nails are as many as planned", { skip }, async (t) => {
  const page = await open(t, "demo");
  const plan = JSON.parse(readFileSync(join(REPORTS, "demo/plan.json"), "utf8"));
  for (const key of ["upper", "lower", "bottom", "studs", "nails", "ties", "runs", "walls", "drawn", "pins", "dims"]) {
    const box = page.locator(`.layers input[value=${key}]`);
    if (key === "drawn" && (await box.count()) === 0) continue; // the reader gave no linework
    const groups = page.locator(`.stage g.${key}`);
    assert.ok((await groups.count()) > 0, key);
    const shown = () => groups.evaluateAll((all) => all.every((g) => getComputedStyle(g).display !== "none"));
    await box.check();
    assert.ok(await shown(), `${key} on`);
    await box.uncheck();
    assert.ok(!(await shown()), `${key} off`);
    await box.check();
  }
  const strokes = (group) => page.locator(`.stage .${group} path`).evaluateAll((all) => all.map((p) => p.getAttribute("d")).join(""));
  const count = (text, pattern) => [...text.matchAll(pattern)].length;
  const nails = plan.pieces.flatMap((p) => p.nails).reduce((sum, n) => sum + n.count, 0);
  assert.equal(count(await strokes("nails"), /h0/g), nails);
  const marks = plan.pieces.flatMap((p) => p.marks);
  const boxes = marks.filter((m) => ["stud", "king", "trimmer", "corner", "anchor"].includes(m.kind)).length;
  assert.equal(count(await strokes("studs"), /z/g), boxes);
});

test("storeys are turned to, by their switch and by what lies on them", { skip }, async (t) => {
  const page = await open(t, "storeys");
  const plan = JSON.parse(readFileSync(join(REPORTS, "storeys/plan.json"), "utf8"));
  assert.equal(plan.storeys.length, 2);
  const shown = () => page.locator("svg.plan:not(.away)").getAttribute("data-storey");
  assert.equal(await shown(), "1");
  await page.locator(".storeys input").nth(1).check();
  assert.equal(await shown(), "2");
  const first = plan.pieces.findIndex((p) => p.storey === plan.storeys[0].id) + 1;
  await page.locator(`tr[data-p='${first}'] a`).click();
  assert.equal(await shown(), "1");
  assert.ok(await page.locator(".storeys input").first().isChecked());
  await page.emulateMedia({ media: "print" });
  assert.equal(await page.locator(".sheets figure").count(), 4, "two sheets a storey");
});

test("linework shows what was read and what was left out", { skip }, async (t) => {
  const page = await open(t, "demo");
  const drawn = page.locator(".stage g.drawn");
  assert.ok(!(await drawn.isVisible()), "off at first");
  assert.ok((await drawn.locator("path.used").count()) > 0 && (await drawn.locator("path.left").count()) > 0);
  const row = page.locator("#ledger tr[data-l]").last();
  const reason = await row.getAttribute("data-l");
  await row.locator("a").press("Enter");
  assert.ok(await page.locator(".layers input[value=drawn]").isChecked(), "its line of the ledger brings it out");
  assert.ok((await page.locator(`.drawn .held[data-l='${reason}']`).count()) > 0);
  await page.locator(".layers input[value=walls]").check();
  const plan = JSON.parse(readFileSync(join(REPORTS, "demo/plan.json"), "utf8"));
  assert.equal(await page.locator(".walls path[data-w]").count(), plan.walls.length);
});

test("search finds by mark, id, wall, run and entity", { skip }, async (t) => {
  const page = await open(t, "demo");
  const plan = JSON.parse(readFileSync(join(REPORTS, "demo/plan.json"), "utf8"));
  const find = page.locator("#find");
  const piece = plan.pieces[40];
  for (const words of [piece.mark, "p41", piece.mark.toLowerCase()]) {
    await find.fill(words);
    await find.press("Enter");
    assert.equal(await heldRow(page).getAttribute("data-p"), "41", words);
  }
  await find.fill(piece.run);
  const ofRun = plan.pieces.filter((p) => p.run === piece.run).length;
  assert.match(await page.locator("#found").innerText(), new RegExp(`^${ofRun} found`));
  await find.fill(plan.walls[0].source[0].entity);
  assert.match(await page.locator("#found").innerText(), /found/);
  await find.press("ArrowDown");
  await page.keyboard.press("Enter");
  assert.equal(await heldRow(page).count(), 1);
  await find.fill("no such piece");
  assert.equal(await page.locator("#found").innerText(), "Nothing by that name");
});

test("pins and findings point to each other", { skip }, async (t) => {
  const page = await open(t, "demo");
  const pins = page.locator(".stage .pin");
  assert.ok((await pins.count()) > 0);
  const pin = pins.last();
  const [first] = (await pin.getAttribute("data-f")).split(" ");
  await page.mouse.click(...(await middleOf(pin.locator(".head"))));
  assert.equal(await page.locator("li.held").getAttribute("id"), `f${first}`);
  assert.match(await page.locator(".card").innerText(), /error|warning|note/);
  const other = page.locator("#findings a.go").first();
  const number = await other.getAttribute("data-f");
  await other.click();
  assert.equal(await page.locator("li.held").getAttribute("id"), `f${number}`);
  await page.waitForTimeout(400);
  assert.ok(await inView(page, ".pin.held"));
  const kind = page.locator("#findings article").first();
  for (const word of ["What to do:", "Rule:"]) assert.ok((await kind.innerText()).includes(word), word);
});

test("wheel and drag move the plan, a wheel already scrolling goes on", { skip }, async (t) => {
  const page = await open(t, "demo");
  const [x, y] = await middleOf(page.locator(".stage"));
  const start = await matrix(page);
  await page.waitForTimeout(400);
  await page.mouse.move(x, y);
  await page.mouse.wheel(0, -300);
  await page.waitForTimeout(400);
  const zoomed = await matrix(page);
  assert.notEqual(zoomed, start);
  await page.mouse.down();
  await page.mouse.move(x + 60, y + 30, { steps: 5 });
  await page.mouse.up();
  await page.waitForTimeout(400);
  assert.notEqual(await matrix(page), zoomed);
  assert.equal(await heldRow(page).count(), 0, "a drag selects nothing");
  await page.locator("[data-zoom=whole]").click();
  await page.waitForTimeout(400);
  assert.equal(await matrix(page), start);
  const top = await page.evaluate(() => scrollY);
  await page.mouse.move(x, y);
  await page.mouse.wheel(0, 300);
  await page.waitForTimeout(400);
  assert.ok((await page.evaluate(() => scrollY)) > top, "out of the whole plan the page scrolls");
});

test("two fingers zoom", { skip }, async (t) => {
  const page = await open(t, "demo", { width: 360, height: 740, hasTouch: true, isMobile: true });
  const start = await matrix(page);
  const [x, y] = await middleOf(page.locator(".stage"));
  const session = await page.context().newCDPSession(page);
  const touch = (type, ...xs) =>
    session.send("Input.dispatchTouchEvent", { type, touchPoints: xs.map((px, id) => ({ x: px, y, id })) });
  await touch("touchStart", x - 20, x + 20);
  for (let i = 1; i <= 8; i++) await touch("touchMove", x - 20 - i * 8, x + 20 + i * 8);
  await touch("touchEnd");
  await page.waitForTimeout(400);
  const scale = Number((await matrix(page)).match(/matrix\(([\d.]+)/)[1]) / Number(start.match(/matrix\(([\d.]+)/)[1]);
  assert.ok(scale > 2, `zoomed by ${scale}`);
});

test("works on a phone 360 pixels wide", { skip }, async (t) => {
  for (const name of ["demo", "hostile"]) {
    const page = await open(t, name, { width: 360, height: 740, hasTouch: true, isMobile: true });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= 360, `${name}: nothing hangs over, ${wide}`);
    await page.locator("tr[data-p='1']").scrollIntoViewIfNeeded();
    await page.locator("tr[data-p='1'] td").nth(1).tap();
    const card = await page.locator(".card").boundingBox();
    assert.ok(card.y >= 0 && card.x >= 0 && card.x + card.width <= 360 && card.y + card.height <= 741, JSON.stringify(card));
    await page.locator(".card .close").tap();
    await page.locator("tr[data-p='1'] a").tap();
    await page.waitForTimeout(400);
    assert.ok(await inView(page, ".stage"), "a mark leads to the plan");
    const small = await page.locator(".tools button, .tools fieldset label, .tools input[type=search]").evaluateAll((all) =>
      all.filter((e) => e.getClientRects().length && e.getBoundingClientRect().height < 24).map((e) => e.textContent));
    assert.deepEqual(small, [], "targets of 24 px (WCAG 2.2, 2.5.8)");
  }
});

test("keyboard only", { skip }, async (t) => {
  const page = await open(t, "demo");
  const focused = () => page.evaluate(() => document.activeElement.className.baseVal ?? document.activeElement.tagName);
  for (let i = 0; i < 60 && !(await focused()).includes("plan"); i++) await page.keyboard.press("Tab");
  assert.match(await focused(), /plan/, "the plan is reached by Tab");
  const start = await matrix(page);
  await page.keyboard.press("+");
  await page.waitForTimeout(250);
  const zoomed = await matrix(page);
  assert.notEqual(zoomed, start);
  await page.keyboard.press("ArrowLeft");
  await page.waitForTimeout(250);
  assert.notEqual(await matrix(page), zoomed);
  await page.keyboard.press("0");
  await page.waitForTimeout(250);
  assert.equal(await matrix(page), start);
  await page.keyboard.press("n");
  await page.keyboard.press("n");
  assert.equal(await heldRow(page).count(), 1);
  const id = await heldRow(page).getAttribute("data-p");
  const spoken = await page.locator(".spoken").textContent();
  assert.ok(spoken.startsWith(await page.locator(".card h3 bdi").innerText()), spoken);
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.closest("tr")?.dataset.p), id, "Enter goes to the row");
  const outline = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
  assert.notEqual(outline, "none", "focus is seen");
  await page.keyboard.press("Tab");
  const next = await page.evaluate(() => document.activeElement.closest("tr")?.dataset.p);
  await page.keyboard.press("Enter");
  assert.equal(await heldRow(page).getAttribute("data-p"), next, "Enter on a mark chooses it");
  await page.keyboard.press("Escape");
  assert.equal(await heldRow(page).count(), 0);
});

test("paper: every storey on a page, no controls, black on white", { skip }, async (t) => {
  const page = await open(t, "demo", { colorScheme: "dark" });
  await page.locator("tr[data-p='1'] a").click(); // what is selected on the screen is not printed
  await page.emulateMedia({ media: "print", colorScheme: "light" });
  for (const hidden of [".tools", ".stage", ".card", "nav"]) {
    assert.ok(await page.locator(hidden).first().isHidden(), hidden);
  }
  const sheets = page.locator(".sheets figure");
  assert.equal(await sheets.count(), 2, "upper, and lower with bottom");
  for (const name of ["upper", "lower"]) {
    const drawn = page.locator(`.sheets use[href='#s1-${name}-plates']`);
    const box = await drawn.first().boundingBox();
    assert.ok(box.width > 200 && box.height > 200, `${name} is drawn: ${JSON.stringify(box)}`);
  }
  const [paper, ink] = await page.evaluate(() => {
    const style = getComputedStyle(document.body);
    return [style.backgroundColor, style.color];
  });
  assert.deepEqual([paper, ink], ["rgb(255, 255, 255)", "rgb(0, 0, 0)"]);
  const pdf = (await page.pdf({ preferCSSPageSize: true, format: "Letter" })).toString("latin1");
  const pages = [...pdf.matchAll(/\/Type\s*\/Page\b/g)].length;
  assert.ok(pages > 4 && pages < 40, `${pages} pages`);
});

test("hostile names are shown, not run", { skip }, async (t) => {
  const page = await open(t, "hostile");
  assert.equal(await page.evaluate(() => window.hit), undefined);
  assert.equal(await page.locator("img, iframe, object, embed").count(), 0);
  assert.equal(await page.locator("script").count(), 2);
  const rows = page.locator("tr[data-p]");
  const n = await rows.count();
  assert.ok(n > 10);
  for (let i = 0; i < n; i++) {
    await page.evaluate((at) => document.querySelectorAll("tr[data-p] a")[at].click(), i);
  }
  const card = await page.locator(".card").innerText();
  assert.ok(card.includes("A-WALL-"), card);
  await page.locator("#find").fill("<img");
  await page.locator("#ledger tr[data-l]").first().click();
  for (const key of await page.locator(".layers input").all()) await key.check();
  const [x, y] = await middleOf(page.locator(".stage"));
  await page.mouse.move(x, y);
  assert.equal(await page.evaluate(() => window.hit), undefined);
  assert.equal(await page.locator("img").count(), 0);
  assert.ok((await page.locator("h1").innerText()).includes("<img src=x"));
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 1280, `nothing hangs over, ${wide}`);
});

test("says all it has to say without its script", { skip }, async (t) => {
  const page = await open(t, "demo", { javaScriptEnabled: false });
  assert.ok(await page.locator(".tools").isHidden());
  assert.ok(await page.locator("svg.plan").isVisible());
  assert.ok(await page.locator("#findings article").first().isVisible());
});

for (const colorScheme of ["light", "dark"]) {
  for (const [name, size] of [["demo", {}], ["hostile", {}], ["demo", { width: 360, height: 740 }]]) {
    test(`axe finds nothing serious: ${name}, ${colorScheme}, ${size.width ?? 1280} px`, { skip }, async (t) => {
      const context = { colorScheme, reducedMotion: "reduce", bypassCSP: true, ...size };
      const page = await open(t, name, context);
      await page.addScriptTag({ content: AXE });
      await page.addStyleTag({ content: "* { content-visibility: visible !important }" });
      for (const choose of [false, true]) {
        if (choose) await page.evaluate(() => document.querySelector("tr[data-p] a").click());
        const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
        const grave = violations.filter((v) => ["serious", "critical"].includes(v.impact));
        assert.deepEqual(grave.map((v) => `${v.id}: ${v.nodes[0].html} ${v.nodes[0].failureSummary}`), []);
      }
    });
  }
}

test("a floor of two thousand pieces answers", { skip }, async (t) => {
  const page = await open(t, "rooms");
  assert.ok((await page.locator("tr[data-p]").count()) > 2000);
  await page.locator("#find").fill("P2000");
  await page.locator("#find").press("Enter");
  await page.waitForTimeout(500);
  assert.equal(await heldRow(page).getAttribute("data-p"), "2000");
  assert.ok(await inView(page, "tr.held"));
  assert.ok(await inView(page, ".halo.held"));
});
