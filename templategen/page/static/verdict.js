// The verdict in plain words: how many bowls, what stops, what to watch, what would help.

import { faultText } from "./api.js";
import { fill, h, later } from "./dom.js";
import { inputId, labelOf } from "./fields.js";
import { change, changeJob, choose, on, point, state } from "./state.js";
import { t } from "./words.js";

/** @typedef {import("./drawing.js").NestDrawing} NestDrawing */

export const PAUSE = 120; // ms without a new plan until what is not beside the hand follows a drag

/** Number of bowls, large, with a mark that does not rest on colour alone. */
export function headline() {
  const element = h("div", { class: "headline", role: "group" });
  const show = () => {
    if (state.offline) return fill(element, h("p", { class: "state stop" }, h("b", null, t("verdict.offline"))));
    if (state.faults.length) {
      return fill(
        element,
        h("p", { class: "state waiting" }, h("b", null, t("verdict.waiting"))),
        h("ul", { class: "faults" }, state.faults.slice(0, 5).map((fault) => h("li", null, faultLink(fault)))),
        state.faults.length > 5 ? h("p", { class: "quiet" }, t("verdict.more", { count: state.faults.length - 5 })) : null,
      );
    }
    if (!state.plan) return fill(element, h("p", { class: "quiet" }, t("nest.empty")));
    const { verdict, headline: rims, findings } = state.plan;
    const many = (/** @type {string} */ level) => findings.filter((/** @type {any} */ one) => one.level === level).length;
    const [stops, cautions] = [many("stop"), many("caution")];
    return fill(
      element,
      h("p", { class: `state ${verdict.state}` }, h("b", null, verdict.text), h("span", { class: "sign" }, stops ? t("verdict.stops", { count: stops }) : cautions ? t("verdict.cautions", { count: cautions }) : t("verdict.good"))),
      rims?.rims ? h("p", { class: "rims" }, h("span", { class: "quiet" }, t("verdict.rims")), " ", rims.rims.join(" · ")) : null,
    );
  };
  show();
  return { element, ends: [on("plan", show), on("faults", show)] };
}

/** A fault as a link to its field. @param {any} fault */
function faultLink(fault) {
  if (!fault.key) return fault.line || faultText(fault);
  return [h("a", { href: fieldAddress(fault.doc, fault.key) }, labelOf(fault.doc === "shop" ? "shop" : "job", fault.key)), `: ${faultText(fault)}`];
}

/** Address of a field: its view, with the field to put the cursor in. @param {string} doc @param {string} key */
export function fieldAddress(doc, key) {
  const view = doc === "shop" ? "shop" : key.startsWith("log") ? "log" : key.startsWith("print") ? "pack" : "blank";
  return `#/${view}?field=${encodeURIComponent(inputId(doc === "shop" ? "shop" : "job", key))}`;
}

/**
 * Findings, suggestions and other sets.
 * @param {NestDrawing} nest where a finding shows its place
 */
export function findings(nest) {
  const list = h("div", { class: "findings" });
  const advice = h("div", { class: "advice" });
  const show = () => {
    if (state.faults.length || !state.plan) {
      fill(list);
      return;
    }
    const levels = ["stop", "caution", "note"];
    const all = [...state.plan.findings].sort((a, b) => levels.indexOf(a.level) - levels.indexOf(b.level));
    const notes = all.filter((one) => one.level === "note");
    fill(
      list,
      all.length ? h("h2", null, t("verdict.findings")) : null,
      h("ul", null, all.filter((one) => one.level !== "note").map(entry)),
      notes.length ? h("details", null, h("summary", null, t("verdict.notes", { count: notes.length })), h("ul", null, notes.map(entry))) : null,
    );
  };

  /** A press on it shows its place and goes to its field, or to the cut. @param {any} finding */
  const entry = (finding) => {
    const { places, field } = finding;
    const cut = Number(places.find((/** @type {string} */ place) => place.startsWith("cut-"))?.slice(4) ?? 0);
    const light = () => nest.light(places);
    const show = () => {
      nest.element.scrollIntoView({ block: "nearest" });
      light();
      if (cut) choose(cut);
    };
    const goTo = () => {
      show();
      if (field) {
        point(places);
        location.hash = fieldAddress(field.doc, field.key);
      } else if (cut) /** @type {HTMLElement | null} */ (document.querySelector(".stepper button"))?.focus();
    };
    const reads = h("span", { class: "unseen" }, `: ${finding.text}`);
    const whole = field || places.length > 0;
    return h(
      "li",
      {
        class: `finding ${finding.level}${whole ? " whole" : ""}`,
        onpointerenter: light,
        onpointerleave: () => nest.light([]),
        onfocusin: light,
        onfocusout: () => nest.light([]),
        onclick: (/** @type {Event} */ event) => {
          if (whole && !(/** @type {Element} */ (event.target).closest("a, button"))) goTo();
        },
      },
      h("p", { class: "which" }, h("b", null, finding.level_label), finding.rule_label ? ` · ${finding.rule_label}` : ""),
      h("p", null, finding.text),
      whole
        ? h(
            "p",
            { class: "row" },
            places.length ? h("button", { type: "button", class: "small", onclick: show }, t("verdict.show"), reads) : null,
            field ? h("a", { class: "small", href: fieldAddress(field.doc, field.key), onclick: () => point(places) }, t("verdict.field", { field: labelOf(field.doc, field.key) }), reads.cloneNode(true)) : null,
          )
        : null,
    );
  };

  const showAdvice = () => {
    const found = state.advice;
    const suggestions = found?.suggestions ?? [];
    const apply = suggestions.filter((/** @type {any} */ one) => one.change?.length);
    const told = suggestions.filter((/** @type {any} */ one) => !one.change?.length);
    fill(
      advice,
      suggestions.length ? h("h2", null, t("verdict.suggestions")) : null,
      h("ul", { class: "suggestions" }, apply.map((/** @type {any} */ one) =>
        h("li", null, h("button", { type: "button", class: "suggestion", onclick: () => change(one.change, { rows: true }) }, h("span", null, one.text), h("b", null, t("verdict.apply")))),
      )),
      told.length ? h("ul", { class: "quiet" }, told.map((/** @type {any} */ one) => h("li", null, one.text))) : null,
    );
  };
  show();
  showAdvice();
  return { list, advice, ends: [on("plan", show), on("faults", show), on("advice", showAdvice)] };
}

/** Other sets of bowls that the blank gives; a press takes one. */
export function otherSets() {
  const element = h("section", { class: "sets", hidden: true });
  const show = () => {
    const sets = state.advice?.sets ?? [];
    element.hidden = sets.length === 0;
    fill(
      element,
      h("h2", null, t("sets.title")),
      h("ul", { class: "cards" }, sets.map((/** @type {any} */ one) =>
        h(
          "li",
          { class: "card" },
          h("p", null, h("b", null, one.label)),
          h("p", { class: "rims" }, one.rims.join(" · ")),
          h("p", { class: "quiet" }, t("sets.cutters", { cutters: one.cutters.join(", ") }), one.cautions ? ` · ${t("verdict.cautions", { count: one.cautions })}` : ""),
          h("button", { type: "button", onclick: () => changeJob(one.job) }, t("sets.take"), h("span", { class: "unseen" }, `: ${one.label}`)),
        ),
      )),
    );
  };
  show();
  return { element, ends: [on("advice", show)] };
}

/** Tables of the plan: what the drawing shows, in figures. */
export function planTables() {
  const element = h("div", { class: "tables" });
  const show = () => {
    if (!state.plan) return fill(element);
    return fill(
      element,
      state.plan.tables.map((/** @type {any} */ table) => dataTable(table)),
    );
  };
  show();
  return { element, ends: [on("plan", later(show, PAUSE))] };
}

/** @param {{id?: string, title: string, head: string[], rows: string[][], places?: string[]}} table */
export function dataTable(table) {
  const titleId = `table-${table.id ?? table.title.replace(/\W+/g, "-")}`;
  return h(
    "section",
    { class: "data" },
    h("h3", { id: titleId }, table.title),
    h(
      "div",
      { class: "scroll", tabindex: "0", role: "region", "aria-labelledby": titleId },
      h(
        "table",
        { "aria-labelledby": titleId },
        h("thead", null, h("tr", null, table.head.map((text) => h("th", { scope: "col" }, text)))),
        h("tbody", null, table.rows.map((row) => h("tr", null, row.map((text, n) => (n ? h("td", null, text) : h("th", { scope: "row" }, text)))))),
      ),
    ),
  );
}
