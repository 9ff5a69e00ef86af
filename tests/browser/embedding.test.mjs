// The walk in other people's pages: in a frame on another origin, and as an element among text.

import assert from "node:assert/strict";
import { createServer } from "node:http";
import { after, before, test } from "node:test";
import { start } from "./harness.mjs";

let [site, server, host] = [];
const pages = {};
before(async () => {
  site = await start();
  server = createServer((request, response) => {
    const body = pages[request.url];
    response.writeHead(body ? 200 : 404, { "content-type": "text/html; charset=utf-8" }).end(body ?? "");
  });
  await new Promise((listening) => server.listen(0, "127.0.0.1", listening));
  // Another port is another origin; another name is another site besides.
  host = `http://localhost:${server.address().port}`;
});
after(async () => {
  await new Promise((closed) => server?.close(closed) ?? closed());
  await site?.stop();
});

const ALLOW = "fullscreen; clipboard-write; accelerometer; gyroscope; magnetometer; xr-spatial-tracking";

test("in a frame on another origin one walks, fills the screen and copies a link", async () => {
  pages["/frame"] = `<!doctype html><title>A lettings page</title><h1>To let</h1><iframe title="Walk" width="800" height="500" allow="${ALLOW}" src="${site.url}"></iframe>`;
  pages["/bare"] = pages["/frame"].replace(/ allow="[^"]*"/, "");
  const context = await site.browser.newContext({ viewport: { width: 1000, height: 800 }, reducedMotion: "reduce" });
  const errors = [];
  for (const [path, mayAll] of [["/frame", true], ["/bare", false]]) {
    const page = await context.newPage();
    // The page around has no icon, and a frame that may not copy is told so by the browser.
    const isExpected = (message) => message.location().url.endsWith("favicon.ico") || (!mayAll && message.text().includes("The Clipboard API has been blocked"));
    page.on("console", (message) => message.type() === "error" && !isExpected(message) && errors.push(message.text()));
    page.on("pageerror", (error) => errors.push(String(error)));
    await page.goto(`${host}${path}`);
    const frame = page.frameLocator("iframe");
    const door = site.walk.rooms[0].stations[0].hotspots.find(({ kind }) => kind === "door");
    await frame.getByRole("button", { name: `Go to ${door.name}` }).click();
    await frame.locator("enfilade-walk .room").filter({ hasText: door.name }).waitFor();
    await frame.getByRole("button", { name: "More" }).click();
    await frame.getByRole("button", { name: "Copy a link to this view" }).waitFor();
    const full = frame.getByRole("button", { name: "Full screen", exact: true });
    assert.equal(await full.count(), mayAll ? 1 : 0, path);
    await frame.getByRole("button", { name: "Copy a link to this view" }).click();
    if (mayAll) {
      await full.click();
      await page.waitForFunction(() => document.fullscreenElement?.tagName === "IFRAME");
      await page.evaluate(() => document.exitFullscreen());
    }
    // Copied, or shown to be copied by hand: either way the visitor gets it.
    await frame.getByRole("status").filter({ hasText: "The link is copied." }).or(frame.getByRole("textbox")).first().waitFor();
    assert.equal(await page.title(), "A lettings page");
    assert.equal(page.url(), `${host}${path}`, "the page around the frame keeps its address");
    await page.close();
  }
  await context.close();
  assert.deepEqual(errors, []);
});

test("as an element among text it keeps to its box, and leaves the page its title and styles", async () => {
  const context = await site.browser.newContext({ viewport: { width: 1000, height: 800 }, reducedMotion: "reduce" });
  const page = await context.newPage();
  const errors = [];
  page.on("pageerror", (error) => errors.push(String(error)));
  await page.route("**/host.html", (route) =>
    route.fulfill({
      contentType: "text/html",
      body: `<!doctype html><html lang="en"><title>Our houses</title><h1>Our houses</h1><button id="other">Other</button>
        <div id="place"><enfilade-walk src="walk.json"></enfilade-walk></div><p>Call us.</p><script type="module" src="viewer-test/enfilade-walk.js"></script>`,
    }),
  );
  await page.goto(`${site.url}host.html`);
  await page.evaluate(() => {
    Object.assign(document.querySelector("#place").style, { width: "600px", height: "420px" });
    const walk = document.querySelector("enfilade-walk");
    window.told = [];
    for (const name of ["enfilade-ready", "enfilade-room", "enfilade-view", "enfilade-settled"]) walk.addEventListener(name, ({ detail }) => window.told.push([name, detail?.room]));
  });
  await page.waitForFunction(() => window.told.some(([name]) => name === "enfilade-ready"));
  const [box, place] = [await page.locator("enfilade-walk .walk").boundingBox(), await page.locator("#place").boundingBox()];
  assert.deepEqual(box, place);
  await page.getByRole("button", { name: "Rooms" }).click();
  await page.locator("enfilade-walk .sheet[open] h2").waitFor();
  const sheet = await page.locator("enfilade-walk .sheet").boundingBox();
  // Its layout follows its own width, not the window's: at 600 pixels it is a narrow one.
  assert.ok(sheet.x >= place.x && sheet.x + sheet.width <= place.x + 600 && sheet.y >= place.y + 210 - 1 && sheet.y + sheet.height <= place.y + 420, JSON.stringify(sheet));
  assert.equal(await page.title(), "Our houses");
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").goTo("kitchen")), true);
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").view.room), "kitchen");
  assert.ok((await page.evaluate(() => window.told)).some(([name, room]) => name === "enfilade-room" && room === "kitchen"));
  await page.locator("#other").focus();
  assert.equal(await page.evaluate(() => document.activeElement.id), "other", "the walk takes no focus by itself");
  await context.close();
  assert.deepEqual(errors, []);
});
