// Drying: weighings of each bowl, the curve, what remains.

import { Refused, call, refused } from "../api.js";
import { drawing, faultList, fill, h } from "../dom.js";
import { filesOf, listFiles, on, state } from "../state.js";
import { dataTable } from "../verdict.js";
import { t } from "../words.js";

/** @param {HTMLElement} root @returns {() => void} */
export function dryingView(root) {
  let alive = true;
  let digest = /** @type {string | null} */ (null);
  let names = /** @type {string[]} */ ([]);
  const records = () => filesOf("record").map((file) => file.file);
  let file = records()[0] ?? "weighings.csv";
  const bowls = h("div", { class: "bowls" });
  const faults = h("div", { role: "status" });
  const pick = /** @type {HTMLSelectElement} */ (h("select", { id: "record", onchange: () => ((file = pick.value), load()) }));
  const bowl = /** @type {HTMLSelectElement} */ (h("select", { id: "weigh-bowl" }));
  const showBowls = () => {
    const now = bowl.value;
    const table = state.plan?.tables.find((/** @type {any} */ one) => one.id === "bowls");
    const tags = (table?.rows ?? []).map((/** @type {string[]} */ row) => row[1]); // the second column is the tag
    fill(bowl, [...new Set([...tags, ...names])].map((name) => h("option", { value: name }, name)), names.includes("") || !tags.length ? h("option", { value: "" }, t("drying.one")) : null);
    if ([...bowl.options].some((option) => option.value === now)) bowl.value = now;
  };
  showBowls();

  const showFiles = () => {
    fill(pick, [...new Set([...records(), file])].map((name) => h("option", { value: name }, name)));
    pick.value = file;
  };

  /** The record for this job's bowls; where it holds others, for itself alone. */
  const read = async () => {
    try {
      return await call("weighings", { file, job: state.job?.file });
    } catch (error) {
      if (!(error instanceof Refused) || error.status !== 422) throw error;
      const found = await call("weighings", { file, wood: state.job?.table.blank?.wood });
      return { ...found, faults: [...(found.faults ?? []), ...error.faults] };
    }
  };

  const load = async () => {
    showFiles();
    if (!records().includes(file)) {
      digest = null;
      fill(bowls, h("p", { class: "quiet" }, t("drying.empty")));
      return;
    }
    try {
      const found = await read();
      if (!alive) return;
      digest = found.digest;
      names = found.bowls.map((/** @type {any} */ one) => one.name ?? "");
      showBowls();
      fill(faults, found.faults?.length ? faultList(found.faults) : null);
      fill(bowls, found.bowls.length ? found.bowls.map(bowlCard) : h("p", { class: "quiet" }, t("drying.empty")));
    } catch (error) {
      fill(bowls, faultList(refused(error).faults));
    }
  };

  const inputs = /** @type {Record<string, any>} */ ({
    bowl,
    date: h("input", { id: "weigh-date", type: "date", required: true }),
    mass: h("input", { id: "weigh-mass", class: "figure", autocomplete: "off", required: true, placeholder: t("drying.mass.grey") }),
  });
  const add = h(
    "form",
    {
      class: "card weigh",
      onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        try {
          const rows = [{ date: inputs.date.value, mass: inputs.mass.value, bowl: inputs.bowl.value }];
          await call("weigh", { file, digest, rows });
          inputs.mass.value = "";
          fill(faults, h("p", null, t("drying.kept")));
          await listFiles();
          await load();
          inputs.mass.focus();
        } catch (error) {
          const refusal = refused(error);
          fill(faults, faultList(refusal.faults), refusal.status === 409 ? h("button", { type: "button", onclick: load }, t("drying.again")) : null);
        }
      },
    },
    h("h2", null, t("drying.add")),
    h("div", { class: "grid" }, ["bowl", "date", "mass"].map((name) => h("div", { class: "field" }, h("label", { for: `weigh-${name}`, class: "label" }, t(`drying.${name}`)), h("span", { class: "box" }, inputs[name])))),
    h("p", null, h("button", { type: "submit", class: "main" }, t("drying.keep"))),
  );
  const pickRow = h("div", { class: "row file-bar" }, h("label", { for: "record", class: "label" }, t("drying.record")), h("span", { class: "box" }, pick));
  fill(root, h("h1", null, t("view.drying")), h("p", { class: "what" }, t("drying.what")), pickRow, h("div", { class: "split narrow" }, h("div", null, add, faults), bowls));
  load();
  const off = on("plan", showBowls);
  return () => {
    alive = false;
    off();
  };
}

/** @param {any} bowl */
function bowlCard(bowl) {
  const curve = bowl.svg ? drawing(bowl.svg) : null;
  if (curve) {
    curve.removeAttribute("width");
    curve.removeAttribute("height");
    curve.setAttribute("role", "img");
    curve.setAttribute("aria-label", t("drying.curve", { bowl: bowl.name || "1" }));
    curve.classList.add("curve");
  }
  return h(
    "section",
    { class: "card bowl-card" },
    h("h2", null, bowl.name || t("drying.one")),
    h("ul", { class: "lines" }, bowl.lines.map((/** @type {string} */ text, /** @type {number} */ n) => h("li", { class: n ? "" : "large" }, text))),
    curve,
    dataTable({ id: `weighings-${(bowl.name || "1").replace(/\W+/g, "-")}`, title: t("drying.table"), head: [t("drying.date"), t("drying.mass")], rows: bowl.rows }),
  );
}
