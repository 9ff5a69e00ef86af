// How quick the preview is: `node benches/preview.mjs SHOTS [TIMES]`, with a folder of equirectangular pictures.
//
// Each time a tour of those pictures is previewed with a cold store, in a browser that is open already. Medians, in milliseconds: from the start of the program
// until the page shows the walkthrough; until the opening room is sharp; from a saved tour.yaml until the page says what it says. Needs Chromium and the packages
// below tests/; ENFILADE names the program. Aims: 300, 1000 after the page asks, 150.

import { mkdir, mkdtemp, readdir, rename, rm, symlink, writeFile } from "node:fs/promises";
import { spawn } from "node:child_process";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { createRequire } from "node:module";

const require = createRequire(new URL("../tests/package.json", import.meta.url));
const { chromium } = require("playwright-core");
const PROGRAM = process.env.ENFILADE ?? fileURLToPath(new URL("../target/release/enfilade", import.meta.url));
const FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"];

const [from, times = "5"] = process.argv.slice(2);
const shots = (await readdir(from)).filter((name) => /\.jpe?g$/i.test(name)).sort().slice(0, 12);
const tour = await mkdtemp(join(tmpdir(), "enfilade-preview-"));
await mkdir(join(tour, "shots"));
for (const name of shots) await symlink(resolve(from, name), join(tour, "shots", name));
const rooms = shots.map((name, i) => `      - { id: room-${i}, title: Room ${i}, shots: shots/${name} }`).join("\n");
const doors = shots.slice(1).map((_, i) => `  - { between: [room-${i}, room-${i + 1}], seen-from: { room-${i}: { spot: [30, -8] }, room-${i + 1}: { spot: [-150, -8] } } }`).join("\n");
/** Saves as most editors do: beside, then renamed. */
const write = async (title) => {
  await writeFile(join(tour, "saved"), `title: ${title}\nfloors:\n  - id: ground\n    title: Ground floor\n    rooms:\n${rooms}\ndoors:\n${doors}\n`);
  await rename(join(tour, "saved"), join(tour, "tour.yaml"));
};
const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];

const measure = async (browser) => {
  await rm(join(tour, ".enfilade"), { recursive: true, force: true });
  await write("Larkmere Mill");
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  let whole = 0;
  page.on("response", (response) => (whole += /\/stations\/room-0-[0-9a-f]{16}\/\d+\//.test(response.url()) ? 1 : 0));
  const start = performance.now();
  const program = spawn(PROGRAM, ["preview", tour], { stdio: ["ignore", "pipe", "ignore"] });
  try {
    const url = await new Promise((found) => program.stdout.on("data", (text) => {
      const address = /The preview is at (http:\S+)/.exec(text);
      if (address) found(address[1]);
    }));
    await page.addInitScript(() => {
      window.settled = 0;
      document.addEventListener("enfilade-settled", () => (window.settled += 1), { capture: true });
    });
    const asked = performance.now();
    await page.goto(url, { waitUntil: "commit" });
    await page.waitForFunction(() => document.querySelector("enfilade-walk")?.shadowRoot?.querySelector(".room")?.textContent === "Room 0", undefined, { polling: 5 });
    const stood = performance.now();
    while (whole === 0) await new Promise((later) => setTimeout(later, 5));
    const before = await page.evaluate(() => window.settled);
    await page.waitForFunction((count) => window.settled > count, before, { polling: 5, timeout: 60_000 });
    const sharp = performance.now();
    const saves = [];
    for (const title of ["One", "Two", "Three"]) {
      await page.waitForTimeout(300);
      const saved = performance.now();
      await write(title);
      await page.waitForFunction((wanted) => document.querySelector("enfilade-walk").shadowRoot.querySelector("h1").textContent === wanted, title, { polling: 5, timeout: 60_000 });
      saves.push(performance.now() - saved);
    }
    return { page: stood - start, sharp: sharp - asked, save: median(saves) };
  } finally {
    program.kill();
    await page.close();
  }
};

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: FLAGS });
const all = [];
for (let i = 0; i < Number(times); i++) all.push(await measure(browser));
const say = (key) => `${median(all.map((one) => one[key])).toFixed(0)} (${all.map((one) => one[key].toFixed(0)).join(", ")})`;
console.log(`from the start until the page stands:        ${say("page")} ms\nfrom asking until the room is sharp:         ${say("sharp")} ms\nfrom saving until the page says it:          ${say("save")} ms`);
await browser.close();
await rm(tour, { recursive: true });
