// The way through a door: it begins with what one sees and ends with the next room all over the window, for any window.
import assert from "node:assert/strict";
import test from "node:test";
import { Passage } from "../../static/passage.js";
import { directionOf, dot } from "../../static/sphere.js";
import { basisOf, focalLength } from "../../static/view.js";
import { near, random } from "./reference.mjs";

const DESKTOP = { width: 1366, height: 768 };
const DOORWAY = { width: 17, top: 8, bottom: -28 };
const door = (heading, doorway = DOORWAY) => ({ kind: "door", heading, elevation: -5, name: "Kitchen", to: { room: "kitchen", station: "kitchen" }, arriveHeading: heading, doorway });
const level = (heading, fieldOfView = 80) => ({ heading, elevation: 0, fieldOfView });

/** Where a point lies in the window, by the definitions: stretched across the way by the approach, then seen in perspective. */
const seen = (point, { view, approach }, { width, height }) => {
  const way = directionOf(approach.heading, 0);
  const along = dot(point, way);
  const grown = point.map((part, i) => along * way[i] + approach.factor * (part - along * way[i]));
  const { right, up, ahead } = basisOf(view);
  const scale = focalLength(view.fieldOfView, width) / dot(grown, ahead);
  return { x: width / 2 + scale * dot(grown, right), y: height / 2 - scale * dot(grown, up), ahead: dot(grown, ahead) };
};

test("at first one sees what one saw, and the outline lies on the doorway", () => {
  const former = { heading: 70, elevation: -8, fieldOfView: 85 };
  const passage = new Passage({ former, way: door(91), arrival: level(91), start: 1000 });
  const { left, next, opacity } = passage.at(level(91), DESKTOP, 1000);
  assert.deepEqual([left.view, left.approach.factor, opacity], [former, 1, 0]);
  assert.ok(next.approach.factor < 1, "the next room is seen from further back");
  // The corners by the gnomonic formulas: sides upright half the width away, lintel and threshold at their elevations straight ahead.
  const [topLeft, , , bottomRight] = passage.outline;
  const heading = ([right, , ahead]) => (Math.atan2(right, ahead) * 180) / Math.PI;
  near(heading(topLeft), 91 - 8.5, 1e-9, "left side");
  near(heading(bottomRight), 91 + 8.5, 1e-9, "right side");
  const middle = (a, b) => a.map((part, i) => (part + b[i]) / 2);
  const elevation = ([right, up, ahead]) => (Math.atan2(up, Math.hypot(right, ahead)) * 180) / Math.PI;
  near(elevation(middle(passage.outline[0], passage.outline[1])), 8, 1e-9, "lintel");
  near(elevation(middle(passage.outline[2], passage.outline[3])), -28, 1e-9, "threshold");
});

test("at the end one stands in the next room, and its doorway has grown beyond the window, whatever its shape", () => {
  const chance = random(5);
  for (let i = 0; i < 300; i++) {
    const size = { width: 320 + 1600 * chance(), height: 320 + 1600 * chance() };
    const doorway = { width: 4 + 60 * chance(), top: 2 + 20 * chance(), bottom: -10 - 40 * chance() };
    const former = { heading: 360 * chance(), elevation: 60 * chance() - 30, fieldOfView: 30 + 50 * chance() };
    const arrival = { ...level(360 * chance()), fieldOfView: 30 + 55 * chance() };
    const passage = new Passage({ former, way: door(360 * chance(), doorway), arrival, start: 0 });
    const { left, next, opacity } = passage.at(arrival, size, passage.lasts);
    near(next.view.heading, arrival.heading, 1e-9, "heading");
    assert.deepEqual([next.view.elevation, next.approach.factor, opacity], [0, 1, 1]);
    near(next.view.fieldOfView, arrival.fieldOfView, 1e-9, "field of view");
    const capped = left.approach.factor === 40;
    const [topLeft, topRight, bottomLeft, bottomRight] = passage.outline.map((point) => seen(point, left, size));
    if (capped) continue;
    assert.ok(topLeft.x <= 0 && topLeft.y <= 0 && bottomLeft.x <= 0 && bottomLeft.y >= size.height, JSON.stringify({ size, topLeft, bottomLeft }));
    assert.ok(topRight.x >= size.width && topRight.y <= 0 && bottomRight.x >= size.width && bottomRight.y >= size.height);
  }
});

test("the outline only ever grows, and the doorway stays where the next room is seen", () => {
  const former = { heading: 60, elevation: 10, fieldOfView: 80 };
  const passage = new Passage({ former, way: door(91), arrival: level(200), start: 0 });
  let widest = 0;
  for (let now = 0; now <= passage.lasts; now += 5) {
    const { left, next } = passage.at(level(200), DESKTOP, now);
    const [topLeft, topRight] = passage.outline.map((point) => seen(point, left, DESKTOP));
    const width = Math.hypot(topRight.x - topLeft.x, topRight.y - topLeft.y);
    assert.ok(width > widest, `${width} at ${now}`);
    widest = width;
    const [through, onward] = [seen(directionOf(91, 0), left, DESKTOP), seen(directionOf(200, 0), next, DESKTOP)];
    near(through.x, onward.x, 1e-6, "x");
    near(through.y, onward.y, 1e-6, "y");
  }
});

test("who turns the view on the way turns both pictures", () => {
  const passage = new Passage({ former: level(91), way: door(91), arrival: level(91), start: 0 });
  const [straight, turned] = [level(91), level(103)].map((view) => passage.at(view, DESKTOP, 200));
  near(turned.left.view.heading - straight.left.view.heading, 12, 1e-9, "left");
  near(turned.next.view.heading - straight.next.view.heading, 12, 1e-9, "next");
});

test("a passage takes less than half a second; a step glides forward, a jump does not move", () => {
  const step = new Passage({ former: level(10), way: { ...door(30), kind: "step" }, arrival: level(50), start: 0 });
  const jump = new Passage({ former: level(10), way: null, arrival: level(50), start: 0 });
  for (const passage of [step, jump, new Passage({ former: level(1), way: door(1), arrival: level(1), start: 0 })]) {
    assert.ok(passage.lasts < 500);
    assert.ok(passage.isOver(passage.lasts) && !passage.isOver(passage.lasts - 1));
  }
  assert.equal(step.outline, null);
  const half = step.at(level(50), DESKTOP, step.lasts / 2);
  assert.ok(half.left.approach.factor > 1.2 && half.next.approach.factor < 1 && half.opacity > 0.2 && half.opacity < 0.8);
  assert.deepEqual(jump.at(level(50), DESKTOP, 100).left, { view: level(10), approach: null });
});
