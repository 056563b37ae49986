// The fields that narrow the wall down: shows a query in them, and reads it out of them.

import { asksColour } from "./colours.js";
import { byId, element, field, viewName } from "./page.js";
import { astronomicalYear, historicalYear, shownYear } from "./query.js";
import { glazeAsked, readGlaze, showGlaze } from "./tiles.js";

const MILLIMETRES = 10;
const FEW = 8;

/** @typedef {import("./chart.js").Years} Years */

/**
 * @param {string} id
 * @returns {number | null}
 */
function numberIn(id) {
  const text = field(id).value.trim();
  const number = Number(text.replace("−", "-"));
  return text === "" || !Number.isFinite(number) ? null : number;
}

/**
 * @param {string} id
 * @returns {number | null}
 */
function yearIn(id) {
  const typed = numberIn(id);
  return typed === null ? null : astronomicalYear(Math.trunc(typed));
}

/**
 * What the fields ask for, on top of what they cannot say.
 * @param {import("./query.js").Query} before
 * @returns {import("./query.js").Query}
 */
export function readFields(before) {
  /** @param {string} id */
  const length = (id) => {
    const centimetres = numberIn(id);
    return centimetres === null ? null : Math.round(centimetres * MILLIMETRES);
  };
  /** @type {Map<string, string[]>} */
  const facets = new Map();
  document.querySelectorAll(".facet input:checked").forEach((box) => {
    const { facet, value } = /** @type {HTMLInputElement} */ (box).dataset;
    if (facet !== undefined && value !== undefined) {
      facets.set(facet, [...(facets.get(facet) || []), value]);
    }
  });
  return {
    ...before,
    words: field("words").value,
    from: yearIn("years-from"),
    to: yearIn("years-to"),
    certainly: /** @type {HTMLInputElement} */ (document.querySelector("[name=within][value=certainly]")).checked,
    height: [length("height-from"), length("height-to")],
    across: [length("across-from"), length("across-to")],
    facets: facetsUnshown(before, facets),
    ...readGlaze(before),
    order: field("order").value,
  };
}

/**
 * Facets that were asked for by address before their fields were there stay asked for.
 * @param {import("./query.js").Query} before
 * @param {Map<string, string[]>} facets
 */
function facetsUnshown(before, facets) {
  if (document.querySelector(".facet input") === null) {
    return before.facets;
  }
  return facets;
}

/**
 * Shows a query in the fields.
 * @param {import("./query.js").Query} query
 * @param {Years | null} years
 */
export function showFields(query, years) {
  /** @param {string} id @param {number | null} value */
  const set = (id, value) => {
    if (document.activeElement !== field(id)) {
      field(id).value = value === null ? "" : String(value);
    }
  };
  if (document.activeElement !== field("words")) {
    field("words").value = query.words;
  }
  set("years-from", query.from === null ? null : historicalYear(query.from));
  set("years-to", query.to === null ? null : historicalYear(query.to));
  /** @param {number | null} millimetres */
  const shown = (millimetres) => (millimetres === null ? null : millimetres / MILLIMETRES);
  set("height-from", shown(query.height[0]));
  set("height-to", shown(query.height[1]));
  set("across-from", shown(query.across[0]));
  set("across-to", shown(query.across[1]));
  document.querySelectorAll("[name=within]").forEach((choice) => {
    const radio = /** @type {HTMLInputElement} */ (choice);
    radio.checked = (radio.value === "certainly") === query.certainly;
  });
  showGlaze(query);
  field("order").value = query.order;
  if (years) {
    slide("years-from-slider", query.from, years.first, years);
    slide("years-to-slider", query.to, years.last, years);
  }
}

/**
 * @param {string} id
 * @param {number | null} value
 * @param {number} otherwise
 * @param {Years} years
 */
function slide(id, value, otherwise, years) {
  const slider = field(id);
  slider.min = String(years.first);
  slider.max = String(years.last);
  if (document.activeElement !== slider) {
    slider.value = String(value === null ? otherwise : value);
  }
  slider.setAttribute("aria-valuetext", value === null ? "open" : shownYear(value));
}

/**
 * Shows how many pieces there would be with each value, the most first; what is chosen stays.
 * @param {Map<string, Map<string, number>>} counts
 * @param {import("./query.js").Query} query
 * @param {() => void} changed
 */
export function showFacets(counts, query, changed) {
  document.querySelectorAll(".facet").forEach((place) => {
    const name = /** @type {HTMLElement} */ (place).dataset.facet || "";
    const asked = query.facets.get(name) || [];
    const sums = counts.get(name) || new Map();
    const values = [...sums]
      .filter(([value, sum]) => sum > 0 || asked.includes(value))
      .sort((a, b) => Number(asked.includes(b[0])) - Number(asked.includes(a[0])) || b[1] - a[1] || (a[0] < b[0] ? -1 : 1));
    /** @type {HTMLElement} */ (place).hidden = values.length === 0;
    const list = /** @type {HTMLElement} */ (place.querySelector(".facet-values"));
    const focused = list.contains(document.activeElement)
      ? /** @type {HTMLElement} */ (document.activeElement).dataset.value
      : undefined;
    const labels = values.map(([value, sum]) => choice(name, value, sum, asked.includes(value), changed));
    const few = labels.slice(0, Math.max(FEW, asked.length));
    list.replaceChildren(...few);
    if (labels.length > few.length) {
      const rest = element("details", {}, element("summary", {}, `${labels.length - few.length} more`), ...labels.slice(few.length));
      /** @type {HTMLDetailsElement} */ (rest).open = openFacets.has(name);
      rest.addEventListener("toggle", () => {
        openFacets[/** @type {HTMLDetailsElement} */ (rest).open ? "add" : "delete"](name);
      });
      list.append(rest);
    }
    if (focused !== undefined) {
      const again = [...list.querySelectorAll("input")].find((box) => box.dataset.value === focused);
      again?.focus();
    }
  });
}

/** @type {Set<string>} */
const openFacets = new Set();

/**
 * @param {string} name
 * @param {string} value
 * @param {number} sum
 * @param {boolean} checked
 * @param {() => void} changed
 */
function choice(name, value, sum, checked, changed) {
  const box = element("input", { type: "checkbox", "data-facet": name, "data-value": value, checked });
  box.addEventListener("change", changed);
  return element("label", {}, box, element("span", { class: "value" }, shownValue(name, value)), element("span", { class: "sum" }, String(sum)));
}

/**
 * @param {string} name
 * @param {string} value
 */
function shownValue(name, value) {
  return name === "view" ? viewName(value) : value;
}

/**
 * What is asked for, each with a button that lets it go.
 * @param {import("./query.js").Query} query
 * @param {import("./index.js").Chunk[]} chunks
 * @param {(changed: import("./query.js").Query) => void} ask
 */
export function showAsked(query, chunks, ask) {
  /** @type {HTMLElement[]} */
  const items = [];
  /** @param {string} words @param {Partial<import("./query.js").Query>} without */
  const add = (words, without) => {
    const made = element("button", { type: "button", "aria-label": `Let go: ${words}` }, words, element("span", { "aria-hidden": "true" }, " ×"));
    made.addEventListener("click", () => ask({ ...query, ...without }));
    items.push(element("li", {}, made));
    return made;
  };
  if (asksColour(query)) {
    const { words, srgb } = glazeAsked(query, chunks);
    const order = query.order === "colour" ? "date" : query.order;
    const made = add(words, { colour: "", glazeOf: "", near: "near", order });
    if (srgb) {
      const sample = element("span", { class: "sample", "aria-hidden": "true" });
      sample.style.setProperty("--tile", `#${srgb}`);
      made.prepend(sample);
    }
  }
  if (query.from !== null || query.to !== null) {
    add(`${query.certainly ? "certainly" : "possibly"} ${shownYear(query.from)} – ${shownYear(query.to)}`, { from: null, to: null, certainly: false });
  }
  for (const [name, range] of /** @type {["height" | "across", [number | null, number | null]][]} */ ([["height", query.height], ["across", query.across]])) {
    if (range.some((end) => end !== null)) {
      const [low, high] = range.map((end) => (end === null ? "…" : end / MILLIMETRES));
      add(`${name} ${low} – ${high} cm`, { [name]: [null, null] });
    }
  }
  for (const [name, values] of query.facets) {
    for (const value of values) {
      const facets = new Map(query.facets);
      const left = values.filter((other) => other !== value);
      if (left.length) {
        facets.set(name, left);
      } else {
        facets.delete(name);
      }
      add(shownValue(name, value), { facets });
    }
  }
  byId("chosen").replaceChildren(...items);
}
