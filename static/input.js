// Listens to pointers, wheel and keys, and says what was done. It knows no view: what it means is worked out in hands.js.

/** @typedef {import("./hands.js").Deed} Deed */
/** @typedef {import("./view.js").Point} Point */

/** A pointer that has moved this far is dragging: a click on a mark is then none. */
const DRAG_PX = 4;
/** Zoom for one pixel of wheel travel; for a trackpad's pinch, which browsers report as a wheel with Ctrl. */
const WHEEL_ZOOM = 0.0015;
const PINCH_ZOOM = 0.01;
const LINE_PX = 16;
/** A wheel that rests this long begins anew. */
const WHEEL_PAUSE_MS = 250;
/** A mouse's wheel moves in notches: no first step of it is shorter, or it is a whole number of these in the browser's old
 * count of wheel travel. Two fingers on a trackpad begin with less. */
const NOTCH_PX = 50;
const NOTCH_COUNT = 120;
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
  /** Whether the wheel is a trackpad's two fingers, and when it last moved. */
  #wheelLast = { pad: false, time: -Infinity };
  /** How far two fingers of a trackpad have spread, as Safari counts it. */
  #gestureScale = 1;
  /** Whether movements that would scroll the page are the walk's. */
  #takesScroll = true;
  #stop = new AbortController();
  #scene = new ResizeObserver(() => this.#weigh());
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
    surface.addEventListener("click", (event) => focusOn(event), { signal });
    surface.addEventListener("wheel", (event) => this.#wheel(event), { signal, passive: false });
    surface.addEventListener("keydown", (event) => this.#key(event), { signal });
    addEventListener("keydown", (event) => this.#keyOfPage(event), { signal });
    for (const kind of ["gesturestart", "gesturechange"]) surface.addEventListener(kind, (event) => this.#gesture(event), { signal });
    for (const kind of ["focusin", "focusout"]) surface.addEventListener(kind, () => queueMicrotask(() => this.#weigh()), { signal });
    for (const kind of ["focus", "blur", "resize", "fullscreenchange"]) addEventListener(kind, () => this.#weigh(), { signal });
    this.#scene.observe(document.documentElement);
    this.#weigh();
  }

  dispose() {
    this.#stop.abort();
    this.#scene.disconnect();
  }

  /** A page that scrolls keeps its wheel and its upright swipes until the visitor has clicked into the picture. */
  #weigh() {
    const held = this.#surface.matches(":focus-within") && document.hasFocus();
    this.#takesScroll = held || document.fullscreenElement !== null || !pageScrolls(this.#surface);
    this.#surface.style.touchAction = this.#takesScroll ? "none" : "pan-y";
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
    // A swipe that may yet turn out to scroll the page does not nod.
    if (!this.#takesScroll && event.pointerType === "touch" && this.#pointers.size === 1) point.y = this.#start.y;
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
    // What the browser took away was no throw.
    else this.#onDeed({ kind: "release", time: event.type === "pointercancel" ? Infinity : event.timeStamp });
  }

  /** @param {WheelEvent} event */
  #wheel(event) {
    this.#weigh();
    if (!this.#takesScroll) return;
    event.preventDefault();
    const unit = [1, LINE_PX, window.innerHeight][event.deltaMode];
    if (!event.ctrlKey && this.#isPad(event)) {
      const { clientWidth } = this.#surface;
      return this.#onDeed({ kind: "pan", right: (event.deltaX * unit) / clientWidth, up: (-event.deltaY * unit) / clientWidth });
    }
    const factor = Math.exp(-event.deltaY * unit * (event.ctrlKey ? PINCH_ZOOM : WHEEL_ZOOM));
    this.#onDeed({ kind: "zoom", point: this.#point(event), factor });
  }

  /** Whether a wheel's movement is that of two fingers on a trackpad. No browser says so: the first of a row decides.
   * @param {WheelEvent} event @returns {boolean} */
  #isPad(event) {
    const { wheelDeltaY = 0 } = /** @type {{ wheelDeltaY?: number }} */ (event);
    const notches = wheelDeltaY !== 0 && wheelDeltaY % NOTCH_COUNT === 0;
    const begins = event.timeStamp - this.#wheelLast.time > WHEEL_PAUSE_MS;
    const soft = event.deltaMode === 0 && !notches && Math.abs(event.deltaY) < NOTCH_PX;
    this.#wheelLast = { pad: begins ? soft || event.deltaX !== 0 : this.#wheelLast.pad, time: event.timeStamp };
    return this.#wheelLast.pad;
  }

  /** A pinch on a trackpad, as Safari reports it. On a touch screen it comes beside the fingers' own events, and is passed over.
   * @param {Event} event */
  #gesture(event) {
    if (!this.#takesScroll || this.#pointers.size > 0) return;
    event.preventDefault();
    const gesture = /** @type {MouseEvent & { scale: number }} */ (event);
    if (event.type === "gesturechange") this.#onDeed({ kind: "zoom", point: this.#point(gesture), factor: gesture.scale / this.#gestureScale });
    this.#gestureScale = gesture.scale;
  }

  /** Keys that were meant for nothing else on the page: they are the walk's where it is all that the page shows.
   * @param {KeyboardEvent} event */
  #keyOfPage(event) {
    if (event.target === document.body && !pageScrolls(this.#surface)) this.#key(event);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    // Escape gives the wheel back to the page.
    if (event.key === "Escape" && event.target instanceof HTMLElement) event.target.blur();
    const deed = KEYS[event.key];
    if (!deed || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    this.#onDeed(deed);
  }
}

/** Not every browser gives the focus to what a finger taps. @param {Event} event */
const focusOn = ({ target }) => {
  const taken = target instanceof Element ? target.closest("[tabindex]") : null;
  if (taken instanceof HTMLElement) taken.focus({ preventScroll: true });
};

/** Whether what surrounds the walk can be scrolled: the page, or a box in it. What surrounds a frame is not known.
 * @param {HTMLElement} surface @returns {boolean} */
const pageScrolls = (surface) => {
  if (window.parent !== window) return true;
  const { body, documentElement } = document;
  if (documentElement.scrollHeight > window.innerHeight + 1) return true;
  const { host } = /** @type {ShadowRoot} */ (surface.getRootNode());
  for (let around = host?.parentElement; around && around !== body && around !== documentElement; around = around.parentElement) {
    if (around.scrollHeight > around.clientHeight + 1 && /auto|scroll/.test(getComputedStyle(around).overflowY)) return true;
  }
  return false;
};
