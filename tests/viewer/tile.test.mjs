// Which level and which tiles: sharp on every screen, all that is seen, nothing that is not.
import assert from "node:assert/strict";
import test from "node:test";
import { FACES, dot, onFace } from "../../static/sphere.js";
import { faceOf } from "./faces.mjs";
import { chooseLevel, density, faceCoordinate, tileName, tilePlace, tileSpan, tilesInView } from "../../static/tile.js";
import { basisOf, directionAt, limitsFor, pointOf } from "../../static/view.js";
import { near, random, table } from "./reference.mjs";

/** Levels by the published rule. @param {number} facePx */
const levelsOf = (facePx) => {
  const levels = [];
  for (let px = facePx; ; px /= 2) {
    const files = Math.ceil(px / 508);
    levels.push({ facePx: px, contentPx: Math.min(px, Math.ceil((Math.ceil(px / files) + 4) / 16) * 16 - 4), files });
    if (files === 1) return levels;
  }
};
/** Faces of pictures 4096 to 16384 wide. */
const FACE_SIZES = [1304, 1840, 2608, 3504, 5216];

test("every level chosen has 0.7 to 1.5 picture pixels for a screen pixel, where the picture has them", () => {
  let checked = 0;
  for (const facePx of FACE_SIZES) {
    const levels = levelsOf(facePx);
    for (const css of [{ width: 390, height: 844 }, { width: 844, height: 390 }, { width: 1366, height: 768 }, { width: 1920, height: 1080 }, { width: 3840, height: 2160 }]) {
      const { narrowest, widest } = limitsFor(css, facePx, null);
      for (const ratio of [1, 1.25, 2, 3]) {
        const size = { width: css.width * ratio, height: css.height * ratio };
        for (let fieldOfView = narrowest; fieldOfView <= widest; fieldOfView += 0.5) {
          const view = { heading: 0, elevation: 0, fieldOfView };
          const densities = levels.map((level) => density(level, view, size));
          if (!densities.some((has) => has >= 0.7 && has <= 1.5)) continue;
          const has = densities[chooseLevel(levels, view, size)];
          assert.ok(has >= 0.7 && has <= 1.5, `${has} at ${fieldOfView}° on ${size.width} of ${facePx}`);
          checked += 1;
        }
      }
    }
  }
  assert.ok(checked > 5000, `${checked} checked`);
});

test("a picture too small gives its largest level, one too large for the screen its smallest", () => {
  const levels = levelsOf(1304);
  assert.equal(chooseLevel(levels, { heading: 0, elevation: 0, fieldOfView: 30 }, { width: 3840, height: 2160 }), 0);
  assert.equal(chooseLevel(levels, { heading: 0, elevation: 0, fieldOfView: 90 }, { width: 100, height: 60 }), levels.length - 1);
});

test("a level's density agrees with the viewport table: its needed face has one pixel for a pixel", () => {
  for (const row of table("viewport")) {
    const size = { width: Number(row.w_px), height: 700 };
    const level = { facePx: Number(row.needed_face), contentPx: 444, files: 1 };
    near(density(level, { heading: 0, elevation: 0, fieldOfView: Number(row.hfov_deg) }, size), 1, 1e-6, "density");
  }
});

/** Which tile shows a direction, worked out from the direction alone. */
const tileAt = (level, direction) => {
  const { face, s, t } = faceOf(direction);
  const at = (part) => Math.min(Math.floor((part * level.facePx) / level.contentPx), level.files - 1);
  return `${face} ${at(t)} ${at(s)}`;
};

test("the tiles chosen cover the window, and each of them is in it", () => {
  const chance = random(3);
  for (let i = 0; i < 400; i++) {
    const levels = levelsOf(FACE_SIZES[i % FACE_SIZES.length]);
    const level = Math.floor(chance() * levels.length);
    const size = chance() < 0.5 ? { width: 390, height: 844 } : { width: 1366, height: 768 };
    const view = { heading: chance() * 360, elevation: i % 7 === 0 ? 90 : chance() * 180 - 90, fieldOfView: 15 + chance() * 75 };
    const tiles = tilesInView(levels, level, view, size);
    const names = new Set(tiles.map(({ face, row, column }) => `${face} ${row} ${column}`));
    assert.equal(names.size, tiles.length, "no tile twice");
    for (let y = 0; y <= 32; y++) {
      for (let x = 0; x <= 32; x++) {
        const point = { x: ((x + 0.003) / 32.01) * size.width, y: ((y + 0.003) / 32.01) * size.height };
        assert.ok(names.has(tileAt(levels[level], directionAt(view, size, point))), `seed 3, view ${i}`);
      }
    }
    for (const tile of tiles) assert.ok(seen(levels[level], tile, view, size), `seed 3, view ${i}: ${JSON.stringify(tile)} is not in the window`);
  }
});

/** Whether a tile meets the window, by trying: a grid of its points, then a closer one where it came nearest to the window. */
const seen = (level, tile, view, size) => {
  const [across, down] = [tileSpan(level, tile.column), tileSpan(level, tile.row)];
  let [left, top, width, height] = [across.start, down.start, across.length, down.length];
  for (let round = 0; round < 12; round++) {
    let best = { away: Infinity, x: 0, y: 0 };
    for (let i = 0; i <= 16; i++) {
      for (let j = 0; j <= 16; j++) {
        const [x, y] = [left + (width * i) / 16, top + (height * j) / 16];
        const away = outside(onFace(FACES[tile.face], faceCoordinate(level, x), faceCoordinate(level, y)), view, size);
        if (away <= 1e-6) return true;
        if (away < best.away) best = { away, x, y };
      }
    }
    [width, height] = [width / 4, height / 4];
    left = Math.min(Math.max(best.x - width / 2, across.start), across.start + across.length - width);
    top = Math.min(Math.max(best.y - height / 2, down.start), down.start + down.length - height);
  }
  return false;
};

/** How far outside the window a direction is; 0 inside. */
const outside = (direction, view, size) => {
  const point = pointOf(view, size, direction);
  if (!point) return 1e9 - dot(direction, basisOf(view).ahead);
  return Math.max(0, -point.x, point.x - size.width) + Math.max(0, -point.y, point.y - size.height);
};

test("tiles come centre first", () => {
  const tiles = tilesInView(levelsOf(2608), 0, { heading: 0, elevation: 0, fieldOfView: 80 }, { width: 1366, height: 768 });
  const [first] = tiles;
  assert.equal(FACES[first.face].name, "pz");
  assert.ok([2, 3].includes(first.row) && [2, 3].includes(first.column));
});

test("names and spans are the published ones, odd last tiles included", () => {
  const [level] = levelsOf(1304);
  assert.deepEqual(level, { facePx: 1304, contentPx: 444, files: 3 });
  assert.equal(tileName(level, { level: 0, face: 5, row: 2, column: 1 }), "1304/nz-r2-c1.jpg");
  assert.deepEqual(tileSpan(level, 2), { start: 888, length: 416 });
});

test("levels are as many as the pyramid table says", () => {
  for (const row of table("pyramid").filter(({ face_px }) => Number(face_px) % 16 === 0)) {
    const levels = levelsOf(Number(row.face_px));
    // A file of 512 pixels has four for its borders: a face of 512 is halved once more than the table's rule, which has none.
    if (levels.some(({ facePx }) => facePx === 512)) continue;
    assert.equal(levels.length, Number(row.levels), `face ${row.face_px}`);
  }
});

test("a tile's corners and the part of its file belong together", () => {
  const [level] = levelsOf(1304);
  const { corners, content } = tilePlace(level, { level: 0, face: 4, row: 0, column: 2 }, 2);
  // The face's right edge lies at right = 1; a quarter of a pixel more is drawn, from the border.
  near(corners[3], 1 + 0.5 / 1304, 1e-6, "right edge");
  near(corners[0], (2 * (888 - 0.25)) / 1304 - 1, 1e-6, "left edge");
  assert.deepEqual(content, [1.75, 1.75, 416.5, 444.5]);
  assert.deepEqual(tilePlace(level, { level: 0, face: 4, row: 0, column: 2 }, 0).content, [0, 0, 416, 444]);
});
