// A diagnosis page in a real browser. Runs in the folder where run.sh made it.
import assert from 'node:assert/strict';
import {existsSync, mkdtempSync, readFileSync, readdirSync, statSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import test, {after, before} from 'node:test';
import {pathToFileURL} from 'node:url';
import {Browser, findChromium} from './browser.mjs';

const file = resolve('diagnosis.html');
const url = pathToFileURL(file).href;
let browser;
before(async () => { browser = await Browser.start(findChromium()); });
after(() => browser.stop());

const firstPicture = "!!document.querySelector('.live canvas')";
const data = JSON.parse(/id="data">(.*?)<\/script>/s.exec(readFileSync(file, 'utf8'))[1]);

async function open(view) {
  const page = await browser.open(url, view);
  await page.until(firstPicture);
  return page;
}

// The middle of a picture's frame in the window, and a way to turn a part of its width into a place.
async function frame(page, number) {
  await page.value(`document.querySelector('figure[data-plot="${number}"]').scrollIntoView({block: 'center'})`);
  await page.until(`!!document.querySelector('figure[data-plot="${number}"] .u-over')`);
  return page.value(`(() => { const f = document.querySelector('figure[data-plot="${number}"]');
    f.scrollIntoView({block: 'center'});
    const r = f.querySelector('.u-over').getBoundingClientRect();
    return {left: r.left, top: r.top, width: r.width, height: r.height}; })()`);
}
const readout = (number) => `document.querySelector('figure[data-plot="${number}"] .readout').textContent`;
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

test('nothing is asked for from outside, nothing is refused, nothing goes wrong', async () => {
  const page = await open();
  await page.value(`(async () => { for (const f of document.querySelectorAll('figure')) {
    f.scrollIntoView(); await new Promise((r) => setTimeout(r, 100)); } })()`);
  await page.until("document.querySelectorAll('.live canvas').length >= document.querySelectorAll('figure[data-plot]').length");
  assert.deepEqual(page.complaints, []);
  assert.deepEqual(page.requests, [url]);
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
    return new Promise((r) => setTimeout(() => r([...d.querySelectorAll('tbody td:first-child')].map((c) => Number(c.textContent))), 100)); })()`);
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
  await page.value("document.querySelector('button[aria-label=\"Show the whole record\"]').click()");
  assert.ok(Math.max(...await lines()) >= Math.max(...before) * 0.99);
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

test('CSV holds every value, within the tolerance that the page states', async () => {
  const page = await open();
  const folder = mkdtempSync(join(tmpdir(), 'bearingdsp-csv-'));
  await browser.send('Browser.setDownloadBehavior', {behavior: 'allow', downloadPath: folder});
  const number = data.plots.findIndex((p) => p.x.unit === 's');
  await frame(page, number);
  await page.value(`document.querySelector('figure[data-plot="${number}"] button[aria-label="Save all values as CSV"]').click()`);
  for (let i = 0; i < 100 && !readdirSync(folder).some((f) => f.endsWith('.csv')); ++i)
    await new Promise((r) => setTimeout(r, 100));
  const rows = readFileSync(join(folder, readdirSync(folder)[0]), 'utf8').trimEnd().split('\r\n');
  const {values, count, x, y} = data.plots[number];
  assert.equal(rows[0], `"${x.label} / ${x.unit}","${y.label} / ${y.unit}"`);
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

test('it prints to at most four pages of A4 and of Letter', async () => {
  const page = await open();
  for (const [paperWidth, paperHeight] of [[8.27, 11.69], [8.5, 11]]) {
    const {data: pdf} = await page.send('Page.printToPDF', {paperWidth, paperHeight});
    const pages = Buffer.from(pdf, 'base64').toString('latin1').match(/\/Type\s*\/Page\b/g).length;
    assert.ok(pages <= 4, `${pages} pages`);
  }
});

test('nothing is wider than a phone', async () => {
  const page = await open({width: 360, height: 740});
  const wide = await page.value('document.documentElement.scrollWidth');
  assert.ok(wide <= 360, `${wide} px`);
});

test('without script the pictures are there', async () => {
  const page = await browser.open(url, {script: false});
  const {root} = await page.send('DOM.getDocument');
  const {nodeIds} = await page.send('DOM.querySelectorAll', {nodeId: root.nodeId, selector: 'figure .static svg'});
  assert.equal(nodeIds.length, data.plots.length);
});

for (const dark of [false, true])
  test(`the accessibility checker finds nothing serious, ${dark ? 'dark' : 'light'}`,
    {skip: existsSync('node_modules/axe-core/axe.min.js') ? false : 'axe-core was not fetched (npm)'}, async () => {
      const page = await browser.open(url, {dark});
      await page.until(firstPicture);
      // Not bound by the page's policy, which would refuse a script in it.
      await page.send('Runtime.evaluate', {expression: readFileSync('node_modules/axe-core/axe.min.js', 'utf8')});
      const found = await page.value(`axe.run(document).then((r) => r.violations
        .filter((v) => ['serious', 'critical'].includes(v.impact))
        .map((v) => v.id + ': ' + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')))`);
      assert.deepEqual(found, []);
    });
