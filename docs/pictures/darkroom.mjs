// Makes the pictures of darkroom.md and repairs.md from the example tour, each before and after: node docs/pictures/darkroom.mjs [NAME…]
// ENFILADE names the program; target/release/enfilade else. Look at them before you commit them.
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, renameSync, writeFileSync } from "node:fs";
import { execFileSync } from "node:child_process";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../", import.meta.url));
const program = process.env.ENFILADE ?? join(root, "target/release/enfilade");
const MOST_BYTES = 120_000;

/** Everything that takes the tripod away. */
const TRIPOD = [/^ +- \{ fill: tripod.*\n/m, ""];

/** A room, where one looks in it, and what the tour says after and did not say before: lines that are replaced, of its YAML. */
const PAIRS = {
  bracket: {
    room: "sitting-room/door-end",
    view: ["--looking=60,-2", "--field-of-view", "85"],
    before: [/shots: +# a bracket[^]*?bracket-3\.jpg\n/, "shots: shots/sitting-room-door-end-bracket-2.jpg\n", /^ +tone: \{ highlights.*\n/m, ""],
    after: [/^ +tone: \{ highlights.*\n/m, ""],
  },
  tilt: { room: "landing", view: ["--looking=-60,0", "--field-of-view", "95"], before: [/^ +tilt:.*\n/m, ""], after: [] },
  tone: { room: "bedroom", view: ["--looking=-5,-8", "--field-of-view", "95"], before: [/(bedroom-dark.*\n) +tone:.*\n/, "$1"], after: [] },
  match: {
    room: "bedroom",
    view: ["--looking=170,-6", "--field-of-view", "85"],
    before: [/(bedroom-dark.*\n) +tone:.*\n/, "$1"],
    after: [/(bedroom-dark.*\n +)tone:.*\n/, "$1tone: { match: landing }\n"],
  },
};

/** The same for repairs.md. */
const REPAIRS = {
  "repair-tripod": { room: "kitchen", view: ["--looking=0,-78", "--field-of-view", "75"], before: TRIPOD, after: [] },
  "repair-shadow": { room: "terrace", view: ["--looking=0,-78", "--field-of-view", "80"], before: TRIPOD, after: [] },
  "repair-socket": { room: "hall", view: ["--looking=135.5,-26", "--field-of-view", "40"], before: [/^ +- \{ patch: .*\n/m, ""], after: [] },
  "repair-portrait": { room: "hall", view: ["--looking=50,24", "--field-of-view", "40"], before: [/^ +- \{ blur: .*\n/m, ""], after: [] },
};

/** The sample's description with each of the expressions replaced; it fails where one is not found. */
const changed = (replacements) => {
  let tour = readFileSync(join(root, "sample-tour/tour.yaml"), "utf8");
  for (let index = 0; index < replacements.length; index += 2) {
    const without = tour.replace(replacements[index], replacements[index + 1]);
    if (without === tour) throw new Error(`${replacements[index]} is not in sample-tour/tour.yaml`);
    tour = without;
  }
  return tour;
};

/** One flat view, as good a JPEG as fits. */
const take = (folder, name, { room, view }, replacements) => {
  writeFileSync(join(folder, "tour.yaml"), changed(replacements));
  for (let quality = 86; ; quality -= 4) {
    const out = join(folder, "out");
    const size = ["--width", "760", "--quality", String(quality)];
    execFileSync(program, ["export", folder, "--to", out, "--quiet", "--room", room, ...view, ...size], { stdio: "inherit" });
    const made = join(out, `${room.replace("/", "-")}.jpg`);
    if (statSync(made).size <= MOST_BYTES) return renameSync(made, join(root, `docs/pictures/${name}.jpg`));
  }
};

const folder = mkdtempSync(join(tmpdir(), "darkroom-"));
for (const part of ["shots", "notes", "plans", "retouch"]) cpSync(join(root, "sample-tour", part), join(folder, part), { recursive: true });
mkdirSync(join(folder, "out"));
const all = { ...Object.fromEntries(Object.entries(PAIRS).map(([name, pair]) => [`darkroom-${name}`, pair])), ...REPAIRS };
const names = process.argv.length > 2 ? process.argv.slice(2) : Object.keys(all);
for (const name of names) {
  for (const when of ["before", "after"]) take(folder, `${name}-${when}`, all[name], all[name][when]);
}
rmSync(folder, { recursive: true });
