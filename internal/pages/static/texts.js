// The editor: line numbers and marks at mistakes while a text is typed. The
// marks lie under the field; the field itself stays a plain one.
import { send, word } from "./live.js";

/** @typedef {{line: number, column: number, level: string, text: string, do: string}} Mistake */

/** @type {Mistake[]} */
let mistakes = [];
let timer = 0;
let asked = 0;

const field = () => /** @type {HTMLTextAreaElement | null} */ (document.getElementById("text"));
/** @param {string} id */
const byID = (id) => document.getElementById(id);

function draw() {
  const text = field();
  const gutter = byID("gutter");
  const marks = byID("marks");
  if (!text || !gutter || !marks) return;
  const lines = text.value.split("\n");
  /** @type {Map<number, Mistake>} */
  const at = new Map();
  for (const m of mistakes) if (m.line && !at.has(m.line)) at.set(m.line, m);
  gutter.replaceChildren(
    ...lines.flatMap((_, i) => {
      if (!at.has(i + 1)) return [`${i + 1}\n`];
      const b = document.createElement("b");
      b.textContent = `✕ ${i + 1}`;
      return [b, "\n"];
    }),
  );
  marks.replaceChildren(
    ...lines.flatMap((line, i) => {
      const m = at.get(i + 1);
      if (!m) return [line + "\n"];
      const chars = [...line];
      const from = Math.max(m.column - 1, 0);
      let to = from;
      while (to < chars.length && !/[\s,}\]]/.test(chars[to])) to++;
      if (to === from) to = Math.min(from + 1, chars.length);
      const mark = document.createElement("mark");
      mark.textContent = chars.slice(from, to).join("") || " ";
      return [chars.slice(0, from).join(""), mark, chars.slice(to).join("") + "\n"];
    }),
  );
  scroll();
}

function scroll() {
  const text = field();
  const gutter = byID("gutter");
  const marks = byID("marks");
  if (!text || !gutter || !marks) return;
  gutter.style.setProperty("height", `${text.offsetHeight}px`);
  gutter.scrollTop = text.scrollTop;
  marks.scrollTop = text.scrollTop;
  marks.scrollLeft = text.scrollLeft;
}

function list() {
  const box = byID("wrongs");
  if (!box) return;
  if (mistakes.length === 0) {
    const p = document.createElement("p");
    p.className = "quiet";
    p.textContent = word("fine");
    box.replaceChildren(p);
    return;
  }
  const ul = document.createElement("ul");
  ul.className = "found";
  for (const m of mistakes) {
    const li = document.createElement("li");
    li.className = m.level;
    const go = document.createElement("button");
    go.type = "button";
    go.className = "plain";
    go.textContent = word("line", { line: String(m.line) });
    go.addEventListener("click", () => jump(m));
    li.append(go, ` ${m.text}. ${m.do}`);
    ul.append(li);
  }
  box.replaceChildren(ul);
}

/** Puts the caret at a mistake. @param {Mistake} m */
function jump(m) {
  const text = field();
  if (!text) return;
  const before = text.value.split("\n").slice(0, m.line - 1);
  const at = before.reduce((n, l) => n + l.length + 1, 0) + Math.max(m.column - 1, 0);
  text.focus();
  text.setSelectionRange(at, at);
  text.scrollTop = Math.max(0, (m.line - 8) * 20);
}

async function check() {
  const text = field();
  const file = document.querySelector('#editform [name="file"]');
  if (!text || !(file instanceof HTMLInputElement)) return;
  const mine = ++asked;
  try {
    const answer = /** @type {any} */ (await send("/texts/check", { file: file.value, text: text.value }));
    if (mine !== asked || !answer.findings) return;
    mistakes = answer.findings;
  } catch {
    return; // the line is lost: the page says so
  }
  draw();
  list();
}

function start() {
  const text = field();
  if (!text) return;
  draw();
  check();
  text.addEventListener("scroll", scroll);
  new ResizeObserver(scroll).observe(text);
  text.addEventListener("input", () => {
    draw();
    clearTimeout(timer);
    timer = window.setTimeout(check, 350);
  });
  text.addEventListener("keydown", (e) => {
    if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "s") {
      e.preventDefault();
      text.form?.requestSubmit();
    }
  });
  const file = byID("listfile");
  file?.addEventListener("change", async () => {
    const chosen = file instanceof HTMLInputElement ? file.files?.[0] : undefined;
    const to = byID("list");
    if (!chosen || !(to instanceof HTMLTextAreaElement)) return;
    to.value = await chosen.text();
    to.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

document.addEventListener("cupel:fresh", (e) => {
  if (/** @type {CustomEvent} */ (e).detail.id === "sheet") start();
});
start();
