// <enfilade-walk src="walk.json">: the walkthrough as a custom element, so that any page can hold it and a script can drive it.
//
// Properties: view. Methods: goTo, look, follow. Events: enfilade-ready, enfilade-room, enfilade-view, enfilade-settled.
// This file joins the parts: what the visitor does becomes a view on the stage, and where the visitor is becomes an address.

import { Furniture } from "./furniture.js";
import { Hands, turned, scaled, zoomedAbout } from "./hands.js";
import { Input } from "./input.js";
import { Marks } from "./marks.js";
import { make } from "./panels.js";
import { NoWebGl2 } from "./renderer.js";
import { Stage } from "./stage.js";
import { StationPicture } from "./station-picture.js";
import { readAddress, writeAddress } from "./address.js";
import { Trail } from "./trail.js";
import { openingField } from "./view.js";
import { Walk, waysOut } from "./walk.js";
import { english, wordsOf } from "./words.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./walk.js").Standing} Standing */
/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** How a change of place is written down in the browser's history. @typedef {"entry" | "note" | "nothing"} Record */
/** Where one stands and what one sees, in degrees. @typedef {View & { room: string, station: string }} WalkView */

const KEY_GLIDE_MS = 180;
const LONG_GLIDE_MS = 420;
/** A room that takes longer than this to come is announced. */
const PATIENCE_MS = 700;

/** Milliseconds for a movement; none for visitors who asked their system for less of it. @param {number} milliseconds @returns {number} */
const unlessStill = (milliseconds) => (matchMedia("(prefers-reduced-motion: reduce)").matches ? 0 : milliseconds);

/** See the top of this file. */
export class EnfiladeWalk extends HTMLElement {
  static observedAttributes = ["src"];

  /** @type {Walk | null} */
  #walk = null;
  /** @type {Standing | null} */
  #standing = null;
  #say = english;
  /** The language that the visitor chose, if they did. @type {string | undefined} */
  #language;
  /** The title that this element last gave the page. */
  #pageTitle = "";
  /** @type {import("./sheets.js").Sheets | null} */
  #sheets = null;
  /** @type {import("./stills.js").Stills | null} */
  #stills = null;
  /** @type {Furniture | null} */
  #furniture = null;
  /** @type {Stage | null} */
  #stage = null;
  /** @type {Marks | null} */
  #marks = null;
  /** @type {Trail | null} */
  #trail = null;
  /** @type {Input | null} */
  #input = null;
  #hands = new Hands();
  /** @type {import("./gyroscope.js").Gyroscope | null} */
  #gyroscope = null;
  #loading = new AbortController();
  #styled = Promise.resolve();
  #ready = false;

  /** Where one stands and what one sees; null until the first room stands. @returns {WalkView | null} */
  get view() {
    if (!this.#standing || !this.#stage) return null;
    return { room: this.#standing.room.id, station: this.#standing.station.id, ...this.#stage.view };
  }

  /** Goes to a room (its first station, or the one named) and looks as it opens. True once one stands there.
   * @param {string} room @param {string} [station] @returns {Promise<boolean>} */
  async goTo(room, station) {
    const standing = this.#walk?.find(room, station);
    if (!standing) throw new RangeError(`enfilade-walk: there is no room "${room}"`);
    if (station && standing.station.id !== station) throw new RangeError(`enfilade-walk: "${room}" has no station "${station}"`);
    if (this.#stills) {
      this.#stills.show({ room, station: standing.station.id });
      return true;
    }
    return this.#enter(standing, this.#opening(standing), standing.station === this.#standing?.station ? "note" : "entry");
  }

  /** Looks somewhere at once; what is left out stays. @param {Partial<View>} view degrees */
  look({ heading, elevation, fieldOfView }) {
    const now = this.#stage?.view;
    if (!now) return;
    const or = (/** @type {number | undefined} */ said, /** @type {number} */ kept) => (Number.isFinite(said) ? Number(said) : kept);
    this.#stage?.look({
      heading: or(heading, now.heading),
      elevation: or(elevation, now.elevation),
      fieldOfView: or(fieldOfView, now.fieldOfView),
    });
  }

  /** Looks round as the device is turned, or no longer. True while it does: some devices have no gyroscope, some visitors say no.
   * Some systems ask the visitor, and only if this is called from a click. @param {boolean} [on] @returns {Promise<boolean>} */
  async follow(on = true) {
    return on === (this.#gyroscope !== null) ? on : this.#turnWithDevice();
  }

  connectedCallback() {
    for (const notice of document.querySelectorAll(".from-disk")) notice.remove();
    const shadow = this.shadowRoot ?? this.attachShadow({ mode: "open" });
    const styles = make("link", "");
    styles.rel = "stylesheet";
    styles.href = new URL("walk.css", import.meta.url).href;
    this.#styled = new Promise((done) => {
      styles.onload = styles.onerror = () => done();
    });
    this.#furniture = new Furniture({
      onNorth: () => this.#turnTo({ heading: 0 }),
      onAsked: (name) => this.#panels((sheets) => sheets.toggle(name)),
    });
    shadow.replaceChildren(styles);
    this.#load();
  }

  disconnectedCallback() {
    this.#loading.abort();
    this.#input?.dispose();
    this.#gyroscope?.stop();
    this.#trail?.dispose();
    this.#stage?.dispose();
    this.#marks?.dispose();
    this.#furniture?.dispose();
    this.#gyroscope = this.#input = this.#trail = this.#stage = this.#furniture = this.#marks = this.#walk = this.#standing = this.#sheets = this.#stills = null;
    this.#ready = false;
  }

  attributeChangedCallback() {
    if (this.#furniture) this.#load();
  }

  /** Loads the walk, or loads it again: one then stays where one is, as far as that still exists. */
  async #load() {
    this.#loading.abort();
    this.#loading = new AbortController();
    const { signal } = this.#loading;
    try {
      const url = new URL(this.getAttribute("src") ?? "walk.json", document.baseURI);
      const [walk] = await Promise.all([Walk.load(url, signal), this.#styled]);
      await this.#speak(walk, this.#language ?? readAddress(location.hash)?.language, signal);
    } catch (error) {
      if (!signal.aborted) this.#cannotLoad(error);
    }
  }

  /** Opens a walk in a language, or in its own where it does not speak that one. @param {Walk} walk @param {string | undefined} language
   * @param {AbortSignal} signal */
  async #speak(walk, language, signal) {
    const spoken = walk.speaking(language);
    const say = await wordsOf(spoken.language);
    if (signal.aborted) return;
    this.#language = language;
    this.#say = say;
    this.#open(spoken);
  }

  /** @param {unknown} error */
  async #cannotLoad(error) {
    console.warn("enfilade-walk:", error);
    if (this.#walk || !this.shadowRoot) return;
    const say = await wordsOf(document.documentElement.lang);
    const sentence = make("p", "sentence", say("walkMissing"));
    sentence.setAttribute("role", "alert");
    this.shadowRoot.querySelector(".instead")?.remove();
    this.shadowRoot.append(make("div", "instead", sentence, make("slot", "")));
  }

  /** @param {Walk} walk */
  #open(walk) {
    const { view } = this;
    this.#walk = walk;
    if (!this.#stage && !this.#build()) return;
    this.#furniture?.label(walk, this.#say);
    const kept = view && walk.find(view.room, view.station);
    if (view && kept) this.#enter(kept, view, "note");
    else if (view) this.#enter(walk.entrance, this.#opening(walk.entrance), "note");
    else this.#follow(this.#trail?.present ?? null, "note");
  }

  /** Puts the furniture in and starts the stage. False where there is no WebGL 2: stills stand instead. @returns {boolean} */
  #build() {
    const [furniture, shadow] = [this.#furniture, this.shadowRoot];
    if (!furniture || !shadow || !this.#walk) return false;
    // The styles stay where they are: a link that is put in again loads again, and the canvas would be measured without them.
    shadow.querySelector(".instead")?.remove();
    shadow.append(furniture.root);
    try {
      this.#stage = new Stage(furniture.canvas, {
        onFrame: () => this.#viewChanged(),
        onSettled: () => this.#settled(),
        onTrouble: (troubled) => furniture.say(troubled ? this.#say("partsMissing") : ""),
      });
    } catch (error) {
      if (!(error instanceof NoWebGl2)) throw error;
      furniture.root.remove();
      this.#showStills();
      return false;
    }
    this.#marks = new Marks(furniture.marks, {
      onChosen: (hotspot) => this.#choose(hotspot),
      onPointedAt: (hotspot) => this.#stage?.pointAt(this.#beyond(hotspot)),
      onSought: (sought) => this.#turnTo(sought),
    });
    this.#input = new Input(furniture.window, (deed) => this.#handle(deed));
    this.#trail = new Trail((address) => this.#follow(address, "nothing"));
    return true;
  }

  /** Does something with the panels, which are loaded when they are first asked for.
   * @param {(sheets: import("./sheets.js").Sheets) => void} act */
  async #panels(act) {
    const furniture = this.#furniture;
    if (!furniture) return;
    try {
      const { Sheets } = await import("./sheets.js");
      this.#sheets ??= new Sheets(furniture.root, furniture.buttons, this.#deeds(), () => this.#scene);
      act(this.#sheets);
    } catch (error) {
      console.warn("enfilade-walk:", error);
      furniture.say(this.#say("panelMissing"));
    }
  }

  /** @returns {import("./panels.js").Scene | null} */
  get #scene() {
    const [walk, standing, view, say] = [this.#walk, this.#standing, this.#stage?.view, this.#say];
    return walk && standing && view ? { walk, standing, view, say } : null;
  }

  /** What the sheets may ask for. @returns {import("./panels.js").Deeds} */
  #deeds() {
    return {
      host: this,
      goTo: ({ room, station }) => void this.goTo(room, station),
      choose: (hotspot) => this.#choose(hotspot),
      handle: (deed) => this.#handle(deed),
      speak: (language) => this.#walk && void this.#speak(this.#walk, language, this.#loading.signal),
      announce: (text) => this.#furniture?.say(text),
      link: () => new URL(writeAddress(this.#address()), location.href).href,
      tools: this.#tools(),
    };
  }

  /** What only some devices can do. @returns {import("./panels.js").Tool[]} */
  #tools() {
    const [stage, furniture] = [/** @type {Stage} */ (this.#stage), /** @type {Furniture} */ (this.#furniture)];
    /** @type {import("./immersive.js").ImmersionHost} */
    const host = {
      stage,
      root: furniture.root,
      say: (word, filled) => this.#say(word, filled),
      address: (path) => this.#walk?.address(path) ?? path,
      choose: (way) => this.#choose(way),
      sentence: () => furniture.saying,
      tell: (text, quietly = false) => furniture.say(text, { quietly }),
      cautioned: false,
    };
    const isTurned = matchMedia("(any-pointer: coarse)").matches && "DeviceOrientationEvent" in window;
    const immersive = () => import("./immersive.js");
    return [
      { word: "turnWithDevice", offered: async () => isTurned, act: () => void this.#turnWithDevice() },
      { word: "vr", offered: async () => (await immersive()).offersImmersion(), act: async () => (await immersive()).enterImmersion(host) },
    ];
  }

  /** Where there is no WebGL 2. */
  async #showStills() {
    const { Stills } = await import("./stills.js");
    const [walk, shadow] = [this.#walk, this.shadowRoot];
    if (!walk || !shadow) return;
    this.#stills?.root.remove();
    this.#stills = new Stills(walk, this.#say, {
      speak: (language) => void this.#speak(walk, language, this.#loading.signal),
      shown: ({ room, station }) => history.pushState(null, "", writeAddress({ ...this.#spokenAddress(), room, station })),
    });
    shadow.append(this.#stills.root);
    const address = readAddress(location.hash);
    const standing = walk.find(address?.room, address?.station);
    if (standing) this.#stills.show({ room: standing.room.id, station: standing.station.id });
  }

  /** Looks somewhere by turning there. @param {Partial<View>} view */
  #turnTo(view) {
    const stage = this.#stage;
    if (stage) stage.glide({ ...stage.view, ...view }, unlessStill(LONG_GLIDE_MS));
  }

  /** The view a station opens with. @param {Standing} standing @returns {View} */
  #opening({ room, station }) {
    const { heading, elevation, fieldOfView } = station.opening;
    const [walk, stage] = [/** @type {Walk} */ (this.#walk), /** @type {Stage} */ (this.#stage)];
    const limits = stage.limits(new StationPicture(walk, { room, station }));
    return { heading, elevation, fieldOfView: openingField(stage.size, fieldOfView, limits) };
  }

  /** Goes where an address says; to the entrance where it says nothing that exists.
   * @param {import("./address.js").Address | null} address @param {Record} record */
  #follow(address, record) {
    if (this.#walk && this.#walk.speaking(address?.language).language !== this.#walk.language) {
      this.#standing = null;
      return void this.#speak(this.#walk, address?.language, this.#loading.signal);
    }
    const standing = this.#walk?.find(address?.room, address?.station) ?? this.#walk?.entrance;
    if (!standing) return;
    const view = { ...this.#opening(standing), ...(standing.room.id === address?.room ? angles(address) : {}) };
    this.#enter(standing, view, record);
  }

  /** @param {Standing} standing @param {View} view @param {Record} record
   * @param {import("./walk.js").Way | null} [way] the door or step taken @returns {Promise<boolean>} */
  async #enter(standing, view, record, way = null) {
    const [walk, stage] = [this.#walk, this.#stage];
    if (!walk || !stage) return false;
    const name = standing.room.title;
    this.#furniture?.say(this.#say("loading", { name }), { after: PATIENCE_MS });
    const outcome = await stage.bring({ picture: new StationPicture(walk, standing), view, way }, () => {
      this.#entered(standing, record);
      // The next room's marks come into sight once one is through.
      const marks = this.#furniture?.marks;
      if (stage.passing) marks?.animate({ opacity: [0, 0, 1], offset: [0, 0.7, 1] }, stage.passing);
    });
    if (outcome === "missing") this.#furniture?.say(this.#say("roomMissing", { name, here: this.#standing?.room.title ?? "" }));
    return outcome === "stands";
  }

  /** One stands in another place, or in the same one of a walk loaded anew. @param {Standing} standing @param {Record} record */
  #entered(standing, record) {
    const moved = this.#standing?.room.id !== standing.room.id || this.#standing.station.id !== standing.station.id;
    const first = this.#standing === null;
    this.#standing = standing;
    const { title } = standing.room;
    this.#furniture?.enter(title, this.#say);
    this.#retitle(title);
    this.#furniture?.say(moved && !first ? this.#say("entered", { name: title }) : "", { quietly: true });
    const hadFocus = this.#marks?.show(standing.station.hotspots, this.#say);
    if (hadFocus) this.#furniture?.picture.focus({ preventScroll: true });
    this.#sheets?.draw();
    if (record === "entry") this.#trail?.enter(this.#address());
    else if (record === "note") this.#trail?.note(this.#address());
    this.#expectNext(standing);
    if (moved) this.#tell("enfilade-room", { room: standing.room.id, station: standing.station.id });
  }

  /** @param {Standing} standing */
  #expectNext({ station }) {
    const walk = /** @type {Walk} */ (this.#walk);
    const next = waysOut(station).flatMap((place) => walk.find(place.room, place.station) ?? []);
    this.#stage?.expect(next.map((standing) => new StationPicture(walk, standing)));
  }

  #viewChanged() {
    const [view, stage] = [this.view, this.#stage];
    if (!view || !stage) return;
    this.#arrange(stage);
    this.#trail?.note(this.#address());
    this.#tell("enfilade-view", view);
  }

  /** Brings what lies over the picture up to the view. @param {Stage} stage */
  #arrange(stage) {
    const [walk, standing, furniture, marks] = [this.#walk, this.#standing, this.#furniture, this.#marks];
    if (!walk || !standing || !furniture || !marks) return;
    marks.place(stage.view, stage.size, [furniture.plateBox]);
    furniture.face(walk, standing, stage.view.heading, this.#say);
    this.#sheets?.turn();
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
  #choose(hotspot) {
    const [walk, stage] = [this.#walk, this.#stage];
    if (!walk || !stage) return;
    if (hotspot.kind === "note") return void this.#panels((sheets) => sheets.note(hotspot));
    const beyond = this.#beyond(hotspot);
    // A second click of an impatient hand is not meant for what the first one brings.
    if (beyond && !stage.passing) this.#enter(beyond.standing, beyond.view, "entry", hotspot);
  }

  /** Where a door or step leads, with the view on arriving; null for a note, or where that place is gone.
   * @param {Hotspot} hotspot @returns {{ standing: Standing, picture: StationPicture, view: View } | null} */
  #beyond(hotspot) {
    const [walk, stage] = [this.#walk, this.#stage];
    const standing = hotspot.kind === "note" ? null : walk?.find(hotspot.to.room, hotspot.to.station);
    if (!walk || !stage || !standing || hotspot.kind === "note") return null;
    const { fieldOfView } = stage.view;
    const opening = { ...this.#opening(standing), fieldOfView };
    const onward = hotspot.arriveHeading === null ? opening : { heading: hotspot.arriveHeading, elevation: 0, fieldOfView };
    return { standing, picture: new StationPicture(walk, standing), view: onward };
  }

  /** The one place where what the hands did becomes a view. @param {import("./hands.js").Deed} deed */
  #handle(deed) {
    const stage = this.#stage;
    if (!stage || !this.#standing) return;
    const [{ view, size }, limits] = [stage, stage.limits()];
    switch (deed.kind) {
      case "grab":
        stage.halt();
        return this.#hands.grab(stage.view, size, deed);
      case "drag":
        return stage.look(this.#hands.drag(view, size, limits, deed));
      case "release": {
        const speed = this.#hands.release(deed.time);
        return speed && unlessStill(1) ? stage.runOn(speed) : undefined;
      }
      case "zoom":
        return stage.look(zoomedAbout(view, size, limits, deed));
      case "pan":
        return stage.look(turned(view, limits, deed));
      case "orient":
        return stage.look({ ...view, heading: view.heading + deed.heading, elevation: deed.elevation });
      case "turn":
        return stage.glide(turned(stage.destination, limits, deed), unlessStill(KEY_GLIDE_MS));
      case "nearer":
        return stage.glide(scaled(stage.destination, deed.factor, limits), unlessStill(KEY_GLIDE_MS));
      case "home":
        return stage.glide(this.#opening(this.#standing), unlessStill(LONG_GLIDE_MS));
    }
  }

  /** Begins to follow the device as it is turned, or leaves off. To be called from a click. True while it is followed.
   * @returns {Promise<boolean>} */
  async #turnWithDevice() {
    if (this.#gyroscope) {
      this.#gyroscope.stop();
      this.#gyroscope = null;
      return false;
    }
    const { Gyroscope } = await import("./gyroscope.js");
    const gyroscope = new Gyroscope((turn) => this.#handle({ kind: "orient", ...turn }));
    this.#gyroscope = gyroscope;
    if (await gyroscope.start()) return true;
    this.#gyroscope = null;
    return false;
  }

  /** @returns {import("./address.js").Address} */
  #address() {
    const { room, station } = /** @type {Standing} */ (this.#standing);
    const several = room.stations.length > 1;
    return { ...this.#spokenAddress(), room: room.id, ...(several ? { station: station.id } : {}), .../** @type {Stage} */ (this.#stage).view };
  }

  /** The language, where it is another than the walk's own. @returns {import("./address.js").Address} */
  #spokenAddress() {
    const walk = /** @type {Walk} */ (this.#walk);
    return walk.language === walk.file.language ? {} : { language: walk.language };
  }

  /** @param {string} name @param {unknown} detail */
  #tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

/** What an address says of the view. @param {import("./address.js").Address} address @returns {Partial<View>} */
const angles = ({ heading, elevation, fieldOfView }) => ({
  ...(heading === undefined ? {} : { heading }),
  ...(elevation === undefined ? {} : { elevation }),
  ...(fieldOfView === undefined ? {} : { fieldOfView }),
});

customElements.define("enfilade-walk", EnfiladeWalk);
