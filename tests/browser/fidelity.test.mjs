// What is on the screen is what the picture shows there. The wanted pixels are worked out here, from the sphere's formula and the
// definition of a flat view, with none of the program's code.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { DESKTOP, PHONE, bare, foreignSite, look, newPage, open, pixels, settledAfter, start } from "./harness.mjs";
import { MARKERS, detailed, marked, smooth } from "./spheres.mjs";

let site;
before(async () => (site = await start()));
after(() => site?.stop());

/** Longitude −180..180 at which a view looks: rooms of the fixture, and where their centre columns face. */
const VIEWS = [
  { longitude: 0, elevation: 0, fieldOfView: 90 },
  { longitude: 180, elevation: 4, fieldOfView: 90 },
  { longitude: -179.7, elevation: -31, fieldOfView: 70 },
  { longitude: 45, elevation: 35.3, fieldOfView: 90 },
  { longitude: -135, elevation: -35.3, fieldOfView: 84 },
  { longitude: 90, elevation: 45, fieldOfView: 80 },
  { longitude: 33, elevation: 90, fieldOfView: 90 },
  { longitude: -70, elevation: -90, fieldOfView: 75 },
  { longitude: 200, elevation: 88, fieldOfView: 60 },
];

/** The room's station in walk.json. */
const stationOf = (room, id) => {
  const { stations } = site.walk.rooms.find((one) => one.id === room);
  return stations.find((one) => one.id === id) ?? stations[0];
};

/** What a flat view of a sphere shows at a pixel: the definition of the gnomonic projection, pixel centres at i + 0.5. Gives a function
 * that fills in rgb for a column and a row. */
const flatView = (sphere, { longitude, elevation, fieldOfView }, { width, height }) => {
  const [lon, lat] = [(longitude * Math.PI) / 180, (elevation * Math.PI) / 180];
  const focal = width / 2 / Math.tan((fieldOfView * Math.PI) / 360);
  return (x, y, rgb) => {
    const [r, u] = [x + 0.5 - width / 2, height / 2 - y - 0.5];
    const [high, far] = [u * Math.cos(lat) + focal * Math.sin(lat), focal * Math.cos(lat) - u * Math.sin(lat)];
    const length = Math.hypot(r, u, focal);
    sphere((r * Math.cos(lon) + far * Math.sin(lon)) / length, high / length, (far * Math.cos(lon) - r * Math.sin(lon)) / length, rgb);
  };
};

/** Peak signal to noise ratio in decibels, and the worst difference. Every third row is enough and takes a third of the time. */
const psnr = (shown, sphere, view) => {
  const wanted = flatView(sphere, view, shown);
  const rgb = [0, 0, 0];
  let [sum, worst, count] = [0, 0, 0];
  for (let y = 1; y < shown.height; y += 3) {
    for (let x = 0; x < shown.width; x++) {
      wanted(x, y, rgb);
      for (let i = 0; i < 3; i++) {
        const wrong = shown.data[3 * (y * shown.width + x) + i] - Math.min(Math.max(Math.round(rgb[i]), 0), 255);
        sum += wrong * wrong;
        worst = Math.max(worst, Math.abs(wrong));
      }
      count += 3;
    }
  }
  return { decibels: 10 * Math.log10((255 * 255 * count) / sum), worst };
};

/** Opens a room bare of marks. Gives a function that looks at a longitude and returns the screen. */
const standIn = async (room, station, options) => {
  const { page, close } = await newPage(site.browser, options);
  const { headingDeg, id } = stationOf(room, station);
  await open(page, `${site.url}#room=${room}&station=${id}&heading=1&elevation=1&fov=50`);
  await bare(page);
  const show = async ({ longitude, elevation, fieldOfView }) => {
    await look(page, { heading: longitude + (headingDeg ?? 0), elevation, fieldOfView });
    return pixels(page);
  };
  return { page, close, show };
};

test("a detailed picture is shown as a flat view of it, at least 36 dB", async (t) => {
  const { show, close } = await standIn("hall");
  for (const view of VIEWS) {
    const { decibels, worst } = psnr(await show(view), detailed, view);
    t.diagnostic(`${JSON.stringify(view)}: ${decibels.toFixed(2)} dB, worst ${worst}`);
    assert.ok(decibels >= 36, `${JSON.stringify(view)}: ${decibels} dB`);
  }
  await close();
});

test("so it is on a phone's screen with three device pixels for one", async (t) => {
  const { show, close } = await standIn("kitchen", undefined, { viewport: { width: 320, height: 568 }, deviceScaleFactor: 3 });
  const view = { longitude: 40, elevation: 30, fieldOfView: 50 };
  const { decibels } = psnr(await show(view), marked, view);
  t.diagnostic(`${decibels.toFixed(2)} dB`);
  assert.ok(decibels >= 36, `${decibels} dB`);
  await close();
});

/** More views for the markers that VIEWS leave out. */
const MORE_VIEWS = [
  { longitude: 135, elevation: -30, fieldOfView: 90 },
  { longitude: -90, elevation: 20, fieldOfView: 94 },
  { longitude: -45, elevation: -35, fieldOfView: 90 },
  { longitude: -135, elevation: 30, fieldOfView: 90 },
  { longitude: 90, elevation: -10, fieldOfView: 94 },
];

test("markers lie within half a pixel of their directions, and all of them are seen", async (t) => {
  const { show, close } = await standIn("kitchen");
  const found = new Set();
  let farthest = 0;
  for (const view of [...VIEWS, ...MORE_VIEWS]) {
    const shown = await show(view);
    const wanted = flatView(marked, view, shown);
    const rgb = [0, 0, 0];
    const should = (x, y) => {
      wanted(x, y, rgb);
      return rgb[0];
    };
    for (const [i, { direction }] of MARKERS.entries()) {
      const place = placeOf(direction, view, shown);
      if (!place) continue;
      const [is, ought] = [centroid((x, y) => shown.data[3 * (y * shown.width + x)], place), centroid(should, place)];
      const off = Math.hypot(is.x - ought.x, is.y - ought.y);
      farthest = Math.max(farthest, off);
      assert.ok(off <= 0.5, `marker ${i} is ${off} pixels off in ${JSON.stringify(view)}`);
      found.add(i);
    }
  }
  t.diagnostic(`farthest ${farthest.toFixed(3)} pixels`);
  assert.deepEqual(MARKERS.filter((_, i) => !found.has(i)), [], "markers that no view shows");
  await close();
});

/** Where a direction falls in a view, well inside it; null elsewhere. */
const placeOf = ([right, up, ahead], { longitude, elevation, fieldOfView }, { width, height }) => {
  const [lon, lat] = [(longitude * Math.PI) / 180, (elevation * Math.PI) / 180];
  const [side, forward] = [right * Math.cos(lon) - ahead * Math.sin(lon), right * Math.sin(lon) + ahead * Math.cos(lon)];
  const [depth, high] = [forward * Math.cos(lat) + up * Math.sin(lat), up * Math.cos(lat) - forward * Math.sin(lat)];
  if (depth < 0.3) return null;
  const focal = width / 2 / Math.tan((fieldOfView * Math.PI) / 360);
  const [x, y] = [width / 2 + (focal * side) / depth, height / 2 - (focal * high) / depth];
  return x > 20 && y > 20 && x < width - 20 && y < height - 20 ? { x, y } : null;
};

/** The middle of the light round a place, above the dim ground. Pixel centres at i + 0.5. */
const centroid = (lightAt, { x, y }) => {
  let [sum, sumX, sumY] = [0, 0, 0];
  for (let row = Math.floor(y) - 18; row <= y + 18; row++) {
    for (let column = Math.floor(x) - 18; column <= x + 18; column++) {
      const light = Math.max(lightAt(column, row) - 72, 0);
      sum += light;
      sumX += light * (column + 0.5);
      sumY += light * (row + 0.5);
    }
  }
  return { x: sumX / sum, y: sumY / sum };
};

test("no line shows on a smooth picture: tile edges, face edges, ±180°, poles", async (t) => {
  const { show, close } = await standIn("barn", "door-end");
  let worst = 0;
  for (const view of VIEWS) {
    const shown = await show(view);
    worst = Math.max(worst, sharpestLine(shown, 1, 0), sharpestLine(shown, 0, 1));
    const { decibels } = psnr(shown, smooth, view);
    assert.ok(decibels > 42, `${JSON.stringify(view)}: ${decibels} dB`);
  }
  t.diagnostic(`sharpest line: ${worst}/255 more than the step beside it`);
  assert.ok(worst <= 2, `a line of ${worst}/255`);
  await close();
});

/** How much a step from one pixel to the next, to the right or downwards, exceeds both steps beside it, at most: 0 on a slope, however
 * steep. */
const sharpestLine = ({ data, width, height }, right, down) => {
  const stride = 3 * (right + down * width);
  let worst = 0;
  for (let y = down; y < height - 2 * down; y++) {
    for (let i = 3 * (y * width + right); i < 3 * (y * width + width - 2 * right); i++) {
      const here = Math.abs(data[i + stride] - data[i]);
      if (here <= worst) continue;
      const beside = Math.max(Math.abs(data[i] - data[i - stride]), Math.abs(data[i + 2 * stride] - data[i + stride]));
      worst = Math.max(worst, here - beside);
    }
  }
  return worst;
};

test("first light and coarser tiles stand in until the sharp ones stand", { skip: foreignSite && "needs the fixture's files" }, async () => {
  const { page, close } = await newPage(site.browser, { viewport: DESKTOP });
  let letGo = () => {};
  const held = new Promise((done) => (letGo = done));
  await page.route(/\/(1296|648)\//, async (route) => {
    await held;
    await route.continue();
  });
  await page.goto(`${site.url}#room=hall&heading=92&elevation=0&fov=90`);
  await page.waitForFunction(() => document.querySelector("enfilade-walk").view !== null);
  await page.waitForTimeout(800);
  await bare(page);
  const soft = psnr(await pixels(page), detailed, { longitude: 0, elevation: 0, fieldOfView: 90 });
  assert.ok(soft.decibels > 18 && soft.decibels < 30, `soft: ${soft.decibels} dB`);
  await settledAfter(page, (walk, done) => done, letGo());
  const sharp = psnr(await pixels(page), detailed, { longitude: 0, elevation: 0, fieldOfView: 90 });
  assert.ok(sharp.decibels >= 36, `sharp: ${sharp.decibels} dB`);
  await close();
});

test("a phone in portrait shows the field of view that it says", async () => {
  const { show, page, close } = await standIn("hall", undefined, { viewport: PHONE });
  const view = { longitude: 20, elevation: 10, fieldOfView: 45 };
  const shown = await show(view);
  assert.deepEqual([shown.width, shown.height], [390, 844]);
  const { decibels } = psnr(shown, detailed, view);
  assert.ok(decibels > 30, `${decibels} dB`);
  assert.equal(await page.evaluate(() => document.querySelector("enfilade-walk").view.fieldOfView), 45);
  await close();
});
