// What hands do: the point that was grabbed stays under the pointer, trackpads are trackpads, a page that scrolls keeps its scrolling, and
// a device that turns turns the view.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { PHONE, foreignSite, look, newPage, open, start, viewOf } from "./harness.mjs";
import { close } from "./ways.mjs";

let site;
before(async () => (site = await start()));
after(() => site?.stop());

const skip = foreignSite && "needs the fixture's rooms";
const SMALL = { width: 800, height: 500 };

/** The direction at a point of a window, from the definition of the gnomonic projection. */
const seenAt = ({ heading, elevation, fieldOfView }, [x, y], { width, height }) => {
  const [h, e, f] = [(heading * Math.PI) / 180, (elevation * Math.PI) / 180, width / 2 / Math.tan((fieldOfView * Math.PI) / 360)];
  const [r, u] = [x - width / 2, height / 2 - y];
  const [high, far] = [u * Math.cos(e) + f * Math.sin(e), f * Math.cos(e) - u * Math.sin(e)];
  const length = Math.hypot(r, u, f);
  return [(r * Math.cos(h) + far * Math.sin(h)) / length, high / length, (far * Math.cos(h) - r * Math.sin(h)) / length];
};

/** How many pixels lie between where a direction is seen and a point. */
const pixelsOff = (view, direction, point, size) => {
  const there = seenAt(view, point, size);
  const angle = Math.acos(Math.min(there.reduce((sum, part, i) => sum + part * direction[i], 0), 1));
  return (angle * size.width) / 2 / Math.tan((view.fieldOfView * Math.PI) / 360);
};

/** Drags along a path whose points are parts of the window; at each the grabbed direction must lie within a pixel. The horizon stays level, so
 * that what lies close to a pole can only be carried round it: there the path is smaller. */
const PATH = [[0.5, 0.5], [0.55, 0.52], [0.62, 0.5], [0.6, 0.44], [0.52, 0.4], [0.45, 0.46], [0.48, 0.55]];
const holdsAlong = async (page, size, view, { press, move, lift }) => {
  await look(page, view);
  const reach = Math.min(3 * Math.cos((view.elevation * Math.PI) / 180), 1);
  const points = PATH.map((place) => place.map((part, i) => Math.round((0.5 + reach * (part - 0.5)) * [size.width, size.height][i])));
  const grabbed = seenAt(await viewOf(page), points[0], size);
  await press(points[0]);
  for (const point of points.slice(1)) {
    await move(point);
    const off = pixelsOff(await viewOf(page), grabbed, point, size);
    assert.ok(off <= 1, `${off} pixels off at ${point} from ${JSON.stringify(view)}`);
  }
  await lift();
};

/** Headings up to the poles' neighbourhood, wide and near. */
const VIEWS = [[0, 90], [80, 90], [80, 40], [-80, 60], [35, 36], [-50, 95]].map(([elevation, fieldOfView]) => ({ heading: 30, elevation, fieldOfView }));

test("what a mouse has grabbed stays under it, at every zoom and near the poles", async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL });
  await open(page, site.url);
  const { mouse } = page;
  const hand = { press: async ([x, y]) => { await mouse.move(x, y); await mouse.down(); }, move: ([x, y]) => mouse.move(x, y), lift: () => mouse.up() };
  await page.locator("enfilade-walk .marks").evaluate((marks) => marks.remove());
  for (const view of VIEWS) await holdsAlong(page, SMALL, view, hand);
  await end();
});

const fingersOn = async (page) => {
  const touch = await page.context().newCDPSession(page);
  return (type, points) => touch.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
};

test("what a finger has grabbed stays under it, at every zoom and near the poles", async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE, hasTouch: true });
  await open(page, site.url);
  await page.locator("enfilade-walk .marks").evaluate((marks) => marks.remove());
  const fingers = await fingersOn(page);
  // Fingers are reported once a frame: the view is read when it has come.
  const frame = () => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  const hand = { press: (point) => fingers("touchStart", [point]), move: async (point) => { await fingers("touchMove", [point]); await frame(); }, lift: () => fingers("touchEnd", []) };
  for (const view of VIEWS.slice(0, 4)) await holdsAlong(page, PHONE, { ...view, fieldOfView: Math.min(view.fieldOfView, 50) }, hand);
  await end();
});

test("a throw runs on the way it went, and comes to rest", async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL, reducedMotion: "no-preference" });
  await open(page, site.url);
  await look(page, { heading: 30, elevation: 0, fieldOfView: 80 });
  // One event after the other with times of our own: what the hand does must not depend on how quickly this machine draws.
  const released = await page.evaluate(() => {
    const walk = document.querySelector("enfilade-walk");
    const surface = walk.shadowRoot.querySelector(".window");
    const send = (type, clientX, time) => {
      const event = new PointerEvent(type, { clientX, clientY: 250, pointerId: 1, button: 0, bubbles: true });
      Object.defineProperty(event, "timeStamp", { value: time });
      surface.dispatchEvent(event);
    };
    surface.setPointerCapture = () => {};
    send("pointerdown", 500, 0);
    for (let i = 1; i <= 5; i++) send("pointermove", 500 - 20 * i, 10 * i);
    send("pointerup", 400, 55);
    return walk.view;
  });
  await page.waitForFunction((from) => Math.abs(document.querySelector("enfilade-walk").view.heading - from) > 3, released.heading);
  await page.waitForFunction(() => {
    const { heading } = document.querySelector("enfilade-walk").view;
    const rests = heading === window.before;
    window.before = heading;
    return rests;
  }, undefined, { polling: 400 });
  const { heading } = await viewOf(page);
  assert.ok(heading > released.heading && heading < released.heading + 60, `from ${released.heading} to ${heading}`);
  await end();
});

/** A wheel's event as a device would send it. */
const wheel = (page, x, y, init) =>
  page.evaluate(([clientX, clientY, given]) => {
    const surface = document.querySelector("enfilade-walk").shadowRoot.querySelector(".picture");
    const event = new WheelEvent("wheel", { clientX, clientY, bubbles: true, composed: true, cancelable: true, ...given });
    surface.dispatchEvent(event);
    return event.defaultPrevented;
  }, [x, y, init]);

test("two fingers on a trackpad turn the view, a pinch zooms about the pointer, a mouse's wheel zooms", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL });
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  const first = await viewOf(page);
  for (let i = 0; i < 5; i++) assert.ok(await wheel(page, 300, 200, { deltaX: 8, deltaY: -4 }));
  const turned = await viewOf(page);
  assert.equal(turned.fieldOfView, 80);
  assert.ok(close(turned.heading, 92 + (40 / 800) * 80) && Math.abs(turned.elevation - (20 / 800) * 80) < 1e-6, JSON.stringify(turned));
  const under = seenAt(turned, [300, 200], SMALL);
  await wheel(page, 300, 200, { deltaY: -20, ctrlKey: true });
  const pinched = await viewOf(page);
  assert.ok(pinched.fieldOfView < 75 && pixelsOff(pinched, under, [300, 200], SMALL) < 1);
  await page.waitForTimeout(300);
  await wheel(page, 300, 200, { deltaY: 100 });
  const back = await viewOf(page);
  assert.ok(back.fieldOfView > pinched.fieldOfView && pixelsOff(back, under, [300, 200], SMALL) < 1);
  assert.ok(first.heading !== back.heading);
  await end();
});

test("a pinch as Safari reports it zooms, once for what it says", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: SMALL });
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  await page.evaluate(() => {
    const surface = document.querySelector("enfilade-walk").shadowRoot.querySelector(".picture");
    for (const [type, scale] of [["gesturestart", 1], ["gesturechange", 1.2], ["gesturechange", 1.5]]) {
      surface.dispatchEvent(Object.assign(new MouseEvent(type, { clientX: 400, clientY: 250, bubbles: true, cancelable: true }), { scale }));
    }
  });
  const wanted = (2 * Math.atan(Math.tan((40 * Math.PI) / 180) / 1.5) * 180) / Math.PI;
  assert.ok(Math.abs((await viewOf(page)).fieldOfView - wanted) < 1e-6);
  await end();
});

/** The walk among text in a page that scrolls. */
const article = async (options) => {
  const made = await newPage(site.browser, options);
  await made.page.route("**/article.html", (route) => route.fulfill({ contentType: "text/html", body: `<!doctype html><meta name="viewport" content="width=device-width">
    <link rel="icon" href="data:,"><style>body{margin:0}p{height:500px}enfilade-walk{height:400px}</style><p>Before.</p>
    <enfilade-walk src="walk.json"></enfilade-walk><p>After.</p><p>And on.</p><p>And on.</p><script type="module" src="viewer-test/enfilade-walk.js"></script>` }));
  await open(made.page, `${site.url}article.html`);
  await made.page.evaluate(() => scrollTo(0, 300));
  return made;
};
const scrolled = (page) => page.evaluate(() => scrollY);
const scrollsBeyond = (page, y) => page.waitForFunction((least) => scrollY > least, y);

test("in a page that scrolls, the wheel scrolls the page until the picture is clicked, and again after Escape", { skip }, async () => {
  const { page, close: end } = await article({ viewport: SMALL });
  const { fieldOfView } = await viewOf(page);
  await page.mouse.move(400, 350);
  await page.mouse.wheel(0, 120);
  await scrollsBeyond(page, 380);
  assert.equal((await viewOf(page)).fieldOfView, fieldOfView);
  await page.evaluate(() => scrollTo(0, 300));
  await page.mouse.click(600, 350);
  await page.mouse.wheel(0, -120);
  await page.waitForFunction((from) => document.querySelector("enfilade-walk").view.fieldOfView < from, fieldOfView);
  assert.equal(await scrolled(page), 300);
  await page.keyboard.press("Escape");
  await page.mouse.wheel(0, 120);
  await scrollsBeyond(page, 380);
  await end();
});

test("in a page that scrolls, the wheel is the picture's while that fills the screen", { skip }, async () => {
  const { page, close: end } = await article({ viewport: SMALL });
  // Browsers allow it only on a click; this one lies outside the picture, which so does not get the focus.
  await page.evaluate(() => document.body.addEventListener("click", () => document.querySelector("enfilade-walk").requestFullscreen(), { once: true }));
  await page.mouse.click(400, 100);
  await page.waitForFunction(() => document.fullscreenElement !== null);
  const { fieldOfView } = await viewOf(page);
  await page.mouse.move(400, 250);
  await page.mouse.wheel(0, -120);
  await page.waitForFunction((from) => document.querySelector("enfilade-walk").view.fieldOfView < from - 1, fieldOfView);
  await end();
});

test("in a page that scrolls, keys scroll the page until the picture has the focus", { skip }, async () => {
  const { page, close: end } = await article({ viewport: SMALL });
  const before_ = await viewOf(page);
  await page.keyboard.press("PageDown");
  await scrollsBeyond(page, 310);
  assert.deepEqual(await viewOf(page), before_);
  await page.locator("enfilade-walk .picture").focus();
  await page.keyboard.press("ArrowRight");
  assert.ok((await viewOf(page)).heading !== before_.heading);
  await end();
});

test("in a page that scrolls, an upright swipe scrolls the page until the picture is tapped, and a level one turns the view", { skip }, async () => {
  const { page, close: end } = await article({ viewport: PHONE, hasTouch: true });
  const fingers = await fingersOn(page);
  const swipe = async (from, to) => {
    await fingers("touchStart", [from]);
    for (let i = 1; i <= 8; i++) await fingers("touchMove", [[from[0] + ((to[0] - from[0]) * i) / 8, from[1] + ((to[1] - from[1]) * i) / 8]]);
    await fingers("touchEnd", []);
  };
  const before_ = await viewOf(page);
  await swipe([100, 480], [100, 300]);
  await scrollsBeyond(page, 380);
  assert.ok(Math.abs((await viewOf(page)).elevation - before_.elevation) < 1e-6, "the view has not nodded");
  // The page runs on by itself after a swipe.
  await page.waitForFunction(() => {
    const rests = scrollY === window.before;
    window.before = scrollY;
    return rests;
  }, undefined, { polling: 500 });
  await page.evaluate(() => scrollTo(0, 300));
  await swipe([300, 300], [100, 300]);
  await page.waitForFunction((heading) => document.querySelector("enfilade-walk").view.heading !== heading, before_.heading);
  assert.equal(await scrolled(page), 300);
  // While the page or the view still runs on, a first tap may do no more than stop it, as everywhere: people tap again.
  const isTapped = () => page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.activeElement !== null, undefined, { timeout: 4000 });
  for (let taps = 1; ; taps++) {
    await page.touchscreen.tap(200, 340);
    const tapped = await isTapped().then(() => true, () => false);
    if (tapped) break;
    assert.ok(taps < 5, "five taps have not reached the picture");
  }
  const { elevation } = await viewOf(page);
  await swipe([100, 300], [100, 420]);
  await page.waitForFunction((from) => document.querySelector("enfilade-walk").view.elevation > from + 2, elevation);
  assert.equal(await scrolled(page), 300);
  await end();
});

test("turning the device turns the view, from wherever it was, until it is let go", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE, hasTouch: true });
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=45`);
  assert.deepEqual(asked.filter((address) => address.includes("gyroscope")), [], "loaded only when asked for");
  const turn = (alpha, beta, gamma) => page.evaluate((angles) => void dispatchEvent(new DeviceOrientationEvent("deviceorientation", angles)), { alpha, beta, gamma });
  const follow = (on) => page.evaluate((wanted) => document.querySelector("enfilade-walk").follow(wanted), on);
  assert.equal(await follow(true), true);
  await turn(200, 90, 0);
  await turn(180, 100, 0);
  const view = await viewOf(page);
  assert.ok(close(view.heading, 112) && Math.abs(view.elevation - 10) < 1e-6, JSON.stringify(view));
  assert.equal(await follow(false), false);
  await turn(90, 90, 0);
  assert.deepEqual(await viewOf(page), view);
  await end();
});

test("the button for turning the device says whether it does, and switches it off again; a script's doing shows on it too", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE, hasTouch: true, isMobile: true });
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=45`);
  await page.getByRole("button", { name: "More", exact: true }).tap();
  const button = page.getByRole("button", { name: "Look by turning the device" });
  await button.waitFor();
  const pressed = (is) => page.waitForFunction((wanted) => document.querySelector("enfilade-walk").shadowRoot.querySelector(".turnWithDevice").getAttribute("aria-pressed") === wanted, String(is));
  const turn = (alpha, beta) => page.evaluate((angles) => void dispatchEvent(new DeviceOrientationEvent("deviceorientation", { ...angles, gamma: 0 })), { alpha, beta });
  await pressed(false);
  await button.tap();
  await pressed(true);
  await turn(200, 90);
  await turn(180, 90);
  assert.ok(close((await viewOf(page)).heading, 112));
  await button.tap();
  await pressed(false);
  await turn(90, 90);
  assert.ok(close((await viewOf(page)).heading, 112), "the device is let go");
  await page.evaluate(() => document.querySelector("enfilade-walk").follow());
  await pressed(true);
  await page.evaluate(() => document.querySelector("enfilade-walk").follow(false));
  await pressed(false);
  await end();
});

test("a phone held upright opens with a calm view, and no side of any window sees more than 95°", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser, { viewport: PHONE, hasTouch: true });
  await open(page, `${site.url}#room=parlour`);
  const shown = (length, fieldOfView, width) => (2 * Math.atan((length / width) * Math.tan((fieldOfView * Math.PI) / 360)) * 180) / Math.PI;
  const { fieldOfView } = await viewOf(page);
  const upright = shown(PHONE.height, fieldOfView, PHONE.width);
  assert.ok(fieldOfView > 35 && upright > 70 && upright <= 95, `${fieldOfView}° by ${upright}°`);
  await page.evaluate(() => document.querySelector("enfilade-walk").look({ fieldOfView: 170 }));
  assert.ok(Math.abs(shown(PHONE.height, (await viewOf(page)).fieldOfView, PHONE.width) - 95) < 1e-6);
  await page.evaluate(() => document.querySelector("enfilade-walk").look({ fieldOfView: 1 }));
  // One pixel of the picture (1296 to a face) would grow to 2.5 CSS pixels at 27°: narrower than 35°, so that is the limit.
  const narrowest = (await viewOf(page)).fieldOfView;
  const pixel = PHONE.width / 2 / Math.tan((narrowest * Math.PI) / 360) / (1296 / 2);
  assert.ok(narrowest <= 35 && pixel <= 2.5 + 1e-6, `${narrowest}°, ${pixel} CSS pixels`);
  await end();
});
