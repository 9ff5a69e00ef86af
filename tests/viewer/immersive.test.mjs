// What a headset says, in a picture's terms: rotations against scipy's, windows off the middle against glFrustum, what is pointed at, how
// one arrives, and how long things take.
import assert from "node:assert/strict";
import test from "node:test";
import { cutTo, wrapped } from "../../static/immersive-cards.js";
import { fieldSeen } from "../../static/immersive-eyes.js";
import { Pointers } from "../../static/immersive-pointers.js";
import { Dwell, Fade } from "../../static/immersive-time.js";
import { basisFrom, cardCorners, frustumFrom, gazeOf, hungApart, inFrame, pointedAt, ribbonCorners, turnAcross } from "../../static/immersive-view.js";
import { directionOf, dot, latitudeOf, longitudeOf, onFace, FACES, turnBetween } from "../../static/sphere.js";
import { faceCoordinate, levelFor, tileSpan, tilesInFrustum, tilesInView } from "../../static/tile.js";
import { frustumOf } from "../../static/view.js";
import { near, random, table } from "./reference.mjs";

/** The pose matrix, column by column, of a row of the table of rotations. Its axes right, forward, up are WebXR's x, −z, y. */
const poseOf = (row) => {
  const r = (i, j) => Number(row[`r${i}${j}`]);
  const column = (j, sign) => [sign * r(1, j), sign * r(3, j), -sign * r(2, j), 0];
  return [...column(1, 1), ...column(3, 1), ...column(2, -1), 0.4, 1.6, -0.2, 1];
};

/** glFrustum of the OpenGL 2.1 specification, section 2.11.2, from the tangents to each side. */
const projectionOf = ({ left, right, up, down }) => [
  2 / (left + right), 0, 0, 0, 0, 2 / (up + down), 0, 0, (right - left) / (right + left), (up - down) / (up + down), -1.0002, -1, 0, 0, -0.2, 0,
];
const LEFT_EYE = { left: 1.1, right: 0.8, up: 0.95, down: 1.05 };
const LEVELS = [2608, 1304, 652, 326].map((facePx, i) => ({ facePx, contentPx: [444, 444, 332, 326][i], files: [6, 3, 2, 1][i] }));

test("a head's directions are scipy's, whatever lies ahead of its space", () => {
  for (const row of table("rotation")) {
    const pose = poseOf(row);
    for (const turn of [0, 77, 300]) {
      const { right, up, ahead } = basisFrom(pose, turn);
      near(latitudeOf(ahead), Number(row.fwd_lat), 1e-5, "latitude ahead");
      if (row.fwd_lon !== "") near(turnBetween(Number(row.fwd_lon) + turn, longitudeOf(ahead)), 0, 1e-5, "longitude ahead");
      const [r, u, f] = directionOf(40, 10);
      const probe = /** @type {const} */ ([0, 1, 2]).map((i) => r * right[i] + u * up[i] + f * ahead[i]);
      near(latitudeOf(probe), Number(row.probe_lat), 1e-5, "latitude of the probe");
      near(turnBetween(Number(row.probe_lon) + turn, longitudeOf(probe)), 0, 1e-5, "longitude of the probe");
    }
  }
});

test("a gaze straight up or down keeps the heading of the face", () => {
  for (const pitch of [60, 89.99, 90, -90]) {
    const e = (pitch * Math.PI) / 180;
    const head = { right: [1, 0, 0], up: [0, Math.cos(e), -Math.sin(e)], ahead: [0, Math.sin(e), Math.cos(e)] };
    const turned = Object.fromEntries(Object.entries(head).map(([name, [x, y, z]]) => [name, inFrame([x, y, -z], 33)]));
    const { longitude, latitude } = gazeOf(turned);
    near(longitude, 33, 1e-6, `longitude at ${pitch}`);
    near(latitude, pitch, 1e-6, "latitude");
  }
});

test("an eye's window ends where its tangents say", () => {
  const pose = poseOf(table("rotation").find(({ heading }) => heading === "123.400000000"));
  const { basis, focal, centre } = frustumFrom(projectionOf(LEFT_EYE), pose, 12);
  const clip = (x, y) => [focal[0] * x + centre[0], focal[1] * y + centre[1]];
  near(clip(-LEFT_EYE.left, 0)[0], -1, 1e-12, "left edge");
  near(clip(LEFT_EYE.right, 0)[0], 1, 1e-12, "right edge");
  near(clip(0, LEFT_EYE.up)[1], 1, 1e-12, "upper edge");
  near(clip(0, -LEFT_EYE.down)[1], -1, 1e-12, "lower edge");
  near(dot(basis.right, basis.ahead), 0, 1e-8, "a right angle");
});

test("the tiles of an eye are those its directions meet, and no others", () => {
  const chance = random(7);
  for (const row of table("rotation")) {
    const frustum = frustumFrom(projectionOf(LEFT_EYE), poseOf(row), 360 * chance());
    for (const index of [0, 2]) {
      const chosen = new Set(tilesInFrustum(LEVELS, index, frustum).map(({ face, row: r, column }) => `${face} ${r} ${column}`));
      const met = tilesMet(frustum, LEVELS[index]);
      assert.deepEqual([...met].filter((tile) => !chosen.has(tile)), [], "seen but not chosen");
      // A corner of a tile may be seen between two of the directions tried.
      assert.ok(chosen.size - met.size <= 4, `${chosen.size} chosen, ${met.size} met`);
    }
  }
});

/** The tiles that a fine grid of an eye's directions meets, by brute force over the faces' definition. */
const tilesMet = ({ basis: { right, up, ahead }, focal, centre }, level) => {
  const met = new Set();
  for (let y = -1; y <= 1; y += 1 / 128) {
    for (let x = -1; x <= 1; x += 1 / 128) {
      const [a, b] = [(x - centre[0]) / focal[0], (y - centre[1]) / focal[1]];
      const direction = [0, 1, 2].map((i) => a * right[i] + b * up[i] + ahead[i]);
      const face = FACES.findIndex(({ centre: middle }) => dot(middle, direction) >= Math.max(...direction.map(Math.abs)) - 1e-12);
      const depth = dot(FACES[face].centre, direction);
      const at = (axis) => Math.min(Math.floor(((dot(axis, direction) / depth + 1) / 2) * level.facePx / level.contentPx), level.files - 1);
      met.add(`${face} ${at(FACES[face].down)} ${at(FACES[face].across)}`);
    }
  }
  return met;
};

test("a window in the middle is the page's view", () => {
  const [view, size] = [{ heading: 200, elevation: -35, fieldOfView: 80 }, { width: 1366, height: 768 }];
  assert.deepEqual(tilesInFrustum(LEVELS, 1, frustumOf(view, size)), tilesInView(LEVELS, 1, view, size));
  const [first] = tilesInFrustum(LEVELS, 0, frustumOf(view, size));
  const [row, column] = [first.row, first.column].map((i) => {
    const { start, length } = tileSpan(LEVELS[0], i);
    return faceCoordinate(LEVELS[0], start + length / 2);
  });
  assert.ok(dot(directionOf(200, -35), onFace(FACES[first.face], column, row)) > 0.9, "the nearest first");
});

test("the level gives an eye from 0.75 to 1.5 picture pixels for each of its own", () => {
  for (const width of [500, 900, 1440, 1832, 2064]) {
    const focalPx = width / (LEFT_EYE.left + LEFT_EYE.right);
    const density = LEVELS[levelFor(LEVELS, focalPx)].facePx / 2 / focalPx;
    assert.ok(density >= 0.75 && density < 1.5, `${density} at ${width}`);
  }
});

test("a ray finds the nearest mark within reach, across ±180° and near the poles, and nothing else", () => {
  const target = (longitude, latitude, reach = 4.5) => ({ direction: directionOf(longitude, latitude), reach, longitude });
  const targets = [target(179, 0), target(-178, 0), target(10, 88), target(40, -20, 2)];
  assert.equal(pointedAt(directionOf(-179.2, 0), targets), targets[1]);
  assert.equal(pointedAt(directionOf(180, 0), targets), targets[0]);
  assert.equal(pointedAt(directionOf(-170, 89), targets), targets[2]);
  assert.equal(pointedAt(directionOf(40, -22.1), targets), null);
  assert.equal(pointedAt(directionOf(40, -21.9), targets), targets[3]);
  assert.equal(pointedAt([0, 0, -7], targets)?.longitude, 179, "of any length");
  assert.equal(pointedAt(directionOf(0, 0), []), null);
});

test("cards stand upright and square to the eye, as large as said", () => {
  for (const [longitude, latitude] of [[0, 0], [130, -30], [-90, 60]]) {
    const corners = cardCorners(directionOf(longitude, latitude), { width: 6, height: 4, up: 0 });
    const at = (i) => [...corners.slice(3 * i, 3 * i + 3)];
    const [topLeft, topRight, bottomLeft] = [0, 1, 2].map(at);
    near(topLeft[1], topRight[1], 1e-6, "level");
    const angle = (a, b) => (Math.acos(dot(a, b) / Math.hypot(...a) / Math.hypot(...b)) * 180) / Math.PI;
    near(angle(topLeft, topRight), 6, 0.01, "width");
    near(angle(topLeft, bottomLeft), 4, 0.01, "height");
  }
  const raised = cardCorners(directionOf(20, 0), { width: 1, height: 1, up: 3 });
  near(latitudeOf([raised[0] + raised[9], raised[1] + raised[10], raised[2] + raised[11]]), 3, 0.01, "raised");
});

test("marks in almost one direction hang apart, across ±180° too; the first of them keeps its place, and so do those that are alone", () => {
  const card = { width: 6, height: 7.5, up: -1 };
  const places = [[179, -3], [-179.5, -3], [179.8, -2], [40, 10], [41, 4], [-60, -30], [-60, 30]];
  const cards = places.map(([longitude, latitude]) => ({ ...card, longitude, latitude }));
  const latitudes = hungApart(cards);
  assert.deepEqual([0, 3, 5, 6].map((i) => latitudes[i]), [-3, 10, -30, 30]);
  // What a card covers, by its corners as they are drawn: longitudes at its widest, and latitudes.
  const covered = cards.map(({ longitude }, i) => {
    const corners = cardCorners(directionOf(longitude, latitudes[i]), card);
    const all = [0, 1, 2, 3].map((j) => [...corners.slice(3 * j, 3 * j + 3)]);
    const sides = all.map((corner) => Math.abs(turnBetween(longitude, longitudeOf(corner))));
    return { longitude, half: Math.max(...sides), top: Math.max(...all.map(latitudeOf)), bottom: Math.min(...all.map(latitudeOf)) };
  });
  for (const [i, one] of covered.entries()) {
    for (const other of covered.slice(i + 1)) {
      const beside = Math.abs(turnBetween(one.longitude, other.longitude)) >= one.half + other.half;
      assert.ok(beside || one.bottom > other.top || other.bottom > one.top, `${one.longitude} ${one.bottom}…${one.top} and ${other.longitude} ${other.bottom}…${other.top}`);
    }
  }
  assert.deepEqual(hungApart([]), []);
});

test("a headset's field of view is the angle between the sides of an eye's window", () => {
  // Tangents to each side; the angles by hand: atan 1.1 is 47.726°, atan 0.8 is 38.660°.
  const eye = { frustum: frustumFrom(projectionOf(LEFT_EYE), poseOf(table("rotation")[3]), 30), focalPx: 500 };
  near(fieldSeen([eye]), 86.386, 0.001);
});

test("a ribbon is as wide as said and seen from its broad side", () => {
  const corners = [...ribbonCorners([0.2, -0.4, 0.3], [0, -0.2, 10], 0.01)];
  const across = [0, 1, 2].map((i) => corners[3 + i] - corners[i]);
  near(Math.hypot(...across), 0.01, 1e-7, "width");
  near(dot(across, [0.2, -0.4, 0.3]), 0, 1e-8, "square to the line of sight");
  assert.ok([...ribbonCorners([0, 0, 1], [0, 0, 9], 0.01)].every(Number.isFinite), "one that points at the eye");
});

test("between known headings nobody is turned; else what was seen at a door makes room for what is met there", () => {
  const station = (headingDeg) => ({ headingDeg });
  // Heading 50 lies ahead: longitude 30 in a picture that faces 20, longitude 310 in one that faces 100.
  near(turnAcross({ from: station(20), to: station(100), turn: 30, left: 1, met: 2 }), 310, 1e-9, "known");
  // The door at longitude 75 is 45° right of ahead; there one looks at longitude 190: ahead is 145.
  near(turnAcross({ from: station(20), to: station(null), turn: 30, left: 75, met: 190 }), 145, 1e-9, "unknown");
  near(turnAcross({ from: station(null), to: station(null), turn: 10, left: 350, met: 20 }), 40, 1e-9, "across 360");
});

test("a fade takes 200 ms there and 250 back, and turns round where it is", () => {
  const fade = new Fade();
  fade.dims = true;
  for (let i = 0; i < 19; i++) fade.step(10);
  assert.ok(!fade.dark && fade.cover > 0.98);
  fade.step(10);
  assert.ok(fade.dark && fade.cover === 1);
  fade.dims = false;
  fade.step(125);
  near(fade.cover, 0.5, 1e-9, "half way");
  fade.dims = true;
  fade.step(50);
  near(fade.cover, 0.75 ** 2 * 1.5, 1e-9, "on from there");
  fade.dims = false;
  fade.step(1000);
  assert.equal(fade.cover, 0);
});

test("a look chooses after 1.2 s on one target, loses its time elsewhere, and not at once again", () => {
  const dwell = new Dwell();
  const look = (target, milliseconds) => {
    let chosen = null;
    for (let passed = 0; passed < milliseconds; passed += 10) chosen ??= dwell.step(target, 10);
    return chosen;
  };
  assert.equal(look("door", 1190), null);
  assert.equal(look("other", 1190), null, "another target begins anew");
  assert.equal(look("other", 10), "other");
  assert.equal(look("other", 5000), null, "chosen once");
  assert.equal(look("back", 5000), null, "nor what the new room has there");
  look(null, 10);
  assert.equal(look("back", 600), null);
  look(null, 100);
  near(dwell.part, 0.25, 1e-9, "three times as fast as it came");
  assert.equal(look("back", 890), null);
  assert.equal(look("back", 10), "back");
});

test("names are broken between words, and a long note says that there is more", () => {
  const measure = (text) => text.length;
  assert.deepEqual(wrapped("The hoist dates from 1871.", 11, measure), ["The hoist", "dates from", "1871."]);
  assert.deepEqual(wrapped("Entrance", 3, measure), ["Entrance"]);
  const lines = Array.from({ length: 5 }, (_, i) => ({ text: `line ${i}`, px: 10 }));
  assert.deepEqual(cutTo(lines, 65), lines);
  assert.deepEqual(cutTo(lines, 40).map(({ text }) => text), ["line 0", "line 1", "line 2 …"]);
});

test("looking chooses while nothing else points, and never again once a hand has pinched", () => {
  const mark = { hotspot: null, direction: directionOf(30, 0), reach: 4.5 };
  const [gaze, ray] = [directionOf(31, 0), { place: [0.2, -0.4, 0.3], ahead: directionOf(90, 0) }];
  const looked = (pointers, rays) => {
    let chosen = null;
    for (let passed = 0; passed < 1300; passed += 10) {
      pointers.move(rays, gaze);
      chosen ??= pointers.chosen([mark], 10);
    }
    return chosen;
  };
  const pointers = new Pointers();
  assert.equal(looked(pointers, [ray]), null, "a controller is held");
  assert.deepEqual([...pointers.on([mark])], [null], "and points elsewhere");
  assert.equal(looked(pointers, []), mark);
  assert.deepEqual([...pointers.on([mark])], [mark]);
  assert.equal(pointers.selected("gaze", { ...ray, ahead: gaze }, [mark]), mark, "a button on the headset");
  looked(pointers, [ray]);
  assert.equal(looked(pointers, []), mark, "looking still chooses");
  assert.equal(pointers.selected("transient-pointer", { ...ray, ahead: gaze }, [mark]), mark);
  looked(pointers, [ray]);
  assert.equal(looked(pointers, []), null);
});
