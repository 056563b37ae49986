// The order in which pieces are shown, worked out once for all of them.

/** @typedef {import("./index.js").Chunk} Chunk */
/** @typedef {import("./index.js").Found} Found */

/** @type {Record<string, (a: Found, b: Found) => number>} */
const ORDERS = {
  date: (a, b) => begins(a) - begins(b) || ends(a) - ends(b) || byNumber(a, b),
  latest: (a, b) => Number(undated(a)) - Number(undated(b)) || begins(b) - begins(a) || ends(b) - ends(a) || byNumber(a, b),
  number: (a, b) => byNumber(a, b),
  title: (a, b) => compareText(a.chunk.data.titles[a.row], b.chunk.data.titles[b.row]) || byNumber(a, b),
};

/**
 * Works out the place of every piece in an order, once.
 * @param {Chunk[]} chunks
 * @param {string} order
 */
export function rank(chunks, order) {
  if (chunks.every((chunk) => chunk.ranks.has(order))) {
    return;
  }
  const all = chunks.flatMap((chunk) => chunk.data.ids.map((_, row) => ({ chunk, row })));
  chunks.forEach((chunk) => chunk.ranks.set(order, new Int32Array(chunk.data.ids.length)));
  all.sort(ORDERS[order]).forEach(({ chunk, row }, place) => {
    const ranks = chunk.ranks.get(order);
    if (ranks) {
      ranks[row] = place;
    }
  });
}

/**
 * The pieces found, in the order asked for, by date where it is none of these; what has no date
 * stands last.
 * @param {Chunk[]} chunks all there are
 * @param {Found[]} found
 * @param {string} wanted
 * @returns {Found[]}
 */
export function sorted(chunks, found, wanted) {
  const order = wanted in ORDERS ? wanted : "date";
  rank(chunks, order);
  /** @type {Found[]} */
  const places = new Array(chunks.reduce((sum, chunk) => sum + chunk.data.ids.length, 0));
  for (const piece of found) {
    places[/** @type {Int32Array} */ (piece.chunk.ranks.get(order))[piece.row]] = piece;
  }
  return places.filter(Boolean);
}

const COLLATOR = new Intl.Collator("en", { numeric: true });

/** @param {string} a @param {string} b */
function compareText(a, b) {
  return COLLATOR.compare(a, b);
}

/** @param {Found} a @param {Found} b */
function byNumber(a, b) {
  return (
    compareText(a.chunk.data.numbers[a.row], b.chunk.data.numbers[b.row]) ||
    (a.chunk.data.ids[a.row] < b.chunk.data.ids[b.row] ? -1 : 1)
  );
}

/** @param {Found} piece */
function begins(piece) {
  const { earliest, latest } = piece.chunk.data;
  return earliest[piece.row] ?? latest[piece.row] ?? Number.MAX_SAFE_INTEGER;
}

/** @param {Found} piece */
function ends(piece) {
  const { earliest, latest } = piece.chunk.data;
  return latest[piece.row] ?? earliest[piece.row] ?? Number.MAX_SAFE_INTEGER;
}

/** @param {Found} piece */
function undated(piece) {
  return piece.chunk.data.earliest[piece.row] === null && piece.chunk.data.latest[piece.row] === null;
}
