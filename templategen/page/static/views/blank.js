// The blank: its size, wood and wishes, with the nest beside it while one types.

import { NestDrawing } from "../drawing.js";
import { fill, h } from "../dom.js";
import { FieldSet, tableOf, tablesOf } from "../fields.js";
import { fileBar } from "../files.js";
import { sketchOf } from "../sketches.js";
import { on, state } from "../state.js";
import { headline } from "../verdict.js";
import { t } from "../words.js";

const HIDDEN = ["shop", "units"]; // set elsewhere on the page
const OWN_VIEWS = ["print", "log"]; // tables that have a view of their own

/** @param {HTMLElement} root @returns {() => void} */
export function blankView(root) {
  const nest = new NestDrawing({ still: true });
  const verdict = headline();
  let fields = new FieldSet();
  const form = h("div", { class: "forms" });
  const bar = h("div");
  const show = () => {
    fields.end();
    fields = new FieldSet();
    fill(bar, fileBar("job"));
    const tables = tablesOf("job").filter((table) => !table.rows && !OWN_VIEWS.includes(table.table));
    const order = ["blank", "nest", "tenon", ""];
    tables.sort((a, b) => (order.indexOf(a.table) + 9) % 9 - (order.indexOf(b.table) + 9) % 9);
    fill(form, tables.map((table) => tableCard(fields, table.table)));
    fields.showFaults();
  };
  show();
  fill(
    root,
    h("h1", null, t("view.blank")),
    h("p", { class: "what" }, t("blank.what"), " ", h("a", { href: "#/log" }, t("blank.log")), " · ", h("a", { href: "#/chart" }, t("blank.chart"))),
    bar,
    h(
      "div",
      { class: "split" },
      form,
      h("aside", { class: "beside", "aria-label": t("view.nest") }, verdict.element, nest.element, h("p", null, h("a", { class: "button", href: "#/nest" }, t("blank.open")))),
    ),
  );
  const mini = h("p", { class: "mini", "aria-hidden": "true" });
  const showMini = () =>
    fill(mini, h("a", { href: "#/nest", tabindex: "-1" }, state.faults.length ? `${state.faults[0].what}` : [h("b", null, state.plan?.verdict.text ?? ""), ` ${state.plan?.headline.rims.join(" · ") ?? ""}`]));
  showMini();
  root.append(mini);
  const ends = [...verdict.ends, on("rows", show), on("plan", showMini), on("faults", showMini)];
  return () => {
    nest.end();
    fields.end();
    for (const end of ends) end();
  };
}

/** One table of the job as a card. @param {FieldSet} fields @param {string} name */
export function tableCard(fields, name, doc = /** @type {"job" | "shop"} */ ("job")) {
  const table = tableOf(doc, name);
  if (!table) return null;
  const sketch = sketchOf(name);
  const one = (/** @type {any} */ field) => fields.field(doc, field, { onfocus: () => sketch?.lit(field.key) });
  const shown = table.fields.filter((field) => !["kinds", "parts"].includes(field.kind) && !HIDDEN.includes(field.path) && !field.path.startsWith("nest.relief."));
  const simple = shown.filter((field) => field.simple);
  const more = shown.filter((field) => !field.simple);
  const id = `${doc}-${name}-title`;
  if (!simple.length) {
    return h("section", { class: "card", "aria-labelledby": id }, h("details", null, h("summary", { id }, table.label), h("div", { class: "grid" }, more.map(one))));
  }
  return h(
    "section",
    { class: "card table", "aria-labelledby": id },
    h("div", { class: "card-head" }, h("h2", { id }, table.label), sketch?.element),
    h("div", { class: "grid" }, simple.map(one)),
    more.length ? h("details", null, h("summary", null, t("field.more"), h("span", { class: "unseen" }, `: ${table.label}`)), h("div", { class: "grid" }, more.map(one))) : null,
  );
}
