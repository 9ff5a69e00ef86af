// Going through a door, frame by frame: what is on the canvas each time one has been drawn.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import sharp from "sharp";
import { foreignSite, newPage, open, start, viewOf } from "./harness.mjs";
import { close, standsIn } from "./ways.mjs";

let site, red;
before(async () => {
  site = await start();
  red = await sharp({ create: { width: 448, height: 448, channels: 3, background: { r: 200, g: 20, b: 20 } } }).jpeg().toBuffer();
});
after(() => site?.stop());

/** Small, so that software draws it quickly. */
const WINDOW = { width: 480, height: 300 };
const skip = foreignSite && "needs the fixture's rooms";

/** A page on which every frame drawn is noted: how much of it is red, how much nearly black, and where the red lies. */
const filmed = async ({ reducedMotion = "no-preference", viewport = WINDOW, parlour = "red" } = {}) => {
  const { page, close: end } = await newPage(site.browser, { viewport, reducedMotion });
  await page.addInitScript(() => {
    window.film = [];
    // In slow motion: drawn by software, a passage would be over after a frame or two.
    const now = performance.now.bind(performance);
    performance.now = () => now() / 10;
    const canvas = () => document.querySelector("enfilade-walk")?.shadowRoot?.querySelector("canvas");
    const look = () => {
      const gl = canvas().getContext("webgl2");
      const { width, height } = canvas();
      const bytes = new Uint8Array(4 * width * height);
      gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
      const seen = { red: 0, black: 0, left: width, right: 0, at: performance.now() };
      for (let i = 0; i < width * height; i++) {
        const [r, g, b] = bytes.subarray(4 * i, 4 * i + 3);
        if (Math.max(r, g, b) < 30) seen.black += 1;
        if (r < 170 || g > 60 || b > 60) continue;
        seen.red += 1;
        seen.left = Math.min(seen.left, i % width);
        seen.right = Math.max(seen.right, i % width);
      }
      for (const part of ["red", "black"]) seen[part] /= width * height;
      window.film.push(seen);
    };
    const ask = window.requestAnimationFrame;
    window.requestAnimationFrame = (draw) => ask((time) => {
      const before_ = window.drawn;
      draw(time);
      if (window.drawn > before_) look();
    });
  });
  if (parlour === "red") await page.route(/stations\/parlour-/, (route) => route.fulfill({ body: red, contentType: "image/jpeg" }));
  return { page, end };
};

const filmOf = async (page, go) => {
  await page.waitForLoadState("networkidle");
  await page.evaluate(() => (window.film.length = 0));
  await go();
  await standsIn(page, { room: "parlour", station: "parlour" });
  await page.waitForFunction(() => window.film.at(-1)?.red > 0.99);
  return page.evaluate(() => window.film);
};

test("the next room appears inside the doorway, which grows until one stands in it; no frame is black", { skip }, async () => {
  const { page, end } = await filmed();
  // The door lies at 271°: a third of the window to the right of where one looks.
  await open(page, `${site.url}#room=hall&heading=250&elevation=0&fov=80`);
  const mark = page.getByRole("button", { name: /Parlour/ });
  const film = await filmOf(page, () => mark.click());
  const passing = film.filter(({ red: part }) => part > 0.005 && part < 0.95);
  assert.ok(passing.length >= 4, `${passing.length} frames on the way: ${JSON.stringify(film)}`);
  for (const [i, frame] of passing.entries()) {
    assert.ok(frame.black < 0.02, `frame ${i}: ${frame.black} of it is black`);
    if (i > 0) assert.ok(frame.red >= passing[i - 1].red, "it only grows");
  }
  const { left, right } = passing[0];
  assert.ok(left > 120 && right - left < 330, `it begins inside the doorway: columns ${left} to ${right}`);
  assert.ok(film.every(({ black }) => black < 0.02));
  const view = await viewOf(page);
  assert.ok(close(view.heading, 271) && view.elevation === 0, "one looks the way one was going");
  await end();
});

test("with less motion asked for it is a plain cut", { skip }, async () => {
  const { page, end } = await filmed({ reducedMotion: "reduce" });
  await open(page, `${site.url}#room=hall&heading=250&elevation=0&fov=80`);
  const film = await filmOf(page, () => page.getByRole("button", { name: /Parlour/ }).click());
  assert.deepEqual(film.filter(({ red: part }) => part > 0.001 && part < 0.99), []);
  await end();
});

test("from anywhere else the next room comes softly, and without a black frame", { skip }, async () => {
  const { page, end } = await filmed();
  await open(page, `${site.url}#room=hall&heading=250&elevation=0&fov=80`);
  const film = await filmOf(page, () => page.evaluate(() => void document.querySelector("enfilade-walk").goTo("parlour")));
  assert.ok(film.every(({ black }) => black < 0.02), JSON.stringify(film));
  await end();
});

test("a step within a room glides, and no frame of it is black", { skip }, async () => {
  const { page, end } = await filmed({ parlour: "as it is" });
  await open(page, `${site.url}#room=barn&station=hearth&heading=40&elevation=-20&fov=80`);
  await page.waitForLoadState("networkidle");
  await page.evaluate(() => (window.film.length = 0));
  await page.locator("enfilade-walk .mark.step").click();
  await standsIn(page, { room: "barn", station: "door-end" });
  await page.waitForTimeout(5000);
  const film = await page.evaluate(() => window.film);
  assert.ok(film.length >= 4, `${film.length} frames`);
  // The fixture's first light of this station is black: it may show only where nothing finer stands.
  assert.ok(film.every(({ black }) => black < 0.02), JSON.stringify(film));
  await end();
});

test("a second click of an impatient hand opens nothing in the next room", { skip }, async () => {
  const { page, end } = await filmed();
  await open(page, `${site.url}#room=hall&heading=271&elevation=-4&fov=80`);
  await page.waitForLoadState("networkidle");
  await page.getByRole("button", { name: /Parlour/ }).click();
  await standsIn(page, { room: "parlour", station: "parlour" });
  await page.evaluate(() => {
    const marks = document.querySelector("enfilade-walk").shadowRoot.querySelectorAll(".mark.door");
    for (const mark of marks) mark.click();
  });
  await page.waitForTimeout(1000);
  assert.equal((await viewOf(page)).room, "parlour");
  await end();
});

test("a hand that takes hold on the way turns the view, and the passage ends where it turned to", { skip }, async () => {
  const { page, end } = await filmed();
  await open(page, `${site.url}#room=hall&heading=271&elevation=-4&fov=80`);
  await page.waitForLoadState("networkidle");
  await page.getByRole("button", { name: /Parlour/ }).click();
  await standsIn(page, { room: "parlour", station: "parlour" });
  await page.evaluate(() => document.querySelector("enfilade-walk").look({ heading: 300 }));
  await page.waitForFunction(() => window.film.at(-1)?.red > 0.99);
  assert.ok(close((await viewOf(page)).heading, 300));
  await end();
});
