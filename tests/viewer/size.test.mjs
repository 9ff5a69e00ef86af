// What a visitor loads before the first picture, all modules and styles, is small; what a headset takes besides is too.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { gzipSync } from "node:zlib";

/** Comments go at publishing; blank lines and those that are nothing but a comment stand for them here. */
const withoutComments = (text) => text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*(\/\/.*)?\n/gm, "");

/** Bytes of the viewer's files of some names, each compressed by itself, as they travel. */
const compressed = (wanted) => {
  const folder = new URL("../../static/", import.meta.url);
  const files = readdirSync(folder).filter((name) => /^[^.]+\.(js|css)$/.test(name) && wanted(name));
  assert.ok(files.length > 0);
  return files.reduce((sum, name) => sum + gzipSync(withoutComments(readFileSync(new URL(name, folder), "utf8"))).length, 0);
};
/** Loaded when a visitor asks for the headset, and not before: see the browser tests. */
const forHeadset = (name) => name.startsWith("immersive-");

test("scripts and styles are at most 30 KB compressed", (t) => {
  const bytes = compressed((name) => !forHeadset(name));
  t.diagnostic(`${bytes} bytes`);
  assert.ok(bytes <= 30 * 1024, `${bytes} bytes`);
});

test("what a headset takes besides is at most 10 KB", (t) => {
  const bytes = compressed(forHeadset);
  t.diagnostic(`${bytes} bytes`);
  assert.ok(bytes <= 10 * 1024, `${bytes} bytes`);
});
