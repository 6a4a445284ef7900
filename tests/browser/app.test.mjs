// bearingdsp.html in a real browser, against the native tool. tests/browser_app.sh runs it.
import assert from 'node:assert/strict';
import {execFileSync, spawnSync} from 'node:child_process';
import {copyFileSync, existsSync, mkdirSync, readFileSync, readdirSync, rmSync, statSync, truncateSync, writeFileSync} from 'node:fs';
import {basename, join, resolve} from 'node:path';
import test, {after, before} from 'node:test';
import {pathToFileURL} from 'node:url';
import {Browser, findChromium} from '../web/browser.mjs';

const binary = process.env.BEARINGDSP_BINARY;
const root = process.env.BEARINGDSP_ROOT;
const url = pathToFileURL(process.env.BEARINGDSP_PAGE).href;
const folder = resolve('captures');
let browser;
before(async () => {
  rmSync(folder, {recursive: true, force: true});
  mkdirSync(folder);
  const sim = ['--rpm', '1480', '--noise', '0.5'];
  made('outer.wav', ...sim, '--rate', '25600', '--defect', 'outer:10');
  made('inner.wav', ...sim, '--rate', '25600', '--defect', 'inner:10');
  made('long.wav', ...sim, '--rate', '51200', '--duration', '10', '--defect', 'outer:10');
  browser = await Browser.start(findChromium());
});
after(() => browser.stop());

const ready = "document.getElementById('state').textContent === 'Ready.'";
const finished = "document.getElementById('answers').getAttribute('aria-busy') === 'false'";

async function open(view = {}) {
  const page = await browser.open(url, view);
  await page.until(ready);
  return page;
}

async function choose(page, files) {
  const {result} = await page.send('Runtime.evaluate', {expression: "document.getElementById('files')"});
  await page.send('DOM.setFileInputFiles', {files, objectId: result.objectId});
}

// Fills the form as a person would, and waits for the answers.
async function ask(page, files, fields = {}, how = 'each') {
  await choose(page, files);
  await page.value(`(() => {
    const fields = ${JSON.stringify({rpm: '', bearing: '', unit: '', 'full-scale': '', sensitivity: '', ...fields})};
    for (const [id, value] of Object.entries(fields)) {
      document.getElementById(id).value = value;
      document.getElementById(id).dispatchEvent(new Event('change', {bubbles: true}));
    }
    document.querySelector('input[value=${how}]').checked = true;
    document.getElementById('go').click();
  })()`);
  await page.until(finished, 60);
  return page.value(`[...document.querySelectorAll('.answer')].map((box) => ({text: box.innerText, ...box.dataset,
    report: !!box.querySelector('a[download]')}))`);
}

const native = (words) => {
  const ran = spawnSync(binary, words, {cwd: folder, encoding: 'utf8'});
  return {code: ran.status, out: ran.stdout, err: ran.stderr};
};
const wordsOf = (fields) => [['--rpm', 'rpm'], ['--bearing', 'bearing'], ['--unit', 'unit'], ['--full-scale', 'full-scale'],
  ['--sensitivity', 'sensitivity']].flatMap(([option, id]) => (fields[id] ? [option, fields[id]] : []));

// The largest relative difference of two numbers in the same place; words and structure have to be equal. Numbers that
// are nothing but rounding (a phase of noise) are compared with 1.
function difference(a, b, where = '') {
  if (typeof a === 'number' && typeof b === 'number')
    return Math.abs(a - b) / Math.max(Math.abs(a), Math.abs(b), 1e-6);
  assert.equal(typeof a, typeof b, where);
  if (a === null || typeof a !== 'object') {
    assert.equal(a, b, where);
    return 0;
  }
  assert.deepEqual(Object.keys(a), Object.keys(b), where);
  return Math.max(0, ...Object.keys(a).map((key) => difference(a[key], b[key], `${where}.${key}`)));
}

function made(name, ...options) {
  execFileSync(binary, ['simulate', '--force', '--out', join(folder, name), '--geometry', '9,7.94,39.04', ...options]);
  return name;
}
const taken = (path, name = basename(path)) => {
  copyFileSync(path, join(folder, name));
  return name;
};

// Twenty recordings: simulated ones of each component, of the demo sawmill, and, where they are, of the open sets.
function captures() {
  const sim = ['--rate', '25600', '--rpm', '1480', '--noise', '0.5'];
  const ours = {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'};
  const mill = join(root, 'testdata');
  const all = [
    [made('healthy.wav', ...sim), ours],
    [made('outer.wav', ...sim, '--defect', 'outer:10'), ours],
    [made('inner.wav', ...sim, '--defect', 'inner:10'), ours],
    [made('element.wav', ...sim, '--defect', 'element:10'), ours],
    [made('cage.wav', ...sim, '--defect', 'cage:10'), ours],
    [made('both.wav', ...sim, '--defect', 'outer:10', '--defect', 'inner:6'), ours],
    [made('short.wav', ...sim, '--duration', '0.3'), ours],
    [made('slow.wav', '--rate', '12800', '--rpm', '180', '--duration', '20', '--defect', 'outer:5'), {...ours, rpm: '180'}],
    [made('fast.wav', '--rate', '51200', '--rpm', '2960', '--duration', '10', '--defect', 'inner:8'), {...ours, rpm: '2960'}],
    [made('no-speed.wav', ...sim, '--defect', 'outer:10'), {...ours, rpm: ''}],
    [made('no-bearing.wav', ...sim, '--defect', 'outer:10'), {...ours, bearing: ''}],
    [made('no-unit.wav', ...sim, '--defect', 'outer:10'), {rpm: '1480', bearing: '6205'}],
    [taken(join(mill, 'planer-feed/2026-05-11_DE_horizontal.wav')), {...ours, rpm: '1432'}],
    [taken(join(mill, 'planer-feed/2026-05-11_DE_axial.txt')), {...ours, rpm: '1432', 'full-scale': ''}],
    [taken(join(mill, 'hydraulic-power-pack/2026-03-02_DE_horizontal.csv')), {rpm: '2925', bearing: '6206'}],
    [taken(join(mill, 'hydraulic-power-pack/2026-03-09_DE_vertical.wav')), {...ours, rpm: '2925', bearing: '6206'}],
    [taken(join(mill, 'dust-extraction-fan/2026-03-02_DE_vertical.wav')), {...ours, rpm: '1478', bearing: '6208'}],
  ];
  for (const [path, fields] of openSets()) all.push([taken(path), fields]);
  for (const name of readdirSync(join(root, 'tests/reference/formats')))
    if (all.length < 20) all.push([taken(join(root, 'tests/reference/formats', name)), ours]);
  return all.slice(0, 20);
}

// Three of them, by their manifest.
function openSets() {
  const sets = process.env.BEARINGDSP_DATASETS;
  if (!sets || !existsSync(join(sets, 'manifest.csv'))) return [];
  const [head, ...rows] = readFileSync(join(sets, 'manifest.csv'), 'utf8').split(/\r?\n/).filter((row) => row && row[0] !== '#');
  const names = head.split(',');
  const found = [];
  for (const dataset of ['cwru', 'mfpt', 'hit-mfs']) {
    const row = rows.map((text) => Object.fromEntries(text.split(',').map((cell, i) => [names[i], cell])))
      .find((each) => each.dataset === dataset && each.fault !== 'none' && existsSync(join(sets, each.file)));
    if (row && /^[\d.]*$/.test(row.rpm)) found.push([join(sets, row.file), {rpm: row.rpm, unit: 'g', bearing: '6205'}]);
  }
  return found;
}

test('twenty recordings: the same answers as the native tool', async () => {
  const page = await open();
  const all = captures();
  assert.equal(all.length, 20);
  let worst = 0;
  let equal = 0;
  for (const [name, fields] of all) {
    const [answer] = await ask(page, [join(folder, name)], fields);
    const wanted = native(['diagnose', name, ...wordsOf(fields), '--json']);
    assert.equal(Number(answer.code), wanted.code, `${name}: ${answer.err} / ${wanted.err}`);
    assert.equal(answer.err, wanted.err, name);
    const off = wanted.out ? difference(JSON.parse(answer.json), JSON.parse(wanted.out), name) : 0;
    if (answer.json === wanted.out) equal += 1;
    worst = Math.max(worst, off);
    assert.ok(off < 1e-3, `${name}: numbers differ by ${off}`);
    assert.equal(answer.report, wanted.code !== 2 || answer.report, name);
  }
  console.log(`20 recordings: ${equal} JSON texts equal byte by byte, largest relative difference of a number ${worst.toExponential(1)}`);
  assert.deepEqual(page.complaints, []);
});

test('time and memory', async () => {
  const opened = performance.now();
  const page = await open();
  const load = performance.now() - opened;
  const fields = {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'};
  const times = {page: [], native: []};
  let memory = 0;
  for (let i = 0; i < 3; ++i) {
    const [answer] = await ask(page, [join(folder, 'long.wav')], fields);
    times.page.push(Number(/([\d.]+) s/.exec(await page.value("document.getElementById('state').textContent"))[1]));
    memory = Number(answer.memory);
    const began = performance.now();
    native(['diagnose', 'long.wav', ...wordsOf(fields), '--json', '--force', '--report', 'long.html']);
    times.native.push((performance.now() - began) / 1000);
  }
  const fastest = (list) => Math.min(...list);
  const peak = spawnSync('/usr/bin/env', ['python3', '-c', 'import resource, subprocess, sys\n' +
    'subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)\n' +
    'print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)', binary, 'diagnose', 'long.wav', ...wordsOf(fields), '--json',
    '--force', '--report', 'long.html'], {cwd: folder, encoding: 'utf8'});
  console.log(`page ${(statSync(process.env.BEARINGDSP_PAGE).size / 2 ** 20).toFixed(2)} MB, loads in ${(load / 1000).toFixed(1)} s; ` +
    `10 s at 51.2 kHz with report: page ${fastest(times.page)} s, native ${fastest(times.native).toFixed(2)} s; ` +
    `memory: page ${Math.round(memory / 2 ** 20)} MB, native ${Math.round(Number(peak.stdout) / 1024)} MB`);
  assert.ok(statSync(process.env.BEARINGDSP_PAGE).size < 6e6);
});

test('several files: together, and before and after', async () => {
  const page = await open();
  const fields = {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'};
  const sim = ['--rate', '25600', '--rpm', '1480', '--noise', '0.5'];
  const [a, b] = [made('1-before.wav', ...sim, '--defect', 'outer:10'), made('2-after.wav', ...sim, '--seed', '7')];
  const files = [join(folder, a), join(folder, b)];
  assert.equal((await ask(page, files, fields)).length, 2);
  const [joint] = await ask(page, files, fields, 'together');
  const wanted = native(['diagnose', a, b, ...wordsOf(fields), '--together', '--json']);
  assert.equal(Number(joint.code), wanted.code);
  assert.ok(difference(JSON.parse(joint.json), JSON.parse(wanted.out)) < 1e-3);
  const [change] = await ask(page, files, {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'}, 'compare');
  assert.equal(JSON.parse(change.json).change, 'cured', change.text + change.err);
  const [lone] = [await ask(page, files.slice(0, 1), fields, 'compare')];
  assert.equal(lone.length, 1);
});

test('no request leaves the page, and it works without a network', async () => {
  const page = await browser.open('about:blank');
  await page.send('Network.enable');
  await page.send('Network.emulateNetworkConditions', {offline: true, latency: 0, downloadThroughput: 0, uploadThroughput: 0});
  await page.go(url);
  await page.until(ready);
  const [answer] = await ask(page, [join(folder, 'outer.wav')], {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'});
  assert.match(answer.text, /Outer ring/);
  await page.value("document.querySelector('.answer details').open = true");
  await page.until("document.querySelector('.answer iframe').contentDocument.querySelectorAll('canvas').length > 0", 20);
  assert.deepEqual(page.requests.filter((each) => !/^(blob:|data:)/.test(each) && each !== url), []);
  assert.deepEqual(page.complaints, []);
  // What the policy forbids: a request of a script.
  assert.equal(await page.value("fetch('https://example.invalid/').then(() => 'sent', () => 'refused')"), 'refused');
});

test('damaged files: the same one line as the native tool, and the page goes on', async () => {
  const page = await open();
  const hostile = [];
  for (const corpus of ['audio', 'universal', 'text']) {
    const from = join(root, 'tests/fuzz/corpus', corpus);
    if (existsSync(from))
      for (const name of readdirSync(from).slice(0, 12)) hostile.push(taken(join(from, name), `${corpus}-${name}`));
  }
  for (const name of ['outer.wav', 'inner.wav']) {
    const cut = taken(join(folder, name), `cut-${name}`);
    truncateSync(join(folder, cut), 20);
    hostile.push(cut);
  }
  writeFileSync(join(folder, 'empty.wav'), '');
  writeFileSync(join(folder, 'words.wav'), 'no audio');
  hostile.push('empty.wav', 'words.wav');
  for (const name of hostile) {
    const [answer] = await ask(page, [join(folder, name)], {rpm: '1480', bearing: '6205'});
    const wanted = native(['diagnose', name, '--rpm', '1480', '--bearing', '6205', '--json']);
    assert.equal(Number(answer.code), wanted.code, `${name}: ${answer.err}`);
    assert.equal(answer.err, wanted.err, name);
  }
  console.log(`${hostile.length} damaged or odd files: the same lines and exit codes`);
  assert.match((await ask(page, [join(folder, 'outer.wav')], {rpm: '1480', bearing: '6205'}))[0].text, /Outer ring/);
});

test('an analysis is stopped, and the next one runs', async () => {
  const page = await open();
  await choose(page, [join(folder, 'long.wav')]);
  await page.value("document.getElementById('go').click()");
  await page.until("!document.getElementById('stop').hidden", 20);
  await page.value("document.getElementById('stop').click()");
  await page.until(finished, 20);
  assert.equal(await page.value("document.getElementById('state').textContent"), 'Stopped.');
  assert.match((await ask(page, [join(folder, 'outer.wav')], {rpm: '1480', bearing: '6205'}))[0].text, /Outer ring/);
});

test('report and job card are saved', async () => {
  const page = await open();
  await browser.send('Browser.setDownloadBehavior', {behavior: 'allow', downloadPath: folder, eventsEnabled: true});
  await ask(page, [join(folder, 'outer.wav')], {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'});
  await page.value("document.querySelector('.answer a[download]').click()");
  await page.value("document.querySelector('.answer button').click()");
  for (const [name, words] of [['outer.html', 'Outer ring of the bearing damaged'], ['job-card.html', '6205']]) {
    for (let i = 0; i < 200 && !existsSync(join(folder, name)); ++i) await new Promise((done) => setTimeout(done, 50));
    assert.match(readFileSync(join(folder, name), 'utf8'), new RegExp(words), name);
  }
  // Beside what the tool writes itself only the path of the recording differs.
  native(['diagnose', 'outer.wav', '--rpm', '1480', '--bearing', '6205', '--unit', 'm/s2', '--full-scale', '128', '--force',
    '--report', 'native.html']);
  const visible = (name) => readFileSync(join(folder, name), 'utf8').replace(/<script.*?<\/script>/gs, '')
    .replace(/<svg.*?<\/svg>/gs, '').replace(/<meta[^>]*>/g, '').replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
  assert.equal(visible('outer.html'), visible('native.html'));
  // Shown inside the page, with its charts.
  await page.value("document.querySelector('.answer details').open = true");
  await page.until("document.querySelector('.answer iframe').contentDocument.querySelectorAll('canvas').length > 0", 20);
  assert.deepEqual(page.complaints, []);
  writeFileSync('report.png', await page.picture());
});

test('a bearing is looked up while it is typed', async () => {
  const page = await open();
  const type = async (text) => page.value(`(() => { const b = document.getElementById('bearing'); b.value = '${text}';
    b.dispatchEvent(new Event('input', {bubbles: true})); })()`);
  await type('620');
  await page.until("document.querySelectorAll('#candidates option').length > 3");
  await type('6205-2Z');
  await page.until("document.getElementById('bearing-help').textContent.includes('25 x 52 x 15 mm')");
});

// What a machine file for the fields says, written here a second time; where each fact belongs is docs/machine-files.md.
const fan = {rpm: '1478', bearing: '6208', unit: 'm/s2', 'full-scale': '128', 'm-end': 'DE', 'm-other': '6206', 'm-power': '7,5',
  'm-height': '132', 'm-mounting': 'flexible', 'm-driven': 'fan', 'm-mains': '50', 'm-poles': '4', 'm-drive': 'direct on line'};
const fanFile = `[[machine]]
name = "machine"
power_kw = 7.5
shaft_height_mm = 132
mounting = "flexible"
driven = "fan"
line_frequency_hz = 50
poles = 4
drive = "direct on line"
rated_rpm = 1478
bearing.DE = { designation = "6208" }
bearing.NDE = { designation = "6206" }
[[machine.point]]
end = "DE"
name = "DE"
[[machine.point]]
end = "NDE"
name = "NDE"
`;

// All but the line of the machine file.
const sameAnswer = (answer, out, name) => {
  const [a, b] = [JSON.parse(answer.json), JSON.parse(out)];
  for (const each of [a, b]) if (each.machine) delete each.machine.where;
  assert.ok(difference(a, b, name) < 1e-3, name);
  return a;
};

test('data of the machine in the fields: the answer of the native tool with a machine file', async () => {
  const page = await open();
  const name = taken(join(root, 'testdata/dust-extraction-fan/2026-03-02_DE_vertical.wav'));
  writeFileSync(join(folder, 'machine.toml'), fanFile);
  const [answer] = await ask(page, [join(folder, name)], fan);
  const wanted = native(['diagnose', name, '--machine', 'machine.toml#machine', '--point', 'DE', '--rpm', '1478', '--unit', 'm/s2',
    '--full-scale', '128', '--json']);
  assert.equal(answer.err, wanted.err);
  assert.equal(Number(answer.code), wanted.code);
  const json = sameAnswer(answer, wanted.out, name);
  // What the data are for: a zone, and what is seen of the other bearing.
  assert.match(json.machine.vibration.zone, /^[ABCD]$/);
  assert.equal(json.machine.other_end.bearing_name, '6206');
  console.log(`with data of the machine: zone ${json.machine.vibration.zone}, ${json.headline}`);
  // Remembered, said where they are folded away, and taken back.
  await page.go(url);
  await page.until(ready);
  assert.equal(await page.value("document.getElementById('m-height').value"), '132');
  assert.match(await page.value("document.getElementById('machine-summary').textContent"), /7,5 kW, 132 mm, flexible, fan, 50 Hz/);
  await page.value("document.getElementById('machine-clear').click()");
  const [plain] = await ask(page, [join(folder, name)], {rpm: '1478', bearing: '6208', unit: 'm/s2', 'full-scale': '128'});
  assert.equal(JSON.parse(plain.json).machine, null);
  // A slip is said in one line, and named as what was typed.
  const [wrong] = await ask(page, [join(folder, name)], {...fan, 'm-power': 'seven'});
  assert.equal(Number(wrong.code), 2);
  assert.match(wrong.text, /power_kw/);
  assert.doesNotMatch(wrong.text, /toml/);
  await page.value('localStorage.clear()');
});

test('a machine file is dropped or chosen: machine and point, and the native answer', async () => {
  const page = await open();
  const file = taken(join(root, 'testdata/machines.toml'));
  const recording = taken(join(root, 'testdata/planer-feed/2026-05-11_DE_horizontal.wav'));
  const text = JSON.stringify(readFileSync(join(folder, file), 'utf8'));
  // A unit of another sensor is remembered: that of the file counts.
  await page.value("(() => { const u = document.getElementById('unit'); u.value = 'g'; u.dispatchEvent(new Event('change')); })()");
  await page.value(`(() => { const data = new DataTransfer(); data.items.add(new File([${text}], 'mill.toml'));
    document.dispatchEvent(new DragEvent('drop', {dataTransfer: data, bubbles: true, cancelable: true})); })()`);
  await page.until("document.getElementById('machine-said').textContent.includes('in mill.toml')", 30);
  const set = (id, value) => page.value(`(() => { const s = document.getElementById('${id}'); s.value = '${value}';
    s.dispatchEvent(new Event('change')); })()`);
  await set('machine-name', 'planer-feed');
  await set('machine-point', 'point DE horizontal');
  const run = async () => {
    await choose(page, [join(folder, recording)]);
    await page.value("document.getElementById('go').click()");
    await page.until(finished, 60);
    return page.value("({text: document.querySelector('.answer').innerText, ...document.querySelector('.answer').dataset})");
  };
  const answer = await run();
  const wanted = native(['diagnose', recording, '--machine', `${file}#planer-feed`, '--point', 'DE horizontal', '--json']);
  assert.equal(answer.err, wanted.err);
  const json = sameAnswer(answer, wanted.out, recording);
  assert.equal(json.machine.machine ?? json.machine.name, 'planer-feed');
  assert.equal(json.verdict, 'fault');
  // The card for the bearing that the file states.
  assert.equal(await page.value("[...document.querySelectorAll('.answer button')].some((b) => /Job card/.test(b.textContent))"), true);
  // Remembered with machine and point.
  await page.go(url);
  await page.until(ready);
  assert.equal(await page.value("document.getElementById('machine-point').value"), 'point DE horizontal');
  sameAnswer(await run(), wanted.out, recording);
  // One that is wrong: its line, and the fields again.
  await page.value(`(() => { const data = new DataTransfer(); data.items.add(new File(['[[machine]]\\nname = "a"\\npwer_kw = 3\\n'], 'slip.toml'));
    document.dispatchEvent(new DragEvent('drop', {dataTransfer: data, bubbles: true, cancelable: true})); })()`);
  await page.until("document.getElementById('machine-said').textContent.includes('slip.toml')", 30);
  assert.match(await page.value("document.getElementById('machine-said').textContent"), /slip\.toml:3.*pwer_kw/);
  await page.value('localStorage.clear()');
});

test('a recording of each end: what both say together', async () => {
  const page = await open();
  const sim = ['--rate', '25600', '--rpm', '1480', '--noise', '0.5'];
  const [de, nde] = [made('a_DE.wav', ...sim, '--defect', 'outer:10'), made('a_NDE.wav', ...sim, '--seed', '5')];
  const fields = {...fan, rpm: '1480', bearing: '6205', 'm-other': '6205'};
  writeFileSync(join(folder, 'machine.toml'), fanFile.replace('6208', '6205').replace('6206', '6205').replace('1478', '1480'));
  const answers = await ask(page, [join(folder, de), join(folder, nde)], fields, 'ends');
  const wanted = native(['diagnose', de, nde, '--machine', 'machine.toml#machine', '--point', 'DE', '--point', 'NDE', '--rpm', '1480',
    '--unit', 'm/s2', '--full-scale', '128', '--json']).out.trim().split('\n');
  assert.equal(answers.length, 3);
  assert.equal(wanted.length, 3);
  answers.forEach((answer, i) => sameAnswer(answer, wanted[i], `line ${i}`));
  assert.equal(JSON.parse(answers[2].json).end, 'DE');
  assert.match(answers[2].text, /Both ends/);
  // Names that do not say which end is which.
  await ask(page, [join(folder, 'outer.wav'), join(folder, nde)], fields, 'ends');
  assert.match(await page.value("document.getElementById('state').textContent"), /one with DE and one with NDE/);
  await page.value('localStorage.clear()');
});

// The accelerometer of a phone as the browser gives it: three axes with gravity, rounded to 0.1 m/s2, at `rate` with stamps that
// wander. `x` is of seconds, m/s2.
const phone = (rate, x, way) => `(() => {
  const x = ${x};
  const noise = () => 0.1 * (Math.random() + Math.random() + Math.random() - 1.5);
  const at = (t) => [0.2 + 0.3 * x(t) + noise(), 0.1 + x(t) + noise(), 9.8].map((v) => Math.round(10 * v) / 10);
  ${way === 'sensor' ? '' : 'delete globalThis.Accelerometer;'}
  let k = 0;
  const next = () => { k += 1; return 1000 + 1000 / ${rate} * (k + 0.2 * Math.sin(k)); };
  ${way === 'sensor' ? `globalThis.Accelerometer = class extends EventTarget {
    start() { setTimeout(() => { this.dispatchEvent(new Event('activate')); this.run = setInterval(() => { for (let i = 0; i < 20; ++i) {
      this.timestamp = next(); [this.x, this.y, this.z] = at(this.timestamp / 1000); this.dispatchEvent(new Event('reading')); } }, 10); }); }
    stop() { clearInterval(this.run); globalThis.stopped = true; } };` : `
  addEventListener('load', () => setInterval(() => { for (let i = 0; i < 20; ++i) { const t = next(); const [x1, y1, z1] = at(t / 1000);
    const event = new Event('devicemotion'); Object.defineProperty(event, 'timeStamp', {value: t});
    event.accelerationIncludingGravity = {x: x1, y: y1, z: z1}; dispatchEvent(event); } }, 10));`}
})()`;

async function openAs(before) {
  const page = await browser.open('about:blank');
  await page.go(url, {before});
  await page.until(ready);
  return page;
}
async function feelIn(page, fields, seconds = '20') {
  await page.value(`(() => { const set = (id, v) => { const e = document.getElementById(id); e.value = v; e.dispatchEvent(new Event('change')); };
    for (const [id, v] of Object.entries(${JSON.stringify({source: 'motion', seconds, ...fields})})) set(id, v);
    document.getElementById('record').click(); })()`);
  await page.until("document.getElementById('record').textContent === 'Record' && document.getElementById('recorded').textContent !== ''", 60);
  return page.value("document.getElementById('recorded').textContent");
}

for (const way of ['sensor', 'event'])
  test(`recorded by the motion sensor (${way}): the true rate, and no word that clears the bearing`, async () => {
    // A fan at 300 rpm with an unbalance of 2 m/s2 peak at 5 Hz, read 61.7 times a second.
    const page = await openAs(phone(61.7, '(t) => 2 * Math.sin(2 * Math.PI * 5 * t)', way));
    const said = await feelIn(page, {rpm: '300', bearing: '6205'});
    const rate = Number(/([\d.]+) samples per second/.exec(said)[1]);
    assert.ok(Math.abs(rate - 61.7) < 0.02 * 61.7, said);
    assert.match(said, /ends at 31 Hz.* 6\.2 times the shaft rate.*Smallest step 0\.1 m/s);
    assert.match(said, /does not clear the bearing/);
    if (way === 'sensor') assert.equal(await page.value('globalThis.stopped'), true);
    await page.value("document.getElementById('go').click()");
    await page.until(finished, 60);
    const answer = await page.value("({text: document.querySelector('.answer').innerText, ...document.querySelector('.answer').dataset})");
    const json = JSON.parse(answer.json);
    console.log(`motion sensor: ${said} -> ${answer.text.split('\n').slice(0, 3).join(' | ')}`);
    assert.ok(Math.abs(json.rate_hz - 61.7) < 0.01 * 61.7, `${json.rate_hz}`);
    assert.notEqual(json.verdict, 'no fault found');
    // What such a sensor does see.
    assert.ok(json.assessment.other_faults.some((found) => found.fault === 'unbalance'), answer.text);
    assert.notEqual(json.assessment.urgency, 'OK');
    assert.doesNotMatch(answer.text, /nothing found|No (bearing|damage)/i);
    assert.deepEqual(page.complaints, []);
  });

test('motion sensor absent, without readings, or refused: one line each', async () => {
  for (const [before, words] of [
    ['delete globalThis.Accelerometer; delete globalThis.DeviceMotionEvent;', /^This device or browser gives no motion sensor/],
    ['delete globalThis.Accelerometer;', /^This device or browser gives no motion sensor/],
    [`globalThis.Accelerometer = class extends EventTarget { start() { setTimeout(() => this.dispatchEvent(Object.assign(new Event('error'),
      {error: new DOMException('no', 'NotAllowedError')}))); } stop() {} };`, /^The browser did not allow the motion sensor/],
    [`globalThis.Accelerometer = class extends EventTarget { start() { setTimeout(() => this.dispatchEvent(Object.assign(new Event('error'),
      {error: new DOMException('no', 'NotReadableError')}))); } stop() {} };`, /^This device or browser gives no motion sensor/],
    ['delete globalThis.Accelerometer; DeviceMotionEvent.requestPermission = async () => "denied";', /^The browser did not allow the motion/],
  ]) {
    const page = await openAs(before);
    const said = await feelIn(page, {});
    assert.match(said, words);
    assert.equal(said.trim().split('\n').length, 1);
    assert.equal(await page.value("document.getElementById('go').disabled"), true);
  }
  // A stopped machine: the last digit flickers.
  const page = await openAs(phone(60, '(t) => 0', 'sensor'));
  assert.match(await feelIn(page, {}), /^No vibration above the steps of this sensor \(0\.1 m\/s/);
});

test('the motion sensor of the browser itself, with given readings', async (t) => {
  const page = await browser.open('about:blank');
  try {
    await page.send('Emulation.setSensorOverrideEnabled', {enabled: true, type: 'accelerometer', metadata: {available: true, maximumFrequency: 60}});
  } catch (why) {
    t.skip(`this browser has no sensor override: ${why.message}`);
    return;
  }
  await page.go(url);
  await page.until(ready);
  let k = 0;
  const feed = setInterval(() => {
    k += 1;
    page.send('Emulation.setSensorOverrideReadings', {type: 'accelerometer',
      reading: {xyz: {x: Math.sin(0.7 * k), y: 2 * Math.sin(0.7 * k), z: 9.8}}}).catch(() => {});
  }, 25);
  try {
    const said = await feelIn(page, {rpm: '300', bearing: '6205'}, '4');
    const rate = Number(/([\d.]+) samples per second/.exec(said)[1]);
    assert.ok(rate > 5 && rate < 65, said);
    console.log(`the browser's own sensor: ${said}`);
  } finally {
    clearInterval(feed);
  }
});

test('recorded in the page: the samples of the input, and the answer', async () => {
  // The input plays a file: at 48 kHz, 16 bits, with impacts of a damaged outer ring.
  writeFileSync(join(folder, 'plan.json'), '{"bits": 16, "range_m_s2": 128}');
  const played = made('played.wav', '--plan', join(folder, 'plan.json'), '--rate', '48000', '--rpm', '1480', '--duration', '12',
    '--noise', '0.5', '--defect', 'outer:10');
  const other = await Browser.start(findChromium(), ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream',
    `--use-file-for-fake-audio-capture=${join(folder, played)}`, '--autoplay-policy=no-user-gesture-required']);
  try {
    const page = await other.open(url);
    await page.until(ready);
    await page.value(`(() => { document.querySelector('details').open = true; document.getElementById('seconds').value = '6';
      document.getElementById('rpm').value = '1480'; document.getElementById('bearing').value = '6205';
      document.getElementById('record').click(); })()`);
    await page.until("document.getElementById('recorded').textContent.includes('are chosen')", 60);
    assert.match(await page.value("document.getElementById('recorded').textContent"), /^6\.0 s from/);
    await page.value("document.getElementById('go').click()");
    await page.until(finished, 60);
    const answer = await page.value("document.querySelector('.answer').innerText");
    assert.match(answer, /Outer ring of the bearing damaged/);
    const json = JSON.parse(await page.value("document.querySelector('.answer').dataset.json"));
    assert.ok(Math.abs(json.duration_s - 6) < 0.01);
    console.log(`recorded in the page: ${answer.split('\n').slice(0, 3).join(' | ')}; ${await page.value("document.getElementById('recorded').textContent")}`);
    assert.deepEqual(page.complaints.filter((each) => !/ScriptProcessorNode/.test(each)), []);
    assert.deepEqual(page.requests.filter((each) => !/^(blob:|data:)/.test(each) && each !== url), []);
  } finally {
    await other.stop();
  }
});

test('on a phone: from nothing to the first answer, without scrolling sideways', async () => {
  const page = await open({width: 390, height: 844});
  const sideways = 'document.documentElement.scrollWidth > 390';
  const small = `[...document.querySelectorAll('button, input:not([type=radio]), select, summary, a')]
    .filter((e) => e.offsetParent && e.getBoundingClientRect().height < 44 && !e.closest('p')).map((e) => e.id || e.textContent)`;
  assert.equal(await page.value(sideways), false);
  // What is tapped, by the finger: each has to be where it is without scrolling sideways, and takes the tap.
  let taps = 0;
  const tap = async (selector) => {
    const {x, y} = await page.value(`(() => { const e = document.querySelector('${selector}'); e.scrollIntoView({block: 'center'});
      const r = e.getBoundingClientRect(); return {x: r.x + r.width / 2, y: r.y + r.height / 2}; })()`);
    await page.send('Input.dispatchTouchEvent', {type: 'touchStart', touchPoints: [{x, y}]});
    await page.send('Input.dispatchTouchEvent', {type: 'touchEnd', touchPoints: []});
    taps += 1;
  };
  await page.send('Emulation.setTouchEmulationEnabled', {enabled: true});
  await page.send('Page.setInterceptFileChooserDialog', {enabled: true});
  const asked = page.once('Page.fileChooserOpened');
  await tap('#files');
  const {backendNodeId} = await asked;
  await page.send('DOM.setFileInputFiles', {files: [join(folder, 'outer.wav')], backendNodeId});
  taps += 1;  // the file, in the chooser of the phone
  for (const [id, text] of [['rpm', '1480'], ['bearing', '6205']]) {
    await tap(`#${id}`);
    await page.until(`document.activeElement.id === '${id}'`, 5);
    await page.send('Input.insertText', {text});
  }
  await tap('#go');
  await page.until("document.querySelector('.answer') !== null", 60);
  await page.until(finished, 60);
  console.log(`${taps} taps from the page to the first answer, speed and bearing typed`);
  assert.ok(taps <= 5);
  // The answer is on the screen.
  await page.until("document.querySelector('.answer .urgency').getBoundingClientRect().bottom < innerHeight", 5);
  assert.match(await page.value("document.querySelector('.answer').innerText"), /Outer ring/);
  assert.equal(await page.value(sideways), false);
  assert.deepEqual(await page.value(small), []);
  writeFileSync('phone.png', await page.picture());
  // All that is folded away, too.
  await page.value("document.querySelectorAll('details').forEach((each) => { each.open = true; })");
  await page.until("document.querySelector('.answer iframe').contentDocument.querySelectorAll('canvas').length > 0", 20);
  assert.equal(await page.value(sideways), false);
  assert.deepEqual(await page.value(small), []);
  writeFileSync('phone-open.png', await page.picture());
});

// As in a page that was just opened.
const toStart = (page) => page.value(`(() => { const h = document.querySelector('h1'); h.tabIndex = -1; h.focus();
  h.removeAttribute('tabindex'); })()`);

// Elements in the order of the Tab key, by id or by their words.
async function tabs(page, most = 60) {
  const order = [];
  await toStart(page);
  for (let i = 0; i < most; ++i) {
    await page.press('Tab');
    const at = await page.value(`(() => { const e = document.activeElement; return e === document.body ? '' :
      e.id || e.getAttribute('title') || e.textContent.trim(); })()`);
    if (at === '' || at === order[0]) break;
    order.push(at);
  }
  return order;
}

test('by keyboard alone: the form, the answer, its report; the facts of the sensor are remembered', async () => {
  const page = await open();
  await choose(page, [join(folder, 'outer.wav')]);
  const words = "Record here: USB sensor, microphone, motion sensor";
  assert.deepEqual(await tabs(page), ['files', words, 'rpm', 'bearing', 'unit', 'full-scale', 'sensitivity', 'machine-summary', 'go']);
  const reach = async (wanted) => {
    await toStart(page);
    for (let i = 0; i < 80; ++i) {
      const at = await page.value('document.activeElement.id || document.activeElement.textContent.trim()');
      if (at === wanted) return;
      await page.press('Tab');
    }
    throw new Error(`the Tab key does not reach ${wanted}`);
  };
  const type = async (text) => { for (const key of text) await page.press(key); };
  await reach('rpm');
  await type('1480');
  await reach('bearing');
  await type('6205');
  await page.until("document.getElementById('bearing-help').textContent.includes('25 x 52 x 15 mm')");
  await reach('unit');
  await type('m');
  assert.equal(await page.value("document.getElementById('unit').value"), 'm/s2');
  await reach('full-scale');
  await type('128');
  // The machine unfolds by the keyboard, and its fields come before Diagnose.
  await reach('machine-summary');
  await page.press('Enter');
  await page.until("document.getElementById('machine').open");
  const all = await tabs(page);
  assert.deepEqual(all.slice(all.indexOf('machine-summary')), ['machine-summary', 'machine-file', 'm-end', 'm-other', 'm-power',
    'm-height', 'm-mounting', 'm-driven', 'm-mains', 'm-poles', 'm-drive', 'machine-clear', 'go']);
  await reach('rpm');
  await page.press('Enter');
  await page.until("document.querySelector('.answer') !== null", 60);
  await page.until(finished, 60);
  assert.match(await page.value("document.querySelector('.answer').innerText"), /Outer ring/);
  // Behind the button that was pressed comes what the answer offers.
  const after = await tabs(page);
  assert.deepEqual(after.slice(after.indexOf('go')), ['go', 'Job card for the change', 'Save the report', 'The report, with charts']);
  await reach('The report, with charts');
  await page.press('Enter');
  await page.until("document.querySelector('.answer details').open");
  await page.go(url);
  await page.until(ready);
  assert.equal(await page.value("document.getElementById('full-scale').value"), '128');
  await page.value('localStorage.clear()');
});

// What assistive software gets: role, name and properties of each node that is not ignored.
async function tree(page) {
  await page.send('Accessibility.enable');
  const {nodes} = await page.send('Accessibility.getFullAXTree');
  const of = new Map(nodes.map((node) => [node.nodeId, node]));
  const flat = (node) => ({role: node.role?.value, name: node.name?.value || '', description: node.description?.value || '',
    ...Object.fromEntries((node.properties || []).map((each) => [each.name, each.value.value])), id: node.nodeId, parent: node.parentId});
  const all = nodes.filter((node) => !node.ignored).map(flat);
  const inside = (node, above) => {
    for (let at = of.get(node.parent); at; at = of.get(at.parentId)) if (at.nodeId === above.id) return true;
    return false;
  };
  return {all, inside};
}

test('what a screen reader gets: names, roles, and the answer as a live region', async () => {
  const page = await open();
  const before = await tree(page);
  const controls = ({all}) => all.filter((node) => ['textbox', 'combobox', 'button', 'radio', 'spinbutton', 'ComboBoxSelect', 'DisclosureTriangle',
    'link', 'searchbox', 'MenuListPopup'].includes(node.role) && node.focusable);
  assert.ok(controls(before).length >= 8);
  assert.deepEqual(controls(before).filter((node) => !node.name.trim()), []);
  const named = (part, name) => part.all.find((node) => node.name.startsWith(name) && node.focusable);
  assert.match(named(before, 'Bearing').description, /cannot be read/);
  assert.match(named(before, 'Recording').description, /WAV, FLAC/);
  assert.equal(before.all.find((node) => node.role === 'button' && node.name === 'Diagnose').disabled, true);
  for (const role of ['banner', 'main', 'contentinfo']) assert.ok(before.all.some((node) => node.role === role), role);
  // Each change of the live regions while it works and when it is done, in order.
  await page.value(`globalThis.said = []; new MutationObserver((changes) => { for (const {target, addedNodes} of changes) {
    const live = (target.nodeType === 1 ? target : target.parentElement).closest('[aria-live], [role=status]');
    if (live && addedNodes.length) said.push([live.id, live.getAttribute('aria-busy'), live.innerText.slice(0, 400)]); } })
    .observe(document.body, {subtree: true, childList: true, characterData: true})`);
  const fields = {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'};
  await ask(page, [join(folder, 'outer.wav')], fields);
  const said = await page.value('said');
  assert.ok(said.some(([id, , text]) => id === 'state' && /^Analysing outer\.wav/.test(text)));
  assert.ok(said.some(([id, , text]) => id === 'state' && /^Done in/.test(text)));
  assert.ok(said.some(([id, , text]) => id === 'answers' && /Outer ring/.test(text)));
  const after = await tree(page);
  const live = after.all.find((node) => node.live === 'polite' && node.role !== 'status');
  assert.equal(live.busy || false, false);
  const region = after.all.find((node) => node.role === 'region' && node.name === 'outer.wav');
  assert.ok(region && after.inside(region, live), 'the answer is a region of the live part, with the name of the recording');
  const within = after.all.filter((node) => after.inside(node, region));
  assert.ok(within.some((node) => node.role === 'heading' && node.level === 2 && node.name === 'outer.wav'));
  assert.ok(within.some((node) => node.role === 'StaticText' && /Outer ring of the bearing damaged/.test(node.name)));
  for (const title of ['What to do', 'Why']) assert.ok(within.some((node) => node.role === 'heading' && node.level === 3 && node.name === title), title);
  assert.ok(within.some((node) => node.role === 'link' && node.name === 'Save the report'));
  assert.deepEqual(controls(after).filter((node) => !node.name.trim()), []);
  // An error, too.
  await ask(page, [join(folder, 'words.wav')], fields);
  const wrong = await tree(page);
  const part = wrong.all.find((node) => node.role === 'region' && node.name === 'words.wav');
  assert.ok(wrong.all.some((node) => node.role === 'StaticText' && /words\.wav/.test(node.name) && wrong.inside(node, part)));
  await page.value('localStorage.clear()');
});

test('accessible by the rules of axe-core', {skip: existsSync('node_modules/axe-core/axe.min.js') ? false : 'not fetched'}, async () => {
  for (const dark of [false, true]) {
    const page = await open({width: 390, height: 844, dark});
    await ask(page, [join(folder, 'outer.wav')], {rpm: '1480', bearing: '6205', unit: 'm/s2', 'full-scale': '128'});
    await page.send('Runtime.evaluate', {expression: readFileSync('node_modules/axe-core/axe.min.js', 'utf8')});
    const wrong = () => page.value(`axe.run(document, {iframes: false}).then((r) => r.violations
      .map((v) => v.id + ': ' + v.nodes.map((n) => n.target.join(' ')).join(', ')))`);
    assert.deepEqual(await wrong(), []);
    // With all that is folded away, and the answer of a comparison.
    await page.value("document.querySelectorAll('details').forEach((each) => { each.open = true; })");
    await page.value("document.getElementById('source').value = 'motion'");
    assert.deepEqual(await wrong(), []);
    await ask(page, [join(folder, 'outer.wav'), join(folder, 'inner.wav')], {rpm: '1480', bearing: '6205'}, 'compare');
    assert.deepEqual(await wrong(), []);
    await page.value('localStorage.clear()');
  }
});
