// Asks for what a command needs, runs it in a worker, and shows the answer. What is right or wrong is said by the tool.
'use strict';
const at = (id) => document.getElementById(id);
const maxSeconds = 120;  // seconds; a file that takes longer is stopped
const kept = ['unit', 'full-scale', 'sensitivity'];

// The store may be forbidden, for example for pages that are files.
const remembered = {
  get: (key) => { try { return localStorage.getItem(`bearingdsp.${key}`) || ''; } catch { return ''; } },
  set: (key, value) => { try { localStorage.setItem(`bearingdsp.${key}`, value); } catch { /* then not */ } },
};

const element = (name, text, more = {}) => Object.assign(document.createElement(name), {textContent: text}, more);

async function engineBytes() {
  const packed = Uint8Array.from(atob(at('engine').textContent.trim()), (c) => c.charCodeAt(0));
  at('engine').remove();
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Response(stream).arrayBuffer();
}

// One command after the other, in a worker that is ended and made again where a command does not end.
class Tool {
  constructor(engine) {
    this.engine = engine;
    this.next = 1;
    this.waiting = new Map();
    this.start();
  }

  start() {
    const code = URL.createObjectURL(new Blob([at('code').textContent], {type: 'text/javascript'}));
    this.worker = new Worker(code);
    this.ready = new Promise((resolve, reject) => {
      this.worker.onmessage = ({data}) => {
        if (data.ready) resolve();
        else if (data.id === undefined) reject(new Error(data.failed));
        else this.hear(data);
      };
      this.worker.onerror = (event) => reject(new Error(event.message));
    });
    this.worker.postMessage({engine: this.engine});
  }

  hear(data) {
    const {resolve, reject} = this.waiting.get(data.id) || {};
    this.waiting.delete(data.id);
    if (!resolve) return;
    if (data.failed) reject(new Error(data.failed));
    else resolve(data);
  }

  stop(why) {
    this.worker.terminate();
    for (const {reject} of this.waiting.values()) reject(new Error(why));
    this.waiting.clear();
    this.start();
  }

  async run(words, files = []) {
    await this.ready;
    const id = this.next++;
    const late = setTimeout(() => this.stop(`no answer after ${maxSeconds} s: stopped`), 1000 * maxSeconds);
    try {
      return await new Promise((resolve, reject) => {
        this.waiting.set(id, {resolve, reject});
        this.worker.postMessage({id, words, files});
      });
    } finally {
      clearTimeout(late);
    }
  }
}

// As typed by the user; a decimal comma is what many keyboards give.
const number = (id) => at(id).value.trim().replace(',', '.');

function options(compares) {
  const words = [];
  const add = (name, value) => { if (value) words.push(name, value); };
  add('--rpm', number('rpm'));
  // One of the fields of the machine has it already.
  if (machineFile || !machineOfFields()) add('--bearing', at('bearing').value.trim());
  const unit = at('unit').value;
  const scale = number('full-scale');
  for (const side of compares ? ['--before', '--after'] : ['-']) {
    add(`${side}-unit`, unit);
    add(`${side}-full-scale`, scale);
  }
  add('--sensitivity', number('sensitivity'));
  return words;
}

// A path of the page's own file system is of no use to anybody.
const shown = (text) => text.replaceAll('/in/', '').replaceAll('/out/', '').replace(/^bearingdsp: /gm, '')
  .replace(/machine\.toml(:\d+)?/g, (all, line) => (machineFile ? machineFile.name + (line || '') : 'the machine'));
const tones = {0: 'good', 1: 'bad', 2: 'doubt', 3: 'doubt'};

function list(title, texts) {
  if (!texts || texts.length === 0) return [];
  const all = element('ul', '');
  for (const text of texts) all.append(element('li', text));
  return [element('h3', title), all];
}

// Of one document of several: that of its urgency, as docs/urgency.md has it.
function codeOf(out) {
  const {assessment, error, what} = JSON.parse(out);
  if (error || what) return 2;
  return !assessment || assessment.urgency === 'measure again' ? 3 : assessment.urgency === 'OK' ? 0 : 1;
}

// The sheet that goes with the fitter, for the bearing that is typed.
function cardButton() {
  const button = element('button', 'Job card for the change', {type: 'button'});
  button.addEventListener('click', async () => {
    const of = machineWords();
    const words = ['replacement', ...(typed('bearing') ? [typed('bearing')] : []), ...(number('rpm') ? ['--rpm', number('rpm')] : []),
      ...endWords(of.words), '--job-card', '/out/card.html'];
    try {
      const done = await tool.run(words, of.files);
      const card = done.made['card.html'];
      if (!card) throw new Error(shown(done.err).trim());
      element('a', '', {href: URL.createObjectURL(new Blob([card], {type: 'text/html'})), download: 'job-card.html'}).click();
      at('state').textContent = 'The job card is saved as job-card.html.';
    } catch (why) {
      at('state').textContent = `${why.message || why}`;
    }
  });
  return button;
}

function show(name, done) {
  const box = element('section', '', {className: `answer ${tones[done.code] || 'doubt'}`});
  const title = element('h2', name, {id: `answer-${at('answers').childElementCount}`});
  box.setAttribute('aria-labelledby', title.id);
  box.append(title);
  let json = null;
  try { json = JSON.parse(done.out); } catch { /* an error, or nothing */ }
  if (json && json.assessment) {
    const {assessment} = json;
    // "Act now" says when by itself.
    const urgency = [assessment.urgency.toUpperCase(), assessment.deadline === 'now' ? '' : assessment.deadline]
      .filter(Boolean).join(', ');
    const line = element('p', '');
    line.append(element('strong', urgency, {className: 'urgency'}), ` ${assessment.headline}`);
    box.append(line, ...list('What to do', assessment.actions.length ? assessment.actions : json.advice),
      ...list('Why', json.reasons), ...list('What may be wrong with this answer', assessment.doubts));
  } else if (json && json.headline) {
    box.append(element('p', json.headline), ...list('Why', json.reasons), ...list('What to do', json.advice));
  } else if (json && json.error) {
    box.append(element('p', shown(json.error.message || JSON.stringify(json.error))));
  }
  if (done.err.trim()) box.append(element('pre', shown(done.err).trim()));
  if (json && json.verdict === 'fault' && (typed('bearing') || machineWords().words.length)) box.append(cardButton());
  const page = done.made['report.html'];
  if (page) {
    const url = URL.createObjectURL(new Blob([page], {type: 'text/html'}));
    const save = element('a', 'Save the report', {href: url, download: `${name.replace(/\.[^.]*$/, '')}.html`});
    const frame = element('iframe', '', {title: `Report of ${name}`});
    const more = element('details', '');
    more.append(element('summary', 'The report, with charts'), frame);
    more.addEventListener('toggle', () => { if (more.open && !frame.srcdoc) frame.srcdoc = page; });
    const line = element('p', '');
    line.append(save);
    box.append(line, more);
  }
  at('answers').append(box);
  return box;
}

let tool;
let chosen = [];
let busy = false;
let cancelled = false;

function refresh() {
  at('several').hidden = chosen.length < 2;
  at('go').disabled = busy || !tool || chosen.length === 0;
  at('stop').hidden = !busy;
  at('answers').setAttribute('aria-busy', busy);
}

async function readFiles() {
  const all = [];
  // Names of a file system, without what would be a folder or a hidden file in it.
  for (const file of chosen)
    all.push({name: file.name.replace(/[/\\\0]/g, '_').replace(/^\./, '_'), bytes: await file.arrayBuffer()});
  return all.sort((a, b) => (a.name < b.name ? -1 : 1));
}

async function diagnose() {
  const files = await readFiles();
  const how = files.length < 2 ? 'each' : document.querySelector('input[name=how]:checked').value;
  if (how === 'compare' && files.length !== 2) {
    at('state').textContent = 'Choose two recordings: before and after the work.';
    return;
  }
  const jobs = how === 'each' ? files.map((file) => [file]) : [files];
  const report = ['--json', ...(how === 'ends' ? [] : ['--report', '/out/report.html'])];
  const of = machineWords(how === 'ends' ? placesOfEnds(files) : []);
  const began = performance.now();
  for (const job of jobs) {
    if (cancelled) throw new Error('Stopped.');
    const names = job.map((file) => file.name);
    const words = how === 'compare'
      ? ['compare', ...names, ...of.words, ...options(true), ...report]
      : ['diagnose', ...names, ...of.words, ...options(false), ...(how === 'together' ? ['--together'] : []), ...report];
    at('state').textContent = `Analysing ${names.join(', ')} ...`;
    const done = await tool.run(words, [...job, ...of.files]);
    // Of both ends a line each, and what they say together.
    const parts = how === 'ends' && done.out.trim()
      ? done.out.trim().split('\n').map((out, i) => [names[i] || 'Both ends', {...done, out, err: i ? '' : done.err, code: codeOf(out)}])
      : [[names.join(how === 'compare' ? ' → ' : ', '), done]];
    for (const [name, part] of parts) {
      const box = show(name, part);
      box.dataset.json = part.out;
      box.dataset.code = part.code;
      box.dataset.err = part.err;
      box.dataset.memory = done.memory;
    }
  }
  at('state').textContent = `Done in ${((performance.now() - began) / 1000).toFixed(1)} s.`;
  at('state').scrollIntoView();
}

at('form').addEventListener('submit', async (event) => {
  event.preventDefault();
  busy = true;
  cancelled = false;
  refresh();
  at('answers').textContent = '';
  try {
    await diagnose();
  } catch (why) {
    at('state').textContent = `${why.message || why}`;
  }
  busy = false;
  refresh();
});
at('stop').addEventListener('click', () => {
  cancelled = true;
  tool.stop('Stopped.');
});
// A machine file among them goes where machine files go.
function take(list) {
  const machines = [...list].filter((file) => /\.toml$/i.test(file.name));
  chosen = [...list].filter((file) => !machines.includes(file));
  if (machines.length > 0) {
    at('machine').open = true;
    machines[0].text().then((text) => takeMachineFile(machines[0].name, text));
    const rest = new DataTransfer();
    for (const file of chosen) rest.items.add(file);
    at('files').files = rest.files;
  }
  refresh();
}
at('files').addEventListener('change', () => take(at('files').files));
for (const kind of ['dragenter', 'dragover', 'dragleave', 'drop'])
  document.addEventListener(kind, (event) => {
    event.preventDefault();
    at('drop').classList.toggle('over', kind.startsWith('drago') || kind === 'dragenter');
    if (kind !== 'drop' || event.dataTransfer.files.length === 0) return;
    // A machine file alone leaves the recording that is chosen.
    const given = [...event.dataTransfer.files];
    if (given.some((file) => !/\.toml$/i.test(file.name))) at('files').files = event.dataTransfer.files;
    take(given.some((file) => !/\.toml$/i.test(file.name)) ? given : [...chosen, ...given]);
  });
for (const id of kept) {
  at(id).value = remembered.get(id);
  // With a machine file it is of that file.
  at(id).addEventListener('change', () => { if (!machineFile) remembered.set(id, at(id).value); });
}

// What a designation means, while it is typed: the same reader as in a diagnosis.
const bearingHelp = at('bearing-help').textContent;
let asked = 0;
async function look(id, help) {
  const text = typed(id);
  const mine = ++asked;
  await new Promise((resolve) => setTimeout(resolve, 150));
  if (mine !== asked || !tool || busy) return;
  if (text.length < 3) {
    at(help).textContent = bearingHelp;
    return;
  }
  const read = async (words) => JSON.parse((await tool.run(['bearing', words, '--json'])).out || 'null');
  const found = await read(text).catch(() => null) || await read(`${text}?`).catch(() => null);
  if (mine !== asked) return;
  const readings = found && found.readings ? found.readings : [];
  at('candidates').replaceChildren(...readings.slice(0, 20).map((r) => element('option', '', {value: r.designation})));
  const [first] = readings;
  const size = (r) => `${r.bore_mm} x ${r.outside_diameter_mm} x ${r.width_mm} mm`;
  at(help).textContent = !first ? 'No such designation; ? for a character that cannot be read.'
    : readings.length === 1 ? `${first.designation}: ${first.type}, ${size(first)}`
      : `${readings.length} candidates, for example ${first.designation}`;
}
at('bearing').addEventListener('input', () => look('bearing', 'bearing-help'));
at('m-other').addEventListener('input', () => look('m-other', 'other-help'));

engineBytes().then(async (engine) => {
  tool = new Tool(engine);
  await tool.ready;
  await recallMachine();
  at('state').textContent = 'Ready.';
  refresh();
}).catch((why) => { at('state').textContent = `This browser cannot run the analysis: ${why.message || why}`; });
