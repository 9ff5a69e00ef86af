// The stage: the window on which a station's picture stands. It holds the canvas, what is on the graphics card and the view,
// and draws a frame when something has changed, and only then.

import { CanvasSize } from "./canvas-size.js";
import { Motion } from "./motion.js";
import { Pace } from "./pace.js";
import { Renderer } from "./renderer.js";
import { TextureCache } from "./texture-cache.js";
import { TileQueue, fetchPicture } from "./tile-queue.js";
import { limitsFor, reshaped, within } from "./view.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./view.js").Limits} Limits */
/** @typedef {import("./station-picture.js").StationPicture} StationPicture */
/** @typedef {import("./renderer.js").Picture} Picture */
/** What came of asking for another picture: it stands; something else was asked for meanwhile; it cannot be had.
 * @typedef {"stands" | "replaced" | "missing"} Outcome */
/** A picture on its way in; `entered` is called when it stands, before it is drawn.
 * @typedef {{ picture: StationPicture, view: View, entered: () => void, ended: (outcome: Outcome) => void }} Arrival */
/** `onFrame`: the view or the window has changed, before it is drawn. `onSettled`: every tile of the view is at its final level. `onTrouble`: a
 * file of the present view has failed more than once, or (null) it no longer does.
 * @typedef {{ onFrame: () => void, onSettled: () => void, onTrouble: (troubled: boolean) => void }} StageListener */

/** Somebody who looks at the stage's pictures through other eyes and has a frame loop of their own. `draws`: draws a picture, says whether all of
 * it is sharp. `wants`: the files that takes, the most wanted first. `admits`: whether the next picture, which could now be shown, may
 * take the place of this one; asked again in each frame. `enters`: it does, meant to be seen as `view`; says how it will be. `leaves`: the stage
 * is taken down.
 * @typedef {{ draws: (picture: StationPicture, cache: TextureCache<Picture>) => boolean,
 *   wants: (picture: StationPicture, cache: TextureCache<Picture>) => import("./tile-queue.js").Request[], admits: () => boolean,
 *   enters: (picture: StationPicture, view: View) => View, leaves: () => void }} Guest */

const MEBIBYTE = 2 ** 20;
/** Bytes of textures kept on the card; half on devices that say they have little memory. */
const BUDGET_BYTES = 192 * MEBIBYTE;
/** Uploads in one frame, so that no frame waits long for them. */
const UPLOADS_A_FRAME = 4;
/** A fade from one room to the next. */
const FADE_MS = 280;
/** A file that failed so often is worth a word to the visitor. */
const TROUBLE_AFTER = 2;

/** See the top of this file. */
export class Stage {
  /** @type {View} */
  #view = { heading: 0, elevation: 0, fieldOfView: 75 };
  /** @type {StationPicture | null} */
  #shown = null;
  /** @type {Arrival | null} */
  #arrival = null;
  /** @type {StationPicture[]} */
  #next = [];
  /** @type {Guest | null} */
  #guest = null;
  #motion = new Motion();
  #frameAsked = 0;
  #mustDraw = false;
  #viewChanged = false;
  #settled = false;
  #troubled = false;
  #stop = new AbortController();
  #canvas;
  #former;
  #listener;
  #renderer;
  #queue;
  /** @type {TextureCache<Picture>} */
  #cache;
  #size;
  #pace;

  /** Throws NoWebGl2 where there is none. `former` is a plain canvas over the first, for the fade.
   * @param {{ canvas: HTMLCanvasElement, former: HTMLCanvasElement }} canvases @param {StageListener} listener */
  constructor({ canvas, former }, listener) {
    this.#canvas = canvas;
    this.#former = former;
    this.#listener = listener;
    const renderer = new Renderer(canvas);
    this.#renderer = renderer;
    this.#queue = new TileQueue({ fetchPicture, onChange: () => this.#askForFrame() });
    this.#cache = new TextureCache({ budgetBytes: budget(), free: (picture) => renderer.free(picture) });
    canvas.addEventListener("webglcontextlost", (event) => this.#contextLost(event), { signal: this.#stop.signal });
    canvas.addEventListener("webglcontextrestored", () => this.#contextRestored(), { signal: this.#stop.signal });
    this.#size = new CanvasSize(canvas, (before) => this.#resized(before));
    this.#pace = new Pace(() => this.#drawAgain());
  }

  /** @returns {View} */
  get view() {
    return this.#view;
  }

  /** Where a movement under way will end. @returns {View} */
  get destination() {
    return this.#motion.destination(this.#view);
  }

  /** In CSS pixels. @returns {Size} */
  get size() {
    return this.#size.css;
  }

  /** How far one may zoom in the picture shown, or in another. @param {StationPicture | null} [picture] @returns {Limits} */
  limits(picture = this.#shown) {
    if (!picture) return { narrowest: 1, widest: 95 };
    const { levels, opening } = picture.station;
    return limitsFor(this.#size.css, levels[0].facePx, opening.fieldOfView);
  }

  /** Looks somewhere at once. @param {View} view */
  look(view) {
    this.#motion.stop();
    this.#setView(view);
  }

  /** Looks somewhere by moving there. @param {View} view @param {number} lasts milliseconds */
  glide(view, lasts) {
    if (lasts === 0) return this.look(view);
    this.#motion.glide(this.#view, within(view, this.limits()), { now: performance.now(), lasts });
    this.#askForFrame();
  }

  /** Lets the view run on after a throw. @param {import("./motion.js").Speed} speed */
  runOn(speed) {
    this.#motion.runOn(speed, performance.now());
    this.#askForFrame();
  }

  /** Stops any movement: a hand has taken hold. */
  halt() {
    this.#motion.stop();
  }

  /** Brings another picture in as soon as something of it stands; the old one stays until then.
   * @param {StationPicture} picture @param {View} view @param {() => void} entered called before it is first drawn @returns {Promise<Outcome>} */
  bring(picture, view, entered) {
    this.#arrival?.ended("replaced");
    return new Promise((ended) => {
      this.#arrival = { picture, view, entered, ended };
      this.#askForFrame();
    });
  }

  /** The pictures that may be asked for next: fetched ahead when there is nothing else to do. @param {StationPicture[]} pictures */
  expect(pictures) {
    this.#next = pictures;
    this.#askForFrame();
  }

  /** Lends the pictures to somebody with eyes and a frame loop of their own, until `takeBack`; nothing is drawn on the canvas meanwhile.
   * @param {Guest} guest @returns {Renderer} */
  lend(guest) {
    this.#guest = guest;
    this.#settled = false;
    this.#motion.stop();
    cancelAnimationFrame(this.#frameAsked);
    this.#frameAsked = 0;
    return this.#renderer;
  }

  /** Whether somebody else draws the pictures now. @returns {boolean} */
  get lent() {
    return this.#guest !== null;
  }

  /** What stands on the stage. @returns {StationPicture | null} */
  get shown() {
    return this.#shown;
  }

  /** The graphics card's context. @returns {WebGL2RenderingContext} */
  get gl() {
    return this.#renderer.gl;
  }

  /** One frame of the guest's loop: takes in what has come, has it drawn, asks for what is missing. */
  serve() {
    const guest = this.#guest;
    if (!guest || this.#renderer.lost) return;
    this.#uploadArrivals();
    this.#welcome();
    if (this.#shown) {
      this.#cache.beginFrame();
      const complete = guest.draws(this.#shown, this.#cache);
      if (complete && !this.#settled) this.#listener.onSettled();
      this.#settled = complete;
    }
    this.#cache.trim();
    this.#askForPictures();
  }

  /** Where the guest looks now. @param {View} view */
  looked(view) {
    this.#view = within(view, this.limits());
    this.#listener.onFrame();
  }

  /** The canvas shows the view again. */
  takeBack() {
    this.#guest = null;
    this.#motion.stop();
    this.#viewChanged = true;
    this.#settled = false;
    this.#drawAgain();
  }

  /** Gives everything back. */
  dispose() {
    this.#stop.abort();
    this.#guest?.leaves();
    this.#size.dispose();
    this.#pace.dispose();
    cancelAnimationFrame(this.#frameAsked);
    this.#queue.dispose();
    this.#cache.clear();
    this.#renderer.dispose();
    this.#arrival?.ended("replaced");
  }

  /** @param {View} view */
  #setView(view) {
    const next = within(view, this.limits());
    const same = /** @type {const} */ (["heading", "elevation", "fieldOfView"]).every((key) => next[key] === this.#view[key]);
    if (same) return;
    this.#view = next;
    this.#viewChanged = true;
    this.#mustDraw = true;
    this.#settled = false;
    this.#askForFrame();
  }

  #drawAgain() {
    this.#mustDraw = true;
    this.#askForFrame();
  }

  #askForFrame() {
    if (this.#frameAsked !== 0 || this.#guest || this.#stop.signal.aborted) return;
    this.#frameAsked = requestAnimationFrame((now) => {
      this.#frameAsked = 0;
      this.#frame(now);
    });
  }

  /** @param {number} now */
  #frame(now) {
    if (this.#renderer.lost || this.#size.none) return;
    if (this.#motion.active) this.#setView(this.#motion.step(this.#view, performance.now()));
    this.#uploadArrivals();
    this.#welcome();
    this.#draw(now);
    this.#cache.trim();
    this.#askForPictures();
    if (this.#motion.active || this.#queue.hasArrivals) this.#askForFrame();
  }

  #uploadArrivals() {
    for (const { request, picture } of this.#queue.take(UPLOADS_A_FRAME)) {
      this.#cache.put(request.key, this.#renderer.upload(picture), 4 * picture.width * picture.height);
      picture.close();
      this.#mustDraw ||= this.#shown?.owns(request.key) ?? false;
    }
  }

  /** Lets the arriving picture in if something of it stands. */
  #welcome() {
    if (!this.#arrival) return;
    const { picture, view, entered, ended } = this.#arrival;
    const wanted = within(view, this.limits(picture));
    if (!this.#mayEnter(picture, wanted)) return;
    this.#fadeFrom(this.#shown, picture);
    this.#arrival = null;
    this.#motion.stop();
    this.#shown = picture;
    this.#view = this.#guest?.enters(picture, wanted) ?? wanted;
    this.#viewChanged = true;
    this.#mustDraw = true;
    this.#settled = false;
    entered();
    ended("stands");
  }

  /** Whether enough of the arriving picture is there, and whoever looks is ready for it. @param {StationPicture} picture @param {View} view
   * @returns {boolean} */
  #mayEnter(picture, view) {
    if (this.#guest) return this.#cache.has(picture.firstLight.key) && this.#guest.admits();
    return picture.stands(view, this.#size.device, this.#cache);
  }

  /** Keeps the last frame of the room that is left, and lets it fade over the next.
   * @param {StationPicture | null} from @param {StationPicture} to */
  #fadeFrom(from, to) {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (!from || still || this.#guest || from.station.folder === to.station.folder) return;
    from.draw(this.#renderer, this.#cache, { view: this.#view, size: this.#size.device, sharp: false });
    const former = this.#former;
    for (const fade of former.getAnimations()) fade.cancel();
    Object.assign(former, this.#size.device);
    former.getContext("2d")?.drawImage(this.#canvas, 0, 0);
    const fade = former.animate([{ opacity: 1 }, { opacity: 0 }], { duration: FADE_MS, easing: "ease-in-out" });
    fade.onfinish = () => Object.assign(former, { width: 0, height: 0 });
  }

  /** @param {number} now */
  #draw(now) {
    if (!this.#shown || !this.#mustDraw) return;
    this.#cache.beginFrame();
    const sharp = this.#pace.isFine(now, this.#viewChanged);
    if (this.#viewChanged) this.#listener.onFrame();
    const complete = this.#shown.draw(this.#renderer, this.#cache, { view: this.#view, size: this.#size.device, sharp });
    this.#viewChanged = false;
    this.#mustDraw = false;
    if (complete && sharp && !this.#motion.active && !this.#settled) {
      this.#settled = true;
      this.#listener.onSettled();
    }
  }

  #askForPictures() {
    const size = this.#size.device;
    if (this.#arrival) {
      const { picture, view } = this.#arrival;
      const ahead = () => picture.ahead().filter(({ key }) => !this.#cache.has(key));
      this.#queue.want(this.#guest ? ahead() : picture.wanted(within(view, this.limits(picture)), size, this.#cache));
      if (this.#queue.attemptsFailed(picture.firstLight.key) >= TROUBLE_AFTER) this.#giveUpArrival();
      return;
    }
    if (!this.#shown) return;
    const wanted = this.#guest?.wants(this.#shown, this.#cache) ?? this.#shown.wanted(this.#view, size, this.#cache);
    this.#reportTrouble(wanted.some(({ key }) => this.#queue.attemptsFailed(key) >= TROUBLE_AFTER));
    const idle = wanted.length === 0 && this.#settled;
    this.#queue.want(idle ? this.#ahead() : wanted);
  }

  /** A room whose first light does not come is not entered if there is one to stay in. */
  #giveUpArrival() {
    if (!this.#shown) return this.#reportTrouble(true);
    this.#arrival?.ended("missing");
    this.#arrival = null;
    this.#askForFrame();
  }

  /** @param {boolean} troubled */
  #reportTrouble(troubled) {
    if (troubled === this.#troubled) return;
    this.#troubled = troubled;
    this.#listener.onTrouble(troubled);
  }

  /** What to fetch for the rooms behind the doors; nothing where the visitor saves data or the card is nearly full. @returns {import("./tile-queue.js").Request[]} */
  #ahead() {
    const { connection } = /** @type {{ connection?: { saveData?: boolean } }} */ (navigator);
    if (connection?.saveData || this.#cache.nearlyFull) return [];
    return this.#next.flatMap((picture) => picture.ahead()).filter(({ key }) => !this.#cache.has(key));
  }

  /** The window has another size: drawn at once, since the canvas is empty now. @param {Size} former CSS pixels */
  #resized(former) {
    if (this.#shown) {
      const fieldOfView = reshaped(this.#view.fieldOfView, former, this.size);
      this.#view = within({ ...this.#view, fieldOfView }, this.limits());
    }
    this.#viewChanged = true;
    this.#mustDraw = true;
    this.#settled = false;
    cancelAnimationFrame(this.#frameAsked);
    this.#frameAsked = 0;
    if (!this.#guest) this.#frame(performance.now());
  }

  /** @param {Event} event */
  #contextLost(event) {
    event.preventDefault();
    this.#cache.forget();
  }

  #contextRestored() {
    this.#renderer.restore();
    this.#settled = false;
    this.#drawAgain();
  }
}

/** @returns {number} */
const budget = () => {
  const { deviceMemory } = /** @type {{ deviceMemory?: number }} */ (navigator);
  return deviceMemory !== undefined && deviceMemory <= 4 ? BUDGET_BYTES / 2 : BUDGET_BYTES;
};
