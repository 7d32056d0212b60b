// Both photos of the board on one ground: tiles, the seam, the glass, and the
// pads that lie on them. The ground has the pixels of the front photo; the back
// photo lies on it as if the board were of glass.

/** @typedef {{Width: number, Height: number, Columns: number, Rows: number}} Level */
/** @typedef {{hash: string, width: number, height: number, levels: Level[]}} Side */
/** @typedef {{sides: Record<string, Side>, tile: number, pixelsPerMM: number, back?: number[], pads: Record<string, number[]>, holes: any[] | null, parts: any[] | null}} Data */
/** @typedef {{side: string, x: number, y: number}} Spot */

const GLASS = 96; // radius, CSS px
const LIMIT = 160; // tiles kept

export class Ground {
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {(spot: Spot, pad: string) => void} touched is told where the person touched a photo, and the pad there
   */
  constructor(canvas, touched) {
    this.canvas = canvas;
    this.touched = touched;
    /** @type {Data | null} */ this.data = null;
    this.view = { x: 0, y: 0, scale: 1 };
    this.seam = 0.5;
    this.glass = false;
    /** @type {string[]} */ this.asked = [];
    /** @type {Spot | null} */ this.first = null;
    /** @type {{x: number, y: number} | null} */ this.pointer = null;
    /** @type {Map<string, HTMLImageElement>} */ this.tiles = new Map();
    this.framed = false;
    this.moved = false; // by the person: the view is theirs then
    this.due = false;
    this.listen();
    new ResizeObserver(() => this.fit()).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  /** @param {Data} data */
  show(data) {
    this.data = data;
    if (!this.framed) this.whole();
    this.draw();
  }

  /** The map from a side's photo to the ground, as a canvas takes it. @param {string} side */
  map(side) {
    if (side === "front") return new DOMMatrix();
    const d = this.data;
    if (d?.back) return new DOMMatrix(d.back);
    // Not joined yet: turned over and as wide as the front, to name holes on it.
    const back = d?.sides.back, front = d?.sides.front ?? back;
    if (!back || !front) return new DOMMatrix();
    const s = front.width / back.width;
    return new DOMMatrix([-s, 0, 0, s, front.width, 0]);
  }

  /** From the ground to the screen. */
  screen() {
    const { x, y, scale } = this.view;
    return new DOMMatrix([scale, 0, 0, scale, -x * scale, -y * scale]);
  }

  /** Makes the canvas as sharp as the screen. */
  fit() {
    const dpr = devicePixelRatio || 1;
    const [w, h] = [Math.round(this.canvas.clientWidth * dpr), Math.round(this.canvas.clientHeight * dpr)];
    if (w === 0 || (this.canvas.width === w && this.canvas.height === h)) return;
    this.canvas.width = w;
    this.canvas.height = h;
    if (!this.framed || !this.moved) this.whole();
    this.ask(this.asked);
  }

  /** The whole ground in view. */
  whole() {
    const side = this.data?.sides.front ?? this.data?.sides.back;
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    if (!side || w === 0) return;
    const scale = Math.min(w / side.width, h / side.height);
    this.view = { scale, x: side.width / 2 - w / 2 / scale, y: side.height / 2 - h / 2 / scale };
    this.framed = true;
    this.draw();
  }

  /** @param {number} by @param {number} [x] @param {number} [y] in CSS px */
  zoom(by, x = this.canvas.clientWidth / 2, y = this.canvas.clientHeight / 2) {
    const v = this.view;
    const scale = Math.min(Math.max(v.scale * by, 0.01), 20);
    this.view = { scale, x: v.x + x / v.scale - x / scale, y: v.y + y / v.scale - y / scale };
    this.draw();
  }

  /** @param {number} dx @param {number} dy in CSS px */
  pan(dx, dy) {
    this.view = { ...this.view, x: this.view.x - dx / this.view.scale, y: this.view.y - dy / this.view.scale };
    this.draw();
  }

  /** The side that shows at a place of the canvas. @param {number} x */
  sideAt(x) {
    const s = this.data?.sides ?? {};
    if (!s.back) return "front";
    if (!s.front) return "back";
    return x < this.seam * this.canvas.clientWidth ? "front" : "back";
  }

  /** Where a place of the canvas is on the photo that shows there. @param {number} x @param {number} y @returns {Spot} */
  spot(x, y) {
    const side = this.sideAt(x);
    const p = this.screen().multiply(this.map(side)).inverse().transformPoint(new DOMPoint(x, y));
    return { side, x: p.x, y: p.y };
  }

  /** The pad nearest to a place of the canvas, within a finger. @param {number} x @param {number} y */
  padAt(x, y) {
    let best = "", far = 22;
    for (const [name, spots] of Object.entries(this.data?.pads ?? {})) {
      for (const p of this.places(spots)) {
        const d = Math.hypot(p.x - x, p.y - y);
        if (d < far) [best, far] = [name, d];
      }
    }
    return best;
  }

  /** Places on the canvas of a pad's spots: side, x, y, … @param {number[]} spots */
  places(spots) {
    const out = [];
    const screen = this.screen();
    for (let i = 0; i + 2 < spots.length; i += 3) {
      const side = spots[i] === 0 ? "front" : "back";
      const p = screen.multiply(this.map(side)).transformPoint(new DOMPoint(spots[i + 1], spots[i + 2]));
      out.push({ side, x: p.x, y: p.y });
    }
    return out;
  }

  /** Pads that are asked for: ringed, and brought into view. @param {string[]} pads */
  ask(pads) {
    this.asked = pads;
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    const at = pads.flatMap((p) => this.places(this.data?.pads[p] ?? []));
    const out = at.some((p) => p.x < 4 || p.y < 4 || p.x > w - 4 || p.y > h - 4);
    if (out && at.length > 0 && w > 0) this.bring(at);
    this.draw();
  }

  /** @param {{x: number, y: number}[]} at on the canvas */
  bring(at) {
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    const xs = at.map((p) => p.x), ys = at.map((p) => p.y);
    const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const by = Math.min(1, (w - 120) / Math.max(x1 - x0, 1), (h - 120) / Math.max(y1 - y0, 1));
    this.pan(w / 2 - (x0 + x1) / 2, h / 2 - (y0 + y1) / 2);
    if (by < 1) this.zoom(by);
  }

  draw() {
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => {
      this.due = false;
      this.paint();
    });
  }

  paint() {
    const ctx = this.canvas.getContext("2d");
    const d = this.data;
    if (!ctx || !d || this.canvas.width === 0) return;
    const dpr = this.canvas.width / this.canvas.clientWidth;
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    const style = getComputedStyle(this.canvas);
    const colour = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
    ctx.setTransform(dpr, 0, 0, dpr, 0, 0);
    ctx.fillStyle = colour("--well");
    ctx.fillRect(0, 0, w, h);
    const cut = this.seam * w;
    const both = d.sides.front && d.sides.back;
    const screen = this.screen();
    if (both) {
      this.within(ctx, () => ctx.rect(0, 0, cut, h), () => this.photo(ctx, "front", screen, dpr));
      this.within(ctx, () => ctx.rect(cut, 0, w - cut, h), () => this.photo(ctx, "back", screen, dpr));
    } else {
      this.photo(ctx, d.sides.front ? "front" : "back", screen, dpr);
    }
    this.marks(ctx, colour, 1, cut, null);
    if (both) this.handle(ctx, colour, cut, h);
    if (both && this.glass && this.pointer) this.lens(ctx, colour, dpr);
  }

  /** @param {CanvasRenderingContext2D} ctx @param {() => void} shape @param {() => void} inside */
  within(ctx, shape, inside) {
    ctx.save();
    ctx.beginPath();
    shape();
    ctx.clip();
    inside();
    ctx.restore();
  }

  /** The other side at twice the size, in a round glass under the pointer. */
  /** @param {CanvasRenderingContext2D} ctx @param {(name: string) => string} colour @param {number} dpr */
  lens(ctx, colour, dpr) {
    const p = this.pointer;
    if (!p) return;
    const other = this.sideAt(p.x) === "front" ? "back" : "front";
    const near = new DOMMatrix([2, 0, 0, 2, -p.x, -p.y]).multiply(this.screen());
    this.within(ctx, () => ctx.arc(p.x, p.y, GLASS, 0, 2 * Math.PI), () => {
      ctx.fillStyle = colour("--well");
      ctx.fillRect(p.x - GLASS, p.y - GLASS, 2 * GLASS, 2 * GLASS);
      this.photo(ctx, other, near, dpr);
      this.marks(ctx, colour, 2, 0, { other, near });
    });
    ctx.beginPath();
    ctx.arc(p.x, p.y, GLASS, 0, 2 * Math.PI);
    ctx.lineWidth = 3;
    ctx.strokeStyle = colour("--ink");
    ctx.stroke();
  }

  /** The seam with its handle. */
  /** @param {CanvasRenderingContext2D} ctx @param {(name: string) => string} colour @param {number} cut @param {number} h */
  handle(ctx, colour, cut, h) {
    for (const [name, width] of [["--sheet", 5], ["--ink", 2]]) {
      ctx.beginPath();
      ctx.moveTo(cut, 0);
      ctx.lineTo(cut, h);
      ctx.lineWidth = Number(width);
      ctx.strokeStyle = colour(String(name));
      ctx.stroke();
    }
    ctx.beginPath();
    ctx.arc(cut, h - 30, 18, 0, 2 * Math.PI);
    ctx.fillStyle = colour("--sheet");
    ctx.fill();
    ctx.lineWidth = 2;
    ctx.strokeStyle = colour("--ink");
    ctx.stroke();
    ctx.beginPath();
    for (const s of [-1, 1]) {
      ctx.moveTo(cut + s * 5, h - 36);
      ctx.lineTo(cut + s * 11, h - 30);
      ctx.lineTo(cut + s * 5, h - 24);
    }
    ctx.stroke();
  }

  /** Draws a side's photo: coarse tiles first, those of the right size on top. */
  /** @param {CanvasRenderingContext2D} ctx @param {string} side @param {DOMMatrix} screen @param {number} dpr */
  photo(ctx, side, screen, dpr) {
    const s = this.data?.sides[side];
    if (!s) return;
    const m = screen.multiply(this.map(side));
    const size = Math.sqrt(Math.abs(m.a * m.d - m.b * m.c)) * dpr; // device px a photo px
    const right = Math.min(Math.max(Math.floor(-Math.log2(size) + 0.3), 0), s.levels.length - 1);
    ctx.save();
    ctx.transform(m.a, m.b, m.c, m.d, m.e, m.f);
    ctx.imageSmoothingQuality = "high";
    for (const level of new Set([s.levels.length - 1, Math.min(right + 2, s.levels.length - 1), right])) this.level(ctx, side, s, level, m);
    ctx.restore();
  }

  /** @param {CanvasRenderingContext2D} ctx @param {string} name @param {Side} s @param {number} level @param {DOMMatrix} m */
  level(ctx, name, s, level, m) {
    const l = s.levels[level];
    const edge = (this.data?.tile ?? 512) * 2 ** level;
    const back = m.inverse();
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    const seen = [[0, 0], [w, 0], [0, h], [w, h]].map(([x, y]) => back.transformPoint(new DOMPoint(x, y)));
    const low = (/** @type {number[]} */ v) => Math.max(0, Math.floor(Math.min(...v) / edge));
    const high = (/** @type {number[]} */ v, /** @type {number} */ most) => Math.min(most - 1, Math.floor(Math.max(...v) / edge));
    const xs = seen.map((p) => p.x), ys = seen.map((p) => p.y);
    for (let row = low(ys); row <= high(ys, l.Rows); row++) {
      for (let col = low(xs); col <= high(xs, l.Columns); col++) {
        const img = this.tile(name, s.hash, level, col, row);
        if (!img.complete || img.naturalWidth === 0) continue;
        const f = 2 ** level;
        ctx.drawImage(img, col * edge, row * edge, img.naturalWidth * f, img.naturalHeight * f);
      }
    }
  }

  /** @param {string} side @param {string} hash @param {number} level @param {number} column @param {number} row */
  tile(side, hash, level, column, row) {
    const key = `/ringout/tile?${new URLSearchParams({ side, hash, level: String(level), column: String(column), row: String(row) })}`;
    let img = this.tiles.get(key);
    if (img) {
      this.tiles.delete(key); // used last: kept longest
    } else {
      img = new Image();
      img.onload = () => this.draw();
      img.src = key;
      if (this.tiles.size >= LIMIT) this.tiles.delete(this.tiles.keys().next().value ?? "");
    }
    this.tiles.set(key, img);
    return img;
  }

  /** Pads, parts and holes, and rings with crosshairs around those asked for. */
  /** @param {CanvasRenderingContext2D} ctx @param {(name: string) => string} colour @param {number} big @param {number} cut @param {{other: string, near: DOMMatrix} | null} lens */
  marks(ctx, colour, big, cut, lens) {
    const d = this.data;
    if (!d) return;
    const both = d.sides.front && d.sides.back;
    const asked = new Set(this.asked);
    const [ink, ground] = [colour("--ink"), colour("--sheet")];
    const maps = { front: (lens?.near ?? this.screen()).multiply(this.map("front")), back: (lens?.near ?? this.screen()).multiply(this.map("back")) };
    /** @param {string} side @param {number} x @param {number} y */
    const place = (side, x, y) => {
      const p = maps[side === "back" ? "back" : "front"].transformPoint(new DOMPoint(x, y));
      const hidden = lens ? side !== lens.other : both && (side === "front") !== p.x < cut;
      return { x: p.x, y: p.y, hidden };
    };
    /** @param {number} x @param {number} y @param {number} r */
    const dot = (x, y, r) => {
      ctx.beginPath();
      ctx.arc(x, y, r, 0, 2 * Math.PI);
      ctx.fillStyle = ground;
      ctx.fill();
      ctx.lineWidth = 1.5;
      ctx.strokeStyle = ink;
      ctx.stroke();
    };
    ctx.font = "600 13px ui-monospace, monospace";
    for (const [name, spots] of Object.entries(d.pads ?? {})) {
      for (let i = 0; i + 2 < spots.length; i += 3) {
        const p = place(spots[i] === 0 ? "front" : "back", spots[i + 1], spots[i + 2]);
        if (!asked.has(name)) {
          if (!p.hidden) dot(p.x, p.y, 2.5 * big);
          continue;
        }
        this.ring(ctx, p, ink, ground, p.hidden);
        if (!lens) this.label(ctx, name, p.x + 26, p.y - 14, ink, ground);
      }
    }
    for (const h of d.holes ?? []) {
      for (const side of ["front", "back"]) {
        const at = side === "front" ? h.Front : h.Back;
        if (!at) continue;
        const p = place(side, at.X, at.Y);
        if (p.hidden) continue;
        ctx.strokeStyle = ink;
        ctx.lineWidth = 1.5;
        ctx.strokeRect(p.x - 6, p.y - 6, 12, 12);
        this.label(ctx, h.Name, p.x + 10, p.y + 4, ink, ground);
      }
    }
    for (const part of d.parts ?? []) {
      const p = place(part.Side, part.At.X, part.At.Y);
      if (!p.hidden && this.view.scale * (d.pixelsPerMM || 20) > 6) this.label(ctx, part.Ref, p.x - 10, p.y + 4, ink, ground);
    }
    if (this.first && !lens) {
      const p = place(this.first.side, this.first.x, this.first.y);
      this.ring(ctx, p, ink, ground, false);
    }
  }

  /** A ring with a crosshair; dashed where the pad is on the side that is hidden. */
  /** @param {CanvasRenderingContext2D} ctx @param {{x: number, y: number}} p @param {string} ink @param {string} ground @param {boolean} hidden */
  ring(ctx, p, ink, ground, hidden) {
    ctx.save();
    for (const [colour, width] of [[ground, 7], [ink, 3]]) {
      ctx.strokeStyle = String(colour);
      ctx.lineWidth = Number(width);
      ctx.setLineDash(hidden ? [6, 5] : []);
      ctx.beginPath();
      ctx.arc(p.x, p.y, 16, 0, 2 * Math.PI);
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        ctx.moveTo(p.x + 10 * dx, p.y + 10 * dy);
        ctx.lineTo(p.x + 26 * dx, p.y + 26 * dy);
      }
      ctx.stroke();
    }
    ctx.restore();
  }

  /** @param {CanvasRenderingContext2D} ctx @param {string} text @param {number} x @param {number} y @param {string} ink @param {string} ground */
  label(ctx, text, x, y, ink, ground) {
    ctx.lineWidth = 4;
    ctx.lineJoin = "round";
    ctx.strokeStyle = ground;
    ctx.strokeText(text, x, y);
    ctx.fillStyle = ink;
    ctx.fillText(text, x, y);
  }

  listen() {
    const c = this.canvas;
    /** @type {Map<number, {x: number, y: number}>} */
    const down = new Map();
    let doing = ""; // "seam", "drag", "tap"
    const at = (/** @type {PointerEvent | WheelEvent} */ e) => {
      const r = c.getBoundingClientRect();
      return { x: e.clientX - r.left, y: e.clientY - r.top };
    };
    c.addEventListener("pointerdown", (e) => {
      const p = at(e);
      c.setPointerCapture(e.pointerId);
      down.set(e.pointerId, p);
      const cut = this.seam * c.clientWidth;
      const onSeam = this.data?.sides.front && this.data?.sides.back && (Math.abs(p.x - cut) < 9 || Math.hypot(p.x - cut, p.y - c.clientHeight + 30) < 24);
      doing = down.size > 1 ? "drag" : onSeam ? "seam" : "tap";
      this.pointer = p;
    });
    c.addEventListener("pointermove", (e) => {
      const p = at(e), last = down.get(e.pointerId);
      this.pointer = p;
      if (!last) {
        if (this.glass) this.draw();
        return;
      }
      if (doing === "tap" && Math.hypot(p.x - last.x, p.y - last.y) < 6) return;
      const before = [...down.values()];
      down.set(e.pointerId, p);
      if (doing === "seam") {
        this.part(p.x / c.clientWidth);
      } else if (before.length === 2) {
        const now = [...down.values()];
        const span = (/** @type {{x: number, y: number}[]} */ two) => Math.hypot(two[0].x - two[1].x, two[0].y - two[1].y);
        this.zoom(span(now) / Math.max(span(before), 1), (now[0].x + now[1].x) / 2, (now[0].y + now[1].y) / 2);
      } else if (this.glass && e.pointerType === "touch") {
        this.draw();
      } else {
        doing = "drag";
        this.moved = true;
        this.pan(p.x - last.x, p.y - last.y);
      }
    });
    const up = (/** @type {PointerEvent} */ e) => {
      const p = down.get(e.pointerId);
      down.delete(e.pointerId);
      if (p && doing === "tap" && e.type === "pointerup") this.tap(p.x, p.y);
      if (down.size === 0) doing = "";
    };
    c.addEventListener("pointerup", up);
    c.addEventListener("pointercancel", up);
    c.addEventListener("pointerleave", () => {
      this.pointer = null;
      if (this.glass) this.draw();
    });
    c.addEventListener("wheel", (e) => {
      if (!(e.ctrlKey || e.metaKey || document.activeElement === c)) return;
      e.preventDefault();
      const p = at(e);
      this.zoom(Math.exp(-e.deltaY * (e.deltaMode === 1 ? 0.05 : 0.002)), p.x, p.y);
    }, { passive: false });
    c.addEventListener("keydown", (e) => {
      const act = {
        ArrowLeft: () => this.pan(60, 0), ArrowRight: () => this.pan(-60, 0), ArrowUp: () => this.pan(0, 60), ArrowDown: () => this.pan(0, -60),
        "+": () => this.zoom(1.4), "-": () => this.zoom(1 / 1.4), 0: () => this.whole(),
        Enter: () => this.tap(c.clientWidth / 2, c.clientHeight / 2),
      }[e.key];
      if (!act || e.ctrlKey || e.metaKey || e.altKey) return;
      e.preventDefault();
      act();
    });
  }

  /** @param {number} x @param {number} y */
  tap(x, y) {
    this.touched(this.spot(x, y), this.padAt(x, y));
  }

  /** Where the seam is, as a share of the width. @param {number} share */
  part(share) {
    this.seam = Math.min(Math.max(share, 0), 1);
    this.canvas.dispatchEvent(new CustomEvent("seam", { detail: this.seam }));
    this.draw();
  }
}
