// Every text the viewer shows, one file a language: `words-en.js` and its fellows. English is always there; another language
// is loaded when a walk or a visitor asks for it.

import ENGLISH from "./words-en.js";

/** @typedef {keyof typeof ENGLISH} Word */
/** A speaker of one language: `say("goTo", { name: "Kitchen" })`. `{name}` is filled in.
 * @typedef {(word: Word, filled?: Record<string, string>) => string} Say */

/** @type {Record<string, () => Promise<{ default: Record<Word, string> }>>} */
const OTHERS = {
  de: () => import("./words-de.js"),
  es: () => import("./words-es.js"),
  fr: () => import("./words-fr.js"),
};

/** @param {Record<Word, string>} words @returns {Say} */
const speaker =
  (words) =>
  (word, filled = {}) =>
    words[word].replace(/\{(\w+)\}/g, (_, key) => filled[key] ?? "");

export const english = speaker(ENGLISH);

/** The words of a language (`de-CH` falls back on `de`); English where nobody has written them, or where they do not come.
 * @param {string} language @returns {Promise<Say>} */
export const wordsOf = async (language) => {
  const load = OTHERS[language.toLowerCase().split("-")[0]];
  try {
    return load ? speaker((await load()).default) : english;
  } catch (error) {
    console.warn("enfilade-walk:", error);
    return english;
  }
};
