// Runs the program itself: ENFILADE where that is set, else the debug build.

import assert from "node:assert/strict";
import { execFile, spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

const PROGRAM = process.env.ENFILADE ?? fileURLToPath(new URL("../../target/debug/enfilade", import.meta.url));

/** A new folder; call `remove` at the end. */
export const temporaryFolder = async () => {
  const folder = await mkdtemp(join(tmpdir(), "enfilade-"));
  return { folder, remove: () => rm(folder, { recursive: true, force: true }) };
};

/** Runs a command that prints JSON and must succeed. */
const run = async (...words) => {
  const { error, out, said } = await new Promise((done) => execFile(PROGRAM, [...words, "--json"], (failed, stdout, stderr) => done({ error: failed, out: stdout, said: stderr })));
  assert.ok(!error, `${PROGRAM} ${words.join(" ")}: ${error?.message}\n${out}${said}`);
  return JSON.parse(out);
};

/** Builds a tour into a folder. Gives what `enfilade build --json` says. */
export const build = (tour, to) => run("build", tour, "--to", to);

/** Exports finished pictures into a folder. Gives what `enfilade export --json` says. */
export const exportFiles = (tour, to, ...words) => run("export", tour, "--to", to, ...words);

/** Gives what `enfilade check --json` says. */
export const check = (tour) => run("check", tour);

/** Starts the preview of a tour and waits for its address. `said` holds the lines of both streams; `stop` ends it. */
export const preview = async (tour) => {
  const child = spawn(PROGRAM, ["preview", tour], { stdio: ["ignore", "pipe", "pipe"] });
  const said = [];
  const end = () => child.kill();
  process.once("exit", end);
  const gone = new Promise((done) => child.once("close", done));
  const url = await new Promise((found, failed) => {
    child.once("error", failed);
    gone.then(() => failed(new Error(`the preview ended: ${said.join("\n")}`)));
    for (const stream of [child.stdout, child.stderr]) {
      createInterface(stream).on("line", (line) => {
        said.push(line);
        const address = /The preview is at (http:\S+)/.exec(line);
        if (address) found(address[1]);
      });
    }
  });
  const stop = () => {
    process.removeListener("exit", end);
    end();
    return gone;
  };
  return { url, said, stop };
};
