// The comparison: one view of many pieces side by side, in date order, zoomed together.

import { cardOf, collection } from "./collection.js";
import { search, sorted } from "./index.js";
import { altOf, byId, counted, element, field, isTyping, load, pictureAddress, received, root, unreadable, viewName } from "./page.js";
import { narrows, readQuery, shownYear, writeQuery } from "./query.js";

const ONE_STEP = 24;
const MOST_ZOOM = 16;
const ZOOM_STEP = 1.5;

/** @type {import("./query.js").Query} */
let comparison = readQuery("");
let sameScale = false;
/** @type {import("./index.js").Found[]} */
let compared = [];
let laidOut = 0;
/** All pictures are seen through one window: so much larger, with this point (0 to 1) in the middle. */
const through = { zoom: 1, x: 0.5, y: 0.5 };
/** @type {Set<Figure>} */
const figures = new Set();

/**
 * @typedef {object} Figure
 * @property {HTMLElement} place
 * @property {HTMLElement} frame
 * @property {HTMLImageElement} image
 * @property {import("./page.js").PictureData} picture
 * @property {boolean} near whether it is in or near the part of the page that is seen
 */

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
  byId("zoom-in").addEventListener("click", () => zoomTo(through.zoom * ZOOM_STEP));
  byId("zoom-out").addEventListener("click", () => zoomTo(through.zoom / ZOOM_STEP));
  byId("zoom-home").addEventListener("click", () => zoomHome());
  byId("print").addEventListener("click", () => window.print());
  byId("more").addEventListener("click", () => void layOut());
  window.addEventListener("hashchange", () => void fromHash());
  window.addEventListener("resize", () => arrange());
  document.addEventListener("keydown", onCompareKey);
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
  byId("compare-title").textContent = titleOf();
  byId("result").textContent = toldCompared(all.length);
  byId("compare-address").textContent = location.protocol === "file:" ? `compare.html${location.hash}` : location.href;
  byId("sheet").replaceChildren();
  byId("scale-note").hidden = !sameScale;
  figures.clear();
  watcher?.disconnect();
  laidOut = 0;
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

function titleOf() {
  const parts = [comparison.words.trim(), ...[...comparison.facets.values()].flat()].filter(Boolean);
  if (comparison.from !== null || comparison.to !== null) {
    parts.push(`${shownYear(comparison.from)}–${shownYear(comparison.to)}`);
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
  const view = comparison.view;
  const cards = next.map(cardOf);
  await Promise.all(cards.map(({ id }) => load(`pieces/${id}/piece.js`).catch(() => undefined)));
  if (view !== comparison.view) {
    return;
  }
  laidOut += next.length;
  for (const card of cards) {
    const pictures = received.pieces.get(card.id)?.pictures || [];
    const of = pictures.filter((picture) => picture.view === view);
    of.forEach((picture, number) => byId("sheet").append(figureOf(card, picture, number, of.length)));
  }
  byId("more").hidden = laidOut >= compared.length;
  arrange();
}

/**
 * @param {import("./collection.js").Card} card
 * @param {import("./page.js").PictureData} picture
 * @param {number} number
 * @param {number} many
 */
function figureOf(card, picture, number, many) {
  const small = picture.sizes.find(([width]) => width >= 400) || picture.sizes[picture.sizes.length - 1];
  const image = /** @type {HTMLImageElement} */ (element("img", {
    src: pictureAddress(picture.base, small), width: picture.width, height: picture.height,
    alt: `${altOf(picture)}, of ${card.title}`, loading: "lazy", decoding: "async", draggable: "false",
  }));
  const frame = element("div", { class: "figure-frame" }, image);
  const caption = element("p", { class: "figure-words" },
    element("a", { href: `${root()}pieces/${card.id}/index.html` }, card.title),
    element("span", {}, [card.date || "no date", card.number, many > 1 ? `${number + 1} of ${many}` : ""].filter(Boolean).join(" · ")),
    element("span", { class: "figure-scale" }, ""),
  );
  const place = element("li", { class: "figure", "data-id": card.id }, frame, caption);
  if (narrows(comparison) && comparison.pieces.some((begin) => card.id.startsWith(begin))) {
    place.classList.add("figure-own");
    caption.prepend(element("span", { class: "figure-chosen" }, "chosen"));
  }
  /** @type {Figure} */
  const figure = { place, frame, image, picture, near: false };
  figures.add(figure);
  watch(figure);
  move(figure);
  return place;
}

/** @type {IntersectionObserver | null} */
const watcher = "IntersectionObserver" in window
  ? new IntersectionObserver((seen) => {
      for (const entry of seen) {
        for (const figure of figures) {
          if (figure.place === entry.target) {
            figure.near = entry.isIntersecting;
            sharpen(figure);
          }
        }
      }
    }, { rootMargin: "200px" })
  : null;

/** @param {Figure} figure */
function watch(figure) {
  if (watcher) {
    watcher.observe(figure.place);
  } else {
    figure.near = true;
  }
}

/**
 * Lays every picture into its frame: each as large as it fits, or all at one scale, the largest
 * piece filling its frame.
 */
function arrange() {
  const scales = [...figures].map((figure) => figure.picture.scale?.millimetres || 0);
  const fits = [...figures].map((figure) => fitting(figure));
  let dots = Infinity;
  if (sameScale) {
    scales.forEach((worth, i) => {
      dots = worth > 0 ? Math.min(dots, fits[i] / worth) : dots;
    });
  }
  [...figures].forEach((figure, i) => {
    const scaled = sameScale && scales[i] > 0;
    const factor = scaled ? dots * scales[i] : fits[i];
    figure.frame.style.setProperty("--width", `${figure.picture.width * factor}px`);
    figure.frame.style.setProperty("--height", `${figure.picture.height * factor}px`);
    const words = figure.place.querySelector(".figure-scale");
    if (words) {
      words.textContent = sameScale ? (scaled ? `scale by ${figure.picture.scale?.by}` : "not to scale") : "";
    }
  });
  showWindow();
}

/**
 * Dots of the page a pixel of the picture takes where it just fits its frame.
 * @param {Figure} figure
 */
function fitting(figure) {
  const { clientWidth, clientHeight } = figure.frame;
  return Math.min(clientWidth / figure.picture.width, clientHeight / figure.picture.height) || 0.01;
}

/** Shows all pictures through the one window. */
function showWindow() {
  byId("zoom-now").textContent = `${Math.round(through.zoom * 10) / 10}×`;
  const sheet = byId("sheet");
  sheet.style.setProperty("--zoom", String(through.zoom));
  sheet.style.setProperty("--x", String(0.5 - through.x));
  sheet.style.setProperty("--y", String(0.5 - through.y));
  sheet.classList.toggle("zoomed", through.zoom > 1);
  figures.forEach(sharpen);
}

/**
 * Loads the size that the zoom needs, of pictures that are seen.
 * @param {Figure} figure
 */
function sharpen(figure) {
  const { image, picture } = figure;
  if (!figure.near) {
    return;
  }
  const needed = parseFloat(getComputedStyle(figure.frame).getPropertyValue("--width")) * through.zoom * window.devicePixelRatio;
  const sizes = picture.sizes;
  const last = sizes[sizes.length - 1];
  const size = sizes.find(([width]) => width >= needed);
  const whole = `${root()}${picture.base}/full/max/0/default.jpg`;
  const address = size ? pictureAddress(picture.base, size) : picture.zoom ? whole : pictureAddress(picture.base, last);
  const has = Number(image.dataset.width || 0);
  const gives = size ? size[0] : picture.width;
  if (gives > has) {
    image.dataset.width = String(gives);
    image.src = address;
  }
}

/** @param {number} zoom */
function zoomTo(zoom) {
  through.zoom = Math.min(MOST_ZOOM, Math.max(1, zoom < 1.05 ? 1 : zoom));
  if (through.zoom === 1) {
    through.x = 0.5;
    through.y = 0.5;
  }
  showWindow();
}

function zoomHome() {
  zoomTo(1);
}

/**
 * Moves all pictures by a part of their size.
 * @param {number} x
 * @param {number} y
 */
function moveBy(x, y) {
  const clamp = (/** @type {number} */ n) => Math.min(1, Math.max(0, n));
  through.x = clamp(through.x + x);
  through.y = clamp(through.y + y);
  showWindow();
}

/**
 * Dragging one picture moves all.
 * @param {Figure} figure
 */
function move(figure) {
  const { frame } = figure;
  frame.addEventListener("pointerdown", (event) => {
    if (through.zoom > 1 && event.button === 0) {
      frame.setPointerCapture(event.pointerId);
      event.preventDefault();
    }
  });
  frame.addEventListener("pointermove", (event) => {
    if (frame.hasPointerCapture(event.pointerId)) {
      const box = figure.image.getBoundingClientRect();
      moveBy(-event.movementX / box.width, -event.movementY / box.height);
    }
  });
  frame.addEventListener("dblclick", (event) => {
    const box = figure.image.getBoundingClientRect();
    through.x = (event.clientX - box.left) / box.width;
    through.y = (event.clientY - box.top) / box.height;
    zoomTo(through.zoom * ZOOM_STEP * ZOOM_STEP);
  });
  frame.addEventListener("wheel", (event) => {
    if (event.ctrlKey || through.zoom > 1) {
      event.preventDefault();
      zoomTo(through.zoom * (event.deltaY < 0 ? 1.15 : 1 / 1.15));
    }
  }, { passive: false });
}

/** @param {KeyboardEvent} event */
function onCompareKey(event) {
  if (isTyping(event.target) || event.ctrlKey || event.metaKey || event.altKey) {
    return;
  }
  const step = 0.15 / through.zoom;
  /** @type {Record<string, () => void>} */
  const keys = {
    "+": () => zoomTo(through.zoom * ZOOM_STEP), "=": () => zoomTo(through.zoom * ZOOM_STEP),
    "-": () => zoomTo(through.zoom / ZOOM_STEP), 0: zoomHome,
  };
  if (through.zoom > 1) {
    Object.assign(keys, {
      ArrowLeft: () => moveBy(-step, 0), ArrowRight: () => moveBy(step, 0),
      ArrowUp: () => moveBy(0, -step), ArrowDown: () => moveBy(0, step),
    });
  }
  const act = keys[event.key];
  if (act) {
    event.preventDefault();
    act();
  }
}
