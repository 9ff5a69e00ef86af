// Every text the viewer shows, two files a language: `words-en.js` has what stands over the picture, `panel-words-en.js` what is said
// once a visitor asks for more. Nothing is loaded but what the visitor reads.

/** @typedef {keyof typeof import("./words-en.js").default | keyof typeof import("./panel-words-en.js").default} Word */
/** A speaker of one language: `say("goTo", { name: "Kitchen" })`. `{name}` is filled in.
 * @typedef {(word: Word, filled?: Record<string, string>) => string} Say */

const LANGUAGES = ["de", "en", "es", "fr"];

/** The words of a language: `de-CH` falls back on `de`, one that nobody has written on English. Rejects where they do not come.
 * @param {string} language @param {{ panels?: boolean }} [how] `panels`: those of the panels too @returns {Promise<Say>} */
export const wordsOf = async (language, { panels = false } = {}) => {
  const [tag] = language.toLowerCase().split("-");
  const known = LANGUAGES.includes(tag) ? tag : "en";
  const files = (panels ? ["words", "panel-words"] : ["words"]).map((file) => import(`./${file}-${known}.js`));
  /** @type {Record<Word, string>} */
  const words = Object.assign({}, ...(await Promise.all(files)).map((module) => module.default));
  return (word, filled = {}) => words[word].replace(/\{(\w+)\}/g, (_, key) => filled[key] ?? "");
};
