// The search index: reads what `index.py` wrote, and answers queries over it.

import { NEARNESS, asksColour, differences, readColours } from "./colours.js";
import { tokens } from "./folding.js";

/**
 * What one script of the index holds: its pieces as columns.
 * @typedef {object} ChunkData
 * @property {string[]} ids
 * @property {string[]} titles
 * @property {string[]} numbers
 * @property {string[]} dates
 * @property {(number | null)[]} earliest
 * @property {(number | null)[]} latest
 * @property {([number, number] | null)[]} heights
 * @property {([number, number] | null)[]} across
 * @property {string[]} pictures
 * @property {string} colours
 * @property {string} words
 * @property {string} rows
 * @property {Record<string, Record<string, string>>} facets
 */

/**
 * @typedef {object} Chunk
 * @property {ChunkData} data
 * @property {string[]} words
 * @property {string[]} rows
 * @property {Map<string, Map<string, number[]>>} facets
 * @property {import("./colours.js").Colours} colours
 * @property {Map<string, Int32Array>} ranks the place of each row among all pieces, in each order
 */

/** @typedef {{chunk: Chunk, row: number}} Found one piece: its chunk, and its row there */

/**
 * @typedef {object} Answer
 * @property {Found[]} found
 * @property {number} certain of those found, how many lie certainly within the years asked for
 * @property {number} dateless left out only because they have no date
 * @property {number} colourless left out because no glaze colour of theirs is known
 * @property {Map<string, Map<string, number>>} counts for each facet and value, how many there would be
 */

/** @typedef {{signs: string[], words: string[]}} Need */

const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
const WORTH = new Uint8Array(128);
Array.from(DIGITS).forEach((digit, worth) => {
  WORTH[digit.charCodeAt(0)] = worth;
});
const LEAST_TYPED = 3;

/**
 * Rising numbers out of text.
 * @param {string} text
 * @returns {number[]}
 */
export function readRows(text) {
  /** @type {number[]} */
  const numbers = [];
  let last = -1;
  let distance = 0;
  for (let i = 0; i < text.length; i += 1) {
    const digit = WORTH[text.charCodeAt(i)];
    distance = (distance << 5) | (digit & 31);
    if (digit < 32) {
      last += distance + 1;
      numbers.push(last);
      distance = 0;
    }
  }
  return numbers;
}

/**
 * @param {ChunkData} data
 * @returns {Chunk}
 */
export function openChunk(data) {
  const facets = new Map(
    Object.entries(data.facets).map(([name, values]) => [
      name,
      new Map(Object.entries(values).map(([value, rows]) => [value, readRows(rows)])),
    ]),
  );
  const colours = readColours(data.colours, data.ids.length, WORTH);
  return { data, words: data.words.split(" "), rows: data.rows.split(" "), facets, colours, ranks: new Map() };
}

/**
 * The names that mean the same, by each name.
 * @param {Record<string, string[]>} groups
 * @returns {Map<string, string[]>}
 */
export function openNames(groups) {
  /** @type {Map<string, string[]>} */
  const signs = new Map();
  for (const [sign, names] of Object.entries(groups)) {
    for (const name of names) {
      signs.set(name, [...(signs.get(name) || []), sign]);
    }
  }
  return signs;
}

/**
 * What must be found for the words typed: each word begun, or a name that means the same.
 * @param {string} text
 * @param {Map<string, string[]>} names
 * @returns {Need[]}
 */
export function needsOf(text, names) {
  const words = tokens(text);
  /** @type {Need[]} */
  const needs = [];
  for (let i = 0; i < words.length; ) {
    const rest = words.slice(i).join(" ");
    const begun = rest.length < LEAST_TYPED ? [] : [...names].filter(([n]) => n.startsWith(rest));
    let length = words.length - i;
    if (begun.length === 0) {
      while (length > 1 && !names.has(words.slice(i, i + length).join(" "))) {
        length -= 1;
      }
    }
    const part = words.slice(i, i + length);
    const signs = begun.length ? begun.flatMap(([, s]) => s) : names.get(part.join(" ")) || [];
    needs.push({ signs: [...new Set(signs)], words: part });
    i += length;
  }
  return needs;
}

/**
 * Marks the rows of all words that begin with `begin`, or of that word alone.
 * @param {Chunk} chunk
 * @param {string} begin
 * @param {boolean} whole
 * @param {Uint8Array} hits
 * @param {number} mark
 */
function markWords(chunk, begin, whole, hits, mark) {
  let low = 0;
  let high = chunk.words.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (chunk.words[middle] < begin) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  for (let i = low; i < chunk.words.length && chunk.words[i].startsWith(begin); i += 1) {
    if (!whole || chunk.words[i] === begin) {
      for (const row of readRows(chunk.rows[i])) {
        hits[row] |= mark;
      }
    }
  }
}

/**
 * For each row 1 where all needs are met.
 * @param {Chunk} chunk
 * @param {Need[]} needs
 * @returns {Uint8Array}
 */
function meeting(chunk, needs) {
  const met = new Uint8Array(chunk.data.ids.length).fill(1);
  for (const need of needs) {
    const named = new Uint8Array(met.length);
    need.signs.forEach((sign) => markWords(chunk, sign, true, named, 1));
    const worded = new Uint8Array(met.length).fill(1);
    for (const word of need.words) {
      const hits = new Uint8Array(met.length);
      markWords(chunk, word, false, hits, 1);
      worded.forEach((_, row) => {
        worded[row] &= hits[row];
      });
    }
    met.forEach((_, row) => {
      met[row] &= named[row] | worded[row];
    });
  }
  return met;
}

/**
 * Whether a span of years may fall within the years asked for, and whether it certainly does.
 * @param {number | null} earliest
 * @param {number | null} latest
 * @param {number | null} from
 * @param {number | null} to
 * @returns {{possibly: boolean, certainly: boolean}}
 */
export function within(earliest, latest, from, to) {
  if (earliest === null && latest === null) {
    return { possibly: false, certainly: false };
  }
  const possibly =
    (to === null || earliest === null || earliest <= to) &&
    (from === null || latest === null || latest >= from);
  const certainly =
    (from === null || (earliest !== null && earliest >= from)) &&
    (to === null || (latest !== null && latest <= to));
  return { possibly, certainly };
}

/**
 * Whether a size may lie in the range asked for.
 * @param {[number, number] | null} size
 * @param {[number | null, number | null]} range
 * @returns {boolean}
 */
function sized(size, [from, to]) {
  if (from === null && to === null) {
    return true;
  }
  return size !== null && (from === null || size[1] >= from) && (to === null || size[0] <= to);
}

/**
 * @param {Chunk[]} chunks
 * @param {Map<string, string[]>} names
 * @param {import("./query.js").Query} query
 * @returns {Answer}
 */
export function search(chunks, names, query) {
  const needs = needsOf(query.words, names);
  const dated = query.from !== null || query.to !== null;
  /** @type {Answer} */
  const answer = { found: [], certain: 0, dateless: 0, colourless: 0, counts: new Map() };
  const off = asksColour(query) ? differences(chunks, query) : null;
  const limit = NEARNESS[query.near];
  for (const chunk of chunks) {
    const { data } = chunk;
    const met = meeting(chunk, needs);
    const failed = failures(chunk, query.facets);
    const far = off?.get(chunk);
    for (let row = 0; row < met.length; row += 1) {
      let fits = met[row] && sized(data.heights[row], query.height) && sized(data.across[row], query.across);
      if (fits && far) {
        answer.colourless += far[row] === Infinity && failed.many[row] === 0 ? 1 : 0;
        fits = far[row] <= limit;
      }
      met[row] = fits ? 1 : 0;
      if (!fits || !dated) {
        continue;
      }
      const years = within(data.earliest[row], data.latest[row], query.from, query.to);
      met[row] = (query.certainly ? years.certainly : years.possibly) ? 1 : 0;
      if (failed.many[row] === 0) {
        answer.certain += years.certainly ? 1 : 0;
        answer.dateless += data.earliest[row] === null && data.latest[row] === null ? 1 : 0;
      }
    }
    met.forEach((fits, row) => {
      if (fits && failed.many[row] === 0) {
        answer.found.push({ chunk, row });
      }
    });
    count(chunk, met, failed, answer.counts);
  }
  return answer;
}

/**
 * How many of the facets asked for a row fails, and the last of them.
 * @typedef {{many: Uint8Array, which: Uint8Array, order: string[]}} Failures
 */

/**
 * @param {Chunk} chunk
 * @param {Map<string, string[]>} asked
 * @returns {Failures}
 */
function failures(chunk, asked) {
  const length = chunk.data.ids.length;
  const many = new Uint8Array(length);
  const which = new Uint8Array(length);
  const order = [...asked.keys()];
  order.forEach((name, place) => {
    const has = new Uint8Array(length);
    for (const value of asked.get(name) || []) {
      for (const row of chunk.facets.get(name)?.get(value) || []) {
        has[row] = 1;
      }
    }
    has.forEach((fits, row) => {
      if (!fits) {
        many[row] += 1;
        which[row] = place;
      }
    });
  });
  return { many, which, order };
}

/**
 * Adds, for each value of each facet, how many pieces there would be with it.
 * @param {Chunk} chunk
 * @param {Uint8Array} met
 * @param {Failures} failed
 * @param {Map<string, Map<string, number>>} counts
 */
function count(chunk, met, failed, counts) {
  for (const [name, values] of chunk.facets) {
    const place = failed.order.indexOf(name);
    const sums = counts.get(name) || new Map();
    counts.set(name, sums);
    for (const [value, rows] of values) {
      let sum = 0;
      for (const row of rows) {
        const others = failed.many[row] === 0 || (failed.many[row] === 1 && failed.which[row] === place);
        sum += met[row] && others ? 1 : 0;
      }
      sums.set(value, (sums.get(value) || 0) + sum);
    }
  }
}
