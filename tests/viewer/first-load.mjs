// Which of the viewer's files a page loads before anybody asks for more.

/** The page's own style sheet and script, the element's style sheet, and every module that is imported at once.
 * @param {(name: string) => string} read @returns {string[]} */
export const firstLoad = (read) => {
  const found = ["enfilade.css", "walk.css", "enfilade-walk.js"];
  // What is imported is appended while it runs.
  for (const name of found) {
    if (!name.endsWith(".js")) continue;
    for (const [, imported] of read(name).matchAll(/^(?:import|export|\}) .*from "\.\/([\w.-]+)";$/gm)) {
      if (!found.includes(imported)) found.push(imported);
    }
  }
  return found;
};
