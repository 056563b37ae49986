// What is asked for, and how it stands in an address, so that every answer can be sent to somebody.

/**
 * @typedef {object} Query
 * @property {string} words
 * @property {number | null} from first year (astronomical), null where open
 * @property {number | null} to last year
 * @property {boolean} certainly only what lies wholly within these years
 * @property {[number | null, number | null]} height in millimetres
 * @property {[number | null, number | null]} across in millimetres
 * @property {Map<string, string[]>} facets values asked for under the name of each facet
 * @property {string} colour the glaze colour asked for, sRGB in six hexadecimal digits
 * @property {string} glazeOf the UUID, or its beginning, of a piece whose glaze is asked for
 * @property {string} near how near to that: 'close', 'near' or 'loosely'
 * @property {string} order
 * @property {string} view the view to compare
 * @property {string[]} pieces UUIDs, or their beginnings, of pieces that were chosen one by one
 */

const RESERVED = new Set(["words", "made", "certainly", "height", "across", "colour", "glaze-of", "near", "order", "compare", "view", "pieces", "scale", "shown"]);

/** @returns {Query} */
export function emptyQuery() {
  return {
    words: "", from: null, to: null, certainly: false, height: [null, null], across: [null, null],
    facets: new Map(), colour: "", glazeOf: "", near: "near", order: "date", view: "", pieces: [],
  };
}

/**
 * The query that an address asks for; what it does not understand is left out.
 * @param {string} hash
 * @returns {Query}
 */
export function readQuery(hash) {
  const query = emptyQuery();
  for (const [name, value] of new URLSearchParams(hash.replace(/^#/, ""))) {
    if (name === "words") {
      query.words = value;
    } else if (name === "made") {
      [query.from, query.to] = readRange(value, (n) => Math.trunc(n));
    } else if (name === "certainly") {
      query.certainly = value === "1";
    } else if (name === "height") {
      query.height = readRange(value, (n) => Math.max(0, n));
    } else if (name === "across") {
      query.across = readRange(value, (n) => Math.max(0, n));
    } else if (name === "colour") {
      query.colour = /^[0-9a-f]{6}$/i.test(value) ? value.toLowerCase() : "";
    } else if (name === "glaze-of") {
      query.glazeOf = /^[0-9a-f-]{4,36}$/i.test(value) ? value.toLowerCase() : "";
    } else if (name === "near") {
      query.near = ["close", "loosely"].includes(value) ? value : "near";
    } else if (name === "order") {
      query.order = value;
    } else if (name === "view") {
      query.view = value;
    } else if (name === "pieces") {
      query.pieces = value.toLowerCase().split(",").filter((id) => /^[0-9a-f-]{4,36}$/.test(id));
    } else if (name.startsWith("is-")) {
      const facet = name.slice(3);
      query.facets.set(facet, [...(query.facets.get(facet) || []), value]);
    } else if (!RESERVED.has(name)) {
      continue;
    }
  }
  return query;
}

/**
 * The address of a query, without '#'; '' where nothing is asked for.
 * @param {Query} query
 * @returns {string}
 */
export function writeQuery(query) {
  const told = new URLSearchParams();
  /** @param {string} name @param {string} value */
  const add = (name, value) => {
    if (value) {
      told.append(name, value);
    }
  };
  add("view", query.view);
  add("pieces", query.pieces.join(","));
  add("words", query.words.trim());
  add("made", writeRange([query.from, query.to]));
  add("certainly", query.certainly && (query.from !== null || query.to !== null) ? "1" : "");
  add("height", writeRange(query.height));
  add("across", writeRange(query.across));
  for (const [facet, values] of query.facets) {
    values.forEach((value) => add(`is-${facet}`, value));
  }
  add("colour", query.colour);
  add("glaze-of", query.colour ? "" : query.glazeOf);
  add("near", (query.colour || query.glazeOf) && query.near !== "near" ? query.near : "");
  add("order", query.order === "date" ? "" : query.order);
  return told.toString().replace(/%2C/g, ",").replace(/%2F/g, "/");
}

/**
 * '1875/1908', '../1900' (the intervals of EDTF) as two numbers.
 * @param {string} text
 * @param {(n: number) => number} clean
 * @returns {[number | null, number | null]}
 */
function readRange(text, clean) {
  const [from, to] = text.split("/");
  const end = (/** @type {string | undefined} */ part) => {
    const number = part && part !== ".." ? Number(part) : NaN;
    return Number.isFinite(number) ? clean(number) : null;
  };
  return [end(from), end(to === undefined ? from : to)];
}

/**
 * @param {[number | null, number | null]} range
 * @returns {string}
 */
function writeRange([from, to]) {
  return from === null && to === null ? "" : `${from === null ? ".." : from}/${to === null ? ".." : to}`;
}

/**
 * Whether anything is asked for that leaves pieces out.
 * @param {Query} query
 * @returns {boolean}
 */
export function narrows(query) {
  return Boolean(
    query.words.trim() || query.colour || query.glazeOf || query.from !== null || query.to !== null || query.facets.size ||
      [...query.height, ...query.across].some((end) => end !== null),
  );
}

/**
 * The year as historians count it, without a year 0, as it is typed: -206 is 206 BCE.
 * @param {number} astronomical
 * @returns {number}
 */
export function historicalYear(astronomical) {
  return astronomical > 0 ? astronomical : astronomical - 1;
}

/**
 * The year as ISO 8601 counts it: -206 (206 BCE) becomes -205.
 * @param {number} historical
 * @returns {number}
 */
export function astronomicalYear(historical) {
  return historical < 0 ? historical + 1 : historical;
}

/**
 * A year as readers see it; an open end is an ellipsis.
 * @param {number | null} astronomical
 * @returns {string}
 */
export function shownYear(astronomical) {
  if (astronomical === null) {
    return "…";
  }
  return astronomical > 0 ? String(astronomical) : `${1 - astronomical} BCE`;
}
