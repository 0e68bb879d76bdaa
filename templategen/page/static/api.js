// The server's tasks: JSON in, JSON out (relative addresses, so that each carries the key).

/**
 * @typedef {{doc: "job" | "shop" | "record" | "", key: string, what: string, mend: string, line: string}} FaultText
 */

/** An answer that is not a result. */
export class Refused extends Error {
  /**
   * @param {number} status
   * @param {FaultText[]} faults
   * @param {any} conflict the file as it is now, where it changed elsewhere
   */
  constructor(status, faults, conflict) {
    super(faults.map((fault) => fault.line || fault.what).join("; ") || String(status));
    this.status = status;
    this.faults = faults;
    this.conflict = conflict;
  }
}

/** The error as the refusal it is; any other goes on up. @param {unknown} error */
export function refused(error) {
  if (error instanceof Refused) return error;
  throw error;
}

/** What is wrong and the mend. @param {FaultText} fault */
export const faultText = (fault) => [fault.what, fault.mend].filter(Boolean).join("; ");

let language = "";

/** Language of all answers from now on. @param {string} code */
export function speak(code) {
  language = code;
}

/**
 * Calls a task of the server.
 * @param {string} name
 * @param {Record<string, any>} [body]
 * @returns {Promise<any>}
 */
export async function call(name, body = {}) {
  let answer;
  try {
    answer = await fetch(`api/${name}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(language ? { language, ...body } : body),
    });
  } catch {
    throw new Refused(0, [], null);
  }
  let content = null;
  try {
    content = await answer.json();
  } catch {
    throw new Refused(answer.status, [], null);
  }
  if (!answer.ok) throw new Refused(answer.status, content.faults ?? [], content.conflict ?? null);
  return content;
}

/**
 * Starts a long task and waits for its result.
 * @param {string} name
 * @param {Record<string, any>} body
 * @param {{progress?: (done: number, total: number) => void, stopped?: () => boolean}} [options]
 *   when `stopped` says true the task is cancelled and null comes back
 */
export async function run(name, body, { progress, stopped } = {}) {
  const started = await call(name, body);
  if (!started.task) return started;
  for (let wait = 40; ; wait = Math.min(wait * 2, 200)) {
    await new Promise((done) => setTimeout(done, wait));
    if (stopped?.()) {
      await call("cancel", { task: started.task });
      return null;
    }
    const state = await call("task", { task: started.task });
    progress?.(state.done ?? 0, state.total ?? 0);
    if (state.state === "done") return state.result;
    if (state.state === "failed") throw new Refused(422, state.faults ?? [], null);
    if (state.state === "cancelled") return null;
  }
}

/**
 * Puts a picture of a scan into the folder.
 * @param {File} file
 * @returns {Promise<{file: string}>}
 */
export async function upload(file) {
  let answer;
  try {
    answer = await fetch(`upload/${encodeURIComponent(file.name)}?language=${language}`, { method: "POST", headers: { "Content-Type": "application/octet-stream" }, body: file });
  } catch {
    throw new Refused(413, [], null); // a server that refuses a body this large ends the line
  }
  const content = await answer.json();
  if (!answer.ok) throw new Refused(answer.status, content.faults ?? [], null);
  return content;
}

/** Address of a file of the folder. @param {string} file @param {boolean} [download] */
export function fileAddress(file, download = false) {
  const path = file.split("/").map(encodeURIComponent).join("/");
  return `file/${path}${download ? "?download" : ""}`;
}
