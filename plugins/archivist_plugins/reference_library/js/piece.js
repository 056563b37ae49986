// The page of a piece: one photograph at a time on the stage, the others beside it, and deep zoom.

import { chooser, chosenPieces, comparing } from "./basket.js";
import { cardOf, collection } from "./collection.js";
import { altOf, button, byId, counted, element, isTyping, pictureAddress, received, root, sourceSet } from "./page.js";
import { openViewer, viewerKey } from "./viewer.js";

/** @type {import("./page.js").PictureData[]} */
let photographs = [];
let current = 0;
/** @type {import("./viewer.js").Viewer | null} */
let zooming = null;

/** Makes the page answer. */
export function startPiece() {
  const article = /** @type {HTMLElement} */ (document.querySelector("[data-id]"));
  const id = article.dataset.id || "";
  const piece = received.pieces.get(id);
  photographs = piece?.pictures || [];
  offerChoosing(id, piece ? piece.title : "");
  nameRelations();
  if (photographs.length === 0) {
    return;
  }
  document.body.classList.add("staged");
  byId("stage").hidden = false;
  document.querySelectorAll("#views [data-picture]").forEach((link) => {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      showPhotograph(Number(/** @type {HTMLElement} */ (link).dataset.picture));
    });
  });
  document.addEventListener("keydown", onKey);
  window.addEventListener("hashchange", fromAddress);
  showTools();
  fromAddress();
}

/** Shows the photograph that the address names ('#photograph-3'), else the first. */
function fromAddress() {
  const named = /^#photograph-(\d+)$/.exec(location.hash);
  const wanted = named ? Number(named[1]) - 1 : 0;
  showPhotograph(wanted < photographs.length ? wanted : 0, false);
}

/**
 * @param {number} place
 * @param {boolean} [remember]
 */
function showPhotograph(place, remember = true) {
  const again = zooming !== null;
  stopZooming();
  current = place;
  const picture = photographs[place];
  const middle = picture.sizes[Math.max(0, picture.sizes.length - 2)];
  const image = element("img", {
    src: pictureAddress(picture.base, middle),
    srcset: sourceSet(picture),
    sizes: "(max-width: 64rem) 100vw, 62vw",
    width: picture.width,
    height: picture.height,
    alt: altOf(picture),
  });
  const frame = element("div", { class: "stage-frame" }, image);
  if (picture.region) {
    frame.append(regionDrawing(picture));
  }
  image.addEventListener("click", () => void zoom());
  byId("stage-picture").replaceChildren(frame);
  const words = [`${place + 1} of ${photographs.length}`, altOf(picture), ...(picture.notes || [])];
  byId("stage-words").textContent = words.join(" · ");
  document.querySelectorAll("#views [data-picture]").forEach((link, number) => {
    if (number === place) {
      link.setAttribute("aria-current", "true");
    } else {
      link.removeAttribute("aria-current");
    }
  });
  if (remember) {
    try {
      history.replaceState(null, "", `#photograph-${place + 1}`);
    } catch {
      // Where an address may not be rewritten the photograph is shown all the same.
    }
  }
  if (again) {
    void zoom();
  }
}

/** @param {import("./page.js").PictureData} picture */
function regionDrawing(picture) {
  const drawing = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  drawing.setAttribute("viewBox", `0 0 ${picture.width} ${picture.height}`);
  drawing.setAttribute("class", "region");
  const frame = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  ["x", "y", "width", "height"].forEach((name, i) => frame.setAttribute(name, String((picture.region || [])[i])));
  drawing.append(frame);
  return drawing;
}

/** The buttons of the stage, those that mean something now. */
function showTools() {
  const many = photographs.length > 1;
  const full = byId("stage").classList.contains("full");
  const deep = photographs[current].zoom;
  const tools = zooming
    ? [
        button("−", () => useKey("-"), { "aria-label": "Zoom out" }),
        button("+", () => useKey("+"), { "aria-label": "Zoom in" }),
        button("Whole picture", () => useKey("0")),
        button(full ? "Leave full window" : "Full window", () => void fillWindow(!full), { "aria-pressed": String(full) }),
        button("Close", () => closeZoom()),
      ]
    : [
        button(deep ? "Look closer" : "Enlarge", () => void zoom(), { class: "strong" }),
        button("Full window", () => void fillWindow(true)),
      ];
  if (many) {
    tools.unshift(
      button("‹", () => step(-1), { "aria-label": "Photograph before" }),
      button("›", () => step(1), { "aria-label": "Photograph after" }),
    );
  }
  const before = document.activeElement instanceof HTMLElement && byId("stage-tools").contains(document.activeElement)
    ? document.activeElement.getAttribute("aria-label") || document.activeElement.textContent
    : null;
  byId("stage-tools").replaceChildren(...tools);
  if (before !== null) {
    const same = tools.find((tool) => (tool.getAttribute("aria-label") || tool.textContent) === before);
    (same || tools[tools.length - 1]).focus();
  }
}

/** @param {number} by */
function step(by) {
  showPhotograph((current + by + photographs.length) % photographs.length);
  showTools();
}

/** Opens the picture that is shown for looking closer. */
async function zoom() {
  if (zooming) {
    return;
  }
  const place = byId("stage-picture");
  const holder = element("div", { class: "stage-zoom", tabindex: "0", role: "application", "aria-label": `Zoom of ${altOf(photographs[current])}: plus and minus zoom, arrow keys move, 0 shows all` });
  const wanted = current;
  place.style.setProperty("height", `${Math.max(place.getBoundingClientRect().height, 240)}px`);
  place.replaceChildren(holder);
  const opened = await openViewer(holder, photographs[current], byId("stage").classList.contains("full"));
  if (wanted !== current || !holder.isConnected) {
    opened.destroy();
    return;
  }
  zooming = opened;
  showTools();
  holder.focus({ preventScroll: true });
}

function stopZooming() {
  if (zooming) {
    zooming.destroy();
    zooming = null;
  }
  byId("stage-picture").style.removeProperty("height");
}

function closeZoom() {
  byId("stage").classList.remove("full");
  document.body.classList.remove("filled");
  stopZooming();
  showPhotograph(current, false);
  showTools();
}

/** @param {boolean} full */
async function fillWindow(full) {
  byId("stage").classList.toggle("full", full);
  document.body.classList.toggle("filled", full);
  stopZooming();
  showPhotograph(current, false);
  await zoom();
}

/** @param {string} key */
function useKey(key) {
  return zooming !== null && viewerKey(zooming, key);
}

/** @param {KeyboardEvent} event */
function onKey(event) {
  if (isTyping(event.target) || event.ctrlKey || event.metaKey || event.altKey) {
    return;
  }
  const arrows = event.key.startsWith("Arrow");
  const within = event.target instanceof Node && byId("stage").contains(event.target);
  if (event.key === "Escape" && zooming) {
    closeZoom();
  } else if (event.key === "," || event.key === ".") {
    step(event.key === "." ? 1 : -1);
  } else if ((event.key === "+" || event.key === "=") && !zooming) {
    void zoom();
  } else if ((!arrows || within) && useKey(event.key)) {
    event.preventDefault();
  }
}

/**
 * @param {string} id
 * @param {string} title
 */
function offerChoosing(id, title) {
  const place = byId("piece-tools");
  const made = chooser(id, title, () => tellChosen());
  made.removeAttribute("class");
  made.textContent = "Choose to compare";
  const link = element("a", { id: "chosen-link" });
  place.replaceChildren(made, link);
  place.hidden = false;
  tellChosen();
}

/** Leads to the comparison of what is chosen, where anything is. */
function tellChosen() {
  const ids = chosenPieces();
  const link = byId("chosen-link");
  link.hidden = ids.length === 0;
  link.textContent = `Compare ${counted(ids.length, "chosen piece")}`;
  link.setAttribute("href", comparing(ids, photographs[current]?.view || "overall"));
}

/** Says the titles of pieces that this one belongs with, where they are in this edition. */
function nameRelations() {
  const places = [...document.querySelectorAll("[data-piece]")];
  if (places.length === 0) {
    return;
  }
  void collection().then(({ chunks }) => {
    for (const place of places) {
      const wanted = /** @type {HTMLElement} */ (place).dataset.piece || "";
      for (const chunk of chunks) {
        const row = chunk.data.ids.indexOf(wanted);
        if (row >= 0) {
          const { id, title, number } = cardOf({ chunk, row });
          const words = [title, number].filter(Boolean).join(", ");
          place.querySelector(".identifier")?.replaceWith(element("a", { href: `${root()}pieces/${id}/index.html` }, words));
        }
      }
    }
  });
}
