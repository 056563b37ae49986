// Glaze colours: reads those of all pieces, and how far each piece is from what is asked for.

import { ciede2000, labOf } from "./difference.js";

/** @typedef {import("./index.js").Chunk} Chunk */
/** @typedef {import("./query.js").Query} Query */
/** @typedef {{share: number, lab: ArrayLike<number>}} Wanted */

/**
 * The colours of the pieces of a chunk: those of a row stand from `from[row]` to `from[row + 1]`.
 * @typedef {{from: Uint32Array, shares: Float32Array, labs: Int16Array}} Colours
 */

/**
 * CIEDE2000 up to which a piece is of a colour, for each step of nearness. Photographs of one glaze
 * in other lamps, or by another camera, easily differ by the first of them.
 * @type {Record<string, number>}
 */
export const NEARNESS = { close: 6, near: 12, loosely: 20 };

const SIGNS = 5;
const PART = 0.25;
const LEAST_SHARE = 0.04;

/**
 * Reads what `glaze.py` wrote: five signs for each colour, a space between pieces.
 * @param {string} text
 * @param {number} rows
 * @param {Uint8Array} worth of each sign
 * @returns {Colours}
 */
export function readColours(text, rows, worth) {
  const pieces = text.split(" ");
  const from = new Uint32Array(rows + 1);
  const count = (text.length - pieces.length + 1) / SIGNS;
  const shares = new Float32Array(count);
  const labs = new Int16Array(count * 3);
  let at = 0;
  for (let row = 0; row < rows; row += 1) {
    const told = pieces[row] || "";
    for (let i = 0; i < told.length; i += SIGNS) {
      const [share, ...digits] = [0, 1, 2, 3, 4].map((place) => worth[told.charCodeAt(i + place)]);
      const whole = digits.reduce((sum, digit) => sum * 64 + digit, 0);
      shares[at] = share / 63;
      labs[at * 3] = whole >> 16;
      labs[at * 3 + 1] = ((whole >> 8) & 255) - 128;
      labs[at * 3 + 2] = (whole & 255) - 128;
      at += 1;
    }
    from[row + 1] = at;
  }
  return { from, shares, labs };
}

/**
 * Whether a colour is asked for.
 * @param {Query} query
 */
export function asksColour(query) {
  return query.colour !== "" || query.glazeOf !== "";
}

/**
 * The colours asked for; none where the piece they are to be like has none that were measured.
 * @param {Chunk[]} chunks
 * @param {Query} query
 * @returns {Wanted[]}
 */
function wantedColours(chunks, query) {
  if (query.colour !== "") {
    return [{ share: 1, lab: labOf(query.colour) }];
  }
  const place = placeOf(chunks, query.glazeOf);
  if (place === null) {
    return [];
  }
  const { from, shares, labs } = place.chunk.colours;
  /** @type {Wanted[]} */
  const wanted = [];
  for (let i = from[place.row]; i < from[place.row + 1]; i += 1) {
    wanted.push({ share: shares[i], lab: labs.subarray(i * 3, i * 3 + 3) });
  }
  return wanted;
}

/**
 * The piece whose UUID begins like that.
 * @param {Chunk[]} chunks
 * @param {string} id
 * @returns {import("./index.js").Found | null}
 */
export function placeOf(chunks, id) {
  for (const chunk of chunks) {
    const row = chunk.data.ids.findIndex((one) => one.startsWith(id));
    if (row >= 0) {
      return { chunk, row };
    }
  }
  return null;
}

/** @type {{asked: string, chunks: Chunk[] | null, found: Map<Chunk, Float32Array>}} */
let worked = { asked: "", chunks: null, found: new Map() };

/**
 * How far each piece is from the colour asked for, worked out once for each colour.
 * @param {Chunk[]} chunks
 * @param {Query} query
 * @returns {Map<Chunk, Float32Array>}
 */
export function differences(chunks, query) {
  const asked = `${query.colour} ${query.glazeOf}`;
  if (worked.asked !== asked || worked.chunks !== chunks) {
    const wanted = wantedColours(chunks, query);
    const found = new Map(chunks.map((chunk) => [chunk, offIn(chunk.colours, wanted)]));
    worked = { asked, chunks, found };
  }
  return worked.found;
}

/**
 * For each colour asked for, by its share, what the nearest quarter of a piece is away from it;
 * infinite for a piece of which no colour is known; beyond what anybody asks for it is not worked
 * out to the end. `palette.py` tells it in the same words.
 * @param {Colours} colours
 * @param {Wanted[]} wanted
 * @returns {Float32Array}
 */
export function offIn({ from, shares, labs }, wanted) {
  const rows = from.length - 1;
  const total = new Float32Array(rows).fill(wanted.length ? 0 : Infinity);
  const sum = wanted.reduce((all, { share }) => all + share, 0);
  const pixel = new Float64Array(3);
  const off = new Float64Array(64);
  const of = new Float64Array(64);
  for (const { share, lab } of wanted) {
    const part = Math.min(PART, Math.max(share, LEAST_SHARE));
    for (let row = 0; row < rows; row += 1) {
      const begin = from[row];
      const end = from[row + 1];
      if (begin === end) {
        total[row] = Infinity;
        continue;
      }
      if (total[row] > NEARNESS.loosely) {
        continue;
      }
      for (let i = begin; i < end; i += 1) {
        pixel[0] = labs[i * 3];
        pixel[1] = labs[i * 3 + 1];
        pixel[2] = labs[i * 3 + 2];
        insert(off, of, i - begin, ciede2000(lab, pixel), shares[i]);
      }
      total[row] += (share / sum) * nearest(off, of, end - begin, part);
    }
  }
  return total;
}

/**
 * Puts a difference and the share it is of where it belongs among the first `count`, least first.
 * @param {Float64Array} off
 * @param {Float64Array} of
 * @param {number} count
 * @param {number} difference
 * @param {number} share
 */
function insert(off, of, count, difference, share) {
  let at = count;
  for (; at > 0 && off[at - 1] > difference; at -= 1) {
    off[at] = off[at - 1];
    of[at] = of[at - 1];
  }
  off[at] = difference;
  of[at] = share;
}

/**
 * The mean difference of the nearest colours that fill a part of a piece.
 * @param {Float64Array} off the difference of each of its colours, least first
 * @param {Float64Array} of the share that each is of
 * @param {number} count
 * @param {number} part
 */
function nearest(off, of, count, part) {
  let left = part;
  let sum = 0;
  for (let i = 0; i < count && left > 0; i += 1) {
    const taken = Math.min(left, of[i]);
    sum += taken * off[i];
    left -= taken;
  }
  return sum / (part - left);
}

/**
 * The pieces found, the nearest in colour first.
 * @param {import("./index.js").Found[]} found in the order that counts among the equally near
 * @param {Map<Chunk, Float32Array>} off
 * @returns {import("./index.js").Found[]}
 */
export function byColour(found, off) {
  return found
    .map((piece) => ({ piece, far: /** @type {Float32Array} */ (off.get(piece.chunk))[piece.row] }))
    .sort((a, b) => a.far - b.far)
    .map(({ piece }) => piece);
}
