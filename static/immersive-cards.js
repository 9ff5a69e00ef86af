// What is written and drawn with a headset on: the marks with their names, a note, a sentence. Each is painted once, on a canvas, and
// hangs in the room as a card.

import { drawing } from "./marks.js";

/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** A painted card, its size, and how far its middle lies above what it marks; degrees.
 * @typedef {{ canvas: HTMLCanvasElement, width: number, height: number, up: number }} Card */
/** A line of writing and its size. @typedef {{ text: string, px: number }} Line */

/** Pixels painted for a degree: about what headsets show. */
const PX_PER_DEG = 24;
const INK = "#27211b";
const PAPER = "#f8f3e8";
const FONT = 'Seravek, "Gill Sans Nova", Ubuntu, Calibri, "Source Sans 3", sans-serif';
const TEXT_PX = 31;
const TITLE_PX = 42;
const PARAGRAPH_GAP_PX = 12;
/** From one line's foot to the next, in sizes of writing. */
const LEADING = 1.3;
const EDGE_PX = 16;
/** A mark's drawing, as many pixels wide as high; its own units are 48. */
const MARK_PX = 132;
/** No card is higher than can be read without nodding; what is too long for that is cut. */
const HIGHEST_PX = 800;
const PICTURE_PX = { width: 640, height: 420 };

/** A mark with its name below; what it marks lies in the drawing's middle. @param {Hotspot["kind"]} kind @param {string} name @returns {Card} */
export const markCard = (kind, name) => {
  const label = strip([{ text: name, px: TEXT_PX }], 400);
  const [width, height] = [Math.max(MARK_PX, label.width), MARK_PX + label.height];
  const { canvas, pen } = sheet(width, height);
  paintMark(pen, kind, (width - MARK_PX) / 2);
  pen.drawImage(label, (width - label.width) / 2, MARK_PX);
  return card(canvas, -label.height / 2);
};

/** Some words on a strip of paper. @param {string} text @returns {Card} */
export const sentenceCard = (text) => card(strip([{ text, px: TEXT_PX }], 720));

/** A note: its heading, its paragraphs, its picture. @param {{ title: string, paragraphs: readonly string[], picture: ImageBitmap | null }} note
 * @returns {Card} */
export const noteCard = ({ title, paragraphs, picture }) => {
  const body = paragraphs.flatMap((text) => [{ text: "", px: PARAGRAPH_GAP_PX }, { text, px: TEXT_PX }]);
  return card(strip([{ text: title, px: TITLE_PX }, ...body], 720, picture));
};

/** Text in lines no longer than a width, broken between words.
 * @param {string} text @param {number} width @param {(text: string) => number} measure @returns {string[]} */
export const wrapped = (text, width, measure) => {
  const [first, ...words] = text.split(/\s+/);
  const lines = [first];
  for (const word of words) {
    const longer = `${lines[lines.length - 1]} ${word}`;
    if (measure(longer) > width) lines.push(word);
    else lines[lines.length - 1] = longer;
  }
  return lines;
};

/** As many lines as have room; the last of them says that there were more. @param {readonly Line[]} lines @param {number} height @returns {Line[]} */
export const cutTo = (lines, height) => {
  let left = height;
  const over = lines.findIndex(({ px }) => (left -= LEADING * px) < 0);
  if (over < 0) return [...lines];
  const last = lines[over - 1];
  return [...lines.slice(0, over - 1), { ...last, text: `${last.text} …` }];
};

/** Paper with writing on it, and a picture below. A dark line inside a light edge: it shows on a white wall and on dark wood.
 * @param {readonly Line[]} texts @param {number} widest of the writing @param {ImageBitmap | null} [picture] @returns {HTMLCanvasElement} */
const strip = (texts, widest, picture = null) => {
  const ruler = sheet(1, 1).pen;
  const measure = (/** @type {number} */ px) => (/** @type {string} */ text) => {
    ruler.font = `${px}px ${FONT}`;
    return ruler.measureText(text).width;
  };
  const all = texts.flatMap(({ text, px }) => wrapped(text, widest, measure(px)).map((line) => ({ text: line, px })));
  const scale = picture ? Math.min(PICTURE_PX.width / picture.width, PICTURE_PX.height / picture.height) : 0;
  const below = picture ? scale * picture.height + EDGE_PX : 0;
  const lines = cutTo(all, HIGHEST_PX - below);
  const width = Math.max(...lines.map(({ text, px }) => measure(px)(text)), picture ? scale * picture.width : 0) + 2 * EDGE_PX;
  const { canvas, pen } = sheet(width, lines.reduce((sum, { px }) => sum + LEADING * px, below + EDGE_PX));
  paintPaper(pen, canvas);
  let y = EDGE_PX / 2;
  for (const { text, px } of lines) {
    pen.font = `${px}px ${FONT}`;
    pen.fillText(text, EDGE_PX, y + px);
    y += LEADING * px;
  }
  if (picture) pen.drawImage(picture, EDGE_PX, y + EDGE_PX / 2, scale * picture.width, scale * picture.height);
  return canvas;
};

/** @param {CanvasRenderingContext2D} pen @param {HTMLCanvasElement} canvas */
const paintPaper = (pen, { width, height }) => {
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, width, height);
  pen.fillStyle = pen.strokeStyle = INK;
  pen.lineWidth = 2;
  pen.strokeRect(4, 4, width - 8, height - 8);
};

/** The page's own drawing of a kind of mark, dark and wide below, light and narrow above. @param {CanvasRenderingContext2D} pen
 * @param {Hotspot["kind"]} kind @param {number} x */
const paintMark = (pen, kind, x) => {
  pen.translate(x + 8, 8);
  pen.scale((MARK_PX - 16) / 48, (MARK_PX - 16) / 48);
  pen.lineJoin = pen.lineCap = "round";
  pen.fillStyle = PAPER;
  for (const part of drawing(kind).querySelectorAll("path")) {
    const path = new Path2D(part.getAttribute("d") ?? "");
    const [name] = part.classList;
    pen.strokeStyle = name === "line" ? PAPER : INK;
    pen.lineWidth = { shade: 6.5, line: 2.8 }[name] ?? 1;
    if (name === "fill") pen.fill(path);
    pen.stroke(path);
  }
  pen.resetTransform();
};

/** An empty canvas. @param {number} width @param {number} height */
const sheet = (width, height) => {
  const canvas = document.createElement("canvas");
  Object.assign(canvas, { width: Math.ceil(width), height: Math.ceil(height) });
  return { canvas, pen: /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d")) };
};

/** @param {HTMLCanvasElement} canvas @param {number} [upPx] @returns {Card} */
const card = (canvas, upPx = 0) => ({ canvas, width: canvas.width / PX_PER_DEG, height: canvas.height / PX_PER_DEG, up: upPx / PX_PER_DEG });
