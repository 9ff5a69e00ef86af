// Makes the small pictures of tone.md from the example tour: node docs/pictures/tones.mjs
// ENFILADE names the program; target/release/enfilade else.
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, renameSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../", import.meta.url));
const program = process.env.ENFILADE ?? join(root, "target/release/enfilade");
const folder = mkdtempSync(join(tmpdir(), "tones-"));
cpSync(join(root, "sample-tour/shots/hall.jpg"), join(folder, "hall.jpg"));

const pairs = Object.entries({
  exposure: "exposure: #1",
  highlights: "highlights: #1",
  shadows: "shadows: #1",
  contrast: "contrast: #0.6",
  "local-contrast": "local-contrast: #1",
  saturation: "saturation: #0.7",
});
const tones = [
  ["none", ""],
  ...pairs.flatMap(([name, tone]) => [[`${name}-less`, tone.replace("#", "-")], [`${name}-more`, tone.replace("#", "")]]),
  ["temperature-less", "white-balance: { temperature: 4500 }"],
  ["temperature-more", "white-balance: { temperature: 9000 }"],
  ["tint-less", "white-balance: { temperature: 6504, tint: -15 }"],
  ["tint-more", "white-balance: { temperature: 6504, tint: 15 }"],
  ["sharpening-more", "sharpening: 1"],
];
for (const [name, tone] of tones) {
  writeFileSync(
    join(folder, "tour.yaml"),
    `title: Larkmere Mill\nfloors:\n  - id: ground\n    title: Ground\n    rooms:\n      - { id: hall, title: Hall, shots: hall.jpg, tone: { ${tone} } }\n`,
  );
  const view = ["--looking=-55,-2", "--field-of-view", "80", "--width", "260", "--quality", "82"];
  execFileSync(program, ["export", folder, "--to", folder + "/out", "--quiet", ...view], { stdio: "inherit" });
  renameSync(join(folder, "out/hall.jpg"), join(root, `docs/pictures/tone-${name}.jpg`));
}
