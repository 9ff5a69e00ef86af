// The view's projection: gnomonic, as FITS WCS's TAN has it; drags and zooms that hold what they grabbed.
import assert from "node:assert/strict";
import test from "node:test";
import { directionOf, dot, latitudeOf, longitudeOf, turnBetween } from "../../static/sphere.js";
import { directionAt, focalLength, holding, limitsFor, openingField, pointOf, reshaped } from "../../static/view.js";
import { scaled, turned, zoomedAbout } from "../../static/hands.js";
import { near, random, table } from "./reference.mjs";

const SIZE = { width: 1366, height: 768 };
const LIMITS = { narrowest: 20, widest: 95 };

test("density at the view's centre is the viewport table's", () => {
  for (const row of table("viewport")) {
    near((focalLength(Number(row.hfov_deg), Number(row.w_px)) * Math.PI) / 180, Number(row.px_per_deg_centre), 1e-4, "pixels per degree");
  }
});

test("a view straight down shows wcslib's TAN", () => {
  const view = { heading: 0, elevation: -90, fieldOfView: 90 };
  const focal = focalLength(90, SIZE.width);
  let checked = 0;
  for (const row of table("projection")) {
    if (row.tan_x === "") continue;
    const point = pointOf(view, SIZE, directionOf(Number(row.lon_deg), Number(row.lat_deg)));
    assert.ok(point);
    near(point.x, SIZE.width / 2 + focal * Number(row.tan_x), 1e-5 * focal, "x");
    near(point.y, SIZE.height / 2 - focal * Number(row.tan_y), 1e-5 * focal, "y");
    checked += 1;
  }
  assert.ok(checked > 5);
});

test("points and directions are each other's inverse, in every direction", () => {
  const chance = random(1);
  for (let i = 0; i < 2000; i++) {
    const view = { heading: 360 * chance(), elevation: 180 * chance() - 90, fieldOfView: 20 + 75 * chance() };
    const point = { x: SIZE.width * chance(), y: SIZE.height * chance() };
    const back = pointOf(view, SIZE, directionAt(view, SIZE, point));
    assert.ok(back);
    near(back.x, point.x, 1e-8, "x");
    near(back.y, point.y, 1e-8, "y");
  }
});

test("the middle of a view is where it looks; its sides are half the field of view away; what is behind has no point", () => {
  const view = { heading: 212, elevation: -5, fieldOfView: 80 };
  const middle = directionAt(view, SIZE, { x: SIZE.width / 2, y: SIZE.height / 2 });
  near(turnBetween(longitudeOf(middle), 212), 0, 1e-9, "heading");
  near(latitudeOf(middle), -5, 1e-9, "elevation");
  const side = directionAt(view, SIZE, { x: SIZE.width, y: SIZE.height / 2 });
  near((Math.acos(dot(side, middle)) * 180) / Math.PI, 40, 1e-9, "half the field");
  assert.equal(pointOf(view, SIZE, directionOf(32, 5)), null);
});

test("a dragged point stays under the pointer, near the poles too", () => {
  const chance = random(2);
  let held = 0;
  for (let i = 0; i < 5000; i++) {
    let view = { heading: 360 * chance(), elevation: (chance() < 0.5 ? -1 : 1) * (90 - 60 * chance() ** 2), fieldOfView: 25 + 70 * chance() };
    let point = { x: SIZE.width * chance(), y: SIZE.height * chance() };
    const grabbed = directionAt(view, SIZE, point);
    for (let step = 0; step < 12; step++) {
      point = { x: point.x + 16 * (chance() - 0.5), y: point.y + 16 * (chance() - 0.5) };
      view = holding(view, SIZE, grabbed, point);
      assert.ok(Math.abs(view.elevation) <= 90);
      const shown = pointOf(view, SIZE, grabbed);
      const reachable = Math.abs(view.elevation) < 90 && canHold(grabbed, view, point);
      if (!reachable) break;
      assert.ok(shown);
      near(shown.x, point.x, 1e-6, "x");
      near(shown.y, point.y, 1e-6, "y");
      held += 1;
    }
  }
  assert.ok(held > 30_000, `held ${held} times`);
});

/** Whether any level view shows a direction at a point: its height must not exceed what the point's column reaches. */
const canHold = (direction, view, { x, y }) => {
  const focal = focalLength(view.fieldOfView, SIZE.width);
  const [r, u] = [x - SIZE.width / 2, SIZE.height / 2 - y];
  return Math.abs(direction[1]) <= Math.hypot(u, focal) / Math.hypot(r, u, focal);
};

test("a small drag moves the view by little, even over a pole", () => {
  const view = { heading: 10, elevation: 88, fieldOfView: 80 };
  const from = { x: 683, y: 300 };
  const grabbed = directionAt(view, SIZE, from);
  const after = holding(view, SIZE, grabbed, { x: 683, y: 301 });
  assert.ok(Math.abs(after.elevation - 88) < 0.3, `elevation ${after.elevation}`);
});

test("zooming holds the point it zooms about and keeps to the limits", () => {
  const view = { heading: 100, elevation: 20, fieldOfView: 80 };
  const point = { x: 200, y: 600 };
  const before = directionAt(view, SIZE, point);
  const after = zoomedAbout(view, SIZE, LIMITS, { point, factor: 1.7 });
  assert.ok(dot(before, directionAt(after, SIZE, point)) > 1 - 1e-14);
  near(Math.tan((after.fieldOfView * Math.PI) / 360) * 1.7, Math.tan((80 * Math.PI) / 360), 1e-12, "scale");
  assert.equal(scaled(view, 100, LIMITS).fieldOfView, 20);
  assert.equal(scaled(view, 0.01, LIMITS).fieldOfView, 95);
  near(turned(view, LIMITS, { right: 0.125, up: -10 }).heading, 110, 1e-9, "turn");
  assert.equal(turned(view, LIMITS, { right: 0, up: -10 }).elevation, -90);
});

test("neither side sees more than 95° unless the walk says so; one may always zoom to 35°", () => {
  const angle = (length, fieldOfView, width) => (2 * Math.atan((length / width) * Math.tan((fieldOfView * Math.PI) / 360)) * 180) / Math.PI;
  for (const size of [SIZE, { width: 390, height: 844 }, { width: 500, height: 500 }]) {
    const { narrowest, widest } = limitsFor(size, 2608, null);
    near(Math.max(widest, angle(size.height, widest, size.width)), 95, 1e-9, "widest");
    assert.ok(narrowest <= 35);
    assert.ok(limitsFor(size, 100, null).narrowest <= 35);
    // One picture pixel is at most 2.5 CSS pixels at the narrowest, where that is below 35°.
    const pixel = (2 * focalLength(narrowest, size.width)) / 2608;
    assert.ok(pixel <= 2.5 + 1e-9);
  }
  assert.ok(limitsFor(SIZE, 2608, 110).widest > 109.9);
});

test("the opening field of view is what the walk says, or calm; a turned phone keeps what its longer side saw", () => {
  const limits = limitsFor(SIZE, 2608, 90);
  assert.equal(openingField(SIZE, 90, limits), 90);
  const phone = { width: 390, height: 844 };
  const calm = openingField(phone, null, limitsFor(phone, 2608, null));
  assert.ok(calm > 35 && calm < 60, `${calm}`);
  assert.equal(openingField(phone, 90, limitsFor(phone, 2608, 90)), calm, "what is said is meant for a wide window");
  assert.equal(openingField(phone, 40, limitsFor(phone, 2608, 40)), 40);
  const landscape = reshaped(calm, phone, { width: 844, height: 390 });
  near(landscape, 85, 1e-9, "the longer side");
  near(reshaped(landscape, { width: 844, height: 390 }, phone), calm, 1e-9, "back again");
});
