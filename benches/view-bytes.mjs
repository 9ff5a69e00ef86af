// What a visitor loads for one sharp view: `node benches/view-bytes.mjs SHOTS [WORK]`, with a folder of equirectangular pictures.
// WORK is a folder in which the tour and its sites are kept: a second run then builds only what has changed.
//
// The program builds a tour of those pictures, at its default quality and with `--small`; a fresh browser opens one view after the other,
// and everything that comes over the wire until the view is sharp is counted, page and viewer included, as a host sends it
// (text compressed by gzip, pictures as they are). Needs Chromium and the packages below tests/; ENFILADE names the program.
// Aims, median of 24 views of 1366 × 768 at 90°: 750 KB, with `--small` 550 KB; a phone's view less.

import { createServer } from "node:http";
import { mkdir, mkdtemp, readFile, readdir, rm, symlink, writeFile } from "node:fs/promises";
import { execFileSync } from "node:child_process";
import { tmpdir } from "node:os";
import { extname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { createRequire } from "node:module";

const require = createRequire(new URL("../tests/package.json", import.meta.url));
const { chromium } = require("playwright-core");
const PROGRAM = process.env.ENFILADE ?? fileURLToPath(new URL("../target/release/enfilade", import.meta.url));
const VIEWS = 24;
const DEVICES = {
  "1366 × 768 at 90°": { viewport: { width: 1366, height: 768 }, deviceScaleFactor: 1, fov: 90 },
  "phone, 390 × 844 at 1": { viewport: { width: 390, height: 844 }, deviceScaleFactor: 1, hasTouch: true, isMobile: true, fov: 45.9 },
  "phone, 390 × 844 at 2": { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true, fov: 45.9 },
  "phone, 390 × 844 at 3": { viewport: { width: 390, height: 844 }, deviceScaleFactor: 3, hasTouch: true, isMobile: true, fov: 45.9 },
};
const FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"];
const TYPES = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".json": "application/json", ".jpg": "image/jpeg" };

const [from, kept] = process.argv.slice(2);
const shots = (await readdir(from)).filter((name) => /\.jpe?g$/i.test(name)).sort().slice(0, 12);
const work = resolve(kept ?? (await mkdtemp(join(tmpdir(), "enfilade-bytes-"))));
await rm(join(work, "shots"), { recursive: true, force: true });
await mkdir(join(work, "shots"), { recursive: true });
for (const name of shots) await symlink(resolve(from, name), join(work, "shots", name));
const rooms = shots.map((name, i) => `      - { id: room-${i}, title: Room ${i}, shots: shots/${name} }`).join("\n");
const doors = shots.slice(1).map((_, i) => `  - { between: [room-${i}, room-${i + 1}], seen-from: { room-${i}: { spot: [30, -8] }, room-${i + 1}: { spot: [-150, -8] } } }`).join("\n");
await writeFile(join(work, "tour.yaml"), `title: Views\nfloors:\n  - id: ground\n    title: Ground floor\n    rooms:\n${rooms}\ndoors:\n${doors}\n`);

/** Serves a folder; `sent` counts the bytes of every answer with 200 bytes for its head. */
const serve = async (folder) => {
  const count = { sent: 0 };
  const server = createServer(async (request, response) => {
    const path = new URL(request.url, "http://x").pathname;
    const file = join(folder, path.endsWith("/") ? `${path}index.html` : path);
    const body = await readFile(file).catch(() => null);
    if (!body) return response.writeHead(404).end();
    const text = extname(file) !== ".jpg";
    const bytes = text ? gzipSync(body, { level: 9 }) : body;
    count.sent += bytes.length + 200;
    response.writeHead(200, { "content-type": TYPES[extname(file)], ...(text ? { "content-encoding": "gzip" } : {}) }).end(bytes);
  });
  await new Promise((listening) => server.listen(0, "127.0.0.1", listening));
  return { count, url: `http://127.0.0.1:${server.address().port}/`, close: () => server.close() };
};

const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];
const kilobytes = (bytes) => (bytes / 1000).toFixed(0);

/** What a fresh visitor loads until a view of a site is sharp. A browser of its own for each view: one that draws by software has closed itself,
 * without a word why, after some 130 of them. */
const bytesOf = async ({ url, count }, { fov, ...context }, i) => {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: FLAGS });
  try {
    const page = await browser.newPage(context);
    // What is fetched ahead afterwards is not part of the view.
    await page.addInitScript(() => {
      Object.defineProperty(navigator, "connection", { value: { saveData: true } });
      document.addEventListener("enfilade-ready", () => (window.ready = true), { capture: true });
    });
    count.sent = 0;
    await page.goto(`${url}#room=room-${i % shots.length}&heading=${(i * 360) / VIEWS}&elevation=${[-12, 0, 8][i % 3]}&fov=${fov}`);
    await page.waitForFunction(() => window.ready, { timeout: 120_000 });
    return count.sent;
  } finally {
    await browser.close();
  }
};

for (const [name, options] of [["default quality", []], ["--small", ["--small"]]]) {
  const site = join(work, name.replace(/\W/g, ""));
  execFileSync(PROGRAM, ["build", work, "--to", site, "--quiet", ...options], { stdio: ["ignore", "ignore", "inherit"] });
  const server = await serve(site);
  for (const [device, how] of Object.entries(DEVICES)) {
    const loaded = [];
    for (let i = 0; i < VIEWS; i++) loaded.push(await bytesOf(server, how, i));
    console.log(`${name}, ${device}: median ${kilobytes(median(loaded))} KB (${kilobytes(Math.min(...loaded))} to ${kilobytes(Math.max(...loaded))}) of ${loaded.length} views`);
  }
  server.close();
}
if (!kept) await rm(work, { recursive: true, force: true });
