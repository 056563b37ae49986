// The wall: all pieces, or those that are asked for, in the order asked for.

import { chooser, showBasket } from "./basket.js";
import { allYears, drawYears } from "./chart.js";
import { cardElement, cardOf, collection } from "./collection.js";
import { asksColour, byColour, differences } from "./colours.js";
import { readFields, showAsked, showFacets, showFields } from "./filters.js";
import { search } from "./index.js";
import { sorted } from "./order.js";
import { byId, counted, field, isTyping, unreadable } from "./page.js";
import { historicalYear, narrows, readQuery, writeQuery } from "./query.js";
import { layTiles } from "./tiles.js";

const AT_ONCE = 60;

/** @type {import("./query.js").Query} */
let asked = readQuery("");
/** @type {import("./index.js").Found[]} */
let order = [];
let shownCards = 0;
let turn = 0;

/** Makes the wall answer. */
export function startWall() {
  byId("finder").hidden = false;
  document.querySelectorAll("#wall > .card").forEach((card) => addChooser(/** @type {HTMLElement} */ (card)));
  showBasket();
  asked = readQuery(location.hash);
  showFields(asked, null);
  if (location.hash.length > 1) {
    answer();
  }
  byId("open-filters").addEventListener("click", () => openFilters(byId("filters").hidden === true));
  byId("finder").addEventListener("input", (event) => fromFields(event));
  byId("more").addEventListener("click", () => addCards());
  window.addEventListener("hashchange", () => {
    asked = readQuery(location.hash);
    answer();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "/" && !isTyping(event.target)) {
      event.preventDefault();
      field("words").focus();
    }
  });
  field("words").addEventListener("focus", () => void collection(), { once: true });
  if ("IntersectionObserver" in window) {
    new IntersectionObserver((seen) => {
      if (seen.some((entry) => entry.isIntersecting) && !byId("more").hidden) {
        addCards();
      }
    }, { rootMargin: "800px" }).observe(byId("more"));
  }
}

/** @param {boolean} open */
function openFilters(open) {
  byId("filters").hidden = !open;
  byId("open-filters").setAttribute("aria-expanded", String(open));
  if (open) {
    answer();
  }
}

/** @param {Event} event */
function fromFields(event) {
  const slider = /** @type {HTMLInputElement} */ (event.target);
  if (slider.id === "years-from-slider" || slider.id === "years-to-slider") {
    takeSlider(slider);
  }
  const query = readFields(asked);
  // Whoever chooses a colour wants to see what is nearest to it.
  ask(slider.name === "glaze" ? { ...query, order: "colour" } : query);
}

/**
 * A slider at its end asks for nothing; neither passes the other.
 * @param {HTMLInputElement} slider
 */
function takeSlider(slider) {
  const from = slider.id === "years-from-slider";
  const other = field(from ? "years-to-slider" : "years-from-slider");
  const beyond = from ? Number(slider.value) > Number(other.value) : Number(slider.value) < Number(other.value);
  if (beyond) {
    slider.value = other.value;
  }
  const end = slider.value === (from ? slider.min : slider.max);
  field(from ? "years-from" : "years-to").value = end ? "" : String(historicalYear(Number(slider.value)));
}

/** @param {import("./query.js").Query} query */
function ask(query) {
  asked = query;
  const hash = writeQuery(query);
  // A page on a disk may not be allowed to rewrite its address; the answer does not depend on it.
  try {
    history.replaceState(null, "", hash ? `#${hash}` : location.pathname + location.search);
  } catch {
    location.replace(`#${hash}`);
  }
  answer();
}

/** Shows the pieces that are asked for, or why they cannot be shown. */
function answer() {
  showAnswer().catch((problem) => {
    byId("result").textContent = unreadable(problem);
  });
}

async function showAnswer() {
  turn += 1;
  const mine = turn;
  const { chunks, names } = await collection();
  if (mine !== turn) {
    return;
  }
  const years = allYears(chunks);
  const found = search(chunks, names, asked);
  order = sorted(chunks, found.found, asked.order);
  if (asked.order === "colour" && asksColour(asked)) {
    order = byColour(order, differences(chunks, asked));
  }
  shownCards = 0;
  byId("wall").replaceChildren();
  addCards();
  byId("pages").hidden = true;
  byId("result").textContent = told(found, chunks);
  byId("compare-these").setAttribute("href", `compare.html#${writeQuery({ ...asked, view: "overall" })}`);
  layTiles();
  showFields(asked, years);
  showAsked(asked, chunks, ask);
  if (!byId("filters").hidden) {
    byId("glaze-note").textContent = found.colourless
      ? `${counted(found.colourless, "piece")} whose glaze could not be measured left out.`
      : "";
    showFacets(found.counts, asked, () => ask(readFields(asked)));
    if (years) {
      const dated = asked.from !== null || asked.to !== null;
      const ofAllYears = dated ? search(chunks, names, { ...asked, from: null, to: null }) : found;
      drawYears(ofAllYears.found, years);
    }
    byId("years-note").textContent = found.dateless
      ? `${counted(found.dateless, "piece")} without a date left out.`
      : "";
  }
}

/**
 * @param {import("./index.js").Answer} found
 * @param {import("./index.js").Chunk[]} chunks
 * @returns {string}
 */
function told(found, chunks) {
  const all = chunks.reduce((sum, chunk) => sum + chunk.data.ids.length, 0);
  if (!narrows(asked)) {
    return counted(all, "piece");
  }
  if (found.found.length === 0) {
    return "No piece is what was asked for.";
  }
  const years = asked.from !== null || asked.to !== null;
  const sure = years && !asked.certainly
    ? `, ${found.certain.toLocaleString("en")} of them certainly within these years`
    : "";
  return `${counted(found.found.length, "piece")} of ${all.toLocaleString("en")}${sure}`;
}

/** Adds the next cards to the wall. */
function addCards() {
  const next = order.slice(shownCards, shownCards + AT_ONCE);
  shownCards += next.length;
  byId("wall").append(...next.map((found) => addChooser(cardElement(cardOf(found)))));
  byId("more").hidden = shownCards >= order.length;
}

/**
 * @param {HTMLElement} card
 * @returns {HTMLElement}
 */
function addChooser(card) {
  const title = card.querySelector(".card-title")?.textContent || "";
  card.append(chooser(card.dataset.id || "", title, showBasket));
  return card;
}
