// Where a device looks, against the table of the W3C specification's worked example, whose rotations scipy made.
import assert from "node:assert/strict";
import test from "node:test";
import { Gyroscope, facingOf } from "../../static/gyroscope.js";
import { turnBetween } from "../../static/sphere.js";
import { near, table } from "./reference.mjs";

test("the back of the screen faces where the specification has it", () => {
  let checked = 0;
  for (const row of table("device_orientation")) {
    const { heading, elevation } = facingOf({ alpha: Number(row.alpha), beta: Number(row.beta), gamma: Number(row.gamma) });
    near(elevation, Number(row.back_elev), 1e-6, "elevation");
    if (row.back_heading === "") {
      // Lying on its back: the upper edge points the way.
      near(turnBetween(heading, (Math.atan2(Number(row.up_e), Number(row.up_n)) * 180) / Math.PI), 0, 1e-6, "heading by the upper edge");
      continue;
    }
    near(turnBetween(heading, Number(row.back_heading)), 0, 1e-6, "heading");
    checked += 1;
  }
  assert.ok(checked >= 6);
});

test("near straight up and down the heading does not jump", () => {
  for (const beta of [0, 180]) {
    const headings = [-1.2, -0.9, 0.9, 1.2].map((off) => facingOf({ alpha: 40, beta: beta + off, gamma: 0 }));
    const steep = headings.slice(1, 3).map(({ heading }) => heading);
    near(turnBetween(steep[0], steep[1]), 0, 1e-6, `around ${beta}`);
  }
  near(turnBetween(facingOf({ alpha: 40, beta: 1.2, gamma: 0 }).heading, facingOf({ alpha: 40, beta: 0.8, gamma: 0 }).heading), 0, 1e-6, "down");
  near(turnBetween(facingOf({ alpha: 40, beta: 178.8, gamma: 0 }).heading, facingOf({ alpha: 40, beta: 179.2, gamma: 0 }).heading), 0, 1e-6, "up");
});

/** A window with a device whose owner answers so. */
const device = (t, answer) => {
  const target = new EventTarget();
  t.mock.method(globalThis, "addEventListener", target.addEventListener.bind(target));
  globalThis.DeviceOrientationEvent = answer === undefined ? class {} : class { static requestPermission = async () => { if (answer === "thrown") throw new Error("not from a click"); return answer; }; };
  t.after(() => delete globalThis.DeviceOrientationEvent);
  return (alpha, beta, gamma) => target.dispatchEvent(Object.assign(new Event("deviceorientation"), { alpha, beta, gamma }));
};
globalThis.addEventListener ??= () => {};

test("only what changes turns the view, the short way; an empty event is none; after stop nothing comes", async (t) => {
  const send = device(t, "granted");
  const turns = [];
  const gyroscope = new Gyroscope((turn) => turns.push(turn));
  assert.equal(await gyroscope.start(), true);
  send(null, null, null);
  send(10, 90, 0);
  send(350, 90, 0);
  send(350, 100, 0);
  gyroscope.stop();
  send(90, 90, 0);
  assert.equal(turns.length, 3);
  [[0, 0], [20, 0], [0, 10]].forEach(([heading, elevation], i) => {
    near(turns[i].heading, heading, 1e-6, "turn");
    near(turns[i].elevation, elevation, 1e-6, "elevation");
  });
});

test("who says no is not followed, nor is a device without the sensor's event", async (t) => {
  for (const answer of ["denied", "thrown"]) {
    const send = device(t, answer);
    const gyroscope = new Gyroscope(() => assert.fail("followed"));
    assert.equal(await gyroscope.start(), false);
    send(10, 90, 0);
  }
  delete globalThis.DeviceOrientationEvent;
  assert.equal(await new Gyroscope(() => {}).start(), false);
});
