// What a visitor loads before the first picture: all modules and styles, comments and all, are small.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { gzipSync } from "node:zlib";

/** Comments go at publishing; blank lines and those that are nothing but a comment stand for them here. */
const withoutComments = (text) => text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*(\/\/.*)?\n/gm, "");

test("scripts and styles are at most 30 KB compressed", () => {
  const folder = new URL("../../static/", import.meta.url);
  const files = readdirSync(folder).filter((name) => /^[^.]+\.(js|css)$/.test(name));
  assert.ok(files.includes("enfilade-walk.js"));
  const bytes = files.reduce((sum, name) => sum + gzipSync(withoutComments(readFileSync(new URL(name, folder), "utf8"))).length, 0);
  assert.ok(bytes <= 30 * 1024, `${bytes} bytes`);
});
