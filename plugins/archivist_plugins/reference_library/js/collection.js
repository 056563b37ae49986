// The whole index, loaded once somebody asks for something, and the cards made of it.

import { openChunk, openNames } from "./index.js";
import { rank } from "./order.js";
import { element, load, pictureAddress, received, root } from "./page.js";

/** @typedef {{chunks: import("./index.js").Chunk[], names: Map<string, string[]>}} Collection */

/** @type {Promise<Collection> | null} */
let opening = null;

/**
 * The index; loaded at the first call.
 * @returns {Promise<Collection>}
 */
export function collection() {
  if (opening === null) {
    const digits = Array.from("0123456789abcdef");
    const scripts = ["names", "tiles", ...digits.map((digit) => `pieces-${digit}`)];
    opening = Promise.all(scripts.map((name) => load(`data/${name}.js`))).then(() => {
      const chunks = digits.flatMap((digit) => {
        const data = received.chunks.get(digit);
        return data && data.ids.length ? [openChunk(data)] : [];
      });
      rank(chunks, "date");
      return { chunks, names: openNames(received.names) };
    });
  }
  return opening;
}

/**
 * @typedef {object} Card
 * @property {string} id
 * @property {string} title
 * @property {string} number
 * @property {string} date
 * @property {string} picture
 */

/**
 * What the card of a piece shows.
 * @param {import("./index.js").Found} found
 * @returns {Card}
 */
export function cardOf({ chunk, row }) {
  const { ids, titles, numbers, dates, pictures } = chunk.data;
  return { id: ids[row], title: titles[row], number: numbers[row], date: dates[row], picture: pictures[row] };
}

/**
 * A card, as the wall's template writes it.
 * @param {Card} card
 * @returns {HTMLElement}
 */
export function cardElement(card) {
  const link = element("a", { class: "card-link", href: `${root()}pieces/${card.id}/index.html` });
  const facts = element("span", { class: "card-facts" });
  if (card.date) {
    facts.append(element("span", {}, card.date));
  }
  if (card.number && card.number !== card.title) {
    facts.append(element("span", { class: "card-number" }, card.number));
  }
  const title = element("span", { class: "card-title" }, card.title);
  link.append(cardPicture(card.picture), element("span", { class: "card-words" }, title, facts));
  return element("li", { class: "card", "data-id": card.id }, link);
}

/**
 * @param {string} told 'BASE WxH WxH VIEW', or '' where there is none
 * @returns {HTMLElement}
 */
function cardPicture(told) {
  if (!told) {
    return element("span", { class: "card-picture card-bare" }, element("span", {}, "no photograph in this edition"));
  }
  const [base, ...rest] = told.split(" ");
  const sizes = rest
    .filter((part) => /^\d+x\d+$/.test(part))
    .map((part) => /** @type {[number, number]} */ (part.split("x").map(Number)));
  const largest = sizes[sizes.length - 1];
  const image = element("img", {
    src: pictureAddress(base, largest),
    srcset: sizes.map((size) => `${pictureAddress(base, size)} ${size[0]}w`).join(", "),
    sizes: "(max-width: 30rem) 50vw, 15rem",
    width: largest[0],
    height: largest[1],
    alt: "",
    loading: "lazy",
    decoding: "async",
  });
  return element("span", { class: "card-picture" }, image);
}
