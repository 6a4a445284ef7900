// A curve that is asked for what a picture of it needs. Knows nothing of pictures.

class Curve {
  constructor(plot) {
    this.y = decodeColumn(plot.values);
    this.count = this.y.length;
    this.at = plot.at ? new Float64Array(bytesOf(plot.at).buffer) : null;
    this.start = plot.start;
    this.step = plot.step;
  }

  x(i) {
    return this.at ? this.at[i] : this.start + i * this.step;
  }

  // The first sample at or after x.
  indexAt(x) {
    if (!this.at) {
      return Math.min(this.count, Math.max(0, Math.ceil((x - this.start) / this.step - 1e-9)));
    }
    let low = 0;
    let high = this.count;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.at[middle] < x) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  // What to draw of [from, to]: every sample, or the smallest and the largest of each of `columns`
  // columns where there are more. One sample beyond each end, so that the line reaches the frame.
  view(from, to, columns) {
    const begin = Math.max(0, this.indexAt(from) - 1);
    const end = Math.min(this.count, this.indexAt(to) + 1);
    const xs = [];
    const ys = [];
    const take = (i) => {
      xs.push(this.x(i));
      ys.push(this.y[i]);
    };
    if (end - begin <= 2 * columns) {
      for (let i = begin; i < end; ++i) take(i);
      return {xs, ys};
    }
    for (let c = 0; c < columns; ++c) {
      const first = begin + Math.floor((end - begin) * c / columns);
      const last = begin + Math.floor((end - begin) * (c + 1) / columns);
      let low = -1;
      let high = -1;
      for (let i = first; i < last; ++i) {
        const y = this.y[i];
        if (y !== y) continue;
        if (low < 0 || y < this.y[low]) low = i;
        if (high < 0 || y > this.y[high]) high = i;
      }
      if (low < 0) continue;
      take(Math.min(low, high));
      if (low !== high) take(Math.max(low, high));
    }
    return {xs, ys};
  }

  // The highest sample within [from, to], or the one nearest to the middle; -1 where there is none.
  highestIn(from, to) {
    let best = -1;
    for (let i = this.indexAt(from); i < this.count && this.x(i) <= to; ++i)
      if (best < 0 || this.y[i] > this.y[best]) best = i;
    if (best >= 0 || this.count === 0) return best;
    const middle = (from + to) / 2;
    const after = Math.min(this.count - 1, this.indexAt(middle));
    return after > 0 && middle - this.x(after - 1) < this.x(after) - middle ? after - 1 : after;
  }

  // Up to n local maxima in [from, to], highest first.
  lines(from, to, n) {
    const found = [];
    const begin = this.indexAt(from);
    for (let i = begin; i < this.count && this.x(i) <= to; ++i) {
      const y = this.y[i];
      if (!(y > (i > 0 ? this.y[i - 1] : -Infinity))) continue;
      if (!(y >= (i + 1 < this.count ? this.y[i + 1] : -Infinity))) continue;
      if (found.length === n && y <= this.y[found[n - 1]]) continue;
      let place = found.findIndex((k) => this.y[k] < y);
      if (place < 0) place = found.length;
      found.splice(place, 0, i);
      if (found.length > n) found.pop();
    }
    return found;
  }

  // The highest value within `reach` of x; NaN where there is none.
  highestNear(x, reach) {
    const i = this.highestIn(x - reach, x + reach);
    return i < 0 ? NaN : this.y[i];
  }

  // Rows of a table; with a name that name in each.
  rows(name) {
    return Array.from({length: this.count}, (_, i) =>
      [Number(this.x(i).toPrecision(12)), Number(this.y[i].toPrecision(8)), ...(name === undefined ? [] : [name])]);
  }
}

// RFC 4180: texts are quoted, a quote in them doubled.
function csvOf(names, rows) {
  const cell = (v) => (typeof v === 'number' ? (Number.isNaN(v) ? '' : String(v)) : `"${v.replaceAll('"', '""')}"`);
  return [names, ...rows].map((row) => row.map(cell).join(',')).join('\r\n') + '\r\n';
}
