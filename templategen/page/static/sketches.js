// Small drawings of what to measure: one for each table, with the figure of a field lit up.

import { s } from "./dom.js";

/** @param {number} x @param {number} y @param {number} r @param {number} degrees 0 to the right, up is positive */
const at = (x, y, r, degrees) => [x + r * Math.cos((degrees * Math.PI) / 180), y - r * Math.sin((degrees * Math.PI) / 180)];

/** @param {number[]} point */
const xy = (point) => point.map((figure) => figure.toFixed(1)).join(" ");

/** Path along a circle. */
function arc(/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ r, /** @type {number} */ from, /** @type {number} */ to, joined = false) {
  const large = Math.abs(to - from) > 180 ? 1 : 0;
  return `${joined ? "L" : "M"}${xy(at(x, y, r, from))}A${r} ${r} 0 ${large} ${to > from ? 0 : 1} ${xy(at(x, y, r, to))}`;
}

/** A figure's line with a bar at each end. */
function span(/** @type {number} */ x1, /** @type {number} */ y1, /** @type {number} */ x2, /** @type {number} */ y2) {
  const length = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [u, v] = [(-(y2 - y1) / length) * 4, ((x2 - x1) / length) * 4];
  const bar = (/** @type {number} */ x, /** @type {number} */ y) => `M${xy([x - u, y - v])}L${xy([x + u, y + v])}`;
  return `M${xy([x1, y1])}L${xy([x2, y2])}${bar(x1, y1)}${bar(x2, y2)}`;
}

const ring = (/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ r) => `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`;

/**
 * @typedef {{steel?: string[], wood?: string[], thin?: string[], figures: Record<string, string>}} Sketch
 *   figures by key of their field
 */

/** @returns {Sketch} */
function cutter() {
  const [x, y] = [92, 112];
  const blade = `${arc(x, y, 84, 0, 112)}${arc(x, y, 72, 112, 0, true)}Z`;
  const [a, b] = [at(x, y, 92, 112), at(x, y, 64, 112)];
  const [u, v] = [-24 * Math.sin((112 * Math.PI) / 180), -24 * Math.cos((112 * Math.PI) / 180)];
  const holder = `M${xy(a)}L${xy(b)}L${xy([b[0] + u, b[1] - v])}L${xy([a[0] + u, a[1] - v])}Z`;
  const end = [(a[0] + b[0]) / 2 + u, (a[1] + b[1]) / 2 - v];
  return {
    steel: [blade, holder, "M206 30h10v34h-10z", "M203 96l28 0l-4 22l-24 0z"],
    thin: [ring(x, y, 3), `M${x - 7} ${y}h14M${x} ${y - 7}v14`, "M231 96v24"],
    figures: {
      id: "",
      radius: span(x, y, x + 84, y),
      kerf: span(x + 72, y + 9, x + 84, y + 9),
      arc: arc(x, y, 58, 0, 112),
      max_swing: `${arc(x, y, 44, 0, 100)}M${xy(at(x, y, 44, 100))}l7 -5M${xy(at(x, y, 44, 100))}l6 6`,
      holder: span(...(/** @type {[number, number, number, number]} */ ([a[0] + u * 1.35, a[1] - v * 1.35, b[0] + u * 1.35, b[1] - v * 1.35]))),
      section: `${span(206, 23, 216, 23)}${span(223, 30, 223, 64)}`,
      relief_angle: `M231 96l-4 22M231 96v22${arc(231, 96, 18, -90, -101)}`,
      _: `M${xy(end)}`,
    },
  };
}

/** @returns {Sketch} */
function jaws() {
  const [x, y] = [70, 66];
  const parts = [0, 90, 180, 270].map((turn) => `${arc(x, y, 52, turn + 4, turn + 86)}${arc(x, y, 28, turn + 83, turn + 7, true)}Z`);
  return {
    steel: [...parts, "M150 28h34l-5 -0l-5 24l-24 0z", "M150 106h34l-5 0l-5 -24l-24 0z"],
    wood: ["M174 52h14l4 -24h40v78h-40l-4 -24h-14z"],
    thin: [ring(x, y, 28)],
    figures: {
      true_circle: span(x - 28, y, x + 28, y),
      jaw_count: parts.join(""),
      max_gap: [0, 90].map((turn) => `${arc(x, y, 40, turn - 5, turn + 5)}`).join(""),
      depth: span(150, 18, 184, 18),
      measured_at: `${span(184, 28, 184, 106)}`,
      dovetail_angle: "M174 52l5 -24M174 52v-24",
      id: "",
    },
  };
}

/** @returns {Sketch} */
function post() {
  return {
    wood: ["M40 78h180v20a150 150 0 0 1 -60 30h-120z"],
    steel: [ring(112, 40, 20), ring(112, 40, 8)],
    thin: ["M40 6v122", "M40 78h180", "M105 40h14M112 33v14"],
    figures: {
      min_standoff: span(146, 40, 146, 78),
      min_offset: `${span(40, 30, 86, 30)}`,
      max_offset: `${span(40, 18, 112, 18)}`,
      pin: span(104, 52, 120, 52),
      body: span(92, 64, 132, 64),
    },
  };
}

/** @returns {Sketch} */
function lathe() {
  return {
    steel: ["M14 34h58v62h-58z", "M14 104h210v12h-210z", "M72 58h20v14h-20z"],
    wood: ["M92 22h30v86h-30z"],
    thin: ["M6 65h216", "M150 65h30v39h-30z"],
    figures: {
      swing: span(134, 26, 134, 104),
      centre_height: span(204, 65, 204, 104),
      power: "M20 40h46v50h-46z",
      full_power_speed: `${arc(43, 65, 18, 40, 320)}`,
      max_speed: `${arc(43, 65, 18, 40, 320)}`,
      max_mass: "M92 22h30v86h-30z",
    },
  };
}

/** @returns {Sketch} */
function blank() {
  const curve = "M24 24a112 92 0 0 0 64 84h64a112 92 0 0 0 64 -84";
  return {
    wood: ["M24 24h192v92h-192z"],
    thin: [curve, "M120 14v110"],
    figures: {
      diameter: span(24, 12, 216, 12),
      height: span(229, 24, 229, 116),
      wood: "M40 44q30 -8 60 0t60 0t40 0M40 62q30 -8 60 0t60 0t40 0M60 80q30 -8 60 0t50 0",
      outside: curve,
      moisture: "",
    },
  };
}

/** @returns {Sketch} */
function nest() {
  const outer = "M228 20a206 100 0 0 1 -120 88v10h-88";
  return {
    wood: [`${outer}V86a180 70 0 0 0 178 -66z`, "M20 78a170 62 0 0 0 168 -58h-168z"],
    thin: ["M20 8v118"],
    figures: {
      wall: span(198, 26, 226, 32),
      finished_wall: span(204, 26, 220, 30),
      floor: span(48, 86, 48, 108),
      relief: "M188 20l-12 22h-14l10 -22z",
      min_bowl: span(20, 14, 188, 14),
      wanted: span(20, 14, 188, 14),
      min_depth: span(104, 20, 104, 66),
      min_ratio: `${span(104, 20, 104, 66)}${span(20, 14, 188, 14)}`,
      max_slope: "M20 78l60 -3M20 78h60",
      share: span(20, 122, 108, 122),
      core_share: span(20, 78, 84, 78),
      length: span(118, 108, 118, 118),
      shoulder: span(108, 104, 132, 100),
    },
  };
}

/** @returns {Sketch} */
function log() {
  const [x, y] = [66, 66];
  return {
    wood: [ring(x, y, 56), "M140 24h92v84h-92z"],
    thin: [ring(x, y, 2), ring(x, y, 20), ring(x, y, 38), "M24 58h84v-30h-84z", "M174 24v84M206 24v84"],
    figures: {
      diameter: span(10, 126, 122, 126),
      length: span(140, 16, 232, 16),
      pith: span(96, 58, 96, 66),
      rim: "M24 58h84",
      end_trim: span(140, 116, 152, 116),
      saw: span(172, 66, 180, 66),
    },
  };
}

const SKETCHES = { cutters: cutter, jaws, post, lathe, blank, nest, tenon: nest, log, chuck: lathe };

/**
 * The sketch of a table, with `lit(key)` to show what a field's figure is; null where there is none.
 * @param {string} table
 * @returns {{element: SVGElement, lit: (key: string) => void} | null}
 */
export function sketchOf(table) {
  const make = SKETCHES[/** @type {keyof typeof SKETCHES} */ (table)];
  if (!make) return null;
  const { steel = [], wood = [], thin = [], figures } = make();
  const lines = new Map(Object.entries(figures).filter(([, path]) => path).map(([key, path]) => [key, s("path", { d: path, class: "figure" })]));
  const element = s(
    "svg",
    { viewBox: "0 0 240 132", class: "sketch", "aria-hidden": "true" },
    wood.map((path) => s("path", { d: path, class: "wood" })),
    steel.map((path) => s("path", { d: path, class: "steel" })),
    thin.map((path) => s("path", { d: path, class: "thin" })),
    [...lines.values()],
  );
  return {
    element,
    lit(key) {
      for (const [name, path] of lines) path.classList.toggle("lit", name === key);
    },
  };
}
