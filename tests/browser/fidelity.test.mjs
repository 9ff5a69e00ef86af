// What is on the screen is what the picture shows there. The viewer alone, with tiles that the fixture made; built.test.mjs checks the same
// for tiles that the program made.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { detailIsShown, markersAreInPlace, noLineShows } from "./fidelity.mjs";
import { DESKTOP, PHONE, bare, foreignSite, newPage, pixels, settledAfter, start } from "./harness.mjs";
import { psnr, standIn } from "./measures.mjs";
import { detailed, marked } from "./spheres.mjs";

let site;
before(async () => (site = await start()));
after(() => site?.stop());

test("a detailed picture is shown as a flat view of it, at least 36 dB", (t) => detailIsShown(t, site, 36));

test("markers lie within half a pixel of their directions, and all of them are seen", (t) => markersAreInPlace(t, site));

test("no line shows on a smooth picture: tile edges, face edges, ±180°, poles", (t) => noLineShows(t, site));

test("a marked picture is shown as exactly on a phone's screen with three device pixels for one", async (t) => {
  const { show, close } = await standIn(site, "kitchen", undefined, { viewport: { width: 320, height: 568 }, deviceScaleFactor: 3 });
  const view = { longitude: 40, elevation: 30, fieldOfView: 50 };
  const { decibels } = psnr(await show(view), marked, view);
  t.diagnostic(`${decibels.toFixed(2)} dB`);
  assert.ok(decibels >= 36, `${decibels} dB`);
  await close();
});

test("first light and coarser tiles stand in until the sharp ones stand", { skip: foreignSite && "needs the fixture's files" }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: DESKTOP });
  let letGo = () => {};
  const held = new Promise((done) => (letGo = done));
  await page.route(/\/(1296|648)\//, async (route) => {
    await held;
    await route.continue();
  });
  await page.goto(`${site.url}#room=hall&heading=92&elevation=0&fov=90`);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view !== null);
  await page.waitForTimeout(800);
  await bare(page);
  const soft = psnr(await pixels(page), detailed, { longitude: 0, elevation: 0, fieldOfView: 90 });
  assert.ok(soft.decibels > 18 && soft.decibels < 34, `soft: ${soft.decibels} dB`);
  await settledAfter(page, (walk, done) => done, letGo());
  const sharp = psnr(await pixels(page), detailed, { longitude: 0, elevation: 0, fieldOfView: 90 });
  assert.ok(sharp.decibels >= 36, `sharp: ${sharp.decibels} dB`);
  await close();
});

test("a phone in portrait shows the field of view that it says", async () => {
  const { show, page, close } = await standIn(site, "hall", undefined, { viewport: PHONE });
  const view = { longitude: 20, elevation: 10, fieldOfView: 45 };
  const shown = await show(view);
  assert.deepEqual([shown.width, shown.height], [390, 844]);
  const { decibels } = psnr(shown, detailed, view);
  assert.ok(decibels > 30, `${decibels} dB`);
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").view.fieldOfView), 45);
  await close();
});
