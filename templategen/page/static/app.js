// The page: its head, its views by address, and what they share.

import { call, refused, speak } from "./api.js";
import { fill, h, keep, kept } from "./dom.js";
import { allFields, loadFields } from "./fields.js";
import { leave } from "./files.js";
import { canRedo, canUndo, filesOf, on, openJob, redo, replan, save, setUnits, state, tell, undo, unitsOf, unsaved } from "./state.js";
import { t, setWords } from "./words.js";
import { blankView } from "./views/blank.js";
import { chartView } from "./views/chart.js";
import { dryingView } from "./views/drying.js";
import { logView } from "./views/log.js";
import { nestView } from "./views/nest.js";
import { packView } from "./views/pack.js";
import { shopView } from "./views/shop.js";

/** @type {Record<string, (root: HTMLElement) => () => void>} */
const VIEWS = { shop: shopView, blank: blankView, log: logView, chart: chartView, nest: nestView, pack: packView, drying: dryingView };
const STEPS = ["shop", "blank", "nest", "pack", "drying"]; // the others help to find a blank
const LANGUAGE = "templategen-language";
const THEME = "templategen-theme";

const main = /** @type {HTMLElement} */ (document.getElementById("main"));
let showing = "";
let end = () => {};

/** Reads the address: which view, and what it asks for. */
function address() {
  const [path, query] = location.hash.replace(/^#\/?/, "").split("?");
  return { view: path in VIEWS ? path : "shop", asked: new URLSearchParams(query ?? "") };
}

/** Shows the view of the address. @param {boolean} [anew] also where it is the one that is shown */
async function route(anew = false) {
  const { view, asked } = address();
  const job = asked.get("job");
  if (job && job !== state.job?.file) {
    if (unsaved() && state.job && !(await leave())) {
      writeAddress(showing, state.job.file);
      return;
    }
    await open(job);
  }
  if (state.job) writeAddress(view, state.job.file);
  if (view !== showing || anew) {
    end();
    const changed = showing !== "" && view !== showing;
    showing = view;
    main.className = `view-${view}`;
    end = VIEWS[view](main);
    const next = STEPS[STEPS.indexOf(view) + 1];
    if (STEPS.includes(view) && next) {
      const way = h("p", { class: "next" }, h("a", { class: "button main", href: `#/${next}` }, t("next", { view: t(`view.${next}`) })));
      const bar = main.querySelector(":scope > .mini");
      if (bar) bar.before(way);
      else main.append(way);
    }
    document.title = `${t(`view.${view}`)} · templategen`;
    showViews();
    if (changed) {
      main.focus({ preventScroll: true });
      window.scrollTo(0, 0);
    }
  }
  const field = asked.get("field");
  if (field) goTo(field);
}

/** Puts the cursor into a field, with what hides it opened. @param {string} id */
function goTo(id) {
  // The key of a fault may name a part of a field: the field itself is the nearest there is.
  let found = document.getElementById(id);
  for (let cut = id; !found && cut.includes("-"); ) {
    cut = cut.slice(0, cut.lastIndexOf("-"));
    found = document.getElementById(cut);
  }
  if (!found) return;
  for (let place = found.parentElement; place; place = place.parentElement) if (place instanceof HTMLDetailsElement) place.open = true;
  found.scrollIntoView({ block: "center" });
  found.focus({ preventScroll: true });
}

/** @param {string} view @param {string} job */
function writeAddress(view, job) {
  const wanted = `#/${view}?job=${encodeURIComponent(job)}`;
  if (location.hash !== wanted) history.replaceState(null, "", wanted);
}

/** @param {string} file */
async function open(file) {
  try {
    await openJob(file);
  } catch (error) {
    state.faults = refused(error).faults;
    tell("faults");
  }
}

function showViews() {
  const nav = /** @type {HTMLElement} */ (document.getElementById("views"));
  nav.setAttribute("aria-label", t("views"));
  fill(
    nav,
    h("ul", null, Object.keys(VIEWS).map((view) =>
      h(
        "li",
        { class: STEPS.includes(view) ? "step" : "aside" },
        h("a", { href: `#/${view}`, "aria-current": view === showing ? "page" : null }, STEPS.includes(view) ? h("span", { class: "number", "aria-hidden": "true" }, STEPS.indexOf(view) + 1) : null, t(`view.${view}`)),
      ),
    )),
  );
  nav.querySelector("[aria-current]")?.scrollIntoView({ block: "nearest", inline: "nearest" });
}

function showTop() {
  const top = /** @type {HTMLElement} */ (document.getElementById("top"));
  const saveButton = h("button", { type: "button", class: "main save", onclick: () => save() }, t("save"));
  const title = h("p", { class: "job-title" });
  const kept = h("span", { class: "kept" });
  const back = h("button", { type: "button", class: "icon-button", "aria-label": t("undo"), title: t("undo"), onclick: undo }, "↶");
  const forth = h("button", { type: "button", class: "icon-button", "aria-label": t("redo"), title: t("redo"), onclick: redo }, "↷");
  const update = () => {
    fill(title, String(state.job?.table.title || state.job?.file || ""));
    const open = unsaved();
    fill(kept, open ? t("save.open") : t("save.kept"));
    kept.classList.toggle("open", open);
    /** @type {HTMLButtonElement} */ (saveButton).disabled = !open;
    /** @type {HTMLButtonElement} */ (back).disabled = !canUndo();
    /** @type {HTMLButtonElement} */ (forth).disabled = !canRedo();
    for (const input of top.querySelectorAll("input[name=units]")) /** @type {HTMLInputElement} */ (input).checked = /** @type {HTMLInputElement} */ (input).value === unitsOf("job");
  };
  fill(
    top,
    h("div", { class: "who" }, h("a", { class: "brand", href: "#/nest" }, "templategen"), title),
    h("div", { class: "tools" }, kept, saveButton, back, forth),
    h(
      "div",
      { class: "switches" },
      either("units", t("units"), [["mm", "mm"], ["in", t("units.in")]], unitsOf("job"), (value) => setUnits(/** @type {"mm" | "in"} */ (value), allFields)),
      either("language", t("language"), state.boot.languages.map((/** @type {any} */ one) => [one.code, one.name, one.code.toUpperCase()]), state.language, (value) => setLanguage(value)),
      either("theme", t("theme"), [["auto", t("theme.auto"), "◐"], ["light", t("theme.light"), "☀"], ["dark", t("theme.dark"), "☾"]], theme(), setTheme),
    ),
  );
  update();
  return update;
}

/** A switch between a few. @param {string} name @param {string} label @param {string[][]} options @param {string} now @param {(value: string) => void} set */
function either(name, label, options, now, set) {
  return h(
    "fieldset",
    { class: "either" },
    h("legend", { class: "unseen" }, label),
    options.map(([value, text, short]) =>
      h("label", { lang: name === "language" ? value : null }, h("input", { type: "radio", name, value, checked: value === now, onchange: () => set(value) }), short ? h("span", null, h("i", { class: "long" }, text), h("i", { class: "short", "aria-hidden": "true" }, short)) : h("span", null, text)),
    ),
  );
}

const theme = () => kept(THEME) ?? "auto";

/** @param {string} name */
function setTheme(name) {
  keep(THEME, name);
  if (name === "auto") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = name;
}

let updateTop = () => {};

/** Turns the page into another language: all words, the names of the fields and the plan. @param {string} code */
async function setLanguage(code) {
  keep(LANGUAGE, code);
  setWords((await call("words", { language: code })).words);
  state.language = code;
  speak(code);
  await loadFields();
  dressPage();
  tell("form"); // plans of the old language are of no use
  await route(true);
  replan();
  /** @type {HTMLElement | null} */ (document.querySelector(`input[name=language][value=${code}]`))?.focus();
}

/** What stands on the page whatever its view. */
function dressPage() {
  document.documentElement.lang = state.language;
  const skip = /** @type {HTMLElement} */ (document.getElementById("skip"));
  fill(skip, t("skip"));
  updateTop = showTop();
  showViews();
  showFoot();
}

let cautions = "";
function showFoot() {
  const found = state.plan?.cautions ?? [];
  const key = JSON.stringify([state.language, found]);
  if (key === cautions) return;
  cautions = key;
  fill(
    /** @type {HTMLElement} */ (document.getElementById("foot")),
    h("section", { "aria-labelledby": "cautions" }, h("h2", { id: "cautions" }, t("cautions")), h("ul", null, found.map((/** @type {string} */ text) => h("li", null, text)))),
    h("p", { class: "quiet" }, t("foot", { version: state.boot.version, folder: state.boot.folder })),
  );
}

async function start() {
  setTheme(theme());
  state.boot = await call("boot", kept(LANGUAGE) ? { language: kept(LANGUAGE) } : {});
  state.language = state.boot.language;
  speak(state.language);
  setWords(state.boot.words);
  state.files = state.boot.files;
  document.getElementById("skip")?.addEventListener("click", (event) => {
    event.preventDefault();
    main.focus();
  });
  const job = address().asked.get("job") ?? state.boot.file?.job ?? filesOf("job")[0]?.file;
  if (job) await open(job);
  await loadFields();
  dressPage();
  let units = `${unitsOf("job")}${unitsOf("shop")}`;
  on("kept", () => updateTop());
  on("plan", showFoot);
  const follow = async () => {
    const now = `${unitsOf("job")}${unitsOf("shop")}`;
    if (now === units) return;
    units = now;
    await loadFields();
    tell("rows");
  };
  on("rows", follow);
  on("form", follow);
  window.addEventListener("hashchange", () => route());
  window.addEventListener("beforeunload", (event) => {
    if (unsaved()) event.preventDefault();
  });
  window.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
    if (key === "s") save();
    else if (typing) return;
    else if (key === "z" && !event.shiftKey) undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) redo();
    else return;
    event.preventDefault();
  });
  await route(true);
  document.documentElement.dataset.ready = "yes";
}

start();
