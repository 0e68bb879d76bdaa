// Elements, and nothing else: no markup is ever made from text.

const SVG = "http://www.w3.org/2000/svg";

/**
 * @typedef {Node | string | number | null | undefined | false} Child
 * @typedef {Record<string, any>} Attributes  `onclick` and the like take a function, `class` a text
 */

/**
 * Makes an element. Attributes that are false, null or undefined are left out, true is empty.
 * @param {string} tag
 * @param {Attributes | null} [attributes]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElement}
 */
export function h(tag, attributes, ...children) {
  const element = document.createElement(tag);
  dress(element, attributes);
  element.append(...flat(children));
  return element;
}

/**
 * Makes an SVG element.
 * @param {string} tag
 * @param {Attributes | null} [attributes]
 * @param {...(Child | Child[])} children
 * @returns {SVGElement}
 */
export function s(tag, attributes, ...children) {
  const element = /** @type {SVGElement} */ (document.createElementNS(SVG, tag));
  dress(element, attributes);
  element.append(...flat(children));
  return element;
}

/** @param {Element} element @param {Attributes | null | undefined} attributes */
function dress(element, attributes) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" || name === "checked" || name === "indeterminate" || name === "selected") {
      /** @type {any} */ (element)[name] = value;
    } else element.setAttribute(name, value === true ? "" : String(value));
  }
}

/** @param {(Child | Child[])[]} children @returns {(Node | string)[]} */
function flat(children) {
  return children
    .flat()
    .filter((child) => child !== null && child !== undefined && child !== false)
    .map((child) => (child instanceof Node ? child : String(child)));
}

/** Puts new content into an element. @param {Element} element @param {...(Child | Child[])} children */
export function fill(element, ...children) {
  element.replaceChildren(...flat(children));
  return element;
}

/**
 * Reads a drawing of the server. Scripts in it would not run: the content policy forbids them.
 * @param {string} text
 * @returns {SVGSVGElement | null}
 */
export function drawing(text) {
  const root = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (root.localName !== "svg") return null;
  return /** @type {SVGSVGElement} */ (/** @type {Element} */ (document.importNode(root, true)));
}

/** Says a sentence to a screen reader. @param {string} text */
export function announce(text) {
  const place = document.getElementById("said");
  if (place && place.textContent !== text) place.textContent = text;
}

/** Faults, a line each. @param {{what: string, line: string}[]} faults */
export const faultList = (faults) => h("ul", { class: "faults" }, faults.map((fault) => h("li", null, fault.line || fault.what)));

/**
 * Calls `act` when nothing was asked for `wait` ms.
 * @param {() => void} act
 * @param {number} wait
 */
export function later(act, wait) {
  let timer = 0;
  return () => {
    clearTimeout(timer);
    timer = window.setTimeout(act, wait);
  };
}

/**
 * A window above the page; ends with the value of the button pressed, "" when closed.
 * @param {string} title
 * @param {(Child | Child[])[]} content
 * @param {{value: string, label: string, main?: boolean}[]} buttons
 * @returns {Promise<string>}
 */
export function ask(title, content, buttons) {
  const dialog = /** @type {HTMLDialogElement} */ (h(
    "dialog",
    { "aria-labelledby": "dialog-title" },
    h(
      "form",
      { method: "dialog" },
      h("h2", { id: "dialog-title" }, title),
      ...content,
      h(
        "div",
        { class: "row end" },
        buttons.map(({ value, label, main }) =>
          h("button", { value, type: "submit", class: main ? "main" : "" }, label),
        ),
      ),
    ),
  ));
  document.getElementById("dialogs")?.append(dialog);
  return new Promise((done) => {
    dialog.addEventListener("close", () => {
      const value = dialog.returnValue;
      dialog.remove();
      done(value);
    });
    dialog.addEventListener("cancel", () => (dialog.returnValue = ""));
    // The first button is what Enter presses: it must be the main one.
    const form = /** @type {HTMLFormElement} */ (dialog.firstElementChild);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const pressed = /** @type {HTMLButtonElement | null} */ (/** @type {SubmitEvent} */ (event).submitter);
      dialog.close(pressed?.value ?? "");
    });
    dialog.showModal();
  });
}

/** What this browser keeps under a name; null where it keeps nothing. @param {string} name */
export function kept(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

/** @param {string} name @param {string} value */
export function keep(name, value) {
  try {
    localStorage.setItem(name, value);
  } catch {
    // Without storage the choice lasts as long as the page.
  }
}
