// The chart: bowls for each diameter and height that this shop could turn.

import { refused, run } from "../api.js";
import { faultList, fill, h } from "../dom.js";
import { change, forms, on, state, unitsOf, valueAt } from "../state.js";
import { t } from "../words.js";

/** @type {{key: string, result: any} | null} */
let last = null;

/** @param {HTMLElement} root @returns {() => void} */
export function chartView(root) {
  let alive = true;
  let turn = 0;
  const map = h("div", { class: "chart" });
  const said = h("div", { role: "status", class: "progress" });
  const ranges = {
    diameters: rangeBox("diameters"),
    heights: rangeBox("heights"),
  };
  const keyNow = () => {
    const { job, shop } = forms();
    const { blank, ...rest } = job;
    return JSON.stringify([state.language, { ...rest, wood: blank?.wood, outside: blank?.outside }, shop, ranges.diameters.value, ranges.heights.value]);
  };

  const draw = async () => {
    if (!state.job) return;
    const key = keyNow();
    if (last?.key === key) return show(last.result);
    const mine = (turn += 1);
    const stopped = () => !alive || mine !== turn;
    const bar = /** @type {HTMLProgressElement} */ (h("progress", { max: 1, value: 0, "aria-label": t("chart.working") }));
    fill(said, h("p", null, t("chart.working")), bar);
    try {
      const wanted = { diameters: ranges.diameters.value || undefined, heights: ranges.heights.value || undefined };
      const result = await run("chart", { ...forms(), ...wanted }, { stopped, progress: (done, total) => (bar.value = total ? done / total : 0) });
      if (!result || stopped()) return;
      last = { key, result };
      fill(said);
      show(result);
    } catch (error) {
      const { faults } = refused(error);
      if (!stopped()) fill(said, faultList(faults));
    }
  };

  /** @param {any} result */
  const show = (result) => {
    const most = Math.max(1, ...result.cells.flat().map((/** @type {any} */ cell) => cell.bowls ?? 0));
    const near = nearest(result);
    fill(
      map,
      h("p", { class: "quiet", id: "chart-caption" }, t("chart.caption")),
      h(
        "div",
        { class: "scroll", role: "region", tabindex: "0", "aria-labelledby": "chart-caption" },
        h(
          "table",
          { class: "map", "aria-labelledby": "chart-caption" },
          h("thead", null, h("tr", null, h("td", { class: "corner" }, t("chart.corner")), result.heights.map((/** @type {string} */ text) => h("th", { scope: "col" }, text)))),
          h("tbody", null, result.cells.map((/** @type {any[]} */ row, /** @type {number} */ i) =>
            h("tr", null, h("th", { scope: "row" }, result.diameters[i]), row.map((cell, j) => cellButton(cell, result.diameters[i], result.heights[j], most, near === `${i},${j}`))),
          )),
        ),
      ),
      result.letters?.length ? h("p", { class: "quiet" }, t("chart.letters"), " ", result.letters.map((/** @type {any} */ one) => `${one.letter} ${one.cutter}`).join(" · ")) : null,
    );
  };

  fill(
    root,
    h("h1", null, t("view.chart")),
    h("p", { class: "what" }, t("chart.what")),
    h("div", { class: "row" }, ["diameters", "heights"].map((name) =>
      h("span", null, h("label", { for: `chart-${name}`, class: "label" }, t(`chart.${name}`)), h("span", { class: "box" }, ranges[/** @type {"diameters"} */ (name)], h("span", { class: "unit", "aria-hidden": "true" }, unitsOf("shop")))),
    ), h("button", { type: "button", onclick: draw }, t("chart.draw"))),
    said,
    map,
  );
  draw();
  const off = on("rows", () => fill(said, last && last.key !== keyNow() ? h("p", { class: "quiet" }, t("chart.old")) : null));
  return () => {
    alive = false;
    off();
  };
}

/** @param {string} name */
function rangeBox(name) {
  const inch = unitsOf("shop") === "in";
  const grey = name === "diameters" ? (inch ? "8-20/1" : "200-500/25") : inch ? "3-8/1" : "80-200/20";
  return /** @type {HTMLInputElement} */ (h("input", { id: `chart-${name}`, class: "figure wide", placeholder: grey, autocomplete: "off" }));
}

/** The cell of the blank as it is typed. @param {any} result */
function nearest(result) {
  const [diameter, height] = [String(valueAt("job", "blank.diameter") ?? ""), String(valueAt("job", "blank.height") ?? "")];
  for (const [i, row] of result.cells.entries()) for (const [j, cell] of row.entries()) if (String(cell.diameter) === diameter && String(cell.height) === height) return `${i},${j}`;
  return "";
}

/** @param {any} cell @param {string} diameter @param {string} height @param {number} most @param {boolean} here */
function cellButton(cell, diameter, height, most, here) {
  const step = cell.bowls ? Math.max(1, Math.round((cell.bowls / most) * 4)) : 0;
  const letters = String(cell.text ?? "").replace(/^\d+\s*/, "");
  return h(
    "td",
    { class: here ? "here" : "" },
    h(
      "button",
      {
        type: "button",
        class: `cell step-${step}`,
        title: cell.reason || null,
        "aria-label": `${diameter} × ${height}: ${cell.bowls ? t("chart.bowls", { count: cell.bowls, letters }) : cell.reason || t("chart.none")}`,
        onclick: () => {
          change([{ doc: "job", key: "blank.diameter", value: String(cell.diameter) }, { doc: "job", key: "blank.height", value: String(cell.height) }], { rows: true });
          location.hash = "#/nest";
        },
      },
      h("b", null, cell.bowls || "–"),
      h("small", null, letters),
    ),
  );
}
