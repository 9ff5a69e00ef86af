// One station's picture: what to ask for, and what to draw of it, for a view. It knows which tile is which file, and what the
// cache holds; the stage decides when.

import { chooseLevel, tilesInView } from "./tile.js";
import { tileName, tilePlace } from "./tile.js";
import { centreHeading, inPicture } from "./walk.js";
import { radians } from "./sphere.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./tile.js").Tile} Tile */
/** @typedef {import("./tile-queue.js").Request} Request */
/** @typedef {import("./renderer.js").Renderer} Renderer */
/** @typedef {import("./renderer.js").Picture} Picture */
/** @typedef {import("./supply.js").TextureCache<Picture>} Cache */
/** A tile with its file. @typedef {{ tile: Tile, request: Request }} Wanted */

/** See the top of this file. */
export class StationPicture {
  #folder;
  #borderPx;
  #pathOf;
  /** @type {Map<string, import("./tile.js").TilePlace>} */
  #places = new Map();

  /** @param {import("./walk.js").Walk} walk @param {import("./walk.js").Standing} standing
   * @param {(name: string) => string} [pathOf] where each of its files lies, below its folder; under its own name */
  constructor(walk, { room, station }, pathOf = (name) => name) {
    this.#folder = walk.address(`${station.folder}/`);
    this.#borderPx = walk.file.tileBorderPx;
    this.#pathOf = pathOf;
    this.room = room;
    this.station = station;
    /** @type {Request} */
    this.firstLight = this.#request(station.firstLight);
  }

  /** The view in the picture's own frame. @param {View} view @returns {View} */
  #own(view) {
    return inPicture(this.station, view);
  }

  /** Names a file of this station; the folder's name changes with its content, so the address is the key.
   * @param {string} path @returns {Request} */
  #request(path) {
    const url = this.#folder + this.#pathOf(path);
    return { key: url, url };
  }

  /** The tiles in view of one level, centre first. @param {number} level @param {View} view @param {Size} size @returns {Wanted[]} */
  #inView(level, view, size) {
    const { levels } = this.station;
    return this.files(tilesInView(levels, level, this.#own(view), size));
  }

  /** Tiles with their files. @param {readonly Tile[]} tiles @returns {Wanted[]} */
  files(tiles) {
    const { levels } = this.station;
    return tiles.map((tile) => ({ tile, request: this.#request(tileName(levels[tile.level], tile)) }));
  }

  /** Directions in the tour's headings, in the picture's own frame.
   * @param {readonly import("./sphere.js").Vector[]} directions @returns {import("./sphere.js").Vector[]} */
  ownDirections(directions) {
    const turn = radians(centreHeading(this.station));
    const [cosine, sine] = [Math.cos(turn), Math.sin(turn)];
    return directions.map(([right, up, ahead]) => [right * cosine - ahead * sine, up, right * sine + ahead * cosine]);
  }

  /** Whether a file is one of this station's. @param {string} key @returns {boolean} */
  owns(key) {
    return key.startsWith(this.#folder);
  }

  /** The coarsest level's index. @returns {number} */
  get #coarsest() {
    return this.station.levels.length - 1;
  }

  /** The tiles that make this view sharp. @param {View} view @param {Size} size device pixels @returns {Wanted[]} */
  sharpTiles(view, size) {
    return this.#inView(chooseLevel(this.station.levels, view, size), view, size);
  }

  /** All that this view wants, the most wanted first: first light; the coarsest tiles where the sharp ones are far finer;
   * the sharp ones. @param {View} view @param {Size} size @param {Cache} cache @returns {Request[]} */
  wanted(view, size, cache) {
    const level = chooseLevel(this.station.levels, view, size);
    const sharp = this.#inView(level, view, size).map(({ request }) => request);
    const missing = sharp.filter(({ key }) => !cache.has(key));
    const bridge = missing.length > 0 && this.#coarsest - level >= 2 ? this.#inView(this.#coarsest, view, size) : [];
    return [this.firstLight, ...bridge.map(({ request }) => request), ...missing].filter(({ key }) => !cache.has(key));
  }

  /** What a visitor who comes in would see first, from any direction: first light and the whole coarsest level.
   * @returns {Request[]} */
  ahead() {
    const level = this.station.levels[this.#coarsest];
    const faces = [0, 1, 2, 3, 4, 5].map((face) =>
      this.#request(tileName(level, { level: this.#coarsest, face, row: 0, column: 0 })),
    );
    return [this.firstLight, ...faces];
  }

  /** Whether there is something to show all over this view. @param {View} view @param {Size} size @param {Cache} cache @returns {boolean} */
  stands(view, size, cache) {
    if (cache.has(this.firstLight.key)) return true;
    return this.#inView(this.#coarsest, view, size).every(({ request }) => cache.has(request.key));
  }

  /** Draws the view with what there is: first light, then coarser tiles, then finer ones where the sharp ones are
   * missing, then those. Says whether all of the sharp ones were there.
   * @param {Renderer} renderer @param {Cache} cache
   * @param {{ view: View, size: Size, sharp: boolean, approach?: import("./passage.js").Approach | null }} how @returns {boolean} */
  draw(renderer, cache, { view, size, sharp, approach = null }) {
    renderer.aim(this.#own(view), size, approach && inPicture(this.station, approach));
    const chosen = chooseLevel(this.station.levels, view, size);
    return this.drawWith(renderer, cache, { chosen, inView: (level) => this.#inView(level, view, size), sharp });
  }

  /** Draws in the same way what a window sees that the renderer already looks through: `chosen` is the level that makes it sharp, `inView`
   * gives the tiles of a level that it shows.
   * @param {Renderer} renderer @param {Cache} cache
   * @param {{ chosen: number, inView: (level: number) => Wanted[], sharp: boolean }} how @returns {boolean} */
  drawWith(renderer, cache, { chosen, inView, sharp }) {
    const best = inView(chosen);
    const complete = best.every(({ request }) => cache.has(request.key));
    const firstLight = cache.get(this.firstLight.key);
    if (firstLight) renderer.drawFirstLight(firstLight);
    if (!complete) {
      for (let level = this.#coarsest; level > chosen; level--) this.#drawTiles(renderer, cache, inView(level), sharp);
      for (let level = 0; level < chosen; level++) this.#drawTiles(renderer, cache, inView(level), sharp);
    }
    this.#drawTiles(renderer, cache, best, sharp);
    return complete;
  }

  /** @param {Renderer} renderer @param {Cache} cache @param {readonly Wanted[]} tiles @param {boolean} sharp */
  #drawTiles(renderer, cache, tiles, sharp) {
    for (const { tile, request } of tiles) {
      const picture = cache.get(request.key);
      if (picture) renderer.drawTile(picture, this.#place(tile, request.key), sharp);
    }
  }

  /** @param {Tile} tile @param {string} key @returns {import("./tile.js").TilePlace} */
  #place(tile, key) {
    let place = this.#places.get(key);
    if (!place) {
      place = tilePlace(this.station.levels[tile.level], tile, this.#borderPx);
      this.#places.set(key, place);
    }
    return place;
  }
}
