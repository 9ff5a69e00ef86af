// The way in: the picture that is asked for waits here until enough of it stands, and then comes in through a doorway, softly, or at once.
// A picture made anew of the station one stands in takes the former one's place without anything being seen of the change but itself.

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./station-picture.js").StationPicture} StationPicture */
/** @typedef {import("./station-picture.js").Cache} Cache */
/** What came of asking for another picture: it stands; something else was asked for meanwhile; it cannot be had.
 * @typedef {"stands" | "replaced" | "missing"} Outcome */
/** A picture to bring in, the view to bring it in with (null: as one looks at that moment), and the way taken there (null: none, but a jump).
 * @typedef {{ picture: StationPicture, view: View | null, way?: import("./walk.js").Way | null }} Destination */
/** A picture on its way in; `entered` is called when it stands, before it is drawn. `since` is that of `performance.now()`.
 * @typedef {Destination & { entered: () => void, ended: (outcome: Outcome) => void, since: number }} Arrival */
/** What stands: the picture shown, and what its window sees. @typedef {{ shown: StationPicture | null, view: View, size: import("./view.js").Size, cache: Cache }} Scene */

/** So long a picture keeps the place of the one that is to follow it in its station, for want of a tile. */
const LONGEST_KEPT_MS = 2000;

/** See the top of this file. */
export class Entrance {
  /** @type {Arrival | null} */
  #arrival = null;
  /** The way from the picture that is left. @type {import("./passage.js").Crossing | null} */
  #crossing = null;
  /** The module that draws the ways: loaded when one comes near; "none" where it cannot be had.
   * @type {typeof import("./passage.js") | "none" | "coming" | null} */
  #passages = null;
  #onChange;

  /** `onChange` is called when what waits may have become ready. @param {() => void} onChange */
  constructor(onChange) {
    this.#onChange = onChange;
  }

  /** What waits to come in. @returns {Arrival | null} */
  get arrival() {
    return this.#arrival;
  }

  /** The way under way. @returns {import("./passage.js").Crossing | null} */
  get crossing() {
    return this.#crossing;
  }

  /** Something is to come in; what waited does so no longer. @param {Destination} destination @param {() => void} entered
   * @returns {Promise<Outcome>} */
  ask(destination, entered) {
    this.end("replaced");
    return new Promise((ended) => {
      this.#arrival = { ...destination, entered, ended, since: performance.now() };
      setTimeout(this.#onChange, LONGEST_KEPT_MS);
      this.#onChange();
    });
  }

  /** What waits will not come in. @param {Outcome} outcome */
  end(outcome) {
    this.#arrival?.ended(outcome);
    this.#arrival = null;
  }

  /** Whether enough of what waits is there. `view` is the one to bring it in with. @param {Scene} scene @returns {boolean} */
  isReady({ shown, view, size, cache }) {
    if (!this.#arrival || this.#passages === "coming") return false;
    const { picture, since } = this.#arrival;
    if (!picture.stands(view, size, cache)) return false;
    if (!isSameStation(picture, shown) || performance.now() >= since + LONGEST_KEPT_MS) return true;
    return picture.sharpTiles(view, size).every(({ request }) => cache.has(request.key));
  }

  /** What waits comes in, to be seen as `arrival`. Begins a way from the picture shown, unless there is none to leave, or the visitor wants no
   * motion: a plain cut.
   * @param {import("./renderer.js").Renderer} renderer @param {StationPicture | null} left @param {{ former: View, arrival: View }} views */
  admit(renderer, left, views) {
    const { picture, way } = /** @type {Arrival} */ (this.#arrival);
    this.#arrival = this.#crossing = null;
    const passages = this.#passages;
    if (!left || isSameStation(picture, left) || wantsNoMotion() || !passages || typeof passages === "string") return;
    this.#crossing = new passages.Crossing(renderer, left, { ...views, way: way ?? null, start: performance.now() });
  }

  /** Draws the way under way; false where there is none, or no longer. @param {Cache} cache
   * @param {Parameters<import("./passage.js").Crossing["draw"]>[1]} what @returns {boolean} */
  draw(cache, what) {
    if (this.#crossing?.draw(cache, what)) return true;
    this.#crossing = null;
    return false;
  }

  /** There is no way from here to there now. */
  abandon() {
    this.#crossing = null;
  }

  /** Somebody may go through a door soon. */
  async prepare() {
    if (this.#passages || wantsNoMotion()) return;
    this.#passages = "coming";
    this.#passages = await import("./passage.js").catch(() => /** @type {const} */ ("none"));
    this.#onChange();
  }
}

/** @param {StationPicture} one @param {StationPicture | null} other @returns {boolean} */
const isSameStation = (one, other) => one.room.id === other?.room.id && one.station.id === other.station.id;

/** @returns {boolean} */
const wantsNoMotion = () => matchMedia("(prefers-reduced-motion: reduce)").matches;
