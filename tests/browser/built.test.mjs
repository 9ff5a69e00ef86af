// The site that the program builds, in a browser: the pictures on the screen against the formulas of the spheres that were its shots, the
// page without script and from disk, what is asked for, and the way through every door.

import assert from "node:assert/strict";
import { readFile, readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";
import { chooseLevel } from "../../static/tile.js";
import { detailIsShown, markersAreInPlace, noLineShows } from "./fidelity.mjs";
import { DESKTOP, PHONE, eventsOf, launch, newPage, open, siteIn, viewOf } from "./harness.mjs";
import { VIEWS, compare, flatView, psnr, standIn, stationOf } from "./measures.mjs";
import { build, temporaryFolder } from "./program.mjs";
import { description, writeDescription, writeShots } from "./shots.mjs";
import { detailed } from "./spheres.mjs";
import { tileSphere } from "./tile-sphere.mjs";
import { byClick, byKeys, wander, waysOf } from "./ways.mjs";

let [tour, browser, full, usual] = [];
before(async () => {
  tour = await temporaryFolder();
  const [fullFolder, usualFolder] = [join(tour.folder, "full"), join(tour.folder, "usual")];
  await writeShots(tour.folder, { quality: 95, "full-colour": true });
  assert.deepEqual((await build(tour.folder, fullFolder)).problems, []);
  await writeDescription(tour.folder, description());
  await build(tour.folder, usualFolder);
  browser = await launch();
  [full, usual] = [await siteIn(fullFolder, browser), await siteIn(usualFolder, browser)];
  usual.folder = usualFolder;
});
after(async () => {
  await browser?.close();
  for (const one of [full, usual]) await one?.stop();
  await tour?.remove();
});

test("at quality 95 in full colour, a detailed picture is shown as a flat view of it, at least 36 dB", (t) => detailIsShown(t, full, 36));

test("markers lie within half a pixel of their directions, and all of them are seen", (t) => markersAreInPlace(t, full));

test("at the default quality, no line shows on a smooth picture", (t) => noLineShows(t, usual));

test("at the default quality, the screen is within 1 dB of the same files decoded and sampled outside the browser", async (t) => {
  const { show, close } = await standIn(usual, "hall");
  const station = stationOf(usual, "hall");
  for (const view of VIEWS) {
    const shown = await show(view);
    // The level is the viewer's own choice; whether it is fine enough, the test at quality 95 says.
    const level = station.levels[chooseLevel(station.levels, view, shown)];
    const outside = await tileSphere(join(usual.folder, station.folder), level, usual.walk.tileBorderPx);
    const [browserIs, filesAre] = [psnr(shown, detailed, view), compare(flatView(outside, view, shown), flatView(detailed, view, shown), shown)];
    t.diagnostic(`${JSON.stringify(view)}: ${browserIs.decibels.toFixed(2)} dB, outside ${filesAre.decibels.toFixed(2)} dB`);
    assert.ok(Math.abs(browserIs.decibels - filesAre.decibels) <= 1, `${JSON.stringify(view)}: ${browserIs.decibels} dB, outside ${filesAre.decibels} dB`);
  }
  await close();
});

/** Worked out by hand from the headings of the pictures and the places of the doors in them: through a door between two rooms of known
 * heading on one floor one looks on in the direction of travel, else away from the way back. The barn lies on a floor of its own. */
const ARRIVALS = {
  "hall kitchen": 104, "hall parlour": 271, "kitchen hall": 284, "kitchen door-end": 20, "parlour hall": 0,
  "parlour hearth": 70, "door-end kitchen": 200, "door-end hearth": 220, "hearth parlour": 242, "hearth door-end": 140,
};

test("the walk says where one looks on arriving, as worked out by hand", () => {
  const said = waysOf(usual.walk).map(({ station, hotspot }) => [`${station.id} ${hotspot.to.station}`, hotspot.arriveHeading]);
  assert.deepEqual(Object.fromEntries(said), ARRIVALS);
});

for (const [name, through, viewport] of [["by click", byClick, DESKTOP], ["by keyboard", byKeys, DESKTOP], ["by click on a phone", byClick, PHONE]]) {
  test(`from a fresh page, every room is reached through its doors ${name}`, async () => {
    const { page, close } = await newPage(browser, { viewport });
    await open(page, usual.url);
    assert.equal((await viewOf(page)).room, "hall");
    assert.deepEqual(await wander(page, usual.walk, through), []);
    const entered = new Set((await eventsOf(page, "enfilade-room")).map(({ detail }) => `${detail.room} ${detail.station}`));
    assert.deepEqual([...entered].sort(), ["barn door-end", "barn hearth", "hall hall", "kitchen kitchen", "parlour parlour"]);
    await close();
  });
}

test("first light is asked for before anything else, and the coarsest tiles before the sharp ones", async () => {
  const { page, close } = await newPage(browser);
  const asked = [];
  page.on("request", (request) => request.url().startsWith("http") && asked.push(new URL(request.url()).pathname));
  await open(page, `${usual.url}#room=hall&heading=92&elevation=0&fov=90`);
  assert.deepEqual(asked.slice(0, 2), ["/", `/${stationOf(usual, "hall").folder}/first-light.jpg`]);
  assert.equal(asked.filter((path) => path.endsWith("first-light.jpg") && path.includes("/hall-")).length, 1, "it is asked for once");
  const { size } = await stat(join(usual.folder, stationOf(usual, "hall").folder, "first-light.jpg"));
  assert.ok(size <= 20 * 1024, `${size} bytes`);
  const pictures = asked.filter((path) => path.startsWith(`/${stationOf(usual, "hall").folder}/`)).map((path) => path.split("/").slice(3));
  assert.deepEqual(pictures[0], ["first-light.jpg"]);
  const levels = [...new Set(pictures.slice(1).map(([level]) => level))];
  assert.deepEqual(levels, ["324", "1296"]);
  await close();
});

test("while the script is on its way, no picture of the plain page is fetched; if it does not come, they are", async () => {
  const { page, close } = await newPage(browser, { expected: ["ERR_FAILED"] });
  const stills = [];
  page.on("request", (request) => request.url().includes("/stills/") && stills.push(request.url()));
  let go;
  const held = new Promise((let_go) => (go = let_go));
  await page.route("**/enfilade-walk.js", (route) => held.then(() => route.continue()));
  await page.goto(usual.url, { waitUntil: "commit" });
  await page.locator("h1").waitFor({ state: "attached" });
  await page.waitForTimeout(1500);
  assert.deepEqual(stills, []);
  go();
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-ready"));
  assert.deepEqual(stills, []);
  await page.unroute("**/enfilade-walk.js");
  await page.route("**/enfilade-walk.js", (route) => route.abort());
  await page.goto(`${usual.url}?again`, { waitUntil: "commit" });
  await page.waitForFunction(() => document.querySelector(".plain img")?.naturalWidth > 300, undefined, { timeout: 15_000 });
  assert.ok(stills.length > 0);
  await close();
});

test("scripts and styles that are loaded before anybody asks for more are at most 29.7 KB compressed", async (t) => {
  const viewer = join(usual.folder, (await readdir(usual.folder)).find((name) => name.startsWith("viewer-")));
  const { page, close } = await newPage(browser);
  const asked = new Set();
  page.on("request", (request) => asked.add(request.url()));
  await open(page, usual.url);
  await close();
  const files = [...asked].filter((url) => /\.(js|css)$/.test(url)).map((url) => url.split("/").pop());
  const sizes = await Promise.all(files.map(async (name) => gzipSync(await readFile(join(viewer, name))).length));
  const bytes = sizes.reduce((sum, size) => sum + size);
  t.diagnostic(`${bytes} bytes in ${files.length} files`);
  assert.deepEqual(files.filter((name) => name.includes("words-")), ["words-en.js"], "the page's language, and no other");
  assert.ok(files.length > 20 && bytes <= 29.7 * 1024, `${bytes} bytes`);
  // The other languages load their words in the place of these.
  const weight = async (language) => gzipSync(await readFile(join(viewer, `words-${language}.js`))).length;
  const own = await weight("en");
  for (const language of ["de", "es", "fr"]) {
    const others = bytes - own + (await weight(language));
    assert.ok(others <= 29.7 * 1024, `${others} bytes in ${language}`);
  }
});

test("the page's policy keeps out what the page does not need", async () => {
  const { page, close } = await newPage(browser, { expected: ["Content Security Policy", "Failed to load resource", "not-this-site.test"] });
  await open(page, usual.url);
  const refused = await page.evaluate(async () => {
    const directives = new Set();
    document.addEventListener("securitypolicyviolation", (event) => directives.add(event.effectiveDirective));
    const script = document.createElement("script");
    script.textContent = "window.ran = true";
    const picture = new Image();
    picture.src = "http://not-this-site.test/picture.jpg";
    const base = document.createElement("base");
    base.href = "http://not-this-site.test/";
    document.head.append(script, base);
    document.body.append(picture);
    document.body.setAttribute("style", "color: red");
    await fetch("http://not-this-site.test/").catch(() => {});
    await new Promise((later) => setTimeout(later, 100));
    return { directives: [...directives].sort(), ran: window.ran ?? false };
  });
  assert.deepEqual(refused, { directives: ["base-uri", "connect-src", "img-src", "script-src-elem", "style-src-attr"], ran: false });
  await close();
});

/** Every picture of the page, once it is loaded: its alternative and how wide it is. */
const pictures = async (page) => {
  for (const picture of await page.locator("img").all()) await picture.scrollIntoViewIfNeeded();
  return page.locator("img").evaluateAll((all) =>
    Promise.all(all.map(async (picture) => {
      await picture.decode();
      return { alternative: picture.alt, width: picture.naturalWidth };
    })),
  );
};

test("without script the page shows title, rooms, stills and notes", async () => {
  const { page, close } = await newPage(browser, { javaScriptEnabled: false, viewport: PHONE });
  await page.goto(usual.url);
  assert.equal(await page.title(), "Larkmere Mill");
  assert.ok(await page.getByRole("heading", { name: "Larkmere Mill", level: 1 }).isVisible());
  assert.deepEqual(await page.getByRole("heading", { level: 3 }).allInnerTexts(), ["Entrance hall", "Kitchen", "Parlour", "Great barn"]);
  assert.ok(await page.getByText("It lifted flour to the upper floor.").isVisible());
  assert.ok(await page.getByText("The walls were plastered anew in 2019.").isVisible());
  assert.ok(await page.locator(".from-disk").isVisible());
  const shown = await pictures(page);
  assert.equal(shown.length, 6, "five stills and the note's picture");
  for (const { alternative, width } of shown) assert.ok(alternative !== "" && width > 300, `${alternative}: ${width} pixels wide`);
  assert.ok(shown.some(({ alternative }) => alternative === "A wooden wheel with a chain"));
  // Each way out is a link to the room it leads to.
  await page.getByRole("link", { name: "Parlour" }).first().click();
  assert.ok(await page.locator(":target").getByRole("heading", { name: "Parlour" }).isVisible());
  await close();
});

test("with script the sentence for pages from disk is gone, and the plain page hidden", async () => {
  const { page, close } = await newPage(browser);
  await open(page, usual.url);
  assert.equal(await page.locator(".from-disk").count(), 0);
  assert.equal(await page.getByRole("heading", { name: "Parlour" }).isVisible(), false);
  await close();
});

test("opened from disk, the page says what to do and shows its stills", async () => {
  const { page, close } = await newPage(browser, { expected: ["blocked by CORS policy", "net::ERR_FAILED"] });
  await page.goto(pathToFileURL(join(usual.folder, "index.html")).href);
  const sentence = page.locator(".from-disk");
  await page.waitForFunction(() => getComputedStyle(document.querySelector(".from-disk")).visibility === "visible");
  assert.match(await sentence.innerText(), /put this folder on any web host/);
  assert.ok((await pictures(page)).every(({ width }) => width > 300));
  await close();
});

test("the page names no other site", async () => {
  const page = await readFile(join(usual.folder, "index.html"), "utf8");
  assert.deepEqual(page.match(/\b(https?:)?\/\/[^\s"'<]+/g), null);
});
