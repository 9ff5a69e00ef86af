// What a visitor loads before the first picture, as it is published, is small. built.test.mjs weighs the program's own output.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { gzipSync } from "node:zlib";
import { firstLoad } from "./first-load.mjs";

/** What publishing takes away: comments, blank lines, blanks beside punctuation. Comments that share a line with something else stay here, a few
 * bytes too many. */
const published = (text) => text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*(\/\/.*)?\n/gm, "").replace(/^[ \t]+/gm, "").replace(/ ?([^\w\s$#"'`/.+-]) ?/g, "$1");

const STATIC = new URL("../../static/", import.meta.url);
const read = (name) => readFileSync(new URL(name, STATIC), "utf8");
const weigh = (files) => files.reduce((sum, name) => sum + gzipSync(published(read(name))).length, 0);

for (const language of ["de", "en", "es", "fr"]) {
  test(`in ${language}, scripts and styles of the first load are at most 29.7 KB compressed, its words among them`, (t) => {
    const files = firstLoad(read);
    const later = ["gyroscope.js", "immersive.js", "passage.js", "sheets.js", "sheet-plan.js", "note-panel.js", "stills.js"];
    assert.ok(files.includes("stage.js") && later.every((name) => !files.includes(name)), "what comes on demand is left out");
    assert.ok(files.every((name) => !name.includes("words-")), "no language is loaded but the visitor's");
    const bytes = weigh([...files, `words-${language}.js`]);
    t.diagnostic(`${bytes} bytes in ${files.length + 1} files`);
    assert.ok(bytes <= 29.7 * 1024, `${bytes} bytes`);
  });
}

test("what a headset takes besides is at most 10.5 KB", (t) => {
  const files = readdirSync(STATIC).filter((name) => name.startsWith("immersive-"));
  assert.ok(files.includes("immersive-visit.js"));
  const bytes = weigh(files);
  t.diagnostic(`${bytes} bytes in ${files.length} files`);
  assert.ok(bytes <= 10.5 * 1024, `${bytes} bytes`);
});
