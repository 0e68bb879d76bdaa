// Which file is open: pick another, make a new one, copy this one.

import { refused } from "./api.js";
import { ask, h } from "./dom.js";
import { filesOf, makeFile, openShop, save, state, unitsOf, unsaved } from "./state.js";
import { t } from "./words.js";

/** Name of a file from what a person called it. @param {string} name */
function fileName(name) {
  const plain = name
    .replace(/ß/g, "ss")
    .replace(/ä/g, "ae")
    .replace(/ö/g, "oe")
    .replace(/ü/g, "ue")
    .normalize("NFKD")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "");
  return `${(plain || "new").slice(0, 60)}.toml`;
}

/** @param {"job" | "shop"} kind */
export function fileBar(kind) {
  const now = state[kind]?.file ?? "";
  const select = /** @type {HTMLSelectElement} */ (
    h(
      "select",
      { id: `file-${kind}`, onchange: () => open(kind, select.value) },
      filesOf(kind).map((file) => h("option", { value: file.file }, file.title ? `${file.title} (${file.file})` : file.file)),
      filesOf(kind).some((file) => file.file === now) ? null : h("option", { value: now }, now),
    )
  );
  select.value = now;
  return h(
    "div",
    { class: "file-bar row" },
    h("label", { for: `file-${kind}`, class: "label" }, t(`file.${kind}`)),
    h("span", { class: "box" }, select),
    h("button", { type: "button", onclick: () => fresh(kind, false) }, t(`file.new.${kind}`)),
    h("button", { type: "button", onclick: () => fresh(kind, true) }, t("file.copy")),
  );
}

/** @param {"job" | "shop"} kind @param {string} file */
async function open(kind, file) {
  if (unsaved() && !(await leave())) {
    const select = /** @type {HTMLSelectElement | null} */ (document.getElementById(`file-${kind}`));
    if (select) select.value = state[kind]?.file ?? "";
    return;
  }
  if (kind === "job") location.hash = `${location.hash.split("?")[0]}?job=${encodeURIComponent(file)}`;
  else await openShop(file);
}

/** Asks what becomes of changes that are not saved. @returns {Promise<boolean>} whether to go on */
export async function leave() {
  const picked = await ask(t("leave.title"), [h("p", null, t("leave.text"))], [
    { value: "save", label: t("save"), main: true },
    { value: "drop", label: t("leave.drop") },
    { value: "", label: t("cancel") },
  ]);
  if (picked === "save") return save();
  if (picked !== "drop") return false;
  for (const form of [state.job, state.shop]) if (form) form.table = JSON.parse(form.kept);
  return true;
}

/** @param {"job" | "shop"} kind @param {boolean} copy */
async function fresh(kind, copy) {
  if (unsaved() && !(await leave())) return;
  let fault = "";
  for (;;) {
    const input = /** @type {HTMLInputElement} */ (h("input", { id: "new-name", autocomplete: "off", required: true, "aria-describedby": "new-fault" }));
    const picked = await ask(
      copy ? t(`file.copy.${kind}`) : t(`file.new.${kind}`),
      [h("p", null, h("label", { for: "new-name", class: "label" }, t(`file.name.${kind}`)), h("span", { class: "box" }, input)), h("p", { class: "fault", id: "new-fault", hidden: !fault }, fault)],
      [
        { value: "make", label: t("file.make"), main: true },
        { value: "", label: t("cancel") },
      ],
    );
    if (picked !== "make" || !input.value.trim()) return;
    const name = input.value.trim();
    const file = fileName(name);
    if (state.files.some((one) => one.file === file)) {
      fault = t("file.taken", { file });
      continue;
    }
    const units = unitsOf(kind);
    /** @type {Record<string, any>} */
    const table = copy ? structuredClone(state[kind]?.table ?? {}) : { units };
    if (kind === "shop") table.name = name;
    else {
      table.title = name;
      table.shop ??= state.shop?.file ?? "shop.toml";
      if (!copy) table.blank = units === "in" ? { diameter: "12", height: "5" } : { diameter: "300", height: "120" };
    }
    if (kind === "shop" && !copy) table.cutters = [{ id: t("shop.new.cutters", { number: 1 }), radius: units === "in" ? "4" : "100", kerf: units === "in" ? "3/8" : "9" }];
    try {
      const made = await makeFile(kind, file, table);
      if (kind === "job") location.hash = `${location.hash.split("?")[0]}?job=${encodeURIComponent(made)}`;
      return;
    } catch (error) {
      fault = refused(error).message;
    }
  }
}
