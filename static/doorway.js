// A doorway drawn over one picture, with the next one inside it: the opening as a stencil, and a frame round it. Loaded with the
// passages that need it.

import { buildProgram } from "./renderer.js";

/** @typedef {import("./sphere.js").Vector} Vector */

/** A doorway's frame while one goes through: by how much each frame is wider than the opening, and its colour, the widest first. */
const FRAMES = /** @type {const} */ ([[1.1, [0.15, 0.13, 0.11]], [1.08, [0.97, 0.95, 0.91]], [1.015, [0.15, 0.13, 0.11]]]);

/** The opening or a frame, in one colour. */
const VERTEX = `#version 300 es
precision highp float;
uniform vec3 corners[4];
uniform mat3 window;
uniform vec2 focal;
void main() {
  vec3 seen = corners[gl_VertexID] * window;
  gl_Position = vec4(focal * seen.xy, 0.0, seen.z);
}`;

const FRAGMENT = `#version 300 es
precision mediump float;
uniform vec4 paint;
out vec4 colour;
void main() {
  colour = paint;
}`;

/** See the top of this file. Lives as long as the renderer's context. */
export class Doorway {
  #renderer;
  #program;

  /** @param {import("./renderer.js").Renderer} renderer */
  constructor(renderer) {
    this.#renderer = renderer;
    this.#program = buildProgram(renderer.context, VERTEX, FRAGMENT);
  }

  /** What is drawn from here until `close` covers only so far what is there, and only inside the outline if there is one; that
   * is drawn as the picture under it is seen now, with its frame.
   * @param {readonly Vector[] | null} outline corners in the picture's frame @param {number} opacity */
  open(outline, opacity) {
    const gl = this.#renderer.context;
    gl.enable(gl.BLEND);
    gl.blendColor(0, 0, 0, opacity);
    gl.blendFunc(gl.CONSTANT_ALPHA, gl.ONE_MINUS_CONSTANT_ALPHA);
    if (!outline) return;
    gl.enable(gl.STENCIL_TEST);
    gl.stencilFunc(gl.ALWAYS, 1, 1);
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.REPLACE);
    gl.colorMask(false, false, false, false);
    this.#paint(outline, FRAMES[0][1]);
    gl.colorMask(true, true, true, true);
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
    gl.stencilFunc(gl.NOTEQUAL, 1, 1);
    for (const [wider, paint] of FRAMES) this.#paint(widened(outline, wider), paint);
    gl.stencilFunc(gl.EQUAL, 1, 1);
  }

  /** Ends what `open` began. */
  close() {
    const gl = this.#renderer.context;
    gl.disable(gl.BLEND);
    gl.disable(gl.STENCIL_TEST);
  }

  /** Gives back what it holds. */
  dispose() {
    this.#renderer.context.deleteProgram(this.#program.program);
  }

  /** @param {readonly Vector[]} corners @param {readonly [number, number, number]} paint */
  #paint(corners, [red, green, blue]) {
    const gl = this.#renderer.context;
    const { window, focal } = this.#renderer.projection;
    const { program, at } = this.#program;
    gl.useProgram(program);
    gl.uniformMatrix3fv(at("window"), false, window);
    gl.uniform2fv(at("focal"), focal);
    gl.uniform3fv(at("corners"), corners.flat());
    gl.uniform4f(at("paint"), red, green, blue, 1);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
  }
}

/** An opening with jambs and lintel round it; the threshold stays on the floor. @param {readonly Vector[]} corners @param {number} wider @returns {Vector[]} */
const widened = (corners, wider) => {
  const [left, right, footLeft, footRight] = corners;
  const more = (wider - 1) / 2;
  const beyond = (/** @type {Vector} */ [x, y, z], /** @type {Vector} */ to) =>
    /** @type {Vector} */ ([to[0] + more * (to[0] - x), to[1] + more * (to[1] - y), to[2] + more * (to[2] - z)]);
  const over = more * Math.hypot(right[0] - left[0], right[2] - left[2]);
  const raised = (/** @type {Vector} */ [x, y, z]) => /** @type {Vector} */ ([x, y + over, z]);
  return [raised(beyond(right, left)), raised(beyond(left, right)), beyond(footRight, footLeft), beyond(footLeft, footRight)];
};
