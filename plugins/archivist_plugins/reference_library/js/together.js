// Many pictures seen through one window: at one scale where it is known, zoomed and moved together.

import { byId, isTyping, pictureAddress, root } from "./page.js";

const MOST_ZOOM = 16;
const ZOOM_STEP = 1.5;

/**
 * @typedef {object} Figure
 * @property {HTMLElement} place
 * @property {HTMLElement} frame
 * @property {HTMLImageElement} image
 * @property {import("./page.js").PictureData} picture
 * @property {number} share its width in widths of its frame
 * @property {boolean} near whether it is in or near the part of the page that is seen
 */

/** So much larger than they fit, with this point (0 to 1) of every picture in the middle. */
const through = { zoom: 1, x: 0.5, y: 0.5 };
/** @type {Set<Figure>} */
const figures = new Set();
let atOneScale = false;

/** Makes the buttons and keys of the comparison work. */
export function startTogether() {
  byId("zoom-in").addEventListener("click", () => zoomTo(through.zoom * ZOOM_STEP));
  byId("zoom-out").addEventListener("click", () => zoomTo(through.zoom / ZOOM_STEP));
  byId("zoom-home").addEventListener("click", () => zoomHome());
  window.addEventListener("resize", () => arrange());
  document.addEventListener("keydown", onCompareKey);
}

/**
 * Lets go of all pictures; those that come will stand at one scale or not.
 * @param {boolean} sameScale
 */
export function forget(sameScale) {
  atOneScale = sameScale;
  figures.clear();
  watcher?.disconnect();
}

/**
 * Takes in a picture.
 * @param {Figure} figure
 */
export function show(figure) {
  figures.add(figure);
  watch(figure);
  move(figure);
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
export function arrange() {
  const scales = [...figures].map((figure) => figure.picture.scale?.millimetres || 0);
  const fits = [...figures].map((figure) => fitting(figure));
  let dots = Infinity;
  if (atOneScale) {
    scales.forEach((worth, i) => {
      dots = worth > 0 ? Math.min(dots, fits[i] / worth) : dots;
    });
  }
  [...figures].forEach((figure, i) => {
    const scaled = atOneScale && scales[i] > 0;
    const factor = scaled ? dots * scales[i] : fits[i];
    // As a share of the frame, so that it holds on paper too, where the frame has another size.
    figure.share = (figure.picture.width * factor) / (figure.frame.clientWidth || 1);
    figure.frame.style.setProperty("--share", String(figure.share));
    const words = figure.place.querySelector(".figure-scale");
    if (words) {
      words.textContent = atOneScale ? (scaled ? `scale by ${figure.picture.scale?.by}` : "not to scale") : "";
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
  const needed = figure.share * figure.frame.clientWidth * through.zoom * window.devicePixelRatio;
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
