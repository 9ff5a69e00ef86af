// The index of rooms: where one is, what lies next and in which direction, and every room floor by floor, as text.

import { button, make } from "./panels.js";
import { turnBetween } from "./sphere.js";
import { waysOf } from "./walk.js";

/** @typedef {import("./panels.js").Scene} Scene */
/** @typedef {import("./walk.js").Way} Way */
/** @typedef {import("./walk.js").Room} Room */

/** Up to here from the middle of the view, something is ahead; from there on, behind. */
const [AHEAD_DEG, BEHIND_DEG] = [40, 135];

/** Which word says where a heading lies. @param {number} facing @param {number} heading @returns {"ahead" | "right" | "left" | "behind"} */
export const sideOf = (facing, heading) => {
  const turn = turnBetween(facing, heading);
  if (Math.abs(turn) <= AHEAD_DEG) return "ahead";
  if (Math.abs(turn) >= BEHIND_DEG) return "behind";
  return turn > 0 ? "right" : "left";
};

/** Rooms floor by floor; those of no floor that the walk knows come last, without a title. @param {import("./walk.js").WalkFile} file
 * @returns {{ title: string, rooms: Room[] }[]} */
export const floorByFloor = ({ floors, rooms }) => {
  const known = new Set(floors.map(({ id }) => id));
  const groups = floors.map(({ id, title }) => ({ title, rooms: rooms.filter(({ floor }) => floor === id) }));
  groups.push({ title: "", rooms: rooms.filter(({ floor }) => !known.has(floor ?? "")) });
  return groups.filter((group) => group.rooms.length > 0);
};

/** @param {import("./panels.js").Deeds} deeds @param {() => void} close @returns {import("./panels.js").Content} */
export const create = (deeds, close) => {
  const element = make("div", "rooms-list");
  /** @type {{ way: Way, side: HTMLElement }[]} */
  let next = [];

  const entryOfWay = (/** @type {Way} */ way) => {
    const side = make("span", "aside");
    next.push({ way, side });
    return make("li", "", button("", () => deeds.choose(way), make("span", "", way.name), side));
  };

  const entryOfRoom = (/** @type {Room} */ room, /** @type {Scene} */ { standing, say }) => {
    const entry = button("", () => {
      close();
      deeds.goTo({ room: room.id, station: room.stations[0].id });
    }, make("span", "", room.title));
    if (room.id === standing.room.id) {
      entry.setAttribute("aria-current", "location");
      entry.append(make("span", "aside", say("here")));
    }
    return make("li", "", entry);
  };

  return {
    element,
    heading: ({ walk, say }) => say("roomsOf", { name: walk.file.title }),
    draw: (scene) => {
      const { walk, standing, say } = scene;
      next = [];
      const floor = walk.floorOf(standing.room);
      const name = floor ? `${standing.room.title}, ${floor.title}` : standing.room.title;
      const ways = waysOf(standing.station);
      element.replaceChildren(
        make("p", "where", say("youAreIn", { name })),
        ...(ways.length > 0 ? [make("h3", "", say("fromHere")), make("ul", "next", ...ways.map(entryOfWay))] : []),
        ...floorByFloor(walk.file).flatMap(({ title, rooms }) => [
          ...(title ? [make("h3", "", title)] : []),
          make("ul", "all", ...rooms.map((room) => entryOfRoom(room, scene))),
        ]),
      );
    },
    turn: ({ view, say }) => {
      for (const { way, side } of next) {
        const text = say(sideOf(view.heading, way.heading));
        if (side.textContent !== text) side.textContent = text;
      }
    },
  };
};
