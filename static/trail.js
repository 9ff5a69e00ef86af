// The walk in the browser's history: a new entry for each room, the present entry kept up with the view, and a way back.

import { readAddress, writeAddress } from "./address.js";

/** @typedef {import("./address.js").Address} Address */

/** Browsers refuse to rewrite an address too often; this is well within what all of them allow. */
const QUIET_MS = 350;

/** See the top of this file. */
export class Trail {
  /** @type {Address | null} */
  #pending = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  #stop = new AbortController();

  /** @param {(address: Address | null) => void} onReturn the visitor went back or forward, or typed another address */
  constructor(onReturn) {
    const returned = () => {
      this.#forget();
      onReturn(readAddress(location.hash));
    };
    addEventListener("popstate", returned, { signal: this.#stop.signal });
  }

  /** What the address says now. @returns {Address | null} */
  get present() {
    return readAddress(location.hash);
  }

  /** Another room: the entry that is left keeps its last view. @param {Address} address */
  enter(address) {
    this.#flush();
    history.pushState(null, "", writeAddress(address));
  }

  /** The same room, seen otherwise: written when the view has been quiet for a moment. @param {Address} address */
  note(address) {
    this.#pending = address;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#flush(), QUIET_MS);
  }

  dispose() {
    this.#flush();
    this.#stop.abort();
  }

  #flush() {
    const address = this.#pending;
    this.#forget();
    if (address) history.replaceState(history.state, "", writeAddress(address));
  }

  #forget() {
    clearTimeout(this.#timer);
    this.#pending = null;
  }
}
