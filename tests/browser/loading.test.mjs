// What is loaded, when, and what happens on networks, devices and walks that make it hard.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import sharp from "sharp";
import { PHONE, foreignSite, look, newPage, open, settledAfter, start, viewOf } from "./harness.mjs";
import { levelsOf } from "./fixture.mjs";
import { standsIn } from "./ways.mjs";

let site, grey;
before(async () => {
  site = await start();
  grey = await sharp({ create: { width: 448, height: 448, channels: 3, background: "#998877" } }).jpeg().toBuffer();
});
after(() => site?.stop());

const skip = foreignSite && "needs the fixture's rooms";
const SMALL = { width: 480, height: 300 };
const HALL = "#room=hall&heading=92&elevation=0&fov=90";

/** Every picture that a page asks for, as `room LEVEL/FILE`. */
const asked = (page) => {
  const list = [];
  page.on("request", (request) => {
    const found = /stations\/([\w-]+)-[0-9a-f]{16}\/(.*)$/.exec(new URL(request.url()).pathname);
    if (found) list.push(`${found[1]} ${found[2]}`);
  });
  return list;
};
const until = async (what, holds) => {
  for (let tries = 0; tries < 300; tries++) {
    if (await holds()) return;
    await new Promise((later) => setTimeout(later, 100));
  }
  assert.fail(`${what} did not come`);
};

test("the rooms behind the doors come when there is nothing else to do: first light and the coarsest level", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  const list = asked(page);
  await open(page, site.url + HALL);
  const ahead = () => list.filter((one) => /^(kitchen|parlour) /.test(one));
  await until("what lies ahead", () => ahead().length === 14);
  assert.deepEqual(list.slice(-14), ahead(), "nothing of them before the view is sharp");
  const faces = ["px", "nx", "py", "ny", "pz", "nz"].map((face) => `324/${face}-r0-c0.jpg`);
  const wanted = ["kitchen", "parlour"].flatMap((room) => [...faces, "first-light.jpg"].map((file) => `${room} ${file}`));
  assert.deepEqual(ahead().sort(), wanted.sort());
  await close();
});

test("on a connection that saves data nothing is fetched ahead, even of what is pointed at", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  await page.addInitScript(() => Object.defineProperty(navigator, "connection", { value: { saveData: true } }));
  const list = asked(page);
  await open(page, site.url + HALL);
  await page.getByRole("button", { name: /Kitchen/ }).hover();
  await page.waitForTimeout(800);
  assert.deepEqual(list.filter((one) => !one.startsWith("hall ")), []);
  await close();
});

for (const [how, point] of [["pointed at", (mark) => mark.hover()], ["focused", (mark) => mark.focus()]]) {
  test(`the room whose door is ${how} is loaded at once, for the view on arriving, before other rooms`, { skip }, async () => {
    const { page, close } = await newPage(site.browser, { viewport: SMALL });
    // The hall never gets sharp: what comes of other rooms comes because of the pointing.
    await page.route(/hall-.*\/(648|1296)\//, () => {});
    const list = asked(page);
    await page.goto(site.url + HALL);
    await page.waitForFunction(() => document.querySelector("enfilade-walk").view);
    const others = () => list.filter((one) => !one.startsWith("hall "));
    assert.deepEqual(others(), []);
    await point(page.getByRole("button", { name: /Kitchen/ }));
    await until("the kitchen", () => others().length > 2);
    assert.equal(others()[0], "kitchen first-light.jpg");
    assert.ok(others().every((one) => one.startsWith("kitchen ")), String(others()));
    await close();
  });
}

test("what is no longer wanted is cancelled", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  const cancelled = [];
  page.on("requestfailed", (request) => cancelled.push(request.failure().errorText));
  await page.route(/hall-.*\/(648|1296)\//, () => {});
  await page.goto(site.url + HALL);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view);
  await page.waitForTimeout(500);
  await page.unrouteAll();
  await look(page, { heading: 272 });
  assert.ok(cancelled.length > 0 && cancelled.every((text) => text.includes("ERR_ABORTED")), String(cancelled));
  await close();
});

test("pictures are decoded beside the page's own thread, which goes on turning meanwhile", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  await open(page, site.url);
  const noise = Buffer.alloc(6000 * 4000 * 3, 0).map((_, i) => (i * 2654435761) >>> 24);
  const large = await sharp(noise, { raw: { width: 6000, height: 4000, channels: 3 } }).jpeg({ quality: 95 }).toBuffer();
  await page.route("**/large.jpg", (route) => route.fulfill({ body: large, contentType: "image/jpeg" }));
  const { longest, whole, turns } = await page.evaluate(async () => {
    const { fetchPicture } = await import(new URL("viewer-test/tile-queue.js", location.href).href);
    // Once, so that it comes from the cache and what is measured is the decoding.
    (await fetchPicture("large.jpg", new AbortController().signal)).close();
    const seen = { longest: 0, turns: 0, last: performance.now(), over: false };
    const turn = new MessageChannel();
    turn.port1.onmessage = () => {
      const now = performance.now();
      seen.longest = Math.max(seen.longest, now - seen.last);
      Object.assign(seen, { last: now, turns: seen.turns + 1 });
      if (!seen.over) turn.port2.postMessage(null);
    };
    turn.port2.postMessage(null);
    const began = performance.now();
    await fetchPicture("large.jpg", new AbortController().signal);
    seen.over = true;
    return { longest: seen.longest, whole: performance.now() - began, turns: seen.turns };
  });
  assert.ok(turns > 20 && longest < whole / 2, `${turns} turns, the longest ${longest} ms, of ${whole} ms`);
  await close();
});

test("no frame uploads more than four pictures", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  await page.addInitScript(() => {
    window.uploads = [];
    const upload = WebGL2RenderingContext.prototype.texImage2D;
    WebGL2RenderingContext.prototype.texImage2D = function (...how) {
      window.uploads[window.uploads.length - 1] += 1;
      return upload.apply(this, how);
    };
    const ask = window.requestAnimationFrame;
    window.requestAnimationFrame = (draw) => ask((time) => {
      window.uploads.push(0);
      draw(time);
    });
  });
  await open(page, site.url + HALL);
  await until("what lies ahead", () => page.evaluate(() => window.uploads.reduce((sum, one) => sum + one, 0) > 16));
  assert.ok((await page.evaluate(() => Math.max(...window.uploads))) <= 4);
  await close();
});

/** Counts what the card holds, in bytes, and the most it ever held. */
const counting = (page) =>
  page.addInitScript(() => {
    window.card = { bytes: 0, most: 0, freed: 0 };
    const sizes = new Map();
    const { texImage2D, bindTexture, deleteTexture } = WebGL2RenderingContext.prototype;
    let bound = null;
    Object.assign(WebGL2RenderingContext.prototype, {
      bindTexture(target, texture) {
        bound = texture;
        return bindTexture.call(this, target, texture);
      },
      texImage2D(...how) {
        const { width, height } = how.at(-1);
        sizes.set(bound, 4 * width * height);
        window.card.bytes += 4 * width * height;
        window.card.most = Math.max(window.card.most, window.card.bytes);
        return texImage2D.apply(this, how);
      },
      deleteTexture(texture) {
        window.card.bytes -= sizes.get(texture) ?? 0;
        window.card.freed += sizes.delete(texture) ? 1 : 0;
        return deleteTexture.call(this, texture);
      },
    });
  });

/** A walk of one picture 16384 pixels wide. */
const largeWalk = () => {
  const walk = structuredClone(site.walk);
  walk.rooms = walk.rooms.filter(({ id }) => id === "hall");
  Object.assign(walk.rooms[0].stations[0], { levels: levelsOf(16384), folder: "stations/large-0123456789abcdef", hotspots: [] });
  return walk;
};

for (const [device, memory, budget] of [["large", 8, 192], ["small", 2, 96]]) {
  test(`a picture 16384 pixels wide is looked at all over; on a ${device} device the card holds ${budget} MiB and what one frame needs`, { skip }, async () => {
    const { page, close } = await newPage(site.browser, { viewport: { width: 1000, height: 600 } });
    await counting(page);
    await page.addInitScript((gigabytes) => Object.defineProperty(navigator, "deviceMemory", { value: gigabytes }), memory);
    await page.route("**/walk.json", (route) => route.fulfill({ json: largeWalk() }));
    await page.route(/stations\/large-/, (route) => route.fulfill({ body: grey, contentType: "image/jpeg" }));
    await open(page, `${site.url}#room=hall&heading=0&elevation=0&fov=30`);
    for (let i = 1; i <= (memory === 8 ? 22 : 12); i++) await look(page, { heading: 33 * i, elevation: [0, 30, -30][i % 3], fieldOfView: 30 });
    const { bytes, most, freed } = await page.evaluate(() => window.card);
    const mebibyte = 2 ** 20;
    assert.ok(freed > 10, `${freed} freed`);
    assert.ok(most <= (budget + 4) * mebibyte && bytes <= budget * mebibyte, `${bytes / mebibyte} MiB held, ${most / mebibyte} at most`);
    assert.ok(bytes > (budget * mebibyte) / 2, "what was seen is kept");
    await close();
  });
}

test("a phone's screen of three device pixels for one loads what one of two loads: one level, sharp", { skip }, async () => {
  const filesOf = async (deviceScaleFactor) => {
    const { page, close } = await newPage(site.browser, { viewport: PHONE, deviceScaleFactor, hasTouch: true });
    await page.route("**/walk.json", (route) => route.fulfill({ json: largeWalk() }));
    await page.route(/stations\/large-/, (route) => route.fulfill({ body: grey, contentType: "image/jpeg" }));
    const list = asked(page);
    await open(page, site.url);
    const width = await page.evaluate(() => document.querySelector("enfilade-walk").shadowRoot.querySelector("canvas").width);
    assert.equal(width, PHONE.width * deviceScaleFactor, "every device pixel is drawn");
    await close();
    return list.sort();
  };
  const two = await filesOf(2);
  assert.deepEqual([...new Set(two.map((one) => one.split("/")[0]))], ["large 1304", "large 326", "large first-light.jpg"]);
  assert.deepEqual(await filesOf(3), two);
});

test("with 300 rooms on five floors the page opens, lists them, and answers", { skip }, async () => {
  const { page, close } = await newPage(site.browser);
  const [hall] = site.walk.rooms;
  const walk = {
    ...site.walk,
    opensIn: { room: "room-0", station: "hall" },
    floors: [0, 1, 2, 3, 4].map((i) => ({ id: `floor-${i}`, title: `Floor ${i}`, plan: null })),
    rooms: Array.from({ length: 300 }, (_, i) => {
      const stations = structuredClone(hall.stations);
      for (const hotspot of stations[0].hotspots) if (hotspot.to) hotspot.to = { room: `room-${(i + 1) % 300}`, station: "hall" };
      return { id: `room-${i}`, title: `Room ${i}`, floor: `floor-${Math.floor(i / 60)}`, stations };
    }),
  };
  await page.route("**/walk.json", (route) => route.fulfill({ json: walk }));
  await open(page, site.url);
  assert.equal((await viewOf(page)).room, "room-0");
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").goTo("room-299")), true);
  await page.keyboard.press("ArrowRight");
  assert.equal((await viewOf(page)).room, "room-299");
  await page.getByRole("button", { name: "Rooms", exact: true }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Room 150" }).click();
  await standsIn(page, { room: "room-150", station: "hall" });
  await close();
});

test("at 400 kbit/s the room is there, soft, before it is sharp, and answers all the while", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  const network = await page.context().newCDPSession(page);
  await network.send("Network.enable");
  await network.send("Network.emulateNetworkConditions", { offline: false, latency: 100, downloadThroughput: 50_000, uploadThroughput: 50_000 });
  await page.goto(site.url + HALL);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view && window.drawn > 0);
  assert.ok(!(await page.evaluate(() => window.seen.some(({ name }) => name === "enfilade-ready"))), "not sharp yet");
  const { heading } = await viewOf(page);
  await page.keyboard.press("ArrowRight");
  assert.ok((await viewOf(page)).heading > heading, "it turns meanwhile");
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-ready"), undefined, { timeout: 120_000 });
  await close();
});

test("offline half way, one stays in the room and is told so; once online the way is open again", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL, expected: ["ERR_INTERNET_DISCONNECTED"] });
  await page.addInitScript(() => Object.defineProperty(navigator, "connection", { value: { saveData: true } }));
  await open(page, site.url + HALL);
  await page.context().setOffline(true);
  const came = page.evaluate(() => document.querySelector("enfilade-walk").goTo("parlour"));
  await page.getByRole("status").filter({ hasText: "could not be loaded" }).waitFor();
  assert.equal(await came, false);
  assert.equal((await viewOf(page)).room, "hall");
  // What this view wants is told to be missing, and comes by itself once the network is back.
  await page.evaluate(() => void document.querySelector("enfilade-walk").look({ heading: 272 }));
  await page.getByRole("status").filter({ hasText: "Parts of this picture are missing" }).waitFor();
  await page.context().setOffline(false);
  await page.waitForFunction(() => window.seen.at(-1).name === "enfilade-settled");
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").goTo("parlour")), true);
  await close();
});

test("a tile that is no picture leaves the rest usable, is said, and comes once it is one", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL });
  let broken = true;
  await page.route(/hall-.*\/pz-r\d-c\d\.jpg/, (route) => (broken ? route.fulfill({ body: "no picture", contentType: "image/jpeg" }) : route.continue()));
  await page.goto(site.url + HALL);
  await page.getByRole("status").filter({ hasText: "Parts of this picture are missing" }).waitFor();
  await page.evaluate(() => document.querySelector("enfilade-walk").look({ heading: 100 }));
  broken = false;
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
  await close();
});

test("a context lost half way through a door comes back in the next room", { skip }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: SMALL, reducedMotion: "no-preference" });
  await page.addInitScript(() => {
    const now = performance.now.bind(performance);
    performance.now = () => now() / 20;
  });
  await open(page, `${site.url}#room=hall&heading=271&elevation=0&fov=80`);
  await page.waitForLoadState("networkidle");
  await page.getByRole("button", { name: /Parlour/ }).click();
  await standsIn(page, { room: "parlour", station: "parlour" });
  await page.evaluate(() => {
    const canvas = document.querySelector("enfilade-walk").shadowRoot.querySelector("canvas");
    window.context = canvas.getContext("webgl2").getExtension("WEBGL_lose_context");
    window.context.loseContext();
  });
  await page.waitForTimeout(300);
  await settledAfter(page, () => window.context.restoreContext());
  assert.equal((await viewOf(page)).room, "parlour");
  await close();
});
