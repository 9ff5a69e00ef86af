// Keeps a canvas as large as its place on the screen, in device pixels as exactly as the browser knows them.

/** @typedef {import("./view.js").Size} Size */

const FINEST_RATIO = 2;

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

  /** The pixels that tiles are chosen for: device pixels, but none smaller than half a CSS pixel. Held in the hand, those of a
   * finer screen lie within an eye's minute of arc (acuity from memory), and would cost a phone four times the bytes.
   * @returns {Size} */
  get counted() {
    const finer = Math.max(this.#canvas.width / this.css.width / FINEST_RATIO, 1);
    return { width: this.#canvas.width / finer, height: this.#canvas.height / finer };
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
    this.#canvas.width = nearly(width * devicePixelRatio, exact?.inlineSize);
    this.#canvas.height = nearly(height * devicePixelRatio, exact?.blockSize);
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

/** The browser's own count of pixels where it can be one: screens that are only imitated are counted in CSS pixels by some.
 * @param {number} reckoned @param {number | undefined} counted @returns {number} */
const nearly = (reckoned, counted) => (counted !== undefined && Math.abs(counted - reckoned) < 2 ? counted : Math.round(reckoned));
