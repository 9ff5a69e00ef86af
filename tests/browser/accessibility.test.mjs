// WCAG 2.2 AA as far as a program can tell: axe-core on every panel in both sizes, keyboard alone, announcements, small windows, forced
// colours, and the walkthrough without WebGL 2.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { boxesOf, focused, furnishedPage, openSheet, violations } from "./furnished-walk.mjs";
import { DESKTOP, PHONE, foreignSite, open, start } from "./harness.mjs";
import { standsIn } from "./ways.mjs";

let site;
const skip = foreignSite && "needs the fixture's rooms";
before(async () => (site = await start()));
after(() => site?.stop());
const SHEETS = ["Rooms", "Plan", "More"];
/** axe-core measures by inline styles, which the page's policy refuses it. Only for tests that run it. */
const expected = ["Applying inline style violates"];

for (const [name, how] of [["desktop", { viewport: DESKTOP }], ["phone", { viewport: PHONE, hasTouch: true }]]) {
  test(`axe-core finds nothing on any panel of a ${name}`, { skip }, async () => {
    const { page, close } = await furnishedPage(site, { ...how, expected });
    await open(page, site.url);
    assert.deepEqual(await violations(page), []);
    for (const sheet of SHEETS) {
      await openSheet(page, sheet);
      assert.deepEqual(await violations(page), [], sheet);
      await page.getByRole("button", { name: "Close" }).click();
    }
    await page.getByRole("button", { name: "Note: The hoist" }).click();
    await page.getByRole("dialog").waitFor();
    assert.deepEqual(await violations(page), [], "a note");
    await close();
  });
}

/** Presses Tab until something has the focus; gives all that had it on the way. */
const tabTo = async (page, wanted, key = "Tab") => {
  const passed = [];
  for (let press = 0; press < 60; press++) {
    await page.keyboard.press(key);
    passed.push(await focused(page));
    if (passed.at(-1)?.includes(wanted)) return passed;
  }
  throw new Error(`${wanted} is not reached: ${passed.join(" | ")}`);
};

test("everything is done by keyboard alone: Escape closes, the focus goes back, nothing traps it", { skip }, async () => {
  const { page, close } = await furnishedPage(site);
  await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=90`);
  await tabTo(page, "picture");
  for (const sheet of SHEETS) {
    await tabTo(page, sheet);
    await page.keyboard.press("Enter");
    await page.locator("enfilade-walk .sheet[open]").waitFor();
    assert.match(await focused(page), /^sheet-heading/);
    await tabTo(page, "Close");
    await page.keyboard.press("Escape");
    assert.ok((await focused(page)).endsWith(sheet), "the focus is back on what opened it");
    assert.equal(await page.getByRole("button", { name: sheet, exact: true }).getAttribute("aria-expanded"), "false");
  }
  // Out of the walk at both ends: the page goes on.
  for (const key of ["Tab", "Shift+Tab"]) {
    let left = false;
    for (let press = 0; press < 20 && !left; press++) {
      await page.keyboard.press(key);
      left = (await focused(page)) === null;
    }
    assert.ok(left, `${key} leaves the walk`);
  }
  // Into a room by the index, from there through a door.
  await tabTo(page, "Rooms");
  await page.keyboard.press("Enter");
  await page.locator("enfilade-walk .sheet[open]").waitFor();
  await tabTo(page, "Parlour");
  await page.keyboard.press("Enter");
  await standsIn(page, { room: "parlour", station: "parlour" });
  await page.keyboard.press("Escape");
  await tabTo(page, "Go to Entrance hall", "Shift+Tab");
  await page.keyboard.press("Enter");
  await standsIn(page, { room: "hall", station: "hall" });
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.activeElement?.className === "picture");
  await close();
});

test("what has the focus is seen: an outline of at least 2 pixels, in the window, above what lies around it", { skip }, async () => {
  const { page, close } = await furnishedPage(site);
  await open(page, site.url);
  const outlines = new Set();
  for (let press = 0; press < 9; press++) {
    await page.keyboard.press("Tab");
    // A mark out of view is turned to first.
    await page.waitForFunction(() => !document.querySelector("enfilade-walk").shadowRoot.activeElement?.classList.contains("away"));
    const seen = await page.evaluate(() => {
      const { activeElement } = document.querySelector("enfilade-walk").shadowRoot;
      if (!activeElement) return null;
      const style = getComputedStyle(activeElement, activeElement.className === "picture" ? "::after" : null);
      const { left, top, right, bottom } = activeElement.getBoundingClientRect();
      return { name: activeElement.className, width: parseFloat(style.outlineWidth), line: style.outlineStyle, inside: right > 0 && bottom > 0 && left < innerWidth && top < innerHeight };
    });
    if (!seen) break;
    assert.ok(seen.width >= 2 && seen.line === "solid" && seen.inside, JSON.stringify(seen));
    outlines.add(seen.name);
  }
  assert.ok(outlines.size >= 4, [...outlines].join());
  await close();
});

for (const viewport of [DESKTOP, PHONE, { width: 683, height: 384 }, { width: 700, height: 900 }]) {
  test(`a mark that has the focus is not hidden by an open sheet, at ${viewport.width} × ${viewport.height}`, { skip }, async () => {
    const { page, close } = await furnishedPage(site, { viewport });
    await open(page, `${site.url}#room=hall&heading=92&elevation=0&fov=60`);
    for (const sheet of ["Rooms", "Plan", "More"]) {
      await openSheet(page, sheet);
      await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.activeElement?.tagName === "H2");
      for (const name of ["Go to Kitchen", "Note: The hoist", "Go to Parlour"]) {
        await page.locator("enfilade-walk .mark").and(page.getByRole("button", { name, exact: true })).focus();
        // The view turns until nothing lies over the mark's middle (WCAG 2.2, 2.4.11).
        await page.waitForFunction(() => {
          const { shadowRoot } = document.querySelector("enfilade-walk");
          const mark = shadowRoot.activeElement;
          const { x, y, width, height } = mark.getBoundingClientRect();
          return mark.matches(".mark") && mark.contains(shadowRoot.elementFromPoint(x + width / 2, y + height / 2));
        });
      }
    }
    await close();
  });
}

test("entering a room is announced and named in the page's title; targets are at least 24 pixels wide and high", { skip }, async () => {
  const { page, close } = await furnishedPage(site, { viewport: PHONE });
  await open(page, site.url);
  assert.equal(await page.title(), "Entrance hall – Larkmere Mill");
  await page.evaluate(() => document.querySelector("enfilade-walk").goTo("kitchen"));
  await page.getByRole("status").filter({ hasText: /^Kitchen$/ }).waitFor({ state: "attached" });
  assert.equal(await page.title(), "Kitchen – Larkmere Mill");
  for (const sheet of SHEETS) {
    await openSheet(page, sheet);
    for (const { left, right, top, bottom, text } of await boxesOf(page, "button")) {
      assert.ok(right - left >= 24 && bottom - top >= 24, `${text} in ${sheet}: ${right - left} × ${bottom - top}`);
    }
  }
  await close();
});

// 1366 × 768 at 200 % is 683 × 384 CSS pixels; 320 CSS pixels is the width of success criterion 1.4.10.
for (const viewport of [{ width: 683, height: 384 }, { width: 320, height: 568 }]) {
  test(`nothing is lost in a window of ${viewport.width} × ${viewport.height}`, { skip }, async () => {
    const { page, close } = await furnishedPage(site, { viewport, expected });
    await open(page, site.url);
    const inWindow = ({ left, right, top, bottom }) => left >= -0.5 && right <= viewport.width + 0.5 && top >= -0.5 && bottom <= viewport.height + 0.5;
    const plate = await boxesOf(page, ".plate > *");
    assert.ok(plate.length >= 4 && plate.every(inWindow), JSON.stringify(plate));
    plate.forEach((one, i) => plate.slice(i + 1).forEach((other) => assert.ok(one.right <= other.left + 0.5, `${one.text} and ${other.text}`)));
    for (const sheet of SHEETS) {
      await openSheet(page, sheet);
      const [box] = await boxesOf(page, ".sheet");
      assert.ok(inWindow(box) && box.bottom - box.top > 120, `${sheet}: ${JSON.stringify(box)}`);
      const sideways = await page.locator("enfilade-walk .body").evaluate(({ scrollWidth, clientWidth }) => scrollWidth - clientWidth);
      assert.ok(sideways <= 0, `${sheet} scrolls sideways by ${sideways}`);
      for (const entry of await page.locator("enfilade-walk .sheet button:visible").all()) {
        await entry.scrollIntoViewIfNeeded();
        const { x, y, width, height } = await entry.boundingBox();
        assert.ok(inWindow({ left: x, right: x + width, top: y, bottom: y + height }), `${await entry.innerText()} in ${sheet}`);
      }
    }
    assert.deepEqual(await violations(page), []);
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), viewport.width);
    await close();
  });
}

test("forced colours leave the marks, the plan and what is pressed in the system's own colours", { skip }, async () => {
  const { page, close } = await furnishedPage(site, { forcedColors: "active" });
  await open(page, site.url);
  await openSheet(page, "Plan");
  const colours = await page.evaluate(() => {
    const probe = document.createElement("i");
    document.body.append(probe);
    const system = (name) => {
      probe.style.color = name;
      return getComputedStyle(probe).color;
    };
    const { shadowRoot } = document.querySelector("enfilade-walk");
    const of = (selector, property, pseudo) => getComputedStyle(shadowRoot.querySelector(selector), pseudo)[property];
    return {
      shade: [of(".mark .shade", "stroke"), system("Canvas")],
      line: [of(".mark .line", "stroke"), system("CanvasText")],
      wedge: [of(".wedge", "stroke"), system("CanvasText")],
      here: [of(".drawing .here", "backgroundColor", "::before"), system("CanvasText")],
      lit: [of(".drawing .way.lit", "backgroundColor", "::before"), system("Highlight")],
      pressed: [of(".plate [aria-expanded=true]", "backgroundColor"), system("Highlight")],
      needle: [of(".compass .outline", "fill"), system("CanvasText")],
    };
  });
  for (const [part, [is, wanted]] of Object.entries(colours)) assert.equal(is, wanted, part);
  await close();
});

test("without WebGL 2, stills and index are the walkthrough, with its notes, languages and a sentence why", { skip }, async () => {
  const { page, close } = await furnishedPage(site, { viewport: PHONE, expected });
  await page.addInitScript(() => {
    const { getContext } = HTMLCanvasElement.prototype;
    HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
      return kind === "webgl2" ? null : getContext.call(this, kind, ...more);
    };
  });
  await page.goto(`${site.url}#room=parlour`);
  await page.getByText("it lacks WebGL 2").waitFor();
  assert.equal(await focused(page), "Parlour", "the address leads to its room");
  assert.deepEqual(await violations(page), []);
  assert.ok(await page.getByText("The walls were plastered anew in 2019.").isVisible());
  // By the index, then by a door.
  await page.getByRole("navigation", { name: "Rooms" }).getByRole("button", { name: "Kitchen" }).click();
  assert.equal(await focused(page), "Kitchen");
  assert.match(await page.evaluate(() => location.hash), /^#room=kitchen/);
  await page.locator("enfilade-walk .ways").nth(1).getByRole("button", { name: "Great barn" }).click();
  assert.equal(await focused(page), "Great barn (1/2)");
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").goTo("hall")), true);
  assert.equal(await focused(page), "Entrance hall");
  await page.getByRole("button", { name: "Deutsch" }).click();
  await page.getByText("ihm fehlt WebGL 2").waitFor();
  await page.getByRole("heading", { name: "Küche" }).waitFor();
  await page.getByText("Der Aufzug ist von 1871.").waitFor();
  await close();
});
