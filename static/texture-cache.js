// Textures by key, within a budget of bytes. What was used longest ago goes first; what the last frame drawn uses stays.

/** @template T @typedef {{ texture: T, bytes: number, frame: number }} Entry */

/** @template T */
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
