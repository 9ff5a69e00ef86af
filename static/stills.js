// Where a browser has no WebGL 2: a sentence that says so, and one flat picture of each room.

import { make } from "./panels.js";

/** @param {import("./walk.js").Walk} walk @param {import("./words.js").Say} say @returns {HTMLElement} */
export const stillsOf = (walk, say) => {
  const rooms = walk.file.rooms.map((room) => {
    const picture = make("img", "");
    picture.src = walk.address(room.stations[0].still);
    picture.alt = room.title;
    picture.loading = "lazy";
    return make("section", "", make("h2", "", room.title), picture);
  });
  return make("div", "instead", make("h1", "", walk.file.title), make("p", "sentence", say("noWebGl")), ...rooms);
};
