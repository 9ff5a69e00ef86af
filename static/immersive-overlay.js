// What is drawn over the picture with a headset on: cards, the ring that fills while a mark is looked at, pointers, the fade. All are
// flat squares; it decides nothing.

import { buildProgram } from "./renderer.js";
import { TILE_VERTEX } from "./shaders.js";

/** Red, green, blue, opacity: 0..1. @typedef {readonly [number, number, number, number]} Colour */

/** Colours are premultiplied. A ring is a row of panes round the middle, lit one after the other from the top. */
const FRAGMENT = `#version 300 es
precision highp float;
uniform sampler2D picture;
uniform int kind;
uniform vec4 colour;
uniform float part;
in vec2 texel;
out vec4 shown;
const vec4 INK = vec4(0.15, 0.13, 0.11, 1.0);
void main() {
  vec2 from = 2.0 * texel - 1.0;
  float r = length(from);
  float soft = fwidth(r);
  if (kind == 0) {
    shown = texture(picture, texel) * colour;
  } else if (kind == 1) {
    shown = vec4(colour.rgb, 1.0) * colour.a;
  } else if (kind == 2) {
    float pane = 20.0 * fract(0.5 + atan(-from.x, from.y) / 6.28318531);
    float across = abs(r - 0.83);
    float glass = step(abs(fract(pane) - 0.5), 0.38) * step(floor(pane) + 0.5, 20.0 * part) * (1.0 - smoothstep(0.1 - soft, 0.1, across));
    shown = mix(INK * 0.75, colour, glass) * (1.0 - smoothstep(0.16 - soft, 0.16, across));
  } else {
    shown = mix(colour, INK, smoothstep(0.6 - soft, 0.6, r)) * (1.0 - smoothstep(1.0 - soft, 1.0, r));
  }
}`;
/** What a square can be. */
export const KIND = { card: 0, plain: 1, ring: 2, dot: 3 };

/** See the top of this file. Used between two pictures of the renderer's, on its context. */
export class Overlay {
  #gl;
  #program;
  /** @type {Set<WebGLTexture>} */
  #textures = new Set();

  /** @param {WebGL2RenderingContext} gl */
  constructor(gl) {
    this.#gl = gl;
    this.#program = buildProgram(gl, TILE_VERTEX, FRAGMENT);
  }

  /** Puts a painted card on the graphics card. @param {HTMLCanvasElement} canvas @returns {WebGLTexture} */
  upload(canvas) {
    const gl = this.#gl;
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, true);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, canvas);
    gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
    gl.generateMipmap(gl.TEXTURE_2D);
    for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
    this.#textures.add(texture);
    return texture;
  }

  /** @param {WebGLTexture} texture */
  free(texture) {
    this.#textures.delete(texture);
    this.#gl.deleteTexture(texture);
  }

  /** Draws over what an eye sees; the viewport stands. @param {import("./view.js").Frustum} frustum @param {() => void} draw */
  over({ basis: { right, up, ahead }, focal, centre }, draw) {
    const gl = this.#gl;
    const { program, at } = this.#program;
    gl.useProgram(program);
    gl.uniformMatrix3fv(at("window"), false, [...right, ...up, ...ahead]);
    gl.uniform2fv(at("focal"), focal);
    gl.uniform2fv(at("centre"), centre);
    gl.uniform4f(at("content"), 0, 0, 1, 1);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    draw();
    gl.disable(gl.BLEND);
  }

  /** A square; a card's colour tints it, `part` of a ring is lit. @param {number} kind @param {Float32Array} corners @param {Colour} colour
   * @param {{ texture?: WebGLTexture, part?: number }} [more] */
  square(kind, corners, colour, { texture, part = 0 } = {}) {
    const gl = this.#gl;
    const { at } = this.#program;
    if (texture) gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.uniform1i(at("kind"), kind);
    gl.uniform1f(at("part"), part);
    gl.uniform4fv(at("colour"), colour);
    gl.uniform3fv(at("corners"), corners);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
  }

  /** Gives everything back. */
  dispose() {
    for (const texture of this.#textures) this.free(texture);
    this.#gl.deleteProgram(this.#program.program);
  }
}
