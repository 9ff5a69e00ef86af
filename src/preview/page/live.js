// Keeps an open page in step with the photographer's files: takes a new walk.json in, loads the page again where that
// does not do, and shows progress and problems. Served by the preview only.

/**
 * @typedef {{ page: string, walk: string }} Site
 * @typedef {{ stations: number, toCut: number, cut: number }} Progress
 * @typedef {{ severity: "error" | "warning", what: string, instead: string, file: string | null, line: number | null,
 *   column: number | null, about: string | null, station: string | null }} Problem
 * @typedef {{ problems: Problem[], standing: boolean }} Problems
 */

/** What this page was served as: hashes that the server put into this script's own address. */
const served = new URL(import.meta.url).searchParams;
const pageStamp = served.get("page") ?? "";
let walkStamp = served.get("walk") ?? "";

/**
 * Makes an element.
 * @param {string} name its tag
 * @param {string} className its class
 * @param {(Node | string)[]} children text is never read as markup
 * @returns {HTMLElement}
 */
function make(name, className, ...children) {
  const element = document.createElement(name);
  if (className !== "") element.className = className;
  element.append(...children);
  return element;
}

/** The panel at the top: progress, problems, and whether the preview can be reached. */
class Panel {
  constructor() {
    this.bar = /** @type {HTMLProgressElement} */ (make("progress", ""));
    this.bar.setAttribute("aria-label", "Stations made");
    this.progressText = make("span", "");
    this.progress = make("p", "enfilade-preview-progress", this.progressText, this.bar);
    this.summary = make("summary", "");
    this.list = make("ol", "");
    this.problems = /** @type {HTMLDetailsElement} */ (
      make("details", "enfilade-preview-problems", this.summary, this.list)
    );
    this.problems.open = true;
    this.lost = make("p", "enfilade-preview-lost", "The preview does not answer. It may have been ended in the terminal.");
    // Both regions stand from the beginning and stay: a screen reader announces what is put into them.
    this.status = make("p", "enfilade-preview-spoken");
    this.status.setAttribute("role", "status");
    this.alert = make("p", "enfilade-preview-spoken");
    this.alert.setAttribute("role", "alert");
    this.panel = make("aside", "enfilade-preview", this.lost, this.progress, this.problems);
    this.panel.setAttribute("aria-label", "Preview");
    for (const part of [this.panel, this.lost, this.progress, this.problems]) part.hidden = true;
    document.body.append(this.panel, this.status, this.alert);
  }

  /** The panel stands only while it has something to say. */
  settle() {
    this.panel.hidden = this.lost.hidden && this.progress.hidden && this.problems.hidden;
  }

  /** @param {Progress} progress */
  showProgress({ toCut, cut }) {
    const busy = cut < toCut;
    if (busy) {
      this.progressText.textContent = `Making pictures: ${cut} of ${toCut} done`;
      this.bar.max = toCut;
      this.bar.value = cut;
    }
    // Said once when it begins and once when it is over, not for each picture.
    if (busy !== !this.progress.hidden) {
      this.status.textContent = busy ? "Pictures are being made." : "All pictures are made.";
    }
    this.progress.hidden = !busy;
    this.settle();
  }

  /** @param {Problems} problems */
  showProblems({ problems, standing }) {
    const errors = problems.filter((problem) => problem.severity === "error").length;
    const title = headline(errors, problems.length - errors, standing);
    this.list.replaceChildren(...problems.map(problemItem));
    this.summary.textContent = title;
    this.problems.hidden = problems.length === 0;
    this.alert.textContent = errors > 0 ? title : "";
    if (errors === 0) this.status.textContent = title;
    this.settle();
  }

  /** @param {boolean} lost */
  showLost(lost) {
    this.lost.hidden = !lost;
    this.settle();
  }
}

/**
 * @param {number} errors
 * @param {number} warnings
 * @param {boolean} standing whether an earlier walkthrough stays up
 */
function headline(errors, warnings, standing) {
  const count = (/** @type {number} */ number, /** @type {string} */ word) => `${number} ${word}${number === 1 ? "" : "s"}`;
  if (errors === 0) return warnings === 0 ? "" : `${count(warnings, "thing")} to look at`;
  return `${count(errors, "problem")}. ${standing ? "The last good walkthrough stays up." : "There is no walkthrough yet."}`;
}

/** @param {Problem} problem */
function problemItem(problem) {
  const kind = problem.severity === "error" ? " enfilade-preview-problem-error" : "";
  const item = make("li", `enfilade-preview-problem${kind}`);
  const place = [problem.file ?? problem.about, problem.line, problem.column].filter((part) => part !== null).join(":");
  if (place !== "") item.append(make("p", "enfilade-preview-place", place));
  const station = problem.station === null ? "" : `${problem.station}: `;
  item.append(make("p", "enfilade-preview-what", `${station}${problem.what}.`));
  if (problem.instead !== "") item.append(make("p", "enfilade-preview-instead", `Instead: ${problem.instead}.`));
  return item;
}

/**
 * Follows the site that stands now. The address carries the view, so that loading again keeps it.
 * @param {Site} site
 */
function follow(site) {
  if (site.page !== pageStamp) {
    location.reload();
  } else if (site.walk !== walkStamp) {
    walkStamp = site.walk;
    document.querySelector("enfilade-walk")?.setAttribute("src", `walk.json?${site.walk}`);
  }
}

/** Says which station this page shows: it is made first when something changes. @param {{ room: string, station: string }} place */
function tellPlace({ room, station }) {
  const at = room === station ? room : `${room}/${station}`;
  // Whether it arrives matters to nobody here.
  fetch(new URL(`looking?at=${at}`, import.meta.url), { method: "POST" }).catch(() => undefined);
}
document.addEventListener("enfilade-room", (event) => tellPlace(/** @type {CustomEvent} */ (event).detail), true);
/** @type {{ view?: { room: string, station: string } | null } | null} */
const shownAlready = document.querySelector("enfilade-walk");
if (shownAlready?.view) tellPlace(shownAlready.view);

const panel = new Panel();
// Beside this script, whichever page holds it.
const events = new EventSource(new URL("events", import.meta.url));
/** @param {string} kind @param {(data: any) => void} take */
const on = (kind, take) => events.addEventListener(kind, (event) => take(JSON.parse(event.data)));
on("site", follow);
on("progress", (progress) => panel.showProgress(progress));
on("problems", (problems) => panel.showProblems(problems));

// A stream ends of age now and then and is back at once: only a lasting silence is worth a word.
let silence = 0;
events.addEventListener("open", () => {
  clearTimeout(silence);
  silence = 0;
  panel.showLost(false);
});
events.addEventListener("error", () => {
  if (silence === 0) silence = setTimeout(() => panel.showLost(true), 3000);
  // After an answer that is no stream the browser gives up: begin anew by loading the page, once it can be had.
  if (events.readyState === EventSource.CLOSED) setTimeout(() => location.reload(), 5000);
});
