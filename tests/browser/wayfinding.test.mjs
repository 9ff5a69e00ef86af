// Marks, plan, index, compass, languages and links, as a visitor uses them.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { boxesOf, focused, furnishedPage, openSheet } from "./furnished-walk.mjs";
import { DESKTOP, PHONE, foreignSite, look, newPage, open, start, viewOf } from "./harness.mjs";
import { close, standsIn } from "./ways.mjs";

let site;
const skip = foreignSite && "needs the fixture's rooms";
before(async () => (site = await start()));
after(() => site?.stop());
const SIZES = [["desktop", { viewport: DESKTOP }], ["phone", { viewport: PHONE, hasTouch: true, isMobile: true }]];

const meet = (one, other) => one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;

test("marks one degree apart do not overlap, and each can be clicked", { skip }, async () => {
  const change = ({ rooms: [hall] }) => {
    const [door] = hall.stations[0].hotspots;
    hall.stations[0].hotspots = [0, 1, 2, 3].map((step) => ({ ...door, heading: 104 + step, name: `Door ${step}`, to: { room: "parlour", station: "parlour" } }));
  };
  for (const [, how] of SIZES) {
    const { page, close: end } = await furnishedPage(site, { ...how, change });
    await open(page, `${site.url}#room=hall&heading=105&elevation=-3&fov=60`);
    const captions = await boxesOf(page, ".caption");
    assert.equal(captions.length, 4);
    const marks = [...captions, ...(await boxesOf(page, ".mark svg"))];
    assert.equal(marks.length, 8);
    marks.forEach((one, i) => marks.slice(i + 1).forEach((other) => assert.ok(!meet(one, other), `${one.text} ${JSON.stringify(one)} and ${other.text} ${JSON.stringify(other)}`)));
    assert.equal((await boxesOf(page, ".leader")).length, 3, "three were moved, and point to their places");
    await page.getByRole("button", { name: "Go to Door 3" }).click();
    await standsIn(page, { room: "parlour", station: "parlour" });
    await end();
  }
});

test("a mark under the bar is lifted off it", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site, { viewport: PHONE });
  await open(page, `${site.url}#room=hall&heading=104&elevation=24&fov=45`);
  const [[mark], [plate]] = [await boxesOf(page, ".mark.door:not(.away)"), await boxesOf(page, ".plate")];
  const [caption] = await boxesOf(page, ".mark.door:not(.away) .caption");
  assert.ok(caption.bottom <= plate.top && mark.bottom < plate.top, `${caption.bottom} above ${plate.top}`);
  await end();
});

test("Tab goes through the marks from left to right as they are seen", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=90`);
  const order = () => page.evaluate(() => [...document.querySelector("enfilade-walk").shadowRoot.querySelectorAll(".mark")].map((mark) => mark.getAttribute("aria-label")));
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.querySelector(".mark").getAttribute("aria-label") === "Note: The hoist");
  assert.deepEqual(await order(), ["Note: The hoist", "Go to Kitchen", "Go to Parlour"]);
  await look(page, { heading: 271 });
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.querySelector(".mark").getAttribute("aria-label") === "Go to Parlour");
  assert.deepEqual(await order(), ["Go to Parlour", "Note: The hoist", "Go to Kitchen"]);
  await end();
});

test("where no way out is in view, the nearest is named at the edge it lies beyond, and the view turns there", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=0&elevation=0&fov=80`);
  const hint = page.getByRole("button", { name: "Turn to Parlour" });
  await hint.waitFor();
  const { x } = await hint.boundingBox();
  assert.equal(x, 0, "271° is to the left of 0°");
  await hint.click();
  await page.waitForFunction(() => Math.abs(document.querySelector("enfilade-walk").view.heading - 271) < 0.1);
  await page.locator("enfilade-walk .hint").waitFor({ state: "hidden" });
  await look(page, { heading: 10 });
  const other = page.getByRole("button", { name: "Turn to Kitchen" });
  assert.equal(Math.round((await other.boundingBox()).x + (await other.boundingBox()).width), DESKTOP.width);
  await end();
});

for (const [name, how] of SIZES) {
  test(`folded, nothing but marks and a slim bar covers the picture; open, a sheet leaves the upper half of a ${name}`, { skip }, async () => {
    const { page, close: end } = await furnishedPage(site, how);
    await open(page, site.url);
    const { width, height } = how.viewport;
    // The topmost element at every place of a grid.
    const covering = () =>
      page.evaluate(([w, h]) => {
        const { shadowRoot } = document.querySelector("enfilade-walk");
        const found = [];
        for (let y = 4; y < h; y += 16) for (let x = 4; x < w; x += 16) {
          const top = shadowRoot.elementFromPoint(x, y);
          const part = top.closest(".plate, .mark, .hint, .sheet, .status, dialog");
          if (part) found.push({ y, part: part.className.split(" ")[0] });
        }
        return found;
      }, [width, height]);
    const folded = await covering();
    assert.deepEqual([...new Set(folded.map(({ part }) => part))].sort(), ["mark", "plate"]);
    const slim = folded.filter(({ part }) => part === "plate").map(({ y }) => y);
    assert.ok(Math.min(...slim) > height - 90, "the bar is slim");
    for (const sheet of ["Rooms", "Plan", "More"]) {
      await openSheet(page, sheet);
      const [box] = await boxesOf(page, ".sheet");
      if (name === "phone") assert.ok(box.top >= height / 2 - 0.5, `${sheet} begins at ${box.top}`);
      assert.ok(box.left >= 0 && box.right <= width && box.bottom <= height && box.top >= 0);
      await page.getByRole("button", { name: sheet, exact: true }).click();
      await page.locator("enfilade-walk .sheet[open]").waitFor({ state: "detached" });
    }
    await end();
  });
}

test("the plan shows where one stands, a sight as wide as the view that turns with it, and lights the doors in view", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  await openSheet(page, "Plan");
  const wedge = async () => {
    const d = await page.locator("enfilade-walk .wedge").getAttribute("d");
    const [x0, y0, x1, y1, , , , , , x2, y2] = d.match(/-?[\d.]+(?:e-?\d+)?/g).map(Number);
    const bearing = (x, y) => ((Math.atan2(x - x0, y0 - y) * 180) / Math.PI + 360) % 360;
    return { at: [x0, y0], left: bearing(x1, y1), right: bearing(x2, y2) };
  };
  // The north arrow leans 14° to the right: a heading of 92° lies at 106° on the sheet.
  const first = await wedge();
  assert.deepEqual(first.at, [300, 300]);
  assert.ok(close(first.left, 106 - 40) && close(first.right, 106 + 40), JSON.stringify(first));
  const lit = () => page.locator("enfilade-walk .way.lit").evaluateAll((all) => all.map((way) => way.getAttribute("aria-label")));
  assert.deepEqual(await lit(), ["Go to Kitchen"]);
  // The picture can be used beside the sheet.
  await page.mouse.move(1000, 300);
  await page.mouse.down();
  await page.mouse.move(700, 300, { steps: 4 });
  await page.mouse.up();
  const { heading } = await viewOf(page);
  const turned = await wedge();
  assert.ok(!close(heading, 92, 5) && close(turned.left, heading + 14 - 40, 0.1), `${heading}: ${JSON.stringify(turned)}`);
  await look(page, { heading: 271, fieldOfView: 60 });
  assert.deepEqual(await lit(), ["Go to Parlour"]);
  const picture = page.getByRole("img", { name: "Plan: Ground floor" });
  assert.ok(await picture.evaluate((image) => image.complete && image.naturalWidth > 0));
  // The mark of where one stands lies where the plan says: 300 of 800 across, 300 of 600 down.
  const [box, here] = [await picture.boundingBox(), await page.locator("enfilade-walk .spot.here").boundingBox()];
  assert.ok(Math.abs(here.x + here.width / 2 - box.x - (box.width * 3) / 8) < 1.5 && Math.abs(here.y + here.height / 2 - box.y - box.height / 2) < 1.5);
  assert.ok(here.width >= 24 && here.height >= 24);
  await end();
});

for (const [name, how] of SIZES) {
  test(`doors and rooms on the plan lead there, and floors are switched, on a ${name}`, { skip }, async () => {
    const { page, close: end } = await furnishedPage(site, how);
    const press = (locator) => (how.hasTouch ? locator.tap() : locator.click());
    await open(page, site.url);
    await openSheet(page, "Plan");
    await press(page.locator("enfilade-walk .drawing").getByRole("button", { name: "Go to Kitchen" }).locator("visible=true").last());
    await standsIn(page, { room: "kitchen", station: "kitchen" });
    await press(page.locator("enfilade-walk .drawing .spot[aria-label='Go to Parlour']"));
    await standsIn(page, { room: "parlour", station: "parlour" });
    const floors = page.getByRole("group", { name: "Floors" });
    await press(floors.getByRole("button", { name: "Across the yard" }));
    assert.equal(await floors.getByRole("button", { name: "Across the yard" }).getAttribute("aria-pressed"), "true");
    assert.equal(await page.locator("enfilade-walk .spot.here").count(), 0, "one is on another floor");
    await press(page.locator("enfilade-walk .drawing .spot").last());
    await standsIn(page, { room: "barn", station: "hearth" });
    assert.equal(await floors.getByRole("button", { name: "Across the yard" }).getAttribute("aria-pressed"), "true");
    await end();
  });
}

test("the index says where one is, and what lies next on which side", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  await openSheet(page, "Rooms");
  await page.getByText("You are in: Entrance hall, Ground floor").waitFor();
  const next = () => page.locator("enfilade-walk .next li").allInnerTexts();
  const words = async () => (await next()).map((text) => text.replace(/\s+/g, " "));
  assert.deepEqual(await words(), ["Kitchen ahead", "Parlour behind you"]);
  await look(page, { heading: 180 });
  assert.deepEqual(await words(), ["Kitchen to the left", "Parlour to the right"]);
  await page.locator("enfilade-walk .next button").first().click();
  await standsIn(page, { room: "kitchen", station: "kitchen" });
  await page.getByText("You are in: Kitchen, Ground floor").waitFor();
  assert.equal(await focused(page), "sheet-heading Rooms of Larkmere Mill", "the sheet keeps the focus");
  await end();
});

test("the compass is there only where north is known, follows the view, and turns to the north", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  const compass = page.locator("enfilade-walk .compass");
  assert.equal(await compass.getAttribute("aria-label"), "Facing east (E); turn to the north");
  assert.equal(await compass.locator("svg").evaluate((svg) => svg.style.rotate), "-92deg");
  await compass.click();
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view.heading === 0);
  await page.getByRole("button", { name: "Facing north (N); turn to the north" }).waitFor();
  await page.evaluate(() => document.querySelector("enfilade-walk").goTo("barn", "hearth"));
  await standsIn(page, { room: "barn", station: "hearth" });
  assert.equal(await compass.isVisible(), false, "the yard's plan has no north arrow");
  await end();
});

test("a copied link shows this very view; where copying is forbidden it can be selected", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site, { permissions: ["clipboard-read", "clipboard-write"] });
  await open(page, site.url);
  await look(page, { heading: 80.3, elevation: -7.2, fieldOfView: 66.6 });
  await openSheet(page, "More");
  await page.getByRole("button", { name: "Copy a link to this view" }).click();
  await page.getByRole("status").filter({ hasText: "The link is copied." }).waitFor();
  const wanted = `${site.url}#room=hall&heading=80.3&elevation=-7.2&fov=66.6`;
  assert.equal(await page.evaluate(() => navigator.clipboard.readText()), wanted);
  await page.evaluate(() => (navigator.clipboard.writeText = () => Promise.reject(new Error("forbidden"))));
  await page.getByRole("button", { name: "Copy a link to this view" }).click();
  const field = page.getByRole("textbox", { name: "The link, to be copied by hand" });
  assert.equal(await field.inputValue(), wanted);
  assert.equal(await field.evaluate((input) => input.value.slice(input.selectionStart, input.selectionEnd)), wanted);
  await end();
});

test("full screen is entered and left", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, site.url);
  await openSheet(page, "More");
  await page.getByRole("button", { name: "Full screen", exact: true }).click();
  await page.waitForFunction(() => document.fullscreenElement === document.querySelector("enfilade-walk"));
  await page.getByRole("button", { name: "Leave full screen" }).click();
  await page.waitForFunction(() => document.fullscreenElement === null);
  await page.getByRole("button", { name: "Full screen", exact: true }).waitFor();
  await end();
});

test("the view is turned and zoomed without a drag or a pinch", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  await openSheet(page, "More");
  const pressed = async (name) => {
    await page.getByRole("button", { name, exact: true }).click();
    return viewOf(page);
  };
  assert.ok(close((await pressed("Right")).heading, 112));
  assert.ok(close((await pressed("Left")).heading, 92));
  assert.ok((await pressed("Up")).elevation > 0);
  assert.ok((await pressed("Nearer")).fieldOfView < 80);
  assert.equal((await pressed("Opening view")).fieldOfView, 90);
  await end();
});

test("a note's link opens in a new tab that knows nothing of this one; a link that could run is not made", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, site.url);
  await page.getByRole("button", { name: "Note: The hoist" }).click();
  const link = page.getByRole("dialog").getByRole("link", { name: "larkmere.test/hoist (opens in a new tab)" });
  assert.deepEqual(await link.evaluate(({ href, target, rel }) => [href, target, rel]), ["https://larkmere.test/hoist", "_blank", "noopener"]);
  await end();
  const bad = await furnishedPage(site, { change: ({ rooms: [hall] }) => (hall.stations[0].hotspots[2].link = "javascript:alert(1)") });
  await open(bad.page, site.url);
  await bad.page.getByRole("button", { name: "Note: The hoist" }).click();
  await bad.page.getByRole("dialog").waitFor();
  assert.equal(await bad.page.getByRole("dialog").getByRole("link").count(), 0);
  await bad.close();
});

test("the visitor switches the language; the address keeps it, and nothing else does", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=80`);
  const before_ = await viewOf(page);
  await openSheet(page, "More");
  await page.getByRole("button", { name: "Deutsch" }).click();
  await page.getByRole("button", { name: "Gehe zu: Küche" }).waitFor();
  await page.getByRole("button", { name: "Notiz: Der Aufzug" }).waitFor();
  assert.deepEqual(await viewOf(page), before_, "where one is and looks stays");
  assert.equal(await page.locator("enfilade-walk .walk").getAttribute("lang"), "de");
  assert.equal(await page.getByRole("button", { name: "Deutsch" }).getAttribute("aria-pressed"), "true");
  await page.waitForFunction(() => location.hash.endsWith("&language=de"));
  assert.deepEqual(await page.evaluate(() => [localStorage.length, sessionStorage.length, document.cookie]), [0, 0, ""]);
  await page.reload();
  await page.getByRole("button", { name: "Gehe zu: Küche" }).waitFor();
  await page.getByRole("button", { name: "Gehe zu: Küche" }).click();
  await standsIn(page, { room: "kitchen", station: "kitchen" });
  assert.match(await page.evaluate(() => location.hash), /^#room=kitchen&.*&language=de$/);
  assert.equal(await page.title(), "Küche – Larkmere Mill");
  await end();
});

test("a walk in German speaks German by itself", { skip }, async () => {
  const { page, close: end } = await furnishedPage(site, { change: (file) => Object.assign(file, { language: "de" }) });
  await open(page, site.url);
  await page.getByRole("button", { name: "Räume" }).waitFor();
  assert.doesNotMatch(await page.evaluate(() => location.hash), /language/);
  await end();
});

test("a panel that does not come is said, and comes when it is asked for again", { skip }, async () => {
  const { page, close: end } = await newPage(site.browser, { expected: ["sheet-rooms.js", "panels.css"] });
  await open(page, site.url);
  let offline = true;
  await page.route("**/panels.css", (route) => (offline ? route.abort() : route.continue()));
  await page.getByRole("button", { name: "Rooms" }).click();
  await page.getByRole("status").filter({ hasText: "This could not be loaded." }).waitFor();
  offline = false;
  await openSheet(page, "Rooms");
  await end();
});

test("looking by turning the device is offered on touch screens, and only there", { skip }, async () => {
  for (const [hasTouch, offered] of [[true, 1], [false, 0]]) {
    const { page, close: end } = await furnishedPage(site, { viewport: PHONE, hasTouch, isMobile: hasTouch });
    await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=45`);
    await openSheet(page, "More");
    const turn = page.getByRole("button", { name: "Look by turning the device" });
    if (offered) {
      await turn.tap();
      await page.waitForFunction(() => performance.getEntriesByType("resource").some(({ name }) => name.endsWith("/gyroscope.js")));
    } else await page.getByRole("button", { name: "Opening view" }).waitFor();
    assert.equal(await turn.count(), offered);
    await end();
  }
});
