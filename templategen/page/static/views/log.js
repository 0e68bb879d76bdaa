// The log: what blanks a log gives, and from log to blank.

import { refused, run } from "../api.js";
import { faultList, fill, h, later } from "../dom.js";
import { FieldSet } from "../fields.js";
import { change, forms, on, valueAt } from "../state.js";
import { dataTable } from "../verdict.js";
import { t } from "../words.js";
import { tableCard } from "./blank.js";

/** @param {HTMLElement} root @returns {() => void} */
export function logView(root) {
  let alive = true;
  let turn = 0;
  let fields = new FieldSet();
  const form = h("div", { class: "forms" });
  const answer = h("div", { class: "beside", role: "region", "aria-label": t("log.answer") });

  const look = later(async () => {
    const mine = (turn += 1);
    const stopped = () => !alive || mine !== turn;
    if (!valueAt("job", "log")?.diameter) {
      fill(answer, h("p", { class: "quiet" }, t("log.empty")));
      return;
    }
    if (!answer.childElementCount) fill(answer, h("p", { class: "quiet", role: "status" }, t("log.working")));
    try {
      const result = await run("log", forms(), { stopped });
      if (result && !stopped()) show(result);
    } catch (error) {
      const { faults } = refused(error);
      if (!stopped()) fill(answer, faultList(faults));
    }
  }, 350);

  /** @param {any} result */
  const show = (result) =>
    fill(
      answer,
      h("h2", null, result.title),
      result.how ? h("p", null, result.how) : null,
      result.tables.map((/** @type {any} */ table) => (table.blanks?.length ? blanks(table) : dataTable(table))),
    );

  const draw = () => {
    fields.end();
    fields = new FieldSet();
    fill(form, tableCard(fields, "log"));
    fields.showFaults();
    look();
  };
  draw();
  fill(root, h("h1", null, t("view.log")), h("p", { class: "what" }, t("log.what")), h("div", { class: "split narrow" }, form, answer));
  const ends = [on("rows", draw), on("form", look)];
  return () => {
    alive = false;
    fields.end();
    for (const end of ends) end();
  };
}

/** A table of blanks: the diameter of each is a button that takes it. @param {any} table */
function blanks(table) {
  const made = dataTable(table);
  made.querySelectorAll("tbody th").forEach((cell, n) => {
    const blank = table.blanks[n];
    if (!blank) return;
    const take = () => {
      /** @type {import("../state.js").Change[]} */
      const changes = [
        { doc: "job", key: "blank.diameter", value: String(blank.diameter) },
        { doc: "job", key: "blank.height", value: String(blank.height) },
      ];
      if (blank.rim) changes.push({ doc: "job", key: "log.rim", value: blank.rim });
      change(changes, { rows: true });
      location.hash = "#/nest";
    };
    const [diameter, ...others] = table.rows[n];
    fill(cell, h("button", { type: "button", class: "small", onclick: take, "aria-label": `${t("log.take")}: ${[diameter, ...others].join(", ")}` }, diameter));
  });
  return made;
}
