// Standing in the room with a headset on: whether that can be offered, and the way in. Everything it takes is loaded only when the
// visitor asks for it.

/** What a visit needs of the page. `root` holds the dialog of caution; `address` is that of a file which walk.json names; `choose` goes
 * through a door or a step; `sentence` is what the page says just now, or nothing; `tell` says something there, `quietly` only to those who
 * listen. `cautioned`: the visitor has agreed to the caution since the page was loaded.
 * @typedef {{ stage: import("./stage.js").Stage, root: HTMLElement, say: import("./words.js").Say, address: (path: string) => string,
 *   choose: (way: import("./walk.js").Way) => void, sentence: () => string, tell: (text: string, quietly?: boolean) => void, cautioned: boolean }} ImmersionHost */

/** Whether there is a headset that this page may use. Never throws: a policy that forbids it is a no.
 * @returns {Promise<boolean>} */
export const offersImmersion = async () => {
  try {
    return (await navigator.xr?.isSessionSupported("immersive-vr")) ?? false;
  } catch {
    return false;
  }
};

/** Cautions the visitor, then shows the walk in the headset; done when they are back on the page, or did not leave it. To be called from a
 * click: a browser allows it only then. Never throws: what goes wrong is said on the page.
 * @param {ImmersionHost} host @returns {Promise<void>} */
export const enterImmersion = async (host) => {
  try {
    const { visit } = await import("./immersive-visit.js");
    await visit(host);
  } catch (error) {
    console.warn("enfilade-walk:", error);
    host.tell(host.say("vrFailed"));
  }
};
