// The curves and maps of a page without a browser: what a picture of them may not lose.
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import test from 'node:test';
import vm from 'node:vm';

const web = new URL('../../libbearingdsp/web/', import.meta.url);
const room = vm.createContext({atob, Uint8Array, Float32Array, Float64Array, Uint16Array, Math, Number});
for (const file of ['decode.js', 'curve.js', 'view.js', 'map.js']) vm.runInContext(readFileSync(new URL(file, web), 'utf8'), room);

function curve(values, start = 0, step = 1) {
  const data = Buffer.from(Float32Array.from(values).buffer).toString('base64');
  room.plot = {start, step, values: {as: 'f32', data}};
  return vm.runInContext('new Curve(plot)', room);
}

test('the view of any range holds the largest and the smallest sample of it', () => {
  const values = Array.from({length: 10007}, (_, i) => Math.sin(i * 0.7));
  values[4321] = 90;
  values[7654] = -80;
  const c = curve(values);
  for (const columns of [50, 333, 1000])
    for (const [from, to] of [[0, 10006], [4000, 9000], [4321, 4321], [7600.5, 7700.5]]) {
      const {xs, ys} = c.view(from, to, columns);
      assert.ok(ys.length <= 2 * columns + 2);
      for (let i = 1; i < xs.length; ++i) assert.ok(xs[i] > xs[i - 1]);
      const inside = values.slice(Math.ceil(from), Math.floor(to) + 1).map(Math.fround);
      assert.ok(Math.max(...ys) >= Math.max(...inside));
      assert.ok(Math.min(...ys) <= Math.min(...inside));
      // Each point drawn is a sample at its own place.
      xs.forEach((x, k) => assert.equal(ys[k], Math.fround(values[x])));
    }
});

test('missing values are left out and hide nothing', () => {
  const values = Array.from({length: 1000}, () => NaN);
  values[500] = 3;
  assert.deepEqual([...curve(values).view(0, 999, 10).ys], [3]);
});

test('lines are local maxima, highest first', () => {
  const c = curve([0, 5, 0, 9, 9, 0, 7, 0, 1], 10, 2);
  assert.deepEqual([...c.lines(10, 26, 3)], [3, 6, 1]);
  assert.deepEqual([...c.lines(20, 26, 3)], [6, 8]);
  assert.equal(c.highestIn(12, 20), 3);
  assert.equal(c.highestIn(12.9, 12.95), 1);
});

test('codes of 16 bits: zero, no value, even and logarithmic steps', () => {
  room.column = (as) => ({as, low: 1, step: 0.5, data: Buffer.from(Uint16Array.of(0, 1, 3, 65535).buffer).toString('base64')});
  const of = (as) => [...vm.runInContext(`decodeColumn(column('${as}'))`, room)];
  assert.deepEqual(of('lin16'), [0, 1, 2, NaN]);
  assert.deepEqual(of('log16'), [0, Math.E, Math.E ** 2, NaN].map((v, i) => (i === 2 ? Math.exp(2) : v)));
});

function cells(rows) {
  const values = rows.flatMap((row) => row.values);
  room.map = {
    rows: rows.map(({values: {length}, ...row}) => ({...row, count: length})),
    values: {as: 'f32', data: Buffer.from(Float32Array.from(values).buffer).toString('base64')},
  };
  return vm.runInContext('new Cells(map)', room);
}

test('a map loses no peak to a pixel, and shows no cell where there is none', () => {
  const values = Array.from({length: 10000}, () => 0.1);
  values[5003] = 0.9;
  const c = cells([{name: 'a', start: 0, step: 0.001, values}, {name: 'b', start: 2, step: 3, values: [5, 7]}]);
  assert.equal(c.end(), 10);
  for (const columns of [7, 100, 333]) {
    const shown = [...c.highest(0, 0, 10, columns)];
    assert.equal(shown.filter((v) => v > 0.5).length, 1);
    assert.equal(shown.findIndex((v) => v > 0.5), Math.floor(5.003 / 10 * columns));
  }
  assert.deepEqual([...c.highest(1, 0, 10, 10)], [NaN, NaN, 5, 5, 5, 7, 7, 7, NaN, NaN]);
  // Narrower than its cells, a pixel shows the cell that covers it.
  assert.deepEqual([...c.highest(1, 4, 6, 4)], [5, 5, 7, 7]);
  assert.deepEqual([c.at(1, 1.9), c.at(1, 2), c.at(1, 4.99), c.at(1, 5), c.at(1, 8)], [-1, 0, 0, 1, -1]);
});

test('codes of a byte', () => {
  room.column = {as: 'log8', low: 1, step: 0.5, data: Buffer.from(Uint8Array.of(0, 1, 3, 255)).toString('base64')};
  const values = [...vm.runInContext('decodeColumn(column)', room)];
  assert.deepEqual(values, [0, Math.E, Math.exp(2), NaN]);
});

test('CSV: texts quoted, quotes doubled, no value is empty [RFC 4180]', () => {
  room.names = ['a "b"', 'c'];
  room.rows = [[1.5, 'x'], [NaN, '<y>,"z"']];
  assert.equal(vm.runInContext('csvOf(names, rows)', room), '"a ""b""","c"\r\n1.5,"x"\r\n,"<y>,""z"""\r\n');
});
