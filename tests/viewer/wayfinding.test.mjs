// What marks, plan, index and compass are worked out from, without a page.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { windOf } from "../../static/furniture.js";
import { declutter } from "../../static/declutter.js";
import { isSeen, partsOf, placeOfWay, sightOf, towards } from "../../static/plan-place.js";
import { floorByFloor, sideOf } from "../../static/sheet-rooms.js";
import { near, random, table } from "./reference.mjs";

const [GAP, HEIGHT] = [4, 768];
const apart = (one, other) =>
  one.left >= other.right + GAP || other.left >= one.right + GAP || one.top >= other.bottom + GAP - 1e-9 || other.top >= one.bottom + GAP - 1e-9;
const moved = (box, shift) => ({ ...box, top: box.top + shift, bottom: box.bottom + shift });

test("boxes that meet are moved apart; those that do not stay where they are", () => {
  const box = (left, top) => ({ left, right: left + 70, top, bottom: top + 80 });
  const shifts = declutter([box(100, 300), box(112, 300), box(124, 304), box(400, 300)], [], HEIGHT);
  assert.deepEqual(shifts, [0, -84, -172, 0]);
  assert.equal(declutter([box(100, 700)], [{ left: 0, right: 390, top: 714, bottom: 768 }], HEIGHT)[0], -70, "lifted off the bar");
  assert.deepEqual(declutter([box(100, 10), box(100, 20)], [], HEIGHT), [0, 74], "let down where there is no room above");
});

test("whatever the boxes, none meets another or what is taken, as long as there is room", () => {
  const chance = random(3);
  const taken = [{ left: 0, right: 500, top: 700, bottom: 768 }];
  for (let round = 0; round < 300; round++) {
    const boxes = Array.from({ length: 6 }, () => {
      const [left, top] = [1300 * chance(), 620 * chance()];
      return { left, right: left + 64 + 60 * chance(), top, bottom: top + 56 + 24 * chance() };
    });
    const placed = declutter(boxes, taken, HEIGHT).map((shift, index) => moved(boxes[index], shift));
    const all = [...placed, ...taken];
    all.forEach((one, i) => all.slice(i + 1).forEach((other) => assert.ok(apart(one, other), `round ${round}`)));
    assert.equal(placed[0].top === boxes[0].top || !apart(boxes[0], taken[0]), true, "the first gives way to nothing but what is taken");
  }
});

test("a heading on the plan is the reference table's bearing", () => {
  let checked = 0;
  for (const row of table("headings")) {
    const [x1, y1, x2, y2] = ["x1", "y1", "x2", "y2"].map((key) => Number(row[key]));
    const plan = { northDeg: Number(row.north_deg), origin: [0, 0], size: [800, 600] };
    const [x, y] = towards(plan, [x1, y1], Number(row.true_heading), Math.hypot(x2 - x1, y2 - y1));
    near(x, x2, 1e-4, "right");
    near(y, y2, 1e-4, "down");
    checked += 1;
  }
  assert.ok(checked > 5);
});

test("the wedge opens as wide as the view, in its direction, on any plan", () => {
  const plan = { northDeg: 14, origin: [-50, 20], size: [800, 600], drawing: "" };
  const bearing = ([x0, y0], [x, y]) => ((Math.atan2(x - x0, y0 - y) * 180) / Math.PI + 360) % 360;
  for (const view of [{ heading: 92, fieldOfView: 90 }, { heading: 350, fieldOfView: 37.5 }, { heading: 0, fieldOfView: 120 }]) {
    const { corner, left, right, reach } = sightOf(plan, [418, 260], view);
    near((bearing(corner, right) - bearing(corner, left) + 360) % 360, view.fieldOfView, 1e-9, "angle");
    near((bearing(corner, left) + view.fieldOfView / 2) % 360, (view.heading + 14) % 360, 1e-9, "direction");
    near(Math.hypot(left[0] - corner[0], left[1] - corner[1]), reach, 1e-9, "reach");
  }
  assert.deepEqual(partsOf(plan, [-50, 620]), [0, 1]);
  assert.deepEqual(partsOf(plan, [350, 320]), [0.5, 0.5]);
});

test("a door lies in its doorway, else on the way there, else nowhere", () => {
  const plan = { northDeg: null, origin: [0, 0], size: [800, 600], drawing: "" };
  const station = { standsAt: [400, 300], headingDeg: 10 };
  const door = { kind: "door", heading: 90, at: [500, 310] };
  assert.deepEqual(placeOfWay(plan, station, door), [500, 310]);
  const [x, y] = placeOfWay(plan, station, { ...door, at: null });
  assert.ok(x > 400 && x < 500);
  near(y, 300, 1e-9, "down");
  assert.equal(placeOfWay(plan, { ...station, headingDeg: null }, { ...door, at: null }), null);
});

test("what is in view, and on which side the rest lies", () => {
  assert.ok(isSeen(359, { heading: 10, fieldOfView: 40 }));
  assert.ok(!isSeen(340, { heading: 10, fieldOfView: 40 }));
  const sides = [0, 39, 41, 90, 134, 136, 180, 224, 226, 319, 321].map((heading) => sideOf(0, heading));
  assert.deepEqual(sides, ["ahead", "ahead", "right", "right", "right", "behind", "behind", "behind", "left", "left", "ahead"]);
  assert.equal(sideOf(350, 60), "right");
});

test("eight winds, each for an eighth of the circle", () => {
  assert.deepEqual([0, 22, 23, 45, 180, 292, 293, 337, 338, 359.9].map(windOf), [0, 0, 1, 1, 4, 6, 7, 7, 0, 0]);
});

test("rooms are grouped by floor, those of no known floor last", () => {
  const rooms = [{ id: "a", floor: "up" }, { id: "b", floor: null }, { id: "c", floor: "down" }];
  const groups = floorByFloor({ floors: [{ id: "down", title: "Down" }, { id: "up", title: "Up" }, { id: "empty", title: "Empty" }], rooms });
  assert.deepEqual(groups.map(({ title, rooms: own }) => [title, own.map(({ id }) => id)]), [["Down", ["c"]], ["Up", ["a"]], ["", ["b"]]]);
});

/** Relative luminance and contrast as WCAG 2.2 defines them (definitions "relative luminance" and "contrast ratio"). */
const luminance = (hex) => {
  const [r, g, b] = [0, 2, 4].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (one, other) => (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);

test("the formula is the reference table's", () => {
  for (const row of table("contrast")) near(contrast(luminance(row.fg), luminance(row.bg)), Number(row.ratio), 1e-4, `${row.fg} on ${row.bg}`);
});

const CSS = readFileSync(new URL("../../static/walk.css", import.meta.url), "utf8");
const colour = (name) => new RegExp(`--${name}: #([0-9a-f]{6})`).exec(CSS)[1];

test("a mark's two lines stand out from each other, and one of them from any picture", () => {
  const [ink, paper, lit] = ["ink", "paper", "lit"].map((name) => luminance(colour(name)));
  assert.ok(contrast(ink, paper) >= 4.5 && contrast(ink, lit) >= 4.5);
  for (let step = 0; step <= 1000; step++) {
    const backdrop = step / 1000;
    const best = Math.max(contrast(ink, backdrop), contrast(paper, backdrop));
    assert.ok(best >= 3, `${best} on a luminance of ${backdrop}`);
  }
  // The outermost line is the dark one: on a dark picture the light line inside it is what is seen, and it is closed all around.
  assert.ok(/svg \.shade \{[^}]*stroke: var\(--ink\); stroke-width: 6\.5/.test(CSS) && /svg \.line \{[^}]*stroke: var\(--paper\); stroke-width: 2\.8/.test(CSS));
});

test("texts on the plate can be read", () => {
  const paper = luminance(colour("paper"));
  for (const name of ["ink", "quiet", "deep"]) assert.ok(contrast(luminance(colour(name)), paper) >= 4.5, name);
});
