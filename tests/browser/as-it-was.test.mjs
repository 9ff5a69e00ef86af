// A picture as it was before it was altered, as a view of the walkthrough: one click away, said as long as one sees it, and loaded only where it differs.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import sharp from "sharp";
import { foreignSite, newPage, open, start, viewOf } from "./harness.mjs";

let site, red;
const skip = foreignSite && "needs the fixture's rooms";
before(async () => {
  site = await start();
  red = await sharp({ create: { width: 448, height: 448, channels: 3, background: { r: 200, g: 20, b: 20 } } }).jpeg().toBuffer();
});
after(() => site?.stop());

/** The hall's picture as it was has a red front; nothing else differs. `list`: what the server answers for the list. */
const altered = async ({ list, ...how } = {}) => {
  const { page, close } = await newPage(site.browser, { viewport: { width: 800, height: 500 }, ...how });
  const walk = structuredClone(site.walk);
  const [hall] = walk.rooms[0].stations;
  hall.unaltered = "unaltered/files.json";
  const names = hall.levels.flatMap(({ facePx, files }) =>
    Array.from({ length: files * files }, (_, i) => `${facePx}/pz-r${Math.floor(i / files)}-c${i % files}.jpg`),
  );
  await page.route("**/walk.json", (route) => route.fulfill({ json: walk }));
  await page.route("**/unaltered/files.json", (route) => route.fulfill(list ?? { json: names }));
  await page.route("**/unaltered/**/*.jpg", (route) => route.fulfill({ body: red, contentType: "image/jpeg" }));
  const asked = [];
  page.on("request", (request) => asked.push(new URL(request.url()).pathname.replace(/^.*stations\/hall-[^/]*\//, "hall/")));
  return { page, close, asked, names };
};

const AHEAD = "#room=hall&heading=92&elevation=0&fov=75";
const button = (page, name) => page.getByRole("button", { name, exact: true });
const plate = (page) => page.locator("enfilade-walk .room").textContent();
/** Waits until the plate says so, and the picture is sharp. */
const until = async (page, text) => {
  await page.waitForFunction((wanted) => document.querySelector("enfilade-walk").shadowRoot.querySelector(".room").textContent === wanted, text);
  await page.waitForLoadState("networkidle");
};
/** The colour in the middle of the picture. */
const middle = async (page) => {
  const { data, info } = await sharp(await page.screenshot()).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  const at = 3 * (Math.floor(info.height / 3) * info.width + Math.floor(info.width / 2));
  return [...data.subarray(at, at + 3)];
};
const isRed = ([r, g, b]) => r > 170 && g < 60 && b < 60;

test("the picture as it was is one click away, in the same view, and only what differs is loaded", { skip }, async () => {
  const { page, close, asked } = await altered();
  await open(page, site.url + AHEAD);
  const before_ = await viewOf(page);
  assert.ok(!asked.some((path) => path.includes("unaltered")), "nothing is loaded before it is wanted");
  await button(page, "More").click();
  const toggle = button(page, "See the picture as it was");
  await toggle.waitFor();
  assert.equal(await toggle.getAttribute("aria-pressed"), "false");
  await page.waitForLoadState("networkidle");
  asked.length = 0;
  await toggle.focus();
  await page.keyboard.press("Enter");
  await until(page, "As it was: Entrance hall");
  assert.ok(isRed(await middle(page)), String(await middle(page)));
  assert.deepEqual(await viewOf(page), before_);
  const [script, list, ...tiles] = asked;
  assert.match(script, /as-it-was\.js$/);
  assert.equal(list, "hall/unaltered/files.json");
  assert.ok(tiles.length > 0 && tiles.every((path) => /^hall\/unaltered\/\d+\/pz-/.test(path)), tiles.join(" "));
  assert.equal(await button(page, "See the picture as it was").getAttribute("aria-pressed"), "true");
  assert.equal(await page.locator("enfilade-walk [role=status]").textContent(), "As it was: Entrance hall");
  await page.waitForFunction(() => location.hash.includes("&unaltered=1"));
  // And back: nothing has to be loaded.
  asked.length = 0;
  await page.keyboard.press("Enter");
  await until(page, "Entrance hall");
  assert.ok(!isRed(await middle(page)));
  assert.deepEqual(asked, []);
  await page.waitForFunction(() => !location.hash.includes("unaltered"));
  await close();
});

test("a link leads to it, the next room is as it is shown, and Back leads to it again", { skip }, async () => {
  const { page, close } = await altered();
  await open(page, `${site.url}${AHEAD}&unaltered=1`);
  assert.equal(await plate(page), "As it was: Entrance hall");
  assert.ok(isRed(await middle(page)));
  await page.locator("enfilade-walk .mark.door").first().evaluate((door) => door.click());
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view.room !== "hall");
  assert.ok(!(await plate(page)).includes("As it was"));
  assert.ok(!page.url().includes("unaltered"));
  await button(page, "More").click();
  await button(page, "Left").waitFor();
  await page.waitForLoadState("networkidle");
  assert.equal(await button(page, "See the picture as it was").isVisible(), false, "nothing was altered here");
  await page.goBack();
  await until(page, "As it was: Entrance hall");
  await close();
});

test("where its list cannot be had, a sentence says so and the picture stays", { skip }, async () => {
  const { page, close } = await altered({ list: { status: 503, body: "" }, expected: ["503"] });
  await open(page, site.url + AHEAD);
  await button(page, "More").click();
  await button(page, "See the picture as it was").click();
  await page.getByText("This could not be loaded.").waitFor();
  assert.equal(await plate(page), "Entrance hall");
  assert.ok(!isRed(await middle(page)));
  await close();
});
