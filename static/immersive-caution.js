// The caution before the first visit with a headset: a dialog of the browser's own, so that Escape means "not now" and the focus
// goes back where it was.

import { make } from "./panels.js";

/** Asks once in the life of a page. @param {import("./immersive.js").ImmersionHost} host @returns {Promise<boolean>} whether the visitor goes on */
export const cautioned = async (host) => {
  host.cautioned ||= await asked(host);
  return host.cautioned;
};

/** @param {import("./immersive.js").ImmersionHost} host @returns {Promise<boolean>} */
const asked = async ({ root, say }) => {
  const heading = make("h2", "", say("vrTitle"));
  heading.id = "caution-heading";
  const advice = make("ul", "", ...say("vrCaution").split("\n").map((line) => make("li", "", line)));
  advice.id = "caution-advice";
  const [enter, later] = [make("button", "close", say("vrEnter")), make("button", "close", say("vrLater"))];
  const dialog = make("dialog", "caution", make("div", "top", heading), make("div", "body", advice, make("div", "choices", enter, later)));
  dialog.setAttribute("aria-labelledby", heading.id);
  dialog.setAttribute("aria-describedby", advice.id);
  for (const button of [enter, later]) button.type = "button";
  root.append(dialog);
  dialog.showModal();
  const agreed = await new Promise((answered) => {
    enter.addEventListener("click", () => answered(true));
    later.addEventListener("click", () => answered(false));
    dialog.addEventListener("close", () => answered(false));
  });
  dialog.close();
  dialog.remove();
  return agreed;
};
