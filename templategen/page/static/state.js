// What the page holds: the two forms (job and shop) as typed, their history, and the last plan.
// The files on the disk change only by `save`; what is typed survives a reload in this window.

import { call, refused } from "./api.js";
import { announce, ask, h, later } from "./dom.js";
import { t } from "./words.js";

/**
 * @typedef {"job" | "shop"} Doc
 * @typedef {{file: string, digest: string | null, table: Record<string, any>, kept: string}} Form
 *   `kept` is the table as it stands in the file, as JSON
 * @typedef {{doc: Doc, key: string, value: any}} Change
 */

const DRAFT = "templategen-draft";
const MERGE = 1500; // ms in which typing in one field is one step of undo

/** @type {{
 *   language: string, boot: any, files: any[], job: Form | null, shop: Form | null, plan: any, faults: any[],
 *   advice: any, chosen: number | null, moveFault: any,
 *   renamed: {from: number, to: number} | null, pointed: string[], offline: boolean
 * }} */
export const state = {
  language: "en",
  boot: null,
  files: [],
  job: null,
  shop: null,
  plan: null,
  faults: [],
  advice: null,
  chosen: null,
  moveFault: null,
  renamed: null,
  pointed: [],
  offline: false,
};

const windowId = Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
let serial = 0;

// Listeners

/** @type {Map<string, Set<() => void>>} */
const listeners = new Map();

/**
 * Calls `act` at each event of a name: "form" (a table changed), "rows" (rows or files changed),
 * "plan", "advice", "faults", "kept", "chosen".
 * @param {string} event @param {() => void} act @returns {() => void} what takes it off again
 */
export function on(event, act) {
  if (!listeners.has(event)) listeners.set(event, new Set());
  listeners.get(event)?.add(act);
  return () => listeners.get(event)?.delete(act);
}

/** @param {string} event */
export function tell(event) {
  for (const act of [...(listeners.get(event) ?? [])]) act();
}

// Tables

/** Steps of a path: "cutters[1].kerf" gives ["cutters", 0, "kerf"]. @param {string} path */
function steps(path) {
  return (path.match(/[^.[\]]+/g) ?? []).map((word) => (/^\d+$/.test(word) ? Number(word) - 1 : word));
}

/** Value of a form at a path, undefined where there is none. @param {Doc} doc @param {string} path */
export function valueAt(doc, path) {
  /** @type {any} */
  let place = state[doc]?.table;
  for (const step of steps(path)) place = place?.[step];
  return place;
}

/** @param {Record<string, any>} table @param {string} path @param {any} value null takes the key away */
function put(table, path, value) {
  const way = steps(path);
  const last = way.pop();
  if (last === undefined) return;
  /** @type {any} */
  let place = table;
  way.forEach((step, n) => {
    if (typeof place[step] !== "object" || place[step] === null) {
      if (value === null) place[step] ??= {};
      else place[step] = typeof (way[n + 1] ?? last) === "number" ? [] : {};
    }
    place = place[step];
  });
  if (value !== null) place[last] = value;
  else if (Array.isArray(place)) place.splice(Number(last), 1);
  else delete place[last];
}

// History

/** @type {string[]} */
let past = [];
/** @type {string[]} */
let future = [];
let lastStep = { key: "", at: 0 };

const snapshot = () => JSON.stringify([state.job?.table, state.shop?.table]);

/** @param {string} key steps of one key that follow each other quickly are one step */
function remember(key) {
  const now = performance.now();
  if (!key || key !== lastStep.key || now - lastStep.at > MERGE) {
    past.push(snapshot());
    if (past.length > 200) past.shift();
  }
  lastStep = { key, at: now };
  future = [];
}

export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;

/** @param {string[]} from @param {string[]} to */
function stepTo(from, to) {
  const wanted = from.pop();
  if (wanted === undefined || !state.job || !state.shop) return;
  to.push(snapshot());
  [state.job.table, state.shop.table] = JSON.parse(wanted);
  lastStep = { key: "", at: 0 };
  changed(true);
}
export const undo = () => stepTo(past, future);
export const redo = () => stepTo(future, past);

function forget() {
  past = [];
  future = [];
}

// Changes of the forms

/** @param {boolean} rows whether the rows or the choice of fields may have changed */
function changed(rows) {
  keepDraft();
  tell(rows ? "rows" : "form");
  tell("kept");
  replan();
}

/**
 * Changes values of the forms: one step of undo.
 * @param {Change[]} changes
 * @param {{key?: string, rows?: boolean}} [options] `key` merges steps of the same key
 */
export function change(changes, { key = "", rows = false } = {}) {
  remember(key);
  for (const { doc, key: path, value } of changes) {
    const form = state[doc];
    if (form) put(form.table, path, value);
  }
  changed(rows);
}

/** Puts a whole job in place (of a moved cut, of another set). @param {any} table @param {string} [key] */
export function changeJob(table, key = "") {
  if (!state.job) return;
  remember(key);
  state.job.table = table;
  changed(true);
}

/** @param {Doc} doc @param {string} rows @param {Record<string, any>} row @param {number} [at] */
export function addRow(doc, rows, row, at) {
  const form = state[doc];
  if (!form) return;
  remember("");
  const list = (form.table[rows] ??= []);
  list.splice(at ?? list.length, 0, structuredClone(row));
  changed(true);
}

/** @param {Doc} doc @param {string} rows @param {number} index from 0 */
export function dropRow(doc, rows, index) {
  const form = state[doc];
  if (!form) return;
  remember("");
  form.table[rows].splice(index, 1);
  if (form.table[rows].length === 0) delete form.table[rows];
  changed(true);
}

// Planning: one request on its way, the newest form waits

let under = false;
let again = false;

/** The forms as a request sends them. */
export function forms() {
  return { job: state.job?.table ?? {}, shop: state.shop?.table ?? {} };
}

export async function replan() {
  if (!state.job || !state.shop) return;
  if (under) {
    again = true;
    return;
  }
  under = true;
  do {
    again = false;
    try {
      const found = await call("plan", { ...forms(), window: windowId, serial: (serial += 1) });
      if (found.stale) continue;
      takePlan(found);
    } catch (error) {
      takeFault(error);
    }
  } while (again);
  under = false;
  askAdvice();
}

/** @param {any} found */
function takePlan(found) {
  state.plan = found;
  state.faults = [];
  state.offline = false;
  tell("plan");
  tell("faults");
}

/** @param {unknown} error */
function takeFault(error) {
  const refusal = refused(error);
  state.offline = refusal.status === 0;
  state.faults = refusal.faults;
  state.advice = null;
  tell("faults");
  tell("advice");
}

const askAdvice = later(async () => {
  if (under || !state.plan || state.faults.length) return;
  const asked = snapshot();
  try {
    const found = await call("advice", { ...forms(), window: windowId, serial: (serial += 1) });
    if (found.stale || asked !== snapshot()) return;
    state.advice = found;
  } catch (error) {
    refused(error);
    state.advice = null;
  }
  tell("advice");
}, 250);

on("form", () => (state.advice = null));
on("rows", () => (state.advice = null));

/** @type {{body: Record<string, any>, key: string} | null} */
let nextMove = null;
let moving = false;

/**
 * Moves a cut: the server snaps it to a mark, fixes it in the job and plans anew.
 * @param {Record<string, any>} body cut and where to
 * @param {string} key steps of undo are merged by it
 */
export async function moveCut(body, key) {
  nextMove = { body, key };
  if (moving) return;
  moving = true;
  while (nextMove) {
    const { body: wanted, key: step } = nextMove;
    nextMove = null;
    try {
      const found = await call("move", { ...forms(), ...wanted, window: windowId, serial: (serial += 1) });
      if (found.stale || !state.job) continue;
      remember(step);
      state.job.table = found.job;
      state.advice = null;
      // A cut that is moved past another takes another number.
      if (found.cut && found.cut !== wanted.cut) {
        state.chosen = found.cut;
        state.renamed = { from: wanted.cut, to: found.cut };
        const waiting = /** @type {{body: Record<string, any>} | null} */ (nextMove);
        if (waiting) waiting.body.cut = found.cut;
      }
      takePlan(found);
      state.renamed = null;
      keepDraft();
      tell("kept");
    } catch (error) {
      const refusal = refused(error);
      state.offline = refusal.status === 0;
      state.moveFault = refusal.faults[0] ?? null;
      announce(state.moveFault?.what ?? "");
      tell("moveFault");
    }
  }
  moving = false;
  tell("rows");
  askAdvice();
}

/** Takes the pin off a cut. @param {number} cut */
export async function unpin(cut) {
  try {
    const found = await call("unpin", { ...forms(), cut, window: windowId, serial: (serial += 1) });
    if (found.job) changeJob(found.job);
  } catch (error) {
    takeFault(error);
  }
}

/** @param {number | null} cut */
export function choose(cut) {
  if (state.chosen === cut) return;
  state.chosen = cut;
  tell("chosen");
}

/** Places that the next drawing lights up: of a finding whose field is on another view. @param {string[]} places */
export function point(places) {
  state.pointed = places;
}

// Files

/** @param {Form} form */
const isKept = (form) => JSON.stringify(form.table) === form.kept;
export const unsaved = () => [state.job, state.shop].some((form) => form && !isKept(form));

const keepDraft = () => {
  const draft = { job: state.job, shop: state.shop };
  try {
    if (unsaved()) sessionStorage.setItem(DRAFT, JSON.stringify(draft));
    else sessionStorage.removeItem(DRAFT);
  } catch {
    // A window without storage keeps the draft only as long as it is open.
  }
};

/** @param {any} found answer of read, write or copy */
function formOf(found) {
  return { file: found.file, digest: found.digest, table: found.table, kept: JSON.stringify(found.table) };
}

export async function listFiles() {
  state.files = (await call("files")).files;
}

/** @param {string} kind */
export const filesOf = (kind) => state.files.filter((file) => file.kind === kind);

/** The shop that a job names, from the folder of the job. */
function shopOf(/** @type {Form} */ job) {
  const named = typeof job.table.shop === "string" ? job.table.shop : "";
  const beside = job.file.includes("/") ? `${job.file.slice(0, job.file.lastIndexOf("/") + 1)}${named}` : named;
  const shops = filesOf("shop").map((file) => file.file);
  return shops.find((file) => file === beside) ?? shops.find((file) => file === named) ?? shops[0] ?? null;
}

/**
 * Opens a job and the shop it names; what was typed in this window and not saved comes back.
 * @param {string} file
 */
export async function openJob(file) {
  const draft = readDraft();
  const job = formOf(await call("read", { file }));
  state.job = draft?.job?.file === file ? { ...draft.job } : job;
  const shop = draft?.job?.file === file && draft.shop ? draft.shop.file : shopOf(job);
  state.shop = shop ? formOf(await call("read", { file: shop })) : null;
  if (state.shop && draft?.job?.file === file && draft.shop?.file === state.shop.file) state.shop = { ...draft.shop };
  forget();
  state.plan = null;
  state.advice = null;
  state.chosen = null;
  tell("rows");
  tell("kept");
  await replan();
}

function readDraft() {
  try {
    return JSON.parse(sessionStorage.getItem(DRAFT) ?? "null");
  } catch {
    return null;
  }
}

/** Takes another shop for this job. @param {string} file */
export async function openShop(file) {
  if (!state.job) return;
  const found = formOf(await call("read", { file }));
  remember("");
  state.shop = found;
  put(state.job.table, "shop", file);
  forget(); // a step back would put the old shop's rows into the new shop's file
  changed(true);
}

/**
 * Makes a new file from a table, and opens it.
 * @param {"job" | "shop"} kind @param {string} file @param {Record<string, any>} table
 */
export async function makeFile(kind, file, table) {
  const found = await call("write", { file, kind, table, digest: null });
  await listFiles();
  if (kind === "job") await openJob(found.file);
  else await openShop(found.file);
  return found.file;
}

/** Saves what was changed, the shop first; says what went wrong. @returns {Promise<boolean>} */
export async function save() {
  for (const doc of /** @type {Doc[]} */ (["shop", "job"])) {
    const form = state[doc];
    if (!form || isKept(form)) continue;
    if (!(await saveOne(doc, form, false))) return false;
  }
  await listFiles();
  keepDraft();
  tell("kept");
  announce(t("save.done"));
  return true;
}

/** @param {Doc} doc @param {Form} form @param {boolean} overwrite @returns {Promise<boolean>} */
async function saveOne(doc, form, overwrite) {
  const sent = JSON.stringify(form.table);
  try {
    const found = await call("write", { file: form.file, kind: doc, table: form.table, digest: form.digest, overwrite });
    form.digest = found.digest;
    form.kept = sent;
    return true;
  } catch (error) {
    const { status, faults, conflict } = refused(error);
    if (status === 409 && conflict) return settle(doc, form, conflict);
    if (status === 422) {
      state.faults = faults;
      tell("faults");
    }
    await ask(
      t("save.failed"),
      [h("p", null, t("save.failed.kept", { file: form.file })), ...faults.slice(0, 6).map((f) => h("p", null, f.line || f.what))],
      [{ value: "", label: t("close"), main: true }],
    );
    return false;
  }
}

/** Both versions are offered; nothing is lost before one was picked. */
async function settle(/** @type {Doc} */ doc, /** @type {Form} */ form, /** @type {any} */ other) {
  const picked = await ask(
    t("conflict.title"),
    [h("p", null, t("conflict.text", { file: form.file })), differences(form.table, other.table)],
    [
      { value: "mine", label: t("conflict.mine") },
      { value: "other", label: t("conflict.other") },
      { value: "", label: t("conflict.later"), main: true },
    ],
  );
  if (picked === "mine") {
    form.digest = other.digest;
    return saveOne(doc, form, true);
  }
  if (picked === "other") {
    remember("");
    Object.assign(form, { digest: other.digest, table: other.table, kept: JSON.stringify(other.table) });
    changed(true);
    return true;
  }
  return false;
}

/** The keys in which two tables differ, as a list. @param {any} mine @param {any} other */
function differences(mine, other) {
  const flat = (/** @type {any} */ value, /** @type {string} */ path, /** @type {Map<string, string>} */ into) => {
    if (value !== null && typeof value === "object") {
      for (const [key, inner] of Object.entries(value)) flat(inner, path ? `${path}.${key}` : key, into);
    } else into.set(path, String(value));
    return into;
  };
  const a = flat(mine, "", new Map());
  const b = flat(other, "", new Map());
  const keys = [...new Set([...a.keys(), ...b.keys()])].filter((key) => a.get(key) !== b.get(key)).slice(0, 12);
  return h(
    "table",
    null,
    h("thead", null, h("tr", null, h("th", { scope: "col" }, t("conflict.key")), h("th", { scope: "col" }, t("conflict.here")), h("th", { scope: "col" }, t("conflict.there")))),
    h("tbody", null, keys.map((key) => h("tr", null, h("th", { scope: "row" }, key), h("td", null, a.get(key) ?? "–"), h("td", null, b.get(key) ?? "–")))),
  );
}

// Units

const MM_PER_INCH = 25.4;

/** Whether typed text is a plain figure, without a unit. @param {any} value */
const isPlain = (value) => typeof value === "number" || (typeof value === "string" && /^-?\d+([.,]\d+)?$/.test(value.trim()));

/**
 * A length typed in one unit, as it stands in a form of the other: exact or with its own unit.
 * @param {any} value @param {"mm" | "in"} from @param {"mm" | "in"} to
 */
function carried(value, from, to) {
  if (value == null || value === "") return value;
  const text = String(value).trim();
  const plain = isPlain(value) ? Number(text.replace(",", ".")) : null;
  if (plain === null) {
    const own = text.match(/^(-?[\d.,]+)\s*(mm|in)$/);
    if (own && own[2] === to) return own[1];
    return /^[-\d\s/.,]+$/.test(text) ? `${text} ${from}` : value;
  }
  const found = to === "mm" ? plain * MM_PER_INCH : plain / MM_PER_INCH;
  const round = to === "mm" ? Math.round(found * 10) / 10 : Math.round(found * 4) / 4;
  return Math.abs(found - round) < 1e-9 ? String(round) : `${text} ${from}`;
}

/**
 * Sets the unit of both forms; every length stays what it is.
 * @param {"mm" | "in"} to
 * @param {(doc: Doc) => {path: string, kind: string}[]} lengths the fields of a form that are lengths
 */
export function setUnits(to, lengths) {
  /** @type {Change[]} */
  const changes = [];
  for (const doc of /** @type {Doc[]} */ (["job", "shop"])) {
    const from = unitsOf(doc);
    if (from === to || !state[doc]) continue;
    for (const { path, kind } of lengths(doc)) {
      const value = valueAt(doc, path);
      if (value == null) continue;
      if (kind === "length") changes.push({ doc, key: path, value: carried(value, from, to) });
      else if (kind === "relief" && typeof value === "object") {
        for (const key of Object.keys(value)) changes.push({ doc, key: `${path}.${key}`, value: carried(value[key], from, to) });
      } else if ((kind === "wall" || kind === "floor") && !/[a-z%]/i.test(String(value))) changes.push({ doc, key: path, value: carried(value, from, to) });
      else if (Array.isArray(value) && (kind === "section" || kind === "lengths")) changes.push({ doc, key: path, value: value.map((one) => carried(one, from, to)) });
      else if (Array.isArray(value) && kind === "outside") changes.push({ doc, key: path, value: value.map((pair) => pair.map((/** @type {any} */ one) => carried(one, from, to))) });
    }
    changes.push({ doc, key: "units", value: to });
  }
  if (changes.length) change(changes, { rows: true });
}

/** @param {Doc} doc @returns {"mm" | "in"} */
export function unitsOf(doc) {
  return state[doc]?.table.units === "in" ? "in" : "mm";
}
