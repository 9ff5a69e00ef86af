// What is written and drawn with a headset on: the marks with their names, a note, a sentence. Each is painted once, on a canvas, and
// hangs in the room as a card.

import { drawing } from "./marks.js";

/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** A painted card, its size, and how far its middle lies above what it marks; degrees.
 * @typedef {{ canvas: HTMLCanvasElement, width: number, height: number, up: number }} Card */

/** Pixels painted for a degree: about what headsets show. */
const PX_PER_DEG = 24;
const INK = "#27211b";
const PAPER = "#f8f3e8";
const FONT = 'Seravek, "Gill Sans Nova", Ubuntu, Calibri, "Source Sans 3", sans-serif';
/** Names and sentences: 1.3° from one line's foot to its head. */
const NAME_PX = 31;
/** A mark's drawing, as many pixels wide as high; its own units are 48. */
const MARK_PX = 132;
const PANEL = { width: 900, padding: 44, title: 44, text: 32, smallest: 22, highest: 1100 };

/** A mark with its name below; what it marks lies in the drawing's middle. @param {Hotspot["kind"]} kind @param {string} name @returns {Card} */
export const markCard = (kind, name) => {
  const label = labelOf([name], 420);
  const width = Math.max(MARK_PX, label.width);
  const { canvas, pen } = sheet(width, MARK_PX + label.height);
  paintMark(pen, kind, (width - MARK_PX) / 2);
  label.paint(pen, (width - label.width) / 2, MARK_PX);
  return card(canvas, -label.height / 2);
};

/** Some sentences on a strip of paper. @param {string} text @returns {Card} */
export const sentenceCard = (text) => {
  const label = labelOf([text], 760);
  const { canvas, pen } = sheet(label.width, label.height);
  label.paint(pen, 0, 0);
  return card(canvas);
};

/** A note: its heading, its paragraphs, its picture. Writing that would make the card too high is set smaller, and cut in the end.
 * @param {{ title: string, paragraphs: readonly string[], picture: ImageBitmap | null }} note @returns {Card} */
export const noteCard = ({ title, paragraphs, picture }) => {
  const { width, padding, highest } = PANEL;
  const inner = width - 2 * padding;
  const shown = picture && { width: inner, height: Math.min((inner * picture.height) / picture.width, highest / 2) };
  const room = highest - 2 * padding - (shown ? shown.height + padding : 0);
  const lines = fitted(title, paragraphs, inner, room);
  const height = lines.reduce((sum, { step }) => sum + step, 2 * padding + (shown ? shown.height + padding / 2 : 0));
  const { canvas, pen } = sheet(width, height);
  paintPaper(pen, 0, 0, width, height);
  let y = padding;
  for (const { text, px, bold, step } of lines) {
    write(pen, text, padding, y + px * 0.85, { px, bold });
    y += step;
  }
  if (picture && shown) paintWithin(pen, picture, { x: padding, y: y + padding / 2, ...shown });
  return card(canvas);
};

/** Text in lines no longer than a width; words that are longer by themselves are broken.
 * @param {string} text @param {number} width @param {(text: string) => number} measure @returns {string[]} */
export const wrapped = (text, width, measure) => {
  const lines = [""];
  for (const word of text.split(/\s+/).flatMap((one) => broken(one, width, measure))) {
    const line = lines[lines.length - 1];
    const longer = line ? `${line} ${word}` : word;
    if (line && measure(longer) > width) lines.push(word);
    else lines[lines.length - 1] = longer;
  }
  return lines;
};

/** @param {string} word @param {number} width @param {(text: string) => number} measure @returns {string[]} */
const broken = (word, width, measure) => {
  const parts = [""];
  for (const letter of measure(word) > width ? word : [word]) {
    if (parts[parts.length - 1] && measure(parts[parts.length - 1] + letter) > width) parts.push("");
    parts[parts.length - 1] += letter;
  }
  return parts;
};

/** @typedef {{ text: string, px: number, bold: boolean, step: number }} Line */

/** A note's lines at the largest size that fits; what still does not is cut.
 * @param {string} title @param {readonly string[]} paragraphs @param {number} width @param {number} height @returns {Line[]} */
const fitted = (title, paragraphs, width, height) => {
  for (let px = PANEL.text; ; px -= 2) {
    const lines = [
      ...set(title, { px: (px * PANEL.title) / PANEL.text, bold: true }, width),
      ...paragraphs.flatMap((text) => set(text, { px, bold: false }, width)),
    ];
    let left = height;
    const fits = lines.findIndex(({ step }) => (left -= step) < 0);
    if (fits < 0) return lines;
    if (px > PANEL.smallest) continue;
    const kept = lines.slice(0, Math.max(fits, 1));
    kept[kept.length - 1].text += " …";
    return kept;
  }
};

/** A paragraph's lines; the last has room below. @param {string} text @param {{ px: number, bold: boolean }} how @param {number} width @returns {Line[]} */
const set = (text, { px, bold }, width) => {
  const lines = wrapped(text, width, measuring(px, bold));
  return lines.map((line, i) => ({ text: line, px, bold, step: px * (i === lines.length - 1 ? 1.9 : 1.35) }));
};

/** Paper with a few centred lines on it. @param {readonly string[]} texts @param {number} widest */
const labelOf = (texts, widest) => {
  const measure = measuring(NAME_PX, false);
  const lines = texts.flatMap((text) => wrapped(text, widest, measure));
  const width = Math.ceil(Math.max(...lines.map(measure))) + 32;
  const height = Math.ceil(lines.length * NAME_PX * 1.3) + 16;
  const paint = (/** @type {CanvasRenderingContext2D} */ pen, /** @type {number} */ x, /** @type {number} */ y) => {
    paintPaper(pen, x, y, width, height);
    lines.forEach((line, i) => {
      write(pen, line, x + (width - measure(line)) / 2, y + 8 + NAME_PX * (1.3 * i + 0.97), { px: NAME_PX, bold: false });
    });
  };
  return { width, height, paint };
};

/** @param {number} px @param {boolean} bold @returns {(text: string) => number} */
const measuring = (px, bold) => {
  const { pen } = sheet(1, 1);
  pen.font = fontOf(px, bold);
  return (text) => pen.measureText(text).width;
};

/** @param {number} px @param {boolean} bold @returns {string} */
const fontOf = (px, bold) => `${bold ? 600 : 400} ${px}px ${FONT}`;

/** @param {CanvasRenderingContext2D} pen @param {string} text @param {number} x @param {number} y @param {{ px: number, bold: boolean }} how */
const write = (pen, text, x, y, { px, bold }) => {
  pen.font = fontOf(px, bold);
  pen.fillStyle = INK;
  pen.fillText(text, x, y);
};

/** A dark line inside a light one: it shows on a white wall and on dark wood. @param {CanvasRenderingContext2D} pen @param {number} x @param {number} y
 * @param {number} width @param {number} height */
const paintPaper = (pen, x, y, width, height) => {
  pen.fillStyle = PAPER;
  pen.fillRect(x, y, width, height);
  pen.strokeStyle = INK;
  pen.lineWidth = 2;
  pen.strokeRect(x + 4, y + 4, width - 8, height - 8);
};

/** The page's own drawing of a kind of mark, dark and wide below, light and narrow above. @param {CanvasRenderingContext2D} pen
 * @param {Hotspot["kind"]} kind @param {number} x */
const paintMark = (pen, kind, x) => {
  pen.save();
  pen.translate(x + 8, 8);
  pen.scale((MARK_PX - 16) / 48, (MARK_PX - 16) / 48);
  pen.lineJoin = pen.lineCap = "round";
  for (const part of drawing(kind).querySelectorAll("path")) {
    const path = new Path2D(part.getAttribute("d") ?? "");
    const [name] = part.classList;
    pen.strokeStyle = name === "line" ? PAPER : INK;
    pen.lineWidth = { shade: 6.5, line: 2.8 }[name] ?? 1;
    pen.fillStyle = PAPER;
    if (name === "fill") pen.fill(path);
    pen.stroke(path);
  }
  pen.restore();
};

/** A picture as large as it fits, in the middle. @param {CanvasRenderingContext2D} pen @param {ImageBitmap} picture
 * @param {{ x: number, y: number, width: number, height: number }} frame */
const paintWithin = (pen, picture, { x, y, width, height }) => {
  const scale = Math.min(width / picture.width, height / picture.height);
  const [w, h] = [picture.width * scale, picture.height * scale];
  pen.drawImage(picture, x + (width - w) / 2, y + (height - h) / 2, w, h);
};

/** An empty canvas. @param {number} width @param {number} height */
const sheet = (width, height) => {
  const canvas = document.createElement("canvas");
  Object.assign(canvas, { width: Math.ceil(width), height: Math.ceil(height) });
  return { canvas, pen: /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d")) };
};

/** @param {HTMLCanvasElement} canvas @param {number} [upPx] @returns {Card} */
const card = (canvas, upPx = 0) => ({ canvas, width: canvas.width / PX_PER_DEG, height: canvas.height / PX_PER_DEG, up: upPx / PX_PER_DEG });
