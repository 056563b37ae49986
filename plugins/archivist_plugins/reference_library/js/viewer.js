// Deep zoom: OpenSeadragon over one picture, with its tiles or its sizes as they lie there.

import { load, pictureAddress, root } from "./page.js";

/**
 * What is used of OpenSeadragon's viewer.
 * @typedef {object} Viewer
 * @property {{zoomBy(factor: number): void, goHome(): void, applyConstraints(): void, panBy(delta: object): void, fitBounds(bounds: object, now?: boolean): void, getZoom(): number, getHomeZoom(): number, deltaPointsFromPixels(delta: object): object, imageToViewportRectangle(x: number, y: number, w: number, h: number): object}} viewport
 * @property {(name: string, handler: (event: any) => void) => void} addHandler
 * @property {(name: string, handler: (event: any) => void) => void} addOnceHandler
 * @property {(overlay: object) => void} addOverlay
 * @property {(allowed: boolean) => void} setMouseNavEnabled
 * @property {{scrollToZoom: boolean}} gestureSettingsMouse
 * @property {HTMLElement} canvas
 * @property {() => void} destroy
 */

const SCRIPT = "openseadragon/openseadragon.min.js";

/**
 * The source of a picture: its IIIF image service inline, or its largest size where there is none.
 * @param {import("./page.js").PictureData} picture
 * @returns {object}
 */
export function tileSource(picture) {
  if (!picture.zoom) {
    return { type: "image", url: pictureAddress(picture.base, picture.sizes[picture.sizes.length - 1]) };
  }
  return {
    "@context": "http://iiif.io/api/image/3/context.json",
    id: root() + picture.base,
    type: "ImageService3",
    protocol: "http://iiif.io/api/image",
    profile: "level0",
    width: picture.width,
    height: picture.height,
    sizes: picture.sizes.map(([width, height]) => ({ width, height })),
    ...(picture.tiles && picture.tiles.length ? { tiles: picture.tiles } : {}),
  };
}

/**
 * Opens a picture in a place, once OpenSeadragon is loaded.
 * @param {HTMLElement} place
 * @param {import("./page.js").PictureData} picture
 * @param {boolean} scrolling whether the wheel zooms
 * @returns {Promise<Viewer>}
 */
export async function openViewer(place, picture, scrolling) {
  keepStyleOut();
  await load(SCRIPT);
  const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  /** @type {any} */
  const library = window;
  /** @type {Viewer} */
  const viewer = library.OpenSeadragon({
    element: place,
    drawer: "canvas",
    crossOriginPolicy: false,
    tileSources: [tileSource(picture)],
    showNavigationControl: false,
    animationTime: still ? 0 : 0.5,
    visibilityRatio: 0.6,
    minZoomImageRatio: 0.9,
    maxZoomPixelRatio: 4,
    gestureSettingsMouse: { scrollToZoom: scrolling, clickToZoom: true, dblClickToZoom: true },
    keyboardNavEnabled: false,
  });
  viewer.addOnceHandler("open", () => {
    viewer.canvas.setAttribute("tabindex", "-1");
    if (picture.region) {
      const [x, y, width, height] = picture.region;
      const bounds = viewer.viewport.imageToViewportRectangle(x, y, width, height);
      const frame = document.createElement("div");
      frame.className = "region-frame";
      viewer.addOverlay({ element: frame, location: bounds });
      viewer.viewport.fitBounds(bounds, true);
    }
  });
  return viewer;
}

/**
 * OpenSeadragon adds a style element for a look that is not used here, unless it finds one of its
 * own. The page's policy forbids any; so it finds an element of that name that is none of HTML's.
 */
function keepStyleOut() {
  if (!document.querySelector("style[data-openseadragon-mobile-css]")) {
    const nothing = document.createElementNS("urn:nothing", "style");
    nothing.setAttribute("data-openseadragon-mobile-css", "");
    document.head.append(nothing);
  }
}

/** @type {Record<string, [number, number]>} */
const ARROWS = { ArrowLeft: [-60, 0], ArrowRight: [60, 0], ArrowUp: [0, -60], ArrowDown: [0, 60] };

/**
 * Moves or zooms by a key.
 * @param {Viewer} viewer
 * @param {string} key
 * @returns {boolean} whether the key meant something
 */
export function viewerKey(viewer, key) {
  const arrow = ARROWS[key];
  if (arrow) {
    /** @type {any} */
    const library = window;
    viewer.viewport.panBy(viewer.viewport.deltaPointsFromPixels(new library.OpenSeadragon.Point(...arrow)));
  } else if (key === "+" || key === "=") {
    viewer.viewport.zoomBy(1.5);
  } else if (key === "-" || key === "_") {
    viewer.viewport.zoomBy(1 / 1.5);
  } else if (key === "0") {
    viewer.viewport.goHome();
  } else {
    return false;
  }
  viewer.viewport.applyConstraints();
  return true;
}
