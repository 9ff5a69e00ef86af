// A picture made anew while one stands in it, as the preview swaps it in: another folder for the same station in a new walk.json.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import sharp from "sharp";
import { foreignSite, newPage, open, start, viewOf } from "./harness.mjs";
import { close } from "./ways.mjs";

let site, red, green;
const skip = foreignSite && "needs the fixture's rooms";
const plain = (r, g, b) => sharp({ create: { width: 448, height: 448, channels: 3, background: { r, g, b } } }).jpeg().toBuffer();
before(async () => {
  site = await start();
  [red, green] = await Promise.all([plain(200, 20, 20), plain(20, 180, 20)]);
});
after(() => site?.stop());

const NEW = "hall-fedcba9876543210";

/** Stands in the hall, whose picture is then made anew: its tiles red and each of them later than the one before, its first light green. Notes for
 * every frame drawn how much of it is red, and how much green. `lacking`: a tile that never comes. */
const renewed = async ({ lacking = null, reducedMotion = "no-preference" } = {}) => {
  const { page, close: end } = await newPage(site.browser, { viewport: { width: 640, height: 400 }, reducedMotion });
  const walk = structuredClone(site.walk);
  walk.rooms[0].stations[0].folder = `stations/${NEW}`;
  await page.route("**/walk.json?*", (route) => route.fulfill({ json: walk }));
  const tiles = [];
  await page.route(`**/stations/${NEW}/**`, async (route) => {
    const path = new URL(route.request().url()).pathname;
    if (path.endsWith("first-light.jpg")) return route.fulfill({ body: green, contentType: "image/jpeg" });
    tiles.push(path);
    if (lacking?.test(path)) return;
    await new Promise((late) => setTimeout(late, 60 * tiles.length));
    await route.fulfill({ body: red, contentType: "image/jpeg" });
  });
  await page.addInitScript(() => {
    window.film = [];
    const ask = window.requestAnimationFrame;
    window.requestAnimationFrame = (draw) => ask((time) => {
      const before_ = window.drawn;
      draw(time);
      if (window.drawn === before_) return;
      const canvas = document.querySelector("enfilade-walk").shadowRoot.querySelector("canvas");
      const { width, height } = canvas;
      const bytes = new Uint8Array(4 * width * height);
      canvas.getContext("webgl2").readPixels(0, 0, width, height, 6408, 5121, bytes);
      const seen = { red: 0, green: 0 };
      for (let i = 0; i < bytes.length; i += 4) {
        const [r, g, b] = bytes.subarray(i, i + 3);
        if (r > 170 && g < 60 && b < 60) seen.red += 1;
        if (r < 60 && g > 150 && b < 60) seen.green += 1;
      }
      window.film.push({ red: seen.red / width / height, green: seen.green / width / height });
    });
  });
  await open(page, `${site.url}#room=hall&heading=92&elevation=-3&fov=75`);
  await page.waitForLoadState("networkidle");
  await page.evaluate(() => {
    window.film.length = window.seen.length = 0;
    // The preview's own script does so.
    document.querySelector("enfilade-walk").setAttribute("src", "walk.json?2");
  });
  return { page, end, tiles };
};

const filmUntil = async (page, part) => {
  await page.waitForFunction((least) => window.film.at(-1)?.red > least, part);
  return page.evaluate(() => window.film);
};

for (const reducedMotion of ["no-preference", "reduce"]) {
  test(`a picture made anew takes its station's place sharp, at once and in the same view (motion: ${reducedMotion})`, { skip }, async () => {
    const { page, end, tiles } = await renewed({ reducedMotion });
    const former = await viewOf(page);
    const film = await filmUntil(page, 0.99);
    assert.deepEqual(film.filter((frame) => frame.green > 0 || (frame.red > 0.001 && frame.red < 0.99)), [], "no frame is soft, or half and half");
    assert.ok(tiles.length >= 4, `${tiles.length} tiles came one after the other`);
    assert.deepEqual(await viewOf(page), former);
    await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
    assert.equal(await page.evaluate(() => window.seen.filter(({ name }) => name === "enfilade-room").length), 0, "nobody has gone anywhere");
    await end();
  });
}

test("who looks elsewhere while it comes goes on looking there, and nothing is said of a room that opens", { skip }, async () => {
  const { page, end } = await renewed();
  await page.evaluate(() => document.querySelector("enfilade-walk").look({ heading: 130 }));
  const film = await filmUntil(page, 0.99);
  assert.ok(film.every(({ green: part }) => part === 0), JSON.stringify(film));
  assert.ok(close((await viewOf(page)).heading, 130));
  assert.equal(await page.locator("enfilade-walk .status").textContent(), "");
  await end();
});

test("a tile that does not come holds the new picture up for two seconds, no longer", { skip }, async () => {
  const { page, end } = await renewed({ lacking: /pz-r0-c0|px-r0-c0|pz-r1-c1/ });
  const began = Date.now();
  await page.waitForFunction(() => window.film.at(-1)?.green > 0.001, null, { timeout: 20_000 });
  assert.ok(Date.now() - began > 1500, "what is there is used then, and not before");
  await end();
});

test("a new walk with the same picture is taken in without a wait", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser);
  const walk = structuredClone(site.walk);
  walk.rooms[0].title = "Hall";
  await page.route("**/walk.json?*", (route) => route.fulfill({ json: walk }));
  await open(page, `${site.url}#room=hall`);
  const former = await viewOf(page);
  await page.evaluate(() => document.querySelector("enfilade-walk").setAttribute("src", "walk.json?2"));
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.querySelector(".room").textContent === "Hall");
  assert.deepEqual(await viewOf(page), former);
  await end();
});
