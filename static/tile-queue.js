// The queue between what a view wants and what the network has brought: few at a time, the first wanted first, nothing
// that is no longer wanted, and a failed file again after a while. It knows neither tiles nor WebGL.

/** What is wanted: a key that names it for ever, and its address. @typedef {{ key: string, url: string }} Request */
/** The life of a load. It only ever goes forward. @typedef {"waiting" | "fetching" | "decoded" | "taken" | "dropped"} LoadState */
/** @typedef {(url: string, signal: AbortSignal) => Promise<ImageBitmap>} FetchPicture */

/** Fetches under way at once: enough to fill a connection, few enough that a turn of the head is answered quickly. */
const FETCHES_AT_ONCE = 8;
/** A failed file is asked for again after this long, then after twice that, and so on. */
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 60_000;

/** @type {readonly LoadState[]} */
const ORDER = ["waiting", "fetching", "decoded", "taken", "dropped"];

/** One file on its way. */
export class Load {
  /** @type {LoadState} */
  state = "waiting";
  /** @type {ImageBitmap | null} */
  picture = null;
  #stop = new AbortController();

  /** @param {Request} request */
  constructor(request) {
    this.request = request;
  }

  /** Moves on. Throws on a step backward: that would be a mistake in this program.
   * @param {LoadState} state */
  advance(state) {
    if (ORDER.indexOf(state) <= ORDER.indexOf(this.state)) throw new Error(`${this.request.key}: ${this.state} cannot become ${state}`);
    this.state = state;
  }

  /** @param {FetchPicture} fetchPicture */
  async fetch(fetchPicture) {
    this.advance("fetching");
    const picture = await fetchPicture(this.request.url, this.#stop.signal);
    if (this.state !== "fetching") return picture.close();
    this.picture = picture;
    this.advance("decoded");
  }

  /** Gives the picture away. @returns {ImageBitmap} */
  take() {
    this.advance("taken");
    return /** @type {ImageBitmap} */ (this.picture);
  }

  /** No longer wanted: stops the fetch, frees the picture. */
  drop() {
    if (this.state === "taken" || this.state === "dropped") return;
    this.advance("dropped");
    this.#stop.abort();
    this.picture?.close();
  }
}

/** See the top of this file. */
export class TileQueue {
  /** @type {Map<string, Load>} */
  #loads = new Map();
  /** @type {readonly Request[]} */
  #wanted = [];
  /** @type {Map<string, { attempts: number, notBefore: number }>} */
  #failures = new Map();
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #alarm;
  #fetchPicture;
  #onChange;

  /** `onChange` is called when something has arrived or failed. @param {{ fetchPicture: FetchPicture, onChange: () => void }} options */
  constructor({ fetchPicture, onChange }) {
    this.#fetchPicture = fetchPicture;
    this.#onChange = onChange;
  }

  /** Says all that is wanted now, the most wanted first. What was wanted before and is not in the list is cancelled.
   * @param {readonly Request[]} requests */
  want(requests) {
    const keys = new Set(requests.map(({ key }) => key));
    for (const [key, load] of this.#loads) {
      if (keys.has(key)) continue;
      load.drop();
      this.#loads.delete(key);
    }
    this.#wanted = requests;
    this.#startFetches();
  }

  /** Hands out at most so many pictures that have arrived, the most wanted first. They are the taker's to close.
   * @param {number} most @returns {{ request: Request, picture: ImageBitmap }[]} */
  take(most) {
    const taken = [];
    for (const request of this.#wanted) {
      if (taken.length === most) break;
      const load = this.#loads.get(request.key);
      if (load?.state !== "decoded") continue;
      taken.push({ request, picture: load.take() });
      this.#loads.delete(request.key);
    }
    return taken;
  }

  /** Whether more pictures have arrived than have been taken. @returns {boolean} */
  get hasArrivals() {
    return [...this.#loads.values()].some(({ state }) => state === "decoded");
  }

  /** How often a file has failed in a row. @param {string} key @returns {number} */
  attemptsFailed(key) {
    return this.#failures.get(key)?.attempts ?? 0;
  }

  /** Forgets that a file has failed, or that any has: the visitor asks for it again, or the network is back.
   * @param {string} [key] */
  retry(key) {
    if (key === undefined) this.#failures.clear();
    else this.#failures.delete(key);
    this.#startFetches();
  }

  /** Stops everything. */
  dispose() {
    this.want([]);
    clearTimeout(this.#alarm);
  }

  #startFetches() {
    const now = performance.now();
    let running = [...this.#loads.values()].filter(({ state }) => state === "fetching").length;
    let soonest = Infinity;
    for (const request of this.#wanted) {
      if (running >= FETCHES_AT_ONCE) break;
      if (this.#loads.has(request.key)) continue;
      const notBefore = this.#failures.get(request.key)?.notBefore ?? 0;
      if (notBefore > now) {
        soonest = Math.min(soonest, notBefore - now);
        continue;
      }
      this.#fetch(request);
      running += 1;
    }
    this.#wakeIn(soonest);
  }

  /** @param {Request} request */
  async #fetch(request) {
    const load = new Load(request);
    this.#loads.set(request.key, load);
    try {
      await load.fetch(this.#fetchPicture);
      this.#failures.delete(request.key);
    } catch {
      if (load.state === "dropped") return;
      load.drop();
      this.#loads.delete(request.key);
      this.#noteFailure(request.key);
    }
    this.#startFetches();
    this.#onChange();
  }

  /** @param {string} key */
  #noteFailure(key) {
    const attempts = this.attemptsFailed(key) + 1;
    const wait = Math.min(FIRST_WAIT_MS * 2 ** (attempts - 1), LONGEST_WAIT_MS);
    this.#failures.set(key, { attempts, notBefore: performance.now() + wait });
  }

  /** @param {number} milliseconds */
  #wakeIn(milliseconds) {
    clearTimeout(this.#alarm);
    if (milliseconds < Infinity) this.#alarm = setTimeout(() => this.#startFetches(), milliseconds);
  }
}

/** Fetches and decodes a picture, its bytes as they are: no colour management, no premultiplied alpha. The browser decodes
 * off the main thread. @type {FetchPicture} */
export const fetchPicture = async (url, signal) => {
  const response = await fetch(url, { signal });
  if (!response.ok) throw new Error(`${url}: ${response.status}`);
  return createImageBitmap(await response.blob(), { colorSpaceConversion: "none", premultiplyAlpha: "none" });
};
