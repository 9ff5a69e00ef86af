// Walking about: doors by click and by key, the address and the way back, stillness, and what happens when things go wrong.
// What does not depend on the fixture's rooms reads them from walk.json, so that it holds for any site.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { PHONE, eventsOf, foreignSite, look, newPage, open, pixels, settledAfter, start, viewOf } from "./harness.mjs";
import { byClick, byKeys, close, goTo, standsIn, waysOf } from "./ways.mjs";

let site;
before(async () => (site = await start()));
after(() => site?.stop());

/** A small window is drawn faster, where its size does not matter. */
const SMALL = { width: 800, height: 500 };
const fixtureOnly = { skip: foreignSite && "needs the fixture's rooms" };

test("every door and step is reached and gone through by a click, looking onward", () => throughAll(byClick));

test("every door and step is reached by Tab, turned to, and gone through by Enter", () => throughAll(byKeys));

const throughAll = async (through) => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL });
  await open(page, site.url);
  for (const way of waysOf(site.walk)) {
    await goTo(page, way.room.id, way.station.id);
    await through(page, site.walk, way);
  }
  await end();
};

test("a mark stands where its direction is seen, and hides when that is behind", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, site.url);
  await look(page, { heading: 104 - 30, elevation: -3, fieldOfView: 90 });
  const placeOf = (name) =>
    page.evaluate((wanted) => {
      const button = document.querySelector("enfilade-walk").shadowRoot.querySelector(`[aria-label="${wanted}"]`);
      const { x, y, width, height } = button.getBoundingClientRect();
      return { x: x + width / 2, y: y + height / 2, width, height, away: button.classList.contains("away") };
    }, name);
  const kitchen = await placeOf("Go to Kitchen");
  // 30° to the right at the same elevation of −3°: worked out by hand from the gnomonic formulas, focal length 683.
  const [dh, e] = [(30 * Math.PI) / 180, (-3 * Math.PI) / 180];
  const depth = Math.sin(e) ** 2 + Math.cos(e) ** 2 * Math.cos(dh);
  assert.ok(Math.abs(kitchen.x - (683 + (683 * Math.cos(e) * Math.sin(dh)) / depth)) < 0.1, `x ${kitchen.x}`);
  assert.ok(Math.abs(kitchen.y - (384 - (683 * (Math.cos(e) * Math.sin(e) * (1 - Math.cos(dh)))) / depth)) < 0.1, `y ${kitchen.y}`);
  assert.ok(kitchen.width >= 24 && kitchen.height >= 24 && !kitchen.away);
  assert.ok((await placeOf("Go to Parlour")).away);
  await end();
});

test("the address carries the view, opens it, and Back and Forward retrace the walk", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, `${site.url}#room=parlour&heading=62.5&elevation=-7.5&fov=70`);
  const opened = await viewOf(page);
  assert.deepEqual(opened, { room: "parlour", station: "parlour", heading: 62.5, elevation: -7.5, fieldOfView: 70 });
  await page.getByRole("button", { name: "Go to Great barn" }).click();
  await standsIn(page, { room: "barn", station: "hearth" });
  assert.match(page.url(), /#room=barn&station=hearth&heading=62&elevation=0&fov=70$/);
  await look(page, { heading: 100, elevation: 5 });
  await page.waitForFunction(() => location.hash === "#room=barn&station=hearth&heading=100&elevation=5&fov=70");
  await look(page, { heading: 40, elevation: -28 });
  await page.getByRole("button", { name: "Walk on in Great barn" }).click();
  await standsIn(page, { room: "barn", station: "door-end" });
  await page.goBack();
  await standsIn(page, { room: "barn", station: "hearth" });
  const back = await viewOf(page);
  assert.ok(close(back.heading, 40) && Math.abs(back.elevation + 28) < 0.06, "the view that was left");
  await page.goBack();
  await standsIn(page, { room: "parlour", station: "parlour" });
  assert.ok(close((await viewOf(page)).heading, 62.5));
  await page.goForward();
  await standsIn(page, { room: "barn", station: "hearth" });
  assert.deepEqual((await eventsOf(page, "enfilade-room")).map(({ detail }) => `${detail.room} ${detail.station}`), [
    "parlour parlour", "barn hearth", "barn door-end", "barn hearth", "parlour parlour", "barn hearth",
  ]);
  await end();
});

test("an address that names nothing opens the entrance", async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, `${site.url}#room=attic&heading=9`);
  const { opensIn } = site.walk;
  assert.equal((await viewOf(page)).room, opensIn.room);
  await assert.rejects(page.evaluate(() => document.querySelector("enfilade-walk").goTo("attic")), /there is no room "attic"/);
  await assert.rejects(page.evaluate((room) => document.querySelector("enfilade-walk").goTo(room, "nowhere"), opensIn.room), /has no station "nowhere"/);
  await end();
});

test("nothing is drawn while nothing moves", async () => {
  const { page, close: end } = await newPage(site.browser, { reducedMotion: "no-preference" });
  await open(page, site.url);
  await page.waitForLoadState("networkidle");
  const [before_, events] = await page.evaluate(() => [window.drawn, window.seen.length]);
  assert.ok(before_ > 0);
  await page.waitForTimeout(1200);
  assert.deepEqual(await page.evaluate(() => [window.drawn, window.seen.length]), [before_, events]);
  await end();
});

test("a drag holds what it grabbed; a throw runs on a little, and not at all for who wants no motion", async () => {
  for (const reducedMotion of ["reduce", "no-preference"]) {
    const { page, close: end } = await newPage(site.browser, { reducedMotion });
    await open(page, site.url);
    await look(page, { heading: 30, elevation: 70, fieldOfView: 90 });
    await page.mouse.move(500, 300);
    await page.mouse.down();
    await page.mouse.move(620, 380, { steps: 6 });
    const dragged = await viewOf(page);
    assert.ok(!close(dragged.heading, 30));
    assert.ok(angleBetween(seenAt({ heading: 30, elevation: 70 }, 500, 300), seenAt(dragged, 620, 380)) < 1e-6);
    await page.mouse.up();
    if (reducedMotion === "reduce") {
      await page.waitForTimeout(300);
      assert.deepEqual(await viewOf(page), dragged);
    }
    await end();
  }
});

/** The direction at a point of a 1366 × 768 window, of 90° where no focal length is given, written out from the definition. */
const seenAt = ({ heading, elevation }, x, y, f = 683) => {
  const [h, e] = [(heading * Math.PI) / 180, (elevation * Math.PI) / 180];
  const [r, u] = [x - 683, 384 - y];
  const [high, far] = [u * Math.cos(e) + f * Math.sin(e), f * Math.cos(e) - u * Math.sin(e)];
  return [r * Math.cos(h) + far * Math.sin(h), high, far * Math.cos(h) - r * Math.sin(h)];
};
const angleBetween = (a, b) => {
  const cosine = (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / Math.hypot(...a) / Math.hypot(...b);
  return Math.acos(Math.min(cosine, 1));
};

test("the wheel zooms about the pointer; keys turn, zoom and go home", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=90`);
  const before_ = await viewOf(page);
  await page.mouse.move(900, 200);
  await page.mouse.wheel(0, -200);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view.fieldOfView < 89);
  const nearer = await viewOf(page);
  const focal = 683 / Math.tan((nearer.fieldOfView * Math.PI) / 360);
  assert.ok(angleBetween(seenAt(before_, 900, 200), seenAt(nearer, 900, 200, focal)) < 1e-6);
  const pressed = async (key, change) => {
    const from = await viewOf(page);
    await page.keyboard.press(key);
    const to = await viewOf(page);
    assert.ok(change(to, from), `${key}: ${JSON.stringify(from)} → ${JSON.stringify(to)}`);
  };
  // Nothing has the focus yet: the page shows nothing but the walk, so the keys are the walk's.
  await pressed("ArrowRight", (to, from) => close(to.heading, from.heading + from.fieldOfView / 8));
  await page.locator("enfilade-walk .picture").focus();
  await pressed("ArrowLeft", (to, from) => close(to.heading, from.heading - from.fieldOfView / 8));
  await pressed("ArrowUp", (to, from) => Math.abs(to.elevation - from.elevation - from.fieldOfView / 8) < 1e-6);
  await pressed("ArrowDown", (to, from) => to.elevation < from.elevation);
  await pressed("+", (to, from) => to.fieldOfView < from.fieldOfView);
  await pressed("-", (to, from) => to.fieldOfView > from.fieldOfView);
  await pressed("Home", (to) => close(to.heading, 92) && to.elevation === 0 && to.fieldOfView === 90);
  await end();
});

test("a drag that begins on a mark turns the view and opens nothing", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL });
  await open(page, `${site.url}#room=hall&heading=104&elevation=-3&fov=80`);
  await page.mouse.move(400, 250);
  await page.mouse.down();
  await page.mouse.move(300, 250, { steps: 3 });
  await page.mouse.up();
  await page.waitForTimeout(200);
  const view = await viewOf(page);
  assert.equal(view.room, "hall");
  assert.ok(!close(view.heading, 104, 5), `heading ${view.heading}`);
  await end();
});

test("no black frame on the way from room to room, however slowly the next one comes", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL, reducedMotion: "no-preference" });
  await page.route(/stations\/parlour-/, async (route) => {
    await new Promise((later) => setTimeout(later, 600));
    await route.continue();
  });
  await open(page, site.url);
  await page.evaluate(() => void document.querySelector("enfilade-walk").goTo("parlour"));
  let after_ = 0;
  for (let frame = 0; frame < 60 && after_ < 4; frame++) {
    const { data } = await pixels(page);
    const mean = data.reduce((sum, value) => sum + value) / data.length;
    assert.ok(mean > 80, `frame ${frame} has a mean of ${mean}`);
    if ((await viewOf(page)).room === "parlour") after_ += 1;
  }
  assert.equal(after_, 4, "the parlour came");
  await end();
});

test("two fingers zoom", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE, hasTouch: true });
  await open(page, `${site.url}#room=parlour&heading=0&elevation=0&fov=50`);
  const touch = await page.context().newCDPSession(page);
  const send = (type, points) => touch.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
  await send("touchStart", [[150, 300]]);
  await send("touchStart", [[150, 300], [250, 300]]);
  for (let i = 1; i <= 5; i++) await send("touchMove", [[150 - 10 * i, 300], [250 + 10 * i, 300]]);
  await send("touchEnd", []);
  const { fieldOfView } = await viewOf(page);
  // Twice as far apart: half the tangent.
  const wanted = (2 * Math.atan(Math.tan((25 * Math.PI) / 180) / 2) * 180) / Math.PI;
  assert.ok(Math.abs(fieldOfView - wanted) < 0.5, `${fieldOfView}, should be ${wanted}`);
  await end();
});

test("a note opens, says its text, closes by Escape and gives the focus back", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, site.url);
  await page.getByRole("button", { name: "Note: The hoist" }).click();
  const dialog = page.getByRole("dialog", { name: "The hoist" });
  await dialog.waitFor();
  assert.match(await dialog.innerText(), /The hoist dates from 1871\.\s+It lifted flour/);
  assert.equal(await dialog.locator("img").getAttribute("alt"), "A wooden wheel with a chain");
  await page.keyboard.press("Escape");
  await dialog.waitFor({ state: "hidden" });
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").shadowRoot.activeElement.getAttribute("aria-label")), "Note: The hoist");
  await end();
});

test("the list of rooms says where one is and leads anywhere", async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE });
  await open(page, site.url);
  const { rooms, opensIn } = site.walk;
  await page.getByRole("button", { name: "Rooms" }).click();
  const entries = page.getByRole("dialog").locator(".all").getByRole("listitem");
  await entries.first().waitFor();
  assert.equal(await entries.count(), rooms.length);
  const here = page.getByRole("dialog").locator("[aria-current]");
  assert.ok((await here.innerText()).includes(rooms.find(({ id }) => id === opensIn.room).title));
  const other = rooms.find(({ id }) => id !== opensIn.room);
  await entries.getByRole("button", { name: other.title }).click();
  await standsIn(page, { room: other.id, station: other.stations[0].id });
  await end();
});

test("a lost context comes back by itself", async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, site.url);
  const first = await pixels(page);
  await page.evaluate(() => {
    const canvas = document.querySelector("enfilade-walk").shadowRoot.querySelector("canvas");
    window.context = canvas.getContext("webgl2").getExtension("WEBGL_lose_context");
    window.context.loseContext();
  });
  await page.waitForTimeout(200);
  await settledAfter(page, () => window.context.restoreContext());
  const again = await pixels(page);
  assert.ok(first.data.equals(again.data), "the same picture");
  await end();
});

test("a missing tile leaves the picture usable, is said, and comes once it is there", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["pz-r1-c1.jpg"] });
  let missing = true;
  await page.route(/hall-.*\/1296\/pz-r1-c1\.jpg/, (route) => (missing ? route.fulfill({ status: 404 }) : route.continue()));
  await page.goto(site.url);
  await page.getByRole("status").filter({ hasText: "Parts of this picture are missing" }).waitFor();
  await page.mouse.move(600, 300);
  await page.mouse.down();
  await page.mouse.move(500, 300);
  await page.mouse.up();
  assert.ok(!close((await viewOf(page)).heading, 92), "it still turns");
  assert.deepEqual(await eventsOf(page, "enfilade-settled"), []);
  missing = false;
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
  await page.getByRole("status").filter({ hasText: /^$/ }).waitFor({ state: "attached" });
  await end();
});

test("a tile that is no picture is as good as missing", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["pz-r1-c1.jpg"] });
  let corrupt = true;
  await page.route(/hall-.*\/1296\/pz-r1-c1\.jpg/, (route) => (corrupt ? route.fulfill({ status: 200, contentType: "image/jpeg", body: "no" }) : route.continue()));
  await page.goto(site.url);
  await page.getByRole("status").filter({ hasText: "Parts of this picture are missing" }).waitFor();
  corrupt = false;
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
  await end();
});

test("a room that is not there is said, and one stays where one is", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["kitchen-"] });
  await page.route(/stations\/kitchen-/, (route) => route.fulfill({ status: 404 }));
  await open(page, site.url);
  const came = await page.evaluate(() => document.querySelector("enfilade-walk").goTo("kitchen"));
  assert.equal(came, false);
  await page.getByRole("status").filter({ hasText: "Kitchen could not be loaded. You are still in Entrance hall." }).waitFor();
  assert.equal((await viewOf(page)).room, "hall");
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").goTo("parlour")), true);
  await end();
});

test("a walk loaded anew keeps room and view, and asks for none of its tiles again", async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, site.url);
  const other = site.walk.rooms.find(({ id }) => id !== site.walk.opensIn.room);
  await goTo(page, other.id, other.stations[0].id);
  await look(page, { heading: 123.4, elevation: -12, fieldOfView: 66 });
  const kept = await viewOf(page);
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  await settledAfter(page, (walk) => walk.setAttribute("src", "walk.json?2"));
  assert.deepEqual(await viewOf(page), kept);
  assert.ok(asked.some((address) => address.endsWith("walk.json?2")));
  assert.deepEqual(asked.filter((address) => address.includes(other.stations[0].folder)), []);
  await end();
});

test("a walk that lost the room one stands in leads back to the entrance; a broken one changes nothing", fixtureOnly, async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["walk.json?broken"] });
  await open(page, `${site.url}#room=kitchen&heading=300&elevation=0&fov=80`);
  await page.route("**/walk.json?broken", (route) => route.fulfill({ status: 500 }));
  await page.route("**/walk.json?without", (route) =>
    route.fulfill({ json: { ...site.walk, rooms: site.walk.rooms.filter(({ id }) => id !== "kitchen") } }),
  );
  await page.evaluate(() => document.querySelector("enfilade-walk").setAttribute("src", "walk.json?broken"));
  await page.waitForTimeout(300);
  assert.equal((await viewOf(page)).room, "kitchen");
  await page.evaluate(() => document.querySelector("enfilade-walk").setAttribute("src", "walk.json?without"));
  await standsIn(page, { room: "hall", station: "hall" });
  await end();
});

test("without walk.json the page says so, and keeps its plain content", async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["walk.json"] });
  await page.route("**/walk.json", (route) => route.fulfill({ status: 404 }));
  await page.goto(site.url);
  await page.getByRole("alert").filter({ hasText: "could not be loaded" }).waitFor();
  assert.ok(await page.getByRole("heading").first().isVisible());
  assert.equal(await page.locator(".from-disk").count(), 0);
  await end();
});

test("a walk that comes after all takes the sentence's place; the styles are asked for once", async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["walk.json"] });
  let styles = 0;
  page.on("request", (request) => (styles += request.url().endsWith("/walk.css") ? 1 : 0));
  await page.route("**/walk.json", (route) => route.fulfill({ status: 404 }));
  await page.goto(site.url);
  await page.getByRole("alert").waitFor();
  await page.evaluate(() => document.querySelector("enfilade-walk").setAttribute("src", "walk.json?again"));
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-ready"));
  assert.equal(await page.getByRole("alert").count(), 0);
  assert.equal(styles, 1, "a link that is put in again would load again, and the canvas be measured without styles");
  await end();
});

test("without WebGL 2 there is a picture of each room and a sentence why", async () => {
  const { page, close: end } = await newPage(site.browser);
  await page.addInitScript(() => {
    const { getContext } = HTMLCanvasElement.prototype;
    HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
      return kind === "webgl2" ? null : getContext.call(this, kind, ...more);
    };
  });
  await page.goto(site.url);
  await page.getByText("it lacks WebGL 2").waitFor();
  for (const { title } of site.walk.rooms) await page.getByRole("img", { name: title }).first().waitFor();
  await end();
});

test("a window that changes its shape is filled again, in either direction", async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE });
  await open(page, site.url);
  const before_ = await viewOf(page);
  await page.setViewportSize({ width: 844, height: 390 });
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.querySelector("canvas").width === 844);
  const after_ = await viewOf(page);
  assert.ok(after_.fieldOfView > before_.fieldOfView);
  await page.setViewportSize(PHONE);
  await page.waitForFunction((fov) => Math.abs(document.querySelector("enfilade-walk").view.fieldOfView - fov) < 0.01, before_.fieldOfView);
  await end();
});

test("taken out of the page and put in again, it works", async () => {
  const { page, close: end } = await newPage(site.browser);
  await open(page, site.url);
  await page.evaluate(() => {
    const walk = document.querySelector("enfilade-walk");
    walk.remove();
    window.seen.length = 0;
    document.body.append(walk);
  });
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-settled"));
  await end();
});
