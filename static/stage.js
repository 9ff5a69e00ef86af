// The stage: the window on which a station's picture stands. It holds the canvas and the view, and draws a frame when something has
// changed, and only then.

import { CanvasSize } from "./canvas-size.js";
import { Entrance } from "./entrance.js";
import { Motion, Pace } from "./motion.js";
import { Renderer } from "./renderer.js";
import { Supply } from "./supply.js";
import { limitsFor, reshaped, within } from "./view.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./view.js").Limits} Limits */
/** @typedef {import("./entrance.js").Destination} Destination */
/** @typedef {import("./station-picture.js").StationPicture} StationPicture */
/** @typedef {import("./station-picture.js").Cache} Cache */
/** @typedef {import("./tile-queue.js").Request} Request */
/** `onFrame`: the view or the window has changed, before it is drawn. `onSettled`: every tile of the view is at its final level. `onTrouble`: a
 * file of the present view has failed more than once, or (false) it no longer does.
 * @typedef {{ onFrame: () => void, onSettled: () => void, onTrouble: (troubled: boolean) => void }} StageListener */

/** Somebody who looks at the stage's pictures through other eyes and has a frame loop of their own. `draws`: draws a picture, says whether all of
 * it is sharp. `wants`: the files that takes, the most wanted first. `admits`: whether the next picture, which could now be shown, may
 * take the place of this one; asked again in each frame. `enters`: it does, meant to be seen as `view`; says how it will be. `leaves`: the stage
 * is taken down.
 * @typedef {{ draws: (picture: StationPicture, cache: Cache) => boolean, wants: (picture: StationPicture, cache: Cache) => Request[],
 *   admits: () => boolean, enters: (picture: StationPicture, view: View) => View, leaves: () => void }} Guest */

/** See the top of this file. */
export class Stage {
  /** @type {View} */
  #view = { heading: 0, elevation: 0, fieldOfView: 75 };
  /** @type {StationPicture | null} */
  #shown = null;
  /** @type {StationPicture[]} */
  #next = [];
  /** @type {Guest | null} */
  #guest = null;
  /** Where the visitor points. @type {Destination | null} */
  #pointedAt = null;
  #entrance = new Entrance(() => this.#askForFrame());
  #motion = new Motion();
  #frameAsked = 0;
  #mustDraw = false;
  #viewChanged = false;
  #settled = false;
  #troubled = false;
  #stop = new AbortController();
  #listener;
  #renderer;
  #supply;
  #size;
  #pace;

  /** Throws NoWebGl2 where there is none. @param {HTMLCanvasElement} canvas @param {StageListener} listener */
  constructor(canvas, listener) {
    this.#listener = listener;
    this.#renderer = new Renderer(canvas);
    this.#supply = new Supply(this.#renderer, () => this.#askForFrame());
    const { signal } = this.#stop;
    canvas.addEventListener("webglcontextlost", (event) => this.#contextLost(event), { signal });
    canvas.addEventListener("webglcontextrestored", () => this.#contextRestored(), { signal });
    addEventListener("online", () => this.#supply.retry(), { signal });
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

  /** How far one may zoom in the picture shown, or in that of another station. @param {import("./walk.js").Station} [station] @returns {Limits} */
  limits(station = this.#shown?.station) {
    if (!station) return { narrowest: 1, widest: 95 };
    const { levels, opening } = station;
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

  /** Brings another picture in as soon as something of it stands, or all that is seen of it where it is one of the station shown; the old one
   * stays until then.
   * @param {Destination} destination @param {() => void} entered called before it is first drawn
   * @returns {Promise<import("./entrance.js").Outcome>} */
  bring(destination, entered) {
    if (this.#shown) this.#entrance.prepare();
    this.#supply.retry(destination.picture.firstLight);
    return this.#entrance.ask(destination, entered);
  }

  /** Milliseconds that the passage under way takes in all; 0 where there is none. @returns {number} */
  get passing() {
    return this.#entrance.crossing?.lasts ?? 0;
  }

  /** What is being pointed at is loaded at once, beside what the present view wants; null: nothing is.
   * @param {Destination | null} destination */
  pointAt(destination) {
    this.#pointedAt = destination;
    if (this.#shown) this.#entrance.prepare();
    this.#askForFrame();
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
    this.#pointedAt = null;
    this.#entrance.abandon();
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
    return this.#renderer.context;
  }

  /** One frame of the guest's loop: takes in what has come, has it drawn, asks for what is missing. */
  serve() {
    if (this.#guest && !this.#renderer.lost) this.#goOn(performance.now());
  }

  /** Where the guest looks now, as wide as the guest sees. @param {View} view */
  looked(view) {
    this.#view = view;
    this.#listener.onFrame();
  }

  /** The canvas shows the picture again. @param {View} view what of it */
  takeBack(view) {
    this.#guest = null;
    this.#view = within(view, this.limits());
    this.#showAnew();
  }

  /** Gives everything back. */
  dispose() {
    this.#stop.abort();
    this.#guest?.leaves();
    this.#size.dispose();
    this.#pace.dispose();
    cancelAnimationFrame(this.#frameAsked);
    this.#supply.dispose();
    this.#renderer.dispose();
    this.#entrance.end("replaced");
  }

  /** @param {View} view */
  #setView(view) {
    const next = within(view, this.limits());
    const same = /** @type {const} */ (["heading", "elevation", "fieldOfView"]).every((key) => next[key] === this.#view[key]);
    if (same) return;
    this.#view = next;
    this.#showAnew();
  }

  /** What is to be seen is another. */
  #showAnew() {
    this.#viewChanged = true;
    this.#settled = false;
    this.#drawAgain();
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
    this.#goOn(now);
    if (this.#motion.active || this.#entrance.crossing || this.#supply.hasArrivals) this.#askForFrame();
  }

  /** @param {number} now */
  #goOn(now) {
    const taken = this.#supply.takeIn();
    this.#mustDraw ||= taken.some((key) => this.#shown?.owns(key));
    this.#welcome();
    this.#draw(now);
    this.#supply.cache.trim();
    this.#askForPictures();
  }

  /** The view that a picture is meant to be brought in with. @param {Destination} destination @returns {View} */
  #viewOn({ picture, view }) {
    return within(view ?? this.#view, this.limits(picture.station));
  }

  /** Lets the arriving picture in if enough of it stands. */
  #welcome() {
    const { arrival } = this.#entrance;
    if (!arrival) return;
    const view = this.#viewOn(arrival);
    if (!this.#mayEnter(arrival.picture, view)) return;
    this.#entrance.admit(this.#renderer, this.#guest ? null : this.#shown, { former: this.#view, arrival: view });
    this.#pointedAt = null;
    if (arrival.view) this.#motion.stop();
    else this.#pace.pause();
    this.#shown = arrival.picture;
    this.#view = this.#guest?.enters(arrival.picture, view) ?? view;
    this.#showAnew();
    arrival.entered();
    arrival.ended("stands");
  }

  /** Whether enough of the arriving picture is there, and whoever looks is ready for it. @param {StationPicture} picture @param {View} view
   * @returns {boolean} */
  #mayEnter(picture, view) {
    const { cache } = this.#supply;
    if (this.#guest) return cache.has(picture.firstLight.key) && this.#guest.admits();
    return this.#entrance.isReady({ shown: this.#shown, view, size: this.#size.counted, cache });
  }

  /** @param {number} now */
  #draw(now) {
    if (!this.#shown) return;
    const { cache } = this.#supply;
    if (this.#guest) {
      cache.beginFrame();
      return this.#settle(this.#guest.draws(this.#shown, cache));
    }
    if (!this.#mustDraw && !this.#entrance.crossing) return;
    cache.beginFrame();
    const sharp = this.#pace.isFine(now, this.#viewChanged);
    if (this.#viewChanged) this.#listener.onFrame();
    this.#renderer.begin(this.#size.device);
    this.#viewChanged = false;
    const { css, counted: size } = this.#size;
    this.#mustDraw = this.#entrance.draw(cache, { next: this.#shown, view: this.#view, css, size, now: performance.now() });
    if (this.#mustDraw) return;
    const complete = this.#shown.draw(this.#renderer, cache, { view: this.#view, size, sharp });
    if (complete && sharp && !this.#motion.active) this.#settle(true);
  }

  /** @param {boolean} complete whether all that is seen is sharp */
  #settle(complete) {
    const again = this.#settled;
    this.#settled = complete;
    if (complete && !again) this.#listener.onSettled();
  }

  #askForPictures() {
    const supply = this.#supply;
    const { arrival } = this.#entrance;
    if (arrival) {
      supply.want(this.#guest ? arrival.picture.ahead() : this.#wanted(arrival));
      if (supply.lacks(arrival.picture.firstLight)) this.#giveUpArrival();
      return;
    }
    if (!this.#shown) return;
    const wanted = this.#guest?.wants(this.#shown, supply.cache) ?? this.#wanted({ picture: this.#shown, view: this.#view });
    this.#reportTrouble(wanted.some((request) => supply.lacks(request)));
    supply.want(wanted, supply.spares ? [] : this.#ahead(wanted.length === 0 && this.#settled));
  }

  /** All that a picture wants for a view. @param {Destination} destination @returns {Request[]} */
  #wanted(destination) {
    return destination.picture.wanted(this.#viewOn(destination), this.#size.counted, this.#supply.cache);
  }

  /** What the room wants whose door is being pointed at and, when there is nothing else to do and the card has room, those that may be next.
   * @param {boolean} idle @returns {Request[]} */
  #ahead(idle) {
    const pointed = this.#pointedAt ? this.#wanted(this.#pointedAt) : [];
    if (!idle || this.#supply.cache.nearlyFull || this.#next.length === 0) return pointed;
    this.#entrance.prepare();
    return [...pointed, ...this.#next.flatMap((picture) => picture.ahead())];
  }

  /** A room whose first light does not come is not entered if there is one to stay in. */
  #giveUpArrival() {
    if (!this.#shown) return this.#reportTrouble(true);
    this.#entrance.end("missing");
    this.#askForFrame();
  }

  /** @param {boolean} troubled */
  #reportTrouble(troubled) {
    if (troubled === this.#troubled) return;
    this.#troubled = troubled;
    this.#listener.onTrouble(troubled);
  }

  /** The window has another size: drawn at once, since the canvas is empty now. @param {Size} former CSS pixels */
  #resized(former) {
    if (this.#shown) {
      const fieldOfView = reshaped(this.#view.fieldOfView, former, this.size);
      this.#view = within({ ...this.#view, fieldOfView }, this.limits());
    }
    this.#showAnew();
    cancelAnimationFrame(this.#frameAsked);
    this.#frameAsked = 0;
    if (!this.#guest) this.#frame(performance.now());
  }

  /** @param {Event} event */
  #contextLost(event) {
    event.preventDefault();
    this.#entrance.abandon();
    this.#supply.cache.forget();
  }

  #contextRestored() {
    this.#renderer.restore();
    this.#settled = false;
    this.#drawAgain();
  }
}
