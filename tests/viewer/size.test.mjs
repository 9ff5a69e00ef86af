// What a visitor loads before the first picture, as it is published, is small. built.test.mjs weighs the program's own output.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { gzipSync } from "node:zlib";
import { firstLoad } from "./first-load.mjs";

/** What publishing takes away: comments, blank lines, blanks beside punctuation. Comments that share a line with something else stay here, a few
 * bytes too many. */
const published = (text) => text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*(\/\/.*)?\n/gm, "").replace(/^[ \t]+/gm, "").replace(/ ?([^\w\s$#"'`/.+-]) ?/g, "$1");

test("scripts and styles of the first load are at most 30 KB compressed", (t) => {
  const read = (name) => readFileSync(new URL(`../../static/${name}`, import.meta.url), "utf8");
  const files = firstLoad(read);
  assert.ok(files.includes("stage.js") && ["gyroscope.js", "immersive.js", "sheets.js", "sheet-plan.js", "note-panel.js", "stills.js", "words-de.js"].every((name) => !files.includes(name)), "what comes on demand is left out");
  const bytes = files.reduce((sum, name) => sum + gzipSync(published(read(name))).length, 0);
  t.diagnostic(`${bytes} bytes in ${files.length} files`);
  assert.ok(bytes <= 30 * 1024, `${bytes} bytes`);
  // A walk in another language loads its words too.
  const others = readdirSync(new URL("../../static/", import.meta.url)).filter((name) => /^words-.+\.js$/.test(name) && !files.includes(name));
  const other = Math.max(...others.map((name) => gzipSync(published(read(name))).length));
  assert.ok(bytes + other <= 31.5 * 1024, `${bytes} and ${other} bytes`);
});

test("what a headset takes besides is at most 9 KB", (t) => {
  const folder = new URL("../../static/", import.meta.url);
  const files = readdirSync(folder).filter((name) => name.startsWith("immersive-"));
  assert.ok(files.includes("immersive-visit.js"));
  const bytes = files.reduce((sum, name) => sum + gzipSync(published(readFileSync(new URL(name, folder), "utf8"))).length, 0);
  t.diagnostic(`${bytes} bytes in ${files.length} files`);
  assert.ok(bytes <= 9 * 1024, `${bytes} bytes`);
});
