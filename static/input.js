// Listens to pointers, wheel and keys, and says what was done. It knows no view: what it means is worked out in hands.js.

/** @typedef {import("./hands.js").Deed} Deed */
/** @typedef {import("./view.js").Point} Point */

/** A pointer that has moved this far is dragging: a click on a mark is then none. */
const DRAG_PX = 4;
/** Zoom for one pixel of wheel travel; for a trackpad's pinch, which browsers report as a wheel with Ctrl. */
const WHEEL_ZOOM = 0.0015;
const PINCH_ZOOM = 0.01;
const LINE_PX = 16;
/** One press of a key. */
const KEY_TURN = 1 / 8;
const KEY_ZOOM = 1.25;

/** @type {Record<string, Deed>} */
const KEYS = {
  ArrowLeft: { kind: "turn", right: -KEY_TURN, up: 0 },
  ArrowRight: { kind: "turn", right: KEY_TURN, up: 0 },
  ArrowUp: { kind: "turn", right: 0, up: KEY_TURN },
  ArrowDown: { kind: "turn", right: 0, up: -KEY_TURN },
  "+": { kind: "nearer", factor: KEY_ZOOM },
  "=": { kind: "nearer", factor: KEY_ZOOM },
  "-": { kind: "nearer", factor: 1 / KEY_ZOOM },
  Home: { kind: "home" },
};

/** Listens on one element until disposed of. */
export class Input {
  /** @type {Map<number, Point>} */
  #pointers = new Map();
  /** Distance of two fingers when last seen. */
  #spread = 0;
  /** @type {Point} */
  #start = { x: 0, y: 0 };
  #stop = new AbortController();
  #surface;
  #onDeed;

  /** @param {HTMLElement} surface @param {(deed: Deed) => void} onDeed */
  constructor(surface, onDeed) {
    this.#surface = surface;
    this.#onDeed = onDeed;
    const { signal } = this.#stop;
    surface.addEventListener("pointerdown", (event) => this.#down(event), { signal });
    surface.addEventListener("pointermove", (event) => this.#move(event), { signal });
    surface.addEventListener("pointerup", (event) => this.#up(event), { signal });
    surface.addEventListener("pointercancel", (event) => this.#up(event), { signal });
    surface.addEventListener("wheel", (event) => this.#wheel(event), { signal, passive: false });
    surface.addEventListener("keydown", (event) => this.#key(event), { signal });
    addEventListener("keydown", (event) => this.#keyOfPage(event), { signal });
  }

  dispose() {
    this.#stop.abort();
  }

  /** @param {MouseEvent} event @returns {Point} */
  #point(event) {
    const box = this.#surface.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  /** The middle of the pointers that are down. @returns {Point} */
  #middle() {
    const points = [...this.#pointers.values()];
    const sum = points.reduce((a, b) => ({ x: a.x + b.x, y: a.y + b.y }));
    return { x: sum.x / points.length, y: sum.y / points.length };
  }

  /** @returns {number} */
  #fingersApart() {
    const [one, other] = [...this.#pointers.values()];
    return other ? Math.max(Math.hypot(one.x - other.x, one.y - other.y), 1) : 0;
  }

  /** Takes hold anew: the pointers that are down have changed. @param {number} time */
  #grab(time) {
    this.#spread = this.#fingersApart();
    this.#onDeed({ kind: "grab", point: this.#middle(), time });
  }

  /** @param {PointerEvent} event */
  #down(event) {
    if (event.button !== 0 || this.#pointers.size === 2) return;
    if (this.#pointers.size === 0) this.#start = this.#point(event);
    this.#pointers.set(event.pointerId, this.#point(event));
    this.#grab(event.timeStamp);
  }

  /** @param {PointerEvent} event */
  #move(event) {
    if (!this.#pointers.has(event.pointerId)) return;
    const point = this.#point(event);
    this.#pointers.set(event.pointerId, point);
    const travelled = Math.hypot(point.x - this.#start.x, point.y - this.#start.y);
    if (this.#pointers.size > 1 || travelled > DRAG_PX) this.#surface.setPointerCapture(event.pointerId);
    const spread = this.#fingersApart();
    const factor = this.#spread > 0 ? spread / this.#spread : 1;
    this.#spread = spread;
    this.#onDeed({ kind: "drag", point: this.#middle(), factor, time: event.timeStamp });
  }

  /** @param {PointerEvent} event */
  #up(event) {
    if (!this.#pointers.delete(event.pointerId)) return;
    if (this.#pointers.size > 0) this.#grab(event.timeStamp);
    else this.#onDeed({ kind: "release", time: event.timeStamp });
  }

  /** A page that scrolls keeps its wheel until the visitor has taken hold of the picture.
   * @param {WheelEvent} event */
  #wheel(event) {
    if (pageScrolls() && !event.ctrlKey && !this.#surface.matches(":focus-within")) return;
    event.preventDefault();
    const pixels = event.deltaY * [1, LINE_PX, window.innerHeight][event.deltaMode];
    const factor = Math.exp(-pixels * (event.ctrlKey ? PINCH_ZOOM : WHEEL_ZOOM));
    this.#onDeed({ kind: "zoom", point: this.#point(event), factor });
  }

  /** Keys that were meant for nothing else on the page: they are the walk's where it is all that the page shows.
   * @param {KeyboardEvent} event */
  #keyOfPage(event) {
    if (event.target === document.body && !pageScrolls()) this.#key(event);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const deed = KEYS[event.key];
    if (!deed || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    this.#onDeed(deed);
  }
}

/** Whether the page around the walk can be scrolled. @returns {boolean} */
const pageScrolls = () => document.documentElement.scrollHeight > window.innerHeight + 1;
