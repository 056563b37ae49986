// Small things that every page needs: elements, and data loaded the way a page on a disk can.

/**
 * @typedef {object} PictureData
 * @property {string} base
 * @property {string} view
 * @property {string} label
 * @property {number} width
 * @property {number} height
 * @property {[number, number][]} sizes
 * @property {string[]} [notes]
 * @property {[number, number, number, number]} [region]
 * @property {boolean} [zoom]
 * @property {{width: number, height?: number, scaleFactors: number[]}[]} [tiles]
 * @property {{millimetres: number, by: string}} [scale]
 */

/**
 * @typedef {object} PieceData
 * @property {string} id
 * @property {string} title
 * @property {string} [number]
 * @property {string} [date]
 * @property {PictureData[]} [pictures]
 * @property {string} [holder] who holds the date
 * @property {string[]} [marks] what each mark claims, and how that stands to the date
 */

/**
 * @typedef {object} Received
 * @property {Map<string, import("./index.js").ChunkData>} chunks
 * @property {Map<string, PieceData>} pieces
 * @property {Record<string, string[]>} names
 * @property {[string, [string, string][]][]} tiles rows of colours: their name, sRGB and name of each
 */

/** @type {Received} */
export const received = { chunks: new Map(), pieces: new Map(), names: {}, tiles: [] };

/** Lets scripts of data give what they hold: `library.chunk`, `library.names` and so on. */
export function receive() {
  Object.assign(window, {
    library: {
      /** @param {string} digit @param {import("./index.js").ChunkData} data */
      chunk: (digit, data) => received.chunks.set(digit, data),
      /** @param {Record<string, string[]>} names */
      names: (names) => Object.assign(received.names, names),
      /** @param {[string, [string, string][]][]} tiles */
      tiles: (tiles) => received.tiles.push(...tiles),
      /** @param {PieceData} piece */
      piece: (piece) => received.pieces.set(piece.id, piece),
    },
  });
}

/**
 * The way from this page to the library's root.
 * @returns {string}
 */
export function root() {
  return document.body.dataset.root || "";
}

/** @type {Map<string, Promise<void>>} */
const loads = new Map();

/**
 * Loads a classic script once; modules and fetch are refused on pages opened from a disk.
 * @param {string} path from the library's root
 * @returns {Promise<void>}
 */
export function load(path) {
  const known = loads.get(path);
  if (known) {
    return known;
  }
  /** @type {Promise<void>} */
  const loading = new Promise((done, failed) => {
    const script = document.createElement("script");
    script.src = root() + path;
    script.onload = () => done();
    script.onerror = () => failed(new Error(`${path} could not be read`));
    document.head.append(script);
  });
  loads.set(path, loading);
  return loading;
}

/**
 * The element of that id.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) {
    throw new Error(`the page has no '${id}'`);
  }
  return found;
}

/**
 * The field of that id.
 * @param {string} id
 * @returns {HTMLInputElement}
 */
export function field(id) {
  return /** @type {HTMLInputElement} */ (byId(id));
}

/**
 * An element with attributes and content. Text is always text and never markup.
 * @param {string} name
 * @param {Record<string, string | boolean | number>} [attributes]
 * @param {...(Node | string)} content
 * @returns {HTMLElement}
 */
export function element(name, attributes = {}, ...content) {
  const made = document.createElement(name);
  for (const [attribute, value] of Object.entries(attributes)) {
    if (value !== false) {
      made.setAttribute(attribute, value === true ? "" : String(value));
    }
  }
  made.append(...content);
  return made;
}

/**
 * A button that does something.
 * @param {string} words
 * @param {() => void} act
 * @param {Record<string, string | boolean | number>} [attributes]
 * @returns {HTMLButtonElement}
 */
export function button(words, act, attributes = {}) {
  const made = /** @type {HTMLButtonElement} */ (element("button", { type: "button", ...attributes }, words));
  made.addEventListener("click", act);
  return made;
}

/**
 * Where the picture of one size lies.
 * @param {string} base
 * @param {[number, number]} size
 * @returns {string}
 */
export function pictureAddress(base, [width, height]) {
  return `${root()}${base}/full/${width},${height}/0/default.jpg`;
}

/**
 * All sizes of a picture, as `srcset` takes them.
 * @param {{base: string, sizes: [number, number][]}} picture
 * @returns {string}
 */
export function sourceSet(picture) {
  return picture.sizes.map((size) => `${pictureAddress(picture.base, size)} ${size[0]}w`).join(", ");
}

/**
 * 'piece' or 'pieces', with the number.
 * @param {number} number
 * @param {string} word
 * @returns {string}
 */
export function counted(number, word) {
  return `${number.toLocaleString("en")} ${word}${number === 1 ? "" : "s"}`;
}

/** Whether a key pressed there is meant for typing. @param {EventTarget | null} target */
export function isTyping(target) {
  return target instanceof HTMLElement && target.matches("input:not([type=checkbox]), select, textarea");
}

/**
 * A view as readers see it.
 * @param {string} view
 * @returns {string}
 */
export function viewName(view) {
  return view === "unknown" ? "view not named" : view;
}

/**
 * What a picture shows, for whoever cannot see it.
 * @param {PictureData} picture
 * @returns {string}
 */
export function altOf(picture) {
  return picture.label === picture.view ? viewName(picture.view) : `${viewName(picture.view)}: ${picture.label}`;
}

/**
 * What to tell where a file of the library is missing.
 * @param {Error} problem
 * @returns {string}
 */
export function unreadable(problem) {
  return `${problem.message}. Copy the whole folder of the library again; nothing else is wrong.`;
}
