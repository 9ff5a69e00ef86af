// The viewer's words: every language says everything, with the same gaps; a walk's own texts come in the language asked for.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { Walk } from "../../static/walk.js";
import { wordsOf } from "../../static/words.js";
import { firstLoad } from "./first-load.mjs";

const STATIC = new URL("../../static/", import.meta.url);
const tags = (file) => readdirSync(STATIC).flatMap((name) => name.match(new RegExp(`^${file}-(.+)\\.js$`))?.[1] ?? []).sort();
const wordsIn = async (file, language) => (await import(new URL(`${file}-${language}.js`, STATIC).href)).default;
const languages = await Promise.all(tags("words").map(async (language) => [language, { ...(await wordsIn("words", language)), ...(await wordsIn("panel-words", language)) }]));
const english = Object.fromEntries(languages).en;
const gaps = (text) => [...text.matchAll(/\{(\w+)\}/g)].map(([, name]) => name).sort();

test("the languages are English, German, French and Spanish", () => {
  assert.deepEqual(tags("words"), ["de", "en", "es", "fr"]);
  assert.deepEqual(tags("panel-words"), tags("words"));
});

test("what stands over the picture is said by the words that are loaded with it", async () => {
  const scripts = firstLoad((name) => readFileSync(new URL(name, STATIC), "utf8")).filter((name) => name.endsWith(".js") && name !== "words.js");
  const said = scripts.flatMap((name) => {
    const calls = readFileSync(new URL(name, STATIC), "utf8").matchAll(/say(?:\?\.)?\((?=((?:[^()"]|"\w+")*))/g);
    return [...calls].flatMap(([, given]) => [...given.matchAll(/"(\w+)"/g)].map(([, word]) => word));
  });
  assert.ok(said.includes("goTo") && said.includes("walkMissing") && said.length > 12, `${said}`);
  // A kind of hotspot, compared on the way to its word.
  const known = new Set([...Object.keys(await wordsIn("words", "en")), "step"]);
  assert.deepEqual(said.filter((word) => !known.has(word)), []);
});

for (const [language, words] of languages) {
  test(`${language} says everything, with the same gaps, and nothing twice as English does`, () => {
    assert.deepEqual(Object.keys(words).sort(), Object.keys(english).sort());
    for (const [word, text] of Object.entries(words)) {
      assert.ok(text.trim() !== "", word);
      assert.deepEqual(gaps(text), gaps(english[word]), word);
      assert.equal(text.split("\n").length, english[word].split("\n").length, `${word}: as many lines`);
    }
    for (const list of ["directions", "directionLetters"]) assert.equal(words[list].split(", ").length, 8, list);
    const same = Object.keys(words).filter((word) => language !== "en" && words[word] === english[word]);
    // Words that two languages share, and a text that is nothing but a name.
    assert.ok(same.every((word) => ["entered", "plan", "note", "planOf", "directionLetters"].includes(word)), `${same}`);
  });
}

test("a country falls back on its language, an unknown language on English, and gaps are filled", async () => {
  assert.equal((await wordsOf("de-CH"))("goTo", { name: "Küche" }), "Gehe zu: Küche");
  assert.equal((await wordsOf("FR"))("rooms"), "Pièces");
  assert.equal((await wordsOf("it"))("goTo", { name: "Cucina" }), "Go to Cucina");
  assert.equal((await wordsOf("en"))("goTo"), "Go to ");
  assert.equal((await wordsOf("es", { panels: true }))("close"), "Cerrar");
});

const file = {
  version: 1, title: "Larkmere Mill", summary: "", language: "en", languages: ["en", "de"], opensIn: { room: "hall", station: "hall" }, tileBorderPx: 2,
  floors: [{ id: "ground", title: { en: "Ground floor", de: "Erdgeschoss" }, plan: null }],
  rooms: [{ id: "hall", title: { en: "Hall" }, floor: "ground", stations: [{ id: "hall", headingDeg: 0, hotspots: [
    { kind: "note", name: { en: "Hoist", de: "Aufzug" }, text: "1871", picture: { src: "a.jpg", alternative: { en: "Wheel", de: "Rad" } } },
  ] }] }],
};

test("a walk speaks the language asked for, its own where it does not know it or a text lacks it", () => {
  const walk = new Walk(file, new URL("http://127.0.0.1/walk.json"));
  assert.equal(walk.file.floors[0].title, "Ground floor");
  const german = walk.speaking("de");
  assert.equal(german.language, "de");
  assert.equal(german.file.language, "en", "its own language stays what it is");
  assert.deepEqual([german.file.title, german.file.floors[0].title, german.file.rooms[0].title], ["Larkmere Mill", "Erdgeschoss", "Hall"]);
  const [note] = german.file.rooms[0].stations[0].hotspots;
  assert.deepEqual([note.name, note.text, note.picture.alternative, note.picture.src], ["Aufzug", "1871", "Rad", "a.jpg"]);
  assert.equal(german.speaking("en").file.floors[0].title, "Ground floor");
  assert.equal(walk.speaking("fr").language, "en");
  const plain = { ...file };
  delete plain.languages;
  assert.equal(new Walk(plain, walk.url).file, plain, "with one language nothing is copied");
});

test("north is known only where plan and picture know it", () => {
  const knows = (northDeg, headingDeg) => {
    const plan = { drawing: "", origin: [0, 0], size: [1, 1], northDeg };
    const walk = new Walk({ ...file, floors: [{ id: "ground", title: "", plan }] }, new URL("http://127.0.0.1/"));
    const room = { ...walk.file.rooms[0], stations: [{ ...walk.file.rooms[0].stations[0], headingDeg }] };
    return walk.knowsNorth({ room, station: room.stations[0] });
  };
  assert.deepEqual([knows(14, 0), knows(0, 92), knows(null, 92), knows(14, null)], [true, true, false, false]);
});
