// A waveform on a canvas. Any number of points is drawn as what falls into each
// column of pixels, from its lowest to its highest, so no spike is lost; blocks
// of points with their extremes make that quick at a million of them.
//
// Lines of one unit share a field. A line is told from the next by its dashes
// and by its name at its right end.

/** @typedef {{title: string, points: number, lines: {name: string, unit: string}[], events: {time_s: number, part: string, what: string}[] | null}} Head */
/** @typedef {{head: Head, times: Float64Array, values: Float64Array[]}} Data */

const BLOCK = 256;
const DASHES = [[], [7, 4], [2, 3], [9, 3, 2, 3], [4, 4], [12, 4]];
const NAMES = 132; // px on the right for the names
const LEFT = 58;
const FOOT = 26;

/** Takes a waveform apart as the server sends it. @param {ArrayBuffer} buffer @returns {Data} */
export function decode(buffer) {
  const length = new DataView(buffer).getUint32(0, true);
  const head = /** @type {Head} */ (JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length))));
  let at = 4 + length;
  const next = () => {
    const a = new Float64Array(buffer, at, head.points);
    at += 8 * head.points;
    return a;
  };
  const times = next();
  return { head, times, values: head.lines.map(next) };
}

/** The first index whose time is not before t. @param {Float64Array} times @param {number} t */
export function find(times, t) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (times[mid] < t) low = mid + 1;
    else high = mid;
  }
  return low;
}

/** Extremes of each block of points. */
export class Extremes {
  /** @param {Float64Array} values */
  constructor(values) {
    this.values = values;
    const n = Math.ceil(values.length / BLOCK);
    this.low = new Float64Array(n);
    this.high = new Float64Array(n);
    for (let b = 0; b < n; b++) {
      const [low, high] = this.scan(b * BLOCK, Math.min((b + 1) * BLOCK, values.length));
      this.low[b] = low;
      this.high[b] = high;
    }
  }

  /** @param {number} from @param {number} to @returns {[number, number]} */
  scan(from, to) {
    let low = Infinity;
    let high = -Infinity;
    for (let i = from; i < to; i++) {
      const v = this.values[i];
      if (v < low) low = v;
      if (v > high) high = v;
    }
    return [low, high];
  }

  /** Lowest and highest of the points from one index to before another. @param {number} from @param {number} to @returns {[number, number]} */
  over(from, to) {
    const first = Math.ceil(from / BLOCK);
    const last = Math.floor(to / BLOCK);
    if (last <= first) return this.scan(from, to);
    let [low, high] = this.scan(from, first * BLOCK);
    for (let b = first; b < last; b++) {
      if (this.low[b] < low) low = this.low[b];
      if (this.high[b] > high) high = this.high[b];
    }
    const [l, h] = this.scan(last * BLOCK, to);
    return [Math.min(low, l), Math.max(high, h)];
  }
}

/** Prints a value with an SI prefix. @param {number} v @param {string} unit */
export function print(v, unit) {
  const size = Math.abs(v);
  const comma = document.documentElement.dataset.decimal === "comma";
  let text = "0";
  let prefix = "";
  if (size > 0) {
    for (const [factor, name] of /** @type {[number, string][]} */ ([[1e6, "M"], [1e3, "k"], [1, ""], [1e-3, "m"], [1e-6, "µ"], [1e-9, "n"], [1e-12, "p"]])) {
      if (size >= factor * 0.9995 || factor === 1e-12) {
        text = String(Number((v / factor).toPrecision(4)));
        prefix = name;
        break;
      }
    }
  }
  if (comma) text = text.replace(".", ",");
  return `${text.replace("-", "−")}\u2009${prefix}${unit}`;
}

export class Wave {
  /** @type {Data} */
  data = { head: { title: "", points: 0, lines: [], events: null }, times: new Float64Array(0), values: [] };
  /** @type {Extremes[]} */
  extremes = [];
  /** @type {{unit: string, lines: number[]}[]} */
  fields = [];
  first = 0;
  last = 1;
  from = 0;
  to = 1;

  /** @param {HTMLCanvasElement} canvas @param {Data} data @param {HTMLElement | null} readout */
  constructor(canvas, data, readout) {
    this.canvas = canvas;
    this.readout = readout;
    /** @type {Record<string, number | null>} */
    this.marks = { a: null, b: null };
    this.pointer = NaN;
    this.take(data);
    this.from = this.first;
    this.to = this.last;
    this.events();
    this.draw();
  }

  /** @param {Data} data */
  take(data) {
    this.data = data;
    this.extremes = data.values.map((v) => new Extremes(v));
    this.first = data.times[0] ?? 0;
    this.last = data.times[data.times.length - 1] ?? 1;
    this.fields = [];
    data.head.lines.forEach((l, i) => {
      const field = this.fields.find((f) => f.unit === l.unit);
      if (field) field.lines.push(i);
      else this.fields.push({ unit: l.unit, lines: [i] });
    });
  }

  /** The same waveform computed anew: what is shown and marked stays. @param {Data} data */
  renew(data) {
    this.take(data);
    this.draw();
    return this;
  }

  events() {
    const c = this.canvas;
    const time = (/** @type {PointerEvent | WheelEvent} */ e) => this.timeAt(e.clientX - c.getBoundingClientRect().left);
    /** @type {number | null} */
    let grabbed = null;
    let moved = false;
    c.addEventListener("pointerdown", (e) => {
      grabbed = time(e);
      moved = false;
      c.setPointerCapture(e.pointerId);
    });
    c.addEventListener("pointermove", (e) => {
      this.pointer = time(e);
      if (grabbed !== null && e.buttons) {
        const by = grabbed - this.pointer;
        if (Math.abs(by) > (this.to - this.from) / 200) moved = true;
        if (moved) this.show(this.from + by, this.to + by);
      } else {
        this.draw();
      }
    });
    c.addEventListener("pointerup", () => (grabbed = null));
    c.addEventListener("pointerleave", () => {
      if (document.activeElement !== c) this.pointer = NaN;
      this.draw();
    });
    c.addEventListener("wheel", (e) => {
      if (!e.ctrlKey && !e.shiftKey && document.activeElement !== c) return; // the page scrolls
      e.preventDefault();
      this.zoom(e.deltaY > 0 ? 1.25 : 0.8, time(e));
    }, { passive: false });
    new ResizeObserver(() => this.draw()).observe(c);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  /** @param {number} x px */
  timeAt(x) {
    const w = Math.max(this.canvas.clientWidth - LEFT - NAMES, 1);
    return this.from + ((x - LEFT) / w) * (this.to - this.from);
  }

  /** Where the next action is: the pointer, or the middle. */
  here() {
    return this.pointer >= this.from && this.pointer <= this.to ? this.pointer : (this.from + this.to) / 2;
  }

  /** @param {number} from @param {number} to */
  show(from, to) {
    const span = Math.min(to - from, this.last - this.first);
    const least = (this.last - this.first) * 1e-9;
    if (span < least) return;
    from = Math.min(Math.max(from, this.first), this.last - span);
    this.from = from;
    this.to = from + span;
    this.draw();
  }

  /** @param {number} by @param {number} about */
  zoom(by, about) {
    this.show(about - (about - this.from) * by, about + (this.to - about) * by);
  }

  /** Does what a key or button asks. @param {string} what */
  act(what) {
    const step = (this.to - this.from) / 50;
    if (what === "in") this.zoom(0.5, this.here());
    else if (what === "out") this.zoom(2, this.here());
    else if (what === "all") this.show(this.first, this.last);
    else if (what === "left" || what === "right") {
      this.pointer = this.here() + (what === "left" ? -step : step);
      if (this.pointer < this.from || this.pointer > this.to) this.show(this.from + (what === "left" ? -step : step), this.to + (what === "left" ? -step : step));
      this.draw();
    } else {
      this.marks[what] = this.here();
      this.draw();
      this.read();
    }
  }

  /** The table of values at the marks. */
  read() {
    if (!this.readout) return;
    const a = this.marks.a ?? null;
    const b = this.marks.b ?? null;
    const table = document.createElement("table");
    /** @param {HTMLElement} to @param {string} kind @param {string[]} cells */
    const row = (to, kind, cells) => {
      const tr = document.createElement("tr");
      cells.forEach((text, i) => {
        const cell = document.createElement(text !== "" && (i === 0 || kind === "th") ? "th" : "td");
        if (cell.tagName === "TH") cell.scope = kind === "th" ? "col" : "row";
        if (i > 0) cell.className = "num";
        cell.textContent = text;
        tr.append(cell);
      });
      to.append(tr);
    };
    /** @param {number | null} t @param {number} i */
    const value = (t, i) => (t === null ? null : this.value(i, t));
    /** @param {number | null} v @param {string} unit */
    const said = (v, unit) => (v === null ? "–" : print(v, unit));
    const head = table.createTHead();
    row(head, "th", ["", "a", "b", "b − a"]);
    const body = table.createTBody();
    row(body, "td", ["t", said(a, "s"), said(b, "s"), a === null || b === null ? "–" : print(b - a, "s")]);
    this.data.head.lines.forEach((l, i) => {
      const va = value(a, i);
      const vb = value(b, i);
      row(body, "td", [l.name, said(va, l.unit), said(vb, l.unit), va === null || vb === null ? "–" : print(vb - va, l.unit)]);
    });
    this.readout.replaceChildren(table);
  }

  /** A line's value at a time, between its points. @param {number} i @param {number} t */
  value(i, t) {
    const { times, values } = this.data;
    const k = Math.min(Math.max(find(times, t), 1), times.length - 1);
    const share = (t - times[k - 1]) / (times[k] - times[k - 1] || 1);
    return values[i][k - 1] + share * (values[i][k] - values[i][k - 1]);
  }

  draw() {
    const c = this.canvas;
    const scale = devicePixelRatio || 1;
    const w = c.clientWidth;
    const h = c.clientHeight;
    if (w === 0 || h === 0) return;
    if (c.width !== Math.round(w * scale) || c.height !== Math.round(h * scale)) {
      c.width = Math.round(w * scale);
      c.height = Math.round(h * scale);
    }
    const g = c.getContext("2d");
    if (!g) return;
    const style = getComputedStyle(c);
    const colour = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
    g.setTransform(scale, 0, 0, scale, 0, 0);
    g.clearRect(0, 0, w, h);
    g.font = `12px ${style.fontFamily}`;
    const plot = { left: LEFT, width: Math.max(w - LEFT - NAMES, 40), colour };
    // A field is as tall as the names at its right end need.
    const shares = this.fields.reduce((n, f) => n + f.lines.length + 2, 0);
    let top = 0;
    const ends = [];
    for (const f of this.fields) {
      const tall = ((h - FOOT) * (f.lines.length + 2)) / shares;
      ends.push(...this.field(g, f, { ...plot, top: top + 8, tall: tall - 16 }));
      top += tall;
    }
    g.fillStyle = colour("--ink");
    this.names(g, ends, plot.left + plot.width + 6, h - FOOT);
    this.axis(g, plot, h);
    const x = (/** @type {number} */ t) => plot.left + ((t - this.from) / (this.to - this.from)) * plot.width;
    for (const [name, t] of Object.entries(this.marks)) if (t !== null) this.upright(g, x(t), h, name, [], colour("--ink"), plot);
    if (this.pointer === this.pointer) this.upright(g, x(this.pointer), h, "", [2, 3], colour("--edge"), plot);
  }

  /** @param {CanvasRenderingContext2D} g @param {number} x @param {number} h @param {string} name @param {number[]} dash @param {string} ink @param {{left: number, width: number}} plot */
  upright(g, x, h, name, dash, ink, plot) {
    if (x < plot.left || x > plot.left + plot.width) return;
    g.strokeStyle = g.fillStyle = ink;
    g.setLineDash(dash);
    g.lineWidth = 1;
    g.beginPath();
    g.moveTo(x, 0);
    g.lineTo(x, h - FOOT);
    g.stroke();
    g.setLineDash([]);
    if (name) g.fillText(name, x + 3, 11);
  }

  /** @param {CanvasRenderingContext2D} g @param {{left: number, width: number, colour: (n: string) => string}} plot @param {number} h */
  axis(g, plot, h) {
    g.fillStyle = plot.colour("--quiet");
    g.strokeStyle = plot.colour("--edge");
    g.lineWidth = 1;
    const step = round((this.to - this.from) / 5);
    g.textAlign = "center";
    for (let t = Math.ceil(this.from / step) * step; t <= this.to; t += step) {
      const x = plot.left + ((t - this.from) / (this.to - this.from)) * plot.width;
      g.beginPath();
      g.moveTo(x, h - FOOT);
      g.lineTo(x, h - FOOT + 5);
      g.stroke();
      g.fillText(print(Math.abs(t) < step / 1e6 ? 0 : t, "s"), x, h - 7);
    }
    g.textAlign = "left";
  }

  /** @param {CanvasRenderingContext2D} g @param {{unit: string, lines: number[]}} field @param {{left: number, width: number, top: number, tall: number, colour: (n: string) => string}} p */
  field(g, field, p) {
    const { times, values } = this.data;
    const i0 = Math.max(find(times, this.from) - 1, 0);
    const i1 = Math.min(find(times, this.to) + 1, times.length);
    let low = Infinity;
    let high = -Infinity;
    for (const i of field.lines) {
      const [l, hi] = this.extremes[i].over(i0, i1);
      low = Math.min(low, l);
      high = Math.max(high, hi);
    }
    if (!(high > low)) {
      low -= Math.abs(low) / 10 + 1e-12;
      high += Math.abs(high) / 10 + 1e-12;
    }
    const y = (/** @type {number} */ v) => p.top + p.tall - ((v - low) / (high - low)) * p.tall;
    this.grid(g, field, p, low, high, y);
    g.save();
    g.beginPath();
    g.rect(p.left, p.top - 3, p.width, p.tall + 6);
    g.clip();
    for (const i of field.lines) this.line(g, i, p, y, i0, i1);
    g.restore();
    return field.lines.map((i) => ({ i, y: y(values[i][Math.max(i1 - 1, 0)]) })).sort((a, b) => a.y - b.y);
  }

  /**
   * Writes the names at the right ends, moved apart where they would meet.
   * @param {CanvasRenderingContext2D} g @param {{i: number, y: number}[]} ends from the top @param {number} x @param {number} lowest
   */
  names(g, ends, x, lowest) {
    const step = Math.min(13, lowest / Math.max(ends.length, 1));
    let y = 0;
    for (const e of ends) y = e.y = Math.max(e.y, y + step);
    y = lowest + step;
    for (const e of ends.toReversed()) y = e.y = Math.min(e.y, y - step);
    for (const e of ends) g.fillText(this.data.head.lines[e.i].name, x, e.y + 4, NAMES - 8);
  }

  /** @param {CanvasRenderingContext2D} g @param {{unit: string}} field @param {{left: number, width: number, top: number, tall: number, colour: (n: string) => string}} p @param {number} low @param {number} high @param {(v: number) => number} y */
  grid(g, field, p, low, high, y) {
    g.strokeStyle = p.colour("--hair");
    g.fillStyle = p.colour("--quiet");
    g.lineWidth = 1;
    const step = round((high - low) / Math.max(2, Math.floor(p.tall / 40)));
    g.textAlign = "right";
    for (let v = Math.ceil(low / step) * step; v <= high; v += step) {
      g.beginPath();
      g.moveTo(p.left, y(v));
      g.lineTo(p.left + p.width, y(v));
      g.stroke();
      g.fillText(print(Math.abs(v) < step / 1e6 ? 0 : v, field.unit), p.left - 5, y(v) + 4);
    }
    g.textAlign = "left";
  }

  /** @param {CanvasRenderingContext2D} g @param {number} i @param {{left: number, width: number, colour: (n: string) => string}} p @param {(v: number) => number} y @param {number} i0 @param {number} i1 */
  line(g, i, p, y, i0, i1) {
    const { times, values } = this.data;
    const v = values[i];
    g.strokeStyle = p.colour(`--l${i % 6}`);
    g.lineWidth = 1.7;
    g.setLineDash(DASHES[i % DASHES.length]);
    g.beginPath();
    const perPoint = p.width / (this.to - this.from);
    if (i1 - i0 <= 2 * p.width) {
      for (let k = i0; k < i1; k++) {
        const x = p.left + (times[k] - this.from) * perPoint;
        if (k === i0) g.moveTo(x, y(v[k]));
        else g.lineTo(x, y(v[k]));
      }
    } else {
      let k = i0;
      for (let column = 0; column < p.width && k < i1; column++) {
        const end = Math.min(find(times, this.from + (column + 1) / perPoint), i1);
        if (end <= k) continue;
        const [low, high] = this.extremes[i].over(k, end);
        const x = p.left + column + 0.5;
        // In and out where the signal goes, with its extremes between.
        g.lineTo(x, y(v[k]));
        if (high !== low) {
          g.lineTo(x, y(low));
          g.lineTo(x, y(high));
        }
        g.lineTo(x, y(v[end - 1]));
        k = end;
      }
    }
    g.stroke();
    g.setLineDash([]);
  }
}

/** The next round step. @param {number} raw */
function round(raw) {
  const base = 10 ** Math.floor(Math.log10(raw));
  for (const m of [1, 2, 5, 10]) if (m * base >= raw) return m * base;
  return 10 * base;
}
