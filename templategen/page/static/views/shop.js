// My shop: cutters, jaws, post and lathe.

import { call, refused } from "../api.js";
import { fill, h, later } from "../dom.js";
import { FieldSet, inputId, tableOf, tablesOf } from "../fields.js";
import { fileBar } from "../files.js";
import { sketchOf } from "../sketches.js";
import { addRow, change, dropRow, on, unitsOf, valueAt } from "../state.js";
import { t } from "../words.js";
import { tableCard } from "./blank.js";

/** @param {HTMLElement} root @returns {() => void} */
export function shopView(root) {
  let fields = new FieldSet();
  const bar = h("div");
  const form = h("div", { class: "forms wide" });
  const show = () => {
    fields.end();
    fields = new FieldSet();
    fill(bar, fileBar("shop"));
    const tables = tablesOf("shop");
    const rows = tables.filter((table) => table.rows);
    const single = tables.filter((table) => !table.rows && !["", "rules"].includes(table.table));
    fill(
      form,
      tables.some((table) => table.table === "") ? tableCard(fields, "", "shop") : null,
      rows.map((table) => rowsOf(fields, table.table)),
      h("div", { class: "two" }, single.map((table) => tableCard(fields, table.table, "shop"))),
      tables.some((table) => table.table === "rules") ? h("details", { class: "rules" }, h("summary", null, t("shop.rules")), tableCard(fields, "rules", "shop")) : null,
    );
    fields.showFaults();
  };
  show();
  fill(root, h("h1", null, t("view.shop")), h("p", { class: "what" }, t("shop.what")), bar, form);
  const ends = [on("rows", show)];
  return () => {
    fields.end();
    for (const end of ends) end();
  };
}

/** The rows of a table: what to measure is shown once, then each row as a card. @param {FieldSet} fields @param {string} name */
function rowsOf(fields, name) {
  const table = tableOf("shop", name);
  if (!table) return null;
  const rows = /** @type {Record<string, any>[]} */ (valueAt("shop", name) ?? []);
  const sketch = sketchOf(name);
  const measured = table.fields.filter((field) => field.simple && field.key !== "id");
  return h(
    "section",
    { class: "rows", "aria-labelledby": `rows-${name}` },
    h("h2", { id: `rows-${name}` }, table.label, " ", h("span", { class: "count" }, rows.length)),
    h("div", { class: "measure" }, sketch?.element, h("dl", { class: "help" }, measured.map((field) => h("div", null, h("dt", null, field.label), h("dd", null, field.help))))),
    h(
      "div",
      { class: "row-list" },
      rows.length ? null : h("p", { class: "quiet" }, t(`shop.none.${name}`)),
      h("div", { class: "row-cards" }, rows.map((row, n) => rowCard(fields, name, row, n, (key) => sketch?.lit(key)))),
      h("p", null, h("button", {
        type: "button",
        class: "add",
        onclick: () => {
          addRow("shop", name, freshRow(name, rows));
          const first = table.fields.find((field) => field.required && field.key !== "id") ?? table.fields[0];
          document.getElementById(inputId("shop", `${name}[${rows.length + (valueAt("shop", name) === rows ? 0 : 1)}].${first.key}`))?.focus();
        },
      }, t(`shop.add.${name}`))),
    ),
  );
}

/** A new row needs a name of its own. @param {string} name @param {Record<string, any>[]} rows */
function freshRow(name, rows) {
  const taken = new Set(rows.map((row) => String(row.id)));
  let number = rows.length + 1;
  while (taken.has(t(`shop.new.${name}`, { number }))) number += 1;
  return { id: t(`shop.new.${name}`, { number }) };
}

/** @param {FieldSet} fields @param {string} name @param {Record<string, any>} row @param {number} n @param {(key: string) => void} light */
function rowCard(fields, name, row, n, light) {
  const table = tableOf("shop", name);
  if (!table) return null;
  const path = `${name}[${n + 1}]`;
  const one = (/** @type {any} */ field) => fields.field("shop", field, { path: `${path}.${field.key}`, onfocus: () => light(field.key) });
  const simple = table.fields.filter((field) => field.simple);
  const more = table.fields.filter((field) => !field.simple);
  const called = String(row.id ?? n + 1);
  return h(
    "article",
    { class: "card row-card", "aria-label": `${table.label}: ${called}` },
    h("div", { class: "grid trio" }, simple.map(one)),
    h(
      "div",
      { class: "card-foot" },
      name === "cutters" ? radiusHelper(`${path}.radius`, n) : null,
      more.length ? h("details", null, h("summary", null, t("field.more"), h("span", { class: "unseen" }, `: ${called}`)), h("div", { class: "grid" }, more.map(one))) : null,
      h("span", { class: "card-acts" }, h("button", { type: "button", class: "small", onclick: () => addRow("shop", name, { ...row, ...freshRow(name, valueAt("shop", name) ?? []) }, n + 1) }, t("shop.copy"), h("span", { class: "unseen" }, `: ${called}`)),
      h("button", { type: "button", class: "small", onclick: () => dropRow("shop", name, n) }, t("shop.remove"), h("span", { class: "unseen" }, `: ${called}`))),
    ),
  );
}

/** Radius from a chord and its rise, in place. @param {string} path @param {number} n */
function radiusHelper(path, n) {
  const units = unitsOf("shop");
  const id = `measure-${n}`;
  const box = (/** @type {string} */ what) => /** @type {HTMLInputElement} */ (h("input", { id: `${id}-${what}`, class: "figure", autocomplete: "off", oninput: () => look() }));
  const [chord, rise] = [box("chord"), box("rise")];
  const answer = h("p", { class: "answer", role: "status" });
  const look = later(async () => {
    if (!chord.value || !rise.value) return fill(answer);
    try {
      const found = await call("measure", { chord: chord.value, rise: rise.value, units });
      fill(
        answer,
        h("b", { class: "large" }, found.radius),
        " ",
        found.uncertainty,
        " ",
        h("button", { type: "button", onclick: () => change([{ doc: "shop", key: path, value: String(found.value) }], { rows: true }) }, t("measure.take")),
      );
    } catch (error) {
      fill(answer, refused(error).faults[0]?.what ?? "");
    }
    return answer;
  }, 150);
  return h(
    "details",
    { class: "helper" },
    h("summary", null, t("measure.title"), h("span", { class: "unseen" }, `, ${n + 1}`)),
    h("p", { class: "help" }, t("measure.how")),
    h("div", { class: "pair" }, ["chord", "rise"].map((what) =>
      h("span", null, h("label", { for: `${id}-${what}`, class: "label" }, t(`measure.${what}`)), h("span", { class: "box" }, what === "chord" ? chord : rise, h("span", { class: "unit", "aria-hidden": "true" }, units))),
    )),
    answer,
  );
}
