// Starts what the page at hand needs.

import { startCompare } from "./compare.js";
import { receive } from "./page.js";
import { startPiece } from "./piece.js";
import { startWall } from "./wall.js";

/** @type {Record<string, () => void>} */
const STARTS = { wall: startWall, piece: startPiece, compare: startCompare };

receive();
document.documentElement.classList.add("scripted");
document.addEventListener("DOMContentLoaded", () => {
  const start = STARTS[document.body.dataset.page || ""];
  if (start) {
    start();
  }
});
