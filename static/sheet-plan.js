// The plan of a floor: where one stands, what one sees, and every room and way on it as a button. Positions are parts of the
// drawing's size, set from script: the page's policy allows no style in markup.

import { button, make } from "./panels.js";
import { isSeen, partsOf, placeOfWay, sightOf } from "./plan-place.js";
import { waysOf } from "./walk.js";

/** @typedef {import("./panels.js").Scene} Scene */
/** @typedef {import("./panels.js").Content} Content */
/** @typedef {import("./walk.js").Floor} Floor */
/** @typedef {import("./walk.js").Plan} Plan */
/** @typedef {import("./walk.js").Standing} Standing */
/** @typedef {import("./walk.js").Way} Way */
/** @typedef {Floor & { plan: Plan }} FloorWithPlan */

const SVG = "http://www.w3.org/2000/svg";

/** @param {HTMLElement} element @param {Plan} plan @param {import("./plan-place.js").Place} place */
const put = (element, plan, place) => {
  const [right, down] = partsOf(plan, place);
  element.style.left = `${100 * right}%`;
  element.style.top = `${100 * down}%`;
};

/** The wedge of sight over a drawing, in the drawing's own units. @param {Plan} plan @returns {{ svg: SVGSVGElement, paths: SVGPathElement[] }} */
const sightOver = ({ origin, size }) => {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "sight");
  svg.setAttribute("viewBox", [...origin, ...size].join(" "));
  svg.setAttribute("aria-hidden", "true");
  const paths = ["halo", "wedge"].map((name) => {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("class", name);
    svg.append(path);
    return path;
  });
  return { svg, paths };
};

/** See the top of this file. @implements {Content} */
class PlanSheet {
  element = make("div", "plans");
  /** The floor that the visitor looks at, if it is another than the one they are on, and the room they were in when they chose it.
   * @type {{ floor: string, room: string } | null} */
  #chosen = null;
  /** Ways on the plan, to be lit while they are in view. @type {{ way: Way, mark: HTMLElement }[]} */
  #ways = [];
  /** @type {SVGPathElement[]} */
  #sight = [];
  /** The plan shown, if one stands on it. @type {Plan | null} */
  #here = null;
  #deeds;

  /** @param {import("./panels.js").Deeds} deeds */
  constructor(deeds) {
    this.#deeds = deeds;
  }

  /** @param {Scene} scene @returns {string} */
  heading({ say }) {
    return say("plan");
  }

  /** @param {Scene} scene */
  draw(scene) {
    const { walk, standing, say } = scene;
    [this.#ways, this.#sight, this.#here] = [[], [], null];
    // Who walks on is shown the floor they are on.
    if (this.#chosen?.room !== standing.room.id) this.#chosen = null;
    const floors = /** @type {FloorWithPlan[]} */ (walk.file.floors.filter(({ plan }) => plan));
    const own = walk.floorOf(standing.room);
    const shown = floors.find(({ id }) => id === (this.#chosen?.floor ?? own?.id)) ?? floors[0];
    this.element.replaceChildren(
      ...(floors.length > 1 ? [this.#floors(floors, shown, scene)] : []),
      ...(own && !own.plan ? [make("p", "where", say("noPlan", { name: own.title }))] : []),
      ...(shown ? [this.#drawing(shown, scene)] : []),
    );
  }

  /** @param {Scene} scene */
  turn({ standing: { station }, view }) {
    for (const { way, mark } of this.#ways) mark.classList.toggle("lit", isSeen(way.heading, view));
    if (!this.#here || !station.standsAt || station.headingDeg === null) return;
    const { corner, left, right, reach } = sightOf(this.#here, station.standsAt, view);
    const d = `M${corner.join(" ")}L${left.join(" ")}A${reach} ${reach} 0 0 1 ${right.join(" ")}Z`;
    for (const path of this.#sight) path.setAttribute("d", d);
  }

  /** One button for each floor. @param {FloorWithPlan[]} floors @param {Floor | undefined} shown @param {Scene} scene @returns {HTMLElement} */
  #floors(floors, shown, scene) {
    const choices = floors.map((floor, index) => {
      const choose = () => {
        this.#chosen = { floor: floor.id, room: scene.standing.room.id };
        this.draw(scene);
        this.turn(scene);
        /** @type {HTMLElement[]} */ ([...this.element.querySelectorAll(".floors button")])[index]?.focus();
      };
      const choice = button("", choose, floor.title);
      choice.setAttribute("aria-pressed", String(floor === shown));
      return choice;
    });
    const group = make("div", "floors choices", ...choices);
    group.setAttribute("role", "group");
    group.setAttribute("aria-label", scene.say("floors"));
    return group;
  }

  /** @param {FloorWithPlan} floor @param {Scene} scene @returns {HTMLElement} */
  #drawing({ id, title, plan }, scene) {
    const { walk, standing, say } = scene;
    const picture = make("img", "");
    picture.src = walk.address(plan.drawing);
    picture.alt = say("planOf", { name: title });
    const sight = sightOver(plan);
    this.#sight = sight.paths;
    const isOwn = standing.room.floor === id;
    if (isOwn) this.#here = plan;
    const rooms = walk.file.rooms.filter(({ floor }) => floor === id);
    const spots = rooms.flatMap((room) => room.stations.flatMap((station) => this.#spot(plan, { room, station }, scene)));
    const ways = isOwn ? waysOf(standing.station).flatMap((way) => this.#way(plan, way, scene)) : [];
    const drawing = make("div", "drawing", picture, sight.svg, ...spots, ...ways);
    drawing.style.setProperty("--ratio", String(plan.size[0] / plan.size[1]));
    return drawing;
  }

  /** Where a station stands. @param {Plan} plan @param {Standing} there @param {Scene} scene @returns {HTMLElement[]} */
  #spot(plan, { room, station }, { standing, say }) {
    if (!station.standsAt) return [];
    // Where one stands leads nowhere: no button, which would lie in the way of the doors around it.
    const isHere = station === standing.station;
    const spot = isHere ? make("span", "spot here") : button("spot", () => this.#deeds.goTo({ room: room.id, station: station.id }));
    spot.title = room.title;
    spot.setAttribute("aria-label", say(isHere ? "youAreIn" : "goTo", { name: room.title }));
    if (isHere) spot.setAttribute("role", "img");
    put(spot, plan, station.standsAt);
    return [spot];
  }

  /** A door of the station one stands at. @param {Plan} plan @param {Way} way @param {Scene} scene @returns {HTMLElement[]} */
  #way(plan, way, { standing, say }) {
    const place = way.kind === "door" && placeOfWay(plan, standing.station, way);
    if (!place) return [];
    const mark = button("way", () => this.#deeds.choose(way));
    mark.title = way.name;
    mark.setAttribute("aria-label", say("goTo", { name: way.name }));
    put(mark, plan, place);
    this.#ways.push({ way, mark });
    return [mark];
  }
}

/** @param {import("./panels.js").Deeds} deeds @returns {import("./panels.js").Content} */
export const create = (deeds) => new PlanSheet(deeds);
