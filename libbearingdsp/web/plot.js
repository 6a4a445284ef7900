// One interactive plot: zoom, pan, readout, and a line of the reader's own with its harmonics and
// sidebands. All of it also by keyboard.

const MARKS = [
  {letter: 'O', name: 'outer ring', colour: '--outer', dash: []},
  {letter: 'I', name: 'inner ring', colour: '--inner', dash: [7, 3]},
  {letter: 'E', name: 'rolling element', colour: '--element', dash: [2, 2]},
  {letter: 'C', name: 'cage', colour: '--cage', dash: [9, 3, 2, 3]},
  {letter: 'S', name: 'shaft', colour: '--shaft', dash: [1, 4]},
];
const LABEL_ROWS = 3;
const MOST_HARMONICS = 60;
const SIDEBANDS = 3;

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

const dateText = (seconds) => new Date(seconds * 1000).toISOString().slice(0, 10);

const fileName = (title) => title.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') + '.csv';

class Plot {
  constructor(figure, plot) {
    this.plot = plot;
    this.curve = new Curve(plot);
    this.isSpectrum = plot.kind === 'spectrum';
    this.isReadings = plot.kind === 'readings';
    this.inOrders = plot.x.unit === 'orders';
    this.otherUnit = false;  // x shown in orders where it is in Hz, and the other way round
    this.logarithmic = false;
    this.trial = null;  // x of the reader's own line, in the plot's own unit
    this.spacing = 0;
    this.first = Math.min(this.curve.x(0), this.isSpectrum ? 0 : Infinity);
    this.last = this.curve.x(this.curve.count - 1);
    this.from = this.first;
    this.to = Math.min(plot.end, this.last);
    if (this.isReadings) this.widenForRanges();
    this.build(figure);
    this.draw();
    new ResizeObserver(() => this.resize()).observe(this.box);
  }

  // A forecast lies after the last reading.
  widenForRanges() {
    for (const range of this.plot.ranges) this.last = Math.max(this.last, range.to);
    const margin = 0.03 * (this.last - this.first) || 43200;
    this.first -= margin;
    this.last += margin;
    this.from = this.first;
    this.to = this.last;
  }

  // --- the parts round the picture

  build(figure) {
    const {plot} = this;
    this.tools = make('div', {class: 'tools', role: 'group', 'aria-label': `${plot.title}: view`});
    this.button('+', 'Zoom in', () => this.zoom(0.5));
    this.button('−', 'Zoom out', () => this.zoom(2));
    this.button('←', 'Pan left', () => this.pan(-0.25));
    this.button('→', 'Pan right', () => this.pan(0.25));
    this.button('Whole', 'Show the whole record', () => this.show(this.first, this.last));
    if (this.isSpectrum) {
      this.toggle('dB', 'Level in dB steps (logarithmic)', () => {
        this.logarithmic = !this.logarithmic;
      });
      if (plot.shaftHz > 0)
        this.toggle(this.inOrders ? 'Hz' : 'Orders', this.inOrders ? 'Show frequency in Hz' : 'Show shaft orders', () => {
          this.otherUnit = !this.otherUnit;
        });
    }
    this.button('CSV', 'Save all values as CSV', () => this.save());
    this.box = make('div', {
      class: 'live',
      tabindex: '0',
      role: 'application',
      'aria-roledescription': 'plot',
      'aria-label': `${plot.title}. Left and right move the cursor, up and down go to the next high line, ` +
        'plus and minus zoom, page up and page down pan, Home shows all, Enter tries the line, Escape clears.',
    });
    this.readout = make('output', {class: 'readout'}, this.hint());
    const parts = [this.tools, this.box, this.legend(), this.readout];
    if (this.isSpectrum) parts.push(this.trialForm(), this.lineTable());
    parts.push(make('p', {class: 'note'}, this.honesty()));
    figure.querySelector('.static').before(...parts);
    figure.classList.add('is-live');
    this.box.addEventListener('keydown', (event) => this.key(event));
  }

  button(text, title, action) {
    const button = make('button', {type: 'button', title, 'aria-label': title}, text);
    button.addEventListener('click', action);
    this.tools.append(button);
    return button;
  }

  toggle(text, title, action) {
    const button = this.button(text, title, () => {
      action();
      button.setAttribute('aria-pressed', String(button.getAttribute('aria-pressed') !== 'true'));
      this.draw();
    });
    button.setAttribute('aria-pressed', 'false');
  }

  hint() {
    return this.isSpectrum
      ? 'Point at a line to read it, click to try it with its harmonics, drag to zoom.'
      : 'Point to read a value, drag to zoom.';
  }

  honesty() {
    const {plot} = this;
    const many = this.curve.count.toLocaleString('en');
    const whole = plot.ofEach > 1
      ? `${many} values, two (smallest and largest) of every ${plot.ofEach}`
      : `${many} values, all of them`;
    return `${whole}, true ${toleranceOf(plot.values, plot.y.unit)}. Where there are more than pixels, ` +
      'each pixel column shows its smallest and largest value.';
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
    if (this.plot.markers.some((m) => m[4])) list.append(make('li', {}, 'bold: a line stands there'));
    return list;
  }

  trialForm() {
    const id = `trial-${Plot.count = (Plot.count || 0) + 1}`;
    this.trialInput = make('input', {id, type: 'number', min: '0', step: 'any'});
    this.trialUnit = make('span', {});
    const choice = make('select', {id: `${id}-side`});
    choice.append(make('option', {value: '0'}, 'no sidebands'));
    for (const s of this.plot.spacings)
      choice.append(make('option', {value: String(s.spacing)}, `sidebands: ${s.name}`));
    const clear = make('button', {type: 'button'}, 'Clear');
    this.trialInput.addEventListener('change', () => this.tryLine(this.trialInput.valueAsNumber / this.factor()));
    choice.addEventListener('change', () => {
      this.spacing = Number(choice.value);
      this.redraw();
    });
    clear.addEventListener('click', () => this.tryLine(NaN));
    return make('div', {class: 'trial'}, make('label', {for: id}, 'Your own line at '), this.trialInput,
      ' ', this.trialUnit, ' ', make('label', {class: 'unseen', for: choice.id}, 'Sidebands of it'), choice, ' ', clear);
  }

  lineTable() {
    this.rows = make('tbody');
    this.head = make('tr');
    const details = make('details', {class: 'lines'}, make('summary', {}, 'Highest lines in view'),
      make('table', {}, make('thead', {}, this.head), this.rows));
    details.addEventListener('toggle', () => this.fillTable());
    this.lineDetails = details;
    return details;
  }

  fillTable() {
    if (!this.lineDetails?.open) return;
    const heads = [this.xAxis(), this.plot.y].map((axis) => make('th', {scope: 'col', class: 'number'}, named(axis)));
    this.head.replaceChildren(...heads, make('th', {scope: 'col'}, 'Nearest expected line'));
    this.rows.replaceChildren(...this.curve.lines(this.from, this.to, 12).map((i) => make('tr', {},
      make('td', {class: 'number'}, shortNumber(this.curve.x(i) * this.factor(), 6)),
      make('td', {class: 'number'}, shortNumber(this.curve.y[i])),
      make('td', {}, this.nearest(this.curve.x(i)) || '-'))));
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
    if (this.isReadings) return new Date(x * 1000).toISOString().slice(0, 16).replace('T', ' ') + ' UTC';
    const {x: axis, shaftHz} = this.plot;
    const own = `${shortNumber(x, 6)} ${axis.unit}`;
    if (!this.isSpectrum || !(shaftHz > 0)) return own;
    return this.inOrders
      ? `${own} = ${shortNumber(x * shaftHz, 6)} Hz`
      : `${own} = ${shortNumber(x / shaftHz, 5)} orders`;
  }

  // --- what is shown

  show(from, to) {
    const least = 8 * (this.curve.step || (this.last - this.first) / 1000);
    const span = Math.min(Math.max(to - from, least), this.last - this.first);
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

  data() {
    const {xs, ys} = this.curve.view(this.from, this.to, Math.max(200, this.box.clientWidth));
    const factor = this.factor();
    this.bounds(ys);
    const low = this.logarithmic ? this.low : -Infinity;
    return [factor === 1 ? xs : xs.map((x) => x * factor), ys.map((y) => (y < low ? low : y))];
  }

  bounds(ys) {
    let low = Infinity;
    let high = -Infinity;
    for (const y of ys) {
      if (y < low) low = y;
      if (y > high) high = y;
    }
    for (const limit of this.plot.limits) {
      low = Math.min(low, limit.y);
      high = Math.max(high, limit.y);
    }
    if (!(high > low)) [low, high] = [low - 1 || 0, low + 1 || 1];
    const room = 0.05 * (high - low);
    if (this.logarithmic) [this.low, this.high] = [Math.max(low, high * 1e-5), high * 2];
    else if (this.isSpectrum) [this.low, this.high] = [0, high + room];
    else [this.low, this.high] = [low - room, high + room];
  }

  // A scale's kind cannot be changed later: the picture is made anew.
  draw() {
    this.picture?.destroy();
    const data = this.data();
    this.picture = new uPlot(this.options(), data, this.box);
    this.listen(this.picture.over);
    this.refresh();
    if (this.trialInput) {
      this.trialUnit.textContent = this.xAxis().unit;
      this.trialInput.value = this.trial === null ? '' : shortNumber(this.trial * this.factor(), 6);
    }
  }

  refresh() {
    const factor = this.factor();
    this.picture.batch(() => {
      this.picture.setData(this.data(), false);
      this.picture.setScale('x', {min: this.from * factor, max: this.to * factor});
      this.picture.setScale('y', {min: this.low, max: this.high});
    });
    this.fillTable();
  }

  redraw() {
    this.picture.redraw(false);
  }

  // Names of lines stand in rows above the frame; plots with few expected lines need one.
  labelRows() {
    return this.plot.markers.length > 6 ? LABEL_ROWS : this.isSpectrum ? 1 : 0;
  }

  height() {
    return this.box.clientWidth < 520 ? 250 : 300;
  }

  resize() {
    if (this.box.clientWidth === 0) return;
    this.picture.setSize({width: this.box.clientWidth, height: this.height()});
    this.refresh();
  }

  options() {
    const narrow = this.box.clientWidth < 520;
    const axis = (about, side) => ({
      label: named(about),
      labelSize: 20,
      labelFont: '13px system-ui, sans-serif',
      font: '12px system-ui, sans-serif',
      stroke: () => colour('--ink'),
      grid: {stroke: () => colour('--grid'), width: 1},
      ticks: {stroke: () => colour('--grid'), width: 1},
      ...(side === 'left' ? {size: narrow ? 54 : 64} : {}),
      ...(side !== 'left' && this.isReadings ? {space: 90, values: (u, ticks) => ticks.map(dateText)} : {}),
      ...(side === 'left' || !this.isReadings ? {values: (u, ticks) => ticks.map((t) => (t === null ? '' : shortNumber(t, 6)))} : {}),
    });
    return {
      width: this.box.clientWidth || 600,
      height: this.height(),
      padding: [this.labelRows() ? 16 * this.labelRows() + 4 : 12, 26, 0, 0],
      legend: {show: false},
      cursor: {drag: {x: true, y: false, setScale: false}, y: false},
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1000), 'Etc/UTC'),
      scales: {
        x: {time: this.isReadings, auto: false, range: (u, low, high) => [low, high]},
        y: {auto: false, distr: this.logarithmic ? 3 : 1, range: (u, low, high) => [low, high]},
      },
      axes: [axis(this.xAxis(), 'bottom'), axis(this.plot.y, 'left')],
      series: [{}, {
        stroke: () => colour('--curve'),
        width: this.isReadings ? 1.5 : 1,
        points: {show: this.isReadings, size: 7, fill: () => colour('--curve')},
      }],
      hooks: {
        // Under the curve: what a mark stands at must not hide behind it.
        drawClear: [(u) => this.drawRanges(u), (u) => this.drawMarks(u)],
        setCursor: [(u) => this.moved(u)],
        setSelect: [(u) => this.selected(u)],
      },
    };
  }

  // --- what is drawn over the curve

  inFrame(u, paint) {
    const {ctx, bbox} = u;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    paint(ctx, bbox);
    ctx.restore();
  }

  drawRanges(u) {
    this.inFrame(u, (ctx, box) => {
      for (const range of this.plot.ranges) {
        const left = u.valToPos(range.from * this.factor(), 'x', true);
        const right = u.valToPos(range.to * this.factor(), 'x', true);
        ctx.fillStyle = colour('--range');
        ctx.fillRect(left, box.top, Math.max(2, right - left), box.height);
      }
    });
  }

  drawMarks(u) {
    const scale = devicePixelRatio;
    const {ctx, bbox} = u;
    ctx.save();
    ctx.font = `${12 * scale}px system-ui, sans-serif`;
    ctx.textAlign = 'center';
    ctx.textBaseline = 'alphabetic';
    for (const limit of this.plot.limits) this.limitLine(u, ctx, bbox, limit, scale);
    for (const range of this.plot.ranges) this.rangeName(u, ctx, bbox, range, scale);
    const taken = Array.from({length: this.labelRows()}, () => []);
    if (this.trial !== null) this.trialLines(u, ctx, bbox, taken, scale);
    const rank = (m) => (m[1] === 4 ? 4 : 0) + (m[4] ? 0 : 2) + (m[3] ? 1 : 0);
    const inView = this.plot.markers.filter((m) => m[0] >= this.from && m[0] <= this.to);
    for (const [x, kind, harmonic, sideband, stands] of inView.sort((a, b) => rank(a) - rank(b))) {
      const style = MARKS[kind];
      this.verticalLine(u, ctx, bbox, x, colour(style.colour), style.dash, stands ? 0.9 : 0.5, scale);
      const text = (harmonic === 1 ? '' : harmonic) + style.letter + (sideband > 0 ? '+' : '') + (sideband || '');
      this.label(u, ctx, bbox, taken, x, text, colour(style.colour), stands, scale);
    }
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

  // In the lowest row above the frame that has room; without room the line stands nameless.
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

  limitLine(u, ctx, bbox, limit, scale) {
    const at = Math.round(u.valToPos(limit.y, 'y', true));
    ctx.strokeStyle = ctx.fillStyle = colour('--limit');
    ctx.lineWidth = 1.5 * scale;
    ctx.setLineDash([8 * scale, 4 * scale]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, at);
    ctx.lineTo(bbox.left + bbox.width, at);
    ctx.stroke();
    ctx.setLineDash([]);
    ctx.textAlign = 'left';
    ctx.fillText(limit.name, bbox.left + 6 * scale, at - 4 * scale);
    ctx.textAlign = 'center';
  }

  rangeName(u, ctx, bbox, range, scale) {
    const middle = (u.valToPos(range.from * this.factor(), 'x', true) + u.valToPos(range.to * this.factor(), 'x', true)) / 2;
    const half = ctx.measureText(range.name).width / 2;
    const at = Math.min(Math.max(middle, bbox.left + half), bbox.left + bbox.width - half);
    ctx.fillStyle = colour('--ink');
    ctx.fillText(range.name, at, bbox.top + 14 * scale);
  }

  trialLines(u, ctx, bbox, taken, scale) {
    const ink = colour('--trial');
    for (let k = 1; k <= MOST_HARMONICS && k * this.trial <= this.to + SIDEBANDS * this.spacing; ++k) {
      const x = k * this.trial;
      if (x >= this.from && x <= this.to) {
        this.verticalLine(u, ctx, bbox, x, ink, [], 1, 2 * scale);
        this.label(u, ctx, bbox, taken, x, `▼${k}`, ink, true, scale);
      }
      if (!(this.spacing > 0)) continue;
      for (let s = -SIDEBANDS; s <= SIDEBANDS; ++s) {
        const side = x + s * this.spacing;
        if (s !== 0 && side >= this.from && side <= this.to)
          this.verticalLine(u, ctx, bbox, side, ink, [3, 3], 1, scale, 0.6);
      }
    }
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

  moved(u) {
    const {left} = u.cursor;
    if (left === undefined || left < 0) return;
    const factor = this.factor();
    const x = u.posToVal(left, 'x') / factor;
    const near = 4 * (this.to - this.from) / Math.max(1, u.over.clientWidth);
    this.read(this.isSpectrum ? this.curve.highestIn(x - near, x + near) : this.curve.highestIn(x, x));
  }

  read(i) {
    if (i < 0) return;
    const {plot, curve} = this;
    this.cursorX = curve.x(i);
    const near = this.nearest(this.cursorX);
    this.readout.textContent = `${this.xText(this.cursorX)}: ${shortNumber(curve.y[i])} ${plot.y.unit}` + (near ? ` · ${near}` : '');
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

  tryLine(x) {
    this.trial = x > 0 ? x : null;
    this.trialInput.value = this.trial === null ? '' : shortNumber(this.trial * this.factor(), 6);
    if (this.trial !== null) {
      const near = this.nearest(this.trial);
      this.readout.textContent = `Your line: ${this.xText(this.trial)} with its harmonics (▼) · ` +
        (near ? `nearest expected: ${near}` : 'no expected line within 2 %');
    }
    this.redraw();
  }

  // Keyboard: the cursor goes by hundredths of the view.
  moveTo(i) {
    if (i < 0) return;
    const {picture, curve} = this;
    const left = picture.valToPos(curve.x(i) * this.factor(), 'x');
    picture.setCursor({left, top: 10}, false);
    this.read(i);
  }

  key(event) {
    const step = (this.to - this.from) / 100;
    const at = this.cursorX ?? (this.from + this.to) / 2;
    const go = (x) => this.moveTo(Math.min(this.curve.count - 1, this.curve.indexAt(Math.min(Math.max(x, this.from), this.to))));
    const actions = {
      ArrowLeft: () => go(at - step),
      ArrowRight: () => go(at + step),
      ArrowUp: () => this.nextLine(1, at),
      ArrowDown: () => this.nextLine(-1, at),
      PageUp: () => this.pan(-0.5),
      PageDown: () => this.pan(0.5),
      Home: () => this.show(this.first, this.last),
      '+': () => this.zoom(0.5),
      '-': () => this.zoom(2),
      Enter: () => this.isSpectrum && this.tryLine(at),
      Escape: () => this.isSpectrum && this.tryLine(NaN),
    };
    const action = event.ctrlKey || event.metaKey || event.altKey ? null : actions[event.key];
    if (!action) return;
    event.preventDefault();
    action();
  }

  nextLine(direction, at) {
    const high = this.curve.lines(this.from, this.to, 20).sort((a, b) => direction * (a - b));
    this.moveTo(high.find((i) => direction * (this.curve.x(i) - at) > 0) ?? -1);
  }

  listen(over) {
    let down = null;
    over.addEventListener('mousedown', (event) => { down = event.clientX; });
    over.addEventListener('click', (event) => {
      if (!this.isSpectrum || down === null || Math.abs(event.clientX - down) > 4) return;
      this.tryLine(this.cursorX);
    });
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

  save() {
    saveAs(fileName(this.plot.title), this.curve.csv([named(this.plot.x), named(this.plot.y)]));
  }
}
