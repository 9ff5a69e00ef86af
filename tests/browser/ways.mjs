// Ways through a walk: which there are, and how a visitor goes through them. Everything is read from walk.json, so that it holds for any
// site.

import assert from "node:assert/strict";
import { look, settledAfter, viewOf } from "./harness.mjs";

/** Whether two headings are the same, within the tenth of a degree that an address keeps. */
export const close = (one, other, within = 0.06) => Math.abs(((one - other + 540) % 360) - 180) <= within;

/** Every way out of every station; `index` counts the station's hotspots. */
export const waysOf = ({ rooms }) =>
  rooms.flatMap((room) =>
    room.stations.flatMap((station) =>
      station.hotspots.map((hotspot, index) => ({ room, station, index, hotspot })).filter((way) => way.hotspot.kind !== "note"),
    ),
  );

/** Waits until the element says that one stands there. */
export const standsIn = (page, { room, station }) =>
  page.waitForFunction(
    ([roomId, stationId]) => {
      const { view } = document.querySelector("enfilade-walk");
      return view?.room === roomId && view.station === stationId;
    },
    [room, station],
  );

/** Goes to a station by the element's own method. */
export const goTo = async (page, room, station) => {
  const there = await viewOf(page);
  if (there?.room === room && there.station === station) return;
  await settledAfter(page, (walk, [to, at]) => walk.goTo(to, at), [room, station]);
};

/** Goes through a way and checks that one looks onward, with the field of view that one had. */
const looksOnward = async (page, walk, { station, hotspot }, go) => {
  const { fieldOfView } = await viewOf(page);
  await go();
  await standsIn(page, hotspot.to);
  const { opening } = walk.rooms.find(({ id }) => id === hotspot.to.room).stations.find(({ id }) => id === hotspot.to.station);
  const wanted = hotspot.arriveHeading ?? opening.heading;
  const view = await viewOf(page);
  assert.ok(close(view.heading, wanted), `${station.id} → ${hotspot.to.station}: heading ${view.heading}, should be ${wanted}`);
  assert.ok(Math.abs(view.fieldOfView - fieldOfView) < 1e-9, "the field of view is kept");
};

/** What a hotspot's button is called in English. */
export const nameOf = ({ kind, name }) => ({ door: `Go to ${name}`, step: `Walk on in ${name}`, note: `Note: ${name}` })[kind];

/** Turns to a way's mark and clicks it; nothing may lie over it. */
export const byClick = async (page, walk, way) => {
  const { heading, elevation } = way.hotspot;
  if (!close((await viewOf(page)).heading, heading)) await look(page, { heading, elevation });
  await looksOnward(page, walk, way, () => page.locator("enfilade-walk .mark").and(page.getByRole("button", { name: nameOf(way.hotspot), exact: true })).click());
};

/** Reaches a way's mark by Tab, which turns to it, and presses Enter. The focus is on the picture afterwards. */
export const byKeys = async (page, walk, way) => {
  await page.locator("enfilade-walk .picture").focus();
  const focused = () => page.evaluate(() => document.querySelector("enfilade-walk").shadowRoot.activeElement?.getAttribute("aria-label"));
  const [wanted, most] = [nameOf(way.hotspot), way.station.hotspots.length];
  for (let press = 0; press < most && (await focused()) !== wanted; press++) await page.keyboard.press("Tab");
  assert.equal(await focused(), wanted);
  await page.waitForFunction(() => !document.querySelector("enfilade-walk").shadowRoot.activeElement.classList.contains("away"));
  await looksOnward(page, walk, way, () => page.keyboard.press("Enter"));
  await page.waitForFunction(() => document.querySelector("enfilade-walk").shadowRoot.activeElement?.className === "picture");
};

/** Walks from where one stands until every way out of every station has been gone through, each time to the nearest that has not. Gives
 * the ways that could not be reached. */
export const wander = async (page, walk, through) => {
  const ways = waysOf(walk);
  const left = new Set(ways);
  for (;;) {
    const path = pathToNew(ways, await viewOf(page), left);
    if (!path) return [...left].map(({ station, hotspot }) => `${station.id} → ${hotspot.to.station}`);
    for (const way of path) {
      await through(page, walk, way);
      left.delete(way);
    }
  }
};

/** The shortest path from a station whose last way is one of `left`, by breadth first; null where there is none. */
const pathToNew = (ways, here, left) => {
  const keyOf = ({ room, station }) => `${room}/${station}`;
  const seen = new Set([keyOf(here)]);
  const paths = [{ at: keyOf(here), path: [] }];
  // Longer paths are appended while it runs.
  for (const { at, path } of paths) {
    const out = ways.filter(({ room, station }) => keyOf({ room: room.id, station: station.id }) === at);
    const fresh = out.find((way) => left.has(way));
    if (fresh) return [...path, fresh];
    for (const way of out.filter(({ hotspot }) => !seen.has(keyOf(hotspot.to)))) {
      seen.add(keyOf(way.hotspot.to));
      paths.push({ at: keyOf(way.hotspot.to), path: [...path, way] });
    }
  }
  return null;
};
