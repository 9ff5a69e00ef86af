// The fixture's walk with all that helps to find one's way: plans, north, places, two languages, a link, marks that lie close together.

import { readFileSync } from "node:fs";
import { newPage } from "./harness.mjs";

const AXE = readFileSync(new URL("../node_modules/axe-core/axe.min.js", import.meta.url), "utf8");

const PLAN = (name) => `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 600"><rect width="800" height="600" fill="#fff"/><path d="M100 100H700V500H100Z" fill="none" stroke="#333" stroke-width="12"/><text x="120" y="160" font-size="24">${name}</text></svg>`;

const plan = (name, northDeg) => ({ drawing: `plans/${name}.svg`, origin: [0, 0], size: [800, 600], northDeg, metresPerUnit: 0.02 });
const PLACES = { hall: [300, 300], kitchen: [500, 300], parlour: [200, 200], "door-end": [300, 300], hearth: [500, 320] };

/** The floors: the ground floor's plan has a north arrow of 14°, that of the yard has none. */
export const furnished = (walk, change = () => {}) => {
  const file = structuredClone(walk);
  file.languages = ["en", "de"];
  file.floors[0].plan = plan("ground", 14);
  file.floors[1].plan = plan("yard", null);
  for (const room of file.rooms) for (const station of room.stations) station.standsAt = PLACES[station.id];
  const [hall, kitchen] = file.rooms;
  kitchen.title = { en: "Kitchen", de: "Küche" };
  const [toKitchen, , note] = hall.stations[0].hotspots;
  toKitchen.name = kitchen.title;
  toKitchen.at = [400, 300];
  note.name = { en: "The hoist", de: "Der Aufzug" };
  note.text = { en: note.text, de: "Der Aufzug ist von 1871." };
  note.link = "https://larkmere.test/hoist";
  change(file);
  return file;
};

/** A page on which the site has that walk. */
export const furnishedPage = async (site, { change, ...how } = {}) => {
  const opened = await newPage(site.browser, how);
  await opened.page.route("**/walk.json", (route) => route.fulfill({ json: furnished(site.walk, change) }));
  await opened.page.route("**/plans/*.svg", (route) => route.fulfill({ contentType: "image/svg+xml", body: PLAN("Plan") }));
  return opened;
};

/** What axe-core finds against WCAG 2.2 A and AA, and its best practices for dialogs, names and order. */
export const violations = async (page) => {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    const { violations: found } = await window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] });
    return found.map(({ id, nodes }) => `${id}: ${nodes.map(({ target, failureSummary }) => `${target.join(" ")} ${failureSummary}`).join("; ")}`);
  });
};

/** The element of the shadow that has the focus: its class and name. */
export const focused = (page) =>
  page.evaluate(() => {
    const active = document.querySelector("enfilade-walk").shadowRoot.activeElement;
    return active && `${active.className || active.id} ${active.getAttribute("aria-label") ?? active.textContent}`.trim();
  });

/** Boxes of elements in the shadow, hidden ones left out. */
export const boxesOf = (page, selector) =>
  page.evaluate((wanted) => {
    const { shadowRoot } = document.querySelector("enfilade-walk");
    return [...shadowRoot.querySelectorAll(wanted)].flatMap((element) => {
      const { left, top, right, bottom } = element.getBoundingClientRect();
      const { visibility, opacity } = getComputedStyle(element);
      return right > left && visibility === "visible" && opacity !== "0" ? [{ left, top, right, bottom, text: element.textContent }] : [];
    });
  }, selector);

/** Presses a button of the plate and waits for its sheet. */
export const openSheet = async (page, name) => {
  await page.getByRole("button", { name, exact: true }).click();
  await page.locator("enfilade-walk .sheet[open] h2").waitFor();
};
