// One curve over time or frequency, perhaps with the one before the work behind it; in a spectrum also
// a line of the reader's own with its harmonics and sidebands.

const LABEL_ROWS = 3;
const MOST_HARMONICS = 60;
const SIDEBANDS = 3;

const dateText = (seconds) => new Date(seconds * 1000).toISOString().slice(0, 10);

// Width of an upright axis: as wide as its longest number, so that its name is not written over it.
const numberRoom = (texts, least) =>
  Math.max(least, 20 + 7.7 * Math.max(0, ...(texts || []).map((t) => String(t ?? '').length)));

class Plot extends View {
  constructor(figure, plot) {
    super(plot);
    this.curve = new Curve(plot);
    this.behind = plot.behind ? new Curve(plot.behind) : null;
    this.isSpectrum = plot.kind === 'spectrum';
    this.isReadings = plot.kind === 'readings';
    this.logarithmic = false;
    this.trial = null;  // x of the reader's own line, in the plot's own unit
    this.spacing = 0;
    this.first = Math.min(this.curve.x(0), this.isSpectrum ? 0 : Infinity);
    this.last = this.curve.x(this.curve.count - 1);
    this.from = this.first;
    this.to = Math.min(plot.end, this.last);
    if (this.isReadings) this.widenForRanges();
    this.begin(figure);
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
    this.frame(figure, () => {
      if (!this.isSpectrum) return;
      this.toggle('dB', 'Level in dB steps (logarithmic)', () => {
        this.logarithmic = !this.logarithmic;
      });
      this.unitToggle();
    }, 'Left and right move the cursor, up and down go to the next high line, plus and minus zoom, ' +
      'page up and page down pan, Home shows all, Enter tests the line, Escape clears.',
    () => (this.isSpectrum ? [this.trialForm(), this.lineTable()] : []), this.honesty());
    if (this.behind) this.box.before(this.namesOfTwo());
  }

  // Which curve is which: the other one is a ground, not a line.
  namesOfTwo() {
    return make('p', {class: 'two'},
      make('span', {class: 'line', 'aria-hidden': 'true'}), this.plot.name, ' ',
      make('span', {class: 'ground', 'aria-hidden': 'true'}), this.plot.behind.name);
  }

  hint() {
    return this.isSpectrum
      ? 'Point at a line to read it, click to test it with its harmonics, drag to zoom.'
      : 'Point to read a value, drag to zoom.';
  }

  honesty() {
    const of = (curve, {ofEach, values}) => {
      const many = curve.count.toLocaleString('en');
      const whole = ofEach > 1
        ? `${many} values, two (smallest and largest) of every ${ofEach}`
        : `${many} values, all of them`;
      return `${whole}, true ${toleranceOf(values, this.plot.y.unit)}`;
    };
    const both = this.behind ? `; before: ${of(this.behind, this.plot.behind)}` : '';
    return `${of(this.curve, this.plot)}${both}. Where there are more than pixels, each pixel column ` +
      'shows its smallest and largest value.';
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

  xText(x) {
    if (this.isReadings) return new Date(x * 1000).toISOString().slice(0, 16).replace('T', ' ') + ' UTC';
    return this.isSpectrum ? super.xText(x) : `${shortNumber(x, 6)} ${this.plot.x.unit}`;
  }

  // --- what is shown

  // The narrowest view: a few samples.
  least() {
    return 8 * (this.curve.step || (this.last - this.first) / 1000);
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
    if (this.behind) high = Math.max(high, ...this.behind.view(this.from, this.to, 500).ys);
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

  // A scale's kind cannot be changed later: the picture is made again.
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

  // Names of lines are in rows above the frame; plots with few expected lines need one.
  labelRows() {
    return this.plot.markers.length > 6 ? LABEL_ROWS : this.isSpectrum ? 1 : 0;
  }

  height() {
    return this.box.clientWidth < 520 ? 250 : 300;
  }

  options() {
    const narrow = this.box.clientWidth < 520;
    const dates = this.isReadings ? {space: narrow ? 84 : 96, values: (u, ticks) => ticks.map(dateText)} : {};
    return {
      width: this.box.clientWidth || 600,
      height: this.height(),
      padding: [this.labelRows() ? 16 * this.labelRows() + 4 : 12, Math.max(this.isReadings ? 40 : 26, this.limitRoom()), 0, 0],
      legend: {show: false},
      cursor: {drag: {x: true, y: false, setScale: false}, y: false},
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1000), 'Etc/UTC'),
      scales: {
        x: {time: this.isReadings, auto: false, range: (u, low, high) => [low, high]},
        y: {auto: false, distr: this.logarithmic ? 3 : 1, range: (u, low, high) => [low, high]},
      },
      axes: [this.axis(this.xAxis(), dates), this.axis(this.plot.y, {size: (u, texts) => numberRoom(texts, narrow ? 54 : 64)})],
      series: [{}, {
        stroke: () => colour('--curve'),
        width: this.isReadings ? 1.5 : 1,
        points: {show: this.isReadings, size: 7, fill: () => colour('--curve')},
      }],
      hooks: {
        // Under the curve: what a mark stands at must not hide behind it.
        drawClear: [(u) => this.drawRanges(u), (u) => this.drawBehind(u), (u) => this.drawMarks(u)],
        setCursor: [(u) => this.moved(u)],
        setSelect: [(u) => this.selected(u)],
      },
    };
  }

  // --- what is drawn over and under the curve

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

  drawBehind(u) {
    if (!this.behind) return;
    const factor = this.factor();
    const {xs, ys} = this.behind.view(this.from, this.to, Math.max(200, this.box.clientWidth));
    if (xs.length === 0) return;
    const y = (v) => u.valToPos(Math.max(v, this.low), 'y', true);
    const x = (v) => u.valToPos(v * factor, 'x', true);
    this.inFrame(u, (ctx) => {
      ctx.beginPath();
      ctx.moveTo(x(xs[0]), y(this.low));
      xs.forEach((at, i) => ctx.lineTo(x(at), y(ys[i])));
      ctx.lineTo(x(xs[xs.length - 1]), y(this.low));
      ctx.fillStyle = ctx.strokeStyle = colour('--behind');
      ctx.lineWidth = devicePixelRatio;
      ctx.fill();
      ctx.stroke();
    });
  }

  drawMarks(u) {
    const scale = devicePixelRatio;
    const {ctx, bbox} = u;
    ctx.save();
    ctx.font = `${12 * scale}px system-ui, sans-serif`;
    ctx.textAlign = 'center';
    ctx.textBaseline = 'alphabetic';
    this.limitLines(u, ctx, bbox, scale);
    for (const range of this.plot.ranges) this.rangeName(u, ctx, bbox, range, scale);
    const taken = Array.from({length: this.labelRows()}, () => []);
    if (this.trial !== null) this.trialLines(u, ctx, bbox, taken, scale);
    for (const m of this.markersInView()) {
      const {colour: ink, dash} = MARKS[m[1]];
      this.verticalLine(u, ctx, bbox, m[0], colour(ink), dash, m[4] ? 0.9 : 0.5, scale);
      this.label(u, ctx, bbox, taken, m[0], this.markerName(m), colour(ink), m[4], scale);
    }
    ctx.restore();
  }

  // Names of limits stand right of the frame, where no curve crosses them.
  limitRoom() {
    return this.plot.limits.reduce((most, limit) => Math.max(most, 7.2 * limit.name.length + 12), 0);
  }

  limitLines(u, ctx, bbox, scale) {
    let free = bbox.top + bbox.height + 4 * scale;
    ctx.strokeStyle = ctx.fillStyle = colour('--limit');
    ctx.lineWidth = 1.5 * scale;
    ctx.textAlign = 'left';
    for (const limit of [...this.plot.limits].sort((a, b) => a.y - b.y)) {
      const at = Math.round(u.valToPos(limit.y, 'y', true));
      ctx.setLineDash([8 * scale, 4 * scale]);
      ctx.beginPath();
      ctx.moveTo(bbox.left, at);
      ctx.lineTo(bbox.left + bbox.width, at);
      ctx.stroke();
      const place = Math.min(at + 4 * scale, free);
      ctx.fillText(limit.name, bbox.left + bbox.width + 6 * scale, place);
      free = place - 14 * scale;
    }
    ctx.setLineDash([]);
    ctx.textAlign = 'center';
  }

  rangeName(u, ctx, bbox, range, scale) {
    const middle = (u.valToPos(range.from * this.factor(), 'x', true) + u.valToPos(range.to * this.factor(), 'x', true)) / 2;
    const half = ctx.measureText(range.name).width / 2;
    const at = Math.min(Math.max(middle, bbox.left + half), bbox.left + bbox.width - half);
    // Below the limits that would strike it through.
    const overlaps = (y) => this.plot.limits.some((l) => Math.abs(u.valToPos(l.y, 'y', true) - (y - 4 * scale)) < 9 * scale);
    let y = bbox.top + 14 * scale;
    while (overlaps(y) && y + 16 * scale < bbox.top + bbox.height) y += 8 * scale;
    this.haloed(ctx, range.name, at, y, colour('--ink'), scale);
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
    const before = this.behind ? ` (before: ${shortNumber(this.behind.highestNear(this.cursorX, 1.5 * curve.step || 0))})` : '';
    this.readout.textContent = `${this.xText(this.cursorX)}: ${shortNumber(curve.y[i])}${before} ${plot.y.unit}`.trimEnd() +
      (near ? ` · ${near}` : '');
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
    this.keyed(event, {
      ArrowLeft: () => go(at - step),
      ArrowRight: () => go(at + step),
      ArrowUp: () => this.nextLine(1, at),
      ArrowDown: () => this.nextLine(-1, at),
      Enter: () => this.isSpectrum && this.tryLine(at),
      Escape: () => this.isSpectrum && this.tryLine(NaN),
    });
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
    super.listen(over);
  }

  // Of two curves a third column says whose value it is: they need not have the same places.
  save() {
    const names = [named(this.plot.x), named(this.plot.y)];
    const text = this.behind
      ? csvOf([...names, 'recording'], this.curve.rows(this.plot.name).concat(this.behind.rows(this.plot.behind.name)))
      : csvOf(names, this.curve.rows());
    saveAs(fileName(this.plot.title), text);
  }
}
