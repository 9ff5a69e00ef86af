// What another program reads in exported files: exifr 7.1.3 knows EXIF, XMP and ICC profiles by itself and has nothing in common
// with the readers and writers that the program uses.
import assert from "node:assert/strict";
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import test, { after, before } from "node:test";
import exifr from "exifr";
import sharp from "sharp";
import { exportFiles, temporaryFolder } from "../browser/program.mjs";
import { SECRETS, planted } from "./planted.mjs";

const WIDTH = 512;
const TOUR = `
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - { id: hall, title: Hall, shots: shots/hall.jpg, heading: 92, tilt: { pitch: 4, roll: -3 } }
      - { id: barn, title: Barn, shots: shots/barn.jpg }
doors:
  - between: [hall, barn]
    seen-from: { hall: { spot: [1, 2] }, barn: { spot: [3, 4] } }
`;

/** Everything that the reader knows, each kind of metadata by itself. */
const EVERYTHING = { tiff: true, ifd0: true, ifd1: true, exif: true, gps: true, interop: true, xmp: true, icc: true, iptc: true, makerNote: true, userComment: true, mergeOutput: false, sanitize: true, reviveValues: false, translateValues: false };

let house;
before(async () => {
  house = await temporaryFolder();
  await mkdir(join(house.folder, "shots"));
  await writeFile(join(house.folder, "tour.yaml"), TOUR);
  for (const [name, background] of [["hall", "#967a50"], ["barn", "#50647a"]]) {
    const plain = await sharp({ create: { width: WIDTH, height: WIDTH / 2, channels: 3, background } }).jpeg().toBuffer();
    await writeFile(join(house.folder, "shots", `${name}.jpg`), planted(plain));
  }
});
after(() => house.remove());

const exported = async (...words) => {
  const to = join(house.folder, words.join("").replaceAll(/[^a-z0-9]/g, "") || "out");
  await exportFiles(house.folder, to, ...words);
  return to;
};

/** Without it the tests below would hold for an empty file. */
test("what is planted in the shot is found there", async () => {
  const bytes = await readFile(join(house.folder, "shots/hall.jpg"));
  const { exif, gps, ifd1, makerNote, userComment } = await exifr.parse(bytes, EVERYTHING);
  assert.equal(exif.SerialNumber ?? exif.BodySerialNumber, "SERIAL-4711");
  assert.ok(makerNote && userComment);
  assert.ok(Math.abs(gps.latitude - 54.5) < 1e-6 && Math.abs(gps.longitude + 2.25) < 1e-6);
  assert.ok(ifd1?.ThumbnailLength > 0);
  for (const secret of SECRETS) assert.ok(bytes.includes(secret), secret);
});

for (const [ending, words] of [["jpg", []], ["png", ["--format", "png"]], ["png", ["--format", "png", "--depth", "16"]], ["tif", ["--format", "tiff"]], ["tif", ["--format", "tiff", "--depth", "16"]]]) {
  test(`a whole sphere as ${words.join(" ") || "JPEG"} says what it is, and nothing that is nobody's business`, async () => {
    const to = await exported(...words);
    const bytes = await readFile(join(to, `hall.${ending}`));
    const read = await exifr.parse(bytes, EVERYTHING);

    // Photo Sphere XMP Metadata: the required fields, and the pose of a picture that was stood upright.
    const sphere = read.GPano;
    const required = { ProjectionType: "equirectangular", FullPanoWidthPixels: WIDTH, FullPanoHeightPixels: WIDTH / 2, CroppedAreaImageWidthPixels: WIDTH, CroppedAreaImageHeightPixels: WIDTH / 2, CroppedAreaLeftPixels: 0, CroppedAreaTopPixels: 0 };
    for (const [name, value] of Object.entries(required)) assert.equal(sphere[name], value, name);
    assert.deepEqual([sphere.PoseHeadingDegrees, sphere.PosePitchDegrees, sphere.PoseRollDegrees], [92, 0, 0]);
    const unknown = await exifr.parse(await readFile(join(to, `barn.${ending}`)), EVERYTHING);
    assert.ok(!("PoseHeadingDegrees" in unknown.GPano) && unknown.GPano.FullPanoWidthPixels === WIDTH);

    // The camera, the capture and whose picture it is.
    const { ifd0, exif } = read;
    assert.deepEqual([ifd0.Make, ifd0.Model, ifd0.Artist, ifd0.Copyright], ["Larkmere", "Sphere One", "Ann Example", "2026 Ann Example"]);
    assert.deepEqual([exif.DateTimeOriginal, exif.OffsetTimeOriginal, exif.ISO, exif.LensModel], ["2026:05:04 12:30:15", "+01:00", 200, "Wide 7.5"]);
    for (const [name, value] of [["ExposureTime", 1 / 60], ["FNumber", 2.8], ["ExposureCompensation", -2 / 3], ["FocalLength", 7.5]]) {
      assert.ok(Math.abs((exif[name] ?? exif.ExposureBiasValue) - value) < 1e-6, `${name} ${exif[name]}`);
    }
    assert.ok([undefined, 1].includes(ifd0.Orientation));

    // Nothing else.
    assert.equal(read.gps, undefined);
    assert.equal(read.ifd1, undefined);
    assert.equal(await exifr.thumbnail(bytes).catch(() => undefined), undefined);
    for (const name of ["MakerNote", "UserComment", "SerialNumber", "BodySerialNumber", "LensSerialNumber", "CameraOwnerName"]) {
      assert.ok(!(name in exif) && !(name in ifd0), name);
    }
    assert.equal(read.makerNote ?? read.userComment, undefined);
    for (const secret of SECRETS) assert.ok(!bytes.includes(secret), secret);

    // ICC.1: a profile of RGB that calls itself sRGB.
    assert.equal(read.icc.ColorSpaceData.trim(), "RGB");
    assert.match(String(read.icc.ProfileDescription), /sRGB/);
  });
}

test("a face and a flat view do not say that they are spheres", async () => {
  for (const [words, name] of [[["--faces", "--width", "64"], "hall-pz.jpg"], [["--looking", "10,5", "--width", "300"], "hall.jpg"]]) {
    const read = await exifr.parse(await readFile(join(await exported(...words), name)), EVERYTHING);
    assert.equal(read.GPano, undefined);
    assert.equal(read.ifd0.Make, "Larkmere");
    assert.equal(read.gps, undefined);
  }
});
