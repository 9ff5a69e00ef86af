// What a screen ought to show, worked out from the sphere's formula and the definition of a flat view with none of the program's code, and
// how far a screenshot is from it.

import { bare, look, newPage, open, pixels } from "./harness.mjs";
import { MARKERS, marked } from "./spheres.mjs";

/** Views that pass over face centres, edges and corners, ±180° and the poles. Longitude counts from the picture's centre column. */
export const VIEWS = [
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

/** More views for the markers that VIEWS leave out. */
export const MORE_VIEWS = [
  { longitude: 135, elevation: -30, fieldOfView: 90 },
  { longitude: -90, elevation: 20, fieldOfView: 94 },
  { longitude: -45, elevation: -20, fieldOfView: 90 },
  { longitude: -135, elevation: 17, fieldOfView: 90 },
  { longitude: 90, elevation: -10, fieldOfView: 94 },
  { longitude: 5, elevation: -45, fieldOfView: 80 },
];

/** The room's station in walk.json: the one named, else the first. */
export const stationOf = (site, room, id) => {
  const { stations } = site.walk.rooms.find((one) => one.id === room);
  return stations.find((one) => one.id === id) ?? stations[0];
};

/** Opens a room bare of marks. Gives a function that looks at a longitude and returns the screen. */
export const standIn = async (site, room, station, options) => {
  const { page, close } = await newPage(site.browser, options);
  const { headingDeg, id } = stationOf(site, room, station);
  await open(page, `${site.url}#room=${room}&station=${id}&heading=1&elevation=1&fov=50`);
  await bare(page);
  const show = async ({ longitude, elevation, fieldOfView }) => {
    await look(page, { heading: longitude + (headingDeg ?? 0), elevation, fieldOfView });
    return pixels(page);
  };
  return { page, close, show };
};

/** What a flat view of a sphere shows at a pixel: the definition of the gnomonic projection, pixel centres at i + 0.5. Gives a function
 * that fills in rgb for a column and a row. */
export const flatView = (sphere, { longitude, elevation, fieldOfView }, { width, height }) => {
  const [lon, lat] = [(longitude * Math.PI) / 180, (elevation * Math.PI) / 180];
  const focal = width / 2 / Math.tan((fieldOfView * Math.PI) / 360);
  return (x, y, rgb) => {
    const [r, u] = [x + 0.5 - width / 2, height / 2 - y - 0.5];
    const [high, far] = [u * Math.cos(lat) + focal * Math.sin(lat), focal * Math.cos(lat) - u * Math.sin(lat)];
    const length = Math.hypot(r, u, focal);
    sphere((r * Math.cos(lon) + far * Math.sin(lon)) / length, high / length, (far * Math.cos(lon) - r * Math.sin(lon)) / length, rgb);
  };
};

/** A screenshot as such a function. */
export const screen = ({ data, width }) => (x, y, rgb) => {
  for (let i = 0; i < 3; i++) rgb[i] = data[3 * (y * width + x) + i];
};

/** Peak signal to noise ratio of what is shown to what is wanted, in decibels, and the worst difference. Every third row is enough and
 * takes a third of the time. */
export const compare = (shown, wanted, { width, height }) => {
  const byte = (value) => Math.min(Math.max(Math.round(value), 0), 255);
  const [is, ought] = [[0, 0, 0], [0, 0, 0]];
  let [sum, worst, count] = [0, 0, 0];
  for (let y = 1; y < height; y += 3) {
    for (let x = 0; x < width; x++) {
      shown(x, y, is);
      wanted(x, y, ought);
      for (let i = 0; i < 3; i++) {
        const wrong = byte(is[i]) - byte(ought[i]);
        sum += wrong * wrong;
        worst = Math.max(worst, Math.abs(wrong));
      }
      count += 3;
    }
  }
  return { decibels: 10 * Math.log10((255 * 255 * count) / sum), worst };
};

/** How near a screenshot is to the sphere's formula. */
export const psnr = (shown, sphere, view) => compare(screen(shown), flatView(sphere, view, shown), shown);

/** Every marker of the marker sphere that a view shows: which one, and how many pixels its light is from where it should be. */
export const markersIn = (shown, view) => {
  const wanted = flatView(marked, view, shown);
  const rgb = [0, 0, 0];
  const should = (x, y) => {
    wanted(x, y, rgb);
    return rgb[0];
  };
  return MARKERS.flatMap(({ direction }, index) => {
    const place = placeOf(direction, view, shown);
    if (!place) return [];
    const [is, ought] = [centroid((x, y) => shown.data[3 * (y * shown.width + x)], place), centroid(should, place)];
    return [{ index, off: Math.hypot(is.x - ought.x, is.y - ought.y) }];
  });
};

/** Where a direction falls in a view, well inside it; null elsewhere. */
const placeOf = (direction, { longitude, elevation, fieldOfView }, { width, height }) => {
  const [right, up, ahead] = direction.map((part) => part / Math.hypot(...direction));
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

/** Faces by the table of ARB_texture_cube_map, section 3.8.10: a to the right, b down. */
export const ON_FACE = [(a, b) => [1, -b, -a], (a, b) => [-1, -b, a], (a, b) => [a, 1, b], (a, b) => [a, -1, -b], (a, b) => [a, -b, 1], (a, b) => [-a, -b, -1]];

/** The worst line along the edges of tiles and faces in a view, in 255ths, and how many runs of places were looked at. */
export const worstLine = (shown, view, level) => {
  const means = stepsAcrossEdges(shown, view, level).map((steps) => Math.abs(steps.reduce((sum, step) => sum + step) / steps.length));
  return { worst: Math.max(0, ...means), runs: means.length };
};

/** Along every edge of a tile or a face, in runs of 24 places: how much the step across it exceeds the mean of the two beside it. Single
 * pixels carry the noise of JPEG; a line is what remains in the mean of a run. */
const stepsAcrossEdges = (shown, view, { facePx, contentPx, files }) => {
  const edges = [-1, ...Array.from({ length: files - 1 }, (_, i) => (2 * (i + 1) * contentPx) / facePx - 1), 1];
  const runs = [];
  for (const onFace of ON_FACE) {
    for (const edge of edges) {
      for (const along of [(c) => onFace(edge, c), (c) => onFace(c, edge)]) {
        let run = [];
        for (let c = -1; c <= 1; c += 0.002) {
          const step = stepAcross(shown, placeOf(along(c), view, shown), placeOf(along(c + 1e-4), view, shown));
          if (step !== null) run.push(step);
          if (run.length === 24) [run] = [[], runs.push(run)];
        }
      }
    }
  }
  return runs;
};

/** The excess of the step across an edge that passes through `from` towards `to`; the channel where it is largest. */
const stepAcross = ({ data, width }, from, to) => {
  if (!from || !to) return null;
  const steep = Math.abs(to.y - from.y) > Math.abs(to.x - from.x);
  const [x, y] = steep ? [Math.floor(from.x - 0.5), Math.floor(from.y)] : [Math.floor(from.x), Math.floor(from.y - 0.5)];
  const stride = 3 * (steep ? 1 : width);
  const excess = [0, 1, 2].map((channel) => {
    const at = 3 * (y * width + x) + channel;
    const [far, near, beyond, last] = [data[at - stride], data[at], data[at + stride], data[at + 2 * stride]];
    return beyond - near - (near - far + (last - beyond)) / 2;
  });
  return excess.reduce((most, one) => (Math.abs(one) > Math.abs(most) ? one : most));
};
