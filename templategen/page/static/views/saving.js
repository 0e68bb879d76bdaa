// What is saved of a pack: PDF, files to cut, parts nested on sheets; and the proof of it.

import { faultText, fileAddress, refused, run } from "../api.js";
import { faultList, fill, h } from "../dom.js";
import { listFiles, unitsOf } from "../state.js";
import { t } from "../words.js";

// Lives as long as the page.
const wished = { formats: ["pdf"], beam: "", nested: false, sheet: "", gap: "", live: false };

/** @param {{body: () => Record<string, any>, alive: () => boolean}} pack `body` is the request of the pack */
export function savePart(pack) {
  const saved = h("div", { class: "saved" });
  const formats = ["pdf", "svg", "dxf"].map((name) => tick(t(`pack.format.${name}`), wished.formats.includes(name), (on) => {
    wished.formats = on ? [...wished.formats, name] : wished.formats.filter((one) => one !== name);
    follow();
  }));
  const machine = machinePart();
  const follow = () => (machine.hidden = !wished.formats.some((name) => name !== "pdf"));
  follow();
  const button = /** @type {HTMLButtonElement} */ (h("button", { type: "button", class: "main", onclick: () => store() }, t("pack.save")));

  const store = async () => {
    const bar = /** @type {HTMLProgressElement} */ (h("progress", { max: 1, value: 0, "aria-label": t("pack.working") }));
    fill(saved, h("p", { role: "status" }, t("pack.working")), bar);
    button.disabled = true;
    try {
      const body = { ...pack.body(), formats: wished.formats.length ? wished.formats : ["pdf"], folder: "packs", beam: wished.beam, live_text: wished.live };
      if (wished.nested) Object.assign(body, { sheet: wished.sheet.trim() || usualSheet(), gap: wished.gap });
      const result = await run("save", body, { stopped: () => !pack.alive(), progress: (done, total) => (bar.value = total ? done / total : 0) });
      if (!result || !pack.alive()) return;
      showSaved(result);
      await listFiles();
    } catch (error) {
      fill(saved, h("ul", { class: "faults", role: "alert" }, refused(error).faults.map((fault) => h("li", null, faultText(fault)))));
    } finally {
      button.disabled = false;
    }
  };

  /** @param {any} result */
  const showSaved = (result) => {
    const pdf = result.files.find((/** @type {any} */ one) => one.kind === "pdf");
    const others = result.files.filter((/** @type {any} */ one) => one !== pdf).map((/** @type {any} */ one) => one.file);
    const proof = h("div", { role: "status" });
    fill(
      saved,
      h("h3", null, t("pack.saved")),
      pdf ? h("ul", { class: "files" }, fileLink(pdf.file)) : null,
      others.length ? h("details", null, h("summary", null, t("pack.others", { count: others.length })), h("ul", { class: "files" }, others.map(fileLink))) : null,
      result.nested ? nestedSheets(result.nested) : null,
      result.notes.length ? h("ul", { class: "lines" }, result.notes.map((/** @type {string} */ text) => h("li", null, text))) : null,
      pdf ? h("p", null, h("button", { type: "button", onclick: () => prove(pdf.file, proof) }, t("verify"))) : null,
      proof,
    );
  };

  /** @param {string} file @param {HTMLElement} place */
  const prove = async (file, place) => {
    fill(place, h("p", null, t("verify.working")), h("progress", { "aria-label": t("verify.working") }));
    try {
      const found = await run("verify", { file }, { stopped: () => !pack.alive() });
      if (!found || !pack.alive()) return;
      const wrong = found.rows.filter((/** @type {any} */ row) => !row.true);
      fill(
        place,
        found.known ? h("p", { class: `state ${found.true ? "good" : "stop"}` }, h("b", null, t(found.true ? "verify.true" : "verify.false"))) : null,
        found.lines.map((/** @type {string} */ line) => h("p", null, line)),
        found.known ? h("details", { open: wrong.length > 0 }, h("summary", null, t("verify.rows", { count: found.rows.length })), proofTable(wrong.length ? wrong : found.rows)) : null,
      );
    } catch (error) {
      fill(place, faultList(refused(error).faults));
    }
  };

  const element = h("div", null, h("fieldset", { class: "formats" }, h("legend", null, t("pack.formats")), formats), machine, button, saved);
  return { element, button };
}

/** How parts are cut by machine: beam, letters, and the sheets they are nested on. */
function machinePart() {
  const nest = h("div", { class: "grid", hidden: !wished.nested }, typed("sheet", t("cut.sheet"), usualSheet(), t("cut.sheet.help")), typed("gap", t("cut.gap"), unitsOf("job") === "in" ? "1/8 in" : "3 mm", ""));
  return h(
    "fieldset",
    { class: "machine" },
    h("legend", null, t("cut.machine")),
    h("div", { class: "grid" }, typed("beam", t("cut.beam"), unitsOf("job") === "in" ? "0.008 in" : "0.2 mm", t("cut.beam.help"))),
    h("p", null, tick(t("cut.nested"), wished.nested, (on) => {
      wished.nested = on;
      nest.hidden = !on;
    })),
    nest,
    h("p", null, tick(t("cut.live"), wished.live, (on) => (wished.live = on))),
  );
}

const usualSheet = () => (unitsOf("job") === "in" ? "12x24in" : "300x600");

/** @param {string} label @param {boolean} checked @param {(on: boolean) => void} set */
function tick(label, checked, set) {
  const input = /** @type {HTMLInputElement} */ (h("input", { type: "checkbox", checked, onchange: () => set(input.checked) }));
  return h("label", { class: "tick" }, input, label);
}

/** @param {"beam" | "sheet" | "gap"} name @param {string} label @param {string} grey @param {string} help */
function typed(name, label, grey, help) {
  const id = `cut-${name}`;
  const input = /** @type {HTMLInputElement} */ (h("input", { id, class: "figure", value: wished[name], placeholder: grey, autocomplete: "off", "aria-describedby": help ? `${id}-help` : null, oninput: () => (wished[name] = input.value) }));
  return h("div", { class: "field" }, h("label", { for: id, class: "label" }, label), h("span", { class: "box" }, input), help ? h("p", { class: "help", id: `${id}-help` }, help) : null);
}

/** @param {string} file */
const fileLink = (file) =>
  h("li", null, h("a", { href: fileAddress(file), target: "_blank", rel: "noopener" }, file), " ", h("a", { class: "small", href: fileAddress(file, true), download: "" }, t("pack.download"), h("span", { class: "unseen" }, ` ${file}`)));

/** @param {any} nested */
function nestedSheets(nested) {
  return h(
    "section",
    { class: "nested", "aria-labelledby": "nested-title" },
    h("h3", { id: "nested-title" }, t("cut.sheets", { count: nested.sheets.length })),
    h("a", { class: "paper", href: fileAddress(nested.picture, true), download: "" }, h("img", { src: fileAddress(nested.picture), alt: t("cut.overview") })),
    nested.sheets.map((/** @type {any} */ sheet) =>
      h(
        "details",
        null,
        h("summary", null, sheet.title, " ", h("span", { class: "count" }, sheet.share)),
        h("ul", { class: "held" }, sheet.held.map((/** @type {any} */ one) => h("li", null, one.copies > 1 ? `${one.copies} × ${one.title}` : one.title))),
        h("ul", { class: "files" }, sheet.files.map(fileLink)),
      ),
    ),
    h("ul", { class: "files" }, fileLink(nested.contents)),
  );
}

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
