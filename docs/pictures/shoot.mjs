// Takes the pictures of the guide and the README again, from the sample tour as the program builds it now:
//
//   tests/run tools && cargo build --release && ENFILADE=target/release/enfilade node docs/pictures/shoot.mjs [NAME…]
//
// Every picture is at most 150 kB. Look at them before you commit them.

import { cp, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { DESKTOP, PHONE, launch, newPage, open, siteIn, viewOf } from "../../tests/browser/harness.mjs";
import { build, temporaryFolder } from "../../tests/browser/program.mjs";

const HERE = fileURLToPath(new URL(".", import.meta.url));
const SAMPLE = fileURLToPath(new URL("../../sample-tour", import.meta.url));
const LEFT_OUT = new Set(["site", ".enfilade", "scene"]);
const MOST_BYTES = 150_000;

/** What is looked at, on which screen, and what is done there before the picture is taken. */
const PICTURES = {
  "walk-sitting-room": { viewport: DESKTOP, address: "#room=sitting-room&station=hearth" },
  "walk-hall": { viewport: DESKTOP, address: "" },
  "walk-phone": { viewport: PHONE, address: "#room=kitchen" },
  "guide-door": { viewport: DESKTOP, address: "#room=hall&heading=241&elevation=-6&fov=70" },
  "guide-door-entered": { viewport: DESKTOP, address: "#room=hall&heading=241&elevation=-6&fov=70", before: (page) => press(page, "Kitchen") },
  "guide-note": { viewport: DESKTOP, address: "#room=hall&heading=276&elevation=2&fov=80", before: (page) => press(page, "Tobias Larkin") },
  "guide-step": { viewport: DESKTOP, address: "#room=sitting-room&station=door-end&heading=76&elevation=-10&fov=90" },
  "guide-stairs": { viewport: DESKTOP, address: "#room=landing&heading=300&elevation=-14&fov=95" },
  "guide-phone": { viewport: PHONE, address: "#room=terrace" },
};

/** Presses a mark, and waits until one has gone where it leads. */
const press = async (page, name) => {
  const before = (await viewOf(page)).room;
  await page.getByRole("button", { name: new RegExp(name) }).first().click();
  if (name === "Kitchen") await page.waitForFunction((room) => document.querySelector("enfilade-walk").view.room !== room, before);
};

/** As good a JPEG as fits. */
const shot = async (page) => {
  for (let quality = 88; ; quality -= 4) {
    const jpeg = await page.screenshot({ type: "jpeg", quality });
    if (jpeg.length <= MOST_BYTES || quality <= 40) return jpeg;
  }
};

const take = async (browser, url, { viewport, address, before }) => {
  const { page, close } = await newPage(browser, { viewport });
  await open(page, url + address);
  await before?.(page);
  // Labels and pictures of notes come a moment after the tiles.
  await page.waitForLoadState("networkidle");
  await page.waitForTimeout(1200);
  const jpeg = await shot(page);
  await close();
  return jpeg;
};

const names = process.argv.length > 2 ? process.argv.slice(2) : Object.keys(PICTURES);
const work = await temporaryFolder();
const browser = await launch();
try {
  const tour = join(work.folder, "tour");
  await cp(SAMPLE, tour, { recursive: true, filter: (path) => !LEFT_OUT.has(basename(path)) });
  await build(tour, join(work.folder, "site"));
  const site = await siteIn(join(work.folder, "site"), browser);
  for (const name of names) {
    const jpeg = await take(browser, site.url, PICTURES[name]);
    await writeFile(join(HERE, `${name}.jpg`), jpeg);
    console.log(`${name}.jpg: ${Math.round(jpeg.length / 1000)} kB`);
  }
  await site.stop();
} finally {
  await browser.close();
  await work.remove();
}
