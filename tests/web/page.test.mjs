// The pages in a real browser. Runs in the folder where make_pages.sh made them.
import assert from 'node:assert/strict';
import {existsSync, readFileSync, statSync, writeFileSync} from 'node:fs';
import {join, resolve} from 'node:path';
import test, {after, before} from 'node:test';
import {pathToFileURL} from 'node:url';
import {Browser, findChromium} from './browser.mjs';

const file = resolve('diagnosis.html');
const urlOf = (name) => pathToFileURL(resolve(name)).href;
const url = urlOf('diagnosis.html');
const kinds = ['diagnosis.html', 'axes.html', 'compare.html', 'trend.html', 'acceptance.html'];  // with pictures to ask
const many = ['round.html'];  // chapters: as long as the round
const still = ['validation.html', 'card.html', 'card-long.html', 'summary.html', 'triage.html', 'damage.html'];  // nothing to ask
const hasRoute = existsSync('route.html');
let browser;
before(async () => {
  browser = await Browser.start(findChromium());
  await browser.send('Browser.setDownloadBehavior',
    {behavior: 'allowAndName', downloadPath: browser.profile, eventsEnabled: true});
});
after(() => browser.stop());

// A page may begin with a chart that is no canvas, and the rest be out of view.
const firstPicture = "!!document.querySelector('.live canvas, figure[data-changes] .tools')";
const dataOf = (name) => JSON.parse(/id="data">(.*?)<\/script>/s.exec(readFileSync(name, 'utf8'))[1]);
const data = dataOf(file);

// Another road than the page's script.
function decoded({as, low, step, data: text}) {
  const bytes = Buffer.from(text, 'base64');
  if (as === 'f32') return Array.from({length: bytes.length / 4}, (_, i) => bytes.readFloatLE(4 * i));
  const wide = as === 'log8' ? 1 : 2;
  return Array.from({length: bytes.length / wide}, (_, i) => {
    const code = wide === 1 ? bytes[i] : bytes.readUInt16LE(2 * i);
    if (code === (wide === 1 ? 255 : 65535)) return NaN;
    if (code === 0) return 0;
    const v = low + (code - 1) * step;
    return as === 'lin16' ? v : Math.exp(v);
  });
}

async function open(view, at = url) {
  const page = await browser.open(at, view);
  await page.until(firstPicture);
  return page;
}

// The middle of a picture's frame in the window, and a way to turn a part of its width into a place.
async function frame(page, number, kind = 'plot') {
  const figure = `document.querySelector('figure[data-${kind}="${number}"]')`;
  await page.value(`${figure}.scrollIntoView({block: 'center'})`);
  await page.until(`!!${figure}.querySelector('.u-over')`);
  return page.value(`(() => { const f = ${figure};
    f.scrollIntoView({block: 'center'});
    const r = f.querySelector('.u-over').getBoundingClientRect();
    return {left: r.left, top: r.top, width: r.width, height: r.height}; })()`);
}
const readout = (number, kind = 'plot') => `document.querySelector('figure[data-${kind}="${number}"] .readout').textContent`;
// What was asked of the page is done and drawn: its own short delays have passed, and then two pictures. On a busy
// machine pictures come late, and this with them.
const settled = 'new Promise((r) => setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(r)), 150))';
const ticks = (page, number) => page.value(readout(number));

test('the page is small and draws its first picture; how soon is printed, not judged', async () => {
  assert.ok(statSync(file).size < 3e6, `${statSync(file).size} bytes`);
  let taken = Infinity;
  for (let i = 0; i < 5; ++i) {
    const page = await open();
    taken = Math.min(taken, await page.value(
      "performance.getEntriesByType('mark').find((m) => m.name === 'first-picture').startTime"));
  }
  console.log(`page ${statSync(file).size} bytes, first picture after ${Math.round(taken)} ms`);
  // A busy machine is not the page's fault, so a time decides nothing.
  assert.ok(Number.isFinite(taken));
});

for (const name of [...kinds, ...many, ...still])
  test(`${name}: nothing is asked for from outside, nothing is refused, nothing goes wrong`, async () => {
    const page = still.includes(name) ? await browser.open(urlOf(name)) : await open({}, urlOf(name));
    await page.value(`(async () => { for (const f of document.querySelectorAll('figure')) {
      f.scrollIntoView(); await ${settled}; } })()`);
    await page.until("document.querySelectorAll('.live canvas').length >= document.querySelectorAll('figure[data-plot], figure[data-map]').length");
    assert.deepEqual(page.complaints, []);
    assert.deepEqual(page.requests.filter((r) => !r.startsWith('data:')), [urlOf(name)]);
  });

test('a survey of 200 points is one page of less than 10 MB that draws its pictures when they are reached',
  {skip: hasRoute ? false : 'not made: no python3 with sqlite3'}, async () => {
    const {size} = statSync('route.html');
    console.log(`page of 200 points: ${size} bytes`);
    assert.ok(size < 10e6, `${size} bytes`);
    const page = await open({}, urlOf('route.html'));
    assert.equal(await page.value("document.querySelectorAll('article.part').length"), 200);
    assert.ok(await page.value("document.querySelectorAll('.live canvas').length") < 20);
    await page.value("document.getElementById('point-150').scrollIntoView()");
    await page.until("!!document.querySelector('#point-150 .live canvas')");
    assert.deepEqual(page.complaints, []);
    assert.equal(dataOf('route.html').maps.length, 400);
  });

test('the policy is in force: an alien script does not run', async () => {
  const page = await open();
  await page.value("(() => { const s = document.createElement('script'); s.textContent = 'window.alien = 1'; document.body.append(s); })()");
  assert.equal(await page.value('window.alien === undefined'), true);
  assert.ok(page.complaints.some((text) => text.includes('Content Security Policy')));
});

test('a name that is markup is text', async () => {
  const page = await open();
  assert.equal(await page.value("document.querySelectorAll('img').length"), 0);
  assert.ok((await page.value("document.querySelector('.source').textContent")).includes('<img src=x onerror=alert(1)>'));
});

test('pointing reads, clicking tries a line with harmonics, dragging zooms, the button shows all again', async () => {
  const page = await open();
  const {left, top, width, height} = await frame(page, 0);
  const plot = data.plots[0];
  const strongest = plot.markers.find((m) => m[1] === 0 && m[2] === 1);
  const at = left + width * strongest[0] / plot.end;
  await page.mouse('mouseMoved', at, top + height / 2, {button: 'none'});
  await page.until(`${readout(0)}.includes('outer ring × 1')`);
  await page.click(at, top + height / 2);
  await page.until(`${readout(0)}.startsWith('Your line')`);
  const tried = Number(await page.value("document.querySelector('.trial input').value"));
  assert.ok(Math.abs(tried / strongest[0] - 1) < 0.01, `${tried} near ${strongest[0]}`);

  const lines = () => page.value(`(() => { const d = document.querySelector('details.lines'); d.open = true;
    return ${settled}.then(() => [...d.querySelectorAll('tbody td:first-child')].map((c) => Number(c.textContent))); })()`);
  const before = await lines();
  const again = await frame(page, 0);
  const [a, b] = [0.1, 0.3].map((part) => again.left + part * again.width);
  await page.mouse('mouseMoved', a, again.top + 50, {button: 'none'});
  await page.mouse('mousePressed', a, again.top + 50);
  await page.mouse('mouseMoved', (a + b) / 2, again.top + 50);
  await page.mouse('mouseMoved', b, again.top + 50);
  await page.mouse('mouseReleased', b, again.top + 50);
  const zoomed = await lines();
  assert.ok(Math.max(...zoomed) <= 0.31 * plot.end && Math.min(...zoomed) >= 0.09 * plot.end, zoomed.join());
  await page.value("document.querySelector('button[aria-label=\"Show the whole recording\"]').click()");
  assert.ok(Math.max(...await lines()) >= Math.max(...before) * 0.99);
});

// Columns of pixels near the frame's upper edge, where upright lines are and curves rarely.
const upperEdge = (page, number) => page.value(`(() => { const f = document.querySelector('figure[data-plot="${number}"]');
  const canvas = f.querySelector('canvas'), at = canvas.getBoundingClientRect(), over = f.querySelector('.u-over').getBoundingClientRect();
  return [...canvas.getContext('2d').getImageData(Math.round(over.left - at.left), Math.round(over.top - at.top) + 1,
    Math.round(over.width), 1).data]; })()`);

test('a line of the reader\'s own is drawn with its harmonics, and with sidebands where they are chosen', async () => {
  const page = await open();
  const {width} = await frame(page, 0);
  const plot = data.plots[0];
  const changed = async (from) => {
    const now = await upperEdge(page, 0);
    return Array.from({length: now.length / 4}, (_, x) => x).filter((x) =>
      [0, 1, 2].some((k) => Math.abs(now[4 * x + k] - from[4 * x + k]) > 24));
  };
  const set = (selector, value) => page.value(`(() => { const e = document.querySelector('${selector}'); e.value = '${value}';
    e.dispatchEvent(new Event('change')); return ${settled}; })()`);
  const clean = await upperEdge(page, 0);
  const line = 2.7;  // where no line is expected
  const harmonics = Array.from({length: Math.floor(plot.end / line)}, (_, k) => (k + 1) * line);
  const column = (x) => width * x / plot.end;
  const near = (wanted, x) => wanted.some((w) => Math.abs(column(w) - x) <= 2);

  await set('.trial input', line);
  const alone = await changed(clean);
  for (const h of harmonics) assert.ok(alone.some((x) => near([h], x)), `harmonic at ${h}: ${alone.join()}`);
  assert.ok(alone.every((x) => near(harmonics, x)), `nothing but harmonics: ${alone.join()}`);

  const cage = plot.spacings.find((s) => s[0] === 'cage' || s.name === 'cage');
  const spacing = cage.spacing ?? cage[1];
  await set('.trial select', spacing);
  const sides = harmonics.flatMap((h) => [-3, -2, -1, 1, 2, 3].map((s) => h + s * spacing)).filter((x) => x > 0.1 && x < plot.end - 0.1);
  const both = await changed(clean);
  for (const s of sides) assert.ok(both.some((x) => near([s], x)), `sideband at ${s}: ${both.join()}`);

  await page.value("[...document.querySelectorAll('.trial button')].find((b) => b.textContent === 'Clear').click()");
  await page.value(settled);
  assert.deepEqual(await changed(clean), []);
});

test('buttons, keys, wheel and fingers zoom and pan, and no further than the record', async () => {
  const page = await open();
  const place = await frame(page, 0);
  const {end, start, step, count} = data.plots[0];
  const last = start + (count - 1) * step;  // the curve goes on behind what is shown at first
  await page.value("document.querySelector('details.lines').open = true");
  // The view, out of the highest lines in it: the table is the only thing on the page that says so.
  const view = async () => {
    await page.value(settled);
    return page.value(`(() => { const all = [...document.querySelectorAll('details.lines')][0].querySelectorAll('tbody td:first-child');
      const x = [...all].map((c) => Number(c.textContent)); return {from: Math.min(...x), to: Math.max(...x)}; })()`);
  };
  const press = (label) => page.value(`document.querySelector('figure[data-plot="0"] button[aria-label="${label}"]').click()`);
  const within = ({from, to}, low, high) => assert.ok(from >= low * end - 1e-9 && to <= high * end + 1e-9, `${from} to ${to} in ${low} to ${high} of ${end}`);
  await press('Zoom in');  // about the middle
  within(await view(), 0.25, 0.75);
  await press('Pan right');  // a quarter of what is shown
  within(await view(), 0.375, 0.875);
  for (let i = 0; i < 99; ++i) await press('Pan right');
  within(await view(), last / end - 0.5, last / end);
  await press('Show the whole recording');
  assert.ok((await view()).from < 0.25 * end);
  await page.value("document.querySelector('figure[data-plot=\"0\"] .live').focus()");
  await page.press('+');
  await page.press('PageUp');
  within(await view(), 0, 0.5 * last / end);
  await page.press('Home');
  assert.ok((await view()).to > 0.75 * end);
  await page.press('+');
  await page.press('PageDown');
  assert.ok((await view()).from > 0.25 * end);
  await page.press('Home');

  const again = await frame(page, 0);
  const x = again.left + 0.5 * again.width, y = again.top + 60;
  await page.mouse('mouseMoved', x, y, {button: 'none'});
  for (let i = 0; i < 4; ++i) await page.send('Input.dispatchMouseEvent', {type: 'mouseWheel', x, y, deltaX: 0, deltaY: -100, modifiers: 2});
  const {from, to} = await view();
  assert.ok(to - from < 0.42 * last, `${from} to ${to}`);  // 0.8^4 of the whole
  await press('Show the whole recording');
  assert.equal(place.width, again.width);

  await page.send('Emulation.setTouchEmulationEnabled', {enabled: true, maxTouchPoints: 2});
  const touch = (type, points) => page.send('Input.dispatchTouchEvent', {type, touchPoints: points.map(([at, id]) => ({x: again.left + at * again.width, y, id}))});
  await touch('touchStart', [[0.4, 0]]);
  await touch('touchStart', [[0.4, 0], [0.6, 1]]);
  for (let k = 1; k <= 10; ++k) await touch('touchMove', [[0.4 - 0.02 * k, 0], [0.6 + 0.02 * k, 1]]);
  await touch('touchEnd', []);
  const pinched = await view();
  assert.ok(pinched.to - pinched.from < 0.4 * last, JSON.stringify(pinched));  // three times as far apart: a third
  assert.deepEqual(page.complaints, []);
});

// Where every text on a canvas stands, kept from the page's first moment.
const watchTexts = `(() => {
  window.texts = new Map();
  const draw = CanvasRenderingContext2D.prototype;
  const {fillText, clearRect} = draw;
  draw.clearRect = function (...at) { window.texts.set(this.canvas, []); return clearRect.apply(this, at); };
  draw.fillText = function (text, x, y, ...more) {
    const m = this.measureText(text), t = this.getTransform();
    const corners = [[x - m.actualBoundingBoxLeft, y - m.actualBoundingBoxAscent], [x + m.actualBoundingBoxRight, y + m.actualBoundingBoxDescent]]
      .map(([a, b]) => [t.a * a + t.c * b + t.e, t.b * a + t.d * b + t.f]);
    const [[x1, y1], [x2, y2]] = corners;
    if (!window.texts.has(this.canvas)) window.texts.set(this.canvas, []);
    if (String(text).trim()) window.texts.get(this.canvas).push({text: String(text), left: Math.min(x1, x2), right: Math.max(x1, x2), top: Math.min(y1, y2), bottom: Math.max(y1, y2)});
    return fillText.call(this, text, x, y, ...more);
  };
})()`;

// Pairs of texts of one picture of which one is written over the other by more than a pixel.
function overlapping(pictures) {
  const found = [];
  for (const {name, texts} of pictures)
    texts.forEach((a, i) => texts.slice(i + 1).forEach((b) => {
      if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1)
        found.push(`${name}: "${a.text}" and "${b.text}"`);
    }));
  return found;
}

const svgTexts = (selector) => `[...document.querySelectorAll('${selector}')].map((svg) => ({name: svg.getAttribute('aria-label') || 'picture',
  texts: [...svg.querySelectorAll('text')].filter((t) => getComputedStyle(t).display !== 'none' && t.textContent.trim()).map((t) => {
    const {left, right, top, bottom} = t.getBoundingClientRect();
    return {text: t.textContent, left, right, top: top + (bottom - top) * 0.15, bottom: bottom - (bottom - top) * 0.15}; })}))`;

for (const name of [...kinds, ...many, 'validation.html'])
  for (const width of [1280, 390])
    test(`${name}: no text of a picture is written over another, ${width} px wide`, async () => {
      const page = await browser.open(urlOf(name), {width, before: watchTexts});
      if (name !== 'validation.html') {
        await page.until(firstPicture);
        await page.value(`(async () => { for (const f of document.querySelectorAll('figure')) {
          f.scrollIntoView(); await ${settled}; } })()`);
        const drawn = await page.value(`[...window.texts].filter(([canvas]) => canvas.isConnected).map(([canvas, texts]) =>
          ({name: canvas.closest('figure').querySelector('figcaption').textContent, texts}))`);
        assert.ok(drawn.length >= 2 && drawn.every(({texts}) => texts.length > 4), `${drawn.length} pictures`);
        assert.deepEqual(overlapping(drawn), []);
        await page.value("document.querySelectorAll('figure').forEach((f) => f.classList.remove('is-live'))");
      }
      // The static ones; on a phone they stand in for the others only where there is no script.
      if (width > 1000 || name === 'validation.html') {
        const still = await page.value(svgTexts('.static svg'));
        assert.ok(still.length >= 2 && still.every(({texts}) => texts.length > 4));
        assert.deepEqual(overlapping(still), []);
      }
    });

for (const name of ['diagnosis.svg', 'compare.svg', 'trend.svg'])
  test(`${name}: no text is written over another`, async () => {
    const page = await browser.open(urlOf(name));
    const [picture] = await page.value(svgTexts('svg'));
    assert.ok(picture.texts.length > 30);
    assert.deepEqual(overlapping([picture]), []);
  });

test('the keyboard does the same', async () => {
  const page = await open();
  await page.value("document.querySelector('.live').focus()");
  await page.press('ArrowUp');
  const first = await ticks(page, 0);
  assert.match(first, /orders = .* Hz: /);
  await page.press('ArrowUp');
  assert.notEqual(await ticks(page, 0), first);
  await page.press('Enter');
  assert.match(await ticks(page, 0), /^Your line/);
  await page.press('Escape');
  assert.equal(await page.value("document.querySelector('.trial input').value"), '');
});

test('orders and Hz are the same lines', async () => {
  const page = await open();
  const input = "document.querySelector('.trial input')";
  await page.value(`(() => { ${input}.value = '2'; ${input}.dispatchEvent(new Event('change')); })()`);
  await page.value("document.querySelector('button[aria-label=\"Show frequency in Hz\"]').click()");
  const hz = Number(await page.value(`${input}.value`));
  assert.ok(Math.abs(hz / (2 * data.plots[0].shaftHz) - 1) < 1e-4, `${hz}`);
});

// The rows of the CSV that a click on a button saves. Only the browser knows when a file is whole: its
// name stands in the folder, empty, before its bytes do. One click in some hundreds the headless browser
// drops without a word (seen with and without a user's gesture): as a person would, we click again.
async function savedBy(page, button) {
  let first;
  const begun = browser.once('Browser.downloadWillBegin', ({guid}) => { first = guid; return true; });
  const ended = browser.once('Browser.downloadProgress', ({guid, state}) => guid === first && state !== 'inProgress');
  let download;
  for (let clicks = 0; clicks < 3 && !download; ++clicks) {
    await page.value(`${button}.click()`);
    download = await Promise.race([begun, new Promise((r) => setTimeout(r, 20000))]);
  }
  assert.ok(download, 'no click began a download');
  const {guid, suggestedFilename} = download;
  assert.equal((await ended).state, 'completed');
  assert.match(suggestedFilename, /\.csv$/);
  return readFileSync(join(browser.profile, guid), 'utf8').trimEnd().split('\r\n');
}

// What the CSV of a picture holds, as rows of cells; quoted cells hold no quotes here.
async function saved(page, kind, number) {
  const figure = `document.querySelector('figure[data-${kind}="${number}"]')`;
  await page.value(`${figure}.scrollIntoView({block: 'center'})`);
  const button = `${figure}.querySelector('button[aria-label="Save all values as CSV"]')`;
  await page.until(`!!${button}`);
  return (await savedBy(page, button)).map((row) =>
    row.match(/"[^"]*"|[^,]+|(?<=,)(?=,|$)/g).map((cell) => (cell.startsWith('"') ? cell.slice(1, -1) : Number(cell))));
}
const near = (a, b) => (Number.isNaN(a) && Number.isNaN(b)) || Math.abs(a - b) <= 1e-5 * Math.abs(b) + 1e-12;

for (const name of kinds)
  test(`${name}: CSV of every picture holds every value that the page carries`, async () => {
    const page = await open({}, urlOf(name));
    const {plots, maps, changes} = dataOf(name);
    for (const [i, plot] of plots.entries()) {
      const [head, ...rows] = await saved(page, 'plot', i);
      const values = decoded(plot.values).concat(plot.behind ? decoded(plot.behind.values) : []);
      assert.equal(rows.length, values.length, plot.title);
      assert.equal(head.length, plot.behind ? 3 : 2);
      assert.ok(rows.every((row, k) => near(row[1], values[k])), plot.title);
      if (plot.step) assert.ok(near(rows[1][0], plot.start + plot.step));
      if (plot.behind) assert.deepEqual([rows[0][2], rows.at(-1)[2]], [plot.name, plot.behind.name]);
    }
    for (const [i, map] of maps.entries()) {
      const [head, ...rows] = await saved(page, 'map', i);
      const values = decoded(map.values);
      assert.equal(rows.length, values.length, map.title);
      assert.ok(rows.every((row, k) => near(row[3], values[k])), map.title);
      assert.equal(head[0], map.rowLabel);
      assert.equal(rows[0][0], map.rows[0].name);
      assert.ok(near(rows[0][2] - rows[0][1], map.rows[0].step));
    }
    for (const [i, chart] of changes.entries()) {
      const [, ...rows] = await saved(page, 'changes', i);
      assert.deepEqual(rows.map((row) => row[0]), chart.rows.map((row) => row[0]));
      assert.ok(rows.every((row, k) => near(row[4], chart.rows[k][4])));
    }
  });

test('a map is read by pointer and by keys, zoomed, and says which line is expected', async () => {
  const page = await open();
  const number = data.maps.findIndex((m) => m.x.unit === 'orders');
  const map = data.maps[number];
  const {left, top, width, height} = await frame(page, number, 'map');
  const outer = map.markers.find((m) => m[1] === 0 && m[2] === 1 && m[3] === 0);
  await page.mouse('mouseMoved', left + width * outer[0] / map.end, top + height * 0.5 / map.rows.length, {button: 'none'});
  await page.until(`${readout(number, 'map')}.includes('outer ring × 1')`);
  assert.ok((await page.value(readout(number, 'map'))).startsWith(map.rows[0].name));
  await page.value(`document.querySelector('figure[data-map="${number}"] .live').focus()`);
  await page.press('ArrowDown');
  assert.ok((await page.value(readout(number, 'map'))).startsWith(map.rows[1].name));
  const before = await page.value(readout(number, 'map'));
  await page.press('ArrowRight');
  assert.notEqual(await page.value(readout(number, 'map')), before);
  await page.press('+');
  await page.press('Home');
  assert.deepEqual(page.complaints, []);
});

test('the band map names the part in the band that was chosen', async () => {
  const page = await open();
  const number = data.maps.findIndex((m) => m.marks.length === 1);
  const map = data.maps[number];
  const {left, top, width, height} = await frame(page, number, 'map');
  const [{row, cell}] = map.marks;
  const middle = map.rows[row].start + (cell + 0.5) * map.rows[row].step;
  await page.mouse('mouseMoved', left + width * middle / map.end, top + height * (row + 0.5) / map.rows.length, {button: 'none'});
  await page.until(`${readout(number, 'map')}.endsWith('strongest')`);
  assert.match(await page.value(readout(number, 'map')), /outer ring/);
});

test('CSV holds every value, within the tolerance that the page states', async () => {
  const page = await open();
  const number = data.plots.findIndex((p) => p.x.unit === 's');
  await frame(page, number);
  const rows = await savedBy(page,
    `document.querySelector('figure[data-plot="${number}"] button[aria-label="Save all values as CSV"]')`);
  const {values, count, x, y} = data.plots[number];
  const named = ({label, unit}) => (unit ? `${label} / ${unit}` : label);
  assert.equal(rows[0], `"${named(x)}","${named(y)}"`);
  assert.equal(rows.length, count + 1);
  // Against the recording itself: 16-bit or float samples behind the header of the file.
  const wave = readWave('<img src=x onerror=alert(1)>.wav');
  const scale = largest(rows.slice(1).map((r) => Number(r.split(',')[1]))) / largest(wave);
  for (let i = 0; i < count; i += 997) {
    const [time, value] = rows[i + 1].split(',').map(Number);
    assert.ok(Math.abs(time - i / 51200) < 1e-9);
    assert.ok(Math.abs(value - wave[i] * scale) < 1.5 * values.step, `${i}: ${value} for ${wave[i] * scale}`);
  }
});

const largest = (values) => values.reduce((most, v) => Math.max(most, Math.abs(v)), 0);

// Samples of a WAV file of one channel.
function readWave(name) {
  const bytes = readFileSync(name);
  const format = bytes.indexOf('fmt ');
  const bits = bytes.readUInt16LE(format + 22);
  const start = bytes.indexOf('data') + 8;
  const samples = [];
  for (let at = start; at + bits / 8 <= start + bytes.readUInt32LE(start - 4); at += bits / 8)
    samples.push(bits === 32 ? bytes.readFloatLE(at) : bits === 24 ? bytes.readIntLE(at, 3) : bytes.readInt16LE(at));
  return samples;
}

for (const name of kinds)
  test(`${name}: it prints to at most four pages of A4 and of Letter`, async () => {
    const page = await open({}, urlOf(name));
    for (const [paperWidth, paperHeight] of [[8.27, 11.69], [8.5, 11]]) {
      const {data: pdf} = await page.send('Page.printToPDF', {paperWidth, paperHeight});
      const pages = Buffer.from(pdf, 'base64').toString('latin1').match(/\/Type\s*\/Page\b/g).length;
      console.log(`${name}: ${pages} pages of ${paperHeight} in`);
      assert.ok(pages <= 4, `${pages} pages`);
    }
  });

// Sides of A4, as their own style sets the page, and of Letter.
async function sides(name) {
  const page = await browser.open(urlOf(name));
  const count = async (how) => {
    const {data: pdf} = await page.send('Page.printToPDF', how);
    if (how.preferCSSPageSize) writeFileSync(name.replace('.html', '.pdf'), Buffer.from(pdf, 'base64'));
    return Buffer.from(pdf, 'base64').toString('latin1').match(/\/Type\s*\/Page\b/g).length;
  };
  const a4 = await count({preferCSSPageSize: true});
  const letter = await count({paperWidth: 8.5, paperHeight: 11, marginTop: 0.35, marginBottom: 0.35, marginLeft: 0.35,
    marginRight: 0.35});
  console.log(`${name}: ${a4} sides of A4, ${letter} of Letter`);
  return [a4, letter];
}

for (const name of ['card.html', 'card-rollers.html', 'card-taper.html', 'card-pair.html', 'card-dangers.html'])
  test(`${name}: the job card prints on one sheet, with every caution and fields to fill in`, async () => {
    for (const n of await sides(name)) assert.ok(n <= 2, `${n} sides`);
    const page = await browser.open(urlOf(name));
    const text = await page.value('document.body.textContent');
    for (const words of ['Photo: ', 'signature', 'Vibration, mm/s rms', 'Measured', 'Try to start the machine'])
      assert.ok(text.includes(words), words);
  });

test('card-long.html: the long form has the cautions of the short one, and the same fields', async () => {
  const of = async (name, what) => (await browser.open(urlOf(name)))
    .value(`[...document.querySelectorAll('${what}')].map((e) => e.textContent)`);
  const fields = '.boxes > div, .fields td';
  assert.deepEqual(await of('card-long.html', fields), await of('card.html', fields));
  // On one sheet each caution is there, in brief.
  const [whole, brief] = [await of('card-long.html', '.caution'), await of('card.html', '.caution')];
  assert.equal(whole.length, brief.length);
  assert.ok(brief.every((text, i) => text.length <= whole[i].length));
  const [a4] = await sides('card-long.html');
  assert.ok(a4 > 2, `${a4} sides`);
});

test('checks.html: the check sheets print, each whole on one side, with cautions and blanks', async () => {
  const page = await browser.open(urlOf('checks.html'));
  assert.equal(await page.value("document.querySelectorAll('section').length"), 16);
  assert.ok(await page.value("document.querySelectorAll('.caution').length > 20"));
  assert.ok(await page.value("[...document.querySelectorAll('.fields tr')].length > 40"));
  const [a4, letter] = await sides('checks.html');
  assert.ok(a4 <= 8 && letter <= 9, `${a4} and ${letter} sides`);
});

test('damage.html: the drawings print on two sides', async () => {
  const page = await browser.open(urlOf('damage.html'));
  assert.equal((await page.pdf()).toString('latin1').match(/\/Type\s*\/Page[^s]/g).length, 2);
});

for (const name of ['summary.html', ...(hasRoute ? ['summary-many.html'] : [])])
  test(`${name}: the summary prints on one side`, async () => {
    assert.deepEqual(await sides(name), [1, 1]);
    const page = await browser.open(urlOf(name));
    // The column for the reader is empty, in every row.
    assert.ok(await page.value("[...document.querySelectorAll('tbody tr')].length > 0"));
    assert.deepEqual(await page.value("[...document.querySelectorAll('tbody td:last-child')].map((c) => c.textContent).filter(Boolean)"), []);
  });

for (const name of [...kinds, ...many, ...still, ...(hasRoute ? ['route.html'] : [])])
  test(`${name}: nothing is wider than a phone`, async () => {
    const page = still.includes(name) ? await browser.open(urlOf(name), {width: 360, height: 740})
      : await open({width: 360, height: 740}, urlOf(name));
    const wide = await page.value('document.documentElement.scrollWidth');
    assert.ok(wide <= 360, `${wide} px`);
  });

// WCAG 2.1, 1.4.3 (AA): 4.5 to 1; relative luminance as defined there. The pages show few of the tones.
for (const dark of [false, true])
  test(`every tone can be read: text on its ground, the icon on both, ${dark ? 'dark' : 'light'}`, async () => {
    const page = await browser.open(url, {dark});
    const colours = await page.value(`(() => { const at = document.createElement('p'); document.body.append(at);
      const of = (name) => { at.style.color = 'var(--' + name + ')'; return getComputedStyle(at).color.match(/[0-9]+/g).map(Number); };
      return Object.fromEntries(['ink', 'soft', 'ground', ...['good', 'doubt', 'check', 'bad', 'urgent', 'neutral']
        .flatMap((t) => [t, t + '-ground'])].map((name) => [name, of(name)])); })()`);
    const luminance = (rgb) => rgb.map((c) => c / 255).map((c) => (c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
      .reduce((sum, c, k) => sum + c * [0.2126, 0.7152, 0.0722][k], 0);
    const contrast = (a, b) => {
      const [low, high] = [colours[a], colours[b]].map(luminance).sort((x, y) => x - y);
      return (high + 0.05) / (low + 0.05);
    };
    for (const tone of ['good', 'doubt', 'check', 'bad', 'urgent', 'neutral'])
      for (const [text, ground] of [[tone, `${tone}-ground`], [tone, 'ground'], ['ink', `${tone}-ground`], ['soft', `${tone}-ground`]])
        assert.ok(contrast(text, ground) >= 4.5, `${text} on ${ground}: ${contrast(text, ground)}`);
  });

for (const name of ['trend.html', 'round.html'])
  test(`${name}: on a phone a table that goes on says so, and keeps its dates whole`, async () => {
    const page = await open({width: 390, height: 844}, urlOf(name));
    await page.value(settled);
    const tables = await page.value(`[...document.querySelectorAll('.wide')].filter((t) => t.clientWidth > 0).map((t) => {
      const cue = getComputedStyle(t, '::before').content;
      t.scrollLeft = 60;
      return {more: t.scrollWidth > t.clientWidth + 1, cue, shades: getComputedStyle(t).backgroundAttachment,
        name: t.querySelector('tbody th').getBoundingClientRect().left - t.getBoundingClientRect().left,
        dates: [...t.querySelectorAll('.date')].map((d) => d.getClientRects().length)}; })`);
    assert.ok(tables.some((t) => t.more) && tables.some((t) => t.dates.length > 5), JSON.stringify(tables));
    for (const t of tables) {
      assert.equal(/Scroll sideways/.test(t.cue), t.more, t.cue);
      assert.equal(t.shades, 'local, local, scroll, scroll');
      assert.ok(Math.abs(t.name) < 2, `the name of a row moved by ${t.name} px`);
      assert.ok(t.dates.every((lines) => lines === 1), t.dates.join());
    }
  });

for (const name of [...kinds, ...many])
  test(`${name}: the first printed page alone is a summary`, async () => {
    const page = await open({}, urlOf(name));
    await page.send('Emulation.setEmulatedMedia', {media: 'print'});
    // The narrower of the two papers and the lower, less margins of 14 mm, at 96 dots an inch.
    await page.send('Emulation.setDeviceMetricsOverride', {width: 688, height: 950, deviceScaleFactor: 1, mobile: false});
    await page.value(settled);
    const summary = await page.value(`(() => {
      const picture = document.querySelector('main > .plots > figure'), part = document.querySelector('.part');
      return {ends: picture ? picture.getBoundingClientRect().bottom + scrollY : part.getBoundingClientRect().top + scrollY,
        cut: picture ? getComputedStyle(picture).breakAfter : getComputedStyle(part).breakBefore,
        above: [...document.querySelectorAll('main > section, main > details')].every((s) => !picture ||
          s.contains(picture) || picture.compareDocumentPosition(s) === Node.DOCUMENT_POSITION_FOLLOWING)}; })()`);
    assert.equal(summary.cut, 'page');
    assert.ok(summary.above);
    assert.ok(summary.ends <= 950, `${summary.ends} of 950 px`);
  });

test('the page of a route links the history of every point', {skip: hasRoute ? false : 'not made: no python3 with sqlite3'}, async () => {
  const page = await browser.open(urlOf('route.html'));
  const [parts, linked] = await page.value(`[[...document.querySelectorAll('article.part')].map((a) => a.id),
    [...document.querySelectorAll('tbody th a')].map((a) => a.getAttribute('href').slice(1))]`);
  assert.equal(parts.length, 200);
  assert.deepEqual([...linked].sort(), [...parts].sort());
});

test('without script the pictures are there', async () => {
  const page = await browser.open(url, {script: false});
  const {root} = await page.send('DOM.getDocument');
  const {nodeIds} = await page.send('DOM.querySelectorAll', {nodeId: root.nodeId, selector: 'figure .static svg'});
  assert.equal(nodeIds.length, data.plots.length + data.maps.length);
});

for (const [name, dark] of [...kinds, ...many, ...still].flatMap((kind) => [[kind, false], [kind, true]]))
  test(`${name}: the accessibility checker finds nothing serious, ${dark ? 'dark' : 'light'}`,
    {skip: existsSync('node_modules/axe-core/axe.min.js') ? false : 'axe-core was not fetched (npm)'}, async () => {
      const page = await browser.open(urlOf(name), {dark});
      if (!still.includes(name)) await page.until(firstPicture);
      // Not bound by the page's policy, which would refuse a script in it.
      await page.send('Runtime.evaluate', {expression: readFileSync('node_modules/axe-core/axe.min.js', 'utf8')});
      const found = await page.value(`axe.run(document).then((r) => r.violations
        .filter((v) => ['serious', 'critical'].includes(v.impact))
        .map((v) => v.id + ': ' + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')))`);
      assert.deepEqual(found, []);
    });
