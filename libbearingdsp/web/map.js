// Values as shades over rows and x: bands, carriers, visits.

class Cells {
  constructor(map) {
    const all = decodeColumn(map.values);
    let at = 0;
    this.rows = map.rows.map((row) => {
      const values = all.subarray(at, at + row.count);
      at += row.count;
      return {...row, values};
    });
  }

  end() {
    return this.rows.reduce((most, row) => Math.max(most, row.start + row.step * row.count), 0);
  }

  // The cell of a row that holds x; -1 where there is none.
  at(r, x) {
    const row = this.rows[r];
    const c = Math.floor((x - row.start) / row.step + 1e-9);
    return c >= 0 && c < row.count ? c : -1;
  }

  from(r, c) {
    return this.rows[r].start + c * this.rows[r].step;
  }

  // For each of `columns` columns of [from, to] the highest value in it; NaN where no cell lies.
  highest(r, from, to, columns) {
    const row = this.rows[r];
    const out = new Float64Array(columns).fill(NaN);
    const width = (to - from) / columns;
    for (let p = 0; p < columns; ++p) {
      const left = (from + p * width - row.start) / row.step;
      const right = (from + (p + 1) * width - row.start) / row.step;
      // What begins in this column, or where none does, what covers its middle.
      let first = Math.ceil(left - 1e-9);
      let last = Math.ceil(right - 1e-9) - 1;
      if (last < first) first = last = Math.floor((left + right) / 2);
      for (let c = Math.max(0, first); c <= Math.min(row.count - 1, last); ++c)
        if (!(out[p] >= row.values[c])) out[p] = row.values[c];
    }
    return out;
  }
}

class MapView extends View {
  constructor(figure, map, shades) {
    super(map);
    this.shades = shades;
    this.cells = new Cells(map);
    this.inDb = map.inDb;
    this.first = 0;
    this.last = this.cells.end();
    this.from = 0;
    this.to = Math.min(map.end, this.last);
    this.begin(figure);
  }

  build(figure) {
    this.frame(figure, () => {
      this.toggle('dB', 'Shades in dB steps (logarithmic)', () => {
        this.inDb = !this.inDb;
      }, this.inDb);
      this.unitToggle();
    }, 'Left and right move along a row, up and down from row to row, plus and minus zoom, ' +
      'page up and page down pan, Home shows all.', () => [], this.honesty());
  }

  hint() {
    return 'Point at a cell to read it, drag to zoom.';
  }

  honesty() {
    const many = this.cells.rows.reduce((sum, row) => sum + row.count, 0).toLocaleString('en');
    return `${many} cells, true ${toleranceOf(this.plot.values, this.plot.value.unit)}. Where there are more than ` +
      'pixels, each pixel shows the highest of its cells.';
  }

  // --- shades

  range() {
    const {high, span} = this.plot;
    return this.inDb ? [high * 10 ** (-span / 20), high] : [0, high];
  }

  part(value) {
    const [low, high] = this.range();
    const part = this.inDb ? (value > low ? Math.log(value / low) / Math.log(high / low) : 0) : value / high;
    return Math.min(1, Math.max(0, part));
  }

  // The lowest value is as the ground: pale on a light page, dark on a dark one.
  shade(part, dark) {
    const many = this.shades.length - 1;
    const index = 1 + Math.round(part * (many - 1));
    return this.shades[dark ? 1 + many - index : index];
  }

  numbers() {
    const [low, high] = this.range();
    if (!this.inDb) {
      const raw = high / 5;
      const power = 10 ** Math.floor(Math.log10(raw));
      const step = power * [1, 2, 5, 10].find((k) => k * power >= raw);
      return Array.from({length: Math.floor(high / step + 1e-9) + 1}, (_, i) => i * step);
    }
    const out = [];
    for (let p = Math.floor(Math.log10(low)); 10 ** p <= high; ++p)
      for (const v of [10 ** p, 3 * 10 ** p]) if (v >= low * 0.999 && v <= high * 1.001) out.push(v);
    return out;
  }

  // --- what is shown

  least() {
    return 4 * Math.min(...this.cells.rows.map((row) => row.step));
  }

  labelRows() {
    return this.plot.markers.length > 6 ? LABEL_ROWS : this.plot.markers.length ? 1 : 0;
  }

  height() {
    const {length} = this.cells.rows;
    return Math.min(Math.max(length * 20, 60), Math.max(300, length * 8)) + 74 + 16 * this.labelRows();
  }

  // Right of the map.
  scaleRoom() {
    return this.box.clientWidth < 520 ? 62 : 84;
  }

  rowAxis() {
    const names = this.cells.rows.map((row) => row.name);
    const longest = names.reduce((most, name) => Math.max(most, name.length), 0);
    return this.axis({label: this.plot.rowLabel, unit: ''}, {
      size: 30 + 6.6 * longest,
      grid: {show: false},
      ticks: {show: false},
      splits: (u) => {
        const every = Math.max(1, Math.ceil(13 * names.length / Math.max(1, u.bbox.height / devicePixelRatio)));
        return names.map((_, r) => names.length - r - 0.5).filter((_, r) => r % every === 0);
      },
      values: (u, splits) => splits.map((y) => names[Math.round(names.length - y - 0.5)]),
    });
  }

  draw() {
    this.picture?.destroy();
    this.picture = new uPlot({
      width: this.box.clientWidth || 600,
      height: this.height(),
      padding: [16 * this.labelRows() + 24, this.scaleRoom(), 0, 0],
      legend: {show: false},
      cursor: {drag: {x: true, y: false, setScale: false}},
      scales: {
        x: {time: false, auto: false, range: (u, low, high) => [low, high]},
        y: {auto: false, range: () => [0, this.cells.rows.length]},
      },
      axes: [this.axis(this.xAxis(), {grid: {show: false}}), this.rowAxis()],
      series: [{}, {show: false}],
      hooks: {
        drawClear: [(u) => this.drawCells(u), (u) => this.drawScale(u)],
        draw: [(u) => this.drawMarks(u)],
        setCursor: [(u) => this.moved(u)],
        setSelect: [(u) => this.selected(u)],
      },
    }, [[0, 1], [0, 0]], this.box);
    this.listen(this.picture.over);
    this.refresh();
  }

  refresh() {
    const factor = this.factor();
    this.picture.batch(() => {
      this.picture.setScale('x', {min: this.from * factor, max: this.to * factor});
      this.picture.setScale('y', {min: 0, max: this.cells.rows.length});
    });
    this.picture.redraw(false);
  }

  // --- drawing

  drawCells(u) {
    const {ctx, bbox} = u;
    const columns = Math.max(1, Math.round(bbox.width));
    const rows = this.cells.rows.length;
    const dark = matchMedia('(prefers-color-scheme: dark)').matches;
    const image = new ImageData(columns, rows);
    for (let r = 0; r < rows; ++r) {
      const values = this.cells.highest(r, this.from, this.to, columns);
      for (let p = 0; p < columns; ++p) {
        if (Number.isNaN(values[p])) continue;
        const rgb = this.shade(this.part(values[p]), dark);
        image.data.set([rgb >> 16, (rgb >> 8) & 255, rgb & 255, 255], 4 * (r * columns + p));
      }
    }
    const canvas = make('canvas', {width: columns, height: rows});
    canvas.getContext('2d').putImageData(image, 0, 0);
    ctx.save();
    ctx.imageSmoothingEnabled = false;
    ctx.drawImage(canvas, bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.strokeStyle = colour('--rule');
    ctx.lineWidth = devicePixelRatio;
    ctx.strokeRect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.restore();
  }

  // The shades with their numbers, right of the map.
  drawScale(u) {
    const scale = devicePixelRatio;
    const {ctx, bbox} = u;
    const dark = matchMedia('(prefers-color-scheme: dark)').matches;
    const left = bbox.left + bbox.width + 14 * scale;
    const height = Math.min(bbox.height, 220 * scale);
    ctx.save();
    for (let y = 0; y < height; ++y) {
      ctx.fillStyle = '#' + this.shade(1 - y / height, dark).toString(16).padStart(6, '0');
      ctx.fillRect(left, bbox.top + y, 13 * scale, 1);
    }
    ctx.textAlign = 'left';
    ctx.strokeStyle = colour('--rule');
    ctx.strokeRect(left, bbox.top, 13 * scale, height);
    ctx.fillStyle = colour('--ink');
    ctx.font = `${11 * scale}px system-ui, sans-serif`;
    ctx.textBaseline = 'middle';
    let free = Infinity;
    for (const v of this.numbers()) {
      const at = bbox.top + height * (1 - this.part(v));
      if (at > free) continue;
      free = at - 13 * scale;
      ctx.fillText(shortNumber(v, 2), left + 17 * scale, at);
    }
    ctx.textAlign = 'right';
    ctx.textBaseline = 'alphabetic';
    // Above the names of the markers, which may reach the right end.
    const above = (8 + 16 * this.labelRows()) * scale;
    ctx.fillText(named(this.plot.value), bbox.left + bbox.width + (this.scaleRoom() - 2) * scale, bbox.top - above);
    ctx.restore();
  }

  drawMarks(u) {
    const scale = devicePixelRatio;
    const {ctx, bbox} = u;
    const each = bbox.height / this.cells.rows.length;
    const [ground, ink] = [colour('--ground'), colour('--ink')];
    ctx.save();
    ctx.textAlign = 'center';
    ctx.textBaseline = 'alphabetic';
    const taken = Array.from({length: this.labelRows()}, () => []);
    const high = {...bbox, left: bbox.left, top: bbox.top - 3 * scale};
    for (const m of this.markersInView()) {
      const at = Math.round(u.valToPos(m[0] * this.factor(), 'x', true));
      ctx.fillStyle = colour(MARKS[m[1]].colour);
      // The line itself stands in the map: a tick at each end points to it.
      ctx.fillRect(at - scale, bbox.top - 5 * scale, 2 * scale, 5 * scale);
      ctx.fillRect(at - scale, bbox.top + bbox.height, 2 * scale, 5 * scale);
      this.label(u, ctx, high, taken, m[0], this.markerName(m), colour(MARKS[m[1]].colour), m[4], scale);
    }
    this.inFrame(u, () => {
      for (const {row, cell} of this.plot.marks) {
        const left = u.valToPos(this.cells.from(row, cell) * this.factor(), 'x', true);
        const right = u.valToPos(this.cells.from(row, cell + 1) * this.factor(), 'x', true);
        for (const [stroke, width] of [[ground, 5], [ink, 2]]) {
          ctx.strokeStyle = stroke;
          ctx.lineWidth = width * scale;
          ctx.strokeRect(left, bbox.top + row * each, right - left, each);
        }
      }
      ctx.font = `${12 * scale}px system-ui, sans-serif`;
      ctx.textAlign = 'right';
      for (const {row, name} of this.plot.breaks) {
        const y = bbox.top + row * each;
        for (const [stroke, width] of [[ground, 4], [ink, 2]]) {
          ctx.strokeStyle = stroke;
          ctx.lineWidth = width * scale;
          ctx.setLineDash([9 * scale, 4 * scale]);
          ctx.beginPath();
          ctx.moveTo(bbox.left, y);
          ctx.lineTo(bbox.left + bbox.width, y);
          ctx.stroke();
        }
        ctx.setLineDash([]);
        this.haloed(ctx, name, bbox.left + bbox.width - 6 * scale, y - 4 * scale, ink, scale);
      }
    });
    ctx.restore();
  }

  // --- what the reader does

  moved(u) {
    const {left, top} = u.cursor;
    if (left === undefined || left < 0 || top < 0) return;
    const row = Math.min(this.cells.rows.length - 1, Math.floor(top / u.over.clientHeight * this.cells.rows.length));
    const x = u.posToVal(left, 'x') / this.factor();
    const near = 3 * (this.to - this.from) / Math.max(1, u.over.clientWidth);
    this.read(row, this.highestNear(row, x, near));
  }

  // The highest cell within a few pixels, so that thin lines can be met.
  highestNear(row, x, near) {
    let best = this.cells.at(row, x);
    const {step, start, count, values} = this.cells.rows[row];
    const first = Math.max(0, Math.floor((x - near - start) / step) + 1);
    for (let c = first; c < count && start + c * step <= x + near; ++c)
      if (best < 0 || values[c] > values[best]) best = c;
    return best;
  }

  read(row, cell) {
    this.row = row;
    const {name, step, values, notes} = this.cells.rows[row];
    const label = name === '' ? `between ${this.cells.rows[row - 1]?.name}` : name;
    if (cell < 0) {
      this.readout.textContent = `${label}: nothing here`;
      return;
    }
    const from = this.cells.from(row, cell);
    this.cursorX = from + step / 2;
    const {unit, label: what} = this.plot.value;
    // Narrow cells are a place, wide ones a band.
    const wide = step > (this.last - this.first) / 100;
    const place = wide
      ? `${shortNumber(from, 5)}-${shortNumber(from + step, 5)} ${this.plot.x.unit}`
      : this.xText(this.cursorX);
    const near = wide ? '' : this.nearest(this.cursorX);
    this.readout.textContent = `${label}, ${place}: ${what} ${shortNumber(values[cell], 3)} ${unit}`.trimEnd() +
      (notes ? ` · ${notes[cell]}` : '') + (near ? ` · ${near}` : '') + this.markOf(row, cell);
  }

  markOf(row, cell) {
    const mark = this.plot.marks.find((m) => m.row === row && m.cell === cell);
    return mark ? ` · ${mark.name}` : '';
  }

  moveTo(row, cell) {
    const rows = this.cells.rows.length;
    const r = Math.min(rows - 1, Math.max(0, row));
    const c = Math.min(this.cells.rows[r].count - 1, Math.max(0, cell));
    const x = this.cells.from(r, c) + this.cells.rows[r].step / 2;
    if (x < this.from || x > this.to) this.show(x - (this.to - this.from) / 2, x + (this.to - this.from) / 2);
    this.picture.setCursor({
      left: this.picture.valToPos(x * this.factor(), 'x'),
      top: (r + 0.5) / rows * this.picture.over.clientHeight,
    }, false);
    this.read(r, c);
  }

  key(event) {
    const row = this.row ?? 0;
    const x = this.cursorX ?? (this.from + this.to) / 2;
    const cell = this.cells.at(row, x);
    // A step is at least a pixel.
    const step = Math.max(1, Math.round((this.to - this.from) / 200 / this.cells.rows[row].step));
    const other = (r) => Math.min(this.cells.rows.length - 1, Math.max(0, r));
    this.keyed(event, {
      ArrowLeft: () => this.moveTo(row, cell - step),
      ArrowRight: () => this.moveTo(row, cell + step),
      ArrowUp: () => this.moveTo(other(row - 1), Math.max(0, this.cells.at(other(row - 1), x))),
      ArrowDown: () => this.moveTo(other(row + 1), Math.max(0, this.cells.at(other(row + 1), x))),
    });
  }

  save() {
    const {x, rowLabel, value, rows} = this.plot;
    const noted = rows.some((row) => row.notes);
    const table = [];
    this.cells.rows.forEach((row, r) => row.values.forEach((v, c) => table.push([
      row.name || `between ${this.cells.rows[r - 1]?.name}`,
      Number(this.cells.from(r, c).toPrecision(8)),
      Number(this.cells.from(r, c + 1).toPrecision(8)),
      Number(v.toPrecision(6)),
      ...(noted ? [row.notes?.[c] ?? ''] : []),
    ])));
    saveAs(fileName(this.plot.title), csvOf([rowLabel, `from: ${named(x)}`, `to: ${named(x)}`, named(value),
      ...(noted ? ['remark'] : [])], table));
  }
}
