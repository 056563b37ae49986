// CIEDE2000, how different two colours look; `archivist/imaging/colour/difference.py` is the same.

const FAR = 25 ** 7;
const TURN = Math.PI / 180;

/** @typedef {[number, number, number]} Lab */

/** @param {number} a @param {number} b */
function hueOf(a, b) {
  const hue = Math.atan2(b, a) / TURN;
  return hue < 0 ? hue + 360 : hue;
}

/**
 * The root of the share that chroma has against 25 in the seventh power.
 * @param {number} chroma
 */
function richness(chroma) {
  const square = chroma * chroma;
  const seventh = square * square * square * chroma;
  return Math.sqrt(seventh / (seventh + FAR));
}

/**
 * Many times faster than Math.hypot, which guards against what no colour is.
 * @param {number} a
 * @param {number} b
 */
function length(a, b) {
  return Math.sqrt(a * a + b * b);
}

/**
 * ISO/CIE 11664-6, as Sharma, Wu and Dalal tell it (2005); all weights are 1.
 * @param {ArrayLike<number>} one
 * @param {ArrayLike<number>} other
 * @returns {number}
 */
export function ciede2000(one, other) {
  const stretch = 1.5 - 0.5 * richness((length(one[1], one[2]) + length(other[1], other[2])) / 2);
  const c1 = length(one[1] * stretch, one[2]);
  const c2 = length(other[1] * stretch, other[2]);
  const h1 = hueOf(one[1] * stretch, one[2]);
  const h2 = hueOf(other[1] * stretch, other[2]);
  const grey = c1 * c2 === 0;
  let turn = h2 - h1;
  turn = grey ? 0 : turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn;
  let hue = h1 + h2;
  if (!grey) {
    hue = Math.abs(h1 - h2) <= 180 ? hue / 2 : hue < 360 ? (hue + 360) / 2 : (hue - 360) / 2;
  }
  const c = (c1 + c2) / 2;
  const middle = ((one[0] + other[0]) / 2 - 50) ** 2;
  const t =
    1 - 0.17 * Math.cos((hue - 30) * TURN) + 0.24 * Math.cos(2 * hue * TURN) +
    0.32 * Math.cos((3 * hue + 6) * TURN) - 0.2 * Math.cos((4 * hue - 63) * TURN);
  const bend = 60 * Math.exp(-(((hue - 275) / 25) ** 2));
  const rotation = -2 * Math.sin(bend * TURN) * richness(c);
  const lightness = (other[0] - one[0]) / (1 + (0.015 * middle) / Math.sqrt(20 + middle));
  const inChroma = (c2 - c1) / (1 + 0.045 * c);
  const inHue = (2 * Math.sqrt(c1 * c2) * Math.sin((turn / 2) * TURN)) / (1 + 0.015 * c * t);
  return Math.sqrt(Math.max(0, lightness ** 2 + inChroma ** 2 + inHue ** 2 + rotation * inChroma * inHue));
}

/**
 * CIELAB (D65) of sRGB in six hexadecimal digits; IEC 61966-2-1.
 * @param {string} srgb
 * @returns {Lab}
 */
export function labOf(srgb) {
  const [r, g, b] = [0, 2, 4].map((at) => {
    const value = parseInt(srgb.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
  const [x, y, z] = [
    (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505,
    0.2126 * r + 0.7152 * g + 0.0722 * b,
    (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089,
  ].map((share) => (share > (6 / 29) ** 3 ? Math.cbrt(share) : (share * (29 / 6) ** 2) / 3 + 4 / 29));
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}
