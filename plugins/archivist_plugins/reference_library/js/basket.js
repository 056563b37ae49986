// Pieces chosen one by one to be compared, kept while the window is open.

import { button, byId, counted, element, root } from "./page.js";

const KEPT = "chosen-pieces";

/** @returns {string[]} */
export function chosenPieces() {
  try {
    return JSON.parse(window.sessionStorage.getItem(KEPT) || "[]");
  } catch {
    return [];
  }
}

/** @param {string[]} ids */
function keep(ids) {
  try {
    window.sessionStorage.setItem(KEPT, JSON.stringify(ids));
  } catch {
    // A browser that keeps nothing still compares what an address names.
  }
}

/**
 * Chooses a piece or lets it go.
 * @param {string} id
 * @returns {boolean} whether it is chosen now
 */
export function toggleChosen(id) {
  const ids = chosenPieces();
  const chosen = !ids.includes(id);
  keep(chosen ? [...ids, id] : ids.filter((other) => other !== id));
  return chosen;
}

/**
 * The address that compares pieces.
 * @param {string[]} ids
 * @param {string} view
 * @returns {string}
 */
export function comparing(ids, view) {
  return `${root()}compare.html#view=${encodeURIComponent(view)}&pieces=${ids.join(",")}`;
}

/** Shows what is chosen, where the page has a place for it. */
export function showBasket() {
  const place = byId("basket");
  const ids = chosenPieces();
  place.hidden = ids.length === 0;
  if (ids.length === 0) {
    place.replaceChildren();
    return;
  }
  place.replaceChildren(
    element("p", {}, `${counted(ids.length, "piece")} chosen`),
    element("a", { href: comparing(ids, "overall") }, "Compare"),
    button("Clear", () => {
      keep([]);
      showBasket();
      document.querySelectorAll("[data-chooses]").forEach((box) => box.setAttribute("aria-pressed", "false"));
    }),
  );
}

/**
 * The button that chooses a piece.
 * @param {string} id
 * @param {string} title
 * @param {() => void} changed
 * @returns {HTMLButtonElement}
 */
export function chooser(id, title, changed) {
  const made = button("", () => {
    made.setAttribute("aria-pressed", String(toggleChosen(id)));
    changed();
  }, {
    class: "choose",
    "data-chooses": id,
    "aria-pressed": String(chosenPieces().includes(id)),
    "aria-label": `Choose to compare: ${title}`,
    title: "Choose to compare",
  });
  return made;
}
