// A headset for tests: the WebXR device of iwer (MIT) in the page, worn, turned and pointed from here, and what its eyes are shown.

import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { newPage, open } from "./harness.mjs";

const IWER = fileURLToPath(new URL("../node_modules/iwer/build/iwer.min.js", import.meta.url));
const ROTATIONS = fileURLToPath(new URL("../fixtures/reference/rotation.csv", import.meta.url));

/** Each eye's half of the screen, in pixels. */
export const EYE = { width: 500, height: 500 };
export const WINDOW = { width: 2 * EYE.width, height: EYE.height };

/** What each eye sees to each side, as tangents: no two alike, as in real headsets, where the nose is in the way. */
export const TANGENTS = {
  left: { left: 1.1, right: 0.8, up: 0.95, down: 1.05 },
  right: { left: 0.8, right: 1.1, up: 0.95, down: 1.05 },
};

/** The matrix of a window that is not in the middle: glFrustum of the OpenGL 2.1 specification, section 2.11.2, column by column. */
const projectionOf = ({ left, right, up, down }, near = 0.1, far = 1000) => [
  2 / (left + right), 0, 0, 0,
  0, 2 / (up + down), 0, 0,
  (right - left) / (right + left), (up - down) / (up + down), -(far + near) / (far - near), -1,
  0, 0, (-2 * far * near) / (far - near), 0,
];

/** A page whose browser has a headset. Its controllers lie switched off. */
export const pageWithHeadset = async (browser, options = {}) => {
  const made = await newPage(browser, { viewport: WINDOW, ...options });
  await made.page.addInitScript({ path: IWER });
  await made.page.addInitScript((projections) => {
    const device = new window.IWER.XRDevice(window.IWER.metaQuest2, { stereoEnabled: true });
    device.installRuntime({ forceInstall: true });
    for (const hand of ["left", "right"]) device.controllers[hand].connected = false;
    Object.defineProperty(window.XRView.prototype, "projectionMatrix", {
      get() {
        return new Float32Array(projections[this.eye]);
      },
    });
    performance.setResourceTimingBufferSize(5000);
    window.headset = device;
  }, { left: projectionOf(TANGENTS.left), right: projectionOf(TANGENTS.right) });
  return made;
};

const button = (page) => page.getByRole("button", { name: "Use a headset" });

/** Opens the sheet that the button is on. */
export const openMore = async (page) => {
  await page.getByRole("button", { name: "More", exact: true }).click();
  await page.getByRole("button", { name: "Copy a link to this view" }).waitFor();
};

/** Opens an address and goes in through the caution. */
export const goIn = async (page, url) => {
  await open(page, url);
  await openMore(page);
  await button(page).click();
  await page.getByRole("button", { name: "Go in" }).click();
  await worn(page);
};

export const headsetButton = button;

/** Waits until the headset shows frames, and then for so many more. */
export const worn = (page, frames = 3) =>
  page.evaluate(async (count) => {
    while (!window.headset.activeSession?.renderState.baseLayer) await new Promise(requestAnimationFrame);
    for (let i = 0; i < count; i++) await new Promise((next) => window.headset.activeSession.requestAnimationFrame(next));
  }, frames);

/** Ends the session as a headset's own menu does. */
export const takeOff = (page) => page.evaluate(() => window.headset.activeSession.end());

/** A rotation about the table's axes (right, forward, up) about those of WebXR (right, up, backward). */
const quaternionOf = ({ qw, qx, qy, qz }) => [qx, qz, -qy, qw].map(Number);

/** A turn to the right and then up, in degrees, written out: half angles, the turn about the vertical first. */
export const turn = (right, up = 0) => {
  const [h, e] = [(-right * Math.PI) / 360, (up * Math.PI) / 360];
  return [Math.cos(h) * Math.sin(e), Math.sin(h) * Math.cos(e), -Math.sin(h) * Math.sin(e), Math.cos(h) * Math.cos(e)];
};

/** The rows of the table of rotations (scipy; see its head), with the head's quaternion in WebXR's axes. */
export const rotations = async () => {
  const [head, ...rows] = (await readFile(ROTATIONS, "utf8")).split("\n").filter((line) => line && !line.startsWith("#"));
  return rows.map((row) => {
    const values = Object.fromEntries(row.split(",").map((value, i) => [head.split(",")[i], value]));
    return { ...values, quaternion: quaternionOf(values) };
  });
};

/** Turns the head; a quaternion x, y, z, w. */
export const turnHead = async (page, quaternion) => {
  await page.evaluate((q) => window.headset.quaternion.set(...q), quaternion);
  await worn(page);
};

/** Switches the right controller on and points it, from half a metre below and before the eyes. */
export const point = async (page, quaternion) => {
  await page.evaluate((q) => {
    const controller = window.headset.controllers.right;
    controller.connected = true;
    controller.quaternion.set(...q);
    controller.position.set(0.2, 1.1, -0.3);
  }, quaternion);
  await worn(page);
};

/** Presses the controller's trigger and lets it go. */
export const press = async (page) => {
  for (const value of [1, 0]) {
    await page.evaluate((pressed) => window.headset.controllers.right.updateButtonValue("trigger", pressed), value);
    await worn(page);
  }
};

/** What both eyes are shown, as raw RGB. */
export const eyes = async (page) => {
  const shot = sharp(await page.screenshot()).removeAlpha();
  const { width, height } = EYE;
  const half = async (left) => ({ ...EYE, data: await shot.clone().extract({ left, top: 0, width, height }).raw().toBuffer() });
  return { left: await half(0), right: await half(width) };
};

/** Where a direction of the head (right, up, ahead) falls in an eye, in pixels from the top left; null beyond its edges. */
export const placeIn = (eye, [right, up, ahead]) => {
  const { left, right: rightSide, up: top, down } = TANGENTS[eye];
  const [x, y] = [((right / ahead + left) / (left + rightSide)) * EYE.width, ((top - up / ahead) / (top + down)) * EYE.height];
  return ahead > 0.1 && x > 12 && y > 12 && x < EYE.width - 12 && y < EYE.height - 12 ? { x, y } : null;
};

/** The middle of the light round a place, above so much. Pixel centres at i + 0.5. */
export const lightAt = ({ data, width }, place, above) => {
  let [sum, x, y] = [0, 0, 0];
  for (let j = Math.floor(place.y) - 9; j <= place.y + 9; j++) {
    for (let i = Math.floor(place.x) - 9; i <= place.x + 9; i++) {
      const light = Math.max(data[3 * (j * width + i)] - above, 0);
      sum += light;
      x += light * (i + 0.5);
      y += light * (j + 0.5);
    }
  }
  return { x: x / sum, y: y / sum, sum };
};

/** Waits until the page asks for nothing more for a while. */
export const quiet = (page, milliseconds = 500) =>
  page.evaluate(async (still) => {
    const count = () => performance.getEntriesByType("resource").length;
    for (let before = -1, now = count(); before !== now; [before, now] = [now, count()]) await new Promise((later) => setTimeout(later, still));
  }, milliseconds);

/** From here on keeps, for each frame of the headset: its time, the room, the brightness of the left eye's picture, and how many pixels round
 * the place where the head looks are amber. */
export const record = (page) =>
  page.evaluate(({ width, height }) => {
    window.film = [];
    const { activeSession: session, appCanvas: canvas } = window.headset;
    const gl = canvas.getContext("webgl2");
    const shown = new Uint8Array(4 * width * height);
    // The tangents again; rows count from the bottom here.
    const [x, y] = [(1.1 / 1.9) * width, (1.05 / 2) * height];
    const keep = (time) => {
      session.requestAnimationFrame(keep);
      gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, shown);
      let [sum, amber] = [0, 0];
      for (let at = 0; at < shown.length; at += 4) {
        sum += shown[at] + shown[at + 1] + shown[at + 2];
        const away = Math.hypot(((at / 4) % width) - x, Math.floor(at / 4 / width) - y);
        if (away > 5 && away < 14 && shown[at] > 180 && shown[at] - shown[at + 2] > 60) amber += 1;
      }
      const { room } = document.querySelector("enfilade-walk").view;
      window.film.push({ time, room, brightness: sum / (3 * width * height), amber });
    };
    session.requestAnimationFrame(keep);
  }, EYE);

export const filmOf = (page) => page.evaluate(() => window.film);
