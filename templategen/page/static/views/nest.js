// The nest, live: drawing, verdict, the chosen cut, and the figures.

import { faultText } from "../api.js";
import { NestDrawing } from "../drawing.js";
import { drawing, fill, h, keep, kept, later } from "../dom.js";
import { choose, moveCut, on, state, tell, unitsOf, unpin } from "../state.js";
import { PAUSE, findings, headline, otherSets, planTables } from "../verdict.js";
import { t } from "../words.js";

/** @param {HTMLElement} root @returns {() => void} */
export function nestView(root) {
  const nest = new NestDrawing();
  const verdict = headline();
  const found = findings(nest);
  const sets = otherSets();
  const tables = planTables();
  const rims = driedRims();
  const cut = chosenCut();
  const key = legend(nest);
  fill(
    root,
    h("h1", null, t("view.nest")),
    h("p", { class: "what" }, t("nest.what")),
    h(
      "div",
      { class: "nest-page" },
      h("div", { class: "nest-head" }, verdict.element),
      h("div", { class: "nest-left" }, nest.element, key.element, h("p", { class: "quiet hint" }, t("nest.hint")), cut.element),
      h("div", { class: "nest-right" }, found.advice, found.list, rims.element),
    ),
    sets.element,
    h("h2", null, t("nest.figures", { unit: t(`units.${unitsOf("job")}`) })),
    tables.element,
  );
  const ends = [...verdict.ends, ...found.ends, ...sets.ends, ...tables.ends, ...rims.ends, ...cut.ends, ...key.ends];
  return () => {
    nest.end();
    for (const end of ends) end();
  };
}

const DRIED = "templategen-dried";

/** What the lines of the drawing mean, and the switch of the dried outlines. @param {NestDrawing} nest */
function legend(nest) {
  const input = /** @type {HTMLInputElement} */ (h("input", { type: "checkbox", checked: kept(DRIED) !== "no", onchange: () => (keep(DRIED, input.checked ? "yes" : "no"), follow()) }));
  const dried = h("li", null, h("label", { class: "tick" }, input, h("i", { class: "line dry", "aria-hidden": "true" }), t("legend.dry")));
  const follow = () => {
    nest.element.classList.toggle("without-dry", !input.checked);
    dried.hidden = !state.plan?.rims_svg;
  };
  follow();
  const others = ["least", "swing", "stop", "tenon"].map((name) => h("li", null, h("i", { class: `line ${name}`, "aria-hidden": "true" }), t(`legend.${name}`)));
  return { element: h("ul", { class: "legend" }, dried, others), ends: [on("plan", follow)] };
}

/** The rims from above, green and dried; nothing where the shrinkage of the wood is not known. */
function driedRims() {
  const element = h("section", { class: "rims-drawing", "aria-labelledby": "rims-title" });
  const show = () => {
    const svg = state.plan?.rims_svg ? drawing(state.plan.rims_svg) : null;
    element.hidden = !svg;
    if (!svg) return fill(element);
    svg.removeAttribute("width");
    svg.removeAttribute("height");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-labelledby", "rims-title");
    svg.classList.add("nest");
    return fill(element, h("h2", { id: "rims-title" }, t("nest.rims")), h("div", { class: "drawing still" }, svg), h("p", { class: "help" }, t("nest.rims.how")));
  };
  show();
  return { element, ends: [on("plan", later(show, PAUSE))] };
}

/** The four figures of the chosen cut, each to be moved by a mark, and its pin. */
function chosenCut() {
  const element = h("section", { class: "chosen-cut", "aria-label": t("cut.title") });
  const fault = h("p", { class: "fault", role: "status", hidden: true });
  const parts = /** @type {const} */ (["entry", "depth", "offset", "standoff"]);
  let shown = "";
  const settings = () => state.plan?.settings ?? [];

  const show = () => {
    const all = settings();
    if (!all.length) return fill(element);
    if (!all.some((/** @type {any} */ one) => one.cut === state.chosen)) {
      state.chosen = all[0].cut;
      queueMicrotask(() => tell("chosen")); // the drawing marks it too
    }
    const one = all.find((/** @type {any} */ setting) => setting.cut === state.chosen);
    const shape = all.map((/** @type {any} */ setting) => `${setting.cut}${setting.cutter}${setting.pinned}`).join() + state.chosen;
    if (shape === shown && element.childElementCount) {
      for (const part of parts) {
        const output = element.querySelector(`[data-part="${part}"]`);
        if (output && output.textContent !== one[part]) output.textContent = one[part];
      }
      return element;
    }
    shown = shape;
    const focus = document.activeElement instanceof HTMLElement && element.contains(document.activeElement) ? document.activeElement.dataset.name : "";
    fill(
      element,
      h("div", { class: "row cuts", role: "group", "aria-label": t("cut.choose") }, all.map((/** @type {any} */ setting) =>
        h(
          "button",
          { type: "button", "data-name": `cut-${setting.cut}`, "aria-pressed": String(setting.cut === state.chosen), onclick: () => choose(setting.cut) },
          t("cut.name", { cut: setting.cut }),
          " ",
          h("small", null, setting.cutter),
          setting.pinned ? h("span", { class: "pin", role: "img", "aria-label": t("cut.pinned") }) : null,
        ),
      )),
      h("div", { class: "steppers" }, parts.map((part) =>
        h(
          "div",
          { class: "stepper", role: "group", "aria-label": t(`cut.${part}`) },
          h("span", { class: "label" }, t(`cut.${part}`)),
          h("button", { type: "button", "data-name": `${part}-less`, "aria-label": t("cut.less", { what: t(`cut.${part}`) }), onclick: () => step(part, -1) }, "−"),
          h("output", { "data-part": part, class: "large" }, one[part]),
          h("button", { type: "button", "data-name": `${part}-more`, "aria-label": t("cut.more", { what: t(`cut.${part}`) }), onclick: () => step(part, 1) }, "+"),
        ),
      )),
      h("p", { class: "row" }, one.pinned
        ? h("button", { type: "button", "data-name": "unpin", onclick: () => unpin(one.cut) }, h("span", { class: "pin", "aria-hidden": "true" }), t("cut.unpin", { cut: one.cut }))
        : h("span", { class: "quiet" }, t("cut.free"))),
      fault,
    );
    if (focus) /** @type {HTMLElement | null} */ (element.querySelector(`[data-name="${focus}"]`))?.focus({ preventScroll: true });
    return element;
  };
  /** @param {string} part @param {number} by */
  const step = (part, by) => moveCut({ cut: state.chosen, step: { [part]: by } }, `step ${state.chosen} ${part}`);
  const showFault = () => {
    fault.textContent = state.moveFault ? faultText(state.moveFault) : "";
    fault.hidden = !state.moveFault;
  };
  const clear = () => {
    state.moveFault = null;
    showFault();
    show();
  };
  show();
  return { element, ends: [on("plan", clear), on("chosen", show), on("moveFault", showFault)] };
}
