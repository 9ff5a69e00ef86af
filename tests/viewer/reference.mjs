// Reads the tables of tests/fixtures/reference: comment lines, a line of names, then rows of numbers and words.
import { readFileSync } from "node:fs";

/** @param {string} name @returns {Record<string, string>[]} */
export const table = (name) => {
  const text = readFileSync(new URL(`../fixtures/reference/${name}.csv`, import.meta.url), "utf8");
  const [head, ...rows] = text.split("\n").filter((line) => line && !line.startsWith("#")).map((line) => line.split(","));
  return rows.map((row) => Object.fromEntries(head.map((key, i) => [key, row[i]])));
};

/** Numbers 0..1 that are the same in every run: a linear congruential generator with the constants of Numerical Recipes (from memory).
 * @param {number} seed */
export const random = (seed) => {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
};

/** @param {number} got @param {number} wanted @param {number} within @param {string} what */
export const near = (got, wanted, within, what) => {
  if (!(Math.abs(got - wanted) <= within)) throw new Error(`${what}: ${got}, should be ${wanted} within ${within}`);
};
