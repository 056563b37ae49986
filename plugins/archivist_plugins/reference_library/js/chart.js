// The years of what was found, as a small drawing above the slider.

import { byId } from "./page.js";

const SVG = "http://www.w3.org/2000/svg";
const BARS = 48;

/** @typedef {{first: number, last: number}} Years */

/**
 * The first and last year of all pieces, in whole decades; null where none has a date.
 * @param {import("./index.js").Chunk[]} chunks
 * @returns {Years | null}
 */
export function allYears(chunks) {
  let first = Infinity;
  let last = -Infinity;
  for (const { data } of chunks) {
    for (const year of [...data.earliest, ...data.latest]) {
      if (year !== null) {
        first = Math.min(first, year);
        last = Math.max(last, year);
      }
    }
  }
  return first > last ? null : { first: Math.floor(first / 10) * 10, last: Math.ceil((last + 1) / 10) * 10 };
}

/**
 * Draws for each part of the years how many pieces were possibly and how many certainly made in it.
 * @param {import("./index.js").Found[]} found
 * @param {Years} years
 */
export function drawYears(found, years) {
  const step = Math.max(1, Math.ceil((years.last - years.first) / BARS));
  const bars = Math.ceil((years.last - years.first) / step);
  const begun = new Int32Array(bars + 1);
  const certainly = new Uint32Array(bars);
  /** @param {number} year */
  const barOf = (year) => Math.min(bars - 1, Math.max(0, Math.floor((year - years.first) / step)));
  for (const { chunk, row } of found) {
    const earliest = chunk.data.earliest[row];
    const latest = chunk.data.latest[row];
    if (earliest === null && latest === null) {
      continue;
    }
    const first = earliest === null ? 0 : barOf(earliest);
    const last = latest === null ? bars - 1 : barOf(latest);
    begun[first] += 1;
    begun[last + 1] -= 1;
    certainly[first] += earliest !== null && latest !== null && first === last ? 1 : 0;
  }
  const possibly = new Uint32Array(bars);
  begun.subarray(0, bars).reduce((sum, change, bar) => {
    possibly[bar] = sum + change;
    return sum + change;
  }, 0);
  const most = Math.max(1, ...possibly);
  const drawing = document.createElementNS(SVG, "svg");
  drawing.setAttribute("viewBox", `0 0 ${bars * 4} 40`);
  drawing.setAttribute("preserveAspectRatio", "none");
  for (let bar = 0; bar < bars; bar += 1) {
    drawing.append(column(bar, possibly[bar] / most, "possibly"), column(bar, certainly[bar] / most, "certainly"));
  }
  byId("years-chart").replaceChildren(drawing);
}

/**
 * @param {number} bar
 * @param {number} share
 * @param {string} kind
 */
function column(bar, share, kind) {
  const made = document.createElementNS(SVG, "rect");
  const height = Math.round(share * 400) / 10;
  const attributes = { class: kind, x: bar * 4, y: 40 - height, width: 3.4, height };
  Object.entries(attributes).forEach(([name, value]) => made.setAttribute(name, String(value)));
  return made;
}
