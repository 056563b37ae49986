// Colours to choose from: those of the collection as tiles in rows, and how near pieces must be.

import { asksColour, placeOf } from "./colours.js";
import { cardOf } from "./collection.js";
import { labOf } from "./difference.js";
import { byId, element, field, received } from "./page.js";

/** @typedef {import("./query.js").Query} Query */

const STEPS = ["close", "near", "loosely"];

/** @type {Record<string, string>} */
const STEP_WORDS = { close: "close to it", near: "near it", loosely: "loosely like it" };

/** Lays the tiles out, once their colours are there. */
export function layTiles() {
  const place = byId("tiles");
  if (place.childElementCount > 0 || received.tiles.length === 0) {
    return;
  }
  for (const [family, tiles] of received.tiles) {
    const row = element("div", { class: "tile-row", role: "group", "aria-label": family });
    row.append(...tiles.map(([srgb, name]) => tile(srgb, name)));
    place.append(row);
  }
  byId("filter-glaze").hidden = false;
}

/**
 * @param {string} srgb
 * @param {string} name
 */
function tile(srgb, name) {
  const label = `${name}, lightness ${Math.round(labOf(srgb)[0])}`;
  const box = element("input", { type: "radio", name: "glaze", value: srgb, "aria-label": label });
  const made = element("label", { class: "tile", title: name }, box, element("span", { "aria-hidden": "true" }));
  made.style.setProperty("--tile", `#${srgb}`);
  return made;
}

/**
 * The colour and nearness that the fields ask for, on top of what they cannot say.
 * @param {Query} before
 * @returns {Pick<Query, "colour" | "glazeOf" | "near">}
 */
export function readGlaze(before) {
  const chosen = /** @type {HTMLInputElement | null} */ (document.querySelector("[name=glaze]:checked"));
  const near = STEPS[Number(field("nearness").value)] || "near";
  return chosen ? { colour: chosen.value, glazeOf: "", near } : { colour: before.colour, glazeOf: before.glazeOf, near };
}

/**
 * Shows in the fields what is asked for.
 * @param {Query} query
 */
export function showGlaze(query) {
  document.querySelectorAll("[name=glaze]").forEach((box) => {
    const radio = /** @type {HTMLInputElement} */ (box);
    radio.checked = radio.value === query.colour;
  });
  const slider = field("nearness");
  slider.value = String(STEPS.indexOf(query.near));
  slider.setAttribute("aria-valuetext", STEP_WORDS[query.near]);
  byId("nearness-words").textContent = STEP_WORDS[query.near];
  byId("nearness-field").hidden = !asksColour(query);
  byId("order-colour").hidden = !asksColour(query);
}

/**
 * What is asked for in words, and its colour where it is one.
 * @param {Query} query
 * @param {import("./index.js").Chunk[]} chunks
 * @returns {{words: string, srgb: string}}
 */
export function glazeAsked(query, chunks) {
  if (query.colour) {
    const known = received.tiles.flatMap(([, tiles]) => tiles).find(([srgb]) => srgb === query.colour);
    return { words: `glaze ${STEP_WORDS[query.near].replace(/ it$/, "")} ${known ? known[1] : "this colour"}`, srgb: query.colour };
  }
  const place = placeOf(chunks, query.glazeOf);
  const card = place && cardOf(place);
  const piece = card ? card.number || card.title : "a piece that is not in this edition";
  return { words: `glaze ${STEP_WORDS[query.near].replace(/ it$/, "")} that of ${piece}`, srgb: "" };
}
