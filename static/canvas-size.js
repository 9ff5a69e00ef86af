// Keeps a canvas as large as its place on the screen, in device pixels as exactly as the browser knows them.

/** @typedef {import("./view.js").Size} Size */

/** See the top of this file. */
export class CanvasSize {
  /** CSS pixels. @type {Size} */
  css = { width: 1, height: 1 };
  #canvas;
  #observer;

  /** `onChange` is called with the former size in CSS pixels when the canvas has another.
   * @param {HTMLCanvasElement} canvas @param {(former: Size) => void} onChange */
  constructor(canvas, onChange) {
    this.#canvas = canvas;
    this.#measure(null);
    this.#observer = new ResizeObserver((entries) => {
      const former = this.css;
      this.#measure(entries[entries.length - 1]);
      if (!this.none) onChange(former);
    });
    this.#observe();
  }

  /** Device pixels. @returns {Size} */
  get device() {
    return { width: this.#canvas.width, height: this.#canvas.height };
  }

  /** The canvas has no place on the screen. @returns {boolean} */
  get none() {
    return this.#canvas.width * this.#canvas.height === 0;
  }

  dispose() {
    this.#observer.disconnect();
  }

  /** @param {ResizeObserverEntry | null} entry */
  #measure(entry) {
    const { width, height } = this.#canvas.getBoundingClientRect();
    const exact = entry?.devicePixelContentBoxSize?.[0];
    this.css = { width, height };
    this.#canvas.width = exact?.inlineSize ?? Math.round(width * devicePixelRatio);
    this.#canvas.height = exact?.blockSize ?? Math.round(height * devicePixelRatio);
  }

  /** In device pixels, which also tells when the page is zoomed or moved to another screen; in CSS pixels where the browser does not know
   * the other. */
  #observe() {
    try {
      this.#observer.observe(this.#canvas, { box: "device-pixel-content-box" });
    } catch {
      this.#observer.observe(this.#canvas);
    }
  }
}
