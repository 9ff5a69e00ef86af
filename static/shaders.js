// The two programs on the graphics card: a tile as a flat square on the cube, and first light round the whole sphere.

/** Sixteen texels weighed. Keys, IEEE ASSP 29(6), 1981: the cubic convolution with a = −1/2 passes through the picture's own
 * values; the B-spline beside it is softer and never rings. `first` may wrap round (first light) or not (a tile, whose
 * border holds the neighbours). */
const CUBIC = `
vec4 keys(float t) {
  return vec4(
    ((2.0 - t) * t - 1.0) * t,
    (3.0 * t - 5.0) * t * t + 2.0,
    ((4.0 - 3.0 * t) * t + 1.0) * t,
    (t - 1.0) * t * t) / 2.0;
}
vec4 spline(float t) {
  float u = 1.0 - t;
  return vec4(u * u * u, (3.0 * t - 6.0) * t * t + 4.0, (3.0 * u - 6.0) * u * u + 4.0, t * t * t) / 6.0;
}
vec3 weighed(sampler2D picture, ivec2 first, vec4 across, vec4 down, bool round) {
  ivec2 size = textureSize(picture, 0);
  vec3 sum = vec3(0.0);
  for (int row = 0; row < 4; row++) {
    int y = clamp(first.y + row, 0, size.y - 1);
    vec3 line = vec3(0.0);
    for (int column = 0; column < 4; column++) {
      int x = first.x + column;
      x = round ? (x + size.x) % size.x : clamp(x, 0, size.x - 1);
      line += across[column] * texelFetch(picture, ivec2(x, y), 0).rgb;
    }
    sum += down[row] * line;
  }
  return sum;
}`;

/** Exact perspective: the corners lie on the cube's plane and the eye in its middle, so that the card's own division by w is
 * the gnomonic projection. `texel` counts the file's pixels from its top left corner, border included. */
export const TILE_VERTEX = `#version 300 es
precision highp float;
uniform vec3 corners[4];
uniform mat3 window;
uniform vec2 focal;
uniform vec2 centre;
uniform vec4 content;
out vec2 texel;
void main() {
  vec3 seen = corners[gl_VertexID] * window;
  texel = content.xy + content.zw * vec2(gl_VertexID & 1, gl_VertexID >> 1);
  gl_Position = vec4(focal * seen.xy + centre * seen.z, 0.0, seen.z);
}`;

/** Sharp: cubic where the picture is enlarged; where its pixels lie closer than the screen's (towards the cube's edges), four
 * such samples spread over the screen's pixel, so that fine lines do not shimmer. */
export const TILE_FRAGMENT = `#version 300 es
precision highp float;
precision highp int;
uniform highp sampler2D picture;
uniform bool sharp;
in vec2 texel;
out vec4 colour;
${CUBIC}
vec3 at(vec2 place) {
  vec2 from = place - 0.5;
  vec2 part = fract(from);
  return weighed(picture, ivec2(floor(from)) - 1, keys(part.x), keys(part.y), false);
}
void main() {
  vec2 x = dFdx(texel);
  vec2 y = dFdy(texel);
  vec3 shown;
  if (!sharp) {
    shown = texture(picture, texel / vec2(textureSize(picture, 0))).rgb;
  } else {
    float crowding = sqrt(abs(x.x * y.y - x.y * y.x));
    float spread = smoothstep(1.0, 1.25, crowding);
    shown = spread < 1.0 ? at(texel) : vec3(0.0);
    if (spread > 0.0) {
      vec3 four = at(texel + (x + y) / 4.0) + at(texel + (x - y) / 4.0) + at(texel - (x + y) / 4.0) + at(texel - (x - y) / 4.0);
      shown = mix(shown, four / 4.0, spread);
    }
  }
  colour = vec4(shown, 1.0);
}`;

/** One triangle that covers the window; `ray` is the direction seen, not yet of length one. */
export const FIRST_LIGHT_VERTEX = `#version 300 es
precision highp float;
uniform mat3 rays;
uniform vec2 focal;
uniform vec2 centre;
out vec3 ray;
void main() {
  vec2 corner = vec2(gl_VertexID & 1, gl_VertexID >> 1) * 4.0 - 1.0;
  ray = rays * vec3((corner - centre) / focal, 1.0);
  gl_Position = vec4(corner, 0.0, 1.0);
}`;

export const FIRST_LIGHT_FRAGMENT = `#version 300 es
precision highp float;
precision highp int;
uniform highp sampler2D picture;
in vec3 ray;
out vec4 colour;
${CUBIC}
void main() {
  const float PI = 3.14159265358979;
  vec2 place = vec2(atan(ray.x, ray.z) / PI / 2.0 + 0.5, 0.5 - atan(ray.y, length(ray.xz)) / PI);
  vec2 from = place * vec2(textureSize(picture, 0)) - 0.5;
  vec2 part = fract(from);
  colour = vec4(weighed(picture, ivec2(floor(from)) - 1, spline(part.x), spline(part.y), true), 1.0);
}`;
