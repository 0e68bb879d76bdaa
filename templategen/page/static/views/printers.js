// The printer of a pack: which correction, and how a printer is measured: by a rule or by a scan.

import { call, faultText, fileAddress, refused, run, upload } from "../api.js";
import { fill, h } from "../dom.js";
import { filesOf, listFiles, state, unitsOf } from "../state.js";
import { t } from "../words.js";

/** @typedef {{name: string, across: number, down: number, skew: number}} Printer */

let chosen = ""; // lives as long as the page

/** A bar of the scale sheet as a printer gives it, or as it leans, in the unit of the job. @param {number} share */
const bar = (share) => {
  const [length, unit, digits] = unitsOf("job") === "in" ? [6, "in", 3] : [150, "mm", 2];
  const shown = Number((share * length).toFixed(digits)) || 0; // never a zero with a sign
  return `${shown.toLocaleString(state.language, { minimumFractionDigits: digits, maximumFractionDigits: digits })} ${unit}`;
};

/**
 * @param {{changed: () => void, request: () => {paper: string, units: string}, alive: () => boolean}} pack
 *   `request` gives paper and units of the pack
 */
export function printerPart(pack) {
  const element = h("div", { class: "printers" });
  const way = h("div");
  const select = /** @type {HTMLSelectElement} */ (h("select", { id: "pack-printer", onchange: () => take(select.value) }));
  const forget = h("button", { type: "button", hidden: true, onclick: async () => (await call("forget_printer", { name: chosen }), take(""), show()) }, t("printer.forget"));
  const skewed = h("p", { class: "help" });
  /** @type {Printer[]} */
  let known = [];

  /** @param {string} name */
  const take = (name) => {
    chosen = name;
    follow();
    pack.changed();
  };
  const follow = () => {
    const one = known.find(({ name }) => name === chosen);
    select.value = one ? chosen : "";
    forget.hidden = !one;
    fill(skewed, one ? t("printer.kept", { bar: unitsOf("job") === "in" ? "6 in" : "150 mm", across: bar(one.across), down: bar(one.down), skew: bar(one.skew) }) : "");
  };
  const show = async () => {
    known = (await call("printers")).printers;
    if (!known.some(({ name }) => name === chosen)) chosen = "";
    fill(select, h("option", { value: "" }, t("printer.none")), known.map(({ name }) => h("option", { value: name }, name)));
    follow();
  };
  /** A printer was measured. @param {string} name */
  const added = async (name) => {
    chosen = name;
    await show();
    pack.changed();
  };

  fill(
    element,
    h("div", { class: "field" }, h("label", { for: "pack-printer", class: "label" }, t("printer")), h("span", { class: "box" }, select, forget), skewed),
    h("details", null, h("summary", null, t("printer.measure")), scaleSheet(pack), way),
  );
  fill(way, h("details", null, h("summary", null, t("printer.rule")), byRule(added)), h("details", null, h("summary", null, t("printer.scan")), byScan(added, pack)));
  show();
  return { element, name: () => chosen };
}

/** Makes the sheet that both ways need. @param {{request: () => {paper: string, units: string}}} pack */
function scaleSheet(pack) {
  const link = h("span", { role: "status" });
  const make = async () => {
    const made = await run("scale_sheet", pack.request());
    if (!made) return;
    await listFiles();
    fill(link, h("a", { href: fileAddress(made.file), target: "_blank", rel: "noopener" }, made.file));
  };
  return h("div", null, h("p", { class: "help" }, t("printer.how")), h("p", { class: "row" }, h("button", { type: "button", onclick: make }, t("printer.sheet")), link));
}

/** @param {string} id @param {string} label @param {HTMLElement} input @param {string} [unit] @param {string} [help] */
const field = (id, label, input, unit = "", help = "") =>
  h(
    "div",
    { class: "field" },
    h("label", { for: id, class: "label" }, label),
    h("span", { class: "box" }, input, unit ? h("span", { class: "unit", "aria-hidden": "true" }, unit) : null),
    help ? h("p", { class: "help", id: `${id}-help` }, help) : null,
  );

/** Two bars and, if one wishes, two diagonals. @param {(name: string) => Promise<void>} added */
function byRule(added) {
  const inch = unitsOf("job") === "in";
  const nominal = inch ? "6" : "150";
  const input = (/** @type {string} */ name, /** @type {string} */ grey, needed = true) =>
    /** @type {HTMLInputElement} */ (h("input", { id: `printer-${name}`, class: name === "name" ? "" : "figure", autocomplete: "off", required: needed, placeholder: grey }));
  const name = input("name", "");
  const across = input("across", inch ? "5.97" : "149.2");
  const down = input("down", inch ? "6.01" : "150.4");
  const diagonals = input("diagonals", inch ? "12.17/12.12" : "309.1/307.8", false);
  const said = h("p", { class: "fault", role: "status" });
  const two = (/** @type {string} */ text) => (text.includes("/") ? text : `${text}/${nominal}`);
  return h(
    "form",
    {
      onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        try {
          await call("keep_printer", { name: name.value, across: two(across.value), down: two(down.value), diagonals: diagonals.value.trim() });
          fill(said);
          await added(name.value.trim());
        } catch (error) {
          fill(said, faultTexts(refused(error)));
        }
      },
    },
    h("p", { class: "help" }, t("printer.rule.how", { bar: nominal, unit: unitsOf("job") })),
    h(
      "div",
      { class: "grid" },
      field("printer-name", t("printer.name"), name),
      field("printer-across", t("printer.across"), across, `/ ${nominal} ${unitsOf("job")}`),
      field("printer-down", t("printer.down"), down, `/ ${nominal} ${unitsOf("job")}`),
      field("printer-diagonals", t("printer.diagonals"), diagonals, "", t("printer.diagonals.help")),
    ),
    said,
    h("p", null, h("button", { type: "submit" }, t("printer.keep"))),
  );
}

/** The scan of a printed sheet against its PDF. @param {(name: string) => Promise<void>} added @param {{alive: () => boolean}} pack */
function byScan(added, pack) {
  const options = (/** @type {HTMLSelectElement} */ select, /** @type {string} */ kind, /** @type {string} */ none) => {
    const now = select.value;
    const files = filesOf(kind).map((one) => one.file);
    fill(select, h("option", { value: "" }, none), files.map((file) => h("option", { value: file }, file)));
    select.value = files.includes(now) ? now : "";
  };
  const choice = (/** @type {string} */ id) => /** @type {HTMLSelectElement} */ (h("select", { id, onfocus: () => fresh() }));
  const [sheets, scan, turned] = ["scan-pack", "scan-picture", "scan-turned"].map(choice);
  const fresh = () => {
    options(sheets, "pack", t("scan.pick"));
    options(scan, "picture", t("scan.pick"));
    options(turned, "picture", t("scan.no"));
  };
  const answer = h("div", { role: "status" });
  const bring = (/** @type {HTMLSelectElement} */ into, /** @type {string} */ label) => {
    const file = /** @type {HTMLInputElement} */ (
      h("input", {
        type: "file",
        accept: ".png,.jpg,.jpeg,.tif,.tiff",
        class: "unseen",
        onchange: async () => {
          const picked = file.files?.[0];
          if (!picked) return;
          try {
            fill(answer, h("p", null, t("scan.uploading")));
            const made = await upload(picked);
            await listFiles();
            fresh();
            into.value = made.file;
            fill(answer);
          } catch (error) {
            const refusal = refused(error);
            fill(answer, h("p", { class: "fault" }, refusal.status === 413 ? t("scan.large") : faultTexts(refusal)));
          }
          file.value = "";
        },
      })
    );
    return h("label", { class: "button small" }, file, t("scan.bring"), h("span", { class: "unseen" }, `: ${label}`));
  };
  const name = /** @type {HTMLInputElement} */ (h("input", { id: "scan-name", autocomplete: "off" }));
  const page = /** @type {HTMLInputElement} */ (h("input", { id: "scan-page", class: "figure", autocomplete: "off", inputmode: "numeric" }));
  const dpi = /** @type {HTMLInputElement} */ (h("input", { id: "scan-dpi", class: "figure", autocomplete: "off", inputmode: "numeric", placeholder: "300" }));
  const measure = async (/** @type {Event} */ event) => {
    event.preventDefault();
    fill(answer, h("p", null, t("scan.working")), h("progress", { "aria-label": t("scan.working") }));
    try {
      const number = Number(page.value.trim());
      const found = await run(
        "scan",
        { pack: sheets.value, scan: scan.value, turned: turned.value, page: Number.isInteger(number) && number > 0 ? number : null, dpi: dpi.value.trim(), printer: name.value.trim() },
        { stopped: () => !pack.alive() },
      );
      if (!found) return;
      fill(
        answer,
        h("ul", { class: "lines" }, found.lines.map((/** @type {string} */ line) => h("li", null, line))),
        turned.value ? null : h("p", { class: "help" }, t("scan.plain")),
        found.fitted ? h("p", { class: "fault" }, t("scan.fitted")) : null,
        found.printer ? h("p", null, t("scan.kept", { name: found.printer })) : null,
      );
      if (found.printer) await added(found.printer);
    } catch (error) {
      fill(answer, h("p", { class: "fault" }, faultTexts(refused(error))));
    }
  };
  fresh();
  return h(
    "form",
    { onsubmit: measure },
    h("p", { class: "help" }, t("scan.how")),
    h(
      "div",
      { class: "grid" },
      field("scan-pack", t("scan.pack"), sheets),
      h("div", { class: "field" }, h("label", { for: "scan-picture", class: "label" }, t("scan.picture")), h("span", { class: "box" }, scan), bring(scan, t("scan.picture"))),
      field("scan-name", t("scan.name"), name, "", t("scan.name.help")),
    ),
    h(
      "details",
      null,
      h("summary", null, t("field.more"), h("span", { class: "unseen" }, `: ${t("printer.scan")}`)),
      h(
        "div",
        { class: "grid" },
        h("div", { class: "field" }, h("label", { for: "scan-turned", class: "label" }, t("scan.turned")), h("span", { class: "box" }, turned), bring(turned, t("scan.turned")), h("p", { class: "help" }, t("scan.turned.help"))),
        field("scan-page", t("scan.page"), page, "", t("scan.page.help")),
        field("scan-dpi", t("scan.dpi"), dpi, "dpi", t("scan.dpi.help")),
      ),
    ),
    h("p", null, h("button", { type: "submit" }, t("scan.measure"))),
    answer,
  );
}

/** @param {import("../api.js").Refused} refusal */
const faultTexts = (refusal) => refusal.faults.map(faultText).join(" ") || String(refusal.status);
