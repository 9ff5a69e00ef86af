// One visit with a headset, from the caution to the return: the session, its frames, and what becomes of a choice. The stage goes on
// fetching and keeping pictures; a visit draws them for two eyes.

import { cautioned } from "./immersive-caution.js";
import { drawForEye, fieldSeen, wantedByEyes } from "./immersive-eyes.js";
import { Hangings } from "./immersive-hangings.js";
import { KIND, Overlay } from "./immersive-overlay.js";
import { Pointers, rayFrom } from "./immersive-pointers.js";
import { Fade } from "./immersive-time.js";
import { basisFrom, frustumFrom, gazeOf, placeOf, scaled, squareCorners, turnAcross } from "./immersive-view.js";
import { GROUND } from "./renderer.js";
import { turnBetween, wrapHeading } from "./sphere.js";
import { centreHeading, inPicture } from "./walk.js";

/** @typedef {import("./immersive.js").ImmersionHost} ImmersionHost */
/** @typedef {import("./immersive-hangings.js").Target} Target */
/** @typedef {import("./stage.js").Guest} Guest */
/** @typedef {import("./view.js").View} View */
/** @typedef {import("./station-picture.js").StationPicture} StationPicture */
/** @typedef {import("./supply.js").TextureCache<import("./renderer.js").Picture>} Cache */
/** An eye with its part of the screen and its place in metres.
 * @typedef {import("./immersive-eyes.js").Eye & { viewport: XRViewport, place: import("./sphere.js").Vector }} Eye */

/** The page is told where the head looks this often, … */
const REPORT_MS = 100;
/** … when it has moved by so many degrees. */
const REPORT_DEG = 0.05;
/** A longer gap between frames is a pause: nothing ran meanwhile. */
const LONGEST_FRAME_MS = 100;

/** Cautions, asks for a session, and lasts until it is over. Throws where the headset cannot be used after all.
 * @param {ImmersionHost} host @returns {Promise<void>} */
export const visit = async (host) => {
  const { activeElement } = /** @type {ShadowRoot} */ (host.root.getRootNode());
  if (!navigator.xr || host.stage.lent || !(await cautioned(host))) return;
  const session = await navigator.xr.requestSession("immersive-vr");
  const over = new Promise((ended) => session.addEventListener("end", ended, { once: true }));
  try {
    const begun = await Visit.begin(host, session);
    await over;
    begun.finish();
  } catch (error) {
    await session.end().catch(() => {});
    throw error;
  } finally {
    if (activeElement instanceof HTMLElement) activeElement.focus({ preventScroll: true });
  }
};

/** See the top of this file. @implements {Guest} */
class Visit {
  #fade = new Fade();
  #pointers = new Pointers();
  /** The longitude, in the picture, that lies ahead of the headset's space. */
  #turn = 0;
  /** @type {StationPicture | null} */
  #picture = null;
  /** @type {import("./walk.js").Way | null} */
  #going = null;
  /** @type {XRFrame | null} */
  #frame = null;
  #gaze = { longitude: 0, latitude: 0 };
  /** @type {Eye[]} */
  #eyes = [];
  #lastFrame = 0;
  #lastReport = 0;
  #lost = false;
  #stop = new AbortController();
  #host;
  /** The page's own field of view, for the return. */
  #pageField;
  #session;
  #space;
  #layer;
  #renderer;
  #overlay;
  #hangings;

  /** @param {ImmersionHost} host @param {XRSession} session @returns {Promise<Visit>} */
  static async begin(host, session) {
    const { gl } = host.stage;
    await gl.makeXRCompatible();
    if (gl.isContextLost()) throw new Error("the headset's graphics card has not taken over");
    const layer = new XRWebGLLayer(session, gl, { alpha: false, antialias: false, depth: false, stencil: false });
    await session.updateRenderState({ baseLayer: layer });
    return new Visit(host, session, { layer, space: await session.requestReferenceSpace("local") });
  }

  /** @param {ImmersionHost} host @param {XRSession} session @param {{ layer: XRWebGLLayer, space: XRReferenceSpace }} given */
  constructor(host, session, { layer, space }) {
    const { stage } = host;
    this.#host = host;
    this.#pageField = stage.view.fieldOfView;
    this.#session = session;
    this.#layer = layer;
    this.#space = space;
    this.#overlay = new Overlay(stage.gl);
    this.#hangings = new Hangings(this.#overlay, host);
    if (stage.shown) {
      this.#turn = inPicture(stage.shown.station, stage.view).heading;
      this.#furnish(stage.shown);
    }
    this.#renderer = stage.lend(this);
    const { signal } = this.#stop;
    session.addEventListener("select", (event) => this.#selected(event), { signal });
    stage.gl.canvas.addEventListener("webglcontextlost", () => this.#contextLost(), { signal });
    session.requestAnimationFrame(this.#onFrame);
  }

  /** Gives the stage back; it looks where the head looked last. */
  finish() {
    this.#stop.abort();
    this.#hangings.close();
    this.#overlay.dispose();
    // The page sees as wide as before.
    const { stage } = this.#host;
    stage.takeBack({ ...(this.#eyes.length > 0 ? this.#view : stage.view), fieldOfView: this.#pageField });
    this.#host.tell(this.#host.say(this.#lost ? "vrLost" : "vrBack"), !this.#lost);
  }

  /** @type {XRFrameRequestCallback} */
  #onFrame = (time, frame) => {
    this.#session.requestAnimationFrame(this.#onFrame);
    const passed = Math.min(time - this.#lastFrame, LONGEST_FRAME_MS);
    this.#lastFrame = time;
    this.#frame = frame;
    // Without a pose there is nothing to look with: the headset has lost its bearings, or lies on the table.
    if (!this.#takeBearings()) return;
    this.#fade.dims = false;
    this.#host.stage.serve();
    this.#fade.step(passed);
    const chosen = this.#pointers.chosen(this.#chooses ? this.#hangings.targets : [], passed);
    if (chosen) this.#choose(chosen);
    this.#report(REPORT_MS);
  };

  /** Takes in where head, eyes and pointers are. False where nobody knows. @returns {boolean} */
  #takeBearings() {
    const [frame, turn] = [this.#frame, this.#turn];
    const pose = frame?.getViewerPose(this.#space);
    if (!frame || !pose) return false;
    const head = basisFrom(pose.transform.matrix, turn);
    this.#gaze = gazeOf(head);
    this.#eyes = pose.views.flatMap((view) => this.#eyeOf(view) ?? []);
    const rays = [...this.#session.inputSources]
      .filter(({ targetRayMode }) => targetRayMode === "tracked-pointer")
      .flatMap(({ targetRaySpace }) => frame.getPose(targetRaySpace, this.#space) ?? [])
      .map(({ transform }) => rayFrom(transform.matrix, turn));
    this.#pointers.move(rays, head.ahead);
    return true;
  }

  /** @param {XRView} view @returns {Eye | null} null for one that has no part of the screen */
  #eyeOf(view) {
    const viewport = this.#layer.getViewport(view);
    if (!viewport || viewport.width === 0) return null;
    const { matrix } = view.transform;
    const frustum = frustumFrom(view.projectionMatrix, matrix, this.#turn);
    return { frustum, focalPx: (frustum.focal[0] * viewport.width) / 2, viewport, place: placeOf(matrix, this.#turn) };
  }

  /** Nothing can be chosen on the way to another room, or behind the headset's own menu. @returns {boolean} */
  get #chooses() {
    return !this.#fade.dims && this.#session.visibilityState === "visible";
  }

  /** @param {XRInputSourceEvent} event */
  #selected({ frame, inputSource }) {
    const pose = frame.getPose(inputSource.targetRaySpace, this.#space);
    if (!pose || !this.#chooses) return;
    const ray = rayFrom(pose.transform.matrix, this.#turn);
    const target = this.#pointers.selected(inputSource.targetRayMode, ray, this.#hangings.targets);
    // A choice beside an open note closes it, as on the page.
    if (!this.#hangings.close() && target) this.#choose(target);
  }

  /** @param {Target} target */
  #choose({ hotspot }) {
    if (hotspot === null) this.#hangings.close();
    else if (hotspot.kind === "note") this.#hangings.show(hotspot, this.#inPicture(hotspot).heading);
    else {
      this.#going = hotspot;
      this.#host.choose(hotspot);
    }
  }

  /** Something of the picture one is in, in its own frame. @template {{ heading: number }} T @param {T} what @returns {T} */
  #inPicture(what) {
    return this.#picture ? inPicture(this.#picture.station, what) : what;
  }

  /** Where the head looks, and how wide its eyes see. @returns {View} */
  get #view() {
    const centre = this.#picture ? centreHeading(this.#picture.station) : 0;
    const fieldOfView = this.#eyes.length > 0 ? fieldSeen(this.#eyes) : this.#pageField;
    return { heading: wrapHeading(this.#gaze.longitude + centre), elevation: this.#gaze.latitude, fieldOfView };
  }

  /** @param {number} every milliseconds */
  #report(every) {
    if (this.#lastFrame - this.#lastReport < every) return;
    const [now, last] = [this.#view, this.#host.stage.view];
    const changes = [turnBetween(now.heading, last.heading), now.elevation - last.elevation, now.fieldOfView - last.fieldOfView];
    if (Math.max(...changes.map(Math.abs)) < REPORT_DEG) return;
    this.#lastReport = this.#lastFrame;
    this.#host.stage.looked(now);
  }

  /** @param {StationPicture} picture */
  #furnish(picture) {
    this.#picture = picture;
    this.#hangings.fill(picture.station);
  }

  #contextLost() {
    this.#lost = true;
    this.leaves();
  }

  // What the stage asks of its guest.

  leaves() {
    this.#session.end().catch(() => {});
  }

  admits() {
    this.#fade.dims = true;
    return this.#fade.dark;
  }

  /** @param {StationPicture} picture @param {View} view @returns {View} */
  enters(picture, view) {
    const met = inPicture(picture.station, view).heading;
    const from = this.#picture?.station ?? picture.station;
    // Somebody else, a script or the way back, may have come first.
    const going = this.#going?.to.room === picture.room.id && this.#going.arriveHeading !== null ? this.#inPicture(this.#going) : null;
    this.#turn = turnAcross({ from, to: picture.station, turn: this.#turn, left: going?.heading ?? this.#gaze.longitude, met });
    this.#going = null;
    this.#furnish(picture);
    this.#takeBearings();
    this.#pointers.rest();
    return this.#view;
  }

  /** @param {StationPicture} picture @param {Cache} cache @returns {import("./tile-queue.js").Request[]} */
  wants(picture, cache) {
    return wantedByEyes(picture, this.#eyes, cache);
  }

  /** @param {StationPicture} picture @param {Cache} cache @returns {boolean} */
  draws(picture, cache) {
    this.#hangings.say(this.#host.sentence(), this.#gaze.longitude);
    this.#renderer.target(this.#layer.framebuffer);
    let complete = true;
    for (const eye of this.#eyes) {
      this.#renderer.aimEye(eye.frustum, eye.viewport);
      complete = drawForEye(picture, this.#renderer, cache, eye) && complete;
      this.#overlay.over(eye.frustum, () => this.#drawOver(eye));
    }
    return complete;
  }

  /** @param {Eye} eye */
  #drawOver({ frustum: { basis, focal }, place }) {
    this.#hangings.draw(this.#pointers.on(this.#hangings.targets));
    this.#pointers.draw(this.#overlay, place);
    if (this.#fade.cover === 0) return;
    // Wide enough for a window whose middle lies at its edge.
    const all = squareCorners(basis.ahead, scaled(basis.right, 2 / focal[0]), scaled(basis.up, 2 / focal[1]));
    this.#overlay.square(KIND.plain, all, [...GROUND, this.#fade.cover]);
  }
}
