// What every page does: it hears of changes, shows a lost line, keeps what is
// typed until it is saved, and has the keys of all pages.
//
// Parts of the page that follow changes carry data-live and an id. A form with
// data-keep="name" is kept in this browser, field by field, until the server
// has taken it. A page's own module imports send, refresh and say, and listens
// for the events cupel:fresh (a part was replaced), cupel:changed, cupel:work
// and cupel:line on the document.

/** @typedef {{number: number, parts?: number, label?: string, names?: string[], work?: Work}} Told */
/** @typedef {{name: string, key: string, running: boolean, done: number, total: number, part: number, text: string}} Work */

const body = document.body;

/** The token that every POST carries. */
export let token = body.dataset.token ?? "";

/**
 * A text of the language file that the page carries.
 * @param {string} name
 * @param {Record<string, string>} [places]
 */
export function word(name, places = {}) {
  let text = document.querySelector(`#words [data-word="${name}"]`)?.textContent ?? "";
  for (const [k, v] of Object.entries(places)) text = text.replaceAll(`{${k}}`, v);
  return text;
}

/** Says something in the line under the page's sentence; empty takes it away. */
/** @param {string} text @param {{label: string, act: () => void}} [button] */
export function say(text, button) {
  const line = document.getElementById("line");
  if (!line) return;
  line.hidden = text === "";
  line.replaceChildren(text);
  if (button) {
    const b = document.createElement("button");
    b.type = "button";
    b.className = "plain";
    b.textContent = button.label;
    b.addEventListener("click", button.act);
    line.append(" ", b);
  }
}

/**
 * Carries out an action. It gives the server's answer; a lost line throws.
 * @param {string} path
 * @param {Record<string, string> | FormData} fields
 * @returns {Promise<{ok: boolean, status: number, number?: number, more?: any, error?: string, conflict?: any}>}
 */
export async function send(path, fields) {
  let answer = await post(path, fields);
  // A program that was started anew has another token: what was typed before goes
  // out with that.
  if (answer.status === 403 && (await renewed())) answer = await post(path, fields);
  const data = await answer.json();
  if (data.number) own = Math.max(own, data.number);
  return { ok: answer.ok, status: answer.status, ...data };
}

/** @param {string} path @param {Record<string, string> | FormData} fields */
function post(path, fields) {
  return fetch(path, {
    method: "POST",
    headers: { Accept: "application/json", "X-Cupel-Token": token },
    body: fields instanceof FormData ? fields : new URLSearchParams(fields),
  });
}

/** Fetches the token that is good now, and tells whether that is another. */
async function renewed() {
  const now = (await anew())?.body.dataset.token;
  if (!now || now === token) return false;
  own = shown = least = 0; // the states of another program are counted anew
  renew(now);
  return true;
}

/** This page as the server makes it now; null where it does not. */
async function anew() {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
  return answer.ok ? new DOMParser().parseFromString(await answer.text(), "text/html") : null;
}

/** The newest state this page itself made or shows. */
let own = Number(body.dataset.number ?? "0");

/** Forms in which something was typed that is not saved. */
function dirty() {
  return [...document.querySelectorAll("form[data-dirty]")];
}

/** The state that the page shows. */
let shown = own;

let asked = false; // an answer is on its way
let again = false; // it may be older than what was asked for since
let least = 0; // the state that it has to show at least

/**
 * Fetches the page anew and puts in place what differs. With the number of a
 * state it does so only until that is shown: a person's own action and the news
 * of it are one look at the page.
 * @param {number} [number]
 */
export async function refresh(number) {
  if (number !== undefined && number <= shown) return;
  if (number !== undefined) least = Math.max(least, number);
  if (asked) {
    again ||= number === undefined;
    return;
  }
  asked = true;
  try {
    const fresh = await anew();
    if (!fresh) return;
    replace(fresh);
    renew(fresh.body.dataset.token ?? token);
    shown = Number(fresh.body.dataset.number ?? "0");
    own = Math.max(own, shown);
    again ||= least > shown;
  } catch {
    lost();
  } finally {
    asked = false;
    if (again) {
      again = false;
      least = 0;
      refresh();
    }
  }
}

/** What the server wrote of each part that follows changes; modules write there too. */
const written = new Map([...document.querySelectorAll("[data-live]")].map((part) => [part.id, part.innerHTML]));

/** Takes the token of a program that was started anew. @param {string} now */
function renew(now) {
  token = now;
  for (const f of document.querySelectorAll('input[name="token"]')) /** @type {HTMLInputElement} */ (f).value = now;
}

/** @param {Document} fresh */
function replace(fresh) {
  const focus = document.activeElement?.id ?? "";
  for (const old of document.querySelectorAll("[data-live]")) {
    const now = fresh.getElementById(old.id);
    if (!now || old.querySelector("form[data-dirty]") || written.get(old.id) === now.innerHTML) continue;
    written.set(old.id, now.innerHTML);
    const open = [...old.querySelectorAll("details[open][id]")].map((d) => d.id);
    old.replaceWith(document.adoptNode(now));
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    restore(now);
    document.dispatchEvent(new CustomEvent("cupel:fresh", { detail: now }));
  }
  if (focus && document.activeElement?.id !== focus) document.getElementById(focus)?.focus({ preventScroll: true });
}

// The line to the server.

let parts = "";
let down = false;

function lost() {
  if (down) return;
  down = true;
  document.documentElement.dataset.line = "lost";
  say(word("lost"));
  document.dispatchEvent(new CustomEvent("cupel:line", { detail: false }));
}

function back() {
  if (!down) return;
  down = false;
  delete document.documentElement.dataset.line;
  say(word("found"));
  setTimeout(() => say(dirty().length > 0 ? word("kept") : ""), 4000);
  document.dispatchEvent(new CustomEvent("cupel:line", { detail: true }));
  refresh();
}

function listen() {
  const stream = new EventSource("/events");
  /** @param {string} kind @param {(t: Told) => void} take */
  const on = (kind, take) => stream.addEventListener(kind, (e) => take(JSON.parse(e.data)));
  // What happened between the making of the page and this line was not heard.
  on("hello", (t) => {
    // A program that was started anew counts from the beginning.
    if (t.number < own) own = shown = least = 0;
    back();
    if (t.number !== own || t.parts !== Number(body.dataset.parts)) refresh();
    body.dataset.parts = String(t.parts);
  });
  on("changed", changed);
  on("behind", () => refresh());
  on("told", () => refresh());
  on("work", worked);
  stream.onerror = lost;
  addEventListener("pagehide", () => stream.close());
}

/** @param {Told} t */
function changed(t) {
  document.dispatchEvent(new CustomEvent("cupel:changed", { detail: t }));
  const mine = t.number <= own;
  own = Math.max(own, t.number);
  if (!mine && dirty().length > 0) {
    say(word("elsewhere", { what: t.label ?? "" }), { label: word("reload"), act: () => location.reload() });
  }
  refresh(t.number);
}

/** @param {Told} t */
function worked(t) {
  const w = t.work;
  if (!w) return;
  document.dispatchEvent(new CustomEvent("cupel:work", { detail: w }));
  const row = document.querySelector(`[data-work="${w.name}"]`);
  const bar = row?.querySelector("progress");
  if (row && bar && w.running) {
    bar.max = w.total || 1;
    bar.value = w.done;
    const text = row.querySelector(".worktext");
    if (text) text.textContent = w.text;
  }
  const state = `${w.name} ${w.key} ${w.part} ${w.running}`;
  if (state !== parts || !row) soon();
  parts = state;
}

let timer = 0;
/** Many parts of a result a second are one look at the page. */
function soon() {
  if (timer) return;
  timer = window.setTimeout(() => {
    timer = 0;
    refresh();
  }, 400);
}

// What is typed and not saved.

/** @param {HTMLFormElement} form */
const shelf = (form) => `cupel ${location.pathname} ${form.dataset.keep}`;

/** @param {HTMLFormElement} form */
function keep(form) {
  /** @type {Record<string, string>} */
  const fields = {};
  for (const f of form.querySelectorAll("input[name], textarea[name], select[name]")) {
    const field = /** @type {HTMLInputElement} */ (f);
    if (field.name === "token" || field.name === "back" || field.type === "file") continue;
    if ((field.type === "radio" || field.type === "checkbox") && !field.checked) continue;
    fields[field.name] = field.value;
  }
  try {
    localStorage.setItem(shelf(form), JSON.stringify(fields));
  } catch {
    // A full or forbidden store: the form itself still holds the text.
  }
}

/** Forgets what was kept of a form: it is saved. @param {HTMLFormElement} form */
export function forget(form) {
  localStorage.removeItem(shelf(form));
  delete form.dataset.dirty;
}

/** Puts back what was typed before the page went away. @param {ParentNode} root */
function restore(root) {
  for (const f of root.querySelectorAll("form[data-keep]")) {
    const form = /** @type {HTMLFormElement} */ (f);
    const kept = localStorage.getItem(shelf(form));
    if (!kept) continue;
    let differs = false;
    for (const [name, value] of Object.entries(JSON.parse(kept))) {
      const field = form.elements.namedItem(name);
      if (field instanceof RadioNodeList) {
        field.value = String(value);
      } else if (field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement) {
        if (field.value !== value && name !== "base") differs = true;
        field.value = String(value);
      }
    }
    if (differs) {
      form.dataset.dirty = "yes";
      say(word("kept"));
    } else {
      forget(form);
    }
  }
}

document.addEventListener("input", (e) => {
  const form = e.target instanceof Element ? e.target.closest("form[data-keep]") : null;
  if (!(form instanceof HTMLFormElement)) return;
  form.dataset.dirty = "yes";
  keep(form);
});

// Forms go out by the module: a page that stays keeps what is typed beside them,
// where a photo was moved to and which note is open, and a lost line loses
// nothing. A form with data-whole changes the page itself; photos go by
// themselves. A conflict is shown by the page that the browser gets when it
// sends the form.
document.addEventListener("submit", async (e) => {
  const form = e.target;
  if (!(form instanceof HTMLFormElement) || e.defaultPrevented || form.method !== "post") return;
  if (form.dataset.whole !== undefined || form.enctype === "multipart/form-data") return;
  e.preventDefault();
  const typed = form.dataset.keep !== undefined;
  if (typed) {
    keep(form);
    say(word("saving"));
  }
  /** @type {Awaited<ReturnType<typeof send>>} */
  let answer;
  try {
    const fields = new FormData(form, e.submitter);
    answer = await send(form.action, Object.fromEntries([...fields].map(([k, v]) => [k, String(v)])));
  } catch {
    lost();
    say(word("lost"));
    return;
  }
  if (answer.ok) {
    if (typed) forget(form);
    pass(typed ? word("saved") : answer.more?.say ?? "");
    if (answer.more?.to) go(answer.more.to);
    else refresh();
  } else if (answer.conflict) {
    form.submit();
  } else {
    say(answer.error ?? "");
  }
});

/** Goes to a page, also where that is this one. @param {string} to */
function go(to) {
  const at = new URL(to, location.href);
  if (at.pathname + at.search === location.pathname + location.search) {
    if (at.hash !== location.hash) history.replaceState(null, "", at);
    refresh();
  } else {
    location.assign(to);
  }
}

/** Says what is read once and may go. @param {string} text */
function pass(text) {
  say(text);
  setTimeout(() => {
    if (text && document.getElementById("line")?.textContent === text) say("");
  }, 6000);
}

// Keys of all pages.

/** Whether the person types a text just now. @param {EventTarget | null} at */
export function typing(at) {
  return at instanceof HTMLElement && (at.isContentEditable || at.matches("input, textarea, select"));
}

/** Letters are keys unless they were switched off. */
export const letters = () => document.documentElement.dataset.letters !== "off";

/** @param {string} id */
const press = (id) => {
  const b = document.getElementById(id);
  if (b instanceof HTMLButtonElement && !b.disabled) b.click();
};

document.addEventListener("keydown", (e) => {
  if (e.isComposing || e.altKey) return;
  const key = e.key.toLowerCase();
  const area = e.target instanceof HTMLTextAreaElement || (typing(e.target) && /** @type {HTMLInputElement} */ (e.target).value !== "");
  if ((e.ctrlKey || e.metaKey) && (key === "z" || key === "y")) {
    if (area) return; // a text being typed has its own undo
    e.preventDefault();
    press(key === "y" || e.shiftKey ? "redo" : "undo");
    return;
  }
  if (e.key === "Escape") {
    document.dispatchEvent(new CustomEvent("cupel:escape"));
    const entry = document.querySelector("[data-entry]") ?? document.getElementById("sheet");
    if (entry instanceof HTMLElement) entry.focus();
    return;
  }
  if (e.ctrlKey || e.metaKey || typing(e.target) || !letters()) return;
  const act = {
    "[": () => body.dataset.before && location.assign(body.dataset.before),
    "]": () => body.dataset.after && location.assign(body.dataset.after),
    "/": () => document.getElementById("goto-field")?.focus(),
    "?": () => document.getElementById("keys")?.toggleAttribute("open"),
    u: () => press("undo"),
    y: () => press("redo"),
    ".": () => document.querySelector("form.work button") instanceof HTMLButtonElement && /** @type {HTMLButtonElement} */ (document.querySelector("form.work button")).click(),
  }[e.key];
  if (!act) return;
  e.preventDefault();
  act();
});

document.getElementById("goto")?.addEventListener("submit", (e) => {
  e.preventDefault();
  const field = document.getElementById("goto-field");
  if (field instanceof HTMLInputElement && field.value.trim()) location.assign(`/circuit?at=${encodeURIComponent(field.value.trim())}`);
});

// Where the chain is wider than the window, the link of this page is in sight.
document.querySelector(".chain [aria-current]")?.scrollIntoView({ block: "nearest", inline: "nearest" });
restore(document);
listen();
