// The pack: what to print, on what, looked at before it is saved, and proved after.

import { Refused, call, fileAddress, run } from "../api.js";
import { drawing, fill, h, later } from "../dom.js";
import { FieldSet, labelOf, tableOf } from "../fields.js";
import { change, forms, listFiles, on, state, unitsOf, valueAt } from "../state.js";
import { fieldAddress, headline } from "../verdict.js";
import { t } from "../words.js";

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
  let printer = "";
  /** @type {Map<string, any>} */
  let drawn = new Map(); // pictures of the kinds, and the forms they were made of
  let drawnOf = "";
  const verdict = headline();
  const choice = h("div", { class: "parts" });
  const sheets = h("div", { class: "sheets", role: "status" });
  const count = h("p", { class: "count-bar", "aria-hidden": "true" });
  const leaf = h("div", { class: "leaf" });
  const saved = h("div", { class: "saved" });
  const printers = h("div");

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
  const body = () => ({ ...forms(), kinds: kindsChosen(), paper: paperChosen(), units: unitsShown(), printer: printer || null });
  const unitsShown = () => figuresIn || unitsOf("job");

  // The parts

  const loadKinds = async () => {
    try {
      groups = (await call("kinds", forms())).groups;
      showKinds();
      look();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
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
      if (!(error instanceof Refused)) throw error;
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
    if (!state.plan || state.faults.length) {
      fill(sheets, h("p", { class: "quiet" }, t("pack.waiting")));
      return;
    }
    saveButton.disabled = kindsChosen().length === 0;
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
      fill(sheets, h("p", { class: "large" }, h("b", null, result.sheets), " ", t(result.sheets === 1 ? "pack.sheet" : "pack.sheets", { paper: paperName(result.paper ?? paperChosen()) })));
      fill(count, h("b", null, result.sheets), " ", t(result.sheets === 1 ? "pack.sheet" : "pack.sheets", { paper: paperName(result.paper ?? paperChosen()) }));
      showPage();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      if (!stopped()) fill(sheets, h("ul", { class: "faults" }, error.faults.map((fault) => h("li", null, fault.line || fault.what))));
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

  // The printer

  const showPrinters = async () => {
    const known = (await call("printers")).printers;
    const select = /** @type {HTMLSelectElement} */ (
      h("select", { id: "pack-printer", onchange: () => ((printer = select.value), showForget(), look()) }, h("option", { value: "" }, t("printer.none")), known.map((/** @type {any} */ one) => h("option", { value: one.name }, `${one.name} (${one.across} × ${one.down})`)))
    );
    if (!known.some((/** @type {any} */ one) => one.name === printer)) printer = "";
    select.value = printer;
    const forget = h("button", { type: "button", hidden: true, onclick: async () => (await call("forget_printer", { name: printer }), (printer = ""), await showPrinters(), look()) }, t("printer.forget"));
    const showForget = () => (forget.hidden = !printer);
    showForget();
    const nominal = unitsOf("job") === "in" ? "6" : "150";
    const inputs = /** @type {Record<string, any>} */ ({
      name: h("input", { id: "printer-name", autocomplete: "off", required: true }),
      across: h("input", { id: "printer-across", class: "figure", autocomplete: "off", required: true, placeholder: unitsOf("job") === "in" ? "5.97" : "149.2" }),
      down: h("input", { id: "printer-down", class: "figure", autocomplete: "off", required: true, placeholder: unitsOf("job") === "in" ? "6.01" : "150.4" }),
    });
    const said = h("p", { class: "fault", role: "status" });
    const two = (/** @type {string} */ text) => (text.includes("/") ? text : `${text}/${nominal}`);
    const form = h(
      "form",
      {
        onsubmit: async (/** @type {Event} */ event) => {
          event.preventDefault();
          try {
            await call("keep_printer", { name: inputs.name.value, across: two(inputs.across.value), down: two(inputs.down.value) });
            printer = inputs.name.value.trim();
            await showPrinters();
            look();
          } catch (error) {
            if (!(error instanceof Refused)) throw error;
            fill(said, error.faults.map((fault) => [fault.what, fault.mend].filter(Boolean).join("; ")).join(" "));
          }
        },
      },
      h("p", { class: "help" }, t("printer.how", { bar: nominal, unit: unitsOf("job") })),
      h("p", null, h("button", {
        type: "button",
        onclick: async () => {
          const made = await run("scale_sheet", { paper: paperChosen(), units: unitsShown() });
          if (!made) return;
          fill(sheetLink, h("a", { href: fileAddress(made.file), target: "_blank", rel: "noopener" }, made.file));
        },
      }, t("printer.sheet")), " ", sheetLink),
      h("div", { class: "grid" }, ["name", "across", "down"].map((name) =>
        h("div", { class: "field" }, h("label", { for: `printer-${name}`, class: "label" }, t(`printer.${name}`)), h("span", { class: "box" }, inputs[name], name === "name" ? null : h("span", { class: "unit" }, `/ ${nominal} ${unitsOf("job")}`))),
      )),
      said,
      h("p", null, h("button", { type: "submit" }, t("printer.keep"))),
    );
    fill(
      printers,
      h("div", { class: "field" }, h("label", { for: "pack-printer", class: "label" }, t("printer")), h("span", { class: "box" }, select, forget)),
      h("details", null, h("summary", null, t("printer.measure")), form),
    );
  };
  const sheetLink = h("span", { role: "status" });

  // To save

  const formats = ["pdf", "svg", "dxf"].map((name) => /** @type {HTMLInputElement} */ (h("input", { type: "checkbox", value: name, checked: name === "pdf" })));
  const saveButton = /** @type {HTMLButtonElement} */ (h("button", { type: "button", class: "main", onclick: () => store() }, t("pack.save")));
  const store = async () => {
    const bar = /** @type {HTMLProgressElement} */ (h("progress", { max: 1, value: 0, "aria-label": t("pack.working") }));
    fill(saved, h("p", { role: "status" }, t("pack.working")), bar);
    saveButton.disabled = true;
    try {
      const wanted = formats.filter((input) => input.checked).map((input) => input.value);
      const result = await run("save", { ...body(), formats: wanted.length ? wanted : ["pdf"], folder: "packs" }, { stopped: () => !alive, progress: (done, total) => (bar.value = total ? done / total : 0) });
      if (!result || !alive) return;
      showSaved(result);
      await listFiles();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      fill(saved, h("ul", { class: "faults" }, error.faults.map((fault) => h("li", null, fault.line || fault.what))));
    } finally {
      saveButton.disabled = false;
    }
  };

  /** @param {any} result */
  const showSaved = (result) => {
    const pdf = result.files.find((/** @type {any} */ one) => one.file.endsWith(".pdf"));
    const others = result.files.filter((/** @type {any} */ one) => one !== pdf);
    const proof = h("div", { role: "status" });
    const link = (/** @type {any} */ one) => h("li", null, h("a", { href: fileAddress(one.file), target: "_blank", rel: "noopener" }, one.file), " ", h("a", { class: "small", href: fileAddress(one.file, true), download: "" }, t("pack.download"), h("span", { class: "unseen" }, ` ${one.file}`)));
    fill(
      saved,
      h("h3", null, t("pack.saved")),
      pdf ? h("ul", { class: "files" }, link(pdf)) : null,
      others.length ? h("details", null, h("summary", null, t("pack.others", { count: others.length })), h("ul", { class: "files" }, others.map(link))) : null,
      result.missing?.length ? h("ul", { class: "quiet" }, result.missing.map((/** @type {string} */ text) => h("li", null, text))) : null,
      pdf ? h("p", null, h("button", { type: "button", onclick: () => prove(pdf.file, proof) }, t("verify"))) : null,
      proof,
    );
  };

  /** @param {string} file @param {HTMLElement} place */
  const prove = async (file, place) => {
    fill(place, h("p", null, t("verify.working")), h("progress", { "aria-label": t("verify.working") }));
    try {
      const found = await run("verify", { file }, { stopped: () => !alive });
      if (!found || !alive) return;
      const wrong = found.rows.filter((/** @type {any} */ row) => !row.true);
      fill(
        place,
        h("p", { class: `state ${found.true ? "good" : "stop"}` }, h("b", null, t(found.true ? "verify.true" : "verify.false"))),
        h("p", null, found.line),
        h("details", { open: wrong.length > 0 }, h("summary", null, t("verify.rows", { count: found.rows.length })), proofTable(wrong.length ? wrong : found.rows)),
      );
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      fill(place, h("ul", { class: "faults" }, error.faults.map((fault) => h("li", null, fault.line || fault.what))));
    }
  };

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
        ), more.length ? h("details", null, h("summary", null, t("field.more")), h("div", { class: "grid" }, more)) : null, printers),
        h("div", { class: "card" }, sheets, leaf),
        h("div", { class: "card" }, verdict.element, h("fieldset", { class: "formats" }, h("legend", null, t("pack.formats")), formats.map((input) => h("label", { class: "tick" }, input, t(`pack.format.${input.value}`)))), saveButton, saved),
      ),
    ),
  );
  fields.showFaults();
  followForm();
  showPrinters();
  loadKinds();
  makeThumbs();
  const ends = [...verdict.ends, on("form", followForm), on("rows", () => (followForm(), loadKinds())), on("plan", () => (makeThumbs(), look()))];
  return () => {
    alive = false;
    fields.end();
    for (const end of ends) end();
  };
}

/** @param {string} name */
const paperName = (name) => (/^a\d$/.test(name) ? name.toUpperCase() : name.charAt(0).toUpperCase() + name.slice(1));

/** @param {any[]} rows */
function proofTable(rows) {
  return h(
    "div",
    { class: "scroll", tabindex: "0", role: "region", "aria-label": t("verify") },
    h(
      "table",
      null,
      h("thead", null, h("tr", null, ["what", "sheet", "deviation", "note"].map((key) => h("th", { scope: "col" }, t(`verify.${key}`))))),
      h("tbody", null, rows.slice(0, 200).map((row) => h("tr", { class: row.true ? "" : "wrong" }, h("th", { scope: "row" }, row.what), h("td", null, row.sheet), h("td", null, row.deviation), h("td", null, row.note)))),
    ),
  );
}
