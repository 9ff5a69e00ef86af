// WebGL 2: draws first light and tiles for one view. It decides nothing; it holds no list of what there is.

import { FIRST_LIGHT_FRAGMENT, FIRST_LIGHT_VERTEX, TILE_FRAGMENT, TILE_VERTEX } from "./shaders.js";
import { directionOf, dot } from "./sphere.js";
import { frustumOf } from "./view.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./view.js").Frustum} Frustum */
/** A part of the target, in its pixels, y up. @typedef {{ x: number, y: number, width: number, height: number }} Viewport */
/** A picture on the card. @typedef {{ texture: WebGLTexture, width: number, height: number }} Picture */
/** @typedef {import("./passage.js").Approach} Approach */
/** @typedef {import("./sphere.js").Vector} Vector */
/** `window` has the window's right, up and ahead as columns, and maps directions to the window; `rays` maps back; `focal` scales
 * to clip space, `centre` is where ahead lies there.
 * @typedef {{ window: Float32Array, rays: Float32Array, focal: [number, number], centre: [number, number] }} Projection */
/** @typedef {import("./tile.js").TilePlace} TilePlace */
/** @typedef {{ program: WebGLProgram, at: (name: string) => WebGLUniformLocation | null }} Program */

/** Shown where there is nothing yet: a dim, warm grey.
 * @type {[number, number, number]} */
export const GROUND = [0.13, 0.12, 0.11];

/** The browser has no WebGL 2, or will not give it. */
export class NoWebGl2 extends Error {}

/** See the top of this file. */
export class Renderer {
  #gl;
  /** @type {Program} */
  #tile;
  /** @type {Program} */
  #firstLight;
  /** @type {Projection} */
  #projection = { window: new Float32Array(9), rays: new Float32Array(9), focal: [1, 1], centre: [0, 0] };

  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false, stencil: true });
    if (!gl) throw new NoWebGl2("no WebGL 2 here");
    this.#gl = gl;
    [this.#tile, this.#firstLight] = this.#build();
  }

  /** The context itself, for whoever draws between the pictures or over them, and leaves its state as it was found but for the program and the
   * texture bound. @returns {WebGL2RenderingContext} */
  get context() {
    return this.#gl;
  }

  /** How what is drawn now is seen. @returns {Projection} */
  get projection() {
    return this.#projection;
  }

  /** The context is gone: nothing can be drawn until it comes back. @returns {boolean} */
  get lost() {
    return this.#gl.isContextLost();
  }

  /** The context has come back, empty. */
  restore() {
    [this.#tile, this.#firstLight] = this.#build();
  }

  /** Puts a picture on the card, its bytes as they are. @param {ImageBitmap} bitmap @returns {Picture} */
  upload(bitmap) {
    const gl = this.#gl;
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, bitmap);
    for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
    for (const filter of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, filter, gl.LINEAR);
    return { texture, width: bitmap.width, height: bitmap.height };
  }

  /** @param {Picture} picture */
  free({ texture }) {
    this.#gl.deleteTexture(texture);
  }

  /** Begins a frame on the canvas. @param {Size} size device pixels */
  begin(size) {
    this.target(null);
    this.#gl.viewport(0, 0, size.width, size.height);
  }

  /** What is drawn from here on lands in this framebuffer, emptied; null is the canvas. @param {WebGLFramebuffer | null} framebuffer */
  target(framebuffer) {
    const gl = this.#gl;
    gl.bindFramebuffer(gl.FRAMEBUFFER, framebuffer);
    gl.clearColor(...GROUND, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
  }

  /** What is drawn from here on is seen so. @param {View} view in the picture's frame @param {Size} size device pixels
   * @param {Approach | null} [approach] in the picture's frame */
  aim(view, size, approach = null) {
    this.#aim(frustumOf(view, size), approach);
  }

  /** What is drawn from here on is seen by an eye, on its part of the target. @param {Frustum} frustum in the picture's frame
   * @param {Viewport} viewport */
  aimEye(frustum, { x, y, width, height }) {
    this.#gl.viewport(x, y, width, height);
    this.#aim(frustum, null);
  }

  /** @param {Frustum} frustum @param {Approach | null} approach */
  #aim({ basis: { right, up, ahead }, focal, centre }, approach) {
    const [near, back] = [nearer(approach), nearer(approach && { ...approach, factor: 1 / approach.factor })];
    this.#projection = {
      window: new Float32Array([...near(right), ...near(up), ...near(ahead)]),
      rays: new Float32Array([...back(right), ...back(up), ...back(ahead)]),
      focal,
      centre,
    };
  }

  /** Draws the small picture of the whole sphere over the whole window. @param {Picture} picture */
  drawFirstLight(picture) {
    this.#use(this.#firstLight, picture);
    this.#gl.uniformMatrix3fv(this.#firstLight.at("rays"), false, this.#projection.rays);
    this.#gl.drawArrays(this.#gl.TRIANGLES, 0, 3);
  }

  /** Draws a tile. `sharp` costs sixteen times the reading of a plain one. @param {Picture} picture @param {TilePlace} place @param {boolean} sharp */
  drawTile(picture, { corners, content }, sharp) {
    const gl = this.#gl;
    const { at } = this.#tile;
    this.#use(this.#tile, picture);
    gl.uniformMatrix3fv(at("window"), false, this.#projection.window);
    gl.uniform3fv(at("corners"), corners);
    gl.uniform4fv(at("content"), content);
    gl.uniform1i(at("sharp"), sharp ? 1 : 0);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
  }

  /** Gives the context back. */
  dispose() {
    this.#gl.getExtension("WEBGL_lose_context")?.loseContext();
  }

  /** @param {Program} program @param {Picture} picture */
  #use({ program, at }, { texture }) {
    const gl = this.#gl;
    gl.useProgram(program);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.uniform2fv(at("focal"), this.#projection.focal);
    gl.uniform2fv(at("centre"), this.#projection.centre);
  }

  /** @returns {[Program, Program]} */
  #build() {
    const gl = this.#gl;
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
    gl.disable(gl.DITHER);
    return [buildProgram(gl, TILE_VERTEX, TILE_FRAGMENT), buildProgram(gl, FIRST_LIGHT_VERTEX, FIRST_LIGHT_FRAGMENT)];
  }
}

/** The map of an approach: across the way ahead everything grows by the factor, along it nothing changes.
 * @param {Approach | null} approach @returns {(v: Vector) => Vector} */
const nearer = (approach) => {
  if (!approach) return (v) => v;
  const { factor } = approach;
  const way = directionOf(approach.heading, 0);
  return (v) => {
    const along = (1 - factor) * dot(v, way);
    return [factor * v[0] + along * way[0], factor * v[1] + along * way[1], factor * v[2] + along * way[2]];
  };
};

/** @param {WebGL2RenderingContext} gl @param {string} vertex @param {string} fragment @returns {Program} */
export const buildProgram = (gl, vertex, fragment) => {
  const program = gl.createProgram();
  gl.attachShader(program, buildShader(gl, gl.VERTEX_SHADER, vertex));
  gl.attachShader(program, buildShader(gl, gl.FRAGMENT_SHADER, fragment));
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS) && !gl.isContextLost()) {
    throw new Error(`a shader program does not link: ${gl.getProgramInfoLog(program)}`);
  }
  /** @type {Map<string, WebGLUniformLocation | null>} */
  const places = new Map();
  const at = (/** @type {string} */ name) => {
    if (!places.has(name)) places.set(name, gl.getUniformLocation(program, name));
    return places.get(name) ?? null;
  };
  return { program, at };
};

/** @param {WebGL2RenderingContext} gl @param {number} type @param {string} source @returns {WebGLShader} */
const buildShader = (gl, type, source) => {
  const shader = /** @type {WebGLShader} */ (gl.createShader(type));
  gl.shaderSource(shader, source);
  gl.compileShader(shader);
  if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS) && !gl.isContextLost()) {
    const lines = source.split("\n").map((line, i) => `${String(i + 1).padStart(3)} ${line}`);
    throw new Error(`a shader does not compile: ${gl.getShaderInfoLog(shader)}\n${lines.join("\n")}`);
  }
  return shader;
};
