// What a visitor loads before the first picture: all modules and styles, comments and all, are small.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { gzipSync } from "node:zlib";

/** Comments go at publishing; blank lines and those that are nothing but a comment stand for them here. */
const withoutComments = (text) => text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*(\/\/.*)?\n/gm, "");

const STATIC = new URL("../../static/", import.meta.url);
const source = (name) => readFileSync(new URL(name, STATIC), "utf8");
const weight = (name) => gzipSync(withoutComments(source(name))).length;

/** A module and all that it imports at once. */
const importedBy = (entry) => {
  const found = new Set([entry]);
  // What is found is looked through in turn.
  for (const name of found) for (const [, next] of source(name).matchAll(/from "\.\/([^"]+)"/g)) found.add(next);
  return [...found];
};

test("scripts, styles and words that come before the visitor asks for more are at most 30 KB compressed", () => {
  const modules = importedBy("enfilade-walk.js");
  const onDemand = ["sheets.js", "sheet-plan.js", "sheet-rooms.js", "sheet-more.js", "note-panel.js", "stills.js", "words-de.js"];
  assert.ok(modules.includes("words-en.js") && !onDemand.some((name) => modules.includes(name)), `${modules}`);
  const words = readdirSync(STATIC).filter((name) => /^words-.+\.js$/.test(name) && !modules.includes(name));
  const other = Math.max(...words.map(weight));
  const [english, most] = [0, other].map((more) => ["enfilade.css", "walk.css", ...modules].reduce((sum, name) => sum + weight(name), more));
  assert.ok(english <= 30 * 1024, `${english} bytes`);
  assert.ok(most <= 31.5 * 1024, `${most} bytes with another language than English`);
});
