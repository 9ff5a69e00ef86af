// Every text the viewer shows, in one place, keyed by language. `{name}` is filled in.

/** @typedef {keyof typeof ENGLISH} Word */

const ENGLISH = {
  picture: "{name}. Arrow keys look around, plus and minus zoom, Home returns to the opening view.",
  ways: "Doors and notes in view",
  goTo: "Go to {name}",
  note: "Note: {name}",
  rooms: "Rooms",
  roomsOf: "Rooms of {name}",
  here: "you are here",
  close: "Close",
  loading: "Opening {name} …",
  entered: "{name}",
  roomMissing: "{name} could not be loaded. You are still in {here}.",
  pictureMissing: "{name} could not be loaded. Trying again.",
  partsMissing: "Parts of this picture are missing. Trying again.",
  vr: "Use a headset",
  vrTitle: "Before you put the headset on",
  vrCaution:
    "Sit down on something that does not roll or turn, with nothing within reach of your arms.\nIf you feel unwell, close your eyes and take the headset off.\nThe maker's advice on health, breaks and age goes before anything said here.\nThe headset's own menu button brings you back to this page.",
  vrEnter: "Go in",
  vrLater: "Not now",
  vrFailed: "The headset did not start. You can go on here, or try again.",
  vrLost: "The picture in the headset was lost. You can go on here, or try again.",
  vrBack: "Back on the page.",
  walkMissing: "The walkthrough could not be loaded. Please check the connection and load this page again.",
  noWebGl: "This browser cannot show the rooms all round (it lacks WebGL 2, or it is switched off). Here is one picture of each.",
};

/** @type {Record<string, Record<Word, string>>} */
const LANGUAGES = { en: ENGLISH };

/** A speaker of one language: `say("goTo", { name: "Kitchen" })`.
 * @typedef {(word: Word, filled?: Record<string, string>) => string} Say */

/** The words of a language (`de-CH` falls back on `de`), English where it is not there.
 * @param {string} language @returns {Say} */
export const wordsOf = (language) => {
  const tag = language.toLowerCase();
  const words = LANGUAGES[tag] ?? LANGUAGES[tag.split("-")[0]] ?? ENGLISH;
  return (word, filled = {}) => words[word].replace(/\{(\w+)\}/g, (_, key) => filled[key] ?? "");
};
