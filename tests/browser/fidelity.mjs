// The three checks of what is on the screen, for any site that has the fixture's spheres in its hall, kitchen and barn.

import assert from "node:assert/strict";
import { MORE_VIEWS, VIEWS, markersIn, psnr, standIn, stationOf, worstLine } from "./measures.mjs";
import { MARKERS, detailed, smooth } from "./spheres.mjs";

/** The detailed picture of the hall, at every view at least as near to its formula as asked for. */
export const detailIsShown = async (t, site, least) => {
  const { show, close } = await standIn(site, "hall");
  for (const view of VIEWS) {
    const { decibels, worst } = psnr(await show(view), detailed, view);
    t.diagnostic(`${JSON.stringify(view)}: ${decibels.toFixed(2)} dB, worst ${worst}`);
    assert.ok(decibels >= least, `${JSON.stringify(view)}: ${decibels} dB`);
  }
  await close();
};

/** The markers of the kitchen, each seen somewhere, all within half a pixel of their directions. */
export const markersAreInPlace = async (t, site) => {
  const { show, close } = await standIn(site, "kitchen");
  const found = new Set();
  let farthest = 0;
  for (const view of [...VIEWS, ...MORE_VIEWS]) {
    for (const { index, off } of markersIn(await show(view), view)) {
      farthest = Math.max(farthest, off);
      assert.ok(off <= 0.5, `marker ${index} is ${off} pixels off in ${JSON.stringify(view)}`);
      found.add(index);
    }
  }
  t.diagnostic(`farthest ${farthest.toFixed(3)} pixels`);
  assert.deepEqual(MARKERS.filter((_, i) => !found.has(i)), [], "markers that no view shows");
  await close();
};

/** The smooth picture of the barn, without a line where tiles or faces meet. */
export const noLineShows = async (t, site) => {
  const { show, close } = await standIn(site, "barn", "door-end");
  const [level] = stationOf(site, "barn", "door-end").levels;
  const total = { worst: 0, runs: 0 };
  for (const view of VIEWS) {
    const shown = await show(view);
    const { worst, runs } = worstLine(shown, view, level);
    Object.assign(total, { worst: Math.max(total.worst, worst), runs: total.runs + runs });
    // A crack would show what lies below: first light, which the fixture paints black for this station.
    const { decibels, worst: off } = psnr(shown, smooth, view);
    assert.ok(decibels > 42 && off <= 8, `${JSON.stringify(view)}: ${decibels} dB, ${off} at worst`);
  }
  t.diagnostic(`a step across an edge is at most ${total.worst.toFixed(2)}/255 more than the steps beside it, in ${total.runs} runs`);
  assert.ok(total.runs > 300);
  assert.ok(total.worst <= 2, `a line of ${total.worst}/255`);
  await close();
};
