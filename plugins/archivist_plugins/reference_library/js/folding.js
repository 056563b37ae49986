// Words as they are searched; `folding.py` does the same to what stands in the records.

/** @type {Record<string, string>} */
const ALIKE = {
  ß: "ss", æ: "ae", œ: "oe", ø: "o", đ: "d", ł: "l", ı: "i", þ: "th", ð: "d",
};
const APOSTROPHES = /['’‘ʻʼʿʾ\u0060´]/g;
const IDEOGRAPHS = /([\u3005\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff\u{20000}-\u{323af}]+)/u;

/**
 * Text in lower case without marks, its words parted by single spaces.
 * @param {string} text
 * @returns {string}
 */
export function fold(text) {
  const plain = text.replace(APOSTROPHES, "").normalize("NFKD").toLowerCase().replace(/\p{M}/gu, "");
  const letters = Array.from(plain, (c) => ALIKE[c] || (/[\p{L}\p{N}]/u.test(c) ? c : " "));
  return letters.join("").split(/\s+/u).filter(Boolean).join(" ");
}

/**
 * The words of a text, in order; of writing without spaces each pair of neighbours.
 * @param {string} text
 * @returns {string[]}
 */
export function tokens(text) {
  /** @type {string[]} */
  const found = [];
  for (const word of fold(text).split(" ")) {
    word.split(IDEOGRAPHS).forEach((part, place) => {
      if (place % 2 === 1) {
        found.push(...pairs(Array.from(part)));
      } else if (part) {
        found.push(part);
      }
    });
  }
  return found;
}

/**
 * @param {string[]} characters
 * @returns {string[]}
 */
function pairs(characters) {
  if (characters.length === 1) {
    return characters;
  }
  return characters.slice(0, -1).map((character, i) => character + characters[i + 1]);
}
