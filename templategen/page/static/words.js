// Words of the page: all of them come from the server, in the language of the page.

/** @type {Record<string, string>} */
let words = {};

/** @param {Record<string, string>} found */
export function setWords(found) {
  words = found;
}

/**
 * A text of the page, with its values in place.
 * @param {string} key
 * @param {Record<string, string | number>} [values]
 */
export function t(key, values) {
  const text = words[key] ?? key;
  if (!values) return text;
  return text.replace(/\{(\w+)\}/g, (all, name) => String(values[name] ?? all));
}
