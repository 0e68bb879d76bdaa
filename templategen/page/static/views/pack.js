// The pack: what to print, on what, looked at before it is saved, and proved after.

import { call, refused, run } from "../api.js";
import { drawing, faultList, fill, h, later } from "../dom.js";
import { FieldSet, labelOf, tableOf } from "../fields.js";
import { change, forms, on, state, unitsOf, valueAt } from "../state.js";
import { fieldAddress, headline } from "../verdict.js";
import { t } from "../words.js";
import { printerPart } from "./printers.js";
import { savePart } from "./saving.js";

let figuresIn = ""; // unit of the printed figures, where it is not the job's

/** @param {HTMLElement} root @returns {() => void} */
export function packView(root) {
  let alive = true;
  let turn = 0;
  let page = 1;
  /** @type {any} */
  let preview = null;
  /** @type {any[]} */
  let groups = [];
  /** @type {Map<string, any>} */
  let drawn = new Map(); // pictures of the kinds, and the forms they were made of
  let drawnOf = "";
  const verdict = headline();
  const choice = h("div", { class: "parts" });
  const sheets = h("div", { class: "sheets", role: "status" });
  const count = h("p", { class: "count-bar", "aria-hidden": "true" });
  const leaf = h("div", { class: "leaf" });

  const paperChosen = () => {
    const value = valueAt("job", "print.paper");
    return typeof value === "string" && value ? value : unitsOf("job") === "in" ? "letter" : "a4";
  };
  const usualKinds = () => {
    const ownSet = valueAt("job", "print.has_shop_set") === true;
    return groups
      .filter((group) => !(ownSet && group.group === "shop"))
      .flatMap((group) => group.kinds.filter((/** @type {any} */ one) => !one.on_request).map((/** @type {any} */ one) => one.kind));
  };
  const kindsChosen = () => {
    const stated = valueAt("job", "print.parts");
    return Array.isArray(stated) ? stated : usualKinds();
  };
  const body = () => ({ ...forms(), kinds: kindsChosen(), paper: paperChosen(), units: unitsShown(), printer: printers.name() || null });
  const unitsShown = () => figuresIn || unitsOf("job");

  // The parts

  const loadKinds = async () => {
    try {
      groups = (await call("kinds", forms())).groups;
      showKinds();
      look();
    } catch (error) {
      refused(error);
      fill(choice, h("p", { class: "quiet" }, t("pack.waiting")));
    }
  };

  /** @param {string[]} kinds */
  const choose = (kinds) => {
    const all = groups.flatMap((group) => group.kinds.map((/** @type {any} */ one) => one.kind));
    const wanted = all.filter((kind) => kinds.includes(kind));
    const usual = JSON.stringify(wanted) === JSON.stringify(all.filter((kind) => usualKinds().includes(kind)));
    change([{ doc: "job", key: "print.parts", value: usual ? null : wanted }], { key: "print.parts" });
  };

  const showKinds = () => {
    const chosen = kindsChosen();
    fill(
      choice,
      groups.map((group, n) => {
        const own = group.kinds.map((/** @type {any} */ one) => one.kind);
        const all = /** @type {HTMLInputElement} */ (
          h("input", {
            type: "checkbox",
            id: `group-${n}`,
            "data-group": n,
            onchange: () => choose(all.checked ? [...kindsChosen(), ...own] : kindsChosen().filter((kind) => !own.includes(kind))),
          })
        );
        return h(
          "fieldset",
          { class: "group" },
          h("legend", null, h("label", { class: "tick", for: `group-${n}` }, all, group.label)),
          h("ul", { class: "kinds" }, group.kinds.map((/** @type {any} */ one) => {
            const input = /** @type {HTMLInputElement} */ (
              h("input", {
                type: "checkbox",
                value: one.kind,
                checked: chosen.includes(one.kind),
                onchange: () => choose(input.checked ? [...kindsChosen(), one.kind] : kindsChosen().filter((kind) => kind !== one.kind)),
              })
            );
            return h("li", null, h("label", { class: "kind" }, h("span", { class: "thumb", "data-kind": one.kind, "aria-hidden": "true" }), h("span", { class: "tick" }, input, h("span", null, one.label, h("small", null, one.material)))), h("p", { class: "not-made help" }));
          })),
        );
      }),
    );
    follow();
    thumbs();
  };

  /** Ticks follow the form. */
  const follow = () => {
    const chosen = kindsChosen();
    for (const input of choice.querySelectorAll("input")) {
      const n = input.dataset.group;
      if (n === undefined) input.checked = chosen.includes(input.value);
      else {
        const own = groups[Number(n)].kinds.map((/** @type {any} */ one) => one.kind);
        const many = own.filter((/** @type {string} */ kind) => chosen.includes(kind)).length;
        input.checked = many === own.length;
        input.indeterminate = many > 0 && many < own.length;
      }
    }
    look();
  };

  /** Every kind made small, ticked or not. */
  const makeThumbs = later(async () => {
    if (!state.plan || state.faults.length) return;
    const asked = JSON.stringify(forms());
    if (asked === drawnOf) return;
    try {
      const result = await run("thumbs", forms(), { stopped: () => !alive });
      if (!result || !alive) return;
      drawnOf = asked;
      drawn = new Map(result.thumbs.map((/** @type {any} */ one) => [one.kind, one]));
      thumbs();
    } catch (error) {
  refused(error);
    }
  }, 150);

  const thumbs = () => {
    for (const place of /** @type {NodeListOf<HTMLElement>} */ (choice.querySelectorAll(".thumb"))) {
      const found = drawn.get(place.dataset.kind ?? "");
      if (!found) continue;
      const svg = drawing(found.svg);
      if (svg) fill(place, svg);
      const note = place.closest("li")?.querySelector(".not-made");
      place.closest("li")?.classList.toggle("unmade", !found.made);
      if (note) fill(note, found.made ? null : found.needs ? h("a", { href: fieldAddress(found.needs.doc, found.needs.key) }, t("pack.needs", { field: labelOf(found.needs.doc, found.needs.key) })) : t("pack.not_needed"));
    }
  };

  // The sheets

  const look = later(async () => {
    const mine = (turn += 1);
    const stopped = () => !alive || mine !== turn;
    const isStopped = state.plan?.verdict.state === "stop";
    files.button.disabled = kindsChosen().length === 0 || !state.plan || isStopped || state.faults.length > 0;
    if (!state.plan || isStopped || state.faults.length) {
      fill(sheets, h("p", { class: "quiet" }, isStopped && !state.faults.length ? h("a", { href: "#/nest" }, t("pack.stopped")) : t("pack.waiting")));
      fill(count);
      fill(leaf);
      return;
    }
    if (kindsChosen().length === 0) {
      preview = null;
      fill(sheets, h("p", { class: "large" }, h("b", null, "0"), " ", t("pack.sheets.0")));
      fill(count, "0 ", t("pack.sheets.0"));
      fill(leaf);
      return;
    }
    if (!preview) fill(sheets, h("p", { class: "quiet" }, t("pack.working")));
    sheets.classList.add("working");
    try {
      const result = await run("preview", body(), { stopped });
      if (!result || stopped()) return;
      preview = result;
      page = Math.min(page, result.pages.length) || 1;
      const ofPaper = t(result.sheets === 1 ? "pack.sheet" : "pack.sheets", { paper: paperName(result.paper) });
      fill(sheets, h("p", { class: "large" }, h("b", null, result.sheets), " ", ofPaper));
      fill(count, h("b", null, result.sheets), " ", ofPaper);
      showPage();
    } catch (error) {
      const { faults } = refused(error);
      if (!stopped()) fill(sheets, faultList(faults));
    } finally {
      if (!stopped()) sheets.classList.remove("working");
    }
  }, 300);

  const showPage = () => {
    if (!preview?.pages?.length) return fill(leaf);
    const all = preview.pages;
    const now = all[page - 1];
    /** @param {number} by */
    const turnBy = (by) => {
      page = Math.min(Math.max(page + by, 1), all.length);
      showPage();
      /** @type {HTMLElement | null} */ (leaf.querySelector(by < 0 ? "[data-name=back]:not(:disabled)" : "[data-name=forth]:not(:disabled)"))?.focus();
    };
    const picture = h("img", { src: `api/page/${preview.id}/${now.number}.png`, alt: t("pack.picture", { number: now.number, label: now.title || now.label }), width: Math.round(now.width * 3), height: Math.round(now.height * 3) });
    return fill(
      leaf,
      h(
        "div",
        { class: "row leafing" },
        h("button", { type: "button", "data-name": "back", disabled: page <= 1, "aria-label": t("pack.back"), onclick: () => turnBy(-1) }, "‹"),
        h("p", { role: "status" }, h("b", null, t("pack.page", { number: now.number, count: all.length })), h("br"), h("span", { class: "quiet" }, now.title || now.label)),
        h("button", { type: "button", "data-name": "forth", disabled: page >= all.length, "aria-label": t("pack.forth"), onclick: () => turnBy(1) }, "›"),
      ),
      h("a", { class: "paper", href: `api/page/${preview.id}/${now.number}.png`, target: "_blank", rel: "noopener" }, picture),
    );
  };

  // How to print

  const paper = /** @type {HTMLSelectElement} */ (
    h("select", { id: "pack-paper", onchange: () => change([{ doc: "job", key: "print.paper", value: paper.value }]) }, state.boot.papers.map((/** @type {string} */ name) => h("option", { value: name }, paperName(name))))
  );
  const shown = /** @type {HTMLSelectElement} */ (
    h("select", { id: "pack-units", onchange: () => ((figuresIn = shown.value), look()) }, ["mm", "in", "both"].map((unit) => h("option", { value: unit }, t(`pack.units.${unit}`))))
  );
  const shopSet = /** @type {HTMLInputElement} */ (
    h("input", {
      type: "checkbox",
      id: "pack-shop-set",
      onchange: () => {
        change([{ doc: "job", key: "print.has_shop_set", value: shopSet.checked ? true : null }]);
      },
    })
  );
  const followForm = () => {
    if (![...paper.options].some((option) => option.value === paperChosen())) paper.append(h("option", { value: paperChosen() }, paperChosen()));
    paper.value = paperChosen();
    shown.value = unitsShown();
    shopSet.checked = valueAt("job", "print.has_shop_set") === true;
    follow();
  };

  const fields = new FieldSet();
  const more = (tableOf("job", "print")?.fields ?? []).filter((field) => ["language", "stock"].includes(field.key)).map((field) => fields.field("job", field));

  const printers = printerPart({ changed: () => look(), request: () => ({ paper: paperChosen(), units: unitsShown() }), alive: () => alive });
  const files = savePart({ body, alive: () => alive });

  fill(
    root,
    h("h1", null, t("view.pack")),
    h(
      "div",
      { class: "pack-page" },
      h("section", { class: "pack-choose", "aria-label": t("pack.parts") }, h("h2", null, t("pack.parts")), h("p", { class: "quiet" }, t("pack.parts.what")), h("p", null, h("label", { class: "tick" }, shopSet, t("pack.shop_set"))), count, choice),
      h(
        "section",
        { class: "pack-look", "aria-label": t("pack.look") },
        h("div", { class: "card" }, h("h2", null, t("pack.print")), h("div", { class: "grid" },
          h("div", { class: "field" }, h("label", { for: "pack-paper", class: "label" }, t("pack.paper")), h("span", { class: "box" }, paper)),
          h("div", { class: "field" }, h("label", { for: "pack-units", class: "label" }, t("pack.units")), h("span", { class: "box" }, shown)),
          more,
        ), printers.element),
        h("div", { class: "card" }, sheets, leaf),
        h("div", { class: "card" }, verdict.element, files.element),
      ),
    ),
  );
  fields.showFaults();
  followForm();
  loadKinds();
  makeThumbs();
  const ends = [...verdict.ends, on("form", followForm), on("rows", () => (followForm(), loadKinds())), on("plan", () => (makeThumbs(), look())), on("faults", look)];
  return () => {
    alive = false;
    fields.end();
    for (const end of ends) end();
  };
}

/** @param {string} name */
const paperName = (name) => (/^a\d$/.test(name) ? name.toUpperCase() : name.charAt(0).toUpperCase() + name.slice(1));
