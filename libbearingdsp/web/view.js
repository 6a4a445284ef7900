// What plots and maps share: tools, zoom, pan, readout, marks of expected lines. All of it also by
// keyboard. A picture says what it draws: `plot` (title, x, markers, shaftHz), draw(), refresh().

const MARKS = [
  {letter: 'O', name: 'outer ring', colour: '--outer', dash: []},
  {letter: 'I', name: 'inner ring', colour: '--inner', dash: [7, 3]},
  {letter: 'E', name: 'rolling element', colour: '--element', dash: [2, 2]},
  {letter: 'C', name: 'cage', colour: '--cage', dash: [9, 3, 2, 3]},
  {letter: 'S', name: 'shaft', colour: '--shaft', dash: [1, 4]},
];

const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

const named = (axis) => (axis.unit ? `${axis.label} / ${axis.unit}` : axis.label);

function saveAs(name, text) {
  const link = make('a', {
    download: name,
    href: URL.createObjectURL(new Blob([text], {type: 'text/csv'})),
  });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

const fileName = (title) => title.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') + '.csv';

class View {
  constructor(plot) {
    this.plot = plot;
    this.isReadings = false;
    this.inOrders = plot.x.unit === 'orders';
    this.otherUnit = false;  // x shown in orders where it is in Hz, and the other way round
  }

  begin(figure) {
    this.build(figure);
    this.draw();
    new ResizeObserver(() => this.resize()).observe(this.box);
  }

  // --- the parts round the picture

  // The tools, the picture's box and the readout; `extra` tools and what stands under the picture.
  frame(figure, extra, keys, under, note) {
    const {plot} = this;
    this.tools = make('div', {class: 'tools', role: 'group', 'aria-label': `${plot.title}: view`});
    this.button('+', 'Zoom in', () => this.zoom(0.5));
    this.button('−', 'Zoom out', () => this.zoom(2));
    this.button('←', 'Pan left', () => this.pan(-0.25));
    this.button('→', 'Pan right', () => this.pan(0.25));
    this.button('Whole', 'Show the whole recording', () => this.show(this.first, this.last));
    extra();
    this.button('CSV', 'Save all values as CSV', () => this.save());
    this.box = make('div', {
      class: 'live',
      tabindex: '0',
      role: 'application',
      'aria-roledescription': 'plot',
      'aria-label': `${plot.title}. ${keys}`,
    });
    this.readout = make('output', {class: 'readout'}, this.hint());
    const parts = [this.tools, this.box, this.legend(), this.readout, ...under()];
    parts.push(make('p', {class: 'note'}, note));
    figure.querySelector('.static').before(...parts);
    figure.classList.add('is-live');
    this.box.addEventListener('keydown', (event) => this.key(event));
  }

  unitToggle() {
    if (!(this.plot.shaftHz > 0)) return;
    this.toggle(this.inOrders ? 'Hz' : 'Orders', this.inOrders ? 'Show frequency in Hz' : 'Show shaft orders', () => {
      this.otherUnit = !this.otherUnit;
    });
  }

  button(text, title, action) {
    const button = make('button', {type: 'button', title, 'aria-label': title}, text);
    button.addEventListener('click', action);
    this.tools.append(button);
    return button;
  }

  toggle(text, title, action, on = false) {
    const button = this.button(text, title, () => {
      action();
      button.setAttribute('aria-pressed', String(button.getAttribute('aria-pressed') !== 'true'));
      this.draw();
    });
    button.setAttribute('aria-pressed', String(on));
  }

  // Which letter and dash stands for what.
  legend() {
    const list = make('ul', {class: 'marks'});
    MARKS.forEach((style, kind) => {
      if (!this.plot.markers.some((m) => m[1] === kind)) return;
      const sample = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
      sample.setAttribute('viewBox', '0 0 32 10');
      sample.setAttribute('aria-hidden', 'true');
      const line = document.createElementNS('http://www.w3.org/2000/svg', 'path');
      line.setAttribute('d', 'M0 5H32');
      line.setAttribute('stroke-dasharray', style.dash.join(' ') || 'none');
      line.style.stroke = `var(${style.colour})`;
      line.style.strokeWidth = '2';
      sample.append(line);
      list.append(make('li', {}, sample, `${style.letter} ${style.name}`));
    });
    if (this.plot.markers.some((m) => m[4])) list.append(make('li', {}, 'bold: a line is present'));
    return list;
  }

  // --- units

  factor() {
    if (!this.otherUnit) return 1;
    return this.inOrders ? this.plot.shaftHz : 1 / this.plot.shaftHz;
  }

  xAxis() {
    if (!this.otherUnit) return this.plot.x;
    return this.inOrders ? {label: 'frequency', unit: 'Hz'} : {label: 'events per shaft revolution', unit: 'orders'};
  }

  xText(x) {
    const {x: axis, shaftHz} = this.plot;
    const own = `${shortNumber(x, 6)} ${axis.unit}`;
    if (!(shaftHz > 0)) return own;
    return this.inOrders
      ? `${own} = ${shortNumber(x * shaftHz, 6)} Hz`
      : `${own} = ${shortNumber(x / shaftHz, 5)} orders`;
  }

  // --- what is shown

  show(from, to) {
    const span = Math.min(Math.max(to - from, this.least()), this.last - this.first);
    this.from = Math.min(Math.max(from, this.first), this.last - span);
    this.to = this.from + span;
    this.refresh();
  }

  zoom(times) {
    const centre = this.cursorX ?? (this.from + this.to) / 2;
    const inside = centre > this.from && centre < this.to ? centre : (this.from + this.to) / 2;
    this.show(inside - (inside - this.from) * times, inside + (this.to - inside) * times);
  }

  pan(part) {
    const by = part * (this.to - this.from);
    this.show(this.from + by, this.to + by);
  }

  redraw() {
    this.picture.redraw(false);
  }

  resize() {
    if (this.box.clientWidth === 0) return;
    this.picture.setSize({width: this.box.clientWidth, height: this.height()});
    this.refresh();
  }

  axis(about, more) {
    return {
      label: named(about),
      labelSize: 20,
      labelFont: '13px system-ui, sans-serif',
      font: '12px system-ui, sans-serif',
      stroke: () => colour('--ink'),
      grid: {stroke: () => colour('--grid'), width: 1},
      ticks: {stroke: () => colour('--grid'), width: 1},
      values: (u, ticks) => ticks.map((t) => (t === null ? '' : shortNumber(t, 6))),
      ...more,
    };
  }

  // --- what is drawn over it

  inFrame(u, paint) {
    const {ctx, bbox} = u;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    paint(ctx, bbox);
    ctx.restore();
  }

  verticalLine(u, ctx, bbox, x, stroke, dash, alpha, scale, part = 1) {
    const at = Math.round(u.valToPos(x * this.factor(), 'x', true));
    ctx.globalAlpha = alpha;
    ctx.strokeStyle = stroke;
    ctx.lineWidth = scale;
    ctx.setLineDash(dash.map((d) => d * scale));
    ctx.beginPath();
    ctx.moveTo(at, bbox.top);
    ctx.lineTo(at, bbox.top + bbox.height * part);
    ctx.stroke();
    ctx.setLineDash([]);
    ctx.globalAlpha = 1;
  }

  // In the lowest row above the frame that has room; without room the line has no name.
  label(u, ctx, bbox, taken, x, text, fill, bold, scale) {
    ctx.font = `${bold ? 'bold ' : ''}${12 * scale}px system-ui, sans-serif`;
    const at = u.valToPos(x * this.factor(), 'x', true);
    const half = ctx.measureText(text).width / 2 + 2 * scale;
    const row = taken.findIndex((r) => r.every(([from, to]) => at - half >= to || at + half <= from));
    if (row < 0) return;
    taken[row].push([at - half, at + half]);
    ctx.fillStyle = fill;
    ctx.fillText(text, at, bbox.top - (4 + 15 * row) * scale);
  }

  // Expected lines that are in view, those that stand first, so that they get their names.
  markersInView() {
    const rank = (m) => (m[1] === 4 ? 4 : 0) + (m[4] ? 0 : 2) + (m[3] ? 1 : 0);
    return this.plot.markers.filter((m) => m[0] >= this.from && m[0] <= this.to).sort((a, b) => rank(a) - rank(b));
  }

  markerName([, kind, harmonic, sideband]) {
    return (harmonic === 1 ? '' : harmonic) + MARKS[kind].letter + (sideband > 0 ? '+' : '') + (sideband || '');
  }

  // A name over whatever lies below it.
  haloed(ctx, text, x, y, fill, scale) {
    ctx.lineJoin = 'round';
    ctx.lineWidth = 4 * scale;
    ctx.strokeStyle = colour('--ground');
    ctx.strokeText(text, x, y);
    ctx.fillStyle = fill;
    ctx.fillText(text, x, y);
  }

  // --- what the reader does

  selected(u) {
    const {left, width} = u.select;
    if (width < 5) return;
    const factor = this.factor();
    const from = u.posToVal(left, 'x') / factor;
    const to = u.posToVal(left + width, 'x') / factor;
    u.setSelect({left: 0, top: 0, width: 0, height: 0}, false);
    this.show(from, to);
  }

  // The expected line within two per cent of x.
  nearest(x) {
    let best = null;
    for (const m of this.plot.markers)
      if (!best || Math.abs(m[0] - x) < Math.abs(best[0] - x)) best = m;
    if (!best || Math.abs(best[0] - x) > 0.02 * best[0]) return '';
    const [at, kind, harmonic, sideband] = best;
    const off = Number((100 * (x / at - 1)).toFixed(2));
    const side = sideband ? `, sideband ${sideband > 0 ? '+' : '−'}${Math.abs(sideband)}` : '';
    return `${MARKS[kind].name} × ${harmonic}${side} (${off > 0 ? '+' : off < 0 ? '−' : ''}${Math.abs(off).toFixed(2)} % off)`;
  }

  // `more` are the keys of the picture's own.
  keyed(event, more) {
    const actions = {
      PageUp: () => this.pan(-0.5),
      PageDown: () => this.pan(0.5),
      Home: () => this.show(this.first, this.last),
      '+': () => this.zoom(0.5),
      '-': () => this.zoom(2),
      ...more,
    };
    const action = event.ctrlKey || event.metaKey || event.altKey ? null : actions[event.key];
    if (!action) return;
    event.preventDefault();
    action();
  }

  listen(over) {
    over.addEventListener('dblclick', () => this.show(this.first, this.last));
    over.addEventListener('wheel', (event) => {
      if (!event.ctrlKey) return;  // the plain wheel scrolls the page
      event.preventDefault();
      this.zoom(event.deltaY > 0 ? 1.25 : 0.8);
    }, {passive: false});
    this.listenToFingers(over);
  }

  // One finger pans, two zoom.
  listenToFingers(over) {
    const fingers = new Map();
    const spread = () => {
      const [a, b] = [...fingers.values()];
      return Math.max(20, Math.abs(a - b));
    };
    over.addEventListener('pointerdown', (event) => {
      if (event.pointerType === 'touch') fingers.set(event.pointerId, event.clientX);
    });
    over.addEventListener('pointermove', (event) => {
      if (!fingers.has(event.pointerId)) return;
      const before = fingers.get(event.pointerId);
      const wide = fingers.size === 2 ? spread() : 0;
      fingers.set(event.pointerId, event.clientX);
      if (fingers.size === 1) this.pan((before - event.clientX) / over.clientWidth);
      else if (fingers.size === 2) this.zoom(wide / spread());
    });
    for (const end of ['pointerup', 'pointercancel', 'pointerleave'])
      over.addEventListener(end, (event) => fingers.delete(event.pointerId));
  }
}
