// What hangs in the room with a headset on: the marks of a station's doors, steps and notes, an open note and the way to close it, and what
// the page says.

import { markCard, noteCard, sentenceCard } from "./immersive-cards.js";
import { KIND } from "./immersive-overlay.js";
import { cardCorners, hungApart, ribbonCorners } from "./immersive-view.js";
import { clamp, directionOf, radians, turnBetween } from "./sphere.js";
import { fetchPicture } from "./tile-queue.js";
import { inPicture } from "./walk.js";

/** @typedef {import("./immersive-cards.js").Card} Card */
/** @typedef {import("./immersive-overlay.js").Overlay} Overlay */
/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** @typedef {import("./sphere.js").Vector} Vector */
/** A card in its place. @typedef {{ texture: WebGLTexture, card: Card, direction: Vector }} Hung */
/** Chosen by pointing no further than `reach` degrees from it. No hotspot: it closes the note. `meant`: what it marks, where it had to be moved
 * aside from that. @typedef {Hung & { hotspot: Hotspot | null, reach: number, meant?: Vector | null }} Target */

/** A mark may be missed by so much, in degrees: its drawing is 5.5° wide. */
const REACH_DEG = 4.5;
/** A note hangs where it can be read without bending the neck, however high its mark is. */
const NOTE_LATITUDE = { lowest: -6, highest: 8 };
/** From a note's lower edge to the middle of what closes it. */
const CLOSE_BELOW_DEG = 3;
/** What the page says hangs below the horizon, where the head looks, and follows when it has turned this far. */
const SENTENCE = { latitude: -20, stays: 40 };
/** The lines from a mark that was moved aside, the widest first: width in degrees, and colour.
 * @type {[number, import("./immersive-overlay.js").Colour][]} */
const LEADERS = [[0.36, [0.15, 0.13, 0.11, 1]], [0.2, [0.97, 0.95, 0.91, 1]]];
/** A mark that is pointed at: larger, and warm like the marks of the page. */
const LARGER = 1.14;
/** @type {import("./immersive-overlay.js").Colour} */
const LIT = [1, 0.88, 0.66, 1];
/** @type {import("./immersive-overlay.js").Colour} */
const AS_PAINTED = [1, 1, 1, 1];
/** Marks while a note is open. @type {import("./immersive-overlay.js").Colour} */
const AWAY = [0.35, 0.35, 0.35, 0.35];

/** See the top of this file. */
export class Hangings {
  /** @type {Target[]} */
  #marks = [];
  /** @type {{ note: Hung, close: Target, loading: AbortController } | null} */
  #open = null;
  #text = "";
  #longitude = 0;
  /** @type {Hung | null} */
  #sentence = null;
  #overlay;
  #host;

  /** @param {Overlay} overlay @param {import("./immersive.js").ImmersionHost} host */
  constructor(overlay, host) {
    this.#overlay = overlay;
    this.#host = host;
  }

  /** What may be chosen now. @returns {readonly Target[]} */
  get targets() {
    return this.#open ? [this.#open.close] : this.#marks;
  }

  /** Another station's marks. @param {import("./walk.js").Station} station */
  fill(station) {
    this.close();
    for (const { texture } of this.#marks) this.#overlay.free(texture);
    const cards = station.hotspots.map((hotspot) => {
      const { heading: longitude, elevation: latitude } = inPicture(station, hotspot);
      return { hotspot, longitude, latitude, card: markCard(hotspot.kind, hotspot.name) };
    });
    const latitudes = hungApart(cards.map(({ card, ...place }) => ({ ...card, ...place })));
    this.#marks = cards.map(({ hotspot, longitude, latitude, card }, index) => {
      const hung = this.#hung(card, directionOf(longitude, latitudes[index]));
      return { ...hung, hotspot, reach: REACH_DEG, meant: latitudes[index] === latitude ? null : directionOf(longitude, latitude) };
    });
  }

  /** Opens a note beside its mark; its picture comes when it is there. @param {import("./walk.js").Note} note @param {number} longitude */
  show(note, longitude) {
    this.close();
    const loading = new AbortController();
    this.#hang(note, longitude, { picture: null, loading });
    if (!note.picture) return;
    fetchPicture(this.#host.address(note.picture.src), loading.signal).then(
      (picture) => {
        if (!loading.signal.aborted) {
          this.close();
          this.#hang(note, longitude, { picture, loading: new AbortController() });
        }
        picture.close();
      },
      // A note without its picture is still a note.
      () => {},
    );
  }

  /** Closes the note. Says whether one was open. @returns {boolean} */
  close() {
    if (!this.#open) return false;
    const { note, close, loading } = this.#open;
    loading.abort();
    for (const { texture } of [note, close]) this.#overlay.free(texture);
    this.#open = null;
    return true;
  }

  /** What the page says, said in the room too. @param {string} text nothing takes it away @param {number} longitude where the head looks */
  say(text, longitude) {
    const stays = Math.abs(turnBetween(longitude, this.#longitude)) < SENTENCE.stays;
    if (text === this.#text && (text === "" || stays)) return;
    if (this.#sentence) this.#overlay.free(this.#sentence.texture);
    this.#text = text;
    this.#longitude = longitude;
    this.#sentence = text === "" ? null : this.#hung(sentenceCard(text), directionOf(longitude, SENTENCE.latitude));
  }

  /** @param {ReadonlySet<Target | null>} lit what is pointed at */
  draw(lit) {
    for (const { direction, meant } of this.#marks) if (meant) this.#lead(direction, meant);
    for (const mark of this.#marks) this.#draw(mark, lit.has(mark) ? LIT : this.#open ? AWAY : AS_PAINTED);
    if (this.#sentence) this.#draw(this.#sentence, AS_PAINTED);
    if (!this.#open) return;
    const { note, close } = this.#open;
    this.#draw(note, AS_PAINTED);
    this.#draw(close, lit.has(close) ? LIT : AS_PAINTED);
  }

  /** @param {import("./walk.js").Note} note @param {number} longitude @param {{ picture: ImageBitmap | null, loading: AbortController }} how */
  #hang({ name, text, elevation }, longitude, { picture, loading }) {
    const paragraphs = text === name || text === "" ? [] : text.split(/\n{2,}/);
    const card = noteCard({ title: name, paragraphs, picture });
    const latitude = clamp(elevation, NOTE_LATITUDE.lowest, NOTE_LATITUDE.highest);
    const note = this.#hung(card, directionOf(longitude, latitude));
    const below = directionOf(longitude, latitude - card.height / 2 - CLOSE_BELOW_DEG);
    const close = { ...this.#hung(sentenceCard(this.#host.say("close")), below), hotspot: null, reach: REACH_DEG };
    this.#open = { note, close, loading };
  }

  /** @param {Card} card @param {Vector} direction @returns {Hung} */
  #hung(card, direction) {
    return { card, direction, texture: this.#overlay.upload(card.canvas) };
  }

  /** From a mark that was moved aside to what it means, light on dark. @param {Vector} direction @param {Vector} meant */
  #lead(direction, meant) {
    for (const [width, colour] of LEADERS) this.#overlay.square(KIND.plain, ribbonCorners(direction, meant, radians(width)), colour);
  }

  /** @param {Hung} hung @param {import("./immersive-overlay.js").Colour} tint */
  #draw({ card: { width, height, up }, direction, texture }, tint) {
    const by = tint === LIT ? LARGER : 1;
    this.#overlay.square(KIND.card, cardCorners(direction, { width: by * width, height: by * height, up: by * up }), tint, { texture });
  }
}
