// The drawing of the nest: the server draws, this lets a hand or the keys move what it shows.

import { announce, drawing, fill, h } from "./dom.js";
import { choose, moveCut, on, state } from "./state.js";
import { t } from "./words.js";

const REACH = 26; // px round a handle in which a pointer takes it
/** Arrow keys of each handle: the step of the server, in marks. @type {Record<string, Record<string, Record<string, number>>>} */
const KEYS = {
  entry: { ArrowLeft: { entry: -1 }, ArrowRight: { entry: 1 }, ArrowDown: { entry: -1 }, ArrowUp: { entry: 1 } },
  depth: { ArrowUp: { depth: -1 }, ArrowDown: { depth: 1 }, ArrowLeft: { depth: -1 }, ArrowRight: { depth: 1 } },
  pivot: { ArrowLeft: { offset: -1 }, ArrowRight: { offset: 1 }, ArrowUp: { standoff: 1 }, ArrowDown: { standoff: -1 } },
};

/** Shows the nest in an element; `end()` when the element goes. */
export class NestDrawing {
  /** @param {{still?: boolean}} [options] `still`: to look at only */
  constructor({ still = false } = {}) {
    this.still = still;
    this.element = h("div", { class: still ? "drawing still" : "drawing" });
    /** @type {SVGSVGElement | null} */
    this.svg = null;
    /** @type {{cut: number, what: string, pointer: number, key: string} | null} */
    this.held = null;
    /** @type {string[]} */
    this.litPlaces = state.pointed;
    state.pointed = [];
    /** Time of the last input that a redraw answers, for the record of the page's speed. */
    this.asked = 0;
    this.ends = [on("plan", () => this.draw()), on("moveFault", () => (this.asked = 0)), on("chosen", () => this.mark()), on("faults", () => this.grey())];
    if (!still) {
      this.element.addEventListener("pointerdown", (event) => this.take(event));
      this.element.addEventListener("pointermove", (event) => this.move(event));
      this.element.addEventListener("pointerup", () => this.release());
      this.element.addEventListener("pointercancel", () => this.release());
      this.element.addEventListener("keydown", (event) => this.key(event));
      this.element.addEventListener("focusin", (event) => {
        const cut = /** @type {Element} */ (event.target).getAttribute?.("data-cut");
        if (cut) choose(Number(cut));
      });
    }
    else this.ends.push(on("form", () => this.light([])));
    this.draw();
  }

  end() {
    for (const end of this.ends) end();
  }

  draw() {
    if (!state.plan) {
      fill(this.element, h("p", { class: "quiet" }, t("nest.empty")));
      this.svg = null;
      return;
    }
    const renamed = state.renamed;
    if (this.held && renamed?.from === this.held.cut) this.held.cut = renamed.to;
    let focused = document.activeElement?.id?.startsWith("handle-") && this.element.contains(document.activeElement) ? document.activeElement.id : "";
    if (renamed) focused = focused.replace(`-${renamed.from}`, `-${renamed.to}`);
    const svg = drawing(state.plan.svg);
    if (!svg) return;
    svg.querySelector("title")?.remove();
    svg.setAttribute("role", this.still ? "img" : "group");
    svg.setAttribute("aria-label", t("nest.drawing", { verdict: state.plan.verdict.text }));
    svg.removeAttribute("width");
    svg.removeAttribute("height");
    for (const handle of svg.querySelectorAll("[data-what]")) this.dressHandle(handle);
    if (!this.still) for (const child of svg.children) if (!child.matches("[data-what]")) child.setAttribute("aria-hidden", "true");
    fill(this.element, svg);
    this.svg = svg;
    this.grey();
    this.mark();
    for (const finding of state.plan.findings) {
      if (finding.level === "note") continue;
      for (const place of finding.places) {
        for (const id of [place, `${place}-name`]) svg.getElementById(id)?.classList.add(`has-${finding.level}`);
      }
    }
    this.light(this.litPlaces);
    if (focused) /** @type {any} */ (svg.getElementById(focused))?.focus({ preventScroll: true });
    if (this.asked) {
      performance.measure("input to redraw", { start: this.asked });
      this.asked = 0;
    }
  }

  /** @param {Element} handle */
  dressHandle(handle) {
    if (this.still) {
      handle.remove();
      return;
    }
    const cut = Number(handle.getAttribute("data-cut"));
    const what = handle.getAttribute("data-what") ?? "";
    const setting = state.plan.settings?.find((/** @type {any} */ one) => one.cut === cut);
    const text = what === "pivot" ? `${setting?.offset ?? ""}, ${setting?.standoff ?? ""}` : setting?.[what] ?? "";
    const figures = state.plan.plan.cuts[cut - 1] ?? {};
    const value = { entry: figures.entry_radius, depth: figures.depth_at_axis, pivot: figures.pivot_offset }[what] ?? 0;
    handle.setAttribute("tabindex", "0");
    handle.setAttribute("role", "slider");
    handle.setAttribute("aria-label", t(`handle.${what}`, { cut }));
    handle.setAttribute("aria-valuenow", String(value));
    handle.setAttribute("aria-valuetext", text);
    handle.classList.add("handle");
  }

  /** Pale while the form cannot be planned. */
  grey() {
    this.element.classList.toggle("old", state.faults.length > 0 || state.offline);
  }

  /** Marks the chosen cut. */
  mark() {
    if (!this.svg) return;
    for (const element of this.svg.querySelectorAll(".chosen")) element.classList.remove("chosen");
    if (state.chosen === null || this.still) return;
    const n = state.chosen;
    for (const id of [`cut-${n}`, `kerf-${n}`, `pivot-${n}`, `entry-${n}`, `depth-${n}`, `handle-entry-${n}`, `handle-depth-${n}`, `handle-pivot-${n}`]) {
      this.svg.getElementById(id)?.classList.add("chosen");
    }
  }

  /** Lights up places of the drawing. @param {string[]} places */
  light(places) {
    this.litPlaces = places;
    this.element.classList.toggle("pointing", places.length > 0);
    if (!this.svg) return;
    for (const element of this.svg.querySelectorAll(".lit")) element.classList.remove("lit");
    for (const place of places) this.svg.getElementById(place)?.classList.add("lit");
  }

  /** Point of the drawing under a pointer. @param {PointerEvent} event */
  point(event) {
    const matrix = this.svg?.getScreenCTM();
    if (!matrix) return null;
    return new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  }

  /** @param {PointerEvent} event */
  take(event) {
    if (!this.svg || event.button !== 0) return;
    let best = null;
    let least = REACH;
    for (const handle of this.svg.querySelectorAll("[data-what]")) {
      const box = handle.getBoundingClientRect();
      const away = Math.hypot(event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2);
      // Of two handles as near, the one of the chosen cut.
      const wanted = Number(handle.getAttribute("data-cut")) === state.chosen ? away - 6 : away;
      if (wanted < least) [best, least] = [handle, wanted];
    }
    if (!best) {
      const near = /** @type {Element} */ (event.target).closest?.("[id^='cut-'], [id^='kerf-']");
      if (near) choose(Number(near.id.match(/\d+/)?.[0]));
      return;
    }
    event.preventDefault();
    const cut = Number(best.getAttribute("data-cut"));
    const what = best.getAttribute("data-what") ?? "";
    choose(cut);
    /** @type {any} */ (best).focus({ preventScroll: true });
    this.held = { cut, what, pointer: event.pointerId, key: `drag ${cut} ${what} ${event.timeStamp}` };
    this.element.setPointerCapture(event.pointerId);
    this.element.classList.add("dragging");
  }

  /** @param {PointerEvent} event */
  move(event) {
    if (!this.held || event.pointerId !== this.held.pointer || !this.svg) return;
    const at = this.point(event);
    const cut = state.plan?.plan.cuts[this.held.cut - 1];
    if (!at || !cut) return;
    const x = at.x + Number(this.svg.dataset.left ?? 0);
    const z = at.y - Number(this.svg.dataset.face ?? 0);
    const { what, key } = this.held;
    /** @type {Record<string, number>} */
    let wanted = {};
    if (what === "entry") wanted = { entry_radius: Math.hypot(Math.max(x, 0), cut.cutter_height), depth_at_axis: cut.depth_at_axis };
    else if (what === "depth") wanted = { entry_radius: cut.entry_radius, depth_at_axis: z };
    else wanted = { pivot_offset: x, pivot_standoff: -z };
    this.asked ||= event.timeStamp;
    moveCut({ cut: this.held.cut, ...wanted }, key);
  }

  release() {
    if (!this.held) return;
    const { cut, what } = this.held;
    this.held = null;
    this.asked = 0;
    this.element.classList.remove("dragging");
    sayWhere(cut, what);
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const handle = /** @type {Element} */ (event.target);
    const what = handle.getAttribute?.("data-what");
    if (!what || event.ctrlKey || event.metaKey || event.altKey) return;
    const step = KEYS[what]?.[event.key];
    if (!step) return;
    event.preventDefault();
    this.asked ||= event.timeStamp;
    const cut = Number(handle.getAttribute("data-cut"));
    moveCut({ cut, step }, `key ${cut} ${what}`).then(() => sayWhere(cut, what));
  }
}

/** Says where a cut stands now. @param {number} cut @param {string} what */
function sayWhere(cut, what) {
  const handle = document.getElementById(`handle-${what}-${cut}`);
  if (handle) announce(`${handle.getAttribute("aria-label")}: ${handle.getAttribute("aria-valuetext")}. ${state.plan.verdict.text}`);
}
