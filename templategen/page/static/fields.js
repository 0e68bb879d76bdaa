// The fields of a form: what stands in them is kept exactly as typed; the server reads it.

import { call, faultText } from "./api.js";
import { fill, h, later } from "./dom.js";
import { change, on, state, unitsOf, valueAt } from "./state.js";
import { t } from "./words.js";

/**
 * @typedef {import("./state.js").Doc} Doc
 * @typedef {{path: string, key: string, kind: string, label: string, help: string, unit: string, default: string,
 *   limits: string, choices?: {value: string, label: string}[], required: boolean, simple: boolean}} Field
 * @typedef {{table: string, label: string, rows?: boolean, fields: Field[]}} Table
 */

/** @type {{job: Table[], shop: Table[]}} */
let known = { job: [], shop: [] };

/** Fetches what the fields are called, in the units of the two forms. */
export async function loadFields() {
  const language = state.language;
  const units = { job: unitsOf("job"), shop: unitsOf("shop") };
  const job = await call("fields", { language, units: units.job });
  const shop = units.shop === units.job ? job : await call("fields", { language, units: units.shop });
  known = { job: job.job, shop: shop.shop };
}

/** @param {Doc} doc @param {string} name @returns {Table | undefined} */
export const tableOf = (doc, name) => known[doc].find((table) => table.table === name);

/** @param {Doc} doc */
export const tablesOf = (doc) => known[doc];

/** Every field of a form that stands in it now, rows one by one. @param {Doc} doc */
export function allFields(doc) {
  return known[doc].flatMap((table) => {
    if (!table.rows) return table.fields;
    const rows = valueAt(doc, table.table);
    if (!Array.isArray(rows)) return [];
    return rows.flatMap((_, n) => table.fields.map((field) => ({ ...field, path: `${table.table}[${n + 1}].${field.key}` })));
  });
}

/** What a person calls a key: its table with the number of its row, and its field. @param {Doc} doc @param {string} key */
export function labelOf(doc, key) {
  const plain = key.replace(/\[\d+\]/g, "");
  const row = key.match(/\[(\d+)\]/)?.[1] ?? "";
  for (const table of known[doc]) {
    const field = table.fields.find(({ path }) => plain === path || plain.startsWith(`${path}.`));
    if (field) return [`${table.label} ${row}`.trim(), field.label].filter((text, n) => n || table.table).join(": ");
  }
  return key;
}

/** Id of a field's input. @param {Doc} doc @param {string} path */
export const inputId = (doc, path) => `${doc}-${path.replace(/[^\w]+/g, "-").replace(/-$/, "")}`;

/** A set of fields on the page: follows the forms and shows the faults, until it is ended. */
export class FieldSet {
  constructor() {
    /** @type {Map<string, {update: () => void, fault: HTMLElement, inputs: () => HTMLElement[]}>} */
    this.fields = new Map();
    this.ends = [on("form", () => this.update()), on("faults", () => this.showFaults())];
  }

  end() {
    for (const end of this.ends) end();
  }

  update() {
    for (const field of this.fields.values()) {
      if (!field.inputs().includes(/** @type {HTMLElement} */ (document.activeElement))) field.update();
    }
  }

  /** Puts each fault at its field. Those without a field here are told by the verdict. */
  showFaults() {
    for (const [place, field] of this.fields) {
      const [doc, path] = place.split(/:(.*)/s);
      const found = state.faults.filter(
        (fault) => fault.doc === doc && (fault.key === path || fault.key.startsWith(`${path}.`) || fault.key.startsWith(`${path}[`)),
      );
      const touched = found.length > 0;
      fill(field.fault, found.map((fault) => h("span", null, faultText(fault))));
      field.fault.hidden = !touched;
      for (const input of field.inputs()) {
        if (touched) input.setAttribute("aria-invalid", "true");
        else input.removeAttribute("aria-invalid");
      }
    }
  }

  /**
   * A field with its label, unit, help and fault.
   * @param {Doc} doc @param {Field} field @param {{path?: string, onfocus?: () => void, rows?: boolean}} [options]
   * @returns {HTMLElement}
   */
  field(doc, field, { path = field.path, onfocus, rows = false } = {}) {
    const id = inputId(doc, path);
    const helped = `${id}-help`;
    const fault = h("p", { class: "fault", id: `${id}-fault`, hidden: true });
    const made = control({ doc, field, path, id, described: `${helped} ${id}-fault`, rows });
    this.fields.set(`${doc}:${path}`, { update: made.update, fault, inputs: made.inputs });
    const grouped = made.inputs().length > 1;
    const label = h(grouped ? "span" : "label", grouped ? { id: `${id}-label`, class: "label" } : { for: id, class: "label" }, field.label, field.required ? h("span", { class: "needed" }, ` · ${t("field.needed")}`) : null);
    const help = [field.help, field.limits && !field.help ? field.limits : ""].filter(Boolean).join(" ");
    const element = h(
      "div",
      grouped ? { class: `field kind-${field.kind}`, role: "group", "aria-labelledby": `${id}-label` } : { class: `field kind-${field.kind}` },
      label,
      made.element,
      fault,
      h("p", { class: "help", id: helped }, help),
    );
    if (onfocus) element.addEventListener("focusin", onfocus);
    if (onfocus) element.addEventListener("pointerenter", onfocus);
    return element;
  }
}

/**
 * @typedef {{doc: Doc, field: Field, path: string, id: string, described: string, rows: boolean}} Spot
 * @typedef {{element: HTMLElement, update: () => void, inputs: () => HTMLElement[]}} Control
 */

/** @param {Spot} spot @param {any} value */
function enter(spot, value) {
  change([{ doc: spot.doc, key: spot.path, value }], { key: `${spot.doc}:${spot.path}`, rows: spot.rows });
}

/** @param {any} value */
const shown = (value) => (value == null ? "" : typeof value === "object" ? JSON.stringify(value) : String(value));

/** @param {Spot} spot @returns {Control} */
function control(spot) {
  switch (spot.field.kind) {
    case "choice":
      return choice(spot, spot.field.choices ?? []);
    case "flag":
      return flag(spot);
    case "wood":
      return wood(spot);
    case "wall":
      return wall(spot);
    case "floor":
      return floor(spot);
    case "outside":
      return outside(spot);
    case "relief":
      return relief(spot);
    case "section":
      return pair(spot, t("field.width"), t("field.height"));
    case "lengths":
      return list(spot);
    case "cutters":
      return cutters(spot);
    default:
      return line(spot);
  }
}

/** The unit after an input. @param {string} unit */
const unitMark = (unit) => (unit ? h("span", { class: "unit", "aria-hidden": "true" }, unit) : null);

/**
 * One input for text or a figure.
 * @param {Spot} spot @param {{id?: string, label?: string, value: () => string, set: (text: string) => void, unit?: string, grey?: string, type?: string}} options
 */
function box(spot, { id = spot.id, label, value, set, unit = spot.field.unit, grey = spot.field.default, type = "text" }) {
  const plain = ["text", "date", "wood"].includes(spot.field.kind);
  const input = /** @type {HTMLInputElement} */ (
    h("input", {
      id,
      type,
      value: value(),
      placeholder: unit && grey.endsWith(unit) ? grey.slice(0, -unit.length).trim() : grey,
      autocomplete: "off",
      spellcheck: "false",
      inputmode: plain ? null : "text",
      "aria-describedby": spot.described,
      "aria-label": label ? `${spot.field.label}: ${label}` : null,
      class: plain ? "" : "figure",
      oninput: () => set(input.value),
    })
  );
  return { input, element: h("span", { class: "box" }, input, unitMark(unit)) };
}

/** @param {Spot} spot @returns {Control} */
function line(spot) {
  const value = () => shown(valueAt(spot.doc, spot.path));
  const made = box(spot, { value, set: (text) => enter(spot, text === "" ? null : text), type: spot.field.kind === "date" ? "date" : "text" });
  return { element: made.element, update: () => (made.input.value = value()), inputs: () => [made.input] };
}

/** @param {Spot} spot @param {{value: string, label: string}[]} choices @returns {Control} */
function choice(spot, choices) {
  const select = /** @type {HTMLSelectElement} */ (
    h("select", { id: spot.id, "aria-describedby": spot.described, onchange: () => enter(spot, select.value || null) })
  );
  const named = choices.find((one) => one.value === spot.field.default || one.label === spot.field.default);
  const usual = named ? named.label : spot.field.default;
  const update = () => {
    const now = shown(valueAt(spot.doc, spot.path));
    fill(
      select,
      h("option", { value: "" }, usual ? t("field.usual", { value: usual }) : t("field.none")),
      choices.map((one) => h("option", { value: one.value }, one.label)),
      now && !choices.some((one) => one.value === now) ? h("option", { value: now }, now) : null,
    );
    select.value = now;
  };
  update();
  return { element: h("span", { class: "box" }, select), update, inputs: () => [select] };
}

/** @param {Spot} spot @returns {Control} */
function flag(spot) {
  const usual = /^(true|yes|ja|on)$/i.test(spot.field.default);
  const input = /** @type {HTMLInputElement} */ (
    h("input", { id: spot.id, type: "checkbox", "aria-describedby": spot.described, onchange: () => enter(spot, input.checked) })
  );
  const update = () => {
    const now = valueAt(spot.doc, spot.path);
    input.checked = now == null ? usual : now === true || now === "true";
  };
  update();
  return { element: h("span", { class: "box tick" }, input), update, inputs: () => [input] };
}

/** @param {Spot} spot @returns {Control} */
function wood(spot) {
  const value = () => shown(valueAt(spot.doc, spot.path));
  const listId = `${spot.id}-list`;
  const options = h("ul", { id: listId, role: "listbox", class: "woods", hidden: true, "aria-label": spot.field.label });
  let at = -1;
  const made = box(spot, {
    value,
    set: (text) => {
      enter(spot, text === "" ? null : text);
      look();
    },
  });
  const input = made.input;
  for (const [name, content] of Object.entries({ role: "combobox", "aria-expanded": "false", "aria-controls": listId, "aria-autocomplete": "list" })) {
    input.setAttribute(name, content);
  }
  const close = () => {
    options.hidden = true;
    at = -1;
    input.setAttribute("aria-expanded", "false");
    input.removeAttribute("aria-activedescendant");
  };
  /** @param {string} name */
  const take = (name) => {
    input.value = name;
    enter(spot, name);
    close();
  };
  const look = later(async () => {
    const words = input.value.trim();
    if (!words || document.activeElement !== input) return close();
    const found = (await call("woods", { words })).woods.slice(0, 12);
    if (document.activeElement !== input || (found.length === 1 && found[0].name === words)) return close();
    fill(
      options,
      found.map((/** @type {any} */ one, /** @type {number} */ n) => {
        const others = (one.names ?? []).filter((/** @type {string} */ name) => name !== one.name).slice(0, 3);
        return h(
          "li",
          { id: `${listId}-${n}`, role: "option", "aria-selected": "false", onpointerdown: (/** @type {Event} */ e) => (e.preventDefault(), take(one.name)) },
          h("b", null, one.name),
          " ",
          h("i", null, one.latin ?? ""),
          others.length ? h("small", null, others.join(", ")) : null,
        );
      }),
    );
    options.hidden = found.length === 0;
    input.setAttribute("aria-expanded", String(found.length > 0));
    at = -1;
  }, 120);
  input.addEventListener("blur", close);
  input.addEventListener("keydown", (event) => {
    if (options.hidden) return;
    const all = [...options.children];
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      at = (at + (event.key === "ArrowDown" ? 1 : -1) + all.length) % all.length;
      all.forEach((one, n) => one.setAttribute("aria-selected", String(n === at)));
      all[at].scrollIntoView({ block: "nearest" });
      input.setAttribute("aria-activedescendant", all[at].id);
    } else if (event.key === "Enter" && at >= 0) take(all[at].querySelector("b")?.textContent ?? "");
    else if (event.key === "Escape") close();
    else return;
    event.preventDefault();
  });
  return { element: h("span", { class: "box wood" }, input, options), update: () => (input.value = value()), inputs: () => [input] };
}

/**
 * A choice of ways, one of which takes a figure.
 * @param {Spot} spot
 * @param {{ways: {value: string, label: string, figure?: string}[], way: (value: any) => string, figure: (value: any) => string,
 *   entry: (way: string, figure: string) => any}} options `figure` of a way is the unit of its figure
 * @returns {Control}
 */
function ways(spot, { ways: all, way, figure, entry }) {
  const select = /** @type {HTMLSelectElement} */ (
    h(
      "select",
      { id: spot.id, "aria-describedby": spot.described, "aria-label": spot.field.label, onchange: () => (set(), update()) },
      all.map((one) => h("option", { value: one.value }, one.label)),
    )
  );
  const made = box(spot, { id: `${spot.id}-figure`, label: t("field.figure"), value: () => figure(valueAt(spot.doc, spot.path)), set: () => set(), unit: " ", grey: "" });
  const unit = /** @type {HTMLElement} */ (made.element.querySelector(".unit"));
  const set = () => enter(spot, entry(select.value, made.input.value));
  const show = () => {
    const one = all.find(({ value }) => value === select.value);
    made.element.hidden = !one?.figure;
    unit.textContent = one?.figure ?? "";
  };
  const update = () => {
    const value = valueAt(spot.doc, spot.path);
    if (document.activeElement !== select) select.value = way(value);
    if (document.activeElement !== made.input) made.input.value = figure(value);
    show();
  };
  update();
  return { element: h("span", { class: "pair" }, h("span", { class: "box" }, select), made.element), update, inputs: () => [select, made.input] };
}

/** @param {Spot} spot */
function wall(spot) {
  const share = (/** @type {any} */ value) => /%\s*$/.test(String(value));
  return ways(spot, {
    ways: [
      { value: "", label: t("field.usual", { value: spot.field.default }) },
      { value: "share", label: t("wall.share"), figure: "%" },
      { value: "length", label: t("wall.length"), figure: spot.field.unit || unitsOf(spot.doc) },
      { value: "drying", label: t("wall.drying") },
    ],
    way: (value) => (value == null ? "" : value === "drying" ? "drying" : share(value) ? "share" : "length"),
    figure: (value) => (value == null || value === "drying" ? "" : String(value).replace(/\s*%\s*$/, "")),
    entry: (way, figure) => {
      if (way === "share") return `${figure || 10} %`;
      if (way === "length") return figure || (unitsOf(spot.doc) === "in" ? "1" : "22");
      return way || null;
    },
  });
}

/** @param {Spot} spot */
function floor(spot) {
  return ways(spot, {
    ways: [
      { value: "wall", label: t("floor.wall") },
      { value: "length", label: t("wall.length"), figure: spot.field.unit || unitsOf(spot.doc) },
    ],
    way: (value) => (value == null || value === "wall" ? "wall" : "length"),
    figure: (value) => (value == null || value === "wall" ? "" : String(value)),
    entry: (way, figure) => (way === "wall" ? null : figure || (unitsOf(spot.doc) === "in" ? "1" : "22")),
  });
}

/** @param {Spot} spot @returns {Control} */
function outside(spot) {
  const start = () => {
    const height = String(valueAt("job", "blank.height") ?? "100");
    const across = Number(String(valueAt("job", "blank.diameter") ?? "200").replace(",", ".")) || 200;
    return [[String(across / 2), "0"], [String(Math.round(across * 0.45)), String(Math.round(Number(height) * 0.6) || 60)]];
  };
  const shapes = [...(spot.field.choices ?? ["arc", "even", "cylinder"].map((value) => ({ value, label: value })))];
  const select = /** @type {HTMLSelectElement} */ (
    h(
      "select",
      {
        id: spot.id,
        "aria-describedby": spot.described,
        "aria-label": spot.field.label,
        onchange: () => {
          enter(spot, select.value === "points" ? start() : select.value || null);
          update();
        },
      },
      h("option", { value: "" }, t("field.usual", { value: shapes.find(({ value, label }) => value === spot.field.default || label === spot.field.default)?.label ?? spot.field.default })),
      shapes.map((one) => h("option", { value: one.value }, one.label)),
      h("option", { value: "points" }, t("outside.points")),
    )
  );
  const area = /** @type {HTMLTextAreaElement} */ (
    h("textarea", { id: `${spot.id}-points`, rows: 4, spellcheck: "false", "aria-label": t("outside.points.help"), oninput: () => enter(spot, pairs(area.value)) })
  );
  const note = h("small", { class: "help" }, t("outside.points.help"));
  // A figure may hold a space, as 7 7/8 or 96 mm: then a semicolon parts the two.
  const pairs = (/** @type {string} */ text) => text.split("\n").map((row) => row.trim()).filter(Boolean).map((row) => row.split(row.includes(";") ? /\s*;\s*/ : /\s+/));
  const update = () => {
    const value = valueAt(spot.doc, spot.path);
    const own = Array.isArray(value);
    select.value = own ? "points" : shown(value);
    area.hidden = note.hidden = !own;
    if (own && document.activeElement !== area) area.value = value.map((row) => row.join("; ")).join("\n");
  };
  update();
  return { element: h("span", { class: "stack" }, h("span", { class: "box" }, select), area, note), update, inputs: () => [select, area] };
}

/** @param {Spot} spot @returns {Control} */
function relief(spot) {
  const value = () => valueAt(spot.doc, spot.path);
  const select = /** @type {HTMLSelectElement} */ (
    h(
      "select",
      {
        id: spot.id,
        "aria-describedby": spot.described,
        "aria-label": spot.field.label,
        onchange: () => {
          const inch = unitsOf(spot.doc) === "in";
          enter(spot, select.value === "" ? null : select.value === "none" ? false : { shift: inch ? "3/16" : "5", depth: inch ? "1" : "25" });
          update();
        },
      },
      h("option", { value: "" }, t("field.usual", { value: spot.field.default })),
      h("option", { value: "own" }, t("relief.own")),
      h("option", { value: "none" }, t("relief.none")),
    )
  );
  const part = (/** @type {"shift" | "depth"} */ key) =>
    box(spot, {
      id: `${spot.id}-${key}`,
      label: t(`relief.${key}`),
      value: () => shown(value()?.[key]),
      set: (text) => enter({ ...spot, path: `${spot.path}.${key}` }, text === "" ? null : text),
      unit: unitsOf(spot.doc),
      grey: t(`relief.${key}`),
    });
  const boxes = { shift: part("shift"), depth: part("depth") };
  const update = () => {
    const now = value();
    const own = now !== null && typeof now === "object";
    if (document.activeElement !== select) select.value = own ? "own" : now === false ? "none" : "";
    for (const key of /** @type {const} */ (["shift", "depth"])) {
      boxes[key].element.hidden = !own;
      if (document.activeElement !== boxes[key].input) boxes[key].input.value = own ? shown(now[key]) : "";
    }
  };
  update();
  return {
    element: h("span", { class: "pair" }, h("span", { class: "box" }, select), boxes.shift.element, boxes.depth.element),
    update,
    inputs: () => [select, boxes.shift.input, boxes.depth.input],
  };
}

/** Two figures. @param {Spot} spot @param {string} first @param {string} second @returns {Control} */
function pair(spot, first, second) {
  const now = () => {
    const value = valueAt(spot.doc, spot.path);
    return Array.isArray(value) ? value : ["", ""];
  };
  const set = () => {
    const both = boxes.map((made) => made.input.value);
    enter(spot, both.every((text) => text === "") ? null : both);
  };
  const boxes = [first, second].map((label, n) =>
    box(spot, { id: n ? `${spot.id}-2` : spot.id, label, value: () => shown(now()[n]), set, grey: label }),
  );
  return {
    element: h("span", { class: "pair" }, boxes[0].element, h("span", { "aria-hidden": "true" }, "×"), boxes[1].element),
    update: () => boxes.forEach((made, n) => (made.input.value = shown(now()[n]))),
    inputs: () => boxes.map((made) => made.input),
  };
}

/** Several figures or names with semicolons between. @param {Spot} spot @returns {Control} */
function list(spot) {
  const value = () => {
    const now = valueAt(spot.doc, spot.path);
    return Array.isArray(now) ? now.join("; ") : shown(now);
  };
  const made = box(spot, {
    value,
    set: (text) => {
      const all = text.split(";").map((one) => one.trim()).filter(Boolean);
      enter(spot, all.length ? all : null);
    },
    grey: spot.field.default || (spot.field.unit ? "250; 180" : ""),
  });
  return { element: made.element, update: () => (made.input.value = value()), inputs: () => [made.input] };
}

/** Which of the shop's cutters to use. @param {Spot} spot @returns {Control} */
function cutters(spot) {
  const element = h("span", { class: "ticks", id: spot.id });
  /** @type {HTMLInputElement[]} */
  let boxes = [];
  const update = () => {
    const all = /** @type {string[]} */ ((valueAt("shop", "cutters") ?? []).map((/** @type {any} */ row) => shown(row.id)).filter(Boolean));
    const used = valueAt(spot.doc, spot.path);
    boxes = all.map((id) => {
      const input = /** @type {HTMLInputElement} */ (
        h("input", {
          type: "checkbox",
          value: id,
          checked: !Array.isArray(used) || used.includes(id),
          onchange: () => {
            const picked = boxes.filter((one) => one.checked).map((one) => one.value);
            enter(spot, picked.length === all.length || picked.length === 0 ? null : picked);
          },
        })
      );
      return input;
    });
    fill(element, boxes.map((input) => h("label", { class: "tick" }, input, input.value)));
  };
  update();
  return { element, update, inputs: () => [element, ...boxes] };
}
