// A shot whose EXIF says all that a camera may say, and more than a stranger should read. Written byte by byte, after CIPA DC-008
// (Exif 3.0) section 4.6, so that nothing that the program uses has a hand in it.

/** Types of values, by their number in the standard. */
const ASCII = 2, SHORT = 3, LONG = 4, RATIONAL = 5, UNDEFINED = 7, SIGNED_RATIONAL = 10;

const text = (tag, value) => ({ tag, type: ASCII, count: value.length + 1, bytes: Buffer.from(`${value}\0`, "latin1") });
const numbers = (tag, type, size, write, values) => {
  const bytes = Buffer.alloc(size * values.length);
  values.forEach((value, i) => bytes[write](value, size * i));
  return { tag, type, count: values.length, bytes };
};
const short = (tag, value) => numbers(tag, SHORT, 2, "writeUInt16LE", [value]);
const long = (tag, value) => numbers(tag, LONG, 4, "writeUInt32LE", [value]);
const rational = (tag, ...values) => ({ ...numbers(tag, RATIONAL, 4, "writeUInt32LE", values), count: values.length / 2 });
const signedRational = (tag, ...values) => ({ ...numbers(tag, SIGNED_RATIONAL, 4, "writeInt32LE", values), count: values.length / 2 });
const raw = (tag, bytes) => ({ tag, type: UNDEFINED, count: bytes.length, bytes });

/** A directory that begins at `start`: its entries in order of their tags, then what does not fit into four bytes. */
const directory = (start, entries, next = 0) => {
  const sorted = [...entries].sort((a, b) => a.tag - b.tag);
  const head = Buffer.alloc(2 + 12 * sorted.length + 4);
  head.writeUInt16LE(sorted.length, 0);
  const beyond = [];
  let free = start + head.length;
  sorted.forEach(({ tag, type, count, bytes }, i) => {
    const at = 2 + 12 * i;
    head.writeUInt16LE(tag, at);
    head.writeUInt16LE(type, at + 2);
    head.writeUInt32LE(count, at + 4);
    if (bytes.length <= 4) return void bytes.copy(head, at + 8);
    head.writeUInt32LE(free, at + 8);
    const even = bytes.length % 2 ? Buffer.concat([bytes, Buffer.alloc(1)]) : bytes;
    beyond.push(even);
    free += even.length;
  });
  head.writeUInt32LE(next, head.length - 4);
  return Buffer.concat([head, ...beyond]);
};

/** What must not be found in any file that goes out. */
export const SECRETS = ["SERIAL-4711", "LENS-0815", "Greta Planted", "maker's own words", "a comment", "PLANTED-THUMBNAIL"];

const KEPT_OF_CAMERA = [text(0x010f, "Larkmere"), text(0x0110, "Sphere One"), text(0x013b, "Ann Example"), text(0x8298, "2026 Ann Example")];
const KEPT_OF_CAPTURE = [
  rational(0x829a, 1, 60),
  rational(0x829d, 28, 10),
  short(0x8827, 200),
  text(0x9003, "2026:05:04 12:30:15"),
  text(0x9011, "+01:00"),
  signedRational(0x9204, -2, 3),
  rational(0x920a, 75, 10),
  text(0xa434, "Wide 7.5"),
];

/** The EXIF block of an APP1 segment. */
const exif = () => {
  const [serial, lensSerial, owner, maker, comment, thumbnail] = SECRETS;
  const capture = [...KEPT_OF_CAPTURE, raw(0x927c, Buffer.from(maker)), raw(0x9286, Buffer.from(`ASCII\0\0\0${comment}`))];
  capture.push(text(0xa430, owner), text(0xa431, serial), text(0xa435, lensSerial));
  const place = [text(1, "N"), rational(2, 54, 1, 30, 1, 0, 1), text(3, "W"), rational(4, 2, 1, 15, 1, 0, 1), text(0x10, "T"), rational(0x11, 77, 1)];
  const small = Buffer.concat([Buffer.from([0xff, 0xd8]), Buffer.from(thumbnail), Buffer.from([0xff, 0xd9])]);
  const first = (captureAt, placeAt, next) => directory(8, [...KEPT_OF_CAMERA, short(0x0112, 1), long(0x8769, captureAt), long(0x8825, placeAt)], next);
  const captureAt = 8 + first(0, 0, 0).length;
  const captured = directory(captureAt, capture);
  const placeAt = captureAt + captured.length;
  const placed = directory(placeAt, place);
  const nextAt = placeAt + placed.length;
  const second = (at) => directory(nextAt, [short(0x0103, 6), long(0x0201, at), long(0x0202, small.length)]);
  const blocks = [first(captureAt, placeAt, nextAt), captured, placed, second(nextAt + second(0).length), small];
  return Buffer.concat([Buffer.from("Exif\0\0II*\0\x08\0\0\0", "latin1"), ...blocks]);
};

/** The JPEG with the block as its first segment. */
export const planted = (jpeg) => {
  const block = exif();
  const head = Buffer.alloc(4);
  head.writeUInt16BE(0xffe1, 0);
  head.writeUInt16BE(block.length + 2, 2);
  return Buffer.concat([jpeg.subarray(0, 2), head, block, jpeg.subarray(2)]);
};
