// The walk in a headset, on an emulated WebXR device: what each eye is shown, how doors and notes are chosen, and the way back to the page.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { eventsOf, foreignSite, newPage, open, start, viewOf } from "./harness.mjs";
import { EYE, eyes, filmOf, goIn, headsetButton, lightAt, openMore, pageWithHeadset, placeIn, point, press, quiet, record, rotations, takeOff, turn, turnHead, worn } from "./headset.mjs";
import { directionOf } from "../../static/sphere.js";
import { MARKERS, unit } from "./spheres.mjs";
import { close, standsIn } from "./ways.mjs";

let site;
before(async () => (site = await start()));
after(() => site?.stop());
const fixtureOnly = { skip: foreignSite && "needs the fixture's rooms" };

const loaded = (page) => page.evaluate(() => performance.getEntriesByType("resource").map(({ name }) => name).filter((name) => /immersive-.*\.js$/.test(name)));
const focused = (page) => page.evaluate(() => document.querySelector("enfilade-walk").shadowRoot.activeElement?.className);
const inside = (page) => page.evaluate(() => Boolean(window.headset.activeSession));
const lookOf = (page) => page.evaluate(() => {
  const { heading, elevation } = document.querySelector("enfilade-walk").view;
  return { heading, elevation };
});

/** The brightness of an eye's picture. */
const mean = ({ data }) => data.reduce((sum, value) => sum + value, 0) / data.length;

/** How many pixels of an eye have the colour of paper, within some degrees of a direction of the head. */
const paperAt = (shown, eye, direction, within) => {
  const place = placeIn(eye, direction);
  const reach = Math.round((within * Math.PI * EYE.width) / 180 / 1.9);
  let count = 0;
  for (let y = Math.max(Math.round(place.y) - reach, 0); y < Math.min(place.y + reach, EYE.height); y++) {
    for (let x = Math.max(Math.round(place.x) - reach, 0); x < Math.min(place.x + reach, EYE.width); x++) {
      const at = 3 * (y * EYE.width + x);
      if (shown.data[at] > 235 && shown.data[at + 1] > 228 && shown.data[at + 2] > 210) count += 1;
    }
  }
  return count;
};

test("without a headset nothing is offered, and nothing of it is loaded", async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, site.url);
  await openMore(page);
  await quiet(page);
  assert.equal(await headsetButton(page).count(), 0);
  assert.deepEqual(await loaded(page), []);
  await end();
});

test("a browser that forbids to ask for headsets offers none, and says nothing", async () => {
  const { page, close: end } = await newPage(site.browser);
  await page.addInitScript(() => {
    Object.defineProperty(navigator, "xr", { value: { isSessionSupported: () => Promise.reject(new DOMException("no", "SecurityError")) } });
  });
  await open(page, site.url);
  await openMore(page);
  await quiet(page);
  assert.equal(await headsetButton(page).count(), 0);
  await end();
});

test("the caution comes first, once; whoever declines stays on the page with the focus where it was", async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await open(page, site.url);
  await openMore(page);
  await headsetButton(page).waitFor();
  assert.deepEqual(await loaded(page), []);
  const caution = page.getByRole("dialog", { name: "Before you put the headset on" });
  for (const decline of [() => page.getByRole("button", { name: "Not now" }).click(), () => page.keyboard.press("Escape")]) {
    await headsetButton(page).focus();
    await page.keyboard.press("Enter");
    await caution.waitFor();
    assert.match(await caution.innerText(), /Sit down[^]*unwell[^]*maker's advice/);
    await decline();
    await caution.waitFor({ state: "detached" });
    assert.equal(await focused(page), "vr");
    assert.equal(await inside(page), false);
  }
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: "Go in" }).click();
  await worn(page);
  await takeOff(page);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.querySelector(".picture > canvas"));
  assert.equal(await focused(page), "vr");
  await page.keyboard.press("Enter");
  await worn(page);
  assert.equal(await caution.count(), 0);
  await end();
});

test("both eyes see every marker in its direction, however the head is turned", fixtureOnly, async (t) => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=kitchen&heading=310&elevation=-12&fov=70`);
  // The session's ahead is the page's heading of 310°; the picture's centre faces 300°.
  const ahead = 10;
  const [found, farthest] = [new Set(), { off: 0 }];
  for (const row of await rotations()) {
    await turnHead(page, row.quaternion);
    await quiet(page);
    await worn(page);
    const shown = await eyes(page);
    for (const eye of ["left", "right"]) {
      for (const { index, place } of visibleMarkers(row, eye, ahead)) {
        const light = lightAt(shown[eye], place, 70);
        const off = Math.hypot(light.x - place.x, light.y - place.y);
        assert.ok(light.sum > 300 && off < 1.2, `${eye} eye, heading ${row.heading} pitch ${row.pitch} roll ${row.roll}: marker ${index} is ${off} pixels off`);
        farthest.off = Math.max(farthest.off, off);
        found.add(`${eye} ${index}`);
      }
    }
  }
  t.diagnostic(`${found.size} markers, farthest ${farthest.off.toFixed(2)} pixels`);
  assert.ok(found.size > 36);
  await end();
});

/** The markers that an eye sees undisturbed, and where, by the table's matrix: the head's directions are its columns, in the axes right,
 * forward, up of a space whose forward is the picture's longitude `ahead`. */
const visibleMarkers = (row, eye, ahead) => {
  const number = (name) => Number(row[name]);
  const inHead = (longitude, latitude) => {
    const [east, up, north] = unit(longitude - ahead, latitude);
    const along = (i) => number(`r1${i}`) * east + number(`r2${i}`) * north + number(`r3${i}`) * up;
    return [along(1), along(3), along(2)];
  };
  // The kitchen's two doors and their names, and the dot in the middle of the view.
  const doors = [[284 - 300, -5], [20 - 300, -4]].map(([longitude, latitude]) => inHead(longitude, latitude));
  return MARKERS.flatMap(({ longitude, latitude }, index) => {
    const direction = inHead(longitude, latitude);
    const place = placeIn(eye, direction);
    const apart = (other) => (Math.acos(direction[0] * other[0] + direction[1] * other[1] + direction[2] * other[2]) * 180) / Math.PI;
    const disturbed = apart([0, 0, 1]) < 4 || doors.some((door) => apart(door) < 11);
    // Towards a window's corners a round marker is drawn out, and its light's middle with it.
    return place && direction[2] > 0.72 && !disturbed ? { index, place } : [];
  });
};

test("the tiles are those of an eye's own screen, and are not asked for twice", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  await goIn(page, `${site.url}#room=hall&heading=92&elevation=0&fov=60`);
  await quiet(page);
  await turnHead(page, turn(120, 10));
  await quiet(page);
  const tiles = asked.filter((address) => address.includes("/hall-") && /\d+\/[np][xyz]-/.test(address));
  assert.equal(new Set(tiles).size, tiles.length, "asked for twice");
  // 500 pixels for tangents of 1.9: 263 pixels away. Three quarters of a picture pixel for each is a face of at least 395.
  const after_ = tiles.slice(tiles.findIndex((address) => address.includes("/648/")));
  assert.ok(after_.length > 8 && after_.every((address) => /\/(648|324)\//.test(address)), after_.join("\n"));
  await end();
});

test("where the head looks is the page's view, told calmly, and so is how wide an eye sees; the page sees as wide as before", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=hall&heading=92&elevation=20&fov=60`);
  await worn(page);
  await page.waitForTimeout(150);
  const begun = await viewOf(page);
  assert.ok(close(begun.heading, 92) && Math.abs(begun.elevation) < 0.1, "level: a headset knows where up is");
  const before_ = (await eventsOf(page, "enfilade-view")).length;
  const began = Date.now();
  for (let i = 1; i <= 40; i++) await page.evaluate((q) => window.headset.quaternion.set(...q), turn(i, 5));
  await worn(page);
  await page.waitForTimeout(250);
  const told = (await eventsOf(page, "enfilade-view")).length - before_;
  assert.ok(told >= 1 && told <= Math.ceil((Date.now() - began) / 100) + 1, `${told} in ${Date.now() - began} ms`);
  const turned = await viewOf(page);
  assert.ok(close(turned.heading, 132) && Math.abs(turned.elevation - 5) < 0.1, JSON.stringify(turned));
  // Tangents of 1.1 and 0.8 to the sides: 47.726° and 38.660°.
  assert.ok(Math.abs(turned.fieldOfView - 86.386) < 0.01, `${turned.fieldOfView}`);
  await takeOff(page);
  await page.waitForFunction(() => Math.abs(document.querySelector("enfilade-walk").view.fieldOfView - 60) < 1e-6);
  assert.ok(close((await viewOf(page)).heading, 132));
  await end();
});

test("a controller's ray chooses a door: through a dim moment, into the next room, without being turned", fixtureOnly, async (t) => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=parlour&heading=30&elevation=0&fov=70`);
  await turnHead(page, turn(-40));
  await quiet(page);
  // The door to the hall lies at heading 0, elevation −5; in the hall one would look at 91 on the page.
  await point(page, turn(-30, -5));
  const before_ = await lookOf(page);
  assert.ok(close(before_.heading, 350), `heading ${before_.heading}`);
  await record(page);
  await press(page);
  await standsIn(page, { room: "hall", station: "hall" });
  await page.waitForTimeout(600);
  await worn(page, 10);
  const film = await filmOf(page);
  const entered = film.findIndex(({ room }) => room === "hall");
  const brightness = film.map((frame) => frame.brightness);
  const bright = brightness[0];
  // The ground is 0.13, 0.12, 0.11: 30.6 of 255 on average. It covers all when the rooms change, and nothing is ever darker.
  assert.ok(Math.abs(brightness[entered] - 30.6) < 1.5, `${brightness[entered]} between the rooms`);
  assert.ok(Math.min(...brightness) > 29, "dim, not black");
  const began = film.findLast(({ time }, i) => time < film[entered].time && brightness[i] > 0.98 * bright).time;
  const cleared = film[brightness.findIndex((value, i) => i > entered && value > 0.97 * brightness.at(-1))].time;
  t.diagnostic(`dims in ${film[entered].time - began} ms, clears in ${cleared - film[entered].time} ms, ${film.length} frames`);
  // Frames are slow here, and each may add its own length.
  const slowest = Math.max(...film.slice(1).map(({ time }, i) => time - film[i].time));
  assert.ok(film[entered].time - began > 120 && film[entered].time - began < 220 + 3 * slowest);
  assert.ok(cleared - film[entered].time > 120 && cleared - film[entered].time < 270 + 3 * slowest);
  for (let i = entered + 1; i < film.length; i++) assert.ok(brightness[i] >= brightness[i - 1] - 1, "it clears without flicker");
  assert.deepEqual((await lookOf(page)).heading.toFixed(2), before_.heading.toFixed(2), "the same compass heading");
  assert.match(page.url(), /room=hall/);
  await end();
});

test("doors in almost one direction hang apart: each is seen, and each is chosen", fixtureOnly, async () => {
  for (const [latitude, room] of [[-3, "kitchen"], [6, "parlour"]]) {
    const { page, close: end } = await pageWithHeadset(site.browser);
    const walk = structuredClone(site.walk);
    // One degree beside the door to the kitchen, which comes first in the file and keeps its place at 104, −3; nothing else is near.
    const [kitchen, parlour] = walk.rooms[0].stations[0].hotspots;
    Object.assign(parlour, { heading: 105, elevation: -3 });
    walk.rooms[0].stations[0].hotspots = [kitchen, parlour];
    await page.route("**/walk.json", (route) => route.fulfill({ json: walk }));
    // Not looked at, or the look would choose.
    await goIn(page, `${site.url}#room=hall&heading=84&elevation=0&fov=70`);
    await quiet(page);
    const { left } = await eyes(page);
    const lifted = paperAt(left, "left", directionOf(21, 5), 1.5);
    assert.ok(lifted > 20, `${lifted} pixels of paper where the second mark hangs`);
    await point(page, turn(latitude > 0 ? 21 : 20, latitude));
    await press(page);
    await standsIn(page, { room, station: room });
    await end();
  }
});

test("a ray that points beside every mark chooses nothing", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=parlour&heading=0&elevation=0&fov=70`);
  await point(page, turn(7, -5));
  await press(page);
  await worn(page, 20);
  assert.equal((await viewOf(page)).room, "parlour");
  await end();
});

test("between pictures whose headings nobody knows, the door one came through becomes the way one goes on", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  // From the barn, which has no heading, the kitchen's door lies at 200, and one arrives there looking at 200.
  await goIn(page, `${site.url}#room=barn&station=door-end&heading=170&elevation=0&fov=70`);
  await turnHead(page, turn(25));
  await point(page, turn(30, -2));
  await press(page);
  await standsIn(page, { room: "kitchen", station: "kitchen" });
  await worn(page, 30);
  const { heading } = await lookOf(page);
  assert.ok(close(heading, 195), `5° left of the door's direction, as before: ${heading}`);
  await end();
});

test("without a controller a look that stays on a door goes through it; the ring fills meanwhile", fixtureOnly, async (t) => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=parlour&heading=0&elevation=0&fov=70`);
  await turnHead(page, turn(20));
  await quiet(page);
  await record(page);
  await page.evaluate((q) => window.headset.quaternion.set(...q), turn(3.5, -3));
  await standsIn(page, { room: "hall", station: "hall" });
  const film = (await filmOf(page)).filter(({ room }) => room === "parlour");
  const ring = film.map(({ amber }) => amber);
  // The mark is lit first, and the ring begins a frame later; the pixels of the mark that it covers stay the same.
  const begun = ring.findIndex((amber) => amber > 0) + 1;
  const full = ring.indexOf(Math.max(...ring.slice(begun)), begun);
  t.diagnostic(`amber pixels from frame to frame: ${ring.join(" ")}`);
  assert.ok(ring[full] > ring[begun] + 10, "it fills");
  for (let i = begun + 1; i <= full; i++) assert.ok(ring[i] >= ring[i - 1], "and never empties");
  assert.ok(film[full].time - film[begun].time > 900, "a glance is not enough");
  // The door back lies where one looks now, and must not be gone through for that.
  await turnHead(page, turn(91.5, -3));
  await end();
});

test("a look on a door does nothing while a controller is held", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=parlour&heading=0&elevation=0&fov=70`);
  await point(page, turn(90, 0));
  await turnHead(page, turn(0, -5));
  await page.waitForTimeout(2500);
  await worn(page);
  assert.equal((await viewOf(page)).room, "parlour");
  await end();
});

test("behind the headset's own menu nothing is chosen, and a click on the page starts no second visit", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=parlour&heading=0&elevation=0&fov=70`);
  await page.evaluate(() => window.headset.updateVisibilityState("visible-blurred"));
  await turnHead(page, turn(20));
  await turnHead(page, turn(0, -5));
  await page.evaluate(() => document.querySelector("enfilade-walk").shadowRoot.querySelector(".vr").click());
  await page.waitForTimeout(2500);
  await worn(page);
  assert.equal((await viewOf(page)).room, "parlour");
  assert.equal(await page.getByRole("status").innerText(), "");
  await page.evaluate(() => window.headset.updateVisibilityState("visible"));
  await standsIn(page, { room: "hall", station: "hall" });
  await end();
});

test("a script leads to another room, and Back leads back, while the headset is on", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=parlour&heading=30&elevation=0&fov=70`);
  await turnHead(page, turn(20));
  await record(page);
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").goTo("kitchen")), true);
  await worn(page, 5);
  assert.ok(close((await lookOf(page)).heading, 50), "the same compass heading, not the kitchen's opening");
  await page.goBack();
  await standsIn(page, { room: "parlour", station: "parlour" });
  const film = await filmOf(page);
  assert.ok(film.filter(({ brightness }) => brightness < 32).length >= 2, "both through the dim moment");
  await end();
});

test("a note opens where it can be read, and the next choice closes it, whatever it points at", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=hall&heading=80&elevation=0&fov=70`);
  await quiet(page);
  await point(page, turn(0, 8));
  const sheet = async () => paperAt((await eyes(page)).left, "left", unit(0, 8), 12);
  const before_ = await sheet();
  await press(page);
  await quiet(page);
  await worn(page);
  const opened = await sheet();
  assert.ok(opened > before_ + 2000, `${opened} pixels of paper, ${before_} before`);
  // The note has a brown picture.
  assert.ok(await page.evaluate(() => performance.getEntriesByType("resource").some(({ name }) => name.includes("notes/hoist"))));
  await point(page, turn(24, -3));
  await press(page);
  assert.ok((await sheet()) < before_ + 500, "closed");
  await worn(page, 10);
  assert.equal((await viewOf(page)).room, "hall");
  await end();
});

test("taken off, the page has its canvas, its frames, the head's last view and the focus again", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, `${site.url}#room=kitchen&heading=310&elevation=0&fov=60`);
  await turnHead(page, turn(-50, -20));
  await quiet(page);
  await page.evaluate(() => (window.seen.length = 0));
  await takeOff(page);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.querySelector(".picture > canvas"));
  const view = await viewOf(page);
  assert.ok(close(view.heading, 260) && Math.abs(view.elevation + 20) < 0.01 && Math.abs(view.fieldOfView - 60) < 1e-6, JSON.stringify(view));
  assert.equal(await focused(page), "vr");
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
  await quiet(page);
  const drawn = await page.evaluate(() => window.drawn);
  await page.waitForTimeout(600);
  assert.equal(await page.evaluate(() => window.drawn), drawn, "nothing is drawn at rest");
  await page.locator("enfilade-walk .picture").focus();
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((from) => document.querySelector("enfilade-walk").view.heading !== from, view.heading);
  await page.waitForFunction((count) => window.drawn > count, drawn);
  await page.getByRole("status").filter({ hasText: "Back on the page." }).waitFor({ state: "attached" });
  await end();
});

test("a headset that has lost its bearings draws nothing, and the page keeps its view", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await page.addInitScript(() => (window.XRFrame.prototype.getViewerPose = () => null));
  await goIn(page, `${site.url}#room=kitchen&heading=310&elevation=-7&fov=60`);
  await quiet(page);
  const drawn = await page.evaluate(() => window.drawn);
  await worn(page, 10);
  assert.equal(await page.evaluate(() => window.drawn), drawn);
  await takeOff(page);
  await page.waitForFunction((count) => window.drawn > count, drawn);
  const { heading, elevation } = await lookOf(page);
  assert.ok(close(heading, 310) && elevation === -7);
  await end();
});

test("a headset that does not start is said, and the page goes on", async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await open(page, site.url);
  const refuse = [
    () => (navigator.xr.requestSession = () => Promise.reject(new DOMException("no", "NotAllowedError"))),
    () => {
      delete navigator.xr.requestSession;
      WebGL2RenderingContext.prototype.makeXRCompatible = () => Promise.reject(new DOMException("no", "InvalidStateError"));
    },
    () => {
      WebGL2RenderingContext.prototype.makeXRCompatible = async () => {};
      window.XRWebGLLayer = class {
        constructor() {
          throw new DOMException("no", "OperationError");
        }
      };
    },
  ];
  for (const [i, how] of refuse.entries()) {
    await page.evaluate(`(${how})()`);
    await page.evaluate(() => (document.querySelector("enfilade-walk").shadowRoot.querySelector(".status").textContent = ""));
    if ((await headsetButton(page).count()) === 0) await openMore(page);
    await headsetButton(page).click();
    if (i === 0) await page.getByRole("button", { name: "Go in" }).click();
    await page.getByRole("status").filter({ hasText: "The headset did not start." }).waitFor();
    assert.equal(await inside(page), false);
    const { heading } = await viewOf(page);
    await page.locator("enfilade-walk .picture").focus();
    await page.keyboard.press("ArrowRight");
    await page.waitForFunction((from) => document.querySelector("enfilade-walk").view.heading !== from, heading);
  }
  await end();
});

test("a context lost in the headset ends the visit with a sentence; the page comes back by itself", async () => {
  // The emulator asks the lost context for its clear colour, and expects an answer.
  const { page, close: end } = await pageWithHeadset(site.browser, { expected: ["Cannot read properties of null (reading '0')"] });
  await goIn(page, site.url);
  await page.evaluate(() => {
    window.context = window.headset.appCanvas.getContext("webgl2").getExtension("WEBGL_lose_context");
    window.context.loseContext();
  });
  await page.getByRole("status").filter({ hasText: "The picture in the headset was lost." }).waitFor();
  assert.equal(await inside(page), false);
  await page.evaluate(() => {
    window.seen.length = 0;
    window.context.restoreContext();
  });
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
  await end();
});

test("a missing tile and a missing room are said in the room, and one stays where one is", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser, { expected: ["404"] });
  await page.route(/parlour-.*\/648\/pz-/, (route) => route.fulfill({ status: 404 }));
  await page.route(/stations\/hall-/, (route) => route.fulfill({ status: 404 }));
  await page.goto(`${site.url}#room=parlour&heading=0&elevation=0&fov=60`);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view);
  await openMore(page);
  await headsetButton(page).click();
  await page.getByRole("button", { name: "Go in" }).click();
  await worn(page);
  await page.getByRole("status").filter({ hasText: "Parts of this picture are missing" }).waitFor();
  await worn(page, 5);
  // A strip of 29° by 2°; the door behind it is dark.
  const paper = async () => paperAt((await eyes(page)).left, "left", unit(0, -20), 5);
  assert.ok((await paper()) > 150, "the sentence hangs in the room");
  await point(page, turn(0, -5));
  await press(page);
  await page.getByRole("status").filter({ hasText: "Entrance hall could not be loaded. You are still in Parlour." }).waitFor();
  await worn(page, 30);
  assert.ok((await paper()) > 150);
  assert.ok(mean((await eyes(page)).left) > 90, "nothing stays dim");
  assert.equal((await viewOf(page)).room, "parlour");
  await end();
});

test("on a connection that saves data no other room is fetched in the headset", fixtureOnly, async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await page.addInitScript(() => Object.defineProperty(navigator, "connection", { value: { saveData: true } }));
  const others = [];
  page.on("request", (request) => /stations\/(?!parlour)/.test(request.url()) && others.push(request.url()));
  await goIn(page, `${site.url}#room=parlour&heading=0&elevation=0&fov=60`);
  await quiet(page);
  await turnHead(page, turn(100));
  await quiet(page);
  assert.deepEqual(others, []);
  await end();
});

test("an element taken out of the page ends the visit", async () => {
  const { page, close: end } = await pageWithHeadset(site.browser);
  await goIn(page, site.url);
  await page.evaluate(() => document.querySelector("enfilade-walk").remove());
  await page.waitForFunction(() => !window.headset.activeSession);
  await end();
});
