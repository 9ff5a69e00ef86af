// The live preview in a browser, while a tour changes under it: what is followed without loading the page again, what loads it again, and
// what is said when something is wrong. The tests run in order, on one tour and one page, as a photographer would work.

import assert from "node:assert/strict";
import { copyFile, mkdir, readFile, rename, writeFile } from "node:fs/promises";
import { request } from "node:http";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { equirectangular } from "./fixture.mjs";
import { DESKTOP, PHONE, launch, look, newPage, pixels, viewOf } from "./harness.mjs";
import { preview, temporaryFolder } from "./program.mjs";
import { furnished } from "./spheres.mjs";
import { byClick, standsIn } from "./ways.mjs";

const TEMPLATES = fileURLToPath(new URL("../../templates", import.meta.url));

const DESCRIPTION = `title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - { id: hall, title: Entrance hall, shots: shots/hall.png, heading: 90 }
      - { id: kitchen, title: Kitchen, shots: shots/kitchen.png, heading: 300 }
doors:
  - { between: [hall, kitchen], seen-from: { hall: { spot: [0, -3] }, kitchen: { spot: [-30, -3] } } }
`;

/** A plain room of one colour, saved as an editor saves: beside it, then in its place. */
const writeShot = async (folder, name, wall) => {
  await equirectangular(1024, furnished(wall, [110, 80, 60])).png().toFile(join(folder, "shots", `${name}.new`));
  await rename(join(folder, "shots", `${name}.new`), join(folder, "shots", name));
};

/** A small tour in a new folder. `describe` writes its tour.yaml. */
const smallTour = async (described) => {
  const { folder, remove } = await temporaryFolder();
  const describe = (text) => writeFile(join(folder, "tour.yaml"), text);
  await mkdir(join(folder, "shots"));
  await writeShot(folder, "hall.png", [214, 203, 186]);
  await writeShot(folder, "kitchen.png", [190, 206, 214]);
  await describe(described);
  return { folder, remove, describe };
};

/** What the server says while it is away is no fault of the page. */
const WHILE_AWAY = ["ERR_CONNECTION_REFUSED", "ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_EMPTY_RESPONSE", "ERR_CONNECTION_RESET"];

let [browser, tour, live, page, closePage] = [];
let away = false;
const asked = [];
before(async () => {
  browser = await launch();
  tour = await smallTour(DESCRIPTION);
  live = await preview(tour.folder);
  ({ page, close: closePage } = await newPage(browser, { excused: (text) => away && WHILE_AWAY.some((part) => text.includes(part)) }));
  page.on("request", (one) => asked.push(new URL(one.url()).pathname));
});
after(async () => {
  await live?.stop();
  await browser?.close();
  await tour?.remove();
});

const panel = () => page.getByRole("complementary", { name: "Preview" });
const walkNow = () => page.evaluate(async () => (await fetch(document.querySelector("enfilade-walk").getAttribute("src"))).json());
/** Waits until a room's plate, the walk's title and a condition of the page's own hold. */
const plateSays = (title, room) =>
  page.waitForFunction(
    (wanted) => {
      const plate = document.querySelector("enfilade-walk")?.shadowRoot?.querySelector(".names");
      return plate?.querySelector("h1").textContent === wanted[0] && plate.querySelector(".room").textContent === wanted[1];
    },
    [title, room],
  );
/** Marks the page, so that loading it again would show. */
const markPage = () => page.evaluate(() => (window.stayed = true));
const stayed = () => page.evaluate(() => window.stayed === true);

test("the walkthrough opens as soon as it is made, without a word of the preview's", async () => {
  await page.goto(live.url);
  await page.waitForFunction(() => window.seen?.some(({ name }) => name === "enfilade-ready"));
  await plateSays("Larkmere Mill", "Entrance hall");
  await panel().waitFor({ state: "hidden" });
});

test("a changed title, room and heading are followed without loading the page again; room and view stay", async () => {
  const walk = await walkNow();
  const [{ stations: [hall] }] = walk.rooms;
  await byClick(page, walk, { station: hall, index: 0, hotspot: hall.hotspots[0] });
  await look(page, { heading: 281, elevation: -4, fieldOfView: 71 });
  const view = await viewOf(page);
  await markPage();
  await tour.describe(DESCRIPTION.replace("Larkmere Mill", "Larkmere Old Mill").replace("title: Kitchen", "title: Mill kitchen").replace("heading: 300", "heading: 310"));
  await plateSays("Larkmere Old Mill", "Mill kitchen");
  assert.deepEqual(await viewOf(page), view);
  const door = (await walkNow()).rooms[1].stations[0].hotspots[0];
  assert.equal(door.heading, 280, "the door is where the picture has it: 30° left of a centre column that faces 310 now");
  // The view is 71° wide and looks at 281: the door's mark stands a little to the left of the window's middle.
  const mark = await page.getByRole("button", { name: "Go to Entrance hall" }).boundingBox();
  const middle = DESKTOP.width / 2 - (DESKTOP.width / 2 / Math.tan((35.5 * Math.PI) / 180)) * Math.tan(Math.PI / 180);
  assert.ok(Math.abs(mark.x + mark.width / 2 - middle) < 1, `the mark stands at ${mark.x + mark.width / 2}, should be ${middle}`);
  assert.ok(await stayed());
});

/** Notes of every frame that is drawn from now on how much detail it has: the mean difference of neighbouring pixels. */
const film = () =>
  page.evaluate(() => {
    window.details = [];
    const canvas = document.querySelector("enfilade-walk").shadowRoot.querySelector("canvas");
    const detail = () => {
      const { width, height } = canvas;
      const bytes = new Uint8Array(4 * width * height);
      canvas.getContext("webgl2").readPixels(0, 0, width, height, 6408, 5121, bytes);
      let sum = 0;
      for (let i = 4; i < bytes.length; i += 4) sum += Math.abs(bytes[i + 1] - bytes[i - 3]);
      return sum / width / height;
    };
    const ask = window.requestAnimationFrame;
    window.requestAnimationFrame = (draw) => ask((time) => {
      const before_ = window.drawn;
      draw(time);
      if (window.drawn > before_) window.details.push(detail());
    });
    // One frame of the picture as it is.
    const { view } = document.querySelector("enfilade-walk");
    document.querySelector("enfilade-walk").look({ heading: view.heading + 0.01 });
    document.querySelector("enfilade-walk").look(view);
  });

test("a changed picture is shown at once and sharp, the view stays, and only that station's tiles are asked for", async () => {
  const [before_, formerFolder] = [await pixels(page), (await walkNow()).rooms[1].stations[0].folder];
  const view = await viewOf(page);
  await film();
  // While it moves, a slow device reads pictures plainly; then once more, finely.
  await page.waitForTimeout(600);
  const former = await page.evaluate(() => window.details.splice(0).at(-1));
  asked.length = 0;
  await writeShot(tour.folder, "kitchen.png", [216, 120, 90]);
  await page.waitForFunction(
    async (folder) => (await (await fetch("walk.json")).json()).rooms[1].stations[0].folder !== folder,
    formerFolder,
    { polling: 200 },
  );
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view?.room === "kitchen");
  await reddens(before_);
  const { folder } = (await walkNow()).rooms[1].stations[0];
  const tiles = asked.filter((path) => path.startsWith("/stations/"));
  assert.ok(tiles.length > 1);
  assert.deepEqual(tiles.filter((path) => !path.startsWith(`/${folder}/`)), []);
  await page.waitForTimeout(600);
  const details = await page.evaluate(() => window.details);
  assert.ok(details.every((detail) => detail > 0.99 * Math.min(former, details.at(-1))), `${former}; no frame is softer than both pictures: ${details.map((detail) => detail.toFixed(2))}`);
  assert.deepEqual(await viewOf(page), view);
  assert.ok(await stayed());
});

/** Waits until the middle of the screen is redder than it was. */
const reddens = async (former) => {
  const redness = ({ data, width, height }) => {
    const at = 3 * (Math.floor(height / 3) * width + Math.floor(width / 3));
    return data[at] - data[at + 2];
  };
  for (let tries = 0; redness(await pixels(page)) < redness(former) + 40; tries++) assert.ok(tries < 60, "the new picture does not come");
};

test("a tour's own template loads the page again; the address keeps room and view", async () => {
  const view = await viewOf(page);
  await page.evaluate(() => (window.seen.length = 0));
  const own = (await readFile(join(TEMPLATES, "index.html"), "utf8")).replace('<main class="plain">', '<main class="plain" id="own-template">');
  await mkdir(join(tour.folder, "templates"));
  await writeFile(join(tour.folder, "templates/index.html"), own);
  await page.locator("#own-template").waitFor({ state: "attached" });
  await page.waitForFunction(() => window.seen?.some(({ name }) => name === "enfilade-ready"));
  assert.equal(await stayed(), false);
  assert.deepEqual(await viewOf(page), view);
  await plateSays("Larkmere Old Mill", "Mill kitchen");
});

test("a broken description shows its problems with their places; the walkthrough stays usable", async () => {
  await markPage();
  await tour.describe(DESCRIPTION.replace("heading: 90", "heading: 900").replace("between: [hall, kitchen]", "between: [hall, kitchn]"));
  await panel().getByText("2 problems. The last good walkthrough stays up.").waitFor();
  const places = await panel().locator(".enfilade-preview-place").allInnerTexts();
  assert.deepEqual(places.map((place) => place.split("/").at(-1)), ["tour.yaml:6:75", "tour.yaml:9:23"]);
  assert.ok(await panel().getByText("kitchn").first().isVisible());
  assert.ok(await page.getByRole("alert").filter({ hasText: "2 problems." }).count(), "a screen reader hears of it");
  // The same stands in the terminal.
  assert.ok(live.said.some((line) => line.includes("tour.yaml:6:75")), live.said.join("\n"));
  await page.getByRole("button", { name: "Rooms" }).click();
  await page.getByRole("dialog").locator(".all").getByRole("button", { name: "Entrance hall" }).click();
  await standsIn(page, { room: "hall", station: "hall" });
  const walk = await walkNow();
  const [{ stations: [hall] }] = walk.rooms;
  await byClick(page, walk, { station: hall, index: 0, hotspot: hall.hotspots[0] });
  assert.ok(await stayed());
});

test("the panel folds away, and leaves doors and rooms free on a phone", async () => {
  await page.setViewportSize(PHONE);
  await page.getByRole("button", { name: "Rooms" }).click();
  await page.getByRole("button", { name: "Close" }).click();
  const summary = panel().getByText("2 problems.");
  await summary.click();
  await panel().getByText("kitchn").first().waitFor({ state: "hidden" });
  await summary.click();
  await panel().getByText("kitchn").first().waitFor();
  await page.setViewportSize(DESKTOP);
});

test("mended, the panel goes", async () => {
  await tour.describe(DESCRIPTION);
  await panel().waitFor({ state: "hidden" });
  await plateSays("Larkmere Mill", "Kitchen");
  assert.ok(await stayed());
});

/** The status of a request whose path is sent as it is written; `fetch` would tidy it up first. */
const statusOf = (path) =>
  new Promise((done, failed) => {
    const { hostname, port } = new URL(live.url);
    request({ hostname, port, path, agent: false }, (response) => done(response.resume().statusCode)).on("error", failed).end();
  });

test("a request cannot leave the site", async () => {
  assert.equal(await statusOf("/walk.json"), 200);
  await copyFile(join(tour.folder, "tour.yaml"), join(tour.folder, "templates/notes.txt"));
  const outside = ["/tour.yaml", "/shots/hall.png", "/.enfilade/", "/templates/notes.txt", "/../tour.yaml", "/stations/../../tour.yaml", "/%2e%2e/tour.yaml",
    "/..%2ftour.yaml", "/..%5ctour.yaml", "/preview/../../tour.yaml", `/${tour.folder}/tour.yaml`, "//etc/passwd", "/../../../../etc/passwd"];
  for (const path of outside) assert.equal(await statusOf(path), 404, path);
});

test("the page says so when the preview is ended, and has had no other fault", async () => {
  away = true;
  await live.stop();
  await panel().getByText("The preview does not answer.").waitFor();
  await page.mouse.move(700, 300);
  const former = await viewOf(page);
  await page.keyboard.press("ArrowRight");
  assert.notEqual((await viewOf(page)).heading, former.heading, "the walkthrough goes on as far as it has come");
  await closePage();
});

test("a description that is broken from the start has a page that waits, and the walk comes when it is mended", async () => {
  const broken = await smallTour(DESCRIPTION.replace("shots/kitchen.png", "shots/kitchn.png"));
  const waiting = await preview(broken.folder);
  const { page: other, close } = await newPage(browser);
  await other.goto(waiting.url);
  await other.getByRole("heading", { name: "No walkthrough yet" }).waitFor();
  await other.getByText("1 problem. There is no walkthrough yet.").first().waitFor();
  const place = await other.locator(".enfilade-preview-place").innerText();
  assert.match(place, /tour\.yaml:7:\d+$/);
  await broken.describe(DESCRIPTION);
  await other.waitForFunction(() => window.seen?.some(({ name }) => name === "enfilade-ready"));
  assert.equal((await viewOf(other)).room, "hall");
  // The rooms stand at once, in grey; when all are made there is no more to say.
  await other.getByRole("complementary", { name: "Preview" }).waitFor({ state: "hidden" });
  await close();
  await waiting.stop();
  await broken.remove();
});
