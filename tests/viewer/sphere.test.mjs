// Directions and faces against FITS WCS (Calabretta & Greisen 2002, by wcslib) and the OpenGL cube map's table.
import assert from "node:assert/strict";
import test from "node:test";
import { FACES, directionOf, latitudeOf, longitudeOf, onFace, turnBetween, wrapHeading } from "../../static/sphere.js";
import { faceOf } from "./faces.mjs";
import { near, table } from "./reference.mjs";

const GL_NAMES = { "+X": "px", "-X": "nx", "+Y": "py", "-Y": "ny", "+Z": "pz", "-Z": "nz" };

test("faces are those of the OpenGL cube map", () => {
  for (const row of table("cubemap")) {
    const direction = [row.rx, row.ry, row.rz].map(Number);
    const { face, s, t } = faceOf(direction);
    assert.equal(FACES[face].name, GL_NAMES[row.face]);
    assert.equal(face, Number(row.index));
    near(s, Number(row.s), 1e-9, "s");
    near(t, Number(row.t), 1e-9, "t");
    const back = onFace(FACES[face], 2 * s - 1, 2 * t - 1);
    const largest = Math.max(...direction.map(Math.abs));
    back.forEach((value, i) => near(value, direction[i] / largest, 1e-9, "back"));
  }
});

test("longitudes, latitudes and faces are those of wcslib's CAR and TSC", () => {
  for (const row of table("projection")) {
    const direction = directionOf(Number(row.lon_deg), Number(row.lat_deg));
    [row.dir_right, row.dir_up, row.dir_fwd].forEach((value, i) => near(direction[i], Number(value), 1e-9, "direction"));
    near(latitudeOf(direction), Number(row.lat_deg), 1e-9, "latitude");
    if (Math.abs(Number(row.lat_deg)) < 90) near(turnBetween(longitudeOf(direction), Number(row.lon_deg)), 0, 1e-9, "longitude");
    const { face, s, t } = faceOf(direction);
    assert.equal(FACES[face].name, GL_NAMES[row.gl_face]);
    near(s, Number(row.tile_u), 1e-9, "u");
    near(t, Number(row.tile_v), 1e-9, "v");
  }
});

test("headings wrap and turns take the short way", () => {
  assert.equal(wrapHeading(-1), 359);
  assert.equal(wrapHeading(720), 0);
  assert.ok(wrapHeading(-1e-15) < 360);
  assert.equal(turnBetween(350, 10), 20);
  assert.equal(turnBetween(10, 350), -20);
  assert.equal(turnBetween(0, 180), -180);
});
