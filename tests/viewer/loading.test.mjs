// The queue, the cache, movement and words: none of them needs a browser.
import assert from "node:assert/strict";
import test from "node:test";
import { Load, TileQueue } from "../../static/tile-queue.js";
import { TextureCache } from "../../static/supply.js";
import { Motion } from "../../static/motion.js";
import { near } from "./reference.mjs";

const request = (key) => ({ key, url: `http://x/${key}` });
const turn = () => new Promise((done) => setTimeout(done, 0));

/** A network whose answers the test gives by hand. */
const network = () => {
  const asked = new Map();
  const fetchPicture = (url, signal) =>
    new Promise((resolve, reject) => {
      const key = url.split("/").pop();
      asked.set(key, { signal, fail: () => reject(new Error("404")), bring: () => resolve({ key, closed: false, close() { this.closed = true; } }) });
      signal.addEventListener("abort", () => reject(new Error("aborted")));
    });
  return { asked, fetchPicture };
};

test("a load never goes backward", async () => {
  const load = new Load(request("a"));
  await load.fetch(async () => ({ close() {} }));
  assert.equal(load.state, "decoded");
  assert.throws(() => load.advance("fetching"), /a: decoded cannot become fetching/);
  load.take();
  assert.throws(() => load.take());
});

test("few are fetched at once, the most wanted first, and taken in that order", async () => {
  const { asked, fetchPicture } = network();
  let changes = 0;
  const queue = new TileQueue({ fetchPicture, onChange: () => (changes += 1) });
  const all = Array.from({ length: 20 }, (_, i) => request(`t${i}`));
  queue.want(all);
  assert.deepEqual([...asked.keys()], ["t0", "t1", "t2", "t3", "t4", "t5", "t6", "t7"]);
  asked.get("t5").bring();
  asked.get("t2").bring();
  await turn();
  assert.ok(changes >= 2 && queue.hasArrivals);
  assert.deepEqual(queue.take(4).map(({ request: { key } }) => key), ["t2", "t5"]);
  assert.equal(asked.size, 10, "two more have been asked for");
  queue.dispose();
});

test("what is no longer wanted is cancelled and its picture freed", async () => {
  const { asked, fetchPicture } = network();
  const queue = new TileQueue({ fetchPicture, onChange: () => {} });
  queue.want([request("a"), request("b")]);
  asked.get("a").bring();
  await turn();
  queue.want([request("c")]);
  assert.ok(asked.get("b").signal.aborted);
  assert.ok(!queue.hasArrivals);
  await turn();
  assert.equal(queue.attemptsFailed("b"), 0, "a cancelled fetch is no failure");
  queue.dispose();
});

test("a failed file is asked for again, later each time, and does not hold up the others", async (t) => {
  t.mock.timers.enable({ apis: ["setTimeout"] });
  const tick = async () => { for (let i = 0; i < 20; i++) await Promise.resolve(); };
  let now = 0;
  t.mock.method(performance, "now", () => now);
  let tries = 0;
  const fetchPicture = async (url) => {
    if (url.endsWith("good")) return { close() {} };
    tries += 1;
    throw new Error("404");
  };
  const queue = new TileQueue({ fetchPicture, onChange: () => {} });
  queue.want([request("bad"), request("good")]);
  await tick();
  assert.deepEqual([tries, queue.attemptsFailed("bad"), queue.take(9).length], [1, 1, 1]);
  queue.want([request("bad")]);
  for (const [wait, wanted] of [[990, 1], [20, 2], [1900, 2], [200, 3]]) {
    now += wait;
    t.mock.timers.tick(wait);
    await tick();
    assert.equal(tries, wanted, `at ${now} ms`);
  }
  queue.retry("bad");
  await tick();
  assert.equal(tries, 4, "at once for who asks again");
  queue.dispose();
});

test("the cache keeps to its budget, frees the oldest first, and never what the frame uses", () => {
  const freed = [];
  const cache = new TextureCache({ budgetBytes: 100, free: (texture) => freed.push(texture) });
  for (const key of ["a", "b", "c"]) {
    cache.beginFrame();
    cache.put(key, key.toUpperCase(), 40);
  }
  cache.beginFrame();
  assert.equal(cache.get("a"), "A");
  cache.trim();
  assert.deepEqual(freed, ["B"]);
  assert.equal(cache.bytes, 80);
  cache.get("c");
  cache.put("d", "D", 80);
  cache.trim();
  assert.deepEqual(freed, ["B"], "all of them are in use");
  cache.beginFrame();
  cache.get("d");
  cache.trim();
  assert.deepEqual(freed, ["B", "A", "C"]);
  cache.put("d", "D2", 10);
  assert.deepEqual([freed.at(-1), cache.bytes], ["D", 10]);
  cache.clear();
  assert.deepEqual([freed.at(-1), cache.bytes], ["D2", 0]);
});

test("a glide takes the short way and ends exactly; a run-on dies away", () => {
  const motion = new Motion();
  const from = { heading: 350, elevation: 0, fieldOfView: 80 };
  const to = { heading: 10, elevation: 20, fieldOfView: 40 };
  motion.glide(from, to, { now: 0, lasts: 100 });
  const half = motion.step(from, 50);
  assert.ok(half.heading > 350 || half.heading < 10);
  assert.deepEqual(motion.step(half, 100), to);
  assert.ok(!motion.active);
  motion.runOn({ heading: 0.1, elevation: 0 }, 0);
  let view = from;
  let now = 0;
  while (motion.active && now < 5000) view = motion.step(view, (now += 16));
  assert.ok(now < 1500, `ended after ${now} ms`);
  near(view.heading + 360 - 350, 16, 1.5, "0.1° a millisecond runs on for 160 ms' worth");
});
