// Whether a frame may be drawn with the finer reading: always at rest; while moving as long as the device keeps up.

/** Slower frames than this while moving, and the picture is drawn plainly until it rests. */
const SLOW_FRAME_MS = 26;
/** A longer gap is a pause, not a slow frame. */
const PAUSE_MS = 260;
/** The view has come to rest when it has not moved for so long. */
const REST_MS = 100;

/** See the top of this file. */
export class Pace {
  /** Time between frames while moving, smoothed. */
  #between = 0;
  #last = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #rest;
  #onRest;

  /** `onRest` is called when a view that was last drawn plainly has come to rest. @param {() => void} onRest */
  constructor(onRest) {
    this.#onRest = onRest;
  }

  /** Whether the frame of this time is drawn finely. @param {number} now @param {boolean} moving @returns {boolean} */
  isFine(now, moving) {
    const passed = now - this.#last;
    this.#last = now;
    if (!moving) return true;
    if (passed < PAUSE_MS) this.#between += (passed - this.#between) / 4;
    if (this.#between <= SLOW_FRAME_MS) return true;
    clearTimeout(this.#rest);
    this.#rest = setTimeout(this.#onRest, REST_MS);
    return false;
  }

  dispose() {
    clearTimeout(this.#rest);
  }
}
