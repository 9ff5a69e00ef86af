// Spheres whose colour at every direction is known by formula, so that a screenshot can be compared with what it ought to show
// without any of the program's own projection code. A sphere fills rgb[0..2] with 0..255 for a direction (right, up, ahead).

/** @param {number} longitude @param {number} latitude degrees */
export const unit = (longitude, latitude) => {
  const [lon, lat] = [(longitude * Math.PI) / 180, (latitude * Math.PI) / 180];
  return [Math.cos(lat) * Math.sin(lon), Math.sin(lat), Math.cos(lat) * Math.cos(lon)];
};

/** Plane waves through the sphere: at most `frequency` radians of phase for each radian of angle. The finest has a wavelength of six
 * pixels of a face 1300 pixels wide; directions are spread by the golden angle. */
const WAVES = [5, 12, 23, 41, 77, 140, 260, 410, 560, 683].map((frequency, i) => {
  const [z, turn] = [1 - (2 * i + 1) / 10, i * 2.399963];
  const r = Math.sqrt(1 - z * z);
  return { frequency, k: [r * Math.cos(turn) * frequency, z * frequency, r * Math.sin(turn) * frequency], colour: [1, 0.8 - 0.06 * i, 0.5 + 0.05 * i] };
});

/** Fine detail everywhere. `pixelsPerRadian` leaves out the waves that a small picture cannot hold. */
export const detailed = (right, up, ahead, rgb, pixelsPerRadian = Infinity) => {
  let [r, g, b] = [128, 120, 110];
  for (const { frequency, k, colour } of WAVES) {
    if ((2 * Math.PI * pixelsPerRadian) / frequency < 2.5) continue;
    const wave = (frequency < 100 ? 13 : 7) * Math.sin(k[0] * right + k[1] * up + k[2] * ahead);
    r += colour[0] * wave;
    g += colour[1] * wave;
    b += colour[2] * wave;
  }
  rgb[0] = r;
  rgb[1] = g;
  rgb[2] = b;
};

/** Where the marker sphere has its markers: on face centres, edges, corners, poles, beside ±180° and elsewhere. */
export const MARKERS = [
  [0, 0], [90, 0], [180, 0], [-90, 0], [0, 90], [0, -90], [45, 0], [-45, 0], [135, 0], [-135, 0], [0, 45], [0, -45],
  [45, 35.2643897], [-45, -35.2643897], [135, -35.2643897], [-135, 35.2643897], [179.4, 12], [-179.2, -14], [20, 17], [-31, -22], [70, 60],
  [-110, -70], [150, 80], [-25, 8], [24, -9],
].map(([longitude, latitude]) => ({ longitude, latitude, direction: unit(longitude, latitude) }));

/** A marker is a bump of light: this wide (standard deviation, radians), this high. */
export const MARKER = { sigma: 0.006, height: 150 };

/** Bright round markers on dim, even ground. */
export const marked = (right, up, ahead, rgb) => {
  let light = 0;
  for (const { direction } of MARKERS) {
    const cosine = right * direction[0] + up * direction[1] + ahead * direction[2];
    if (cosine > 0.998) light += Math.exp(-(1 - cosine) / MARKER.sigma ** 2);
  }
  rgb[0] = rgb[1] = rgb[2] = 60 + MARKER.height * light;
};

/** Slow changes of colour only: any line on it comes from the program. */
export const smooth = (right, up, ahead, rgb) => {
  rgb[0] = 140 + 60 * right + 30 * up * ahead;
  rgb[1] = 130 + 60 * up - 30 * right * ahead;
  rgb[2] = 120 + 60 * ahead + 30 * right * up;
};

/** Walls, floor, ceiling, a window and a door of a plain room: to be looked at, not measured. */
export const furnished = (wall, floor) => (right, up, ahead, rgb) => {
  const scale = 1 / Math.max(Math.abs(right) / 2.2, Math.abs(ahead) / 2.8, up > 0 ? up / 1.1 : -up / 1.5);
  const [x, y, z] = [right * scale, up * scale, ahead * scale];
  const shade = 0.75 + 0.25 * Math.max(0, 1 - Math.hypot(x - 1, y - 0.5, z - 1) / 5);
  let base = wall;
  if (y < -1.49) base = Math.abs(((x * 3 + 40) % 1) - 0.5) > 0.47 ? floor.map((v) => v * 0.6) : floor;
  else if (y > 1.09) base = [238, 234, 226];
  else if (Math.abs(z - 2.8) < 0.02 && Math.abs(x) < 0.55 && y < 0.6) base = [52, 34, 24];
  else if (Math.abs(x - 2.2) < 0.02 && Math.abs(z) < 0.9 && y > -0.6 && y < 0.7) base = [225, 238, 246];
  else if (y < -1.38) base = [245, 243, 238];
  for (let i = 0; i < 3; i++) rgb[i] = base[i] * shade;
};
