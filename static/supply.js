// The stage's supply of pictures: which files are asked for, in which order, and what is kept on the graphics card.

import { TileQueue, fetchPicture } from "./tile-queue.js";

/** @typedef {import("./tile-queue.js").Request} Request */
/** @typedef {import("./renderer.js").Picture} Picture */

const MEBIBYTE = 2 ** 20;
/** Bytes of textures kept on the card; half on small devices. */
const BUDGET_BYTES = 192 * MEBIBYTE;
/** Uploads in one frame, so that no frame waits long for them. */
const UPLOADS_A_FRAME = 4;
/** A file that failed so often is worth a word to the visitor. */
const TROUBLE_AFTER = 2;

/** See the top of this file. */
export class Supply {
  /** @type {TextureCache<Picture>} */
  cache;
  #queue;
  #renderer;

  /** `onChange` is called when a file has come or failed. @param {import("./renderer.js").Renderer} renderer @param {() => void} onChange */
  constructor(renderer, onChange) {
    this.#renderer = renderer;
    this.#queue = new TileQueue({ fetchPicture, onChange });
    this.cache = new TextureCache({ budgetBytes: budget(), free: (picture) => renderer.free(picture) });
  }

  /** Puts some of what has come on the card. @returns {string[]} the keys of what is there now */
  takeIn() {
    return this.#queue.take(UPLOADS_A_FRAME).map(({ request: { key }, picture }) => {
      this.cache.put(key, this.#renderer.upload(picture), 4 * picture.width * picture.height);
      picture.close();
      return key;
    });
  }

  /** Whether more has come than is on the card. @returns {boolean} */
  get hasArrivals() {
    return this.#queue.hasArrivals;
  }

  /** Asks for these files and no others, the most wanted first; `beside` are served in turn with them.
   * @param {readonly Request[]} wanted @param {readonly Request[]} [beside] */
  want(wanted, beside = []) {
    const both = wanted.flatMap((request, i) => [request, ...beside.slice(i, i + 1)]);
    const all = new Map([...both, ...beside.slice(wanted.length)].map((request) => [request.key, request]));
    this.#queue.want([...all.values()].filter(({ key }) => !this.cache.has(key)));
  }

  /** Whether a file has failed more than once. @param {Request} request @returns {boolean} */
  lacks({ key }) {
    return this.#queue.attemptsFailed(key) >= TROUBLE_AFTER;
  }

  /** Asks again for a file that has failed, or for all of them. @param {Request} [request] */
  retry(request) {
    this.#queue.retry(request?.key);
  }

  /** Whether nothing should be fetched ahead: the visitor saves data. @returns {boolean} */
  get spares() {
    return /** @type {{ connection?: { saveData?: boolean } }} */ (navigator).connection?.saveData ?? false;
  }

  /** Gives everything back. */
  dispose() {
    this.#queue.dispose();
    this.cache.clear();
  }
}

/** @template T @typedef {{ texture: T, bytes: number, frame: number }} Entry */

/** Textures by key, within a budget of bytes. What was used longest ago goes first; what the last frame drawn uses stays. @template T */
export class TextureCache {
  /** In order of use: a Map keeps the order of insertion. @type {Map<string, Entry<T>>} */
  #entries = new Map();
  #bytes = 0;
  #frame = 0;
  #budget;
  #free;

  /** @param {{ budgetBytes: number, free: (texture: T) => void }} options */
  constructor({ budgetBytes, free }) {
    this.#budget = budgetBytes;
    this.#free = free;
  }

  /** Bytes held now. @returns {number} */
  get bytes() {
    return this.#bytes;
  }

  /** Whether little room is left. @returns {boolean} */
  get nearlyFull() {
    return this.#bytes > 0.75 * this.#budget;
  }

  /** What is fetched from here on belongs to a new frame. */
  beginFrame() {
    this.#frame += 1;
  }

  /** @param {string} key @returns {boolean} */
  has(key) {
    return this.#entries.has(key);
  }

  /** The texture, which counts as used by this frame. @param {string} key @returns {T | undefined} */
  get(key) {
    const entry = this.#entries.get(key);
    if (!entry) return undefined;
    entry.frame = this.#frame;
    this.#entries.delete(key);
    this.#entries.set(key, entry);
    return entry.texture;
  }

  /** Keeps a texture, in place of an older one of that key. @param {string} key @param {T} texture @param {number} bytes */
  put(key, texture, bytes) {
    this.#remove(key);
    this.#entries.set(key, { texture, bytes, frame: this.#frame });
    this.#bytes += bytes;
  }

  /** Frees what is over the budget and not used by the last frame. */
  trim() {
    for (const [key, { frame }] of this.#entries) {
      if (this.#bytes <= this.#budget || frame === this.#frame) return;
      this.#remove(key);
    }
  }

  /** Frees everything; `forget` instead where the context that held it is gone. */
  clear() {
    for (const key of [...this.#entries.keys()]) this.#remove(key);
  }

  /** Drops everything without freeing it. */
  forget() {
    this.#entries.clear();
    this.#bytes = 0;
  }

  /** @param {string} key */
  #remove(key) {
    const entry = this.#entries.get(key);
    if (!entry) return;
    this.#free(entry.texture);
    this.#entries.delete(key);
    this.#bytes -= entry.bytes;
  }
}

/** A device that says it has little memory, or is held in the hand and does not say. @returns {number} */
const budget = () => {
  const { deviceMemory } = /** @type {{ deviceMemory?: number }} */ (navigator);
  const small = deviceMemory === undefined ? matchMedia("(pointer: coarse)").matches : deviceMemory <= 4;
  return small ? BUDGET_BYTES / 2 : BUDGET_BYTES;
};
