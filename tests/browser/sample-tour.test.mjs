// The sample tour as a visitor walks it: built by the program, without a problem found, every room reached through its doors and steps.

import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { cp } from "node:fs/promises";
import { basename, join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { DESKTOP, PHONE, eventsOf, launch, newPage, open, siteIn, viewOf } from "./harness.mjs";
import { build, check, temporaryFolder } from "./program.mjs";
import { byClick, byKeys, wander } from "./ways.mjs";

const SAMPLE = process.env.ENFILADE_SAMPLE ?? fileURLToPath(new URL("../../sample-tour", import.meta.url));
const skip = !existsSync(join(SAMPLE, "tour.yaml")) && "there is no sample-tour/tour.yaml";
/** What the program itself makes beside a tour, and what the pictures were made with. */
const LEFT_OUT = new Set(["site", ".enfilade", "scene"]);

let [work, browser, site, built] = [];
before(async () => {
  if (skip) return;
  work = await temporaryFolder();
  const tour = join(work.folder, "tour");
  await cp(SAMPLE, tour, { recursive: true, filter: (path) => !LEFT_OUT.has(basename(path)) });
  built = { tour, ...(await build(tour, join(work.folder, "site"))) };
  browser = await launch();
  site = await siteIn(join(work.folder, "site"), browser);
});
after(async () => {
  await browser?.close();
  await site?.stop();
  await work?.remove();
});

test("check asks about the socket that was taken out, and build finds nothing to say", { skip }, async () => {
  const { errors, problems } = await check(built.tour);
  assert.equal(errors, 0);
  assert.deepEqual(problems.map(({ what }) => what), ["this hides something that belongs to the house and stays"]);
  assert.deepEqual(built.problems, []);
});

for (const [name, viewport, through] of [["by click", DESKTOP, byClick], ["by keyboard", DESKTOP, byKeys], ["by click on a phone", PHONE, byClick]]) {
  test(`every room is reached through its doors and steps from the opening room, ${name}`, { skip }, async () => {
    const { page, close } = await newPage(browser, { viewport });
    await open(page, site.url);
    const { rooms, opensIn } = site.walk;
    assert.equal((await viewOf(page)).room, opensIn.room);
    assert.deepEqual(await wander(page, site.walk, through), []);
    const entered = new Set((await eventsOf(page, "enfilade-room")).map(({ detail }) => `${detail.room}/${detail.station}`));
    assert.deepEqual([...entered].sort(), rooms.flatMap(({ id, stations }) => stations.map((station) => `${id}/${station.id}`)).sort());
    await close();
  });
}
