// A visitor's stroll through a walk: it joins stage, marks, furniture, hands and address. What the visitor does becomes a view on the
// stage, and where the visitor is becomes an address.

import { Trail, spokenAddress, writeAddress } from "./address.js";
import { Hands, LONG_GLIDE_MS, steer, unlessStill } from "./hands.js";
import { Input } from "./input.js";
import { Marks } from "./marks.js";
import { Stage } from "./stage.js";
import { StationPicture } from "./station-picture.js";
import { openingField } from "./view.js";
import { waysOut } from "./walk.js";
import { wordsOf } from "./words.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Standing} Standing */
/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** @typedef {import("./address.js").Address} Address */
/** @typedef {import("./panels.js").Deeds} Deeds */
/** How a change of place is written down in the browser's history. @typedef {"entry" | "note" | "nothing"} Record */
/** Where one stands and what one sees, in degrees. @typedef {View & { room: string, station: string }} WalkView */

/** A room that takes longer than this to come is announced. */
const PATIENCE_MS = 700;

/** See the top of this file. @implements {Deeds} */
export class Stroll {
  /** @type {Walk | null} */
  #walk = null;
  /** @type {Standing | null} */
  #standing = null;
  /** @type {import("./words.js").Say} */
  #say = () => "";
  /** The title that this stroll last gave the page. */
  #pageTitle = "";
  /** @type {import("./sheets.js").Sheets | null} */
  #sheets = null;
  /** @type {import("./gyroscope.js").Gyroscope | null} */
  #gyroscope = null;
  #hands = new Hands();
  #ready = false;
  /** One sees the picture as it was before it was altered. */
  seesAsItWas = false;
  /** How often a picture has been asked for. */
  #asked = 0;
  /** A panel has been asked for: from then on its words are wanted too. */
  hasPanels = false;
  host;
  furniture;
  speak;
  stage;
  #marks;
  #trail;
  #input;

  /** Throws NoWebGl2 where there is none. @param {HTMLElement} host @param {import("./furniture.js").Furniture} furniture in its place
   * @param {(language: string | undefined) => void} speak opens the walk in another language */
  constructor(host, furniture, speak) {
    this.host = host;
    this.furniture = furniture;
    this.speak = speak;
    this.stage = new Stage(furniture.canvas, {
      onFrame: () => this.#viewChanged(),
      onSettled: () => this.#settled(),
      onTrouble: (troubled) => furniture.say(troubled ? this.#say("partsMissing") : ""),
    });
    this.#marks = new Marks(furniture.marks, {
      onChosen: (hotspot) => this.choose(hotspot),
      onPointedAt: (hotspot) => this.stage.pointAt(this.#beyond(hotspot)),
      onSought: (sought) => this.#turnTo(sought),
    });
    this.#input = new Input(furniture.window, (deed) => this.handle(deed));
    this.#trail = new Trail((address) => this.#follow(address, "nothing"));
    furniture.asks({ onNorth: () => this.#turnTo({ heading: 0 }), onAsked: (name) => this.#panels((sheets) => sheets.toggle(name)) });
  }

  /** Where one stands and what one sees; null until the first room stands. @returns {WalkView | null} */
  get view() {
    if (!this.#standing) return null;
    return { room: this.#standing.room.id, station: this.#standing.station.id, ...this.stage.view };
  }

  /** Shows a walk, or the same one made anew: one then stays where one is, as far as that still exists.
   * @param {Walk} walk @param {import("./words.js").Say} say */
  open(walk, say) {
    const { view } = this;
    this.#walk = walk;
    this.#say = say;
    this.furniture.label(walk, say);
    const kept = view && walk.find(view.room, view.station);
    if (kept) this.#enter(kept, kept.station.id === view.station ? null : view, "note", { unaltered: this.seesAsItWas });
    else if (view) this.#enter(walk.entrance, this.#opening(walk.entrance), "note");
    else this.#follow(this.#trail.present, "note");
  }

  /** Goes to a place and looks as it opens. @param {import("./walk.js").Place} place @returns {Promise<boolean>} whether one stands there now */
  async goTo({ room, station }) {
    const standing = this.#walk?.find(room, station);
    if (!standing) return false;
    return this.#enter(standing, this.#opening(standing), standing.station === this.#standing?.station ? "note" : "entry");
  }

  /** Looks somewhere at once. @param {Partial<View>} view what is left out stays */
  look(view) {
    this.stage.look({ ...this.stage.view, ...angles(view) });
  }

  /** The address of the present view. @returns {string} */
  get link() {
    return new URL(writeAddress(this.#address()), location.href).href;
  }

  /** Whether the view follows the device as it is turned. @returns {boolean} */
  get followsDevice() {
    return this.#gyroscope !== null;
  }

  /** Begins to follow the device as it is turned, or leaves off. To be called from a click.
   * @param {boolean} on @returns {Promise<boolean>} whether it is followed now */
  async turnWithDevice(on) {
    if (on && !this.#gyroscope) {
      const { Gyroscope } = await import("./gyroscope.js");
      const gyroscope = (this.#gyroscope = new Gyroscope((turn) => this.handle({ kind: "orient", ...turn })));
      if (!(await gyroscope.start())) this.#gyroscope = null;
    } else if (!on) {
      this.#gyroscope?.stop();
      this.#gyroscope = null;
    }
    this.#sheets?.turn();
    return this.followsDevice;
  }

  /** What a panel needs does not come. @param {unknown} error */
  lacksPanel(error) {
    console.warn("enfilade-walk:", error);
    this.furniture.say(this.#say("panelMissing"));
  }

  /** Gives everything back. */
  dispose() {
    this.#walk = this.#standing = null;
    this.#input.dispose();
    this.#gyroscope?.stop();
    this.#trail.dispose();
    this.stage.dispose();
    this.#marks.dispose();
  }

  /** Does something with the panels, which are loaded with their words when they are first asked for.
   * @param {(sheets: import("./sheets.js").Sheets) => void} act */
  async #panels(act) {
    this.hasPanels = true;
    try {
      while (!this.#sheets) {
        const language = this.#walk?.language ?? "";
        const [{ Sheets }, say] = await Promise.all([import("./sheets.js"), wordsOf(language, { panels: true })]);
        if (!this.#walk) return;
        // Another language may have come meanwhile.
        if (language !== this.#walk.language) continue;
        this.#say = say;
        this.#sheets ??= new Sheets(this);
      }
      act(this.#sheets);
    } catch (error) {
      this.lacksPanel(error);
    }
  }

  /** @returns {import("./panels.js").Scene | null} */
  get scene() {
    const [walk, standing, say] = [this.#walk, this.#standing, this.#say];
    return walk && standing ? { walk, standing, view: this.stage.view, say } : null;
  }

  /** Looks somewhere by turning there. @param {Partial<View>} view */
  #turnTo(view) {
    this.stage.glide({ ...this.stage.view, ...view }, unlessStill(LONG_GLIDE_MS));
  }

  /** @param {import("./hands.js").Deed} deed */
  handle(deed) {
    const standing = this.#standing;
    if (standing) steer(this.stage, this.#hands, deed, () => this.#opening(standing));
  }

  /** The view a station opens with. @param {Standing} standing @returns {View} */
  #opening(standing) {
    const { heading, elevation, fieldOfView } = standing.station.opening;
    const limits = this.stage.limits(standing.station);
    return { heading, elevation, fieldOfView: openingField(this.stage.size, fieldOfView, limits) };
  }

  /** Goes where an address says; to the entrance where it says nothing that exists.
   * @param {Address | null} address @param {Record} record */
  #follow(address, record) {
    const walk = this.#walk;
    if (!walk) return;
    if (walk.speaking(address?.language).language !== walk.language) {
      this.#standing = null;
      return this.speak(address?.language);
    }
    const standing = walk.find(address?.room, address?.station) ?? walk.entrance;
    const view = { ...this.#opening(standing), ...(standing.room.id === address?.room ? angles(address) : {}) };
    this.#enter(standing, view, record, { unaltered: address?.unaltered });
  }

  /** Shows the picture where one stands as it was before it was altered, or as it is shown otherwise; one goes on looking where one looks.
   * @param {boolean} unaltered @returns {Promise<boolean>} whether it is shown */
  async showAsItWas(unaltered) {
    const here = this.#standing;
    return here !== null && this.#enter(here, null, "note", { unaltered });
  }

  /** @param {Standing} standing @param {View | null} view null: as one looks now @param {Record} record
   * @param {{ way?: import("./walk.js").Way | null, unaltered?: boolean }} [how] the door or step taken, and whether to see the picture as it was
   * @returns {Promise<boolean>} */
  async #enter(standing, view, record, { way = null, unaltered = false } = {}) {
    const [walk, stage, furniture] = [this.#walk, this.stage, this.furniture];
    if (!walk) return false;
    const name = standing.room.title;
    if (view) furniture.say(this.#say("loading", { name }), { after: PATIENCE_MS });
    const asked = ++this.#asked;
    const former = unaltered && standing.station.unaltered ? await this.#asItWas(walk, standing) : null;
    // Meanwhile the visitor may have wanted something else.
    if (asked !== this.#asked || walk !== this.#walk || (former === undefined && standing === this.#standing)) return false;
    const picture = former || new StationPicture(walk, standing);
    const outcome = await stage.bring({ picture, view, way }, () => {
      this.seesAsItWas = !!former;
      this.#entered(standing, record);
      // The next room's marks come into sight once one is through.
      if (stage.passing) furniture.marks.animate({ opacity: [0, 0, 1], offset: [0, 0.7, 1] }, stage.passing);
    });
    if (outcome === "missing") furniture.say(this.#say("roomMissing", { name, here: this.#standing?.room.title ?? "" }));
    return outcome === "stands";
  }

  /** One stands in another place, or in the same one of a walk loaded anew. @param {Standing} standing @param {Record} record */
  #entered(standing, record) {
    const moved = this.#standing?.room.id !== standing.room.id || this.#standing.station.id !== standing.station.id;
    const first = this.#standing === null;
    this.#standing = standing;
    // That one sees the picture as it was is said as long as one does.
    const title = this.#say(this.seesAsItWas ? "asItWas" : "entered", { name: standing.room.title });
    this.furniture.enter(title, this.#say);
    this.#retitle(title);
    this.furniture.say((moved && !first) || this.seesAsItWas ? title : "", { quietly: true });
    const hadFocus = this.#marks.show(standing.station.hotspots, this.#say);
    if (hadFocus) this.furniture.picture.focus({ preventScroll: true });
    this.#sheets?.draw();
    if (record === "entry") this.#trail.enter(this.#address());
    else if (record === "note") this.#trail.note(this.#address());
    this.#expectNext(standing);
    if (moved) this.#tell("enfilade-room", { room: standing.room.id, station: standing.station.id });
  }

  /** @param {Standing} standing */
  #expectNext({ station }) {
    const walk = /** @type {Walk} */ (this.#walk);
    const next = waysOut(station).flatMap((place) => walk.find(place.room, place.station) ?? []);
    this.stage.expect(next.map((standing) => new StationPicture(walk, standing)));
  }

  #viewChanged() {
    const [view, stage, walk, standing] = [this.view, this.stage, this.#walk, this.#standing];
    if (!view || !walk || !standing) return;
    this.#marks.place(stage.view, stage.size, [this.furniture.plateBox]);
    this.furniture.face(walk, standing, view.heading, this.#say);
    this.#sheets?.turn();
    this.#trail.note(this.#address());
    this.#tell("enfilade-view", view);
  }

  /** Names the room in the title of a page that has the walk's own title; any other page keeps its title. @param {string} room */
  #retitle(room) {
    const { title } = /** @type {Walk} */ (this.#walk).file;
    if (![title, this.#pageTitle].includes(document.title)) return;
    this.#pageTitle = document.title = `${room} – ${title}`;
  }

  #settled() {
    if (!this.#ready) {
      this.#ready = true;
      this.#tell("enfilade-ready", this.view);
    }
    this.#tell("enfilade-settled", this.view);
  }

  /** @param {Hotspot} hotspot */
  choose(hotspot) {
    if (hotspot.kind === "note") return void this.#panels((sheets) => sheets.note(hotspot));
    const beyond = this.#beyond(hotspot);
    // A second click of an impatient hand is not meant for what the first one brings.
    if (beyond && !this.stage.passing) this.#enter(beyond.standing, beyond.view, "entry", { way: hotspot });
  }

  /** Where a door or step leads, with the view on arriving; null for a note, or where that place is gone.
   * @param {Hotspot} hotspot @returns {{ standing: Standing, picture: StationPicture, view: View } | null} */
  #beyond(hotspot) {
    const walk = this.#walk;
    const standing = hotspot.kind === "note" ? null : walk?.find(hotspot.to.room, hotspot.to.station);
    if (!walk || !standing || hotspot.kind === "note") return null;
    const { fieldOfView } = this.stage.view;
    const opening = { ...this.#opening(standing), fieldOfView };
    const onward = hotspot.arriveHeading === null ? opening : { heading: hotspot.arriveHeading, elevation: 0, fieldOfView };
    return { standing, picture: new StationPicture(walk, standing), view: onward };
  }

  /** @param {Walk} walk @param {Standing} standing @returns {Promise<StationPicture | void>} nothing where it cannot be had */
  #asItWas(walk, standing) {
    return import("./as-it-was.js").then(({ pictureAsItWas }) => pictureAsItWas(walk, standing)).catch((error) => this.lacksPanel(error));
  }

  /** @returns {Address} */
  #address() {
    const [walk, { room, station }] = [/** @type {Walk} */ (this.#walk), /** @type {Standing} */ (this.#standing)];
    const several = room.stations.length > 1;
    return { ...spokenAddress(walk), room: room.id, ...(several ? { station: station.id } : {}), ...this.stage.view, unaltered: this.seesAsItWas };
  }

  /** @param {string} name @param {unknown} detail */
  #tell(name, detail) {
    this.host.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

/** What is said of a view: numbers only. @param {Partial<View>} said @returns {Partial<View>} */
const angles = (said) => {
  const keys = /** @type {const} */ (["heading", "elevation", "fieldOfView"]);
  return Object.fromEntries(keys.filter((key) => Number.isFinite(said[key])).map((key) => [key, said[key]]));
};
