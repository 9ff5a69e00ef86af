// Where things lie on a floor's plan. Places are in the drawing's own units, y down; headings count from north, or from plan-up
// where nobody knows north. Pure maths: no document.

import { radians, turnBetween } from "./sphere.js";

/** @typedef {import("./walk.js").Plan} Plan */
/** Right and down. @typedef {[number, number]} Place */

/** How far from a station a way is drawn whose doorway nobody has put on the plan, as a part of the plan's longer side. */
const DOOR_REACH = 0.1;
/** How far the sight reaches, likewise. */
const SIGHT_REACH = 0.17;

/** The place so far from another in a direction. @param {Plan} plan @param {Place} from @param {number} heading @param {number} distance @returns {Place} */
export const towards = ({ northDeg }, [right, down], heading, distance) => {
  const bearing = radians(heading + (northDeg ?? 0));
  return [right + distance * Math.sin(bearing), down - distance * Math.cos(bearing)];
};

/** @param {Plan} plan @returns {number} */
const longer = ({ size }) => Math.max(...size);

/** A place as parts of the drawing's width and height. @param {Plan} plan @param {Place} place @returns {Place} */
export const partsOf = ({ origin, size }, [right, down]) => [(right - origin[0]) / size[0], (down - origin[1]) / size[1]];

/** The corner and both ends of the wedge that a view sees. @param {Plan} plan @param {Place} from @param {{ heading: number, fieldOfView: number }} view
 * @returns {{ corner: Place, left: Place, right: Place, reach: number }} */
export const sightOf = (plan, from, { heading, fieldOfView }) => {
  const reach = SIGHT_REACH * longer(plan);
  const end = (/** @type {number} */ side) => towards(plan, from, heading + (side * fieldOfView) / 2, reach);
  return { corner: from, left: end(-1), right: end(1), reach };
};

/** Where a way out is on the plan: in its doorway, else on the way there. Null where the station or its heading is unknown.
 * @param {Plan} plan @param {import("./walk.js").Station} station @param {import("./walk.js").Way} way @returns {Place | null} */
export const placeOfWay = (plan, station, way) => {
  if (way.kind === "door" && way.at) return way.at;
  if (!station.standsAt || station.headingDeg === null) return null;
  return towards(plan, station.standsAt, way.heading, DOOR_REACH * longer(plan));
};

/** Whether a heading is within a view. @param {number} heading @param {{ heading: number, fieldOfView: number }} view @returns {boolean} */
export const isSeen = (heading, view) => Math.abs(turnBetween(view.heading, heading)) <= view.fieldOfView / 2;
