// The comparison: one view of many pieces side by side, in date order, zoomed together.

import { cardOf, collection } from "./collection.js";
import { asksColour } from "./colours.js";
import { search } from "./index.js";
import { sorted } from "./order.js";
import { altOf, byId, counted, element, field, load, pictureAddress, received, root, unreadable, viewName } from "./page.js";
import { narrows, readQuery, shownYear, writeQuery } from "./query.js";
import { glazeAsked } from "./tiles.js";
import { arrange, forget, show, startTogether } from "./together.js";

const ONE_STEP = 24;

/** @type {import("./query.js").Query} */
let comparison = readQuery("");
let sameScale = false;
/** @type {import("./index.js").Found[]} */
let compared = [];
let laidOut = 0;
let turnOfSheet = 0;

/** Makes the page answer. */
export function startCompare() {
  byId("compare-tools").hidden = false;
  byId("compare-view").addEventListener("change", () => {
    comparison = { ...comparison, view: field("compare-view").value };
    tell();
  });
  byId("compare-scale").addEventListener("change", () => {
    sameScale = field("compare-scale").checked;
    tell();
  });
  startTogether();
  byId("print").addEventListener("click", () => window.print());
  byId("more").addEventListener("click", () => void layOut());
  window.addEventListener("hashchange", () => void fromHash());
  void fromHash();
}

/** Writes the address of the comparison and shows it. */
function tell() {
  const hash = writeQuery(comparison) + (sameScale ? "&scale=1" : "");
  try {
    history.replaceState(null, "", `#${hash}`);
    void fromHash();
  } catch {
    location.hash = hash;
  }
}

/** Shows the comparison that the address asks for, or why it cannot. */
async function fromHash() {
  try {
    await showComparison();
  } catch (problem) {
    byId("result").textContent = unreadable(/** @type {Error} */ (problem));
  }
}

async function showComparison() {
  comparison = readQuery(location.hash);
  sameScale = new URLSearchParams(location.hash.slice(1)).get("scale") === "1";
  comparison.view ||= "overall";
  field("compare-view").value = comparison.view;
  field("compare-scale").checked = sameScale;
  const { chunks, names } = await collection();
  const all = comparison.pieces.length && !narrows(comparison) ? chosenFrom(chunks) : askedFrom(chunks, names);
  const having = all.filter(({ chunk, row }) => chunk.facets.get("view")?.get(comparison.view)?.includes(row));
  compared = sorted(chunks, having, comparison.order);
  byId("compare-title").textContent = titleOf(chunks);
  byId("result").textContent = toldCompared(all.length);
  byId("compare-address").textContent = location.protocol === "file:" ? `compare.html${location.hash}` : location.href;
  byId("sheet").replaceChildren();
  byId("scale-note").hidden = !sameScale;
  forget(sameScale);
  laidOut = 0;
  turnOfSheet += 1;
  await layOut();
}

/** @param {import("./index.js").Chunk[]} chunks */
function chosenFrom(chunks) {
  const wanted = comparison.pieces;
  return chunks.flatMap((chunk) =>
    chunk.data.ids.flatMap((id, row) => (wanted.some((begin) => id.startsWith(begin)) ? [{ chunk, row }] : [])),
  );
}

/**
 * @param {import("./index.js").Chunk[]} chunks
 * @param {Map<string, string[]>} names
 */
function askedFrom(chunks, names) {
  const found = search(chunks, names, comparison).found;
  const known = new Set(found.map(({ chunk, row }) => chunk.data.ids[row]));
  return [...found, ...chosenFrom(chunks).filter(({ chunk, row }) => !known.has(chunk.data.ids[row]))];
}

/** @param {import("./index.js").Chunk[]} chunks */
function titleOf(chunks) {
  const parts = [comparison.words.trim(), ...[...comparison.facets.values()].flat()].filter(Boolean);
  if (comparison.from !== null || comparison.to !== null) {
    parts.push(`${shownYear(comparison.from)}–${shownYear(comparison.to)}`);
  }
  if (asksColour(comparison)) {
    parts.push(glazeAsked(comparison, chunks).words);
  }
  const name = viewName(comparison.view);
  const view = name.charAt(0).toUpperCase() + name.slice(1);
  return parts.length ? `${view}: ${parts.join(", ")}` : `${view}, side by side`;
}

/** @param {number} all */
function toldCompared(all) {
  const without = all - compared.length;
  const left = without ? `; ${without.toLocaleString("en")} without a photograph of this view left out` : "";
  return `${counted(compared.length, "piece")} in order of date${left}`;
}

/** Puts the next pieces on the sheet. */
async function layOut() {
  const next = compared.slice(laidOut, laidOut + ONE_STEP);
  const { view } = comparison;
  const mine = turnOfSheet;
  const cards = next.map(cardOf);
  await Promise.all(cards.map(({ id }) => load(`pieces/${id}/piece.js`).catch(() => undefined)));
  if (mine !== turnOfSheet) {
    return;
  }
  laidOut += next.length;
  for (const card of cards) {
    const piece = received.pieces.get(card.id);
    const of = (piece?.pictures || []).filter((picture) => picture.view === view);
    const said = [piece?.holder || "", ...(piece?.marks || [])].filter(Boolean);
    of.forEach((picture, number) => byId("sheet").append(figureOf(card, said, picture, number, of.length)));
  }
  byId("more").hidden = laidOut >= compared.length;
  arrange();
}

/**
 * @param {import("./collection.js").Card} card
 * @param {string[]} said who holds the date, and what marks say
 * @param {import("./page.js").PictureData} picture
 * @param {number} number
 * @param {number} many
 */
function figureOf(card, said, picture, number, many) {
  const small = picture.sizes.find(([width]) => width >= 400) || picture.sizes[picture.sizes.length - 1];
  const image = /** @type {HTMLImageElement} */ (element("img", {
    src: pictureAddress(picture.base, small), width: picture.width, height: picture.height,
    alt: `${altOf(picture)}, of ${card.title}`, loading: "lazy", decoding: "async", draggable: "false",
  }));
  const frame = element("div", { class: "figure-frame" }, image);
  const caption = element("p", { class: "figure-words" },
    element("a", { href: `${root()}pieces/${card.id}/index.html` }, card.title),
    element("span", {}, [card.date || "no date", card.number, many > 1 ? `${number + 1} of ${many}` : ""].filter(Boolean).join(" · ")),
    ...said.map((line) => element("span", { class: "figure-said" }, line)),
    element("span", { class: "figure-scale" }, ""),
  );
  const place = element("li", { class: "figure", "data-id": card.id }, frame, caption);
  if (narrows(comparison) && comparison.pieces.some((begin) => card.id.startsWith(begin))) {
    place.classList.add("figure-own");
    caption.prepend(element("span", { class: "figure-chosen" }, "chosen"));
  }
  show({ place, frame, image, picture, share: 1, near: false });
  return place;
}
