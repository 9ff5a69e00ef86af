// What every browser test needs: a site on loopback, Chromium with a known way of drawing, and a page on which any error of the console
// fails the test. The site is ENFILADE_SITE where that is set, else the fixture.

import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { extname, join, normalize } from "node:path";
import assert from "node:assert/strict";
import { chromium } from "playwright-core";
import sharp from "sharp";
import { fixtureSite } from "./fixture.mjs";

const TYPES = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".json": "application/json", ".jpg": "image/jpeg", ".svg": "image/svg+xml", ".png": "image/png" };
/** SwiftShader draws the same everywhere; the colour profile keeps bytes as they are. */
const FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist", "--disable-quic", "--no-first-run", "--disable-background-networking", "--force-color-profile=srgb"];

/** Desktop and phone. */
export const DESKTOP = { width: 1366, height: 768 };
export const PHONE = { width: 390, height: 844 };

/** Serves a folder on loopback. */
const serve = async (folder) => {
  const server = createServer(async (request, response) => {
    const path = decodeURIComponent(new URL(request.url, "http://x").pathname);
    const file = join(folder, normalize(path.endsWith("/") ? `${path}index.html` : path));
    try {
      const body = await readFile(file);
      response.writeHead(200, { "content-type": TYPES[extname(file)] ?? "application/octet-stream" }).end(body);
    } catch {
      response.writeHead(404).end();
    }
  });
  await new Promise((listening) => server.listen(0, "127.0.0.1", listening));
  return { url: `http://127.0.0.1:${server.address().port}/`, close: () => new Promise((closed) => server.close(closed)) };
};

/** Whether the site is one made by something else than fixture.mjs. */
export const foreignSite = process.env.ENFILADE_SITE !== undefined;

/** Chromium, without any window. */
export const launch = () => chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: FLAGS });

/** Serves a site's folder to pages of this browser; call `stop` at the end. */
export const siteIn = async (folder, browser) => {
  const walk = JSON.parse(await readFile(join(folder, "walk.json"), "utf8"));
  const server = await serve(folder);
  return { browser, url: server.url, walk, stop: server.close };
};

/** Starts everything; call `stop` at the end. */
export const start = async () => {
  const browser = await launch();
  const site = await siteIn(process.env.ENFILADE_SITE ?? (await fixtureSite()), browser);
  const stop = async () => {
    await browser.close();
    await site.stop();
  };
  return { ...site, stop };
};

/** A page that knows its own errors, and counts it as one to ask another site for anything. `expected` lists texts of errors that a test
 * provokes; `excused` says of an error whether it belongs to what goes on just then. */
export const newPage = async (browser, { viewport = DESKTOP, expected = [], excused = () => false, reducedMotion = "reduce", ...more } = {}) => {
  const context = await browser.newContext({ viewport, deviceScaleFactor: 1, reducedMotion, ...more });
  const page = await context.newPage();
  const errors = [];
  const note = (text) => expected.some((part) => text.includes(part)) || excused(text) || errors.push(text);
  page.on("console", (message) => message.type() === "error" && note(`${message.text()} ${message.location().url}`));
  page.on("pageerror", (error) => note(String(error)));
  page.on("request", (request) => {
    const [asked, own] = [new URL(request.url()), new URL(page.url())];
    if (!request.isNavigationRequest() && asked.protocol.startsWith("http") && asked.host !== own.host) note(`asked for ${asked}`);
  });
  await page.addInitScript(() => {
    window.seen = [];
    window.drawn = 0;
    for (const name of ["enfilade-ready", "enfilade-room", "enfilade-view", "enfilade-settled"]) {
      document.addEventListener(name, (event) => window.seen.push({ name, detail: event.detail }), { capture: true });
    }
    const draw = WebGL2RenderingContext.prototype.drawArrays;
    WebGL2RenderingContext.prototype.drawArrays = function (...how) {
      window.drawn += 1;
      return draw.apply(this, how);
    };
  });
  const close = async () => {
    await context.close();
    assert.deepEqual(errors, [], "the page has errors");
  };
  return { page, close };
};

/** Opens an address and waits until its first view is sharp. */
export const open = async (page, url) => {
  await page.goto(url);
  await page.waitForFunction(() => window.seen.some(({ name }) => name === "enfilade-ready"));
};

/** Does something to the element and waits until the view that follows is settled. */
export const settledAfter = (page, action, argument) =>
  page.evaluate(
    async ([text, given]) => {
      const walk = document.querySelector("enfilade-walk");
      const settled = new Promise((done) => walk.addEventListener("enfilade-settled", done, { once: true }));
      await new Function("walk", "given", `return (${text})(walk, given)`)(walk, given);
      await settled;
      return walk.view;
    },
    [action.toString(), argument],
  );

export const look = (page, view) => settledAfter(page, (walk, given) => walk.look(given), view);
export const viewOf = (page) => page.evaluate(() => document.querySelector("enfilade-walk").view);
export const eventsOf = (page, name) => page.evaluate((wanted) => window.seen.filter((event) => event.name === wanted), name);

/** Hides all but the picture. */
export const bare = (page) =>
  page.evaluate(() => {
    const { shadowRoot } = document.querySelector("enfilade-walk");
    for (const part of shadowRoot.querySelectorAll(".marks, .plate, .status")) part.style.display = "none";
  });

/** A screenshot as raw RGB. */
export const pixels = async (page) => {
  const { data, info } = await sharp(await page.screenshot()).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return { data, width: info.width, height: info.height };
};
